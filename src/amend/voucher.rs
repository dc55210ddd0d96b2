//! Whether an earlier key vouches for the one that sealed a later certificate.

use crate::seal::report::Trust;
use crate::seal::{Fingerprint, VerifyOptions, verify};

/// The one of these earlier keys that vouches for the key `later`, which sealed this file; the most
/// recent one if there are several.
pub fn voucher(earlier: &[Fingerprint], later: Fingerprint, pdf: &[u8]) -> Option<Fingerprint> {
    let options = VerifyOptions {
        pins: earlier.to_vec(),
        ..VerifyOptions::default()
    };
    let report = verify(pdf, &options);
    let seal = report.certification().filter(|_| report.unchanged())?;
    match (&seal.trust, &seal.signer) {
        (Trust::Succeeds { earlier, .. }, Some(signer)) if signer.fingerprint == later => {
            Some(*earlier)
        }
        _ => None,
    }
}
