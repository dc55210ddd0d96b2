//! Checks of validation data that anybody may have added: certificates, lists, responses, time-stamps.

use der::asn1::{ObjectIdentifier, OctetString};
use der::{Any, Decode, Tag, Tagged};
use x509_cert::certificate::Certificate;
use x509_cert::crl::CertificateList;

use super::cms_read::{self, CmsError, Content};
use super::known_der;
use super::strict_der;

/// Size limit of a certificate, response or time-stamp, in bytes.
const MAX_PIECE_BYTES: usize = 1 << 16;

/// A BasicOCSPResponse (RFC 6960, 4.2.1).
const BASIC_RESPONSE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.48.1.1");

/// The kinds of validation data.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Evidence {
    Certificate,
    List,
    Response,
    Stamp,
}

impl Evidence {
    /// Its name in messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Certificate => "certificate",
            Self::List => "list of revoked certificates",
            Self::Response => "answer about a certificate (OCSP)",
            Self::Stamp => "time-stamp",
        }
    }
}

/// The result of checking a piece of validation data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Piece {
    /// This program knows all parts of it.
    Known,
    /// It is of its kind, but has a part that this program does not know.
    Unknown(String),
}

/// Checks that bytes are exactly one piece of this kind. Its signature is not checked here.
///
/// # Errors
/// Why the bytes are not such a piece.
pub(crate) fn judge(kind: Evidence, der: &[u8]) -> Result<Piece, String> {
    let length = match kind {
        Evidence::List => strict_der::list_length(der),
        _ if der.len() > MAX_PIECE_BYTES => Err("it is larger than any"),
        _ => strict_der::value_length(der),
    };
    if length? != der.len() {
        return Err("something follows it".to_owned());
    }
    let other = || "it is built differently".to_owned();
    let unknown = match kind {
        Evidence::Certificate => {
            let certificate = Certificate::from_der(der).map_err(|_| other())?;
            known_der::unknown_in_certificate(&certificate)
        }
        Evidence::List => {
            let list = CertificateList::from_der(der).map_err(|_| other())?;
            known_der::unknown_in_list(&list)
        }
        Evidence::Response => {
            let basic = basic_response(der).ok_or_else(other)?;
            known_der::unknown_in_response(basic.as_bytes())
        }
        Evidence::Stamp => match cms_read::parse_content(der, Content::TimeStamp) {
            Ok(_) | Err(CmsError::Algorithm(_)) => None,
            Err(CmsError::Bad(why)) => return Err(why),
            Err(why @ CmsError::TooMany(_)) => return Err(why.to_string()),
        },
    };
    Ok(unknown.map_or(Piece::Known, Piece::Unknown))
}

/// The BasicOCSPResponse in a successful OCSPResponse (RFC 6960, 4.2.1).
fn basic_response(der: &[u8]) -> Option<OctetString> {
    let parts = |der: &[u8]| Vec::<Any>::from_der(der).unwrap_or_default();
    let outer = parts(der);
    let [status, bytes] = outer.as_slice() else {
        return None;
    };
    // 0: successful. Other responses contain nothing about a certificate.
    if status.tag() != Tag::Enumerated || status.value() != [0] {
        return None;
    }
    if !matches!(bytes.tag(), Tag::ContextSpecific { constructed: true, number } if number.value() == 0)
    {
        return None;
    }
    let inner = parts(bytes.value());
    let [kind, response] = inner.as_slice() else {
        return None;
    };
    let response: OctetString = response.decode_as().ok()?;
    let whole = strict_der::value_length(response.as_bytes()) == Ok(response.as_bytes().len());
    (whole && kind.decode_as() == Ok(BASIC_RESPONSE)).then_some(response)
}
