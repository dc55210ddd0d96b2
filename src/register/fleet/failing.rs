//! Which equipment fails more often than the rest.
//!
//! A group is named only by the [`Rule`]. Many groups are compared, so that one of them differs by chance in
//! many fleets; a group is not named if that explains it. Groups overlap: whoever fits one model of charger may always
//! use the same receptacle with it. The one that differs most from the rest is named first; its circuits
//! are then left out, and another one is named only if it still differs without them. Groups of nearly
//! the same circuits cannot be told apart, and are named together.

use super::intervals::{by_chance, proportion, rounded};
use super::visits::{Circuit, LEAST_CIRCUITS};
use crate::lookalike::folded;
use crate::register::measured::{Equipment, Point};
use crate::register::row::Row;
use crate::visit::Grade;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Least number of failing circuits, and of properties that they are at.
const LEAST_FAILING: usize = 4;
const LEAST_PROPERTIES: usize = 3;
/// Most probable that a difference may be by chance, over all comparisons of a fleet.
const MOST_BY_CHANCE: f64 = 0.05;
/// Share of circuits that two groups have in common if they cannot be told apart.
const ALIKE: f64 = 0.9;

/// What has to hold before a group is said to fail more often.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rule {
    /// Least number of circuits in the group, and in the rest.
    pub least_circuits: usize,
    /// Least number of them that failed.
    pub least_failing: usize,
    /// Least number of properties at which they failed.
    pub least_properties: usize,
    /// Most probable that a difference may be by chance, over all comparisons.
    pub most_by_chance: f64,
    /// Number of comparisons: of groups that are large enough, each by two grades.
    pub comparisons: usize,
    /// The same in words.
    pub words: String,
}

impl Rule {
    fn of(comparisons: usize) -> Self {
        Self {
            most_by_chance: MOST_BY_CHANCE,
            comparisons,
            least_circuits: LEAST_CIRCUITS,
            least_failing: LEAST_FAILING,
            least_properties: LEAST_PROPERTIES,
            words: format!(
                "A group is named only if it has at least {LEAST_CIRCUITS} circuits, as many are left \
                 beside it, at least {LEAST_FAILING} of its circuits failed at {LEAST_PROPERTIES} \
                 properties or more, and its 95 % interval (Wilson) lies wholly above that of the rest, and \
                 it is at most 5 % probable that any of the {comparisons} comparisons shows as much by chance \
                 (Fisher's exact test, Bonferroni). The circuits of a named group are left out before the next one is looked for. A circuit \
                 counts once, however often it was visited."
            ),
        }
    }
}

/// From which grade on a finding counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Worse {
    /// A repair was needed, or the circuit was not to be used.
    Repair,
    /// Something was to be watched, or worse.
    Watch,
}

impl Worse {
    const ALL: [Worse; 2] = [Worse::Repair, Worse::Watch];

    const fn least(self) -> Grade {
        match self {
            Worse::Repair => Grade::Repair,
            Worse::Watch => Grade::Watch,
        }
    }
}

/// How many circuits of some failed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Count {
    /// Number of circuits.
    pub circuits: usize,
    /// How many of them failed at least once.
    pub failed: usize,
    /// 95 % interval of their share (Wilson); `None` of no circuits.
    pub interval: Option<[f64; 2]>,
}

impl Count {
    fn of(circuits: usize, failed: usize) -> Self {
        Self {
            circuits,
            failed,
            interval: (circuits > 0).then(|| proportion(failed, circuits).map(rounded)),
        }
    }
}

/// A group of circuits that have something in common.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// What they have in common.
    pub what: What,
    /// Its value, as most certificates spell it.
    pub value: String,
    /// From which grade on a finding counts.
    pub worse: Worse,
    /// The group.
    pub group: Count,
    /// All other circuits that tell this.
    pub rest: Count,
}

/// A group that fails more often.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StandsOut {
    /// The group and the rest, without the circuits of groups named before.
    #[serde(flatten)]
    pub group: Group,
    /// Groups of nearly the same circuits, which cannot be told apart from it.
    pub or: Vec<String>,
    /// Number of properties at which circuits of the group failed.
    pub properties: usize,
    /// Probability of as much by chance in any of the comparisons, at most.
    pub by_chance: f64,
}

/// What circuits can have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Maker of the charger, by its own terminals and its plug.
    ChargerMake,
    /// Maker and model, by the same.
    ChargerModel,
    /// Receptacle, by its terminals and contacts.
    Receptacle,
    /// Overcurrent device, by its terminals and its contacts on the busbar.
    Breaker,
    /// Metal of the conductors, by every connection.
    Conductors,
    /// Part of the circuit with its kind of connection; each part of a circuit counts.
    Part,
}

impl What {
    const ALL: [What; 6] = [
        What::ChargerMake,
        What::ChargerModel,
        What::Receptacle,
        What::Breaker,
        What::Conductors,
        What::Part,
    ];

    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            What::ChargerMake => "charger make",
            What::ChargerModel => "charger model",
            What::Receptacle => "receptacle",
            What::Breaker => "overcurrent device",
            What::Conductors => "conductors",
            What::Part => "part",
        }
    }

    /// The values that a visit tells, each with the connections by which it is judged.
    fn told(self, row: &Row) -> Vec<(String, Vec<&Point>)> {
        let at = |parts: &[&str]| -> Vec<&Point> {
            let of = |p: &&Point| p.part.as_deref().is_some_and(|part| parts.contains(&part));
            row.points.iter().filter(of).collect()
        };
        let equipment = |value: fn(&Equipment) -> &Option<String>| {
            row.equipment.as_ref().and_then(|e| value(e).clone())
        };
        let make = row.charger_make.clone();
        let (value, points) = match self {
            What::ChargerMake => (make, at(&["charger", "plug"])),
            What::ChargerModel => {
                let model = equipment(|e| &e.charger_model);
                let both = make.zip(model);
                let named = both.map(|(make, model)| format!("{make} {model}"));
                (named, at(&["charger", "plug"]))
            }
            What::Receptacle => (equipment(|e| &e.receptacle), at(&["receptacle", "plug"])),
            What::Breaker => (equipment(|e| &e.breaker), at(&["breaker", "busbar"])),
            What::Conductors => (equipment(|e| &e.conductors), row.points.iter().collect()),
            What::Part => {
                let mut parts: BTreeMap<String, Vec<&Point>> = BTreeMap::new();
                for point in &row.points {
                    if let Some(part) = &point.part {
                        let value = format!("{part}, {}", point.kind);
                        parts.entry(value).or_default().push(point);
                    }
                }
                return parts.into_iter().collect();
            }
        };
        let told = value.filter(|_| !points.is_empty());
        told.map(|value| (value, points)).into_iter().collect()
    }
}

/// A circuit, or a part of one, in a group.
#[derive(Debug, Clone, PartialEq)]
struct Case<'a> {
    /// Its circuit, by number.
    circuit: usize,
    site: &'a str,
    /// The group, in a form that can be compared.
    key: String,
    /// Worst grade of any visit.
    worst: Grade,
}

/// The cases of one kind of group, and how each value is spelled.
struct Cases<'a> {
    what: What,
    cases: Vec<Case<'a>>,
    spelled: BTreeMap<String, String>,
}

impl<'a> Cases<'a> {
    fn of(what: What, circuits: &[Circuit<'a>]) -> Self {
        let mut cases = Vec::new();
        let mut spellings: BTreeMap<String, BTreeMap<String, usize>> = BTreeMap::new();
        for (number, circuit) in circuits.iter().enumerate() {
            let mut own: BTreeMap<String, Grade> = BTreeMap::new();
            for row in &circuit.visits {
                for (value, points) in what.told(row) {
                    let key = folded(&value);
                    let spelling = spellings.entry(key.clone()).or_default();
                    *spelling.entry(value).or_default() += 1;
                    let worst = points.iter().filter_map(|point| point.grade()).max();
                    let before = own.entry(key).or_insert(Grade::Pass);
                    *before = (*before).max(worst.unwrap_or(Grade::Pass));
                }
            }
            cases.extend(own.into_iter().map(|(key, worst)| Case {
                circuit: number,
                site: circuit.site,
                key,
                worst,
            }));
        }
        let spelled = spellings.into_iter().filter_map(|(key, all)| {
            // The most frequent one; of equal ones the first.
            let best = all.into_iter().rev().max_by_key(|(_, count)| *count)?;
            Some((key, best.0))
        });
        Self {
            what,
            cases,
            spelled: spelled.collect(),
        }
    }

    /// Every value against the rest, without some circuits.
    fn groups(&self, worse: Worse, without: &BTreeSet<usize>) -> Vec<(Group, Members)> {
        let left = || {
            self.cases
                .iter()
                .filter(|case| !without.contains(&case.circuit))
        };
        let failed = |case: &&Case<'_>| case.worst >= worse.least();
        let (all, all_failed) = (left().count(), left().filter(failed).count());
        let values: BTreeSet<&str> = left().map(|case| case.key.as_str()).collect();
        let groups = values.into_iter().map(|key| {
            let own = || left().filter(|case| case.key == key);
            let count = Count::of(own().count(), own().filter(failed).count());
            let group = Group {
                what: self.what,
                value: self.spelled.get(key).cloned().unwrap_or_default(),
                worse,
                group: count,
                rest: Count::of(all - count.circuits, all_failed - count.failed),
            };
            let members = Members {
                circuits: own().map(|case| case.circuit).collect(),
                properties: own()
                    .filter(failed)
                    .map(|case| case.site.to_owned())
                    .collect(),
            };
            (group, members)
        });
        groups.collect()
    }
}

/// Which circuits a group has, and at which properties they failed.
struct Members {
    circuits: BTreeSet<usize>,
    properties: BTreeSet<String>,
}

/// Whether a group and the rest are large enough to be compared.
fn large(group: &Group) -> bool {
    group.group.circuits >= LEAST_CIRCUITS && group.rest.circuits >= LEAST_CIRCUITS
}

/// Probability that any of so many comparisons shows as much by chance, at most.
fn chance(group: &Group, comparisons: usize) -> f64 {
    let (own, rest) = (group.group, group.rest);
    let one = by_chance(
        own.failed,
        own.circuits,
        own.failed + rest.failed,
        own.circuits + rest.circuits,
    );
    (one * comparisons as f64).min(1.0)
}

/// By how much a group lies above the rest; `None` if the rule does not let it be named.
fn above(group: &Group, members: &Members, comparisons: usize) -> Option<f64> {
    let (own, rest) = (group.group, group.rest);
    let enough =
        large(group) && own.failed >= LEAST_FAILING && members.properties.len() >= LEAST_PROPERTIES;
    let ([low, _], [_, high]) = (own.interval?, rest.interval?);
    (enough && low > high && chance(group, comparisons) <= MOST_BY_CHANCE).then_some(low - high)
}

/// All groups, those that stand out, worst first, and the rule by which they do.
pub(super) fn compared(circuits: &[Circuit<'_>]) -> (Vec<Group>, Vec<StandsOut>, Rule) {
    let all: Vec<Cases<'_>> = What::ALL.map(|what| Cases::of(what, circuits)).into();
    let mut without = BTreeSet::new();
    let groups = |worse: Worse, without: &BTreeSet<usize>| -> Vec<(Group, Members)> {
        all.iter()
            .flat_map(|cases| cases.groups(worse, without))
            .collect()
    };
    let none = BTreeSet::new();
    let every = Worse::ALL
        .into_iter()
        .flat_map(|worse| groups(worse, &none));
    let every: Vec<Group> = every.map(|(group, _)| group).collect();
    let comparisons = every.iter().filter(|group| large(group)).count();
    let mut found = Vec::new();
    for worse in Worse::ALL {
        loop {
            let candidates: Vec<(f64, Group, Members)> = groups(worse, &without)
                .into_iter()
                .filter_map(|(group, members)| {
                    Some((above(&group, &members, comparisons)?, group, members))
                })
                .collect();
            // The last of equal ones, so that a model is named before its maker.
            let best = candidates.iter().max_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, group, members)) = best else {
                break;
            };
            let alike = candidates.iter().filter(|(_, other, _)| other != group);
            let alike = alike.filter(|(_, _, other)| {
                let both = members.circuits.intersection(&other.circuits).count() as f64;
                let either = members.circuits.union(&other.circuits).count() as f64;
                both >= ALIKE * either
            });
            found.push(StandsOut {
                or: alike
                    .map(|(_, other, _)| format!("{} {}", other.what.words(), other.value))
                    .collect(),
                group: group.clone(),
                properties: members.properties.len(),
                by_chance: rounded(chance(group, comparisons)),
            });
            without.extend(members.circuits.iter().copied());
        }
    }
    (every, found, Rule::of(comparisons))
}
