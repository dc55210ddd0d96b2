//! The position of one value of a visit file, so that a question about it can be shown at its line.

use super::format_version::FORM;
use crate::yaml::{Excerpt, Ix, Problems, Source, Tree};

/// One step from a value to one inside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step<'a> {
    /// The value of a key.
    Key(&'a str),
    /// The entry of a list with this `id`.
    Id(&'a str),
    /// The entry of a list at this index, from 0.
    Index(usize),
}

/// The line of a value in the text of a visit file; `None` if the text is not YAML or has no such
/// value. If only the last step leads nowhere, the line of the value before it.
pub fn value_place(text: &str, steps: &[Step<'_>]) -> Option<Excerpt> {
    let source = Source::new(text);
    let tree = Tree::read(&source, &FORM, &mut Problems::default())?;
    let mut at = tree.root;
    for (i, step) in steps.iter().enumerate() {
        match inside(&tree, at, *step) {
            Some(next) => at = next,
            None if i + 1 == steps.len() => break,
            None => return None,
        }
    }
    Some(source.excerpt(tree.mark(at, &source)))
}

fn inside(tree: &Tree<'_>, at: Ix, step: Step<'_>) -> Option<Ix> {
    match step {
        Step::Key(key) => tree.get(at, key),
        Step::Index(index) => tree.items(at).get(index).copied(),
        Step::Id(id) => {
            let mut items = tree.items(at).iter().copied();
            items.find(|item| tree.get(*item, "id").and_then(|v| tree.text(v)) == Some(id))
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::{Step, value_place};

    #[test]
    fn a_value_is_found_by_its_path() {
        let text = "circuits:\n  - id: a\n  - id: b\n    torque:\n      - { left: 45 ft·lb }\n";
        let torque = [
            Step::Key("circuits"),
            Step::Id("b"),
            Step::Key("torque"),
            Step::Index(0),
            Step::Key("left"),
        ];
        let at = value_place(text, &torque).unwrap();
        assert_eq!((at.line, at.column), (5, 17));
        // The entry, where the key is not written.
        let missing = [&torque[..4], &[Step::Key("found")]].concat();
        assert_eq!(value_place(text, &missing).unwrap().column, 9);
        assert_eq!(
            value_place(
                text,
                &[Step::Key("circuits"), Step::Id("c"), Step::Key("heat")]
            ),
            None
        );
        assert_eq!(value_place("{", &torque), None);
    }
}
