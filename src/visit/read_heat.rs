//! Heat measurement: rounds of readings and their order in time.
//!
//! Times are on the site's clock and may run past midnight. A round up to twelve hours earlier than
//! the previous one is out of order; more than twelve hours earlier means the next day. If the file
//! names a time zone, minutes are counted across a clock change.

use super::keys;
use super::limits;
use super::model::{Heat, InstrumentKind, Moment, Reading, Round};
use super::read_circuit::{Known, KnownInstruments};
use super::reader::{Need, Reader};
use super::zone::Shown;
use crate::quantity::{Current, Temperature, TimeOfDay, plausible};
use crate::quoted::shorten;
use crate::yaml::Ix;
use chrono::Days;

/// A step back of more than this means that midnight has passed.
const HALF_DAY_S: i64 = 12 * 3600;

/// Seconds of a day.
const DAY_S: i64 = 24 * 3600;

impl<'a> Reader<'a, '_> {
    pub(super) fn heat(
        &mut self,
        ix: Ix,
        known: &Known<'a>,
        instruments: &KnownInstruments<'a>,
    ) -> Option<Heat> {
        let f = self.fields(ix, &keys::HEAT, None)?;
        let thermometers = [
            InstrumentKind::InfraredThermometer,
            InstrumentKind::ThermalImager,
            InstrumentKind::ContactThermometer,
        ];
        let with = f.get("with").and_then(|v| {
            self.instrument_named(v, instruments, "measure a connection", &thermometers)
        });
        let start = f
            .get("charging_from")
            .and_then(|v| Some((v, self.time(v)?)));
        let items = f
            .get("rounds")
            .and_then(|v| self.list(v, "round", limits::ROUNDS, Need::Must))?;
        let rounds: Vec<(Ix, Option<Round>)> = items
            .iter()
            .map(|item| (*item, self.round(*item, known)))
            .collect();
        let all_read = rounds.iter().all(|(_, r)| r.is_some());
        let mut rounds: Vec<(Ix, Round)> = rounds
            .into_iter()
            .filter_map(|(ix, r)| Some((ix, r?)))
            .collect();
        // If charging began more than half a day "later" than the first round, it began the evening
        // before: the visit's date is that of the evening.
        let ahead = match (&start, rounds.first()) {
            (Some((_, time)), Some((_, first))) => {
                i64::from(time.seconds()) - i64::from(first.at.time.seconds())
            }
            _ => 0,
        };
        let in_order = self.order(&mut rounds, u32::from(ahead > HALF_DAY_S));
        let charging_from = match start {
            Some((v, time)) if all_read && in_order => {
                self.begin(v, time, u8::from(ahead < -HALF_DAY_S), &rounds)
            }
            Some(_) | None => None,
        };
        if !all_read {
            return None;
        }
        let rounds = rounds.into_iter().map(|(_, r)| r).collect();
        Some(Heat {
            with: with?,
            charging_from,
            rounds,
        })
    }

    /// The possible offsets of the site's clock at a time of a day after the visit's date, seconds,
    /// in chronological order; 0 if its changes are not known. None, with a problem reported, if
    /// the clock never showed that time.
    fn offsets(&mut self, ix: Ix, day: u32, time: TimeOfDay) -> Vec<i64> {
        let (Some(clock), Some(date)) = (&self.clock, self.date) else {
            return vec![0];
        };
        let Some(date) = date.checked_add_days(Days::new(day.into())) else {
            return vec![0];
        };
        match clock.shown(date, time) {
            Shown::Once(offset) => vec![offset],
            Shown::Twice(first, second) => vec![first, second],
            Shown::Never => {
                let at = self.mark(ix);
                self.problem(
                    at,
                    format!("the site's clock never showed {time} on {date}: it was set forward"),
                    "write the time as the clock showed it after the change",
                );
                Vec::new()
            }
        }
    }

    /// Assigns the rounds, the first of which is on a day after the visit's date, to the days that
    /// their times imply; false if they are out of order.
    ///
    /// If the clock showed a time twice, the first occurrence after the previous round is used.
    fn order(&mut self, rounds: &mut [(Ix, Round)], day: u32) -> bool {
        let mut before: Option<(Moment, u32, i64)> = None;
        let mut reference = None;
        let mut day = day;
        let mut sound = true;
        for (ix, round) in rounds.iter_mut() {
            let time = round.at.time;
            let mark = self.tree.get(*ix, "at").unwrap_or(*ix);
            let step = before.map(|(last, last_day, _)| {
                let step = i64::from(time.seconds()) - i64::from(last.time.seconds());
                day = last_day;
                if step < -HALF_DAY_S {
                    day += 1;
                    step + DAY_S
                } else {
                    step
                }
            });
            let offsets = self.offsets(mark, day, time);
            if offsets.is_empty() {
                sound = false;
                continue;
            }
            let later = |offset: &i64| match (step, before) {
                (Some(step), Some((_, _, last))) => step - (offset - last) > 0,
                _ => true,
            };
            let Some(offset) = offsets.iter().copied().find(later) else {
                let at = self.mark(mark);
                let last = before.map_or(time, |(last, ..)| last.time);
                let how = if step == Some(0) {
                    "at the same time as"
                } else {
                    "before"
                };
                self.problem(
                    at,
                    format!("this round at {time} is {how} the one in front of it at {last}"),
                    "put the rounds in the order in which they were read, or correct the time",
                );
                sound = false;
                continue;
            };
            // A visit of 256 rounds has at most 256 days.
            round.at.day = u8::try_from(day).unwrap_or(u8::MAX);
            let reference = *reference.get_or_insert(offset);
            round.at.jump_s = i32::try_from(offset - reference).unwrap_or(0);
            before = Some((round.at, day, offset));
        }
        sound
    }

    /// The moment at which charging began, on a day after the visit's date, and the checks of the
    /// rounds before it.
    ///
    /// If the clock showed a time twice, the last occurrence not after the first round with current
    /// is used: the shorter charging time claims less.
    fn begin(
        &mut self,
        ix: Ix,
        time: TimeOfDay,
        day: u8,
        rounds: &[(Ix, Round)],
    ) -> Option<Moment> {
        let plain = Moment {
            day,
            time,
            jump_s: 0,
        };
        let Some((_, first)) = rounds.first() else {
            return Some(plain);
        };
        let offsets = self.offsets(ix, day.into(), time);
        // Reference for the clock changes during the rounds.
        let reference = self
            .offsets(ix, first.at.day.into(), first.at.time)
            .first()
            .copied()?;
        let candidates = offsets.iter().map(|offset| Moment {
            jump_s: i32::try_from(offset - reference).unwrap_or(0),
            ..plain
        });
        let loaded_from = rounds.iter().find(|(_, r)| r.current.ampere() > 0.0);
        let fits =
            |start: &Moment| loaded_from.is_none_or(|(_, r)| start.seconds() <= r.at.seconds());
        let start = candidates
            .clone()
            .rfind(fits)
            .or_else(|| candidates.clone().next())?;
        let loaded: Vec<(usize, Ix, TimeOfDay, f64)> = rounds
            .iter()
            .enumerate()
            .filter(|(_, (_, r))| r.at.seconds() < start.seconds() && r.current.ampere() > 0.0)
            .map(|(i, (ix, r))| (i, *ix, r.at.time, r.current.ampere()))
            .collect();
        match loaded.as_slice() {
            [] => {}
            [(0, round, at_time, ampere)] => {
                let at = self
                    .tree
                    .get(*round, "current")
                    .map_or_else(|| self.mark(*round), |v| self.mark(v));
                self.problem(
                    at,
                    format!(
                        "{ampere} A in the round at {at_time}, before charging began at {time}"
                    ),
                    "a round before charging is one without load: write `current: 0 A`, or correct \
                     `charging_from`",
                );
            }
            [.., (_, _, at_time, ampere)] => {
                let at = self.mark(ix);
                self.problem(
                    at,
                    format!(
                        "charging began at {time}, after the round at {at_time} with {ampere} A"
                    ),
                    "write when charging began, before the first round with current",
                );
            }
        }
        Some(start)
    }

    fn round(&mut self, ix: Ix, known: &Known<'a>) -> Option<Round> {
        let f = self.fields(ix, &keys::ROUND, None)?;
        let at = f.get("at").and_then(|v| self.time(v));
        let confirmed = f
            .get("confirmed")
            .and_then(|v| self.flag(v))
            .unwrap_or(false);
        const HOW: &str = "add `confirmed: yes` to the round if you have looked again";
        let air = f
            .get("air")
            .and_then(|v| self.quantity_or_insist(v, &plausible::AIR, confirmed, HOW));
        let current = f.get("current").and_then(|v| self.currents(v));
        let voltage = f
            .get("voltage")
            .and_then(|v| self.quantity(v, &plausible::SUPPLY_VOLTAGE));
        let readings = f.get("readings").and_then(|v| self.readings(v, known));
        Some(Round {
            at: Moment {
                day: 0,
                time: at?,
                jump_s: 0,
            },
            air,
            confirmed,
            current: current.as_ref()?.0,
            legs: current?.1,
            voltage,
            readings: readings?,
        })
    }

    /// The current of a round: one for all legs, or one for each line of the supply. The largest, and
    /// each.
    fn currents(&mut self, ix: Ix) -> Option<(Current, Vec<(String, Current)>)> {
        if self.peek(ix).is_some() {
            let current = self.quantity(ix, &plausible::LOAD_CURRENT)?;
            return Some((current, Vec::new()));
        }
        let mut legs = Vec::new();
        for (name, key, value) in self.named(ix, "leg", Need::Must)? {
            let current = self.quantity(value, &plausible::LOAD_CURRENT)?;
            let of_supply = self.legs.as_ref();
            if of_supply.is_some_and(|legs| !legs.iter().any(|l| l == name)) {
                let at = self.mark(key);
                self.problem(
                    at,
                    format!("`{}` is not a leg of this supply", shorten(name)),
                    "name the legs as under `supply`",
                );
                return None;
            }
            legs.push((name.to_owned(), current));
        }
        let given = |leg: &&String| legs.iter().any(|(name, _)| name == *leg);
        let lines = self.legs.iter().flatten().filter(|l| *l != "N");
        if let Some(missing) = lines.clone().find(|l| !given(l)).cloned() {
            let at = self.mark(ix);
            self.problem(
                at,
                format!("the current in {missing} is missing"),
                format!("write it too, such as `{missing}: 0 A`"),
            );
            return None;
        }
        let largest = legs.iter().map(|(_, current)| *current);
        let largest = largest.reduce(|most, next| if next > most { next } else { most })?;
        Some((largest, legs))
    }

    fn readings(&mut self, ix: Ix, known: &Known<'a>) -> Option<Vec<(String, Reading)>> {
        let entries = self.named(ix, "reading", Need::Must)?;
        let mut out = Vec::with_capacity(entries.len());
        let mut sound = true;
        for (name, key, value) in entries {
            if !known.has_connection(name) {
                if known.complete() {
                    let at = self.mark(key);
                    self.unknown_name(at, "connection", name, known.connections());
                }
                sound = false;
                continue;
            }
            match self.reading(value, name) {
                Some(reading) => out.push((name.to_owned(), reading)),
                None => sound = false,
            }
        }
        sound.then_some(out)
    }

    /// A temperature, several, or a map with more details.
    fn reading(&mut self, ix: Ix, name: &str) -> Option<Reading> {
        if self.peek(ix).is_some() || !self.tree.items(ix).is_empty() {
            let temperatures = self.temperatures(ix, false, name)?;
            return Some(Reading {
                temperatures,
                distance: None,
                reflected: None,
                drop: None,
                confirmed: false,
            });
        }
        let f = self.fields(ix, &keys::READING, None)?;
        let confirmed = f
            .get("confirmed")
            .and_then(|v| self.flag(v))
            .unwrap_or(false);
        let temperatures = f
            .get("temperature")
            .and_then(|v| self.temperatures(v, confirmed, name));
        let distance = f
            .get("distance")
            .and_then(|v| self.quantity(v, &plausible::DISTANCE));
        let reflected = f
            .get("reflected")
            .and_then(|v| self.quantity(v, &plausible::REFLECTED));
        let drop = f
            .get("drop")
            .and_then(|v| self.quantity(v, &plausible::DROP));
        Some(Reading {
            temperatures: temperatures?,
            distance,
            reflected,
            drop,
            confirmed,
        })
    }

    /// One temperature or a list of repeated ones.
    fn temperatures(&mut self, ix: Ix, confirmed: bool, name: &str) -> Option<Vec<Temperature>> {
        if let Some(text) = self.peek(ix) {
            let how = if confirmed || plausible::READING.firm {
                String::new()
            } else {
                format!(
                    "write `{name}: {{ temperature: {text}, confirmed: yes }}` if you have looked again"
                )
            };
            let t = self.quantity_or_insist(ix, &plausible::READING, confirmed, &how)?;
            return Some(vec![t]);
        }
        let items = self.list(ix, "temperature", limits::REPEATS, Need::Must)?;
        let how = format!(
            "write `{name}: {{ temperature: [ ... ], confirmed: yes }}` if you have looked again"
        );
        let out: Vec<Temperature> = items
            .iter()
            .filter_map(|i| self.quantity_or_insist(*i, &plausible::READING, confirmed, &how))
            .collect();
        (out.len() == items.len()).then_some(out)
    }
}
