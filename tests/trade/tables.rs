//! The tables of the `us` rule set, of NFPA 70 (2023) where nothing else is said, by double entry: typed a second time here, by columns instead
//! of rows and from other transcriptions, and compared cell by cell in both directions, so that a
//! cell on either side alone fails too. Then what no transcription can tell: the ampacities grow
//! as they must, the correction factors follow from the code's own equation, and the resistances
//! from the conductivity of the metal.

#![allow(clippy::approx_constant)] // a resistance of 3.14 is no π

use warmlug::quantity::{ConductorSize, Temperature, Torque, Unit};
use warmlug::rules::circuit_limits::{Ampacity, AmpacityColumns, CircuitRules};
use warmlug::rules::{self, Rules};
use warmlug::visit::Material;

fn us() -> &'static Rules {
    rules::built_in("us").unwrap()
}

fn circuit() -> &'static CircuitRules {
    &us().circuit
}

fn columns() -> &'static AmpacityColumns {
    let Some(Ampacity::Columns(table)) = &circuit().ampacity else {
        panic!("the us set has ampacities in columns");
    };
    table
}

fn size(text: &str) -> ConductorSize {
    ConductorSize::parse(text, None).unwrap()
}

/// Sizes of Table 310.16 up to 500 kcmil, from the smallest.
const SIZES: [&str; 18] = [
    "14 AWG",
    "12 AWG",
    "10 AWG",
    "8 AWG",
    "6 AWG",
    "4 AWG",
    "3 AWG",
    "2 AWG",
    "1 AWG",
    "1/0 AWG",
    "2/0 AWG",
    "3/0 AWG",
    "4/0 AWG",
    "250 kcmil",
    "300 kcmil",
    "350 kcmil",
    "400 kcmil",
    "500 kcmil",
];

fn celsius(all: &[Temperature]) -> Vec<f64> {
    all.iter().map(|t| t.celsius().round()).collect()
}

/// NFPA 70 (2023), Table 310.16 (the former 310.15(B)(16)). One transcription prints 190 A for
/// 300 kcmil aluminium at 60 °C, the value of the editions before 2011.
#[test]
fn ampacities() {
    #[rustfmt::skip]
    let copper: [[u32; 18]; 3] = [
        [15, 20, 30, 40, 55, 70, 85, 95, 110, 125, 145, 165, 195, 215, 240, 260, 280, 320],
        [20, 25, 35, 50, 65, 85, 100, 115, 130, 150, 175, 200, 230, 255, 285, 310, 335, 380],
        [25, 30, 40, 55, 75, 95, 115, 130, 145, 170, 195, 225, 260, 290, 320, 350, 380, 430],
    ];
    // No 14 AWG aluminium.
    #[rustfmt::skip]
    let aluminium: [[u32; 17]; 3] = [
        [15, 25, 35, 40, 55, 65, 75, 85, 100, 115, 130, 150, 170, 195, 210, 225, 260],
        [20, 30, 40, 50, 65, 75, 90, 100, 120, 135, 155, 180, 205, 230, 250, 270, 310],
        [25, 35, 45, 55, 75, 85, 100, 115, 135, 150, 175, 205, 230, 260, 280, 305, 350],
    ];
    let table = columns();
    assert_eq!(table.ambient.celsius().round(), 30.0);
    assert_eq!(celsius(&table.columns), [60.0, 75.0, 90.0]);
    assert_eq!(table.copper.len(), SIZES.len());
    assert_eq!(table.aluminium.len(), SIZES.len() - 1);
    for c in 0..3 {
        for (i, name) in SIZES.iter().enumerate() {
            let s = size(name);
            let found = table.get(Material::Copper, s, c);
            assert_eq!(
                found,
                Some(f64::from(copper[c][i])),
                "copper {name}, column {c}"
            );
            let wanted = i.checked_sub(1).map(|i| f64::from(aluminium[c][i]));
            for metal in [Material::Aluminium, Material::CopperCladAluminium] {
                assert_eq!(
                    table.get(metal, s, c),
                    wanted,
                    "{metal:?} {name}, column {c}"
                );
            }
        }
    }
}

/// The ampacity grows with the conductor and with its temperature, and copper carries more than
/// aluminium.
#[test]
fn ampacities_grow() {
    let table = columns();
    for rows in [&table.copper, &table.aluminium] {
        for pair in rows.windows(2) {
            assert!(pair[0].0.square_millimetres() < pair[1].0.square_millimetres());
            assert!(pair[0].1.iter().zip(&pair[1].1).all(|(a, b)| a < b));
        }
        for (s, row) in rows {
            assert!(row.windows(2).all(|w| w[0] < w[1]), "{s}");
        }
    }
    for (s, row) in &table.aluminium {
        for (c, a) in row.iter().enumerate() {
            let copper = table.get(Material::Copper, *s, c).unwrap();
            assert!(copper > *a, "{s}");
            // Conductivity 61 % at equal heat: √0.61 = 0.781; the table's steps blur that.
            assert!((0.70..=0.88).contains(&(a / copper)), "{s} {}", a / copper);
        }
    }
}

/// A rating finds the hottest column that it reaches, and none below the coolest.
#[test]
fn columns_are_found_by_rating() {
    let table = columns();
    let at = |t: f64| table.column(Temperature::from_celsius(t));
    assert_eq!(at(59.9), None);
    assert_eq!(at(60.0), Some(0));
    assert_eq!(at(74.9), Some(0));
    assert_eq!(at(75.0), Some(1));
    assert_eq!(at(90.0), Some(2));
    assert_eq!(at(105.0), Some(2));
    assert_eq!(
        table.column(Temperature::from_fahrenheit(140.0)),
        Some(0),
        "140 °F is 60 °C"
    );
    assert_eq!(
        table.column(Temperature::from_fahrenheit(167.0)),
        Some(1),
        "167 °F is 75 °C"
    );
    assert_eq!(
        table.column(Temperature::from_fahrenheit(194.0)),
        Some(2),
        "194 °F is 90 °C"
    );
}

/// NFPA 70 (2023), Table 310.15(B)(1)(1), by columns: upper end of each row, 10 °C to 85 °C.
#[test]
fn ambient_correction() {
    let c60 = [1.29, 1.22, 1.15, 1.08, 1.00, 0.91, 0.82, 0.71, 0.58, 0.41];
    let c75 = [
        1.20, 1.15, 1.11, 1.05, 1.00, 0.94, 0.88, 0.82, 0.75, 0.67, 0.58, 0.47, 0.33,
    ];
    let c90 = [
        1.15, 1.12, 1.08, 1.04, 1.00, 0.96, 0.91, 0.87, 0.82, 0.76, 0.71, 0.65, 0.58, 0.50, 0.41,
        0.29,
    ];
    let table = circuit().ambient_correction.as_ref().unwrap();
    assert_eq!(celsius(&table.columns), [60.0, 75.0, 90.0]);
    assert_eq!(table.rows.len(), 16);
    for (rating, column) in [(60.0, &c60[..]), (75.0, &c75[..]), (90.0, &c90[..])] {
        let rated = Temperature::from_celsius(rating);
        for row in 0..16u8 {
            let top = 10.0 + 5.0 * f64::from(row);
            let wanted = column.get(usize::from(row)).copied().unwrap_or(0.0);
            // The row's upper end, and just above the row before.
            for t in [top, top - 4.99] {
                let found = table.factor(Temperature::from_celsius(t), rated);
                assert_eq!(found, Some(wanted), "{t} °C air, {rating} °C conductor");
            }
            // Equation 310.15(B)(1): I' = I·√((Tc − Ta')/(Tc − Ta)).
            let equation = ((rating - top).max(0.0) / (rating - 30.0)).sqrt();
            assert!(
                (equation - wanted).abs() < 0.00501,
                "{top} °C air, {rating} °C conductor: {equation} and {wanted}"
            );
        }
    }
    let hot = Temperature::from_celsius(85.1);
    assert_eq!(
        table.factor(hot, Temperature::from_celsius(90.0)),
        Some(0.0)
    );
    let cold = Temperature::from_celsius(-20.0);
    assert_eq!(
        table.factor(cold, Temperature::from_celsius(90.0)),
        Some(1.15)
    );
    assert_eq!(table.factor(cold, Temperature::from_celsius(55.0)), None);
}

/// NFPA 70 (2023), Table 310.15(C)(1): both ends of every row.
#[test]
fn grouping() {
    let table = circuit().grouping.as_ref().unwrap();
    for (from, to, percent) in [
        (1, 3, 100),
        (4, 6, 80),
        (7, 9, 70),
        (10, 20, 50),
        (21, 30, 45),
        (31, 40, 40),
        (41, 400, 35),
    ] {
        for n in [from, to] {
            let found = table.factor(n) * 100.0;
            assert!(
                (found - f64::from(percent)).abs() < 1e-9,
                "{n} conductors: {found} %"
            );
        }
    }
}

/// NFPA 70 (2023), 240.6(A), fuses and inverse-time circuit breakers, in the order of the
/// printed table; 10 A since the 2023 edition.
#[test]
fn standard_ratings() {
    #[rustfmt::skip]
    let printed: [u32; 38] = [
        10, 15, 20, 25, 30,
        35, 40, 45, 50, 60,
        70, 80, 90, 100, 110,
        125, 150, 175, 200, 225,
        250, 300, 350, 400, 450,
        500, 600, 700, 800, 1000,
        1200, 1600, 2000, 2500, 3000,
        4000, 5000, 6000,
    ];
    let found = &circuit().standard_ratings.as_ref().unwrap().value;
    assert_eq!(*found, printed.map(f64::from));
}

/// Stranded (from 8 AWG down to 14 AWG also solid) bare copper and aluminium, Ω/1000 ft.
#[rustfmt::skip]
const OHM: [(&str, f64, f64); 18] = [
    ("14 AWG", 3.14, 5.17), ("12 AWG", 1.98, 3.25), ("10 AWG", 1.24, 2.04),
    ("8 AWG", 0.778, 1.28), ("6 AWG", 0.491, 0.808), ("4 AWG", 0.308, 0.508),
    ("3 AWG", 0.245, 0.403), ("2 AWG", 0.194, 0.319), ("1 AWG", 0.154, 0.253),
    ("1/0 AWG", 0.122, 0.201), ("2/0 AWG", 0.0967, 0.159), ("3/0 AWG", 0.0766, 0.126),
    ("4/0 AWG", 0.0608, 0.100), ("250 kcmil", 0.0515, 0.0847), ("300 kcmil", 0.0429, 0.0707),
    ("350 kcmil", 0.0367, 0.0605), ("400 kcmil", 0.0321, 0.0529), ("500 kcmil", 0.0258, 0.0424),
];
#[rustfmt::skip]
const OHM_SOLID: [(&str, f64, f64); 4] = [
    ("14 AWG", 3.07, 5.06), ("12 AWG", 1.93, 3.18), ("10 AWG", 1.21, 2.00), ("8 AWG", 0.764, 1.26),
];

const AT: Temperature = Temperature::from_celsius(75.0);

/// NFPA 70 (2023), Chapter 9, Table 8, direct current at 75 °C.
#[test]
fn resistances() {
    let table = circuit().resistance.as_ref().unwrap();
    let per_kft = |metal, name: &str, stranded| {
        let per_metre = table.per_metre(metal, size(name), stranded, AT);
        per_metre.map(|r| r * 304.8)
    };
    let agree = |found: Option<f64>, printed: f64| (found.unwrap() - printed).abs() < 1e-12;
    assert_eq!(table.copper.stranded.len(), OHM.len());
    assert_eq!(table.aluminium.stranded.len(), OHM.len());
    assert_eq!(table.copper.solid.len(), OHM_SOLID.len());
    assert_eq!(table.aluminium.solid.len(), OHM_SOLID.len());
    for (stranded, rows) in [(true, &OHM[..]), (false, &OHM_SOLID[..])] {
        for (name, copper, aluminium) in rows {
            let told = Some(stranded);
            assert!(
                agree(per_kft(Material::Copper, name, told), *copper),
                "{name}"
            );
            for metal in [Material::Aluminium, Material::CopperCladAluminium] {
                assert!(agree(per_kft(metal, name, told), *aluminium), "{name}");
            }
        }
    }
    // Not stated: the higher of the two; only stranded above 8 AWG.
    assert!(agree(per_kft(Material::Copper, "8 AWG", None), 0.778));
    assert!(agree(per_kft(Material::Copper, "6 AWG", None), 0.491));
    assert_eq!(per_kft(Material::Copper, "6 AWG", Some(false)), None);
}

/// R = ρ·l/A with ρ of the International Annealed Copper Standard: 100 % IACS is 58 MS/m at
/// 20 °C, aluminium for conductors 61 %, the rise to 75 °C by α₂₀ = 0.00393/K and 0.00403/K
/// (IEC 60287-1-1, Table 1); the lay of the strands makes a stranded conductor 2 % longer
/// (ASTM B8). Agreement to 1 % of the printed value, of which half a unit of a third digit is up
/// to 0.5 %.
#[test]
fn resistances_follow_from_the_metal() {
    let table = circuit().resistance.as_ref().unwrap();
    let mut worst = 0.0f64;
    for (metal, iacs, alpha) in [
        (Material::Copper, 1.0, 0.00393),
        (Material::Aluminium, 0.61, 0.00403),
    ] {
        let resistivity = 1.0 / (58.0 * iacs) * (1.0 + alpha * 55.0); // Ω·mm²/m at 75 °C
        for (lay, stranded, rows) in [(1.02, true, &OHM[..]), (1.0, false, &OHM_SOLID[..])] {
            for (name, ..) in rows {
                let s = size(name);
                let computed = resistivity * lay / s.square_millimetres();
                let printed = table.per_metre(metal, s, Some(stranded), AT).unwrap();
                let off = (printed / computed - 1.0).abs();
                worst = worst.max(off);
                assert!(off < 0.01, "{metal:?} {name} stranded {stranded}: {off}");
            }
        }
        // The table's own coefficient is α₂₀ carried to 75 °C.
        let at_75 = alpha / (1.0 + 55.0 * alpha);
        let printed = match metal {
            Material::Copper => table.copper.coefficient,
            _ => table.aluminium.coefficient,
        };
        assert!((at_75 - printed).abs() < 5e-6, "{metal:?} {at_75}");
    }
    println!(
        "largest difference from resistivity: {:.2} %",
        worst * 100.0
    );
}

/// NFPA 70 (2023), Chapter 9, Table 8, note 2: R₂ = R₁·(1 + α·(T₂ − 75)). 6 AWG copper at 50 °C:
/// 0.491 × (1 − 25 × 0.00323) = 0.45135 Ω/1000 ft.
#[test]
fn resistance_at_another_temperature() {
    let table = circuit().resistance.as_ref().unwrap();
    let t = Temperature::from_celsius(50.0);
    let found = table.per_metre(Material::Copper, size("6 AWG"), Some(true), t);
    assert!((found.unwrap() * 304.8 - 0.451_351_75).abs() < 1e-9);
}

/// NFPA 70 (2023), 240.4(D)(1) to (8).
#[test]
fn small_conductors() {
    let rule = circuit().checks.small_conductor.as_ref().unwrap();
    let printed = [
        (Material::Copper, "14 AWG", 15.0),
        (Material::Copper, "12 AWG", 20.0),
        (Material::Copper, "10 AWG", 30.0),
        (Material::Aluminium, "12 AWG", 15.0),
        (Material::Aluminium, "10 AWG", 25.0),
        (Material::CopperCladAluminium, "14 AWG", 10.0),
        (Material::CopperCladAluminium, "12 AWG", 15.0),
        (Material::CopperCladAluminium, "10 AWG", 25.0),
    ];
    let printed: Vec<_> = printed.iter().map(|(m, s, a)| (*m, size(s), *a)).collect();
    assert_eq!(rule.limits, printed);
}

fn inch_pounds(found: Option<(Torque, &str)>) -> Option<f64> {
    found.map(|(t, _)| (t.newton_metre() / Unit::POUND_FORCE_INCH_NM * 1e6).round() / 1e6)
}

/// NFPA 70 (2023), Informative Annex I, Table I.1, as a maker's installation manual reprints it
/// after UL 486A-486B, by columns; both ends of every range of conductors.
#[test]
fn torque_by_conductor() {
    let rows = [
        ["14 AWG", "10 AWG"],
        ["8 AWG", "8 AWG"],
        ["6 AWG", "4 AWG"],
        ["3 AWG", "3 AWG"],
        ["2 AWG", "2 AWG"],
        ["1 AWG", "1 AWG"],
        ["1/0 AWG", "2/0 AWG"],
        ["3/0 AWG", "4/0 AWG"],
        ["250 kcmil", "350 kcmil"],
        ["400 kcmil", "400 kcmil"],
        ["500 kcmil", "500 kcmil"],
    ];
    #[rustfmt::skip]
    let columns: [(&str, [u32; 11]); 4] = [
        ("slotted-10", [20, 25, 35, 35, 40, 0, 0, 0, 0, 0, 0]),
        ("slotted-10-large", [35, 40, 45, 50, 50, 50, 50, 50, 50, 50, 50]),
        ("split-bolt", [80, 80, 165, 275, 275, 275, 385, 500, 650, 825, 825]),
        ("hex-head", [75, 75, 110, 150, 150, 150, 180, 250, 325, 325, 375]),
    ];
    let fallback = &us().torque.fallback;
    for (screw, torques) in columns {
        for (ends, torque) in rows.iter().zip(torques) {
            for end in ends {
                let found = inch_pounds(fallback.find(screw, size(end)));
                let wanted = (torque > 0).then_some(f64::from(torque));
                assert_eq!(found, wanted, "{screw} {end}");
            }
        }
        assert_eq!(
            fallback.find(screw, size("600 kcmil")),
            None,
            "beyond the table"
        );
    }
    assert_eq!(
        fallback.by_conductor.as_ref().unwrap().rows.len(),
        rows.len()
    );
    assert_eq!(fallback.by_conductor.as_ref().unwrap().screws.len(), 4);
}

/// Tables I.2 (slotted screws smaller than No. 10, up to 8 AWG) and I.3 (recessed hexagon or
/// square).
#[test]
fn torque_by_screw() {
    let slots = [
        ("slot-1/8", 7, 9),
        ("slot-5/32", 7, 12),
        ("slot-3/16", 7, 12),
        ("slot-7/32", 7, 12),
        ("slot-1/4", 9, 12),
        ("slot-9/32", 0, 15),
        ("slot-5/16", 0, 20),
    ];
    let fallback = &us().torque.fallback;
    let mut cells = 0;
    for (slot, narrow, wide) in slots {
        for (word, torque) in [(slot.to_owned(), narrow), (format!("{slot}-wide"), wide)] {
            let wanted = (torque > 0).then_some(f64::from(torque));
            assert_eq!(
                inch_pounds(fallback.find(&word, size("8 AWG"))),
                wanted,
                "{word}"
            );
            assert_eq!(
                fallback.find(&word, size("6 AWG")),
                None,
                "{word} above 8 AWG"
            );
            cells += usize::from(torque > 0);
        }
    }
    assert_eq!(fallback.by_screw[0].torques.len(), cells);
    let sockets = [
        ("1/8", 45),
        ("5/32", 100),
        ("3/16", 120),
        ("7/32", 150),
        ("1/4", 200),
        ("5/16", 275),
        ("3/8", 375),
        ("1/2", 500),
        ("9/16", 600),
    ];
    for (width, torque) in sockets {
        let found = fallback.find(&format!("hex-{width}"), size("4/0 AWG"));
        assert_eq!(inch_pounds(found), Some(f64::from(torque)), "{width}");
    }
    assert_eq!(fallback.by_screw[1].torques.len(), sockets.len());
    assert_eq!(
        inch_pounds(fallback.find(" HEX-3/16 ", size("6 AWG"))),
        Some(120.0)
    );
    assert_eq!(fallback.find("torx-25", size("6 AWG")), None);
}

/// 45 lbf·in is 5.08 N·m.
#[test]
fn torque_is_kept_in_newton_metres() {
    let (torque, source) = us()
        .torque
        .fallback
        .find("slotted-10-large", size("6 AWG"))
        .unwrap();
    assert!((torque.newton_metre() - 5.084_317_306).abs() < 1e-9);
    assert!(source.contains("Table I.1"));
}

/// Bands of ANSI/NETA MTS, Table 100.18, from both sides of every edge; the table is printed in
/// whole degrees, and a value belongs to a band from the band's lower edge.
#[test]
fn bands_of_temperature_difference() {
    use warmlug::visit::Grade::{Note, Pass, Repair, Watch};
    let t = &us().thermal;
    for bands in [&t.leg_difference, &t.worse_than_before] {
        for (value, grade) in [
            (0.99, Pass),
            (1.0, Note),
            (3.99, Note),
            (4.0, Watch),
            (15.0, Watch),
            (15.01, Repair),
        ] {
            assert_eq!(bands.grade(value).0, grade, "{value} K between similar");
        }
    }
    for (value, grade) in [(20.99, Pass), (21.0, Watch), (40.0, Watch), (40.01, Repair)] {
        assert_eq!(t.rise.grade(value).0, grade, "{value} K over air");
    }
    // A margin is passed negated.
    for (margin, grade) in [(10.0, Pass), (9.99, Watch), (0.0, Watch), (-0.01, Repair)] {
        assert_eq!(
            t.projected_margin.grade(-margin).0,
            grade,
            "{margin} K margin"
        );
    }
}
