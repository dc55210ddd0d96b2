//! Which circuits are due by a day, which of them come first, and for which nobody is reminded.

use super::visited::Visited;
use crate::compose::letter::Due;
use crate::compose::{Speaker, Wording};
use crate::lookalike::folded;
use crate::register::current::by_circuit;
use crate::register::row::Row;
use crate::vocabulary::vocabulary;
use chrono::{Datelike, Days, NaiveDate, Weekday};
use std::sync::Arc;

vocabulary! {
    /// Why a circuit is in the list; those that come first are declared first.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum State {
        /// The last visit ended early; the rest of it is to be done.
        CutShort = "cut-short",
        /// It must not be used until it has been repaired and measured.
        DoNotUse = "do-not-use",
        /// Its day has passed.
        Overdue = "overdue",
        /// Its day comes.
        Due = "due",
    }
}

/// A circuit that is due.
#[derive(Debug, Clone)]
pub struct Coming<'r> {
    /// The result in force.
    pub row: &'r Row,
    /// The visit of that result.
    pub visited: Arc<Visited>,
    /// The last visit, by whose client and language a letter is written.
    pub newest: Arc<Visited>,
    /// The last visit, if it ended early.
    pub rest: Option<Arc<Visited>>,
    /// Why it is in the list.
    pub state: State,
    /// The day: of the return, if one was agreed, else by which it is due. `None` if it must not be used
    /// before.
    pub day: Option<NaiveDate>,
    /// Why nobody is reminded, as a sentence without its full stop.
    pub withheld: Option<String>,
}

/// What is due, and what could not be told.
#[derive(Debug, Default)]
pub struct List<'r> {
    /// The circuits in their order: visits that ended early, what must not be used, what is overdue, then by
    /// day.
    pub circuits: Vec<Coming<'r>>,
    /// Results in force whose certificates could not be read again, and why.
    pub unread: Vec<(&'r Row, String)>,
}

/// The day after the last week of a list: so many whole weeks after the week of `today`. Weeks begin on
/// Monday (ISO 8601).
pub fn until(today: NaiveDate, weeks: u16) -> NaiveDate {
    let monday = today.week(Weekday::Mon).first_day();
    let days = Days::new(7 * (u64::from(weeks) + 1));
    monday.checked_add_days(days).unwrap_or(NaiveDate::MAX)
}

/// The ISO week of a day (`2026-W49`).
pub fn week(day: NaiveDate) -> String {
    let week = day.iso_week();
    format!("{}-W{:02}", week.year(), week.week())
}

/// What is due before the day `until`, seen from `today`; `load` reads the certificate of a row again.
///
/// Only results in force are due: what a later visit superseded reminds nobody.
pub fn list<'r>(
    rows: &'r [Row],
    today: NaiveDate,
    until: NaiveDate,
    load: impl Fn(&Row) -> Result<Arc<Visited>, String>,
) -> List<'r> {
    let mut out = List::default();
    for visits in by_circuit(rows).into_values() {
        let own = visits.iter().map(|i| &rows[*i]);
        let Some(row) = own.clone().find(|row| row.current == Some(true)) else {
            continue;
        };
        let mut later = own.filter(|last| {
            last.valid && !last.future && last.may_supersede(row) && last.date >= row.date
        });
        let newest = later.next_back().unwrap_or(row);
        let last = Some(newest).filter(|last| last.complete == Some(false));
        let mut of = |row: &'r Row| load(row).map_err(|why| out.unread.push((row, why))).ok();
        let rest = last.and_then(&mut of);
        let circuit = row.circuit.as_deref().unwrap_or_default();
        let rest = rest.filter(|rest| rest.visit.cut_short.is_some() && !rest.finished(circuit));
        let off = row.out_of_use();
        let day = match (&rest, last) {
            (Some(rest), Some(last)) => {
                let agreed = rest.visit.cut_short.as_ref().and_then(|cut| cut.return_on);
                agreed.or(last.next_due).or(row.next_due)
            }
            _ => row.next_due,
        };
        let state = match day {
            _ if rest.is_some() => State::CutShort,
            _ if off => State::DoNotUse,
            Some(day) if day < today => State::Overdue,
            Some(day) if day < until => State::Due,
            _ => continue,
        };
        let (Some(visited), Some(newest)) = (of(row), of(newest)) else {
            continue;
        };
        if visited.circuit(circuit).is_none() {
            continue;
        }
        out.circuits.push(Coming {
            row,
            visited,
            newest,
            rest,
            state,
            day,
            withheld: withheld(rows, row),
        });
    }
    out.circuits.sort_by(|a, b| {
        let key = |c: &Coming<'_>| (c.state, c.day, c.row.site.clone(), c.row.circuit.clone());
        key(a).cmp(&key(b))
    });
    out.unread.sort_by_key(|(row, _)| &row.file);
    out.unread.dedup_by_key(|(row, _)| &row.file);
    out
}

/// Why nobody is reminded of a result: its certificate does not verify, or one of the same circuit is in
/// question, so that the day may be another.
fn withheld(rows: &[Row], row: &Row) -> Option<String> {
    if !row.valid {
        let problem = row.problem.as_deref().unwrap_or("it does not verify");
        return Some(problem.trim_end_matches('.').to_owned());
    }
    let subject = |row: &Row| {
        row.subject()
            .map(|(site, circuit)| [folded(site), folded(circuit)])
    };
    let own = subject(row);
    let odd = rows
        .iter()
        .find(|other| other.remark.is_some() && subject(other) == own)?;
    Some(format!(
        "certificate {} of the same circuit is in question: {}",
        odd.number.as_deref().unwrap_or("?"),
        odd.remark.as_deref().unwrap_or_default()
    ))
}

impl Coming<'_> {
    /// Id of the circuit.
    pub fn id(&self) -> &str {
        self.row.circuit.as_deref().unwrap_or_default()
    }

    /// The circuit for a letter in these words.
    pub fn due<'a>(&'a self, wording: &'a Wording) -> Option<Due<'a>> {
        let speaker = |of: &'a Visited| Speaker::new(&of.visit, &of.assessment, &of.rules, wording);
        Some(Due {
            speaker: speaker(&self.visited),
            circuit: self.visited.circuit(self.id())?,
            day: self.day,
            basis: self.visited.basis(self.id()),
            off: self.row.out_of_use(),
            rest: self.rest.as_deref().map(speaker),
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// ISO 8601: week 1 has the first Thursday of the year, weeks begin on Monday.
    #[test]
    fn weeks_are_those_of_iso_8601() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert_eq!(week(day("2027-01-03")), "2026-W53");
        assert_eq!(week(day("2027-01-04")), "2027-W01");
        assert_eq!(week(day("2024-12-30")), "2025-W01");
        // November 29, 2026 is a Sunday.
        assert_eq!(until(day("2026-11-29"), 0), day("2026-11-30"));
        assert_eq!(until(day("2026-11-30"), 0), day("2026-12-07"));
        assert_eq!(until(day("2026-11-30"), 2), day("2026-12-21"));
    }
}
