//! Which result of a circuit is in force: the latest, unless it cannot supersede an earlier one.
//!
//! Signers can write any date and any name, so these decide only between certificates of one key,
//! or of keys that the reader accepted.

use super::apart::tell_apart;
use super::row::{OwnCircuit, Row};
use crate::lookalike::folded;
use std::cmp::Reverse;
use std::collections::HashMap;

/// The current row of each circuit, in the order of the register. This is the latest row, except
/// that an incomplete visit, or a key that is neither the same, nor vouched for, nor accepted, does
/// not supersede an earlier row. Certificates replaced by the same signer are left out.
pub fn latest(rows: &[Row]) -> Vec<&Row> {
    let circuits = by_circuit(rows).into_values();
    let mut kept: Vec<usize> = circuits
        .filter_map(|visits| current(rows, &open(rows, &visits)))
        .collect();
    kept.sort_unstable();
    kept.into_iter().map(|i| &rows[i]).collect()
}

/// The visits to a circuit, oldest first, that no later one supersedes. There are several only if
/// the last one was incomplete, or if there are several keys. All are kept, not only the worst: a
/// signer who confirms another signer's `stop` must not be able to lift it by lifting their own.
fn open(rows: &[Row], visits: &[usize]) -> Vec<usize> {
    let mut open: Vec<usize> = Vec::new();
    for &now in visits {
        open.retain(|&before| !supersedes(&rows[now], &rows[before]));
        open.push(now);
    }
    open
}

/// Which of the visits that are not superseded counts: the worst unsatisfactory one, and among
/// equal ones the latest. If none is unsatisfactory, it is the one by an accepted key, otherwise
/// the one that is due first, so that no stranger can postpone a date, not even with an earlier
/// certificate of their own.
fn current(rows: &[Row], open: &[usize]) -> Option<usize> {
    let real: Vec<usize> = open.iter().copied().filter(|&i| !rows[i].future).collect();
    let open = if real.is_empty() { open } else { &real };
    let unsatisfactory = open.iter().filter(|&&i| rows[i].unsatisfactory());
    if let Some(worst) = unsatisfactory.max_by_key(|&&i| rows[i].grade()) {
        return Some(*worst);
    }
    let accepted = open.iter().rfind(|&&i| rows[i].accepted);
    let due_first = || open.iter().min_by_key(|&&i| rows[i].next_due);
    accepted.or_else(due_first).copied()
}

/// Whether the later of two results is better than an unsatisfactory one.
fn milder(now: &Row, before: &Row) -> bool {
    match (before.grade(), now.grade()) {
        (Some(before), Some(now)) => now < before,
        _ => !now.unsatisfactory(),
    }
}

/// Whether a later visit supersedes an earlier one.
fn supersedes(now: &Row, before: &Row) -> bool {
    // A date in the future would supersede every visit until then.
    if !now.may_supersede(before) || (now.future && !before.future) {
        return false;
    }
    if !before.unsatisfactory() || !milder(now, before) {
        return true;
    }
    if now.softened.is_some() {
        return false;
    }
    // For visits on one day by different signers, only the signers' clocks show which was later.
    let unordered = before.date == now.date && !now.same_hand(before);
    now.complete == Some(true) && !unordered
}

/// Marks the rows that supersede nothing: because nobody accepted their key, unless a later row by
/// an accepted key has settled the matter, or because of their own contents.
pub fn mark(rows: &mut [Row]) {
    let counting: Vec<usize> = not_replaced(rows).collect();
    tell_apart(rows, &counting);
    // Remarks about keys, and about anything else.
    let mut marks = Vec::new();
    let mut others = Vec::new();
    for visits in by_circuit(rows).into_values() {
        let open = open(rows, &visits);
        let current = current(rows, &open);
        for (n, &i) in visits.iter().enumerate() {
            let row = &rows[i];
            let foreign = |&&j: &&usize| !row.may_supersede(&rows[j]);
            let before = visits[..n].iter().rev().find(foreign);
            let unsettled = open.iter().any(|&k| k == i || rows[k].same_hand(row));
            let softened = |&&j: &&usize| {
                let before = &rows[j];
                row.softened.is_some() && before.unsatisfactory() && milder(row, before)
            };
            if let Some(soft) = &row.softened
                && let Some(&j) = visits[..n]
                    .iter()
                    .rev()
                    .find(softened)
                    .filter(|j| open.contains(j))
            {
                let number = rows[j].number.as_deref().unwrap_or("?");
                others.push((
                    i,
                    format!("the result of {number} stays, because the firm's own rules soften it: {soft}"),
                ));
            }
            let real = |&&j: &&usize| !rows[j].future;
            if row.future
                && let Some(&j) = visits[..n].iter().rev().find(real)
            {
                let number = rows[j].number.as_deref().unwrap_or("?");
                others.push((
                    i,
                    format!("its date is in the future, so the result of {number} stays"),
                ));
            }
            if let Some(before) = before.filter(|_| row.valid && unsettled) {
                let number = |i: usize| rows[i].number.as_deref().unwrap_or("?");
                let remark = match current.as_ref().filter(foreign) {
                    Some(&stays) => format!(
                        "the result of {}, sealed with another key, stays",
                        number(stays)
                    ),
                    None => format!("sealed with another key than {}", number(*before)),
                };
                marks.push((i, remark));
            }
        }
    }
    marks.extend(other_spellings(rows));
    others.extend(not_lifting(rows));
    let standings = standings(rows);
    for (row, (current, superseded_by)) in rows.iter_mut().zip(standings) {
        row.remark = None;
        row.own_fault = false;
        row.current = current;
        row.superseded_by = superseded_by;
    }
    let marks = marks.into_iter().map(|(i, remark)| (i, remark, false));
    let others = others.into_iter().map(|(i, remark)| (i, remark, true));
    for (i, remark, own_fault) in marks.chain(others) {
        let row = &mut rows[i];
        if row.remark.is_none() {
            row.remark = Some(remark);
            row.own_fault = own_fault;
        }
    }
}

/// For each row, whether it is in force, and the number of the certificate that supersedes it.
fn standings(rows: &[Row]) -> Vec<(Option<bool>, Option<String>)> {
    let counts = |row: &Row| (row.counts() && row.subject().is_some()).then_some(false);
    let mut out: Vec<_> = rows.iter().map(|row| (counts(row), None)).collect();
    for visits in by_circuit(rows).into_values() {
        let mut open: Vec<usize> = Vec::new();
        for &now in &visits {
            open.retain(|&before| {
                let superseded = supersedes(&rows[now], &rows[before]);
                if superseded {
                    out[before].1.clone_from(&rows[now].number);
                }
                !superseded
            });
            open.push(now);
        }
        if let Some(current) = current(rows, &open) {
            out[current].0 = Some(true);
        }
    }
    let replaced = Replaced::of(rows);
    for (row, (current, superseded_by)) in rows.iter().zip(&mut out) {
        if let (Some(_), Some(later)) = (current, replaced.by(row)) {
            superseded_by.clone_from(&later.number);
        }
    }
    out
}

/// The rows whose site or circuit is spelled almost as in an earlier row that is sealed with
/// another key, if nobody accepted their key. They supersede nothing, but a reader may confuse them
/// with that circuit.
fn other_spellings(rows: &[Row]) -> Vec<(usize, String)> {
    let mut alike: HashMap<[String; 2], Vec<usize>> = HashMap::new();
    for (i, row) in rows.iter().enumerate().filter(|(_, row)| row.counts()) {
        if let Some((site, circuit)) = row.subject() {
            alike
                .entry([folded(site), folded(circuit)])
                .or_default()
                .push(i);
        }
    }
    let mut marks = Vec::new();
    for mut group in alike.into_values() {
        group.sort_by_key(|&i| (rows[i].date, rows[i].signed_at.map(|t| t.to_utc())));
        for (n, &i) in group.iter().enumerate().filter(|(_, i)| rows[**i].valid) {
            let row = &rows[i];
            let foreign = |&&j: &&usize| {
                let other = &rows[j];
                row.own_circuit() != other.own_circuit()
                    && !row.may_supersede(other)
                    && !other.same_hand(row)
            };
            if let Some(&j) = group[..n].iter().rev().find(foreign) {
                let other = &rows[j];
                let number = other.number.as_deref().unwrap_or("?");
                let remark = format!(
                    "the site or circuit of {number}, sealed with another key, in another spelling"
                );
                marks.push((i, remark));
            }
        }
    }
    marks
}

/// Why a certificate that names an earlier one as replaced does not lift its unsatisfactory result,
/// as the end of a sentence; `None` if it does. A digest copied by mistake must not remove a `stop`
/// from the list.
fn does_not_lift(later: &Row, row: &Row) -> Option<&'static str> {
    if !row.unsatisfactory() {
        return None;
    }
    if later.subject() != row.subject() {
        Some("it is about another site or circuit")
    } else if later.date < row.date {
        Some("its visit was earlier")
    } else if milder(later, row) && later.complete != Some(true) {
        Some("its inspection is not complete")
    } else if milder(later, row) && later.softened.is_some() {
        Some("its firm's own rules soften a verdict")
    } else {
        None
    }
}

/// The remarks for rows that name an unsatisfactory certificate as replaced, but do not lift its
/// result.
fn not_lifting(rows: &[Row]) -> Vec<(usize, String)> {
    let replaced = Replaced::of(rows);
    let mut marks = Vec::new();
    for row in rows
        .iter()
        .filter(|row| row.counts() && row.subject().is_some())
    {
        if replaced.by(row).is_some() {
            continue;
        }
        for later in replaced.named(row) {
            let place = rows.iter().position(|other| std::ptr::eq(other, later));
            if let (Some(i), Some(why)) = (place, does_not_lift(later, row)) {
                let number = row.number.as_deref().unwrap_or("?");
                marks.push((
                    i,
                    format!(
                        "the result of {number}, which it replaces by its own word, stays: {why}"
                    ),
                ));
            }
        }
    }
    marks
}

/// The certificates that replace others, by the digests of the replaced ones.
struct Replaced<'a>(HashMap<&'a str, Vec<&'a Row>>);

impl<'a> Replaced<'a> {
    fn of(rows: &'a [Row]) -> Self {
        let mut replaced: HashMap<&str, Vec<&Row>> = HashMap::new();
        for row in rows.iter().filter(|r| r.valid) {
            if let Some(certificate) = row.replaces.as_deref() {
                replaced.entry(certificate).or_default().push(row);
            }
        }
        Self(replaced)
    }

    /// The certificate by the same signer that replaces this one.
    fn by(&self, row: &Row) -> Option<&'a Row> {
        self.named(row)
            .find(|later| does_not_lift(later, row).is_none())
    }

    /// The rows of certificates by the same signer that name this one as replaced.
    fn named<'s>(&'s self, row: &'s Row) -> impl Iterator<Item = &'a Row> + 's {
        let by = row.digests().filter_map(|digest| self.0.get(digest));
        by.flatten().copied().filter(|later| later.same_hand(row))
    }
}

/// The rows that count, but for those that the same signer replaced.
pub(super) fn not_replaced(rows: &[Row]) -> impl Iterator<Item = usize> + '_ {
    let replaced = Replaced::of(rows);
    let all = rows.iter().enumerate();
    all.filter(move |(_, row)| row.counts() && replaced.by(row).is_none())
        .map(|(i, _)| i)
}

/// The rows of each circuit that count, oldest first; among copies of one certificate, the one with
/// more signatures comes later. Certificates replaced by the same signer are left out.
pub(crate) fn by_circuit(rows: &[Row]) -> HashMap<OwnCircuit<'_>, Vec<usize>> {
    let mut visits: HashMap<OwnCircuit<'_>, Vec<usize>> = HashMap::new();
    for i in not_replaced(rows) {
        if let Some(own) = rows[i].own_circuit() {
            visits.entry(own).or_default().push(i);
        }
    }
    for list in visits.values_mut() {
        list.sort_by_key(|&i| {
            let r = &rows[i];
            (
                r.date,
                r.signed_at.map(|t| t.to_utc()),
                &r.number,
                r.signatures,
                Reverse(i),
            )
        });
    }
    visits
}

#[cfg(test)]
mod tests {
    use super::super::row::tests::row;
    use super::*;

    fn stop(number: &str, date: &str) -> Row {
        Row {
            outcome: Some("unsatisfactory".to_owned()),
            worst_grade: Some("stop".to_owned()),
            complete: Some(true),
            ..row(number, "bay", date, None)
        }
    }

    fn replacing(number: &str, date: &str, of: &Row) -> Row {
        Row {
            replaces: Some(of.sha256.clone()),
            complete: Some(true),
            ..row(number, "bay", date, Some("2027-01-01"))
        }
    }

    /// The digest of another certificate is easily copied by mistake, or on purpose.
    #[test]
    fn a_replacement_lifts_a_stop_only_for_the_same_circuit_after_a_complete_visit() {
        let stop = stop("1", "2026-05-01");
        let good = replacing("2", "2026-05-01", &stop);
        assert_eq!(
            current_and_marked(&[stop.clone(), good.clone()]),
            ("2".to_owned(), vec![])
        );
        for wrong in [
            Row {
                date: "2026-04-30".parse().ok(),
                ..good.clone()
            },
            Row {
                complete: Some(false),
                ..good.clone()
            },
            Row {
                softened: Some("by the built-in set us: “Unsatisfactory”".to_owned()),
                ..good.clone()
            },
        ] {
            let (current, marked) = current_and_marked(&[stop.clone(), wrong.clone()]);
            assert_eq!(
                (current.as_str(), marked),
                ("1", vec!["2".to_owned()]),
                "{wrong:?}"
            );
        }
        let mut rows = vec![
            stop,
            Row {
                circuit: Some("other".to_owned()),
                ..good
            },
        ];
        mark(&mut rows);
        assert_eq!(rows[0].current, Some(true));
        let remark = rows[1].remark.as_deref().unwrap_or_default();
        assert!(remark.contains("another site or circuit"), "{remark}");
    }

    #[test]
    fn a_visit_of_the_future_supersedes_nothing() {
        let before = row("1", "bay", "2026-05-01", Some("2026-11-01"));
        let mut later = row("2", "bay", "2029-05-01", Some("2030-01-01"));
        let now = |text: &str| chrono::DateTime::parse_from_rfc3339(text).unwrap();
        // 26 hours may be a wrong time zone.
        assert!(later.is_after(now("2029-04-28T21:59:59Z")));
        assert!(!later.is_after(now("2029-04-29T22:00:00Z")));
        later.future = true;
        let rows = [before.clone(), later.clone()];
        assert_eq!(
            current_and_marked(&rows),
            ("1".to_owned(), vec!["2".to_owned()])
        );
        assert_eq!(
            current_and_marked(&[later.clone()]),
            ("2".to_owned(), vec![])
        );
        later.future = false;
        assert_eq!(
            current_and_marked(&[before, later]),
            ("2".to_owned(), vec![])
        );
    }

    fn stranger(number: &str, date: &str, due: &str) -> Row {
        Row {
            fingerprint: Some("cd".repeat(32)),
            ..row(number, "bay", date, Some(due))
        }
    }

    /// The number of the current row, and those of the marked ones.
    fn current_and_marked(rows: &[Row]) -> (String, Vec<String>) {
        let mut rows = rows.to_vec();
        mark(&mut rows);
        let number = |row: &Row| row.number.clone().unwrap_or_default();
        let marked = rows.iter().filter(|row| row.remark.is_some());
        (number(latest(&rows)[0]), marked.map(number).collect())
    }

    #[test]
    fn a_stranger_with_another_spelling_is_marked_and_lifts_nothing() {
        let stop = Row {
            worst_grade: Some("stop".to_owned()),
            ..row("own", "bay-1", "2025-01-01", None)
        };
        let of = |site: &str, circuit: &str| Row {
            site: Some(site.to_owned()),
            circuit: Some(circuit.to_owned()),
            ..stranger("other", "2025-06-01", "2099-01-01")
        };
        for other in [
            of("Mill Lane", "bay_1"),
            of("Mill  Lane", "bay-1"),
            of("mill lane", "Bay-1"),
            of("Mill L\u{430}ne", "bay-1"),
        ] {
            let rows = [stop.clone(), other.clone()];
            let (_, marked) = current_and_marked(&rows);
            assert_eq!(marked, ["other"], "{:?}", other.subject());
            assert!(latest(&rows).iter().any(|row| row.out_of_use()));
            // Another spelling by the same key, or by an accepted key, is not marked.
            let own = Row {
                fingerprint: stop.fingerprint.clone(),
                ..other.clone()
            };
            assert!(current_and_marked(&[stop.clone(), own]).1.is_empty());
            let accepted = Row {
                accepted: true,
                ..other
            };
            assert!(current_and_marked(&[stop.clone(), accepted]).1.is_empty());
        }
        assert!(
            current_and_marked(&[stop, of("Mill Lane", "bay-2")])
                .1
                .is_empty()
        );
    }

    #[test]
    fn a_stranger_puts_no_date_off_on_whatever_day() {
        let own = row("own", "bay", "2025-01-01", Some("2026-01-01"));
        let before = stranger("before", "2024-01-01", "2099-01-01");
        let after = stranger("after", "2025-06-01", "2099-01-01");
        let rows = [own.clone(), after.clone()];
        assert_eq!(
            current_and_marked(&rows),
            ("own".to_owned(), vec!["after".to_owned()])
        );
        // The signer's own certificate then belongs to the other key, and is marked too.
        let rows = [before.clone(), own.clone(), after.clone()];
        let marked = vec!["own".to_owned(), "after".to_owned()];
        assert_eq!(current_and_marked(&rows), ("own".to_owned(), marked));
        let accepted = |row: &Row| Row {
            accepted: true,
            ..row.clone()
        };
        let sooner = stranger("sooner", "2025-06-01", "2025-07-01");
        let rows = [before.clone(), accepted(&own), sooner.clone()];
        assert_eq!(
            current_and_marked(&rows),
            ("own".to_owned(), vec!["sooner".to_owned()])
        );
        let rows = [before, accepted(&own)];
        assert_eq!(current_and_marked(&rows), ("own".to_owned(), vec![]));
        let rows = [own, accepted(&after)];
        assert_eq!(current_and_marked(&rows), ("after".to_owned(), vec![]));
    }

    /// Each row's number, whether it is current, and what supersedes it.
    fn standing(rows: &[Row]) -> Vec<(Option<bool>, Option<String>)> {
        let mut rows = rows.to_vec();
        mark(&mut rows);
        let state = |row: &Row| (row.current, row.superseded_by.clone());
        rows.iter().map(state).collect()
    }

    #[test]
    fn each_row_tells_whether_it_is_current_and_what_supersedes_it() {
        let of = |number: &str, date: &str| row(number, "bay", date, Some("2027-01-01"));
        let no = |by: &str| (Some(false), Some(by.to_owned()));
        let yes = (Some(true), None);
        let rows = [
            of("1", "2024-01-01"),
            of("3", "2026-01-01"),
            of("2", "2025-01-01"),
        ];
        assert_eq!(standing(&rows), [no("2"), yes.clone(), no("3")]);
        // An incomplete visit leaves a stop in force, and is not current itself.
        let stop = Row {
            worst_grade: Some("stop".to_owned()),
            next_due: None,
            ..of("1", "2024-01-01")
        };
        let part = Row {
            complete: Some(false),
            ..of("2", "2025-01-01")
        };
        let gone = Row::unreadable("gone.pdf", "gone".to_owned());
        assert_eq!(
            standing(&[stop, part, gone]),
            [yes.clone(), (Some(false), None), (None, None)]
        );
        // A correction of the same day, which names what it replaces.
        let wrong = of("1", "2024-01-01");
        let right = Row {
            replaces: Some(wrong.sha256.clone()),
            ..of("1-a", "2024-01-01")
        };
        assert_eq!(standing(&[right, wrong]), [yes, no("1-a")]);
    }

    #[test]
    fn an_unsatisfactory_result_is_lifted_by_a_complete_and_better_one_alone() {
        let stop = stop("1", "2026-05-01");
        let later = |date: &str| Row {
            worst_grade: Some("pass".to_owned()),
            ..row("2", "bay", date, Some("2027-01-01"))
        };
        let kept = |now: Row| {
            let mut rows = [stop.clone(), now];
            mark(&mut rows);
            rows[0].current == Some(true)
        };
        assert!(!kept(later("2026-05-02")));
        // On the same day the same key tells the order; another one, though accepted, does not.
        assert!(!kept(later("2026-05-01")));
        let other = |date: &str| Row {
            fingerprint: Some("cd".repeat(32)),
            accepted: true,
            ..later(date)
        };
        assert!(!kept(other("2026-05-02")));
        assert!(kept(other("2026-05-01")));
        assert!(kept(Row {
            complete: Some(false),
            ..later("2026-05-02")
        }));
        assert!(kept(Row {
            complete: None,
            ..later("2026-05-02")
        }));
        // As bad as before is no lifting, complete or not: the later one is in force.
        assert!(!kept(Row {
            worst_grade: Some("stop".to_owned()),
            complete: Some(false),
            ..later("2026-05-02")
        }));
        // A date in the future lifts nothing.
        assert!(kept(Row {
            future: true,
            ..later("2026-05-02")
        }));
    }
}
