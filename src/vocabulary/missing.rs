//! Keys of the visit file that can be named as missing.

use super::word::vocabulary;

vocabulary! {
    /// A key of the visit file whose absence leaves a check undecided or a proof incomplete. The
    /// wordings name it under `missing`.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum MissingKey {
        /// `breaker.ground_fault` of the circuit.
        BreakerGroundFault = "breaker.ground_fault",
        /// `breaker.kind` of the circuit.
        BreakerKind = "breaker.kind",
        /// `breaker.terminal_rating` of the circuit.
        BreakerTerminalRating = "breaker.terminal_rating",
        /// `charger.setting_restricted` of the circuit.
        ChargerSettingRestricted = "charger.setting_restricted",
        /// `conductors.circuits_together` of the circuit.
        ConductorsCircuitsTogether = "conductors.circuits_together",
        /// `conductors.current_carrying` of the circuit.
        ConductorsCurrentCarrying = "conductors.current_carrying",
        /// `conductors.insulation` of the circuit.
        ConductorsInsulation = "conductors.insulation",
        /// `conductors.length` of the circuit.
        ConductorsLength = "conductors.length",
        /// `conductors.method` of the circuit.
        ConductorsMethod = "conductors.method",
        /// `conductors.size` of the circuit.
        ConductorsSize = "conductors.size",
        /// `conductors.wiring` of the circuit.
        ConductorsWiring = "conductors.wiring",
        /// Whether the circuit serves nothing else.
        Dedicated = "dedicated",
        /// `disconnect.in_sight` of the circuit.
        DisconnectInSight = "disconnect.in_sight",
        /// `disconnect.kind` of the circuit.
        DisconnectKind = "disconnect.kind",
        /// `disconnect.lockable` of the circuit.
        DisconnectLockable = "disconnect.lockable",
        /// `disconnect.plaque` of the circuit.
        DisconnectPlaque = "disconnect.plaque",
        /// `feeder.length` of the circuit.
        FeederLength = "feeder.length",
        /// `feeder.load` of the circuit.
        FeederLoad = "feeder.load",
        /// `feeder.protected_by` of the circuit.
        FeederProtectedBy = "feeder.protected_by",
        /// `feeder.size` of the circuit.
        FeederSize = "feeder.size",
        /// `feeder.terminal_rating` of the circuit.
        FeederTerminalRating = "feeder.terminal_rating",
        /// `feeder.wiring` of the circuit.
        FeederWiring = "feeder.wiring",
        /// `feeder.method` of the circuit.
        FeederMethod = "feeder.method",
        /// `places.connections.marked` of the circuit.
        PlacesConnectionsMarked = "places.connections.marked",
        /// `receptacle.configuration` of the circuit.
        ReceptacleConfiguration = "receptacle.configuration",
        /// `receptacle.grade` of the circuit.
        ReceptacleGrade = "receptacle.grade",
        /// `rcd.dc_detection` of the circuit.
        RcdDcDetection = "rcd.dc_detection",
        /// `rcd.rating` of the circuit.
        RcdRating = "rcd.rating",
        /// `rcd.trip_time` of the circuit.
        RcdTripTime = "rcd.trip_time",
        /// `rcd.type` of the circuit.
        RcdType = "rcd.type",
        /// `supply.earth_resistance` of the circuit.
        SupplyEarthResistance = "supply.earth_resistance",
        /// `supply.earthing` of the circuit.
        SupplyEarthing = "supply.earthing",
        /// `supply.system` of the circuit.
        SupplySystem = "supply.system",
        /// The proof of isolation.
        Isolation = "isolation",
        /// A second proof of isolation, before the screws were touched.
        IsolationAgain = "isolation_again",
        /// The proof of isolation before the covers were opened.
        IsolationFirst = "isolation_first",
        /// The tester of the proof.
        Tester = "tester",
        /// The tester proved before.
        ProvedBefore = "proved_before",
        /// The tester proved after.
        ProvedAfter = "proved_after",
        /// Locked and tagged.
        Locked = "locked",
    }
}
