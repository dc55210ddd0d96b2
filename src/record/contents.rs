//! What an unbroken seal does not show by itself: that the findings follow from the readings,
//! that the pages say what the record says and come with nothing that acts by itself, and that
//! photos are the ones that were taken. Whether text on a page can be seen is not asked.
//!
//! Each is an answer of its own. "Not determined" counts as little as "no".

use super::recompute::{Difference, RULES, Recomputed, Record, earlier};
use crate::compose::attachments::{ASSESSMENT, PHOTOS, VISIT};
use crate::compose::{CheckLine, CheckLineError, Speaker, Wording, verdict_titles};
use crate::seal::plain::shown;
use crate::seal::report::Report;
use crate::seal::{SealError, Verified};
use crate::visit::Grade;
use serde::Serialize;
use serde_json::Value;

/// Most differences of pages or photos that are named.
const MOST_NAMED: usize = 20;

/// The answers about what a seal covers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contents {
    /// Whether the assessment inside follows from the visit file inside.
    #[serde(rename = "findings_follow")]
    pub findings: Findings,
    /// Whether the pages say what the assessment inside says.
    pub pages: Pages,
    /// Whether the photos are those of the record.
    pub photos: Photos,
    /// Whether a paper copy belongs to the file.
    pub paper: Paper,
}

impl Contents {
    /// Whether nothing is wrong and nothing is open that always can be answered.
    pub fn hold(&self) -> bool {
        matches!(self.findings, Findings::Yes { .. })
            && matches!(self.pages, Pages::Yes { .. })
            && !matches!(
                self.photos,
                Photos::No { .. } | Photos::NotDetermined { .. }
            )
            && !matches!(self.paper, Paper::No { .. } | Paper::NotDetermined { .. })
    }

    /// Everything about the file that speaks against it, each in a few plain words; the answers
    /// tell the rest.
    pub fn objections(&self) -> Vec<String> {
        let mut out = Vec::new();
        match &self.findings {
            Findings::Yes { .. } => {}
            Findings::No { .. } => {
                out.push("the findings do not follow from the visit file inside".to_owned());
            }
            Findings::NotDetermined { because } => {
                out.push(format!("the findings were not computed again ({because})"));
            }
        }
        match &self.pages {
            Pages::Yes { .. } => {}
            Pages::No { .. } => {
                out.push("the pages do not say what the record inside says".to_owned());
            }
            Pages::NotDetermined { because } => {
                out.push(format!("the pages were not compared ({because})"));
            }
        }
        match &self.photos {
            Photos::None | Photos::Digests { .. } | Photos::Yes { .. } => {}
            Photos::No { .. } => {
                out.push("the photos are not the ones that were certified".to_owned());
            }
            Photos::NotDetermined { because } => {
                out.push(format!("the photos were not looked at ({because})"));
            }
        }
        out
    }

    /// Why a paper copy is not shown to be the file's, as a sentence without its full stop.
    pub fn paper_objection(&self) -> Option<String> {
        match &self.paper {
            Paper::NotAsked | Paper::Yes => None,
            Paper::No { because } => Some(format!("the paper copy is NOT of this file: {because}")),
            Paper::NotDetermined { because } => Some(format!(
                "nothing shows that the paper copy is of this file: {because}"
            )),
        }
    }

    /// The result in one or two plain sentences, `report` being the one on the seal. Only where
    /// nothing is wrong does it begin with the unbroken seal, for that is what readers look for.
    pub fn sentence(&self, report: &Report<'_>) -> String {
        if !report.genuine() {
            return report.sentence();
        }
        let against = [report.against(), self.objections()].concat();
        let of_file = if against.is_empty() {
            report.sentence()
        } else {
            report.but_for(&against)
        };
        match self.paper_objection() {
            None => of_file,
            Some(mut why) => {
                if let Some(first) = why.get_mut(..1) {
                    first.make_ascii_uppercase();
                }
                format!("{why}. The file by itself: {of_file}")
            }
        }
    }
}

/// Whether the findings follow from the record inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Findings {
    /// Computed again, they are the same.
    Yes {
        /// How many.
        findings: usize,
    },
    /// They are not.
    No {
        /// Where.
        differences: Vec<Difference>,
    },
    /// They could not be computed.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// Whether the words on the pages are those of the assessment inside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Pages {
    /// Everything looked for stands there.
    Yes {
        /// Sentences and facts looked for.
        looked_for: usize,
    },
    /// Something is missing, or says otherwise.
    No {
        /// What, each as a sentence without its full stop.
        differences: Vec<String>,
    },
    /// The pages could not be read.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// Whether the photos are those of the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Photos {
    /// There are none.
    None,
    /// One digest a photo stands inside; the originals were not held against them.
    Digests {
        /// How many.
        photos: usize,
    },
    /// The originals have the digests inside.
    Yes {
        /// How many.
        photos: usize,
    },
    /// Some do not.
    No {
        /// What is wrong, each as a sentence without its full stop.
        differences: Vec<String>,
    },
    /// They could not be looked at.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// Whether a paper copy belongs to the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Paper {
    /// No check line was given.
    NotAsked,
    /// Its check line is the file's.
    Yes,
    /// It is not.
    No {
        /// Why, as a sentence without its full stop.
        because: String,
    },
    /// What was given is no check line, or the file's own could not be told.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// What a reader has beside the file.
#[derive(Default)]
pub struct Beside<'a> {
    /// Gives the photo of a path in the visit file, for a reader who has them.
    pub originals: Option<&'a dyn Fn(&str) -> Original>,
    /// Check line of a paper copy, typed or scanned.
    pub check_line: Option<&'a str>,
}

/// What became of an original photo that the reader was to bring.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Original {
    /// Its SHA-256 in hexadecimal digits.
    Digest(String),
    /// Why it can't be read.
    Unreadable(String),
}

/// Answers that nobody can give, and why.
pub(super) fn open(because: &str, beside: &Beside<'_>) -> Contents {
    let because = || because.to_owned();
    Contents {
        findings: Findings::NotDetermined { because: because() },
        pages: Pages::NotDetermined { because: because() },
        photos: Photos::NotDetermined { because: because() },
        paper: match beside.check_line {
            Some(_) => Paper::NotDetermined { because: because() },
            None => Paper::NotAsked,
        },
    }
}

/// Answers for what a seal covers, `again` being the record computed again.
pub(super) fn compared(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    beside: &Beside<'_>,
) -> Contents {
    let check = CheckLine::new(
        &again.visit.number,
        record.visit.as_bytes(),
        &verified.fingerprint().hex(),
    );
    Contents {
        pages: pages(verified, record, again, &check),
        photos: photos(record, again, beside.originals),
        paper: match beside.check_line.map(|typed| check.compare(typed)) {
            None => Paper::NotAsked,
            Some(Ok(())) => Paper::Yes,
            Some(Err(why @ CheckLineError::Form)) => Paper::NotDetermined {
                because: why.to_string(),
            },
            Some(Err(why)) => Paper::No {
                because: why.to_string(),
            },
        },
        findings: if again.differences.is_empty() {
            Findings::Yes {
                findings: again.assessment.findings.len(),
            }
        } else {
            Findings::No {
                differences: again.differences.clone(),
            }
        },
    }
}

/// Text as it is compared: where lines break, which words are divided there and how wide spaces are
/// belongs to the page.
fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '\u{200B}' | '\u{AD}'))
        .collect()
}

fn pages(verified: &Verified<'_>, record: &Record, again: &Recomputed, check: &CheckLine) -> Pages {
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
            because: "the record names no language".to_owned(),
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
        miss(format!(
            "the result, “{verdict}”, does not stand on the first page"
        ));
    }
    let check = check.printed();
    for (what, text) in [
        ("the check line", check.as_str()),
        ("the certificate's number", number),
        ("the date of the next inspection", due.as_str()),
        ("the site", again.visit.site.name.as_str()),
    ] {
        if !stands(&all, text) {
            miss(format!("{what}, “{text}”, does not stand on the pages"));
        }
    }
    for other in verdict_titles(wording) {
        // A longer title may hold a shorter one.
        if other != verdict && !bare(&verdict).contains(&bare(other)) && stands(&first, other) {
            miss(format!(
                "the first page says “{other}”, but the result of the record is “{verdict}”"
            ));
        }
    }
    let told = |list: &str| {
        record.assessment[list]
            .as_array()
            .into_iter()
            .flatten()
            .filter(|item| item["grade"] != "pass")
            .filter_map(|item| item["text"].as_str())
    };
    for (kind, list) in [("finding", "findings"), ("limitation", "limitations")] {
        for text in told(list) {
            if !stands(&all, text) {
                miss(format!("the {kind} “{text}” does not stand on the pages"));
            }
        }
    }
    // The pages refer to steps that they set out once; the record inside writes them out.
    for finding in &again.assessment.findings {
        let action = speaker.finding_referring(finding).action;
        if finding.effective_grade() > Grade::Pass && !stands(&all, &action) {
            miss(format!("the action “{action}” does not stand on the pages"));
        }
    }
    for step in speaker
        .heat_steps()
        .into_iter()
        .flat_map(|(_, steps)| steps)
    {
        if !stands(&all, step) {
            miss(format!("the step “{step}” does not stand on the pages"));
        }
    }
    // The result told again in other languages: the same result, and no other.
    for other in further {
        let speaker = Speaker::new(&again.visit, &again.assessment, &again.rules, other);
        let verdict = speaker.verdict();
        let head = bare(other.result_heading());
        let Some(at) = texts.iter().skip(1).position(|t| bare(t).contains(&head)) else {
            miss(format!(
                "the result does not stand on the pages again in {}",
                other.language_in_english()
            ));
            continue;
        };
        // Much to tell may go on to the page behind.
        let page = bare(texts.get(at + 1).map_or("", String::as_str));
        let both = page.clone() + &bare(texts.get(at + 2).map_or("", String::as_str));
        let due = speaker.next_due();
        for text in verdict.text.iter().chain([&verdict.title, &due]) {
            if !stands(&both, text) {
                miss(format!(
                    "“{text}” does not stand on the page that tells the result again in {}",
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
        Pages::Yes { looked_for }
    } else {
        Pages::No { differences }
    }
}

/// What the file holds that no certificate does, attached files of other names among it.
fn foreign(verified: &Verified<'_>, record: &Record) -> Result<Vec<String>, SealError> {
    let mut named = verified.foreign()?;
    let earlier: Vec<String> = (0..record.earlier.len()).map(earlier).collect();
    for file in verified.attachments()? {
        let name = file.name.as_str();
        let known = [VISIT, ASSESSMENT, PHOTOS, RULES].contains(&name);
        if !known && !earlier.iter().any(|e| e == name) {
            named.push(format!(
                "a file “{}” is attached, which no certificate has",
                shown(name)
            ));
        }
    }
    named.truncate(MOST_NAMED);
    Ok(named)
}

fn photos(
    record: &Record,
    again: &Recomputed,
    originals: Option<&dyn Fn(&str) -> Original>,
) -> Photos {
    let listed: Vec<(&str, &str)> = record
        .photos
        .lines()
        .map(|line| line.split_once("  ").unwrap_or((line, "")))
        .collect();
    let named: Vec<&str> = again.visit.photos.iter().map(|p| p.file.as_str()).collect();
    let mut differences = Vec::new();
    if listed
        .iter()
        .map(|(_, file)| *file)
        .ne(named.iter().copied())
    {
        differences.push("the list of digests names other photos than the visit file".to_owned());
    }
    if let Some(originals) = originals {
        for (digest, file) in &listed {
            match originals(file) {
                Original::Digest(found) if found == *digest => {}
                Original::Digest(_) => {
                    differences.push(format!("{file} is another picture, or was changed"));
                }
                Original::Unreadable(why) => differences.push(format!("{file}: {why}")),
            }
        }
    }
    let photos = listed.len();
    if !differences.is_empty() {
        differences.truncate(MOST_NAMED);
        Photos::No { differences }
    } else if photos == 0 {
        Photos::None
    } else if originals.is_some() {
        Photos::Yes { photos }
    } else {
        Photos::Digests { photos }
    }
}

/// The value of a JSON answer in a few plain words.
pub fn plain(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::String(text) => format!("“{text}”"),
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(_) => "a whole entry".to_owned(),
        other => other.to_string(),
    }
}
