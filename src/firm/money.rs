//! Sums of money: hundredths, without a currency.

use crate::quoted::shorten;
use crate::visit::entry::Entry;
use crate::visit::key_table::Form;
use crate::visit::reader::Reader;
use crate::visit::written::Style;
use crate::yaml::Ix;
use std::fmt;

/// A sum of money in hundredths of its currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Money(u64);

/// Most hundredths that a price may have: a million.
const MOST: u64 = 100_000_000;

impl Money {
    /// From a number with at most two decimals: `95`, `95.5`, `95.00`. `None` if it is none, or more
    /// than a million.
    pub fn parse(text: &str) -> Option<Self> {
        let (whole, parts) = text.split_once('.').unwrap_or((text, "00"));
        let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(parts) || parts.len() > 2 {
            return None;
        }
        let parts: u64 = format!("{parts:0<2}").parse().ok()?;
        let sum = whole.parse::<u64>().ok()?.checked_mul(100)?;
        let sum = sum.checked_add(parts)?;
        (sum <= MOST).then_some(Money(sum))
    }

    /// So many times the sum.
    #[must_use]
    pub const fn times(self, count: u64) -> Self {
        Money(self.0.saturating_mul(count))
    }

    /// The sum for so many minutes at this price of an hour, halves of a hundredth rounded up.
    #[must_use]
    pub const fn for_minutes(self, minutes: u64) -> Self {
        Money((self.0.saturating_mul(minutes).saturating_add(30)) / 60)
    }

    /// Both together.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Money(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:02}", self.0 / 100, self.0 % 100)
    }
}

/// A price.
pub(super) struct Amount;

impl Entry for Amount {
    type Value = Money;
    const FORM: Form = Form::Price;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Money> {
        let text = r.scalar(ix, "a price")?;
        let price = Money::parse(text);
        if price.is_none() {
            let at = r.mark(ix);
            r.problem(
                at,
                format!("`{}` is not a price", shorten(text)),
                "write a number with a point and at most two decimals, such as 95.00, without the \
                 currency",
            );
        }
        price
    }
    fn write(&self, value: &Money, _: Style) -> String {
        value.to_string()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::Money;

    #[test]
    fn prices_have_at_most_two_decimals() {
        let told = |text: &str| Money::parse(text).map(|m| m.to_string());
        assert_eq!(told("95").as_deref(), Some("95.00"));
        assert_eq!(told("95.5").as_deref(), Some("95.50"));
        assert_eq!(told("0.05").as_deref(), Some("0.05"));
        assert_eq!(told("1000000").as_deref(), Some("1000000.00"));
        for wrong in [
            "1000000.01",
            "95.005",
            "95,50",
            "-1",
            ".5",
            "5.",
            "",
            "1e3",
            "９",
        ] {
            assert_eq!(told(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn minutes_of_an_hour_are_rounded_to_hundredths() {
        let hour = Money::parse("95.00").unwrap();
        assert_eq!(hour.for_minutes(40).to_string(), "63.33");
        assert_eq!(hour.for_minutes(20).to_string(), "31.67");
        assert_eq!(hour.for_minutes(0).to_string(), "0.00");
        // 0.01 · 30/60 is half of a hundredth.
        assert_eq!(
            Money::parse("0.01").unwrap().for_minutes(30).to_string(),
            "0.01"
        );
        assert_eq!(
            Money::parse("0.01").unwrap().for_minutes(29).to_string(),
            "0.00"
        );
    }
}
