//! The findings for machines. The keys are a public interface: their names and order stay, new
//! ones may be added. Values are in SI units, rounded so that the noise of binary arithmetic
//! never shows; the sentences are in the units that the visit is printed in.

use super::numbers::rounded;
use super::speaker::Speaker;
use super::wording::Wording;
use crate::assess::{
    Assessment, Check, CircuitAssessment, ConnectionAssessment, Estimate, Finding, Limitation,
    SettledHow,
};
use crate::quantity::Temperature;
use crate::rules::{Checked, Rules};
use crate::visit::{Circuit, Reason, Visit};
use serde_json::{Value, json as object};

/// Decimals of temperatures and their differences.
const TEMPERATURE: i32 = 2;
/// Decimals of times in minutes.
const MINUTES: i32 = 1;
/// Decimals of currents.
const CURRENT: i32 = 3;
/// Decimals of probabilities.
const PROBABILITY: i32 = 4;

/// The findings of a visit as JSON.
pub fn json(assessment: &Assessment, visit: &Visit, rules: &Rules, wording: &Wording) -> Value {
    let speaker = Speaker::new(visit, assessment, rules, wording);
    let due = &assessment.next_due;
    object!({
        "tool": { "name": "warmlug", "version": env!("CARGO_PKG_VERSION") },
        "rules": { "id": assessment.rules_id, "edition": assessment.rules_edition },
        "visit": {
            "number": assessment.number,
            "date": assessment.date.to_string(),
            "reason": reason(assessment.reason),
        },
        "outcome": assessment.outcome.word(),
        "complete": assessment.complete,
        "limitations": list(&assessment.limitations, |l| limitation(&speaker, l)),
        "next_due": due.date.map(|d| d.to_string()),
        "next_due_basis": due.basis,
        "next_due_source": due.source,
        "circuits": list(&assessment.circuits, |c| circuit(&speaker, c)),
        "findings": list(&assessment.findings, |f| finding(&speaker, f)),
    })
}

fn list<T>(items: &[T], each: impl Fn(&T) -> Value) -> Value {
    Value::Array(items.iter().map(each).collect())
}

const fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::First => "first",
        Reason::Periodic => "periodic",
        Reason::AfterRepair => "after-repair",
        Reason::ChangeOfOwner => "change-of-owner",
    }
}

fn limitation(speaker: &Speaker<'_>, l: &Limitation) -> Value {
    object!({
        "id": l.id,
        "circuit": l.circuit,
        "place": l.place,
        "connections": l.connections,
        "incomplete": l.incomplete,
        "text": speaker.limitation(l),
    })
}

fn circuit(speaker: &Speaker<'_>, c: &CircuitAssessment) -> Value {
    let told = speaker.circuit(Some(&c.id));
    object!({
        "id": c.id,
        "load_fraction": c.load_fraction.map(|f| rounded(f, 4)),
        "connections": list(&c.connections, |n| connection(told, n)),
        "checks": list(&c.checks, check),
    })
}

fn connection(circuit: Option<&Circuit>, c: &ConnectionAssessment) -> Value {
    let heat = circuit.and_then(|c| c.heat.as_ref());
    let kelvin = |e: Option<Estimate>| e.map(|e| rounded(e.value.kelvin(), TEMPERATURE));
    let expanded = |e: Option<Estimate>| e.map(|e| rounded(e.expanded.kelvin(), TEMPERATURE));
    let settled = c.settled.map(|s| s.rise);
    object!({
        "id": c.id,
        "place": c.place,
        "leg": c.leg,
        "rounds": list(&c.rounds, |r| object!({
            "at": heat.and_then(|h| h.rounds.get(r.round)).map(|round| time(round.at.time.seconds())),
            "minutes": r.minutes.map(|m| rounded(m, MINUTES)),
            "current_a": rounded(r.current.ampere(), CURRENT),
            "air_c": r.air.map(celsius),
            "shown_c": celsius(r.shown),
            "temperature_c": celsius(r.temperature),
            "trusted": r.trusted,
            "rise_k": kelvin(r.rise),
            "rise_uncertainty_k": expanded(r.rise),
        })),
        "settled_rise_k": kelvin(settled),
        "settled_rise_uncertainty_k": expanded(settled),
        "settled_by": c.settled.map(|s| how(s.how)),
        "time_constant_min": c.settled.and_then(|s| s.time_constant_min).map(|t| rounded(t, MINUTES)),
        "rise_at_rated_k": kelvin(c.rise_at_rated),
        "rise_at_rated_uncertainty_k": expanded(c.rise_at_rated),
        "projected_c": c.projected.map(celsius),
        "limit_c": c.limit.map(|(t, _)| celsius(t)),
        "limit_of": c.limit.map(|(_, of)| of),
        "margin_k": c.margin.map(|m| rounded(m.kelvin(), TEMPERATURE)),
    })
}

fn celsius(t: Temperature) -> f64 {
    rounded(t.celsius(), TEMPERATURE)
}

fn time(seconds: u32) -> String {
    let (h, m, s) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if s == 0 {
        format!("{h:02}:{m:02}")
    } else {
        format!("{h:02}:{m:02}:{s:02}")
    }
}

const fn how(how: SettledHow) -> &'static str {
    match how {
        SettledHow::TwoRounds => "two-rounds",
        SettledHow::LeastSquares => "least-squares",
        SettledHow::Measured => "measured",
        SettledHow::StillClimbing => "still-climbing",
        SettledHow::TooUncertain => "too-uncertain",
        SettledHow::Contradictory => "contradictory",
        SettledHow::OneRound => "one-round",
    }
}

fn check(c: &Check) -> Value {
    let decimals = decimals(c.unit);
    object!({
        "rule": c.rule,
        "value": c.value.map(|v| rounded(v, decimals)),
        "limit": c.limit.map(|v| rounded(v, decimals)),
        "unit": c.unit,
        "holds": c.holds,
        "missing": c.missing,
        "source": c.source,
        "checked": checked(c.checked),
    })
}

const fn checked(checked: Checked) -> &'static str {
    match checked {
        Checked::Confirmed => "confirmed",
        Checked::FromMemory => "from-memory",
        Checked::CommonPractice => "common-practice",
        Checked::Firm => "firm",
    }
}

/// Decimals of a value in this unit.
fn decimals(unit: &str) -> i32 {
    match unit {
        "K" | "°C" | "V" | "K/h" | "K/a" => TEMPERATURE,
        "Ω" => 9,
        "1" => PROBABILITY,
        _ => CURRENT,
    }
}

fn finding(speaker: &Speaker<'_>, f: &Finding) -> Value {
    let decimals = decimals(f.unit);
    let sentence = speaker.finding(f);
    object!({
        "id": f.id,
        "grade": f.grade.word(),
        "circuit": f.circuit,
        "place": f.place,
        "connections": f.connections,
        "value": f.value.map(|v| rounded(v, decimals)),
        "limit": f.limit.map(|v| rounded(v, decimals)),
        "unit": f.unit,
        "uncertainty": f.uncertainty.map(|v| rounded(v, decimals)),
        "borderline": f.borderline,
        "probability_over": f.probability_over.map(|p| rounded(p, PROBABILITY)),
        "source": f.source,
        "text": sentence.text,
        "action": sentence.action,
        "variant": f.variant,
        "judgement": f.judgement.as_ref().map(|(grade, because)| object!({
            "grade": grade.word(),
            "because": because,
        })),
    })
}
