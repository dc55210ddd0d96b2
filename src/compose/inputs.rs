//! What a certificate is made from.

use super::wording::Wording;
use crate::assess::{Assessment, ByBuiltIn};
use crate::photo::PreparedImage;
use crate::rules::Rules;
use crate::visit::Visit;
use chrono::{DateTime, FixedOffset};

/// Everything that a certificate is made from.
#[derive(Debug)]
pub struct Inputs<'a> {
    /// The visit.
    pub visit: &'a Visit,
    /// What it shows.
    pub assessment: &'a Assessment,
    /// The rule set that the assessment was made with.
    pub rules: &'a Rules,
    /// What the built-in sets find, if the rule set is a firm's own: [`crate::assess::by_built_in`].
    pub built_in: &'a [ByBuiltIn],
    /// The words.
    pub wording: &'a Wording,
    /// Images ready for embedding.
    pub images: Images,
    /// Who signs; `None` for a draft.
    pub seal: Option<SealFacts>,
    /// Prints the word for a draft across every page.
    pub draft: bool,
    /// Time of making: the signing time, or of the draft.
    pub created: DateTime<FixedOffset>,
    /// Bytes of the visit file, carried inside.
    pub source: &'a [u8],
}

/// Images of a visit, ready for embedding. They move into the document uncopied.
#[derive(Debug, Default)]
pub struct Images {
    /// One for each photo of the visit, in its order.
    pub photos: Vec<PreparedImage>,
    /// The firm's logo.
    pub logo: Option<PreparedImage>,
    /// The handwritten signature.
    pub signature: Option<PreparedImage>,
}

/// What is printed of a signature.
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
    /// Fingerprint of the signing certificate, as it is to be printed.
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
