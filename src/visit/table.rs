//! Tables of the keys of the visit file. The reader refuses any other key; messages and the schema
//! are made from the tables too.

use crate::quantity::Kind;

/// A map with known keys.
pub(super) struct Table {
    /// What the map describes, with article, for messages.
    pub what: &'static str,
    pub keys: &'static [Key],
}

/// One key of a [`Table`].
pub(super) struct Key {
    pub name: &'static str,
    pub required: bool,
    pub form: Form,
    /// A value as it may be written.
    pub example: &'static str,
    /// What it means: one sentence without a full stop.
    pub about: &'static str,
}

/// What may stand after a key.
pub(super) enum Form {
    /// One line of text of at most so many characters.
    Line(usize),
    /// Text of several lines of at most so many characters.
    Text(usize),
    /// A name that other parts of the file refer to.
    Id,
    /// The name of something defined elsewhere in the file.
    Reference,
    /// A path to an image inside the visit's folder.
    Image,
    /// A path.
    Path,
    /// `2026-10-06`.
    Date,
    /// `09:50`.
    Time,
    /// `-05:00`, `Europe/Lisbon`.
    Zone,
    /// `#1F4E79`.
    Colour,
    /// 64 hexadecimal digits.
    Sha256,
    /// `en`, `es-MX`.
    Language,
    /// A quantity with its unit.
    Quantity(Kind),
    /// The unit of a kind.
    UnitOf(Kind),
    /// One of several words.
    Word(fn() -> Vec<&'static str>),
    /// A whole number in a range.
    Whole(u16, u16),
    /// A number from 0 to 1.
    Share,
    /// A range of wavelengths.
    Band,
    /// A map with known keys.
    Map(&'static Table),
    /// A map whose keys are ids.
    Named(&'static Form),
    /// A map whose keys are pairs of legs.
    Pairs(&'static Form),
    /// 1 or 3.
    Phases,
    /// A list with at most so many entries, at least one.
    List(&'static Form, usize),
    /// Exactly two of a form.
    Pair(&'static Form),
    /// One of several forms.
    Either(&'static [Form]),
}
