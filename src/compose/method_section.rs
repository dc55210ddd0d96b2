//! Method and limits of the inspection: method, rule set and instruments; what was not done; safety
//! notes; how to verify the certificate.

use super::document::{
    Align, Block, Column, Columns, Countersignature, Row, Signal, Table, Text, link,
};
use super::first_page::unlisted;
use super::inputs::SealFacts;
use super::items::limitation_item;
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::sources::Sources;
use super::speaker::Speaker;
use crate::quantity::TemperatureDifference;
use crate::rules::{self, Bands};
use crate::visit::{Accuracy, HalfWidth, Instrument};
use crate::vocabulary::CheckId;

pub(super) fn section(speaker: &Speaker<'_>, sources: &Sources<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::METHOD_HEADING).to_owned(),
        anchor: Some("method".to_owned()),
    });
    let rules = speaker.rules;
    let thermal = &rules.thermal;
    let n = &speaker.numbers;
    // Blocks that need the whole width come first; the rest flows through two columns to the end.
    if !speaker.visit.instruments.is_empty() {
        body.push(Block::Table(instruments(speaker)));
    }
    if !rules.changes.is_empty() {
        body.push(Block::Table(changes(speaker)));
    }
    body.push(Block::Columns(Columns::Flowing(2)));
    let built_in = rules::built_in(&rules.id).is_some();
    let said = words.say(
        match built_in {
            true => &keys::METHOD_RULES,
            false => &keys::RULES_OWN,
        },
        &[
            ("title", &rules.title),
            ("id", &rules.id),
            ("edition", &rules.edition),
        ],
    );
    // The titles of the built-in sets are in English.
    let said = match said.split_once(&rules.title) {
        Some((before, after)) if built_in => Text::plain(before)
            .then(Text::plain(&rules.title).in_language("en"))
            .then(Text::plain(after)),
        _ => Text::plain(said),
    };
    body.push(Block::Paragraph(said));
    if !rules.prevailing.is_empty() {
        body.push(Block::Paragraph(Text::plain(words.say(
            &keys::METHOD_NATIONAL,
            &[("rules", &words.list(&rules.prevailing))],
        ))));
    }
    body.push(Block::List {
        numbered: false,
        items: vec![
            Text::plain(words.word(&keys::METHOD_TEMPERATURE)),
            Text::plain(words.say(
                &keys::METHOD_UNCERTAINTY,
                &[("factor", &n.trimmed(thermal.coverage_factor.value, 2))],
            )),
            Text::plain(words.word(&keys::METHOD_SETTLED)),
            Text::plain(words.say(
                &keys::METHOD_RATED,
                &[
                    ("low", &n.trimmed(thermal.exponent_range.value.low, 2)),
                    ("high", &n.trimmed(thermal.exponent_range.value.high, 2)),
                    ("least-load", &n.percent(thermal.least_load_fraction.value)),
                ],
            )),
            Text::plain(words.word(&keys::METHOD_PROJECTED)),
            Text::plain(words.word(&keys::METHOD_GRADES)),
        ],
    });
    body.push(Block::Table(limits(speaker, sources)));
    if let Some(remarks) = &speaker.visit.remarks {
        body.push(Block::Paragraph(
            Text::strong(words.word(&keys::REMARKS)).then(Text::plain(format!(" {remarks}"))),
        ));
    }
}

fn column(speaker: &Speaker<'_>, key: &Key, share: f32) -> Column {
    Column {
        head: speaker.wording.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    }
}

/// A name with the mark of the source behind it.
fn marked(sources: &Sources<'_>, source: &str, name: &str) -> String {
    let mark = sources.mark(source);
    mark.map_or(name.to_owned(), |mark| format!("{name} {mark}"))
}

/// The bands of every heat limit with their source.
fn limits(speaker: &Speaker<'_>, sources: &Sources<'_>) -> Table {
    let thermal = &speaker.rules.thermal;
    let rows = [
        (CheckId::Rise, &thermal.rise, false),
        (CheckId::LegDifference, &thermal.leg_difference, false),
        (CheckId::ProjectedHeat, &thermal.projected_margin, true),
        (CheckId::WorseThanBefore, &thermal.worse_than_before, false),
    ]
    .into_iter()
    .map(|(id, bands, negated)| Row {
        cells: vec![
            Text::plain(marked(
                sources,
                &bands.source,
                if negated {
                    speaker.wording.word(&keys::LIMITS_MARGIN)
                } else {
                    speaker.name(id)
                },
            )),
            Text::plain(bands_text(speaker, bands, negated)),
        ],
        group: false,
    })
    .collect();
    Table {
        caption: speaker.wording.word(&keys::LIMITS_CAPTION).to_owned(),
        columns: vec![
            column(speaker, &keys::COLUMN_CHECK, 1.0),
            column(speaker, &keys::COLUMN_BANDS, 2.0),
        ],
        rows,
        row_heads: true,
    }
}

/// “over 18 °F Note; from 36 °F Watch”. The edges of a margin are stored negated, because a margin
/// counts downwards.
fn bands_text(speaker: &Speaker<'_>, bands: &Bands, negated: bool) -> String {
    let words = speaker.wording;
    let texts: Vec<String> = bands
        .edges
        .iter()
        .map(|edge| {
            let at = if negated { -edge.at } else { edge.at };
            let key = match (negated, edge.inclusive) {
                (false, true) => &keys::BAND_FROM,
                (false, false) => &keys::BAND_OVER,
                (true, true) => &keys::BAND_UP_TO,
                (true, false) => &keys::BAND_UNDER,
            };
            words.say(
                key,
                &[
                    (
                        "edge",
                        &speaker
                            .numbers
                            .difference_exact(TemperatureDifference::from_kelvin(at)),
                    ),
                    ("grade", speaker.grade(edge.grade)),
                ],
            )
        })
        .collect();
    texts.join(words.word(&keys::BAND_BETWEEN))
}

fn changes(speaker: &Speaker<'_>) -> Table {
    let rows = speaker
        .rules
        .changes
        .iter()
        .map(|change| Row {
            cells: vec![
                Text::plain(&change.path),
                Text::plain(&change.was),
                Text::plain(&change.is),
            ],
            group: false,
        })
        .collect();
    Table {
        caption: speaker.wording.say(
            &keys::CHANGES_CAPTION,
            &[(
                "extends",
                speaker.rules.extends.as_deref().unwrap_or(NOT_TOLD),
            )],
        ),
        columns: vec![
            column(speaker, &keys::COLUMN_THRESHOLD, 2.0),
            column(speaker, &keys::COLUMN_WAS, 1.0),
            column(speaker, &keys::COLUMN_IS, 1.0),
        ],
        rows,
        row_heads: true,
    }
}

fn instruments(speaker: &Speaker<'_>) -> Table {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let or = |text: Option<String>| Text::plain(text.unwrap_or_else(|| NOT_TOLD.to_owned()));
    let rows = speaker
        .visit
        .instruments
        .iter()
        .map(|i| {
            let mut settings: Vec<String> = Vec::new();
            if let Some(e) = i.emissivity {
                settings.push(words.say(
                    &keys::INSTRUMENT_EMISSIVITY,
                    &[("value", &n.trimmed(e.value(), 2))],
                ));
            }
            if let Some(r) = i.distance_to_spot {
                settings.push(words.say(
                    &keys::INSTRUMENT_SPOT,
                    &[("ratio", &n.trimmed(r.value(), 1))],
                ));
            }
            let overdue = i.calibration_due.is_some_and(|d| d < speaker.visit.date);
            let due = match i.calibration_due {
                Some(date) if overdue => Text::marked(Signal::Caution, n.date_cell(date)),
                date => or(date.map(|d| n.date_cell(d))),
            };
            Row {
                cells: vec![
                    Text::plain(words.name(i.kind)),
                    or(i.model.clone()),
                    or(i.serial.clone()),
                    or(calibrated(i.calibrated.map(|d| n.date_cell(d)), i)),
                    due,
                    or(accuracy_and_repeatability(speaker, i)),
                    or((!settings.is_empty()).then(|| settings.join(", "))),
                ],
                group: false,
            }
        })
        .collect();
    Table {
        caption: words.word(&keys::INSTRUMENTS_CAPTION).to_owned(),
        columns: vec![
            column(speaker, &keys::COLUMN_INSTRUMENT, 1.0),
            column(speaker, &keys::COLUMN_MODEL, 1.0),
            column(speaker, &keys::COLUMN_SERIAL, 1.0),
            column(speaker, &keys::COLUMN_CALIBRATED, 0.0),
            column(speaker, &keys::COLUMN_DUE, 0.0),
            column(speaker, &keys::COLUMN_ACCURACY, 1.0),
            column(speaker, &keys::COLUMN_SETTINGS, 1.0),
        ],
        rows,
        row_heads: true,
    }
}

/// The day of the last calibration, and the number of its certificate if one is recorded.
fn calibrated(day: Option<String>, i: &Instrument) -> Option<String> {
    let parts = [day, i.certificate.clone()];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn accuracy_and_repeatability(speaker: &Speaker<'_>, i: &Instrument) -> Option<String> {
    let repeatability = i.repeatability.map(|d| {
        speaker.wording.say(
            &keys::REPEATABILITY,
            &[("value", &speaker.numbers.difference(d))],
        )
    });
    let parts = [
        i.accuracy.and_then(|a| accuracy(speaker, &a)),
        repeatability,
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(speaker.wording.word(&keys::BAND_BETWEEN)))
}

fn accuracy(speaker: &Speaker<'_>, accuracy: &Accuracy) -> Option<String> {
    let n = &speaker.numbers;
    let share = accuracy.of_reading.map(|p| n.percent(p.fraction()));
    let fixed = accuracy.at_least.map(|h| match h {
        HalfWidth::Temperature(d) => n.difference(d),
        HalfWidth::Torque(t) => n.torque(t),
        HalfWidth::Voltage(v) => n.voltage(v),
        HalfWidth::Current(i) => n.current(i),
    });
    Some(match (share, fixed) {
        (Some(share), Some(fixed)) => speaker.wording.say(
            &keys::ACCURACY_BOTH,
            &[("share", &share), ("fixed", &fixed)],
        ),
        (Some(share), None) => speaker
            .wording
            .say(&keys::ACCURACY_SHARE, &[("share", &share)]),
        (None, Some(fixed)) => speaker
            .wording
            .say(&keys::ACCURACY_FIXED, &[("fixed", &fixed)]),
        (None, None) => return None,
    })
}

pub(super) fn limitations(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::LIMITATIONS_HEADING).to_owned(),
        anchor: Some("limitations".to_owned()),
    });
    // What the first page lists is not listed again.
    let all = &speaker.assessment.limitations;
    let rest = unlisted(speaker);
    let sentence = if all.is_empty() {
        Some(&keys::LIMITATIONS_NONE)
    } else {
        (rest.len() < all.len()).then_some(&keys::LIMITATIONS_LISTED)
    };
    if let Some(key) = sentence {
        body.push(Block::Paragraph(Text::plain(words.word(key))));
    }
    if !rest.is_empty() {
        let items = rest.into_iter().map(|l| limitation_item(speaker, l));
        body.push(Block::List {
            numbered: false,
            items: items.collect(),
        });
    }
    body.push(Block::Paragraph(Text::plain(
        words.word(&keys::LIMITATIONS_ALWAYS),
    )));
}

pub(super) fn safety(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::SAFETY_HEADING).to_owned(),
        anchor: Some("safety".to_owned()),
    });
    body.push(Block::Caution {
        signal: Signal::Warning,
        title: words.word(&keys::SAFETY_SIGNAL).to_owned(),
        numbered: false,
        items: keys::SAFETY
            .iter()
            .map(|key| Text::plain(words.word(key)))
            .collect(),
    });
}

/// The empty boxes for further signatures. They are created before the file is sealed, so that
/// signing only fills them.
pub(super) fn countersignatures(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::COUNTERSIGN_HEADING).to_owned(),
        anchor: Some("countersignatures".to_owned()),
    });
    body.push(Block::Small(Text::plain(
        words.word(&keys::COUNTERSIGN_TEXT),
    )));
    let places = [
        ("Client", &keys::COUNTERSIGN_CLIENT),
        ("Landlord", &keys::COUNTERSIGN_LANDLORD),
        ("Reviewer", &keys::COUNTERSIGN_REVIEWER),
    ];
    let places = places.map(|(field, who)| {
        let who = words.word(who);
        Countersignature {
            field: field.to_owned(),
            who: who.to_owned(),
            alt: words.say(&keys::COUNTERSIGN_ALT, &[("who", who)]),
        }
    });
    body.push(Block::Countersignatures(places.into()));
}

pub(super) fn verify(speaker: &Speaker<'_>, seal: Option<&SealFacts>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::VERIFY_HEADING).to_owned(),
        anchor: Some("verify".to_owned()),
    });
    let Some(seal) = seal else {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::VERIFY_DRAFT),
        )));
        return;
    };
    body.push(Block::List {
        numbered: true,
        items: vec![
            Text::plain(words.word(&keys::VERIFY_READER)),
            Text::plain(words.word(&keys::VERIFY_COMMAND)),
            Text::plain(words.say(
                &keys::VERIFY_FINGERPRINT,
                &[("fingerprint", &seal.fingerprint)],
            )),
            Text::plain(words.word(&keys::VERIFY_RECORD)),
            Text::plain(words.word(&keys::VERIFY_PAPER)),
        ],
    });
    if seal.self_signed {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::VERIFY_SELF_SIGNED),
        )));
    }
    body.push(Block::Small(link(
        words.word(&keys::VERIFY_BACK),
        "#result",
    )));
}
