//! Band radiance and true temperature against a handbook's table (from memory, recomputed) and worked
//! examples; the constants are those of CODATA 2018.

use super::close;
use warmlug::assess::physics::radiance::{
    Band, Optics, RadianceError, SECOND_RADIATION, true_temperature, true_temperature_grey,
};
use warmlug::quantity::{Length, Temperature};

/// Blackbody radiation functions F(0→λT), λT in µm·K: Incropera and DeWitt, Fundamentals of Heat
/// and Mass Transfer, table "Blackbody Radiation Functions" (12.1 in the 5th and 6th edition);
/// values as in a public transcription, edition from memory.
#[rustfmt::skip]
const PRINTED: [(f64, f64); 60] = [
    (200.0, 0.0), (400.0, 0.0), (600.0, 0.0), (800.0, 0.000016), (1000.0, 0.000321),
    (1200.0, 0.002134), (1400.0, 0.007790), (1600.0, 0.019718), (1800.0, 0.039341),
    (2000.0, 0.066728), (2200.0, 0.100888), (2400.0, 0.140256), (2600.0, 0.183120),
    (2800.0, 0.227897), (3000.0, 0.273232), (3200.0, 0.318102), (3400.0, 0.361735),
    (3600.0, 0.403607), (3800.0, 0.443382), (4000.0, 0.480877), (4200.0, 0.516014),
    (4400.0, 0.548796), (4600.0, 0.579280), (4800.0, 0.607559), (5000.0, 0.633747),
    (5200.0, 0.658970), (5400.0, 0.680360), (5600.0, 0.701046), (5800.0, 0.720158),
    (6000.0, 0.737818), (6200.0, 0.754140), (6400.0, 0.769234), (6600.0, 0.783199),
    (6800.0, 0.796129), (7000.0, 0.808109), (7200.0, 0.819217), (7400.0, 0.829527),
    (7600.0, 0.839102), (7800.0, 0.848005), (8000.0, 0.856288), (8500.0, 0.874608),
    (9000.0, 0.890029), (9500.0, 0.903085), (10000.0, 0.914199), (10500.0, 0.923710),
    (11000.0, 0.931890), (11500.0, 0.939959), (12000.0, 0.945098), (13000.0, 0.955139),
    (14000.0, 0.962898), (15000.0, 0.969981), (16000.0, 0.973814), (18000.0, 0.980860),
    (20000.0, 0.985602), (25000.0, 0.992215), (30000.0, 0.995340), (40000.0, 0.997967),
    (50000.0, 0.998953), (75000.0, 0.999713), (100000.0, 0.999905),
];

/// Entries of that table that are printed 0.001 too large. A misprint that turned out right, or
/// a right entry that turned out wrong, fails the test.
const MISPRINTS: [f64; 3] = [5200.0, 11500.0, 15000.0];

/// The printed table stems from older constants; its total is 5·10⁻⁵ too large.
const OLDER_CONSTANTS: f64 = 5.1e-5;

/// F(0→λT), with λT split into a wavelength and a temperature.
fn fraction(product_um_k: f64) -> f64 {
    let t = 300.0;
    let band = Band::new(
        Length::from_metre(1e-9),
        Length::from_metre(product_um_k * 1e-6 / t),
    )
    .unwrap();
    band.fraction(Temperature::from_kelvin(t))
}

#[test]
fn blackbody_fractions_agree_with_the_handbook() {
    for (product, printed) in PRINTED {
        let off = (fraction(product) - printed).abs();
        if MISPRINTS.contains(&product) {
            assert!(off > 9e-4, "{product}: no misprint after all, off {off}");
        } else {
            assert!(off < OLDER_CONSTANTS, "{product}: off {off}");
        }
    }
}

#[test]
fn blackbody_fractions_to_eleven_digits() {
    // Computed with mpmath 1.4.1 to 30 digits from c₂ = hc/k.
    for (product, exact) in [
        (1000.0, 0.000_320_769_78),
        (2000.0, 0.066_729_94),
        (4000.0, 0.480_864_64),
        (10_000.0, 0.914_156_97),
        (25_000.0, 0.992_165_9),
        (100_000.0, 0.999_855_21),
    ] {
        close(fraction(product), exact, 1e-8);
    }
}

#[test]
fn second_radiation_constant_is_codata() {
    // c₂ = 14387.76877… µm·K (CODATA 2018, exact from h, c and k).
    close(SECOND_RADIATION * 1e6, 14_387.768_775, 1e-6);
}

#[test]
fn the_whole_spectrum_is_stefan_and_boltzmanns() {
    // σ = 5.670374419…·10⁻⁸ W·m⁻²·K⁻⁴ (CODATA 2018); the radiance is σT⁴/π. Between 0.1 µm and
    // 50 m nothing is missing.
    let band = Band::new(Length::from_metre(1e-7), Length::from_metre(50.0)).unwrap();
    let t = Temperature::from_kelvin(300.0);
    let sigma = band.radiance(t) * std::f64::consts::PI / 300f64.powi(4);
    close(sigma * 1e8, 5.670_374_419, 5e-10);
    close(band.fraction(t), 1.0, 1e-13);
    for none in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let t = Temperature::from_kelvin(none);
        assert_eq!((band.radiance(t), band.fraction(t)), (0.0, 0.0));
    }
}

#[test]
fn a_temperature_is_found_from_any_start() {
    let band = Band::LONG_WAVE;
    let l = band.radiance(Temperature::from_celsius(61.0));
    for near in [0.0, -3.0, 0.5, 2.0, 334.0, 1e9, f64::NAN, f64::INFINITY] {
        let t = band.temperature(l, Temperature::from_kelvin(near)).unwrap();
        close(t.celsius(), 61.0, 1e-10);
    }
    for none in [0.0, -l, f64::NAN, f64::INFINITY] {
        assert!(
            band.temperature(none, Temperature::from_celsius(20.0))
                .is_none()
        );
    }
}

#[test]
fn band_shares_and_slopes_at_usual_temperatures() {
    let band = Band::LONG_WAVE;
    for (celsius, share) in [
        (0.0, 0.3499),
        (25.0, 0.3744),
        (50.0, 0.3881),
        (75.0, 0.3929),
        (100.0, 0.3909),
    ] {
        close(
            band.fraction(Temperature::from_celsius(celsius)),
            share,
            5e-5,
        );
    }
    // Logarithmic slope T/L·dL/dT of the band.
    for (celsius, slope) in [(20.0, 4.67), (50.0, 4.30), (100.0, 3.81)] {
        let t = Temperature::from_celsius(celsius).kelvin();
        let l = |t| band.radiance(Temperature::from_kelvin(t)).ln();
        let found = (l(t * 1.0001) - l(t / 1.0001)) / (2.0 * 1.0001f64.ln());
        close(found, slope, 5e-3);
    }
}

/// The instrument set to 0.95 shows 45 °C in surroundings of 25 °C.
fn example(surface: f64) -> (f64, f64) {
    let shown = Temperature::from_celsius(45.0);
    let optics = Optics {
        set: 0.95,
        surface,
        reflected: Temperature::from_celsius(25.0),
        set_reflected: None,
    };
    (
        true_temperature(shown, &optics, &Band::LONG_WAVE)
            .unwrap()
            .temperature
            .celsius(),
        true_temperature_grey(shown, &optics).unwrap().celsius(),
    )
}

#[test]
fn worked_corrections() {
    // By hand: T⁴ = (0.95·318.15⁴ − 0.35·298.15⁴)/0.60 → 328.2 K = 55.1 °C; by the band 55.3 °C.
    let (band, grey) = example(0.60);
    close(grey, 55.1, 0.05);
    close(band, 55.3, 0.05);
    // T⁴ = (0.95·318.15⁴ − 0.65·298.15⁴)/0.30 → 351.9 K = 78.7 °C; by the band 80.1 °C.
    let (band, grey) = example(0.30);
    close(grey, 78.7, 0.05);
    close(band, 80.1, 0.05);
}

#[test]
fn a_matching_setting_changes_nothing() {
    let shown = Temperature::from_celsius(45.0);
    for e in [0.05, 0.6, 0.95, 1.0] {
        let optics = Optics {
            set: e,
            surface: e,
            reflected: Temperature::from_celsius(25.0),
            set_reflected: None,
        };
        let t = true_temperature(shown, &optics, &Band::LONG_WAVE).unwrap();
        assert_eq!(t.temperature, shown);
        assert_eq!(t.by_shown, 1.0);
        assert_eq!(t.by_reflected, 0.0);
        assert_eq!(true_temperature_grey(shown, &optics).unwrap(), shown);
    }
}

#[test]
fn a_reflected_temperature_known_to_the_instrument_alone_counts() {
    // ε = ε_s: only the mirrored parts differ; a hotter one that the instrument did not know of
    // feigned a hotter surface.
    let optics = Optics {
        set: 0.9,
        surface: 0.9,
        reflected: Temperature::from_celsius(60.0),
        set_reflected: Some(Temperature::from_celsius(20.0)),
    };
    let shown = Temperature::from_celsius(50.0);
    let t = true_temperature(shown, &optics, &Band::LONG_WAVE).unwrap();
    let l = |c: f64| Band::LONG_WAVE.radiance(Temperature::from_celsius(c));
    let own = (0.9 * l(50.0) + 0.1 * l(20.0) - 0.1 * l(60.0)) / 0.9;
    close(Band::LONG_WAVE.radiance(t.temperature) / own, 1.0, 1e-13);
    assert!(t.temperature < shown);
    let grey = true_temperature_grey(shown, &optics).unwrap();
    let fourth = |c: f64| Temperature::from_celsius(c).kelvin().powi(4);
    let own = (0.9 * fourth(50.0) + 0.1 * fourth(20.0) - 0.1 * fourth(60.0)) / 0.9;
    close(grey.kelvin().powi(4) / own, 1.0, 1e-13);
}

#[test]
fn what_cannot_be_is_told() {
    let band = Band::LONG_WAVE;
    // 97 % of what is seen is mirrored from 200 °C, yet 20 °C was shown.
    let optics = Optics {
        set: 0.95,
        surface: 0.03,
        reflected: Temperature::from_celsius(200.0),
        set_reflected: None,
    };
    let shown = Temperature::from_celsius(20.0);
    assert_eq!(
        true_temperature(shown, &optics, &band).unwrap_err(),
        RadianceError::ReflectionExceedsReading
    );
    assert_eq!(
        true_temperature_grey(shown, &optics).unwrap_err(),
        RadianceError::ReflectionExceedsReading
    );
    for wrong in [0.0, -0.1, 1.000_001, f64::NAN] {
        for optics in [
            Optics {
                surface: wrong,
                ..optics
            },
            Optics {
                set: wrong,
                ..optics
            },
        ] {
            assert_eq!(
                true_temperature(shown, &optics, &band).unwrap_err(),
                RadianceError::OutOfRange
            );
        }
    }
    let cold = Temperature::from_kelvin(0.0);
    assert_eq!(
        true_temperature(cold, &optics, &band).unwrap_err(),
        RadianceError::OutOfRange
    );
}

#[test]
fn bands_have_two_edges_in_order() {
    let m = Length::from_metre;
    assert!(Band::new(m(8e-6), m(14e-6)).is_some());
    for (a, b) in [
        (14e-6, 8e-6),
        (8e-6, 8e-6),
        (0.0, 8e-6),
        (-1.0, 1.0),
        (8e-6, f64::INFINITY),
        (f64::NAN, 1.0),
    ] {
        assert!(Band::new(m(a), m(b)).is_none(), "{a} {b}");
    }
    assert_eq!(Band::new(m(8e-6), m(14e-6)).unwrap(), Band::default());
}

#[test]
fn both_series_meet() {
    // Where the series around 0 takes over from the one of exponentials nothing jumps: x = 1 is
    // c₂/λ kelvin.
    let edge = 14e-6;
    let t = SECOND_RADIATION / edge;
    let band = Band::new(Length::from_metre(1e-9), Length::from_metre(edge)).unwrap();
    let before = band.fraction(Temperature::from_kelvin(t * (1.0 - 1e-12)));
    let after = band.fraction(Temperature::from_kelvin(t * (1.0 + 1e-12)));
    close(before, after, 1e-12);
    // ∫₀¹ x³/(eˣ − 1)dx = D₃(1)/3, Debye's function (0.674 416 by Abramowitz and Stegun, table
    // 27.1, from memory), and ∫₀^½, both to more digits by mpmath 1.4.1.
    let whole = std::f64::consts::PI.powi(4) / 15.0;
    let below = |t: f64| (1.0 - band.fraction(Temperature::from_kelvin(t))) * whole;
    close(below(t), 0.674_416 / 3.0, 2e-7);
    close(below(t), 0.224_805_188_025_938_2, 3e-14);
    close(below(2.0 * t), 0.034_373_457_040_676_4, 3e-14);
    // With both edges there, the difference of two such integrals is what is left.
    let both = Band::new(Length::from_metre(edge), Length::from_metre(2.0 * edge)).unwrap();
    let between = both.fraction(Temperature::from_kelvin(t)) * whole;
    close(
        between,
        0.224_805_188_025_938_2 - 0.034_373_457_040_676_4,
        3e-14,
    );
}
