//! Figures: charts, strips, diagrams, codes and photos, each drawn from its numbers as vectors.

pub(super) mod chart;
pub(super) mod code;
pub(super) mod diagram;
pub(super) mod photo;
mod scale;
pub(super) mod strip;
