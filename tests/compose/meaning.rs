//! Whether a sentence means the same in every language: a "never" that is lost, a "do not" that is
//! turned round, the hot leg exchanged with the cool one, one month for another.
//!
//! The rules need no knowledge of a language beyond its words of negation; what they let pass, the list
//! of exceptions shows with its reason. `safety.rs` has rules of their own for the safety notes.

use std::collections::BTreeMap;
use warmlug::compose::Wording;
use warmlug::visit::LANGUAGES;

fn entries(language: &str) -> BTreeMap<&'static str, &'static str> {
    Wording::built_in(language).unwrap().entries().collect()
}

/// Words of a text in small letters; an apostrophe ends a word and stays with it (`n’`).
fn words(text: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    for c in text.chars() {
        match c {
            '’' | '\'' => {
                if let Some(last) = all.last_mut() {
                    last.push('’');
                }
                all.push(String::new());
            }
            c if c.is_alphanumeric() => {
                if let Some(last) = all.last_mut() {
                    last.extend(c.to_lowercase());
                }
            }
            _ => all.push(String::new()),
        }
    }
    all.retain(|word| !word.is_empty());
    all
}

/// Words that deny: from the grammars of the languages, from memory.
fn denies(language: &str, text: &str) -> bool {
    let words = words(text);
    let any = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let starts = |list: &[&str]| words.iter().any(|w| list.iter().any(|l| w.starts_with(l)));
    match language {
        "en" => {
            // `No. 3` is a number.
            let numbers = text.to_lowercase().matches("no. {").count() + usize::from(text == "No.");
            let no = words.iter().filter(|w| *w == "no").count();
            no > numbers
                || any(&[
                    "not", "never", "cannot", "nothing", "nobody", "neither", "nor", "none",
                ])
        }
        "de" => {
            any(&[
                "nicht", "nie", "niemals", "nichts", "weder", "niemand", "nein", "nirgends",
            ]) || starts(&["kein"])
        }
        // `ne` alone also goes with comparisons: “plus qu’elle ne devrait”.
        "fr" => {
            any(&[
                "pas", "jamais", "rien", "aucun", "aucune", "ni", "non", "personne",
            ]) || words.iter().enumerate().any(|(at, w)| {
                let near = words.iter().skip(at + 1).take(4);
                ["ne", "n’"].contains(&w.as_str())
                    && near
                        .into_iter()
                        .any(|w| ["plus", "que", "qu’"].contains(&w.as_str()))
            })
        }
        "es" => {
            any(&["no", "nunca", "jamás", "nada", "ni", "tampoco", "nadie"])
                || starts(&["ningun", "ningún"])
        }
        _ => unreachable!("{language}"),
    }
}

/// Parts of words that say the same without a word of negation.
fn lacks(language: &str, text: &str) -> bool {
    let words = words(text);
    let any = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let starts = |list: &[&str]| words.iter().any(|w| list.iter().any(|l| w.starts_with(l)));
    match language {
        "en" => {
            any(&[
                "without",
                "only",
                "until",
                "stop",
                "off",
                "instead",
                "outside",
                "too",
                "otherwise",
                "unless",
                "less",
                "lost",
                "keep",
                "rather",
                "beyond",
                "except",
                "alone",
                "out",
                "missing",
                "absent",
                "impossible",
                "incomplete",
                "prevents",
                "most",
                "unknown",
                "unlike",
                "than",
            ]) || starts(&["fail", "lack", "refus"])
                || words
                    .iter()
                    .any(|w| w.starts_with("un") && w.ends_with("ed"))
        }
        "de" => {
            any(&["ohne", "höchstens"]) || starts(&["unbek", "ungeeig", "unver", "unvoll", "fehlt"])
        }
        "fr" => {
            any(&["sans"])
                || text.contains("au plus")
                || starts(&["impossible", "inadapt", "inaccess", "incompl", "inconnu"])
        }
        "es" => {
            any(&["sin"])
                || text.contains("como máximo")
                || starts(&["descono", "inadec", "inacces", "incompl"])
        }
        _ => unreachable!("{language}"),
    }
}

/// Sentences of which one language denies what another says without a denial, and why both are right.
const EXCEPTIONS: &[(&str, &str)] = &[
    ("limitation.torque-in-doubt", "“not until” is “erst, wenn”"),
    (
        "limitation.distance-in-doubt",
        "“not until” is “erst, wenn”",
    ),
    ("limitation.width-in-doubt", "“not until” is “erst, wenn”"),
    (
        "limitation.emissivity-in-doubt",
        "“not until” is “erst, wenn”",
    ),
    (
        "history.alt.steady",
        "“no change” is “an absence of change”",
    ),
    ("circuit.wiring.nm-cable", "a metal or another material"),
    ("column.serial", "a number"),
    (
        "finding.isolation-not-dead.any.text",
        "“not dead” is “under a voltage”",
    ),
    ("finding.isolation-not-dead.name", "“not dead” is “live”"),
    (
        "finding.isolation-proved.pass.text",
        "“dead” is “without a voltage”",
    ),
    (
        "finding.leg-difference.pass.text",
        "“within” is “no more than”",
    ),
    (
        "findings.trend.slope",
        "“no change” is “an absence of change”",
    ),
    ("heat.settled.contradictory", "“disagree” is “do not agree”"),
    (
        "limitation.would-not-show",
        "“not shown” is “passed unnoticed”",
    ),
    ("result.again", "“differ” is “do not agree”"),
    (
        "result.repair.title",
        "“unsatisfactory” is “not satisfactory”",
    ),
];

#[test]
fn no_denial_is_lost_or_added_in_a_translation() {
    let english = entries("en");
    let mut found = Vec::new();
    for language in LANGUAGES.iter().filter(|l| **l != "en") {
        for (key, text) in entries(language) {
            let source = english[key];
            let (here, there) = (denies(language, text), denies("en", source));
            let lost = there && !here && !lacks(language, text);
            let added = here && !there && !lacks("en", source);
            if lost || added {
                found.push((key, *language, source, text));
            }
        }
    }
    let excepted = |key: &str| EXCEPTIONS.iter().any(|(k, _)| *k == key);
    let unexplained: Vec<_> = found.iter().filter(|(key, ..)| !excepted(key)).collect();
    assert!(unexplained.is_empty(), "{unexplained:#?}");
    let unneeded: Vec<_> = EXCEPTIONS
        .iter()
        .filter(|(key, _)| found.iter().all(|(k, ..)| k != key))
        .collect();
    assert!(unneeded.is_empty(), "no exceptions: {unneeded:#?}");
}

/// How many sentences would not be noticed if their denial were taken out, because another word in them
/// also limits what they say.
#[test]
fn a_denial_taken_out_is_noticed() {
    let english = entries("en");
    for (language, words) in [
        (
            "de",
            &[
                "nicht", "nie", "niemals", "nichts", "kein", "keine", "keinen", "keinem", "keiner",
            ][..],
        ),
        ("fr", &["ne", "pas", "jamais", "rien", "aucun", "aucune"]),
        ("es", &["no", "nunca", "ningún", "ninguna", "nada"]),
    ] {
        let (mut noticed, mut all) = (0, 0);
        for (key, text) in entries(language) {
            if !denies(language, text) || !denies("en", english[key]) {
                continue;
            }
            let kept = text.split(' ').filter(|w| {
                !words.contains(
                    &w.trim_matches(|c: char| !c.is_alphabetic())
                        .to_lowercase()
                        .as_str(),
                )
            });
            let changed = kept.collect::<Vec<_>>().join(" ");
            if changed == text {
                continue;
            }
            all += 1;
            noticed += usize::from(!denies(language, &changed) && !lacks(language, &changed));
        }
        println!("{language}: {noticed} of {all}");
        assert!(
            all > 50 && noticed * 10 >= all * 8,
            "{language}: {noticed} of {all}"
        );
    }
}

/// Pairs of values that mean the opposite of each other, in the order of the English sentence.
const PAIRS: [(&str, &str); 8] = [
    ("{hot_leg}", "{cool_leg}"),
    ("{before}", "{after}"),
    ("{found}", "{left}"),
    ("{was}", "{is}"),
    ("{from}", "{to}"),
    ("{value}", "{limit}"),
    ("{hottest}", "{rating}"),
    ("{first}", "{last}"),
];

#[test]
fn values_that_are_opposites_come_in_the_same_order_in_every_language() {
    let english = entries("en");
    let mut compared = BTreeMap::new();
    for language in LANGUAGES.iter().filter(|l| **l != "en") {
        for (key, text) in entries(language) {
            for (one, other) in PAIRS {
                let order = |text: &str| Some(text.find(one)?.cmp(&text.find(other)?));
                if let (Some(here), Some(there)) = (order(text), order(english[key])) {
                    *compared.entry(one).or_insert(0) += 1;
                    assert_eq!(here, there, "{language} {key}: {text}");
                }
            }
        }
    }
    // Four grades of the difference between legs, in three languages.
    assert!(compared["{hot_leg}"] >= 12, "{compared:?}");
}

#[test]
fn months_have_their_names() {
    // Unicode CLDR 47, dates/calendars/gregorian/months/format/wide, as given by Babel 2.19.0.
    let published = [
        (
            "en",
            "January February March April May June July August September October November December",
        ),
        (
            "de",
            "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
        ),
        (
            "fr",
            "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
        ),
        (
            "es",
            "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
        ),
    ];
    assert_eq!(published.len(), LANGUAGES.len());
    for (language, names) in published {
        let wording = Wording::built_in(language).unwrap();
        let numbers = warmlug::compose::numbers::Numbers::new(warmlug::visit::Units::Si, wording);
        let names: Vec<_> = names.split(' ').collect();
        assert_eq!(names.len(), 12);
        for (month, name) in (1..).zip(names) {
            let date = chrono::NaiveDate::from_ymd_opt(2026, month, 5).unwrap();
            let said = numbers.date(date).replace('\u{a0}', " ");
            assert!(
                said.split(' ').any(|word| word == name),
                "{language}: {said}"
            );
        }
    }
}

/// The words that decide what an owner does, approved by reading them: grade, and whether to charge.
#[test]
fn grades_and_the_answer_to_may_i_charge_are_the_approved_words() {
    let approved = [
        (
            "grade.pass",
            ["In order", "In Ordnung", "Conforme", "Correcto"],
        ),
        ("grade.note", ["Note", "Hinweis", "À noter", "Nota"]),
        (
            "grade.watch",
            ["Watch", "Beobachten", "À surveiller", "Vigilar"],
        ),
        (
            "grade.repair",
            ["Repair", "Instand setzen", "À réparer", "Reparar"],
        ),
        (
            "grade.stop",
            [
                "Stop using",
                "Nicht benutzen",
                "Ne plus utiliser",
                "No usar",
            ],
        ),
        (
            "grade.not-complete",
            ["Not complete", "Unvollständig", "Incomplet", "Incompleto"],
        ),
        (
            "charging.circuits.as-usual",
            [
                "Yes, as usual",
                "Ja, wie gewohnt",
                "Oui, comme d’habitude",
                "Sí, como siempre",
            ],
        ),
        ("charging.circuits.not-at-all", ["No", "Nein", "Non", "No"]),
        (
            "charging.circuits.limited",
            [
                "At most {current}",
                "Höchstens {current}",
                "{current} au plus",
                "{current} como máximo",
            ],
        ),
        (
            "charging.circuits.as-usual-incomplete",
            [
                "Not fully checked",
                "Nicht vollständig geprüft",
                "Contrôle incomplet",
                "Comprobación incompleta",
            ],
        ),
    ];
    for (key, texts) in approved {
        for (language, text) in ["en", "de", "fr", "es"].into_iter().zip(texts) {
            let said = entries(language)[key].replace('\u{a0}', " ");
            assert_eq!(said, text, "{language} {key}");
        }
    }
    // What a longer answer begins with.
    let begins = [
        ("charging.as-usual", ["Yes", "Ja", "Oui", "Sí"]),
        (
            "charging.limited",
            [
                "Yes, but with no more than {current}",
                "Ja, aber mit höchstens {current}",
                "Oui, mais avec {current} au plus",
                "Sí, pero con {current} como máximo",
            ],
        ),
        (
            "charging.not-at-all",
            [
                "No. Leave the circuit switched off",
                "Nein. Lassen Sie den Stromkreis abgeschaltet",
                "Non. Laissez le circuit coupé",
                "No. Deje el circuito desconectado",
            ],
        ),
        (
            "charging.not-proved",
            [
                "No. Leave the circuit switched off",
                "Nein. Lassen Sie den Stromkreis abgeschaltet",
                "Non. Laissez le circuit coupé",
                "No. Deje el circuito desconectado",
            ],
        ),
    ];
    for (key, texts) in begins {
        for (language, text) in ["en", "de", "fr", "es"].into_iter().zip(texts) {
            let said = entries(language)[key].replace('\u{a0}', " ");
            assert!(said.starts_with(text), "{language} {key}: {said}");
        }
    }
}
