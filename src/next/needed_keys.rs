//! Answers to the keys that the checks of a circuit need, as they are typed.

use super::fact::{FactError, name, quantity};
use crate::assess::circuit;
use crate::quantity::plausible;
use crate::quantity::{ConductorSize, Current, Temperature, Unit};
use crate::rules::{Needed, Rules, Starter};
use crate::visit::{
    Circuit, Conductors, Disconnect, Earthing, GroundFault, MarkedFor, OvercurrentDevice, Rcd,
    Receptacle, ReceptacleGrade, ResidualCurrentDevice, System, Wiring,
};
use crate::vocabulary::{MissingKey, Word};
use std::str::FromStr;

/// The next key that the checks of a circuit need, besides those that were asked for already.
pub fn next<'r>(circuit: &Circuit, rules: &'r Rules, asked: &[MissingKey]) -> Option<&'r Needed> {
    let untold = circuit::undecided(circuit, rules);
    untold
        .into_iter()
        .find(|n| !asked.contains(&n.key) && has_room(circuit, n.key))
}

/// Whether the circuit has the part that the key describes.
fn has_room(circuit: &Circuit, key: MissingKey) -> bool {
    match key {
        MissingKey::FeederLength
        | MissingKey::FeederLoad
        | MissingKey::FeederProtectedBy
        | MissingKey::FeederSize
        | MissingKey::FeederTerminalRating
        | MissingKey::FeederWiring
        | MissingKey::FeederMethod => circuit.feeder.is_some(),
        MissingKey::SupplyEarthResistance => circuit.supply.earthing == Some(Earthing::Tt),
        MissingKey::ReceptacleGrade => circuit.receptacle.is_some(),
        MissingKey::RcdDcDetection | MissingKey::RcdRating | MissingKey::RcdTripTime => {
            circuit.rcd.is_some()
        }
        _ => true,
    }
}

/// The usual value under a rule set for a supply with this number of legs, as it would be typed.
pub fn usual(key: MissingKey, starter: &Starter, legs: &str) -> Option<String> {
    let celsius = |t: Temperature| format!("{} °C", t.celsius().round());
    match key {
        MissingKey::BreakerTerminalRating => starter.terminal_rating.map(celsius),
        MissingKey::ConductorsInsulation => Some(celsius(starter.insulation)),
        MissingKey::ReceptacleConfiguration => Some(starter.receptacle.clone()),
        MissingKey::SupplyEarthing => {
            let supply = starter.supplies.iter().find(|(name, _)| name == legs);
            supply.and_then(|(_, s)| s.earthing).map(|e| e.to_string())
        }
        _ => None,
    }
}

/// The usual values for a visit if nobody is asked.
pub(super) fn assumed(starter: &Starter, legs: &str) -> Vec<(MissingKey, String)> {
    [
        MissingKey::SupplyEarthing,
        MissingKey::BreakerTerminalRating,
        MissingKey::ReceptacleConfiguration,
    ]
    .into_iter()
    .filter_map(|key| Some((key, usual(key, starter, legs)?)))
    .collect()
}

/// The words of a choice; none where a value is typed.
pub fn choices(key: MissingKey) -> Vec<&'static str> {
    fn words<T: Word>() -> Vec<&'static str> {
        T::choices().map(|(word, _)| word).collect()
    }
    match key {
        MissingKey::BreakerGroundFault => words::<GroundFault>(),
        MissingKey::BreakerKind => words::<OvercurrentDevice>(),
        MissingKey::ConductorsWiring | MissingKey::FeederWiring => words::<Wiring>(),
        MissingKey::DisconnectKind => words::<crate::visit::Disconnector>(),
        MissingKey::PlacesConnectionsMarked => words::<MarkedFor>(),
        MissingKey::ReceptacleGrade => words::<ReceptacleGrade>(),
        MissingKey::RcdType => words::<Rcd>(),
        MissingKey::SupplyEarthing => words::<Earthing>(),
        MissingKey::SupplySystem => words::<System>(),
        MissingKey::ChargerSettingRestricted
        | MissingKey::Dedicated
        | MissingKey::DisconnectInSight
        | MissingKey::DisconnectLockable
        | MissingKey::DisconnectPlaque
        | MissingKey::RcdDcDetection => vec!["yes", "no"],
        _ => Vec::new(),
    }
}

/// A value as it is typed, unless it is a mere number.
pub fn example(key: MissingKey) -> Option<&'static str> {
    Some(match key {
        MissingKey::BreakerTerminalRating
        | MissingKey::ConductorsInsulation
        | MissingKey::FeederTerminalRating => "75 °C",
        MissingKey::ConductorsLength | MissingKey::FeederLength => "55 ft, 17 m",
        MissingKey::ConductorsSize | MissingKey::FeederSize => "6 AWG, 16 mm²",
        MissingKey::ConductorsMethod | MissingKey::FeederMethod => "B1, B2, C",
        MissingKey::FeederLoad | MissingKey::FeederProtectedBy => "60 A",
        MissingKey::SupplyEarthResistance => "83 Ω",
        MissingKey::ReceptacleConfiguration => "14-50, 60309-32-2P+E",
        MissingKey::RcdRating => "30 mA",
        MissingKey::RcdTripTime => "28 ms",
        _ => return None,
    })
}

/// Possible answers: the words of a choice, or an example.
pub fn possible(key: MissingKey) -> String {
    match choices(key)[..] {
        [] => example(key).unwrap_or("a number").to_owned(),
        ref words => words.join(", "),
    }
}

/// Writes an answer into the circuit.
///
/// # Errors
/// The answer is not a value of the key, or the circuit has nothing that the key could describe.
pub fn answer(circuit: &mut Circuit, key: MissingKey, text: &str) -> Result<(), FactError> {
    let text = text.trim();
    if !has_room(circuit, key) {
        return Err(FactError::NoRoom(key));
    }
    match key {
        MissingKey::BreakerGroundFault => circuit.breaker.ground_fault = word(text)?,
        MissingKey::BreakerKind => circuit.breaker.kind = Some(word(text)?),
        MissingKey::BreakerTerminalRating => {
            circuit.breaker.terminal_rating =
                Some(quantity(text, Unit::Celsius, false, &plausible::RATING)?);
        }
        MissingKey::ChargerSettingRestricted => {
            circuit.charger.setting_restricted = Some(yes(text)?);
        }
        MissingKey::ConductorsCircuitsTogether => {
            circuit.conductors.circuits_together = Some(count(text)?);
        }
        MissingKey::ConductorsCurrentCarrying => {
            circuit.conductors.current_carrying = Some(count(text)?);
        }
        MissingKey::ConductorsInsulation => {
            circuit.conductors.insulation =
                quantity(text, Unit::Celsius, false, &plausible::RATING)?;
        }
        MissingKey::ConductorsLength => length(&mut circuit.conductors, text)?,
        MissingKey::ConductorsMethod => {
            circuit.conductors.method = Some(name(text)?);
        }
        MissingKey::ConductorsSize => circuit.conductors.size = ConductorSize::parse(text, None)?,
        MissingKey::ConductorsWiring => circuit.conductors.wiring = Some(word(text)?),
        MissingKey::Dedicated => circuit.dedicated = Some(yes(text)?),
        MissingKey::DisconnectKind => disconnect(circuit).kind = Some(word(text)?),
        MissingKey::DisconnectInSight => disconnect(circuit).in_sight = Some(yes(text)?),
        MissingKey::DisconnectLockable => disconnect(circuit).lockable = Some(yes(text)?),
        MissingKey::DisconnectPlaque => disconnect(circuit).plaque = Some(yes(text)?),
        MissingKey::FeederLength
        | MissingKey::FeederLoad
        | MissingKey::FeederProtectedBy
        | MissingKey::FeederSize
        | MissingKey::FeederTerminalRating
        | MissingKey::FeederWiring
        | MissingKey::FeederMethod => {
            let feeder = circuit.feeder.as_mut().ok_or(FactError::NoRoom(key))?;
            match key {
                MissingKey::FeederLength => length(feeder, text)?,
                MissingKey::FeederLoad => {
                    feeder.load = Some(quantity(
                        text,
                        Unit::Ampere,
                        true,
                        &plausible::LOAD_CURRENT,
                    )?);
                }
                MissingKey::FeederProtectedBy => {
                    let range = &plausible::RATED_CURRENT;
                    feeder.protected_by = Some(quantity(text, Unit::Ampere, true, range)?);
                }
                MissingKey::FeederTerminalRating => {
                    feeder.terminal_rating =
                        Some(quantity(text, Unit::Celsius, false, &plausible::RATING)?);
                }
                MissingKey::FeederWiring => feeder.wiring = Some(word(text)?),
                MissingKey::FeederMethod => feeder.method = Some(name(text)?),
                _ => feeder.size = ConductorSize::parse(text, None)?,
            }
        }
        MissingKey::PlacesConnectionsMarked => {
            let marked = word(text)?;
            let places = circuit.places.iter_mut();
            places
                .flat_map(|place| &mut place.connections)
                .filter(|c| circuit::takes_conductor(c))
                .for_each(|c| c.marked = Some(marked));
        }
        MissingKey::ReceptacleConfiguration => {
            let configuration = name(text)?;
            match &mut circuit.receptacle {
                Some(receptacle) => receptacle.configuration = configuration,
                None => {
                    circuit.receptacle = Some(Receptacle {
                        configuration,
                        grade: None,
                        rating: None,
                        wet_location: None,
                    });
                }
            }
        }
        MissingKey::ReceptacleGrade => {
            let receptacle = circuit.receptacle.as_mut().ok_or(FactError::NoRoom(key))?;
            receptacle.grade = Some(word(text)?);
        }
        MissingKey::RcdType => {
            let kind = word(text)?;
            match &mut circuit.rcd {
                Some(rcd) => rcd.kind = kind,
                None => {
                    circuit.rcd = Some(ResidualCurrentDevice {
                        kind,
                        rating: None,
                        dc_detection: None,
                        trip_time: None,
                    });
                }
            }
        }
        MissingKey::RcdDcDetection | MissingKey::RcdRating | MissingKey::RcdTripTime => {
            let rcd = circuit.rcd.as_mut().ok_or(FactError::NoRoom(key))?;
            match key {
                MissingKey::RcdDcDetection => rcd.dc_detection = Some(yes(text)?),
                MissingKey::RcdRating => {
                    let range = &plausible::RESIDUAL_CURRENT;
                    let rating: Current = quantity(text, Unit::Milliampere, true, range)?;
                    rcd.rating = Some(rating);
                }
                _ => {
                    let range = &plausible::TRIP_TIME;
                    rcd.trip_time = Some(quantity(text, Unit::Millisecond, true, range)?);
                }
            }
        }
        MissingKey::SupplyEarthResistance => {
            let range = &plausible::EARTH_RESISTANCE;
            circuit.supply.earth_resistance = Some(quantity(text, Unit::Ohm, true, range)?);
        }
        MissingKey::SupplyEarthing => circuit.supply.earthing = Some(word(text)?),
        MissingKey::SupplySystem => circuit.supply.system = Some(word(text)?),
        // Found on site, in the order of work.
        MissingKey::Isolation
        | MissingKey::IsolationAgain
        | MissingKey::IsolationFirst
        | MissingKey::Tester
        | MissingKey::ProvedBefore
        | MissingKey::ProvedAfter
        | MissingKey::Locked => return Err(FactError::NoRoom(key)),
    }
    Ok(())
}

fn length(run: &mut Conductors, text: &str) -> Result<(), FactError> {
    run.length = Some(quantity(text, Unit::Metre, false, &plausible::RUN)?);
    Ok(())
}

fn disconnect(circuit: &mut Circuit) -> &mut Disconnect {
    circuit.disconnect.get_or_insert(Disconnect {
        kind: None,
        in_sight: None,
        lockable: None,
        plaque: None,
    })
}

fn word<T: Word>(text: &str) -> Result<T, FactError> {
    T::of(text).ok_or_else(|| FactError::Word {
        text: text.to_owned(),
        words: T::choices()
            .map(|(word, _)| word)
            .collect::<Vec<_>>()
            .join(", "),
    })
}

fn yes(text: &str) -> Result<bool, FactError> {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err(FactError::Word {
            text: text.to_owned(),
            words: "yes, no".to_owned(),
        }),
    }
}

/// A number of conductors or circuits that run together.
fn count(text: &str) -> Result<u16, FactError> {
    let known = u16::from_str(text).ok().filter(|n| (1..=200).contains(n));
    known.ok_or_else(|| FactError::Count(text.to_owned()))
}
