//! The zip saved by the worksheet's page: the values, the photos, and the resulting visit file.

use super::merge::Values;
use crate::firm::file_name::{names_device, same_on_any_disk};
use crate::photo::{MAX_FILE_BYTES, announces_image};
use crate::seal::plain::shown;
use crate::visit::Visit;
use crate::visit::limits::FILE_BYTES;
use serde::Deserialize;
use std::collections::HashSet;
use std::io::{Read, Seek, SeekFrom};

/// Total size of the unpacked zip, in bytes, up to which the size of the zip itself does not matter.
const MAX_BYTES: u64 = 512 << 20;
/// Above it, the maximum total size as a multiple of the size of the zip. Photos are compressed already,
/// so that a zip of them is hardly smaller; one of zeros is a thousand times as small. Our choice.
const MAX_EXPANSION: u64 = 10;
/// Maximum size of the values, in bytes: those of a sheet with the maximum number of fields.
const MAX_SHEET_BYTES: u64 = 16 << 20;
/// File extensions of photos, in any case. The page names every photo `.jpg`, whatever its format.
const EXTENSIONS: [&str; 7] = ["jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp"];
/// Number of bytes that show the format of an image.
const FIRST_BYTES: u64 = 18;
/// Maximum number of photos.
const MAX_PHOTOS: usize = 200;
/// Maximum number of files in the zip: photos, the values, the visit file, and what a computer adds when it
/// packs a folder again.
const MAX_FILES: usize = 2 * MAX_PHOTOS + 100;

/// Why a zip cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SavedError {
    /// Damaged, or not a zip.
    #[error("this is not a zip file saved by the browser application ({})", shown(.0))]
    Unreadable(String),
    /// Too large when unpacked.
    #[error(
        "the zip contains too much: at most {MAX_PHOTOS} photos of {} MiB each, and more than {} MiB \
         together only if the zip itself has at least a tenth of that",
        MAX_FILE_BYTES >> 20, MAX_BYTES >> 20
    )]
    TooLarge,
    /// A photo with a path that the page never writes.
    #[error("the zip names a photo `{}`, which is not in photos/", shown(.0))]
    Path(String),
    /// A photo with a name that Windows keeps for a device.
    #[error(
        "the zip names a photo `{}`, which Windows takes for a device; rename it in the zip, and in \
         its worksheet.json",
        shown(.0)
    )]
    Device(String),
    /// Two photos with names that are one file on some disks.
    #[error("the zip names two photos `{}`; give each its own name", shown(.0))]
    Twice(String),
    /// A file that is no photo, by its name or by its content.
    #[error("the zip's photo `{}` is not a JPEG, PNG, TIFF, WebP or BMP image", shown(.0))]
    NotImage(String),
}

/// A photo in the zip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Id for the visit file.
    pub id: String,
    /// Path inside the visit's folder.
    pub file: String,
    /// Caption.
    pub caption: String,
    /// Size of the image in bytes.
    pub length: u64,
}

/// The source from which a zip is read piece by piece.
pub trait Source: Read + Seek {}

impl<T: Read + Seek> Source for T {}

/// The saved contents. The photos stay in the zip until they are requested, so that 200 of them
/// need no more memory than one.
pub struct Saved {
    /// Values by field name.
    pub values: Values,
    /// Photos in the order in which they were taken.
    pub photos: Vec<Photo>,
    archive: zip::ZipArchive<Box<dyn Source>>,
}

fn unreadable(why: impl std::fmt::Display) -> SavedError {
    SavedError::Unreadable(why.to_string())
}

#[derive(Deserialize)]
struct Sheet {
    values: Values,
    #[serde(default)]
    photos: Vec<Listed>,
}

#[derive(Deserialize)]
struct Listed {
    id: String,
    file: String,
    caption: String,
}

impl Saved {
    /// Reads all of a zip once: everything extracted from it later is intact and within the limits.
    ///
    /// # Errors
    /// See [`SavedError`].
    pub fn open(mut source: Box<dyn Source>) -> Result<Self, SavedError> {
        // Before the list of files is read, which takes memory for each of them.
        if files(&mut source)? > MAX_FILES {
            return Err(SavedError::TooLarge);
        }
        let packed = source.seek(SeekFrom::End(0)).map_err(unreadable)?;
        let mut archive = zip::ZipArchive::new(source).map_err(unreadable)?;
        let sheet = taken(&mut archive, "worksheet.json", MAX_SHEET_BYTES)?;
        let most = packed.saturating_mul(MAX_EXPANSION).max(MAX_BYTES);
        let mut left = most - sheet.len() as u64;
        let sheet: Sheet = serde_json::from_slice(&sheet).map_err(unreadable)?;
        if sheet.photos.len() > MAX_PHOTOS {
            return Err(SavedError::TooLarge);
        }
        let mut photos = Vec::with_capacity(sheet.photos.len());
        let mut names = HashSet::new();
        for listed in sheet.photos {
            // The name comes from the zip: it must not point outside the visit's folder.
            let name = listed.file.strip_prefix("photos/").filter(|n| {
                !n.starts_with('.')
                    && !n.is_empty()
                    && n.chars()
                        .all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
            });
            let Some(name) = name else {
                return Err(SavedError::Path(listed.file));
            };
            if names_device(name) {
                return Err(SavedError::Device(listed.file));
            }
            if !names.insert(same_on_any_disk(name)) {
                return Err(SavedError::Twice(listed.file));
            }
            let most = MAX_FILE_BYTES.min(left);
            let mut file = archive.by_name(&listed.file).map_err(unreadable)?;
            let mut first = Vec::new();
            (&mut file)
                .take(FIRST_BYTES)
                .read_to_end(&mut first)
                .map_err(unreadable)?;
            let named = name.rsplit_once('.').is_some_and(|(_, end)| {
                EXTENSIONS
                    .iter()
                    .any(|known| end.eq_ignore_ascii_case(known))
            });
            let length = first.len() as u64
                + std::io::copy(&mut file.take(most + 1), &mut std::io::sink())
                    .map_err(unreadable)?;
            if length > most {
                return Err(SavedError::TooLarge);
            }
            // Kept files are next to the visit file, where somebody may open them.
            if !named || !announces_image(&first) {
                return Err(SavedError::NotImage(listed.file));
            }
            left -= length;
            photos.push(Photo {
                id: listed.id,
                file: listed.file,
                caption: listed.caption,
                length,
            });
        }
        Ok(Self {
            values: sheet.values,
            photos,
            archive,
        })
    }

    /// The visit file in the zip, as the page filled it in.
    ///
    /// # Errors
    /// See [`SavedError`].
    pub fn visit(&mut self) -> Result<String, SavedError> {
        let bytes = taken(&mut self.archive, "visit.yaml", FILE_BYTES as u64)?;
        String::from_utf8(bytes).map_err(unreadable)
    }

    /// The image of a photo.
    ///
    /// # Errors
    /// See [`SavedError`].
    pub fn image(&mut self, photo: &Photo) -> Result<Vec<u8>, SavedError> {
        taken(&mut self.archive, &photo.file, MAX_FILE_BYTES)
    }
}

/// The number of files according to the record at the end of a zip (APPNOTE.TXT, 4.3.16). The
/// larger kind of record (4.3.14), for which this number is the maximum, is never written by the
/// page.
fn files(source: &mut Box<dyn Source>) -> Result<usize, SavedError> {
    /// Length of the record without its comment.
    const RECORD: usize = 22;
    /// Position in it of the number of files.
    const FILES: usize = 10;
    let end = source.seek(SeekFrom::End(0)).map_err(unreadable)?;
    let tail = end.min((RECORD + usize::from(u16::MAX)) as u64);
    source
        .seek(SeekFrom::Start(end - tail))
        .map_err(unreadable)?;
    let mut bytes = Vec::new();
    source
        .by_ref()
        .take(tail)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    let mut records = bytes
        .windows(RECORD)
        .filter(|record| record.starts_with(b"PK\x05\x06"))
        .map(|record| usize::from(u16::from_le_bytes([record[FILES], record[FILES + 1]])))
        .peekable();
    if records.peek().is_none() {
        return Err(unreadable("it has no end"));
    }
    // A comment may contain bytes that look like another record.
    Ok(records.max().unwrap_or(0))
}

/// A file in a zip, up to a maximum number of bytes.
fn taken(
    archive: &mut zip::ZipArchive<Box<dyn Source>>,
    name: &str,
    most: u64,
) -> Result<Vec<u8>, SavedError> {
    let file = archive.by_name(name).map_err(unreadable)?;
    // Reserve the size given in the zip, so that memory does not double while the buffer grows.
    let mut out = Vec::with_capacity(file.size().min(most) as usize + 1);
    file.take(most + 1)
        .read_to_end(&mut out)
        .map_err(unreadable)?;
    if out.len() as u64 > most {
        return Err(SavedError::TooLarge);
    }
    Ok(out)
}

/// The text of a visit file with the photos listed at its end, and whether the file lists other
/// photos of its own, so that these were not added.
pub fn with_photos(text: String, visit: &Visit, photos: &[Photo]) -> (String, bool) {
    let known = |p: &&Photo| visit.photos.iter().any(|v| v.file == p.file);
    let new: Vec<&Photo> = photos.iter().filter(|p| !known(p)).collect();
    if new.is_empty() {
        return (text, false);
    }
    if !visit.photos.is_empty() {
        return (text, true);
    }
    // JSON text is also YAML text.
    let json = |s: &str| serde_json::Value::from(s).to_string();
    let mut out = format!("{}\n\nphotos:\n", text.trim_end());
    for photo in new {
        out.push_str(&format!(
            "  - {{ id: {}, file: {}, caption: {} }}\n",
            json(&photo.id),
            json(&photo.file),
            json(&photo.caption)
        ));
    }
    (out, false)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::io::{Cursor, Write};

    fn read(zip: &[u8]) -> Result<Saved, SavedError> {
        Saved::open(Box::new(Cursor::new(zip.to_vec())))
    }

    fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in files {
            writer
                .start_file(*name, zip::write::SimpleFileOptions::default())
                .unwrap();
            writer.write_all(bytes).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    #[test]
    fn values_and_photos_come_back() {
        let sheet = br#"{"values": {"a/heat/1/at": "9:40"},
            "photos": [{"id": "page-1", "file": "photos/page-1.jpg", "caption": "Panel"}]}"#;
        let zip = zipped(&[
            ("worksheet.json", sheet),
            ("photos/page-1.jpg", b"\xFF\xD8\xFFjpeg"),
        ]);
        let mut saved = read(&zip).unwrap();
        assert_eq!(saved.values["a/heat/1/at"], "9:40");
        let photo = saved.photos[0].clone();
        assert_eq!(saved.image(&photo).unwrap(), b"\xFF\xD8\xFFjpeg");
    }

    /// The list of files takes memory for each of them, even if it is empty.
    #[test]
    fn a_zip_of_many_files_is_refused_by_their_number() {
        let names: Vec<String> = (0..=MAX_FILES).map(|n| format!("{n}")).collect();
        let files: Vec<(&str, &[u8])> =
            names.iter().map(|name| (name.as_str(), &b""[..])).collect();
        let many = zipped(&files);
        let count = files_of(&many);
        assert_eq!(count, MAX_FILES + 1);
        assert!(matches!(read(&many), Err(SavedError::TooLarge)));
        // With one file less, it is only not a zip of the page.
        let few = zipped(&files[1..]);
        assert!(matches!(read(&few), Err(SavedError::Unreadable(_))));
        assert!(matches!(
            read(b"PK\x05\x06"),
            Err(SavedError::Unreadable(_))
        ));
    }

    fn files_of(zip: &[u8]) -> usize {
        let mut source: Box<dyn Source> = Box::new(Cursor::new(zip.to_vec()));
        super::files(&mut source).unwrap()
    }

    #[test]
    fn photos_stay_inside_the_folder() {
        for file in [
            "../x.jpg",
            "photos/../x.jpg",
            "photos/.x",
            "photos/a/b.jpg",
            "/x.jpg",
        ] {
            let sheet = format!(
                r#"{{"values": {{}}, "photos": [{{"id": "p", "file": "{file}", "caption": ""}}]}}"#
            );
            let zip = zipped(&[("worksheet.json", sheet.as_bytes()), (file, b"x")]);
            let wanted = SavedError::Path(file.to_owned());
            assert_eq!(read(&zip).err(), Some(wanted));
        }
        assert!(matches!(
            read(b"PK no zip").err(),
            Some(SavedError::Unreadable(_))
        ));
    }
}
