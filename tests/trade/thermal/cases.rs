//! Seeded random cases (arithmetic alone) with our answers, one JSON object a line, for `peers.py` to
//! compute again. Written to `WARMLUG_CASES`, or below Cargo's folder for test output.

use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::PathBuf;
use warmlug::assess::physics::contact::{Drop, contact, ratio};
use warmlug::assess::physics::load_scaling::{AtLoad, Exponents, at_rated, projected};
use warmlug::assess::physics::radiance::{Band, Optics, true_temperature};
use warmlug::assess::physics::settle::{Heating, LoadPoint, fit};
use warmlug::assess::physics::trend::{Past, change, trend};
use warmlug::assess::physics::uncertainty::{
    Accuracy, Budget, Errors, Pair, probability_over, repeated, student_factor,
};
use warmlug::quantity::{Current, Length, Temperature, TemperatureDifference, Voltage};

/// Cases of each kind.
const CASES: usize = 1_000;

/// SplitMix64 (Steele, Lea and Flood 2014): the same cases on every machine and for ever.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Uniform between two bounds.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of the numbers from `low` to `high`.
    fn count(&mut self, low: usize, high: usize) -> usize {
        low + (self.next() % (high - low + 1) as u64) as usize
    }

    /// Roughly normal with unit variance: the sum of twelve uniform numbers.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.between(-0.5, 0.5)).sum()
    }

    fn coin(&mut self) -> bool {
        self.next() & 1 == 1
    }
}

fn kelvin(t: f64) -> Temperature {
    Temperature::from_kelvin(t)
}

fn difference(d: f64) -> TemperatureDifference {
    TemperatureDifference::from_kelvin(d)
}

fn band(random: &mut Random) -> (f64, f64, Band) {
    let (short, long) = if random.coin() {
        (8.0, 14.0)
    } else {
        let short = random.between(1.0, 12.0);
        (short, short + random.between(0.5, 10.0))
    };
    let metre = |um: f64| Length::from_metre(um * 1e-6);
    (short, long, Band::new(metre(short), metre(long)).unwrap())
}

fn radiance(random: &mut Random) -> Value {
    let (short, long, band) = band(random);
    let t = random.between(200.0, 900.0);
    json!({ "kind": "radiance", "band_um": [short, long], "t_k": t,
            "radiance": band.radiance(kelvin(t)), "fraction": band.fraction(kelvin(t)) })
}

fn correction(random: &mut Random) -> Value {
    let (short, long, band) = band(random);
    let reflected = random.between(260.0, 320.0);
    let shown = reflected + random.between(-5.0, 120.0);
    let set = random.between(0.6, 1.0);
    let surface = random.between(0.2, 1.0);
    let known = random.coin().then(|| random.between(280.0, 310.0));
    let optics = Optics {
        set,
        surface,
        reflected: kelvin(reflected),
        set_reflected: known.map(kelvin),
    };
    let found = true_temperature(kelvin(shown), &optics, &band).ok();
    json!({ "kind": "correction", "band_um": [short, long], "shown_k": shown, "set": set,
            "surface": surface, "reflected_k": reflected, "set_reflected_k": known,
            "t_k": found.map(|t| t.temperature.kelvin()),
            "by_shown": found.map(|t| t.by_shown),
            "by_emissivity": found.map(|t| t.by_emissivity),
            "by_reflected": found.map(|t| t.by_reflected) })
}

/// Rounds of a first-order body with noise of the size of their uncertainty.
fn settling(random: &mut Random) -> Value {
    let n = random.count(2, 9);
    let (settled, tau) = (random.between(4.0, 60.0), random.between(4.0, 50.0));
    let exponent = if random.coin() {
        2.0
    } else {
        random.between(1.6, 2.0)
    };
    let varying = random.count(0, 2) == 0;
    let drifting = random.count(0, 2) == 0;
    let noise = [0.0, 0.3, 1.0][random.count(0, 2)];
    let start_rise = if random.count(0, 3) == 0 {
        random.between(0.0, 4.0)
    } else {
        0.0
    };
    let start_air = 15.0 + random.between(0.0, 10.0);
    let share = (random.count(0, 3) == 0).then(|| random.between(0.0, 0.95));
    let (mut minutes, mut rise, mut air) = (0.0, start_rise, start_air);
    let mut points = Vec::new();
    for _ in 0..n {
        let dt = random.between(5.0, 30.0);
        let current_a = if varying {
            random.between(16.0, 48.0)
        } else {
            40.0
        };
        let drift = if drifting {
            random.between(-0.06, 0.06)
        } else {
            0.0
        };
        let kept = (-dt / tau).exp();
        let aim = settled * (current_a / 40.0_f64).powf(exponent) - drift * tau;
        rise = aim + (rise - aim) * kept;
        minutes += dt;
        air += drift * dt;
        let u = random.between(0.2, 1.7);
        points.push(LoadPoint {
            minutes,
            rise_k: rise + noise * u * random.normal(),
            u_rise_k: u,
            current_a,
            air_c: air,
        });
    }
    let heating = Heating {
        start_rise_k: start_rise,
        start_air_c: Some(start_air),
        common_share: share,
        ..Heating::new(exponent)
    };
    let s = fit(&points, &heating);
    let rounds: Vec<Value> = points
        .iter()
        .map(|p| json!([p.minutes, p.rise_k, p.u_rise_k, p.current_a, p.air_c]))
        .collect();
    json!({ "kind": "settling", "rounds": rounds, "exponent": exponent, "start_rise_k": start_rise,
            "start_air_c": start_air, "common_share": share, "how": format!("{:?}", s.how),
            "rise_k": s.rise_k, "u_rise_k": s.u_rise_k, "u_independent_k": s.u_rise_independent_k,
            "u_common_k": s.u_rise_common_k, "u_current_k": s.u_rise_current_k,
            "tau_min": s.time_constant_min, "u_tau_min": s.u_time_constant_min,
            "covariance": s.covariance, "chi_squared": s.chi_squared, "to_go_k": s.to_go_k,
            "wait_min": s.minutes_to_within(1.0) })
}

fn budget(random: &mut Random) -> Value {
    let parts: Vec<(f64, f64, Option<f64>)> = (0..random.count(1, 6))
        .map(|_| {
            let degrees = random.coin().then(|| random.count(1, 30) as f64);
            (random.between(-3.0, 3.0), random.between(0.0, 2.0), degrees)
        })
        .collect();
    let b = parts.iter().fold(Budget::new(), |b, &(c, u, v)| {
        b.with_degrees("part", c, u, v)
    });
    let shares: Vec<f64> = b.contributions().iter().map(|c| c.share).collect();
    let degrees = b.effective_degrees();
    json!({ "kind": "budget", "parts": parts, "standard": b.standard(), "shares": shares,
            "degrees": degrees.is_finite().then_some(degrees), "coverage": b.coverage_for(2.0) })
}

fn pair(random: &mut Random) -> Value {
    let (first, second) = (random.between(0.1, 3.0), random.between(0.1, 3.0));
    let common = random.between(0.0, first.min(second));
    let p = Pair {
        first,
        second,
        common,
    };
    json!({ "kind": "pair", "first": first, "second": second, "common": common,
            "difference": p.difference() })
}

/// A pair of readings of one thermometer, each with its accuracy and repeatability.
fn legs(random: &mut Random) -> Value {
    let mut one = || {
        let half_width = random.between(0.3, 3.0);
        let scatter = random.between(0.05, 0.95) * half_width / 3f64.sqrt();
        [half_width, scatter, random.between(0.0, 0.6)]
    };
    let (hot, cool) = (one(), one());
    let errors = |[half_width, scatter, emissivity]: [f64; 3]| {
        let instrument = half_width / 3f64.sqrt();
        Errors::of(instrument.hypot(emissivity), instrument, scatter)
    };
    json!({ "kind": "legs", "hot": hot, "cool": cool,
            "difference": errors(hot).difference(&errors(cool)) })
}

fn scaling(random: &mut Random) -> Value {
    let (rise, u_rise) = (random.between(1.0, 60.0), random.between(0.1, 4.0));
    let (i, u_i) = (random.between(10.0, 60.0), random.between(0.0, 2.0));
    let rated = random.between(10.0, 60.0);
    let (low, width) = (random.between(1.5, 2.0), random.between(0.0, 0.2));
    let exponents = Exponents {
        low,
        high: low + width,
    };
    let air = random.between(30.0, 50.0);
    let limit = random.between(60.0, 90.0);
    let at = AtLoad {
        rise: difference(rise),
        u_rise: difference(u_rise),
        current: Current::from_ampere(i),
        u_current: Current::from_ampere(u_i),
    };
    let s = at_rated(&at, Current::from_ampere(rated), exponents).unwrap();
    let p = projected(
        Temperature::from_celsius(air),
        s.rise,
        difference(s.budget.standard()),
        Temperature::from_celsius(limit),
    );
    json!({ "kind": "scaling", "rise": [rise, u_rise], "current": [i, u_i], "rated": rated,
            "exponents": [low, low + width], "air_c": air, "limit_c": limit,
            "scaled": s.rise.kelvin(), "u_scaled": s.budget.standard(),
            "margin": p.margin.kelvin(), "over": p.probability_over })
}

fn drops(random: &mut Random) -> Value {
    let mut one = || {
        [
            random.between(0.001, 0.1),
            random.between(0.0, 0.005),
            random.between(5.0, 60.0),
            random.between(0.0, 2.0),
        ]
    };
    let (this, sister) = (one(), one());
    let of = |d: [f64; 4]| {
        contact(&Drop {
            voltage: Voltage::from_volt(d[0]),
            u_voltage: Voltage::from_volt(d[1]),
            current: Current::from_ampere(d[2]),
            u_current: Current::from_ampere(d[3]),
        })
        .unwrap()
    };
    let (a, b) = (of(this), of(sister));
    let (q, u_q) = ratio(&a, &b).unwrap();
    json!({ "kind": "drop", "this": this, "sister": sister,
            "ohm": [a.ohm, a.u_ohm], "watt": [a.power.watt(), a.u_power.watt()],
            "ratio": [q, u_q] })
}

fn probability(random: &mut Random) -> Value {
    let (value, u) = (random.between(0.0, 40.0), random.between(0.05, 5.0));
    let limit = value + u * random.between(-8.0, 8.0);
    let p = random.between(0.01, 0.999);
    let degrees = random.count(1, 300) as f64;
    json!({ "kind": "probability", "value": value, "u": u, "limit": limit,
            "over": probability_over(value, u, limit),
            "p": p, "degrees": degrees, "factor": student_factor(p, degrees) })
}

fn readings(random: &mut Random) -> Value {
    let centre = random.between(-10.0, 120.0);
    let list: Vec<f64> = (0..random.count(2, 9))
        .map(|_| centre + random.between(-2.0, 2.0))
        .collect();
    let r = repeated(&list).unwrap();
    let (share, least) = (random.between(0.0, 0.04), random.between(0.0, 3.0));
    let accuracy = Accuracy {
        of_reading: share,
        at_least_k: least,
    };
    let u = accuracy
        .standard(Temperature::from_celsius(centre))
        .kelvin();
    json!({ "kind": "readings", "list": list, "mean": r.mean, "standard": r.standard,
            "shown_c": centre, "of_reading": share, "at_least_k": least, "u": u })
}

fn visits(random: &mut Random) -> Value {
    let mut day = random.between(700_000.0, 740_000.0).floor();
    let (mut rise, slope) = (random.between(2.0, 25.0), random.between(-1.0, 6.0));
    let list: Vec<[f64; 3]> = (0..random.count(3, 12))
        .map(|_| {
            let days = random.between(90.0, 400.0).floor();
            day += days;
            rise += slope * days / 365.25;
            let u = random.between(0.2, 2.0);
            [day, rise + u * random.normal(), u]
        })
        .collect();
    let past: Vec<Past> = list
        .iter()
        .map(|&[day, rise_k, u_rise_k]| Past {
            day,
            rise_k,
            u_rise_k,
        })
        .collect();
    let t = trend(&past).unwrap();
    let limit = rise + random.between(1.0, 20.0);
    let (first, last) = (list[0], list[list.len() - 1]);
    let c = change((first[1], first[2]), (last[1], last[2]));
    let reach = t.reaches(limit);
    json!({ "kind": "visits", "list": list, "slope": t.slope.k_per_year, "low": t.slope.low,
            "high": t.slope.high, "limit": limit, "day": reach.map(|r| r.day),
            "earliest": reach.map(|r| r.earliest), "latest": reach.and_then(|r| r.latest),
            "change": c.change_k, "u_change": c.standard_k, "hotter": c.probability_hotter })
}

#[test]
fn cases_are_written_for_the_peers() {
    let kinds: [fn(&mut Random) -> Value; 11] = [
        radiance,
        correction,
        settling,
        budget,
        pair,
        scaling,
        drops,
        probability,
        readings,
        visits,
        legs,
    ];
    let mut random = Random(20_261_006);
    let mut text = String::new();
    for kind in kinds {
        for _ in 0..CASES {
            writeln!(text, "{}", kind(&mut random)).unwrap();
        }
    }
    assert_eq!(text.lines().count(), kinds.len() * CASES);
    assert!(!text.contains("NaN"));
    let path = std::env::var_os("WARMLUG_CASES").map_or_else(
        || PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("thermal_cases.jsonl"),
        PathBuf::from,
    );
    std::fs::write(&path, text).unwrap();
}
