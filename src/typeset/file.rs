//! Puts the objects of a PDF file together: packed streams, object streams, cross-references.
//!
//! Objects are lopdf's; the writing is not, for speed. lopdf's own writer copies every object
//! before it packs it, leaves the cross-reference stream unpacked, wants photos copied into its
//! document, and sets up a compressor for each stream. Here an object is written down when it is
//! handed in, streams are borrowed, and one compressor serves them all: half the time for the
//! whole document.

use std::borrow::Cow;
use std::io::Write;
use std::ops::Range;

use lopdf::{Dictionary, Object, ObjectId};
use sha2::{Digest, Sha256};

use super::packing::packed;
use super::syntax::{dictionary_to, int_to, object_to};

/// Objects of an object stream at most. A reader that wants one object unpacks all beside it; the
/// first stream holds the pages, and what reads them does not need the structure that follows.
const PACKED: usize = 400;

/// An object as it is kept until the file is written.
enum Kept<'a> {
    /// Reserved, not yet put.
    Nothing,
    /// Where its text stands.
    Text(Range<usize>),
    /// A stream: where the text of its dictionary stands, and its bytes.
    Stream(Range<usize>, Data<'a>),
}

/// Bytes of a stream.
enum Data<'a> {
    One(Cow<'a, [u8]>),
    /// To be put one after another: a photo without what the camera wrote between.
    Pieces(Vec<&'a [u8]>),
}

impl Data<'_> {
    fn len(&self) -> usize {
        match self {
            Data::One(bytes) => bytes.len(),
            Data::Pieces(pieces) => pieces.iter().map(|piece| piece.len()).sum(),
        }
    }
}

/// A file in the making. Object numbers start at 1 and are given in the order asked for.
pub(super) struct File<'a> {
    text: Vec<u8>,
    kept: Vec<Kept<'a>>,
    digest: Sha256,
}

impl<'a> File<'a> {
    /// A file without objects.
    pub(super) fn new() -> File<'a> {
        File {
            text: Vec::with_capacity(1 << 16),
            kept: Vec::with_capacity(1024),
            digest: Sha256::new(),
        }
    }

    /// What names the streams so far, and what the caller adds to it.
    pub(super) fn digest(&mut self) -> &mut Sha256 {
        &mut self.digest
    }

    /// A number for an object that is put later.
    pub(super) fn reserve(&mut self) -> ObjectId {
        self.kept.push(Kept::Nothing);
        (u32::try_from(self.kept.len()).unwrap_or(u32::MAX), 0)
    }

    fn keep(&mut self, id: ObjectId, kept: Kept<'a>) {
        if let Some(place) = self.kept.get_mut((id.0 as usize).wrapping_sub(1)) {
            *place = kept;
        }
    }

    /// Puts an object at its number.
    pub(super) fn put(&mut self, id: ObjectId, object: impl Into<Object>) {
        let start = self.text.len();
        object_to(&mut self.text, &object.into());
        self.keep(id, Kept::Text(start..self.text.len()));
    }

    /// Puts an object that is written out by the caller: for those that come in hundreds.
    pub(super) fn put_text(&mut self, id: ObjectId, write: impl FnOnce(&mut Vec<u8>)) {
        let start = self.text.len();
        write(&mut self.text);
        self.keep(id, Kept::Text(start..self.text.len()));
    }

    /// Puts an object at a new number.
    pub(super) fn add(&mut self, object: impl Into<Object>) -> ObjectId {
        let id = self.reserve();
        self.put(id, object);
        id
    }

    /// Adds a stream, compressed where that makes it shorter.
    pub(super) fn stream(&mut self, mut dict: Dictionary, data: &[u8]) -> ObjectId {
        let data = match packed(data) {
            Some(packed) => {
                dict.set("Filter", "FlateDecode");
                packed
            }
            None => data.to_vec(),
        };
        self.digest.update(&data);
        self.raw(dict, Cow::Owned(data))
    }

    /// Adds rows of so many pixels of so many bytes each, predicted and compressed.
    pub(super) fn rows(
        &mut self,
        mut dict: Dictionary,
        rows: &[u8],
        width: u32,
        components: u8,
    ) -> ObjectId {
        let columns = width as usize * usize::from(components);
        let Some(packed) = packed(&less_above(rows, columns.max(1))) else {
            return self.stream(dict, rows);
        };
        let parms = Dictionary::from_iter([
            ("Predictor", Object::from(15)),
            ("Colors", i64::from(components).into()),
            ("BitsPerComponent", 8.into()),
            ("Columns", i64::from(width).into()),
        ]);
        dict.set("DecodeParms", parms);
        dict.set("Filter", "FlateDecode");
        self.digest.update(&packed);
        self.raw(dict, Cow::Owned(packed))
    }

    /// Adds a stream whose bytes go in as they are.
    pub(super) fn raw(&mut self, dict: Dictionary, data: Cow<'a, [u8]>) -> ObjectId {
        self.data(dict, Data::One(data))
    }

    /// Adds a stream of several pieces that go in as they are.
    pub(super) fn pieces(&mut self, dict: Dictionary, pieces: Vec<&'a [u8]>) -> ObjectId {
        self.data(dict, Data::Pieces(pieces))
    }

    fn data(&mut self, mut dict: Dictionary, data: Data<'a>) -> ObjectId {
        let id = self.reserve();
        dict.set("Length", i64::try_from(data.len()).unwrap_or(i64::MAX));
        let start = self.text.len();
        dictionary_to(&mut self.text, &dict);
        self.keep(id, Kept::Stream(start..self.text.len(), data));
        id
    }

    /// The whole file. `trailer` holds what leads into it: `Root`, `Info`, `ID`.
    pub(super) fn finish(mut self, trailer: Dictionary, object_streams: bool) -> Vec<u8> {
        let streams: usize = self
            .kept
            .iter()
            .map(|k| {
                if let Kept::Stream(_, data) = k {
                    data.len() + 200
                } else {
                    0
                }
            })
            .sum();
        let mut out = Vec::with_capacity(streams + self.text.len() + 4096);
        // Four bytes above 127 say that the file is binary (ISO 19005-3, 6.1.2).
        out.extend_from_slice(b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n");
        let kept = std::mem::take(&mut self.kept);
        let mut places = vec![Place::Free; kept.len() + 1];
        let mut loose = Vec::new();
        for (i, object) in kept.iter().enumerate() {
            let number = i + 1;
            match object {
                Kept::Nothing => {}
                Kept::Text(text) if object_streams => loose.push((number, text.clone())),
                Kept::Text(text) => {
                    places[number] = Place::At(out.len());
                    open(&mut out, number);
                    out.extend_from_slice(&self.text[text.clone()]);
                    out.extend_from_slice(b"\nendobj\n");
                }
                Kept::Stream(dict, data) => {
                    places[number] = Place::At(out.len());
                    open(&mut out, number);
                    out.extend_from_slice(&self.text[dict.clone()]);
                    match data {
                        Data::One(bytes) => stream_to(&mut out, &[bytes]),
                        Data::Pieces(pieces) => stream_to(&mut out, pieces),
                    }
                }
            }
        }
        if object_streams {
            self.packed(&mut out, &mut places, &loose, trailer);
        } else {
            table(&mut out, &places, trailer);
        }
        out
    }

    /// Object streams (ISO 32000-1, 7.5.7) and the cross-reference stream (7.5.8).
    fn packed(
        &mut self,
        out: &mut Vec<u8>,
        places: &mut Vec<Place>,
        loose: &[(usize, Range<usize>)],
        mut trailer: Dictionary,
    ) {
        for group in loose.chunks(PACKED) {
            let container = places.len();
            let mut content = Vec::new();
            let mut at = 0;
            for (index, (number, text)) in group.iter().enumerate() {
                int_to(&mut content, *number);
                content.push(b' ');
                int_to(&mut content, at);
                content.push(b' ');
                at += text.len() + 1;
                places[*number] = Place::Inside { container, index };
            }
            let first = content.len();
            for (_, text) in group {
                content.extend_from_slice(&self.text[text.clone()]);
                content.push(b' ');
            }
            places.push(Place::At(out.len()));
            let mut dict = Dictionary::from_iter([
                ("Type", Object::from("ObjStm")),
                ("N", integer(group.len())),
                ("First", integer(first)),
            ]);
            let data = packed(&content);
            if data.is_some() {
                dict.set("Filter", "FlateDecode");
            }
            write_stream(out, container, dict, data.as_deref().unwrap_or(&content));
        }

        let number = places.len();
        let start = out.len();
        places.push(Place::At(start));
        // Rows of type, offset or container, and index.
        let wide = if start < 1 << 24 { 3 } else { 4 };
        let columns = 1 + wide + 2;
        let mut rows = Vec::with_capacity(places.len() * columns);
        for place in places.iter() {
            let (kind, value, index) = match *place {
                Place::Free => (0_u8, 0, if rows.is_empty() { 0xFFFF } else { 0 }),
                Place::At(offset) => (1, offset, 0),
                Place::Inside { container, index } => (2, container, index),
            };
            let value = u32::try_from(value).unwrap_or(u32::MAX).to_be_bytes();
            let index = u16::try_from(index).unwrap_or(u16::MAX).to_be_bytes();
            rows.push(kind);
            rows.extend(value.into_iter().skip(4 - wide).chain(index));
        }
        trailer.set("Type", "XRef");
        trailer.set("Size", integer(places.len()));
        trailer.set("W", Object::Array(vec![1.into(), integer(wide), 2.into()]));
        let packed = packed(&less_above(&rows, columns));
        if packed.is_some() {
            let parms = Dictionary::from_iter([
                ("Predictor", Object::from(12)),
                ("Columns", integer(columns)),
            ]);
            trailer.set("DecodeParms", parms);
            trailer.set("Filter", "FlateDecode");
        }
        write_stream(out, number, trailer, packed.as_deref().unwrap_or(&rows));
        end(out, start);
    }
}

/// Where an object stands in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Free,
    At(usize),
    Inside { container: usize, index: usize },
}

/// The cross-reference table and the trailer (ISO 32000-1, 7.5.4 and 7.5.5).
fn table(out: &mut Vec<u8>, places: &[Place], mut trailer: Dictionary) {
    let start = out.len();
    out.extend_from_slice(b"xref\n0 ");
    int_to(out, places.len());
    out.push(b'\n');
    for (i, place) in places.iter().enumerate() {
        // Writing to memory does not fail.
        let _ = match place {
            Place::At(offset) => writeln!(out, "{offset:010} 00000 n "),
            _ if i == 0 => writeln!(out, "0000000000 65535 f "),
            _ => writeln!(out, "0000000000 00000 f "),
        };
    }
    trailer.set("Size", integer(places.len()));
    out.extend_from_slice(b"trailer\n");
    dictionary_to(out, &trailer);
    out.push(b'\n');
    end(out, start);
}

fn end(out: &mut Vec<u8>, start: usize) {
    out.extend_from_slice(b"startxref\n");
    int_to(out, start);
    out.extend_from_slice(b"\n%%EOF\n");
}

fn open(out: &mut Vec<u8>, number: usize) {
    int_to(out, number);
    out.extend_from_slice(b" 0 obj\n");
}

fn write_stream(out: &mut Vec<u8>, number: usize, mut dict: Dictionary, data: &[u8]) {
    dict.set("Length", integer(data.len()));
    open(out, number);
    dictionary_to(out, &dict);
    stream_to(out, &[data]);
}

fn stream_to(out: &mut Vec<u8>, pieces: &[&[u8]]) {
    out.extend_from_slice(b"\nstream\n");
    for piece in pieces {
        out.extend_from_slice(piece);
    }
    out.extend_from_slice(b"\nendstream\nendobj\n");
}

/// Each byte less the one above it, which leaves mostly zeros and ones to compress: the PNG
/// prediction “up” (ISO 32000-1, 7.4.4.4), its number before each row.
fn less_above(rows: &[u8], columns: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(rows.len() + rows.len() / columns + 1);
    let mut above = vec![0; columns];
    for row in rows.chunks(columns) {
        out.push(2);
        out.extend(
            row.iter()
                .zip(&above)
                .map(|(now, above)| now.wrapping_sub(*above)),
        );
        above.copy_from_slice(row);
    }
    out
}

fn integer(value: usize) -> Object {
    Object::Integer(i64::try_from(value).unwrap_or(i64::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lopdf::{Document, StringFormat};

    fn sample(object_streams: bool, count: usize) -> Vec<u8> {
        let mut file = File::new();
        let root = file.reserve();
        let unused = file.reserve();
        assert_eq!(unused, (2, 0));
        let pages = file.add(Dictionary::from_iter([
            ("Type", Object::from("Pages")),
            ("Kids", Object::Array(Vec::new())),
            ("Count", 0.into()),
        ]));
        file.stream(Dictionary::new(), &b"q Q ".repeat(100));
        file.raw(Dictionary::new(), Cow::Borrowed(b"as it is"));
        for i in 0..count {
            file.add(Object::Array(vec![
                integer(i),
                Object::Real(0.5),
                Object::Null,
                (-3).into(),
            ]));
        }
        file.put(
            root,
            Dictionary::from_iter([
                ("Type", Object::from("Catalog")),
                ("Pages", pages.into()),
                (
                    "Odd",
                    Object::String(b"(a\\b)\r\n\xFF".to_vec(), StringFormat::Literal),
                ),
                (
                    "Hex",
                    Object::String(b"\x00\xAB".to_vec(), StringFormat::Hexadecimal),
                ),
                ("Name", Object::Name("text/a b#".into())),
            ]),
        );
        file.finish(
            Dictionary::from_iter([("Root", Object::from(root))]),
            object_streams,
        )
    }

    #[test]
    fn what_is_written_is_read_back_either_way() {
        // On both sides of the number of objects that fill an object stream.
        for count in [1, PACKED - 2, PACKED - 1, 3 * PACKED] {
            for object_streams in [false, true] {
                let bytes = sample(object_streams, count);
                let read = Document::load_mem(&bytes).unwrap();
                let catalog = read.catalog().unwrap();
                assert_eq!(
                    catalog.get(b"Odd").unwrap().as_str().unwrap(),
                    b"(a\\b)\r\n\xFF"
                );
                assert_eq!(catalog.get(b"Hex").unwrap().as_str().unwrap(), b"\x00\xAB");
                assert_eq!(
                    catalog.get(b"Name").unwrap().as_name().unwrap(),
                    b"text/a b#"
                );
                let stream = read.get_object((4, 0)).unwrap().as_stream().unwrap();
                assert_eq!(stream.decompressed_content().unwrap(), b"q Q ".repeat(100));
                let last = u32::try_from(5 + count).unwrap();
                let array = read.get_object((last, 0)).unwrap().as_array().unwrap();
                assert_eq!(array[0], integer(count - 1));
                assert_eq!(array[3], Object::Integer(-3));
                assert!(read.get_object((2, 0)).is_err());
            }
        }
    }

    #[test]
    fn rows_and_pieces_come_back_as_they_were() {
        // A gradient, and two pixels that compression only makes longer.
        let gradient: Vec<u8> = (0..90_u32 * 40)
            .map(|i| (i % 90 + i / 90 * 3) as u8)
            .collect();
        let mut file = File::new();
        let (long, short) = (
            file.rows(Dictionary::new(), &gradient, 30, 3),
            file.rows(Dictionary::new(), &[1, 2, 3, 200, 100, 50], 2, 3),
        );
        let pieces = file.pieces(Dictionary::new(), vec![b"head", b"", b"picture", b"end"]);
        let root = file.add(Dictionary::new());
        let trailer = Dictionary::from_iter([("Root", Object::Reference(root))]);
        let read = Document::load_mem(&file.finish(trailer, true)).unwrap();
        let stream = |id| read.get_object(id).unwrap().as_stream().unwrap().clone();
        assert!(stream(long).content.len() < gradient.len() / 10);
        assert_eq!(stream(long).decompressed_content().unwrap(), gradient);
        assert!(!stream(short).dict.has(b"Filter") && !stream(short).dict.has(b"DecodeParms"));
        assert_eq!(stream(short).content, [1, 2, 3, 200, 100, 50]);
        assert_eq!(stream(pieces).content, b"headpictureend");
    }
}
