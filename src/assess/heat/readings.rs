//! From what the instrument showed to the true surface temperature and the rise over air, each
//! with its uncertainty.
//!
//! What is taken as common to two readings of one instrument: nothing. Part of a thermometer's
//! error is the same in two readings and cancels in their difference; how much is not published,
//! so that a rise and a difference between legs get the larger uncertainty of independent
//! errors.

use crate::assess::assessment::{Estimate, RoundValue};
use crate::assess::thermal::radiance::{Band, Optics, TrueTemperature, true_temperature};
use crate::assess::thermal::uncertainty::{
    Accuracy, Budget, Repeated, normal_cdf, rectangular, repeated, student_factor,
};
use crate::quantity::{Length, Ratio, Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, HalfWidth, Heat, Instrument, InstrumentKind, Reading, Round, Visit,
};

/// Emissivity taken as set where the visit does not tell: the fixed setting of most spot
/// instruments (common practice, no source).
const USUAL_SETTING: f64 = 0.95;

/// Half-width of an emissivity given as one number (general infrared emissivity tables: treat as
/// ±0.05 or worse).
const SINGLE_EMISSIVITY_HALF_WIDTH: f64 = 0.05;

/// Least half-width reckoned with, kelvin: what a display of one decimal hides. It keeps a
/// rule set without assumed accuracy from claiming certainty.
const RESOLUTION_HALF_WIDTH_K: f64 = 0.05;

/// The thermometers of a circuit, with what the rule set supplies where the visit does not tell.
pub(crate) struct Thermometer<'a> {
    rules: &'a Rules,
    /// Accuracy on the connections.
    pub accuracy: Accuracy,
    /// Accuracy on the air: its own thermometer's where the visit lists one, else the same.
    pub air_accuracy: Accuracy,
    /// Emissivity the instrument is set to.
    pub set: f64,
    /// Reflected temperature it is set to.
    pub set_reflected: Option<Temperature>,
    band: Band,
    /// A contact thermometer: no optics.
    pub contact: bool,
}

/// What the emissivity of a surface is taken for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SurfaceEmissivity {
    /// Value taken.
    pub taken: f64,
    /// Half-width.
    pub half_width: f64,
    /// Lowest it may be.
    pub low: f64,
}

/// One reading put into true temperature, with every number on the way.
pub(crate) struct Reduced {
    /// Mean and scatter of what was shown.
    pub repeated: Repeated,
    /// Mean of what was shown.
    pub shown: Temperature,
    /// Emissivity of the surface; `None` for a contact thermometer or an untrusted surface.
    pub surface: Option<SurfaceEmissivity>,
    /// Temperature that the surface mirrors.
    pub reflected: Temperature,
    /// It was measured, not taken for the air's.
    pub reflected_measured: bool,
    /// Reflected temperature that the thermometer reckons with; `None`: with `reflected`.
    pub set_reflected: Option<Temperature>,
    /// The correction; `None` where none was made or none is possible.
    pub corrected: Option<TrueTemperature>,
    /// True surface temperature; the shown one where it cannot be told.
    pub temperature: Temperature,
    /// Whether it can be told.
    pub trusted: bool,
    /// What its standard uncertainty is made of.
    pub budget: Budget,
    /// Standard uncertainty of the air, kelvin.
    pub u_air: f64,
    /// Sensitivity of the rise to the air: −1, and what the air does as the mirrored temperature.
    pub rise_by_air: f64,
    /// Part of the surface's standard uncertainty that does not come from the air, kelvin.
    pub u_own: f64,
}

impl Reduced {
    /// Standard uncertainty of the rise, kelvin.
    pub fn u_rise(&self) -> f64 {
        libm::hypot(self.u_own, self.rise_by_air * self.u_air)
    }

    /// Coverage factor of the rise: `usual`, or Student's for as much confidence where a few
    /// repeated readings make up part of the uncertainty (JCGM 100:2008, G.4.1).
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
    /// The thermometers that a circuit was measured with.
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
        Self {
            rules,
            accuracy: accuracy(instrument, rules),
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

    /// Puts one reading of a round into true temperature and rise.
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
            current: round.current,
            air: round.air,
            shown: r.shown,
            temperature: r.temperature,
            standard_uncertainty: TemperatureDifference::from_kelvin(r.budget.standard()),
            rise,
            trusted: r.trusted,
            budget: r.budget,
        };
        RoundValue {
            trusted: value.trusted && !value.colder_than_air(),
            ..value
        }
    }

    /// The same with every number on the way, for a reading `lower_k` lower than it was.
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
        // A thermometer whose setting is not told reckons with its own temperature, near the air's
        // (common practice, no source), whatever was measured beside it.
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
            true_temperature(shown, &optics, &self.band).ok()
        });
        // Where the reflection alone exceeds the reading there is no surface temperature to be
        // had, and where the surface is shiny none to be trusted.
        let trusted = self.contact || corrected.is_some();
        let (by_shown, by_emissivity, by_reflected) = corrected.map_or((1.0, 0.0, 0.0), |t| {
            (t.by_shown, t.by_emissivity, t.by_reflected)
        });
        let mut budget = Budget::new()
            .with(
                "instrument",
                by_shown,
                self.accuracy.standard(shown).kelvin(),
            )
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
        }
    }

    /// Emissivity of a connection's surface: as measured, else the published range of its class,
    /// else the setting itself.
    ///
    /// A setting within the published range is taken as right (the range then only widens the
    /// uncertainty); one outside is corrected to the middle of the range.
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

/// Mean and scatter of what was shown.
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

/// Accuracy of a thermometer as its maker states it. Where the visit tells none, the rule set's
/// value is taken; where it tells only a share of the reading, the rule set's least half-width,
/// since a share alone would make a thermometer perfect at 0 °C.
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
