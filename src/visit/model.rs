//! What a valid visit file says, typed. Only the `visit` stage builds these; every reference
//! in them (connection, place, instrument, photo ids) has been checked to exist.

use crate::quantity::{
    ConductorSize, Current, Duration, Length, Percentage, Ratio, Temperature,
    TemperatureDifference, TimeOfDay, Torque, Voltage,
};
use chrono::NaiveDate;

/// One visit: the whole file.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Certificate number, unique within the firm.
    pub number: String,
    /// The day of the visit on the site's calendar.
    pub date: NaiveDate,
    /// Why the visit was made.
    pub reason: Reason,
    /// `us`, `iec`, or a path to a rules file, as written.
    pub rules: String,
    /// Offset of the site's clock (`-05:00`), or the name of its zone in the IANA database.
    pub zone: Option<String>,
    /// A certificate that this one replaces.
    pub replaces: Option<Replaces>,
    /// How to print.
    pub print: Print,
    /// Who inspected.
    pub inspector: Inspector,
    /// Who asked for the visit.
    pub client: Client,
    /// Where.
    pub site: Site,
    /// The instruments used, in the file's order.
    pub instruments: Vec<Instrument>,
    /// The circuits inspected; at least one.
    pub circuits: Vec<Circuit>,
    /// Photos, in the file's order.
    pub photos: Vec<Photo>,
    /// Earlier certificates or visit files, paths as written.
    pub earlier: Vec<String>,
    /// The inspector's own word on findings.
    pub judgement: Vec<Judgement>,
    /// Free remarks.
    pub remarks: Option<String>,
}

/// Why a visit was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// First inspection after installation.
    First,
    /// A regular return.
    Periodic,
    /// After a repair.
    AfterRepair,
    /// New owner or tenant.
    ChangeOfOwner,
}

/// An earlier certificate that this visit's certificate replaces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replaces {
    /// Its number.
    pub number: String,
    /// SHA-256 of the replaced file as it was sealed, 64 lower-case hex digits.
    pub sha256: String,
}

/// How to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Print {
    /// Unit system of every printed value.
    pub units: Units,
    /// Paper size.
    pub paper: Paper,
    /// Language codes, first the main one (`en`); one or more.
    pub language: Vec<String>,
}

impl Print {
    /// The main language.
    pub fn main_language(&self) -> &str {
        self.language.first().map_or("en", String::as_str)
    }
}

/// Unit system of printed values.
pub type Units = crate::quantity::System;

/// Paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// US Letter, 8.5 × 11 in.
    Letter,
    /// ISO A4, 210 × 297 mm.
    A4,
}

/// The person who inspected and signs, and the firm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inspector {
    /// Name as it is to be printed and signed.
    pub name: String,
    /// Licence number, as written.
    pub licence: Option<String>,
    /// Firm.
    pub firm: Option<String>,
    /// The firm's postal address.
    pub address: Option<String>,
    /// Telephone.
    pub phone: Option<String>,
    /// E-mail.
    pub email: Option<String>,
    /// Image of the handwritten signature, path inside the visit's folder.
    pub signature_image: Option<String>,
    /// The firm's logo, path inside the visit's folder.
    pub logo: Option<String>,
    /// Accent colour of the letterhead, sRGB.
    pub accent: Option<[u8; 3]>,
}

/// Who asked for the visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Client {
    /// Name.
    pub name: String,
    /// Part played.
    pub role: Role,
    /// Postal address.
    pub address: Option<String>,
}

/// A client's part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Owner of the premises.
    Owner,
    /// Landlord.
    Landlord,
    /// Tenant.
    Tenant,
    /// Insurer.
    Insurer,
}

/// Where the circuits are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Site {
    /// Name of the site.
    pub name: String,
    /// Postal address.
    pub address: Option<String>,
}

/// One instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Key in the file.
    pub id: String,
    /// What it is.
    pub kind: InstrumentKind,
    /// Model, as written.
    pub model: Option<String>,
    /// Serial number.
    pub serial: Option<String>,
    /// Day of the last calibration.
    pub calibrated: Option<NaiveDate>,
    /// Last day on which the calibration is good.
    pub calibration_due: Option<NaiveDate>,
    /// Accuracy as its maker states it.
    pub accuracy: Option<Accuracy>,
    /// Emissivity set on an infrared instrument (0–1].
    pub emissivity: Option<Ratio>,
    /// Reflected temperature set on an infrared instrument.
    pub reflected: Option<Temperature>,
    /// Distance to spot of an infrared instrument; 12:1 is 12.
    pub distance_to_spot: Option<Ratio>,
    /// Spectral band of an infrared instrument in micrometres, short end first.
    pub band_um: Option<[f64; 2]>,
}

/// Kinds of instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InstrumentKind {
    /// Spot infrared thermometer.
    InfraredThermometer,
    /// Thermal imager.
    ThermalImager,
    /// Contact thermometer.
    ContactThermometer,
    /// Torque screwdriver.
    TorqueScrewdriver,
    /// Torque wrench.
    TorqueWrench,
    /// Two-pole voltage tester.
    VoltageTester,
    /// Multimeter.
    Multimeter,
    /// Clamp ammeter.
    ClampMeter,
    /// Air thermometer.
    AirThermometer,
}

/// Accuracy: the greater of a share of the reading and a fixed amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Share of the reading; for temperatures of the value in °C.
    pub of_reading: Option<Percentage>,
    /// Fixed half-width.
    pub at_least: Option<HalfWidth>,
}

/// A fixed accuracy half-width in the instrument's own kind of quantity.
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
    /// Name for people; the id when absent.
    pub name: Option<String>,
    /// The charger.
    pub charger: Charger,
    /// The supply.
    pub supply: Supply,
    /// The overcurrent device.
    pub breaker: Breaker,
    /// The conductors of the run.
    pub conductors: Conductors,
    /// The feeder in front of the branch circuit, when given.
    pub feeder: Option<Conductors>,
    /// The receptacle of a plug-connected charger.
    pub receptacle: Option<Receptacle>,
    /// Disconnecting means, when told.
    pub disconnect: Option<Disconnect>,
    /// Whether the circuit serves nothing else, when told.
    pub dedicated: Option<bool>,
    /// Residual-current protection, when told.
    pub rcd: Option<ResidualCurrentDevice>,
    /// Hottest air at which the circuit is expected to work at full load.
    pub hottest_air: Option<Temperature>,
    /// Where covers come off, in order from the supply; at least one.
    pub places: Vec<Place>,
    /// Proof of isolation.
    pub isolation: Option<Isolation>,
    /// Torque checks in the file's order.
    pub torque: Vec<TorqueCheck>,
    /// Condition seen.
    pub looked_at: Vec<LookedAt>,
    /// Heat measurement.
    pub heat: Option<Heat>,
}

/// The charger (EVSE).
#[derive(Debug, Clone, PartialEq)]
pub struct Charger {
    /// Maker.
    pub make: Option<String>,
    /// Model.
    pub model: Option<String>,
    /// Serial number.
    pub serial: Option<String>,
    /// Current it is rated or set to draw, continuous.
    pub rated_current: Current,
    /// How it is connected.
    pub connection: ChargerConnection,
}

/// How a charger is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChargerConnection {
    /// Fixed wiring.
    Hardwired,
    /// Plug and receptacle.
    Receptacle,
}

/// The supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Number of phases: 1 or 3.
    pub phases: u8,
    /// Names of the legs (`L1`, `L2`, `L3`, `N`), in order; at least one.
    pub legs: Vec<String>,
    /// Nominal voltage between the legs that the load uses (line to line; line to neutral
    /// for a one-leg load).
    pub voltage: Voltage,
    /// Earthing of a three-phase system, when told.
    pub system: Option<System>,
    /// Earthing of the system (IEC 60364-1), when told.
    pub earthing: Option<Earthing>,
}

/// Earthing of a system by IEC 60364-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Earthing {
    /// Exposed parts joined to the earthed point of the source (TN-S, TN-C-S).
    Tn,
    /// Exposed parts earthed by an electrode of their own.
    Tt,
}

/// Three-phase system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum System {
    /// Star.
    Wye,
    /// Delta.
    Delta,
}

/// The overcurrent device.
#[derive(Debug, Clone, PartialEq)]
pub struct Breaker {
    /// Kind of device by its product standard, when told.
    pub kind: Option<OvercurrentDevice>,
    /// Rated current.
    pub rating: Current,
    /// Poles.
    pub poles: Option<u8>,
    /// Temperature rating of its terminals (60 °C or 75 °C in the US).
    pub terminal_rating: Option<Temperature>,
    /// Ground-fault protection.
    pub ground_fault: GroundFault,
    /// Listed for continuous operation at 100 % of its rating.
    pub full_rated: bool,
}

/// Kinds of overcurrent device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OvercurrentDevice {
    /// Circuit-breaker for household use (IEC 60898-1), also with residual-current protection
    /// (IEC 61009-1).
    Mcb,
    /// Industrial circuit-breaker (IEC 60947-2).
    Mccb,
    /// Fuse of class gG (IEC 60269-1).
    Fuse,
}

/// Ground-fault protection of a breaker.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GroundFault {
    /// None in the breaker.
    None,
    /// Class A, 5 mA (protects people).
    Gfci,
    /// Equipment protection, 30 mA.
    Gfpe,
    /// Not told.
    Unknown,
}

/// A residual-current device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResidualCurrentDevice {
    /// Type.
    pub kind: Rcd,
    /// Rated residual current.
    pub rating: Option<Current>,
    /// Whether a device, here or in the charger, disconnects at 6 mA smooth direct current.
    pub dc_detection: Option<bool>,
    /// Time it took to trip when tested at its rated residual current.
    pub trip_time: Option<Duration>,
}

/// Types of residual-current device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rcd {
    /// No residual-current device.
    None,
    /// Type AC.
    Ac,
    /// Type A without direct-current detection.
    A,
    /// Type F.
    F,
    /// Type A or F with disconnection at 6 mA direct current.
    A6mA,
    /// Type B.
    B,
}

/// A run of conductors.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductors {
    /// Metal.
    pub material: Material,
    /// Size of each line conductor.
    pub size: ConductorSize,
    /// Temperature rating of the insulation.
    pub insulation: Temperature,
    /// Wiring method.
    pub wiring: Option<Wiring>,
    /// One-way length of the run.
    pub length: Option<Length>,
    /// Current-carrying conductors in the raceway or cable.
    pub current_carrying: Option<u16>,
    /// Hottest air along the run, when it differs from the charger's.
    pub ambient: Option<Temperature>,
    /// Stranded (true), solid (false), or not told.
    pub stranded: Option<bool>,
    /// IEC reference method: `B1`, `B2`, `C`, …
    pub method: Option<String>,
    /// Circuits or multi-core cables side by side along the run, this one counted.
    pub circuits_together: Option<u16>,
    /// Load on a feeder, when known.
    pub load: Option<Current>,
}

/// Conductor metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Material {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
    /// Copper-clad aluminium.
    CopperCladAluminium,
}

/// Wiring method.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wiring {
    /// Nonmetallic-sheathed cable.
    NmCable,
    /// Service-entrance cable.
    SeCable,
    /// Underground feeder cable.
    UfCable,
    /// Metal-clad or armoured cable.
    McCable,
    /// Single conductors in conduit.
    Conduit,
    /// Other sheathed cable (IEC).
    Cable,
}

/// A receptacle.
#[derive(Debug, Clone, PartialEq)]
pub struct Receptacle {
    /// Configuration, as written (`14-50`).
    pub configuration: String,
    /// Grade.
    pub grade: Option<ReceptacleGrade>,
    /// Temperature rating, when known.
    pub rating: Option<Temperature>,
    /// In a wet location.
    pub wet_location: Option<bool>,
}

/// Grade of a receptacle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReceptacleGrade {
    /// For ordinary residential use.
    Residential,
    /// Industrial or commercial grade.
    Industrial,
    /// Listed for EV charging.
    EvListed,
}

/// Disconnecting means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Disconnect {
    /// In sight of the charger.
    pub in_sight: Option<bool>,
    /// Can be locked open.
    pub lockable: Option<bool>,
    /// A plaque at the charger tells where it is, when it is not in sight.
    pub plaque: Option<bool>,
}

/// A place where a cover comes off.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Key, unique in the circuit.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Connections there, at least one.
    pub connections: Vec<Connection>,
}

/// One connection: the thing that is measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Connection {
    /// Key, unique in the circuit.
    pub id: String,
    /// Leg it belongs to: one of the supply's legs, `N`, `G` or `PE`.
    pub leg: String,
    /// Kind.
    pub kind: ConnectionKind,
    /// Torque its maker wants.
    pub torque: Option<Torque>,
    /// Screw, for the fallback torque table, as written (`slotted-10`, `hex-3/16`, `M5`).
    pub screw: Option<String>,
    /// Surface aimed at.
    pub surface: Option<Surface>,
    /// Emissivity of the surface aimed at, when measured.
    pub emissivity: Option<Ratio>,
    /// Width of the target.
    pub width: Option<Length>,
    /// Temperature rating of this terminal, when it differs from the breaker's.
    pub rating: Option<Temperature>,
    /// Product standard of the device that the terminal belongs to, when told.
    pub standard: Option<ProductStandard>,
    /// Metals that the terminal or device is marked for.
    pub marked: Option<MarkedFor>,
    /// Made anew since the last visit: comparison with earlier visits starts here.
    pub remade: bool,
}

/// Product standards that limit how far a terminal may warm up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProductStandard {
    /// IEC 60898-1, circuit-breakers for household use.
    Iec60898,
    /// IEC 60947-1, switchgear in general.
    Iec60947,
    /// IEC 60947-2, industrial circuit-breakers.
    Iec60947Breaker,
    /// IEC 61439-1, assemblies.
    Iec61439,
}

/// Metals that a terminal, splice or receptacle is marked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkedFor {
    /// Copper only (`CU`, or no mark).
    Copper,
    /// Aluminium only (`AL`).
    Aluminium,
    /// Either (`AL-CU`, `AL9CU`, `CO/ALR`).
    Both,
}

/// Kinds of connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConnectionKind {
    /// Screw terminal.
    ScrewTerminal,
    /// Lug.
    Lug,
    /// Splice or wire connector.
    Splice,
    /// Plug blade in a receptacle contact.
    Blade,
    /// Plug-on contact of a breaker on a busbar.
    BusStab,
    /// Spring clamp.
    SpringClamp,
}

/// Classes of surface an infrared thermometer is aimed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surface {
    /// Insulation of the conductor beside the terminal.
    Insulation,
    /// Electrical tape.
    Tape,
    /// Painted surface.
    Painted,
    /// Moulded plastic of the device.
    Plastic,
    /// Oxidised copper.
    OxidisedCopper,
    /// Oxidised aluminium.
    OxidisedAluminium,
    /// Tinned metal.
    Tinned,
    /// Plated metal.
    Plated,
    /// Bare bright metal.
    BareMetal,
}

/// Proof of isolation by the live–dead–live test.
#[derive(Debug, Clone, PartialEq)]
pub struct Isolation {
    /// Instrument id of the tester.
    pub tester: Option<String>,
    /// Known live source before.
    pub proved_before: Option<Voltage>,
    /// Voltages found dead, pair of legs as written (`L1-L2`, `L1-G`), in the file's order.
    pub dead: Vec<(String, Voltage)>,
    /// Known live source after.
    pub proved_after: Option<Voltage>,
    /// Locked and tagged.
    pub locked: Option<bool>,
}

/// One torque check.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueCheck {
    /// Connection id.
    pub connection: String,
    /// What was found.
    pub found: TorqueFound,
    /// Torque the connection was left at.
    pub left: Option<Torque>,
    /// Instrument id of the tool.
    pub with: Option<String>,
}

/// What a torque check found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TorqueFound {
    /// Did not move at the value wanted.
    Held,
    /// Moved before the value wanted.
    Moved,
    /// Began to move at this value.
    Value(Torque),
}

/// Condition seen at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct LookedAt {
    /// Place id.
    pub place: String,
    /// What was seen; at least one.
    pub seen: Vec<Condition>,
    /// A note in the inspector's words.
    pub note: Option<String>,
    /// Connection that the condition concerns, when told.
    pub connection: Option<String>,
}

/// Conditions seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Condition {
    /// Clean and undamaged.
    Clean,
    /// Dust or insects.
    Dust,
    /// Corroded.
    Corroded,
    /// Damaged.
    Damaged,
    /// Discoloured by heat.
    Discoloured,
    /// Melted or charred.
    Melted,
}

/// Heat measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct Heat {
    /// Instrument id of the thermometer.
    pub with: String,
    /// When charging began.
    pub charging_from: Option<Moment>,
    /// Rounds in the order of time.
    pub rounds: Vec<Round>,
}

/// A time on the site's clock, counted from midnight at the start of the visit's day; a visit
/// that runs past midnight has `day` 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// Days after the visit's date.
    pub day: u8,
    /// Time of day.
    pub time: TimeOfDay,
    /// Seconds to subtract to get evenly running time: how far the clock was put forward since the
    /// first round (0 unless the file names a zone whose clock changed that night).
    pub jump_s: i32,
}

impl Moment {
    /// Seconds of evenly running time since the midnight that began the visit's day.
    pub fn seconds(self) -> i64 {
        i64::from(self.day) * 86_400 + i64::from(self.time.seconds()) - i64::from(self.jump_s)
    }
}

/// One round of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// When.
    pub at: Moment,
    /// Air temperature, when measured in this round.
    pub air: Option<Temperature>,
    /// Current in each leg (or zero in a round without load).
    pub current: Current,
    /// Voltage at the charger.
    pub voltage: Option<Voltage>,
    /// Readings in the file's order: connection id and reading.
    pub readings: Vec<(String, Reading)>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What the instrument showed, once or repeatedly; at least one.
    pub temperatures: Vec<Temperature>,
    /// Distance from instrument to target.
    pub distance: Option<Length>,
    /// Reflected temperature, when measured.
    pub reflected: Option<Temperature>,
    /// Voltage across the connection under load.
    pub drop: Option<Voltage>,
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
    /// Id of the circuit of the marks; always told when there are marks.
    pub circuit: Option<String>,
    /// Marks: connection id and position as fractions of width and height of the upright image,
    /// from its top left corner.
    pub marks: Vec<(String, [f64; 2])>,
}

/// The inspector's own word on a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// Finding id (`leg-difference`).
    pub finding: String,
    /// Circuit id, when the finding occurs in several.
    pub circuit: Option<String>,
    /// Place id.
    pub place: Option<String>,
    /// Connection id.
    pub connection: Option<String>,
    /// Of `condition`, which of the conditions seen.
    pub seen: Option<Condition>,
    /// Grade the inspector gives.
    pub grade: Grade,
    /// Why.
    pub because: String,
}

/// Grades of findings, mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// In order.
    Pass,
    /// Worth knowing.
    Note,
    /// Look again.
    Watch,
    /// Repair.
    Repair,
    /// Stop using.
    Stop,
}

impl Grade {
    /// All grades, mildest first.
    pub const ALL: [Grade; 5] = [
        Grade::Pass,
        Grade::Note,
        Grade::Watch,
        Grade::Repair,
        Grade::Stop,
    ];

    /// The word used in files and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Grade::Pass => "pass",
            Grade::Note => "note",
            Grade::Watch => "watch",
            Grade::Repair => "repair",
            Grade::Stop => "stop",
        }
    }
}

impl Circuit {
    /// Name for people.
    pub fn title(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.id)
    }

    /// Whether a current is a load of at least this share (a fraction) of the charger's rated
    /// current.
    pub fn loaded(&self, current: Current, share: f64) -> bool {
        current.ampere() > 0.0 && current.ampere() >= share * self.charger.rated_current.ampere()
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
