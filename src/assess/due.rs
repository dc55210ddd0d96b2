//! When to inspect again.

use super::assessment::{Assessment, CheckResult, Limitation, NextDue};
use super::finding::{Charging, Finding};
use super::order;
use super::repairs;
use crate::rules::Rules;
use crate::visit::{Grade, Reason, Visit};
use crate::vocabulary::{Cause, CauseId, CheckId, Variant};
use chrono::{Months, NaiveDate};

/// A next date that is not determined yet.
pub(super) const fn unknown() -> NextDue {
    NextDue {
        date: None,
        basis: "stop",
        source: String::new(),
    }
}

/// The next date: the interval for the worst grade, shortened for an incomplete visit and by a
/// trend that reaches its next grade sooner.
fn next(
    visit: NaiveDate,
    reason: Reason,
    worst: Grade,
    complete: bool,
    trend: Option<NaiveDate>,
    rules: &Rules,
) -> NextDue {
    let r = &rules.next_due;
    let (basis, rule) = match worst {
        Grade::Stop => {
            return NextDue {
                date: None,
                basis: "stop",
                source: r.repair.source.clone(),
            };
        }
        Grade::Repair => ("repair", &r.repair),
        Grade::Watch => ("watch", &r.watch),
        Grade::Note | Grade::Pass if reason == Reason::First => ("first", &r.first),
        Grade::Note | Grade::Pass => ("clean", &r.clean),
    };
    let mut due = NextDue {
        date: visit.checked_add_months(Months::new(rule.value)),
        basis,
        source: rule.source.clone(),
    };
    let mut sooner = |date: Option<NaiveDate>, basis, source: &str| {
        if date.is_some_and(|d| due.date.is_none_or(|have| d < have)) {
            due = NextDue {
                date,
                basis,
                source: source.to_owned(),
            };
        }
    };
    if !complete {
        let date = visit.checked_add_months(Months::new(r.incomplete.value));
        sooner(date, "incomplete", &r.incomplete.source);
    }
    // A trend may have crossed the limit already; then the earliest possible return is the next
    // day.
    let trend = trend.map(|d| d.max(visit.succ_opt().unwrap_or(visit)));
    sooner(trend, "trend", &rules.thermal.worse_than_before.source);
    due
}

/// Sets the next date of the visit and of each of its circuits. `trends` has the dates on which a trend
/// of each circuit reaches its next grade, in the order of the circuits.
pub(super) fn set(
    assessment: &mut Assessment,
    visit: &Visit,
    trends: &[Vec<NaiveDate>],
    rules: &Rules,
) {
    let due = |worst: Grade, complete: bool, trend: Option<NaiveDate>| {
        next(visit.date, visit.reason, worst, complete, trend, rules)
    };
    let (findings, limitations) = (&assessment.findings, &assessment.limitations);
    // A visit that ended early is to be finished at the circuits where something is missing; where it is not
    // known what, at all.
    let missing: Vec<&String> = limitations
        .iter()
        .filter(|l| l.incomplete)
        .filter_map(|l| l.circuit.as_ref())
        .collect();
    for (circuit, trends) in assessment.circuits.iter_mut().zip(trends) {
        let own = |id: &Option<String>| id.as_ref().is_none_or(|id| *id == circuit.id);
        let grades = findings.iter().filter(|f| own(&f.circuit));
        let worst = grades.map(|f| f.grade).max().unwrap_or(Grade::Pass);
        let finished = !missing.is_empty() && !missing.contains(&&circuit.id);
        let open = |l: &&Limitation| l.incomplete && !(finished && l.id.of_the_end());
        let complete = !limitations.iter().filter(open).any(|l| own(&l.circuit));
        circuit.next_due = due(worst, complete, trends.iter().min().copied());
        if !finished {
            circuit.next_due = returning(circuit.next_due.clone(), visit, rules);
        }
    }
    let trend = trends.iter().flatten().min().copied();
    let whole = due(assessment.worst(), assessment.complete, trend);
    assessment.next_due = returning(whole, visit, rules);
}

/// Sets the deadline of each finding, and brings the next date forward to the earliest of those
/// that concern a repair, or a joint that must be remade soon.
///
/// A finding that forbids charging has no date: it must be repaired, and the circuit inspected,
/// before the circuit is used again; so must everything else that is to be done to the circuit.
pub(super) fn deadlines(assessment: &mut Assessment, visit: &Visit, rules: &Rules) {
    let r = &rules.next_due;
    let (date, checks) = (assessment.date, &assessment.checks);
    let within = |months: u32| date.checked_add_months(Months::new(months));
    let stopped: Vec<String> = assessment
        .circuits
        .iter()
        .filter(|c| c.charging == Charging::NotAtAll)
        .map(|c| c.id.clone())
        .collect();
    let next_due = &mut assessment.next_due;
    let mut early = next_due.basis == "repair";
    for finding in &mut assessment.findings {
        let soon = finding.grade == Grade::Watch && hot_after_torque(finding, checks, visit);
        finding.deadline = match finding.grade {
            // Before the circuit is used again, like what forbids its use.
            _ if finding
                .circuit
                .as_ref()
                .is_some_and(|id| stopped.contains(id)) =>
            {
                None
            }
            _ if finding.charging == Charging::NotAtAll => None,
            Grade::Stop => None,
            Grade::Repair if at_once(finding, checks, rules) => Some(date),
            Grade::Repair => within(r.repair.value),
            Grade::Watch if soon => within(r.hot_after_torque.value.min(r.watch.value)),
            Grade::Watch => within(r.watch.value),
            // Due with the next inspection, unless that is early for another reason.
            Grade::Note | Grade::Pass if early => within(r.watch.value),
            Grade::Note | Grade::Pass => next_due.date.or_else(|| within(r.watch.value)),
        };
        if soon || finding.grade == Grade::Repair {
            early |= soon;
            let (basis, source) = match finding.grade {
                Grade::Repair => ("repair", &r.at_once.source),
                _ => ("watch", &r.hot_after_torque.source),
            };
            // A circuit that must not be used until then has no date.
            let circuits = assessment.circuits.iter_mut();
            let dated = circuits.filter(|c| c.charging != Charging::NotAtAll);
            let own = dated.filter(|c| finding.circuit.as_ref().is_none_or(|id| *id == c.id));
            let whole = (assessment.charging != Charging::NotAtAll).then_some(&mut *next_due);
            for due in own.map(|c| &mut c.next_due).chain(whole) {
                if finding.deadline.is_some() && finding.deadline < due.date {
                    *due = NextDue {
                        date: finding.deadline,
                        basis,
                        source: source.clone(),
                    };
                }
            }
        }
    }
    if assessment.charging == Charging::NotAtAll {
        next_due.date = None;
    }
    for circuit in &mut assessment.circuits {
        if circuit.charging == Charging::NotAtAll {
            circuit.next_due.date = None;
        }
    }
}

/// Whether a finding rests on a check whose repair is due at once.
fn at_once(finding: &Finding, checks: &[CheckResult], rules: &Rules) -> bool {
    finding.checks(checks).any(|c| {
        c.effective_grade() >= Grade::Repair && rules.next_due.at_once.value.contains(&c.id)
    })
}

/// Whether a joint was hot although its screw had been set to the specified torque on this visit.
/// The heat is measured after the torque unless the visit says otherwise.
fn hot_after_torque(finding: &Finding, checks: &[CheckResult], visit: &Visit) -> bool {
    let circuits = visit.circuits.iter();
    let set_later = circuits
        .filter(|c| finding.circuit.as_ref() == Some(&c.id))
        .flat_map(|c| c.torque.iter().map(move |t| (c, t)))
        .any(|(c, t)| {
            finding.connections.first() == Some(&t.connection)
                && order::of(t.when, c.heat.as_ref()) == Some(order::Order::After)
        });
    let set = |c: &CheckResult| c.id == CheckId::TorqueMoved && c.variant != Some(Variant::Untold);
    // Tightened as a repair, and hot in the rounds after it.
    let set_as_repair = visit.circuits.iter().any(|c| {
        finding.circuit.as_ref() == Some(&c.id)
            && c.heat_after.is_some()
            && finding
                .connections
                .first()
                .is_some_and(|id| repairs::repaired(c, id))
    });
    finding.cause == Cause::Known(CauseId::PoorJoint)
        && (set_as_repair || (!set_later && finding.checks(checks).any(set)))
        && finding
            .checks(checks)
            .any(|c| c.id != CheckId::TorqueMoved && c.effective_grade() >= Grade::Watch)
}

/// The next date, no later than the day on which somebody returns to a visit that ended early.
fn returning(due: NextDue, visit: &Visit, rules: &Rules) -> NextDue {
    let return_on = visit.cut_short.as_ref().and_then(|c| c.return_on);
    match (return_on, due.date) {
        (Some(day), Some(date)) if day < date => NextDue {
            date: Some(day),
            basis: "incomplete",
            source: rules.next_due.incomplete.source.clone(),
        },
        _ => due,
    }
}
