//! Certificates as authorities issue them, good and bad: for other purposes, expired, in chains.

use super::key_file;
use chrono::{DateTime, Utc};
use der::asn1::{ObjectIdentifier, OctetString};
use der::{Decode, Encode, EncodePem, pem::LineEnding};
use p256::ecdsa::{DerSignature, SigningKey};
use p256::elliptic_curve::Generate;
use p256::pkcs8::EncodePrivateKey;
use std::str::FromStr;
use warmlug::seal::{Identity, Passphrase};
use x509_cert::Certificate;
use x509_cert::builder::profile::BuilderProfile;
use x509_cert::builder::{Builder, CertificateBuilder};
use x509_cert::certificate::TbsCertificate;
use x509_cert::ext::pkix::{BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages};
use x509_cert::ext::{Extension, ToExtension};
use x509_cert::name::Name;
use x509_cert::serial_number::SerialNumber;
use x509_cert::spki::{SubjectPublicKeyInfoOwned, SubjectPublicKeyInfoRef};
use x509_cert::time::{Time, Validity};

/// A key with its certificate.
#[derive(Clone)]
pub struct Issued {
    pub key: SigningKey,
    pub der: Vec<u8>,
    name: Name,
}

/// The contents of a certificate.
#[derive(Clone, Copy)]
pub struct Wish {
    /// An authority with at most so many others below it; none for a signer.
    pub authority: Option<u8>,
    pub usage: Option<KeyUsages>,
    pub purposes: &'static [&'static str],
    /// An extension that nobody knows, and whether it is critical.
    pub unknown: Option<bool>,
    /// The name constraints extension (RFC 5280, 4.2.1.10), not critical, for some domain.
    pub constrained: bool,
    pub from: &'static str,
    pub until: &'static str,
}

pub const SIGNER: Wish = Wish {
    authority: None,
    usage: None,
    purposes: &[],
    unknown: None,
    constrained: false,
    from: "2026-01-01T00:00:00Z",
    until: "2031-01-01T00:00:00Z",
};

pub const AUTHORITY: Wish = Wish {
    authority: Some(20),
    ..SIGNER
};

/// An authority that stamps times (RFC 3161, 2.3).
pub const TIMES: Wish = Wish {
    purposes: &["1.3.6.1.5.5.7.3.8"],
    ..SIGNER
};

struct Profile<'a> {
    subject: Name,
    issuer: Name,
    wish: &'a Wish,
}

impl BuilderProfile for Profile<'_> {
    fn get_issuer(&self, _: &Name) -> Name {
        self.issuer.clone()
    }

    fn get_subject(&self) -> Name {
        self.subject.clone()
    }

    fn build_extensions(
        &self,
        _: SubjectPublicKeyInfoRef<'_>,
        _: SubjectPublicKeyInfoRef<'_>,
        tbs: &TbsCertificate,
    ) -> x509_cert::builder::Result<Vec<Extension>> {
        let mut out = Vec::new();
        let subject = tbs.subject();
        let constraints = BasicConstraints {
            ca: self.wish.authority.is_some(),
            path_len_constraint: self.wish.authority,
        };
        out.push(constraints.to_extension(subject, &out)?);
        if let Some(usage) = self.wish.usage {
            out.push(KeyUsage(usage.into()).to_extension(subject, &out)?);
        }
        if !self.wish.purposes.is_empty() {
            let oids = self.wish.purposes.iter();
            let oids = oids.map(|oid| ObjectIdentifier::new_unwrap(oid)).collect();
            let mut purposes = ExtendedKeyUsage(oids).to_extension(subject, &out)?;
            // RFC 3161, 2.3: critical in the certificate of an authority of time-stamps.
            purposes.critical |= self.wish.purposes == TIMES.purposes;
            out.push(purposes);
        }
        if let Some(critical) = self.wish.unknown {
            out.push(Extension {
                extn_id: ObjectIdentifier::new_unwrap("1.3.6.1.4.1.99999.7"),
                critical,
                extn_value: OctetString::new([5, 0])?,
            });
        }
        if self.wish.constrained {
            // Permitted subtrees: the DNS name “a.example”.
            let domain = b"a.example";
            let length = domain.len() as u8;
            let head = [
                0x30,
                length + 6,
                0xa0,
                length + 4,
                0x30,
                length + 2,
                0x82,
                length,
            ];
            out.push(Extension {
                extn_id: ObjectIdentifier::new_unwrap("2.5.29.30"),
                critical: false,
                extn_value: OctetString::new([&head[..], domain].concat())?,
            });
        }
        Ok(out)
    }
}

fn time(text: &str) -> Time {
    let at: DateTime<Utc> = text.parse().unwrap();
    let seconds = std::time::Duration::from_secs(at.timestamp() as u64);
    Time::UtcTime(der::asn1::UtcTime::from_unix_duration(seconds).unwrap())
}

/// Issues a certificate to a new key; without an issuer, it signs itself.
pub fn issue(name: &str, issuer: Option<&Issued>, wish: &Wish) -> Issued {
    let key = SigningKey::generate();
    let subject = Name::from_str(&format!("CN={name}")).unwrap();
    let profile = Profile {
        subject: subject.clone(),
        issuer: issuer.map_or_else(|| subject.clone(), |issuer| issuer.name.clone()),
        wish,
    };
    let builder = CertificateBuilder::new(
        profile,
        SerialNumber::new(&[name.len() as u8 | 1; 9]).unwrap(),
        Validity::new(time(wish.from), time(wish.until)),
        SubjectPublicKeyInfoOwned::from_key(key.verifying_key()).unwrap(),
    )
    .unwrap();
    let by = issuer.map_or(&key, |issuer| &issuer.key);
    let certificate = builder.build::<_, DerSignature>(by).unwrap();
    Issued {
        der: certificate.to_der().unwrap(),
        name: subject,
        key,
    }
}

impl Issued {
    /// The identity of this key, with its issuers, nearest first.
    pub fn identity(&self, issuers: &[&Issued]) -> Identity {
        let folder = tempfile::tempdir().unwrap();
        let pem = |issued: &Issued| {
            let certificate = Certificate::from_der(&issued.der).unwrap();
            certificate.to_pem(LineEnding::LF).unwrap()
        };
        let certificates: String = std::iter::once(&self)
            .chain(issuers)
            .map(|i| pem(i))
            .collect();
        let certificate = folder.path().join("certificate.pem");
        std::fs::write(&certificate, certificates).unwrap();
        // A copy of some key, for its permissions.
        let key = key_file(&folder, "p256.key");
        let own = self.key.to_pkcs8_pem(LineEnding::LF).unwrap();
        std::fs::write(&key, own.as_bytes()).unwrap();
        Identity::load_pair(&certificate, &key, &Passphrase::empty()).unwrap()
    }
}
