//! Times of day.

use super::error::QuantityError;
use crate::quoted::shorten;
use serde::Serialize;

/// A time of day on the site's clock, whole seconds since midnight (0 to 86,399).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct TimeOfDay(u32);

impl TimeOfDay {
    /// From hours (0–23), minutes (0–59) and seconds (0–59); `None` if out of range.
    pub const fn from_hms(h: u32, m: u32, s: u32) -> Option<Self> {
        if h < 24 && m < 60 && s < 60 {
            Some(Self(h * 3600 + m * 60 + s))
        } else {
            None
        }
    }
    /// Whole seconds since midnight.
    pub const fn seconds(self) -> u32 {
        self.0
    }
    /// Hours, minutes and seconds.
    pub const fn hms(self) -> (u32, u32, u32) {
        (self.0 / 3600, self.0 / 60 % 60, self.0 % 60)
    }
}

impl std::str::FromStr for TimeOfDay {
    type Err = QuantityError;

    /// `09:50`, `9:50`, `09:50:30`, `9:50 am`, `2:05 PM`, `2:05 p.m.`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let refuse = || QuantityError::NotATime {
            text: shorten(text.trim()),
        };
        let lower = text.trim().to_ascii_lowercase();
        let half = ["am", "a.m.", "pm", "p.m."].into_iter().find_map(|h| {
            lower
                .strip_suffix(h)
                .map(|t| (t.trim_end(), h.starts_with('p')))
        });
        let clock = half.map_or(lower.as_str(), |(t, _)| t);
        let mut parts = clock.split(':').map(|part| {
            let sound = (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
            if sound {
                part.parse::<u32>().map_err(|_| refuse())
            } else {
                Err(refuse())
            }
        });
        let mut hour = parts.next().ok_or_else(refuse)??;
        let minute = parts.next().ok_or_else(refuse)??;
        let second = parts.next().transpose()?.unwrap_or(0);
        if parts.next().is_some() {
            return Err(refuse());
        }
        if let Some((_, afternoon)) = half {
            if !(1..=12).contains(&hour) {
                return Err(refuse());
            }
            hour = hour % 12 + if afternoon { 12 } else { 0 };
        }
        Self::from_hms(hour, minute, second).ok_or_else(refuse)
    }
}

impl std::fmt::Display for TimeOfDay {
    /// `09:50`, with seconds only if they are not zero.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (h, m, s) = self.hms();
        if s == 0 {
            f.pad(&format!("{h:02}:{m:02}"))
        } else {
            f.pad(&format!("{h:02}:{m:02}:{s:02}"))
        }
    }
}
