//! `warmlug register`.

use crate::run::{Bench, EXAMPLES, alone, visit};
use serde_json::Value;

/// A folder with every example's certificate.
fn archive(bench: &Bench) {
    std::fs::create_dir(bench.path("archive")).unwrap();
    for example in EXAMPLES {
        let made = bench.certified(example);
        std::fs::rename(made, bench.path(&format!("archive/{example}.pdf"))).unwrap();
    }
}

fn rows(text: &str) -> Vec<Value> {
    text.lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

#[test]
fn a_folder_in_every_format() {
    let bench = Bench::new();
    archive(&bench);
    let table = bench.run(&["register", "archive", "--today", "2026-01-01"]);
    assert_eq!(table.code, 5, "{}", table.err);
    // The keys are made in each run.
    let digits = |c: char| c.is_ascii_hexdigit();
    let told = table
        .out
        .lines()
        .map(|line| match line.split_once(", key ") {
            Some((who, key)) if key.chars().all(digits) => format!("{who}, key …\n"),
            _ => format!("{line}\n"),
        });
    insta::assert_snapshot!("register", told.collect::<String>());

    let lines = bench.run(&["register", "archive", "--format", "jsonl"]);
    let read = rows(&lines.out);
    assert!(read.len() >= EXAMPLES.len());
    let back = read.iter().find(|r| r["number"] == "2025-0046").unwrap();
    assert_eq!(back["worst_grade"], "repair");
    assert_eq!(back["valid"], true);
    assert_eq!(back["margins"].as_array().unwrap().len(), 6);

    let csv = bench.run(&["register", "archive", "--format", "csv"]);
    assert_eq!(csv.out.lines().count(), read.len() + 1);
    let parquet = bench.run(&["register", "archive", "--format", "parquet"]);
    if cfg!(feature = "parquet") {
        assert!(parquet.raw.starts_with(b"PAR1") && parquet.raw.ends_with(b"PAR1"));
    } else {
        assert_eq!((parquet.code, parquet.raw.len()), (2, 0));
        assert!(
            parquet.err.contains("built without Parquet")
                && parquet.err.contains("--features parquet"),
            "{}",
            parquet.err
        );
    }
}

#[test]
fn lists_and_parts_make_the_same_register() {
    let bench = Bench::new();
    archive(&bench);
    let folder = bench.run(&["register", "archive", "--format", "jsonl"]);
    let list: String = EXAMPLES.map(|e| format!("archive/{e}.pdf\n")).concat();
    let mut sorted: Vec<&str> = list.lines().collect();
    sorted.sort_unstable();
    let listed = bench.run_with(
        &["register", "-", "--format", "jsonl"],
        sorted.join("\n").as_bytes(),
    );
    assert_eq!(listed.out, folder.out);
    let (a, b) = folder.out.split_at(folder.out.find('\n').unwrap() + 1);
    bench.write("a.jsonl", a);
    bench.write("b.jsonl", b);
    let parts = bench.run(&["register", "a.jsonl", "b.jsonl", "--format", "jsonl"]);
    assert_eq!(parts.out, folder.out);
    bench.write("c.jsonl", "{}\n");
    let bad = bench.run(&["register", "c.jsonl"]);
    assert_eq!(bad.code, 1);
    assert!(
        bad.err.contains("c.jsonl:1: not a line written by"),
        "{}",
        bad.err
    );
}

#[test]
fn a_changed_certificate_tells_nothing_but_that() {
    let bench = Bench::new();
    let certificate = bench.certified("townhouse-first");
    let mut bytes = std::fs::read(&certificate).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 1;
    std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
    bench.write("notes.pdf", "no certificate");
    let ran = bench.run(&[
        "register",
        "changed.pdf",
        "notes.pdf",
        "gone.pdf",
        "--format",
        "jsonl",
    ]);
    assert_eq!(ran.code, 1, "a file that does not verify");
    let read = rows(&ran.out);
    assert_eq!(read.len(), 3);
    for row in &read {
        assert_eq!(row["valid"], false);
        assert_eq!(row["number"], Value::Null, "{row}");
        assert!(
            row["problem"].as_str().is_some_and(|p| !p.is_empty()),
            "{row}"
        );
    }
}

#[test]
fn calendar_and_page_are_the_same_every_time() {
    let bench = Bench::new();
    archive(&bench);
    let make = |n: &str| {
        let (ics, page) = (format!("{n}.ics"), format!("{n}.html"));
        let ran = bench.run(&[
            "register",
            "archive",
            "--today",
            "2025-08-01",
            "--calendar",
            &ics,
            "--page",
            &page,
        ]);
        assert_eq!(ran.code, 5, "{}", ran.err);
        let read = |f: &str| std::fs::read_to_string(bench.path(f)).unwrap();
        (read(&ics), read(&page))
    };
    let (ics, page) = make("a");
    assert_eq!((ics.clone(), page.clone()), make("b"));
    assert!(ics.contains("BEGIN:VALARM"), "{ics}");
    // Circuits that must not be used have no date to come back to, but come first, with their property.
    let first = page.split("<tr ").nth(1).unwrap();
    assert!(
        first.contains("Bay 4") && first.contains("<a href=\"archive/landlord-six.pdf\">"),
        "{first}"
    );
    let at = |example: &str| page.find(&format!("archive/{example}.pdf")).unwrap();
    assert!(at("landlord-six") < at("receptacle-aluminium"));
    assert!(at("receptacle-aluminium") < at("carport-three-phase"));
    for example in ["landlord-six", "receptacle-aluminium"] {
        let rows = page.split("<tr ").filter(|row| row.contains(example));
        let stopped = rows.filter(|row| row.contains("do not use before repair"));
        assert_eq!(stopped.count(), 1, "{example}");
    }
    assert!(
        !page.contains("http"),
        "the page needs nothing from elsewhere"
    );
}

#[cfg(unix)]
#[test]
fn a_pipe_among_the_certificates_is_not_waited_for() {
    let bench = Bench::new();
    archive(&bench);
    let before = bench.run(&["register", "archive", "--format", "jsonl"]);
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo")
            .arg(bench.path(name))
            .status()
            .unwrap();
        assert!(made.success());
    };
    pipe("archive/pipe.pdf");
    let ran = bench.run(&["register", "archive", "--format", "jsonl"]);
    assert_eq!((ran.code, &ran.out), (5, &before.out), "{}", ran.err);

    // Named, or reached through a link, it is reported.
    let link = bench.path("archive/link.pdf");
    std::os::unix::fs::symlink(bench.path("archive/pipe.pdf"), link).unwrap();
    for named in ["archive", "archive/pipe.pdf"] {
        let ran = bench.run(&["register", named, "--format", "jsonl"]);
        assert_eq!(ran.code, 1);
        let read = rows(&ran.out);
        let refused: Vec<&Value> = read.iter().filter(|r| r["valid"] == false).collect();
        assert_eq!(refused.len(), 1, "{}", ran.out);
        let why = refused[0]["problem"].as_str().unwrap();
        assert!(why.contains("not a regular file"), "{why}");
    }
    pipe("part.jsonl");
    let ran = bench.run(&["register", "part.jsonl"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("not a regular file"), "{}", ran.err);
}

#[test]
fn an_incomplete_visit_does_not_put_a_circuit_back_into_use() {
    let bench = Bench::new();
    bench.certified("receptacle-aluminium");
    let certify = |name: &str, text: &str, changes: &[(&str, &str)]| {
        let mut text = text.to_owned();
        for (from, to) in changes {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        let (file, pdf) = (format!("{name}.yaml"), format!("{name}.pdf"));
        bench.write(&file, &text);
        let ran = bench.run(&["certify", &file, "-o", &pdf]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    };
    let told = || bench.run(&["register", ".", "--today", "2025-12-01"]).out;

    certify(
        "second",
        &alone("limited-visit"),
        &[
            ("Unit 12, Saltmarsh Yard", "Carport of 31 Dunnock Lane"),
            ("Saltmarsh Yard, Fernhollow", "31 Dunnock Lane, Fernhollow"),
            ("unit-12", "carport"),
        ],
    );
    let out = told();
    assert!(
        out.contains("latest of each circuit: 1 unsatisfactory\n"),
        "{out}"
    );
    let part = "not complete: 1\n  2025-07-08 2025-0071 Carport of 31 Dunnock Lane, carport\n";
    assert!(out.contains(part), "{out}");
    assert!(out.contains("must not be used: 1\n  2025-0058"), "{out}");
    assert!(!out.contains("overdue"), "{out}");

    certify(
        "third",
        &alone("townhouse-return"),
        &[
            ("Garage of 7 Larkmoor Row", "Carport of 31 Dunnock Lane"),
            (
                "Carport of 31 Dunnock Lane\", address: \"7 Larkmoor Row",
                "Carport of 31 Dunnock Lane\", address: \"31 Dunnock Lane",
            ),
            ("- id: garage", "- id: carport"),
            ("2025-05-14", "2025-08-14"),
        ],
    );
    let out = told();
    assert!(!out.contains("must not be used"), "{out}");
    assert!(!out.contains("not complete: "), "{out}");
    assert!(
        out.contains("latest of each circuit: 1 satisfactory-with-notes\n"),
        "{out}"
    );
}

#[test]
fn each_circuit_of_a_certificate_counts_by_its_own_grade() {
    let bench = Bench::new();
    let ran = bench.run(&["certify", &visit("landlord-six"), "-o", "six.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["register", "six.pdf", "--today", "2025-08-01"]);
    let counts = "4 satisfactory, 1 satisfactory-with-notes, 1 unsatisfactory\n";
    assert!(ran.out.contains(counts), "{}", ran.out);
    // Each row has its own circuit's outcome, and the option compares that.
    let rows = |out: &str| -> Vec<String> {
        let own = out.lines().filter(|l| l.starts_with("2025-0083"));
        own.map(str::to_owned).collect()
    };
    let unsatisfactory = |rows: &[String]| -> Vec<bool> {
        rows.iter().map(|r| r.contains("unsatisfactory")).collect()
    };
    assert_eq!(
        unsatisfactory(&rows(&ran.out)),
        [false, false, false, true, false, false],
        "{}",
        ran.out
    );
    // Sound circuits do not inherit that there is no date for the one that must not be used.
    let due: Vec<bool> = rows(&ran.out)
        .iter()
        .map(|r| r.contains("  2026-01-22  "))
        .collect();
    assert_eq!(due, [true, true, true, false, true, true], "{}", ran.out);
    assert!(!ran.out.contains("overdue"), "{}", ran.out);
    for (outcome, count) in [
        ("unsatisfactory", 1),
        ("satisfactory-with-notes", 1),
        ("satisfactory", 4),
    ] {
        let ran = bench.run(&["register", "six.pdf", "--outcome", outcome]);
        assert_eq!(rows(&ran.out).len(), count, "{}", ran.out);
    }
}

/// The rows that a register of these paths has.
fn register(bench: &Bench, args: &[&str]) -> (i32, Vec<Value>) {
    let ran = bench.run(&[&["register", "--format", "jsonl"], args].concat());
    (ran.code, rows(&ran.out))
}

#[test]
fn what_does_not_verify_is_not_valid() {
    use warmlug::seal::{Identity, Person, SignOptions, sign};
    let bench = Bench::new();
    bench.certified("townhouse-first");
    assert_eq!(bench.run(&["verify", "townhouse-first.pdf"]).code, 5);
    // Another key under a name that was met before.
    crate::met::another_key(&bench);
    bench.certified("townhouse-return");
    // Somebody else's seal on pages that do not say what the record says.
    let visit = visit("limited-visit");
    let draft = ["certify", &visit, "--draft", "-o", "draft.pdf"];
    assert_eq!(bench.run(&draft).code, 0);
    let person = Person {
        name: "Mallory Vane".to_owned(),
        ..Person::default()
    };
    let now = chrono::Utc::now();
    let key = Identity::create(&person, now - chrono::Duration::days(1)).unwrap();
    let draft = std::fs::read(bench.path("draft.pdf")).unwrap();
    let sealed = sign(&draft, &key, &SignOptions::at(now.fixed_offset())).unwrap();
    std::fs::write(bench.path("pages.pdf"), sealed.bytes()).unwrap();
    for (file, why) in [
        ("townhouse-return.pdf", "another key"),
        ("pages.pdf", "the pages do not agree with the record inside"),
    ] {
        let verified = bench.run(&["verify", file]);
        assert_eq!(verified.code, 1, "{}", verified.out);
        let (code, read) = register(&bench, &["townhouse-first.pdf", file]);
        assert_eq!((code, read.len()), (1, 2));
        assert_eq!(read[0]["valid"], true);
        assert_eq!(read[1]["valid"], false);
        // What two keys of one name leave open is shown, because it may forbid charging.
        let outcome = if file == "pages.pdf" {
            Value::Null
        } else {
            "unsatisfactory".into()
        };
        assert_eq!(read[1]["outcome"], outcome);
        let problem = read[1]["problem"].as_str().unwrap();
        assert!(problem.contains(why), "{problem}");
        let table = bench.run(&["register", file]);
        assert!(table.out.contains(&format!("{file}: ")), "{}", table.out);
    }
    // The key may be a good one: whoever asked for no memory is not warned, as in verify.
    let (code, _) = register(&bench, &["townhouse-return.pdf", "--no-known"]);
    assert_eq!(code, 5);
    let pin = ["townhouse-return.pdf", "--pin", &"0".repeat(64)];
    assert_eq!(register(&bench, &pin).0, 1);
}

/// A certificate of the carport that must not be used, and a visit that finds all well there.
fn stopped(bench: &Bench) -> (String, String) {
    bench.certified("receptacle-aluminium");
    let ran = bench.run(&["verify", "receptacle-aluminium.pdf", "--format", "json"]);
    let answers: Value = serde_json::from_str(&ran.out).unwrap();
    let digest = answers["certificate"]["sha256"]
        .as_str()
        .unwrap()
        .to_owned();
    let mut text = alone("townhouse-return");
    for (from, to) in [
        ("Garage of 7 Larkmoor Row", "Carport of 31 Dunnock Lane"),
        (
            "Carport of 31 Dunnock Lane\", address: \"7 Larkmoor Row",
            "Carport of 31 Dunnock Lane\", address: \"31 Dunnock Lane",
        ),
        ("- id: garage", "- id: carport"),
        ("2025-05-14", "2025-06-03"),
    ] {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    (text, digest)
}

#[test]
fn another_key_lifts_nothing_without_a_word() {
    let bench = Bench::new();
    let (text, digest) = stopped(&bench);
    let certify = |name: &str, text: &str, more: &[&str]| {
        let (file, pdf) = (format!("{name}.yaml"), format!("{name}.pdf"));
        bench.write(&file, text);
        let ran = bench.run(&[&["certify", &file, "-o", &pdf], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
    };
    let replaces =
        format!("number: 2025-0777\n  replaces: {{ number: 2025-0058, sha256: {digest} }}");
    let replacing = text.replace("number: 2025-0046", &replaces);
    assert!(replacing.contains("2025-0777"));
    let stranger = |text: &str| text.replace("Maren Ody", "Mallory Vane");
    assert!(stranger(&text) != text);
    let remark = "sealed with a different key than the one before: ask the firm: 1\n  2025-0777";
    let told = |files: &[&str]| {
        let args = [
            "register",
            "--today",
            "2025-12-01",
            "receptacle-aluminium.pdf",
        ];
        bench.run(&[&args[..], files].concat()).out
    };

    certify("mal", &stranger(&replacing), &[]);
    let out = told(&["mal.pdf"]);
    assert!(out.contains("must not be used: 1\n  2025-0058"), "{out}");
    assert!(out.contains(remark), "{out}");
    for pair in [
        ["receptacle-aluminium.pdf", "mal.pdf"],
        ["mal.pdf", "receptacle-aluminium.pdf"],
    ] {
        let ran = bench.run(&[&["verify"], &pair[..]].concat());
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert!(ran.out.contains("but another key sealed it"), "{}", ran.out);
    }
    // A later day counts only once somebody has accepted the key.
    let later = text.replace("2025-06-03", "2025-06-10");
    let later = later.replace("number: 2025-0046", "number: 2025-0777");
    certify("later", &stranger(&later), &[]);
    // Neither registering nor verifying it accepts the key.
    let both = ["register", "receptacle-aluminium.pdf", "later.pdf"];
    for _ in 0..2 {
        let ran = bench.run(&both);
        assert_eq!(ran.code, 1, "{}", ran.out);
        let out = ran.out;
        assert!(out.contains("must not be used: 1\n  2025-0058"), "{out}");
        assert!(out.contains("yes, other key"), "{out}");
        assert!(out.contains("FINGERPRINT accepted DAY NAME"), "{out}");
        assert!(out.contains(remark), "{out}");
        assert_eq!(bench.run(&["verify", "later.pdf"]).code, 5);
    }
    let lines = bench.run(&[&both[..], &["--format", "jsonl"]].concat());
    bench.write("lines/part.jsonl", &lines.out);
    let ran = bench.run(&["register", "lines/part.jsonl"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(ran.out.contains("must not be used: 1"), "{}", ran.out);
    let keys: Vec<String> = rows(&lines.out)
        .iter()
        .map(|row| row["fingerprint"].as_str().unwrap().to_owned())
        .collect();
    let pins = ["--pin", &keys[0], "--pin", &keys[1]];
    let list = "config/warmlug/known-signers";
    let known = std::fs::read_to_string(bench.path(list)).unwrap();
    let stranger_key = keys.iter().find(|key| {
        let line = known.lines().find(|line| line.starts_with(*key));
        line.unwrap().contains("Mallory Vane")
    });
    let met = format!("{} met ", stranger_key.unwrap());
    assert!(known.contains(&met), "{known}");
    let pinned = bench.run(&[&both[..], &pins].concat());
    bench.write(list, &known.replace(&met, &met.replace("met", "accepted")));
    // By the line in the list, only the stranger's key was compared.
    for (ran, code) in [(pinned, 0), (bench.run(&both), 5)] {
        assert_eq!(ran.code, code, "{}{}", ran.out, ran.err);
        assert!(!ran.out.contains("must not be used"), "{}", ran.out);
        assert!(ran.out.contains(remark), "{}", ran.out);
    }

    // The same hand with a renewed key replaces it.
    let ran = bench.run(&["identity", "renew", "--name", "Maren Ody"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    certify("own", &replacing, &[]);
    let ran = bench.run(&["verify", "receptacle-aluminium.pdf", "own.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.out);
    let out = told(&["own.pdf"]);
    assert!(!out.contains("must not be used"), "{out}");
    assert!(!out.contains("ask the firm"), "{out}");
    let lines = bench.run(&[
        "register",
        "receptacle-aluminium.pdf",
        "own.pdf",
        "--format",
        "jsonl",
    ]);
    std::fs::create_dir(bench.path("elsewhere")).unwrap();
    bench.write(
        "elsewhere/part.jsonl",
        &lines.out.replace("own.pdf", "gone.pdf"),
    );
    let ran = bench.run(&["register", "elsewhere/part.jsonl", "--believe-lines"]);
    assert!(!ran.out.contains("ask the firm"), "{}", ran.out);
}

#[test]
fn the_same_name_with_another_key_lifts_nothing() {
    let bench = Bench::new();
    let (text, _) = stopped(&bench);
    let list = "config/warmlug/known-signers";
    std::fs::remove_file(bench.path(list)).unwrap();
    crate::met::another_key(&bench);
    bench.write("later.yaml", &text.replace("2025-06-03", "2025-06-10"));
    let ran = bench.run(&["certify", "later.yaml", "-o", "later.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    // Neither key was met before, whichever file comes first.
    for files in [
        ["receptacle-aluminium.pdf", "later.pdf"],
        ["later.pdf", "receptacle-aluminium.pdf"],
    ] {
        let ran = bench.run(&[&["register"], &files[..]].concat());
        assert_eq!(ran.code, 1, "{}", ran.out);
        let out = &ran.out;
        assert!(out.contains("must not be used: 1\n  2025-0058"), "{out}");
        assert!(
            ran.err.contains("2 keys claim the name “Maren Ody”"),
            "{}",
            ran.err
        );
        assert!(!bench.path(list).exists(), "neither is stored");
    }
    // A register fills the list as verify does.
    let ran = bench.run(&["register", "receptacle-aluminium.pdf", "--no-known"]);
    assert!(ran.code == 5 && !bench.path(list).exists(), "{}", ran.err);
    let ran = bench.run(&["register", "receptacle-aluminium.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.err);
    assert!(ran.err.contains("1 new key is now known"), "{}", ran.err);
    let nobody =
        "keys that nobody compared: compare each fingerprint with one that the firm gives you: 1";
    assert!(ran.out.contains(nobody), "{}", ran.out);
    assert!(ran.out.contains("yes, key not compared"), "{}", ran.out);
    let allow = ["register", "receptacle-aluminium.pdf", "--allow-uncompared"];
    assert_eq!(bench.run(&allow).code, 0);
    // Once the key is accepted, the exit code is 0 without the option.
    let met = std::fs::read_to_string(bench.path(list)).unwrap();
    bench.write(list, &met.replace(" met ", " accepted "));
    let ran = bench.run(&["register", "receptacle-aluminium.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(!ran.out.contains("compared"), "{}", ran.out);
    bench.write(list, &met);
    assert_eq!(bench.run(&["verify", "later.pdf"]).code, 1);
    let ran = bench.run(&["register", "receptacle-aluminium.pdf", "later.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.contains("must not be used: 1\n  2025-0058"),
        "{}",
        ran.out
    );
}

/// Writes `accepted` in the line of a key, in place of the words before its day.
fn accept(bench: &Bench, list: &str, key: &str) {
    let known = std::fs::read_to_string(bench.path(list)).unwrap();
    let line = known.lines().find(|line| line.starts_with(key)).unwrap();
    let day = line.find(" 20").unwrap();
    let accepted = format!("{key} accepted{}", &line[day..]);
    bench.write(list, &known.replace(line, &accepted));
}

#[test]
fn another_key_moves_no_due_date_until_it_is_accepted() {
    let bench = Bench::new();
    let list = "config/warmlug/known-signers";
    bench.certified("townhouse-first");
    let own = alone("townhouse-first");
    let certify = |name: &str, date: &str, signer: &str| {
        let text = own
            .replace("2024-11-13", date)
            .replace("number: 2024-0117", &format!("number: {name}"))
            .replace("Maren Ody", signer);
        bench.write(&format!("{name}.yaml"), &text);
        let (file, pdf) = (format!("{name}.yaml"), format!("{name}.pdf"));
        let ran = bench.run(&["certify", &file, "-o", &pdf]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    };
    certify("2025-0777", "2025-02-20", "Mallory Vane");
    // An earlier day does not make the stranger's date count either.
    certify("2025-0045", "2024-10-20", "Mallory Vane");
    let stranger = ["2025-0045.pdf", "2025-0777.pdf"];
    let told = |more: &[&str]| {
        let args = ["register", "--today", "2025-06-01", "townhouse-first.pdf"];
        bench.run(&[&args[..], more].concat())
    };
    for files in [&stranger[1..], &stranger[..]] {
        let ran = told(files);
        assert_eq!(ran.code, 1, "{}", ran.out);
        let due = "overdue: 1\n  2025-05-13 2024-0117";
        assert!(ran.out.contains(due), "{}", ran.out);
        assert!(ran.out.contains("yes, other key"), "{}", ran.out);
        assert!(ran.out.contains("moves no due date"), "{}", ran.out);
    }
    let lines = bench.run(&["register", "2025-0777.pdf", "--format", "jsonl"]);
    let key = rows(&lines.out)[0]["fingerprint"].clone();
    let key = key.as_str().unwrap();
    // A line as earlier versions stored it, for every key they met.
    let known = std::fs::read_to_string(bench.path(list)).unwrap();
    assert!(known.contains(&format!("{key} met ")), "{known}");
    bench.write(list, &known.replace(" met ", " "));
    let ran = told(&stranger);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(ran.out.contains("with neither word"), "{}", ran.out);
    accept(&bench, list, key);
    let ran = told(&stranger);
    // Nobody compared the other firm's key.
    assert_eq!(ran.code, 5, "{}", ran.out);
    assert!(!ran.out.contains("overdue"), "{}", ran.out);
    // The accepted key's date stays too.
    certify("2025-0779", "2025-03-01", "Trudy Vane");
    let ran = told(&[&stranger[..], &["2025-0779.pdf"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.out);
    let remark = "the result of 2025-0777, sealed with another key, stays";
    assert!(ran.out.contains(remark), "{}", ran.out);
}

#[test]
fn whoever_was_met_first_lifts_nothing() {
    let bench = Bench::new();
    let list = "config/warmlug/known-signers";
    let (text, _) = stopped(&bench);
    std::fs::remove_file(bench.path(list)).unwrap();
    crate::met::another_key(&bench);
    bench.write("later.yaml", &text.replace("2025-06-03", "2025-06-10"));
    let ran = bench.run(&["certify", "later.yaml", "-o", "later.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    // The impostor's key enters before the firm's own certificate comes.
    assert_eq!(bench.run(&["register", "later.pdf"]).code, 5);
    let both = ["register", "receptacle-aluminium.pdf", "later.pdf"];
    let ran = bench.run(&both);
    assert_eq!(ran.code, 1, "{}", ran.out);
    let stays = "must not be used: 1\n  2025-0058";
    assert!(ran.out.contains(stays), "{}", ran.out);
    assert_eq!(ran.out.matches("another key (").count(), 1, "{}", ran.out);
    let lines = bench.run(&[&both[..], &["--format", "jsonl"]].concat());
    let read = rows(&lines.out);
    assert_eq!(read[0]["valid"], false);
    assert_eq!(read[1]["valid"], true);
    bench.write("lines/part.jsonl", &lines.out);
    let ran = bench.run(&["register", "lines/part.jsonl"]);
    assert!(ran.out.contains(stays), "{}", ran.out);
    // Once the reader has accepted one of the two keys, the other is refused.
    let key = read[1]["fingerprint"].as_str().unwrap();
    accept(&bench, list, key);
    for paths in [&both[1..], &["lines/part.jsonl"]] {
        let ran = bench.run(&[&["register"], paths].concat());
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert!(!ran.out.contains("must not be used"), "{}", ran.out);
    }
}

#[test]
fn a_countersigned_copy_is_one_certificate_with_its_original() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    let args = [
        "countersign",
        "townhouse-first.pdf",
        "--as",
        "client",
        "--name",
        "Amal",
    ];
    assert_eq!(bench.run(&args).code, 0);
    let ran = bench.run(&["register", "."]);
    assert_eq!(ran.code, 5, "{}", ran.err);
    assert!(
        ran.out.contains("\n1 certificate, 1 circuit;"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("number used by"), "{}", ran.out);
    let (_, read) = register(&bench, &["."]);
    assert_eq!(read[0]["sealed_sha256"], read[1]["sealed_sha256"]);
    assert_ne!(read[0]["sha256"], read[1]["sha256"]);
    let mut bears: Vec<u64> = read
        .iter()
        .filter_map(|r| r["signatures"].as_u64())
        .collect();
    bears.sort_unstable();
    assert_eq!(bears, [1, 2]);
}

/// Lines are looked up in the files that they name, unless the reader says otherwise.
#[test]
fn an_edited_list_is_not_believed() {
    let bench = Bench::new();
    bench.certified("receptacle-aluminium");
    let lines = bench.run(&["register", ".", "--format", "jsonl"]).out;
    let edited = lines
        .replace("\"stop\"", "\"pass\"")
        .replace("\"unsatisfactory\"", "\"satisfactory\"");
    assert_ne!(edited, lines);
    bench.write("edited.jsonl", &edited);
    let ran = bench.run(&["register", "edited.jsonl"]);
    assert!(ran.out.contains("must not be used: 1"), "{}", ran.out);
    let ran = bench.run(&["register", "edited.jsonl", "--believe-lines"]);
    assert!(!ran.out.contains("must not be used"), "{}", ran.out);
    // Nor if the file is said to be elsewhere.
    let moved = edited.replace("receptacle-aluminium.pdf", "moved.pdf");
    bench.write("moved.jsonl", &moved);
    let ran = bench.run(&["register", "moved.jsonl"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out
            .contains("only moved.jsonl names it: the file was not found"),
        "{}",
        ran.out
    );
}

#[test]
fn rows_of_the_last_run_are_used_and_an_edited_cache_is_not() {
    use warmlug::register::cache::Cache;
    let bench = Bench::new();
    bench.certified("townhouse-first");
    let told = |more: &[&str]| {
        let (_, mut read) = register(&bench, &[&["townhouse-first.pdf"], more].concat());
        read.remove(0)["next_due"].as_str().unwrap().to_owned()
    };
    let due = told(&[]);
    let kept = bench.path("config/warmlug/register-cache");
    let text = std::fs::read_to_string(&kept).unwrap();
    assert!(text.contains(&due), "{text}");
    // The rows are those of a run that knows the new key.
    let head: Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
    let state = head["state"].as_str().unwrap();
    let key = std::fs::read(bench.path("config/warmlug/register-cache.key")).unwrap();
    let key: [u8; 32] = key.try_into().unwrap();
    let digest: Value = serde_json::from_str(text.lines().nth(1).unwrap()).unwrap();
    let digest = digest["sha256"].as_str().unwrap();
    let mut cache = Cache::read(&text, &key, state);
    let mut row = cache.rows(digest, "townhouse-first.pdf").unwrap().remove(0);
    // What only this user can write is used, which shows that the file is not read again ...
    row.next_due = "2099-01-01".parse().ok();
    cache.keep(digest.to_owned(), vec![row]);
    std::fs::write(&kept, cache.text(&key, state).unwrap()).unwrap();
    assert_eq!(told(&[]), "2099-01-01");
    assert_eq!(told(&["--no-cache"]), due);
    assert_eq!(told(&["--seals-only"]), due);
    // ... and what anybody else wrote is not.
    std::fs::write(&kept, text.replace(&due, "2098-01-01")).unwrap();
    assert_eq!(told(&[]), due);
    // A changed file has another digest.
    let pdf = bench.path("townhouse-first.pdf");
    let mut bytes = std::fs::read(&pdf).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&pdf, bytes).unwrap();
    let (code, read) = register(&bench, &["townhouse-first.pdf"]);
    assert_eq!((code, &read[0]["valid"]), (1, &Value::Bool(false)));
}
