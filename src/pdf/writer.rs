//! Writes a whole PDF file: packed streams, object streams, cross-references.
//!
//! Objects are written as soon as they are passed in, streams are borrowed, and one compressor is
//! used for all of them, so that a photo is copied only once and nothing is stored twice.

use std::borrow::Cow;
use std::io::Write;
use std::ops::Range;

use sha2::{Digest, Sha256};

use super::object::{Dict, Id, Object};
use super::packing::{Packing, packed};
use super::spelling::int_to;

/// Maximum number of objects in an object stream. A reader that needs one object decompresses the
/// whole stream; the first stream contains the pages, which can be read without the structure that
/// follows.
const PACKED: usize = 400;

/// An object until the file is written.
enum Kept<'a> {
    /// Reserved, not yet put.
    Nothing,
    /// Where its text is.
    Text(Range<usize>),
    /// A stream: where the text of its dictionary is, and its bytes.
    Stream(Range<usize>, Data<'a>),
}

/// Bytes of a stream.
enum Data<'a> {
    One(Cow<'a, [u8]>),
    /// Pieces to be written one after another: a photo without the camera's metadata in between.
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

/// Builds a file from objects. Object numbers start at 1 and are assigned in the order of the
/// requests.
pub struct Writer<'a> {
    text: Vec<u8>,
    kept: Vec<Kept<'a>>,
    digest: Sha256,
    packing: Packing,
}

impl Default for Writer<'_> {
    fn default() -> Self {
        Self::new()
    }
}

impl<'a> Writer<'a> {
    /// A file without objects.
    #[must_use]
    pub fn new() -> Writer<'a> {
        Writer::with(Packing::default())
    }

    /// A file without objects whose streams are packed in a given way.
    #[must_use]
    pub fn with(packing: Packing) -> Writer<'a> {
        Writer {
            text: Vec::with_capacity(1 << 16),
            kept: Vec::with_capacity(1024),
            digest: Sha256::new(),
            packing,
        }
    }

    /// Digest of the streams so far and of data that the caller adds.
    pub(crate) fn digest(&mut self) -> &mut Sha256 {
        &mut self.digest
    }

    /// Reserves a number for an object that is put later.
    pub fn reserve(&mut self) -> Id {
        self.kept.push(Kept::Nothing);
        Id::new(u32::try_from(self.kept.len()).unwrap_or(u32::MAX))
    }

    fn keep(&mut self, id: Id, kept: Kept<'a>) {
        if let Some(place) = self.kept.get_mut((id.number as usize).wrapping_sub(1)) {
            *place = kept;
        }
    }

    /// Puts an object under its number.
    pub fn put(&mut self, id: Id, object: impl Into<Object>) {
        let start = self.text.len();
        object.into().write(&mut self.text);
        self.keep(id, Kept::Text(start..self.text.len()));
    }

    /// Puts an object whose source the caller writes, for objects that occur by the hundreds.
    pub(crate) fn put_text(&mut self, id: Id, write: impl FnOnce(&mut Vec<u8>)) {
        let start = self.text.len();
        write(&mut self.text);
        self.keep(id, Kept::Text(start..self.text.len()));
    }

    /// Puts an object under a new number.
    pub fn add(&mut self, object: impl Into<Object>) -> Id {
        let id = self.reserve();
        self.put(id, object);
        id
    }

    /// Adds a stream, compressed if that makes it shorter.
    pub fn stream(&mut self, mut dict: Dict, data: &[u8]) -> Id {
        let data = match packed(data, self.packing) {
            Some(packed) => {
                dict.set("Filter", "FlateDecode");
                packed
            }
            None => data.to_vec(),
        };
        self.digest.update(&data);
        self.raw(dict, Cow::Owned(data))
    }

    /// Adds rows of `width` pixels, predicted and compressed.
    pub(crate) fn rows(&mut self, mut dict: Dict, rows: &[u8], width: u32, components: u8) -> Id {
        let columns = width as usize * usize::from(components);
        let Some(packed) = packed(&less_above(rows, columns.max(1)), Packing::Quick) else {
            return self.stream(dict, rows);
        };
        let parms = Dict::from([
            ("Predictor", 15.into()),
            ("Colors", u32::from(components).into()),
            ("BitsPerComponent", 8.into()),
            ("Columns", width.into()),
        ]);
        dict.set("DecodeParms", parms);
        dict.set("Filter", "FlateDecode");
        self.digest.update(&packed);
        self.raw(dict, Cow::Owned(packed))
    }

    /// Adds a stream whose bytes are written unchanged.
    pub fn raw(&mut self, dict: Dict, data: Cow<'a, [u8]>) -> Id {
        self.data(dict, Data::One(data))
    }

    /// Adds a stream of several pieces that are written unchanged.
    pub(crate) fn pieces(&mut self, dict: Dict, pieces: Vec<&'a [u8]>) -> Id {
        self.data(dict, Data::Pieces(pieces))
    }

    fn data(&mut self, mut dict: Dict, data: Data<'a>) -> Id {
        let id = self.reserve();
        dict.set("Length", data.len());
        let start = self.text.len();
        dict.write(&mut self.text);
        self.keep(id, Kept::Stream(start..self.text.len(), data));
        id
    }

    /// The whole file. `trailer` contains the entries that lead to the rest: `Root`, `Info`, `ID`.
    pub fn finish(mut self, trailer: Dict, object_streams: bool) -> Vec<u8> {
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
        // Four bytes above 127 mark the file as binary (ISO 19005-3, 6.1.2).
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
        mut trailer: Dict,
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
            let mut dict = Dict::from([
                ("Type", "ObjStm".into()),
                ("N", group.len().into()),
                ("First", first.into()),
            ]);
            let data = packed(&content, self.packing);
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
        trailer.set("Size", places.len());
        trailer.set("W", [1, wide, 2]);
        let packed = packed(&less_above(&rows, columns), self.packing);
        if packed.is_some() {
            let parms = Dict::from([("Predictor", 12.into()), ("Columns", columns.into())]);
            trailer.set("DecodeParms", parms);
            trailer.set("Filter", "FlateDecode");
        }
        write_stream(out, number, trailer, packed.as_deref().unwrap_or(&rows));
        end(out, start);
    }
}

/// Where an object is in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Free,
    At(usize),
    Inside { container: usize, index: usize },
}

/// The cross-reference table and the trailer (ISO 32000-1, 7.5.4 and 7.5.5).
fn table(out: &mut Vec<u8>, places: &[Place], mut trailer: Dict) {
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
    trailer.set("Size", places.len());
    out.extend_from_slice(b"trailer\n");
    trailer.write(out);
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

fn write_stream(out: &mut Vec<u8>, number: usize, mut dict: Dict, data: &[u8]) {
    dict.set("Length", data.len());
    open(out, number);
    dict.write(out);
    stream_to(out, &[data]);
}

fn stream_to(out: &mut Vec<u8>, pieces: &[&[u8]]) {
    out.extend_from_slice(b"\nstream\n");
    for piece in pieces {
        out.extend_from_slice(piece);
    }
    out.extend_from_slice(b"\nendstream\nendobj\n");
}

/// Subtracts from each byte the one above it, which leaves mostly zeros and ones to compress: the
/// PNG predictor “up” (ISO 32000-1, 7.4.4.4), with its number before each row.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pdf::File;

    fn sample(object_streams: bool, count: usize) -> Vec<u8> {
        let mut file = Writer::new();
        let root = file.reserve();
        let unused = file.reserve();
        assert_eq!(unused, Id::new(2));
        let pages = file.add(Dict::from([
            ("Type", "Pages".into()),
            ("Kids", Object::Array(Vec::new())),
            ("Count", 0.into()),
        ]));
        file.stream(Dict::default(), &b"q Q ".repeat(100));
        file.raw(Dict::default(), Cow::Borrowed(b"as it is"));
        for i in 0..count {
            file.add(Object::Array(vec![
                i.into(),
                0.5.into(),
                Object::Null,
                (-3).into(),
            ]));
        }
        file.put(
            root,
            Dict::from([
                ("Type", "Catalog".into()),
                ("Pages", pages.into()),
                ("Odd", Object::literal(b"(a\\b)\r\n\xFF")),
                ("Hex", Object::hexadecimal(b"\x00\xAB")),
                ("Name", "text/a b#".into()),
            ]),
        );
        file.finish(Dict::from([("Root", root.into())]), object_streams)
    }

    fn stream(file: &File<'_>, id: Id) -> (Dict, Vec<u8>, Vec<u8>) {
        let Object::Stream(stream) = file.object(id).unwrap() else {
            panic!("a stream");
        };
        let decoded = file.decoded(&stream, 1 << 20).unwrap_or_default();
        let raw = file.bytes[stream.data].to_vec();
        (stream.dict, raw, decoded)
    }

    #[test]
    fn what_is_written_is_read_back_either_way() {
        // On both sides of the number of objects that fill an object stream.
        for count in [1, PACKED - 2, PACKED - 1, 3 * PACKED] {
            for object_streams in [false, true] {
                let bytes = sample(object_streams, count);
                let read = File::parse(&bytes).unwrap();
                let (_, catalog) = read.catalog().unwrap();
                let string = |key: &[u8]| catalog.get(key).unwrap().as_string().unwrap();
                assert_eq!(string(b"Odd").bytes, b"(a\\b)\r\n\xFF");
                assert_eq!(string(b"Hex").bytes, b"\x00\xAB");
                assert_eq!(catalog.name(b"Name").unwrap(), b"text/a b#");
                assert_eq!(stream(&read, Id::new(4)).2, b"q Q ".repeat(100));
                let last = Id::new(u32::try_from(5 + count).unwrap());
                let array = read.object(last).unwrap();
                let array = array.as_array().unwrap();
                assert_eq!(array[0], Object::from(count - 1));
                assert_eq!(array[1], Object::Real(b"0.5".to_vec()));
                assert_eq!(array[3], Object::Integer(-3));
                assert_eq!(read.object(Id::new(2)).unwrap(), Object::Null);
            }
        }
    }

    #[test]
    fn rows_and_pieces_come_back_as_they_were() {
        // A gradient, and two pixels that compression only makes longer.
        let gradient: Vec<u8> = (0..90_u32 * 40)
            .map(|i| (i % 90 + i / 90 * 3) as u8)
            .collect();
        let mut file = Writer::new();
        let (long, short) = (
            file.rows(Dict::default(), &gradient, 30, 3),
            file.rows(Dict::default(), &[1, 2, 3, 200, 100, 50], 2, 3),
        );
        let pieces = file.pieces(Dict::default(), vec![b"head", b"", b"picture", b"end"]);
        let root = file.add(Dict::default());
        let bytes = file.finish(Dict::from([("Root", root.into())]), true);
        let read = File::parse(&bytes).unwrap();
        let (dict, raw, _) = stream(&read, long);
        assert!(raw.len() < gradient.len() / 10);
        // Rows of pixels: the reader undoes predictors of structure alone.
        let parms = dict.get(b"DecodeParms").unwrap().as_dictionary().unwrap();
        assert_eq!(
            (parms.integer(b"Columns"), parms.integer(b"Colors")),
            (Some(30), Some(3))
        );
        let mut rows = Vec::new();
        let mut inflate = flate2::read::ZlibDecoder::new(raw.as_slice());
        std::io::Read::read_to_end(&mut inflate, &mut rows).unwrap();
        let mut back: Vec<u8> = Vec::new();
        for row in rows.chunks(91) {
            assert_eq!(row[0], 2, "each byte less the one above it");
            for (i, byte) in row[1..].iter().enumerate() {
                let above = back.len().checked_sub(90).map_or(0, |at| back[at]);
                assert!(i < 90);
                back.push(byte.wrapping_add(above));
            }
        }
        assert_eq!(back, gradient);
        let (dict, raw, _) = stream(&read, short);
        assert!(dict.get(b"Filter").is_none() && dict.get(b"DecodeParms").is_none());
        assert_eq!(raw, [1, 2, 3, 200, 100, 50]);
        assert_eq!(stream(&read, pieces).1, b"headpictureend");
    }
}
