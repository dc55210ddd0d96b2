//! Cases, arithmetic alone, whose answers were computed by scipy, numpy and uncertainties and kept:
//! `peers.py --keep` writes `kept.jsonl`.

use super::close;
use serde_json::Value;
use warmlug::assess::physics::settle::{Heating, How, LoadPoint, fit};
use warmlug::assess::physics::trend::{Past, change, trend};

fn cases(kind: &str) -> Vec<Value> {
    include_str!("kept.jsonl")
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap())
        .filter(|case| case["kind"] == kind)
        .collect()
}

fn rows<const N: usize>(list: &Value) -> Vec<[f64; N]> {
    let row = |r: &Value| {
        let numbers: Vec<f64> = r
            .as_array()
            .unwrap()
            .iter()
            .map(|x| x.as_f64().unwrap())
            .collect();
        <[f64; N]>::try_from(numbers).unwrap()
    };
    list.as_array().unwrap().iter().map(row).collect()
}

/// Compares a number with the peers' of that name, relative to `scale`.
#[track_caller]
fn same(case: &Value, name: &str, found: Option<f64>, within: f64) {
    let wanted = case["peers"][name].as_f64();
    match (found, wanted) {
        (Some(a), Some(b)) => close(a, b, within * (1.0 + b.abs())),
        (a, b) => assert_eq!(a, b, "{name} of {case}"),
    }
}

#[test]
fn settling_as_the_peers_have_it() {
    let mut seen = [0; 6];
    for case in cases("settling") {
        let points: Vec<LoadPoint> = rows::<5>(&case["rounds"])
            .into_iter()
            .map(|[minutes, rise_k, u_rise_k, current_a, air_c]| LoadPoint {
                minutes,
                rise_k,
                u_rise_k,
                current_a,
                air_c,
            })
            .collect();
        let heating = Heating {
            start_rise_k: case["start_rise_k"].as_f64().unwrap(),
            start_air_c: case["start_air_c"].as_f64(),
            common_share: case["common_share"].as_f64(),
            ..Heating::new(case["exponent"].as_f64().unwrap())
        };
        let s = fit(&points, &heating);
        assert_eq!(
            format!("{:?}", s.how),
            case["how"].as_str().unwrap(),
            "{case}"
        );
        match s.how {
            How::Solved | How::Fitted => {
                same(&case, "settled rise", s.rise_k, 1e-9);
                same(&case, "time constant", s.time_constant_min, 1e-9);
                same(
                    &case,
                    "rise, u independent",
                    Some(s.u_rise_independent_k),
                    1e-8,
                );
                same(&case, "rise, u common", Some(s.u_rise_common_k), 1e-8);
                same(&case, "rise, u moment", Some(s.u_rise_current_k), 1e-8);
                same(&case, "rise, u", Some(s.u_rise_k), 1e-8);
                same(&case, "time constant, u", s.u_time_constant_min, 1e-8);
                same(&case, "covariance", s.covariance, 1e-7);
                same(&case, "χ²", Some(s.chi_squared), 1e-9);
                same(&case, "still to go, K", s.to_go_k, 1e-9);
                same(&case, "still to wait, min", s.minutes_to_within(1.0), 1e-8);
                let rate = 60.0 * s.to_go_k.unwrap() / s.time_constant_min.unwrap();
                close(s.rate_k_per_h.unwrap(), rate, 1e-9 * (1.0 + rate.abs()));
            }
            How::Plateau => {
                same(&case, "plateau", s.rise_k, 1e-10);
                same(&case, "plateau, u", Some(s.u_rise_k), 1e-10);
            }
            How::StillClimbing | How::TooUncertain => {
                let last = points.last().unwrap();
                assert_eq!((s.rise_k, s.u_rise_k), (Some(last.rise_k), last.u_rise_k));
            }
            How::Contradictory | How::TooFew => {}
        }
        seen[s.how as usize] += 1;
    }
    // Every outcome that random rounds can have was met.
    assert!(seen.iter().all(|n| *n > 0), "{seen:?}");
}

#[test]
fn trends_as_the_peers_have_them() {
    let mut reached = 0;
    for case in cases("visits") {
        let list = rows::<3>(&case["list"]);
        let past: Vec<Past> = list
            .iter()
            .map(|&[day, rise_k, u_rise_k]| Past {
                day,
                rise_k,
                u_rise_k,
            })
            .collect();
        let t = trend(&past).unwrap();
        same(&case, "slope", Some(t.slope.k_per_year), 1e-9);
        same(&case, "slope, low", Some(t.slope.low), 1e-8);
        same(&case, "slope, high", Some(t.slope.high), 1e-8);
        let reach = t.reaches(case["limit"].as_f64().unwrap());
        same(&case, "day reached", reach.map(|r| r.day), 1e-9);
        if let Some(r) = reach {
            reached += 1;
            same(&case, "earliest", Some(r.earliest), 1e-9);
            if r.latest.is_none_or(|day| day < 1e7) {
                same(&case, "latest", r.latest, 1e-9);
            }
        }
        let (first, last) = (list[0], list[list.len() - 1]);
        let c = change((first[1], first[2]), (last[1], last[2]));
        same(&case, "change", Some(c.change_k), 1e-12);
        same(&case, "change, u", Some(c.standard_k), 1e-12);
        same(&case, "hotter", Some(c.probability_hotter), 1e-12);
    }
    assert!(reached > 10, "{reached}");
}
