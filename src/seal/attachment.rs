//! Files inside a PDF (ISO 32000-1, 7.11.4): the visit file, the assessment, the digests.

use super::error::SealError;
use crate::pdf::{Dict, File, Object, text};

/// Maximum number of attachments.
pub const MAX_ATTACHMENTS: usize = 512;
/// Maximum total size of the attachments of one file, in bytes after decompression.
pub const MAX_BYTES: usize = 64 << 20;
/// Maximum depth of a name tree.
const MAX_DEPTH: usize = 16;

/// An attached file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its file name.
    pub name: String,
    /// Its MIME type, if given.
    pub mime: Option<String>,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Reads all attachments of a PDF, whether or not it is sealed.
///
/// # Errors
/// [`SealError::Attachment`], [`SealError::Pdf`].
pub(crate) fn read(pdf: &[u8]) -> Result<Vec<Attachment>, SealError> {
    let file = File::parse(pdf)?;
    let (_, catalog) = file.catalog()?;
    let mut left = MAX_BYTES;
    let mut out = Vec::new();
    let Object::Dictionary(names) = file.value(&catalog, b"Names")? else {
        return Ok(out);
    };
    let mut waiting = vec![(file.value(&names, b"EmbeddedFiles")?, 0)];
    let mut nodes = 0;
    while let Some((node, depth)) = waiting.pop() {
        let Object::Dictionary(node) = node else {
            continue;
        };
        nodes += 1;
        if depth > MAX_DEPTH || nodes > MAX_ATTACHMENTS {
            return Err(too("many levels of names"));
        }
        if let Object::Array(pairs) = file.value(&node, b"Names")? {
            for pair in pairs.chunks(2) {
                let [key, value] = pair else {
                    return Err(SealError::Attachment("a name without a file".to_owned()));
                };
                if out.len() == MAX_ATTACHMENTS {
                    return Err(too("many attachments"));
                }
                let attachment = attached(&file, key, value, &mut left)?;
                out.push(attachment);
            }
        }
        if let Object::Array(kids) = file.value(&node, b"Kids")? {
            for kid in kids.iter().take(MAX_ATTACHMENTS) {
                waiting.push((file.resolve(kid)?, depth + 1));
            }
        }
    }
    out.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(out)
}

fn too(what: &str) -> SealError {
    SealError::Attachment(format!("there are too {what}"))
}

fn attached(
    file: &File<'_>,
    key: &Object,
    value: &Object,
    left: &mut usize,
) -> Result<Attachment, SealError> {
    let broken = |what: &str| SealError::Attachment(what.to_owned());
    let Object::Dictionary(specification) = file.resolve(value)? else {
        return Err(broken("one is not described"));
    };
    let name = file_name(file, &specification, key)?;
    let Object::Dictionary(embedded) = file.value(&specification, b"EF")? else {
        return Err(broken("one is named but not inside"));
    };
    let stream = match file.value(&embedded, b"UF")? {
        Object::Stream(stream) => stream,
        _ => match file.value(&embedded, b"F")? {
            Object::Stream(stream) => stream,
            _ => return Err(broken("one is named but not inside")),
        },
    };
    let bytes = file.decoded(&stream, *left)?;
    *left -= bytes.len();
    let mime = stream
        .dict
        .name(b"Subtype")
        .map(|name| String::from_utf8_lossy(name).into_owned());
    Ok(Attachment { name, mime, bytes })
}

fn file_name(file: &File<'_>, specification: &Dict, key: &Object) -> Result<String, SealError> {
    for entry in [b"UF".as_slice(), b"F"] {
        if let Object::String(name) = file.value(specification, entry)? {
            return Ok(text::decoded(&name.bytes));
        }
    }
    Ok(key
        .as_string()
        .map(|s| text::decoded(&s.bytes))
        .unwrap_or_default())
}
