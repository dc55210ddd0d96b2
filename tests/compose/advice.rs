//! No sentence of advice without the finding that it comes from.

use crate::compose_common::{Case, EXAMPLES, made_up};
use warmlug::assess::{Charging, Finding};
use warmlug::compose::Speaker;
use warmlug::compose::document::{Block, Document, Text};
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

#[test]
fn every_action_stands_below_its_own_finding() {
    let mut seen = 0;
    for (name, case) in cases() {
        let speaker = case.speaker();
        let document = case.certificate();
        let mut head = "";
        let mut told = String::new();
        for block in section(&document, "findings") {
            match block {
                Block::Heading { text, .. } => {
                    head = text;
                    told.clear();
                }
                Block::Paragraph(text) => told.push_str(&text.characters()),
                Block::Facts(facts) => {
                    for (_, action) in facts.iter().filter(|(fact, _)| fact == "Action") {
                        seen += 1;
                        let action = action.characters();
                        let own = asking(&case).iter().any(|f| {
                            let said = speaker.diagnosis_referring(f);
                            head.contains(&said.name)
                                && told.contains(&said.text)
                                && action == said.action
                        });
                        assert!(own, "{name}: “{action}” below “{head}”: {told}");
                    }
                }
                _ => {}
            }
        }
    }
    assert!(seen > 15, "{seen} actions");
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
