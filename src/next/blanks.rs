//! The values still to be recorded on site, as lines of a visit file: the keys in the order of the
//! work, without values.
//!
//! They are written as comments, because a key without a value is an error; if one is uncommented
//! and left empty, the reader reports it by name. Cautions between them have two comment signs, so
//! that they are still comments if all lines are uncommented at once.

use crate::assess::parts;
use crate::compose::worksheet::heat_first;
use crate::visit::{
    Circuit, Condition, ConnectionKind, Instrument, InstrumentKind, LeftState, Place, RepairDone,
    Visit,
};

/// Rounds of a complete measurement, as described in the file's comments.
pub const ROUNDS: [&str; 3] = [
    "no load, before charging begins",
    "full load, after about 15 minutes",
    "full load, after about an hour",
];

/// The first instrument of one of these kinds.
pub fn instrument<'a>(visit: &'a Visit, kinds: &[InstrumentKind]) -> Option<&'a Instrument> {
    visit.instruments.iter().find(|i| kinds.contains(&i.kind))
}

/// Instruments used to prove a circuit dead.
pub const TESTERS: [InstrumentKind; 2] =
    [InstrumentKind::VoltageTester, InstrumentKind::Multimeter];

/// Instruments that set or measure a torque.
pub const TORQUE_TOOLS: [InstrumentKind; 2] = [
    InstrumentKind::TorqueScrewdriver,
    InstrumentKind::TorqueWrench,
];

/// Instruments that measure a connection's temperature.
pub const THERMOMETERS: [InstrumentKind; 3] = [
    InstrumentKind::InfraredThermometer,
    InstrumentKind::ThermalImager,
    InstrumentKind::ContactThermometer,
];

/// Pairs of conductors between which a circuit is proved dead: each leg to each other leg, and each
/// to ground.
pub fn pairs(circuit: &Circuit) -> Vec<String> {
    let legs = &circuit.supply.legs;
    let earthed =
        circuit.supply.earthing.is_some() || circuit.connections().any(|(_, c)| c.leg == "PE");
    let ground = if earthed { "PE" } else { "G" };
    let mut pairs = Vec::new();
    for (i, a) in legs.iter().enumerate() {
        pairs.extend(legs[i + 1..].iter().map(|b| format!("{a}-{b}")));
    }
    pairs.extend(legs.iter().map(|a| format!("{a}-{ground}")));
    pairs
}

/// Whether a connection has a screw whose torque can be checked.
pub fn has_screw(kind: ConnectionKind) -> bool {
    matches!(kind, ConnectionKind::ScrewTerminal | ConnectionKind::Lug)
}

/// Lines for one circuit.
pub fn lines(visit: &Visit, circuit: &Circuit) -> Vec<String> {
    let mut out = vec![
        "Fill in on site, in this order: take the `# ` in front of the lines away and write the"
            .to_owned(),
        "values behind the colons.".to_owned(),
        String::new(),
        "isolation:                   # a live source, the circuit dead, the live source again"
            .to_owned(),
        format!("  tester:{}", id(visit, &TESTERS)),
        "  proved_before:".to_owned(),
        "  dead:".to_owned(),
    ];
    out.extend(pairs(circuit).iter().map(|pair| format!("    {pair}:")));
    out.push("  proved_after:".to_owned());
    out.push("  locked:                    # yes once locked and tagged".to_owned());

    out.push(format!(
        "looked_at:  # {}",
        Condition::ALL.map(Condition::word).join(" | ")
    ));
    for place in &circuit.places {
        out.push(format!("  - place: {}", place.id));
        out.push("    seen:".to_owned());
    }

    // The order of the worksheet.
    if heat_first(visit.reason) {
        heat(visit, circuit, &mut out);
        torque(visit, circuit, true, &mut out);
    } else {
        torque(visit, circuit, false, &mut out);
        heat(visit, circuit, &mut out);
    }
    out.extend(
        [
            "# After the last reading: switch off, lock and tag, prove dead again, then close the",
            "# covers.",
        ]
        .map(str::to_owned),
    );
    out.extend(if_need_be(visit, circuit));
    out
}

/// Keys that not every visit needs, with two comment signs.
fn if_need_be(visit: &Visit, circuit: &Circuit) -> Vec<String> {
    let carrying = |p: &&Place| p.connections.iter().any(|c| !parts::grounds(&c.leg));
    let place = circuit
        .places
        .iter()
        .rfind(carrying)
        .map_or("charger", |p| p.id.as_str());
    let connection = circuit
        .connections()
        .next()
        .map_or("breaker-L1", |(_, c)| c.id.as_str());
    let with =
        instrument(visit, &THERMOMETERS).map_or(String::new(), |i| format!(", with: {}", i.id));
    vec![
        "# If need be, without both `# ` and with your own values:".to_owned(),
        "# a second proof of isolation: a list, [ { when: before, … }, { when: after, … } ]"
            .to_owned(),
        format!("# not_read: [ {{ place: {place}, why: closed-while-charging }} ]"),
        format!(
            "# repairs:  # {}",
            RepairDone::ALL.map(RepairDone::word).join(" | ")
        ),
        format!(
            "#   - {{ connection: {connection}, done: remade, at: \"12:10\", cooled_to: 20 °C{with} }}"
        ),
        "# heat_after:  # as `heat:`, after the repair".to_owned(),
        format!(
            "# left_as: {{ state: off-and-locked, key: … }}  # {}",
            LeftState::ALL.map(LeftState::word).join(" | ")
        ),
    ]
}

/// The id of the first instrument of one of these kinds, after a space.
fn id(visit: &Visit, kinds: &[InstrumentKind]) -> String {
    instrument(visit, kinds)
        .map(|i| format!(" {}", i.id))
        .unwrap_or_default()
}

fn torque(visit: &Visit, circuit: &Circuit, after_heat: bool, out: &mut Vec<String>) {
    let tool = id(visit, &TORQUE_TOOLS);
    let screws: Vec<_> = circuit
        .connections()
        .filter(|(_, c)| has_screw(c.kind))
        .collect();
    if !screws.is_empty() {
        if after_heat {
            out.push(
                "# Switch off, lock, tag and prove dead again, and let the connections cool, before:".to_owned(),
            );
        }
        out.push(
            "torque:                      # cold and proved dead: held | moved | a value"
                .to_owned(),
        );
        for (_, connection) in screws {
            out.push(format!("  - connection: {}", connection.id));
            out.push("    found:".to_owned());
            out.push("    left:".to_owned());
            if !tool.is_empty() {
                out.push(format!("    with:{tool}"));
            }
            let when = if after_heat { "after" } else { "before" };
            out.push(format!(
                "    when: {when}  # before or after the temperatures"
            ));
        }
    }
}

fn heat(visit: &Visit, circuit: &Circuit, out: &mut Vec<String>) {
    out.extend(
        [
            "# Readings near live parts (temperatures, current, millivolts, air inside) are for qualified",
            "# persons with protective equipment only. Not dead, discolored or melted: do not energize.",
        ]
        .map(str::to_owned),
    );
    out.push("heat:".to_owned());
    out.push(format!("  with:{}", id(visit, &THERMOMETERS)));
    out.push("  charging_from:             # \"09:50\"".to_owned());
    out.push("  rounds:".to_owned());
    for (i, round) in ROUNDS.iter().enumerate() {
        out.push(format!("    - at:                     # {round}"));
        out.push("      air:".to_owned());
        out.push(if i == 0 {
            "      current: 0 A".to_owned()
        } else {
            "      current:".to_owned()
        });
        if i > 0 {
            out.push("      voltage:".to_owned());
        }
        out.push("      readings:".to_owned());
        out.extend(
            circuit
                .connections()
                // The grounding conductor carries no load.
                .filter(|(_, c)| !parts::grounds(&c.leg))
                .map(|(_, c)| format!("        {}:", c.id)),
        );
    }
}
