//! The checks of the circuit against worked examples and from both sides of every limit, with
//! every fact stated, not stated, and not needed. Clauses are those of NFPA 70 (2023); the arithmetic
//! is next to each.

mod editions;
mod kept;
mod managed;
mod told;
mod torque;

use chrono::NaiveDate;
use warmlug::assess::circuit::checks;
use warmlug::assess::{Check, Value};
use warmlug::quantity::{ConductorSize, Current, Length, Temperature, Voltage};
use warmlug::rules::{self, Rules};
use warmlug::visit::{
    self, ChargerConnection, Circuit, ConnectionKind, Disconnect, GroundFault, ImageError,
    ImageFacts, MarkedFor, Material, Receptacle, ReceptacleGrade, Surroundings, System, Visit,
    Wiring,
};

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

/// A sound 40 A charger: 6 AWG copper nonmetallic-sheathed cable, 50 A breaker, 60 ft, 40 °C.
const SOUND: &str = r#"
visit: { number: T-1, date: 2026-10-06, reason: periodic, rules: us }
inspector: { name: Test Person }
client: { name: Test Client, role: owner }
site: { name: Test Site }
circuits:
  - id: bay
    charger: { rated_current: 40 A, connection: hardwired }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 50 A, poles: 2, terminal_rating: 75 °C, ground_fault: none }
    conductors: { material: copper, size: 6 AWG, insulation: 90 °C, wiring: nm-cable, length: 60 ft }
    dedicated: yes
    hottest_air: 40 °C
    places:
      - id: panel
        name: Panel
        connections:
          - { id: panel-L1, leg: L1, kind: screw-terminal, torque: 45 in·lb }
          - { id: panel-L2, leg: L2, kind: screw-terminal, torque: 45 in·lb }
"#;

fn us() -> &'static Rules {
    rules::built_in("us").unwrap()
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
    checks(circuit, us()).into_iter().find(|c| c.rule == rule)
}

#[track_caller]
fn check(rule: &str, change: impl FnOnce(&mut Circuit)) -> Check {
    made(rule, &circuit(change)).unwrap_or_else(|| panic!("{rule} was not made"))
}

/// Holds, and value and limit to three decimals.
#[track_caller]
fn expect(check: &Check, holds: Option<bool>, value: f64, limit: f64) {
    let close = |found: Option<f64>, wanted: f64| found.is_some_and(|f| (f - wanted).abs() < 5e-4);
    assert_eq!(check.holds, holds, "{check:?}");
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
    assert_eq!(
        check.missing.is_empty(),
        holds.is_some(),
        "{:?}",
        check.missing
    );
}

#[track_caller]
fn undecided(check: &Check, missing: &[&str]) {
    assert_eq!(check.holds, None, "{check:?}");
    assert_eq!(check.missing, missing);
}

fn amp(a: f64) -> Current {
    Current::from_ampere(a)
}

fn size(text: &str) -> ConductorSize {
    text.parse().unwrap()
}

fn celsius(t: f64) -> Temperature {
    Temperature::from_celsius(t)
}

/// 48 A on a 60 A breaker.
fn forty_eight(c: &mut Circuit) {
    c.charger.rated_current = amp(48.0);
    c.breaker.rating = amp(60.0);
}

#[test]
fn a_sound_circuit_fails_nothing_and_misses_nothing() {
    for check in checks(&circuit(|_| ()), us()) {
        assert_eq!(check.holds, Some(true), "{check:?}");
        assert!(!check.source.is_empty());
    }
}

/// 210.20(A), 625.41: 1.25 × 40 A = 50 A; 1.25 × 48 A = 60 A.
#[test]
fn continuous_load() {
    let of = |load: f64, rating: f64, full_rated: bool| {
        check("continuous-load", |c| {
            c.charger.rated_current = amp(load);
            c.breaker.rating = amp(rating);
            c.breaker.full_rated = full_rated;
        })
    };
    expect(&of(40.0, 50.0, false), Some(true), 50.0, 50.0);
    expect(&of(40.01, 50.0, false), Some(false), 50.0, 50.0125);
    expect(&of(48.0, 60.0, false), Some(true), 60.0, 60.0);
    expect(&of(48.0, 50.0, false), Some(false), 50.0, 60.0);
    expect(&of(50.0, 50.0, true), Some(true), 50.0, 50.0);
    expect(&of(50.01, 50.0, true), Some(false), 50.0, 50.01);
    // Every current that a charger can be set to: never decided by the last bit.
    for ampere in 6..=80u32 {
        let load = f64::from(ampere);
        assert_eq!(of(load, load * 1.25, false).holds, Some(true), "{load} A");
    }
}

/// 240.6(A): 55 A is no standard rating; the smallest for 40 A is 50 A, for 42 A (52.5 A) 60 A.
#[test]
fn standard_rating() {
    let of = |load: f64, rating: f64| {
        check("standard-rating", |c| {
            c.charger.rated_current = amp(load);
            c.breaker.rating = amp(rating);
        })
    };
    expect(&of(40.0, 50.0), Some(true), 50.0, 50.0);
    expect(&of(40.0, 55.0), Some(false), 55.0, 50.0);
    expect(&of(42.0, 60.0), Some(true), 60.0, 60.0);
}

/// 48 A on 6 AWG nonmetallic-sheathed cable: 55 A (60 °C column, 334.80) < 60 A, although
/// 240.4(B) lets a 60 A device protect 55 A; 4 AWG has 70 A. The same 6 AWG in conduit under
/// 75 °C terminals has 65 A.
#[test]
fn forty_eight_ampere_on_six_gauge() {
    let cable = |c: &mut Circuit| forty_eight(c);
    expect(
        &check("conductor-continuous", cable),
        Some(false),
        55.0,
        60.0,
    );
    expect(
        &check("conductor-protection", cable),
        Some(true),
        60.0,
        60.0,
    );
    // 75 A × 0.91 = 68.25 A, capped at 55 A ≥ 48 A.
    expect(&check("conductor-ampacity", cable), Some(true), 55.0, 48.0);
    let larger = |c: &mut Circuit| {
        forty_eight(c);
        c.conductors.size = size("4 AWG");
    };
    expect(
        &check("conductor-continuous", larger),
        Some(true),
        70.0,
        60.0,
    );
    let conduit = |c: &mut Circuit| {
        forty_eight(c);
        c.conductors.wiring = Some(Wiring::Conduit);
        c.conductors.current_carrying = Some(2);
    };
    let found = check("conductor-continuous", conduit);
    expect(&found, Some(true), 65.0, 60.0);
    assert_eq!(found.values["column"], Value::Temperature(celsius(75.0)));
    assert_eq!(found.values["column_by"], Value::Text("terminals".into()));
    let cabled = check("conductor-continuous", cable);
    assert_eq!(cabled.values["column_by"], Value::Text("wiring".into()));
}

/// At 40 °C: 75 °C insulation 65 A × 0.88 = 57.2 A; 90 °C insulation 75 A × 0.91 = 68.25 A,
/// capped at the terminals' 65 A. At 50 °C: 75 × 0.82 = 61.5 A.
#[test]
fn ambient_correction() {
    let at = |insulation: f64, air: f64| {
        check("conductor-ampacity", |c| {
            c.conductors.wiring = Some(Wiring::Conduit);
            c.conductors.current_carrying = Some(2);
            c.conductors.insulation = celsius(insulation);
            c.hottest_air = Some(celsius(air));
        })
    };
    expect(&at(75.0, 40.0), Some(true), 57.2, 40.0);
    expect(&at(90.0, 40.0), Some(true), 65.0, 40.0);
    expect(&at(90.0, 50.0), Some(true), 61.5, 40.0);
    // Between the rows: 45.1 °C takes the row to 50 °C.
    expect(&at(90.0, 45.1), Some(true), 61.5, 40.0);
    // 0.58 × 75 A = 43.5 A holds at 70 °C, 0.50 × 75 A = 37.5 A does not at 75 °C.
    expect(&at(90.0, 70.0), Some(true), 43.5, 40.0);
    expect(&at(90.0, 75.0), Some(false), 37.5, 40.0);
    // A 75 °C conductor must not be used in air over 70 °C at all.
    expect(&at(75.0, 71.0), Some(false), 0.0, 40.0);
}

/// The run's own air comes before the charger's, and the rule set's 40 °C after both.
#[test]
fn ambient_of_the_run() {
    let of = |run: Option<f64>, charger: Option<f64>| {
        let found = check("conductor-ampacity", |c| {
            c.conductors.ambient = run.map(celsius);
            c.hottest_air = charger.map(celsius);
        });
        found.values["ambient"].clone()
    };
    assert_eq!(
        of(Some(55.0), Some(35.0)),
        Value::Temperature(celsius(55.0))
    );
    assert_eq!(of(None, Some(35.0)), Value::Temperature(celsius(35.0)));
    assert_eq!(of(None, None), Value::Temperature(celsius(40.0)));
}

/// 334.80 allows the cable's 90 °C rating for correction: 75 A × 0.58 = 43.5 A in a 70 °C attic.
/// 340.80 has no such allowance: underground feeder cable begins at 55 A × 0.82 = 45.1 A at
/// 40 °C, 55 A × 0.71 = 39.05 A at 45 °C.
#[test]
fn wiring_methods_limit_the_column() {
    let of = |wiring, air: f64, gauge: &str, load: f64| {
        check("conductor-ampacity", |c| {
            c.conductors.wiring = Some(wiring);
            c.conductors.size = size(gauge);
            c.charger.rated_current = amp(load);
            c.hottest_air = Some(celsius(air));
        })
    };
    expect(
        &of(Wiring::NmCable, 70.0, "6 AWG", 40.0),
        Some(true),
        43.5,
        40.0,
    );
    expect(
        &of(Wiring::UfCable, 40.0, "6 AWG", 40.0),
        Some(true),
        45.1,
        40.0,
    );
    expect(
        &of(Wiring::UfCable, 45.0, "6 AWG", 40.0),
        Some(false),
        39.05,
        40.0,
    );
    // 338.10(B)(4): 10 AWG and smaller in the 60 °C column, larger by the terminals.
    expect(
        &of(Wiring::SeCable, 30.0, "10 AWG", 24.0),
        Some(true),
        30.0,
        24.0,
    );
    expect(
        &of(Wiring::SeCable, 30.0, "8 AWG", 24.0),
        Some(true),
        50.0,
        24.0,
    );
    expect(
        &of(Wiring::McCable, 30.0, "10 AWG", 24.0),
        Some(true),
        35.0,
        24.0,
    );
}

/// 310.15(C)(1): six conductors 80 %, seven 70 %: 75 A × 0.91 × 0.8 = 54.6 A and
/// 75 A × 0.91 × 0.7 = 47.775 A.
#[test]
fn grouping() {
    let of = |count| {
        check("conductor-ampacity", |c| {
            forty_eight(c);
            c.conductors.wiring = Some(Wiring::Conduit);
            c.conductors.current_carrying = Some(count);
        })
    };
    expect(&of(3), Some(true), 65.0, 48.0);
    expect(&of(6), Some(true), 54.6, 48.0);
    expect(&of(7), Some(false), 47.775, 48.0);
    // The circuit's own two conductors count even where the visit says one.
    assert_eq!(of(1).values["grouping"], Value::Count(2));
}

/// A conduit may hold other circuits; a cable that is not said to be bundled holds its own.
#[test]
fn a_count_that_is_not_told() {
    // At worst 35 %: 75 A × 0.91 × 0.35 = 23.8875 A.
    let conduit = |load: f64| {
        check("conductor-ampacity", |c| {
            c.charger.rated_current = amp(load);
            c.conductors.wiring = Some(Wiring::Conduit);
        })
    };
    let open = conduit(40.0);
    undecided(&open, &["conductors.current_carrying"]);
    assert!(
        (open.value.unwrap() - 23.8875).abs() < 1e-9,
        "the least favourable"
    );
    assert_eq!(conduit(23.0).holds, Some(true), "holds in any company");
    assert_eq!(conduit(65.1).holds, Some(false), "fails even alone");
    let cable = check("conductor-ampacity", |c| {
        c.conductors.wiring = Some(Wiring::McCable)
    });
    assert_eq!(cable.holds, Some(true));
}

/// 110.14(C)(1): a breaker of 100 A or less is listed for 60 °C or 75 °C; above 100 A, or with
/// conductors above 1 AWG, 75 °C counts.
#[test]
fn terminals_that_are_not_told() {
    let of = |load: f64, rating: f64, gauge: &str| {
        check("conductor-continuous", |c| {
            c.charger.rated_current = amp(load);
            c.breaker.rating = amp(rating);
            c.breaker.terminal_rating = None;
            c.conductors.size = size(gauge);
            c.conductors.wiring = Some(Wiring::Conduit);
            c.conductors.current_carrying = Some(2);
        })
    };
    // 6 AWG: 55 A and 65 A.
    assert_eq!(of(40.0, 50.0, "6 AWG").holds, Some(true), "50 A ≤ 55 A");
    let open = of(48.0, 60.0, "6 AWG");
    undecided(&open, &["breaker.terminal_rating"]);
    assert_eq!(open.value, Some(55.0));
    assert_eq!(of(53.0, 70.0, "6 AWG").holds, Some(false), "66.25 A > 65 A");
    // 1 AWG: 110 A and 130 A under 100 A and under 110 A.
    undecided(&of(90.0, 100.0, "1 AWG"), &["breaker.terminal_rating"]);
    expect(&of(90.0, 110.0, "1 AWG"), Some(true), 130.0, 112.5);
    // 1/0 AWG: 150 A in the 75 °C column though the breaker is small.
    expect(&of(72.0, 90.0, "1/0 AWG"), Some(true), 150.0, 90.0);
}

/// The coolest of all terminals counts; the grounding conductor carries no load.
#[test]
fn the_coolest_terminal_counts() {
    let of = |leg: &str, rating: f64| {
        check("conductor-continuous", |c| {
            c.conductors.wiring = Some(Wiring::Conduit);
            c.conductors.current_carrying = Some(2);
            c.places[0].connections[1].leg = leg.to_owned();
            c.places[0].connections[1].rating = Some(celsius(rating));
        })
        .value
    };
    assert_eq!(of("L2", 60.0), Some(55.0));
    assert_eq!(of("L2", 90.0), Some(65.0));
    assert_eq!(of("G", 60.0), Some(65.0));
}

/// A wiring method that is not stated can be nonmetallic-sheathed cable.
#[test]
fn wiring_that_is_not_told() {
    let of = |load: f64| {
        check("conductor-continuous", |c| {
            c.charger.rated_current = amp(load);
            c.conductors.wiring = None;
            c.conductors.current_carrying = Some(2);
        })
    };
    assert_eq!(of(44.0).holds, Some(true), "55 A ≤ 55 A");
    undecided(&of(48.0), &["conductors.wiring"]);
    assert_eq!(of(53.0).holds, Some(false), "66.25 A > 65 A");
}

/// A size or insulation that no table has cannot be judged.
#[test]
fn a_size_that_the_tables_lack() {
    for rule in [
        "conductor-continuous",
        "conductor-ampacity",
        "conductor-protection",
    ] {
        let metric = check(rule, |c| c.conductors.size = size("16 mm²"));
        undecided(&metric, &["conductors.size", "conductors.insulation"]);
    }
    let tiny = check("conductor-ampacity", |c| {
        c.conductors.material = Material::Aluminium;
        c.conductors.size = size("14 AWG");
    });
    undecided(&tiny, &["conductors.size", "conductors.insulation"]);
}

/// 240.4(B): the next standard rating above an ampacity that is none itself. 6 AWG at 60 °C has
/// 55 A: 60 A; 8 AWG has 40 A, a standard rating: 40 A.
#[test]
fn protection() {
    let of = |gauge: &str, rating: f64| {
        check("conductor-protection", |c| {
            c.conductors.size = size(gauge);
            c.breaker.rating = amp(rating);
        })
    };
    expect(&of("6 AWG", 55.0), Some(true), 55.0, 60.0);
    expect(&of("6 AWG", 60.0), Some(true), 60.0, 60.0);
    expect(&of("6 AWG", 70.0), Some(false), 70.0, 60.0);
    expect(&of("8 AWG", 40.0), Some(true), 40.0, 40.0);
    expect(&of("8 AWG", 45.0), Some(false), 45.0, 40.0);
}

/// The next size up is for circuits that feed no more than one receptacle.
#[test]
fn protection_of_a_receptacle_circuit() {
    let of = |dedicated, rating: f64| {
        check("conductor-protection", |c| {
            plugged(c, "14-50");
            c.dedicated = dedicated;
            c.breaker.rating = amp(rating);
        })
    };
    expect(&of(Some(true), 60.0), Some(true), 60.0, 60.0);
    expect(&of(Some(false), 60.0), Some(false), 60.0, 55.0);
    undecided(&of(None, 60.0), &["dedicated"]);
    expect(&of(None, 50.0), Some(true), 50.0, 55.0);
    expect(&of(None, 70.0), Some(false), 70.0, 55.0);
}

/// Above 800 A the ampacity itself is the limit. (No conductor of the tables has that much; the
/// bound is tried on a set that puts it at 50 A.)
#[test]
fn the_next_size_up_has_a_bound() {
    let file = |bound: &str| {
        format!(
            "extends: us\nid: bound\ncircuit:\n  checks:\n    conductor-protection: \
             {{ grade: repair, next_size_up_to: {bound}, source: test }}\n"
        )
    };
    let limit = |bound: &str| {
        let rules = rules::load(&file(bound), "bound.yaml").unwrap();
        let all = checks(&circuit(|_| ()), &rules);
        let found = all.iter().find(|c| c.rule == "conductor-protection");
        found.unwrap().limit
    };
    assert_eq!(limit("60 A"), Some(60.0));
    assert_eq!(limit("59 A"), Some(55.0));
}

/// 240.4(D): 10 AWG copper 30 A, whatever Table 310.16 allows; 8 AWG has no such limit.
#[test]
fn small_conductors() {
    let of = |material, gauge: &str, rating: f64| {
        made(
            "small-conductor",
            &circuit(|c| {
                c.conductors.material = material;
                c.conductors.size = size(gauge);
                c.breaker.rating = amp(rating);
            }),
        )
    };
    expect(
        &of(Material::Copper, "10 AWG", 30.0).unwrap(),
        Some(true),
        30.0,
        30.0,
    );
    expect(
        &of(Material::Copper, "10 AWG", 35.0).unwrap(),
        Some(false),
        35.0,
        30.0,
    );
    expect(
        &of(Material::Aluminium, "10 AWG", 30.0).unwrap(),
        Some(false),
        30.0,
        25.0,
    );
    assert_eq!(of(Material::Copper, "8 AWG", 100.0), None);
}

/// 40 A × 240 V = 9,600 W; 48 A × 240 V = 11,520 W; 32 A × 400 V × √3 = 22,170 W.
#[test]
fn power() {
    let of = |load: f64, volts: f64, phases: u8| {
        let found = check("charging-power", |c| {
            c.charger.rated_current = amp(load);
            c.supply.voltage = Voltage::from_volt(volts);
            c.supply.phases = phases;
        });
        assert_eq!((found.limit, found.holds), (None, Some(true)));
        found.value.unwrap().round()
    };
    assert_eq!(of(40.0, 240.0, 1), 9600.0);
    assert_eq!(of(48.0, 240.0, 1), 11_520.0);
    assert_eq!(of(32.0, 400.0, 3), 22_170.0);
}

/// 60 ft, 48 A, 240 V, 6 AWG copper. The conductor's temperature: air + 45 K × (48/65)² =
/// air + 24.54 K. In 50.46 °C air it is 75 °C and the drop is the textbook's
/// 2 × 60 × 48 × 0.491/1000 = 2.828 V = 1.178 %; in 25.46 °C air it is 50 °C, R = 0.491 ×
/// (1 − 25 × 0.00323) = 0.45135, 2.600 V = 1.083 %.
#[test]
fn voltage_drop() {
    let rise = 45.0 * (48.0f64 / 65.0).powi(2);
    let of = |conductor: f64| {
        check("voltage-drop", |c| {
            forty_eight(c);
            c.hottest_air = Some(celsius(conductor - rise));
        })
    };
    let hot = of(75.0);
    expect(&hot, Some(true), 1.1784, 3.0);
    let Value::Voltage(drop) = hot.values["drop"] else {
        panic!("{:?}", hot.values);
    };
    assert!((drop.volt() - 2.828_16).abs() < 1e-5, "{drop:?}");
    expect(&of(50.0), Some(true), 1.083_24, 3.0);
}

/// Both sides of 3 %: at 75 °C, 60 ft drop 1.1784 %, so 152.7 ft 2.9990 % and 152.8 ft 3.0010 %.
#[test]
fn voltage_drop_at_its_limit() {
    let of = |feet: f64| {
        check("voltage-drop", |c| {
            forty_eight(c);
            c.hottest_air = Some(celsius(75.0 - 45.0 * (48.0f64 / 65.0).powi(2)));
            c.conductors.length = Some(Length::from_metre(feet * 0.3048));
        })
    };
    assert_eq!(of(152.7).holds, Some(true));
    assert_eq!(of(152.8).holds, Some(false));
    let without = check("voltage-drop", |c| c.conductors.length = None);
    undecided(&without, &["conductors.length"]);
}

/// Three phases: √3 in place of 2. At 75 °C, 30 m, 32 A, 208 V, 8 AWG stranded copper
/// (0.778 Ω/1000 ft = 2.55249 Ω/km): √3 × 0.030 × 32 × 2.55249 = 4.2442 V = 2.0405 %.
#[test]
fn voltage_drop_in_three_phases() {
    let found = check("voltage-drop", |c| {
        c.charger.rated_current = amp(32.0);
        c.supply.phases = 3;
        c.supply.legs = ["L1", "L2", "L3"].map(str::to_owned).to_vec();
        c.supply.voltage = Voltage::from_volt(208.0);
        c.conductors.size = size("8 AWG");
        c.conductors.stranded = Some(true);
        c.conductors.length = Some(Length::from_metre(30.0));
        c.hottest_air = Some(celsius(75.0 - 45.0 * (32.0f64 / 50.0).powi(2)));
    });
    expect(&found, Some(true), 2.0405, 3.0);
}

/// A feeder of 100 ft 2 AWG aluminium (0.319 Ω/1000 ft at 75 °C) with 80 A: 2 × 100 × 80 ×
/// 0.319/1000 = 5.104 V = 2.1267 % at 75 °C; with the branch's 1.1784 % together 3.3051 %.
#[test]
fn feeder() {
    let with_feeder = |change: &dyn Fn(&mut visit::Conductors)| {
        circuit(|c| {
            forty_eight(c);
            c.hottest_air = Some(celsius(75.0 - 45.0 * (48.0f64 / 65.0).powi(2)));
            let mut feeder = c.conductors.clone();
            feeder.material = Material::Aluminium;
            feeder.size = size("2 AWG");
            feeder.length = Some(Length::from_metre(100.0 * 0.3048));
            feeder.load = Some(amp(80.0));
            // 75 °C at the load: the 75 °C column has 90 A.
            feeder.ambient = Some(celsius(75.0 - 45.0 * (80.0f64 / 90.0).powi(2)));
            change(&mut feeder);
            c.feeder = Some(feeder);
        })
    };
    let whole = with_feeder(&|_| ());
    expect(
        &made("voltage-drop-feeder", &whole).unwrap(),
        Some(true),
        2.1267,
        3.0,
    );
    expect(
        &made("voltage-drop-total", &whole).unwrap(),
        Some(true),
        3.3051,
        5.0,
    );
    // 142 ft: 3.0199 %.
    let long = with_feeder(&|f| f.length = Some(Length::from_metre(142.0 * 0.3048)));
    expect(
        &made("voltage-drop-feeder", &long).unwrap(),
        Some(false),
        3.0199,
        3.0,
    );
    let unloaded = with_feeder(&|f| f.load = None);
    undecided(
        &made("voltage-drop-feeder", &unloaded).unwrap(),
        &["feeder.load"],
    );
    undecided(
        &made("voltage-drop-total", &unloaded).unwrap(),
        &["feeder.load"],
    );
    assert_eq!(made("voltage-drop-feeder", &circuit(|_| ())), None);
}

/// Both conductors at 75 °C: 2 × 48² × 0.491 × 0.060 = 135.75 W of 11,520 W, 1.1784 %, of
/// 3,500 kWh a year 41.244 kWh: in a two-wire circuit the share lost is the share dropped.
#[test]
fn yearly_loss() {
    let found = check("run-loss", |c| {
        forty_eight(c);
        c.hottest_air = Some(celsius(75.0 - 45.0 * (48.0f64 / 65.0).powi(2)));
    });
    assert_eq!(
        (found.limit, found.holds, found.unit),
        (None, Some(true), "kWh")
    );
    assert!(
        (found.value.unwrap() - 41.244).abs() < 5e-4,
        "{:?}",
        found.value
    );
    let Value::Power(loss) = found.values["loss"] else {
        panic!("{:?}", found.values);
    };
    assert!((loss.watt() - 135.7517).abs() < 1e-3, "{loss:?}");
    undecided(
        &check("run-loss", |c| c.conductors.length = None),
        &["conductors.length"],
    );
}

/// 110.14: aluminium under every terminal's own mark; not asked of copper.
#[test]
fn aluminium_terminations() {
    let of = |marks: [Option<MarkedFor>; 2]| {
        check("aluminium-termination", |c| {
            c.conductors.material = Material::Aluminium;
            c.conductors.size = size("4 AWG");
            for (connection, mark) in c.places[0].connections.iter_mut().zip(marks) {
                connection.marked = mark;
            }
        })
    };
    let (cu, al, both) = (
        Some(MarkedFor::Copper),
        Some(MarkedFor::Aluminium),
        Some(MarkedFor::Both),
    );
    assert_eq!(of([both, al]).holds, Some(true));
    assert_eq!(of([both, cu]).holds, Some(false));
    assert_eq!(of([None, cu]).holds, Some(false), "one is enough");
    undecided(&of([both, None]), &["places.connections.marked"]);
    assert_eq!(made("aluminium-termination", &circuit(|_| ())), None);
    // The stab on the busbar takes no conductor.
    let stab = check("aluminium-termination", |c| {
        c.conductors.material = Material::CopperCladAluminium;
        c.places[0].connections[0].kind = ConnectionKind::BusStab;
        c.places[0].connections[1].marked = both;
    });
    assert_eq!(stab.holds, Some(true));
}

#[test]
fn splices() {
    let of = |count: usize| {
        check("splices", |c| {
            let leg = c.places[0].connections[0].clone();
            c.places[0].connections.extend((0..count).map(|i| {
                let mut splice = leg.clone();
                splice.id = format!("splice-{i}");
                splice.kind = ConnectionKind::Splice;
                splice
            }));
        })
    };
    expect(&of(0), Some(true), 0.0, 1.0);
    expect(&of(1), Some(true), 1.0, 1.0);
    expect(&of(2), Some(false), 2.0, 1.0);
    // One splice in each of two legs is one in a leg.
    let both = check("splices", |c| {
        for connection in &mut c.places[0].connections {
            connection.kind = ConnectionKind::Splice;
        }
    });
    expect(&both, Some(true), 1.0, 1.0);
}

fn plugged(c: &mut Circuit, configuration: &str) {
    c.charger.connection = ChargerConnection::Receptacle;
    c.breaker.ground_fault = GroundFault::Gfci;
    c.receptacle = Some(Receptacle {
        configuration: configuration.to_owned(),
        grade: Some(ReceptacleGrade::Industrial),
        rating: None,
        wet_location: None,
    });
}

/// 625.44: configurations for charging, at a voltage that they are made for.
#[test]
fn receptacle_configuration() {
    let of = |configuration: &str, volts: f64| {
        check("receptacle-configuration", |c| {
            plugged(c, configuration);
            c.supply.voltage = Voltage::from_volt(volts);
        })
        .holds
    };
    for (configuration, volts, holds) in [
        ("14-50", 240.0, true),
        ("NEMA 14-50R", 240.0, true),
        ("nema 6-50r", 208.0, true),
        ("6-50", 250.0, true),
        ("6-50", 277.0, false),
        ("14-50", 120.0, false),
        ("5-15", 120.0, true),
        ("5-15", 240.0, false),
        ("14-60", 240.0, false),
        ("L14-30", 240.0, false),
        ("10-50", 240.0, false),
    ] {
        assert_eq!(
            of(configuration, volts),
            Some(holds),
            "{configuration} at {volts} V"
        );
    }
    let absent = check("receptacle-configuration", |c| {
        plugged(c, "14-50");
        c.receptacle = None;
    });
    undecided(&absent, &["receptacle.configuration"]);
}

/// 210.21(B)(1): a single receptacle is rated for no less than its circuit.
#[test]
fn receptacle_rating() {
    let of = |configuration: &str, breaker: f64| {
        check("receptacle-rating", |c| {
            plugged(c, configuration);
            c.breaker.rating = amp(breaker);
        })
    };
    expect(&of("14-50", 50.0), Some(true), 50.0, 50.0);
    expect(&of("14-50", 60.0), Some(false), 50.0, 60.0);
    expect(&of("14-50", 40.0), Some(true), 50.0, 40.0);
    undecided(&of("L6-30", 30.0), &["receptacle.configuration"]);
}

#[test]
fn receptacle_grade() {
    let of = |load: f64, grade| {
        made(
            "receptacle-grade",
            &circuit(|c| {
                plugged(c, "14-50");
                c.charger.rated_current = amp(load);
                c.receptacle.as_mut().unwrap().grade = grade;
            }),
        )
    };
    let holds = |grade| of(40.0, Some(grade)).unwrap().holds;
    assert_eq!(holds(ReceptacleGrade::Residential), Some(false));
    assert_eq!(holds(ReceptacleGrade::Industrial), Some(true));
    assert_eq!(holds(ReceptacleGrade::EvListed), Some(true));
    undecided(&of(40.0, None).unwrap(), &["receptacle.grade"]);
    assert_eq!(of(16.0, Some(ReceptacleGrade::Residential)), None);
    assert!(of(16.01, Some(ReceptacleGrade::Residential)).is_some());
}

/// 625.54: Class A protection at every receptacle for charging; a hard-wired charger is not
/// covered by the clause.
#[test]
fn ground_fault() {
    let of = |ground_fault| {
        check("ground-fault", |c| {
            plugged(c, "14-50");
            c.breaker.ground_fault = ground_fault;
        })
    };
    assert_eq!(of(GroundFault::Gfci).holds, Some(true));
    assert_eq!(
        of(GroundFault::Gfpe).holds,
        Some(false),
        "30 mA protects equipment only"
    );
    assert_eq!(of(GroundFault::None).holds, Some(false));
    undecided(&of(GroundFault::Unknown), &["breaker.ground_fault"]);
    for rule in [
        "ground-fault",
        "receptacle-configuration",
        "receptacle-rating",
        "receptacle-grade",
    ] {
        assert_eq!(made(rule, &circuit(|_| ())), None, "{rule}");
    }
}

/// 625.40: more than 16 A or more than 120 V.
#[test]
fn individual_circuit() {
    let of = |load: f64, volts: f64, dedicated| {
        made(
            "individual-circuit",
            &circuit(|c| {
                c.charger.rated_current = amp(load);
                c.supply.voltage = Voltage::from_volt(volts);
                c.dedicated = dedicated;
            }),
        )
    };
    assert_eq!(of(16.0, 120.0, Some(false)), None);
    assert_eq!(of(16.1, 120.0, Some(false)).unwrap().holds, Some(false));
    assert_eq!(of(16.0, 120.1, Some(false)).unwrap().holds, Some(false));
    assert_eq!(of(40.0, 240.0, Some(true)).unwrap().holds, Some(true));
    undecided(&of(40.0, 240.0, None).unwrap(), &["dedicated"]);
}

fn disconnect(in_sight: Option<bool>, lockable: Option<bool>, plaque: Option<bool>) -> Disconnect {
    Disconnect {
        kind: None,
        in_sight,
        lockable,
        plaque,
    }
}

/// 625.43: more than 60 A, or more than 150 V to ground; lockable open, and found from the
/// charger.
#[test]
fn disconnecting_means() {
    let of = |told| {
        check("disconnect", |c| {
            c.charger.rated_current = amp(64.0);
            c.disconnect = told;
        })
    };
    let (yes, no) = (Some(true), Some(false));
    let holds = |a, b, c| of(Some(disconnect(a, b, c))).holds;
    assert_eq!(holds(yes, yes, None), Some(true));
    assert_eq!(holds(no, yes, yes), Some(true));
    assert_eq!(holds(no, yes, no), Some(false));
    assert_eq!(holds(yes, no, None), Some(false));
    assert_eq!(holds(None, no, None), Some(false));
    undecided(&of(None), &["disconnect.lockable", "disconnect.in_sight"]);
    undecided(&of(Some(disconnect(no, yes, None))), &["disconnect.plaque"]);
    undecided(
        &of(Some(disconnect(yes, None, None))),
        &["disconnect.lockable"],
    );
    let asked = |load: f64| {
        made(
            "disconnect",
            &circuit(|c| c.charger.rated_current = amp(load)),
        )
    };
    assert_eq!(asked(60.0), None);
    assert!(asked(60.1).is_some());
}

/// Voltage to ground: half of a split-phase service, 1/√3 of a wye system, all of a delta or of a
/// leg with neutral. 120 V, 120 V, 240 V, 277 V.
#[test]
fn voltage_to_ground() {
    let asked = |legs: &[&str], phases: u8, volts: f64, system| {
        let c = circuit(|c| {
            c.supply.legs = legs.iter().map(|l| (*l).to_owned()).collect();
            c.supply.phases = phases;
            c.supply.voltage = Voltage::from_volt(volts);
            c.supply.system = system;
            c.disconnect = Some(disconnect(Some(true), Some(true), None));
        });
        made("disconnect", &c).map(|c| (c.holds, c.missing))
    };
    let sound = Some((Some(true), vec![]));
    assert_eq!(asked(&["L1", "L2"], 1, 240.0, None), None);
    assert_eq!(asked(&["L1", "L2", "N"], 1, 240.0, None), None);
    assert_eq!(asked(&["L1", "L2"], 1, 208.0, Some(System::Wye)), None);
    assert_eq!(asked(&["L1", "N"], 1, 120.0, None), None);
    assert_eq!(asked(&["L1", "N"], 1, 240.0, None), sound);
    assert_eq!(asked(&["L1", "N"], 1, 277.0, None), sound);
    let three = ["L1", "L2", "L3"];
    assert_eq!(asked(&three, 3, 208.0, Some(System::Wye)), None);
    assert_eq!(asked(&three, 3, 480.0, Some(System::Wye)), sound);
    assert_eq!(
        asked(&three, 3, 480.0, None),
        sound,
        "277 V or 480 V, both over 150 V"
    );
    assert_eq!(asked(&three, 3, 240.0, Some(System::Delta)), sound);
    // Wye: 120 V; delta: 208 V. One that is there does no harm.
    assert_eq!(asked(&three, 3, 208.0, None), sound);
    let without = circuit(|c| {
        c.supply.legs = three.map(str::to_owned).to_vec();
        c.supply.phases = 3;
        c.supply.voltage = Voltage::from_volt(208.0);
        c.disconnect = Some(disconnect(Some(true), Some(false), None));
    });
    undecided(&made("disconnect", &without).unwrap(), &["supply.system"]);
}

/// Three loaded conductors count as three together, and the neutral of a car's charger as none.
#[test]
fn three_phases_load_three_conductors() {
    let found = check("conductor-ampacity", |c| {
        c.supply.phases = 3;
        c.supply.legs = ["L1", "L2", "L3", "N"].map(str::to_owned).to_vec();
    });
    assert_eq!(found.values["grouping"], Value::Count(3));
    expect(&found, Some(true), 55.0, 40.0);
}

/// Properties that no number can break: more load, hotter air, more company or a longer run never
/// turn a check that does not hold into one that does.
mod never_milder {
    use super::*;
    use proptest::prelude::*;

    fn any_circuit() -> impl Strategy<Value = Circuit> {
        let sizes: Vec<&str> = vec!["10 AWG", "8 AWG", "6 AWG", "4 AWG", "1 AWG", "2/0 AWG"];
        let wirings = vec![
            None,
            Some(Wiring::NmCable),
            Some(Wiring::UfCable),
            Some(Wiring::SeCable),
            Some(Wiring::Conduit),
        ];
        (
            prop::sample::select(sizes),
            prop::sample::select(wirings),
            prop::option::of(prop::sample::select(vec![60.0, 75.0])),
            prop::sample::select(vec![75.0, 90.0]),
            prop::option::of(2u16..50),
            6.0..80.0f64,
            prop::sample::select(vec![15.0, 30.0, 40.0, 50.0, 60.0, 100.0, 125.0]),
            -10.0..85.0f64,
            1.0..100.0f64,
        )
            .prop_map(
                |(gauge, wiring, terminal, insulation, count, load, rating, air, length)| {
                    circuit(|c| {
                        c.conductors.size = size(gauge);
                        c.conductors.wiring = wiring;
                        c.breaker.terminal_rating = terminal.map(celsius);
                        c.conductors.insulation = celsius(insulation);
                        c.conductors.current_carrying = count;
                        c.charger.rated_current = amp(load);
                        c.breaker.rating = amp(rating);
                        c.hottest_air = Some(celsius(air));
                        c.conductors.length = Some(Length::from_metre(length));
                    })
                },
            )
    }

    /// Holding is 2, cannot tell 1, does not hold 0.
    fn order(holds: Option<bool>) -> u8 {
        holds.map_or(1, |h| if h { 2 } else { 0 })
    }

    fn compare(easier: &Circuit, harder: &Circuit, rules: &[&str]) -> Result<(), TestCaseError> {
        for rule in rules {
            let (a, b) = (made(rule, easier), made(rule, harder));
            let (Some(a), Some(b)) = (a, b) else { continue };
            prop_assert!(order(b.holds) <= order(a.holds), "{a:?}\n{b:?}");
        }
        Ok(())
    }

    proptest! {
        #[test]
        fn with_more_load(c in any_circuit(), more in 0.0..40.0f64) {
            let mut harder = c.clone();
            harder.charger.rated_current = amp(c.charger.rated_current.ampere() + more);
            compare(&c, &harder, &[
                "continuous-load", "conductor-continuous", "conductor-ampacity", "voltage-drop",
            ])?;
        }

        #[test]
        fn in_hotter_air(c in any_circuit(), more in 0.0..40.0f64) {
            let mut harder = c.clone();
            harder.hottest_air = c.hottest_air.map(|t| celsius(t.celsius() + more));
            compare(&c, &harder, &["conductor-ampacity", "conductor-protection", "voltage-drop"])?;
        }

        #[test]
        fn in_more_company(c in any_circuit(), more in 0u16..40) {
            let mut harder = c.clone();
            harder.conductors.current_carrying = c.conductors.current_carrying.map(|n| n + more);
            compare(&c, &harder, &["conductor-ampacity", "conductor-protection"])?;
        }

        #[test]
        fn over_a_longer_run(c in any_circuit(), more in 0.0..100.0f64) {
            let mut harder = c.clone();
            harder.conductors.length =
                c.conductors.length.map(|l| Length::from_metre(l.metre() + more));
            compare(&c, &harder, &["voltage-drop"])?;
        }

        /// What is stated later can only decide: it never reverses a decided check.
        #[test]
        fn a_fact_told_never_turns_a_decided_check(c in any_circuit()) {
            let mut open = c.clone();
            open.breaker.terminal_rating = None;
            open.conductors.wiring = None;
            open.conductors.current_carrying = None;
            // With a count stated, the wiring no longer says whether the conductors are alone.
            let mut told = c.clone();
            told.conductors.current_carrying.get_or_insert(2);
            for rule in ["conductor-continuous", "conductor-ampacity"] {
                let (a, b) = (made(rule, &open), made(rule, &told));
                let (Some(a), Some(b)) = (a, b) else { continue };
                prop_assert!(a.holds.is_none() || a.holds == b.holds, "{a:?}\n{b:?}");
                // What is open says why; what does not hold may say what it was taken for.
                for check in [a, b] {
                    prop_assert!(check.holds.is_some() || !check.missing.is_empty());
                    prop_assert!(check.holds != Some(true) || check.missing.is_empty());
                }
            }
        }
    }
}

/// What a terminal makes of its voltage to ground: the disconnecting means is asked for above
/// 150 V (NFPA 70 (2023), 625.43).
#[test]
fn voltage_to_ground_by_the_supply() {
    let asked = |phases: u8, legs: &[&str], volts: f64, system: Option<System>| {
        let change = |c: &mut Circuit| {
            c.supply.phases = phases;
            c.supply.legs = legs.iter().map(|l| (*l).to_owned()).collect();
            c.supply.voltage = Voltage::from_volt(volts);
            c.supply.system = system;
            c.disconnect = Some(disconnect(Some(false), Some(false), Some(false)));
        };
        made("disconnect", &circuit(change)).map(|check| check.holds)
    };
    // One line to neutral has it all; two lines of a split-phase service half.
    assert_eq!(asked(1, &["L1", "N"], 120.0, None), None);
    assert_eq!(asked(1, &["L1", "N"], 150.0, None), None);
    assert_eq!(asked(1, &["L1", "N"], 240.0, None), Some(Some(false)));
    assert_eq!(asked(1, &["L1", "L2"], 240.0, None), None);
    // 208 V in a wye system is 120 V to ground, 480 V is 277 V.
    assert_eq!(
        asked(3, &["L1", "L2", "L3"], 208.0, Some(System::Wye)),
        None
    );
    assert_eq!(
        asked(3, &["L1", "L2", "L3"], 480.0, Some(System::Wye)),
        Some(Some(false))
    );
    // Two lines of a three-phase system that nobody named: 139 V or all 240 V.
    assert_eq!(asked(3, &["L1", "L2"], 240.0, None), Some(None));
    // In a delta system one leg may have the whole 240 V.
    assert_eq!(
        asked(3, &["L1", "L2", "L3"], 240.0, Some(System::Delta)),
        Some(Some(false))
    );
}

/// A cable that may be corrected from its 90 °C column (334.80) is not, where its insulation is
/// for less.
#[test]
fn a_cable_is_corrected_from_no_column_above_its_insulation() {
    let from = |insulation: f64| {
        let told = check("conductor-ampacity", |c| {
            c.conductors.wiring = Some(Wiring::NmCable);
            c.conductors.insulation = Temperature::from_celsius(insulation);
        });
        match told.values["from_column"] {
            Value::Temperature(t) => t.celsius(),
            ref other => panic!("{other:?}"),
        }
    };
    assert!((from(90.0) - 90.0).abs() < 1e-9);
    assert!((from(75.0) - 75.0).abs() < 1e-9);
}

/// The lowest rating of the breaker's and the other terminals decides (110.14(C)).
#[test]
fn the_lowest_terminal_decides_the_column() {
    let column = |breaker: Option<f64>, elsewhere: Option<f64>| {
        let told = check("conductor-ampacity", |c| {
            c.conductors.wiring = Some(Wiring::Conduit);
            c.breaker.terminal_rating = breaker.map(Temperature::from_celsius);
            for connection in &mut c.places[0].connections {
                connection.rating = elsewhere.map(Temperature::from_celsius);
            }
        });
        match told.values["column"] {
            Value::Temperature(t) => t.celsius().round(),
            ref other => panic!("{other:?}"),
        }
    };
    assert_eq!(column(Some(75.0), None), 75.0);
    assert_eq!(column(Some(75.0), Some(60.0)), 60.0);
    assert_eq!(column(Some(75.0), Some(90.0)), 75.0);
    assert_eq!(column(Some(60.0), Some(75.0)), 60.0);
    // Of several, the lowest, whichever comes first.
    for ratings in [[60.0, 75.0], [75.0, 60.0]] {
        let told = check("conductor-ampacity", |c| {
            c.conductors.wiring = Some(Wiring::Conduit);
            c.breaker.terminal_rating = Some(Temperature::from_celsius(90.0));
            for (connection, rating) in c.places[0].connections.iter_mut().zip(ratings) {
                connection.rating = Some(Temperature::from_celsius(rating));
            }
        });
        let column = &told.values["column"];
        assert!(
            matches!(column, Value::Temperature(t) if t.celsius().round() == 60.0),
            "{ratings:?}: {column:?}"
        );
    }
}
