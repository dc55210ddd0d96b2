//! Writes filled-in values back into a visit file: each section of a circuit is written as a whole,
//! after the existing ones; comments and the order of everything else are preserved.

use super::blanks;
use crate::compose::Wording;
use crate::compose::worksheet::{REPAIRS, file_word};
use crate::quantity::Kind;
use crate::seal::plain::shown;
use crate::visit::{self, Circuit, CircuitText, Visit, write_quoted, write_text};
use std::collections::{BTreeMap, BTreeSet};

/// Values by the names of the worksheet's fields.
pub type Values = BTreeMap<String, String>;

/// Why values cannot be filled in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FillError {
    /// A field that belongs to another visit.
    #[error(
        "the sheet has a field `{}`, which this visit does not have; is it the sheet of another \
         visit?",
        shown(.0)
    )]
    Unknown(String),
    /// Nothing was filled in.
    #[error("no box of the sheet is filled in")]
    Nothing,
    /// The file already has the section with different contents.
    #[error(
        "line {line}: circuit {circuit} already has `{section}:`, and the sheet has different \
         values; compare them, then delete it from the file, or replace it with --replace"
    )]
    Already {
        /// Line of the section, starting at 1.
        line: usize,
        /// Circuit id.
        circuit: String,
        /// Key.
        section: &'static str,
    },
    /// The circuits are written in flow style (braces).
    #[error(
        "the circuits of this file are written in braces; write each on lines of its own, then fill in"
    )]
    Braces,
}

/// One section of one circuit, as lines relative to the circuit's indentation.
struct Section {
    key: &'static str,
    lines: Vec<String>,
}

/// The text of the file with the values filled in.
///
/// # Errors
/// See [`FillError`]; errors in the values themselves are reported when the text is read.
pub fn fill(
    text: &str,
    visit: &Visit,
    values: &Values,
    replace: bool,
) -> Result<String, FillError> {
    let filled: Values = values
        .iter()
        .map(|(name, value)| (name.clone(), value.trim().to_owned()))
        .filter(|(_, value)| !value.is_empty())
        .collect();
    if filled.is_empty() {
        return Err(FillError::Nothing);
    }
    let mut taken = BTreeSet::new();
    let sections: Vec<Vec<Section>> = visit
        .circuits
        .iter()
        .map(|circuit| sections(visit, circuit, &filled, &mut taken))
        .collect();
    if let Some(unknown) = filled.keys().find(|name| !taken.contains(*name)) {
        return Err(FillError::Unknown(unknown.clone()));
    }
    let places = visit::circuits_text(text)
        .filter(|places| places.len() == visit.circuits.len())
        .ok_or(FillError::Braces)?;

    // From the end to the beginning, so that offsets stay valid.
    let mut out = text.to_owned();
    for (place, sections) in places.iter().zip(&sections).rev() {
        let mut behind = String::new();
        let mut over: Vec<(std::ops::Range<usize>, String)> = Vec::new();
        for section in sections {
            let written = written(section, place.indent);
            match place.keys.iter().find(|(key, _)| key == section.key) {
                None => behind.push_str(&written),
                Some((_, lines)) => {
                    if says_the_same(text, lines, &written, visit, place) {
                        continue;
                    }
                    if !replace {
                        return Err(FillError::Already {
                            line: 1 + text[..lines.start].matches('\n').count(),
                            circuit: place.id.clone(),
                            section: section.key,
                        });
                    }
                    over.push((lines.clone(), written));
                }
            }
        }
        if !behind.is_empty() {
            if !out[..place.end].ends_with('\n') {
                behind.insert(0, '\n');
            }
            out.insert_str(place.end, &behind);
        }
        over.sort_by_key(|(lines, _)| std::cmp::Reverse(lines.start));
        for (lines, written) in over {
            out.replace_range(lines, &written);
        }
    }
    Ok(out)
}

/// A section as text with the given indentation.
fn written(section: &Section, indent: usize) -> String {
    let mut out = format!("{:indent$}{}:\n", "", section.key);
    for line in &section.lines {
        out.push_str(&format!("{:indent$}  {line}\n", ""));
    }
    out
}

/// Whether replacing the file's own section with this one results in the same visit.
fn says_the_same(
    text: &str,
    lines: &std::ops::Range<usize>,
    written: &str,
    visit: &Visit,
    place: &CircuitText,
) -> bool {
    let mut other = text.to_owned();
    other.replace_range(lines.clone(), written);
    visit::read(&other, &place.id, &crate::record::accepted::Accepted)
        .is_ok_and(|read| read == *visit)
}

/// The sections of a circuit for which the sheet has values.
fn sections(
    visit: &Visit,
    circuit: &Circuit,
    values: &Values,
    taken: &mut BTreeSet<String>,
) -> Vec<Section> {
    let mut get = |name: String| {
        let name = format!("{}/{name}", circuit.id);
        let value = values.get(&name).cloned();
        if value.is_some() {
            taken.insert(name);
        }
        value
    };
    // A sheet in another language uses its own words for those of the file.
    let wording = Wording::built_in(visit.print.main_language()).ok();
    let in_file = |typed: &str| -> String {
        wording
            .and_then(|w| file_word(w, typed))
            .map_or_else(|| typed.to_owned(), str::to_owned)
    };
    let mark = wording.map_or('.', Wording::decimal_mark);
    let with_unit = |value: &str, unit: &str| with_unit(&pointed(value, mark), unit);
    let unit = |kind: Kind| visit.print.units.unit(kind).symbol();
    let id = |kinds| blanks::instrument(visit, kinds).map(|i| i.id.clone());
    let mut out = Vec::new();
    let mut section = |key: &'static str, lines: Vec<String>| {
        if !lines.is_empty() {
            out.push(Section { key, lines });
        }
    };

    // Before the temperatures, after them, and after those that prove a repair.
    let mut proofs: Vec<Vec<String>> = Vec::new();
    for (group, when) in [
        ("isolation", "before"),
        ("isolation_after", "after"),
        ("isolation_last", "after"),
    ] {
        let mut lines = Vec::new();
        if let Some(v) = get(format!("{group}/proved_before")) {
            lines.push(format!("proved_before: {}", with_unit(&v, "V")));
        }
        let dead: Vec<String> = blanks::pairs(circuit)
            .into_iter()
            .filter_map(|pair| {
                let v = get(format!("{group}/dead/{pair}"))?;
                Some(format!("  {pair}: {}", with_unit(&v, "V")))
            })
            .collect();
        if !dead.is_empty() {
            lines.push("dead:".to_owned());
            lines.extend(dead);
        }
        if let Some(v) = get(format!("{group}/proved_after")) {
            lines.push(format!("proved_after: {}", with_unit(&v, "V")));
        }
        if let Some(v) = get(format!("{group}/locked")) {
            lines.push(format!("locked: {}", flag(&in_file(&v))));
        }
        if lines.is_empty() {
            continue;
        }
        if let Some(tester) = id(&blanks::TESTERS) {
            lines.insert(0, format!("tester: {tester}"));
        }
        if group != "isolation" {
            lines.push(format!("when: {when}"));
            if let [first] = proofs.as_mut_slice()
                && !first.iter().any(|l| l.starts_with("when:"))
            {
                first.push("when: before".to_owned());
            }
        }
        proofs.push(lines);
    }
    let listed = proofs.len() > 1 || proofs.iter().flatten().any(|l| l.starts_with("when:"));
    section(
        "isolation",
        match listed {
            true => proofs.into_iter().flat_map(item).collect(),
            false => proofs.into_iter().flatten().collect(),
        },
    );

    let mut lines = Vec::new();
    for place in &circuit.places {
        let seen = get(format!("looked_at/{}/seen", place.id));
        let note = get(format!("looked_at/{}/note", place.id));
        if seen.is_none() && note.is_none() {
            continue;
        }
        lines.push(format!("- place: {}", place.id));
        if let Some(seen) = seen {
            let words: Vec<String> = seen
                .split([',', ';'])
                .map(|w| plain(&in_file(w.trim())))
                .collect();
            lines.push(match words.as_slice() {
                [one] => format!("  seen: {one}"),
                _ => format!("  seen: [{}]", words.join(", ")),
            });
        }
        if let Some(note) = note {
            lines.push(format!("  note: {}", quoted(&note)));
        }
    }
    section("looked_at", lines);

    let mut lines = Vec::new();
    let tool = id(&blanks::TORQUE_TOOLS);
    for (_, connection) in circuit.connections() {
        let found = get(format!("torque/{}/found", connection.id));
        let left = get(format!("torque/{}/left", connection.id));
        let confirmed = get(format!("torque/{}/confirmed", connection.id));
        if found.is_none() && left.is_none() {
            continue;
        }
        lines.push(format!("- connection: {}", connection.id));
        if let Some(found) = found {
            lines.push(format!(
                "  found: {}",
                with_unit(&in_file(&found), unit(Kind::Torque))
            ));
        }
        if let Some(left) = left {
            lines.push(format!("  left: {}", with_unit(&left, unit(Kind::Torque))));
        }
        if let Some(tool) = &tool {
            lines.push(format!("  with: {tool}"));
        }
        if let Some(when) = get(format!("torque/{}/when", connection.id)) {
            lines.push(format!("  when: {}", clock_or_word(&in_file(&when))));
        }
        if let Some(v) = confirmed {
            lines.push(format!("  confirmed: {}", flag(&in_file(&v))));
        }
    }
    section("torque", lines);

    let mut lines = Vec::new();
    for place in &circuit.places {
        let why = get(format!("not_read/{}/why", place.id));
        let note = get(format!("not_read/{}/note", place.id));
        if why.is_none() && note.is_none() {
            continue;
        }
        lines.push(format!("- place: {}", place.id));
        if let Some(why) = why {
            lines.push(format!("  why: {}", plain(&in_file(&why))));
        }
        if let Some(note) = note {
            lines.push(format!("  note: {}", quoted(&note)));
        }
    }
    section("not_read", lines);

    let degrees = unit(Kind::Temperature);
    for series in ["heat", "heat_after"] {
        let mut lines = Vec::new();
        if let Some(began) = get(format!("{series}/charging_from")) {
            lines.push(format!("charging_from: {}", quoted(&began)));
        }
        let mut rounds = Vec::new();
        for n in 1..=blanks::ROUNDS.len() {
            let head = [
                ("at", ""),
                ("air", degrees),
                ("current", "A"),
                ("voltage", "V"),
            ]
            .map(|(key, unit)| {
                get(format!("{series}/{n}/{key}")).map(|v| {
                    let value = if unit.is_empty() {
                        quoted(&v)
                    } else {
                        with_unit(&v, unit)
                    };
                    format!("{key}: {value}")
                })
            });
            let confirmed = get(format!("{series}/{n}/confirmed"));
            let mut readings = Vec::new();
            for (_, c) in circuit.connections() {
                let value = get(format!("{series}/{n}/{}", c.id));
                let confirmed = get(format!("{series}/{n}/{}/confirmed", c.id));
                let Some(value) = value.map(|v| with_unit(&v, degrees)) else {
                    continue;
                };
                match confirmed.map(|v| flag(&in_file(&v))) {
                    None => readings.push(format!("{}: {value}", c.id)),
                    Some(yes) => readings.extend([
                        format!("{}:", c.id),
                        format!("  temperature: {value}"),
                        format!("  confirmed: {yes}"),
                    ]),
                }
            }
            let mut entries: Vec<String> = head.into_iter().flatten().collect();
            if let Some(v) = confirmed.filter(|_| !entries.is_empty()) {
                entries.push(format!("confirmed: {}", flag(&in_file(&v))));
            }
            if !readings.is_empty() {
                // A round before charging is one without load, whether or not that was written down.
                if n == 1 && !entries.iter().any(|l| l.starts_with("current:")) {
                    entries.push("current: 0 A".to_owned());
                }
                entries.push("readings:".to_owned());
                entries.extend(readings.into_iter().map(|r| format!("  {r}")));
            }
            for (i, line) in entries.into_iter().enumerate() {
                rounds.push(format!("  {} {line}", if i == 0 { "-" } else { " " }));
            }
        }
        if !rounds.is_empty() {
            lines.push("rounds:".to_owned());
            lines.extend(rounds);
        }
        if let (false, Some(with)) = (lines.is_empty(), id(&blanks::THERMOMETERS)) {
            lines.insert(0, format!("with: {with}"));
        }
        section(series, lines);
    }

    let mut lines = Vec::new();
    for n in 1..=REPAIRS {
        let mut entries = Vec::new();
        for (key, unit) in [
            ("connection", ""),
            ("done", ""),
            ("part", ""),
            ("at", ""),
            ("cooled_to", degrees),
            ("with", ""),
        ] {
            let Some(v) = get(format!("repairs/{n}/{key}")) else {
                continue;
            };
            let value = match key {
                "at" | "part" => quoted(&v),
                "done" => plain(&in_file(&v)),
                _ => with_unit(&v, unit),
            };
            entries.push(format!("{key}: {value}"));
        }
        lines.extend(item(entries));
    }
    section("repairs", lines);

    let mut lines = Vec::new();
    for (key, unit) in [("state", ""), ("current", "A"), ("key", ""), ("note", "")] {
        let Some(v) = get(format!("left_as/{key}")) else {
            continue;
        };
        let value = match key {
            "state" => plain(&in_file(&v)),
            "current" => with_unit(&v, unit),
            _ => quoted(&v),
        };
        lines.push(format!("{key}: {value}"));
    }
    section("left_as", lines);
    out
}

/// The lines of a map as one item of a list.
fn item(lines: Vec<String>) -> Vec<String> {
    let mark = |(i, line)| format!("{} {line}", if i == 0 { "-" } else { " " });
    lines.into_iter().enumerate().map(mark).collect()
}

/// A word, or a time in quotes: 11:30 without them is another number in some readers of YAML.
fn clock_or_word(text: &str) -> String {
    if text.starts_with(|c: char| c.is_ascii_digit()) {
        quoted(text)
    } else {
        plain(text)
    }
}

/// A value in which the language's decimal mark between digits is replaced with the file's decimal
/// point.
fn pointed(value: &str, mark: char) -> String {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    match value.split_once(mark) {
        Some((whole, rest))
            if mark != '.'
                && digit(whole.chars().next_back())
                && digit(rest.chars().next())
                && !value.contains('.')
                && !rest.contains(mark) =>
        {
            format!("{whole}.{rest}")
        }
        _ => value.to_owned(),
    }
}

/// A value; a bare number gets the unit printed above its box.
fn with_unit(value: &str, unit: &str) -> String {
    let number = value.replace('\u{2212}', "-");
    if number.parse::<f64>().is_ok_and(f64::is_finite) {
        return plain(&format!("{number} {unit}"));
    }
    plain(value)
}

/// A choice of yes or no.
fn flag(value: &str) -> String {
    match value.to_lowercase().as_str() {
        "y" | "yes" | "x" | "true" | "on" | "✓" => "yes".to_owned(),
        "n" | "no" | "false" | "off" => "no".to_owned(),
        _ => quoted(value),
    }
}

/// A text as a YAML value, quoted unless it is certain to be read unchanged without quotes.
fn plain(text: &str) -> String {
    let text = one_line(text);
    // A negative number is followed by its unit.
    let negative = text.strip_prefix('-').is_some_and(|rest| {
        rest.starts_with(|c: char| c.is_ascii_digit()) && !rest.contains(['#', ':'])
    });
    if negative { text } else { write_text(&text) }
}

fn quoted(text: &str) -> String {
    write_quoted(&one_line(text))
}

fn one_line(text: &str) -> String {
    text.replace(['\n', '\r', '\t'], " ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    const STARTER: &str = include_str!("../../templates/visits/starter.yaml");
    use crate::record::accepted::Accepted;

    fn starter() -> (String, Visit) {
        let text = STARTER
            .replace("{number}", "2026-0001")
            .replace("{date}", "2026-11-02");
        let visit = visit::read(&text, "visit.yaml", &Accepted).unwrap();
        (text, visit)
    }

    fn values(pairs: &[(&str, &str)]) -> Values {
        pairs
            .iter()
            .map(|(k, v)| (format!("bay-1/{k}"), (*v).to_owned()))
            .collect()
    }

    const SHEET: [(&str, &str); 15] = [
        ("isolation/proved_before", "241"),
        ("isolation/dead/L1-L2", "0"),
        ("isolation/proved_after", "241 V"),
        ("isolation/locked", "x"),
        ("looked_at/breaker/seen", "dust, corroded"),
        ("looked_at/breaker/note", "said \"ouch\": green #3"),
        ("torque/breaker-L1/found", "held"),
        ("torque/breaker-L1/left", "45"),
        ("heat/charging_from", "9:50"),
        ("heat/1/at", "9:40"),
        ("heat/1/air", "−2"),
        ("heat/1/breaker-L1", "-1.5"),
        ("heat/2/at", "10:05"),
        ("heat/2/current", "40"),
        ("heat/2/breaker-L1", "35 C"),
    ];

    #[test]
    fn what_was_looked_at_again_is_confirmed_in_the_file() {
        let (text, visit) = starter();
        let typed = [
            ("torque/breaker-L1/found", "held"),
            ("torque/breaker-L1/left", "45"),
            ("torque/breaker-L1/confirmed", "yes"),
            ("heat/2/at", "10:05"),
            ("heat/2/air", "-70"),
            ("heat/2/current", "40"),
            ("heat/2/confirmed", "yes"),
            ("heat/2/breaker-L1", "600"),
            ("heat/2/breaker-L1/confirmed", "yes"),
            // The mark of a value that was deleted is of no use.
            ("heat/2/breaker-L2/confirmed", "yes"),
        ];
        let out = fill(&text, &visit, &values(&typed), false).unwrap();
        let read =
            visit::read(&out, "visit.yaml", &Accepted).unwrap_or_else(|e| panic!("{e}\n{out}"));
        let circuit = &read.circuits[0];
        assert!(circuit.torque[0].confirmed);
        let round = &circuit.heat.as_ref().unwrap().rounds[0];
        assert_eq!(round.readings.len(), 1, "{out}");
        assert!(round.readings[0].1.confirmed);
        let without = fill(&text, &visit, &values(&typed[..6]), false).unwrap();
        assert!(!without.contains("heat/2") && visit::read(&without, "v", &Accepted).is_err());
    }

    #[test]
    fn values_are_filled_in_and_everything_else_stays() {
        let (text, visit) = starter();
        let out = fill(&text, &visit, &values(&SHEET), false).unwrap();
        let read =
            visit::read(&out, "visit.yaml", &Accepted).unwrap_or_else(|e| panic!("{e}\n{out}"));
        let circuit = &read.circuits[0];
        let isolation = circuit.isolation.first().unwrap();
        assert_eq!(isolation.locked, Some(true));
        assert_eq!(isolation.tester.as_deref(), Some("tester"));
        assert_eq!(circuit.looked_at[0].seen.len(), 2);
        assert_eq!(
            circuit.looked_at[0].note.as_deref(),
            Some("said \"ouch\": green #3")
        );
        let heat = circuit.heat.as_ref().unwrap();
        assert_eq!(heat.rounds.len(), 2);
        assert!((heat.rounds[0].readings[0].1.temperatures[0].fahrenheit() + 1.5).abs() < 1e-9);
        assert!((heat.rounds[1].readings[0].1.temperatures[0].celsius() - 35.0).abs() < 1e-9);
        // Every original line is still present, in the same order.
        let mut lines = out.lines();
        for line in text.lines() {
            assert!(lines.any(|l| l == line), "{line}\n{out}");
        }
    }

    #[test]
    fn a_sheet_in_another_language_is_filled_in_with_its_words_and_marks() {
        let (text, _) = starter();
        for (language, words) in [
            ("de", ["sauber, Staub", "gehalten", "ja", "Bewegt"]),
            ("fr", ["propre ; poussière", "tenu", "oui", "bougé"]),
            ("es", ["limpio; polvo", "se mantuvo", "sí", "se movió"]),
        ] {
            let text = text.replace("language: en", &format!("language: {language}"));
            let visit = visit::read(&text, "visit.yaml", &Accepted).unwrap();
            let sheet = values(&[
                ("isolation/proved_before", "240,5"),
                ("isolation/locked", words[2]),
                ("looked_at/breaker/seen", words[0]),
                ("torque/breaker-L1/found", words[1]),
                ("torque/breaker-L2/found", words[3]),
                ("torque/breaker-L2/left", "45,5 in·lb"),
                ("heat/1/at", "9:40"),
                ("heat/1/breaker-L1", "27,8 °C"),
            ]);
            let out = fill(&text, &visit, &sheet, false).unwrap();
            let read =
                visit::read(&out, "visit.yaml", &Accepted).unwrap_or_else(|e| panic!("{e}\n{out}"));
            let circuit = &read.circuits[0];
            let isolation = circuit.isolation.first().unwrap();
            assert_eq!(isolation.locked, Some(true), "{language}");
            assert!((isolation.proved_before.unwrap().volt() - 240.5).abs() < 1e-9);
            use crate::visit::{Condition, TorqueFound};
            assert_eq!(
                circuit.looked_at[0].seen,
                [Condition::Clean, Condition::Dust],
                "{language}"
            );
            assert_eq!(circuit.torque[0].found, TorqueFound::Held, "{language}");
            assert_eq!(circuit.torque[1].found, TorqueFound::Moved, "{language}");
            let heat = circuit.heat.as_ref().unwrap();
            let reading = &heat.rounds[0].readings[0].1;
            assert!((reading.temperatures[0].celsius() - 27.8).abs() < 1e-9);
        }
        // In English a comma is not a decimal mark.
        assert_eq!(pointed("27,8", '.'), "27,8");
        assert_eq!(pointed("1.234,5", ','), "1.234,5");
    }

    #[test]
    fn a_sheet_filled_in_again_is_the_same_or_refused() {
        let (text, visit) = starter();
        let sheet = values(&SHEET);
        let once = fill(&text, &visit, &sheet, false).unwrap();
        let read = visit::read(&once, "visit.yaml", &Accepted).unwrap();
        assert_eq!(fill(&once, &read, &sheet, false).unwrap(), once);
        let mut more = sheet.clone();
        more.insert("bay-1/torque/breaker-L2/found".into(), "moved".into());
        let Err(FillError::Already { section, line, .. }) = fill(&once, &read, &more, false) else {
            panic!("refused");
        };
        assert_eq!(section, "torque");
        assert_eq!(once.lines().nth(line - 1), Some("    torque:"));
        let replaced = fill(&once, &read, &more, true).unwrap();
        let again = visit::read(&replaced, "visit.yaml", &Accepted).unwrap();
        assert_eq!(again.circuits[0].torque.len(), 2);
        assert_eq!(replaced.matches("    torque:\n").count(), 1, "{replaced}");
    }

    #[test]
    fn the_words_of_each_language_come_back_as_those_of_the_file() {
        for (language, words) in [
            (
                "de",
                [
                    "nach",
                    "neu hergestellt",
                    "beim Laden geschlossen",
                    "aus und gesichert",
                ],
            ),
            (
                "fr",
                ["après", "refait", "fermé pendant la recharge", "consigné"],
            ),
            (
                "es",
                [
                    "después",
                    "rehecho",
                    "cerrado durante la recarga",
                    "desconectado y bloqueado",
                ],
            ),
        ] {
            let (text, _) = starter();
            let text = text.replace("language: en", &format!("language: {language}"));
            let visit = visit::read(&text, "visit.yaml", &Accepted).unwrap();
            let [when, done, why, left] = words;
            let sheet = values(&[
                ("torque/breaker-L1/found", "45"),
                ("torque/breaker-L1/when", when),
                ("not_read/charger/why", why),
                ("repairs/1/connection", "breaker-L1"),
                ("repairs/1/done", done),
                ("repairs/1/at", "12:10"),
                ("left_as/state", left),
            ]);
            let out = fill(&text, &visit, &sheet, false).unwrap();
            for told in [
                "when: after",
                "done: remade",
                "why: closed-while-charging",
                "state: off-and-locked",
            ] {
                assert!(out.contains(told), "{language}: {told}\n{out}");
            }
            visit::read(&out, "visit.yaml", &Accepted).unwrap_or_else(|e| panic!("{e}\n{out}"));
        }
    }

    #[test]
    fn a_sheet_of_another_visit_is_refused() {
        let (text, visit) = starter();
        let other = values(&[("torque/stab-L1/found", "held")]);
        assert_eq!(
            fill(&text, &visit, &other, false),
            Err(FillError::Unknown("bay-1/torque/stab-L1/found".into()))
        );
        let empty = values(&[("torque/breaker-L1/found", "  ")]);
        assert_eq!(fill(&text, &visit, &empty, false), Err(FillError::Nothing));
    }
}
