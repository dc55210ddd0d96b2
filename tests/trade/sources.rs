//! Every test of the trade's numbers says where its figures come from: a standard, common practice, memory,
//! or arithmetic alone. What it says is in its own comments, in its code, or at the head of its file.

use std::path::{Path, PathBuf};

/// How a source begins, or what stands for one.
const SOURCES: [&str; 22] = [
    "ANSI/NETA",
    "ASTM ",
    "BS 7671",
    "CODATA",
    "DIN VDE",
    "IEC 6",
    "ILAC-G8",
    "ISO ",
    "JCGM 10",
    "NEMA WD 6",
    "NFPA 70",
    "NIST ",
    "SI brochure",
    "UL 48",
    "UL 1278",
    "common practice, no source",
    "from memory",
    "arithmetic alone",
    // Clauses of the standard that the head of a file names.
    "Clauses are those of",
    "Table B.52",
    "Table 310",
    "Table 250",
];

/// The test functions of a file that name no source, with the head of the file counted for each.
fn unsourced(text: &str) -> Vec<String> {
    let head: String = text.lines().filter(|l| l.starts_with("//!")).collect();
    let sourced = |text: &str| SOURCES.iter().any(|source| text.contains(source));
    if sourced(&head) {
        return Vec::new();
    }
    let lines: Vec<&str> = text.lines().collect();
    let tests = (0..lines.len()).filter(|i| lines[*i] == "#[test]");
    let mut out = Vec::new();
    for at in tests {
        let outside = |l: &&&str| l.starts_with("///") || l.starts_with("#[");
        let above = lines[..at].iter().rev().take_while(outside).count();
        let end = lines[at..].iter().position(|l| *l == "}").unwrap() + at;
        let whole = lines[at - above..=end].join("\n");
        if !sourced(&whole) {
            let name = whole.split("fn ").nth(1).unwrap_or_default();
            out.push(name.split('(').next().unwrap_or_default().to_owned());
        }
    }
    out
}

fn files(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// Arithmetic alone: nothing here is a figure of the trade.
#[test]
fn every_test_of_the_trade_names_a_source() {
    let mut all = Vec::new();
    files(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/trade"),
        &mut all,
    );
    assert!(all.len() > 15, "{all:?}");
    let mut told = Vec::new();
    let mut tests = 0;
    for path in all {
        let text = std::fs::read_to_string(&path).unwrap();
        tests += text.lines().filter(|l| *l == "#[test]").count();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        told.extend(
            unsourced(&text)
                .into_iter()
                .map(|test| format!("{name}: {test}")),
        );
    }
    assert!(tests > 200, "{tests}");
    assert!(told.is_empty(), "no source: {told:#?}");
}

/// Arithmetic alone, as above: a test without a source is noticed, and one with a source is not.
#[test]
fn a_test_without_a_source_is_noticed() {
    let file = |head: &str, own: &str| {
        format!("//! {head}\n\n{own}\n#[test]\nfn seven() {{\n    x();\n}}\n")
    };
    assert_eq!(unsourced(&file("Numbers.", "/// Seven.")), ["seven"]);
    assert!(unsourced(&file("Numbers.", "/// Seven, from memory.")).is_empty());
    assert!(unsourced(&file("Numbers of UL 489 (2016).", "/// Seven.")).is_empty());
}
