//! The two embedded faces: which characters they print.

use super::repertoire::RUNS;

/// Whether both faces have the character, so that it can stand in a certificate. Line ends are
/// not characters of a face: they are `false` here, and the layout breaks the line at them.
///
/// ```
/// assert!(warmlug::typeset::prints('Ω'));
/// assert!(!warmlug::typeset::prints('漢'));
/// ```
#[must_use]
pub fn prints(character: char) -> bool {
    glyph(character).is_some()
}

/// The glyph that draws a character, the same in both faces.
pub(super) fn glyph(character: char) -> Option<u16> {
    let code = u32::from(character);
    if let 0x20..=0x7E = code {
        // The first run is ASCII; nearly all text ends here.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_trade_and_its_neighbours_can_be_printed() {
        for c in "°ΔΩµ·−²≤≥×→←½⅜–—“”’Łukasz Šimek Nguyễn Ángel Groß Çelik".chars()
        {
            assert!(prints(c), "{c}");
        }
    }

    #[test]
    fn what_no_face_has_is_refused() {
        for c in [
            '\n', '\t', '\u{7F}', '\u{AD}', '\u{200B}', '\u{301}', '漢', '😀', 'Ж',
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
}
