//! Checks that are made where the visit tells what they need: warm breakers, load management, the earth
//! electrode of a TT system. Clauses are those of IEC 60364; figures from memory where it says so.

use super::{amp, check, circuit, expect, made, undecided};
use warmlug::quantity::{Current, Resistance, Temperature};
use warmlug::visit::{Circuit, Earthing, LoadManagement};

/// IEC 60364-4-41:2005, 411.5.3 (from memory): R_A·I_Δn ≤ 50 V; 30 mA and 1666 Ω are 49.98 V.
#[test]
fn the_electrode_of_a_tt_system_keeps_faults_below_fifty_volts() {
    let tt = |ohm: Option<f64>, rated: Option<f64>| {
        move |c: &mut Circuit| {
            c.supply.earthing = Some(Earthing::Tt);
            c.supply.earth_resistance = ohm.map(Resistance::from_ohm);
            c.rcd.as_mut().unwrap().rating = rated.map(Current::from_ampere);
        }
    };
    let of = |ohm, rated| check("earth-electrode", tt(ohm, rated));
    expect(&of(Some(1666.0), Some(0.03)), true, 49.98, 50.0);
    expect(&of(Some(1667.0), Some(0.03)), false, 50.01, 50.0);
    expect(&of(Some(500.0), Some(0.1)), true, 50.0, 50.0);
    expect(&of(Some(167.0), Some(0.3)), false, 50.1, 50.0);
    undecided(&of(None, Some(0.03)), &["supply.earth_resistance"]);
    undecided(&of(Some(83.0), None), &["rcd.rating"]);
    // Not of a TN system.
    assert!(made("earth-electrode", &circuit(|_| ())).is_none());
}

/// Reference 30 °C (IEC 60898-1:2015, as in a maker's answer, se.com/in/en/faqs/FA369327); 0.5 % for
/// each kelvin, and 0.9 for two or three side by side, from memory. 40 A: at 45 °C 0.925 × 40 = 37 A;
/// beside two others 0.9 × 37 = 33.3 A.
#[test]
fn a_warm_breaker_carries_less() {
    let warm = |air: Option<f64>, beside: Option<u16>, load: f64| {
        check("breaker-derating", |c| {
            c.breaker.ambient = air.map(Temperature::from_celsius);
            c.breaker.side_by_side = beside;
            c.charger.rated_current = amp(load);
        })
    };
    expect(&warm(Some(45.0), None, 37.0), true, 37.0, 37.0);
    expect(&warm(Some(45.0), None, 37.1), false, 37.0, 37.1);
    expect(&warm(Some(45.0), Some(3), 32.0), true, 33.3, 32.0);
    expect(&warm(Some(45.0), Some(4), 32.0), false, 29.6, 32.0);
    expect(&warm(Some(60.0), Some(12), 16.0), true, 20.4, 16.0);
    // Cool air gives nothing on top.
    expect(&warm(Some(10.0), None, 40.0), true, 40.0, 40.0);
    expect(&warm(None, Some(2), 36.0), true, 36.0, 36.0);
    assert!(made("breaker-derating", &circuit(|_| ())).is_none());
}

/// IEC 60364-4-43:2008, 433.1, condition (1) (from memory): no factor.
#[test]
fn load_management_needs_no_factor() {
    for (limit, holds) in [(63.0, true), (63.1, false)] {
        let found = check("load-management", |c| {
            let mut feeder = c.conductors.clone();
            feeder.protected_by = Some(amp(63.0));
            c.feeder = Some(feeder);
            c.load_management = Some(LoadManagement {
                limit: amp(limit),
                restricted: None,
            });
        });
        expect(&found, holds, 63.0, limit);
    }
}
