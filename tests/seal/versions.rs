//! Certificates that another version made: what is compared of them then, and what is said. A claim
//! to be of another version is neither a reproach nor a way past what every version has in common.

use crate::compose_common::Case;
use crate::contents::seal_of;
use crate::seal_common::{identity, signed_at};
use serde_json::{Value, json};
use std::sync::LazyLock;
use warmlug::compose::document::{Block, Text};
use warmlug::compose::{BUILD, Document};
use warmlug::record::answers::Answers;
use warmlug::record::contents::{Contents, Extent, Findings, OwnEvidence, Photos};
use warmlug::record::made_by::MadeBy;
use warmlug::record::printed_words::{Compared, Pages};
use warmlug::record::stated::Stated;
use warmlug::register::rows::rows;
use warmlug::seal::{Identity, SignOptions, VerifyOptions, sign};
use warmlug::typeset;
use warmlug::visit::FORMAT;

static KEY: LazyLock<Identity> = LazyLock::new(identity);

fn document(name: &str) -> Document {
    Case::example(name).sealed_by(seal_of(&KEY))
}

fn sealed(document: &Document) -> Vec<u8> {
    let pdf = typeset::render(document).unwrap();
    sign(&pdf, &KEY, &SignOptions::at(signed_at()))
        .unwrap()
        .bytes()
        .to_vec()
}

/// What is said of a document once it is sealed: the contents, whether it is good, the sentence.
fn told(document: &Document) -> (Contents, bool, String) {
    let pdf = sealed(document);
    let answers = Answers::of(&pdf, &VerifyOptions::default(), &OwnEvidence::default());
    let (good, sentence) = (answers.good(), answers.sentence());
    (answers.contents.unwrap(), good, sentence)
}

/// Changes the assessment inside.
fn change(document: &mut Document, change: impl FnOnce(&mut Value)) {
    let file = document
        .attachments
        .iter_mut()
        .find(|a| a.name == "assessment.json")
        .unwrap();
    let mut value: Value = serde_json::from_slice(&file.bytes).unwrap();
    change(&mut value);
    file.bytes = serde_json::to_vec_pretty(&value).unwrap();
}

fn edit_visit(document: &mut Document, from: &str, to: &str) {
    let file = document
        .attachments
        .iter_mut()
        .find(|a| a.name == "visit.yaml")
        .unwrap();
    let text = String::from_utf8(file.bytes.clone()).unwrap();
    assert!(text.contains(from), "{text}");
    file.bytes = text.replacen(from, to, 1).into_bytes();
}

/// A document that another build made, by its own word.
fn of_other_build(name: &str, more: impl FnOnce(&mut Value)) -> Document {
    let mut document = document(name);
    change(&mut document, |value| {
        assert_eq!(value["tool"]["build"], BUILD);
        assert_eq!(value["format"], FORMAT);
        value["tool"]["build"] = json!("0123456789abcdef");
        more(value);
    });
    document
}

fn verdict(document: &mut Document, title: &str) {
    let mut blocks = document.body.iter_mut();
    let verdict = blocks.find_map(|block| match block {
        Block::Verdict { title, .. } => Some(title),
        _ => None,
    });
    *verdict.unwrap() = title.to_owned();
}

#[test]
fn the_words_of_a_certificate_of_another_version_that_agrees_are_compared() {
    for name in ["townhouse-first", "limited-visit", "receptacle-aluminium"] {
        let document = of_other_build(name, |_| {});
        let (contents, good, sentence) = told(&document);
        assert!(good, "{name}: {contents:?}");
        assert_eq!(contents.extent(), Extent::Part, "{name}: {contents:?}");
        let words = matches!(
            contents.pages,
            Pages::Yes {
                compared: Compared::Words,
                ..
            }
        );
        assert!(words, "{name}: {contents:?}");
        assert!(matches!(
            contents.made_by,
            Some(MadeBy::OtherVersion { .. })
        ));
        assert!(sentence.starts_with("Unchanged since "), "{sentence}");
        let version = env!("CARGO_PKG_VERSION");
        let made = format!(
            "It was made by another version of warmlug ({version}, build 0123456789abcdef); this version computes the same findings."
        );
        assert!(sentence.contains(&made), "{sentence}");
        let tables = contents.tables.unwrap();
        assert!(tables.rows > 30, "{name}: {tables:?}");
        let all = format!(
            "The pages were not written again, so hidden or covered text would not be noticed: all {} rows of its tables are those of the record.",
            tables.rows
        );
        assert!(sentence.contains(&all), "{name}: {sentence} {tables:?}");
        assert_eq!(tables.unread(), [""; 0]);
        // Without the originals, nothing is known of the pictures.
        let pictures =
            "Its pictures were NOT compared: this takes the original photos (--photos FOLDER).";
        let told = sentence.ends_with(pictures);
        assert_eq!(told, contents.photos != Photos::None, "{sentence}");
    }
}

/// A number in the middle row of a table that has several, as a reading is.
fn in_table(document: &mut Document, change: impl Fn(&str) -> String) {
    let mut blocks = document.body.iter_mut();
    let table = blocks.find_map(|block| match block {
        Block::Table(table) if table.rows.len() > 3 && table.columns.len() > 4 => Some(table),
        _ => None,
    });
    let rows = &mut table.unwrap().rows;
    let middle = rows.len() / 2;
    let mut cells = rows[middle].cells.iter_mut().skip(1);
    let digit = |text: &str| text.bytes().any(|b| b.is_ascii_digit());
    let cell = cells.find(|cell| digit(&cell.characters())).unwrap();
    *cell = Text::plain(change(&cell.characters()));
}

#[test]
fn other_numbers_in_the_tables_of_another_version_are_found() {
    let mut forged = of_other_build("townhouse-first", |_| {});
    in_table(&mut forged, |number| {
        let other = |c: char| if c == '9' { '1' } else { '9' };
        number
            .chars()
            .map(|c| if c.is_ascii_digit() { other(c) } else { c })
            .collect()
    });
    let (contents, good, sentence) = told(&forged);
    assert!(
        !good && sentence.starts_with("Do not rely on"),
        "{contents:?}"
    );
    let tables = contents.tables.unwrap();
    assert_eq!(tables.differences.len(), 1, "{tables:?}");
    assert!(
        tables.differences[0].contains("has other numbers than the record"),
        "{tables:?}"
    );

    // Other words are no reproach, but they are told.
    let mut worded = of_other_build("townhouse-first", |_| {});
    in_table(&mut worded, |number| format!("about {number}"));
    let (contents, good, sentence) = told(&worded);
    assert!(good, "{contents:?}");
    let tables = contents.tables.unwrap();
    assert_eq!(tables.not_compared(), 1);
    // The table is named.
    let [unread] = &tables.unread()[..] else {
        panic!("{tables:?}");
    };
    assert!(unread.starts_with("1 of "), "{unread}");
    assert!(sentence.contains("1 NOT compared"), "{sentence}");
}

/// A record without a format and a build is one of the first format.
#[test]
fn a_record_without_a_format_is_of_an_earlier_version() {
    let mut document = document("townhouse-first");
    change(&mut document, |value| {
        let map = value.as_object_mut().unwrap();
        map.remove("format");
        map["tool"].as_object_mut().unwrap().remove("build");
    });
    let (contents, good, _) = told(&document);
    assert!(good, "{contents:?}");
    let Some(MadeBy::OtherVersion { build, format, .. }) = contents.made_by else {
        panic!("{:?}", contents.made_by);
    };
    assert_eq!((build, format), (None, 0));
}

/// Earlier versions wrote `satisfactory-with-notes` and `as-usual` for an inspection that was not
/// complete; what is stated of it is the same as of one of this version.
#[test]
fn an_incomplete_inspection_of_an_earlier_version_is_stated_as_incomplete() {
    let earlier = |value: &mut Value| {
        value["outcome"] = json!("satisfactory-with-notes");
        value["charging"] = json!("as-usual");
        value["circuits"][0]["charging"] = json!("as-usual");
    };
    let pdf = sealed(&of_other_build("limited-visit", earlier));
    let answers = Answers::of(&pdf, &VerifyOptions::default(), &OwnEvidence::default());
    let contents = answers.contents.as_ref().unwrap();
    assert!(answers.good(), "{contents:?}");
    assert!(
        matches!(contents.findings, Findings::Yes { .. }),
        "{contents:?}"
    );
    let stated = Stated::of(&answers).unwrap();
    assert_eq!(stated.outcome.as_deref(), Some("incomplete"));
    assert_eq!(stated.charging.as_deref(), Some("not-fully-checked"));
    // A first page that calls it satisfactory contradicts its record.
    let mut forged = of_other_build("limited-visit", earlier);
    verdict(&mut forged, "Satisfactory, but keep watch");
    let (contents, good, _) = told(&forged);
    assert!(!good, "{contents:?}");
    // Of this version, such a record contradicts itself.
    let mut own = document("limited-visit");
    change(&mut own, earlier);
    let (contents, good, _) = told(&own);
    assert!(!good, "{contents:?}");
}

/// What a build computes may differ; of its own build the same difference is an objection.
#[test]
fn other_findings_of_another_version_are_told_and_no_objection() {
    let more = |value: &mut Value| {
        value["circuits"][0]["connections"][0]["settled_rise_k"] = json!(12.34);
    };
    let (contents, good, sentence) = told(&of_other_build("townhouse-first", more));
    assert!(good, "{contents:?}");
    let Findings::OtherVersion {
        differences,
        outcome,
    } = &contents.findings
    else {
        panic!("{:?}", contents.findings);
    };
    assert_eq!(differences.len(), 1);
    assert_eq!(
        differences[0].path,
        "/circuits/0/connections/0/settled_rise_k"
    );
    assert_eq!(*outcome, None);
    assert_eq!(contents.extent(), Extent::Part);
    assert!(sentence.starts_with("Unchanged since "), "{sentence}");
    assert!(
        sentence.contains("but nothing here shows that its findings follow from its readings."),
        "{sentence}"
    );

    let mut own = document("townhouse-first");
    change(&mut own, more);
    let (contents, good, sentence) = told(&own);
    assert!(
        !good && matches!(contents.findings, Findings::No { .. }),
        "{contents:?}"
    );
    assert!(
        sentence.starts_with("Do not rely on this file"),
        "{sentence}"
    );
}

/// A finding taken away with its words, and the outcome with it: the seal alone vouches for that,
/// and the first sentence says what this version finds.
#[test]
fn an_outcome_that_this_version_does_not_find_is_said_first() {
    let mut document = of_other_build("receptacle-aluminium", |value| {
        value["findings"] = json!([]);
        value["outcome"] = json!("satisfactory");
        value["next_due"] = json!(null);
    });
    verdict(&mut document, "All in order");
    let (contents, good, sentence) = told(&document);
    assert!(good, "{contents:?}");
    assert!(
        sentence
            .contains("to the outcome “unsatisfactory” where the certificate says “satisfactory”"),
        "{sentence}"
    );
}

#[test]
fn what_every_version_repeats_of_the_visit_file_is_compared() {
    type Change = fn(&mut Value);
    let change: [(&str, Change); 7] = [
        ("/visit/number", |v| {
            v["visit"]["number"] = json!("2024-0118")
        }),
        ("/visit/date", |v| v["visit"]["date"] = json!("2026-11-13")),
        ("/rules/id", |v| v["rules"]["id"] = json!("us-2")),
        ("/circuits/0/id", |v| {
            v["circuits"][0]["id"] = json!("other")
        }),
        ("/circuits/0/connections/0/rounds/1/shown_c", |v| {
            v["circuits"][0]["connections"][0]["rounds"][1]["shown_c"] = json!(20.0);
        }),
        ("/circuits/0/connections/7", |v| {
            v["circuits"][0]["connections"]
                .as_array_mut()
                .unwrap()
                .pop();
        }),
        ("/outcome", |v| v["outcome"] = json!("unsatisfactory")),
    ];
    for (path, change) in change {
        let (contents, good, sentence) = told(&of_other_build("townhouse-first", change));
        assert!(!good, "{path}");
        if path == "/rules/id" {
            // There is no such rule set to compute with.
            assert!(matches!(contents.findings, Findings::NotDetermined { .. }));
            continue;
        }
        let Findings::No { differences } = &contents.findings else {
            panic!("{path}: {:?}", contents.findings);
        };
        assert_eq!(differences[0].path, path, "{differences:?}");
        assert!(
            sentence.starts_with("Do not rely on this file"),
            "{sentence}"
        );
    }
}

#[test]
fn words_of_another_version_are_not_compared_and_facts_are() {
    let mut reworded = of_other_build("townhouse-first", |_| {});
    verdict(&mut reworded, "All in order");
    let (contents, good, _) = told(&reworded);
    assert!(good, "{contents:?}");
    let Pages::Yes {
        looked_for,
        compared,
    } = contents.pages
    else {
        panic!("{:?}", contents.pages);
    };
    assert_eq!(compared, Compared::Facts);
    assert!(looked_for >= 8, "{looked_for}");

    // The result of another outcome, in words that are known.
    let mut other = of_other_build("receptacle-aluminium", |_| {});
    verdict(&mut other, "Satisfactory");
    let (contents, good, _) = told(&other);
    assert!(!good);
    let Pages::No { differences } = contents.pages else {
        panic!("{:?}", contents.pages);
    };
    assert_eq!(
        differences,
        ["the first page says “Satisfactory”, but the result of the record is “unsatisfactory”"]
    );

    // The pages of another visit.
    let mut swapped = of_other_build("townhouse-first", |_| {});
    swapped.attachments = of_other_build("limited-visit", |_| {}).attachments;
    let (contents, good, _) = told(&swapped);
    assert!(!good);
    let Pages::No { differences } = contents.pages else {
        panic!("{:?}", contents.pages);
    };
    for what in [
        "the certificate’s number, “2025-0071”",
        "the date of the visit",
        "the site",
    ] {
        assert!(
            differences.iter().any(|d| d.starts_with(what)),
            "{what}: {differences:?}"
        );
    }
}

/// A date, a person: whatever is on the pages of every version.
#[test]
fn other_persons_and_dates_on_the_pages_of_another_version_are_found() {
    for (from, to, what) in [
        (
            "name: Maren Ody",
            "name: Maren Odd",
            "the inspector, “Maren Odd”",
        ),
        (
            "name: Ruth Calder",
            "name: Ruth Calver",
            "the client, “Ruth Calver”",
        ),
        (
            "licence: EL-00417",
            "licence: EL-00418",
            "the inspector’s licence, “EL-00418”",
        ),
        (
            "name: \"Garage of 7",
            "name: \"Garage of 9",
            "the site, “Garage of 9",
        ),
    ] {
        let mut document = of_other_build("townhouse-first", |_| {});
        edit_visit(&mut document, from, to);
        let (contents, good, _) = told(&document);
        assert!(!good, "{what}");
        let Pages::No { differences } = contents.pages else {
            panic!("{what}: {:?}", contents.pages);
        };
        assert!(
            differences.iter().any(|d| d.starts_with(what)),
            "{what}: {differences:?}"
        );
    }
}

#[test]
fn a_newer_format_asks_for_a_newer_version() {
    let mut newer = document("townhouse-first");
    change(&mut newer, |value| {
        value["format"] = json!(FORMAT + 1);
        value["tool"]["version"] = json!("9.1.0");
    });
    // Whatever the newer format calls the visit file.
    newer.attachments[0].name = "visit.json".to_owned();
    let (contents, good, sentence) = told(&newer);
    assert!(!good);
    assert!(matches!(contents.made_by, Some(MadeBy::NewerFormat { .. })));
    assert!(
        sentence.starts_with(&format!(
            "Not judged, because nothing inside this file was compared: a newer version of warmlug (9.1.0, \
             record format {}) made this certificate, and this version cannot read its record: get a newer \
             warmlug. Its seal by itself: Unchanged since ",
            FORMAT + 1
        )),
        "{sentence}"
    );
}

/// A visit file that this version cannot read: of its own build that is an objection.
#[test]
fn a_record_of_another_version_that_cannot_be_read_is_no_forgery() {
    let unread = |mut document: Document| {
        edit_visit(
            &mut document,
            "reason: first",
            "reason: first\n  weather: fair",
        );
        told(&document)
    };
    let (_, good, sentence) = unread(of_other_build("townhouse-first", |_| {}));
    assert!(!good);
    // Nothing of the file's own text is repeated.
    assert!(
        sentence.starts_with(
            "Not judged, because nothing inside this file was compared: a visit file inside the certificate \
             is refused. Its seal by itself: Unchanged since "
        ),
        "{sentence}"
    );
    let (_, good, sentence) = unread(document("townhouse-first"));
    assert!(!good);
    assert!(
        sentence.starts_with("Do not rely on this file"),
        "{sentence}"
    );
}

#[test]
fn the_register_says_how_much_was_compared() {
    let compared = |document: &Document| {
        let rows = rows("a.pdf", &sealed(document), &VerifyOptions::default(), false);
        assert!(rows[0].valid, "{rows:?}");
        rows[0].compared.clone()
    };
    assert_eq!(
        compared(&document("townhouse-first")).as_deref(),
        Some("whole")
    );
    let other = of_other_build("townhouse-first", |value| {
        value["circuits"][0]["connections"][0]["settled_rise_k"] = json!(12.34);
    });
    assert_eq!(compared(&other).as_deref(), Some("in-part"));
}

/// A record whose keys were renamed since is read as `warmlug upgrade` leaves it.
#[test]
fn a_record_with_former_keys_is_computed_again() {
    let mut document = of_other_build("townhouse-first", |_| {});
    edit_visit(&mut document, "licence: EL-00417", "license: EL-00417");
    let (contents, _, _) = told(&document);
    assert!(
        matches!(contents.findings, Findings::Yes { .. }),
        "{contents:?}"
    );
}
