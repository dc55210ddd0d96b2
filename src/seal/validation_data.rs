//! Adding certificates and lists of revoked certificates to a sealed file (document security store, ETSI
//! EN 319 142-1, 5.4: baseline B-LT), so that it can be checked when their issuer no longer exists.
//!
//! They are added after the seal in a separate revision, which the seal permits. Anybody may add more; a
//! list is used only if the issuer of the signer's certificate has signed it.

use chrono::{DateTime, Utc};
use der::{Decode, DecodePem, Encode};
use std::path::Path;
use x509_cert::crl::CertificateList;

use super::error::SealError;
use super::file_identifiers::identifiers;
use super::identity::Identity;
use super::repair;
use super::report::Answer;
use super::revocation::{Lists, MAX_LIST_BYTES, revocation};
use super::sealed::Sealed;
use super::small;
use crate::pdf::spelling::Spelling;
use crate::pdf::update::Update;
use crate::pdf::{Dict, File, Object, packing};

/// Reads a list of revoked certificates (CRL) in PEM or DER.
///
/// # Errors
/// [`SealError::Read`], or [`SealError::Anchors`] if the file is not such a list.
pub fn revocation_list(path: &Path) -> Result<Vec<u8>, SealError> {
    let bad = |reason: &str| SealError::Anchors {
        path: path.to_owned(),
        reason: reason.to_owned(),
    };
    let bytes = small::read(path, MAX_LIST_BYTES as u64)?
        .ok_or_else(|| bad("it is too large for a list of revoked certificates"))?;
    let list = if bytes.starts_with(b"-----BEGIN") {
        CertificateList::<x509_cert::certificate::Rfc5280>::from_pem(&bytes)
    } else {
        CertificateList::from_der(&bytes)
    };
    list.and_then(|list| list.to_der())
        .map_err(|_| bad("it contains no list of revoked certificates (CRL)"))
}

/// Adds the identity's chain and these lists to a sealed file.
///
/// # Errors
/// The identity signed its own certificate, so nobody could revoke it; no list is by its issuer;
/// or the file can't be read.
pub fn add(sealed: &Sealed, identity: &Identity, lists: &[Vec<u8>]) -> Result<Sealed, SealError> {
    let unfit = |what: &str| SealError::Unfit(what.to_owned());
    if identity.is_self_signed() {
        return Err(unfit(
            "the identity signed its own certificate; there is no issuer whose lists could be added",
        ));
    }
    let answer = revocation(
        identity.certificate(),
        false,
        &identity.chain,
        &Lists::new(lists.to_vec()),
        DateTime::<Utc>::MIN_UTC,
    );
    match answer {
        Answer::NotDetermined(why) => return Err(SealError::Unfit(why)),
        Answer::No(why) => return Err(SealError::Unfit(why)),
        Answer::Yes => {}
    }
    let file = File::parse(sealed.bytes())?;
    let (catalog_id, mut catalog) = file.catalog()?;
    if catalog.get(b"DSS").is_some() {
        return Err(unfit("it already contains validation data"));
    }
    let length: usize = lists.iter().chain(&identity.chain).map(Vec::len).sum();
    let mut update = Update::new(&file, 4096 + length, Spelling::Digits);
    let mut store = Dict::default();
    store.set("Type", "DSS");
    let own = identity.certificate_der().to_vec();
    let certificates: Vec<Vec<u8>> = std::iter::once(own)
        .chain(identity.chain.iter().cloned())
        .collect();
    for (key, entries) in [
        (b"Certs".as_slice(), certificates.as_slice()),
        (b"CRLs", lists),
    ] {
        let mut references = Vec::new();
        for entry in entries {
            let id = update.reserve();
            // Compressed, so that a repairing reader finds no words in it. A few short pieces do
            // not get shorter.
            let packed = packing::packed(entry, packing::Packing::Small);
            let data = packed.as_deref().unwrap_or(entry);
            if repair::structure(data).is_some() {
                return Err(unfit(
                    "a certificate or list contains words that programs that repair broken files \
                     could take for other pages",
                ));
            }
            let mut stream = Dict::default();
            if packed.is_some() {
                stream.set("Filter", "FlateDecode");
            }
            stream.set("Length", data.len());
            let mut body = Vec::with_capacity(64 + data.len());
            stream.spell(&mut body, Spelling::Digits);
            body.extend_from_slice(b"\nstream\n");
            body.extend_from_slice(data);
            body.extend_from_slice(b"\nendstream");
            update.add_source(id, &body);
            references.push(Object::Reference(id));
        }
        store.set(key, references);
    }
    let id = update.reserve();
    update.add(id, store);
    catalog.set("DSS", id);
    update.add(catalog_id, catalog);
    let identifiers = identifiers(&file);
    Ok(sealed.with_revision(&update.finish([&identifiers[0], &identifiers[1]])))
}
