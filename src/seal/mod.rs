//! The seal: who signed, that not a byte changed, and how anybody can find out.
//!
//! [`identity`] makes and opens signing identities, [`mod@sign`] puts a certifying signature on a
//! finished PDF, [`mod@verify`] answers separate questions about a signed one, [`output`] writes
//! files so that a half-written certificate never exists. The form is the common one, so that
//! other programs can check it too: a detached CMS signature (RFC 5652) in an incremental
//! update, as PAdES baseline B-B asks (ETSI EN 319 142-1), certified with DocMDP
//! (ISO 32000-1, 12.8.2.2).
//!
//! No clock and no randomness, except where an identity is made: signing times are handed in,
//! ECDSA is deterministic (RFC 6979), RSA is PKCS #1 v1.5. The same PDF, identity and time
//! give the same bytes.
//!
//! What stands on the pages and what the findings say is the business of other stages.

pub mod attachment;
mod changes;
mod cms;
pub mod error;
pub mod identity;
mod key;
pub mod known;
mod page_text;
mod passphrase;
mod path;
mod pkcs12;
pub(crate) mod plain;
pub mod report;
mod shape;
pub mod sign;
mod small;
mod strict_der;
mod tail;
pub mod timestamp;
#[cfg(feature = "pkcs11")]
mod token;
pub mod validation_data;
pub mod verify;

pub use attachment::Attachment;
pub use error::SealError;
pub use identity::{Fingerprint, Identity, Person};
pub use passphrase::Passphrase;
pub use report::{Report, Verified};
pub use sign::{
    Hand, Sealed, SignOptions, countersign, countersign_stamped, sign, sign_stamped, sign_taking,
};
pub use timestamp::Authority;
pub use verify::{VerifyOptions, verify};
