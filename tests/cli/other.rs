//! `warmlug new`, `identity`, `rules`, `schema`, and what holds for all commands.

use crate::run::Bench;

#[test]
fn the_starter_is_valid_and_incomplete() {
    let bench = Bench::new();
    let ran = bench.run(&["new"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let check = bench.run(&["check", "visit.yaml"]);
    assert_eq!(check.code, 0, "{}", check.err);
    assert!(check.out.contains("not complete"), "{}", check.out);
    // Never over somebody's work.
    assert_eq!(bench.run(&["new"]).code, 1);
}

#[test]
fn the_starter_is_valid_with_its_comments_taken_away_too() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "-o", "-", "--number", "A \"quoted\" number"]);
    let filled: String = ran
        .out
        .lines()
        .map(|l| match l.strip_prefix("    # ") {
            Some(rest) if !rest.starts_with("Uncomment") => format!("    {rest}\n"),
            _ => format!("{l}\n"),
        })
        .collect();
    assert!(filled.contains("\n    heat:\n"), "{filled}");
    bench.write("visit.yaml", &filled);
    let check = bench.run(&["check", "visit.yaml"]);
    assert_eq!(check.code, 0, "{}", check.err);
    assert!(check.out.contains("A \"quoted\" number"), "{}", check.out);
}

#[test]
fn an_identity_is_made_shown_and_kept() {
    let bench = Bench::new();
    let args = [
        "identity",
        "new",
        "--name",
        "Ada Ohm",
        "--licence",
        "EC-1",
        "--firm",
        "Ohm",
    ];
    let made = bench.run(&args);
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(
        made.out.contains("Ada Ohm") && made.out.contains("fingerprint"),
        "{}",
        made.out
    );
    assert_eq!(bench.run(&["identity", "show"]).out, made.out);
    let again = bench.run(&args);
    assert_eq!(again.code, 1, "an identity is never replaced");
    assert!(!again.err.contains("--force"), "{}", again.err);
    for said in [
        "there is a key already",
        "earlier certificates",
        "identity renew",
        "-o FILE",
    ] {
        assert!(again.err.contains(said), "{}", again.err);
    }
    assert_eq!(bench.run(&["identity", "show"]).out, made.out);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let file = bench.path("config/warmlug/identities/ada-ohm.p12");
        assert_eq!(file.metadata().unwrap().permissions().mode() & 0o777, 0o600);
    }
}

#[test]
fn rules_are_printed_with_their_sources() {
    let ran = Bench::new().run(&["rules"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("ANSI/NETA MTS, Table 100.18"),
        "{}",
        ran.out
    );
    assert_eq!(Bench::new().run(&["rules", "nowhere"]).code, 1);
}

#[test]
fn the_schema_is_json_schema() {
    let ran = Bench::new().run(&["schema"]);
    let schema: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
}

#[test]
fn help_names_every_command_and_readme_shows_it() {
    let bench = Bench::new();
    let help = bench.run(&["--help"]).out;
    let readme =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    for command in [
        "certify",
        "check",
        "verify",
        "extract",
        "new",
        "register",
        "worksheet",
        "fill",
        "identity",
        "rules",
        "schema",
    ] {
        assert!(help.contains(&format!("  {command}")), "{help}");
        assert!(
            readme.contains(&format!("`{command}")),
            "README lacks {command}"
        );
        let ran = bench.run(&[command, "--help"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
}

#[test]
fn completions_and_pages_know_every_command() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let ran = bench.run(&["completions", shell]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        for word in ["worksheet", "register", "due-before", "countersign"] {
            assert!(ran.out.contains(word), "{shell} lacks {word}");
        }
    }
    let ran = bench.run(&["man", "-o", "man1"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let page = std::fs::read_to_string(bench.path("man1/warmlug-register.1")).unwrap();
    assert!(page.contains(".TH warmlug-register 1"), "{page}");
    assert!(page.contains("due\\-before"), "{page}");
    let help = bench.run(&["--help"]).out;
    let commands = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter_map(|l| l.split_whitespace().next())
        .filter(|c| *c != "help");
    for command in commands {
        assert!(
            ran.out.contains(&format!("warmlug-{command}.1")),
            "{command}"
        );
    }
}
