//! Bounds of the reader: size, depth and count.

/// Largest file that is read, in bytes. Ours stay under a few megabytes; 128 MiB leaves room
/// for two hundred photos and keeps the memory of a check under 256 MiB.
pub const MAX_FILE_BYTES: usize = 128 << 20;
/// Deepest nesting of arrays and dictionaries; pages and forms need about six.
pub(crate) const MAX_DEPTH: usize = 48;
/// Maximum number of keys in one dictionary. Ours have a few dozen; a lookup is a linear search.
pub(crate) const MAX_KEYS: usize = 4_096;
/// Maximum number of objects in the tables of one file.
pub(crate) const MAX_OBJECTS: usize = 200_000;
/// Maximum number of revisions in one file: one from typesetting, one from sealing, then
/// countersignatures.
pub(crate) const MAX_REVISIONS: usize = 64;
/// Maximum total size of the structural streams (tables, object streams) of one file after
/// decompression, in bytes.
pub(crate) const MAX_STRUCTURE_BYTES: usize = 32 << 20;
/// Bytes of object source that may be read from any file, in addition to twice its length.
pub(crate) const MIN_WORK_BYTES: usize = 4 << 20;
