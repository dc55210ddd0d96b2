//! Whether the spot that a thermometer averages over fits on the target.
//!
//! The optics' distance-to-spot ratio D:S tells the spot's diameter at a distance. An instrument
//! whose spot is wider than the target mixes in what lies behind it and shows a hot terminal too
//! cold; most of the radiation, not all, comes from within the nominal spot, so the spot should
//! be a share of the target only. The share is a rule's, not this file's.

use crate::quantity::{Length, Ratio};

/// Spot against target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Diameter of the spot.
    pub diameter: Length,
    /// Diameter over target width; over the share allowed, the spot is too wide.
    pub of_target: f64,
    /// Whether it is too wide.
    pub too_wide: bool,
    /// Largest distance at which the spot would fit: the distance to go to.
    pub go_to: Length,
}

/// Spot on a target of `width`, seen from `distance` with a distance-to-spot ratio, when the
/// spot may cover `share` of the target's width; `None` unless all are over 0 and finite.
///
/// For optics with a close focus the spot does not shrink below its focus diameter; makers state
/// D:S for the distances beyond, which this supposes.
pub fn spot(distance: Length, distance_to_spot: Ratio, width: Length, share: f64) -> Option<Spot> {
    let (d, q, w) = (distance.metre(), distance_to_spot.value(), width.metre());
    let usable = |x: f64| x > 0.0 && x.is_finite();
    if ![d, q, w, share].into_iter().all(usable) {
        return None;
    }
    let diameter = d / q;
    let allowed = w * share;
    let (of_target, go_to) = (diameter / w, allowed * q);
    (of_target.is_finite() && go_to.is_finite()).then_some(Spot {
        diameter: Length::from_metre(diameter),
        of_target,
        too_wide: diameter > allowed * (1.0 + SLACK),
        go_to: Length::from_metre(go_to),
    })
}

/// A spot that fits exactly, but for rounding of converted inches, fits.
const SLACK: f64 = 1e-9;
