//! Whether a connection has deteriorated since earlier visits, and when it will reach a limit.
//!
//! Values are rises at rated load of one connection. The caller starts a new series when the
//! connection was remade, and passes only visits that could be judged.

use super::uncertainty::{COVERAGE, Pair, normal_cdf};

/// Days of a Julian year, the unit of "a year" here.
pub const DAYS_A_YEAR: f64 = 365.25;

/// A change between two visits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Later minus earlier, kelvin.
    pub change_k: f64,
    /// Its standard uncertainty.
    pub standard_k: f64,
    /// Change divided by its standard uncertainty; infinite if the change has no uncertainty.
    pub z: f64,
    /// Probability, 0 to 1, that the connection truly got hotter.
    pub probability_hotter: f64,
    /// Whether the change exceeds its expanded uncertainty (k = 2).
    pub significant: bool,
}

/// Change from an earlier to a later value, both with standard uncertainties, without a common
/// error: the visits may have used different instruments.
pub fn change(earlier: (f64, f64), later: (f64, f64)) -> Change {
    change_with(earlier, later, 0.0)
}

/// The same, if part of both standard uncertainties is the same error.
pub fn change_with(earlier: (f64, f64), later: (f64, f64), common: f64) -> Change {
    let change_k = later.0 - earlier.0;
    let pair = Pair {
        first: earlier.1,
        second: later.1,
        common,
    };
    let standard_k = pair.difference();
    let z = if change_k == 0.0 {
        0.0
    } else {
        change_k / standard_k
    };
    Change {
        change_k,
        standard_k,
        z,
        probability_hotter: normal_cdf(z),
        significant: z.abs() > COVERAGE,
    }
}

/// One visit's value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Past {
    /// Day of the visit, counted from any fixed day.
    pub day: f64,
    /// Rise at rated load, kelvin.
    pub rise_k: f64,
    /// Its standard uncertainty, kelvin.
    pub u_rise_k: f64,
}

/// A robust slope through three or more visits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Median of the slopes of all pairs, kelvin per year (Theil 1950, Sen 1968).
    pub k_per_year: f64,
    /// Lower end of the interval of about 95 %, kelvin per year.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Median of value − slope × day: the line's value at day 0.
    pub at_day_zero_k: f64,
    /// Whether the interval excludes a slope of zero.
    pub significant: bool,
}

impl Slope {
    /// The line's value on a day, kelvin.
    #[must_use]
    pub fn at(&self, day: f64) -> f64 {
        self.at_day_zero_k + self.k_per_year * day / DAYS_A_YEAR
    }
}

/// When a slope reaches a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Day on which the line itself reaches it, not before the last visit.
    pub day: f64,
    /// Earliest day within the interval.
    pub earliest: f64,
    /// Latest day within the interval; `None` if the interval contains slopes that never reach it.
    pub latest: Option<f64>,
}

/// A series of visits with its slope.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// The slope.
    pub slope: Slope,
    past: Vec<Past>,
    /// Standard uncertainty of the series' level, kelvin.
    u_level: f64,
}

/// Robust slope through the visits of one connection; `None` if there are fewer than three days or
/// any value is not finite.
///
/// At each end, the interval is the wider of two: Sen's interval from the ranks of the pair slopes
/// (Sen 1968, normal approximation of Kendall's statistic, ranks rounded and clamped to the valid
/// range, so that three visits give the range of their slopes), which reflects the scatter but not
/// the instrument; and slope ± 2u from the values' own uncertainties, which reflects the instrument
/// but not other changes. For u, a least-squares line's 1/√Σw(t − t̄)² divided by √(3/π), for the
/// efficiency of a Theil–Sen slope under normal errors (Sen 1968).
pub fn trend(past: &[Past]) -> Option<Trend> {
    let usable = |p: &Past| {
        p.day.is_finite() && p.rise_k.is_finite() && p.u_rise_k.is_finite() && p.u_rise_k > 0.0
    };
    if past.len() < 3 || !past.iter().all(usable) {
        return None;
    }
    let n = past.len();
    let mut slopes = Vec::with_capacity(n * (n - 1) / 2);
    for (i, a) in past.iter().enumerate() {
        for b in &past[i + 1..] {
            let years = (b.day - a.day) / DAYS_A_YEAR;
            if years != 0.0 {
                slopes.push((b.rise_k - a.rise_k) / years);
            }
        }
    }
    // Three visits on two days give two pair slopes: no more than a line through two points.
    if slopes.len() < 3 {
        return None;
    }
    slopes.sort_by(f64::total_cmp);
    let middle = median_of_sorted(&slopes);
    let (sen_low, sen_high) = sen_interval(&slopes, past);
    let (u_slope, u_level) = line_uncertainty(past);
    let u = COVERAGE * u_slope / SEN_EFFICIENCY.sqrt();
    let low = sen_low.min(middle - u);
    let high = sen_high.max(middle + u);
    if !(low.is_finite() && high.is_finite()) {
        return None;
    }
    let mut trend = Trend {
        slope: Slope {
            k_per_year: middle,
            low,
            high,
            at_day_zero_k: 0.0,
            significant: low > 0.0 || high < 0.0,
        },
        past: past.to_vec(),
        u_level,
    };
    trend.slope.at_day_zero_k = trend.level(middle);
    Some(trend)
}

impl Trend {
    /// When the rise would reach `limit_k`; `None` if the slope is not upward.
    ///
    /// Earliest and latest use the ends of the intervals of slope and level together, which is
    /// wider than 95 %.
    pub fn reaches(&self, limit_k: f64) -> Option<Reach> {
        if !limit_k.is_finite() {
            return None;
        }
        let last = self.past.iter().map(|p| p.day).fold(f64::MIN, f64::max);
        let at = |slope: f64, aim: f64| {
            (slope > 0.0)
                .then(|| (aim - self.level(slope)) / slope * DAYS_A_YEAR)
                .filter(|day| day.is_finite())
                .map(|day| day.max(last))
        };
        let spread = COVERAGE * self.u_level;
        let day = at(self.slope.k_per_year, limit_k)?;
        let earliest = at(self.slope.high, limit_k - spread)
            .unwrap_or(day)
            .min(day);
        let latest = at(self.slope.low, limit_k + spread).map(|l| l.max(day));
        Some(Reach {
            day,
            earliest,
            latest,
        })
    }

    /// Median of value − slope × time: the level at day 0 of a line with this slope.
    fn level(&self, k_per_year: f64) -> f64 {
        let mut rest: Vec<f64> = self
            .past
            .iter()
            .map(|p| p.rise_k - k_per_year * p.day / DAYS_A_YEAR)
            .collect();
        rest.sort_by(f64::total_cmp);
        median_of_sorted(&rest)
    }
}

/// Asymptotic relative efficiency of the slope under normal errors, 3/π (Sen 1968).
const SEN_EFFICIENCY: f64 = 3.0 / std::f64::consts::PI;
/// 97.5 % point of the standard normal distribution.
const Z_95: f64 = 1.959_963_984_540_054;

/// Median of a sorted, non-empty list.
fn median_of_sorted(values: &[f64]) -> f64 {
    let half = values.len() / 2;
    match values {
        [] => 0.0,
        v if v.len() % 2 == 1 => v[half],
        v => 0.5 * (v[half - 1] + v[half]),
    }
}

/// Sen's interval of about 95 %: the pair slopes at the ranks (N ∓ z·σ)/2, with Kendall's
/// variance σ² = [n(n−1)(2n+5) − Σg(g−1)(2g+5)]/18 for groups of g visits on one day.
fn sen_interval(sorted: &[f64], past: &[Past]) -> (f64, f64) {
    let term = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
    let mut days: Vec<f64> = past.iter().map(|p| p.day).collect();
    days.sort_by(f64::total_cmp);
    let ties: f64 = days
        .chunk_by(|a, b| a == b)
        .map(|group| term(group.len() as f64))
        .sum();
    let variance = (term(past.len() as f64) - ties) / 18.0;
    let pairs = sorted.len() as f64;
    let reach = Z_95 * variance.max(0.0).sqrt();
    let upper = (((pairs + reach) / 2.0).round_ties_even() as usize).min(sorted.len() - 1);
    let lower = (((pairs - reach) / 2.0).round_ties_even() - 1.0).max(0.0) as usize;
    (sorted[lower.min(upper)], sorted[upper])
}

/// Standard uncertainties of a weighted least-squares line: of its slope (kelvin a year) and of
/// its level at the weighted mean day.
fn line_uncertainty(past: &[Past]) -> (f64, f64) {
    let weight = |p: &Past| 1.0 / (p.u_rise_k * p.u_rise_k);
    let sum: f64 = past.iter().map(weight).sum();
    let mean = past.iter().map(|p| weight(p) * p.day).sum::<f64>() / sum;
    let squares: f64 = past
        .iter()
        .map(|p| {
            let years = (p.day - mean) / DAYS_A_YEAR;
            weight(p) * years * years
        })
        .sum();
    (1.0 / squares.sqrt(), 1.0 / sum.sqrt())
}
