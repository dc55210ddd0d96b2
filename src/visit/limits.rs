//! Limits of a visit file.
//!
//! A file may come from a stranger; nothing in it may make the reader hang or exhaust memory. Each
//! limit is far above what a day's visit needs and small enough to be harmless. All are the
//! authors' choice.

/// Bytes of a visit file.
pub const FILE_BYTES: usize = 4 * 1024 * 1024;

/// Nesting of lists and maps; the deepest valid file has ten.
pub const NESTING: usize = 24;

/// Values in a file; those repeated by an alias count again.
pub const VALUES: usize = 500_000;

/// Aliases (`*name`) in a file.
pub const ALIASES: usize = 256;

/// Instruments in a visit.
pub const INSTRUMENTS: usize = 64;

/// Circuits in a visit.
pub const CIRCUITS: usize = 64;

/// Connections in a visit, for all circuits together.
pub const CONNECTIONS: usize = 4096;

/// Currents that a charger can be set to.
pub const SETTINGS: usize = 64;

/// Proofs of isolation in a circuit.
pub const ISOLATIONS: usize = 8;

/// Rounds of readings in a circuit.
pub const ROUNDS: usize = 256;

/// Temperatures in one reading.
pub const REPEATS: usize = 32;

/// Entries of a list without a limit of its own.
pub const ENTRIES: usize = 4096;

/// Photos in a visit.
pub const PHOTOS: usize = 200;

/// Marks on a photo.
pub const MARKS: usize = 64;

/// Earlier certificates and visits.
pub const EARLIER: usize = 64;

/// Pixels of an image, according to its header, before it is decoded.
pub const PIXELS: u64 = 100_000_000;

/// Characters of an id.
pub const ID: usize = 40;

/// Characters of a certificate number.
pub const NUMBER: usize = 40;
/// Characters of the edition of a code.
pub const EDITION: usize = 16;

/// Characters of a name, a model, a serial number and the like: one line in a table.
pub const NAME: usize = 120;

/// Characters of an address, a caption, a note.
pub const NOTE: usize = 500;

/// Characters of remarks and of the reason for a judgement.
pub const REMARKS: usize = 4000;

/// Bytes of a path.
pub const PATH: usize = 255;
