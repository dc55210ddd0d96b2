//! `warmlug worksheet` and `fill`.

use crate::pdf_common::Pdf;
use crate::run::{Bench, visit};
use warmlug::pdf::Object;

/// A next visit and its sheet.
fn sheet(bench: &Bench) {
    let ran = bench.run(&[
        "new",
        "--from",
        &visit("townhouse-return"),
        "--date",
        "2025-11-12",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["worksheet", "visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

/// Types into fields of the sheet; gives the names of all of them.
fn typed(bench: &Bench, values: &[(&str, &str)]) -> Vec<String> {
    let mut pdf = Pdf::load(&std::fs::read(bench.path("worksheet.pdf")).unwrap());
    let mut names = Vec::new();
    for dict in pdf.dicts_mut() {
        if !dict.is_name(b"Subtype", b"Widget") {
            continue;
        }
        let name = dict.get(b"T").unwrap().as_string().unwrap();
        let name = String::from_utf8(name.bytes.clone()).unwrap();
        if let Some((_, value)) = values.iter().find(|(n, _)| *n == name) {
            dict.set("V", Object::literal(*value));
        }
        names.push(name);
    }
    std::fs::write(bench.path("filled.pdf"), pdf.save()).unwrap();
    names
}

#[test]
fn every_connection_has_its_boxes() {
    let bench = Bench::new();
    sheet(&bench);
    let names = typed(&bench, &[]);
    for connection in ["breaker-L1", "breaker-L2", "stab-L1", "charger-L2"] {
        for round in 1..=3 {
            let name = format!("garage/heat/{round}/{connection}");
            assert!(names.contains(&name), "{name}");
        }
        let screw = !connection.starts_with("stab");
        let torque = format!("garage/torque/{connection}/found");
        assert_eq!(names.contains(&torque), screw, "{torque}");
    }
    assert_eq!(
        bench.run(&["worksheet", "visit.yaml"]).code,
        1,
        "never over a filled one"
    );
}

#[test]
fn what_is_typed_comes_back_into_the_file() {
    let bench = Bench::new();
    sheet(&bench);
    let before = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    typed(
        &bench,
        &[
            ("garage/torque/breaker-L1/found", "30"),
            ("garage/torque/breaker-L1/left", "45 in-lb"),
        ],
    );
    let shown = bench.run(&["fill", "visit.yaml", "--with", "filled.pdf", "-o", "-"]);
    assert_eq!(shown.code, 0, "{}", shown.err);
    let unchanged = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    assert_eq!(unchanged, before, "-o leaves the file as it is");
    let ran = bench.run(&["fill", "visit.yaml", "--with", "filled.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("2 values filled in"), "{}", ran.err);
    let after = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    assert_eq!(after, shown.out);
    let check = bench.run(&["check", "visit.yaml"]);
    assert!(check.out.contains("Torque, found low"), "{}", check.out);
}

#[test]
fn a_value_that_cannot_be_read_changes_nothing() {
    let bench = Bench::new();
    sheet(&bench);
    let before = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    typed(
        &bench,
        &[
            ("garage/heat/1/breaker-L1", "warm"),
            ("garage/heat/1/at", "9:40"),
        ],
    );
    let ran = bench.run(&["fill", "visit.yaml", "--with", "filled.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("breaker-L1: warm"), "{}", ran.err);
    assert!(ran.err.contains("not changed"), "{}", ran.err);
    assert_eq!(
        std::fs::read_to_string(bench.path("visit.yaml")).unwrap(),
        before
    );
    let empty = bench.run(&["fill", "visit.yaml", "--with", "worksheet.pdf"]);
    assert_eq!(empty.code, 1);
    assert!(
        empty.err.contains("no box of the sheet is filled in"),
        "{}",
        empty.err
    );
    let none = bench.run(&["fill", "visit.yaml", "--with", "visit.yaml"]);
    assert_eq!(none.code, 1);
    assert!(none.err.contains("cannot be read as a PDF"), "{}", none.err);
}

#[test]
fn an_existing_file_is_filled_over_as_the_message_says() {
    let bench = Bench::new();
    sheet(&bench);
    typed(&bench, &[("garage/torque/breaker-L1/found", "held")]);
    bench.write("other.yaml", "kept");
    let mut args = vec![
        "fill",
        "visit.yaml",
        "--with",
        "filled.pdf",
        "-o",
        "other.yaml",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("replace it with --force"), "{}", ran.err);
    let text = || std::fs::read_to_string(bench.path("other.yaml")).unwrap();
    assert_eq!(text(), "kept");
    args.push("--force");
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(text().contains("found: held"), "{}", text());
}

/// The sheet of the visit in this folder as the browser application shows it, and its words.
fn shown(bench: &Bench) -> (String, serde_json::Value) {
    let visit = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    let (_, earlier) = visit.split_once("\nearlier: [").unwrap();
    let named = earlier.split(']').next().unwrap().split(',');
    let files = named.map(|name| {
        let name = name.trim().trim_matches('"').to_owned();
        let bytes = std::fs::read(bench.path("visit.yaml").with_file_name(&name)).unwrap();
        (name, bytes)
    });
    // The application asks for the pictures that the visit file names.
    let pictures = ["logo: ", "signature: "].map(|key| {
        let rest = visit.split_once(key).unwrap().1;
        let name = rest.lines().next().unwrap().trim().to_owned();
        let bytes = std::fs::read(bench.path("visit.yaml").with_file_name(&name)).unwrap();
        (name, bytes)
    });
    let files = files.chain(pictures);
    let message = warmlug::web::message::Message {
        head: serde_json::json!({ "do": "sheet", "visit": visit, "now": "2025-11-12T08:00:00-05:00" }),
        files: files.collect(),
    };
    let answer = warmlug::web::answer(&message.bytes());
    let answer = warmlug::web::message::Message::read(&answer).unwrap().head;
    let html = answer["html"]
        .as_str()
        .unwrap_or_else(|| panic!("{answer}"));
    (html.to_owned(), answer["words"].clone())
}

#[test]
fn the_application_speaks_the_language_of_the_visit() {
    let bench = Bench::new();
    sheet(&bench);
    let visit = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    bench.write("visit.yaml", &visit.replace("language: en", "language: de"));
    let (html, words) = shown(&bench);
    assert!(html.contains("<option value=\"gehalten\">"), "{html}");
    for (word, german) in [
        ("photos", "Fotos"),
        ("take", "Foto aufnehmen"),
        ("now", "Jetzt"),
    ] {
        assert_eq!(words[word], german);
    }
    for english in ["Safety", "Torque", "held", "clean"] {
        assert!(!html.contains(english), "{english}");
    }
}

#[test]
fn the_application_has_the_same_boxes() {
    let bench = Bench::new();
    sheet(&bench);
    let names = typed(&bench, &[]);
    let (html, _) = shown(&bench);
    for name in &names {
        let boxes = html.matches(&format!("<input name=\"{name}\"")).count();
        assert_eq!(boxes, 1, "{name}");
    }
    assert_eq!(html.matches("<input name=").count(), names.len());
    // A note that is missing has no place: comparing options would let it pass.
    let at = |text: &str| html.find(text).unwrap_or_else(|| panic!("no {text:?}"));
    assert!(at("Electrical work can kill") < at("1. Isolate and prove dead"));
}

#[test]
fn a_link_holds_the_visit_and_says_whose_data_it_is() {
    let bench = Bench::new();
    sheet(&bench);
    let ran = bench.run(&[
        "worksheet",
        "visit.yaml",
        "--link",
        "https://firm.example/app",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.starts_with("https://firm.example/app/#link/"));
    let said = ran.err.replace('\n', " ");
    assert!(said.contains("the client's data"), "{said}");
    // ISO/IEC 18004, table 7: at most 2,953 bytes in a code.
    if ran.out.trim().len() <= 2953 {
        assert!(said.contains('█'), "{said}");
    } else {
        assert!(said.contains("more than a code can hold (2953)"), "{said}");
    }
    let ran = bench.run(&["worksheet", "visit.yaml", "--link", "firm.example"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("begins with https://"), "{}", ran.err);
    let ran = bench.run(&[
        "worksheet",
        "visit.yaml",
        "--link",
        "http://192.168.0.7:8463/",
    ]);
    assert!(ran.err.contains("nothing can be signed"), "{}", ran.err);
}

/// Notes of the steps, each below its own heading.
const STEP_NOTES: [(&str, &str); 6] = [
    ("isolation.heading", "isolation.text"),
    ("isolation.heading", "isolation.dead-hint"),
    ("condition.heading", "condition.stop-hint"),
    ("torque.heading", "torque.text"),
    ("heat.heading", "heat.text"),
    ("close.heading", "close.text"),
];

#[test]
fn the_sheet_has_every_caution_in_every_language() {
    for language in warmlug::visit::LANGUAGES {
        let bench = Bench::new();
        sheet(&bench);
        let visit = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
        let (head, rest) = visit.split_once("language: en").unwrap();
        let visit = format!("{head}language: {language}{rest}");
        std::fs::write(bench.path("visit.yaml"), visit).unwrap();
        let (page, _) = shown(&bench);
        let wording = warmlug::compose::Wording::built_in(language).unwrap();
        let texts: std::collections::BTreeMap<_, _> = wording.entries().collect();
        // What comes before the first place that the program fills.
        let said = |key: &str| {
            let text = texts.get(key).unwrap_or_else(|| panic!("no key {key}"));
            let fixed = text.split('{').max_by_key(|part| part.len()).unwrap();
            fixed.split('}').next_back().unwrap().trim().to_owned()
        };
        let at = |key: &str| {
            let text = said(key);
            assert!(text.len() > 8, "{language}: {key}");
            page.find(&text)
                .unwrap_or_else(|| panic!("{language}: {key} is missing: {text}"))
        };
        let first_step = at("worksheet.isolation.heading");
        let notes: Vec<&str> = texts
            .keys()
            .copied()
            .filter(|k| {
                k.starts_with("safety.") && !k.ends_with(".signal") && !k.ends_with(".heading")
            })
            .collect();
        assert!(notes.len() >= 8);
        for note in notes {
            assert!(at(note) < first_step, "{language}: {note}");
        }
        for (heading, note) in STEP_NOTES {
            let (heading, note) = (format!("worksheet.{heading}"), format!("worksheet.{note}"));
            assert!(at(&heading) < at(&note), "{language}: {note}");
        }
    }
}

/// Headings of the sheet's steps, in their order on the page.
fn steps(page: &str) -> Vec<&str> {
    page.split("<h3>")
        .skip(1)
        .filter_map(|rest| rest.split_once("</h3>"))
        .map(|(heading, _)| heading)
        .filter(|h| h.starts_with(|c: char| c.is_ascii_digit()))
        .collect()
}

/// The sheet as a page, for a visit with this reason.
fn page_of(bench: &Bench, reason: &str) -> String {
    let visit = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    let (before, rest) = visit.split_once("\n  reason: ").unwrap();
    let (_, after) = rest.split_once('\n').unwrap();
    bench.write(
        "visit.yaml",
        &format!("{before}\n  reason: {reason}\n{after}"),
    );
    shown(bench).0
}

#[test]
fn temperatures_come_before_torque_where_an_installation_is_inspected_as_found() {
    let bench = Bench::new();
    sheet(&bench);
    let as_found = [
        "1. Isolate and prove dead",
        "2. Look for damage",
        "3. Measure the temperatures",
        "4. Prove dead again",
        "5. Check the torque, cold and proved dead",
        "6. If you repaired something",
        "7. Close the covers",
    ];
    let new = [
        "1. Isolate and prove dead",
        "2. Look for damage",
        "3. Check the torque, cold and proved dead",
        "4. Measure the temperatures",
        "5. Prove dead again",
        "6. If you repaired something",
        "7. Close the covers",
    ];
    // Before screws are touched after readings under load, the circuit is proved dead once more.
    let again = "prove dead again at each point of work";
    for (reason, order) in [
        ("periodic", as_found),
        ("change-of-owner", as_found),
        ("first", new),
        ("after-repair", new),
    ] {
        let page = page_of(&bench, reason);
        assert_eq!(steps(&page), order, "{reason}");
        let torque = page.split("Check the torque").nth(1).unwrap();
        assert_eq!(torque.contains(again), order == as_found, "{reason}");
        assert_eq!(page.contains(again), order == as_found, "{reason}");
        for (name, _) in REPAIRED {
            assert!(page.contains(&format!("name=\"{name}\"")), "{name}");
        }
    }
}

#[test]
fn the_sheet_says_at_the_box_what_stops_the_work() {
    let bench = Bench::new();
    sheet(&bench);
    let page = page_of(&bench, "periodic");
    let row_of = |field: &str| {
        let before = page.split(&format!("name=\"{field}\"")).next().unwrap();
        before
            .rsplit("<div class=\"row\">")
            .next()
            .unwrap()
            .to_owned()
    };
    for place in ["breaker", "stabs", "charger"] {
        let row = row_of(&format!("garage/looked_at/{place}/seen"));
        assert!(row.contains("“discolored” or “melted”: STOP"), "{row}");
    }
    for pair in ["L1-L2", "L1-G", "L2-G"] {
        let row = row_of(&format!("garage/isolation/dead/{pair}"));
        assert!(
            row.contains("Not dead: STOP, do not touch anything"),
            "{row}"
        );
    }
    for field in ["proved_before", "proved_after"] {
        let row = row_of(&format!("garage/isolation/{field}"));
        assert!(row.contains("stop if there are none"), "{row}");
    }
    // What the page's script compares with: the words as typed and as in the file, and the volts
    // of a dead circuit (3 V, common practice, no source).
    let (_, words) = shown(&bench);
    assert_eq!(words["stops"]["dead"], 3.0);
    assert_eq!(
        words["stops"]["seen"],
        serde_json::json!(["discoloured", "discolored", "melted", "melted"])
    );
}

#[test]
fn what_comes_next_names_the_file_that_was_written() {
    let bench = Bench::new();
    sheet(&bench);
    let ran = bench.run(&["worksheet", "visit.yaml", "-o", "ours.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let next = "warmlug fill visit.yaml --with ours.pdf";
    assert!(ran.err.contains(next), "{}", ran.err);
}

/// The repair at townhouse-return: the L1 side of the breaker, remade and read again.
const REPAIRED: [(&str, &str); 42] = [
    ("garage/isolation/proved_before", "241"),
    ("garage/isolation/dead/L1-L2", "0"),
    ("garage/isolation/dead/L1-G", "0"),
    ("garage/isolation/dead/L2-G", "0"),
    ("garage/isolation/proved_after", "241"),
    ("garage/isolation/locked", "yes"),
    ("garage/isolation_after/proved_before", "241"),
    ("garage/isolation_after/dead/L1-L2", "0"),
    ("garage/isolation_after/dead/L1-G", "0"),
    ("garage/isolation_after/dead/L2-G", "0"),
    ("garage/isolation_after/proved_after", "241"),
    ("garage/isolation_after/locked", "yes"),
    ("garage/isolation_last/proved_before", "241"),
    ("garage/torque/breaker-L1/found", "30"),
    ("garage/torque/breaker-L1/left", "45"),
    ("garage/torque/breaker-L1/when", "after"),
    ("garage/torque/breaker-L2/found", "held"),
    ("garage/torque/breaker-L2/when", "11:20"),
    ("garage/not_read/charger/why", "closed-while-charging"),
    (
        "garage/not_read/charger/note",
        "The cover trips an interlock.",
    ),
    ("garage/heat/charging_from", "09:50"),
    ("garage/heat/2/at", "10:05"),
    ("garage/heat/2/air", "66"),
    ("garage/heat/2/current", "40"),
    ("garage/heat/2/breaker-L1", "110"),
    ("garage/heat/2/breaker-L2", "84"),
    ("garage/repairs/1/connection", "breaker-L1"),
    ("garage/repairs/1/done", "part-replaced"),
    ("garage/repairs/1/part", "Sample Works B250: 50 A"),
    ("garage/repairs/1/at", "12:10"),
    ("garage/repairs/1/cooled_to", "68"),
    ("garage/repairs/1/with", "imager"),
    ("garage/repairs/2/connection", "breaker-L2"),
    ("garage/repairs/2/done", "re-torqued"),
    ("garage/repairs/2/at", "12:20"),
    ("garage/heat_after/charging_from", "12:40"),
    ("garage/heat_after/2/at", "12:55"),
    ("garage/heat_after/2/air", "67"),
    ("garage/heat_after/2/current", "40"),
    ("garage/heat_after/2/breaker-L1", "85"),
    ("garage/left_as/state", "off-and-locked"),
    ("garage/left_as/key", "Lee Park"),
];

#[test]
fn a_repair_and_what_was_left_come_back_into_the_file() {
    let bench = Bench::new();
    sheet(&bench);
    let names = typed(&bench, &REPAIRED);
    for (name, _) in REPAIRED {
        assert!(names.iter().any(|n| n == name), "{name}");
    }
    let ran = bench.run(&["fill", "visit.yaml", "--with", "filled.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    let visit =
        warmlug::visit::read(&text, "visit.yaml", &warmlug::record::accepted::Accepted).unwrap();
    let circuit = &visit.circuits[0];
    use warmlug::visit::{LeftState, RepairDone, When, WhyNotRead};
    let proofs: Vec<_> = circuit.isolation.iter().map(|i| i.when).collect();
    let after = Some(When::After);
    assert_eq!(proofs, [Some(When::Before), after, after]);
    assert_eq!(circuit.torque[0].when, after);
    assert!(matches!(circuit.torque[1].when, Some(When::At(_))));
    assert_eq!(circuit.not_read[0].place, "charger");
    assert_eq!(circuit.not_read[0].why, WhyNotRead::ClosedWhileCharging);
    let [first, second] = circuit.repairs.as_slice() else {
        panic!("{text}");
    };
    assert_eq!(first.connection, "breaker-L1");
    assert_eq!(first.done, RepairDone::PartReplaced);
    assert_eq!(first.part.as_deref(), Some("Sample Works B250: 50 A"));
    assert!((first.cooled_to.unwrap().fahrenheit() - 68.0).abs() < 1e-9);
    assert_eq!(first.with.as_deref(), Some("imager"));
    assert_eq!(second.done, RepairDone::ReTorqued);
    let heat = circuit.heat_after.as_ref().unwrap();
    assert_eq!(heat.with, "imager");
    assert_eq!(heat.rounds[0].readings[0].0, "breaker-L1");
    let left = circuit.left_as.as_ref().unwrap();
    assert_eq!(left.state, LeftState::OffAndLocked);
    assert_eq!(left.key.as_deref(), Some("Lee Park"));
    let check = bench.run(&["check", "visit.yaml"]);
    assert_eq!(check.code, 0, "{}", check.err);
    assert!(check.out.contains("Lee Park"), "{}", check.out);
    // What the form of a new visit proposes can be read once its marks are gone.
    assert!(text.contains("# not_read: [ { place: "), "{text}");
    assert!(text.contains("when: after"), "{text}");
}
