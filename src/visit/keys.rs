//! Every key of the visit file: its name, whether it must stand there, what may stand after
//! it, an example and what it means. The reader refuses keys that are not in these tables, and
//! the schema is made from them, so the two agree.

use super::format::FORMAT;
use super::limits;
use super::model::{
    ChargerConnection, Condition, ConnectionKind, Earthing, Grade, GroundFault, InstrumentKind,
    MarkedFor, Material, OvercurrentDevice, Paper, ProductStandard, Rcd, Reason, ReceptacleGrade,
    Role, Surface, System, Units, Wiring,
};
use super::words::{Moved, findings, list};
use crate::quantity::Kind;

/// A map with known keys.
pub(super) struct Table {
    /// What the map describes, with article, for messages.
    pub what: &'static str,
    pub keys: &'static [Key],
}

/// One key of a [`Table`].
pub(super) struct Key {
    pub name: &'static str,
    pub required: bool,
    pub form: Form,
    /// A value as it may be written.
    pub example: &'static str,
    /// What it means: one sentence without a full stop.
    pub about: &'static str,
}

/// What may stand after a key.
pub(super) enum Form {
    /// One line of text of at most so many characters.
    Line(usize),
    /// Text of several lines of at most so many characters.
    Text(usize),
    /// A name that other parts of the file refer to.
    Id,
    /// The name of something defined elsewhere in the file.
    Reference,
    /// A path to an image inside the visit's folder.
    Image,
    /// A path.
    Path,
    /// `2026-10-06`.
    Date,
    /// `09:50`.
    Time,
    /// `-05:00`, `Europe/Lisbon`.
    Zone,
    /// `#1F4E79`.
    Colour,
    /// 64 hexadecimal digits.
    Sha256,
    /// `en`, `es-MX`.
    Language,
    /// A quantity with its unit.
    Quantity(Kind),
    /// The unit of a kind.
    UnitOf(Kind),
    /// One of several words.
    Word(fn() -> Vec<&'static str>),
    /// A whole number in a range.
    Whole(u16, u16),
    /// A number from 0 to 1.
    Share,
    /// A range of wavelengths.
    Band,
    /// A map with known keys.
    Map(&'static Table),
    /// A map whose keys are ids.
    Named(&'static Form),
    /// A map whose keys are pairs of legs.
    Pairs(&'static Form),
    /// 1 or 3.
    Phases,
    /// A list with at most so many entries, at least one.
    List(&'static Form, usize),
    /// Exactly two of a form.
    Pair(&'static Form),
    /// One of several forms.
    Either(&'static [Form]),
}

/// A key that must stand.
const fn must(name: &'static str, form: Form, example: &'static str, about: &'static str) -> Key {
    Key {
        name,
        required: true,
        form,
        example,
        about,
    }
}

/// A key that may stand.
const fn may(name: &'static str, form: Form, example: &'static str, about: &'static str) -> Key {
    Key {
        name,
        required: false,
        form,
        example,
        about,
    }
}

use Form::{
    Band, Colour, Date, Either, Id, Image, Language, Line, List, Map, Named, Pair, Pairs, Path,
    Phases, Quantity, Reference, Sha256, Share, Text, Time, UnitOf, Whole, Word, Zone,
};

const NAME: Form = Line(limits::NAME);

/// Names of the legs of a supply.
fn supply_legs() -> Vec<&'static str> {
    vec!["L1", "L2", "L3", "N"]
}

/// What a connection may belong to.
fn all_legs() -> Vec<&'static str> {
    vec!["L1", "L2", "L3", "N", "G", "PE"]
}

pub(super) static FILE: Table = Table {
    what: "the file",
    keys: &[
        may(
            "format",
            Whole(0, FORMAT),
            "1",
            "Format of this file; `warmlug upgrade` brings an earlier one to the present one",
        ),
        must(
            "visit",
            Map(&VISIT),
            "{ number: 2026-0147, date: 2026-10-06, reason: periodic, rules: us }",
            "The visit itself",
        ),
        may(
            "print",
            Map(&PRINT),
            "{ units: us, paper: letter, language: en }",
            "How the certificate is printed; US units on Letter paper when the rules are `us`, SI units on A4 otherwise",
        ),
        may(
            "units",
            Map(&UNITS),
            "{ temperature: °F, torque: in·lb, length: ft }",
            "The unit of every number written without one, by kind",
        ),
        must(
            "inspector",
            Map(&INSPECTOR),
            "{ name: Dana Voss }",
            "Who inspected and signs",
        ),
        must(
            "client",
            Map(&CLIENT),
            "{ name: Lee Park, role: owner }",
            "Who asked for the visit",
        ),
        must(
            "site",
            Map(&SITE),
            "{ name: 12 Sample Street }",
            "Where the circuits are",
        ),
        may(
            "instruments",
            Named(&Map(&INSTRUMENT)),
            "{ gun: { kind: infrared-thermometer, serial: A1 } }",
            "The instruments used, each under an id",
        ),
        must(
            "circuits",
            List(&Map(&CIRCUIT), limits::CIRCUITS),
            "[ ... ]",
            "The circuits inspected",
        ),
        may(
            "photos",
            List(&Map(&PHOTO), limits::PHOTOS),
            "[ { id: p1, file: photos/panel.jpg, caption: Panel } ]",
            "Photos for the certificate",
        ),
        may(
            "earlier",
            List(&Path, limits::EARLIER),
            "[ ../2026-04/certificate.pdf ]",
            "Earlier certificates or visit files of the same circuits, to compare with",
        ),
        may(
            "judgement",
            List(&Map(&JUDGEMENT), limits::ENTRIES),
            "[ { finding: leg-difference, grade: watch, because: ... } ]",
            "The inspector's own word on findings, always printed as such",
        ),
        may(
            "remarks",
            Text(limits::REMARKS),
            "Cover screws replaced.",
            "Free remarks, printed on the certificate",
        ),
    ],
};

pub(super) static VISIT: Table = Table {
    what: "the visit",
    keys: &[
        must(
            "number",
            Line(limits::NUMBER),
            "2026-0147",
            "Certificate number, unique within the firm, printed on every page",
        ),
        must(
            "date",
            Date,
            "2026-10-06",
            "Day of the visit on the site's calendar",
        ),
        must(
            "reason",
            Word(list::<Reason>),
            "periodic",
            "Why the visit was made",
        ),
        must(
            "rules",
            Path,
            "us",
            "Rule set: `us`, `iec`, or the path of a rules file",
        ),
        may(
            "zone",
            Zone,
            "America/Chicago",
            "The site's clock: a zone of the IANA database, or an offset from universal time such as \"-05:00\"",
        ),
        may(
            "replaces",
            Map(&REPLACES),
            "{ number: 2026-0146, sha256: ... }",
            "An earlier certificate that this one replaces",
        ),
    ],
};

pub(super) static REPLACES: Table = Table {
    what: "the certificate replaced",
    keys: &[
        must(
            "number",
            Line(limits::NUMBER),
            "2026-0146",
            "Number of the certificate replaced",
        ),
        must(
            "sha256",
            Sha256,
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
            "SHA-256 of the file replaced",
        ),
    ],
};

pub(super) static PRINT: Table = Table {
    what: "the print settings",
    keys: &[
        may(
            "units",
            Word(list::<Units>),
            "us",
            "Unit system of every printed value",
        ),
        may("paper", Word(list::<Paper>), "letter", "Paper size"),
        may(
            "language",
            Either(&[Language, List(&Language, 4)]),
            "en",
            "Language of certificate and findings; with a list the first one, the result page in each",
        ),
    ],
};

pub(super) static UNITS: Table = Table {
    what: "the units",
    keys: &[
        may(
            "temperature",
            UnitOf(Kind::Temperature),
            "°F",
            "Unit of a bare temperature",
        ),
        may(
            "torque",
            UnitOf(Kind::Torque),
            "in·lb",
            "Unit of a bare torque",
        ),
        may(
            "length",
            UnitOf(Kind::Length),
            "ft",
            "Unit of a bare length",
        ),
        may(
            "current",
            UnitOf(Kind::Current),
            "A",
            "Unit of a bare current",
        ),
        may(
            "voltage",
            UnitOf(Kind::Voltage),
            "V",
            "Unit of a bare voltage",
        ),
        may(
            "conductor",
            UnitOf(Kind::ConductorSize),
            "AWG",
            "System of a bare conductor size",
        ),
    ],
};

pub(super) static INSPECTOR: Table = Table {
    what: "the inspector",
    keys: &[
        must(
            "name",
            NAME,
            "Dana Voss",
            "Name as it is printed and signed",
        ),
        may("licence", NAME, "EL-20417", "Licence number"),
        may("firm", NAME, "Voss Electric", "Firm"),
        may(
            "address",
            Text(limits::NOTE),
            "4 Example Road, Sampleton",
            "The firm's postal address",
        ),
        may("phone", NAME, "555 0100", "Telephone"),
        may("email", NAME, "dana@example.com", "E-mail address"),
        may(
            "signature",
            Image,
            "signature.png",
            "Image of the handwritten signature",
        ),
        may("logo", Image, "logo.png", "The firm's logo"),
        may(
            "accent",
            Colour,
            "\"#1F4E79\"",
            "Accent colour of the letterhead, sRGB, with a contrast of 4.5 to 1 on white or more",
        ),
    ],
};

pub(super) static CLIENT: Table = Table {
    what: "the client",
    keys: &[
        must("name", NAME, "Lee Park", "Name of the client"),
        must(
            "role",
            Word(list::<Role>),
            "owner",
            "Part that the client plays",
        ),
        may(
            "address",
            Text(limits::NOTE),
            "12 Sample Street, Sampleton",
            "Postal address",
        ),
    ],
};

pub(super) static SITE: Table = Table {
    what: "the site",
    keys: &[
        must("name", NAME, "Garage, 12 Sample Street", "Name of the site"),
        may(
            "address",
            Text(limits::NOTE),
            "12 Sample Street, Sampleton",
            "Postal address",
        ),
    ],
};

pub(super) static INSTRUMENT: Table = Table {
    what: "an instrument",
    keys: &[
        must(
            "kind",
            Word(list::<InstrumentKind>),
            "infrared-thermometer",
            "What kind of instrument it is",
        ),
        may("model", NAME, "Spot 12", "Model"),
        may("serial", NAME, "A1", "Serial number"),
        may(
            "calibrated",
            Date,
            "2026-02-10",
            "Day of the last calibration",
        ),
        may(
            "calibration_due",
            Date,
            "2027-02-10",
            "Last day on which the calibration is good",
        ),
        may(
            "accuracy",
            Map(&ACCURACY),
            "{ of_reading: 2 %, at_least: 2 °C }",
            "Accuracy as its maker states it: the greater of the two",
        ),
        may(
            "emissivity",
            Quantity(Kind::Ratio),
            "0.95",
            "Emissivity set on an infrared instrument",
        ),
        may(
            "reflected",
            Quantity(Kind::Temperature),
            "68 °F",
            "Reflected temperature set on an infrared instrument",
        ),
        may(
            "distance_to_spot",
            Quantity(Kind::Ratio),
            "\"12:1\"",
            "Distance to spot of an infrared instrument",
        ),
        may(
            "band",
            Band,
            "8-14 µm",
            "Spectral band of an infrared instrument",
        ),
    ],
};

pub(super) static ACCURACY: Table = Table {
    what: "an accuracy",
    keys: &[
        may(
            "of_reading",
            Quantity(Kind::Percentage),
            "2 %",
            "Share of the reading; for temperatures of the value in °C",
        ),
        may(
            "at_least",
            Either(&[
                Quantity(Kind::TemperatureDifference),
                Quantity(Kind::Torque),
                Quantity(Kind::Voltage),
                Quantity(Kind::Current),
            ]),
            "2 °C",
            "Fixed half-width in what the instrument measures",
        ),
    ],
};

pub(super) static CIRCUIT: Table = Table {
    what: "a circuit",
    keys: &[
        must("id", Id, "bay-1", "Id of the circuit, unique in the visit"),
        may("name", NAME, "Charger in bay 1", "Name for people"),
        must(
            "charger",
            Map(&CHARGER),
            "{ rated_current: 40 A, connection: hardwired }",
            "The charger",
        ),
        must(
            "supply",
            Map(&SUPPLY),
            "{ phases: 1, legs: [L1, L2], voltage: 240 V }",
            "The supply",
        ),
        must(
            "breaker",
            Map(&BREAKER),
            "{ rating: 50 A, poles: 2 }",
            "The overcurrent device",
        ),
        must(
            "conductors",
            Map(&CONDUCTORS),
            "{ material: copper, size: 6 AWG, insulation: 90 °C }",
            "The conductors of the run",
        ),
        may(
            "feeder",
            Map(&CONDUCTORS),
            "{ material: copper, size: 2 AWG, insulation: 75 °C, length: 30 ft }",
            "The feeder in front of the branch circuit",
        ),
        may(
            "receptacle",
            Map(&RECEPTACLE),
            "{ configuration: 14-50, grade: industrial }",
            "The receptacle of a plug-connected charger",
        ),
        may(
            "disconnect",
            Map(&DISCONNECT),
            "{ in_sight: yes, lockable: yes }",
            "The disconnecting means",
        ),
        may(
            "dedicated",
            Word(list::<bool>),
            "yes",
            "Whether the circuit serves nothing else",
        ),
        may(
            "rcd",
            Either(&[Word(list::<Rcd>), Map(&RCD)]),
            "a-6ma",
            "Residual-current protection: its type, or a map with more about it",
        ),
        may(
            "hottest_air",
            Quantity(Kind::Temperature),
            "104 °F",
            "Hottest air in which the circuit has to work at full load",
        ),
        must(
            "places",
            List(&Map(&PLACE), limits::CONNECTIONS),
            "[ ... ]",
            "Where covers come off, in order from the supply",
        ),
        may(
            "isolation",
            Map(&ISOLATION),
            "{ tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V }, proved_after: 241 V, locked: yes }",
            "Proof of isolation: live, dead, live",
        ),
        may(
            "torque",
            List(&Map(&TORQUE), limits::CONNECTIONS),
            "[ { connection: breaker-L1, found: moved, left: 45 in·lb, with: driver } ]",
            "Torque checks",
        ),
        may(
            "looked_at",
            List(&Map(&LOOKED_AT), limits::CONNECTIONS),
            "[ { place: breaker, seen: clean } ]",
            "Condition seen",
        ),
        may(
            "heat",
            Map(&HEAT),
            "{ with: gun, charging_from: \"09:50\", rounds: [ ... ] }",
            "Heat measurement",
        ),
    ],
};

pub(super) static CHARGER: Table = Table {
    what: "the charger",
    keys: &[
        may("make", NAME, "Sample Works", "Maker"),
        may("model", NAME, "SW-40", "Model"),
        may("serial", NAME, "0001", "Serial number"),
        must(
            "rated_current",
            Quantity(Kind::Current),
            "40 A",
            "Current that it is rated, or set, to draw continuously",
        ),
        must(
            "connection",
            Word(list::<ChargerConnection>),
            "hardwired",
            "How it is connected",
        ),
    ],
};

pub(super) static SUPPLY: Table = Table {
    what: "the supply",
    keys: &[
        must("phases", Phases, "1", "Number of phases: 1 or 3"),
        must(
            "legs",
            List(&Word(supply_legs), 4),
            "[L1, L2]",
            "Names of the legs in order; L1, L2, L3 and N",
        ),
        must(
            "voltage",
            Quantity(Kind::Voltage),
            "240 V",
            "Nominal voltage between the legs that the charger uses",
        ),
        may("system", Word(list::<System>), "wye", "Three-phase system"),
        may(
            "earthing",
            Word(list::<Earthing>),
            "tn",
            "Earthing of the system by IEC 60364: `tn` or `tt`",
        ),
    ],
};

pub(super) static RCD: Table = Table {
    what: "the residual-current device",
    keys: &[
        must(
            "type",
            Word(list::<Rcd>),
            "a",
            "Type; `a-6ma` detects smooth direct current itself",
        ),
        may(
            "rating",
            Quantity(Kind::Current),
            "30 mA",
            "Rated residual current",
        ),
        may(
            "dc_detection",
            Word(list::<bool>),
            "yes",
            "Whether a device, here or in the charger, disconnects at 6 mA smooth direct current",
        ),
        may(
            "trip_time",
            Quantity(Kind::Duration),
            "28 ms",
            "Time it took to trip when tested at its rated residual current",
        ),
    ],
};

pub(super) static BREAKER: Table = Table {
    what: "the breaker",
    keys: &[
        must(
            "rating",
            Quantity(Kind::Current),
            "50 A",
            "Rated current of the breaker",
        ),
        may(
            "kind",
            Word(list::<OvercurrentDevice>),
            "mcb",
            "Kind of device: `mcb` by IEC 60898-1, `mccb` by IEC 60947-2, `fuse` of class gG",
        ),
        may("poles", Whole(1, 4), "2", "Number of poles"),
        may(
            "terminal_rating",
            Quantity(Kind::Temperature),
            "75 °C",
            "Temperature rating of its terminals",
        ),
        may(
            "ground_fault",
            Word(list::<GroundFault>),
            "none",
            "Ground-fault protection in the breaker: `gfci` 5 mA for people, `gfpe` 30 mA for equipment",
        ),
        may(
            "full_rated",
            Word(list::<bool>),
            "no",
            "Listed for continuous operation at 100 % of its rating",
        ),
    ],
};

pub(super) static CONDUCTORS: Table = Table {
    what: "the conductors",
    keys: &[
        must(
            "material",
            Word(list::<Material>),
            "copper",
            "Metal of the conductors",
        ),
        must(
            "size",
            Quantity(Kind::ConductorSize),
            "6 AWG",
            "Size of each line conductor",
        ),
        must(
            "insulation",
            Quantity(Kind::Temperature),
            "90 °C",
            "Temperature rating of the insulation",
        ),
        may("wiring", Word(list::<Wiring>), "nm-cable", "Wiring method"),
        may(
            "length",
            Quantity(Kind::Length),
            "55 ft",
            "One-way length of the run",
        ),
        may(
            "current_carrying",
            Whole(1, 200),
            "2",
            "Current-carrying conductors in the raceway or cable",
        ),
        may(
            "ambient",
            Quantity(Kind::Temperature),
            "120 °F",
            "Hottest air along the run, when it differs from the charger's",
        ),
        may("stranded", Word(list::<bool>), "yes", "Stranded or solid"),
        may("method", Line(8), "B1", "IEC reference method"),
        may(
            "circuits_together",
            Whole(1, 200),
            "1",
            "Circuits or multi-core cables side by side along the run, this one counted",
        ),
        may("load", Quantity(Kind::Current), "60 A", "Load on a feeder"),
    ],
};

pub(super) static RECEPTACLE: Table = Table {
    what: "the receptacle",
    keys: &[
        must(
            "configuration",
            Line(24),
            "14-50",
            "Configuration of the receptacle",
        ),
        may(
            "grade",
            Word(list::<ReceptacleGrade>),
            "industrial",
            "Grade of the receptacle",
        ),
        may(
            "rating",
            Quantity(Kind::Temperature),
            "75 °C",
            "Temperature rating",
        ),
        may(
            "wet_location",
            Word(list::<bool>),
            "no",
            "In a wet location",
        ),
    ],
};

pub(super) static DISCONNECT: Table = Table {
    what: "the disconnect",
    keys: &[
        may(
            "in_sight",
            Word(list::<bool>),
            "yes",
            "In sight of the charger",
        ),
        may("lockable", Word(list::<bool>), "yes", "Can be locked open"),
        may(
            "plaque",
            Word(list::<bool>),
            "yes",
            "Out of sight, but a plaque at the charger tells where it is",
        ),
    ],
};

pub(super) static PLACE: Table = Table {
    what: "a place",
    keys: &[
        must(
            "id",
            Id,
            "breaker",
            "Id of the place, unique in the circuit",
        ),
        must(
            "name",
            NAME,
            "Breaker terminals, garage panel",
            "Name for people",
        ),
        must(
            "connections",
            List(&Map(&CONNECTION), limits::CONNECTIONS),
            "[ { id: breaker-L1, leg: L1, kind: screw-terminal } ]",
            "Connections under the cover",
        ),
    ],
};

pub(super) static CONNECTION: Table = Table {
    what: "a connection",
    keys: &[
        must(
            "id",
            Id,
            "breaker-L1",
            "Id of the connection, unique in the circuit and the same at every visit",
        ),
        must(
            "leg",
            Word(all_legs),
            "L1",
            "Leg it belongs to: one of the supply's, or N, G, PE",
        ),
        must(
            "kind",
            Word(list::<ConnectionKind>),
            "screw-terminal",
            "What kind of connection it is",
        ),
        may(
            "torque",
            Quantity(Kind::Torque),
            "45 in·lb",
            "Torque its maker wants",
        ),
        may(
            "screw",
            Line(24),
            "slotted-10",
            "Screw, for the fallback torque table",
        ),
        may(
            "surface",
            Word(list::<Surface>),
            "insulation",
            "Surface that the thermometer is aimed at",
        ),
        may(
            "emissivity",
            Quantity(Kind::Ratio),
            "0.94",
            "Emissivity of that surface, when measured",
        ),
        may(
            "width",
            Quantity(Kind::Length),
            "10 mm",
            "Width of the target",
        ),
        may(
            "rating",
            Quantity(Kind::Temperature),
            "75 °C",
            "Temperature rating, when it differs from the breaker's terminals",
        ),
        may(
            "standard",
            Word(list::<ProductStandard>),
            "iec-60898-1",
            "Product standard of the device, which limits how far its terminals may warm up",
        ),
        may(
            "marked",
            Word(list::<MarkedFor>),
            "al-cu",
            "Metals that the terminal is marked for",
        ),
        may(
            "remade",
            Word(list::<bool>),
            "yes",
            "Made anew since the last visit; comparison starts here",
        ),
    ],
};

pub(super) static ISOLATION: Table = Table {
    what: "the proof of isolation",
    keys: &[
        may(
            "tester",
            Reference,
            "tester",
            "The voltage tester, by its id under `instruments`",
        ),
        may(
            "proved_before",
            Quantity(Kind::Voltage),
            "241 V",
            "Shown at a known live source before",
        ),
        may(
            "dead",
            Pairs(&Quantity(Kind::Voltage)),
            "{ L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }",
            "Shown between each pair of legs, N, and G or PE",
        ),
        may(
            "proved_after",
            Quantity(Kind::Voltage),
            "241 V",
            "Shown at a known live source after",
        ),
        may("locked", Word(list::<bool>), "yes", "Locked and tagged"),
    ],
};

pub(super) static TORQUE: Table = Table {
    what: "a torque check",
    keys: &[
        must(
            "connection",
            Reference,
            "breaker-L1",
            "The connection, by its id",
        ),
        must(
            "found",
            Either(&[Word(list::<Moved>), Quantity(Kind::Torque)]),
            "held",
            "Whether it held, or moved before the value wanted (a screw that is fully loose too), or the value at which it began to move",
        ),
        may(
            "left",
            Quantity(Kind::Torque),
            "45 in·lb",
            "Torque it was left at",
        ),
        may(
            "with",
            Reference,
            "driver",
            "The torque tool, by its id under `instruments`",
        ),
    ],
};

pub(super) static LOOKED_AT: Table = Table {
    what: "a condition seen",
    keys: &[
        must("place", Reference, "breaker", "The place, by its id"),
        may(
            "connection",
            Reference,
            "breaker-L1",
            "The connection it concerns, by its id",
        ),
        must(
            "seen",
            Either(&[Word(list::<Condition>), List(&Word(list::<Condition>), 8)]),
            "clean",
            "What was seen; a word or a list of words",
        ),
        may(
            "note",
            Text(limits::NOTE),
            "Insulation brown over 10 mm.",
            "A note in the inspector's words",
        ),
    ],
};

pub(super) static HEAT: Table = Table {
    what: "the heat measurement",
    keys: &[
        must(
            "with",
            Reference,
            "gun",
            "The thermometer, by its id under `instruments`",
        ),
        may("charging_from", Time, "\"09:50\"", "When charging began"),
        must(
            "rounds",
            List(&Map(&ROUND), limits::ROUNDS),
            "[ ... ]",
            "Rounds of readings in the order of time",
        ),
    ],
};

pub(super) static ROUND: Table = Table {
    what: "a round",
    keys: &[
        must("at", Time, "\"10:05\"", "When, on the site's clock"),
        may(
            "air",
            Quantity(Kind::Temperature),
            "61 °F",
            "Air temperature",
        ),
        must(
            "current",
            Quantity(Kind::Current),
            "40 A",
            "Current in each leg; 0 A in a round without load",
        ),
        may(
            "voltage",
            Quantity(Kind::Voltage),
            "243 V",
            "Voltage at the charger",
        ),
        must(
            "readings",
            Named(&Either(&[
                Quantity(Kind::Temperature),
                List(&Quantity(Kind::Temperature), limits::REPEATS),
                Map(&READING),
            ])),
            "{ breaker-L1: 88 °F, breaker-L2: 80 °F }",
            "What was read, by the id of the connection",
        ),
        may(
            "confirmed",
            Word(list::<bool>),
            "yes",
            "The air temperature was looked at again and is right, however odd",
        ),
    ],
};

pub(super) static READING: Table = Table {
    what: "a reading",
    keys: &[
        must(
            "temperature",
            Either(&[
                Quantity(Kind::Temperature),
                List(&Quantity(Kind::Temperature), limits::REPEATS),
            ]),
            "97 °F",
            "What the instrument showed, once or a list of repeats",
        ),
        may(
            "distance",
            Quantity(Kind::Length),
            "6 in",
            "Distance from instrument to target",
        ),
        may(
            "reflected",
            Quantity(Kind::Temperature),
            "70 °F",
            "Reflected temperature, when measured",
        ),
        may(
            "drop",
            Quantity(Kind::Voltage),
            "12 mV",
            "Voltage across the connection under load",
        ),
        may(
            "confirmed",
            Word(list::<bool>),
            "yes",
            "The temperature was looked at again and is right, however odd",
        ),
    ],
};

pub(super) static PHOTO: Table = Table {
    what: "a photo",
    keys: &[
        must("id", Id, "p1", "Id of the photo"),
        must(
            "file",
            Image,
            "photos/panel.jpg",
            "JPEG, PNG, TIFF, WebP or BMP file inside the visit's folder",
        ),
        must(
            "caption",
            Text(limits::NOTE),
            "Panel with the cover off",
            "What the photo shows",
        ),
        may(
            "circuit",
            Reference,
            "bay-1",
            "The circuit of its marks, when connections of several circuits have the same id",
        ),
        may(
            "marks",
            Named(&Pair(&Share)),
            "{ breaker-L1: [0.42, 0.31] }",
            "Where connections are, as fractions of the upright picture's width and height from its top left corner",
        ),
    ],
};

pub(super) static JUDGEMENT: Table = Table {
    what: "a judgement",
    keys: &[
        must(
            "finding",
            Word(findings),
            "leg-difference",
            "The finding, by its id",
        ),
        may(
            "circuit",
            Reference,
            "bay-1",
            "The circuit, when the finding occurs in several",
        ),
        may("place", Reference, "breaker", "The place"),
        may("connection", Reference, "breaker-L1", "The connection"),
        may(
            "seen",
            Word(list::<Condition>),
            "dust",
            "Of the finding condition, which of the conditions seen",
        ),
        must(
            "grade",
            Word(list::<Grade>),
            "watch",
            "The grade that the inspector gives",
        ),
        must(
            "because",
            Text(limits::REMARKS),
            "Both legs were re-made an hour before.",
            "Why the inspector judges so",
        ),
    ],
};
