//! The gallery: documents of every kind and size, written as PDF to `target/gallery` to be looked
//! at (`tests/gallery/make` turns them into pictures), and held to what can be checked here.

#![allow(clippy::unwrap_used, clippy::panic)]

mod documents;
mod examples;

use documents::{Size, certificate};
use warmlug::compose::tree::{Document, Signal};
use warmlug::typeset::render;
use warmlug::visit::Paper;

const USUAL: Size = Size {
    places: 4,
    legs: 2,
    long: false,
    photos: 2,
};

fn all() -> Vec<(&'static str, Document)> {
    let mut draft = certificate(USUAL, Signal::Caution);
    draft.draft = Some("DRAFT".into());
    let mut a4 = certificate(USUAL, Signal::Good);
    a4.paper = Paper::A4;
    a4.letterhead.accent = Some([255, 190, 0]);
    vec![
        ("usual", certificate(USUAL, Signal::Caution)),
        (
            "one-connection",
            certificate(
                Size {
                    places: 1,
                    legs: 1,
                    long: false,
                    photos: 0,
                },
                Signal::Good,
            ),
        ),
        (
            "forty-connections",
            certificate(
                Size {
                    places: 20,
                    legs: 2,
                    long: false,
                    photos: 2,
                },
                Signal::Danger,
            ),
        ),
        (
            "three-phases",
            certificate(
                Size {
                    places: 4,
                    legs: 3,
                    long: false,
                    photos: 1,
                },
                Signal::Notice,
            ),
        ),
        (
            "long-names",
            certificate(
                Size {
                    places: 5,
                    legs: 3,
                    long: true,
                    photos: 3,
                },
                Signal::Warning,
            ),
        ),
        (
            "no-photos",
            certificate(Size { photos: 0, ..USUAL }, Signal::Good),
        ),
        (
            "sixty-photos",
            certificate(
                Size {
                    photos: 60,
                    ..USUAL
                },
                Signal::Good,
            ),
        ),
        ("unknown", certificate(USUAL, Signal::Unknown)),
        ("draft", draft),
        ("a4", a4),
    ]
}

#[test]
fn every_document_is_typeset() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("gallery");
    std::fs::create_dir_all(&folder).unwrap();
    let examples = examples::names()
        .into_iter()
        .map(|n| (n.clone(), examples::document(&n)));
    for (name, document) in all()
        .into_iter()
        .map(|(n, d)| (n.to_owned(), d))
        .chain(examples)
    {
        let bytes = render(&document).unwrap_or_else(|e| panic!("{name}: {e}"));
        let read = lopdf::Document::load_mem(&bytes).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(read.get_pages().len() >= 2, "{name}");
        println!(
            "{name}: {} pages, {} bytes",
            read.get_pages().len(),
            bytes.len()
        );
        std::fs::write(folder.join(format!("{name}.pdf")), bytes).unwrap();
    }
}
