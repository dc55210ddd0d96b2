//! The values of findings, limitations and circuit checks, which their sentences may use.

use super::word::vocabulary;
use std::borrow::Borrow;
use std::cmp::Ordering;

/// Declares values: `Load = "load", "rated current of the charger"`. The second text describes the
/// value in the steps of a circuit check, if it occurs there.
macro_rules! values {
    ($($(#[$doc:meta])* $variant:ident = $word:literal $(, $meaning:literal)?;)+) => {
        vocabulary! {
            /// Name of a value: the word between the braces of a sentence.
            #[derive(Debug, Clone, Copy, PartialEq, Eq)]
            pub enum ValueName {
                $($(#[$doc])* $variant = $word),+
            }
        }

        impl ValueName {
            /// Its description among the inputs of a circuit check; empty for a value of other
            /// findings.
            pub const fn meaning(self) -> &'static str {
                match self {
                    $(ValueName::$variant => concat!($($meaning)?),)+
                }
            }
        }
    };
}

values! {
    /// Load above which a check is made.
    Above = "above", "load above which it is asked";
    /// Ampacity after correction.
    After = "after", "ampacity after correction";
    /// Connection compared with.
    Against = "against";
    /// Air temperature of the round.
    Air = "air";
    /// Largest rating allowed.
    Allowed = "allowed", "largest rating allowed";
    /// Hottest air along the run.
    Ambient = "ambient", "hottest air along the run";
    /// Correction for the air.
    AmbientFactor = "ambient_factor", "correction for the air";
    /// Time of the round.
    At = "at";
    /// The inspector’s reason.
    Because = "because";
    /// Ampacity in the column allowed.
    Before = "before", "ampacity in the column allowed";
    /// How a rise was obtained.
    By = "by";
    /// Energy charged in a year, kWh, assumed.
    Charged = "charged", "energy charged in a year, kWh, assumed";
    /// Name of the circuit.
    Circuit = "circuit";
    /// Column allowed.
    Column = "column", "column allowed";
    /// Column allowed by.
    ColumnBy = "column_by", "Column allowed by";
    /// Condition seen.
    Condition = "condition";
    /// Temperature of the loaded conductor.
    Conductor = "conductor", "temperature of the loaded conductor";
    /// Conductors that carry the load.
    Conductors = "conductors", "conductors that carry the load";
    /// Configuration.
    Configuration = "configuration", "Configuration";
    /// The first connection.
    Connection = "connection";
    /// All connections.
    Connections = "connections";
    /// The cooler connection’s temperature.
    Cool = "cool";
    /// Its leg.
    CoolLeg = "cool_leg";
    /// Current measured.
    Current = "current";
    /// Difference of temperatures.
    Difference = "difference";
    /// Smallest distance-to-spot ratio whose spot fits.
    DistanceToSpot = "distance_to_spot";
    /// Voltage lost at rated load.
    Drop = "drop", "voltage lost at rated load";
    /// Day on which a calibration was due.
    Due = "due";
    /// Certificate of the earlier visit.
    Earlier = "earlier";
    /// Day of the earlier visit.
    EarlierDate = "earlier_date";
    /// Earthing.
    Earthing = "earthing", "Earthing";
    /// Emissivity set on a thermometer.
    Emissivity = "emissivity";
    /// Energy lost in a year, kWh.
    Energy = "energy", "energy lost in a year, kWh";
    /// Number of differences on which a hint is based.
    Evidence = "evidence";
    /// Factor for a continuous load.
    Factor = "factor", "factor for a continuous load";
    /// Source of a torque that the manufacturer does not state.
    Fallback = "fallback";
    /// A file’s path.
    File = "file";
    /// Id of a finding.
    Finding = "finding";
    /// Torque found.
    Found = "found";
    /// Ampacity from which correction begins.
    From = "from", "ampacity that correction begins from";
    /// Its column.
    FromColumn = "from_column", "its column";
    /// Grade.
    Grade = "grade", "Grade";
    /// What a difference still grows by until it is settled.
    Growth = "growth";
    /// Current-carrying conductors together.
    Grouping = "grouping", "current-carrying conductors together";
    /// Adjustment for them.
    GroupingFactor = "grouping_factor", "adjustment for them";
    /// Half-width of the torque tool’s accuracy.
    HalfWidth = "half_width";
    /// The steps for a hot connection.
    HeatSteps = "heat-steps";
    /// Highest emissivity of the surfaces.
    Highest = "highest";
    /// The hotter connection’s temperature.
    Hot = "hot";
    /// Its leg.
    HotLeg = "hot_leg";
    /// Highest temperature of the first connection.
    Hottest = "hottest";
    /// In sight.
    InSight = "in_sight", "In sight";
    /// Id of an instrument.
    Instrument = "instrument";
    /// Smallest size that is accepted.
    LeastSize = "least_size", "smallest size that is accepted";
    /// Least load that is judged.
    LeastLoad = "least-load";
    /// Torque left.
    Left = "left";
    /// Leg of the first connection.
    Leg = "leg";
    /// Legs, separated by commas.
    Legs = "legs";
    /// Length of the run, one way.
    Length = "length", "length of the run, one way";
    /// The limit.
    Limit = "limit", "share that is accepted";
    /// Current of the charger, as rated or set.
    Load = "load", "current of the charger, as rated or set";
    /// Largest load as a share of the rated current.
    LoadFraction = "load-fraction";
    /// Longest time under load.
    Longest = "longest";
    /// Power lost at rated load.
    Loss = "loss", "power lost at rated load";
    /// Share of the torque that was lost.
    Lost = "lost";
    /// Lowest emissivity of the surfaces.
    Lowest = "lowest";
    /// Margin of the first connection below its rating.
    Margin = "margin";
    /// What may have been meant: a torque, or the number of a temperature.
    Meant = "meant";
    /// That temperature.
    MeantIs = "meant_is";
    /// Unit in which the number may have been meant.
    MeantUnit = "meant_unit";
    /// Rise or difference as measured.
    Measured = "measured";
    /// Reference method.
    Method = "method", "Reference method";
    /// Contact resistance, mΩ.
    Milliohm = "milliohm";
    /// Keys that are missing, separated by commas.
    Missing = "missing";
    /// Largest usual number.
    Most = "most", "most that count as ordinary";
    /// Current at which the device surely trips, over its rating.
    Multiple = "multiple", "current at which the device surely trips, over its rating";
    /// Current that would be needed.
    Needed = "needed", "current asked for";
    /// Half-width of accuracy that would be needed.
    Within = "within", "accuracy asked for";
    /// The inspector’s note.
    Note = "note";
    /// Rise at rated current now.
    Now = "now";
    /// Pair of conductors.
    Pair = "pair";
    /// Largest rated residual current.
    Permitted = "permitted", "largest rated residual current";
    /// Name of the place.
    Place = "place";
    /// Power at rated current.
    Power = "power", "power at rated current";
    /// Projected temperature of the first connection.
    Projected = "projected";
    /// Rated current of the charger.
    Rated = "rated", "rated current of the charger";
    /// Rating of the overcurrent device.
    Rating = "rating", "rating of the overcurrent device";
    /// Type.
    Rcd = "rcd", "Type";
    /// Day on which a trend reaches the next grade.
    Reaches = "reaches";
    /// Earliest such day.
    ReachesEarliest = "reaches_earliest";
    /// That grade.
    ReachesGrade = "reaches_grade";
    /// Latest such day.
    ReachesLatest = "reaches_latest";
    /// Rating of the receptacle.
    Receptacle = "receptacle", "rating of the receptacle";
    /// Resistance at that temperature, Ω/m.
    Resistance = "resistance", "resistance at that temperature, Ω/m";
    /// Index of the round.
    Round = "round";
    /// Id of a circuit check.
    Rule = "rule";
    /// Share lost.
    Share = "share", "share lost";
    /// Connection with the least resistance.
    Sister = "sister";
    /// Its resistance, mΩ.
    SisterMilliohm = "sister_milliohm";
    /// Size.
    Size = "size", "Size";
    /// Slope of the trend, K a year.
    Slope = "slope";
    /// Its upper bound.
    SlopeHigh = "slope_high";
    /// Its lower bound.
    SlopeLow = "slope_low";
    /// Smallest standard rating that suffices.
    Smallest = "smallest", "smallest standard rating that suffices";
    /// Splices in the leg with the most.
    Splices = "splices", "splices in the leg that has most";
    /// Temperature measured.
    Temperature = "temperature";
    /// Rise at rated current then.
    Then = "then";
    /// Expanded uncertainty of the value.
    Uncertainty = "uncertainty";
    /// The value found.
    Value = "value";
    /// Voltage of the supply.
    Voltage = "voltage", "voltage of the supply";
    /// Time still to wait.
    Wait = "wait";
    /// Torque wanted.
    Wanted = "wanted";
    /// Length of conductor that contributes to the drop, per length of run.
    Ways = "ways", "lengths of conductor that drop, a length of run";
    /// Excess over air without load, beyond that of the connection compared with.
    WithoutLoad = "without_load";
}

// In the order of the words, by which values are looked up too.
impl Ord for ValueName {
    fn cmp(&self, other: &Self) -> Ordering {
        self.word().cmp(other.word())
    }
}

impl PartialOrd for ValueName {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Borrow<str> for ValueName {
    fn borrow(&self) -> &str {
        self.word()
    }
}
