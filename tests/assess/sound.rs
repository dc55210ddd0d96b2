//! Simulated visits with a fixed seed: how many sound ones come out incomplete or watched, and how
//! many planted faults are found. The noise is drawn here, from the definitions alone: one bias for
//! all readings of a thermometer, uniform within its accuracy, and a normal scatter of each reading
//! (JCGM 101:2008).

use crate::assess_common::{celsius, current, heat, judged, plain, reading};
use warmlug::quantity::TemperatureDifference;
use warmlug::visit::*;
use warmlug::vocabulary::Grade;

/// SplitMix64 (Steele, Lea and Flood 2014).
struct Random(u64);

impl Random {
    fn uniform(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal with unit variance, nearly: the sum of twelve uniform numbers.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform(-0.5, 0.5)).sum()
    }
}

/// A kind of visit: the thermometer's half-width and repeatability, the charger's current, and the
/// range of the rises.
struct Kind {
    half_width: f64,
    repeatability: f64,
    ampere: f64,
    rises: [f64; 2],
    emissivity: f64,
}

const GUN: Kind = Kind {
    half_width: 2.0,
    repeatability: 0.4,
    ampere: 40.0,
    rises: [5.0, 14.0],
    emissivity: 0.0,
};

/// A visit read without load, at 15 and at 60 minutes; `fault_k` is added to the first connection.
fn simulated(kind: &Kind, fault_k: f64, random: &mut Random) -> Visit {
    let mut visit = plain([8.0, 8.0]);
    let circuit = &mut visit.circuits[0];
    circuit.charger.rated_current = warmlug::quantity::Current::from_ampere(kind.ampere);
    let gun = &mut visit.instruments[0];
    gun.repeatability = Some(TemperatureDifference::from_kelvin(kind.repeatability));
    gun.accuracy = crate::assess_common::within(kind.half_width);
    current(&mut visit, kind.ampere);
    let bias = random.uniform(-kind.half_width, kind.half_width);
    let air_bias = random.uniform(-kind.half_width, kind.half_width);
    let places = visit.circuits[0].places.len();
    let mut bodies = std::collections::HashMap::new();
    for place in 0..places {
        let rise = random.uniform(kind.rises[0], kind.rises[1]);
        let tau = random.uniform(10.0, 25.0);
        for connection in &visit.circuits[0].places[place].connections {
            let fault = if connection.id == "breaker-L1" {
                fault_k
            } else {
                0.0
            };
            let surface = 1.0 + kind.emissivity * random.uniform(-1.0, 1.0);
            bodies.insert(connection.id.clone(), ((rise + fault) * surface, tau));
        }
    }
    let heat = heat(&mut visit);
    for (round, minutes) in heat.rounds.iter_mut().zip([0.0, 15.0, 60.0]) {
        let round_minutes: f64 = minutes;
        if round_minutes > 0.0 {
            round.at = crate::assess_common::moment(600.0 + round_minutes);
        }
        let scatter = kind.repeatability;
        let air = 20.0 + air_bias + scatter * random.normal();
        round.air = Some(celsius(air));
        for (id, read) in &mut round.readings {
            let (rise, tau) = bodies[id.as_str()];
            let t = 20.0 + rise * (1.0 - (-round_minutes / tau).exp());
            *read = reading(t + bias + scatter * random.normal());
        }
    }
    visit
}

/// Shares of the visits that are incomplete, and of those with a finding of at least a grade.
fn shares(kind: &Kind, fault_k: f64, grade: Grade, seed: u64) -> (f64, f64) {
    let mut random = Random(seed);
    let (mut incomplete, mut found) = (0, 0);
    for _ in 0..VISITS {
        let a = judged(&simulated(kind, fault_k, &mut random));
        incomplete += usize::from(!a.complete);
        let heat = |id: &str| a.checks.iter().any(|c| c.id == id && c.grade >= grade);
        found += usize::from(
            ["leg-difference", "rise", "projected-heat"]
                .into_iter()
                .any(heat),
        );
    }
    let share = |n: usize| n as f64 / VISITS as f64;
    (share(incomplete), share(found))
}

const VISITS: usize = 300;

#[test]
fn sound_circuits_are_rarely_incomplete_or_watched() {
    let kinds = [
        ("a gun of 2 K", GUN),
        (
            "an imager of 1 K",
            Kind {
                half_width: 1.0,
                repeatability: 0.3,
                ..GUN
            },
        ),
        (
            "48 A",
            Kind {
                ampere: 48.0,
                ..GUN
            },
        ),
        (
            "emissivities that differ",
            Kind {
                emissivity: 0.03,
                ..GUN
            },
        ),
        (
            "high rises",
            Kind {
                rises: [12.0, 17.0],
                ..GUN
            },
        ),
    ];
    for (i, (name, kind)) in kinds.iter().enumerate() {
        let (incomplete, watched) = shares(kind, 0.0, Grade::Watch, 1 + i as u64);
        println!("{name}: {incomplete:.3} incomplete, {watched:.3} watched");
        assert!(incomplete <= 0.05, "{name}: {incomplete} incomplete");
        assert!(watched <= 0.02, "{name}: {watched} watched");
    }
}

#[test]
fn planted_faults_are_found() {
    let (_, found) = shares(&GUN, 6.0, Grade::Watch, 11);
    assert!(found >= 0.95, "6 K: {found}");
    let (_, found) = shares(&GUN, 3.0, Grade::Note, 12);
    assert!(found >= 0.9, "3 K: {found}");
}
