//! The two forms of an ECDSA signature: with s, or with the order of the curve less s. Both fit the
//! key, so that anybody can turn one into the other (SEC 1, 4.1.4; common practice, no source, is to
//! sign with the smaller one only).
use crate::seal_common::authority::value;
use crate::seal_common::later::HARMLESS;
use crate::seal_common::{Kind, base, identity, key_file, signed_at};
use chrono::TimeDelta;
use der::Decode;
use p256::ecdsa::Signature;
use warmlug::amend::amendment::Amendment;
use warmlug::record::standing::{Earlier, Standing};
use warmlug::seal::{Hand, Identity, Passphrase, SignOptions, VerifyOptions};
use warmlug::seal::{countersign, sign, verify};

/// The span of the digits of the last signature.
pub(crate) fn digits(pdf: &[u8]) -> std::ops::Range<usize> {
    let head = b"/Contents <";
    let open = pdf.windows(head.len()).rposition(|w| w == head).unwrap() + head.len();
    let end = pdf[open..].iter().position(|b| *b == b'>').unwrap();
    open..open + end
}

pub(crate) fn message(pdf: &[u8]) -> Vec<u8> {
    let span = digits(pdf);
    let text = std::str::from_utf8(&pdf[span]).unwrap();
    let bytes = (0..text.len()).step_by(2);
    bytes
        .map(|n| u8::from_str_radix(&text[n..n + 2], 16).unwrap())
        .collect()
}

/// Header and contents of the DER value at the beginning.
pub(crate) fn parts(der: &[u8]) -> (u8, &[u8], &[u8]) {
    let (head, length) = match der[1] {
        n if n < 0x80 => (2, usize::from(n)),
        0x81 => (3, usize::from(der[2])),
        0x82 => (4, usize::from(der[2]) << 8 | usize::from(der[3])),
        n => panic!("{n}"),
    };
    (der[0], &der[head..head + length], &der[head + length..])
}

/// The last octet string of a message without a time-stamp: the signature value.
fn signature_value(der: &[u8]) -> Vec<u8> {
    let (tag, mut content, _) = parts(der);
    if tag == 4 {
        return content.to_vec();
    }
    loop {
        let (_, _, rest) = parts(content);
        if rest.is_empty() {
            return signature_value(content);
        }
        content = rest;
    }
}

/// The same with another signature value.
fn with_value(der: &[u8], new: &[u8]) -> Vec<u8> {
    let (tag, content, _) = parts(der);
    if tag == 4 {
        return value(4, &[new]);
    }
    let mut rest = content;
    loop {
        let (_, _, after) = parts(rest);
        if after.is_empty() {
            let before = &content[..content.len() - rest.len()];
            return value(tag, &[before, &with_value(rest, new)]);
        }
        rest = after;
    }
}

fn other(signature: &[u8]) -> Vec<u8> {
    let signature = Signature::from_der(signature).unwrap();
    let (r, s) = signature.split_scalars();
    let turned = Signature::from_scalars(r.to_bytes(), (-*s).to_bytes()).unwrap();
    turned.to_der().as_bytes().to_vec()
}

/// The file with the other form of its last signature.
fn flipped(pdf: &[u8]) -> Vec<u8> {
    let message = message(pdf);
    let new = with_value(&message, &other(&signature_value(&message)));
    let span = digits(pdf);
    let mut out = pdf.to_vec();
    let text: String = new.iter().map(|b| format!("{b:02x}")).collect();
    let text = format!("{text:0<width$}", width = span.len());
    out[span].copy_from_slice(text.as_bytes());
    out
}

fn is_high(signature: &[u8]) -> bool {
    let signature = Signature::from_der(signature).unwrap();
    signature.normalize_s() != signature
}

fn of_certificate(identity: &Identity) -> Vec<u8> {
    let certificate = x509_cert::Certificate::from_der(identity.certificate_der()).unwrap();
    certificate.signature().as_bytes().unwrap().to_vec()
}

#[test]
fn own_signatures_have_the_smaller_s() {
    let client = identity();
    for n in 0..12 {
        let identity = identity();
        assert!(!is_high(&of_certificate(&identity)), "a certificate");
        let renewed = identity
            .renew(&identity.subject(), signed_at().to_utc())
            .unwrap();
        assert!(!is_high(&of_certificate(&renewed)), "a renewal");
        let options = SignOptions::at(signed_at() + TimeDelta::seconds(n));
        let sealed = sign(&base(Kind::Table, true), &identity, &options).unwrap();
        assert!(
            !is_high(&signature_value(&message(sealed.bytes()))),
            "a seal"
        );
        let signed = countersign(sealed.bytes(), &client, Hand::Client, &options).unwrap();
        let signature = signature_value(&message(signed.bytes()));
        assert!(!is_high(&signature), "a countersignature");
    }
    let folder = tempfile::tempdir().unwrap();
    let identity = Identity::load_pair(
        &key_file(&folder, "p384.crt"),
        &key_file(&folder, "p384.key"),
        &Passphrase::empty(),
    )
    .unwrap();
    for n in 0..12 {
        let at = identity.valid_from().fixed_offset() + TimeDelta::seconds(n);
        let sealed = sign(&base(Kind::Table, true), &identity, &SignOptions::at(at)).unwrap();
        let signature = signature_value(&message(sealed.bytes()));
        let signature = p384::ecdsa::Signature::from_der(&signature).unwrap();
        assert_eq!(signature.normalize_s(), signature);
    }
}

#[test]
fn the_larger_s_of_others_is_accepted_and_noted() {
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity(), &options).unwrap();
    let report = verify(sealed.bytes(), &VerifyOptions::default());
    assert!(!report.signatures[0].high_s);
    let turned = flipped(sealed.bytes());
    assert_ne!(turned, sealed.bytes());
    let report = verify(&turned, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
    assert!(report.signatures[0].high_s);
    // Another program's countersignature, in both forms.
    let signed = HARMLESS.sign(sealed.bytes());
    for pdf in [flipped(&signed), signed] {
        let report = verify(&pdf, &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
        let signature = signature_value(&message(&pdf));
        assert_eq!(report.signatures[1].high_s, is_high(&signature));
    }
}

#[test]
fn what_replaces_a_certificate_replaces_its_other_form() {
    let identity = identity();
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity, &options)
        .unwrap()
        .into_bytes();
    let standing = |pdf: &[u8], replaces: Option<&Standing>| {
        let report = verify(pdf, &VerifyOptions::default());
        let verified = report.verified().unwrap();
        let digests = verified.digests();
        Standing {
            number: if replaces.is_some() { "2" } else { "1" }.to_owned(),
            sha256: digests.sha256,
            other_form: digests.other_form,
            signed: digests.signed,
            identity: digests.identity,
            replaces: replaces.map(|earlier| Earlier {
                number: earlier.number.clone(),
                sha256: earlier.sha256.clone(),
            }),
            key: verified.fingerprint(),
        }
    };
    let as_sealed = standing(&sealed, None);
    let turned = standing(&flipped(&sealed), None);
    assert_ne!(as_sealed.sha256, turned.sha256);
    assert_eq!(as_sealed.identity, as_sealed.sha256);
    assert_eq!(turned.identity, as_sealed.sha256);
    assert_eq!(as_sealed.other_form.as_ref(), Some(&turned.sha256));
    assert_eq!(turned.other_form.as_ref(), Some(&as_sealed.sha256));
    let between = |one: &Standing, two: &Standing| Amendment::between(one, two, |_, _| false);
    assert_eq!(between(&as_sealed, &turned), Amendment::Same);
    let later = sign(
        &base(Kind::Stream, true),
        &identity,
        &SignOptions::at(signed_at() + TimeDelta::days(1)),
    )
    .unwrap();
    for named in [&as_sealed, &turned] {
        for found in [&as_sealed, &turned] {
            let later = standing(later.bytes(), Some(named));
            assert!(
                matches!(
                    between(found, &later),
                    Amendment::Replaces { same_key: true, .. }
                ),
                "{:?}",
                between(found, &later)
            );
        }
    }
}
