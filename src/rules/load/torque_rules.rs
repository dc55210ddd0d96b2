//! Reads the torque rules.

use super::values::number;
use crate::quantity::{Torque, Unit};
use crate::rules::number::Kind;
use crate::rules::torque_limits::{ByConductor, ByScrew, Fallback, TorqueRules};
use crate::rules::typed_values::At;

pub(super) fn read(at: At) -> Option<TorqueRules> {
    let m = at.map()?;
    let assumed_accuracy = m.read("assumed_accuracy", number(Kind::SHARE));
    let moved = m.read("moved", |a| a.sourced(|a| a.grade()));
    let moved_again = m.read("moved_again", |a| a.sourced(|a| a.grade()));
    let moved_hot_and_worse = m.read("moved_hot_and_worse", |a| a.sourced(|a| a.grade()));
    let left_wrong = m.read("left_wrong", |a| a.sourced(|a| a.grade()));
    let left_untold = m.read("left_untold", |a| a.sourced(|a| a.grade()));
    let tool_overdue = m.read("tool_overdue", |a| a.sourced(|a| a.grade()));
    let hot_over = m.read("hot_over", number(Kind::DIFFERENCE));
    let tightened_hot = m.read("tightened_hot", |a| a.sourced(|a| a.grade()));
    let loosened = m.read("loosened", |a| a.bands(Kind::SHARE));
    let fallback = m.read("fallback", fallback);
    m.finish();
    Some(TorqueRules {
        assumed_accuracy: assumed_accuracy?,
        moved: moved?,
        moved_again: moved_again?,
        moved_hot_and_worse: moved_hot_and_worse?,
        left_wrong: left_wrong?,
        left_untold: left_untold?,
        tool_overdue: tool_overdue?,
        hot_over: hot_over?,
        tightened_hot: tightened_hot?,
        loosened: loosened?,
        fallback: fallback?,
    })
}

fn fallback(at: At) -> Option<Fallback> {
    let m = at.map()?;
    let [by_conductor, range] = ["by_conductor", "range"].map(|key| m.optional(key, by_conductor));
    let by_screw: Vec<_> = ["by_screw", "by_socket"]
        .into_iter()
        .filter_map(|key| m.optional(key, by_screw))
        .collect();
    m.finish();
    Some(Fallback {
        by_conductor,
        by_screw,
        range,
    })
}

const UNITS: [(&str, f64); 2] = [("in·lb", Unit::POUND_FORCE_INCH_NM), ("N·m", 1.0)];

fn by_conductor(at: At) -> Option<ByConductor> {
    let m = at.map()?;
    let unit = m.unit(&UNITS);
    let screws = m.read("screws", |a| a.list(|a| a.text()));
    let columns = screws.as_ref().map_or(0, Vec::len);
    let rows = m.read("rows", |a| {
        let rows = a.list(|a| {
            let m = a.map()?;
            let up_to = m.read("up_to", |a| a.size());
            let torques = m.read("torques", |a| {
                a.row(columns, |a| a.cell(|a| a.table_number(Kind::TORQUE, unit)))
            });
            m.finish();
            let torques = torques?
                .into_iter()
                .map(|t| t.map(Torque::from_newton_metre))
                .collect();
            Some((up_to?, torques))
        })?;
        let areas = rows.iter().map(|(s, _)| s.square_millimetres());
        a.ordered(areas, false, "write the rows by growing size")?;
        Some(rows)
    });
    let provenance = m.provenance();
    m.finish();
    Some(ByConductor {
        provenance: provenance?,
        screws: screws?,
        rows: rows?,
    })
}

fn by_screw(at: At) -> Option<ByScrew> {
    let m = at.map()?;
    let unit = m.unit(&UNITS);
    let torques = m.read("torques", |a| {
        a.map()?.each(|word, a| {
            let torque = a.table_number(Kind::TORQUE, unit)?;
            Some((word.to_owned(), Torque::from_newton_metre(torque)))
        })
    });
    let up_to = m.optional("up_to", |a| a.size());
    let provenance = m.provenance();
    m.finish();
    Some(ByScrew {
        provenance: provenance?,
        up_to,
        torques: torques?,
    })
}
