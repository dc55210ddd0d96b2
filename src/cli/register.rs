//! `warmlug register`: lists many certificates in one table.

use super::bounded_read;
use super::day;
use super::error::CommandError;
use super::find;
use super::folders::folder_of;
use super::ordinary;
use super::output;
use super::register_cache::KeptRows;
use super::register_index::IndexArguments;
use super::target;
use super::terminal;
use super::verify::{Outcome, TrustArguments};
use super::workers;
use crate::amend::voucher::voucher;
use crate::firm::lookup::Found;
use crate::register::{
    calendar, current, fleet, html_page, new_keys, row::INCOMPLETE, row::Row, rows, summary,
    text_table, wanted::Wanted,
};
use crate::seal::Fingerprint;
use crate::seal::known::{KnownSigners, Met};
use crate::seal::plain::quoted_name;
use chrono::NaiveDate;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::fs::FileType;
use std::path::{Component, Path, PathBuf};
use std::process::ExitCode;

/// List many certificates in one table: what is due, overdue, out of use
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug register certificates/
  warmlug register certificates/ --due-before 2027-01-01 --site 'Mill Lane'
  warmlug register certificates/ --calendar due.ics --page overview.html
  warmlug register certificates/ --format parquet -o register.parquet
  warmlug register certificates/ --fleet fleet.json    what all circuits show together
  warmlug register certificates/ --site 'Mill Lane' --index mill-lane   CSV and sealed PDF
  find /archive -name '*.pdf' | warmlug register - --format jsonl > part-1.jsonl
  warmlug register part-*.jsonl --format csv > all.csv

The table has one row per circuit. Each file is verified as by `warmlug verify`: seal, \
recomputed findings, known signers, and the pages, which are written again from the record \
unless --seals-only is given. A file that does not verify gets a row that says so. New signers \
are remembered, unless two keys have the same name; then neither is.

Certificates named in `.jsonl` files of earlier runs are verified again, and a line whose file \
is missing does not count. With --believe-lines, the lines are used as they are, so that parts \
read on several machines can be combined. Rows of unchanged files are kept next to the list of \
known signers, so that the next run only hashes the files; an edited cache is ignored.

A certificate supersedes an earlier one of the same circuit only if it is sealed with the same \
key, with a key that the earlier one vouches for, or with one that you accepted (`FINGERPRINT \
accepted DAY NAME` in known-signers, or --pin). With any other key, it does not move a due date \
or lift a stop, and is reported. An unsatisfactory circuit remains so until a complete visit to \
it has a better outcome.

--fleet and the overview page compare circuits by their equipment, never by people. A make or a part is \
named only if at least 10 circuits have it and as many do not, at least 4 of its circuits failed at 3 \
properties or more, its 95 % interval lies wholly above that of the rest, and it is at most 5 % probable \
that any of the comparisons shows as much by chance.

An index lists the certificates that verify, one line each, with the SHA-256 of the file. It has \
none of their records; `warmlug verify` says so and asks for the certificates.

Exit code 1 if a file is not valid, if a certificate does not count because of its key, or if a \
new name has several keys; 5 if nothing is wrong except that nobody compared the key of a \
certificate (see `warmlug verify --help`).")]
pub(super) struct Register {
    /// Certificates, folders, or `.jsonl` files from earlier runs; `-` reads a list of paths, one per
    /// line, from standard input
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// File to write [default: standard output]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Only circuits due before this date, or out of use
    #[arg(long, value_name = "DATE", value_parser = day::parse)]
    due_before: Option<NaiveDate>,
    /// Only circuits with this outcome; repeatable
    #[arg(long, value_name = "OUTCOME", value_enum)]
    outcome: Vec<OutcomeWord>,
    /// Only sites with this text in their name
    #[arg(long, value_name = "TEXT")]
    site: Option<String>,
    /// Date used to decide what is overdue [default: today]
    #[arg(long, value_name = "DATE", value_parser = day::parse)]
    today: Option<NaiveDate>,
    /// Also write a calendar with a reminder for each due date, and an entry today for each circuit that
    /// must not be used (iCalendar); `-` means standard output
    #[arg(long, value_name = "FILE")]
    calendar: Option<PathBuf>,
    /// Also write an overview page with the margins over time (HTML); `-` means standard output
    #[arg(long, value_name = "FILE")]
    page: Option<PathBuf>,
    /// Do not use or keep rows of earlier runs: check every file again
    #[arg(long)]
    no_cache: bool,
    /// Use the rows in `.jsonl` files without verifying the certificates that they name
    #[arg(long)]
    believe_lines: bool,
    /// Do not write the pages again to compare them, which takes most of the time; every row says so
    #[arg(long)]
    seals_only: bool,
    /// Also write what the selected circuits show together (JSON): worst margins, makes and parts that
    /// fail more often, thermometers that read high, how rises grow; `-` means standard output
    #[arg(long, value_name = "FILE")]
    fleet: Option<PathBuf>,
    #[command(flatten)]
    index: IndexArguments,
    #[command(flatten)]
    trust: TrustArguments,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

/// What to do without the feature that writes Parquet.
const NO_PARQUET: &str = "this warmlug was built without Parquet support. Use --format csv or jsonl, \
    use a package, or build with `cargo install --path . --features parquet`";

/// Output format of the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// Table for people, with a summary
    Table,
    /// Comma-separated values
    Csv,
    /// One JSON object per line, including the equipment and every connection
    Jsonl,
    /// Apache Parquet, only in builds with the feature `parquet`
    Parquet,
}

/// An outcome on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum OutcomeWord {
    /// Nothing to note
    Satisfactory,
    /// With notes or points to watch
    SatisfactoryWithNotes,
    /// To be repaired, or not to be used
    Unsatisfactory,
    /// Nothing unsatisfactory was found, but the inspection was not complete
    Incomplete,
}

impl OutcomeWord {
    fn word(self) -> &'static str {
        use crate::assess::Outcome;
        match self {
            OutcomeWord::Satisfactory => Outcome::Satisfactory.word(),
            OutcomeWord::SatisfactoryWithNotes => Outcome::SatisfactoryWithNotes.word(),
            OutcomeWord::Unsatisfactory => Outcome::Unsatisfactory.word(),
            OutcomeWord::Incomplete => INCOMPLETE,
        }
    }
}

impl Register {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let today = self
            .today
            .unwrap_or_else(|| chrono::Local::now().date_naive());
        if self.format == Format::Parquet && !cfg!(feature = "parquet") {
            return Err(CommandError::Usage(NO_PARQUET.to_owned()));
        }
        let files = files(&self.paths)?;
        self.targets(&files)?;
        let firms = self.trust.firms(&folders(&self.paths))?;
        let how = Reading {
            no_cache: self.no_cache,
            believe_lines: self.believe_lines,
            seals_only: self.seals_only,
        };
        let sealer = self.index.open(&firms)?;
        let gathered = Gathered::read(&files, &self.trust, &firms, how)?;
        let all = &gathered.rows;
        let wanted = Wanted {
            due_before: self.due_before,
            outcomes: self.outcome.iter().map(|o| o.word().to_owned()).collect(),
            site: self.site.clone(),
        };
        let rows = wanted.rows(all);
        let summary_text = summary::summary(all, &wanted, today).text();
        let refuse = |e: &dyn std::fmt::Display| CommandError::System(e.to_string());
        match self.format {
            Format::Table => {
                let text = format!("{}\n{summary_text}", text_table::text(&rows));
                self.put(text.as_bytes())?;
            }
            Format::Csv => self.put(&text_table::csv(&rows).map_err(|e| refuse(&e))?)?,
            Format::Jsonl => self.put(text_table::json_lines(&rows).as_bytes())?,
            #[cfg(feature = "parquet")]
            Format::Parquet => {
                self.put(&crate::register::columns::parquet(&rows).map_err(|e| refuse(&e))?)?;
            }
            #[cfg(not(feature = "parquet"))]
            Format::Parquet => return Err(CommandError::Usage(NO_PARQUET.to_owned())),
        }
        if let Some(file) = &self.calendar {
            self.put_beside(file, &calendar::calendar(all, &wanted, today))?;
        }
        if let Some(file) = &self.page {
            self.put_beside(
                file,
                &html_page::page(all, &wanted, today, &|to| address(file, to)),
            )?;
        }
        if let Some(file) = &self.fleet {
            let json = serde_json::to_string_pretty(&fleet::fleet(all, &wanted));
            self.put_beside(file, &(json.map_err(|e| refuse(&e))? + "\n"))?;
        }
        if let Some(sealer) = sealer {
            sealer.write(all, &rows, self.force)?;
        }
        if self.format != Format::Table || self.output.is_some() {
            terminal::say(summary_text.trim_end());
        }
        Ok(self.trust.exit_code(gathered.close()))
    }

    /// Refuses outputs that would overwrite an input or each other, or cannot be written. Checked
    /// before anything is read, so that either all are written or none.
    fn targets(&self, files: &[PathBuf]) -> Result<(), CommandError> {
        let outputs = [&self.output, &self.calendar, &self.page, &self.fleet];
        let to_stdout = |file: &PathBuf| file.as_os_str() == "-";
        let on_stdout = usize::from(self.output.is_none())
            + outputs
                .iter()
                .copied()
                .flatten()
                .filter(|f| to_stdout(f))
                .count();
        if on_stdout > 1 {
            return Err(CommandError::Usage(
                "only one of the table, the calendar, the page and the fleet can go to standard output; \
                 name files for the others with -o, --calendar, --page and --fleet"
                    .to_owned(),
            ));
        }
        let mut before: Vec<&PathBuf> = Vec::new();
        let index = self.index.targets();
        let outputs = outputs.into_iter().flatten().filter(|f| !to_stdout(f));
        for file in outputs.chain(index.iter().flatten()) {
            target::spare(
                file,
                files.iter().chain(&self.paths).chain(self.index.files()),
            )?;
            if before.iter().any(|b| target::same_target(b, file)) {
                return Err(CommandError::Usage(format!(
                    "{}: two outputs cannot go to the same file; give each its own name",
                    file.display()
                )));
            }
            target::free(file, self.force)?;
            before.push(file);
        }
        Ok(())
    }

    fn put(&self, bytes: &[u8]) -> Result<(), CommandError> {
        match &self.output {
            Some(path) if path.as_os_str() != "-" => output::write(path, bytes, self.force),
            _ => output::print_bytes(bytes),
        }
    }

    /// Writes the calendar, the page or the fleet; `-` means standard output.
    fn put_beside(&self, file: &Path, text: &str) -> Result<(), CommandError> {
        if file.as_os_str() == "-" {
            return output::print(text);
        }
        output::write(file, text.as_bytes(), self.force)?;
        terminal::say(&format!("{}: written", file.display()));
        Ok(())
    }
}

/// The folders of the paths on the command line.
pub(super) fn folders(paths: &[PathBuf]) -> Vec<PathBuf> {
    let of = |path: &PathBuf| match path.is_dir() {
        true => path.clone(),
        false => folder_of(path),
    };
    let mut all: Vec<PathBuf> = paths.iter().map(of).collect();
    all.sort();
    all.dedup();
    all
}

/// How the rows of certificates are read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    /// Check every file again, and keep no rows.
    pub(super) no_cache: bool,
    /// Take the rows in `.jsonl` files as they are.
    pub(super) believe_lines: bool,
    /// Do not write the pages again.
    pub(super) seals_only: bool,
}

/// The rows of certificates, and what is to be kept of them for the next run.
pub(super) struct Gathered {
    /// The rows; each says whether it is the result in force for its circuit.
    pub(super) rows: Vec<Row>,
    known: Option<PathBuf>,
    kept: Option<KeptRows>,
}

impl Gathered {
    /// Verifies the certificates and finds out which results are in force.
    pub(super) fn read(
        files: &[PathBuf],
        trust: &TrustArguments,
        firms: &[Found],
        how: Reading,
    ) -> Result<Self, CommandError> {
        let known = trust.known_path();
        let kept = known.as_deref().filter(|_| !how.no_cache);
        // The options on which rows depend.
        let state = format!("{} {}", trust.state(firms), how.seals_only);
        let kept = kept.and_then(|known| KeptRows::open(known, &state));
        let options = trust.options(known.as_deref(), firms)?;
        let look = |name: &str, pdf: &[u8]| {
            let look = || rows::rows(name, pdf, &options, how.seals_only);
            let rows = match &kept {
                Some(kept) => kept.rows(name, pdf, look),
                None => look(),
            };
            if rows.is_empty() {
                terminal::say(&format!(
                    "{name}: skipped: it has no record (page 1 of a certificate alone, an index, a label or an unsigned paper)"
                ));
            }
            rows
        };
        let lines = if how.believe_lines {
            Lines::Believed
        } else {
            Lines::Checked
        };
        let mut all = rows_of(files, lines, look)?;
        tell_vouchers(&mut all);
        let now = chrono::Local::now().fixed_offset();
        for row in &mut all {
            row.future = row.is_after(now);
            let key = row.fingerprint.as_deref().and_then(Fingerprint::parse);
            row.accepted = key.is_some_and(|key| options.accepts(&key));
            let vouches =
                |by: &String| Fingerprint::parse(by).is_some_and(|by| options.accepts(&by));
            if row.valid && (row.accepted || row.vouched_by.iter().any(vouches)) {
                row.key_compared = Some(true);
            }
            // The name in a row from JSON lines may have been contested when the row was written.
            row.contested &= !options.accepts_name(row.signer.as_deref().unwrap_or_default());
        }
        current::mark(&mut all);
        Ok(Self {
            rows: all,
            known,
            kept,
        })
    }

    /// Enters new signers in the list, and keeps the rows for the next run. Returns what the exit code
    /// tells.
    pub(super) fn close(self) -> Outcome {
        let entered = self.known.is_none_or(|path| remember(&self.rows, &path));
        if let Some(kept) = self.kept {
            kept.close();
        }
        let counts = self.rows.iter().all(|r| r.valid && r.remark.is_none());
        Outcome {
            good: counts && entered,
            compared: !self.rows.iter().any(Row::uncompared),
        }
    }
}

/// A number in use.
pub(super) struct Used {
    pub(super) number: String,
    /// The firm whose number it is; `None` in lines of an earlier version.
    pub(super) firm: Option<String>,
    pub(super) file: String,
}

/// The numbers of all certificates in these files, folders and JSON lines.
///
/// # Errors
/// A folder or a list cannot be read.
pub(super) fn numbers(paths: &[PathBuf]) -> Result<Vec<Used>, CommandError> {
    let rows = rows_of(&files(paths)?, Lines::Believed, |name, pdf| {
        let (number, firm) = rows::number(pdf).unzip();
        vec![Row {
            number,
            firm,
            ..Row::unreadable(name, String::new())
        }]
    })?;
    let numbered = rows.into_iter().filter_map(|r| {
        Some(Used {
            number: r.number?,
            firm: r.firm,
            file: r.file,
        })
    });
    Ok(numbered.collect())
}

/// What to do with the rows in a file of JSON lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lines {
    /// Verify the certificates that they name.
    Checked,
    /// Use them as they are.
    Believed,
}

/// The rows of these files; `look` returns those of one certificate.
fn rows_of(
    files: &[PathBuf],
    lines: Lines,
    look: impl Fn(&str, &[u8]) -> Vec<Row> + Sync,
) -> Result<Vec<Row>, CommandError> {
    let read: Vec<Result<Vec<Row>, CommandError>> =
        workers::map(files, |path| read(path, lines, &look));
    let mut all = Vec::new();
    for rows in read {
        all.extend(rows?);
    }
    Ok(all)
}

/// Enters the new signers in the list. Returns whether each new name has one key only; failing to
/// write the list does not affect the result.
fn remember(rows: &[Row], path: &Path) -> bool {
    let keys = new_keys::new_keys(rows);
    for contested in &keys.contested {
        let prints: Vec<String> = contested.iter().map(|k| k.fingerprint.hex()).collect();
        terminal::say(&format!(
            "{} keys claim the name {}, and none of them is known: {}. None was stored. Ask the firm \
             which is its own, and add a line with the fingerprint, the day and the name to {}.",
            contested.len(),
            quoted_name(&contested[0].person.name),
            prints.join(", "),
            path.display()
        ));
    }
    let mut alone = keys.contested.is_empty();
    if keys.alone.is_empty() {
        return alone;
    }
    let today = chrono::Local::now().date_naive();
    let mut met = Vec::new();
    let kept = KnownSigners::change(path, |list| {
        met = keys.alone.iter().map(|key| list.meet(key, today)).collect();
    });
    if let Err(error) = kept {
        terminal::say(&format!("The new keys could not be stored: {error}."));
        return alone;
    }
    for (key, met) in keys.alone.iter().zip(&met) {
        if let Met::OtherKey(_) = met {
            alone = false;
            terminal::say(&format!(
                "{}: another run has just stored another key under this name. Run this again.",
                quoted_name(&key.person.name)
            ));
        }
    }
    match met.iter().filter(|met| **met == Met::Entered).count() {
        0 => {}
        1 => terminal::say(&format!(
            "1 new key is now known (stored in {}).",
            path.display()
        )),
        n => terminal::say(&format!(
            "{n} new keys are now known (stored in {}).",
            path.display()
        )),
    }
    alone
}

/// Records for each key whether another one of the same name vouches for it, as the old key does
/// for a renewed one. One certificate per key is enough for this.
fn tell_vouchers(rows: &mut [Row]) {
    let mut keys: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let (Some(name), Some(key)) = (&row.signer, &row.fingerprint) {
            let of_name = keys.entry(name).or_default();
            of_name.entry(key).or_insert(&row.file);
        }
    }
    let mut vouched: HashMap<String, String> = HashMap::new();
    for of_name in keys.values().filter(|of_name| of_name.len() > 1) {
        for (key, file) in of_name {
            // A row from JSON lines may name a file that is elsewhere.
            let path = Path::new(file);
            let Ok(pdf) =
                ordinary::ordinary_file(path).and_then(|()| bounded_read::read_certificate(path))
            else {
                continue;
            };
            let others = of_name.keys().filter(|other| *other != key);
            let others: Vec<_> = others.filter_map(|k| Fingerprint::parse(k)).collect();
            let later = Fingerprint::parse(key);
            if let Some(by) = later.and_then(|later| voucher(&others, later, &pdf)) {
                vouched.insert((*key).to_owned(), by.hex());
            }
        }
    }
    for row in rows.iter_mut().filter(|r| r.vouched_by.is_empty()) {
        let mut key = row.fingerprint.clone();
        while let Some(by) = key.as_ref().and_then(|key| vouched.get(key)) {
            if row.vouched_by.contains(by) {
                break;
            }
            row.vouched_by.push(by.clone());
            key = Some(by.clone());
        }
    }
}

/// The files in `paths`; those in folders are sorted by name.
pub(super) fn files(paths: &[PathBuf]) -> Result<Vec<PathBuf>, CommandError> {
    let mut out = Vec::new();
    for path in paths {
        if path.as_os_str() == "-" {
            out.extend(find::listed(path)?);
        } else if path.is_dir() {
            find::below(path, &|_| true, &is_certificate, &mut out)?;
        } else {
            out.push(path.clone());
        }
    }
    Ok(out)
}

/// The address of a file in a page that is written to `page`: relative to it where both are below one
/// folder.
fn address(page: &Path, to: &str) -> String {
    let page = page.parent().filter(|p| !p.as_os_str().is_empty());
    let page = page.unwrap_or(Path::new("."));
    let (Ok(from), Ok(to_whole)) = (page.canonicalize(), Path::new(to).canonicalize()) else {
        return encoded(Path::new(to));
    };
    let (mut from, mut rest) = (
        from.components().peekable(),
        to_whole.components().peekable(),
    );
    while from.peek().is_some() && from.peek() == rest.peek() {
        from.next();
        rest.next();
    }
    let up = from.map(|_| Component::ParentDir);
    encoded(&up.chain(rest).collect::<PathBuf>())
}

/// A path as part of an address (RFC 3986, 2.1).
fn encoded(path: &Path) -> String {
    let mut out = String::new();
    for byte in path.to_string_lossy().replace('\\', "/").bytes() {
        match byte {
            b'/' | b'-' | b'.' | b'_' | b'~' => out.push(char::from(byte)),
            byte if byte.is_ascii_alphanumeric() => out.push(char::from(byte)),
            byte => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}

/// Whether a file may be a certificate, by its name; pipes and devices are excluded.
fn is_certificate(path: &Path, kind: FileType) -> bool {
    (kind.is_file() || kind.is_symlink()) && find::is_of_kind(path, &["pdf"])
}

/// The rows of one file. A certificate that cannot be read has a row that says so.
fn read(
    path: &Path,
    lines: Lines,
    look: impl Fn(&str, &[u8]) -> Vec<Row> + Sync,
) -> Result<Vec<Row>, CommandError> {
    let name = path.to_string_lossy();
    let ordinary = ordinary::ordinary_file(path);
    if path.extension().is_some_and(|e| e == "jsonl") {
        ordinary?;
        let text = bounded_read::text(bounded_read::read_bytes(path)?, path)?;
        let rows = rows::from_json_lines(&text).map_err(|(line, why)| {
            CommandError::Refused(format!(
                "{name}:{line}: not a line written by `warmlug register --format jsonl`: {why}"
            ))
        })?;
        return Ok(match lines {
            Lines::Believed => rows,
            Lines::Checked => checked(rows, &name, look),
        });
    }
    Ok(of_certificate(path, ordinary, look))
}

/// The rows of the certificates that rows in JSON lines name. The lines themselves prove nothing,
/// because anybody can edit them.
fn checked(
    listed: Vec<Row>,
    list: &str,
    look: impl Fn(&str, &[u8]) -> Vec<Row> + Sync,
) -> Vec<Row> {
    let mut seen = HashSet::new();
    let mut files = listed;
    files.retain(|row| seen.insert(row.file.clone()));
    let rows = workers::map(&files, |row| {
        let path = Path::new(&row.file);
        if path.symlink_metadata().is_err() {
            let problem = format!(
                "only {list} names it: the file was not found. Run this where the file is, or use \
                 --believe-lines"
            );
            return vec![Row::unreadable(&row.file, problem)];
        }
        of_certificate(path, ordinary::ordinary_file(path), &look)
    });
    rows.into_iter().flatten().collect()
}

/// The rows of one certificate.
fn of_certificate(
    path: &Path,
    ordinary: Result<(), CommandError>,
    look: impl Fn(&str, &[u8]) -> Vec<Row>,
) -> Vec<Row> {
    let name = path.to_string_lossy();
    match ordinary.and_then(|()| bounded_read::read_certificate(path)) {
        Ok(bytes) => look(&name, &bytes),
        Err(failure) => {
            let why = failure.to_string();
            // The row already has the file's name.
            let bare = why.strip_prefix(&format!("{name}: "));
            vec![Row::unreadable(&name, bare.unwrap_or(&why).to_owned())]
        }
    }
}
