//! Instruments under their ids, as an entry of files with declared keys.

use super::entry::Entry;
use super::key_table::Form;
use super::keys::INSTRUMENT;
use super::model::Instrument;
use super::reader::Reader;
use super::write::instrument_entries;
use super::written::{Style, text};
use crate::yaml::Ix;

/// Instruments, each under its id.
pub(crate) struct Instruments;

impl Entry for Instruments {
    type Value = Vec<Instrument>;
    const FORM: Form = Form::Named(&Form::Map(&INSTRUMENT));
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Vec<Instrument>> {
        Some(r.instruments(ix))
    }
    fn write(&self, value: &Vec<Instrument>, style: Style) -> String {
        let one = |i: &Instrument| format!("{}: {}", text(&i.id), on_one_line(i, style));
        let all: Vec<String> = value.iter().map(one).collect();
        format!("{{ {} }}", all.join(", "))
    }
}

/// An instrument on one line, without its id.
pub(crate) fn on_one_line(instrument: &Instrument, style: Style) -> String {
    instrument_entries(instrument, style).text()
}
