//! What the safety notes must say in every language: the word without which a note would mean its
//! opposite, or less, is required; and no text asks for what a note forbids.
//!
//! Sources of the rules: live-dead-live at each point of work, NFPA 70E-2021 and 2024, 120.5(7);
//! lockout and tagout, 29 CFR 1910.147 and 1910.333 (from memory); approach boundaries, NFPA 70E,
//! Table 130.4(E)(a) (number from memory); persons, DIN VDE 0105-100, NF C 18-510 and RD 614/2001;
//! re-torquing only cold, relaxation and aluminum, common practice, no source (for relaxation also
//! NFPA 70 (2023), Informative Annex I).

use std::collections::BTreeMap;
use warmlug::compose::Wording;
use warmlug::visit::LANGUAGES;

fn entries(language: &str) -> BTreeMap<&'static str, &'static str> {
    Wording::built_in(language).unwrap().entries().collect()
}

/// Key of a note, and what it must contain in English, German, French and Spanish, in small
/// letters; several parts are separated by `|`, and all are required.
const REQUIRED: [(&str, [&str; 4]); 34] = [
    (
        "safety.licensed",
        [
            "only|qualified person",
            "nur|elektrofachkraft|unter deren leitung und aufsicht",
            "seule|qualifiée et habilitée (nf c 18-510)",
            "solo|cualificado (rd 614/2001)",
        ],
    ),
    (
        "safety.dead",
        [
            "before any work|lock out and tag|as if|live|each point of work|before and after",
            "vor jeder arbeit|gegen wiedereinschalten sichern|als stünde|jeder arbeitsstelle|vorher und nachher",
            "avant tout travail|condamner, signaler|comme si|chaque point de travail|avant et après",
            "antes de cualquier trabajo|bloquear y señalizar|como si|cada punto de trabajo|antes y después",
        ],
    ),
    (
        "safety.live",
        [
            "supply side|busbars|neighboring|stay live",
            "einspeisung|sammelschienen|benachbarte|bleiben|unter spannung",
            "arrivée|jeu de barres|voisins|restent sous tension",
            "alimentación|barras|contiguos|siguen con tensión",
        ],
    ),
    (
        "safety.cold",
        [
            "only when|cold|dead|only as",
            "nur nachziehen, wenn|kalt|spannungsfreiheit|nur, soweit",
            "ne resserrer qu|froide|absence de tension|seulement si",
            "solo con|fría|ausencia de tensión|solo si",
        ],
    ),
    ("safety.never", ["never", "niemals", "ne jamais", "nunca"]),
    (
        "safety.after",
        [
            "after the last reading|prove dead|before",
            "nach der letzten messung|spannungsfreiheit|bevor",
            "après la dernière mesure|absence de tension|avant de",
            "tras la última lectura|ausencia de tensión|antes de",
        ],
    ),
    (
        "safety.trouble",
        [
            "stop charging|if that can be done safely",
            "das laden beenden|wenn das gefahrlos möglich ist",
            "arrêter la recharge|sans danger",
            "dejar de cargar|sin peligro",
        ],
    ),
    (
        "safety.code",
        ["take precedence", "vorrang", "prévalent", "prevalecen"],
    ),
    (
        "heat-steps.in-full",
        [
            "lock out and tag|stay live|as the manufacturer allows|instead of|never",
            "gegen wiedereinschalten sichern|bleiben unter spannung|soweit der hersteller|nicht nachziehen|niemals",
            "consigner|restent sous tension|si le fabricant le permet|ne pas resserrer|jamais",
            "bloquear y señalizar|siguen con tensión|si el fabricante lo permite|no se reaprieta|nunca",
        ],
    ),
    (
        "heat-steps.dead",
        [
            "lock out and tag|as if|each point of work|before and after|stay live",
            "gegen wiedereinschalten sichern|als stünde|jeder arbeitsstelle|vorher und nachher|bleiben unter spannung",
            "condamner, signaler|comme si|chaque point de travail|avant et après|restent sous tension",
            "bloquear y señalizar|como si|cada punto de trabajo|antes y después|siguen con tensión",
        ],
    ),
    (
        "heat-steps.cold",
        [
            "wait until|loose when",
            "warten, bis|kalt locker",
            "attendre que|lâche à froid",
            "esperar a que|flojo en frío",
        ],
    ),
    (
        "heat-steps.torque",
        [
            "as the manufacturer allows|instead of",
            "soweit der hersteller|nicht nachziehen",
            "si le fabricant le permet|ne pas resserrer",
            "si el fabricante lo permite|no se reaprieta",
        ],
    ),
    (
        "heat-steps.never",
        ["never", "niemals", "ne jamais", "nunca"],
    ),
    (
        "result.to-do.stop.one",
        [
            "stop charging now|kept off until",
            "nicht mehr|abgeschaltet bleiben, bis",
            "arrêtez|rester coupé tant qu",
            "deje de cargar|desconectado hasta que",
        ],
    ),
    (
        "result.to-do.stop.other",
        [
            "stop charging|kept off until",
            "nicht mehr|abgeschaltet bleiben, bis",
            "arrêtez|rester coupés tant qu",
            "deje de cargar|desconectados hasta que",
        ],
    ),
    (
        "result.stop.text.one",
        [
            "do not charge",
            "laden sie kein",
            "n’y rechargez aucune",
            "no cargue",
        ],
    ),
    (
        "result.stop.text.other",
        [
            "do not charge",
            "laden sie dort kein",
            "n’y rechargez aucune",
            "no cargue",
        ],
    ),
    (
        "result.incomplete.text.one",
        [
            "not confirm",
            "bestätigt nicht",
            "n’atteste pas",
            "no confirma",
        ],
    ),
    (
        "result.incomplete.text.other",
        [
            "not confirm",
            "bestätigt nicht",
            "n’atteste pas",
            "no confirma",
        ],
    ),
    (
        "result.incomplete-notes.text.one",
        [
            "not confirm",
            "bestätigt nicht",
            "n’atteste pas",
            "no confirma",
        ],
    ),
    (
        "result.incomplete-notes.text.other",
        [
            "not confirm",
            "bestätigt nicht",
            "n’atteste pas",
            "no confirma",
        ],
    ),
    (
        "worksheet.isolation.text",
        [
            "lock out and tag|as if|each point of work|live source again|stay live",
            "gegen wiedereinschalten sichern|als stünde|jeder arbeitsstelle|noch einmal an bekannter|bleiben",
            "condamner, signaler|comme si|chaque point de travail|de nouveau|restent sous tension",
            "bloquear y señalizar|como si|cada punto de trabajo|otra vez|siguen con tensión",
        ],
    ),
    (
        "worksheet.isolation.voltage-hint",
        [
            "stop if",
            "aufhören, wenn keine",
            "s’arrêter s’il n’y en a pas",
            "parar si no",
        ],
    ),
    (
        "worksheet.isolation.dead-hint",
        [
            "not dead: stop|do not touch",
            "nicht spannungsfrei: stopp|nichts berühren",
            "stop, ne rien toucher",
            "alto, no tocar nada",
        ],
    ),
    (
        "worksheet.condition.stop-hint",
        [
            "stop|off and locked",
            "stopp|gesichert lassen",
            "stop|coupé et condamné",
            "alto|desconectado y bloqueado",
        ],
    ),
    (
        "worksheet.torque.text",
        [
            "only when|dead|only as|instead of",
            "nur wenn|spannungsfreiheit|nur nachziehen, soweit|nicht nachziehen",
            "seulement si|absence de tension|que si|ne pas resserrer",
            "solo con|ausencia de tensión|solo si|no se reaprieta",
        ],
    ),
    (
        "worksheet.torque.again",
        [
            "before this step|lock out and tag again|prove dead again",
            "vor diesem schritt|gegen wiedereinschalten sichern|erneut",
            "avant cette étape|consigner de nouveau|absence de tension",
            "antes de este paso|otra vez|de nuevo",
        ],
    ),
    (
        "worksheet.heat.text",
        [
            "only qualified persons|protective|current in each leg|millivolts|air inside|outside the approach boundary|never",
            "nur durch elektrofachkräfte|schutzausrüstung|stroms in jedem leiter|millivolt|luft in einem gehäuse|außerhalb der annäherungszone|niemals",
            "seules des personnes|protection|courant de chaque phase|millivolts|l’air dans|hors de la zone de voisinage|jamais",
            "solo trabajadores cualificados|protección|corriente de cada fase|milivoltios|aire dentro|fuera de la zona de proximidad|nunca",
        ],
    ),
    (
        "worksheet.heat.stop",
        [
            "do not energize",
            "nicht einschalten",
            "ne pas remettre",
            "no dar tensión",
        ],
    ),
    (
        "worksheet.close.text",
        [
            "after the last reading|prove dead again|only then",
            "nach der letzten messung|erneut|erst dann",
            "après la dernière mesure|absence de tension|seulement ensuite",
            "tras la última lectura|de nuevo|solo entonces",
        ],
    ),
    (
        "page.stop",
        [
            "stop|do not energize|do not measure",
            "stopp|nicht einschalten|keine temperaturen",
            "stop|ne pas le remettre|ne pas mesurer",
            "alto|no darle tensión|no medir",
        ],
    ),
    (
        "finding.spot-too-wide.any.action",
        [
            "do not move nearer|outside",
            "nicht näher|außerhalb",
            "ne pas s’approcher|hors de",
            "no acercarse|fuera de",
        ],
    ),
    (
        "finding.isolation-not-dead.any.action",
        [
            "do not open or touch",
            "nichts öffnen und nichts berühren",
            "ne rien ouvrir et ne rien toucher",
            "no abrir ni tocar",
        ],
    ),
    (
        "finding.condition.melted.action",
        [
            "off and locked out|proved dead",
            "gegen wiedereinschalten gesichert lassen|festgestellter spannungsfreiheit",
            "coupé et condamné|absence de tension vérifiée",
            "desconectado y bloqueado|ausencia de tensión verificada",
        ],
    ),
];

/// The languages of the columns of [`REQUIRED`].
const COLUMNS: [&str; 4] = ["en", "de", "fr", "es"];

#[test]
fn every_safety_note_keeps_its_deciding_words_in_every_language() {
    let mut languages = LANGUAGES;
    let mut columns = COLUMNS;
    languages.sort_unstable();
    columns.sort_unstable();
    assert_eq!(columns, languages, "a column for each language");
    let mut lost = Vec::new();
    for (column, language) in COLUMNS.into_iter().enumerate() {
        let entries = entries(language);
        for (key, required) in REQUIRED {
            let text = entries.get(key).copied().unwrap_or_default();
            let small = text.to_lowercase();
            for part in required[column].split('|') {
                if !small.contains(part) {
                    lost.push(format!("{language} {key}: no “{part}” in “{text}”"));
                }
            }
        }
    }
    assert!(lost.is_empty(), "{lost:#?}");
}

#[test]
fn no_safety_note_is_without_a_rule() {
    for key in entries("en").into_keys() {
        let note = ["safety.", "heat-steps."]
            .iter()
            .any(|s| key.starts_with(s));
        // Names, and steps that forbid nothing.
        let plain = key.ends_with(".heading")
            || [
                "safety.signal",
                "heat-steps.referred",
                "heat-steps.again",
                "heat-steps.replace",
            ]
            .contains(&key);
        if note && !plain {
            assert!(REQUIRED.iter().any(|(k, _)| *k == key), "{key} has no rule");
        }
    }
}

/// Actions on screws, which not every manufacturer allows to be tightened again.
const SCREWS: [&str; 4] = [
    "finding.torque-moved.corrected.action",
    "finding.torque-moved.untold.action",
    "finding.torque-left-wrong.low.action",
    "heat-steps.torque",
];

#[test]
fn a_screw_is_tightened_again_only_as_its_manufacturer_allows_and_aluminum_never() {
    for (language, maker, aluminum) in [
        (
            "en",
            "as the manufacturer allows",
            "re-terminate aluminum instead",
        ),
        (
            "de",
            "soweit der hersteller es zulässt",
            "aluminium nicht nachziehen",
        ),
        (
            "fr",
            "si le fabricant le permet",
            "ne pas resserrer l’aluminium",
        ),
        (
            "es",
            "si el fabricante lo permite",
            "el aluminio no se reaprieta",
        ),
    ] {
        let entries = entries(language);
        for key in SCREWS {
            let text = entries[key].to_lowercase();
            assert!(text.contains(maker), "{language} {key}: {text}");
            assert!(text.contains(aluminum), "{language} {key}: {text}");
        }
    }
}

/// Actions that ask for a reading at live parts.
const LIVE: [&str; 4] = [
    "finding.contact-drop.any.action",
    "finding.pattern-same-leg-everywhere.any.action",
    "finding.pattern-legs-hot-alike.any.action",
    "finding.pattern-air-hot.any.action",
];

#[test]
fn readings_at_live_parts_carry_their_caution_where_they_are_asked_for() {
    for (language, caution) in [
        ("en", "only a qualified person wearing protective equipment"),
        ("de", "nur durch Elektrofachkräfte mit Schutzausrüstung"),
        (
            "fr",
            "seulement par une personne habilitée portant ses équipements de protection",
        ),
        (
            "es",
            "solo un trabajador cualificado con equipos de protección",
        ),
    ] {
        let entries = entries(language);
        for key in LIVE {
            assert!(
                entries[key].contains(caution),
                "{language} {key}: {}",
                entries[key]
            );
        }
    }
}

/// Words that a reader of each language takes for something else: “tightened” of a screw that was
/// only found to move, one term for two things, or a state that nobody has confirmed.
const MISREAD: [(&str, &[&str]); 4] = [
    (
        "en",
        &[
            "has been tightened",
            "neighbor in the panel",
            "verdict",
            "is not told",
            "not trusted",
            "maker’s",
        ],
    ),
    (
        "de",
        &[
            "befähigt",
            "Urteil",
            "wurde angezogen",
            "interlassen",
            "Nachbar ",
            "vertraut",
        ],
    ),
    (
        "fr",
        &[
            "décolor",
            "mettre le feu",
            "est sûr",
            ", voisin dans le tableau",
            "a été resserrée",
            "Pour quand",
            "fabricant veut",
        ],
    ),
    (
        "es",
        &[
            "decolora",
            "un vecino",
            "cargador",
            "undido",
            "pedido",
            "Haga mirar",
            "Se ha apretado",
            "Juicio",
            "juicio",
            "Hallado",
        ],
    ),
];

#[test]
fn nothing_is_said_in_words_that_are_misread() {
    for (language, words) in MISREAD {
        for (key, text) in entries(language) {
            for word in words {
                assert!(
                    !text.contains(word),
                    "{language} {key}: “{word}” in “{text}”"
                );
            }
        }
    }
}
