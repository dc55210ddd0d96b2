//! The words that stand for the choices of a visit file: one table for each choice, which the
//! reader, the writer and the schema share.

use super::choices::{
    ChargerConnection, Condition, ConnectionKind, Earthing, Grade, GroundFault, InstrumentKind,
    MarkedFor, Material, OvercurrentDevice, Paper, ProductStandard, Rcd, Reason, ReceptacleGrade,
    Role, Surface, System, Units, Wiring,
};

/// Languages that a certificate can be written in (BCP 47), in the order in which messages list
/// them.
pub const LANGUAGES: [&str; 4] = ["en", "es", "fr", "de"];

/// A choice among words.
pub(super) trait Word: Copy + PartialEq + 'static {
    /// Each choice with its word, in the order in which messages list them.
    const TABLE: &'static [(&'static str, Self)];

    /// The word of this choice.
    fn word(self) -> &'static str {
        Self::TABLE
            .iter()
            .find(|(_, v)| *v == self)
            .map_or("", |(w, _)| w)
    }

    /// The choice of a word.
    fn of(word: &str) -> Option<Self> {
        Self::TABLE
            .iter()
            .find(|(w, _)| *w == word)
            .map(|(_, v)| *v)
    }
}

/// The words of a choice.
pub(super) fn list<W: Word>() -> Vec<&'static str> {
    W::TABLE.iter().map(|(w, _)| *w).collect()
}

/// Ids of the findings that a judgement may be about: the wording has words for each of them.
const FINDINGS: &[&str] = &[
    "rise",
    "leg-difference",
    "projected-heat",
    "over-rating",
    "worse-than-before",
    "still-climbing",
    "charging-current",
    "load-too-low",
    "spot-too-wide",
    "shiny-target",
    "hot-without-load",
    "contact-resistance",
    "contact-drop",
    "calibration-overdue",
    "pattern-one-leg-hot",
    "pattern-same-leg-everywhere",
    "pattern-legs-hot-alike",
    "pattern-place-hot-alike",
    "pattern-joint-hottest",
    "pattern-device-hotter",
    "pattern-conductor-hotter",
    "pattern-air-hot",
    "torque-held",
    "torque-moved",
    "torque-left-wrong",
    "torque-tight",
    "torque-no-value",
    "isolation-proved",
    "isolation-not-dead",
    "condition",
    "charging-power",
    "continuous-load",
    "standard-rating",
    "breaker-poles",
    "conductor-continuous",
    "conductor-ampacity",
    "conductor-protection",
    "overload-protection",
    "small-conductor",
    "voltage-drop",
    "voltage-drop-feeder",
    "voltage-drop-total",
    "run-loss",
    "aluminium-termination",
    "copper-termination",
    "splices",
    "receptacle-configuration",
    "receptacle-rating",
    "receptacle-grade",
    "ground-fault",
    "residual-current",
    "disconnection-time",
    "individual-circuit",
    "disconnect",
];

/// The same for messages and the schema.
pub(super) fn findings() -> Vec<&'static str> {
    FINDINGS.to_vec()
}

macro_rules! words {
    ($type:ty: $($word:literal => $value:expr),+ $(,)?) => {
        impl Word for $type {
            const TABLE: &'static [(&'static str, Self)] = &[$(($word, $value)),+];
        }
    };
}

words!(Reason:
    "first" => Reason::First,
    "periodic" => Reason::Periodic,
    "after-repair" => Reason::AfterRepair,
    "change-of-owner" => Reason::ChangeOfOwner,
);
words!(Units: "us" => Units::Us, "si" => Units::Si);
words!(Paper: "letter" => Paper::Letter, "a4" => Paper::A4);
words!(Role:
    "owner" => Role::Owner,
    "landlord" => Role::Landlord,
    "tenant" => Role::Tenant,
    "insurer" => Role::Insurer,
);
words!(InstrumentKind:
    "infrared-thermometer" => InstrumentKind::InfraredThermometer,
    "thermal-imager" => InstrumentKind::ThermalImager,
    "contact-thermometer" => InstrumentKind::ContactThermometer,
    "air-thermometer" => InstrumentKind::AirThermometer,
    "torque-screwdriver" => InstrumentKind::TorqueScrewdriver,
    "torque-wrench" => InstrumentKind::TorqueWrench,
    "voltage-tester" => InstrumentKind::VoltageTester,
    "multimeter" => InstrumentKind::Multimeter,
    "clamp-meter" => InstrumentKind::ClampMeter,
);
words!(ChargerConnection:
    "hardwired" => ChargerConnection::Hardwired,
    "receptacle" => ChargerConnection::Receptacle,
);
words!(System: "wye" => System::Wye, "delta" => System::Delta);
words!(Earthing: "tn" => Earthing::Tn, "tt" => Earthing::Tt);
words!(OvercurrentDevice:
    "mcb" => OvercurrentDevice::Mcb,
    "mccb" => OvercurrentDevice::Mccb,
    "fuse" => OvercurrentDevice::Fuse,
);
words!(ProductStandard:
    "iec-60898-1" => ProductStandard::Iec60898,
    "iec-60947-1" => ProductStandard::Iec60947,
    "iec-60947-2" => ProductStandard::Iec60947Breaker,
    "iec-61439-1" => ProductStandard::Iec61439,
);
words!(GroundFault:
    "none" => GroundFault::None,
    "gfci" => GroundFault::Gfci,
    "gfpe" => GroundFault::Gfpe,
    "unknown" => GroundFault::Unknown,
);
words!(Rcd:
    "none" => Rcd::None,
    "ac" => Rcd::Ac,
    "a" => Rcd::A,
    "f" => Rcd::F,
    "a-6ma" => Rcd::A6mA,
    "b" => Rcd::B,
);
words!(Material:
    "copper" => Material::Copper,
    "aluminium" => Material::Aluminium,
    "aluminum" => Material::Aluminium,
    "copper-clad-aluminium" => Material::CopperCladAluminium,
    "copper-clad-aluminum" => Material::CopperCladAluminium,
);
words!(Wiring:
    "nm-cable" => Wiring::NmCable,
    "se-cable" => Wiring::SeCable,
    "uf-cable" => Wiring::UfCable,
    "mc-cable" => Wiring::McCable,
    "conduit" => Wiring::Conduit,
    "cable" => Wiring::Cable,
);
words!(ReceptacleGrade:
    "residential" => ReceptacleGrade::Residential,
    "industrial" => ReceptacleGrade::Industrial,
    "ev-listed" => ReceptacleGrade::EvListed,
);
words!(MarkedFor:
    "cu" => MarkedFor::Copper,
    "al" => MarkedFor::Aluminium,
    "al-cu" => MarkedFor::Both,
);
words!(ConnectionKind:
    "screw-terminal" => ConnectionKind::ScrewTerminal,
    "lug" => ConnectionKind::Lug,
    "splice" => ConnectionKind::Splice,
    "blade" => ConnectionKind::Blade,
    "bus-stab" => ConnectionKind::BusStab,
    "spring-clamp" => ConnectionKind::SpringClamp,
);
words!(Surface:
    "insulation" => Surface::Insulation,
    "tape" => Surface::Tape,
    "painted" => Surface::Painted,
    "plastic" => Surface::Plastic,
    "oxidised-copper" => Surface::OxidisedCopper,
    "oxidised-aluminium" => Surface::OxidisedAluminium,
    "tinned" => Surface::Tinned,
    "plated" => Surface::Plated,
    "bare-metal" => Surface::BareMetal,
);
words!(Condition:
    "clean" => Condition::Clean,
    "dust" => Condition::Dust,
    "corroded" => Condition::Corroded,
    "damaged" => Condition::Damaged,
    "discoloured" => Condition::Discoloured,
    "discolored" => Condition::Discoloured,
    "melted" => Condition::Melted,
);
words!(Grade:
    "pass" => Grade::Pass,
    "note" => Grade::Note,
    "watch" => Grade::Watch,
    "repair" => Grade::Repair,
    "stop" => Grade::Stop,
);
// American spellings beside British ones: the first word of a value is the one written.
words!(bool: "true" => true, "yes" => true, "false" => false, "no" => false);

/// What was found at a torque check, when it is not a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Moved {
    Held,
    Moved,
}
words!(Moved: "held" => Moved::Held, "moved" => Moved::Moved);

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    #[test]
    fn every_finding_with_words_can_be_judged() {
        let known: BTreeSet<_> = super::findings().into_iter().collect();
        assert_eq!(known, crate::compose::finding_ids().collect());
    }
}
