//! The enumerations used in a visit file.

use crate::vocabulary::vocabulary;
pub use crate::vocabulary::{Condition, Grade};

/// Unit system of printed values.
pub type Units = crate::quantity::System;

vocabulary! {
    /// Reason for a visit.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Reason {
        /// First inspection after installation.
        First = "first",
        /// A regular return.
        Periodic = "periodic",
        /// After a repair.
        AfterRepair = "after-repair",
        /// New owner or tenant.
        ChangeOfOwner = "change-of-owner",
    }
}

vocabulary! {
    /// Paper size.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Paper {
        /// US Letter, 8.5 × 11 in.
        Letter = "letter",
        /// ISO A4, 210 × 297 mm.
        A4 = "a4",
    }
}

vocabulary! {
    /// Role of a client.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Role {
        /// Owner of the premises.
        Owner = "owner",
        /// Landlord.
        Landlord = "landlord",
        /// Tenant.
        Tenant = "tenant",
        /// Insurer.
        Insurer = "insurer",
    }
}

vocabulary! {
    /// Kinds of instrument.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum InstrumentKind {
        /// Spot infrared thermometer.
        InfraredThermometer = "infrared-thermometer",
        /// Thermal imager.
        ThermalImager = "thermal-imager",
        /// Contact thermometer.
        ContactThermometer = "contact-thermometer",
        /// Air thermometer.
        AirThermometer = "air-thermometer",
        /// Torque screwdriver.
        TorqueScrewdriver = "torque-screwdriver",
        /// Torque wrench.
        TorqueWrench = "torque-wrench",
        /// Two-pole voltage tester.
        VoltageTester = "voltage-tester",
        /// Multimeter.
        Multimeter = "multimeter",
        /// Clamp ammeter.
        ClampMeter = "clamp-meter",
    }
}

impl InstrumentKind {
    /// Whether it measures by infrared radiation, so that it sees a spot.
    pub const fn infrared(self) -> bool {
        matches!(self, Self::InfraredThermometer | Self::ThermalImager)
    }

    /// Whether it measures temperatures.
    pub const fn thermometer(self) -> bool {
        matches!(
            self,
            Self::InfraredThermometer
                | Self::ThermalImager
                | Self::ContactThermometer
                | Self::AirThermometer
        )
    }
}

vocabulary! {
    /// Connection of a charger.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum ChargerConnection {
        /// Fixed wiring.
        Hardwired = "hardwired",
        /// Plug and receptacle.
        Receptacle = "receptacle",
    }
}

vocabulary! {
    /// Earthing of a system according to IEC 60364-1.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Earthing {
        /// Exposed parts joined to the earthed point of the source (TN-S, TN-C-S).
        Tn = "tn",
        /// Exposed parts earthed by an electrode of their own.
        Tt = "tt",
    }
}

vocabulary! {
    /// Three-phase system.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum System {
        /// Star.
        Wye = "wye",
        /// Delta.
        Delta = "delta",
    }
}

vocabulary! {
    /// Kinds of overcurrent device.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum OvercurrentDevice {
        /// Circuit-breaker for household use (IEC 60898-1), also with residual-current protection
        /// (IEC 61009-1).
        Mcb = "mcb",
        /// Industrial circuit-breaker (IEC 60947-2).
        Mccb = "mccb",
        /// Fuse of class gG (IEC 60269-1).
        Fuse = "fuse",
    }
}

vocabulary! {
    /// Ground-fault protection of a breaker.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
    pub enum GroundFault {
        /// None in the breaker.
        None = "none",
        /// Class A, 5 mA (protects people).
        Gfci = "gfci",
        /// Equipment protection, 30 mA.
        Gfpe = "gfpe",
        /// Not specified.
        #[default]
        Unknown = "unknown",
    }
}

vocabulary! {
    /// Types of residual-current device.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Rcd {
        /// No residual-current device.
        None = "none",
        /// Type AC.
        Ac = "ac",
        /// Type A without direct-current detection.
        A = "a",
        /// Type F.
        F = "f",
        /// Type A or F with disconnection at 6 mA direct current.
        A6mA = "a-6ma",
        /// Type B.
        B = "b",
    }
}

vocabulary! {
    /// Conductor metal.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Material {
        /// Copper.
        Copper = "copper",
        /// Aluminium.
        Aluminium = "aluminium" | "aluminum",
        /// Copper-clad aluminium.
        CopperCladAluminium = "copper-clad-aluminium" | "copper-clad-aluminum",
    }
}

vocabulary! {
    /// Wiring method.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Wiring {
        /// Nonmetallic-sheathed cable.
        NmCable = "nm-cable",
        /// Service-entrance cable.
        SeCable = "se-cable",
        /// Underground feeder cable.
        UfCable = "uf-cable",
        /// Metal-clad or armoured cable.
        McCable = "mc-cable",
        /// Single conductors in conduit.
        Conduit = "conduit",
        /// Other sheathed cable (IEC).
        Cable = "cable",
    }
}

vocabulary! {
    /// Grade of a receptacle.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum ReceptacleGrade {
        /// For ordinary residential use.
        Residential = "residential",
        /// Industrial or commercial grade.
        Industrial = "industrial",
        /// Listed for EV charging.
        EvListed = "ev-listed",
    }
}

vocabulary! {
    /// Product standards that limit the temperature rise of a terminal.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum ProductStandard {
        /// IEC 60898-1, circuit-breakers for household use.
        Iec60898 = "iec-60898-1",
        /// IEC 60947-1, switchgear in general.
        Iec60947 = "iec-60947-1",
        /// IEC 60947-2, industrial circuit-breakers.
        Iec60947Breaker = "iec-60947-2",
        /// IEC 61439-1, assemblies.
        Iec61439 = "iec-61439-1",
    }
}

vocabulary! {
    /// Metals that a terminal, splice or receptacle is marked for.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum MarkedFor {
        /// Copper only (`CU`, or no mark).
        Copper = "cu",
        /// Aluminium only (`AL`).
        Aluminium = "al",
        /// Either (`AL-CU`, `AL9CU`, `CO/ALR`).
        Both = "al-cu",
    }
}

vocabulary! {
    /// Kinds of connection.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum ConnectionKind {
        /// Screw terminal.
        ScrewTerminal = "screw-terminal",
        /// Lug.
        Lug = "lug",
        /// Splice or wire connector.
        Splice = "splice",
        /// Plug blade in a receptacle contact.
        Blade = "blade",
        /// Plug-on contact of a breaker on a busbar.
        BusStab = "bus-stab",
        /// Spring clamp.
        SpringClamp = "spring-clamp",
        /// Point on the outside of a closed cover.
        Cover = "cover",
    }
}

vocabulary! {
    /// Classes of surface at which an infrared thermometer is aimed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum Surface {
        /// Insulation of the conductor beside the terminal.
        Insulation = "insulation",
        /// Electrical tape.
        Tape = "tape",
        /// Painted surface.
        Painted = "painted",
        /// Moulded plastic of the device.
        Plastic = "plastic",
        /// Oxidised copper.
        OxidisedCopper = "oxidised-copper",
        /// Oxidised aluminium.
        OxidisedAluminium = "oxidised-aluminium",
        /// Tinned metal.
        Tinned = "tinned",
        /// Plated metal.
        Plated = "plated",
        /// Bare bright metal.
        BareMetal = "bare-metal",
    }
}

vocabulary! {
    /// Parts of a circuit that a place with connections can be.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Part {
        /// Load terminals of the overcurrent device, where the circuit begins.
        Breaker = "breaker",
        /// Contacts of the overcurrent device on its busbar.
        Busbar = "busbar",
        /// Splice or wire connectors in between.
        Splice = "splice",
        /// Both sides of a disconnect, under one cover.
        Disconnect = "disconnect",
        /// Line side of a disconnect.
        DisconnectLine = "disconnect-line",
        /// Load side of a disconnect.
        DisconnectLoad = "disconnect-load",
        /// Terminals of the receptacle.
        Receptacle = "receptacle",
        /// Blades of the plug, or the receptacle's contacts around them.
        Plug = "plug",
        /// Terminals of the charger, where the circuit ends.
        Charger = "charger",
        /// Terminal or bar of the equipment grounding (protective) conductor.
        Ground = "ground",
    }
}

vocabulary! {
    /// What disconnects a charger.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Disconnector {
        /// The circuit's own breaker.
        Breaker = "breaker",
        /// A switch of its own, with line and load terminals.
        Switch = "switch",
        /// The plug.
        Plug = "plug",
    }
}

vocabulary! {
    /// Why a connection was not read under load.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum WhyNotRead {
        /// Its cover has to stay closed while the charger is energised.
        ClosedWhileCharging = "closed-while-charging",
        /// It can't be reached or seen with the instrument.
        NotAccessible = "not-accessible",
        /// Opening it energised was judged unsafe.
        UnsafeToOpen = "unsafe-to-open",
        /// The customer did not allow it, or ended the visit.
        CustomerRefused = "customer-refused",
    }
}

vocabulary! {
    /// State in which the inspector left a circuit.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum LeftState {
        /// In use as before.
        InUse = "in-use",
        /// Charging current limited.
        Limited = "limited",
        /// Switched off and locked.
        OffAndLocked = "off-and-locked",
    }
}

vocabulary! {
    /// What was done to a connection that was repaired during the visit.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum RepairDone {
        /// Tightened to its torque, cold.
        ReTorqued = "re-torqued",
        /// Taken apart and made anew.
        Remade = "remade",
        /// Its part was replaced.
        PartReplaced = "part-replaced",
    }
}
