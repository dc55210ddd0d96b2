//! Formats of the visit file, and upgrading from an earlier one to the current one.
//!
//! A file may state its format (`format: 1`); one without the key has the first format. The changes
//! between formats are listed in one table, [`CHANGES`]: an old file is rewritten in place, so that
//! comments, order and spacing are preserved, and the record inside an old certificate is read
//! through it. A key or word is only ever renamed to one that had no meaning before; otherwise an
//! old file could be misread.

use super::format_version::{FORM, FORMAT};
use crate::quoted::shorten;
use crate::yaml::{Diagnostics, Ix, NodeKind, Problems, Source, Span, Tree};

/// The key that states the format.
const KEY: &str = "format";

/// A change at one place in the file.
struct Change {
    /// The first format with this change.
    since: u16,
    /// Keys from the top of the file to the map or value concerned; `*` is any item of a list and
    /// any key of a map.
    at: &'static [&'static str],
    /// The change itself.
    step: Step,
}

/// A change that can be made automatically.
enum Step {
    /// A key of the map was renamed.
    Key {
        from: &'static str,
        to: &'static str,
    },
    /// A word of a choice was renamed.
    Word {
        from: &'static str,
        to: &'static str,
    },
}

/// Every change, by format. A change of the file's keys adds its rows here and increments
/// [`FORMAT`].
///
/// The spellings of format 1 are those that the program itself writes; other spellings of the words
/// are still accepted.
const CHANGES: &[Change] = &[
    key(1, &[], "judgment", "judgement"),
    key(1, &["inspector"], "license", "licence"),
    word(
        1,
        &["circuits", "*", "conductors", "material"],
        "aluminum",
        "aluminium",
    ),
    word(
        1,
        &["circuits", "*", "conductors", "material"],
        "copper-clad-aluminum",
        "copper-clad-aluminium",
    ),
    word(
        1,
        &["circuits", "*", "feeder", "material"],
        "aluminum",
        "aluminium",
    ),
    word(
        1,
        &["circuits", "*", "feeder", "material"],
        "copper-clad-aluminum",
        "copper-clad-aluminium",
    ),
    word(
        1,
        &["circuits", "*", "looked_at", "*", "seen"],
        "discolored",
        "discoloured",
    ),
    word(
        1,
        &["circuits", "*", "looked_at", "*", "seen", "*"],
        "discolored",
        "discoloured",
    ),
    word(1, &["judgement", "*", "seen"], "discolored", "discoloured"),
    word(1, &["judgment", "*", "seen"], "discolored", "discoloured"),
];

const fn key(
    since: u16,
    at: &'static [&'static str],
    from: &'static str,
    to: &'static str,
) -> Change {
    Change {
        since,
        at,
        step: Step::Key { from, to },
    }
}

const fn word(
    since: u16,
    at: &'static [&'static str],
    from: &'static str,
    to: &'static str,
) -> Change {
    Change {
        since,
        at,
        step: Step::Word { from, to },
    }
}

/// A visit file in the current format.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Upgraded {
    /// The file's text.
    pub text: String,
    /// The changes, in file order; empty if there was nothing to do.
    pub changed: Vec<Changed>,
}

/// One changed place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// Line in the old file, starting at 1.
    pub line: usize,
    /// Description, as a sentence without its full stop.
    pub what: String,
}

/// Why a visit file cannot be upgraded to the current format.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UpgradeError {
    /// It is not YAML, or its format is unknown to this version.
    #[error("{0}")]
    Unreadable(Diagnostics),
    /// There is no room for the format's key before the first key.
    #[error(
        "line {line}: the first key does not begin its line, so `format: {FORMAT}` cannot be put \
         above it; write it there by hand"
    )]
    NoRoom {
        /// Line of the first key, starting at 1.
        line: usize,
    },
}

/// Upgrades the text of a visit file to the current format. The visit need not be valid: an
/// incomplete file can be upgraded too.
///
/// `name` is the file's name for messages.
///
/// # Errors
/// See [`UpgradeError`].
pub fn upgrade(text: &str, name: &str) -> Result<Upgraded, UpgradeError> {
    apply(text, name, CHANGES, FORMAT)
}

/// Rejects a file whose format is unknown to this version, without checking anything else: its
/// other contents could mean anything.
pub(super) fn check_format(source: &Source<'_>, tree: &Tree<'_>) -> Result<(), Refusal> {
    File { source, tree }.format(FORMAT).map(drop)
}

/// The current name of a key that was renamed.
pub(super) fn renamed(key: &str) -> Option<&'static str> {
    CHANGES.iter().find_map(|change| match change.step {
        Step::Key { from, to } if from == key => Some(to),
        _ => None,
    })
}

fn apply(
    text: &str,
    name: &str,
    changes: &[Change],
    format: u16,
) -> Result<Upgraded, UpgradeError> {
    let mut text = text.to_owned();
    let mut changed = Vec::new();
    let written = look(&text, name, |file| file.format(format))?;
    let from = written.unwrap_or(0);
    // One after the other: a later change refers to keys by the names that earlier changes gave
    // them.
    for change in changes.iter().filter(|change| change.since > from) {
        let edits = look(&text, name, |file| {
            let mut edits = Vec::new();
            file.find(file.tree.root, change.at, &mut |ix| {
                edits.extend(file.step(ix, &change.step));
            });
            Ok(edits)
        })?;
        text = spliced(&text, edits, &mut changed);
    }
    if written != Some(format) {
        let edit = look(&text, name, |file| Ok(file.marker(written, format)))?;
        text = spliced(&text, vec![edit], &mut changed);
        if look(&text, name, |file| file.format(format)).ok() != Some(Some(format)) {
            let line = changed.last().map_or(1, |marker| marker.line);
            return Err(UpgradeError::NoRoom { line });
        }
    }
    changed.sort_by_key(|change| change.line);
    Ok(Upgraded { text, changed })
}

/// The result of `find` on the text's tree.
fn look<T>(
    text: &str,
    name: &str,
    find: impl FnOnce(&File<'_, '_>) -> Result<T, Refusal>,
) -> Result<T, UpgradeError> {
    let source = Source::new(text);
    let mut problems = Problems::default();
    if let Some(tree) = Tree::read(&source, &FORM, &mut problems) {
        let file = File {
            source: &source,
            tree: &tree,
        };
        match find(&file) {
            Ok(found) => return Ok(found),
            Err((at, message, help)) => problems.push(Some(at), message, help),
        }
    }
    Err(UpgradeError::Unreadable(problems.finish(name, &source)))
}

/// The text with all edits applied; only the last edit may change the number of lines.
fn spliced(text: &str, mut edits: Vec<Edit>, changed: &mut Vec<Changed>) -> String {
    // A value that aliases repeat is found more than once.
    edits.sort_by_key(|edit| edit.at);
    edits.dedup_by_key(|edit| edit.at);
    let source = Source::new(text);
    let mut out = String::with_capacity(text.len() + 64);
    let mut done = 0;
    for edit in edits {
        out.push_str(text.get(done..edit.at.start as usize).unwrap_or_default());
        out.push_str(&edit.new);
        done = edit.at.end as usize;
        changed.push(Changed {
            line: source.line(edit.at.start),
            what: edit.what,
        });
    }
    out.push_str(text.get(done..).unwrap_or_default());
    out
}

/// A range of the text and its replacement.
struct Edit {
    at: Span,
    new: String,
    what: String,
}

/// A problem: where, what, and what to write instead.
pub(super) type Refusal = (Span, String, String);

struct File<'a, 's> {
    source: &'a Source<'s>,
    tree: &'a Tree<'s>,
}

impl File<'_, '_> {
    fn entries(&self, ix: Ix) -> &[(Ix, Ix)] {
        match &self.tree.node(ix).kind {
            NodeKind::Map(entries) => entries,
            _ => &[],
        }
    }

    fn scalar(&self, ix: Ix) -> Option<&str> {
        match &self.tree.node(ix).kind {
            NodeKind::Scalar(text) => Some(text.trim()),
            _ => None,
        }
    }

    /// The value of the key that states the format.
    fn named(&self) -> Option<Ix> {
        let mut entries = self.entries(self.tree.root).iter();
        let entry = entries.find(|(k, _)| self.scalar(*k) == Some(KEY));
        entry.map(|(_, value)| *value)
    }

    /// The format that the file states; an error if it is unknown to this version.
    fn format(&self, newest: u16) -> Result<Option<u16>, Refusal> {
        self.named()
            .map(|ix| known(self.tree.node(ix).span, self.scalar(ix), newest))
            .transpose()
    }

    /// All values that a path leads to.
    fn find(&self, ix: Ix, path: &[&str], found: &mut dyn FnMut(Ix)) {
        let Some((key, rest)) = path.split_first() else {
            found(ix);
            return;
        };
        match &self.tree.node(ix).kind {
            NodeKind::List(items) if *key == "*" => {
                items.iter().for_each(|item| self.find(*item, rest, found));
            }
            NodeKind::Map(entries) => entries
                .iter()
                .filter(|(k, _)| *key == "*" || self.scalar(*k) == Some(key))
                .for_each(|(_, value)| self.find(*value, rest, found)),
            _ => {}
        }
    }

    /// The edit that a change requires at one value, if any.
    fn step(&self, ix: Ix, step: &Step) -> Option<Edit> {
        match step {
            Step::Key { from, to } => {
                let entries = self.entries(ix);
                let key = |name: &str| entries.iter().find(|(k, _)| self.scalar(*k) == Some(name));
                // If both are present, the reader reports that one of them is unknown.
                let (old, _) = key(from).filter(|_| key(to).is_none())?;
                Some(self.edit(*old, to, format!("`{from}:` is now `{to}:`")))
            }
            Step::Word { from, to } => {
                let edit = || self.edit(ix, to, format!("`{from}` is now `{to}`"));
                (self.scalar(ix) == Some(from)).then(edit)
            }
        }
    }

    fn edit(&self, ix: Ix, new: &str, what: String) -> Edit {
        Edit {
            at: self.tree.node(ix).span,
            new: new.to_owned(),
            what,
        }
    }

    /// Sets the format's key to the current format, inserting it before the first key if it is
    /// absent.
    fn marker(&self, written: Option<u16>, format: u16) -> Edit {
        if let (Some(ix), Some(old)) = (self.named(), written) {
            let what = format!("`{KEY}: {old}` is now `{KEY}: {format}`");
            return self.edit(ix, &format.to_string(), what);
        }
        let text = self.source.text;
        let what = format!("`{KEY}: {format}` was added");
        let start = self.tree.node(self.tree.root).span.start as usize;
        if text.get(start..).is_some_and(|t| t.starts_with('{')) {
            return Edit {
                at: Span::at(start + 1),
                new: format!(" {KEY}: {format},"),
                what,
            };
        }
        let first = self.entries(self.tree.root).first();
        let start = first.map_or(start, |(key, _)| self.tree.node(*key).span.start as usize);
        let before = text.get(..start).unwrap_or_default();
        let indent = before
            .rsplit(['\n', '\r', '\u{feff}'])
            .next()
            .unwrap_or_default();
        // Use the line ending of the file.
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        Edit {
            at: Span::at(start),
            new: format!("{KEY}: {format}{end}{indent}"),
            what,
        }
    }
}

/// The format stated by the text of `format:`, at most `newest`; a problem for anything else.
fn known(at: Span, text: Option<&str>, newest: u16) -> Result<u16, Refusal> {
    let text = text.unwrap_or_default();
    let number = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    match text.parse() {
        Ok(format) if number && format <= newest => Ok(format),
        _ if number => Err((
            at,
            format!(
                "this file has format {}, and this version of warmlug reads formats up to {newest}",
                shorten(text)
            ),
            "get a newer warmlug".to_owned(),
        )),
        _ => Err((
            at,
            format!("`{}` is not the number of a format", shorten(text)),
            format!("write {newest}"),
        )),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::key_table::Form;
    use super::super::keys;
    use super::*;

    fn upgraded(text: &str) -> Upgraded {
        upgrade(text, "visit.yaml").unwrap()
    }

    fn described(upgraded: &Upgraded) -> Vec<String> {
        let lines = upgraded.changed.iter();
        lines.map(|c| format!("{}: {}", c.line, c.what)).collect()
    }

    #[test]
    fn old_spellings_become_the_present_ones_and_all_else_stays() {
        let old = "# Mine.\n\
            visit: { number: 1 }   # kept\n\
            inspector:\n  name:   Ada  # aligned by hand\n  \"license\": aluminum\n\
            circuits:\n\
            - conductors: { material: aluminum }  # aluminum\n\
            - { conductors: { material: 'copper-clad-aluminum' }, looked_at: [ { seen: [discolored, dust] } ] }\n\
            judgment: [ { seen: discolored, because: discolored } ]\n";
        let new = "# Mine.\nformat: 2\n\
            visit: { number: 1 }   # kept\n\
            inspector:\n  name:   Ada  # aligned by hand\n  licence: aluminum\n\
            circuits:\n\
            - conductors: { material: aluminium }  # aluminum\n\
            - { conductors: { material: copper-clad-aluminium }, looked_at: [ { seen: [discoloured, dust] } ] }\n\
            judgement: [ { seen: discoloured, because: discolored } ]\n";
        let done = upgraded(old);
        assert_eq!(done.text, new);
        assert_eq!(
            described(&done),
            [
                "2: `format: 2` was added",
                "5: `license:` is now `licence:`",
                "7: `aluminum` is now `aluminium`",
                "8: `copper-clad-aluminum` is now `copper-clad-aluminium`",
                "8: `discolored` is now `discoloured`",
                "9: `judgment:` is now `judgement:`",
                "9: `discolored` is now `discoloured`",
            ]
        );
        let again = upgraded(new);
        assert_eq!((again.text.as_str(), again.changed), (new, Vec::new()));
    }

    #[test]
    fn the_format_is_put_above_the_first_key_however_the_file_is_written() {
        for (old, new) in [
            ("visit: 1\n", "format: 2\nvisit: 1\n"),
            (
                "\u{feff}visit: 1\r\nsite: 2\r\n",
                "\u{feff}format: 2\r\nvisit: 1\r\nsite: 2\r\n",
            ),
            (
                "---\n  visit: 1\n  site: 2\n",
                "---\n  format: 2\n  visit: 1\n  site: 2\n",
            ),
            ("{visit: 1}", "{ format: 2,visit: 1}"),
            ("{}", "{ format: 2,}"),
            ("format: 0 # old\nvisit: 1", "format: 2 # old\nvisit: 1"),
        ] {
            assert_eq!(upgraded(old).text, new);
            assert_eq!(upgraded(new).changed, []);
        }
        let refused = upgrade("? visit\n: 1\n", "visit.yaml").unwrap_err();
        assert_eq!(refused, UpgradeError::NoRoom { line: 1 });
    }

    #[test]
    fn what_cannot_be_known_is_refused() {
        for (text, why) in [
            (
                "format: 3\n",
                "this file has format 3, and this version of warmlug reads formats up to 2",
            ),
            ("format: 70000\n", "this file has format 70000"),
            ("format: one\n", "`one` is not the number of a format"),
            ("format: +1\n", "`+1` is not the number of a format"),
            ("format:\n", "`` is not the number of a format"),
            ("a: [\n", "visit.yaml:"),
            ("", "empty"),
        ] {
            let refused = upgrade(text, "visit.yaml").unwrap_err().to_string();
            assert!(refused.contains(why), "{text:?}: {refused}");
        }
    }

    #[test]
    fn a_key_that_is_there_under_both_names_is_left_to_the_reader() {
        let both = "format: 0\ninspector: { license: 1, licence: 2 }\n";
        let done = upgraded(both);
        assert_eq!(done.text, both.replace('0', "2"));
    }

    /// Two formats later: a row refers to keys by the names that the rows before it gave them.
    #[test]
    fn changes_of_several_formats_are_made_one_after_the_other() {
        let changes = [
            key(1, &[], "panels", "boards"),
            key(2, &["boards", "*"], "colour", "seen"),
            word(3, &["boards", "*", "seen"], "brown", "discoloured"),
        ];
        let of = |text: &str| apply(text, "", &changes, 3).unwrap();
        let old = "panels: { a: { colour: brown }, b: { colour: &x brown }, c: { colour: *x } }\n";
        let new = "format: 3\nboards: { a: { seen: discoloured }, b: { seen: &x discoloured }, c: { seen: *x } }\n";
        assert_eq!(of(old).text, new);
        // In a file of format 2, the same words as those changed by rows up to 2 have another
        // meaning.
        let later = "format: 2\npanels: { a: { colour: brown } }\n";
        assert_eq!(of(later).text, later.replace('2', "3"));
    }

    /// The forms that the reader accepts at a path; none if the path contains an unknown key.
    fn forms_at(form: &'static Form, path: &[&str]) -> Vec<&'static Form> {
        let next = match (form, path.split_first()) {
            (Form::Either(forms), _) => {
                return forms.iter().flat_map(|form| forms_at(form, path)).collect();
            }
            (_, None) => return vec![form],
            (Form::Map(table), Some((key, rest))) => {
                let known = table.keys.iter().find(|k| k.name == *key);
                known.map(|known| (&known.form, rest))
            }
            (Form::Named(each) | Form::List(each, _), Some((&"*", rest))) => Some((*each, rest)),
            _ => None,
        };
        next.map_or_else(Vec::new, |(form, rest)| forms_at(form, rest))
    }

    static FILE: Form = Form::Map(&keys::FILE);

    /// A row that leads to something unknown would break the file that it upgrades.
    #[test]
    fn every_row_leads_to_what_the_reader_knows() {
        let former = |path: &[&str]| {
            let was = |c: &Change| match c.step {
                Step::Key { from, .. } => path.contains(&from),
                Step::Word { .. } => false,
            };
            CHANGES.iter().any(was)
        };
        for change in CHANGES {
            assert!((1..=FORMAT).contains(&change.since));
            let forms = forms_at(&FILE, change.at);
            let known = forms.iter().any(|form| match (form, &change.step) {
                (Form::Map(table), Step::Key { from, to }) => {
                    let has = |name: &str| table.keys.iter().any(|k| k.name == name);
                    has(to) && !has(from)
                }
                (Form::Word(words), Step::Word { from, to }) => from != to && words().contains(to),
                _ => false,
            });
            // Otherwise it must be on a path with a key's former name.
            let known = known || (forms.is_empty() && former(change.at));
            assert!(known, "{:?}", change.at);
        }
    }
}
