//! All checks of one circuit.

use super::aluminium;
use super::conductor;
use super::continuous;
use super::derating;
use super::disconnect;
use super::electrode;
use super::ground_fault;
use super::grounding;
use super::individual;
use super::loss;
use super::managed;
use super::outdoors;
use super::parallel;
use super::pen;
use super::poles;
use super::protection;
use super::receptacle;
use super::residual;
use super::splices;
use super::supply;
use super::voltage_drop;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::Circuit;

/// All checks of one circuit, in reading order: the load, its breaker, the conductors, the run, the
/// connection of the charger.
pub fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let mut checks = vec![supply::power(circuit)];
    checks.extend(continuous::device(circuit, rules));
    checks.extend(continuous::standard_rating(circuit, rules));
    checks.extend(poles::check(circuit, rules));
    checks.extend(derating::check(circuit, rules));
    checks.extend(managed::checks(circuit, rules));
    checks.extend(conductor::checks(circuit, rules));
    checks.extend(protection::small_conductor(circuit, rules));
    checks.extend(parallel::check(circuit, rules));
    checks.extend(grounding::check(circuit, rules));
    checks.extend(conductor::feeder(circuit, rules));
    checks.extend(voltage_drop::checks(circuit, rules));
    checks.extend(loss::yearly(circuit, rules));
    checks.extend(aluminium::check(circuit, rules));
    checks.extend(splices::check(circuit, rules));
    checks.extend(receptacle::checks(circuit, rules));
    checks.extend(ground_fault::check(circuit, rules));
    checks.extend(individual::check(circuit, rules));
    checks.extend(residual::checks(circuit, rules));
    checks.extend(electrode::check(circuit, rules));
    checks.extend(pen::check(circuit, rules));
    checks.extend(outdoors::check(circuit, rules));
    checks.extend(disconnect::check(circuit, rules));
    checks
}
