//! Hints about what a circuit's distribution of heat resembles, with the differences each is based
//! on. A hint suggests where to look first after opening the cover; it is never a verdict, and the
//! underlying values are graded elsewhere.

use super::legs;
use super::places;
use super::rated::loaded_rounds;
use super::without_load;
use crate::assess::assessment::{CheckResult, ConnectionAssessment, RoundValue, Value};
use crate::assess::notes::Notes;
use crate::assess::physics::pattern::{self, Kind, Seen, Side, Worth};
use crate::quantity::TemperatureDifference;
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, Grade, Surface};
use crate::vocabulary::{CheckId, ValueName};

pub(crate) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    // If the legs carry unlike currents, the pattern of heat shows only that.
    let heat = circuit.heat.iter().flat_map(|h| &h.rounds);
    if heat
        .clone()
        .any(|r| r.legs.iter().any(|(_, i)| *i != r.current))
    {
        return;
    }
    let Some(round) = round(circuit, connections, rules) else {
        return;
    };
    let k = rules.thermal.coverage_factor.value;
    let carrying = places::carrying(circuit);
    let place_of = circuit
        .places
        .iter()
        .enumerate()
        .flat_map(|(i, p)| p.connections.iter().map(move |_| i));
    // Legs by number: first those of the supply, then any other that is named.
    let mut legs: Vec<&str> = circuit.supply.legs.iter().map(String::as_str).collect();
    let mut seen = Vec::new();
    let mut whose = Vec::new();
    for (((_, described), found), place) in circuit.connections().zip(connections).zip(place_of) {
        let leg = legs.iter().position(|l| *l == described.leg);
        let leg = leg.unwrap_or_else(|| {
            legs.push(&described.leg);
            legs.len() - 1
        });
        let Some(read) = at(found, round) else {
            continue;
        };
        let Some(rise) = read.rise else {
            continue;
        };
        let before = without_load::before_charging(&found.rounds).map(|(_, rise)| rise);
        let u = rise.expanded.kelvin() / k;
        let own = read.errors().own;
        let common_k = ((u - own) * (u + own)).max(0.0).sqrt();
        let (rise_k, u_k) = without_load::less(found.without_load, rise.value.kelvin(), u, k);
        seen.push(Seen {
            place,
            leg,
            carries: carrying.contains(&described.leg.as_str()),
            side: side(described),
            rise_k,
            kept_k: found.without_load.map_or(0.0, |e| e.value.kelvin()),
            u_k,
            common_k,
            growth: found.growth.map_or(1.0, |g| g.factor),
            no_load: before.map(|e| (e.value.kelvin(), e.expanded.kelvin() / k)),
        });
        whose.push(found);
    }
    for hint in pattern::patterns(&seen, &worth(rules)) {
        notes
            .checks
            .extend(finding(circuit, &hint, &whose, &legs, rules));
    }
}

/// The least difference or rise that is worth a hint: the limits of the bands.
fn worth(rules: &Rules) -> Worth {
    let edges = &rules.thermal.leg_difference.edges;
    let first = |least: Grade| edges.iter().find(|e| e.grade >= least);
    Worth {
        difference_k: first(Grade::Watch)
            .or_else(|| first(Grade::Note))
            .map_or(f64::INFINITY, |e| e.at),
        rise_k: rules
            .thermal
            .rise
            .first_edge()
            .map_or(f64::INFINITY, |e| e.at),
    }
}

/// The last round at full load, otherwise the last with enough load, in which two connections were
/// read.
fn round(circuit: &Circuit, connections: &[ConnectionAssessment], rules: &Rules) -> Option<usize> {
    let judged = loaded_rounds(circuit);
    let full = judged
        .iter()
        .rev()
        .filter(|r| legs::is_full(circuit, **r, rules));
    full.chain(judged.iter().rev()).copied().find(|&r| {
        connections
            .iter()
            .filter(|c| at(c, r).is_some_and(|v| v.rise.is_some()))
            .nth(1)
            .is_some()
    })
}

/// A connection's trusted reading in a round.
fn at(connection: &ConnectionAssessment, round: usize) -> Option<&RoundValue> {
    let i = connection
        .rounds
        .binary_search_by_key(&round, |r| r.round)
        .ok()?;
    Some(&connection.rounds[i]).filter(|r| r.trusted)
}

/// The part of a connection that was aimed at, derived from its kind and surface.
fn side(connection: &Connection) -> Side {
    match (connection.kind, connection.surface) {
        (ConnectionKind::BusStab, _) | (_, Some(Surface::Plastic)) => Side::Device,
        (_, Some(Surface::Insulation)) => Side::Conductor,
        _ => Side::Joint,
    }
}

const fn id(kind: Kind) -> CheckId {
    match kind {
        Kind::OneLegHot => CheckId::PatternOneLegHot,
        Kind::SameLegEverywhere => CheckId::PatternSameLegEverywhere,
        Kind::LegsHotAlike => CheckId::PatternLegsHotAlike,
        Kind::PlaceHotAlike => CheckId::PatternPlaceHotAlike,
        Kind::JointHottest => CheckId::PatternJointHottest,
        Kind::DeviceHotter => CheckId::PatternDeviceHotter,
        Kind::ConductorHotter => CheckId::PatternConductorHotter,
        Kind::AirHot => CheckId::PatternAirHot,
    }
}

/// A hint, with its strongest evidence as the value.
fn finding(
    circuit: &Circuit,
    hint: &pattern::Pattern,
    whose: &[&ConnectionAssessment],
    legs: &[&str],
    rules: &Rules,
) -> Option<CheckResult> {
    let strongest = hint
        .evidence
        .iter()
        .max_by(|a, b| a.difference_k.total_cmp(&b.difference_k))?;
    // The strongest first, then the others in circuit order.
    let mut all: Vec<usize> = hint
        .evidence
        .iter()
        .flat_map(|e| [Some(e.hot), e.against])
        .flatten()
        .collect();
    all.sort_unstable();
    all.dedup();
    all.sort_by_key(|i| *i != strongest.hot);
    let mut values = crate::assess::assessment::Values::from([(
        ValueName::Evidence,
        Value::Count(hint.evidence.len()),
    )]);
    if let Some(against) = strongest.against {
        values.insert(ValueName::Against, Value::Text(whose[against].id.clone()));
    }
    values.insert(
        ValueName::Difference,
        Value::Difference(TemperatureDifference::from_kelvin(strongest.difference_k)),
    );
    if let Some(leg) = hint.leg.and_then(|l| legs.get(l)) {
        values.insert(ValueName::HotLeg, Value::Text((*leg).to_owned()));
    }
    let rule = &rules.thermal.pattern;
    Some(CheckResult {
        circuit: Some(circuit.id.clone()),
        place: hint
            .place
            .and_then(|p| circuit.places.get(p))
            .map(|p| p.id.clone()),
        connections: all.iter().map(|i| whose[*i].id.clone()).collect(),
        value: Some(strongest.difference_k),
        unit: "K",
        uncertainty: Some(rules.thermal.coverage_factor.value * strongest.standard_k),
        source: rule.source.clone(),
        values,
        ..CheckResult::new(id(hint.kind), rule.value)
    })
}
