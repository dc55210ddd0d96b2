//! Explanation of one connection.

use super::compare;
use super::corrected_reading;
use super::rating;
use super::settling;
use super::torque_check;
use crate::assess::earlier::Earlier;
use crate::assess::engine::assess_usable;
use crate::assess::explain::{about::About, explanation::Explanation};
use crate::assess::heat::{measured, rated::Load, readings::Thermometer};
use crate::assess::questions::set_aside;
use crate::rules::Rules;
use crate::visit::Visit;

/// Explains one connection of a visit; `None` if the visit has no such circuit or connection.
///
/// Of a visit with repairs, the state as found is explained.
///
/// Pure. Not optimised for speed: it judges the visit again.
pub fn explain(
    visit: &Visit,
    rules: &Rules,
    earlier: &[Earlier],
    circuit: &str,
    connection: &str,
) -> Option<Explanation> {
    let (visit, questions) = set_aside(visit, rules);
    let visit = &visit;
    let whole = assess_usable(visit, &questions, rules, earlier);
    let circuit = visit.circuits.iter().find(|c| c.id == circuit)?;
    let number = circuit
        .connections()
        .position(|(_, c)| c.id == connection)?;
    let (place, connection) = circuit.connections().nth(number)?;
    // The rounds of `heat` are those of the state as found.
    let assessment = whole
        .as_found
        .as_ref()
        .map_or(&whole, |state| &state.assessment);
    let assessed = assessment.circuits.iter().find(|c| c.id == circuit.id)?;
    let thermometer = Thermometer::of(visit, circuit, rules);
    let taken = measured::taken(circuit, &thermometer, rules)
        .into_iter()
        .nth(number)?;
    let about = About {
        visit,
        rules,
        circuit,
        place,
        connection,
        earlier,
        load: Load::in_leg(visit, circuit, &connection.leg, rules),
        taken,
        thermometer: &thermometer,
        found: assessed.connections.get(number)?,
        checks: assessment
            .checks
            .iter()
            .filter(|f| f.circuit.as_ref() == Some(&circuit.id))
            .collect(),
    };
    let mut steps = Vec::new();
    corrected_reading::steps(&about, &mut steps);
    settling::steps(&about, &mut steps);
    rating::steps(&about, &mut steps);
    compare::steps(&about, &mut steps);
    torque_check::steps(&about, &mut steps);
    Some(Explanation {
        circuit: circuit.id.clone(),
        place: place.id.clone(),
        connection: connection.id.clone(),
        steps,
    })
}
