//! Checks: the comparisons by which a visit is judged.

use super::seen::{Condition, Grade, RatingOf};
use super::value::ValueName;
use super::word::vocabulary;

/// The subject of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Topic {
    /// Heat of connections under load.
    Heat,
    /// A pattern of heat, which suggests where to look first.
    Hint,
    /// Torque of connections.
    Torque,
    /// Proof of isolation.
    Isolation,
    /// Condition seen with the covers off.
    Condition,
    /// The instruments used.
    Instrument,
    /// The circuit against the rules of installation.
    Circuit,
}

/// Selects one of the sentences of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Variant {
    /// The only sentence of a check.
    Any,
    /// The sentence of a grade.
    Grade(Grade),
    /// The sentence of a condition.
    Seen(Condition),
    /// Seen, and cleaned during the visit.
    Cleaned,
    /// Compared with this rating. It has no sentence of its own; that of the grade is used.
    Rating(RatingOf),
    /// A lower bound of the value.
    Least,
    /// On the outside of a closed cover.
    Cover,
    /// Compared with the overcurrent device.
    Breaker,
    /// Compared with the charger.
    Charger,
    /// Found wrong and corrected.
    Corrected,
    /// Found wrong again, after a correction at an earlier visit.
    Again,
    /// Found wrong; whether it was corrected is not stated.
    Untold,
    /// Below the specified value.
    Low,
    /// Above the specified value.
    High,
}

const PASS: Variant = Variant::Grade(Grade::Pass);
const NOTE: Variant = Variant::Grade(Grade::Note);
const WATCH: Variant = Variant::Grade(Grade::Watch);
const REPAIR: Variant = Variant::Grade(Grade::Repair);
const STOP: Variant = Variant::Grade(Grade::Stop);
const GRADES: &[Variant] = &[PASS, NOTE, WATCH, REPAIR, STOP];
/// One variant for each condition, and one for what was cleaned.
const CONDITIONS: &[Variant] = &{
    let mut all = [Variant::Cleaned; Condition::ALL.len() + 1];
    let mut i = 0;
    while i < Condition::ALL.len() {
        all[i] = Variant::Seen(Condition::ALL[i]);
        i += 1;
    }
    all
};

impl Variant {
    /// Its key in a wording.
    pub const fn word(self) -> &'static str {
        match self {
            Variant::Any => "any",
            Variant::Grade(grade) => grade.word(),
            Variant::Seen(condition) => condition.word(),
            Variant::Cleaned => "cleaned",
            Variant::Rating(of) => of.word(),
            Variant::Least => "least",
            Variant::Cover => "cover",
            Variant::Breaker => "breaker",
            Variant::Charger => "charger",
            Variant::Corrected => "corrected",
            Variant::Again => "again",
            Variant::Untold => "untold",
            Variant::Low => "low",
            Variant::High => "high",
        }
    }

    /// Whether it requires an action, which a passed check does not.
    pub fn asks(self) -> bool {
        !matches!(
            self,
            Variant::Grade(Grade::Pass) | Variant::Seen(Condition::Clean) | Variant::Cleaned
        )
    }
}

/// The computation of a circuit check and its condition, for a reader who repeats it with a
/// calculator. In English, like all steps of an explanation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Formula {
    /// The check in a few words.
    pub name: &'static str,
    /// The formula, in the names of the check's values.
    pub text: &'static str,
}

/// Properties of a check, except how it is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Declaration {
    /// What it is about.
    pub about: Topic,
    /// The variants of its sentences in a wording. A finding uses its own variant, otherwise that
    /// of its grade, otherwise `any`; an informational line has none.
    pub variants: &'static [Variant],
    /// Values that its sentences may use besides [`CheckId::COMMON`].
    pub values: &'static [ValueName],
    /// Whether it is a circuit check whose rule is only a grade with its source. Rule sets have it
    /// under `circuit.checks`, by its id.
    pub graded: bool,
    /// What a circuit check computes.
    pub formula: Option<Formula>,
}

impl Declaration {
    const PLAIN: Declaration = Declaration {
        about: Topic::Heat,
        variants: &[Variant::Any],
        values: &[],
        graded: false,
        formula: None,
    };
}

/// Declares checks. `about` is required; the other fields are optional, in this order.
macro_rules! checks {
    ($($(#[$doc:meta])* $check:ident = $word:literal {
        about: $topic:ident,
        $(variants: $variants:expr,)?
        $(values: [$($value:ident),+ $(,)?],)?
        $(graded: $graded:expr,)?
        $(formula: ($name:expr, $text:expr $(,)?),)?
    })+) => {
        vocabulary! {
            /// One comparison by which a visit is judged.
            ///
            /// The wordings have its name and its sentences under `finding`.
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum CheckId {
                $($(#[$doc])* $check = $word),+
            }
        }

        impl CheckId {
            /// What is declared of it.
            pub const fn declaration(self) -> &'static Declaration {
                match self {
                    $(CheckId::$check => {
                        const DECLARED: Declaration = Declaration {
                            about: Topic::$topic,
                            $(variants: { #[allow(unused_imports)] use Variant::*; $variants },)?
                            $(values: &[$(ValueName::$value),+],)?
                            $(graded: $graded,)?
                            $(formula: Some(Formula { name: $name, text: $text }),)?
                            ..Declaration::PLAIN
                        };
                        &DECLARED
                    })+
                }
            }
        }
    };
}

impl CheckId {
    /// Values that the sentences of every check may use. They are computed from the finding itself,
    /// and from the visit and the assessment of its first connection.
    pub const COMMON: &[ValueName] = &[
        ValueName::Circuit,
        ValueName::Place,
        ValueName::Connection,
        ValueName::Connections,
        ValueName::Leg,
        ValueName::Value,
        ValueName::Limit,
        ValueName::Uncertainty,
        ValueName::Hottest,
        ValueName::Projected,
        ValueName::Rating,
        ValueName::Margin,
        ValueName::LoadFraction,
        ValueName::LeastLoad,
        ValueName::HeatSteps,
    ];

    /// What it is about.
    pub const fn about(self) -> Topic {
        self.declaration().about
    }

    /// Whether it is informational and cannot fail.
    pub const fn informs(self) -> bool {
        self.declaration().variants.is_empty()
    }
}

/// Voltage drop in a branch circuit or a feeder.
const VOLTAGE_DROP: &str = "drop = ways·length·load·resistance; share = drop/voltage; ways: 2, or √3 for three phases; conductor: air (or ground) along the run + rise at the table’s ampacity·(load/ampacity)², with the 75 °C column where there is one; resistance a metre: the table’s, brought to that temperature by the metal’s coefficient; holds when share ≤ limit";

checks! {
    // Heat
    /// Rise over air.
    Rise = "rise" {
        about: Heat,
        variants: &[Least, PASS, NOTE, WATCH, REPAIR, STOP],
        values: [Rated, Current, Temperature],
    }
    /// Rise at the breaker's rated current.
    BreakerRise = "breaker-rise" { about: Heat, values: [Rated], }
    /// Leg difference.
    LegDifference = "leg-difference" {
        about: Heat,
        variants: GRADES,
        values: [Hot, Cool, HotLeg, CoolLeg, Current],
    }
    /// Margin on the hottest day.
    ProjectedHeat = "projected-heat" {
        about: Heat,
        variants: &[Cover, PASS, NOTE, WATCH, REPAIR, STOP],
    }
    /// Hotter than its rating.
    OverRating = "over-rating" { about: Heat, variants: &[WATCH, REPAIR, Any], }
    /// Against earlier visits.
    WorseThanBefore = "worse-than-before" {
        about: Heat,
        variants: GRADES,
        values: [Then, Now, Earlier, EarlierDate],
    }
    /// Still getting hotter.
    StillClimbing = "still-climbing" { about: Heat, }
    /// Charging current.
    ChargingCurrent = "charging-current" {
        about: Heat,
        variants: &[Breaker, Charger],
        values: [Current, Rated, Most, Factor],
    }
    /// Load too low.
    LoadTooLow = "load-too-low" { about: Heat, values: [Current, Rated], }
    /// Spot too wide.
    SpotTooWide = "spot-too-wide" { about: Heat, values: [DistanceToSpot], }
    /// Shiny target.
    ShinyTarget = "shiny-target" { about: Heat, }
    /// Warm without load.
    HotWithoutLoad = "hot-without-load" { about: Heat, }
    /// Contact resistance.
    ContactResistance = "contact-resistance" { about: Heat, variants: &[PASS, Any], }
    /// Voltage lost across a joint.
    ContactDrop = "contact-drop" { about: Heat, }
    /// Calibration overdue.
    CalibrationOverdue = "calibration-overdue" { about: Instrument, values: [Instrument, Due], }

    // Hints
    /// Hint: one leg hot.
    PatternOneLegHot = "pattern-one-leg-hot" { about: Hint, }
    /// Hint: the same leg everywhere.
    PatternSameLegEverywhere = "pattern-same-leg-everywhere" { about: Hint, }
    /// Hint: all legs hot alike.
    PatternLegsHotAlike = "pattern-legs-hot-alike" { about: Hint, }
    /// Hint: one place hot alike.
    PatternPlaceHotAlike = "pattern-place-hot-alike" { about: Hint, }
    /// Hint: the joint is hottest.
    PatternJointHottest = "pattern-joint-hottest" { about: Hint, }
    /// Hint: the device is hotter.
    PatternDeviceHotter = "pattern-device-hotter" { about: Hint, }
    /// Hint: the conductor is hotter.
    PatternConductorHotter = "pattern-conductor-hotter" { about: Hint, }
    /// Hint: the surroundings are warm.
    PatternAirHot = "pattern-air-hot" { about: Hint, }

    // Torque
    /// Torque.
    TorqueHeld = "torque-held" { about: Torque, variants: &[PASS], }
    /// Torque, found loose.
    TorqueMoved = "torque-moved" {
        about: Torque,
        variants: &[Corrected, Again, Untold],
        values: [Wanted, Found, Left],
    }
    /// Torque left wrong.
    TorqueLeftWrong = "torque-left-wrong" {
        about: Torque,
        variants: &[Low, High],
        values: [Wanted, Left],
    }
    /// Torque, found too tight.
    TorqueTight = "torque-tight" { about: Torque, values: [Left], }
    /// Tightened hot.
    TorqueHot = "torque-hot" { about: Torque, }
    /// No torque value.
    TorqueNoValue = "torque-no-value" { about: Torque, }

    // Isolation and condition
    /// Isolation.
    IsolationProved = "isolation-proved" { about: Isolation, variants: &[PASS], }
    /// Not dead.
    IsolationNotDead = "isolation-not-dead" { about: Isolation, values: [Pair, Voltage], }
    /// Condition.
    Condition = "condition" { about: Condition, variants: CONDITIONS, }

    // Circuit
    /// Charging power.
    ChargingPower = "charging-power" {
        about: Circuit, variants: &[],
        formula: (
            "Charging power",
            "P = voltage·load; √3·voltage·load for three phases, line to line",
        ),
    }
    /// Overcurrent device, continuous load.
    ContinuousLoad = "continuous-load" {
        about: Circuit,
        formula: (
            "Overcurrent device for a continuous load",
            "needed = factor·load; holds when rating ≥ needed",
        ),
    }
    /// Overcurrent device, standard rating.
    StandardRating = "standard-rating" {
        about: Circuit, graded: true,
        formula: (
            "Standard rating",
            "holds when the rating is a standard one; limit: the smallest standard rating ≥ factor·load",
        ),
    }
    /// Poles of the breaker.
    BreakerPoles = "breaker-poles" {
        about: Circuit, graded: true,
        formula: (
            "Poles of the overcurrent device",
            "does not hold when the device has fewer poles than the supply has lines",
        ),
    }
    /// Conductors, continuous load.
    ConductorContinuous = "conductor-continuous" {
        about: Circuit, values: [Load],
        formula: (
            "Conductors for a continuous load",
            "needed = factor·load; before: ampacity in the column allowed, without correction; holds when before ≥ needed",
        ),
    }
    /// Conductors, corrected ampacity.
    ConductorAmpacity = "conductor-ampacity" {
        about: Circuit, values: [Ambient, Grouping], graded: true,
        formula: (
            "Ampacity of the conductors",
            "after = from·ambient_factor·grouping_factor, in tables by temperature rating not over before; holds when after ≥ load",
        ),
    }
    /// Conductors protected by the overcurrent device.
    ConductorProtection = "conductor-protection" {
        about: Circuit,
        formula: (
            "Conductors protected by their device",
            "allowed: the ampacity after correction, or the next standard rating where the rule lets it; holds when rating ≤ allowed",
        ),
    }
    /// Conductors protected against overload.
    OverloadProtection = "overload-protection" {
        about: Circuit,
        formula: (
            "Conductors protected against overload",
            "value: multiple·rating, the current at which the device surely trips; limit: factor·after; holds when value ≤ limit",
        ),
    }
    /// Small conductors.
    SmallConductor = "small-conductor" {
        about: Circuit, values: [Size],
        formula: ("Limit of a small conductor", "holds when rating ≤ allowed for the size"),
    }
    /// Voltage drop, branch circuit.
    VoltageDrop = "voltage-drop" {
        about: Circuit, values: [Drop, Load],
        formula: ("Voltage drop in the branch circuit", VOLTAGE_DROP),
    }
    /// Voltage drop, feeder.
    VoltageDropFeeder = "voltage-drop-feeder" {
        about: Circuit, values: [Drop],
        formula: ("Voltage drop in the feeder", VOLTAGE_DROP),
    }
    /// Voltage drop, feeder and branch circuit.
    VoltageDropTotal = "voltage-drop-total" {
        about: Circuit, values: [Drop],
        formula: (
            "Voltage drop in feeder and branch circuit",
            "drop = sum of both; share = drop/voltage; holds when share ≤ limit",
        ),
    }
    /// Energy lost in the run in a year.
    RunLoss = "run-loss" {
        about: Circuit, variants: &[],
        formula: (
            "Energy lost in the run in a year",
            "loss = conductors·load²·resistance·length; share = loss/power; energy = charged·share",
        ),
    }
    /// Terminals marked for aluminum.
    AluminiumTermination = "aluminium-termination" {
        about: Circuit, values: [Size], graded: true,
        formula: (
            "Terminals for aluminium",
            "holds when every terminal that takes a conductor is marked for aluminium",
        ),
    }
    /// Terminals marked for copper.
    CopperTermination = "copper-termination" {
        about: Circuit, values: [Size],
        formula: (
            "Terminals for copper",
            "does not hold when a terminal that takes a conductor is marked for aluminium alone",
        ),
    }
    /// Size of the equipment grounding conductor.
    GroundingConductor = "grounding-conductor" {
        about: Circuit, values: [Size, LeastSize],
        formula: (
            "Size of the equipment grounding conductor",
            "holds when it is no smaller than the table gives for the overcurrent device, or for the line conductors; where the rule says so, made larger in the proportion in which the line conductors are larger than they need be; never larger than these",
        ),
    }
    /// Conductors in parallel.
    ParallelConductors = "parallel-conductors" {
        about: Circuit, values: [Size, LeastSize],
        formula: (
            "Conductors in parallel",
            "holds when each is at least of the smallest size that may be run in parallel",
        ),
    }
    /// Feeder, its overcurrent device.
    FeederProtection = "feeder-protection" {
        about: Circuit,
        formula: (
            "Feeder protected by its device",
            "allowed: the feeder’s ampacity in the column of its terminals and after correction, or the next standard rating where the rule lets it; holds when rating ≤ allowed",
        ),
    }
    /// Feeder, its load.
    FeederAmpacity = "feeder-ampacity" {
        about: Circuit, graded: true,
        formula: (
            "Ampacity of the feeder",
            "after: the feeder’s ampacity in the column of its terminals and after correction; holds when after ≥ load",
        ),
    }
    /// Setting of the load management.
    ManagedSetting = "managed-setting" {
        about: Circuit, values: [Load], graded: true,
        formula: (
            "Setting of the load management",
            "asked where the visit says whether it is restricted; holds when only a tool, a lock or a password changes it",
        ),
    }
    /// Current that the charger is set to.
    CurrentSetting = "current-setting" {
        about: Circuit, values: [Load, Rated], graded: true,
        formula: (
            "Current that the charger is set to",
            "asked where it is set to less than it is rated for; holds when only a tool, a lock or a password changes the setting",
        ),
    }
    /// Load management.
    LoadManagement = "load-management" {
        about: Circuit,
        formula: (
            "Load management",
            "needed = factor·what the system lets its loads draw together; holds when the device in front of them is rated for it",
        ),
    }
    /// Breaker in warm air, or beside others.
    BreakerDerating = "breaker-derating" {
        about: Circuit, values: [Ambient, Rating],
        formula: (
            "Breaker in warm air, or beside others",
            "carries = rating·ambient_factor·grouping_factor; holds when carries ≥ load",
        ),
    }
    /// Earth electrode of a TT system.
    EarthElectrode = "earth-electrode" {
        about: Circuit, values: [Permitted],
        formula: (
            "Earth electrode of a TT system",
            "value = resistance of the electrode·rated residual current; holds when value ≤ limit",
        ),
    }
    /// Loss of the PEN conductor.
    PenLoss = "pen-loss" {
        about: Circuit, graded: true,
        formula: (
            "Loss of the PEN conductor",
            "holds when a device or an earth electrode protects against it",
        ),
    }
    /// Ground-fault protection outdoors.
    OutdoorGroundFault = "outdoor-ground-fault" {
        about: Circuit,
        formula: (
            "Ground-fault protection outdoors",
            "asked of an outdoor outlet of one phase, up to a voltage to ground and a rating; holds when the device has ground-fault protection for people",
        ),
    }
    /// Splices in one leg.
    Splices = "splices" {
        about: Circuit,
        formula: (
            "Splices in one leg",
            "holds when the leg that has most has no more than the rule set considers usual",
        ),
    }
    /// Receptacle, configuration.
    ReceptacleConfiguration = "receptacle-configuration" {
        about: Circuit, values: [Configuration, Voltage],
        formula: (
            "Configuration of the receptacle",
            "holds when it is one for charging, made for the supply’s voltage",
        ),
    }
    /// Receptacle, rating.
    ReceptacleRating = "receptacle-rating" {
        about: Circuit, values: [Configuration], graded: true,
        formula: ("Rating of the receptacle", "holds when receptacle ≥ rating of the circuit"),
    }
    /// Receptacle, grade.
    ReceptacleGrade = "receptacle-grade" {
        about: Circuit, values: [Load],
        formula: (
            "Grade of the receptacle",
            "asked above a load; holds when the grade is one made for long loads",
        ),
    }
    /// Ground-fault protection of people.
    GroundFault = "ground-fault" {
        about: Circuit,
        formula: (
            "Ground-fault protection",
            "holds when people at the receptacle are protected by a Class A device",
        ),
    }
    /// Residual-current protection.
    ResidualCurrent = "residual-current" {
        about: Circuit, values: [Permitted],
        formula: (
            "Residual-current protection",
            "holds when rated for no more than the limit, and of a type that smooth direct current does not blind, by itself or because 6 mA are disconnected",
        ),
    }
    /// Disconnection time.
    DisconnectionTime = "disconnection-time" {
        about: Circuit,
        formula: (
            "Disconnection time",
            "holds when the tripping time measured is no more than the earthing of the supply allows",
        ),
    }
    /// Individual branch circuit.
    IndividualCircuit = "individual-circuit" {
        about: Circuit, values: [Load],
        formula: ("Individual branch circuit", "holds when it serves nothing else"),
    }
    /// Disconnecting means.
    Disconnect = "disconnect" {
        about: Circuit, values: [Load],
        formula: (
            "Disconnecting means",
            "holds when it can be locked open and is in sight, or a plaque states where it is",
        ),
    }
}
