//! Reads the site's clock: an offset from universal time, or the name of a time zone.

use super::reader::Reader;
use super::zone::{Clock, names};
use crate::quoted::shorten;
use crate::yaml::Ix;

impl Reader<'_, '_> {
    /// An offset such as `-05:00`, in the form `±hh:mm`, or a zone such as `Europe/Lisbon`, as the
    /// database spells it.
    pub(super) fn zone(&mut self, ix: Ix) -> Option<String> {
        let text = self.scalar(ix, "an offset from universal time, or a zone")?;
        if let Some(offset) = offset(text) {
            return Some(offset);
        }
        if let Some((clock, name)) = Clock::named(text) {
            self.clock = Some(clock);
            return Some(name);
        }
        let at = self.mark(ix);
        if text.contains('/') || text.chars().all(|c| c.is_ascii_alphabetic()) {
            let near = self.nearest(text, names());
            self.problem(
                at,
                format!("`{}` is not a zone of the IANA database", shorten(text)),
                near.map_or_else(
                    || {
                        "write a zone such as Europe/Lisbon or America/Chicago, or the offset from \
                         universal time on the day of the visit, such as \"-05:00\""
                            .to_owned()
                    },
                    |near| format!("did you mean {near}?"),
                ),
            );
        } else {
            self.problem(
                at,
                format!("`{}` is not an offset from universal time", shorten(text)),
                "write a sign, hours and minutes, such as \"-05:00\" or \"+01:00\", or a zone such \
                 as Europe/Lisbon",
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
