//! Loads held below what the nameplates say, and grounding conductors that grow with their line
//! conductors. Clauses are those of NFPA 70 (2023).

use super::{amp, check, circuit, expect, made, size, undecided};
use warmlug::visit::{Circuit, LoadManagement};

/// 625.42(B), as quoted at captaincode2023.leviton.com (node 357): the circuit may be made for the
/// setting. 48 A set to 40 A on 50 A: 1.25 × 40 = 50. At its nameplate it would need 60 A.
#[test]
fn a_charger_counts_with_its_setting() {
    let set = |c: &mut Circuit| {
        c.charger.rated_current = amp(48.0);
        c.charger.current_setting = Some(amp(40.0));
    };
    expect(&check("continuous-load", set), Some(true), 50.0, 50.0);
    let unset = |c: &mut Circuit| c.charger.rated_current = amp(48.0);
    expect(&check("continuous-load", unset), Some(false), 50.0, 60.0);
    // 750.30(C)(3), as quoted at forums.mikeholt.com (thread 2586743): restricted access.
    for (restricted, holds) in [
        (Some(true), Some(true)),
        (Some(false), Some(false)),
        (None, None),
    ] {
        let found = check("current-setting", |c| {
            set(c);
            c.charger.setting_restricted = restricted;
        });
        assert_eq!(found.holds, holds, "{restricted:?}");
        if holds.is_none() {
            undecided(&found, &["charger.setting_restricted"]);
        }
    }
    // Set to its nameplate, there is nothing that could be changed.
    assert!(
        made(
            "current-setting",
            &circuit(|c| c.charger.current_setting = Some(amp(40.0)))
        )
        .is_none()
    );
    assert!(made("current-setting", &circuit(|_| ())).is_none());
}

/// 625.42(A) with 750.30(C)(3), as quoted at forums.mikeholt.com (thread 2586743): restricted access.
#[test]
fn the_limit_of_a_load_management_is_out_of_reach() {
    for restricted in [true, false] {
        let found = check("managed-setting", |c| {
            c.load_management = Some(LoadManagement {
                limit: amp(72.0),
                restricted: Some(restricted),
            });
        });
        assert_eq!(found.holds, Some(restricted));
        assert_eq!(found.value, Some(72.0));
    }
    let untold = circuit(|c| {
        c.load_management = Some(LoadManagement {
            limit: amp(72.0),
            restricted: None,
        });
    });
    assert!(made("managed-setting", &untold).is_none());
}

/// 625.42(A), 215.3: 1.25 × 72 A = 90 A.
#[test]
fn a_feeder_carries_what_the_load_management_allows() {
    let managed = |limit: f64, device: Option<f64>| {
        check("load-management", |c| {
            c.load_management = Some(LoadManagement {
                limit: amp(limit),
                restricted: None,
            });
            let mut feeder = c.conductors.clone();
            feeder.protected_by = device.map(amp);
            c.feeder = Some(feeder);
        })
    };
    expect(&managed(72.0, Some(90.0)), Some(true), 90.0, 90.0);
    expect(&managed(72.1, Some(90.0)), Some(false), 90.0, 90.125);
    undecided(&managed(72.0, None), &["feeder.protected_by"]);
    // Without a feeder, the loads share the circuit: 625.40, Exception. 50 A / 1.25 = 40 A.
    let shared = |limit: f64, dedicated: Option<bool>| {
        circuit(|c| {
            c.dedicated = dedicated;
            c.load_management = Some(LoadManagement {
                limit: amp(limit),
                restricted: None,
            });
        })
    };
    let of = |limit, dedicated| made("load-management", &shared(limit, dedicated)).unwrap();
    expect(&of(40.0, Some(false)), Some(true), 50.0, 50.0);
    expect(&of(40.1, Some(false)), Some(false), 50.0, 50.125);
    undecided(&of(40.0, Some(true)), &["feeder.protected_by"]);
    let individual = |c: &Circuit| made("individual-circuit", c).unwrap().holds;
    assert_eq!(individual(&shared(40.0, Some(false))), Some(true));
    assert_eq!(
        individual(&circuit(|c| c.dedicated = Some(false))),
        Some(false)
    );
    assert!(made("load-management", &circuit(|_| ())).is_none());
}

/// 250.122(B). The sound circuit needs 6 AWG (55 A at 60 °C, 8 AWG has 40 A) and 10 AWG beside it.
/// Areas are those of ASTM B258, whose sizes are a geometric series: two sizes up for the line
/// conductors are two sizes up for the grounding conductor.
#[test]
fn a_grounding_conductor_grows_with_its_line_conductors() {
    for (line, grounding, holds, least) in [
        ("6 AWG", "10 AWG", true, "10 AWG"),
        ("4 AWG", "8 AWG", true, "8 AWG"),
        ("4 AWG", "10 AWG", false, "8 AWG"),
        // Three sizes up from 10 AWG is 7 AWG, which is not made: 6 AWG.
        ("3 AWG", "6 AWG", true, "6 AWG"),
        ("3 AWG", "8 AWG", false, "6 AWG"),
        ("2 AWG", "6 AWG", true, "6 AWG"),
        ("2 AWG", "8 AWG", false, "6 AWG"),
    ] {
        let found = check("grounding-conductor", |c| {
            c.conductors.size = size(line);
            c.conductors.grounding = Some(size(grounding));
        });
        assert_eq!(found.holds, Some(holds), "{line} {grounding}");
        let told = format!("{:?}", found.values.get("least_size").unwrap());
        assert!(told.contains(&format!("{least:?}")), "{line}: {told}");
    }
    // Whether 8 AWG would do (50 A at 75 °C) hangs on terminals that are not told: in conduit, with
    // 6 AWG, the grounding conductor is 10 AWG or 8 AWG.
    let open = |grounding: &str| {
        check("grounding-conductor", |c| {
            c.breaker.terminal_rating = None;
            c.conductors.wiring = Some(warmlug::visit::Wiring::Conduit);
            c.conductors.current_carrying = Some(2);
            c.hottest_air = Some(warmlug::quantity::Temperature::from_celsius(30.0));
            c.conductors.grounding = Some(size(grounding));
        })
    };
    assert_eq!(open("8 AWG").holds, Some(true));
    assert_eq!(open("12 AWG").holds, Some(false));
    undecided(&open("10 AWG"), &["breaker.terminal_rating"]);
}
