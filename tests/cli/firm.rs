//! The firm's file: who signs with which key, which instruments they carried, and what a lost phone
//! does to the keys on it.

use crate::run::{Bench, Ran, alone, visit};

/// A firm's file with these keys for Maren, written as a flow list.
fn firm(keys: &str) -> String {
    format!(
        "firm: {{ name: Lantern Row Electric, phone: 555 0100 }}\n\
         technicians:\n  - name: Ada Ohm\n    licence: EC-0001\n    keys: {keys}\n\
         instruments:\n  imager-2: {{ kind: thermal-imager, model: Lookout 150, serial: A1, accuracy: {{ of_reading: 1 %, at_least: 1 °C }}, emissivity: 0.95, distance_to_spot: \"150:1\" }}\n\
         calibrations:\n  - {{ instrument: imager-2, on: 2024-02-03, due: 2025-02-03, certificate: C-1182 }}\n"
    )
}

/// The example's visit, inspected by the technician with the firm's imager.
fn visit_of_the_firm() -> String {
    let text = alone("townhouse-first");
    let mut out = String::new();
    let mut skipping = false;
    for line in text.lines() {
        let indented = line.starts_with(' ') || line.is_empty();
        if line.starts_with("inspector:") {
            out.push_str("inspector: Ada Ohm\n");
            skipping = true;
        } else if !(skipping && indented) {
            skipping = false;
            out.push_str(line);
            out.push('\n');
        }
    }
    // The imager by its id in the firm's file.
    let from = out.find("  imager:\n").unwrap();
    let to = out.find("  driver:\n").unwrap();
    out.replace_range(from..to, "  imager: imager-2\n");
    out
}

/// The fingerprint of the key of Ada in the bench's configuration folder.
fn fingerprint(bench: &Bench) -> String {
    let shown = bench.run(&["identity", "show"]);
    let line = shown.out.lines().find(|l| l.starts_with("fingerprint"));
    line.unwrap()
        .trim_start_matches("fingerprint")
        .trim()
        .to_owned()
}

fn with_key(bench: &Bench) -> String {
    let made = bench.run(&["identity", "new", "--name", "Ada Ohm"]);
    assert_eq!(made.code, 0, "{}", made.err);
    fingerprint(bench)
}

#[test]
fn a_visit_names_its_inspector_and_its_instruments() {
    let bench = Bench::new();
    let print = with_key(&bench);
    bench.write(
        "visits/firm.yaml",
        &firm(&format!("[{{ fingerprint: \"{print}\" }}]")),
    );
    bench.write("visits/maple/visit.yaml", &visit_of_the_firm());
    let ran = bench.run(&["certify", "visits/maple/visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("firm.yaml: firm file used"), "{}", ran.err);

    // The certificate needs no firm file: what it says is inside.
    std::fs::remove_file(bench.path("visits/firm.yaml")).unwrap();
    let certificate = "visits/maple/certificate.pdf";
    assert_eq!(bench.run(&["verify", certificate]).code, 5);
    let record = bench.run(&["extract", certificate, "-o", "record"]);
    assert_eq!(record.code, 0, "{}", record.err);
    let text = std::fs::read_to_string(bench.path("record/visit.yaml")).unwrap();
    for said in ["EC-0001", "Lantern Row Electric", "C-1182", "2025-02-03"] {
        assert!(text.contains(said), "{said} in {text}");
    }
}

#[test]
fn without_the_firm_file_the_message_says_what_is_missing() {
    let bench = Bench::new();
    bench.write("maple/visit.yaml", &visit_of_the_firm());
    let ran = bench.run(&["check", "maple/visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err
            .contains("`inspector: Ada Ohm` refers to a firm file, but there is no firm.yaml"),
        "{}",
        ran.err
    );
}

#[test]
fn no_key_is_made_where_the_firm_names_one() {
    let bench = Bench::new();
    bench.write(
        "firm.yaml",
        &firm(&format!("[{{ fingerprint: \"{}\" }}]", "ab".repeat(32))),
    );
    bench.write("maple/visit.yaml", &visit_of_the_firm());
    let ran = bench.run(&["certify", "maple/visit.yaml"]);
    assert_eq!(ran.code, 1);
    for said in [
        "the key of Ada Ohm is not on this computer",
        "Copy that file",
        "ABAB ABAB",
    ] {
        assert!(ran.err.contains(said), "{said} in {}", ran.err);
    }
    assert!(!bench.path("config/warmlug/identities").exists());
    assert!(!bench.path("maple/certificate.pdf").exists());

    // A key of her own that the firm does not list does not sign either.
    let own = with_key(&bench);
    let ran = bench.run(&["certify", "maple/visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err
            .contains(&format!("the key {own} is not listed for")),
        "{}",
        ran.err
    );
}

#[test]
fn no_key_is_made_where_another_computer_made_one() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    assert_eq!(bench.run(&["verify", "townhouse-first.pdf"]).code, 5);
    // As if the certificate had come from another computer.
    std::fs::remove_dir_all(bench.path("config/warmlug/identities")).unwrap();
    bench.write("visit.yaml", &alone("townhouse-first"));
    let ran = bench.run(&["certify", "visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("is not on this computer"), "{}", ran.err);
    assert!(ran.err.contains("known-signers"), "{}", ran.err);
}

fn verified(bench: &Bench, firm: &[&str]) -> Ran {
    bench.run(&[&["verify", "maple/certificate.pdf"], firm].concat())
}

#[test]
fn a_lost_phone_takes_its_key_with_it() {
    let bench = Bench::new();
    let print = with_key(&bench);
    bench.write(
        "firm.yaml",
        &firm(&format!("[{{ fingerprint: \"{print}\" }}]")),
    );
    bench.write("maple/visit.yaml", &visit_of_the_firm());
    let today = chrono::Utc::now().date_naive();
    let (day, next) = (today.to_string(), today.succ_opt().unwrap().to_string());
    let sign = ["certify", "maple/visit.yaml", "--force"];
    let ran = bench.run(&sign);
    assert_eq!(ran.code, 0, "{}", ran.err);

    // Beside the certificate, the file speaks only against keys: it may have come with it.
    assert_eq!(verified(&bench, &[]).code, 5);
    let named = verified(&bench, &["--firm", "firm.yaml"]);
    assert_eq!(named.code, 0, "{}{}", named.out, named.err);

    // Revoked before it was sealed.
    let revoked = |day: &str| {
        let keys = format!("[{{ fingerprint: \"{print}\", revoked: {day}, because: phone lost }}]");
        bench.write("firm.yaml", &firm(&keys));
    };
    revoked(&day);
    for firm in [&[][..], &["--firm", "firm.yaml"]] {
        let after = verified(&bench, firm);
        assert_eq!(after.code, 1, "{}", after.out);
        let out = after.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            out.contains(&format!(
                "revoked this key on {day} (phone lost), and the seal came after that"
            )),
            "{out}"
        );
        let register = bench.run(&[&["register", "maple"], firm].concat());
        assert_eq!(register.code, 1, "{}", register.out);
    }
    let again = bench.run(&sign);
    assert_eq!(again.code, 1);
    assert!(
        again
            .err
            .contains(&format!("was revoked on {day} (phone lost)")),
        "{}",
        again.err
    );

    // Revoked later: the time of signing is only the signer's word, so nothing is proved.
    revoked(&next);
    for firm in [&[][..], &["--firm", "firm.yaml"]] {
        let before = verified(&bench, firm);
        assert_eq!(before.code, 5, "{}", before.out);
        assert!(
            before
                .out
                .contains(&format!("the firm revoked this key on {next}")),
            "{}",
            before.out
        );
        let register = bench.run(&[&["register", "maple"], firm].concat());
        assert_eq!(register.code, 5, "{}", register.out);
    }
}

#[test]
fn a_firm_file_named_by_a_stranger_s_visit_is_not_quoted() {
    let bench = Bench::new();
    bench.write("secret.yaml", "password: hunter2\n");
    let visit = visit_of_the_firm().replacen("visit:\n", "visit:\n  firm: ../secret.yaml\n", 1);
    assert!(
        visit.contains("secret.yaml"),
        "the example's `visit:` is not a block"
    );
    bench.write("maple/visit.yaml", &visit);
    let ran = bench.run(&["check", "maple/visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("not a firm file"), "{}", ran.err);
    assert!(
        !ran.err.contains("hunter2") && !ran.err.contains("password"),
        "{}",
        ran.err
    );
}

/// A firm with ranges of numbers, in which everybody's key is on their own computer.
fn firm_of_two() -> String {
    "firm: { name: Lantern Row Electric, phone: 555 0100 }\n\
     technicians:\n  - { name: Ada Ohm, licence: EC-0001 }\n  - { name: Ben Watt, licence: EC-0002 }\n\
     instruments:\n  gun-2: { kind: infrared-thermometer, model: Spot 12, serial: A1, accuracy: { of_reading: 2 %, at_least: 2 °C }, emissivity: 0.95, distance_to_spot: \"12:1\" }\n\
     defaults: { rules: us, language: es, paper: a4, hottest_air: 40 °C }\n\
     hottest_air:\n  - { site: 12 Maple Court, air: 45 °C }\n\
     numbers:\n  - { device: van-1, first: 1, last: 499 }\n  - { device: van-2, first: 500, last: 501 }\n"
        .to_owned()
}

/// Runs on the computer with this name, which has a configuration folder of its own.
fn on(bench: &Bench, computer: &str, args: &[&str]) -> Ran {
    let mut command = bench.command(args);
    command.env("XDG_CONFIG_HOME", bench.path(computer));
    command.output().unwrap().into()
}

fn line<'t>(text: &'t str, key: &str) -> &'t str {
    let line = text.lines().find(|l| l.trim_start().starts_with(key));
    line.unwrap_or_else(|| panic!("no {key} in {text}")).trim()
}

#[test]
fn two_vans_without_a_network_never_give_one_number() {
    let bench = Bench::new();
    // Each has its own copy of the firm's folder.
    for van in ["van-1", "van-2"] {
        bench.write(&format!("{van}/firm.yaml"), &firm_of_two());
        let name = if van == "van-1" {
            "Ada Ohm"
        } else {
            "Ben Watt"
        };
        let made = on(
            &bench,
            &format!("config-{van}"),
            &["identity", "new", "--name", name],
        );
        assert_eq!(made.code, 0, "{}", made.err);
    }
    let new = |van: &str, site: &str, more: &[&str]| {
        let target = format!("{van}/{site}/visit.yaml");
        let args = [
            &[
                "new",
                "-o",
                &target,
                "--site",
                site,
                "--client",
                "Lee",
                "--no-questions",
            ],
            more,
        ];
        let ran = on(&bench, &format!("config-{van}"), &args.concat());
        (ran, bench.path(&target))
    };
    let (ran, _) = new("van-1", "a", &[]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("this device is not named yet"),
        "{}",
        ran.err
    );
    let mut numbers = Vec::new();
    for (van, site) in [
        ("van-1", "b"),
        ("van-2", "c"),
        ("van-1", "d"),
        ("van-2", "e"),
    ] {
        let named: &[&str] = if site < "d" { &["--device", van] } else { &[] };
        let (ran, path) = new(van, site, named);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let text = std::fs::read_to_string(path).unwrap();
        numbers.push(line(&text, "number:").to_owned());
        let technician = if van == "van-1" {
            "inspector: Ada Ohm"
        } else {
            "inspector: Ben Watt"
        };
        assert!(text.contains(technician), "{text}");
        assert!(text.contains("gun: gun-2"), "{text}");
        assert!(line(&text, "print:").contains("es"), "{text}");
        assert!(line(&text, "hottest_air:").contains("104 °F"), "{text}");
    }
    let year = chrono::Local::now().format("%Y").to_string();
    let counts: Vec<_> = numbers.iter().map(|n| n.replace(&year, "Y")).collect();
    assert!(
        counts[0].contains("Y-0001") && counts[1].contains("Y-0500"),
        "{counts:?}"
    );
    assert!(
        counts[2].contains("Y-0002") && counts[3].contains("Y-0501"),
        "{counts:?}"
    );
    let (full, _) = new("van-2", "f", &[]);
    assert_eq!(full.code, 1);
    assert!(full.err.contains("all numbers of `van-2`"), "{}", full.err);
    let (twice, _) = new("van-1", "g", &["--number", &format!("{year}-0002")]);
    assert_eq!(twice.code, 1);
    assert!(twice.err.contains("was given to d"), "{}", twice.err);
}

#[test]
fn the_next_visit_to_a_site_begins_with_its_latest_certificate() {
    let bench = Bench::new();
    bench.write("firm.yaml", &firm("[]").replace("    keys: []\n", ""));
    bench.write("2024/visit.yaml", &visit_of_the_firm());
    let certified = bench.run(&["certify", "2024/visit.yaml"]);
    assert_eq!(certified.code, 0, "{}", certified.err);
    bench.write("other/notes.pdf", "%PDF-1.4 no certificate");
    let source = std::fs::read_to_string(bench.path("2024/visit.yaml")).unwrap();
    let site = source.lines().find(|l| l.starts_with("site:")).unwrap();
    let site = site
        .split("name:")
        .nth(1)
        .unwrap()
        .split(['"', ','])
        .find(|s| !s.trim().is_empty());
    let site = site.unwrap().trim().to_owned();

    let ran = bench.run(&[
        "new",
        "--site",
        &site.to_uppercase(),
        "-o",
        "next/visit.yaml",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("2024/certificate.pdf: the latest certificate"),
        "{}",
        ran.err
    );
    let next = std::fs::read_to_string(bench.path("next/visit.yaml")).unwrap();
    assert!(next.contains("reason: periodic"), "{next}");
    assert!(
        line(&next, "earlier:").contains("../2024/certificate.pdf"),
        "{next}"
    );
    assert!(
        next.contains("inspector: Ada Ohm") && next.contains("imager: imager-2"),
        "{next}"
    );
    let checked = bench.run(&["check", "next/visit.yaml"]);
    assert_eq!(checked.code, 0, "{}{}", checked.out, checked.err);

    // Of two certificates the one of the later visit, whichever is found first.
    let later = source
        .replace("number: 2024-0117", "number: 2025-0001")
        .replace("date: 2024-11-13", "date: 2025-11-13");
    assert_ne!(later, source);
    bench.write("1999/visit.yaml", &later);
    let certified = bench.run(&["certify", "1999/visit.yaml"]);
    assert_eq!(certified.code, 0, "{}", certified.err);
    let ran = bench.run(&["new", "--site", &site, "-o", "third/visit.yaml"]);
    assert!(
        ran.err
            .contains("1999/certificate.pdf: the latest certificate"),
        "{}",
        ran.err
    );

    // Nobody was ever there: a first visit, and it says so.
    let ran = bench.run(&["new", "--site", "Nowhere Lane", "-o", "first/visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("so this is a first visit"), "{}", ran.err);
}

#[test]
fn chargers_that_are_alike_are_written_once() {
    let bench = Bench::new();
    let facts = [
        "new",
        "--rated",
        "32 A",
        "--breaker",
        "40 A",
        "--conductor",
        "8 AWG",
    ];
    let ran = bench.run(&[&facts[..], &["--count", "5", "--like", "bay-1"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    for n in 1..=5 {
        assert!(text.contains(&format!("  - id: bay-{n}\n")), "{text}");
    }
    assert!(!text.contains("bay-6"));
    assert_eq!(bench.run(&["check", "visit.yaml"]).code, 0);
    let ran = bench.run(&[&facts[..], &["--count", "2", "--like", "bay-9", "--force"]].concat());
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("no circuit `bay-9`; it has `bay-1`"),
        "{}",
        ran.err
    );
}

/// A zip as a phone saves it.
fn zip(visit: &str, values: &str) -> Vec<u8> {
    use std::io::{Cursor, Write};
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let plain = zip::write::SimpleFileOptions::default();
    let sheet = format!("{{\"values\": {values}, \"photos\": []}}");
    for (name, text) in [("visit.yaml", visit), ("worksheet.json", &sheet)] {
        writer.start_file(name, plain).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn a_day_s_zips_go_into_their_visits_and_can_be_taken_again() {
    let bench = Bench::new();
    // One visit lacks what the phone has, one is not complete even then, one only the phone knows.
    let whole = alone("townhouse-first");
    let (before, rest) = whole.split_once("    looked_at:\n").unwrap();
    let after = &rest[rest.find("\n\n").unwrap()..];
    bench.write("visits/garage/visit.yaml", &format!("{before}{after}"));
    let short = alone("limited-visit");
    bench.write("visits/limited/visit.yaml", &short);
    std::fs::create_dir(bench.path("phones")).unwrap();
    let seen: Vec<String> = ["breaker", "stabs", "charger", "ground"]
        .map(|place| format!("\"garage/looked_at/{place}/seen\": \"clean\""))
        .to_vec();
    let seen = format!("{{{}}}", seen.join(", "));
    let put = |name: &str, bytes: Vec<u8>| std::fs::write(bench.path(name), bytes).unwrap();
    put("phones/1.zip", zip(&whole, &seen));
    let torque = "{\"unit-12/torque/panel-L1/found\": \"held\"}";
    put("phones/2.zip", zip(&short, torque));
    let number = line(&whole, "number:")
        .split_whitespace()
        .nth(1)
        .unwrap()
        .to_owned();
    let other = whole.replacen(&number, "2024-0999", 1);
    put(
        "phones/3.zip",
        zip(&other, "{\"garage/left_as/state\": \"in-use\"}"),
    );
    put("phones/4.zip", b"PK no zip".to_vec());

    let args = ["fill", "--all", "phones", "--visits", "visits", "--replace"];
    let first = bench.run(&args);
    assert!(
        first.out.contains(&format!("{number}  certified: ")),
        "{}{}",
        first.out,
        first.err
    );
    assert!(first.out.contains("not complete, "), "{}", first.out);
    assert!(
        first.out.contains("not copied (phones/4.zip)"),
        "{}",
        first.out
    );
    assert!(first.out.contains("2024-0999"), "{}", first.out);
    assert!(
        bench.path("visits/2024-0999/visit.yaml").exists(),
        "{}",
        first.out
    );
    assert_eq!(first.code, 1, "one zip was not taken");
    let certificate = std::fs::read(bench.path("visits/garage/certificate.pdf")).unwrap();
    assert!(!bench.path("visits/limited/certificate.pdf").exists());

    // After a cut, the same again changes nothing.
    std::fs::remove_file(bench.path("phones/4.zip")).unwrap();
    let again = bench.run(&args);
    assert_eq!(again.code, 0, "{}{}", again.out, again.err);
    assert!(again.out.contains("certified before"), "{}", again.out);
    let now = std::fs::read(bench.path("visits/garage/certificate.pdf")).unwrap();
    assert!(now == certificate, "the certificate was made again");
}

/// One of the two computers of the week.
struct Van {
    name: &'static str,
    print: String,
}

#[test]
fn a_week_of_two_technicians() {
    use crate::new::{calm, filled};
    let bench = Bench::new();
    let config = |van: &Van| format!("config-{}", van.name);
    let vans = [("van-1", "Ada Ohm"), ("van-2", "Ben Watt")].map(|(name, person)| {
        let made = on(
            &bench,
            &format!("config-{name}"),
            &["identity", "new", "--name", person],
        );
        assert_eq!(made.code, 0, "{}", made.err);
        let shown = made.out.lines().find(|l| l.starts_with("fingerprint"));
        let print = shown
            .unwrap()
            .trim_start_matches("fingerprint")
            .trim()
            .to_owned();
        Van { name, print }
    });
    let firm = |revoked: &str| {
        let key =
            |van: &Van, more: &str| format!("keys: [{{ fingerprint: \"{}\"{more} }}]", van.print);
        firm_of_two()
            .replace(
                "licence: EC-0001",
                &format!("licence: EC-0001, {}", key(&vans[0], "")),
            )
            .replace(
                "licence: EC-0002",
                &format!("licence: EC-0002, {}", key(&vans[1], revoked)),
            )
            .replace("first: 500, last: 501", "first: 500, last: 999")
            .replace("language: es, paper: a4", "language: en")
    };
    let write = |path: &std::path::Path, text: &str| std::fs::write(path, text).unwrap();
    // Without a network each van has a folder of its own; the office joins them on Friday.
    for van in &vans {
        bench.write(&format!("{}/firm.yaml", van.name), &firm(""));
        let device = bench.path(&format!("{}/warmlug/device", config(van)));
        write(&device, &format!("{}\n", van.name));
    }
    let visit = |van: &Van, site: &str, args: &[&str], fill: &dyn Fn(&str) -> String| {
        let target = format!("{}/{site}/visit.yaml", van.name);
        let ran = on(
            &bench,
            &config(van),
            &[&["new", "-o", &target], args].concat(),
        );
        assert_eq!(ran.code, 0, "{}", ran.err);
        let text = std::fs::read_to_string(bench.path(&target)).unwrap();
        write(&bench.path(&target), &fill(&text));
        let ran = on(&bench, &config(van), &["certify", &target]);
        assert_eq!(ran.code, 0, "{site}: {}", ran.err);
        format!("{}/{site}/certificate.pdf", van.name)
    };
    let sound = |text: &str| filled(text, calm);
    let hot = |text: &str| {
        let heats = |round: usize, id: &str| match (id, round) {
            ("breaker-L1", 2) => 240.0,
            ("breaker-L1", 3) => 300.0,
            _ => calm(round, id),
        };
        filled(text, heats)
    };
    let melted = |text: &str| sound(text).replacen("seen: clean", "seen: melted", 1);
    let left = |text: &str| text.to_owned();
    for (n, van) in (1..=8).zip(vans.iter().cycle()) {
        let site = format!("Quay {n}");
        let first = [
            "--site",
            &site,
            "--client",
            "Lee",
            "--set",
            "conductors.wiring=nm-cable",
        ];
        let fill: &dyn Fn(&str) -> String = match n {
            3 => &left,   // the customer sent them away
            5 => &hot,    // repaired and measured again the same day
            6 => &melted, // must not be used
            _ => &sound,
        };
        let certificate = visit(van, &site.replace(' ', "-"), &first, fill);
        if n == 5 {
            visit(van, "Quay-5-again", &["--from", &certificate], &sound);
        }
    }

    // A phone with the second key is lost; the office hears of it on Friday.
    let tomorrow = chrono::Utc::now().date_naive().succ_opt().unwrap();
    bench.write(
        "firm.yaml",
        &firm(&format!(", revoked: {tomorrow}, because: phone lost")),
    );
    let args = [
        "register",
        "van-1",
        "van-2",
        "--firm",
        "firm.yaml",
        "--format",
        "jsonl",
    ];
    let register = bench.run(&args);
    assert_eq!(register.code, 5, "{}{}", register.out, register.err);
    let rows: Vec<serde_json::Value> = register
        .out
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    assert_eq!(rows.len(), 9, "{}", register.out);
    let mut numbers: Vec<&str> = rows.iter().map(|r| r["number"].as_str().unwrap()).collect();
    numbers.sort_unstable();
    numbers.dedup();
    assert_eq!(numbers.len(), 9, "{numbers:?}");
    for row in &rows {
        assert_eq!(row["valid"], true, "{row:#}");
        let ada = row["signer"] == "Ada Ohm";
        // The key of the lost phone proves nothing without a time-stamp.
        assert_eq!(row["key_compared"], ada, "{row:#}");
        let site = row["site"].as_str().unwrap();
        let outcome = row["outcome"].as_str().unwrap();
        let current = row["current"] == true;
        match (site, current) {
            ("Quay 3", _) => assert_eq!(outcome, "incomplete", "{row:#}"),
            ("Quay 6", _) => assert_eq!(outcome, "unsatisfactory", "{row:#}"),
            ("Quay 5", true) => assert_ne!(outcome, "unsatisfactory", "{row:#}"),
            ("Quay 5", false) => assert_eq!(outcome, "unsatisfactory", "{row:#}"),
            _ => assert!(outcome.starts_with("satisfactory"), "{row:#}"),
        }
    }
    let later = bench.run(&["register", "van-1", "--firm", "firm.yaml"]);
    assert_eq!(later.code, 0, "{}{}", later.out, later.err);
}

#[test]
fn a_key_that_is_open_already_signs_no_visit_of_another_firm() {
    let bench = Bench::new();
    with_key(&bench);
    let text = alone("townhouse-first").replacen("Maren Ody", "Ada Ohm", 1);
    for n in 1..=4 {
        bench.write(&format!("own-{n}/visit.yaml"), &text);
    }
    let other = format!("[{{ fingerprint: \"{}\" }}]", "ab".repeat(32));
    bench.write("the-firm/firm.yaml", &firm(&other));
    bench.write("the-firm/visit.yaml", &text);
    let ran = bench.run(&["certify", "own-1", "own-2", "own-3", "own-4", "the-firm"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("is not listed for Ada Ohm"), "{}", ran.err);
    assert!(bench.path("own-4/certificate.pdf").exists());
    assert!(!bench.path("the-firm/certificate.pdf").exists());
}

/// Two sites of one name: the certificate of the wrong one must not be taken without a word.
#[test]
fn a_new_visit_says_that_a_site_of_this_name_is_elsewhere_too() {
    let bench = Bench::new();
    let text = std::fs::read_to_string(visit("carport-three-phase")).unwrap();
    let (text, _) = text.split_once("\nphotos:").unwrap();
    for (number, date, address) in [
        ("A1", "2025-03-27", "Lindenhang 4"),
        ("A2", "2025-03-28", "Am Bach 9"),
    ] {
        let site = format!("\"Carport, Lindenhang 4\", address: \"{address}");
        let text = text
            .replace("WR-2025-031", number)
            .replace("date: 2025-03-27", &format!("date: {date}"))
            .replace("\"Carport, Lindenhang 4\", address: \"Lindenhang 4", &site);
        let file = format!("{number}.yaml");
        bench.write(&file, &text);
        let ran = bench.run(&["certify", &file, "-o", &format!("{number}.pdf")]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    let ran = bench.run(&[
        "new",
        "--site",
        "Carport, Lindenhang 4",
        "-o",
        "next/visit.yaml",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("A2.pdf: the latest certificate"),
        "{}",
        ran.err
    );
    assert!(
        ran.err
            .contains("There is a site of this name elsewhere too (Lindenhang 4, Tarnfurt)"),
        "{}",
        ran.err
    );
}
