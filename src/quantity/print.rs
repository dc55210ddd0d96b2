//! From a quantity to text: for people in their chosen system of units, for files without loss.

use super::unit::{Kind, Scale, Unit};

/// The true minus sign.
pub const MINUS: char = '\u{2212}';

/// The no-break space that keeps a number and its unit on one line.
pub const NBSP: char = '\u{a0}';

/// The system of units in which values are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum System {
    /// °F, in·lb, ft.
    Us,
    /// °C, N·m, m.
    Si,
}

impl System {
    /// The unit in which it prints values of `kind`. Electrical units are the same in both systems;
    /// conductor sizes always keep their own system.
    pub const fn unit(self, kind: Kind) -> Unit {
        match (kind, self) {
            (Kind::Temperature | Kind::TemperatureDifference, System::Us) => Unit::Fahrenheit,
            (Kind::Temperature, System::Si) => Unit::Celsius,
            (Kind::TemperatureDifference, System::Si) => Unit::Kelvin,
            (Kind::Torque, System::Us) => Unit::PoundForceInch,
            (Kind::Torque, System::Si) => Unit::NewtonMetre,
            (Kind::Length, System::Us) => Unit::Foot,
            (Kind::Length, System::Si) => Unit::Metre,
            (Kind::ConductorSize, System::Us) => Unit::Awg,
            (Kind::ConductorSize, System::Si) => Unit::SquareMillimetre,
            (Kind::Current, _) => Unit::Ampere,
            (Kind::Voltage, _) => Unit::Volt,
            (Kind::Power, _) => Unit::Watt,
            (Kind::Percentage, _) => Unit::Percent,
            (Kind::Ratio, _) => Unit::One,
            (Kind::Duration, _) => Unit::Minute,
            (Kind::Resistance, _) => Unit::Ohm,
        }
    }
}

/// A number with fixed decimals and a true minus sign; a value that rounds to zero has no sign.
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let negative = value < 0.0 && text.bytes().any(|b| matches!(b, b'1'..=b'9'));
    if negative {
        format!("{MINUS}{text}")
    } else {
        text
    }
}

/// [`number`] with the unit's symbol after a no-break space.
pub(super) fn with_unit(value: f64, unit: Unit, decimals: usize) -> String {
    let mut text = number(value, decimals);
    if !unit.symbol().is_empty() {
        text.push(NBSP);
        text.push_str(unit.symbol());
    }
    text
}

/// Decimals tried before falling back to the SI unit: a double has 17 significant digits.
const MOST_DECIMALS: usize = 17;

/// `si` written in `unit` so that it parses back to the identical double.
pub(super) fn exact(kind: Kind, si: f64, unit: Unit) -> String {
    let number = match unit.scale() {
        Scale::Decimal(n) => Some(shifted(si, -n)),
        _ => {
            let value = unit.number(kind, si);
            (0..=MOST_DECIMALS)
                .map(|d| format!("{value:.d$}"))
                .find(|text| text.parse().is_ok_and(|v| unit.si(kind, v) == si))
        }
    };
    match number {
        Some(number) if unit.symbol().is_empty() => number,
        Some(number) => format!("{number} {}", unit.symbol()),
        None => format!("{si} {}", si_unit(kind).symbol()),
    }
}

/// The SI unit of a kind.
const fn si_unit(kind: Kind) -> Unit {
    match kind {
        Kind::Temperature | Kind::TemperatureDifference => Unit::Kelvin,
        Kind::Current => Unit::Ampere,
        Kind::Voltage => Unit::Volt,
        Kind::Power => Unit::Watt,
        Kind::Torque => Unit::NewtonMetre,
        Kind::Length => Unit::Metre,
        Kind::Percentage | Kind::Ratio => Unit::One,
        Kind::Duration => Unit::Second,
        Kind::Resistance => Unit::Ohm,
        Kind::ConductorSize => Unit::SquareMillimetre,
    }
}

/// The shortest decimal digits of `value`, multiplied by 10^`by` without rounding.
fn shifted(value: f64, by: i32) -> String {
    if by == 0 {
        return value.to_string();
    }
    let text = format!("{:e}", value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let digits: String = mantissa.chars().filter(|c| *c != '.').collect();
    // The decimal point comes after this many digits.
    let point = exponent.parse::<i32>().unwrap_or(0) + by + 1;
    let sign = if value < 0.0 { "-" } else { "" };
    let count = digits.len() as i32;
    if digits == "0" {
        "0".to_owned()
    } else if point <= 0 {
        format!(
            "{sign}0.{}{digits}",
            "0".repeat(point.unsigned_abs() as usize)
        )
    } else if point >= count {
        format!("{sign}{digits}{}", "0".repeat((point - count) as usize))
    } else {
        let (whole, part) = digits.split_at(point as usize);
        format!("{sign}{whole}.{part}")
    }
}
