//! The files attached to the certificate: the record from which it was made, the findings as JSON,
//! and the digests of the original photos.

use super::document::Attachment;
use super::keys;
use super::speaker::Speaker;
use crate::photo::{PreparedImage, Taken};
use crate::visit::Visit;
use base16ct::lower;
use sha2::{Digest, Sha256};

/// Name of the visit file inside the certificate.
pub const VISIT: &str = "visit.yaml";
/// Name of the findings inside the certificate.
pub const ASSESSMENT: &str = "assessment.json";
/// Name of the list of times and cameras of the photos inside the certificate.
pub const TAKEN: &str = "photos.json";
/// Name of the list of photo digests inside the certificate.
pub const PHOTOS: &str = "photos.sha256";

pub(super) fn all(
    speaker: &Speaker<'_>,
    source: &[u8],
    photos: &[PreparedImage],
) -> Result<Vec<Attachment>, serde_json::Error> {
    let words = speaker.wording;
    let mut attachments = vec![
        Attachment {
            name: VISIT.to_owned(),
            mime: "application/yaml".to_owned(),
            description: words.word(&keys::ATTACHED_VISIT).to_owned(),
            relationship: "Source",
            bytes: source.to_vec(),
        },
        Attachment {
            name: ASSESSMENT.to_owned(),
            mime: "application/json".to_owned(),
            description: words.word(&keys::ATTACHED_ASSESSMENT).to_owned(),
            relationship: "Data",
            bytes: super::json::json_text(speaker)?,
        },
    ];
    if !photos.is_empty() {
        attachments.push(Attachment {
            name: PHOTOS.to_owned(),
            mime: "text/plain".to_owned(),
            description: words.word(&keys::ATTACHED_PHOTOS).to_owned(),
            relationship: "Supplement",
            bytes: digests(speaker.visit, photos).into_bytes(),
        });
    }
    if photos.iter().any(|photo| !photo.taken.is_unknown()) {
        let taken: Vec<&Taken> = photos.iter().map(|photo| &photo.taken).collect();
        attachments.push(Attachment {
            name: TAKEN.to_owned(),
            mime: "application/json".to_owned(),
            description: words.word(&keys::ATTACHED_TAKEN).to_owned(),
            relationship: "Supplement",
            bytes: serde_json::to_vec(&taken)?,
        });
    }
    Ok(attachments)
}

/// One line per photo, in the format of `sha256sum --check`.
fn digests(visit: &Visit, photos: &[PreparedImage]) -> String {
    let mut text = String::new();
    for (photo, image) in visit.photos.iter().zip(photos) {
        text.push_str(&digest_line(&image.sha256_of_original, &photo.file));
    }
    text
}

/// A photo's line in the list of digests.
pub fn digest_line(sha256: &[u8], file: &str) -> String {
    format!("{}  {file}\n", lower::encode_string(sha256))
}

/// The certificate's number and the digest of its record: the same for the same record.
pub(super) fn identifier(visit: &Visit, source: &[u8]) -> String {
    format!(
        "{} sha256:{}",
        visit.number,
        lower::encode_string(&Sha256::digest(source))
    )
}
