//! What became of the findings of the visit before, at a visit after a repair: mended, still found, or not
//! checked again.

use super::as_left::remains;
use super::assessment::{Assessment, Became, BeforeRepair, CheckResult, NoLonger};
use super::earlier::Earlier;
use super::finding::Finding;
use crate::visit::{Circuit, Grade, Reason, Visit};
use crate::vocabulary::{LimitationId, Topic};

/// The newest of the earlier visits, and those before it; `None` unless this visit is after a repair.
pub(super) fn newest<'e>(
    visit: &Visit,
    earlier: &'e [Earlier],
) -> Option<(&'e Earlier, Vec<Earlier>)> {
    if visit.reason != Reason::AfterRepair {
        return None;
    }
    let before = earlier.iter().filter(|e| e.date <= visit.date);
    let newest = before.max_by_key(|e| e.date)?;
    let older = earlier.iter().filter(|e| e.date < newest.date);
    Some((newest, older.cloned().collect()))
}

/// Whether a finding asks for a repair, or for a look before the usual time.
fn asks(finding: &Finding) -> bool {
    finding.grade >= Grade::Watch
}

/// The circuits at which the visit before found something to be repaired or to be watched. A visit after
/// a repair has to come back to these.
pub(super) fn circuits(before: &Assessment) -> Vec<String> {
    let findings = before.findings.iter().filter(|finding| asks(finding));
    findings
        .filter_map(|finding| finding.circuit.clone())
        .collect()
}

/// What became of the findings of the visit before; `None` if there is nothing to tell.
pub(super) fn judge(
    visit: &Visit,
    now: &Assessment,
    before: Visit,
    assessment: Assessment,
) -> Option<BeforeRepair> {
    let told = assessment.findings.iter().enumerate();
    let told: Vec<NoLonger> = told
        .filter(|(_, finding)| asks(finding))
        .filter_map(|(position, finding)| {
            let circuit = visit
                .circuits
                .iter()
                .find(|c| finding.circuit.as_ref() == Some(&c.id))?;
            let became = if now.findings.iter().any(|other| remains(finding, other)) {
                Became::Remains
            } else if finding
                .checks(&assessment.checks)
                .all(|check| checked_again(check, circuit, now))
            {
                Became::Mended
            } else {
                Became::NotChecked
            };
            Some(NoLonger {
                finding: position,
                became,
            })
        })
        .collect();
    (!told.is_empty()).then_some(BeforeRepair {
        visit: before,
        assessment,
        told,
    })
}

/// Whether what a check was about was looked at again at full load, with the power off or by the rule, as
/// the check asks.
fn checked_again(check: &CheckResult, circuit: &Circuit, now: &Assessment) -> bool {
    match check.id.about() {
        Topic::Heat => read_again(check, circuit, now),
        Topic::Torque => check
            .connections
            .iter()
            .all(|id| circuit.torque.iter().any(|t| t.connection == *id)),
        Topic::Condition => circuit
            .looked_at
            .iter()
            .any(|looked| Some(&looked.place) == check.place.as_ref()),
        Topic::Isolation => !circuit.isolation.is_empty(),
        Topic::Circuit => {
            let assessed = now.circuits.iter().find(|c| c.id == circuit.id);
            let same = |c: &&super::assessment::Check| c.rule == check.id;
            let own = assessed.and_then(|c| c.checks.iter().find(same));
            own.is_some_and(|own| own.holds == Some(true))
        }
        Topic::Hint | Topic::Instrument => true,
    }
}

/// Whether the connection of a check was read again at full load, so that a fault would have shown. Other
/// connections of the check are what it was compared with.
fn read_again(check: &CheckResult, circuit: &Circuit, now: &Assessment) -> bool {
    let assessed = now.circuits.iter().filter(|c| c.id == circuit.id);
    let read = |id: &str| {
        let mut connections = assessed.clone().flat_map(|c| &c.connections);
        connections.any(|c| c.id == id && c.rise_at_rated.is_some())
    };
    let spoilt = |id: &str| {
        now.limitations.iter().any(|l| {
            l.circuit.as_ref() == Some(&circuit.id)
                && matches!(
                    l.id,
                    LimitationId::ReadingsMissing
                        | LimitationId::WouldNotShow
                        | LimitationId::NotSettled
                        | LimitationId::RepairNotProved
                )
                && l.connections.iter().any(|c| c == id)
        })
    };
    let loaded = !now
        .limitations
        .iter()
        .any(|l| l.circuit.as_ref() == Some(&circuit.id) && l.id == LimitationId::NoFullLoadRound);
    loaded
        && match check.connections.first() {
            Some(id) => read(id) && !spoilt(id),
            None => circuit.heat.is_some(),
        }
}
