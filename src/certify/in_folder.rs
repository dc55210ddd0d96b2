//! The environment of a visit whose images are in a [`Folder`].

use crate::photo::Folder;
use crate::visit::{ImageError, ImageFacts, Surroundings};
use chrono::NaiveDate;

/// The folder of a visit, and the day on which it is read.
#[derive(Debug, Clone, Copy)]
pub struct InFolder<'a> {
    /// The folder, on disk or in memory.
    pub folder: &'a Folder,
    /// Today; a visit with a later date is refused.
    pub today: NaiveDate,
}

impl Surroundings for InFolder<'_> {
    fn today(&self) -> NaiveDate {
        self.today
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.folder.image(path)
    }
    fn prints(&self, c: char) -> bool {
        crate::typeset::prints(c)
    }
}
