//! Errors in a written quantity, and what to write instead.
//!
//! `Display` says what is wrong; [`QuantityError::advice`] says what to write. They are separate
//! because a report shows the first at the caret and the second below it.

use super::unit::{Kind, Unit};

/// Why a text is not a quantity of the expected kind.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// The text is empty.
    #[error("{} is missing here", .kind.words())]
    Empty {
        /// The expected kind.
        kind: Kind,
    },
    /// The text does not begin with a number.
    #[error("`{text}` is not {}", .kind.words())]
    NotANumber {
        /// The expected kind.
        kind: Kind,
        /// The text, shortened.
        text: String,
    },
    /// The number contains a comma.
    #[error("`{text}` has a comma in its number")]
    DecimalComma {
        /// The text, shortened.
        text: String,
        /// The text with a point instead of the comma.
        point: String,
        /// The text without the comma, if it may be a thousands separator.
        joined: Option<String>,
    },
    /// A number without a unit, of a kind that needs one.
    #[error("`{text}` has no unit")]
    NoUnit {
        /// The expected kind.
        kind: Kind,
        /// The number as written.
        text: String,
    },
    /// An unknown unit.
    #[error("`{unit}` is not a unit of {}", .kind.words().trim_start_matches("a "))]
    UnknownUnit {
        /// The expected kind.
        kind: Kind,
        /// The number as written.
        number: String,
        /// The unit as written, shortened.
        unit: String,
    },
    /// More than one number, or words that are not a unit: the value is ambiguous.
    #[error("`{text}` is not one number{}", if .kind.units().is_empty() { "" } else { " with its unit" })]
    NotOneNumber {
        /// The expected kind.
        kind: Kind,
        /// The text, shortened.
        text: String,
        /// Possible meanings, such as "62 or 6.2".
        meant: Option<String>,
    },
    /// A unit of another kind.
    #[error("`{text}` is {}, but {} belongs here", .found.words(), .kind.words())]
    WrongUnit {
        /// The expected kind.
        kind: Kind,
        /// The kind that the unit measures.
        found: Kind,
        /// The text.
        text: String,
    },
    /// A physically impossible temperature.
    #[error(
        "`{text}` is below absolute zero (−273.15 °C, −459.67 °F), colder than anything can be"
    )]
    BelowAbsoluteZero {
        /// The text.
        text: String,
    },
    /// A number outside the range of a double.
    #[error("`{text}` is too large a number")]
    TooLarge {
        /// The text, shortened.
        text: String,
    },
    /// A size that does not exist in the system.
    #[error("`{text}` is not a conductor size that is made for power circuits")]
    NoSuchSize {
        /// The text.
        text: String,
        /// The nearest existing sizes.
        near: Vec<String>,
    },
    /// Not a time of day.
    #[error("`{text}` is not a time of day")]
    NotATime {
        /// The text, shortened.
        text: String,
    },
}

impl QuantityError {
    /// What to write instead, as a sentence without a full stop.
    pub fn advice(&self) -> String {
        match self {
            QuantityError::Empty { kind } | QuantityError::NotANumber { kind, .. } => {
                expected(*kind)
            }
            QuantityError::DecimalComma {
                point,
                joined: None,
                ..
            } => {
                format!("write a decimal point: {point}")
            }
            QuantityError::DecimalComma {
                point,
                joined: Some(joined),
                ..
            } => {
                format!(
                    "write {joined} if the comma separates thousands, {point} if it is a decimal \
                     comma"
                )
            }
            QuantityError::NoUnit { kind, text } => {
                let choices = choices(text, kind.units());
                match (kind.key(), kind.units()) {
                    (Some(key), [unit, ..]) => format!(
                        "write {choices}, or name the unit of every bare {} once, at the top of \
                         the file: `units: {{ {key}: {} }}`",
                        kind.words().trim_start_matches("a "),
                        unit.symbol(),
                    ),
                    _ => format!("write {choices}"),
                }
            }
            QuantityError::UnknownUnit { kind, number, unit } => match kind.units() {
                [] => expected(*kind),
                // `MA` may mean either; one is a thousand times the other.
                units if Unit::milli_in_capitals(*kind, unit) => format!(
                    "write {number} m{symbol} or {number} {symbol}, whichever the instrument shows",
                    symbol = units[0].symbol(),
                ),
                units => format!("write {}", choices(number, units)),
            },
            QuantityError::WrongUnit { kind, .. } => expected(*kind),
            // No value is suggested: a copied one would pass for a reading.
            QuantityError::NotOneNumber { kind, meant, .. } => {
                let unit = if kind.units().is_empty() {
                    ""
                } else {
                    " with its unit"
                };
                let meant = meant
                    .as_ref()
                    .map_or_else(String::new, |meant| format!("it may mean {meant}; "));
                format!("{meant}look at the instrument or your notes, and write one number{unit}")
            }
            QuantityError::BelowAbsoluteZero { .. } => {
                "read the instrument's display again, and check the sign and the unit".to_owned()
            }
            QuantityError::TooLarge { .. } => "write the number as the instrument shows it".into(),
            QuantityError::NoSuchSize { near, .. } => format!(
                "write the size printed on the conductor; the nearest: {}",
                near.join(", ")
            ),
            QuantityError::NotATime { .. } => {
                "write hours and minutes on the 24-hour clock, such as \"09:50\", or \"9:50 am\""
                    .into()
            }
        }
    }
}

/// "write a torque with its unit, such as …".
fn expected(kind: Kind) -> String {
    let unit = if kind.units().is_empty() {
        ""
    } else {
        " with its unit"
    };
    format!("write {}{unit}, such as {}", kind.words(), kind.examples())
}

/// `number` with each of the units: "45 in·lb, 45 ft·lb or 45 N·m".
fn choices(number: &str, units: &[Unit]) -> String {
    let mut out = String::new();
    for (i, unit) in units.iter().enumerate() {
        if i > 0 {
            out.push_str(if i + 1 == units.len() { " or " } else { ", " });
        }
        out.push_str(number);
        out.push(' ');
        out.push_str(unit.symbol());
    }
    out
}
