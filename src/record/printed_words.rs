//! Whether the words on the pages are those of the record inside, for records whose words this
//! version writes in the same way. Whether text on a page is visible is not checked.

use super::recompute::{RULES, Recomputed, Record, earlier};
use crate::compose::attachments::{ASSESSMENT, PHOTOS, TAKEN, VISIT};
use crate::compose::{CheckLine, Speaker, Wording, rules_note, verdict_titles};
use crate::seal::plain::shown;
use crate::seal::{SealError, Verified};
use crate::visit::Grade;
use serde::Serialize;

/// Maximum number of differences of pages or photos that are reported.
pub(super) const MOST_NAMED: usize = 20;

/// Whether the words on the pages are those of the assessment inside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Pages {
    /// Everything that was looked for is on the pages.
    Yes {
        /// Sentences and facts looked for.
        looked_for: usize,
        /// What was compared.
        compared: Compared,
    },
    /// Something is missing or different.
    No {
        /// The differences, each as a sentence without a full stop.
        differences: Vec<String>,
    },
    /// The pages could not be read.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// What is looked for on the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Compared {
    /// Everything: this version wrote the pages again from the record, with the images inside, and they
    /// are the same, with their fonts, tags and attachments.
    Pages,
    /// The words that this version writes: result, findings, actions and steps too.
    Words,
    /// The facts on the pages of every version: numbers, dates, persons, and the findings in the
    /// record. The other words of another version are not known.
    Facts,
}

/// Text in the form in which it is compared, without line breaks, hyphenation and spaces, which
/// depend on the page.
pub(super) fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '\u{200B}' | '\u{AD}'))
        .collect()
}

/// Looks for the words that this version writes.
pub(super) fn words(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    check: &CheckLine,
) -> Pages {
    let texts = match verified.page_texts() {
        Ok(texts) => texts,
        Err(why) => {
            return Pages::NotDetermined {
                because: why.to_string(),
            };
        }
    };
    let languages = &again.visit.print.language;
    let wordings: Result<Vec<&Wording>, _> =
        languages.iter().map(|l| Wording::built_in(l)).collect();
    let wordings = match wordings {
        Ok(wordings) => wordings,
        Err(why) => {
            return Pages::NotDetermined {
                because: why.to_string(),
            };
        }
    };
    let Some((wording, further)) = wordings.split_first() else {
        return Pages::NotDetermined {
            because: "the record does not state a language".to_owned(),
        };
    };
    let first = bare(texts.first().map_or("", String::as_str));
    let all = bare(&texts.concat());
    let speaker = Speaker::new(&again.visit, &again.assessment, &again.rules, wording);
    let mut looked_for = 0;
    let mut differences = match foreign(verified, record) {
        Ok(named) => named,
        Err(why) => {
            return Pages::NotDetermined {
                because: why.to_string(),
            };
        }
    };
    let mut miss = |what: String| {
        if differences.len() < MOST_NAMED {
            differences.push(what);
        }
    };
    let mut stands = |on: &str, text: &str| {
        looked_for += 1;
        on.contains(&bare(text))
    };
    let verdict = speaker.verdict().title;
    let due = speaker.next_due();
    let number = record.assessment["visit"]["number"].as_str().unwrap_or("");
    if let Some(replaces) = &again.visit.replaces
        && !stands(&first, &replaces.number)
    {
        miss(format!(
            "the first page does not name {}, the certificate that is replaced",
            replaces.number
        ));
    }
    if !stands(&first, &verdict) {
        miss(format!("the result, “{verdict}”, is not on the first page"));
    }
    for sentence in rules_note(&speaker, &again.built_in) {
        if !stands(&first, &sentence) {
            miss(format!("“{sentence}” is not on the first page"));
        }
    }
    let check = check.printed();
    for (what, text) in [
        ("the check line", check.as_str()),
        ("the certificate's number", number),
        ("the date of the next inspection", due.as_str()),
        ("the site", again.visit.site.name.as_str()),
    ] {
        if !stands(&all, text) {
            miss(format!("{what}, “{text}”, is not on the pages"));
        }
    }
    for other in verdict_titles(wording) {
        // A longer title may contain a shorter one.
        if other != verdict && !bare(&verdict).contains(&bare(other)) && stands(&first, other) {
            miss(format!(
                "the first page says “{other}”, but the result of the record is “{verdict}”"
            ));
        }
    }
    let items = |list: &str| {
        record.assessment[list]
            .as_array()
            .into_iter()
            .flatten()
            .filter(|item| item["grade"] != "pass")
            .filter_map(|item| item["text"].as_str())
    };
    for (kind, list) in [("finding", "findings"), ("limitation", "limitations")] {
        for text in items(list) {
            if !stands(&all, text) {
                miss(format!("the {kind} “{text}” is not on the pages"));
            }
        }
    }
    // The pages refer to steps that they list once; the record inside repeats them.
    for finding in &again.assessment.findings {
        let action = speaker.diagnosis_referring(finding).action;
        if finding.grade > Grade::Pass && !stands(&all, &action) {
            miss(format!("the action “{action}” is not on the pages"));
        }
        for shown in speaker.printed_evidence(finding) {
            if !stands(&all, &shown) {
                miss(format!(
                    "“{shown}”, which shows a cause, is not on the pages"
                ));
            }
        }
    }
    let left = again.visit.circuits.iter().zip(&again.assessment.circuits);
    let left = left.filter_map(|(circuit, assessed)| speaker.left(circuit, assessed.charging));
    for (what, text) in speaker
        .may_charge_at_all()
        .map(|text| ("whether charging may go on", text))
        .into_iter()
        .chain(left.map(|text| ("how the circuit was left", text)))
    {
        if !stands(&first, &text) {
            miss(format!("{what}, “{text}”, is not on the first page"));
        }
    }
    for step in speaker
        .heat_steps()
        .into_iter()
        .flat_map(|(_, steps)| steps)
    {
        if !stands(&all, step) {
            miss(format!("the step “{step}” is not on the pages"));
        }
    }
    // The result repeated in other languages must be the same, and no other.
    for other in further {
        let speaker = Speaker::new(&again.visit, &again.assessment, &again.rules, other);
        let verdict = speaker.verdict();
        let head = bare(other.result_heading());
        let Some(at) = texts.iter().skip(1).position(|t| bare(t).contains(&head)) else {
            miss(format!(
                "the result is not repeated on the pages in {}",
                other.language_in_english()
            ));
            continue;
        };
        // Long text may continue on the next page.
        let page = bare(texts.get(at + 1).map_or("", String::as_str));
        let both = page.clone() + &bare(texts.get(at + 2).map_or("", String::as_str));
        let due = speaker.next_due();
        let note = rules_note(&speaker, &again.built_in);
        for text in verdict
            .text
            .iter()
            .chain([&verdict.title, &due])
            .chain(&note)
        {
            if !stands(&both, text) {
                miss(format!(
                    "“{text}” is not on the page that repeats the result in {}",
                    other.language_in_english()
                ));
            }
        }
        for title in verdict_titles(other) {
            if title != verdict.title
                && !bare(&verdict.title).contains(&bare(title))
                && stands(&page, title)
            {
                miss(format!(
                    "page {} says “{title}”, but the result of the record is “{}”",
                    at + 2,
                    verdict.title
                ));
            }
        }
    }
    if differences.is_empty() {
        Pages::Yes {
            looked_for,
            compared: Compared::Words,
        }
    } else {
        Pages::No { differences }
    }
}

/// The parts of the file that no certificate has, including attached files with other names.
pub(super) fn foreign(verified: &Verified<'_>, record: &Record) -> Result<Vec<String>, SealError> {
    let mut named = verified.foreign()?;
    let earlier: Vec<String> = (0..record.earlier.len()).map(earlier).collect();
    for file in verified.attachments()? {
        let name = file.name.as_str();
        let known = [VISIT, ASSESSMENT, PHOTOS, TAKEN, RULES].contains(&name);
        if !known && !earlier.iter().any(|e| e == name) {
            named.push(format!(
                "the attached file “{}” is not part of any certificate",
                shown(name)
            ));
        }
    }
    named.truncate(MOST_NAMED);
    Ok(named)
}
