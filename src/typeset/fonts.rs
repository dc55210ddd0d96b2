//! Writes the faces: composite fonts with two-byte codes (ISO 32000-1, 9.7; ISO 19005-3, 6.2.11).

use crate::pdf::{Dict, Id, Object, Writer};

use super::error::TypesetError;
use super::face::{CAP_HEIGHT, Part, Used, Weight, regular};

/// Writes the parts of both faces that are used.
pub(super) fn write(
    file: &mut Writer<'_>,
    used: [(Weight, &Used); 2],
) -> Result<Vec<(Weight, Id)>, TypesetError> {
    let mut made = Vec::new();
    for (weight, used) in used {
        if let Some(part) = used.part()? {
            made.push((weight, face(file, &part)));
        }
    }
    Ok(made)
}

/// A face. Its codes are the glyph numbers of the part. No CIDSet: ISO 19005-3 does not require
/// one.
fn face(file: &mut Writer<'_>, part: &Part) -> Id {
    let name = Object::Name(part.name.clone().into_bytes());
    let length = i64::try_from(part.program.len()).unwrap_or(0);
    let program = file.stream(
        Dict::from([("Length1", Object::from(length))]),
        &part.program,
    );
    let descriptor = file.add(Dict::from([
        ("Type", "FontDescriptor".into()),
        ("FontName", name.clone()),
        ("Flags", 4.into()), // symbolic: its codes are its own
        (
            "FontBBox",
            Object::Array(part.bounds.iter().map(|v| i64::from(*v).into()).collect()),
        ),
        ("ItalicAngle", 0.into()),
        ("Ascent", i64::from(part.reach.0).into()),
        ("Descent", i64::from(part.reach.1).into()),
        ("CapHeight", ((CAP_HEIGHT * 1000.0) as i64).into()),
        // Estimated from the weight class, as PDF writers usually do, because a face does not
        // contain it.
        (
            "StemV",
            (50 + (f32::from(part.class) / 65.0).powi(2) as i64).into(),
        ),
        ("FontFile2", program.into()),
    ]));
    let widths: Vec<Object> = part.widths.iter().map(|w| i64::from(*w).into()).collect();
    let system = Dict::from([
        ("Registry", Object::text("Adobe")),
        ("Ordering", Object::text("Identity")),
        ("Supplement", 0.into()),
    ]);
    let descendant = file.add(Dict::from([
        ("Type", "Font".into()),
        ("Subtype", "CIDFontType2".into()),
        ("BaseFont", name.clone()),
        ("CIDSystemInfo", system.into()),
        ("FontDescriptor", descriptor.into()),
        ("CIDToGIDMap", "Identity".into()),
        ("W", Object::Array(vec![0.into(), Object::Array(widths)])),
    ]));
    let characters = file.stream(Dict::default(), to_unicode(&part.characters).as_bytes());
    file.add(Dict::from([
        ("Type", "Font".into()),
        ("Subtype", "Type0".into()),
        ("BaseFont", name),
        ("Encoding", "Identity-H".into()),
        ("DescendantFonts", Object::Array(vec![descendant.into()])),
        ("ToUnicode", characters.into()),
    ]))
}

/// The complete regular face as a simple font in the Windows encoding, because it is not known what
/// will be typed (ISO 32000-1, 9.6.3).
pub(super) fn for_typing(file: &mut Writer<'_>) -> Result<Id, TypesetError> {
    const NAME: &str = "WarmlugSans-Regular";
    let bytes = regular();
    let face = ttf_parser::Face::parse(bytes, 0).map_err(|e| TypesetError::Face(e.to_string()))?;
    let scale = 1000.0 / f32::from(face.units_per_em());
    let scaled = |v: i16| (f32::from(v) * scale).round() as i64;
    let widths: Vec<Object> = (32..=255_u8)
        .map(|code| {
            let glyph = windows(code).and_then(|c| face.glyph_index(c));
            let advance = glyph.and_then(|g| face.glyph_hor_advance(g)).unwrap_or(0);
            ((f32::from(advance) * scale).round() as i64).into()
        })
        .collect();
    let program = file.stream(Dict::from([("Length1", bytes.len().into())]), bytes);
    let bounds = face.global_bounding_box();
    let descriptor = file.add(Dict::from([
        ("Type", "FontDescriptor".into()),
        ("FontName", NAME.into()),
        ("Flags", 32.into()), // characters of the Latin set only (table 123)
        (
            "FontBBox",
            [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max]
                .map(scaled)
                .into(),
        ),
        ("ItalicAngle", 0.into()),
        ("Ascent", scaled(face.ascender()).into()),
        ("Descent", scaled(face.descender()).into()),
        (
            "CapHeight",
            scaled(face.capital_height().unwrap_or(face.ascender())).into(),
        ),
        ("StemV", 80.into()),
        ("FontFile2", program.into()),
    ]));
    Ok(file.add(Dict::from([
        ("Type", "Font".into()),
        ("Subtype", "TrueType".into()),
        ("BaseFont", NAME.into()),
        ("Encoding", "WinAnsiEncoding".into()),
        ("FirstChar", 32.into()),
        ("LastChar", 255.into()),
        ("Widths", widths.into()),
        ("FontDescriptor", descriptor.into()),
    ])))
}

/// Codes 0x80 to 0x9F of the Windows encoding (ISO 32000-1, table D.2).
const WINDOWS: [char; 32] = [
    '€', '\0', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\0', 'Ž', '\0', '\0', '‘',
    '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\0', 'ž', 'Ÿ',
];

/// The character of a code in the Windows encoding.
fn windows(code: u8) -> Option<char> {
    match code {
        0x80..=0x9F => WINDOWS
            .get(usize::from(code - 0x80))
            .copied()
            .filter(|c| *c != '\0'),
        _ => Some(char::from(code)),
    }
}

/// From codes to characters (ISO 32000-1, 9.10.3); all of them lie in the basic plane. Codes are
/// consecutive, so a range with a list of characters needs half the bytes. A range must not extend
/// over more than one first byte.
fn to_unicode(characters: &[char]) -> String {
    use std::fmt::Write;
    let mut map = String::with_capacity(400 + 8 * characters.len());
    map.push_str(
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n\
/CIDSystemInfo<</Registry(Adobe)/Ordering(UCS)/Supplement 0>>def\n\
/CMapName/Adobe-Identity-UCS def\n/CMapType 2 def\n\
1 begincodespacerange\n<0000><FFFF>\nendcodespacerange\n",
    );
    let mut first = 1;
    let mut rest = characters;
    while !rest.is_empty() {
        let (range, after) = rest.split_at(rest.len().min(0x100 - first % 0x100));
        // Writing to memory does not fail.
        let last = first + range.len() - 1;
        let _ = write!(map, "1 beginbfrange\n<{first:04X}><{last:04X}>[");
        for character in range {
            let _ = write!(map, "<{:04X}>", u32::from(*character));
        }
        map.push_str("]\nendbfrange\n");
        first = last + 1;
        rest = after;
    }
    map.push_str("endcmap\nCMapName currentdict/CMap defineresource pop\nend\nend");
    map
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_map_back_to_their_characters_range_by_range() {
        let characters: Vec<char> = (0..300_u32)
            .filter_map(|i| char::from_u32(0x100 + i))
            .collect();
        let map = to_unicode(&characters);
        assert!(map.contains("1 beginbfrange\n<0001><00FF>[<0100><0101>"));
        assert!(map.contains("<01FE>]\nendbfrange\n1 beginbfrange\n<0100><012C>[<01FF>"));
        assert!(map.contains("<022B>]\nendbfrange\nendcmap"));
    }
}
