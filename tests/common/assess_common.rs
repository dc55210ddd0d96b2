//! Valid visits of every shape, made from a string of bytes: an empty string gives the plainest
//! visit, so that a failing case shrinks to a plain one.

#![allow(dead_code, clippy::panic)] // each test file uses a part, and tests may panic

use chrono::{Days, NaiveDate};
use warmlug::assess::{Assessment, CheckResult, assess};
use warmlug::quantity::{
    ConductorSize, Current, Duration, Length, Percentage, Ratio, Temperature,
    TemperatureDifference, TimeOfDay, Torque, Voltage,
};
use warmlug::rules::built_in;
use warmlug::visit::*;
use warmlug::vocabulary::{Cause, CauseId, CheckId};

/// Choices drawn from bytes; when they run out, every choice is the first.
pub struct Dice<'a> {
    bytes: &'a [u8],
}

impl<'a> Dice<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { bytes }
    }

    fn byte(&mut self) -> u8 {
        match self.bytes.split_first() {
            Some((&first, rest)) => {
                self.bytes = rest;
                first
            }
            None => 0,
        }
    }

    /// 0 to n − 1.
    pub fn below(&mut self, n: usize) -> usize {
        usize::from(self.byte()) % n
    }

    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    /// A number between two, the first when the bytes have run out.
    pub fn number(&mut self, low: f64, high: f64) -> f64 {
        let raw = u16::from_le_bytes([self.byte(), self.byte()]);
        low + (high - low) * f64::from(raw) / 65_535.0
    }

    pub fn yes(&mut self) -> bool {
        self.byte() % 2 == 1
    }

    pub fn maybe<T>(&mut self, f: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.yes().then(|| f(self))
    }
}

pub fn celsius(t: f64) -> Temperature {
    Temperature::from_celsius(t)
}

pub fn day(y: i32, m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(y, m, d).unwrap()
}

/// A time of day, minutes after midnight.
pub fn moment(minutes: f64) -> Moment {
    let seconds = (minutes * 60.0).round() as i64;
    Moment {
        day: (seconds / 86_400) as u8,
        time: {
            let s = (seconds % 86_400) as u32;
            TimeOfDay::from_hms(s / 3600, s / 60 % 60, s % 60).unwrap()
        },
        jump_s: 0,
    }
}

/// One reading, once.
pub fn reading(t: f64) -> Reading {
    Reading {
        temperatures: vec![celsius(t)],
        distance: None,
        reflected: None,
        drop: None,
        confirmed: false,
    }
}

pub fn instrument(id: &str, kind: InstrumentKind) -> Instrument {
    Instrument {
        id: id.to_owned(),
        kind,
        model: None,
        serial: Some("S1".to_owned()),
        calibrated: None,
        calibration_due: Some(day(2030, 1, 1)),
        certificate: None,
        accuracy: None,
        repeatability: None,
        emissivity: None,
        confirmed: false,
        reflected: None,
        distance_to_spot: None,
        band_um: None,
    }
}

/// An accuracy of so many kelvin.
pub fn within(kelvin: f64) -> Option<Accuracy> {
    Some(Accuracy {
        of_reading: None,
        at_least: Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
            kelvin,
        ))),
    })
}

/// Makes the whole of a visit's first thermometer's error differ from reading to reading: no bias that
/// cancels in a difference.
pub fn scattering(visit: &mut Visit, half_width_k: f64) {
    visit.instruments[0].repeatability = Some(TemperatureDifference::from_kelvin(
        half_width_k / 3f64.sqrt(),
    ));
}

/// A thermometer of ±2 °C or ±2 %.
pub fn gun() -> Instrument {
    Instrument {
        accuracy: Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(0.02)),
            at_least: Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
                2.0,
            ))),
        }),
        emissivity: Some(Ratio::from_value(0.95)),
        ..instrument("gun", InstrumentKind::InfraredThermometer)
    }
}

pub fn connection(id: &str, leg: &str) -> Connection {
    Connection {
        id: id.to_owned(),
        leg: leg.to_owned(),
        kind: ConnectionKind::ScrewTerminal,
        torque: Some(Torque::from_newton_metre(5.0)),
        screw: None,
        surface: Some(Surface::Tape),
        emissivity: None,
        width: None,
        rating: None,
        remade: false,
        marked: None,
        standard: None,
    }
}

/// A visit without circuits; not valid yet.
fn empty_visit() -> Visit {
    Visit {
        number: String::new(),
        date: day(2026, 5, 4),
        reason: Reason::First,
        rules: "us".to_owned(),
        firm: None,
        edition: None,
        zone: None,
        replaces: None,
        print: Print {
            units: Units::Us,
            paper: Paper::Letter,
            language: vec!["en".to_owned()],
            appendix: false,
        },
        inspector: Inspector {
            name: "Ada Marsh".to_owned(),
            licence: None,
            firm: None,
            address: None,
            phone: None,
            email: None,
            signature_image: None,
            logo: None,
            accent: None,
        },
        client: Client {
            name: "Tom Reed".to_owned(),
            role: Role::Owner,
            address: None,
        },
        site: Site {
            name: "12 Mill Lane".to_owned(),
            address: None,
        },
        instruments: Vec::new(),
        circuits: Vec::new(),
        photos: Vec::new(),
        earlier: Vec::new(),
        judgement: Vec::new(),
        remarks: None,
        cut_short: None,
    }
}

/// Rise to which the charger's terminals settle in [`plain`], K.
pub const CHARGER_RISE: f64 = 2.0;

/// A sound, complete visit to one circuit: 40 A, 240 V; rounds without load, at 15 min and at 65 min
/// of full load in air of 20 °C, with a time constant of 10 min. The two legs at the breaker, read
/// first, settle to the rises given, those in the charger to [`CHARGER_RISE`]; both ends have a
/// termination of the grounding conductor.
pub fn plain(rises: [f64; 2]) -> Visit {
    let mut visit = breaker_alone(rises);
    let circuit = &mut visit.circuits[0];
    let place = |id: &str, legs: &[&str]| Place {
        id: id.to_owned(),
        name: format!("Place of {id}"),
        part: None,
        closed: false,
        connections: legs
            .iter()
            .map(|leg| connection(&format!("{id}-{leg}"), leg))
            .collect(),
    };
    circuit.places.extend([
        place("charger", &["L1", "L2", "G"]),
        place("ground", &["G"]),
    ]);
    for id in ["charger-L1", "charger-L2", "charger-G", "ground-G"] {
        circuit.torque.push(TorqueCheck {
            confirmed: false,
            cooled_to: None,
            connection: id.to_owned(),
            found: TorqueFound::Held,
            left: None,
            with: Some("driver".to_owned()),
            when: None,
        });
    }
    for place in ["charger", "ground"] {
        circuit.looked_at.push(LookedAt {
            place: place.to_owned(),
            seen: vec![Condition::Clean],
            note: None,
            connection: None,
            cleaned: false,
        });
    }
    for round in &mut circuit.heat.as_mut().unwrap().rounds {
        let minutes = round.at.seconds() as f64 / 60.0 - 600.0;
        let share = 1.0 - (-minutes.max(0.0) / 10.0_f64).exp();
        for leg in ["L1", "L2"] {
            round.readings.push((
                format!("charger-{leg}"),
                reading(20.0 + CHARGER_RISE * share),
            ));
        }
    }
    visit
}

/// The same visit with nothing but the breaker, which is no complete one.
pub fn breaker_alone(rises: [f64; 2]) -> Visit {
    let read = |share: f64| {
        ["L1", "L2"]
            .iter()
            .zip(rises)
            .map(|(leg, r)| (format!("breaker-{leg}"), reading(20.0 + r * share)))
            .collect()
    };
    let share = |minutes: f64| 1.0 - (-minutes / 10.0_f64).exp();
    let round = |at: f64, current: f64, share: f64| Round {
        at: moment(600.0 + at),
        air: Some(celsius(20.0)),
        confirmed: false,
        current: Current::from_ampere(current),
        legs: Vec::new(),
        voltage: None,
        readings: read(share),
    };
    let circuit = Circuit {
        id: "bay-1".to_owned(),
        name: None,
        charger: Charger {
            make: None,
            model: None,
            serial: None,
            rated_current: Current::from_ampere(40.0),
            connection: ChargerConnection::Hardwired,
            settings: Vec::new(),
            current_setting: None,
            setting_restricted: None,
        },
        supply: Supply {
            phases: 1,
            legs: vec!["L1".to_owned(), "L2".to_owned()],
            voltage: Voltage::from_volt(240.0),
            system: None,
            pen_protected: None,
            earth_resistance: None,
            earthing: None,
        },
        breaker: Breaker {
            kind: None,
            rating: Current::from_ampere(50.0),
            poles: Some(2),
            terminal_rating: Some(celsius(75.0)),
            ground_fault: GroundFault::None,
            full_rated: false,
            ambient: None,
            side_by_side: None,
        },
        conductors: Conductors {
            protected_by: None,
            terminal_rating: None,
            grounding: None,
            parallel: None,
            material: Material::Copper,
            size: "6 AWG".parse::<ConductorSize>().unwrap(),
            insulation: celsius(90.0),
            wiring: Some(Wiring::Conduit),
            length: Some(Length::from_metre(15.0)),
            current_carrying: Some(2),
            ambient: None,
            stranded: None,
            method: None,
            circuits_together: None,
            load: None,
        },
        places: vec![Place {
            id: "breaker".to_owned(),
            name: "Breaker terminals".to_owned(),
            part: None,
            closed: false,
            connections: vec![
                connection("breaker-L1", "L1"),
                connection("breaker-L2", "L2"),
            ],
        }],
        removed: Vec::new(),
        not_read: Vec::new(),
        repairs: Vec::new(),
        heat_after: None,
        left_as: None,
        isolation: vec![Isolation {
            tester: Some("tester".to_owned()),
            proved_before: Some(Voltage::from_volt(240.0)),
            dead: ["L1-L2", "L1-G", "L2-G"]
                .iter()
                .map(|p| ((*p).to_owned(), Voltage::from_volt(0.0)))
                .collect(),
            proved_after: Some(Voltage::from_volt(240.0)),
            locked: Some(true),
            when: None,
        }],
        torque: ["breaker-L1", "breaker-L2"]
            .iter()
            .map(|id| TorqueCheck {
                confirmed: false,
                cooled_to: None,
                connection: (*id).to_owned(),
                found: TorqueFound::Held,
                left: None,
                with: Some("driver".to_owned()),
                when: None,
            })
            .collect(),
        looked_at: vec![LookedAt {
            place: "breaker".to_owned(),
            seen: vec![Condition::Clean],
            note: None,
            connection: None,
            cleaned: false,
        }],
        heat: Some(Heat {
            with: "gun".to_owned(),
            charging_from: Some(moment(600.0)),
            rounds: vec![
                round(-10.0, 0.0, 0.0),
                round(15.0, 40.0, share(15.0)),
                round(65.0, 40.0, share(65.0)),
            ],
        }),
        feeder: None,
        receptacle: None,
        disconnect: None,
        dedicated: None,
        outdoors: None,
        load_management: None,
        rcd: None,
        hottest_air: None,
    };
    Visit {
        number: "2026-0001".to_owned(),
        date: day(2026, 5, 4),
        reason: Reason::First,
        instruments: vec![
            gun(),
            instrument("tester", InstrumentKind::VoltageTester),
            instrument("driver", InstrumentKind::TorqueScrewdriver),
        ],
        circuits: vec![circuit],
        ..empty_visit()
    }
}

/// A visit judged by the rule set `us`, without earlier ones.
pub fn judged(visit: &Visit) -> Assessment {
    assess(visit, built_in("us").unwrap(), &[])
}

/// The first finding of an id.
#[track_caller]
pub fn finding<'a>(a: &'a Assessment, id: &str) -> &'a CheckResult {
    let ids: Vec<CheckId> = a.checks.iter().map(|f| f.id).collect();
    let found = a.checks.iter().find(|f| f.id == id);
    found.unwrap_or_else(|| panic!("no {id} among {ids:?}"))
}

/// The heat of the first circuit.
pub fn heat(visit: &mut Visit) -> &mut Heat {
    visit.circuits[0].heat.as_mut().unwrap()
}

/// Puts a reading, °C, in a round, of the connection that comes so many-th.
pub fn set(visit: &mut Visit, round: usize, connection: usize, t: f64) {
    heat(visit).rounds[round].readings[connection].1 = reading(t);
}

/// Puts a current, ampere, in every loaded round.
pub fn current(visit: &mut Visit, ampere: f64) {
    for r in &mut heat(visit).rounds {
        if r.current.ampere() > 0.0 {
            r.current = Current::from_ampere(ampere);
        }
    }
}

/// Adds `breaker-` and the leg's name to the first place, with one reading, °C, in every round.
pub fn beside(visit: &mut Visit, leg: &str, t: f64) {
    let id = format!("breaker-{leg}");
    let place = &mut visit.circuits[0].places[0];
    place.connections.push(connection(&id, leg));
    for r in &mut heat(visit).rounds {
        r.readings.push((id.clone(), reading(t)));
    }
}

/// Gives the circuit a third phase, its connection read at one temperature, °C, in every round.
pub fn third_leg(visit: &mut Visit, t: f64) {
    visit.circuits[0].supply.phases = 3;
    visit.circuits[0].supply.legs.push("L3".to_owned());
    beside(visit, "L3", t);
}

/// Charging time, minutes after midnight, of every generated visit.
const CHARGING_FROM: f64 = 600.0;

/// A valid visit from bytes.
pub fn visit(bytes: &[u8]) -> Visit {
    let dice = &mut Dice::new(bytes);
    let instruments = instruments(dice);
    let circuits = (0..=dice.below(2))
        .map(|i| circuit(dice, i, &instruments))
        .collect::<Vec<_>>();
    let judgement = (0..dice.below(3))
        .map(|_| judgement(dice, &circuits))
        .collect();
    Visit {
        number: "2026-0007".to_owned(),
        date: day(2026, 1, 1) + Days::new(dice.below(200) as u64),
        reason: dice.pick(&[
            Reason::First,
            Reason::Periodic,
            Reason::AfterRepair,
            Reason::ChangeOfOwner,
        ]),
        instruments,
        circuits,
        judgement,
        ..empty_visit()
    }
}

fn instruments(dice: &mut Dice) -> Vec<Instrument> {
    let kind = dice.pick(&[
        InstrumentKind::InfraredThermometer,
        InstrumentKind::ThermalImager,
        InstrumentKind::ContactThermometer,
    ]);
    let mut all = vec![
        Instrument {
            accuracy: accuracy(dice, |d| {
                HalfWidth::Temperature(TemperatureDifference::from_kelvin(d.number(2.0, 0.01)))
            }),
            emissivity: dice.maybe(|d| Ratio::from_value(d.number(0.95, 0.1))),
            reflected: dice.maybe(|d| celsius(d.number(20.0, -80.0))),
            distance_to_spot: dice.maybe(|d| Ratio::from_value(d.number(12.0, 300.0))),
            band_um: dice.maybe(|d| {
                let short = d.number(8.0, 0.7);
                [short, short + d.number(6.0, 0.1)]
            }),
            calibration_due: dice.maybe(|d| day(2026, 1, 1) + Days::new(d.below(250) as u64)),
            ..instrument("gun", kind)
        },
        instrument("tester", InstrumentKind::VoltageTester),
    ];
    if dice.yes() {
        all.push(Instrument {
            accuracy: accuracy(dice, |d| {
                HalfWidth::Torque(Torque::from_newton_metre(d.number(0.2, 3.0)))
            }),
            ..instrument("driver", InstrumentKind::TorqueScrewdriver)
        });
    }
    if dice.yes() {
        all.push(Instrument {
            accuracy: accuracy(dice, |d| {
                HalfWidth::Current(Current::from_ampere(d.number(0.2, 5.0)))
            }),
            ..instrument("clamp", InstrumentKind::ClampMeter)
        });
    }
    if dice.yes() {
        all.push(Instrument {
            accuracy: accuracy(dice, |d| {
                HalfWidth::Temperature(TemperatureDifference::from_kelvin(d.number(1.0, 0.05)))
            }),
            ..instrument("air", InstrumentKind::AirThermometer)
        });
    }
    if dice.yes() {
        all.push(Instrument {
            accuracy: accuracy(dice, |d| {
                HalfWidth::Voltage(Voltage::from_volt(d.number(0.0002, 0.01)))
            }),
            ..instrument("meter", InstrumentKind::Multimeter)
        });
    }
    all
}

fn accuracy(dice: &mut Dice, fixed: impl FnOnce(&mut Dice) -> HalfWidth) -> Option<Accuracy> {
    match dice.below(4) {
        0 => None,
        1 => Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(dice.number(0.02, 0.3))),
            at_least: None,
        }),
        2 => Some(Accuracy {
            of_reading: None,
            at_least: Some(fixed(dice)),
        }),
        _ => Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(dice.number(0.02, 0.0001))),
            at_least: Some(fixed(dice)),
        }),
    }
}

fn circuit(dice: &mut Dice, index: usize, instruments: &[Instrument]) -> Circuit {
    let legs: &[&str] = [
        &["L1", "L2"][..],
        &["L1", "L2", "N"],
        &["L1", "N"],
        &["L1", "L2", "L3"],
        &["L1", "L2", "L3", "N"],
        &["L1"],
    ][dice.below(6)];
    let rated = dice.pick(&[40.0, 16.0, 32.0, 48.0, 80.0]);
    let mut number = 0;
    let places: Vec<Place> = (0..=dice.below(3))
        .map(|p| Place {
            id: format!("place-{p}"),
            name: format!("Place {p}"),
            part: None,
            closed: false,
            connections: (0..=dice.below(4))
                .map(|i| {
                    number += 1;
                    let other = dice.pick(&["", "", "", "", "N", "G", "PE"]);
                    let leg = if other.is_empty() {
                        legs[(i + dice.below(2)) % legs.len()]
                    } else {
                        other
                    };
                    any_connection(dice, format!("c{number}"), leg)
                })
                .collect(),
        })
        .collect();
    let ids: Vec<String> = places
        .iter()
        .flat_map(|p| p.connections.iter().map(|c| c.id.clone()))
        .collect();
    let material = dice.pick(&[
        Material::Copper,
        Material::Aluminium,
        Material::CopperCladAluminium,
    ]);
    let size = dice.pick(&["6 AWG", "14 AWG", "1/0 AWG", "16 mm²", "250 kcmil"]);
    let conductors = Conductors {
        protected_by: None,
        terminal_rating: None,
        grounding: None,
        parallel: None,
        material,
        size: size.parse().unwrap(),
        insulation: celsius(dice.pick(&[90.0, 60.0, 75.0])),
        wiring: dice.maybe(|d| {
            d.pick(&[
                Wiring::NmCable,
                Wiring::SeCable,
                Wiring::UfCable,
                Wiring::McCable,
                Wiring::Conduit,
                Wiring::Cable,
            ])
        }),
        length: dice.maybe(|d| Length::from_metre(d.number(15.0, 2000.0))),
        current_carrying: dice.maybe(|d| 1 + d.below(40) as u16),
        ambient: dice.maybe(|d| celsius(d.number(30.0, 90.0))),
        stranded: dice.maybe(Dice::yes),
        method: dice.maybe(|_| "C".to_owned()),
        circuits_together: None,
        load: dice.maybe(|d| Current::from_ampere(d.number(20.0, 200.0))),
    };
    Circuit {
        id: format!("bay-{index}"),
        name: dice.maybe(|_| "Bay".to_owned()),
        charger: Charger {
            make: None,
            model: None,
            serial: None,
            rated_current: Current::from_ampere(rated),
            connection: dice.pick(&[ChargerConnection::Hardwired, ChargerConnection::Receptacle]),
            settings: Vec::new(),
            current_setting: None,
            setting_restricted: None,
        },
        supply: Supply {
            phases: if legs.contains(&"L3") { 3 } else { 1 },
            legs: legs.iter().map(|l| (*l).to_owned()).collect(),
            voltage: Voltage::from_volt(dice.pick(&[240.0, 120.0, 208.0, 400.0])),
            system: dice.maybe(|d| d.pick(&[System::Wye, System::Delta])),
            pen_protected: None,
            earth_resistance: None,
            earthing: None,
        },
        breaker: Breaker {
            kind: None,
            rating: Current::from_ampere(dice.pick(&[50.0, 20.0, 60.0, 100.0])),
            poles: dice.maybe(|d| 1 + d.below(4) as u8),
            terminal_rating: dice.maybe(|d| celsius(d.pick(&[75.0, 60.0]))),
            ground_fault: dice.pick(&[
                GroundFault::None,
                GroundFault::Gfci,
                GroundFault::Gfpe,
                GroundFault::Unknown,
            ]),
            full_rated: dice.yes(),
            ambient: None,
            side_by_side: None,
        },
        feeder: dice.maybe(|_| conductors.clone()),
        conductors,
        receptacle: dice.maybe(|d| Receptacle {
            configuration: d.pick(&["14-50", "6-20", "nothing"]).to_owned(),
            grade: d.maybe(|d| {
                d.pick(&[
                    ReceptacleGrade::Residential,
                    ReceptacleGrade::Industrial,
                    ReceptacleGrade::EvListed,
                ])
            }),
            rating: d.maybe(|d| celsius(d.number(75.0, 40.0))),
            wet_location: d.maybe(Dice::yes),
        }),
        hottest_air: dice.maybe(|d| celsius(d.number(40.0, 90.0))),
        removed: Vec::new(),
        not_read: Vec::new(),
        repairs: Vec::new(),
        heat_after: None,
        left_as: None,
        isolation: dice.maybe(|d| isolation(d, legs)).into_iter().collect(),
        torque: ids
            .iter()
            .filter_map(|id| {
                dice.maybe(|d| TorqueCheck {
                    confirmed: false,
                    cooled_to: None,
                    connection: id.clone(),
                    found: match d.below(3) {
                        0 => TorqueFound::Held,
                        1 => TorqueFound::Moved,
                        _ => TorqueFound::Value(Torque::from_newton_metre(d.number(5.0, 0.1))),
                    },
                    left: d.maybe(|d| Torque::from_newton_metre(d.number(5.0, 100.0))),
                    with: d
                        .maybe(|_| "driver".to_owned())
                        .filter(|id| instruments.iter().any(|i| i.id == *id)),
                    when: None,
                })
            })
            .collect(),
        looked_at: places
            .iter()
            .filter_map(|p| {
                dice.maybe(|d| LookedAt {
                    place: p.id.clone(),
                    seen: (0..=d.below(2)).map(|_| d.pick(&Condition::ALL)).collect(),
                    note: d.maybe(|_| "seen from below".to_owned()),
                    connection: d.maybe(|_| p.connections[0].id.clone()),
                    cleaned: false,
                })
            })
            .collect(),
        disconnect: dice.maybe(|d| Disconnect {
            kind: None,
            in_sight: d.maybe(Dice::yes),
            lockable: d.maybe(Dice::yes),
            plaque: d.maybe(Dice::yes),
        }),
        dedicated: dice.maybe(Dice::yes),
        outdoors: None,
        load_management: None,
        rcd: dice.maybe(|d| ResidualCurrentDevice {
            kind: d.pick(&[Rcd::None, Rcd::Ac, Rcd::A, Rcd::F, Rcd::A6mA, Rcd::B]),
            rating: d.maybe(|d| Current::from_ampere(d.pick(&[0.03, 0.3]))),
            dc_detection: d.maybe(|d| d.pick(&[true, false])),
            trip_time: d.maybe(|d| Duration::from_second(d.number(0.03, 0.2))),
        }),
        heat: (dice.below(8) > 0).then(|| any_heat(dice, rated, &ids)),
        places,
    }
}

fn any_connection(dice: &mut Dice, id: String, leg: &str) -> Connection {
    Connection {
        kind: dice.pick(&[
            ConnectionKind::ScrewTerminal,
            ConnectionKind::Lug,
            ConnectionKind::Splice,
            ConnectionKind::Blade,
            ConnectionKind::BusStab,
            ConnectionKind::SpringClamp,
        ]),
        torque: dice.maybe(|d| Torque::from_newton_metre(d.number(5.0, 0.1))),
        screw: dice.maybe(|d| d.pick(&["slotted-10", "hex-3/16", "M5"]).to_owned()),
        surface: dice.maybe(|d| {
            d.pick(&[
                Surface::Tape,
                Surface::Insulation,
                Surface::Painted,
                Surface::Plastic,
                Surface::OxidisedCopper,
                Surface::OxidisedAluminium,
                Surface::Tinned,
                Surface::Plated,
                Surface::BareMetal,
            ])
        }),
        emissivity: dice.maybe(|d| Ratio::from_value(d.number(0.9, 0.01))),
        width: dice.maybe(|d| Length::from_metre(d.number(0.01, 0.0005))),
        rating: dice.maybe(|d| celsius(d.number(75.0, 40.0))),
        remade: dice.yes(),
        marked: dice.maybe(|d| d.pick(&[MarkedFor::Copper, MarkedFor::Aluminium, MarkedFor::Both])),
        standard: dice.maybe(|d| d.pick(&[ProductStandard::Iec60898, ProductStandard::Iec61439])),
        ..connection(&id, leg)
    }
}

fn isolation(dice: &mut Dice, legs: &[&str]) -> Isolation {
    let mut pairs = Vec::new();
    for (i, a) in legs.iter().enumerate() {
        for b in legs[i + 1..].iter().chain(&["G"]) {
            if dice.below(16) < 15 {
                pairs.push((
                    format!("{a}-{b}"),
                    Voltage::from_volt(dice.pick(&[0.0, 0.0, 0.0, 0.0, 0.0, 2.9, 0.5, 3.1, 230.0])),
                ));
            }
        }
    }
    Isolation {
        tester: Some("tester".to_owned()).filter(|_| dice.below(8) < 7),
        proved_before: Some(Voltage::from_volt(dice.pick(&[240.0, 240.0, 240.0, 0.0])))
            .filter(|_| dice.below(8) < 7),
        dead: pairs,
        proved_after: Some(Voltage::from_volt(dice.pick(&[240.0, 240.0, 240.0, 0.0])))
            .filter(|_| dice.below(8) < 7),
        locked: Some(dice.below(8) < 7).filter(|_| dice.below(8) < 7),
        when: None,
    }
}

fn any_heat(dice: &mut Dice, rated: f64, ids: &[String]) -> Heat {
    let started = !dice.yes();
    let air = dice.number(20.0, 45.0);
    let time_constant = dice.number(10.0, 200.0);
    let settles: Vec<f64> = ids.iter().map(|_| dice.number(15.0, 90.0)).collect();
    let scatter = dice.pick(&[0.0, 0.5, 3.0, 40.0]);
    let mut at: f64 = CHARGING_FROM - 30.0;
    let rounds = (0..dice.below(9))
        .map(|_| {
            at += dice.number(25.0, 1.0);
            let since = at - CHARGING_FROM;
            let charging = since > 0.0 || !started;
            let current = if charging {
                rated * dice.pick(&[1.0, 1.0, 1.0, 0.95, 0.94, 1.1, 0.5, 0.41, 0.39, 0.0])
            } else {
                0.0
            };
            let share = if current > 0.0 {
                (1.0 - (-since.max(1.0) / time_constant).exp()) * (current / rated).powi(2)
            } else {
                0.0
            };
            let unread = dice.pick(&[0, 0, 0, 3]);
            let readings = ids
                .iter()
                .zip(&settles)
                .filter_map(|(id, settles)| {
                    if unread > 0 && dice.below(unread) == 0 {
                        return None;
                    }
                    let around = air + settles * share;
                    Some((id.clone(), any_reading(dice, around, scatter)))
                })
                .collect::<Vec<_>>();
            Round {
                at: moment(at),
                air: Some(celsius(air + dice.number(0.0, 2.0))).filter(|_| dice.below(8) < 7),
                confirmed: false,
                current: Current::from_ampere(current),
                legs: Vec::new(),
                voltage: None,
                readings,
            }
        })
        .collect();
    Heat {
        with: "gun".to_owned(),
        charging_from: started.then(|| moment(CHARGING_FROM)),
        rounds,
    }
}

fn any_reading(dice: &mut Dice, around: f64, scatter: f64) -> Reading {
    let repeats = dice.pick(&[1, 1, 1, 2, 3]);
    Reading {
        temperatures: (0..repeats)
            .map(|_| {
                celsius((around + dice.number(0.0, scatter) - scatter / 2.0).clamp(-40.0, 250.0))
            })
            .collect(),
        distance: dice.maybe(|d| Length::from_metre(d.number(0.15, 30.0))),
        reflected: dice.maybe(|d| celsius(d.number(20.0, -80.0))),
        drop: dice.maybe(|d| Voltage::from_volt(d.number(0.01, 10.0))),
        confirmed: false,
    }
}

fn judgement(dice: &mut Dice, circuits: &[Circuit]) -> Judgement {
    Judgement {
        // The last check is never made by the rule set `us`.
        finding: dice.pick(&[
            Cause::Check(CheckId::Rise),
            Cause::Check(CheckId::LegDifference),
            Cause::Check(CheckId::Condition),
            Cause::Check(CheckId::ResidualCurrent),
            Cause::Known(CauseId::PoorJoint),
            Cause::Known(CauseId::HotPlace),
        ]),
        circuit: dice.maybe(|_| circuits[0].id.clone()),
        place: dice.maybe(|_| "place-0".to_owned()),
        connection: dice.maybe(|_| "c1".to_owned()),
        seen: None,
        grade: dice.pick(&Grade::ALL),
        because: "seen before".to_owned(),
    }
}
