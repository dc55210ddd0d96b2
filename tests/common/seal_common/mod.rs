//! Small PDFs to seal, and identities to seal them with.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used, clippy::panic)]

pub mod authority;
pub mod later;

use chrono::{DateTime, FixedOffset, Utc};
use lopdf::{Dictionary, Document, Object, Stream, dictionary};
use warmlug::seal::{Identity, Person};

/// How the base file writes its table of objects.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A classic table.
    Table,
    /// A stream, with objects packed into object streams.
    Stream,
}

pub fn signed_at() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-10-06T11:42:00-05:00").unwrap()
}

pub fn rosa() -> Person {
    Person {
        name: "Rosa Lindqvist".to_owned(),
        firm: Some("Lindqvist & Daughters Electric".to_owned()),
        licence: Some("EL-20417".to_owned()),
    }
}

pub fn identity() -> Identity {
    let from: DateTime<Utc> = "2026-01-01T00:00:00Z".parse().unwrap();
    Identity::create(&rosa(), from).unwrap()
}

/// A page with some text, an attachment and, if wanted, an empty signature field.
pub fn base(kind: Kind, field: bool) -> Vec<u8> {
    let mut doc = Document::with_version("1.7");
    let pages = doc.new_object_id();
    let page = doc.new_object_id();
    let font = doc.add_object(dictionary! {
        "Type" => "Font", "Subtype" => "Type1", "BaseFont" => "Helvetica",
    });
    let content = doc.add_object(Stream::new(
        Dictionary::new(),
        b"BT /F1 18 Tf 72 720 Td (Certificate 2026-0147) Tj ET".to_vec(),
    ));
    let mut annotations = Vec::new();
    if field {
        let appearance = doc.add_object(Stream::new(
            dictionary! {
                "Type" => "XObject", "Subtype" => "Form",
                "BBox" => vec![0.into(), 0.into(), 200.into(), 50.into()],
            },
            b"0.5 w 1 1 198 48 re S".to_vec(),
        ));
        let widget = doc.add_object(dictionary! {
            "Type" => "Annot", "Subtype" => "Widget", "FT" => "Sig",
            "T" => Object::string_literal("Seal"), "F" => 132,
            "Rect" => vec![72.into(), 72.into(), 272.into(), 122.into()],
            "P" => page,
            "AP" => dictionary! { "N" => appearance },
        });
        annotations.push(Object::from(widget));
    }
    doc.objects.insert(
        page,
        Object::Dictionary(dictionary! {
            "Type" => "Page", "Parent" => pages,
            "MediaBox" => vec![0.into(), 0.into(), 612.into(), 792.into()],
            "Resources" => dictionary! { "Font" => dictionary! { "F1" => font } },
            "Contents" => content,
            "Annots" => annotations.clone(),
        }),
    );
    doc.objects.insert(
        pages,
        Object::Dictionary(dictionary! {
            "Type" => "Pages", "Count" => 1, "Kids" => vec![page.into()],
        }),
    );
    let mut record = Stream::new(
        dictionary! { "Type" => "EmbeddedFile", "Subtype" => "application/yaml" },
        b"visit:\n  number: 2026-0147\n".repeat(20),
    );
    record.compress().unwrap();
    let record = doc.add_object(record);
    let specification = doc.add_object(dictionary! {
        "Type" => "Filespec", "AFRelationship" => "Source",
        "F" => Object::string_literal("visit.yaml"), "UF" => Object::string_literal("visit.yaml"),
        "EF" => dictionary! { "F" => record, "UF" => record },
    });
    let mut catalog = dictionary! {
        "Type" => "Catalog", "Pages" => pages,
        "Names" => dictionary! { "EmbeddedFiles" => dictionary! {
            "Names" => vec![Object::string_literal("visit.yaml"), specification.into()],
        } },
    };
    if field {
        catalog.set(
            "AcroForm",
            dictionary! { "Fields" => annotations, "SigFlags" => 1 },
        );
    }
    let catalog = doc.add_object(catalog);
    doc.trailer.set("Root", catalog);
    let id = Object::String(
        b"0123456789abcdef".to_vec(),
        lopdf::StringFormat::Hexadecimal,
    );
    doc.trailer.set("ID", vec![id.clone(), id]);
    let mut bytes = Vec::new();
    match kind {
        Kind::Table => {
            doc.reference_table.cross_reference_type = lopdf::xref::XrefType::CrossReferenceTable;
            doc.save_to(&mut bytes).unwrap();
            assert!(bytes.windows(6).any(|w| w == b"\nxref\n"));
        }
        Kind::Stream => doc.save_modern(&mut bytes).unwrap(),
    }
    bytes
}

/// A copy of a test key with the permissions a key needs.
pub fn key_file(folder: &tempfile::TempDir, name: &str) -> std::path::PathBuf {
    let source = format!("{}/tests/seal_keys/{name}", env!("CARGO_MANIFEST_DIR"));
    let path = folder.path().join(name);
    std::fs::copy(source, &path).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600)).unwrap();
    }
    path
}

pub fn three_blue() -> warmlug::seal::Passphrase {
    warmlug::seal::Passphrase::new("three blue".to_owned())
}
