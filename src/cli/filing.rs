//! Where certificates are filed: by a pattern below one folder, which nothing that a visit says leads
//! out of.

use super::bounded_read;
use super::error::CommandError;
use super::folders::folder_of;
use crate::certify::Loaded;
use crate::firm::file_name::{Pattern, same_on_any_disk};
use crate::firm::lookup::Found;
use crate::lookalike::folded;
use crate::register::rows;
use crate::seal::key_folder;
use crate::visit::Visit;
use std::collections::HashMap;
use std::io::ErrorKind;
use std::path::{Component, Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The names given in this run, and the visit that each was given to.
pub(super) type Names = Mutex<HashMap<String, PathBuf>>;

/// A place for a certificate below a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Place {
    /// The folder, which exists.
    folder: PathBuf,
    /// The path below it: names of folders and of a file.
    below: PathBuf,
}

impl Place {
    /// The place of a visit's certificate by a pattern.
    ///
    /// # Errors
    /// The folder does not exist, or is none.
    pub(super) fn of(
        folder: PathBuf,
        pattern: &Pattern,
        loaded: &Loaded,
    ) -> Result<Self, CommandError> {
        existing(&folder)?;
        let below = pattern.path(|value| value.of(&loaded.visit, &loaded.assessment));
        Ok(Self { folder, below })
    }

    /// The file.
    pub(super) fn target(&self) -> PathBuf {
        match self.folder.as_os_str() == "." {
            true => self.below.clone(),
            false => self.folder.join(&self.below),
        }
    }

    /// Reserves the name for a visit.
    ///
    /// # Errors
    /// Another visit of this run has it, in any spelling that a file system takes for the same.
    pub(super) fn reserve(&self, names: &Names, visit: &Path) -> Result<(), CommandError> {
        let target = self.target();
        let key = same_on_any_disk(&target.to_string_lossy());
        let mut names = names.lock().unwrap_or_else(PoisonError::into_inner);
        let first = names.entry(key).or_insert_with(|| visit.to_owned());
        if first == visit {
            return Ok(());
        }
        Err(CommandError::Refused(format!(
            "{}: its certificate would have the name {}, which that of {} has; put {{number}} into the \
             pattern",
            visit.display(),
            target.display(),
            first.display()
        )))
    }

    /// Refuses a file that may not be replaced: the certificate of another visit, even with `--force`,
    /// and a link, which may lead out of the folder.
    pub(super) fn spare(&self, visit: &Visit) -> Result<(), CommandError> {
        let target = self.target();
        let Ok(there) = target.symlink_metadata() else {
            return Ok(());
        };
        let refused = |why: String| {
            Err(CommandError::Refused(format!(
                "{}: {why}",
                target.display()
            )))
        };
        if there.is_symlink() {
            return refused(
                "that is a link, and may lead out of the folder of certificates; remove it"
                    .to_owned(),
            );
        }
        if !there.is_file() {
            return Ok(());
        }
        let inspector = &visit.inspector;
        let firm = inspector.firm.as_ref().unwrap_or(&inspector.name);
        match rows::number(&bounded_read::read_certificate(&target)?) {
            Some((number, by)) if number != visit.number || folded(&by) != folded(firm) => {
                refused(format!(
                    "that is certificate {number} of {by}, of another visit; put {{number}} into the \
                     pattern"
                ))
            }
            _ => Ok(()),
        }
    }

    /// Checks the folders between, and creates those that do not exist if `create` is set.
    ///
    /// # Errors
    /// One is a file, cannot be created, or is a link that leads out of the folder.
    pub(super) fn folders(&self, create: bool) -> Result<(), CommandError> {
        let top = real(&self.folder)?;
        let mut path = self.folder.clone();
        let between = self.below.parent().into_iter().flat_map(Path::components);
        for name in between {
            path.push(name);
            match path.symlink_metadata() {
                Ok(about) if about.is_symlink() && !real(&path)?.starts_with(&top) => {
                    return Err(CommandError::Refused(format!(
                        "{}: that is a link out of the folder {}, and no certificate is filed outside of it",
                        path.display(),
                        self.folder.display()
                    )));
                }
                Ok(_) if path.is_dir() => {}
                Ok(_) => {
                    return Err(CommandError::Refused(format!(
                        "{}: a folder is needed there, and that is none",
                        path.display()
                    )));
                }
                Err(e) if e.kind() == ErrorKind::NotFound => {
                    if create && let Err(e) = std::fs::create_dir(&path)
                        // Another visit of the same site was faster.
                        && e.kind() != ErrorKind::AlreadyExists
                    {
                        return Err(CommandError::writing(&path, &e));
                    }
                }
                Err(e) => return Err(CommandError::writing(&path, &e)),
            }
        }
        Ok(())
    }
}

/// Checks that a folder for certificates is there.
///
/// # Errors
/// It does not exist, or is none.
pub(super) fn existing(folder: &Path) -> Result<(), CommandError> {
    if folder.is_dir() {
        return Ok(());
    }
    Err(CommandError::System(format!(
        "{}: there is no such folder to file certificates in; create it first, or name another with -o",
        folder.display()
    )))
}

/// A path without links.
fn real(path: &Path) -> Result<PathBuf, CommandError> {
    path.canonicalize()
        .map_err(|e| CommandError::reading(path, &e))
}

/// The folder in which a firm files its certificates.
///
/// A `firm.yaml` may come with a visit from anybody, so that it can name only folders below its own;
/// that in the configuration folder is the user's, and can name any.
///
/// # Errors
/// It names a folder elsewhere, or the one in the configuration folder names none.
pub(super) fn firm_folder(found: &Found) -> Result<PathBuf, CommandError> {
    let own = folder_of(&found.path);
    let same = |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
    let settings = key_folder::folder().is_ok_and(|settings| same(&settings, &own));
    let refused = |why: &str| {
        Err(CommandError::Refused(format!(
            "{}: {why}, or name the folder with -o",
            found.path.display()
        )))
    };
    let Some(folder) = &found.firm.certificates else {
        return match settings {
            true => refused("`certificate_names` needs a folder; add `certificates: FOLDER`"),
            false => Ok(own),
        };
    };
    let joined = own.join(folder);
    if settings {
        return Ok(joined);
    }
    let plain = |part: Component<'_>| matches!(part, Component::Normal(_) | Component::CurDir);
    let inside = || {
        let (own, joined) = (own.canonicalize().ok()?, joined.canonicalize().ok()?);
        Some(joined.starts_with(own))
    };
    if !Path::new(folder).components().all(plain) || inside() == Some(false) {
        return refused(
            "`certificates` leads out of the folder of this file, so nothing is filed there; move the \
             folder here",
        );
    }
    Ok(joined)
}
