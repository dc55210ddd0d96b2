//! Physical quantities of the trade as types of their own, SI inside.
//!
//! A temperature and a difference of temperatures are two types because they convert
//! differently: 20 °F of rise is 11.1 K, 20 °F of air is −6.7 °C.

use serde::Serialize;

/// Declares a quantity stored as one finite `f64` in its SI unit.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $get:ident) => {
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
    };
}

quantity!(
    /// A thermodynamic temperature, kelvin inside.
    Temperature, from_kelvin, kelvin
);
quantity!(
    /// A difference of two temperatures (a rise, a margin), kelvin inside.
    TemperatureDifference, from_kelvin, kelvin
);
quantity!(
    /// An electric current, ampere inside.
    Current, from_ampere, ampere
);
quantity!(
    /// A voltage, volt inside.
    Voltage, from_volt, volt
);
quantity!(
    /// A power, watt inside.
    Power, from_watt, watt
);
quantity!(
    /// A torque, newton metre inside.
    Torque, from_newton_metre, newton_metre
);
quantity!(
    /// A length, metre inside.
    Length, from_metre, metre
);
quantity!(
    /// A share of a whole, a fraction inside (2 % is 0.02).
    Percentage, from_fraction, fraction
);
quantity!(
    /// A ratio of two like quantities (an emissivity, a distance-to-spot), 12:1 is 12.
    Ratio, from_value, value
);
quantity!(
    /// A span of time, second inside.
    Duration, from_second, second
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

/// A time of day on the site's clock, whole seconds since midnight (0 to 86,399).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct TimeOfDay(u32);

impl TimeOfDay {
    /// From hours (0–23), minutes (0–59) and seconds (0–59); `None` outside.
    pub const fn from_hms(h: u32, m: u32, s: u32) -> Option<Self> {
        if h < 24 && m < 60 && s < 60 {
            Some(Self(h * 3600 + m * 60 + s))
        } else {
            None
        }
    }
    /// Whole seconds since midnight.
    pub const fn seconds(self) -> u32 {
        self.0
    }
}

/// A conductor's size in the trade's three systems.
///
/// Different systems are not interchangeable (6 AWG is 13.3 mm², not 16 mm²), so the system is
/// kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConductorSize {
    /// American Wire Gauge: 14 to 1 as themselves, 1/0 to 4/0 as 0, −1, −2, −3 (ASTM B258).
    Awg(i8),
    /// Thousand circular mils.
    Kcmil(u16),
    /// Nominal cross-section in square millimetres.
    Mm2(f64),
}
