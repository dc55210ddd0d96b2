//! Findings in words: one sentence for the owner, one action, the evidence, the deadline, and
//! whether charging may go on.
//!
//! A cause that has no sentences of its own is described by those of its worst check.

use super::keys::{self, Key};
use super::speaker::{Sentence, Speaker, Steps};
use crate::assess::{Charging, CheckResult, Finding, Value, Values};
use crate::visit::{Circuit, Condition, Grade, LeftState};
use crate::vocabulary::{Cause, CauseId, CheckId, Topic, ValueName, Variant};
use std::borrow::Cow;

impl Speaker<'_> {
    /// A finding in words that need no context.
    pub fn diagnosis(&self, finding: &Finding) -> Sentence {
        self.diagnosis_with(finding, Steps::InFull).0
    }

    /// A finding in words that refer to [`Speaker::heat_steps`] instead of repeating them.
    pub fn diagnosis_referring(&self, finding: &Finding) -> Sentence {
        self.diagnosis_with(finding, Steps::Referred).0
    }

    /// A finding in words, and whether they are its own.
    pub(super) fn diagnosis_with(&self, finding: &Finding, steps: Steps) -> (Sentence, bool) {
        let Some(leading) = finding.leading(&self.assessment.checks) else {
            return (Sentence::default(), false);
        };
        let name = match finding.cause {
            Cause::Known(cause) => self.wording.find(&format!("cause.{cause}.name")),
            Cause::Check(check) => Some(self.name(check)),
        };
        let name = name.unwrap_or(finding.cause.word()).to_owned();
        let own = finding
            .variant(finding.rule_grade)
            .zip(finding.variant(finding.grade))
            // The outside of a closed cover has a sentence of its own, and no legs.
            .filter(|_| leading.variant != Some(Variant::Cover));
        let (mut sentence, own) = match own {
            Some((said, asked)) => {
                // A damaged part is named, and its own action comes first.
                let damage = self.damage(finding, steps);
                // The sentences of a cause describe the finding as a whole.
                let about = CheckResult {
                    place: finding.place.clone().or_else(|| leading.place.clone()),
                    connections: finding.connections.clone(),
                    values: self.with_legs(finding, &leading.values),
                    ..leading.clone()
                };
                match self.cause_words(finding.cause, said, asked, &about, steps) {
                    Some(mut sentence) => {
                        if let Some(damage) = damage {
                            sentence.text = with_further(&sentence.text, &damage.text);
                            sentence.action = damage.action;
                        }
                        // Dust that keeps heat in is cleaned out before other causes are looked
                        // for.
                        if let Some(dust) = self.dust_of(finding) {
                            let dust = self.finding_with(dust, steps).0;
                            sentence.text = with_further(&sentence.text, &dust.text);
                            sentence.action = format!("{} {}", dust.action, sentence.action);
                        }
                        (sentence, true)
                    }
                    None => (self.finding_with(leading, steps).0, false),
                }
            }
            None if leading.id == CheckId::Condition => match self.damage(finding, steps) {
                Some(damage) => (damage, true),
                None => self.finding_with(leading, steps),
            },
            None => self.finding_with(leading, steps),
        };
        sentence.name = name;
        (sentence, own)
    }

    /// The damage that is part of a finding: what was seen, with the places where it was, and what is
    /// done about the worst of it.
    fn damage(&self, finding: &Finding, steps: Steps) -> Option<Sentence> {
        let seen: Vec<&CheckResult> = finding
            .checks(&self.assessment.checks)
            .filter(|c| c.id == CheckId::Condition && c.effective_grade() >= Grade::Watch)
            .collect();
        let mut told: Option<Sentence> = None;
        for (i, check) in seen.iter().enumerate() {
            let alike = |other: &&&CheckResult| other.variant == check.variant;
            if seen.iter().take(i).any(|other| alike(&other)) {
                continue;
            }
            let mut places: Vec<&str> = Vec::new();
            for other in seen.iter().filter(alike) {
                let place = other.place.as_deref();
                let place = place.and_then(|id| self.place(other.circuit.as_deref(), id));
                if let Some(place) = place.filter(|p| !places.contains(&p.name.as_str())) {
                    places.push(&place.name);
                }
            }
            let named = (places.len() > 1).then(|| self.wording.list(&places));
            let sentence = self.finding_at(check, steps, named.as_deref()).0;
            match &mut told {
                None => told = Some(sentence),
                Some(told) => told.text = format!("{} {}", told.text, sentence.text),
            }
        }
        told
    }

    /// The dust that is part of a finding on heat.
    fn dust_of<'s>(&'s self, finding: &'s Finding) -> Option<&'s CheckResult> {
        let mut checks = finding.checks(&self.assessment.checks);
        let dust = Some(Variant::Seen(Condition::Dust));
        checks.find(|c| c.id == CheckId::Condition && c.variant == dust)
    }

    /// Values with the legs of all connections that a finding is about.
    fn with_legs(&self, finding: &Finding, values: &Values) -> Values {
        let mut legs: Vec<&str> = Vec::new();
        if let Some(circuit) = self.circuit(finding.circuit.as_deref()) {
            for (_, connection) in circuit.connections() {
                if finding.connections.contains(&connection.id)
                    && !legs.contains(&connection.leg.as_str())
                {
                    legs.push(&connection.leg);
                }
            }
        }
        let mut values = values.clone();
        values.insert(ValueName::Legs, Value::Text(self.wording.list(&legs)));
        values
    }

    fn cause_words(
        &self,
        cause: Cause,
        said: Variant,
        asked: Variant,
        about: &CheckResult,
        steps: Steps,
    ) -> Option<Sentence> {
        // What is hot at several places is named by all of them.
        let several = matches!(cause, Cause::Known(CauseId::HotDevice | CauseId::HotLeg));
        let places = several.then(|| self.places_of(about));
        let common = |name| match (name, &places) {
            (ValueName::Place, Some(places)) => Some(Cow::Owned(places.clone())),
            _ => self.common(about, steps, name),
        };
        let string = |variant: Variant, part: &str| {
            self.filled(
                &format!("cause.{cause}.{}.{part}", variant.word()),
                common,
                &about.values,
            )
        };
        Some(Sentence {
            name: String::new(),
            text: string(said, "text")?,
            action: string(asked, "action")?,
        })
    }

    /// The names of the places where the connections of a check are.
    fn places_of(&self, about: &CheckResult) -> String {
        let circuit = self.circuit(about.circuit.as_deref());
        let mut names: Vec<&str> = Vec::new();
        for (place, connection) in circuit.iter().flat_map(|c| c.connections()) {
            let named = about.connections.contains(&connection.id);
            if named && !names.contains(&place.name.as_str()) {
                names.push(&place.name);
            }
        }
        self.wording.list(&names)
    }

    /// The evidence: one phrase for each check, worst first, without hints. Empty if the finding's
    /// sentence is that of its only check, which says the same.
    pub fn evidence(&self, finding: &Finding) -> Vec<String> {
        self.shown(finding, |check| self.shown_here_or_at(finding, check))
    }

    /// The same as it is printed on the pages, where connections have numbers instead of the name
    /// of the place.
    pub fn printed_evidence(&self, finding: &Finding) -> Vec<String> {
        self.shown(finding, |check| self.shown_by(check))
    }

    fn shown(&self, finding: &Finding, say: impl Fn(&CheckResult) -> String) -> Vec<String> {
        let checks = finding.checks(&self.assessment.checks);
        let mut shown: Vec<String> = checks
            .filter(|check| check.id.about() != Topic::Hint)
            .map(say)
            .collect();
        shown.dedup();
        if shown.len() > 1 || finding.variant(finding.grade).is_some() {
            shown
        } else {
            Vec::new()
        }
    }

    /// The phrase for a check, with its place if that differs from the finding's.
    fn shown_here_or_at(&self, finding: &Finding, check: &CheckResult) -> String {
        let shown = self.shown_by(check);
        let elsewhere = check
            .place
            .as_deref()
            .filter(|at| Some(*at) != finding.place.as_deref());
        match elsewhere.and_then(|at| self.place(check.circuit.as_deref(), at)) {
            Some(place) => self.wording.say(
                &keys::SHOWN_AT,
                &[("place", &place.name), ("shown", &shown)],
            ),
            None => shown,
        }
    }

    /// The reason why a finding is graded worse than each of its checks.
    pub fn raised(&self, finding: &Finding) -> Option<&str> {
        let raised = finding.combined.is_some();
        raised.then(|| self.wording.word(&keys::TO_DO_COMBINED))
    }

    /// The phrase for a check, in a few words.
    pub(super) fn shown_by(&self, check: &CheckResult) -> String {
        if let (CheckId::Condition, Some(Variant::Seen(seen))) = (check.id, check.variant) {
            return self.wording.name(seen).to_owned();
        }
        let measured = check.values.contains_key(&ValueName::Found);
        let same_day = matches!(
            check.values.get(&ValueName::EarlierDate),
            Some(Value::Date(then)) if *then == self.visit.date
        );
        let path = match (check.id, check.variant) {
            (CheckId::WorseThanBefore, _) if same_day => {
                "evidence.worse-than-before-same-day".to_owned()
            }
            (CheckId::Rise, Some(Variant::Least)) => "evidence.rise-least".to_owned(),
            (CheckId::TorqueMoved, _) if measured => "evidence.torque-moved-at".to_owned(),
            (CheckId::VoltageDropFeeder | CheckId::VoltageDropTotal, _) => {
                "evidence.voltage-drop".to_owned()
            }
            (id, _) => format!("evidence.{id}"),
        };
        let common = |name| self.common(check, Steps::Referred, name);
        let own = self.filled(&path, common, &check.values);
        own.unwrap_or_else(|| self.finding_with(check, Steps::Referred).0.name)
    }

    /// Where a finding was made: its place, or the circuit.
    pub fn found_at(&self, finding: &Finding) -> String {
        self.location_of(finding.circuit.as_deref(), finding.place.as_deref())
    }

    /// The sentence that says that the inspector judged a finding milder than the rule set does,
    /// and why.
    pub fn judged_milder(&self, finding: &Finding) -> Option<String> {
        let checks = finding.checks(&self.assessment.checks);
        let of_checks = checks.filter(|c| c.effective_grade() < c.grade);
        let whole = finding.judgement.iter();
        let whole = whole.filter(|_| finding.grade < finding.rule_grade);
        let (grade, because) = whole
            .map(|(_, because)| (finding.rule_grade, because))
            .chain(of_checks.filter_map(|c| Some((c.grade, &c.judgement.as_ref()?.1))))
            .next()?;
        Some(self.wording.say(
            &keys::TO_DO_JUDGED,
            &[
                ("rules-grade", self.grade(grade.max(finding.rule_grade))),
                ("because", because),
            ],
        ))
    }

    /// When a finding's action is due.
    pub fn deadline(&self, finding: &Finding) -> String {
        match finding.deadline {
            None => self.wording.word(&keys::CHARGING_BEFORE_USE).to_owned(),
            Some(date) => self
                .wording
                .say(&keys::CHARGING_BY, &[("date", &self.numbers.date(date))]),
        }
    }

    /// Whether charging may go on, as an answer for the owner.
    pub fn may_charge(&self, charging: Charging) -> String {
        let forbidding = |f: &Finding| f.charging == Charging::NotAtAll;
        if charging == Charging::NotAtAll && !self.assessment.findings.iter().any(forbidding) {
            // No finding as left forbids charging, so the reason is a repair that was not measured
            // again.
            return self.wording.word(&keys::CHARGING_NOT_PROVED).to_owned();
        }
        self.charging_in(
            charging,
            self.assessment.complete,
            [
                &keys::CHARGING_NOT_AT_ALL,
                &keys::CHARGING_LIMITED,
                &keys::CHARGING_AS_USUAL,
                &keys::CHARGING_AS_USUAL_INCOMPLETE,
            ],
        )
    }

    /// The same for a table with a row for each circuit.
    pub(super) fn may_charge_in_row(&self, charging: Charging, complete: bool) -> String {
        self.charging_in(
            charging,
            complete,
            [
                &keys::CHARGING_ROW_NOT_AT_ALL,
                &keys::CHARGING_ROW_LIMITED,
                &keys::CHARGING_ROW_AS_USUAL,
                &keys::CHARGING_ROW_INCOMPLETE,
            ],
        )
    }

    /// Advice with the given words for not at all, at most a current, as usual, and not fully
    /// checked.
    fn charging_in(
        &self,
        charging: Charging,
        complete: bool,
        [not_at_all, limited, as_usual, incomplete]: [&Key; 4],
    ) -> String {
        match charging {
            Charging::NotAtAll => self.wording.word(not_at_all).to_owned(),
            Charging::AtMost(current) => self
                .wording
                .say(limited, &[("current", &self.numbers.current(current))]),
            Charging::AsUsual if complete => self.wording.word(as_usual).to_owned(),
            Charging::AsUsual => self.wording.word(incomplete).to_owned(),
        }
    }

    /// How the inspector left a circuit, and a warning if that contradicts the advice.
    pub fn left(&self, circuit: &Circuit, charging: Charging) -> Option<String> {
        let words = self.wording;
        let Some(left) = &circuit.left_as else {
            let asked = charging != Charging::AsUsual;
            return asked.then(|| words.word(&keys::LEFT_NOT_RECORDED).to_owned());
        };
        let current = |c| self.numbers.current(c);
        let how = match (left.state, left.current, &left.key) {
            (LeftState::InUse, ..) => words.word(&keys::LEFT_IN_USE).to_owned(),
            (LeftState::Limited, Some(limit), _) => {
                words.say(&keys::LEFT_LIMITED, &[("current", &current(limit))])
            }
            // A limit always has its current.
            (LeftState::Limited, None, _) => words.word(&keys::LEFT_IN_USE).to_owned(),
            (LeftState::OffAndLocked, _, Some(key)) => {
                words.say(&keys::LEFT_OFF_WITH_KEY, &[("key", key)])
            }
            (LeftState::OffAndLocked, _, None) => words.word(&keys::LEFT_OFF).to_owned(),
        };
        let used = left.state != LeftState::OffAndLocked;
        let warning = match charging {
            // The warning already says that the circuit is in use.
            Charging::NotAtAll if left.state == LeftState::InUse => {
                return Some(words.word(&keys::LEFT_IN_USE_FORBIDDEN).to_owned());
            }
            Charging::NotAtAll if used => words.word(&keys::LEFT_IN_USE_FORBIDDEN).to_owned(),
            Charging::AtMost(most)
                if used && left.current.is_none_or(|set| set.ampere() > most.ampere()) =>
            {
                words.say(&keys::LEFT_NOT_LIMITED, &[("current", &current(most))])
            }
            Charging::NotAtAll => return Some(how),
            Charging::AsUsual if !self.assessment.complete => return Some(how),
            // A reader who is told that charging may go on may not know who can remove the lock.
            _ if !used => {
                return Some(format!("{how} {}", words.word(&keys::LEFT_SWITCH_ON)));
            }
            _ => return Some(how),
        };
        Some(format!("{warning} {how}"))
    }

    /// Whether charging may go on, for the whole visit; `None` if its circuits differ, because a
    /// table then answers for each.
    pub fn may_charge_at_all(&self) -> Option<String> {
        let all = self.assessment.charging;
        let alike = self.assessment.circuits.iter().all(|c| c.charging == all);
        alike.then(|| self.may_charge(all))
    }

    /// What [`Speaker::left`] answers.
    pub fn left_question(&self) -> &str {
        self.wording.word(&keys::LEFT_QUESTION)
    }

    /// The question that [`Speaker::may_charge`] answers.
    pub fn charging_question(&self) -> &str {
        self.wording.word(&keys::CHARGING_QUESTION)
    }

    /// Findings with an action, worst first.
    pub(super) fn open_findings(&self) -> impl Iterator<Item = &Finding> {
        let findings = self.assessment.findings.iter();
        findings.filter(|f| f.grade > Grade::Pass)
    }
}

/// A text and a further one, which does not begin with the same place again.
fn with_further(text: &str, further: &str) -> String {
    let place = further.find(": ").map_or(0, |colon| colon + 2);
    let (place, rest) = further.split_at(place);
    if place.is_empty() || !text.starts_with(place) {
        return format!("{text} {further}");
    }
    let mut rest = rest.chars();
    let first = rest.next().into_iter().flat_map(char::to_uppercase);
    format!("{text} {}{}", first.collect::<String>(), rest.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_further_sentence_does_not_name_the_same_place_again() {
        let first = "Panel: the connection is poor.";
        assert_eq!(
            with_further(first, "Panel: parts were damaged."),
            "Panel: the connection is poor. Parts were damaged."
        );
        assert_eq!(
            with_further(first, "Plug: parts were damaged."),
            "Panel: the connection is poor. Plug: parts were damaged."
        );
        assert_eq!(
            with_further(
                "Tableau\u{a0}: la connexion chauffe.",
                "Tableau\u{a0}: état dégradé."
            ),
            "Tableau\u{a0}: la connexion chauffe. État dégradé."
        );
        assert_eq!(with_further("A.", "b"), "A. b");
    }
}
