//! Whatever a visit brings, the result is on one page, and the seal with it.

use crate::compose_common::{Case, EXAMPLES};
use crate::pdf_common::Pdf;
use std::fmt::Write;
use warmlug::compose::document::{Block, Document};
use warmlug::pdf::{Id, Object, text};
use warmlug::typeset;
use warmlug::visit::Grade;

/// The page on which the field of the seal is, and that on which the findings begin.
fn places(document: &Document) -> (usize, usize) {
    let pdf = Pdf::load(&typeset::render(document).unwrap());
    let pages = pdf.pages();
    let page_of = |id: Id| pages.iter().position(|page| *page == id).unwrap();
    let string = |object: Option<&Object>| {
        let string = object.and_then(Object::as_string);
        string.map(|s| text::decoded(&s.bytes)).unwrap_or_default()
    };
    let seal = pdf.dicts().find(|d| string(d.get(b"T")) == "Seal").unwrap();
    let seal = page_of(seal.get(b"P").unwrap().as_reference().unwrap());
    let findings = pdf.dicts().find(|d| string(d.get(b"Title")) == "Findings");
    let to = findings.unwrap().get(b"Dest").unwrap();
    let to = pdf.follow(to).as_array().unwrap()[0]
        .as_reference()
        .unwrap();
    (seal, page_of(to))
}

/// A visit of one circuit with so many connections, overdue instruments and steps left out, and names
/// of a length.
fn visit(connections: usize, overdue: usize, missing: bool, length: usize) -> String {
    let long = |name: &str| -> String {
        let filled = format!("{name} ").repeat(length / (name.len() + 1) + 1);
        filled[..length.max(name.len())].trim().to_owned()
    };
    let id = |i: usize| -> String {
        let id = format!("c{i}-L{}", 1 + i % 2);
        if length < 40 {
            id
        } else {
            format!("{id}-{}", "x".repeat(39 - id.len()))
        }
    };
    let each = |sentence: &dyn Fn(usize) -> String| -> String {
        (0..connections)
            .map(sentence)
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut source = format!(
        "visit: {{ number: {number}, date: 2026-10-06, reason: periodic, rules: us }}\n\
         print: {{ units: us, paper: letter, language: en }}\n\
         inspector: {{ name: {}, firm: {}, licence: {} }}\n\
         client: {{ name: {}, role: owner, address: {} }}\n\
         site: {{ name: {}, address: {} }}\n\
         instruments:\n  gun: {{ kind: infrared-thermometer, serial: A1, accuracy: {{ of_reading: 1 %, at_least: 1 °C }} }}\n",
        long("Dana Voss"),
        long("Voss Electric"),
        long("EL-00417"),
        long("Lee Park"),
        long("4 Mill Lane"),
        long("Sample House"),
        long("12 Maple Court"),
        number = "2026-0001",
    );
    for i in 0..overdue {
        writeln!(
            source,
            "  meter{i}: {{ kind: multimeter, serial: {}, calibration_due: 2026-01-01 }}",
            long("M-100")
        )
        .unwrap();
    }
    write!(
        source,
        "circuits:\n  - id: bay-1\n    name: {}\n    charger: {{ make: {}, rated_current: 40 A, connection: hardwired }}\n    \
         supply: {{ phases: 1, legs: [L1, L2], voltage: 240 V }}\n    breaker: {{ rating: 50 A, poles: 2 }}\n    \
         conductors: {{ material: copper, size: 6 AWG, insulation: 90 °C }}\n    places:\n      - id: breaker\n        \
         name: {}\n        connections: [{}]\n",
        long("Bay 1"),
        long("Nimbrel"),
        long("Breaker terminals"),
        each(&|i| format!("{{ id: {}, leg: L{}, kind: screw-terminal }}", id(i), 1 + i % 2)),
    )
    .unwrap();
    if !missing {
        write!(
            source,
            "    heat:\n      with: gun\n      charging_from: \"09:50\"\n      rounds:\n        \
             - {{ at: \"10:55\", air: 61 °F, current: 40 A, readings: {{ {} }} }}\n",
            each(&|i| format!("{}: {} °F", id(i), 90 + i % 2)),
        )
        .unwrap();
    }
    source
}

#[test]
fn the_result_is_on_one_page_with_the_seal() {
    for connections in [1, 2, 40] {
        for overdue in [0, 1, 20] {
            for missing in [false, true] {
                for length in [0, 119] {
                    let case = Case::new(&visit(connections, overdue, missing, length), &[]);
                    let document = case.certificate();
                    assert_eq!(
                        places(&document),
                        (0, 1),
                        "{connections} connections, {overdue} overdue, missing: {missing}, names of {length}"
                    );
                    // What is not listed is counted, with a link to where it is.
                    let listed = document.body.iter().find_map(|block| match block {
                        Block::List { items, .. } => Some(items),
                        _ => None,
                    });
                    let asking = case
                        .assessment
                        .findings
                        .iter()
                        .filter(|f| f.grade > Grade::Pass);
                    let asking = asking.count();
                    if asking > 0 {
                        let listed = listed.unwrap();
                        let last = listed.last().unwrap().0.last().unwrap().link.as_deref();
                        let more = last == Some("#findings");
                        let count = listed.len() - usize::from(more);
                        assert!((1..=6).contains(&count), "{count}");
                        assert_eq!(more, count < asking);
                    }
                }
            }
        }
    }
}

#[test]
fn so_it_is_in_the_examples() {
    for name in EXAMPLES {
        assert_eq!(places(&Case::example(name).certificate()), (0, 1), "{name}");
    }
}
