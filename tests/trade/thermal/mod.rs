//! The physics of heat against published values, worked examples and its own laws.
//!
//! `cases` writes seeded random cases with our answers for `peers.py`, which
//! computes them again with scipy, numpy and uncertainties.

mod cases;
mod kept;
mod laws;
mod patterns;
mod radiance;
mod settling;
mod spot;
mod trend;
mod uncertainty;

/// Asserts that two numbers differ by at most a tolerance, telling both when they do not.
#[track_caller]
fn close(found: f64, wanted: f64, within: f64) {
    assert!(
        (found - wanted).abs() <= within,
        "found {found}, wanted {wanted} ± {within}"
    );
}
