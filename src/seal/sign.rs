//! Adding a signature to a finished PDF.
//!
//! The typeset file itself is not changed. An incremental update (ISO 32000-1, 7.5.6) sets the value
//! of its empty signature field: a signature dictionary whose `/ByteRange` covers everything except
//! the signature's own hexadecimal digits. For a certificate it also adds `/Perms` and DocMDP, which
//! allow only filling forms and signing afterwards.
//!
//! A countersignature is the same without those two, in its own revision, and so is a time-stamp of the
//! whole file.
//!
//! The field's appearance on the page comes from typesetting. A file without the field gets an
//! invisible one.

use chrono::{DateTime, FixedOffset, Utc};
use sha2::{Digest, Sha256};

use super::cms;
use super::error::SealError;
use super::field_names::{COUNTERSIGNED, SEAL_FIELD, STAMP_FIELD};
use super::file_identifiers::identifiers;
use super::identity::Identity;
use super::key::Hash;
use super::report::{Allowed, Report, Role, SignatureReport};
use super::sealed::Sealed;
use super::signature_dictionary::{
    BEFORE_DIGITS, MAX_CHARACTERS, OPENING, STAMP_OPENING, range_width,
};
use super::signature_fields::Form;
use super::timestamp::{self, Authority};
use super::verify::{VerifyOptions, verify};
use crate::pdf::spelling::Spelling;
use crate::pdf::update::Update;
use crate::pdf::{Dict, File, Id, Object, text};

/// Space for signatures is reserved in multiples of this number of bytes.
const STEP: usize = 256;

/// Contents of a signature besides the file and the key.
#[derive(Debug, Clone)]
pub struct SignOptions {
    /// The signing time claimed by the signer.
    pub signed_at: DateTime<FixedOffset>,
    /// The signature field to use; an empty one of this name, or a new invisible one.
    pub field: String,
    /// The signer's name as printed; `None` for the name in the certificate.
    pub name: Option<String>,
    /// Why it was signed.
    pub reason: Option<String>,
    /// Where it was signed.
    pub location: Option<String>,
    /// Bytes to reserve for the signature; `None` for what this identity needs.
    pub reserve: Option<usize>,
}

impl SignOptions {
    /// The options of a certificate signed at this time.
    pub fn at(signed_at: DateTime<FixedOffset>) -> Self {
        Self {
            signed_at,
            field: SEAL_FIELD.to_owned(),
            name: None,
            reason: None,
            location: None,
            reserve: None,
        }
    }

    /// The same, with the name in the identity.
    pub fn of(identity: &Identity, signed_at: DateTime<FixedOffset>) -> Self {
        Self {
            name: Some(identity.subject().name),
            ..Self::at(signed_at)
        }
    }
}

/// The role of a countersigner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// The client has received it.
    Client,
    /// The landlord has received it.
    Landlord,
    /// A second professional has reviewed it.
    Reviewer,
}

impl Hand {
    /// The name of this role's signature field.
    pub const fn field(self) -> &'static str {
        let [client, landlord, reviewer] = COUNTERSIGNED;
        match self {
            Self::Client => client,
            Self::Landlord => landlord,
            Self::Reviewer => reviewer,
        }
    }

    /// The default reason for this role.
    pub const fn reason(self) -> &'static str {
        match self {
            Self::Client | Self::Landlord => "Received",
            Self::Reviewer => "Reviewed",
        }
    }
}

/// Certifies a PDF that has no signature yet.
///
/// # Errors
/// The identity is not valid at that time, the PDF can't be read or is signed already, or the
/// signature does not fit into the space reserved for it.
pub fn sign(
    unsigned: &[u8],
    identity: &Identity,
    options: &SignOptions,
) -> Result<Sealed, SealError> {
    sign_stamped(unsigned, identity, options, None)
}

/// Like [`sign`], with a time-stamp from an authority (baseline B-T of EN 319 142-1).
///
/// # Errors
/// As [`sign`], and [`SealError::TimeStamp`] if none can be obtained.
pub fn sign_stamped(
    unsigned: &[u8],
    identity: &Identity,
    options: &SignOptions,
    authority: Option<&Authority<'_>>,
) -> Result<Sealed, SealError> {
    let (signature, checked) = certification(unsigned, identity, options, authority)?;
    Ok(Sealed::new([unsigned, &signature].concat(), checked))
}

/// Like [`sign_stamped`], but moves the bytes instead of copying them, which matters for files with
/// photos. On failure, they are left in place.
///
/// # Errors
/// As [`sign_stamped`].
pub fn sign_taking(
    unsigned: &mut Vec<u8>,
    identity: &Identity,
    options: &SignOptions,
    authority: Option<&Authority<'_>>,
) -> Result<Sealed, SealError> {
    let (signature, checked) = certification(unsigned, identity, options, authority)?;
    unsigned.extend_from_slice(&signature);
    Ok(Sealed::new(std::mem::take(unsigned), checked))
}

/// The revision that certifies a file, to be appended to it, and its signature as it was verified if
/// there is a time-stamp.
fn certification(
    unsigned: &[u8],
    identity: &Identity,
    options: &SignOptions,
    authority: Option<&Authority<'_>>,
) -> Result<(Vec<u8>, Vec<SignatureReport>), SealError> {
    identity.require_fit(options.signed_at.with_timezone(&Utc))?;
    let file = File::parse(unsigned)?;
    let (_, catalog) = file.catalog()?;
    if catalog.get(b"Perms").is_some() {
        return Err(SealError::Unfit("it is certified already".to_owned()));
    }
    let form = Form::read(&file)?;
    if form.fields.iter().any(|f| f.is_signature && f.signed) {
        return Err(SealError::Unfit(
            "it is signed already, and a certifying signature must be the first".to_owned(),
        ));
    }
    put_signature(&file, &form, identity, options, authority, Purpose::Certify)
}

/// Adds an approval signature to an unchanged certificate, which its seal permits. Uses the field of
/// that name if it exists and is empty; otherwise adds an invisible one, numbered if the name is
/// taken.
///
/// # Errors
/// As [`sign`], and [`SealError::Unfit`] when the certificate was changed in a way that its seal does not permit.
pub fn countersign(
    certificate: &[u8],
    identity: &Identity,
    hand: Hand,
    options: &SignOptions,
) -> Result<Sealed, SealError> {
    countersign_stamped(certificate, identity, hand, options, None)
}

/// Like [`countersign`], with a time-stamp from an authority.
///
/// # Errors
/// As [`countersign`], and [`SealError::TimeStamp`] if none can be obtained.
pub fn countersign_stamped(
    certificate: &[u8],
    identity: &Identity,
    hand: Hand,
    options: &SignOptions,
    authority: Option<&Authority<'_>>,
) -> Result<Sealed, SealError> {
    identity.require_fit(options.signed_at.with_timezone(&Utc))?;
    require_open(&verify(certificate, &VerifyOptions::default()))?;
    let file = File::parse(certificate)?;
    let form = Form::read(&file)?;
    let mut options = options.clone();
    options.field = free_field(&form, hand.field());
    if options.reason.is_none() {
        options.reason = Some(hand.reason().to_owned());
    }
    for (what, text) in [
        ("name", &options.name),
        ("reason", &options.reason),
        ("location", &options.location),
    ] {
        if text
            .as_ref()
            .is_some_and(|text| text.chars().count() > MAX_CHARACTERS)
        {
            return Err(SealError::Unfit(format!(
                "the {what} of the countersignature has more than {MAX_CHARACTERS} characters"
            )));
        }
    }
    let (signature, checked) = put_signature(
        &file,
        &form,
        identity,
        &options,
        authority,
        Purpose::Approve,
    )?;
    Ok(Sealed::new([certificate, &signature].concat(), checked))
}

/// Adds a time-stamp of the whole file (ISO 32000-2, 12.8.5; ETSI EN 319 142-1, 5.4.3) to an unchanged
/// certificate, which its seal permits. It shows that the file, with its signatures, existed at that
/// time, whenever the certificate was signed.
///
/// # Errors
/// [`SealError::Unfit`] when the certificate was changed, or its seal permits no addition;
/// [`SealError::TimeStamp`] when none can be obtained.
pub fn stamp(certificate: &[u8], authority: &Authority<'_>) -> Result<Sealed, SealError> {
    let report = verify(certificate, &VerifyOptions::default());
    stamp_verified(certificate, &report, authority)
}

/// Like [`stamp`], for a certificate on which there is a report already.
pub(crate) fn stamp_verified(
    certificate: &[u8],
    report: &Report<'_>,
    authority: &Authority<'_>,
) -> Result<Sealed, SealError> {
    require_open(report)?;
    let file = File::parse(certificate)?;
    let form = Form::read(&file)?;
    let field = free_field(&form, STAMP_FIELD);
    let reserve = timestamp::ROOM.next_multiple_of(STEP);
    let mut update = Update::new(&file, 4096 + 2 * reserve, Purpose::Stamp.spelling());
    let id = update.reserve();
    let mut body = Vec::with_capacity(1024 + 2 * reserve);
    let gaps = write_gaps(&mut body, STAMP_OPENING, reserve);
    body.extend_from_slice(b">>");
    let start = update.add_source(id, &body);
    write_form(&mut update, &file, &form, &field, id, Purpose::Stamp)?;
    let identifiers = identifiers(&file);
    let revision = update.finish([&identifiers[0], &identifiers[1]]);
    let revision = fill(
        file.bytes,
        revision,
        &gaps.after(start),
        reserve,
        |signed| authority.stamp(Hash::Sha256, signed),
    )?;
    let stamped = [certificate, &revision].concat();
    let checked = require_valid(&stamped)?;
    Ok(Sealed::new(stamped, checked))
}

/// Verifies the signature that was just made with an authority's reply. The reply may be of a kind
/// that `verify` refuses, and this must not be discovered only by the receiver of the certificate.
fn require_valid(signed: &[u8]) -> Result<Vec<SignatureReport>, SealError> {
    let report = verify(signed, &VerifyOptions::default());
    if report.signatures.iter().all(SignatureReport::holds) {
        return Ok(report.signatures);
    }
    Err(SealError::TimeStamp(format!(
        "the signature would not be valid with the authority's reply in it: {}",
        report.objections().join("; ")
    )))
}

/// Refuses a certificate that was changed, or whose seal permits no addition.
fn require_open(report: &Report<'_>) -> Result<(), SealError> {
    if !report.unchanged() {
        return Err(SealError::Unfit(report.objections().join("; ")));
    }
    if matches!(
        report.certification().map(|s| s.role),
        Some(Role::Certification {
            allows: Allowed::Nothing
        })
    ) {
        return Err(SealError::Unfit("its seal permits no signature".to_owned()));
    }
    Ok(())
}

/// The first name of a signature field that can still be signed: `name`, or `name` with a number.
fn free_field(form: &Form, name: &str) -> String {
    let taken = |name: &str| {
        let name = text::encoded(name);
        form.fields
            .iter()
            .any(|f| f.name == name && (f.signed || !f.is_signature))
    };
    let mut free = name.to_owned();
    let mut number = 2;
    while taken(&free) {
        free = format!("{name} {number}");
        number += 1;
    }
    free
}

/// The purpose of a signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Purpose {
    Certify,
    Approve,
    Stamp,
}

impl Purpose {
    const fn spelling(self) -> Spelling {
        match self {
            Self::Certify => Spelling::Spaced,
            // No permitted addition may be mistaken for a part of the file's structure.
            Self::Approve | Self::Stamp => Spelling::Digits,
        }
    }
}

/// The revision with a signature, to be appended to the file, and all signatures as they were verified
/// if there is a time-stamp.
fn put_signature(
    file: &File<'_>,
    form: &Form,
    identity: &Identity,
    options: &SignOptions,
    authority: Option<&Authority<'_>>,
    purpose: Purpose,
) -> Result<(Vec<u8>, Vec<SignatureReport>), SealError> {
    let stamp = authority.map_or(0, |_| timestamp::ROOM);
    let reserve = options
        .reserve
        .unwrap_or_else(|| (cms::room(identity) + stamp).next_multiple_of(STEP));
    let mut update = Update::new(file, 4096 + 2 * reserve, purpose.spelling());
    let signature = update.reserve();
    let gaps = write_signature(&mut update, signature, identity, options, reserve, purpose);
    write_form(&mut update, file, form, &options.field, signature, purpose)?;
    let id = file_identifiers(file, identity, options);
    let revision = update.finish([&id[0], &id[1]]);
    let revision = fill(file.bytes, revision, &gaps, reserve, |signed| {
        cms::sign(identity, signed, authority)
    })?;
    let checked = match authority {
        Some(_) => require_valid(&[file.bytes, &revision].concat())?,
        None => Vec::new(),
    };
    Ok((revision, checked))
}

/// Positions of the two gaps of a signature dictionary in its revision.
struct Gaps {
    byte_range: usize,
    contents: usize,
}

impl Gaps {
    /// The same positions in the file that contains the revision from this position on.
    const fn after(&self, start: usize) -> Self {
        Self {
            byte_range: start + self.byte_range,
            contents: start + self.contents,
        }
    }
}

/// Writes the beginning of a signature dictionary, with space for a signature of this many bytes.
fn write_gaps(body: &mut Vec<u8>, opening: &[u8], reserve: usize) -> Gaps {
    body.extend_from_slice(opening);
    let byte_range = body.len();
    body.resize(body.len() + range_width(), b' ');
    body.extend_from_slice(BEFORE_DIGITS);
    let contents = body.len();
    body.push(b'<');
    body.resize(body.len() + 2 * reserve, b'0');
    body.push(b'>');
    Gaps {
        byte_range,
        contents,
    }
}

fn write_signature(
    update: &mut Update<'_, '_>,
    id: Id,
    identity: &Identity,
    options: &SignOptions,
    reserve: usize,
    purpose: Purpose,
) -> Gaps {
    let mut body = Vec::with_capacity(1024 + 2 * reserve);
    let gaps = write_gaps(&mut body, OPENING, reserve);
    let subject = identity.subject();
    let name = options.name.as_deref().unwrap_or(&subject.name);
    let mut entry = |key: &str, value: &[u8]| {
        body.extend_from_slice(key.as_bytes());
        body.push(b' ');
        Object::literal(value).spell(&mut body, purpose.spelling());
    };
    entry("/M", text::date(options.signed_at).as_bytes());
    entry("/Name", &text::encoded(name));
    if let Some(reason) = &options.reason {
        entry("/Reason", &text::encoded(reason));
    }
    if let Some(location) = &options.location {
        entry("/Location", &text::encoded(location));
    }
    if purpose == Purpose::Certify {
        body.extend_from_slice(
            b"/Reference [<</Type /SigRef/TransformMethod /DocMDP\
              /TransformParams <</Type /TransformParams/P 2/V /1.2>>>>]",
        );
    }
    body.extend_from_slice(b">>");
    gaps.after(update.add_source(id, &body))
}

fn fill(
    before: &[u8],
    mut revision: Vec<u8>,
    gaps: &Gaps,
    reserve: usize,
    sign: impl FnOnce(&[&[u8]]) -> Result<Vec<u8>, SealError>,
) -> Result<Vec<u8>, SealError> {
    let open = gaps.contents;
    let close = open + 2 * reserve + 2;
    let range = format!(
        "[0 {} {} {}]",
        before.len() + open,
        before.len() + close,
        revision.len() - close
    );
    let width = range_width();
    let place = &mut revision[gaps.byte_range..gaps.byte_range + width];
    place[..range.len()].copy_from_slice(range.as_bytes());
    let signed = [before, &revision[..open], &revision[close..]];
    let signature = sign(&signed)?;
    if signature.len() > reserve {
        return Err(SealError::TooLarge {
            needed: signature.len(),
            reserved: reserve,
        });
    }
    // Lower case; `verify` accepts nothing else from a signature of this program.
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digits = signature
        .iter()
        .flat_map(|b| [DIGITS[usize::from(b >> 4)], DIGITS[usize::from(b & 15)]]);
    for (place, digit) in revision[open + 1..close - 1].iter_mut().zip(digits) {
        *place = digit;
    }
    Ok(revision)
}

fn write_form(
    update: &mut Update<'_, '_>,
    file: &File<'_>,
    form: &Form,
    field_name: &str,
    signature: Id,
    purpose: Purpose,
) -> Result<(), SealError> {
    let (catalog_id, before) = file.catalog()?;
    let mut catalog = before.clone();
    let mut form_dict = form.dict.clone();
    let wanted = text::encoded(field_name);
    let empty = form
        .fields
        .iter()
        .find(|f| f.is_signature && !f.signed && f.name == wanted);
    match empty {
        Some(field) => {
            let mut dict = field.dict.clone();
            dict.set("V", signature);
            update.add(field.id, dict);
        }
        None if form.fields.iter().any(|f| f.name == wanted) => {
            return Err(SealError::Unfit(format!(
                "its field {field_name} is not an empty signature field"
            )));
        }
        None => {
            let field = add_field(update, &wanted, signature);
            let mut fields = match file.value(&form_dict, b"Fields")? {
                Object::Array(fields) => fields,
                _ => Vec::new(),
            };
            fields.push(Object::Reference(field));
            form_dict.set("Fields", fields);
        }
    }
    // Bit 1: signatures exist; bit 2: append only (ISO 32000-1, table 219).
    form_dict.set("SigFlags", 3);
    if form_dict != form.dict {
        match form.id {
            Some(id) => update.add(id, form_dict),
            None => catalog.set("AcroForm", form_dict),
        }
    }
    if purpose == Purpose::Certify {
        let mut perms = Dict::default();
        perms.set("DocMDP", signature);
        catalog.set("Perms", perms);
    }
    if catalog != before {
        update.add(catalog_id, catalog);
    }
    Ok(())
}

/// A field without a place on any page, for a file whose field is missing or signed already. A widget
/// would have to be within a Form element of the structure (ISO 14289-1, 7.18.4), which nobody may add
/// after the seal.
fn add_field(update: &mut Update<'_, '_>, name: &[u8], signature: Id) -> Id {
    let field_id = update.reserve();
    let mut field = Dict::default();
    field.set("FT", "Sig");
    field.set("T", Object::literal(name));
    // The name that is read out (ISO 14289-1, 7.18.1).
    field.set("TU", Object::literal(name));
    field.set("V", signature);
    update.add(field_id, field);
    field_id
}

/// The first identifier never changes; the second is derived from what is signed, by whom and when,
/// so that the same inputs give the same bytes (ISO 32000-1, 14.4). Existing identifiers are used;
/// only a file without any is hashed, because that costs as much as the digest of the signature.
fn file_identifiers(file: &File<'_>, identity: &Identity, options: &SignOptions) -> [Vec<u8>; 2] {
    let mut known = identifiers(file).to_vec();
    known.retain(|bytes| !bytes.is_empty());
    let mut hash = Sha256::new();
    if known.is_empty() {
        hash.update(file.bytes);
    }
    for bytes in &known {
        hash.update(bytes);
    }
    hash.update((file.bytes.len() as u64).to_be_bytes());
    hash.update(identity.fingerprint().bytes());
    hash.update(text::date(options.signed_at));
    let digest = hash.finalize();
    [
        known
            .into_iter()
            .next()
            .unwrap_or_else(|| digest[16..].to_vec()),
        digest[..16].to_vec(),
    ]
}
