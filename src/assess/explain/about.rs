//! The inputs of the steps for one connection.

use crate::assess::assessment::{CheckResult, ConnectionAssessment};
use crate::assess::earlier::Earlier;
use crate::assess::heat::{
    measured::Taken,
    rated::{Curve, Load},
    readings::Thermometer,
};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, Place, Visit};
use crate::vocabulary::CheckId;

/// The inputs of the steps.
pub(super) struct About<'a> {
    pub(super) visit: &'a Visit,
    pub(super) rules: &'a Rules,
    pub(super) circuit: &'a Circuit,
    pub(super) place: &'a Place,
    pub(super) connection: &'a Connection,
    pub(super) earlier: &'a [Earlier],
    pub(super) load: Load,
    pub(super) taken: Taken<'a>,
    pub(super) thermometer: &'a Thermometer<'a>,
    pub(super) found: &'a ConnectionAssessment,
    pub(super) checks: Vec<&'a CheckResult>,
}

impl About<'_> {
    pub(super) fn coverage(&self) -> f64 {
        self.rules.thermal.coverage_factor.value
    }

    /// The heating curve of the connection; `None` if no heat was measured.
    pub(super) fn curve(&self) -> Option<Curve<'_>> {
        Some(Curve {
            heat: self.circuit.heat.as_ref()?,
            connection: self.connection,
            rounds: &self.taken.rounds,
            readings: &self.taken.readings,
            thermometer: self.thermometer,
            load: &self.load,
            kept: self.taken.kept,
            rules: self.rules,
        })
    }

    /// A finding of this place.
    pub(super) fn here(&self, id: CheckId) -> Option<&CheckResult> {
        self.checks
            .iter()
            .find(|f| f.id == id && f.place.as_ref() == Some(&self.place.id))
            .copied()
    }

    /// A finding whose first connection is this one, so that its value applies here.
    pub(super) fn leading(&self, id: CheckId) -> Option<&CheckResult> {
        self.checks
            .iter()
            .find(|f| {
                f.id == id
                    && f.place.as_ref() == Some(&self.place.id)
                    && f.connections.first() == Some(&self.connection.id)
            })
            .copied()
    }
}
