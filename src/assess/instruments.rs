//! Instruments: calibration overdue, accuracy not told.

use super::engine::Notes;
use super::model::{Finding, Limitation, Value};
use crate::rules::Rules;
use crate::visit::{Instrument, InstrumentKind, Visit};

pub(super) fn judge(visit: &Visit, rules: &Rules, notes: &mut Notes) {
    for instrument in visit.instruments.iter().filter(|i| used(visit, i)) {
        if let Some(due) = instrument.calibration_due.filter(|due| *due < visit.date) {
            notes.findings.push(Finding {
                source: rules.thermal.calibration_overdue.source.clone(),
                values: [
                    ("instrument", Value::Text(instrument.id.clone())),
                    ("due", Value::Date(due)),
                ]
                .into(),
                ..Finding::new(
                    "calibration-overdue",
                    rules.thermal.calibration_overdue.value,
                )
            });
        }
        let thermometer = matches!(
            instrument.kind,
            InstrumentKind::InfraredThermometer
                | InstrumentKind::ThermalImager
                | InstrumentKind::ContactThermometer
        );
        if thermometer && instrument.accuracy.is_none() {
            notes.limitations.push(Limitation {
                id: "accuracy-assumed",
                circuit: None,
                place: None,
                connections: Vec::new(),
                incomplete: false,
                values: [("instrument", Value::Text(instrument.id.clone()))].into(),
            });
        }
    }
}

fn used(visit: &Visit, instrument: &Instrument) -> bool {
    visit.circuits.iter().any(|c| {
        c.heat.as_ref().is_some_and(|h| h.with == instrument.id)
            || c.torque
                .iter()
                .any(|t| t.with.as_ref() == Some(&instrument.id))
            || c.isolation
                .as_ref()
                .is_some_and(|i| i.tester.as_ref() == Some(&instrument.id))
    })
}
