//! The certificate as a tree: what is on it, for whom, and what it must never say.

use crate::compose_common::{Case, EXAMPLES, made_up, readable, seal, time, words};
use std::collections::BTreeSet;
use warmlug::assess::Outcome;
use warmlug::compose::document::{Block, Document, Row, Signal};
use warmlug::compose::{ComposeError, Images, Inputs, Wording, certificate, gaps};
use warmlug::visit::{Condition, Grade, Units, WhyNotRead};
use warmlug::vocabulary::{CheckId, LimitationId, Word};

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
        built_in: &[],
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
    case.assessment.checks = vec![
        warmlug::assess::CheckResult {
            value: Some(12.0),
            limit: Some(10.0),
            unit: "K",
            ..made_up::finding(CheckId::ChargingPower, Grade::Repair)
        },
        // Without the legs that its sentence names.
        made_up::finding(CheckId::LegDifference, Grade::Watch),
    ];
    case.conclude();
    let speaker = case.speaker();
    let sentence = speaker.finding(&case.assessment.checks[0]);
    assert_eq!(
        sentence.text,
        "Breaker terminals, Bay 1: the check “charging-power” found 22\u{a0}°F against a limit of \
         18\u{a0}°F."
    );
    assert!(sentence.action.starts_with("Have it repaired"));
    assert_eq!(
        gaps(&speaker).into_iter().collect::<Vec<_>>(),
        [
            "cause charging-power",
            "cause leg-difference",
            "finding charging-power (repair)",
            "finding leg-difference (watch)"
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
    texts.extend(case.assessment.checks.iter().map(|f| f.source.as_str()));
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
            // A conductor's size is named in its own system, which is no unit of a measurement.
            let text = words(&case.certificate(), &own_words(&case)).replace("\u{a0}mm²", "");
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
        built_in: Vec::new(),
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
                .checks
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
                page.contains("could not check everything"),
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
        "checked again by",
    ] {
        assert!(!text.contains(advice), "{advice}");
    }
    // And every finding that is not in order brings an action.
    for (name, case) in cases() {
        for finding in &case.assessment.checks {
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
        "*Inspector’s judgment* Repair. Reason given: “The sleeve is brown.” Grade by the \
         rules: Watch."
    ));
    // An inspector who calls a finding in order does not make it vanish.
    let mut case = made_up::case();
    case.assessment.checks[0].judgement = Some((
        Grade::Pass,
        "Both within what this breaker does.".to_owned(),
    ));
    let text = readable(&case.certificate());
    assert!(text.contains("Reason given: “Both within what this breaker does.”"));
    assert!(text.contains("Grade by the rules: Watch."));
    // Nor does one who is stricter go without an action.
    let mut case = made_up::case();
    let rise = case
        .assessment
        .checks
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
    assert!(text.contains("{value} {connections}: the connection on the L1 side"));
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
        let mut note_links = |text: &warmlug::compose::document::Text| {
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
                        // A single cell spans them all.
                        assert!(
                            [1, table.columns.len()].contains(&row.cells.len()),
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
    assert!(text.contains(" 1 | breaker-L1 |"));
}

#[test]
fn every_reading_and_large_photos_are_in_the_appendix_only() {
    let mut case = Case::example("townhouse-return");
    let photos = |text: &str| text.matches("[photo ").count();
    let text = readable(&case.certificate());
    assert!(!text.contains("Every reading"));
    assert_eq!(photos(&text), case.visit.photos.len());
    case.visit.print.appendix = true;
    let text = readable(&case.certificate());
    let appendix = text.split("Appendix").nth(1).unwrap();
    let readings = case.visit.circuits[0].heat.as_ref().unwrap();
    let count: usize = readings.rounds.iter().map(|r| r.readings.len()).sum();
    let table = appendix.split("Every reading").nth(1).unwrap();
    let rows = table
        .lines()
        .skip(2)
        .take_while(|line| line.contains(" | "));
    assert_eq!(rows.count(), count);
    assert_eq!(photos(&text), 2 * case.visit.photos.len());
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
        built_in: &[],
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

/// A small visit whose parts tests exchange.
const SMALL: &str = r#"
visit: { number: "1", date: 2026-10-06, reason: periodic, rules: us }
print: { units: us, paper: letter, language: en }
units: { temperature: °F, torque: in·lb, length: ft }
inspector: { name: Dana Voss }
client: { name: Lee Park, role: owner }
site: { name: Sample House }
instruments:
  gun: { kind: infrared-thermometer, serial: A1, calibrated: 2026-02-10, calibration_due: 2027-02-10,
         accuracy: { of_reading: 1 %, at_least: 1 °C }, emissivity: 0.95, distance_to_spot: "12:1" }
  driver: { kind: torque-screwdriver, serial: B2 }
  tester: { kind: voltage-tester, serial: C3 }
circuits:
  - id: bay-1
    charger: { rated_current: 40 A, connection: hardwired }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 50 A, poles: 2, terminal_rating: 75 °C, ground_fault: gfci }
    conductors: { material: copper, size: 6 AWG, insulation: 90 °C, wiring: nm-cable, length: 55 ft, current_carrying: 2 }
    dedicated: true
    hottest_air: 104 °F
    places:
      - id: breaker
        name: Breaker terminals
        connections:
          - { id: breaker-L1, leg: L1, kind: screw-terminal, torque: 45, surface: insulation, width: 0.3 in }
          - { id: breaker-L2, leg: L2, kind: screw-terminal, torque: 45, surface: insulation }
    isolation: { tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: true }
    torque:
      - { connection: breaker-L1, found: held, left: 45, with: driver }
      - { connection: breaker-L2, found: held, left: 45, with: driver }
    looked_at: [ { place: breaker, seen: clean } ]
    heat:
      with: gun
      charging_from: "09:50"
      rounds:
        - { at: "09:40", air: 61, current: 0 A, readings: { breaker-L1: 61, breaker-L2: 61 } }
        - { at: "10:05", air: 61, current: 40 A, readings: { breaker-L1: 66, breaker-L2: 66 } }
        - { at: "10:55", air: 61, current: 40 A, readings: { breaker-L1: 68, breaker-L2: 68 } }
"#;

/// [`SMALL`] with one part exchanged for another.
#[track_caller]
fn small(from: &str, to: &str) -> String {
    assert!(from.is_empty() || SMALL.contains(from), "{from}");
    SMALL.replace(from, to)
}

/// [`SMALL`] with so many connections in its place.
fn crowded(count: usize) -> String {
    let each = |sentence: &dyn Fn(usize) -> String| -> String {
        (0..count).map(sentence).collect::<Vec<_>>().join(", ")
    };
    let mut text = SMALL.to_owned();
    let mut put = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    };
    let leg = |i: usize| 1 + i % 2;
    let connection = "          - { id: breaker-L2, leg: L2, kind: screw-terminal, torque: 45, surface: insulation }\n";
    let more: String = (2..count)
        .map(|i| connection.replace("breaker-L2", &format!("block-{i}")))
        .collect();
    put(connection, &format!("{connection}{more}"));
    for (from, warmer) in [(61, 0.0), (66, 0.1), (68, 0.2)] {
        let more = each(&|i| match i {
            0 | 1 => format!("breaker-L{}: {from}", leg(i)),
            _ => format!("block-{i}: {}", f64::from(from) + warmer * i as f64),
        });
        put(&format!("breaker-L1: {from}, breaker-L2: {from}"), &more);
    }
    text
}

/// The morning's visit and one after its repair: two places on the axis, and numbers behind the day.
#[test]
fn visits_of_one_day_are_told_apart_in_the_chart() {
    use crate::compose_common::read;
    let day = read(SMALL).date;
    let numbered = |number: &str, date: &str| {
        let text = small("number: \"1\"", &format!("number: {number}"));
        read(&text.replace(&format!("date: {day}"), &format!("date: {date}")))
    };
    let before = numbered("2026-0001", "2026-04-02");
    let morning = numbered("2026-0146", &day.to_string());
    for (earlier, ends) in [
        (vec![morning.clone()], ["(1)", "(2)"]),
        (vec![before, morning], ["04-02", "(2)"]),
    ] {
        let visits = earlier.len() + 1;
        let document = Case::new(SMALL, &earlier).certificate();
        let charts = document.body.into_iter().filter_map(|block| match block {
            Block::Chart(chart) => chart.x.ticks.is_some().then_some(chart),
            _ => None,
        });
        let charts: Vec<_> = charts.collect();
        assert_eq!(charts.len(), 1);
        let ticks = charts[0].x.ticks.clone().unwrap();
        assert_eq!(ticks.len(), visits, "{ticks:?}");
        assert!(ticks[0].1.ends_with(ends[0]), "{ticks:?}");
        assert!(ticks[visits - 1].1.ends_with(ends[1]), "{ticks:?}");
        let [from, to] = charts[0].x.range.unwrap();
        assert!(from < ticks[0].0 && ticks[visits - 1].0 < to, "{ticks:?}");
        for series in &charts[0].series {
            let places: Vec<f64> = series.points.iter().map(|p| p[0]).collect();
            assert!(places.is_sorted_by(|a, b| a < b), "{places:?}");
        }
        assert!(charts[0].alt.contains("(2)"), "{}", charts[0].alt);
    }
}

#[test]
fn a_crowded_place_gets_charts_that_can_name_their_lines() {
    let charts = |count: usize| -> Vec<warmlug::compose::document::Chart> {
        let document = Case::new(&crowded(count), &[]).certificate();
        let charts = document.body.into_iter().filter_map(|block| match block {
            Block::Chart(chart) => Some(chart),
            _ => None,
        });
        charts.collect()
    };
    for (count, sizes) in [(12, vec![12]), (13, vec![7, 6]), (40, vec![10, 10, 10, 10])] {
        let charts = charts(count);
        // The air is in each.
        let found: Vec<usize> = charts.iter().map(|c| c.series.len() - 1).collect();
        assert_eq!(found, sizes, "{count}");
        let mut named = Vec::new();
        for (i, chart) in charts.iter().enumerate() {
            let part = format!(" ({} of {})", i + 1, charts.len());
            assert_eq!(
                chart.title.ends_with(&part),
                charts.len() > 1,
                "{}",
                chart.title
            );
            let own = chart.series.iter().filter(|s| s.leg.is_some());
            for label in own.map(|s| s.label.clone()) {
                assert!(chart.alt.contains(&label), "{label}");
                named.push(label);
            }
            assert_eq!(chart.limits.len(), 1);
            // One scale, so that lines of different parts can be compared.
            assert_eq!(chart.y.range.is_some(), charts.len() > 1);
            assert_eq!(chart.y.range, charts[0].y.range);
        }
        assert_eq!(named.len(), count);
        named.dedup();
        assert_eq!(named.len(), count, "each once, in the order of the tables");
    }
}

#[test]
fn whatever_the_engine_finds_has_words() {
    let mut sources: Vec<String> = [
        ("L1-L2: 0 V", "L1-L2: 118 V"),
        ("proved_after: 241 V, locked: true", "locked: false"),
        ("found: held, left: 45", "found: moved, left: 45"),
        ("found: held, left: 45", "found: moved"),
        ("found: held, left: 45", "found: 20, left: 30"),
        ("found: held, left: 45", "found: held, left: 60"),
        ("found: held, left: 45", "found: 60, left: 45"),
        (", torque: 45", ""),
        (
            "reason: periodic, rules: us }",
            "reason: periodic, rules: us }\njudgement: [ { finding: condition, grade: note, because: Cleaned. } ]",
        ),
        ("looked_at: [ { place: breaker, seen: clean } ]", ""),
        ("calibration_due: 2027-02-10", "calibration_due: 2026-09-01"),
        ("accuracy: { of_reading: 1 %, at_least: 1 °C }, ", ""),
        ("surface: insulation", "surface: bare-metal"),
        (", surface: insulation", ""),
        ("breaker-L1: 66", "breaker-L1: { temperature: 66, distance: 9 ft }"),
        ("breaker-L1: 68", "breaker-L1: { temperature: 68, distance: 9 ft }"),
        ("breaker-L1: 68", "breaker-L1: { temperature: 68, drop: 40 mV }"),
        ("current: 40 A, readings", "current: 46 A, readings"),
        ("breaker-L1: 61", "breaker-L1: 90"),
        ("breaker-L1: 66", "breaker-L1: 40"),
        ("current: 40 A, readings", "current: 10 A, readings"),
        ("current: 40 A, readings", "current: 30 A, readings"),
        ("at: \"10:55\"", "at: \"10:15\""),
        ("air: 61, current: 40 A", "current: 40 A"),
        ("rating: 50 A", "rating: 40 A"),
        ("rating: 50 A", "rating: 55 A"),
        ("rating: 50 A", "rating: 90 A"),
        ("size: 6 AWG", "size: 10 AWG"),
        ("material: copper", "material: aluminium"),
        ("length: 55 ft", "length: 900 ft"),
        (", length: 55 ft", ""),
        ("wiring: nm-cable, ", ""),
        ("dedicated: true", "dedicated: false"),
        ("dedicated: true", ""),
        ("ground_fault: gfci", "ground_fault: none"),
        ("rated_current: 40 A", "rated_current: 64 A"),
        (
            "dedicated: true",
            "disconnect: { in_sight: false, lockable: false }\n    feeder: { material: copper, \
             size: 2 AWG, insulation: 75 °C, length: 900 ft, load: 90 A }",
        ),
        (
            "connection: hardwired }",
            "connection: receptacle }\n    receptacle: { configuration: 6-30, grade: residential }",
        ),
        (
            "connection: hardwired }",
            "connection: receptacle }\n    receptacle: { configuration: L14-30, grade: industrial }",
        ),
        (
            "reason: periodic, rules: us }",
            "reason: first, rules: us }\njudgement: [ { finding: voltage-drop, circuit: bay-1, \
             grade: note, because: no reason } ]",
        ),
    ]
    .into_iter()
    .map(|(from, to)| small(from, to))
    .map(|source| match source.contains("because: Cleaned.") {
        true => source.replace("seen: clean", "seen: [dust, corroded]"),
        false => source,
    })
    .collect();
    let seen = Condition::ALL.map(Condition::word).join(", ");
    sources.push(small("seen: clean", &format!("seen: [{seen}]")));
    let twice = |a: (&str, &str), b: (&str, &str)| small(a.0, a.1).replace(b.0, b.1);
    sources.extend([
        twice(
            ("breaker-L1: 66, breaker-L2: 66", "breaker-L1: 68, breaker-L2: 68"),
            ("breaker-L1: 68, breaker-L2: 68 } }\n", "breaker-L1: 90, breaker-L2: 90 } }\n"),
        )
        .replacen("breaker-L1: 90, breaker-L2: 90", "breaker-L1: 68, breaker-L2: 68", 1),
        twice(
            ("rated_current: 40 A", "rated_current: 64 A"),
            (
                "dedicated: true",
                "disconnect: { in_sight: false, lockable: false }",
            ),
        ),
        twice(
            (
                "connection: hardwired }",
                "connection: receptacle }\n    receptacle: { configuration: 14-50, grade: ev-listed }",
            ),
            ("ground_fault: gfci", "ground_fault: none"),
        ),
        twice(
            ("kind: screw-terminal", "kind: splice"),
            ("leg: L2", "leg: L1"),
        ),
        // One of two places shows one leg alone.
        small(
            "    isolation:",
            "      - id: charger\n        name: Charger\n        connections: [ { id: charger-L1, leg: L1, kind: splice } ]\n    isolation:",
        ),
        // A reading far colder than what the surface mirrors.
        small("emissivity: 0.95", "emissivity: 1.0")
            .replace("surface: insulation, width", "emissivity: 0.6, width")
            .replace("breaker-L1: 61", "breaker-L1: { temperature: -38, reflected: 200 }"),
        small("      charging_from: \"09:50\"\n", ""),
        small("at: \"09:40\"", "at: \"09:52\""),
        SMALL[..SMALL.find("    heat:").unwrap()].to_owned(),
        small(", breaker-L2: 66", "").replace(", breaker-L2: 68", ""),
        small(", breaker-L2: 66", ""),
        small("readings: { breaker-L1: 61, ", "readings: { "),
        small("left: 45, with: driver }", "left: 45 }"),
        small("terminal_rating: 75 °C", "terminal_rating: 167 °C"),
        small("hottest_air: 104 °F", "hottest_air: 40 °F"),
        small("with: driver }", "with: driver, when: \"10:20\" }"),
        small(
            "        - { at: \"09:40\", air: 61, current: 0 A, readings: { breaker-L1: 61, breaker-L2: 61 } }\n",
            "",
        ),
        small(
            "      - { connection: breaker-L2, found: held, left: 45, with: driver }\n",
            "",
        ),
    ]);
    // What was left out, and why.
    sources.push(small("id: breaker\n", "id: panel\n").replace("place: breaker", "place: panel"));
    let place = |id: &str, more: &str| {
        format!(
            "      - id: {id}\n        name: Place {id}\n        connections:\n          \
             - {{ id: {id}-L1, leg: L1, kind: splice }}\n          \
             - {{ id: {id}-L2, leg: L2, kind: splice }}\n{more}    isolation:"
        )
    };
    for why in WhyNotRead::ALL {
        let declared = format!("    not_read: [ {{ place: charger, why: {why} }} ]\n");
        sources.push(small("    isolation:", &place("charger", &declared)));
    }
    for side in ["disconnect-line", "disconnect-load"] {
        sources.push(small("    isolation:", &place(side, "")));
    }
    for end in ["", ", return: 2026-10-20"] {
        sources.push(format!(
            "{SMALL}cut_short: {{ why: The tenant left.{end} }}\n"
        ));
    }
    sources.push(small(
        "    isolation:",
        "    repairs: [ { connection: breaker-L1, done: remade, at: \"12:10\" } ]\n    isolation:",
    ));
    sources.push(small("id: bay-1", "id: bay-9"));
    sources.push(small("serial: A1, ", ""));
    for when in ["before", "after"] {
        sources.push(
            small(
                "found: held, left: 45, with: driver",
                &format!("found: moved, left: 45, with: driver, when: {when}"),
            )
            .replace("breaker-L1: 68", "breaker-L1: 97"),
        );
    }
    // What is asked of the circuit where it is told.
    sources.extend([
        small("length: 55 ft,", "length: 55 ft, grounding: 14 AWG,"),
        small("length: 55 ft,", "length: 55 ft, parallel: 2,"),
        small("length: 55 ft,", "length: 55 ft,").replace(
            "rated_current: 40 A",
            "rated_current: 48 A, current_setting: 40 A, setting_restricted: no",
        ),
        small(
            "dedicated: true",
            "dedicated: false\n    load_management: { limit: 50 A, restricted: no }",
        ),
        small("dedicated: true", "dedicated: true\n    outdoors: yes")
            .replace("ground_fault: gfci", "ground_fault: none"),
        small(
            "    places:",
            "    feeder: { material: aluminum, size: 6 AWG, insulation: 90 °C, wiring: conduit, length: 30 ft, load: 60 A, protected_by: 90 A, terminal_rating: 75 °C }\n    places:",
        ),
    ]);
    sources.push(small(" current: 40 A", " current: { L1: 40 A, L2: 0 A }"));
    // What has to be answered first; and colder than the air, which nothing explains.
    sources.extend([
        small(
            "found: held, left: 45, with: driver",
            "found: held, left: 540, with: driver",
        ),
        small("torque: 45", "torque: 540"),
        small("emissivity: 0.95", "emissivity: 0.1"),
        small(
            "breaker-L1: 68, breaker-L2: 68",
            "breaker-L1: 3, breaker-L2: 3",
        ),
        // 16 °C typed as °F.
        small(
            "with: driver }",
            "with: driver, when: after, cooled_to: 16 }",
        ),
        // Three phases, whose neutral carries little.
        small("rules: us", "rules: iec")
            .replace(
                "phases: 1, legs: [L1, L2]",
                "phases: 3, legs: [L1, L2, L3, N]",
            )
            .replace(
                "    isolation:",
                &place(
                    "charger",
                    "          - { id: charger-N, leg: N, kind: splice }\n",
                ),
            ),
        // Distances and widths in another unit.
        small(
            "breaker-L1: 68,",
            "breaker-L1: { temperature: 68, distance: 12 mm },",
        ),
        small(
            "surface: insulation }",
            "surface: insulation, width: 0.4 ft }",
        ),
        // Readings, a round and a series in the other unit: 16 °C are 61 °F.
        small(
            "breaker-L1: 68, breaker-L2: 68",
            "breaker-L1: 30, breaker-L2: 30",
        ),
        small(
            "air: 61, current: 0 A, readings: { breaker-L1: 61, breaker-L2: 61 }",
            "air: 16, current: 0 A, readings: { breaker-L1: 16, breaker-L2: 16 }",
        ),
        small("air: 61", "air: 16"),
        small("legs: [L1, L2]", "legs: [L1, L2, N]").replace(
            "    isolation:",
            &place(
                "charger",
                "          - { id: charger-N, leg: N, kind: splice }\n",
            ),
        ),
    ]);
    // What the IEC rule set asks beside these.
    let iec = |rcd: &str| {
        small("rules: us", "rules: iec")
            .replace("size: 6 AWG", "size: 10 mm², method: C")
            .replace(
                "dedicated: true",
                &format!("dedicated: true\n    rcd: {rcd}"),
            )
            .replace("rating: 50 A", "rating: 63 A")
    };
    sources.extend([
        iec("ac"),
        iec("{ type: a, rating: 30 mA, dc_detection: yes, trip_time: 450 ms }"),
        iec("{ type: b, rating: 300 mA }"),
        small("rules: us", "rules: iec"),
        small("rules: us", "rules: iec")
            .replace("voltage: 240 V }", "voltage: 240 V, pen_protected: no }"),
        iec("{ type: a, rating: 300 mA, dc_detection: yes }").replace(
            "voltage: 240 V }",
            "voltage: 240 V, earthing: tt, earth_resistance: 200 Ω }",
        ),
        small("rules: us", "rules: iec").replace(
            "rating: 50 A,",
            "rating: 50 A, ambient: 55 °C, side_by_side: 6,",
        ),
        // A name that the record of before does not have.
        small("breaker-L1", "other-L1"),
        small(
            "surface: insulation, width",
            "marked: al, surface: insulation, width",
        ),
        small("poles: 2", "poles: 1"),
        // As hot as a terminal without a stated rating may be, 60 °C.
        small("terminal_rating: 75 °C, ", "").replace("breaker-L1: 68", "breaker-L1: 140"),
        // Too thin in every case that the visit leaves open.
        small("size: 6 AWG", "size: 12 AWG").replace("wiring: nm-cable, ", ""),
    ]);
    // Every temperature, so that every grade of heat comes up.
    for hot in (68..300).step_by(4) {
        sources.push(small(
            "breaker-L1: 66, breaker-L2: 66 } }",
            &format!("breaker-L1: {}, breaker-L2: 66 }} }}", hot - 1),
        ));
        let last = sources.pop().unwrap();
        sources.push(last.replace("breaker-L1: 68", &format!("breaker-L1: {hot}")));
    }
    let before = crate::compose_common::read(&small("2026-10-06", "2026-04-06"));
    let mut seen = BTreeSet::new();
    for source in &sources {
        let mut case = Case::new(source, std::slice::from_ref(&before));
        assert_eq!(gaps(&case.speaker()), BTreeSet::new(), "{source}");
        seen.extend(case.assessment.checks.iter().map(|f| f.id.word()));
        for f in &case.assessment.checks {
            assert!(!f.source.is_empty(), "no source: {f:?}");
        }
        seen.extend(case.assessment.limitations.iter().map(|l| l.id.word()));
        // Nor is there a gap when the inspector grades otherwise.
        for grade in Grade::ALL {
            for finding in &mut case.assessment.checks {
                finding.judgement = Some((grade, "because".to_owned()));
            }
            assert_eq!(gaps(&case.speaker()), BTreeSet::new(), "{grade:?} {source}");
        }
    }
    let never: Vec<&str> = CheckId::words()
        .chain(LimitationId::words())
        .filter(|id| !seen.contains(id))
        .collect();
    // What needs more than one small visit to come up, or only informs.
    let elsewhere = [
        "aluminium-termination",
        "charging-power",
        "run-loss",
        "contact-resistance",
        "earlier-unreadable",
        "no-earlier",
        "no-readings",
        "nothing-to-compare",
    ];
    let unheard: Vec<_> = never
        .iter()
        .filter(|id| !elsewhere.contains(id) && !id.starts_with("pattern-"))
        .collect();
    assert!(
        unheard.is_empty(),
        "words for what is never found: {unheard:?}"
    );
}

/// Blocks of the result repeated, with the language that they are in.
fn told_again(document: &Document) -> Option<(&str, &[Block])> {
    let language = |b: &Block| matches!(b, Block::Language(_));
    let start = document.body.iter().position(language)?;
    let rest = &document.body[start + 1..];
    let end = rest.iter().position(language)?;
    match &document.body[start] {
        Block::Language(language) => Some((language, &rest[..end])),
        _ => None,
    }
}

#[test]
fn the_result_is_told_again_in_each_further_language() {
    let case = Case::in_languages("townhouse-return", &["es", "en"]);
    let document = case.certificate();
    assert_eq!(document.about.language, "es");
    assert_eq!(document.about.further_languages, ["en"]);
    let (language, again) = told_again(&document).unwrap();
    assert_eq!(language, "en");
    let seals = |blocks: &[Block]| {
        blocks
            .iter()
            .filter(|b| matches!(b, Block::Seal(_)))
            .count()
    };
    assert_eq!((seals(&document.body), seals(again)), (1, 0));
    let verdicts: Vec<&str> = document
        .body
        .iter()
        .filter_map(|b| match b {
            Block::Verdict { title, .. } => Some(title.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(
        verdicts,
        [
            "No satisfactorio: hay que reparar",
            "Unsatisfactory: repair needed"
        ]
    );
    // What follows is in the main language again.
    let findings = document
        .body
        .iter()
        .any(|b| matches!(b, Block::Heading { level: 2, text, .. } if text == "Hallazgos"));
    assert!(findings);
    assert!(told_again(&Case::example("townhouse-return").certificate()).is_none());
}

#[test]
fn numbers_in_tables_have_the_decimal_mark_of_the_language() {
    for (language, mark, other) in [
        ("en", '.', ','),
        ("es", ',', '.'),
        ("fr", ',', '.'),
        ("de", ',', '.'),
    ] {
        let case = Case::in_languages("townhouse-return", &[language]);
        let document = case.certificate();
        assert_eq!(document.decimal_mark, mark);
        let mut marked = 0;
        for block in &document.body {
            let Block::Table(table) = block else { continue };
            for (i, column) in table.columns.iter().enumerate() {
                if column.align != warmlug::compose::document::Align::Decimal {
                    continue;
                }
                let whole = |row: &&Row| row.cells.len() == table.columns.len();
                for row in table.rows.iter().filter(whole) {
                    let cell = row.cells[i].characters();
                    assert!(!cell.contains(other), "{language}: {cell}");
                    marked += usize::from(cell.contains(mark));
                }
            }
        }
        assert!(marked > 60, "{language}: {marked}");
    }
}

#[test]
fn dates_are_written_as_the_language_writes_them() {
    for (language, first, sixth) in [
        ("en", "1 October 2026", "6 October 2026"),
        ("es", "1 de octubre de 2026", "6 de octubre de 2026"),
        ("fr", "1er octobre 2026", "6 octobre 2026"),
        ("de", "1. Oktober 2026", "6. Oktober 2026"),
    ] {
        let wording = Wording::built_in(language).unwrap();
        let numbers = warmlug::compose::numbers::Numbers::new(warmlug::visit::Units::Si, wording);
        let day = |d| numbers.date(chrono::NaiveDate::from_ymd_opt(2026, 10, d).unwrap());
        assert_eq!((day(1).as_str(), day(6).as_str()), (first, sixth));
    }
}

#[test]
fn a_pass_by_an_unconfirmed_figure_is_not_painted_good() {
    use warmlug::rules::Checked;
    // The cell and the signal of the result of one check, by how far its figure was checked.
    let result = |checked| {
        let mut case = made_up::case();
        let check = &mut case.assessment.circuits[0].checks;
        check.retain(|c| c.holds == Some(true) && c.rule == CheckId::ContinuousLoad);
        check[0].checked = checked;
        let body = case.certificate().body;
        let tables = body.into_iter().filter_map(|b| match b {
            Block::Table(table) => Some(table),
            _ => None,
        });
        let mut tables = tables;
        let table = tables
            .find(|t: &warmlug::compose::document::Table| t.caption.starts_with("Checks against"));
        let row = table.unwrap().rows.remove(0);
        let cell = &row.cells[3];
        let signal = cell.0.iter().find_map(|span| span.signal);
        (cell.characters(), signal)
    };
    assert_eq!(
        result(Checked::Confirmed),
        ("Pass".to_owned(), Some(Signal::Good))
    );
    assert_eq!(result(Checked::FromMemory), ("Pass*".to_owned(), None));
}
