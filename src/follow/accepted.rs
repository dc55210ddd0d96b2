//! A visit that was read before, read again.

use crate::visit::{ImageFacts, ImageProblem, Surroundings};
use chrono::NaiveDate;

/// The world around a visit that was accepted before: its photos have been judged, its date lies
/// where it lies.
#[derive(Debug, Clone, Copy)]
pub struct Accepted;

impl Surroundings for Accepted {
    fn today(&self) -> NaiveDate {
        NaiveDate::MAX
    }
    fn image(&self, _path: &str) -> Result<ImageFacts, ImageProblem> {
        Ok(ImageFacts {
            width: 1,
            height: 1,
        })
    }
    fn prints(&self, _c: char) -> bool {
        true
    }
}
