//! Copies values of the firm's file into the text of a visit.
//!
//! `inspector: Dana Voss` becomes the technician's map with the firm's letterhead; an instrument
//! that is only the id of one of the firm becomes that instrument in its state on the day of the
//! visit. Each text is replaced on its own line, so that line numbers in messages stay those of the
//! visit's file.

use super::error::FirmError;
use super::file::{Firm, Technician};
use crate::visit::entry::Keys;
use crate::visit::written::{Style, text as write_text};
use crate::visit::{FORM, Inspector, Instrument, Visit, on_one_line};
use crate::yaml::{NodeKind, Problems, Source, Span, Tree};
use chrono::NaiveDate;

/// The references in a visit file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct References {
    /// The firm file that the visit names, from its own folder.
    pub file: Option<String>,
    inspector: Option<(Range, String)>,
    instruments: Vec<(Range, Vec<Wanted>)>,
    date: Option<NaiveDate>,
}

/// A part of the text, in bytes.
type Range = std::ops::Range<usize>;

/// An instrument of the firm, and whether its id in the visit must be written too.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Wanted {
    id: String,
    with_id: bool,
}

impl References {
    /// The references in the text of a visit file; none if it can't be parsed, which its reader
    /// reports.
    pub fn of(source: &str) -> Self {
        let source = Source::new(source);
        match Tree::read(&source, &FORM, &mut Problems::default()) {
            Some(tree) => Self::in_tree(&tree),
            None => Self::default(),
        }
    }

    fn in_tree(tree: &Tree<'_>) -> Self {
        let range = |span: Span| span.start as usize..span.end as usize;
        let top = |key: &str| tree.get(tree.root, key);
        let head = |key: &str| tree.text(tree.get(top("visit")?, key)?);
        let inspector = top("inspector").and_then(|ix| {
            let name = tree.text(ix)?;
            Some((range(tree.node(ix).span), name.to_owned()))
        });
        let mut instruments = Vec::new();
        if let Some(ix) = top("instruments") {
            let wanted = |ix, with_id| {
                let id = tree.text(ix)?.to_owned();
                Some(Wanted { id, with_id })
            };
            match &tree.node(ix).kind {
                NodeKind::List(items) => {
                    let all: Option<Vec<Wanted>> =
                        items.iter().map(|item| wanted(*item, true)).collect();
                    // Anything else in the list is left to the visit's reader.
                    if let Some(all) = all {
                        instruments.push((range(tree.node(ix).span), all));
                    }
                }
                NodeKind::Map(entries) => {
                    for (_, value) in entries {
                        if let Some(one) = wanted(*value, false) {
                            instruments.push((range(tree.node(*value).span), vec![one]));
                        }
                    }
                }
                NodeKind::Null | NodeKind::Scalar(_) => {}
            }
        }
        References {
            file: head("firm").map(str::to_owned),
            inspector,
            instruments,
            date: head("date").and_then(|text| text.parse().ok()),
        }
    }

    /// The first part of the visit that needs a firm's file, for messages.
    pub fn first(&self) -> Option<String> {
        let inspector = self.inspector.as_ref();
        let inspector = inspector.map(|(_, name)| format!("`inspector: {name}`"));
        inspector.or_else(|| {
            let (_, all) = self.instruments.first()?;
            Some(format!("`instruments: {}`", all.first()?.id))
        })
    }

    /// The text of the visit with its references replaced by the firm's values.
    ///
    /// # Errors
    /// The firm has no such technician or instrument.
    pub fn filled(&self, source: &str, firm: &Firm) -> Result<String, FirmError> {
        let mut edits: Vec<(Range, String)> = Vec::new();
        if let Some((at, name)) = &self.inspector {
            let technician = firm
                .technician(name)
                .ok_or_else(|| FirmError::NoTechnician {
                    name: name.clone(),
                    known: listed(firm.technicians.iter().map(|t| t.name.as_str())),
                })?;
            let inspector = inspector(firm, technician);
            edits.push((at.clone(), inspector.entries(STYLE).text()));
        }
        for (at, all) in &self.instruments {
            let mut written = Vec::new();
            for wanted in all {
                let day = self.date.ok_or(FirmError::NoDate)?;
                let found = firm.instrument(&wanted.id, day);
                let found = found.ok_or_else(|| FirmError::NoInstrument {
                    id: wanted.id.clone(),
                    known: listed(firm.instruments.iter().map(|i| i.id.as_str())),
                })?;
                let map = on_one_line(&found, STYLE);
                written.push(match wanted.with_id {
                    true => format!("{}: {map}", write_text(&wanted.id)),
                    false => map,
                });
            }
            let whole = all.iter().any(|w| w.with_id);
            let written = written.join(", ");
            edits.push((
                at.clone(),
                if whole {
                    format!("{{ {written} }}")
                } else {
                    written
                },
            ));
        }
        edits.sort_by_key(|(at, _)| std::cmp::Reverse(at.start));
        let mut out = source.to_owned();
        for (at, with) in edits {
            let Some(old) = source.get(at.clone()) else {
                continue;
            };
            let lines = "\n".repeat(old.matches('\n').count());
            out.replace_range(at, &format!("{with}{lines}"));
        }
        Ok(out)
    }
}

/// The text of a visit file in which the firm's technician and instruments are replaced by their
/// names.
///
/// An instrument is recognised by its serial number; one without a serial number is replaced by the
/// firm's only instrument of its kind. Instruments that the firm does not have are unchanged.
pub fn referring(text: String, visit: &Visit, firm: &Firm) -> String {
    let mut edits: Vec<(Range, String)> = Vec::new();
    {
        let source = Source::new(&text);
        let Some(tree) = Tree::read(&source, &FORM, &mut Problems::default()) else {
            return text;
        };
        // The value after a key, from the colon to the end of what is written.
        let value = |map, key: &str| {
            let (at, ix) = tree
                .entries(map)
                .iter()
                .find(|(k, _)| tree.text(*k) == Some(key))?;
            let from = tree.node(*at).span.end as usize;
            let from = from + text.get(from..)?.find(':')? + 1;
            let to = tree.node(*ix).span.end as usize;
            let written = text.get(from..to)?.trim_end();
            Some(from..from + written.len())
        };
        if firm.technician(&visit.inspector.name).is_some()
            && let Some(at) = value(tree.root, "inspector")
        {
            edits.push((at, format!(" {}", write_text(&visit.inspector.name))));
        }
        if let Some(map) = tree.get(tree.root, "instruments") {
            for instrument in &visit.instruments {
                if let Some(own) = own(firm, instrument)
                    && let Some(at) = value(map, &instrument.id)
                {
                    edits.push((at, format!(" {}", write_text(&own.id))));
                }
            }
        }
    }
    edits.sort_by_key(|(at, _)| std::cmp::Reverse(at.start));
    let mut out = text;
    for (at, with) in edits {
        out.replace_range(at, &with);
    }
    out
}

/// The firm's instrument that is meant by this one.
fn own<'f>(firm: &'f Firm, instrument: &Instrument) -> Option<&'f Instrument> {
    let all = || {
        firm.instruments
            .iter()
            .filter(|i| i.kind == instrument.kind)
    };
    match &instrument.serial {
        Some(serial) => all().find(|i| i.serial.as_ref() == Some(serial)),
        None => {
            let mut all = all();
            all.next().filter(|_| all.next().is_none())
        }
    }
}

/// SI units, which every visit file may use.
const STYLE: Style = Style {
    system: crate::quantity::System::Si,
};

/// A technician with the firm's letterhead, as an inspector of a visit.
pub fn inspector(firm: &Firm, technician: &Technician) -> Inspector {
    let head = &firm.letterhead;
    let own = |own: &Option<String>, firm: &Option<String>| own.clone().or_else(|| firm.clone());
    Inspector {
        name: technician.name.clone(),
        licence: technician.licence.clone(),
        firm: Some(head.name.clone()),
        address: head.address.clone(),
        phone: own(&technician.phone, &head.phone),
        email: own(&technician.email, &head.email),
        signature_image: None,
        logo: None,
        accent: None,
    }
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let all: Vec<&str> = names.collect();
    match all.is_empty() {
        true => "none".to_owned(),
        false => all.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::accepted::Accepted;
    use crate::visit;

    const FIRM: &str = r#"
firm: { name: Ohm & Daughters, phone: 555 0100 }
technicians:
  - { name: Ada Ohm, licence: EC-0001, email: ada@example.com }
instruments:
  gun-2: { kind: infrared-thermometer, model: Spot 12, serial: A1, accuracy: { of_reading: 2 %, at_least: 2 °C }, emissivity: 0.95, distance_to_spot: "12:1" }
  driver-1: { kind: torque-screwdriver, serial: B2 }
calibrations:
  - { instrument: gun-2, on: 2025-02-10, due: 2026-02-10, certificate: C-1001 }
  - { instrument: gun-2, on: 2026-02-03, due: 2027-02-03, certificate: C-1182 }
  - { instrument: gun-2, on: 2026-12-01, due: 2027-12-01, certificate: C-1290 }
"#;

    fn visit_text(inspector: &str, instruments: &str) -> String {
        crate::next::first_visit::STARTER
            .replace("{number}", "2026-0147")
            .replace("{date}", "2026-11-02")
            .lines()
            .scan(false, |inside, line| {
                // The two blocks are replaced by one line each.
                let line = match line {
                    l if l.starts_with("inspector:") => {
                        *inside = l.trim_end() == "inspector:";
                        format!("inspector: {inspector}")
                    }
                    l if l.starts_with("instruments:") => {
                        *inside = true;
                        format!("instruments: {instruments}")
                    }
                    l if *inside && (l.starts_with(' ') || l.is_empty()) => String::new(),
                    l => {
                        *inside = false;
                        l.to_owned()
                    }
                };
                Some(line)
            })
            .collect::<Vec<_>>()
            .join("\n")
    }

    #[test]
    fn the_visit_gets_the_technician_and_the_instruments_as_they_were_on_the_day() {
        let firm = Firm::read(FIRM, "firm.yaml")
            .map_err(|e| e.to_string())
            .unwrap();
        for instruments in [
            "{ gun: gun-2, driver: driver-1, tester: { kind: voltage-tester, serial: C3 } }",
            "{ gun: gun-2, driver: driver-1, tester: driver-1 }",
        ] {
            let text = visit_text("Ada Ohm", instruments);
            let references = References::of(&text);
            assert_eq!(references.first().as_deref(), Some("`inspector: Ada Ohm`"));
            let filled = references.filled(&text, &firm).unwrap();
            assert_eq!(filled.lines().count(), text.lines().count());
            assert!(filled.contains("licence: EC-0001"), "{filled}");
            assert!(filled.contains("C-1182"), "{filled}");
            assert!(
                !filled.contains("C-1001") && !filled.contains("C-1290"),
                "{filled}"
            );
        }
        let text = visit_text(
            "Ada Ohm",
            "{ gun: gun-2, driver: driver-1, tester: { kind: voltage-tester, serial: C3 } }",
        );
        let filled = References::of(&text).filled(&text, &firm).unwrap();
        let read = visit::read(&filled, "visit.yaml", &Accepted)
            .map_err(|e| e.to_string())
            .unwrap();
        assert_eq!(read.inspector.firm.as_deref(), Some("Ohm & Daughters"));
        assert_eq!(read.inspector.phone.as_deref(), Some("555 0100"));
        let gun = read.instrument("gun").unwrap();
        assert_eq!(gun.certificate.as_deref(), Some("C-1182"));
        assert_eq!(gun.calibration_due.unwrap().to_string(), "2027-02-03");
    }

    #[test]
    fn a_list_of_ids_keeps_the_lines_of_the_file() {
        let firm = Firm::read(FIRM, "firm.yaml")
            .map_err(|e| e.to_string())
            .unwrap();
        let text =
            "visit: { date: 2026-11-02 }\ninstruments:\n  - gun-2\n  - driver-1\nclient: x\n";
        let filled = References::of(text).filled(text, &firm).unwrap();
        assert_eq!(
            filled.lines().position(|l| l == "client: x"),
            Some(4),
            "{filled}"
        );
        assert!(
            filled.contains("{ gun-2: { kind: infrared-thermometer"),
            "{filled}"
        );
        assert!(
            filled.contains("driver-1: { kind: torque-screwdriver"),
            "{filled}"
        );
    }

    #[test]
    fn what_the_firm_does_not_have_is_named_with_what_it_has() {
        let firm = Firm::read(FIRM, "firm.yaml")
            .map_err(|e| e.to_string())
            .unwrap();
        let missing = |text: &str| {
            References::of(text)
                .filled(text, &firm)
                .unwrap_err()
                .to_string()
        };
        let name = missing("inspector: Ada Olm\n");
        assert!(
            name.contains("no technician of this name; it has Ada Ohm"),
            "{name}"
        );
        let id = missing("visit: { date: 2026-11-02 }\ninstruments: [gun-3]\n");
        assert!(id.contains("it has gun-2, driver-1"), "{id}");
        let day = missing("instruments: [gun-2]\n");
        assert!(day.contains("needs `date:`"), "{day}");
    }

    #[test]
    fn before_its_first_calibration_an_instrument_has_none() {
        let firm = Firm::read(FIRM, "firm.yaml")
            .map_err(|e| e.to_string())
            .unwrap();
        let day = |text: &str| text.parse().unwrap();
        assert_eq!(
            firm.instrument("gun-2", day("2025-02-09"))
                .unwrap()
                .calibrated,
            None
        );
        let first = firm.instrument("gun-2", day("2025-02-10")).unwrap();
        assert_eq!(first.certificate.as_deref(), Some("C-1001"));
        let last = firm.instrument("gun-2", day("2026-12-01")).unwrap();
        assert_eq!(last.certificate.as_deref(), Some("C-1290"));
    }
}
