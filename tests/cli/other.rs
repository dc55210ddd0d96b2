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
        "already contains a key",
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

/// Runs with passphrases in the environment.
fn with(bench: &Bench, passphrases: &[(&str, &str)], args: &[&str]) -> crate::run::Ran {
    let mut command = bench.command(args);
    for (name, value) in passphrases {
        command.env(name, value);
    }
    command.output().unwrap().into()
}

#[cfg(unix)]
#[test]
fn a_key_without_a_passphrase_is_given_one_as_the_message_says() {
    let bench = Bench::new();
    bench.write("visit.yaml", &crate::run::alone("townhouse-first"));
    let made = bench.run(&["certify", "visit.yaml"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let shown = bench.run(&["identity", "show"]).out;
    let advice = made.err.split("To set a passphrase: ").nth(1).unwrap();
    let advice = advice.lines().next().unwrap();
    let advice = advice.replacen("warmlug", &crate::run::program(), 1);
    let typed = |passphrases: &[(&str, &str)]| {
        let mut shell = bench.other("/bin/sh", &["-c", &advice]);
        for (name, value) in passphrases {
            shell.env(name, value);
        }
        crate::run::Ran::from(shell.output().unwrap())
    };
    let nobody = typed(&[]);
    assert_eq!(nobody.code, 1, "{}", nobody.err);
    assert!(
        nobody.err.contains("WARMLUG_NEW_PASSPHRASE"),
        "{}",
        nobody.err
    );
    let given = typed(&[("WARMLUG_NEW_PASSPHRASE", "first")]);
    assert_eq!(given.code, 0, "{}", given.err);
    assert!(
        given.err.contains("encrypted with your passphrase"),
        "{}",
        given.err
    );
    let kept = std::fs::read_dir(bench.path("config/warmlug/identities"));
    assert_eq!(kept.unwrap().count(), 1, "the file as it was is gone");

    // The same key, which nothing but the passphrase opens.
    assert_eq!(bench.run(&["identity", "show"]).code, 1);
    let first = ("WARMLUG_PASSPHRASE", "first");
    assert_eq!(with(&bench, &[first], &["identity", "show"]).out, shown);
    bench.write("new", "second\n");
    use std::os::unix::fs::PermissionsExt;
    let mode = std::fs::Permissions::from_mode(0o600);
    std::fs::set_permissions(bench.path("new"), mode.clone()).unwrap();
    let name = shown
        .lines()
        .next()
        .unwrap()
        .strip_prefix("name")
        .unwrap()
        .trim();
    let change = [
        "identity",
        "passphrase",
        "--name",
        name,
        "--new-passphrase-file",
        "new",
    ];
    assert_eq!(
        with(&bench, &[("WARMLUG_PASSPHRASE", "no")], &change).code,
        1
    );
    let ran = with(&bench, &[first], &change);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let show = ["identity", "show", "--passphrase-file", "new"];
    assert_eq!(bench.run(&show).out, shown);
    assert_eq!(with(&bench, &[first], &["identity", "show"]).code, 1);

    // An empty file protects nothing.
    bench.write("empty", "\n");
    std::fs::set_permissions(bench.path("empty"), mode).unwrap();
    let args = ["identity", "show", "--passphrase-file", "empty"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("is empty"), "{}", ran.err);
}

#[test]
fn a_key_without_a_passphrase_is_renewed_with_one() {
    let bench = Bench::new();
    let made = bench.run(&["identity", "new", "--name", "Ada Ohm"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let secret = [("WARMLUG_PASSPHRASE", "secret")];
    let ran = with(&bench, &secret, &["identity", "renew", "--name", "Ada Ohm"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("encrypted with your passphrase"),
        "{}",
        ran.err
    );
}

#[test]
fn files_of_options_that_are_missing_are_told_in_words() {
    let bench = Bench::new();
    bench.write("visit.yaml", &crate::run::alone("townhouse-first"));
    bench.certified("townhouse-first");
    for args in [
        &["certify", "visit.yaml", "--identity", "gone"][..],
        &["certify", "visit.yaml", "--crl", "gone"],
        &["certify", "visit.yaml", "--passphrase-file", "gone"],
        &["verify", "townhouse-first.pdf", "--trust", "gone"],
        &["identity", "show", "gone"],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 1, "{args:?}: {}", ran.err);
        let said = "warmlug: gone: there is no such file\n";
        assert!(ran.err.ends_with(said), "{args:?}: {}", ran.err);
    }
    let ran = bench.run(&["register", "gone"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.out.contains("\n  gone: there is no such file\n"),
        "{}",
        ran.out
    );
}

#[test]
fn rules_are_printed_with_their_sources() {
    let ran = Bench::new().run(&["rules"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("ANSI/NETA MTS (2023), Table 100.18"),
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
        "order",
        "due",
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
