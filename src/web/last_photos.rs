//! Where to aim: the photos of the last certificate with its marks.

use super::error::WebError;
use super::message::Message;
use crate::photo::Kind;
use crate::record::accepted::Accepted;
use crate::record::embedded_images;
use crate::record::recompute::Record;
use crate::seal::{Verified, VerifyOptions, verify};
use crate::visit::{self, Visit};
use chrono::NaiveDate;
use serde::Deserialize;
use serde_json::json;

/// Asks for the photos in the newest of the certificates in the request's files.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LastPhotos {}

impl LastPhotos {
    /// The photos as JPEG files and, for each, its circuit, its caption and its marks: the place of
    /// each connection as fractions of width and height, from the top left corner. Certificates
    /// without an unbroken seal and photos that are not JPEG are left out.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let mut newest: Option<(NaiveDate, Visit, Record, Verified<'_>)> = None;
        for (_, bytes) in files.iter().filter(|(_, b)| b.starts_with(b"%PDF-")) {
            let Some(verified) = verify(bytes, &VerifyOptions::default()).verified() else {
                continue;
            };
            let Ok(record) = Record::read(&verified) else {
                continue;
            };
            let visit = visit::read(&record.visit, "visit.yaml", &Accepted)?;
            let date = visit.date;
            if newest.as_ref().is_none_or(|(day, ..)| *day < date) {
                newest = Some((date, visit, record, verified));
            }
        }
        let mut listed = Vec::new();
        let mut images = Vec::new();
        if let Some((date, visit, record, verified)) = newest
            && let Ok(all) = embedded_images::read(verified.bytes(), &visit, &record)
        {
            for (photo, image) in visit.photos.iter().zip(all.photos) {
                if photo.marks.is_empty() || !matches!(image.kind, Kind::Jpeg { .. }) {
                    continue;
                }
                listed.push(json!({
                    "date": date,
                    "circuit": photo.circuit,
                    "caption": photo.caption,
                    "marks": photo.marks.iter().map(|(id, at)| json!({ "connection": id, "at": at })).collect::<Vec<_>>(),
                }));
                images.push((photo.file.clone(), image.bytes.whole().into_owned()));
            }
        }
        Ok(Message {
            head: json!({ "photos": listed }),
            files: images,
        })
    }
}
