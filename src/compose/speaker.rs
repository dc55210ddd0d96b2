//! Findings and limitations in sentences: one for the owner, one action for the electrician.
//!
//! Which sentences there are, and which values each may use, is declared with the ids in
//! [`crate::vocabulary`]; a wording that lacks one does not load. If a finding lacks a value that
//! its sentence needs, it gets a general sentence with its id and numbers, and [`gaps`] reports it,
//! so that tests with complete visits fail before a user can see it.
//!
//! The sentence follows the rule set's grade, because it says what was measured; the action
//! follows the grade that counts, the inspector's own where there is one.

use super::document::{Block, Text};
use super::keys;
use super::numbers::Numbers;
use super::wording::{Wording, fill};
use crate::assess::{Assessment, CheckResult, ConnectionAssessment, Limitation, Value, Values};
use crate::quantity::{Current, Temperature};
use crate::rules::Rules;
use crate::visit::{Circuit, Grade, Instrument, Place, Visit};
use crate::vocabulary::{CheckId, LimitationId, ValueName, Variant, Word};
use std::borrow::Cow;
use std::collections::BTreeSet;

/// The source that a rule set gives for a figure without a published source.
const COMMON_PRACTICE: &str = "common practice, no source";

/// A finding in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sentence {
    /// Name of the finding, in two or three words.
    pub name: String,
    /// One plain sentence for the owner.
    pub text: String,
    /// The action for the electrician; empty if there is nothing to do.
    pub action: String,
}

/// How the steps for a hot connection are given in an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Steps {
    /// In full, for texts that must be understood without context.
    InFull,
    /// By reference to the list printed once in the certificate.
    Referred,
}

/// Words an assessment in sentences.
#[derive(Debug, Clone, Copy)]
pub struct Speaker<'a> {
    /// The visit that the assessment was made from.
    pub visit: &'a Visit,
    /// Its assessment.
    pub assessment: &'a Assessment,
    /// The rule set in force.
    pub rules: &'a Rules,
    /// The words.
    pub wording: &'a Wording,
    /// The numbers.
    pub numbers: Numbers<'a>,
}

impl<'a> Speaker<'a> {
    /// For one visit, in the units that it is printed in.
    pub fn new(
        visit: &'a Visit,
        assessment: &'a Assessment,
        rules: &'a Rules,
        wording: &'a Wording,
    ) -> Self {
        Speaker {
            visit,
            assessment,
            rules,
            wording,
            numbers: Numbers::new(visit.print.units, wording),
        }
    }

    /// The circuit with this id, or the only one.
    pub(super) fn circuit(&self, id: Option<&str>) -> Option<&'a Circuit> {
        match id {
            Some(id) => self.visit.circuits.iter().find(|c| c.id == id),
            None => match self.visit.circuits.as_slice() {
                [only] => Some(only),
                _ => None,
            },
        }
    }

    /// The place with this id in a circuit.
    pub(super) fn place(&self, circuit: Option<&str>, id: &str) -> Option<&'a Place> {
        self.circuit(circuit)?.places.iter().find(|p| p.id == id)
    }

    /// What was found at a connection.
    fn connection(&self, circuit: Option<&str>, id: &str) -> Option<&'a ConnectionAssessment> {
        self.assessment
            .circuits
            .iter()
            .filter(|c| circuit.is_none_or(|wanted| c.id == wanted))
            .find_map(|c| c.connections.iter().find(|c| c.id == id))
    }

    /// The circuits in two groups: those in order, if there are several, and the others, which are
    /// shown in full.
    pub(super) fn sound_circuits(&self) -> (Vec<&'a Circuit>, Vec<&'a Circuit>) {
        let several = self.visit.circuits.len() > 1;
        self.visit.circuits.iter().partition(|circuit| {
            let here = |other: Option<&str>| other == Some(circuit.id.as_str());
            let assessment = self.assessment;
            let found = assessment
                .findings
                .iter()
                .any(|f| here(f.circuit.as_deref()));
            let limited = assessment
                .limitations
                .iter()
                .any(|l| here(l.circuit.as_deref()));
            several && !found && !limited
        })
    }

    /// Heading of the part about one circuit; `None` if the visit has only one.
    pub(super) fn circuit_heading(&self, circuit: &Circuit) -> Option<Block> {
        (self.visit.circuits.len() > 1).then(|| Block::Heading {
            level: 3,
            text: circuit.title().to_owned(),
            anchor: None,
        })
    }

    /// Where a finding was made: place, or circuit if the visit has several.
    pub fn location(&self, finding: &CheckResult) -> String {
        self.location_of(finding.circuit.as_deref(), finding.place.as_deref())
    }

    /// Name of a place, or of the circuit when there is no place or the visit has several.
    pub(super) fn location_of(&self, circuit: Option<&str>, place: Option<&str>) -> String {
        let place = place
            .and_then(|p| self.place(circuit, p))
            .map(|p| p.name.as_str());
        let circuit = circuit
            .and_then(|id| self.circuit(Some(id)))
            .map(Circuit::title);
        match (place, circuit) {
            (Some(place), Some(circuit)) if self.visit.circuits.len() > 1 => self.wording.say(
                &keys::WHERE_PLACE_IN_CIRCUIT,
                &[("place", place), ("circuit", circuit)],
            ),
            (Some(place), _) => place.to_owned(),
            (None, Some(circuit)) => circuit.to_owned(),
            (None, None) => self.wording.word(&keys::WHERE_VISIT).to_owned(),
        }
    }

    /// Place of a finding, beside the name of its circuit; empty when it concerns all of it.
    pub fn location_in_circuit(&self, finding: &CheckResult) -> &'a str {
        finding
            .place
            .as_deref()
            .and_then(|p| self.place(finding.circuit.as_deref(), p))
            .map_or("", |p| p.name.as_str())
    }

    /// A finding in words that need no context.
    pub fn finding(&self, finding: &CheckResult) -> Sentence {
        self.finding_with(finding, Steps::InFull).0
    }

    /// A finding in words that refer to [`Speaker::heat_steps`], given once, instead of repeating
    /// them.
    pub fn finding_referring(&self, finding: &CheckResult) -> Sentence {
        self.finding_with(finding, Steps::Referred).0
    }

    /// Heading and steps for a hot connection, if any action refers to them.
    pub fn heat_steps(&self) -> Option<(&'a str, Vec<&'a str>)> {
        let referred = self.wording.word(&keys::HEAT_STEPS_REFERRED);
        let needed = self
            .open_findings()
            .any(|f| self.diagnosis_referring(f).action.contains(referred));
        needed.then(|| {
            (
                self.wording.word(&keys::HEAT_STEPS_HEADING),
                keys::HEAT_STEPS
                    .iter()
                    .map(|k| self.wording.word(k))
                    .collect(),
            )
        })
    }

    /// A finding in words, and whether they are its own.
    pub(super) fn finding_with(&self, finding: &CheckResult, steps: Steps) -> (Sentence, bool) {
        self.finding_at(finding, steps, None)
    }

    /// The same of a finding at several places, which are named together.
    pub(super) fn finding_at(
        &self,
        finding: &CheckResult,
        steps: Steps,
        places: Option<&str>,
    ) -> (Sentence, bool) {
        self.own_words(finding, steps, places)
            .map_or_else(|| (self.general_words(finding), false), |s| (s, true))
    }

    /// A limit in a line of the terminal.
    pub fn limit_told(&self, limit: &str) -> String {
        self.wording.say(&keys::CHECK_LIMIT, &[("limit", limit)])
    }

    /// The name of a finding that the inspector judged, in a line of the terminal.
    pub fn own_judgement(&self, name: &str) -> String {
        self.wording.say(&keys::CHECK_OWN, &[("name", name)])
    }

    /// The inspector's judgement on a finding, for the sheet of the next visit.
    pub fn inspector_said(&self, because: &str) -> String {
        self.wording
            .say(&keys::SHEET_INSPECTOR_SAID, &[("because", because)])
    }

    /// Headings of what to do and of what was not done, in the terminal.
    pub fn heads(&self) -> [&'a str; 2] {
        [&keys::TO_DO_HEADING, &keys::CHECK_NOT_DONE].map(|key| self.wording.word(key))
    }

    /// A source as the rule set names it. The built-in rule sets are in English; the language of a
    /// firm's own is not known.
    pub(super) fn source(&self, source: &str) -> Text {
        let (own, rest) = match source.strip_prefix(COMMON_PRACTICE) {
            Some(rest) => (self.wording.word(&keys::COMMON_PRACTICE), rest),
            None => ("", source),
        };
        let rest = match (rest, self.rules.extends.is_none()) {
            ("", _) => Text::default(),
            (rest, true) => Text::plain(rest).in_language("en"),
            (rest, false) => Text::plain(rest),
        };
        if own.is_empty() {
            rest
        } else {
            Text::plain(own).then(rest)
        }
    }

    /// Name of a finding or circuit check.
    pub(super) fn name(&self, check: CheckId) -> &'a str {
        self.wording
            .find(&format!("finding.{check}.name"))
            .unwrap_or(check.word())
    }

    fn own_words(
        &self,
        finding: &CheckResult,
        steps: Steps,
        places: Option<&str>,
    ) -> Option<Sentence> {
        let declared = finding.id.declaration().variants;
        let select = |grade: Grade| {
            finding
                .variant
                .into_iter()
                .chain([Variant::Grade(grade), Variant::Any])
                .find(|v| declared.contains(v))
                .map(Variant::word)
        };
        let known = |name| match (name, places) {
            (ValueName::Place, Some(places)) => Some(Cow::Owned(places.to_owned())),
            _ => self.common(finding, steps, name),
        };
        let text = self.filled(
            &format!("finding.{}.{}.text", finding.id, select(finding.grade)?),
            known,
            &finding.values,
        )?;
        let grade = finding.effective_grade();
        let action = if grade == Grade::Pass {
            String::new()
        } else {
            let path = select(grade)
                .map(|selector| format!("finding.{}.{selector}.action", finding.id))
                .filter(|path| self.wording.find(path).is_some());
            match path {
                Some(path) => self.filled(&path, known, &finding.values)?,
                // The rule set lets it pass, but the inspector does not. The inspector's reason,
                // which is required, says what to do.
                None => self.wording.word(&keys::FINDING_JUDGED_ACTION).to_owned(),
            }
        };
        Some(Sentence {
            name: self.name(finding.id).to_owned(),
            text,
            action,
        })
    }

    fn general_words(&self, finding: &CheckResult) -> Sentence {
        let words = self.wording;
        let place = self.location(finding);
        let text = match self.value_and_limit(finding) {
            (Some(value), Some(limit)) => words.say(
                &keys::FINDING_GENERAL_LIMIT,
                &[
                    ("where", &place),
                    ("id", finding.id.word()),
                    ("value", &value),
                    ("limit", &limit),
                ],
            ),
            _ => words.say(
                &keys::FINDING_GENERAL_TEXT,
                &[("where", &place), ("id", finding.id.word())],
            ),
        };
        let action = match finding.effective_grade() {
            Grade::Pass => String::new(),
            Grade::Note | Grade::Watch => words.word(&keys::FINDING_GENERAL_WATCH).to_owned(),
            Grade::Repair => words.word(&keys::FINDING_GENERAL_REPAIR).to_owned(),
            Grade::Stop => words.word(&keys::FINDING_GENERAL_STOP).to_owned(),
        };
        Sentence {
            name: finding.id.to_string(),
            text,
            action,
        }
    }

    /// Value and limit of a finding with their units.
    pub(super) fn value_and_limit(
        &self,
        finding: &CheckResult,
    ) -> (Option<String>, Option<String>) {
        // A share of the load reads better in percent.
        let (scale, unit) = match finding.id {
            CheckId::LoadTooLow => (100.0, "%"),
            _ => (1.0, finding.unit),
        };
        let (value, limit) = on_the_safe_side(finding);
        match (value.map(|v| v * scale), limit.map(|l| l * scale)) {
            (Some(value), Some(limit)) => {
                let (value, limit) = self.numbers.against(value, limit, unit);
                (Some(value), Some(limit))
            }
            (value, limit) => (
                value.map(|v| self.numbers.quantity(v, unit)),
                limit.map(|v| self.numbers.quantity(v, unit)),
            ),
        }
    }

    /// Names of connections in a sentence: numbered as in the tables.
    fn connections(&self, ids: &[String]) -> Option<String> {
        (!ids.is_empty()).then(|| self.wording.list(ids))
    }

    /// One of the values in [`COMMON`], computed when a sentence needs it.
    pub(super) fn common(
        &self,
        finding: &CheckResult,
        steps: Steps,
        name: ValueName,
    ) -> Option<Cow<'_, str>> {
        let circuit = finding.circuit.as_deref();
        let id = finding.connections.first();
        let first = || id.and_then(|id| self.connection(circuit, id));
        let temperature = |t: Temperature| Cow::Owned(self.numbers.temperature(t));
        match name {
            ValueName::Circuit => Some(Cow::Borrowed(self.circuit(circuit)?.title())),
            ValueName::Place => {
                let place = self.place(circuit, finding.place.as_deref()?)?;
                Some(Cow::Borrowed(&place.name))
            }
            ValueName::Connection => id.map(|id| Cow::Owned(id.clone())),
            ValueName::Connections => self.connections(&finding.connections).map(Cow::Owned),
            ValueName::Leg => {
                let id = id?;
                let (_, connection) = self
                    .circuit(circuit)?
                    .connections()
                    .find(|(_, c)| c.id == *id)?;
                Some(Cow::Borrowed(&connection.leg))
            }
            ValueName::Value => self.value_and_limit(finding).0.map(Cow::Owned),
            ValueName::Limit => self.value_and_limit(finding).1.map(Cow::Owned),
            ValueName::Uncertainty => Some(Cow::Owned(
                self.numbers.quantity(finding.uncertainty?, finding.unit),
            )),
            ValueName::Hottest => hottest(first()?).map(temperature),
            ValueName::Projected => first()?.projected.map(temperature),
            ValueName::Rating => match finding.values.get(&name) {
                Some(Value::Temperature(own)) => Some(temperature(*own)),
                _ => first()?.limit.map(|(t, _)| temperature(t)),
            },
            ValueName::Margin => Some(Cow::Owned(self.numbers.difference(first()?.margin?))),
            ValueName::LoadFraction => {
                let fraction = self
                    .assessment
                    .circuits
                    .iter()
                    .find(|c| circuit.is_none_or(|id| c.id == id))?
                    .load_fraction?;
                Some(Cow::Owned(self.numbers.percent(fraction)))
            }
            ValueName::LeastLoad => Some(Cow::Owned(
                self.numbers
                    .percent(self.rules.thermal.least_load_fraction.value),
            )),
            ValueName::HeatSteps => Some(Cow::Borrowed(self.wording.word(match steps {
                Steps::InFull => &keys::HEAT_STEPS_IN_FULL,
                Steps::Referred => &keys::HEAT_STEPS_REFERRED,
            }))),
            _ => None,
        }
    }

    /// The string at a path with its places filled, or `None` when one has no value.
    pub(super) fn filled<'v>(
        &self,
        path: &str,
        common: impl Fn(ValueName) -> Option<Cow<'v, str>>,
        values: &'v Values,
    ) -> Option<String>
    where
        Self: 'v,
    {
        let (text, unfilled) = fill(self.wording.find(path)?, |name| {
            let name = ValueName::of(name)?;
            common(name).or_else(|| values.get(&name).map(|v| Cow::Owned(self.value(name, v))))
        });
        unfilled.is_empty().then_some(text)
    }

    /// A named value in words. Ids of rules and dotted keys of the visit file are printed as
    /// they are.
    fn value(&self, name: ValueName, value: &Value) -> String {
        match (name, value) {
            (ValueName::Rule, Value::Text(id)) => {
                CheckId::of(id).map_or_else(|| id.clone(), |check| self.name(check).to_owned())
            }
            (ValueName::Missing, Value::Text(keys)) => self.missing(keys),
            (ValueName::Grade, Value::Text(word)) => Grade::ALL
                .into_iter()
                .find(|g| g.word() == word)
                .map_or(word.as_str(), |g| self.grade(g))
                .to_owned(),
            // The largest current that a device may carry for hours.
            (ValueName::Most, Value::Current(most)) => {
                let whole = (most.ampere() + 1e-9).floor();
                self.numbers.current(Current::from_ampere(whole))
            }
            (ValueName::Instrument, Value::Text(id)) => self
                .visit
                .instrument(id)
                .map_or_else(|| id.clone(), |i| instrument_name(self, i)),
            _ => self.numbers.value(value),
        }
    }

    /// The missing keys, in words if the wording has them, otherwise as in the visit file.
    fn missing(&self, keys: &str) -> String {
        let named: Vec<String> = keys
            .split(", ")
            .map(|key| {
                self.wording
                    .find(&format!("missing.{key}"))
                    .map_or_else(|| self.missing_pair(key), str::to_owned)
            })
            .collect();
        self.wording.list(&named)
    }

    /// A pair of legs in words; anything else as it is.
    fn missing_pair(&self, key: &str) -> String {
        let leg = |l: &str| {
            !l.is_empty()
                && l.bytes()
                    .all(|b| b.is_ascii_uppercase() || b.is_ascii_digit())
        };
        match key.split_once('-') {
            Some((a, b)) if leg(a) && leg(b) => {
                self.wording.say(&keys::PAIR, &[("from", a), ("to", b)])
            }
            _ => key.to_owned(),
        }
    }

    /// A limitation in one sentence.
    pub fn limitation(&self, limitation: &Limitation) -> String {
        self.limitation_with(limitation).0
    }

    /// A limitation in words for a later day: without the time on the visit from which on a connection could
    /// have been read again.
    pub fn limitation_later(&self, limitation: &Limitation) -> String {
        let connections = self.connections(&limitation.connections);
        match (limitation.id, connections) {
            (LimitationId::NotSettled, Some(connections)) => self
                .wording
                .say(&keys::LETTER_NOT_SETTLED, &[("connections", &connections)]),
            _ => self.limitation(limitation),
        }
    }

    fn limitation_with(&self, limitation: &Limitation) -> (String, bool) {
        let circuit = limitation.circuit.as_deref();
        let known = |name| match name {
            ValueName::Circuit => Some(Cow::Borrowed(self.circuit(circuit)?.title())),
            ValueName::Place => {
                let place = self.place(circuit, limitation.place.as_deref()?)?;
                Some(Cow::Borrowed(place.name.as_str()))
            }
            ValueName::Connections => self.connections(&limitation.connections).map(Cow::Owned),
            _ => None,
        };
        let own = self.filled(
            &format!("limitation.{}", limitation.id),
            known,
            &limitation.values,
        );
        match own {
            Some(text) => (text, true),
            None => (
                self.wording
                    .say(&keys::LIMITATION_GENERAL, &[("id", limitation.id.word())]),
                false,
            ),
        }
    }

    /// Where a limitation applies, when the visit has several circuits.
    pub(super) fn limitation_where(&self, limitation: &Limitation) -> Option<&'a str> {
        if self.visit.circuits.len() < 2 {
            return None;
        }
        self.circuit(limitation.circuit.as_deref())
            .map(Circuit::title)
    }
}

/// Highest true temperature read at a connection.
fn hottest(connection: &ConnectionAssessment) -> Option<Temperature> {
    connection
        .rounds
        .iter()
        .map(|r| r.temperature)
        .max_by(|a, b| a.kelvin().total_cmp(&b.kelvin()))
}

/// Value and limit of a check as printed in a sentence. Derived currents are whole amperes: those
/// that parts carry or allow are rounded down, those that are needed are rounded up. Measured
/// values and ratings printed on a device are unchanged.
fn on_the_safe_side(check: &CheckResult) -> (Option<f64>, Option<f64>) {
    // A product of decimals may differ from a whole ampere in its last digits.
    let down = |a: f64| (a + 1e-9).floor();
    let up = |a: f64| (a - 1e-9).ceil();
    let (value, limit) = (check.value, check.limit);
    match check.id {
        _ if check.unit != "A" => (value, limit),
        CheckId::ConductorContinuous => (value.map(down), limit.map(up)),
        CheckId::ConductorAmpacity => (value.map(down), limit),
        CheckId::ContinuousLoad => (value, limit.map(up)),
        CheckId::ConductorProtection | CheckId::ChargingCurrent => (value, limit.map(down)),
        CheckId::OverloadProtection => (value.map(up), limit.map(down)),
        _ => (value, limit),
    }
}

/// Findings and limitations of an assessment that have no sentence, or lack a value that their
/// sentence needs. Empty for every assessment made by this version.
pub fn gaps(speaker: &Speaker<'_>) -> BTreeSet<String> {
    let findings = speaker
        .assessment
        .checks
        .iter()
        .filter(|f| !speaker.finding_with(f, Steps::InFull).1)
        .map(|f| {
            format!(
                "finding {} ({})",
                f.id,
                f.variant.unwrap_or(Variant::Grade(f.grade)).word()
            )
        });
    let limitations = speaker
        .assessment
        .limitations
        .iter()
        .filter(|l| !speaker.limitation_with(l).1)
        .map(|l| format!("limitation {}", l.id));
    let causes = speaker
        .assessment
        .findings
        .iter()
        .filter(|f| !speaker.diagnosis_with(f, Steps::InFull).1)
        .map(|f| format!("cause {}", f.cause));
    findings.chain(causes).chain(limitations).collect()
}

/// Kind of an instrument, with its serial number where the visit states it.
pub(super) fn instrument_name(speaker: &Speaker<'_>, instrument: &Instrument) -> String {
    let kind = speaker.wording.name(instrument.kind);
    match &instrument.serial {
        Some(serial) => speaker.wording.say(
            &keys::INSTRUMENT_WITH_SERIAL,
            &[("kind", kind), ("serial", serial)],
        ),
        None => kind.to_owned(),
    }
}
