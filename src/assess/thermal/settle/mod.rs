//! What a rise would settle to, and how fast, from the loaded rounds of a visit.
//!
//! A joint under load is taken as one body that sheds heat in proportion to its rise over the
//! air: τ·dr/dt = R·(I/I_ref)ⁿ − r − τ·dA/dt. Under steady current and air this is
//! r(t) = R·(1 − e^(−t/τ)). A real device has a fast part (the joint) and a slow one (the case,
//! the wall behind), so the first-order curve tells what the rounds show, not what hours would.
//!
//! What is supposed between rounds, since nobody measured there:
//! - the current read in a round has flowed since the round before (the first since charging
//!   began); where it varied, the steps superpose, each with heat ∝ Iⁿ, and since the moment of
//!   each change is unknown, what halfway between the rounds would give widens the uncertainty;
//! - the air went in a straight line from one round's to the next; the body follows it with the
//!   same τ, which is how a drift of the air enters a rise taken over the air of its own round;
//! - before charging the body was at the air's temperature, unless a no-load round says else.
//!
//! R and τ are fitted by weighted least squares: for each τ the best R is linear, so only τ is
//! searched. Two rounds are the same search with nothing left over. No plateau is invented: what
//! the rounds cannot tell within their uncertainty is said to be so, see [`How`].
//!
//! Left to others: which rounds count, what n is, which finding follows.

mod curve;
mod fit;
mod load;

pub(in crate::assess) use fit::fit_eased;
pub use fit::{How, Settling, fit};
pub use load::{Heating, LoadPoint};
