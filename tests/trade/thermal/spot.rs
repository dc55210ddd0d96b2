//! Scaling to rated load, projection, contact resistance and spot: worked examples, arithmetic alone from
//! the law that NFPA 70B (2023) and thermography guides use.

use super::close;
use warmlug::assess::physics::contact::{Contact, Drop, contact, ratio};
use warmlug::assess::physics::load_scaling::{AtLoad, Exponents, at_rated, projected};
use warmlug::assess::physics::spot::spot;
use warmlug::quantity::{Current, Length, Ratio, Temperature, TemperatureDifference, Voltage};

const fn k(kelvin: f64) -> TemperatureDifference {
    TemperatureDifference::from_kelvin(kelvin)
}

const fn a(ampere: f64) -> Current {
    Current::from_ampere(ampere)
}

fn rise(value: f64, u: f64, current: f64, u_current: f64) -> AtLoad {
    AtLoad {
        rise: k(value),
        u_rise: k(u),
        current: a(current),
        u_current: a(u_current),
    }
}

/// Exponents from 1.6 to 2.
const SPREAD: Exponents = Exponents {
    low: 1.6,
    high: 2.0,
};

/// An exponent that is known.
fn only(n: f64) -> Exponents {
    Exponents { low: n, high: n }
}

#[test]
fn rises_at_rated_load() {
    // 14 K at 32 A → 48 A: × 1.5² = 2.25 → 31.5 K; × 1.5^1.6 = 1.913 → 26.8 K.
    let at = |n| at_rated(&rise(14.0, 0.0, 32.0, 0.0), a(48.0), only(n)).unwrap();
    close(at(2.0).factor, 2.25, 1e-12);
    close(at(2.0).rise.kelvin(), 31.5, 1e-12);
    close(at(1.6).factor, 1.913, 5e-4);
    close(at(1.6).rise.kelvin(), 26.8, 0.05);
    // 61 °C in air of 27 °C at 40 A → 50 A: 34 K → 53.1 K (n = 2), 48.6 K (n = 1.6).
    let at = |n| at_rated(&rise(34.0, 0.0, 40.0, 0.0), a(50.0), only(n)).unwrap();
    close(at(2.0).rise.kelvin(), 53.1, 0.05);
    close(at(1.6).rise.kelvin(), 48.6, 0.05);
}

#[test]
fn uncertainty_of_a_scaled_rise_by_hand() {
    // R = 14 ± 1 K, I = 32 ± 0.64 A (2 %), q = 1.5, n from 1.6 to 2 equally likely. By hand: q² = 2.25,
    // q^1.6 = 1.913144, 0.4·ln 1.5 = 0.162186: mean 0.336856/0.162186 = 2.07697; n·qⁿ has the mean
    // (4.5 − 3.061030)/0.162186 − 2.07697/0.405465 = 3.7499; q²ⁿ (5.0625 − 3.660119)/0.324372 =
    // 4.32337, less 2.07697² = 0.00957, √ = 0.0972. Parts: 2.0770, 14/32·3.7499·0.64 = 1.0500, 1.361.
    let s = at_rated(&rise(14.0, 1.0, 32.0, 0.64), a(48.0), SPREAD).unwrap();
    close(s.rise.kelvin(), 29.078, 5e-4);
    let parts: Vec<_> = s
        .budget
        .contributions()
        .iter()
        .map(|c| (c.name, c.standard))
        .collect();
    assert_eq!(parts[0].0, "rise");
    close(parts[0].1, 2.0770, 5e-5);
    assert_eq!(parts[1].0, "current");
    close(parts[1].1, 1.0500, 5e-5);
    assert_eq!(parts[2].0, "exponent");
    close(parts[2].1, 1.361, 5e-4);
    close(s.budget.standard(), 2.6961, 2e-4);
}

#[test]
fn at_the_rated_current_nothing_is_scaled_and_nothing_jumps_there() {
    let s = at_rated(&rise(14.0, 1.0, 48.0, 0.0), a(48.0), SPREAD).unwrap();
    assert_eq!((s.factor, s.rise.kelvin()), (1.0, 14.0));
    assert_eq!(s.budget.standard(), 1.0);
    for q in [1.0 - 1e-9, 1.0 + 1e-9] {
        let s = at_rated(&rise(14.0, 1.0, 48.0, 0.5), a(48.0 * q), SPREAD).unwrap();
        close(s.factor, 1.0, 1e-8);
        close(
            s.budget.standard(),
            1.0_f64.hypot(14.0 * 1.8 * 0.5 / 48.0),
            1e-6,
        );
    }
}

#[test]
fn an_exponent_that_is_known_is_no_source_of_uncertainty() {
    let names = |exponents: Exponents| {
        let scaled = at_rated(&rise(14.0, 1.0, 32.0, 0.5), a(48.0), exponents).unwrap();
        let all = scaled.budget.contributions();
        all.iter().map(|c| c.name).collect::<Vec<_>>()
    };
    assert_eq!(names(only(2.0)), ["rise", "current"]);
    assert_eq!(names(SPREAD), ["rise", "current", "exponent"]);
}

#[test]
fn no_current_scales_to_nothing() {
    assert!(at_rated(&rise(14.0, 1.0, 0.0, 0.0), a(48.0), only(2.0)).is_none());
    assert!(at_rated(&rise(14.0, 1.0, 32.0, 0.0), a(0.0), only(2.0)).is_none());
    assert!(at_rated(&rise(f64::NAN, 1.0, 32.0, 0.0), a(48.0), only(2.0)).is_none());
    assert!(at_rated(&rise(14.0, f64::INFINITY, 32.0, 0.0), a(48.0), only(2.0)).is_none());
}

#[test]
fn hottest_day_against_a_rating() {
    // 40 °C + 31.5 K = 71.5 °C against 75 °C: 3.5 K left; with u = 2.25 K the limit is
    // 1.556 standard deviations off: 6.0 % over.
    let p = projected(
        Temperature::from_celsius(40.0),
        k(31.5),
        k(2.25),
        Temperature::from_celsius(75.0),
    );
    close(p.temperature.celsius(), 71.5, 1e-9);
    close(p.margin.kelvin(), 3.5, 1e-9);
    close(p.probability_over, 0.060, 5e-4);
}

fn drop(millivolt: f64, u: f64, current: f64, u_current: f64) -> Drop {
    Drop {
        voltage: Voltage::from_volt(millivolt / 1000.0),
        u_voltage: Voltage::from_volt(u / 1000.0),
        current: a(current),
        u_current: a(u_current),
    }
}

#[test]
fn resistance_and_heat_of_a_drop() {
    // 20 mV at 40 A: 0.5 mΩ, 0.8 W. u: 5 % of the voltage and 2 % of the current: 5.39 %.
    let c = contact(&drop(20.0, 1.0, 40.0, 0.8)).unwrap();
    close(c.ohm, 0.5e-3, 1e-15);
    close(c.power.watt(), 0.8, 1e-12);
    close(c.u_ohm / c.ohm, 0.0539, 5e-5);
    close(c.u_power.watt() / c.power.watt(), 0.0539, 5e-5);
    let sister = contact(&drop(8.0, 0.4, 40.0, 0.8)).unwrap();
    let (q, u) = ratio(&c, &sister).unwrap();
    close(q, 2.5, 1e-12);
    close(u / q, 0.0539 * 2f64.sqrt(), 1e-4);
    assert!(ratio(&c, &contact(&drop(0.0, 0.4, 40.0, 0.8)).unwrap()).is_none());
    // Nothing across it is a resistance of none.
    assert_eq!(contact(&drop(0.0, 0.1, 40.0, 0.8)).unwrap().ohm, 0.0);
    assert!(contact(&drop(20.0, 1.0, 0.0, 0.0)).is_none());
    assert!(contact(&drop(f64::NAN, 1.0, 40.0, 0.0)).is_none());
    assert!(contact(&drop(20.0, f64::NAN, 40.0, 0.0)).is_none());
    assert!(contact(&drop(-1.0, 1.0, 40.0, 0.0)).is_none());
    assert!(contact(&drop(20.0, 1.0, -40.0, 0.8)).is_none());
    assert!(contact(&drop(20.0, 1.0, f64::INFINITY, 0.8)).is_none());
    // A sister of less than nothing, or a number beyond all, is no comparison.
    let odd = |ohm: f64, u_ohm: f64| Contact { ohm, u_ohm, ..c };
    assert!(ratio(&c, &odd(-1e-3, 1e-4)).is_none());
    assert!(ratio(&c, &odd(f64::NAN, 1e-4)).is_none());
    assert!(ratio(&odd(1e-3, f64::INFINITY), &sister).is_none());
    assert!(ratio(&odd(f64::INFINITY, 1e-4), &sister).is_none());
}

fn mm(millimetre: f64) -> Length {
    Length::from_metre(millimetre / 1000.0)
}

#[test]
fn a_spot_of_half_the_target() {
    // D:S 12:1, 10 mm terminal, spot at most half of it: 5 mm → 60 mm.
    let optics = Ratio::from_value(12.0);
    let s = spot(mm(60.0), optics, mm(10.0), 0.5).unwrap();
    close(s.diameter.metre(), 5e-3, 1e-15);
    close(s.of_target, 0.5, 1e-12);
    close(s.needed.value(), 12.0, 1e-12);
    // From 18 in (457.2 mm), outside the restricted approach boundary: 457.2/5 = 91.44.
    let far = spot(mm(457.2), optics, mm(10.0), 0.5).unwrap();
    assert!(far.too_wide);
    close(far.needed.value(), 91.44, 1e-9);
    assert!(!s.too_wide);
    assert!(spot(mm(60.1), optics, mm(10.0), 0.5).unwrap().too_wide);
    // 6 in on a 1 in target: 0.5 in, exactly half however the inches round.
    let inch = |x: f64| Length::from_metre(x * 0.0254);
    assert!(!spot(inch(6.0), optics, inch(1.0), 0.5).unwrap().too_wide);
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(spot(mm(wrong), optics, mm(10.0), 0.5).is_none());
        assert!(spot(mm(60.0), Ratio::from_value(wrong), mm(10.0), 0.5).is_none());
        assert!(spot(mm(60.0), optics, mm(wrong), 0.5).is_none());
        assert!(spot(mm(60.0), optics, mm(10.0), wrong).is_none());
    }
    // Usable one by one, and together beyond any number.
    assert!(spot(mm(1e300), Ratio::from_value(1e-10), mm(1e-10), 0.5).is_none());
    assert!(spot(mm(1e300), Ratio::from_value(1e300), mm(1e-10), 0.5).is_none());
}
