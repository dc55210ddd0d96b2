//! Bad files: one small file a case, and every word that is said about it.
//!
//! A case in `tests/bad/` is a change to the sound file of [`SMALL`](crate::world::SMALL) or a
//! whole file; its diagnostics are next to it.

use crate::world::read;
use std::fmt::Write;

/// Reads every file of `tests/bad/` and compares all that is said with what is approved.
#[test]
fn every_bad_file_says_what_is_approved() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let mut names: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .collect();
    names.sort();
    assert!(names.len() >= 60, "{} bad files", names.len());
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../bad");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    for path in names {
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let source = std::fs::read_to_string(&path).unwrap();
        let Err(problems) = read(&source) else {
            panic!("{name} is sound")
        };
        let mut shown = String::new();
        write!(shown, "{problems}").unwrap();
        settings.bind(|| insta::assert_snapshot!(name, shown));
    }
}
