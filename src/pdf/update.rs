//! Appending a revision to a file (ISO 32000-1, 7.5.6): changed objects, a table of the kind that
//! the file already uses, and a trailer. The file itself is neither changed nor copied; only the
//! bytes to append are created.

use super::object::{Dict, Id, Object};
use super::revisions::{File, TableKind};
use super::spelling::Spelling;

/// Objects to append. Each keeps its future offset, so that a caller can fill
/// fixed-width gaps afterwards.
pub(crate) struct Update<'f, 'a> {
    file: &'f File<'a>,
    /// The bytes to append to the file.
    out: Vec<u8>,
    written: Vec<(Id, usize)>,
    next: u32,
    spelling: Spelling,
}

impl<'f, 'a> Update<'f, 'a> {
    pub fn new(file: &'f File<'a>, room: usize, spelling: Spelling) -> Self {
        let mut out = Vec::with_capacity(room);
        if !file.bytes.ends_with(b"\n") {
            out.push(b'\n');
        }
        Self {
            file,
            out,
            written: Vec::new(),
            next: file.next_number(),
            spelling,
        }
    }

    /// A number for a new object.
    pub fn reserve(&mut self) -> Id {
        let id = Id::new(self.next);
        self.next += 1;
        id
    }

    /// Offset in the file of the next byte.
    fn place(&self) -> usize {
        self.file.bytes.len() + self.out.len()
    }

    /// Writes one object whose source is `body`; returns the position of `body` in the appended
    /// bytes.
    pub fn add_source(&mut self, id: Id, body: &[u8]) -> usize {
        self.written.push((id, self.place()));
        self.out
            .extend_from_slice(format!("{} {} obj\n", id.number, id.generation).as_bytes());
        let start = self.out.len();
        self.out.extend_from_slice(body);
        self.out.extend_from_slice(b"\nendobj\n");
        start
    }

    /// Writes one object.
    pub fn add(&mut self, id: Id, object: impl Into<Object>) {
        let mut body = Vec::new();
        object.into().spell(&mut body, self.spelling);
        self.add_source(id, &body);
    }

    /// Writes the table and the trailer; returns the bytes to append to the file. `id` is the pair
    /// of file identifiers.
    pub fn finish(mut self, id: [&[u8]; 2]) -> Vec<u8> {
        // `File::parse` leaves at least one section.
        let newest = &self.file.sections[0];
        let mut trailer = Dict::default();
        for key in [b"Root".as_slice(), b"Info"] {
            if let Some(value) = newest.trailer.get(key) {
                trailer.set(key, value.clone());
            }
        }
        trailer.set("ID", id.map(Object::hexadecimal));
        trailer.set("Prev", newest.offset);
        let start = match newest.kind {
            TableKind::Table => {
                self.written.sort_unstable();
                trailer.set("Size", self.next);
                self.table(&trailer)
            }
            TableKind::Stream => {
                let own = self.reserve();
                let start = self.place();
                self.written.push((own, start));
                self.written.sort_unstable();
                trailer.set("Size", self.next);
                self.table_stream(own, trailer);
                start
            }
        };
        self.out
            .extend_from_slice(format!("startxref\n{start}\n%%EOF\n").as_bytes());
        self.out
    }

    fn table(&mut self, trailer: &Dict) -> usize {
        let start = self.place();
        self.out.extend_from_slice(b"xref\n");
        for run in self.written.chunk_by(|a, b| a.0.number + 1 == b.0.number) {
            self.out
                .extend_from_slice(format!("{} {}\n", run[0].0.number, run.len()).as_bytes());
            for (id, offset) in run {
                // Each line has exactly twenty bytes (7.5.4).
                self.out.extend_from_slice(
                    format!("{offset:010} {:05} n \n", id.generation).as_bytes(),
                );
            }
        }
        self.out.extend_from_slice(b"trailer\n");
        trailer.spell(&mut self.out, self.spelling);
        self.out.push(b'\n');
        start
    }

    fn table_stream(&mut self, own: Id, mut dict: Dict) {
        let mut ranges: Vec<Object> = Vec::new();
        let mut rows = Vec::new();
        for run in self.written.chunk_by(|a, b| a.0.number + 1 == b.0.number) {
            ranges.push(run[0].0.number.into());
            ranges.push(run.len().into());
            for (id, offset) in run {
                rows.push(1);
                // Files end at 128 MiB, so four bytes hold every offset.
                rows.extend_from_slice(&(*offset as u32).to_be_bytes());
                rows.extend_from_slice(&id.generation.to_be_bytes());
            }
        }
        dict.set("Type", "XRef");
        dict.set("W", [1, 4, 2]);
        dict.set("Index", ranges);
        dict.set("Length", rows.len());
        self.out
            .extend_from_slice(format!("{} 0 obj\n", own.number).as_bytes());
        dict.spell(&mut self.out, self.spelling);
        self.out.extend_from_slice(b"\nstream\n");
        self.out.extend_from_slice(&rows);
        self.out.extend_from_slice(b"\nendstream\nendobj\n");
    }
}
