//! What a circuit must have: a visit that leaves out a part, a leg, a connection or a reading never
//! reads as sound, and one that declares what it could not read has a usable result.
//!
//! Which parts a circuit has and why each is looked at is common practice, no published source; that
//! every pair of conductors is tested is NFPA 70E-2021, 120.5(7).

use crate::assess_common::{connection, current, day, heat, judged, plain, reading, third_leg};
use warmlug::assess::{Assessment, Earlier, Outcome, assess};
use warmlug::quantity::Voltage;
use warmlug::rules::built_in;
use warmlug::visit::{
    ChargerConnection, Condition, ConnectionKind, CutShort, Disconnect, Disconnector, LookedAt,
    NotRead, Part, Place, Reason, Receptacle, ReceptacleGrade, Removed, TorqueCheck, TorqueFound,
    Visit, WhyNotRead,
};

/// The ids of all limitations; those that make the visit incomplete end with `!`.
fn told(a: &Assessment) -> Vec<String> {
    a.limitations
        .iter()
        .filter(|l| l.id != "cannot-tell" || l.incomplete)
        .map(|l| format!("{}{}", l.id, if l.incomplete { "!" } else { "" }))
        .collect()
}

/// A visit that is sound but for a change.
fn with(change: impl FnOnce(&mut Visit)) -> Assessment {
    let mut visit = plain([10.0, 10.0]);
    change(&mut visit);
    judged(&visit)
}

/// The limitations of an incomplete visit.
fn lacking(change: impl FnOnce(&mut Visit)) -> Vec<String> {
    let a = with(change);
    assert!(!a.complete, "{:?}", told(&a));
    told(&a)
}

/// Takes a place out of the visit with everything that was done there.
fn without(visit: &mut Visit, place: &str) {
    let circuit = &mut visit.circuits[0];
    let ids: Vec<String> = circuit
        .connections()
        .filter(|(p, _)| p.id == place)
        .map(|(_, c)| c.id.clone())
        .collect();
    circuit.places.retain(|p| p.id != place);
    ids.iter().for_each(|id| forget(visit, id));
    visit.circuits[0].looked_at.retain(|l| l.place != place);
}

/// Takes a connection out of the visit with everything that was done to it.
fn forget(visit: &mut Visit, id: &str) {
    let circuit = &mut visit.circuits[0];
    for place in &mut circuit.places {
        place.connections.retain(|c| c.id != id);
    }
    circuit.torque.retain(|t| t.connection != id);
    for round in &mut circuit.heat.as_mut().unwrap().rounds {
        round.readings.retain(|(of, _)| of != id);
    }
}

/// Adds a place with these connections of one kind, looked at, torqued and read like the charger.
fn add(
    visit: &mut Visit,
    id: &str,
    part: Option<Part>,
    kind: ConnectionKind,
    names: &[(&str, &str)],
) {
    let circuit = &mut visit.circuits[0];
    circuit.places.push(Place {
        id: id.to_owned(),
        name: format!("Place of {id}"),
        part,
        closed: false,
        connections: names
            .iter()
            .map(|(name, leg)| {
                let mut c = connection(name, leg);
                c.kind = kind;
                c
            })
            .collect(),
    });
    circuit.looked_at.push(LookedAt {
        place: id.to_owned(),
        seen: vec![Condition::Clean],
        note: None,
        connection: None,
        cleaned: false,
    });
    for (name, leg) in names {
        if kind == ConnectionKind::ScrewTerminal {
            circuit.torque.push(TorqueCheck {
                confirmed: false,
                cooled_to: None,
                connection: (*name).to_owned(),
                found: TorqueFound::Held,
                left: None,
                with: Some("driver".to_owned()),
                when: None,
            });
        }
        if *leg == "G" {
            continue;
        }
        for round in &mut circuit.heat.as_mut().unwrap().rounds {
            let t = round.readings[0].1.temperatures[0].celsius();
            round.readings.push(((*name).to_owned(), reading(t)));
        }
    }
}

/// The same visit to a charger with a receptacle and a plug.
fn plugged(visit: &mut Visit) {
    without(visit, "charger");
    visit.circuits[0].charger.connection = ChargerConnection::Receptacle;
    visit.circuits[0].receptacle = Some(Receptacle {
        configuration: "14-50".to_owned(),
        grade: Some(ReceptacleGrade::Industrial),
        rating: None,
        wet_location: None,
    });
    add(
        visit,
        "receptacle",
        None,
        ConnectionKind::ScrewTerminal,
        &[("recep-L1", "L1"), ("recep-L2", "L2"), ("recep-G", "G")],
    );
    add(
        visit,
        "blades",
        None,
        ConnectionKind::Blade,
        &[("blade-L1", "L1"), ("blade-L2", "L2")],
    );
}

/// The same visit to a circuit with a disconnect that has terminals.
fn switched(visit: &mut Visit) {
    visit.circuits[0].disconnect = Some(Disconnect {
        kind: Some(Disconnector::Switch),
        in_sight: Some(true),
        lockable: Some(true),
        plaque: None,
    });
    add(
        visit,
        "switch-in",
        Some(Part::DisconnectLine),
        ConnectionKind::ScrewTerminal,
        &[("in-L1", "L1"), ("in-L2", "L2")],
    );
    add(
        visit,
        "switch-out",
        Some(Part::DisconnectLoad),
        ConnectionKind::ScrewTerminal,
        &[("out-L1", "L1"), ("out-L2", "L2")],
    );
}

#[test]
fn whole_visits_are_complete() {
    for change in [|_: &mut Visit| (), plugged, switched] {
        let a = with(change);
        assert!(a.complete, "{:?}", told(&a));
        assert_eq!(told(&a), [] as [String; 0]);
    }
}

#[test]
fn an_end_of_the_circuit_that_is_not_listed_is_no_clean_bill() {
    assert_eq!(
        lacking(|v| without(v, "charger")),
        ["charger-not-inspected!", "ground-not-inspected-at-charger!"]
    );
    assert_eq!(
        lacking(|v| without(v, "breaker")),
        ["breaker-not-inspected!"]
    );
    assert_eq!(
        lacking(|v| without(v, "ground")),
        ["ground-not-inspected-at-supply!"]
    );
    assert_eq!(
        lacking(|v| forget(v, "charger-G")),
        ["ground-not-inspected-at-charger!"]
    );
    // A place that may be anything is no end of the circuit until the file says so.
    let renamed = |v: &mut Visit| {
        let place = &mut v.circuits[0].places[1];
        assert_eq!(place.id, "charger");
        place.id = "box".to_owned();
        v.circuits[0].looked_at[1].place = "box".to_owned();
    };
    assert_eq!(
        lacking(renamed),
        ["charger-not-inspected!", "ground-not-inspected-at-charger!"]
    );
    let named = with(|v| {
        renamed(v);
        v.circuits[0].places[1].part = Some(Part::Charger);
    });
    assert!(named.complete, "{:?}", told(&named));
}

#[test]
fn a_receptacle_and_its_plug_are_both_needed() {
    assert_eq!(
        lacking(|v| {
            plugged(v);
            without(v, "receptacle");
        }),
        [
            "receptacle-not-inspected!",
            "ground-not-inspected-at-charger!"
        ]
    );
    assert_eq!(
        lacking(|v| {
            plugged(v);
            without(v, "blades");
        }),
        ["plug-not-inspected!"]
    );
}

#[test]
fn a_disconnect_with_terminals_has_two_sides() {
    for (place, lacks) in [
        ("switch-in", "disconnect-line-not-inspected!"),
        ("switch-out", "disconnect-load-not-inspected!"),
    ] {
        let without = lacking(|v| {
            switched(v);
            without(v, place);
        });
        assert_eq!(without, [lacks]);
    }
    // Under one cover, each leg has two terminals.
    let one_cover = |names: &[(&str, &str)]| {
        let mut visit = plain([10.0, 10.0]);
        let screw = ConnectionKind::ScrewTerminal;
        add(&mut visit, "switch", Some(Part::Disconnect), screw, names);
        told(&judged(&visit))
    };
    let both = [
        ("in-1", "L1"),
        ("in-2", "L2"),
        ("out-1", "L1"),
        ("out-2", "L2"),
    ];
    assert_eq!(one_cover(&both), [] as [String; 0]);
    assert_eq!(one_cover(&both[..3]), ["disconnect-load-not-inspected!"]);
    // What disconnects is not stated.
    let untold = |kind| {
        move |v: &mut Visit| {
            v.circuits[0].disconnect = Some(Disconnect {
                kind,
                in_sight: Some(true),
                lockable: Some(true),
                plaque: None,
            });
        }
    };
    assert_eq!(lacking(untold(None)), ["disconnect-not-told!"]);
    assert!(with(untold(Some(Disconnector::Breaker))).complete);
}

#[test]
fn every_leg_is_needed_at_every_place() {
    // The one hot lug is deleted.
    assert_eq!(lacking(|v| forget(v, "breaker-L1")), ["leg-not-compared!"]);
    assert_eq!(lacking(|v| forget(v, "charger-L2")), ["leg-not-compared!"]);
    assert_eq!(
        lacking(|v| {
            forget(v, "breaker-L2");
            forget(v, "charger-L2");
        }),
        ["leg-not-inspected!"]
    );
}

/// A periodic visit to the plain circuit, changed, after an earlier one.
fn periodic(earlier: &Earlier, change: &dyn Fn(&mut Visit)) -> Assessment {
    let mut visit = plain([10.0, 10.0]);
    visit.reason = Reason::Periodic;
    change(&mut visit);
    let rules = built_in("us").unwrap();
    assess(&visit, rules, std::slice::from_ref(earlier))
}

#[test]
fn what_an_earlier_certificate_listed_is_inspected_or_said_to_be_removed() {
    let rules = built_in("us").unwrap();
    let mut before = plain([10.0, 10.0]);
    let splice = ConnectionKind::Splice;
    add(
        &mut before,
        "splice",
        None,
        splice,
        &[("splice-L1", "L1"), ("splice-L2", "L2")],
    );
    before.date = day(2025, 11, 4);
    let earlier = Earlier::new(&before, &assess(&before, rules, &[]));
    let now = |change: &dyn Fn(&mut Visit)| periodic(&earlier, change);
    let gone = now(&|_| ());
    assert_eq!(told(&gone), ["earlier-not-listed!"]);
    assert!(!gone.complete);
    let removed = |connection: Option<&str>, place: Option<&str>| Removed {
        connection: connection.map(str::to_owned),
        place: place.map(str::to_owned),
        circuit: None,
        why: "The run was pulled anew.".to_owned(),
    };
    let one = now(&|v| v.circuits[0].removed = vec![removed(Some("splice-L1"), None)]);
    assert_eq!(told(&one), ["earlier-not-listed!"], "the other leg");
    let all = now(&|v| v.circuits[0].removed = vec![removed(None, Some("splice"))]);
    assert!(all.complete, "{:?}", told(&all));
}

#[test]
fn a_circuit_of_an_earlier_certificate_is_inspected_or_said_to_be_removed() {
    let rules = built_in("us").unwrap();
    let mut before = plain([10.0, 10.0]);
    before.date = day(2025, 11, 4);
    let mut second = before.circuits[0].clone();
    second.id = "bay-2".to_owned();
    before.circuits.push(second);
    let earlier = Earlier::new(&before, &assess(&before, rules, &[]));
    let now = |change: &dyn Fn(&mut Visit)| periodic(&earlier, change);
    let gone = now(&|_| ());
    assert_eq!(told(&gone), ["earlier-circuit-not-listed!"]);
    assert!(!gone.complete);
    let renamed = now(&|v| v.circuits[0].id = "garage".to_owned());
    assert!(told(&renamed).contains(&"earlier-circuit-not-listed!".to_owned()));
    let removed = now(&|v| {
        v.circuits[0].removed.push(Removed {
            connection: None,
            place: None,
            circuit: Some("bay-2".to_owned()),
            why: "The charger was taken down.".to_owned(),
        });
    });
    assert!(removed.complete, "{:?}", told(&removed));
    let both = now(&|v| {
        let mut second = v.circuits[0].clone();
        second.id = "bay-2".to_owned();
        v.circuits.push(second);
    });
    assert!(both.complete, "{:?}", told(&both));
}

fn not_read(place: &str, connection: Option<&str>, why: WhyNotRead) -> NotRead {
    NotRead {
        place: place.to_owned(),
        connection: connection.map(str::to_owned),
        why,
        note: None,
    }
}

/// Torque with the cover off, heat at the panel with the charger closed: the practitioner's usual
/// routine.
fn closed_charger(visit: &mut Visit) {
    for round in &mut heat(visit).rounds {
        round.readings.retain(|(id, _)| !id.starts_with("charger-"));
    }
    visit.circuits[0]
        .not_read
        .push(not_read("charger", None, WhyNotRead::ClosedWhileCharging));
}

#[test]
fn the_usual_routine_is_satisfactory_with_an_exception() {
    let a = with(closed_charger);
    assert_eq!(told(&a), ["not-read-closed"]);
    let exception = &a.limitations[0];
    assert!(exception.id.exception());
    assert_eq!(exception.connections, ["charger-L1", "charger-L2"]);
    assert!(a.complete);
    assert_ne!(a.outcome, Outcome::Satisfactory, "never plain");
    assert_eq!(a.outcome, Outcome::SatisfactoryWithNotes);
    assert_eq!(
        a.next_due.date,
        with(|_| ()).next_due.date,
        "the usual date"
    );

    // With its cover read from outside as well, where somebody can.
    let covered = with(|v| {
        closed_charger(v);
        add(
            v,
            "cover",
            None,
            ConnectionKind::Cover,
            &[("cover-top", "none")],
        );
        v.circuits[0].places.last_mut().unwrap().closed = true;
    });
    assert_eq!(told(&covered), ["not-read-closed"]);

    // Not declared, or not looked at, or not torqued: cut short.
    let cut = |change: fn(&mut Visit)| {
        lacking(|v| {
            closed_charger(v);
            change(v);
        })
    };
    assert_eq!(
        cut(|v| v.circuits[0].not_read.clear()),
        ["readings-missing!"]
    );
    assert!(cut(|v| v.circuits[0].looked_at.truncate(1)).contains(&"not-looked-at!".to_owned()));
    assert!(
        cut(|v| v.circuits[0]
            .torque
            .retain(|t| t.connection != "charger-L1"))
        .contains(&"torque-not-checked!".to_owned())
    );
    assert_eq!(
        cut(|v| v.circuits[0].not_read[0].why = WhyNotRead::CustomerRefused),
        ["not-read-refused!"]
    );
}

#[test]
fn an_exception_that_cannot_be_is_none() {
    // One connection behind the cover was read, so the cover was open.
    assert_eq!(
        lacking(|v| {
            for round in &mut heat(v).rounds {
                round.readings.retain(|(id, _)| id != "charger-L1");
            }
            v.circuits[0]
                .not_read
                .push(not_read("charger", None, WhyNotRead::ClosedWhileCharging));
        }),
        ["readings-missing!"]
    );
    // A leg that was read nowhere.
    assert_eq!(
        lacking(|v| {
            for round in &mut heat(v).rounds {
                round.readings.retain(|(id, _)| !id.ends_with("L2"));
            }
            for place in ["breaker", "charger"] {
                v.circuits[0]
                    .not_read
                    .push(not_read(place, None, WhyNotRead::NotAccessible));
            }
        }),
        ["readings-missing!"]
    );
    // One lug that cannot be reached is an exception, and named.
    let a = with(|v| {
        for round in &mut heat(v).rounds {
            round.readings.retain(|(id, _)| id != "charger-L1");
        }
        let why = WhyNotRead::NotAccessible;
        v.circuits[0]
            .not_read
            .push(not_read("charger", Some("charger-L1"), why));
    });
    assert_eq!(told(&a), ["not-read-access"]);
    assert_eq!(a.limitations[0].connections, ["charger-L1"]);
}

#[test]
fn a_visit_that_a_customer_ended_is_incomplete_and_says_when_to_return() {
    let mut visit = plain([10.0, 10.0]);
    visit.cut_short = Some(CutShort {
        why: "The tenant had to leave.".to_owned(),
        return_on: None,
    });
    let a = judged(&visit);
    assert_eq!(told(&a), ["cut-short!"]);
    let return_on = Some(day(2026, 5, 20));
    visit.cut_short.as_mut().unwrap().return_on = return_on;
    let a = judged(&visit);
    assert_eq!(told(&a), ["cut-short-return!"]);
    assert_eq!(a.next_due.date, return_on);
    // A repair that is due before that day keeps its date.
    visit.cut_short.as_mut().unwrap().return_on = Some(day(2030, 1, 1));
    assert!(judged(&visit).next_due.date.unwrap() < day(2030, 1, 1));
}

#[test]
fn with_three_phases_every_pair_is_proved_dead() {
    let mut visit = plain([10.0, 10.0]);
    third_leg(&mut visit, 30.0);
    current(&mut visit, 40.0);
    let pairs = ["L1-L2", "L1-L3", "L2-L3", "L1-G", "L2-G", "L3-G"];
    let proved = |without: Option<&str>| {
        let mut visit = visit.clone();
        visit.circuits[0].isolation[0].dead = pairs
            .iter()
            .filter(|p| Some(**p) != without)
            .map(|p| ((*p).to_owned(), Voltage::from_volt(0.0)))
            .collect();
        let a = judged(&visit);
        told(&a).contains(&"isolation-not-proved!".to_owned())
    };
    assert!(!proved(None));
    for pair in pairs {
        assert!(proved(Some(pair)), "{pair}");
    }
}

#[test]
fn each_circuit_has_its_own_next_date() {
    let mut visit = plain([10.0, 10.0]);
    let mut hot = plain([40.0, 10.0]).circuits[0].clone();
    hot.id = "bay-2".to_owned();
    let mut unread = visit.circuits[0].clone();
    unread.id = "bay-3".to_owned();
    unread.heat = None;
    visit.circuits.extend([hot, unread]);
    let a = judged(&visit);
    let bases: Vec<&str> = a.circuits.iter().map(|c| c.next_due.basis).collect();
    assert_eq!(bases, ["first", "repair", "incomplete"]);
    // A joint graded repair forbids charging, so its circuit has no date.
    let dated = a.circuits.iter().map(|c| c.next_due.date.is_some());
    assert_eq!(dated.collect::<Vec<_>>(), [true, false, true]);
    assert!(a.circuits[0].next_due.date > a.circuits[2].next_due.date);
}

#[test]
fn a_sound_first_visit_gives_values_to_compare_with_and_no_other_does() {
    let baseline = |change: &dyn Fn(&mut Visit)| with(change).baseline;
    let sound = baseline(&|_| ());
    let named: Vec<&str> = sound.iter().map(|b| b.connection.as_str()).collect();
    assert_eq!(
        named,
        ["breaker-L1", "breaker-L2", "charger-L1", "charger-L2"]
    );
    assert!((sound[0].rise.value.kelvin() - 10.0).abs() < 0.5);
    // The last reading, 65 min after charging began, in air of 20 °C.
    assert!((sound[0].temperature.unwrap().celsius() - 30.0).abs() < 0.1);
    assert!(baseline(&|v| v.reason = Reason::Periodic).is_empty());
    assert!(
        baseline(&|v| without(v, "charger")).is_empty(),
        "incomplete"
    );
    let mut hot = plain([40.0, 10.0]);
    hot.reason = Reason::First;
    assert!(judged(&hot).baseline.is_empty());
}
