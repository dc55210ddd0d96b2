//! Limitations: what was not done or cannot be determined.

use super::value::ValueName;
use super::word::vocabulary;

/// Declares limitations: `SpotNotTold = "spot-not-told" []`, with the values that its sentence may
/// use besides [`LimitationId::COMMON`], and the missing key of the visit file, if that is not one
/// of the values: `[] by "…"`.
macro_rules! limitations {
    (@by) => { None };
    (@by $key:literal) => { Some($key) };
    ($($(#[$doc:meta])* $variant:ident = $word:literal [$($value:ident),*] $(by $key:literal)?;)+) => {
        vocabulary! {
            /// Something that was not done or cannot be determined; the wordings have a sentence for
            /// each under `limitation`.
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum LimitationId {
                $($(#[$doc])* $variant = $word),+
            }
        }

        impl LimitationId {
            /// Values that its sentence may use besides [`LimitationId::COMMON`].
            pub const fn values(self) -> &'static [ValueName] {
                match self {
                    $(LimitationId::$variant => &[$(ValueName::$value),*],)+
                }
            }

            /// The missing key of the visit file; `None` if its values name the keys, or if no
            /// single key would help.
            pub const fn completed_by(self) -> Option<&'static str> {
                match self {
                    $(LimitationId::$variant => limitations!(@by $($key)?),)+
                }
            }
        }
    };
}

impl LimitationId {
    /// Whether it is an exception: something declared that could not be done, or readings that were
    /// left out although the result can be judged without them. It does not make the visit
    /// incomplete, but the result is "satisfactory, except", never plainly satisfactory.
    pub const fn exception(self) -> bool {
        matches!(
            self,
            Self::NotReadClosed
                | Self::NotReadAccess
                | Self::NotReadUnsafe
                | Self::NoLoadRoundMissing
                | Self::NoLoadReadingMissing
                | Self::AirNotMeasured
                | Self::ReadOnceUnderLoad
        )
    }

    /// Whether it says that the visit ended early.
    pub const fn of_the_end(self) -> bool {
        matches!(self, Self::CutShort | Self::CutShortReturn)
    }

    /// Whether it means that an instrument cannot be traced to a standard.
    pub const fn untraced(self) -> bool {
        matches!(self, Self::SerialNotTold | Self::CalibrationNotTold)
    }

    /// Values that the sentence of every limitation may use.
    pub const COMMON: &[ValueName] =
        &[ValueName::Circuit, ValueName::Place, ValueName::Connections];
}

limitations! {
    /// No heat was measured.
    NoHeat = "no-heat" [] by "heat:";
    /// Rounds without readings.
    NoReadings = "no-readings" [] by "heat: rounds: readings:";
    /// No round at full load.
    NoFullLoadRound = "no-full-load-round" [Rated] by "heat: rounds: current:";
    /// No round after long enough under load.
    NoLongRound = "no-long-round" [Needed];
    /// No round before charging.
    NoLoadRoundMissing = "no-load-round-missing" [];
    /// A connection was not read before charging, although others were.
    NoLoadReadingMissing = "no-load-reading-missing" [] by "heat: rounds: readings:";
    /// Air temperature is missing.
    AirNotMeasured = "air-not-measured" [] by "heat: rounds: air:";
    /// A connection was not read under load.
    ReadingsMissing = "readings-missing" [] by "heat: rounds: readings:, or not_read:";
    /// A connection that was repaired during the visit was not read again under load.
    RepairNotProved = "repair-not-proved" [] by "heat_after:";
    /// A fault to be repaired might not have been seen; what current or instrument would show it.
    WouldNotShow = "would-not-show" [Needed, Within] by "heat: rounds: current:, or instruments: accuracy:";
    /// The heat had not settled, and what is still to come could change a grade.
    NotSettled = "not-settled" [At, Grade];
    /// A connection was read only once under load.
    ReadOnceUnderLoad = "read-once-under-load" [];
    /// The reading is mostly reflection.
    ReflectionTooStrong = "reflection-too-strong" [];
    /// A reading that is colder than the air but would not be in another unit; set aside.
    ReadingInDoubt = "reading-in-doubt" [At, Temperature, Air, Meant, MeantUnit, MeantIs];
    /// The air of a round, and perhaps its readings, fit the other rounds only in another unit; counted
    /// in it.
    RoundInDoubt = "round-in-doubt" [At, Air, MeantIs];
    /// The readings of a round are colder than the air and would not be in another unit; counted in it.
    ReadingsInDoubt = "readings-in-doubt" [At, Temperature, Air, MeantIs];
    /// A series in freezing, or unbearably hot, air, which it would not be in another unit; counted in
    /// it where it is the hotter one.
    SeriesInDoubt = "series-in-doubt" [Air, MeantIs];
    /// Readings from so near that the distance must be in another unit; set aside.
    DistanceInDoubt = "distance-in-doubt" [];
    /// Targets so wide that the width must be in another unit; set aside.
    WidthInDoubt = "width-in-doubt" [];
    /// A torque that is the specified one in another unit; set aside.
    TorqueInDoubt = "torque-in-doubt" [Found, Wanted, Meant];
    /// A specified torque that no screw for such a conductor takes; set aside.
    TorqueWantedInDoubt = "torque-wanted-in-doubt" [Wanted, Meant];
    /// A connection that cooled to below the air, which it would not have in another unit; set aside.
    CooledInDoubt = "cooled-in-doubt" [Temperature, Air, MeantIs];
    /// An emissivity setting far from that of the surfaces; their readings are set aside.
    EmissivityInDoubt = "emissivity-in-doubt" [Instrument, Emissivity, Lowest, Highest];
    /// A temperature rating that is a usual one in another unit; counted as that.
    RatingInDoubt = "rating-in-doubt" [Temperature, MeantIs];
    /// A hottest air that is colder than any summer; counted in the other unit.
    HottestAirInDoubt = "hottest-air-in-doubt" [Temperature, MeantIs];
    /// A loaded connection reads colder than the air.
    ColderThanAir = "colder-than-air" [];
    /// When charging began is not stated.
    ChargingStartNotTold = "charging-start-not-told" [] by "heat: charging_from:";
    /// A round without load lies between the start of charging and the first one with load.
    ChargingStartContradicted = "charging-start-contradicted" [] by "heat: charging_from:";
    /// The spot was wider than the target.
    SpotOverTarget = "spot-over-target" [];
    /// The distance is not stated.
    SpotNotTold = "spot-not-told" [] by "readings: distance:, connections: width:";
    /// The overcurrent device is not listed.
    BreakerNotInspected = "breaker-not-inspected" [] by "places: part: breaker";
    /// The terminals of a hardwired charger are not listed.
    ChargerNotInspected = "charger-not-inspected" [] by "places: part: charger";
    /// The terminals of the receptacle are not listed.
    ReceptacleNotInspected = "receptacle-not-inspected" [] by "places: part: receptacle";
    /// The plug is not listed.
    PlugNotInspected = "plug-not-inspected" [] by "places: part: plug";
    /// The line side of a disconnect is not listed.
    DisconnectLineNotInspected = "disconnect-line-not-inspected" [] by "places: part: disconnect-line";
    /// The load side of a disconnect is not listed.
    DisconnectLoadNotInspected = "disconnect-load-not-inspected" [] by "places: part: disconnect-load";
    /// It is not known whether the disconnect has terminals.
    DisconnectNotTold = "disconnect-not-told" [] by "disconnect: kind:";
    /// The grounding conductor’s termination at the supply is not listed.
    GroundNotInspectedAtSupply = "ground-not-inspected-at-supply" [] by "places: connections: leg: G (or PE), at the breaker or with part: ground";
    /// The grounding conductor’s termination at the charger’s end is not listed.
    GroundNotInspectedAtCharger = "ground-not-inspected-at-charger" [] by "places: connections: leg: G (or PE), at the charger or the receptacle";
    /// Connections of an earlier visit that are neither listed nor removed.
    EarlierNotListed = "earlier-not-listed" [Earlier, Missing] by "places:, or removed:";
    /// Circuits of an earlier visit that are neither listed nor removed.
    EarlierCircuitNotListed = "earlier-circuit-not-listed" [Earlier, Missing] by "circuits:, or removed:";
    /// Not read under load, because the cover stays closed while charging.
    NotReadClosed = "not-read-closed" [];
    /// Not read under load, because it can't be reached.
    NotReadAccess = "not-read-access" [];
    /// Not read under load, because opening it energised was judged unsafe.
    NotReadUnsafe = "not-read-unsafe" [];
    /// Not read under load, because the customer did not allow it.
    NotReadRefused = "not-read-refused" [];
    /// The visit ended early.
    CutShort = "cut-short" [Because];
    /// The visit ended early, and the day of the return is known.
    CutShortReturn = "cut-short-return" [Because, Due];
    /// A leg was not inspected anywhere.
    LegNotInspected = "leg-not-inspected" [Legs] by "places: connections: leg:";
    /// Legs that carried too little current for a full-load check.
    LegsNotLoaded = "legs-not-loaded" [Legs];
    /// The neutral of three phases carried little current, or nobody knows how much.
    NeutralNotLoaded = "neutral-not-loaded" [];
    /// A leg was not inspected at a place.
    LegNotCompared = "leg-not-compared" [Legs] by "places: connections: leg:";
    /// The neutral was not inspected at a place.
    NeutralNotInspected = "neutral-not-inspected" [Legs] by "places: connections: leg: N";
    /// No earlier visit.
    NoEarlier = "no-earlier" [] by "earlier:";
    /// An earlier visit has no connection in common.
    NothingToCompare = "nothing-to-compare" [];
    /// Connections that the earlier visit lacks.
    ConnectionsNotCompared = "connections-not-compared" [];
    /// Isolation was not proved.
    IsolationNotProved = "isolation-not-proved" [Missing] by "isolation:";
    /// Torque was not checked.
    TorqueNotChecked = "torque-not-checked" [] by "torque:";
    /// A place was not looked at.
    NotLookedAt = "not-looked-at" [] by "looked_at:";
    /// An instrument’s accuracy is assumed.
    AccuracyAssumed = "accuracy-assumed" [Instrument] by "instruments: accuracy:";
    /// An instrument’s serial number is not stated.
    SerialNotTold = "serial-not-told" [Instrument] by "instruments: serial:";
    /// When an instrument’s calibration is due is not stated.
    CalibrationNotTold = "calibration-not-told" [Instrument] by "instruments: calibration_due:";
    /// Torque was set before the heat was measured.
    NotAsFound = "not-as-found" [];
    /// It is not stated whether torque was set before or after the heat was measured.
    TorqueOrderNotTold = "torque-order-not-told" [] by "torque: when:";
    /// The torque was checked at a time at which the circuit was charging.
    TorqueWhileCharging = "torque-while-charging" [] by "torque: when:";
    /// The torque was checked with a tool that is not named.
    TorqueToolNotTold = "torque-tool-not-told" [] by "torque: with:";
    /// A terminal as hot as the rating assumed for it; its own is not stated.
    RatingNotTold = "rating-not-told" [Rating] by "connections: rating:";
    /// The surface is not stated.
    SurfaceNotTold = "surface-not-told" [] by "connections: surface:";
    /// An earlier visit cannot be read.
    EarlierUnreadable = "earlier-unreadable" [File];
    /// A circuit check cannot be decided.
    CannotTell = "cannot-tell" [Rule, Missing];
    /// A circuit check was decided by the least favourable case.
    LeastFavourable = "least-favourable" [Rule, Missing];
    /// A judgement that names no finding.
    JudgementUnmatched = "judgement-unmatched" [Finding, Because];
    /// A judgement that names several conditions.
    JudgementAmbiguous = "judgement-ambiguous" [Finding, Because];
}
