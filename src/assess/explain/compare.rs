//! Comparisons with the other legs, with the sister connections' resistance, and with earlier
//! visits.

use super::about::About;
use super::explanation::{Step, StepUncertainty, input};
use super::rating;
use crate::assess::assessment::{Estimate, Value};
use crate::assess::heat::{
    readings::RepeatabilityBy,
    resistance::{self, Resistance},
    since::{self, History, Then, next_edge, past},
};
use crate::assess::instruments;
use crate::assess::physics::{trend, uncertainty::Budget};
use crate::vocabulary::{CheckId, ValueName};
use chrono::Datelike;

pub(super) fn steps(about: &About<'_>, steps: &mut Vec<Step>) {
    legs(about, steps);
    resistances(about, steps);
    since_earlier(about, steps);
}

fn legs(about: &About<'_>, steps: &mut Vec<Step>) {
    let Some(finding) = about
        .here(CheckId::LegDifference)
        .filter(|f| f.connections.contains(&about.connection.id))
    else {
        return;
    };
    let (Some(Value::Temperature(hot)), Some(Value::Temperature(cool))) = (
        finding.values.get(&ValueName::Hot),
        finding.values.get(&ValueName::Cool),
    ) else {
        return;
    };
    let k = about.coverage();
    let factor = match finding.values.get(&ValueName::Factor) {
        Some(Value::Number(f)) => *f,
        _ => 1.0,
    };
    let expanded = finding.uncertainty.unwrap_or(0.0);
    let mut inputs = vec![
        input("T_hot", "hotter connection", hot.celsius(), "°C"),
        input("T_cool", "cooler connection", cool.celsius(), "°C"),
        input(
            "s",
            "repeatability of one reading",
            about.thermometer.repeatability.0,
            "K",
        ),
    ];
    if let Some(Value::Difference(more)) = finding.values.get(&ValueName::WithoutLoad) {
        let name = "what the hotter one is over the air without load, beyond the other";
        inputs.push(input("e", name, more.kelvin(), "K"));
    }
    if factor != 1.0 {
        inputs.push(input(
            "f",
            "(I_r/I)ⁿ, for a round below full load",
            factor,
            "1",
        ));
    }
    if let Some(Value::Number(growth)) = finding.values.get(&ValueName::Growth) {
        let name = "settled rise over the last one on the curve, or the measured one if more, of the hotter connection";
        inputs.push(input("g", name, *growth, "1"));
    }
    steps.push(Step {
        id: CheckId::LegDifference.word(),
        name: format!("Difference between legs: {}", finding.connections.join(", ")),
        round: match finding.values.get(&ValueName::Round) {
            Some(Value::Count(r)) => Some(*r),
            _ => None,
        },
        formula: "ΔT = g·f·(T_hot − T_cool − e), f = 1 at full load, e = 0 and g = 1 if not given; only as much of it grows as the hotter one rises".to_owned(),
        inputs,
        results: vec![input("ΔT", "leg difference", finding.value.unwrap_or(0.0), "K")],
        uncertainty: Some(StepUncertainty {
            formula: "u = √((g·f·u_ΔT)² + (u(g)·ΔT/g)²), u(g) from the heat still to come by the hotter one's curve; u_ΔT = √(e(T_hot)² + e(T_cool)² + (b(T_hot) − b(T_cool))²), e² = s² + the parts of emissivity and reflection, b² = (c_i·a/√3)² − s²: the thermometer's bias b is the same error in both readings and cancels, its repeatability s is not".to_owned(),
            shares: Vec::new(),
            standard: expanded / k,
            coverage: k,
            expanded,
        }),
        source: "JCGM 100:2008, 5.2.2 with r = 1 for the bias".to_owned(),
        note: Some(match about.thermometer.repeatability.1 {
            RepeatabilityBy::Stated => "The repeatability s is the one that the visit states.",
            RepeatabilityBy::Repeated => "The repeatability s is the scatter of the readings that were repeated on this visit, widened by Student's factor for their number.",
            RepeatabilityBy::Assumed => "The repeatability s is the rule set's; it is used up to the thermometer's whole uncertainty.",
        }.to_owned()),
    });
    steps.push(rating::grade(
        "grade",
        "Grade of the leg difference",
        finding,
        &about.rules.thermal.leg_difference,
    ));
    steps.extend(rating::would_show(finding));
}

fn resistances(about: &About<'_>, steps: &mut Vec<Step>) {
    let all = resistance::compared(about.visit, about.circuit, about.place, &about.load);
    let Some(this) = all.iter().find(|r| r.connection.id == about.connection.id) else {
        return;
    };
    let k = about.coverage();
    let Resistance {
        drop,
        u_drop,
        current,
        u_current,
        contact,
        ..
    } = *this;
    let budget = Budget::new()
        .with("voltage", 1e3 / current.ampere(), u_drop.volt())
        .with(
            "current",
            1e3 * contact.ohm / current.ampere(),
            u_current.ampere(),
        );
    steps.push(Step {
        id: CheckId::ContactResistance.word(),
        name: "Contact resistance".to_owned(),
        round: None,
        formula: "R = V/I; P = I²·R".to_owned(),
        inputs: vec![
            input("V", "voltage across the connection", drop.volt(), "V"),
            input("I", "current", current.ampere(), "A"),
            input("u(V)", "half-width over √3", u_drop.volt(), "V"),
            input("u(I)", "half-width over √3", u_current.ampere(), "A"),
        ],
        results: vec![
            input("R", "resistance", contact.ohm * 1e3, "mΩ"),
            input("P", "heat made in it", contact.power.watt(), "W"),
        ],
        uncertainty: Some(StepUncertainty::of(
            &budget,
            "u = √((u(V)/I)² + (R·u(I)/I)²)",
            k,
        )),
        source: "Ohm's law; JCGM 100:2008, 5.1.2".to_owned(),
        note: None,
    });
    let Some((ratio, u, sister)) = resistance::against_sister(this, &all) else {
        return;
    };
    steps.push(Step {
        id: "resistance-ratio",
        name: format!("Against the sister {}", sister.connection.id),
        round: None,
        formula: "q = R/R_s".to_owned(),
        inputs: vec![
            input("R", "this connection", contact.ohm * 1e3, "mΩ"),
            input(
                "R_s",
                "least of the sisters",
                sister.contact.ohm * 1e3,
                "mΩ",
            ),
            input("u(V)", "this drop", u_drop.volt(), "V"),
            input("u(V_s)", "the sister's drop", sister.u_drop.volt(), "V"),
        ],
        results: vec![input("q", "ratio", ratio, "1")],
        uncertainty: Some(StepUncertainty {
            formula: "u = √(u(V)² + q²·u(V_s)²)/V_s; the current is the same in both and cancels"
                .to_owned(),
            shares: Vec::new(),
            standard: u,
            coverage: k,
            expanded: k * u,
        }),
        source: about.rules.thermal.contact_resistance.source.clone(),
        note: None,
    });
}

fn since_earlier(about: &About<'_>, steps: &mut Vec<Step>) {
    let Some(now) = about
        .found
        .rise_at_rated
        .filter(|_| !about.connection.remade)
    else {
        return;
    };
    let history = History::of(about.circuit, about.visit.date, about.earlier, about.rules);
    let series = history.series(&about.connection.id);
    let k = about.coverage();
    steps.extend(series.iter().map(|then| change(about, then, now)));
    if let Some(finding) = about.leading(CheckId::WorseThanBefore) {
        steps.push(rating::grade(
            "grade",
            "Grade of the change",
            finding,
            &about.rules.thermal.worse_than_before,
        ));
    }
    let past = past(&series, about.visit.date, (now, about.found.slow), k);
    let Some(trend) = trend::trend(&past) else {
        return;
    };
    let mut inputs = Vec::new();
    for (i, p) in past.iter().enumerate() {
        let n = i + 1;
        inputs.push(input(
            format!("d{n}"),
            "day, counted from the first visit",
            p.day - past[0].day,
            "d",
        ));
        inputs.push(input(format!("r{n}"), "rise at rated load", p.rise_k, "K"));
    }
    let mut results = vec![
        input("s", "slope", trend.slope.k_per_year, "K/a"),
        input(
            "s_low",
            "low end of its interval of about 95 %",
            trend.slope.low,
            "K/a",
        ),
        input("s_high", "high end", trend.slope.high, "K/a"),
    ];
    if let Some((edge, _)) = next_edge(now, about.found, about.rules) {
        inputs.push(input("e", "rise at which the next grade begins", edge, "K"));
        if let Some(reach) = trend.reaches(edge).filter(|_| trend.slope.significant) {
            let today = f64::from(about.visit.date.num_days_from_ce());
            results.push(input(
                "d_e",
                "days from this visit until then",
                reach.day - today,
                "d",
            ));
        }
    }
    steps.push(Step {
        id: "trend",
        name: "Slope over the visits".to_owned(),
        round: None,
        formula:
            "s = median of (r_j − r_i)/(d_j − d_i)·365.25 over all pairs; level = median of r − s·d"
                .to_owned(),
        inputs,
        results,
        uncertainty: None,
        source: "Theil 1950; Sen, Journal of the American Statistical Association 63 (1968)"
            .to_owned(),
        note: (!trend.slope.significant)
            .then(|| "The interval contains a slope of 0, so no date is given.".to_owned()),
    });
}

/// The change since one earlier visit.
fn change(about: &About<'_>, then: &Then<'_>, now: Estimate) -> Step {
    let k = about.coverage();
    let u_then = since::without_slow(then.rise.expanded.kelvin() / k, then.slow_k);
    let u_now = since::without_slow(now.expanded.kelvin() / k, about.found.slow.kelvin());
    let slow = since::slow(then, about.found);
    let u_now = libm::hypot(u_now, slow);
    let common = since::common(
        then,
        about.found,
        instruments::thermometer_serial(about.visit, about.circuit),
    )
    .min(u_then)
    .min(u_now);
    let change = trend::change_with(
        (then.rise.value.kelvin(), u_then),
        (now.value.kelvin(), u_now),
        common,
    );
    let own = |u: f64| ((u - common) * (u + common)).max(0.0).sqrt();
    let budget = Budget::new()
        .with("earlier", 1.0, own(u_then))
        .with("now", 1.0, own(u_now));
    let mut inputs = vec![
        input(
            "r_then",
            "rise at rated load then",
            then.rise.value.kelvin() / then.factor,
            "K",
        ),
        input("r_now", "rise at rated load now", now.value.kelvin(), "K"),
        input(
            "u_then",
            if then.factor == 1.0 {
                "its standard uncertainty"
            } else {
                "standard uncertainty of f·r_then"
            },
            u_then,
            "K",
        ),
        input("u_now", "its standard uncertainty", u_now, "K"),
    ];
    if slow > 0.0 {
        let name = "part of u_now for a slow part of the device: what it differs by from then";
        inputs.push(input("u_s", name, slow, "K"));
    }
    if common > 0.0 {
        let name =
            "part of both that is the same error: half the variance of the bias of one thermometer";
        inputs.push(input("c", name, common, "K"));
    }
    let mut formula =
        "Δ = r_now − r_then; z = Δ/u; P(hotter) = Φ(z); significant when |Δ| > U".to_owned();
    if then.factor != 1.0 {
        formula = formula.replacen("r_then", "f·r_then", 1)
            + "; f = mean of (I_now/I_then)ⁿ for n from n_1 to n_2";
        inputs.extend([
            input("I_then", "current rated then", then.rated.ampere(), "A"),
            input(
                "I_now",
                "current rated now",
                about.circuit.charger.load().ampere(),
                "A",
            ),
            input("n_1", "lowest exponent", about.load.exponents.low, "1"),
            input("n_2", "highest exponent", about.load.exponents.high, "1"),
            input(
                "f",
                "what brings the earlier rise to the current rated now",
                then.factor,
                "1",
            ),
        ]);
    }
    Step {
        id: "change",
        name: format!("Change since {} ({})", then.number, then.date),
        round: None,
        formula,
        inputs,
        results: vec![
            input("Δ", "change", change.change_k, "K"),
            input("z", "change over its standard uncertainty", change.z, "1"),
            input(
                "P(hotter)",
                "probability that it got hotter",
                change.probability_hotter,
                "1",
            ),
        ],
        uncertainty: Some(StepUncertainty::of(&budget, "u = √(u_then² + u_now² − 2·c²), c = 0 if not given", k)),
        source: about.rules.thermal.worse_than_before.source.clone(),
        note: about.found.measured_at_rated.map(|m| {
            format!(
                "The measured rise at rated load, {:.2} K, is compared in the same way, and the worse grade counts.",
                m.value.kelvin()
            )
        }),
    }
}
