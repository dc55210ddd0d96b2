//! The parts of a CMS message that its signature does not cover (RFC 5652, 5.4): anybody can write them
//! again, so that nothing may be put into them.
use crate::low_s::{digits, message, parts};
use crate::seal_common::authority::{HONEST, NONCE, POLICY, reply};
use crate::seal_common::authority::{certificate, octets, oid, sequence, value};
use crate::seal_common::issued::{SIGNER, issue};
use crate::seal_common::later::HARMLESS;
use crate::seal_common::{Kind, base, identity, signed_at};
use sha2::{Digest, Sha256};
use warmlug::amend::amendment::Amendment;
use warmlug::record::standing::Standing;
use warmlug::seal::{Authority, SignOptions, VerifyOptions, sign, sign_stamped, verify};

const SHA_256: &str = "2.16.840.1.101.3.4.2.1";
const ECDSA_WITH_SHA_256: &str = "1.2.840.10045.4.3.2";
const NULL: &[u8] = &[5, 0];

/// The values inside a value, each with its header.
fn inside(der: &[u8]) -> Vec<Vec<u8>> {
    let mut rest = parts(der).1;
    let mut out = Vec::new();
    while !rest.is_empty() {
        let after = parts(rest).2;
        out.push(rest[..rest.len() - after.len()].to_vec());
        rest = after;
    }
    out
}

fn together(tag: u8, values: &[Vec<u8>]) -> Vec<u8> {
    value(tag, &values.iter().map(Vec::as_slice).collect::<Vec<_>>())
}

/// The file with its last signature written again: the fields of SignedData and of its signer
/// (RFC 5652, 5.1 and 5.3) changed.
fn written_again(pdf: &[u8], change: impl Fn(&mut Vec<Vec<u8>>, &mut Vec<Vec<u8>>)) -> Vec<u8> {
    let info = inside(&message(pdf));
    let mut data = inside(&inside(&info[1])[0]);
    let signers = data.pop().unwrap();
    let mut signer = inside(&inside(&signers)[0]);
    change(&mut data, &mut signer);
    data.push(value(0x31, &[&together(0x30, &signer)]));
    let new = sequence(&[&info[0], &value(0xA0, &[&together(0x30, &data)])]);
    let span = digits(pdf);
    let text: String = new.iter().map(|b| format!("{b:02x}")).collect();
    assert!(text.len() <= span.len());
    let mut out = pdf.to_vec();
    let text = format!("{text:0<width$}", width = span.len());
    out[span].copy_from_slice(text.as_bytes());
    out
}

fn algorithm(name: &str, parameters: &[u8]) -> Vec<u8> {
    sequence(&[&oid(name), parameters])
}

fn sealed() -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    sign(&base(Kind::Table, true), &identity(), &options)
        .unwrap()
        .into_bytes()
}

#[track_caller]
fn refused(bytes: &[u8], what: &str) {
    let report = verify(bytes, &VerifyOptions::default());
    assert!(!report.unchanged(), "{what}: passed");
    let told = report.objections();
    assert!(
        told.iter().any(|why| why.contains(what)),
        "{what}: {told:?}"
    );
}

#[test]
fn nothing_is_put_into_what_nobody_signed() {
    let pdf = sealed();
    let same = written_again(&pdf, |_, _| {});
    assert!(verify(&same, &VerifyOptions::default()).unchanged());
    let junk = octets(b"Satisfactory");
    let parameters = "parameters that they do not need";
    refused(
        &written_again(&pdf, |data, _| {
            data[1] = value(0x31, &[&algorithm(SHA_256, &junk)]);
        }),
        parameters,
    );
    refused(
        &written_again(&pdf, |_, signer| signer[2] = algorithm(SHA_256, &junk)),
        parameters,
    );
    refused(
        &written_again(&pdf, |_, signer| {
            signer[4] = algorithm(ECDSA_WITH_SHA_256, &junk);
        }),
        parameters,
    );
    refused(
        &written_again(&pdf, |data, _| {
            let (short, long) = (algorithm(SHA_256, &[]), algorithm(SHA_256, NULL));
            data[1] = value(0x31, &[&short, &long]);
        }),
        "not that of one signer",
    );
    for lists in [vec![], sequence(&[&junk])] {
        refused(
            &written_again(&pdf, |data, _| data.push(value(0xA1, &[&lists]))),
            "lists that are not signed",
        );
    }
    // The room of a seal is no larger than its signature; others leave more.
    let signed = HARMLESS.sign(&pdf);
    refused(
        &written_again(&signed, |data, _| {
            let mut certificates = inside(&data[3]);
            certificates.push(certificate("root.crt"));
            // DER sorts a set by its bytes (X.690, 11.6).
            certificates.sort();
            data[3] = together(0xA0, &certificates);
        }),
        "does not belong there",
    );
}

/// Relating certificates to each other takes a signature for each pair, so their number is looked at first.
#[test]
fn more_certificates_than_a_chain_has_are_refused_before_they_are_read() {
    let mut options = SignOptions::at(signed_at());
    options.reserve = Some(1 << 14);
    let pdf = sign(&base(Kind::Table, true), &identity(), &options).unwrap();
    let with = |count: usize| {
        written_again(pdf.bytes(), |data, _| {
            let mut certificates = inside(&data[3]);
            certificates.extend((0..count).map(|_| issue("Anybody", None, &SIGNER).der));
            certificates.sort();
            data[3] = together(0xA0, &certificates);
        })
    };
    refused(&with(8), "does not belong there");
    refused(
        &with(9),
        "it includes 10 certificates, more than any chain has",
    );
    // Not even whether they are certificates is asked.
    let junk = written_again(pdf.bytes(), |data, _| {
        let mut certificates = inside(&data[3]);
        certificates.extend((0..200_u8).map(|n| sequence(&[&octets(&[n])])));
        certificates.sort();
        data[3] = together(0xA0, &certificates);
    });
    refused(
        &junk,
        "it includes 201 certificates, more than any chain has",
    );
}

/// What this program writes has one spelling.
#[test]
fn a_seal_of_this_program_has_no_other_spelling() {
    let pdf = sealed();
    let rewritten = "rewritten after signing";
    refused(
        &written_again(&pdf, |data, _| {
            data[1] = value(0x31, &[&algorithm(SHA_256, NULL)]);
        }),
        rewritten,
    );
    refused(
        &written_again(&pdf, |_, signer| signer[2] = algorithm(SHA_256, NULL)),
        rewritten,
    );
    refused(
        &written_again(&pdf, |_, signer| {
            signer[4] = algorithm(ECDSA_WITH_SHA_256, NULL);
        }),
        rewritten,
    );
    // Other programs write NULL where this one writes nothing (RFC 5754, 2).
    let signed = HARMLESS.sign(&pdf);
    let with_null = written_again(&signed, |data, signer| {
        data[1] = value(0x31, &[&algorithm(SHA_256, NULL)]);
        signer[2] = algorithm(SHA_256, NULL);
    });
    let report = verify(&with_null, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
}

/// The time-stamp in a signature is not signed: without it, or with another, it is the same certificate.
#[test]
fn a_certificate_keeps_its_identity_without_its_time_stamp() {
    let authority = Authority {
        send: &|request| Ok(reply(request, &HONEST)),
        nonce: NONCE,
        policy: Some(POLICY),
    };
    let options = SignOptions::at(signed_at());
    let base = base(Kind::Table, true);
    let stamped = sign_stamped(&base, &identity(), &options, Some(&authority)).unwrap();
    let without = written_again(stamped.bytes(), |_, signer| {
        signer.pop();
    });
    let [one, other] = [stamped.bytes(), &without].map(|pdf| {
        let report = verify(pdf, &VerifyOptions::default());
        let verified = report.verified().unwrap();
        let digests = verified.digests();
        Standing {
            number: "2026-0147".to_owned(),
            sha256: digests.sha256,
            other_form: digests.other_form,
            signed: digests.signed,
            identity: digests.identity,
            replaces: None,
            key: verified.fingerprint(),
        }
    });
    assert_ne!(one.sha256, other.sha256);
    // ISO 32000-1, 12.8.1: what is signed are the bytes in front of the string of digits and behind it.
    let span = digits(&without);
    let signed = [&without[..span.start - 1], &without[span.end + 1..]].concat();
    let signed: String = Sha256::digest(signed)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    assert_eq!((&one.signed, &other.signed), (&signed, &signed));
    assert!(other.has_digest(&signed));
    let between = Amendment::between(&one, &other, |_, _| false);
    assert_eq!(between, Amendment::Same);
}
