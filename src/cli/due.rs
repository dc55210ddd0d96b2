//! `warmlug due`: lists what comes due by week, and writes letters that remind clients.

use super::bounded_read;
use super::day;
use super::error::CommandError;
use super::ordinary;
use super::output;
use super::register::{Gathered, Reading, files, folders};
use super::signing_time;
use super::target;
use super::terminal;
use super::verify::TrustArguments;
use crate::compose::letter;
use crate::register::row::Row;
use crate::register::summary::summary;
use crate::register::wanted::Wanted;
use crate::reminders::coming::{self, List};
use crate::reminders::letters::{self, Letter};
use crate::reminders::{Visited, calendar, list};
use crate::seal::plain::quoted_name;
use crate::typeset;
use chrono::{DateTime, FixedOffset, Local, NaiveDate, SubsecRound};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, Mutex, PoisonError};

/// List what comes due by week, and write letters that remind clients
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug due certificates/
  warmlug due certificates/ --weeks 12 --letters letters/
  warmlug due certificates/ --letters letters/ --letters-as text
  warmlug due certificates/ --format ics -o due.ics
  warmlug due certificates/ --format csv -o due.csv

The list begins with visits that ended early (`cut_short:`) and what is left to do there, then what \
must not be used, what is overdue, and what comes week by week (ISO 8601). Only the result in force \
of each circuit counts, as in `warmlug register`: what a later visit superseded is not listed.

There is one letter for each client of a firm, to the client of the last visit and in the language of \
its certificate: date, reason, circuits, and what to prepare. `letters.csv` beside them has the same texts for a \
program that sends mail. A certificate that does not verify reminds nobody, nor does a circuit of \
which another certificate is in question; the list says so.

Exit codes as of `warmlug register`.")]
pub(super) struct Due {
    /// Certificates, folders, or `.jsonl` files from `warmlug register`; `-` reads a list of paths, one
    /// per line, from standard input
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Number of weeks after this one to look ahead
    #[arg(long, value_name = "NUMBER", default_value_t = 8, value_parser = clap::value_parser!(u16).range(0..=520))]
    weeks: u16,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// File to write [default: standard output]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Also write letters to this folder, created if it does not exist
    #[arg(long, value_name = "FOLDER")]
    letters: Option<PathBuf>,
    /// Kind of the letters
    #[arg(long, value_enum, default_value_t = Kind::Pdf, requires = "letters")]
    letters_as: Kind,
    /// Date from which the weeks are counted [default: today]
    #[arg(long, value_name = "DATE", value_parser = day::parse)]
    today: Option<NaiveDate>,
    /// Time of creation of the letters, with offset from UTC [default: now]
    #[arg(long, value_name = "TIME", value_parser = signing_time::parse)]
    made_at: Option<DateTime<FixedOffset>>,
    /// Do not use or keep rows of earlier runs: check every file again
    #[arg(long)]
    no_cache: bool,
    /// Do not write the pages again to compare them, which takes most of the time
    #[arg(long)]
    seals_only: bool,
    #[command(flatten)]
    trust: TrustArguments,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

/// Output format of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// For people, by week
    Text,
    /// Comma-separated values, one line for each circuit
    Csv,
    /// JSON
    Json,
    /// iCalendar
    Ics,
}

/// Kind of the letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Kind {
    /// Tagged PDF, to print
    Pdf,
    /// Plain text, for e-mail
    Text,
}

/// Name of the list of the letters beside them.
const LIST: &str = "letters.csv";

impl Due {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let today = self.today.unwrap_or_else(|| Local::now().date_naive());
        let created = self
            .made_at
            .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0));
        let files = files(&self.paths)?;
        if let Some(file) = self.output.as_ref().filter(|file| file.as_os_str() != "-") {
            target::spare(file, files.iter().chain(&self.paths))?;
            target::free(file, self.force)?;
        }
        let firms = self.trust.firms(&folders(&self.paths))?;
        let how = Reading {
            no_cache: self.no_cache,
            believe_lines: false,
            seals_only: self.seals_only,
        };
        let gathered = Gathered::read(&files, &self.trust, &firms, how)?;
        let until = coming::until(today, self.weeks);
        let due = coming::list(&gathered.rows, today, until, again());
        let refuse = |e: &dyn std::fmt::Display| CommandError::System(e.to_string());
        let letters = match &self.letters {
            Some(_) => letters::letters(&due.circuits, today, created).map_err(|e| refuse(&e))?,
            None => Vec::new(),
        };
        let items = list::items(&due.circuits, &letters, |letter| self.file(letter))
            .map_err(|e| refuse(&e))?;
        let written = match self.format {
            Format::Text => wrapped(&list::text(&items, today, until)).into_bytes(),
            Format::Csv => list::csv(&items).map_err(|e| refuse(&e))?,
            Format::Json => format!("{:#}\n", list::json(&items, today, until)).into_bytes(),
            Format::Ics => calendar::calendar(&items, today, created.to_utc()).into_bytes(),
        };
        if let Some(folder) = &self.letters {
            self.write_letters(folder, &letters, &files)?;
        }
        match &self.output {
            Some(path) if path.as_os_str() != "-" => output::write(path, &written, self.force)?,
            _ => output::print_bytes(&written)?,
        }
        tell(&gathered.rows, &due, today);
        Ok(self.trust.exit_code(gathered.close()))
    }

    /// Name of the file of a letter.
    fn file(&self, letter: &Letter) -> String {
        let end = match self.letters_as {
            Kind::Pdf => "pdf",
            Kind::Text => "txt",
        };
        format!("{}.{end}", letter.name)
    }

    /// Writes the letters and their list; all or none, as far as this can be known in advance.
    fn write_letters(
        &self,
        folder: &Path,
        letters: &[Letter],
        read: &[PathBuf],
    ) -> Result<(), CommandError> {
        if letters.is_empty() {
            terminal::say("No letter was written: nobody is to be reminded.");
            return Ok(());
        }
        std::fs::create_dir_all(folder).map_err(|e| CommandError::writing(folder, &e))?;
        let mut targets = Vec::new();
        for letter in letters {
            let bytes = match self.letters_as {
                Kind::Pdf => typeset::render(&letter.document)
                    .map_err(|e| CommandError::Refused(e.to_string()))?,
                Kind::Text => letter::plain(&letter.document).into_bytes(),
            };
            targets.push((folder.join(self.file(letter)), bytes));
        }
        let table = letters::csv(letters, |letter| self.file(letter))
            .map_err(|e| CommandError::System(e.to_string()))?;
        targets.push((folder.join(LIST), table));
        for (path, _) in &targets {
            target::spare(path, read)?;
            target::free(path, self.force)?;
        }
        for (path, bytes) in &targets {
            output::write(path, bytes, self.force)?;
        }
        let letters = match letters.len() {
            1 => "1 letter".to_owned(),
            n => format!("{n} letters"),
        };
        terminal::say(&format!(
            "{}: {letters} written, and {LIST} with their texts",
            folder.display()
        ));
        Ok(())
    }
}

/// The list with its long lines broken, indented as they are.
fn wrapped(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let bare = line.trim_start_matches(' ');
        let indent = line.len() - bare.len();
        // What goes on below an item of a list is below its words.
        let below = if bare.starts_with("- ") {
            indent + 2
        } else {
            indent
        };
        let width = terminal::WIDTH - (below - indent);
        format!(
            "{}{}\n",
            &line[..indent],
            terminal::wrap(bare, width, below)
        )
    });
    lines.collect()
}

/// Reads the certificates of rows again, each once. A file that has changed since its row was made is not
/// believed.
fn again() -> impl Fn(&Row) -> Result<Arc<Visited>, String> {
    let read: Mutex<HashMap<String, Arc<Visited>>> = Mutex::default();
    move |row| {
        let mut read = read.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(visited) = read.get(&row.file) {
            return Ok(visited.clone());
        }
        let path = Path::new(&row.file);
        let bytes = ordinary::ordinary_file(path)
            .and_then(|()| bounded_read::read_certificate(path))
            .map_err(|e| e.to_string())?;
        let digest = base16ct::lower::encode_string(&Sha256::digest(&bytes));
        if digest != row.sha256 {
            return Err("the file has changed meanwhile; run this again".to_owned());
        }
        let visited = Arc::new(Visited::of(&bytes).map_err(|e| e.to_string())?);
        read.insert(row.file.clone(), visited.clone());
        Ok(visited)
    }
}

/// Says what got no letter, and what keeps the exit code from being 0.
fn tell(rows: &[Row], due: &List<'_>, today: NaiveDate) {
    let all = summary(rows, &Wanted::default(), today);
    let say = |text: String| terminal::say(&terminal::wrap(&text, terminal::WIDTH, 2));
    for row in &all.not_valid {
        let problem = row.problem.as_deref().unwrap_or("it does not verify");
        say(format!("{}: reminds nobody: {problem}", row.file));
    }
    for (site, addresses) in &all.one_name {
        say(format!(
            "{}: one name for sites at several addresses ({}): their circuits are counted apart. Give each \
             site a name of its own, or if they are one, replace the certificate whose address is wrong.",
            quoted_name(site),
            addresses
                .iter()
                .map(|a| quoted_name(a))
                .collect::<Vec<_>>()
                .join("; ")
        ));
    }
    for (row, why) in &due.unread {
        say(format!("{}: could not be read again: {why}", row.file));
    }
    for row in all.not_accepted.iter().chain(&all.not_lifting) {
        let remark = row.remark.as_deref().unwrap_or_default();
        say(format!("{}: supersedes nothing: {remark}", row.file));
    }
    for (name, key) in &all.uncompared {
        say(format!(
            "Nobody has compared the key of {name}, {key}: ask the firm for its fingerprint."
        ));
    }
}
