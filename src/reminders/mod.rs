//! What comes due among the circuits of a register: a list by week, a calendar, and letters to clients.
//!
//! [`coming`] decides what is due and who may be reminded; the other files write it down. A certificate that
//! does not verify reminds nobody.

pub mod calendar;
pub mod coming;
pub mod letters;
pub mod list;
mod visited;

pub use visited::Visited;
