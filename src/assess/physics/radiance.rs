//! From the temperature that an infrared thermometer shows to the true surface temperature.
//!
//! The instrument sees the surface's own radiance, reduced by its emissivity ε, and the radiance
//! reflected by the surface; it converts the sum to a temperature with its emissivity setting ε_s:
//!
//! ε·L(T) + (1 − ε)·L(T_r) = ε_s·L(T_i) + (1 − ε_s)·L(T_rs)
//!
//! L is Planck's radiance integrated over the instrument's band. The commonly used fourth-power
//! formula assumes L ∝ T⁴, as if the instrument saw all wavelengths; [`true_temperature_grey`]
//! keeps it as a check. Between 8 and 14 µm the logarithmic slope of L is 4.7 at 20 °C and 3.8 at
//! 100 °C, so the two differ by some tenths of a kelvin on painted or oxidised surfaces and by more
//! on metal.
//!
//! Not decided here: the emissivity of a surface, and whether a correction can be trusted.

use crate::quantity::{Length, Temperature};

/// Planck constant, J·s: exact (SI brochure, 9th edition, 2.2).
pub const PLANCK: f64 = 6.626_070_15e-34;
/// Speed of light in vacuum, m/s: exact (SI brochure, 9th edition, 2.2).
pub const LIGHT: f64 = 299_792_458.0;
/// Boltzmann constant, J/K: exact (SI brochure, 9th edition, 2.2).
pub const BOLTZMANN: f64 = 1.380_649e-23;
/// Second radiation constant hc/k, m·K.
pub const SECOND_RADIATION: f64 = PLANCK * LIGHT / BOLTZMANN;
/// 2k⁴/(h³c²): the factor that converts ∫x³/(eˣ − 1)dx to radiance over T⁴, W·m⁻²·sr⁻¹·K⁻⁴.
const RADIANCE_SCALE: f64 =
    2.0 * (BOLTZMANN / PLANCK) * (BOLTZMANN / PLANCK) * (BOLTZMANN / PLANCK) / (LIGHT * LIGHT)
        * BOLTZMANN;
/// ∫₀^∞ x³/(eˣ − 1) dx = π⁴/15.
const WHOLE: f64 = 6.493_939_402_266_829;

/// Why no true temperature can be determined from a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum RadianceError {
    /// An emissivity outside 0 < ε ≤ 1, a temperature at or below absolute zero, or not a number.
    #[error("an emissivity must lie above 0 and up to 1, a temperature above absolute zero")]
    OutOfRange,
    /// The reflected radiance alone exceeds what the instrument saw: the reflected temperature
    /// or the emissivity cannot be right.
    #[error("the reflection alone is stronger than what the thermometer saw")]
    ReflectionExceedsReading,
}

/// Spectral response of the instrument: uniform between two wavelengths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// c₂/λ at the short edge, kelvin.
    short_k: f64,
    /// c₂/λ at the long edge, kelvin.
    long_k: f64,
}

impl Default for Band {
    fn default() -> Self {
        Self::LONG_WAVE
    }
}

impl Band {
    /// 8 µm to 14 µm, the band of ordinary spot thermometers (common practice, no source).
    pub const LONG_WAVE: Self = Self {
        short_k: SECOND_RADIATION / 8e-6,
        long_k: SECOND_RADIATION / 14e-6,
    };

    /// A band between two wavelengths; `None` unless 0 < `shortest` < `longest`, both finite.
    pub fn new(shortest: Length, longest: Length) -> Option<Self> {
        let (a, b) = (shortest.metre(), longest.metre());
        (a > 0.0 && a < b && b.is_finite() && (SECOND_RADIATION / a).is_finite()).then(|| Self {
            short_k: SECOND_RADIATION / a,
            long_k: SECOND_RADIATION / b,
        })
    }

    /// Radiance of a black body within the band, W·m⁻²·sr⁻¹; 0 at and below absolute zero.
    pub fn radiance(&self, at: Temperature) -> f64 {
        self.radiance_and_slope(at.kelvin()).0
    }

    /// Fraction of a black body's radiance that lies within the band, 0 to 1.
    pub fn fraction(&self, at: Temperature) -> f64 {
        let t = at.kelvin();
        if t > 0.0 && t.is_finite() {
            self.integral(t) / WHOLE
        } else {
            0.0
        }
    }

    /// Temperature of the black body with this radiance within the band; `None` unless the radiance
    /// is positive and finite. `near` only speeds up the search.
    pub fn temperature(&self, radiance: f64, near: Temperature) -> Option<Temperature> {
        if !(radiance > 0.0 && radiance.is_finite()) {
            return None;
        }
        // Without a usable start: the temperature at which x = c₂/(λT) is 5 at the short edge.
        let (mut t, mut start) = (near.kelvin(), self.radiance_and_slope(near.kelvin()));
        if !(start.0 > 0.0 && start.1 > 0.0) {
            t = self.short_k / 5.0;
            start = self.radiance_and_slope(t);
        }
        self.approach(radiance, t, start)
            .map(|(t, ..)| Temperature::from_kelvin(t))
    }

    /// Newton's method for the temperature of a radiance, starting from one whose radiance and
    /// slope are known; returns temperature, radiance and slope, or `None` if it does not converge.
    ///
    /// ln L is a nearly straight function of ln T (its slope falls from 4.7 to 3.8 between 20 °C
    /// and 100 °C), so steps in ln T lead almost directly to the solution; limited in size, they
    /// also converge from far away.
    fn approach(
        &self,
        goal: f64,
        mut t: f64,
        (mut l, mut slope): (f64, f64),
    ) -> Option<(f64, f64, f64)> {
        for _ in 0..MOST_STEPS {
            let step = (libm::log(goal / l) * l / (slope * t)).clamp(-0.5, 0.5);
            t *= libm::exp(step);
            (l, slope) = self.radiance_and_slope(t);
            // Convergence is quadratic: after a step this small no digit changes any more.
            if step.abs() < 1e-7 {
                return Some((t, l, slope));
            }
        }
        None
    }

    /// Radiance and its derivative with respect to temperature.
    fn radiance_and_slope(&self, t: f64) -> (f64, f64) {
        if !(t > 0.0 && t.is_finite()) {
            return (0.0, 0.0);
        }
        let (integral, edges) = self.integral_and_edges(t);
        let cubed = RADIANCE_SCALE * t * t * t;
        // T·dL/dT = 4·L + [λ·L_λ] between the edges, by parts.
        (cubed * t * integral, cubed * (4.0 * integral + edges))
    }

    fn integral(&self, t: f64) -> f64 {
        self.integral_and_edges(t).0
    }

    /// ∫x³/(eˣ − 1)dx between the edges, and x⁴/(eˣ − 1) at the long edge minus at the short.
    fn integral_and_edges(&self, t: f64) -> (f64, f64) {
        let near = Edge::at(self.long_k / t);
        let far = Edge::at(self.short_k / t);
        let integral = if far.x < SERIES_EDGE {
            below(far.x) - below(near.x)
        } else {
            near.above() - far.above()
        };
        (integral, near.value() - far.value())
    }
}

/// Maximum number of Newton steps; between 1 K and 10⁶ K fewer than 40 are needed.
const MOST_STEPS: usize = 60;
/// Below this the series around 0 is used, above it the series of exponentials.
const SERIES_EDGE: f64 = 1.0;

/// One edge of a band: x = c₂/(λ·T) and e^(−x), from which everything else is computed.
#[derive(Debug, Clone, Copy)]
struct Edge {
    x: f64,
    q: f64,
}

/// Number of terms of the series of exponentials that may be needed: from x = 1 on the 39th is
/// below 10⁻¹⁷ of the sum.
const TERMS: usize = 40;
/// 1/n.
const RECIPROCAL: [f64; TERMS + 1] = {
    let mut r = [0.0; TERMS + 1];
    let mut n = 1;
    while n <= TERMS {
        r[n] = 1.0 / n as f64;
        n += 1;
    }
    r
};

impl Edge {
    fn at(x: f64) -> Self {
        Self {
            x,
            q: libm::exp(-x),
        }
    }

    /// x⁴/(eˣ − 1).
    fn value(self) -> f64 {
        let Self { x, q } = self;
        if q > 0.0 {
            x * x * x * x * q / (1.0 - q)
        } else {
            0.0
        }
    }

    /// ∫ from x to ∞ of t³/(eᵗ − 1) dt.
    fn above(self) -> f64 {
        let Self { x, q } = self;
        if x < SERIES_EDGE {
            return WHOLE - below(x);
        }
        if q <= 0.0 {
            return 0.0;
        }
        // Σ e^(−n·x)·(x³/n + 3x²/n² + 6x/n³ + 6/n⁴), from expanding 1/(eᵗ − 1), summed from the
        // smallest significant term: e^(−n·x) < 10⁻¹⁷ = e^(−39.1).
        let last = ((39.2 / x) as usize + 1).min(TERMS);
        let (cube, square, six) = (x * x * x, 3.0 * x * x, 6.0 * x);
        RECIPROCAL[1..=last].iter().rev().fold(0.0, |sum, &r| {
            q * (r * (cube + r * (square + r * (six + 6.0 * r))) + sum)
        })
    }
}

/// ∫ from 0 to x < 1 of t³/(eᵗ − 1) dt, from the Bernoulli series of t/(eᵗ − 1).
fn below(x: f64) -> f64 {
    /// B₂ₖ/((2k)!·(2k + 3)) for k = 1, 2, …; the omitted terms are below 10⁻¹³ of the whole.
    const SERIES: [f64; 7] = [
        1.0 / 60.0,
        -1.0 / 5_040.0,
        1.0 / 272_160.0,
        -1.0 / 13_305_600.0,
        1.0 / 622_702_080.0,
        -691.0 / 19_615_115_520_000.0,
        1.0 / 1_270_312_243_200.0,
    ];
    let square = x * x;
    let even = SERIES.iter().rev().fold(0.0, |sum, c| sum * square + c) * square;
    x * square * (1.0 / 3.0 - x / 8.0 + even)
}

/// Properties of the surface and settings of the instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Optics {
    /// Emissivity the instrument is set to, 0 < ε_s ≤ 1.
    pub set: f64,
    /// Emissivity of the surface, 0 < ε ≤ 1.
    pub surface: f64,
    /// Temperature of the surroundings that the surface reflects; usually the air of the round.
    pub reflected: Temperature,
    /// Reflected temperature to which the instrument was set; `None` if it follows the true one, as
    /// with instruments that use their own or the air's temperature for it.
    pub set_reflected: Option<Temperature>,
}

/// A true temperature and its sensitivity to the inputs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrueTemperature {
    /// True surface temperature.
    pub temperature: Temperature,
    /// ∂T/∂T_i, with respect to the displayed temperature, K/K.
    pub by_shown: f64,
    /// ∂T/∂ε, with respect to the surface's emissivity, K.
    pub by_emissivity: f64,
    /// ∂T/∂T_r, with respect to the reflected temperature, K/K (with the instrument's own value
    /// following it if `set_reflected` is `None`).
    pub by_reflected: f64,
}

/// True surface temperature from the displayed one, computed from the radiance within the band.
///
/// If the surface has the emissivity to which the instrument is set, and the instrument knows the
/// reflected temperature, the result equals the displayed temperature to the last digit.
///
/// # Errors
/// [`RadianceError`] if an input is out of range or the reflection alone exceeds the reading.
pub fn true_temperature(
    shown: Temperature,
    optics: &Optics,
    band: &Band,
) -> Result<TrueTemperature, RadianceError> {
    let set_reflected = check(shown, optics)?;
    let (e, es) = (optics.surface, optics.set);
    let (l_shown, d_shown) = band.radiance_and_slope(shown.kelvin());
    let (l_reflected, d_reflected) = band.radiance_and_slope(optics.reflected.kelvin());
    let agrees = e == es && set_reflected == optics.reflected;
    let (l_set, d_set) = if set_reflected == optics.reflected {
        (l_reflected, d_reflected)
    } else {
        band.radiance_and_slope(set_reflected.kelvin())
    };
    let (temperature, l, d) = if agrees {
        (shown, l_shown, d_shown)
    } else {
        let own = (es * l_shown + (1.0 - es) * l_set - (1.0 - e) * l_reflected) / e;
        if own <= 0.0 {
            return Err(RadianceError::ReflectionExceedsReading);
        }
        let (t, l, d) = band
            .approach(own, shown.kelvin(), (l_shown, d_shown))
            .ok_or(RadianceError::OutOfRange)?;
        (Temperature::from_kelvin(t), l, d)
    };
    let follows = if optics.set_reflected.is_none() {
        (1.0 - es) * d_set
    } else {
        0.0
    };
    let found = TrueTemperature {
        temperature,
        by_shown: es * d_shown / (e * d),
        by_emissivity: (l_reflected - l) / (e * d),
        by_reflected: (follows - (1.0 - e) * d_reflected) / (e * d),
    };
    // Near absolute zero there is no radiance in the band, and a very small emissivity amplifies
    // without bound.
    let numbers = [found.by_shown, found.by_emissivity, found.by_reflected];
    if numbers.iter().all(|x| x.is_finite()) {
        Ok(found)
    } else {
        Err(RadianceError::OutOfRange)
    }
}

/// The same with the fourth-power formula T = [(ε_s·T_i⁴ + (1 − ε_s)·T_rs⁴ − (1 − ε)·T_r⁴)/ε]^¼:
/// correct only for an instrument that sees all wavelengths, kept as a check of
/// [`true_temperature`].
///
/// # Errors
/// As [`true_temperature`].
pub fn true_temperature_grey(
    shown: Temperature,
    optics: &Optics,
) -> Result<Temperature, RadianceError> {
    let set_reflected = check(shown, optics)?;
    if optics.surface == optics.set && set_reflected == optics.reflected {
        return Ok(shown);
    }
    let fourth = |t: Temperature| t.kelvin() * t.kelvin() * t.kelvin() * t.kelvin();
    let own = (optics.set * fourth(shown) + (1.0 - optics.set) * fourth(set_reflected)
        - (1.0 - optics.surface) * fourth(optics.reflected))
        / optics.surface;
    if own > 0.0 && own.is_finite() {
        Ok(Temperature::from_kelvin(own.sqrt().sqrt()))
    } else {
        Err(RadianceError::ReflectionExceedsReading)
    }
}

/// Checks the ranges and returns the reflected temperature that the instrument used.
fn check(shown: Temperature, optics: &Optics) -> Result<Temperature, RadianceError> {
    let set_reflected = optics.set_reflected.unwrap_or(optics.reflected);
    let warm = |t: Temperature| t.kelvin() > 0.0 && t.kelvin().is_finite();
    let emits = |e: f64| e > 0.0 && e <= 1.0;
    if warm(shown)
        && warm(optics.reflected)
        && warm(set_reflected)
        && emits(optics.set)
        && emits(optics.surface)
    {
        Ok(set_reflected)
    } else {
        Err(RadianceError::OutOfRange)
    }
}
