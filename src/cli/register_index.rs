//! `register --index`: the index of certificates as a table and as a sealed PDF.

use super::error::CommandError;
use super::firm::signs_for;
use super::identity::{self, Signer};
use super::output;
use super::signing_time::SigningTime;
use super::terminal;
use crate::compose::index::{IndexInputs, index as document};
use crate::compose::{SealFacts, Wording};
use crate::firm::lookup::Found;
use crate::register::index::index;
use crate::register::row::Row;
use crate::seal::{self, Identity, SignOptions};
use crate::typeset;
use std::path::{Component, Path, PathBuf};

/// What is asked about an index.
#[derive(Debug, clap::Args)]
pub(super) struct IndexArguments {
    /// Also write an index of the selected certificates for an authority or an insurer, with the digest
    /// of each file: NAME.csv, and NAME.pdf, which is sealed; in a folder, index.csv and index.pdf
    #[arg(long, value_name = "NAME", conflicts_with = "believe_lines")]
    index: Option<PathBuf>,
    /// Language of the index [default: that of the firm's file, else en]
    #[arg(long, value_name = "LANGUAGE", requires = "index", value_parser = language)]
    index_language: Option<String>,
    /// Name of the person whose stored identity seals the index [default: the only one stored]
    #[arg(
        long,
        value_name = "NAME",
        requires = "index",
        conflicts_with = "identity"
    )]
    sealed_by: Option<String>,
    #[command(flatten)]
    signer: Signer,
    #[command(flatten)]
    signed_at: SigningTime,
}

fn language(text: &str) -> Result<String, String> {
    let all: Vec<&str> = Wording::languages().collect();
    match all.contains(&text) {
        true => Ok(text.to_owned()),
        false => Err(format!("one of {}", all.join(", "))),
    }
}

impl IndexArguments {
    /// The files to write: the table and the PDF.
    pub(super) fn targets(&self) -> Option<[PathBuf; 2]> {
        let name = self.index.as_ref()?;
        let stem = match name.is_dir() {
            true => name.join("index"),
            false => match name.extension() {
                Some(end) if end == "pdf" || end == "csv" => name.with_extension(""),
                _ => name.clone(),
            },
        };
        let with = |end: &str| {
            let mut whole = stem.clone().into_os_string();
            whole.push(end);
            PathBuf::from(whole)
        };
        Some([with(".csv"), with(".pdf")])
    }

    /// The files named on the command line, which must not be overwritten.
    pub(super) fn files(&self) -> impl Iterator<Item = &PathBuf> {
        self.signer.files()
    }

    /// Opens the key that seals the index, before the certificates are read; `None` if no index is
    /// wanted.
    pub(super) fn open(&self, firms: &[Found]) -> Result<Option<Sealer>, CommandError> {
        let Some(targets) = self.targets() else {
            return Ok(None);
        };
        self.signed_at.warn();
        let at = self.signed_at.get();
        let key = self.signer.open(at, || {
            identity::stored(self.sealed_by.as_deref(), self.signer.secret())
        })?;
        let person = key.subject();
        for firm in firms {
            let technician = firm.firm.technician(&person.name);
            if technician.is_some_and(|t| !t.keys.is_empty()) {
                signs_for(firm, &key, &person.name, at)?;
            }
        }
        let told = |firm: &Found| firm.firm.defaults.as_ref()?.language.clone();
        let language = self.index_language.clone();
        Ok(Some(Sealer {
            targets,
            key,
            language: language
                .or_else(|| firms.iter().find_map(told))
                .unwrap_or_else(|| "en".to_owned()),
            signed_at: self.signed_at.clone(),
        }))
    }
}

/// Who seals an index, and what it is called.
pub(super) struct Sealer {
    targets: [PathBuf; 2],
    key: Identity,
    language: String,
    signed_at: SigningTime,
}

impl Sealer {
    /// Writes the index of the certificates that these rows are of.
    pub(super) fn write(
        &self,
        all: &[Row],
        wanted: &[&Row],
        force: bool,
    ) -> Result<(), CommandError> {
        let Self {
            targets: [table, pdf],
            key,
            ..
        } = self;
        let place = |file: &str| seen_from(pdf, Path::new(file));
        let refused = |why: &dyn std::fmt::Display| CommandError::Refused(why.to_string());
        let index = index(all, wanted, &place).map_err(|e| refused(&e))?;
        if index.entries.is_empty() {
            return Err(CommandError::Refused(
                "there is nothing for an index: no selected certificate verifies".to_owned(),
            ));
        }
        let at = self.signed_at.get();
        let person = key.subject();
        let wording = Wording::built_in(&self.language);
        let inputs = IndexInputs {
            entries: &index.entries,
            covered: &index.covered,
            table: index.table.clone(),
            wording: wording.map_err(|e| refused(&e))?,
            units: index.units,
            paper: index.paper,
            seal: SealFacts {
                signer: person.name.clone(),
                firm: person.firm,
                licence: person.licence,
                time: at,
                fingerprint: key.fingerprint().to_string(),
                self_signed: key.is_self_signed(),
            },
        };
        let document = document(inputs).map_err(|e| refused(&e))?;
        let mut unsigned = typeset::render(&document).map_err(|e| refused(&e))?;
        let options = SignOptions::of(key, at);
        let sealed = seal::sign_taking(&mut unsigned, key, &options, None)?;
        output::write(table, &index.table, force)?;
        output::write(pdf, sealed.bytes(), force)?;
        let count = index.covered.certificates;
        terminal::say(&format!(
            "{} and {}: index of {count} {} written, sealed by {}",
            table.display(),
            pdf.display(),
            if count == 1 {
                "certificate"
            } else {
                "certificates"
            },
            person.name
        ));
        Ok(())
    }
}

/// The path of a file as seen from the folder of the index, with `/` between folders; as it was given,
/// where it is not below that folder.
fn seen_from(index: &Path, file: &Path) -> String {
    let folder = super::folders::folder_of(index);
    let below = || {
        let (folder, whole) = (folder.canonicalize().ok()?, file.canonicalize().ok()?);
        Some(whole.strip_prefix(folder).ok()?.to_owned())
    };
    let path = below().unwrap_or_else(|| file.to_owned());
    let parts: Vec<_> = path
        .components()
        .map(|part| match part {
            Component::RootDir => String::new().into(),
            other => other.as_os_str().to_string_lossy(),
        })
        .collect();
    parts.join("/")
}
