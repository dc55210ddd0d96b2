//! The terminal torque on the label of a device, typed once and remembered by the page by make and
//! model.

use super::error::WebError;
use super::message::Message;
use crate::next::blanks::has_screw;
use crate::quantity::System;
use crate::quantity::{Torque, Unit, parse, plausible};
use crate::record::accepted::Accepted;
use crate::visit::{self, Comments};
use serde::Deserialize;
use serde_json::json;

/// Asks for a visit file in which the terminals at a place have this torque.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Device {
    visit: String,
    circuit: String,
    place: String,
    /// The torque, with a unit, or in the unit of the visit (inch-pounds or newton metres).
    torque: String,
    /// Make and model of the charger, if the place is in it.
    make: Option<String>,
    model: Option<String>,
}

impl Device {
    /// The visit file, or `wrong` with the reason.
    pub fn answer(self) -> Result<Message, WebError> {
        let mut visit = visit::read(&self.visit, "visit.yaml", &Accepted)?;
        let unit = match visit.print.units {
            System::Us => Unit::PoundForceInch,
            System::Si => Unit::NewtonMetre,
        };
        let wrong = |why: String| Ok(Message::without_files(json!({ "wrong": why })));
        let torque: Torque = match parse(self.torque.trim(), Some(unit)) {
            Ok(torque) => torque,
            Err(why) => return wrong(why.to_string()),
        };
        if let Err(why) = plausible::TORQUE.check(torque, unit) {
            return wrong(why.to_string());
        }
        let circuit = visit.circuits.iter_mut().find(|c| c.id == self.circuit);
        let circuit = circuit.ok_or_else(|| WebError::Missing(self.circuit.clone()))?;
        let place = circuit.places.iter_mut().find(|p| p.id == self.place);
        let place = place.ok_or_else(|| WebError::Missing(self.place.clone()))?;
        for connection in &mut place.connections {
            if has_screw(connection.kind) {
                connection.torque = Some(torque);
            }
        }
        let given = |text: Option<String>| text.filter(|text| !text.trim().is_empty());
        if let Some(make) = given(self.make) {
            circuit.charger.make = Some(make.trim().to_owned());
        }
        if let Some(model) = given(self.model) {
            circuit.charger.model = Some(model.trim().to_owned());
        }
        let comments = Comments {
            bare_numbers: true,
            ..Comments::default()
        };
        let text = visit::write_with(&visit, &comments);
        visit::read(&text, "visit.yaml", &Accepted)?;
        Ok(Message::without_files(json!({ "visit": text })))
    }
}
