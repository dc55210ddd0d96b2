//! Tables of the keys of the visit file. The reader rejects any other key; messages and the schema
//! are generated from the tables too.

use crate::quantity::Kind;

/// A map with known keys.
pub(crate) struct Table {
    /// Name of what the map describes, with an article, for messages.
    pub what: &'static str,
    pub keys: &'static [Key],
}

/// One key of a [`Table`].
pub(crate) struct Key {
    pub name: &'static str,
    pub required: bool,
    pub form: Form,
    /// An example value.
    pub example: &'static str,
    /// Its meaning: one sentence without a full stop.
    pub about: &'static str,
}

/// The form of a key's value.
pub(crate) enum Form {
    /// One line of text with a maximum number of characters.
    Line(usize),
    /// Text of several lines with a maximum number of characters.
    Text(usize),
    /// An id that other parts of the file refer to.
    Id,
    /// The id of something defined elsewhere in the file.
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
    /// A price, with at most two decimals.
    Price,
    /// A number from 0 to 1.
    Share,
    /// A range of wavelengths.
    Band,
    /// A map with known keys.
    Map(&'static Table),
    /// A map whose keys are ids.
    Named(&'static Form),
    /// A map whose keys are legs.
    Legs(&'static Form),
    /// A map whose keys are pairs of legs.
    Pairs(&'static Form),
    /// 1 or 3.
    Phases,
    /// A non-empty list with a maximum number of entries.
    List(&'static Form, usize),
    /// Exactly two values of a form.
    Pair(&'static Form),
    /// One of several forms.
    Either(&'static [Form]),
}
