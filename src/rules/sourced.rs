//! Values with their sources.

use crate::visit::Grade;
use serde::Serialize;

/// A value with its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Published source (standard, edition, table or clause), or "common practice, no source".
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// The reason for this value, if the source does not give it.
    pub why: Option<String>,
}

/// Where a table or a check comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Provenance {
    /// Published source (standard, edition, table or clause), or "common practice, no source".
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Reasoning beyond the source.
    pub why: Option<String>,
}

impl Provenance {
    /// A value with this source.
    pub(super) fn of<T>(self, value: T) -> Sourced<T> {
        Sourced {
            value,
            source: self.source,
            checked: self.checked,
            why: self.why,
        }
    }
}

/// How far a source was checked by the authors of the rule set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Checked {
    /// Seen in a public page or transcription.
    Confirmed,
    /// Written from memory; check before relying on it.
    FromMemory,
    /// Custom of the trade, or the authors' choice, with its reasoning in the file.
    CommonPractice,
    /// Changed by a firm's own rules file.
    Firm,
}

impl Checked {
    /// How far a result was checked that is based on this and on another figure: from memory if
    /// either is.
    pub const fn with(self, other: Checked) -> Checked {
        match other {
            Checked::FromMemory => Checked::FromMemory,
            _ => self,
        }
    }

    /// The words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Checked::Confirmed => "confirmed",
            Checked::FromMemory => "from memory",
            Checked::CommonPractice => "common practice",
            Checked::Firm => "changed by the firm",
        }
    }
}

/// Bands of one value, mildest first; the first band has no lower edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Bands {
    /// Source of the edges and the reasoning of the mapping to grades.
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Why the published bands are mapped to these grades.
    pub reasoning: String,
    /// Grade below the first edge.
    pub below: Grade,
    /// Edges, mildest first.
    pub edges: Vec<Edge>,
}

/// The lower edge of a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Where the band begins, in the value's SI unit (kelvin for temperatures).
    pub at: f64,
    /// Whether the edge itself belongs to the band ("from 4 K") or not ("over 15 K").
    pub inclusive: bool,
    /// Grade of the band.
    pub grade: Grade,
}

impl Bands {
    /// Grade of a value, and the edge of the band it is in (`None` below the first).
    ///
    /// For a margin, whose bands count downwards, pass the negated margin: edges are stored
    /// negated too.
    pub fn grade(&self, value: f64) -> (Grade, Option<Edge>) {
        self.edges
            .iter()
            .rev()
            .find(|e| {
                let slack = EDGE_SLACK * e.at.abs().max(1.0);
                value > e.at + slack || (e.inclusive && value >= e.at - slack)
            })
            .map_or((self.below, None), |e| (e.grade, Some(*e)))
    }

    /// The first edge whose grade is worse than the mildest: the limit printed for values below
    /// it.
    pub fn first_edge(&self) -> Option<Edge> {
        self.edges.iter().copied().find(|e| e.grade > self.below)
    }
}

/// Relative comparison slack at an edge. The difference of 100 °F and 80 °F, converted to kelvin,
/// differs from 20 °F in its last digits, and a fitted value from an exact one; no rule depends on
/// a millionth.
pub(super) const EDGE_SLACK: f64 = 1e-6;
