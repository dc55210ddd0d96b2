//! Plausible ranges: one table with the name, the limits and the reason of each.
//!
//! These are not thresholds of a rule. They catch slips: a wrong unit, a missing decimal point, a
//! digit too many. A *firm* range is a physical limit or follows from the subject, and no value
//! outside it is accepted. A value outside any other range is accepted after a second look
//! (`confirmed: true` next to it). Unless a source is given, the limit is the authors' choice for
//! the stated reason.

use super::quantity_trait::Quantity;
use super::scalar::{
    Current, Duration, Length, Percentage, Ratio, Resistance, Temperature, TemperatureDifference,
    Torque, Voltage,
};
use super::unit::Unit;

/// A plausible range, limits included.
#[derive(Debug, Clone, Copy)]
pub struct Range<Q: 'static> {
    /// The value's name in a sentence, with an article.
    pub name: &'static str,
    /// Smallest plausible value.
    pub least: Q,
    /// Largest plausible value.
    pub most: Q,
    /// True if no value outside is accepted, false if a confirmed one is.
    pub firm: bool,
    /// Where the limits come from.
    pub why: &'static str,
}

/// A value outside its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{value} is not plausible for {name} ({least} to {most}): {why}")]
pub struct RangeError {
    /// The value, in the unit in which it was written.
    pub value: String,
    /// The range's name for the value.
    pub name: &'static str,
    /// Smallest plausible value, in the same unit.
    pub least: String,
    /// Largest plausible value, in the same unit.
    pub most: String,
    /// Where the limits come from.
    pub why: &'static str,
    /// True if no value outside is accepted.
    pub firm: bool,
}

impl<Q: Quantity> Range<Q> {
    /// Whether the value is within the range.
    pub fn holds(&self, value: Q) -> bool {
        self.least <= value && value <= self.most
    }

    /// Rejects a value outside the range; the message uses `unit`.
    ///
    /// # Errors
    /// The value is below the smallest or above the largest plausible value.
    pub fn check(&self, value: Q, unit: Unit) -> Result<(), RangeError> {
        if self.holds(value) {
            return Ok(());
        }
        let say = |q: Q| {
            let number = q.value_in(unit);
            let text = super::print::number(number, if number.abs() < 1.0 { 4 } else { 1 });
            let v = if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.')
            } else {
                &text
            };
            if unit.symbol().is_empty() {
                v.to_owned()
            } else {
                format!("{v} {}", unit.symbol())
            }
        };
        Err(RangeError {
            value: say(value),
            name: self.name,
            least: say(self.least),
            most: say(self.most),
            why: self.why,
            firm: self.firm,
        })
    }
}

/// A reading at a connection.
pub const READING: Range<Temperature> = Range {
    name: "a reading at a connection",
    least: Temperature::from_celsius(-40.0),
    most: Temperature::from_celsius(250.0),
    firm: false,
    why: "insulation chars long before, and no such instrument works in deeper cold",
};

/// Air temperature in a round.
pub const AIR: Range<Temperature> = Range {
    name: "the air at a site",
    least: Temperature::from_celsius(-50.0),
    most: Temperature::from_celsius(70.0),
    firm: false,
    why: "people work in it",
};

/// Hottest expected air temperature; also the ambient temperature of a run.
pub const HOTTEST_AIR: Range<Temperature> = Range {
    name: "the hottest air along the run",
    least: Temperature::from_celsius(-10.0),
    most: Temperature::from_celsius(90.0),
    firm: true,
    why: "ambient corrections are tabled up to 85 °C (NFPA 70, 2023, Table 310.15(B)(1)(1))",
};

/// Reflected temperature at a target, and the instrument's setting for it.
pub const REFLECTED: Range<Temperature> = Range {
    name: "a reflected temperature",
    least: Temperature::from_celsius(-80.0),
    most: Temperature::from_celsius(250.0),
    firm: true,
    why: "a clear sky reflects as cold as −80 °C, and hotter surroundings than a terminal's own limit are no place to measure",
};

/// Temperature rating of a terminal, a receptacle or insulation.
pub const RATING: Range<Temperature> = Range {
    name: "a temperature rating",
    least: Temperature::from_celsius(40.0),
    most: Temperature::from_celsius(250.0),
    firm: true,
    why: "conductors and terminals for buildings are rated from 60 °C to 250 °C (NFPA 70, 2023, Table 310.4(1))",
};

/// Fixed half-width of a thermometer's accuracy.
pub const ACCURACY_TEMPERATURE: Range<TemperatureDifference> = Range {
    name: "a thermometer's accuracy",
    least: TemperatureDifference::from_kelvin(0.01),
    most: TemperatureDifference::from_kelvin(20.0),
    firm: true,
    why: "spot instruments are within some 2 °C (common practice, no source)",
};

/// Standard deviation of a thermometer's repeated readings.
pub const REPEATABILITY: Range<TemperatureDifference> = Range {
    name: "a thermometer's repeatability",
    least: TemperatureDifference::from_kelvin(0.01),
    most: TemperatureDifference::from_kelvin(10.0),
    firm: true,
    why: "repeated readings of a spot instrument differ by less than its accuracy of some 2 °C (common practice, no source)",
};

/// Accuracy as a proportion of the reading.
pub const ACCURACY_SHARE: Range<Percentage> = Range {
    name: "an accuracy",
    least: Percentage::from_fraction(0.000_1),
    most: Percentage::from_fraction(0.3),
    firm: true,
    why: "an instrument worse than 30 % measures nothing",
};

/// Fixed half-width of a torque tool's accuracy.
pub const ACCURACY_TORQUE: Range<Torque> = Range {
    name: "a torque tool's accuracy",
    least: Torque::from_newton_metre(0.001),
    most: Torque::from_newton_metre(30.0),
    firm: true,
    why: "30 % of the greatest torque taken",
};

/// Fixed half-width of a voltmeter's accuracy.
pub const ACCURACY_VOLTAGE: Range<Voltage> = Range {
    name: "a voltmeter's accuracy",
    least: Voltage::from_volt(0.000_001),
    most: Voltage::from_volt(50.0),
    firm: true,
    why: "50 V can no longer be distinguished from dead",
};

/// Fixed half-width of an ammeter's accuracy.
pub const ACCURACY_CURRENT: Range<Current> = Range {
    name: "an ammeter's accuracy",
    least: Current::from_ampere(0.001),
    most: Current::from_ampere(50.0),
    firm: true,
    why: "a coarser meter cannot measure a charger's load",
};

/// Rated current of a charger, rating of a breaker, load of a feeder.
pub const RATED_CURRENT: Range<Current> = Range {
    name: "a rated current",
    least: Current::from_ampere(1.0),
    most: Current::from_ampere(6000.0),
    firm: true,
    why: "standard ratings end at 6,000 A (NFPA 70, 2023, 240.6(A))",
};

/// Current measured in a round.
pub const LOAD_CURRENT: Range<Current> = Range {
    name: "the current in a round",
    least: Current::from_ampere(0.0),
    most: Current::from_ampere(6000.0),
    firm: true,
    why: "it is written without a direction, and standard ratings end at 6,000 A (NFPA 70, 2023, 240.6(A))",
};

/// Nominal voltage of a supply, and voltage in a round.
pub const SUPPLY_VOLTAGE: Range<Voltage> = Range {
    name: "a supply voltage",
    least: Voltage::from_volt(50.0),
    most: Voltage::from_volt(1000.0),
    firm: true,
    why: "low voltage ends at 1,000 V ac (IEC 60038), and a charger takes no extra-low voltage",
};

/// Rated residual current of a residual-current device.
pub const RESIDUAL_CURRENT: Range<Current> = Range {
    name: "a rated residual current",
    least: Current::from_ampere(0.005),
    most: Current::from_ampere(30.0),
    firm: true,
    why: "residual-current devices are made from 6 mA to 30 A (IEC 60755, from memory)",
};

/// Time after which a residual-current device tripped.
pub const TRIP_TIME: Range<Duration> = Range {
    name: "a tripping time",
    least: Duration::from_second(0.001),
    most: Duration::from_second(10.0),
    firm: true,
    why: "testers show milliseconds and give up after some seconds",
};

/// Voltage shown by a tester.
pub const TESTED_VOLTAGE: Range<Voltage> = Range {
    name: "a voltage at a tester",
    least: Voltage::from_volt(0.0),
    most: Voltage::from_volt(1100.0),
    firm: true,
    why: "low voltage ends at 1,000 V ac (IEC 60038), with 10 % to spare",
};

/// Voltage across one connection under load.
pub const DROP: Range<Voltage> = Range {
    name: "a voltage drop across one connection",
    least: Voltage::from_volt(0.0),
    most: Voltage::from_volt(10.0),
    firm: true,
    why: "10 V across one connection at 40 A would be 400 W in it",
};

/// Torque specified, found or left.
pub const TORQUE: Range<Torque> = Range {
    name: "a torque at a connection",
    least: Torque::from_newton_metre(0.1),
    most: Torque::from_newton_metre(100.0),
    firm: true,
    why: "the fallback table goes from 7 to 825 in·lb (NFPA 70, 2023, Informative Annex I)",
};

/// One-way length of a run.
pub const RUN: Range<Length> = Range {
    name: "the length of a run",
    least: Length::from_metre(0.1),
    most: Length::from_metre(2000.0),
    firm: true,
    why: "low-voltage runs end well before 2 km",
};

/// Distance from instrument to target.
pub const DISTANCE: Range<Length> = Range {
    name: "a measuring distance",
    least: Length::from_metre(0.001),
    most: Length::from_metre(30.0),
    firm: true,
    why: "from contact range to across a plant room",
};

/// Width of a target.
pub const TARGET: Range<Length> = Range {
    name: "the width of a target",
    least: Length::from_metre(0.000_5),
    most: Length::from_metre(1.0),
    firm: true,
    why: "a terminal is between half a millimetre and a metre wide",
};

/// Emissivity of a surface or setting of an instrument.
pub const EMISSIVITY: Range<Ratio> = Range {
    name: "an emissivity",
    least: Ratio::from_value(0.01),
    most: Ratio::from_value(1.0),
    firm: true,
    why: "no surface emits more than a black body, and polished metal about 0.02",
};

/// Distance to spot of an infrared instrument.
pub const DISTANCE_TO_SPOT: Range<Ratio> = Range {
    name: "a distance-to-spot ratio",
    least: Ratio::from_value(1.0),
    most: Ratio::from_value(1000.0),
    firm: true,
    why: "hand instruments lie between 1:1 and some 300:1 (common practice, no source)",
};

/// Resistance of an earth electrode.
pub const EARTH_RESISTANCE: Range<Resistance> = Range {
    name: "the resistance of an earth electrode",
    least: Resistance::from_ohm(0.05),
    most: Resistance::from_ohm(20_000.0),
    firm: true,
    why: "rods in any soil lie between a tenth of an ohm and some kilohms",
};
