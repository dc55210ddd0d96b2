//! The order in which a visit is judged. Each subject has a file of its own; this one only calls
//! them, sorts the findings and determines the outcome.

use super::assessment::{Assessment, CheckResult, CircuitAssessment, Limitation, Outcome};
use super::earlier::Earlier;
use super::finding::{Charging, Finding};
use super::notes::Notes;
use super::questions::{self, Question};
use super::{
    as_left, baseline, before_repair, charging, circuit, complete, condition, diagnose, due,
    heat::{
        bound, breaker_rise, charging_current, findings, hints, legs, resistance, since, would_show,
    },
    instruments, isolation, judgement, order, torque,
};
use crate::rules::Rules;
use crate::visit::{Circuit, Grade, Visit};
use crate::vocabulary::{LimitationId, MissingKey, ValueName};
use chrono::NaiveDate;

/// Judges a visit by a rule set, comparing it with earlier visits (any order).
///
/// A visit on which something was repaired is judged twice, as found and as left. The result
/// describes the state as left and contains the state as found in [`Assessment::as_found`].
///
/// Pure: the same arguments always give the same assessment.
pub fn assess(visit: &Visit, rules: &Rules, earlier: &[Earlier]) -> Assessment {
    let (visit, questions) = questions::set_aside(visit, rules);
    assess_usable(&visit, &questions, rules, earlier)
}

/// Judges a visit whose doubtful values have been set aside, with the questions about them.
pub(super) fn assess_usable(
    visit: &Visit,
    asked: &[Question],
    rules: &Rules,
    earlier: &[Earlier],
) -> Assessment {
    // With the visits before it, as its own certificate was.
    let before = before_repair::newest(visit, earlier)
        .map(|(newest, older)| (newest.visit.clone(), assess(&newest.visit, rules, &older)));
    let repaired = before.as_ref().map(|(_, b)| before_repair::circuits(b));
    let mut assessment = assess_states(visit, asked, rules, earlier, repaired.as_deref());
    assessment.before_repair = before
        .and_then(|(before, found)| before_repair::judge(visit, &assessment, before, found))
        .map(Box::new);
    assessment
}

/// Judges the state as left, after that as found if something was repaired on the visit. A visit after a
/// repair may leave out all circuits but those that were to be `repaired`.
fn assess_states(
    visit: &Visit,
    asked: &[Question],
    rules: &Rules,
    earlier: &[Earlier],
    repaired: Option<&[String]>,
) -> Assessment {
    let judge = |visit: &Visit, found: Option<&Assessment>| {
        judge(visit, rules, earlier, found, asked, repaired)
    };
    if visit.circuits.iter().all(|c| c.repairs.is_empty()) {
        return judge(visit, None);
    }
    let found = judge(&as_left::as_found(visit), None);
    let mut left = judge(&as_left::as_left(visit, &found), Some(&found));
    let state = as_left::compare(found, &left, visit);
    as_left::hold_back(&mut left, &state, rules);
    left.as_found = Some(Box::new(state));
    left
}

/// Judges one state of a visit. `found` is the assessment before the repairs, if this is the state
/// after them.
fn judge(
    visit: &Visit,
    rules: &Rules,
    earlier: &[Earlier],
    found: Option<&Assessment>,
    asked: &[Question],
    repaired: Option<&[String]>,
) -> Assessment {
    let mut notes = Notes::default();
    notes
        .limitations
        .extend(asked.iter().map(|q| q.asked.clone()));
    instruments::judge(visit, rules, &mut notes);
    complete::cut_short(visit, &mut notes);
    complete::circuits_listed_before(visit, earlier, repaired, &mut notes);

    let mut trends = Vec::with_capacity(visit.circuits.len());
    let mut circuits = Vec::with_capacity(visit.circuits.len());
    for circuit in &visit.circuits {
        let (assessed, worse_on) = judge_circuit(visit, circuit, rules, earlier, found, &mut notes);
        circuits.push(assessed);
        trends.push(worse_on);
    }

    let Notes {
        checks: mut results,
        mut limitations,
    } = notes;
    limitations.extend(judgement::apply(&visit.judgement, &mut results));

    let complete = !limitations.iter().any(|l| l.incomplete);
    let mut assessment = Assessment {
        rules_id: rules.id.clone(),
        rules_edition: rules.edition.clone(),
        number: visit.number.clone(),
        date: visit.date,
        reason: visit.reason,
        outcome: Outcome::Satisfactory,
        complete,
        limitations,
        next_due: due::unknown(),
        circuits,
        checks: results,
        findings: Vec::new(),
        charging: Charging::AsUsual,
        as_found: None,
        before_repair: None,
        baseline: Vec::new(),
    };
    draw(&mut assessment, visit, rules);
    due::set(&mut assessment, visit, &trends, rules);
    due::deadlines(&mut assessment, visit, rules);
    assessment.baseline = baseline::of(&assessment, visit);
    assessment
}

/// Derives everything that follows from the checks of an assessment: findings, whether charging may
/// go on, the outcome and the deadlines. The next date changes only if a deadline comes before it.
pub fn conclude(assessment: &mut Assessment, visit: &Visit, rules: &Rules) {
    draw(assessment, visit, rules);
    due::deadlines(assessment, visit, rules);
}

fn draw(assessment: &mut Assessment, visit: &Visit, rules: &Rules) {
    // A stable sort keeps the visit's order among findings of the same grade.
    assessment
        .checks
        .sort_by_key(|f| std::cmp::Reverse(f.effective_grade()));
    let mut findings = diagnose::diagnose(
        &assessment.checks,
        &visit.circuits,
        &assessment.circuits,
        rules,
    );
    let unmatched = judgement::apply_to_findings(&visit.judgement, &mut findings);
    assessment.limitations.extend(unmatched);
    for finding in &mut findings {
        let id = finding.circuit.as_deref();
        let assessed = assessment.circuits.iter().find(|c| Some(&*c.id) == id);
        let connections = assessed.map_or(&[][..], |c| &c.connections);
        let described = visit.circuits.iter().find(|c| Some(&*c.id) == id);
        finding.charging =
            charging::advice(finding, &assessment.checks, described, connections, rules);
    }
    assessment.charging = strictest(findings.iter());
    for circuit in &mut assessment.circuits {
        let own = |f: &&Finding| f.circuit.as_ref().is_none_or(|id| *id == circuit.id);
        circuit.charging = strictest(findings.iter().filter(own));
    }
    assessment.findings = findings;
    assessment.outcome = excepted(outcome(assessment.worst()), &assessment.limitations);
}

/// The strictest advice of some findings.
fn strictest<'a>(findings: impl Iterator<Item = &'a Finding>) -> Charging {
    findings
        .map(|f| f.charging)
        .fold(Charging::AsUsual, Charging::stricter)
}

/// The outcome with its exceptions: if something was declared as not read, it is not plainly
/// "satisfactory".
fn excepted(outcome: Outcome, limitations: &[Limitation]) -> Outcome {
    match outcome {
        Outcome::Satisfactory if limitations.iter().any(|l| l.id.exception()) => {
            Outcome::SatisfactoryWithNotes
        }
        other => other,
    }
}

/// Outcome of a certificate, determined by its worst grade.
pub fn outcome(worst: Grade) -> Outcome {
    match worst {
        Grade::Pass => Outcome::Satisfactory,
        Grade::Note | Grade::Watch => Outcome::SatisfactoryWithNotes,
        Grade::Repair | Grade::Stop => Outcome::Unsatisfactory,
    }
}

/// Judges one circuit; also returns the dates on which a trend reaches the next grade.
fn judge_circuit(
    visit: &Visit,
    circuit: &Circuit,
    rules: &Rules,
    earlier: &[Earlier],
    found: Option<&Assessment>,
    notes: &mut Notes,
) -> (CircuitAssessment, Vec<NaiveDate>) {
    let mut worse_on = Vec::new();

    isolation::judge(circuit, rules, notes);
    condition::judge(circuit, rules, notes);
    notes
        .checks
        .extend(torque::findings(circuit, visit, rules, earlier));

    let mut connections = as_left::measure(visit, circuit, rules, notes);
    charging_current::judge(visit, circuit, rules, notes);
    findings::judge(visit, circuit, &connections, rules, &visit.judgement, notes);
    breaker_rise::judge(circuit, &connections, rules, notes);
    legs::judge(visit, circuit, &connections, rules, notes);
    bound::judge(circuit, &mut connections, &notes.checks, rules);
    let decided_in = bound::decided_in(visit, circuit, &connections, rules);
    resistance::judge(visit, circuit, rules, notes);
    hints::judge(circuit, &connections, rules, notes);
    since::judge(
        visit,
        circuit,
        &mut connections,
        earlier,
        rules,
        notes,
        &mut worse_on,
    );
    would_show::judge(circuit, notes);
    match found.filter(|_| !circuit.repairs.is_empty()) {
        Some(found) => as_left::carry_over(circuit, found, notes),
        None => order::judge(visit, circuit, &connections, rules, notes),
    }
    complete::judge(visit, circuit, &connections, earlier, rules, notes);

    let checks = circuit::checks(circuit, rules);
    for check in &checks {
        circuit_finding(circuit, check, rules, notes);
    }

    let load_fraction = circuit.heat.as_ref().and_then(|h| {
        h.rounds
            .iter()
            .map(|r| r.current.ampere() / circuit.charger.load().ampere())
            .filter(|f| *f > 0.0)
            .max_by(f64::total_cmp)
    });
    (
        CircuitAssessment {
            id: circuit.id.clone(),
            connections,
            checks,
            charging: Charging::AsUsual,
            next_due: due::unknown(),
            decided_in,
            load_fraction,
        },
        worse_on,
    )
}

/// A failed check becomes a finding, an undecided one a limitation. A failed check with missing
/// facts also adds a limitation, because it rests on the least favourable case.
fn circuit_finding(
    circuit: &Circuit,
    check: &super::assessment::Check,
    rules: &Rules,
    notes: &mut Notes,
) {
    let limitation = |id, incomplete| Limitation {
        id,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections: Vec::new(),
        incomplete,
        values: [
            (
                ValueName::Rule,
                super::assessment::Value::Text(check.rule.to_string()),
            ),
            (
                ValueName::Missing,
                super::assessment::Value::Text(list(&check.missing)),
            ),
        ]
        .into(),
    };
    if check.holds == Some(false) && !check.missing.is_empty() {
        notes
            .limitations
            .push(limitation(LimitationId::LeastFavourable, false));
    }
    match check.holds {
        Some(true) => {}
        Some(false) => notes.checks.push(CheckResult {
            circuit: Some(circuit.id.clone()),
            value: check.value,
            limit: check.limit,
            unit: check.unit,
            source: check.source.clone(),
            values: check.values.clone(),
            ..CheckResult::new(check.rule, check.grade)
        }),
        None => notes.limitations.push(limitation(
            LimitationId::CannotTell,
            rules.needed.incomplete_without(check.rule, &check.missing),
        )),
    }
}

/// Keys of the visit file as a comma-separated list.
pub(super) fn list(missing: &[MissingKey]) -> String {
    let words: Vec<_> = missing.iter().map(|k| k.word()).collect();
    words.join(", ")
}
