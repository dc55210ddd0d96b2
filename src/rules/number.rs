//! The kinds of numbers in rule sets: how each is written, and the range outside of which it must
//! be a typing error.

use crate::quantity::{
    self, Current, Duration, Percentage, Quantity, Temperature, TemperatureDifference, Torque,
    Voltage,
};
use crate::rules::positioned::{Node, Value};

/// How a number of a kind is written, which also determines the unit in which it is stored.
#[derive(Debug, Clone, Copy)]
enum Written {
    /// A number without a unit.
    Plain,
    /// A quantity of the trade, kept in its SI unit.
    Share,
    Difference,
    Temperature,
    Voltage,
    Current,
    Torque,
    Duration,
    /// A quantity in units that only rule sets use: the spellings of each unit, and its value in
    /// the stored unit.
    Of(&'static [(&'static str, f64)]),
}

/// A kind of number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    written: Written,
    /// Smallest and largest plausible value, in the stored unit.
    min: f64,
    max: f64,
    /// The form to write, for messages.
    pub(super) example: &'static str,
    /// The range in words.
    range: &'static str,
}

const fn kind(
    written: Written,
    min: f64,
    max: f64,
    example: &'static str,
    range: &'static str,
) -> Kind {
    Kind {
        written,
        min,
        max,
        example,
        range,
    }
}

/// Ranges are the authors' choice: wide enough for any intended value, narrow enough to catch a
/// wrong digit or unit.
#[rustfmt::skip]
impl Kind {
    /// Exponents of load.
    pub(super) const EXPONENT: Kind = kind(Written::Plain, 1.0, 2.5, "2", "1 to 2.5");
    /// Coverage factors.
    pub(super) const COVERAGE: Kind = kind(Written::Plain, 1.0, 4.0, "2", "1 to 4");
    /// Factors on a load or an ampacity.
    pub(super) const FACTOR: Kind = kind(Written::Plain, 0.1, 3.0, "1.25", "0.1 to 3");
    /// Shares of a whole.
    pub(super) const SHARE: Kind = kind(Written::Share, 0.0, 1.0, "40 %", "0 % to 100 %");
    /// Ratio of spot to target.
    pub(super) const SPOT_SHARE: Kind = kind(Written::Share, 0.1, 2.0, "50 %", "10 % to 200 %");
    /// Emissivities.
    pub(super) const EMISSIVITY: Kind = kind(Written::Plain, 0.01, 1.0, "0.95", "0.01 to 1");
    /// Durations, stored in seconds.
    pub(super) const DURATION: Kind = kind(Written::Duration, 60.0, 86_400.0, "45 min", "1 min to 24 h");
    /// Times in which a fault is disconnected, stored in seconds.
    pub(super) const DISCONNECTION: Kind = kind(Written::Duration, 0.01, 10.0, "0.4 s", "0.01 s to 10 s");
    /// Intervals between visits.
    pub(super) const MONTHS: Kind = kind(
        Written::Of(&[("months", 1.0), ("month", 1.0), ("years", 12.0), ("year", 12.0)]),
        1.0, 120.0, "6 months", "1 month to 10 years",
    );
    /// Temperature differences, stored in kelvin.
    pub(super) const DIFFERENCE: Kind = kind(Written::Difference, -100.0, 300.0, "4 K", "-100 K to 300 K");
    /// Rates of change of temperature, stored in K/h.
    pub(super) const RATE: Kind = kind(
        Written::Of(&[("K/h", 1.0), ("°C/h", 1.0), ("°F/h", 5.0 / 9.0)]),
        0.1, 60.0, "1 K/h", "0.1 K/h to 60 K/h",
    );
    /// Temperatures, stored in kelvin.
    pub(super) const TEMPERATURE: Kind = kind(
        Written::Temperature,
        Temperature::ZERO_CELSIUS_K - 60.0, Temperature::ZERO_CELSIUS_K + 250.0,
        "40 °C", "-60 °C to 250 °C",
    );
    /// Voltages.
    pub(super) const VOLT: Kind = kind(Written::Voltage, 0.0, 1000.0, "3 V", "0 V to 1000 V");
    /// Voltage drops across a connection.
    pub(super) const DROP: Kind = kind(Written::Voltage, 0.000_1, 1.0, "22.5 mV", "0.1 mV to 1 V");
    /// Currents.
    pub(super) const CURRENT: Kind = kind(Written::Current, 0.0, 6000.0, "100 A", "0 A to 6000 A");
    /// Torques, stored in newton metres.
    pub(super) const TORQUE: Kind = kind(Written::Torque, 0.1, 200.0, "45 in·lb", "0.1 N·m to 200 N·m");
    /// Energy per year, stored in kWh.
    pub(super) const ENERGY: Kind = kind(Written::Of(&[("kWh", 1.0)]), 10.0, 1e6, "3500 kWh", "10 kWh to 1000000 kWh");
    /// Counts.
    pub(super) const COUNT: Kind = kind(Written::Plain, 0.0, 1000.0, "3", "0 to 1000");
    /// Resistances of a conductor, Ω/m; no conductor in a building is outside this range.
    pub(super) const OHM_PER_METRE: Kind = kind(Written::Plain, 1e-5, 0.1, "0.491", "0.00001 Ω/m to 0.1 Ω/m");
    /// Temperature coefficients of resistance, 1/K.
    pub(super) const PER_KELVIN: Kind = kind(Written::Plain, 1e-3, 1e-2, "0.00393", "0.001 to 0.01");

    /// The number in the stored unit, or what is wrong with it.
    pub(super) fn parse(self, node: &Node) -> Result<f64, String> {
        let inside = match &node.value {
            Value::Number(n) => match self.written {
                Written::Plain => *n,
                _ => return Err(format!("is `{n}`, without a unit")),
            },
            Value::Text(t) => self.parse_text(t.trim())?,
            _ => return Err(format!("is {}, not a number", kind_of(node))),
        };
        self.within(inside, node)
    }

    /// A number of a table without its own unit, or what is wrong with it.
    pub(super) fn parse_in_table(self, node: &Node, unit: f64) -> Result<f64, String> {
        let Value::Number(n) = node.value else {
            return Err(format!(
                "is {}, not a bare number; the table's unit is given at `unit:`",
                kind_of(node)
            ));
        };
        self.within(n * unit, node)
    }

    fn within(self, inside: f64, node: &Node) -> Result<f64, String> {
        if inside.is_finite() && self.min <= inside && inside <= self.max {
            Ok(inside)
        } else {
            Err(format!("is {}, outside {}", node.summary(), self.range))
        }
    }

    fn parse_text(self, text: &str) -> Result<f64, String> {
        fn of<Q: Quantity>(text: &str) -> Result<f64, String> {
            quantity::parse::<Q>(text, None)
                .map(Quantity::si)
                .map_err(|e| format!("is wrong: {e}"))
        }
        match self.written {
            Written::Plain => text
                .parse()
                .map_err(|_| format!("is `{text}`, not a number without a unit")),
            Written::Share => of::<Percentage>(text),
            Written::Difference => of::<TemperatureDifference>(text),
            Written::Temperature => of::<Temperature>(text),
            Written::Voltage => of::<Voltage>(text),
            Written::Current => of::<Current>(text),
            Written::Torque => of::<Torque>(text),
            Written::Duration => of::<Duration>(text),
            Written::Of(units) => {
                let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
                let number: f64 = number
                    .parse()
                    .map_err(|_| format!("is `{text}`, not a number with its unit"))?;
                units
                    .iter()
                    .find(|(u, _)| *u == unit.trim())
                    .map(|(_, one)| number * one)
                    .ok_or_else(|| format!("is `{text}`, in a unit that does not fit here"))
            }
        }
    }
}

/// The kind of a node, for messages.
pub(super) fn kind_of(node: &Node) -> &'static str {
    match node.value {
        Value::Null => "empty",
        Value::Bool(_) => "a yes-or-no",
        Value::Number(_) => "a number",
        Value::Text(_) => "text",
        Value::List(_) => "a list",
        Value::Map(_) => "a map",
    }
}
