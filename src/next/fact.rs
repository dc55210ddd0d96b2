//! Facts about a circuit as they are typed: names and quantities, and why one cannot be used.

use crate::quantity::plausible::{self, Range};
use crate::quantity::{Current, Quantity, QuantityError, Unit};
use crate::vocabulary::MissingKey;

/// A fact that cannot be used. The message completes "the breaker's rating: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FactError {
    /// Not a quantity of the expected kind.
    #[error("{0}; {advice}", advice = .0.advice())]
    Quantity(#[from] QuantityError),
    /// Outside the plausible range.
    #[error("{0}")]
    Range(String),
    /// Not a possible number of legs.
    #[error("no supply with `{text}` is usual under these rules; write {usual}")]
    Legs {
        /// What was written.
        text: String,
        /// What is possible.
        usual: String,
    },
    /// Not a known material.
    #[error("`{0}` is not a material; write copper, aluminium or copper-clad-aluminium")]
    Material(String),
    /// An empty name.
    #[error("the name is empty; write a name")]
    Empty,
    /// A control character in a name.
    #[error("it has a character that cannot be printed; write one line of text")]
    Unprintable,
    /// Not one of the words of a key.
    #[error("`{text}` is not possible here; write one of: {words}")]
    Word {
        /// What was written.
        text: String,
        /// What is possible.
        words: String,
    },
    /// Not a count.
    #[error("`{0}` is not a number from 1 to 200; write how many there are")]
    Count(String),
    /// A key of a part that the circuit does not have.
    #[error("the circuit has nothing that `{0}` could describe; write it into the visit file")]
    NoRoom(MissingKey),
    /// A place listed twice.
    #[error("the place `{0}` is listed twice; give each place a name of its own")]
    Twice(String),
}

/// A name: one line of text.
///
/// # Errors
/// The name is empty or contains a control character.
pub fn name(text: &str) -> Result<String, FactError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(FactError::Empty);
    }
    if text.chars().any(char::is_control) {
        return Err(FactError::Unprintable);
    }
    Ok(text.to_owned())
}

/// A current; a bare number is in amperes.
///
/// # Errors
/// The text is not a current, or not a plausible one.
pub fn current(text: &str) -> Result<Current, FactError> {
    quantity(text, Unit::Ampere, true, &plausible::RATED_CURRENT)
}

/// A quantity; a bare number is in `unit`, if it may be bare.
pub(super) fn quantity<Q: Quantity>(
    text: &str,
    unit: Unit,
    bare: bool,
    range: &Range<Q>,
) -> Result<Q, FactError> {
    let value: Q = crate::quantity::parse(text.trim(), bare.then_some(unit))?;
    range
        .check(value, unit)
        .map_err(|e| FactError::Range(e.to_string()))?;
    Ok(value)
}
