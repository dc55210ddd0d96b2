//! Writes the faces: composite fonts with two-byte codes (ISO 32000-1, 9.7; ISO 19005-3, 6.2.11).

use crate::pdf::{Dict, Id, Object, Writer};

use super::TypesetError;
use super::face::{CAP_HEIGHT, Part, Used, Weight};

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

/// A face. Its codes are the glyph numbers of the part. No CIDSet: ISO 19005-3 does not ask for
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
        // From the weight class as PDF makers usually do; no table of a face holds it.
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

/// From codes to characters (ISO 32000-1, 9.10.3); all of them lie in the basic plane. Codes go up
/// by one, so a range that lists its characters says them in half the bytes; a range may not pass
/// from one first byte to the next.
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
