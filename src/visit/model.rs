//! The typed contents of a valid visit file. Only the `visit` stage builds these; every reference
//! in them (connection, place, instrument, photo ids) has been checked to exist.

pub use super::choices::*;
pub use super::connection::{Connection, Place};
pub use super::equipment::{
    Breaker, Charger, Conductors, Disconnect, LoadManagement, Receptacle, ResidualCurrentDevice,
    Supply,
};
pub use super::judgement::Judgement;
pub use super::not_done::{CutShort, NotRead, Removed};
pub use super::parties::{Client, Inspector, Replaces, Site};
pub use super::repairs::{LeftAs, Repair};
pub use super::when::When;
pub use super::work::{Isolation, LookedAt, TorqueCheck, TorqueFound};
use crate::quantity::{
    Current, Length, Percentage, Ratio, Temperature, TemperatureDifference, TimeOfDay, Torque,
    Voltage,
};
use chrono::NaiveDate;

/// One visit: the whole file.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Certificate number, unique within the firm.
    pub number: String,
    /// The day of the visit on the site's calendar.
    pub date: NaiveDate,
    /// Reason for the visit.
    pub reason: Reason,
    /// `us`, `iec`, or a path to a rules file, as written.
    pub rules: String,
    /// The firm's file, from the folder of the visit; its contents are already in the visit.
    pub firm: Option<String>,
    /// Edition of the code, where the rule set has several; its own if not specified.
    pub edition: Option<String>,
    /// Offset of the site's clock (`-05:00`), or the name of its zone in the IANA database.
    pub zone: Option<String>,
    /// A certificate that this one replaces.
    pub replaces: Option<Replaces>,
    /// Print settings.
    pub print: Print,
    /// The inspector.
    pub inspector: Inspector,
    /// The client.
    pub client: Client,
    /// The site.
    pub site: Site,
    /// The instruments used, in file order.
    pub instruments: Vec<Instrument>,
    /// The circuits inspected; at least one.
    pub circuits: Vec<Circuit>,
    /// Photos, in file order.
    pub photos: Vec<Photo>,
    /// Earlier certificates or visit files, paths as written.
    pub earlier: Vec<String>,
    /// The inspector's own judgement on findings.
    pub judgement: Vec<Judgement>,
    /// Free remarks.
    pub remarks: Option<String>,
    /// Why the visit ended early, if it did.
    pub cut_short: Option<CutShort>,
}

impl Visit {
    /// The image files that it names: photos, logo and handwritten signature.
    pub fn images(&self) -> impl Iterator<Item = &String> + Clone {
        let photos = self.photos.iter().map(|photo| &photo.file);
        photos
            .chain(&self.inspector.logo)
            .chain(&self.inspector.signature_image)
    }

    /// The files that it names, except its rules.
    pub fn files(&self) -> impl Iterator<Item = &String> + Clone {
        self.images().chain(&self.earlier).chain(&self.firm)
    }
}

/// Print settings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Print {
    /// Unit system of every printed value.
    pub units: Units,
    /// Paper size.
    pub paper: Paper,
    /// Language codes, the main one first (`en`); at least one.
    pub language: Vec<String>,
    /// Whether an appendix lists every reading and shows the photos large.
    pub appendix: bool,
}

impl Print {
    /// The main language.
    pub fn main_language(&self) -> &str {
        self.language.first().map_or("en", String::as_str)
    }
}

/// One instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Key in the file.
    pub id: String,
    /// Kind of instrument.
    pub kind: InstrumentKind,
    /// Model, as written.
    pub model: Option<String>,
    /// Serial number.
    pub serial: Option<String>,
    /// Day of the last calibration.
    pub calibrated: Option<NaiveDate>,
    /// Last day on which the calibration is valid.
    pub calibration_due: Option<NaiveDate>,
    /// Number of the certificate of that calibration.
    pub certificate: Option<String>,
    /// Accuracy as the manufacturer states it.
    pub accuracy: Option<Accuracy>,
    /// Standard deviation of a thermometer's readings of one target, taken again each time.
    pub repeatability: Option<TemperatureDifference>,
    /// Emissivity set on an infrared instrument (0–1].
    pub emissivity: Option<Ratio>,
    /// The emissivity was checked again and is right, although it looks wrong.
    pub confirmed: bool,
    /// Reflected temperature set on an infrared instrument.
    pub reflected: Option<Temperature>,
    /// Distance to spot of an infrared instrument; 12:1 is 12.
    pub distance_to_spot: Option<Ratio>,
    /// Spectral band of an infrared instrument in micrometres, short end first.
    pub band_um: Option<[f64; 2]>,
}

/// Accuracy: the larger of a proportion of the reading and a fixed amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Proportion of the reading; for temperatures, of the value in °C.
    pub of_reading: Option<Percentage>,
    /// Fixed half-width.
    pub at_least: Option<HalfWidth>,
}

/// A fixed accuracy half-width in the quantity that the instrument measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HalfWidth {
    /// Of a thermometer.
    Temperature(TemperatureDifference),
    /// Of a torque tool.
    Torque(Torque),
    /// Of a volt meter.
    Voltage(Voltage),
    /// Of an ammeter.
    Current(Current),
}

/// One branch circuit to one charger.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// Key, unique in the visit.
    pub id: String,
    /// Display name; the id if absent.
    pub name: Option<String>,
    /// The charger.
    pub charger: Charger,
    /// The supply.
    pub supply: Supply,
    /// The overcurrent device.
    pub breaker: Breaker,
    /// The conductors of the run.
    pub conductors: Conductors,
    /// The feeder upstream of the branch circuit, if specified.
    pub feeder: Option<Conductors>,
    /// The receptacle of a plug-connected charger.
    pub receptacle: Option<Receptacle>,
    /// Disconnecting means, if specified.
    pub disconnect: Option<Disconnect>,
    /// Whether the circuit serves nothing else, if specified.
    pub dedicated: Option<bool>,
    /// The charger, or its receptacle, is outdoors.
    pub outdoors: Option<bool>,
    /// What limits the load of this charger and others together, if anything does.
    pub load_management: Option<LoadManagement>,
    /// Residual-current protection, if specified.
    pub rcd: Option<ResidualCurrentDevice>,
    /// Hottest air temperature at which the circuit is expected to work at full load.
    pub hottest_air: Option<Temperature>,
    /// Places where covers come off, in order from the supply; at least one.
    pub places: Vec<Place>,
    /// Connections of earlier visits that no longer exist.
    pub removed: Vec<Removed>,
    /// Places and connections that were not read under load, and why.
    pub not_read: Vec<NotRead>,
    /// Proofs of isolation in file order; a second one if the circuit was energised in between.
    pub isolation: Vec<Isolation>,
    /// Torque checks in file order.
    pub torque: Vec<TorqueCheck>,
    /// Condition found.
    pub looked_at: Vec<LookedAt>,
    /// Heat measurement.
    pub heat: Option<Heat>,
    /// Connections repaired during the visit.
    pub repairs: Vec<Repair>,
    /// Heat measurement after the repairs; present only if there were any.
    pub heat_after: Option<Heat>,
    /// State in which the circuit was left, if specified.
    pub left_as: Option<LeftAs>,
}

/// Heat measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct Heat {
    /// Instrument id of the thermometer.
    pub with: String,
    /// When charging began.
    pub charging_from: Option<Moment>,
    /// Rounds in chronological order.
    pub rounds: Vec<Round>,
}

impl Heat {
    /// Moves all its times to the day on which it follows a moment, going by the clock alone;
    /// false if its first round is at most half a day earlier on the clock than that moment, or at
    /// the same time.
    pub(super) fn run_on_after(&mut self, last: Moment) -> bool {
        let Some(first) = self.rounds.first().map(|r| r.at) else {
            return true;
        };
        let clock = |m: Moment| i64::from(m.time.seconds());
        let step = clock(first) - clock(last);
        if step <= 0 && step > -12 * 3600 {
            return false;
        }
        let day = last.day.saturating_add(u8::from(step <= 0)).max(first.day);
        let shift = |m: Moment| Moment {
            day: m.day.saturating_add(day - first.day),
            ..m
        };
        for round in &mut self.rounds {
            round.at = shift(round.at);
        }
        self.charging_from = self.charging_from.map(shift);
        true
    }
}

/// A time on the site's clock, counted from midnight at the start of the visit's day; after the
/// following midnight `day` is 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// Days after the visit's date.
    pub day: u8,
    /// Time of day.
    pub time: TimeOfDay,
    /// Seconds to subtract to get uniformly running time: how far the clock was set forward since
    /// the first round (0 unless the file names a time zone whose clock changed that night).
    pub jump_s: i32,
}

impl Moment {
    /// Seconds of uniformly running time since the midnight at the start of the visit's day.
    pub fn seconds(self) -> i64 {
        i64::from(self.day) * 86_400 + i64::from(self.time.seconds()) - i64::from(self.jump_s)
    }
}

/// One round of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// Time of the round.
    pub at: Moment,
    /// Air temperature, if measured in this round.
    pub air: Option<Temperature>,
    /// Its temperatures were looked at again and are right, however odd.
    pub confirmed: bool,
    /// Current in each leg (zero in a round without load).
    pub current: Current,
    /// Current in each leg, if given separately; otherwise all legs carry the same.
    pub legs: Vec<(String, Current)>,
    /// Voltage at the charger.
    pub voltage: Option<Voltage>,
    /// Readings in file order: connection id and reading.
    pub readings: Vec<(String, Reading)>,
}

impl Round {
    /// Current in a leg: its own if given, otherwise the largest.
    pub fn current_in(&self, leg: &str) -> Current {
        let own = self.legs.iter().find(|(name, _)| name == leg);
        own.map_or(self.current, |(_, current)| *current)
    }
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The displayed values, one or several; at least one.
    pub temperatures: Vec<Temperature>,
    /// Distance from instrument to target.
    pub distance: Option<Length>,
    /// Reflected temperature, if measured.
    pub reflected: Option<Temperature>,
    /// Voltage across the connection under load.
    pub drop: Option<Voltage>,
    /// The temperature was checked again and is right, although it looks wrong.
    pub confirmed: bool,
}

/// A photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Photo {
    /// Key.
    pub id: String,
    /// Path inside the visit's folder.
    pub file: String,
    /// Caption.
    pub caption: String,
    /// Id of the circuit of the marks; always present if there are marks.
    pub circuit: Option<String>,
    /// Marks: connection id and position as fractions of the width and height of the image after
    /// applying its orientation, from the top left corner.
    pub marks: Vec<(String, [f64; 2])>,
    /// Whether the place in the file's metadata goes into the record.
    pub keep_place: bool,
}

impl Circuit {
    /// Display name.
    pub fn title(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.id)
    }

    /// Whether a current is at least this fraction of the charger's load.
    pub fn loaded(&self, current: Current, share: f64) -> bool {
        current.ampere() > 0.0 && current.ampere() >= share * self.charger.load().ampere()
    }

    /// The rounds of the heat measurement, followed by those after the repairs.
    pub fn whole_heat(&self) -> Option<Heat> {
        match (self.heat.clone(), &self.heat_after) {
            (Some(mut heat), Some(after)) => {
                heat.rounds.extend(after.rounds.iter().cloned());
                Some(heat)
            }
            (Some(heat), None) => Some(heat),
            (None, after) => after.clone(),
        }
    }

    /// All connections, with their places, in order from the supply.
    pub fn connections(&self) -> impl Iterator<Item = (&Place, &Connection)> {
        self.places
            .iter()
            .flat_map(|p| p.connections.iter().map(move |c| (p, c)))
    }
}

impl Visit {
    /// The instrument with this id.
    pub fn instrument(&self, id: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| i.id == id)
    }
}
