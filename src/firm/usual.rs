//! What a firm usually writes into a visit.

use super::copied::inspector;
use super::file::Firm;
use crate::visit::Visit;

/// Language, units, paper, the letterhead of the inspector and the hottest air of the site.
pub fn usual(firm: &Firm, visit: &mut Visit) {
    if let Some(defaults) = &firm.defaults {
        if let Some(language) = &defaults.language {
            visit.print.language = vec![language.clone()];
        }
        visit.print.units = defaults.units.unwrap_or(visit.print.units);
        visit.print.paper = defaults.paper.unwrap_or(visit.print.paper);
    }
    if let Some(technician) = firm.technician(&visit.inspector.name) {
        visit.inspector = inspector(firm, technician);
    }
    let air = firm.hottest_air(&visit.site.name, visit.site.address.as_deref());
    if let Some(air) = air {
        for circuit in &mut visit.circuits {
            circuit.hottest_air = Some(air);
        }
    }
}
