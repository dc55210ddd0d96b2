//! Checks of the circuit against the installation rules, one file per subject.
//!
//! Each check passes, fails, or cannot be decided from the visit; in that case it lists what is
//! missing. A check that the rule set does not name, or that does not apply to the circuit, is not
//! made. An informational line has a value without a limit and passes.
//!
//! If a fact is not specified, the check is evaluated for every possible value and decided only if
//! all results agree. The value printed for an undecided check is the least favourable.

mod all;
mod aluminium;
mod ampacity;
mod conductor;
mod continuous;
mod deciding_keys;
mod derating;
mod disconnect;
mod electrode;
mod ground_fault;
mod grounding;
mod individual;
mod loss;
mod managed;
mod methods;
mod outdoors;
mod parallel;
mod pen;
mod poles;
mod protection;
mod receptacle;
mod residual;
mod ruling;
mod splices;
mod supply;
mod voltage_drop;

pub use all::checks;
pub use aluminium::takes_conductor;
pub(super) use continuous::load_factor;
pub use deciding_keys::undecided;
