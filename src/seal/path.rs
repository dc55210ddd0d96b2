//! The path from a signer's certificate to one that the reader trusts (RFC 5280, 6.1, as far as a chain of
//! a few certificates needs it).
//!
//! It works offline and therefore does not check revocation; the report says so. An unknown critical
//! extension ends the path.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use der::asn1::ObjectIdentifier;
use der::{Decode, Encode};
use x509_cert::certificate::Certificate;
use x509_cert::ext::pkix::{BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages};

use super::certificate_time::moment;
use super::cms_read::Parsed;
use super::fingerprint::Fingerprint;
use super::key;
use super::pem::only_certificates;
use super::person::{names_twice, person_of};
use super::report::{Answer, ITSELF};

/// Maximum length of a chain, including the signer's own certificate.
const LONGEST: usize = 8;
/// Maximum number of certificates that are considered.
const MAX_CERTIFICATES: usize = 64;

const BASIC_CONSTRAINTS: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.19");
const KEY_USAGE: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.15");
const EXTENDED_KEY_USAGE: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.37");
const NAME_CONSTRAINTS: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.30");
const CERTIFICATE_POLICIES: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.32");
const ANY_USAGE: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.37.0");

/// The purpose that the first certificate of a path must allow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Use {
    /// Sign documents.
    Documents,
    /// Stamp times (RFC 3161, 2.3).
    Times,
}

impl Use {
    /// Whether a usage in the certificate of an authority covers this one.
    fn includes(self, usage: &ObjectIdentifier) -> bool {
        let own: &[ObjectIdentifier] = match self {
            Self::Documents => &FOR_DOCUMENTS,
            Self::Times => &FOR_TIMES,
        };
        *usage == ANY_USAGE || own.contains(usage)
    }
}

/// Usages that count as signing documents: RFC 9336, and what authorities issued before it.
const FOR_DOCUMENTS: [ObjectIdentifier; 5] = [
    ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.36"),
    ObjectIdentifier::new_unwrap("1.2.840.113583.1.1.5"),
    ObjectIdentifier::new_unwrap("1.3.6.1.4.1.311.10.3.12"),
    ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.4"),
    ANY_USAGE,
];
const FOR_TIMES: [ObjectIdentifier; 1] = [ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.8")];

/// Whether `certificate` is signed by the key it carries.
pub(crate) fn signs_itself(certificate: &Certificate) -> bool {
    let tbs = certificate.tbs_certificate();
    tbs.issuer() == tbs.subject() && signed_by(certificate, certificate)
}

/// Whether the key of `issuer` signed `certificate`.
pub(crate) fn signed_by(certificate: &Certificate, issuer: &Certificate) -> bool {
    let tbs = certificate.tbs_certificate();
    let algorithm = certificate.signature_algorithm();
    algorithm == tbs.signature() && key::signed_by(issuer, tbs, algorithm, certificate.signature())
}

/// Certificates, and which of them issued which. The others must belong to the first `given` ones.
struct Related {
    all: Vec<Certificate>,
    given: usize,
    /// Each signature is checked at most once.
    issued: HashMap<(usize, usize), bool>,
}

impl Related {
    fn new(given: Vec<Certificate>, others: Vec<Certificate>) -> Self {
        let count = given.len();
        let mut all = given;
        all.extend(others);
        Self {
            all,
            given: count,
            issued: HashMap::new(),
        }
    }

    /// Whether a certificate names another one as its issuer.
    fn names(&self, certificate: usize, issuer: usize) -> bool {
        let (of, by) = (&self.all[certificate], &self.all[issuer]);
        of.tbs_certificate().issuer() == by.tbs_certificate().subject()
    }

    /// Whether the key of one signed another, which names it as its issuer.
    fn issued(&mut self, issuer: usize, certificate: usize) -> bool {
        if !self.names(certificate, issuer) {
            return false;
        }
        if let Some(&known) = self.issued.get(&(issuer, certificate)) {
            return known;
        }
        let signed = signed_by(&self.all[certificate], &self.all[issuer]);
        self.issued.insert((issuer, certificate), signed);
        signed
    }

    fn same_key(&self, one: usize, other: usize) -> bool {
        let (one, other) = (
            self.all[one].tbs_certificate(),
            self.all[other].tbs_certificate(),
        );
        one.subject() == other.subject()
            && one.subject_public_key_info() == other.subject_public_key_info()
    }

    /// The certificates among `others` that belong to the given ones: a chain of issuers, or of
    /// certificates with the same key and name, leads to each of them, and if its issuer is among
    /// the certificates, the issuer's signature on it is valid. A signature does not cover the
    /// certificates that it includes, so only their own signatures show that they were not
    /// replaced. If the issuer of an issuer is missing, only its name and key can be compared with
    /// what it issued. The rest matters only to a reader who trusts a certificate further up, and
    /// is checked then.
    fn belonging(&mut self, others: &[usize]) -> Vec<usize> {
        let mut kept = others.to_vec();
        loop {
            let before = kept.len();
            kept = self.reached(kept);
            let present: Vec<usize> = (0..self.given).chain(kept.iter().copied()).collect();
            kept.retain(|&other| {
                let issuers = present.iter().filter(|&&issuer| self.names(other, issuer));
                let issuers: Vec<usize> = issuers.copied().collect();
                issuers.is_empty() || issuers.into_iter().any(|issuer| self.issued(issuer, other))
            });
            if kept.len() == before {
                return kept;
            }
        }
    }

    fn reached(&mut self, others: Vec<usize>) -> Vec<usize> {
        let mut waiting: Vec<usize> = (0..self.given).collect();
        let mut left = others.clone();
        while let Some(member) = waiting.pop() {
            let (near, far): (Vec<_>, Vec<_>) = left
                .into_iter()
                .partition(|&other| self.same_key(other, member) || self.issued(other, member));
            waiting.extend(near);
            left = far;
        }
        let mut reached = others;
        reached.retain(|other| !left.contains(other));
        reached
    }

    /// The certificates to which names alone lead, the nearest first. No signature is checked for
    /// this, so unrelated certificates cost nothing.
    fn named(&self) -> Vec<usize> {
        let mut left: Vec<usize> = (self.given..self.all.len()).collect();
        let mut found: Vec<usize> = (0..self.given).collect();
        let mut next = 0;
        while next < found.len() && found.len() <= MAX_CERTIFICATES {
            let member = found[next];
            let (near, far): (Vec<_>, Vec<_>) = left
                .into_iter()
                .partition(|&other| self.same_key(other, member) || self.names(member, other));
            found.extend(near);
            left = far;
            next += 1;
        }
        found.drain(..self.given);
        found.truncate(MAX_CERTIFICATES);
        found
    }
}

/// The certificates stored with a signer's certificate that belong into its signatures, by the rule
/// of [`belong_together`]. Tokens and files may contain others, which a signature must not include.
pub(crate) fn belonging(leaf: &Certificate, others: Vec<Vec<u8>>) -> Vec<Vec<u8>> {
    let parsed = others
        .into_iter()
        .filter_map(|der| Some((Certificate::from_der(&der).ok()?, der)));
    let (certificates, ders): (Vec<_>, Vec<_>) = parsed.unzip();
    let mut related = Related::new(vec![leaf.clone()], certificates);
    let named = related.named();
    let mut kept = related.belonging(&named);
    kept.sort_unstable();
    let given = related.given;
    kept.into_iter().map(|n| ders[n - given].clone()).collect()
}

/// Whether each certificate included with a signature belongs there: to the signer's, or to that of the
/// authority of its time-stamp.
pub(crate) fn belong_together(
    leaf: &Certificate,
    others: &[Vec<u8>],
    stamped_by: Option<&Certificate>,
) -> Result<(), Answer> {
    let parsed: Result<Vec<Certificate>, _> = others
        .iter()
        .map(|der| Certificate::from_der(der))
        .collect();
    let parsed =
        parsed.map_err(|_| Answer::no("a certificate included with the signature is damaged"))?;
    let given = [Some(leaf), stamped_by].into_iter().flatten().cloned();
    let mut related = Related::new(given.collect(), parsed);
    let all: Vec<usize> = (related.given..related.all.len()).collect();
    let belonging = related.belonging(&all);
    if belonging.len() == all.len() {
        return Ok(());
    }
    let mut strangers = all.iter().filter(|n| !belonging.contains(n));
    let unknown = strangers.find_map(|&n| key::unknown_algorithm(&related.all[n]));
    Err(match unknown {
        Some(what) => Answer::NotDetermined(format!(
            "a certificate included with the signature is signed with {what}"
        )),
        None => Answer::no(
            "a certificate included with the signature was changed, or does not belong there",
        ),
    })
}

/// Looks for a path from `leaf` over `others` to one of `anchors`. Returns the names on it, the anchor's
/// last, or the reason why there is none.
pub(crate) fn find(
    leaf: &[u8],
    others: &[Vec<u8>],
    anchors: &[Vec<u8>],
    at: DateTime<Utc>,
    purpose: Use,
) -> Result<Vec<String>, String> {
    if anchors.iter().any(|anchor| anchor == leaf) {
        return Ok(vec![ITSELF.to_owned()]);
    }
    let parse = |der: &Vec<u8>| Certificate::from_der(der).ok();
    let others: Vec<Certificate> = others
        .iter()
        .take(MAX_CERTIFICATES)
        .filter_map(parse)
        .collect();
    let anchors: Vec<Certificate> = anchors.iter().filter_map(parse).collect();
    let Ok(leaf) = Certificate::from_der(leaf) else {
        return Err("the signer's certificate can't be read".to_owned());
    };
    usable(&leaf, at)?;
    allowed(&leaf, purpose)?;
    let mut names = Vec::new();
    let mut current = leaf;
    // `depth` is the number of authorities below the candidate; RFC 5280 calls the limit
    // max_path_length.
    for depth in 0..LONGEST {
        let tbs = current.tbs_certificate();
        let is_issuer = |candidate: &&Certificate| {
            candidate.tbs_certificate().subject() == tbs.issuer()
                && authority(candidate, depth, at, purpose).is_ok()
                && signed_by(&current, candidate)
        };
        if let Some(anchor) = anchors.iter().find(is_issuer) {
            names.push(name(anchor));
            return Ok(names);
        }
        let Some(next) = others.iter().find(is_issuer) else {
            break;
        };
        names.push(name(next));
        current = next.clone();
    }
    let named = others.iter().chain(&anchors).any(|candidate| {
        candidate.tbs_certificate().subject() == current.tbs_certificate().issuer()
    });
    if let Some(what) = key::unknown_algorithm(&current).filter(|_| named) {
        return Err(format!("a certificate of the chain is signed with {what}"));
    }
    Err("no chain of certificates leads from the signer to one that you trust".to_owned())
}

/// Checks the authorities included with a signature, from the signer's issuer upwards, as [`find`] does,
/// but without a certificate that the reader trusts: what is included must not contradict itself.
///
/// # Errors
/// What is wrong with the chain, as a sentence without a full stop.
pub(crate) fn sound(
    leaf: &Certificate,
    others: &[Vec<u8>],
    at: DateTime<Utc>,
) -> Result<(), String> {
    let parse = |der: &Vec<u8>| Certificate::from_der(der).ok();
    let others = others.iter().take(MAX_CERTIFICATES).filter_map(parse);
    let others: Vec<Certificate> = others.collect();
    let mut current = leaf;
    for depth in 0..LONGEST {
        if signs_itself(current) {
            return Ok(());
        }
        let mut wrong = None;
        let issuers = others.iter().filter(|candidate| {
            candidate.tbs_certificate().subject() == current.tbs_certificate().issuer()
                && signed_by(current, candidate)
        });
        let mut fit =
            issuers.filter(
                |candidate| match authority(candidate, depth, at, Use::Documents) {
                    Ok(()) => true,
                    Err(why) => {
                        wrong = Some(why);
                        false
                    }
                },
            );
        match fit.next() {
            Some(next) => current = next,
            None => return wrong.map_or(Ok(()), Err),
        }
    }
    if signs_itself(current) {
        return Ok(());
    }
    Err(format!(
        "the chain of certificates included with the signature has more than {LONGEST}"
    ))
}

/// The known certificate whose key vouches for the signer's key, if there is one: the signature
/// includes a certificate for the signer's key that the known key signed. This is how an identity
/// is renewed. The known key is not an authority and does not vouch for another name.
pub(crate) fn vouched(
    parsed: &Parsed,
    known: impl Fn(&Fingerprint) -> bool,
) -> Option<Fingerprint> {
    let others: Vec<(Fingerprint, Certificate)> = parsed
        .others
        .iter()
        .take(MAX_CERTIFICATES)
        .filter_map(|der| Some((Fingerprint::of(der), Certificate::from_der(der).ok()?)))
        .collect();
    // From the signer's key backwards, one renewal after the other.
    let mut newer = &parsed.certificate;
    for _ in 0..LONGEST {
        let tbs = newer.tbs_certificate();
        let (print, earlier) = others
            .iter()
            .filter(|(_, earlier)| {
                let before = earlier.tbs_certificate();
                before.subject_public_key_info() != tbs.subject_public_key_info()
                    && person_of(before.subject()).name == person_of(tbs.subject()).name
                    && signs_itself(earlier)
            })
            .find(|(_, earlier)| {
                others.iter().any(|(_, voucher)| {
                    let named = voucher.tbs_certificate();
                    named.subject_public_key_info() == tbs.subject_public_key_info()
                        && named.subject() == tbs.subject()
                        && named.issuer() == earlier.tbs_certificate().subject()
                        && signed_by(voucher, earlier)
                })
            })?;
        if known(print) {
            return Some(*print);
        }
        newer = earlier;
    }
    None
}

fn name(certificate: &Certificate) -> String {
    let subject = certificate.tbs_certificate().subject();
    let name = person_of(subject).name;
    if name.is_empty() {
        subject.to_string()
    } else {
        name
    }
}

fn usable(certificate: &Certificate, at: DateTime<Utc>) -> Result<(), String> {
    let validity = certificate.tbs_certificate().validity();
    if at < moment(validity.not_before) || at > moment(validity.not_after) {
        return Err("a certificate of the chain was not valid at the time of signing".to_owned());
    }
    match unknown_condition(certificate) {
        None => Ok(()),
        Some(oid) => Err(format!(
            "a certificate of the chain has a critical extension ({oid}) that this program does not \
             know"
        )),
    }
}

/// A critical extension that this program does not understand, for which it must reject the
/// certificate (RFC 5280, 4.2).
fn unknown_condition(certificate: &Certificate) -> Option<ObjectIdentifier> {
    const KNOWN: [ObjectIdentifier; 4] = [
        BASIC_CONSTRAINTS,
        KEY_USAGE,
        EXTENDED_KEY_USAGE,
        CERTIFICATE_POLICIES,
    ];
    let extensions = certificate.tbs_certificate().extensions();
    extensions
        .into_iter()
        .flatten()
        .find(|e| e.critical && !KNOWN.contains(&e.extn_id))
        .map(|e| e.extn_id)
}

/// Whether a signer's certificate may sign documents, whoever issued it.
pub(crate) fn for_documents(leaf: &Certificate) -> Result<(), String> {
    if let Some(oid) = unknown_condition(leaf) {
        return Err(format!(
            "the signer's certificate has a critical extension ({oid}) that this program does not \
             know"
        ));
    }
    allowed(leaf, Use::Documents)?;
    if names_twice(leaf.tbs_certificate().subject()) {
        return Err(
            "the signer's certificate has several common names, so that programs may show different \
             ones"
                .to_owned(),
        );
    }
    Ok(())
}

/// Whether an authority's certificate may stamp times, and was valid at the time that it stamped.
pub(crate) fn stamps(authority: &Certificate, at: DateTime<Utc>) -> Result<(), String> {
    allowed(authority, Use::Times)?;
    if let Some(oid) = unknown_condition(authority) {
        return Err(format!(
            "the certificate of the time-stamp's authority has a critical extension ({oid}) that this \
             program does not know"
        ));
    }
    let validity = authority.tbs_certificate().validity();
    if at < moment(validity.not_before) || at > moment(validity.not_after) {
        return Err(
            "the certificate of the time-stamp's authority was not valid at the time stamped"
                .to_owned(),
        );
    }
    Ok(())
}

fn allowed(leaf: &Certificate, purpose: Use) -> Result<(), String> {
    let tbs = leaf.tbs_certificate();
    let unreadable = |_| "the signer's certificate can't be read".to_owned();
    if let Some((_, usage)) = tbs.get_extension::<KeyUsage>().map_err(unreadable)?
        && !usage.0.contains(KeyUsages::DigitalSignature)
        && !usage.0.contains(KeyUsages::NonRepudiation)
    {
        return Err("the signer's certificate is not for signing".to_owned());
    }
    let usages = tbs
        .get_extension::<ExtendedKeyUsage>()
        .map_err(unreadable)?;
    let fits = match (purpose, usages) {
        (Use::Documents, None) => true,
        (Use::Documents, Some((_, usages))) => usages.0.iter().any(|u| FOR_DOCUMENTS.contains(u)),
        // RFC 3161, 2.3: critical, and nothing else.
        (Use::Times, Some((critical, usages))) => critical && usages.0 == FOR_TIMES,
        (Use::Times, None) => false,
    };
    if fits {
        Ok(())
    } else {
        Err(match purpose {
            Use::Documents => "the signer's certificate is not for signing documents".to_owned(),
            Use::Times => "the authority's certificate is not for stamping times".to_owned(),
        })
    }
}

/// Whether a certificate may issue others with `below` authorities between it and the signer.
fn authority(
    certificate: &Certificate,
    below: usize,
    at: DateTime<Utc>,
    purpose: Use,
) -> Result<(), String> {
    usable(certificate, at)?;
    let extensions = certificate.tbs_certificate().extensions();
    if extensions
        .into_iter()
        .flatten()
        .any(|e| e.extn_id == NAME_CONSTRAINTS)
    {
        return Err(
            "a certificate of the chain may issue only certain names, which this program does not \
             check"
                .to_owned(),
        );
    }
    let no = || "a certificate of the chain does not belong to an authority".to_owned();
    let tbs = certificate.tbs_certificate();
    let constraints = tbs
        .get_extension::<BasicConstraints>()
        .ok()
        .flatten()
        .map(|(_, constraints)| constraints)
        .ok_or_else(no)?;
    if !constraints.ca
        || constraints
            .path_len_constraint
            .is_some_and(|most| usize::from(most) < below)
    {
        return Err(no());
    }
    match tbs.get_extension::<KeyUsage>() {
        Ok(None) => {}
        Ok(Some((_, usage))) if usage.0.contains(KeyUsages::KeyCertSign) => {}
        _ => return Err(no()),
    }
    // The purposes of an authority's certificate limit what it may issue. RFC 5280 leaves that
    // open; common practice, no source.
    match tbs.get_extension::<ExtendedKeyUsage>() {
        Ok(None) => Ok(()),
        Ok(Some((_, usages))) if usages.0.iter().any(|u| purpose.includes(u)) => Ok(()),
        _ => {
            Err("a certificate of the chain belongs to an authority for other purposes".to_owned())
        }
    }
}

/// The certificates of a file in PEM or DER.
///
/// # Errors
/// None in it, or a damaged one.
pub(crate) fn certificates_of(bytes: &[u8]) -> Result<Vec<Vec<u8>>, String> {
    let damaged = |_| "it contains a damaged certificate".to_owned();
    if bytes.starts_with(&[0x30]) {
        Certificate::from_der(bytes).map_err(damaged)?;
        return Ok(vec![bytes.to_vec()]);
    }
    let pem = only_certificates(bytes);
    let found = Certificate::load_pem_chain(&pem).map_err(damaged)?;
    if found.is_empty() {
        return Err("it contains no certificate".to_owned());
    }
    found.iter().map(|c| c.to_der().map_err(damaged)).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(pem: &str) -> (Certificate, Vec<u8>) {
        let der = certificates_of(pem.as_bytes()).unwrap().remove(0);
        (Certificate::from_der(&der).unwrap(), der)
    }

    #[test]
    fn many_certificates_of_one_name_cost_few_signatures() {
        let (leaf, _) = read(include_str!("../../tests/seal_keys/issued.crt"));
        let (root, der) = read(include_str!("../../tests/seal_keys/root.crt"));
        let mut related = Related::new(vec![leaf.clone()], vec![root; 10_000]);
        let named = related.named();
        assert_eq!(named.len(), MAX_CERTIFICATES);
        assert!(!related.belonging(&named).is_empty());
        let most = (MAX_CERTIFICATES + 1) * (MAX_CERTIFICATES + 1);
        assert!(related.issued.len() <= most);
        // Certificates of other names cost no signature check.
        let (other, _) = read(include_str!("../../tests/seal_keys/p256.crt"));
        let mut related = Related::new(vec![leaf.clone()], vec![other; 10_000]);
        let named = related.named();
        assert!(related.belonging(&named).is_empty());
        assert!(related.issued.is_empty());
        assert_eq!(belonging(&leaf, vec![der.clone()]), [der]);
    }
}
