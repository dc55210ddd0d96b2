//! Formatting of every printed number: printed unit, significant digits, a minus sign (U+2212), and
//! a no-break space between number and unit, so that a line never breaks there.
//!
//! Choices made for the reader:
//! - **Temperature**: 1 °F or 0.1 °C, about what a thermometer with ±2 °C can show.
//! - **Temperature difference in tables**: 0.1 °F or 0.1 K, because limits such as 4 K are not
//!   whole in °F (7.2 °F), and a value must not look equal to a limit that it exceeds.
//! - **Temperature difference in sentences**: whole from 10 upwards, one decimal below; in K, never
//!   in °C, so that "margin 15.1 K" cannot be read as a temperature (the SI brochure, 9th ed.,
//!   2.3.1, allows both units; the number is the same).
//! - **Value and limit in one sentence** get as many decimals as are needed to distinguish them.
//!
//! Differences convert as differences: 20 °F of rise is 11.1 K, not −6.7 °C.
//!
//! Decimal marks and groups of digits are those of the wording's language, from `super::locale`.

use crate::assess::Value;
use crate::quantity::{
    self, ConductorSize, Current, Duration, Length, NBSP, Power, Temperature,
    TemperatureDifference, TimeOfDay, Torque, Voltage,
};
use crate::visit::Units;
use chrono::{Datelike, NaiveDate};

use super::keys;
use super::locale;
use super::wording::Wording;

/// Printed in a cell without a known value.
pub(super) const NOT_TOLD: &str = "\u{2013}";

/// Below this many feet a length is printed in inches.
const FEET_FOR_INCHES: f64 = 3.0;
/// Maximum number of decimals used to distinguish a value from its limit.
const MOST_DECIMALS: usize = 2;

/// Formats numbers in one unit system and language.
#[derive(Debug, Clone, Copy)]
pub struct Numbers<'w> {
    units: Units,
    wording: &'w Wording,
}

impl<'w> Numbers<'w> {
    /// For a unit system and the language of a wording.
    pub fn new(units: Units, wording: &'w Wording) -> Self {
        Numbers { units, wording }
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
        self.marked(&quantity::number(denoised(value), decimals))
    }

    /// A number with at most this many decimals, without trailing zeros.
    pub fn trimmed(&self, value: f64, decimals: usize) -> String {
        let text = quantity::number(denoised(value), decimals);
        if decimals == 0 {
            return self.marked(&text);
        }
        let text = text.trim_end_matches('0');
        self.marked(text.strip_suffix('.').unwrap_or(text))
    }

    /// Digits with the marks of the language.
    fn marked(&self, digits: &str) -> String {
        locale::number(self.wording.language(), digits)
    }

    /// The decimal mark.
    pub fn decimal_mark(&self) -> char {
        locale::decimal_mark(self.wording.language())
    }

    fn with_unit(number: String, unit: &str) -> String {
        format!("{number}{NBSP}{unit}")
    }

    // Temperatures

    /// Unit of temperatures: °F or °C.
    pub fn temperature_unit(&self) -> &'static str {
        if self.us() { "°F" } else { "°C" }
    }

    /// A temperature as a plain number in the printed unit, for charts.
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

    /// Unit of differences: °F or K.
    pub fn difference_unit(&self) -> &'static str {
        if self.us() { "°F" } else { "K" }
    }

    /// A difference as a plain number in the printed unit.
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
            self.difference_unit(),
        )
    }

    /// A difference printed next to its two temperatures, with the same number of decimals.
    pub fn difference_between(&self, d: TemperatureDifference) -> String {
        let value = self.difference_value(d);
        let number = if self.us() {
            self.fixed(value, 0)
        } else {
            self.trimmed(value, 1)
        };
        Self::with_unit(number, self.difference_unit())
    }

    /// A given difference (the edge of a band) with all of its decimals.
    pub fn difference_exact(&self, d: TemperatureDifference) -> String {
        Self::with_unit(
            self.trimmed(self.difference_value(d), MOST_DECIMALS),
            self.difference_unit(),
        )
    }

    // Other quantities

    /// A current; below 1 A in milliamperes.
    pub fn current(&self, i: Current) -> String {
        let i = i.ampere();
        if i != 0.0 && i.abs() < 1.0 {
            Self::with_unit(self.trimmed(i * 1000.0, 1), "mA")
        } else {
            Self::with_unit(self.trimmed(i, 1), "A")
        }
    }

    /// A voltage; below 1 V in millivolts.
    pub fn voltage(&self, v: Voltage) -> String {
        let v = v.volt();
        if v != 0.0 && v.abs() < 1.0 {
            Self::with_unit(self.trimmed(v * 1000.0, 1), "mV")
        } else {
            Self::with_unit(self.trimmed(v, 1), "V")
        }
    }

    /// A power; from 1,000 W in kilowatts.
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
            self.fixed(t.pound_force_inch(), 1)
        } else {
            self.fixed(t.newton_metre(), 2)
        }
    }

    /// A torque with its unit.
    pub fn torque(&self, t: Torque) -> String {
        let number = if self.us() {
            self.trimmed(t.pound_force_inch(), 1)
        } else {
            self.trimmed(t.newton_metre(), 2)
        };
        Self::with_unit(number, self.torque_unit())
    }

    /// A length: ft or m; short ones in inches or centimetres.
    pub fn length(&self, l: Length) -> String {
        let m = l.metre();
        if self.us() {
            if l.foot().abs() < FEET_FOR_INCHES {
                let inches = l.inch();
                let decimals = if inches.abs() < 1.0 { 2 } else { 1 };
                Self::with_unit(self.trimmed(inches, decimals), "in")
            } else {
                Self::with_unit(self.trimmed(l.foot(), 1), "ft")
            }
        } else if m.abs() < 0.02 {
            Self::with_unit(self.trimmed(m * 1000.0, 1), "mm")
        } else if m.abs() < 1.0 {
            Self::with_unit(self.trimmed(m * 100.0, 1), "cm")
        } else {
            Self::with_unit(self.trimmed(m, 1), "m")
        }
    }

    /// A duration: minutes; from two hours, hours and minutes; below a second, milliseconds.
    pub fn duration(&self, d: Duration) -> String {
        let second = d.second();
        if second != 0.0 && second.abs() < 1.0 {
            return Self::with_unit(self.trimmed(second * 1000.0, 1), "ms");
        }
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

    /// A fraction as a percentage.
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

    /// A conductor size by its trade name. Sizes of different systems are not interchangeable, so
    /// the name is kept; in SI units the cross-section is printed next to it.
    pub fn size(&self, size: ConductorSize) -> String {
        let name = size.print();
        if let ConductorSize::Mm2(area) = size {
            return Self::with_unit(self.trimmed(area, 2), "mm²");
        }
        if self.us() {
            return name;
        }
        let area = size.square_millimetres();
        let decimals = if area < 10.0 { 2 } else { 1 };
        format!(
            "{name} ({})",
            Self::with_unit(self.trimmed(area, decimals), "mm²")
        )
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
                // French has an ordinal for the first of a month.
                (
                    "day",
                    &match date.day() {
                        1 => self.wording.word(&keys::DATE_FIRST).to_owned(),
                        day => day.to_string(),
                    },
                ),
                ("month", month),
                ("year", &date.year().to_string()),
            ],
        )
    }

    /// A date for a table: 2026-10-06.
    pub fn date_cell(&self, date: NaiveDate) -> String {
        date.format("%Y-%m-%d").to_string()
    }

    /// A time of day on the site's clock.
    pub fn time(&self, time: TimeOfDay) -> String {
        clock(time)
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
            Value::Count(n) => self.fixed(*n as f64, 0),
            Value::Date(d) => self.date(*d),
            Value::Text(t) => t.clone(),
        }
    }

    /// A number in a named SI unit, converted to the printed unit: plain number, decimals suitable
    /// for a sentence, and the unit's symbol.
    fn converted(&self, value: f64, unit: &str) -> (f64, usize, String) {
        match unit {
            "K" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (d, difference_decimals(d), self.difference_unit().to_owned())
            }
            "°C" => (
                self.temperature_value(Temperature::from_celsius(value)),
                if self.us() { 0 } else { 1 },
                self.temperature_unit().to_owned(),
            ),
            "N·m" if self.us() => (
                Torque::from_newton_metre(value).pound_force_inch(),
                1,
                self.torque_unit().to_owned(),
            ),
            "m" if self.us() => (Length::from_metre(value).foot(), 1, "ft".to_owned()),
            "K/a" | "K/year" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (
                    d,
                    1,
                    self.wording
                        .say(&keys::UNIT_A_YEAR, &[("unit", self.difference_unit())]),
                )
            }
            "K/h" => {
                let d = self.difference_value(TemperatureDifference::from_kelvin(value));
                (
                    d,
                    1,
                    self.wording
                        .say(&keys::UNIT_AN_HOUR, &[("unit", self.difference_unit())]),
                )
            }
            "Ω" if value.abs() < 0.1 => {
                if value.abs() < 1e-3 {
                    (value * 1e6, 0, "µΩ".to_owned())
                } else {
                    (value * 1e3, 2, "mΩ".to_owned())
                }
            }
            "W" if value.abs() >= 1000.0 => (value / 1000.0, 1, "kW".to_owned()),
            "kWh" => (value, 0, "kWh".to_owned()),
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

    /// A measured value for the record, with its expanded uncertainty to the same decimals
    /// (JCGM 100:2008, 7.2.6).
    pub fn record(&self, value: f64, uncertainty: Option<f64>, unit: &str) -> String {
        let (value, decimals, sign) = self.converted(value, unit);
        let Some(u) = uncertainty else {
            return self.join(value, decimals, &sign);
        };
        // The uncertainty of a temperature is a difference.
        let (u, _, _) = self.converted(u, if unit == "°C" { "K" } else { unit });
        let decimals = match unit {
            "K" => 1,
            "N·m" if !self.us() => 2,
            _ => decimals,
        };
        let text = format!(
            "{}{NBSP}±{NBSP}{}",
            self.fixed(value, decimals),
            self.fixed(u, decimals)
        );
        if sign.is_empty() {
            text
        } else {
            Self::with_unit(text, &sign)
        }
    }

    /// A number in a named SI unit, formatted in the printed unit.
    pub fn quantity(&self, value: f64, unit: &str) -> String {
        let (value, decimals, unit) = self.converted(value, unit);
        self.join(value, decimals, &unit)
    }

    /// A value and its limit in a named SI unit, with as many decimals as are needed to distinguish
    /// them.
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
        // The limit is a given number, so it keeps all of its decimals.
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

/// A time of day: 09:40, with seconds only when there are any.
pub(super) fn clock(time: TimeOfDay) -> String {
    let (h, m, s) = time.hms();
    if s == 0 {
        format!("{h:02}:{m:02}")
    } else {
        format!("{h:02}:{m:02}:{s:02}")
    }
}

/// Decimals of a difference in a sentence.
fn difference_decimals(value: f64) -> usize {
    if denoised(value).abs() < 10.0 { 1 } else { 0 }
}

/// Removes binary rounding errors far below any printed digit, so that a sum that is exactly a half
/// always rounds the same way (away from zero).
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn in_units(units: Units) -> Numbers<'static> {
        Numbers::new(units, Wording::built_in("en").unwrap())
    }
    fn us() -> Numbers<'static> {
        in_units(Units::Us)
    }
    fn si() -> Numbers<'static> {
        in_units(Units::Si)
    }
    fn k(d: f64) -> TemperatureDifference {
        TemperatureDifference::from_kelvin(d)
    }

    #[test]
    fn a_difference_converts_as_a_difference() {
        let d = TemperatureDifference::from_fahrenheit_degrees(20.0);
        assert_eq!(us().difference(d), "20\u{a0}°F");
        assert_eq!(si().difference(d), "11\u{a0}K");
        assert_eq!(si().difference_cell(d), "11.1");
        assert_eq!(us().quantity(d.kelvin(), "K"), "20\u{a0}°F");
        let t = Temperature::from_fahrenheit(20.0);
        assert_eq!(us().temperature(t), "20\u{a0}°F");
        assert_eq!(si().temperature(t), "\u{2212}6.7\u{a0}°C");
        assert_eq!(us().quantity(t.celsius(), "°C"), "20\u{a0}°F");
    }

    #[test]
    fn a_rate_converts_as_a_difference() {
        assert_eq!(us().quantity(5.0, "K/h"), "9\u{a0}°F an hour");
        assert_eq!(si().quantity(5.0, "K/h"), "5\u{a0}K an hour");
        assert_eq!(us().quantity(-1.0, "K/a"), "\u{2212}1.8\u{a0}°F a year");
    }

    #[test]
    fn a_value_over_its_limit_never_looks_equal_to_it() {
        // 15.04 K is 27.07 °F, over 15 K, which is 27 °F.
        assert_eq!(
            us().against(15.04, 15.0, "K"),
            ("27.1\u{a0}°F".to_owned(), "27\u{a0}°F".to_owned())
        );
        assert_eq!(
            us().against(15.0, 15.0, "K"),
            ("27\u{a0}°F".to_owned(), "27\u{a0}°F".to_owned())
        );
        // A limit that is not whole in the printed unit keeps its decimal.
        assert_eq!(
            us().against(8.3, 4.0, "K"),
            ("15\u{a0}°F".to_owned(), "7.2\u{a0}°F".to_owned())
        );
        assert_eq!(
            si().against(49.96, 50.0, "A"),
            ("49.96\u{a0}A".to_owned(), "50\u{a0}A".to_owned())
        );
    }

    #[test]
    fn value_and_uncertainty_have_the_same_decimals() {
        assert_eq!(
            us().record(8.3, Some(1.8), "K"),
            "14.9\u{a0}±\u{a0}3.2\u{a0}°F"
        );
        assert_eq!(
            si().record(60.0, Some(2.0), "°C"),
            "60.0\u{a0}±\u{a0}2.0\u{a0}°C"
        );
        assert_eq!(
            us().record(60.0, Some(2.0), "°C"),
            "140\u{a0}±\u{a0}4\u{a0}°F"
        );
        assert_eq!(us().record(9600.0, None, "W"), "9.6\u{a0}kW");
    }

    #[test]
    fn zero_has_no_sign_and_halves_round_away_from_zero() {
        assert_eq!(us().fixed(-0.04, 1), "0.0");
        assert_eq!(us().fixed(-0.05, 1), "\u{2212}0.1");
        assert_eq!(us().fixed(0.25, 1), "0.3");
        assert_eq!(us().fixed(0.1 + 0.2 - 0.05, 1), "0.3");
        assert_eq!(us().fixed(96.5, 0), "97");
        assert_eq!(us().fixed(96.499_999_999_9, 0), "97");
        assert_eq!(rounded(-0.001, 2).to_string(), "0");
        assert_eq!(rounded(0.1 + 0.2, 4), 0.3);
        assert_eq!(rounded(1.005, 2), 1.01);
    }

    #[test]
    fn sentences_are_whole_from_ten_and_keep_a_decimal_below() {
        assert_eq!(si().difference(k(9.94)), "9.9\u{a0}K");
        assert_eq!(si().difference(k(10.04)), "10\u{a0}K");
        assert_eq!(si().difference(k(4.0)), "4\u{a0}K");
    }

    #[test]
    fn electrical_and_mechanical_quantities() {
        let n = us();
        assert_eq!(n.current(Current::from_ampere(40.0)), "40\u{a0}A");
        assert_eq!(n.current(Current::from_ampere(7.25)), "7.3\u{a0}A");
        assert_eq!(n.voltage(Voltage::from_volt(241.0)), "241\u{a0}V");
        assert_eq!(n.voltage(Voltage::from_volt(0.0125)), "12.5\u{a0}mV");
        assert_eq!(n.voltage(Voltage::from_volt(0.0)), "0\u{a0}V");
        assert_eq!(n.power(Power::from_watt(9600.0)), "9.6\u{a0}kW");
        assert_eq!(n.power(Power::from_watt(3.24)), "3.2\u{a0}W");
        let torque = Torque::from_newton_metre(5.084_317_306_245_277);
        assert_eq!(n.torque(torque), "45\u{a0}in·lb");
        assert_eq!(n.torque_cell(torque), "45.0");
        assert_eq!(si().torque(torque), "5.08\u{a0}N·m");
        assert_eq!(n.length(Length::from_metre(16.764)), "55\u{a0}ft");
        assert_eq!(n.length(Length::from_metre(0.1524)), "6\u{a0}in");
        assert_eq!(si().length(Length::from_metre(0.1524)), "15.2\u{a0}cm");
        assert_eq!(si().length(Length::from_metre(0.009)), "9\u{a0}mm");
        assert_eq!(n.quantity(2.5e-4, "Ω"), "250\u{a0}µΩ");
    }

    #[test]
    fn sizes_keep_their_system() {
        assert_eq!(us().size(ConductorSize::Awg(6)), "6\u{a0}AWG");
        assert_eq!(
            si().size(ConductorSize::Awg(6)),
            "6\u{a0}AWG (13.3\u{a0}mm²)"
        );
        assert_eq!(us().size(ConductorSize::Awg(0)), "1/0\u{a0}AWG");
        assert_eq!(us().size(ConductorSize::Mm2(16.0)), "16\u{a0}mm²");
        assert_eq!(
            si().size(ConductorSize::Kcmil(250)),
            "250\u{a0}kcmil (126.7\u{a0}mm²)"
        );
    }

    #[test]
    fn times_dates_and_probabilities() {
        let n = us();
        let minutes = |m| n.duration(Duration::from_minute(m));
        assert_eq!(minutes(65.0), "65\u{a0}min");
        assert_eq!(minutes(9.96), "10\u{a0}min");
        assert_eq!(minutes(120.0), "2\u{a0}h");
        assert_eq!(minutes(134.6), "2\u{a0}h\u{a0}15\u{a0}min");
        let day = NaiveDate::from_ymd_opt(2026, 10, 6).unwrap();
        assert_eq!(us().date(day), "October 6, 2026");
        assert_eq!(si().date(day), "6 October 2026");
        assert_eq!(n.time(TimeOfDay::from_hms(9, 5, 0).unwrap()), "09:05");
        assert_eq!(n.time(TimeOfDay::from_hms(9, 5, 7).unwrap()), "09:05:07");
        assert_eq!(n.probability(0.004), "under 1\u{a0}%");
        assert_eq!(n.probability(0.5), "50\u{a0}%");
        assert_eq!(n.probability(1.0), "over 99\u{a0}%");
    }
}
