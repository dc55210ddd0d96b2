//! Torque checks: the torque found and left at each connection, compared with the specified value
//! within the accuracy of the tool.
//!
//! A check made after installation does not reveal the installation torque, because the metal
//! relaxes (NFPA 70 (2023), Informative Annex I); it shows whether a fastener still moves before
//! the mark. The engine reports connections that were not checked at all and tools with an overdue
//! calibration.

use super::assessment::{CheckResult, Value, Values};
use super::earlier::Earlier;
use crate::quantity::Torque;
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, HalfWidth, Instrument, Place, TorqueCheck, TorqueFound, Visit,
};
use crate::vocabulary::{CheckId, ValueName, Variant};
use std::collections::HashMap;

/// The torque specified for a connection.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Torque to tighten to.
    pub torque: Torque,
    /// Source of a fallback value; `None` if the visit gives the manufacturer's value.
    pub fallback: Option<String>,
}

/// How a connection was left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// At the specified value, within the tool's accuracy.
    Right,
    /// Below it.
    Low,
    /// Above it.
    High,
    /// Not stated in the visit.
    Untold,
}

/// A judged torque check.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The specified value; `None` if neither the visit nor a fallback table gives one.
    pub wanted: Option<Wanted>,
    /// Half-width of the tool's accuracy at the specified value, N·m.
    pub half_width: f64,
    /// Whether the connection moved before the specified value was reached.
    pub moved: bool,
    /// Whether it was found tighter than specified.
    pub tight: bool,
    /// The torque it was left at: as stated, or as found if it did not move.
    pub left_at: Option<Torque>,
    /// How it was left.
    pub left: Left,
    /// Relative loss (0–1) from the specified value, if a value was found.
    pub lost: Option<f64>,
}

/// The torque specified for a connection: the manufacturer's value, otherwise one from a fallback
/// table by screw and conductor.
pub fn wanted(circuit: &Circuit, connection: &Connection, rules: &Rules) -> Option<Wanted> {
    let maker = connection.torque.map(|torque| Wanted {
        torque,
        fallback: None,
    });
    maker.or_else(|| {
        let screw = connection.screw.as_deref()?;
        let (torque, source) = rules.torque.fallback.find(screw, circuit.conductors.size)?;
        Some(Wanted {
            torque,
            fallback: Some(source.to_owned()),
        })
    })
}

/// Judges one torque check. If the tool is not known, the accuracy assumed by the rule set applies.
pub fn judge(
    circuit: &Circuit,
    connection: &Connection,
    check: &TorqueCheck,
    rules: &Rules,
    tool: Option<&Instrument>,
) -> Judged {
    let wanted = wanted(circuit, connection, rules);
    let Some(target) = wanted.as_ref().map(|w| w.torque.newton_metre()) else {
        return Judged {
            moved: matches!(check.found, TorqueFound::Moved),
            tight: false,
            left_at: check.left,
            left: Left::Untold,
            lost: None,
            half_width: 0.0,
            wanted,
        };
    };
    let half_width = half_width(target, rules, tool);
    let (moved, lost) = match check.found {
        TorqueFound::Held => (false, None),
        TorqueFound::Moved => (true, None),
        TorqueFound::Value(found) => {
            let found = found.newton_metre();
            (
                found < target - half_width - slack(target),
                Some((1.0 - found / target).max(0.0)),
            )
        }
    };
    let found = match check.found {
        TorqueFound::Value(found) => Some(found),
        TorqueFound::Held | TorqueFound::Moved => None,
    };
    let high = |t: f64| t > target + half_width + slack(target);
    let left_at = check.left.or(found.filter(|_| !moved));
    let left = match left_at.map(Torque::newton_metre) {
        Some(left) if left < target - half_width - slack(target) => Left::Low,
        Some(left) if high(left) => Left::High,
        Some(_) => Left::Right,
        None if moved => Left::Untold,
        None => Left::Right,
    };
    Judged {
        wanted,
        half_width,
        moved,
        tight: found.is_some_and(|f| high(f.newton_metre())),
        left_at,
        left,
        lost,
    }
}

/// Comparison slack, N·m: a unit conversion may be off in the last places.
fn slack(target: f64) -> f64 {
    target * 1e-9
}

/// Half-width of the tool's accuracy at a torque: the larger of its relative and fixed parts.
fn half_width(target: f64, rules: &Rules, tool: Option<&Instrument>) -> f64 {
    let stated = tool.and_then(|t| t.accuracy).map(|a| {
        let share = a.of_reading.map_or(0.0, |p| p.fraction() * target);
        match a.at_least {
            Some(HalfWidth::Torque(t)) => share.max(t.newton_metre()),
            _ => share,
        }
    });
    match stated {
        Some(a) if a > 0.0 => a,
        _ => rules.torque.assumed_accuracy.value * target,
    }
}

/// Whether a connection had moved, and was corrected, at the most recent earlier visit. A
/// connection remade since then counts as a new one.
fn moved_before(
    circuit: &Circuit,
    connection: &Connection,
    visit: &Visit,
    earlier: &[Earlier],
) -> bool {
    let last = earlier
        .iter()
        .filter(|e| e.date <= visit.date)
        .max_by_key(|e| e.date);
    let same = |(c, id): &(String, String)| *c == circuit.id && *id == connection.id;
    !connection.remade && last.is_some_and(|e| e.moved.iter().any(same))
}

/// The findings of all torque checks of a circuit, in the order of the file.
///
/// Ids: `torque-held` (pass), `torque-moved` (variant `corrected`, `again` if it had also been
/// corrected at the previous visit, or `untold` if the visit does not state what it was left at),
/// `torque-tight` (found tighter than specified, and corrected), `torque-left-wrong` (variant `low`
/// or `high`), `torque-no-value` (a note: no specified torque is known). Values: `wanted`, `found`,
/// `left`, `half_width`, `lost`, and `fallback` with the source of a fallback value.
pub fn findings(
    circuit: &Circuit,
    visit: &Visit,
    rules: &Rules,
    earlier: &[Earlier],
) -> Vec<CheckResult> {
    let connections: HashMap<&str, (&Place, &Connection)> = circuit
        .connections()
        .map(|(p, c)| (c.id.as_str(), (p, c)))
        .collect();
    circuit
        .torque
        .iter()
        .filter_map(|check| {
            let &(place, connection) = connections.get(check.connection.as_str())?;
            let tool = check.with.as_deref().and_then(|id| visit.instrument(id));
            let judged = judge(circuit, connection, check, rules, tool);
            let again = moved_before(circuit, connection, visit, earlier);
            Some(finding(circuit, place, check, judged, again, rules, tool))
        })
        .collect()
}

fn finding(
    circuit: &Circuit,
    place: &Place,
    check: &TorqueCheck,
    judged: Judged,
    again: bool,
    rules: &Rules,
    tool: Option<&Instrument>,
) -> CheckResult {
    let t = &rules.torque;
    let found = match check.found {
        TorqueFound::Value(v) => Some(v),
        _ => None,
    };
    let mut values = Values::new();
    if let Some(w) = &judged.wanted {
        values.insert(ValueName::Wanted, Value::Torque(w.torque));
        values.insert(
            ValueName::HalfWidth,
            Value::Torque(Torque::from_newton_metre(judged.half_width)),
        );
        if let Some(source) = &w.fallback {
            values.insert(ValueName::Fallback, Value::Text(source.clone()));
        }
    }
    if let Some(found) = found {
        values.insert(ValueName::Found, Value::Torque(found));
    }
    if let Some(left) = judged.left_at {
        values.insert(ValueName::Left, Value::Torque(left));
    }
    if let Some(lost) = judged.lost {
        values.insert(ValueName::Lost, Value::Percentage(lost));
    }
    let (id, variant, grade, value, source) = match (&judged.wanted, judged.left) {
        (None, _) => (
            CheckId::TorqueNoValue,
            None,
            // It moved, and nobody knows how tight it was left.
            if judged.moved && check.left.is_none() {
                t.left_untold.value
            } else {
                t.moved.value
            },
            check.left.or(found),
            &t.left_wrong.source,
        ),
        (Some(_), Left::Low) => (
            CheckId::TorqueLeftWrong,
            Some(Variant::Low),
            t.left_wrong.value,
            judged.left_at,
            &t.left_wrong.source,
        ),
        (Some(_), Left::High) => (
            CheckId::TorqueLeftWrong,
            Some(Variant::High),
            t.left_wrong.value,
            judged.left_at,
            &t.left_wrong.source,
        ),
        (Some(_), Left::Untold) => (
            CheckId::TorqueMoved,
            Some(Variant::Untold),
            t.left_untold.value,
            found,
            &t.left_untold.source,
        ),
        (Some(_), Left::Right) if judged.moved => {
            // The worst of those that apply, each with its own source.
            let loosened = judged.lost.map(|lost| t.loosened.grade(lost).0);
            let mut worst = (t.moved.value, &t.moved.source);
            for (grade, source) in [
                again.then_some((t.moved_again.value, &t.moved_again.source)),
                loosened.map(|grade| (grade, &t.loosened.source)),
            ]
            .into_iter()
            .flatten()
            {
                if grade > worst.0 {
                    worst = (grade, source);
                }
            }
            (
                CheckId::TorqueMoved,
                Some(if again {
                    Variant::Again
                } else {
                    Variant::Corrected
                }),
                worst.0,
                found.or(check.left),
                worst.1,
            )
        }
        (Some(_), Left::Right) if judged.tight => (
            CheckId::TorqueTight,
            None,
            t.moved.value,
            found,
            &t.left_wrong.source,
        ),
        (Some(_), Left::Right) => (
            CheckId::TorqueHeld,
            None,
            crate::visit::Grade::Pass,
            check.left.or(found),
            &t.left_wrong.source,
        ),
    };
    // A rectangular distribution over the tool's accuracy (JCGM 100:2008, 4.3.7) at the stated
    // value.
    let uncertainty = judged.wanted.as_ref().map(|w| {
        let at = value.unwrap_or(w.torque).newton_metre();
        rules.thermal.coverage_factor.value * half_width(at, rules, tool) / 3f64.sqrt()
    });
    CheckResult {
        id,
        grade,
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        connections: vec![check.connection.clone()],
        value: value.map(Torque::newton_metre),
        limit: judged.wanted.as_ref().map(|w| w.torque.newton_metre()),
        unit: "N·m",
        uncertainty,
        next_limit: None,
        borderline: false,
        probability_over: None,
        would_show: None,
        source: source.clone(),
        judgement: None,
        variant,
        values,
    }
}
