//! A fleet: certificates with a planted bad part, which is found, and a sound one, which is not accused.

use super::run::{Bench, alone};
use serde_json::Value;

/// A visit to the site with this number, whose charger is of this make; with `hot`, the charger's
/// connection of L1 is 60 °F hotter after an hour.
fn visit(n: usize, make: &str, hot: bool) -> String {
    let text = alone("townhouse-first");
    let text = match hot {
        true => text
            .replace("charger-L1: 64.5", "charger-L1: 104.5")
            .replace(
                "charger-L1: { temperature: 67.2",
                "charger-L1: { temperature: 127.2",
            ),
        false => text,
    };
    text.replace("Garage of 7 Larkmoor Row", &format!("{n} Mill Lane"))
        .replace("2024-0117", &format!("2024-{n:04}"))
        .replace("NB40-002718", &format!("S-{n}"))
        .replace("make: Nimbrel", &format!("make: {make}"))
        .replace("model: NB-40", "model: M-40")
}

/// 64 certificates: 14 of a bad make, of which 11 are hot, 16 of a sound one, of which none is, and 34 of
/// others, of which two are.
#[test]
fn a_planted_bad_part_is_found_and_a_sound_one_is_not_accused() {
    let bench = Bench::new();
    for n in 1..=64 {
        let (make, hot) = match n {
            1..=14 => ("Kestrel Works", n <= 11),
            15..=30 => ("Linnet", false),
            _ => (["Harrow", "Dunlin"][n % 2], n <= 32),
        };
        bench.write(&format!("visits/{n}/visit.yaml"), &visit(n, make, hot));
    }
    std::fs::create_dir(bench.path("filed")).unwrap();
    let ran = bench.run(&[
        "certify",
        "visits",
        "--name",
        "{site}/{number}.pdf",
        "-o",
        "filed",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let args = [
        "register",
        "filed",
        "--seals-only",
        "--allow-uncompared",
        "--fleet",
        "fleet.json",
    ];
    let ran = bench.run(&[&args[..], &["--page", "overview.html"]].concat());
    assert_eq!(ran.code, 0, "{} {}", ran.out, ran.err);

    let text = std::fs::read_to_string(bench.path("fleet.json")).unwrap();
    let fleet: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        (&fleet["circuits"], &fleet["visits"]),
        (&64.into(), &64.into())
    );
    let found: Vec<(&str, &str)> = fleet["stands_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (s["what"].as_str().unwrap(), s["value"].as_str().unwrap()))
        .collect();
    assert_eq!(found, [("charger-model", "Kestrel Works M-40")]);
    let bad = &fleet["stands_out"][0];
    assert_eq!(bad["or"], serde_json::json!(["charger make Kestrel Works"]));
    assert_eq!(
        (
            &bad["group"]["failed"],
            &bad["group"]["circuits"],
            &bad["rest"]["failed"]
        ),
        (&11.into(), &14.into(), &2.into())
    );
    let worst = &fleet["worst_margins"];
    assert_eq!(worst.as_array().unwrap().len(), 10);
    assert_eq!(
        (&worst[0]["connection"], &worst[0]["part"]),
        (&"charger-L1".into(), &"charger".into())
    );
    // Nothing names or ranks anybody.
    assert!(
        !text.contains("Maren Ody") && !text.contains("Brindlewick"),
        "{text}"
    );
    let page = std::fs::read_to_string(bench.path("overview.html")).unwrap();
    assert!(
        page.contains("<b>charger model Kestrel Works M-40</b>"),
        "{page}"
    );
    assert!(!page.contains("<b>charger model Linnet"), "{page}");
    let ran = bench.run(&args);
    assert_eq!(ran.code, 1, "fleet.json exists: {}", ran.err);
}
