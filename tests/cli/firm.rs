//! The firm's file: who signs with which key, which instruments they carried, and what a lost phone
//! does to the keys on it.

use crate::run::{Bench, Ran, alone};

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
        ran.err.contains(&format!("the key {own} is none of those")),
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
