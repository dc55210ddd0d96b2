//! `warmlug due`: what is listed in which order, and who is reminded of what.

use crate::run::{Bench, Ran, alone};
use serde_json::Value;
use std::collections::HashMap;

/// The clean first visit of the example, of somebody else.
struct Of<'a> {
    number: &'a str,
    date: &'a str,
    reason: &'a str,
    site: &'a str,
    client: &'a str,
    language: &'a str,
    inspector: &'a str,
    firm: &'a str,
    /// Changes of the text.
    changed: &'a [(&'a str, &'a str)],
}

const PLAIN: Of<'static> = Of {
    number: "1",
    date: "2025-01-10",
    reason: "first",
    site: "Mill Lane",
    client: "Lee Park",
    language: "en",
    inspector: "Ada Ohm",
    firm: "Lantern Row Electric",
    changed: &[],
};

const MELTED: (&str, &str) = (
    "- { place: breaker, seen: clean }",
    "- { place: breaker, seen: melted }",
);

impl Of<'_> {
    /// Certifies it as NUMBER.pdf in the folder `certificates`.
    fn certify(&self, bench: &Bench) {
        let mut text = alone("townhouse-first")
            .replace(
                "number: 2024-0117 ",
                &format!("number: \"{}\" ", self.number),
            )
            .replace("date: 2024-11-13", &format!("date: {}", self.date))
            .replace("reason: first ", &format!("reason: {} ", self.reason))
            .replace("language: en", &format!("language: {}", self.language))
            .replace("name: Maren Ody", &format!("name: {}", self.inspector))
            .replace(
                "firm: Brindlewick Electric",
                &format!("firm: {}", self.firm),
            )
            .replace("name: Ruth Calder", &format!("name: {}", self.client))
            .replace(
                "name: \"Garage of 7 Larkmoor Row\"",
                &format!("name: \"{}\"", self.site),
            );
        for (from, to) in self.changed {
            assert!(text.contains(from), "{from}\n{text}");
            text = text.replace(from, to);
        }
        let visit = format!("visits/{}.yaml", self.number);
        bench.write(&visit, &text);
        std::fs::create_dir_all(bench.path("certificates")).unwrap();
        let target = format!("certificates/{}.pdf", self.number);
        let ran = bench.run(&["certify", &visit, "-o", &target]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
}

fn json(bench: &Bench, more: &[&str]) -> Value {
    let args = [
        &[
            "due",
            "certificates",
            "--format",
            "json",
            "--allow-uncompared",
        ],
        more,
    ]
    .concat();
    let ran = bench.run(&args);
    serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err))
}

/// State, certificate and day of each circuit in the list.
fn told(json: &Value) -> Vec<(String, String, Option<String>)> {
    let text = |value: &Value| value.as_str().map(str::to_owned);
    let all = json["circuits"].as_array().unwrap();
    all.iter()
        .map(|c| {
            (
                text(&c["state"]).unwrap(),
                text(&c["certificate"]).unwrap(),
                text(&c["day"]),
            )
        })
        .collect()
}

/// What comes due in the six weeks after the day of most tests, with letters as text.
fn with_letters(bench: &Bench) -> Ran {
    bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--weeks",
        "6",
        "--letters",
        "letters",
        "--letters-as",
        "text",
        "--allow-uncompared",
    ])
}

fn letters(bench: &Bench) -> Vec<HashMap<String, String>> {
    let csv = std::fs::read(bench.path("letters/letters.csv")).unwrap();
    let csv = csv.strip_prefix(b"\xEF\xBB\xBF").unwrap();
    let mut reader = csv::Reader::from_reader(csv);
    reader.deserialize().map(Result::unwrap).collect()
}

/// A visit that a customer cut short comes first, then what must not be used, what is overdue, and the weeks.
fn several(bench: &Bench) {
    // First visits are due after half a year, periodic ones after a year (the rule set `us`).
    PLAIN.certify(bench);
    Of {
        number: "2",
        date: "2025-02-20",
        site: "Quay 3",
        client: "Jo Fell",
        language: "de",
        ..PLAIN
    }
    .certify(bench);
    Of {
        number: "3",
        date: "2025-03-04",
        site: "Barn",
        client: "Lee Park",
        changed: &[MELTED],
        ..PLAIN
    }
    .certify(bench);
    Of {
        number: "4",
        date: "2025-07-01",
        site: "Orchard",
        client: "Kim Roe",
        language: "fr",
        changed: &[(
            "circuits:\n",
            "cut_short: { why: \"The tenant had to leave.\", return: 2025-08-20 }\n\ncircuits:\n",
        )],
        ..PLAIN
    }
    .certify(bench);
    // Seen again in time: the first certificate of this site is superseded.
    Of {
        number: "5",
        date: "2024-06-03",
        site: "Tower",
        client: "Kim Roe",
        ..PLAIN
    }
    .certify(bench);
    Of {
        number: "6",
        date: "2024-12-02",
        reason: "periodic",
        site: "Tower",
        client: "Kim Roe",
        language: "es",
        ..PLAIN
    }
    .certify(bench);
}

#[test]
fn the_list_begins_with_what_was_cut_short_and_goes_on_by_week() {
    let bench = Bench::new();
    several(&bench);
    let listed = json(&bench, &["--today", "2025-07-14", "--weeks", "6"]);
    let day = |text: &str| Some(text.to_owned());
    let row = |state: &str, number: &str, day| (state.to_owned(), number.to_owned(), day);
    assert_eq!(
        told(&listed),
        [
            row("cut-short", "4", day("2025-08-20")),
            row("do-not-use", "3", None),
            row("overdue", "1", day("2025-07-10")),
            row("due", "2", day("2025-08-20")),
        ],
        "{listed:#}"
    );
    // Monday, July 14, is the first day of week 29; six weeks after it end on August 31.
    assert_eq!(listed["before"], "2025-09-01");
    assert_eq!(listed["circuits"][3]["week"], "2025-W34");
    assert_eq!(listed["circuits"][3]["full_current_a"], 40.0);
    // Both sides of the limit: the week of August 18 is the fifth after this one.
    assert_eq!(
        told(&json(&bench, &["--today", "2025-07-14", "--weeks", "5"])).len(),
        4
    );
    assert_eq!(
        told(&json(&bench, &["--today", "2025-07-14", "--weeks", "4"])).len(),
        3
    );
    let tower = json(&bench, &["--today", "2025-11-30", "--weeks", "1"]);
    let tower: Vec<_> = told(&tower).into_iter().filter(|t| t.0 == "due").collect();
    assert_eq!(tower, [row("due", "6", day("2025-12-02"))]);

    let ran = bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--weeks",
        "6",
        "--allow-uncompared",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let at = |what: &str| {
        ran.out
            .find(what)
            .unwrap_or_else(|| panic!("{what}\n{}", ran.out))
    };
    let order = [
        "Visits that ended early: finish these first\n  2025-08-20  Orchard",
        "The tenant had to leave.",
        "Not to be used before they are repaired and measured\n  do not use  Barn",
        "Overdue\n  2025-07-10 (4 days ago)  Mill Lane",
        "2025-W34, from 2025-08-18\n  2025-08-20  Quay 3",
    ];
    assert!(order.map(at).is_sorted(), "{}", ran.out);
    assert!(!ran.out.contains("Tower"), "{}", ran.out);
}

#[test]
fn each_client_gets_one_letter_with_the_right_day_in_their_language() {
    let bench = Bench::new();
    several(&bench);
    let ran = with_letters(&bench);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = letters(&bench);
    let of = |client: &str| {
        let own: Vec<_> = all.iter().filter(|l| l["client"] == client).collect();
        assert_eq!(own.len(), 1, "{client}: {all:#?}");
        own[0]
    };
    assert_eq!(all.len(), 3);
    let lee = of("Lee Park");
    for told in [
        "Barn",
        "Do not use",
        "Mill Lane",
        "Was due by July 10, 2025",
        "certificate 1",
        "certificate 3",
        "full current of 40 A",
        "Free access to the panel",
        "open no cover",
        "555-0142",
    ] {
        assert!(lee["text"].contains(told), "{told}\n{}", lee["text"]);
    }
    let jo = of("Jo Fell");
    assert_eq!(jo["language"], "de");
    assert!(
        jo["text"].contains("Fällig bis zum 20. August 2025"),
        "{}",
        jo["text"]
    );
    assert!(
        jo["text"].contains("mit dem vollen Strom von 40 A"),
        "{}",
        jo["text"]
    );
    let kim = of("Kim Roe");
    assert_eq!(kim["language"], "fr");
    assert!(
        kim["text"].contains("À terminer au plus tard le 20 août 2025"),
        "{}",
        kim["text"]
    );
    assert!(
        kim["text"].contains("The tenant had to leave."),
        "{}",
        kim["text"]
    );
    // The superseded certificate and the one that is not due are not named.
    assert!(!kim["text"].contains("Tower"), "{}", kim["text"]);
    for letter in &all {
        let file = std::fs::read_to_string(bench.path("letters").join(&letter["file"])).unwrap();
        assert_eq!(file, letter["text"]);
    }
    assert_eq!(
        with_letters(&bench).code,
        1,
        "existing letters were replaced"
    );
    // As PDF.
    let pdf = [
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--letters",
        "pdf",
        "--allow-uncompared",
    ];
    assert_eq!(bench.run(&pdf).code, 0);
    let letter = std::fs::read(bench.path("pdf/letter-lee-park.pdf")).unwrap();
    assert!(letter.starts_with(b"%PDF-"));
}

/// An unfinished visit lifts no stop: its circuit comes first, and is still not to be used.
#[test]
fn an_unfinished_visit_after_a_stop_is_told_with_the_stop() {
    let bench = Bench::new();
    Of {
        changed: &[MELTED],
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "2",
        date: "2025-03-01",
        reason: "after-repair",
        changed: &[(
            "circuits:\n",
            "cut_short: { why: \"The panel was locked.\" }\n\ncircuits:\n",
        )],
        ..PLAIN
    }
    .certify(&bench);
    let listed = json(&bench, &["--today", "2025-03-03", "--weeks", "0"]);
    let [only] = &listed["circuits"].as_array().unwrap()[..] else {
        panic!("{listed:#}");
    };
    assert_eq!(only["state"], "cut-short", "{listed:#}");
    assert_eq!(only["do_not_use"], true);
    assert_eq!(only["certificate"], "1");
    let reason = only["reason"].as_str().unwrap();
    assert!(reason.contains("Do not charge there."), "{reason}");
    assert!(
        reason.contains("March 1, 2025 ended early: The panel was locked."),
        "{reason}"
    );
    let ran = bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-03-03",
        "--letters",
        "letters",
        "--letters-as",
        "text",
        "--allow-uncompared",
    ]);
    assert!(ran.out.contains(", DO NOT USE  Mill Lane"), "{}", ran.out);
    let text = &letters(&bench)[0]["text"];
    assert!(
        text.contains("Do not use") && text.contains("first the repair"),
        "{text}"
    );
}

#[test]
fn what_does_not_verify_or_is_in_question_reminds_nobody() {
    let bench = Bench::new();
    PLAIN.certify(&bench);
    Of {
        number: "2",
        site: "Quay 3",
        client: "Jo Fell",
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "3",
        site: "Barn",
        client: "Kim Roe",
        ..PLAIN
    }
    .certify(&bench);
    // Somebody else says of Quay 3 that it was seen later.
    Of {
        number: "9",
        date: "2025-05-05",
        reason: "periodic",
        site: "Quay 3",
        client: "Jo Fell",
        inspector: "Bo Volt",
        firm: "Other Firm",
        ..PLAIN
    }
    .certify(&bench);
    let barn = bench.path("certificates/3.pdf");
    let mut bytes = std::fs::read(&barn).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&barn, bytes).unwrap();
    let ran = bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--letters",
        "letters",
        "--allow-uncompared",
    ]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("3.pdf: reminds nobody"), "{}", ran.err);
    assert!(ran.err.contains("sealed with another key"), "{}", ran.err);
    assert!(
        ran.out
            .contains("No letter: certificate 9 of the same circuit is in question"),
        "{}",
        ran.out
    );
    let all = letters(&bench);
    let clients: Vec<&str> = all.iter().map(|l| l["client"].as_str()).collect();
    assert_eq!(clients, ["Lee Park"]);
}

/// Clients of two firms with one name, and of one firm with the same name at other addresses, are not the same.
#[test]
fn a_letter_is_for_one_client_of_one_firm() {
    let bench = Bench::new();
    PLAIN.certify(&bench);
    Of {
        number: "2",
        site: "Quay 3",
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "1b",
        site: "Barn",
        inspector: "Bo Volt",
        firm: "Other Firm",
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "4",
        site: "Tower",
        changed: &[(
            "role: owner, address: \"7 Larkmoor Row, Fernhollow\"",
            "role: owner, address: \"9 Larkmoor Row, Fernhollow\"",
        )],
        ..PLAIN
    }
    .certify(&bench);
    let ran = bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--letters",
        "letters",
        "--allow-uncompared",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = letters(&bench);
    let mut named: Vec<Vec<&str>> = all
        .iter()
        .map(|letter| {
            let sites = ["Mill Lane", "Quay 3", "Barn", "Tower"];
            sites
                .into_iter()
                .filter(|site| letter["text"].contains(site))
                .collect()
        })
        .collect();
    named.sort();
    assert_eq!(
        named,
        [vec!["Barn"], vec!["Mill Lane", "Quay 3"], vec!["Tower"]]
    );
    let files: std::collections::BTreeSet<&str> = all.iter().map(|l| l["file"].as_str()).collect();
    assert_eq!(files.len(), 3);
}

#[test]
fn the_other_formats_have_the_same_circuits() {
    let bench = Bench::new();
    several(&bench);
    let run = |format: &str| {
        let ran = bench.run(&[
            "due",
            "certificates",
            "--today",
            "2025-07-14",
            "--weeks",
            "6",
            "--allow-uncompared",
            "--format",
            format,
        ]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran
    };
    let csv = run("csv").raw;
    let csv = csv.strip_prefix(b"\xEF\xBB\xBF").unwrap();
    let mut reader = csv::Reader::from_reader(csv);
    let rows: Vec<HashMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    let numbers: Vec<&str> = rows.iter().map(|row| row["certificate"].as_str()).collect();
    assert_eq!(numbers, ["4", "3", "1", "2"]);
    let ics = run("ics").out;
    let unfolded = ics.replace("\r\n ", "");
    assert_eq!(unfolded.matches("BEGIN:VEVENT").count(), 4, "{ics}");
    for told in [
        "SUMMARY:Finish the inspection: Orchard\\, ",
        "SUMMARY:DO NOT USE before repair: Barn\\, ",
        "SUMMARY:OVERDUE: inspect: Mill Lane\\, ",
        "DTSTART;VALUE=DATE:20250820",
    ] {
        assert!(unfolded.contains(told), "{told}\n{unfolded}");
    }
    // What has passed, or has no day, is shown today.
    assert_eq!(
        unfolded.matches("DTSTART;VALUE=DATE:20250714").count(),
        2,
        "{unfolded}"
    );
    assert!(ics.lines().all(|line| line.len() <= 75), "{ics}");
}

const CUT: (&str, &str) = (
    "circuits:\n",
    "cut_short: { why: \"The tenant had to leave.\" }\n\ncircuits:\n",
);

/// The example's circuit, and the part of its text from the last round on.
fn circuit() -> (String, String) {
    let text = alone("townhouse-first");
    let begin = text.find("  - id: garage").unwrap();
    let end = text.find("\nremarks:").unwrap_or(text.len());
    let circuit = text[begin..end].trim_end().to_owned();
    let last = circuit[circuit.find("        - at: \"10:52\"").unwrap()..].to_owned();
    (circuit, last)
}

/// Of two circuits of a visit that ended early, one was finished: it keeps its own day.
#[test]
fn a_circuit_that_was_finished_before_a_visit_ended_early_is_not_to_be_finished() {
    let bench = Bench::new();
    let (garage, last) = circuit();
    let yard = garage
        .replace("id: garage", "id: yard")
        .replace("Charger in the garage", "Charger in the yard")
        .replace("NB40-002718", "NB40-002719")
        .replace(&last, "");
    let both = format!("{garage}\n{yard}");
    Of {
        changed: &[(&garage, &both), CUT],
        ..PLAIN
    }
    .certify(&bench);
    let listed = json(&bench, &["--today", "2025-03-03", "--weeks", "52"]);
    let circuits = listed["circuits"].as_array().unwrap();
    let of = |id: &str| circuits.iter().find(|c| c["circuit"] == id).unwrap();
    // An incomplete inspection is finished within three months, a first one followed after six.
    assert_eq!(of("yard")["state"], "cut-short", "{listed:#}");
    assert_eq!(of("yard")["day"], "2025-04-10");
    assert_eq!(of("garage")["state"], "due", "{listed:#}");
    assert_eq!(of("garage")["day"], "2025-07-10");
    assert_eq!(of("garage")["left"], serde_json::json!([]));
    let reason = of("garage")["reason"].as_str().unwrap();
    assert!(reason.starts_with("The first inspection"), "{reason}");
    // A return that was agreed is for what is left.
    let agreed = (
        "why: \"The tenant had to leave.\" }",
        "why: \"The tenant had to leave.\", return: 2025-01-20 }",
    );
    Of {
        number: "2",
        site: "Barn",
        changed: &[(&garage, &both), CUT, agreed],
        ..PLAIN
    }
    .certify(&bench);
    let listed = json(&bench, &["--today", "2025-01-13", "--weeks", "1"]);
    let barn: Vec<_> = told(&listed);
    assert_eq!(barn.len(), 2, "{listed:#}");
    assert_eq!(barn[0].2.as_deref(), Some("2025-01-20"));
    let circuits = listed["circuits"].as_array().unwrap();
    assert!(
        circuits.iter().all(|c| c["circuit"] == "yard"),
        "{listed:#}"
    );
}

/// A circuit that was finished and found in order may be used again, although another one was not finished.
#[test]
fn a_finished_circuit_is_free_again_although_its_visit_ended_early() {
    let bench = Bench::new();
    let (garage, last) = circuit();
    let yard = garage
        .replace("id: garage", "id: yard")
        .replace("Charger in the garage", "Charger in the yard")
        .replace("NB40-002718", "NB40-002719");
    let found = format!("{garage}\n{yard}").replace(MELTED.0, MELTED.1);
    Of {
        changed: &[(&garage, &found)],
        ..PLAIN
    }
    .certify(&bench);
    let unfinished = yard.replace(&last, "");
    let both = format!("{garage}\n{unfinished}");
    Of {
        number: "2",
        date: "2025-02-10",
        reason: "after-repair",
        changed: &[(&garage, &both), CUT],
        ..PLAIN
    }
    .certify(&bench);
    let listed = json(&bench, &["--today", "2025-03-03", "--weeks", "60"]);
    let circuits = listed["circuits"].as_array().unwrap();
    let of = |id: &str| circuits.iter().find(|c| c["circuit"] == id).unwrap();
    assert_eq!(of("garage")["certificate"], "2", "{listed:#}");
    assert_eq!(of("garage")["state"], "due");
    assert_eq!(of("garage")["do_not_use"], false);
    // A clean inspection after a repair is followed after a year.
    assert_eq!(of("garage")["day"], "2026-02-10");
    assert_eq!(of("yard")["certificate"], "1");
    assert_eq!(of("yard")["do_not_use"], true);
    assert_eq!(of("yard")["state"], "cut-short");
}

/// The hour at which a reading could have been repeated is over.
#[test]
fn what_is_left_of_a_visit_names_no_time_of_that_day() {
    let bench = Bench::new();
    let (_, last) = circuit();
    for (number, language) in ["en", "de", "fr", "es"].into_iter().enumerate() {
        let number = number.to_string();
        Of {
            number: &number,
            site: &format!("Barn {language}"),
            client: language,
            language,
            changed: &[
                CUT,
                (&last, ""),
                (
                    "breaker-L1: 64.4, breaker-L2: 64.2",
                    "breaker-L1: 78.4, breaker-L2: 64.2",
                ),
            ],
            ..PLAIN
        }
        .certify(&bench);
    }
    let ran = bench.run(&["check", "visits/0.yaml"]);
    assert!(ran.out.contains("still getting hotter"), "{}", ran.out);
    let args = [
        "--today",
        "2025-03-03",
        "--letters",
        "letters",
        "--letters-as",
        "text",
    ];
    json(&bench, &args);
    let all = letters(&bench);
    assert_eq!(all.len(), 4);
    for (language, told) in [
        (
            "en",
            "They have to be measured again, for longer: breaker-L1",
        ),
        ("de", "Sie sind erneut und länger zu messen: breaker-L1"),
        (
            "fr",
            "Il faut les mesurer de nouveau, plus longtemps : breaker-L1",
        ),
        (
            "es",
            "Hay que medirlas de nuevo, durante más tiempo: breaker-L1",
        ),
    ] {
        let letter = all.iter().find(|l| l["language"] == language).unwrap();
        let text = letter["text"].replace('\u{a0}', " ");
        assert!(text.contains(told), "{told}\n{text}");
        assert!(!text.contains("10:") && !text.contains("11:"), "{text}");
    }
}

/// The stop of a former owner's certificate stays in force, but the letter goes to the present owner.
#[test]
fn a_letter_goes_to_the_client_of_the_last_visit() {
    let bench = Bench::new();
    Of {
        changed: &[MELTED],
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "2",
        date: "2025-03-01",
        reason: "change-of-owner",
        client: "Jo Fell",
        language: "de",
        changed: &[CUT],
        ..PLAIN
    }
    .certify(&bench);
    let args = [
        "--today",
        "2025-03-03",
        "--letters",
        "letters",
        "--letters-as",
        "text",
    ];
    let listed = json(&bench, &args);
    assert_eq!(listed["circuits"][0]["certificate"], "1");
    assert_eq!(listed["circuits"][0]["client"], "Jo Fell", "{listed:#}");
    let all = letters(&bench);
    assert_eq!(all.len(), 1);
    assert_eq!(
        (&*all[0]["client"], &*all[0]["language"]),
        ("Jo Fell", "de")
    );
}

/// Two owners call their sites by the same name.
#[test]
fn sites_of_one_name_at_different_addresses_are_reminded_each() {
    let bench = Bench::new();
    let place = "site:   { name: \"Mill Lane\", address: \"7 Larkmoor Row, Fernhollow\" }";
    PLAIN.certify(&bench);
    Of {
        number: "2",
        date: "2025-03-10",
        client: "Jo Fell",
        changed: &[
            (
                place,
                "site:   { name: \"Mill Lane\", address: \"9 Quay, Fernhollow\" }",
            ),
            ("serial: NB40-002718", "serial: NB40-3"),
        ],
        ..PLAIN
    }
    .certify(&bench);
    let listed = json(&bench, &["--today", "2025-07-14", "--weeks", "12"]);
    let row = |state: &str, number: &str, day: &str| {
        (state.to_owned(), number.to_owned(), Some(day.to_owned()))
    };
    assert_eq!(
        told(&listed),
        [
            row("overdue", "1", "2025-07-10"),
            row("due", "2", "2025-09-10")
        ],
        "{listed:#}"
    );
    let ran = bench.run(&["due", "certificates", "--allow-uncompared"]);
    assert!(
        ran.err
            .contains("“Mill Lane”: one name for sites at several addresses"),
        "{}",
        ran.err
    );
    let ran = bench.run(&[
        "register",
        "certificates",
        "--allow-uncompared",
        "--page",
        "page.html",
    ]);
    assert!(
        ran.out.contains("one name for sites at several addresses"),
        "{}{}",
        ran.out,
        ran.err
    );
    let page = std::fs::read_to_string(bench.path("page.html")).unwrap();
    for told in [
        "Mill Lane, 7 Larkmoor Row, Fernhollow <span>1 circuit<",
        "Mill Lane, 9 Quay, Fernhollow <span>1 circuit<",
    ] {
        assert!(page.contains(told), "{told}\n{page}");
    }
}

/// Two circuits of two clients, whose sites are not where they live.
fn two_addresses(bench: &Bench) {
    let moved = |site: &'static str| {
        (
            "address: \"7 Larkmoor Row, Fernhollow\" }\nsite",
            match site {
                "Mill Lane" => "address: \"7 Larkmoor Row, Fernhollow\" }\nsite",
                _ => "address: \"2 Assize Street\" }\nsite",
            },
        )
    };
    Of {
        // Due on Monday, July 14.
        date: "2025-01-14",
        client: "=Lee",
        changed: &[moved("Mill Lane")],
        ..PLAIN
    }
    .certify(bench);
    Of {
        number: "2",
        date: "2025-01-20",
        site: "Quay 3",
        client: "Jo Fell",
        changed: &[moved("Quay 3"), MELTED],
        ..PLAIN
    }
    .certify(bench);
}

#[test]
fn every_circuit_has_its_own_address_firm_reason_and_letter_in_every_format() {
    let bench = Bench::new();
    two_addresses(&bench);
    let run = |today: &str, weeks: &str, format: &str| {
        bench.run(&[
            "due",
            "certificates",
            "--today",
            today,
            "--weeks",
            weeks,
            "--format",
            format,
            "--letters",
            "letters",
            "--letters-as",
            "text",
            "--force",
            "--allow-uncompared",
        ])
    };
    let listed: Value = serde_json::from_str(&run("2025-07-07", "1", "json").out).unwrap();
    let [off, lee] = &listed["circuits"].as_array().unwrap()[..] else {
        panic!("{listed:#}");
    };
    assert_eq!(off["do_not_use"], true);
    assert_eq!(off["client_address"], "2 Assize Street");
    assert_eq!(lee["client"], "=Lee");
    assert_eq!(lee["client_address"], "7 Larkmoor Row, Fernhollow");
    assert_eq!(lee["site_address"], "7 Larkmoor Row, Fernhollow");
    assert_eq!(off["site_address"], "7 Larkmoor Row, Fernhollow");
    assert_eq!(lee["firm"], "Lantern Row Electric");
    assert_eq!(lee["basis"], "first");
    assert!(
        lee["reason"].as_str().unwrap().contains("early second one"),
        "{lee:#}"
    );
    let all = letters(&bench);
    let of = |client: &str| all.iter().find(|l| l["client"] == client).unwrap();
    // A spreadsheet must not take a name for a formula.
    let (to_lee, to_jo) = (of("'=Lee"), of("Jo Fell"));
    assert_eq!(lee["letter"], to_lee["file"].as_str());
    assert_eq!(off["letter"], to_jo["file"].as_str());
    assert_ne!(to_lee["file"], to_jo["file"]);
    assert_eq!(to_jo["address"], "2 Assize Street");
    assert_eq!(to_lee["firm"], "Lantern Row Electric");
    assert_eq!(to_lee["subject"], "Reminder: Mill Lane");
    assert_eq!(
        (to_lee["day"].as_str(), to_jo["day"].as_str()),
        ("2025-07-14", "")
    );
    assert!(
        to_jo["text"].contains("Jo Fell\n2 Assize Street\n"),
        "{}",
        to_jo["text"]
    );

    // Due on its day, overdue on the next, and not in the list of the week before.
    let state = |today: &str, weeks: &str| {
        let listed: Value = serde_json::from_str(&run(today, weeks, "json").out).unwrap();
        let all = listed["circuits"].as_array().unwrap().clone();
        let own = all.into_iter().find(|c| c["certificate"] == "1");
        own.map(|c| c["state"].as_str().unwrap().to_owned())
    };
    assert_eq!(state("2025-07-07", "0"), None);
    assert_eq!(state("2025-07-14", "0").as_deref(), Some("due"));
    assert_eq!(state("2025-07-15", "0").as_deref(), Some("overdue"));

    let csv = run("2025-07-07", "1", "csv").raw;
    let mut reader = csv::Reader::from_reader(csv.strip_prefix(b"\xEF\xBB\xBF").unwrap());
    let rows: Vec<HashMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    assert_eq!(rows[0]["do_not_use"], "true");
    assert_eq!(
        (rows[1]["do_not_use"].as_str(), rows[1]["client"].as_str()),
        ("false", "'=Lee")
    );

    let ics = run("2025-07-07", "1", "ics").out.replace("\r\n ", "");
    let ids: std::collections::BTreeSet<&str> = ics
        .lines()
        .filter(|line| line.starts_with("UID:"))
        .collect();
    assert_eq!(ids.len(), 2, "{ics}");
    assert!(
        ics.contains("LOCATION:7 Larkmoor Row\\, Fernhollow\r\n"),
        "{ics}"
    );
    assert!(
        ics.contains("Certificate 1 of 2025-01-14. Due by 2025-07-14."),
        "{ics}"
    );
}

#[test]
fn an_empty_list_says_until_when_nothing_is_due() {
    let bench = Bench::new();
    PLAIN.certify(&bench);
    let args = [
        "due",
        "certificates",
        "--today",
        "2025-05-05",
        "--weeks",
        "0",
        "--allow-uncompared",
    ];
    let ran = bench.run(&args);
    // The week ends on Sunday.
    assert_eq!(ran.out, "Nothing is due until 2025-05-11.\n");
}

/// The unfinished visit of one circuit comes first in the list, but a client reads first what must not be
/// used; the letter has the language of the visit made last, whichever certificate was signed last.
#[test]
fn a_letter_begins_with_what_must_not_be_used() {
    let bench = Bench::new();
    Of {
        number: "4",
        date: "2025-07-01",
        site: "Orchard",
        language: "fr",
        changed: &[(
            "circuits:\n",
            "cut_short: { why: \"The tenant had to leave.\", return: 2025-08-20 }\n\ncircuits:\n",
        )],
        ..PLAIN
    }
    .certify(&bench);
    Of {
        number: "3",
        date: "2025-03-04",
        site: "Barn",
        changed: &[MELTED],
        ..PLAIN
    }
    .certify(&bench);
    let ran = with_letters(&bench);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let [letter] = &letters(&bench)[..] else {
        panic!("{}", ran.out);
    };
    assert_eq!(letter["language"], "fr");
    assert_eq!(letter["day"], "2025-08-20");
    let at = |site: &str| letter["text"].find(&format!(", {site}\n")).unwrap();
    assert!(at("Barn") < at("Orchard"), "{}", letter["text"]);
}

/// Each circuit of a visit is due for a reason of its own.
#[test]
fn circuits_of_one_visit_have_their_own_reasons() {
    let bench = Bench::new();
    let made = bench.certified("landlord-six");
    std::fs::create_dir(bench.path("certificates")).unwrap();
    std::fs::copy(made, bench.path("certificates/6.pdf")).unwrap();
    let listed = json(&bench, &["--today", "2025-08-01", "--weeks", "520"]);
    let checked = bench.run(&[
        "check",
        &crate::run::visit("landlord-six"),
        "--format",
        "json",
    ]);
    let checked: Value = serde_json::from_str(&checked.out).unwrap();
    let mut reasons = std::collections::BTreeSet::new();
    for circuit in checked["circuits"].as_array().unwrap() {
        let due = listed["circuits"].as_array().unwrap();
        let own = due.iter().find(|c| c["circuit"] == circuit["id"]).unwrap();
        assert_eq!(own["basis"], circuit["next_due_basis"], "{own:#}");
        assert_eq!(own["day"], circuit["next_due"], "{own:#}");
        reasons.insert(own["basis"].to_string());
    }
    assert!(reasons.len() > 1, "{reasons:?}");
}

/// A certificate that calls itself after a signer who is known by another key warns, and reminds nobody.
#[test]
fn a_warning_under_somebody_elses_name_reminds_nobody() {
    let bench = Bench::new();
    PLAIN.certify(&bench);
    let known = bench.run(&["register", "certificates"]);
    assert_eq!(known.code, 5, "{}", known.err);
    let text = std::fs::read_to_string(bench.path("visits/1.yaml")).unwrap();
    let text = text
        .replace("number: \"1\"", "number: \"8\"")
        .replace("name: \"Mill Lane\"", "name: \"Barn\"")
        .replace(MELTED.0, MELTED.1);
    bench.write("visits/8.yaml", &text);
    let mut impostor = bench.command(&["certify", "visits/8.yaml", "-o", "certificates/8.pdf"]);
    let impostor = impostor.env("XDG_CONFIG_HOME", bench.path("elsewhere"));
    assert!(impostor.output().unwrap().status.success());
    let ran = bench.run(&[
        "due",
        "certificates",
        "--today",
        "2025-07-14",
        "--letters",
        "letters",
    ]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.out.contains("DO NOT USE") || ran.out.contains("do not use  Barn"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("No letter: "), "{}", ran.out);
    let all = letters(&bench);
    assert_eq!(all.len(), 1);
    assert!(all[0]["text"].contains("Mill Lane") && !all[0]["text"].contains("Barn"));
}

#[test]
fn the_list_and_the_letters_overwrite_no_certificate_and_nothing_without_force() {
    let bench = Bench::new();
    PLAIN.certify(&bench);
    let certificate = bench.path("certificates/1.pdf");
    let sealed = std::fs::read(&certificate).unwrap();
    // A certificate with the name that the letter would have.
    let letter = bench.path("certificates/letter-lee-park.pdf");
    std::fs::copy(&certificate, &letter).unwrap();
    let run = |more: &[&str]| {
        let args = [
            "due",
            "certificates",
            "--today",
            "2025-07-14",
            "--allow-uncompared",
        ];
        bench.run(&[&args[..], more].concat())
    };
    let ran = run(&["-o", "certificates/1.pdf", "--force"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let ran = run(&["--letters", "certificates", "--force"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(std::fs::read(&certificate).unwrap(), sealed);
    assert_eq!(std::fs::read(&letter).unwrap(), sealed);
    assert_eq!(run(&["-o", "due.txt"]).code, 0);
    let before = std::fs::read(bench.path("due.txt")).unwrap();
    let ran = run(&["-o", "due.txt", "--format", "csv"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(std::fs::read(bench.path("due.txt")).unwrap(), before);
    assert_eq!(
        run(&["-o", "due.txt", "--format", "csv", "--force"]).code,
        0
    );
    assert_ne!(std::fs::read(bench.path("due.txt")).unwrap(), before);
}
