//! Making and sealing a certificate on the page.

use super::error::WebError;
use super::identities::opened;
use super::message::Message;
use super::reading::loaded;
use crate::certify::ready::ready;
use crate::certify::unsealed::unsealed;
use crate::compose;
use crate::photo::Detail;
use crate::seal::{self, SignOptions};
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// Asks for a certificate. The first file is the identity (with `passphrase`; none gives a draft), the
/// others are those that the visit file names.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Certify {
    visit: String,
    #[serde(default = "visit_file")]
    name: String,
    passphrase: Option<String>,
    now: DateTime<FixedOffset>,
}

fn visit_file() -> String {
    "visit.yaml".to_owned()
}

impl Certify {
    /// The certificate with its findings.
    pub fn answer(self, mut files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let identity = match self.passphrase {
            Some(passphrase) => {
                let identity = opened(&files, passphrase)?;
                files.remove(0);
                Some(identity)
            }
            None => None,
        };
        let files = Arc::new(files.into_iter().collect());
        let loaded = loaded(self.visit, &self.name, &files, self.now.date_naive())?;
        if identity.is_some() {
            ready(&loaded.visit, self.now).map_err(WebError::NotReady)?;
        }
        let mut pdf = unsealed(&loaded, Detail::Print, identity.as_ref(), self.now)?;
        if let Some(identity) = &identity {
            let options = SignOptions::of(identity, self.now);
            pdf = seal::sign_taking(&mut pdf, identity, &options, None)?.into_bytes();
        }
        let wording = loaded.wording()?;
        let findings = compose::json(
            &loaded.assessment,
            &loaded.visit,
            loaded.rules.get(),
            wording,
        );
        Ok(Message {
            head: json!({
                "number": loaded.visit.number,
                "draft": identity.is_none(),
                "findings": findings,
            }),
            files: vec![("certificate.pdf".to_owned(), pdf)],
        })
    }
}
