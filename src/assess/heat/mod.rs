//! Heat: from readings to rises, limits and the findings on them.

pub mod bound;
pub mod breaker_rise;
pub mod charging_current;
pub mod findings;
pub mod held;
pub mod hints;
pub mod insulation;
pub mod legs;
pub mod measured;
pub mod places;
pub mod rated;
pub mod readings;
pub mod resistance;
pub mod since;
pub mod without_load;
pub mod would_show;
