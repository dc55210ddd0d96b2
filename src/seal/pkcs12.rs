//! PKCS#12 files (RFC 7292): one private key with its certificates, in and out.
//!
//! This is our own code because the key must be wiped: the crates for this format return the decrypted
//! key in ordinary memory, and depend on unreleased versions of others. Encryption, hashes and key
//! derivation are those of crates (`pkcs5`, `cbc`, `des`, `rc2`, `hmac`).
//!
//! Reading supports PBES2 (AES, triple DES; PBKDF2 or scrypt), the older encryption of RFC 7292,
//! appendix C, except the stream cipher RC4, and BER as older programs write it. Writing uses PBES2 with
//! AES-256 and HMAC-SHA-256; certificates are public and therefore not encrypted.

use cbc::cipher::block_padding::Pkcs7;
use cbc::cipher::{BlockCipherDecrypt, BlockModeDecrypt, KeyInit, KeyIvInit};
use der::asn1::{AnyRef, ContextSpecificRef, ObjectIdentifier, OctetStringRef};
use der::{Decode, Encode, Sequence, Tag, TagMode, TagNumber, Tagged};
use hmac::{Hmac, Mac};
use pkcs5::pbes2;
use sha1::Sha1;
use sha2::digest::block_api::BlockSizeUser;
use sha2::digest::{Digest, FixedOutputReset, Output};
use sha2::{Sha256, Sha384, Sha512};
use x509_cert::spki::AlgorithmIdentifierRef;
use zeroize::{Zeroize, Zeroizing};

use super::key::{SHA_256, SHA_384, SHA_512};

/// Maximum number of rounds of key derivation: about five seconds.
const MAX_ROUNDS: u32 = 10_000_000;
/// Maximum memory for scrypt, in bytes (128 · N · r).
const MAX_SCRYPT_BYTES: u64 = 1 << 28;
/// Maximum nesting of BER.
const MAX_DEPTH: usize = 24;

const DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
const ENCRYPTED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.6");
const PBES2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.5.13");
const PBMAC1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.5.14");
const SHA_1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.14.3.2.26");
const KEY_BAG: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.1");
const SHROUDED_KEY_BAG: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.2");
const CERTIFICATE_BAG: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.10.1.3");
const X509_CERTIFICATE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.22.1");
const LOCAL_KEY_ID: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.21");
const TRIPLE_DES_3: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.3");
const TRIPLE_DES_2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.4");
const RC2_128: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.5");
const RC2_40: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.12.1.6");

/// Why a file cannot be opened.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Pkcs12Error {
    /// The passphrase is wrong.
    #[error("the passphrase is wrong")]
    WrongPassphrase,
    /// Anything else, in words that end a sentence.
    #[error("{0}")]
    Other(String),
}

impl From<der::Error> for Pkcs12Error {
    fn from(_: der::Error) -> Self {
        other("it is not a PKCS#12 file, or is damaged")
    }
}

fn other(what: &str) -> Pkcs12Error {
    Pkcs12Error::Other(what.to_owned())
}

/// Contents of a file. Keys are PKCS #8 and wiped when dropped.
#[derive(Default)]
pub(crate) struct Contents {
    pub keys: Vec<Zeroizing<Vec<u8>>>,
    pub certificates: Vec<Vec<u8>>,
}

#[derive(Sequence)]
struct Pfx<'a> {
    version: u8,
    safes: ContentInfo<'a>,
    mac: Option<MacData<'a>>,
}

#[derive(Sequence)]
struct ContentInfo<'a> {
    content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    content: AnyRef<'a>,
}

#[derive(Sequence)]
struct MacData<'a> {
    digest: DigestInfo<'a>,
    salt: &'a OctetStringRef,
    rounds: Option<u32>,
}

#[derive(Sequence)]
struct DigestInfo<'a> {
    algorithm: AlgorithmIdentifierRef<'a>,
    digest: &'a OctetStringRef,
}

#[derive(Sequence)]
struct EncryptedData<'a> {
    version: u8,
    content: EncryptedContent<'a>,
}

#[derive(Sequence)]
struct EncryptedContent<'a> {
    content_type: ObjectIdentifier,
    algorithm: AlgorithmIdentifierRef<'a>,
    /// An octet string under \[0\], in one piece or, from older programs, in several.
    content: Option<AnyRef<'a>>,
}

#[derive(Sequence)]
struct Bag<'a> {
    kind: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    value: AnyRef<'a>,
    attributes: Option<AnyRef<'a>>,
}

#[derive(Sequence)]
struct CertificateBag<'a> {
    kind: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    value: &'a OctetStringRef,
}

#[derive(Sequence)]
struct ShroudedKey<'a> {
    algorithm: AlgorithmIdentifierRef<'a>,
    data: &'a OctetStringRef,
}

#[derive(Sequence)]
struct OldParameters<'a> {
    salt: &'a OctetStringRef,
    rounds: u32,
}

#[derive(Sequence)]
struct MacParameters<'a> {
    kdf: AlgorithmIdentifierRef<'a>,
    mac: AlgorithmIdentifierRef<'a>,
}

/// Opens a file.
pub(crate) fn open(bytes: &[u8], passphrase: &str) -> Result<Contents, Pkcs12Error> {
    let bytes = definite(bytes)?;
    let pfx = Pfx::from_der(&bytes)?;
    if pfx.version != 3 || pfx.safes.content_type != DATA {
        return Err(other("it is an unsupported kind of PKCS#12 file"));
    }
    let safes = pfx.safes.content.decode_as::<&OctetStringRef>()?.as_bytes();
    let password = Password::new(passphrase);
    let bmp = match &pfx.mac {
        Some(mac) => check_mac(mac, &password, safes)?,
        None => password.terminated.as_slice(),
    };
    let safes = definite(safes)?;
    let mut contents = Contents::default();
    for safe in Vec::<ContentInfo<'_>>::from_der(&safes)? {
        let bags = match safe.content_type {
            DATA => {
                let plain = safe.content.decode_as::<&OctetStringRef>()?;
                definite(plain.as_bytes())?
            }
            ENCRYPTED_DATA => {
                let encrypted = safe.content.decode_as::<EncryptedData<'_>>()?;
                let Some(data) = encrypted.content.content else {
                    continue;
                };
                let pieces = data.tag().is_constructed();
                let data = match joined(data.value()) {
                    Some(whole) if pieces => whole,
                    _ => Zeroizing::new(data.value().to_vec()),
                };
                let algorithm = &encrypted.content.algorithm;
                let plain = decrypt(algorithm, &data, passphrase, bmp)?;
                definite(&plain)?
            }
            _ => {
                return Err(other(
                    "it is encrypted for a certificate, not with a passphrase",
                ));
            }
        };
        for bag in Vec::<Bag<'_>>::from_der(&bags)? {
            take(&bag, passphrase, bmp, &mut contents)?;
        }
    }
    Ok(contents)
}

fn take(
    bag: &Bag<'_>,
    passphrase: &str,
    bmp: &[u8],
    contents: &mut Contents,
) -> Result<(), Pkcs12Error> {
    match bag.kind {
        KEY_BAG => contents.keys.push(Zeroizing::new(bag.value.to_der()?)),
        SHROUDED_KEY_BAG => {
            let shrouded = bag.value.decode_as::<ShroudedKey<'_>>()?;
            let key = decrypt(
                &shrouded.algorithm,
                shrouded.data.as_bytes(),
                passphrase,
                bmp,
            )?;
            contents.keys.push(definite(&key)?);
        }
        CERTIFICATE_BAG => {
            let certificate = bag.value.decode_as::<CertificateBag<'_>>()?;
            if certificate.kind == X509_CERTIFICATE {
                contents
                    .certificates
                    .push(certificate.value.as_bytes().to_vec());
            }
        }
        // Revocation lists, secrets and nested bags are of no use for signing.
        _ => {}
    }
    Ok(())
}

/// A passphrase in the form of RFC 7292, appendix B.1: UTF-16 with two zero bytes at the end.
/// Without a passphrase some programs omit the zero bytes, so both forms are kept.
struct Password {
    terminated: Zeroizing<Vec<u8>>,
    is_empty: bool,
}

impl Password {
    fn new(passphrase: &str) -> Self {
        // The whole capacity at once, because growing would leave copies in memory.
        let mut terminated = Zeroizing::new(Vec::with_capacity(2 * passphrase.len() + 2));
        for unit in passphrase.encode_utf16() {
            terminated.extend_from_slice(&unit.to_be_bytes());
        }
        terminated.extend_from_slice(&[0, 0]);
        Self {
            terminated,
            is_empty: passphrase.is_empty(),
        }
    }
}

/// Checks the file's authentication code and returns the form of the passphrase that matches.
fn check_mac<'p>(
    mac: &MacData<'_>,
    password: &'p Password,
    data: &[u8],
) -> Result<&'p [u8], Pkcs12Error> {
    let rounds = mac.rounds.unwrap_or(1);
    if rounds > MAX_ROUNDS {
        return Err(other(
            "it requires an excessive number of key-derivation rounds",
        ));
    }
    let forms: &[&'p [u8]] = if password.is_empty {
        &[&[0, 0], &[]]
    } else {
        &[&password.terminated]
    };
    for &form in forms {
        let fits = match mac.digest.algorithm.oid {
            SHA_1 => mac_fits::<Sha1>(mac, form, rounds, data),
            SHA_256 => mac_fits::<Sha256>(mac, form, rounds, data),
            SHA_384 => mac_fits::<Sha384>(mac, form, rounds, data),
            SHA_512 => mac_fits::<Sha512>(mac, form, rounds, data),
            PBMAC1 => pbmac1_fits(mac, password, data)?,
            _ => return Err(other("its integrity check uses an unknown algorithm")),
        };
        if fits {
            return Ok(form);
        }
    }
    Err(Pkcs12Error::WrongPassphrase)
}

fn mac_fits<D>(mac: &MacData<'_>, password: &[u8], rounds: u32, data: &[u8]) -> bool
where
    D: Digest + FixedOutputReset + BlockSizeUser + hmac::EagerHash,
    Hmac<D>: Mac + KeyInit,
{
    let length = <D as Digest>::output_size();
    let key = derive::<D>(password, mac.salt.as_bytes(), Purpose::Mac, rounds, length);
    code_fits::<D>(&key, mac.digest.digest.as_bytes(), data)
}

fn code_fits<D>(key: &[u8], expected: &[u8], data: &[u8]) -> bool
where
    D: hmac::EagerHash,
    Hmac<D>: Mac + KeyInit,
{
    let Ok(mut code) = <Hmac<D> as KeyInit>::new_from_slice(key) else {
        return false;
    };
    code.update(data);
    code.verify_slice(expected).is_ok()
}

/// The integrity check of RFC 9579, which newer programs write.
fn pbmac1_fits(mac: &MacData<'_>, password: &Password, data: &[u8]) -> Result<bool, Pkcs12Error> {
    const HMAC_SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.2.9");
    const HMAC_SHA_384: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.2.10");
    const HMAC_SHA_512: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.2.11");
    let unknown = || other("its integrity check uses an unknown algorithm");
    let parameters = mac.digest.algorithm.parameters.ok_or_else(unknown)?;
    let parameters = parameters.decode_as::<MacParameters<'_>>()?;
    let kdf = pbes2::Kdf::try_from(parameters.kdf).map_err(|_| unknown())?;
    let pbkdf2 = kdf.pbkdf2().ok_or_else(unknown)?;
    within_limits(&kdf)?;
    let units: Vec<u16> = password
        .terminated
        .chunks_exact(2)
        .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
        .collect();
    let text = Zeroizing::new(String::from_utf16_lossy(&units[..units.len() - 1]));
    let mut key = Zeroizing::new(vec![0_u8; usize::from(pbkdf2.key_length.unwrap_or(32))]);
    let salt = pbkdf2.salt.as_ref();
    let (word, rounds) = (text.as_bytes(), pbkdf2.iteration_count);
    match pbkdf2.prf {
        pbes2::Pbkdf2Prf::HmacWithSha256 => {
            pbkdf2::pbkdf2_hmac::<Sha256>(word, salt, rounds, &mut key);
        }
        pbes2::Pbkdf2Prf::HmacWithSha384 => {
            pbkdf2::pbkdf2_hmac::<Sha384>(word, salt, rounds, &mut key);
        }
        pbes2::Pbkdf2Prf::HmacWithSha512 => {
            pbkdf2::pbkdf2_hmac::<Sha512>(word, salt, rounds, &mut key);
        }
        _ => return Err(unknown()),
    }
    let expected = mac.digest.digest.as_bytes();
    Ok(match parameters.mac.oid {
        HMAC_SHA_256 => code_fits::<Sha256>(&key, expected, data),
        HMAC_SHA_384 => code_fits::<Sha384>(&key, expected, data),
        HMAC_SHA_512 => code_fits::<Sha512>(&key, expected, data),
        _ => return Err(unknown()),
    })
}

fn within_limits(kdf: &pbes2::Kdf) -> Result<(), Pkcs12Error> {
    let too_much = match kdf {
        pbes2::Kdf::Pbkdf2(p) => p.iteration_count > MAX_ROUNDS,
        pbes2::Kdf::Scrypt(p) => {
            p.parallelization > 16
                || p.cost_parameter
                    .checked_mul(128 * u64::from(p.block_size))
                    .is_none_or(|bytes| bytes > MAX_SCRYPT_BYTES)
        }
        _ => false,
    };
    if too_much {
        return Err(other("it requires an excessive amount of key derivation"));
    }
    Ok(())
}

fn decrypt(
    algorithm: &AlgorithmIdentifierRef<'_>,
    data: &[u8],
    passphrase: &str,
    bmp: &[u8],
) -> Result<Zeroizing<Vec<u8>>, Pkcs12Error> {
    let parameters = algorithm
        .parameters
        .ok_or_else(|| other("its encryption parameters are missing"))?;
    let mut buffer = Zeroizing::new(data.to_vec());
    if algorithm.oid == PBES2 {
        let unknown = || other("it is encrypted with an unknown algorithm");
        let scheme = parameters
            .decode_as::<pbes2::Parameters>()
            .map_err(|_| unknown())?;
        within_limits(&scheme.kdf)?;
        let length = scheme
            .decrypt_in_place(passphrase.as_bytes(), &mut buffer)
            .map_err(|e| match e {
                pkcs5::Error::DecryptFailed => Pkcs12Error::WrongPassphrase,
                _ => unknown(),
            })?
            .len();
        buffer.truncate(length);
        return Ok(buffer);
    }
    let old = parameters.decode_as::<OldParameters<'_>>()?;
    if old.rounds > MAX_ROUNDS {
        return Err(other(
            "it requires an excessive number of key-derivation rounds",
        ));
    }
    let length = match algorithm.oid {
        TRIPLE_DES_3 => old_cipher::<des::TdesEde3>(&old, bmp, 24, &mut buffer),
        TRIPLE_DES_2 => old_cipher::<des::TdesEde2>(&old, bmp, 16, &mut buffer),
        RC2_128 => old_cipher::<rc2::Rc2>(&old, bmp, 16, &mut buffer),
        RC2_40 => old_cipher::<rc2::Rc2>(&old, bmp, 5, &mut buffer),
        _ => return Err(other("it is encrypted with an unknown algorithm")),
    }
    .ok_or(Pkcs12Error::WrongPassphrase)?;
    buffer.truncate(length);
    Ok(buffer)
}

/// Decrypts in place. Returns the length without padding, or `None` if the padding is wrong.
fn old_cipher<C>(
    old: &OldParameters<'_>,
    bmp: &[u8],
    key_length: usize,
    buffer: &mut [u8],
) -> Option<usize>
where
    C: BlockCipherDecrypt + KeyInit,
{
    let salt = old.salt.as_bytes();
    let key = derive::<Sha1>(bmp, salt, Purpose::Key, old.rounds, key_length);
    let iv = derive::<Sha1>(bmp, salt, Purpose::Iv, old.rounds, 8);
    let cipher = cbc::Decryptor::<C>::new_from_slices(&key, &iv).ok()?;
    cipher
        .decrypt_padded::<Pkcs7>(buffer)
        .ok()
        .map(|plain| plain.len())
}

#[derive(Clone, Copy)]
enum Purpose {
    Key = 1,
    Iv = 2,
    Mac = 3,
}

/// Key derivation of RFC 7292, appendix B.2; the letters are the appendix's.
fn derive<D>(
    password: &[u8],
    salt: &[u8],
    purpose: Purpose,
    rounds: u32,
    length: usize,
) -> Zeroizing<Vec<u8>>
where
    D: Digest + FixedOutputReset + BlockSizeUser,
{
    let v = <D as BlockSizeUser>::block_size();
    let fill = |source: &[u8]| -> Zeroizing<Vec<u8>> {
        let length = source.len().div_ceil(v) * v;
        Zeroizing::new(source.iter().copied().cycle().take(length).collect())
    };
    let d = vec![purpose as u8; v];
    let s = fill(salt);
    let p = fill(password);
    let mut i = Zeroizing::new(Vec::with_capacity(s.len() + p.len()));
    i.extend_from_slice(&s);
    i.extend_from_slice(&p);
    let mut out = Zeroizing::new(Vec::with_capacity(length));
    let mut hash = D::new();
    while out.len() < length {
        Digest::update(&mut hash, &d);
        Digest::update(&mut hash, &i[..]);
        let mut a: Output<D> = Digest::finalize_reset(&mut hash);
        for _ in 1..rounds {
            Digest::update(&mut hash, &a);
            a = Digest::finalize_reset(&mut hash);
        }
        let wanted = (length - out.len()).min(a.len());
        out.extend_from_slice(&a[..wanted]);
        // I_j becomes (I_j + B + 1) mod 2^v, B being copies of A.
        for block in i.chunks_exact_mut(v) {
            let mut carry = 1_u16;
            for (n, byte) in block.iter_mut().enumerate().rev() {
                carry += u16::from(*byte) + u16::from(a[n % a.len()]);
                *byte = (carry & 0xFF) as u8;
                carry >>= 8;
            }
        }
        a.as_mut_slice().zeroize();
    }
    out
}

/// Rewrites BER with indefinite lengths and split strings, as older programs write it, into
/// definite lengths and whole strings. Values already definite come out as they went in.
fn definite(bytes: &[u8]) -> Result<Zeroizing<Vec<u8>>, Pkcs12Error> {
    let mut out = Zeroizing::new(Vec::with_capacity(bytes.len() + 16));
    rewrite(bytes, 0, &mut out).ok_or_else(|| other("it is not a PKCS#12 file, or is damaged"))?;
    Ok(out)
}

/// Rewrites the value at the beginning and returns its length.
fn rewrite(bytes: &[u8], depth: usize, out: &mut Zeroizing<Vec<u8>>) -> Option<usize> {
    if depth > MAX_DEPTH {
        return None;
    }
    let &tag = bytes.first()?;
    let &first = bytes.get(1)?;
    if tag & 0x1F == 0x1F {
        return None;
    }
    let (head, length) = match first {
        0..0x80 => (2, Some(usize::from(first))),
        0x80 => (2, None),
        _ => {
            let count = usize::from(first & 0x7F);
            let digits = bytes.get(2..2 + count).filter(|_| count <= 4)?;
            let length = digits.iter().fold(0_usize, |n, &b| n << 8 | usize::from(b));
            (2 + count, Some(length))
        }
    };
    let constructed = tag & 0x20 != 0;
    let content = match length {
        Some(length) => bytes.get(head..head.checked_add(length)?)?,
        None if constructed => bytes.get(head..)?,
        None => return None,
    };
    if !constructed {
        put(tag, content, out);
        return Some(head + content.len());
    }
    let mut inner = Zeroizing::new(Vec::with_capacity(content.len()));
    let mut at = 0;
    let taken = loop {
        match length {
            Some(length) if at == length => break head + length,
            None if content.get(at..at + 2)? == [0, 0] => break head + at + 2,
            _ => at += rewrite(content.get(at..)?, depth + 1, &mut inner)?,
        }
    };
    if tag == 0x24 {
        put(0x04, &joined(&inner)?, out);
    } else {
        put(tag, &inner, out);
    }
    Some(taken)
}

/// The contents of consecutive octet strings (definite, as `rewrite` leaves them).
fn joined(mut bytes: &[u8]) -> Option<Zeroizing<Vec<u8>>> {
    let mut whole = Zeroizing::new(Vec::with_capacity(bytes.len()));
    while !bytes.is_empty() {
        let (value, rest) = AnyRef::from_der_partial(bytes).ok()?;
        if value.tag() != Tag::OctetString {
            return None;
        }
        whole.extend_from_slice(value.value());
        bytes = rest;
    }
    Some(whole)
}

fn put(tag: u8, content: &[u8], out: &mut Vec<u8>) {
    out.push(tag);
    let length = content.len();
    if length < 0x80 {
        out.push(length as u8);
    } else {
        let digits = (length as u32).to_be_bytes();
        let skip = digits.iter().take_while(|&&b| b == 0).count();
        out.push(0x80 | (4 - skip) as u8);
        out.extend_from_slice(&digits[skip..]);
    }
    out.extend_from_slice(content);
}

/// Random values for one file.
pub(crate) struct Salts {
    pub key: [u8; 32],
    pub iv: [u8; 16],
    pub mac: [u8; 32],
}

/// Writes a file with one key (PKCS #8) and its certificates, its own first.
pub(crate) fn write(
    key: &[u8],
    certificates: &[&[u8]],
    passphrase: &str,
    rounds: u32,
    salts: &Salts,
) -> Result<Vec<u8>, String> {
    let text = |e: der::Error| e.to_string();
    let scheme = pbes2::Parameters::generate_pbkdf2_sha256_aes256cbc(rounds, &salts.key, salts.iv)
        .map_err(|e| e.to_string())?;
    let shrouded = scheme
        .encrypt(passphrase.as_bytes(), key)
        .map_err(|e| e.to_string())?;
    let parameters = scheme.to_der().map_err(text)?;
    let build = || -> Result<Vec<u8>, der::Error> {
        // The same identifier on the key and its own certificate shows programs which is whose.
        let own = identifier()?;
        let mut certificate_bags = Vec::new();
        for (n, certificate) in certificates.iter().enumerate() {
            let value = CertificateBag {
                kind: X509_CERTIFICATE,
                value: OctetStringRef::new(certificate)?,
            }
            .to_der()?;
            certificate_bags.push(bag(CERTIFICATE_BAG, &value, (n == 0).then_some(&own[..]))?);
        }
        let value = ShroudedKey {
            algorithm: AlgorithmIdentifierRef {
                oid: PBES2,
                parameters: Some(AnyRef::from_der(&parameters)?),
            },
            data: OctetStringRef::new(&shrouded)?,
        }
        .to_der()?;
        let key_bag = bag(SHROUDED_KEY_BAG, &value, Some(&own))?;
        let mut safes = Vec::new();
        for bags in [sequence(&certificate_bags), sequence(&[key_bag])] {
            let content = OctetStringRef::new(&bags)?.to_der()?;
            safes.push(
                ContentInfo {
                    content_type: DATA,
                    content: AnyRef::from_der(&content)?,
                }
                .to_der()?,
            );
        }
        Ok(sequence(&safes))
    };
    let safes = build().map_err(text)?;
    let password = Password::new(passphrase);
    let key = derive::<Sha256>(&password.terminated, &salts.mac, Purpose::Mac, rounds, 32);
    let mut code =
        <Hmac<Sha256> as KeyInit>::new_from_slice(&key).map_err(|_| "a key of no length")?;
    code.update(&safes);
    let digest = code.finalize().into_bytes();
    let finish = || -> Result<Vec<u8>, der::Error> {
        let content = OctetStringRef::new(&safes)?.to_der()?;
        Pfx {
            version: 3,
            safes: ContentInfo {
                content_type: DATA,
                content: AnyRef::from_der(&content)?,
            },
            mac: Some(MacData {
                digest: DigestInfo {
                    algorithm: AlgorithmIdentifierRef {
                        oid: SHA_256,
                        parameters: Some(AnyRef::NULL),
                    },
                    digest: OctetStringRef::new(&digest)?,
                },
                salt: OctetStringRef::new(&salts.mac)?,
                rounds: Some(rounds),
            }),
        }
        .to_der()
    };
    finish().map_err(text)
}

/// `localKeyId` with the value 1, as a set of one attribute.
fn identifier() -> Result<Vec<u8>, der::Error> {
    let mut set = Vec::new();
    put(0x31, &OctetStringRef::new(&[1])?.to_der()?, &mut set);
    let mut attribute = LOCAL_KEY_ID.to_der()?;
    attribute.extend_from_slice(&set);
    let mut out = Vec::new();
    put(0x30, &attribute, &mut out);
    Ok(out)
}

fn bag(
    kind: ObjectIdentifier,
    value: &[u8],
    attribute: Option<&[u8]>,
) -> Result<Vec<u8>, der::Error> {
    let mut body = kind.to_der()?;
    let value = AnyRef::from_der(value)?;
    ContextSpecificRef {
        tag_number: TagNumber(0),
        tag_mode: TagMode::Explicit,
        value: &value,
    }
    .encode_to_vec(&mut body)?;
    if let Some(attribute) = attribute {
        put(0x31, attribute, &mut body);
    }
    let mut out = Vec::new();
    put(0x30, &body, &mut out);
    Ok(out)
}

fn sequence(items: &[Vec<u8>]) -> Vec<u8> {
    let mut out = Vec::new();
    put(0x30, &items.concat(), &mut out);
    out
}
