//! Checking a signed PDF.
//!
//! Each signature is checked in its own revision: the bytes from the beginning of the file to the end of
//! its range. Its position comes from the tables of that revision, the gap in its range must be
//! exactly the digits of its own `/Contents`, and the revision must end like a PDF. Therefore nothing
//! outside the signed bytes can change what is checked. Later revisions, if any, are then compared
//! with the certified one.

use chrono::{DateTime, Utc};

use std::ops::Range;
use std::path::Path;

use super::certificate_time::moment;
use super::changes;
use super::cms_read::{self, CmsError, Content};
use super::dates::parse_date;
use super::digests::OtherForm;
use super::error::SealError;
use super::fingerprint::Fingerprint;
use super::key::{self, Checked};
use super::known::KnownSigners;
use super::lasting;
use super::path;
use super::person::person_of;
use super::plain::{printable, shown};
use super::report::{
    ADDED_BY_OTHERS, Allowed, Answer, Changes, Coverage, NOT_READ, Report, Role, SAVED_AGAIN,
    SignatureReport, Signer, SigningTime, TimeSource, Trust,
};
use super::revocation::{self, Store};
use super::signature_dictionary::{MAX_CHARACTERS, foreign_kind, is_document_stamp, written_here};
use super::signature_fields::{Field, Form};
use super::small;
use super::strict_der;
use super::tail;
use super::timestamp;
use super::withdrawn::WithdrawnKey;
use crate::pdf::object::PdfString;
use crate::pdf::{Dict, File, Id, Object, PdfError, text};

/// Size limit of a signature, in bytes: with a long chain, a time-stamp and revocation data it has about
/// twenty thousand.
const MAX_SIGNATURE_BYTES: usize = 1 << 18;
/// Maximum number of signatures in one file.
const MAX_SIGNATURES: usize = 32;
/// Size limit of a file of trusted certificates, in bytes; the list of an operating system has about
/// 250,000.
const MAX_ANCHOR_BYTES: u64 = 4 << 20;

/// How the reader recognises signers.
#[derive(Debug, Clone, Default)]
pub struct VerifyOptions {
    /// Fingerprints to accept. If there are any, or any `anchors`, a certifying signature that matches
    /// none of them is refused.
    pub pins: Vec<Fingerprint>,
    /// Certificates to trust, in DER: a signer's own, or an authority's. See [`anchors`].
    pub anchors: Vec<Vec<u8>>,
    /// Known signers.
    pub known: Option<KnownSigners>,
    /// Keys that their firm has revoked.
    pub withdrawn: Vec<WithdrawnKey>,
}

impl VerifyOptions {
    /// Whether the reader accepted this key by hand: with a pin or a line in the list of known
    /// signers.
    pub fn accepts(&self, fingerprint: &Fingerprint) -> bool {
        if self.withdrawn_key(fingerprint).is_some() {
            return false;
        }
        let known = self.known.as_ref();
        self.pins.contains(fingerprint) || known.is_some_and(|known| known.accepts(fingerprint))
    }

    /// The key, if its firm has revoked it.
    pub fn withdrawn_key(&self, fingerprint: &Fingerprint) -> Option<&WithdrawnKey> {
        self.withdrawn
            .iter()
            .find(|k| k.fingerprint == *fingerprint)
    }

    /// Whether the list of known signers has a key of this name that the reader accepted by hand.
    pub fn accepts_name(&self, name: &str) -> bool {
        let known = self.known.as_ref();
        known.is_some_and(|known| known.accepts_name(name))
    }
}

/// Reads trusted certificates from a file in PEM or DER.
///
/// # Errors
/// [`SealError::Read`], [`SealError::Anchors`].
pub fn anchors(path: &Path) -> Result<Vec<Vec<u8>>, SealError> {
    let bad = |reason| SealError::Anchors {
        path: path.to_owned(),
        reason,
    };
    let bytes = small::read(path, MAX_ANCHOR_BYTES)?
        .ok_or_else(|| bad("it is larger than any list of authorities".to_owned()))?;
    path::certificates_of(&bytes).map_err(bad)
}

/// Checks all signatures of a PDF. Every problem is an answer in the report, so there are no errors.
pub fn verify<'a>(pdf: &'a [u8], options: &VerifyOptions) -> Report<'a> {
    let file = match File::parse(pdf) {
        Ok(file) => file,
        Err(e) => {
            let again = is_signed_elsewhere(pdf);
            return Report::unreadable(if again {
                SAVED_AGAIN.to_owned()
            } else {
                e.to_string()
            });
        }
    };
    let fields = match Form::read(&file) {
        Ok(form) => form.fields,
        Err(e) => return Report::unreadable(e.to_string()),
    };
    let mut signed: Vec<Field> = fields
        .into_iter()
        .filter(|f| f.is_signature && f.signed)
        .collect();
    if signed.len() > MAX_SIGNATURES {
        return Report::unreadable("it has more signatures than any certificate".to_owned());
    }
    let store = Store::read(&file);
    let mut judged: Vec<Judged> = signed
        .drain(..)
        .map(|f| judge(&file, &f, &store, options))
        .collect();
    judged.sort_by_key(|j| j.end.unwrap_or(usize::MAX));
    let certified = certified(&judged);
    if certified.is_yes() {
        // The seal is where it was, so the file was not saved again by another program.
        for other in &mut judged {
            if matches!(&other.report.coverage, Coverage::Broken { because } if because == SAVED_AGAIN)
            {
                let because = SOMETHING_ELSE.to_owned();
                other.report.coverage = Coverage::Broken { because };
            }
        }
    }
    let first = judged.first();
    let certified_bytes = match (&certified, first) {
        (Answer::Yes, Some(first)) => first.end.and_then(|end| pdf.get(..end)),
        _ => None,
    };
    // If the sealed bytes were changed, that is reported instead.
    let whole = certified_bytes.filter(|_| first.is_some_and(|f| f.report.valid.is_yes()));
    let readable = whole.map_or(Answer::Yes, unambiguous);
    let changes = match certified_bytes {
        None => Changes::NotDetermined("nothing shows what was sealed".to_owned()),
        Some(bytes) if bytes.len() == pdf.len() => Changes::None,
        Some(bytes) => changes_since(bytes, &file, &judged),
    };
    Report {
        readable,
        certified,
        changes,
        other_form: first.and_then(|first| first.other_form.clone()),
        contents: first.map_or(0..0, |first| first.contents.clone()),
        signatures: judged.into_iter().map(|j| j.report).collect(),
        certified_bytes,
    }
}

/// Whether a file has signatures, but tables that only another program would write, for example for
/// viewing page by page.
fn is_signed_elsewhere(pdf: &[u8]) -> bool {
    let form = File::parse_saved_elsewhere(pdf)
        .map_err(SealError::from)
        .and_then(|file| Form::read(&file));
    form.is_ok_and(|form| form.fields.iter().any(|f| f.is_signature && f.signed))
}

/// Whether other programs find the same objects in a certified file as this one.
fn unambiguous(certified: &[u8]) -> Answer {
    let regular = File::parse(certified)
        .map_err(|e| e.to_string())
        .and_then(|file| tail::sealed(&file));
    regular.map_or_else(
        |why| {
            Answer::No(format!(
                "what was sealed is not written as a certificate is, so that other programs may show other \
                 pages than those that were checked ({why})"
            ))
        },
        |()| Answer::Yes,
    )
}

/// Changes to the file after it was certified. Every later state is checked, not only the last one,
/// so that nothing that a countersigner saw can be removed unnoticed.
fn changes_since(certified: &[u8], whole: &File<'_>, judged: &[Judged]) -> Changes {
    let undetermined = |e: PdfError| Changes::NotDetermined(e.to_string());
    let before = match File::parse(certified) {
        Ok(file) => file,
        Err(e) => return undetermined(e),
    };
    let allows = judged.iter().find_map(|j| match j.report.role {
        Role::Certification { allows } => Some(allows),
        Role::Approval | Role::DocumentStamp => None,
    });
    let mut refused = Vec::new();
    if allows == Some(Allowed::Nothing) {
        refused.push("the seal permits no addition at all".to_owned());
    }
    let mut unknown = Vec::new();
    let ends = match tail::revisions(whole, certified.len()) {
        Ok(found) => {
            unknown = found.unknown;
            found.ends
        }
        Err(what) => {
            refused.push(what);
            vec![whole.bytes.len()]
        }
    };
    let open = match File::parse(certified).and_then(|file| changes::left_open(&file)) {
        Ok(open) => open,
        Err(e) => return undetermined(e),
    };
    let mut last = Vec::new();
    let mut sound = changes::Judged::new();
    let mut newest = None;
    for end in ends {
        let before_it = sound.len();
        let difference = File::parse(&whole.bytes[..end]).and_then(|later| {
            let difference = changes::compare(&before, &later, &open, &mut sound)?;
            let undone = lasting::undone(&before, newest.as_ref().unwrap_or(&before), &later)?;
            newest = Some(later);
            Ok((difference, undone))
        });
        match difference {
            Ok((difference, undone)) => {
                // A problem of the state itself is more useful to report.
                let undone = undone.into_iter().filter(|_| difference.refused.is_empty());
                for what in difference.refused.clone().into_iter().chain(undone) {
                    if !refused.contains(&what) {
                        refused.push(what);
                    }
                }
                for what in difference.unknown {
                    if !unknown.contains(&what) {
                        unknown.push(what);
                    }
                }
                // Each state must add something; otherwise its bytes would have no purpose.
                let more = difference.permitted.len() > last.len() || sound.len() > before_it;
                if !more && refused.is_empty() && unknown.is_empty() {
                    refused.push(format!(
                        "bytes were added that no signature needs, up to byte {end}"
                    ));
                }
                last = difference.permitted;
            }
            Err(e) => return undetermined(e),
        }
    }
    if !refused.is_empty() {
        Changes::NotPermitted(refused)
    } else if !unknown.is_empty() {
        Changes::NotJudged(unknown)
    } else {
        Changes::Permitted(last)
    }
}

/// One signature with the end of its revision and its other form.
struct Judged {
    report: SignatureReport,
    end: Option<usize>,
    other_form: Option<OtherForm>,
    /// Where its string is.
    contents: Range<usize>,
}

fn certified(judged: &[Judged]) -> Answer {
    let certifying: Vec<usize> = judged
        .iter()
        .enumerate()
        .filter(|(_, j)| matches!(j.report.role, Role::Certification { .. }))
        .map(|(n, _)| n)
        .collect();
    match certifying[..] {
        [] if judged.is_empty() => Answer::no("it is not signed"),
        [] => Answer::no("no signature certifies it"),
        [0] => Answer::Yes,
        [_] => Answer::no("its certifying signature was not the first"),
        _ => Answer::no("more than one signature claims to certify it"),
    }
}

fn judge(file: &File<'_>, field: &Field, store: &Store, options: &VerifyOptions) -> Judged {
    let report = SignatureReport {
        field: shown(&text::decoded(&field.name)),
        role: Role::Approval,
        valid: Answer::not_determined(NOT_READ),
        certificate_bound: Answer::not_determined(NOT_READ),
        well_formed: Answer::not_determined(NOT_READ),
        strong: Answer::not_determined(NOT_READ),
        certificate_fit: Answer::not_determined(NOT_READ),
        certificate_in_time: Answer::not_determined(NOT_READ),
        coverage: Coverage::Broken {
            because: "the signature has no dictionary".to_owned(),
        },
        high_s: false,
        reason: None,
        signer: None,
        trust: Trust::NotAsked,
        signed: SigningTime {
            at: None,
            source: TimeSource::None,
        },
        stamp: None,
        stamp_valid: None,
        not_revoked: Answer::not_determined(NOT_READ),
    };
    let mut judged = Judged {
        report,
        end: None,
        other_form: None,
        contents: 0..0,
    };
    match covered(file, field) {
        Err(because) => judged.report.coverage = Coverage::Broken { because },
        Ok(covered) => {
            judged.end = Some(covered.end);
            judged.contents = covered.contents.span.clone();
            judge_covered(file, &covered, store, options, &mut judged);
        }
    }
    judged
}

const SOMETHING_ELSE: &str = "the signature's /ByteRange omits something other than the signature";

/// Whether these bytes are one string in hexadecimal digits.
fn is_hexadecimal_string(bytes: &[u8]) -> bool {
    bytes
        .strip_prefix(b"<")
        .and_then(|rest| rest.strip_suffix(b">"))
        .is_some_and(|digits| digits.iter().all(u8::is_ascii_hexdigit))
}

/// A signature whose range is correct: everything up to `end` except its own digits.
struct Covered {
    id: Id,
    dict: Dict,
    contents: PdfString,
    end: usize,
}

impl Covered {
    /// The signed bytes.
    fn pieces<'a>(&self, file: &File<'a>) -> [&'a [u8]; 2] {
        [
            &file.bytes[..self.contents.span.start],
            &file.bytes[self.contents.span.end..self.end],
        ]
    }
}

fn covered(file: &File<'_>, field: &Field) -> Result<Covered, String> {
    let id = field
        .dict
        .get(b"V")
        .and_then(Object::as_reference)
        .ok_or("the signature is not an object of its own")?;
    let Ok(Object::Dictionary(dict)) = file.object(id) else {
        return Err("the signature has no dictionary".to_owned());
    };
    let contents = match dict.get(b"Contents") {
        Some(Object::String(contents)) if contents.hex && !contents.span.is_empty() => {
            contents.clone()
        }
        _ => return Err("the signature's /Contents are missing or not in the file".to_owned()),
    };
    let range: Option<Vec<usize>> = dict.get(b"ByteRange").and_then(|o| {
        o.as_array()?
            .iter()
            .map(|n| n.as_integer().and_then(|n| usize::try_from(n).ok()))
            .collect()
    });
    let Some([start, open, close, rest]) = range.as_deref() else {
        return Err("the signature's /ByteRange is missing or not four numbers".to_owned());
    };
    if *start != 0 {
        return Err("the signature does not cover the beginning of the file".to_owned());
    }
    if contents.span != (*open..*close) {
        let gap = file.bytes.get(*open..*close);
        return Err(if gap.is_some_and(is_hexadecimal_string) {
            SOMETHING_ELSE.to_owned()
        } else {
            SAVED_AGAIN.to_owned()
        });
    }
    let end = close
        .checked_add(*rest)
        .filter(|end| *end <= file.bytes.len())
        .ok_or("the signature's /ByteRange runs past the end of the file")?;
    // The revision must be a complete file, with this signature at the same position.
    let revision = File::parse(&file.bytes[..end])
        .map_err(|e| format!("what was signed does not end where a PDF ends ({e})"))?;
    if revision.place(id.number) != file.place(id.number) {
        return Err("the signature was replaced after signing".to_owned());
    }
    let form = Form::read(&revision).map_err(|e| e.to_string())?;
    let there = form
        .fields
        .iter()
        .any(|f| f.id == field.id && f.dict.get(b"V").and_then(Object::as_reference) == Some(id));
    if !there {
        return Err("the signature was put into another field after signing".to_owned());
    }
    Ok(Covered {
        id,
        dict,
        contents,
        end,
    })
}

fn judge_covered(
    file: &File<'_>,
    covered: &Covered,
    store: &Store,
    options: &VerifyOptions,
    judged: &mut Judged,
) {
    let Judged {
        report, other_form, ..
    } = judged;
    let all = file.bytes.len();
    report.coverage = if covered.end == all {
        Coverage::WholeFile
    } else {
        Coverage::Revision {
            bytes: covered.end,
            added: all - covered.end,
        }
    };
    report.role = role(&file.bytes[..covered.end], covered);
    report.signed = signing_time(&covered.dict);
    report.reason = reason(&covered.dict);
    if report.role == Role::Approval && is_document_stamp(&covered.dict) {
        report.role = Role::DocumentStamp;
        judge_stamp(file, covered, options, report);
        return;
    }
    if let (Role::Approval, Some(kind)) = (report.role, foreign_kind(&covered.dict)) {
        report.valid =
            Answer::NotDetermined(format!("{ADDED_BY_OTHERS}: a signature of the kind {kind}"));
        return;
    }
    let signature = match signature_bytes(file, &covered.contents) {
        Ok(bytes) => bytes,
        Err(why) => {
            report.valid = Answer::No(format!("the signature is damaged: {why}"));
            return;
        }
    };
    let parsed = match cms_read::parse(signature) {
        Ok(parsed) => parsed,
        Err(CmsError::Bad(why)) => {
            report.valid = Answer::No(format!("the signature is damaged: {why}"));
            return;
        }
        Err(CmsError::Algorithm(why)) => {
            report.valid = Answer::NotDetermined(why.clone());
            report.strong = Answer::No(why);
            return;
        }
        Err(why @ CmsError::TooMany(_)) => {
            report.valid = Answer::No(format!("the signature was not checked: {why}"));
            return;
        }
    };
    let pieces = covered.pieces(file);
    let checked = parsed.signature_value();
    let ours = written_here(&file.bytes[..covered.contents.span.start]);
    report.valid = if ours && !parsed.written_as_here {
        Answer::no("the signature is damaged: it was rewritten after signing")
    } else if !parsed.digest_matches(&pieces) {
        Answer::no("the file was changed after it was signed")
    } else {
        match &checked {
            Checked::Valid => Answer::Yes,
            Checked::Invalid => Answer::no("the signature does not match the signer's key"),
            Checked::Unknown(what) => {
                Answer::NotDetermined(format!("this program does not know {what}"))
            }
            Checked::Weak(what) => Answer::NotDetermined(format!("it uses {what}")),
        }
    };
    report.strong = match checked {
        Checked::Valid | Checked::Invalid => Answer::Yes,
        Checked::Unknown(what) => {
            Answer::NotDetermined(format!("this program does not know {what}"))
        }
        Checked::Weak(what) => Answer::No(format!("the signature uses {what}")),
    };
    if let Some(forms) = parsed.two_forms() {
        report.high_s = forms.high;
        let digits = covered.contents.span.start + 1..covered.contents.span.end - 1;
        *other_form = cms_read::with_signature(signature, &forms.other)
            .and_then(|message| OtherForm::new(file.bytes, digits, &message, forms.high));
    }
    report.certificate_fit = match path::for_documents(&parsed.certificate) {
        Ok(()) => Answer::Yes,
        Err(why) => Answer::No(why),
    };
    report.certificate_bound = match parsed.certificate_matches() {
        Some(true) => Answer::Yes,
        Some(false) => Answer::no("the signer's certificate was replaced after signing"),
        None => Answer::not_determined("the signature does not name its certificate"),
    };
    report.well_formed = well_formed(&covered.dict, &parsed);
    let tbs = parsed.certificate.tbs_certificate();
    let person = person_of(tbs.subject());
    let mut signer = Signer {
        name: person.name,
        firm: person.firm,
        licence: person.licence,
        fingerprint: Fingerprint::of(&parsed.certificate_der),
        issuer: shown(&tbs.issuer().to_string()),
        issuer_checked: false,
        self_signed: path::signs_itself(&parsed.certificate),
        valid_from: moment(tbs.validity().not_before),
        valid_until: moment(tbs.validity().not_after),
        algorithm: format!(
            "{} with {}",
            key::describe(tbs.subject_public_key_info())
                .unwrap_or_else(|| "unknown key".to_owned()),
            parsed.hash.name()
        ),
    };
    if let Some(token) = &parsed.token {
        match timestamp::check(token, &[&parsed.signature], &options.anchors) {
            Ok((stamp, _)) => {
                report.stamp_valid = Some(stamp.valid.clone());
                report.stamp = Some(stamp);
            }
            Err(why) => report.stamp_valid = Some(Answer::No(why)),
        }
    }
    // The time in a trusted time-stamp takes precedence over the signer's clock.
    let stamped = report
        .stamp
        .as_ref()
        .filter(|stamp| stamp.valid.is_yes() && stamp.trusted.is_yes())
        .map(|stamp| stamp.at.fixed_offset());
    report.certificate_in_time = match stamped.or(report.signed.at) {
        None => Answer::not_determined("no time of signing is given"),
        Some(at) if at < signer.valid_from => {
            Answer::no("the signer's certificate was not valid yet at the time given")
        }
        Some(at) if at > signer.valid_until => {
            Answer::no("the signer's certificate had expired at the time given")
        }
        Some(_) => Answer::Yes,
    };
    let at = stamped
        .or(report.signed.at)
        .map_or(signer.valid_from, |at| at.to_utc());
    if report.certificate_fit.is_yes()
        && let Err(why) = path::sound(&parsed.certificate, &parsed.others, at)
    {
        report.certificate_fit = Answer::No(why);
    }
    let issuers: Vec<Vec<u8>> = [&parsed.others, &options.anchors, &store.certificates]
        .into_iter()
        .flatten()
        .cloned()
        .collect();
    report.not_revoked = revocation::revocation(
        &parsed.certificate,
        signer.self_signed,
        &issuers,
        &store.lists,
        at,
    );
    let certifies = matches!(report.role, Role::Certification { .. });
    report.trust = trust(&parsed, &signer, at, certifies, options);
    if let Some(key) = options.withdrawn_key(&signer.fingerprint) {
        let stamped = stamped.map(|at| at.to_utc().date_naive());
        if stamped.is_none_or(|day| day >= key.on) {
            if stamped.unwrap_or(at.date_naive()) >= key.on {
                report.not_revoked =
                    Answer::No(format!("{}, and the seal came after that", key.said()));
            }
            report.trust = Trust::Withdrawn {
                on: key.on,
                because: key.because.clone(),
            };
        }
    }
    // A key without a name can be recognised only by its fingerprint, so no other key could ever be
    // refused.
    if signer.name.is_empty()
        && report.certificate_fit.is_yes()
        && !matches!(report.trust, Trust::Pinned | Trust::Anchored { .. })
    {
        report.certificate_fit = Answer::no(NOBODY);
    }
    // If the anchor is the signer's own certificate, nothing is known about its issuer.
    signer.issuer_checked = matches!(report.trust, Trust::Anchored { .. })
        && !options.anchors.contains(&parsed.certificate_der);
    report.signer = Some(signer);
}

/// Judges an authority's time-stamp of the whole file. Its digest is that of the signed bytes. The
/// questions about a signer do not apply.
fn judge_stamp(
    file: &File<'_>,
    covered: &Covered,
    options: &VerifyOptions,
    report: &mut SignatureReport,
) {
    report.signed = SigningTime {
        at: None,
        source: TimeSource::None,
    };
    report.reason = None;
    let stamped = signature_bytes(file, &covered.contents)
        .map_err(|why| format!("the time-stamp is damaged: {why}"))
        .and_then(|token| timestamp::check(token, &covered.pieces(file), &options.anchors));
    let valid = match stamped {
        Ok((stamp, _)) => {
            let valid = stamp.valid.clone();
            report.stamp = Some(stamp);
            valid
        }
        Err(why) => Answer::No(why),
    };
    report.valid = valid.clone();
    report.stamp_valid = Some(valid);
    for question in [
        &mut report.certificate_bound,
        &mut report.well_formed,
        &mut report.strong,
        &mut report.certificate_fit,
        &mut report.certificate_in_time,
    ] {
        // Part of the answer about the time-stamp itself.
        *question = Answer::Yes;
    }
    report.not_revoked = Answer::not_determined("not applicable to a time-stamp");
}

/// The reason given for a certificate without a name.
const NOBODY: &str = "the signer's certificate names neither a person nor a firm, so it counts only if \
    you name this key with --pin, or trust it or its issuer with --trust";

fn trust(
    parsed: &cms_read::Parsed,
    signer: &Signer,
    at: DateTime<Utc>,
    certifies: bool,
    options: &VerifyOptions,
) -> Trust {
    if options.pins.contains(&signer.fingerprint) {
        return Trust::Pinned;
    }
    let mut because = "it was signed with another key than the one you gave".to_owned();
    if !options.anchors.is_empty() {
        let leaf = &parsed.certificate_der;
        match path::find(
            leaf,
            &parsed.others,
            &options.anchors,
            at,
            path::Use::Documents,
        ) {
            Ok(over) => return Trust::Anchored { over },
            Err(why) => because = why,
        }
    }
    let pinned = |print: &Fingerprint| options.pins.contains(print);
    if let Some(earlier) = path::vouched(parsed, pinned) {
        return Trust::Succeeds {
            earlier,
            accepted: true,
        };
    }
    // A countersigner need not be the one that the reader asked for.
    if certifies && !(options.pins.is_empty() && options.anchors.is_empty()) {
        return Trust::Refused { because };
    }
    let Some(known) = &options.known else {
        return Trust::NotAsked;
    };
    if let Some(met) = known.with_key(&signer.fingerprint) {
        return Trust::Known {
            since: met.since,
            accepted: known.accepts(&signer.fingerprint),
        };
    }
    if let Some(earlier) = path::vouched(parsed, |print| known.with_key(print).is_some()) {
        return Trust::Succeeds {
            earlier,
            // The finder of a lost key could let it vouch for another key.
            accepted: known.accepts(&earlier) && options.withdrawn_key(&earlier).is_none(),
        };
    }
    match known.named(&signer.person()) {
        Some(met) => Trust::OtherKey {
            known: met.fingerprint,
            since: met.since,
        },
        None if certifies => Trust::FirstUse,
        None => Trust::NotStored,
    }
}

/// The bytes of the signature: an even number of hexadecimal digits in one case, without spaces,
/// that are one DER value followed by zeros. Anything else could contain bytes that nobody signed.
/// Other programs use either case; capital letters in a signature of this program show that it was
/// overwritten.
fn signature_bytes<'s>(file: &File<'_>, contents: &'s PdfString) -> Result<&'s [u8], &'static str> {
    let span = contents.span.clone();
    let digits = file
        .bytes
        .get(span.start + 1..span.end - 1)
        .ok_or("it is cut off")?;
    if digits.len() > 2 * MAX_SIGNATURE_BYTES {
        return Err("it is larger than any signature");
    }
    if !digits.len().is_multiple_of(2) || !digits.iter().all(u8::is_ascii_hexdigit) {
        return Err("its digits are not pairs of hexadecimal digits");
    }
    let upper = digits.iter().any(u8::is_ascii_uppercase);
    let lower = digits.iter().any(u8::is_ascii_lowercase);
    let ours = file.bytes.get(..span.start).is_some_and(written_here);
    if upper && (lower || ours) {
        return Err("its digits were rewritten");
    }
    let length = strict_der::value_length(&contents.bytes)?;
    let (value, padding) = contents.bytes.split_at(length);
    if padding.iter().any(|&b| b != 0) {
        return Err("other bytes follow it");
    }
    Ok(value)
}

fn well_formed(dict: &Dict, parsed: &cms_read::Parsed) -> Answer {
    if !dict.is_name(b"SubFilter", b"ETSI.CAdES.detached") {
        return Answer::no("the signature is not of the kind ETSI.CAdES.detached");
    }
    if !dict.is_name(b"Type", b"Sig") {
        return Answer::no("the signature's dictionary is of another type");
    }
    if parsed.has_signing_time {
        return Answer::no("the signature has a second time, which EN 319 142-1 forbids");
    }
    let token = parsed.token.as_deref();
    let stamped_by =
        token.and_then(|token| cms_read::parse_content(token, Content::TimeStamp).ok());
    let stamped_by = stamped_by.as_ref().map(|token| &token.certificate);
    if let Err(why) = path::belong_together(&parsed.certificate, &parsed.others, stamped_by) {
        return why;
    }
    Answer::Yes
}

/// The purpose of the signature, according to its own revision.
fn role(revision: &[u8], covered: &Covered) -> Role {
    let permission = || -> Option<Allowed> {
        let file = File::parse(revision).ok()?;
        let (_, catalog) = file.catalog().ok()?;
        let Ok(Object::Dictionary(perms)) = file.value(&catalog, b"Perms") else {
            return None;
        };
        if perms.get(b"DocMDP").and_then(Object::as_reference) != Some(covered.id) {
            return None;
        }
        let Ok(Object::Array(references)) = file.value(&covered.dict, b"Reference") else {
            return None;
        };
        let reference = references.iter().find_map(|r| match file.resolve(r) {
            Ok(Object::Dictionary(d)) if d.is_name(b"TransformMethod", b"DocMDP") => Some(d),
            _ => None,
        })?;
        let Ok(Object::Dictionary(parameters)) = file.value(&reference, b"TransformParams") else {
            return None;
        };
        match parameters.integer(b"P").unwrap_or(2) {
            1 => Some(Allowed::Nothing),
            2 => Some(Allowed::FormsAndSignatures),
            3 => Some(Allowed::FormsSignaturesAndComments),
            _ => None,
        }
    };
    permission().map_or(Role::Approval, |allows| Role::Certification { allows })
}

/// The signer's own words, without characters that change how text is displayed.
fn reason(dict: &Dict) -> Option<String> {
    let words = text::decoded(&dict.get(b"Reason")?.as_string()?.bytes);
    let words = printable(&words, MAX_CHARACTERS);
    (!words.is_empty()).then_some(words)
}

fn signing_time(dict: &Dict) -> SigningTime {
    let at = dict
        .get(b"M")
        .and_then(Object::as_string)
        .and_then(|s| parse_date(&s.bytes));
    SigningTime {
        at,
        source: if at.is_some() {
            TimeSource::SignersWord
        } else {
            TimeSource::None
        },
    }
}
