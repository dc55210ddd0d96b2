//! The keys in a firm's file, for whoever verifies a certificate.

use super::file::Firm;
use crate::seal::withdrawn::WithdrawnKey;
use crate::seal::{Person, VerifyOptions};

/// Adds the keys that the firm revoked, and, if the reader chose the file (`named`), those that sign for
/// its technicians: they count as compared. Whether anything was added.
pub fn entered(firm: &Firm, named: bool, options: &mut VerifyOptions) -> bool {
    let keys = || {
        let all = firm.technicians.iter();
        all.flat_map(|technician| technician.keys.iter().map(move |key| (technician, key)))
    };
    let revoked = keys().filter_map(|(_, key)| {
        Some(WithdrawnKey {
            fingerprint: key.fingerprint,
            on: key.revoked?,
            because: key.because.clone(),
        })
    });
    let before = options.withdrawn.len();
    options.withdrawn.extend(revoked);
    if named {
        let list = options.known.get_or_insert_default();
        for (technician, key) in keys() {
            let person = Person {
                name: technician.name.clone(),
                firm: Some(firm.letterhead.name.clone()),
                licence: technician.licence.clone(),
            };
            list.accept(key.fingerprint, &person, key.from.unwrap_or_default());
        }
    }
    named || options.withdrawn.len() > before
}
