//! The rise at which a connection would settle, and how fast, from the loaded rounds of a visit.
//!
//! A joint under load is modelled as one body that sheds heat in proportion to its rise over the
//! air: τ·dr/dt = R·(I/I_ref)ⁿ − r − τ·dA/dt. Under steady current and air this gives
//! r(t) = R·(1 − e^(−t/τ)). A real device has a fast part (the joint) and a slow one (the case, the
//! wall behind it), so the first-order curve describes the period of the rounds, not the following
//! hours.
//!
//! Assumptions about the time between rounds, when nobody measured:
//! - the current read in a round has flowed since the previous round (the first one since
//!   charging began); if it varied, the steps superpose, each with heat ∝ Iⁿ, and since the
//!   moment of each change is unknown, the uncertainty is widened by the result for a change
//!   halfway between the rounds;
//! - the air temperature changed linearly from one round to the next; the body follows it with
//!   the same τ, which is how a drift of the air affects a rise over the air of its own round;
//! - before charging the body was at the air's temperature, unless a no-load round shows otherwise.
//!
//! R and τ are fitted by weighted least squares: for each τ the best R follows linearly, so only τ
//! is searched. Two rounds are the same search with no residual. No plateau is invented: if the
//! rounds cannot determine something within their uncertainty, the result says so, see [`How`].
//!
//! Not decided here: which rounds count, the value of n, and the resulting findings.

mod curve;
mod fit;
mod load;

pub(in crate::assess) use fit::fit_eased;
pub use fit::{How, Settling, fit};
pub use load::{Heating, LoadPoint};
