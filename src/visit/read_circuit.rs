//! A circuit: what it is made of, its connections, and what was done at them.

use super::keys;
use super::limits;
use super::model::{
    Breaker, Charger, ChargerConnection, Circuit, Conductors, Connection, Disconnect, GroundFault,
    InstrumentKind, Isolation, LookedAt, Place, Receptacle, ResidualCurrentDevice, Supply,
    TorqueCheck, TorqueFound,
};
use super::reader::{Fields, Need, Reader};
use super::words::{Moved, Word};
use crate::quantity::{self, Kind, Torque, bounds};
use crate::yaml::{Ix, shorten};
use std::collections::HashMap;

/// What other parts of the file may refer to in a circuit, gathered before anything is read,
/// so that one bad entry does not make every reference to it look wrong.
pub(super) struct Known<'a> {
    pub id: Option<&'a str>,
    places: Vec<&'a str>,
    /// Connection id to index of its place.
    connections: HashMap<&'a str, usize>,
    /// The same in the order of the file, for messages.
    order: Vec<&'a str>,
    /// Whether every place and connection has an id that could be read.
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

    /// False when an unknown id may be one that could not be read.
    pub(super) fn complete(&self) -> bool {
        self.complete
    }
}

/// An instrument that can be referred to.
pub(super) struct KnownInstrument<'a> {
    pub id: &'a str,
    /// `None` when its kind could not be read.
    pub kind: Option<InstrumentKind>,
}

/// The file's instruments; `None` when the map itself could not be read.
pub(super) type KnownInstruments<'a> = Option<Vec<KnownInstrument<'a>>>;

impl<'a> Reader<'a, '_> {
    /// Ids of a circuit.
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

    /// Ids and kinds of the instruments.
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

    /// An instrument of one of some kinds, by its id.
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
        ids: &mut HashMap<String, Ix>,
    ) -> Option<Circuit> {
        let f = self.fields(ix, &keys::CIRCUIT, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, ids));
        let name = self.name(&f, "name");
        let charger = f.get("charger").and_then(|v| self.charger(v));
        let supply = f.get("supply").and_then(|v| self.supply(v));
        let legs = supply.as_ref().map(|s| s.legs.clone());
        let breaker = f.get("breaker").and_then(|v| self.breaker(v));
        let conductors = f.get("conductors").and_then(|v| self.conductors(v));
        let feeder = f.get("feeder").and_then(|v| self.conductors(v));
        let receptacle = f.get("receptacle").and_then(|v| self.receptacle(v));
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
        let disconnect = f.get("disconnect").and_then(|v| self.disconnect(v));
        let dedicated = f.get("dedicated").and_then(|v| self.flag(v));
        let rcd = f.get("rcd").and_then(|v| self.residual_current_device(v));
        let hottest_air = f
            .get("hottest_air")
            .and_then(|v| self.quantity(v, &bounds::HOTTEST_AIR));
        let places = f
            .get("places")
            .and_then(|v| self.places(v, legs.as_deref()));
        let isolation = f
            .get("isolation")
            .and_then(|v| self.isolation(v, legs.as_deref(), instruments));
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

    /// A type, or a map with more about the device.
    fn residual_current_device(&mut self, ix: Ix) -> Option<ResidualCurrentDevice> {
        const WHAT: &str = "a type of residual-current device";
        if self.peek(ix).is_some() {
            return Some(ResidualCurrentDevice {
                kind: self.word(ix, WHAT)?,
                rating: None,
                dc_detection: None,
                trip_time: None,
            });
        }
        let f = self.fields(ix, &keys::RCD, None)?;
        let kind = f.get("type").and_then(|v| self.word(v, WHAT));
        let rating = f
            .get("rating")
            .and_then(|v| self.quantity(v, &bounds::RESIDUAL_CURRENT));
        let dc_detection = f.get("dc_detection").and_then(|v| self.flag(v));
        let trip_time = f
            .get("trip_time")
            .and_then(|v| self.quantity(v, &bounds::TRIP_TIME));
        Some(ResidualCurrentDevice {
            kind: kind?,
            rating,
            dc_detection,
            trip_time,
        })
    }

    fn charger(&mut self, ix: Ix) -> Option<Charger> {
        let f = self.fields(ix, &keys::CHARGER, None)?;
        let make = self.name(&f, "make");
        let model = self.name(&f, "model");
        let serial = self.name(&f, "serial");
        let rated = f
            .get("rated_current")
            .and_then(|v| self.quantity(v, &bounds::RATED_CURRENT));
        let connection = f
            .get("connection")
            .and_then(|v| self.word(v, "a way to connect"));
        Some(Charger {
            make,
            model,
            serial,
            rated_current: rated?,
            connection: connection?,
        })
    }

    fn supply(&mut self, ix: Ix) -> Option<Supply> {
        let f = self.fields(ix, &keys::SUPPLY, None)?;
        let phases = f.get("phases").and_then(|v| {
            let n = self.whole(v, "a number of phases", 1, 3)?;
            if n == 2 {
                let at = self.mark(v);
                self.problem(
                    at,
                    "a supply has 1 or 3 phases",
                    "write 1 for the two legs of a split-phase supply, which are one phase",
                );
                return None;
            }
            u8::try_from(n).ok()
        });
        let legs = f
            .get("legs")
            .and_then(|v| self.legs(v).map(|legs| (v, legs)));
        if let (Some(phases), Some((v, legs))) = (phases, &legs) {
            let lines = legs.iter().filter(|l| *l != "N").count();
            let fits = if phases == 3 {
                lines == 3
            } else {
                (1..=2).contains(&lines)
            };
            if !fits {
                let at = self.mark(*v);
                self.problem(
                    at,
                    {
                        let (s, p) = (plural(lines), plural(usize::from(phases)));
                        format!("{lines} line leg{s} do not fit a supply of {phases} phase{p}")
                    },
                    "write `[L1, L2]` or `[L1, N]` for one phase, `[L1, L2, L3]` for three, with \
                     N where there is a neutral",
                );
                return None;
            }
        }
        let voltage = f
            .get("voltage")
            .and_then(|v| self.quantity(v, &bounds::SUPPLY_VOLTAGE));
        let system = f
            .get("system")
            .and_then(|v| self.word(v, "a three-phase system"));
        let earthing = f
            .get("earthing")
            .and_then(|v| self.word(v, "an earthing of the system"));
        Some(Supply {
            phases: phases?,
            legs: legs?.1,
            voltage: voltage?,
            system,
            earthing,
        })
    }

    fn legs(&mut self, ix: Ix) -> Option<Vec<String>> {
        let items = self.list(ix, "leg", 4, Need::Must)?;
        let mut legs: Vec<String> = Vec::new();
        for item in items {
            let text = self.scalar(*item, "the name of a leg")?;
            let at = self.mark(*item);
            if !matches!(text, "L1" | "L2" | "L3" | "N") {
                self.problem(
                    at,
                    format!("`{}` is not the name of a leg", shorten(text)),
                    "name the legs L1, L2 and L3, and the neutral N",
                );
                return None;
            }
            if legs.iter().any(|l| l == text) {
                self.problem(
                    at,
                    format!("the leg {text} stands here twice"),
                    "keep one of the two",
                );
                return None;
            }
            legs.push(text.to_owned());
        }
        Some(legs)
    }

    fn breaker(&mut self, ix: Ix) -> Option<Breaker> {
        let f = self.fields(ix, &keys::BREAKER, None)?;
        let kind = f
            .get("kind")
            .and_then(|v| self.word(v, "a kind of overcurrent device"));
        let rating = f
            .get("rating")
            .and_then(|v| self.quantity(v, &bounds::RATED_CURRENT));
        let poles = f
            .get("poles")
            .and_then(|v| self.whole(v, "a number of poles", 1, 4))
            .and_then(|n| u8::try_from(n).ok());
        let terminal_rating = f
            .get("terminal_rating")
            .and_then(|v| self.quantity(v, &bounds::RATING));
        let ground_fault = f
            .get("ground_fault")
            .and_then(|v| self.word(v, "a ground-fault protection"));
        let full_rated = f.get("full_rated").and_then(|v| self.flag(v));
        Some(Breaker {
            kind,
            rating: rating?,
            poles,
            terminal_rating,
            ground_fault: ground_fault.unwrap_or(GroundFault::Unknown),
            full_rated: full_rated.unwrap_or(false),
        })
    }

    fn conductors(&mut self, ix: Ix) -> Option<Conductors> {
        let f = self.fields(ix, &keys::CONDUCTORS, None)?;
        let material = f
            .get("material")
            .and_then(|v| self.word(v, "a conductor metal"));
        let size = f.get("size").and_then(|v| self.size(v));
        let insulation = f
            .get("insulation")
            .and_then(|v| self.quantity(v, &bounds::RATING));
        let wiring = f
            .get("wiring")
            .and_then(|v| self.word(v, "a wiring method"));
        let length = f.get("length").and_then(|v| self.quantity(v, &bounds::RUN));
        let current_carrying = f
            .get("current_carrying")
            .and_then(|v| self.whole(v, "a number of conductors", 1, 200));
        let ambient = f
            .get("ambient")
            .and_then(|v| self.quantity(v, &bounds::HOTTEST_AIR));
        let stranded = f.get("stranded").and_then(|v| self.flag(v));
        let method = f.get("method").and_then(|v| self.text(v, 8));
        let circuits_together = f
            .get("circuits_together")
            .and_then(|v| self.whole(v, "a number of circuits", 1, 200));
        let load = f
            .get("load")
            .and_then(|v| self.quantity(v, &bounds::LOAD_CURRENT));
        Some(Conductors {
            material: material?,
            size: size?,
            insulation: insulation?,
            wiring,
            length,
            current_carrying,
            ambient,
            stranded,
            method,
            circuits_together,
            load,
        })
    }

    fn receptacle(&mut self, ix: Ix) -> Option<Receptacle> {
        let f = self.fields(ix, &keys::RECEPTACLE, None)?;
        let configuration = f.get("configuration").and_then(|v| self.text(v, 24));
        let grade = f
            .get("grade")
            .and_then(|v| self.word(v, "a grade of receptacle"));
        let rating = f
            .get("rating")
            .and_then(|v| self.quantity(v, &bounds::RATING));
        let wet_location = f.get("wet_location").and_then(|v| self.flag(v));
        Some(Receptacle {
            configuration: configuration?,
            grade,
            rating,
            wet_location,
        })
    }

    fn disconnect(&mut self, ix: Ix) -> Option<Disconnect> {
        let f = self.fields(ix, &keys::DISCONNECT, None)?;
        let in_sight = f.get("in_sight").and_then(|v| self.flag(v));
        let lockable = f.get("lockable").and_then(|v| self.flag(v));
        let plaque = f.get("plaque").and_then(|v| self.flag(v));
        Some(Disconnect {
            in_sight,
            lockable,
            plaque,
        })
    }

    fn places(&mut self, ix: Ix, legs: Option<&[String]>) -> Option<Vec<Place>> {
        let items = self.list(ix, "place", limits::CONNECTIONS, Need::Must)?;
        let (mut places, mut connections) = (HashMap::new(), HashMap::new());
        let mut out = Vec::with_capacity(items.len());
        let mut sound = true;
        for item in items {
            match self.place(*item, legs, &mut places, &mut connections) {
                Some(place) => out.push(place),
                None => sound = false,
            }
        }
        sound.then_some(out)
    }

    fn place(
        &mut self,
        ix: Ix,
        legs: Option<&[String]>,
        places: &mut HashMap<String, Ix>,
        connections: &mut HashMap<String, Ix>,
    ) -> Option<Place> {
        let f = self.fields(ix, &keys::PLACE, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, places));
        let name = self.name(&f, "name");
        let list = f.get("connections").and_then(|v| {
            let items = self.list(v, "connection", limits::CONNECTIONS, Need::Must)?;
            let mut out = Vec::with_capacity(items.len());
            let mut sound = true;
            for item in items {
                match self.connection(*item, legs, connections) {
                    Some(connection) => out.push(connection),
                    None => sound = false,
                }
            }
            sound.then_some(out)
        });
        Some(Place {
            id: id?,
            name: name?,
            connections: list?,
        })
    }

    fn connection(
        &mut self,
        ix: Ix,
        legs: Option<&[String]>,
        ids: &mut HashMap<String, Ix>,
    ) -> Option<Connection> {
        let f = self.fields(ix, &keys::CONNECTION, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, ids));
        let leg = f.get("leg").and_then(|v| {
            let text = self.scalar(v, "the name of a leg")?;
            self.leg(v, text, legs)
        });
        let kind = f
            .get("kind")
            .and_then(|v| self.word(v, "a kind of connection"));
        let torque = f
            .get("torque")
            .and_then(|v| self.quantity(v, &bounds::TORQUE));
        let screw = f.get("screw").and_then(|v| self.text(v, 24));
        let surface = f.get("surface").and_then(|v| self.word(v, "a surface"));
        let emissivity = f
            .get("emissivity")
            .and_then(|v| self.quantity(v, &bounds::EMISSIVITY));
        let width = f
            .get("width")
            .and_then(|v| self.quantity(v, &bounds::TARGET));
        let rating = f
            .get("rating")
            .and_then(|v| self.quantity(v, &bounds::RATING));
        let standard = f
            .get("standard")
            .and_then(|v| self.word(v, "a product standard"));
        let marked = f
            .get("marked")
            .and_then(|v| self.word(v, "a marking of metals"));
        let remade = f.get("remade").and_then(|v| self.flag(v));
        Some(Connection {
            id: id?,
            leg: leg?,
            kind: kind?,
            torque,
            screw,
            surface,
            emissivity,
            width,
            rating,
            standard,
            marked,
            remade: remade.unwrap_or(false),
        })
    }

    /// A leg of the supply, or N, G or PE.
    fn leg(&mut self, ix: Ix, text: &str, legs: Option<&[String]>) -> Option<String> {
        let legs = legs?;
        if matches!(text, "N" | "G" | "PE") || legs.iter().any(|l| l == text) {
            return Some(text.to_owned());
        }
        let at = self.mark(ix);
        let known: Vec<&str> = legs
            .iter()
            .map(String::as_str)
            .chain(
                ["N", "G", "PE"]
                    .into_iter()
                    .filter(|n| !legs.iter().any(|l| l == n)),
            )
            .collect();
        self.problem(
            at,
            format!("the supply has no leg `{}`", shorten(text)),
            format!("write {}", crate::nearest::or(known.into_iter(), 9)),
        );
        None
    }

    fn isolation(
        &mut self,
        ix: Ix,
        legs: Option<&[String]>,
        instruments: &KnownInstruments<'a>,
    ) -> Option<Isolation> {
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
        let dead = f
            .get("dead")
            .map(|v| self.dead(v, legs))
            .unwrap_or_default();
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
    fn dead(&mut self, ix: Ix, legs: Option<&[String]>) -> Vec<(String, crate::quantity::Voltage)> {
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
            if self.leg(key, a, legs).is_none() || self.leg(key, b, legs).is_none() {
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

    /// A connection of this circuit, by its id.
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

    /// A place of this circuit, by its id.
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

/// The ending of a noun after a number.
fn plural(n: usize) -> &'static str {
    if n == 1 { "" } else { "s" }
}
