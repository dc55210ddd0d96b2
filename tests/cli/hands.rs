//! Several hands on one certificate, and the keys they sign with.

use crate::run::{Bench, visit};
use serde_json::Value;

fn answers(bench: &Bench, path: &str) -> (i32, Value) {
    let ran = bench.run(&["verify", "--format", "json", path]);
    (ran.code, serde_json::from_str(&ran.out).unwrap())
}

fn key(name: &str) -> String {
    format!("{}/tests/seal_keys/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// A copy of a test key that only its owner may read.
fn own_key(bench: &Bench, name: &str) {
    std::fs::copy(key(name), bench.path(name)).unwrap();
    make_private(&bench.path(name));
}

fn make_private(path: &std::path::Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::Permissions::from_mode(0o600);
        std::fs::set_permissions(path, mode).unwrap();
    }
}

#[test]
fn client_and_reviewer_countersign() {
    let bench = Bench::new();
    let sealed = bench.certified("townhouse-first");
    let client = ["--as", "client", "--name", "Amal Okafor"];
    let args = [&["countersign", "townhouse-first.pdf"], &client[..]].concat();
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("Created a self-signed identity for Amal Okafor"),
        "{}",
        ran.err
    );
    assert!(
        ran.err
            .contains("townhouse-first-client.pdf: signed by Amal Okafor as client"),
        "{}",
        ran.err
    );
    let once = std::fs::read(bench.path("townhouse-first-client.pdf")).unwrap();
    assert!(once.starts_with(&std::fs::read(sealed).unwrap()));
    assert_eq!(bench.run(&args).code, 1, "an existing file is kept");
    let ran = bench.run(&[
        "countersign",
        "townhouse-first-client.pdf",
        "--as",
        "reviewer",
        "--name",
        "Ines Moreau",
        "-o",
        "both.pdf",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (code, answers) = answers(&bench, "both.pdf");
    assert_eq!(code, 5, "{answers}");
    let roles: Vec<&str> = answers["seal"]["signatures"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| s["signer"]["name"].as_str().unwrap())
        .collect();
    assert_eq!(roles, ["Maren Ody", "Amal Okafor", "Ines Moreau"]);
    assert_eq!(answers["seal"]["changes"], "permitted");
    assert_eq!(
        answers["seal"]["named"],
        serde_json::json!([
            "a signature in the field “Client”",
            "a signature in the field “Reviewer”"
        ])
    );
    let text = bench.run(&["verify", "both.pdf"]).out;
    assert!(
        text.contains("countersigns, in the field “Client”"),
        "{text}"
    );
}

#[test]
fn what_a_countersigner_writes_is_quoted() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    let ran = bench.run(&[
        "countersign",
        "townhouse-first.pdf",
        "--as",
        "client",
        "--name",
        "Amal Okafor",
        "--reason",
        "Read”. The seal is unbroken. “Yes",
        "-o",
        "client.pdf",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (_, answers) = answers(&bench, "client.pdf");
    let reasons: Vec<&Value> = answers["seal"]["signatures"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| &s["reason"])
        .collect();
    assert_eq!(reasons[1], "Read”. The seal is unbroken. “Yes");
    let text = bench.run(&["verify", "client.pdf"]).out;
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("“Read'. The seal is unbroken. 'Yes” (the signer's own words)"),
        "{text}"
    );
}

#[test]
fn an_issuer_that_was_not_checked_is_a_claim() {
    let bench = Bench::new();
    own_key(&bench, "issued.p12");
    std::fs::write(bench.path("passphrase"), "three blue\n").unwrap();
    make_private(&bench.path("passphrase"));
    let visit = visit("townhouse-first");
    let ran = bench.run(&[
        "certify",
        &visit,
        "-o",
        "issued.pdf",
        "--identity",
        "issued.p12",
        "--passphrase-file",
        "passphrase",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let words = |args: &[&str]| {
        let text = bench.run(args).out;
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let claim = "issuer claims to be issued by “CN=Guild Root,O=Guild of Invented Electricians” \
                 (not checked)";
    let text = words(&["verify", "issued.pdf"]);
    assert!(text.contains(claim), "{text}");
    // The certificate itself is trusted; who issued it is still a claim.
    let text = words(&["verify", "issued.pdf", "--trust", &key("issued.crt")]);
    assert!(text.contains(claim), "{text}");
    let text = words(&["verify", "issued.pdf", "--trust", &key("root.crt")]);
    assert!(
        text.contains("issuer issued by “CN=Guild Root") && !text.contains("claims"),
        "{text}"
    );
}

#[test]
fn nothing_broken_or_unsigned_is_countersigned() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let mut bytes = std::fs::read(&path).unwrap();
    let half = bytes.len() / 2;
    bytes[half] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let args = [
        "countersign",
        "townhouse-first.pdf",
        "--as",
        "client",
        "--name",
        "Amal",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("Nothing was signed"), "{}", ran.err);
    assert!(!bench.path("config/warmlug/identities/amal.p12").exists());
    let ran = bench.run(&["countersign", "townhouse-first.pdf", "--as", "client"]);
    assert_eq!(ran.code, 2, "somebody must sign");
}

#[test]
fn what_others_add_is_named_as_not_permitted() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let mut bytes = std::fs::read(&path).unwrap();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let before = text.rsplit("startxref").next().unwrap().trim();
    let before: usize = before.split_whitespace().next().unwrap().parse().unwrap();
    let root = text.rsplit("/Root ").next().unwrap();
    let root = &root[..root.find('R').unwrap() + 1];
    // An incremental update as any editor makes one: a note, and a table that knows it.
    let object = bytes.len();
    bytes.extend_from_slice(b"90000 0 obj\n<</Type/Annot/Subtype/Text/Contents(fine)>>\nendobj\n");
    let table = bytes.len();
    bytes.extend_from_slice(
        format!(
            "xref\n90000 1\n{object:010} 00000 n \ntrailer\n<</Size 90001/Root {root}/Prev {before}>>\n\
             startxref\n{table}\n%%EOF\n"
        )
        .as_bytes(),
    );
    std::fs::write(&path, bytes).unwrap();
    let ran = bench.run(&["verify", "townhouse-first.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("NOT permitted"), "{}", ran.out);
    assert!(
        ran.out.contains("an annotation was added (object 90000)"),
        "{}",
        ran.out
    );
}

#[test]
fn a_pem_pair_signs_and_an_open_key_is_refused() {
    let bench = Bench::new();
    own_key(&bench, "p384.key");
    let args = [
        "certify",
        &visit("townhouse-first"),
        "--identity",
        &key("p384.crt"),
        "--key",
        "p384.key",
        "-o",
        "pair.pdf",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (code, answers) = answers(&bench, "pair.pdf");
    assert_eq!(code, 5);
    let algorithm = &answers["seal"]["signatures"][0]["signer"]["algorithm"];
    assert_eq!(algorithm, "P-384 with SHA-384");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let open = std::fs::Permissions::from_mode(0o640);
        std::fs::set_permissions(bench.path("p384.key"), open).unwrap();
        let ran = bench.run(&[&args[..], &["--force"]].concat());
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains("chmod 600"), "{}", ran.err);
    }
    assert_eq!(
        bench.run(&["certify", "x.yaml", "--key", "p384.key"]).code,
        2
    );
}

#[test]
fn a_renewed_key_is_trusted_because_the_known_one_vouches_for_it() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    assert_eq!(answers(&bench, "townhouse-first.pdf").0, 5);
    let old = bench.run(&["identity", "show"]).out;
    let ran = bench.run(&["identity", "renew", "--name", "Maren Ody"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("The old key vouches for the new one"),
        "{}",
        ran.err
    );
    let today = chrono::Utc::now().format("%Y-%m-%d");
    let aside = bench.path(&format!(
        "config/warmlug/identities/maren-ody-until-{today}.p12"
    ));
    assert!(aside.exists());
    let shown = bench
        .run(&["identity", "show", &aside.to_string_lossy()])
        .out;
    let print = |text: &str| {
        let line = text.lines().find(|l| l.starts_with("fingerprint"));
        line.unwrap().to_owned()
    };
    assert_eq!(print(&shown), print(&old));
    assert_ne!(print(&ran.out), print(&old));
    bench.certified("townhouse-return");
    let (code, told) = answers(&bench, "townhouse-return.pdf");
    assert_eq!(code, 5, "{told}");
    assert_eq!(told["seal"]["signatures"][0]["trust"]["answer"], "succeeds");
    // From then on it is known by itself.
    let (_, told) = answers(&bench, "townhouse-return.pdf");
    assert_eq!(told["seal"]["signatures"][0]["trust"]["answer"], "known");
    // A second renewal on one day would bury the first file.
    let ran = bench.run(&["identity", "renew", "--name", "Maren Ody"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("exists"), "{}", ran.err);
    let ran = bench.run(&["identity", "renew", "--name", "Nobody"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("no such identity"), "{}", ran.err);
}

#[test]
fn an_identity_that_has_run_out_signs_nothing_and_one_that_soon_will_says_so() {
    let bench = Bench::new();
    bench.certified("townhouse-first");
    let sign_in = |days: i64, name: &str| {
        let at = (chrono::Utc::now() + chrono::Duration::days(days)).to_rfc3339();
        bench.run(&[
            "certify",
            &visit("townhouse-first"),
            "-o",
            name,
            "--signed-at",
            &at,
        ])
    };
    let ran = sign_in(5 * 365 - 20, "soon.pdf");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("warmlug identity renew --name 'Maren Ody'"),
        "{}",
        ran.err
    );
    let ran = sign_in(5 * 366, "late.pdf");
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("cannot sign at"), "{}", ran.err);
    assert!(!bench.path("late.pdf").exists());
}

/// A signer whom nothing names cannot be distinguished from any other.
#[test]
fn nobody_signs_without_a_name() {
    let bench = Bench::new();
    let made = bench
        .other(
            "openssl",
            &[
                "req",
                "-x509",
                "-newkey",
                "ec",
                "-pkeyopt",
                "ec_paramgen_curve:P-256",
                "-nodes",
                "-days",
                "3650",
                "-subj",
                "/C=SE",
                "-keyout",
                "nobody.key",
                "-out",
                "nobody.crt",
            ],
        )
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
    let visit = visit("townhouse-first");
    let ran = bench.run(&[
        "certify",
        &visit,
        "-o",
        "out.pdf",
        "--identity",
        "nobody.crt",
        "--key",
        "nobody.key",
    ]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let why = "names neither a person nor a firm, so nobody could tell who signed";
    assert!(ran.err.contains(why), "{}", ran.err);
    assert!(!bench.path("out.pdf").exists());
}

#[test]
fn nothing_is_stamped_that_is_broken_and_nothing_written_without_a_stamp() {
    let bench = Bench::new();
    let path = bench.certified("limited-visit");
    // Port 9 of this computer: nobody answers there.
    let stamp = |file: &str| bench.run(&["stamp", file, "--timestamp", "http://127.0.0.1:9/"]);
    let ran = stamp("limited-visit.pdf");
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("no time-stamp: "), "{}", ran.err);
    assert!(ran.err.contains("Nothing was written"), "{}", ran.err);
    assert!(!bench.path("limited-visit-stamped.pdf").exists());
    let ran = bench.run(&["stamp", "limited-visit.pdf"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(bench.path("broken.pdf"), bytes).unwrap();
    let ran = stamp("broken.pdf");
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("Nothing was stamped."), "{}", ran.err);
    assert!(!ran.err.contains("cannot be reached"), "{}", ran.err);
}
