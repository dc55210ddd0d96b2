//! Sound visits to circuits of every kind, with each of their parts left out, one at a time: none is
//! satisfactory without an exception, and none is told that charging may go on as usual.

use crate::kinds::{KINDS, judged, read, rounds, text, without};
use warmlug::assess::Outcome;
use warmlug::visit::{Circuit, Visit};

/// One part left out of a visit, and what it is.
type LeftOut = (String, Visit);

/// The visit without each of the parts that `list` holds in its circuit.
fn each<T>(kind: &str, what: &str, list: impl Fn(&mut Circuit) -> &mut Vec<T>) -> Vec<LeftOut> {
    let sound = read(&text(kind));
    let count = list(&mut sound.clone().circuits[0]).len();
    assert!(count > 0, "{kind}: {what}");
    (0..count)
        .map(|i| {
            let mut visit = sound.clone();
            list(&mut visit.circuits[0]).remove(i);
            (format!("{what} {i}"), visit)
        })
        .collect()
}

fn one(kind: &str, what: &str, change: impl Fn(&mut Circuit)) -> LeftOut {
    let mut visit = read(&text(kind));
    change(&mut visit.circuits[0]);
    (what.to_owned(), visit)
}

fn parts(kind: &str) -> Vec<LeftOut> {
    let mut all = each(kind, "torque", |c| &mut c.torque);
    all.extend(each(kind, "place looked at", |c| &mut c.looked_at));
    all.extend(each(kind, "proof", |c| &mut c.isolation));
    all.extend(each(kind, "pair of the first proof", |c| {
        &mut c.isolation[0].dead
    }));
    all.extend(each(kind, "pair of the second proof", |c| {
        &mut c.isolation[1].dead
    }));
    for proof in [0, 1] {
        all.push(one(kind, "live source before", |c| {
            c.isolation[proof].proved_before = None;
        }));
        all.push(one(kind, "live source after", |c| {
            c.isolation[proof].proved_after = None;
        }));
        all.push(one(kind, "lock", |c| c.isolation[proof].locked = None));
    }
    let sound = read(&text(kind)).circuits.remove(0);
    for (i, check) in sound.torque.iter().enumerate() {
        all.push(one(kind, &format!("tool of {}", check.connection), |c| {
            c.torque[i].with = None
        }));
    }
    for place in &sound.places {
        let own = |id: &str| place.connections.iter().any(|c| c.id == id);
        all.push(one(kind, &place.id, |c| without(c, own)));
    }
    for (_, connection) in sound.connections() {
        all.push(one(kind, &connection.id, |c| {
            without(c, |id| id == connection.id);
        }));
    }
    all.push(one(kind, "heat", |c| c.heat = None));
    all.extend(each(kind, "round", rounds));
    for round in [1, 2] {
        all.push(one(kind, &format!("air of round {round}"), |c| {
            rounds(c)[round].air = None;
        }));
    }
    // In three phases the neutral carries nothing.
    let three = sound.supply.legs.len() > 3;
    let carries = |id: &str| !three || !id.ends_with("-N");
    for round in [0, 1, 2] {
        let readings = sound.heat.iter().flat_map(|h| &h.rounds[round].readings);
        for (id, _) in readings.filter(|(id, _)| carries(id)) {
            all.push(one(kind, &format!("{id} in round {round}"), |c| {
                rounds(c)[round].readings.retain(|(own, _)| own != id);
            }));
        }
    }
    all
}

#[test]
fn nothing_left_out_reads_as_sound() {
    for kind in KINDS {
        let parts = parts(kind);
        assert!(parts.len() > 50, "{kind}: {}", parts.len());
        for (what, visit) in parts {
            let a = judged(kind, &visit);
            let missing: Vec<&str> = a.limitations.iter().map(|l| l.id.word()).collect();
            assert_ne!(
                (a.complete, a.outcome),
                (true, Outcome::Satisfactory),
                "{kind} without {what}: {missing:?}"
            );
            // An exception is a reading that the result can be judged without.
            if a.complete {
                let said = a.limitations.iter().any(|l| l.id.exception());
                assert!(said, "{kind} without {what}: {missing:?}");
                continue;
            }
            assert_eq!(a.outcome_word(), "incomplete", "{kind} without {what}");
            assert_eq!(
                a.charging_word(),
                "not-fully-checked",
                "{kind} without {what}"
            );
            // What was not done has a date by which it is finished, and no later than usual.
            let sound = judged(kind, &read(&text(kind)));
            let dates = a.next_due.date.zip(sound.next_due.date);
            assert!(
                dates.is_none_or(|(due, usual)| due < usual),
                "{kind} without {what}: {dates:?}"
            );
        }
    }
}
