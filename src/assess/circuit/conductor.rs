//! The ampacity of the run before and after correction, in the column allowed by terminals, wiring
//! method and insulation, and whether the overcurrent device protects the run.

use super::ampacity::{Found, Heating, LimitedBy, ambient};
use super::continuous;
use super::methods;
use super::parallel;
use super::protection;
use super::ruling::{agreed, at_least, ruled, with};
use super::supply;
use crate::assess::assessment::{Check, Value};
use crate::quantity::{Current, Temperature};
use crate::rules::Rules;
use crate::rules::circuit_limits::{Ampacity, AmpacityColumns, Basis, Grouping, WiringLimit};
use crate::visit::{Circuit, Conductors, OvercurrentDevice, Wiring};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// How the conductors of a run warm up; for tables by temperature rating, the 75 °C column if there
/// is one, otherwise the hottest.
pub(super) fn heating(
    conductors: &Conductors,
    circuit: &Circuit,
    rules: &Rules,
) -> Option<Heating> {
    match rules.circuit.ampacity.as_ref()? {
        Ampacity::Columns(table) => {
            let column = table.column(Temperature::from_celsius(75.0))?;
            Some(Heating {
                ampacity: parallel::count(conductors)
                    * table.get(conductors.material, conductors.size, column)?,
                rise: table.columns[column] - table.ambient,
                surroundings: conductors
                    .ambient
                    .unwrap_or_else(|| ambient(circuit, rules)),
            })
        }
        Ampacity::Methods(table) => methods::heating(conductors, circuit, rules, table),
    }
}

/// All possible cases, the least favourable first, and what the visit would have to specify to
/// leave only one.
struct Cases {
    found: Vec<Found>,
    missing: Vec<MissingKey>,
}

/// `conductor-continuous`, `conductor-ampacity`, `conductor-protection` and
/// `overload-protection`.
///
/// Values of all of them: `method` (if the rule set has reference methods), `size`, `before`,
/// `after`, `column`, `column_by` (`insulation`, `terminals` or `wiring`), `from_column`, `from`,
/// `ambient`, `ambient_factor`, `grouping` (count), `grouping_factor`; in addition `load`, `factor`
/// and `needed`, or `rating` and `allowed`.
pub(super) fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let checks = &rules.circuit.checks;
    let cases = cases(circuit, rules);
    let mut out = Vec::new();
    if let Some(rule) = &checks.conductor_continuous {
        let (factor, needed) = continuous::needed(circuit, rule);
        let check = decide(
            CheckId::ConductorContinuous,
            &rule.basis,
            &cases,
            |f| f.before,
            |f| at_least(f.before, needed),
        );
        let check = describe(check, circuit, rules, &cases);
        let check = Check {
            limit: Some(needed),
            ..check
        };
        let check = with(
            check,
            ValueName::Load,
            Value::Current(circuit.charger.load()),
        );
        let check = with(check, ValueName::Factor, Value::Number(factor));
        let needed = Value::Current(Current::from_ampere(needed));
        out.push(with(check, ValueName::Needed, needed));
    }
    if let Some(basis) = checks.graded.get(&CheckId::ConductorAmpacity) {
        let load = circuit.charger.load().ampere();
        let check = decide(
            CheckId::ConductorAmpacity,
            basis,
            &cases,
            |f| f.after,
            |f| at_least(f.after, load),
        );
        let check = describe(check, circuit, rules, &cases);
        let check = Check {
            limit: Some(load),
            ..check
        };
        let load = Value::Current(circuit.charger.load());
        out.push(with(check, ValueName::Load, load));
    }
    if let Some(rule) = &checks.conductor_protection {
        let rating = circuit.breaker.rating.ampere();
        let allowed = |f: &Found| protection::allowed(circuit, rules, rule, f.after);
        let mut check = decide(
            CheckId::ConductorProtection,
            &rule.basis,
            &cases,
            |_| rating,
            |f| at_least(allowed(f).0, rating),
        );
        if let Some(worst) = cases.found.first() {
            let (largest, if_alone) = allowed(worst);
            check.limit = Some(largest);
            let largest = Value::Current(Current::from_ampere(largest));
            check = with(check, ValueName::Allowed, largest);
            // Whether the next size up is allowed depends on something that the visit does not
            // state.
            if check.holds != Some(true) && if_alone.is_some_and(|a| at_least(a, rating)) {
                check.holds = None;
                check.missing.push(MissingKey::Dedicated);
            }
        }
        let check = describe(check, circuit, rules, &cases);
        let rating = Value::Current(circuit.breaker.rating);
        out.push(with(check, ValueName::Rating, rating));
    }
    out.extend(overload(circuit, rules, &cases));
    out
}

/// Whether the conductors have sufficient ampacity for load and device; `None` if the visit does
/// not give enough to decide.
pub(super) fn sufficient(circuit: &Circuit, rules: &Rules) -> Option<bool> {
    let mut all = checks(circuit, rules);
    all.extend(protection::small_conductor(circuit, rules));
    if all.iter().any(|check| check.holds == Some(false)) {
        return Some(false);
    }
    all.iter()
        .all(|check| check.holds == Some(true))
        .then_some(true)
}

/// `feeder-protection` and `feeder-ampacity`, if the visit states the overcurrent device and the
/// load of the feeder: as for the run, with the feeder's own conductors and terminals.
pub(super) fn feeder(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let Some(feeder) = &circuit.feeder else {
        return Vec::new();
    };
    let mut run = circuit.clone();
    run.conductors = feeder.clone();
    run.breaker.terminal_rating = feeder.terminal_rating;
    if let Some(rating) = feeder.protected_by {
        run.breaker.rating = rating;
    }
    // The terminals of the branch circuit say nothing about those of the feeder.
    run.places = Vec::new();
    // A feeder is assumed to run by itself unless the visit says otherwise.
    let alone = supply::loaded_conductors(circuit);
    run.conductors.current_carrying.get_or_insert(alone);
    run.conductors.circuits_together.get_or_insert(1);
    let cases = cases(&run, rules);
    let mut out = Vec::new();
    let checks = &rules.circuit.checks;
    if let (Some(rule), Some(rating)) = (&checks.feeder_protection, feeder.protected_by) {
        let allowed = |f: &Found| {
            let (largest, if_alone) = protection::allowed(&run, rules, rule, f.after);
            // A feeder supplies no receptacle directly.
            if_alone.unwrap_or(largest)
        };
        let amperes = rating.ampere();
        let mut check = decide(
            CheckId::FeederProtection,
            &rule.basis,
            &cases,
            |_| amperes,
            |f| at_least(allowed(f), amperes),
        );
        check.limit = cases.found.first().map(allowed);
        out.push(named_for_feeder(with(
            describe(check, &run, rules, &cases),
            ValueName::Rating,
            Value::Current(rating),
        )));
    }
    if let (Some(basis), Some(load)) = (checks.graded.get(&CheckId::FeederAmpacity), feeder.load)
        && feeder.protected_by.is_some()
    {
        let mut check = decide(
            CheckId::FeederAmpacity,
            basis,
            &cases,
            |f| f.after,
            |f| at_least(f.after, load.ampere()),
        );
        check.limit = Some(load.ampere());
        out.push(named_for_feeder(with(
            describe(check, &run, rules, &cases),
            ValueName::Load,
            Value::Current(load),
        )));
    }
    out
}

/// The keys of the feeder that a check needs and the visit does not give.
fn named_for_feeder(mut check: Check) -> Check {
    let missing = check.missing.iter().map(|key| match key {
        MissingKey::BreakerTerminalRating => MissingKey::FeederTerminalRating,
        MissingKey::ConductorsWiring => MissingKey::FeederWiring,
        MissingKey::ConductorsMethod => MissingKey::FeederMethod,
        _ => MissingKey::FeederSize,
    });
    let mut missing: Vec<MissingKey> = missing.collect();
    missing.dedup();
    check.missing = missing;
    check
}

/// Passes if the conventional tripping current I₂ is at most the factor times the ampacity. Values
/// in addition to those of [`checks`]: `rating`, `multiple` (I₂ over the rating), `factor`.
fn overload(circuit: &Circuit, rules: &Rules, cases: &Cases) -> Option<Check> {
    use OvercurrentDevice::{Fuse, Mcb, Mccb};
    let rule = rules.circuit.checks.overload_protection.as_ref()?;
    let rating = circuit.breaker.rating;
    let mut multiples: Vec<f64> = circuit
        .breaker
        .kind
        .map_or_else(|| vec![Fuse, Mcb, Mccb], |kind| vec![kind])
        .into_iter()
        .filter_map(|kind| rule.multiple(kind, rating))
        .collect();
    multiples.sort_by(|a, b| b.total_cmp(a));
    let worst = *multiples.first()?;
    let mut check = ruled(CheckId::OverloadProtection, "A", &rule.basis);
    check.value = Some(worst * rating.ampere());
    check.limit = cases.found.first().map(|f| rule.factor * f.after);
    let holds = |f: &Found| {
        agreed(
            multiples
                .iter()
                .map(|m| at_least(rule.factor * f.after, m * rating.ampere())),
        )
    };
    check.holds = agreed(cases.found.iter().map(holds)).flatten();
    if check.holds.is_none() {
        check.missing.clone_from(&cases.missing);
        if cases.found.iter().any(|f| holds(f).is_none()) {
            check.missing.push(MissingKey::BreakerKind);
        }
    }
    let check = describe(check, circuit, rules, cases);
    let check = with(check, ValueName::Rating, Value::Current(rating));
    let check = with(check, ValueName::Multiple, Value::Number(worst));
    Some(with(check, ValueName::Factor, Value::Number(rule.factor)))
}

/// Decides a check over all cases; the value reported is the least favourable one.
fn decide(
    rule: CheckId,
    basis: &Basis,
    cases: &Cases,
    value: impl Fn(&Found) -> f64,
    holds: impl Fn(&Found) -> bool,
) -> Check {
    let mut check = ruled(rule, "A", basis);
    check.value = cases.found.first().map(&value);
    check.holds = agreed(cases.found.iter().map(holds));
    // If it fails in every case, the numbers of the least favourable case are reported.
    let several = agreed(cases.found.iter().map(&value)).is_none();
    if check.holds.is_none() || (check.holds == Some(false) && several) {
        check.missing.clone_from(&cases.missing);
    }
    check
}

fn describe(check: Check, circuit: &Circuit, rules: &Rules, cases: &Cases) -> Check {
    let Some(f) = cases.found.first() else {
        return check;
    };
    let ampere = |a| Value::Current(Current::from_ampere(a));
    let mut check = check;
    for case in &cases.found {
        check.checked = check.checked.with(case.checked);
    }
    if let (Some(method), Some(Ampacity::Methods(table))) = (f.method, &rules.circuit.ampacity)
        && let Some(name) = table.methods.get(method)
    {
        check
            .values
            .insert(ValueName::Method, Value::Text(name.clone()));
    }
    check.values.extend([
        (
            ValueName::Size,
            Value::Text(circuit.conductors.size.to_string()),
        ),
        (ValueName::Before, ampere(f.before)),
        (ValueName::After, ampere(f.after)),
        (ValueName::Column, Value::Temperature(f.column)),
        (
            ValueName::ColumnBy,
            Value::Text(f.limited_by.word().to_owned()),
        ),
        (ValueName::FromColumn, Value::Temperature(f.from_column)),
        (ValueName::From, ampere(f.from)),
        (ValueName::Ambient, Value::Temperature(f.ambient)),
        (ValueName::AmbientFactor, Value::Number(f.ambient_factor)),
        (
            ValueName::Grouping,
            Value::Count(usize::from(count(circuit, rules.circuit.grouping.as_ref()))),
        ),
        (ValueName::GroupingFactor, Value::Number(f.grouping_factor)),
    ]);
    check
}

/// What the rule counts: circuits grouped together, at least this one; or current-carrying
/// conductors grouped together, at least those of this circuit.
fn count(circuit: &Circuit, rule: Option<&Grouping>) -> u16 {
    if rule.is_some_and(methods::counts_circuits) {
        return circuit.conductors.circuits_together.unwrap_or(1);
    }
    let own = supply::loaded_conductors(circuit);
    circuit.conductors.current_carrying.unwrap_or(own).max(own)
}

fn cases(circuit: &Circuit, rules: &Rules) -> Cases {
    let mut cases = Cases {
        found: Vec::new(),
        missing: Vec::new(),
    };
    let Some(ampacity) = &rules.circuit.ampacity else {
        return cases;
    };
    let terminals = terminals(circuit, rules);
    if terminals.len() > 1 {
        cases.missing.push(MissingKey::BreakerTerminalRating);
    }
    match ampacity {
        Ampacity::Columns(table) => by_column(circuit, rules, table, &terminals, &mut cases),
        Ampacity::Methods(table) => {
            let terminals = if terminals.is_empty() {
                vec![circuit.conductors.insulation]
            } else {
                terminals
            };
            let possible = methods::possible(&circuit.conductors, table);
            if possible.len() > 1 {
                cases.missing.push(MissingKey::ConductorsMethod);
            }
            let mut open = false;
            for terminal in &terminals {
                for method in &possible {
                    let factors = groupings(circuit, methods::grouping(rules, table, *method));
                    open |= factors.len() > 1;
                    cases.found.extend(factors.iter().filter_map(|factor| {
                        methods::found(circuit, rules, table, *method, *terminal, *factor)
                    }));
                }
            }
            if open {
                cases.missing.push(MissingKey::ConductorsCircuitsTogether);
            }
        }
    }
    cases.found.sort_by(|a, b| {
        (a.after, a.before)
            .partial_cmp(&(b.after, b.before))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    if cases.found.is_empty() {
        cases.missing = vec![MissingKey::ConductorsSize, MissingKey::ConductorsInsulation];
        if matches!(ampacity, Ampacity::Methods(_)) {
            cases.missing.push(MissingKey::ConductorsMethod);
        }
    }
    cases
}

/// The cases of a table in columns of temperature ratings.
fn by_column(
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityColumns,
    terminals: &[Temperature],
    cases: &mut Cases,
) {
    let limits = wiring_limits(circuit, rules);
    if limits.len() > 1 {
        cases.missing.push(MissingKey::ConductorsWiring);
    }
    let groupings = groupings(circuit, rules.circuit.grouping.as_ref());
    if groupings.len() > 1 {
        cases.missing.push(MissingKey::ConductorsCurrentCarrying);
    }
    for terminal in terminals {
        for limit in &limits {
            for grouping in &groupings {
                cases
                    .found
                    .extend(found(circuit, rules, table, *terminal, *limit, *grouping));
            }
        }
    }
}

/// Possible ratings of the terminals: one if specified.
fn terminals(circuit: &Circuit, rules: &Rules) -> Vec<Temperature> {
    let told_elsewhere = circuit
        .connections()
        .filter(|(_, c)| !matches!(c.leg.as_str(), "G" | "PE"))
        .filter_map(|(_, c)| c.rating)
        .reduce(|a, b| if b < a { b } else { a });
    let lowest = |t: Temperature| match told_elsewhere {
        Some(other) if other < t => other,
        _ => t,
    };
    if let Some(stated) = circuit.breaker.terminal_rating {
        return vec![lowest(stated)];
    }
    let Some(rule) = &rules.circuit.terminations else {
        return told_elsewhere.into_iter().collect();
    };
    let large = rule.large.as_ref().filter(|large| {
        circuit.breaker.rating > large.above_rating
            || circuit.conductors.size.square_millimetres()
                > large.above_size.square_millimetres() * (1.0 + super::ruling::SLACK)
    });
    let mut possible: Vec<_> = match large {
        Some(large) => vec![lowest(large.rating)],
        None => rule.listed.iter().map(|t| lowest(*t)).collect(),
    };
    possible.dedup();
    possible
}

/// Limits that the wiring method can impose: one entry if it is specified.
fn wiring_limits<'r>(circuit: &Circuit, rules: &'r Rules) -> Vec<Option<&'r WiringLimit>> {
    let area = circuit.conductors.size.square_millimetres();
    let of = |wiring: Wiring| {
        rules.circuit.wiring_limits.iter().find(|l| {
            l.wiring == wiring
                && l.up_to
                    .is_none_or(|s| area <= s.square_millimetres() * (1.0 + super::ruling::SLACK))
        })
    };
    match circuit.conductors.wiring {
        Some(wiring) => vec![of(wiring)],
        None => std::iter::once(None)
            .chain(
                [Wiring::NmCable, Wiring::UfCable, Wiring::SeCable]
                    .into_iter()
                    .filter_map(of)
                    .map(Some),
            )
            .collect(),
    }
}

/// Possible adjustment factors of the bundle: one if the count is specified. A cable not described
/// as bundled counts only its own conductors; a conduit may contain other circuits.
fn groupings(circuit: &Circuit, rule: Option<&Grouping>) -> Vec<f64> {
    let Some(rule) = rule else {
        return vec![1.0];
    };
    let own = rule.factor(u32::from(count(circuit, Some(rule))));
    let count = if methods::counts_circuits(rule) {
        circuit.conductors.circuits_together
    } else {
        circuit.conductors.current_carrying
    };
    let alone = matches!(
        circuit.conductors.wiring,
        Some(Wiring::NmCable | Wiring::SeCable | Wiring::UfCable | Wiring::McCable | Wiring::Cable)
    );
    if alone || count.is_some() {
        vec![own]
    } else {
        vec![own, rule.beyond]
    }
}

fn found(
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityColumns,
    terminal: Temperature,
    limit: Option<&WiringLimit>,
    grouping_factor: f64,
) -> Option<Found> {
    let c = &circuit.conductors;
    let (mut column, mut limited_by) = (c.insulation, LimitedBy::Insulation);
    if terminal < column {
        (column, limited_by) = (terminal, LimitedBy::Terminals);
    }
    // The wiring method is named if it limits as much as the terminals: higher-rated terminals
    // would not help.
    if let Some(l) = limit.filter(|l| l.column <= column) {
        (column, limited_by) = (l.column, LimitedBy::Wiring);
    }
    let correction = match limit.and_then(|l| l.correction) {
        Some(t) if t < c.insulation => t,
        _ => c.insulation,
    };
    let column = table.column(column)?;
    let from_column = table.column(correction)?;
    let parallel = parallel::count(c);
    let before = parallel * table.get(c.material, c.size, column)?;
    let from = parallel * table.get(c.material, c.size, from_column)?;
    let ambient_factor = match &rules.circuit.ambient_correction {
        Some(t) => t.factor(ambient(circuit, rules), correction)?,
        None => 1.0,
    };
    Some(Found {
        before,
        after: (from * ambient_factor * grouping_factor).min(before),
        column: table.columns[column],
        limited_by,
        from_column: table.columns[from_column],
        from,
        ambient: ambient(circuit, rules),
        ambient_factor,
        grouping_factor,
        method: None,
        checked: table
            .provenance
            .checked
            .with(methods::factor_checked(
                rules
                    .circuit
                    .ambient_correction
                    .as_ref()
                    .map(|t| &t.provenance),
                ambient_factor,
            ))
            .with(methods::factor_checked(
                rules.circuit.grouping.as_ref().map(|g| &g.provenance),
                grouping_factor,
            )),
    })
}
