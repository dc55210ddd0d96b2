//! What was not done, and why: connections that could not be read under load, connections that no
//! longer exist, and a visit that ended early.

use super::choices::WhyNotRead;
use super::entry::{Date, Lines, Reference, choice, keys};
use super::limits;
use super::reader::{Fields, Reader};
use chrono::NaiveDate;

keys! {
    /// A place or connection that was not read under load.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct NotRead, "what was not read" {
        /// The place, by its id
        must place: String = Reference("the id of a place"), "charger";
        /// The connection, by its id; if absent, all of the place
        may connection: String = Reference("the id of a connection"), "charger-L1";
        /// Why it was not read under load
        must why: WhyNotRead = choice("a reason for not reading a connection"), "closed-while-charging";
        /// A note in the inspector's words
        may note: String = Lines::<{ limits::NOTE }>, "The cover trips an interlock.";
    }

    /// A place, connection or circuit of an earlier visit that no longer exists.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Removed, "what was removed", Removed::fit {
        /// The connection, by its id at the earlier visit
        may connection: String = Reference("the id of a connection"), "splice-L1";
        /// The place, by its id at the earlier visit
        may place: String = Reference("the id of a place"), "splice";
        /// The circuit, by its id at the earlier visit
        may circuit: String = Reference("the id of a circuit"), "bay-2";
        /// Why it no longer exists
        must why: String = Lines::<{ limits::NOTE }>, "The run was pulled anew without a splice.";
    }

    /// A visit that ended before everything was done.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct CutShort, "the end of the visit", CutShort::fit {
        /// Why the visit ended early
        must why: String = Lines::<{ limits::NOTE }>, "The tenant had to leave.";
        /// Day on which the rest is to be done
        may return_on as "return": NaiveDate = Date, "2026-10-20";
    }
}

impl Removed {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        let named = [&self.connection, &self.place, &self.circuit];
        if named.into_iter().flatten().count() != 1
            && let Some(v) = f.get("why")
        {
            r.problem(
                r.mark(v),
                "exactly one connection, place or circuit was removed for this reason",
                "write `connection`, `place` or `circuit`, and an entry for each",
            );
        }
    }
}

impl CutShort {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if let (Some(day), Some(date), Some(v)) = (self.return_on, r.date, f.get("return"))
            && day < date
        {
            r.problem(
                r.mark(v),
                format!("the rest was to be done on {day}, before the visit of {date}"),
                "write the day on which somebody returns",
            );
        }
    }
}
