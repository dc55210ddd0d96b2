//! Pages that a dishonest program writes from an honest record, sealed with a key of its own: each
//! kind of forgery is found by writing the pages again.
//!
//! The record, the check line and the words that are looked for stay as they are, so that nothing else
//! finds them.
use crate::compose_common::{Case, EXAMPLES};
use crate::contents::{KEY, answers, certificate, document, seal_of};
use crate::pdf_common::Pdf;
use crate::seal_common::signed_at;
use warmlug::compose::Document;
use warmlug::pdf::{Dict, Id, Object};
use warmlug::photo::Detail;
use warmlug::quantity::TemperatureDifference;
use warmlug::record::contents::{Contents, Original, OwnEvidence, Photos};
use warmlug::record::printed_words::{Compared, Pages};
use warmlug::seal::{SignOptions, sign};
use warmlug::typeset;
use warmlug::visit::Visit;

fn sealed(unsigned: &[u8]) -> Contents {
    let options = SignOptions::at(signed_at());
    let sealed = sign(unsigned, &KEY, &options).unwrap();
    answers(sealed.bytes(), &OwnEvidence::default())
}

fn written(document: &Document) -> Contents {
    sealed(&typeset::render(document).unwrap())
}

#[track_caller]
fn differences(contents: Contents, what: &str) -> Vec<String> {
    assert!(!contents.hold(), "{what}: passed");
    match contents.pages {
        Pages::No { differences } => differences,
        other => panic!("{what}: {other:?}"),
    }
}

#[test]
fn honest_pages_are_exactly_what_is_written_again() {
    for name in EXAMPLES {
        for object_streams in [true, false] {
            let options = typeset::Options {
                object_streams,
                ..typeset::Options::default()
            };
            let pdf = typeset::render_with(&document(name), options).unwrap();
            let pages = sealed(&pdf).pages;
            let whole = matches!(
                pages,
                Pages::Yes {
                    compared: Compared::Pages,
                    ..
                }
            );
            assert!(whole, "{name}: {pages:?}");
        }
    }
}

/// The same objects, compressed by another program.
#[test]
fn compression_makes_no_difference() {
    let pdf = typeset::render(&document("townhouse-return")).unwrap();
    let pages = sealed(&Pdf::load(&pdf).save()).pages;
    assert!(matches!(pages, Pages::Yes { .. }), "{pages:?}");
}

/// Changes what is printed of a visit; the record stays as it is.
fn printed_otherwise(name: &str, change: impl FnOnce(&mut Case)) -> Document {
    let honest = document(name);
    let mut case = Case::example(name);
    change(&mut case);
    Document {
        attachments: honest.attachments,
        about: honest.about,
        ..certificate(&case)
    }
}

#[test]
fn other_facts_on_the_pages_are_found() {
    type Change = Box<dyn FnOnce(&mut Visit)>;
    let changes: Vec<(&str, Change)> = vec![
        (
            "inspector",
            Box::new(|v| v.inspector.name = "Rosa Vale".to_owned()),
        ),
        (
            "licence",
            Box::new(|v| v.inspector.licence = Some("EL-99999".to_owned())),
        ),
        (
            "phone",
            Box::new(|v| v.inspector.phone = Some("555 0199".to_owned())),
        ),
        (
            "client",
            Box::new(|v| v.client.name = "Somebody Else".to_owned()),
        ),
        ("date", Box::new(|v| v.date = v.date.succ_opt().unwrap())),
        ("number", Box::new(|v| v.number = "2025-9999".to_owned())),
        (
            "charger",
            Box::new(|v| v.circuits[0].charger.serial = Some("X-1".to_owned())),
        ),
        (
            "caption",
            Box::new(|v| v.photos[0].caption = "All sound".to_owned()),
        ),
        (
            "mark",
            Box::new(|v| {
                let marked = v.photos.iter_mut().find(|p| !p.marks.is_empty());
                marked.unwrap().marks[0].1 = [0.9, 0.9];
            }),
        ),
    ];
    for (what, change) in changes {
        let document = printed_otherwise("townhouse-return", |case| change(&mut case.visit));
        let told = differences(written(&document), what);
        assert!(!told.is_empty());
    }
    let cooler = printed_otherwise("townhouse-return", |case| {
        let connection = &mut case.assessment.circuits[0].connections[0];
        connection.rise_at_rated.as_mut().unwrap().value = TemperatureDifference::from_kelvin(3.0);
    });
    differences(written(&cooler), "rise");
}

#[test]
fn another_signer_or_time_on_the_pages_is_found() {
    let case = Case::example("limited-visit");
    let own = || seal_of(&KEY);
    let mut name = own();
    name.signer = "Ines Moreau".to_owned();
    let mut licence = own();
    licence.licence = Some("EL-99999".to_owned());
    let mut time = own();
    time.time += chrono::Duration::days(1);
    let mut issued = own();
    issued.self_signed = false;
    for (what, facts) in [
        ("name", name),
        ("licence", licence),
        ("time", time),
        ("issued by an authority", issued),
    ] {
        differences(written(&case.sealed_by(facts)), what);
    }
}

/// What a file says of itself beside its pages.
#[test]
fn other_metadata_and_attachments_are_found() {
    let mut title = document("limited-visit");
    title.about.title = "Satisfactory".to_owned();
    let told = differences(written(&title), "title");
    let metadata = "the metadata is not what this version writes from this record".to_owned();
    assert!(told.contains(&metadata), "{told:?}");
    let mut described = document("limited-visit");
    described.attachments[0].description = "Approved by the authority".to_owned();
    let told = differences(written(&described), "description");
    assert!(
        told[0].starts_with("the attached file “visit.yaml” is not"),
        "{told:?}"
    );
}

/// The honest file, with something changed before it is sealed.
fn changed(name: &str, change: impl FnOnce(&mut Pdf)) -> Contents {
    let pdf = typeset::render(&document(name)).unwrap();
    let mut pdf = Pdf::load(&pdf);
    change(&mut pdf);
    sealed(&pdf.save())
}

/// The content of a page.
fn content(pdf: &Pdf, page: usize) -> Id {
    let page = pdf.dict(pdf.pages()[page]);
    page.get(b"Contents").unwrap().as_reference().unwrap()
}

#[test]
fn covered_clipped_and_hidden_text_is_found() {
    let around = |before: &'static str, after: &'static str| {
        move |pdf: &mut Pdf| {
            let id = content(pdf, 0);
            let bytes = [before.as_bytes(), pdf.stream(id), after.as_bytes()].concat();
            pdf.set_stream(id, bytes);
        }
    };
    for (what, before, after) in [
        (
            "a white sheet over the page",
            "q\n",
            "\nQ q 1 g 0 0 612 792 re f Q",
        ),
        ("clipped to a corner", "0 0 1 1 re W n\n", ""),
        ("moved off the page", "1 0 0 1 2000 0 cm\n", ""),
        ("invisible", "3 Tr\n", ""),
        ("a comment", "", "\n% nothing"),
    ] {
        let told = differences(changed("townhouse-return", around(before, after)), what);
        // Invisible text is not even among the words of the page.
        let page = "the contents of page 1 is not what this version writes from this record";
        let found = told.iter().any(|t| t == page) || what == "invisible";
        assert!(found, "{what}: {told:?}");
    }
}

#[test]
fn other_glyph_shapes_are_found() {
    let contents = changed("townhouse-return", |pdf| {
        let font = pdf.stream_ids().into_iter().find(|id| {
            let bytes = pdf.stream(*id);
            bytes.starts_with(b"OTTO")
                || bytes.starts_with(&[0, 1, 0, 0])
                || bytes.starts_with(&[1, 0, 4])
        });
        let font = font.expect("an embedded font");
        let mut bytes = pdf.stream(font).to_vec();
        let last = bytes.len() - 1;
        bytes[last] ^= 1;
        pdf.set_stream(font, bytes);
    });
    let told = differences(contents, "glyphs");
    assert_eq!(told.len(), 1, "{told:?}");
}

#[test]
fn other_tags_are_found() {
    let contents = changed("townhouse-return", |pdf| {
        let figure = pdf.dicts_mut().find(|dict| dict.get(b"Alt").is_some());
        figure
            .unwrap()
            .set("Alt", Object::text("All connections are sound."));
    });
    let told = differences(contents, "alternate text");
    let tags = "the structure for screen readers is not what this version writes from this record";
    assert_eq!(told, [tags]);
}

/// The revision of the seal is the signer's, and may change nothing but what a seal sets.
#[test]
fn what_the_revision_of_the_seal_brings_along_is_found() {
    let pdf = typeset::render(&document("limited-visit")).unwrap();
    let other = Pdf::load(&pdf);
    let page = content(&other, 0);
    // An update that replaces the contents of page 1, in the form that other programs write.
    let plain = typeset::render_with(
        &document("limited-visit"),
        typeset::Options {
            object_streams: false,
            ..typeset::Options::default()
        },
    )
    .unwrap();
    let covered = [other.stream(page), b"\nq 1 g 0 0 612 792 re f Q"].concat();
    let stream = crate::seal_common::later::stream("", &covered);
    let updated = crate::seal_common::later::append(&plain, &[(page.number, stream)], "");
    let told = differences(sealed(&updated), "update");
    let page = "the contents of page 1 is not what this version writes from this record";
    assert!(told.iter().any(|t| t == page), "{told:?}");
}

#[test]
fn further_resources_and_objects_are_found() {
    let contents = changed("limited-visit", |pdf| {
        pdf.add(Dict::from([("Type", "Nothing".into())]));
    });
    let told = differences(contents, "object");
    assert!(
        told[0].contains("is not part of what this version writes"),
        "{told:?}"
    );
}

/// The embedded images are inputs of the pages; only the originals show that they were exchanged.
#[test]
fn exchanged_photos_are_found_with_the_originals() {
    let case = Case::example("townhouse-first");
    let honest = document("townhouse-first");
    let mut forged = document("townhouse-first");
    assert!(case.visit.photos.len() > 1, "two photos to exchange");
    forged.images.swap(0, 1);
    let listed = honest
        .attachments
        .iter()
        .find(|a| a.name == "photos.sha256");
    let listed = String::from_utf8(listed.unwrap().bytes.clone()).unwrap();
    let original = |file: &str| {
        let line = listed.lines().find(|l| l.ends_with(file)).unwrap();
        Original::Digest(line.split_once("  ").unwrap().0.to_owned())
    };
    let prepare = |visit: &Visit, file: &str, _: Detail| {
        let place = visit.photos.iter().position(|p| p.file == file)?;
        case.images().photos.into_iter().nth(place)
    };
    let beside = OwnEvidence {
        originals: Some(&original),
        prepared: Some(&prepare),
        ..OwnEvidence::default()
    };
    let photos = |document: &Document, beside: &OwnEvidence<'_>| {
        let pdf = typeset::render(document).unwrap();
        let sealed = sign(&pdf, &KEY, &SignOptions::at(signed_at())).unwrap();
        answers(sealed.bytes(), beside).photos
    };
    let shown = Photos::Yes {
        photos: case.visit.photos.len(),
        shown: true,
    };
    assert_eq!(photos(&honest, &beside), shown);
    let Photos::No { differences } = photos(&forged, &beside) else {
        panic!("the exchange was not found");
    };
    assert_eq!(differences.len(), 2, "{differences:?}");
    // Without the originals nobody can tell, and nothing is claimed.
    let digests = photos(&forged, &OwnEvidence::default());
    assert!(matches!(digests, Photos::Digests { .. }), "{digests:?}");
}
