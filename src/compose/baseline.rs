//! The table of a sound first visit with which later readings are compared.

use super::connections::Connections;
use super::document::{Align, Block, Column, Row, Table, Text};
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::speaker::Speaker;
use crate::assess::Baseline;

/// Writes the table, if the visit gives a baseline.
pub(super) fn section(speaker: &Speaker<'_>, connections: &Connections<'_>, body: &mut Vec<Block>) {
    let baseline = &speaker.assessment.baseline;
    if baseline.is_empty() {
        return;
    }
    let words = speaker.wording;
    let n = &speaker.numbers;
    let column = |key: &Key, unit: Option<&str>, align| Column {
        head: words.word(key).to_owned(),
        unit: unit.map(str::to_owned),
        align,
        share: if align == Align::Left { 1.0 } else { 0.0 },
    };
    let not_told = || NOT_TOLD.to_owned();
    let row = |b: &Baseline| {
        let numbered = connections.find(Some(&b.circuit), &b.connection);
        let place = speaker.location_of(Some(&b.circuit), Some(&b.place));
        Row {
            cells: vec![
                Text::plain(numbered.map_or_else(not_told, |c| c.number.to_string())),
                Text::plain(&b.connection),
                Text::plain(place),
                Text::plain(n.difference_cell(b.rise.value)),
                Text::plain(n.difference_cell(b.rise.expanded)),
                Text::plain(
                    b.surface
                        .map_or_else(not_told, |s| words.name(s).to_owned()),
                ),
                Text::plain(b.distance.map_or_else(not_told, |d| n.length(d))),
            ],
            group: false,
        }
    };
    let unit = Some(n.difference_unit());
    body.push(Block::Heading {
        level: 3,
        text: words.word(&keys::BASELINE_HEADING).to_owned(),
        anchor: Some("baseline".to_owned()),
    });
    body.push(Block::Paragraph(Text::plain(
        words.word(&keys::BASELINE_TEXT),
    )));
    body.push(Block::Table(Table {
        caption: words.word(&keys::BASELINE_CAPTION).to_owned(),
        columns: vec![
            column(&keys::COLUMN_NUMBER, None, Align::Decimal),
            column(&keys::COLUMN_CONNECTION, None, Align::Left),
            column(&keys::COLUMN_PLACE, None, Align::Left),
            column(&keys::COLUMN_AT_RATED, unit, Align::Decimal),
            column(&keys::COLUMN_UNCERTAINTY, unit, Align::Decimal),
            column(&keys::BASELINE_SPOT, None, Align::Left),
            column(&keys::BASELINE_DISTANCE, None, Align::Left),
        ],
        rows: baseline.iter().map(row).collect(),
        row_heads: true,
    }));
}
