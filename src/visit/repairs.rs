//! What was repaired during the visit, and how the circuit was left.

use super::choices::{LeftState, RepairDone};
use super::entry::{Entry, Lines, Map, NAME, Reference, Time, Within, choice, keys, map};
use super::key_table::Form;
use super::limits;
use super::reader::{Fields, Reader};
use super::words;
use super::written::Style;
use crate::quantity::{Current, Temperature, TimeOfDay, plausible};
use crate::yaml::Ix;

keys! {
    /// A connection that was repaired during the visit.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Repair, "a repair", Repair::fit {
        /// The connection, by its id
        must connection: String = Reference("the id of a connection"), "breaker-L1";
        /// What was done to it: `re-torqued`, `remade` or `part-replaced`
        must done: RepairDone = choice("what was done"), "re-torqued";
        /// The part that was fitted, for `part-replaced`
        may part: String = NAME, "Sample Works B250";
        /// When it was done, on the site's clock
        must at: TimeOfDay = Time, "\"12:10\"";
        /// Temperature to which the connection had cooled before it was touched
        may cooled_to: Temperature = Within(&plausible::READING), "66 °F";
        /// The thermometer of that temperature, by its id under `instruments`
        may with: String = Reference("the id of an instrument"), "gun";
    }

    /// State in which the inspector left a circuit.
    #[derive(Debug, Clone, PartialEq)]
    pub struct LeftAs, "how the circuit was left", LeftAs::fit {
        /// In use, limited, or off and locked
        must state: LeftState = choice("a state of the circuit"), "off-and-locked";
        /// Current that the charger was limited to
        may current: Current = Within(&plausible::RATED_CURRENT), "24 A";
        /// Who has the key of the lock
        may key: String = NAME, "Lee Park";
        /// A note in the inspector's words
        may note: String = Lines::<{ limits::NOTE }>, "Sign on the charger.";
    }
}

impl Repair {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        let replaced = self.done == RepairDone::PartReplaced;
        if replaced
            && self.part.is_none()
            && let Some(v) = f.get("done")
        {
            r.problem(
                r.mark(v),
                "a part was replaced, and the new one is not named",
                "write `part:` with its maker and type",
            );
        }
        if let (false, Some(v)) = (replaced, f.get("part")) {
            r.problem(
                r.mark(v),
                format!(
                    "`part` is the one fitted, and the connection was {}",
                    self.done
                ),
                "write `done: part-replaced`, or delete `part`",
            );
        }
        if let (None, Some(v)) = (self.cooled_to, f.get("with")) {
            r.problem(
                r.mark(v),
                "an instrument without the temperature that it showed",
                "write `cooled_to:` with the temperature before the connection was touched",
            );
        }
    }
}

impl LeftAs {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        let limited = self.state == LeftState::Limited;
        if let (false, Some(v)) = (limited, f.get("current")) {
            r.problem(
                r.mark(v),
                format!("a circuit that is {} has no limit", self.state),
                "write `state: limited`, or delete `current`",
            );
        }
        if limited
            && self.current.is_none()
            && let Some(v) = f.get("state")
        {
            r.problem(
                r.mark(v),
                "the charger was limited, and no current is given",
                "write `current:`, such as `current: 24 A`",
            );
        }
        if self.state != LeftState::OffAndLocked
            && let Some(v) = f.get("key")
        {
            r.problem(
                r.mark(v),
                "only a circuit that is off and locked has a key",
                "write `state: off-and-locked`, or delete `key`",
            );
        }
    }
}

/// The state alone, or a map with details.
pub(super) struct StateOrMap;

impl Entry for StateOrMap {
    type Value = LeftAs;
    const FORM: Form = Form::Either(&[Form::Word(words::list::<LeftState>), Map::<LeftAs>::FORM]);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<LeftAs> {
        if r.peek(ix).is_none() {
            return map().read(r, ix);
        }
        let state = r.word(ix, "a state of the circuit")?;
        if state == LeftState::Limited {
            r.problem(
                r.mark(ix),
                "the charger was limited, and no current is given",
                "write `left_as: { state: limited, current: 24 A }`",
            );
            return None;
        }
        Some(LeftAs {
            state,
            current: None,
            key: None,
            note: None,
        })
    }
    fn write(&self, value: &LeftAs, style: Style) -> String {
        match (value.current, &value.key, &value.note) {
            (None, None, None) => value.state.word().to_owned(),
            _ => map().write(value, style),
        }
    }
}
