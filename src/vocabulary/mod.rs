//! What can be checked, found, left undone and seen on a visit: each declared once, in one table.
//!
//! The visit file's `judgement:`, the rule sets, the findings, the wordings, the schema and the
//! lists in tests are all derived from these tables, so that a new entry is known everywhere at
//! once and whatever it still lacks (a sentence, a grade) is named when a wording or a rule set
//! is loaded. Nothing here depends on another part of the program.
//!
//! A [`CheckId`] is one comparison, a [`CauseId`] the diagnosis that several checks are evidence for.

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
