//! The summary of the register: counts, outcomes, what is overdue, and which numbers are duplicated
//! or missing.

use super::apart;
use super::current::by_circuit;
use super::row::Row;
use super::wanted::Wanted;
use crate::lookalike::folded;
use crate::seal::plain::quoted_name;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet, HashSet};

/// The summary of a register.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary<'a> {
    /// Number of certificates; copies, countersigned or not, count once.
    pub certificates: usize,
    /// Number of circuits; each counts once, however often it was visited.
    pub circuits: usize,
    /// Circuits by the outcome of their latest visit, according to their own worst grade.
    pub outcomes: BTreeMap<&'a str, usize>,
    /// The latest visit of circuits where it was not complete.
    pub incomplete: Vec<&'a Row>,
    /// Circuits that must not be used.
    pub out_of_use: Vec<&'a Row>,
    /// Circuits whose next inspection was due before the given date, longest overdue first.
    pub overdue: Vec<&'a Row>,
    /// Certificates made by another version, which this one compares only in part.
    pub in_part: usize,
    /// Files that are not valid.
    pub not_valid: Vec<&'a Row>,
    /// Chargers that appear under several sites.
    pub one_charger: Vec<OneCharger<'a>>,
    /// Names of sites at several addresses, with these.
    pub one_name: Vec<(&'a str, Vec<&'a str>)>,
    /// Numbers used by different certificates of one firm, and their files.
    pub same_number: Vec<(&'a str, Vec<&'a str>)>,
    /// Numbers missing between the smallest and the largest of a series: first, last, count.
    pub missing: Vec<(String, String, u64)>,
    /// Names that signed with several keys.
    pub several_keys: Vec<(&'a str, usize)>,
    /// Keys of valid certificates that nobody compared: the name that they claim, and the
    /// fingerprint.
    pub uncompared: Vec<(&'a str, &'a str)>,
    /// Certificates that supersede nothing, because nobody accepted the key that sealed them.
    pub not_accepted: Vec<&'a Row>,
    /// Certificates whose own contents do not allow them to lift an earlier result.
    pub not_lifting: Vec<&'a Row>,
    /// Certificates of a circuit that are sealed by a signer other than the previous one.
    pub other_hand: Vec<OtherHand<'a>>,
}

/// A charger that appears under several sites, or under several spellings of one site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OneCharger<'a> {
    /// Its serial number.
    pub serial: &'a str,
    /// The sites, in order of their names.
    pub sites: Vec<&'a str>,
}

/// A certificate that may be genuine or a stranger's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherHand<'a> {
    /// The certificate.
    pub row: &'a Row,
    /// The previous certificate.
    pub before: &'a Row,
    /// Whether it claims to replace the previous one, which only the same signer can do.
    pub replaces: bool,
}

/// Summarises the selected rows; numbers and keys are checked in all rows.
pub fn summary<'a>(all: &'a [Row], wanted: &Wanted, today: NaiveDate) -> Summary<'a> {
    let latest = wanted.latest(all);
    let visits = by_circuit(all);
    let last = |row: &Row| Some(&all[*visits.get(&row.own_circuit()?)?.last()?]);
    let mut outcomes = BTreeMap::new();
    for row in &latest {
        *outcomes
            .entry(row.own_outcome().unwrap_or("unknown"))
            .or_insert(0) += 1;
    }
    let mut overdue: Vec<&Row> = latest
        .iter()
        .filter(|r| r.next_due.is_some_and(|due| due < today))
        .copied()
        .collect();
    overdue.sort_by_key(|r| r.next_due);
    let remarked = |own_fault: bool| -> Vec<&Row> {
        all.iter()
            .filter(|r| r.remark.is_some() && r.own_fault == own_fault)
            .collect()
    };
    Summary {
        certificates: certificates(wanted.rows(all).into_iter().filter(|r| r.valid)),
        circuits: latest.len(),
        outcomes,
        incomplete: latest
            .iter()
            .filter_map(|r| last(r).filter(|l| l.complete == Some(false)))
            .collect(),
        out_of_use: latest.iter().filter(|r| r.out_of_use()).copied().collect(),
        overdue,
        in_part: certificates(wanted.rows(all).into_iter().filter(|r| r.in_part())),
        not_valid: not_valid(all),
        one_charger: one_charger(all),
        one_name: apart::names(all),
        same_number: same_number(all),
        missing: missing(all),
        several_keys: several_keys(all),
        uncompared: uncompared(all),
        not_accepted: remarked(false),
        not_lifting: remarked(true),
        other_hand: latest
            .iter()
            .filter_map(|row| visits.get(&row.own_circuit()?))
            .flat_map(|visits| other_hand(all, visits))
            .collect(),
    }
}

/// The rows that are not valid; a file is listed once.
fn not_valid(rows: &[Row]) -> Vec<&Row> {
    let mut files = HashSet::new();
    let bad = rows.iter().filter(|r| !r.valid);
    bad.filter(|r| files.insert(r.file.as_str())).collect()
}

/// The keys that nobody compared, by name; a key is listed once.
fn uncompared(rows: &[Row]) -> Vec<(&str, &str)> {
    let keys = rows.iter().filter(|r| r.uncompared()).map(|r| {
        let (name, key) = (r.signer.as_deref(), r.fingerprint.as_deref());
        (name.unwrap_or("?"), key.unwrap_or("?"))
    });
    keys.collect::<BTreeSet<_>>().into_iter().collect()
}

/// Number of certificates to which these rows belong.
fn certificates<'a>(rows: impl Iterator<Item = &'a Row>) -> usize {
    rows.map(Row::certificate).collect::<HashSet<_>>().len()
}

/// The certificates of a circuit that were sealed by a signer other than the previous one.
fn other_hand<'a>(rows: &'a [Row], visits: &[usize]) -> Vec<OtherHand<'a>> {
    let pairs = visits.windows(2).filter_map(|pair| match pair {
        [before, now] => Some((&rows[*before], &rows[*now])),
        _ => None,
    });
    pairs
        .filter(|(before, now)| !now.same_hand(before))
        .map(|(before, row)| OtherHand {
            row,
            before,
            replaces: before
                .digests()
                .any(|digest| row.replaces.as_deref() == Some(digest)),
        })
        .collect()
}

/// The chargers whose maker and serial number occur under several sites.
fn one_charger(rows: &[Row]) -> Vec<OneCharger<'_>> {
    let mut sites: BTreeMap<[String; 2], (&str, BTreeSet<&str>)> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.counts()) {
        if let (Some(serial), Some(site)) = (&row.charger_serial, &row.site) {
            let make = folded(row.charger_make.as_deref().unwrap_or_default());
            let entry = sites.entry([make, folded(serial)]);
            let entry = entry.or_insert_with(|| (serial, BTreeSet::new()));
            entry.1.insert(site);
        }
    }
    let several = sites.into_values().filter(|(_, sites)| sites.len() > 1);
    let found = several.map(|(serial, sites)| OneCharger {
        serial,
        sites: sites.into_iter().collect(),
    });
    found.collect()
}

fn same_number(rows: &[Row]) -> Vec<(&str, Vec<&str>)> {
    // Each firm has numbers of its own.
    let mut by_number: BTreeMap<(&str, String), BTreeMap<&str, &str>> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let Some(number) = &row.number {
            by_number
                .entry((number, row.firm_folded()))
                .or_default()
                .entry(row.certificate())
                .or_insert(&row.file);
        }
    }
    by_number
        .into_iter()
        .filter(|(_, files)| files.len() > 1)
        .map(|((number, _), files)| (number, files.into_values().collect()))
        .collect()
}

/// Splits a number into its series, the text before its last digits, and these digits.
fn place(number: &str) -> Option<(&str, &str, u64)> {
    let stem = number.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &number[stem.len()..];
    Some((stem, digits, digits.parse().ok()?))
}

fn missing(rows: &[Row]) -> Vec<(String, String, u64)> {
    let mut series: BTreeMap<(&str, String), (BTreeSet<u64>, usize)> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let Some((stem, digits, n)) = row.number.as_deref().and_then(place) {
            let (known, padded) = series.entry((stem, row.firm_folded())).or_default();
            known.insert(n);
            // Numbers are padded to a width only if the firm writes leading zeros.
            if digits.len() > 1 && digits.starts_with('0') {
                *padded = (*padded).max(digits.len());
            }
        }
    }
    let mut out = Vec::new();
    for ((stem, _), (known, padded)) in series {
        let name = |n: u64| format!("{stem}{n:0padded$}");
        for (a, b) in known.iter().zip(known.iter().skip(1)) {
            if b - a > 1 {
                out.push((name(a + 1), name(b - 1), b - a - 1));
            }
        }
    }
    out
}

fn several_keys(rows: &[Row]) -> Vec<(&str, usize)> {
    let mut keys: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let (Some(signer), Some(key)) = (&row.signer, &row.fingerprint) {
            keys.entry(signer).or_default().insert(key);
        }
    }
    keys.into_iter()
        .filter(|(_, keys)| keys.len() > 1)
        .map(|(name, keys)| (name, keys.len()))
        .collect()
}

/// Maximum number of entries of one kind that are listed by name.
const MOST: usize = 10;

impl Summary<'_> {
    /// The summary as text, one line per item.
    pub fn text(&self) -> String {
        let mut out = format!(
            "{}, {}",
            count(self.certificates, "certificate"),
            count(self.circuits, "circuit")
        );
        if !self.outcomes.is_empty() {
            let outcomes: Vec<String> = self
                .outcomes
                .iter()
                .map(|(outcome, n)| format!("{n} {outcome}"))
                .collect();
            out.push_str(&format!(
                "; latest of each circuit: {}",
                outcomes.join(", ")
            ));
        }
        out.push('\n');
        if self.in_part > 0 {
            out.push_str(&format!(
                "made by another version of warmlug: {}, of which number, dates, persons and sealed \
                 findings were compared; `warmlug verify` says more about each\n",
                count(self.in_part, "certificate")
            ));
        }
        let by = |r: &Row| {
            r.signer
                .as_deref()
                .map_or_else(|| "?".to_owned(), quoted_name)
        };
        let about = |r: &Row| {
            format!(
                "{} {}, {}",
                r.number.as_deref().unwrap_or("?"),
                r.site.as_deref().unwrap_or("?"),
                r.title()
            )
        };
        // These lists are never shortened, because somebody must act on each entry.
        listed(
            &mut out,
            "must not be used",
            &self.out_of_use,
            usize::MAX,
            |r| about(r),
        );
        listed(&mut out, "overdue", &self.overdue, usize::MAX, |r| {
            let due = r.next_due.map(|d| d.to_string()).unwrap_or_default();
            format!("{due} {}", about(r))
        });
        listed(
            &mut out,
            "not complete",
            &self.incomplete,
            usize::MAX,
            |r| {
                let date = r.date.map(|d| d.to_string()).unwrap_or_default();
                format!("{date} {}", about(r))
            },
        );
        section(
            &mut out,
            "one charger under several sites: if these are one, give them one name, or their \
             circuits are counted apart",
            &self.one_charger,
            |c| {
                let sites: Vec<String> = c.sites.iter().map(|s| quoted_name(s)).collect();
                format!(
                    "serial number {}: {}",
                    quoted_name(c.serial),
                    sites.join(", ")
                )
            },
        );
        section(
            &mut out,
            "one name for sites at several addresses: their circuits are counted apart. Give each site a \
             name of its own, or if they are one, replace the certificate whose address is wrong",
            &self.one_name,
            |(site, addresses)| {
                let addresses: Vec<String> = addresses.iter().map(|a| quoted_name(a)).collect();
                format!("{}: {}", quoted_name(site), addresses.join(", "))
            },
        );
        section(&mut out, "not valid", &self.not_valid, |r| {
            format!("{}: {}", r.file, r.problem.as_deref().unwrap_or_default())
        });
        section(
            &mut out,
            "number used by several certificates",
            &self.same_number,
            |(number, files)| format!("{number}: {}", files.join(", ")),
        );
        section(
            &mut out,
            "missing numbers",
            &self.missing,
            |(first, last, n)| match n {
                1 => first.clone(),
                _ => format!("{first} to {last} ({n})"),
            },
        );
        section(
            &mut out,
            "signed with several keys",
            &self.several_keys,
            |(name, n)| format!("{}: {n} keys", quoted_name(name)),
        );
        section(
            &mut out,
            "keys that nobody compared: compare each fingerprint with one that the firm gives you",
            &self.uncompared,
            |(name, key)| format!("{}, key {key}", quoted_name(name)),
        );
        section(
            &mut out,
            "does not lift an earlier result: ask the firm",
            &self.not_lifting,
            |r| {
                format!(
                    "{} by {}: {}",
                    about(r),
                    by(r),
                    r.remark.as_deref().unwrap_or_default()
                )
            },
        );
        section(
            &mut out,
            "moves no due date and lifts no stop, because nobody accepted its key",
            &self.not_accepted,
            |r| {
                format!(
                    "{} by {}, key {}: {}",
                    about(r),
                    by(r),
                    r.fingerprint.as_deref().unwrap_or("?"),
                    r.remark.as_deref().unwrap_or_default()
                )
            },
        );
        if !self.not_accepted.is_empty() {
            out.push_str(ACCEPT);
        }
        section(
            &mut out,
            "sealed with a different key than the one before: ask the firm",
            &self.other_hand,
            |o| {
                let number = |r: &Row| r.number.clone().unwrap_or_else(|| "?".to_owned());
                let claim = if o.replaces {
                    ". It says that it replaces that one, which counts all the same"
                } else {
                    ""
                };
                format!(
                    "{} by {}, previously {} by {}{claim}",
                    about(o.row),
                    by(o.row),
                    number(o.before),
                    by(o.before)
                )
            },
        );
        printable(&out)
    }
}

/// How to let another key supersede earlier certificates.
const ACCEPT: &str = "  If another firm inspects the circuit now, compare the fingerprint with one that \
    the firm gives you.\n  Then accept the key: write `accepted` before the day in its line of \
    known-signers (FINGERPRINT accepted DAY NAME),\n  or name the keys of both firms with --pin. A line \
    with the word `met`, or with neither word as earlier\n  versions stored it, says only that the key \
    was seen.\n";

/// Removes control characters: names may come from a stranger.
fn printable(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(super::text_table::printable).collect();
    lines.join("\n")
}

fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

fn section<T>(out: &mut String, head: &str, items: &[T], say: impl Fn(&T) -> String) {
    listed(out, head, items, MOST, say);
}

fn listed<T>(out: &mut String, head: &str, items: &[T], most: usize, say: impl Fn(&T) -> String) {
    if items.is_empty() {
        return;
    }
    out.push_str(&format!("{head}: {}\n", items.len()));
    for item in items.iter().take(most) {
        out.push_str(&format!("  {}\n", say(item)));
    }
    if items.len() > most {
        out.push_str(&format!("  and {} more\n", items.len() - most));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::current::{latest, mark};
    use super::super::row::tests::row;
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn only_the_latest_visit_of_a_circuit_is_overdue() {
        let rows = [
            row("2025-0001", "bay", "2025-01-01", Some("2025-07-01")),
            row("2025-0009", "bay", "2025-06-20", Some("2026-06-20")),
            row("2025-0002", "yard", "2025-01-02", Some("2025-07-02")),
        ];
        let s = summary(&rows, &Wanted::default(), day("2025-12-01"));
        assert_eq!(
            s.overdue
                .iter()
                .map(|r| r.circuit.as_deref())
                .collect::<Vec<_>>(),
            [Some("yard")]
        );
        let on_the_day = summary(&rows, &Wanted::default(), day("2025-07-02"));
        assert!(on_the_day.overdue.is_empty(), "due today is not overdue");
    }

    #[test]
    fn whatever_somebody_must_act_on_is_listed_whole() {
        let mut rows: Vec<Row> = (0..40)
            .map(|n| {
                row(
                    &n.to_string(),
                    &format!("bay-{n}"),
                    "2025-01-01",
                    Some("2025-02-01"),
                )
            })
            .collect();
        for row in rows.iter_mut().take(20) {
            row.worst_grade = Some("stop".to_owned());
            row.next_due = None;
        }
        let text = summary(&rows, &Wanted::default(), day("2026-01-01")).text();
        assert!(text.contains("must not be used: 20\n") && text.contains("overdue: 20\n"));
        for n in 0..40 {
            assert!(text.contains(&format!(", bay-{n}\n")), "{n}: {text}");
        }
    }

    #[test]
    fn a_replaced_certificate_does_not_count() {
        let mut newer = row("2025-0003", "bay", "2025-01-01", Some("2026-01-01"));
        let old = row("2025-0004", "bay", "2025-01-01", Some("2025-02-01"));
        newer.replaces = Some(old.sha256.clone());
        let rows = [old, newer];
        let latest = latest(&rows);
        assert_eq!(latest.len(), 1);
        assert_eq!(latest[0].number.as_deref(), Some("2025-0003"));
    }

    #[test]
    fn another_key_replaces_nothing_and_is_told() {
        let mut bad = row("2025-0003", "bay", "2025-01-01", None);
        bad.worst_grade = Some("stop".to_owned());
        let mut stranger = row("2025-0777", "bay", "2025-01-01", Some("2026-01-01"));
        stranger.replaces = Some(bad.sha256.clone());
        stranger.fingerprint = Some("cd".repeat(32));
        stranger.signer = Some("Mallory Vane".to_owned());
        let stands = |rows: &[Row]| {
            let s = summary(rows, &Wanted::default(), day("2025-02-01"));
            (s.out_of_use.len(), s.other_hand.len(), s.text())
        };
        let (out, marked, text) = stands(&[bad.clone(), stranger.clone()]);
        assert_eq!((out, marked), (1, 1), "{text}");
        assert!(
            text.contains(
                "sealed with a different key than the one before: ask the firm: 1\n  2025-0777 Mill \
                 Lane, bay by “Mallory Vane”, previously 2025-0003 by “Ada Ohm”. It says that it \
                 replaces that one"
            ),
            "{text}"
        );
        // A later visit counts only after its key was accepted, and is reported until then.
        stranger.date = Some(day("2025-01-05"));
        let (out, marked, text) = stands(&[bad.clone(), stranger.clone()]);
        assert_eq!((out, marked), (1, 1), "{text}");
        // Confirming the `stop` first does not help either.
        let confirmed = Row {
            date: Some(day("2025-01-03")),
            sha256: "another".to_owned(),
            ..Row {
                worst_grade: bad.worst_grade.clone(),
                next_due: None,
                ..stranger.clone()
            }
        };
        let (out, _, text) = stands(&[bad.clone(), confirmed, stranger.clone()]);
        assert_eq!(out, 1, "{text}");
        stranger.accepted = true;
        let (out, marked, text) = stands(&[bad.clone(), stranger.clone()]);
        assert_eq!((out, marked), (0, 1), "{text}");
        stranger.accepted = false;
        let mut marked = [bad.clone(), stranger.clone()];
        mark(&mut marked);
        let (_, _, text) = stands(&marked);
        assert!(
            text.contains("the result of 2025-0003, sealed with another key, stays")
                && text.contains("known-signers"),
            "{text}"
        );
        // The signer's own later visit lifts the `stop`; with an accepted key, it settles the rest
        // too.
        let mut own = row("2025-0009", "bay", "2025-02-01", Some("2026-02-01"));
        let (out, _, text) = stands(&[bad.clone(), stranger.clone(), own.clone()]);
        assert_eq!(out, 0, "{text}");
        own.accepted = true;
        let mut settled = [bad.clone(), stranger.clone(), own];
        mark(&mut settled);
        assert!(settled.iter().all(|r| r.remark.is_none()), "{settled:?}");
        // A renewed key counts as the same signer.
        stranger.date = bad.date;
        stranger.vouched_by = bad.fingerprint.iter().cloned().collect();
        let (out, marked, text) = stands(&[bad, stranger]);
        assert_eq!((out, marked), (0, 0), "{text}");
    }

    #[test]
    fn a_countersigned_copy_is_the_same_certificate() {
        let mut plain = row("2025-0003", "bay", "2025-01-01", Some("2026-01-01"));
        plain.sealed_sha256 = Some(plain.sha256.clone());
        plain.signatures = Some(1);
        let copy = Row {
            sha256: "another file".to_owned(),
            file: "copy.pdf".to_owned(),
            signatures: Some(2),
            ..plain.clone()
        };
        let rows = [plain.clone(), copy];
        let s = summary(&rows, &Wanted::default(), day("2025-02-01"));
        assert_eq!((s.certificates, s.circuits), (1, 1));
        assert!(s.same_number.is_empty(), "{}", s.text());
        assert_eq!(latest(&rows)[0].file, "copy.pdf");
        // So is a copy whose time-stamp was removed from the signature.
        let stamped = Row {
            signed_bytes_sha256: Some("signed".to_owned()),
            ..plain.clone()
        };
        let stripped = Row {
            sha256: "stripped".to_owned(),
            sealed_sha256: Some("stripped".to_owned()),
            file: "stripped.pdf".to_owned(),
            ..stamped.clone()
        };
        let both = [stamped, stripped];
        let s = summary(&both, &Wanted::default(), day("2025-02-01"));
        assert_eq!((s.certificates, s.circuits), (1, 1));
        assert!(s.same_number.is_empty(), "{}", s.text());
        // So is a copy whose signature value was replaced by the other valid one.
        let turned = Row {
            sha256: "turned".to_owned(),
            sealed_sha256: Some("turned".to_owned()),
            low_s_sha256: plain.sealed_sha256.clone(),
            other_form: plain.sealed_sha256.clone(),
            file: "turned.pdf".to_owned(),
            ..plain.clone()
        };
        let both = [
            Row {
                other_form: Some("turned".to_owned()),
                ..plain.clone()
            },
            turned,
        ];
        let s = summary(&both, &Wanted::default(), day("2025-02-01"));
        assert_eq!((s.certificates, s.circuits), (1, 1));
        assert!(s.same_number.is_empty(), "{}", s.text());
        for named in [&plain.sha256, "turned"] {
            let mut newer = row("2025-0004", "bay", "2025-01-01", Some("2026-01-01"));
            newer.replaces = Some(named.to_owned());
            let [plain, turned] = both.clone();
            let rows = [newer, plain, turned];
            let left = latest(&rows);
            assert_eq!(
                (left.len(), left[0].file.as_str()),
                (1, "2025-0004-bay.pdf")
            );
        }
        // A certificate that replaces one of them replaces the other too.
        let mut newer = row("2025-0004", "bay", "2025-01-01", Some("2026-01-01"));
        newer.replaces = Some(plain.sha256.clone());
        let [plain, copy] = rows;
        assert_eq!(latest(&[newer, plain, copy]).len(), 1);
    }

    #[test]
    fn only_a_complete_visit_lifts_what_was_unsatisfactory() {
        let graded = |number: &str, date: &str, due, grade: &str, complete| {
            let mut row = row(number, "bay", date, due);
            row.worst_grade = Some(grade.to_owned());
            row.complete = Some(complete);
            row.outcome = row.own_outcome().map(str::to_owned);
            row
        };
        let stop = graded("1", "2025-01-01", None, "stop", true);
        let look = graded("2", "2025-02-01", Some("2025-05-01"), "note", false);
        let repair = graded("3", "2025-03-01", Some("2025-04-01"), "repair", false);
        let sound = graded("4", "2025-04-01", Some("2026-04-01"), "pass", true);
        let rows = [look.clone(), stop.clone(), repair.clone(), sound.clone()];
        let stands = |rows: &[Row]| latest(rows)[0].number.clone().unwrap();
        assert_eq!(stands(&rows[..3]), "1", "milder, but not complete");
        assert_eq!(stands(&rows), "4");
        // A result that is as bad or worse counts even if the visit was not complete.
        assert_eq!(
            stands(&[repair, graded("5", "2025-06-01", None, "stop", false)]),
            "5"
        );
        let s = summary(&rows[..2], &Wanted::default(), day("2025-12-01"));
        assert_eq!(
            (s.incomplete.len(), s.out_of_use.len(), s.overdue.len()),
            (1, 1, 0)
        );
        assert_eq!(stands(&[sound, look]), "4", "the later one by date");
    }

    #[test]
    fn each_circuit_counts_by_its_own_worst_grade() {
        let mut rows = [
            row("1", "a", "2025-01-01", None),
            row("1", "b", "2025-01-01", None),
        ];
        for row in &mut rows {
            row.outcome = Some("unsatisfactory".to_owned());
        }
        rows[1].worst_grade = Some("repair".to_owned());
        let s = summary(&rows, &Wanted::default(), day("2025-02-01"));
        let outcomes: Vec<(&str, usize)> = s.outcomes.into_iter().collect();
        assert_eq!(outcomes, [("satisfactory", 1), ("unsatisfactory", 1)]);
    }

    #[test]
    fn numbers_twice_and_numbers_missing_are_told() {
        let mut twin = row("2025-0007", "b", "2025-01-01", None);
        twin.sha256 = "another".to_owned();
        let mut several = row("2025-0012", "a", "2025-01-03", None);
        several.fingerprint = Some("cd".repeat(32));
        let rows = [
            row("2025-0007", "a", "2025-01-01", None),
            twin,
            row("2025-0009", "a", "2025-01-02", None),
            several,
            row("loose", "a", "2025-01-04", None),
            // The same file twice is a copy, not a number used twice.
            row("2025-0009", "a", "2025-01-02", None),
        ];
        let s = summary(&rows, &Wanted::default(), day("2025-01-05"));
        assert_eq!(
            s.same_number,
            [("2025-0007", vec!["2025-0007-b.pdf", "2025-0007-a.pdf"])]
        );
        assert_eq!(
            s.missing,
            [
                ("2025-0008".to_owned(), "2025-0008".to_owned(), 1),
                ("2025-0010".to_owned(), "2025-0011".to_owned(), 2),
            ]
        );
        assert_eq!(s.several_keys, [("Ada Ohm", 2)]);
        assert!(
            s.text().contains("2025-0010 to 2025-0011 (2)"),
            "{}",
            s.text()
        );
    }

    #[test]
    fn missing_numbers_are_written_as_the_firm_writes_its_own() {
        let missing_of = |numbers: &[&str]| -> Vec<String> {
            let rows: Vec<Row> = numbers
                .iter()
                .map(|number| row(number, "a", "2025-01-01", None))
                .collect();
            let found = missing(&rows).into_iter();
            found.map(|(a, b, n)| format!("{a} to {b} ({n})")).collect()
        };
        assert_eq!(
            missing_of(&["B-6", "B-8", "B-30"]),
            ["B-7 to B-7 (1)", "B-9 to B-29 (21)"]
        );
        assert_eq!(missing_of(&["B-06", "B-08"]), ["B-07 to B-07 (1)"]);
        assert_eq!(missing_of(&["B-098", "B-101"]), ["B-099 to B-100 (2)"]);
    }

    #[test]
    fn what_is_not_valid_counts_nowhere_else() {
        let rows = [
            row("1", "a", "2025-01-01", Some("2025-02-01")),
            Row::unreadable("b.pdf", "it was changed".to_owned()),
        ];
        let s = summary(&rows, &Wanted::default(), day("2025-01-05"));
        assert_eq!((s.certificates, s.circuits, s.not_valid.len()), (1, 1, 1));
        assert!(s.text().contains("b.pdf: it was changed"), "{}", s.text());
    }

    #[test]
    fn numbers_are_compared_within_one_firm() {
        let of = |number: &str, circuit: &str, firm: &str| Row {
            firm: Some(firm.to_owned()),
            ..row(number, circuit, "2026-01-01", Some("2026-07-01"))
        };
        let other = |row: Row| Row {
            sha256: "another".to_owned(),
            ..row
        };
        let clash = |rows: &[Row]| {
            let s = summary(rows, &Wanted::default(), day("2026-03-01"));
            (s.same_number.len(), s.missing.len())
        };
        let (ody, ohm) = ("Ody Electric", "Ohm & Daughters");
        assert_eq!(
            clash(&[of("7", "a", ody), other(of("7", "b", ohm))]),
            (0, 0)
        );
        assert_eq!(
            clash(&[of("7", "a", ody), other(of("7", "b", "ODY  Electric"))]),
            (1, 0)
        );
        // Numbers between those of two firms are not missing either.
        assert_eq!(clash(&[of("7", "a", ody), of("9", "b", ohm)]), (0, 0));
        assert_eq!(clash(&[of("7", "a", ody), of("9", "b", ody)]), (0, 1));
    }

    #[test]
    fn one_charger_under_two_spellings_of_a_site_is_pointed_out() {
        let at = |site: &str, make: &str, serial: &str| Row {
            site: Some(site.to_owned()),
            charger_make: Some(make.to_owned()),
            charger_serial: Some(serial.to_owned()),
            ..row("1", "bay", "2026-01-01", Some("2026-07-01"))
        };
        let text_of = |rows: &[Row]| summary(rows, &Wanted::default(), day("2026-03-01")).text();
        let one = [
            at("12 Maple Court", "Sample", "C-7"),
            at("12, Maple Ct", "Sample", "c-7"),
        ];
        let text = text_of(&one);
        assert!(text.contains("one charger under several sites"), "{text}");
        assert!(
            text.contains("serial number “C-7”: “12 Maple Court”, “12, Maple Ct”\n"),
            "{text}"
        );
        let two = [
            at("12 Maple Court", "Sample", "C-7"),
            at("9 Elm Row", "Other", "C-7"),
        ];
        assert!(!text_of(&two).contains("one charger"));
    }
}
