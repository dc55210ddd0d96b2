//! The gallery: documents of every kind and size, written as PDF to `target/gallery` to be looked
//! at (`tests/gallery/make` turns them into pictures), and checked as far as that is possible here.

pub mod documents;
mod examples;
mod structure;

use crate::pdf_common::Pdf;
use documents::{Size, certificate};
use warmlug::compose::document::{Document, Format, Signal};
use warmlug::seal::{Identity, Person, SignOptions, VerifyOptions, sign, verify};
use warmlug::typeset::{Options, render, render_with};
use warmlug::visit::{LANGUAGES, Paper};

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
    a4.format = Format::Sheets(Paper::A4);
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

/// Name and bytes of every document of the gallery.
fn typeset() -> Vec<(String, Vec<u8>)> {
    let drawn = all()
        .into_iter()
        .map(|(name, document)| (name.to_owned(), document));
    let examples = examples::names()
        .into_iter()
        .map(|n| (n.clone(), examples::document(&n)));
    let languages = LANGUAGES
        .into_iter()
        .map(|l| (format!("language-{l}"), examples::in_language(l)));
    drawn
        .chain(examples)
        .chain(languages)
        .map(|(name, document)| {
            let bytes = render(&document).unwrap_or_else(|e| panic!("{name}: {e}"));
            (name, bytes)
        })
        .collect()
}

#[test]
fn every_document_is_typeset_and_its_structure_is_whole() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("gallery");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, bytes) in typeset() {
        assert_eq!(structure::faults(&bytes), Vec::<String>::new(), "{name}");
        println!("{name}: {} bytes", bytes.len());
        std::fs::write(folder.join(format!("{name}.pdf")), bytes).unwrap();
    }
}

#[test]
fn structure_and_metadata_say_which_language_is_where() {
    for language in LANGUAGES {
        let document = examples::in_language(language);
        let second = if language == "en" { "de" } else { "en" };
        let bytes = render(&document).unwrap();
        // Composed and typeset again, it is the same.
        assert_eq!(bytes, render(&examples::in_language(language)).unwrap());
        let pdf = Pdf::load(&bytes);
        let catalog = pdf.catalog();
        assert_eq!(structure::text(catalog, b"Lang").unwrap(), language);
        let packet = catalog.get(b"Metadata").unwrap().as_reference().unwrap();
        let packet = String::from_utf8_lossy(pdf.stream(packet)).into_owned();
        assert!(
            packet.contains(&format!(
                "<rdf:Bag><rdf:li>{language}</rdf:li><rdf:li>{second}</rdf:li></rdf:Bag>"
            )),
            "{packet}"
        );
        // The result repeated, its heading among it, is marked; so are sources in English.
        let marked = |role: &[u8]| {
            pdf.dicts()
                .filter(|node| node.is_name(b"S", role))
                .filter_map(|node| structure::text(node, b"Lang"))
                .collect::<Vec<_>>()
        };
        assert_eq!(marked(b"H2"), [second], "{language}");
        // What to do, and what was not done.
        assert_eq!(marked(b"H3").len(), 2, "{language}");
        let spans = marked(b"Span");
        assert_eq!(spans.is_empty(), language == "en", "{language}: {spans:?}");
        assert!(spans.iter().all(|l| l == "en"));
    }
}

#[test]
fn what_is_typeset_can_be_sealed_either_way_it_is_written() {
    let person = Person {
        name: "Ada Lind".into(),
        ..Person::default()
    };
    let signed_at = examples::signed_at();
    let identity = Identity::create(&person, signed_at.with_timezone(&chrono::Utc)).unwrap();
    let document = certificate(USUAL, Signal::Good);
    for object_streams in [true, false] {
        let unsigned = render_with(
            &document,
            Options {
                object_streams,
                ..Options::default()
            },
        )
        .unwrap();
        let sealed = sign(&unsigned, &identity, &SignOptions::at(signed_at)).unwrap();
        let report = verify(sealed.bytes(), &VerifyOptions::default());
        assert_eq!(report.objections(), Vec::<String>::new());
        assert!(report.unchanged());
        assert_eq!(structure::faults(sealed.bytes()), Vec::<String>::new());
    }
}
