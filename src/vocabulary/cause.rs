//! Causes: what several checks are evidence for.

use super::check::{CheckId, Variant};
use super::seen::Grade;
use super::word::{Word, vocabulary};

/// Whether the circuit may be used until the cause has been removed, if it is graded `repair`. A
/// `stop` always forbids charging.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WhileUnrepaired {
    /// As usual.
    AsUsual,
    /// At a current that keeps the parts within their limits.
    Limited,
    /// Not at all.
    NotAtAll,
}

/// Properties of a cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CauseDeclaration {
    /// Whether charging may go on.
    pub unrepaired: WhileUnrepaired,
    /// Its own sentences in a wording, under `cause`. A cause without them is described by the
    /// sentences of its worst check.
    pub variants: &'static [Variant],
}

impl CauseDeclaration {
    const PLAIN: CauseDeclaration = CauseDeclaration {
        unrepaired: WhileUnrepaired::AsUsual,
        variants: &[],
    };
}

/// Declares causes.
macro_rules! causes {
    ($($(#[$doc:meta])* $cause:ident = $word:literal {
        unrepaired: $unrepaired:ident,
        $(variants: $variants:expr,)?
    })+) => {
        vocabulary! {
            /// One cause of failed checks of a connection, a device or a circuit.
            ///
            /// The wordings have its name, and its sentences if it has its own, under `cause`.
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum CauseId {
                $($(#[$doc])* $cause = $word),+
            }
        }

        impl CauseId {
            /// The declared properties.
            #[allow(clippy::needless_update)] // a cause may declare everything
            pub const fn declaration(self) -> CauseDeclaration {
                match self {
                    $(CauseId::$cause => CauseDeclaration {
                        unrepaired: WhileUnrepaired::$unrepaired,
                        $(variants: $variants,)?
                        ..CauseDeclaration::PLAIN
                    },)+
                }
            }
        }
    };
}

const FROM_NOTE: &[Variant] = &[
    Variant::Grade(Grade::Note),
    Variant::Grade(Grade::Watch),
    Variant::Grade(Grade::Repair),
    Variant::Grade(Grade::Stop),
];
const ANY: &[Variant] = &[Variant::Any];
const ANY_OR_STOP: &[Variant] = &[Variant::Any, Variant::Grade(Grade::Stop)];

causes! {
    /// A joint with more resistance than its sisters: loose, dirty, damaged or wrongly made.
    PoorJoint = "poor-joint" { unrepaired: NotAtAll, variants: FROM_NOTE, }
    /// Connections at both ends of one device, or of a short conductor, on one leg, equally hot:
    /// what is between them, or one of them.
    HotDevice = "hot-device" { unrepaired: NotAtAll, variants: FROM_NOTE, }
    /// The connections of one leg hotter than those of the others at every place, all alike: its
    /// current, or its conductor.
    HotLeg = "hot-leg" { unrepaired: NotAtAll, variants: ANY_OR_STOP, }
    /// A screw that is, or was, looser than specified, without heat.
    LooseScrew = "loose-screw" { unrepaired: NotAtAll, }
    /// A screw tightened beyond what is specified.
    OvertightenedScrew = "overtightened-screw" { unrepaired: AsUsual, }
    /// Screws whose torque nobody knows.
    TorqueNotKnown = "torque-not-known" { unrepaired: AsUsual, variants: ANY, }
    /// Parts that were too hot, or are damaged or corroded.
    DamagedPart = "damaged-part" { unrepaired: NotAtAll, }
    /// All connections of one place hot alike.
    HotPlace = "hot-place" { unrepaired: Limited, variants: ANY_OR_STOP, }
    /// Several places hot alike.
    HotCircuit = "hot-circuit" { unrepaired: Limited, variants: ANY_OR_STOP, }
    /// Warmth that does not come from the charging current.
    WarmSurroundings = "warm-surroundings" { unrepaired: AsUsual, variants: ANY, }
    /// Conductors that are too thin for the load.
    UndersizedConductor = "undersized-conductor" { unrepaired: Limited, variants: ANY, }
    /// An overcurrent device that is too small for the load.
    UndersizedBreaker = "undersized-breaker" { unrepaired: Limited, }
    /// Conductors and overcurrent device are both too small for the load.
    UndersizedCircuit = "undersized-circuit" { unrepaired: Limited, variants: ANY, }
    /// An overcurrent device that is too large for the conductors.
    OversizedBreaker = "oversized-breaker" { unrepaired: Limited, }
    /// Too much voltage drop in the conductors.
    LongRun = "long-run" { unrepaired: AsUsual, }
    /// A receptacle that does not suit the charger.
    UnsuitableReceptacle = "unsuitable-receptacle" { unrepaired: Limited, }
    /// Terminals that do not suit the metal of the conductors.
    UnsuitableTerminals = "unsuitable-terminals" { unrepaired: AsUsual, }
    /// Protection of people that is missing or too slow.
    ShockProtection = "shock-protection" { unrepaired: NotAtAll, }
}

/// Phrases for checks as evidence, in a few words, and the check whose values each may use. For a
/// check without a phrase, its name is used.
pub const EVIDENCE: &[(&str, CheckId)] = &[
    ("rise", CheckId::Rise),
    ("rise-least", CheckId::Rise),
    ("breaker-rise", CheckId::BreakerRise),
    ("leg-difference", CheckId::LegDifference),
    ("projected-heat", CheckId::ProjectedHeat),
    ("over-rating", CheckId::OverRating),
    ("worse-than-before", CheckId::WorseThanBefore),
    ("worse-than-before-same-day", CheckId::WorseThanBefore),
    ("contact-resistance", CheckId::ContactResistance),
    ("contact-drop", CheckId::ContactDrop),
    ("torque-moved", CheckId::TorqueMoved),
    ("torque-moved-at", CheckId::TorqueMoved),
    ("torque-left-wrong", CheckId::TorqueLeftWrong),
    ("conductor-continuous", CheckId::ConductorContinuous),
    ("conductor-ampacity", CheckId::ConductorAmpacity),
    ("conductor-protection", CheckId::ConductorProtection),
    ("overload-protection", CheckId::OverloadProtection),
    ("small-conductor", CheckId::SmallConductor),
    ("continuous-load", CheckId::ContinuousLoad),
    ("charging-current", CheckId::ChargingCurrent),
    ("voltage-drop", CheckId::VoltageDrop),
    ("hot-without-load", CheckId::HotWithoutLoad),
    ("calibration-overdue", CheckId::CalibrationOverdue),
    ("spot-too-wide", CheckId::SpotTooWide),
    ("shiny-target", CheckId::ShinyTarget),
    ("torque-no-value", CheckId::TorqueNoValue),
    ("receptacle-grade", CheckId::ReceptacleGrade),
];

/// The subject of a finding: a cause for which several checks can be evidence, or the one check
/// that failed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// A diagnosed cause.
    Known(CauseId),
    /// A check that is a finding on its own.
    Check(CheckId),
}

impl Cause {
    /// The cause, or the check, of a word.
    pub fn of(word: &str) -> Option<Self> {
        let cause = CauseId::of(word).map(Cause::Known);
        cause.or_else(|| CheckId::of(word).map(Cause::Check))
    }

    /// The words of all causes and checks.
    pub fn words() -> impl Iterator<Item = &'static str> {
        <CauseId as Word>::words().chain(<CheckId as Word>::words())
    }

    /// The word for it in files.
    pub const fn word(self) -> &'static str {
        match self {
            Cause::Known(cause) => cause.word(),
            Cause::Check(check) => check.word(),
        }
    }

    /// Whether charging may go on until the cause has been removed, if it is graded `repair`.
    pub const fn unrepaired(self) -> WhileUnrepaired {
        match self {
            Cause::Known(cause) => cause.declaration().unrepaired,
            // A device that leaves lines live when it is off endangers whoever works on them.
            Cause::Check(CheckId::BreakerPoles) => WhileUnrepaired::NotAtAll,
            Cause::Check(
                CheckId::ChargingCurrent
                | CheckId::FeederAmpacity
                | CheckId::BreakerDerating
                | CheckId::LoadManagement,
            ) => WhileUnrepaired::Limited,
            Cause::Check(_) => WhileUnrepaired::AsUsual,
        }
    }
}

impl std::fmt::Display for Cause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.word())
    }
}

impl serde::Serialize for Cause {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.word())
    }
}

impl PartialEq<&str> for Cause {
    fn eq(&self, other: &&str) -> bool {
        self.word() == *other
    }
}
