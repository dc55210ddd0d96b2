//! The two embedded faces: their characters and widths, and the subset of a face that a document
//! contains.

use std::cell::{Cell, RefCell};

use super::error::TypesetError;
use super::hyphens::Language;
use super::repertoire::RUNS;

/// Units of both faces to the em.
const UNITS: f32 = 1000.0;
/// Height of capitals in ems, the same in both faces (OS/2 sCapHeight).
pub(super) const CAP_HEIGHT: f32 = 0.66;
/// Glyphs of each face, with the one for a missing character.
const GLYPHS: usize = {
    let (first, last, glyph) = RUNS[RUNS.len() - 1];
    glyph as usize + (last - first) as usize + 1
};

static REGULAR: &[u8] = include_bytes!("../../fonts/WarmlugSans-Regular.ttf");

/// The complete face of running text, for text that is typed into a field later.
pub fn regular() -> &'static [u8] {
    REGULAR
}

static STRONG: &[u8] = include_bytes!("../../fonts/WarmlugSans-Semibold.ttf");

/// Weight of a face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    /// Regular.
    Regular,
    /// Semibold.
    Strong,
}

/// Whether both faces have the character, so that it can be printed in a certificate. Line ends are
/// not characters of a face: they are `false` here, and the layout breaks the line at them.
///
/// ```
/// assert!(warmlug::typeset::prints('Ω'));
/// assert!(!warmlug::typeset::prints('漢'));
/// ```
///
/// Only the layout inserts soft hyphens.
#[must_use]
pub fn prints(character: char) -> bool {
    character != SOFT_HYPHEN && glyph(character).is_some()
}

/// Soft hyphen, drawn where a word is divided at the end of a line. It tells programs that extract
/// text that the word continues (ISO 32000-1, 14.8.2.2.3).
pub(super) const SOFT_HYPHEN: char = '\u{AD}';

/// The glyph that draws a character, the same in both faces.
fn glyph(character: char) -> Option<u16> {
    let code = u32::from(character);
    if let 0x20..=0x7E = code {
        // The first run is ASCII, which covers nearly all text.
        return u16::try_from(code - 0x1F).ok();
    }
    let run = RUNS
        .partition_point(|&(first, _, _)| first <= code)
        .checked_sub(1)?;
    let &(first, last, glyph) = RUNS.get(run)?;
    if code > last {
        return None;
    }
    u16::try_from(code - first).ok().map(|step| glyph + step)
}

/// Both faces with their widths, the current language for dividing words, and the first character
/// found that the faces lack.
pub(super) struct Faces {
    regular: Vec<u16>,
    strong: Vec<u16>,
    language: Cell<Option<Language>>,
    missing: RefCell<Option<(char, String)>>,
}

impl Faces {
    /// Reads the widths of both faces.
    pub(super) fn new() -> Result<Faces, TypesetError> {
        Ok(Faces {
            regular: advances(REGULAR)?,
            strong: advances(STRONG)?,
            language: Cell::new(None),
            missing: RefCell::new(None),
        })
    }

    /// Sets the language of the following words (BCP 47); words in an unknown language are not
    /// divided.
    pub(super) fn set_language(&self, tag: &str) {
        self.language.set(Language::of(tag));
    }

    /// The language of the words.
    pub(super) fn language(&self) -> Option<Language> {
        self.language.get()
    }

    /// Width of a character in ems. A character that the face lacks has no width and is kept for
    /// [`Faces::finish`].
    pub(super) fn advance(&self, weight: Weight, character: char, context: &str) -> f32 {
        let Some(glyph) = glyph(character) else {
            if !matches!(character, '\n' | '\r') {
                self.missing
                    .borrow_mut()
                    .get_or_insert_with(|| (character, context.to_owned()));
            }
            return 0.0;
        };
        let table = match weight {
            Weight::Regular => &self.regular,
            Weight::Strong => &self.strong,
        };
        f32::from(table.get(usize::from(glyph)).copied().unwrap_or(0)) / UNITS
    }

    /// Width of text at a size.
    pub(super) fn width(&self, weight: Weight, size: f32, text: &str) -> f32 {
        text.chars()
            .map(|c| self.advance(weight, c, text))
            .sum::<f32>()
            * size
    }

    /// Whether everything measured can be printed.
    pub(super) fn finish(&self) -> Result<(), TypesetError> {
        match self.missing.borrow_mut().take() {
            Some((character, text)) => Err(TypesetError::Character { character, text }),
            None => Ok(()),
        }
    }
}

fn advances(data: &[u8]) -> Result<Vec<u16>, TypesetError> {
    let face = ttf_parser::Face::parse(data, 0).map_err(|e| TypesetError::Face(e.to_string()))?;
    Ok((0..face.number_of_glyphs())
        .map(|g| face.glyph_hor_advance(ttf_parser::GlyphId(g)).unwrap_or(0))
        .collect())
}

/// The glyphs of a face that a document uses, numbered in the order of their first use.
pub(super) struct Used {
    weight: Weight,
    /// Number in the document by glyph of the face; 0 is not yet used.
    numbers: Vec<u16>,
    /// Glyph of the face and its character, by number in the document less one.
    order: Vec<(u16, char)>,
}

/// The subset of a face in a document.
pub(super) struct Part {
    /// Name, with the tag of a subset.
    pub name: String,
    /// The font program (TrueType).
    pub program: Vec<u8>,
    /// Widths in thousandths of an em, by number from 0.
    pub widths: Vec<u16>,
    /// Character drawn by each number from 1.
    pub characters: Vec<char>,
    /// Ascent, descent in thousandths of an em.
    pub reach: (i16, i16),
    /// Box around all glyphs of the face.
    pub bounds: [i16; 4],
    /// Weight class (400, 600).
    pub class: u16,
}

impl Used {
    /// Nothing used yet.
    pub(super) fn new(weight: Weight) -> Used {
        Used {
            weight,
            numbers: vec![0; GLYPHS],
            order: Vec::new(),
        }
    }

    /// Appends the codes of a text to a string of two-byte codes.
    pub(super) fn encode(&mut self, text: &str, codes: &mut Vec<u8>) {
        for character in text.chars() {
            let Some(glyph) = glyph(character) else {
                continue;
            };
            let Some(number) = self.numbers.get_mut(usize::from(glyph)) else {
                continue;
            };
            if *number == 0 {
                self.order.push((glyph, character));
                *number = u16::try_from(self.order.len()).unwrap_or(0);
            }
            codes.extend_from_slice(&number.to_be_bytes());
        }
    }

    /// The subset of the face; `None` if no glyph is used.
    pub(super) fn part(&self) -> Result<Option<Part>, TypesetError> {
        if self.order.is_empty() {
            return Ok(None);
        }
        let (data, name, class) = match self.weight {
            Weight::Regular => (REGULAR, "WarmlugSans-Regular", 400),
            Weight::Strong => (STRONG, "WarmlugSans-Semibold", 600),
        };
        let face =
            ttf_parser::Face::parse(data, 0).map_err(|e| TypesetError::Face(e.to_string()))?;
        let mut mapper = subsetter::GlyphRemapper::new();
        for &(glyph, _) in &self.order {
            mapper.remap(glyph);
        }
        let program =
            subsetter::subset(data, 0, &mapper).map_err(|e| TypesetError::Face(e.to_string()))?;
        let mut widths = vec![face.glyph_hor_advance(ttf_parser::GlyphId(0)).unwrap_or(0)];
        widths.extend(self.order.iter().map(|&(glyph, _)| {
            face.glyph_hor_advance(ttf_parser::GlyphId(glyph))
                .unwrap_or(0)
        }));
        let bounds = face.global_bounding_box();
        Ok(Some(Part {
            name: format!("{}+{name}", self.tag()),
            program,
            widths,
            characters: self.order.iter().map(|&(_, c)| c).collect(),
            reach: (face.ascender(), face.descender()),
            bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max],
            class,
        }))
    }

    /// Six capitals that identify this selection of glyphs (ISO 32000-1, 9.6.4).
    fn tag(&self) -> String {
        // FNV-1a, 64 bit: a name, not a proof.
        let mut hash = 0xCBF2_9CE4_8422_2325_u64;
        for &(glyph, _) in &self.order {
            for byte in glyph.to_be_bytes() {
                hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3);
            }
        }
        (0..6)
            .map(|_| {
                let letter = u8::try_from(hash % 26).unwrap_or(0);
                hash /= 26;
                char::from(b'A' + letter)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_trade_and_its_neighbours_can_be_printed() {
        for c in "°ΔΩµ·−²≤≥×→←½⅜–—“”’Łukasz Šimek Nguyễn Ángel Groß Çelik Əliyev Παπαδοπούλου Ϊ Щукин Їжак Ђорђе Қасым".chars()
        {
            assert!(prints(c), "{c}");
        }
    }

    #[test]
    fn what_no_face_has_is_refused() {
        for c in [
            '\n', '\t', '\u{7F}', '\u{AD}', '\u{200B}', '\u{301}', '漢', '😀', 'א', 'ก',
        ] {
            assert!(!prints(c), "{c:?}");
        }
    }

    #[test]
    fn runs_are_sorted_and_number_every_glyph_once() {
        let mut next = 1;
        let mut before = 0;
        for (first, last, glyph) in RUNS {
            assert!(first > before && last >= first);
            assert_eq!(u32::from(glyph), next);
            next += last - first + 1;
            before = last;
        }
        assert_eq!(glyph(' '), Some(1));
        assert_eq!(glyph('~'), Some(95));
    }

    #[test]
    fn both_faces_number_their_glyphs_as_the_runs_do() {
        for data in [REGULAR, STRONG] {
            let face = ttf_parser::Face::parse(data, 0).unwrap();
            for (first, last, _) in RUNS {
                for c in (first..=last).filter_map(char::from_u32) {
                    assert_eq!(face.glyph_index(c).map(|g| g.0), glyph(c), "{c}");
                }
            }
            assert_eq!(f32::from(face.units_per_em()), UNITS);
            assert_eq!(
                f32::from(face.capital_height().unwrap()) / UNITS,
                CAP_HEIGHT
            );
        }
    }

    #[test]
    fn every_character_has_a_code_of_its_own() {
        let all: String = RUNS
            .iter()
            .flat_map(|&(first, last, _)| (first..=last).filter_map(char::from_u32))
            .collect();
        let mut used = Used::new(Weight::Regular);
        let mut codes = Vec::new();
        used.encode(&all, &mut codes);
        assert_eq!(codes.len(), 2 * all.chars().count());
        assert_eq!(
            used.part().unwrap().unwrap().characters,
            all.chars().collect::<Vec<_>>()
        );
    }

    #[test]
    fn figures_are_all_as_wide_as_each_other() {
        let faces = Faces::new().unwrap();
        for weight in [Weight::Regular, Weight::Strong] {
            let zero = faces.advance(weight, '0', "");
            for c in ('1'..='9').chain(['−', '+']) {
                assert_eq!(faces.advance(weight, c, ""), zero, "{c}");
            }
        }
    }

    #[test]
    fn a_character_the_face_lacks_is_told_with_its_text() {
        let faces = Faces::new().unwrap();
        faces.width(Weight::Regular, 9.0, "bay 漢 one");
        let error = faces.finish().unwrap_err();
        assert_eq!(
            error.to_string(),
            "the certificate's typeface has no character “漢” (U+6F22), which is in “bay 漢 one”; write it another way"
        );
    }
}
