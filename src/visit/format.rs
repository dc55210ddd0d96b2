//! The format of the visit file, and of the record inside a certificate.

/// The format of the visit file, and of the record inside a certificate, that this version
/// writes. It reads this one and every earlier one.
///
/// It goes up when a key of the file or of the record is added, renamed or removed, or comes to
/// mean something else: an earlier version must not read such a record as if it knew it.
pub const FORMAT: u16 = 1;
