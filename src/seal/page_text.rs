//! The words on the pages of a sealed file (ISO 32000-1, 9.10), in the order they are painted.
//!
//! Only what certificates use is supported: composite fonts with a ToUnicode map and codes of two bytes.
//! Running heads (artifacts) and invisible text are left out, because the result is compared with
//! what people read. Other text is an error.

use std::collections::HashMap;

use super::error::SealError;
use crate::pdf::object::Stream;
use crate::pdf::{Dict, File, Id, Lexer, Object, PdfError};

/// Maximum number of pages.
const MAX_PAGES: usize = 2_000;
/// Maximum size of page contents and font maps after decompression, in bytes.
const MAX_BYTES: usize = 64 << 20;
/// Maximum nesting of forms in pages.
const MAX_DEPTH: usize = 8;
/// Maximum number of operands of one operator.
const MAX_OPERANDS: usize = 4_096;
/// Text rendering mode that paints nothing (table 106).
const INVISIBLE: i64 = 3;

/// The text of each page.
///
/// # Errors
/// [`SealError::Pages`]: a page is written differently from any certificate.
pub(crate) fn read(pdf: &[u8]) -> Result<Vec<String>, SealError> {
    let file = File::parse(pdf)?;
    let (_, catalog) = file.catalog()?;
    let mut reader = Reader {
        file: &file,
        fonts: HashMap::new(),
        left: MAX_BYTES,
    };
    let mut pages = Vec::new();
    let mut waiting = vec![(file.value(&catalog, b"Pages")?, Dict::default(), 0)];
    let mut nodes = 0;
    while let Some((node, inherited, depth)) = waiting.pop() {
        let Object::Dictionary(node) = node else {
            return Err(unreadable("the tree of pages is broken"));
        };
        nodes += 1;
        if nodes > 2 * MAX_PAGES || depth > 32 {
            return Err(unreadable("there are too many"));
        }
        let resources = match file.value(&node, b"Resources")? {
            Object::Dictionary(own) => own,
            _ => inherited,
        };
        if node.is_name(b"Type", b"Page") {
            pages.push(reader.page(&node, &resources)?);
        } else if let Object::Array(kids) = file.value(&node, b"Kids")? {
            if kids.len() > MAX_PAGES {
                return Err(unreadable("there are too many"));
            }
            for kid in kids.iter().rev() {
                waiting.push((file.resolve(kid)?, resources.clone(), depth + 1));
            }
        }
    }
    Ok(pages)
}

fn unreadable(what: &str) -> SealError {
    SealError::Pages(what.to_owned())
}

type Characters = HashMap<u16, String>;

struct Reader<'f, 'a> {
    file: &'f File<'a>,
    fonts: HashMap<Id, std::rc::Rc<Characters>>,
    left: usize,
}

/// The graphics state, as far as it matters for text.
struct State {
    font: Option<std::rc::Rc<Characters>>,
    mode: i64,
    /// For each open marked content, whether it is an artifact.
    marks: Vec<bool>,
    /// Font and mode saved by `q`.
    kept: Vec<(Option<std::rc::Rc<Characters>>, i64)>,
}

impl Reader<'_, '_> {
    fn page(&mut self, page: &Dict, resources: &Dict) -> Result<String, SealError> {
        let parts = match self.file.value(page, b"Contents")? {
            Object::Stream(stream) => vec![stream],
            Object::Array(items) => items
                .iter()
                .map(|item| match self.file.resolve(item)? {
                    Object::Stream(stream) => Ok(stream),
                    _ => Err(unreadable("a page's contents are missing")),
                })
                .collect::<Result<_, _>>()?,
            _ => Vec::new(),
        };
        // Several streams count as one (7.8.2), with a space between.
        let mut contents = Vec::new();
        for part in &parts {
            contents.extend(self.decoded(part)?);
            contents.push(b'\n');
        }
        let mut text = String::new();
        self.paint(&contents, resources, 0, &mut text)?;
        let Object::Array(annotations) = self.file.value(page, b"Annots")? else {
            return Ok(text);
        };
        for annotation in &annotations {
            let Object::Dictionary(annotation) = self.file.resolve(annotation)? else {
                continue;
            };
            if let Object::Dictionary(looks) = self.file.value(&annotation, b"AP")?
                && let Object::Stream(form) = self.file.value(&looks, b"N")?
            {
                self.form(&form, resources, 1, &mut text)?;
            }
        }
        Ok(text)
    }

    fn form(
        &mut self,
        form: &Stream,
        inherited: &Dict,
        depth: usize,
        text: &mut String,
    ) -> Result<(), SealError> {
        if depth > MAX_DEPTH {
            return Err(unreadable("forms are nested too deeply"));
        }
        let contents = self.decoded(form)?;
        let resources = match self.file.value(&form.dict, b"Resources")? {
            Object::Dictionary(own) => own,
            _ => inherited.clone(),
        };
        self.paint(&contents, &resources, depth, text)
    }

    fn decoded(&mut self, stream: &Stream) -> Result<Vec<u8>, SealError> {
        let bytes = self.file.decoded(stream, self.left)?;
        self.left -= bytes.len();
        Ok(bytes)
    }

    fn paint(
        &mut self,
        contents: &[u8],
        resources: &Dict,
        depth: usize,
        text: &mut String,
    ) -> Result<(), SealError> {
        let mut lexer = Lexer::in_object_stream(contents, 0);
        let mut state = State {
            font: None,
            mode: 0,
            marks: Vec::new(),
            kept: Vec::new(),
        };
        let mut operands: Vec<Object> = Vec::new();
        loop {
            lexer.skip_space();
            if lexer.peek().is_none() {
                return Ok(());
            }
            if let Some(operator) = lexer.operator() {
                self.operator(operator, &operands, resources, depth, &mut state, text)?;
                operands.clear();
            } else {
                if operands.len() == MAX_OPERANDS {
                    return Err(PdfError::Bound("operands").into());
                }
                operands.push(lexer.object()?);
            }
        }
    }

    fn operator(
        &mut self,
        operator: &[u8],
        operands: &[Object],
        resources: &Dict,
        depth: usize,
        state: &mut State,
        text: &mut String,
    ) -> Result<(), SealError> {
        match operator {
            b"q" => {
                if state.kept.len() == MAX_OPERANDS {
                    return Err(PdfError::Bound("states kept").into());
                }
                state.kept.push((state.font.clone(), state.mode));
            }
            b"Q" => {
                if let Some((font, mode)) = state.kept.pop() {
                    state.font = font;
                    state.mode = mode;
                }
            }
            b"Tf" => {
                let [Object::Name(name), ..] = operands else {
                    return Err(unreadable("a font without a name"));
                };
                state.font = Some(self.font(resources, name)?);
            }
            b"Tr" => {
                state.mode = operands.first().and_then(Object::as_integer).unwrap_or(0);
            }
            b"BMC" | b"BDC" => {
                if state.marks.len() == MAX_OPERANDS {
                    return Err(PdfError::Bound("marked contents").into());
                }
                let artifact = operands.first().and_then(Object::as_name) == Some(b"Artifact");
                state.marks.push(artifact);
            }
            b"EMC" => {
                state.marks.pop();
            }
            b"Tj" | b"TJ" | b"'" | b"\"" => {
                let mut strings: Vec<&Object> = Vec::new();
                for operand in operands {
                    match operand {
                        Object::Array(items) => strings.extend(items),
                        other => strings.push(other),
                    }
                }
                for string in strings.into_iter().filter_map(Object::as_string) {
                    shown(state, &string.bytes, text)?;
                }
            }
            // A new line or cell: words do not run on from one to the next.
            b"Td" | b"TD" | b"Tm" | b"T*" | b"BT" if !text.ends_with(' ') => text.push(' '),
            b"Do" => {
                if let Some(Object::Name(name)) = operands.first()
                    && let Object::Dictionary(objects) = self.file.value(resources, b"XObject")?
                    && let Object::Stream(form) = self.file.value(&objects, name)?
                    && form.dict.is_name(b"Subtype", b"Form")
                    && !state.marks.contains(&true)
                {
                    self.form(&form, resources, depth + 1, text)?;
                }
            }
            b"BI" => return Err(unreadable("a picture is written into a page")),
            _ => {}
        }
        Ok(())
    }

    fn font(
        &mut self,
        resources: &Dict,
        name: &[u8],
    ) -> Result<std::rc::Rc<Characters>, SealError> {
        let Object::Dictionary(fonts) = self.file.value(resources, b"Font")? else {
            return Err(unreadable("a page has no fonts"));
        };
        let id = fonts.get(name).and_then(Object::as_reference);
        if let Some(known) = id.and_then(|id| self.fonts.get(&id)) {
            return Ok(known.clone());
        }
        let Object::Dictionary(font) = self.file.value(&fonts, name)? else {
            return Err(unreadable("a font is missing"));
        };
        if !font.is_name(b"Encoding", b"Identity-H") {
            return Err(unreadable("a font has another encoding"));
        }
        let Object::Stream(map) = self.file.value(&font, b"ToUnicode")? else {
            return Err(unreadable("a font does not say which characters it shows"));
        };
        let map = self.decoded(&map)?;
        let characters = std::rc::Rc::new(characters(&map)?);
        if let Some(id) = id {
            self.fonts.insert(id, characters.clone());
        }
        Ok(characters)
    }
}

fn shown(state: &State, codes: &[u8], text: &mut String) -> Result<(), SealError> {
    if state.mode == INVISIBLE || state.marks.contains(&true) {
        return Ok(());
    }
    let Some(font) = &state.font else {
        return Err(unreadable("text without a font"));
    };
    for pair in codes.chunks(2) {
        let &[high, low] = pair else {
            return Err(unreadable("half a code"));
        };
        match font.get(&u16::from_be_bytes([high, low])) {
            Some(character) => text.push_str(character),
            None => return Err(unreadable("a glyph without a character")),
        }
    }
    Ok(())
}

/// A ToUnicode map (9.10.3) with codes of two bytes.
fn characters(map: &[u8]) -> Result<Characters, SealError> {
    let damaged = || unreadable("a font's map of characters is damaged");
    let mut lexer = Lexer::in_object_stream(map, 0);
    let mut operands: Vec<Object> = Vec::new();
    let mut out = Characters::new();
    loop {
        lexer.skip_space();
        if lexer.peek().is_none() {
            return Ok(out);
        }
        let Some(operator) = lexer.operator() else {
            if operands.len() > 3 * usize::from(u16::MAX) {
                return Err(damaged());
            }
            operands.push(lexer.object().map_err(|_| damaged())?);
            continue;
        };
        match operator {
            b"endbfchar" => {
                for pair in operands.chunks(2) {
                    let [code, to] = pair else {
                        return Err(damaged());
                    };
                    out.insert(
                        code_of(code).ok_or_else(damaged)?,
                        utf16(to).ok_or_else(damaged)?,
                    );
                }
            }
            b"endbfrange" => {
                for triple in operands.chunks(3) {
                    let [first, last, to] = triple else {
                        return Err(damaged());
                    };
                    let first = code_of(first).ok_or_else(damaged)?;
                    let last = code_of(last).ok_or_else(damaged)?;
                    for (n, code) in (first..=last).enumerate() {
                        let character = match to {
                            Object::Array(items) => items.get(n).and_then(utf16),
                            other => utf16(other).and_then(|text| nth_after(&text, n)),
                        };
                        out.insert(code, character.ok_or_else(damaged)?);
                    }
                }
            }
            _ => {}
        }
        operands.clear();
    }
}

fn code_of(object: &Object) -> Option<u16> {
    match object.as_string()?.bytes.as_slice() {
        &[high, low] => Some(u16::from_be_bytes([high, low])),
        _ => None,
    }
}

fn utf16(object: &Object) -> Option<String> {
    let bytes = &object.as_string()?.bytes;
    if bytes.is_empty() || bytes.len() > 32 || bytes.len() % 2 != 0 {
        return None;
    }
    let units: Vec<u16> = bytes
        .chunks_exact(2)
        .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
        .collect();
    String::from_utf16(&units).ok()
}

fn nth_after(text: &str, n: usize) -> Option<String> {
    let last = text.chars().last()?;
    let next = char::from_u32(u32::from(last).checked_add(u32::try_from(n).ok()?)?)?;
    Some(format!("{}{next}", &text[..text.len() - last.len_utf8()]))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn maps_of_characters_are_read_in_all_three_forms() {
        let map = b"/CMapName /X def 1 begincodespacerange <0000> <FFFF> endcodespacerange\n\
            2 beginbfchar <0001> <0041> <0002> <00660069> endbfchar\n\
            2 beginbfrange <0010> <0012> <0061> <0020> <0021> [<0391> <0392>] endbfrange";
        let map = characters(map).unwrap();
        let shown = |code: u16| map.get(&code).map(String::as_str);
        assert_eq!(shown(1), Some("A"));
        assert_eq!(shown(2), Some("fi"));
        assert_eq!(shown(0x12), Some("c"));
        assert_eq!(shown(0x21), Some("Β"));
        assert_eq!(shown(3), None);
    }

    #[test]
    fn a_damaged_map_is_refused() {
        for map in [
            &b"1 beginbfchar <0001> endbfchar"[..],
            b"1 beginbfrange <0001> <0003> [<0041>] endbfrange",
            b"1 beginbfchar <01> <0041> endbfchar",
            b"1 beginbfchar <0001> <D800> endbfchar",
        ] {
            assert!(characters(map).is_err(), "{}", String::from_utf8_lossy(map));
        }
    }
}
