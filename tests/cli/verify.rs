//! `warmlug verify`: whom the reader trusts, and what the answers say.

use crate::run::{Bench, alone, visit};
use serde_json::Value;

fn json(bench: &Bench, args: &[&str]) -> (i32, Value) {
    let ran = bench.run(&[&["verify", "--format", "json"], args].concat());
    let value = serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}", ran.err));
    (ran.code, value)
}

fn trust(answers: &Value) -> &str {
    answers["seal"]["signatures"][0]["trust"]["answer"]
        .as_str()
        .unwrap()
}

#[test]
fn the_first_use_of_a_key_is_told_and_then_it_is_known() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let ran = bench.run(&["verify", &path]);
    assert_eq!(ran.code, 5, "{}", ran.out);
    assert!(
        ran.out.contains("first certificate from this key"),
        "{}",
        ran.out
    );
    assert!(ran.err.contains("The key is now known"), "{}", ran.err);
    let ran = bench.run(&["verify", &path]);
    assert!(
        ran.out.contains("the same key as first met on"),
        "{}",
        ran.out
    );
    assert_eq!(ran.err, "");
    // Known is not compared: the exit code says so until somebody has compared the fingerprint.
    assert_eq!(ran.code, 5, "{}", ran.out);
    let (code, answers) = json(&bench, &[&path, "--allow-uncompared"]);
    assert_eq!((code, trust(&answers)), (0, "known"));
    for (key, yes) in [
        ("acceptable", true),
        ("genuine", false),
        ("unchanged", true),
        ("key_compared", false),
    ] {
        assert_eq!(answers[key], yes, "{key}");
    }
    let list = "config/warmlug/known-signers";
    let met = std::fs::read_to_string(bench.path(list)).unwrap();
    bench.write(list, &met.replace(" met ", " accepted "));
    let ran = bench.run(&["verify", &path]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(ran.out.starts_with("Genuine: signed by"), "{}", ran.out);
    assert!(ran.out.contains("the key that you accepted"), "{}", ran.out);
    let (code, answers) = json(&bench, &[&path]);
    assert_eq!((code, &answers["genuine"]), (0, &true.into()));
    bench.write(list, &met);
    // Another key under the same name is an alarm.
    crate::met::another_key(&bench);
    let other = bench.certified("townhouse-return");
    let other = other.to_string_lossy();
    let ran = bench.run(&["verify", &other]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out
            .starts_with("Do not rely on this file, although its seal is unbroken"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("WARNING: this signer"), "{}", ran.out);
    let (code, answers) = json(&bench, &[&other]);
    assert_eq!((code, trust(&answers)), (1, "other-key"));
    assert_eq!(answers["unchanged"], true);
    for no in ["genuine", "acceptable", "key_compared"] {
        assert_eq!(answers[no], false, "{no}");
    }
    // Whoever asks for no memory gets none.
    let (code, answers) = json(&bench, &[&other, "--no-known"]);
    assert_eq!((code, trust(&answers)), (5, "not-asked"));
}

#[test]
fn a_certificate_in_two_languages_is_verified_and_countersigned_in_its_own() {
    let bench = Bench::new();
    let source = alone("townhouse-first").replace("language: en", "language: [fr, en]");
    bench.write("visit.yaml", &source);
    let ran = bench.run(&["certify", "visit.yaml", "-o", "fr.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (code, answers) = json(&bench, &["fr.pdf"]);
    assert_eq!(code, 5, "{answers:#}");
    assert_eq!(answers["pages"]["answer"], "yes", "{answers:#}");
    let args = ["countersign", "fr.pdf", "--as", "client", "--name", "Amal"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let pdf = std::fs::read(bench.path("fr-client.pdf")).unwrap();
    // “Reçu” as a text string in UTF-16.
    let said = b"\xFE\xFF\0R\0e\0\xE7\0u";
    let hex: String = said.iter().map(|b| format!("{b:02X}")).collect();
    let text = String::from_utf8_lossy(&pdf).to_uppercase();
    assert!(
        text.contains(&hex) || pdf.windows(said.len()).any(|w| w == said),
        "the reason is not in French"
    );
    assert_eq!(bench.run(&["verify", "fr-client.pdf"]).code, 5);
}

#[test]
fn a_pin_decides() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let shown = bench.run(&["identity", "show"]).out;
    let print: String = shown
        .lines()
        .find_map(|l| l.strip_prefix("fingerprint"))
        .unwrap()
        .trim()
        .to_owned();
    let (code, answers) = json(&bench, &[&path, "--pin", &print]);
    assert_eq!((code, trust(&answers)), (0, "pinned"));
    let (code, answers) = json(&bench, &[&path, "--pin", &"0".repeat(64)]);
    assert_eq!((code, trust(&answers)), (1, "refused"));
    let sentence = answers["sentence"].as_str().unwrap();
    assert!(
        sentence.contains("another key than the one you gave"),
        "{sentence}"
    );
    let ran = bench.run(&["verify", &path, "--pin", "1234"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("64 hexadecimal digits"), "{}", ran.err);
}

#[test]
fn a_trusted_file_decides() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let root = format!("{}/tests/seal_keys/root.crt", env!("CARGO_MANIFEST_DIR"));
    let (code, answers) = json(&bench, &[&path, "--trust", &root]);
    assert_eq!((code, trust(&answers)), (1, "refused"));
    bench.write("empty.pem", "nothing");
    let ran = bench.run(&["verify", &path, "--trust", "empty.pem"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("it contains no certificate"),
        "{}",
        ran.err
    );
}

#[test]
fn originals_are_held_against_the_digests() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let source = visit("townhouse-first");
    let folder = std::path::Path::new(&source).parent().unwrap();
    let (code, answers) = json(&bench, &[&path, "--photos", &folder.to_string_lossy()]);
    assert_eq!(code, 5, "{answers}");
    assert_eq!(answers["photos"]["answer"], "yes");
    let (code, answers) = json(&bench, &[&path, "--photos", "."]);
    assert_eq!(code, 1);
    // A file that is not there is no wrong picture.
    assert_eq!(answers["photos"]["answer"], "missing");
    let missing = answers["photos"]["missing"].as_array().unwrap();
    let ran = bench.run(&["verify", &path, "--photos", "."]);
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    assert!(
        words.join(" ").contains("2 photos are missing"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("certified ones"), "{}", ran.out);
    // One that is there must still be the certified one.
    std::fs::create_dir(bench.path("photos")).unwrap();
    bench.write(missing[0].as_str().unwrap(), "another picture");
    let (code, answers) = json(&bench, &[&path, "--photos", "."]);
    assert_eq!((code, &answers["photos"]["answer"]), (1, &"no".into()));
    let named = answers["photos"]["differences"].as_array().unwrap();
    assert_eq!(named.len(), 2, "{named:?}");
    assert!(
        named[0]
            .as_str()
            .unwrap()
            .contains("is a different picture")
    );
    assert!(named[1].as_str().unwrap().ends_with(" is missing"));
}

#[cfg(unix)]
#[test]
fn originals_are_not_looked_for_outside_the_folder() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let source = visit("townhouse-first");
    let photos = std::path::Path::new(&source)
        .parent()
        .unwrap()
        .join("photos");
    let answer = || {
        let (code, answers) = json(&bench, &[&path, "--photos", "given"]);
        let named = answers["photos"]["differences"].to_string();
        (code, answers["photos"]["answer"].clone(), named)
    };
    // The right photos, but behind a link that leads out.
    std::fs::create_dir(bench.path("given")).unwrap();
    std::os::unix::fs::symlink(&photos, bench.path("given/photos")).unwrap();
    let (code, word, named) = answer();
    assert_eq!((code, word), (1, "no".into()), "{named}");
    assert!(named.contains("is outside the folder"), "{named}");
    // A pipe is not waited for.
    std::fs::remove_file(bench.path("given/photos")).unwrap();
    std::fs::create_dir(bench.path("given/photos")).unwrap();
    for photo in std::fs::read_dir(&photos).unwrap() {
        let name = photo.unwrap().file_name();
        let made = std::process::Command::new("mkfifo")
            .arg(bench.path("given/photos").join(name))
            .status();
        assert!(made.unwrap().success());
    }
    let (code, word, named) = answer();
    assert_eq!((code, word), (1, "no".into()), "{named}");
    assert!(named.contains("not a regular file"), "{named}");
}

#[test]
fn the_first_words_tell_a_paper_copy_of_another_file() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let good = "Unchanged since it was sealed by a key that calls itself ";
    assert!(bench.run(&["verify", &path]).out.starts_with(good));
    let digits = |n: usize| "0".repeat(n);
    let other = format!("2026-0147 / {} / {}", digits(24), digits(16));
    for (line, first, answer) in [
        (
            other.as_str(),
            "The paper copy does NOT match this file: ",
            "no",
        ),
        (
            "",
            "It is unknown whether the paper copy matches this file: ",
            "not-determined",
        ),
    ] {
        let ran = bench.run(&["verify", &path, "--check-line", line]);
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert!(ran.out.starts_with(first), "{}", ran.out);
        let (code, answers) = json(&bench, &[&path, "--check-line", line]);
        assert_eq!((code, &answers["paper"]["answer"]), (1, &answer.into()));
        let sentence = answers["sentence"].as_str().unwrap();
        assert!(sentence.starts_with(first), "{sentence}");
        // What the file is by itself is said after it.
        assert!(sentence.contains(good), "{sentence}");
        assert_eq!(answers["objections"].as_array().unwrap().len(), 1);
    }
}

#[test]
fn the_first_words_tell_photos_of_another_visit() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let path = path.to_string_lossy();
    let (_, answers) = json(&bench, &[&path, "--photos", "."]);
    std::fs::create_dir(bench.path("photos")).unwrap();
    for photo in answers["photos"]["missing"].as_array().unwrap() {
        bench.write(photo.as_str().unwrap(), "another picture");
    }
    let ran = bench.run(&["verify", &path, "--photos", "."]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.starts_with("Do not rely on this file"),
        "{}",
        ran.out
    );
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    let said = "the photos are not the certified ones";
    assert!(words.join(" ").contains(said), "{}", ran.out);
}

#[test]
fn a_damaged_list_of_known_signers_is_named() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    bench.write("config/warmlug/known-signers", "Rosa\n");
    let ran = bench.run(&["verify", &path.to_string_lossy()]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("line 1"), "{}", ran.err);
}

#[test]
fn a_known_signer_without_a_name_blocks_nothing() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let line = format!("# list\n{} met 2026-11-01\n", "ab".repeat(32));
    bench.write("config/warmlug/known-signers", &line);
    let ran = bench.run(&["verify", &path.to_string_lossy()]);
    assert_eq!(ran.code, 5, "{}", ran.err);
    assert!(
        ran.err.contains("known-signers, line 2: ignored"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("The key is now known"), "{}", ran.err);
}

/// A visit of another number that replaces a certificate.
fn replacing(number: &str, sha256: &str) -> String {
    let source = alone("townhouse-first");
    assert!(source.contains("number: 2024-0117"), "{source}");
    source.replacen(
        "number: 2024-0117",
        &format!("number: 2024-0118\n  replaces: {{ number: {number}, sha256: {sha256} }}"),
        1,
    )
}

#[test]
fn a_certificate_that_replaces_another_says_which() {
    let bench = Bench::new();
    bench.write("old.yaml", &alone("townhouse-first"));
    let certify = |source: &str, target: &str| {
        let ran = bench.run(&["certify", source, "-o", target]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    };
    certify("old.yaml", "old.pdf");
    let (_, answers) = json(&bench, &["old.pdf"]);
    let digest = answers["certificate"]["sha256"].as_str().unwrap();
    assert_eq!(answers["certificate"]["number"], "2024-0117");
    bench.write("new.yaml", &replacing("2024-0117", digest));
    certify("new.yaml", "new.pdf");
    let alone = bench.run(&["verify", "new.pdf"]);
    assert_eq!(alone.code, 5, "{}", alone.out);
    assert!(
        alone.out.contains("replaces      2024-0117 (SHA-256"),
        "{}",
        alone.out
    );
    let ran = bench.run(&["verify", "old.pdf", "new.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.out);
    assert!(
        ran.out
            .starts_with("2024-0118 replaces 2024-0117, which no longer counts."),
        "{}",
        ran.out
    );
    // Number and digest are right, but it is about another property.
    let elsewhere = replacing("2024-0117", digest)
        .replace("Garage of 7 Larkmoor Row", "Shed of 9 Larkmoor Row");
    bench.write("elsewhere.yaml", &elsewhere);
    certify("elsewhere.yaml", "elsewhere.pdf");
    let ran = bench.run(&["verify", "elsewhere.pdf", "old.pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    let told =
        "2024-0118 says that it replaces 2024-0117, but it is about another site or circuit:";
    assert!(ran.out.starts_with(told), "{}", ran.out);
    // A countersigned copy is the same certificate.
    let args = [
        "countersign",
        "old.pdf",
        "--as",
        "client",
        "--name",
        "Amal Okafor",
    ];
    assert_eq!(bench.run(&args).code, 0);
    let (code, answers) = json(&bench, &["old-client.pdf", "new.pdf"]);
    assert_eq!(code, 5, "{answers}");
    assert_eq!(answers["amendment"]["answer"], "replaces");
    // Another digest, and none at all.
    bench.write("wrong.yaml", &replacing("2024-0117", &"0".repeat(64)));
    certify("wrong.yaml", "wrong.pdf");
    let ran = bench.run(&["verify", "old.pdf", "wrong.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.contains("with a different digest than this file"),
        "{}",
        ran.out
    );
    let (code, answers) = json(&bench, &["old.pdf", "old-client.pdf"]);
    assert_eq!(
        (code, &answers["amendment"]["answer"]),
        (1, &Value::from("same"))
    );
}

#[test]
fn nothing_replaces_a_certificate_of_its_own_number() {
    let bench = Bench::new();
    bench.write("new.yaml", &replacing("2024-0118", &"0".repeat(64)));
    let ran = bench.run(&["check", "new.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("can't replace one of its own number"),
        "{}",
        ran.err
    );
}

#[test]
fn what_the_record_says_is_told_and_how_far_it_is_proved() {
    let bench = Bench::new();
    let path = bench.certified("receptacle-aluminium");
    let path = path.to_string_lossy();
    let out = bench.run(&["verify", &path]).out;
    let told = |line: &str| assert!(out.contains(line), "`{line}` is not in\n{out}");
    told("outcome       unsatisfactory; the inspection was complete\n");
    told("charging      must stop until the circuit is repaired\n");
    told("inspected     2025-06-03\n");
    told("next due      before it is used again\n");
    told("signing time  WARNING: signed ");
    let (_, claimed) = out.split_once("\nclaimed only:\n").unwrap();
    let (claimed, not_looked_at) = claimed.split_once("\nnot looked at:\n").unwrap();
    assert!(claimed.contains("nobody has compared the key"), "{out}");
    assert!(not_looked_at.contains("--photos FOLDER"), "{out}");
    let shown = bench.run(&["identity", "show"]).out;
    let print = shown.lines().find_map(|l| l.strip_prefix("fingerprint"));
    let (code, answers) = json(&bench, &[&path, "--pin", print.unwrap().trim()]);
    assert_eq!(code, 0);
    assert_eq!(answers["stated"]["charging"], "not-at-all");
    let has = |list: &str, what: &str| {
        let entries = answers["proof"][list].as_array().unwrap();
        entries.iter().any(|e| e.as_str().unwrap().contains(what))
    };
    assert!(has("proved", "which you compared"), "{answers:#}");
    assert!(has("claimed", "the readings"), "{answers:#}");
    // Of a file that speaks against itself, nothing of the record is repeated as its result.
    let mut bytes = std::fs::read(&*path).unwrap();
    bytes[12] ^= 1;
    std::fs::write(&*path, bytes).unwrap();
    let (_, answers) = json(&bench, &[&path]);
    assert!(answers["stated"].is_null() && answers["proof"].is_null());
}

/// Keys of an object, in their order.
fn keys(value: &Value) -> Vec<&str> {
    value
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect()
}

#[test]
fn the_keys_of_the_answers_are_a_public_interface() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-return");
    let (_, answers) = json(&bench, &[&path.to_string_lossy()]);
    assert_eq!(
        keys(&answers),
        [
            "acceptable",
            "genuine",
            "unchanged",
            "key_compared",
            "sentence",
            "objections",
            "signed_in_future",
            "time_warnings",
            "certificate",
            "extract_of",
            "index_of",
            "label_of",
            "stated",
            "proof",
            "made_by",
            "other_rules",
            "this_version",
            "seal",
            "findings_follow",
            "pages",
            "tables",
            "photos",
            "paper"
        ]
    );
    assert_eq!(
        keys(&answers["certificate"]),
        ["number", "sha256", "replaces"]
    );
    let seal = &answers["seal"];
    assert_eq!(
        keys(seal),
        ["readable", "certified", "changes", "signatures"]
    );
    let signature = &seal["signatures"][0];
    assert_eq!(
        keys(signature),
        [
            "field",
            "role",
            "allows",
            "valid",
            "certificate_bound",
            "well_formed",
            "strong",
            "certificate_fit",
            "certificate_in_time",
            "coverage",
            "high_s",
            "reason",
            "signer",
            "trust",
            "signed",
            "stamp",
            "not_revoked"
        ]
    );
    assert_eq!(
        keys(&signature["signer"]),
        [
            "name",
            "firm",
            "licence",
            "fingerprint",
            "issuer",
            "issuer_checked",
            "self_signed",
            "valid_from",
            "valid_until",
            "algorithm"
        ]
    );
    assert_eq!(keys(&signature["trust"]), ["answer", "sentence"]);
    assert_eq!(keys(&signature["signed"]), ["at", "source"]);
    for question in ["findings_follow", "pages", "photos", "paper"] {
        assert_eq!(keys(&answers[question])[0], "answer", "{question}");
    }
    // A file that is no certificate has the same keys, each with an answer.
    bench.write("no.pdf", "no");
    let (code, none) = json(&bench, &["no.pdf"]);
    assert_eq!(code, 1);
    assert_eq!(keys(&none), keys(&answers));
    assert_eq!(none["pages"]["answer"], "not-determined");
}

/// One bad circuit of six: the others are not said to be out of use, nor it to be in order.
#[test]
fn circuits_that_differ_are_told_apart() {
    let bench = Bench::new();
    let path = bench.certified("landlord-six");
    let (_, answers) = json(&bench, &[&path.to_string_lossy()]);
    let circuits = answers["stated"]["circuits"].as_array().unwrap();
    let said: Vec<_> = circuits
        .iter()
        .map(|c| (c["id"].as_str().unwrap(), c["charging"].as_str().unwrap()))
        .collect();
    for (id, charging) in &said {
        let wanted = if *id == "bay-4" {
            "not-at-all"
        } else {
            "as-usual"
        };
        assert_eq!(*charging, wanted, "{id}");
    }
    assert_eq!(said.len(), 6);
    assert_eq!(
        keys(&circuits[0]),
        ["id", "name", "charging", "charging_limit_a", "next_due"]
    );
    let ran = bench.run(&["verify", &path.to_string_lossy()]);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "charging must stop until the circuit is repaired that is the worst of its circuits: - ",
        "- “Bay 4, fourth from the stair”: charging must stop until the circuit is repaired; next due \
         before it is used again",
        "“Bay 6, by the gate”: charging may go on as usual; next due 2026-01-22",
    ] {
        assert!(flat.contains(words), "{words}: {}", ran.out);
    }
    // Of one circuit, everything was said already.
    let ran = bench.run(&[
        "verify",
        &bench.certified("townhouse-first").to_string_lossy(),
    ]);
    assert!(!ran.out.contains("worst of its circuits"), "{}", ran.out);
}

#[test]
fn an_extract_proves_only_its_seal() {
    let bench = Bench::new();
    let path = bench.certified("limited-visit");
    let whole = path.to_string_lossy();
    let ran = bench.run(&["extract", &whole, "--first-page", "-o", "page.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["verify", "page.pdf"]);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let lists = "proved: - nothing was changed since it was sealed, except what the seal permits claimed only:";
    assert!(flat.contains(lists), "{}", ran.out);
    for words in [
        "- everything on the page: the record is only in the whole certificate",
        "not looked at: - the whole certificate and its record",
    ] {
        assert!(flat.contains(words), "{words}: {}", ran.out);
    }
    let (_, answers) = json(&bench, &["page.pdf"]);
    assert_eq!(answers["proof"]["proved"].as_array().unwrap().len(), 1);
}

/// The first lines of a certificate whose findings this version does not compute do not read as proved.
#[test]
fn an_outcome_of_another_version_is_marked_where_it_is_told() {
    let bench = Bench::new();
    let name = "tests/fixtures/certificates/format-0/townhouse-return.pdf";
    let path = format!("{}/{name}", env!("CARGO_MANIFEST_DIR"));
    let ran = bench.run(&["verify", &path]);
    assert_eq!(ran.code, 5, "{}", ran.out);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "WARNING what the certificate says of outcome, charging and next date was not shown to \
                 follow from its readings";
    assert!(flat.contains(words), "{}", ran.out);
    assert!(
        flat.find("WARNING what") < flat.find("signed by"),
        "{}",
        ran.out
    );
}

/// One report does not say both that the file was changed and that nothing was.
#[test]
fn a_changed_file_is_not_said_to_be_unchanged() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let mut bytes = std::fs::read(&path).unwrap();
    // A digit of the first binary comment, which no reader shows.
    bytes[12] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let ran = bench.run(&["verify", &path.to_string_lossy()]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.contains("the file was changed after it was signed"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("nothing was"), "{}", ran.out);
}

/// What was left out reads as sound nowhere, in no language.
#[test]
fn an_incomplete_inspection_has_its_own_outcome_everywhere() {
    let bench = Bench::new();
    let source = alone("limited-visit").replace("[dust, corroded]", "dust");
    for language in ["en", "de", "fr", "es"] {
        let (file, pdf) = (format!("{language}.yaml"), format!("{language}.pdf"));
        bench.write(
            &file,
            &source.replace("language: en", &format!("language: {language}")),
        );
        let ran = bench.run(&["check", &file, "--format", "json"]);
        let findings: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(bench.run(&["certify", &file, "-o", &pdf]).code, 0);
        let (_, answers) = json(&bench, &[&pdf]);
        for said in [&findings, &findings["circuits"][0], &answers["stated"]] {
            assert_eq!(
                said["charging"], "not-fully-checked",
                "{language}: {said:#}"
            );
        }
        for said in [&findings, &answers["stated"]] {
            assert_eq!(said["outcome"], "incomplete", "{language}: {said:#}");
        }
        let ran = bench.run(&["verify", &pdf]);
        for said in [
            "\noutcome       incomplete: not everything was checked, so this is no clean bill\n",
            "\ncharging      nothing that was checked forbids it, but not everything was checked\n",
        ] {
            assert!(ran.out.contains(said), "{language}: {}", ran.out);
        }
        for sound in ["satisfactory", "as usual"] {
            assert!(!ran.out.contains(sound), "{language}: {}", ran.out);
        }
        let ran = bench.run(&["register", &pdf, "--format", "jsonl"]);
        let row: Value = serde_json::from_str(ran.out.trim()).unwrap();
        assert_eq!(row["outcome"], "incomplete", "{language}: {row}");
    }
}

/// The report is a paper about exactly this file, and says that it is not signed.
#[cfg(target_os = "linux")]
#[test]
fn a_report_tells_what_was_checked() {
    use crate::pdf_common;
    use sha2::Digest;
    let bench = Bench::new();
    let path = bench.certified("limited-visit");
    let ran = bench.run(&["verify", "limited-visit.pdf", "--report", "report.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.err);
    assert!(
        ran.err.contains("report.pdf: report written, not signed"),
        "{}",
        ran.err
    );
    let report = std::fs::read(bench.path("report.pdf")).unwrap();
    let text = |pdf: &[u8]| {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), pdf).unwrap();
        let ran = bench.run(&["verify", &file.path().to_string_lossy(), "--no-known"]);
        ran.out
    };
    // It is no certificate.
    assert!(
        text(&report).starts_with("This PDF is not signed"),
        "{}",
        text(&report)
    );
    // What it carries inside is what was printed as JSON, about this file.
    let pdf = pdf_common::Pdf::load(&report);
    let json = pdf
        .streams()
        .find_map(|s| serde_json::from_slice::<Value>(s).ok());
    let json = json.expect("the answers inside");
    let digest = sha2::Sha256::digest(std::fs::read(&path).unwrap());
    let digest = base16ct::lower::encode_string(&digest);
    assert_eq!(json["certificate"]["sha256"], digest);
    assert_eq!(json["stated"]["outcome"], "incomplete");
    assert_eq!(json["proof"]["proved"].as_array().unwrap().len(), 3);
    let again = bench.run(&["verify", "limited-visit.pdf", "--report", "report.pdf"]);
    assert_eq!(again.code, 1, "an existing file was replaced");
    let spared = [
        "verify",
        "limited-visit.pdf",
        "--force",
        "--report",
        "limited-visit.pdf",
    ];
    assert_ne!(bench.run(&spared).code, 5);
    assert_eq!(
        base16ct::lower::encode_string(&sha2::Sha256::digest(std::fs::read(&path).unwrap())),
        digest
    );
    // A changed file gets a report that warns.
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
    let ran = bench.run(&["verify", "changed.pdf", "--report", "warning.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(bench.path("warning.pdf").exists());
}
