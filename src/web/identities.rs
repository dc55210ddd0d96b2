//! Signing identities of the page. The page stores only the bytes of a PKCS#12 file, encrypted with
//! the user's passphrase. While it is open, it also keeps the identity without a passphrase in memory,
//! so that the key is derived from the passphrase once, and not again for every certificate.

use super::error::WebError;
use super::message::Message;
use crate::seal::{Identity, Passphrase, Person};
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde_json::{Value, json};

/// Asks for a new identity.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Create {
    name: String,
    firm: Option<String>,
    licence: Option<String>,
    passphrase: String,
    now: DateTime<FixedOffset>,
}

/// Asks for the person in an identity file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Open {
    passphrase: String,
}

impl Create {
    /// The identity as a file, the same without a passphrase, and who it names.
    pub fn answer(self) -> Result<Message, WebError> {
        let person = Person {
            name: self.name,
            firm: self.firm,
            licence: self.licence,
        };
        let identity = Identity::create(&person, self.now.to_utc())?;
        let file = identity.to_pkcs12(&Passphrase::new(self.passphrase))?;
        Ok(Message {
            head: facts(&identity),
            files: vec![("identity.p12".to_owned(), file), open_file(&identity)?],
        })
    }
}

impl Open {
    /// Who the identity names, and the identity as a file without a passphrase.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let identity = opened(&files, self.passphrase)?;
        Ok(Message {
            head: facts(&identity),
            files: vec![open_file(&identity)?],
        })
    }
}

/// The identity without a passphrase, for the memory of the page.
fn open_file(identity: &Identity) -> Result<(String, Vec<u8>), WebError> {
    let file = identity.to_pkcs12(&Passphrase::empty())?;
    Ok(("open.p12".to_owned(), file))
}

/// The identity in the first file of a request.
pub(super) fn opened(
    files: &[(String, Vec<u8>)],
    passphrase: String,
) -> Result<Identity, WebError> {
    let (_, bytes) = files.first().ok_or(WebError::Files)?;
    Ok(Identity::open(bytes, &Passphrase::new(passphrase))?)
}

fn facts(identity: &Identity) -> Value {
    let person = identity.subject();
    json!({
        "name": person.name,
        "firm": person.firm,
        "licence": person.licence,
        "fingerprint": identity.fingerprint().to_string(),
        "valid_until": identity.valid_until(),
        "self_signed": identity.is_self_signed(),
    })
}
