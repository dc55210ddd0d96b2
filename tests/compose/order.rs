//! What whoever repairs reads on a repair order, and what a client reads in a letter: the right
//! connection, torque, deadline and current, every caution, and nothing of another circuit.

use crate::compose_common::{Case, readable, time};
use warmlug::assess::Charging;
use warmlug::compose::document::{Block, Document, Signal};
use warmlug::compose::letter::{self, Due};
use warmlug::compose::repair_order::{Origin, repair_order};
use warmlug::quantity::Current;
use warmlug::visit::Grade;

fn origin(case: &Case, compared: bool) -> Origin {
    Origin {
        sha256: "0123456789abcdef".repeat(4),
        compared,
        photos: Ok(case.images().photos),
    }
}

/// The order of the whole visit.
fn order(case: &Case) -> Document {
    let speaker = case.speaker();
    repair_order(&speaker, &speaker.jobs(), origin(case, true), time())
}

/// As text with ordinary spaces.
fn text(document: &Document) -> String {
    readable(document).replace('\u{a0}', " ")
}

/// The text from one heading to the next of its level or above.
fn part<'t>(text: &'t str, heading: &str) -> &'t str {
    let at = text
        .find(heading)
        .unwrap_or_else(|| panic!("{heading} is not in\n{text}"));
    let level = text[at..].chars().take_while(|c| *c == '=').count();
    let mut end = text.len();
    for higher in 1..=level {
        let next = format!("\n{} ", "=".repeat(higher));
        if let Some(found) = text[at + 1..].find(&next) {
            end = end.min(at + 1 + found);
        }
    }
    &text[at..end]
}

#[track_caller]
fn has(text: &str, all: &[&str]) {
    for told in all {
        assert!(text.contains(told), "`{told}` is not in\n{text}");
    }
}

#[track_caller]
fn lacks(text: &str, all: &[&str]) {
    for told in all {
        assert!(!text.contains(told), "`{told}` is in\n{text}");
    }
}

fn example(name: &str, changes: &[(&str, &str)]) -> Case {
    let mut source = std::fs::read_to_string(format!("examples/{name}/visit.yaml")).unwrap();
    for (from, to) in changes {
        assert!(source.contains(from), "{from}");
        source = source.replace(from, to);
    }
    Case::new(&source, &[])
}

#[test]
fn a_job_says_what_shows_it_what_to_do_by_when_and_at_which_torque() {
    let case = Case::example("townhouse-return");
    let said = text(&order(&case));
    // The digest of `origin`, in groups that can be read aloud.
    has(
        &said,
        &[
            "[verdict] (danger) Keep switched off until it is repaired and measured",
            "May I charge? No.",
            "How we left it: Switched off and locked; the key is with Ruth Calder.",
            "Certificate: 2025-0046",
            "SHA-256 of the certificate: 01234567 89abcdef 01234567 89abcdef 01234567 89abcdef 01234567 89abcdef",
            "Inspected: May 14, 2025",
            "Inspector: Maren Ody, Brindlewick Electric",
            "Site: Garage of 7 Larkmoor Row, 7 Larkmoor Row, Fernhollow",
            "Client: Ruth Calder, 7 Larkmoor Row, Fernhollow",
        ],
    );
    lacks(&said, &["Nobody has compared the key"]);
    let job = part(&said, "=== 1. Poor connection: Breaker terminals, panel A");
    has(
        job,
        &[
            "(warning) *Repair*",
            "the connection on the L1 side is poor and gets too hot.",
            "Action: *Repair breaker-L1. Follow the steps for a hot connection",
            // The screw moved at 30 in·lb of 45, as the visit file says.
            "the screw moved at 30 in·lb; 45 in·lb is specified",
            "May I charge?: No",
            "Deadline: Before the circuit is used again",
            "Part: Overcurrent device: 50 A, 2 poles",
            "1 (breaker-L1)",
            "began to move at 30 in·lb",
        ],
    );
    lacks(job, &["breaker-L2)", "charger-L1"]);
    // Specified and final, both 45.0: the only numbers of the row with a decimal.
    assert_eq!(job.matches("45.0").count(), 2, "{job}");
    let later = part(&said, "== To be checked on the next occasion");
    has(
        later,
        &[
            "(notice) *Note*",
            "Action: *Measure stab-L2 for longer",
            "stab-L2)",
        ],
    );
    lacks(later, &["May I charge?"]);
    let after = part(&said, "== After the repair");
    has(
        after,
        &[
            "Have these connections measured again: 1 (breaker-L1). Without load",
            "the circuit stays off and locked until its result is known",
            "Write down for each connection what was done",
        ],
    );
    lacks(after, &["stab-L2"]);
}

#[test]
fn the_cautions_and_the_steps_are_whole() {
    let case = Case::example("townhouse-return");
    let speaker = case.speaker();
    let jobs = speaker.jobs();
    assert_eq!(jobs.len(), 2);
    let cautions = |document: &Document| -> Vec<(String, usize)> {
        let all = document.body.iter();
        all.filter_map(|block| match block {
            Block::Caution { title, items, .. } => Some((title.clone(), items.len())),
            _ => None,
        })
        .collect()
    };
    // Eight notes on safety and five steps; the steps are there once, with or without later jobs.
    let whole = [
        ("WARNING".to_owned(), 8),
        ("Never touch a fastener that is energized.".to_owned(), 5),
    ];
    for jobs in [&jobs[..], &jobs[..1]] {
        let document = repair_order(&speaker, jobs, origin(&case, true), time());
        assert_eq!(cautions(&document), whole);
    }
    let said = text(&order(&case));
    let steps = said.find("Steps for a hot connection").unwrap();
    let later = said.find("== To be checked on the next occasion").unwrap();
    assert!(steps < later, "{said}");
    // Only something to check later: no repair is to be measured, but what was done is written down.
    let later = repair_order(&speaker, &jobs[1..], origin(&case, true), time());
    let after = text(&later);
    let after = part(&after, "== When this is done");
    lacks(
        after,
        &["Have these connections measured again", "stays off"],
    );
    has(after, &["Write down"]);
}

#[test]
fn whoever_repairs_learns_whether_the_circuit_may_be_used_meanwhile() {
    let mut case = Case::example("landlord-six");
    let said = text(&order(&case));
    // The strictest of the circuits counts, not the last.
    has(
        &said,
        &[
            "[verdict] (danger) Keep switched off",
            "*Bay 4, fourth from the stair* May I charge? No.",
            "the key is with Pellwood Court Lettings.",
            "*Bay 6, by the gate* May I charge? Yes, as usual.",
            "Poor connection: Breaker terminals, car park panel, Bay 4, fourth from the stair",
            "20 (breaker-L2), Bay 4, fourth from the stair",
        ],
    );
    lacks(&said, &["Bay 1,", "Bay 2,"]);
    for (charging, signal, title) in [
        (
            Charging::AtMost(Current::from_ampere(24.0)),
            Signal::Warning,
            "Until it is repaired, only with a lower current",
        ),
        (
            Charging::AsUsual,
            Signal::Notice,
            "May stay in use until the repair",
        ),
    ] {
        for circuit in &mut case.assessment.circuits {
            circuit.charging = charging;
        }
        for finding in &mut case.assessment.findings {
            finding.charging = charging;
        }
        let document = order(&case);
        let verdict = document.body.iter().find_map(|block| match block {
            Block::Verdict { signal, title, .. } => Some((*signal, title.as_str())),
            _ => None,
        });
        assert_eq!(verdict, Some((signal, title)));
        let said = text(&document);
        let asked = said.contains("May I charge?: At most 24 A");
        assert_eq!(asked, charging != Charging::AsUsual, "{said}");
        lacks(&said, &["the circuit stays off and locked"]);
    }
}

#[test]
fn a_job_has_the_torque_of_its_own_connection_or_says_that_there_is_none() {
    let of_job = |changes: &[(&str, &str)]| {
        let case = example("townhouse-return", changes);
        let said = text(&order(&case));
        part(&said, "=== 1. Poor connection").to_owned()
    };
    let own = "id: breaker-L1, leg: L1, kind: screw-terminal, torque: 45";
    has(
        &of_job(&[(
            own,
            "id: breaker-L1, leg: L1, kind: screw-terminal, torque: 41",
        )]),
        &["41.0"],
    );
    let unknown = of_job(&[(own, "id: breaker-L1, leg: L1, kind: screw-terminal")]);
    has(&unknown, &["not on record; see the marking"]);
    // NFPA 70 (2023), Informative Annex I, Table I.1: No. 10 or larger with a slot up to 1/4 in long,
    // conductors of 6-4 AWG: 35 in·lb.
    let screw = of_job(&[(
        own,
        "id: breaker-L1, leg: L1, kind: screw-terminal, screw: slotted-10",
    )]);
    has(
        &screw,
        &[
            "35.0",
            "breaker-L1: the manufacturer’s torque was not given",
            "Table I.1",
        ],
    );
    let moved = |found: &str| {
        of_job(&[(
            "breaker-L1, found: 30,",
            &format!("breaker-L1, found: {found},"),
        )])
    };
    has(&moved("moved"), &["moved before the specified torque"]);
    let held = moved("held");
    has(&held, &["| held |"]);
    lacks(&held, &["| moved", "began to move"]);
    // What it was left at is not what is specified.
    has(
        &of_job(&[("found: 30, left: 45", "found: 30, left: 44")]),
        &["45.0", "44.0"],
    );
}

#[test]
fn a_job_shows_only_photos_and_marks_of_its_own_connections() {
    let marks = "circuits:\n";
    let photos = "photos:
  - { id: a, file: a.jpg, caption: Bay 4 panel, circuit: bay-4, marks: { breaker-L2: [0.1, 0.2], breaker-L1: [0.3, 0.4] } }
  - { id: b, file: b.jpg, caption: Bay 1 panel, circuit: bay-1, marks: { breaker-L2: [0.1, 0.2] } }
  - { id: c, file: c.jpg, caption: Bay 4 charger, circuit: bay-4, marks: { charger-L1: [0.1, 0.2] } }
  - { id: d, file: d.jpg, caption: Without a mark, circuit: bay-4 }

circuits:
";
    let case = example("landlord-six", &[(marks, photos)]);
    let document = order(&case);
    let shown: Vec<_> = document
        .body
        .iter()
        .filter_map(|block| match block {
            Block::Photo(photo) => Some(photo),
            _ => None,
        })
        .collect();
    assert_eq!(shown.len(), 1, "{shown:?}");
    assert!(shown[0].caption.starts_with("Bay 4 panel"), "{shown:?}");
    let marked: Vec<_> = shown[0]
        .marks
        .iter()
        .map(|(_, at, id)| (*at, id.as_str()))
        .collect();
    assert_eq!(marked, [([0.1, 0.2], "breaker-L2")]);
    // The first photo of the visit.
    assert_eq!(document.images[shown[0].image].sha256_of_original, [0; 32]);
}

#[test]
fn a_milder_judgement_a_missing_photo_and_an_uncompared_key_are_told() {
    let mut case = Case::example("townhouse-return");
    let worst = case.assessment.findings[0].evidence[0];
    case.assessment.checks[worst].judgement = Some((Grade::Note, "I know this panel.".to_owned()));
    let speaker = case.speaker();
    let origin = Origin {
        photos: Err("a photo is damaged".to_owned()),
        ..origin(&case, false)
    };
    let said = text(&repair_order(&speaker, &speaker.jobs(), origin, time()));
    has(
        &said,
        &[
            "I know this panel.",
            "cannot be shown here: a photo is damaged.",
            "Nobody has compared the key of that certificate",
        ],
    );
}

/// What is due of a circuit of a visit.
fn due<'a>(case: &'a Case, circuit: usize, basis: &'a str) -> Due<'a> {
    Due {
        speaker: case.speaker(),
        circuit: &case.visit.circuits[circuit],
        day: Some("2026-03-05".parse().unwrap()),
        basis,
        off: false,
        rest: None,
    }
}

fn of_day(day: &str, due: &[Due<'_>]) -> String {
    let letter = letter::letter(&due[0].speaker, due, day.parse().unwrap(), time());
    text(&letter)
}

#[test]
fn a_letter_is_for_its_client_and_says_what_when_why_and_what_to_prepare() {
    let case = Case::example("landlord-six");
    let said = of_day("2026-02-01", &[due(&case, 3, "repair")]);
    has(
        &said,
        &[
            // The client, not the site.
            "*Pellwood Court Lettings*",
            "2 Assize Street",
            "[small] February 1, 2026",
            "== Bay 4, fourth from the stair, Car park of Pellwood Court",
            "(notice) *Due by March 5, 2026*",
            "found something that must be repaired",
            "Last inspection: July 22, 2025, certificate 2025-0083",
            "40 Orchard Bank",
            // The charger draws 32 A; the breaker has 40 A.
            "full current of 32 A",
            "Free access to the panel",
            "will be switched off for a while",
            "open no cover and touch no screw yourself",
            "burning smell, smoke, buzzing",
            "make an appointment with us: 555-0142",
            "*Brindlewick Electric*",
        ],
    );
    let recipient = said.find("*Pellwood Court Lettings*").unwrap();
    assert!(
        said[recipient..].starts_with("*Pellwood Court Lettings*\n2 Assize Street"),
        "{said}"
    );
    lacks(&said, &["40 A", "Was due", "Bay 6", "What is left to do"]);
    has(
        &of_day("2026-03-05", &[due(&case, 3, "repair")]),
        &["Due by March 5, 2026"],
    );
    let late = of_day("2026-03-06", &[due(&case, 3, "repair")]);
    has(&late, &["(warning) *Was due by March 5, 2026*"]);
    // The text for mail has the same words.
    let letter = letter::letter(
        &case.speaker(),
        &[due(&case, 3, "repair")],
        "2026-03-06".parse().unwrap(),
        time(),
    );
    let plain = letter::plain(&letter);
    has(
        &plain,
        &[
            "Pellwood Court Lettings",
            "Was due by March 5, 2026",
            "- Please open no cover",
            "Last inspection: July 22, 2025",
        ],
    );
}

#[test]
fn each_reason_for_a_letter_has_its_own_words() {
    let case = Case::example("landlord-six");
    let said = |basis: &'static str| due(&case, 3, basis).reason();
    for (basis, words) in [
        (
            "first",
            "first inspection of a circuit is followed by an early second",
        ),
        ("clean", "Connections change over the years"),
        ("watch", "found something that must be checked again"),
        ("repair", "found something that must be repaired"),
        ("stop", "found something that must be repaired"),
        ("incomplete", "could not be finished"),
        ("trend", "The heat at a connection has grown"),
    ] {
        assert!(said(basis).contains(words), "{basis}: {}", said(basis));
    }
    let off = Due {
        off: true,
        day: None,
        ..due(&case, 3, "stop")
    };
    has(&off.reason(), &["Do not charge there."]);
    let letter = of_day("2026-02-01", &[off]);
    has(&letter, &["(danger) *Do not use*", "first the repair"]);
    lacks(&letter, &["Due by", "half full"]);
}

#[test]
fn a_letter_about_an_unfinished_visit_says_what_is_left_of_this_circuit() {
    let case = Case::example("limited-visit");
    let cut = "cut_short: { why: The tenant had to leave., return: 2026-03-05 }\ncircuits:\n";
    let source = std::fs::read_to_string("examples/limited-visit/visit.yaml").unwrap();
    let rest = Case::new(&source.replacen("circuits:\n", cut, 1), &[]);
    let left = rest.assessment.limitations.iter();
    let left = left.filter(|l| l.incomplete && !l.id.of_the_end()).count();
    let others: Vec<String> = rest
        .assessment
        .limitations
        .iter()
        .filter(|l| !l.incomplete)
        .map(|l| rest.speaker().limitation(l))
        .collect();
    assert!(left > 0 && !others.is_empty());
    let unfinished = || Due {
        rest: Some(rest.speaker()),
        ..due(&case, 0, "clean")
    };
    assert_eq!(unfinished().left().len(), left);
    has(
        &unfinished().reason(),
        &["ended early: The tenant had to leave."],
    );
    let letter = of_day("2026-02-01", &[unfinished()]);
    has(
        &letter,
        &[
            "(caution) *To be finished by 5 March 2026*",
            "What is left to do:",
        ],
    );
    for other in &others {
        lacks(&letter, &[other]);
    }
    // Without the visit that was cut short, an incomplete one leaves the same, a complete one nothing.
    assert!(!due(&case, 0, "incomplete").left().is_empty());
    assert!(due(&case, 0, "clean").left().is_empty());
    // What is left of another circuit is not for this one.
    let mut two = Case::example("landlord-six");
    two.assessment.limitations = case.assessment.limitations.clone();
    for limitation in &mut two.assessment.limitations {
        limitation.circuit = Some("bay-1".to_owned());
        limitation.incomplete = true;
    }
    assert!(due(&two, 3, "incomplete").left().is_empty());
    assert!(!due(&two, 0, "incomplete").left().is_empty());
}

#[test]
fn the_subject_names_every_site_once() {
    let (one, other) = (
        Case::example("landlord-six"),
        Case::example("townhouse-return"),
    );
    let all = [
        due(&one, 0, "clean"),
        due(&one, 1, "clean"),
        due(&other, 0, "clean"),
    ];
    assert_eq!(
        letter::subject(&one.speaker(), &all),
        "Reminder: Car park of Pellwood Court and Garage of 7 Larkmoor Row"
    );
    let said = of_day("2026-02-01", &all);
    // With two sites, what to prepare names the site too.
    has(
        &said,
        &[
            "Charger in the garage, Garage of 7 Larkmoor Row: a car",
            "Bay 1, by the ramp, Car park of Pellwood Court: a car",
        ],
    );
}
