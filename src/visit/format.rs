//! The format of the visit file, and of the record inside a certificate.

use super::limits;
use crate::yaml::Form;

/// The format of the visit file, and of the record inside a certificate, that this version
/// writes. It reads this one and every earlier one.
///
/// It goes up when a key of the file or of the record is added, renamed or removed, or comes to
/// mean something else: an earlier version must not read such a record as if it knew it.
pub const FORMAT: u16 = 1;

/// A visit file as the YAML reader is to read it.
pub(super) const FORM: Form = Form {
    name: "visit file",
    about: "visit",
    bytes: limits::FILE_BYTES,
    too_large: "split the visit into several files; photos are named in it, not put into it",
    nesting: limits::NESTING,
    usual_nesting: "ten",
    values: limits::VALUES,
    aliases: limits::ALIASES,
    empty: "begin with a starter file: `warmlug new` writes one",
};
