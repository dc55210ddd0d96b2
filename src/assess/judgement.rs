//! The inspector's own judgement of findings: it replaces the grade that counts and never hides the
//! rule set's grade.

use super::assessment::{CheckResult, ConnectionAssessment, Limitation, Value};
use super::check_result::floored;
use super::finding::Finding;
use crate::visit::{Circuit, Grade, Judgement};
use crate::vocabulary::{Cause, CheckId, LimitationId, ValueName, Variant};

/// Applies judgements to the findings they name. A judgement that matches no finding becomes a
/// limitation, so that none is silently dropped.
pub(super) fn apply(judgements: &[Judgement], findings: &mut [CheckResult]) -> Vec<Limitation> {
    let mut unmatched = Vec::new();
    for judgement in judgements {
        // A judgement that names a cause applies to the findings, which are drawn later.
        if matches!(judgement.finding, Cause::Known(_)) {
            continue;
        }
        let mut named: Vec<&mut CheckResult> = findings
            .iter_mut()
            .filter(|f| names(judgement, f))
            .collect();
        // A judgement that names neither place nor connection applies to checks that failed.
        let wide = judgement.place.is_none() && judgement.connection.is_none();
        if wide && named.iter().any(|f| f.grade > Grade::Pass) {
            named.retain(|f| f.grade > Grade::Pass);
        }
        // Dust and corrosion are findings with the same id; a milder judgement meant for one must
        // not apply to the other.
        let several = judgement.finding == Cause::Check(CheckId::Condition)
            && named.iter().any(|f| f.variant != named[0].variant)
            && named.iter().any(|f| f.grade > judgement.grade);
        if !several {
            for finding in &mut named {
                finding.judgement = Some((judgement.grade, judgement.because.clone()));
            }
        }
        if several || named.is_empty() {
            let id = if several {
                LimitationId::JudgementAmbiguous
            } else {
                LimitationId::JudgementUnmatched
            };
            unmatched.push(limitation(id, judgement));
        }
    }
    unmatched
}

/// Applies judgements that name a cause to the findings that have it, and sorts these again, worst
/// first.
pub(super) fn apply_to_findings(
    judgements: &[Judgement],
    findings: &mut [Finding],
) -> Vec<Limitation> {
    let mut unmatched = Vec::new();
    for judgement in judgements {
        let Cause::Known(_) = judgement.finding else {
            continue;
        };
        let mut named = findings
            .iter_mut()
            .filter(|f| {
                f.cause == judgement.finding
                    && same(&judgement.circuit, &f.circuit)
                    && same(&judgement.place, &f.place)
                    && judgement
                        .connection
                        .as_ref()
                        .is_none_or(|c| f.connections.contains(c))
            })
            .peekable();
        if named.peek().is_none() {
            unmatched.push(limitation(LimitationId::JudgementUnmatched, judgement));
        }
        for finding in named {
            finding.grade = floored(finding.grade, judgement.grade);
            finding.judgement = Some((judgement.grade, judgement.because.clone()));
        }
    }
    findings.sort_by_key(|f| std::cmp::Reverse(f.grade));
    unmatched
}

/// The limitation for a judgement that has no effect.
fn limitation(id: LimitationId, judgement: &Judgement) -> Limitation {
    Limitation {
        id,
        circuit: judgement.circuit.clone(),
        place: judgement.place.clone(),
        connections: judgement.connection.iter().cloned().collect(),
        incomplete: false,
        values: [
            (
                ValueName::Finding,
                Value::Text(judgement.finding.to_string()),
            ),
            (ValueName::Because, Value::Text(judgement.because.clone())),
        ]
        .into(),
    }
}

/// Whether a judgement on findings with this id names this connection. Such a connection gets a
/// finding of its own, so that the judgement affects no other.
pub(super) fn names_alone(
    judgements: &[Judgement],
    id: CheckId,
    circuit: &Circuit,
    connection: &ConnectionAssessment,
) -> bool {
    judgements.iter().any(|j| {
        j.finding == Cause::Check(id)
            && j.connection.as_ref() == Some(&connection.id)
            && j.circuit.as_ref().is_none_or(|c| *c == circuit.id)
            && j.place.as_ref().is_none_or(|p| *p == connection.place)
    })
}

/// Whether a judgement's value, if it has one, equals that of a finding.
fn same(said: &Option<String>, have: &Option<String>) -> bool {
    said.is_none() || said == have
}

fn names(judgement: &Judgement, finding: &CheckResult) -> bool {
    judgement.finding == Cause::Check(finding.id)
        && same(&judgement.circuit, &finding.circuit)
        && same(&judgement.place, &finding.place)
        && judgement
            .seen
            .is_none_or(|seen| finding.variant == Some(Variant::Seen(seen)))
        && judgement
            .connection
            .as_ref()
            // A difference between legs is that of the hotter one.
            .is_none_or(|c| match finding.id {
                CheckId::LegDifference => finding.connections.first() == Some(c),
                _ => finding.connections.contains(c),
            })
}
