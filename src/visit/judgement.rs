//! The inspector's own word on a finding.

use super::choices::{Condition, Grade};
use super::entry::{Entry, Lines, Reference, choice, keys};
use super::key_table::Form;
use super::limits;
use super::reader::Reader;
use super::written::{Style, text};
use crate::quoted::shorten;
use crate::vocabulary::Cause;
use crate::yaml::Ix;

keys! {
    /// The inspector's own judgement on a finding.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Judgement, "a judgement" {
        /// The cause of the finding, or the id of a check
        must finding: Cause = CauseOrCheck, "leg-difference";
        /// The circuit, when the finding occurs in several
        may circuit: String = Reference("the id of a circuit"), "bay-1";
        /// The place
        may place: String = Reference("the id of a place"), "breaker";
        /// The connection
        may connection: String = Reference("the id of a connection"), "breaker-L1";
        /// For the finding `condition`, the condition that was seen
        may seen: Condition = choice("a condition"), "dust";
        /// The grade that the inspector gives
        must grade: Grade = choice("a grade"), "watch";
        /// Reason for the judgement
        must because: String = Lines::<{ limits::REMARKS }>, "Both legs were re-made an hour before.";
    }
}

/// The cause of a finding, or the id of a check.
struct CauseOrCheck;

impl CauseOrCheck {
    fn words() -> Vec<&'static str> {
        Cause::words().collect()
    }
}

impl Entry for CauseOrCheck {
    type Value = Cause;
    const FORM: Form = Form::Word(CauseOrCheck::words);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Cause> {
        let id = r.id(ix)?;
        if let Some(cause) = Cause::of(&id) {
            return Some(cause);
        }
        let help = match r.nearest(&id, Cause::words()) {
            Some(near) => format!("did you mean {near}?"),
            None => "write the cause of one of this visit's findings, or the id of a check; \
                 `check --format json` lists them"
                .to_owned(),
        };
        r.problem(
            r.mark(ix),
            format!("no finding has the id `{}`", shorten(&id)),
            help,
        );
        None
    }
    fn write(&self, value: &Cause, _: Style) -> String {
        text(value.word())
    }
}
