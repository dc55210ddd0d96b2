//! What was sealed is written in the regular way too: whoever seals a file could otherwise put a second
//! document between its objects, which some reader shows and `verify` never looks at.
//!
//! What readers do with such files was observed (poppler, pdf.js, MuPDF, Ghostscript and PDFium); the regular
//! spelling is that of ISO 32000-1, 7.5.
use crate::seal_common::{Kind, base, identity, signed_at};
use warmlug::pdf::{Dict, Writer};
use warmlug::seal::report::Answer;
use warmlug::seal::{SignOptions, VerifyOptions, sign, verify};

const DECOY: &str = "900 0 obj\n<</Type /Catalog /Pages 901 0 R>>\nendobj\n";

/// The base with something in front of its table, whose place is corrected.
fn in_front_of_table(more: &str) -> Vec<u8> {
    let pdf = base(Kind::Table, true);
    let at = find(&pdf, b"xref\n0 ");
    let from = find(&pdf, b"startxref");
    let place = at + more.len();
    let end = format!("startxref\n{place}\n%%EOF\n");
    [&pdf[..at], more.as_bytes(), &pdf[at..from], end.as_bytes()].concat()
}

fn find(pdf: &[u8], what: &[u8]) -> usize {
    pdf.windows(what.len()).position(|w| w == what).unwrap()
}

/// The base with each occurrence of some bytes in its table and trailer replaced.
fn in_table(change: impl Fn(&str) -> String) -> Vec<u8> {
    let pdf = base(Kind::Table, true);
    let at = find(&pdf, b"xref\n0 ");
    let table = String::from_utf8(pdf[at..].to_vec()).unwrap();
    [&pdf[..at], change(&table).as_bytes()].concat()
}

#[track_caller]
fn told(pdf: &[u8]) -> String {
    let options = SignOptions::at(signed_at());
    let sealed = sign(pdf, &identity(), &options).unwrap().into_bytes();
    let report = verify(&sealed, &VerifyOptions::default());
    match &report.readable {
        Answer::Yes => {
            assert!(report.unchanged(), "{:?}", report.objections());
            String::new()
        }
        Answer::No(why) | Answer::NotDetermined(why) => {
            assert!(!report.unchanged() && report.verified().is_none());
            assert!(report.sentence().contains(why), "{}", report.sentence());
            why.clone()
        }
    }
}

#[test]
fn what_is_sealed_is_written_in_the_regular_way() {
    for kind in [Kind::Table, Kind::Stream] {
        assert_eq!(told(&base(kind, true)), "");
    }
    for (pdf, why) in [
        (in_front_of_table(DECOY), "bytes belong to no object"),
        (
            in_front_of_table("% a comment\n"),
            "bytes belong to no object",
        ),
        (
            in_front_of_table(&format!("trailer\n<</Root 900 0 R>>\n{DECOY}")),
            "bytes belong to no object",
        ),
        (
            in_table(|table| table.replace(" 00000 n \n", " 00000 n\n")),
            "a table is spelled in an unusual way",
        ),
        (
            in_table(|table| table.replace(" 00000 n \n", "  00000 n \n")),
            "a table is spelled in an unusual way",
        ),
        (
            in_table(|table| table.replacen("xref\n", "xref%x\n", 1)),
            "a table holds more",
        ),
        (
            in_table(|table| table.replacen("/Size ", "/Size -", 1)),
            "a table has a wrong /Size",
        ),
        (
            in_table(|table| table.replacen("<<", "<</Linearized 1", 1)),
            "the trailer has a /Linearized",
        ),
    ] {
        let told = told(&pdf);
        assert!(told.contains(why), "{why}: {told}");
    }
}

/// A listed object that makes readers look for the pages in another place, and words in a value that a
/// reader which rebuilds the file takes for objects.
#[test]
fn an_object_that_leads_elsewhere_is_refused() {
    let replaced = |from: &str, to: &str| {
        let mut pdf = base(Kind::Table, true);
        let at = find(&pdf, from.as_bytes());
        assert_eq!(from.len(), to.len());
        pdf[at..at + to.len()].copy_from_slice(to.as_bytes());
        told(&pdf)
    };
    let led = replaced("/BaseFont/Helvetica", "/Linearized 1      ");
    assert!(led.contains("by another way than the tables"), "{led}");
    let words = replaced(" Td (Certificate 2026", " Td (9 0 obj<</X 3>>>");
    assert!(words.contains("could take for other pages"), "{words}");
    let head = replaced("%PDF-1.7", "%PDF-1.4");
    assert!(head.contains("does not begin like a certificate"), "{head}");
}

/// A stream of the kind that holds objects, or a table, but which no table uses.
#[test]
fn objects_that_no_table_lists_are_refused() {
    for (kind, why) in [
        ("ObjStm", "contains objects that no table lists"),
        ("XRef", "is a table to which nothing refers"),
    ] {
        let mut file = Writer::new();
        let pages = file.reserve();
        let page = file.add(Dict::from([
            ("Type", "Page".into()),
            ("Parent", pages.into()),
            ("MediaBox", [0, 0, 612, 792].into()),
        ]));
        file.put(
            pages,
            Dict::from([
                ("Type", "Pages".into()),
                ("Count", 1.into()),
                ("Kids", [page].into()),
            ]),
        );
        let head = Dict::from([("Type", kind.into()), ("N", 1.into()), ("First", 6.into())]);
        file.stream(head, &b"900 0 <</Type/Catalog/Pages 901 0 R>> ".repeat(9));
        let catalog = file.add(Dict::from([
            ("Type", "Catalog".into()),
            ("Pages", pages.into()),
        ]));
        let pdf = file.finish(Dict::from([("Root", catalog.into())]), false);
        let told = told(&pdf);
        assert!(told.contains(why), "{kind}: {told}");
    }
}
