//! The firm behind the visits: its letterhead, technicians and their keys, shared instruments, what
//! it usually writes into a visit, and the numbers that it has given out.
//!
//! All of it is in one file, `firm.yaml` ([`Firm`]), and a list beside it, `numbers.csv`
//! ([`ledger`]). A visit refers to its entries by name; [`copied`] puts the entries into the text
//! of the visit, so that a certificate contains the state on the day of the visit and never needs
//! the firm's file.

pub mod copied;
mod error;
mod file;
pub mod file_name;
pub mod keys;
pub mod ledger;
#[cfg(not(target_family = "wasm"))]
pub mod lookup;
mod money;
mod prices;
mod usual;

pub use error::FirmError;
pub use file::{
    Calibration, Defaults, Firm, Letterhead, LocalAir, NumberRange, SigningKey, State, Technician,
};
pub use money::Money;
pub use prices::{JobPrice, Prices};
pub use usual::usual;
