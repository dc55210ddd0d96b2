//! Found hot, repaired and measured again on one day, in every language, and the visit after it.

use crate::run::{Bench, visit};
use serde_json::Value;

/// The visit of `examples/townhouse-return` without its photos and its judgement, in a language,
/// with a repair of L1 at the breaker at noon and, if `proved`, a second series after it.
///
/// L1 at the breaker is made hotter than the example has it: 120 °F beside 76.6 °F, 24 K apart, a
/// repair by ANSI/NETA MTS, Table 100.18 (over 15 K).
pub fn repaired(language: &str, proved: bool) -> String {
    let path = visit("townhouse-return");
    let text = std::fs::read_to_string(&path).unwrap();
    let (text, _) = text.split_once("\nphotos:").unwrap();
    let text = text
        .replace("  logo: logo.png\n  signature: signature.png\n", "")
        .replace("language: en", &format!("language: {language}"))
        .replace(
            "[92.0, 91.8, 92.1], distance: 18 in, drop: 38 mV",
            "120.0, distance: 18 in",
        )
        .replace("distance: 18 in, drop: 9 mV", "distance: 18 in")
        .replace("breaker-L1: 82.1", "breaker-L1: 104.0")
        .replace(
            "stab-L1: 72.1, stab-L2: 70.2",
            "stab-L1: 72.6, stab-L2: 72.4",
        )
        .replace(
            "stab-L1: { temperature: 77.6",
            "stab-L1: { temperature: 74.6",
        );
    let first = visit("townhouse-first");
    let after = "
    heat_after:
      with: imager
      charging_from: \"13:00\"
      rounds:
        - at: \"12:52\"
          air: 66.0
          current: 0 A
          readings: { breaker-L1: 66.3, breaker-L2: 66.3 }
        - at: \"13:15\"
          air: 66.2
          current: 40.1 A
          readings: { breaker-L1: { temperature: 72.3, distance: 18 in }, breaker-L2: { temperature: 72.1, distance: 18 in } }
        - at: \"14:01\"
          air: 66.7
          current: 40.1 A
          readings: { breaker-L1: { temperature: 76.8, distance: 18 in }, breaker-L2: { temperature: 76.6, distance: 18 in } }
";
    format!(
        "{text}
    repairs:
      - {{ connection: breaker-L1, done: part-replaced, part: Sample Works B250, at: \"12:10\", cooled_to: 67, with: imager }}
{}
earlier: [ {first:?} ]
",
        if proved { after } else { "" }
    )
}

fn checked(bench: &Bench, language: &str, proved: bool) -> (Value, String) {
    bench.write("visit.yaml", &repaired(language, proved));
    let ran = bench.run(&["check", "visit.yaml", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let told = bench.run(&["check", "visit.yaml"]).out;
    let words = told.replace(['\u{a0}', '\u{202f}'], " ");
    let words: Vec<&str> = words.split_whitespace().collect();
    (serde_json::from_str(&ran.out).unwrap(), words.join(" "))
}

#[test]
fn a_repair_that_was_measured_again_is_told_with_before_and_after_in_every_language() {
    let bench = Bench::new();
    // Rises at 40 A, from the last round at 40.1 A: 53.3 °F (29.6 K) before, 10.1 °F (5.6 K) after.
    for (language, told) in [
        (
            "en",
            [
                "Found and repaired during this visit",
                "breaker-L1 got a new part at 12:10: Sample Works B250. It had cooled to 67 °F before.",
                "hotter than the air at rated current before the repair,",
            ],
        ),
        (
            "de",
            [
                "Bei diesem Besuch gefunden und behoben",
                "Sample Works B250",
                "bei Bemessungsstrom vor der Reparatur",
            ],
        ),
        (
            "fr",
            [
                "Trouvé et réparé pendant cette visite",
                "Sample Works B250",
                "de plus que l’air avant la réparation",
            ],
        ),
        (
            "es",
            [
                "Encontrado y reparado en esta visita",
                "Sample Works B250",
                "más caliente que el aire antes de la reparación",
            ],
        ),
    ] {
        let (json, text) = checked(&bench, language, true);
        for told in told {
            assert!(text.contains(told), "{language}: {told}\n{text}");
        }
        assert_eq!(json["outcome"], "satisfactory", "{language}: {json:#}");
        assert_eq!(json["complete"], true);
        assert_eq!(json["charging"], "as-usual");
        let [mended] = json["mended"].as_array().unwrap().as_slice() else {
            panic!("{json:#}");
        };
        assert_eq!(mended["proved"], true);
        let repair = &mended["repairs"][0];
        let kelvin = |key: &str| repair[key].as_f64().unwrap();
        assert!((kelvin("rise_before_k") - 29.6).abs() < 1.0, "{repair}");
        assert!((kelvin("rise_after_k") - 5.6).abs() < 1.0, "{repair}");
    }
}

#[test]
fn a_repair_that_was_not_measured_again_forbids_charging_as_the_fault_did() {
    let bench = Bench::new();
    for (language, told, due, charge) in [
        (
            "en",
            "so nothing shows yet that the repair holds",
            "Measured again at full current by an electrician before the circuit is used",
            "No. Leave the circuit switched off until an electrician has measured the repair at full current.",
        ),
        (
            "de",
            "noch zeigt nichts, dass die Reparatur hält",
            "bei vollem Strom neu messen",
            "Nein. Lassen Sie den Stromkreis abgeschaltet, bis eine Elektrofachkraft die Reparatur bei vollem Strom nachgemessen hat.",
        ),
        (
            "fr",
            "rien ne montre encore que la réparation tient",
            "À mesurer de nouveau à plein courant par un électricien",
            "Non. Laissez le circuit coupé jusqu’à ce qu’un électricien ait mesuré la réparation à plein courant.",
        ),
        (
            "es",
            "nada demuestra todavía que la reparación sea buena",
            "medir de nuevo a plena corriente antes de usar el circuito",
            "No. Deje el circuito desconectado hasta que un electricista haya medido la reparación a plena corriente.",
        ),
    ] {
        let (json, text) = checked(&bench, language, false);
        assert_eq!(json["complete"], false, "{language}");
        assert_eq!(json["charging"], "not-at-all", "{language}: {json:#}");
        assert_eq!(json["next_due"], Value::Null);
        assert_eq!(json["mended"][0]["proved"], false);
        assert!(text.contains(told), "{language}: {told}\n{text}");
        assert!(text.contains(due), "{language}: {due}\n{text}");
        assert!(text.contains(charge), "{language}: {charge}\n{text}");
    }
}

#[test]
fn a_second_visit_of_the_same_day_knows_the_repair() {
    let bench = Bench::new();
    bench.write("morning/visit.yaml", &repaired("en", true));
    let ran = bench.run(&[
        "new",
        "--from",
        "morning/visit.yaml",
        "--date",
        "2025-05-14",
        "--number",
        "2025-0047",
        "-o",
        "noon/visit.yaml",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("noon/visit.yaml")).unwrap();
    assert!(text.contains("../morning/visit.yaml"), "{text}");
    let ran = bench.run(&["check", "noon/visit.yaml", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        bench
            .run(&[
                "certify",
                "morning/visit.yaml",
                "-o",
                "morning/certificate.pdf"
            ])
            .code
            == 0
    );
    let ran = bench.run(&["verify", "morning/certificate.pdf", "--allow-uncompared"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
}
