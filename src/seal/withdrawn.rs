//! Keys that their firm has revoked, as the reader knows it from the firm itself.

use chrono::NaiveDate;

use super::fingerprint::Fingerprint;

/// A key that its firm has revoked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WithdrawnKey {
    /// SHA-256 of its certificate.
    pub fingerprint: Fingerprint,
    /// Day from which nothing that it seals is valid (UTC).
    pub on: NaiveDate,
    /// Why, if a reason is given.
    pub because: Option<String>,
}

impl WithdrawnKey {
    /// That it was revoked, as the beginning of a sentence.
    pub(crate) fn said(&self) -> String {
        let because = self.because.as_ref();
        let because = because.map_or_else(String::new, |why| format!(" ({why})"));
        format!("the firm revoked this key on {}{because}", self.on)
    }
}
