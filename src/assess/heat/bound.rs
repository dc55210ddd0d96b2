//! Whether the heat that is still to come could change a grade.
//!
//! Where the rounds do not show where a rise settles, it is bounded by the largest plausible time
//! constant τ: from r after the time t under one current, a body settles at no more than
//! r/(1 − e^(−t/τ)). If neither the rise, the projection nor the difference between legs would be
//! watched or worse at that bound than it is, the connection counts as settled.

use crate::assess::assessment::{CheckResult, ConnectionAssessment, SettledHow};
use crate::rules::{Bands, Rules};
use crate::visit::{Circuit, Grade};
use crate::vocabulary::CheckId;

/// Currents that differ by less than this fraction count as the same (our choice, no source).
const ONE_CURRENT: f64 = 0.02;

/// The largest factor by which the last rise of a connection can still grow; `None` if that is not
/// known: the start of charging is not, or the current varied.
pub(crate) fn growth(connection: &ConnectionAssessment, rules: &Rules) -> Option<f64> {
    let loaded = || {
        let rounds = connection.rounds.iter();
        rounds.filter(|r| r.trusted && r.rise.is_some() && r.current.ampere() > 0.0)
    };
    let last = loaded().next_back()?;
    let current = last.current.ampere();
    let steady = loaded().all(|r| (r.current.ampere() - current).abs() <= ONE_CURRENT * current);
    let minutes = last.minutes.filter(|m| *m > 0.0 && steady)?;
    let tau = rules.thermal.longest_time_constant_min.value;
    Some(-1.0 / libm::expm1(-minutes / tau))
}

/// Whether the heat still to come at a connection that did not show where it settles could change
/// the grade of its rise, its projection, or the difference between its place's legs, to `watch` or
/// worse.
pub(crate) fn may_change(
    circuit: &Circuit,
    connection: &ConnectionAssessment,
    checks: &[CheckResult],
    rules: &Rules,
) -> bool {
    let unknown = connection
        .settled
        .is_some_and(|s| matches!(s.how, SettledHow::StillClimbing | SettledHow::OneRound));
    if !unknown {
        return false;
    }
    let Some(growth) = growth(connection, rules) else {
        return true;
    };
    let thermal = &rules.thermal;
    let worse = |bands: &Bands, now: f64, then: f64| {
        let (now, then) = (bands.grade(now).0, bands.grade(then).0);
        then >= Grade::Watch && then > now
    };
    let by_rise = connection.rise_at_rated.is_some_and(|rise| {
        let now = rise.value.kelvin();
        let measured = connection
            .measured_at_rated
            .map_or(now, |m| m.value.kelvin());
        let then = (measured * growth).max(now);
        let over = |rise: f64| Some(rise - now - connection.margin?.kelvin());
        let projected = over(now).zip(over(then));
        worse(&thermal.rise, now, then)
            || projected.is_some_and(|(now, then)| worse(&thermal.projected_margin, now, then))
    });
    by_rise
        || checks
            .iter()
            .filter(|c| c.id == CheckId::LegDifference && c.circuit.as_ref() == Some(&circuit.id))
            .filter(|c| c.place.as_ref() == Some(&connection.place))
            .filter_map(|c| c.value)
            .any(|d| worse(&thermal.leg_difference, d, d * growth))
}
