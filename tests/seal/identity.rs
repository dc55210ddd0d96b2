//! Identities: kept closed, opened with the right passphrase only, said to run out in time.
use crate::seal_common::{Kind, base, identity, key_file, rosa, three_blue};
use chrono::{DateTime, Duration, Utc};
use warmlug::disk::DiskError;
use warmlug::seal::identity::Lifetime;
use warmlug::seal::{
    Identity, Passphrase, Person, SealError, SignOptions, VerifyOptions, sign, verify,
};

#[test]
fn kept_and_opened_again() {
    let folder = tempfile::tempdir().unwrap();
    let identity = identity();
    for (name, passphrase) in [("open.p12", ""), ("closed.p12", "three blue öre")] {
        let path = folder.path().join("new folder").join(name);
        let passphrase = Passphrase::new(passphrase.to_owned());
        identity.save(&path, &passphrase).unwrap();
        let again = Identity::load(&path, &passphrase).unwrap();
        assert_eq!(again.fingerprint(), identity.fingerprint());
        assert_eq!(again.subject(), rosa());
        assert!(matches!(
            Identity::load(&path, &Passphrase::new("wrong".to_owned())),
            Err(SealError::WrongPassphrase { .. })
        ));
        assert!(matches!(
            identity.save(&path, &passphrase),
            Err(SealError::Disk(DiskError::Exists { .. }))
        ));
    }
}

#[cfg(unix)]
#[test]
fn a_key_that_others_may_read_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("rosa.p12");
    identity().save(&path, &Passphrase::empty()).unwrap();
    let mode = |mode| std::fs::set_permissions(&path, std::fs::Permissions::from_mode(mode));
    assert_eq!(
        std::fs::metadata(&path).unwrap().permissions().mode() & 0o777,
        0o600
    );
    for open in [0o640, 0o604, 0o660, 0o602] {
        mode(open).unwrap();
        let error = Identity::load(&path, &Passphrase::empty()).unwrap_err();
        assert!(matches!(error, SealError::OpenPermissions { .. }));
        assert!(
            error.to_string().ends_with(&format!(
                "Make it private with: chmod 600 '{}'",
                path.display()
            )),
            "{error}"
        );
    }
    mode(0o400).unwrap();
    assert!(Identity::load(&path, &Passphrase::empty()).is_ok());
}

#[test]
fn tells_when_it_runs_out() {
    let identity = identity();
    let end: DateTime<Utc> = "2031-01-01T00:00:00Z".parse().unwrap();
    assert_eq!(identity.valid_until(), end);
    assert_eq!(identity.lifetime(end - Duration::days(60)), Lifetime::Valid);
    assert_eq!(
        identity.lifetime(end - Duration::days(60) + Duration::seconds(1)),
        Lifetime::Expiring { days: 59 }
    );
    assert_eq!(identity.lifetime(end), Lifetime::Expiring { days: 0 });
    assert_eq!(
        identity.lifetime(end + Duration::seconds(1)),
        Lifetime::Expired
    );
    assert_eq!(
        identity.lifetime(identity.valid_from() - Duration::seconds(1)),
        Lifetime::NotYetValid
    );
}

#[test]
fn nobody_in_particular_gets_no_identity() {
    let nobody = Person {
        name: "  ".to_owned(),
        ..Person::default()
    };
    assert!(matches!(
        Identity::create(&nobody, Utc::now()),
        Err(SealError::NoName)
    ));
}

#[test]
fn names_of_any_script_and_length_fit() {
    let person = Person {
        name: "Ødegård ".repeat(20),
        firm: Some("张伟电气".to_owned()),
        licence: Some("№ 7_ö".to_owned()),
    };
    let identity = Identity::create(&person, Utc::now()).unwrap();
    assert_eq!(identity.subject().name.chars().count(), 64);
    assert_eq!(identity.subject().firm, person.firm);
    assert_eq!(identity.subject().licence, person.licence);
}

#[test]
fn neither_key_nor_passphrase_is_ever_printed() {
    let text = format!(
        "{:?} {:?}",
        identity(),
        Passphrase::new("three blue".to_owned())
    );
    assert!(text.starts_with("Identity { subject: Person"), "{text}");
    assert!(!text.contains("blue") && !text.contains("key"), "{text}");
}

#[test]
fn opens_what_other_programs_wrote() {
    let folder = tempfile::tempdir().unwrap();
    let open = |name: &str| Identity::load(&key_file(&folder, name), &three_blue());
    for name in [
        "rsa2048.p12",
        "rsa4096.p12",
        "p256.p12",
        "p384.p12",
        "old-rc2-40.p12",
        "old-rc2-128.p12",
        "unencrypted.p12",
        "aes128.p12",
        "nss.p12",
    ] {
        let identity = open(name).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(identity.subject().name, "Tomas Brandt", "{name}");
        assert!(identity.is_self_signed());
        if !["rsa2048.p12", "p384.p12"].contains(&name) {
            continue;
        }
        let path = folder.path().join(format!("again-{name}"));
        identity.save(&path, &three_blue()).unwrap();
        let again = Identity::load(&path, &three_blue()).unwrap();
        assert_eq!(again.fingerprint(), identity.fingerprint(), "{name}");
    }
    let issued = open("issued.p12").unwrap();
    assert_eq!(issued.subject().name, "Ines Moreau");
    assert!(!issued.is_self_signed());
    let bare = Identity::load(
        &key_file(&folder, "no-passphrase.p12"),
        &Passphrase::empty(),
    );
    assert_eq!(bare.unwrap().subject().name, "Tomas Brandt");
}

#[test]
fn opens_keys_in_pem() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| key_file(&folder, name);
    assert!(Identity::load(&file("pair.pem"), &Passphrase::empty()).is_ok());
    for (certificate, key) in [
        ("p256.crt", "p256.key"),
        ("p384.crt", "locked.pem"),
        ("p384.crt", "sec1.pem"),
        ("rsa2048.crt", "pkcs1.pem"),
        ("rsa2048.crt", "rsa2048.key"),
    ] {
        let pair = Identity::load_pair(&file(certificate), &file(key), &three_blue());
        assert!(pair.is_ok(), "{key}: {:?}", pair.err());
    }
    assert!(matches!(
        Identity::load_pair(
            &file("p384.crt"),
            &file("locked.pem"),
            &Passphrase::new("no".into())
        ),
        Err(SealError::WrongPassphrase { .. })
    ));
}

#[test]
fn a_certificate_stored_beside_the_key_by_chance_is_no_part_of_its_seals() {
    let folder = tempfile::tempdir().unwrap();
    let read = |name: &str| std::fs::read(key_file(&folder, name)).unwrap();
    let together = [read("p256.key"), read("p256.crt"), read("p384.crt")].concat();
    let unsigned = base(Kind::Table, false);
    let identity = Identity::open(&together, &Passphrase::empty()).unwrap();
    let at = identity.valid_from().fixed_offset();
    let sealed = sign(&unsigned, &identity, &SignOptions::at(at)).unwrap();
    let report = verify(sealed.bytes(), &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
}

#[test]
fn says_why_a_key_is_of_no_use() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| key_file(&folder, name);
    let why = |result: Result<Identity, SealError>| match result.unwrap_err() {
        SealError::BadIdentity { reason, .. } => reason,
        other => panic!("{other}"),
    };
    let open = |name: &str| why(Identity::load(&file(name), &three_blue()));
    assert_eq!(
        open("rsa1024.p12"),
        "its RSA key has 1024 bits; 2048 to 4096 are accepted"
    );
    assert_eq!(
        open("p521.p12"),
        "its key is on a curve other than P-256 and P-384"
    );
    assert_eq!(
        open("no-key.p12"),
        "it contains 0 private keys; one is needed"
    );
    assert_eq!(
        open("old-rc4.p12"),
        "it is encrypted with an unknown algorithm"
    );
    assert_eq!(
        open("root.crt"),
        "it contains no private key in PEM (-----BEGIN … PRIVATE KEY-----)"
    );
    assert_eq!(
        why(Identity::load_pair(
            &file("p384.crt"),
            &file("p256.key"),
            &three_blue()
        )),
        "it contains no certificate for its key"
    );
    let path = folder.path().join("noise.p12");
    std::fs::write(&path, b"not a key at all").unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600)).unwrap();
    }
    assert_eq!(
        why(Identity::load(&path, &three_blue())),
        "it is not a PKCS#12 file, or is damaged"
    );
}

/// Other programs must open what this one writes.
#[test]
fn openssl_opens_what_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let identity = identity();
    for word in ["", "three blue öre"] {
        let path = folder.path().join(format!("{}.p12", word.len()));
        identity
            .save(&path, &Passphrase::new(word.to_owned()))
            .unwrap();
        let Ok(output) = std::process::Command::new("openssl")
            .args(["pkcs12", "-nodes", "-passin"])
            .arg(format!("pass:{word}"))
            .arg("-in")
            .arg(&path)
            .output()
        else {
            panic!("openssl is needed for this test");
        };
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(output.status.success(), "{output:?}");
        assert!(text.contains("BEGIN PRIVATE KEY") && text.contains("BEGIN CERTIFICATE"));
    }
}
