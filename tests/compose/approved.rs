//! The approved wording of everything that somebody acts on: safety notes, results, grades, steps,
//! actions, and whether to charge. One file for each language, `approved/wording-LANGUAGE.snap`, with
//! the English sentence above its translation, so that whoever reads the language sees what a change
//! means before approving it. What must never change is in `safety.rs` and `meaning.rs`.

use std::collections::BTreeMap;
use std::fmt::Write;
use warmlug::compose::Wording;
use warmlug::visit::LANGUAGES;

/// Sections of the wording that are approved as a whole.
const SECTIONS: [&str; 13] = [
    "safety",
    "heat-steps",
    "grade",
    "result",
    "charging",
    "due",
    "mended",
    "since",
    "label",
    "letter",
    "order",
    "cause",
    "finding",
];

/// Single texts of other sections.
const TEXTS: [&str; 3] = [
    "limitations.always",
    "verify.draft",
    "evidence.torque-moved",
];

fn acted_on(key: &str) -> bool {
    let section = key.split('.').next().unwrap_or_default();
    SECTIONS.contains(&section) || TEXTS.contains(&key)
}

fn entries(language: &str) -> BTreeMap<&'static str, &'static str> {
    Wording::built_in(language).unwrap().entries().collect()
}

#[test]
fn what_people_act_on_has_its_approved_wording() {
    let english = entries("en");
    for section in SECTIONS {
        let own = format!("{section}.");
        assert!(english.keys().any(|key| key.starts_with(&own)), "{section}");
    }
    for key in TEXTS {
        assert!(english.contains_key(key), "{key}");
    }
    for language in LANGUAGES {
        let mut text = String::new();
        for (key, said) in entries(language)
            .into_iter()
            .filter(|(key, _)| acted_on(key))
        {
            // Spaces that do not break look like others.
            let shown = |text: &str| text.replace(['\u{a0}', '\u{202f}'], "~");
            let _ = writeln!(text, "{key}");
            if language != "en" {
                let _ = writeln!(text, "    en: {}", shown(english[key]));
            }
            let _ = writeln!(text, "    {language}: {}\n", shown(said));
        }
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("approved");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.set_description(
            "Approved wording. Read every sentence that changes before you approve it.",
        );
        settings.bind(|| insta::assert_snapshot!(format!("wording-{language}"), text));
    }
}
