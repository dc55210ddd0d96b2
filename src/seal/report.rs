//! The result of checking a signed PDF: separate answers instead of one verdict.
//!
//! A signature can be mathematically correct although the file was extended later, the certificate
//! had expired, or nobody knows the key. Each of these is a separate question. "Not determined" is an
//! answer too, and counts no more than "no" in [`Report::unchanged`].

use std::ops::Range;

use chrono::{DateTime, FixedOffset, NaiveDate, Utc};
use serde::{Serialize, Serializer};

use super::attachment::{self, Attachment};
use super::digests::{Digests, OtherForm};
use super::error::SealError;
use super::file_identifiers::identifiers;
use super::fingerprint::Fingerprint;
use super::known::NewKey;
use super::person::Person;
use super::plain::quoted_name;
use crate::lookalike::is_blank;
use crate::pdf::File;

/// The reason for undetermined answers if the signature itself could not be read.
pub(crate) const NOT_READ: &str = "the signature could not be read";

/// What a chain of certificates consists of if the signer's own certificate is the trusted one.
pub(crate) const ITSELF: &str = "the certificate itself";

/// The reason given if the signature is no longer where its range says. A program that rewrites the
/// whole file moves every object, but copies the numbers of the range unchanged.
pub(crate) const SAVED_AGAIN: &str =
    "another program saved this file again; ask for the file as it was sent";

/// The wording for additions that are neither permitted nor wrong.
pub(crate) const ADDED_BY_OTHERS: &str = "added by another program, cannot be judged";

/// The answer to one question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", content = "because", rename_all = "kebab-case")]
pub enum Answer {
    /// Yes.
    Yes,
    /// No, with the reason.
    No(String),
    /// This file and this program do not allow an answer, with the reason.
    NotDetermined(String),
}

impl Answer {
    /// Whether the answer is yes.
    pub fn is_yes(&self) -> bool {
        *self == Self::Yes
    }

    pub(crate) fn no(because: &str) -> Self {
        Self::No(because.to_owned())
    }

    pub(crate) fn not_determined(because: &str) -> Self {
        Self::NotDetermined(because.to_owned())
    }
}

/// The purpose of a signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "role", rename_all = "kebab-case")]
pub enum Role {
    /// It certifies the document and says which changes are allowed afterwards.
    Certification {
        /// What is allowed afterwards (ISO 32000-1, table 254).
        allows: Allowed,
    },
    /// It approves a document made by somebody else.
    Approval,
    /// An authority's time-stamp of the whole file (ISO 32000-2, 12.8.5), which is not a person's
    /// signature.
    DocumentStamp,
}

/// What a certification allows others to do (P of DocMDP).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Allowed {
    /// P = 1.
    Nothing,
    /// P = 2.
    FormsAndSignatures,
    /// P = 3.
    FormsSignaturesAndComments,
}

/// How much of the file a signature covers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "coverage", rename_all = "kebab-case")]
pub enum Coverage {
    /// Every byte except its own digits.
    WholeFile,
    /// Every byte up to the end of its revision; more bytes follow.
    Revision {
        /// Bytes from the beginning to the end of the revision.
        bytes: usize,
        /// Bytes added since.
        added: usize,
    },
    /// Its range omits something that it must cover, or is invalid.
    Broken {
        /// What is wrong with it.
        because: String,
    },
}

/// The signer, according to the certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Signer {
    /// Common name.
    pub name: String,
    /// Organisation.
    pub firm: Option<String>,
    /// Licence: the certificate's serialNumber attribute or unit.
    pub licence: Option<String>,
    /// SHA-256 of the certificate.
    #[serde(serialize_with = "as_hex")]
    pub fingerprint: Fingerprint,
    /// The issuer's name, according to this certificate.
    pub issuer: String,
    /// A chain of certificates leads from that issuer to one that the reader trusts. Without this, the
    /// issuer's name is only a claim.
    pub issuer_checked: bool,
    /// The certificate is signed with its own key, which does not prove whose key it is.
    pub self_signed: bool,
    /// Start of the certificate's validity.
    pub valid_from: DateTime<Utc>,
    /// End of the certificate's validity.
    pub valid_until: DateTime<Utc>,
    /// Kind of key and hash.
    pub algorithm: String,
}

impl Signer {
    /// The name for use in a sentence.
    pub(crate) fn named(&self) -> String {
        if self.name.is_empty() {
            "somebody whom the certificate does not name".to_owned()
        } else {
            quoted_name(&self.name)
        }
    }

    /// The person named in the certificate.
    pub fn person(&self) -> Person {
        Person {
            name: self.name.clone(),
            firm: self.firm.clone(),
            licence: self.licence.clone(),
        }
    }
}

fn as_hex<S: Serializer>(print: &Fingerprint, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&print.hex())
}

/// When it was signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SigningTime {
    /// The time, if one is given.
    pub at: Option<DateTime<FixedOffset>>,
    /// The source of that time.
    pub source: TimeSource,
}

/// Where a signing time comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TimeSource {
    /// /M of the signature dictionary: the signer's clock.
    SignersWord,
    /// No time is given.
    None,
}

/// An authority's time-stamp (RFC 3161) in a signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stamp {
    /// The time at which the signature existed.
    pub at: DateTime<Utc>,
    /// The authority's common name.
    pub authority: String,
    /// SHA-256 of its certificate.
    #[serde(serialize_with = "as_hex")]
    pub fingerprint: Fingerprint,
    /// The policy under which it was issued, an object identifier.
    pub policy: String,
    /// It belongs to this signature and matches the authority's key.
    pub valid: Answer,
    /// The reader trusts the authority.
    pub trusted: Answer,
}

impl Stamp {
    /// The authority for use in a sentence.
    pub(crate) fn by(&self) -> String {
        if is_blank(&self.authority) {
            "an authority that its certificate does not name".to_owned()
        } else {
            format!("the authority {}", quoted_name(&self.authority))
        }
    }
}

/// Whether the key belongs to the person named in the certificate, as far as the reader can know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Trust {
    /// The reader specified this fingerprint.
    Pinned,
    /// A chain of certificates leads to one that the reader trusts. Revocation is not looked up,
    /// because checking works offline.
    Anchored {
        /// Names on the chain, the trusted one last.
        over: Vec<String>,
    },
    /// The key is known.
    Known {
        /// When it was first seen.
        since: NaiveDate,
        /// The reader compared it with the signer's own word, as the list of known signers says.
        accepted: bool,
    },
    /// The key is new, but a known key vouches for it.
    Succeeds {
        /// The known key's certificate.
        #[serde(serialize_with = "as_hex")]
        earlier: Fingerprint,
        /// The reader specified the known key, or compared it.
        accepted: bool,
    },
    /// Neither the key nor the name is known.
    FirstUse,
    /// Neither the key nor the name of a countersigner is known, as always unless the reader entered
    /// it: keys that only countersign are not stored.
    NotStored,
    /// The name, or one that looks like it, is known with another key.
    OtherKey {
        /// The key it had.
        #[serde(serialize_with = "as_hex")]
        known: Fingerprint,
        /// When that was first seen.
        since: NaiveDate,
    },
    /// It matches none of the fingerprints or certificates that the reader specified.
    Refused {
        /// Why.
        because: String,
    },
    /// The signer's firm has revoked the key, and nothing proves that it sealed before that.
    Withdrawn {
        /// Day of the revocation.
        on: NaiveDate,
        /// Why, if a reason is given.
        because: Option<String>,
    },
    /// The reader specified nothing to compare with.
    NotAsked,
}

impl Trust {
    /// The meaning as a plain sentence, without a full stop.
    pub fn sentence(&self) -> String {
        match self {
            Self::Pinned => "the key is the one you gave".to_owned(),
            Self::Anchored { over } => format!("vouched for by {}", chain(over)),
            Self::Known {
                since,
                accepted: true,
            } => format!("the key that you accepted, known since {since}"),
            Self::Known { since, .. } => format!(
                "the same key as first met on {since}, but not compared with the signer's own word: \
                 {COMPARE}"
            ),
            Self::Succeeds {
                earlier,
                accepted: true,
            } => format!("a new key, vouched for by the known key {earlier}"),
            Self::Succeeds { earlier, .. } => format!(
                "a new key, vouched for by the known key {earlier}, but neither was compared with the \
                 signer's own word: {COMPARE}"
            ),
            Self::FirstUse => "first certificate from this key: compare the fingerprint once with \
                               the signer's own word"
                .to_owned(),
            Self::NotStored => "the key is not in the list of known signers, where keys that only \
                                countersign are not stored: compare the fingerprint with the \
                                signer's own word"
                .to_owned(),
            Self::OtherKey { known, since } => format!(
                "WARNING: this signer, or another of that name, was met on {since} with another \
                 key ({known}); ask the signer before relying on it, then accept this key with \
                 --pin or a line `FINGERPRINT accepted DAY NAME` in the list of known signers"
            ),
            Self::Refused { because } => because.clone(),
            Self::Withdrawn { on, because } => format!(
                "WARNING: the firm revoked this key on {on}{}. Whoever has the key can write any time of \
                 signing, and no time-stamp proves this one: ask the firm whether this certificate is its \
                 own",
                because
                    .as_ref()
                    .map_or_else(String::new, |why| format!(" ({why})"))
            ),
            Self::NotAsked => "nothing to compare the key with".to_owned(),
        }
    }

    /// Whether the reader compared the key, or one that vouches for it, with a source other than
    /// the file.
    pub fn compared(&self) -> bool {
        match self {
            Self::Pinned | Self::Anchored { .. } => true,
            Self::Known { accepted, .. } | Self::Succeeds { accepted, .. } => *accepted,
            Self::FirstUse
            | Self::NotStored
            | Self::OtherKey { .. }
            | Self::Refused { .. }
            | Self::Withdrawn { .. }
            | Self::NotAsked => false,
        }
    }

    /// Whether this answer speaks against the signature.
    pub fn objects(&self) -> bool {
        matches!(self, Self::OtherKey { .. } | Self::Refused { .. })
    }
}

/// How a known key becomes one that counts as compared.
const COMPARE: &str = "compare the fingerprint, then write `accepted` before the day in its line of \
    known-signers";

/// The names on a chain of certificates.
fn chain(over: &[String]) -> String {
    match over {
        [only] if only == ITSELF => only.clone(),
        _ => {
            let names: Vec<String> = over.iter().map(|name| quoted_name(name)).collect();
            names.join(", ")
        }
    }
}

/// JSON includes the sentence too, to be shown to people.
fn with_sentence<S: Serializer>(trust: &Trust, serializer: S) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct WithSentence<'a> {
        #[serde(flatten)]
        trust: &'a Trust,
        sentence: String,
    }
    WithSentence {
        trust,
        sentence: trust.sentence(),
    }
    .serialize(serializer)
}

/// One signature's answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SignatureReport {
    /// Name of its form field.
    pub field: String,
    /// Its purpose.
    #[serde(flatten)]
    pub role: Role,
    /// The digest matches the file, and the signature value matches the key.
    pub valid: Answer,
    /// The signature itself names its certificate (ESS).
    pub certificate_bound: Answer,
    /// It has the form that PAdES baseline requires (ETSI EN 319 142-1).
    pub well_formed: Answer,
    /// Hash and key are strong enough.
    pub strong: Answer,
    /// The signer's certificate is for signing documents (RFC 5280, 4.2.1.3 and 4.2.1.12), has no
    /// critical extension that is not understood, and names somebody, unless the reader trusts it
    /// through an authority.
    pub certificate_fit: Answer,
    /// The certificate was valid at the signing time.
    pub certificate_in_time: Answer,
    /// How much of the file it covers.
    #[serde(flatten)]
    pub coverage: Coverage,
    /// The signature value is the second of the two that fit an elliptic key (the larger s). Other
    /// programs sign with either; anybody can turn one into the other, which changes nothing that was
    /// signed but changes the digest of the file.
    pub high_s: bool,
    /// Why it was signed, in the signer's own words.
    pub reason: Option<String>,
    /// Who signed.
    pub signer: Option<Signer>,
    /// Whether the key belongs to the signer.
    #[serde(serialize_with = "with_sentence")]
    pub trust: Trust,
    /// When.
    pub signed: SigningTime,
    /// A time-stamp, if there is one.
    pub stamp: Option<Stamp>,
    /// The time-stamp is valid; none if there is no time-stamp.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stamp_valid: Option<Answer>,
    /// The issuer had not revoked the certificate at that time, according to the lists in the file.
    /// Nothing else is consulted, because checking works offline.
    pub not_revoked: Answer,
}

impl SignatureReport {
    /// The questions by importance, with their answers.
    pub fn questions(&self) -> [(&'static str, &Answer); 7] {
        [
            ("signature valid", &self.valid),
            ("certificate bound to it", &self.certificate_bound),
            ("form as PAdES asks", &self.well_formed),
            ("algorithms strong", &self.strong),
            (
                "certificate made for signing documents",
                &self.certificate_fit,
            ),
            ("certificate valid at that time", &self.certificate_in_time),
            (
                "time-stamp valid",
                self.stamp_valid.as_ref().unwrap_or(&Answer::Yes),
            ),
        ]
    }

    /// Whether it is a signature of a kind that this program does not judge.
    pub fn is_foreign(&self) -> bool {
        self.role == Role::Approval
            && matches!(&self.valid, Answer::NotDetermined(why) if why.starts_with(ADDED_BY_OTHERS))
            && !matches!(self.coverage, Coverage::Broken { .. })
    }

    /// Whether every answer is yes. Coverage up to the end of a revision counts as good here;
    /// [`Report::changes`] covers what came after it.
    pub fn holds(&self) -> bool {
        self.questions().iter().all(|(_, answer)| answer.is_yes())
            && !matches!(self.coverage, Coverage::Broken { .. })
            && !matches!(self.not_revoked, Answer::No(_))
    }
}

/// Changes to the file after it was certified.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "changes", content = "named", rename_all = "kebab-case")]
pub enum Changes {
    /// Nothing.
    None,
    /// Only what the certification allows.
    Permitted(Vec<String>),
    /// Something else.
    NotPermitted(Vec<String>),
    /// Nothing that is not permitted, but something that another program added in a regular way and that
    /// this one cannot judge.
    NotJudged(Vec<String>),
    /// Not determined, with the reason.
    NotDetermined(String),
}

/// The signature that certifies, among those of a file.
pub(crate) fn certification(signatures: &[SignatureReport]) -> Option<&SignatureReport> {
    signatures
        .iter()
        .find(|s| matches!(s.role, Role::Certification { .. }))
}

/// All answers about one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Report<'a> {
    /// The file can be read as a PDF, unambiguously.
    pub readable: Answer,
    /// Exactly one signature certifies the document, and it was the first.
    pub certified: Answer,
    /// Changes after certifying.
    #[serde(flatten)]
    pub changes: Changes,
    /// Every signature, oldest first.
    pub signatures: Vec<SignatureReport>,
    #[serde(skip)]
    pub(crate) certified_bytes: Option<&'a [u8]>,
    /// The other form of the certifying signature.
    #[serde(skip)]
    pub(crate) other_form: Option<OtherForm>,
    /// Where the string of the certifying signature is.
    #[serde(skip)]
    pub(crate) contents: Range<usize>,
}

impl<'a> Report<'a> {
    /// The report on a file that cannot be examined.
    pub(crate) fn unreadable(because: String) -> Self {
        Self {
            readable: Answer::No(because),
            certified: Answer::not_determined("the file can't be read"),
            changes: Changes::NotDetermined("the file can't be read".to_owned()),
            signatures: Vec::new(),
            certified_bytes: None,
            other_form: None,
            contents: 0..0,
        }
    }

    /// Whether the certificate is unchanged since it was sealed, except for permitted additions. Whose
    /// key sealed it is a separate question: compare the fingerprint.
    pub fn unchanged(&self) -> bool {
        self.readable.is_yes()
            && self.certified.is_yes()
            && matches!(self.changes, Changes::None | Changes::Permitted(_))
            && self.signatures.iter().all(SignatureReport::holds)
            && self.certified_bytes.is_some()
    }

    /// Whether nothing speaks against the file: it is unchanged, and nothing that the reader specified
    /// or knows speaks against the keys.
    pub fn acceptable(&self) -> bool {
        self.unchanged() && !self.signatures.iter().any(|s| s.trust.objects())
    }

    /// Whether the reader compared the certifying key with a source other than the file: a
    /// fingerprint, an authority, or a line of known signers accepted by hand. Without this,
    /// anybody could have sealed the file under any name.
    pub fn key_compared(&self) -> bool {
        self.certification()
            .is_some_and(|seal| seal.trust.compared())
    }

    /// The certifying signature.
    pub fn certification(&self) -> Option<&SignatureReport> {
        certification(&self.signatures)
    }

    /// The certifying key, if it is not in the list of known signers and nothing in the list speaks
    /// against it. Keys that only countersigned are never entered, because anybody can add a
    /// signature in any name.
    pub fn new_key(&self) -> Option<NewKey> {
        let seal = self.certification().filter(|_| self.acceptable())?;
        let vouched_by = match seal.trust {
            Trust::FirstUse => None,
            Trust::Succeeds { earlier, .. } => Some(earlier),
            _ => return None,
        };
        let signer = seal.signer.as_ref()?;
        Some(NewKey {
            fingerprint: signer.fingerprint,
            person: signer.person(),
            vouched_by,
        })
    }

    /// Access to what was certified; only for an unchanged file.
    pub fn verified(&self) -> Option<Verified<'a>> {
        let bytes = self.certified_bytes.filter(|_| self.unchanged())?;
        let fingerprint = self.certification()?.signer.as_ref()?.fingerprint;
        Some(Verified {
            bytes,
            fingerprint,
            other_form: self.other_form.clone(),
            contents: self.contents.clone(),
        })
    }

    /// The result in one plain sentence.
    pub fn sentence(&self) -> String {
        if let Answer::No(why) | Answer::NotDetermined(why) = &self.readable {
            return format!("This is not a certificate that can be relied on: {why}.");
        }
        if self.signatures.is_empty() {
            return "This PDF is not signed: nothing shows who made it or whether it was changed."
                .to_owned();
        }
        if self.unchanged() {
            let against = self.against();
            return if !against.is_empty() {
                self.but_for(&against)
            } else if self.key_compared() {
                self.signed_by_compared_key()
            } else {
                self.sealed_by_claimed_key()
            };
        }
        if self.only_not_judged() {
            return format!(
                "This file cannot be judged as it is now: {}. What was sealed{} is unchanged.",
                self.objections().join("; "),
                self.by_whom()
            );
        }
        format!(
            "Do not rely on this file: {}.",
            self.objections().join("; ")
        )
    }

    fn signed_by_compared_key(&self) -> String {
        let since = match &self.changes {
            Changes::Permitted(named) => format!(
                "nothing was changed since except what the seal permits ({})",
                named.join("; ")
            ),
            _ => "not a byte was changed since".to_owned(),
        };
        format!("Genuine: signed{}, and {since}.", self.by_whom())
    }

    fn sealed_by_claimed_key(&self) -> String {
        let except = match &self.changes {
            Changes::Permitted(named) => {
                format!(", except for what the seal permits ({}),", named.join("; "))
            }
            _ => String::new(),
        };
        let signer = self.certification().and_then(|seal| seal.signer.as_ref());
        let Some(signer) = signer else {
            return format!("Unchanged{except} since it was sealed by a key without a name.");
        };
        format!(
            "Unchanged{except} since it was sealed by a key that calls itself {}. Compare its \
             fingerprint, {}, with one that the firm gives you some other way: until then, nothing shows \
             whose key it is.",
            signer.named(),
            signer.fingerprint
        )
    }

    /// Whether nothing is wrong with the file except that another program added something that this one
    /// cannot judge.
    fn only_not_judged(&self) -> bool {
        self.readable.is_yes()
            && self.certified.is_yes()
            && matches!(
                self.changes,
                Changes::NotJudged(_) | Changes::None | Changes::Permitted(_)
            )
            && self.certification().is_some_and(SignatureReport::holds)
            && self.signatures.iter().all(|s| s.holds() || s.is_foreign())
            && !self.signatures.iter().any(|s| s.trust.objects())
    }

    /// What speaks against the keys, as sentences without a full stop.
    pub fn against(&self) -> Vec<String> {
        let objecting = self.signatures.iter().filter(|s| s.trust.objects());
        objecting.map(|s| s.trust.sentence()).collect()
    }

    /// The result for an unchanged file if something else speaks against it. It begins differently
    /// from the sentence for a good file, because many readers read only the first words.
    pub fn but_for(&self, against: &[String]) -> String {
        format!(
            "Do not rely on this file, although its seal is unbroken, signed{}: {}.",
            self.by_whom(),
            against.join("; ")
        )
    }

    /// “ by” and the name of the signer, if known.
    fn by_whom(&self) -> String {
        self.certification()
            .and_then(|signature| signature.signer.as_ref())
            .map_or_else(String::new, |signer| format!(" by {}", signer.named()))
    }

    /// Everything that prevents the file from being unchanged, each in a few plain words.
    pub fn objections(&self) -> Vec<String> {
        let saved_again = self
            .signatures
            .iter()
            .any(|s| matches!(&s.coverage, Coverage::Broken { because } if because == SAVED_AGAIN));
        if saved_again && self.certified_bytes.is_none() {
            // Everything else follows from this.
            return vec![SAVED_AGAIN.to_owned()];
        }
        let mut out = Vec::new();
        let mut tell = |question: &str, answer: &Answer| match answer {
            Answer::Yes => {}
            Answer::No(why) => out.push(why.clone()),
            Answer::NotDetermined(why) if why.starts_with(ADDED_BY_OTHERS) => out.push(why.clone()),
            Answer::NotDetermined(why) => {
                out.push(format!("{question} could not be determined ({why})"));
            }
        };
        tell("whether it can be read", &self.readable);
        tell("whether it is certified", &self.certified);
        for signature in &self.signatures {
            for (question, answer) in signature.questions() {
                // If the signature can't be read, its other questions need not be listed.
                if *answer != Answer::not_determined(NOT_READ) {
                    tell(question, answer);
                }
            }
        }
        for signature in &self.signatures {
            if let Coverage::Broken { because } = &signature.coverage {
                out.push(because.clone());
            }
            if let Answer::No(why) = &signature.not_revoked {
                out.push(why.clone());
            }
        }
        match &self.changes {
            Changes::None | Changes::Permitted(_) => {}
            Changes::NotPermitted(named) => out.push(format!(
                "it was changed after sealing: {}",
                named.join("; ")
            )),
            Changes::NotJudged(named) => {
                out.push(format!("{ADDED_BY_OTHERS}: {}", named.join("; ")));
            }
            Changes::NotDetermined(why) => {
                out.push(format!("changes since could not be determined ({why})"));
            }
        }
        out.dedup();
        out
    }
}

/// The bytes certified by an unbroken seal. Only [`Report::verified`] creates a value, so that having
/// one proves that the check was made.
#[derive(Debug, Clone)]
pub struct Verified<'a> {
    bytes: &'a [u8],
    fingerprint: Fingerprint,
    other_form: Option<OtherForm>,
    contents: Range<usize>,
}

impl<'a> Verified<'a> {
    /// The file as it was certified, without later additions.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// The digests that identify it.
    pub fn digests(&self) -> Digests {
        Digests::of(self.bytes, &self.contents, self.other_form.as_ref())
    }

    /// SHA-256 of the certificate that sealed it.
    pub fn fingerprint(&self) -> Fingerprint {
        self.fingerprint
    }

    /// The files attached to it, in the order of their names.
    ///
    /// # Errors
    /// [`SealError::Attachment`]: damaged, or larger than any certificate's.
    pub fn attachments(&self) -> Result<Vec<Attachment>, SealError> {
        attachment::read(self.bytes)
    }

    /// The parts that no certificate has (actions, scripts, boxes that crop pages, other
    /// annotations, attached files under two names), each as a sentence without its full stop.
    /// Whether the text on a page is visible is not checked.
    ///
    /// # Errors
    /// [`SealError::Pdf`].
    pub fn foreign(&self) -> Result<Vec<String>, SealError> {
        super::shape::foreign(self.bytes)
    }

    /// The first identifier of the file, if it has the length that this program gives it.
    pub fn identifier(&self) -> Option<[u8; 16]> {
        let file = File::parse(self.bytes).ok()?;
        let [first, _] = identifiers(&file);
        first.try_into().ok()
    }

    /// The differences from `expected`, the same file before it was signed, each as a sentence
    /// without its full stop. Streams are compared after decompression.
    ///
    /// # Errors
    /// [`SealError::Pdf`].
    pub fn differences(&self, expected: &[u8]) -> Result<Vec<String>, SealError> {
        Ok(super::expected::differences(self.bytes, expected)?)
    }

    /// The words on each page, running heads left out, in the order they are painted.
    ///
    /// # Errors
    /// [`SealError::Pages`]: written in a way that no certificate is.
    pub fn page_texts(&self) -> Result<Vec<String>, SealError> {
        super::page_text::read(self.bytes)
    }
}
