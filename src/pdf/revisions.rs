//! A PDF file as its chain of revisions (ISO 32000-1, 7.5): tables, trailers, objects on demand.

use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::ops::Range;
use std::rc::Rc;

use super::error::PdfError;
use super::filter;
use super::lexer::{Lexer, is_space};
use super::object::{Dict, Id, Object, Stream};
use super::reader_bounds::{
    MAX_FILE_BYTES, MAX_OBJECTS, MAX_REVISIONS, MAX_STRUCTURE_BYTES, MIN_WORK_BYTES,
};

/// Maximum number of bytes after the end of a file that another program saved.
const MAX_AFTER_END: usize = 1024;

/// Where an object is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    Free,
    At { offset: usize, generation: u16 },
    Inside { stream: u32, index: usize },
}

/// The kind of a revision's table; an update must use the kind of the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TableKind {
    Table,
    Stream,
}

/// One cross-reference section and its trailer.
#[derive(Debug)]
pub(crate) struct Section {
    pub offset: usize,
    /// The offset after its trailer, or after its stream's `endobj`.
    pub end: usize,
    /// The bytes of a table that is a stream, still encoded.
    pub data: Option<Range<usize>>,
    /// Whether it contains no comment and no long white space.
    pub plain: bool,
    pub kind: TableKind,
    pub trailer: Dict,
    pub entries: Vec<(u32, Place)>,
}

/// A parsed file. Sections run from the newest to the oldest.
#[derive(Debug)]
pub struct File<'a> {
    /// Its complete bytes.
    pub bytes: &'a [u8],
    pub(crate) sections: Vec<Section>,
    places: HashMap<u32, Place>,
    unpacked: RefCell<HashMap<u32, Rc<Unpacked>>>,
    budget: Cell<usize>,
    /// Bytes of object source that may still be read. The same huge object behind a thousand
    /// references would otherwise be read a thousand times.
    work: Cell<usize>,
}

/// A decompressed object stream, with the number and the offset of each object in it.
#[derive(Debug)]
struct Unpacked {
    bytes: Vec<u8>,
    index: Vec<(u32, usize)>,
}

impl<'a> File<'a> {
    /// Reads all tables of a file that ends exactly at the end of a revision.
    ///
    /// # Errors
    /// Anything that does not follow ISO 32000-1, or that two readers could read differently; see
    /// [`PdfError`].
    pub fn parse(bytes: &'a [u8]) -> Result<Self, PdfError> {
        Self::read(bytes, bytes.len(), true)
    }

    /// Reads a file whose fields were filled in and saved by another program. Its tables may be in
    /// any order, as in a file made for viewing page by page (ISO 32000-1, annex F), and of two
    /// kinds at once (7.5.8.4), and a few bytes may follow its end. Nothing is repaired.
    ///
    /// # Errors
    /// As [`File::parse`].
    pub fn parse_saved_elsewhere(bytes: &'a [u8]) -> Result<Self, PdfError> {
        let tail = bytes.len().saturating_sub(MAX_AFTER_END);
        let end = bytes
            .get(tail..)
            .and_then(|b| b.windows(5).rposition(|w| w == b"%%EOF"))
            .map_or(bytes.len(), |at| tail + at + 5);
        Self::read(bytes, end, false)
    }

    /// Reads the tables of a file whose newest revision ends at `end`.
    fn read(bytes: &'a [u8], end: usize, strict: bool) -> Result<Self, PdfError> {
        if bytes.len() > MAX_FILE_BYTES {
            return Err(PdfError::TooLarge(bytes.len()));
        }
        if !bytes.starts_with(b"%PDF-") {
            return Err(PdfError::NoHeader);
        }
        let mut file = Self {
            bytes,
            sections: Vec::new(),
            places: HashMap::new(),
            unpacked: RefCell::default(),
            budget: Cell::new(MAX_STRUCTURE_BYTES),
            work: Cell::new(2 * bytes.len() + MIN_WORK_BYTES),
        };
        let mut waiting = vec![end_of_revision(&bytes[..end])?];
        let mut ceiling = bytes.len();
        let mut named = 0_usize;
        while let Some(offset) = waiting.pop() {
            // Each older table precedes the newer one: no cycle, no jump ahead. Elsewhere,
            // the number of tables is bounded.
            if strict && offset >= ceiling {
                return Err(PdfError::Table("an older table comes after a newer one"));
            }
            if file.sections.len() == MAX_REVISIONS {
                return Err(PdfError::Bound("revisions"));
            }
            ceiling = offset;
            let section = file.section(offset)?;
            named += section.entries.len();
            if named > MAX_OBJECTS {
                return Err(PdfError::Bound("objects"));
            }
            let mut seen = HashSet::with_capacity(section.entries.len());
            for &(number, place) in &section.entries {
                if !seen.insert(number) {
                    return Err(PdfError::Object {
                        number,
                        what: "is listed twice in one table",
                    });
                }
                // In a file with both kinds, the classic table lists as free the objects whose
                // positions are in the stream.
                if !strict && place == Place::Free && section.trailer.get(b"XRefStm").is_some() {
                    continue;
                }
                file.places.entry(number).or_insert(place);
            }
            waiting.extend(older(&section.trailer, b"Prev")?);
            if section.trailer.get(b"XRefStm").is_some() {
                if strict {
                    return Err(PdfError::Unsupported("two kinds of tables at once"));
                }
                waiting.extend(older(&section.trailer, b"XRefStm")?);
            }
            if section.trailer.get(b"Encrypt").is_some() {
                return Err(PdfError::Unsupported("encryption"));
            }
            file.sections.push(section);
        }
        Ok(file)
    }

    /// The newest trailer.
    pub fn trailer(&self) -> &Dict {
        // `parse` leaves at least one section.
        &self.sections[0].trailer
    }

    /// Where an object is kept.
    pub(crate) fn place(&self, number: u32) -> Place {
        self.places.get(&number).copied().unwrap_or(Place::Free)
    }

    /// The object numbers in all tables of the file.
    pub fn numbers(&self) -> impl Iterator<Item = u32> + '_ {
        self.places.keys().copied()
    }

    /// One above the highest object number.
    pub fn next_number(&self) -> u32 {
        let size = self.trailer().integer(b"Size").unwrap_or(0);
        let highest = self.places.keys().max().map_or(0, |n| n + 1);
        highest.max(u32::try_from(size).unwrap_or(0))
    }

    /// The catalogue, the root of the document.
    ///
    /// # Errors
    /// The trailer names none.
    pub fn catalog(&self) -> Result<(Id, Dict), PdfError> {
        let id = self
            .trailer()
            .get(b"Root")
            .and_then(Object::as_reference)
            .ok_or(PdfError::Table("the trailer names no catalogue"))?;
        match self.object(id)? {
            Object::Dictionary(dict) if dict.is_name(b"Type", b"Catalog") => Ok((id, dict)),
            _ => Err(PdfError::Object {
                number: id.number,
                what: "is no catalogue",
            }),
        }
    }

    /// The object behind a reference; an object that is not in the tables is null (7.3.10).
    pub fn object(&self, id: Id) -> Result<Object, PdfError> {
        match self.place(id.number) {
            Place::Free => Ok(Object::Null),
            Place::At { offset, generation } if generation == id.generation => {
                Ok(self.object_at(offset, id)?.0)
            }
            Place::Inside { stream, index } if id.generation == 0 => {
                self.packed(stream, index, id.number)
            }
            _ => Ok(Object::Null),
        }
    }

    /// Follows references to a value that is not a reference; ten in a row are refused as a cycle.
    pub fn resolve(&self, object: &Object) -> Result<Object, PdfError> {
        let mut current = object.clone();
        for _ in 0..10 {
            match current {
                Object::Reference(id) => current = self.object(id)?,
                other => return Ok(other),
            }
        }
        Err(PdfError::Bound("references to references"))
    }

    /// A dictionary's value, with references followed; null if the key is missing.
    pub fn value(&self, dict: &Dict, key: &[u8]) -> Result<Object, PdfError> {
        dict.get(key).map_or(Ok(Object::Null), |o| self.resolve(o))
    }

    /// The object that begins at `offset`, and the offset after its `endobj`.
    pub fn object_at(&self, offset: usize, id: Id) -> Result<(Object, usize), PdfError> {
        let mut lexer = Lexer::in_file(self.bytes, offset);
        if lexer.object_head()? != id {
            return Err(PdfError::Object {
                number: id.number,
                what: "is not where the table says",
            });
        }
        let object = self.charged(&mut lexer)?;
        lexer.skip_space();
        let object = match object {
            Object::Dictionary(dict) if lexer.take(b"stream") => {
                let data = self.stream_data(&mut lexer, &dict)?;
                Object::Stream(Stream { dict, data })
            }
            other => other,
        };
        if !lexer.take(b"endobj") {
            return Err(lexer.fail("an object without its end"));
        }
        Ok((object, lexer.at))
    }

    /// Reads an object and counts its bytes.
    fn charged(&self, lexer: &mut Lexer<'_>) -> Result<Object, PdfError> {
        let start = lexer.at;
        let object = lexer.object();
        let left = self.work.get().checked_sub(lexer.at - start);
        self.work
            .set(left.ok_or(PdfError::Bound("objects read again and again"))?);
        object
    }

    /// A stream's decoded bytes, at most `limit` bytes.
    pub fn decoded(&self, stream: &Stream, limit: usize) -> Result<Vec<u8>, PdfError> {
        let data = self
            .bytes
            .get(stream.data.clone())
            .ok_or(PdfError::Table("a stream outside the file"))?;
        filter::decode(&stream.dict, data, limit)
    }

    fn stream_data(&self, lexer: &mut Lexer<'_>, dict: &Dict) -> Result<Range<usize>, PdfError> {
        match lexer.peek() {
            Some(b'\n') => lexer.at += 1,
            Some(b'\r') if self.bytes.get(lexer.at + 1) == Some(&b'\n') => lexer.at += 2,
            _ => return Err(lexer.fail("a stream that does not begin on a new line")),
        }
        let length = match dict.get(b"Length") {
            Some(Object::Integer(length)) => Some(*length),
            // The length may follow the stream, in an object that is not a stream.
            Some(Object::Reference(id)) => match self.place(id.number) {
                Place::At { offset, .. } => {
                    let mut at = Lexer::in_file(self.bytes, offset);
                    if at.object_head()? != *id {
                        return Err(at.fail("a stream's length is not where the table says"));
                    }
                    self.charged(&mut at)?.as_integer()
                }
                _ => None,
            },
            _ => None,
        };
        let start = lexer.at;
        let end = length
            .and_then(|length| usize::try_from(length).ok())
            .and_then(|length| start.checked_add(length))
            .filter(|end| *end <= self.bytes.len())
            .ok_or_else(|| lexer.fail("a stream without a true length"))?;
        lexer.at = end;
        lexer.skip_space();
        if lexer.at > end + 2 || !lexer.take(b"endstream") {
            return Err(lexer.fail("a stream that does not end where its length says"));
        }
        lexer.skip_space();
        Ok(start..end)
    }

    fn packed(&self, stream: u32, index: usize, number: u32) -> Result<Object, PdfError> {
        let unpacked = self.unpack(stream)?;
        match unpacked.index.get(index) {
            Some(&(found, offset)) if found == number => {
                self.charged(&mut Lexer::in_object_stream(&unpacked.bytes, offset))
            }
            _ => Err(PdfError::Object {
                number,
                what: "is not in the object stream that the table names",
            }),
        }
    }

    /// The numbers of the objects in an object stream, in their order.
    ///
    /// # Errors
    /// It is not an object stream.
    pub(crate) fn packed_numbers(&self, stream: u32) -> Result<Vec<u32>, PdfError> {
        let unpacked = self.unpack(stream)?;
        Ok(unpacked.index.iter().map(|(number, _)| *number).collect())
    }

    fn unpack(&self, number: u32) -> Result<Rc<Unpacked>, PdfError> {
        if let Some(known) = self.unpacked.borrow().get(&number) {
            return Ok(Rc::clone(known));
        }
        let wrong = |what| PdfError::Object { number, what };
        let Place::At { offset, generation } = self.place(number) else {
            return Err(wrong("is named as an object stream but is not in the file"));
        };
        let id = Id { number, generation };
        let (Object::Stream(stream), _) = self.object_at(offset, id)? else {
            return Err(wrong("is named as an object stream but is not one"));
        };
        if !stream.dict.is_name(b"Type", b"ObjStm") {
            return Err(wrong("is named as an object stream but is not one"));
        }
        let bytes = self.decoded(&stream, self.budget.get())?;
        self.budget.set(self.budget.get() - bytes.len());
        let count = stream.dict.integer(b"N").unwrap_or(-1);
        let first = stream.dict.integer(b"First").unwrap_or(-1);
        let (Ok(count), Ok(first)) = (usize::try_from(count), usize::try_from(first)) else {
            return Err(wrong("is an object stream without its counts"));
        };
        if count > MAX_OBJECTS || first > bytes.len() {
            return Err(wrong("is an object stream with impossible counts"));
        }
        let mut index = Vec::new();
        let mut seen = HashSet::new();
        let mut lexer = Lexer::in_object_stream(&bytes, 0);
        for _ in 0..count {
            lexer.skip_space();
            let inner = lexer.unsigned()?;
            lexer.skip_space();
            let offset = lexer.unsigned()?;
            let (Ok(inner), Ok(offset)) = (u32::try_from(inner), usize::try_from(offset)) else {
                return Err(wrong("is an object stream with impossible numbers"));
            };
            if !seen.insert(inner) {
                return Err(wrong("is an object stream that contains one object twice"));
            }
            index.push((inner, first.saturating_add(offset)));
        }
        if lexer.at > first {
            return Err(wrong(
                "is an object stream whose index runs into its objects",
            ));
        }
        let unpacked = Rc::new(Unpacked { bytes, index });
        self.unpacked
            .borrow_mut()
            .insert(number, Rc::clone(&unpacked));
        Ok(unpacked)
    }

    fn section(&self, offset: usize) -> Result<Section, PdfError> {
        let mut lexer = Lexer::in_file(self.bytes, offset);
        if lexer.take(b"xref") {
            table(lexer, offset)
        } else {
            self.table_stream(lexer, offset)
        }
    }

    fn table_stream(&self, mut lexer: Lexer<'_>, offset: usize) -> Result<Section, PdfError> {
        let id = lexer
            .object_head()
            .map_err(|_| PdfError::Table("there is none where the file says"))?;
        let Object::Dictionary(dict) = lexer.object()? else {
            return Err(PdfError::Table("there is none where the file says"));
        };
        lexer.skip_space();
        if !lexer.take(b"stream") || !dict.is_name(b"Type", b"XRef") {
            return Err(PdfError::Table("there is none where the file says"));
        }
        if !matches!(dict.get(b"Length"), Some(Object::Integer(_))) {
            return Err(PdfError::Table("its length is not written beside it"));
        }
        let data = self.stream_data(&mut lexer, &dict)?;
        if !lexer.take(b"endobj") {
            return Err(lexer.fail("an object without its end"));
        }
        let bytes = filter::decode(&dict, &self.bytes[data.clone()], self.budget.get())?;
        self.budget.set(self.budget.get() - bytes.len());
        let entries = stream_entries(&dict, &bytes)?;
        // Under its own number, the stream may list only itself.
        if entries.iter().any(|&(n, place)| {
            let own = Place::At {
                offset,
                generation: id.generation,
            };
            n == id.number && place != own
        }) {
            return Err(PdfError::Table("it gives its own number to another object"));
        }
        Ok(Section {
            offset,
            end: lexer.at,
            data: Some(data),
            plain: lexer.is_plain(),
            kind: TableKind::Stream,
            trailer: dict,
            entries,
        })
    }
}

/// The offset of a further table that a trailer names.
fn older(trailer: &Dict, key: &[u8]) -> Result<Option<usize>, PdfError> {
    match trailer.get(key) {
        None => Ok(None),
        Some(Object::Integer(offset)) => usize::try_from(*offset)
            .map(Some)
            .map_err(|_| PdfError::Table("a negative offset of the older table")),
        Some(_) => Err(PdfError::Table(
            "the offset of the older table is not a number",
        )),
    }
}

/// Reads `startxref N %%EOF` at the very end and returns N.
fn end_of_revision(bytes: &[u8]) -> Result<usize, PdfError> {
    let mut end = bytes.len();
    // One line end may follow; anything more counts as bytes after the end.
    if bytes[..end].ends_with(b"\r\n") {
        end -= 2;
    } else if bytes[..end].ends_with(b"\n") || bytes[..end].ends_with(b"\r") {
        end -= 1;
    }
    let Some(body) = bytes[..end].strip_suffix(b"%%EOF") else {
        return Err(PdfError::BadEnd("no %%EOF at the end"));
    };
    let tail_start = body.len().saturating_sub(64);
    let tail = &body[tail_start..];
    let Some(word) = tail.windows(9).rposition(|w| w == b"startxref") else {
        return Err(PdfError::BadEnd("no startxref before %%EOF"));
    };
    let mut lexer = Lexer::in_file(body, tail_start + word + 9);
    while lexer.peek().is_some_and(is_space) {
        lexer.at += 1;
    }
    let offset = lexer
        .unsigned()
        .map_err(|_| PdfError::BadEnd("startxref without a number"))?;
    while lexer.peek().is_some_and(is_space) {
        lexer.at += 1;
    }
    if lexer.at != body.len() {
        return Err(PdfError::BadEnd("something between startxref and %%EOF"));
    }
    usize::try_from(offset)
        .ok()
        .filter(|offset| *offset < bytes.len())
        .ok_or(PdfError::BadEnd("startxref points outside the file"))
}

fn table(mut lexer: Lexer<'_>, offset: usize) -> Result<Section, PdfError> {
    let mut entries = Vec::new();
    loop {
        lexer.skip_space();
        if lexer.take(b"trailer") {
            break;
        }
        let first = lexer.unsigned()?;
        lexer.skip_space();
        let count = lexer.unsigned()?;
        if first + count > MAX_OBJECTS as u64 * 4 || count > MAX_OBJECTS as u64 {
            return Err(PdfError::Bound("objects"));
        }
        for number in first..first + count {
            lexer.skip_space();
            let place = lexer.unsigned()?;
            lexer.skip_space();
            let generation = lexer.unsigned()?;
            lexer.skip_space();
            let place = if lexer.take(b"n") {
                Place::At {
                    offset: usize::try_from(place)
                        .map_err(|_| PdfError::Table("an offset out of range"))?,
                    generation: u16::try_from(generation)
                        .map_err(|_| PdfError::Table("a generation out of range"))?,
                }
            } else if lexer.take(b"f") {
                Place::Free
            } else {
                return Err(lexer.fail("a line of the table that is neither used nor free"));
            };
            let number =
                u32::try_from(number).map_err(|_| PdfError::Table("a number out of range"))?;
            entries.push((number, place));
        }
    }
    let Object::Dictionary(trailer) = lexer.object()? else {
        return Err(lexer.fail("a trailer without its dictionary"));
    };
    Ok(Section {
        offset,
        end: lexer.at,
        data: None,
        plain: lexer.is_plain(),
        kind: TableKind::Table,
        trailer,
        entries,
    })
}

fn stream_entries(dict: &Dict, bytes: &[u8]) -> Result<Vec<(u32, Place)>, PdfError> {
    let bad = PdfError::Table("a stream table with impossible widths or ranges");
    let numbers = |object: Option<&Object>| -> Option<Vec<usize>> {
        object?
            .as_array()?
            .iter()
            .map(|o| o.as_integer().and_then(|n| usize::try_from(n).ok()))
            .collect()
    };
    let widths = numbers(dict.get(b"W")).ok_or_else(|| bad.clone())?;
    let [kind, second, third] = widths[..] else {
        return Err(bad);
    };
    if kind > 1 || second == 0 || second > 8 || third > 4 {
        return Err(bad);
    }
    let size = dict.integer(b"Size").and_then(|n| usize::try_from(n).ok());
    let ranges = match dict.get(b"Index") {
        None => vec![0, size.ok_or_else(|| bad.clone())?],
        some => numbers(some).ok_or_else(|| bad.clone())?,
    };
    let width = kind + second + third;
    let mut rows = bytes.chunks_exact(width);
    let field = |row: &[u8]| row.iter().fold(0_u64, |n, &b| n << 8 | u64::from(b));
    let mut entries = Vec::new();
    for range in ranges.chunks(2) {
        let &[first, count] = range else {
            return Err(bad);
        };
        if count > bytes.len() || first > MAX_OBJECTS * 4 {
            return Err(PdfError::Bound("objects"));
        }
        for number in first..first + count {
            let row = rows.next().ok_or_else(|| bad.clone())?;
            let (head, rest) = row.split_at(kind);
            let (a, b) = rest.split_at(second);
            let (a, b) = (field(a), field(b));
            let place = match if kind == 0 { 1 } else { field(head) } {
                0 => Place::Free,
                1 => Place::At {
                    offset: usize::try_from(a).map_err(|_| bad.clone())?,
                    generation: u16::try_from(b).map_err(|_| bad.clone())?,
                },
                2 => Place::Inside {
                    stream: u32::try_from(a).map_err(|_| bad.clone())?,
                    index: usize::try_from(b).map_err(|_| bad.clone())?,
                },
                _ => return Err(bad),
            };
            entries.push((u32::try_from(number).map_err(|_| bad.clone())?, place));
        }
    }
    if rows.next().is_some() || !rows.remainder().is_empty() {
        return Err(bad);
    }
    Ok(entries)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A table with a trailer, and the end of a revision.
    fn table(out: &mut Vec<u8>, rows: &str, trailer: &str, start: usize) {
        out.extend_from_slice(
            format!("xref\n{rows}trailer\n<<{trailer}>>\nstartxref\n{start}\n%%EOF\n").as_bytes(),
        );
    }

    #[test]
    fn a_table_lists_itself_as_it_is() {
        for (generation, fine) in [(0, true), (1, false), (255, false)] {
            let mut bytes = b"%PDF-1.7\n1 0 obj\n<</Type/Catalog>>\nendobj\n".to_vec();
            let start = bytes.len();
            bytes.extend_from_slice(
                b"2 0 obj\n<</Type/XRef/Size 3/W[1 1 1]/Root 1 0 R/Length 9>>\nstream\n",
            );
            let offset = u8::try_from(start).unwrap();
            bytes.extend_from_slice(&[0, 0, 255, 1, 9, 0, 1, offset, generation]);
            bytes.extend_from_slice(b"\nendstream\nendobj\n");
            bytes.extend_from_slice(format!("startxref\n{start}\n%%EOF\n").as_bytes());
            assert_eq!(File::parse(&bytes).is_ok(), fine, "{generation}");
        }
    }

    #[test]
    fn a_file_made_for_the_web_is_read_only_where_it_may_come_from_elsewhere() {
        // The first table names the second, which follows it (ISO 32000-1, annex F).
        let mut bytes = b"%PDF-1.7\n".to_vec();
        let start = bytes.len();
        let rows = "0 1\n0000000000 65535 f \n";
        table(&mut bytes, rows, "/Size 3/Root 1 0 R/Prev 0000000170", 0);
        let first = bytes.len();
        bytes.extend_from_slice(b"1 0 obj\n<</Type/Catalog/Kept(yes)>>\nendobj\n");
        assert!(bytes.len() < 170);
        bytes.resize(170, b' ');
        let rows = format!("1 1\n{first:010} 00000 n \n");
        table(&mut bytes, &rows, "/Size 2", start);
        assert_eq!(
            File::parse(&bytes).unwrap_err(),
            PdfError::Table("an older table comes after a newer one")
        );
        for after in ["", "\r\n\r\n<!-- -->"] {
            let saved = [&bytes, after.as_bytes()].concat();
            let (_, catalog) = File::parse_saved_elsewhere(&saved)
                .unwrap()
                .catalog()
                .unwrap();
            assert_eq!(catalog.get(b"Kept"), Some(&Object::literal(b"yes")));
        }
        // A table that names itself as the older one ends.
        let cycle = String::from_utf8(bytes)
            .unwrap()
            .replace("0000000170", "0000000009");
        assert_eq!(
            File::parse_saved_elsewhere(cycle.as_bytes()).unwrap_err(),
            PdfError::Bound("revisions")
        );
    }
}
