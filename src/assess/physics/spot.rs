//! Whether the measuring spot of a thermometer fits on the target.
//!
//! The distance-to-spot ratio D:S of the optics gives the spot's diameter at a distance. If the
//! spot is wider than the target, the background contributes and a hot terminal reads too cold.
//! Most of the radiation, but not all, comes from within the nominal spot, so the spot should cover
//! only a fraction of the target. The rule set defines that fraction.
//!
//! A spot that is too wide calls for narrower optics, not for a smaller distance: a distance at which
//! the spot of common optics fits a terminal lies inside the approach boundary of live parts (60 mm
//! for 12:1 and 10 mm; restricted approach boundary 305 mm at 151–750 V, NFPA 70E (2021), Table
//! 130.4(E)(a), table number from memory).

use crate::quantity::{Length, Ratio};

/// Spot compared with target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Diameter of the spot.
    pub diameter: Length,
    /// Diameter divided by target width; above the allowed fraction, the spot is too wide.
    pub of_target: f64,
    /// Whether it is too wide.
    pub too_wide: bool,
    /// Smallest distance-to-spot ratio whose spot would fit at this distance.
    pub needed: Ratio,
}

/// Spot on a target of `width`, seen from `distance` with a distance-to-spot ratio, if the spot may
/// cover `share` of the target's width; `None` unless all are positive and finite.
///
/// For close-focus optics the spot does not shrink below its diameter at the focus; manufacturers
/// state D:S for larger distances, which this assumes.
pub fn spot(distance: Length, distance_to_spot: Ratio, width: Length, share: f64) -> Option<Spot> {
    let (d, q, w) = (distance.metre(), distance_to_spot.value(), width.metre());
    let usable = |x: f64| x > 0.0 && x.is_finite();
    if ![d, q, w, share].into_iter().all(usable) {
        return None;
    }
    let diameter = d / q;
    let allowed = w * share;
    let (of_target, needed) = (diameter / w, d / allowed);
    (of_target.is_finite() && needed.is_finite()).then_some(Spot {
        diameter: Length::from_metre(diameter),
        of_target,
        too_wide: diameter > allowed * (1.0 + SLACK),
        needed: Ratio::from_value(needed),
    })
}

/// A spot that fits exactly except for rounding of converted inches fits.
const SLACK: f64 = 1e-9;
