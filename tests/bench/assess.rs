//! Time of judging a visit of 1,000 connections, each read in 12 rounds:
//! `cargo bench --bench assess`.
//!
//! The readings are those of warming bodies with scatter, so that the curves are fitted as in a
//! real visit. The goal is less than 20 ms.

#![allow(clippy::unwrap_used)] // a benchmark may panic

#[path = "../common/assess_common.rs"]
mod assess_common;

use assess_common::{celsius, connection, moment, plain, reading};
use std::time::Instant;
use warmlug::assess::assess;
use warmlug::quantity::Current;
use warmlug::visit::{Place, Round, Surface, Visit};

const CONNECTIONS: usize = 1_000;
const ROUNDS: usize = 12;
const RUNS: usize = 41;

fn large(surface: Surface) -> Visit {
    let mut visit = plain([10.0, 10.0]);
    let circuit = &mut visit.circuits[0];
    circuit.places = (0..CONNECTIONS / 4)
        .map(|p| Place {
            id: format!("place-{p}"),
            name: format!("Place {p}"),
            part: None,
            closed: false,
            connections: (0..4)
                .map(|i| {
                    let mut c = connection(
                        &format!("c{}", 4 * p + i),
                        if i % 2 == 0 { "L1" } else { "L2" },
                    );
                    c.surface = Some(surface);
                    c
                })
                .collect(),
        })
        .collect();
    let ids: Vec<String> = circuit.connections().map(|(_, c)| c.id.clone()).collect();
    // The same scatter in every run.
    let mut state = 7u64;
    let mut scatter = move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / f64::from(1 << 24) - 0.5
    };
    let settles: Vec<f64> = ids.iter().map(|_| 14.0 + 8.0 * scatter()).collect();
    let heat = circuit.heat.as_mut().unwrap();
    heat.rounds = (0..ROUNDS)
        .map(|n| {
            let minutes = if n == 0 { -10.0 } else { 6.0 * n as f64 };
            let share = 1.0 - (-minutes.max(0.0) / 12.0).exp();
            Round {
                at: moment(600.0 + minutes),
                air: Some(celsius(20.0)),
                confirmed: false,
                current: Current::from_ampere(if n == 0 { 0.0 } else { 40.0 }),
                legs: Vec::new(),
                voltage: None,
                readings: ids
                    .iter()
                    .zip(&settles)
                    .map(|(id, r)| (id.clone(), reading(20.0 + r * share + 0.6 * scatter())))
                    .collect(),
            }
        })
        .collect();
    visit
}

fn main() {
    let rules = warmlug::rules::built_in("us").unwrap();
    for (name, surface) in [
        ("emissivity as set", Surface::Tape),
        ("emissivity corrected", Surface::Plastic),
    ] {
        let mut visit = large(surface);
        if surface == Surface::Plastic {
            // Outside of the class's range, so that every reading is corrected.
            visit.instruments[0].emissivity = Some(warmlug::quantity::Ratio::from_value(1.0));
        }
        let mut times: Vec<f64> = (0..RUNS)
            .map(|_| {
                let start = Instant::now();
                std::hint::black_box(assess(&visit, rules, &[]));
                start.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!(
            "{CONNECTIONS} connections, {ROUNDS} rounds, {name}: median {:.1} ms, least {:.1} ms",
            times[RUNS / 2],
            times[0]
        );
    }
}
