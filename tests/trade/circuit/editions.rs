//! What the editions 2020, 2023 and 2026 of NFPA 70 have otherwise for a charging circuit, each with where
//! it was seen.

use super::{amp, celsius, circuit, size};
use warmlug::assess::Check;
use warmlug::assess::circuit::checks;
use warmlug::rules::{self, Checked, Rules};
use warmlug::visit::{
    ChargerConnection, Circuit, Disconnect, GroundFault, Material, Receptacle, ReceptacleGrade,
};

const EDITIONS: [&str; 3] = ["2020", "2023", "2026"];

fn rules(edition: &str) -> &'static Rules {
    rules::built_in_edition("us", Some(edition))
        .unwrap()
        .unwrap()
}

/// A check in each edition; `None` where it is not made.
fn in_each(rule: &str, change: impl Fn(&mut Circuit)) -> [Option<Check>; 3] {
    let circuit = circuit(change);
    EDITIONS.map(|edition| {
        let mut all = checks(&circuit, rules(edition)).into_iter();
        let found = all.find(|c| c.rule == rule)?;
        let cited = found.source.contains(&format!("NFPA 70 ({edition})"));
        assert!(
            cited || found.source.starts_with("common practice"),
            "{}",
            found.source
        );
        Some(found)
    })
}

fn holds(rule: &str, change: impl Fn(&mut Circuit)) -> [Option<Option<bool>>; 3] {
    in_each(rule, change).map(|found| found.map(|check| check.holds))
}

fn receptacle(configuration: &str, grade: ReceptacleGrade) -> impl Fn(&mut Circuit) {
    let configuration = configuration.to_owned();
    move |c| {
        c.charger.connection = ChargerConnection::Receptacle;
        c.receptacle = Some(Receptacle {
            configuration: configuration.clone(),
            grade: Some(grade),
            rating: None,
            wet_location: None,
        });
    }
}

/// 240.6(A): 10 A came in 2023 (expertce.com, how the 2023 NEC changes standard circuit breaker ratings).
#[test]
fn ten_amperes_are_standard_from_2023_on() {
    let ten = |c: &mut Circuit| c.breaker.rating = amp(10.0);
    assert_eq!(
        holds("standard-rating", ten),
        [Some(Some(false)), Some(Some(true)), Some(Some(true))]
    );
    let fifteen = |c: &mut Circuit| c.breaker.rating = amp(15.0);
    assert_eq!(holds("standard-rating", fifteen), [Some(Some(true)); 3]);
}

/// 240.4(D): 14 AWG copper-clad aluminum at 10 A came in 2023 (the same page); the other limits as at
/// encorewire.com, wire size table.
#[test]
fn thin_copper_clad_aluminum_came_in_2023() {
    let clad = |c: &mut Circuit| {
        c.conductors.material = Material::CopperCladAluminium;
        c.conductors.size = size("14 AWG");
        c.breaker.rating = amp(10.0);
    };
    assert_eq!(
        holds("small-conductor", clad),
        [None, Some(Some(true)), Some(Some(true))]
    );
}

/// 625.40: every outlet in 2020; over 16 A or 120 V from 2023 on (captaincode2023.leviton.com, node 357).
#[test]
fn small_loads_share_a_circuit_from_2023_on() {
    let small = |c: &mut Circuit| {
        c.charger.rated_current = amp(16.0);
        c.supply.legs = vec!["L1".into(), "N".into()];
        c.supply.voltage = warmlug::quantity::Voltage::from_volt(120.0);
        c.dedicated = Some(false);
    };
    assert_eq!(
        holds("individual-circuit", small),
        [Some(Some(false)), None, None]
    );
    let large = |c: &mut Circuit| c.dedicated = Some(false);
    assert_eq!(holds("individual-circuit", large), [Some(Some(false)); 3]);
}

/// 625.43: over 60 A or 150 V to ground until 2023; from 2026 on everything that is wired in
/// (electricallicenserenewal.com, section 1972).
#[test]
fn every_wired_charger_has_a_disconnect_from_2026_on() {
    let without = |rated: f64, connection| {
        move |c: &mut Circuit| {
            c.charger.rated_current = amp(rated);
            c.charger.connection = connection;
            c.disconnect = Some(Disconnect {
                kind: None,
                in_sight: Some(true),
                lockable: Some(false),
                plaque: None,
            });
        }
    };
    let wired = |rated| holds("disconnect", without(rated, ChargerConnection::Hardwired));
    assert_eq!(wired(60.0), [None, None, Some(Some(false))]);
    assert_eq!(wired(60.1), [Some(Some(false)); 3]);
    let plug = holds("disconnect", without(40.0, ChargerConnection::Receptacle));
    assert_eq!(plug, [None, None, None]);
}

/// 625.54: receptacles in all three (ecmweb.com, code quiz of 2021, for 2020); in 2026 chargers that are
/// wired in too, by the second draft (forums.mikeholt.com, thread 2585367), which is marked.
#[test]
fn wired_chargers_have_ground_fault_protection_from_2026_on() {
    let unprotected = |volts: f64| {
        move |c: &mut Circuit| {
            c.breaker.ground_fault = GroundFault::None;
            c.supply.voltage = warmlug::quantity::Voltage::from_volt(volts);
        }
    };
    // 240 V: 120 V to ground, or 139 V of a wye system. 480 V: 240 V or 277 V.
    assert_eq!(
        holds("ground-fault", unprotected(240.0)),
        [None, None, Some(Some(false))]
    );
    assert_eq!(
        holds("ground-fault", unprotected(480.0)),
        [None, None, None]
    );
    let found = in_each("ground-fault", unprotected(240.0));
    assert_eq!(found[2].as_ref().unwrap().checked, Checked::FromMemory);
    let plug = |c: &mut Circuit| {
        receptacle("14-50", ReceptacleGrade::EvListed)(c);
        c.breaker.ground_fault = GroundFault::None;
    };
    assert_eq!(holds("ground-fault", plug), [Some(Some(false)); 3]);
}

/// 210.8(F): up to 50 A until 2023 (electricallicenserenewal.com, section 812; digitrip.com), 60 A in 2026
/// (the same, section 1852).
#[test]
fn outdoor_outlets_up_to_sixty_amperes_are_protected_from_2026_on() {
    let outdoors = |rating: f64| {
        holds("outdoor-ground-fault", |c| {
            c.outdoors = Some(true);
            c.breaker.rating = amp(rating);
            c.breaker.ground_fault = GroundFault::None;
        })
    };
    assert_eq!(outdoors(50.0), [Some(Some(false)); 3]);
    assert_eq!(outdoors(50.1), [None, None, Some(Some(false))]);
    assert_eq!(outdoors(60.0), [None, None, Some(Some(false))]);
    assert_eq!(outdoors(60.1), [None, None, None]);
}

/// 625.44: in 2026, receptacles of 30, 50 and 60 A are listed for EVSE use (ecmweb.com, top 25 changes to
/// the 2026 National Electrical Code, number 25).
#[test]
fn receptacles_are_listed_for_charging_from_2026_on() {
    let grade = |grade| holds("receptacle-grade", receptacle("14-50", grade));
    assert_eq!(
        grade(ReceptacleGrade::Industrial),
        [Some(Some(true)), Some(Some(true)), Some(Some(false))]
    );
    assert_eq!(grade(ReceptacleGrade::EvListed), [Some(Some(true)); 3]);
    let sixty = receptacle("14-60", ReceptacleGrade::EvListed);
    assert_eq!(
        holds("receptacle-configuration", sixty),
        [Some(Some(false)), Some(Some(false)), Some(Some(true))]
    );
}

/// Table 310.15(B)(1)(1) is Table 310.15(B)(1) in 2020, with the same factors (from memory).
#[test]
fn ampacities_are_the_same_in_all_editions() {
    let hot = |c: &mut Circuit| c.hottest_air = Some(celsius(44.0));
    let found = in_each("conductor-ampacity", hot).map(|check| check.unwrap().value);
    assert_eq!(found[0], found[1]);
    assert_eq!(found[1], found[2]);
    let correction = |edition| {
        &rules(edition)
            .circuit
            .ambient_correction
            .as_ref()
            .unwrap()
            .provenance
    };
    assert_eq!(
        correction("2020").source,
        "NFPA 70 (2020), Table 310.15(B)(1)"
    );
    assert_eq!(
        correction("2023").source,
        "NFPA 70 (2023), Table 310.15(B)(1)(1)"
    );
    assert_eq!(
        correction("2026").source,
        "NFPA 70 (2026), Table 310.15(B)(1)(1)"
    );
    assert_eq!(correction("2026").checked, Checked::FromMemory);
}
