//! `warmlug worksheet`: writes a sheet to fill in on site.

use super::error::CommandError;
use super::folders;
use super::input;
use super::new;
use super::output;
use super::signing_time;
use super::target;
use super::terminal;
use crate::certify::Loaded;
use crate::compose::worksheet::{Past, page_words};
use crate::compose::{Document, Speaker};
use crate::next::merge::Values;
use crate::next::page_engine::Request;
use crate::next::phone_page::{self, Beside};
use crate::next::sheet;
use crate::typeset;
use chrono::{DateTime, FixedOffset, Local, SubsecRound};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Write a worksheet to fill in on site, with a pen or on a tablet
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug worksheet visit.yaml                     writes worksheet.pdf next to it
  warmlug worksheet visit.yaml -o - | lp           prints it
  warmlug worksheet visit.yaml --page              writes worksheet.html, for a phone
  warmlug fill visit.yaml --with worksheet.pdf     copies the entries into the visit file

The sheet has the safety notes first, then the steps in working order. The last values come from \
the newest visit under `earlier:`.")]
pub(super) struct Worksheet {
    /// Visit file
    visit: PathBuf,
    /// Write an offline page for a phone instead, with times, live results and photos
    #[arg(long)]
    page: bool,
    /// File to write; `-` means standard output [default: worksheet.pdf or worksheet.html next to the
    /// visit file]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Time of creation, with offset from UTC (2026-10-06T12:30:00-04:00) [default: now]
    #[arg(long, value_name = "TIME", value_parser = signing_time::parse)]
    made_at: Option<DateTime<FixedOffset>>,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

impl Worksheet {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let loaded = input::load(&self.visit, None)?;
        let name = if self.page {
            "worksheet.html"
        } else {
            "worksheet.pdf"
        };
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| self.visit.with_file_name(name));
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, input::files_of(&loaded.visit, &self.visit))?;
            target::free(&target, self.force)?;
        }
        let wording = input::wording(&loaded.visit)?;
        let speaker = Speaker::new(
            &loaded.visit,
            &loaded.assessment,
            loaded.rules.get(),
            wording,
        );
        let past = self.past(&loaded)?;
        let made_at = self
            .made_at
            .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0));
        let document = sheet::document(&speaker, past.as_ref(), made_at);
        // The page saves its entries as a separate file; the PDF is filled in itself.
        let (bytes, saved) = if self.page {
            let request = Request {
                visit: loaded.source.clone(),
                rules: loaded.rules.source().map(str::to_owned),
                earlier: loaded.earlier.clone(),
                values: Values::new(),
            };
            let page = phone_page::page(
                &document,
                &request,
                &beside(&loaded)?,
                &page_words(&speaker),
            );
            (page.into_bytes(), Some("visit.zip"))
        } else {
            (pdf(&document)?, None)
        };
        if to_stdout {
            output::print_file(&bytes)?;
        } else {
            output::write(&target, &bytes, self.force)?;
            let filled = saved.map_or(target.as_path(), Path::new);
            terminal::say(&format!(
                "{}: written. When filled in, run: warmlug fill {} --with {}",
                target.display(),
                self.visit.display(),
                filled.display()
            ));
        }
        Ok(ExitCode::SUCCESS)
    }

    /// The newest visit under `earlier:`.
    fn past(&self, loaded: &Loaded) -> Result<Option<Past>, CommandError> {
        let newest = loaded.newest_earlier();
        let Some(named) = newest.and_then(|i| loaded.visit.earlier.get(i)) else {
            return Ok(None);
        };
        let newest = new::last(&folders::folder_of(&self.visit).join(named))?;
        let wording = input::wording(&newest.visit)?;
        Ok(Some(sheet::past(&newest, wording)))
    }
}

/// The sheet as a PDF with fields.
fn pdf(document: &Document) -> Result<Vec<u8>, CommandError> {
    let plain = typeset::Options {
        object_streams: false,
        ..typeset::Options::default()
    };
    typeset::render_with(document, plain).map_err(|e| CommandError::Refused(e.to_string()))
}

/// The files that the visit file names, for the zip file of the page.
fn beside(loaded: &Loaded) -> Result<Vec<Beside>, CommandError> {
    let visit = &loaded.visit;
    let mut files = Vec::new();
    for file in visit.images() {
        files.push(Beside {
            named: file.clone(),
            path: file.clone(),
            bytes: loaded.original(file)?.bytes().to_vec(),
        });
    }
    if let Some(source) = loaded.rules.source() {
        files.push(Beside {
            named: visit.rules.clone(),
            path: visit.rules.clone(),
            bytes: source.as_bytes().to_vec(),
        });
    }
    for (i, (named, source)) in visit.earlier.iter().zip(&loaded.earlier).enumerate() {
        files.push(Beside {
            named: named.clone(),
            path: format!("earlier/{}.yaml", i + 1),
            bytes: source.clone().into_bytes(),
        });
    }
    Ok(files)
}
