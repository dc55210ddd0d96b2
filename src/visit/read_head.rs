//! The beginning of the file: the visit, print settings, units, people and instruments.

use super::entry::read_map;
use super::keys;
use super::limits;
use super::model::{
    Accuracy, HalfWidth, Instrument, InstrumentKind, Paper, Print, Reason, Replaces, Units,
};
use super::reader::{BareUnits, Fields, Need, Reader};
use super::words;
use crate::quantity::{Length, Quantity, Unit, plausible};
use crate::quoted::shorten;
use crate::yaml::Ix;
use chrono::NaiveDate;

/// The `visit:` map.
pub(super) struct Head {
    pub number: String,
    pub date: NaiveDate,
    pub reason: Reason,
    pub rules: String,
    pub firm: Option<String>,
    pub edition: Option<String>,
    pub zone: Option<String>,
    pub replaces: Option<Replaces>,
}

impl Reader<'_, '_> {
    /// The `units:` map, which is needed for all later numbers.
    pub(super) fn bare_units(&mut self, ix: Ix) {
        let Some(fields) = self.fields(ix, &keys::UNITS, None) else {
            BareUnits::KINDS
                .into_iter()
                .for_each(|kind| self.units.set_broken(kind));
            return;
        };
        for kind in BareUnits::KINDS {
            let Some(value) = kind.key().and_then(|key| fields.get(key)) else {
                continue;
            };
            let Some(text) = self.scalar(value, "a unit") else {
                continue;
            };
            match Unit::of_kind(kind, text) {
                Some(unit) => self.units.set(kind, unit),
                None => {
                    self.units.set_broken(kind);
                    let at = self.mark(value);
                    let what = kind.words().trim_start_matches("a ");
                    let units: Vec<&str> = kind.units().iter().map(|u| u.symbol()).collect();
                    self.problem(
                        at,
                        format!("`{}` is not a unit of {what}", shorten(text)),
                        format!("write {}", crate::nearest::or(units.into_iter(), 4)),
                    );
                }
            }
        }
    }

    pub(super) fn head(&mut self, ix: Ix, blame: crate::yaml::Span) -> Option<Head> {
        let f = self.fields(ix, &keys::VISIT, Some(blame))?;
        let number = f.get("number").and_then(|v| self.text(v, limits::NUMBER));
        let date = f.get("date").and_then(|v| self.visit_date(v));
        self.date = date;
        let reason = f
            .get("reason")
            .and_then(|v| self.word(v, "a reason for a visit"));
        let rules = f.get("rules").and_then(|v| self.path(v));
        let firm = f.get("firm").and_then(|v| self.path(v));
        let edition = f.get("edition").and_then(|v| self.text(v, limits::EDITION));
        let zone = f.get("zone").and_then(|v| self.zone(v));
        let replaces = f.get("replaces").and_then(|v| {
            let replaces: Replaces = read_map(self, v, None)?;
            if Some(&replaces.number) == number.as_ref() {
                let at = self.mark(v);
                self.problem(
                    at,
                    "a certificate can't replace one of its own number",
                    "give this visit a number of its own; the replaced one stays in `replaces`",
                );
            }
            Some(replaces)
        });
        Some(Head {
            number: number?,
            date: date?,
            reason: reason?,
            rules: rules?,
            firm,
            edition,
            zone,
            replaces,
        })
    }

    fn visit_date(&mut self, ix: Ix) -> Option<NaiveDate> {
        let date = self.date(ix)?;
        let today = self.around.today();
        if date > today {
            let at = self.mark(ix);
            self.problem(
                at,
                format!("the visit is dated {date}, and today is {today}"),
                "write the day on which the visit was made, or correct this computer's clock",
            );
        }
        Some(date)
    }

    /// Print settings; the defaults depend on the rules: US units on Letter paper for the US rule
    /// set, SI units on A4 for others.
    pub(super) fn print(&mut self, ix: Option<Ix>, rules: Option<&str>) -> Option<Print> {
        let us = rules.is_none_or(|r| r != "iec");
        let mut print = Print {
            units: if us { Units::Us } else { Units::Si },
            paper: if us { Paper::Letter } else { Paper::A4 },
            language: vec!["en".to_owned()],
            appendix: false,
        };
        let Some(ix) = ix else { return Some(print) };
        let f = self.fields(ix, &keys::PRINT, None)?;
        if let Some(v) = f.get("units") {
            print.units = self.word(v, "a system of units")?;
        }
        if let Some(v) = f.get("paper") {
            print.paper = self.word(v, "a paper size")?;
        }
        if let Some(v) = f.get("language") {
            print.language = self.languages(v)?;
        }
        if let Some(v) = f.get("appendix") {
            print.appendix = self.flag(v)?;
        }
        Some(print)
    }

    fn languages(&mut self, ix: Ix) -> Option<Vec<String>> {
        if self.peek(ix).is_some() {
            return Some(vec![self.language(ix)?]);
        }
        let items = self.list(ix, "language", 4, Need::May)?;
        let mut out: Vec<String> = Vec::new();
        for item in items {
            let language = self.language(*item)?;
            if out.contains(&language) {
                let at = self.mark(*item);
                self.problem(
                    at,
                    format!("`{language}` is listed twice"),
                    "keep one of the two",
                );
                return None;
            }
            out.push(language);
        }
        Some(out)
    }

    /// A language for which wordings exist.
    pub(crate) fn language(&mut self, ix: Ix) -> Option<String> {
        let text = self.scalar(ix, "a language")?;
        if words::LANGUAGES.contains(&text) {
            return Some(text.to_owned());
        }
        let at = self.mark(ix);
        self.problem(
            at,
            format!("`{}` is not a language of certificates", shorten(text)),
            format!("write one of {}", words::LANGUAGES.join(", ")),
        );
        None
    }

    /// A short text under a key.
    pub(super) fn name(&mut self, f: &Fields, key: &str) -> Option<String> {
        f.get(key).and_then(|v| self.text(v, limits::NAME))
    }

    pub(super) fn instruments(&mut self, ix: Ix) -> Vec<Instrument> {
        let Some(entries) = self.named(ix, "instrument", Need::May) else {
            return Vec::new();
        };
        if let Some((_, key, _)) = entries.get(limits::INSTRUMENTS) {
            let at = self.mark(*key);
            self.problem(
                at,
                format!(
                    "this is instrument {} of {}; at most {} are allowed",
                    limits::INSTRUMENTS + 1,
                    entries.len(),
                    limits::INSTRUMENTS
                ),
                "delete those that were not used",
            );
        }
        let mut out = Vec::new();
        for (name, key, value) in entries.into_iter().take(limits::INSTRUMENTS) {
            let id = self.id_text(key, name);
            let blame = self.mark(key);
            let instrument = self.instrument(value, blame);
            if let (Some(id), Some(instrument)) = (id, instrument) {
                out.push(Instrument { id, ..instrument });
            }
        }
        out
    }

    fn instrument(&mut self, ix: Ix, blame: crate::yaml::Span) -> Option<Instrument> {
        let f = self.fields(ix, &keys::INSTRUMENT, Some(blame))?;
        let kind: Option<InstrumentKind> = f
            .get("kind")
            .and_then(|v| self.word(v, "a kind of instrument"));
        let calibrated = f
            .get("calibrated")
            .and_then(|v| self.date(v).map(|d| (v, d)));
        let due = f
            .get("calibration_due")
            .and_then(|v| self.date(v).map(|d| (v, d)));
        if let (Some((v, done)), Some(visit)) = (calibrated, self.date)
            && done > visit
        {
            let at = self.mark(v);
            self.problem(
                at,
                format!("calibrated on {done}, after the visit of {visit}"),
                "write the last calibration before the visit; the next one goes into \
                 `calibration_due`",
            );
        }
        if let (Some((_, done)), Some((v, due))) = (calibrated, due)
            && due < done
        {
            let at = self.mark(v);
            self.problem(
                at,
                format!("the calibration was due on {due}, before it was made on {done}"),
                "write the day until which the last calibration is good",
            );
        }
        if let Some(kind) = kind {
            self.infrared_only(&f, kind);
            self.thermometer_only(&f, kind);
        }
        let accuracy = f.get("accuracy").and_then(|v| self.accuracy(v, kind));
        let repeatability = f
            .get("repeatability")
            .and_then(|v| self.quantity(v, &plausible::REPEATABILITY));
        let emissivity = f
            .get("emissivity")
            .and_then(|v| self.quantity(v, &plausible::EMISSIVITY));
        let reflected = f
            .get("reflected")
            .and_then(|v| self.quantity(v, &plausible::REFLECTED));
        let distance_to_spot = f
            .get("distance_to_spot")
            .and_then(|v| self.quantity(v, &plausible::DISTANCE_TO_SPOT));
        let band_um = f.get("band").and_then(|v| self.band(v));
        let confirmed = f.get("confirmed").and_then(|v| self.flag(v));
        let instrument = Instrument {
            id: String::new(),
            kind: InstrumentKind::Multimeter,
            model: self.name(&f, "model"),
            serial: self.name(&f, "serial"),
            calibrated: calibrated.map(|(_, d)| d),
            calibration_due: due.map(|(_, d)| d),
            certificate: self.name(&f, "certificate"),
            accuracy,
            repeatability,
            emissivity,
            confirmed: confirmed.unwrap_or(false),
            reflected,
            distance_to_spot,
            band_um,
        };
        Some(Instrument {
            kind: kind?,
            ..instrument
        })
    }

    /// Emissivity and similar keys apply only to infrared instruments.
    fn infrared_only(&mut self, f: &Fields, kind: InstrumentKind) {
        if kind.infrared() {
            return;
        }
        for key in [
            "emissivity",
            "reflected",
            "distance_to_spot",
            "band",
            "confirmed",
        ] {
            if let Some(v) = f.get(key) {
                let at = self.mark(v);
                self.problem(
                    at,
                    format!("`{key}` belongs to an infrared instrument, and this is another kind"),
                    "delete it, or correct `kind` to infrared-thermometer or thermal-imager",
                );
            }
        }
    }

    /// The repeatability of other instruments than thermometers is not used.
    fn thermometer_only(&mut self, f: &Fields, kind: InstrumentKind) {
        if let Some(v) = f.get("repeatability").filter(|_| !kind.thermometer()) {
            let at = self.mark(v);
            self.problem(
                at,
                "`repeatability` belongs to a thermometer, and this is another kind",
                "delete it, or correct `kind`",
            );
        }
    }

    fn accuracy(&mut self, ix: Ix, kind: Option<InstrumentKind>) -> Option<Accuracy> {
        let f = self.fields(ix, &keys::ACCURACY, None)?;
        let of_reading = f
            .get("of_reading")
            .and_then(|v| self.quantity(v, &plausible::ACCURACY_SHARE));
        let at_least = f.get("at_least").and_then(|v| self.half_width(v, kind?));
        Some(Accuracy {
            of_reading,
            at_least,
        })
    }

    /// A half-width in the quantity that the instrument measures.
    fn half_width(&mut self, ix: Ix, kind: InstrumentKind) -> Option<HalfWidth> {
        match kind {
            InstrumentKind::InfraredThermometer
            | InstrumentKind::ThermalImager
            | InstrumentKind::ContactThermometer
            | InstrumentKind::AirThermometer => self
                .quantity(ix, &plausible::ACCURACY_TEMPERATURE)
                .map(HalfWidth::Temperature),
            InstrumentKind::TorqueScrewdriver | InstrumentKind::TorqueWrench => self
                .quantity(ix, &plausible::ACCURACY_TORQUE)
                .map(HalfWidth::Torque),
            InstrumentKind::VoltageTester | InstrumentKind::Multimeter => self
                .quantity(ix, &plausible::ACCURACY_VOLTAGE)
                .map(HalfWidth::Voltage),
            InstrumentKind::ClampMeter => self
                .quantity(ix, &plausible::ACCURACY_CURRENT)
                .map(HalfWidth::Current),
        }
    }

    /// A spectral band, `8-14 µm` or `[8 µm, 14 µm]`, in micrometres, short end first.
    fn band(&mut self, ix: Ix) -> Option<[f64; 2]> {
        const HELP: &str = "write the two ends with their unit, such as 8-14 µm";
        let ends: Option<[Length; 2]> = match self.peek(ix) {
            Some(text) => text.split_once(['-', '–', '−']).and_then(|(from, to)| {
                let to_length: Length = to.parse().ok()?;
                let from_length = quantity_of(from, Unit::Micrometre)?;
                Some([from_length, to_length])
            }),
            None => match self.tree.items(ix) {
                [from, to] => {
                    let end = |v: Ix| self.peek(v).and_then(|t| t.parse::<Length>().ok());
                    end(*from).zip(end(*to)).map(|(a, b)| [a, b])
                }
                _ => None,
            },
        };
        // Rounded to a nanometre: the conversion from metres must not turn 14 µm into
        // 14.000000000000002.
        let um = |l: Length| (l.metre() * 1e9).round() / 1e3;
        let band = ends.map(|[a, b]| [um(a), um(b)]);
        if let Some([from, to]) = band
            && 0.5 <= from
            && from < to
            && to <= 50.0
        {
            return Some([from, to]);
        }
        let at = self.mark(ix);
        match band {
            Some([from, to]) => self.problem(
                at,
                format!("no thermometer works from {from} µm to {to} µm"),
                HELP,
            ),
            None => self.problem(at, "this is not a spectral band", HELP),
        }
        None
    }
}

/// A number; `unit` is added if it has none.
fn quantity_of<Q: Quantity>(text: &str, unit: Unit) -> Option<Q> {
    crate::quantity::parse(text, Some(unit)).ok()
}
