//! A visit as a file again, for the next visit and for starter files.
//!
//! The text is commented, keeps the order of the model, and reads back to an equal visit. The
//! caller may add comments of its own at the head, above the instruments and behind each circuit.
//! Quantities are written in the units that the visit prints unless another unit says the same
//! value in fewer digits, which is then the unit in which it was written.

use super::format::FORMAT;
use super::model::{
    Accuracy, Circuit, Conductors, Connection, GroundFault, HalfWidth, Heat, Instrument, Reading,
    ResidualCurrentDevice, Round, TorqueFound, Visit,
};
use super::words::Word;
use crate::quantity::{
    Kind, Length, Quantity, Ratio, System, Temperature, TemperatureDifference, TimeOfDay, Unit,
    bounds,
};
use std::fmt::Write;

/// Characters of a number that one would write by hand.
const SHORT: usize = 7;

/// The text of a visit file that reads back to this visit.
///
/// A visit that [`read`](super::read) gave always reads back equal. Rounds are written by
/// their time of day alone, so two rounds more than twelve hours apart over midnight, which no
/// file can say, do not.
pub fn write(visit: &Visit) -> String {
    write_with(visit, &Comments::default())
}

/// Lines that stand as comments between the values; none of them has a line break.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Comments {
    /// At the very beginning, before the general remark.
    pub head: Vec<String>,
    /// Behind the general remark, where the visit begins.
    pub visit: Vec<String>,
    /// Above the instruments.
    pub instruments: Vec<String>,
    /// Behind each circuit, in the visit's order.
    pub circuits: Vec<Vec<String>>,
    /// Gives the file the units of its bare numbers, those that it prints.
    pub bare_numbers: bool,
}

/// The text of a visit file with comments; it reads back to this visit as that of [`write()`].
pub fn write_with(visit: &Visit, comments: &Comments) -> String {
    let mut w = Writer {
        out: String::new(),
        system: visit.print.units,
    };
    w.visit(visit, comments);
    w.out
}

struct Writer {
    out: String,
    system: System,
}

/// A map in one line: `{ a: 1, b: 2 }`.
#[derive(Default)]
struct Flow(Vec<String>);

impl Flow {
    fn put(&mut self, key: &str, value: impl AsRef<str>) {
        self.0.push(format!("{key}: {}", value.as_ref()));
    }

    fn maybe(&mut self, key: &str, value: Option<String>) {
        if let Some(value) = value {
            self.put(key, value);
        }
    }

    fn text(self) -> String {
        format!("{{ {} }}", self.0.join(", "))
    }
}

impl Writer {
    /// A line of its own: indentation, key, value.
    fn line(&mut self, indent: usize, key: &str, value: impl AsRef<str>) {
        // Writing to a `String` cannot fail.
        let _ = writeln!(self.out, "{:indent$}{key}: {}", "", value.as_ref());
    }

    fn maybe(&mut self, indent: usize, key: &str, value: Option<String>) {
        if let Some(value) = value {
            self.line(indent, key, value);
        }
    }

    /// The head of a map or list, with a comment.
    fn head(&mut self, indent: usize, key: &str, comment: &str) {
        let space = if comment.is_empty() { "" } else { "  # " };
        let _ = writeln!(self.out, "{:indent$}{key}:{space}{comment}", "");
    }

    fn item(&mut self, indent: usize, value: impl AsRef<str>) {
        let _ = writeln!(self.out, "{:indent$}- {}", "", value.as_ref());
    }

    /// A text that may have several lines, under a key.
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

    /// A quantity in the visit's units, or in another unit that says it in fewer digits.
    fn q<Q: Quantity>(&self, value: Q) -> String {
        let own = match (Q::KIND, self.system) {
            (Kind::Length, System::Us) if value.si() < 3.0 * Unit::FOOT_M => Unit::Inch,
            (Kind::Length, System::Si) if value.si() < 1.0 => Unit::Millimetre,
            (Kind::TemperatureDifference, System::Si) => Unit::Celsius,
            (Kind::Voltage, _) if value.si() < 0.1 && value.si() > 0.0 => Unit::Millivolt,
            (kind, system) => system.unit(kind),
        };
        let number = |s: &String| s.split(' ').next().map_or(0, str::len);
        let own = value.exact(own);
        if number(&own) <= SHORT {
            return own;
        }
        Q::KIND
            .units()
            .iter()
            .map(|unit| value.exact(*unit))
            .chain((Q::KIND == Kind::Length).then(|| value.exact(Unit::Millimetre)))
            .filter(|s| number(s) < number(&own))
            .min_by_key(number)
            .unwrap_or(own)
    }

    /// A difference in whichever degrees say it shorter: makers state 2 °C or 3 °F.
    fn difference(&self, value: TemperatureDifference) -> String {
        let own = self.q(value);
        let celsius = value.exact(Unit::Celsius);
        if celsius.len() < own.len() {
            celsius
        } else {
            own
        }
    }

    /// A temperature rating, always in degrees Celsius: so it is marked on devices and wire on
    /// both sides of the Atlantic.
    fn rating(&self, value: Temperature) -> String {
        let celsius = value.exact(Unit::Celsius);
        if celsius.len() <= SHORT + 4 {
            celsius
        } else {
            self.q(value)
        }
    }

    fn maybe_rating(&self, value: Option<Temperature>) -> Option<String> {
        value.map(|v| self.rating(v))
    }

    fn maybe_q<Q: Quantity>(&self, value: Option<Q>) -> Option<String> {
        value.map(|v| self.q(v))
    }

    /// Lines as comments.
    fn comments(&mut self, indent: usize, lines: &[String]) {
        for line in lines {
            let shown = format!("{:indent$}# {line}", "");
            let _ = writeln!(self.out, "{}", shown.trim_end());
        }
    }

    fn visit(&mut self, visit: &Visit, comments: &Comments) {
        self.comments(0, &comments.head);
        self.out.push_str(
            "# One visit. Every quantity carries its unit; `warmlug check` tells what is wrong\n\
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
        self.maybe(2, "zone", visit.zone.as_deref().map(quoted));
        self.maybe(
            2,
            "replaces",
            visit.replaces.as_ref().map(|r| {
                let mut f = Flow::default();
                f.put("number", text(&r.number));
                f.put("sha256", quoted(&r.sha256));
                f.text()
            }),
        );
        let mut print = Flow::default();
        print.put("units", visit.print.units.word());
        print.put("paper", visit.print.paper.word());
        print.put("language", list(visit.print.language.iter().cloned()));
        self.line(0, "print", print.text());
        if comments.bare_numbers {
            let mut units = Flow::default();
            for kind in [Kind::Temperature, Kind::Torque, Kind::Length] {
                units.maybe(
                    kind.key().unwrap_or_default(),
                    kind.key()
                        .map(|_| self.system.unit(kind).symbol().to_owned()),
                );
            }
            self.line(0, "units", units.text());
        }

        let i = &visit.inspector;
        self.out.push('\n');
        self.head(0, "inspector", "");
        self.line(2, "name", text(&i.name));
        self.maybe(2, "licence", i.licence.as_deref().map(text));
        self.maybe(2, "firm", i.firm.as_deref().map(text));
        self.lines(2, "address", i.address.as_ref());
        self.maybe(2, "phone", i.phone.as_deref().map(text));
        self.maybe(2, "email", i.email.as_deref().map(text));
        self.maybe(2, "signature", i.signature_image.as_deref().map(text));
        self.maybe(2, "logo", i.logo.as_deref().map(text));
        self.maybe(
            2,
            "accent",
            i.accent
                .map(|[r, g, b]| format!("\"#{r:02X}{g:02X}{b:02X}\"")),
        );
        self.head(0, "client", "");
        self.line(2, "name", text(&visit.client.name));
        self.line(2, "role", visit.client.role.word());
        self.lines(2, "address", visit.client.address.as_ref());
        self.head(0, "site", "");
        self.line(2, "name", text(&visit.site.name));
        self.lines(2, "address", visit.site.address.as_ref());

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
                "the inspector's own word, always printed as such",
            );
            for j in &visit.judgement {
                let mut f = Flow::default();
                f.put("finding", text(&j.finding));
                f.maybe("circuit", j.circuit.as_deref().map(text));
                f.maybe("place", j.place.as_deref().map(text));
                f.maybe("connection", j.connection.as_deref().map(text));
                f.maybe("seen", j.seen.map(|seen| seen.word().to_owned()));
                f.put("grade", j.grade.word());
                f.put("because", text(&j.because));
                self.item(2, f.text());
            }
        }
        self.lines(0, "remarks", visit.remarks.as_ref());
    }

    fn instrument(&mut self, i: &Instrument) {
        self.head(2, &text(&i.id), "");
        self.line(4, "kind", i.kind.word());
        self.maybe(4, "model", i.model.as_deref().map(text));
        self.maybe(4, "serial", i.serial.as_deref().map(text));
        self.maybe(4, "calibrated", i.calibrated.map(|d| d.to_string()));
        self.maybe(
            4,
            "calibration_due",
            i.calibration_due.map(|d| d.to_string()),
        );
        self.maybe(4, "accuracy", i.accuracy.as_ref().map(|a| self.accuracy(a)));
        self.maybe(4, "emissivity", self.maybe_q(i.emissivity));
        self.maybe(4, "reflected", self.maybe_q(i.reflected));
        let spot = |r: Ratio| format!("\"{}:1\"", r.exact(Unit::One));
        self.maybe(4, "distance_to_spot", i.distance_to_spot.map(spot));
        self.maybe(
            4,
            "band",
            i.band_um.map(|[from, to]| format!("{from}-{to} µm")),
        );
    }

    fn accuracy(&self, a: &Accuracy) -> String {
        let mut f = Flow::default();
        f.maybe("of_reading", self.maybe_q(a.of_reading));
        f.maybe(
            "at_least",
            a.at_least.map(|half| match half {
                HalfWidth::Temperature(v) => self.difference(v),
                HalfWidth::Torque(v) => self.q(v),
                HalfWidth::Voltage(v) => self.q(v),
                HalfWidth::Current(v) => self.q(v),
            }),
        );
        f.text()
    }

    fn circuit(&mut self, c: &Circuit) {
        self.item(2, format!("id: {}", text(&c.id)));
        self.maybe(4, "name", c.name.as_deref().map(text));
        let mut f = Flow::default();
        f.maybe("make", c.charger.make.as_deref().map(text));
        f.maybe("model", c.charger.model.as_deref().map(text));
        f.maybe("serial", c.charger.serial.as_deref().map(text));
        f.put("rated_current", self.q(c.charger.rated_current));
        f.put("connection", c.charger.connection.word());
        self.line(4, "charger", f.text());
        let mut f = Flow::default();
        f.put("phases", c.supply.phases.to_string());
        f.put("legs", flow_list(c.supply.legs.iter().cloned()));
        f.put("voltage", self.q(c.supply.voltage));
        f.maybe("system", c.supply.system.map(|s| s.word().to_owned()));
        f.maybe("earthing", c.supply.earthing.map(|e| e.word().to_owned()));
        self.line(4, "supply", f.text());
        let mut f = Flow::default();
        f.maybe("kind", c.breaker.kind.map(|k| k.word().to_owned()));
        f.put("rating", self.q(c.breaker.rating));
        f.maybe("poles", c.breaker.poles.map(|n| n.to_string()));
        f.maybe(
            "terminal_rating",
            self.maybe_rating(c.breaker.terminal_rating),
        );
        if c.breaker.ground_fault != GroundFault::Unknown {
            f.put("ground_fault", c.breaker.ground_fault.word());
        }
        if c.breaker.full_rated {
            f.put("full_rated", "yes");
        }
        self.line(4, "breaker", f.text());
        self.line(4, "conductors", self.conductors(&c.conductors));
        self.maybe(4, "feeder", c.feeder.as_ref().map(|f| self.conductors(f)));
        if let Some(r) = &c.receptacle {
            let mut f = Flow::default();
            f.put("configuration", text(&r.configuration));
            f.maybe("grade", r.grade.map(|g| g.word().to_owned()));
            f.maybe("rating", self.maybe_rating(r.rating));
            f.maybe("wet_location", r.wet_location.map(yes));
            self.line(4, "receptacle", f.text());
        }
        if let Some(d) = c.disconnect {
            let mut f = Flow::default();
            f.maybe("in_sight", d.in_sight.map(yes));
            f.maybe("lockable", d.lockable.map(yes));
            f.maybe("plaque", d.plaque.map(yes));
            self.line(4, "disconnect", f.text());
        }
        self.maybe(4, "dedicated", c.dedicated.map(yes));
        self.maybe(4, "rcd", c.rcd.map(|r| self.residual_current_device(&r)));
        self.maybe(4, "hottest_air", self.maybe_q(c.hottest_air));
        self.head(
            4,
            "places",
            "where covers come off, in order from the supply",
        );
        for place in &c.places {
            self.item(6, format!("id: {}", text(&place.id)));
            self.line(8, "name", text(&place.name));
            self.head(8, "connections", "");
            for connection in &place.connections {
                self.item(10, self.connection(connection));
            }
        }
        if let Some(i) = &c.isolation {
            self.head(4, "isolation", "live, dead, live");
            self.maybe(6, "tester", i.tester.as_deref().map(text));
            self.maybe(6, "proved_before", self.maybe_q(i.proved_before));
            if !i.dead.is_empty() {
                let mut f = Flow::default();
                for (pair, voltage) in &i.dead {
                    f.put(pair, self.q(*voltage));
                }
                self.line(6, "dead", f.text());
            }
            self.maybe(6, "proved_after", self.maybe_q(i.proved_after));
            self.maybe(6, "locked", i.locked.map(yes));
        }
        if !c.torque.is_empty() {
            self.head(4, "torque", "checked cold and proved dead");
            for check in &c.torque {
                let mut f = Flow::default();
                f.put("connection", text(&check.connection));
                f.put(
                    "found",
                    match check.found {
                        TorqueFound::Held => "held".to_owned(),
                        TorqueFound::Moved => "moved".to_owned(),
                        TorqueFound::Value(v) => self.q(v),
                    },
                );
                f.maybe("left", self.maybe_q(check.left));
                f.maybe("with", check.with.as_deref().map(text));
                self.item(6, f.text());
            }
        }
        if !c.looked_at.is_empty() {
            self.head(4, "looked_at", "");
            for look in &c.looked_at {
                let mut f = Flow::default();
                f.put("place", text(&look.place));
                f.maybe("connection", look.connection.as_deref().map(text));
                f.put("seen", list(look.seen.iter().map(|s| s.word().to_owned())));
                f.maybe("note", look.note.as_deref().map(text));
                self.item(6, f.text());
            }
        }
        if let Some(heat) = &c.heat {
            self.heat(heat);
        }
    }

    fn residual_current_device(&self, r: &ResidualCurrentDevice) -> String {
        if (r.rating, r.dc_detection, r.trip_time) == (None, None, None) {
            return r.kind.word().to_owned();
        }
        let mut f = Flow::default();
        f.put("type", r.kind.word());
        f.maybe("rating", r.rating.map(|i| i.exact(Unit::Milliampere)));
        f.maybe("dc_detection", r.dc_detection.map(yes));
        f.maybe("trip_time", r.trip_time.map(|t| t.exact(Unit::Millisecond)));
        f.text()
    }

    fn conductors(&self, c: &Conductors) -> String {
        let mut f = Flow::default();
        f.put("material", c.material.word());
        f.put("size", c.size.to_string());
        f.put("insulation", self.rating(c.insulation));
        f.maybe("wiring", c.wiring.map(|w| w.word().to_owned()));
        f.maybe("length", self.maybe_q::<Length>(c.length));
        f.maybe(
            "current_carrying",
            c.current_carrying.map(|n| n.to_string()),
        );
        f.maybe("ambient", self.maybe_q(c.ambient));
        f.maybe("stranded", c.stranded.map(yes));
        f.maybe("method", c.method.as_deref().map(text));
        f.maybe(
            "circuits_together",
            c.circuits_together.map(|n| n.to_string()),
        );
        f.maybe("load", self.maybe_q(c.load));
        f.text()
    }

    fn connection(&self, c: &Connection) -> String {
        let mut f = Flow::default();
        f.put("id", text(&c.id));
        f.put("leg", text(&c.leg));
        f.put("kind", c.kind.word());
        f.maybe("torque", self.maybe_q(c.torque));
        f.maybe("screw", c.screw.as_deref().map(text));
        f.maybe("surface", c.surface.map(|s| s.word().to_owned()));
        f.maybe("emissivity", self.maybe_q(c.emissivity));
        f.maybe("width", self.maybe_q(c.width));
        f.maybe("rating", self.maybe_rating(c.rating));
        f.maybe("standard", c.standard.map(|s| s.word().to_owned()));
        f.maybe("marked", c.marked.map(|m| m.word().to_owned()));
        if c.remade {
            f.put("remade", "yes");
        }
        f.text()
    }

    fn heat(&mut self, heat: &Heat) {
        self.head(4, "heat", "");
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
        self.maybe(10, "air", self.maybe_q(round.air));
        self.line(10, "current", self.q(round.current));
        self.maybe(10, "voltage", self.maybe_q(round.voltage));
        if round.air.is_some_and(|t| !bounds::AIR.holds(t)) {
            self.line(10, "confirmed", "yes");
        }
        self.head(10, "readings", "");
        for (id, reading) in &round.readings {
            self.line(12, &text(id), self.reading(reading));
        }
    }

    fn reading(&self, r: &Reading) -> String {
        let temperature = list(r.temperatures.iter().map(|t| self.q(*t)));
        let odd = r.temperatures.iter().any(|t| !bounds::READING.holds(*t));
        if !odd && r.distance.is_none() && r.reflected.is_none() && r.drop.is_none() {
            return temperature;
        }
        let mut f = Flow::default();
        f.put("temperature", temperature);
        f.maybe("distance", self.maybe_q(r.distance));
        f.maybe("reflected", self.maybe_q(r.reflected));
        f.maybe("drop", self.maybe_q(r.drop));
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
            // With one circuit the marks alone tell it.
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
            self.item(2, f.text());
        }
    }
}

fn yes(flag: bool) -> String {
    if flag { "yes" } else { "no" }.to_owned()
}

fn time(time: TimeOfDay) -> String {
    quoted(&time.to_string())
}

/// One value as itself, several as a list.
fn list(values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    match values.as_slice() {
        [one] => one.clone(),
        _ => flow_list(values.into_iter()),
    }
}

fn flow_list(values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    format!("[{}]", values.join(", "))
}

/// A text as a YAML value, in quotes unless it is certain to be read as itself without.
pub(crate) fn text(value: &str) -> String {
    let plain = value.starts_with(char::is_alphanumeric)
        && !value.ends_with(' ')
        && value
            .chars()
            .all(|c| c.is_alphanumeric() || " -_./()+°·²µ'".contains(c))
        && !matches!(value, "null" | "Null" | "NULL");
    if plain {
        value.to_owned()
    } else {
        quoted(value)
    }
}

/// A text in double quotes.
pub(crate) fn quoted(value: &str) -> String {
    let mut out = String::with_capacity(value.len() + 2);
    out.push('"');
    for c in value.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
