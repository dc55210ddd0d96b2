//! Instruments: overdue calibration, unknown accuracy, serial number or calibration.

use super::assessment::{CheckResult, Limitation, Value};
use super::notes::Notes;
use crate::rules::Rules;
use crate::visit::{Circuit, HalfWidth, Instrument, InstrumentKind, Visit};
use crate::vocabulary::{CheckId, LimitationId, ValueName};

/// Serial number of the thermometer of a circuit that has one series of readings.
pub(crate) fn thermometer_serial<'a>(visit: &'a Visit, circuit: &Circuit) -> Option<&'a str> {
    let heat = circuit.heat.as_ref();
    let heat = heat.filter(|_| circuit.heat_after.is_none())?;
    visit.instrument(&heat.with)?.serial.as_deref()
}

pub(super) fn judge(visit: &Visit, rules: &Rules, notes: &mut Notes) {
    for instrument in visit.instruments.iter().filter(|i| used(visit, i)) {
        if let Some(due) = instrument.calibration_due.filter(|due| *due < visit.date) {
            // A thermometer's error is bounded by its accuracy; a torque is only as good as its
            // tool.
            let rule = match instrument.kind {
                InstrumentKind::TorqueScrewdriver | InstrumentKind::TorqueWrench => {
                    &rules.torque.tool_overdue
                }
                _ => &rules.thermal.calibration_overdue,
            };
            notes.checks.push(CheckResult {
                source: rule.source.clone(),
                values: [
                    (ValueName::Instrument, Value::Text(instrument.id.clone())),
                    (ValueName::Due, Value::Date(due)),
                ]
                .into(),
                ..CheckResult::new(CheckId::CalibrationOverdue, rule.value)
            });
        }
        for (stated, id) in [
            (instrument.serial.is_some(), LimitationId::SerialNotTold),
            (
                instrument.calibration_due.is_some(),
                LimitationId::CalibrationNotTold,
            ),
        ] {
            if !stated {
                notes.limitations.push(about(instrument, id));
            }
        }
        // A percentage of the reading alone would make a thermometer perfect at 0 °C.
        let stated = instrument
            .accuracy
            .is_some_and(|a| matches!(a.at_least, Some(HalfWidth::Temperature(_))));
        if instrument.kind.thermometer() && !stated {
            notes
                .limitations
                .push(about(instrument, LimitationId::AccuracyAssumed));
        }
    }
}

/// A limitation about an instrument, which does not make the visit incomplete.
fn about(instrument: &Instrument, id: LimitationId) -> Limitation {
    Limitation {
        id,
        circuit: None,
        place: None,
        connections: Vec::new(),
        incomplete: false,
        values: [(ValueName::Instrument, Value::Text(instrument.id.clone()))].into(),
    }
}

/// Whether the instrument was used on the visit: named where it was used or, for kinds that no key
/// refers to, listed if there were rounds that needed it.
fn used(visit: &Visit, instrument: &Instrument) -> bool {
    let in_rounds = matches!(
        instrument.kind,
        InstrumentKind::AirThermometer | InstrumentKind::ClampMeter | InstrumentKind::Multimeter
    );
    visit.circuits.iter().any(|c| {
        (in_rounds && c.heat.as_ref().is_some_and(|h| !h.rounds.is_empty()))
            || [&c.heat, &c.heat_after]
                .into_iter()
                .flatten()
                .any(|h| h.with == instrument.id)
            || c.repairs
                .iter()
                .any(|r| r.with.as_ref() == Some(&instrument.id))
            || c.torque
                .iter()
                .any(|t| t.with.as_ref() == Some(&instrument.id))
            || c.isolation
                .iter()
                .any(|i| i.tester.as_ref() == Some(&instrument.id))
    })
}
