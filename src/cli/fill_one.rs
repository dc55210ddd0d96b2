//! One filled-in sheet copied into one visit file.

use super::bounded_read;
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::input;
use super::output;
use super::target;
use super::terminal;
use super::visit_problems;
use crate::disk::{lock, space};
use crate::next::saved_page::{Photo, Saved, Source};
use crate::next::{form_fields, merge, saved_page};
use crate::record::recompute::Accepted;
use crate::visit;
use std::fs::File;
use std::io::{BufReader, Cursor, Read, Seek};
use std::path::{Path, PathBuf};

/// One sheet for one visit file.
pub(super) struct One {
    /// The visit file.
    pub(super) visit: PathBuf,
    /// The sheet.
    pub(super) sheet: PathBuf,
    /// The file to write, if not the visit file.
    pub(super) output: Option<PathBuf>,
    /// Whether sections that the file already has are replaced.
    pub(super) replace: bool,
    /// Whether an existing output is overwritten.
    pub(super) force: bool,
}

impl One {
    /// Copies the sheet into the file.
    pub(super) fn fill(self) -> Result<(), CommandError> {
        let _lock = lock(&self.visit);
        let text = bounded_read::read_text(&self.visit)?;
        let name = self.visit.display().to_string();
        let whole = firm::filled(text.clone(), &self.visit)?;
        let read = visit::read(&whole, &name, &Accepted).map_err(visit_problems::refused)?;
        let error_in = |path: &Path, e: &dyn std::fmt::Display| {
            CommandError::Refused(format!("{}: {e}", path.display()))
        };
        let (values, mut saved) = match sheet(&self.sheet)? {
            Sheet::Pdf(bytes) => {
                let values = form_fields::values(&bytes).map_err(|e| error_in(&self.sheet, &e))?;
                (values, None)
            }
            Sheet::Zip(source) => {
                let saved = Saved::open(source).map_err(|e| error_in(&self.sheet, &e))?;
                (saved.values.clone(), Some(saved))
            }
        };
        let photos = saved
            .as_ref()
            .map_or_else(Vec::new, |saved| saved.photos.clone());
        let filled = merge::fill(&text, &read, &values, self.replace)
            .map_err(|e| error_in(&self.visit, &e))?;
        let (filled, unlisted) = saved_page::with_photos(filled, &read, &photos);
        if unlisted {
            terminal::say(&format!(
                "{name} already has `photos:`; add those of the sheet to it yourself"
            ));
        }
        let whole = firm::filled(filled.clone(), &self.visit)?;
        if let Err(problems) = visit::read(&whole, &format!("{name}, filled in"), &Accepted) {
            terminal::say(problems.to_string().trim_end());
            return Err(CommandError::Refused(format!(
                "{name}: not changed, because the values above cannot be read; correct them in {} \
                 and run this command again",
                self.sheet.display()
            )));
        }
        let target = self.output.as_ref().unwrap_or(&self.visit);
        if target.as_os_str() != "-" {
            if let Some(output) = &self.output {
                let inputs = input::files_of(&read, &self.visit);
                target::spare(output, inputs.iter().chain([&self.sheet]))?;
                target::free(output, self.force)?;
            }
            let inputs = [self.visit.as_path(), &self.sheet];
            if let Some(saved) = &mut saved {
                let folder = folder_of(target);
                inside(&folder, &photos, inputs)?;
                // All are compared before the first is written, so that either all are written or
                // none.
                let mut new = Vec::new();
                for photo in &photos {
                    let path = folder.join(&photo.file);
                    if path.symlink_metadata().is_err() {
                        new.push((photo, path));
                        continue;
                    }
                    let bytes = saved.image(photo).map_err(|e| error_in(&self.sheet, &e))?;
                    same_photo(&path, &bytes)?;
                }
                let needed = new.iter().map(|(photo, _)| photo.length).sum();
                if let Some(why) = no_room(needed, space::free(&folder)) {
                    return Err(CommandError::System(format!("{}: {why}", folder.display())));
                }
                for (photo, path) in new {
                    let bytes = saved.image(photo).map_err(|e| error_in(&self.sheet, &e))?;
                    put_photo(&path, &bytes)?;
                }
            }
        }
        match &self.output {
            Some(path) if path.as_os_str() == "-" => output::print(&filled)?,
            Some(path) => output::write(path, filled.as_bytes(), self.force)?,
            None => {
                // The file was saved in an editor meanwhile; do not undo that.
                if bounded_read::read_text(&self.visit)? != text {
                    return Err(CommandError::Refused(format!(
                        "{name}: not changed, because another program has just changed it; run this \
                         command again"
                    )));
                }
                output::write(&self.visit, filled.as_bytes(), true)?;
            }
        }
        if target.as_os_str() != "-" {
            terminal::say(&format!(
                "{}: {} filled in. Now: warmlug check {0}",
                target.display(),
                match values.len() {
                    1 => "one value".to_owned(),
                    n => format!("{n} values"),
                }
            ));
        }
        Ok(())
    }
}

/// A worksheet as it was filled in: a form, or a zip that is read piece by piece.
pub(super) enum Sheet {
    Pdf(Vec<u8>),
    Zip(Box<dyn Source>),
}

/// Opens a sheet and looks at which kind it is.
pub(super) fn sheet(path: &Path) -> Result<Sheet, CommandError> {
    const ZIP: &[u8] = b"PK";
    // A pipe can be read only once, and not backwards.
    if !path.metadata().is_ok_and(|about| about.is_file()) {
        let bytes = bounded_read::read_bytes(path)?;
        return Ok(match bytes.starts_with(ZIP) {
            true => Sheet::Zip(Box::new(Cursor::new(bytes))),
            false => Sheet::Pdf(bytes),
        });
    }
    let mut start = Vec::new();
    let opened = File::open(path).and_then(|mut file| {
        (&mut file).take(ZIP.len() as u64).read_to_end(&mut start)?;
        file.rewind()?;
        Ok(file)
    });
    let file = opened.map_err(|e| CommandError::reading(path, &e))?;
    Ok(match start == ZIP {
        true => Sheet::Zip(Box::new(BufReader::new(file))),
        false => Sheet::Pdf(bounded_read::read_bytes(path)?),
    })
}

/// Why so many bytes do not fit, so that nothing is written before the disk is full.
fn no_room(needed: u64, free: Option<u64>) -> Option<String> {
    let free = free.filter(|free| *free < needed)?;
    Some(format!(
        "nothing was written, because the photos take {} MB and {} MB are free on this disk",
        needed.div_ceil(1_000_000),
        free / 1_000_000
    ))
}

/// Refuses photos that would overwrite one of `inputs`, or be written through a link to outside the
/// visit's folder.
fn inside(folder: &Path, photos: &[Photo], inputs: [&Path; 2]) -> Result<(), CommandError> {
    for photo in photos {
        let path = folder.join(&photo.file);
        for place in [folder_of(&path), path.clone()] {
            if place.is_symlink() {
                return Err(CommandError::Refused(format!(
                    "{}: this is a link, and photos are written only into the visit's own folder; \
                     replace the link with a folder or a file",
                    place.display()
                )));
            }
        }
        target::spare(&path, inputs)?;
    }
    Ok(())
}

/// Refuses a photo if a different photo with its name exists. Photos are evidence: not even
/// `--force` overwrites one.
fn same_photo(path: &Path, bytes: &[u8]) -> Result<(), CommandError> {
    let same_size = |about: std::fs::Metadata| about.is_file() && about.len() == bytes.len() as u64;
    if path.metadata().is_ok_and(same_size) && std::fs::read(path).is_ok_and(|there| there == bytes)
    {
        return Ok(());
    }
    Err(CommandError::Refused(format!(
        "{}: another photo of this name is there already, and photos are never overwritten; move or \
         rename that photo, then run this command again",
        path.display()
    )))
}

/// Writes a photo next to the visit file. A photo that this run has already written under the same
/// name stays if it is the same.
fn put_photo(path: &Path, bytes: &[u8]) -> Result<(), CommandError> {
    if path.symlink_metadata().is_ok() {
        return same_photo(path, bytes);
    }
    let parent = folder_of(path);
    std::fs::create_dir_all(&parent).map_err(|e| CommandError::writing(&parent, &e))?;
    output::write(path, bytes, false)?;
    terminal::say(&format!("{}: written", path.display()));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::no_room;

    #[test]
    fn photos_that_do_not_fit_on_the_disk_are_not_begun() {
        assert_eq!(no_room(5_000_000, Some(5_000_000)), None);
        assert_eq!(no_room(5_000_000, None), None);
        let why = no_room(5_000_001, Some(5_000_000)).unwrap_or_default();
        assert!(why.contains("take 6 MB and 5 MB are free"), "{why}");
    }
}
