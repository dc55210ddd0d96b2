//! The choices among words that a visit file has.

/// Unit system of printed values.
pub type Units = crate::quantity::System;

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

/// Paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// US Letter, 8.5 × 11 in.
    Letter,
    /// ISO A4, 210 × 297 mm.
    A4,
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

/// How a charger is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChargerConnection {
    /// Fixed wiring.
    Hardwired,
    /// Plug and receptacle.
    Receptacle,
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GroundFault {
    /// None in the breaker.
    None,
    /// Class A, 5 mA (protects people).
    Gfci,
    /// Equipment protection, 30 mA.
    Gfpe,
    /// Not told.
    #[default]
    Unknown,
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
