//! The edition of the code that a visit names.

use crate::run::{Bench, alone};

fn in_edition(edition: &str) -> String {
    let text = alone("townhouse-first");
    assert!(text.contains("rules: us"));
    text.replacen("rules: us", &format!("rules: us\n  edition: {edition}"), 1)
}

#[test]
fn an_unknown_edition_lists_the_known_ones_where_it_was_written() {
    let bench = Bench::new();
    bench.write("visit.yaml", &in_edition("2017"));
    let ran = bench.run(&["check", "visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err
            .contains("the rule set `us` has no edition `2017` of NFPA 70"),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("| ") && ran.err.contains("edition: 2017"),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("write one of: 2020, 2023, 2026"),
        "{}",
        ran.err
    );

    let ran = bench.run(&["check", "visit.yaml", "--rules", "iec"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("has no editions to choose from"),
        "{}",
        ran.err
    );
}

#[test]
fn a_certificate_cites_its_edition_and_verifies() {
    let bench = Bench::new();
    for edition in ["2020", "2023", "2026"] {
        bench.write("visit.yaml", &in_edition(edition));
        let ran = bench.run(&["certify", "visit.yaml", "-o", "certificate.pdf", "--force"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        // Its own key only: nothing was compared.
        let ran = bench.run(&["verify", "certificate.pdf", "--format", "json"]);
        assert!(
            [0, 5].contains(&ran.code),
            "{edition}: {}{}",
            ran.out,
            ran.err
        );
        assert!(
            !ran.out.contains("\"differences\": [\n"),
            "{edition}: {}",
            ran.out
        );

        let ran = bench.run(&["check", "visit.yaml", "--format", "json"]);
        let found: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(found["rules"]["code"], format!("NFPA 70 ({edition})"));
        for year in ["2020", "2023", "2026"] {
            if year == edition {
                continue;
            }
            let cited = format!("NFPA 70 ({year})");
            assert!(
                !ran.out.contains(&cited),
                "{edition} cites {year}: {}",
                ran.out
            );
        }
    }
}

#[test]
fn rules_prints_an_edition_and_what_the_others_have() {
    let bench = Bench::new();
    let ran = bench.run(&["rules", "us", "--edition", "2020"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for said in [
        "United States, NFPA 70 (NEC) 2020",
        "NFPA 70, edition 2020; also 2023, 2026",
        "edition 2026 differs in:",
        "NFPA 70 (2020), 210.20(A)",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    let ran = bench.run(&["rules", "us", "--format", "json"]);
    let set: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(set["code"]["edition"], "2023");
    let differs: Vec<&str> = set["editions"]["2020"]
        .as_array()
        .unwrap()
        .iter()
        .map(|change| change["path"].as_str().unwrap())
        .collect();
    assert!(
        differs.contains(&"circuit.checks.individual-circuit.above_current"),
        "{differs:?}"
    );
    // Between two others, what the cited edition has otherwise counts as well: 625.40.
    let ran = bench.run(&["rules", "us", "--edition", "2020", "--format", "json"]);
    let set: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let of_2026 = set["editions"]["2026"].as_array().unwrap();
    let individual = of_2026
        .iter()
        .find(|change| change["path"] == "circuit.checks.individual-circuit.above_current")
        .unwrap();
    assert_eq!(
        (&individual["was"], &individual["is"]),
        (&"0 A".into(), &"16 A".into())
    );
    let ran = bench.run(&["rules", "us", "--edition", "1999"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("write one of: 2020, 2023, 2026"),
        "{}",
        ran.err
    );
}
