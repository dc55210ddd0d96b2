//! The images of a visit, made ready for its pages.

use super::error::CertifyError;
use super::loaded::Loaded;
use crate::compose::Images;
use crate::compose::attachments::digest_line;
use crate::compose::document::Columns;
use crate::photo::{Detail, Placement, PreparedImage, Subject};
use crate::typeset::{Printed, printed_width_mm};

/// The images of a visit, ready for embedding, with photos at this level of detail.
///
/// # Errors
/// [`CertifyError::Image`].
pub fn images(loaded: &Loaded, detail: Detail) -> Result<Images, CertifyError> {
    let Loaded { visit, folder, .. } = loaded;
    let prepare = |path: &str, printed, subject| -> Result<PreparedImage, CertifyError> {
        let prepared = folder.image(path).and_then(|facts| {
            let width_mm = printed_width_mm(printed, visit.print.paper, facts.width, facts.height);
            let placement = Placement {
                width_mm,
                detail: match subject {
                    Subject::Photo => detail,
                    Subject::LineArt => Detail::Print,
                },
                subject,
            };
            folder.prepare(path, placement)
        });
        prepared.map_err(|problem| CertifyError::Image {
            path: path.to_owned(),
            problem,
        })
    };
    let line_art = |path: &Option<String>, printed| {
        path.as_deref()
            .map(|p| prepare(p, printed, Subject::LineArt))
            .transpose()
    };
    let abreast = Columns::of_largest_photos(visit.print.appendix);
    Ok(Images {
        photos: visit
            .photos
            .iter()
            .map(|p| prepare(&p.file, Printed::Photo { abreast }, Subject::Photo))
            .collect::<Result<_, _>>()?,
        logo: line_art(&visit.inspector.logo, Printed::Logo)?,
        signature: line_art(&visit.inspector.signature_image, Printed::Signature)?,
    })
}

/// Digests of the photos, as embedded in a certificate.
///
/// # Errors
/// [`CertifyError::Image`].
pub fn photo_digests(loaded: &Loaded) -> Result<String, CertifyError> {
    let mut text = String::new();
    for photo in &loaded.visit.photos {
        let original = loaded.original(&photo.file)?;
        text.push_str(&digest_line(&original.sha256(), &photo.file));
    }
    Ok(text)
}
