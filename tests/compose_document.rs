//! The certificate as a tree: what stands on it, for whom, and what it must never say.

#![allow(clippy::unwrap_used, clippy::panic)]

mod compose_common;

use compose_common::{Case, EXAMPLES, made_up, readable, seal, time, words};
use std::collections::BTreeSet;
use warmlug::assess::Outcome;
use warmlug::compose::tree::{Block, Document, Signal};
use warmlug::compose::{ComposeError, Images, Inputs, Wording, certificate, gaps};
use warmlug::visit::{Grade, Units};

fn cases() -> impl Iterator<Item = (&'static str, Case)> {
    EXAMPLES
        .into_iter()
        .map(|name| (name, Case::example(name)))
        .chain([("made up", made_up::case())])
}

#[test]
fn a_periodic_visit_in_us_units() {
    insta::assert_snapshot!(readable(&made_up::case().certificate()));
}

#[test]
fn the_same_visit_as_a_draft_in_si_units() {
    let case = made_up::case().in_si();
    let draft = certificate(Inputs {
        visit: &case.visit,
        assessment: &case.assessment,
        rules: case.rules,
        wording: case.wording,
        images: case.images(),
        seal: None,
        draft: true,
        created: time(),
        source: case.source.as_bytes(),
    })
    .unwrap();
    insta::assert_snapshot!(readable(&draft));
}

#[test]
fn everything_that_the_engine_says_of_the_examples_has_words() {
    for (name, case) in cases() {
        assert_eq!(gaps(&case.speaker()), BTreeSet::new(), "{name}");
    }
}

#[test]
fn a_finding_without_words_still_gets_a_true_sentence_and_is_named() {
    let mut case = made_up::case();
    case.assessment.findings = vec![
        warmlug::assess::Finding {
            value: Some(12.0),
            limit: Some(10.0),
            unit: "K",
            ..made_up::finding("of-tomorrow", Grade::Repair)
        },
        // Known, but without the legs that its sentence names.
        made_up::finding("leg-difference", Grade::Watch),
    ];
    let speaker = case.speaker();
    let sentence = speaker.finding(&case.assessment.findings[0]);
    assert_eq!(
        sentence.text,
        "Breaker terminals, Bay 1: the check “of-tomorrow” found 22\u{a0}°F against a limit of \
         18\u{a0}°F."
    );
    assert!(sentence.action.starts_with("Have it repaired"));
    assert_eq!(
        gaps(&speaker).into_iter().collect::<Vec<_>>(),
        [
            "finding leg-difference (watch)",
            "finding of-tomorrow (repair)"
        ]
    );
}

/// Everything that the visit or the rule set says in its own words: free text and cited sources
/// keep the units they were written in.
fn own_words(case: &Case) -> Vec<&str> {
    let visit = &case.visit;
    let mut texts: Vec<&str> = visit.photos.iter().map(|p| p.caption.as_str()).collect();
    texts.extend(visit.remarks.as_deref());
    texts.extend(visit.judgement.iter().map(|j| j.because.as_str()));
    for circuit in &visit.circuits {
        texts.extend(circuit.looked_at.iter().filter_map(|l| l.note.as_deref()));
        texts.extend(circuit.places.iter().map(|p| p.name.as_str()));
    }
    texts.extend(case.assessment.findings.iter().map(|f| f.source.as_str()));
    let checks = case.assessment.circuits.iter().flat_map(|c| &c.checks);
    texts.extend(checks.map(|c| c.source.as_str()));
    let thermal = &case.rules.thermal;
    texts.extend([
        thermal.rise.source.as_str(),
        &thermal.leg_difference.source,
        &thermal.projected_margin.source,
        &thermal.worse_than_before.source,
    ]);
    texts.retain(|t| !t.is_empty());
    // Longer ones first: one may hold another.
    texts.sort_by_key(|t| std::cmp::Reverse(t.len()));
    texts
}

#[test]
fn units_are_never_mixed() {
    let us_only = ["°F", "in·lb", "\u{a0}ft", "\u{a0}in ", "\u{a0}in,"];
    let si_only = [
        "°C", "[K]", "\u{a0}K", "N·m", "\u{a0}m ", "\u{a0}m,", "\u{a0}cm", "\u{a0}mm",
    ];
    for (name, case) in cases() {
        for units in [Units::Us, Units::Si] {
            let mut case = Case {
                ..case_again(&case)
            };
            case.visit.print.units = units;
            let text = words(&case.certificate(), &own_words(&case));
            let json: String = case.json()["findings"]
                .as_array()
                .unwrap()
                .iter()
                .map(|f| format!("{} {} ", f["text"], f["action"]))
                .collect();
            let (wanted, unwanted): (&[&str], &[&str]) = match units {
                Units::Us => (&us_only, &si_only),
                Units::Si => (&si_only, &us_only),
            };
            assert!(text.contains(wanted[0]), "{name} {units:?}");
            for unit in unwanted {
                for text in [&text, &json] {
                    assert!(
                        !text.contains(unit),
                        "{name}, {units:?}: {:?}",
                        text.lines().find(|l| l.contains(unit))
                    );
                }
            }
        }
    }
}

fn case_again(case: &Case) -> Case {
    Case {
        source: case.source.clone(),
        visit: case.visit.clone(),
        assessment: case.assessment.clone(),
        rules: case.rules,
        wording: case.wording,
    }
}

/// The blocks of the result page: up to the second section.
fn result_page(document: &Document) -> String {
    let mut page = document.clone();
    let end = page
        .body
        .iter()
        .position(|b| matches!(b, Block::Seal(_)))
        .unwrap();
    page.body.truncate(end);
    readable(&page)
}

#[test]
fn a_visit_that_is_not_complete_never_reads_as_a_clean_bill() {
    for (name, mut case) in cases() {
        case.assessment.complete = false;
        for (outcome, keep) in [
            (Outcome::Satisfactory, Grade::Pass),
            (Outcome::SatisfactoryWithNotes, Grade::Watch),
            (Outcome::Unsatisfactory, Grade::Stop),
        ] {
            let mut case = case_again(&case);
            case.assessment.outcome = outcome;
            case.assessment
                .findings
                .retain(|f| f.effective_grade() <= keep);
            let document = case.certificate();
            let page = result_page(&document);
            let signal = document.body.iter().find_map(|b| match b {
                Block::Verdict { signal, .. } => Some(*signal),
                _ => None,
            });
            assert!(
                matches!(
                    signal,
                    Some(Signal::Unknown | Signal::Warning | Signal::Danger)
                ),
                "{name} {outcome:?}: {signal:?}"
            );
            for claim in [
                "Satisfactory",
                "You can go on charging",
                "found nothing",
                "Nothing needs to be done",
                "can stay in use",
            ] {
                assert!(!page.contains(claim), "{name} {outcome:?}: {claim}\n{page}");
            }
            assert!(
                page.contains("could not check all of it"),
                "{name} {outcome:?}\n{page}"
            );
        }
    }
}

#[test]
fn advice_stands_only_beside_its_finding() {
    let clean = Case::example("townhouse-first");
    assert_eq!(clean.assessment.outcome, Outcome::Satisfactory);
    let text = readable(&clean.certificate());
    for advice in [
        "Action:",
        "Steps for a hot connection",
        "Stop charging now",
        "Have a licensed electrician repair",
        "looked at again",
    ] {
        assert!(!text.contains(advice), "{advice}");
    }
    // And every finding that is not in order brings an action.
    for (name, case) in cases() {
        for finding in &case.assessment.findings {
            let sentence = case.speaker().finding(finding);
            assert_eq!(
                sentence.action.is_empty(),
                finding.effective_grade() == Grade::Pass,
                "{name}: {}",
                finding.id
            );
        }
    }
}

#[test]
fn a_judgement_is_shown_as_such_beside_the_rule_sets_grade() {
    let text = readable(&made_up::case().certificate());
    assert!(text.contains(
        "Inspector’s judgment: Repair. Reason given: “The sleeve is brown.” The rule set’s own \
         grade: Watch."
    ));
    // An inspector who calls a finding in order does not make it vanish.
    let mut case = made_up::case();
    case.assessment.findings[0].judgement = Some((
        Grade::Pass,
        "Both within what this breaker does.".to_owned(),
    ));
    let text = readable(&case.certificate());
    assert!(text.contains("Reason given: “Both within what this breaker does.”"));
    assert!(text.contains("The rule set’s own grade: Watch."));
    // Nor does one who is stricter go without an action.
    let mut case = made_up::case();
    let rise = case
        .assessment
        .findings
        .iter_mut()
        .find(|f| f.id == "rise")
        .unwrap();
    rise.judgement = Some((Grade::Stop, "It smells.".to_owned()));
    let rise = rise.clone();
    let action = case.speaker().finding(&rise).action;
    assert!(action.starts_with("Leave the circuit off"), "{action}");
}

#[test]
fn words_of_the_visit_are_printed_as_they_are() {
    let mut case = made_up::case();
    case.visit.site.name = "House {page} of {limit}".to_owned();
    case.visit.circuits[0].places[0].name = "{value} {connections}".to_owned();
    let document = case.certificate();
    assert_eq!(document.running_middle, "House {page} of {limit}");
    let text = readable(&document);
    assert!(text.contains("{value} {connections}: the L1 side ran 15\u{a0}°F hotter"));
    assert!(document.about.title.contains("House {page} of {limit}"));
}

#[test]
fn the_tree_is_well_formed() {
    for (name, case) in cases() {
        let document = case.certificate();
        let mut level = 0;
        let mut firsts = 0;
        let mut anchors = BTreeSet::new();
        let mut links = BTreeSet::new();
        let mut note_links = |text: &warmlug::compose::tree::Text| {
            links.extend(
                text.0
                    .iter()
                    .filter_map(|s| s.link.as_deref()?.strip_prefix('#').map(str::to_owned)),
            );
        };
        for block in &document.body {
            match block {
                Block::Heading {
                    level: l,
                    anchor,
                    text,
                } => {
                    assert!(*l <= level + 1, "{name}: heading “{text}” skips a level");
                    level = *l;
                    firsts += usize::from(*l == 1);
                    if let Some(anchor) = anchor {
                        assert!(anchors.insert(anchor.clone()), "{name}: {anchor} twice");
                    }
                }
                Block::Table(table) => {
                    assert!(!table.caption.is_empty());
                    assert!(!table.rows.is_empty(), "{name}: {}", table.caption);
                    for row in &table.rows {
                        assert_eq!(
                            row.cells.len(),
                            table.columns.len(),
                            "{name}: {}",
                            table.caption
                        );
                        assert!(
                            row.cells.iter().all(|c| !c.characters().is_empty()),
                            "{name}: an empty cell in {}",
                            table.caption
                        );
                    }
                }
                Block::List { items, .. } => {
                    assert!(!items.is_empty(), "{name}");
                    items.iter().for_each(&mut note_links);
                }
                Block::Small(text) | Block::Paragraph(text) => note_links(text),
                Block::Chart(chart) => {
                    assert!(!chart.alt.is_empty());
                    for s in &chart.series {
                        assert_eq!(s.points.len(), s.intervals.len());
                        assert!(s.points.is_sorted_by(|a, b| a[0] <= b[0]));
                    }
                }
                Block::Diagram(d) => assert_eq!(d.runs.len() + 1, d.nodes.len()),
                Block::Photo(p) => assert!(p.image < document.images.len()),
                Block::Seal(s) => assert!(s.image.is_none_or(|i| i < document.images.len())),
                _ => {}
            }
        }
        assert_eq!(firsts, 1, "{name}");
        assert!(links.is_subset(&anchors), "{name}: {links:?} {anchors:?}");
        assert!(!readable(&document).contains("{ "), "{name}");
    }
}

#[test]
fn a_connection_has_one_number_everywhere() {
    let case = Case::example("townhouse-return");
    let text = readable(&case.certificate());
    assert!(text.contains("1 (breaker-L1)"));
    assert!(text.contains("  1 breaker-L1: ") || text.contains(" 1 breaker-L1: "));
    assert!(text.contains("  1 at 0.31, 0.68: breaker-L1"));
    assert!(text.contains("_1 | breaker-L1 |"));
}

#[test]
fn the_same_inputs_make_the_same_document() {
    for (name, case) in cases() {
        assert_eq!(case.certificate(), case.certificate(), "{name}");
    }
}

#[test]
fn every_character_of_every_wording_can_be_printed() {
    for language in Wording::languages() {
        for (key, text) in Wording::built_in(language).unwrap().entries() {
            for c in text.chars() {
                assert!(warmlug::typeset::prints(c), "{language} {key}: {c:?}");
            }
        }
    }
}

#[test]
fn inputs_that_do_not_belong_together_are_refused() {
    let case = made_up::case();
    let inputs = |images, seal, draft| Inputs {
        visit: &case.visit,
        assessment: &case.assessment,
        rules: case.rules,
        wording: case.wording,
        images,
        seal,
        draft,
        created: time(),
        source: b"",
    };
    assert_eq!(
        certificate(inputs(Images::default(), Some(seal()), false)).unwrap_err(),
        ComposeError::Photos {
            named: 1,
            prepared: 0
        }
    );
    assert_eq!(
        certificate(inputs(case.images(), None, false)).unwrap_err(),
        ComposeError::NeitherSignedNorDraft
    );
}

#[test]
fn the_record_is_carried_inside() {
    let case = made_up::case();
    let document = case.certificate();
    let names: Vec<_> = document
        .attachments
        .iter()
        .map(|a| (a.name.as_str(), a.relationship))
        .collect();
    assert_eq!(
        names,
        [
            ("visit.yaml", "Source"),
            ("assessment.json", "Data"),
            ("photos.sha256", "Supplement")
        ]
    );
    assert_eq!(document.attachments[0].bytes, case.source.as_bytes());
    let inside: serde_json::Value = serde_json::from_slice(&document.attachments[1].bytes).unwrap();
    assert_eq!(inside, case.json());
    assert_eq!(
        document.attachments[2].bytes,
        format!("{}  photos/panel.jpg\n", "00".repeat(32)).as_bytes()
    );
    // SHA-256 of the record, by another program: `sha256sum visit.yaml`.
    assert!(document.about.identifier.starts_with("2026-0147 sha256:"));
    assert_eq!(
        document.about.identifier.len(),
        "2026-0147 sha256:".len() + 64
    );
}
