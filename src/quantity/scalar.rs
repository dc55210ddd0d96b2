//! The quantities that are a single number: newtypes over an `f64` in the SI unit.
//!
//! Parsing and printing are shared through [`Quantity`]; the units are listed in one table
//! (`unit.rs`).

use super::error::QuantityError;
use super::parse;
use super::quantity_trait::Quantity;
use super::unit::{Kind, Unit};
use serde::Serialize;

/// Declares a quantity stored as one finite `f64` in its SI unit.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $get:ident, $canonical:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("From ", stringify!($get), ".")]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }
            #[doc = concat!("In ", stringify!($get), ".")]
            pub const fn $get(self) -> f64 {
                self.0
            }
        }

        impl Quantity for $name {
            const KIND: Kind = Kind::$name;
            fn from_si(value: f64) -> Self {
                Self(value)
            }
            fn si(self) -> f64 {
                self.0
            }
        }

        impl std::str::FromStr for $name {
            type Err = QuantityError;
            fn from_str(text: &str) -> Result<Self, QuantityError> {
                parse::parse(text, None)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&self.exact(Unit::$canonical))
            }
        }
    };
}

quantity!(
    /// A thermodynamic temperature, stored in kelvin.
    Temperature, from_kelvin, kelvin, Celsius
);
quantity!(
    /// A difference of two temperatures (a rise, a margin), stored in kelvin.
    TemperatureDifference, from_kelvin, kelvin, Kelvin
);
quantity!(
    /// An electric current, stored in amperes.
    Current, from_ampere, ampere, Ampere
);
quantity!(
    /// A voltage, stored in volts.
    Voltage, from_volt, volt, Volt
);
quantity!(
    /// A power, stored in watts.
    Power, from_watt, watt, Watt
);
quantity!(
    /// A torque, stored in newton metres.
    Torque, from_newton_metre, newton_metre, NewtonMetre
);
quantity!(
    /// A length, stored in metres.
    Length, from_metre, metre, Metre
);
quantity!(
    /// A proportion, stored as a fraction (2 % is 0.02).
    Percentage, from_fraction, fraction, Percent
);
quantity!(
    /// A ratio of two like quantities (an emissivity, a distance-to-spot ratio); 12:1 is 12.
    Ratio, from_value, value, One
);
quantity!(
    /// An electric resistance, stored in ohms.
    Resistance, from_ohm, ohm, Ohm
);
quantity!(
    /// A duration, stored in seconds.
    Duration, from_second, second, Minute
);

impl Temperature {
    /// 0 °C in kelvin, exact by the definition of the Celsius scale (SI brochure, 9th ed., 2.3.4).
    pub const ZERO_CELSIUS_K: f64 = 273.15;

    /// From degrees Celsius.
    pub const fn from_celsius(t: f64) -> Self {
        Self(t + Self::ZERO_CELSIUS_K)
    }
    /// From degrees Fahrenheit: t/°C = (t/°F − 32)·5/9.
    pub const fn from_fahrenheit(t: f64) -> Self {
        Self::from_celsius((t - 32.0) * 5.0 / 9.0)
    }
    /// In degrees Celsius.
    pub const fn celsius(self) -> f64 {
        self.0 - Self::ZERO_CELSIUS_K
    }
    /// In degrees Fahrenheit.
    pub const fn fahrenheit(self) -> f64 {
        self.celsius() * 9.0 / 5.0 + 32.0
    }
}

impl TemperatureDifference {
    /// From a number of Fahrenheit degrees: 1 °F of difference is 5/9 K.
    pub const fn from_fahrenheit_degrees(d: f64) -> Self {
        Self(d * 5.0 / 9.0)
    }
    /// As a number of Fahrenheit degrees.
    pub const fn fahrenheit_degrees(self) -> f64 {
        self.0 * 9.0 / 5.0
    }
}

impl std::ops::Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl std::ops::Add<TemperatureDifference> for Temperature {
    type Output = Temperature;
    fn add(self, rise: TemperatureDifference) -> Temperature {
        Temperature(self.0 + rise.0)
    }
}

impl std::ops::Sub for TemperatureDifference {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Torque {
    /// From inch-pounds (pound-force inch); the factor is [`Unit::POUND_FORCE_INCH_NM`].
    pub const fn from_pound_force_inch(t: f64) -> Self {
        Self(t * Unit::POUND_FORCE_INCH_NM)
    }
    /// In inch-pounds.
    pub const fn pound_force_inch(self) -> f64 {
        self.0 / Unit::POUND_FORCE_INCH_NM
    }
}

impl Length {
    /// From feet: 1 ft is 0.3048 m exactly (international foot, 1959).
    pub const fn from_foot(l: f64) -> Self {
        Self(l * Unit::FOOT_M)
    }
    /// In feet.
    pub const fn foot(self) -> f64 {
        self.0 / Unit::FOOT_M
    }
    /// From inches: 1 in is 0.0254 m exactly (international inch, 1959).
    pub const fn from_inch(l: f64) -> Self {
        Self(l * Unit::INCH_M)
    }
    /// In inches.
    pub const fn inch(self) -> f64 {
        self.0 / Unit::INCH_M
    }
}

impl Duration {
    /// From minutes.
    pub const fn from_minute(m: f64) -> Self {
        Self(m * 60.0)
    }
    /// In minutes.
    pub const fn minute(self) -> f64 {
        self.0 / 60.0
    }
}
