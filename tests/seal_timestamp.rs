//! Time-stamps: an authority made of a few lines stamps, and lies in every way it can.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod seal_common;

use der::asn1::ObjectIdentifier;
use p256::ecdsa::signature::Signer;
use p256::ecdsa::{DerSignature, SigningKey};
use p256::pkcs8::DecodePrivateKey;
use seal_common::{Kind, base, identity, key_file, signed_at};
use sha2::{Digest, Sha256};
use warmlug::seal::report::{Answer, Report, Stamp};
use warmlug::seal::verify::anchors;
use warmlug::seal::{Authority, SealError, SignOptions, VerifyOptions, sign_stamped, verify};

const POLICY: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.4.1.99999.1");
const NONCE: [u8; 16] = [0x5A; 16];

/// One DER value of the parts that stand in it.
fn value(tag: u8, parts: &[&[u8]]) -> Vec<u8> {
    let content = parts.concat();
    let mut out = vec![tag];
    match content.len() {
        n if n < 0x80 => out.push(n as u8),
        n if n < 0x100 => out.extend([0x81, n as u8]),
        n => out.extend([0x82, (n >> 8) as u8, n as u8]),
    }
    out.extend(content);
    out
}

fn sequence(parts: &[&[u8]]) -> Vec<u8> {
    value(0x30, parts)
}

fn oid(text: &str) -> Vec<u8> {
    value(6, &[ObjectIdentifier::new_unwrap(text).as_bytes()])
}

fn octets(bytes: &[u8]) -> Vec<u8> {
    value(4, &[bytes])
}

fn certificate(name: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    anchors(&key_file(&folder, name)).unwrap().remove(0)
}

/// What the authority says, and with what it says so.
#[derive(Clone)]
struct Lies {
    certificate: &'static str,
    key: &'static str,
    policy: &'static str,
    nonce: [u8; 16],
    time: &'static str,
    /// Added to the data before it is hashed.
    salt: &'static [u8],
    /// The digest that the signed attributes name.
    content_salt: &'static [u8],
}

const HONEST: Lies = Lies {
    certificate: "tsa.crt",
    key: "tsa.key",
    policy: "1.3.6.1.4.1.99999.1",
    nonce: NONCE,
    time: "20270106164201.25Z",
    salt: b"",
    content_salt: b"",
};

/// A reply to a request, for a signature whose digest stands in the request.
fn reply(request: &[u8], lies: &Lies) -> Vec<u8> {
    // SHA-256 in a request of ours: 32 bytes behind their head.
    let at = request.windows(2).position(|w| w == [4, 32]).unwrap() + 2;
    let mut imprint = request[at..at + 32].to_vec();
    if !lies.salt.is_empty() {
        imprint = Sha256::digest(lies.salt).to_vec();
    }
    let sha256 = sequence(&[&oid("2.16.840.1.101.3.4.2.1")]);
    let info = sequence(&[
        &[2, 1, 1],
        &oid(lies.policy),
        &sequence(&[&sha256, &octets(&imprint)]),
        &[2, 1, 9],
        &value(0x18, &[lies.time.as_bytes()]),
        &sequence(&[&[2, 1, 1]]),
        &value(2, &[&lies.nonce]),
    ]);
    let der = certificate(lies.certificate);
    let folder = tempfile::tempdir().unwrap();
    let pem = std::fs::read_to_string(key_file(&folder, lies.key)).unwrap();
    let key = SigningKey::from_pkcs8_pem(&pem).unwrap();
    let digest = Sha256::digest([&info[..], lies.content_salt].concat());
    let bound = sequence(&[&sequence(&[&sequence(&[&octets(&Sha256::digest(&der))])])]);
    let info_kind = oid("1.2.840.113549.1.9.16.1.4");
    let attribute = |kind: &str, v: &[u8]| sequence(&[&oid(kind), &value(0x31, &[v])]);
    let mut attributes = [
        attribute("1.2.840.113549.1.9.3", &info_kind),
        attribute("1.2.840.113549.1.9.4", &octets(&digest)),
        attribute("1.2.840.113549.1.9.16.2.47", &bound),
    ];
    attributes.sort();
    let attributes = attributes.concat();
    let signature: DerSignature = key.sign(&value(0x31, &[&attributes]));
    let parsed = <x509_cert::Certificate as der::Decode>::from_der(&der).unwrap();
    let tbs = parsed.tbs_certificate();
    let name = der::Encode::to_der(tbs.issuer()).unwrap();
    let serial = der::Encode::to_der(tbs.serial_number()).unwrap();
    let signer = sequence(&[
        &[2, 1, 1],
        &sequence(&[&name, &serial]),
        &sha256,
        &value(0xA0, &[&attributes]),
        &sequence(&[&oid("1.2.840.10045.4.3.2")]),
        &octets(signature.as_bytes()),
    ]);
    let data = sequence(&[
        &[2, 1, 3],
        &value(0x31, &[&sha256]),
        &sequence(&[&info_kind, &value(0xA0, &[&octets(&info)])]),
        &value(0xA0, &[&der]),
        &value(0x31, &[&signer]),
    ]);
    let token = sequence(&[&oid("1.2.840.113549.1.7.2"), &value(0xA0, &[&data])]);
    sequence(&[&sequence(&[&[2, 1, 0]]), &token])
}

fn stamped(lies: &Lies) -> Result<Vec<u8>, SealError> {
    let authority = Authority {
        send: &|request| Ok(reply(request, lies)),
        nonce: NONCE,
        policy: Some(POLICY),
    };
    let options = SignOptions::at(signed_at());
    sign_stamped(
        &base(Kind::Table, true),
        &identity(),
        &options,
        Some(&authority),
    )
    .map(|sealed| sealed.into_bytes())
}

fn told(report: Report<'_>) -> Stamp {
    report.signatures[0].stamp.clone().expect("a stamp")
}

#[test]
fn an_honest_stamp_is_told_and_trusted_when_its_authority_is() {
    let pdf = stamped(&HONEST).unwrap();
    let report = verify(&pdf, &VerifyOptions::default());
    assert!(report.genuine(), "{:?}", report.objections());
    let stamp = told(report);
    assert_eq!(stamp.at.to_rfc3339(), "2027-01-06T16:42:01+00:00");
    assert_eq!(stamp.authority, "Guild Clock");
    assert_eq!(stamp.valid, Answer::Yes);
    assert!(matches!(stamp.trusted, Answer::NotDetermined(_)));
    let trusting = |name: &str| VerifyOptions {
        anchors: vec![certificate(name)],
        ..VerifyOptions::default()
    };
    assert_eq!(
        told(verify(&pdf, &trusting("root.crt"))).trusted,
        Answer::Yes
    );
    let stranger = verify(&pdf, &trusting("p384.crt"));
    assert!(matches!(told(stranger).trusted, Answer::No(_)));
}

#[test]
fn a_stamp_that_lies_is_not_taken() {
    let lie = |change: &dyn Fn(&mut Lies)| {
        let mut lies = HONEST;
        change(&mut lies);
        match stamped(&lies) {
            Err(SealError::TimeStamp(why)) => why,
            other => panic!("{other:?}"),
        }
    };
    for (why, told) in [
        ("another signature", lie(&|l| l.salt = b"other")),
        ("another request", lie(&|l| l.nonce = [1; 16])),
        ("its policy 1.2.3.4", lie(&|l| l.policy = "1.2.3.4")),
        ("was changed after", lie(&|l| l.content_salt = b"other")),
        (
            "does not fit its authority's key",
            lie(&|l| l.key = "issued.key"),
        ),
        ("says no time", lie(&|l| l.time = "2027Z")),
        (
            "not for stamping times",
            lie(&|l| (l.certificate, l.key) = ("issued.crt", "issued.key")),
        ),
        (
            "not for stamping times",
            lie(&|l| (l.certificate, l.key) = ("p256.crt", "p256.key")),
        ),
    ] {
        assert!(told.contains(why), "{told}");
    }
}

#[test]
fn a_stamp_put_on_another_signature_is_found() {
    let good = stamped(&HONEST).unwrap();
    // The signature's own digits, where nobody's signature reaches: each changed byte of the
    // token must be noticed, and so must a token that is taken from elsewhere.
    let open = good.windows(11).position(|w| w == b"/Contents <").unwrap() + 11;
    let close = open + good[open..].iter().position(|b| *b == b'>').unwrap();
    let digits = std::str::from_utf8(&good[open..close]).unwrap();
    let oid = "060b2a864886f70d010910020e";
    let token = open + digits.find(oid).unwrap() + oid.len();
    let end = open + digits.trim_end_matches('0').len();
    assert!(end - token > 1500, "a token of some length");
    for at in (token..end).step_by(7) {
        let mut bad = good.clone();
        bad[at] = if bad[at] == b'0' { b'1' } else { b'0' };
        assert!(
            !verify(&bad, &VerifyOptions::default()).genuine(),
            "digit {at} of {token}..{end}"
        );
    }
}

#[test]
fn nothing_that_the_way_brings_panics() {
    for answer in [&b""[..], b"\x30", b"\x30\x80\0\0", b"<html>", &[0xFF; 4096]] {
        let authority = Authority {
            send: &|_| Ok(answer.to_vec()),
            nonce: NONCE,
            policy: None,
        };
        let options = SignOptions::at(signed_at());
        let done = sign_stamped(
            &base(Kind::Table, true),
            &identity(),
            &options,
            Some(&authority),
        );
        assert!(matches!(done, Err(SealError::TimeStamp(_))));
    }
    let authority = Authority {
        send: &|_| Err("the server is away".to_owned()),
        nonce: NONCE,
        policy: None,
    };
    let options = SignOptions::at(signed_at());
    let done = sign_stamped(
        &base(Kind::Table, true),
        &identity(),
        &options,
        Some(&authority),
    );
    assert_eq!(
        done.unwrap_err().to_string(),
        "no time-stamp: the server is away"
    );
}
