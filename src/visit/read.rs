//! From the text of a visit file to a [`Visit`], or to all its problems at once.

use super::format_version::FORM;
use super::model::Visit;
use super::reader::Reader;
use super::surroundings::Surroundings;
use super::upgrade;
use crate::yaml::{Diagnostics, Problems, Source, Tree};

/// Reads a visit file.
///
/// `source` is its text, `name` its name for messages, and `around` provides what lies outside the
/// text: today's date, the images, the printable characters.
///
/// # Errors
/// All problems in the file, in source order.
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
