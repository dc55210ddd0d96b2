//! A circuit: its parts, its connections, and the work done on them.

use super::entry::{Entry, Keys, maps, read_map};
use super::equipment::TypeOrMap;
use super::keys;
use super::limits;
use super::model::{
    Charger, ChargerConnection, Circuit, Heat, InstrumentKind, Isolation, LookedAt, NotRead,
    Removed, Repair, Supply, TorqueCheck,
};
use super::reader::{Fields, Ids, Need, Reader};
use super::repairs::StateOrMap;
use super::words::Word;
use crate::quantity::plausible;
use crate::quoted::shorten;
use crate::yaml::Ix;
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
        let outdoors = f.get("outdoors").and_then(|v| self.flag(v));
        let load_management = f
            .get("load_management")
            .and_then(|v| read_map(self, v, None));
        let rcd = f.get("rcd").and_then(|v| TypeOrMap.read(self, v));
        let hottest_air = f
            .get("hottest_air")
            .and_then(|v| self.quantity(v, &plausible::HOTTEST_AIR));
        let places = f.get("places").and_then(|v| maps("place").read(self, v));
        let removed = f.get("removed").map(|v| self.removed(v, known));
        let not_read = f.get("not_read").map(|v| self.not_read(v, known));
        let isolation = f.get("isolation").map(|v| self.isolations(v, instruments));
        let torque = f
            .get("torque")
            .map(|v| self.torque_checks(v, known, instruments));
        let looked_at = f.get("looked_at").map(|v| self.conditions(v, known));
        let heat = f.get("heat").and_then(|v| self.heat(v, known, instruments));
        let repairs = f
            .get("repairs")
            .map(|v| self.repairs(v, known, instruments));
        let heat_after = f.get("heat_after").and_then(|v| {
            self.heat_after(
                v,
                f.get("repairs").is_some(),
                heat.as_ref(),
                known,
                instruments,
            )
        });
        let left_as = f.get("left_as").and_then(|v| StateOrMap.read(self, v));
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
            outdoors,
            load_management,
            rcd,
            hottest_air,
            places: places?,
            removed: removed.unwrap_or_default(),
            not_read: not_read.unwrap_or_default(),
            isolation: isolation.unwrap_or_default(),
            torque: torque.unwrap_or_default(),
            looked_at: looked_at.unwrap_or_default(),
            heat,
            repairs: repairs.unwrap_or_default(),
            heat_after,
            left_as,
        })
    }

    /// One proof of isolation, or a list of them.
    fn isolations(&mut self, ix: Ix, instruments: &KnownInstruments<'a>) -> Vec<Isolation> {
        if self.tree.items(ix).is_empty() {
            return self.isolation(ix, instruments).into_iter().collect();
        }
        let items = self.list(ix, "proof of isolation", limits::ISOLATIONS, Need::May);
        items
            .unwrap_or_default()
            .iter()
            .filter_map(|item| self.isolation(*item, instruments))
            .collect()
    }

    /// The entries of a list of maps with declared keys, each checked further by `check`.
    fn maps<K: Keys>(
        &mut self,
        ix: Ix,
        what: &str,
        check: &mut dyn FnMut(&mut Self, &Fields),
    ) -> Vec<K> {
        let items = self.list(ix, what, limits::CONNECTIONS, Need::May);
        items
            .unwrap_or_default()
            .iter()
            .filter_map(|item| self.checked(*item, check))
            .collect()
    }

    /// A map with declared keys, checked further by `check`.
    pub(super) fn checked<K: Keys>(
        &mut self,
        ix: Ix,
        check: &mut dyn FnMut(&mut Self, &Fields),
    ) -> Option<K> {
        let f = self.fields(ix, K::TABLE, None)?;
        check(self, &f);
        let entry = K::read(self, &f)?;
        entry.check(self, &f);
        Some(entry)
    }

    fn not_read(&mut self, ix: Ix, known: &Known<'a>) -> Vec<NotRead> {
        self.maps(ix, "place not read", &mut |r, f| {
            r.place_and_connection(f, known)
        })
    }

    fn removed(&mut self, ix: Ix, known: &Known<'a>) -> Vec<Removed> {
        self.maps(ix, "thing removed", &mut |r, f| {
            for (key, places) in [("connection", false), ("place", true)] {
                let Some(v) = f.get(key) else { continue };
                let Some(id) = r.id(v) else { continue };
                let there = match places {
                    true => known.has_place(&id),
                    false => known.has_connection(&id),
                };
                if there {
                    let at = r.mark(v);
                    r.problem(
                        at,
                        format!("this visit still has the {key} `{id}`"),
                        format!("delete the {key} from `places`, or this entry"),
                    );
                }
            }
        })
    }

    fn repairs(
        &mut self,
        ix: Ix,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Vec<Repair> {
        let kinds = [
            InstrumentKind::InfraredThermometer,
            InstrumentKind::ThermalImager,
            InstrumentKind::ContactThermometer,
        ];
        self.maps(ix, "repair", &mut |r, f| {
            if let Some(v) = f.get("connection") {
                r.connection_named(v, known);
            }
            if let Some(v) = f.get("with") {
                r.instrument_named(v, instruments, "measure a connection", &kinds);
            }
        })
    }

    /// The heat measurement after the repairs, later than the first one.
    fn heat_after(
        &mut self,
        ix: Ix,
        repaired: bool,
        before: Option<&Heat>,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Option<Heat> {
        let mut heat = self.heat(ix, known, instruments)?;
        if !repaired {
            let at = self.mark(ix);
            self.problem(
                at,
                "there was no repair to measure after",
                "write what was repaired under `repairs:`, or put the rounds into `heat:`",
            );
            return None;
        }
        let (Some(last), Some(first)) = (
            before.and_then(|b| b.rounds.last()).map(|r| r.at),
            heat.rounds.first().map(|r| r.at),
        ) else {
            return Some(heat);
        };
        // Clock times alone: after midnight the second series begins on a later day.
        if heat.run_on_after(last) {
            return Some(heat);
        }
        let at = self
            .tree
            .get(ix, "rounds")
            .map_or_else(|| self.mark(ix), |v| self.mark(v));
        self.problem(
            at,
            format!(
                "these rounds begin at {}, which is not after the end of `heat:` at {}",
                first.time, last.time
            ),
            "the series after the repairs is the later one; correct its times",
        );
        None
    }

    /// Checks that a place and, if given, a connection exist and belong together.
    fn place_and_connection(&mut self, f: &Fields, known: &Known<'a>) {
        let place = f.get("place").and_then(|v| self.place_named(v, known));
        let connection = f
            .get("connection")
            .and_then(|v| Some((v, self.connection_named(v, known)?)));
        if let (Some(place), Some((v, connection))) = (place, connection) {
            self.within_place(v, place, connection, known);
        }
    }

    /// Reports a connection that is in another place.
    fn within_place(&mut self, ix: Ix, place: &str, connection: &str, known: &Known<'a>) {
        if let Some(own) = known.connections.get(connection)
            && known.places.get(*own).is_some_and(|p| *p != place)
            && known.complete()
        {
            let at = self.mark(ix);
            self.problem(
                at,
                format!(
                    "`{connection}` is in `{}`, not in `{place}`",
                    known.places[*own]
                ),
                "correct the place or the connection",
            );
        }
    }

    fn isolation(&mut self, ix: Ix, instruments: &KnownInstruments<'a>) -> Option<Isolation> {
        let kinds = [InstrumentKind::VoltageTester, InstrumentKind::Multimeter];
        self.checked(ix, &mut |r, f| {
            if let Some(v) = f.get("tester") {
                r.instrument_named(v, instruments, "prove a circuit dead", &kinds);
            }
        })
    }

    /// The connection of this circuit with an id.
    pub(super) fn connection_named(&mut self, ix: Ix, known: &Known<'a>) -> Option<&'a str> {
        self.id_among(ix, "connection", known, known.connections())
    }

    /// The id of something in this circuit; reported if it is none of `ids`.
    fn id_among(
        &mut self,
        ix: Ix,
        what: &str,
        known: &Known<'a>,
        ids: impl Iterator<Item = &'a str> + Clone,
    ) -> Option<&'a str> {
        let name = self.scalar(ix, &format!("the id of a {what}"))?;
        if ids.clone().any(|id| id == name) {
            return Some(name);
        }
        if known.complete() {
            let at = self.mark(ix);
            self.unknown_name(at, what, name, ids);
        }
        None
    }

    fn torque_checks(
        &mut self,
        ix: Ix,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Vec<TorqueCheck> {
        let tools = [
            InstrumentKind::TorqueScrewdriver,
            InstrumentKind::TorqueWrench,
        ];
        let mut seen: HashMap<&str, Ix> = HashMap::new();
        self.maps(ix, "torque check", &mut |r, f| {
            if let Some(v) = f.get("connection")
                && let Some(name) = r.connection_named(v, known)
                && let Some(first) = seen.insert(name, v)
            {
                let (at, line) = (r.mark(v), r.line(first));
                r.problem(
                    at,
                    format!("`{name}` has a second torque check; the first is in line {line}"),
                    "keep one of the two",
                );
            }
            if let Some(v) = f.get("with") {
                r.instrument_named(v, instruments, "check a torque", &tools);
            }
        })
    }

    fn conditions(&mut self, ix: Ix, known: &Known<'a>) -> Vec<LookedAt> {
        self.maps(ix, "condition seen", &mut |r, f| {
            r.place_and_connection(f, known)
        })
    }

    /// The place of this circuit with an id.
    pub(super) fn place_named(&mut self, ix: Ix, known: &Known<'a>) -> Option<&'a str> {
        self.id_among(ix, "place", known, known.places())
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
