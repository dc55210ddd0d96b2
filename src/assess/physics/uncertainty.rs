//! Uncertainty of readings and of values computed from them, according to the GUM (JCGM 100:2008),
//! and the probability that a true value exceeds a limit (JCGM 106:2012).
//!
//! Correlation between two readings of one instrument: its accuracy is mostly a bias that all its
//! readings have in common, and only its repeatability differs from reading to reading. [`Errors`]
//! keeps the two apart, so that the bias cancels in a difference and nowhere else. [`Pair::common`]
//! removes a known common part; with none (r = 0) a difference gets the larger uncertainty, which
//! is conservative.
//!
//! Not decided here: where the numbers come from, and the grade of a value.

use crate::quantity::{Temperature, TemperatureDifference};

/// Coverage factor of about 95 % for a normal distribution, as customary (JCGM 100:2008, 6.3.3).
pub const COVERAGE: f64 = 2.0;

/// Accuracy of an instrument as its maker states it: the larger of two half-widths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Proportion of the reading in degrees Celsius, as a fraction (2 % is 0.02); not negative.
    pub of_reading: f64,
    /// Least half-width, kelvin; not negative.
    pub at_least_k: f64,
}

impl Accuracy {
    /// Half-width a = max(at least, share × |t/°C|) at this reading, kelvin.
    ///
    /// The proportion refers to the Celsius reading, as manufacturers of spot thermometers state
    /// it.
    pub fn half_width(&self, shown: Temperature) -> TemperatureDifference {
        TemperatureDifference::from_kelvin(
            self.at_least_k.max(self.of_reading * shown.celsius().abs()),
        )
    }

    /// Standard uncertainty u = a/√3 of a reading: only the half-width is known, so every value
    /// within it is equally likely (JCGM 100:2008, 4.3.7).
    pub fn standard(&self, shown: Temperature) -> TemperatureDifference {
        TemperatureDifference::from_kelvin(rectangular(self.half_width(shown).kelvin()))
    }
}

/// Standard uncertainty of a value known only to lie within ±`half_width`: a/√3
/// (JCGM 100:2008, 4.3.7).
pub fn rectangular(half_width: f64) -> f64 {
    half_width.abs() / 3f64.sqrt()
}

/// Standard uncertainty of a value known only to lie between two bounds, with equal probability:
/// (high − low)/√12 (JCGM 100:2008, 4.3.7).
pub fn between(low: f64, high: f64) -> f64 {
    rectangular((high - low) / 2.0)
}

/// Expanded uncertainty U = k·u (JCGM 100:2008, 6.2.1).
pub fn expanded(standard: f64, coverage: f64) -> f64 {
    standard * coverage
}

/// Square root of the sum of squares: independent contributions (JCGM 100:2008, 5.1.2).
pub fn root_sum_square(parts: impl IntoIterator<Item = f64>) -> f64 {
    parts.into_iter().fold(0.0, libm::hypot)
}

/// Statistics of repeated readings (type A evaluation, JCGM 100:2008, 4.2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeated {
    /// Arithmetic mean.
    pub mean: f64,
    /// Standard uncertainty of the mean, s/√n; 0 for a single reading, which shows no scatter.
    pub standard: f64,
    /// Experimental standard deviation s of one reading; 0 for a single reading.
    pub deviation: f64,
    /// Degrees of freedom, n − 1.
    pub degrees: usize,
}

/// Mean and scatter of several readings; `None` for an empty list.
pub fn repeated(readings: &[f64]) -> Option<Repeated> {
    let first = *readings.first()?;
    let n = readings.len() as f64;
    // Relative to the first reading, so that equal readings show no scatter from rounding.
    let offset = readings.iter().map(|r| r - first).sum::<f64>() / n;
    let mean = first + offset;
    let degrees = readings.len() - 1;
    let deviation = if degrees == 0 {
        0.0
    } else {
        let squares: f64 = readings
            .iter()
            .map(|r| r - first - offset)
            .map(|d| d * d)
            .sum();
        (squares / degrees as f64).sqrt()
    };
    Some(Repeated {
        mean,
        standard: deviation / n.sqrt(),
        deviation,
        degrees,
    })
}

/// Two readings whose difference is computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Standard uncertainty of the first.
    pub first: f64,
    /// Standard uncertainty of the second.
    pub second: f64,
    /// Part of both standard uncertainties that is the same error in both readings and therefore
    /// cancels in their difference; 0 if unknown, which is conservative. At most the smaller of the
    /// two is used.
    pub common: f64,
}

impl Pair {
    /// No common part: r = 0.
    pub const fn independent(first: f64, second: f64) -> Self {
        Self {
            first,
            second,
            common: 0.0,
        }
    }

    /// Standard uncertainty of the difference, √(u₁² + u₂² − 2·r·u₁·u₂) with
    /// r·u₁·u₂ = common² (JCGM 100:2008, 5.2.2 and F.1.2.3).
    pub fn difference(&self) -> f64 {
        let common = self
            .common
            .abs()
            .min(self.first.abs())
            .min(self.second.abs());
        let own = |u: f64| ((u - common) * (u + common)).max(0.0).sqrt();
        libm::hypot(own(self.first.abs()), own(self.second.abs()))
    }
}

/// Standard uncertainty of one reading, split by whether other readings have the same error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// Part that no other reading has: repeatability, and the emissivity of this surface.
    pub own: f64,
    /// Part that is the same error in every reading of the instrument.
    pub bias: f64,
}

impl Errors {
    /// Splits a standard uncertainty, given the part of it that comes from the instrument's
    /// accuracy, and the part of the latter that differs from reading to reading.
    pub fn of(standard: f64, instrument: f64, scatter: f64) -> Self {
        let left = |whole: f64, part: f64| ((whole - part) * (whole + part)).max(0.0).sqrt();
        let bias = left(instrument, scatter);
        Self {
            own: left(standard, bias),
            bias,
        }
    }

    /// Standard uncertainty of the reading itself, √(own² + bias²).
    pub fn standard(&self) -> f64 {
        libm::hypot(self.own, self.bias)
    }

    /// Standard uncertainty of the difference to another reading of the same instrument,
    /// √(own₁² + own₂² + (bias₁ − bias₂)²): the biases are fully correlated
    /// (JCGM 100:2008, 5.2.2, r = 1).
    pub fn difference(&self, other: &Self) -> f64 {
        root_sum_square([self.own, other.own, self.bias - other.bias])
    }
}

/// One source of uncertainty of a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// Key of the source (`instrument`, `emissivity`, `air`), for the wording to name.
    pub name: &'static str,
    /// Contribution |c·u| to the result's standard uncertainty, in the result's unit.
    pub standard: f64,
    /// Degrees of freedom; `None` for a type B evaluation assumed to be exactly known.
    pub degrees: Option<f64>,
    /// Share of the result's variance, 0 to 1.
    pub share: f64,
}

/// The sources of uncertainty of one result, independent of each other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Budget {
    contributions: Vec<Contribution>,
    standard: f64,
}

impl Budget {
    /// No contributions yet: no uncertainty.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a source: its sensitivity c = ∂y/∂x and its standard uncertainty u.
    #[must_use]
    pub fn with(self, name: &'static str, sensitivity: f64, standard: f64) -> Self {
        self.with_degrees(name, sensitivity, standard, None)
    }

    /// Adds a source with its degrees of freedom.
    #[must_use]
    pub fn with_degrees(
        mut self,
        name: &'static str,
        sensitivity: f64,
        standard: f64,
        degrees: Option<f64>,
    ) -> Self {
        self.contributions.push(Contribution {
            name,
            standard: (sensitivity * standard).abs(),
            degrees,
            share: 0.0,
        });
        self.standard = root_sum_square(self.contributions.iter().map(|c| c.standard));
        for c in &mut self.contributions {
            let part = if self.standard > 0.0 {
                c.standard / self.standard
            } else {
                0.0
            };
            c.share = part * part;
        }
        self
    }

    /// Combined standard uncertainty, the root sum of squares (JCGM 100:2008, 5.1.2).
    pub fn standard(&self) -> f64 {
        self.standard
    }

    /// Expanded uncertainty for a coverage factor.
    pub fn expanded(&self, coverage: f64) -> f64 {
        expanded(self.standard, coverage)
    }

    /// The sources, in the order they were added; their shares sum to 1 unless all are 0.
    pub fn contributions(&self) -> &[Contribution] {
        &self.contributions
    }

    /// Effective degrees of freedom according to Welch and Satterthwaite (JCGM 100:2008, G.4.1);
    /// infinite if every contribution is exactly known.
    pub fn effective_degrees(&self) -> f64 {
        let sum: f64 = self
            .contributions
            .iter()
            .filter(|c| c.share > 0.0)
            .filter_map(|c| c.degrees.map(|v| c.share * c.share / v))
            .sum();
        if sum > 0.0 { 1.0 / sum } else { f64::INFINITY }
    }
}

impl Budget {
    /// Coverage factor that gives this result the confidence that `coverage` gives a normal
    /// distribution: larger when a few repeated readings make up much of the uncertainty
    /// (JCGM 100:2008, G.4.1, effective degrees of freedom truncated to an integer).
    pub fn coverage_for(&self, coverage: f64) -> f64 {
        let degrees = self.effective_degrees();
        if degrees.is_finite() {
            student_factor(1.0 - 2.0 * normal_cdf(-coverage), degrees)
        } else {
            coverage
        }
    }
}

/// Degrees of freedom from which Student's distribution is treated as normal; the factors then
/// differ by less than 0.1 %.
const MANY_DEGREES: f64 = 2_000.0;

/// Two-sided factor t_p(ν) of Student's distribution: the probability of ±t is `confidence`
/// (0 < p < 1). Degrees of freedom are truncated to an integer, at least 1, as JCGM 100:2008,
/// G.4.1 allows; infinite ones give the normal distribution's factor.
pub fn student_factor(confidence: f64, degrees: f64) -> f64 {
    if confidence.is_nan() || confidence <= 0.0 {
        return 0.0;
    }
    if confidence >= 1.0 {
        return f64::INFINITY;
    }
    let normal = degrees.is_nan() || degrees >= MANY_DEGREES;
    let whole = degrees.max(1.0) as u32;
    let inside = |t: f64| {
        if normal {
            1.0 - 2.0 * normal_cdf(-t)
        } else {
            student_inside(t, whole)
        }
    };
    // Bisection on a monotone function: slower than Newton's method, but robust even for one degree
    // of freedom, where the factor grows without bound.
    let (mut low, mut high) = (0.0, 1.0);
    while inside(high) < confidence && high < 1e12 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if inside(middle) < confidence {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Probability of |T| ≤ t for integer degrees of freedom, by the finite series of Abramowitz and
/// Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.
fn student_inside(t: f64, degrees: u32) -> f64 {
    let v = f64::from(degrees);
    let root = (v + t * t).sqrt();
    let (sine, cosine) = (t / root, v.sqrt() / root);
    let square = cosine * cosine;
    let even = degrees.is_multiple_of(2);
    // Even: sinθ·(1 + ½cos²θ + (1·3)/(2·4)cos⁴θ + …); odd: cosθ·(1 + ⅔cos²θ + …), up to
    // cos^(ν−2)θ.
    let mut term = if even { 1.0 } else { cosine };
    let mut sum = 0.0;
    let mut k = if even { 2 } else { 3 };
    while k <= degrees {
        sum += term;
        term *= f64::from(k - 1) / f64::from(k) * square;
        k += 2;
    }
    if even {
        sine * sum
    } else {
        (libm::atan(t / v.sqrt()) + sine * sum) * std::f64::consts::FRAC_2_PI
    }
}

/// Probability that a standard normal variable is at most `z`.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Probability, 0 to 1, that the true value exceeds `limit`, for a normal distribution around
/// `value` (JCGM 106:2012, 7.2.2). Without uncertainty it is 0 up to the limit and 1 above it.
pub fn probability_over(value: f64, standard: f64, limit: f64) -> f64 {
    if standard > 0.0 {
        normal_cdf((value - limit) / standard)
    } else if value > limit {
        1.0
    } else {
        0.0
    }
}

/// Whether value ± U straddles the limit, bounds included: then the measurement alone does not
/// decide (guard band w = U, JCGM 106:2012, 8.3.2; ILAC-G8:09/2019, 4.2).
pub fn borderline(value: f64, expanded: f64, limit: f64) -> bool {
    (value - limit).abs() <= expanded
}
