//! The format of the visit file, and of the record inside a certificate.

use super::limits;
use crate::yaml::Form;

/// The format of the visit file, and of the record inside a certificate, that this version writes.
/// It reads this format and all earlier ones.
///
/// It is incremented when a key of the file or of the record is added, renamed, removed or given
/// another meaning: an earlier version must not read such a record as if it understood it.
pub const FORMAT: u16 = 2;

/// How the YAML reader reads a visit file.
pub(crate) const FORM: Form = Form {
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
