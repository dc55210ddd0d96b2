//! A circuit: its parts, its connections, and the work done on them.

use super::entry::{Entry, read_map};
use super::equipment::TypeOrMap;
use super::keys;
use super::limits;
use super::model::{
    Charger, ChargerConnection, Circuit, InstrumentKind, Isolation, LookedAt, Place, Supply,
    TorqueCheck, TorqueFound,
};
use super::reader::{Fields, Ids, Need, Reader};
use super::words::{Moved, Word};
use crate::quantity::{self, Kind, Torque, bounds};
use crate::yaml::{Ix, shorten};
use std::collections::HashMap;

/// The ids in a circuit that other parts of the file may refer to, collected before anything else
/// is read, so that one invalid entry does not make every reference to it look wrong.
pub(super) struct Known<'a> {
    pub id: Option<&'a str>,
    places: Vec<&'a str>,
    /// Index of the place by connection id.
    connections: HashMap<&'a str, usize>,
    /// The connection ids in file order, for messages.
    order: Vec<&'a str>,
    /// Whether the ids of all places and connections could be read.
    complete: bool,
}

impl<'a> Known<'a> {
    pub(super) fn has_connection(&self, id: &str) -> bool {
        self.connections.contains_key(id)
    }

    pub(super) fn has_place(&self, id: &str) -> bool {
        self.places.contains(&id)
    }

    pub(super) fn connections(&self) -> impl Iterator<Item = &'a str> + Clone + '_ {
        self.order.iter().copied()
    }

    pub(super) fn places(&self) -> impl Iterator<Item = &'a str> + Clone + '_ {
        self.places.iter().copied()
    }

    /// False if an unknown id may be one that could not be read.
    pub(super) fn complete(&self) -> bool {
        self.complete
    }
}

/// An instrument that other parts may refer to.
pub(super) struct KnownInstrument<'a> {
    pub id: &'a str,
    /// `None` if its kind could not be read.
    pub kind: Option<InstrumentKind>,
}

/// The file's instruments; `None` if the map itself could not be read.
pub(super) type KnownInstruments<'a> = Option<Vec<KnownInstrument<'a>>>;

impl<'a> Reader<'a, '_> {
    /// The ids of a circuit.
    pub(super) fn known(&self, circuit: Ix) -> Known<'a> {
        let id = self.tree.get(circuit, "id").and_then(|v| self.peek(v));
        let mut known = Known {
            id,
            places: Vec::new(),
            connections: HashMap::new(),
            order: Vec::new(),
            complete: true,
        };
        let places = self
            .tree
            .get(circuit, "places")
            .map_or(&[][..], |v| self.tree.items(v));
        known.complete &= !places.is_empty();
        for (i, place) in places.iter().enumerate() {
            match self.tree.get(*place, "id").and_then(|v| self.peek(v)) {
                Some(id) => known.places.push(id),
                None => known.complete = false,
            }
            let connections = self
                .tree
                .get(*place, "connections")
                .map_or(&[][..], |v| self.tree.items(v));
            known.complete &= !connections.is_empty();
            for connection in connections {
                match self.tree.get(*connection, "id").and_then(|v| self.peek(v)) {
                    Some(id) => {
                        known.connections.entry(id).or_insert(i);
                        known.order.push(id);
                    }
                    None => known.complete = false,
                }
            }
        }
        known
    }

    /// The ids and kinds of the instruments.
    pub(super) fn known_instruments(&self, ix: Option<Ix>) -> KnownInstruments<'a> {
        let Some(ix) = ix else {
            return Some(Vec::new());
        };
        let entries = self.tree.entries(ix);
        if entries.is_empty() {
            return None;
        }
        let mut out = Vec::with_capacity(entries.len());
        for (key, value) in entries {
            let kind = self
                .tree
                .get(*value, "kind")
                .and_then(|v| self.peek(v))
                .and_then(InstrumentKind::of);
            out.push(KnownInstrument {
                id: self.peek(*key)?,
                kind,
            });
        }
        Some(out)
    }

    /// The instrument with an id, which must be of one of the given kinds.
    pub(super) fn instrument_named(
        &mut self,
        ix: Ix,
        instruments: &KnownInstruments<'a>,
        task: &str,
        kinds: &[InstrumentKind],
    ) -> Option<String> {
        let name = self.scalar(ix, "the id of an instrument")?;
        let Some(instruments) = instruments else {
            return None;
        };
        let at = self.mark(ix);
        let Some(found) = instruments.iter().find(|i| i.id == name) else {
            self.unknown_name(at, "instrument", name, instruments.iter().map(|i| i.id));
            return None;
        };
        if let Some(kind) = found.kind
            && !kinds.contains(&kind)
        {
            let fitting: Vec<&str> = kinds.iter().map(|k| k.word()).collect();
            self.problem(
                at,
                format!(
                    "`{}` is {} {}, which cannot {task}",
                    shorten(name),
                    article(kind.word()),
                    kind.word()
                ),
                format!(
                    "name an instrument of kind {}",
                    crate::nearest::or(fitting.into_iter(), 9)
                ),
            );
            return None;
        }
        Some(name.to_owned())
    }

    pub(super) fn circuit(
        &mut self,
        ix: Ix,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Option<Circuit> {
        self.legs = None;
        self.ids
            .retain(|(kind, _), _| !matches!(kind, Ids::Place | Ids::Connection));
        let f = self.fields(ix, &keys::CIRCUIT, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, Ids::Circuit));
        let name = self.name(&f, "name");
        let charger: Option<Charger> = f.get("charger").and_then(|v| read_map(self, v, None));
        let supply: Option<Supply> = f.get("supply").and_then(|v| read_map(self, v, None));
        let breaker = f.get("breaker").and_then(|v| read_map(self, v, None));
        let conductors = f.get("conductors").and_then(|v| read_map(self, v, None));
        let feeder = f.get("feeder").and_then(|v| read_map(self, v, None));
        let receptacle = f.get("receptacle").and_then(|v| read_map(self, v, None));
        if let (Some(charger), Some(v)) = (&charger, f.get("receptacle"))
            && charger.connection == ChargerConnection::Hardwired
        {
            let at = self.mark(v);
            self.problem(
                at,
                "this circuit has a receptacle, but its charger is hardwired",
                "write `connection: receptacle` under `charger`, or delete `receptacle`",
            );
        }
        let disconnect = f.get("disconnect").and_then(|v| read_map(self, v, None));
        let dedicated = f.get("dedicated").and_then(|v| self.flag(v));
        let rcd = f.get("rcd").and_then(|v| TypeOrMap.read(self, v));
        let hottest_air = f
            .get("hottest_air")
            .and_then(|v| self.quantity(v, &bounds::HOTTEST_AIR));
        let places = f.get("places").and_then(|v| self.places(v));
        let isolation = f
            .get("isolation")
            .and_then(|v| self.isolation(v, instruments));
        let torque = f
            .get("torque")
            .map(|v| self.torque_checks(v, known, instruments));
        let looked_at = f.get("looked_at").map(|v| self.conditions(v, known));
        let heat = f.get("heat").and_then(|v| self.heat(v, known, instruments));
        Some(Circuit {
            id: id?,
            name,
            charger: charger?,
            supply: supply?,
            breaker: breaker?,
            conductors: conductors?,
            feeder,
            receptacle,
            disconnect,
            dedicated,
            rcd,
            hottest_air,
            places: places?,
            isolation,
            torque: torque.unwrap_or_default(),
            looked_at: looked_at.unwrap_or_default(),
            heat,
        })
    }

    fn places(&mut self, ix: Ix) -> Option<Vec<Place>> {
        let items = self.list(ix, "place", limits::CONNECTIONS, Need::Must)?;
        let places: Vec<_> = items.iter().map(|item| self.place(*item)).collect();
        places.into_iter().collect()
    }

    fn place(&mut self, ix: Ix) -> Option<Place> {
        let f = self.fields(ix, &keys::PLACE, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, Ids::Place));
        let name = self.name(&f, "name");
        let connections = f.get("connections").and_then(|v| {
            let items = self.list(v, "connection", limits::CONNECTIONS, Need::Must)?;
            let read: Vec<_> = items.iter().map(|ix| read_map(self, *ix, None)).collect();
            read.into_iter().collect()
        });
        Some(Place {
            id: id?,
            name: name?,
            connections: connections?,
        })
    }

    fn isolation(&mut self, ix: Ix, instruments: &KnownInstruments<'a>) -> Option<Isolation> {
        let f = self.fields(ix, &keys::ISOLATION, None)?;
        let kinds = [InstrumentKind::VoltageTester, InstrumentKind::Multimeter];
        let tester = f
            .get("tester")
            .and_then(|v| self.instrument_named(v, instruments, "prove a circuit dead", &kinds));
        let volts = |r: &mut Self, f: &Fields, key| {
            f.get(key)
                .and_then(|v| r.quantity(v, &bounds::TESTED_VOLTAGE))
        };
        let proved_before = volts(self, &f, "proved_before");
        let dead = f.get("dead").map(|v| self.dead(v)).unwrap_or_default();
        let proved_after = volts(self, &f, "proved_after");
        let locked = f.get("locked").and_then(|v| self.flag(v));
        Some(Isolation {
            tester,
            proved_before,
            dead,
            proved_after,
            locked,
        })
    }

    /// Voltages between pairs of legs.
    fn dead(&mut self, ix: Ix) -> Vec<(String, crate::quantity::Voltage)> {
        let Some(entries) = self.named(ix, "pair of legs", Need::May) else {
            return Vec::new();
        };
        let mut out: Vec<(String, crate::quantity::Voltage)> = Vec::with_capacity(entries.len());
        for (pair, key, value) in entries.into_iter().take(limits::MARKS) {
            let at = self.mark(key);
            let Some((a, b)) = pair.split_once('-') else {
                self.problem(
                    at,
                    format!("`{}` is not a pair of legs", shorten(pair)),
                    "write both ends with a hyphen between, such as L1-L2 or L1-G",
                );
                continue;
            };
            if self.leg(key, a).is_none() || self.leg(key, b).is_none() {
                continue;
            }
            if a == b {
                self.problem(
                    at,
                    format!("`{pair}` is one leg twice"),
                    "write the two ends between which was measured, such as L1-L2 or L1-G",
                );
                continue;
            }
            if out.iter().any(|(p, _)| p.split_once('-') == Some((b, a))) {
                self.problem(
                    at,
                    format!("`{pair}` is the pair `{b}-{a}` again"),
                    "keep one of the two",
                );
                continue;
            }
            if let Some(voltage) = self.quantity(value, &bounds::TESTED_VOLTAGE) {
                out.push((pair.to_owned(), voltage));
            }
        }
        out
    }

    /// The connection of this circuit with an id.
    pub(super) fn connection_named(&mut self, ix: Ix, known: &Known<'a>) -> Option<&'a str> {
        let name = self.scalar(ix, "the id of a connection")?;
        if known.has_connection(name) {
            return Some(name);
        }
        if known.complete() {
            let at = self.mark(ix);
            self.unknown_name(at, "connection", name, known.connections());
        }
        None
    }

    fn torque_checks(
        &mut self,
        ix: Ix,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Vec<TorqueCheck> {
        let Some(items) = self.list(ix, "torque check", limits::CONNECTIONS, Need::May) else {
            return Vec::new();
        };
        let mut seen: HashMap<&str, Ix> = HashMap::new();
        let mut out = Vec::with_capacity(items.len());
        for item in items {
            let Some(f) = self.fields(*item, &keys::TORQUE, None) else {
                continue;
            };
            let connection = f.get("connection").and_then(|v| {
                let name = self.connection_named(v, known)?;
                if let Some(first) = seen.insert(name, v) {
                    let (at, line) = (self.mark(v), self.line(first));
                    self.problem(
                        at,
                        format!("`{name}` has a second torque check; the first is in line {line}"),
                        "keep one of the two",
                    );
                }
                Some(name.to_owned())
            });
            let found = f.get("found").and_then(|v| self.found(v));
            let left = f
                .get("left")
                .and_then(|v| self.quantity(v, &bounds::TORQUE));
            let tools = [
                InstrumentKind::TorqueScrewdriver,
                InstrumentKind::TorqueWrench,
            ];
            let with = f
                .get("with")
                .and_then(|v| self.instrument_named(v, instruments, "check a torque", &tools));
            if let (Some(connection), Some(found)) = (connection, found) {
                out.push(TorqueCheck {
                    connection,
                    found,
                    left,
                    with,
                });
            }
        }
        out
    }

    /// `held`, `moved` or a torque.
    fn found(&mut self, ix: Ix) -> Option<TorqueFound> {
        let text = self.scalar(ix, "what was found")?;
        if let Some(moved) = Moved::of(text) {
            return Some(match moved {
                Moved::Held => TorqueFound::Held,
                Moved::Moved => TorqueFound::Moved,
            });
        }
        if text.starts_with(char::is_alphabetic) {
            let at = self.mark(ix);
            self.problem(
                at,
                format!("`{}` says nothing about a torque", shorten(text)),
                "write held, moved, or the value at which it began to move, such as 30 in·lb",
            );
            return None;
        }
        let zero = quantity::parse::<Torque>(text, self.units.of(Kind::Torque))
            .is_ok_and(|torque| torque.newton_metre() == 0.0);
        if zero {
            let at = self.mark(ix);
            self.problem(
                at,
                "a screw that is fully loose has no torque at which it begins to move",
                "write `found: moved`, and under `left:` the torque that it was tightened to",
            );
            return None;
        }
        self.quantity(ix, &bounds::TORQUE).map(TorqueFound::Value)
    }

    fn conditions(&mut self, ix: Ix, known: &Known<'a>) -> Vec<LookedAt> {
        let Some(items) = self.list(ix, "condition seen", limits::CONNECTIONS, Need::May) else {
            return Vec::new();
        };
        let mut out = Vec::with_capacity(items.len());
        for item in items {
            let Some(f) = self.fields(*item, &keys::LOOKED_AT, None) else {
                continue;
            };
            let place = f.get("place").and_then(|v| self.place_named(v, known));
            let connection = f
                .get("connection")
                .and_then(|v| Some((v, self.connection_named(v, known)?)));
            if let (Some(place), Some((v, connection))) = (place, connection)
                && let Some(own) = known.connections.get(connection)
                && known.places.get(*own).is_some_and(|p| *p != place)
                && known.complete()
            {
                let at = self.mark(v);
                self.problem(
                    at,
                    format!(
                        "`{connection}` is in `{}`, not in `{place}`",
                        known.places[*own]
                    ),
                    "correct the place or the connection",
                );
            }
            let seen = f.get("seen").and_then(|v| {
                if self.peek(v).is_some() {
                    return Some(vec![self.word(v, "a condition")?]);
                }
                let items = self.list(v, "condition", 8, Need::Must)?;
                let words: Vec<_> = items
                    .iter()
                    .filter_map(|i| self.word(*i, "a condition"))
                    .collect();
                (words.len() == items.len()).then_some(words)
            });
            let note = f.get("note").and_then(|v| self.lines(v, limits::NOTE));
            if let (Some(place), Some(seen)) = (place, seen) {
                out.push(LookedAt {
                    place: place.to_owned(),
                    seen,
                    note,
                    connection: connection.map(|(_, c)| c.to_owned()),
                });
            }
        }
        out
    }

    /// The place of this circuit with an id.
    pub(super) fn place_named(&mut self, ix: Ix, known: &Known<'a>) -> Option<&'a str> {
        let name = self.scalar(ix, "the id of a place")?;
        if known.has_place(name) {
            return Some(name);
        }
        if known.complete() {
            let at = self.mark(ix);
            self.unknown_name(at, "place", name, known.places());
        }
        None
    }
}

/// "a" or "an".
fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    }
}
