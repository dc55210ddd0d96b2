//! Writes a visit as a file, for the next visit and for starter files.
//!
//! The text is commented, keeps the order of the model, and reads back to an equal visit. The
//! caller may add comments at the top, above the instruments and after each circuit. Quantities are
//! written in the units that the visit prints, unless another unit expresses the same value in
//! fewer digits, which then is the unit in which it was originally written.

use super::entry::{Entry, Keys};
use super::equipment::TypeOrMap;
use super::format_version::FORMAT;
use super::model::{Accuracy, Circuit, HalfWidth, Heat, Instrument, Reading, Round, Visit};
use super::repairs::StateOrMap;
use super::words::Word;
use super::written::{Flow, Style, Written, flow_list, list, quoted, text, time, yes};
use crate::quantity::{Kind, Quantity, Ratio, Unit, plausible};
use std::fmt::Write;

/// The text of a visit file that reads back to this visit.
///
/// A visit returned by [`read`](super::read) always reads back equal. Rounds are written only with
/// their time of day, so two rounds more than twelve hours apart across midnight, which no file can
/// express, do not.
pub fn write(visit: &Visit) -> String {
    write_with(visit, &Comments::default())
}

/// Lines written as comments between the values; none of them contains a line break.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Comments {
    /// At the very top, before the general remark.
    pub head: Vec<String>,
    /// After the general remark, where the visit begins.
    pub visit: Vec<String>,
    /// Above the instruments.
    pub instruments: Vec<String>,
    /// After each circuit, in the visit's order.
    pub circuits: Vec<Vec<String>>,
    /// Declares the printed units as the units of the file's bare numbers.
    pub bare_numbers: bool,
}

/// The text of a visit file with comments; it reads back to this visit like that of [`write()`].
pub fn write_with(visit: &Visit, comments: &Comments) -> String {
    let mut w = Writer {
        out: String::new(),
        style: Style {
            system: visit.print.units,
        },
    };
    w.visit(visit, comments);
    w.out
}

struct Writer {
    out: String,
    style: Style,
}

impl Writer {
    /// A separate line: indentation, key, value.
    fn line(&mut self, indent: usize, key: &str, value: impl AsRef<str>) {
        // Writing to a `String` cannot fail.
        let _ = writeln!(self.out, "{:indent$}{key}: {}", "", value.as_ref());
    }

    fn maybe(&mut self, indent: usize, key: &str, value: Option<String>) {
        if let Some(value) = value {
            self.line(indent, key, value);
        }
    }

    /// A map with declared keys, on one line.
    fn map(&mut self, indent: usize, key: &str, map: &impl Keys) {
        self.line(indent, key, map.entries(self.style).text());
    }

    fn maybe_map(&mut self, indent: usize, key: &str, map: Option<&impl Keys>) {
        if let Some(map) = map {
            self.map(indent, key, map);
        }
    }

    /// The entries of a map with declared keys, one per line.
    fn entries(&mut self, indent: usize, map: &impl Keys) {
        for (key, value) in map.entries(self.style).0 {
            self.entry(indent, &key, value);
        }
    }

    /// An item of a list: the entries of a map with declared keys, one per line.
    fn item_lines(&mut self, indent: usize, map: &impl Keys) {
        let mut entries = map.entries(self.style).0.into_iter();
        if let Some((key, value)) = entries.next() {
            self.item(indent, format!("{key}: {}", value.text()));
        }
        for (key, value) in entries {
            self.entry(indent + 2, &key, value);
        }
    }

    fn entry(&mut self, indent: usize, key: &str, value: Written) {
        match value {
            Written::Inline(value) => self.line(indent, key, value),
            Written::Lines(value) => self.lines(indent, key, Some(&value)),
            Written::Items(items) => {
                self.head(indent, key, "");
                for item in items {
                    self.item(indent + 2, item);
                }
            }
        }
    }

    /// A list of maps with declared keys, each on one line.
    fn list(&mut self, indent: usize, key: &str, items: &[impl Keys]) {
        if items.is_empty() {
            return;
        }
        self.head(indent, key, "");
        for item in items {
            self.item(indent + 2, item.entries(self.style).text());
        }
    }

    /// The first line of a map or list, with a comment.
    fn head(&mut self, indent: usize, key: &str, comment: &str) {
        let space = if comment.is_empty() { "" } else { "  # " };
        let _ = writeln!(self.out, "{:indent$}{key}:{space}{comment}", "");
    }

    fn item(&mut self, indent: usize, value: impl AsRef<str>) {
        let _ = writeln!(self.out, "{:indent$}- {}", "", value.as_ref());
    }

    /// A text that may have several lines, after a key.
    fn lines(&mut self, indent: usize, key: &str, value: Option<&String>) {
        let Some(value) = value else { return };
        if !value.contains('\n') {
            self.line(indent, key, text(value));
            return;
        }
        self.line(indent, key, "|-");
        let inner = indent + 2;
        for line in value.split('\n') {
            if line.is_empty() {
                self.out.push('\n');
            } else {
                let _ = writeln!(self.out, "{:inner$}{line}", "");
            }
        }
    }

    /// The lines as comments.
    fn comments(&mut self, indent: usize, lines: &[String]) {
        for line in lines {
            let shown = format!("{:indent$}# {line}", "");
            let _ = writeln!(self.out, "{}", shown.trim_end());
        }
    }

    fn visit(&mut self, visit: &Visit, comments: &Comments) {
        self.comments(0, &comments.head);
        self.out.push_str(
            "# One visit. Every quantity carries its unit; `warmlug check` reports what is wrong\n\
             # and what is missing.\n",
        );
        if !comments.visit.is_empty() {
            self.out.push_str("#\n");
            self.comments(0, &comments.visit);
            self.out.push('\n');
        }
        self.line(0, "format", FORMAT.to_string());
        self.head(0, "visit", "");
        self.line(2, "number", text(&visit.number));
        self.line(2, "date", visit.date.to_string());
        self.line(2, "reason", visit.reason.word());
        self.line(2, "rules", text(&visit.rules));
        self.maybe(2, "firm", visit.firm.as_deref().map(text));
        self.maybe(2, "edition", visit.edition.as_deref().map(text));
        self.maybe(2, "zone", visit.zone.as_deref().map(quoted));
        self.maybe_map(2, "replaces", visit.replaces.as_ref());
        let mut print = Flow::default();
        print.put("units", visit.print.units.word());
        print.put("paper", visit.print.paper.word());
        print.put("language", list(visit.print.language.iter().cloned()));
        if visit.print.appendix {
            print.put("appendix", yes(visit.print.appendix));
        }
        self.line(0, "print", print.text());
        if comments.bare_numbers {
            let mut units = Flow::default();
            for kind in [Kind::Temperature, Kind::Torque, Kind::Length] {
                units.maybe(
                    kind.key().unwrap_or_default(),
                    kind.key()
                        .map(|_| self.style.system.unit(kind).symbol().to_owned()),
                );
            }
            self.line(0, "units", units.text());
        }

        self.out.push('\n');
        self.head(0, "inspector", "");
        self.entries(2, &visit.inspector);
        self.head(0, "client", "");
        self.entries(2, &visit.client);
        self.head(0, "site", "");
        self.entries(2, &visit.site);

        if !visit.instruments.is_empty() {
            self.out.push('\n');
            self.comments(0, &comments.instruments);
            self.head(0, "instruments", "");
            for instrument in &visit.instruments {
                self.instrument(instrument);
            }
        }
        self.out.push('\n');
        self.head(0, "circuits", "");
        for (i, circuit) in visit.circuits.iter().enumerate() {
            self.circuit(circuit);
            if let Some(lines) = comments.circuits.get(i).filter(|l| !l.is_empty()) {
                self.out.push('\n');
                self.comments(4, lines);
            }
        }
        self.out.push('\n');
        self.photos(visit);
        if !visit.earlier.is_empty() {
            self.line(
                0,
                "earlier",
                flow_list(visit.earlier.iter().map(|p| text(p))),
            );
        }
        if !visit.judgement.is_empty() {
            self.head(
                0,
                "judgement",
                "the inspector's own judgement, always printed as such",
            );
            for j in &visit.judgement {
                self.item(2, j.entries(self.style).text());
            }
        }
        self.lines(0, "remarks", visit.remarks.as_ref());
        if let Some(cut_short) = &visit.cut_short {
            self.head(0, "cut_short", "");
            self.entries(2, cut_short);
        }
    }

    fn instrument(&mut self, i: &Instrument) {
        self.head(2, &text(&i.id), "");
        for (key, value) in instrument_entries(i, self.style).0 {
            self.entry(4, &key, value);
        }
    }

    fn circuit(&mut self, c: &Circuit) {
        self.item(2, format!("id: {}", text(&c.id)));
        self.maybe(4, "name", c.name.as_deref().map(text));
        self.map(4, "charger", &c.charger);
        self.map(4, "supply", &c.supply);
        self.map(4, "breaker", &c.breaker);
        self.map(4, "conductors", &c.conductors);
        self.maybe_map(4, "feeder", c.feeder.as_ref());
        self.maybe_map(4, "receptacle", c.receptacle.as_ref());
        self.maybe_map(4, "disconnect", c.disconnect.as_ref());
        self.maybe(4, "dedicated", c.dedicated.map(yes));
        self.maybe(4, "outdoors", c.outdoors.map(yes));
        self.maybe_map(4, "load_management", c.load_management.as_ref());
        self.maybe(4, "rcd", c.rcd.map(|r| TypeOrMap.write(&r, self.style)));
        self.maybe(4, "hottest_air", self.style.maybe_q(c.hottest_air));
        self.head(
            4,
            "places",
            "where covers come off, in order from the supply",
        );
        for place in &c.places {
            self.item_lines(6, place);
        }
        self.list(4, "removed", &c.removed);
        self.list(4, "not_read", &c.not_read);
        match c.isolation.as_slice() {
            [] => {}
            [one] => {
                self.head(4, "isolation", "live, dead, live");
                self.entries(6, one);
            }
            several => {
                self.head(4, "isolation", "live, dead, live");
                for isolation in several {
                    self.item(6, isolation.entries(self.style).text());
                }
            }
        }
        if !c.torque.is_empty() {
            self.head(4, "torque", "checked cold and proved dead");
            for check in &c.torque {
                self.item(6, check.entries(self.style).text());
            }
        }
        self.list(4, "looked_at", &c.looked_at);
        if let Some(heat) = &c.heat {
            self.heat("heat", heat);
        }
        self.list(4, "repairs", &c.repairs);
        if let Some(heat) = &c.heat_after {
            self.heat("heat_after", heat);
        }
        let left_as = c.left_as.as_ref();
        self.maybe(
            4,
            "left_as",
            left_as.map(|l| StateOrMap.write(l, self.style)),
        );
    }

    fn heat(&mut self, key: &str, heat: &Heat) {
        self.head(4, key, "");
        self.line(6, "with", text(&heat.with));
        self.maybe(6, "charging_from", heat.charging_from.map(|m| time(m.time)));
        self.head(
            6,
            "rounds",
            "no load, then full load after 15 minutes and after an hour",
        );
        for round in &heat.rounds {
            self.round(round);
        }
    }

    fn round(&mut self, round: &Round) {
        self.item(8, format!("at: {}", time(round.at.time)));
        self.maybe(10, "air", self.style.maybe_q(round.air));
        if round.legs.is_empty() {
            self.line(10, "current", self.style.q(round.current));
        } else {
            let mut legs = Flow::default();
            for (leg, current) in &round.legs {
                legs.put(leg, self.style.q(*current));
            }
            self.line(10, "current", legs.text());
        }
        self.maybe(10, "voltage", self.style.maybe_q(round.voltage));
        if round.confirmed || round.air.is_some_and(|t| !plausible::AIR.holds(t)) {
            self.line(10, "confirmed", "yes");
        }
        self.head(10, "readings", "");
        for (id, reading) in &round.readings {
            self.line(12, &text(id), self.reading(reading));
        }
    }

    fn reading(&self, r: &Reading) -> String {
        let temperature = list(r.temperatures.iter().map(|t| self.style.q(*t)));
        let odd = r.temperatures.iter().any(|t| !plausible::READING.holds(*t));
        let odd = odd || r.confirmed;
        if !odd && r.distance.is_none() && r.reflected.is_none() && r.drop.is_none() {
            return temperature;
        }
        let mut f = Flow::default();
        f.put("temperature", temperature);
        f.maybe("distance", self.style.maybe_q(r.distance));
        f.maybe("reflected", self.style.maybe_q(r.reflected));
        f.maybe("drop", self.style.maybe_q(r.drop));
        if odd {
            f.put("confirmed", "yes");
        }
        f.text()
    }

    fn photos(&mut self, visit: &Visit) {
        if visit.photos.is_empty() {
            return;
        }
        self.head(
            0,
            "photos",
            "marks: how far to the right and how far down, from 0 to 1",
        );
        for photo in &visit.photos {
            let mut f = Flow::default();
            f.put("id", text(&photo.id));
            f.put("file", text(&photo.file));
            f.put("caption", text(&photo.caption));
            // With one circuit the marks alone identify it.
            if visit.circuits.len() > 1 || photo.marks.is_empty() {
                f.maybe("circuit", photo.circuit.as_deref().map(text));
            }
            if !photo.marks.is_empty() {
                let mut marks = Flow::default();
                for (id, [x, y]) in &photo.marks {
                    marks.put(&text(id), format!("[{x}, {y}]"));
                }
                f.put("marks", marks.text());
            }
            f.maybe("keep_place", photo.keep_place.then(|| "yes".to_owned()));
            self.item(2, f.text());
        }
    }
}

/// The entries of one instrument.
pub(super) fn instrument_entries(i: &Instrument, style: Style) -> Flow {
    let mut f = Flow::default();
    f.put("kind", i.kind.word());
    f.maybe("model", i.model.as_deref().map(text));
    f.maybe("serial", i.serial.as_deref().map(text));
    f.maybe("calibrated", i.calibrated.map(|d| d.to_string()));
    f.maybe("calibration_due", i.calibration_due.map(|d| d.to_string()));
    f.maybe("certificate", i.certificate.as_deref().map(text));
    f.maybe("accuracy", i.accuracy.as_ref().map(|a| accuracy(a, style)));
    f.maybe(
        "repeatability",
        i.repeatability.map(|d| style.difference(d)),
    );
    f.maybe("emissivity", style.maybe_q(i.emissivity));
    f.maybe("confirmed", i.confirmed.then(|| "yes".to_owned()));
    f.maybe("reflected", style.maybe_q(i.reflected));
    let spot = |r: Ratio| format!("\"{}:1\"", r.exact(Unit::One));
    f.maybe("distance_to_spot", i.distance_to_spot.map(spot));
    f.maybe(
        "band",
        i.band_um.map(|[from, to]| format!("{from}-{to} µm")),
    );
    f
}

fn accuracy(a: &Accuracy, style: Style) -> String {
    let mut f = Flow::default();
    f.maybe("of_reading", style.maybe_q(a.of_reading));
    f.maybe(
        "at_least",
        a.at_least.map(|half| match half {
            HalfWidth::Temperature(v) => style.difference(v),
            HalfWidth::Torque(v) => style.q(v),
            HalfWidth::Voltage(v) => style.q(v),
            HalfWidth::Current(v) => style.q(v),
        }),
    );
    f.text()
}
