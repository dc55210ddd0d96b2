//! Reading a visit that was accepted before.

use crate::assess::{self, Earlier};
use crate::rules::Rules;
use crate::visit::{self, Diagnostics, ImageError, ImageFacts, Surroundings, Visit};
use chrono::NaiveDate;

/// The environment of a visit that was accepted before: its photos and its date are not checked
/// again.
#[derive(Debug, Clone, Copy)]
pub struct Accepted;

impl Surroundings for Accepted {
    fn today(&self) -> NaiveDate {
        NaiveDate::MAX
    }
    fn image(&self, _path: &str) -> Result<ImageFacts, ImageError> {
        Ok(ImageFacts {
            width: 1,
            height: 1,
        })
    }
    fn prints(&self, _c: char) -> bool {
        true
    }
}

/// A visit that was accepted before, from its source. A file of an earlier format is read as it is
/// after `warmlug upgrade`.
///
/// # Errors
/// What is wrong with the file.
pub fn read(source: &str, name: &str) -> Result<Visit, Diagnostics> {
    visit::read(source, name, &Accepted).or_else(|problems| {
        let upgraded = visit::upgrade(source, name).ok();
        let read = upgraded.and_then(|u| visit::read(&u.text, name, &Accepted).ok());
        read.ok_or(problems)
    })
}

/// An earlier visit from its source, assessed under the rules now in force.
///
/// # Errors
/// The problems in its file.
pub fn earlier_visit(source: &str, name: &str, rules: &Rules) -> Result<Earlier, Diagnostics> {
    let visit = read(source, name)?;
    let assessment = assess::assess(&visit, rules, &[]);
    Ok(Earlier::new(&visit, &assessment))
}
