//! Which rows of a register are selected.

use super::current::latest;
use super::row::Row;
use chrono::NaiveDate;

/// Which rows to select.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Only circuits that are due before this date, or must not be used.
    pub due_before: Option<NaiveDate>,
    /// Only circuits with one of these outcomes; all if empty.
    pub outcomes: Vec<String>,
    /// Only sites whose name contains this text, ignoring case.
    pub site: Option<String>,
}

impl Wanted {
    /// The selected rows. With `due_before`, only the latest row of each circuit counts, because it
    /// supersedes the earlier ones.
    pub fn rows<'a>(&self, all: &'a [Row]) -> Vec<&'a Row> {
        let candidates = match self.due_before {
            Some(_) => latest(all),
            None => all.iter().collect(),
        };
        candidates.into_iter().filter(|r| self.holds(r)).collect()
    }

    /// The latest row of each circuit, if it is selected.
    pub fn latest<'a>(&self, all: &'a [Row]) -> Vec<&'a Row> {
        let mut latest = latest(all);
        latest.retain(|r| self.holds(r));
        latest
    }

    /// Whether a row is selected, regardless of its date.
    fn holds(&self, row: &Row) -> bool {
        let due = self
            .due_before
            // A circuit without a due date must not be used. In records of earlier versions, the
            // other circuits have no dates of their own either.
            .is_none_or(|day| row.counts() && row.next_due.is_none_or(|d| d < day));
        let outcome = self.outcomes.is_empty()
            || row
                .own_outcome()
                .is_some_and(|own| self.outcomes.iter().any(|o| o == own));
        let site = self.site.as_ref().is_none_or(|part| {
            row.site
                .as_ref()
                .is_some_and(|s| s.to_lowercase().contains(&part.to_lowercase()))
        });
        due && outcome && site
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;

    #[test]
    fn filters_hold_what_is_wanted() {
        let a = row("1", "bay", "2026-01-01", Some("2026-07-01"));
        let mut stop = row("2", "bay", "2026-01-01", None);
        stop.outcome = Some("unsatisfactory".to_owned());
        stop.worst_grade = Some("stop".to_owned());
        let before = |day: &str| Wanted {
            due_before: Some(day.parse().unwrap()),
            ..Wanted::default()
        };
        assert!(before("2026-07-02").holds(&a));
        assert!(!before("2026-07-01").holds(&a), "before the day, not on it");
        assert!(
            before("2026-02-01").holds(&stop),
            "out of use is due at once"
        );
        let site = |s: &str| Wanted {
            site: Some(s.to_owned()),
            ..Wanted::default()
        };
        assert!(site("mill").holds(&a) && !site("yard").holds(&a));
        let outcome = Wanted {
            outcomes: vec!["unsatisfactory".to_owned()],
            ..Wanted::default()
        };
        assert!(outcome.holds(&stop) && !outcome.holds(&a));
        // A sound circuit on the same certificate: neither unsatisfactory nor out of use itself.
        let mut beside = stop.clone();
        beside.worst_grade = Some("pass".to_owned());
        assert!(!outcome.holds(&beside) && !beside.out_of_use() && stop.out_of_use());
        assert!(before("2026-02-01").holds(&beside), "it has no later day");
    }

    #[test]
    fn an_earlier_certificate_of_a_circuit_is_not_due_again() {
        let all = [
            row("1", "bay", "2025-01-01", Some("2025-07-01")),
            row("2", "bay", "2025-06-20", Some("2027-06-20")),
        ];
        let wanted = Wanted {
            due_before: Some("2026-01-01".parse().unwrap()),
            ..Wanted::default()
        };
        assert!(wanted.rows(&all).is_empty());
        assert_eq!(Wanted::default().rows(&all).len(), 2);
        assert_eq!(Wanted::default().latest(&all).len(), 1);
        let today = "2026-01-01".parse().unwrap();
        assert!(!super::super::calendar::calendar(&all, &wanted, today).contains("VEVENT"));
    }
}
