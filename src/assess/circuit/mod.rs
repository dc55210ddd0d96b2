//! Checks of the circuit against the rules of installation: one file a subject.
//!
//! Each check says whether its rule holds, does not hold, or cannot be told from what the visit
//! gives, and then what is missing. A check that the rule set does not name, or that does not
//! concern the circuit, is not made. A line that only informs has a value without a limit and
//! holds.
//!
//! Where a fact is not told, the check is tried with everything that it could be; it is decided
//! only when all of them agree. A value printed for an undecided check is the least favourable.

mod all;
mod aluminium;
mod ampacity;
mod conductor;
mod continuous;
mod disconnect;
mod individual;
mod loss;
mod methods;
mod poles;
mod protection;
mod receptacle;
mod residual;
mod ruling;
mod splices;
mod supply;
mod voltage_drop;

pub use all::checks;
pub(super) use continuous::load_factor;
