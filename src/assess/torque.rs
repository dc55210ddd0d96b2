//! Torque checks: what was found and left at each connection against the value wanted, within
//! the accuracy of the tool.
//!
//! A check made after installation does not reveal the torque of installation, because the metal
//! relaxes (NFPA 70 (2023), Informative Annex I); it shows whether a fastener still moves before
//! the mark. Which connections were not checked at all, and whether the tool's calibration is
//! overdue, is the engine's to say.

use super::assessment::{Finding, Value, Values};
use super::earlier::Earlier;
use crate::quantity::Torque;
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, HalfWidth, Instrument, Place, TorqueCheck, TorqueFound, Visit,
};
use crate::vocabulary::{CheckId, ValueName, Variant};
use std::collections::HashMap;

/// The value wanted at a connection.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Torque to tighten to.
    pub torque: Torque,
    /// Source of a fallback value; `None` when the visit gives the maker's.
    pub fallback: Option<String>,
}

/// How a connection was left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// At the value wanted, within the tool's accuracy.
    Right,
    /// Below it.
    Low,
    /// Above it.
    High,
    /// The visit does not tell.
    Untold,
}

/// A torque check judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The value wanted; `None` when neither the visit nor a fallback table gives one.
    pub wanted: Option<Wanted>,
    /// Half-width of the tool's accuracy at the value wanted, N·m.
    pub half_width: f64,
    /// Whether the connection moved before the value wanted.
    pub moved: bool,
    /// Whether it was found tighter than wanted.
    pub tight: bool,
    /// What it was left at: as told, else as found where it did not move.
    pub left_at: Option<Torque>,
    /// How it was left.
    pub left: Left,
    /// Share of the value wanted that was found lost (0–1), where a value was found.
    pub lost: Option<f64>,
}

/// The value wanted at a connection: the maker's, else one from a fallback table by screw and
/// conductor.
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

/// Judges one torque check. Without a known tool its accuracy is the one that the rule set
/// assumes.
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

/// Comparison slack, N·m: a unit conversion may miss the exact value in its last places.
fn slack(target: f64) -> f64 {
    target * 1e-9
}

/// Half-width of the tool's accuracy at a torque: the greater of its share and its fixed part.
fn half_width(target: f64, rules: &Rules, tool: Option<&Instrument>) -> f64 {
    let told = tool.and_then(|t| t.accuracy).map(|a| {
        let share = a.of_reading.map_or(0.0, |p| p.fraction() * target);
        match a.at_least {
            Some(HalfWidth::Torque(t)) => share.max(t.newton_metre()),
            _ => share,
        }
    });
    match told {
        Some(a) if a > 0.0 => a,
        _ => rules.torque.assumed_accuracy.value * target,
    }
}

/// Whether a connection had moved, and was put right, at the last earlier visit; a connection
/// made anew since is another one.
fn moved_before(
    circuit: &Circuit,
    connection: &Connection,
    visit: &Visit,
    earlier: &[Earlier],
) -> bool {
    let last = earlier
        .iter()
        .filter(|e| e.date < visit.date)
        .max_by_key(|e| e.date);
    let same = |(c, id): &(String, String)| *c == circuit.id && *id == connection.id;
    !connection.remade && last.is_some_and(|e| e.moved.iter().any(same))
}

/// The findings of all torque checks of a circuit, in the file's order.
///
/// Ids: `torque-held` (pass), `torque-moved` (variant `corrected`, `again` when it had been put
/// right at the visit before too, or `untold` when the visit does not say what it was left at),
/// `torque-tight` (found tighter than wanted, and put right), `torque-left-wrong` (variant `low` or
/// `high`), `torque-no-value` (a note: nobody knows what to tighten to). Values: `wanted`, `found`,
/// `left`, `half_width`, `lost`, and `fallback` with the source of a fallback value.
pub fn findings(
    circuit: &Circuit,
    visit: &Visit,
    rules: &Rules,
    earlier: &[Earlier],
) -> Vec<Finding> {
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
) -> Finding {
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
            t.moved.value,
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
            // The worst of what applies, each with its own source.
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
    // A rectangular distribution over the tool's accuracy (JCGM 100:2008, 4.3.7) at the value told.
    let uncertainty = judged.wanted.as_ref().map(|w| {
        let at = value.unwrap_or(w.torque).newton_metre();
        rules.thermal.coverage_factor.value * half_width(at, rules, tool) / 3f64.sqrt()
    });
    Finding {
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
        source: source.clone(),
        judgement: None,
        variant,
        values,
    }
}
