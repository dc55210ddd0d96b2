//! The images of a visit, made ready for its pages.

use super::error::CertifyError;
use super::loaded::Loaded;
use crate::compose::Images;
use crate::compose::attachments::digest_line;
use crate::compose::document::Columns;
use crate::photo::{Detail, Folder, Placement, PreparedImage, Subject};
use crate::typeset::{Printed, printed_width_mm};
use crate::visit::{ImageError, Visit};

/// The images of a visit, ready for embedding, with photos at this level of detail.
///
/// # Errors
/// [`CertifyError::Image`].
pub fn images(loaded: &Loaded, detail: Detail) -> Result<Images, CertifyError> {
    let Loaded { visit, folder, .. } = loaded;
    let prepare = |path: &str, printed, subject| -> Result<PreparedImage, CertifyError> {
        let detail = match subject {
            Subject::Photo => detail,
            Subject::LineArt => Detail::Print,
        };
        let prepared = prepared(folder, visit, path, printed, (subject, detail));
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
    Ok(Images {
        photos: visit
            .photos
            .iter()
            .map(|p| {
                let mut photo = prepare(&p.file, printed_photo(visit), Subject::Photo)?;
                if p.keep_place {
                    photo.taken.place = loaded.original(&p.file)?.place();
                }
                Ok::<_, CertifyError>(photo)
            })
            .collect::<Result<_, _>>()?,
        logo: line_art(&visit.inspector.logo, Printed::Logo)?,
        signature: line_art(&visit.inspector.signature_image, Printed::Signature)?,
    })
}

/// How the photos of a visit are printed.
fn printed_photo(visit: &Visit) -> Printed {
    Printed::Photo {
        abreast: Columns::of_largest_photos(visit.print.appendix),
    }
}

fn prepared(
    folder: &Folder,
    visit: &Visit,
    path: &str,
    printed: Printed,
    (subject, detail): (Subject, Detail),
) -> Result<PreparedImage, ImageError> {
    let facts = folder.image(path)?;
    let width_mm = printed_width_mm(printed, visit.print.paper, facts.width, facts.height);
    let placement = Placement {
        width_mm,
        detail,
        subject,
    };
    folder.prepare(path, placement)
}

/// A photo of a visit, ready for embedding.
///
/// # Errors
/// It cannot be read.
pub fn prepared_photo(
    folder: &Folder,
    visit: &Visit,
    path: &str,
    detail: Detail,
) -> Result<PreparedImage, ImageError> {
    let printed = printed_photo(visit);
    prepared(folder, visit, path, printed, (Subject::Photo, detail))
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
