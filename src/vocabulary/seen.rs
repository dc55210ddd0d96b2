//! Conditions seen at a place, grades, and what a temperature rating belongs to.

use super::word::vocabulary;

vocabulary! {
    /// Visible condition of a connection or place.
    ///
    /// Each one is a variant of the check `condition`: its sentence and action are under
    /// `finding.condition`, its name under `condition` in the wordings, its grade under
    /// `conditions` in the rule sets.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Condition {
        /// Clean and undamaged.
        Clean = "clean",
        /// Dust or insects.
        Dust = "dust",
        /// The seal of a cover is broken or missing.
        SealBroken = "seal-broken",
        /// Corrosion.
        Corroded = "corroded",
        /// Mechanical damage.
        Damaged = "damaged",
        /// Discoloured by heat.
        Discoloured = "discoloured" | "discolored",
        /// Melted or charred.
        Melted = "melted",
    }
}

impl Condition {
    /// Whether the part has to be replaced, so that the finding is a damaged part.
    pub const fn spoils(self) -> bool {
        match self {
            Self::Corroded | Self::Damaged | Self::Discoloured | Self::Melted => true,
            Self::Clean | Self::Dust | Self::SealBroken => false,
        }
    }

    /// Whether it is damage by heat, with which a circuit must not be energized again, whatever its
    /// grade in a rule set.
    pub const fn by_heat(self) -> bool {
        match self {
            Self::Discoloured | Self::Melted => true,
            Self::Clean | Self::Dust | Self::SealBroken | Self::Corroded | Self::Damaged => false,
        }
    }
}

vocabulary! {
    /// Grades of findings, mildest first.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Grade {
        /// In order.
        Pass = "pass",
        /// Worth knowing.
        Note = "note",
        /// Look again.
        Watch = "watch",
        /// Repair.
        Repair = "repair",
        /// Stop using.
        Stop = "stop",
    }
}

vocabulary! {
    /// The part to which the temperature rating of a connection belongs.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum RatingOf {
        /// The terminal, as marked.
        Terminal = "terminal",
        /// The terminal, by its product standard.
        ProductStandard = "product-standard",
        /// A terminal that is not marked, by the rule set.
        UnmarkedTerminal = "unmarked-terminal",
        /// The conductor's insulation.
        Insulation = "insulation",
        /// The receptacle.
        Receptacle = "receptacle",
        /// A closed cover, whose temperature is limited because people touch it.
        Cover = "cover",
    }
}
