//! Torque at the connection.

use super::about::About;
use super::explanation::{Step, StepUncertainty, input};
use crate::assess::physics::uncertainty::Budget;
use crate::assess::torque;
use crate::visit::TorqueFound;

pub(super) fn steps(about: &About<'_>, steps: &mut Vec<Step>) {
    let checks = about
        .circuit
        .torque
        .iter()
        .filter(|t| t.connection == about.connection.id);
    for check in checks {
        let tool = check
            .with
            .as_deref()
            .and_then(|id| about.visit.instrument(id));
        let judged = torque::judge(about.circuit, about.connection, check, about.rules, tool);
        let Some(wanted) = &judged.wanted else {
            continue;
        };
        let mut inputs = vec![
            input("M_w", "torque wanted", wanted.torque.newton_metre(), "N·m"),
            input(
                "a",
                "half-width of the tool's accuracy at it",
                judged.half_width,
                "N·m",
            ),
        ];
        if let TorqueFound::Value(found) = check.found {
            inputs.push(input("M_f", "found", found.newton_metre(), "N·m"));
        }
        if let Some(left) = check.left {
            inputs.push(input("M_l", "left at", left.newton_metre(), "N·m"));
        }
        let budget = Budget::new().with("tool", 1.0, judged.half_width / 3f64.sqrt());
        let mut results = vec![
            input(
                "M_w − a",
                "least torque that counts as right",
                wanted.torque.newton_metre() - judged.half_width,
                "N·m",
            ),
            input(
                "M_w + a",
                "greatest torque that counts as right",
                wanted.torque.newton_metre() + judged.half_width,
                "N·m",
            ),
        ];
        if let Some(lost) = judged.lost {
            results.push(input(
                "1 − M_f/M_w",
                "share of the torque found lost",
                lost,
                "1",
            ));
        }
        steps.push(Step {
            id: "torque",
            name: "Torque".to_owned(),
            round: None,
            formula: "right when M_w − a ≤ M ≤ M_w + a".to_owned(),
            inputs,
            results,
            uncertainty: Some(StepUncertainty::of(&budget, "u = a/√3", about.coverage())),
            source: wanted
                .fallback
                .clone()
                .unwrap_or_else(|| "the maker's value, as the visit gives it".to_owned()),
            note: None,
        });
    }
}
