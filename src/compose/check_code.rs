//! The square code (QR, ISO/IEC 18004) beside the seal.
//!
//! The modules are those of the `qrcode` crate, and so is the choice among the eight masks; only
//! its penalties are counted here, on rows of bits. The crate computes them module by module and
//! allocates for each, which takes a tenth of the time of a whole certificate.

use qrcode::bits::encode_auto;
use qrcode::canvas::{Canvas, MaskPattern};
use qrcode::{Color, EcLevel, QrCode, ec};

use super::document::Code;
use super::error::ComposeError;

/// The masks (ISO/IEC 18004, 7.8.2). Among equally good ones the first is used.
const MASKS: [MaskPattern; 8] = [
    MaskPattern::Checkerboard,
    MaskPattern::HorizontalLines,
    MaskPattern::VerticalLines,
    MaskPattern::DiagonalLines,
    MaskPattern::LargeCheckerboard,
    MaskPattern::Fields,
    MaskPattern::Diamonds,
    MaskPattern::Meadow,
];

/// Maximum number of modules on a side for which a row fits into an integer; 1,125 bytes of text at
/// level M.
const WIDEST: usize = 128;

/// A code of level M, which can still be read if 15 % of it is damaged.
pub(super) fn code(text: &str, alt: String) -> Result<Code, ComposeError> {
    let (side, dark) = modules(text).map_err(|e| ComposeError::Code(e.to_string()))?;
    Ok(Code { side, dark, alt })
}

fn modules(text: &str) -> Result<(usize, Vec<bool>), qrcode::types::QrError> {
    let level = EcLevel::M;
    let bits = encode_auto(text.as_bytes(), level)?;
    let version = bits.version();
    let side = usize::try_from(version.width()).unwrap_or(usize::MAX);
    let dark = |colors: Vec<Color>| -> Vec<bool> {
        colors.into_iter().map(|c| c == Color::Dark).collect()
    };
    if side > WIDEST {
        return Ok((side, dark(QrCode::with_bits(bits, level)?.into_colors())));
    }
    let (data, correction) = ec::construct_codewords(&bits.into_bytes(), version, level)?;
    let mut canvas = Canvas::new(version, level);
    canvas.draw_all_functional_patterns();
    canvas.draw_data(&data, &correction);
    let best = MASKS
        .iter()
        .map(|mask| {
            let mut masked = canvas.clone();
            masked.apply_mask(*mask);
            dark(masked.into_colors())
        })
        .min_by_key(|dark| penalty(side, dark));
    Ok((side, best.unwrap_or_default()))
}

/// Penalty of a pattern: how hard it is to scan (ISO/IEC 18004, 7.8.3).
fn penalty(side: usize, dark: &[bool]) -> u32 {
    let (mut rows, mut columns) = (vec![0_u128; side], vec![0_u128; side]);
    for (y, (row, modules)) in rows.iter_mut().zip(dark.chunks(side)).enumerate() {
        for (x, (column, dark)) in columns.iter_mut().zip(modules).enumerate() {
            *row |= u128::from(*dark) << x;
            *column |= u128::from(*dark) << y;
        }
    }
    let all = u128::MAX >> (WIDEST - side);
    let lines: u32 = rows
        .iter()
        .chain(&columns)
        .map(|line| runs(*line) + runs(!line & all) + finders(*line))
        .sum();
    let blocks: u32 = rows
        .iter()
        .zip(rows.iter().skip(1))
        .map(|(above, below)| blocks(*above, *below, all >> 1))
        .sum();
    let count: u32 = rows.iter().map(|row| row.count_ones()).sum();
    let total = u32::try_from(side * side).unwrap_or(u32::MAX);
    lines + blocks + (count * 200 / total).abs_diff(100)
}

/// Runs of at least five modules: three points, and one for each module above five.
fn runs(line: u128) -> u32 {
    // Where five begin: a run of n shows n - 4 times.
    let fives = line & line >> 1 & line >> 2 & line >> 3 & line >> 4;
    let begins = fives & !(fives << 1);
    fives.count_ones() + 2 * begins.count_ones()
}

/// Patterns that look like a finder, 1:1:3:1:1, with four light modules before or after them.
fn finders(line: u128) -> u32 {
    let found = line & !(line >> 1) & line >> 2 & line >> 3 & line >> 4 & !(line >> 5) & line >> 6;
    let before = line << 1 | line << 2 | line << 3 | line << 4;
    let behind = line >> 7 | line >> 8 | line >> 9 | line >> 10;
    40 * (found & !(before & behind)).count_ones()
}

/// Squares of four modules of one colour, including overlapping ones.
fn blocks(above: u128, below: u128, places: u128) -> u32 {
    let alike = !(above ^ below);
    3 * (alike & alike >> 1 & !(above ^ above >> 1) & places).count_ones()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_modules_are_those_of_the_crate() {
        // From the smallest code to those too wide for an integer, with every kind of text.
        for n in (0..60).chain([250, 270, 400, 420]) {
            for text in [
                format!("{n}/{}", "4F0C".repeat(n)),
                "a mixed text, 20 °F; "
                    .chars()
                    .cycle()
                    .take(4 * n + 1)
                    .collect(),
            ] {
                let theirs = QrCode::with_error_correction_level(&text, EcLevel::M).unwrap();
                let (side, dark) = modules(&text).unwrap();
                assert_eq!(side, theirs.width());
                let theirs = theirs.into_colors();
                assert!(
                    theirs.iter().map(|c| *c == Color::Dark).eq(dark),
                    "{text:?}"
                );
            }
        }
    }

    #[test]
    fn penalties_are_counted_as_the_standard_says() {
        // Five, then six in a row: 3 and 4 points.
        assert_eq!(runs(0b0111_1110_1111_1000), 3 + 4);
        assert_eq!(runs(0b1111), 0);
        // Free on one side is enough; on neither it is no finder.
        assert_eq!(finders(0b101_1101), 40);
        assert_eq!(finders(0b10_0001_0111_0101), 40);
        assert_eq!(finders(0b101_0111_0101), 0);
        // Three in a row on two rows hold two squares.
        assert_eq!(blocks(0b1110, 0b1110, 0b111), 6);
    }
}
