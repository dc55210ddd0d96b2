//! Choices in a visit file that are not enums in [`super::choices`], and what all choices share.

use super::choices::Units;
pub(crate) use crate::vocabulary::Word;
use crate::vocabulary::words;

/// Languages in which a certificate can be written (BCP 47), in the order in which messages list
/// them.
pub const LANGUAGES: [&str; 4] = ["en", "es", "fr", "de"];

/// The words of a choice.
pub(crate) fn list<W: Word>() -> Vec<&'static str> {
    W::words().collect()
}

words!(Units: "us" => Units::Us, "si" => Units::Si);
// American spellings in addition to British ones: the first word for a value is the one written.
words!(bool: "true" => true, "yes" => true, "false" => false, "no" => false);

/// The result of a torque check, if it is not a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Moved {
    Held,
    Moved,
}
words!(Moved: "held" => Moved::Held, "moved" => Moved::Moved);
