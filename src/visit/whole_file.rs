//! Other files with declared keys, read by the reader of visit files.

use super::entry::{Keys, read_map};
use super::reader::Reader;
use super::surroundings::Surroundings;
use crate::yaml::{Diagnostics, Form, Problems, Source, Span, Tree};

/// Reads a file whose keys are declared by `K`.
///
/// # Errors
/// All its problems, in source order.
pub(crate) fn read_keys<K: Keys>(
    source: &str,
    name: &str,
    form: &Form,
    around: &dyn Surroundings,
) -> Result<K, Diagnostics> {
    let mut problems = Problems::default();
    let source = Source::new(source);
    let Some(tree) = Tree::read(&source, form, &mut problems) else {
        return Err(problems.finish(name, &source));
    };
    let mut reader = Reader::new(&source, &tree, around, problems);
    let root = tree.root;
    let start = Span::at(reader.mark(root).start as usize);
    let read = read_map::<K>(&mut reader, root, Some(start));
    let bare = reader.bare_numbers();
    let problems = reader.problems;
    match read {
        Some(read) if problems.is_empty() && !bare => Ok(read),
        _ => Err(problems.finish(name, &source)),
    }
}
