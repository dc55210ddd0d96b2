//! A time-stamp authority of a few lines, which can lie in every way.

use super::issued::Issued;
use super::key_file;
use der::asn1::ObjectIdentifier;
use p256::ecdsa::signature::Signer;
use p256::ecdsa::{DerSignature, SigningKey};
use p256::pkcs8::DecodePrivateKey;
use sha2::{Digest, Sha256};
use warmlug::seal::verify::anchors;

pub const POLICY: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.4.1.99999.1");
pub const NONCE: [u8; 16] = [0x5A; 16];

/// One DER value of the parts in it.
pub fn value(tag: u8, parts: &[&[u8]]) -> Vec<u8> {
    let content = parts.concat();
    let mut out = vec![tag];
    match content.len() {
        n if n < 0x80 => out.push(n as u8),
        n if n < 0x100 => out.extend([0x81, n as u8]),
        n if n < 0x1_0000 => out.extend([0x82, (n >> 8) as u8, n as u8]),
        n => out.extend([0x83, (n >> 16) as u8, (n >> 8) as u8, n as u8]),
    }
    out.extend(content);
    out
}

pub fn sequence(parts: &[&[u8]]) -> Vec<u8> {
    value(0x30, parts)
}

pub fn oid(text: &str) -> Vec<u8> {
    value(6, &[ObjectIdentifier::new_unwrap(text).as_bytes()])
}

pub fn octets(bytes: &[u8]) -> Vec<u8> {
    value(4, &[bytes])
}

/// A response about a certificate (OCSP, RFC 6960, 4.2.1) with these bytes as its nonce.
pub fn ocsp_response(nonce: &[u8]) -> Vec<u8> {
    let time = value(0x18, &[b"20261006164200Z"]);
    let id = sequence(&[
        &sequence(&[&oid("1.3.14.3.2.26"), &[5, 0]]),
        &octets(&[1; 20]),
        &octets(&[2; 20]),
        &[2, 1, 9],
    ]);
    let single = sequence(&[&id, &[0x80, 0], &time]);
    let extension = sequence(&[&oid("1.3.6.1.5.5.7.48.1.2"), &octets(&octets(nonce))]);
    ocsp_with(&sequence(&[
        &value(0xA2, &[&octets(&[3; 20])]),
        &time,
        &sequence(&[&single]),
        &value(0xA1, &[&sequence(&[&extension])]),
    ]))
}

/// A response with these contents (ResponseData).
pub fn ocsp_with(data: &[u8]) -> Vec<u8> {
    let basic = sequence(&[
        data,
        &sequence(&[&oid("1.2.840.10045.4.3.2")]),
        &value(3, &[&[0, 1, 2]]),
    ]);
    let inner = sequence(&[&oid("1.3.6.1.5.5.7.48.1.1"), &octets(&basic)]);
    sequence(&[&value(10, &[&[0]]), &value(0xA0, &[&inner])])
}

pub fn certificate(name: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    anchors(&key_file(&folder, name)).unwrap().remove(0)
}

/// What the authority says, and with what it says so.
#[derive(Clone)]
pub struct Lies {
    pub certificate: &'static str,
    pub key: &'static str,
    /// Another certificate with its key.
    pub by: Option<Issued>,
    pub policy: &'static str,
    pub nonce: [u8; 16],
    pub time: &'static str,
    /// Added to the data before it is hashed.
    pub salt: &'static [u8],
    /// The digest that the signed attributes name.
    pub content_salt: &'static [u8],
}

pub const HONEST: Lies = Lies {
    certificate: "tsa.crt",
    key: "tsa.key",
    by: None,
    policy: "1.3.6.1.4.1.99999.1",
    nonce: NONCE,
    time: "20270106164201.25Z",
    salt: b"",
    content_salt: b"",
};

/// A reply to a request, for what has the digest in the request.
pub fn reply(request: &[u8], lies: &Lies) -> Vec<u8> {
    // SHA-256 in a request of ours: 32 bytes behind their head.
    let at = request.windows(2).position(|w| w == [4, 32]).unwrap() + 2;
    sequence(&[
        &sequence(&[&[2, 1, 0]]),
        &token(&request[at..at + 32], lies),
    ])
}

/// A token for what has this digest.
pub fn token(digest: &[u8], lies: &Lies) -> Vec<u8> {
    let mut imprint = digest.to_vec();
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
    let (der, key) = match &lies.by {
        Some(issued) => (issued.der.clone(), issued.key.clone()),
        None => {
            let folder = tempfile::tempdir().unwrap();
            let pem = std::fs::read_to_string(key_file(&folder, lies.key)).unwrap();
            let key = SigningKey::from_pkcs8_pem(&pem).unwrap();
            (certificate(lies.certificate), key)
        }
    };
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
    sequence(&[&oid("1.2.840.113549.1.7.2"), &value(0xA0, &[&data])])
}
