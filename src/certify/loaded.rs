//! A visit that has been read, checked and assessed, with everything that its certificate contains.

use super::error::CertifyError;
use crate::assess::{Assessment, Earlier};
use crate::compose::Wording;
use crate::photo::{Folder, Original};
use crate::rules::Rules;
use crate::visit::Visit;
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
