//! Generating Rust source from the YAML files under `templates/`. It is committed, so that neither
//! the build nor the start of the program has to read YAML. Tests next to its users generate it
//! again and compare.

use std::path::{Path, PathBuf};

/// The command that generates it.
const COMMAND: &str = "WARMLUG_BLESS=1 cargo test --lib are_current";

/// The head of a generated file.
pub(crate) const HEAD: &str = "\
// Made from the YAML files beside it; not to be edited. After a change of theirs:
//     WARMLUG_BLESS=1 cargo test --lib are_current
";

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The YAML files of a folder, sorted: name without extension, and text.
pub(crate) fn yaml_files(folder: &str) -> Vec<(String, String)> {
    let folder = path(folder);
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    files.retain(|path: &PathBuf| path.extension().is_some_and(|e| e == "yaml"));
    files.sort();
    assert!(!files.is_empty(), "{}", folder.display());
    let stem = |path: &PathBuf| path.file_stem().map(|s| s.to_string_lossy().into_owned());
    files
        .iter()
        .map(|path| (stem(path).unwrap_or_default(), read(path)))
        .collect()
}

/// Fails if a generated file is out of date; with `WARMLUG_BLESS` set, writes it.
pub(crate) fn assert_current(name: &str, made: &str) {
    let path = path(name);
    if std::env::var_os("WARMLUG_BLESS").is_some() {
        std::fs::write(&path, made).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    }
    assert!(
        read(&path) == made,
        "{name} is out of date: run `{COMMAND}` and commit the file"
    );
}
