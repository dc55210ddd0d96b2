//! How long the physics takes: `cargo bench --bench thermal`.
//!
//! Prints nanoseconds a call, of the fastest of many short rounds: what else the machine does can
//! only add. No assertion, since the numbers depend on the machine.

#![allow(clippy::unwrap_used)]

use std::hint::black_box;
use std::time::Instant;
use warmlug::assess::physics::radiance::{Band, Optics, true_temperature};
use warmlug::assess::physics::settle::{Heating, LoadPoint, fit};
use warmlug::quantity::Temperature;

fn time(name: &str, calls: u32, mut run: impl FnMut(u32)) {
    let fastest = (0..400)
        .map(|_| {
            let start = Instant::now();
            for i in 0..calls {
                run(i);
            }
            start.elapsed().as_secs_f64() * 1e9 / f64::from(calls)
        })
        .fold(f64::INFINITY, f64::min);
    println!("{name:40} {fastest:9.0} ns");
}

/// Rounds every ten minutes of a curve with some scatter.
fn rounds(n: u32, varying: bool) -> Vec<LoadPoint> {
    (1..=n)
        .map(|i| {
            let minutes = 10.0 * f64::from(i);
            LoadPoint {
                minutes,
                rise_k: 20.0 * (1.0 - (-minutes / 22.0).exp()) + 0.3 * f64::from(i % 3),
                u_rise_k: 1.6,
                current_a: if varying {
                    30.0 + f64::from(i % 4)
                } else {
                    40.0
                },
                air_c: 16.0 + 0.1 * f64::from(i),
            }
        })
        .collect()
}

fn main() {
    let band = Band::LONG_WAVE;
    time("band radiance", 500, |i| {
        let t = Temperature::from_kelvin(290.0 + f64::from(i % 100));
        black_box(band.radiance(black_box(t)));
    });
    let optics = Optics {
        set: 0.95,
        surface: 0.85,
        reflected: Temperature::from_celsius(16.0),
        set_reflected: None,
    };
    time("true temperature, corrected", 500, |i| {
        let t = Temperature::from_kelvin(290.0 + f64::from(i % 100));
        black_box(true_temperature(black_box(t), &optics, &band).unwrap());
    });
    let same = Optics {
        surface: 0.95,
        ..optics
    };
    time("true temperature, nothing to correct", 500, |i| {
        let t = Temperature::from_kelvin(290.0 + f64::from(i % 100));
        black_box(true_temperature(black_box(t), &same, &band).unwrap());
    });
    for (n, varying) in [(2, false), (3, false), (12, false), (12, true)] {
        let points = rounds(n, varying);
        let heating = Heating::new(2.0);
        let name = format!(
            "settling, {n} rounds{}",
            if varying { ", varying" } else { "" }
        );
        time(&name, 20, |_| {
            black_box(fit(black_box(&points), &heating));
        });
    }
}
