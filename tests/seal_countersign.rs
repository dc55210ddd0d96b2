//! Several hands on one certificate: what the seal permits, and what it does not.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod seal_common;

use seal_common::{Kind, base, identity, signed_at};
use warmlug::seal::report::{Changes, Coverage, Role};
use warmlug::seal::{
    Hand, Identity, Person, SealError, SignOptions, VerifyOptions, countersign, sign, verify,
};

fn client() -> Identity {
    let person = Person {
        name: "Amal Okafor".to_owned(),
        ..Person::default()
    };
    Identity::create(&person, "2026-01-01T00:00:00Z".parse().unwrap()).unwrap()
}

#[test]
fn a_countersignature_is_permitted_and_named() {
    let (inspector, client) = (identity(), client());
    let options = SignOptions::at(signed_at());
    for kind in [Kind::Table, Kind::Stream] {
        for field in [true, false] {
            let sealed = sign(&base(kind, field), &inspector, &options).unwrap();
            let once = countersign(sealed.bytes(), &client, Hand::Client, &options).unwrap();
            let twice = countersign(once.bytes(), &inspector, Hand::Reviewer, &options).unwrap();
            let thrice = countersign(twice.bytes(), &client, Hand::Client, &options).unwrap();
            std::fs::write(
                format!(
                    "{}/countersigned-{kind:?}-{field}.pdf",
                    env!("CARGO_TARGET_TMPDIR")
                ),
                thrice.bytes(),
            )
            .unwrap();
            assert!(thrice.bytes().starts_with(sealed.bytes()));
            let report = verify(thrice.bytes(), &VerifyOptions::default());
            assert_eq!(
                report.objections(),
                Vec::<String>::new(),
                "{kind:?} {field}"
            );
            assert!(report.genuine());
            assert_eq!(
                report.changes,
                Changes::Permitted(
                    ["Client", "Reviewer", "Client 2"]
                        .map(|name| format!("a signature in the field “{name}”"))
                        .to_vec()
                )
            );
            let names: Vec<&str> = report.signatures.iter().map(|s| s.field.as_str()).collect();
            assert_eq!(names, ["Seal", "Client", "Reviewer", "Client 2"]);
            assert_eq!(report.signatures[1].role, Role::Approval);
            assert_eq!(
                report.signatures[0].coverage,
                Coverage::Revision {
                    bytes: sealed.bytes().len(),
                    added: thrice.bytes().len() - sealed.bytes().len()
                }
            );
            assert_eq!(report.signatures[3].coverage, Coverage::WholeFile);
            let verified = report.verified().unwrap();
            assert_eq!(verified.bytes(), sealed.bytes());
            assert_eq!(verified.fingerprint(), inspector.fingerprint());
        }
    }
}

#[test]
fn nothing_broken_is_countersigned() {
    let options = SignOptions::at(signed_at());
    let mut bytes = sign(&base(Kind::Table, true), &identity(), &options)
        .unwrap()
        .into_bytes();
    let place = bytes.windows(4).position(|w| w == b"2026").unwrap();
    bytes[place] = b'3';
    assert!(matches!(
        countersign(&bytes, &client(), Hand::Client, &options),
        Err(SealError::Unfit(_))
    ));
    assert!(matches!(
        countersign(&base(Kind::Table, true), &client(), Hand::Client, &options),
        Err(SealError::Unfit(_))
    ));
}

#[test]
fn a_countersignature_cut_off_or_flipped_is_noticed() {
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity(), &options).unwrap();
    let signed = countersign(sealed.bytes(), &client(), Hand::Client, &options).unwrap();
    let (inner, all) = (sealed.bytes().len(), signed.bytes().len());
    for at in inner..all {
        let mut bytes = signed.bytes().to_vec();
        bytes[at] ^= 1 << (at % 8);
        assert!(
            !verify(&bytes, &VerifyOptions::default()).genuine(),
            "byte {at}"
        );
        let cut = verify(&signed.bytes()[..at], &VerifyOptions::default()).genuine();
        assert_eq!(cut, at == inner, "cut at {at}");
    }
}
