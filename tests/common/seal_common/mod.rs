//! Small PDFs to seal, and identities to seal them with.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used, clippy::panic)]

pub mod authority;
pub mod issued;
pub mod later;

use chrono::{DateTime, FixedOffset, Utc};
use warmlug::pdf::{Dict, Object, Writer};
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
    base_with(kind, field, &[])
}

/// The same with more bytes inside, as photos make them.
pub fn base_with(kind: Kind, field: bool, more: &[u8]) -> Vec<u8> {
    let mut file = Writer::new();
    let pages = file.reserve();
    let page = file.reserve();
    let font = file.add(Dict::from([
        ("Type", "Font".into()),
        ("Subtype", "Type1".into()),
        ("BaseFont", "Helvetica".into()),
    ]));
    let text = b"BT /F1 18 Tf 72 720 Td (Certificate 2026-0147) Tj ET";
    let content = file.raw(Dict::default(), text.into());
    let mut annotations: Vec<Object> = Vec::new();
    if field {
        let dict = Dict::from([
            ("Type", "XObject".into()),
            ("Subtype", "Form".into()),
            ("BBox", [0, 0, 200, 50].into()),
        ]);
        let appearance = file.raw(dict, b"0.5 w 1 1 198 48 re S".into());
        let widget = file.add(Dict::from([
            ("Type", "Annot".into()),
            ("Subtype", "Widget".into()),
            ("FT", "Sig".into()),
            ("T", Object::text("Seal")),
            ("F", 132.into()),
            ("Rect", [72, 72, 272, 122].into()),
            ("P", page.into()),
            ("AP", Dict::from([("N", appearance.into())]).into()),
        ]));
        annotations.push(widget.into());
    }
    let fonts = Dict::from([("F1", font.into())]);
    file.put(
        page,
        Dict::from([
            ("Type", "Page".into()),
            ("Parent", pages.into()),
            ("MediaBox", [0, 0, 612, 792].into()),
            ("Resources", Dict::from([("Font", fonts.into())]).into()),
            ("Contents", content.into()),
            ("Annots", annotations.clone().into()),
        ]),
    );
    file.put(
        pages,
        Dict::from([
            ("Type", "Pages".into()),
            ("Count", 1.into()),
            ("Kids", [page].into()),
        ]),
    );
    let record = file.stream(
        Dict::from([
            ("Type", "EmbeddedFile".into()),
            ("Subtype", "application/yaml".into()),
        ]),
        &b"visit:\n  number: 2026-0147\n".repeat(20),
    );
    let specification = file.add(Dict::from([
        ("Type", "Filespec".into()),
        ("AFRelationship", "Source".into()),
        ("F", Object::text("visit.yaml")),
        ("UF", Object::text("visit.yaml")),
        (
            "EF",
            Dict::from([("F", record.into()), ("UF", record.into())]).into(),
        ),
    ]));
    let names = vec![Object::text("visit.yaml"), specification.into()];
    let files = Dict::from([("Names", names.into())]);
    let mut catalog = Dict::from([
        ("Type", "Catalog".into()),
        ("Pages", pages.into()),
        (
            "Names",
            Dict::from([("EmbeddedFiles", files.into())]).into(),
        ),
    ]);
    if field {
        catalog.set(
            "AcroForm",
            Dict::from([("Fields", annotations.into()), ("SigFlags", 1.into())]),
        );
    }
    if !more.is_empty() {
        file.raw(Dict::default(), more.into());
    }
    let catalog = file.add(catalog);
    let id = Object::hexadecimal(b"0123456789abcdef");
    let trailer = Dict::from([("Root", catalog.into()), ("ID", [id.clone(), id].into())]);
    let bytes = file.finish(trailer, kind == Kind::Stream);
    assert_eq!(
        bytes.windows(6).any(|w| w == b"\nxref\n"),
        kind == Kind::Table
    );
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
