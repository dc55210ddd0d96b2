//! What makes the file one for the archive (ISO 19005-3, level B) and for assistive technology
//! (ISO 14289-1) beside its pages: metadata, the colour space meant, and the files carried inside.

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use lopdf::{Dictionary, Object, ObjectId, StringFormat};

use super::file::File;
use super::finish::text_string;
use crate::compose::tree::{About, Attachment, Document};

/// sRGB, rebuilt by `python3 fonts/srgb.py`.
static SRGB: &[u8] = include_bytes!("../../fonts/srgb.icc");

/// Schema of the PDF/UA identifier, which ISO 19005-3 (6.6.2.3) does not know by itself.
const PDFUA_SCHEMA: &str = "<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType=\"Resource\">\
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>\
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>\
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType=\"Resource\">\
<pdfaProperty:name>part</pdfaProperty:name>\
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>\
<pdfaProperty:category>internal</pdfaProperty:category>\
<pdfaProperty:description>Part of ISO 14289 that the file follows</pdfaProperty:description>\
</rdf:li></rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas>";

/// The XMP packet (ISO 16684-1).
fn xmp(about: &About, identifier: &[u8; 16]) -> Vec<u8> {
    let date = about.created.format("%Y-%m-%dT%H:%M:%S%:z");
    let hex = base16ct::lower::encode_string(identifier);
    let [title, author, subject, name, producer] = [
        &about.title,
        &about.author,
        &about.subject,
        &about.identifier,
        &about.producer,
    ]
    .map(|t| escaped(t));
    let languages: String = std::iter::once(&about.language)
        .chain(&about.further_languages)
        .map(|language| format!("<rdf:li>{}</rdf:li>", escaped(language)))
        .collect();
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" \
xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" \
xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\" xmlns:pdfuaid=\"http://www.aiim.org/pdfua/ns/id/\" \
xmlns:pdfaExtension=\"http://www.aiim.org/pdfa/ns/extension/\" xmlns:pdfaSchema=\"http://www.aiim.org/pdfa/ns/schema#\" \
xmlns:pdfaProperty=\"http://www.aiim.org/pdfa/ns/property#\">\n\
<pdfaid:part>3</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance><pdfuaid:part>1</pdfuaid:part>\n\
<dc:format>application/pdf</dc:format>\
<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\
<dc:description><rdf:Alt><rdf:li xml:lang=\"x-default\">{subject}</rdf:li></rdf:Alt></dc:description>\
<dc:language><rdf:Bag>{languages}</rdf:Bag></dc:language>\
<dc:identifier>{name}</dc:identifier>\n\
<xmp:CreateDate>{date}</xmp:CreateDate><xmp:ModifyDate>{date}</xmp:ModifyDate><xmp:MetadataDate>{date}</xmp:MetadataDate>\
<xmp:CreatorTool>{producer}</xmp:CreatorTool><pdf:Producer>{producer}</pdf:Producer>\
<xmpMM:DocumentID>uuid:{hex}</xmpMM:DocumentID>\n\
{PDFUA_SCHEMA}\n</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>"
    )
    .into_bytes()
}

/// Text inside an XML element; characters that XML 1.0 cannot hold are left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\t' | '\n' | '\r' => out.push(c),
            c if c < ' ' || c == '\u{FFFE}' || c == '\u{FFFF}' => {}
            c => out.push(c),
        }
    }
    out
}

/// A date as PDF writes it (ISO 32000-1, 7.9.4).
fn date(date: DateTime<FixedOffset>) -> Object {
    let minutes = date.offset().local_minus_utc() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    let (hours, rest) = (minutes.abs() / 60, minutes.abs() % 60);
    let text = format!(
        "D:{}{sign}{hours:02}'{rest:02}'",
        date.format("%Y%m%d%H%M%S")
    );
    Object::String(text.into_bytes(), StringFormat::Literal)
}

/// The information dictionary, saying the same as the XMP packet.
pub(super) fn info(about: &About) -> Dictionary {
    Dictionary::from_iter([
        ("Title", text_string(&about.title)),
        ("Author", text_string(&about.author)),
        ("Subject", text_string(&about.subject)),
        ("Creator", text_string(&about.producer)),
        ("Producer", text_string(&about.producer)),
        ("CreationDate", date(about.created)),
        ("ModDate", date(about.created)),
    ])
}

/// Writes metadata and output intent, and names them in the catalog.
pub(super) fn describe(
    file: &mut File<'_>,
    document: &Document,
    identifier: &[u8; 16],
    catalog: &mut Dictionary,
) {
    let about = &document.about;
    // Not compressed, so that any program finds it (ISO 16684-1).
    let metadata = Dictionary::from_iter([
        ("Type", Object::from("Metadata")),
        ("Subtype", "XML".into()),
    ]);
    catalog.set(
        "Metadata",
        file.raw(metadata, Cow::Owned(xmp(about, identifier))),
    );

    // The output intent (ISO 19005-3, 6.2.3).
    let three = Dictionary::from_iter([("N", Object::from(3))]);
    let profile = file.raw(three, Cow::Borrowed(SRGB));
    let intent = Dictionary::from_iter([
        ("Type", Object::from("OutputIntent")),
        ("S", "GTS_PDFA1".into()),
        (
            "OutputConditionIdentifier",
            text_string("sRGB IEC61966-2.1"),
        ),
        ("Info", text_string("sRGB IEC61966-2.1")),
        ("DestOutputProfile", profile.into()),
    ]);
    catalog.set("OutputIntents", Object::Array(vec![intent.into()]));
}

/// Writes the files carried inside, and names and associates them in the catalog (ISO 19005-3, 6.8).
pub(super) fn attach(file: &mut File<'_>, document: &Document, catalog: &mut Dictionary) {
    if document.attachments.is_empty() {
        return;
    }
    let mut named: BTreeMap<&str, ObjectId> = BTreeMap::new();
    let mut associated = Vec::new();
    for attachment in &document.attachments {
        let stream = file.stream(
            embedded(attachment, document.about.created),
            &attachment.bytes,
        );
        let specification = file.add(specification(attachment, &stream.into()));
        named.insert(&attachment.name, specification);
        associated.push(Object::from(specification));
    }
    // A name tree is sorted; a map of names is.
    let names = named
        .iter()
        .flat_map(|(name, id)| [text_string(name), (*id).into()])
        .collect();
    let files = Dictionary::from_iter([("Names", Object::Array(names))]);
    catalog.set(
        "Names",
        Dictionary::from_iter([("EmbeddedFiles", Object::from(files))]),
    );
    catalog.set("AF", associated);
}

/// Dictionary of the stream of a file carried inside (ISO 32000-1, 7.11.4).
fn embedded(attachment: &Attachment, created: DateTime<FixedOffset>) -> Dictionary {
    let params = Dictionary::from_iter([
        (
            "Size",
            Object::from(i64::try_from(attachment.bytes.len()).unwrap_or(i64::MAX)),
        ),
        ("CreationDate", date(created)),
        ("ModDate", date(created)),
    ]);
    Dictionary::from_iter([
        ("Type", Object::from("EmbeddedFile")),
        (
            "Subtype",
            Object::Name(attachment.mime.clone().into_bytes()),
        ),
        ("Params", params.into()),
    ])
}

/// The file specification of a file carried inside (ISO 32000-1, 7.11.3).
fn specification(attachment: &Attachment, stream: &Object) -> Dictionary {
    Dictionary::from_iter([
        ("Type", Object::from("Filespec")),
        ("F", text_string(&attachment.name)),
        ("UF", text_string(&attachment.name)),
        ("Desc", text_string(&attachment.description)),
        ("AFRelationship", attachment.relationship.into()),
        (
            "EF",
            Dictionary::from_iter([("F", stream.clone()), ("UF", stream.clone())]).into(),
        ),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_carry_their_zone() {
        for (text, pdf) in [
            ("2026-10-06T11:30:00-04:00", "D:20261006113000-04'00'"),
            ("2026-01-02T03:04:05+05:30", "D:20260102030405+05'30'"),
            ("2026-01-02T03:04:05Z", "D:20260102030405+00'00'"),
        ] {
            let made = date(DateTime::parse_from_rfc3339(text).unwrap());
            assert_eq!(made.as_str().unwrap(), pdf.as_bytes());
        }
    }

    #[test]
    fn text_in_metadata_is_escaped() {
        assert_eq!(escaped("R&D <A> \u{1}b"), "R&amp;D &lt;A&gt; b");
    }
}
