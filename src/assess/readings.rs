//! From what the instrument showed to the true surface temperature and the rise over air, each
//! with its uncertainty.

use super::model::{Estimate, RoundValue};
use super::thermal::{radiance, uncertainty};
use crate::quantity::{Length, Ratio, Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Connection, HalfWidth, Heat, Instrument, InstrumentKind, Reading, Round};

/// Emissivity taken as set where the visit does not tell: the fixed setting of most spot
/// instruments (common practice, no source).
const USUAL_SETTING: f64 = 0.95;

/// Half-width of an emissivity given as one number (general infrared emissivity tables: treat as
/// ±0.05 or worse).
const SINGLE_EMISSIVITY_HALF_WIDTH: f64 = 0.05;

/// Every round in which a connection was read.
pub(super) fn rounds(
    heat: &Heat,
    connection: &Connection,
    instrument: Option<&Instrument>,
    rules: &Rules,
) -> Vec<RoundValue> {
    let gun = Gun::new(instrument, rules);
    heat.rounds
        .iter()
        .enumerate()
        .filter_map(|(i, round)| {
            let (_, reading) = round.readings.iter().find(|(id, _)| *id == connection.id)?;
            Some(gun.value(heat, i, round, connection, reading, rules))
        })
        .collect()
}

/// The thermometer, with what the rule set supplies where the visit does not tell.
struct Gun {
    accuracy: uncertainty::Accuracy,
    set: f64,
    set_reflected: Option<Temperature>,
    band: radiance::Band,
    contact: bool,
}

impl Gun {
    fn new(instrument: Option<&Instrument>, rules: &Rules) -> Self {
        let assumed = &rules.thermal.assumed_accuracy.value;
        let stated = instrument.and_then(|i| i.accuracy);
        let accuracy = stated.map_or(
            uncertainty::Accuracy {
                of_reading: assumed.of_reading,
                at_least_k: assumed.at_least.kelvin(),
            },
            |a| uncertainty::Accuracy {
                of_reading: a.of_reading.map_or(0.0, |p| p.fraction()),
                at_least_k: match a.at_least {
                    Some(HalfWidth::Temperature(d)) => d.kelvin(),
                    _ => 0.0,
                },
            },
        );
        let band = instrument
            .and_then(|i| i.band_um)
            .and_then(|[short, long]| {
                radiance::Band::new(
                    Length::from_metre(short * 1e-6),
                    Length::from_metre(long * 1e-6),
                )
            })
            .unwrap_or_default();
        Self {
            accuracy,
            set: instrument
                .and_then(|i| i.emissivity)
                .map_or(USUAL_SETTING, Ratio::value),
            set_reflected: instrument.and_then(|i| i.reflected),
            band,
            contact: instrument.is_some_and(|i| i.kind == InstrumentKind::ContactThermometer),
        }
    }

    fn value(
        &self,
        heat: &Heat,
        index: usize,
        round: &Round,
        connection: &Connection,
        reading: &Reading,
        rules: &Rules,
    ) -> RoundValue {
        let kelvins: Vec<f64> = reading.temperatures.iter().map(|t| t.kelvin()).collect();
        let repeated = uncertainty::repeated(&kelvins);
        let shown = Temperature::from_kelvin(repeated.map_or(f64::NAN, |r| r.mean));
        let surface = if self.contact {
            None
        } else {
            Some(self.surface(connection, rules))
        };
        let trusted = surface.is_none_or(|s| s.low >= rules.thermal.least_emissivity.value);

        let mut by_shown = 1.0;
        let mut by_emissivity = 0.0;
        let mut temperature = shown;
        let mut half_width = 0.0;
        if let Some(surface) = surface.filter(|_| trusted) {
            let optics = radiance::Optics {
                set: self.set,
                surface: surface.taken,
                reflected: reading.reflected.or(round.air).unwrap_or(shown),
                set_reflected: self.set_reflected,
            };
            half_width = surface.half_width;
            // Where the reflection alone exceeds the reading there is no surface temperature
            // to be had; the shown one stays, with its accuracy.
            if let Ok(t) = radiance::true_temperature(shown, &optics, &self.band) {
                temperature = t.temperature;
                by_shown = t.by_shown;
                by_emissivity = t.by_emissivity;
            }
        }
        let mut budget = uncertainty::Budget::new()
            .with(
                "instrument",
                by_shown,
                self.accuracy.standard(shown).kelvin(),
            )
            .with(
                "emissivity",
                by_emissivity,
                uncertainty::rectangular(half_width),
            );
        if let Some(r) = repeated.filter(|r| r.degrees > 0) {
            budget = budget.with_degrees(
                "repeatability",
                by_shown,
                r.standard,
                Some(r.degrees as f64),
            );
        }
        let u = budget.standard();
        let rise = round.air.map(|air| Estimate {
            value: temperature - air,
            expanded: TemperatureDifference::from_kelvin(
                rules.thermal.coverage_factor.value
                    * uncertainty::Pair::independent(u, self.accuracy.standard(air).kelvin())
                        .difference(),
            ),
        });
        RoundValue {
            round: index,
            minutes: heat
                .charging_from
                .map(|from| (round.at.seconds() - from.seconds()) as f64 / 60.0),
            current: round.current,
            air: round.air,
            shown,
            temperature,
            standard_uncertainty: TemperatureDifference::from_kelvin(u),
            rise,
            trusted,
            budget,
        }
    }

    /// Emissivity of a connection's surface: as measured, else the published range of its class,
    /// else the setting itself.
    ///
    /// A setting within the published range is taken as right (the range then only widens the
    /// uncertainty); one outside is corrected to the middle of the range.
    fn surface(&self, connection: &Connection, rules: &Rules) -> SurfaceEmissivity {
        if let Some(e) = connection.emissivity {
            return SurfaceEmissivity {
                taken: e.value(),
                half_width: SINGLE_EMISSIVITY_HALF_WIDTH,
                low: e.value(),
            };
        }
        let class = connection
            .surface
            .and_then(|s| rules.thermal.surfaces.iter().find(|(class, _)| *class == s));
        let Some((_, range)) = class else {
            return SurfaceEmissivity {
                taken: self.set,
                half_width: SINGLE_EMISSIVITY_HALF_WIDTH,
                low: self.set,
            };
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

#[derive(Debug, Clone, Copy)]
struct SurfaceEmissivity {
    taken: f64,
    half_width: f64,
    low: f64,
}
