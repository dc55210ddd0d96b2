//! What is known of the rounds.

/// One loaded round at one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadPoint {
    /// Minutes since charging began, over 0.
    pub minutes: f64,
    /// Rise over the air of the same round, kelvin.
    pub rise_k: f64,
    /// Standard uncertainty of the rise, kelvin, over 0.
    pub u_rise_k: f64,
    /// Current read in the round, ampere, not negative.
    pub current_a: f64,
    /// Air in the round, °C; only its drift counts.
    pub air_c: f64,
}

/// What the fit supposes besides the rounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Exponent n of heat ∝ Iⁿ, 0 to 4; held within.
    pub exponent: f64,
    /// Current that the settled rise is told for, ampere; `None` for that of the last round with
    /// any current.
    pub reference_a: Option<f64>,
    /// Rise when charging began, kelvin; 0 unless a no-load round tells.
    pub start_rise_k: f64,
    /// Air when charging began, °C; `None` takes the first loaded round's.
    pub start_air_c: Option<f64>,
    /// Share, 0 to 1, of each rise's variance that is one error common to all rounds (an
    /// instrument's calibration), the rest being independent from round to round; `None` when
    /// unknown. Then a bend must show against all of the uncertainty, and the settled rise gets
    /// the uncertainty of the worst share.
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
