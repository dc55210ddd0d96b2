//! The checks that go beyond the seal: whether the findings follow from the readings, whether the
//! pages are those of the record and contain nothing active, and whether the photos are the
//! originals.
//!
//! Each is a separate answer. "Not determined" counts no more than "no".

use super::embedded_images;
use super::facts::facts;
use super::made_by::MadeBy;
use super::other_rules::OtherRules;
use super::printed_words::{Compared, MOST_NAMED, Pages, words};
use super::recompute::{Difference, Recomputed, Record};
use super::rendered;
use super::tables::{Tables, tables};
use crate::compose::{CheckLine, CheckLineError, SealFacts};
use crate::photo::{Detail, PreparedImage};
use crate::seal::Verified;
use crate::seal::report::Report;
use crate::visit::Visit;
use serde::Serialize;
use serde_json::Value;

/// The answers about the sealed contents.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contents {
    /// Which version wrote the record; `None` if that cannot be read.
    pub made_by: Option<MadeBy>,
    /// The rules in force, if they are not those of a built-in set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_rules: Option<OtherRules>,
    /// Whether the assessment inside follows from the visit file inside.
    #[serde(rename = "findings_follow")]
    pub findings: Findings,
    /// Whether the pages agree with the assessment inside.
    pub pages: Pages,
    /// How far the tables on the pages were compared, if another version made the certificate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tables: Option<Tables>,
    /// Whether the photos are those of the record.
    pub photos: Photos,
    /// Whether a paper copy matches the file.
    pub paper: Paper,
}

impl Contents {
    /// Whether nothing is wrong, and every question that can always be answered was answered.
    pub fn hold(&self) -> bool {
        matches!(
            self.findings,
            Findings::Yes { .. } | Findings::OtherVersion { .. }
        ) && matches!(self.pages, Pages::Yes { .. })
            && self
                .tables
                .as_ref()
                .is_none_or(|t| t.differences.is_empty())
            && !matches!(
                self.photos,
                Photos::No { .. } | Photos::Missing { .. } | Photos::NotDetermined { .. }
            )
            && !matches!(self.paper, Paper::No { .. } | Paper::NotDetermined { .. })
    }

    /// Everything that speaks against the file, each in a few words; the answers give details.
    pub fn objections(&self) -> Vec<String> {
        let mut out = Vec::new();
        match &self.findings {
            Findings::Yes { .. } | Findings::OtherVersion { .. } => {}
            Findings::No { .. } => {
                out.push("the findings do not follow from the visit file inside".to_owned());
            }
            Findings::NotDetermined { because } => {
                out.push(format!("the findings were not recomputed ({because})"));
            }
        }
        match &self.pages {
            Pages::Yes { .. } => {}
            Pages::No { .. } => {
                out.push("the pages do not agree with the record inside".to_owned());
            }
            Pages::NotDetermined { because } => {
                out.push(format!("the pages were not compared ({because})"));
            }
        }
        if self
            .tables
            .as_ref()
            .is_some_and(|t| !t.differences.is_empty())
        {
            out.push(
                "the tables on the pages have other numbers than the record inside".to_owned(),
            );
        }
        match &self.photos {
            Photos::None | Photos::Digests { .. } | Photos::Yes { .. } => {}
            Photos::No { .. } => {
                out.push("the photos are not the certified ones".to_owned());
            }
            Photos::Missing { missing } => {
                out.push(match missing.len() {
                    1 => "a photo is missing in the folder given".to_owned(),
                    n => format!("{n} photos are missing in the folder given"),
                });
            }
            Photos::NotDetermined { because } => {
                out.push(format!("the photos were not checked ({because})"));
            }
        }
        out
    }

    /// Why nothing was compared in a certificate made by another version, which does not speak
    /// against it.
    fn unread(&self) -> Option<&str> {
        let other = self.made_by.as_ref().filter(|m| **m != MadeBy::ThisVersion);
        match &self.findings {
            Findings::NotDetermined { because } if other.is_some() => Some(because),
            _ => None,
        }
    }

    /// The notice about a certificate made by another version.
    fn of_version(&self) -> Option<String> {
        let made_by = self.made_by.as_ref()?;
        if *made_by == MadeBy::ThisVersion {
            return None;
        }
        let words = made_by.words();
        Some(match &self.findings {
            Findings::OtherVersion { outcome, .. } => {
                let outcome = match outcome {
                    Some(Difference { sealed, now, .. }) => format!(
                        ", and to the outcome {} where the certificate says {}",
                        plain(now),
                        plain(sealed)
                    ),
                    None => String::new(),
                };
                format!(
                    "It was made by {words}. From the same readings this version computes \
                     different findings{outcome}. Versions may differ, so that does not speak \
                     against the certificate; but nothing here shows that its findings follow \
                     from its readings."
                )
            }
            _ => format!("It was made by {words}; this version computes the same findings."),
        })
        .map(|notice| {
            let tables = match &self.tables {
                Some(tables) => tables.words(),
                None => "its tables were NOT compared".to_owned(),
            };
            let notice = format!(
                "{notice} The pages were not written again, so hidden or covered text would not be \
                 noticed: {tables}."
            );
            match &self.photos {
                Photos::Digests { .. } => format!(
                    "{notice} Its pictures were NOT compared: this takes the original photos (--photos \
                     FOLDER)."
                ),
                _ => notice,
            }
        })
    }

    /// How much was compared.
    pub fn extent(&self) -> Extent {
        let own = self.made_by == Some(MadeBy::ThisVersion);
        match (&self.findings, &self.pages) {
            (Findings::Yes { .. }, Pages::Yes { compared, .. }) => match compared {
                Compared::Pages => Extent::Whole,
                Compared::Words if own => Extent::Words,
                Compared::Words | Compared::Facts => Extent::Part,
            },
            _ => Extent::Part,
        }
    }

    /// Why a paper copy is not shown to match the file, as a sentence without a full stop.
    pub fn paper_objection(&self) -> Option<String> {
        match &self.paper {
            Paper::NotAsked | Paper::Yes => None,
            Paper::No { because } => Some(format!(
                "the paper copy does NOT match this file: {because}"
            )),
            Paper::NotDetermined { because } => Some(format!(
                "it is unknown whether the paper copy matches this file: {because}"
            )),
        }
    }

    /// The result in one or two plain sentences; `report` is about the seal. It begins with
    /// “Genuine” or “Unchanged” only if nothing is wrong, because that is what readers look for.
    pub fn sentence(&self, report: &Report<'_>) -> String {
        if !report.unchanged() {
            return report.sentence();
        }
        let against = [report.against(), self.objections()].concat();
        let of_file = match self.unread() {
            // The text after the first line is a stranger's own words.
            Some(because) if report.against().is_empty() => format!(
                "Not judged, because nothing inside this file was compared: {}. Its seal by itself: {}",
                because
                    .lines()
                    .next()
                    .unwrap_or_default()
                    .trim_end_matches(':'),
                report.sentence()
            ),
            _ if against.is_empty() => match self.of_version() {
                Some(version) => format!("{} {version}", report.sentence()),
                None => report.sentence(),
            },
            _ => report.but_for(&against),
        };
        let of_file = match &self.other_rules {
            Some(rules) => format!("{of_file} {}", rules.sentence()),
            None => of_file,
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

/// How much of a certificate was compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Everything: the findings were recomputed, and the pages written again.
    Whole,
    /// The findings were recomputed; of the pages, the words were compared.
    Words,
    /// What this version has in common with the one that made it.
    Part,
}

/// Whether the findings follow from the record inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Findings {
    /// Recomputed, they are the same.
    Yes {
        /// Their number.
        findings: usize,
    },
    /// They differ.
    No {
        /// Where.
        differences: Vec<Difference>,
    },
    /// Another version made the certificate, and this version computes different findings. Rules
    /// and words change between versions, so this neither speaks against the certificate nor proves
    /// it. The facts that the assessment repeats from the visit file are the same, and its outcome
    /// agrees with its own findings.
    OtherVersion {
        /// The places where this version computes something else.
        differences: Vec<Difference>,
        /// The outcome, if it is among them.
        outcome: Option<Difference>,
    },
    /// They could not be computed.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// Whether the photos are those of the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Photos {
    /// The certificate has no photos.
    None,
    /// The file contains a digest of each photo; the originals were not compared.
    Digests {
        /// Their number.
        photos: usize,
    },
    /// The originals have the digests inside.
    Yes {
        /// Their number.
        photos: usize,
        /// Whether the pages show them: this version prepares the same images from them. For a
        /// certificate made by another version, `false` means that this is not known.
        shown: bool,
    },
    /// Some originals do not match.
    No {
        /// The differences, each as a sentence without a full stop.
        differences: Vec<String>,
    },
    /// Some originals are missing; the others match.
    Missing {
        /// The paths of the missing ones.
        missing: Vec<String>,
    },
    /// They could not be checked.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// Whether a paper copy matches the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Paper {
    /// No check line was given.
    NotAsked,
    /// Its check line is the file's.
    Yes,
    /// Its check line is not the file's.
    No {
        /// Why, as a sentence without a full stop.
        because: String,
    },
    /// The given text is not a check line, or the file's own could not be determined.
    NotDetermined {
        /// Why.
        because: String,
    },
}

/// The reader's own evidence: original photos, and the check line of a paper copy.
#[derive(Default)]
pub struct OwnEvidence<'a> {
    /// Returns the original photo for a path in the visit file, if the reader has the photos.
    pub originals: Option<&'a dyn Fn(&str) -> Original>,
    /// Prepares a photo of the reader for the pages of a visit, as `certify` does; `None` if it cannot
    /// be.
    pub prepared: Option<&'a Prepare<'a>>,
    /// Check line of a paper copy, typed or scanned.
    pub check_line: Option<&'a str>,
    /// Leave out writing the pages again, which takes most of the time: their words are compared.
    pub seals_only: bool,
}

/// Prepares the photo of a path in the visit file.
pub type Prepare<'a> = dyn Fn(&Visit, &str, Detail) -> Option<PreparedImage> + 'a;

/// An original photo of the reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Original {
    /// Its SHA-256 in hexadecimal digits.
    Digest(String),
    /// There is no such file.
    Missing,
    /// Why it can't be read.
    Unreadable(String),
}

/// The answers if none can be determined, with the reason.
pub(super) fn open(made_by: Option<MadeBy>, because: &str, beside: &OwnEvidence<'_>) -> Contents {
    let because = || because.to_owned();
    Contents {
        made_by,
        other_rules: None,
        findings: Findings::NotDetermined { because: because() },
        pages: Pages::NotDetermined { because: because() },
        tables: None,
        photos: Photos::NotDetermined { because: because() },
        paper: match beside.check_line {
            Some(_) => Paper::NotDetermined { because: because() },
            None => Paper::NotAsked,
        },
    }
}

/// The answers about the sealed contents; `again` is the recomputed record.
pub(super) fn compared(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    seal: Option<SealFacts>,
    beside: &OwnEvidence<'_>,
) -> Contents {
    let check = CheckLine::new(
        &again.visit.number,
        record.visit.as_bytes(),
        &verified.fingerprint().hex(),
    );
    let tables = match record.made_by {
        MadeBy::ThisVersion => None,
        _ if beside.seals_only => None,
        _ => tables(verified, record, again, seal.clone()),
    };
    Contents {
        made_by: Some(record.made_by.clone()),
        tables,
        other_rules: OtherRules::of(again),
        pages: {
            let words = pages(verified, record, again, &check);
            if record.made_by == MadeBy::ThisVersion && !beside.seals_only {
                written_again(verified, record, again, seal, words)
            } else {
                words
            }
        },
        photos: shown(
            photos(record, again, beside.originals),
            verified,
            record,
            again,
            beside.prepared,
        ),
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
        findings: findings(record, again),
    }
}

fn findings(record: &Record, again: &Recomputed) -> Findings {
    let differences = again.differences.clone();
    if differences.is_empty() {
        return Findings::Yes {
            findings: again.assessment.findings.len(),
        };
    }
    if record.made_by == MadeBy::ThisVersion {
        return Findings::No { differences };
    }
    if !again.contradictions.is_empty() {
        return Findings::No {
            differences: again.contradictions.clone(),
        };
    }
    let outcome = differences.iter().find(|d| d.path == "/outcome").cloned();
    Findings::OtherVersion {
        differences,
        outcome,
    }
}

fn pages(verified: &Verified<'_>, record: &Record, again: &Recomputed, check: &CheckLine) -> Pages {
    if record.made_by == MadeBy::ThisVersion {
        return words(verified, record, again, check);
    }
    // If another version writes the same words, they are compared too.
    let facts = facts(verified, record, again, check);
    match &facts {
        Pages::Yes { .. } => match words(verified, record, again, check) {
            words @ Pages::Yes { .. } => words,
            _ => facts,
        },
        _ => facts,
    }
}

/// Whether the pages are those that this version writes from the record. If they are not,
/// differences in the words are reported instead, if there are any, because they are more useful to
/// readers.
fn written_again(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    seal: Option<SealFacts>,
    words: Pages,
) -> Pages {
    let (looked_for, named) = match words {
        Pages::Yes { looked_for, .. } => (looked_for, Vec::new()),
        Pages::No { differences } => (0, differences),
        Pages::NotDetermined { .. } => (0, Vec::new()),
    };
    let Some(seal) = seal else {
        return Pages::NotDetermined {
            because: "the seal states no time".to_owned(),
        };
    };
    match rendered::differences(verified, record, again, seal) {
        Ok(differences) if differences.is_empty() => Pages::Yes {
            looked_for,
            compared: Compared::Pages,
        },
        Ok(differences) if named.is_empty() => Pages::No { differences },
        Ok(_) => Pages::No { differences: named },
        Err(_) if !named.is_empty() => Pages::No { differences: named },
        Err(why) => Pages::NotDetermined {
            because: format!("they could not be written again: {why}"),
        },
    }
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
    let mut missing = Vec::new();
    if listed
        .iter()
        .map(|(_, file)| *file)
        .ne(named.iter().copied())
    {
        differences.push("the list of digests and the visit file name different photos".to_owned());
    }
    if let Some(originals) = originals {
        for (digest, file) in &listed {
            match originals(file) {
                Original::Digest(found) if found == *digest => {}
                Original::Digest(_) => {
                    differences.push(format!("{file} is a different picture, or was changed"));
                }
                Original::Missing => missing.push((*file).to_owned()),
                Original::Unreadable(why) => differences.push(format!("{file}: {why}")),
            }
        }
    }
    let photos = listed.len();
    if !differences.is_empty() {
        differences.extend(missing.iter().map(|file| format!("{file} is missing")));
        differences.truncate(MOST_NAMED);
        Photos::No { differences }
    } else if !missing.is_empty() {
        Photos::Missing { missing }
    } else if photos == 0 {
        Photos::None
    } else if originals.is_some() {
        Photos::Yes {
            photos,
            shown: false,
        }
    } else {
        Photos::Digests { photos }
    }
}

/// Whether the pages show the originals, provided that these are the certified ones.
fn shown(
    photos: Photos,
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    prepare: Option<&Prepare<'_>>,
) -> Photos {
    let (Photos::Yes { photos: count, .. }, Some(prepare)) = (&photos, prepare) else {
        return photos;
    };
    let visit = &again.visit;
    let own = record.made_by == MadeBy::ThisVersion;
    let printed = match embedded_images::read(verified.bytes(), visit, record) {
        Ok(images) => images.photos,
        Err(_) if !own => return photos,
        Err(why) => {
            return Photos::NotDetermined {
                because: why.to_string(),
            };
        }
    };
    // Which of the two was chosen is not in the record.
    let same = |file: &str, printed: &PreparedImage| {
        [Detail::Print, Detail::Full].into_iter().any(|detail| {
            prepare(visit, file, detail).is_some_and(|own| own.bytes == printed.bytes)
        })
    };
    let differences: Vec<String> = visit
        .photos
        .iter()
        .zip(&printed)
        .filter(|(photo, printed)| !same(&photo.file, printed))
        .map(|(photo, _)| {
            format!(
                "the pages show a different picture instead of {}",
                photo.file
            )
        })
        .take(MOST_NAMED)
        .collect();
    if differences.is_empty() {
        Photos::Yes {
            photos: *count,
            shown: true,
        }
    } else if own {
        Photos::No { differences }
    } else {
        // Another version may have prepared them in another way.
        photos
    }
}

/// A JSON value in a few plain words.
pub fn plain(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::String(text) => format!("“{text}”"),
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(_) => "a whole entry".to_owned(),
        other => other.to_string(),
    }
}
