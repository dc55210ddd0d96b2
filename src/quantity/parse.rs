//! From text to a quantity: a number followed by a unit, or a bare number with the unit that the
//! caller's file declares for its kind.

use super::error::QuantityError;
use super::quantity_trait::Quantity;
use super::unit::{Kind, Scale, Unit};
use crate::quoted::shorten;

/// Parses a quantity; `bare` is the unit for a number without one.
///
/// # Errors
/// What is wrong with the text; see [`QuantityError`].
///
/// ```
/// use warmlug::quantity::{self, Torque, Unit};
/// let written: Torque = quantity::parse("45 in-lb", None)?;
/// let bare: Torque = quantity::parse("45", Some(Unit::PoundForceInch))?;
/// assert_eq!(written, bare);
/// assert!(quantity::parse::<Torque>("45", None).is_err());
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn parse<Q: Quantity>(text: &str, bare: Option<Unit>) -> Result<Q, QuantityError> {
    parse_with_unit(text, bare).map(|(q, _)| q)
}

/// Like [`parse`], but also returns the unit in which the value was written, so that messages about
/// it can use that unit.
///
/// # Errors
/// What is wrong with the text; see [`QuantityError`].
pub fn parse_with_unit<Q: Quantity>(
    text: &str,
    bare: Option<Unit>,
) -> Result<(Q, Unit), QuantityError> {
    let kind = Q::KIND;
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty { kind });
    }
    let Some(number) = Number::scan(text, kind) else {
        return Err(QuantityError::NotANumber {
            kind,
            text: shorten(text),
        });
    };
    let (first_unit, mut rest) = split_unit(number.rest);
    if first_unit.is_empty() && !rest.is_empty() {
        // `6 2`: neither number can be taken as the value.
        return Err(unknown(kind, number.text, number.rest));
    }
    let unit = unit_of(kind, &number, first_unit, bare, text)?;
    let mut si = number.si(kind, unit);
    // Compound values: `5 ft 6 in`, `1 h 5 min 30 s`.
    let mut last = unit;
    while !rest.is_empty() {
        let smaller = match last {
            Unit::Foot => Unit::Inch,
            Unit::Hour => Unit::Minute,
            Unit::Minute => Unit::Second,
            _ => return Err(unknown(kind, number.text, number.rest)),
        };
        let Some(part) = Number::scan(rest, kind).filter(|p| !p.negative) else {
            return Err(unknown(kind, number.text, number.rest));
        };
        let (unit_text, after) = split_unit(part.rest);
        if Unit::of_kind(kind, unit_text) != Some(smaller) {
            return Err(unknown(kind, number.text, number.rest));
        }
        let part = part.si(kind, smaller);
        si += if number.negative { -part } else { part };
        last = smaller;
        rest = after;
    }
    if !si.is_finite() {
        return Err(QuantityError::TooLarge {
            text: shorten(text),
        });
    }
    if kind == Kind::Temperature && si < 0.0 {
        return Err(QuantityError::BelowAbsoluteZero {
            text: shorten(text),
        });
    }
    // −0 becomes 0.
    Ok((Q::from_si(si + 0.0), unit))
}

/// The unit of a scanned number: as written, otherwise the declared one.
fn unit_of(
    kind: Kind,
    number: &Number<'_>,
    unit_text: &str,
    bare: Option<Unit>,
    text: &str,
) -> Result<Unit, QuantityError> {
    if unit_text.is_empty() {
        let plain = (kind == Kind::Ratio).then_some(Unit::One);
        return plain
            .or(bare.filter(|u| u.measures(kind)))
            .ok_or_else(|| QuantityError::NoUnit {
                kind,
                text: shorten(number.text),
            });
    }
    if unit_text.starts_with(',') {
        return Err(comma(text));
    }
    if let Some(unit) = Unit::of_kind(kind, unit_text) {
        return Ok(unit);
    }
    match Unit::of_any_kind(unit_text) {
        Some(other) => Err(QuantityError::WrongUnit {
            kind,
            found: other.kind(),
            text: shorten(text),
        }),
        None => Err(unknown(kind, number.text, number.rest)),
    }
}

/// The error for a number followed by something that is not a unit.
pub(super) fn unknown(kind: Kind, number: &str, rest: &str) -> QuantityError {
    if Unit::resembles(kind, rest) {
        QuantityError::UnknownUnit {
            kind,
            number: shorten(number),
            unit: shorten(rest.trim()),
        }
    } else {
        QuantityError::NotOneNumber {
            kind,
            text: shorten(&format!("{number}{rest}")),
            meant: meant(number, rest),
        }
    }
}

/// Maximum number of digits of numbers that are compared with each other; longer ones are not a
/// slip.
const SLIP: usize = 6;

/// Possible meanings of a number followed by a second one.
fn meant(number: &str, rest: &str) -> Option<String> {
    let start = rest.find(|c: char| c.is_ascii_digit())?;
    let (between, second) = rest.split_at(start);
    let second = &second[..second
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(second.len())];
    let after = &rest[start + second.len()..];
    let whole = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if number.len() + second.len() > SLIP {
        return None;
    }
    let between = between.trim();
    if whole(number)
        && whole(second)
        && let Some(bottom) = after.strip_prefix('/')
    {
        let bottom: f64 = bottom[..digits(bottom)].parse().ok()?;
        let (whole, top): (f64, f64) = (number.parse().ok()?, second.parse().ok()?);
        let value = whole + top / bottom;
        return (bottom > 0.0 && matches!(between, "" | "-")).then(|| {
            super::print::number(value, if (value * 10.0).fract() == 0.0 { 1 } else { 3 })
        });
    }
    match between.to_lowercase().as_str() {
        "" | "_" if whole(number) && whole(second) => {
            Some(format!("{number}{second} or {number}.{second}"))
        }
        "-" | "–" | "—" | "..." | "…" | "to" | "or" | "/" => {
            Some(format!("one of several readings, {number} and {second}"))
        }
        "e" if whole(second) => {
            let value: f64 = format!("{number}e{second}").parse().ok()?;
            (value < 1e6).then(|| super::print::number(value, 0))
        }
        _ => None,
    }
}

/// The error for a comma in the number, with its possible meanings.
pub(super) fn comma(text: &str) -> QuantityError {
    let point = text.replacen(',', ".", 1);
    let digits_after = text
        .split_once(',')
        .map_or(0, |(_, t)| t.bytes().take_while(u8::is_ascii_digit).count());
    let joined = (digits_after == 3).then(|| shorten(&text.replacen(',', "", 1)));
    QuantityError::DecimalComma {
        text: shorten(text),
        point: shorten(&point),
        joined,
    }
}

/// Splits the text after a number into its unit and the rest, which starts at the next digit.
fn split_unit(rest: &str) -> (&str, &str) {
    // A `:1` after a number is the unit of a ratio; its digit does not start a second part.
    if let Some(after) = rest.trim_start().strip_prefix(':')
        && after.trim() == "1"
    {
        return (":1", "");
    }
    let rest = rest.trim();
    let cut = rest
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(rest.len());
    (rest[..cut].trim_end(), &rest[cut..])
}

/// A number at the start of a text.
struct Number<'a> {
    /// As written, without surrounding space.
    text: &'a str,
    /// The text after it.
    rest: &'a str,
    negative: bool,
    /// Digits and decimal point in a form that Rust parses.
    digits: String,
    /// Value of a fraction, which has no decimal digits to shift.
    fraction: Option<f64>,
}

impl<'a> Number<'a> {
    fn scan(text: &'a str, kind: Kind) -> Option<Self> {
        let unsigned = text.trim_start_matches(['-', '−', '–', '+']);
        let sign = &text[..text.len() - unsigned.len()];
        let negative = match sign {
            "" | "+" => false,
            "-" | "−" | "–" => true,
            _ => return None,
        };
        let body = unsigned.trim_start();
        let whole = digits(body);
        let mut end = whole;
        if body[end..].starts_with('.') {
            end += 1 + digits(&body[end + 1..]);
        }
        if whole == 0 && end <= 1 {
            return None;
        }
        let mut fraction = None;
        if kind == Kind::Length
            && end == whole
            && let Some((value, length)) = scan_fraction(body, whole)
        {
            fraction = Some(value);
            end = length;
        }
        let start = text.len() - body.len();
        Some(Number {
            text: &text[..start + end],
            rest: &body[end..],
            negative,
            digits: body[..end].to_owned(),
            fraction,
        })
    }

    /// The value in the SI unit of `kind`, written in `unit`.
    fn si(&self, kind: Kind, unit: Unit) -> f64 {
        let sign = if self.negative { -1.0 } else { 1.0 };
        if let Some(f) = self.fraction {
            return unit.si(kind, sign * f);
        }
        // The digits are only ASCII digits with at most one point: they always parse.
        match unit.scale() {
            Scale::Decimal(n) if n != 0 => {
                sign * format!("{}e{n}", self.digits).parse().unwrap_or(f64::NAN)
            }
            _ => unit.si(kind, sign * self.digits.parse().unwrap_or(f64::NAN)),
        }
    }
}

/// Length of the run of ASCII digits at the start.
fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// `3/8`, `1 3/8` or `1-3/8` at the start of `body`, whose first `whole` bytes are digits:
/// value and length in bytes.
fn scan_fraction(body: &str, whole: usize) -> Option<(f64, usize)> {
    let slash = |from: usize| -> Option<(f64, usize)> {
        let top = digits(&body[from..]);
        let rest = body[from + top..].strip_prefix('/')?;
        let bottom = digits(rest);
        let value: f64 = body[from..from + top].parse().ok()?;
        let divisor: f64 = rest[..bottom].parse().ok()?;
        (divisor > 0.0).then(|| (value / divisor, from + top + 1 + bottom))
    };
    if let Some(found) = slash(0) {
        return Some(found);
    }
    let gap = body[whole..].strip_prefix([' ', '-'])?;
    let from = body.len() - gap.len();
    let (value, length) = slash(from)?;
    let whole: f64 = body[..whole].parse().ok()?;
    Some((whole + value, length))
}
