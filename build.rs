//! Computes the build id: a digest of everything that affects findings, words and the appearance of
//! pages. Two builds with the same id write the same certificate from the same visit, so a
//! certificate with the same id can be compared in every detail, and one with another id only in
//! part.
//!
//! It covers the sources in [`MAKES`] without their tests, the templates and fonts that are
//! compiled in, and the versions of the crates in [`CRATES`]. Line endings and the location of the
//! sources do not count. Files that are in none of the lists are refused, so that new ones are not
//! forgotten.

use sha2::{Digest, Sha256};
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

/// Sources that affect findings, words and pages.
const MAKES: [&str; 18] = [
    "fonts",
    "src/assess",
    "src/certify",
    "src/compose",
    "src/nearest.rs",
    "src/pdf",
    "src/photo",
    "src/quantity",
    "src/quoted.rs",
    "src/rules",
    "src/typeset",
    "src/visit",
    "src/vocabulary",
    "src/yaml",
    "templates/hyphenation",
    "templates/rules",
    "templates/wording",
    "templates/zones",
];

/// Sources that do not: they sign, read, ask, print, or are used after the certificate was made.
const OTHERS: [&str; 16] = [
    "src/amend",
    "src/cli",
    "src/counted_up.rs",
    "src/disk",
    "src/firm",
    "src/generated.rs",
    "src/lib.rs",
    "src/lookalike.rs",
    "src/main.rs",
    "src/next",
    "src/orders",
    "src/record",
    "src/register",
    "src/reminders",
    "src/seal",
    "src/web",
];

/// Crates whose versions affect them too: number formats, plural forms and lists (icu,
/// fixed_decimal), line breaks (unicode-linebreak),
/// glyphs and their subsets (ttf-parser, subsetter), the code on the first page (qrcode), photos as
/// they are embedded, the mathematics of the findings (libm) and the reading of the visit file
/// (granit-parser).
const CRATES: [&str; 22] = [
    "fast_image_resize",
    "fixed_decimal",
    "granit-parser",
    "icu_decimal",
    "icu_decimal_data",
    "icu_list",
    "icu_list_data",
    "icu_plurals",
    "icu_plurals_data",
    "image",
    "image-webp",
    "jpeg-decoder",
    "jpeg-encoder",
    "kamadak-exif",
    "libm",
    "png",
    "qrcode",
    "subsetter",
    "tiff",
    "ttf-parser",
    "unicode-linebreak",
    "zune-jpeg",
];

/// Extensions of files that are compiled in.
const KINDS: [&str; 6] = ["icc", "patterns", "rs", "tsv", "ttf", "yaml"];

fn main() -> Result<(), Box<dyn Error>> {
    for listed in MAKES {
        println!("cargo::rerun-if-changed={listed}");
    }
    println!("cargo::rerun-if-changed=src");
    println!("cargo::rerun-if-changed=Cargo.lock");

    let mut files = Vec::new();
    for entry in entries(Path::new("src"))? {
        let name = slashed(&entry);
        if MAKES.contains(&name.as_str()) {
            below(&entry, &mut files)?;
        } else if !OTHERS.contains(&name.as_str()) {
            return Err(format!(
                "{name}: say in build.rs whether it makes findings, words or pages"
            )
            .into());
        }
    }
    for folder in MAKES.iter().filter(|name| !name.starts_with("src/")) {
        below(Path::new(folder), &mut files)?;
    }
    files.sort_by_key(|path| slashed(path));

    let mut digest = Sha256::new();
    let mut enter = |name: &str, bytes: &[u8]| {
        digest.update((name.len() as u64).to_le_bytes());
        digest.update(name);
        digest.update((bytes.len() as u64).to_le_bytes());
        digest.update(bytes);
    };
    for path in &files {
        let name = slashed(path);
        if name.ends_with(".rs") || name.ends_with(".yaml") {
            let text = fs::read_to_string(path)?.replace('\r', "");
            enter(&name, without_tests(&text).as_bytes());
        } else {
            enter(&name, &fs::read(path)?);
        }
    }
    let lock = fs::read_to_string("Cargo.lock")?;
    for name in CRATES {
        let versions = versions(&lock, name);
        if versions.is_empty() {
            return Err(format!("{name}: no longer in Cargo.lock; take it out of build.rs").into());
        }
        enter(name, versions.join(" ").as_bytes());
    }
    // 64 bits are enough to distinguish versions; nobody gains anything from a collision.
    let id: String = digest
        .finalize()
        .iter()
        .take(8)
        .map(|b| format!("{b:02x}"))
        .collect();
    println!("cargo::rustc-env=WARMLUG_BUILD={id}");
    Ok(())
}

/// The entries of a folder, in any order.
fn entries(folder: &Path) -> Result<Vec<PathBuf>, std::io::Error> {
    fs::read_dir(folder)?
        .map(|entry| Ok(entry?.path()))
        .collect()
}

/// The compiled-in files of an entry in a list: a file, a folder of sources with its subfolders, or
/// a folder of templates or fonts without them.
fn below(path: &Path, files: &mut Vec<PathBuf>) -> Result<(), std::io::Error> {
    if path.is_dir() {
        for entry in entries(path)? {
            if entry.is_file() || path.starts_with("src") {
                below(&entry, files)?;
            }
        }
    } else if path
        .extension()
        .is_some_and(|e| KINDS.iter().any(|kind| e == *kind))
    {
        files.push(path.to_owned());
    }
    Ok(())
}

/// A path in the form that is the same on every system.
fn slashed(path: &Path) -> String {
    let parts: Vec<_> = path.iter().map(|part| part.to_string_lossy()).collect();
    parts.join("/")
}

/// A source without the tests at its end, which are not part of the program.
fn without_tests(source: &str) -> &str {
    let Some(at) = source.rfind("\n#[cfg(test)]\n") else {
        return source;
    };
    let (before, tests) = source.split_at(at + 1);
    let module = tests.lines().find(|line| !line.starts_with("#["));
    // The module's own brace is the only one at the beginning of a line.
    let last = tests.trim_end().lines().position(|line| line == "}");
    let whole = last.is_some_and(|i| i + 1 == tests.trim_end().lines().count());
    if whole && module.is_some_and(|line| line.ends_with("mod tests {")) {
        before
    } else {
        source
    }
}

/// The versions of a crate in the lock file.
fn versions<'l>(lock: &'l str, name: &str) -> Vec<&'l str> {
    let named = format!("name = \"{name}\"");
    let mut lines = lock.lines();
    let mut found = Vec::new();
    while let Some(line) = lines.next() {
        if line == named {
            found.extend(lines.next().and_then(|l| l.strip_prefix("version = ")));
        }
    }
    found
}
