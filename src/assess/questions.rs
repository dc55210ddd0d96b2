//! Values that point to a typing or unit error: each is asked for, and set aside until the visit says
//! that it was looked at again (`confirmed: yes`).
//!
//! A value that was set aside enters no check, and the visit is incomplete until it is answered.
//! High heat and a screw found loose are never set aside: if they were treated as typing errors, a
//! danger would go unnoticed.

use super::assessment::{Limitation, Value, Values};
use crate::quantity::{Ratio, Temperature, Torque, Unit};
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, Grade, Heat, Instrument, Reading, Round, Step, TorqueCheck, TorqueFound,
    Visit,
};
use crate::vocabulary::{LimitationId, ValueName};

/// One question, and what it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// What is asked.
    pub asked: Limitation,
    /// Where the value is in the visit file.
    pub about: About,
}

/// A value of the visit file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// A reading of a circuit.
    Reading {
        /// Circuit id.
        circuit: String,
        /// Whether it is in the series after the repairs.
        after: bool,
        /// Index of the round.
        round: usize,
        /// Connection id.
        connection: String,
    },
    /// The temperatures of a round of a circuit.
    Round {
        /// Circuit id.
        circuit: String,
        /// In the series after the repairs.
        after: bool,
        /// Index of the round.
        round: usize,
    },
    /// A torque check of a circuit.
    Torque {
        /// Circuit id.
        circuit: String,
        /// Index of the check.
        index: usize,
    },
    /// The setting of an instrument.
    Setting {
        /// Instrument id.
        instrument: String,
    },
    /// A temperature of a circuit that was not measured.
    Fact {
        /// Circuit id.
        circuit: String,
        /// The keys that lead to it.
        keys: &'static [&'static str],
    },
}

impl About {
    /// The steps to the value in the visit file.
    pub fn steps(&self) -> Vec<Step<'_>> {
        match self {
            About::Reading {
                circuit,
                after,
                round,
                connection,
            } => vec![
                Step::Key("circuits"),
                Step::Id(circuit),
                Step::Key(if *after { "heat_after" } else { "heat" }),
                Step::Key("rounds"),
                Step::Index(*round),
                Step::Key("readings"),
                Step::Key(connection),
            ],
            About::Round {
                circuit,
                after,
                round,
            } => vec![
                Step::Key("circuits"),
                Step::Id(circuit),
                Step::Key(if *after { "heat_after" } else { "heat" }),
                Step::Key("rounds"),
                Step::Index(*round),
                Step::Key("air"),
            ],
            About::Torque { circuit, index } => vec![
                Step::Key("circuits"),
                Step::Id(circuit),
                Step::Key("torque"),
                Step::Index(*index),
                Step::Key("left"),
            ],
            About::Setting { instrument } => vec![
                Step::Key("instruments"),
                Step::Key(instrument),
                Step::Key("emissivity"),
            ],
            About::Fact { circuit, keys } => [Step::Key("circuits"), Step::Id(circuit)]
                .into_iter()
                .chain(keys.iter().map(|key| Step::Key(key)))
                .collect(),
        }
    }

    /// How to answer, in the words of the visit file.
    pub fn answer(&self) -> String {
        match self {
            About::Reading { connection, .. } => format!(
                "correct it, or write `{connection}: {{ temperature: …, confirmed: yes }}` if you have \
                 looked again"
            ),
            About::Round { .. } => {
                "correct the unit or the numbers, or add `confirmed: yes` to this round if you have \
                 looked again"
                    .to_owned()
            }
            About::Torque { .. } => {
                "correct it, or add `confirmed: yes` to this torque check if you \
                 have looked again"
                    .to_owned()
            }
            About::Fact { .. } => "correct the number or its unit".to_owned(),
            About::Setting { .. } => {
                "correct it, or add `confirmed: yes` to the instrument if you have \
                 looked again"
                    .to_owned()
            }
        }
    }
}

/// Removes the doubtful values from the visit; returns the visit and the questions about them.
pub(super) fn set_aside(visit: &Visit, rules: &Rules) -> (Visit, Vec<Question>) {
    let mut sound = visit.clone();
    let mut questions = Vec::new();
    for circuit in &mut sound.circuits {
        let mut of_circuit = Vec::new();
        let fahrenheit = written_in_fahrenheit(circuit);
        facts(circuit, &mut of_circuit);
        series_in_other_unit(circuit, fahrenheit, &mut of_circuit);
        rounds_in_other_unit(circuit, &mut of_circuit);
        readings(circuit, rules, &mut of_circuit);
        settings(visit, circuit, rules, &mut of_circuit);
        spots(visit, circuit, &mut of_circuit);
        torques(circuit, rules, &mut of_circuit);
        of_circuit.sort_by(|a: &Question, b| a.about.cmp(&b.about));
        questions.extend(of_circuit);
    }
    let about = |q: &Question, id: &str| matches!(&q.about, About::Setting { instrument } if instrument == id);
    for instrument in &mut sound.instruments {
        // A reading that is kept because it is hot counts as if the usual setting had been used.
        if questions.iter().any(|q| about(q, &instrument.id)) {
            instrument.emissivity = None;
        }
    }
    (sound, questions)
}

/// The questions that the visit has to answer, in the order of its circuits.
pub fn of(visit: &Visit, rules: &Rules) -> Vec<Question> {
    set_aside(visit, rules).1
}

fn limitation(
    id: LimitationId,
    circuit: &Circuit,
    connections: Vec<String>,
    values: Values,
) -> Limitation {
    Limitation {
        id,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections,
        incomplete: true,
        values,
    }
}

/// Both series of a circuit, that after the repairs second.
fn series(circuit: &mut Circuit) -> impl Iterator<Item = (bool, &mut Heat)> {
    let before = circuit.heat.as_mut().map(|h| (false, h));
    before
        .into_iter()
        .chain(circuit.heat_after.as_mut().map(|h| (true, h)))
}

/// Temperature ratings of conductors and terminals, °C: those of the ampacity tables, and 70 °C of
/// IEC 60364-5-52.
const RATINGS_C: [f64; 4] = [60.0, 70.0, 75.0, 90.0];

/// Half a degree, to which ratings are rounded.
const ROUNDED_K: f64 = 0.5;

/// A hottest air of the year of at most the first value, °C, is questioned if its number in the
/// other unit is at least the second value, °C. Authors' choice, no source.
const COLD_HOTTEST_C: f64 = 10.0;
const LIKELY_HOTTEST_C: f64 = 25.0;

/// Ratings and the hottest air whose number was probably typed in the wrong unit. The value that
/// was meant counts, which is the stricter of the two.
fn facts(circuit: &mut Circuit, questions: &mut Vec<Question>) {
    let described = circuit.clone();
    let mut ask = |id, keys, shown: Temperature, meant: Temperature| {
        let values = [
            (ValueName::Temperature, Value::Temperature(shown)),
            (ValueName::MeantIs, Value::Temperature(meant)),
        ];
        questions.push(Question {
            asked: limitation(id, &described, Vec::new(), values.into()),
            about: About::Fact {
                circuit: described.id.clone(),
                keys,
            },
        });
        meant
    };
    let in_fahrenheit = |t: Temperature| {
        let meant = Temperature::from_fahrenheit(t.celsius());
        let usual = |r: &f64| (meant.celsius() - r).abs() <= ROUNDED_K;
        RATINGS_C.iter().any(usual).then_some(meant)
    };
    let receptacle = circuit.receptacle.as_mut();
    let ratings: [(Option<&mut Temperature>, &'static [&'static str]); 3] = [
        (
            circuit.breaker.terminal_rating.as_mut(),
            &["breaker", "terminal_rating"],
        ),
        (
            Some(&mut circuit.conductors.insulation),
            &["conductors", "insulation"],
        ),
        (
            receptacle.and_then(|r| r.rating.as_mut()),
            &["receptacle", "rating"],
        ),
    ];
    for (rating, keys) in ratings {
        if let Some(rating) = rating
            && let Some(meant) = in_fahrenheit(*rating)
        {
            *rating = ask(LimitationId::RatingInDoubt, keys, *rating, meant);
        }
    }
    let series = described.heat.iter().chain(&described.heat_after);
    let airs = series.flat_map(|h| &h.rounds).filter_map(|r| r.air);
    let warmest = airs
        .map(Temperature::celsius)
        .fold(LIKELY_HOTTEST_C, f64::max);
    if let Some(hottest) = circuit.hottest_air.as_mut() {
        let meant = Temperature::from_celsius(hottest.fahrenheit());
        let too_cold = hottest.celsius() <= COLD_HOTTEST_C;
        if too_cold && meant.celsius() >= warmest {
            *hottest = ask(
                LimitationId::HottestAirInDoubt,
                &["hottest_air"],
                *hottest,
                meant,
            );
        }
    }
}

/// Whether the temperatures of a circuit's rounds were written in °F: their numbers have no more than
/// one decimal in °F, and more in °C. `None` if they have more in both.
fn written_in_fahrenheit(circuit: &Circuit) -> Option<bool> {
    let rounds = circuit.heat.iter().chain(&circuit.heat_after);
    let rounds = rounds.flat_map(|h| &h.rounds);
    let mut all = rounds.flat_map(|r| {
        let readings = r.readings.iter().flat_map(|(_, r)| &r.temperatures);
        r.air.iter().chain(readings).copied()
    });
    let tenth = |degrees: f64| (degrees * 10.0 - (degrees * 10.0).round()).abs() < 1e-6;
    let (mut in_f, mut in_c) = (true, true);
    all.by_ref().for_each(|t| {
        in_f &= tenth(t.fahrenheit());
        in_c &= tenth(t.celsius());
    });
    match (in_f, in_c) {
        (true, false) => Some(true),
        // Whole and half degrees Celsius have one decimal in °F at most.
        (_, true) => Some(false),
        (false, false) => None,
    }
}

/// The temperature that a number written in °F is in °C.
fn as_celsius(t: Temperature) -> Temperature {
    Temperature::from_celsius(t.fahrenheit())
}

/// The temperature that a number written in °C is in °F.
fn as_fahrenheit(t: Temperature) -> Temperature {
    Temperature::from_fahrenheit(t.celsius())
}

/// Air that people work in without remark, °C. Authors' choice, no source.
const WORKED_IN_C: std::ops::RangeInclusive<f64> = 0.0..=45.0;

/// A whole series whose air is freezing, or unbearably hot, and would be neither in the other unit.
///
/// What is meant counts if it is the hotter one: rises are then larger.
fn series_in_other_unit(
    circuit: &mut Circuit,
    fahrenheit: Option<bool>,
    questions: &mut Vec<Question>,
) {
    let Some(fahrenheit) = fahrenheit else { return };
    let described = circuit.clone();
    for (after, heat) in series(circuit) {
        let odd = |t: Temperature| match fahrenheit {
            true => t.celsius() < *WORKED_IN_C.start(),
            false => t.celsius() > *WORKED_IN_C.end(),
        };
        let meant = match fahrenheit {
            true => as_celsius,
            false => as_fahrenheit,
        };
        let airs: Vec<Temperature> = heat.rounds.iter().filter_map(|r| r.air).collect();
        let all = airs
            .iter()
            .all(|air| odd(*air) && WORKED_IN_C.contains(&meant(*air).celsius()));
        let first = heat.rounds.iter().position(|r| r.air.is_some());
        let (Some(first), true) = (first, all && !heat.rounds.iter().any(|r| r.confirmed)) else {
            continue;
        };
        let shown = airs[0];
        let values = [
            (ValueName::Air, Value::Temperature(shown)),
            (ValueName::MeantIs, Value::Temperature(meant(shown))),
        ];
        questions.push(Question {
            asked: limitation(
                LimitationId::SeriesInDoubt,
                &described,
                Vec::new(),
                values.into(),
            ),
            about: About::Round {
                circuit: described.id.clone(),
                after,
                round: first,
            },
        });
        if fahrenheit {
            for round in &mut heat.rounds {
                convert(round, meant);
            }
        }
    }
}

/// Turns every temperature of a round into what its number means in another unit.
fn convert(round: &mut Round, meant: fn(Temperature) -> Temperature) {
    if let Some(air) = &mut round.air {
        *air = meant(*air);
    }
    for (_, reading) in &mut round.readings {
        for t in &mut reading.temperatures {
            *t = meant(*t);
        }
        if let Some(reflected) = &mut reading.reflected {
            *reflected = meant(*reflected);
        }
    }
}

/// How far the air of one round is from that of the others before its unit is doubted, and how near it
/// is to that in the other unit, K. Within an hour or two the air of a site changes by less. Authors' choice,
/// no source.
const AIR_APART_K: f64 = 15.0;
const AIR_NEAR_K: f64 = 7.5;

/// Another unit in which a round's air is the common one, where it is not as it was written.
fn meant_near(air: Temperature, right: Temperature) -> Option<fn(Temperature) -> Temperature> {
    let off = |t: Temperature| (t - right).kelvin().abs();
    let meanings: [fn(Temperature) -> Temperature; 2] = [as_celsius, as_fahrenheit];
    let mut meanings = meanings
        .into_iter()
        .filter(|meant| off(meant(air)) <= AIR_NEAR_K);
    meanings.next().filter(|_| off(air) > AIR_APART_K)
}

/// The air that all rounds share if some are in another unit; `None` if they share it as they are, or
/// in no unit. It is one that people work in, if there are two, or that of more rounds.
fn common_air(airs: &[Temperature]) -> Option<Temperature> {
    let as_written = |right: Temperature| {
        let near = airs
            .iter()
            .filter(|air| (**air - right).kelvin().abs() <= AIR_APART_K);
        near.count()
    };
    let all = |right: &Temperature| {
        let other = airs
            .iter()
            .filter(|air| meant_near(**air, *right).is_some());
        as_written(*right) + other.count() == airs.len()
    };
    if airs.iter().any(|right| as_written(*right) == airs.len()) {
        return None;
    }
    let fitting = airs.iter().copied().filter(all);
    fitting.reduce(|best, next| {
        let rank = |t: Temperature| (WORKED_IN_C.contains(&t.celsius()), as_written(t));
        if rank(next) > rank(best) { next } else { best }
    })
}

/// Rounds whose air, alone or with the readings, or whose readings alone fit the other rounds only in
/// the other unit. What is meant counts where it is a round's air; high heat is never set aside.
fn rounds_in_other_unit(circuit: &mut Circuit, questions: &mut Vec<Question>) {
    let described = circuit.clone();
    for (after, heat) in series(circuit) {
        let airs: Vec<Temperature> = heat.rounds.iter().filter_map(|r| r.air).collect();
        let Some(right) = common_air(&airs) else {
            continue;
        };
        for (index, round) in heat.rounds.iter_mut().enumerate() {
            let (Some(air), false) = (round.air, round.confirmed) else {
                continue;
            };
            let Some(meant) = meant_near(air, right) else {
                continue;
            };
            let values = [
                (ValueName::At, Value::Text(round.at.time.to_string())),
                (ValueName::Air, Value::Temperature(air)),
                (ValueName::MeantIs, Value::Temperature(meant(air))),
            ];
            questions.push(Question {
                asked: limitation(
                    LimitationId::RoundInDoubt,
                    &described,
                    Vec::new(),
                    values.into(),
                ),
                about: About::Round {
                    circuit: described.id.clone(),
                    after,
                    round: index,
                },
            });
            // The readings too, if they fit no better as they are than the air does.
            let right = meant(air);
            let off = |t: Temperature| (t - right).kelvin().abs();
            let highest: Vec<Temperature> = round
                .readings
                .iter()
                .filter_map(|(_, r)| highest(r))
                .collect();
            let better = highest.iter().filter(|t| off(meant(**t)) < off(**t));
            let all = 2 * better.count() > highest.len();
            let hotter = meant(air) > air;
            if all && (hotter || round.current.ampere() == 0.0) {
                convert(round, meant);
            } else {
                round.air = Some(right);
            }
        }
    }
}

/// Readings that are colder than the air, or far colder than the same connection in another round
/// with no more current, and would not be if their number were in °C.
fn readings(circuit: &mut Circuit, rules: &Rules, questions: &mut Vec<Question>) {
    let described = circuit.clone();
    for (after, heat) in series(circuit) {
        let rounds = heat.rounds.clone();
        for (index, round) in heat.rounds.iter_mut().enumerate() {
            let (at, air) = (round.at, round.air);
            // Where most connections are colder than the air, the air is what is wrong, unless it is
            // that of another round and they fit it in the other unit.
            let below = |t: Temperature| air.is_some_and(|air| t < air);
            let cold = round.readings.iter().filter_map(|(_, r)| highest(r));
            let cold: Vec<Temperature> = cold.filter(|t| below(*t)).collect();
            if 2 * cold.len() > round.readings.len() {
                let agrees = air.is_some_and(|air| {
                    let others = rounds.iter().enumerate().filter(|(i, _)| *i != index);
                    let mut others = others.filter_map(|(_, r)| r.air);
                    others.any(|other| (other - air).kelvin().abs() <= AIR_NEAR_K)
                });
                if !agrees {
                    continue;
                }
                if let Some(asked) = all_in_celsius(&described, round, &cold, rules) {
                    questions.push(Question {
                        asked,
                        about: About::Round {
                            circuit: described.id.clone(),
                            after,
                            round: index,
                        },
                    });
                    for (_, reading) in &mut round.readings {
                        for t in &mut reading.temperatures {
                            *t = as_celsius(*t);
                        }
                    }
                }
                continue;
            }
            let current = round.current.ampere();
            // The same connection in the other rounds with at most this current.
            let otherwise = |id: &str| -> Vec<Temperature> {
                let comparable = rounds.iter().enumerate().filter(|(i, other)| {
                    let ampere = other.current.ampere();
                    *i != index && ampere > 0.0 && ampere <= current
                });
                let readings = comparable.flat_map(|(_, other)| &other.readings);
                let own = readings.filter(|(other, _)| other == id);
                own.filter_map(|(_, r)| highest(r)).collect()
            };
            round.readings.retain(|(id, reading)| {
                let meant = air.and_then(|air| in_celsius(reading, air, &otherwise(id), rules));
                let Some((shown, air, meant)) = meant else {
                    return true;
                };
                let values = [
                    (ValueName::At, Value::Text(at.time.to_string())),
                    (ValueName::Temperature, Value::Temperature(shown)),
                    (ValueName::Air, Value::Temperature(air)),
                    (ValueName::Meant, Value::Number(meant.celsius())),
                    (ValueName::MeantUnit, Value::Text("°C".to_owned())),
                    (ValueName::MeantIs, Value::Temperature(meant)),
                ];
                let id = id.clone();
                questions.push(Question {
                    asked: limitation(
                        LimitationId::ReadingInDoubt,
                        &described,
                        vec![id.clone()],
                        values.into(),
                    ),
                    about: About::Reading {
                        circuit: described.id.clone(),
                        after,
                        round: index,
                        connection: id,
                    },
                });
                false
            });
        }
    }
}

/// The question about a round whose readings are all in °C, typed as °F, under an air that is right:
/// most are colder than it by more than a thermometer's error, and none would be in the other unit.
fn all_in_celsius(
    circuit: &Circuit,
    round: &Round,
    cold: &[Temperature],
    rules: &Rules,
) -> Option<Limitation> {
    let air = round.air.filter(|_| !round.confirmed)?;
    let colder = rules.questions.colder_than_air_k.value;
    let below = cold.iter().all(|t| (air - *t).kelvin() > colder);
    let fits = |(_, reading): &(String, Reading)| {
        let above = highest(reading).map(|t| (as_celsius(t) - air).kelvin());
        !reading.confirmed && above.is_some_and(|k| (-colder..=MOST_ABOVE_AIR_K).contains(&k))
    };
    let least = |a: Temperature, b: Temperature| if b < a { b } else { a };
    let coldest = cold.iter().copied().reduce(least)?;
    let values = [
        (ValueName::At, Value::Text(round.at.time.to_string())),
        (ValueName::Temperature, Value::Temperature(coldest)),
        (ValueName::Air, Value::Temperature(air)),
        (ValueName::MeantIs, Value::Temperature(as_celsius(coldest))),
    ];
    (below && round.readings.iter().all(fits)).then(|| {
        limitation(
            LimitationId::ReadingsInDoubt,
            circuit,
            Vec::new(),
            values.into(),
        )
    })
}

fn highest(reading: &Reading) -> Option<Temperature> {
    let temperatures = reading.temperatures.iter().copied();
    temperatures.max_by(|a, b| a.kelvin().total_cmp(&b.kelvin()))
}

/// Greatest rise over the air, kelvin, that a number typed in the wrong unit may mean: that of a
/// joint that has to be remade. Authors' choice, no source.
const MOST_ABOVE_AIR_K: f64 = 80.0;

/// A reading in °F, the air, and the temperature that the same number means in °C, if only that
/// makes sense.
///
/// The reverse, a number in °F typed as °C, reads too hot, and is therefore left alone.
fn in_celsius(
    reading: &Reading,
    air: Temperature,
    otherwise: &[Temperature],
    rules: &Rules,
) -> Option<(Temperature, Temperature, Temperature)> {
    let colder = rules.questions.colder_than_air_k.value;
    let shown = highest(reading)?;
    let meant = Temperature::from_celsius(shown.fahrenheit());
    let above = (meant - air).kelvin();
    let below_air =
        (air - shown).kelvin() > colder && (-colder..=MOST_ABOVE_AIR_K).contains(&above);
    let edges = &rules.thermal.leg_difference.edges;
    let apart = edges.iter().find(|e| e.grade >= Grade::Repair);
    let fits_otherwise = apart.is_some_and(|edge| {
        let fits = |other: &Temperature| {
            (*other - shown).kelvin() > edge.at && (*other - meant).kelvin().abs() <= edge.at
        };
        otherwise.iter().any(fits)
    });
    let odd = below_air || fits_otherwise;
    (odd && !reading.confirmed).then_some((shown, air, meant))
}

/// Readings of surfaces whose emissivity is far from the setting of the thermometer.
fn settings(visit: &Visit, circuit: &mut Circuit, rules: &Rules, questions: &mut Vec<Question>) {
    let instrument = |heat: &Heat| visit.instrument(&heat.with);
    let described = circuit.clone();
    let mut doubted: Vec<(&Instrument, f64)> = Vec::new();
    for (_, heat) in series(circuit) {
        let Some(instrument) = instrument(heat) else {
            continue;
        };
        let Some(set) = instrument.emissivity.filter(|_| !instrument.confirmed) else {
            continue;
        };
        let apart = |id: &str| {
            let mut connections = described.connections().map(|(_, c)| c);
            connections
                .find(|c| c.id == id)
                .is_some_and(|c| apart(c, set.value(), rules))
        };
        let mut any = false;
        for round in &mut heat.rounds {
            let of_round = round.clone();
            round.readings.retain(|(id, reading)| {
                let doubtful = apart(id);
                any |= doubtful;
                !doubtful || hot(&of_round, reading, rules)
            });
        }
        if any && !doubted.iter().any(|(i, _)| i.id == instrument.id) {
            doubted.push((instrument, set.value()));
        }
    }
    for (instrument, set) in doubted {
        let about = About::Setting {
            instrument: instrument.id.clone(),
        };
        let of_it: Vec<&Connection> = described
            .connections()
            .map(|(_, c)| c)
            .filter(|c| apart(c, set, rules))
            .collect();
        let ranges = of_it.iter().filter_map(|c| range(c, rules));
        let (low, high) = ranges.fold((f64::INFINITY, 0.0), |(low, high), (l, h)| {
            (f64::min(low, l), f64::max(high, h))
        });
        let values = [
            (ValueName::Instrument, Value::Text(instrument.id.clone())),
            (ValueName::Emissivity, Value::Number(set)),
            (ValueName::Lowest, Value::Number(low)),
            (ValueName::Highest, Value::Number(high)),
        ];
        let ids = of_it.iter().map(|c| c.id.clone()).collect();
        questions.push(Question {
            asked: limitation(
                LimitationId::EmissivityInDoubt,
                &described,
                ids,
                values.into(),
            ),
            about,
        });
        // The others keep the setting, so their readings are not corrected.
        for place in &mut circuit.places {
            for connection in &mut place.connections {
                if connection.surface.is_none() && connection.emissivity.is_none() {
                    connection.emissivity = Some(Ratio::from_value(set));
                }
            }
        }
    }
}

/// From nearer than this nobody reads a live part with an infrared thermometer, m: an inch. Authors'
/// choice, no source; the restricted approach boundary is 0.305 m (NFPA 70E, 151 to 750 V).
const NEAREST_M: f64 = 0.025;

/// No terminal or splice of such circuits is wider, m. Authors' choice, no source.
const WIDEST_M: f64 = 0.06;

/// Distances and widths that only another unit explains: with them, a spot that is wider than its
/// target would seem to fit. They count as not given.
fn spots(visit: &Visit, circuit: &mut Circuit, questions: &mut Vec<Question>) {
    let described = circuit.clone();
    let mut near: Option<(About, Vec<String>)> = None;
    for (after, heat) in series(circuit) {
        let instrument = visit.instrument(&heat.with);
        if !instrument.is_some_and(|i| i.kind.infrared()) {
            continue;
        }
        for (index, round) in heat.rounds.iter_mut().enumerate() {
            for (id, reading) in &mut round.readings {
                let nearest = reading.distance.is_some_and(|d| d.metre() < NEAREST_M);
                if !nearest || reading.confirmed {
                    continue;
                }
                reading.distance = None;
                let about = About::Reading {
                    circuit: described.id.clone(),
                    after,
                    round: index,
                    connection: id.clone(),
                };
                let (about, connections) = near.get_or_insert((about, Vec::new()));
                let first = matches!(about, About::Reading { round, after: series, .. }
                    if *round == index && *series == after);
                if !connections.contains(id) {
                    connections.push(id.clone());
                }
                // The first in the order of the circuit, whatever the order in the round.
                if let (true, About::Reading { connection, .. }) = (first, about) {
                    let position = |id: &str| described.connections().position(|(_, c)| c.id == id);
                    if position(id) < position(connection) {
                        *connection = id.clone();
                    }
                }
            }
        }
    }
    let in_order = |ids: &[String]| -> Vec<String> {
        let all = described.connections().map(|(_, c)| c.id.clone());
        all.filter(|id| ids.contains(id)).collect()
    };
    if let Some((about, connections)) = near {
        let connections = in_order(&connections);
        questions.push(Question {
            asked: limitation(
                LimitationId::DistanceInDoubt,
                &described,
                connections,
                Values::new(),
            ),
            about,
        });
    }
    let mut wide: Vec<String> = Vec::new();
    for connection in circuit.places.iter_mut().flat_map(|p| &mut p.connections) {
        let wider = connection.width.is_some_and(|w| w.metre() > WIDEST_M);
        if wider && !connection.on_cover() {
            connection.width = None;
            wide.push(connection.id.clone());
        }
    }
    if !wide.is_empty() {
        questions.push(Question {
            asked: limitation(LimitationId::WidthInDoubt, &described, wide, Values::new()),
            about: About::Fact {
                circuit: described.id.clone(),
                keys: &["places"],
            },
        });
    }
}

/// The published emissivities of a surface; `None` if the surface is not stated, or if its
/// emissivity was measured.
fn range(connection: &Connection, rules: &Rules) -> Option<(f64, f64)> {
    if connection.emissivity.is_some() {
        return None;
    }
    let class = connection.surface?;
    let surfaces = &rules.thermal.surfaces;
    let (_, range) = surfaces.iter().find(|(c, _)| *c == class)?;
    Some((range.value.low.value(), range.value.high.value()))
}

/// Whether a setting is far outside the range of a surface on which readings can be trusted.
fn apart(connection: &Connection, set: f64, rules: &Rules) -> bool {
    let apart = rules.questions.emissivity_apart.value;
    range(connection, rules).is_some_and(|(low, high)| {
        low >= rules.thermal.least_emissivity.value && (set < low - apart || set > high + apart)
    })
}

/// Whether a reading is high as displayed: its rise is graded `watch` or worse.
fn hot(round: &Round, reading: &Reading, rules: &Rules) -> bool {
    let edges = &rules.thermal.rise.edges;
    let edge = edges.iter().find(|e| e.grade >= Grade::Watch);
    let (Some(edge), Some(air)) = (edge, round.air) else {
        return true;
    };
    let shown = reading.temperatures.iter();
    shown.copied().any(|t| (t - air).kelvin() >= edge.at)
}

/// A pound-force inch typed as a pound-force foot.
const FOOT_FOR_INCH: f64 = 12.0;

/// A pound-force inch typed as a newton metre.
const METRE_FOR_INCH: f64 = 1.0 / Unit::POUND_FORCE_INCH_NM;

/// The factor between two units by which a torque differs from another, if it does.
fn other_unit(torque: f64, wanted: f64, rules: &Rules) -> Option<f64> {
    let share = rules.questions.torque_in_other_unit.value;
    let ratio = torque / wanted;
    [FOOT_FOR_INCH, METRE_FOR_INCH]
        .into_iter()
        .flat_map(|factor| [factor, 1.0 / factor])
        .filter(|factor| (ratio / factor - 1.0).abs() <= share)
        .min_by(|a, b| (ratio / a - 1.0).abs().total_cmp(&(ratio / b - 1.0).abs()))
}

/// Torques that equal the specified one in another unit, and specified torques that no screw for
/// such a conductor is made for.
fn torques(circuit: &mut Circuit, rules: &Rules, questions: &mut Vec<Question>) {
    let described = circuit.clone();
    let airs = circuit.heat.iter().flat_map(|heat| &heat.rounds);
    let coldest = airs
        .filter_map(|round| round.air)
        .reduce(|a, b| if b < a { b } else { a });
    let mut index = 0;
    circuit.torque.retain_mut(|check| {
        let found = in_doubt(&described, check, rules);
        if found.is_none()
            && let Some(values) = cooled_in_doubt(check, coldest)
        {
            let connections = vec![check.connection.clone()];
            questions.push(Question {
                asked: limitation(LimitationId::CooledInDoubt, &described, connections, values),
                about: About::Torque {
                    circuit: described.id.clone(),
                    index,
                },
            });
            check.cooled_to = None;
        }
        if let Some((id, values)) = found.clone() {
            questions.push(Question {
                asked: limitation(id, &described, vec![check.connection.clone()], values),
                about: About::Torque {
                    circuit: described.id.clone(),
                    index,
                },
            });
        }
        index += 1;
        found.is_none()
    });
}

/// A connection that had cooled to far below the air, and to about the air in the other unit. Nothing
/// cools below the air around it.
fn cooled_in_doubt(check: &TorqueCheck, air: Option<Temperature>) -> Option<Values> {
    let (cooled, air) = check
        .cooled_to
        .zip(air)
        .filter(|(cooled, air)| !check.confirmed && cooled < air)?;
    let meant = meant_near(cooled, air)?(cooled);
    let values = [
        (ValueName::Temperature, Value::Temperature(cooled)),
        (ValueName::Air, Value::Temperature(air)),
        (ValueName::MeantIs, Value::Temperature(meant)),
    ];
    Some(values.into())
}

fn in_doubt(
    circuit: &Circuit,
    check: &TorqueCheck,
    rules: &Rules,
) -> Option<(LimitationId, Values)> {
    if check.confirmed {
        return None;
    }
    let mut connections = circuit.connections().map(|(_, c)| c);
    let connection = connections.find(|c| c.id == check.connection)?;
    let wanted = super::torque::wanted(circuit, connection, rules)?;
    let target = wanted.torque.newton_metre();
    let torque = |nm: f64| Value::Torque(Torque::from_newton_metre(nm));
    if wanted.fallback.is_none()
        && let Some(factor) = specified_in_other_unit(circuit, connection, target, rules)
    {
        let values = [
            (ValueName::Wanted, torque(target)),
            (ValueName::Meant, torque(target / factor)),
        ];
        return Some((LimitationId::TorqueWantedInDoubt, values.into()));
    }
    let found = match check.found {
        TorqueFound::Value(found) => Some(found.newton_metre()).filter(|f| *f > target),
        TorqueFound::Held | TorqueFound::Moved => None,
    };
    let left = check.left.map(Torque::newton_metre);
    let (typed, factor) = [left, found]
        .into_iter()
        .flatten()
        .find_map(|typed| Some((typed, other_unit(typed, target, rules)?)))?;
    let values = [
        (ValueName::Found, torque(typed)),
        (ValueName::Wanted, torque(target)),
        (ValueName::Meant, torque(typed / factor)),
    ];
    Some((LimitationId::TorqueInDoubt, values.into()))
}

/// How far beyond the torques of the fallback tables a maker's value may lie. Authors' choice, no
/// source.
const BEYOND_TABLES: f64 = 2.0;

/// The factor by which a specified torque lies outside what the tables give for any screw on such a
/// conductor, if it is inside in another unit.
fn specified_in_other_unit(
    circuit: &Circuit,
    connection: &Connection,
    target: f64,
    rules: &Rules,
) -> Option<f64> {
    let size = circuit.conductors.size;
    let fallback = &rules.torque.fallback;
    let named = connection.screw.as_deref();
    let by_screw = named.and_then(|screw| fallback.find(screw, size));
    let (low, high) = match by_screw {
        Some((torque, _)) => (torque.newton_metre(), torque.newton_metre()),
        None => fallback.range(size)?,
    };
    let plausible = (low / BEYOND_TABLES)..=(high * BEYOND_TABLES);
    if plausible.contains(&target) {
        return None;
    }
    [FOOT_FOR_INCH, METRE_FOR_INCH]
        .into_iter()
        .flat_map(|factor| [factor, 1.0 / factor])
        .find(|factor| plausible.contains(&(target / factor)))
}
