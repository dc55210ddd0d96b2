//! One cause planted in a sound visit is one finding, which says whether charging may go on and by when
//! the cause is removed. The values are made up; the grades follow the rules that are named beside them.

use crate::kinds::{hotter, read, reading, text};
use chrono::NaiveDate;
use warmlug::assess::{Charging, assess};
use warmlug::quantity::{ConductorSize, Current, Length, Temperature, Torque, Voltage};
use warmlug::rules::built_in;
use warmlug::visit::{Circuit, Condition, Grade, Material, TorqueFound};

/// Circuit, what is planted, its finding, whether charging may go on, and in how many months the cause
/// is removed: 0 means before the circuit is used.
type Case = (
    &'static str,
    &'static str,
    fn(&mut Circuit),
    (&'static str, Grade),
    Charging,
    u32,
);

fn seen(circuit: &mut Circuit, place: &str, condition: Condition) {
    let mut looked = circuit.looked_at.iter_mut();
    looked.find(|l| l.place == place).unwrap().seen = vec![condition];
}

fn moved(circuit: &mut Circuit, connection: &str) {
    let mut checks = circuit.torque.iter_mut();
    checks.find(|t| t.connection == connection).unwrap().found = TorqueFound::Moved;
}

fn left(circuit: &mut Circuit, connection: &str, inch_pounds: f64) {
    let mut checks = circuit.torque.iter_mut();
    let check = checks.find(|t| t.connection == connection).unwrap();
    // 1 lbf·in is 0.112984829 N·m.
    check.left = Some(Torque::from_newton_metre(inch_pounds * 0.112_984_829));
}

fn all_hotter(circuit: &mut Circuit, by: f64) {
    let ids: Vec<String> = circuit
        .connections()
        .filter(|(_, c)| !matches!(c.leg.as_str(), "G" | "PE" | "N"))
        .map(|(_, c)| c.id.clone())
        .collect();
    for id in ids {
        hotter(circuit, &id, by);
    }
}

fn cases() -> Vec<Case> {
    use Charging::{AsUsual, NotAtAll};
    use Grade::{Note, Repair, Stop, Watch};
    let most = Charging::AtMost(Current::from_ampere(24.0));
    vec![
        // A screw that moved, and one left under what is specified.
        (
            "switch",
            "moved",
            |c| moved(c, "disconnect-line-L1"),
            ("loose-screw", Note),
            AsUsual,
            12,
        ),
        (
            "switch",
            "left loose",
            |c| left(c, "breaker-L1", 20.0),
            ("loose-screw", Repair),
            NotAtAll,
            0,
        ),
        (
            "switch",
            "left too tight",
            |c| left(c, "breaker-L1", 70.0),
            ("overtightened-screw", Repair),
            AsUsual,
            1,
        ),
        // Moved, 12 K hotter than its sister (4 to 15 K: NETA MTS, Table 100.18).
        (
            "switch",
            "moved and hot",
            |c| {
                moved(c, "charger-L1");
                hotter(c, "charger-L1", 12.0);
            },
            ("poor-joint", Watch),
            AsUsual,
            6,
        ),
        (
            "switch",
            "moved, hot and seen",
            |c| {
                moved(c, "charger-L1");
                hotter(c, "charger-L1", 24.0);
                seen(c, "charger", Condition::Discoloured);
            },
            ("poor-joint", Repair),
            NotAtAll,
            0,
        ),
        (
            "switch",
            "70 K hotter",
            |c| hotter(c, "breaker-L2", 70.0),
            ("poor-joint", Stop),
            NotAtAll,
            0,
        ),
        (
            "single-phase",
            "the neutral",
            |c| hotter(c, "charger-N", 24.0),
            ("poor-joint", Repair),
            NotAtAll,
            0,
        ),
        // What was seen, without naming a connection.
        (
            "receptacle",
            "melted",
            |c| seen(c, "receptacle", Condition::Melted),
            ("damaged-part", Stop),
            NotAtAll,
            0,
        ),
        (
            "receptacle",
            "melted plug",
            |c| seen(c, "plug", Condition::Melted),
            ("damaged-part", Stop),
            NotAtAll,
            0,
        ),
        (
            "sub-panel",
            "corroded",
            |c| seen(c, "charger", Condition::Corroded),
            ("damaged-part", Repair),
            NotAtAll,
            0,
        ),
        (
            "three-phase",
            "dust",
            |c| seen(c, "charger", Condition::Dust),
            ("condition", Note),
            AsUsual,
            12,
        ),
        // Alike at one place, and everywhere: 30 K over the air (21 to 40 K: NETA MTS, Table 100.18).
        (
            "switch",
            "one place",
            |c| {
                hotter(c, "charger-L1", 25.0);
                hotter(c, "charger-L2", 25.0);
            },
            ("hot-place", Watch),
            AsUsual,
            6,
        ),
        (
            "switch",
            "everywhere",
            |c| all_hotter(c, 25.0),
            ("hot-circuit", Watch),
            AsUsual,
            6,
        ),
        // 10 AWG copper carries 30 A at 60 °C, which is 24 A for hours (NFPA 70, Table 310.16 and 210.20(A)).
        (
            "switch",
            "thin wires",
            |c| c.conductors.size = ConductorSize::Awg(10),
            ("undersized-conductor", Repair),
            most,
            1,
        ),
        (
            "switch",
            "thin wires, hot",
            |c| {
                c.conductors.size = ConductorSize::Awg(10);
                all_hotter(c, 20.0);
            },
            ("undersized-conductor", Repair),
            most,
            1,
        ),
        (
            "switch",
            "breaker too large",
            |c| c.breaker.rating = Current::from_ampere(100.0),
            ("oversized-breaker", Repair),
            AsUsual,
            1,
        ),
        (
            "switch",
            "one pole",
            |c| c.breaker.poles = Some(1),
            ("breaker-poles", Repair),
            NotAtAll,
            0,
        ),
        (
            "switch",
            "a long run",
            |c| c.conductors.length = Some(Length::from_metre(122.0)),
            ("long-run", Note),
            AsUsual,
            12,
        ),
        (
            "switch",
            "shared",
            |c| c.dedicated = Some(false),
            ("individual-circuit", Repair),
            AsUsual,
            1,
        ),
        // 30 mA for sockets and charging points (IEC 60364-7-722, 722.531.3).
        (
            "three-phase",
            "300 mA",
            |c| c.rcd.as_mut().unwrap().rating = Some(Current::from_ampere(0.3)),
            ("shock-protection", Repair),
            NotAtAll,
            0,
        ),
        (
            "switch",
            "not dead",
            |c| c.isolation[0].dead[0].1 = Voltage::from_volt(120.0),
            ("isolation-not-dead", Stop),
            NotAtAll,
            0,
        ),
        (
            "switch",
            "warm before charging",
            |c| {
                for id in ["charger-L1", "charger-L2"] {
                    for round in [0, 1, 2] {
                        let t = &mut reading(c, round, id).temperatures[0];
                        *t = Temperature::from_celsius(t.celsius() + 8.0);
                    }
                }
            },
            ("warm-surroundings", Note),
            AsUsual,
            12,
        ),
        (
            "switch",
            "no torque on record",
            |c| {
                for p in &mut c.places {
                    for one in &mut p.connections {
                        one.torque = None;
                    }
                }
            },
            ("torque-not-known", Note),
            AsUsual,
            12,
        ),
        (
            "switch",
            "aluminum in copper terminals",
            |c| {
                c.conductors.material = Material::Aluminium;
                c.conductors.size = ConductorSize::Awg(2);
                for p in &mut c.places {
                    for one in &mut p.connections {
                        one.marked = Some(warmlug::visit::MarkedFor::Copper);
                    }
                }
            },
            ("unsuitable-terminals", Repair),
            AsUsual,
            1,
        ),
    ]
}

#[test]
fn one_cause_is_one_finding_with_an_answer_and_a_date() {
    for (kind, plant, change, finding, charging, months) in cases() {
        let mut visit = read(&text(kind));
        change(&mut visit.circuits[0]);
        let a = assess(&visit, built_in(&visit.rules).unwrap(), &[]);
        let open = a.findings.iter().filter(|f| f.grade > Grade::Pass);
        let open: Vec<_> = open
            .map(|f| ((f.cause.word(), f.grade), f.charging, f.deadline))
            .collect();
        // The visits are of 6 October 2026.
        let day = |months: u32| {
            let month = 10 + months;
            let (year, month) = (2026 + (month - 1) / 12, (month - 1) % 12 + 1);
            NaiveDate::from_ymd_opt(i32::try_from(year).unwrap(), month, 6)
        };
        let deadline = day(months).filter(|_| months > 0);
        assert_eq!(open, [(finding, charging, deadline)], "{kind}, {plant}");
        assert_eq!(a.charging, charging, "{kind}, {plant}");
        assert!(a.complete, "{kind}, {plant}: {:?}", a.limitations);
    }
}
