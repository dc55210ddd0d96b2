//! The site's clock.
//!
//! An offset from universal time is enough for a visit without a change of the clock. Zone
//! names need the time-zone database; until the reader carries one they are refused with a
//! message, not half understood.

use super::reader::{Reader, shorten};
use super::yaml::Ix;

impl Reader<'_, '_> {
    /// An offset such as `-05:00`, in the form `±hh:mm`.
    pub(super) fn zone(&mut self, ix: Ix) -> Option<String> {
        let text = self.scalar(ix, "an offset from universal time")?;
        if let Some(offset) = offset(text) {
            return Some(offset);
        }
        let at = self.mark(ix);
        if text.contains('/') || text.chars().all(|c| c.is_ascii_alphabetic()) {
            self.problem(
                at,
                format!(
                    "`{}` is a name of a zone, and only offsets are understood",
                    shorten(text)
                ),
                "write the offset from universal time on the day of the visit, such as \"-05:00\"",
            );
        } else {
            self.problem(
                at,
                format!("`{}` is not an offset from universal time", shorten(text)),
                "write a sign, hours and minutes, such as \"-05:00\" or \"+01:00\"",
            );
        }
        None
    }
}

/// `±hh:mm` (or `Z`), from −12:00 to +14:00 (the offsets in civil use).
fn offset(text: &str) -> Option<String> {
    if text == "Z" {
        return Some("+00:00".to_owned());
    }
    let (sign, rest) = match text.chars().next()? {
        '+' => ('+', &text[1..]),
        '-' => ('-', &text[1..]),
        '−' => ('-', &text['−'.len_utf8()..]),
        _ => return None,
    };
    let (h, m) = rest.split_once(':')?;
    let two = |s: &str| -> Option<u32> {
        (s.len() == 2 && s.bytes().all(|b| b.is_ascii_digit()))
            .then(|| s.parse().ok())
            .flatten()
    };
    let (h, m) = (two(h)?, two(m)?);
    let minutes = h * 60 + m;
    let most = if sign == '-' { 12 * 60 } else { 14 * 60 };
    (m < 60 && minutes <= most).then(|| format!("{sign}{h:02}:{m:02}"))
}
