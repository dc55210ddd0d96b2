//! The circuit: what it is made of, and the checks of it against the rule set.

use super::document::{Align, Block, Column, Columns, Row, Signal, Table, Text, lines};
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::sources::Sources;
use super::speaker::Speaker;
use crate::assess::{Check, parts};
use crate::rules::Checked;
use crate::visit::{
    Circuit, Conductors, Earthing, GroundFault, Material, Part, Place, ReceptacleGrade,
    ResidualCurrentDevice,
};

pub(super) fn section(speaker: &Speaker<'_>, sources: &Sources<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::CIRCUIT_HEADING).to_owned(),
        anchor: Some("circuit".to_owned()),
    });
    let circuits = &speaker.visit.circuits;
    let titles: Vec<&str> = circuits.iter().map(Circuit::title).collect();
    // Values that several circuits share are printed once.
    let mut shared = Alike::default();
    for circuit in circuits {
        for (name, value) in facts(speaker, circuit) {
            shared.add(name, value, circuit.title());
        }
    }
    let between = words.word(&keys::BAND_BETWEEN);
    let facts = shared.all.into_iter().map(|(name, values)| {
        let values = values.into_iter().map(|(value, of)| {
            let place = (of.len() < circuits.len()).then(|| words.list(&of));
            place.map_or(value.clone(), |place| format!("{value} ({place})"))
        });
        (name, Text::plain(values.collect::<Vec<_>>().join(between)))
    });
    body.push(Block::Columns(Columns::Flowing(2)));
    body.push(Block::Facts(facts.collect()));
    let assessed = speaker.assessment.circuits.iter();
    let checked: Vec<(&str, &Check)> = assessed
        .flat_map(|assessed| {
            let circuit = circuits.iter().find(|c| c.id == assessed.id);
            let title = circuit.map_or(assessed.id.as_str(), |c| c.title());
            assessed.checks.iter().map(move |check| (title, check))
        })
        .collect();
    if !checked.is_empty() {
        let mut table = table(speaker, sources, &checked);
        table.caption = words.say(&keys::CHECKS_CAPTION, &[("circuit", &words.list(&titles))]);
        // With several circuits, the names of those with different values need the whole width.
        if circuits.len() > 1 {
            body.push(Block::Columns(Columns::One));
        }
        body.push(Block::Table(table));
        if checked
            .iter()
            .any(|(_, c)| c.checked == Checked::FromMemory)
        {
            body.push(Block::Small(Text::plain(
                words.word(&keys::CHECKS_FROM_MEMORY),
            )));
        }
    }
    body.push(Block::Columns(Columns::One));
}

/// Values, each with the circuits that have it.
type Values<'t, V> = Vec<(V, Vec<&'t str>)>;

/// Values by name, and by value the circuits that have it.
#[derive(Default)]
struct Alike<'t, V> {
    all: Vec<(String, Values<'t, V>)>,
}

impl<'t, V: PartialEq> Alike<'t, V> {
    fn add(&mut self, name: String, value: V, circuit: &'t str) {
        let at = self.all.iter().position(|(other, _)| *other == name);
        let values = match at.and_then(|at| self.all.get_mut(at)) {
            Some((_, values)) => values,
            None => {
                self.all.push((name, vec![(value, vec![circuit])]));
                return;
            }
        };
        match values.iter_mut().find(|(other, _)| *other == value) {
            Some((_, circuits)) => circuits.push(circuit),
            None => values.push((value, vec![circuit])),
        }
    }
}

/// One line that identifies a circuit: name and charger.
pub(super) fn identity(speaker: &Speaker<'_>, circuit: &Circuit) -> String {
    speaker.wording.say(
        &keys::CIRCUIT_IDENTITY,
        &[
            ("circuit", circuit.title()),
            ("charger", &charger(speaker, circuit)),
        ],
    )
}

/// The device that a place belongs to: its name and what is known of it.
pub(super) fn device(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    place: &Place,
) -> Option<(String, String)> {
    let key = match parts::of(place)? {
        Part::Breaker | Part::Busbar => &keys::FACT_BREAKER,
        Part::Charger => &keys::FACT_CHARGER,
        Part::Receptacle | Part::Plug => &keys::FACT_RECEPTACLE,
        _ => return None,
    };
    let name = speaker.wording.word(key);
    let mut facts = facts(speaker, circuit).into_iter();
    facts.find(|(other, _)| other == name)
}

fn joined(parts: &[Option<&str>]) -> String {
    parts
        .iter()
        .flatten()
        .copied()
        .collect::<Vec<_>>()
        .join(" ")
}

fn charger(speaker: &Speaker<'_>, circuit: &Circuit) -> String {
    let c = &circuit.charger;
    let current = speaker.numbers.current(c.rated_current);
    let make = joined(&[c.make.as_deref(), c.model.as_deref()]);
    if make.is_empty() {
        speaker
            .wording
            .say(&keys::CHARGER_UNNAMED, &[("current", &current)])
    } else {
        speaker.wording.say(
            &keys::CHARGER_NAMED,
            &[("make", &make), ("current", &current)],
        )
    }
}

/// Legs and voltage.
pub(super) fn supply(speaker: &Speaker<'_>, circuit: &Circuit) -> String {
    let s = &circuit.supply;
    speaker.wording.say(
        if s.phases == 3 {
            &keys::SUPPLY_THREE_PHASE
        } else {
            &keys::SUPPLY_SINGLE_PHASE
        },
        &[
            ("voltage", &speaker.numbers.voltage(s.voltage)),
            ("legs", &s.legs.join(", ")),
        ],
    )
}

/// Size, metal and length of the run.
pub(super) fn run(speaker: &Speaker<'_>, circuit: &Circuit) -> String {
    let c = &circuit.conductors;
    let size = speaker.numbers.size(c.size);
    let metal = speaker.wording.word(material(c.material));
    match c.length {
        Some(length) => speaker.wording.say(
            &keys::RUN_WITH_LENGTH,
            &[
                ("size", &size),
                ("material", metal),
                ("length", &speaker.numbers.length(length)),
            ],
        ),
        None => speaker
            .wording
            .say(&keys::RUN, &[("size", &size), ("material", metal)]),
    }
}

fn facts(speaker: &Speaker<'_>, circuit: &Circuit) -> Vec<(String, String)> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let mut facts: Vec<(&Key, String)> = Vec::new();

    let connection = words.name(circuit.charger.connection);
    facts.push((
        &keys::FACT_CHARGER,
        format!("{}, {connection}", charger(speaker, circuit)),
    ));
    if let Some(serial) = &circuit.charger.serial {
        facts.push((&keys::FACT_CHARGER_SERIAL, serial.clone()));
    }
    if let Some(setting) = circuit.charger.current_setting {
        facts.push((&keys::FACT_CURRENT_SETTING, n.current(setting)));
    }
    if let Some(managed) = circuit.load_management {
        facts.push((&keys::FACT_LOAD_MANAGEMENT, n.current(managed.limit)));
    }
    facts.push((&keys::FACT_SUPPLY, supply(speaker, circuit)));
    if let Some(earthing) = circuit.supply.earthing {
        let name = match earthing {
            Earthing::Tn => "TN",
            Earthing::Tt => "TT",
        };
        facts.push((&keys::FACT_EARTHING, name.to_owned()));
    }

    if let Some(resistance) = circuit.supply.earth_resistance {
        facts.push((
            &keys::FACT_EARTH_ELECTRODE,
            n.quantity(resistance.ohm(), "Ω"),
        ));
    }

    let mut breaker = n.current(circuit.breaker.rating);
    if let Some(kind) = circuit.breaker.kind {
        let kind = words.name(kind);
        breaker = format!("{breaker}, {kind}");
    }
    if let Some(poles) = circuit.breaker.poles {
        breaker = format!(
            "{breaker}, {}",
            words.count(&keys::BREAKER_POLES, usize::from(poles), &[])
        );
    }
    if let Some(rating) = circuit.breaker.terminal_rating {
        breaker = format!(
            "{breaker}, {}",
            words.say(
                &keys::BREAKER_TERMINALS,
                &[("temperature", &n.temperature(rating))]
            )
        );
    }
    if circuit.breaker.full_rated {
        breaker = format!("{breaker}, {}", words.word(&keys::BREAKER_FULL_RATED));
    }
    facts.push((&keys::FACT_BREAKER, breaker));
    // Of the two kinds of protection of people, the one that the rule set requires is printed even
    // if the visit does not give it.
    let asked = &speaker.rules.circuit.checks;
    let ground_fault = circuit.breaker.ground_fault;
    if ground_fault != GroundFault::Unknown || asked.ground_fault.is_some() {
        facts.push((
            &keys::FACT_GROUND_FAULT,
            words
                .word(match ground_fault {
                    GroundFault::None => &keys::GROUND_FAULT_NONE,
                    GroundFault::Gfci => &keys::GROUND_FAULT_GFCI,
                    GroundFault::Gfpe => &keys::GROUND_FAULT_GFPE,
                    GroundFault::Unknown => &keys::NOT_RECORDED,
                })
                .to_owned(),
        ));
    }
    match &circuit.rcd {
        Some(rcd) => facts.push((&keys::FACT_RCD, residual_current_device(speaker, rcd))),
        None if asked.residual_current.is_some() => {
            facts.push((&keys::FACT_RCD, words.word(&keys::NOT_RECORDED).to_owned()));
        }
        None => {}
    }
    facts.push((
        &keys::FACT_CONDUCTORS,
        conductors(speaker, &circuit.conductors),
    ));
    if let Some(feeder) = &circuit.feeder {
        facts.push((&keys::FACT_FEEDER, conductors(speaker, feeder)));
    }
    if let Some(receptacle) = &circuit.receptacle {
        let grade = receptacle.grade.map(|g| {
            words.word(match g {
                ReceptacleGrade::Residential => &keys::RECEPTACLE_RESIDENTIAL,
                ReceptacleGrade::Industrial => &keys::RECEPTACLE_INDUSTRIAL,
                ReceptacleGrade::EvListed => &keys::RECEPTACLE_EV,
            })
        });
        facts.push((
            &keys::FACT_RECEPTACLE,
            [Some(receptacle.configuration.as_str()), grade]
                .iter()
                .flatten()
                .copied()
                .collect::<Vec<_>>()
                .join(", "),
        ));
    }
    if let Some(air) = circuit.hottest_air {
        facts.push((&keys::FACT_HOTTEST_AIR, n.temperature(air)));
    }
    facts
        .into_iter()
        .map(|(key, text)| (words.word(key).to_owned(), text))
        .collect()
}

fn residual_current_device(speaker: &Speaker<'_>, rcd: &ResidualCurrentDevice) -> String {
    let words = speaker.wording;
    let kind = words.name(rcd.kind);
    let mut parts = vec![kind.to_owned()];
    parts.extend(rcd.rating.map(|r| speaker.numbers.current(r)));
    parts.extend(rcd.dc_detection.map(|detected| {
        let key = if detected {
            &keys::RCD_DC_DETECTION
        } else {
            &keys::RCD_NO_DC_DETECTION
        };
        words.word(key).to_owned()
    }));
    parts.extend(rcd.trip_time.map(|t| {
        let time = speaker.numbers.duration(t);
        words.say(&keys::RCD_TRIPPED, &[("time", &time)])
    }));
    parts.join(", ")
}

fn conductors(speaker: &Speaker<'_>, c: &Conductors) -> String {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let mut parts = vec![
        words.say(
            &keys::RUN,
            &[
                ("size", &n.size(c.size)),
                ("material", words.word(material(c.material))),
            ],
        ),
        words.say(
            &keys::CONDUCTORS_INSULATION,
            &[("temperature", &n.temperature(c.insulation))],
        ),
    ];
    if let Some(wiring) = c.wiring {
        parts.push(words.name(wiring).to_owned());
    }
    if let Some(length) = c.length {
        parts.push(n.length(length));
    }
    if let Some(count) = c.current_carrying {
        parts.push(words.count(&keys::CONDUCTORS_CARRYING, usize::from(count), &[]));
    }
    if let Some(method) = &c.method {
        parts.push(words.say(&keys::CONDUCTORS_METHOD, &[("method", method)]));
    }
    if let Some(count) = c.circuits_together {
        parts.push(words.count(&keys::CONDUCTORS_TOGETHER, usize::from(count), &[]));
    }
    parts.join(", ")
}

const fn material(material: Material) -> &'static Key {
    match material {
        Material::Copper => &keys::MATERIAL_COPPER,
        Material::Aluminium => &keys::MATERIAL_ALUMINIUM,
        Material::CopperCladAluminium => &keys::MATERIAL_COPPER_CLAD,
    }
}

/// Checks of circuits without a caption. A check with the same result in all circuits is one row;
/// otherwise each row names its circuits.
fn table(speaker: &Speaker<'_>, sources: &Sources<'_>, checks: &[(&str, &Check)]) -> Table {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let column = |key: &Key, share| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    };
    let cells = checks.iter().map(|(circuit, check)| {
        let (value, limit) = match (check.value, check.limit) {
            (Some(v), Some(l)) => {
                let (v, l) = n.against(v, l, check.unit);
                (Some(v), Some(l))
            }
            (v, l) => (
                v.map(|v| n.quantity(v, check.unit)),
                l.map(|l| n.quantity(l, check.unit)),
            ),
        };
        let result = match check.holds {
            Some(true) if check.rule.informs() => Text::plain(words.word(&keys::CHECK_INFORMS)),
            // A result based on a figure that was not compared with the standard is not marked
            // green.
            Some(true) if check.checked == Checked::FromMemory => {
                Text::plain(words.word(&keys::CHECK_HOLDS_UNCONFIRMED))
            }
            Some(true) => Text::marked(Signal::Good, words.word(&keys::CHECK_HOLDS)),
            Some(false) => Text::marked(
                super::connections::signal(check.grade),
                words.word(&keys::CHECK_FAILS),
            ),
            None => Text::marked(Signal::Unknown, words.word(&keys::CHECK_UNKNOWN)),
        };
        // If the check passes, the result itself says that the figure is not confirmed.
        let says_so = check.holds == Some(true) && !check.rule.informs();
        let source = sources.mark(&check.source).map(|mark| match check.checked {
            Checked::FromMemory if !says_so => {
                words.say(&keys::SOURCE_FROM_MEMORY, &[("source", &mark)])
            }
            _ => mark,
        });
        let cell = |text: Option<String>| Text::plain(text.unwrap_or_else(|| NOT_TOLD.to_owned()));
        let cells = [cell(value), cell(limit), result];
        // Beside the name: a column of its own would leave the names too little room.
        let name = speaker.name(check.rule);
        let name = source.map_or(name.to_owned(), |mark| format!("{name} {mark}"));
        (name, cells, *circuit)
    });
    let mut shared = Alike::default();
    for (name, cells, circuit) in cells {
        shared.add(name, cells, circuit);
    }
    let all = speaker.visit.circuits.len();
    let mut rows = Vec::new();
    for (name, values) in shared.all {
        for (cells, circuits) in values {
            let mut name = Text::plain(&name);
            if circuits.len() < all {
                name = lines(vec![name, Text::plain(words.list(&circuits))]);
            }
            rows.push(Row {
                cells: std::iter::once(name).chain(cells).collect(),
                group: false,
            });
        }
    }
    Table {
        caption: String::new(),
        columns: vec![
            column(&keys::COLUMN_CHECK, 2.0),
            column(&keys::COLUMN_FOUND, 0.0),
            column(&keys::COLUMN_LIMIT, 0.0),
            column(&keys::COLUMN_RESULT, 0.9),
        ],
        rows,
        row_heads: true,
    }
}
