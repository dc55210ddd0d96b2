//! `warmlug order`: exactly what the findings ask for, and the visit after the repair.

use crate::new::filled;
use crate::run::{Bench, visit};
use serde_json::Value;
use std::path::Path;
use warmlug::compose::document::{Block, Document};
use warmlug::compose::repair_order::repair_order;
use warmlug::orders::from_certificate::Certified;
use warmlug::pdf::Object;
use warmlug::record::answers::Answers;
use warmlug::record::contents::OwnEvidence;
use warmlug::seal::VerifyOptions;

/// The lines of a CSV file, as maps from the columns.
fn lines(csv: &[u8]) -> Vec<std::collections::HashMap<String, String>> {
    let text = csv.strip_prefix(b"\xEF\xBB\xBF").unwrap();
    // RFC 4180, 2: lines end with CRLF.
    assert!(text.ends_with(b"\r\n"));
    let mut reader = csv::Reader::from_reader(text);
    reader.deserialize().map(Result::unwrap).collect()
}

/// The findings that ask for something, worst first.
fn asking(json: &Value) -> Vec<&Value> {
    let all = json["findings"].as_array().unwrap();
    all.iter().filter(|f| f["grade"] != "pass").collect()
}

fn json(bench: &Bench, visit: &str) -> Value {
    let ran = bench.run(&["check", visit, "--format", "json"]);
    serde_json::from_str(&ran.out).unwrap()
}

/// The order of a certificate as a document.
fn document(path: &Path) -> Document {
    let pdf = std::fs::read(path).unwrap();
    let answers = Answers::of(&pdf, &VerifyOptions::default(), &OwnEvidence::default());
    let certified = Certified::of(&answers, &pdf).unwrap();
    let speaker = certified.speaker();
    let at = "2026-01-02T10:00:00Z".parse().unwrap();
    repair_order(&speaker, &speaker.jobs(), certified.origin.clone(), at)
}

fn headings(document: &Document) -> Vec<&str> {
    let all = document.body.iter();
    all.filter_map(|block| match block {
        Block::Heading { text, .. } => Some(text.as_str()),
        _ => None,
    })
    .collect()
}

#[test]
fn an_order_lists_each_finding_once_with_its_connections() {
    let bench = Bench::new();
    for example in ["townhouse-return", "receptacle-aluminium", "landlord-six"] {
        bench.certified(example);
        let pdf = format!("{example}.pdf");
        let ran = bench.run(&[
            "order",
            &pdf,
            "-o",
            "order.pdf",
            "--csv",
            "lines.csv",
            "--force",
        ]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.err.contains("nobody has compared the key"),
            "{}",
            ran.err
        );
        let found = json(&bench, &visit(example));
        let asked = asking(&found);
        assert!(!asked.is_empty());
        let lines = lines(&std::fs::read(bench.path("lines.csv")).unwrap());
        assert_eq!(lines.len(), asked.len(), "{example}: {lines:#?}");
        let verified = bench.run(&["verify", &pdf, "--format", "json"]);
        let verified: Value = serde_json::from_str(&verified.out).unwrap();
        for (line, finding) in lines.iter().zip(&asked) {
            assert_eq!(line["finding"], finding["cause"].as_str().unwrap());
            assert_eq!(line["grade"], finding["grade"].as_str().unwrap());
            assert_eq!(
                line["charging"].split(' ').next(),
                finding["charging"].as_str()
            );
            assert_eq!(line["by"], finding["deadline"].as_str().unwrap_or_default());
            assert_eq!(line["sha256"], verified["certificate"]["sha256"]);
            let named: Vec<&str> = finding["connections"]
                .as_array()
                .unwrap()
                .iter()
                .map(|c| c.as_str().unwrap())
                .collect();
            let at: Vec<&str> = line["connections"]
                .split("; ")
                .filter(|c| !c.is_empty())
                .collect();
            assert!(at.iter().all(|c| named.contains(c)), "{line:?} {named:?}");
            assert_eq!(at.is_empty(), named.is_empty(), "{line:?} {named:?}");
            // Without a firm's table, nothing is priced.
            assert_eq!(line["sum"], "");
        }
        let order = document(&bench.path(&pdf));
        let numbered = headings(&order).into_iter().filter(|h| {
            h.split_once(". ")
                .is_some_and(|(n, _)| n.parse::<u32>().is_ok())
        });
        assert_eq!(numbered.count(), asked.len(), "{example}");
    }
}

#[test]
fn an_order_says_what_is_dangerous_and_shows_the_marked_photo() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-return");
    let order = document(&path);
    let words = format!("{:?}", order.body);
    for told in [
        "Keep switched off until it is repaired and measured",
        "This order is not signed.",
        "Nobody has compared the key of that certificate",
        "lock out and tag",
        "prove the circuit dead at each point of work",
        "Never touch a fastener that is energized.",
        "Metal that is tightened hot is loose when it is cold.",
        "45.0",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    let photos: Vec<_> = order
        .body
        .iter()
        .filter_map(|block| match block {
            Block::Photo(photo) => Some(photo),
            _ => None,
        })
        .collect();
    assert_eq!(photos.len(), 2);
    assert_eq!(order.images.len(), 2);
    for photo in photos {
        let marked: Vec<&str> = photo.marks.iter().map(|(_, _, id)| id.as_str()).collect();
        assert_eq!(marked, ["breaker-L1"]);
    }
    // What was written is a tagged PDF that nobody signed.
    assert_eq!(bench.run(&["order", "townhouse-return.pdf"]).code, 0);
    let pdf = std::fs::read(bench.path("order.pdf")).unwrap();
    let has = |what: &[u8]| pdf.windows(what.len()).any(|w| w == what);
    assert!(has(b"/StructTreeRoot") && has(b"/Marked true"));
    let verified = bench.run(&["verify", "order.pdf"]);
    assert!(
        verified.out.starts_with("This PDF is not signed"),
        "{}",
        verified.out
    );
}

#[test]
fn there_is_no_order_of_what_does_not_verify_or_asks_for_nothing() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-return");
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
    let ran = bench.run(&["order", "changed.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("No order was written."), "{}", ran.err);
    assert!(!bench.path("order.pdf").exists());
    let own = bench.run(&[
        "order",
        "townhouse-return.pdf",
        "-o",
        "townhouse-return.pdf",
        "--force",
    ]);
    assert_eq!(own.code, 2, "{}", own.err);

    let text = std::fs::read_to_string(visit("townhouse-first")).unwrap();
    bench.certified("townhouse-first");
    let found = json(&bench, &visit("townhouse-first"));
    assert!(asking(&found).is_empty(), "{text}");
    let ran = bench.run(&["order", "townhouse-first.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("asks for nothing to be done"),
        "{}",
        ran.err
    );
    assert!(!bench.path("order.pdf").exists());
}

#[test]
fn what_was_repaired_and_measured_on_the_visit_is_not_ordered() {
    let bench = Bench::new();
    bench.write("visit.yaml", &crate::repaired::repaired("en", true));
    let found = json(&bench, "visit.yaml");
    assert_eq!(found["mended"][0]["proved"], true);
    let ran = bench.run(&["certify", "visit.yaml", "-o", "c.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["order", "c.pdf", "--csv", "-"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!ran.out.contains("Repair breaker-L1"), "{}", ran.out);
    let wanted = asking(&found).len();
    if wanted > 0 {
        assert_eq!(lines(&ran.raw).len(), wanted);
    }
    // A repair that was not measured again is no job either, but is told.
    bench.write("visit.yaml", &crate::repaired::repaired("en", false));
    let ran = bench.run(&["certify", "visit.yaml", "-o", "c.pdf", "--force"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let order = document(&bench.path("c.pdf"));
    assert!(
        headings(&order).contains(&"Repaired already, but not measured again at full current"),
        "{:?}",
        headings(&order)
    );
}

/// 95.00 an hour: 40 minutes are 63.33, with parts for 18.50 together 81.83.
#[test]
fn lines_have_the_prices_of_the_firms_table_and_no_others() {
    let bench = Bench::new();
    bench.certified("townhouse-return");
    let prices = "firm: { name: Lantern Row Electric }\nprices:\n  currency: USD\n  hour: 95.00\n  jobs:\n    - { finding: poor-joint, at: charger, minutes: 5 }\n    - { finding: poor-joint, minutes: 50 }\n    - { finding: poor-joint, at: breaker, minutes: 40, parts: 18.5 }\n";
    bench.write("prices.yaml", prices);
    let args = [
        "order",
        "townhouse-return.pdf",
        "--force",
        "--csv",
        "l.csv",
        "--firm",
        "prices.yaml",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("prices.yaml: firm file used"),
        "{}",
        ran.err
    );
    let all = lines(&std::fs::read(bench.path("l.csv")).unwrap());
    let priced = |n: usize| {
        let keys = ["quantity", "minutes", "work", "parts", "sum", "currency"];
        keys.map(|key| all[n][key].clone())
    };
    assert_eq!(all[0]["finding"], "poor-joint");
    assert_eq!(priced(0), ["1", "40", "63.33", "18.50", "81.83", "USD"]);
    assert_eq!(priced(1), ["1", "", "", "", "", ""]);

    for (wrong, told) in [
        ("hour: 95,00", "is not a price"),
        ("hour: 95.005", "at most two decimals"),
    ] {
        bench.write("prices.yaml", &prices.replace("hour: 95.00", wrong));
        let ran = bench.run(&args);
        assert_eq!(ran.code, 1, "{wrong}");
        assert!(ran.err.contains(told), "{wrong}: {}", ran.err);
    }
    bench.write(
        "prices.yaml",
        &prices.replace("poor-joint, at: charger", "poor-join"),
    );
    let ran = bench.run(&args);
    assert!(ran.err.contains("did you mean `poor-joint`"), "{}", ran.err);
    bench.write("prices.yaml", &prices.replace("at: charger", "at: breaker"));
    let ran = bench.run(&args);
    assert!(ran.err.contains("has two prices"), "{}", ran.err);
}

/// From the order to the certificate that says found and mended, for the one bay of six that needs it.
#[test]
fn the_visit_after_the_repair_measures_these_points_and_says_what_became_of_them() {
    let bench = Bench::new();
    bench.certified("landlord-six");
    let ran = bench.run(&["order", "landlord-six.pdf", "--csv", "l.csv"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ordered = lines(&std::fs::read(bench.path("l.csv")).unwrap());
    let repairs: Vec<_> = ordered.iter().filter(|l| l["grade"] == "repair").collect();
    assert_eq!(repairs.len(), 1);
    assert_eq!(repairs[0]["connections"], "breaker-L2");

    let ran = bench.run(&[
        "new",
        "--from",
        "landlord-six.pdf",
        "--reason",
        "after-repair",
        "--date",
        "2025-08-04",
        "--number",
        "2025-0090",
        "-o",
        "re-test/visit.yaml",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("left out"), "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("re-test/visit.yaml")).unwrap();
    assert!(text.contains("reason: after-repair"), "{text}");
    assert!(
        text.contains("id: bay-4") && !text.contains("id: bay-1"),
        "{text}"
    );
    assert!(
        text.contains("Look here first (certificate 2025-0083):"),
        "{text}"
    );

    // Not measured again: nothing is called mended.
    let early = json(&bench, "re-test/visit.yaml");
    assert_eq!(
        early["before_repair"][0]["became"], "not-checked",
        "{early:#}"
    );
    assert_eq!(early["complete"], false);

    let remade = |text: &str| {
        text.replace(
            "id: breaker-L2, leg: L2, kind: screw-terminal,",
            "id: breaker-L2, leg: L2, kind: screw-terminal, remade: yes,",
        )
        .replace("40 A\n", "32 A\n")
        .replace("45 in·lb", "36 in·lb")
    };
    let cool = |round: usize, _: &str| [76.0, 84.0, 88.0][round - 1];
    bench.write("re-test/visit.yaml", &remade(&filled(&text, cool)));
    let now = json(&bench, "re-test/visit.yaml");
    let told = &now["before_repair"].as_array().unwrap()[..];
    assert_eq!(told.len(), 1, "{now:#}");
    assert_eq!(told[0]["became"], "mended", "{now:#}");
    assert_eq!(told[0]["number"], "2025-0083");
    assert_eq!(told[0]["connections"][0], "breaker-L2");
    let missing = now["limitations"].to_string();
    assert!(!missing.contains("earlier-circuit-not-listed"), "{missing}");
    let ran = bench.run(&["certify", "re-test/visit.yaml", "-o", "re-test.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["check", "re-test/visit.yaml"]);
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    let words = words.join(" ").replace('\u{a0}', " ");
    for told in [
        "Found on July 22, 2025 (certificate 2025-0083): Breaker terminals, car park panel: the connection on the L2 side is poor and gets too hot.",
        "Mended: checked again on this visit, and no longer found. breaker-L2:",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    let ran = bench.run(&["verify", "re-test.pdf", "--allow-uncompared"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);

    // Still as hot as before.
    let hot = |round: usize, id: &str| match (round, id) {
        (2, "breaker-L2") => 128.8,
        (3, "breaker-L2") => 148.1,
        _ => cool(round, id),
    };
    bench.write("re-test/visit.yaml", &remade(&filled(&text, hot)));
    let now = json(&bench, "re-test/visit.yaml");
    assert_eq!(now["before_repair"][0]["became"], "remains", "{now:#}");
}

#[test]
fn a_reason_belongs_to_a_visit_after_another() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "--reason", "after-repair", "--no-questions"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("--from"), "{}", ran.err);
    let ran = bench.run(&["new", "--reason", "first", "--from", "x.pdf"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
}

/// The inspector's reason and remarks of `receptacle-aluminium` say that plug and receptacle belong together.
#[test]
fn an_order_has_what_the_inspector_wrote() {
    let bench = Bench::new();
    let order = document(&bench.certified("receptacle-aluminium"));
    let words = format!("{:?}", order.body);
    for told in [
        "Plug and receptacle are to be replaced together before the circuit is used again.",
        "a new receptacle alone would be burnt by the old blade.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
}

#[test]
fn an_order_without_repairs_says_so() {
    let bench = Bench::new();
    let order = document(&bench.certified("carport-three-phase"));
    let headings = headings(&order);
    for absent in ["What is to be done", "After the repair"] {
        assert!(!headings.contains(&absent), "{headings:?}");
    }
    let words = format!("{:?}", order.body);
    assert!(
        words.contains("No repair needed: points for the next visit"),
        "{words}"
    );
}

/// What was repaired and not measured again has to be measured, beside what is still to be repaired.
#[test]
fn the_visit_after_the_repair_keeps_circuits_whose_repair_is_not_proved() {
    let bench = Bench::new();
    let text = crate::repaired::repaired("en", false);
    let begin = text.find("  - id: garage").unwrap();
    let end = text.find("\nearlier:").unwrap();
    let garage = text[begin..end].trim_end();
    let first = std::fs::read_to_string(visit("townhouse-first")).unwrap();
    let yard = &first[first.find("  - id: garage").unwrap()..first.find("\n# Marks:").unwrap()];
    let yard = yard
        .replace("id: garage", "id: yard")
        .replace("Charger in the garage", "Charger in the yard")
        .replace("NB40-002718", "NB40-002719")
        .replace(
            "- { place: breaker, seen: clean }",
            "- { place: breaker, seen: melted }",
        );
    bench.write(
        "visit.yaml",
        &text.replace(garage, &format!("{garage}\n{yard}")),
    );
    let ran = bench.run(&["certify", "visit.yaml", "-o", "c.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&[
        "new",
        "--from",
        "c.pdf",
        "--reason",
        "after-repair",
        "-o",
        "n/visit.yaml",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let next = std::fs::read_to_string(bench.path("n/visit.yaml")).unwrap();
    assert!(
        next.contains("id: yard") && next.contains("id: garage"),
        "{next}"
    );
}

/// The boxes of a row of two lines are clear of the rules above and below it.
#[test]
#[cfg(target_os = "linux")]
fn boxes_to_write_in_are_lower_than_their_rows() {
    let bench = Bench::new();
    bench.certified("townhouse-return");
    assert_eq!(bench.run(&["order", "townhouse-return.pdf"]).code, 0);
    let pdf = std::fs::read(bench.path("order.pdf")).unwrap();
    let pdf = crate::pdf_common::Pdf::load(&pdf);
    let height = |widget: &warmlug::pdf::Dict| {
        let rect = widget.get(b"Rect")?.as_array()?;
        let side = |at: usize| match &rect[at] {
            Object::Real(digits) => String::from_utf8_lossy(digits).parse::<f32>().ok(),
            other => other.as_integer().map(|n| n as f32),
        };
        Some(side(3)? - side(1)?)
    };
    let widgets = pdf.dicts().filter(|d| d.is_name(b"Subtype", b"Widget"));
    let heights: Vec<f32> = widgets.filter_map(height).collect();
    // A row has two lines of 9.2 points, and 1.7 points above and below.
    assert_eq!(heights.len(), 2);
    assert!(
        heights.iter().all(|height| *height < 2.0 * 9.2),
        "{heights:?}"
    );
}

/// A spreadsheet must not take a client's name for a formula.
#[test]
fn a_name_in_a_quote_is_no_formula() {
    let bench = Bench::new();
    let text = crate::run::alone("townhouse-return").replace("name: Ruth Calder", "name: \"=1+1\"");
    bench.write("visit.yaml", &text);
    let ran = bench.run(&["certify", "visit.yaml", "-o", "c.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["order", "c.pdf", "--csv", "-"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = lines(&ran.raw);
    assert!(all.iter().all(|line| line["client"] == "'=1+1"), "{all:?}");
}
