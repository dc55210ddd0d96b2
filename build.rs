//! Turns the wordings under `templates/wording/` into tables that the program reads without any
//! parsing at its start (reading the YAML takes a millisecond a language).

#[path = "src/compose/wording/file.rs"]
mod file;

use std::error::Error;
use std::fmt::Write;
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=templates/wording");
    println!("cargo::rerun-if-changed=src/compose/wording/file.rs");

    let mut files: Vec<PathBuf> = std::fs::read_dir("templates/wording")?
        .map(|entry| Ok(entry?.path()))
        .collect::<Result<_, std::io::Error>>()?;
    files.retain(|path| path.extension().is_some_and(|e| e == "yaml"));
    files.sort();

    let mut code = String::from("pub(super) static BUILT_IN: &[Wording] = &[\n");
    for path in &files {
        println!("cargo::rerun-if-changed={}", path.display());
        let language = path
            .file_stem()
            .and_then(|s| s.to_str())
            .ok_or("a wording’s file name is its language code")?;
        let source = std::fs::read_to_string(path)?;
        let entries = file::read(&source).map_err(|e| format!("{}: {e}", path.display()))?;
        writeln!(
            code,
            "Wording {{ language: Cow::Borrowed({language:?}), entries: Cow::Borrowed(&["
        )?;
        for (key, text) in entries {
            writeln!(code, "(Cow::Borrowed({key:?}), Cow::Borrowed({text:?})),")?;
        }
        code.push_str("]) },\n");
    }
    code.push_str("];\n");

    let out = std::env::var_os("OUT_DIR").ok_or("cargo sets OUT_DIR")?;
    std::fs::write(Path::new(&out).join("wordings.rs"), code)?;
    Ok(())
}
