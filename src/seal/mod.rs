//! The seal: signing a PDF, and checking who signed it and whether it was changed.
//!
//! [`identity`] creates and opens signing identities, [`mod@sign`] adds a certifying signature to a
//! finished PDF, and [`mod@verify`] answers separate questions about a signed one. The format is the
//! usual one, so that other programs can check it too: a detached CMS signature (RFC 5652) in an
//! incremental update, as required by PAdES baseline B-B (ETSI EN 319 142-1), certified with DocMDP
//! (ISO 32000-1, 12.8.2.2).
//!
//! No clock is used, and no randomness except for new identities: signing times are passed in, ECDSA
//! is deterministic (RFC 6979), and RSA is PKCS #1 v1.5. The same PDF, identity and time give the same
//! bytes.
//!
//! This folder knows nothing about pages or findings. `README.md` lists the cryptographic crates.

pub mod attachment;
mod certificate_time;
mod changes;
mod cms;
mod cms_read;
mod cms_types;
mod dates;
pub mod digests;
pub mod error;
mod evidence;
mod expected;
pub(crate) mod field_names;
mod file_identifiers;
pub mod fingerprint;
pub mod identity;
#[cfg(not(target_family = "wasm"))]
pub mod identity_file;
mod key;
#[cfg(not(target_family = "wasm"))]
pub mod key_folder;
pub mod known;
mod known_der;
#[cfg(not(target_family = "wasm"))]
pub mod known_file;
mod lasting;
mod page_text;
mod passphrase;
mod path;
mod pem;
mod permissions;
pub mod person;
mod pkcs12;
pub(crate) mod plain;
mod private_key;
mod repair;
pub mod report;
mod revocation;
mod saved_metadata;
pub mod sealed;
mod shape;
pub mod sign;
mod signature_dictionary;
mod signature_fields;
mod small;
mod strict_der;
mod tail;
pub mod timestamp;
#[cfg(feature = "pkcs11")]
mod token;
pub mod validation_data;
pub mod verify;
pub mod withdrawn;

pub use attachment::Attachment;
pub use digests::Digests;
pub use error::SealError;
pub use field_names::SEAL_FIELD;
pub use fingerprint::Fingerprint;
pub use identity::Identity;
pub use passphrase::Passphrase;
pub use person::Person;
pub use report::{Report, Verified};
pub use sealed::Sealed;
#[cfg(not(target_family = "wasm"))]
pub(crate) use sign::stamp_verified;
pub use sign::{
    Hand, SignOptions, countersign, countersign_stamped, sign, sign_stamped, sign_taking, stamp,
};
pub use timestamp::Authority;
pub use verify::{VerifyOptions, verify};
