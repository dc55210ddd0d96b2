//! Validation data: lists of revoked certificates that travel with a certificate (B-LT).
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod seal_common;

use seal_common::{Kind, base, identity, key_file, signed_at, three_blue};
use warmlug::seal::report::{Answer, Changes};
use warmlug::seal::validation_data::{add, revocation_list};
use warmlug::seal::{
    Hand, Identity, SealError, Sealed, SignOptions, VerifyOptions, countersign, sign, verify,
};

fn issued() -> Identity {
    let folder = tempfile::tempdir().unwrap();
    Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap()
}

fn list(name: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    revocation_list(&key_file(&folder, name)).unwrap()
}

fn options(identity: &Identity) -> SignOptions {
    SignOptions::at(identity.valid_from().fixed_offset())
}

fn sealed(identity: &Identity, kind: Kind) -> Sealed {
    sign(&base(kind, true), identity, &options(identity)).unwrap()
}

#[test]
fn a_list_travels_along_and_is_permitted() {
    let identity = issued();
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sealed(&identity, kind);
        let with = add(&sealed, &identity, &[list("nobody.crl")]).unwrap();
        assert!(with.bytes().starts_with(sealed.bytes()));
        let report = verify(with.bytes(), &VerifyOptions::default());
        assert!(report.genuine(), "{:?}", report.objections());
        assert_eq!(
            report.changes,
            Changes::Permitted(vec!["validation data".to_owned()])
        );
        assert_eq!(report.signatures[0].not_revoked, Answer::Yes);
        assert_eq!(report.verified().unwrap().bytes(), sealed.bytes());
        // Others may still sign behind it.
        let client = countersign(with.bytes(), &identity, Hand::Client, &options(&identity));
        let report = verify(client.as_ref().unwrap().bytes(), &VerifyOptions::default());
        assert!(report.genuine(), "{:?}", report.objections());
        // Without the list nobody says, and that is said.
        let report = verify(sealed.bytes(), &VerifyOptions::default());
        assert_eq!(
            report.signatures[0].not_revoked,
            Answer::NotDetermined(
                "no list of revoked certificates by its issuer is inside".to_owned()
            )
        );
    }
}

#[test]
fn nobody_seals_with_a_revoked_certificate() {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let refused = add(&sealed, &identity, &[list("nobody.crl"), list("ines.crl")]);
    let Err(SealError::Unfit(why)) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(why, "the signer's certificate was revoked on 2026-01-01");
}

/// Puts another list of the same length in the place of the one inside: it stands behind the
/// seal, so this breaks no signature, and only the list's own word counts.
fn exchanged(with: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    assert_eq!(from.len(), to.len());
    let at = with.windows(from.len()).position(|w| w == from).unwrap();
    [&with[..at], to, &with[at + from.len()..]].concat()
}

#[test]
fn a_list_by_somebody_else_or_changed_proves_nothing() {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let honest = list("nobody.crl");
    let with = add(&sealed, &identity, std::slice::from_ref(&honest)).unwrap();
    let mut changed = honest.clone();
    let last = changed.len() - 1;
    changed[last] ^= 1;
    let bytes = exchanged(with.bytes(), &honest, &changed);
    let report = verify(&bytes, &VerifyOptions::default());
    assert!(matches!(
        report.signatures[0].not_revoked,
        Answer::NotDetermined(_)
    ));
}

#[test]
fn a_self_signed_identity_has_no_list() {
    let rosa = identity();
    let sealed = sign(
        &base(Kind::Table, true),
        &rosa,
        &SignOptions::at(signed_at()),
    )
    .unwrap();
    let refused = add(&sealed, &rosa, &[list("nobody.crl")]).unwrap_err();
    assert!(refused.to_string().contains("no issuer"), "{refused}");
    let folder = tempfile::tempdir().unwrap();
    let error = revocation_list(&key_file(&folder, "root.crt")).unwrap_err();
    assert!(error.to_string().contains("no list of revoked"), "{error}");
}
