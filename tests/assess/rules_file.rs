//! A firm's own rules file: what it may change, what is said of it, and every way in which it is
//! refused, with the whole message.

use crate::rules_files::whole_rules;
use insta::assert_snapshot;
use warmlug::assess::assess;
use warmlug::record::accepted::Accepted;
use warmlug::rules::{self, Checked};
use warmlug::visit::{self, Condition, Grade};
use warmlug::vocabulary::Variant;
use warmlug::yaml::Diagnostics;

const HEAD: &str = "extends: us\nid: acme\n";

fn load(body: &str) -> Result<rules::Rules, Diagnostics> {
    rules::load(&format!("{HEAD}{body}"), "acme.yaml")
}

fn refused(body: &str) -> String {
    load(body).expect_err("must be refused").to_string()
}

#[test]
fn an_empty_extension_changes_nothing() {
    let rules = load("").unwrap();
    let us = rules::built_in("us").unwrap();
    assert_eq!(
        (rules.id.as_str(), rules.extends.as_deref()),
        ("acme", Some("us"))
    );
    assert_eq!(rules.changes, []);
    assert_eq!(rules.thermal, us.thermal);
    assert_eq!(rules.circuit, us.circuit);
}

#[test]
fn a_changed_value_is_listed_and_marked_as_the_firms() {
    let rules =
        load("thermal:\n  exponent: { value: 1.8, source: own measurements of 2025 }\n").unwrap();
    assert_eq!(rules.thermal.exponent.value, 1.8);
    assert_eq!(rules.thermal.exponent.checked, Checked::Firm);
    assert_eq!(
        rules.thermal.exponent.why, None,
        "the reasoning of 2 must not stay"
    );
    let c = &rules.changes;
    assert_eq!(c.len(), 1);
    assert_eq!(
        (c[0].path.as_str(), c[0].was.as_str(), c[0].is.as_str()),
        ("thermal.exponent", "2", "1.8")
    );
    let us = rules::built_in("us").unwrap();
    assert_eq!(
        rules.thermal.rise, us.thermal.rise,
        "what is not named stays"
    );
    assert_eq!(rules::diff(us, &rules), rules.changes);
    assert_eq!(rules::diff(&rules, &rules), []);
}

#[test]
fn a_firm_grades_any_condition_and_the_inspector_judges_it() {
    let text = std::fs::read_to_string("examples/townhouse-first/visit.yaml").unwrap();
    let clean = "{ place: breaker, seen: clean }";
    assert!(text.contains(clean));
    for condition in Condition::ALL
        .into_iter()
        .filter(|c| *c != Condition::Clean)
    {
        let body = format!("conditions: {{ {condition}: {{ value: repair, source: own }} }}\n");
        let rules = load(&body).unwrap();
        let text = text.replace(clean, &format!("{{ place: breaker, seen: {condition} }}"));
        let text = format!(
            "{text}\njudgement: [ {{ finding: condition, place: breaker, seen: {condition}, \
             grade: watch, because: A trace. }} ]\n"
        );
        let visit = visit::read(&text, "visit.yaml", &Accepted).unwrap();
        let assessment = assess(&visit, &rules, &[]);
        let check = assessment.checks.iter().find(|c| c.grade == Grade::Repair);
        let check = check.unwrap_or_else(|| panic!("{condition} is not graded"));
        assert_eq!(check.variant, Some(Variant::Seen(condition)));
        assert_eq!(check.effective_grade(), Grade::Watch, "{condition}");
    }
}

#[test]
fn bands_in_fahrenheit_are_differences() {
    let rules = load(
        "thermal:
  leg_difference:
    mildest: pass
    edges:
      - { from: 9 °F, grade: watch }
      - { over: 27 °F, grade: repair }
    source: practice of the firm
",
    )
    .unwrap();
    let bands = &rules.thermal.leg_difference;
    assert_eq!(bands.grade(4.999).0, Grade::Pass);
    assert_eq!(bands.grade(5.0).0, Grade::Watch);
    assert_eq!(bands.grade(15.0).0, Grade::Watch);
    assert_eq!(bands.grade(15.001).0, Grade::Repair);
    assert_snapshot!(rules::listing::changes(&rules.changes));
}

#[test]
fn one_row_of_a_table_is_told_alone() {
    let us = rules::built_in("us").unwrap();
    let yaml = include_str!("../../templates/rules/us.yaml");
    let from = yaml.find("  ampacity:").unwrap();
    let to = yaml.find("  ambient_correction:").unwrap();
    let table = yaml[from..to]
        .replace("6 AWG: [55, 65, 75]", "6 AWG: [50, 60, 70]")
        .replace("    checked: confirmed\n", "");
    let rules = load(&format!("circuit:\n{table}")).unwrap();
    assert_snapshot!(rules::listing::changes(&rules::diff(us, &rules)));
}

#[test]
fn a_check_is_taken_away_by_nothing_but_a_complete_file() {
    // `null` is no check; a firm can change the grade, not silence a rule.
    assert_snapshot!(refused("circuit: { checks: { ground-fault: null } }\n"));
}

#[test]
fn the_same_value_from_another_source_is_told() {
    let rules =
        load("torque: { assumed_accuracy: { value: 6 %, source: maker's sheet } }\n").unwrap();
    assert_snapshot!(rules::listing::changes(&rules.changes));
}

#[test]
fn refused_without_a_source() {
    assert_snapshot!(refused("thermal:\n  exponent: { value: 1.8 }\n"));
}

#[test]
fn refused_with_an_empty_source() {
    assert_snapshot!(refused(
        "thermal:\n  exponent: { value: 1.8, source: \"  \" }\n"
    ));
}

#[test]
fn refused_with_a_bare_value() {
    assert_snapshot!(refused("thermal:\n  exponent: 1.8\n"));
}

#[test]
fn refused_without_a_unit() {
    assert_snapshot!(refused(
        "thermal:\n  least_load_fraction: { value: 40, source: own }\n"
    ));
}

#[test]
fn refused_with_a_unit_of_something_else() {
    assert_snapshot!(refused(
        "thermal:\n  hottest_air: { value: 40 A, source: own }\n"
    ));
}

#[test]
fn refused_outside_its_range_and_taken_at_its_ends() {
    let of = |n: &str| format!("thermal: {{ exponent: {{ value: {n}, source: own }} }}\n");
    assert!(load(&of("1")).is_ok() && load(&of("2.5")).is_ok());
    assert!(load(&of("0.999")).is_err());
    assert_snapshot!(refused(&of("2.501")));
}

#[test]
fn refused_with_an_unknown_key() {
    assert_snapshot!(refused(
        "thermal:\n  exponnent: { value: 2, source: own }\ntermal: 3\n"
    ));
}

#[test]
fn refused_with_a_word_that_is_no_grade() {
    assert_snapshot!(refused(
        "conditions: { dust: { value: alarm, source: own } }\n"
    ));
}

#[test]
fn refused_with_edges_out_of_order() {
    assert_snapshot!(refused(
        "thermal:
  rise:
    mildest: pass
    edges: [{ from: 20 K, grade: note }, { from: 11 K, grade: watch }]
    source: own
"
    ));
}

#[test]
fn refused_with_two_edges_at_one_value() {
    assert_snapshot!(refused(
        "thermal:
  rise:
    mildest: pass
    edges: [{ from: 11 K, grade: note }, { over: 11 K, grade: watch }]
    source: own
"
    ));
}

#[test]
fn refused_with_grades_that_get_milder() {
    assert_snapshot!(refused(
        "thermal:
  rise:
    mildest: note
    edges: [{ from: 11 K, grade: pass }]
    source: own
"
    ));
}

#[test]
fn refused_with_mixed_edges() {
    assert_snapshot!(refused(
        "thermal:
  projected_margin:
    mildest: pass
    edges: [{ under: 10 K, grade: note }, { over: 11 K, grade: watch }]
    source: own
"
    ));
}

#[test]
fn refused_without_edges_or_with_an_edge_without_a_value() {
    assert_snapshot!(refused(
        "thermal:
  rise: { mildest: pass, edges: [], source: own }
  leg_difference: { mildest: pass, edges: [{ grade: watch }], source: own }
"
    ));
}

#[test]
fn refused_with_a_claim_of_having_been_checked() {
    assert_snapshot!(refused(
        "thermal:\n  exponent: { value: 2, source: own, checked: confirmed }\n"
    ));
}

#[test]
fn refused_with_swapped_fractions() {
    assert_snapshot!(refused(
        "thermal:\n  least_load_fraction: { value: 95 %, source: own }\n"
    ));
}

#[test]
fn refused_with_an_unknown_base_or_without_an_id() {
    let e = rules::load("extends: uk\nid: acme\n", "acme.yaml").unwrap_err();
    assert_snapshot!(e.to_string());
    let e = rules::load("extends: us\n", "acme.yaml").unwrap_err();
    assert_snapshot!(e.to_string());
}

/// A firm's rules that pass for a built-in set would speak with its authority.
#[test]
fn refused_with_the_id_of_a_built_in_set_or_one_that_looks_like_it() {
    let id = |written: &str| whole_rules("us", written);
    let e = rules::load(&id("us"), "acme.yaml").unwrap_err();
    assert!(rules::load_recorded(&id("us"), "acme.yaml", None).is_err());
    assert_snapshot!(e.to_string());
    for like in [
        "US",
        "Us",
        "u s",
        "u.s.",
        "\u{57d}\u{455}",
        "u\u{455}",
        "\u{ff55}\u{ff53}",
        "ú\u{15b}",
        "us-",
        "IEC",
        "lec",
        "1EC",
        "i\u{435}c",
    ] {
        let e = rules::load(&id(like), "acme.yaml").expect_err(like);
        assert!(
            e.to_string().contains("id is, or looks like"),
            "{like}: {e}"
        );
        let e = rules::load(&format!("extends: us\nid: {like:?}\n"), "acme.yaml").expect_err(like);
        assert!(
            e.to_string().contains("id is, or looks like"),
            "{like}: {e}"
        );
    }
    for year in ["us-2023", "us2026.1", "IEC_60364"] {
        let e = rules::load(&id(year), "acme.yaml").expect_err(year);
        assert!(
            e.to_string().contains("id is, or looks like"),
            "{year}: {e}"
        );
        // A certificate that was signed with it is still computed again.
        assert!(rules::load_recorded(&id(year), "acme.yaml", None).is_ok());
    }
    for own in ["acme", "us-acme", "bus", "ieca", "acme-2026"] {
        let rules = rules::load(&id(own), "acme.yaml").unwrap();
        assert_eq!(rules.id, own);
    }
}

#[test]
fn names_of_a_rules_file_cannot_leave_their_quotation_marks() {
    let load = |id: &str, title: &str, edition: &str| {
        let file = format!("extends: us\nid: {id:?}\ntitle: {title:?}\nedition: {edition:?}\n");
        rules::load(&file, "acme.yaml").map_err(|e| e.to_string())
    };
    assert!(load("acme-1.2", "Acme’s rules", "2026").is_err());
    assert!(load("acme-1.2", "Rules of Acme (2026), houses", "2026.1").is_ok());
    for (id, title, edition, why) in [
        ("acme 2026.1", "Acme", "1", "has other characters"),
        ("acme” (edition 1)", "Acme", "1", "quotation mark"),
        (
            "acme",
            "Acme” (us), the built-in rules, and “Acme",
            "1",
            "quotation mark",
        ),
        ("acme", "Acme", "1» y «2", "quotation mark"),
        ("acme", "Acme\n\nGenuine", "1", "control character"),
        ("acme", &"Acme ".repeat(40), "1", "more than 100"),
        (&"a".repeat(33), "Acme", "1", "more than 32"),
    ] {
        let told = load(id, title, edition).unwrap_err();
        assert!(told.contains(why), "{id}, {title}, {edition}: {told}");
    }
}

#[test]
fn a_firms_title_is_not_that_of_a_built_in_set() {
    let file = |title: &str| format!("extends: us\nid: acme\ntitle: {title:?}\n");
    for title in [
        "United States, NFPA 70 (NEC) 2023",
        "united states NFPA 70, NEC 2023",
        "United States, NFPA 70 (NEC) 2020",
        "United States, NFPA 70 (NEC) 2026",
        "IEC 60364, low-voltage electrical installati\u{43e}ns",
        // With more words, by its standard alone, or of a year that no built-in set has.
        "United States, NFPA 70 (NEC) 2023 plus",
        "United States, NFPA 70 (NEC) 2023, by this firm",
        "Official United States, NFPA 70 (NEC) 2023",
        "United States, NFPA 70 (NEC) 2029",
        "NFPA 70 (NEC) 2023",
        "NEC 2023 plus",
        "National Electrical Code",
        "\u{406}EC 60364:2026",
    ] {
        let told = rules::load(&file(title), "acme.yaml").unwrap_err();
        let why = "title is, or looks like, that of the built-in set";
        // A certificate that was signed with it is still computed again, by these rules.
        let recorded = rules::load_recorded(&file(title), "acme.yaml", None).unwrap();
        assert_eq!(
            (recorded.id.as_str(), recorded.title.as_str()),
            ("acme", title)
        );
        assert!(told.to_string().contains(why), "{told}");
    }
    for own in [
        "Rules of Acme, NEC 2023",
        "Necker Electric, rules",
        "Acme, after NFPA 70",
    ] {
        assert!(rules::load(&file(own), "acme.yaml").is_ok(), "{own}");
    }
    let inherited = rules::load("extends: us\nid: acme\n", "acme.yaml").unwrap();
    assert_eq!(
        inherited.title,
        "United States, NFPA 70 (NEC) 2023, changed by acme"
    );
}

#[test]
fn refused_without_extends_tells_all_that_is_missing() {
    let e = rules::load("id: acme\ntitle: Acme\n", "acme.yaml").unwrap_err();
    assert_snapshot!(e.to_string());
}

#[test]
fn refused_as_broken_yaml() {
    assert_snapshot!(refused("thermal: [\n"));
}

#[test]
fn refused_with_a_repeated_key() {
    assert_snapshot!(refused(
        "thermal: { exponent: { value: 2, source: a } }\nthermal: {}\n"
    ));
}

#[test]
fn refused_with_aliases_or_too_deep_or_too_large() {
    assert!(load("thermal: &a {}\ntorque: *a\n").is_err());
    let deep = format!("thermal: {}{}\n", "[".repeat(40), "]".repeat(40));
    assert!(load(&deep).is_err());
    let large = format!("# {}\n", "x".repeat(512 * 1024));
    assert_snapshot!(refused(&large));
}

#[test]
fn refused_with_a_table_out_of_order() {
    assert_snapshot!(refused(
        "circuit:
  standard_ratings: { unit: A, value: [15, 20, 20], source: own }
  grouping:
    rows: [{ up_to: 3, factor: 100 % }, { up_to: 6, factor: 120 % }]
    beyond: 35 %
    source: own
  resistance:
    unit: Ω/km
    at: 75 °C
    copper: { coefficient: 0.00323, solid: { 6 AWG: 1.6, 8 AWG: 2.5 }, stranded: { 6 AWG: 1.6, 4 AWG: 1.7 } }
    aluminium: { coefficient: 0.0033, solid: { 6 AWG: 2.6 }, stranded: { 5 AWG: 2.6 } }
    source: own
"
    ));
}

#[test]
fn many_problems_are_told_up_to_fifty_and_counted() {
    let body: String = (0..60).map(|i| format!("key{i}: 1\n")).collect();
    let told = refused(&body);
    assert_eq!(told.matches("is not known here").count(), 50);
    assert!(told.ends_with("and 10 more"), "{told}");
}

#[test]
fn the_listing_says_where_every_value_comes_from() {
    let us = rules::built_in("us").unwrap();
    let all = rules::listing::entries(us);
    assert!(all.len() > 60, "{}", all.len());
    for e in &all {
        assert!(e.source.len() > 8, "{}: {}", e.path, e.source);
        assert_ne!(e.checked, Checked::Firm, "{}", e.path);
        if e.checked == Checked::CommonPractice {
            assert!(e.why.is_some(), "{}", e.path);
            assert!(
                e.source.starts_with("common practice, no source"),
                "{}",
                e.path
            );
        }
    }
    // The sections whose layout differs: a value, bands, tables, a check.
    let text = rules::text(us);
    let blocks: Vec<_> = text
        .split("\n\n")
        .filter(|b| {
            [
                "thermal.exponent:",
                "thermal.rise:",
                "torque.fallback.by_conductor:",
                "circuit.ambient_correction:",
                "circuit.resistance:",
                "circuit.checks.small-conductor:",
            ]
            .iter()
            .any(|head| b.starts_with(head))
        })
        .collect();
    assert_eq!(blocks.len(), 6);
    assert_snapshot!(blocks.join("\n\n"));
}

#[test]
fn the_json_holds_the_file() {
    let us = rules::built_in("us").unwrap();
    let json = rules::json(us);
    assert_eq!(json["id"], "us");
    assert_eq!(json["rules"]["thermal"]["exponent"]["value"], 2);
    assert_eq!(
        json["rules"]["circuit"]["ampacity"]["copper"]["6 AWG"][1],
        65
    );
    let firm = load("thermal:\n  exponent: { value: 1.8, source: own }\n").unwrap();
    let json = rules::json(&firm);
    assert_eq!(json["rules"]["thermal"]["exponent"]["checked"], "firm");
    assert_eq!(json["changes"][0]["path"], "thermal.exponent");
}

/// A firm's file changes the edition that the visit names, lists only its own changes, and cannot say
/// that it is another edition.
#[test]
fn a_firms_file_extends_an_edition() {
    let file = "extends: us\nid: acme\ncircuit: { checks: { splices: { grade: note, most: 2, source: Acme } } }\n";
    let rules = rules::load_edition(file, "acme.yaml", Some("2020")).unwrap();
    assert_eq!(rules.code.as_ref().unwrap().edition, "2020");
    assert_eq!(
        rules.title,
        "United States, NFPA 70 (NEC) 2020, changed by acme"
    );
    let changed: Vec<&str> = rules.changes.iter().map(|c| c.path.as_str()).collect();
    assert_eq!(changed, ["circuit.checks.splices.most"]);
    let individual = rules.circuit.checks.individual_circuit.as_ref().unwrap();
    assert_eq!(individual.above_current.ampere(), 0.0);

    let unknown = rules::load_edition(file, "acme.yaml", Some("1999")).unwrap_err();
    assert!(
        unknown
            .to_string()
            .contains("write one of: 2020, 2023, 2026"),
        "{unknown}"
    );
    for own in ["code: { name: NFPA 70, edition: '2026' }", "editions: {}"] {
        let told = rules::load(&format!("extends: us\nid: acme\n{own}\n"), "acme.yaml");
        let told = told.unwrap_err().to_string();
        assert!(
            told.contains("belongs to the set that these rules extend"),
            "{told}"
        );
    }
}
