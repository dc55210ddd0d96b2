//! Torque thresholds, and torques for connections whose manufacturer's value is not known.

use super::sourced::{Bands, Provenance, Sourced};
use crate::quantity::{ConductorSize, Torque};
use crate::visit::Grade;

/// Torque thresholds.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueRules {
    /// Accuracy of a torque tool whose accuracy the visit does not state, a fraction.
    pub assumed_accuracy: Sourced<f64>,
    /// Grade if a connection moved before the specified value and was left at that value.
    pub moved: Sourced<Grade>,
    /// Grade if it had also moved and been corrected at the previous visit.
    pub moved_again: Sourced<Grade>,
    /// Least grade of a connection that had moved, is hot and is hotter than at an earlier visit.
    pub moved_hot_and_worse: Sourced<Grade>,
    /// Grade if a connection was left below or above the specified value.
    pub left_wrong: Sourced<Grade>,
    /// Grade if a connection moved and the visit does not state the torque at which it was left.
    pub left_untold: Sourced<Grade>,
    /// Grade of a torque tool used after its calibration was due.
    pub tool_overdue: Sourced<Grade>,
    /// Rise over air above which a connection is too hot to be tightened, K.
    pub hot_over: Sourced<f64>,
    /// Grade if such a connection was tightened without a recorded cool-down.
    pub tightened_hot: Sourced<Grade>,
    /// Bands of the share of the specified torque that was lost (0–1), for a connection that was
    /// left at the specified value.
    pub loosened: Bands,
    /// Fallback values.
    pub fallback: Fallback,
}

/// Fallback torques by screw.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fallback {
    /// Tables whose torque depends on the conductor too.
    pub by_conductor: Option<ByConductor>,
    /// Tables whose torque depends on the screw alone.
    pub by_screw: Vec<ByScrew>,
    /// The least and the largest torque of screws that take a conductor, where no table above has
    /// them by conductor.
    pub range: Option<ByConductor>,
}

/// Torques by screw and conductor size.
#[derive(Debug, Clone, PartialEq)]
pub struct ByConductor {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Words for the screws, one for each column.
    pub screws: Vec<String>,
    /// Largest conductor of each row, by increasing size, and the torques.
    pub rows: Vec<(ConductorSize, Vec<Option<Torque>>)>,
}

/// Torques by screw.
#[derive(Debug, Clone, PartialEq)]
pub struct ByScrew {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Largest conductor to which the table applies; `None` for any.
    pub up_to: Option<ConductorSize>,
    /// Word for the screw, and its torque.
    pub torques: Vec<(String, Torque)>,
}

impl Fallback {
    /// The least and the largest torque that any screw on a conductor has, newton metre; `None` if
    /// no table has its size.
    pub fn range(&self, size: ConductorSize) -> Option<(f64, f64)> {
        let table = self.range.as_ref().or(self.by_conductor.as_ref())?;
        let area = size.square_millimetres();
        let within = |up_to: &ConductorSize| area <= up_to.square_millimetres() * (1.0 + 1e-9);
        let (_, row) = table.rows.iter().find(|(up_to, _)| within(up_to))?;
        let torques = row.iter().flatten().map(|t| t.newton_metre());
        let (low, high) = torques.fold((f64::INFINITY, 0.0), |(low, high), t| {
            (f64::min(low, t), f64::max(high, t))
        });
        (high > 0.0).then_some((low, high))
    }

    /// The torque for a screw as the visit file names it, and the source of the value.
    pub fn find(&self, screw: &str, size: ConductorSize) -> Option<(Torque, &str)> {
        let screw = screw.trim().to_ascii_lowercase();
        let area = size.square_millimetres();
        // Slack for areas computed from gauge numbers.
        let within = |up_to: ConductorSize| area <= up_to.square_millimetres() * (1.0 + 1e-9);
        let by_screw = self.by_screw.iter().find_map(|table| {
            if !table.up_to.is_none_or(within) {
                return None;
            }
            let (_, torque) = table
                .torques
                .iter()
                .find(|(word, _)| word.eq_ignore_ascii_case(&screw))?;
            Some((*torque, table.provenance.source.as_str()))
        });
        by_screw.or_else(|| {
            let table = self.by_conductor.as_ref()?;
            let column = table.screws.iter().position(|word| *word == screw)?;
            let (_, row) = table.rows.iter().find(|(up_to, _)| within(*up_to))?;
            Some((row[column]?, table.provenance.source.as_str()))
        })
    }
}
