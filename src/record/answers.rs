//! Whether a certificate can be relied on: the decision that all commands share.

use super::contents::{self, Contents, OwnEvidence};
use super::extracted;
use super::labelled::label_of;
use super::recompute::{Recomputed, Record, RecordError};
use super::rendered;
use crate::compose::extract::Whole;
use crate::compose::index::Covered;
use crate::compose::label::LabelOf;
use crate::record::standing::Standing;
use crate::seal::known::NewKey;
use crate::seal::plain::quoted_name;
use crate::seal::report::Report;
use crate::seal::{VerifyOptions, verify};

/// The answers about one certificate.
#[derive(Debug)]
pub struct Answers<'a> {
    /// About its seal.
    pub report: Report<'a>,
    /// About the sealed contents; `None` unless the seal is unbroken.
    pub contents: Option<Contents>,
    /// The certificate of which it is an extract, if it is one. Then nothing else is known about
    /// the sealed contents.
    pub extract_of: Option<Whole>,
    /// What it is an index of, if it is one: as for an extract, nothing else is known then.
    pub index_of: Option<Covered>,
    /// What it is a label of by its own word, if it is one: a label is not sealed.
    pub label_of: Option<LabelOf>,
    /// Its number and what it replaces, if its record states that.
    pub standing: Option<Standing>,
    /// The record under the seal, if it can be read.
    pub record: Option<Record>,
    /// That record recomputed, if possible.
    pub again: Option<Recomputed>,
}

impl<'a> Answers<'a> {
    /// Examines a file, by what the reader knows about keys (`options`) and has besides the file
    /// (`beside`).
    pub fn of(pdf: &'a [u8], options: &VerifyOptions, beside: &OwnEvidence<'_>) -> Self {
        let mut answers = Self {
            report: verify(pdf, options),
            contents: None,
            extract_of: None,
            index_of: None,
            label_of: None,
            standing: None,
            record: None,
            again: None,
        };
        let Some(verified) = answers.report.verified() else {
            if answers.report.signatures.is_empty() {
                answers.label_of = label_of(pdf);
            }
            return answers;
        };
        if let Some(whole) = extracted::whole(&verified) {
            answers.extract_of = Some(whole);
            return answers;
        }
        if let Some(covered) = extracted::index(&verified) {
            answers.index_of = Some(covered);
            return answers;
        }
        let record = match Record::read(&verified) {
            Ok(record) => record,
            Err(why) => {
                let made_by = match &why {
                    RecordError::Newer(made_by) => Some(made_by.clone()),
                    _ => None,
                };
                answers.contents = Some(contents::open(made_by, &why.to_string(), beside));
                return answers;
            }
        };
        match record.recompute() {
            Ok(again) => {
                let seal = answers
                    .report
                    .certification()
                    .and_then(rendered::seal_facts);
                answers.contents =
                    Some(contents::compared(&verified, &record, &again, seal, beside));
                answers.standing = Some(Standing::of(&verified, &again.visit));
                answers.again = Some(again);
            }
            Err(why) => {
                let made_by = Some(record.made_by.clone());
                answers.contents = Some(contents::open(made_by, &why.to_string(), beside));
                // The rule set may be of another version; the visit can still be read.
                answers.standing = Standing::read(&verified, &record).ok();
            }
        }
        answers.record = Some(record);
        answers
    }

    /// Whether it is a file of ours that has no record: an extract, an index or a label.
    pub fn without_record(&self) -> bool {
        self.extract_of.is_some() || self.index_of.is_some() || self.label_of.is_some()
    }

    /// Whether no answer speaks against the file. Whose key it is may still be unknown: see
    /// [`Answers::genuine`].
    pub fn good(&self) -> bool {
        self.report.acceptable() && self.contents.as_ref().is_some_and(Contents::hold)
    }

    /// Whether nothing speaks against the file and the reader has compared the key that certified
    /// it.
    pub fn genuine(&self) -> bool {
        self.good() && self.report.key_compared()
    }

    /// The certifier's key, if it may enter the list of known signers: it is not in it, and no
    /// answer speaks against the file.
    pub fn new_key(&self) -> Option<NewKey> {
        self.report.new_key().filter(|_| self.good())
    }

    /// The result in plain words.
    pub fn sentence(&self) -> String {
        let report = &self.report;
        if let Some(label) = &self.label_of {
            return format!(
                "Label; ask for certificate {} (SHA-256 {}), of which it says that it is one. It is not \
                 signed and proves nothing; `warmlug verify CERTIFICATE --check-line LINE` tells whether \
                 the two belong together.",
                quoted_name(&label.number),
                quoted_name(&label.sha256)
            );
        }
        if let Some(whole) = &self.extract_of {
            return format!(
                "Extract; ask for the whole certificate {} (SHA-256 {}). {} It is page 1 alone, without \
                 the record, so nothing on it was compared with the readings.",
                whole.number,
                whole.sha256,
                report.sentence()
            );
        }
        if let Some(covered) = &self.index_of {
            let count = match covered.certificates {
                1 => "1 certificate".to_owned(),
                n => format!("{n} certificates"),
            };
            return format!(
                "Index of {count}; ask for the certificates themselves. {} It has only what its \
                 signer says of them, and none of their records, so nothing in it was compared with a \
                 certificate.",
                report.sentence()
            );
        }
        let whole = self.contents.as_ref();
        whole.map_or_else(|| report.sentence(), |contents| contents.sentence(report))
    }

    /// Everything that speaks against the file, or a paper copy of it.
    pub fn objections(&self) -> Vec<String> {
        let mut all = self.report.objections();
        all.extend(self.report.against());
        if self.extract_of.is_some() {
            all.push("it is an extract, without the record of the certificate".to_owned());
        }
        if self.index_of.is_some() {
            all.push("it is an index, without the records of its certificates".to_owned());
        }
        if let Some(contents) = &self.contents {
            all.extend(contents.objections());
            all.extend(contents.paper_objection());
        }
        all
    }
}
