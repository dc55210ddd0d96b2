//! Finding the firm's file on the disk, and the name of this device.

use super::error::FirmError;
use super::file::Firm;
use crate::disk::{Existing, Readers, private_folder, whole_file};
use crate::seal::key_folder;
use crate::visit::limits::FILE_BYTES;
use etcetera::home_dir;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

/// Name of the firm's file.
pub const NAME: &str = "firm.yaml";

/// A file of this name marks the topmost folder that is searched for a firm file.
pub const TOP: &str = ".firm-top";

/// Name of the file in the configuration folder with this device's name.
const DEVICE: &str = "device";

/// The environment variable with this device's name.
const DEVICE_VARIABLE: &str = "WARMLUG_DEVICE";

/// A firm's file on the disk.
#[derive(Debug, Clone)]
pub struct Found {
    /// Where it is.
    pub path: PathBuf,
    /// What it says.
    pub firm: Firm,
    /// Whether the user or the visit named it, or it is in the configuration folder. Only then is
    /// it trusted, because a file found next to a certificate may have come with the certificate.
    pub named: bool,
}

/// Reads the firm's file at `path`, which the user named.
///
/// # Errors
/// It can't be read, or has problems.
pub fn read(path: &Path) -> Result<Found, FirmError> {
    let failed = |source| FirmError::Read {
        path: path.to_owned(),
        source,
    };
    let mut text = String::new();
    let file = std::fs::File::open(path).map_err(failed)?;
    let most = FILE_BYTES as u64 + 1;
    file.take(most).read_to_string(&mut text).map_err(failed)?;
    Ok(Found {
        firm: Firm::read(&text, &path.display().to_string())?,
        path: path.to_owned(),
        named: true,
    })
}

/// The firm's file for files in `folder`: the one `named` by the visit, else the nearest one in the
/// folder or above it, else the one in the configuration folder.
///
/// The search upwards ends at a folder with a file [`TOP`], or at the home folder. A folder outside
/// of the home folder is searched upwards only if there is such a file, because anybody could have
/// put a `firm.yaml` above it.
///
/// # Errors
/// It can't be read, or has problems.
pub fn find(folder: &Path, named: Option<&str>) -> Result<Option<Found>, FirmError> {
    if let Some(named) = named {
        let path = folder.join(named);
        if !path.is_file() {
            return Err(FirmError::NoSuchFile { path });
        }
        return read(&path).map(Some);
    }
    if let Some(path) = above(folder, home_dir().ok().as_deref()) {
        let found = read(&path)?;
        return Ok(Some(Found {
            named: false,
            ..found
        }));
    }
    let Ok(settings) = key_folder::folder() else {
        return Ok(None);
    };
    let path = settings.join(NAME);
    match is_firm(&path) {
        true => read(&path).map(Some),
        false => Ok(None),
    }
}

/// The nearest firm file in a folder or above it.
fn above(folder: &Path, home: Option<&Path>) -> Option<PathBuf> {
    let start = folder.canonicalize().ok()?;
    let home = home.and_then(|home| home.canonicalize().ok());
    let top = |dir: &Path| dir.join(TOP).is_file();
    let climbs =
        start.ancestors().any(top) || home.as_deref().is_some_and(|home| start.starts_with(home));
    for dir in start.ancestors() {
        let path = dir.join(NAME);
        if is_firm(&path) {
            // In the given form if it is the folder itself, so that messages are easier to read.
            return Some(if dir == start {
                folder.join(NAME)
            } else {
                path
            });
        }
        if !climbs || top(dir) || home.as_deref() == Some(dir) {
            break;
        }
    }
    None
}

/// Whether the file is a firm's file. Other files may have the same name, such as a firm's own
/// rules.
fn is_firm(path: &Path) -> bool {
    let Ok(file) = std::fs::File::open(path) else {
        return false;
    };
    let mut text = Vec::new();
    let read = file.take(FILE_BYTES as u64).read_to_end(&mut text);
    let has_key = |line: &[u8]| {
        line.strip_prefix(b"firm")
            .is_some_and(|rest| rest.trim_ascii_start().starts_with(b":"))
    };
    read.is_ok() && path.is_file() && text.split(|b| *b == b'\n').any(has_key)
}

/// The name of this device, if it has one.
///
/// # Errors
/// The file with it can't be read.
pub fn device() -> Result<Option<String>, FirmError> {
    if let Ok(name) = std::env::var(DEVICE_VARIABLE)
        && !name.trim().is_empty()
    {
        return Ok(Some(name.trim().to_owned()));
    }
    let Ok(folder) = key_folder::folder() else {
        return Ok(None);
    };
    let path = folder.join(DEVICE);
    match std::fs::read_to_string(&path) {
        Ok(text) => {
            let name = text.lines().next().unwrap_or_default().trim();
            Ok((!name.is_empty()).then(|| name.to_owned()))
        }
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(None),
        Err(source) => Err(FirmError::Read { path, source }),
    }
}

/// Remembers the name of this device.
///
/// # Errors
/// It can't be written.
pub fn remember_device(name: &str) -> Result<(), FirmError> {
    let Ok(folder) = key_folder::folder() else {
        return Ok(());
    };
    private_folder(&folder)?;
    let text = format!("{name}\n");
    let path = folder.join(DEVICE);
    whole_file(
        &path,
        text.as_bytes(),
        Existing::Replace,
        Readers::OwnerOnly,
    )?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    const FIRM: &str = "# ours\nfirm: { name: A }\n";

    #[test]
    fn the_search_upwards_ends_at_the_home_folder_or_a_marker() {
        let base = tempfile::tempdir().unwrap();
        let base = base.path().canonicalize().unwrap();
        let deep = base.join("home/ada/visits/maple");
        fs::create_dir_all(&deep).unwrap();
        let home = base.join("home/ada");
        fs::write(base.join("home").join(NAME), FIRM).unwrap();
        assert_eq!(above(&deep, Some(&home)), None, "above the home folder");

        fs::write(home.join(NAME), FIRM).unwrap();
        assert_eq!(above(&deep, Some(&home)), Some(home.join(NAME)));
        fs::write(home.join("visits").join(TOP), "").unwrap();
        assert_eq!(above(&deep, Some(&home)), None, "above the marker");
        fs::write(home.join("visits").join(NAME), FIRM).unwrap();
        assert_eq!(
            above(&deep, Some(&home)),
            Some(home.join("visits").join(NAME))
        );
        fs::write(deep.join(NAME), "extends: us\nid: firm\n").unwrap();
        assert_eq!(
            above(&deep, Some(&home)),
            Some(home.join("visits").join(NAME)),
            "a rules file is none"
        );
        fs::write(deep.join(NAME), FIRM).unwrap();
        assert_eq!(above(&deep, Some(&home)), Some(deep.join(NAME)));
    }

    #[test]
    fn outside_of_the_home_folder_only_a_marker_opens_the_way_up() {
        let base = tempfile::tempdir().unwrap();
        let base = base.path().canonicalize().unwrap();
        let visit = base.join("stick/maple");
        let home = base.join("home");
        fs::create_dir_all(&visit).unwrap();
        fs::create_dir_all(&home).unwrap();
        fs::write(base.join("stick").join(NAME), FIRM).unwrap();
        assert_eq!(above(&visit, Some(&home)), None);
        assert_eq!(above(&visit, None), None);
        fs::write(base.join("stick").join(TOP), "").unwrap();
        assert_eq!(
            above(&visit, Some(&home)),
            Some(base.join("stick").join(NAME))
        );
    }
}
