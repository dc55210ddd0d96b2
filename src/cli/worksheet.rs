//! `warmlug worksheet`: writes a sheet to fill in on site.

use super::error::CommandError;
use super::folders;
use super::input;
use super::new;
use super::output;
use super::scan_code;
use super::signing_time;
use super::target;
use super::terminal;
use crate::certify::Loaded;
use crate::compose::worksheet::Past;
use crate::compose::{Document, Speaker};
use crate::next::sheet;
use crate::typeset;
use crate::web::link;
use chrono::{DateTime, FixedOffset, Local, SubsecRound};
use std::io::IsTerminal;
use std::path::PathBuf;
use std::process::ExitCode;

/// Write a worksheet to fill in on site, with a pen or on a tablet
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug worksheet visit.yaml                     writes worksheet.pdf next to it
  warmlug worksheet visit.yaml -o - | lp           prints it
  warmlug worksheet visit.yaml --link https://firm.example/app/
                                                   opens the visit on a phone, in the application of
                                                   `warmlug web` at this address
  warmlug fill visit.yaml --with worksheet.pdf     copies the entries into the visit file

The sheet has the safety notes first, then the steps in working order. The last values come from \
the newest visit under `earlier:`.")]
pub(super) struct Worksheet {
    /// Visit file
    visit: PathBuf,
    /// Instead of writing a sheet, print a link that contains the visit, and a code to scan;
    /// ADDRESS is that of the browser application
    #[arg(long, value_name = "ADDRESS", conflicts_with_all = ["output", "made_at", "force"])]
    link: Option<String>,
    /// File to write; `-` means standard output [default: worksheet.pdf next to the visit file]
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
        if let Some(address) = &self.link {
            return linked(address, &loaded);
        }
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| self.visit.with_file_name("worksheet.pdf"));
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
        let bytes = pdf(&sheet::document(&speaker, past.as_ref(), made_at))?;
        if to_stdout {
            output::print_file(&bytes)?;
        } else {
            output::write(&target, &bytes, self.force)?;
            terminal::say(&format!(
                "{}: written. When filled in, run: warmlug fill {} --with {}",
                target.display(),
                self.visit.display(),
                target.display()
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

/// Prints the link to a visit, and its code.
fn linked(address: &str, loaded: &Loaded) -> Result<ExitCode, CommandError> {
    let visit = &loaded.visit;
    let rules = loaded.rules.source().map(|text| (&visit.rules, text));
    let earlier = visit.earlier.iter().zip(&loaded.earlier);
    let texts: Vec<(String, String)> = earlier
        .map(|(named, text)| (named, text.as_str()))
        .chain(rules)
        .map(|(named, text)| (named.clone(), text.to_owned()))
        .collect();
    let link = link::link(address, &loaded.source, &texts)
        .map_err(|why| CommandError::Usage(why.to_string()))?;
    output::print(&format!("{link}\n"))?;
    let say = |text: &str| terminal::say(&terminal::wrap(text, terminal::WIDTH, 0));
    if link.len() > link::MOST_IN_A_CODE {
        say(&format!(
            "The link has {} bytes, more than a code can hold ({}): send it to the phone some other way.",
            link.len(),
            link::MOST_IN_A_CODE
        ));
    } else if let Some(code) = scan_code::code(&link, std::io::stderr().is_terminal()) {
        terminal::say(&code);
    }
    say(
        "The visit itself is in this link, with the client's data: give it only to whoever makes the visit. \
         What follows the # is not sent to the host.",
    );
    let left: Vec<&str> = visit.images().map(String::as_str).collect();
    if !left.is_empty() {
        say(&format!(
            "Pictures are not in it: the application will ask for {}.",
            left.join(", ")
        ));
    }
    if link.starts_with("http://") && !link.starts_with("http://localhost") {
        say(
            "The address is not encrypted (http): a phone keeps no key there, so nothing can be signed.",
        );
    }
    Ok(ExitCode::SUCCESS)
}
