//! Every key of the visit file: its name, whether it is required, the form of its value, an example
//! and its meaning. The reader rejects keys that are not in these tables, and the schema is
//! generated from them, so the two agree.

use super::choices::{InstrumentKind, Paper, Reason, Units};
use super::connection::Place;
use super::entry::{self, Keys};
use super::equipment::{
    Breaker, Charger, Conductors, Disconnect, LoadManagement, Receptacle, Supply, TypeOrMap,
};
use super::format_version::FORMAT;
use super::judgement::Judgement;
use super::key_table::{Form, Key, Table};
use super::limits;
use super::not_done::{CutShort, NotRead, Removed};
use super::parties::{Client, Inspector, Replaces, Site};
use super::repairs::{Repair, StateOrMap};
use super::words::list;
use super::work::{Isolation, LookedAt, TorqueCheck};
use crate::quantity::Kind;

/// A required key.
const fn must(name: &'static str, form: Form, example: &'static str, about: &'static str) -> Key {
    Key {
        name,
        required: true,
        form,
        example,
        about,
    }
}

/// An optional key.
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
    Band, Date, Either, Id, Image, Language, Line, List, Map, Named, Pair, Path, Quantity,
    Reference, Share, Text, Time, UnitOf, Whole, Word, Zone,
};

const NAME: Form = Line(limits::NAME);

pub(super) static FILE: Table = Table {
    what: "the file",
    keys: &[
        may(
            "format",
            Whole(0, FORMAT),
            "1",
            "Format of this file; `warmlug upgrade` updates an earlier one to the current one",
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
            Either(&[Map(Inspector::TABLE), NAME]),
            "{ name: Dana Voss }",
            "Who inspected and signs; with a firm file, the name of a technician is enough",
        ),
        must(
            "client",
            Map(Client::TABLE),
            "{ name: Lee Park, role: owner }",
            "Who asked for the visit",
        ),
        must(
            "site",
            Map(Site::TABLE),
            "{ name: 12 Sample Street }",
            "Where the circuits are",
        ),
        may(
            "instruments",
            Either(&[
                Named(&Either(&[Map(&INSTRUMENT), Reference])),
                List(&Reference, limits::INSTRUMENTS),
            ]),
            "{ gun: { kind: infrared-thermometer, serial: A1 } }",
            "The instruments used, each under an id; with a firm file, its ids are enough",
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
            List(&Map(Judgement::TABLE), limits::ENTRIES),
            "[ { finding: leg-difference, grade: watch, because: ... } ]",
            "The inspector's own judgement on findings, always printed as such",
        ),
        may(
            "remarks",
            Text(limits::REMARKS),
            "Cover screws replaced.",
            "Free remarks, printed on the certificate",
        ),
        may(
            "cut_short",
            Map(CutShort::TABLE),
            "{ why: The tenant had to leave., return: 2026-10-20 }",
            "Why the visit ended before everything was done, and when somebody returns",
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
            "edition",
            Line(limits::EDITION),
            "2023",
            "Edition of the code by which the installation is judged, where the rule set has several: `us` has 2020, 2023 and 2026; default 2023",
        ),
        may(
            "firm",
            Path,
            "../firm.yaml",
            "The firm's file; default the nearest `firm.yaml` in the visit's folder or above it",
        ),
        may(
            "zone",
            Zone,
            "America/Chicago",
            "The site's clock: a zone of the IANA database, or an offset from universal time such as \"-05:00\"",
        ),
        may(
            "replaces",
            Map(Replaces::TABLE),
            "{ number: 2026-0146, sha256: ... }",
            "An earlier certificate that this one replaces",
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
            "Language of certificate and findings; for a list, the first one, with the result \
             page in each",
        ),
        may(
            "appendix",
            Word(list::<bool>),
            "yes",
            "Whether an appendix lists every reading and shows the photos large; default no",
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
            "certificate",
            NAME,
            "C-1182",
            "Number of the certificate of that calibration",
        ),
        may(
            "accuracy",
            Map(&ACCURACY),
            "{ of_reading: 2 %, at_least: 2 °C }",
            "Accuracy as the manufacturer states it: the greater of the two",
        ),
        may(
            "repeatability",
            Quantity(Kind::TemperatureDifference),
            "0.4 °C",
            "Standard deviation of a thermometer's readings of one target, aimed again each time",
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
        may(
            "confirmed",
            Word(list::<bool>),
            "yes",
            "The emissivity was checked again and is right, although it looks wrong",
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
            "Fraction of the reading; for temperatures, of the value in °C",
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
            "Fixed half-width, in the quantity that the instrument measures",
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
            Map(Charger::TABLE),
            "{ rated_current: 40 A, connection: hardwired }",
            "The charger",
        ),
        must(
            "supply",
            Map(Supply::TABLE),
            "{ phases: 1, legs: [L1, L2], voltage: 240 V }",
            "The supply",
        ),
        must(
            "breaker",
            Map(Breaker::TABLE),
            "{ rating: 50 A, poles: 2 }",
            "The overcurrent device",
        ),
        must(
            "conductors",
            Map(Conductors::TABLE),
            "{ material: copper, size: 6 AWG, insulation: 90 °C }",
            "The conductors of the run",
        ),
        may(
            "feeder",
            Map(Conductors::TABLE),
            "{ material: copper, size: 2 AWG, insulation: 75 °C, length: 30 ft }",
            "The feeder in front of the branch circuit",
        ),
        may(
            "receptacle",
            Map(Receptacle::TABLE),
            "{ configuration: 14-50, grade: industrial }",
            "The receptacle of a plug-connected charger",
        ),
        may(
            "disconnect",
            Map(Disconnect::TABLE),
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
            "outdoors",
            Word(list::<bool>),
            "yes",
            "Whether the charger, or its receptacle, is outdoors",
        ),
        may(
            "load_management",
            Map(LoadManagement::TABLE),
            "{ limit: 80 A, restricted: yes }",
            "A system that limits what this charger and other loads draw together",
        ),
        may(
            "rcd",
            entry::form(&TypeOrMap),
            "a-6ma",
            "Residual-current protection: its type, or a map with details",
        ),
        may(
            "hottest_air",
            Quantity(Kind::Temperature),
            "104 °F",
            "Hottest air in which the circuit has to work at full load",
        ),
        must(
            "places",
            List(&Map(Place::TABLE), limits::CONNECTIONS),
            "[ ... ]",
            "Where covers come off, in order from the supply",
        ),
        may(
            "removed",
            List(&Map(Removed::TABLE), limits::CONNECTIONS),
            "[ { connection: splice-L1, why: The run was pulled anew. } ]",
            "Connections and places of an earlier visit that no longer exist",
        ),
        may(
            "not_read",
            List(&Map(NotRead::TABLE), limits::CONNECTIONS),
            "[ { place: charger, why: closed-while-charging } ]",
            "Places and connections that could not be read under load",
        ),
        may(
            "isolation",
            Either(&[
                Map(Isolation::TABLE),
                List(&Map(Isolation::TABLE), limits::ISOLATIONS),
            ]),
            "{ tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V }, proved_after: 241 V, locked: yes }",
            "Proof of isolation: live, dead, live; a list if the circuit was proved dead again",
        ),
        may(
            "torque",
            List(&Map(TorqueCheck::TABLE), limits::CONNECTIONS),
            "[ { connection: breaker-L1, found: moved, left: 45 in·lb, with: driver } ]",
            "Torque checks",
        ),
        may(
            "looked_at",
            List(&Map(LookedAt::TABLE), limits::CONNECTIONS),
            "[ { place: breaker, seen: clean } ]",
            "Condition seen",
        ),
        may(
            "heat",
            Map(&HEAT),
            "{ with: gun, charging_from: \"09:50\", rounds: [ ... ] }",
            "Heat measurement",
        ),
        may(
            "repairs",
            List(&Map(Repair::TABLE), limits::CONNECTIONS),
            "[ { connection: breaker-L1, done: re-torqued, at: \"12:10\", cooled_to: 66 °F, with: gun } ]",
            "Connections repaired during the visit",
        ),
        may(
            "heat_after",
            Map(&HEAT),
            "{ with: gun, charging_from: \"12:30\", rounds: [ ... ] }",
            "Heat measurement after the repairs",
        ),
        may(
            "left_as",
            entry::form(&StateOrMap),
            "in-use",
            "How the circuit was left: its state, or a map with details",
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
            "Rounds of readings in chronological order",
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
            Either(&[
                Quantity(Kind::Current),
                Form::Legs(&Quantity(Kind::Current)),
            ]),
            "40 A",
            "Current in each leg, or a map of the legs and their currents; 0 A in a round without load",
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
            "Readings, by the id of the connection",
        ),
        may(
            "confirmed",
            Word(list::<bool>),
            "yes",
            "The air temperature was checked again and is right, although it looks wrong",
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
            "The temperature was checked again and is right, although it looks wrong",
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
            "Circuit of the marks, if connections of several circuits have the same id",
        ),
        may(
            "marks",
            Named(&Pair(&Share)),
            "{ breaker-L1: [0.42, 0.31] }",
            "Where connections are, as fractions of the upright picture's width and height from its top left corner",
        ),
        may(
            "keep_place",
            Word(list::<bool>),
            "yes",
            "Whether the place in the picture's metadata goes into the record, for whoever has the file; default no",
        ),
    ],
};
