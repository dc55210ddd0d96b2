//! Connections: the points that are measured.

use super::choices::{ConnectionKind, MarkedFor, ProductStandard, Surface};
use super::entry::{Entry, Line, Rating, Within, YesNo, choice, keys};
use super::reader::{Fields, Ids, Reader};
use super::table::Form;
use super::written::{Style, text};
use crate::quantity::{Length, Ratio, Temperature, Torque, bounds};
use crate::yaml::Ix;

keys! {
    /// One connection: the thing that is measured.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Connection, "a connection", Connection::fit {
        /// Id of the connection, unique in the circuit and the same at every visit
        must id: String = Id, "breaker-L1";
        /// Leg it belongs to: one of the supply's, or N, G, PE; `none` for a point on a closed cover
        must leg: String = Leg, "L1";
        /// What kind of connection it is
        must kind: ConnectionKind = choice("a kind of connection"), "screw-terminal";
        /// Torque its maker wants
        may torque: Torque = Within(&bounds::TORQUE), "45 in·lb";
        /// Screw, for the fallback torque table
        ///
        /// As written: `slotted-10`, `hex-3/16`, `M5`.
        may screw: String = Line::<24>, "slotted-10";
        /// Surface that the thermometer is aimed at
        may surface: Surface = choice("a surface"), "insulation";
        /// Emissivity of that surface, when measured
        may emissivity: Ratio = Within(&bounds::EMISSIVITY), "0.94";
        /// Width of the target
        may width: Length = Within(&bounds::TARGET), "10 mm";
        /// Temperature rating, when it differs from the breaker's terminals
        may rating: Temperature = Rating, "75 °C";
        /// Product standard of the device, which limits how far its terminals may warm up
        may standard: ProductStandard = choice("a product standard"), "iec-60898-1";
        /// Metals that the terminal is marked for
        may marked: MarkedFor = choice("a marking of metals"), "al-cu";
        /// Made anew since the last visit; comparison starts here
        else_default remade: bool = YesNo, "yes";
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

/// An id that is unique among the connections of the circuit.
struct Id;

impl Entry for Id {
    type Value = String;
    const FORM: Form = Form::Id;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.unique(ix, Ids::Connection)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
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
