//! The inputs of a certificate.

use super::wording::Wording;
use crate::assess::{Assessment, ByBuiltIn};
use crate::photo::PreparedImage;
use crate::rules::Rules;
use crate::visit::Visit;
use chrono::{DateTime, FixedOffset};

/// The inputs of a certificate.
#[derive(Debug)]
pub struct Inputs<'a> {
    /// The visit.
    pub visit: &'a Visit,
    /// Its assessment.
    pub assessment: &'a Assessment,
    /// The rule set that the assessment was made with.
    pub rules: &'a Rules,
    /// The results of the built-in sets, if the rule set is a firm's own:
    /// [`crate::assess::by_built_in`].
    pub built_in: &'a [ByBuiltIn],
    /// The words.
    pub wording: &'a Wording,
    /// Images ready for embedding.
    pub images: Images,
    /// Who signs; `None` for a draft.
    pub seal: Option<SealFacts>,
    /// Whether to print the word for a draft across every page.
    pub draft: bool,
    /// Time of signing, or of creating the draft.
    pub created: DateTime<FixedOffset>,
    /// Bytes of the visit file, which is attached.
    pub source: &'a [u8],
}

/// Images of a visit, ready for embedding. They are moved into the document without copying.
#[derive(Debug, Default)]
pub struct Images {
    /// One for each photo of the visit, in its order.
    pub photos: Vec<PreparedImage>,
    /// The firm's logo.
    pub logo: Option<PreparedImage>,
    /// The handwritten signature.
    pub signature: Option<PreparedImage>,
}

/// The printed facts about a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealFacts {
    /// Name in the signing certificate.
    pub signer: String,
    /// Firm.
    pub firm: Option<String>,
    /// Licence number.
    pub licence: Option<String>,
    /// Time of signing.
    pub time: DateTime<FixedOffset>,
    /// Fingerprint of the signing certificate, in the printed form.
    pub fingerprint: String,
    /// Whether the certificate is signed by its own key.
    pub self_signed: bool,
}

impl SealFacts {
    /// Time of signing with its offset, which reads the same in every language.
    pub fn printed_time(&self) -> String {
        self.time.format("%Y-%m-%d %H:%M:%S %:z").to_string()
    }
}
