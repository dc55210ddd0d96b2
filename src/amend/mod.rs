//! Certificates that replace earlier ones.

pub mod amendment;
pub mod voucher;
