//! Whole visits, each with one thing planted: a part left out, a unit mixed up, work in the wrong
//! order, or one cause. None reads as sound, one cause is one finding, and page 1 says whether to
//! charge, what to do and by when.
//!
//! The sound visit and the plants are made up; it rises by 5 to 6 K everywhere, with a time constant of
//! 10 min.

use warmlug::assess::{Assessment, Charging, Earlier, Outcome, assess};
use warmlug::compose::{Speaker, Wording};
use warmlug::record::accepted::Accepted;
use warmlug::rules::built_in;
use warmlug::visit::{self, Grade, Visit};

/// A sound, complete, periodic visit, measured hot first.
const SOUND: &str = r#"
visit: { number: 2026-0147, date: 2026-10-06, reason: periodic, rules: us }
print: { units: us, paper: letter, language: en }
units: { temperature: °F, torque: in·lb, length: ft }
inspector: { name: Ada Ohm }
client: { name: Lee Park, role: owner }
site: { name: 12 Maple Court }
instruments:
  gun: { kind: infrared-thermometer, serial: G-1, calibration_due: 2027-02-10, accuracy: { of_reading: 1 %, at_least: 1 °C }, emissivity: 0.95, distance_to_spot: "100:1" }
  driver: { kind: torque-screwdriver, serial: D-1, calibration_due: 2027-01-15, accuracy: { of_reading: 6 % } }
  tester: { kind: voltage-tester, serial: T-1, calibration_due: 2027-01-15 }
  clamp: { kind: clamp-meter, serial: C-1, calibration_due: 2027-01-15, accuracy: { of_reading: 2 % } }
circuits:
  - id: bay-1
    charger: { rated_current: 40 A, connection: hardwired }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 50 A, poles: 2, terminal_rating: 75 °C, ground_fault: gfci }
    conductors: { material: copper, size: 6 AWG, insulation: 90 °C, wiring: nm-cable, length: 55, current_carrying: 2 }
    dedicated: yes
    hottest_air: 104
    places:
      - id: breaker
        name: Breaker terminals
        connections:
          - { id: breaker-L1, leg: L1, kind: screw-terminal, torque: 45, surface: insulation, width: 0.4 in }
          - { id: breaker-L2, leg: L2, kind: screw-terminal, torque: 45, surface: insulation, width: 0.4 in }
          - { id: breaker-G, leg: G, kind: screw-terminal, torque: 35 }
      - id: charger
        name: Charger terminals
        connections:
          - { id: charger-L1, leg: L1, kind: screw-terminal, torque: 25, surface: insulation, width: 0.4 in }
          - { id: charger-L2, leg: L2, kind: screw-terminal, torque: 25, surface: insulation, width: 0.4 in }
          - { id: charger-G, leg: G, kind: screw-terminal, torque: 25 }
    isolation:
      - { tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: yes, when: before }
      - { tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: yes, when: after }
    looked_at:
      - { place: breaker, seen: clean }
      - { place: charger, seen: clean }
    torque:
      - { connection: breaker-L1, found: held, left: 45, with: driver, when: after, cooled_to: 66 }
      - { connection: breaker-L2, found: held, left: 45, with: driver, when: after, cooled_to: 66 }
      - { connection: breaker-G, found: held, left: 35, with: driver, when: after, cooled_to: 66 }
      - { connection: charger-L1, found: held, left: 25, with: driver, when: after, cooled_to: 66 }
      - { connection: charger-L2, found: held, left: 25, with: driver, when: after, cooled_to: 66 }
      - { connection: charger-G, found: held, left: 25, with: driver, when: after, cooled_to: 66 }
    heat:
      with: gun
      charging_from: "09:50"
      rounds:
        - { at: "09:40", air: 66, current: 0 A, readings: { breaker-L1: 66, breaker-L2: 66, charger-L1: 66, charger-L2: 66 } }
        - at: "10:05"
          air: 66
          current: 40 A
          readings: { breaker-L1: { temperature: 74.0, distance: 12 in }, breaker-L2: { temperature: 74.0, distance: 12 in }, charger-L1: { temperature: 73.0, distance: 12 in }, charger-L2: { temperature: 73.0, distance: 12 in } }
        - at: "10:55"
          air: 66
          current: 40 A
          readings: { breaker-L1: { temperature: 76.3, distance: 12 in }, breaker-L2: { temperature: 76.3, distance: 12 in }, charger-L1: { temperature: 75.0, distance: 12 in }, charger-L2: { temperature: 75.0, distance: 12 in } }
"#;

/// The sound visit with texts replaced; every text must be there.
fn planted(changes: &[(&str, &str)]) -> String {
    let mut text = SOUND.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    text
}

fn read(text: &str) -> Visit {
    visit::read(text, "visit.yaml", &Accepted).unwrap_or_else(|e| panic!("{e}"))
}

/// An earlier visit half a year before, all connections listed.
fn before() -> Earlier {
    let text = planted(&[
        ("date: 2026-10-06", "date: 2026-04-02"),
        ("2026-0147", "2026-0044"),
    ]);
    let visit = read(&text);
    Earlier::new(&visit, &assess(&visit, built_in("us").unwrap(), &[]))
}

fn judged(visit: &Visit) -> Assessment {
    assess(visit, built_in("us").unwrap(), &[before()])
}

/// Findings worse than `pass`, each with its grade.
fn open(a: &Assessment) -> Vec<(String, Grade)> {
    let open = a.findings.iter().filter(|f| f.grade > Grade::Pass);
    open.map(|f| (f.cause.word().to_owned(), f.grade)).collect()
}

/// What page 1 has to answer, and that its answers agree with each other.
fn page_one(name: &str, visit: &Visit, a: &Assessment) {
    let wording = Wording::built_in("en").unwrap();
    let speaker = Speaker::new(visit, a, built_in("us").unwrap(), wording);
    let answer = speaker.may_charge_at_all().unwrap();
    let expected = match (a.charging, a.complete) {
        (Charging::NotAtAll, _) => "No.",
        (Charging::AtMost(_), _) => "Yes, but with no more than",
        (Charging::AsUsual, true) => "Yes, as usual.",
        (Charging::AsUsual, false) => "Nothing that was checked forbids it. But not everything",
    };
    assert!(answer.starts_with(expected), "{name}: {answer}");
    let verdict = speaker.verdict();
    let sound = a.complete && a.outcome == Outcome::Satisfactory;
    assert_eq!(
        verdict.title == "Satisfactory",
        sound,
        "{name}: {}",
        verdict.title
    );
    assert_eq!(
        verdict.title.contains("not complete"),
        !a.complete && a.outcome != Outcome::Unsatisfactory,
        "{name}: {}",
        verdict.title
    );
    assert!(!speaker.next_due().is_empty(), "{name}");
    let sooner = speaker.next_due().contains("because of the points above");
    assert_eq!(
        sooner,
        a.next_due.basis == "watch" && a.next_due.date.is_some(),
        "{name}: {}",
        speaker.next_due()
    );
    for finding in a.findings.iter().filter(|f| f.grade > Grade::Pass) {
        let said = speaker.diagnosis_referring(finding);
        assert!(
            !said.text.is_empty() && !said.action.is_empty(),
            "{name}: {said:?}"
        );
        // A date, or before the circuit is used, as for everything else there.
        let circuit = a
            .circuits
            .iter()
            .find(|c| Some(&c.id) == finding.circuit.as_ref());
        assert_eq!(
            finding.deadline.is_none(),
            circuit.is_some_and(|c| c.charging == Charging::NotAtAll),
            "{name}"
        );
        if finding.grade >= Grade::Repair {
            let due = a.next_due.date;
            assert!(
                due.is_none() || due <= Some(visit.date + chrono::Days::new(31)),
                "{name}: {due:?}"
            );
        }
    }
    if !a.complete {
        let missing = a.limitations.iter().filter(|l| l.incomplete);
        assert!(missing.clone().count() > 0, "{name}");
        for limitation in missing {
            assert!(!speaker.limitation(limitation).is_empty(), "{name}");
        }
    }
}

/// Judges the sound visit with texts replaced and checks its first page; `None` if the file is refused.
fn first_page(name: &str, changes: &[(&str, &str)]) -> Option<Assessment> {
    let visit = visit::read(&planted(changes), "visit.yaml", &Accepted).ok()?;
    let a = judged(&visit);
    page_one(name, &visit, &a);
    Some(a)
}

/// The same, of a visit that must not be refused.
fn read_first_page(name: &str, changes: &[(&str, &str)]) -> Assessment {
    first_page(name, changes).unwrap_or_else(|| panic!("{name}: the file is refused"))
}

#[test]
fn the_visit_without_a_plant_is_sound() {
    let visit = read(SOUND);
    let a = judged(&visit);
    assert_eq!(open(&a), []);
    assert!(a.complete, "{:?}", a.limitations);
    assert_eq!(a.outcome, Outcome::Satisfactory);
    page_one("sound", &visit, &a);
}

/// Parts, legs, readings and proofs left out: not complete, and nothing else is found.
#[test]
fn a_visit_with_a_part_missing_is_not_complete() {
    let cases: &[(&str, &[(&str, &str)])] = &[
        (
            "the receptacle's end",
            &[("connection: hardwired", "connection: receptacle")],
        ),
        (
            "the breaker",
            &[
                ("id: breaker\n", "id: box\n"),
                ("place: breaker,", "place: box,"),
            ],
        ),
        (
            "a switch",
            &[(
                "dedicated: yes",
                "dedicated: yes\n    disconnect: { kind: switch, in_sight: yes, lockable: yes }",
            )],
        ),
        (
            "a leg in the last round",
            &[("breaker-L1: { temperature: 76.3, distance: 12 in }, ", "")],
        ),
        (
            "the leg in every round",
            &[
                ("breaker-L1: 66, ", ""),
                ("breaker-L1: { temperature: 74.0, distance: 12 in }, ", ""),
                ("breaker-L1: { temperature: 76.3, distance: 12 in }, ", ""),
            ],
        ),
        (
            "a connection of the earlier visit",
            &[
                (
                    "          - { id: charger-G, leg: G, kind: screw-terminal, torque: 25 }\n",
                    "",
                ),
                (
                    "      - { connection: charger-G, found: held, left: 25, with: driver, when: after, cooled_to: 66 }\n",
                    "",
                ),
            ],
        ),
        (
            "the air of the last round",
            &[("at: \"10:55\"\n          air: 66\n", "at: \"10:55\"\n")],
        ),
        (
            "a pair of the proof",
            &[(
                "L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: yes, when: before",
                "L1-G: 0 V }, proved_after: 241 V, locked: yes, when: before",
            )],
        ),
        ("the lock", &[("locked: yes, when: after", "when: after")]),
        (
            "a torque",
            &[(
                "      - { connection: charger-L1, found: held, left: 25, with: driver, when: after, cooled_to: 66 }\n",
                "",
            )],
        ),
        (
            "a look",
            &[("      - { place: charger, seen: clean }\n", "")],
        ),
        (
            "the proof before the covers were opened",
            &[("locked: yes, when: before", "locked: yes, when: after")],
        ),
        (
            "the hour at full load",
            &[("at: \"10:55\"", "at: \"10:20\"")],
        ),
    ];
    for (name, changes) in cases {
        let a = read_first_page(name, changes);
        assert!(!a.complete, "{name}: {:?}", open(&a));
        assert!(
            open(&a).iter().all(|(_, grade)| *grade <= Grade::Watch),
            "{name}: {:?}",
            open(&a)
        );
    }
}

/// A unit mixed up, or a digit lost: refused by the reader, or not sound.
#[test]
fn a_unit_mixed_up_does_not_read_as_sound() {
    let cases: &[(&str, &[(&str, &str)])] = &[
        (
            "Celsius typed as Fahrenheit",
            &[(
                "breaker-L1: { temperature: 76.3,",
                "breaker-L1: { temperature: 24.6,",
            )],
        ),
        (
            "the air in Celsius",
            &[(
                "at: \"10:55\"\n          air: 66\n",
                "at: \"10:55\"\n          air: 19\n",
            )],
        ),
        (
            "Fahrenheit typed as Celsius",
            &[(
                "breaker-L1: { temperature: 76.3,",
                "breaker-L1: { temperature: 76.3 °C,",
            )],
        ),
        (
            "foot-pounds",
            &[(
                "breaker-L1, found: held, left: 45,",
                "breaker-L1, found: held, left: 45 ft·lb,",
            )],
        ),
        (
            "newton metres",
            &[(
                "breaker-L1, found: held, left: 45,",
                "breaker-L1, found: held, left: 45 N·m,",
            )],
        ),
        (
            "a tenth of the current",
            &[("  current: 40 A", "  current: 4 A")],
        ),
        (
            "an emissivity turned round",
            &[("emissivity: 0.95", "emissivity: 0.59")],
        ),
        (
            "millimetres for square millimetres",
            &[("size: 6 AWG", "size: 16 AWG")],
        ),
        (
            "feet for inches",
            &[(
                "temperature: 76.3, distance: 12 in",
                "temperature: 76.3, distance: 12 ft",
            )],
        ),
        (
            "millimetres for inches",
            &[(
                "temperature: 76.3, distance: 12 in",
                "temperature: 76.3, distance: 12 mm",
            )],
        ),
        ("a width in feet", &[("width: 0.4 in", "width: 0.4 ft")]),
        // 167 °F are 75 °C, and 194 °F are 90 °C.
        (
            "the terminals' rating",
            &[("terminal_rating: 75 °C", "terminal_rating: 167 °C")],
        ),
        (
            "the insulation's rating",
            &[("insulation: 90 °C", "insulation: 194 °C")],
        ),
        // 40 °C are 104 °F; the air was 66 °F on the day.
        (
            "the hottest air",
            &[("hottest_air: 104", "hottest_air: 40")],
        ),
        (
            "millivolts for volts",
            &[("proved_before: 241 V", "proved_before: 241 mV")],
        ),
    ];
    for (name, changes) in cases {
        if let Some(a) = first_page(name, changes) {
            assert!(!a.complete || !open(&a).is_empty(), "{name} reads as sound");
        }
    }
}

/// The sound visit with every temperature of its rounds, or only those of rounds with or without
/// load, changed from °F to °C as its number; `air` and `readings` choose which.
fn in_celsius(text: &str, rounds: &[usize], air: bool, readings: bool) -> String {
    let mut visit = read(text);
    let number = |t: warmlug::quantity::Temperature| {
        let tenths = (t.celsius() * 10.0).round() / 10.0;
        warmlug::quantity::Temperature::from_fahrenheit(tenths)
    };
    let heat = visit.circuits[0].heat.as_mut().unwrap();
    for i in rounds {
        let round = &mut heat.rounds[*i];
        if air {
            round.air = round.air.map(number);
        }
        for (_, reading) in &mut round.readings {
            if readings {
                reading.temperatures = reading.temperatures.iter().copied().map(number).collect();
            }
        }
    }
    visit::write(&visit)
}

/// Whole rounds in °C, typed where °F are the units of the file: one question about each round, or
/// one about the series; never a finding, since what is meant is sound.
#[test]
fn whole_rounds_in_the_other_unit_are_asked_for() {
    let first = planted(&[(", when: after, cooled_to: 66", ", when: before")]);
    let said = |text: &str| {
        let visit = read(text);
        let a = judged(&visit);
        page_one("rounds in °C", &visit, &a);
        assert_eq!(open(&a), []);
        let ids = a.limitations.iter().map(|l| l.id.word());
        (a.complete, ids.collect::<Vec<_>>().join(" "))
    };
    // The torque came first, so nothing else in the file shows that it was not freezing.
    for text in [SOUND, &first] {
        let all = in_celsius(text, &[0, 1, 2], true, true);
        assert_eq!(said(&all), (false, "series-in-doubt".to_owned()));
        let cold = in_celsius(text, &[0], true, true);
        assert_eq!(said(&cold), (false, "round-in-doubt".to_owned()));
        let loaded = in_celsius(text, &[1, 2], true, true);
        let two = "round-in-doubt round-in-doubt".to_owned();
        assert_eq!(said(&loaded), (false, two));
        let air = in_celsius(text, &[0], true, false);
        assert_eq!(said(&air), (false, "round-in-doubt".to_owned()));
        let connections = in_celsius(text, &[0], false, true);
        assert_eq!(said(&connections), (false, "readings-in-doubt".to_owned()));
        let connections = in_celsius(text, &[0, 1, 2], false, true);
        let three = "readings-in-doubt readings-in-doubt readings-in-doubt".to_owned();
        assert_eq!(said(&connections), (false, three));
    }
    // Looked at again: it was a frosty day, and the visit is sound.
    let frosty = in_celsius(&first, &[0, 1, 2], true, true).replacen(
        "          current: 0 A",
        "          confirmed: yes\n          current: 0 A",
        1,
    );
    let a = judged(&read(&frosty));
    assert!(a.complete && open(&a).is_empty(), "{:?}", a.limitations);
    // °F typed as °C, before charging began.
    let mut visit = read(&first);
    visit.print.units = warmlug::visit::Units::Si;
    let heat = visit.circuits[0].heat.as_mut().unwrap();
    let shown = |t: warmlug::quantity::Temperature| {
        warmlug::quantity::Temperature::from_celsius(t.fahrenheit())
    };
    heat.rounds[0].air = heat.rounds[0].air.map(shown);
    for (_, reading) in &mut heat.rounds[0].readings {
        reading.temperatures = reading.temperatures.iter().copied().map(shown).collect();
    }
    let a = judged(&visit);
    let ids: Vec<&str> = a.limitations.iter().map(|l| l.id.word()).collect();
    assert_eq!(ids, ["round-in-doubt"]);
    assert_eq!(open(&a), []);
}

/// The specified torque itself in the wrong unit: no screw for such a conductor takes it.
#[test]
fn a_specified_torque_in_the_wrong_unit_is_asked_for() {
    let torque = |size: &str, torque: &str| {
        planted(&[
            ("size: 6 AWG", &format!("size: {size}")),
            ("torque: 45,", &format!("torque: {torque},")),
            ("left: 45,", &format!("left: {torque},")),
        ])
    };
    let iec = |size: &str, newton_metre: &str| {
        let text = torque(size, newton_metre).replace("rules: us", "rules: iec");
        let rules = built_in("iec").unwrap();
        let a = assess(&read(&text), rules, &[]);
        a.limitations
            .iter()
            .any(|l| l.id.word() == "torque-wanted-in-doubt")
    };
    // 2.5 N·m typed as in·lb is 0.28 N·m; an M4 screw takes 1.2 N·m (IEC 60947-1, Table 4).
    assert!(iec("10 mm²", "2.5 in·lb"));
    assert!(!iec("10 mm²", "2.5 N·m") && !iec("10 mm²", "22 in·lb"));
    // Half of 1.2 N·m, and twice the 6 N·m of an M8 with a hexagon.
    assert!(!iec("10 mm²", "0.6 N·m") && iec("10 mm²", "0.59 N·m"));
    assert!(!iec("10 mm²", "12 N·m") && iec("10 mm²", "12.1 N·m"));
    for size in ["6 AWG", "10 mm²"] {
        let visit = read(&torque(size, "2.5 in·lb"));
        let a = judged(&visit);
        assert!(!a.complete, "{size}");
        page_one(size, &visit, &a);
    }
}

/// Work in the wrong order: refused by the reader, not complete, or said.
#[test]
fn work_in_the_wrong_order_is_said() {
    let cases: &[(&str, &[(&str, &str)])] = &[
        (
            "the cold round after charging began",
            &[("at: \"09:40\"", "at: \"09:52\"")],
        ),
        ("rounds turned round", &[("at: \"10:05\"", "at: \"10:57\"")]),
        (
            "charging before the cold round",
            &[("charging_from: \"09:50\"", "charging_from: \"09:30\"")],
        ),
        (
            "no proof after the heat",
            &[(
                ", when: after }\n    looked_at",
                ", when: before }\n    looked_at",
            )],
        ),
        (
            "tightened hot",
            &[
                (
                    "breaker-L1: { temperature: 76.3,",
                    "breaker-L1: { temperature: 112.0,",
                ),
                (
                    "breaker-L1, found: held, left: 45, with: driver, when: after, cooled_to: 66",
                    "breaker-L1, found: 30, left: 45, with: driver, when: after",
                ),
            ],
        ),
        (
            "a screw touched while the circuit was charging",
            &[(
                "breaker-L1, found: held, left: 45, with: driver, when: after",
                "breaker-L1, found: held, left: 45, with: driver, when: \"10:20\"",
            )],
        ),
        // 152.6 °F, typed for 66: hotter than it ever was, and 48 K over the air.
        (
            "cooled to more than it was",
            &[(
                "breaker-L1, found: held, left: 45, with: driver, when: after, cooled_to: 66",
                "breaker-L1, found: held, left: 45, with: driver, when: after, cooled_to: 66 °C",
            )],
        ),
        (
            "re-torqued warm",
            &[(
                "    looked_at:",
                "    repairs: [{ connection: breaker-L1, done: re-torqued, at: \"12:10\", cooled_to: 104, with: gun }]\n    looked_at:",
            )],
        ),
        (
            "torque first, re-torqued warm",
            &[
                (", when: after, cooled_to: 66", ", when: before"),
                (
                    "    looked_at:",
                    "    repairs: [{ connection: breaker-L1, done: re-torqued, at: \"12:10\", cooled_to: 104, with: gun }]\n    looked_at:",
                ),
            ],
        ),
        (
            "re-torqued while the circuit was charging",
            &[(
                "    looked_at:",
                "    repairs: [{ connection: breaker-L1, done: re-torqued, at: \"10:20\", cooled_to: 66, with: gun }]\n    looked_at:",
            )],
        ),
        (
            "torque first and order not told",
            &[(
                "breaker-L1, found: held, left: 45, with: driver, when: after",
                "breaker-L1, found: 30, left: 45, with: driver",
            )],
        ),
    ];
    for (name, changes) in cases {
        if let Some(a) = first_page(name, changes) {
            assert!(!a.complete || !open(&a).is_empty(), "{name} reads as sound");
        }
    }
}

/// One cause planted: one finding, with the grade by hand.
#[test]
fn one_cause_is_one_finding() {
    use Grade::{Note, Repair, Watch};
    let hot = |at15: &'static str, at65: &'static str| {
        [
            ("breaker-L1: { temperature: 74.0,", at15),
            ("breaker-L1: { temperature: 76.3,", at65),
        ]
    };
    /// Name, replacements in the visit file, the cause and its grade.
    type Case<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str, Grade);
    let cases: &[Case<'_>] = &[
        // 9 K (16.2 °F) hotter than L2: 4 to 15 K are a watch (NETA MTS, Table 100.18).
        (
            "a warm joint",
            &hot(
                "breaker-L1: { temperature: 86.6,",
                "breaker-L1: { temperature: 92.5,",
            ),
            "poor-joint",
            Watch,
        ),
        // 24 K (43.2 °F): over 15 K is a repair.
        (
            "a hot joint",
            &hot(
                "breaker-L1: { temperature: 107.6,",
                "breaker-L1: { temperature: 119.5,",
            ),
            "poor-joint",
            Repair,
        ),
        (
            "a loose screw",
            &[("breaker-L1, found: held,", "breaker-L1, found: 20,")],
            "loose-screw",
            Watch,
        ),
        (
            "a thin conductor",
            &[("size: 6 AWG", "size: 10 AWG")],
            "undersized-conductor",
            Repair,
        ),
        (
            "a small breaker",
            &[("rating: 50 A", "rating: 40 A")],
            "undersized-breaker",
            Repair,
        ),
        (
            "an instrument out of date",
            &[("calibration_due: 2027-02-10", "calibration_due: 2026-02-10")],
            "calibration-overdue",
            Note,
        ),
        (
            "torques that nobody knows",
            &[
                ("kind: screw-terminal, torque: 45,", "kind: screw-terminal,"),
                ("kind: screw-terminal, torque: 25,", "kind: screw-terminal,"),
            ],
            "torque-not-known",
            Note,
        ),
        (
            "a discoloured part",
            &[(
                "{ place: breaker, seen: clean }",
                "{ place: breaker, connection: breaker-L1, seen: discoloured }",
            )],
            "damaged-part",
            Repair,
        ),
        (
            "the charger draws too much",
            &[("  current: 40 A", "  current: 46 A")],
            "charging-current",
            Repair,
        ),
        (
            "a shared circuit",
            &[("dedicated: yes", "dedicated: no")],
            "individual-circuit",
            Repair,
        ),
    ];
    for (name, changes, cause, grade) in cases {
        let a = read_first_page(name, changes);
        let found = open(&a);
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert_eq!(found[0].0, *cause, "{name}");
        assert!(found[0].1 >= *grade, "{name}: {found:?}");
    }
}

/// A receptacle circuit: the sound visit with the charger's end as a receptacle and a plug.
const OUTLET: &[(&str, &str)] = &[
    (
        "charger: { rated_current: 40 A, connection: hardwired }",
        "charger: { rated_current: 40 A, connection: receptacle }\n    receptacle: { rating: 75 °C, configuration: 14-50, grade: industrial }",
    ),
    (
        "      - id: charger\n        name: Charger terminals\n        connections:\n",
        "      - id: plug\n        name: Plug of the charger\n        connections:\n          - { id: plug-L1, leg: L1, kind: blade, surface: tape, width: 0.4 in }\n          - { id: plug-L2, leg: L2, kind: blade, surface: tape, width: 0.4 in }\n      - id: receptacle\n        name: Receptacle in the garage\n        connections:\n",
    ),
    (
        "{ place: charger, seen: clean }",
        "{ place: receptacle, seen: clean }\n      - { place: plug, seen: clean }",
    ),
    (
        "readings: { breaker-L1: 66,",
        "readings: { plug-L1: 66, plug-L2: 66, breaker-L1: 66,",
    ),
    (
        "readings: { breaker-L1: { temperature: 74.0, distance: 12 in }",
        "readings: { plug-L1: { temperature: 72.9, distance: 12 in }, plug-L2: { temperature: 72.9, distance: 12 in }, breaker-L1: { temperature: 74.0, distance: 12 in }",
    ),
    (
        "readings: { breaker-L1: { temperature: 76.3, distance: 12 in }",
        "readings: { plug-L1: { temperature: 74.9, distance: 12 in }, plug-L2: { temperature: 74.9, distance: 12 in }, breaker-L1: { temperature: 76.3, distance: 12 in }",
    ),
];

/// What melted at both sides of one contact is one finding, and named at both.
#[test]
fn damage_at_both_ends_of_a_contact_is_one_finding() {
    let sound = planted(OUTLET);
    let a = assess(&read(&sound), built_in("us").unwrap(), &[]);
    assert!(a.complete && open(&a).is_empty(), "{:?}", a.limitations);
    let wording = Wording::built_in("en").unwrap();
    let seen = |receptacle: &str, plug: &str| {
        let text = sound
            .replace("{ place: receptacle, seen: clean }", receptacle)
            .replace("{ place: plug, seen: clean }", plug);
        let visit = read(&text);
        let a = assess(&visit, built_in("us").unwrap(), &[]);
        page_one(receptacle, &visit, &a);
        let speaker = Speaker::new(&visit, &a, built_in("us").unwrap(), wording);
        let said = a
            .findings
            .iter()
            .map(|f| speaker.diagnosis_referring(f).text);
        (open(&a), said.collect::<Vec<String>>())
    };
    let melted = |place: &str| format!("{{ place: {place}, seen: melted }}");
    let at = |place: &str, connection: &str, what: &str| {
        format!("{{ place: {place}, connection: {connection}, seen: {what} }}")
    };
    for (receptacle, plug) in [
        (melted("receptacle"), melted("plug")),
        (
            at("receptacle", "charger-L1", "melted"),
            at("plug", "plug-L1", "melted"),
        ),
        (at("receptacle", "charger-L1", "melted"), melted("plug")),
    ] {
        let (found, said) = seen(&receptacle, &plug);
        assert_eq!(
            found,
            [("damaged-part".to_owned(), Grade::Stop)],
            "{receptacle} {plug}"
        );
        let both = "Receptacle in the garage and Plug of the charger: parts were melted";
        let other = "Plug of the charger and Receptacle in the garage: parts were melted";
        assert!(
            said[0].contains(both) || said[0].contains(other),
            "{said:?}"
        );
    }
    // Melted on one side, only discolored on the other: both are told.
    let (found, said) = seen(&melted("receptacle"), &at("plug", "plug-L1", "discoloured"));
    assert_eq!(found, [("damaged-part".to_owned(), Grade::Stop)]);
    assert!(
        said[0].contains("Receptacle in the garage: parts were melted")
            && said[0].contains("Plug of the charger: parts were discolored"),
        "{said:?}"
    );
    // Different legs are two joints.
    let (found, _) = seen(
        &at("receptacle", "charger-L1", "melted"),
        &at("plug", "plug-L2", "melted"),
    );
    assert_eq!(found.len(), 2, "{found:?}");
}

/// A circuit that must not be used: whatever else is to be done there is done before it is used.
#[test]
fn nothing_is_due_in_months_where_charging_is_forbidden() {
    let visit = read(&planted(&[
        (
            "{ place: charger, seen: clean }",
            "{ place: charger, seen: melted }",
        ),
        ("breaker-L1, found: held,", "breaker-L1, found: 20,"),
        ("calibration_due: 2027-02-10", "calibration_due: 2026-02-10"),
    ]));
    let a = judged(&visit);
    page_one("stop and watch", &visit, &a);
    assert_eq!(a.charging, Charging::NotAtAll);
    let deadline = |cause: &str| {
        let finding = a.findings.iter().find(|f| f.cause == cause).unwrap();
        (finding.grade, finding.deadline)
    };
    assert_eq!(deadline("loose-screw"), (Grade::Watch, None));
    // The thermometer is calibrated whether the circuit is used or not.
    assert!(deadline("calibration-overdue").1.is_some());
}

/// A neutral that the circuit has is looked at and torqued at every place; it is read where the
/// currents show that it carried the load.
#[test]
fn the_neutral_is_inspected_like_a_leg() {
    let text = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("examples/carport-three-phase/visit.yaml"),
    )
    .unwrap();
    let (text, _) = text.split_once("\nphotos:").unwrap();
    let rules = built_in("iec").unwrap();
    let of = |text: &str| {
        let a = assess(&read(text), rules, &[]);
        let missing = a.limitations.iter().filter(|l| l.incomplete);
        let ids: Vec<&str> = missing.map(|l| l.id.word()).collect();
        (ids.join(" "), a)
    };
    assert_eq!(of(text).0, "");
    let without = |connection: &str, text: &str| {
        let kept = text.lines().filter(|line| {
            let described = line.contains(&format!("id: {connection},"))
                || line.contains(&format!("connection: {connection},"))
                || line.trim_start().starts_with(&format!("{connection}:"));
            !described
        });
        let kept: Vec<&str> = kept.collect();
        let mut kept = kept.join("\n");
        for reading in [" 16.1", " 17.4", " 12.0", " 17.2"] {
            kept = kept.replace(&format!(", {connection}:{reading}"), "");
        }
        kept
    };
    for connection in ["board-N", "charger-N"] {
        let (missing, _) = of(&without(connection, text));
        assert_eq!(missing, "neutral-not-inspected", "{connection}");
    }
    let neither = without("charger-N", &without("board-N", text));
    assert_eq!(of(&neither).0, "leg-not-inspected");
    // Past the breaker to a bar beside it.
    let neutral = "          - { id: board-N, leg: N, kind: screw-terminal, torque: 2.5, standard: iec-60898-1, surface: insulation, width: 8 mm }\n";
    let bar = text.replace(neutral, "").replace(
        "    places:\n",
        &format!("    places:\n      - id: bar\n        name: Neutral bar\n        connections:\n{neutral}"),
    );
    let bar = bar.replace(
        "    looked_at:\n",
        "    looked_at:\n      - { place: bar, seen: clean }\n",
    );
    assert_eq!(of(&bar).0, "");
    let torque = "      - { connection: charger-N, found: held, left: 2, with: driver }\n";
    assert_eq!(of(&text.replace(torque, "")).0, "torque-not-checked");
    // Not read while the three legs carried the same: it carried nothing.
    let unread = [
        "board-N: 16.1, ",
        "board-N: 17.4, ",
        "            board-N: { temperature: 17.9, distance: 35 cm }\n",
    ]
    .iter()
    .fold(text.to_owned(), |text, reading| {
        assert!(text.contains(reading), "{reading}");
        text.replace(reading, "")
    });
    assert_eq!(of(&unread).0, "");
    // A car that charges on one leg: the neutral carries its current.
    let single = |text: &str| text.replace("current: 31.8", "current: { L1: 31.8, L2: 0, L3: 0 }");
    let missing_of = |text: &str| {
        let (missing, a) = of(&single(text));
        let unread = a
            .limitations
            .iter()
            .find(|l| l.id.word() == "readings-missing");
        (missing, unread.map(|l| l.connections.join(" ")))
    };
    assert_eq!(missing_of(text), ("legs-not-loaded".to_owned(), None));
    let (missing, unread) = missing_of(&unread);
    assert!(missing.contains("readings-missing"), "{missing}");
    assert_eq!(unread.unwrap(), "board-N");
}

/// What is declared, removed or judged does not turn a fault or a gap into a sound circuit.
#[test]
fn words_do_not_make_a_visit_sound() {
    let looked = "      - { place: charger, seen: clean }\n";
    let not_read = |places: &str| format!("{looked}    not_read: [{places}]\n");
    let closed = "closed-while-charging";
    let both = not_read(&format!(
        "{{ place: breaker, why: {closed} }}, {{ place: charger, why: {closed} }}"
    ));
    let cold = [
        (
            "at: \"10:05\"\n          air: 66\n          current: 40 A\n          readings:",
            "at: \"10:05\"\n          air: 66\n          current: 0 A\n          readings:",
        ),
        (
            "at: \"10:55\"\n          air: 66\n          current: 40 A\n          readings:",
            "at: \"10:55\"\n          air: 66\n          current: 0 A\n          readings:",
        ),
    ];
    let judged_away =
        "judgement: [{ finding: poor-joint, grade: pass, because: It looks fine. }]\ncircuits:\n";
    let hot = [
        (
            "breaker-L1: { temperature: 74.0,",
            "breaker-L1: { temperature: 107.6,",
        ),
        (
            "breaker-L1: { temperature: 76.3,",
            "breaker-L1: { temperature: 119.5,",
        ),
        ("circuits:\n", judged_away),
    ];
    let cases: &[(&str, &[(&str, &str)])] = &[
        (
            "everything declared closed, and nothing read",
            &[(looked, &both), cold[0], cold[1]],
        ),
        (
            "still live",
            &[(
                "L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: yes, when: before",
                "L1-G: 121 V, L2-G: 0 V }, proved_after: 241 V, locked: yes, when: before",
            )],
        ),
        (
            "left loose",
            &[(
                "breaker-L1, found: held, left: 45,",
                "breaker-L1, found: held, left: 20,",
            )],
        ),
        (
            "melted and cool",
            &[(
                "{ place: breaker, seen: clean }",
                "{ place: breaker, seen: melted }",
            )],
        ),
        ("judged away", &hot),
        (
            "cut short",
            &[(
                "site: { name: 12 Maple Court }",
                "site: { name: 12 Maple Court }\ncut_short: { why: The tenant had to leave. }",
            )],
        ),
    ];
    for (name, changes) in cases {
        let a = read_first_page(name, changes);
        let sound = a.complete && a.outcome == Outcome::Satisfactory;
        assert!(!sound, "{name} reads as sound");
    }
}

/// Readings left out that the result can be judged without: said on page 1, and never plainly
/// satisfactory.
#[test]
fn readings_left_out_are_an_exception() {
    let round = |at: &str| {
        let from = SOUND.find(&format!("        - at: \"{at}\"")).unwrap();
        let end = SOUND[from..].find("distance: 12 in } }\n").unwrap();
        SOUND[from..from + end + "distance: 12 in } }\n".len()].to_owned()
    };
    let (early, first) = (
        round("10:05"),
        "        - { at: \"09:40\", air: 66, current: 0 A, readings: { breaker-L1: 66, breaker-L2: 66, charger-L1: 66, charger-L2: 66 } }\n",
    );
    let cases = [
        ("the round without load", first, "", "no-load-round-missing"),
        (
            "a reading without load",
            "readings: { breaker-L1: 66, ",
            "readings: { ",
            "no-load-reading-missing",
        ),
        (
            "the air without load",
            "air: 66, current: 0 A",
            "current: 0 A",
            "air-not-measured",
        ),
        ("the quarter of an hour", &early, "", "read-once-under-load"),
    ];
    let wording = Wording::built_in("en").unwrap();
    for (name, from, to, id) in cases {
        let visit = read(&planted(&[(from, to)]));
        let a = judged(&visit);
        assert!(a.complete, "{name}: {:?}", a.limitations);
        assert_eq!(open(&a), [], "{name}");
        assert_eq!(a.outcome, Outcome::SatisfactoryWithNotes, "{name}");
        let said = a.limitations.iter().map(|l| l.id.word());
        assert_eq!(said.collect::<Vec<_>>(), [id], "{name}");
        let speaker = Speaker::new(&visit, &a, built_in("us").unwrap(), wording);
        let title = speaker.verdict().title;
        assert_eq!(
            title, "Satisfactory, except for what was not read",
            "{name}"
        );
        page_one(name, &visit, &a);
    }
}

/// The spot of a thermometer can be checked only with its optics, the distance and the target.
#[test]
fn a_spot_that_cannot_be_checked_is_said() {
    for change in [
        (", distance_to_spot: \"100:1\"", ""),
        (", width: 0.4 in", ""),
        (", distance: 12 in", ""),
    ] {
        let a = judged(&read(&planted(&[change])));
        let said: Vec<&str> = a.limitations.iter().map(|l| l.id.word()).collect();
        assert_eq!(said, ["spot-not-told"], "{change:?}");
    }
}

/// A torque without a tool is no measurement, and an instrument without serial number or calibration
/// cannot be traced: page 1 says so.
#[test]
fn what_cannot_be_traced_is_on_page_one() {
    let first_page = |text: &str| {
        let visit = read(text);
        let a = judged(&visit);
        let speaker = Speaker::new(
            &visit,
            &a,
            built_in("us").unwrap(),
            Wording::built_in("en").unwrap(),
        );
        let page = speaker.what_was_not_done();
        (page.join("\n"), a)
    };
    assert_eq!(first_page(SOUND).0, "");
    let (said, a) = first_page(&planted(&[(
        "breaker-L1, found: held, left: 45, with: driver",
        "breaker-L1, found: held, left: 45",
    )]));
    assert!(
        said.contains("With which tool the torque") && said.contains("breaker-L1"),
        "{said}"
    );
    assert!(
        a.limitations
            .iter()
            .any(|l| l.id.word() == "torque-tool-not-told")
    );
    // A tool that is named and out of calibration is no worse than one that nobody names.
    assert!(!a.complete);
    let (said, _) = first_page(&planted(&[(
        "serial: D-1, calibration_due: 2027-01-15, ",
        "",
    )]));
    assert!(
        said.contains("torque screwdriver") && said.contains("is missing"),
        "{said}"
    );
}

/// A joint warms the other end of its device: one finding, about the hotter end. 30 and 16 K, and
/// 55 and 38 K, are made up.
#[test]
fn one_hot_end_of_a_device_is_one_finding() {
    let place = "      - id: charger\n        name: Charger terminals";
    let body = "      - id: body\n        name: Breaker body over the busbar\n        part: busbar\n        connections:\n          - { id: stab-L1, leg: L1, kind: bus-stab, surface: plastic, width: 0.4 in }\n          - { id: stab-L2, leg: L2, kind: bus-stab, surface: plastic, width: 0.4 in }\n";
    // In °F: over 66 °F, 16 K at the terminal and 30 K at the stab, settling with 10 min.
    let at = |stab: f64, terminal: f64, share: f64| {
        format!(
            "readings: {{ stab-L1: {{ temperature: {:.1}, distance: 12 in }}, stab-L2: {{ temperature: {:.1}, distance: 12 in }}, breaker-L1: {{ temperature: {:.1}, distance: 12 in }}",
            66.0 + share * stab * 1.8,
            66.0 + share * 6.0 * 1.8,
            66.0 + share * terminal * 1.8
        )
    };
    for (stab, terminal) in [(30.0, 16.0), (45.0, 24.0)] {
        let (early, late) = (at(stab, terminal, 0.78), at(stab, terminal, 1.0));
        let visit = read(&planted(&[
            (place, &format!("{body}{place}")),
            (
                "{ place: charger, seen: clean }",
                "{ place: charger, seen: clean }\n      - { place: body, seen: clean }",
            ),
            (
                "readings: { breaker-L1: 66,",
                "readings: { stab-L1: 66, stab-L2: 66, breaker-L1: 66,",
            ),
            (
                "readings: { breaker-L1: { temperature: 74.0, distance: 12 in }",
                &early,
            ),
            (
                "readings: { breaker-L1: { temperature: 76.3, distance: 12 in }",
                &late,
            ),
        ]));
        let a = judged(&visit);
        assert_eq!(
            open(&a),
            [("poor-joint".to_owned(), Grade::Repair)],
            "{stab}"
        );
        assert_eq!(a.findings[0].connections, ["stab-L1"], "{stab}");
        page_one("a hot stab", &visit, &a);
        // What is spoilt at one end spoils the device, however warm the other is.
        let mut spoilt = visit.clone();
        let seen = &mut spoilt.circuits[0].looked_at[0];
        seen.seen = vec![warmlug::visit::Condition::Melted];
        seen.connection = Some("breaker-L1".to_owned());
        let a = judged(&spoilt);
        assert_eq!(open(&a), [("poor-joint".to_owned(), Grade::Stop)]);
        page_one("a melted terminal", &spoilt, &a);
    }
}

/// Dust in an enclosure that is hot all over belongs to the finding on its heat, and so does a
/// screw tightened hot to one on a joint that has to be remade before the circuit is used.
#[test]
fn what_belongs_to_a_finding_on_heat_is_part_of_it() {
    // 30 K at both terminals of the charger: over 21 K is a watch (NETA MTS, Table 100.18).
    let warm = [
        (
            "charger-L1: { temperature: 73.0, distance: 12 in }, charger-L2: { temperature: 73.0,",
            "charger-L1: { temperature: 108.1, distance: 12 in }, charger-L2: { temperature: 108.1,",
        ),
        (
            "charger-L1: { temperature: 75.0, distance: 12 in }, charger-L2: { temperature: 75.0,",
            "charger-L1: { temperature: 120.0, distance: 12 in }, charger-L2: { temperature: 120.0,",
        ),
        (
            "{ place: charger, seen: clean }",
            "{ place: charger, seen: dust }",
        ),
    ];
    let visit = read(&planted(&warm));
    let a = assess(&visit, built_in("us").unwrap(), &[]);
    assert_eq!(open(&a), [("hot-place".to_owned(), Grade::Watch)]);
    let wording = Wording::built_in("en").unwrap();
    let speaker = Speaker::new(&visit, &a, built_in("us").unwrap(), wording);
    let said = speaker.diagnosis_referring(&a.findings[0]);
    assert!(said.text.contains("dust"), "{said:?}");
    assert!(said.action.contains("clean the enclosure"), "{said:?}");

    let hot = [
        (
            "breaker-L1: { temperature: 74.0,",
            "breaker-L1: { temperature: 107.6,",
        ),
        (
            "breaker-L1: { temperature: 76.3,",
            "breaker-L1: { temperature: 119.5,",
        ),
        (
            "breaker-L1, found: held, left: 45, with: driver, when: after, cooled_to: 66",
            "breaker-L1, found: held, left: 45, with: driver, when: after",
        ),
    ];
    let a = judged(&read(&planted(&hot)));
    assert_eq!(open(&a), [("poor-joint".to_owned(), Grade::Repair)]);
    let shown: Vec<&str> = a.findings[0]
        .checks(&a.checks)
        .map(|c| c.id.word())
        .collect();
    assert!(shown.contains(&"torque-hot"), "{shown:?}");
}

/// The next date is never after the day by which a repair is due.
#[test]
fn the_next_date_is_no_later_than_a_repair() {
    let thin = [
        ("size: 6 AWG", "size: 10 AWG"),
        (
            "breaker-L1: { temperature: 74.0, distance: 12 in }, breaker-L2: { temperature: 74.0, distance: 12 in }, charger-L1: { temperature: 73.0, distance: 12 in }, charger-L2: { temperature: 73.0,",
            "breaker-L1: { temperature: 112.0, distance: 12 in }, breaker-L2: { temperature: 112.0, distance: 12 in }, charger-L1: { temperature: 112.0, distance: 12 in }, charger-L2: { temperature: 112.0,",
        ),
        (
            "breaker-L1: { temperature: 76.3, distance: 12 in }, breaker-L2: { temperature: 76.3, distance: 12 in }, charger-L1: { temperature: 75.0, distance: 12 in }, charger-L2: { temperature: 75.0,",
            "breaker-L1: { temperature: 125.0, distance: 12 in }, breaker-L2: { temperature: 125.0, distance: 12 in }, charger-L1: { temperature: 125.0, distance: 12 in }, charger-L2: { temperature: 125.0,",
        ),
    ];
    let a = judged(&read(&planted(&thin)));
    let [finding] = &a.findings[..] else {
        panic!("{:?}", open(&a))
    };
    assert_eq!(finding.cause.word(), "undersized-conductor");
    assert_eq!(finding.deadline, Some(a.date));
    assert_eq!(a.next_due.date, Some(a.date));
    assert_eq!(a.circuits[0].next_due.date, Some(a.date));
}

/// A repair that was not read again: page 1 neither says that nothing needs action nor that the
/// circuit may be used, and says once that it was left in use.
#[test]
fn a_repair_that_nobody_measured_does_not_read_as_nothing_to_do() {
    let visit = read(&planted(&[
        (
            "breaker-L1: { temperature: 74.0,",
            "breaker-L1: { temperature: 107.6,",
        ),
        (
            "breaker-L1: { temperature: 76.3,",
            "breaker-L1: { temperature: 119.5,",
        ),
        (
            "    looked_at:",
            "    repairs: [{ connection: breaker-L1, done: remade, at: \"12:10\", cooled_to: 66, with: gun }]\n    left_as: in-use\n    looked_at:",
        ),
    ]));
    let a = judged(&visit);
    assert!(!a.complete);
    assert_eq!(a.charging, Charging::NotAtAll);
    let wording = Wording::built_in("en").unwrap();
    let speaker = Speaker::new(&visit, &a, built_in("us").unwrap(), wording);
    let verdict = speaker.verdict();
    assert_eq!(verdict.title, "Inspection not complete");
    assert!(
        verdict.text[0].contains("nothing shows yet that the repair holds"),
        "{verdict:?}"
    );
    assert_eq!(
        speaker.left(&visit.circuits[0], a.charging).unwrap(),
        "It was left in use although it must not be used. Have it switched off now."
    );
    page_one("not measured again", &visit, &a);
}
