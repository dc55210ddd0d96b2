//! Parts outside the pages that PDF/A (ISO 19005-3, level B) and PDF/UA (ISO 14289-1) require:
//! metadata, the output intent, and attached files.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::pdf::{Dict, Id, Object, Writer, text};
use chrono::{DateTime, FixedOffset};

use crate::compose::document::{About, Attachment, Document};

/// sRGB, rebuilt by `python3 fonts/srgb.py`.
static SRGB: &[u8] = include_bytes!("../../fonts/srgb.icc");

/// Schema of the PDF/UA identifier, which is not among the predefined ones of ISO 19005-3
/// (6.6.2.3).
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

/// Escapes text for an XML element; characters that XML 1.0 does not allow are left out.
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

/// A date.
fn date(date: DateTime<FixedOffset>) -> Object {
    Object::literal(text::date(date) + "'")
}

/// The information dictionary, with the same values as the XMP packet.
pub(super) fn info(about: &About) -> Dict {
    Dict::from([
        ("Title", Object::text(&about.title)),
        ("Author", Object::text(&about.author)),
        ("Subject", Object::text(&about.subject)),
        ("Creator", Object::text(&about.producer)),
        ("Producer", Object::text(&about.producer)),
        ("CreationDate", date(about.created)),
        ("ModDate", date(about.created)),
    ])
}

/// Writes metadata and output intent, and names them in the catalog.
pub(super) fn describe(
    file: &mut Writer<'_>,
    document: &Document,
    identifier: &[u8; 16],
    catalog: &mut Dict,
) {
    let about = &document.about;
    // Not compressed, so that any program finds it (ISO 16684-1).
    let metadata = Dict::from([("Type", "Metadata".into()), ("Subtype", "XML".into())]);
    catalog.set(
        "Metadata",
        file.raw(metadata, Cow::Owned(xmp(about, identifier))),
    );

    // The output intent (ISO 19005-3, 6.2.3).
    let three = Dict::from([("N", Object::from(3))]);
    let profile = file.raw(three, Cow::Borrowed(SRGB));
    let intent = Dict::from([
        ("Type", "OutputIntent".into()),
        ("S", "GTS_PDFA1".into()),
        (
            "OutputConditionIdentifier",
            Object::text("sRGB IEC61966-2.1"),
        ),
        ("Info", Object::text("sRGB IEC61966-2.1")),
        ("DestOutputProfile", profile.into()),
    ]);
    catalog.set("OutputIntents", Object::Array(vec![intent.into()]));
}

/// Writes the attached files, and lists them as associated files in the catalog (ISO 19005-3, 6.8).
pub(super) fn attach(file: &mut Writer<'_>, document: &Document, catalog: &mut Dict) {
    if document.attachments.is_empty() {
        return;
    }
    let mut named: BTreeMap<&str, Id> = BTreeMap::new();
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
    // A name tree must be sorted; this map of names is.
    let names = named
        .iter()
        .flat_map(|(name, id)| [Object::text(name), (*id).into()])
        .collect();
    let files = Dict::from([("Names", Object::Array(names))]);
    catalog.set(
        "Names",
        Dict::from([("EmbeddedFiles", Object::from(files))]),
    );
    catalog.set("AF", associated);
}

/// Dictionary of the stream of an attached file (ISO 32000-1, 7.11.4).
fn embedded(attachment: &Attachment, created: DateTime<FixedOffset>) -> Dict {
    let params = Dict::from([
        ("Size", Object::from(attachment.bytes.len())),
        ("CreationDate", date(created)),
        ("ModDate", date(created)),
    ]);
    Dict::from([
        ("Type", "EmbeddedFile".into()),
        (
            "Subtype",
            Object::Name(attachment.mime.clone().into_bytes()),
        ),
        ("Params", params.into()),
    ])
}

/// The file specification of an attached file (ISO 32000-1, 7.11.3).
fn specification(attachment: &Attachment, stream: &Object) -> Dict {
    Dict::from([
        ("Type", "Filespec".into()),
        ("F", Object::text(&attachment.name)),
        ("UF", Object::text(&attachment.name)),
        ("Desc", Object::text(&attachment.description)),
        ("AFRelationship", attachment.relationship.into()),
        (
            "EF",
            Dict::from([("F", stream.clone()), ("UF", stream.clone())]).into(),
        ),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_in_metadata_is_escaped() {
        assert_eq!(escaped("R&D <A> \u{1}b"), "R&amp;D &lt;A&gt; b");
    }
}
