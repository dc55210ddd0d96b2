//! Places where covers come off, and their connections: the points that are measured.

use super::choices::{ConnectionKind, MarkedFor, Part, ProductStandard, Surface};
use super::entry::{Entry, Line, NAME, Rating, UniqueId, Within, YesNo, choice, keys, maps};
use super::key_table::Form;
use super::reader::{Fields, Ids, Reader};
use super::written::{Style, text};
use crate::quantity::{Length, Ratio, Temperature, Torque, plausible};
use crate::yaml::Ix;

keys! {
    /// A place where a cover comes off.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Place, "a place", Place::fit {
        /// Id of the place, unique in the circuit
        must id: String = UniqueId(Ids::Place), "breaker";
        /// Name for people
        must name: String = NAME, "Breaker terminals, garage panel";
        /// Part of the circuit that it is, where its id and its connections do not show it
        may part: Part = choice("a part of the circuit"), "breaker";
        /// The cover stays closed, and its outer surface is read
        else_default closed: bool = YesNo, "yes";
        /// Connections under the cover
        must connections: Vec<Connection> = maps("connection"), "[ { id: breaker-L1, leg: L1, kind: screw-terminal } ]";
    }

    /// One connection: the thing that is measured.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Connection, "a connection", Connection::fit {
        /// Id of the connection, unique in the circuit and the same at every visit
        must id: String = UniqueId(Ids::Connection), "breaker-L1";
        /// Leg it belongs to: one of the supply's, or N, G, PE; `none` for a point on a closed cover
        must leg: String = Leg, "L1";
        /// What kind of connection it is
        must kind: ConnectionKind = choice("a kind of connection"), "screw-terminal";
        /// Torque specified by the manufacturer
        may torque: Torque = Within(&plausible::TORQUE), "45 in·lb";
        /// Screw, for the fallback torque table
        ///
        /// As written: `slotted-10`, `hex-3/16`, `M5`.
        may screw: String = Line::<24>, "slotted-10";
        /// Surface that the thermometer is aimed at
        may surface: Surface = choice("a surface"), "insulation";
        /// Emissivity of that surface, when measured
        may emissivity: Ratio = Within(&plausible::EMISSIVITY), "0.94";
        /// Width of the target
        may width: Length = Within(&plausible::TARGET), "10 mm";
        /// Temperature rating, when it differs from the breaker's terminals
        may rating: Temperature = Rating, "75 °C";
        /// Product standard of the device, which limits how far its terminals may warm up
        may standard: ProductStandard = choice("a product standard"), "iec-60898-1";
        /// Metals that the terminal is marked for
        may marked: MarkedFor = choice("a marking of metals"), "al-cu";
        /// Remade since the last visit; comparisons start here
        else_default remade: bool = YesNo, "yes";
    }
}

impl Place {
    /// Checks that a closed cover has points on it and nothing else.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        let closed = self.closed;
        if self.connections.iter().any(|c| c.on_cover() != closed)
            && let Some(v) = f.get("closed").or(f.get("connections"))
        {
            r.problem(
                r.mark(v),
                match closed {
                    true => "under a closed cover no connection can be read",
                    false => "this place is open, and it has a point on a closed cover",
                },
                "a place with `closed: yes` has points with `leg: none, kind: cover` only, and no \
                 other place has any; describe the connections under that cover as a place of \
                 their own",
            );
        }
    }
}

/// The leg of a point on a closed cover.
const NO_LEG: &str = "none";

impl Connection {
    /// Whether it is a point on the outside of a closed cover.
    pub fn on_cover(&self) -> bool {
        self.kind == ConnectionKind::Cover
    }

    /// Checks that exactly the points on a closed cover belong to no leg.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if self.on_cover() == (self.leg == NO_LEG) {
            return;
        }
        if let Some(v) = f.get("leg") {
            r.problem(
                r.mark(v),
                match self.on_cover() {
                    true => "a point on a closed cover belongs to no leg",
                    false => "only a point on a closed cover belongs to no leg",
                },
                match self.on_cover() {
                    true => "write `leg: none`",
                    false => "write the leg, or `kind: cover`",
                },
            );
        }
    }
}

/// A leg of the supply, or N, G or PE.
struct Leg;

impl Leg {
    fn names() -> Vec<&'static str> {
        vec!["L1", "L2", "L3", "N", "G", "PE", NO_LEG]
    }
}

impl Entry for Leg {
    type Value = String;
    const FORM: Form = Form::Word(Leg::names);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        let name = r.scalar(ix, "the name of a leg")?;
        if name == NO_LEG {
            return Some(name.to_owned());
        }
        r.leg(ix, name)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
}
