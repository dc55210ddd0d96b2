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
mod read_circuit;
mod read_file;
mod read_head;
mod read_heat;
mod read_images;
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
pub use schema::schema;
pub use surroundings::{ImageError, ImageFacts, Surroundings};
pub use upgrade::{Changed, UpgradeError, Upgraded, upgrade};
pub use words::LANGUAGES;
pub use write::{Comments, write, write_with};
pub(crate) use written::{quoted as write_quoted, text as write_text};

use crate::yaml::{Form, Problems, Source, Tree};
use reader::Reader;

/// A visit file as the YAML reader is to read it.
const FORM: Form = Form {
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

/// Reads a visit file.
///
/// `source` is its text, `name` its name for messages, `around` tells what lies outside the
/// text: today's date, the images, the characters that can be printed.
///
/// # Errors
/// All problems of the file, in the order of the source.
pub fn read(source: &str, name: &str, around: &dyn Surroundings) -> Result<Visit, Diagnostics> {
    let mut problems = Problems::default();
    let source = Source::new(source);
    let Some(tree) = Tree::read(&source, &FORM, &mut problems) else {
        return Err(problems.finish(name, &source));
    };
    if let Err((at, message, help)) = upgrade::check_format(&source, &tree) {
        problems.push(Some(at), message, help);
        return Err(problems.finish(name, &source));
    }
    let mut reader = Reader::new(&source, &tree, around, problems);
    let visit = reader.file();
    let bare = reader.bare_numbers();
    let problems = reader.problems;
    match visit {
        Some(visit) if problems.is_empty() && !bare => Ok(visit),
        _ => Err(problems.finish(name, &source)),
    }
}
