//! The temperature at which the rounds settle, and the rise at rated load.

use super::about::About;
use super::corrected_reading::clock;
use super::explanation::{Input, Share, Step, StepUncertainty, input};
use crate::assess::assessment::{Ends, Estimate, RatedBy, Settled, SettledHow};
use crate::assess::heat::{rated::AtRated, without_load};
use crate::quantity::Current;

pub(super) fn steps(about: &About<'_>, steps: &mut Vec<Step>) {
    let Some(curve) = about.curve() else { return };
    let at_rated = curve.at_rated();
    let determined = at_rated.settled.filter(|s| s.how.is_settled());
    let (points, heating) = curve.points();
    if let Some(settled) = at_rated.settled {
        let mut inputs = Vec::new();
        for (i, p) in points.iter().enumerate() {
            let n = i + 1;
            inputs.push(input(
                format!("t{n}"),
                "minutes since charging began",
                p.minutes,
                "min",
            ));
            inputs.push(input(format!("r{n}"), "rise over air", p.rise_k, "K"));
            inputs.push(input(
                format!("u{n}"),
                "its standard uncertainty",
                p.u_rise_k,
                "K",
            ));
            inputs.push(input(format!("I{n}"), "current", p.current_a, "A"));
            inputs.push(input(format!("A{n}"), "air", p.air_c, "°C"));
        }
        if settled.slow.kelvin() > 0.0 {
            let thermal = &about.rules.thermal;
            let (share, slow) = (
                thermal.slow_share.value,
                thermal.slow_time_constant_min.value,
            );
            inputs.push(input("p", "largest share of a slow part", share, "1"));
            inputs.push(input("τ_s", "its time constant", slow, "min"));
        }
        inputs.push(input("n", "exponent of the load", heating.exponent, "1"));
        inputs.push(input(
            "r_0",
            "rise when charging began, 0 unless beyond its uncertainty",
            heating.start_rise_k,
            "K",
        ));
        if let Some(common) = heating.common_share {
            inputs.push(input(
                "s",
                "share of the variance that differs from round to round",
                1.0 - common,
                "1",
            ));
        }
        if let Some(air) = heating.start_air_c {
            inputs.push(input("A_0", "air before charging", air, "°C"));
        }
        steps.push(settling(about, settled, inputs));
    }
    if let Some((lower, settled)) = &at_rated.least {
        steps.push(least(about, *lower, *settled));
    }
    if let (Some(round), Some(measured)) = (at_rated.measured_round, at_rated.measured) {
        steps.extend(measured_step(about, round, measured));
    }
    if let Some(settled) = determined {
        steps.extend(scaled(about, settled, false));
    }
    if let Some((_, least)) = &at_rated.least {
        steps.extend(scaled(about, *least, true));
    }
    steps.extend(largest(about, &at_rated));
    steps.extend(about.found.ends.and_then(|e| ends(about, e)));
}

/// Where the rise ends by the rounds so far, and the reading that would decide what is still open.
fn ends(about: &About<'_>, ends: Ends) -> Option<Step> {
    let known = [
        (
            "r_1",
            "least rise at rated load, less U without a slow part",
            ends.least,
        ),
        ("r_2", "largest rise at rated load, plus U", ends.most),
    ];
    let known = known.into_iter();
    let mut results: Vec<Input> = known
        .filter_map(|(symbol, name, value)| Some(input(symbol, name, value?.kelvin(), "K")))
        .collect();
    if let Some(deciding) = ends.change.and_then(|c| c.deciding) {
        let what = "read again, minutes since charging began";
        results.push(input("t", what, deciding.minutes, "min"));
        let what = "what has to be read below then, for no grade to change";
        results.push(input("r_t", what, deciding.below.kelvin(), "K"));
    }
    let tau = &about.rules.thermal.longest_time_constant_min;
    (!results.is_empty()).then(|| Step {
        id: "ends",
        name: "Where the rise ends".to_owned(),
        round: None,
        formula: "settled: r_r − U to r_r + U, the lower end without u_s; otherwise r_2 = r_m/(1 − e^(−t/τ)) + U with the largest time constant τ; decided below r_t = E/f·(1 − e^(−t/τ)), E the edge of the next grade".to_owned(),
        inputs: vec![input("τ", "largest time constant", tau.value, "min")],
        results,
        uncertainty: None,
        source: tau.source.clone(),
        note: Some(match ends.change {
            None => "No grade of the rise, the margin or the legs can change any more.".to_owned(),
            Some(change) => format!(
                "{} can still become {}.",
                change.check.word(),
                change.grade.word()
            ),
        }),
    })
}

fn whole(settled: Settled, about: &About<'_>, formula: &str) -> StepUncertainty {
    let k = about.coverage();
    let standard = settled.rise.expanded.kelvin() / k;
    let slow = settled.slow.kelvin();
    let readings = ((standard - slow) * (standard + slow)).max(0.0).sqrt();
    // The two are added as they are.
    let part = |name, part: f64| Share {
        name,
        standard: part,
        share: part / standard,
    };
    let mut shares = vec![part("readings", readings)];
    if slow > 0.0 {
        shares.push(part("slow part", standard - readings));
    }
    StepUncertainty {
        formula: formula.to_owned(),
        shares,
        standard,
        coverage: k,
        expanded: settled.rise.expanded.kelvin(),
    }
}

fn settling(about: &About<'_>, settled: Settled, inputs: Vec<Input>) -> Step {
    let (formula, note) = match settled.how {
        SettledHow::TwoRounds | SettledHow::LeastSquares => (
            "from round to round, d minutes after the one before (the first after charging began): r ← r + (R·(I_i/I)ⁿ − τ·(A_i − A_before)/d − r)·(1 − e^(−d/τ)), begun at r_0; at one current, in steady air and from cold r(t) = R·(1 − e^(−t/τ)). R and τ by least squares with weights 1/u²",
            "Put R and τ into the formula: it gives the rises back, exactly for two rounds at one current. Without air before charging the first round has no change of air. Wait: τ·ln((R − r)/1 K) with r the last rise on the curve.",
        ),
        SettledHow::Measured => (
            "R = Σ(r/u²)/Σ(1/u²)",
            "The rises are equal within their uncertainty, and one that still climbed would have shown it: the plateau itself was measured.",
        ),
        SettledHow::StillClimbing => (
            "R is not known",
            "A straight climb fits as well as any curve: the rounds show no bend, and where it ends is not made up. The value is the largest measured rise, a lower bound.",
        ),
        SettledHow::TooUncertain => (
            "R is not known",
            "The rises are too small against their uncertainty to distinguish climbing from \
             settled. The value is the largest measured rise, a lower bound.",
        ),
        SettledHow::Contradictory => (
            "R is not known",
            "The rises contradict a body that warms up under this current by more than their uncertainty. The value is the largest of them.",
        ),
        SettledHow::OneRound => (
            "R is not known",
            "One round under load shows no curve. The value is the measured rise, a lower bound.",
        ),
    };
    let mut results = vec![
        input("R", "settled rise", settled.rise.value.kelvin(), "K"),
        input("I", "current it belongs to", settled.current.ampere(), "A"),
    ];
    if let Some(t) = settled.time_constant_min {
        results.push(input("τ", "time constant", t, "min"));
    }
    if let Some(rate) = settled.rate_k_per_h {
        results.push(input("dr/dt", "rate at the last round", rate, "K/h"));
    }
    if let Some(wait) = settled.wait_min {
        results.push(input("wait", "until within 1 K of settled", wait, "min"));
    }
    Step {
        id: "settled",
        name: "Settled rise".to_owned(),
        round: None,
        formula: formula.to_owned(),
        inputs,
        results,
        uncertainty: Some(whole(
            settled,
            about,
            "√(s·u_i² + (1 − s)·u_c²) + u_s, to first order: u_i if the errors of the readings were independent, u_c if they were one common error, s the share of their variance that differs from round to round; u_s = p·R·e^(−t/τ_s)/k, the most that a slow part of the device may add, t minutes after the current began, 0 if R is not known",
        )),
        source: "first-order heating of one body; JCGM 100:2008, 5.1.2 and F.2.4.5".to_owned(),
        note: Some(note.to_owned()),
    }
}

fn least(about: &About<'_>, lower: f64, settled: Settled) -> Step {
    Step {
        id: "least-settled",
        name: "Least settled rise".to_owned(),
        round: None,
        formula: "R_least: what the rounds would determine if the last reading had been lower by δ"
            .to_owned(),
        inputs: vec![input(
            "δ",
            "smallest reduction of the last reading that determines a rise",
            lower,
            "K",
        )],
        results: vec![
            input(
                "R_least",
                "settled rise determined in this way",
                settled.rise.value.kelvin(),
                "K",
            ),
            input("I", "current it belongs to", settled.current.ampere(), "A"),
        ],
        uncertainty: Some(whole(settled, about, "as for a settled rise")),
        source: "the engine's own rule: a hotter reading never improves a grade".to_owned(),
        note: Some(
            "Read hotter than that, the connection cannot settle lower. It is a bound, not a plateau."
                .to_owned(),
        ),
    }
}

/// Inputs and uncertainty budget of a rise scaled to rated load, less what the connection keeps
/// without load.
fn to_rated(
    about: &About<'_>,
    rise: Estimate,
    current: Current,
) -> Option<(Vec<Input>, crate::assess::physics::load_scaling::Scaled)> {
    let k = about.coverage();
    let kept = about.found.without_load;
    let u = rise.expanded.kelvin() / k;
    let (less, u_less) = without_load::less(kept, rise.value.kelvin(), u, k);
    let scaled = about.load.at_rated(less, u_less, current)?;
    let mut inputs = vec![input("u(r)", "its standard uncertainty, U/k", u, "K")];
    if let Some(kept) = kept {
        let (e, u_e) = (kept.value.kelvin(), kept.expanded.kelvin() / k);
        inputs.push(input("e", "what it is over the air without load", e, "K"));
        inputs.push(input("u(e)", "its standard uncertainty", u_e, "K"));
    }
    inputs.extend([
        input("I_r", "rated current", about.load.rated.ampere(), "A"),
        input("n_1", "lowest exponent", about.load.exponents.low, "1"),
        input("n_2", "highest exponent", about.load.exponents.high, "1"),
        input(
            "u(I)",
            "current, half-width over √3",
            about.load.u_current(current).ampere(),
            "A",
        ),
        input(
            "f",
            "mean of (I_r/I)ⁿ for n from n_1 to n_2, (q^n_2 − q^n_1)/((n_2 − n_1)·ln q) with q = I_r/I",
            scaled.factor,
            "1",
        ),
    ]);
    Some((inputs, scaled))
}

const SCALED_U: &str = "u = √Σ(part²); rise: f·√(u(r)² + u(e)²), current: (r − e)/I·u(I) times the mean of n·qⁿ, exponent: r − e times the standard deviation of qⁿ; without an excess e is 0";

fn scaled_formula(about: &About<'_>) -> &'static str {
    match about.found.without_load {
        Some(_) => "f·(r − e); below 0, r − e",
        None => "f·r; below 0, r",
    }
}

fn measured_step(about: &About<'_>, round: usize, measured: Estimate) -> Option<Step> {
    let value = about.taken.rounds.iter().find(|r| r.round == round)?;
    let rise = value.rise?;
    let current = Current::from_ampere(*about.load.largest.get(round)?);
    let (rest, scaled) = to_rated(about, rise, current)?;
    let name = about
        .circuit
        .heat
        .as_ref()
        .and_then(|h| h.rounds.get(round))
        .map_or_else(String::new, clock);
    let mut inputs = vec![
        input(
            "r",
            format!("rise measured at {name}"),
            rise.value.kelvin(),
            "K",
        ),
        input("I", "largest current up to then", current.ampere(), "A"),
    ];
    inputs.extend(rest);
    Some(Step {
        id: "measured-at-rated",
        name: "Largest measured rise at rated load".to_owned(),
        round: Some(round),
        formula: format!("r_m = {}", scaled_formula(about)),
        inputs,
        results: vec![input("r_m", "measured rise at rated load", measured.value.kelvin(), "K")],
        uncertainty: Some(StepUncertainty::of(&scaled.budget, SCALED_U, about.coverage())),
        source: about.rules.thermal.exponent_range.source.clone(),
        note: Some(
            "The round in which this is largest. A body under no more than this current cannot have got hotter than it settles to: a lower bound."
                .to_owned(),
        ),
    })
}

/// The settled rise at rated load, or the lower bound on it.
fn scaled(about: &About<'_>, settled: Settled, least: bool) -> Option<Step> {
    let (id, what, name, symbol) = if least {
        (
            "least-at-rated",
            "least settled rise",
            "Least settled rise at rated load",
            "r_l",
        )
    } else {
        (
            "settled-at-rated",
            "settled rise",
            "Settled rise at rated load",
            "r_s",
        )
    };
    let (rest, scaled) = to_rated(about, settled.rise, settled.current)?;
    let mut inputs = vec![
        input("r", what, settled.rise.value.kelvin(), "K"),
        input("I", "current it belongs to", settled.current.ampere(), "A"),
    ];
    inputs.extend(rest);
    Some(Step {
        id,
        name: name.to_owned(),
        round: None,
        formula: format!("{symbol} = {}", scaled_formula(about)),
        inputs,
        results: vec![input(
            symbol,
            format!("{what} at rated load"),
            scaled.rise.kelvin(),
            "K",
        )],
        uncertainty: Some(StepUncertainty::of(
            &scaled.budget,
            SCALED_U,
            about.coverage(),
        )),
        source: about.rules.thermal.exponent_range.source.clone(),
        note: None,
    })
}

fn largest(about: &About<'_>, at_rated: &AtRated) -> Option<Step> {
    let (rise, by) = at_rated.rise?;
    let k = about.coverage();
    let taken = match by {
        RatedBy::Settled => "the settled rise",
        RatedBy::LeastSettled => "the least settled rise",
        RatedBy::Measured => "the measured rise",
    };
    let standard = rise.expanded.kelvin() / k;
    Some(Step {
        id: "rise-at-rated",
        name: "Rise at rated load".to_owned(),
        round: None,
        formula: "r_r = the largest of those at rated load above: r_s, r_l and r_m".to_owned(),
        inputs: Vec::new(),
        results: vec![input("r_r", "rise at rated load", rise.value.kelvin(), "K")],
        uncertainty: Some(StepUncertainty {
            formula:
                "that of the largest; of r_m if R is known: √(u² + f²·(u(R)² − (u(R) − u_s)²))"
                    .to_owned(),
            shares: Vec::new(),
            standard,
            coverage: k,
            expanded: rise.expanded.kelvin(),
        }),
        source: about.rules.thermal.exponent_range.source.clone(),
        note: Some(format!("Taken: {taken}.")),
    })
}
