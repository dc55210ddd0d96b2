//! Input of the fit: rounds and assumptions.

/// One loaded round at one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadPoint {
    /// Minutes since charging began, greater than 0.
    pub minutes: f64,
    /// Rise over the air of the same round, kelvin.
    pub rise_k: f64,
    /// Standard uncertainty of the rise, kelvin, greater than 0.
    pub u_rise_k: f64,
    /// Current read in the round, ampere, not negative.
    pub current_a: f64,
    /// Air temperature in the round, °C; only its drift matters.
    pub air_c: f64,
}

/// What the fit assumes in addition to the rounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Exponent n of heat ∝ Iⁿ, 0 to 4; clamped to that range.
    pub exponent: f64,
    /// Current to which the settled rise is scaled, ampere; `None` for that of the last round with
    /// any current.
    pub reference_a: Option<f64>,
    /// Rise when charging began, kelvin; 0 unless known from a no-load round.
    pub start_rise_k: f64,
    /// Air temperature when charging began, °C; `None` for that of the first loaded round.
    pub start_air_c: Option<f64>,
    /// Fraction, 0 to 1, of each rise's variance that is one error common to all rounds (an
    /// instrument's calibration), the rest being independent from round to round; `None` if
    /// unknown. In that case a curvature must be significant against the entire uncertainty, and
    /// the settled rise gets the uncertainty for the worst fraction.
    pub common_share: Option<f64>,
}

impl Heating {
    /// A cold start, with heat ∝ Iⁿ.
    pub const fn new(exponent: f64) -> Self {
        Self {
            exponent,
            reference_a: None,
            start_rise_k: 0.0,
            start_air_c: None,
            common_share: None,
        }
    }
}
