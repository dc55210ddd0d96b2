//! The first visit to a site, from the few facts that describe one circuit.

use super::fact::{FactError, current, name};
use super::needed_keys;
use super::{blanks, next_visit::SAFETY};
use crate::assess::{circuit, parts};
use crate::quantity::{ConductorSize, Percentage, Ratio, TemperatureDifference};
use crate::rules::{Rules, Starter};
use crate::visit::{
    Accuracy, Breaker, Charger, ChargerConnection, Circuit, Client, Comments, Conductors,
    Connection, ConnectionKind, Disconnector, GroundFault, HalfWidth, Inspector, Instrument,
    InstrumentKind, Material, Part, Place, Print, Reason, Role, Site, Supply, Surface, Visit,
};
use crate::vocabulary::{MissingKey, Word};
use chrono::NaiveDate;

/// The starter file; `{number}` and `{date}` are placeholders.
pub const STARTER: &str = include_str!("../../templates/visits/starter.yaml");

/// The facts about a circuit that nobody has inspected yet, each as it was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// Inspector's name.
    pub inspector: String,
    /// Client's name.
    pub client: String,
    /// Name of the site.
    pub site: String,
    /// Conductors that carry the load: 1 (line and neutral), 2 or 3.
    pub legs: String,
    /// Rated or configured current of the charger.
    pub rated: String,
    /// Rating of the breaker.
    pub breaker: String,
    /// Size and, if it is not copper, material of the conductors (`2 AWG aluminium`).
    pub conductor: String,
    /// Places where covers come off, in order from the supply, separated by commas.
    pub places: String,
    /// Answers to the keys that the checks of the circuit need, in the order in which they were
    /// given.
    pub needed: Vec<(MissingKey, String)>,
}

/// Placeholder names in a starter visit.
const INSPECTOR: &str = "Your Name";
const CLIENT: &str = "Client's Name";
const SITE: &str = "Name of the site";

impl Facts {
    /// Usual values under a rule set.
    pub fn usual(starter: &Starter) -> Self {
        Facts {
            inspector: INSPECTOR.into(),
            client: CLIENT.into(),
            site: SITE.into(),
            legs: starter.legs.clone(),
            rated: starter.rated.clone(),
            breaker: starter.breaker.clone(),
            conductor: starter.conductor.clone(),
            places: "breaker, charger".into(),
            needed: Vec::new(),
        }
    }

    /// The facts by name, in the order of the questions, without those in `needed`.
    pub fn named_mut(&mut self) -> [(&'static str, &mut String); 8] {
        [
            ("inspector", &mut self.inspector),
            ("client", &mut self.client),
            ("site", &mut self.site),
            ("legs", &mut self.legs),
            ("rated", &mut self.rated),
            ("breaker", &mut self.breaker),
            ("conductor", &mut self.conductor),
            ("places", &mut self.places),
        ]
    }

    /// Fills in the usual values of facts that were not answered.
    pub fn assume(&mut self, starter: &Starter) {
        for (key, usual) in needed_keys::assumed(starter, self.legs.trim()) {
            if self.needed.iter().all(|(answered, _)| *answered != key) {
                self.needed.insert(0, (key, usual));
            }
        }
    }
}

/// A placeholder name of the starter file that nobody has replaced, with its key.
pub fn untouched(visit: &Visit) -> Option<(&'static str, String)> {
    [
        ("inspector: name", &visit.inspector.name, INSPECTOR),
        ("client: name", &visit.client.name, CLIENT),
        ("site: name", &visit.site.name, SITE),
    ]
    .into_iter()
    .find(|(_, written, starter)| written.as_str() == *starter)
    .map(|(key, _, starter)| (key, starter.to_owned()))
}

/// Size and material of a conductor.
///
/// # Errors
/// The text is not a size, or not a material.
pub fn conductor(text: &str) -> Result<(ConductorSize, Material), FactError> {
    let text = text.trim();
    let split = text.rfind(char::is_whitespace).filter(|at| {
        let last = text[*at..].trim();
        last.chars().all(|c| c.is_alphabetic() || c == '-')
            && ConductorSize::parse(text, None).is_err()
    });
    let (size, material) = match split {
        Some(at) => (&text[..at], text[at..].trim()),
        None => (text, "copper"),
    };
    let material = match material.to_lowercase().as_str() {
        "copper" | "cu" => Material::Copper,
        "aluminium" | "aluminum" | "al" => Material::Aluminium,
        "copper-clad-aluminium" | "copper-clad-aluminum" | "cca" => Material::CopperCladAluminium,
        other => return Err(FactError::Material(other.to_owned())),
    };
    Ok((ConductorSize::parse(size, None)?, material))
}

/// Phases, legs and nominal voltage of a supply with this number of conductors that carry the load.
///
/// # Errors
/// The rule set has no such usual supply.
pub fn supply(text: &str, starter: &Starter) -> Result<Supply, FactError> {
    let text = text.trim();
    let found = starter.supplies.iter().find(|(name, _)| name == text);
    found.map(|(_, supply)| supply.clone()).ok_or_else(|| {
        let usual = starter.supplies.iter().map(|(name, supply)| {
            let (legs, volt) = (supply.legs.join(", "), supply.voltage.volt());
            format!("{name} for {legs} at {volt} V")
        });
        FactError::Legs {
            text: text.to_owned(),
            usual: usual.collect::<Vec<_>>().join("; "),
        }
    })
}

/// The comma-separated places: id and name.
///
/// # Errors
/// There is none, or one is listed twice.
pub fn places(text: &str) -> Result<Vec<(String, String)>, FactError> {
    let mut out: Vec<(String, String)> = Vec::new();
    for part in text.split(',').filter(|p| !p.trim().is_empty()) {
        let given = name(part)?;
        let id: String = given
            .to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join("-");
        if id.is_empty() {
            return Err(FactError::Empty);
        }
        if out.iter().any(|(known, _)| *known == id) {
            return Err(FactError::Twice(given));
        }
        let shown = match id.as_str() {
            "breaker" | "disconnect" | "charger" | "receptacle" => {
                format!("{} terminals", capital(&given))
            }
            _ => capital(&given),
        };
        out.push((id, shown));
    }
    if out.is_empty() {
        return Err(FactError::Empty);
    }
    Ok(out)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// A first visit to one circuit, without measurements.
///
/// # Errors
/// The name of the fact and what is wrong with it.
pub fn visit(
    facts: &Facts,
    rules: &str,
    starter: &Starter,
    number: &str,
    date: NaiveDate,
) -> Result<Visit, (&'static str, FactError)> {
    let of = |what: &'static str| move |e: FactError| (what, e);
    let supply = supply(&facts.legs, starter).map_err(of("legs"))?;
    let (size, material) = conductor(&facts.conductor).map_err(of("conductor"))?;
    let places = places(&facts.places).map_err(of("places"))?;
    let mut places = places;
    let plug = places.iter().any(|(id, _)| id.contains("receptacle"));
    if plug && !places.iter().any(|(id, _)| id.contains("plug")) {
        places.push(("plug".to_owned(), "Blades of the plug".to_owned()));
    }
    let poles = supply.legs.iter().filter(|l| *l != "N").count();
    let mut circuit = Circuit {
        id: "bay-1".to_owned(),
        name: None,
        charger: Charger {
            make: None,
            model: None,
            serial: None,
            rated_current: current(&facts.rated).map_err(of("rated"))?,
            connection: if plug {
                ChargerConnection::Receptacle
            } else {
                ChargerConnection::Hardwired
            },
            settings: Vec::new(),
            current_setting: None,
            setting_restricted: None,
        },
        breaker: Breaker {
            kind: None,
            rating: current(&facts.breaker).map_err(of("breaker"))?,
            poles: u8::try_from(poles).ok(),
            terminal_rating: None,
            ground_fault: GroundFault::Unknown,
            full_rated: false,
            ambient: None,
            side_by_side: None,
        },
        conductors: Conductors {
            protected_by: None,
            terminal_rating: None,
            grounding: None,
            parallel: None,
            material,
            size,
            insulation: starter.insulation,
            wiring: None,
            length: None,
            current_carrying: None,
            ambient: None,
            stranded: None,
            method: None,
            circuits_together: None,
            load: None,
        },
        feeder: None,
        receptacle: None,
        disconnect: None,
        dedicated: None,
        outdoors: None,
        load_management: None,
        rcd: None,
        hottest_air: Some(starter.hottest_air),
        places: places
            .into_iter()
            .map(|(id, name)| Place {
                connections: connections(&id, &supply),
                id,
                name,
                part: None,
                closed: false,
            })
            .collect(),
        supply: Supply {
            pen_protected: None,
            earth_resistance: None,
            earthing: None,
            ..supply
        },
        removed: Vec::new(),
        not_read: Vec::new(),
        isolation: Vec::new(),
        torque: Vec::new(),
        looked_at: Vec::new(),
        heat: None,
        repairs: Vec::new(),
        heat_after: None,
        left_as: None,
    };
    for (key, text) in &facts.needed {
        needed_keys::answer(&mut circuit, *key, text).map_err(of(key.word()))?;
    }
    if !plug {
        circuit.receptacle = None;
    }
    if circuit.disconnect.and_then(|d| d.kind) == Some(Disconnector::Switch)
        && parts::places(&circuit, Part::DisconnectLine)
            .next()
            .is_none()
    {
        sides_of_a_switch(&mut circuit);
    }
    Ok(Visit {
        number: number.to_owned(),
        date,
        reason: Reason::First,
        rules: rules.to_owned(),
        firm: None,
        edition: None,
        zone: None,
        replaces: None,
        print: Print {
            units: starter.units,
            paper: starter.paper,
            language: vec!["en".to_owned()],
            appendix: false,
        },
        inspector: Inspector {
            name: name(&facts.inspector).map_err(of("inspector"))?,
            licence: None,
            firm: None,
            address: None,
            phone: None,
            email: None,
            signature_image: None,
            logo: None,
            accent: None,
        },
        client: Client {
            name: name(&facts.client).map_err(of("client"))?,
            role: Role::Owner,
            address: None,
        },
        site: Site {
            name: name(&facts.site).map_err(of("site"))?,
            address: None,
        },
        instruments: instruments(),
        circuits: vec![circuit],
        photos: Vec::new(),
        earlier: Vec::new(),
        judgement: Vec::new(),
        remarks: None,
        cut_short: None,
    })
}

/// Lists the terminals of a switch that disconnects, after the overcurrent device.
fn sides_of_a_switch(circuit: &mut Circuit) {
    let sides = [
        (Part::DisconnectLine, "Line side of the disconnect"),
        (Part::DisconnectLoad, "Load side of the disconnect"),
    ];
    let at = 1.min(circuit.places.len());
    for (part, name) in sides.into_iter().rev() {
        let id = part.word().to_owned();
        let place = Place {
            connections: connections(&id, &circuit.supply),
            id,
            name: name.to_owned(),
            part: None,
            closed: false,
        };
        circuit.places.insert(at, place);
    }
}

/// The connections of a place: every leg, on both sides of a disconnect under one cover, and, at
/// the ends of the circuit, the grounding conductor.
fn connections(place: &str, supply: &Supply) -> Vec<Connection> {
    let part = Part::of(place);
    let sides: &[&str] = match part {
        Some(Part::Disconnect) => &["-line", "-load"],
        _ => &[""],
    };
    let mut all: Vec<Connection> = Vec::new();
    for side in sides {
        let legs = supply.legs.iter();
        all.extend(legs.map(|leg| connection(&format!("{place}{side}"), leg)));
    }
    if part == Some(Part::Plug) {
        for blade in &mut all {
            (blade.kind, blade.surface) = (ConnectionKind::Blade, Some(Surface::Plastic));
        }
    }
    if matches!(part, Some(Part::Breaker | Part::Charger | Part::Receptacle)) {
        let ground = match supply.earthing {
            Some(_) => "PE",
            None => "G",
        };
        all.push(Connection {
            surface: None,
            ..connection(place, ground)
        });
    }
    all
}

fn connection(place: &str, leg: &str) -> Connection {
    Connection {
        id: format!("{place}-{leg}"),
        leg: leg.to_owned(),
        kind: ConnectionKind::ScrewTerminal,
        torque: None,
        screw: None,
        surface: Some(Surface::Insulation),
        emissivity: None,
        width: None,
        rating: None,
        standard: None,
        marked: None,
        remade: false,
    }
}

/// The instruments of the starter file.
fn instruments() -> Vec<Instrument> {
    let bare = |id: &str, kind| Instrument {
        id: id.to_owned(),
        kind,
        model: None,
        serial: None,
        calibrated: None,
        calibration_due: None,
        certificate: None,
        accuracy: None,
        repeatability: None,
        emissivity: None,
        confirmed: false,
        reflected: None,
        distance_to_spot: None,
        band_um: None,
    };
    let percent = |p: f64| Some(Percentage::from_fraction(p / 100.0));
    vec![
        Instrument {
            accuracy: Some(Accuracy {
                of_reading: percent(2.0),
                at_least: Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
                    2.0,
                ))),
            }),
            emissivity: Some(Ratio::from_value(0.95)),
            distance_to_spot: Some(Ratio::from_value(12.0)),
            ..bare("gun", InstrumentKind::InfraredThermometer)
        },
        Instrument {
            accuracy: Some(Accuracy {
                of_reading: percent(6.0),
                at_least: None,
            }),
            ..bare("driver", InstrumentKind::TorqueScrewdriver)
        },
        bare("tester", InstrumentKind::VoltageTester),
    ]
}

/// Facts for which nobody was asked.
const ASSUMED: [&str; 4] = [
    "Not asked but taken as usual, so check it on site and write what you find: nominal voltage,",
    "earthing, ratings of terminals and insulation, hottest air, screw terminals, readings taken",
    "on the insulation. Torque: the maker's value behind each connection.",
    "",
];

/// Keys that the checks of a circuit need and such a visit does not yet contain, as lines of a
/// comment; those without which the inspection is incomplete come first.
fn asked(circuit: &Circuit, rules: &Rules) -> Vec<String> {
    let mut lines = Vec::new();
    let (needed, helpful): (Vec<_>, Vec<_>) = circuit::undecided(circuit, rules)
        .into_iter()
        .partition(|needed| needed.incomplete);
    for (head, keys) in [
        ("The inspection is not complete without these keys:", needed),
        (
            "The checks of the circuit ask for these keys as well:",
            helpful,
        ),
    ] {
        if keys.is_empty() {
            continue;
        }
        lines.push(head.to_owned());
        for chunk in keys.chunks(3) {
            let words: Vec<&str> = chunk.iter().map(|n| n.key.word()).collect();
            lines.push(format!("  {}", words.join(", ")));
        }
        lines.push(String::new());
    }
    lines
}

/// The comments of such a file.
pub fn comments(visit: &Visit, rules: &Rules) -> Comments {
    Comments {
        visit: SAFETY.map(str::to_owned).to_vec(),
        instruments: vec![
            "Write your own instruments: model, serial, calibrated, calibration_due, accuracy."
                .to_owned(),
        ],
        circuits: visit
            .circuits
            .iter()
            .map(|circuit| {
                let mut lines: Vec<String> = ASSUMED.map(str::to_owned).to_vec();
                lines.extend(asked(circuit, rules));
                lines.extend(blanks::lines(visit, circuit));
                lines
            })
            .collect(),
        bare_numbers: true,
        ..Comments::default()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::quantity::{System, Voltage};
    use crate::record::accepted::Accepted;
    use crate::visit::Paper;
    use crate::vocabulary::LimitationId;

    #[test]
    fn the_starter_lists_every_condition() {
        let all = crate::vocabulary::Condition::ALL.map(|c| c.word());
        assert!(STARTER.contains(&all.join(" | ")), "{all:?}");
    }

    fn starter(rules: &str) -> &'static Starter {
        let rules = crate::rules::built_in(rules).unwrap();
        rules.starter.as_ref().unwrap()
    }

    fn made(facts: &Facts, rules: &str) -> Visit {
        let date = NaiveDate::from_ymd_opt(2026, 11, 2).unwrap();
        visit(facts, rules, starter(rules), "2026-0001", date).unwrap()
    }

    #[test]
    fn every_number_of_legs_reads_back_equal() {
        for (rules, legs) in [
            ("us", "1"),
            ("us", "2"),
            ("us", "3"),
            ("iec", "1"),
            ("iec", "3"),
        ] {
            for places in [
                "breaker, charger",
                "breaker,disconnect , Receptacle",
                "Panel A: main",
            ] {
                let mut facts = Facts {
                    legs: legs.into(),
                    places: places.into(),
                    ..Facts::usual(starter(rules))
                };
                facts.assume(starter(rules));
                let visit = made(&facts, rules);
                let text = crate::visit::write_with(
                    &visit,
                    &comments(&visit, crate::rules::built_in(rules).unwrap()),
                );
                let again = crate::visit::read(&text, "visit.yaml", &Accepted)
                    .unwrap_or_else(|e| panic!("{e}\n{text}"));
                assert_eq!(again, visit);
            }
        }
    }

    #[test]
    fn the_world_is_that_of_the_rule_set() {
        let usual = |rules: &str| {
            let mut facts = Facts::usual(starter(rules));
            facts.assume(starter(rules));
            made(&facts, rules)
        };
        let (us, iec) = (usual("us"), usual("iec"));
        assert_eq!(
            (us.print.units, us.print.paper),
            (System::Us, Paper::Letter)
        );
        assert_eq!((iec.print.units, iec.print.paper), (System::Si, Paper::A4));
        let circuit = &iec.circuits[0];
        assert_eq!(circuit.supply.voltage, Voltage::from_volt(400.0));
        assert_eq!(circuit.conductors.size, ConductorSize::Mm2(4.0));
        assert_eq!(circuit.breaker.terminal_rating, None);
        let text = crate::visit::write_with(
            &iec,
            &comments(&iec, crate::rules::built_in("iec").unwrap()),
        );
        for expected in [
            "torque: N·m",
            "rules: iec",
            "L1-PE:",
            "hottest_air: 40 °C",
            "conductors.method",
            "rcd.type",
        ] {
            assert!(text.contains(expected), "{expected} in\n{text}");
        }
        for foreign in ["°F", "in·lb", "AWG", "L1-G:"] {
            assert!(!text.contains(foreign), "{foreign} in\n{text}");
        }
    }

    #[test]
    fn facts_that_cannot_be_used_are_told() {
        let wrong = |change: fn(&mut Facts)| {
            let mut facts = Facts::usual(starter("us"));
            change(&mut facts);
            let date = NaiveDate::from_ymd_opt(2026, 11, 2).unwrap();
            let (what, why) = visit(&facts, "us", starter("us"), "1", date).unwrap_err();
            format!("{what}: {why}")
        };
        assert_eq!(
            wrong(|f| f.legs = "4".into()),
            "legs: no supply with `4` is usual under these rules; write 1 for L1, N at 120 V; 2 for \
             L1, L2 at 240 V; 3 for L1, L2, L3 at 208 V"
        );
        assert_eq!(
            wrong(|f| f.conductor = "6 AWG gold".into()),
            "conductor: `gold` is not a material; write copper, aluminium or copper-clad-aluminium"
        );
        assert_eq!(
            wrong(|f| f.places = "breaker, Breaker".into()),
            "places: the place `Breaker` is listed twice; give each place a name of its own"
        );
        assert!(wrong(|f| f.breaker = "50 V".into()).starts_with("breaker: "));
        assert!(
            wrong(|f| f.rated = "0 A".into()).contains("1 A"),
            "the range is named"
        );
        assert_eq!(
            wrong(|f| f.site = " ".into()),
            "site: the name is empty; write a name"
        );
    }

    /// Asks in the same way as `new` and answers; returns the keys in the order of the questions.
    fn answered(facts: &mut Facts, rules: &str, answers: &[(MissingKey, &str)]) -> Vec<MissingKey> {
        let set = crate::rules::built_in(rules).unwrap();
        let mut asked = Vec::new();
        while let Some(needed) = needed_keys::next(&made(facts, rules).circuits[0], set, &asked) {
            asked.push(needed.key);
            let usual = needed_keys::usual(needed.key, starter(rules), &facts.legs);
            let answer = answers.iter().find(|(key, _)| *key == needed.key);
            let answer = answer.map(|(_, text)| (*text).to_owned()).or(usual);
            facts.needed.push((
                needed.key,
                answer.unwrap_or_else(|| panic!("{}", needed.key)),
            ));
        }
        asked
    }

    /// Limitations that make a visit incomplete, without those that end with the readings on site.
    fn left_out(visit: &Visit, rules: &str) -> Vec<String> {
        let assessed = crate::assess::assess(visit, crate::rules::built_in(rules).unwrap(), &[]);
        let on_site = [
            LimitationId::NoHeat,
            LimitationId::TorqueNotChecked,
            LimitationId::NotLookedAt,
            LimitationId::IsolationNotProved,
        ];
        let all = assessed.limitations.iter().filter(|l| l.incomplete);
        all.filter(|l| !on_site.contains(&l.id))
            .map(|l| format!("{} {:?}", l.id, l.completed_by()))
            .collect()
    }

    #[test]
    fn what_new_asks_leaves_only_the_readings() {
        use MissingKey::*;
        let answers = [
            (SupplySystem, "wye"),
            (ConductorsWiring, "conduit"),
            (ConductorsCurrentCarrying, "3"),
            (ConductorsLength, "55 ft"),
            (PlacesConnectionsMarked, "al-cu"),
            (ReceptacleGrade, "industrial"),
            (BreakerGroundFault, "gfci"),
            (Dedicated, "yes"),
            (DisconnectLockable, "yes"),
            (DisconnectInSight, "no"),
            (DisconnectPlaque, "yes"),
            (DisconnectKind, "switch"),
            (BreakerKind, "mcb"),
            (ConductorsMethod, "C"),
            (ConductorsCircuitsTogether, "1"),
            (RcdType, "a"),
            (RcdDcDetection, "yes"),
            (RcdRating, "30 mA"),
            (RcdTripTime, "28 ms"),
        ];
        let us = |rated: &str, breaker: &str, conductor: &str, places: &str| {
            let facts = Facts {
                rated: rated.into(),
                breaker: breaker.into(),
                conductor: conductor.into(),
                places: places.into(),
                ..Facts::usual(starter("us"))
            };
            ("us", facts)
        };
        let iec = || ("iec", Facts::usual(starter("iec")));
        let hardwired = "breaker, charger";
        // The keys, listed by hand: those without which each check of such a circuit cannot be
        // decided.
        let cases = [
            (
                us("40 A", "50 A", "6 AWG", hardwired),
                vec![
                    BreakerTerminalRating,
                    ConductorsWiring,
                    ConductorsCurrentCarrying,
                    ConductorsLength,
                    Dedicated,
                ],
            ),
            (
                us("40 A", "50 A", "6 AWG", "breaker, receptacle"),
                vec![
                    BreakerTerminalRating,
                    ConductorsWiring,
                    ConductorsCurrentCarrying,
                    ConductorsLength,
                    ReceptacleConfiguration,
                    ReceptacleGrade,
                    BreakerGroundFault,
                    Dedicated,
                ],
            ),
            (
                us("64 A", "80 A", "4 AWG", hardwired),
                vec![
                    BreakerTerminalRating,
                    ConductorsWiring,
                    ConductorsCurrentCarrying,
                    ConductorsLength,
                    Dedicated,
                    DisconnectLockable,
                    DisconnectInSight,
                    DisconnectPlaque,
                    DisconnectKind,
                ],
            ),
            (
                us("32 A", "40 A", "4 AWG aluminum", hardwired),
                vec![
                    BreakerTerminalRating,
                    ConductorsWiring,
                    ConductorsCurrentCarrying,
                    ConductorsLength,
                    PlacesConnectionsMarked,
                    Dedicated,
                ],
            ),
            (
                iec(),
                vec![
                    ConductorsMethod,
                    ConductorsCircuitsTogether,
                    ConductorsLength,
                    RcdType,
                    RcdDcDetection,
                    RcdRating,
                    RcdTripTime,
                    Dedicated,
                ],
            ),
        ];
        for ((rules, mut facts), by_hand) in cases {
            let asked = answered(&mut facts, rules, &answers);
            let mut sorted = asked.clone();
            let set = crate::rules::built_in(rules).unwrap();
            sorted.sort_by_key(|key| set.needed.0.iter().position(|n| n.key == *key));
            assert_eq!(sorted, by_hand, "{facts:?}");
            let visit = made(&facts, rules);
            assert_eq!(left_out(&visit, rules), Vec::<String>::new(), "{facts:?}");

            // If the answers end before a necessary key, the key is reported.
            for (i, key) in asked.iter().enumerate() {
                let listed = set.needed.0.iter().find(|n| n.key == *key).unwrap();
                let mut until = facts.clone();
                until.needed.truncate(i);
                let left = left_out(&made(&until, rules), rules);
                // This key is always asked for; here the next key is missing first.
                if listed.incomplete && !listed.always {
                    let word = match key {
                        DisconnectKind => "disconnect: kind:",
                        _ => key.word(),
                    };
                    assert!(left.iter().any(|t| t.contains(word)), "{key}: {left:?}");
                }
            }
        }
    }

    #[test]
    fn every_key_that_a_check_lacks_is_in_the_rule_set() {
        for (rules, conductor, places) in [
            ("us", "6 AWG", "breaker, charger"),
            ("us", "6 AWG", "breaker, receptacle"),
            ("us", "2 AWG aluminum", "breaker, disconnect, charger"),
            ("us", "16 mm²", "breaker, receptacle"),
            ("iec", "4 mm²", "breaker, charger"),
            ("iec", "16 mm² aluminium", "breaker, receptacle"),
            ("iec", "6 AWG", "breaker, charger"),
        ] {
            for rated in ["10 A", "16 A", "40 A", "80 A"] {
                let facts = Facts {
                    rated: rated.into(),
                    conductor: conductor.into(),
                    places: places.into(),
                    ..Facts::usual(starter(rules))
                };
                let set = crate::rules::built_in(rules).unwrap();
                for check in circuit::checks(&made(&facts, rules).circuits[0], set) {
                    for key in check.missing {
                        let listed = set.needed.0.iter().find(|n| n.key == key);
                        let checks = listed.map(|n| n.checks.as_slice()).unwrap_or_default();
                        assert!(
                            checks.contains(&check.rule),
                            "{rules}: {key} of {}",
                            check.rule
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn conductors_name_their_material_or_are_copper() {
        let m = |t: &str| conductor(t).unwrap().1;
        assert_eq!(m("6 AWG"), Material::Copper);
        assert_eq!(m("2 AWG Al"), Material::Aluminium);
        assert_eq!(m("1/0 AWG aluminum"), Material::Aluminium);
        assert_eq!(m("16 mm²"), Material::Copper);
    }
}
