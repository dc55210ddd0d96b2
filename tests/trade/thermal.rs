//! The physics of heat against published values, worked examples and its own laws.
//!
//! `thermal_cases` writes seeded random cases with our answers for `thermal_peers.py`, which
//! computes them again with scipy, numpy and uncertainties.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod thermal_cases;
mod thermal_kept;
mod thermal_laws;
mod thermal_patterns;
mod thermal_radiance;
mod thermal_settling;
mod thermal_spot;
mod thermal_trend;
mod uncertainty;

/// Asserts that two numbers differ by at most a tolerance, telling both when they do not.
#[track_caller]
fn close(found: f64, wanted: f64, within: f64) {
    assert!(
        (found - wanted).abs() <= within,
        "found {found}, wanted {wanted} ± {within}"
    );
}
