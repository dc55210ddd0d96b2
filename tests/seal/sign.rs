//! Signing and checking together: what is sealed reads back, and the same inputs seal alike.
use crate::seal_common::{Kind, base, identity, signed_at};
use warmlug::seal::report::{Allowed, Changes, Coverage, Role};
use warmlug::seal::{Hand, SealError, SignOptions, VerifyOptions, countersign, sign, verify};

#[test]
fn a_sealed_file_is_genuine() {
    let identity = identity();
    for kind in [Kind::Table, Kind::Stream] {
        for field in [true, false] {
            let unsigned = base(kind, field);
            let sealed = sign(&unsigned, &identity, &SignOptions::at(signed_at())).unwrap();
            std::fs::write(
                format!("{}/{kind:?}-{field}.pdf", env!("CARGO_TARGET_TMPDIR")),
                sealed.bytes(),
            )
            .unwrap();
            assert!(
                sealed.bytes().starts_with(&unsigned),
                "the typeset file stays as it was"
            );
            let report = verify(sealed.bytes(), &VerifyOptions::default());
            assert_eq!(
                report.objections(),
                Vec::<String>::new(),
                "{kind:?} {field}"
            );
            assert!(report.unchanged());
            assert_eq!(report.changes, Changes::None);
            let signature = report.certification().unwrap();
            assert_eq!(
                signature.role,
                Role::Certification {
                    allows: Allowed::FormsAndSignatures
                }
            );
            assert_eq!(signature.coverage, Coverage::WholeFile);
            assert_eq!(signature.signed.at, Some(signed_at()));
            let signer = signature.signer.as_ref().unwrap();
            assert_eq!(signer.name, "Rosa Lindqvist");
            assert_eq!(
                signer.firm.as_deref(),
                Some("Lindqvist & Daughters Electric")
            );
            assert_eq!(signer.licence.as_deref(), Some("EL-20417"));
            assert_eq!(signer.fingerprint, identity.fingerprint());
            assert!(signer.self_signed);
        }
    }
}

#[test]
fn the_same_inputs_give_the_same_bytes() {
    let identity = identity();
    for kind in [Kind::Table, Kind::Stream] {
        let unsigned = base(kind, true);
        let options = SignOptions::at(signed_at());
        let once = sign(&unsigned, &identity, &options).unwrap();
        let again = sign(&unsigned, &identity, &options).unwrap();
        assert_eq!(once, again);
    }
}

#[test]
fn attachments_come_from_what_was_sealed() {
    let identity = identity();
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sign(&base(kind, true), &identity, &SignOptions::at(signed_at())).unwrap();
        let report = verify(sealed.bytes(), &VerifyOptions::default());
        let attachments = report.verified().unwrap().attachments().unwrap();
        assert_eq!(attachments.len(), 1);
        assert_eq!(attachments[0].name, "visit.yaml");
        assert_eq!(attachments[0].mime.as_deref(), Some("application/yaml"));
        assert!(attachments[0].bytes.starts_with(b"visit:\n"));
    }
}

#[test]
fn a_flipped_byte_is_never_genuine() {
    let identity = identity();
    let sealed = sign(
        &base(Kind::Table, true),
        &identity,
        &SignOptions::at(signed_at()),
    )
    .unwrap();
    for at in 0..sealed.bytes().len() {
        let mut bytes = sealed.bytes().to_vec();
        bytes[at] ^= 1 << (at % 8);
        let report = verify(&bytes, &VerifyOptions::default());
        assert!(!report.unchanged(), "byte {at} flipped");
        assert!(!report.objections().is_empty(), "byte {at} flipped");
        assert!(report.verified().is_none());
    }
}

/// The file with the letters among the digits of its last signature as capitals.
fn with_capital_digits(bytes: &[u8]) -> Vec<u8> {
    let opening = b"/Contents <";
    let at = bytes
        .windows(opening.len())
        .rposition(|w| w == opening)
        .unwrap()
        + opening.len();
    let end = at + bytes[at..].iter().position(|b| *b == b'>').unwrap();
    let mut changed = bytes.to_vec();
    changed[at..end].make_ascii_uppercase();
    assert_ne!(changed, bytes);
    changed
}

#[test]
fn digits_written_over_in_the_other_case_are_noticed() {
    let identity = identity();
    let options = SignOptions::at(signed_at());
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sign(&base(kind, true), &identity, &options).unwrap();
        let second = countersign(sealed.bytes(), &identity, Hand::Client, &options).unwrap();
        for whole in [sealed.bytes(), second.bytes()] {
            assert!(verify(whole, &VerifyOptions::default()).unchanged());
            let changed = with_capital_digits(whole);
            let report = verify(&changed, &VerifyOptions::default());
            assert!(!report.unchanged(), "{kind:?}");
            assert_eq!(
                report.objections(),
                ["the signature is damaged: its digits were rewritten"],
                "{kind:?}"
            );
        }
    }
}

#[test]
fn a_cut_or_longer_file_is_never_genuine() {
    let identity = identity();
    let sealed = sign(
        &base(Kind::Stream, true),
        &identity,
        &SignOptions::at(signed_at()),
    )
    .unwrap();
    for length in 0..sealed.bytes().len() {
        assert!(!verify(&sealed.bytes()[..length], &VerifyOptions::default()).unchanged());
    }
    for tail in [b"\n".as_slice(), b"%", b"\n%%EOF\n", b" ", b"\0"] {
        let mut bytes = sealed.bytes().to_vec();
        bytes.extend_from_slice(tail);
        assert!(
            !verify(&bytes, &VerifyOptions::default()).unchanged(),
            "{tail:?}"
        );
    }
}

#[test]
fn an_unsigned_file_is_said_to_be_unsigned() {
    let report = verify(&base(Kind::Table, true), &VerifyOptions::default()).sentence();
    assert_eq!(
        report,
        "This PDF is not signed: nothing shows who made it or whether it was changed."
    );
}

#[test]
fn too_little_space_tells_both_sizes() {
    let mut options = SignOptions::at(signed_at());
    options.reserve = Some(100);
    match sign(&base(Kind::Table, true), &identity(), &options) {
        Err(SealError::TooLarge { needed, reserved }) => {
            assert_eq!(reserved, 100);
            assert!(needed > 500);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_signed_file_is_not_certified_again() {
    let identity = identity();
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity, &options).unwrap();
    assert!(matches!(
        sign(sealed.bytes(), &identity, &options),
        Err(SealError::Unfit(_))
    ));
}

#[test]
fn an_identity_signs_only_within_its_time() {
    let identity = identity();
    let unsigned = base(Kind::Table, true);
    let at = |text: &str| SignOptions::at(text.parse().unwrap());
    assert!(matches!(
        sign(&unsigned, &identity, &at("2025-12-31T23:59:59Z")),
        Err(SealError::NotYetValid { .. })
    ));
    assert!(sign(&unsigned, &identity, &at("2026-01-01T00:00:00Z")).is_ok());
    assert!(sign(&unsigned, &identity, &at("2031-01-01T00:00:00Z")).is_ok());
    assert!(matches!(
        sign(&unsigned, &identity, &at("2031-01-01T00:00:01Z")),
        Err(SealError::Expired { .. })
    ));
}

/// A program that saves the whole file again moves everything, and so breaks the seal without any
/// intent (ISO 32000-1, 12.8.1: the range is one of bytes). The reader learns whom to ask.
#[test]
fn a_file_saved_again_by_another_program_is_called_that() {
    let pdf = sign(
        &base(Kind::Table, true),
        &identity(),
        &SignOptions::at(signed_at()),
    )
    .unwrap()
    .into_bytes();
    let again = crate::pdf_common::Pdf::load(&pdf).save();
    let said = "another program saved this file again; ask for the file as it was sent";
    let report = verify(&again, &VerifyOptions::default());
    assert!(!report.acceptable());
    assert!(report.sentence().contains(said), "{}", report.sentence());
    // A changed byte is not a file saved again.
    let mut changed = pdf;
    changed[20] ^= 1;
    let report = verify(&changed, &VerifyOptions::default());
    assert!(!report.acceptable());
    assert!(!report.sentence().contains(said), "{}", report.sentence());
}
