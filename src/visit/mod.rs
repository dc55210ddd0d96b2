//! The visit file: its keys, their positions in the source, and every check that needs no rule set.
//!
//! [`read`] converts the text of a file to a [`Visit`] in which every quantity is typed and every
//! reference is valid, or to all [`Diagnostics`] at once. The text is parsed to a tree of values
//! with positions ([`crate::yaml`]), and the tree is converted to the model by tables of known keys
//! (`keys`); problems are collected along the way and sorted by position at the end.
//!
//! The rules decide what the values mean for safety: an overdue calibration or a conductor that is
//! not dead is valid input and leads to a finding later.

mod choices;
mod connection;
pub(crate) mod entry;
mod equipment;
mod format_version;
mod instrument_list;
mod judgement;
pub(crate) mod key_table;
mod keys;
mod last_reading;
pub mod limits;
pub mod model;
mod naming;
mod not_done;
mod parties;
mod place;
mod read;
mod read_circuit;
mod read_file;
mod read_head;
mod read_heat;
mod read_images;
mod read_zone;
pub(crate) mod reader;
mod repairs;
mod schema;
pub mod surroundings;
mod upgrade;
mod value_place;
mod when;
mod whole_file;
pub(crate) mod words;
mod work;
mod write;
pub(crate) mod written;
mod zone;

pub use crate::yaml::{Diagnostic, Diagnostics};
pub(crate) use format_version::FORM;
pub use format_version::FORMAT;
pub(crate) use instrument_list::{Instruments, on_one_line};
pub use last_reading::{FURTHEST_AHEAD, LastReading};
pub use model::*;
pub use naming::{Naming, misnamed};
pub use place::{CircuitText, circuits_text};
pub use read::read;
pub use schema::schema;
pub(crate) use schema::schema_of;
pub use surroundings::{ImageError, ImageFacts, Surroundings};
pub use upgrade::{Changed, UpgradeError, Upgraded, upgrade};
pub use value_place::{Step, value_place};
pub(crate) use whole_file::read_keys;
pub use words::LANGUAGES;
pub use write::{Comments, write, write_with};
pub(crate) use written::{quoted as write_quoted, text as write_text};
