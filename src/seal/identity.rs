//! Signing identities: creating, storing and opening them.
//!
//! An identity is a private key with a certificate that names an inspector. Anyone can create one for
//! any name: a self-signed certificate shows that the same key signed, not who held it. Readers of
//! certificates therefore compare the fingerprint once with one given by the inspector.
//!
//! The file is PKCS#12, which other programs can use, encrypted with AES-256 (PBES2) and readable
//! only by its owner. An identity that is created without asking has no passphrase: a random one would
//! have to be stored next to it and would protect nothing. In that case only the permissions protect
//! the file, and [`Identity::protection`] says so.

use std::fmt;

use chrono::{DateTime, Datelike, Months, Utc};
use der::asn1::{BitString, ObjectIdentifier};
use der::{Decode, Encode};
use p256::ecdsa::signature::Keypair;
use p256::elliptic_curve::Generate;
use sha2::Sha256;
use x509_cert::builder::profile::BuilderProfile;
use x509_cert::builder::{Builder, CertificateBuilder};
use x509_cert::certificate::{Certificate, TbsCertificate};
use x509_cert::ext::pkix::{
    BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages, SubjectKeyIdentifier,
};
use x509_cert::ext::{Extension, ToExtension};
use x509_cert::name::Name;
use x509_cert::serial_number::SerialNumber;
use x509_cert::spki::{
    DynSignatureAlgorithmIdentifier, EncodePublicKey, SubjectPublicKeyInfoOwned,
    SubjectPublicKeyInfoRef,
};
use x509_cert::time::Validity;
use zeroize::Zeroizing;

use super::certificate_time::{moment, time};
use super::error::SealError;
use super::fingerprint::Fingerprint;
use super::passphrase::Passphrase;
use super::pem::{only_certificates, private_key_block};
use super::person::{Person, person_of, subject_of};
use super::pkcs12::{self, Pkcs12Error, Salts};
use super::private_key::PrivateKey;

/// Validity of a self-signed certificate, in years.
pub const YEARS: u32 = 5;
/// Last year that a certificate can contain (RFC 5280, 4.1.2.5).
const LAST_YEAR: i32 = 9999;
/// Number of days before its end from which an identity counts as expiring.
pub const EXPIRING_DAYS: i64 = 60;
/// Rounds of key derivation for a chosen passphrase (PBKDF2 with HMAC-SHA-256). Public advice of 2023
/// for passwords stored on servers is 600,000; common practice, no standard. More would delay each
/// signature noticeably.
const ROUNDS: u32 = 600_000;
/// Rounds without a passphrase: the minimum of RFC 8018, 4.2.
const ROUNDS_WITHOUT_PASSPHRASE: u32 = 1_000;
/// Maximum number of earlier keys stored with an identity.
const MAX_RENEWALS: usize = 3;
/// Maximum number of certificates stored with an identity besides its own.
const MAX_CHAIN: usize = 8;
/// Maximum number of certificates for the identity's own key that are considered.
const MAX_OF_ONE_KEY: usize = 64;

const DOCUMENT_SIGNING: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.36");

/// Validity of an identity's certificate at a given time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lifetime {
    /// Valid for more than [`EXPIRING_DAYS`].
    Valid,
    /// Valid, but for only this many more whole days; worth a warning.
    Expiring {
        /// Whole days until the end.
        days: i64,
    },
    /// Expired; signing is refused.
    Expired,
    /// Not valid yet; signing is refused.
    NotYetValid,
}

/// A private key and its certificate, ready to sign. The key is wiped when dropped.
pub struct Identity {
    pub(crate) key: PrivateKey,
    certificate: Certificate,
    der: Vec<u8>,
    /// Issuers' certificates, nearest first, then those of earlier keys, in DER.
    pub(crate) chain: Vec<Vec<u8>>,
}

impl fmt::Debug for Identity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Identity")
            .field("subject", &self.subject())
            .field("fingerprint", &self.fingerprint())
            .finish_non_exhaustive()
    }
}

impl Identity {
    /// Creates a P-256 key and a self-signed certificate for document signing (extended key usage
    /// 1.3.6.1.5.5.7.3.36, RFC 9336; key usage digitalSignature and nonRepudiation), valid for
    /// [`YEARS`] from `from` on. Name and firm are truncated to 64 characters, the limit of
    /// RFC 5280.
    ///
    /// # Errors
    /// [`SealError::NoName`] without a name; [`SealError::Random`] if the system returns no random
    /// numbers.
    pub fn create(person: &Person, from: DateTime<Utc>) -> Result<Self, SealError> {
        if person.name.trim().is_empty() {
            return Err(SealError::NoName);
        }
        if from.year().saturating_add_unsigned(YEARS) > LAST_YEAR {
            return Err(SealError::Clock {
                at: from.format("%Y-%m-%d").to_string(),
            });
        }
        let key = p256::ecdsa::SigningKey::try_generate()
            .map_err(|e| SealError::Random(e.to_string()))?;
        let key = PrivateKey::P256(key);
        let subject = subject_of(person).map_err(|e| SealError::Key(e.to_string()))?;
        let public = key.public().map_err(SealError::Key)?;
        let certificate = certify(&key, subject.clone(), subject, public, from)?;
        let der = certificate
            .to_der()
            .map_err(|e| SealError::Key(e.to_string()))?;
        Ok(Self {
            key,
            certificate,
            der,
            chain: Vec::new(),
        })
    }

    /// Creates a new identity that this one vouches for, so that those who know this key can trust
    /// the new one. Each signature of the new key includes the old certificate and its statement
    /// about the new key, for at most three renewals back.
    ///
    /// # Errors
    /// As [`Identity::create`]. This identity must be valid and self-signed; otherwise its
    /// authority issues the next one.
    pub fn renew(&self, person: &Person, from: DateTime<Utc>) -> Result<Self, SealError> {
        let fault = |e: der::Error| SealError::Key(e.to_string());
        self.require_valid(from)?;
        if !super::path::signs_itself(&self.certificate) {
            return Err(SealError::NotRenewable {
                name: self.subject().name,
            });
        }
        if person.name.trim() != self.subject().name {
            return Err(SealError::OtherPerson {
                old: self.subject().name,
                new: person.name.clone(),
            });
        }
        let mut new = Self::create(person, from)?;
        let voucher = certify(
            &self.key,
            self.certificate.tbs_certificate().subject().clone(),
            new.certificate.tbs_certificate().subject().clone(),
            new.key.public().map_err(SealError::Key)?,
            from,
        )?;
        new.chain.push(voucher.to_der().map_err(fault)?);
        new.chain.push(self.der.clone());
        let earlier = self.chain.iter().take(2 * (MAX_RENEWALS - 1));
        new.chain.extend(earlier.cloned());
        Ok(new)
    }

    /// Opens an identity from the bytes of its file: PKCS#12 (current or old encryption), or PEM with a
    /// key and its certificate; RSA 2048–4096, P-256 or P-384.
    ///
    /// # Errors
    /// The passphrase is wrong; or there is no key, more than one, no certificate of the key, or a key
    /// of another kind.
    pub fn open(bytes: &[u8], passphrase: &Passphrase) -> Result<Self, IdentityError> {
        if bytes.starts_with(b"-----BEGIN") {
            return Self::from_pem(bytes, bytes, passphrase);
        }
        let contents = pkcs12::open(bytes, passphrase.expose()).map_err(|e| match e {
            Pkcs12Error::WrongPassphrase => IdentityError::WrongPassphrase,
            Pkcs12Error::Other(reason) => IdentityError::Other(reason),
        })?;
        let [key] = contents.keys.as_slice() else {
            return Err(IdentityError::Other(format!(
                "it contains {} private keys; one is needed",
                contents.keys.len()
            )));
        };
        let key = PrivateKey::from_pkcs8(key).map_err(IdentityError::Other)?;
        Self::assemble(key, contents.certificates).map_err(IdentityError::Other)
    }

    pub(super) fn from_pem(
        certificates: &[u8],
        key: &[u8],
        passphrase: &Passphrase,
    ) -> Result<Self, IdentityError> {
        let other = |reason: &str| IdentityError::Other(reason.to_owned());
        let text = std::str::from_utf8(key).map_err(|_| other("its PEM is not text"))?;
        let block = private_key_block(text).ok_or_else(|| {
            other("it contains no private key in PEM (-----BEGIN … PRIVATE KEY-----)")
        })?;
        let (label, der) = der::pem::decode_vec(block.as_bytes())
            .map(|(label, der)| (label, Zeroizing::new(der)))
            .map_err(|_| other("its PEM private key is damaged"))?;
        let key = match label {
            "PRIVATE KEY" => PrivateKey::from_pkcs8(&der),
            "ENCRYPTED PRIVATE KEY" => {
                let info = pkcs8::EncryptedPrivateKeyInfoRef::try_from(der.as_slice())
                    .map_err(|_| other("its encrypted private key is damaged"))?;
                let plain = info
                    .decrypt(passphrase.expose())
                    .map_err(|_| IdentityError::WrongPassphrase)?;
                PrivateKey::from_pkcs8(plain.as_bytes())
            }
            "EC PRIVATE KEY" => PrivateKey::from_sec1(&der),
            "RSA PRIVATE KEY" => PrivateKey::from_pkcs1(&der),
            _ => Err(format!("a PEM block “{label}” is not a key that can sign")),
        }
        .map_err(IdentityError::Other)?;
        let chain = Certificate::load_pem_chain(&only_certificates(certificates))
            .map_err(|_| other("its PEM certificate is damaged"))?;
        let certificates = chain
            .iter()
            .map(Encode::to_der)
            .collect::<Result<_, _>>()
            .map_err(|_| other("its PEM certificate is damaged"))?;
        Self::assemble(key, certificates).map_err(IdentityError::Other)
    }

    pub(super) fn assemble(key: PrivateKey, certificates: Vec<Vec<u8>>) -> Result<Self, String> {
        let public = key.public()?;
        let mut parsed: Vec<(Certificate, Vec<u8>)> = Vec::new();
        for der in certificates {
            let certificate =
                Certificate::from_der(&der).map_err(|_| "a certificate in it is damaged")?;
            if !parsed.iter().any(|(_, known)| *known == der) {
                parsed.push((certificate, der));
            }
        }
        let mut own: Vec<usize> = (0..parsed.len())
            .filter(|i| *parsed[*i].0.tbs_certificate().subject_public_key_info() == public)
            .collect();
        // A renewed identity has two: its own, and the one issued by the old key. Only then is it
        // necessary to check signatures.
        if own.len() > 1 {
            own.truncate(MAX_OF_ONE_KEY);
            own.sort_by_cached_key(|i| !super::path::signs_itself(&parsed[*i].0));
        }
        let own = *own
            .first()
            .ok_or("it contains no certificate for its key")?;
        let (certificate, der) = parsed.remove(own);
        let mut chain = Vec::new();
        let mut issuer = certificate.tbs_certificate().issuer().clone();
        let mut subject = certificate.tbs_certificate().subject().clone();
        while issuer != subject {
            let Some(next) = parsed
                .iter()
                .position(|(c, _)| *c.tbs_certificate().subject() == issuer)
            else {
                break;
            };
            let (found, found_der) = parsed.remove(next);
            issuer = found.tbs_certificate().issuer().clone();
            subject = found.tbs_certificate().subject().clone();
            chain.push(found_der);
        }
        chain.extend(parsed.into_iter().map(|(_, der)| der));
        let mut chain = super::path::belonging(&certificate, chain);
        chain.truncate(MAX_CHAIN);
        Ok(Self {
            key,
            certificate,
            der,
            chain,
        })
    }

    /// The identity as the bytes of a PKCS#12 file, encrypted with the passphrase.
    ///
    /// # Errors
    /// [`SealError::Random`] if the system returns no random numbers; [`SealError::Key`] for a key on a
    /// token, which can't leave it.
    pub fn to_pkcs12(&self, passphrase: &Passphrase) -> Result<Vec<u8>, SealError> {
        let fault = |e: String| SealError::Key(e);
        let pkcs8 = self.key.to_pkcs8().map_err(fault)?;
        let mut certificates = vec![self.der.as_slice()];
        certificates.extend(self.chain.iter().map(Vec::as_slice));
        let rounds = if passphrase.is_empty() {
            ROUNDS_WITHOUT_PASSPHRASE
        } else {
            ROUNDS
        };
        let mut salts = Salts {
            key: [0; 32],
            iv: [0; 16],
            mac: [0; 32],
        };
        for salt in [&mut salts.key[..], &mut salts.iv, &mut salts.mac] {
            getrandom::fill(salt).map_err(|e| SealError::Random(e.to_string()))?;
        }
        pkcs12::write(&pkcs8, &certificates, passphrase.expose(), rounds, &salts).map_err(fault)
    }

    /// The certificate in DER.
    pub fn certificate_der(&self) -> &[u8] {
        &self.der
    }

    /// SHA-256 of the certificate.
    pub fn fingerprint(&self) -> Fingerprint {
        Fingerprint::of(&self.der)
    }

    /// The person named in the certificate.
    pub fn subject(&self) -> Person {
        person_of(self.certificate.tbs_certificate().subject())
    }

    /// Whether the certificate is its own issuer.
    pub fn is_self_signed(&self) -> bool {
        let tbs = self.certificate.tbs_certificate();
        tbs.issuer() == tbs.subject()
    }

    /// First moment of validity.
    pub fn valid_from(&self) -> DateTime<Utc> {
        moment(self.certificate.tbs_certificate().validity().not_before)
    }

    /// Last moment of validity.
    pub fn valid_until(&self) -> DateTime<Utc> {
        moment(self.certificate.tbs_certificate().validity().not_after)
    }

    /// Validity of the certificate at a given time.
    pub fn lifetime(&self, at: DateTime<Utc>) -> Lifetime {
        if at < self.valid_from() {
            return Lifetime::NotYetValid;
        }
        if at > self.valid_until() {
            return Lifetime::Expired;
        }
        match (self.valid_until() - at).num_days() {
            days if days < EXPIRING_DAYS => Lifetime::Expiring { days },
            _ => Lifetime::Valid,
        }
    }

    /// Refuses a certificate that is not valid at the time of signing.
    ///
    /// # Errors
    /// [`SealError::Expired`] or [`SealError::NotYetValid`].
    pub fn require_valid(&self, at: DateTime<Utc>) -> Result<(), SealError> {
        let day = |t: DateTime<Utc>| t.format("%Y-%m-%d").to_string();
        let name = self.subject().name;
        match self.lifetime(at) {
            Lifetime::Valid | Lifetime::Expiring { .. } => Ok(()),
            Lifetime::Expired => Err(SealError::Expired {
                name,
                until: day(self.valid_until()),
                at: day(at),
            }),
            Lifetime::NotYetValid => Err(SealError::NotYetValid {
                name,
                from: day(self.valid_from()),
                at: day(at),
            }),
        }
    }

    /// Refuses an identity whose chain of certificates `verify` would refuse for a signature of this time.
    ///
    /// # Errors
    /// [`SealError::Chain`].
    pub fn require_chain(&self, at: DateTime<Utc>) -> Result<(), SealError> {
        let sound = super::path::sound(&self.certificate, &self.chain, at);
        sound.map_err(|reason| SealError::Chain {
            name: self.subject().name,
            reason,
        })
    }

    /// Refuses a certificate that is not valid at the time of signing, or not for signing documents.
    ///
    /// # Errors
    /// As [`Identity::require_valid`], and [`SealError::OtherPurpose`].
    pub(crate) fn require_fit(&self, at: DateTime<Utc>) -> Result<(), SealError> {
        self.require_valid(at)?;
        super::path::for_documents(&self.certificate).map_err(|reason| SealError::OtherPurpose {
            name: self.subject().name,
            reason,
        })
    }

    pub(crate) fn certificate(&self) -> &Certificate {
        &self.certificate
    }
}

/// Why an identity cannot be opened, without the name of its file.
#[derive(Debug, thiserror::Error)]
pub enum IdentityError {
    /// The passphrase is wrong.
    #[error("the passphrase is wrong")]
    WrongPassphrase,
    /// What is wrong with the contents.
    #[error("{0}")]
    Other(String),
}

/// Issues a certificate for signing documents, valid for [`YEARS`].
fn certify(
    key: &PrivateKey,
    issuer: Name,
    subject: Name,
    public: SubjectPublicKeyInfoOwned,
    from: DateTime<Utc>,
) -> Result<Certificate, SealError> {
    let fault = |e: &dyn fmt::Display| SealError::Key(e.to_string());
    let mut serial = [0_u8; 16];
    getrandom::fill(&mut serial).map_err(|e| SealError::Random(e.to_string()))?;
    // Positive and of constant length: RFC 5280, 4.1.2.2.
    serial[0] = serial[0] & 0x7F | 0x40;
    let until = from
        .checked_add_months(Months::new(12 * YEARS))
        .ok_or_else(|| fault(&"a date out of range"))?;
    let validity = Validity::new(
        time(from).map_err(|e| fault(&e))?,
        time(until).map_err(|e| fault(&e))?,
    );
    let serial = SerialNumber::new(&serial).map_err(|e| fault(&e))?;
    let profile = DocumentSigning { issuer, subject };
    let builder =
        CertificateBuilder::new(profile, serial, validity, public).map_err(|e| fault(&e))?;
    match key {
        PrivateKey::P256(signer) => signed_with(builder, key, signer),
        PrivateKey::P384(signer) => signed_with(builder, key, signer),
        PrivateKey::Rsa(signer) => {
            let signer = rsa::pkcs1v15::SigningKey::<Sha256>::new((**signer).clone());
            signed_with(builder, key, &signer)
        }
        #[cfg(feature = "pkcs11")]
        PrivateKey::Token(_) => Err(fault(
            &"a key on a token cannot vouch for another; its issuer can",
        )),
    }
}

/// Signs with [`PrivateKey::sign`], because the builder would keep either value of s; `signer` is
/// the same key and only names the algorithm.
fn signed_with<S>(
    mut builder: CertificateBuilder<DocumentSigning>,
    key: &PrivateKey,
    signer: &S,
) -> Result<Certificate, SealError>
where
    S: Keypair + DynSignatureAlgorithmIdentifier,
    S::VerifyingKey: EncodePublicKey,
{
    let fault = |e: &dyn fmt::Display| SealError::Key(e.to_string());
    let message = builder.finalize(signer).map_err(|e| fault(&e))?;
    let signature = key.sign(&message).map_err(SealError::Key)?;
    let signature = BitString::from_bytes(&signature).map_err(|e| fault(&e))?;
    builder.assemble(signature, signer).map_err(|e| fault(&e))
}

/// The extensions of a certificate for signing documents only.
struct DocumentSigning {
    issuer: Name,
    subject: Name,
}

impl BuilderProfile for DocumentSigning {
    fn get_issuer(&self, _subject: &Name) -> Name {
        self.issuer.clone()
    }

    fn get_subject(&self) -> Name {
        self.subject.clone()
    }

    fn build_extensions(
        &self,
        spk: SubjectPublicKeyInfoRef<'_>,
        _issuer_spk: SubjectPublicKeyInfoRef<'_>,
        tbs: &TbsCertificate,
    ) -> x509_cert::builder::Result<Vec<Extension>> {
        let mut extensions: Vec<Extension> = Vec::new();
        let subject = tbs.subject();
        extensions.push(
            BasicConstraints {
                ca: false,
                path_len_constraint: None,
            }
            .to_extension(subject, &extensions)?,
        );
        extensions.push(
            KeyUsage(KeyUsages::DigitalSignature | KeyUsages::NonRepudiation)
                .to_extension(subject, &extensions)?,
        );
        extensions
            .push(ExtendedKeyUsage(vec![DOCUMENT_SIGNING]).to_extension(subject, &extensions)?);
        extensions.push(SubjectKeyIdentifier::try_from(spk)?.to_extension(subject, &extensions)?);
        Ok(extensions)
    }
}
