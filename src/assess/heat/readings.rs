//! From the displayed value to the true surface temperature and the rise over air, each with its
//! uncertainty.
//!
//! A thermometer's error is mostly a bias that all its readings have in common; what differs from
//! reading to reading is its repeatability. The bias cancels in the difference of two readings of
//! one instrument (JCGM 100:2008, 5.2.2), but neither in a temperature nor in a rise over the air,
//! because the air is measured by another instrument, or in another way.

use crate::assess::assessment::{Estimate, RoundValue};
use crate::assess::physics::radiance::{Band, Optics, TrueTemperature, true_temperature};
use crate::assess::physics::uncertainty::{
    Accuracy, Budget, Repeated, normal_cdf, rectangular, repeated, student_factor,
};
use crate::quantity::{Length, Ratio, Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, HalfWidth, Heat, Instrument, InstrumentKind, Reading, Round, Visit,
};

/// Emissivity setting assumed if the visit does not specify it: the fixed setting of most spot
/// instruments (common practice, no source).
const USUAL_SETTING: f64 = 0.95;

/// Half-width of an emissivity given as one number (general infrared emissivity tables: treat as
/// ±0.05 or worse).
const SINGLE_EMISSIVITY_HALF_WIDTH: f64 = 0.05;

/// Least half-width used, kelvin: the resolution of a display with one decimal. Without it, a rule
/// set with no assumed accuracy would claim certainty.
const RESOLUTION_HALF_WIDTH_K: f64 = 0.05;

/// Kelvin of the surface per displayed kelvin from which nearly all that the thermometer sees is
/// reflected, so that no correction is trusted; at an emissivity of 0.6 it is at most 2 (our choice).
const MOST_BY_SHOWN: f64 = 5.0;

/// The thermometers of a circuit, with the rule set's values for anything the visit does not
/// specify.
pub(crate) struct Thermometer<'a> {
    rules: &'a Rules,
    /// Accuracy on the connections.
    pub accuracy: Accuracy,
    /// Accuracy for the air: its own thermometer's if the visit lists one, otherwise the same.
    pub air_accuracy: Accuracy,
    /// Standard deviation of readings of one target, kelvin, and where it was taken from.
    pub repeatability: (f64, RepeatabilityBy),
    /// That of the air's thermometer, kelvin.
    pub air_repeatability: f64,
    /// Emissivity the instrument is set to.
    pub set: f64,
    /// Reflected temperature it is set to.
    pub set_reflected: Option<Temperature>,
    band: Band,
    /// A contact thermometer: no optics.
    pub contact: bool,
}

/// Where a thermometer's repeatability was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum RepeatabilityBy {
    /// The visit states it.
    Stated,
    /// The scatter of readings that were repeated on the visit.
    Repeated,
    /// The rule set.
    Assumed,
}

/// The assumed emissivity of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SurfaceEmissivity {
    /// Value used.
    pub taken: f64,
    /// Half-width.
    pub half_width: f64,
    /// Lowest possible value.
    pub low: f64,
}

/// One reading converted to true temperature, with all intermediate values.
pub(crate) struct Reduced {
    /// Mean and scatter of the displayed values.
    pub repeated: Repeated,
    /// Mean of the displayed values.
    pub shown: Temperature,
    /// Emissivity of the surface; `None` for a contact thermometer or an untrusted surface.
    pub surface: Option<SurfaceEmissivity>,
    /// Temperature of the surroundings that the surface reflects.
    pub reflected: Temperature,
    /// Whether it was measured, as opposed to assumed equal to the air's.
    pub reflected_measured: bool,
    /// Reflected temperature that the thermometer uses; `None`: the same as `reflected`.
    pub set_reflected: Option<Temperature>,
    /// The correction; `None` if none was made or none is possible.
    pub corrected: Option<TrueTemperature>,
    /// True surface temperature; the displayed one if it cannot be determined.
    pub temperature: Temperature,
    /// Whether it can be determined.
    pub trusted: bool,
    /// Components of its standard uncertainty.
    pub budget: Budget,
    /// Standard uncertainty of the air, kelvin.
    pub u_air: f64,
    /// Sensitivity of the rise to the air: −1, plus the effect of the air as reflected temperature.
    pub rise_by_air: f64,
    /// Part of the surface's standard uncertainty that is independent of the air, kelvin.
    pub u_own: f64,
    /// Part of it that differs from reading to reading, kelvin.
    pub scatter: f64,
}

impl Reduced {
    /// Standard uncertainty of the rise, kelvin.
    pub fn u_rise(&self) -> f64 {
        libm::hypot(self.u_own, self.rise_by_air * self.u_air)
    }

    /// Coverage factor of the rise: `usual`, or Student's factor for the same confidence if a few
    /// repeated readings contribute to the uncertainty (JCGM 100:2008, G.4.1).
    pub fn coverage(&self, usual: f64) -> f64 {
        let repeated = self
            .budget
            .contributions()
            .iter()
            .find_map(|c| Some((c.standard, c.degrees?)));
        let Some((part, degrees)) = repeated.filter(|(part, _)| *part > 0.0) else {
            return usual;
        };
        let ratio = self.u_rise() / part;
        let effective = degrees * ratio * ratio * ratio * ratio;
        student_factor(1.0 - 2.0 * normal_cdf(-usual), effective)
    }
}

impl<'a> Thermometer<'a> {
    /// The thermometers used on a circuit.
    pub fn of(visit: &Visit, circuit: &Circuit, rules: &'a Rules) -> Self {
        let instrument = circuit
            .heat
            .as_ref()
            .and_then(|h| visit.instrument(&h.with));
        let band = instrument
            .and_then(|i| i.band_um)
            .and_then(|[short, long]| {
                Band::new(
                    Length::from_metre(short * 1e-6),
                    Length::from_metre(long * 1e-6),
                )
            })
            .unwrap_or_default();
        let air = visit
            .instruments
            .iter()
            .find(|i| i.kind == InstrumentKind::AirThermometer)
            .or(instrument);
        let stated = accuracy(instrument, rules);
        Self {
            rules,
            repeatability: repeatability(instrument, circuit, rules),
            air_repeatability: air.and_then(|i| i.repeatability).map_or(
                rules.thermal.assumed_repeatability_k.value,
                TemperatureDifference::kelvin,
            ),
            accuracy: stated,
            air_accuracy: accuracy(air, rules),
            set: instrument
                .and_then(|i| i.emissivity)
                .map_or(USUAL_SETTING, Ratio::value),
            set_reflected: instrument.and_then(|i| i.reflected),
            band,
            contact: instrument.is_some_and(|i| i.kind == InstrumentKind::ContactThermometer),
        }
    }

    /// Whether a connection's surface is too shiny for any correction to be trusted.
    pub fn shiny(&self, connection: &Connection) -> bool {
        !self.contact && self.surface(connection).low < self.rules.thermal.least_emissivity.value
    }

    /// Converts one reading of a round to true temperature and rise.
    pub fn value(
        &self,
        heat: &Heat,
        index: usize,
        round: &Round,
        connection: &Connection,
        reading: &Reading,
    ) -> RoundValue {
        let r = self.reduce(round, connection, reading, 0.0);
        let k = self.rules.thermal.coverage_factor.value;
        let rise = round.air.map(|air| Estimate {
            value: r.temperature - air,
            expanded: TemperatureDifference::from_kelvin(r.coverage(k) * r.u_rise()),
        });
        let value = RoundValue {
            round: index,
            minutes: heat
                .charging_from
                .map(|from| (round.at.seconds() - from.seconds()) as f64 / 60.0),
            current: round.current_in(&connection.leg),
            air: round.air,
            shown: r.shown,
            temperature: r.temperature,
            standard_uncertainty: TemperatureDifference::from_kelvin(r.budget.standard()),
            scatter: TemperatureDifference::from_kelvin(r.scatter),
            rise_scatter: TemperatureDifference::from_kelvin(libm::hypot(
                r.scatter,
                r.rise_by_air * self.air_repeatability.min(r.u_air),
            )),
            rise,
            trusted: r.trusted,
            budget: r.budget,
        };
        RoundValue {
            trusted: value.trusted && !value.colder_than_air(),
            ..value
        }
    }

    /// The same with all intermediate values, for a reading `lower_k` kelvin lower than the actual
    /// one.
    pub fn reduce(
        &self,
        round: &Round,
        connection: &Connection,
        reading: &Reading,
        lower_k: f64,
    ) -> Reduced {
        let repeated = mean(reading);
        let shown = Temperature::from_kelvin(repeated.mean - lower_k);
        let surface = (!self.contact)
            .then(|| self.surface(connection))
            .filter(|s| s.low >= self.rules.thermal.least_emissivity.value);
        let reflected = reading.reflected.or(round.air).unwrap_or(shown);
        // A thermometer whose setting is not specified uses its own temperature, which is close to
        // the air's (common practice, no source), regardless of any measured reflected temperature.
        let set_reflected = self
            .set_reflected
            .or(round.air.filter(|_| reading.reflected.is_some()));
        let corrected = surface.and_then(|s| {
            let optics = Optics {
                set: self.set,
                surface: s.taken,
                reflected,
                set_reflected,
            };
            true_temperature(shown, &optics, &self.band)
                .ok()
                .filter(|t| t.by_shown <= MOST_BY_SHOWN)
        });
        // If the reflection alone exceeds the reading, no surface temperature can be computed, and
        // if the surface is shiny, none can be trusted.
        let trusted = self.contact || corrected.is_some();
        let (by_shown, by_emissivity, by_reflected) = corrected.map_or((1.0, 0.0, 0.0), |t| {
            (t.by_shown, t.by_emissivity, t.by_reflected)
        });
        let whole = self.accuracy.standard(shown).kelvin();
        // An assumed repeatability is never worse than the instrument's accuracy.
        let one_reading = match self.repeatability {
            (s, RepeatabilityBy::Assumed) => s.min(whole),
            (s, _) => s,
        };
        let scatter = by_shown.abs()
            * (one_reading / ((repeated.degrees + 1) as f64).sqrt()).max(repeated.standard);
        // A correction towards a cooler surface does not shrink the instrument's error.
        let mut budget = Budget::new()
            .with("instrument", by_shown.max(1.0), whole.max(one_reading))
            .with(
                "emissivity",
                by_emissivity,
                rectangular(surface.map_or(0.0, |s| s.half_width)),
            );
        if repeated.degrees > 0 {
            budget = budget.with_degrees(
                "repeatability",
                by_shown,
                repeated.standard,
                Some(repeated.degrees as f64),
            );
        }
        let u_air = round
            .air
            .map_or(0.0, |air| self.air_accuracy.standard(air).kelvin());
        let mut u_own = budget.standard();
        let mut rise_by_air = -1.0;
        if by_reflected != 0.0 {
            let u_reflected = match reading.reflected {
                Some(t) => self.accuracy.standard(t).kelvin(),
                None => u_air,
            };
            budget = budget.with("reflected", by_reflected, u_reflected);
            if reading.reflected.is_some() {
                u_own = budget.standard();
            } else {
                rise_by_air += by_reflected;
            }
        }
        Reduced {
            temperature: corrected.map_or(shown, |t| t.temperature),
            reflected_measured: reading.reflected.is_some(),
            set_reflected,
            repeated,
            shown,
            surface,
            reflected,
            corrected,
            trusted,
            budget,
            u_air,
            rise_by_air,
            u_own,
            scatter,
        }
    }

    /// Emissivity of a connection's surface: as measured, otherwise the published range of its
    /// class, otherwise the instrument's setting.
    ///
    /// A setting within the published range is assumed to be right (the range then only widens the
    /// uncertainty); one outside it is corrected to the middle of the range.
    pub fn surface(&self, connection: &Connection) -> SurfaceEmissivity {
        let single = |e: f64| SurfaceEmissivity {
            taken: e,
            half_width: SINGLE_EMISSIVITY_HALF_WIDTH,
            low: e,
        };
        if let Some(e) = connection.emissivity {
            return single(e.value());
        }
        let class = connection
            .surface
            .and_then(|s| self.rules.thermal.surfaces.iter().find(|(c, _)| *c == s));
        let Some((_, range)) = class else {
            return single(self.set);
        };
        let (low, high) = (range.value.low.value(), range.value.high.value());
        let inside = (low..=high).contains(&self.set);
        SurfaceEmissivity {
            taken: if inside {
                self.set
            } else {
                f64::midpoint(low, high)
            },
            half_width: (high - low) / 2.0,
            low,
        }
    }
}

/// Mean and scatter of the displayed values.
fn mean(reading: &Reading) -> Repeated {
    if let [only] = reading.temperatures[..] {
        return Repeated {
            mean: only.kelvin(),
            standard: 0.0,
            deviation: 0.0,
            degrees: 0,
        };
    }
    let kelvins: Vec<f64> = reading.temperatures.iter().map(|t| t.kelvin()).collect();
    repeated(&kelvins).unwrap_or(Repeated {
        mean: f64::NAN,
        standard: 0.0,
        deviation: 0.0,
        degrees: 0,
    })
}

/// Accuracy of a thermometer as its manufacturer states it. If the visit gives none, the rule set's
/// value is used; if it gives only a percentage of the reading, the rule set's least half-width is
/// added, since a percentage alone would make a thermometer perfect at 0 °C.
fn accuracy(instrument: Option<&Instrument>, rules: &Rules) -> Accuracy {
    let assumed = &rules.thermal.assumed_accuracy.value;
    let stated = instrument.and_then(|i| i.accuracy);
    let (of_reading, at_least_k) = match stated {
        None => (assumed.of_reading, assumed.at_least.kelvin()),
        Some(a) => (
            a.of_reading.map_or(0.0, |p| p.fraction()),
            match a.at_least {
                Some(HalfWidth::Temperature(d)) => d.kelvin(),
                _ => assumed.at_least.kelvin(),
            },
        ),
    };
    Accuracy {
        of_reading,
        at_least_k: at_least_k.max(RESOLUTION_HALF_WIDTH_K),
    }
}

/// Degrees of freedom from which the scatter of a visit's repeated readings counts as the
/// thermometer's repeatability; with fewer, Student's factor more than doubles it (our choice).
const ENOUGH_DEGREES: usize = 5;

/// Standard deviation of a thermometer's readings of one target, kelvin: as the visit states it;
/// otherwise pooled over the readings that were repeated (JCGM 100:2008, 4.2.4 and H.3.6), widened
/// by Student's factor for their number; otherwise the rule set's.
fn repeatability(
    instrument: Option<&Instrument>,
    circuit: &Circuit,
    rules: &Rules,
) -> (f64, RepeatabilityBy) {
    if let Some(stated) = instrument.and_then(|i| i.repeatability) {
        return (stated.kelvin(), RepeatabilityBy::Stated);
    }
    let repeats: Vec<Repeated> = circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .flat_map(|r| &r.readings)
        .map(|(_, reading)| mean(reading))
        .filter(|m| m.degrees > 0)
        .collect();
    let degrees: usize = repeats.iter().map(|m| m.degrees).sum();
    let mut squares: Vec<f64> = repeats
        .iter()
        .map(|m| m.degrees as f64 * m.deviation * m.deviation)
        .collect();
    // In ascending order, so that the order of connections does not change the last digit.
    squares.sort_by(f64::total_cmp);
    let squares: f64 = squares.iter().sum();
    if degrees < ENOUGH_DEGREES {
        let assumed = rules.thermal.assumed_repeatability_k.value;
        return (assumed, RepeatabilityBy::Assumed);
    }
    let k = rules.thermal.coverage_factor.value;
    let few = student_factor(1.0 - 2.0 * normal_cdf(-k), degrees as f64) / k;
    let pooled = few * (squares / degrees as f64).sqrt();
    (
        pooled.max(rectangular(RESOLUTION_HALF_WIDTH_K)),
        RepeatabilityBy::Repeated,
    )
}
