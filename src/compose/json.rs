//! The findings as JSON. The keys are a public interface: their names and order do not change, but
//! new ones may be added. Values are in SI units, rounded so that binary rounding errors do not
//! show; sentences are in the printed units of the visit.
//!
//! The keys are the fields of the types below, written out in their order.

use super::numbers::rounded;
use super::speaker::Speaker;
use super::wording::Wording;
use crate::assess::{
    Assessment, Baseline, Check, CheckResult, CircuitAssessment, ConnectionAssessment, Estimate,
    Limitation, RoundValue,
};
use crate::assess::{Charging, Finding};
use crate::quantity::{Temperature, TemperatureDifference};
use crate::rules::{Checked, Rules};
use crate::visit::Grade;
use crate::visit::{FORMAT, Heat, Surface, Visit};
use crate::vocabulary::{Cause, CheckId, LimitationId, MissingKey, RatingOf, Variant};
use chrono::NaiveDate;
use serde::Serialize;

/// The build id: a digest of the sources, templates and fonts that make findings, words and pages,
/// and of the versions of the crates that decide them, as `build.rs` computes it; 16 hexadecimal
/// digits. Builds with the same id write the same certificate from the same visit.
pub const BUILD: &str = env!("WARMLUG_BUILD");

/// Decimals of temperatures and their differences.
const TEMPERATURE: i32 = 2;
/// Decimals of times in minutes.
const MINUTES: i32 = 1;
/// Decimals of currents.
const CURRENT: i32 = 3;
/// Decimals of probabilities and pure numbers.
const PROBABILITY: i32 = 4;

/// The findings of a visit as JSON.
pub fn json(
    assessment: &Assessment,
    visit: &Visit,
    rules: &Rules,
    wording: &Wording,
) -> serde_json::Value {
    let speaker = Speaker::new(visit, assessment, rules, wording);
    // Structs of strings, numbers and lists can always be converted; if that ever failed, `null`
    // would differ from every report.
    serde_json::to_value(report(&speaker)).unwrap_or_default()
}

/// The same as text: indented, with a line feed at its end.
///
/// # Errors
/// Does not occur with structs of strings, numbers and lists; passed on so that no certificate is
/// ever written without its findings.
pub fn json_text(speaker: &Speaker<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let mut text = serde_json::to_vec_pretty(&report(speaker))?;
    text.push(b'\n');
    Ok(text)
}

#[derive(Serialize)]
struct Report<'a> {
    format: u16,
    tool: Tool,
    rules: RuleSet<'a>,
    visit: About<'a>,
    outcome: &'static str,
    complete: bool,
    limitations: Vec<LimitationOut<'a>>,
    next_due: Option<NaiveDate>,
    next_due_basis: &'static str,
    next_due_source: &'a str,
    /// Whether charging may go on: `as-usual`, `limited`, `not-at-all`, or `not-fully-checked` if
    /// nothing forbids it and the inspection was not complete.
    charging: &'static str,
    charging_limit_a: Option<f64>,
    circuits: Vec<CircuitOut<'a>>,
    checks: Vec<CheckResultOut<'a>>,
    findings: Vec<FindingOut<'a>>,
    /// Findings that were repaired on the visit and no longer exist as left.
    mended: Vec<MendedOut<'a>>,
    /// What became of the findings of the visit before, at a visit after a repair.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    before_repair: Vec<BeforeRepairOut<'a>>,
    /// The values with which later visits are compared, after a sound first visit.
    baseline: Vec<BaselineOut<'a>>,
}

#[derive(Serialize)]
struct BaselineOut<'a> {
    circuit: &'a str,
    place: &'a str,
    connection: &'a str,
    /// Whether it is a closed cover, read from outside.
    closed: bool,
    rise_at_rated_k: f64,
    rise_at_rated_uncertainty_k: f64,
    /// In the last loaded round.
    temperature_c: Option<f64>,
    surface: Option<&'static str>,
    distance_m: Option<f64>,
}

#[derive(Serialize)]
struct Tool {
    name: &'static str,
    version: &'static str,
    build: &'static str,
}

#[derive(Serialize)]
struct RuleSet<'a> {
    id: &'a str,
    edition: &'a str,
    /// The edition of its code, if it has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    code: Option<String>,
}

#[derive(Serialize)]
struct About<'a> {
    number: &'a str,
    date: NaiveDate,
    reason: &'static str,
    /// The site's clock, where the visit states it.
    #[serde(skip_serializing_if = "Option::is_none")]
    zone: Option<&'a str>,
}

#[derive(Serialize)]
struct LimitationOut<'a> {
    id: LimitationId,
    circuit: Option<&'a str>,
    place: Option<&'a str>,
    connections: &'a [String],
    incomplete: bool,
    keys: Vec<String>,
    text: String,
}

#[derive(Serialize)]
struct CircuitOut<'a> {
    id: &'a str,
    charging: &'static str,
    charging_limit_a: Option<f64>,
    next_due: Option<NaiveDate>,
    next_due_basis: &'static str,
    /// How the inspector left it.
    left_as: Option<LeftAsOut<'a>>,
    load_fraction: Option<f64>,
    /// Time of the round after which the heat still to come could change no grade any more.
    decided_at: Option<String>,
    connections: Vec<ConnectionOut<'a>>,
    checks: Vec<CheckOut<'a>>,
}

#[derive(Serialize)]
struct LeftAsOut<'a> {
    state: &'static str,
    limit_a: Option<f64>,
    key: Option<&'a str>,
}

#[derive(Serialize)]
struct ConnectionOut<'a> {
    id: &'a str,
    place: &'a str,
    leg: &'a str,
    rounds: Vec<RoundOut>,
    settled_rise_k: Option<f64>,
    settled_rise_uncertainty_k: Option<f64>,
    settled_by: Option<&'static str>,
    time_constant_min: Option<f64>,
    /// What it is over the air without load, taken off from the rise at rated current.
    without_load_k: Option<f64>,
    rise_at_rated_k: Option<f64>,
    rise_at_rated_uncertainty_k: Option<f64>,
    /// Where the rise at rated current ends by the rounds so far.
    ends_from_k: Option<f64>,
    ends_to_k: Option<f64>,
    /// What the heat still to come could change.
    can_change: Option<ChangeOut>,
    projected_c: Option<f64>,
    limit_c: Option<f64>,
    limit_of: Option<RatingOf>,
    margin_k: Option<f64>,
}

#[derive(Serialize)]
struct ChangeOut {
    check: CheckId,
    /// The worst grade that it could get.
    grade: &'static str,
    /// Minutes since charging began at which to read again.
    read_again_min: Option<f64>,
    /// Rise over air, or difference between legs, below which no grade changes any more then.
    decided_below_k: Option<f64>,
}

#[derive(Serialize)]
struct RoundOut {
    at: Option<String>,
    minutes: Option<f64>,
    current_a: f64,
    air_c: Option<f64>,
    shown_c: f64,
    temperature_c: f64,
    trusted: bool,
    rise_k: Option<f64>,
    rise_uncertainty_k: Option<f64>,
}

#[derive(Serialize)]
struct CheckOut<'a> {
    rule: CheckId,
    value: Option<f64>,
    limit: Option<f64>,
    unit: &'static str,
    holds: Option<bool>,
    missing: &'a [MissingKey],
    source: &'a str,
    checked: &'static str,
}

#[derive(Serialize)]
struct CheckResultOut<'a> {
    id: CheckId,
    result: &'static str,
    grade: &'static str,
    circuit: Option<&'a str>,
    place: Option<&'a str>,
    connections: &'a [String],
    value: Option<f64>,
    limit: Option<f64>,
    unit: &'static str,
    uncertainty: Option<f64>,
    borderline: bool,
    probability_over: Option<f64>,
    /// The smallest fault at rated current that gets at least `watch` with 95 % probability.
    would_show: Option<f64>,
    source: &'a str,
    text: String,
    action: String,
    variant: Option<&'static str>,
    judgement: Option<JudgementOut<'a>>,
    /// The grade that counts: the inspector's if there is a judgement.
    effective_grade: &'static str,
    /// The limit of the next worse grade, where `borderline` and `probability_over` are about
    /// that one.
    next_limit: Option<f64>,
}

#[derive(Serialize)]
struct FindingOut<'a> {
    cause: Cause,
    /// The connection to treat first; else the place, the circuit, or `visit`.
    subject: &'a str,
    /// The grade that counts.
    grade: &'static str,
    /// The grade by the rule set.
    rule_grade: &'static str,
    circuit: Option<&'a str>,
    place: Option<&'a str>,
    connections: &'a [String],
    charging: &'static str,
    charging_limit_a: Option<f64>,
    /// `None` if it comes before the circuit is used again.
    deadline: Option<NaiveDate>,
    /// Ids of its checks, worst first.
    evidence: Vec<CheckId>,
    text: String,
    action: String,
    judgement: Option<JudgementOut<'a>>,
}

#[derive(Serialize)]
struct MendedOut<'a> {
    cause: Cause,
    subject: &'a str,
    /// The grade as found.
    grade: &'static str,
    circuit: Option<&'a str>,
    place: Option<&'a str>,
    connections: &'a [String],
    /// The finding as found.
    text: String,
    repairs: Vec<RepairOut<'a>>,
    /// Whether the repair was read again at full load.
    proved: bool,
}

#[derive(Serialize)]
struct BeforeRepairOut<'a> {
    /// Number and day of the visit before.
    number: &'a str,
    date: NaiveDate,
    cause: Cause,
    subject: &'a str,
    /// The grade then.
    grade: &'static str,
    circuit: Option<&'a str>,
    place: Option<&'a str>,
    connections: &'a [String],
    /// The finding then.
    text: String,
    /// What became of it: `mended`, `remains` or `not-checked`.
    became: &'static str,
}

#[derive(Serialize)]
struct RepairOut<'a> {
    connection: &'a str,
    done: &'static str,
    part: Option<&'a str>,
    at: String,
    cooled_to_c: Option<f64>,
    /// Rise at rated current before and after the repair.
    rise_before_k: Option<f64>,
    rise_after_k: Option<f64>,
}

#[derive(Serialize)]
struct JudgementOut<'a> {
    grade: &'static str,
    because: &'a str,
}

fn report<'a>(speaker: &Speaker<'a>) -> Report<'a> {
    let assessment = speaker.assessment;
    Report {
        format: FORMAT,
        tool: Tool {
            name: "warmlug",
            version: env!("CARGO_PKG_VERSION"),
            build: BUILD,
        },
        rules: RuleSet {
            id: &assessment.rules_id,
            edition: &assessment.rules_edition,
            code: speaker
                .rules
                .code
                .as_ref()
                .map(|code| format!("{} ({})", code.name, code.edition)),
        },
        visit: About {
            number: &assessment.number,
            date: assessment.date,
            reason: assessment.reason.word(),
            zone: speaker.visit.zone.as_deref(),
        },
        outcome: assessment.outcome_word(),
        complete: assessment.complete,
        limitations: assessment
            .limitations
            .iter()
            .map(|l| limitation(speaker, l))
            .collect(),
        next_due: assessment.next_due.date,
        next_due_basis: assessment.next_due.basis,
        next_due_source: &assessment.next_due.source,
        charging: assessment.charging_word(),
        charging_limit_a: charging_limit(assessment.charging),
        circuits: assessment
            .circuits
            .iter()
            .map(|c| circuit(speaker, c))
            .collect(),
        checks: assessment
            .checks
            .iter()
            .map(|c| check_result(speaker, c))
            .collect(),
        findings: assessment
            .findings
            .iter()
            .map(|f| finding(speaker, f))
            .collect(),
        mended: mended(speaker),
        before_repair: before_repair(speaker),
        baseline: assessment.baseline.iter().map(baseline).collect(),
    }
}

fn baseline(b: &Baseline) -> BaselineOut<'_> {
    BaselineOut {
        circuit: &b.circuit,
        place: &b.place,
        connection: &b.connection,
        closed: b.closed,
        rise_at_rated_k: rounded(b.rise.value.kelvin(), TEMPERATURE),
        rise_at_rated_uncertainty_k: rounded(b.rise.expanded.kelvin(), TEMPERATURE),
        temperature_c: b.temperature.map(celsius),
        surface: b.surface.map(Surface::word),
        distance_m: b.distance.map(|d| rounded(d.metre(), CURRENT)),
    }
}

fn mended<'a>(speaker: &Speaker<'a>) -> Vec<MendedOut<'a>> {
    let left = speaker.assessment;
    let Some(state) = &left.as_found else {
        return Vec::new();
    };
    let found = &state.assessment;
    let before = Speaker {
        assessment: found,
        ..*speaker
    };
    state
        .mended()
        .filter_map(|(finding, proved)| {
            let circuit = speaker.circuit(finding.circuit.as_deref())?;
            let repairs = super::mended::repairs(circuit, finding).into_iter();
            Some(MendedOut {
                cause: finding.cause,
                subject: subject(finding),
                grade: finding.grade.word(),
                circuit: finding.circuit.as_deref(),
                place: finding.place.as_deref(),
                connections: &finding.connections,
                text: before.diagnosis(finding).text,
                repairs: repairs
                    .map(|r| RepairOut {
                        connection: &r.connection,
                        done: r.done.word(),
                        part: r.part.as_deref(),
                        at: super::numbers::clock(r.at),
                        cooled_to_c: r.cooled_to.map(celsius),
                        rise_before_k: kelvin(super::mended::rise(
                            found,
                            &circuit.id,
                            &r.connection,
                        )),
                        rise_after_k: kelvin(super::mended::rise(left, &circuit.id, &r.connection)),
                    })
                    .collect(),
                proved,
            })
        })
        .collect()
}

fn before_repair<'a>(speaker: &Speaker<'a>) -> Vec<BeforeRepairOut<'a>> {
    let Some(before) = &speaker.assessment.before_repair else {
        return Vec::new();
    };
    let then = Speaker {
        visit: &before.visit,
        assessment: &before.assessment,
        ..*speaker
    };
    let told = before.told.iter().filter_map(|told| {
        let finding = before.assessment.findings.get(told.finding)?;
        Some(BeforeRepairOut {
            number: &before.visit.number,
            date: before.visit.date,
            cause: finding.cause,
            subject: subject(finding),
            grade: finding.grade.word(),
            circuit: finding.circuit.as_deref(),
            place: finding.place.as_deref(),
            connections: &finding.connections,
            text: then.diagnosis(finding).text,
            became: told.became.word(),
        })
    });
    told.collect()
}

fn limitation<'a>(speaker: &Speaker<'a>, l: &'a Limitation) -> LimitationOut<'a> {
    LimitationOut {
        id: l.id,
        circuit: l.circuit.as_deref(),
        place: l.place.as_deref(),
        connections: &l.connections,
        incomplete: l.incomplete,
        keys: l.completed_by(),
        text: speaker.limitation(l),
    }
}

fn circuit<'a>(speaker: &Speaker<'a>, c: &'a CircuitAssessment) -> CircuitOut<'a> {
    let heat = speaker.circuit(Some(&c.id)).and_then(|c| c.whole_heat());
    let heat = heat.as_ref();
    CircuitOut {
        id: &c.id,
        charging: speaker.assessment.charging_word_of(c),
        charging_limit_a: charging_limit(c.charging),
        next_due: c.next_due.date,
        next_due_basis: c.next_due.basis,
        left_as: speaker
            .circuit(Some(&c.id))
            .and_then(|c| c.left_as.as_ref())
            .map(|left| LeftAsOut {
                state: left.state.word(),
                limit_a: left.current.map(|a| rounded(a.ampere(), CURRENT)),
                key: left.key.as_deref(),
            }),
        load_fraction: c.load_fraction.map(|f| rounded(f, PROBABILITY)),
        decided_at: c
            .decided_in
            .and_then(|i| heat?.rounds.get(i))
            .map(|round| super::numbers::clock(round.at.time)),
        connections: c.connections.iter().map(|n| connection(heat, n)).collect(),
        checks: c.checks.iter().map(check).collect(),
    }
}

fn kelvin(e: Option<Estimate>) -> Option<f64> {
    e.map(|e| rounded(e.value.kelvin(), TEMPERATURE))
}

fn expanded(e: Option<Estimate>) -> Option<f64> {
    e.map(|e| rounded(e.expanded.kelvin(), TEMPERATURE))
}

fn difference(d: TemperatureDifference) -> f64 {
    rounded(d.kelvin(), TEMPERATURE)
}

fn celsius(t: Temperature) -> f64 {
    rounded(t.celsius(), TEMPERATURE)
}

fn connection<'a>(heat: Option<&Heat>, c: &'a ConnectionAssessment) -> ConnectionOut<'a> {
    let settled = c.settled.map(|s| s.rise);
    ConnectionOut {
        id: &c.id,
        place: &c.place,
        leg: &c.leg,
        rounds: c.rounds.iter().map(|r| round(heat, r)).collect(),
        settled_rise_k: kelvin(settled),
        settled_rise_uncertainty_k: expanded(settled),
        settled_by: c.settled.map(|s| s.how.word()),
        time_constant_min: c
            .settled
            .and_then(|s| s.time_constant_min)
            .map(|t| rounded(t, MINUTES)),
        without_load_k: kelvin(c.without_load),
        rise_at_rated_k: kelvin(c.rise_at_rated),
        rise_at_rated_uncertainty_k: expanded(c.rise_at_rated),
        ends_from_k: c.ends.and_then(|e| e.least).map(difference),
        ends_to_k: c.ends.and_then(|e| e.most).map(difference),
        can_change: c.ends.and_then(|e| e.change).map(|change| ChangeOut {
            check: change.check,
            grade: change.grade.word(),
            read_again_min: change.deciding.map(|d| rounded(d.minutes, MINUTES)),
            decided_below_k: change.deciding.map(|d| difference(d.below)),
        }),
        projected_c: c.projected.map(celsius),
        limit_c: c.limit.map(|(t, _)| celsius(t)),
        limit_of: c.limit.map(|(_, of)| of),
        margin_k: c.margin.map(|m| rounded(m.kelvin(), TEMPERATURE)),
    }
}

fn round(heat: Option<&Heat>, r: &RoundValue) -> RoundOut {
    RoundOut {
        at: heat
            .and_then(|h| h.rounds.get(r.round))
            .map(|round| super::numbers::clock(round.at.time)),
        minutes: r.minutes.map(|m| rounded(m, MINUTES)),
        current_a: rounded(r.current.ampere(), CURRENT),
        air_c: r.air.map(celsius),
        shown_c: celsius(r.shown),
        temperature_c: celsius(r.temperature),
        trusted: r.trusted,
        rise_k: kelvin(r.rise),
        rise_uncertainty_k: expanded(r.rise),
    }
}

fn check(c: &Check) -> CheckOut<'_> {
    let decimals = decimals(c.unit);
    CheckOut {
        rule: c.rule,
        value: c.value.map(|v| rounded(v, decimals)),
        limit: c.limit.map(|v| rounded(v, decimals)),
        unit: c.unit,
        holds: c.holds,
        missing: &c.missing,
        source: &c.source,
        checked: match c.checked {
            Checked::Confirmed => "confirmed",
            Checked::FromMemory => "from-memory",
            Checked::CommonPractice => "common-practice",
            Checked::Firm => "firm",
        },
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

fn charging_limit(charging: Charging) -> Option<f64> {
    charging.limit().map(|a| rounded(a.ampere(), CURRENT))
}

/// The connection to treat first; else the place, the circuit, or `visit`.
fn subject(f: &Finding) -> &str {
    let subject = f.connections.first().or(f.place.as_ref());
    subject
        .or(f.circuit.as_ref())
        .map_or("visit", String::as_str)
}

fn finding<'a>(speaker: &Speaker<'a>, f: &'a Finding) -> FindingOut<'a> {
    let sentence = speaker.diagnosis(f);
    FindingOut {
        cause: f.cause,
        subject: subject(f),
        grade: f.grade.word(),
        rule_grade: f.rule_grade.word(),
        circuit: f.circuit.as_deref(),
        place: f.place.as_deref(),
        connections: &f.connections,
        charging: f.charging.word(),
        charging_limit_a: charging_limit(f.charging),
        deadline: f.deadline,
        evidence: f.checks(&speaker.assessment.checks).map(|c| c.id).collect(),
        text: sentence.text,
        action: sentence.action,
        judgement: f.judgement.as_ref().map(|(grade, because)| JudgementOut {
            grade: grade.word(),
            because,
        }),
    }
}

fn check_result<'a>(speaker: &Speaker<'a>, f: &'a CheckResult) -> CheckResultOut<'a> {
    let decimals = decimals(f.unit);
    let sentence = speaker.finding(f);
    CheckResultOut {
        id: f.id,
        result: if f.grade == Grade::Pass {
            if f.cannot_tell() {
                "cannot-tell"
            } else {
                "pass"
            }
        } else {
            "fail"
        },
        grade: f.grade.word(),
        circuit: f.circuit.as_deref(),
        place: f.place.as_deref(),
        connections: &f.connections,
        value: f.value.map(|v| rounded(v, decimals)),
        limit: f.limit.map(|v| rounded(v, decimals)),
        unit: f.unit,
        uncertainty: f.uncertainty.map(|v| rounded(v, decimals)),
        borderline: f.borderline,
        probability_over: f.probability_over.map(|p| rounded(p, PROBABILITY)),
        would_show: f.would_show.map(|w| rounded(w.smallest, decimals)),
        source: &f.source,
        text: sentence.text,
        action: sentence.action,
        variant: f.variant.map(Variant::word),
        judgement: f.judgement.as_ref().map(|(grade, because)| JudgementOut {
            grade: grade.word(),
            because,
        }),
        effective_grade: f.effective_grade().word(),
        next_limit: f.next_limit.map(|v| rounded(v, decimals)),
    }
}
