//! The checks, causes, limitations and conditions of a visit, each declared once in a table.
//!
//! The visit file's `judgement:`, the rule sets, the findings, the wordings, the schema and the
//! lists in tests are all derived from these tables, so that a new entry is known everywhere at
//! once, and missing parts (a sentence, a grade) are reported when a wording or a rule set is
//! loaded. This module does not depend on any other.
//!
//! A [`CheckId`] is one comparison; a [`CauseId`] is a diagnosis for which several checks are
//! evidence.

mod cause;
mod check;
mod limitation;
mod missing;
mod seen;
mod value;
pub(crate) mod word;

pub use cause::{Cause, CauseId, EVIDENCE, WhileUnrepaired};
pub use check::{CheckId, Declaration, Formula, Topic, Variant};
pub use limitation::LimitationId;
pub use missing::MissingKey;
pub use seen::{Condition, Grade, RatingOf};
pub use value::ValueName;
pub use word::Word;
pub(crate) use word::{vocabulary, words};
