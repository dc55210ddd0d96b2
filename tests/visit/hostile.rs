//! Files that mean harm or hold too much: each limit from both sides, and nothing that hangs,
//! panics or fills the memory.

use crate::good::FULL;
use crate::world::{SMALL, read, sound};
use proptest::prelude::*;
use std::fmt::Write;
use std::time::{Duration, Instant};
use warmlug::visit::limits;

/// Far longer than a busy machine needs without optimisation, far shorter than what grows with
/// the square of a file.
const TOO_LONG: Duration = Duration::from_secs(60);

/// Problems reported in full; the rest is counted.
const SHOWN: usize = 50;

/// What is wrong first, without the excerpt.
#[track_caller]
fn first(source: &str) -> String {
    match read(source) {
        Ok(_) => panic!("the file is sound"),
        Err(problems) => problems.shown[0].message.clone(),
    }
}

/// Reads within a time that no honest file needs.
fn quickly(source: &str) -> Vec<String> {
    let start = Instant::now();
    let problems = read(source).unwrap_err();
    let took = start.elapsed();
    assert!(took < TOO_LONG, "{took:?}");
    problems.shown.into_iter().map(|p| p.message).collect()
}

/// The small file with its places replaced by `n` connections, in places of at most 100.
fn connections(n: usize) -> String {
    let mut places = String::new();
    for i in 0..n {
        if i % 100 == 0 {
            write!(
                places,
                "      - id: p{i}\n        name: P\n        connections:\n"
            )
            .unwrap();
        }
        writeln!(places, "          - {{ id: c{i}, leg: L1, kind: lug }}").unwrap();
    }
    let (head, _) = SMALL.split_once("      - id: breaker\n").unwrap();
    format!("{head}{places}")
}

/// The small file up to a line, then `n` further lines.
fn cut(before: &str, n: usize, mut line: impl FnMut(usize) -> String) -> String {
    let (head, _) = SMALL.split_once(before).unwrap();
    let mut out = head.to_owned();
    for i in 0..n {
        out.push_str(&line(i));
    }
    out
}

fn rounds(n: usize) -> String {
    cut("      charging_from", n + 1, |i| match i.checked_sub(1) {
        None => "      rounds:\n".into(),
        Some(i) => format!(
            "        - {{ at: \"{:02}:{:02}\", current: 0 A, readings: {{ breaker-L1: 61 }} }}\n",
            i / 60,
            i % 60
        ),
    })
}

fn circuits(n: usize) -> String {
    cut("circuits:\n", n + 1, |i| match i {
        0 => "circuits:\n".into(),
        i => format!(
            "  - id: bay-{i}\n    charger: {{ rated_current: 40 A, connection: hardwired }}\n    \
             supply: {{ phases: 1, legs: [L1, L2], voltage: 240 V }}\n    breaker: {{ rating: 50 A \
             }}\n    conductors: {{ material: copper, size: 6 AWG, insulation: 90 °C }}\n    \
             places: [{{ id: p, name: P, connections: [{{ id: c, leg: L1, kind: lug }}] }}]\n"
        ),
    })
}

fn photos(n: usize) -> String {
    cut("  - { id: p1,", n, |i| {
        format!("  - {{ id: p{i}, file: p{i}.jpg, caption: P }}\n")
    })
}

fn instruments(n: usize) -> String {
    let mut more = String::new();
    for i in 3..n {
        writeln!(more, "  i{i}: {{ kind: multimeter }}").unwrap();
    }
    SMALL.replace("circuits:\n", &format!("{more}circuits:\n"))
}

fn repeats(n: usize) -> String {
    SMALL.replace(
        "breaker-L1: 88",
        &format!("breaker-L1: [{}]", vec!["88"; n].join(", ")),
    )
}

fn marks(n: usize) -> String {
    let mut marks = String::new();
    for i in 0..n {
        write!(marks, "c{i}: [0.5, 0.5], ").unwrap();
    }
    format!(
        "{}photos:\n  - {{ id: p1, file: p.jpg, caption: P, marks: {{ {marks} }} }}\n",
        connections(100)
    )
}

fn earlier(n: usize) -> String {
    format!(
        "{SMALL}earlier: [{}]\n",
        vec!["../visit.yaml"; n].join(", ")
    )
}

fn aliases(n: usize) -> String {
    let list = vec!["*e"; n].join(", ");
    // Only the first list is of a sound length; the rest are aliases of it, in a key that does
    // not count them.
    format!("{SMALL}earlier: [ &e ../visit.yaml ]\nunknown: [{list}]\n")
}

#[test]
fn every_count_holds_at_its_limit_and_not_beyond() {
    type Make = fn(usize) -> String;
    let cases: [(Make, usize, &str); 8] = [
        (
            circuits,
            limits::CIRCUITS,
            "this is circuit 65 of 65; at most 64 are allowed",
        ),
        (
            connections,
            limits::CONNECTIONS,
            "the circuits have 4097 connections; at most 4096 are allowed",
        ),
        (
            rounds,
            limits::ROUNDS,
            "this is round 257 of 257; at most 256 are allowed",
        ),
        (
            photos,
            limits::PHOTOS,
            "this is photo 201 of 201; at most 200 are allowed",
        ),
        (
            instruments,
            limits::INSTRUMENTS,
            "this is instrument 65 of 65; at most 64 are allowed",
        ),
        (
            repeats,
            limits::REPEATS,
            "this is temperature 33 of 33; at most 32 are allowed",
        ),
        (
            marks,
            limits::MARKS,
            "this is mark 65 of 65; at most 64 are allowed",
        ),
        (
            earlier,
            limits::EARLIER,
            "this is earlier certificate 65 of 65; at most 64 are allowed",
        ),
    ];
    for (make, limit, message) in cases {
        sound(&make(limit));
        assert_eq!(first(&make(limit + 1)), message);
    }
}

#[test]
fn every_text_holds_at_its_limit_and_not_beyond() {
    for (old, new, limit, message) in [
        (
            "Lee Park",
            "x",
            limits::NAME,
            "this text has 121 characters; at most 120 are printed here",
        ),
        (
            "Panel",
            "é",
            limits::NOTE,
            "this text has 501 characters; at most 500 are printed here",
        ),
        (
            "2026-0147",
            "7",
            limits::NUMBER,
            "this text has 41 characters; at most 40 are printed here",
        ),
        (
            "bay-1",
            "b",
            limits::ID,
            "this id has 41 characters; at most 40 are allowed",
        ),
        (
            "rules: us",
            "r",
            limits::PATH,
            "this path has 256 bytes; at most 255 are allowed",
        ),
    ] {
        let key = if old.starts_with("rules") {
            "rules: "
        } else {
            ""
        };
        let with = |n: usize| SMALL.replace(old, &format!("{key}{}", new.repeat(n)));
        sound(&with(limit));
        assert_eq!(first(&with(limit + 1)), message);
    }
    let remarks = |n: usize| format!("{SMALL}remarks: {}\n", "x".repeat(n));
    sound(&remarks(limits::REMARKS));
    assert_eq!(
        first(&remarks(limits::REMARKS + 1)),
        "this text has 4001 characters; at most 4000 are printed here"
    );
}

#[test]
fn a_file_may_have_so_many_bytes() {
    let comment = "#".repeat(limits::FILE_BYTES - SMALL.len());
    sound(&format!("{SMALL}{comment}"));
    let problems = read(&format!("{SMALL}{comment}#")).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "visit.yaml: the file has 4194305 bytes; a visit file may have 4194304\n  = split the \
         visit into several files; photos are named in it, not put into it"
    );
}

#[test]
fn nesting_is_bounded() {
    let nest = |n: usize| format!("{SMALL}remarks: {}{}\n", "[".repeat(n), "]".repeat(n));
    assert_eq!(
        first(&nest(limits::NESTING)),
        "a text belongs here, and this is a list"
    );
    let over = "lists and maps are nested more than 24 deep";
    assert_eq!(first(&nest(limits::NESTING + 1)), over);
    assert_eq!(quickly(&nest(1_000_000)), [over]);
    assert_eq!(quickly(&"[".repeat(4_000_000)), [over]);
    let blocks: String = (0..1000)
        .map(|i| format!("{}a:\n", " ".repeat(i)))
        .collect();
    assert_eq!(quickly(&blocks), [over]);
}

#[test]
fn aliases_are_bounded() {
    assert_eq!(
        first(&aliases(limits::ALIASES)),
        "`unknown` is not a key of the file"
    );
    assert_eq!(
        first(&aliases(limits::ALIASES + 1)),
        "this is alias 257 of the file; at most 256 are allowed"
    );
}

#[test]
fn an_alias_bomb_does_not_go_off() {
    let mut bomb = String::from("a: &a [x, x, x, x, x, x, x, x, x]\n");
    for pair in ["ab", "bc", "cd", "de", "ef", "fg", "gh", "hi"] {
        let (from, to) = pair.split_at(1);
        let list = vec![format!("*{from}"); 9].join(", ");
        writeln!(bomb, "{to}: &{to} [{list}]").unwrap();
    }
    let told = quickly(&format!("{bomb}{SMALL}"));
    assert_eq!(
        told,
        ["here the file reaches 500000 values, counting aliases each time; no more are allowed"]
    );
}

#[test]
fn values_are_bounded() {
    let list = |n: usize| format!("remarks: [{}]\n", vec!["a"; n].join(","));
    // The root, its key and the list are three values.
    let fits = quickly(&list(limits::VALUES - 3));
    assert!(fits[0].contains("is missing"), "{fits:?}");
    assert_eq!(
        quickly(&list(limits::VALUES - 2)),
        ["here the file reaches 500000 values, counting aliases each time; no more are allowed"]
    );
}

#[test]
fn a_flood_of_problems_is_told_in_part_and_counted() {
    let mut flood = String::from("readings: { ");
    for i in 0..20_000 {
        write!(flood, "breaker-Q{i}: 5, ").unwrap();
    }
    flood.push_str("} }\n");
    let (head, _) = SMALL.split_once("readings: ").unwrap();
    let start = Instant::now();
    let problems = read(&format!("{head}{flood}")).unwrap_err();
    assert!(start.elapsed() < TOO_LONG, "{:?}", start.elapsed());
    assert_eq!(problems.shown.len(), SHOWN);
    assert_eq!(problems.more, 20_000 - SHOWN);
    assert_eq!(
        problems.shown[0].message,
        "no connection in this file has the id `breaker-Q0`"
    );
    assert_eq!(
        problems.shown[49].message,
        "no connection in this file has the id `breaker-Q49`"
    );
    let text = problems.to_string();
    assert!(text.ends_with("\n\nand 19950 more"));
}

#[test]
fn huge_scalars_and_keys_are_refused_quickly() {
    let huge = "x".repeat(3_000_000);
    assert_eq!(
        quickly(&SMALL.replace("Lee Park", &huge)),
        ["this text has 3000000 characters; at most 120 are printed here"]
    );
    let told = quickly(&format!("{SMALL}\"{}\": 1\n", "k".repeat(1000)));
    assert_eq!(
        told,
        ["`kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk…` is not a key of the file"]
    );
    let told = quickly(&SMALL.replace("45 }", &format!("{} in·lb }}", "9".repeat(1_000_000))));
    assert_eq!(
        told[0],
        "`9999999999999999999999999999999999999999…` is too large a number"
    );
}

#[test]
fn odd_bytes_are_named_where_they_stand() {
    for (odd, message) in [
        ("\0", "there is a control character (U+0000) here"),
        (
            "\u{feff}",
            "this text contains an invisible control character (U+FEFF)",
        ),
        ("\u{7f}", "there is a control character (U+007F) here"),
        (
            "\u{85}",
            "this text contains an invisible control character (U+0085)",
        ),
        (
            "\u{2028}",
            "this text contains an invisible control character (U+2028)",
        ),
        (
            "\u{200b}",
            "this text contains an invisible control character (U+200B)",
        ),
        ("\u{fffe}", "there is a control character (U+FFFE) here"),
    ] {
        let problems = read(&SMALL.replace("Lee Park", &format!("Lee{odd}Park"))).unwrap_err();
        let place = problems.shown[0].place.as_ref().unwrap();
        assert_eq!(
            (problems.shown[0].message.as_str(), place.line, place.column),
            (message, 4, 20)
        );
    }
}

/// A change to a text: cut, doubled or replaced characters, or lines out of place.
fn changed(text: &'static str) -> impl Strategy<Value = String> {
    let n = text.chars().count();
    let edit = (
        0..n,
        0..12usize,
        "[-\\]\\[{}:,#&*!|>'\"%@`~\t\r\n 0-9a-zé\u{0}\u{feff}]{0,6}",
    );
    proptest::collection::vec(edit, 1..5).prop_map(move |edits| {
        let mut chars: Vec<char> = text.chars().collect();
        for (at, length, new) in edits {
            let at = at.min(chars.len());
            let end = (at + length).min(chars.len());
            chars.splice(at..end, new.chars());
        }
        chars.into_iter().collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn no_change_makes_the_reader_panic(small in changed(SMALL), full in changed(FULL)) {
        for text in [small, full] {
            if let Err(problems) = read(&text) {
                prop_assert!(!problems.shown.is_empty());
                let lines = problems.shown.iter().filter_map(|p| p.place.as_ref()).map(|e| e.line);
                prop_assert!(lines.is_sorted(), "{}", problems);
                for p in &problems.shown {
                    prop_assert!(!p.message.is_empty() && !p.help.is_empty());
                    prop_assert!(!p.message.contains('\n') && !p.help.contains('\n'), "{} / {}", p.message, p.help);
                    if let Some(e) = &p.place {
                        prop_assert!(!e.text.contains(['\n', '\r', '\t', '\0']));
                        prop_assert!(e.text.chars().count() <= 98 && e.width >= 1);
                    }
                }
            }
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "[-\\]\\[{}:,#&*!|>'\"% \n\ta-c0-9é]{0,80}") {
        let _ = read(&text);
    }
}
