//! A visit that has been read, checked and assessed, with everything that its certificate contains.

use super::error::CertifyError;
use crate::assess::{self, Assessment, Earlier};
use crate::compose::Wording;
use crate::photo::{Folder, Original};
use crate::rules::{self, Rules};
use crate::visit::{Diagnostics, Visit};
use std::sync::Arc;

/// A visit that has been read, checked and assessed.
pub struct Loaded {
    /// The text of the file.
    pub source: String,
    /// The parsed visit.
    pub visit: Visit,
    /// Its folder, with the images that were read.
    pub folder: Folder,
    /// Rule set in force.
    pub rules: RulesInForce,
    /// Texts of the earlier visits, in the order of the visit file.
    pub earlier: Vec<String>,
    /// The earlier visits, assessed.
    pub compared: Vec<Earlier>,
    /// The findings.
    pub assessment: Assessment,
}

impl Loaded {
    /// Assesses a visit in comparison with earlier ones, given as the text and the assessment of each
    /// in the order of the visit file.
    pub fn new(
        source: String,
        visit: Visit,
        folder: Folder,
        rules: RulesInForce,
        earlier: Vec<(String, Earlier)>,
    ) -> Self {
        let (earlier, compared): (Vec<_>, Vec<_>) = earlier.into_iter().unzip();
        let assessment = assess::assess(&visit, rules.get(), &compared);
        Self {
            source,
            visit,
            folder,
            rules,
            earlier,
            compared,
            assessment,
        }
    }

    /// Index of the newest of the earlier visits; of several on one day, the first that the visit
    /// file names.
    pub fn newest_earlier(&self) -> Option<usize> {
        let dates = self.compared.iter().map(|earlier| earlier.date);
        let newest = dates.clone().max()?;
        dates.into_iter().position(|date| date == newest)
    }

    /// An image of the visit, as it was when it was first read.
    ///
    /// # Errors
    /// [`CertifyError::Image`].
    pub fn original(&self, file: &str) -> Result<Arc<Original>, CertifyError> {
        self.folder
            .original(file)
            .map_err(|problem| CertifyError::Image {
                path: file.to_owned(),
                problem,
            })
    }

    /// The words in the visit's main language.
    ///
    /// # Errors
    /// [`CertifyError::Wording`].
    pub fn wording(&self) -> Result<&'static Wording, CertifyError> {
        Ok(Wording::built_in(self.visit.print.main_language())?)
    }
}

/// A rule set: built in, or from a firm's file.
pub enum RulesInForce {
    /// Compiled into the program.
    BuiltIn(&'static Rules),
    /// From a file.
    File {
        /// The rules.
        rules: Box<Rules>,
        /// The text of the file, which the certificate embeds.
        source: String,
    },
}

impl RulesInForce {
    /// The rules in the text of a firm's file with this name.
    ///
    /// # Errors
    /// The problems in the file.
    pub fn of_file(source: String, name: &str, edition: Option<&str>) -> Result<Self, Diagnostics> {
        let rules = Box::new(rules::load_edition(&source, name, edition)?);
        Ok(RulesInForce::File { rules, source })
    }

    /// The rules, owned.
    pub fn into_rules(self) -> Rules {
        match self {
            RulesInForce::BuiltIn(rules) => rules.clone(),
            RulesInForce::File { rules, .. } => *rules,
        }
    }

    /// The rules.
    pub fn get(&self) -> &Rules {
        match self {
            RulesInForce::BuiltIn(rules) => rules,
            RulesInForce::File { rules, .. } => rules,
        }
    }

    /// The text of a firm's file.
    pub fn source(&self) -> Option<&str> {
        match self {
            RulesInForce::BuiltIn(_) => None,
            RulesInForce::File { source, .. } => Some(source),
        }
    }
}
