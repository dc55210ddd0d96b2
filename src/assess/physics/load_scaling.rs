//! From the measured rise to the rise at rated load and the resulting temperature on the hottest
//! day.
//!
//! The heat generated in a joint is proportional to I²; how closely the rise follows depends on how
//! the joint sheds heat. Published practice is ΔT₂ = ΔT₁·(I₂/I₁)ⁿ with n from 1.6 to 2 (infrared
//! thermography guides; NFPA 70B (2023) 7.4 requires at least 40 % of load). Every exponent of that
//! range is as likely as the others, so the value is the mean of the distribution of (I₂/I₁)ⁿ.
//!
//! Not decided here: the range of n, which load is too low to judge, and which limit applies.

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
    /// Mean of (I_r/I)ⁿ.
    pub factor: f64,
    /// Contributions `rise`, `current` and `exponent`, kelvin.
    pub budget: Budget,
}

/// Exponents of the load, each as likely as the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exponents {
    /// Lowest exponent.
    pub low: f64,
    /// Highest exponent, not below the lowest.
    pub high: f64,
}

/// Distribution of the factor qⁿ that scales a rise to a current q times as large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factor {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation.
    pub standard: f64,
    /// Mean of n·qⁿ, the relative sensitivity to the current times the mean.
    pub by_current: f64,
}

/// Nodes and weights of Gauss–Legendre quadrature with five points on −1 to 1 (Abramowitz and
/// Stegun, Handbook of Mathematical Functions, table 25.4).
const NODES: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

impl Factor {
    /// The distribution of qⁿ for a positive ratio q of currents and equally likely exponents n.
    ///
    /// Its mean is (q^b − q^a)/((b − a)·ln q), which is above the factor for the mean exponent and
    /// below the one for the highest. The integrals over n are taken by quadrature, which for
    /// ratios up to 100 is exact to 10⁻⁹ and, unlike the closed form, also holds near q = 1.
    pub fn of(ratio: f64, exponents: Exponents) -> Self {
        // At the rated current itself the rise is the measured one, for any n.
        if ratio == 1.0 {
            let by_current = f64::midpoint(exponents.low, exponents.high);
            return Self {
                mean: 1.0,
                standard: 0.0,
                by_current,
            };
        }
        let middle = f64::midpoint(exponents.low, exponents.high);
        let half = 0.5 * (exponents.high - exponents.low);
        let at = |f: &dyn Fn(f64) -> f64| {
            let terms = NODES.iter().map(|(x, w)| 0.5 * w * f(middle + half * x));
            terms.sum::<f64>()
        };
        let mean = at(&|n| libm::pow(ratio, n));
        let variance = at(&|n| {
            let off = libm::pow(ratio, n) - mean;
            off * off
        });
        Self {
            mean,
            standard: variance.max(0.0).sqrt(),
            by_current: at(&|n| n * libm::pow(ratio, n)),
        }
    }
}

/// A rise times a factor of the load. What is colder than the air is an error of reading, which no
/// current made: it stays as it is, so that the same reading at a lower current, which is scaled
/// further, never shows less.
pub fn scaled(rise: f64, factor: f64) -> f64 {
    if rise > 0.0 { rise * factor } else { rise }
}

/// Mean rise R·(I_r/I)ⁿ at the rated current over equally likely exponents; `None` unless both
/// currents are positive and everything is finite.
///
/// First order (JCGM 100:2008, 5.1.2) in R and I, with ∂/∂R = mean of (I_r/I)ⁿ and ∂/∂I = −R/I ×
/// mean of n·(I_r/I)ⁿ; the exponent contributes R times the standard deviation of (I_r/I)ⁿ.
pub fn at_rated(at: &AtLoad, rated: Current, exponents: Exponents) -> Option<Scaled> {
    let (i, rated) = (at.current.ampere(), rated.ampere());
    if !(i > 0.0 && rated > 0.0) {
        return None;
    }
    let factor = Factor::of(rated / i, exponents);
    let measured = at.rise.kelvin();
    let rise = scaled(measured, factor.mean);
    let mut budget = Budget::new()
        .with("rise", factor.mean, at.u_rise.kelvin())
        .with(
            "current",
            measured * factor.by_current / i,
            at.u_current.ampere(),
        );
    if exponents.high > exponents.low {
        budget = budget.with("exponent", measured, factor.standard);
    }
    (rise.is_finite() && budget.standard().is_finite()).then(|| Scaled {
        rise: TemperatureDifference::from_kelvin(rise),
        factor: factor.mean,
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
