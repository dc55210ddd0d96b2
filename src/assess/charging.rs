//! Whether charging may go on until a finding has been repaired, and at which current.
//!
//! A limit is given only where the load is the cause. A rise R with its expanded uncertainty U at
//! the rated current I_r stays below an allowed rise A at I = I_r·(A/(R + U))^(1/n), where n is the
//! lowest exponent of the rule set. For a lower load, the lowest exponent gives the lowest current
//! and so errs on the safe side. A device or conductor with a continuous-load factor f carries
//! rating/f.

use super::assessment::{CheckResult, ConnectionAssessment, Value};
use super::circuit::load_factor;
use super::diagnose::{shows_heat, shows_poor_joint};
use super::finding::{Charging, Finding};
use crate::quantity::Current;
use crate::rules::Rules;
use crate::visit::{Circuit, Grade};
use crate::vocabulary::{Cause, CauseId, CheckId, ValueName, WhileUnrepaired};

/// Lowest current that a charger can be set to (IEC 61851-1, control pilot: 10 % duty cycle is
/// 6 A), and the step of settings taken if the visit does not list them.
const STEP_A: f64 = 6.0;

/// Whether charging may go on until a finding has been repaired.
pub(super) fn advice(
    finding: &Finding,
    checks: &[CheckResult],
    circuit: Option<&Circuit>,
    connections: &[ConnectionAssessment],
    rules: &Rules,
) -> Charging {
    match (finding.grade, finding.cause.unrepaired()) {
        (Grade::Stop, _) => Charging::NotAtAll,
        (Grade::Pass | Grade::Note | Grade::Watch, _) => Charging::AsUsual,
        // Terminals that do not suit the metal, and are warm already, are poor joints.
        (Grade::Repair, _)
            if finding.cause == Cause::Known(CauseId::UnsuitableTerminals)
                && finding.checks(checks).any(|c| {
                    c.effective_grade() >= Grade::Watch && (shows_heat(c) || shows_poor_joint(c))
                }) =>
        {
            Charging::NotAtAll
        }
        (Grade::Repair, WhileUnrepaired::AsUsual) => Charging::AsUsual,
        (Grade::Repair, WhileUnrepaired::NotAtAll) => Charging::NotAtAll,
        // If only one place is too hot, the load alone is not the reason.
        (Grade::Repair, WhileUnrepaired::Limited)
            if finding.cause == Cause::Known(CauseId::HotPlace)
                && finding
                    .checks(checks)
                    .any(|c| c.id == CheckId::Rise && c.effective_grade() >= Grade::Repair) =>
        {
            Charging::NotAtAll
        }
        (Grade::Repair, WhileUnrepaired::Limited) => {
            let Some(circuit) = circuit else {
                return Charging::NotAtAll;
            };
            let limits = finding
                .checks(checks)
                .filter(|c| c.effective_grade() >= Grade::Repair)
                .filter_map(|c| limit_a(c, circuit, connections, rules));
            // A charger that drew more than it should cannot be relied on to keep to its rated
            // current.
            let drawn = finding
                .checks(checks)
                .filter(|c| c.id == CheckId::ChargingCurrent)
                .filter_map(|c| c.value)
                .fold(circuit.charger.load().ampere(), f64::max);
            setting(circuit, limits.fold(f64::INFINITY, f64::min), drawn)
        }
    }
}

/// The largest current, in amperes, at which the failed check would pass.
fn limit_a(
    check: &CheckResult,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<f64> {
    let rated = circuit.charger.load().ampere();
    match check.id {
        // A part rated for `value` may carry value/factor for hours; the check required
        // factor·rated.
        CheckId::ContinuousLoad | CheckId::ConductorContinuous => {
            Some(rated * check.value? / check.limit?)
        }
        // The corrected ampacity is the load that the conductors carry.
        CheckId::ConductorAmpacity => check.value,
        // What the warm breaker carries.
        CheckId::BreakerDerating => check.value,
        // The charger's current is reduced by what the loads together draw too much.
        CheckId::LoadManagement => {
            let factor = load_factor(circuit, rules);
            Some(rated - (check.limit? - check.value?) / factor)
        }
        // The charger's current is reduced by what the feeder carries too much.
        CheckId::FeederAmpacity => Some(rated - (check.limit? - check.value?)),
        // The limit is the largest device allowed; the load may be what that device carries for
        // hours.
        CheckId::ConductorProtection | CheckId::SmallConductor => {
            Some(check.limit? / load_factor(circuit, rules))
        }
        // The limit is 1.45 times the ampacity (IEC 60364-4-43, 433.1).
        CheckId::OverloadProtection => Some(check.limit? / 1.45),
        // A rating that the voltage, or the load itself, exceeds is not solved by a lower current.
        CheckId::ReceptacleRating | CheckId::ReceptacleConfiguration => {
            let exceeded = match check.id {
                CheckId::ReceptacleRating => check.value? < rated,
                _ => check.value? > check.limit?,
            };
            Some(if exceeded { 0.0 } else { rated })
        }
        CheckId::ChargingCurrent => match check.values.get(&ValueName::Most) {
            Some(Value::Current(most)) => Some(most.ampere()),
            _ => Some(rated),
        },
        CheckId::ProjectedHeat | CheckId::Rise => check
            .connections
            .iter()
            .filter_map(|id| connections.iter().find(|c| c.id == *id))
            .filter_map(|connection| thermal_limit_a(check.id, connection, rated, rules))
            .reduce(f64::min),
        _ => None,
    }
}

fn thermal_limit_a(
    check: CheckId,
    connection: &ConnectionAssessment,
    rated: f64,
    rules: &Rules,
) -> Option<f64> {
    // What it keeps without load does not shrink with the load.
    let kept = connection.without_load.map_or(0.0, |e| e.value.kelvin());
    let (rise, allowed) = match check {
        CheckId::ProjectedHeat => {
            // Margin at the rated current plus the rise at it: the rise that the rating allows.
            let rise = connection.projected_rise?;
            let room = connection.margin?.kelvin() + rise.value.kelvin();
            (
                rise.value.kelvin() + rise.expanded.kelvin() - kept,
                room - kept,
            )
        }
        _ => {
            let edges = &rules.thermal.rise.edges;
            let edge = edges.iter().find(|e| e.grade >= Grade::Repair)?.at;
            let rise = connection.rise_at_rated?;
            (rise.value.kelvin() + rise.expanded.kelvin(), edge)
        }
    };
    if allowed <= 0.0 {
        return Some(0.0);
    }
    let exponent = rules.thermal.exponent_range.value.low;
    Some(rated * (allowed / rise).min(1.0).powf(1.0 / exponent))
}

/// The charger's highest setting up to a given current and below the current that it draws
/// (`rated`, in amperes).
fn setting(circuit: &Circuit, limit_a: f64, rated: f64) -> Charging {
    if limit_a == f64::INFINITY || limit_a < STEP_A {
        return Charging::NotAtAll;
    }
    if limit_a >= rated {
        return Charging::AsUsual;
    }
    // A limit computed from a sum of decimals may differ from a setting in its last digits.
    let limit_a = limit_a * (1.0 + 1e-9);
    let steps = (1..).map(|n| f64::from(n) * STEP_A);
    let mut settings: Vec<f64> = steps.take_while(|a| *a < rated).collect();
    if !circuit.charger.settings.is_empty() {
        settings = circuit
            .charger
            .settings
            .iter()
            .map(|a| a.ampere())
            .collect();
    }
    settings
        .into_iter()
        .filter(|a| *a <= limit_a && *a >= STEP_A && *a < rated)
        .reduce(f64::max)
        .map_or(Charging::NotAtAll, |a| {
            Charging::AtMost(Current::from_ampere(a))
        })
}
