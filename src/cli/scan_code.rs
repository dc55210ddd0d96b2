//! A text as a square code (QR, ISO/IEC 18004) for a phone's camera, drawn with the characters of a
//! terminal.

use qrcode::{Color, EcLevel, QrCode};

/// Light modules around a code (ISO/IEC 18004, 5.3.8).
const QUIET: usize = 4;

/// The code, two rows of modules to a line; `None` if the text is longer than a code can be (2,953
/// bytes at level L, ISO/IEC 18004, table 7). With `colour` it is black on white whatever the
/// terminal's colours are; without, it is light on dark as most terminals are.
pub(super) fn code(text: &str, colour: bool) -> Option<String> {
    let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::L).ok()?;
    let side = code.width();
    let modules = code.into_colors();
    let light = |x: usize, y: usize| {
        let inside = QUIET..QUIET + side;
        let dark = inside.contains(&x)
            && inside.contains(&y)
            && modules.get((y - QUIET) * side + x - QUIET) == Some(&Color::Dark);
        !dark
    };
    let whole = side + 2 * QUIET;
    let mut out = String::new();
    for y in (0..whole).step_by(2) {
        if colour {
            out.push_str("\u{1b}[97;40m");
        }
        for x in 0..whole {
            out.push(match (light(x, y), light(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        if colour {
            out.push_str("\u{1b}[0m");
        }
        out.push('\n');
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_code_has_its_quiet_zone_and_its_corners() {
        // Version 1 has 21 modules a side (ISO/IEC 18004, table 1).
        let drawn = code("http://a", false).unwrap();
        let lines: Vec<Vec<char>> = drawn.lines().map(|l| l.chars().collect()).collect();
        assert_eq!(lines.len(), (21usize + 8).div_ceil(2));
        assert!(lines.iter().all(|l| l.len() == 21 + 8));
        assert!(lines[0].iter().all(|c| *c == '█'));
        assert!(lines[1].iter().all(|c| *c == '█'));
        // The upper edge of the finder pattern: dark, then its light ring.
        assert_eq!(lines[2][4..11].iter().collect::<String>(), " ▄▄▄▄▄ ");
    }

    #[test]
    fn a_text_too_long_for_a_code_has_none() {
        // 2,953 bytes at level L (ISO/IEC 18004, table 7).
        assert!(code(&"é".repeat(1476), false).is_some());
        assert!(code(&"é".repeat(1477), false).is_none());
    }
}
