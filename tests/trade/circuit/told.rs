//! Checks that are made where the visit tells what they need: grounding conductor, conductors in
//! parallel, feeder, outdoor outlet. Clauses are those of NFPA 70 (2023).

use super::{check, circuit, made};
use warmlug::quantity::{ConductorSize, Current};
use warmlug::rules;
use warmlug::visit::{Circuit, Conductors, GroundFault, Material, Wiring};
use warmlug::vocabulary::MissingKey;

fn size(text: &str) -> ConductorSize {
    text.parse().unwrap()
}

fn ampere(a: f64) -> Current {
    Current::from_ampere(a)
}

#[test]
fn a_grounding_conductor_is_sized_by_the_breaker() {
    // Table 250.122 (brunsengineering.com/nec-table-250-122): 60 A: 10 AWG Cu, 8 AWG Al; 100 A: 8, 6.
    for (rating, material, told, holds) in [
        (50.0, Material::Copper, "10 AWG", true),
        (50.0, Material::Copper, "12 AWG", false),
        (60.0, Material::Copper, "10 AWG", true),
        (70.0, Material::Copper, "10 AWG", false),
        (70.0, Material::Copper, "8 AWG", true),
        (60.0, Material::Aluminium, "8 AWG", true),
        (60.0, Material::Aluminium, "10 AWG", false),
        (20.0, Material::Copper, "12 AWG", true),
        (20.0, Material::Copper, "14 AWG", false),
    ] {
        let found = check("grounding-conductor", |c| {
            c.breaker.rating = ampere(rating);
            c.conductors.material = material;
            c.conductors.grounding = Some(size(told));
        });
        assert_eq!(found.holds, Some(holds), "{rating} {told}");
    }
    // Never larger than the circuit conductors, 250.122(A).
    let found = check("grounding-conductor", |c| {
        c.conductors.size = size("12 AWG");
        c.conductors.grounding = Some(size("12 AWG"));
    });
    assert_eq!(found.holds, Some(true));
    assert!(made("grounding-conductor", &circuit(|_| ())).is_none());
}

#[test]
fn under_iec_a_protective_conductor_is_sized_by_the_line() {
    // IEC 60364-5-54, Table 54.2: S up to 16 mm², 16 mm² up to 35 mm², S/2 above.
    let iec = rules::built_in("iec").unwrap();
    for (line, told, holds) in [
        ("10 mm²", "10 mm²", true),
        ("10 mm²", "6 mm²", false),
        ("16 mm²", "10 mm²", false),
        ("25 mm²", "16 mm²", true),
        ("35 mm²", "16 mm²", true),
        ("35 mm²", "10 mm²", false),
        ("50 mm²", "25 mm²", true),
        ("50 mm²", "16 mm²", false),
    ] {
        let circuit = circuit(|c| {
            c.conductors.size = size(line);
            c.conductors.grounding = Some(size(told));
        });
        let all = warmlug::assess::circuit::checks(&circuit, iec);
        let found = all.into_iter().find(|c| c.rule == "grounding-conductor");
        assert_eq!(found.unwrap().holds, Some(holds), "{line} {told}");
    }
}

#[test]
fn only_large_conductors_run_in_parallel() {
    // 310.10(G)(1): 1/0 AWG and larger.
    for (told, holds) in [("1 AWG", false), ("1/0 AWG", true), ("2/0 AWG", true)] {
        let found = check("parallel-conductors", |c| {
            c.conductors.size = size(told);
            c.conductors.parallel = Some(2);
        });
        assert_eq!(found.holds, Some(holds), "{told}");
    }
    assert!(
        made(
            "parallel-conductors",
            &circuit(|c| c.conductors.parallel = Some(1))
        )
        .is_none()
    );
    // Two carry twice as much, and lose half as much.
    let value = |rule: &str, parallel: u16| {
        let found = check(rule, |c| c.conductors.parallel = Some(parallel));
        found.value.unwrap()
    };
    assert!((value("conductor-ampacity", 2) / value("conductor-ampacity", 1) - 2.0).abs() < 1e-9);
    let ratio = value("voltage-drop", 2) / value("voltage-drop", 1);
    assert!((0.45..0.5).contains(&ratio), "{ratio}");
}

#[test]
fn the_loss_of_the_pen_is_protected_against() {
    let iec = rules::built_in("iec").unwrap();
    for told in [None, Some(true), Some(false)] {
        let circuit = circuit(|c| c.supply.pen_protected = told);
        let all = warmlug::assess::circuit::checks(&circuit, iec);
        let found = all.into_iter().find(|c| c.rule == "pen-loss");
        assert_eq!(found.map(|c| c.holds), told.map(Some));
    }
}

/// A feeder of 6 AWG aluminum in conduit, 75 °C terminals, 90 °C insulation, in air of 30 °C: 50 A
/// (Table 310.16, 75 °C column).
fn fed(c: &mut Circuit, device: f64, load: Option<f64>) {
    c.hottest_air = Some(warmlug::quantity::Temperature::from_celsius(30.0));
    let conductors = Conductors {
        material: Material::Aluminium,
        size: size("6 AWG"),
        wiring: Some(Wiring::Conduit),
        protected_by: Some(ampere(device)),
        terminal_rating: Some(warmlug::quantity::Temperature::from_celsius(75.0)),
        load: load.map(ampere),
        ..c.conductors.clone()
    };
    c.feeder = Some(conductors);
}

#[test]
fn a_feeder_is_protected_by_its_device() {
    // 50 A is a standard rating itself: no next size up.
    for (device, holds) in [(50.0, true), (60.0, false), (90.0, false)] {
        let found = check("feeder-protection", |c| fed(c, device, None));
        assert_eq!(
            (found.holds, found.limit),
            (Some(holds), Some(50.0)),
            "{device}"
        );
    }
    for (load, holds) in [(50.0, true), (50.1, false)] {
        let found = check("feeder-ampacity", |c| fed(c, 50.0, Some(load)));
        assert_eq!(found.holds, Some(holds), "{load}");
    }
    // Terminals that are not told: 40 A at 60 °C, 50 A at 75 °C. A device of 50 A is undecided, one of
    // 40 A is right in both, one of 60 A wrong in both.
    for (device, holds) in [(40.0, Some(true)), (50.0, None), (60.0, Some(false))] {
        let found = check("feeder-protection", |c| {
            fed(c, device, None);
            c.feeder.as_mut().unwrap().terminal_rating = None;
        });
        assert_eq!(found.holds, holds, "{device}");
        if holds.is_none() {
            assert_eq!(found.missing, [MissingKey::FeederTerminalRating]);
        }
    }
    assert!(made("feeder-protection", &circuit(|_| ())).is_none());
}

#[test]
fn an_outdoor_outlet_protects_people() {
    // 210.8(F): outdoors, one phase, at most 150 V to ground and 50 A.
    let outdoors = |rating: f64, protection: GroundFault| {
        made(
            "outdoor-ground-fault",
            &circuit(|c| {
                c.outdoors = Some(true);
                c.breaker.rating = ampere(rating);
                c.breaker.ground_fault = protection;
            }),
        )
        .map(|c| c.holds)
    };
    assert_eq!(outdoors(50.0, GroundFault::Gfci), Some(Some(true)));
    assert_eq!(outdoors(50.0, GroundFault::Gfpe), Some(Some(false)));
    assert_eq!(outdoors(50.0, GroundFault::Unknown), Some(None));
    assert_eq!(outdoors(60.0, GroundFault::None), None);
    assert!(
        made(
            "outdoor-ground-fault",
            &circuit(|c| c.outdoors = Some(false))
        )
        .is_none()
    );
}
