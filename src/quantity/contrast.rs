//! Readability of a colour on white paper (WCAG 2.2).

/// Minimum contrast of text, level AA (WCAG 2.2, 1.4.3).
pub const LEVEL_AA: f64 = 4.5;

/// Contrast of an sRGB colour on white, 1 to 21 (WCAG 2.2, definitions of contrast ratio and of
/// relative luminance).
#[must_use]
pub fn on_white([r, g, b]: [u8; 3]) -> f64 {
    let linear = |v: u8| {
        let v = f64::from(v) / 255.0;
        if v <= 0.040_45 {
            v / 12.92
        } else {
            libm::pow((v + 0.055) / 1.055, 2.4)
        }
    };
    1.05 / (0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b) + 0.05)
}

/// Returns the colour itself if it reaches level AA on white, otherwise the lightest shade of it
/// that does; its components keep their proportions.
///
/// ```
/// use warmlug::quantity::contrast::readable;
/// assert_eq!(readable([0x16, 0x42, 0x6E]), [0x16, 0x42, 0x6E]);
/// assert_eq!(readable([0xFF, 0xFF, 0xFF]), [0x76, 0x76, 0x76]);
/// ```
#[must_use]
pub fn readable(colour: [u8; 3]) -> [u8; 3] {
    let shade = |of: u16| colour.map(|v| u8::try_from(u16::from(v) * of / 255).unwrap_or(v));
    (0..=255)
        .rev()
        .map(shade)
        .find(|shade| on_white(*shade) >= LEVEL_AA)
        .unwrap_or([0, 0, 0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contrast_runs_from_white_to_black() {
        assert!((on_white([255; 3]) - 1.0).abs() < 1e-9);
        assert!((on_white([0; 3]) - 21.0).abs() < 1e-9);
        // The two greys just above and below level AA.
        assert!(on_white([0x76; 3]) >= LEVEL_AA);
        assert!(on_white([0x77; 3]) < LEVEL_AA);
    }

    #[test]
    fn a_shade_is_darkened_only_as_far_as_needed() {
        for pale in [[255, 210, 0], [0, 255, 0], [250, 128, 114]] {
            let contrast = on_white(readable(pale));
            assert!((LEVEL_AA..4.6).contains(&contrast), "{pale:?} {contrast}");
        }
    }
}
