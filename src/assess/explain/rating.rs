//! Projected temperature, rating, margin and grades of a connection's heat.

use super::about::About;
use super::explanation::{Input, Step, StepUncertainty, input};
use crate::assess::assessment::CheckResult;
use crate::assess::heat::measured::{hottest_air, limit, product_rise};
use crate::assess::physics::uncertainty::{Budget, probability_over};
use crate::rules::Bands;
use crate::visit::ConnectionKind;
use crate::vocabulary::{CheckId, RatingOf};

pub(super) fn steps(about: &About<'_>, steps: &mut Vec<Step>) {
    let (rating, origin) = limit(about.circuit, about.connection, about.rules);
    let unmarked = &about.rules.thermal.unmarked_terminal_c;
    let product = product_rise(about.connection, about.rules);
    let inputs = match origin {
        RatingOf::Cover => vec![input(
            "T_o",
            format!(
                "hottest air plus the {} K that a cover people touch may rise",
                about.rules.thermal.cover_rise_k.value
            ),
            rating.celsius(),
            "°C",
        )],
        _ => part_ratings(about),
    };
    steps.push(Step {
        id: "rating",
        name: "Lowest temperature rating".to_owned(),
        round: None,
        formula: "T_max = the lowest of the ratings".to_owned(),
        inputs,
        results: vec![input(
            "T_max",
            format!("rating of the {origin}"),
            rating.celsius(),
            "°C",
        )],
        uncertainty: None,
        source: match (origin, product) {
            (RatingOf::UnmarkedTerminal, _) => unmarked.source.clone(),
            (RatingOf::ProductStandard, Some(rise)) => rise.source.clone(),
            (RatingOf::Cover, _) => about.rules.thermal.cover_rise_k.source.clone(),
            _ => about.rules.thermal.over_rating.source.clone(),
        },
        note: None,
    });
    let (Some(rise), Some(projected), Some(margin)) = (
        about.found.projected_rise,
        about.found.projected,
        about.found.margin,
    ) else {
        return;
    };
    let k = about.coverage();
    let u = rise.expanded.kelvin() / k;
    let budget = Budget::new().with("rise", 1.0, u);
    let air = hottest_air(about.circuit, about.rules);
    let risen = match about.found.without_load {
        Some(_) => "rise at rated load, with what it is over the air without load (e = 0 above)",
        None => "rise at rated load",
    };
    steps.push(Step {
        id: "projected",
        name: "Temperature on the hottest day at rated load".to_owned(),
        round: None,
        formula: "T_p = A_h + r_r; m = T_max − T_p; P(over) = Φ(−m/u)".to_owned(),
        inputs: vec![
            input(
                "A_h",
                "hottest air expected, a design value",
                air.celsius(),
                "°C",
            ),
            input("r_r", risen, rise.value.kelvin(), "K"),
            input("T_max", "rating", rating.celsius(), "°C"),
            input("u", "standard uncertainty of the rise", u, "K"),
        ]
        .into_iter()
        .chain(about.found.hidden.map(|hidden| {
            let name = "share of a joint's own excess that its insulation may hide, in u";
            input("h", name, hidden, "1")
        }))
        .collect(),
        results: vec![
            input("T_p", "projected temperature", projected.celsius(), "°C"),
            input("m", "margin", margin.kelvin(), "K"),
            input(
                "P(over)",
                "probability that the true value is over the rating",
                probability_over(projected.kelvin(), u, rating.kelvin()),
                "1",
            ),
        ],
        uncertainty: Some(StepUncertainty::of(&budget, "u of the rise", k)),
        source: "JCGM 106:2012, 7.2.2".to_owned(),
        note: None,
    });
    for (id, name, bands) in [
        (
            CheckId::Rise,
            "Grade of the rise",
            &about.rules.thermal.rise,
        ),
        (
            CheckId::ProjectedHeat,
            "Grade of the margin",
            &about.rules.thermal.projected_margin,
        ),
    ] {
        if let Some(finding) = about.leading(id) {
            steps.push(grade("grade", name, finding, bands));
            steps.extend(would_show(finding));
        }
    }
}

/// The ratings of the parts at a connection.
fn part_ratings(about: &About<'_>) -> Vec<Input> {
    let unmarked = &about.rules.thermal.unmarked_terminal_c;
    let product = product_rise(about.connection, about.rules);
    let stated = about
        .connection
        .rating
        .or(about.circuit.breaker.terminal_rating);
    let mut inputs = Vec::new();
    match (stated, product) {
        (Some(t), _) => inputs.push(input("T_t", "rating of the terminal", t.celsius(), "°C")),
        (None, Some(_)) => {}
        (None, None) => inputs.push(input(
            "T_t",
            "terminal without a stated rating",
            unmarked.value,
            "°C",
        )),
    }
    if let Some(rise) = product {
        inputs.push(input(
            "T_s",
            format!(
                "hottest air plus the {} K that the product standard allows",
                rise.value
            ),
            hottest_air(about.circuit, about.rules).celsius() + rise.value,
            "°C",
        ));
    }
    inputs.push(input(
        "T_c",
        "rating of the conductor's insulation",
        about.circuit.conductors.insulation.celsius(),
        "°C",
    ));
    if let Some(t) = about
        .circuit
        .receptacle
        .as_ref()
        .filter(|_| about.connection.kind == ConnectionKind::Blade)
        .and_then(|r| r.rating)
    {
        inputs.push(input("T_x", "rating of the receptacle", t.celsius(), "°C"));
    }
    inputs
}

/// The smallest fault that a check would have shown.
pub(super) fn would_show(finding: &CheckResult) -> Option<Step> {
    let shown = finding.would_show?;
    let (name, formula) = match finding.id {
        CheckId::ProjectedHeat => (
            "largest margin that it graded watch in 95 of 100 cases",
            "m = (T_max − A_h) − D, with D as for a rise",
        ),
        _ => (
            "smallest fault at rated current that it graded watch in 95 of 100 cases",
            "D = f·(x + 1.645·√(u² + (x·u_f/f)²)), x = min(w, max(w/f, k·u)); w: edge of watch, u: standard uncertainty as read, f: factor to the rated current with its standard uncertainty u_f",
        ),
    };
    let needed = [
        input(
            "I",
            "current from which a fault to be repaired shows",
            shown.current.ampere(),
            "A",
        ),
        input(
            "a",
            "or half-width of an instrument that shows it",
            shown.accuracy.kelvin(),
            "K",
        ),
    ];
    let enough = shown.shows_repair;
    Some(Step {
        id: "would-show",
        name: "Smallest fault that it would have shown".to_owned(),
        round: None,
        formula: formula.to_owned(),
        inputs: Vec::new(),
        results: [input("D", name, shown.smallest, "K")]
            .into_iter()
            .chain(needed.into_iter().filter(|_| !enough))
            .collect(),
        uncertainty: None,
        source: "JCGM 106:2012, table 1, one-sided 95 %".to_owned(),
        note: (!enough).then(|| {
            "A fault to be repaired could have been missed: the check cannot tell.".to_owned()
        }),
    })
}

/// The bands for a value, and the one that contains it.
pub(super) fn grade(id: &'static str, name: &str, finding: &CheckResult, bands: &Bands) -> Step {
    let edges = bands.edges.iter().map(|e| {
        let kind = if e.inclusive { "from" } else { "over" };
        input(
            format!("{kind} {}", e.grade.word()),
            "edge of the band",
            e.at,
            finding.unit,
        )
    });
    let value = finding.value.unwrap_or(f64::NAN);
    let mut results = vec![input("x", "value graded", value, finding.unit)];
    if let Some(p) = finding.probability_over {
        results.push(input(
            "P(over)",
            "probability of being over the edge",
            p,
            "1",
        ));
    }
    Step {
        id,
        name: name.to_owned(),
        round: None,
        formula: "the band in which the value lies (simple acceptance; for a margin the edges count downwards and are negated)"
            .to_owned(),
        inputs: edges.collect(),
        results,
        uncertainty: None,
        source: bands.source.clone(),
        note: Some(format!(
            "Grade: {}. Below the first edge: {}.{}",
            finding.grade.word(),
            bands.below.word(),
            if finding.borderline {
                " Borderline: value ± U straddles an edge, the nearest of which the probability is of."
            } else {
                ""
            }
        )),
    }
}
