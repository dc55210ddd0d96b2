//! The parts of a circuit: supply, protection, conductors, receptacle, charger.

use super::choices::{
    ChargerConnection, Disconnector, Earthing, GroundFault, Material, OvercurrentDevice, Rcd,
    ReceptacleGrade, System, Wiring,
};
use super::entry::{Entry, In, Line, NAME, Rating, Size, Within, YesNo, choice, keys, map, whole};
use super::key_table::Form;
use super::limits;
use super::reader::{Fields, Need, Reader};
use super::words;
use super::written::{Style, flow_list};
use crate::quantity::{
    ConductorSize, Current, Duration, Kind, Length, Resistance, Temperature, Unit, Voltage,
    plausible,
};
use crate::quoted::shorten;
use crate::yaml::Ix;

keys! {
    /// The charger (EVSE).
    #[derive(Debug, Clone, PartialEq)]
    pub struct Charger, "the charger", Charger::fit {
        /// Maker
        may make: String = NAME, "Sample Works";
        /// Model
        may model: String = NAME, "SW-40";
        /// Serial number
        may serial: String = NAME, "0001";
        /// Current that it is rated, or set, to draw continuously
        must rated_current: Current = Within(&plausible::RATED_CURRENT), "40 A";
        /// How it is connected
        must connection: ChargerConnection = choice("a way to connect"), "hardwired";
        /// Currents that the charger can be set to
        else_default settings: Vec<Current> = Settings, "[16 A, 24 A, 32 A, 40 A]";
        /// Current that it is set to, where that is less than it is rated for
        ///
        /// The circuit is then judged by it.
        may current_setting: Current = Within(&plausible::RATED_CURRENT), "32 A";
        /// Whether changing that setting needs a tool, a lock or a password
        may setting_restricted: bool = YesNo, "yes";
    }

    /// The supply.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Supply, "the supply", Supply::fit {
        /// Number of phases: 1 or 3
        must phases: u8 = Phases, "1";
        /// Names of the legs in order; L1, L2, L3 and N
        ///
        /// At least one.
        must legs: Vec<String> = Legs, "[L1, L2]";
        /// Nominal voltage between the legs that the charger uses
        ///
        /// Line to line; line to neutral for a one-leg load.
        must voltage: Voltage = Within(&plausible::SUPPLY_VOLTAGE), "240 V";
        /// Three-phase system
        may system: System = choice("a three-phase system"), "wye";
        /// Earthing of the system by IEC 60364: `tn` or `tt`
        may earthing: Earthing = choice("an earthing of the system"), "tn";
        /// If the neutral of the supply is also its protective conductor (PEN), whether there is protection against its loss
        ///
        /// By a device that detects it and disconnects the vehicle, or by an earth electrode that keeps
        /// the touch voltage low.
        may pen_protected: bool = YesNo, "yes";
        /// Resistance of the earth electrode of a TT system, with the conductor that leads to it
        may earth_resistance: Resistance = In(Unit::Ohm, &plausible::EARTH_RESISTANCE), "83 Ω";
    }

    /// The overcurrent device.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Breaker, "the breaker" {
        /// Rated current of the breaker
        must rating: Current = Within(&plausible::RATED_CURRENT), "50 A";
        /// Kind of device: `mcb` by IEC 60898-1, `mccb` by IEC 60947-2, `fuse` of class gG
        may kind: OvercurrentDevice = choice("a kind of overcurrent device"), "mcb";
        /// Number of poles
        may poles: u8 = whole::<_, 1, 4>("a number of poles"), "2";
        /// Temperature rating of its terminals
        ///
        /// 60 °C or 75 °C in the US.
        may terminal_rating: Temperature = Rating, "75 °C";
        /// Ground-fault protection in the breaker: `gfci` 5 mA for people, `gfpe` 30 mA for equipment
        else_default ground_fault: GroundFault = choice("a ground-fault protection"), "none";
        /// Listed for continuous operation at 100 % of its rating
        else_default full_rated: bool = YesNo, "no";
        /// Hottest air around the breaker, inside its enclosure
        may ambient: Temperature = Within(&plausible::HOTTEST_AIR), "45 °C";
        /// Breakers side by side that carry their load at the same time, including this one
        may side_by_side: u16 = whole::<_, 1, 100>("a number of breakers"), "3";
    }

    /// A system that limits what several loads draw together.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub struct LoadManagement, "the load management" {
        /// Largest current that it lets its loads draw together
        must limit: Current = Within(&plausible::LOAD_CURRENT), "80 A";
        /// Whether changing that limit needs a tool, a lock or a password
        may restricted: bool = YesNo, "yes";
    }

    /// A residual-current device.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub struct ResidualCurrentDevice, "the residual-current device" {
        /// Type; `a-6ma` detects smooth direct current itself
        must kind as "type": Rcd = choice(RCD), "a";
        /// Rated residual current
        may rating: Current = In(Unit::Milliampere, &plausible::RESIDUAL_CURRENT), "30 mA";
        /// Whether a device, here or in the charger, disconnects at 6 mA smooth direct current
        may dc_detection: bool = YesNo, "yes";
        /// Time it took to trip when tested at its rated residual current
        may trip_time: Duration = In(Unit::Millisecond, &plausible::TRIP_TIME), "28 ms";
    }

    /// A run of conductors.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Conductors, "the conductors" {
        /// Metal of the conductors
        must material: Material = choice("a conductor metal"), "copper";
        /// Size of each line conductor
        must size: ConductorSize = Size, "6 AWG";
        /// Temperature rating of the insulation
        must insulation: Temperature = Rating, "90 °C";
        /// Wiring method
        may wiring: Wiring = choice("a wiring method"), "nm-cable";
        /// One-way length of the run
        may length: Length = Within(&plausible::RUN), "55 ft";
        /// Current-carrying conductors in the raceway or cable
        may current_carrying: u16 = whole::<_, 1, 200>("a number of conductors"), "2";
        /// Hottest air along the run, when it differs from the charger's
        may ambient: Temperature = Within(&plausible::HOTTEST_AIR), "120 °F";
        /// Stranded or solid
        may stranded: bool = YesNo, "yes";
        /// IEC reference method
        ///
        /// `B1`, `B2`, `C`, …
        may method: String = Line::<8>, "B1";
        /// Circuits or multi-core cables side by side along the run, including this one
        may circuits_together: u16 = whole::<_, 1, 200>("a number of circuits"), "1";
        /// Load on a feeder
        may load: Current = Within(&plausible::LOAD_CURRENT), "60 A";
        /// Rating of the overcurrent device in front of a feeder
        may protected_by: Current = Within(&plausible::RATED_CURRENT), "90 A";
        /// Temperature rating of a feeder's terminals
        may terminal_rating: Temperature = Rating, "75 °C";
        /// Size of the equipment grounding (protective) conductor
        may grounding: ConductorSize = Size, "10 AWG";
        /// Conductors in parallel in each leg
        may parallel: u16 = whole::<_, 1, 8>("a number of conductors"), "1";
    }

    /// A receptacle.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Receptacle, "the receptacle" {
        /// Configuration of the receptacle
        must configuration: String = Line::<24>, "14-50";
        /// Grade of the receptacle
        may grade: ReceptacleGrade = choice("a grade of receptacle"), "industrial";
        /// Temperature rating
        may rating: Temperature = Rating, "75 °C";
        /// In a wet location
        may wet_location: bool = YesNo, "no";
    }

    /// Disconnecting means.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub struct Disconnect, "the disconnect" {
        /// What disconnects: `breaker` (the circuit's own), `switch` (with terminals), or `plug`
        may kind: Disconnector = choice("a kind of disconnect"), "breaker";
        /// In sight of the charger
        may in_sight: bool = YesNo, "yes";
        /// Can be locked open
        may lockable: bool = YesNo, "yes";
        /// Out of sight, but a plaque at the charger says where it is
        may plaque: bool = YesNo, "yes";
    }
}

impl Charger {
    /// The current that the circuit has to carry: what the charger is set to, else what it is rated
    /// for.
    pub fn load(&self) -> Current {
        self.current_setting.unwrap_or(self.rated_current)
    }

    /// Checks that the setting is not above the rating.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if let (Some(setting), Some(v)) = (self.current_setting, f.get("current_setting"))
            && setting > self.rated_current
        {
            r.problem(
                r.mark(v),
                format!(
                    "the charger is set to {setting}, but rated for {}",
                    self.rated_current
                ),
                "write the rating of its nameplate at rated_current",
            );
        }
    }
}

impl Supply {
    /// Checks that the number of legs matches the number of phases.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        let lines = self.legs.iter().filter(|l| *l != "N").count();
        let fits = match self.phases {
            3 => lines == 3,
            _ => (1..=2).contains(&lines),
        };
        if fits {
            r.legs = Some(self.legs.clone());
        } else if let Some(v) = f.get("legs") {
            let (s, p) = (plural(lines), plural(usize::from(self.phases)));
            r.problem(
                r.mark(v),
                format!(
                    "{lines} line leg{s} do not fit a supply of {} phase{p}",
                    self.phases
                ),
                "write `[L1, L2]` or `[L1, N]` for one phase, `[L1, L2, L3]` for three, with N \
                 where there is a neutral",
            );
        }
    }
}

/// The plural ending of a noun after a number.
fn plural(n: usize) -> &'static str {
    if n == 1 { "" } else { "s" }
}

/// Currents in amperes, ascending, none twice.
struct Settings;

impl Entry for Settings {
    type Value = Vec<Current>;
    const FORM: Form = Form::List(&Form::Quantity(Kind::Current), limits::SETTINGS);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Vec<Current>> {
        let items = r.list(ix, "setting", limits::SETTINGS, Need::May)?;
        let mut out = Vec::with_capacity(items.len());
        for item in items {
            out.push(r.quantity(*item, &plausible::RATED_CURRENT)?);
        }
        out.sort_by(|a: &Current, b| a.ampere().total_cmp(&b.ampere()));
        out.dedup();
        Some(out)
    }
    fn write(&self, value: &Vec<Current>, style: Style) -> String {
        flow_list(value.iter().map(|v| style.q(*v)))
    }
}

/// 1 or 3.
struct Phases;

impl Entry for Phases {
    type Value = u8;
    const FORM: Form = Form::Phases;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<u8> {
        let n = r.whole(ix, "a number of phases", 1, 3)?;
        if n == 2 {
            r.problem(
                r.mark(ix),
                "a supply has 1 or 3 phases",
                "write 1 for the two legs of a split-phase supply, which are one phase",
            );
            return None;
        }
        u8::try_from(n).ok()
    }
    fn write(&self, value: &u8, _: Style) -> String {
        value.to_string()
    }
}

/// The legs of a supply.
struct Legs;

impl Legs {
    fn names() -> Vec<&'static str> {
        vec!["L1", "L2", "L3", "N"]
    }
}

impl Entry for Legs {
    type Value = Vec<String>;
    const FORM: Form = Form::List(&Form::Word(Legs::names), 4);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Vec<String>> {
        let items = r.list(ix, "leg", 4, Need::Must)?;
        let mut legs: Vec<String> = Vec::new();
        for item in items {
            let text = r.scalar(*item, "the name of a leg")?;
            let at = r.mark(*item);
            if !Legs::names().contains(&text) {
                r.problem(
                    at,
                    format!("`{}` is not the name of a leg", shorten(text)),
                    "name the legs L1, L2 and L3, and the neutral N",
                );
                return None;
            }
            if legs.iter().any(|l| l == text) {
                r.problem(
                    at,
                    format!("the leg {text} is listed twice"),
                    "keep one of the two",
                );
                return None;
            }
            legs.push(text.to_owned());
        }
        Some(legs)
    }
    fn write(&self, value: &Vec<String>, _: Style) -> String {
        flow_list(value.iter().cloned())
    }
}

/// The name of a type of residual-current device in messages.
const RCD: &str = "a type of residual-current device";

/// The type of a residual-current device, or a map with details.
pub(super) struct TypeOrMap;

impl Entry for TypeOrMap {
    type Value = ResidualCurrentDevice;
    const FORM: Form = Form::Either(&[
        Form::Word(words::list::<Rcd>),
        super::entry::Map::<ResidualCurrentDevice>::FORM,
    ]);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<ResidualCurrentDevice> {
        if r.peek(ix).is_none() {
            return map().read(r, ix);
        }
        Some(ResidualCurrentDevice {
            kind: r.word(ix, RCD)?,
            rating: None,
            dc_detection: None,
            trip_time: None,
        })
    }
    fn write(&self, value: &ResidualCurrentDevice, style: Style) -> String {
        match (value.rating, value.dc_detection, value.trip_time) {
            (None, None, None) => value.kind.word().to_owned(),
            _ => map().write(value, style),
        }
    }
}
