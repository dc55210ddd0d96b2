//! Simulated visits with a fixed seed: how many sound ones come out incomplete or watched, how
//! many planted faults are found, and how often the settled rise is within its uncertainty. The noise
//! is drawn here, from the definitions alone: one bias for all readings of a thermometer, uniform
//! within its accuracy, and a normal scatter of each reading (JCGM 101:2008). Bodies of two time
//! constants are integrated in small steps.

use crate::assess_common::{celsius, current, heat, plain};
use std::collections::HashMap;
use warmlug::assess::{Assessment, assess};
use warmlug::quantity::TemperatureDifference;
use warmlug::record::accepted::Accepted;
use warmlug::rules::built_in;
use warmlug::visit::*;
use warmlug::vocabulary::Grade;

/// SplitMix64 (Steele, Lea and Flood 2014).
pub struct Random(pub u64);

impl Random {
    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal with unit variance, nearly: the sum of twelve uniform numbers.
    pub fn normal(&mut self) -> f64 {
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
    /// A circuit of three phases (`kinds/three-phase.yaml`).
    three_phase: bool,
    /// Range of the share of a slow part in the settled rises; `None` for bodies of one time constant.
    slow: Option<[f64; 2]>,
}

const GUN: Kind = Kind {
    half_width: 2.0,
    repeatability: 0.4,
    ampere: 40.0,
    rises: [5.0, 14.0],
    emissivity: 0.0,
    three_phase: false,
    slow: None,
};

const IMAGER: Kind = Kind {
    half_width: 1.0,
    repeatability: 0.3,
    ..GUN
};

/// Time constants of the joint and of the case around it, minutes.
const JOINT_MIN: f64 = 12.0;
const CASE_MIN: f64 = 90.0;

/// Share of the settled rise of a joint of heat capacity 1 in a case, `share` of it the case's, that
/// is reached after some minutes: dT₁/dt = P − (T₁ − T₂)/12, C·dT₂/dt = (T₁ − T₂)/12 − C·T₂/90, in
/// steps of a hundredth of a minute.
pub fn two_bodies(minutes: f64, share: f64) -> f64 {
    const STEP: f64 = 0.01;
    // Thermal resistances of the joint to the case, and of the case to the air.
    let (inner, outer) = (JOINT_MIN, JOINT_MIN * share / (1.0 - share));
    let capacity = CASE_MIN / outer;
    let (mut joint, mut case) = (0.0, 0.0);
    for _ in 0..(minutes / STEP).round() as u32 {
        let flow = (joint - case) / inner;
        joint += STEP * (1.0 - flow);
        case += STEP * (flow - case / outer) / capacity;
    }
    joint / (inner + outer)
}

/// A visit read without load, at 15 and at 60 minutes; `fault_k` is added to the first connection.
fn simulated(kind: &Kind, fault_k: f64, random: &mut Random) -> Visit {
    simulated_with_rises(kind, fault_k, random).0
}

/// The same, and the rise at which each connection settles.
fn simulated_with_rises(
    kind: &Kind,
    fault_k: f64,
    random: &mut Random,
) -> (Visit, HashMap<String, f64>) {
    let mut visit = match kind.three_phase {
        false => plain([8.0, 8.0]),
        true => warmlug::visit::read(
            &include_str!("kinds/three-phase.yaml").replace("periodic", "first"),
            "visit.yaml",
            &Accepted,
        )
        .unwrap_or_else(|e| panic!("{e}")),
    };
    let circuit = &mut visit.circuits[0];
    circuit.charger.rated_current = warmlug::quantity::Current::from_ampere(kind.ampere);
    let gun = &mut visit.instruments[0];
    gun.repeatability = Some(TemperatureDifference::from_kelvin(kind.repeatability));
    gun.accuracy = crate::assess_common::within(kind.half_width);
    current(&mut visit, kind.ampere);
    let bias = random.uniform(-kind.half_width, kind.half_width);
    let air_bias = random.uniform(-kind.half_width, kind.half_width);
    let places = visit.circuits[0].places.len();
    let mut bodies = HashMap::new();
    for place in 0..places {
        let rise = random.uniform(kind.rises[0], kind.rises[1]);
        let tau = random.uniform(10.0, 25.0);
        let slow = kind.slow.map(|[low, high]| random.uniform(low, high));
        let reached = |minutes: f64| match slow {
            Some(share) => two_bodies(minutes, share),
            None => 1.0 - (-minutes / tau).exp(),
        };
        let reached = [0.0, reached(15.0), reached(60.0)];
        for connection in &visit.circuits[0].places[place].connections {
            let fault = if connection.id == "breaker-L1" {
                fault_k
            } else {
                0.0
            };
            let surface = 1.0 + kind.emissivity * random.uniform(-1.0, 1.0);
            // A neutral that carries nothing is warmed by its neighbours alone.
            let carried = if connection.leg == "N" { 0.2 } else { 1.0 };
            let settled = (rise + fault) * surface * carried;
            bodies.insert(connection.id.clone(), (settled, reached));
        }
    }
    let heat = heat(&mut visit);
    let from = heat.charging_from.unwrap().seconds() as f64 / 60.0;
    for (i, (round, minutes)) in heat.rounds.iter_mut().zip([0.0, 15.0, 60.0]).enumerate() {
        if minutes > 0.0 {
            round.at = crate::assess_common::moment(from + minutes);
        }
        let scatter = kind.repeatability;
        let air = 20.0 + air_bias + scatter * random.normal();
        round.air = Some(celsius(air));
        for (id, read) in &mut round.readings {
            let (rise, reached) = bodies[id.as_str()];
            let t = 20.0 + rise * reached[i];
            read.temperatures = vec![celsius(t + bias + scatter * random.normal())];
        }
    }
    let rises = bodies.into_iter().map(|(id, (rise, _))| (id, rise));
    (visit, rises.collect())
}

fn judged(visit: &Visit) -> Assessment {
    assess(visit, built_in(&visit.rules).unwrap(), &[])
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
        ("an imager of 1 K", IMAGER),
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
        (
            "three phases",
            Kind {
                ampere: 32.0,
                three_phase: true,
                ..GUN
            },
        ),
        (
            "slow cases",
            Kind {
                slow: Some(SLOW),
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

/// Shares of a slow part in the devices simulated here.
const SLOW: [f64; 2] = [0.1, 0.35];

/// Share of the connections whose settled rise is within the band that is stated for it, and share of
/// those with a settled rise where it is within the uncertainty of that.
fn covered(kind: &Kind, seed: u64) -> (f64, f64) {
    let mut random = Random(seed);
    let (mut covered, mut all) = (0, 0);
    let (mut within, mut settled) = (0, 0);
    for _ in 0..VISITS {
        let (visit, rises) = simulated_with_rises(kind, 0.0, &mut random);
        let a = judged(&visit);
        for c in a.circuits[0].connections.iter() {
            let (Some(ends), Some(&rise)) = (c.ends, rises.get(&c.id)) else {
                continue;
            };
            let (Some(least), Some(most)) = (ends.least, ends.most) else {
                continue;
            };
            all += 1;
            covered += usize::from((least.kelvin()..=most.kelvin()).contains(&rise));
            if c.settled.is_some_and(|s| s.how.is_settled()) {
                let stated = c.rise_at_rated.unwrap();
                settled += 1;
                let off = (stated.value.kelvin() - rise).abs();
                within += usize::from(off <= stated.expanded.kelvin());
            }
        }
    }
    assert!(
        all >= 4 * VISITS && settled >= 2 * VISITS,
        "{all} {settled}"
    );
    let share = |n: usize, of: usize| n as f64 / of as f64;
    (share(covered, all), share(within, settled))
}

#[test]
fn settled_rises_are_within_their_uncertainty() {
    for (i, slow) in [None, Some(SLOW)].into_iter().enumerate() {
        for (j, rises) in [[5.0, 14.0], [15.0, 35.0]].into_iter().enumerate() {
            for (k, kind) in [GUN, IMAGER].into_iter().enumerate() {
                let kind = Kind {
                    rises,
                    slow,
                    ..kind
                };
                let seed = 100 + 4 * i as u64 + 2 * j as u64 + k as u64;
                let (covered, within) = covered(&kind, seed);
                let name = format!("{slow:?} {rises:?} {} K", kind.half_width);
                println!("{name}: {covered:.3} covered, {within:.3} within U");
                assert!(covered >= 0.95, "{name}: {covered}");
                assert!(within >= 0.95, "{name}: {within}");
            }
        }
    }
}
