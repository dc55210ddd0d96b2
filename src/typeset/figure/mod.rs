//! Figures: charts, strips, diagrams and photos, each drawn from its numbers as vectors.

pub(super) mod chart;
pub(super) mod diagram;
pub(super) mod photo;
mod scale;
pub(super) mod strip;
