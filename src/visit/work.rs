//! The work at the open circuit: proof of isolation, torque checks, and what was seen.

use super::choices::Condition;
use super::entry::{Entry, Lines, Reference, Within, YesNo, keys};
use super::key_table::Form;
use super::limits;
use super::reader::{Need, Reader};
use super::when::{BeforeAfterOrTime, When};
use super::words::{Moved, Word, list};
use super::written::{Flow, Style, list as one_or_list};
use crate::quantity::{self, Kind, Temperature, Torque, Voltage, plausible};
use crate::quoted::shorten;
use crate::yaml::Ix;

keys! {
    /// Proof of isolation by the live–dead–live test.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Isolation, "the proof of isolation" {
        /// The voltage tester, by its id under `instruments`
        may tester: String = Reference("the id of an instrument"), "tester";
        /// Reading at a known live source before
        may proved_before: Voltage = Within(&plausible::TESTED_VOLTAGE), "241 V";
        /// Readings between each pair of legs, N, and G or PE
        ///
        /// Pairs as written (`L1-L2`, `L1-G`), in file order.
        else_default dead: Vec<(String, Voltage)> = Dead, "{ L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }";
        /// Reading at a known live source after
        may proved_after: Voltage = Within(&plausible::TESTED_VOLTAGE), "241 V";
        /// Locked and tagged
        may locked: bool = YesNo, "yes";
        /// Before or after the heat measurement, or the time
        may when: When = BeforeAfterOrTime, "before";
    }

    /// One torque check.
    #[derive(Debug, Clone, PartialEq)]
    pub struct TorqueCheck, "a torque check" {
        /// The connection, by its id
        must connection: String = Reference("the id of a connection"), "breaker-L1";
        /// Result: `held`, `moved` before the specified value (also a fully loose screw), or the torque at which it began to move
        must found: TorqueFound = HeldMovedOrTorque, "held";
        /// Torque it was left at
        may left: Torque = Within(&plausible::TORQUE), "45 in·lb";
        /// The torque tool, by its id under `instruments`
        may with: String = Reference("the id of an instrument"), "driver";
        /// Before or after the heat measurement, or the time
        may when: When = BeforeAfterOrTime, "after";
        /// Temperature to which the connection had cooled before it was tightened
        may cooled_to: Temperature = Within(&plausible::READING), "66 °F";
        /// The torques were checked again and are right, although they look wrong
        else_default confirmed: bool = YesNo, "yes";
    }

    /// Condition found at a place.
    #[derive(Debug, Clone, PartialEq)]
    pub struct LookedAt, "a condition seen" {
        /// The place, by its id
        must place: String = Reference("the id of a place"), "breaker";
        /// The connection it concerns, by its id
        may connection: String = Reference("the id of a connection"), "breaker-L1";
        /// What was seen; a word or a list of words
        must seen: Vec<Condition> = Conditions, "clean";
        /// A note in the inspector's words
        may note: String = Lines::<{ limits::NOTE }>, "Insulation brown over 10 mm.";
        /// Dust, insects or dirt were removed during the visit
        else_default cleaned: bool = YesNo, "yes";
    }
}

/// The result of a torque check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TorqueFound {
    /// Did not move at the specified value.
    Held,
    /// Moved before the specified value.
    Moved,
    /// Began to move at this value.
    Value(Torque),
}

/// Voltages between pairs of legs, N, and G or PE.
struct Dead;

impl Entry for Dead {
    type Value = Vec<(String, Voltage)>;
    const FORM: Form = Form::Pairs(&Form::Quantity(Kind::Voltage));
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Self::Value> {
        let entries = r.named(ix, "pair of legs", Need::May)?;
        let mut out: Vec<(String, Voltage)> = Vec::with_capacity(entries.len());
        for (pair, key, value) in entries.into_iter().take(limits::MARKS) {
            let at = r.mark(key);
            let Some((a, b)) = pair.split_once('-') else {
                r.problem(
                    at,
                    format!("`{}` is not a pair of legs", shorten(pair)),
                    "write both ends with a hyphen between, such as L1-L2 or L1-G",
                );
                continue;
            };
            if r.leg(key, a).is_none() || r.leg(key, b).is_none() {
                continue;
            }
            if a == b {
                r.problem(
                    at,
                    format!("`{pair}` is one leg twice"),
                    "write the two ends between which was measured, such as L1-L2 or L1-G",
                );
                continue;
            }
            if out.iter().any(|(p, _)| p.split_once('-') == Some((b, a))) {
                r.problem(
                    at,
                    format!("`{pair}` is the pair `{b}-{a}` again"),
                    "keep one of the two",
                );
                continue;
            }
            if let Some(voltage) = r.quantity(value, &plausible::TESTED_VOLTAGE) {
                out.push((pair.to_owned(), voltage));
            }
        }
        Some(out)
    }
    fn write(&self, value: &Self::Value, style: Style) -> String {
        let mut dead = Flow::default();
        for (pair, voltage) in value {
            dead.put(pair, style.q(*voltage));
        }
        dead.text()
    }
}

/// `held`, `moved` or a torque.
struct HeldMovedOrTorque;

impl Entry for HeldMovedOrTorque {
    type Value = TorqueFound;
    const FORM: Form = Form::Either(&[Form::Word(list::<Moved>), Form::Quantity(Kind::Torque)]);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<TorqueFound> {
        let text = r.scalar(ix, "what was found")?;
        if let Some(moved) = Moved::of(text) {
            return Some(match moved {
                Moved::Held => TorqueFound::Held,
                Moved::Moved => TorqueFound::Moved,
            });
        }
        if text.starts_with(char::is_alphabetic) {
            r.problem(
                r.mark(ix),
                format!("`{}` is not a result of a torque check", shorten(text)),
                "write held, moved, or the value at which it began to move, such as 30 in·lb",
            );
            return None;
        }
        let zero = quantity::parse::<Torque>(text, r.units.of(Kind::Torque))
            .is_ok_and(|torque| torque.newton_metre() == 0.0);
        if zero {
            r.problem(
                r.mark(ix),
                "a screw that is fully loose has no torque at which it begins to move",
                "write `found: moved`, and under `left:` the torque that it was tightened to",
            );
            return None;
        }
        r.quantity(ix, &plausible::TORQUE).map(TorqueFound::Value)
    }
    fn write(&self, value: &TorqueFound, style: Style) -> String {
        match value {
            TorqueFound::Held => Moved::Held.word().to_owned(),
            TorqueFound::Moved => Moved::Moved.word().to_owned(),
            TorqueFound::Value(torque) => style.q(*torque),
        }
    }
}

/// One condition or a list of them.
struct Conditions;

impl Entry for Conditions {
    type Value = Vec<Condition>;
    const FORM: Form = Form::Either(&[
        Form::Word(list::<Condition>),
        Form::List(&Form::Word(list::<Condition>), 8),
    ]);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Vec<Condition>> {
        if r.peek(ix).is_some() {
            return Some(vec![r.word(ix, "a condition")?]);
        }
        let items = r.list(ix, "condition", 8, Need::Must)?;
        let words: Vec<_> = items
            .iter()
            .filter_map(|i| r.word(*i, "a condition"))
            .collect();
        (words.len() == items.len()).then_some(words)
    }
    fn write(&self, value: &Vec<Condition>, _: Style) -> String {
        one_or_list(value.iter().map(|seen| seen.word().to_owned()))
    }
}
