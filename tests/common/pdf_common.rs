//! A whole PDF in memory, to be looked through, or changed and written again.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeMap;

use warmlug::pdf::{Dict, File, Id, Lexer, Object};

/// All objects of a file; streams with their bytes.
pub struct Pdf {
    pub objects: BTreeMap<u32, Object>,
    /// Bytes of streams as they are in the file.
    encoded: BTreeMap<u32, Vec<u8>>,
    /// Bytes of streams decoded, where the reader knows their filter.
    decoded: BTreeMap<u32, Vec<u8>>,
    root: Id,
    trailer: Dict,
}

impl Pdf {
    pub fn load(bytes: &[u8]) -> Pdf {
        let file = File::parse(bytes).unwrap();
        let mut pdf = Pdf {
            objects: BTreeMap::new(),
            encoded: BTreeMap::new(),
            decoded: BTreeMap::new(),
            root: file.catalog().unwrap().0,
            trailer: file.trailer().clone(),
        };
        for number in file.numbers() {
            let object = file.object(Id::new(number)).unwrap();
            if let Object::Stream(stream) = &object {
                if matches!(stream.dict.name(b"Type"), Some(b"ObjStm" | b"XRef")) {
                    continue;
                }
                pdf.encoded
                    .insert(number, bytes[stream.data.clone()].to_vec());
                if let Ok(decoded) = file.decoded(stream, 64 << 20) {
                    pdf.decoded.insert(number, decoded);
                }
            }
            pdf.objects.insert(number, object);
        }
        pdf
    }

    /// The file with a classic table of objects.
    pub fn save(&self) -> Vec<u8> {
        let mut out = b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n".to_vec();
        let mut rows = String::new();
        let size = self.objects.keys().max().unwrap() + 1;
        for number in 0..size {
            let Some(object) = self.objects.get(&number) else {
                rows.push_str("0000000000 65535 f \n");
                continue;
            };
            rows.push_str(&format!("{:010} 00000 n \n", out.len()));
            out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            object.write(&mut out);
            if let Some(bytes) = self.encoded.get(&number) {
                out.extend_from_slice(b"\nstream\n");
                out.extend_from_slice(bytes);
                out.extend_from_slice(b"\nendstream");
            }
            out.extend_from_slice(b"\nendobj\n");
        }
        let start = out.len();
        out.extend_from_slice(format!("xref\n0 {size}\n{rows}trailer\n").as_bytes());
        let mut trailer = Dict::from([("Size", size.into()), ("Root", self.root.into())]);
        for key in [b"Info".as_slice(), b"ID"] {
            if let Some(value) = self.trailer.get(key) {
                trailer.set(key, value.clone());
            }
        }
        trailer.write(&mut out);
        out.extend_from_slice(format!("\nstartxref\n{start}\n%%EOF\n").as_bytes());
        out
    }

    pub fn add(&mut self, object: impl Into<Object>) -> Id {
        let number = self.objects.keys().max().unwrap() + 1;
        self.objects.insert(number, object.into());
        Id::new(number)
    }

    /// What a reference leads to.
    pub fn follow<'a>(&'a self, object: &'a Object) -> &'a Object {
        match object.as_reference() {
            Some(id) => &self.objects[&id.number],
            None => object,
        }
    }

    /// A dictionary, or that of a stream.
    pub fn dict(&self, id: Id) -> &Dict {
        dict_of(&self.objects[&id.number]).unwrap()
    }

    pub fn dict_mut(&mut self, id: Id) -> &mut Dict {
        dict_of_mut(self.objects.get_mut(&id.number).unwrap()).unwrap()
    }

    pub fn catalog(&self) -> &Dict {
        self.dict(self.root)
    }

    pub fn catalog_mut(&mut self) -> &mut Dict {
        self.dict_mut(self.root)
    }

    /// All dictionaries that are no streams.
    pub fn dicts(&self) -> impl Iterator<Item = &Dict> {
        self.objects.values().filter_map(Object::as_dictionary)
    }

    /// The same, to be changed.
    pub fn dicts_mut(&mut self) -> impl Iterator<Item = &mut Dict> {
        self.objects.values_mut().filter_map(|o| match o {
            Object::Dictionary(dict) => Some(dict),
            _ => None,
        })
    }

    /// The bytes of a stream, decoded.
    pub fn stream(&self, id: Id) -> &[u8] {
        &self.decoded[&id.number]
    }

    /// Gives a stream other bytes, not encoded.
    pub fn set_stream(&mut self, id: Id, bytes: Vec<u8>) {
        let dict = self.dict_mut(id);
        dict.0
            .retain(|(key, _)| !matches!(key.as_slice(), b"Filter" | b"DecodeParms"));
        dict.set("Length", bytes.len());
        self.encoded.insert(id.number, bytes.clone());
        self.decoded.insert(id.number, bytes);
    }

    /// The streams that can be decoded.
    pub fn stream_ids(&self) -> Vec<Id> {
        self.decoded.keys().map(|n| Id::new(*n)).collect()
    }

    /// The bytes of all streams that can be decoded.
    pub fn streams(&self) -> impl Iterator<Item = &[u8]> {
        self.decoded.values().map(Vec::as_slice)
    }

    /// The pages in their order; ours hang on one node.
    pub fn pages(&self) -> Vec<Id> {
        let tree = dict_of(self.follow(self.catalog().get(b"Pages").unwrap())).unwrap();
        let kids = tree.get(b"Kids").unwrap().as_array().unwrap();
        kids.iter().map(|k| k.as_reference().unwrap()).collect()
    }

    /// The operations of a page: operands and operator.
    pub fn operations(&self, page: Id) -> Vec<(Vec<Object>, String)> {
        let content = self.dict(page).get(b"Contents").unwrap();
        let bytes = self.stream(content.as_reference().unwrap());
        let mut lexer = Lexer::in_object_stream(bytes, 0);
        let (mut operands, mut operations) = (Vec::new(), Vec::new());
        loop {
            lexer.skip_space();
            if lexer.peek().is_none() {
                assert!(operands.is_empty(), "operands without an operator");
                return operations;
            }
            match lexer.operator() {
                Some(word) => operations.push((
                    std::mem::take(&mut operands),
                    String::from_utf8(word.to_vec()).unwrap(),
                )),
                None => operands.push(lexer.object().unwrap()),
            }
        }
    }
}

fn dict_of(object: &Object) -> Option<&Dict> {
    match object {
        Object::Dictionary(dict) => Some(dict),
        Object::Stream(stream) => Some(&stream.dict),
        _ => None,
    }
}

fn dict_of_mut(object: &mut Object) -> Option<&mut Dict> {
    match object {
        Object::Dictionary(dict) => Some(dict),
        Object::Stream(stream) => Some(&mut stream.dict),
        _ => None,
    }
}
