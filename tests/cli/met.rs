//! Whose key enters the list of known signers.

use crate::run::{Bench, visit};
use std::process::Child;
use warmlug::seal::{Identity, Person, SignOptions, sign};

const LIST: &str = "config/warmlug/known-signers";

/// The names in the list.
fn met(bench: &Bench) -> Vec<String> {
    let list = std::fs::read_to_string(bench.path(LIST)).unwrap_or_default();
    let lines = list.lines().filter(|line| !line.starts_with('#'));
    lines
        .map(|line| line.split_once(" 20").unwrap().1[9..].to_owned())
        .collect()
}

/// Forgets all keys and makes others for the same people.
pub fn another_key(bench: &Bench) {
    let shown = bench.run(&["identity", "show"]).out;
    std::fs::remove_dir_all(bench.path("config/warmlug/identities")).unwrap();
    for name in shown.lines().filter_map(|l| l.strip_prefix("name ")) {
        let made = bench.run(&["identity", "new", "--name", name.trim()]);
        assert_eq!(made.code, 0, "{}", made.err);
    }
}

#[test]
fn a_countersigner_does_not_enter() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    let client = ["--as", "client", "--name", "Rosa Lindqvist"];
    let args = [&["countersign", "townhouse-first.pdf"], &client[..]].concat();
    assert_eq!(bench.run(&args).code, 0);
    let ran = bench.run(&["verify", "townhouse-first-client.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.out);
    let names = met(&bench);
    assert_eq!(names.len(), 1, "{names:?}");
    assert!(names[0].starts_with("Maren Ody"), "{names:?}");
    // However often it is verified, the client's key is not called the first one seen.
    let first = "first certificate from this key";
    assert_eq!(ran.out.matches(first).count(), 1, "{}", ran.out);
    let ran = bench.run(&["verify", "townhouse-first-client.pdf"]);
    assert_eq!(ran.out.matches(first).count(), 0, "{}", ran.out);
    let words = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let own = "where keys that only countersign are not stored";
    assert!(words.contains(own), "{}", ran.out);
}

#[test]
fn a_refused_certificate_enters_no_key() {
    let bench = Bench::new();
    // Pages that do not say what the record says, sealed by a stranger.
    let visit = visit("limited-visit");
    let draft = ["certify", &visit, "--draft", "-o", "draft.pdf"];
    assert_eq!(bench.run(&draft).code, 0);
    let person = Person {
        name: "Rosa Lindqvist".to_owned(),
        ..Person::default()
    };
    let now = chrono::Utc::now();
    let key = Identity::create(&person, now - chrono::Duration::days(1)).unwrap();
    let draft = std::fs::read(bench.path("draft.pdf")).unwrap();
    let sealed = sign(&draft, &key, &SignOptions::at(now.fixed_offset())).unwrap();
    std::fs::write(bench.path("pages.pdf"), sealed.bytes()).unwrap();
    let ran = bench.run(&["verify", "pages.pdf"]);
    assert_eq!((ran.code, met(&bench).len()), (1, 0), "{}", ran.err);

    // A genuine one that does not belong to the photos or the paper beside it.
    bench.certified("townhouse-first");
    for beside in [["--photos", "."], ["--check-line", "nonsense"]] {
        let ran = bench.run(&[&["verify", "townhouse-first.pdf"], &beside[..]].concat());
        assert_eq!((ran.code, met(&bench).len()), (1, 0), "{}", ran.err);
    }
    assert_eq!(bench.run(&["verify", "townhouse-first.pdf"]).code, 5);
    assert_eq!(met(&bench).len(), 1);

    // One that is not replaced by the other.
    std::fs::remove_file(bench.path(LIST)).unwrap();
    bench.certified("townhouse-return");
    let ran = bench.run(&["verify", "townhouse-first.pdf", "townhouse-return.pdf"]);
    assert_eq!((ran.code, met(&bench).len()), (1, 0), "{}", ran.err);
}

#[test]
fn of_two_keys_verified_at_once_only_one_enters() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    another_key(&bench);
    bench.certified("townhouse-return");
    for _ in 0..6 {
        let start = |file: &str| bench.start(&["verify", file]);
        let runs = ["townhouse-first.pdf", "townhouse-return.pdf"].map(start);
        let ended = runs.map(|run: Child| run.wait_with_output().unwrap());
        let mut codes = ended.each_ref().map(|ran| ran.status.code().unwrap());
        codes.sort_unstable();
        assert_eq!((codes, met(&bench).len()), ([1, 5], 1));
        let alarm = ended.iter().find(|ran| ran.status.code() == Some(1));
        let told = String::from_utf8_lossy(&alarm.unwrap().stdout).into_owned();
        assert!(told.contains("WARNING: this signer"), "{told}");
        std::fs::remove_file(bench.path(LIST)).unwrap();
    }
}
