//! Identities: kept closed, opened with the right passphrase only, said to run out in time.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod seal_common;

use chrono::{DateTime, Duration, Utc};
use seal_common::{identity, rosa};
use warmlug::seal::identity::Lifetime;
use warmlug::seal::{Identity, Passphrase, Person, SealError};

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
            Err(SealError::Exists { .. })
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
            error
                .to_string()
                .ends_with(&format!("Close it with: chmod 600 '{}'", path.display())),
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
