//! The checks of the `iec` rule set against worked examples and from both sides of every limit,
//! with every fact stated, not stated, and not needed. Clauses are those of IEC 60364; the arithmetic
//! is next to each.

mod tables;
mod told;

use chrono::NaiveDate;
use warmlug::assess::circuit::checks;
use warmlug::assess::{Check, Value, assess};
use warmlug::quantity::{ConductorSize, Current, Duration, Length, Temperature, Voltage};
use warmlug::rules::{self, Rules};
use warmlug::visit::{
    self, ChargerConnection, Circuit, Earthing, Grade, ImageError, ImageFacts, MarkedFor, Material,
    OvercurrentDevice, ProductStandard, Rcd, Receptacle, ReceptacleGrade, ResidualCurrentDevice,
    Surroundings, Visit, Wiring,
};
use warmlug::vocabulary::{CheckId, RatingOf};

struct Around;

impl Surroundings for Around {
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 10, 7).unwrap()
    }
    fn image(&self, _: &str) -> Result<ImageFacts, ImageError> {
        Err(ImageError::Missing)
    }
    fn prints(&self, _: char) -> bool {
        true
    }
}

/// A sound 32 A three-phase charger: 10 mm² PVC cable on the wall, 40 A breaker, 25 m, 30 °C.
const SOUND: &str = r#"
visit: { number: T-1, date: 2026-10-06, reason: periodic, rules: iec }
inspector: { name: Test Person }
client: { name: Test Client, role: owner }
site: { name: Test Site }
circuits:
  - id: bay
    charger: { rated_current: 32 A, connection: hardwired }
    supply: { phases: 3, legs: [L1, L2, L3, N], voltage: 400 V, system: wye, earthing: tn }
    breaker: { kind: mcb, rating: 40 A, poles: 4 }
    conductors: { material: copper, size: 10 mm², insulation: 70 °C, wiring: cable, method: C, circuits_together: 1, length: 25 m, stranded: yes }
    rcd: { type: a, rating: 30 mA, dc_detection: yes, trip_time: 28 ms }
    dedicated: yes
    hottest_air: 30 °C
    places:
      - id: board
        name: Board
        connections:
          - { id: board-L1, leg: L1, kind: screw-terminal, torque: 2.5 N·m }
          - { id: board-L2, leg: L2, kind: screw-terminal, torque: 2.5 N·m }
          - { id: board-L3, leg: L3, kind: screw-terminal, torque: 2.5 N·m }
"#;

fn iec() -> &'static Rules {
    rules::built_in("iec").unwrap()
}

fn visit() -> Visit {
    visit::read(SOUND, "sound.yaml", &Around).unwrap_or_else(|problems| panic!("{problems}"))
}

fn circuit(change: impl FnOnce(&mut Circuit)) -> Circuit {
    let mut circuit = visit().circuits.remove(0);
    change(&mut circuit);
    circuit
}

fn made(rule: &str, circuit: &Circuit) -> Option<Check> {
    checks(circuit, iec()).into_iter().find(|c| c.rule == rule)
}

#[track_caller]
fn check(rule: &str, change: impl FnOnce(&mut Circuit)) -> Check {
    made(rule, &circuit(change)).unwrap_or_else(|| panic!("{rule} was not made"))
}

/// Holds, and value and limit to three decimals.
#[track_caller]
fn expect(check: &Check, holds: bool, value: f64, limit: f64) {
    let close = |found: Option<f64>, wanted: f64| found.is_some_and(|f| (f - wanted).abs() < 5e-4);
    assert_eq!(check.holds, Some(holds), "{check:?}");
    assert!(
        close(check.value, value),
        "value {:?}, wanted {value}",
        check.value
    );
    assert!(
        close(check.limit, limit),
        "limit {:?}, wanted {limit}",
        check.limit
    );
    assert!(check.missing.is_empty(), "{:?}", check.missing);
}

#[track_caller]
fn undecided(check: &Check, missing: &[&str]) {
    assert_eq!(check.holds, None, "{check:?}");
    assert_eq!(check.missing, missing);
}

fn amp(a: f64) -> Current {
    Current::from_ampere(a)
}

fn mm2(s: f64) -> ConductorSize {
    ConductorSize::Mm2(s)
}

fn celsius(t: f64) -> Temperature {
    Temperature::from_celsius(t)
}

#[test]
fn a_sound_circuit_fails_nothing_and_misses_nothing() {
    let all = checks(&circuit(|_| ()), iec());
    for check in &all {
        assert_eq!(check.holds, Some(true), "{check:?}");
        assert!(!check.source.is_empty());
    }
    // What the set does not name is not made.
    let made: Vec<CheckId> = all.iter().map(|c| c.rule).collect();
    assert_eq!(
        made,
        [
            "charging-power",
            "continuous-load",
            "standard-rating",
            "conductor-ampacity",
            "conductor-protection",
            "overload-protection",
            "voltage-drop",
            "run-loss",
            "splices",
            "individual-circuit",
            "residual-current",
            "disconnection-time",
        ]
    );
}

/// √3 × 400 V × 32 A = 22,170 W; 230 V × 32 A = 7,360 W.
#[test]
fn power() {
    let three = check("charging-power", |_| ());
    assert!((three.value.unwrap() - 22_170.25).abs() < 0.01);
    let one = check("charging-power", single_phase);
    assert_eq!(one.value, Some(7360.0));
}

fn single_phase(c: &mut Circuit) {
    c.supply.phases = 1;
    c.supply.legs = ["L1", "N"].map(str::to_owned).to_vec();
    c.supply.voltage = Voltage::from_volt(230.0);
    c.supply.system = None;
    for place in &mut c.places {
        place.connections.retain(|c| c.leg == "L1");
    }
}

/// 433.1 (1): design current ≤ rated current, without the 125 % of North America.
#[test]
fn design_current_and_rated_current() {
    let of = |load: f64, rating: f64| {
        check("continuous-load", |c| {
            c.charger.rated_current = amp(load);
            c.breaker.rating = amp(rating);
        })
    };
    expect(&of(32.0, 32.0), true, 32.0, 32.0);
    expect(&of(32.01, 32.0), false, 32.0, 32.01);
    expect(&of(16.0, 16.0), true, 16.0, 16.0);
    expect(&of(16.0, 13.0), false, 13.0, 16.0);
}

/// IEC 60898-1: 35 A is no preferred value; the smallest for 32 A is 32 A, for 33 A 40 A.
#[test]
fn standard_rating() {
    let of = |load: f64, rating: f64| {
        check("standard-rating", |c| {
            c.charger.rated_current = amp(load);
            c.breaker.rating = amp(rating);
        })
    };
    expect(&of(32.0, 35.0), false, 35.0, 32.0);
    expect(&of(33.0, 40.0), true, 40.0, 40.0);
    expect(&of(16.0, 16.0), true, 16.0, 16.0);
}

/// 32 A, two loaded conductors, PVC, at 40 °C: 6 mm² by B2 38 A × 0.87 = 33.06 A holds; 4 mm² by C
/// 36 A × 0.87 = 31.32 A does not.
#[test]
fn ampacity_at_forty_degrees() {
    let of = |size: f64, method: &str| {
        check("conductor-ampacity", |c| {
            single_phase(c);
            c.hottest_air = Some(celsius(40.0));
            c.conductors.size = mm2(size);
            c.conductors.method = Some(method.to_owned());
        })
    };
    expect(&of(6.0, "B2"), true, 33.06, 32.0);
    let found = of(4.0, "C");
    expect(&found, false, 31.32, 32.0);
    assert_eq!(found.values["method"], Value::Text("C".into()));
    assert_eq!(found.values["column"], Value::Temperature(celsius(70.0)));
    assert_eq!(found.values["column_by"], Value::Text("insulation".into()));
}

/// Three loaded conductors, PVC: 10 mm² by C 57 A, in two circuits × 0.80 = 45.6 A, in three
/// × 0.70 = 39.9 A; at 35 °C 57 A × 0.94 × 0.80 = 42.864 A.
#[test]
fn circuits_together() {
    let of = |count, air: f64| {
        check("conductor-protection", |c| {
            c.conductors.circuits_together = Some(count);
            c.hottest_air = Some(celsius(air));
        })
    };
    expect(&of(1, 30.0), true, 40.0, 57.0);
    expect(&of(2, 30.0), true, 40.0, 45.6);
    expect(&of(3, 30.0), false, 40.0, 39.9);
    let found = of(2, 35.0);
    expect(&found, true, 40.0, 42.864);
    assert_eq!(found.values["grouping"], Value::Count(2));
    // Cores of the cable are not counted: only circuits are.
    let cores = check("conductor-protection", |c| {
        c.conductors.current_carrying = Some(9)
    });
    expect(&cores, true, 40.0, 57.0);
}

/// A cable that is not said to be bundled is alone; a conduit may hold any number.
#[test]
fn circuits_that_are_not_told() {
    let of = |wiring, rating: f64| {
        check("conductor-protection", |c| {
            c.conductors.circuits_together = None;
            c.conductors.wiring = Some(wiring);
            c.breaker.rating = amp(rating);
        })
    };
    assert_eq!(of(Wiring::Cable, 50.0).holds, Some(true), "50 A ≤ 57 A");
    undecided(
        &of(Wiring::Conduit, 40.0),
        &["conductors.circuits_together"],
    );
    // At worst 57 A × 0.38 = 21.66 A.
    assert_eq!(of(Wiring::Conduit, 20.0).holds, Some(true));
    assert_eq!(of(Wiring::Conduit, 63.0).holds, Some(false));
}

/// 10 mm², three loaded: from 39 A (A2) to 60 A (E). A device of 32 A is protected by any of them,
/// one of 63 A by none, one of 40 A depends.
#[test]
fn a_method_that_is_not_told() {
    let of = |rating: f64| {
        check("conductor-protection", |c| {
            c.conductors.method = None;
            c.breaker.rating = amp(rating);
        })
    };
    assert_eq!(of(32.0).holds, Some(true));
    undecided(&of(40.0), &["conductors.method"]);
    assert_eq!(of(40.0).limit, Some(39.0), "the least favourable");
    assert_eq!(of(63.0).holds, Some(false));
    // A method that no table has, and a size: nothing can be said.
    let missing = [
        "conductors.size",
        "conductors.insulation",
        "conductors.method",
    ];
    let strange = |change: fn(&mut Circuit)| check("conductor-ampacity", change);
    undecided(
        &strange(|c| c.conductors.method = Some("F".into())),
        &missing,
    );
    undecided(
        &strange(|c| c.conductors.size = "6 AWG".parse().unwrap()),
        &missing,
    );
    undecided(
        &strange(|c| c.conductors.insulation = Temperature::from_celsius(60.0)),
        &missing,
    );
    undecided(
        &strange(|c| c.conductors.material = Material::Aluminium),
        &missing,
    );
}

/// XLPE by C, three loaded, 6 mm²: 52 A. Terminals of which nothing is stated are taken at 70 °C,
/// so that the 70 °C table counts: 41 A.
#[test]
fn ninety_degrees_only_with_terminals_for_it() {
    let of = |terminals: Option<f64>| {
        check("conductor-protection", |c| {
            c.conductors.size = mm2(6.0);
            c.conductors.insulation = celsius(90.0);
            c.breaker.terminal_rating = terminals.map(celsius);
        })
    };
    let found = of(None);
    expect(&found, true, 40.0, 41.0);
    assert_eq!(found.values["column_by"], Value::Text("terminals".into()));
    expect(&of(Some(90.0)), true, 40.0, 52.0);
    expect(&of(Some(85.0)), true, 40.0, 41.0);
    // One terminal of the run is enough to hold it back; that of the protective conductor is not.
    let one = |leg: &str| {
        check("conductor-protection", |c| {
            c.conductors.size = mm2(6.0);
            c.conductors.insulation = celsius(90.0);
            c.breaker.terminal_rating = Some(celsius(90.0));
            c.places[0].connections[2].rating = Some(celsius(75.0));
            c.places[0].connections[2].leg = leg.to_owned();
        })
    };
    expect(&one("L3"), true, 40.0, 41.0);
    expect(&one("PE"), true, 40.0, 52.0);
}

/// In the ground the air does not count. 10 mm², PVC, three loaded: D1 50 A at 20 °C; at 30 °C
/// × 0.89 = 44.5 A; two circuits × 0.85. D2 54 A, two circuits × 0.75 = 40.5 A.
#[test]
fn in_the_ground() {
    let of = |method: &str, ground: Option<f64>, circuits: u16| {
        check("conductor-protection", |c| {
            c.conductors.method = Some(method.to_owned());
            c.conductors.ambient = ground.map(celsius);
            c.conductors.circuits_together = Some(circuits);
            c.hottest_air = Some(celsius(60.0));
        })
    };
    let found = of("D1", None, 1);
    expect(&found, true, 40.0, 50.0);
    assert_eq!(found.values["ambient"], Value::Temperature(celsius(20.0)));
    expect(&of("D1", Some(30.0), 1), true, 40.0, 44.5);
    expect(&of("D1", None, 2), true, 40.0, 42.5);
    expect(&of("D1", Some(30.0), 2), false, 40.0, 37.825);
    expect(&of("D2", None, 2), true, 40.0, 40.5);
    // On the wall, 60 °C leave half: 57 A × 0.50 = 28.5 A.
    expect(&of("C", None, 1), false, 40.0, 28.5);
}

/// 433.1 (2): I₂ ≤ 1.45·Iz. 10 mm² by C: 1.45 × 57 A = 82.65 A. A breaker trips at 1.45 × 50 A
/// = 72.5 A; a fuse at 1.6 × 50 A = 80 A; 63 A: 91.35 A, 81.9 A (1.30) and 100.8 A.
#[test]
fn overload() {
    let of = |kind: Option<OvercurrentDevice>, rating: f64| {
        check("overload-protection", |c| {
            c.breaker.kind = kind;
            c.breaker.rating = amp(rating);
        })
    };
    use OvercurrentDevice::{Fuse, Mcb, Mccb};
    expect(&of(Some(Mcb), 50.0), true, 72.5, 82.65);
    expect(&of(Some(Fuse), 50.0), true, 80.0, 82.65);
    expect(&of(Some(Fuse), 63.0), false, 100.8, 82.65);
    expect(&of(Some(Mcb), 63.0), false, 91.35, 82.65);
    expect(&of(Some(Mccb), 63.0), true, 81.9, 82.65);
    // Not stated: as bad as a fuse, unless that is good enough or the best is not.
    expect(&of(None, 50.0), true, 80.0, 82.65);
    undecided(&of(None, 63.0), &["breaker.kind"]);
    expect(&of(None, 80.0), false, 128.0, 82.65);
    // A fuse of 57 A (no such is made) keeps condition (1) and breaks condition (2):
    // 1.6 × 57 A = 91.2 A.
    expect(&of(Some(Fuse), 57.0), false, 91.2, 82.65);
    let first = check("conductor-protection", |c| c.breaker.rating = amp(57.0));
    expect(&first, true, 57.0, 57.0);
}

/// Annex G: 5 %. 10 mm², 25 m, 32 A: the conductor at 30 °C + 40 K × (32/57)² = 42.607 °C;
/// 1.83 Ω/km × (1 + 0.00393 × 22.607) = 1.99258 Ω/km; √3 × 25 m × 32 A × 1.99258 mΩ/m = 2.7610 V;
/// 0.6903 % of 400 V.
#[test]
fn voltage_drop() {
    let of = |metres: f64| {
        check("voltage-drop", |c| {
            c.conductors.length = Some(Length::from_metre(metres))
        })
    };
    let found = of(25.0);
    expect(&found, true, 0.690, 5.0);
    let Value::Temperature(conductor) = found.values["conductor"] else {
        panic!("a temperature")
    };
    assert!(
        (conductor.celsius() - 42.6070).abs() < 1e-3,
        "{conductor:?}"
    );
    // 5 % are reached at 25 m × 5 / 0.69025 = 181.1 m.
    assert_eq!(of(181.0).holds, Some(true));
    assert_eq!(of(181.2).holds, Some(false));
    let open = check("voltage-drop", |c| c.conductors.length = None);
    undecided(&open, &["conductors.length"]);
    // Single-phase there and back: 2 × 25 × 32 × R / 230 V; two loaded conductors carry 63 A, so
    // 30 + 40 × (32/63)² = 40.320 °C; 1.83 × (1 + 0.00393 × 20.320) = 1.97614; 3.16182 V; 1.3747 %.
    expect(&check("voltage-drop", single_phase), true, 1.375, 5.0);
}

/// 722.531.3: type B, or type A or F with disconnection at 6 mA direct current; 30 mA at most.
#[test]
fn residual_current() {
    let of = |kind: Rcd, milliampere: Option<f64>, dc: Option<bool>| {
        check("residual-current", |c| {
            c.rcd = Some(ResidualCurrentDevice {
                kind,
                rating: milliampere.map(|m| amp(m / 1e3)),
                dc_detection: dc,
                trip_time: None,
            });
        })
    };
    for kind in [Rcd::A, Rcd::F] {
        expect(&of(kind, Some(30.0), Some(true)), true, 30.0, 30.0);
        expect(&of(kind, Some(30.0), Some(false)), false, 30.0, 30.0);
        undecided(&of(kind, Some(30.0), None), &["rcd.dc_detection"]);
        undecided(&of(kind, None, None), &["rcd.dc_detection", "rcd.rating"]);
    }
    for kind in [Rcd::B, Rcd::A6mA] {
        expect(&of(kind, Some(30.0), None), true, 30.0, 30.0);
        expect(&of(kind, Some(10.0), None), true, 10.0, 30.0);
        expect(&of(kind, Some(30.1), None), false, 30.1, 30.0);
        expect(&of(kind, Some(300.0), None), false, 300.0, 30.0);
        undecided(&of(kind, None, None), &["rcd.rating"]);
    }
    // As the trade writes them (IEC 60755).
    for (kind, word) in [
        (Rcd::None, "none"),
        (Rcd::Ac, "AC"),
        (Rcd::A, "A"),
        (Rcd::F, "F"),
        (Rcd::A6mA, "A, 6 mA d.c."),
        (Rcd::B, "B"),
    ] {
        let told = of(kind, Some(30.0), Some(true)).values["rcd"].clone();
        assert_eq!(told, Value::Text(word.to_owned()));
    }
    for kind in [Rcd::Ac, Rcd::None] {
        expect(&of(kind, Some(30.0), Some(true)), false, 30.0, 30.0);
        assert_eq!(of(kind, None, None).holds, Some(false), "{kind:?}");
    }
    undecided(&check("residual-current", |c| c.rcd = None), &["rcd.type"]);
}

/// IEC 61008-1 and 61009-1 (from memory): a device of the general type trips within 0.3 s at its
/// rated residual current, in TN and in TT systems.
#[test]
fn disconnection_time() {
    let of = |earthing: Option<Earthing>, ms: f64| {
        check("disconnection-time", |c| {
            c.supply.earthing = earthing;
            if let Some(rcd) = &mut c.rcd {
                rcd.trip_time = Some(Duration::from_second(ms / 1e3));
            }
        })
    };
    use Earthing::{Tn, Tt};
    for earthing in [Some(Tn), Some(Tt), None] {
        expect(&of(earthing, 300.0), true, 300.0, 300.0);
        expect(&of(earthing, 300.1), false, 300.1, 300.0);
    }
    for (earthing, word) in [(Earthing::Tn, "TN"), (Earthing::Tt, "TT")] {
        let told = of(Some(earthing), 28.0).values["earthing"].clone();
        assert_eq!(told, Value::Text(word.to_owned()));
    }
    expect(&of(None, 301.0), false, 301.0, 300.0);
    let untested = check("disconnection-time", |c| c.rcd = None);
    undecided(&untested, &["rcd.trip_time"]);
}

/// 722.314: every connecting point, however small.
#[test]
fn dedicated_circuit() {
    let of = |told: Option<bool>| {
        check("individual-circuit", |c| {
            c.charger.rated_current = amp(6.0);
            c.dedicated = told;
        })
    };
    assert_eq!(of(Some(true)).holds, Some(true));
    assert_eq!(of(Some(false)).holds, Some(false));
    undecided(&of(None), &["dedicated"]);
}

fn plugged(configuration: &str, load: f64, grade: Option<ReceptacleGrade>) -> Circuit {
    circuit(|c| {
        c.charger.connection = ChargerConnection::Receptacle;
        c.charger.rated_current = amp(load);
        c.receptacle = Some(Receptacle {
            configuration: configuration.to_owned(),
            grade,
            rating: None,
            wet_location: None,
        });
    })
}

/// Socket-outlets to IEC 60309-2: 400 V goes with 415 V, not with 250 V.
#[test]
fn socket_outlets() {
    let three = plugged("60309-32-3P+N+E", 32.0, Some(ReceptacleGrade::Industrial));
    let found = made("receptacle-configuration", &three).unwrap();
    expect(&found, true, 400.0, 415.0);
    // 32 A behind a breaker of 40 A.
    expect(
        &made("receptacle-rating", &three).unwrap(),
        false,
        32.0,
        40.0,
    );
    let single = plugged("60309-32-2P+E", 32.0, None);
    expect(
        &made("receptacle-configuration", &single).unwrap(),
        false,
        400.0,
        250.0,
    );
    undecided(
        &made("receptacle-grade", &single).unwrap(),
        &["receptacle.grade"],
    );
    let unknown = plugged("14-50", 32.0, Some(ReceptacleGrade::Residential));
    assert_eq!(
        made("receptacle-configuration", &unknown).unwrap().holds,
        Some(false)
    );
    assert_eq!(
        made("receptacle-grade", &unknown).unwrap().holds,
        Some(false)
    );
    // Up to 10 A a household socket-outlet is not asked for its grade.
    let small = plugged("60884-16", 10.0, Some(ReceptacleGrade::Residential));
    assert_eq!(made("receptacle-grade", &small), None);
    let more = plugged("60884-16", 10.1, Some(ReceptacleGrade::Residential));
    assert_eq!(made("receptacle-grade", &more).unwrap().holds, Some(false));
    assert_eq!(
        made("ground-fault", &small),
        None,
        "asked by another rule set only"
    );
}

/// 526.2: aluminium only under terminals for it.
#[test]
fn aluminium() {
    let of = |marked: Option<MarkedFor>| {
        check("aluminium-termination", |c| {
            c.conductors.material = Material::Aluminium;
            c.conductors.size = mm2(16.0);
            for connection in &mut c.places[0].connections {
                connection.marked = marked;
            }
        })
    };
    assert_eq!(of(Some(MarkedFor::Both)).holds, Some(true));
    assert_eq!(of(Some(MarkedFor::Copper)).holds, Some(false));
    undecided(&of(None), &["places.connections.marked"]);
    // 16 mm² aluminium by C, three loaded: 59 A.
    let protected = check("conductor-protection", |c| {
        c.conductors.material = Material::Aluminium;
        c.conductors.size = mm2(16.0);
    });
    expect(&protected, true, 40.0, 59.0);
}

/// The temperature that a terminal may reach: told, or from its product standard on the hottest
/// day (30 °C + 60 K), never above the insulation; 70 °C where nothing is stated.
#[test]
fn ratings_of_connections() {
    let of = |insulation: f64, told: Option<f64>, standard: Option<ProductStandard>| {
        let mut visit = visit();
        let circuit = &mut visit.circuits[0];
        circuit.conductors.insulation = celsius(insulation);
        let connection = &mut circuit.places[0].connections[0];
        connection.rating = told.map(celsius);
        connection.standard = standard;
        let a = assess(&visit, iec(), &[]);
        let (limit, by) = a.circuits[0].connections[0].limit.unwrap();
        ((limit.celsius() * 100.0).round() / 100.0, by)
    };
    use ProductStandard::{Iec60898, Iec60947, Iec60947Breaker, Iec61439};
    assert_eq!(of(105.0, None, None), (70.0, RatingOf::UnmarkedTerminal));
    assert_eq!(of(105.0, Some(85.0), None), (85.0, RatingOf::Terminal));
    assert_eq!(
        of(105.0, None, Some(Iec60898)),
        (90.0, RatingOf::ProductStandard)
    );
    assert_eq!(
        of(105.0, None, Some(Iec60947)),
        (95.0, RatingOf::ProductStandard)
    );
    assert_eq!(
        of(105.0, None, Some(Iec61439)),
        (100.0, RatingOf::ProductStandard)
    );
    assert_eq!(
        of(105.0, None, Some(Iec60947Breaker)),
        (105.0, RatingOf::Insulation)
    );
    assert_eq!(
        of(105.0, Some(85.0), Some(Iec60898)),
        (85.0, RatingOf::Terminal)
    );
    assert_eq!(
        of(105.0, Some(95.0), Some(Iec60898)),
        (90.0, RatingOf::ProductStandard)
    );
    assert_eq!(of(70.0, None, Some(Iec60898)), (70.0, RatingOf::Insulation));
}

/// Other rule sets are not touched by what the visit says of this world.
#[test]
fn the_us_set_makes_none_of_these_checks() {
    let us = rules::built_in("us").unwrap();
    for check in checks(&circuit(|_| ()), us) {
        assert!(
            ![
                CheckId::OverloadProtection,
                CheckId::ResidualCurrent,
                CheckId::DisconnectionTime
            ]
            .contains(&check.rule)
        );
    }
    let mut visit = visit();
    visit.circuits[0].places[0].connections[0].standard = Some(ProductStandard::Iec60898);
    let a = assess(&visit, us, &[]);
    let (limit, by) = a.circuits[0].connections[0].limit.unwrap();
    assert_eq!(
        (limit.celsius().round(), by),
        (60.0, RatingOf::UnmarkedTerminal)
    );
}

/// A finding for every check that fails, with the rule set's grade.
#[test]
fn what_fails_is_found() {
    let mut visit = visit();
    visit.circuits[0].rcd = Some(ResidualCurrentDevice {
        kind: Rcd::Ac,
        rating: Some(amp(0.03)),
        dc_detection: None,
        trip_time: Some(Duration::from_second(0.5)),
    });
    visit.circuits[0].breaker.rating = amp(63.0);
    let a = assess(&visit, iec(), &[]);
    for id in [
        "conductor-protection",
        "overload-protection",
        "residual-current",
        "disconnection-time",
    ] {
        let found = a.checks.iter().find(|f| f.id == id).unwrap();
        assert_eq!(found.grade, Grade::Repair, "{id}");
    }
}
