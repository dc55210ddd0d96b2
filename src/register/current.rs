//! Which result of a circuit is in force: the latest, unless it may not supersede an earlier one.

use super::row::Row;
use std::cmp::Reverse;
use std::collections::HashMap;

/// The current row of each circuit, in the order of the register: the latest valid one, except that an
/// incomplete visit or another signer's does not supersede an earlier unsatisfactory result.
/// Certificates replaced by the same signer are left out.
pub fn latest(rows: &[Row]) -> Vec<&Row> {
    let mut kept: Vec<usize> = by_circuit(rows)
        .into_values()
        .filter_map(|visits| {
            // The worst result that nothing lifted; of equal ones, the latest.
            let open = open(rows, &visits);
            let worst = open.into_iter().max_by_key(|&i| rows[i].grade());
            worst.or(visits.last().copied())
        })
        .collect();
    kept.sort_unstable();
    kept.into_iter().map(|i| &rows[i]).collect()
}

/// The unsatisfactory results among the visits to a circuit, oldest first, that no later visit
/// supersedes. All of them are kept, not only the worst: whoever confirms another signer's stop
/// must not be able to lift it by lifting their own.
fn open(rows: &[Row], visits: &[usize]) -> Vec<usize> {
    let mut open = Vec::new();
    for &now in visits {
        open.retain(|&before: &usize| !supersedes(&rows[now], &rows[before]));
        if rows[now].unsatisfactory() {
            open.push(now);
        }
    }
    open
}

/// Whether the later of two results is better than an unsatisfactory one.
fn milder(now: &Row, before: &Row) -> bool {
    match (before.grade(), now.grade()) {
        (Some(before), Some(now)) => now < before,
        _ => !now.unsatisfactory(),
    }
}

/// Whether a later visit supersedes an unsatisfactory one.
fn supersedes(now: &Row, before: &Row) -> bool {
    if !now.may_lift(before) {
        return false;
    }
    // For visits on one day by different signers, only the signers' clocks say which was later.
    let unordered = before.date == now.date && !now.same_hand(before);
    !milder(now, before) || (now.complete == Some(true) && !unordered)
}

/// Marks the better results that leave an earlier stop or repair open because nobody accepted the
/// key that sealed them.
pub fn mark(rows: &mut [Row]) {
    let mut marks = Vec::new();
    for visits in by_circuit(rows).into_values() {
        for before in open(rows, &visits) {
            let stopped = &rows[before];
            let later = visits.iter().skip_while(|&&i| i != before).skip(1);
            marks.extend(
                later
                    .filter(|&&i| milder(&rows[i], stopped) && !rows[i].may_lift(stopped))
                    .map(|&i| (i, stopped.number.clone().unwrap_or_default())),
            );
        }
    }
    for row in rows.iter_mut() {
        row.remark = None;
    }
    for (i, number) in marks {
        rows[i].remark = Some(format!(
            "the result of {number}, sealed with another key, stays"
        ));
    }
}

/// The valid rows of each circuit, oldest first; of several copies of a certificate the one with more
/// signatures comes later. Certificates replaced by the same signer are left out.
pub(super) fn by_circuit(rows: &[Row]) -> HashMap<(&str, &str), Vec<usize>> {
    let mut replaced: HashMap<&str, Vec<&Row>> = HashMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let Some(certificate) = row.replaces.as_deref() {
            replaced.entry(certificate).or_default().push(row);
        }
    }
    let replaced = |row: &Row| {
        let by = replaced.get(row.certificate());
        by.is_some_and(|by| by.iter().any(|later| later.same_hand(row)))
    };
    let mut visits: HashMap<(&str, &str), Vec<usize>> = HashMap::new();
    for (i, row) in rows.iter().enumerate() {
        if let Some(subject) = row.subject().filter(|_| row.valid)
            && !replaced(row)
        {
            visits.entry(subject).or_default().push(i);
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
