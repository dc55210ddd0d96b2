//! The signature dictionary (ISO 32000-1, 12.8.1): how this program spells it, and which kinds there are.

use crate::pdf::Dict;

/// Maximum length of a field's name and of the texts in a signature dictionary, in characters.
pub(crate) const MAX_CHARACTERS: usize = 500;

/// The kind of signature that this program makes and checks.
pub(crate) const OWN_KIND: &[u8] = b"ETSI.CAdES.detached";

/// The kind of a time-stamp of the whole file (ISO 32000-2, 12.8.5; ETSI EN 319 142-1, 5.4.3).
pub(crate) const STAMP_KIND: &[u8] = b"ETSI.RFC3161";

/// Whether it is a time-stamp of the whole file.
pub(crate) fn is_document_stamp(dict: &Dict) -> bool {
    dict.is_name(b"SubFilter", STAMP_KIND) && dict.is_name(b"Type", b"DocTimeStamp")
}

/// The kind of a signature as other programs make them, if it is one of those (ISO 32000-1, table 257;
/// ETSI EN 319 142-1, 5.4.3).
pub(crate) fn foreign_kind(dict: &Dict) -> Option<&'static str> {
    const KINDS: [&str; 4] = [
        "adbe.pkcs7.detached",
        "adbe.pkcs7.sha1",
        "adbe.x509.rsa_sha1",
        "ETSI.RFC3161",
    ];
    if is_document_stamp(dict) {
        return None;
    }
    let kind = dict.name(b"SubFilter")?;
    KINDS.into_iter().find(|known| known.as_bytes() == kind)
}

/// Digits reserved for each number of `/ByteRange`; the limit of 128 MiB has nine digits.
pub(crate) const RANGE_DIGITS: usize = 10;

/// Beginning of a signature dictionary, up to the numbers of its `/ByteRange`.
pub(crate) const OPENING: &[u8] =
    b"<</Type /Sig/Filter /Adobe.PPKLite/SubFilter /ETSI.CAdES.detached/ByteRange ";

/// The same for a time-stamp of the whole file.
pub(crate) const STAMP_OPENING: &[u8] =
    b"<</Type /DocTimeStamp/Filter /Adobe.PPKLite/SubFilter /ETSI.RFC3161/ByteRange ";

/// Text between those numbers and the signature's digits.
pub(crate) const BEFORE_DIGITS: &[u8] = b"/Contents ";

/// `[0 a b c]` with ten digits each, then spaces.
pub(crate) const fn range_width() -> usize {
    "[0 ".len() + 3 * RANGE_DIGITS + "  ]".len()
}

/// Whether a signature was written by this program, judged by the bytes before its digits. The
/// signature covers them, so that it cannot be made to look like another program's.
pub(crate) fn written_here(before_digits: &[u8]) -> bool {
    before_digits
        .strip_suffix(BEFORE_DIGITS)
        .and_then(|head| head.get(..head.len().checked_sub(range_width())?))
        .is_some_and(|head| head.ends_with(OPENING) || head.ends_with(STAMP_OPENING))
}
