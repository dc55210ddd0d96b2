//! From the readings to true temperature and rise, round by round, and whether the spot fitted the
//! target.

use super::about::About;
use super::explanation::{Step, StepUncertainty, input};
use crate::assess::heat::readings::Reduced;
use crate::assess::physics::{
    radiance::{Optics, true_temperature_grey},
    spot,
    uncertainty::{Accuracy, Budget},
};
use crate::quantity::Temperature;
use crate::visit::{Reading, Round};
use crate::vocabulary::CheckId;

pub(super) fn steps(about: &About<'_>, steps: &mut Vec<Step>) {
    let Some(heat) = &about.circuit.heat else {
        return;
    };
    for (value, reading) in about.taken.rounds.iter().zip(&about.taken.readings) {
        let Some(round) = heat.rounds.get(value.round) else {
            continue;
        };
        let reduced = about
            .thermometer
            .reduce(round, about.connection, reading, 0.0);
        if reduced.repeated.degrees > 0 {
            steps.push(mean(value.round, reading, &reduced));
        }
        steps.push(surface(about, value.round, &reduced));
        if let Some(air) = round.air.filter(|_| value.trusted) {
            steps.push(rise(about, value.round, air, &reduced));
        }
    }
    steps.extend(spot_step(about));
}

fn celsius(t: Temperature) -> f64 {
    t.celsius()
}

fn mean(round: usize, reading: &Reading, r: &Reduced) -> Step {
    let n = reading.temperatures.len();
    Step {
        id: "mean-reading",
        name: "Mean of repeated readings".to_owned(),
        round: Some(round),
        formula: "T_i = Σx/n; s² = Σ(x − T_i)²/(n − 1); u = s/√n".to_owned(),
        inputs: reading
            .temperatures
            .iter()
            .enumerate()
            .map(|(i, t)| input(format!("x{}", i + 1), "reading", celsius(*t), "°C"))
            .chain([input("n", "number of readings", n as f64, "1")])
            .collect(),
        results: vec![
            input("T_i", "mean shown", celsius(r.shown), "°C"),
            input("s", "scatter of one reading", r.repeated.deviation, "K"),
            input(
                "u",
                "standard uncertainty of the mean",
                r.repeated.standard,
                "K",
            ),
        ],
        uncertainty: None,
        source: "JCGM 100:2008, 4.2".to_owned(),
        note: None,
    }
}

/// Inputs that show how a thermometer's half-width is obtained.
fn half_width(accuracy: &Accuracy, at: Temperature, of: &str) -> Vec<super::explanation::Input> {
    vec![
        input(
            format!("p{of}"),
            "accuracy, share of the reading in °C",
            accuracy.of_reading,
            "1",
        ),
        input(
            format!("b{of}"),
            "accuracy, at least",
            accuracy.at_least_k,
            "K",
        ),
        input(
            format!("a{of}"),
            format!("half-width, the larger of p{of}·|t| and b{of}"),
            accuracy.half_width(at).kelvin(),
            "K",
        ),
    ]
}

fn surface(about: &About<'_>, round: usize, r: &Reduced) -> Step {
    let mut inputs = vec![input(
        "T_i",
        "shown by the thermometer",
        celsius(r.shown),
        "°C",
    )];
    let mut note = None;
    let formula = if about.thermometer.contact {
        "T = T_i"
    } else if let (Some(s), Some(t)) = (r.surface, r.corrected) {
        inputs.push(input(
            "ε_s",
            "emissivity set on the thermometer",
            about.thermometer.set,
            "1",
        ));
        inputs.push(input("ε", "emissivity of the surface", s.taken, "1"));
        inputs.push(input(
            "T_r",
            if r.reflected_measured {
                "reflected temperature, measured"
            } else {
                "reflected temperature, assumed equal to the air's"
            },
            celsius(r.reflected),
            "°C",
        ));
        let set_reflected = r.set_reflected;
        if let Some(t) = set_reflected {
            inputs.push(input(
                "T_rs",
                if about.thermometer.set_reflected.is_some() {
                    "reflected temperature set on the thermometer"
                } else {
                    "reflected temperature used by the thermometer, assumed equal to the air's"
                },
                celsius(t),
                "°C",
            ));
        }
        inputs.push(input("c_i", "∂T/∂T_i", t.by_shown, "1"));
        inputs.push(input("c_ε", "∂T/∂ε", t.by_emissivity, "K"));
        inputs.push(input(
            "h_ε",
            "half-width of the emissivity",
            s.half_width,
            "1",
        ));
        if t.by_reflected != 0.0 {
            inputs.push(input("c_r", "∂T/∂T_r", t.by_reflected, "1"));
        }
        let optics = Optics {
            set: about.thermometer.set,
            surface: s.taken,
            reflected: r.reflected,
            set_reflected,
        };
        note = true_temperature_grey(r.shown, &optics).ok().map(|grey| {
            format!(
                "Check by the fourth-power formula T = [(ε_s·T_i⁴ + (1 − ε_s)·T_rs⁴ − (1 − \
                 ε)·T_r⁴)/ε]^¼ in kelvin: {:.2} °C. Without T_rs the thermometer is assumed to \
                 use T_r.",
                grey.celsius()
            )
        });
        "ε·L(T) + (1 − ε)·L(T_r) = ε_s·L(T_i) + (1 − ε_s)·L(T_rs), L: Planck radiance within the thermometer's band"
    } else if r.surface.is_none() {
        note = Some(
            "The surface may reflect more than it emits: no correction is trusted, and nothing is judged by this reading."
                .to_owned(),
        );
        "T is not known"
    } else {
        note = Some(
            "The reflection alone is stronger than what the thermometer saw: emissivity or reflected temperature cannot be right."
                .to_owned(),
        );
        "T is not known"
    };
    inputs.extend(half_width(&about.thermometer.accuracy, r.shown, ""));
    let usable = r.trusted;
    Step {
        id: "true-temperature",
        name: "True surface temperature".to_owned(),
        round: Some(round),
        formula: formula.to_owned(),
        inputs,
        results: if usable {
            vec![input("T", "surface temperature", celsius(r.temperature), "°C")]
        } else {
            Vec::new()
        },
        uncertainty: usable.then(|| {
            StepUncertainty::of(
                &r.budget,
                "u = √Σ(part²); instrument: c_i·a/√3, emissivity: c_ε·h_ε/√3, repeatability: c_i·s/√n, reflected: c_r·u(T_r)",
                about.coverage(),
            )
        }),
        source: "JCGM 100:2008, 4.3.7 and 5.1.2; Planck's law".to_owned(),
        note,
    }
}

fn rise(about: &About<'_>, round: usize, air: Temperature, r: &Reduced) -> Step {
    let usual = about.coverage();
    let coverage = r.coverage(usual);
    let budget = Budget::new()
        .with("surface", 1.0, r.u_own)
        .with("air", r.rise_by_air, r.u_air);
    let mut inputs = vec![
        input("T", "surface temperature", celsius(r.temperature), "°C"),
        input("A", "air in the same round", celsius(air), "°C"),
        input(
            "u(T)",
            "surface, without what comes from the air",
            r.u_own,
            "K",
        ),
        input("c_A", "∂r/∂A", r.rise_by_air, "1"),
        input("u(A)", "air, a_A/√3", r.u_air, "K"),
    ];
    inputs.extend(half_width(&about.thermometer.air_accuracy, air, "_A"));
    Step {
        id: CheckId::Rise.word(),
        name: "Rise over air".to_owned(),
        round: Some(round),
        formula: "r = T − A".to_owned(),
        inputs,
        results: vec![input("r", "rise over air", (r.temperature - air).kelvin(), "K")],
        uncertainty: Some(StepUncertainty::of(
            &budget,
            "u = √(u(T)² + (c_A·u(A))²); the two readings are assumed to have no common error",
            coverage,
        )),
        source: "JCGM 100:2008, 5.1.2".to_owned(),
        note: (coverage != usual).then(|| {
            "The coverage factor is Student's for the effective degrees of freedom, because few readings were repeated (JCGM 100:2008, G.4.1).".to_owned()
        }),
    }
}

/// The largest spot among the connection's readings.
fn spot_step(about: &About<'_>) -> Option<Step> {
    let instrument = about
        .circuit
        .heat
        .as_ref()
        .and_then(|h| about.visit.instrument(&h.with))?;
    let ratio = instrument.distance_to_spot?;
    let width = about.connection.width?;
    let share = &about.rules.thermal.spot_share;
    let distance = about
        .taken
        .readings
        .iter()
        .filter_map(|r| r.distance)
        .max_by(|a, b| a.metre().total_cmp(&b.metre()))?;
    let found = spot::spot(distance, ratio, width, share.value)?;
    let mm = |l: crate::quantity::Length| l.metre() * 1e3;
    Some(Step {
        id: "spot",
        name: "Spot on the target".to_owned(),
        round: None,
        formula: "D = d/q; too wide when D > p·w; q_fit = d/(p·w)".to_owned(),
        inputs: vec![
            input("d", "largest distance measured from", mm(distance), "mm"),
            input("q", "distance to spot", ratio.value(), "1"),
            input("w", "width of the target", mm(width), "mm"),
            input(
                "p",
                "share of the target that the spot may cover",
                share.value,
                "1",
            ),
        ],
        results: vec![
            input("D", "diameter of the spot", mm(found.diameter), "mm"),
            input(
                "q_fit",
                "smallest distance to spot that fits at this distance",
                found.needed.value(),
                "1",
            ),
        ],
        uncertainty: None,
        source: share.source.clone(),
        note: Some(
            if found.too_wide {
                "The spot was too wide: it took in what lies behind the target."
            } else {
                "The spot fitted."
            }
            .to_owned(),
        ),
    })
}

/// The round's time of day, used in the names of inputs.
pub(super) fn clock(round: &Round) -> String {
    let s = round.at.time.seconds();
    format!("{:02}:{:02}", s / 3600, s / 60 % 60)
}
