//! The trade's physical quantities as distinct types, stored in SI units, with their accepted
//! spellings and printed forms.
//!
//! A temperature and a temperature difference are two types because they convert differently: 20 °F
//! of rise is 11.1 K, 20 °F of air is −6.7 °C. For the same reason every quantity has a type: an
//! ampere cannot be added to a volt by mistake, and a number without a unit is accepted only if the
//! caller specifies its unit.
//!
//! # Accepted spellings
//!
//! A quantity is a number followed by a unit; spaces between them do not matter.
//!
//! | quantity | spellings |
//! | --- | --- |
//! | number | `45`, `-6.5`, `−6.5` (Unicode minus), `+3`; for lengths also `3/8` and `1 1/2`. A decimal comma is refused, since `1,000` reads as one or as a thousand. |
//! | temperature | `77 °F`, `77F`, `77 degF`, `77 ° F`, `77 ºF`, `25 °C`, `298 K` |
//! | temperature difference | the same units, read as differences |
//! | current, voltage, power | `40 A`, `300 mA`, `240 V`, `12 mV`, `0.4 kV`, `9600 W`, `9.6 kW` |
//! | torque | `45 in·lb`, `45 in-lb`, `45 in lb`, `45 lbf·in`, `45 lb-in`, `4 ft·lb`, `5 N·m`, `5 Nm`, `5 N-m`, `120 cN·m` |
//! | length | `55 ft`, `6 in`, `5 ft 6 in`, `5' 6"`, `16.8 m`, `15 cm`, `10 mm` |
//! | conductor size | `6 AWG`, `#6 AWG`, `AWG 6`, `1/0 AWG`, `250 kcmil`, `250 MCM`, `16 mm²`, `16 mm2`, `16 sq mm` |
//! | percentage | `2 %`, `2 percent` |
//! | ratio | `0.95`, `12:1` |
//! | duration | `15 min`, `1 h 5 min`, `90 s` |
//! | resistance | `83 Ω`, `83 ohm` |
//! | time of day | `09:50`, `9:50`, `09:50:30`, `2:05 pm` |
//!
//! Upper and lower case are interchangeable unless that could mislead: `45 IN-LB` is fine, but `300
//! MA` is rejected, because `M` is mega and `m` is milli.
//!
//! # Printed forms
//!
//! [`Display`](std::fmt::Display) is the form for files: an SI unit, an ordinary space, an ASCII
//! minus, and as many digits as are needed to parse back to the identical value.
//! [`Quantity::exact`] is the same in the reader's units. [`Quantity::print`] is the form for
//! people: fixed decimals, a true minus sign (U+2212) and a no-break space (U+00A0) before the
//! unit.
//!
//! Plausible ranges are in [`plausible`]. This module does not apply rules to values.

mod clock;
mod conductor_size;
pub mod contrast;
mod error;
mod parse;
pub mod plausible;
mod print;
mod quantity_trait;
mod scalar;
mod unit;

pub use clock::TimeOfDay;
pub use conductor_size::ConductorSize;
pub use error::QuantityError;
pub use parse::{parse, parse_with_unit};
pub use print::{MINUS, NBSP, System, number};
pub use quantity_trait::Quantity;
pub use scalar::{
    Current, Duration, Length, Percentage, Power, Ratio, Resistance, Temperature,
    TemperatureDifference, Torque, Voltage,
};
pub use unit::{Kind, Unit};
