//! The visit file: what it may say, where in the source it says it, and every check that needs
//! no rule set.
//!
//! [`read`] takes the text of a file and gives a [`Visit`] in which every quantity is typed and
//! every reference leads somewhere, or all [`Diagnostics`] at once. The way goes from text to a
//! tree of values with places ([`crate::yaml`]), and from the tree by tables of known keys (`keys`) to
//! the model; problems are gathered on the way and put in the order of the source at its end.
//!
//! What the values mean for safety is the rules' matter: a calibration that is overdue or a
//! conductor that is not dead is sound input and a finding later.

mod choices;
mod connection;
mod entry;
mod equipment;
mod format;
mod keys;
pub mod limits;
pub mod model;
mod naming;
mod parties;
mod place;
mod read;
mod read_circuit;
mod read_file;
mod read_head;
mod read_heat;
mod read_images;
mod read_zone;
mod reader;
mod schema;
pub mod surroundings;
mod table;
mod upgrade;
mod words;
mod write;
mod written;
mod zone;

pub use crate::yaml::{Diagnostic, Diagnostics};
pub use format::FORMAT;
pub use model::*;
pub use naming::{Naming, misnamed};
pub use place::{CircuitText, circuits_text};
pub use read::read;
pub use schema::schema;
pub use surroundings::{ImageError, ImageFacts, Surroundings};
pub use upgrade::{Changed, UpgradeError, Upgraded, upgrade};
pub use words::LANGUAGES;
pub use write::{Comments, write, write_with};
pub(crate) use written::{quoted as write_quoted, text as write_text};
