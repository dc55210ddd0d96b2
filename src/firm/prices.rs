//! What a firm asks for its work: the price of an hour, and the time and parts that the job of a finding
//! takes.

use super::money::{Amount, Money};
use crate::quoted::shorten;
use crate::visit::Part;
use crate::visit::entry::{Entry, Line, choice, keys, maps, whole};
use crate::visit::key_table::Form;
use crate::visit::reader::{Fields, Reader};
use crate::visit::written::Style;
use crate::vocabulary::Cause;
use crate::yaml::Ix;

keys! {
    /// The firm's prices.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Prices, "the prices", Prices::fit {
        /// Currency, as the firm writes it
        must currency: String = Line::<8>, "USD";
        /// Price of an hour of work
        must hour: Money = Amount, "95.00";
        /// What the job of a finding takes; the entry for the part is preferred to one without
        else_default jobs: Vec<JobPrice> = maps("job with its price"), "[{ finding: poor-joint, at: breaker, minutes: 40, parts: 18.50 }]";
    }

    /// What one job takes.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct JobPrice, "a job" {
        /// The finding, by its word in `check --format json`; `other` for any
        must finding: String = FindingWord, "poor-joint";
        /// Part of the circuit, if the price is for this one only
        may at: Part = choice("a part of the circuit"), "breaker";
        /// Minutes of work for each connection, or for the whole if the finding names none
        must minutes: u16 = whole::<_, 0, 6000>("the minutes"), "40";
        /// Price of the parts for each connection, or for the whole if the finding names none
        may parts: Money = Amount, "18.50";
    }
}

/// The word for every finding that has no entry of its own.
pub const OTHER: &str = "other";

/// The word of a finding.
struct FindingWord;

impl FindingWord {
    fn words() -> Vec<&'static str> {
        Cause::words().chain([OTHER]).collect()
    }
}

impl Entry for FindingWord {
    type Value = String;
    const FORM: Form = Form::Word(FindingWord::words);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        let word = r.scalar(ix, "a finding")?;
        if word == OTHER || Cause::of(word).is_some() {
            return Some(word.to_owned());
        }
        let at = r.mark(ix);
        r.unknown_name(at, "finding", word, Self::words().into_iter());
        None
    }
    fn write(&self, value: &String, _: Style) -> String {
        value.clone()
    }
}

impl Prices {
    /// What the job of a finding at a part of the circuit takes: the entry for this part, else the one
    /// for any part, else the one for other findings. Nothing is guessed without an entry.
    pub fn of(&self, finding: Cause, at: Option<Part>) -> Option<&JobPrice> {
        let find = |word: &str, at: Option<Part>| {
            let mut jobs = self.jobs.iter();
            jobs.find(|job| job.finding == word && job.at == at)
        };
        let word = finding.word();
        at.and_then(|at| find(word, Some(at)))
            .or_else(|| find(word, None))
            .or_else(|| at.and_then(|at| find(OTHER, Some(at))))
            .or_else(|| find(OTHER, None))
    }

    /// Reports a job that is priced twice.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        for (n, job) in self.jobs.iter().enumerate() {
            let same = |other: &JobPrice| other.finding == job.finding && other.at == job.at;
            if self.jobs[..n].iter().any(same)
                && let Some(v) = f.get("jobs")
            {
                let part = job
                    .at
                    .map_or(String::new(), |at| format!(" at: {}", at.word()));
                let at = r.mark(v);
                r.problem(
                    at,
                    format!("`{}`{part} has two prices", shorten(&job.finding)),
                    "keep one of the two",
                );
            }
        }
    }
}
