//! Laws that hold for any input: what must rise with what, and that no finite input gives
//! something that is not a number.

use proptest::prelude::*;
use warmlug::assess::physics::contact::{Drop, contact};
use warmlug::assess::physics::load_scaling::{AtLoad, Exponents, at_rated, projected};
use warmlug::assess::physics::pattern::{Seen, Side, Worth, patterns};
use warmlug::assess::physics::radiance::{Band, Optics, true_temperature, true_temperature_grey};
use warmlug::assess::physics::settle::{Heating, How, LoadPoint, fit};
use warmlug::assess::physics::spot::spot;
use warmlug::assess::physics::trend::{Past, change, trend};
use warmlug::assess::physics::uncertainty::{Budget, probability_over, repeated, student_factor};
use warmlug::quantity::{Current, Length, Ratio, Temperature, TemperatureDifference, Voltage};

/// Any finite double, extremes included, and often one of a size met in the trade.
fn finite() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => -50.0..500.0f64,
        1 => any::<f64>().prop_filter("finite", |x| x.is_finite()),
        1 => prop_oneof![Just(0.0), Just(f64::MAX), Just(f64::MIN), Just(f64::MIN_POSITIVE)],
    ]
}

/// Temperatures around a garage, kelvin.
fn warm() -> impl Strategy<Value = f64> {
    250.0..600.0f64
}

fn emissivity() -> impl Strategy<Value = f64> {
    0.3..=1.0f64
}

fn load_point() -> impl Strategy<Value = LoadPoint> {
    (finite(), finite(), finite(), finite(), finite()).prop_map(
        |(minutes, rise_k, u_rise_k, current_a, air_c)| LoadPoint {
            minutes,
            rise_k,
            u_rise_k,
            current_a,
            air_c,
        },
    )
}

/// Rounds as a visit may have them: in order, sane currents, any rises.
fn sane_rounds() -> impl Strategy<Value = Vec<LoadPoint>> {
    prop::collection::vec(
        (1.0..60.0f64, -5.0..80.0f64, 0.2..3.0f64, 10.0..50.0f64),
        1..8,
    )
    .prop_map(|steps| {
        let mut minutes = 0.0;
        steps
            .into_iter()
            .map(|(dt, rise_k, u_rise_k, current_a)| {
                minutes += dt;
                LoadPoint {
                    minutes,
                    rise_k,
                    u_rise_k,
                    current_a,
                    air_c: 20.0,
                }
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn hotter_shines_more(t in warm(), more in 0.001..100.0f64) {
        let at = |t| Band::LONG_WAVE.radiance(Temperature::from_kelvin(t));
        prop_assert!(at(t + more) > at(t));
    }

    #[test]
    fn radiance_gives_its_temperature_back(t in 3.0..5000.0f64, near in 1.0..1e5f64) {
        let band = Band::LONG_WAVE;
        let l = band.radiance(Temperature::from_kelvin(t));
        if l > 1e-280 {
            let back = band.temperature(l, Temperature::from_kelvin(near)).unwrap().kelvin();
            prop_assert!((back / t - 1.0).abs() < 1e-10, "{t} came back as {back}");
        }
    }

    #[test]
    fn a_hotter_reading_is_a_hotter_surface(
        shown in warm(), more in 0.01..50.0f64, reflected in warm(),
        set in emissivity(), surface in emissivity(),
    ) {
        let optics = Optics {
            set, surface, reflected: Temperature::from_kelvin(reflected), set_reflected: None,
        };
        let at = |t| {
            true_temperature(Temperature::from_kelvin(t), &optics, &Band::LONG_WAVE)
                .map(|t| t.temperature)
        };
        if let (Ok(a), Ok(b)) = (at(shown), at(shown + more)) {
            prop_assert!(b > a);
        }
        if at(shown).is_ok() {
            prop_assert!(at(shown + more).is_ok());
        }
    }

    #[test]
    fn a_duller_target_under_cool_surroundings_is_hotter_than_shown(
        shown in 300.0..400.0f64, below in 1.0..40.0f64, set in emissivity(), less in 0.01..0.29f64,
    ) {
        let optics = Optics {
            set,
            surface: set - less,
            reflected: Temperature::from_kelvin(shown - below),
            set_reflected: None,
        };
        let shown = Temperature::from_kelvin(shown);
        let t = true_temperature(shown, &optics, &Band::LONG_WAVE).unwrap();
        prop_assert!(t.temperature > shown);
        prop_assert!(t.by_emissivity < 0.0 && t.by_shown > 1.0);
        // The fourth-power formula errs on the same side.
        prop_assert!(true_temperature_grey(shown, &optics).unwrap() > shown);
    }

    #[test]
    fn partial_derivatives_are_those_of_the_function(
        shown in 290.0..420.0f64, reflected in 270.0..310.0f64,
        set in 0.6..0.99f64, surface in 0.5..0.98f64, follows in any::<bool>(),
    ) {
        let at = |shown: f64, surface: f64, reflected: f64| {
            let optics = Optics {
                set,
                surface,
                reflected: Temperature::from_kelvin(reflected),
                set_reflected: (!follows).then_some(Temperature::from_kelvin(295.0)),
            };
            true_temperature(Temperature::from_kelvin(shown), &optics, &Band::LONG_WAVE)
        };
        if let Ok(t) = at(shown, surface, reflected) {
            let kelvin = |a: f64, b: f64, c: f64| at(a, b, c).unwrap().temperature.kelvin();
            let by = |h: f64, a: f64, b: f64| (a - b) / (2.0 * h);
            let (h, e) = (1e-3, 1e-5);
            prop_assume!(surface + e <= 1.0);
            let shown_by = by(
                h,
                kelvin(shown + h, surface, reflected),
                kelvin(shown - h, surface, reflected),
            );
            let emissivity_by = by(
                e,
                kelvin(shown, surface + e, reflected),
                kelvin(shown, surface - e, reflected),
            );
            let reflected_by = by(
                h,
                kelvin(shown, surface, reflected + h),
                kelvin(shown, surface, reflected - h),
            );
            prop_assert!((t.by_shown - shown_by).abs() < 1e-5 * (1.0 + shown_by.abs()));
            prop_assert!(
                (t.by_emissivity - emissivity_by).abs() < 1e-4 * (1.0 + emissivity_by.abs())
            );
            prop_assert!(
                (t.by_reflected - reflected_by).abs() < 1e-5 * (1.0 + reflected_by.abs())
            );
        }
    }

    #[test]
    fn any_optics_give_a_number_or_a_reason(
        shown in finite(), reflected in finite(), set in finite(), surface in finite(),
        known in prop::option::of(finite()), short in finite(), long in finite(),
    ) {
        let optics = Optics {
            set, surface,
            reflected: Temperature::from_kelvin(reflected),
            set_reflected: known.map(Temperature::from_kelvin),
        };
        let band = Band::new(Length::from_metre(short), Length::from_metre(long))
            .unwrap_or_default();
        let shown = Temperature::from_kelvin(shown);
        if let Ok(t) = true_temperature(shown, &optics, &band) {
            prop_assert!(t.temperature.kelvin().is_finite() && t.temperature.kelvin() > 0.0);
            for x in [t.by_shown, t.by_emissivity, t.by_reflected] {
                prop_assert!(x.is_finite(), "{t:?}");
            }
        }
        if let Ok(t) = true_temperature_grey(shown, &optics) {
            prop_assert!(t.kelvin().is_finite() && t.kelvin() > 0.0);
        }
    }

    #[test]
    fn any_rounds_give_numbers(
        points in prop::collection::vec(load_point(), 0..8),
        exponent in finite(), reference in prop::option::of(finite()),
        start in finite(), air in prop::option::of(finite()),
        share in prop::option::of(finite()),
    ) {
        let heating = Heating {
            exponent, reference_a: reference, start_rise_k: start, start_air_c: air,
            common_share: share,
        };
        check_numbers(&fit(&points, &heating))?;
    }

    #[test]
    fn sane_rounds_give_numbers(points in sane_rounds()) {
        check_numbers(&fit(&points, &Heating::new(2.0)))?;
    }

    #[test]
    fn rises_twice_as_high_settle_twice_as_high(points in sane_rounds(), by in 0.1..10.0f64) {
        let scaled: Vec<LoadPoint> = points
            .iter()
            .map(|p| LoadPoint { rise_k: p.rise_k * by, u_rise_k: p.u_rise_k * by, ..*p })
            .collect();
        let (a, b) = (fit(&points, &Heating::new(2.0)), fit(&scaled, &Heating::new(2.0)));
        prop_assert_eq!(a.how, b.how);
        if matches!(a.how, How::Solved | How::Fitted) {
            let (a, b) = (a.rise_k.unwrap(), b.rise_k.unwrap());
            prop_assert!((a * by - b).abs() < 1e-6 * b.abs(), "{a}·{by} ≠ {b}");
        }
    }

    #[test]
    fn a_settled_rise_is_no_lower_than_where_the_curve_is(
        r in 5.0..60.0f64, tau in 5.0..60.0f64, first in 5.0..30.0f64, second in 31.0..120.0f64,
    ) {
        let at = |t: f64| LoadPoint {
            minutes: t,
            rise_k: r * (1.0 - (-t / tau).exp()),
            u_rise_k: 0.01,
            current_a: 40.0,
            air_c: 20.0,
        };
        let s = fit(&[at(first), at(second)], &Heating::new(2.0));
        if s.how == How::Solved {
            prop_assert!((s.rise_k.unwrap() / r - 1.0).abs() < 1e-6);
            prop_assert!((s.time_constant_min.unwrap() / tau - 1.0).abs() < 1e-5);
        }
        // Bound or fit: never below what was measured.
        prop_assert!(s.rise_k.unwrap() >= at(second).rise_k - 0.02);
    }

    #[test]
    fn waiting_longer_comes_nearer(
        r in 5.0..60.0f64, tau in 5.0..60.0f64, near in 0.1..1.0f64,
    ) {
        let at = |t: f64| LoadPoint {
            minutes: t,
            rise_k: r * (1.0 - (-t / tau).exp()),
            u_rise_k: 0.01,
            current_a: 40.0,
            air_c: 20.0,
        };
        let s = fit(&[at(tau / 2.0), at(tau)], &Heating::new(2.0));
        if let (Some(a), Some(b)) = (s.minutes_to_within(near), s.minutes_to_within(2.0 * near)) {
            prop_assert!(a >= b);
            let then = at(tau + a).rise_k;
            prop_assert!(r - then <= near * 1.001);
        }
    }

    #[test]
    fn a_larger_current_scales_to_a_larger_rise(
        rise in 0.1..80.0f64, u in 0.0..5.0f64, i in 5.0..60.0f64, rated in 5.0..60.0f64,
        n in 1.5..2.0f64,
    ) {
        let at = |rated| {
            let load = AtLoad {
                rise: TemperatureDifference::from_kelvin(rise),
                u_rise: TemperatureDifference::from_kelvin(u),
                current: Current::from_ampere(i),
                u_current: Current::from_ampere(0.0),
            };
            at_rated(&load, Current::from_ampere(rated), Exponents { low: n, high: n }).unwrap()
        };
        let (a, b) = (at(rated), at(rated + 1.0));
        prop_assert!(b.rise > a.rise && b.budget.standard() >= a.budget.standard());
    }

    #[test]
    fn more_rise_is_more_likely_over(
        rise in -20.0..80.0f64, more in 0.0..10.0f64, u in 0.0..5.0f64,
    ) {
        let at = |rise| projected(
            Temperature::from_celsius(40.0),
            TemperatureDifference::from_kelvin(rise),
            TemperatureDifference::from_kelvin(u),
            Temperature::from_celsius(75.0),
        );
        prop_assert!(at(rise + more).probability_over >= at(rise).probability_over);
        prop_assert!(at(rise + more).margin <= at(rise).margin);
    }

    #[test]
    fn probabilities_are_probabilities(value in finite(), u in finite(), limit in finite()) {
        let p = probability_over(value, u, limit);
        prop_assert!((0.0..=1.0).contains(&p), "{p}");
    }

    #[test]
    fn any_budget_adds_up(parts in prop::collection::vec((finite(), finite(), finite()), 0..6)) {
        let budget = parts.iter().fold(Budget::new(), |b, (c, u, v)| {
            b.with_degrees("part", *c, *u, (*v >= 1.0).then_some(*v))
        });
        if budget.standard().is_finite() && budget.standard() > 0.0 {
            let sum: f64 = budget.contributions().iter().map(|c| c.share).sum();
            prop_assert!((sum - 1.0).abs() < 1e-9, "{sum}");
            prop_assert!(budget.effective_degrees() >= 1.0 - 1e-9, "{budget:?}");
            prop_assert!(budget.coverage_for(2.0) >= 2.0 - 1e-9);
        }
    }

    #[test]
    fn factors_shrink_with_degrees(p in 0.01..0.999f64, v in 1u32..60) {
        let v = f64::from(v);
        prop_assert!(student_factor(p, v) > student_factor(p, v + 1.0));
        prop_assert!(student_factor(p, v) > student_factor(p, f64::INFINITY));
    }

    #[test]
    fn any_readings_have_a_mean_among_them(readings in prop::collection::vec(-100.0..500.0f64, 1..9)) {
        let r = repeated(&readings).unwrap();
        let (low, high) = readings.iter().fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(*x), b.max(*x)));
        prop_assert!(r.mean >= low - 1e-9 && r.mean <= high + 1e-9);
        prop_assert!(r.standard <= r.deviation && r.deviation.is_finite());
    }

    #[test]
    fn any_visits_give_numbers(
        visits in prop::collection::vec((finite(), finite(), finite()), 0..8), limit in finite(),
    ) {
        let past: Vec<Past> = visits
            .iter()
            .map(|&(day, rise_k, u_rise_k)| Past { day, rise_k, u_rise_k })
            .collect();
        if let Some(t) = trend(&past) {
            let s = t.slope;
            prop_assert!(s.low <= s.k_per_year && s.k_per_year <= s.high);
            prop_assert!(s.k_per_year.is_finite() && s.low.is_finite() && s.high.is_finite());
            if let Some(r) = t.reaches(limit) {
                prop_assert!(r.earliest <= r.day && r.latest.is_none_or(|l| l >= r.day));
                prop_assert!(r.day.is_finite() && r.earliest.is_finite());
            }
        }
    }

    #[test]
    fn any_change_has_a_probability(a in finite(), b in finite(), u in 0.0..9.0f64, v in 0.0..9.0f64) {
        let c = change((a, u), (b, v));
        prop_assert!((0.0..=1.0).contains(&c.probability_hotter), "{c:?}");
    }

    #[test]
    fn any_spot_and_drop_give_numbers(a in finite(), b in finite(), c in finite(), d in finite()) {
        if let Some(s) = spot(
            Length::from_metre(a), Ratio::from_value(b), Length::from_metre(c), d,
        ) {
            prop_assert!(!s.of_target.is_nan() && !s.needed.value().is_nan());
        }
        if let Some(c) = contact(&Drop {
            voltage: Voltage::from_volt(a),
            u_voltage: Voltage::from_volt(b),
            current: Current::from_ampere(c),
            u_current: Current::from_ampere(d),
        }) {
            prop_assert!(!c.ohm.is_nan() && !c.u_ohm.is_nan() && !c.power.watt().is_nan());
        }
    }

    #[test]
    fn any_circuit_has_patterns_that_rest_on_it(
        seen in prop::collection::vec(
            (0..3usize, 0..3usize, any::<bool>(), 0..3u8, finite(), finite(), prop::option::of((finite(), finite()))),
            0..12,
        ),
    ) {
        let seen: Vec<Seen> = seen
            .into_iter()
            .map(|(place, leg, carries, side, rise_k, u_k, no_load)| Seen {
                place, leg, carries,
                side: [Side::Conductor, Side::Joint, Side::Device][usize::from(side)],
                rise_k, kept_k: 0.0, u_k, common_k: u_k / 2.0, growth: 1.0, no_load,
            })
            .collect();
        for p in patterns(&seen, &Worth { difference_k: 4.0, rise_k: 10.0 }) {
            prop_assert!(!p.evidence.is_empty());
            for e in &p.evidence {
                prop_assert!(e.hot < seen.len() && e.against.is_none_or(|i| i < seen.len()));
            }
        }
    }
}

fn check_numbers(s: &warmlug::assess::physics::settle::Settling) -> Result<(), TestCaseError> {
    let known = [
        s.u_rise_k,
        s.u_rise_independent_k,
        s.u_rise_common_k,
        s.u_rise_current_k,
        s.last_rise_k,
        s.reference_a,
        s.chi_squared,
    ];
    let maybe = [
        s.rise_k,
        s.time_constant_min,
        s.u_time_constant_min,
        s.covariance,
        s.time_constant_at_most_min,
        s.to_go_k,
        s.rate_k_per_h,
        s.minutes_to_within(1.0),
    ];
    for x in known.into_iter().chain(maybe.into_iter().flatten()) {
        prop_assert!(x.is_finite(), "{s:?}");
    }
    if matches!(s.how, How::Solved | How::Fitted) {
        prop_assert!(
            s.rise_k > Some(0.0) && s.time_constant_min > Some(0.0),
            "{s:?}"
        );
    }
    Ok(())
}
