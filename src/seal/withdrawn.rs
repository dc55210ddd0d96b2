//! Keys that their firm has revoked, according to the firm's own file.

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
    /// The beginning of a sentence that says that the key was revoked.
    pub(crate) fn said(&self) -> String {
        let because = self.because.as_ref();
        let because = because.map_or_else(String::new, |why| format!(" ({why})"));
        format!("the firm revoked this key on {}{because}", self.on)
    }
}
