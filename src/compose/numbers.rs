//! Every number as it is printed: units of the print, significant digits, true minus, and a
//! no-break space between number and unit, so that the two never part at a line's end.
//!
//! Choices, all for the reader:
//! - **Temperature**: 1 °F or 0.1 °C, about what a thermometer with ±2 °C can tell.
//! - **Temperature difference in tables**: 0.1 °F or 0.1 K, because limits such as 4 K are not
//!   whole in °F (7.2 °F) and a value must not look equal to a limit that it exceeds.
//! - **Temperature difference in sentences**: whole from 10 upwards, one decimal below; in °C
//!   rather than K, which an owner does not know (the SI brochure, 9th ed., 2.3.1, lets a
//!   difference be given in either; the number is the same).
//! - **Value and limit in one sentence** get as many decimals as it takes to tell them apart.
//!
//! Differences convert as differences: 20 °F of rise is 11.1 K, not −6.7 °C.
//!
//! Languages: decimal mark and plural forms are decided here and nowhere else.

use crate::assess::Value;
use crate::quantity::{
    ConductorSize, Current, Duration, Length, Power, Temperature, TemperatureDifference, TimeOfDay,
    Torque, Voltage,
};
use crate::visit::Units;
use chrono::{Datelike, NaiveDate};

use super::keys;
use super::wording::Wording;

/// No-break space.
pub(super) const NBSP: char = '\u{a0}';
/// Minus sign, not the hyphen.
const MINUS: char = '\u{2212}';
/// Stands in a cell whose value was not told.
pub(super) const NOT_TOLD: &str = "\u{2013}";

/// 1 lbf·in in newton metre: pound (0.45359237 kg) × standard gravity (9.80665 m/s²) × inch
/// (0.0254 m), all exact by definition.
const NEWTON_METRE_PER_INCH_POUND: f64 = 0.453_592_37 * 9.806_65 * 0.025_4;
/// 1 ft in metre, exact by definition.
const METRE_PER_FOOT: f64 = 0.304_8;
/// 1 in in metre, exact by definition.
const METRE_PER_INCH: f64 = 0.025_4;
/// Largest number of decimals used to tell a value from its limit.
const MOST_DECIMALS: usize = 2;

/// Plural form of a count in a language, by the names of the Unicode plural rules (CLDR).
pub(super) fn plural_form(language: &str, count: usize) -> &'static str {
    // English: one for exactly 1. The only language built in so far.
    debug_assert!(language == "en" || language.starts_with("en-") || language == "xx");
    if count == 1 { "one" } else { "other" }
}

/// Writes numbers for one print.
#[derive(Debug, Clone, Copy)]
pub struct Numbers<'w> {
    units: Units,
    decimal_mark: char,
    wording: &'w Wording,
}

impl<'w> Numbers<'w> {
    /// For a unit system and the language of a wording.
    pub fn new(units: Units, wording: &'w Wording) -> Self {
        Numbers {
            units,
            decimal_mark: '.',
            wording,
        }
    }

    /// The unit system.
    pub fn units(&self) -> Units {
        self.units
    }

    fn us(&self) -> bool {
        self.units == Units::Us
    }

    /// A number with a fixed count of decimals.
    pub fn fixed(&self, value: f64, decimals: usize) -> String {
        let text = format!("{:.decimals$}", denoised(value).abs());
        let zero = !text.bytes().any(|b| b.is_ascii_digit() && b != b'0');
        let mut out = String::with_capacity(text.len() + 3);
        if value < 0.0 && !zero {
            out.push(MINUS);
        }
        for c in text.chars() {
            out.push(if c == '.' { self.decimal_mark } else { c });
        }
        out
    }

    /// A number with at most this many decimals, none of them a trailing zero.
    pub fn trimmed(&self, value: f64, decimals: usize) -> String {
        let text = self.fixed(value, decimals);
        if decimals == 0 {
            return text;
        }
        let text = text.trim_end_matches('0');
        text.strip_suffix(self.decimal_mark)
            .unwrap_or(text)
            .to_owned()
    }

    fn with_unit(number: String, unit: &str) -> String {
        format!("{number}{NBSP}{unit}")
    }

    // Temperatures

    /// Unit of temperatures: °F or °C.
    pub fn temperature_unit(&self) -> &'static str {
        if self.us() { "°F" } else { "°C" }
    }

    /// A temperature as a plain number in the print's unit, for charts.
    pub fn temperature_value(&self, t: Temperature) -> f64 {
        if self.us() {
            t.fahrenheit()
        } else {
            t.celsius()
        }
    }

    /// A temperature for a column whose head names the unit.
    pub fn temperature_cell(&self, t: Temperature) -> String {
        self.fixed(self.temperature_value(t), if self.us() { 0 } else { 1 })
    }

    /// A temperature with its unit.
    pub fn temperature(&self, t: Temperature) -> String {
        let number = if self.us() {
            self.fixed(t.fahrenheit(), 0)
        } else {
            self.trimmed(t.celsius(), 1)
        };
        Self::with_unit(number, self.temperature_unit())
    }

    // Differences of temperatures

    /// Unit of differences in table heads: °F or K.
    pub fn difference_unit(&self) -> &'static str {
        if self.us() { "°F" } else { "K" }
    }

    /// A difference as a plain number in the print's unit.
    pub fn difference_value(&self, d: TemperatureDifference) -> f64 {
        if self.us() {
            d.fahrenheit_degrees()
        } else {
            d.kelvin()
        }
    }

    /// A difference for a column whose head names the unit.
    pub fn difference_cell(&self, d: TemperatureDifference) -> String {
        self.fixed(self.difference_value(d), 1)
    }

    /// A difference with its unit, for a sentence.
    pub fn difference(&self, d: TemperatureDifference) -> String {
        let value = self.difference_value(d);
        Self::with_unit(
            self.trimmed(value, difference_decimals(value)),
            self.temperature_unit(),
        )
    }

    /// A given difference (the edge of a band) with the decimals that it needs to be itself.
    pub fn difference_exact(&self, d: TemperatureDifference) -> String {
        Self::with_unit(
            self.trimmed(self.difference_value(d), MOST_DECIMALS),
            self.temperature_unit(),
        )
    }

    // Other quantities

    /// A current.
    pub fn current(&self, i: Current) -> String {
        Self::with_unit(self.trimmed(i.ampere(), 1), "A")
    }

    /// A voltage; below 1 V in millivolt.
    pub fn voltage(&self, v: Voltage) -> String {
        let v = v.volt();
        if v != 0.0 && v.abs() < 1.0 {
            Self::with_unit(self.trimmed(v * 1000.0, 1), "mV")
        } else {
            Self::with_unit(self.trimmed(v, 1), "V")
        }
    }

    /// A power; from 1,000 W in kilowatt.
    pub fn power(&self, p: Power) -> String {
        let p = p.watt();
        if p.abs() >= 1000.0 {
            Self::with_unit(self.trimmed(p / 1000.0, 1), "kW")
        } else {
            Self::with_unit(self.trimmed(p, if p.abs() < 10.0 { 1 } else { 0 }), "W")
        }
    }

    /// Unit of torques: in·lb or N·m.
    pub fn torque_unit(&self) -> &'static str {
        if self.us() { "in·lb" } else { "N·m" }
    }

    /// A torque for a column whose head names the unit.
    pub fn torque_cell(&self, t: Torque) -> String {
        if self.us() {
            self.fixed(t.newton_metre() / NEWTON_METRE_PER_INCH_POUND, 1)
        } else {
            self.fixed(t.newton_metre(), 2)
        }
    }

    /// A torque with its unit.
    pub fn torque(&self, t: Torque) -> String {
        let number = if self.us() {
            self.trimmed(t.newton_metre() / NEWTON_METRE_PER_INCH_POUND, 1)
        } else {
            self.trimmed(t.newton_metre(), 2)
        };
        Self::with_unit(number, self.torque_unit())
    }

    /// A length: ft or m; short ones in inches or centimetres.
    pub fn length(&self, l: Length) -> String {
        let m = l.metre();
        if self.us() {
            if m.abs() < 3.0 * METRE_PER_FOOT {
                let inches = m / METRE_PER_INCH;
                let decimals = if inches.abs() < 1.0 { 2 } else { 1 };
                Self::with_unit(self.trimmed(inches, decimals), "in")
            } else {
                Self::with_unit(self.trimmed(m / METRE_PER_FOOT, 1), "ft")
            }
        } else if m.abs() < 0.02 {
            Self::with_unit(self.trimmed(m * 1000.0, 1), "mm")
        } else if m.abs() < 1.0 {
            Self::with_unit(self.trimmed(m * 100.0, 1), "cm")
        } else {
            Self::with_unit(self.trimmed(m, 1), "m")
        }
    }

    /// A span of time: minutes, from two hours on hours and minutes.
    pub fn duration(&self, d: Duration) -> String {
        let minutes = d.minute();
        if minutes.abs() < 120.0 {
            return Self::with_unit(
                self.trimmed(minutes, if minutes.abs() < 10.0 { 1 } else { 0 }),
                "min",
            );
        }
        let whole = minutes.round();
        let hours = (whole / 60.0).trunc();
        let rest = (whole - hours * 60.0).abs();
        let hours = Self::with_unit(self.fixed(hours, 0), "h");
        if rest == 0.0 {
            hours
        } else {
            format!(
                "{hours}{NBSP}{}",
                Self::with_unit(self.fixed(rest, 0), "min")
            )
        }
    }

    /// A share; a fraction comes in.
    pub fn percent(&self, fraction: f64) -> String {
        let percent = fraction * 100.0;
        Self::with_unit(
            self.trimmed(percent, if percent.abs() < 10.0 { 1 } else { 0 }),
            "%",
        )
    }

    /// A probability; never 0 % or 100 %, because neither is known.
    pub fn probability(&self, p: f64) -> String {
        let percent = (p * 100.0).round();
        if percent < 1.0 {
            self.wording
                .say(&keys::NUMBER_UNDER, &[("number", &self.percent(0.01))])
        } else if percent > 99.0 {
            self.wording
                .say(&keys::NUMBER_OVER, &[("number", &self.percent(0.99))])
        } else {
            Self::with_unit(self.fixed(percent, 0), "%")
        }
    }

    /// A conductor size as the trade names it. Sizes of different systems are not
    /// interchangeable, so the name stays; in an SI print the cross-section stands beside it
    /// (ASTM B258: d = 0.127 mm · 92^((36 − n)/39); 1 kcmil = 0.5067 mm²).
    pub fn size(&self, size: ConductorSize) -> String {
        let (name, mm2) = match size {
            ConductorSize::Awg(n) => {
                let gauge = if n > 0 {
                    n.to_string()
                } else {
                    format!("{}/0", 1 - i32::from(n))
                };
                let d = 0.127 * 92f64.powf((36.0 - f64::from(n)) / 39.0);
                (
                    Self::with_unit(gauge, "AWG"),
                    std::f64::consts::FRAC_PI_4 * d * d,
                )
            }
            ConductorSize::Kcmil(k) => {
                let d = f64::from(k).sqrt() * (1000f64).sqrt() * 0.025_4e-3 * 1000.0;
                (
                    Self::with_unit(k.to_string(), "kcmil"),
                    std::f64::consts::FRAC_PI_4 * d * d,
                )
            }
            ConductorSize::Mm2(a) => return Self::with_unit(self.trimmed(a, 2), "mm²"),
        };
        if self.us() {
            name
        } else {
            let decimals = if mm2 < 10.0 { 2 } else { 1 };
            format!(
                "{name} ({})",
                Self::with_unit(self.trimmed(mm2, decimals), "mm²")
            )
        }
    }

    // Dates and times

    /// A date with the month in words, which reads the same everywhere.
    pub fn date(&self, date: NaiveDate) -> String {
        let month = keys::MONTHS
            .get(date.month0() as usize)
            .map_or("", |key| self.wording.word(key));
        let key = if self.us() {
            &keys::DATE_US
        } else {
            &keys::DATE_SI
        };
        self.wording.say(
            key,
            &[
                ("day", &date.day().to_string()),
                ("month", month),
                ("year", &date.year().to_string()),
            ],
        )
    }

    /// A date for a table: 2026-10-06.
    pub fn date_cell(&self, date: NaiveDate) -> String {
        date.format("%Y-%m-%d").to_string()
    }

    /// A time of day on the site's clock: 09:40, with seconds only when there are any.
    pub fn time(&self, time: TimeOfDay) -> String {
        let s = time.seconds();
        let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
        if s == 0 {
            format!("{h:02}:{m:02}")
        } else {
            format!("{h:02}:{m:02}:{s:02}")
        }
    }

    // Values without a type of their own

    /// A named value of a finding or limitation.
    pub fn value(&self, value: &Value) -> String {
        match value {
            Value::Temperature(t) => self.temperature(*t),
            Value::Difference(d) => self.difference(*d),
            Value::Current(i) => self.current(*i),
            Value::Voltage(v) => self.voltage(*v),
            Value::Torque(t) => self.torque(*t),
            Value::Length(l) => self.length(*l),
            Value::Power(p) => self.power(*p),
            Value::Duration(d) => self.duration(*d),
            Value::Percentage(p) => self.percent(*p),
            Value::Number(n) => self.trimmed(*n, 2),
            Value::Count(n) => n.to_string(),
            Value::Date(d) => self.date(*d),
            Value::Text(t) => t.clone(),
        }
    }

    /// A number in a named SI unit, converted to the print's unit: plain number, decimals that
    /// suit a sentence, and the unit's sign.
    fn converted(&self, value: f64, unit: &str) -> (f64, usize, String) {
        match unit {
            "K" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (
                    d,
                    difference_decimals(d),
                    self.temperature_unit().to_owned(),
                )
            }
            "°C" => (
                self.temperature_value(Temperature::from_celsius(value)),
                if self.us() { 0 } else { 1 },
                self.temperature_unit().to_owned(),
            ),
            "N·m" if self.us() => (
                value / NEWTON_METRE_PER_INCH_POUND,
                1,
                self.torque_unit().to_owned(),
            ),
            "m" if self.us() => (value / METRE_PER_FOOT, 1, "ft".to_owned()),
            "K/a" | "K/year" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (
                    d,
                    1,
                    self.wording
                        .say(&keys::UNIT_A_YEAR, &[("unit", self.temperature_unit())]),
                )
            }
            "K/h" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (
                    d,
                    1,
                    self.wording
                        .say(&keys::UNIT_AN_HOUR, &[("unit", self.temperature_unit())]),
                )
            }
            "Ω" if value.abs() < 0.1 => {
                if value.abs() < 1e-3 {
                    (value * 1e6, 0, "µΩ".to_owned())
                } else {
                    (value * 1e3, 2, "mΩ".to_owned())
                }
            }
            "min" => (value, 0, "min".to_owned()),
            "1" => (value, 2, String::new()),
            other => (value, 1, other.to_owned()),
        }
    }

    fn join(&self, value: f64, decimals: usize, unit: &str) -> String {
        let number = self.trimmed(value, decimals);
        if unit.is_empty() {
            number
        } else {
            Self::with_unit(number, unit)
        }
    }

    /// A number in a named SI unit, printed with the print's unit.
    pub fn quantity(&self, value: f64, unit: &str) -> String {
        let (value, decimals, unit) = self.converted(value, unit);
        self.join(value, decimals, &unit)
    }

    /// A value and its limit in a named SI unit, with as many decimals as tell them apart.
    pub fn against(&self, value: f64, limit: f64, unit: &str) -> (String, String) {
        let (v, from, unit_text) = self.converted(value, unit);
        let (l, limit_from, _) = self.converted(limit, unit);
        let mut decimals = from;
        while decimals < MOST_DECIMALS
            && denoised(v) != denoised(l)
            && self.fixed(v, decimals) == self.fixed(l, decimals.max(limit_from))
        {
            decimals += 1;
        }
        // The limit is a given number: it keeps the decimals that it needs to be itself.
        let exact = (0..MOST_DECIMALS)
            .find(|d| {
                let scaled = denoised(l) * 10f64.powi(*d as i32);
                (scaled - scaled.round()).abs() < 1e-6
            })
            .unwrap_or(MOST_DECIMALS);
        (
            self.join(v, decimals, &unit_text),
            self.join(l, exact.max(limit_from.min(decimals)), &unit_text),
        )
    }
}

/// Decimals of a difference in a sentence.
fn difference_decimals(value: f64) -> usize {
    if denoised(value).abs() < 10.0 { 1 } else { 0 }
}

/// Takes away the noise of binary arithmetic far below any printed digit, so that a sum that is
/// a half in truth always rounds the same way (away from zero).
fn denoised(value: f64) -> f64 {
    let scaled = value * 1e9;
    if scaled.abs() < 9e15 {
        // A nudge below the ninth decimal turns round-half-even of the exact binary value into
        // round-half-away.
        (scaled.round() + scaled.signum() * 1e-3) / 1e9
    } else {
        value
    }
}

/// Rounds for JSON: deterministic, without the noise of binary arithmetic, never −0.
pub(super) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (denoised(value) * scale).round() / scale + 0.0
}
