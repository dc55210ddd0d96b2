//! One row of the register, and the state of its circuit.

use super::measured::{Equipment, Point};
use crate::lookalike::folded;
use crate::seal::known::NewKey;
use crate::visit::Grade;
use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};

/// Maximum difference of a clock that is set to the wrong time zone.
const ANY_ZONE: TimeDelta = TimeDelta::hours(26);

/// One circuit of one certificate. The fields are the columns of every format, in this order; the
/// address, the margins by connection, the equipment, the connections and the vouching keys are only in JSON
/// lines.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Certificate number.
    pub number: Option<String>,
    /// Name of the site.
    pub site: Option<String>,
    /// Address of the site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site_address: Option<String>,
    /// Id of the circuit.
    pub circuit: Option<String>,
    /// Its name for people.
    pub circuit_name: Option<String>,
    /// Date of the visit.
    pub date: Option<NaiveDate>,
    /// Outcome of the whole certificate: `incomplete` instead of a satisfactory one if the inspection
    /// was not complete.
    pub outcome: Option<String>,
    /// Whether the inspection of this circuit was complete.
    pub complete: Option<bool>,
    /// Worst grade of this circuit, including findings about the whole visit.
    pub worst_grade: Option<String>,
    /// Least margin below the rating on the hottest day among its connections, kelvin.
    pub worst_margin_k: Option<f64>,
    /// Date of the next inspection; `None` if the circuit must not be used until then.
    pub next_due: Option<NaiveDate>,
    /// The signer.
    pub signer: Option<String>,
    /// SHA-256 of the signing certificate, hexadecimal.
    pub fingerprint: Option<String>,
    /// Signing time, by the signer's clock.
    pub signed_at: Option<DateTime<FixedOffset>>,
    /// Whether it can be relied on, as reported by `verify`.
    pub valid: bool,
    /// The problem of a file that is not valid.
    pub problem: Option<String>,
    /// Unit system that the certificate prints: `us` or `si`.
    pub units: Option<String>,
    /// SHA-256 of the file, hexadecimal.
    pub sha256: String,
    /// SHA-256 of the certificate that this one replaces, as it was sealed.
    pub replaces: Option<String>,
    /// The path of the file as given.
    pub file: String,
    /// SHA-256 of the file as it was sealed: the same in every countersigned copy.
    #[serde(default)]
    pub sealed_sha256: Option<String>,
    /// The same with the smaller of the two signature values that fit, if the file has the larger one:
    /// the same in a copy whose signature value somebody replaced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_s_sha256: Option<String>,
    /// SHA-256 of the file as it was sealed, with the other signature value that fits.
    #[serde(skip)]
    pub other_form: Option<String>,
    /// SHA-256 of the signed bytes: the same in a copy whose time-stamp was removed or replaced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed_bytes_sha256: Option<String>,
    /// Number of signatures.
    #[serde(default)]
    pub signatures: Option<u32>,
    /// How much was compared: `whole`, with the pages written again; `seals-only` if that was left
    /// out; or `in-part` if another version made the certificate.
    #[serde(default)]
    pub compared: Option<String>,
    /// Why a valid certificate supersedes nothing: it is sealed with a key other than the previous
    /// one, which nobody accepted, or its own contents do not allow it to lift a result.
    #[serde(default)]
    pub remark: Option<String>,
    /// Whether the reader compared the key, or one that vouches for it, with a source other than
    /// the file; `None` if the seal is not unbroken.
    #[serde(default)]
    pub key_compared: Option<bool>,
    /// Firm of the inspector, as the record says.
    #[serde(default)]
    pub firm: Option<String>,
    /// Maker of the charger.
    #[serde(default)]
    pub charger_make: Option<String>,
    /// Serial number of the charger.
    #[serde(default)]
    pub charger_serial: Option<String>,
    /// Whether it is the result in force for its circuit; `None` if it does not count. Computed by
    /// each run.
    #[serde(default)]
    pub current: Option<bool>,
    /// Number of the certificate that supersedes or replaces it for this circuit; its own number if
    /// a copy with more signatures does. Computed by each run.
    #[serde(default)]
    pub superseded_by: Option<String>,
    /// The result by a built-in rule set, if the certificate was judged by a firm's own rules that
    /// soften a verdict.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub softened: Option<String>,
    /// Margin of every connection that has one.
    #[serde(default)]
    pub margins: Vec<Margin>,
    /// Equipment of the circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub equipment: Option<Equipment>,
    /// Thermometer that it was read with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thermometer: Option<String>,
    /// Its connections.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Point>,
    /// SHA-256 of the signing certificates, among those of this register, whose keys vouch for
    /// the one that signed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vouched_by: Vec<String>,
    /// The only problem of the certificate is that its signer's name is known with another key,
    /// which nobody accepted either, so either key may be an impostor's. Such a row is not valid,
    /// and counts only because its result is unsatisfactory.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub contested: bool,
    /// Whether the reader accepted the key by hand. Computed by each run.
    #[serde(skip)]
    pub accepted: bool,
    /// Whether the remark is about something other than the key. Computed by each run.
    #[serde(skip)]
    pub own_fault: bool,
    /// Whether the visit or the signature has a date in the future. Computed by each run.
    #[serde(skip)]
    pub future: bool,
    /// Which of several sites of one name it is at, see [`apart`](super::apart); empty if there is only one.
    /// Computed by each run.
    #[serde(skip)]
    pub place: String,
    /// The key, if this run may enter it in the list of known signers.
    #[serde(skip)]
    pub new_key: Option<NewKey>,
}

/// Margin of one connection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Margin {
    /// Connection id.
    pub connection: String,
    /// Margin below the lowest rating on the hottest day, kelvin.
    pub margin_k: f64,
}

/// Site, circuit, and which of the sites of this name.
pub type OwnCircuit<'a> = (&'a str, &'a str, &'a str);

impl Row {
    /// A row for a file about which nothing else is known.
    pub(super) fn of_file(file: &str, sha256: String) -> Self {
        Row {
            number: None,
            site: None,
            site_address: None,
            circuit: None,
            circuit_name: None,
            date: None,
            outcome: None,
            complete: None,
            worst_grade: None,
            worst_margin_k: None,
            next_due: None,
            signer: None,
            fingerprint: None,
            signed_at: None,
            valid: false,
            problem: None,
            units: None,
            sha256,
            replaces: None,
            file: file.to_owned(),
            sealed_sha256: None,
            low_s_sha256: None,
            other_form: None,
            signed_bytes_sha256: None,
            signatures: None,
            compared: None,
            remark: None,
            key_compared: None,
            firm: None,
            charger_make: None,
            charger_serial: None,
            current: None,
            superseded_by: None,
            softened: None,
            margins: Vec::new(),
            equipment: None,
            thermometer: None,
            points: Vec::new(),
            vouched_by: Vec::new(),
            contested: false,
            accepted: false,
            own_fault: false,
            future: false,
            place: String::new(),
            new_key: None,
        }
    }

    /// A row for a file that could not be read.
    pub fn unreadable(file: &str, problem: String) -> Self {
        Row {
            problem: Some(problem),
            ..Row::of_file(file, String::new())
        }
    }

    /// Identifies the certificate; a countersigned copy has the same value.
    pub fn certificate(&self) -> &str {
        let signed = self
            .signed_bytes_sha256
            .as_ref()
            .or(self.low_s_sha256.as_ref());
        let sealed = signed.or(self.sealed_sha256.as_ref());
        sealed.unwrap_or(&self.sha256)
    }

    /// The digests by which another certificate may refer to this one.
    pub fn digests(&self) -> impl Iterator<Item = &str> {
        let own = self.sealed_sha256.as_ref().or(Some(&self.sha256));
        own.into_iter()
            .chain(&self.other_form)
            .chain(&self.signed_bytes_sha256)
            .map(String::as_str)
    }

    /// Whether this certificate was sealed with the key of the earlier one, or with a key that the
    /// earlier key vouches for.
    pub fn same_hand(&self, earlier: &Row) -> bool {
        self.fingerprint == earlier.fingerprint
            || earlier
                .fingerprint
                .as_ref()
                .is_some_and(|key| self.vouched_by.contains(key))
    }

    /// Whether this certificate can supersede the earlier one: move its due date, lift its stop.
    pub fn may_supersede(&self, earlier: &Row) -> bool {
        self.accepted || self.same_hand(earlier)
    }

    /// Whether the visit or the signature is later than this time in every time zone.
    pub fn is_after(&self, now: DateTime<FixedOffset>) -> bool {
        let latest = now + ANY_ZONE;
        self.signed_at.is_some_and(|at| at > latest)
            || self.date.is_some_and(|date| date > latest.date_naive())
    }

    /// Whether it would be valid if somebody had compared its key.
    pub fn uncompared(&self) -> bool {
        self.valid && self.key_compared != Some(true)
    }

    /// Whether it counts for the state of its circuit.
    pub fn counts(&self) -> bool {
        self.valid || self.contested
    }

    /// Whether another version made the certificate, so that it was only partly compared.
    pub fn in_part(&self) -> bool {
        self.compared.as_deref() == Some(IN_PART)
    }

    /// Whether its pages were not written again, as the reader asked.
    pub fn seals_only(&self) -> bool {
        self.compared.as_deref() == Some(SEALS_ONLY)
    }

    /// The subject of the row: site and circuit.
    pub fn subject(&self) -> Option<(&str, &str)> {
        Some((self.site.as_deref()?, self.circuit.as_deref()?))
    }

    /// What no other circuit of the register has: site and circuit, and which site it is if several have
    /// this name.
    pub fn own_circuit(&self) -> Option<OwnCircuit<'_>> {
        let (site, circuit) = self.subject()?;
        Some((site, circuit, &self.place))
    }

    /// Name of the circuit for people.
    pub fn title(&self) -> &str {
        let name = self.circuit_name.as_deref().or(self.circuit.as_deref());
        name.unwrap_or_default()
    }

    /// The worst grade.
    pub fn grade(&self) -> Option<Grade> {
        let word = self.worst_grade.as_deref()?;
        Grade::ALL.into_iter().find(|g| g.word() == word)
    }

    /// Outcome of this circuit alone, by its worst grade; the certificate's outcome if that is unknown.
    /// An incomplete inspection is never satisfactory.
    pub fn own_outcome(&self) -> Option<&str> {
        let own = match self.grade() {
            Some(grade) => Some(crate::assess::outcome(grade).word()),
            None => self.outcome.as_deref(),
        };
        own.map(|own| of_visit(own, self.complete))
    }

    /// The firm to whose numbers the certificate's number belongs, in a form for comparing; the
    /// signer if no firm is named.
    pub fn firm_folded(&self) -> String {
        let name = self.firm.as_ref().or(self.signer.as_ref());
        folded(name.map_or("", String::as_str))
    }

    /// Whether this circuit has to be repaired or must not be used.
    pub fn unsatisfactory(&self) -> bool {
        self.own_outcome() == Some(crate::assess::Outcome::Unsatisfactory.word())
    }

    /// Whether the circuit must not be used until it has been repaired and inspected again.
    pub fn out_of_use(&self) -> bool {
        self.counts() && self.next_due.is_none() && self.unsatisfactory()
    }
}

/// An outcome as shown in the register: that of an incomplete inspection is unsatisfactory or
/// `incomplete`.
pub(super) fn of_visit(outcome: &str, complete: Option<bool>) -> &str {
    if complete == Some(false) && outcome != crate::assess::Outcome::Unsatisfactory.word() {
        INCOMPLETE
    } else {
        outcome
    }
}

pub use crate::assess::INCOMPLETE;

/// The value of `compared` if the pages were not written again, as the reader asked.
pub(super) const SEALS_ONLY: &str = "seals-only";

/// The value of `compared` for a certificate that was only partly compared.
pub(super) const IN_PART: &str = "in-part";

#[cfg(test)]
pub(super) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// A sound certificate's row.
    pub fn row(number: &str, circuit: &str, date: &str, due: Option<&str>) -> Row {
        Row {
            number: Some(number.to_owned()),
            site: Some("Mill Lane".to_owned()),
            circuit: Some(circuit.to_owned()),
            date: Some(date.parse().unwrap()),
            outcome: Some("satisfactory".to_owned()),
            complete: Some(true),
            worst_grade: Some("pass".to_owned()),
            worst_margin_k: Some(20.0),
            next_due: due.map(|d| d.parse().unwrap()),
            signer: Some("Ada Ohm".to_owned()),
            fingerprint: Some("ab".repeat(32)),
            key_compared: Some(true),
            valid: true,
            units: Some("us".to_owned()),
            margins: vec![Margin {
                connection: "breaker-L1".to_owned(),
                margin_k: 20.0,
            }],
            ..Row::of_file(
                &format!("{number}-{circuit}.pdf"),
                format!("sha of {number}"),
            )
        }
    }

    #[test]
    fn a_row_is_of_the_future_after_any_zone_has_reached_its_day() {
        let now: DateTime<FixedOffset> = "2026-05-01T12:00:00+00:00".parse().unwrap();
        let mut own = row("1", "a", "2026-05-01", None);
        own.signed_at = None;
        assert!(!own.is_after(now));
        // 26 hours lie between the first and the last time zone.
        own.date = Some("2026-05-02".parse().unwrap());
        assert!(!own.is_after(now));
        own.date = Some("2026-05-03".parse().unwrap());
        assert!(own.is_after(now));
        own.date = Some("2026-05-01".parse().unwrap());
        own.signed_at = Some("2026-05-02T13:59:00+00:00".parse().unwrap());
        assert!(!own.is_after(now));
        own.signed_at = Some("2026-05-02T14:01:00+00:00".parse().unwrap());
        assert!(own.is_after(now));
    }

    #[test]
    fn a_warning_keeps_a_circuit_out_of_use_and_an_invalid_file_says_nothing() {
        let stop = Row {
            worst_grade: Some("stop".to_owned()),
            ..row("1", "a", "2026-05-01", None)
        };
        let warning = Row {
            valid: false,
            contested: true,
            ..stop.clone()
        };
        let invalid = Row {
            valid: false,
            ..stop.clone()
        };
        assert!(stop.out_of_use() && warning.out_of_use() && !invalid.out_of_use());
        assert!(stop.counts() && warning.counts() && !invalid.counts());
        // With a date, it may be used until then.
        let dated = Row {
            next_due: Some("2026-06-01".parse().unwrap()),
            ..stop.clone()
        };
        assert!(!dated.out_of_use());
        assert!(!row("1", "a", "2026-05-01", None).out_of_use());
        // Only of a certificate that verifies does it matter whether the key was compared.
        let unknown = |row: &Row| Row {
            key_compared: Some(false),
            ..row.clone()
        };
        assert!(unknown(&stop).uncompared());
        assert!(!stop.uncompared() && !unknown(&invalid).uncompared());
    }

    #[test]
    fn only_the_same_hand_or_one_that_was_accepted_supersedes() {
        let first = row("1", "a", "2026-05-01", None);
        let other = Row {
            fingerprint: Some("cd".repeat(32)),
            ..row("2", "a", "2026-06-01", None)
        };
        assert!(first.may_supersede(&first) && !other.may_supersede(&first));
        let vouched = Row {
            vouched_by: vec!["ab".repeat(32)],
            ..other.clone()
        };
        assert!(vouched.may_supersede(&first));
        let by_another = Row {
            vouched_by: vec!["ef".repeat(32)],
            ..other.clone()
        };
        assert!(!by_another.may_supersede(&first));
        let accepted = Row {
            accepted: true,
            ..other
        };
        assert!(accepted.may_supersede(&first));
    }
}
