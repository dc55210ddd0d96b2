//! From the measured rise to the rise at rated load and the resulting temperature on the hottest
//! day.
//!
//! The heat generated in a joint is proportional to I²; how closely the rise follows depends on how
//! the joint sheds heat. Published practice is ΔT₂ = ΔT₁·(I₂/I₁)ⁿ with n from 1.6 to 2 (infrared
//! thermography guides; NFPA 70B (2023) 7.4 requires at least 40 % of load). n = 2 gives the larger
//! rise when scaling up.
//!
//! Not decided here: the value of n, which load is too low to judge, and which limit applies.

use super::uncertainty::{Budget, probability_over};
use crate::quantity::{Current, Temperature, TemperatureDifference};

/// A rise measured or fitted at a current, with standard uncertainties.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtLoad {
    /// The rise.
    pub rise: TemperatureDifference,
    /// Its standard uncertainty.
    pub u_rise: TemperatureDifference,
    /// The current to which it refers.
    pub current: Current,
    /// Standard uncertainty of the current.
    pub u_current: Current,
}

/// A rise at another current, with the sources of its uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Scaled {
    /// The rise at that current.
    pub rise: TemperatureDifference,
    /// (I_r/I)ⁿ.
    pub factor: f64,
    /// Contributions `rise`, `current` and `exponent`, kelvin.
    pub budget: Budget,
}

/// Rise R·(I_r/I)ⁿ at the rated current; `None` unless both currents are positive and everything is
/// finite. `u_exponent` is the standard uncertainty of n (0 if the rule fixes it).
///
/// First order (JCGM 100:2008, 5.1.2) with ∂/∂R = (I_r/I)ⁿ, ∂/∂I = −n·R/I·(I_r/I)ⁿ and
/// ∂/∂n = R·(I_r/I)ⁿ·ln(I_r/I).
pub fn at_rated(at: &AtLoad, rated: Current, exponent: f64, u_exponent: f64) -> Option<Scaled> {
    let (i, rated) = (at.current.ampere(), rated.ampere());
    if !(i > 0.0 && rated > 0.0) {
        return None;
    }
    let ratio = rated / i;
    // At the rated current itself the rise is the measured one, for any n.
    let factor = if ratio == 1.0 {
        1.0
    } else {
        libm::pow(ratio, exponent)
    };
    let rise = at.rise.kelvin() * factor;
    let mut budget = Budget::new().with("rise", factor, at.u_rise.kelvin()).with(
        "current",
        exponent * rise / i,
        at.u_current.ampere(),
    );
    if u_exponent > 0.0 {
        budget = budget.with("exponent", rise * libm::log(ratio), u_exponent);
    }
    (rise.is_finite() && budget.standard().is_finite()).then(|| Scaled {
        rise: TemperatureDifference::from_kelvin(rise),
        factor,
        budget,
    })
}

/// An expected temperature on the hottest day at rated load, compared with a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Projected {
    /// Hottest air plus rise at rated load.
    pub temperature: Temperature,
    /// Limit minus that temperature; negative if it is exceeded.
    pub margin: TemperatureDifference,
    /// Standard uncertainty of both.
    pub standard: TemperatureDifference,
    /// Probability, 0 to 1, that the true temperature would exceed the limit.
    pub probability_over: f64,
}

/// Projects a rise onto the hottest air temperature. The air is a design value, so it adds no
/// uncertainty.
///
/// The rise is assumed to be the same in hot air as in cold. Two neglected effects partly
/// compensate: from 16 °C to 40 °C copper generates 9 % more heat (α₂₀ = 0.393 % per kelvin, IEC
/// 60287-1-1 Table 1), while radiation, about half of what a small body sheds, removes 27 % more
/// for the same rise (T³).
pub fn projected(
    hottest_air: Temperature,
    rise: TemperatureDifference,
    u_rise: TemperatureDifference,
    limit: Temperature,
) -> Projected {
    let temperature = hottest_air + rise;
    Projected {
        temperature,
        margin: limit - temperature,
        standard: u_rise,
        probability_over: probability_over(temperature.kelvin(), u_rise.kelvin(), limit.kelvin()),
    }
}
