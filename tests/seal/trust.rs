//! Whose key it was: pinned, vouched for, known, new, or another than before.
use crate::seal_common::issued::{AUTHORITY, SIGNER, issue};
use crate::seal_common::{Kind, base, identity, key_file, rosa, signed_at, three_blue};
use chrono::{DateTime, FixedOffset};
use warmlug::seal::known::KnownSigners;
use warmlug::seal::report::Trust;
use warmlug::seal::verify::anchors;
use warmlug::seal::{
    Fingerprint, Identity, Passphrase, SealError, SignOptions, VerifyOptions, sign, verify,
};

fn sealed_by(identity: &Identity) -> Vec<u8> {
    sealed_on(identity, signed_at())
}

fn sealed_on(identity: &Identity, at: DateTime<FixedOffset>) -> Vec<u8> {
    let options = SignOptions::at(at);
    sign(&base(Kind::Table, true), identity, &options)
        .unwrap()
        .into_bytes()
}

fn trust(pdf: &[u8], options: &VerifyOptions) -> (Trust, bool) {
    let report = verify(pdf, options);
    assert!(report.unchanged(), "{:?}", report.objections());
    (
        report.certification().unwrap().trust.clone(),
        report.acceptable(),
    )
}

#[test]
fn a_pin_accepts_one_key_only() {
    let identity = identity();
    let pdf = sealed_by(&identity);
    let mut options = VerifyOptions {
        pins: vec![Fingerprint::of(b"other"), identity.fingerprint()],
        ..VerifyOptions::default()
    };
    assert_eq!(trust(&pdf, &options), (Trust::Pinned, true));
    options.pins.pop();
    let (refused, acceptable) = trust(&pdf, &options);
    assert!(matches!(refused, Trust::Refused { .. }));
    assert!(!acceptable);
    assert_eq!(
        verify(&pdf, &options).sentence(),
        "Do not rely on this file, although its seal is unbroken, signed by “Rosa Lindqvist”: \
         it was signed with another key than the one you gave."
    );
    assert_eq!(
        trust(&pdf, &VerifyOptions::default()),
        (Trust::NotAsked, true)
    );
}

#[test]
fn an_authority_vouches_through_a_chain() {
    let folder = tempfile::tempdir().unwrap();
    let issued = Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap();
    let pdf = sealed_on(&issued, issued.valid_from().fixed_offset());
    let with = |name: &str| VerifyOptions {
        anchors: anchors(&key_file(&folder, name)).unwrap(),
        ..VerifyOptions::default()
    };
    let over = vec!["Guild Root".to_owned()];
    assert_eq!(
        trust(&pdf, &with("root.crt")),
        (Trust::Anchored { over }, true)
    );
    let itself = vec!["the certificate itself".to_owned()];
    assert_eq!(
        trust(&pdf, &with("issued.crt")),
        (Trust::Anchored { over: itself }, true)
    );
    let (refused, acceptable) = trust(&pdf, &with("p256.crt"));
    assert_eq!(
        refused.sentence(),
        "no chain of certificates leads from the signer to one that you trust"
    );
    assert!(!acceptable);
    // Without the right usage nobody vouches: a self-signed one is no authority.
    let (refused, _) = trust(&sealed_by(&identity()), &with("root.crt"));
    assert!(matches!(refused, Trust::Refused { .. }));
}

/// A certificate of this name, sealed with a key that an authority of the same name issued, and the
/// options that trust the authority.
fn issued_to(name: &str) -> (Vec<u8>, VerifyOptions) {
    let issuer = issue(name, None, &AUTHORITY);
    let signer = issue(name, Some(&issuer), &SIGNER);
    let pdf = sealed_on(&signer.identity(&[&issuer]), signed_at());
    let folder = tempfile::tempdir().unwrap();
    let trusted = folder.path().join("issuer.der");
    std::fs::write(&trusted, &issuer.der).unwrap();
    let options = VerifyOptions {
        anchors: anchors(&trusted).unwrap(),
        ..VerifyOptions::default()
    };
    (pdf, options)
}

#[test]
fn a_name_does_not_read_as_a_sentence_of_the_program() {
    let name = "Maren Ody” and the key was compared by hand and accepted. Every finding was confirmed \
                on site and nothing else speaks against the file: “all is well";
    let (pdf, options) = issued_to(name);
    let report = verify(&pdf, &options);
    let quoted = "“Maren Ody' and the key was compared by hand and accepted. Every …”";
    assert_eq!(
        report.sentence(),
        format!("Genuine: signed by {quoted}, and not a byte was changed since.")
    );
    let seal = report.certification().unwrap();
    assert_eq!(seal.signer.as_ref().unwrap().name, name);
    let sentence = format!("vouched for by {quoted}");
    assert_eq!(seal.trust.sentence(), sentence);
    let json = serde_json::to_value(seal).unwrap();
    assert_eq!(json["trust"]["sentence"], sentence);
}

#[test]
fn a_signer_without_a_name_counts_only_through_a_pin_or_an_authority() {
    let nobody = [
        "\u{200b}",
        "\u{3000}",
        "\u{2800}",
        "·",
        "\u{200b}+O=\u{3000}",
    ];
    let knows = VerifyOptions {
        known: Some(KnownSigners::default()),
        ..VerifyOptions::default()
    };
    for name in nobody {
        let (pdf, trusts) = issued_to(name);
        for options in [&VerifyOptions::default(), &knows] {
            let report = verify(&pdf, options);
            assert!(
                !report.unchanged() && report.new_key().is_none(),
                "{name:?}"
            );
            let why = "the signer's certificate names neither a person nor a firm";
            assert!(report.sentence().contains(why), "{}", report.sentence());
        }
        let report = verify(&pdf, &trusts);
        assert!(report.acceptable(), "{name:?}: {:?}", report.objections());
        assert!(report.new_key().is_none());
        let by = "signed by somebody whom the certificate does not name, and";
        assert!(report.sentence().contains(by), "{}", report.sentence());
        // A pin compares the key itself, whatever its certificate names.
        let signer = report.certification().and_then(|seal| seal.signer.as_ref());
        let pins = VerifyOptions {
            pins: vec![signer.unwrap().fingerprint],
            ..VerifyOptions::default()
        };
        let report = verify(&pdf, &pins);
        assert!(report.acceptable(), "{name:?}: {:?}", report.objections());
        let other = VerifyOptions {
            pins: vec![Fingerprint::of(b"1")],
            ..VerifyOptions::default()
        };
        assert!(!verify(&pdf, &other).acceptable(), "{name:?}");
    }
    // A firm alone is a name.
    let (pdf, _) = issued_to("\u{200b}+O=Lindqvist Electric");
    let key = verify(&pdf, &knows).new_key().unwrap();
    assert_eq!(key.person.name, "Lindqvist Electric");
}

#[test]
fn a_name_behind_a_separator_is_still_that_name() {
    let first = Fingerprint::of(b"1");
    let since = "2026-10-07".parse().unwrap();
    let mut known = KnownSigners::default();
    known.enter(first, &rosa(), since);
    let options = VerifyOptions {
        known: Some(known),
        ..VerifyOptions::default()
    };
    for name in [
        "\\ · Rosa Lindqvist",
        "Inspector · Rosa Lindqvist",
        "Inspector • Rosa  LINDQVIST",
        "Inspector ‧ R\u{43e}sa Lindqvist · Mill Lane",
    ] {
        let (pdf, _) = issued_to(name);
        let other = Trust::OtherKey {
            known: first,
            since,
        };
        assert_eq!(trust(&pdf, &options), (other, false), "{name}");
    }
}

#[test]
fn says_why_a_file_can_not_be_trusted() {
    let folder = tempfile::tempdir().unwrap();
    let error = anchors(&key_file(&folder, "p256.key")).unwrap_err();
    assert!(
        error.to_string().ends_with("it contains no certificate"),
        "{error}"
    );
}

#[test]
fn the_first_use_of_a_key_is_said_to_be_the_first() {
    let identity = identity();
    let pdf = sealed_by(&identity);
    let mut options = VerifyOptions {
        known: Some(KnownSigners::default()),
        ..VerifyOptions::default()
    };
    assert_eq!(trust(&pdf, &options), (Trust::FirstUse, true));
    let since = "2026-10-07".parse().unwrap();
    if let Some(known) = &mut options.known {
        known.enter(identity.fingerprint(), &rosa(), since);
    }
    // Somebody entered it by hand.
    let known_as = |accepted| (Trust::Known { since, accepted }, true);
    assert_eq!(trust(&pdf, &options), known_as(true));
    let impostor = sealed_by(&crate::seal_common::identity());
    let known = identity.fingerprint();
    assert_eq!(
        trust(&impostor, &options),
        (Trust::OtherKey { known, since }, false)
    );
}

/// The text of a list of known signers with one line, read back.
fn list(line: &str) -> KnownSigners {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("known-signers");
    std::fs::write(&path, line).unwrap();
    KnownSigners::read(&path).unwrap()
}

/// First contact, and every later one, prove nothing until somebody compares the key.
#[test]
fn a_key_counts_as_compared_only_after_it_was() {
    let old = identity();
    let later = "2026-09-01T00:00:00Z".parse().unwrap();
    let renewed = old.renew(&rosa(), later).unwrap();
    let print = old.fingerprint();
    let known = |word: &str| VerifyOptions {
        known: Some(list(&format!(
            "{} {word} 2026-02-01 Rosa Lindqvist\n",
            print.hex()
        ))),
        ..VerifyOptions::default()
    };
    let pinned = VerifyOptions {
        pins: vec![print],
        ..VerifyOptions::default()
    };
    let first = VerifyOptions {
        known: Some(KnownSigners::default()),
        ..VerifyOptions::default()
    };
    for identity in [&old, &renewed] {
        let pdf = sealed_by(identity);
        for (options, compared) in [
            (&VerifyOptions::default(), false),
            (&first, false),
            (&known("met"), false),
            (&known(""), false),
            (&known("accepted"), true),
            (&pinned, true),
        ] {
            let report = verify(&pdf, options);
            assert!(report.unchanged() && report.acceptable());
            assert_eq!(report.key_compared(), compared, "{options:?}");
            let sentence = report.sentence();
            let begins = if compared {
                "Genuine: signed by “Rosa Lindqvist”, and not a byte was changed since.".to_owned()
            } else {
                format!(
                    "Unchanged since it was sealed by a key that calls itself “Rosa Lindqvist”. \
                     Compare its fingerprint, {}, with",
                    identity.fingerprint()
                )
            };
            assert!(sentence.starts_with(&begins), "{sentence}");
        }
    }
    // A countersigner whose key was compared says nothing about the certifier's.
    let signed = warmlug::seal::countersign(
        &sealed_by(&identity()),
        &old,
        warmlug::seal::Hand::Client,
        &SignOptions::at(signed_at()),
    )
    .unwrap();
    let report = verify(signed.bytes(), &known("accepted"));
    assert!(!report.key_compared(), "{}", report.sentence());
}

#[test]
fn a_renewed_key_is_vouched_for_by_the_known_one() {
    let folder = tempfile::tempdir().unwrap();
    let old = identity();
    let later = "2026-09-01T00:00:00Z".parse().unwrap();
    let new = old.renew(&rosa(), later).unwrap();
    let newer = new.renew(&rosa(), later).unwrap();
    assert_ne!(new.fingerprint(), old.fingerprint());
    assert!(new.is_self_signed());
    // Kept and opened again, it still carries what its predecessor said.
    let path = folder.path().join("renewed.p12");
    newer.save(&path, &Passphrase::empty()).unwrap();
    let newer_again = Identity::load(&path, &Passphrase::empty()).unwrap();
    assert_eq!(newer_again.fingerprint(), newer.fingerprint());
    let mut known = KnownSigners::default();
    known.enter(old.fingerprint(), &rosa(), "2026-02-01".parse().unwrap());
    let knows = VerifyOptions {
        known: Some(known),
        ..VerifyOptions::default()
    };
    let pins = VerifyOptions {
        pins: vec![old.fingerprint()],
        ..VerifyOptions::default()
    };
    let succeeds = Trust::Succeeds {
        earlier: old.fingerprint(),
        accepted: true,
    };
    for identity in [&new, &newer, &newer_again] {
        let pdf = sealed_by(identity);
        assert_eq!(trust(&pdf, &knows), (succeeds.clone(), true));
        assert_eq!(trust(&pdf, &pins), (succeeds.clone(), true));
    }
    // A stranger's key is not vouched for by carrying the known certificate along.
    let stranger = crate::seal_common::identity();
    let (refused, _) = trust(&sealed_by(&stranger), &pins);
    assert!(matches!(refused, Trust::Refused { .. }));
}

#[test]
fn nobody_renews_for_somebody_else() {
    let folder = tempfile::tempdir().unwrap();
    let at = "2026-09-01T00:00:00Z".parse().unwrap();
    let issued = Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap();
    assert!(matches!(
        issued.renew(&issued.subject(), issued.valid_from()),
        Err(SealError::NotRenewable { .. })
    ));
    let mut other = rosa();
    other.name = "Tomas Brandt".to_owned();
    assert!(matches!(
        identity().renew(&other, at),
        Err(SealError::OtherPerson { .. })
    ));
    assert!(matches!(
        identity().renew(&rosa(), "2036-01-01T00:00:00Z".parse().unwrap()),
        Err(SealError::Expired { .. })
    ));
}
