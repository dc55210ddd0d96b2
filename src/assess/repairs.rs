//! Which connections were repaired during the visit.

use crate::visit::{Circuit, RepairDone};

/// Whether a connection was taken apart or got a new part, so that it counts as a new connection.
pub(super) fn made_anew(circuit: &Circuit, connection: &str) -> bool {
    circuit
        .repairs
        .iter()
        .any(|r| r.connection == connection && r.done != RepairDone::ReTorqued)
}

/// Whether a connection was repaired.
pub(super) fn repaired(circuit: &Circuit, connection: &str) -> bool {
    circuit.repairs.iter().any(|r| r.connection == connection)
}
