//! No sentence of advice without the finding that it comes from.

use crate::compose_common::{Case, EXAMPLES, made_up};
use warmlug::assess::{Charging, Finding};
use warmlug::compose::Speaker;
use warmlug::compose::document::{Block, Document, Row, Text};
use warmlug::quantity::Current;
use warmlug::visit::{Grade, LeftAs, LeftState};
use warmlug::vocabulary::CheckId;

/// Findings listed on the result page at most.
const MOST: usize = 6;

/// Findings that speak of a hot connection, or of one that was.
const HEAT: [CheckId; 8] = [
    CheckId::Rise,
    CheckId::LegDifference,
    CheckId::ProjectedHeat,
    CheckId::OverRating,
    CheckId::WorseThanBefore,
    CheckId::ContactResistance,
    CheckId::HotWithoutLoad,
    CheckId::Condition,
];

fn cases() -> Vec<(String, Case)> {
    let mut cases: Vec<(String, Case)> = EXAMPLES
        .iter()
        .map(|name| ((*name).to_owned(), Case::example(name)))
        .collect();
    cases.push(("made up".to_owned(), made_up::case()));
    // More findings than the first page has room for: all screws of an example had moved.
    let example = std::fs::read_to_string("examples/receptacle-aluminium/visit.yaml").unwrap();
    let moved = example.replace("found: held, left", "found: 20, left");
    assert_ne!(moved, example);
    cases.push(("every screw moved".to_owned(), Case::new(&moved, &[])));
    // The same visits with nothing found.
    for name in EXAMPLES {
        let mut clean = Case::example(name);
        clean.assessment.checks.clear();
        clean.conclude();
        cases.push((format!("{name}, nothing found"), clean));
    }
    cases
}

/// Findings that ask for something.
fn asking(case: &Case) -> Vec<&Finding> {
    case.assessment
        .findings
        .iter()
        .filter(|f| f.grade > Grade::Pass)
        .collect()
}

/// Blocks from the heading with an anchor up to the next heading of its level or above.
fn section<'d>(document: &'d Document, name: &str) -> &'d [Block] {
    let level_at = |b: &Block| match b {
        Block::Heading { level, .. } => Some(*level),
        _ => None,
    };
    let start = document
        .body
        .iter()
        .position(|b| matches!(b, Block::Heading { anchor: Some(a), .. } if a == name))
        .unwrap_or_else(|| panic!("no section {name}"));
    let level = level_at(&document.body[start]).unwrap();
    let rest = &document.body[start + 1..];
    let end = rest
        .iter()
        .position(|b| level_at(b).is_some_and(|l| l <= level))
        .unwrap_or(rest.len());
    &rest[..end]
}

/// The rows of the table of findings, if there is one.
fn findings(document: &Document) -> Option<&Vec<Row>> {
    section(document, "findings")
        .iter()
        .find_map(|block| match block {
            Block::Table(table) if table.columns.len() == 6 => Some(&table.rows),
            _ => None,
        })
}

#[test]
fn every_action_is_beside_its_own_finding() {
    let (mut seen, mut references) = (0, 0);
    for (name, case) in cases() {
        let speaker = case.speaker();
        let document = case.certificate();
        let actions: Vec<(String, String)> = findings(&document)
            .into_iter()
            .flatten()
            .filter(|row| row.cells.len() > 1)
            .map(|row| (row.cells[2].characters(), row.cells[4].characters()))
            .filter(|(_, action)| action != "–")
            .collect();
        let asking = asking(&case);
        assert_eq!(actions.len(), asking.len(), "{name}");
        for ((at, action), finding) in actions.iter().zip(&asking) {
            let said = speaker.diagnosis_referring(finding);
            // An action that an earlier finding asks for as well is there: each row names its own
            // connection.
            let referred = action
                .strip_prefix("As for no. ")
                .and_then(|number| number.strip_suffix('.')?.parse::<usize>().ok());
            match referred {
                None => assert_eq!(*action, said.action, "{name}"),
                Some(number) => {
                    let other = asking[number - 1];
                    let without = |finding: &Finding| {
                        let text = speaker.diagnosis_referring(finding).action;
                        let ids = finding.connections.iter();
                        ids.fold(text, |text, id| text.replace(id, ""))
                    };
                    assert_eq!(without(other), without(finding), "{name}");
                    references += 1;
                }
            }
            assert!(at.starts_with(&said.name), "{name}: {at}");
            assert!(at.contains(&speaker.found_at(finding)), "{name}: {at}");
            seen += 1;
        }
    }
    assert!(seen > 15, "{seen} actions");
    assert!(references > 0);
}

#[test]
fn what_the_first_page_says_in_a_sentence_is_not_said_again() {
    let mut sentences = 0;
    for (name, case) in cases() {
        let document = case.certificate();
        let first = document
            .body
            .iter()
            .take_while(|b| !matches!(b, Block::Seal(_)));
        let texts = |block: &Block| -> Vec<String> {
            match block {
                Block::Paragraph(text) | Block::Small(text) => vec![text.characters()],
                Block::List { items, .. } => items.iter().map(Text::characters).collect(),
                Block::Facts(facts) => facts.iter().map(|(_, t)| t.characters()).collect(),
                Block::Verdict { text, .. } => text.iter().map(Text::characters).collect(),
                Block::Table(table) => {
                    let cells = table.rows.iter().flat_map(|row| &row.cells);
                    cells.map(Text::characters).collect()
                }
                _ => Vec::new(),
            }
        };
        // The reasons that an inspector gives are quoted on both, in their own words.
        // Names are no sentences either.
        let own = case.visit.judgement.iter().map(|j| j.because.as_str());
        let own: Vec<&str> = own
            .chain(case.visit.circuits.iter().map(|c| c.title()))
            .collect();
        let said: Vec<String> = first.flat_map(texts).collect();
        let said: String = said.join("\n");
        let again: Vec<String> = section(&document, "findings")
            .iter()
            .flat_map(texts)
            .collect();
        let again = again.join("\n");
        for sentence in said.split(['\n', '.']).map(str::trim) {
            // A name, a number or a date alone is no sentence.
            if sentence.split_whitespace().count() < 6
                || sentence.starts_with("Before the circuit")
                || own.iter().any(|words| words.contains(sentence))
            {
                continue;
            }
            sentences += 1;
            assert!(
                !again.contains(sentence),
                "{name}: “{sentence}” twice\n{again}"
            );
        }
    }
    assert!(sentences > 30, "{sentences}");
}

#[test]
fn sentences_that_the_first_page_has_no_room_for_are_with_their_findings() {
    let mut rest = 0;
    for (name, case) in cases() {
        let document = case.certificate();
        let said: Vec<String> = findings(&document)
            .into_iter()
            .flatten()
            .flat_map(|row| row.cells.iter().map(Text::characters))
            .collect();
        let page: Vec<String> = document
            .body
            .iter()
            .take_while(|b| !matches!(b, Block::Seal(_)))
            .flat_map(|block| match block {
                Block::List { items, .. } => items.clone(),
                Block::Table(table) => table.rows.iter().flat_map(|r| r.cells.clone()).collect(),
                _ => Vec::new(),
            })
            .map(|text| text.characters())
            .collect();
        for finding in asking(&case) {
            let text = case.speaker().diagnosis_referring(finding).text;
            let on = |texts: &[String]| texts.iter().any(|t| t.contains(&text));
            assert_ne!(on(&page), on(&said), "{name}: {text}");
            rest += usize::from(on(&said));
        }
    }
    assert!(rest > 0);
}

#[test]
fn sources_are_listed_once_and_named_by_their_numbers() {
    for (name, case) in cases() {
        let document = case.certificate();
        let mut marks = std::collections::BTreeSet::new();
        for block in &document.body {
            let texts: Vec<&Text> = match block {
                Block::Table(table) => table.rows.iter().flat_map(|row| &row.cells).collect(),
                Block::Small(text) => vec![text],
                _ => continue,
            };
            for text in texts {
                let text = text.characters();
                let numbers = text.split('[').skip(1).filter_map(|t| t.split(']').next());
                marks.extend(numbers.filter_map(|n| n.parse::<usize>().ok()));
            }
        }
        let all = section(&document, "sources").iter().find_map(|b| match b {
            Block::Paragraph(text) => Some(text),
            _ => None,
        });
        let all = all.unwrap();
        // One after the other, each behind its number in the heavy weight.
        let mut listed: Vec<String> = Vec::new();
        for span in &all.0 {
            match listed.last_mut() {
                _ if span.strong => listed.push(String::new()),
                Some(source) => source.push_str(&span.text),
                None => panic!("{name}: {}", span.text),
            }
        }
        let listed: Vec<String> = listed
            .iter()
            .map(|source| source.strip_suffix("; ").unwrap_or(source).to_owned())
            .collect();
        assert_eq!(marks, (1..=listed.len()).collect(), "{name}: {listed:?}");
        let mut once = listed.clone();
        once.sort();
        once.dedup();
        assert_eq!(once.len(), listed.len(), "{name}: {listed:?}");
        // The mark of a check leads to the source of its limit.
        for finding in asking(&case) {
            for check in finding.checks(&case.assessment.checks) {
                assert!(
                    check.source.is_empty() || listed.contains(&check.source),
                    "{name}: {}",
                    check.source
                );
            }
        }
    }
}

#[test]
fn the_result_page_lists_the_findings_behind_its_advice() {
    for (name, case) in cases() {
        let speaker = case.speaker();
        let document = case.certificate();
        let asking = asking(&case);
        let lists: Vec<&Vec<Text>> = document
            .body
            .iter()
            .take_while(|b| !matches!(b, Block::Seal(_)))
            .filter_map(|b| match b {
                Block::List { items, .. } => Some(items),
                _ => None,
            })
            .collect();
        if asking.is_empty() {
            // What was not done may be listed, and nothing else.
            assert!(
                lists.len() <= usize::from(!case.assessment.complete),
                "{name}: {lists:?}"
            );
            continue;
        }
        let items = lists[0];
        let more = usize::from(asking.len() > MOST);
        assert_eq!(items.len(), asking.len().min(MOST) + more, "{name}");
        for (item, finding) in items.iter().zip(&asking).take(MOST) {
            let said = item.characters();
            let text = speaker.diagnosis_referring(finding).text;
            let mut end = format!("{text} {}.", speaker.deadline(finding));
            if let Some(why) = speaker.raised(finding) {
                end = format!("{end} {why}");
            }
            if let Some(judged) = speaker.judged_milder(finding) {
                end = format!("{end} {judged}");
            }
            assert!(said.ends_with(&end), "{name}: “{said}” for “{end}”");
        }
    }
}

#[test]
fn steps_for_a_hot_connection_need_a_finding_on_heat() {
    for (name, case) in cases() {
        let document = case.certificate();
        let steps = document
            .body
            .iter()
            .any(|b| matches!(b, Block::Heading { anchor: Some(a), .. } if a == "hot-connection"));
        let hot = asking(&case)
            .iter()
            .flat_map(|f| f.checks(&case.assessment.checks))
            .any(|c| HEAT.contains(&c.id));
        assert!(hot || !steps, "{name}: steps without a hot connection");
    }
}

#[test]
fn a_circuit_left_locked_says_who_may_switch_it_on_again() {
    let mut case = Case::example("townhouse-first");
    case.visit.circuits[0].left_as = Some(LeftAs {
        state: LeftState::OffAndLocked,
        current: None,
        key: None,
        note: None,
    });
    let said = |case: &Case, charging| {
        let speaker = Speaker::new(&case.visit, &case.assessment, case.rules, case.wording);
        speaker.left(&case.visit.circuits[0], charging).unwrap()
    };
    let who = "only by the person who locked it";
    case.assessment.complete = true;
    assert!(said(&case, Charging::AsUsual).contains(who));
    assert!(said(&case, Charging::AtMost(Current::from_ampere(24.0))).contains(who));
    // Not where nobody may.
    assert!(!said(&case, Charging::NotAtAll).contains(who));
    case.assessment.complete = false;
    assert!(!said(&case, Charging::AsUsual).contains(who));
    // Nor where it is not locked.
    case.assessment.complete = true;
    case.visit.circuits[0].left_as.as_mut().unwrap().state = LeftState::InUse;
    assert!(!said(&case, Charging::AsUsual).contains(who));
}
