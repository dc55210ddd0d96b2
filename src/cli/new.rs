//! `warmlug new`: creates a template, a first visit from a few facts, or the next visit after another.

use super::bounded_read;
use super::error::CommandError;
use super::firm;
use super::folders;
use super::folders::folder_of;
use super::input;
use super::terminal;
use super::visit_desk::Desk;
use super::visit_problems;
use super::{day, nearby, output, target};
use crate::assess;
use crate::compose::{Speaker, Wording};
use crate::next::copies;
use crate::next::fact::{self, FactError};
use crate::next::first_visit::{self, Facts};
use crate::next::last::Last;
use crate::next::needed_keys;
use crate::next::next_visit::{self, Own};
use crate::record::sealed_record::SealedError;
use crate::record::{accepted, recompute};
use crate::rules::{self, Rules, Starter};
use crate::visit::{self, Comments, Reason, Visit};
use crate::vocabulary::{MissingKey, Word};
use chrono::{Datelike, NaiveDate};
use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Create the visit file of a first or of the next visit
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug new                                         asks for a few facts
  warmlug new -o 2026-11-maple-court/visit.yaml --number 2026-0151
  warmlug new --legs 3 --breaker '40 A' --rated '32 A' --conductor '8 AWG' --places breaker,charger
  warmlug new --rules iec --legs 3 --rated '16 A' --conductor '4 mm²'     metric, on A4
  warmlug new --from 2026-04/certificate.pdf -o 2026-10/visit.yaml     the next visit
  warmlug new --from certificate.pdf --reason after-repair -o re-test/visit.yaml
                                                      measures what a repair order named
  warmlug new --site '12 Maple Court'                 the next visit to a site of the firm
  warmlug new --from visit.yaml --like bay-1 --count 5       five chargers that are alike

With a firm file (firm.yaml in the folder of the visit or above it, or in the configuration folder), \
the technician, the letterhead, the instruments, the usual rules and language and the hottest air \
come from it, and the number is the next free one of this device.")]
pub(super) struct New {
    /// File to write; `-` means standard output
    #[arg(short, long, default_value = "visit.yaml")]
    output: PathBuf,
    /// Create the next visit after this certificate or visit file
    #[arg(long, value_name = "CERT|VISIT")]
    from: Option<PathBuf>,
    /// Reason for the next visit: periodic, after-repair, change-of-owner [default: after-repair if the
    /// last result was unsatisfactory, else periodic]. After a repair, only the circuits that the repair
    /// order names are taken over
    #[arg(long, value_name = "REASON", value_parser = reason)]
    reason: Option<Reason>,
    /// Certificate number [default: the next free number]
    #[arg(long)]
    number: Option<String>,
    /// Name of this computer in the firm file, which assigns it a range of numbers; it is
    /// remembered
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    /// Circuit to copy for more chargers of its kind [default: the first one]
    #[arg(long, value_name = "CIRCUIT", requires = "count")]
    like: Option<String>,
    /// Total number of circuits like that one, including it
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=64))]
    count: Option<u16>,
    /// Date of the visit (2026-11-02), not in the future [default: today]
    #[arg(long, value_parser = day::parse)]
    date: Option<NaiveDate>,
    #[command(flatten)]
    facts: GivenFacts,
    /// Do not ask for facts
    #[arg(long)]
    no_questions: bool,
    /// Do not write the JSON Schema next to the file, nor the line that names it
    #[arg(long)]
    no_schema: bool,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

/// Facts given on the command line.
#[derive(Debug, Default, clap::Args)]
#[group(id = "facts", multiple = true, conflicts_with = "from")]
struct GivenFacts {
    /// Built-in rule set: us, iec
    #[arg(long, value_name = "ID")]
    rules: Option<String>,
    /// Edition of the code, if the rule set has several: 2020, 2023, 2026
    #[arg(long, value_name = "YEAR")]
    edition: Option<String>,
    /// Inspector's name
    #[arg(long, value_name = "NAME")]
    inspector: Option<String>,
    /// Client's name
    #[arg(long, value_name = "NAME")]
    client: Option<String>,
    /// Name of the site; without other facts, creates the next visit after its latest certificate
    #[arg(long, value_name = "NAME")]
    site: Option<String>,
    /// Number of legs that carry the load: 1 (line and neutral), 2 or 3
    #[arg(long, value_name = "NUMBER")]
    legs: Option<String>,
    /// Rated or configured current of the charger (40 A)
    #[arg(long, value_name = "CURRENT")]
    rated: Option<String>,
    /// Rating of the breaker (50 A)
    #[arg(long, value_name = "CURRENT")]
    breaker: Option<String>,
    /// Size of the conductors, and their material if not copper (2 AWG aluminium)
    #[arg(long, value_name = "SIZE")]
    conductor: Option<String>,
    /// Places whose covers are opened, in order from the supply, separated by commas
    #[arg(long, value_name = "PLACES")]
    places: Option<String>,
    /// Key that the checks of the circuit need, with its value (conductors.wiring=nm-cable);
    /// repeatable
    #[arg(long = "set", value_name = "KEY=VALUE", value_parser = key_and_value)]
    needed: Vec<(MissingKey, String)>,
}

/// The reason for a visit after another one.
fn reason(text: &str) -> Result<Reason, String> {
    let known = Reason::of(text).filter(|reason| *reason != Reason::First);
    known.ok_or_else(|| {
        format!("`{text}` is no reason for a next visit; write periodic, after-repair or change-of-owner")
    })
}

fn key_and_value(text: &str) -> Result<(MissingKey, String), String> {
    let (key, value) = text
        .split_once('=')
        .ok_or("write a key, `=` and its value, such as conductors.wiring=nm-cable")?;
    let key = MissingKey::of(key.trim()).ok_or_else(|| {
        format!(
            "`{key}` is not a key that the checks of a circuit need; a new visit file lists \
            these keys"
        )
    })?;
    Ok((key, value.trim().to_owned()))
}

impl GivenFacts {
    fn any(&self) -> bool {
        self.rules.is_some()
            || self.edition.is_some()
            || !self.needed.is_empty()
            || self.each().iter().any(Option::is_some)
    }

    /// The site, if nothing else is said about the visit.
    fn only_site(&self) -> Option<&str> {
        let given = self.each().iter().filter(|t| t.is_some()).count();
        let alone =
            given == 1 && self.rules.is_none() && self.edition.is_none() && self.needed.is_empty();
        self.site.as_deref().filter(|_| alone)
    }

    fn each(&self) -> [Option<&String>; 8] {
        [
            self.inspector.as_ref(),
            self.client.as_ref(),
            self.site.as_ref(),
            self.legs.as_ref(),
            self.rated.as_ref(),
            self.breaker.as_ref(),
            self.conductor.as_ref(),
            self.places.as_ref(),
        ]
    }

    fn facts(&self, starter: &Starter) -> Facts {
        let mut facts = Facts::usual(starter);
        for ((_, slot), given) in facts.named_mut().into_iter().zip(self.each()) {
            if let Some(given) = given {
                slot.clone_from(given);
            }
        }
        facts.needed.clone_from(&self.needed);
        facts.assume(starter);
        facts
    }
}

/// A question, and the check of its answer.
type Question = (&'static str, fn(&str, &Starter) -> Result<(), FactError>);

/// The questions, in the order of [`Facts::named_mut`].
const QUESTIONS: [Question; 8] = [
    ("Inspector", |t, _| fact::name(t).map(drop)),
    ("Client", |t, _| fact::name(t).map(drop)),
    ("Site", |t, _| fact::name(t).map(drop)),
    ("Legs that carry the load (1 with neutral, 2, 3)", |t, s| {
        first_visit::supply(t, s).map(drop)
    }),
    ("Rated or configured current of the charger", |t, _| {
        fact::current(t).map(drop)
    }),
    ("Rating of the breaker", |t, _| fact::current(t).map(drop)),
    ("Conductors, size and material", |t, _| {
        first_visit::conductor(t).map(drop)
    }),
    (
        "Places whose covers are opened, in order from the supply",
        |t, _| first_visit::places(t).map(drop),
    ),
];

/// Name of the schema file next to a visit file.
const SCHEMA: &str = "visit.schema.json";

impl New {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let today = chrono::Local::now().date_naive();
        let date = self.date.unwrap_or(today);
        if date > today {
            return Err(CommandError::Usage(format!(
                "--date {date}: this date is in the future (today is {today}); omit --date, and \
                 write the date at `date:` after the visit"
            )));
        }
        if let Some(number) = &self.number
            && (number.chars().any(char::is_control) || number.trim().is_empty())
        {
            return Err(CommandError::Usage(
                "--number must be one line of text".to_owned(),
            ));
        }
        let to_stdout = self.output.as_os_str() == "-";
        if !to_stdout {
            // Reported before any question is asked.
            target::spare(&self.output, &self.from)?;
            if !self.no_schema {
                target::spare(&folder_of(&self.output).join(SCHEMA), &self.from)?;
            }
            folders::not_a_folder(&self.output)?;
            if folder_of(&self.output).exists() {
                target::free(&self.output, self.force)?;
            }
        }
        // For `-`, the current folder.
        let folder = folder_of(&self.output);
        let desk = Desk::open(&folder, self.device.as_deref())?;
        let from = match (&self.from, self.facts.only_site()) {
            (Some(from), _) => Some(from.clone()),
            (None, Some(site)) => desk.latest(site)?,
            (None, None) => None,
        };
        if self.reason.is_some() && from.is_none() {
            return Err(CommandError::Usage(
                "--reason is for the visit after another one; name that with --from, or its site with \
                 --site"
                    .to_owned(),
            ));
        }
        let text = match &from {
            Some(from) => self.next(from, date, &desk)?,
            None => self.first(date, &desk)?,
        };
        let text = if self.no_schema {
            text
        } else {
            format!("# yaml-language-server: $schema={SCHEMA}\n{text}")
        };
        if to_stdout {
            output::print_file(text.as_bytes())?;
            return Ok(ExitCode::SUCCESS);
        }
        std::fs::create_dir_all(&folder).map_err(|e| CommandError::writing(&folder, &e))?;
        output::write(&self.output, text.as_bytes(), self.force)?;
        if !self.no_schema {
            // The schema is generated, so one of another version is replaced.
            let schema = format!("{:#}\n", visit::schema());
            output::write(&folder.join(SCHEMA), schema.as_bytes(), true)?;
        }
        terminal::say(&format!(
            "{}: written. Fill it in, then: warmlug check {0}",
            self.output.display()
        ));
        Ok(ExitCode::SUCCESS)
    }

    /// A first visit: from facts given or asked for, otherwise the template.
    fn first(&self, date: NaiveDate, desk: &Desk) -> Result<String, CommandError> {
        let terminal = std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
        let usual = desk.rules().unwrap_or_else(|| "us".to_owned());
        let named = self.facts.rules.as_deref().unwrap_or(&usual);
        let proposed = format!("{}-0001", date.year());
        let edition = self.facts.edition.clone();
        let (rules, edition, mut facts) = if self.facts.any() {
            let (_, starter) = built_in(named, edition.as_deref())?;
            (named.to_owned(), edition, self.facts.facts(starter))
        } else if terminal && !self.no_questions {
            let known = desk.rules().map(|rules| (rules, desk.technician()));
            ask(&mut std::io::stdin().lock(), &mut std::io::stderr(), known)?
        } else if desk.has_firm() {
            let (_, starter) = built_in(named, None)?;
            (named.to_owned(), None, self.facts.facts(starter))
        } else {
            let number = desk.number(self.number.as_deref(), &proposed, date, "")?;
            let quoted = format!("\"{}\"", number.replace('\\', "\\\\").replace('"', "\\\""));
            return self.alike(
                first_visit::STARTER
                    .replace("{number}", &quoted)
                    .replace("{date}", &date.to_string()),
            );
        };
        if self.facts.inspector.is_none()
            && let Some(technician) = desk.technician()
        {
            facts.inspector = technician;
        }
        let (set, starter) = built_in(&rules, edition.as_deref())?;
        let make = |number: &str| {
            first_visit::visit(&facts, &rules, starter, number, date).map_err(|(what, why)| {
                let set = MissingKey::of(what).map_or("", |_| "set ");
                CommandError::Usage(format!("--{set}{what}: {why}"))
            })
        };
        // A number is reserved only after the visit was created successfully.
        make(&proposed)?;
        let number = desk.number(self.number.as_deref(), &proposed, date, &facts.site)?;
        let mut visit = make(&number)?;
        visit.edition = edition;
        desk.usual(&mut visit);
        self.copies(&mut visit)?;
        let text = visit::write_with(&visit, &first_visit::comments(&visit, set));
        Ok(desk.referring(text, &visit))
    }

    /// Adds the circuits that are asked for with `--count`.
    fn copies(&self, visit: &mut Visit) -> Result<(), CommandError> {
        match self.count {
            Some(count) => copies::add(visit, self.like.as_deref(), count)
                .map_err(|e| CommandError::Usage(format!("--like: {e}"))),
            None => Ok(()),
        }
    }

    /// The text of a visit with the circuits that are asked for; its comments are lost only then.
    fn alike(&self, text: String) -> Result<String, CommandError> {
        if self.count.is_none() {
            return Ok(text);
        }
        let mut visit = accepted::read(&text, "starter").map_err(visit_problems::refused)?;
        self.copies(&mut visit)?;
        Ok(visit::write(&visit))
    }

    /// The next visit after a certificate or a visit file.
    fn next(&self, from: &Path, date: NaiveDate, desk: &Desk) -> Result<String, CommandError> {
        let here = if self.output.as_os_str() == "-" {
            PathBuf::from(".")
        } else {
            folder_of(&self.output)
        };
        let there = folder_of(from);
        let Last {
            visit: last,
            assessment,
            rules,
            carried,
        } = last(from)?;
        if self.output.as_os_str() != "-" {
            target::spare(&self.output, input::files_of(&last, from))?;
        }
        if last.date > date {
            return Err(CommandError::Refused(format!(
                "{}: that visit was on {}, after {date}; specify the date of the next visit with --date",
                from.display(),
                last.date
            )));
        }
        std::fs::create_dir_all(&here).map_err(|e| CommandError::writing(&here, &e))?;

        let mut earlier = Vec::new();
        for (i, before) in last.earlier.iter().enumerate() {
            let path = there.join(before);
            match carried.get(i) {
                _ if path.exists() => earlier.push(relative(&here, &path)?),
                // The certificate contains it, so it is written next to the new visit.
                Some(source) if self.output.as_os_str() != "-" => {
                    let name = recompute::earlier(i);
                    target::spare(&here.join(&name), [from])?;
                    output::write(&here.join(&name), source.as_bytes(), self.force)?;
                    terminal::say(&format!("{}: written", here.join(&name).display()));
                    earlier.push(name);
                }
                _ => terminal::say(&format!(
                    "{}: no longer exists, so the next visit does not list it under `earlier:`",
                    path.display()
                )),
            }
        }
        earlier.push(relative(&here, from)?);
        let proposed = next_visit::number(&last, date);
        let own = Own {
            number: desk.number(self.number.as_deref(), &proposed, date, &last.site.name)?,
            date,
            reason: self.reason,
            rules: match rules::built_in(&last.rules) {
                Some(_) => last.rules.clone(),
                None => relative(&here, &there.join(&last.rules))?,
            },
            earlier,
            images: self.images(&last, &there, &here)?,
        };
        let mut next = next_visit::visit(&last, assessment.outcome, own);
        next.firm = match &last.firm {
            Some(firm) if there.join(firm).exists() => Some(relative(&here, &there.join(firm))?),
            _ => None,
        };
        self.copies(&mut next)?;
        let wording = input::wording(&last)?;
        let speaker = Speaker::new(&last, &assessment, &rules, wording);
        if self.reason == Some(Reason::AfterRepair) {
            let left_out = next_visit::only_repaired(&mut next, &speaker);
            if !left_out.is_empty() {
                terminal::say(&format!(
                    "{}: left out, because certificate {} asks for no repair there: {}",
                    from.display(),
                    last.number,
                    left_out.join(", ")
                ));
            }
        }
        let comments = Comments {
            bare_numbers: true,
            ..next_visit::comments(&speaker, &next)
        };
        Ok(desk.referring(visit::write_with(&next, &comments), &next))
    }

    /// Copies the firm's images; false if they no longer exist.
    fn images(&self, last: &Visit, there: &Path, here: &Path) -> Result<bool, CommandError> {
        let named: Vec<&String> = [&last.inspector.logo, &last.inspector.signature_image]
            .into_iter()
            .flatten()
            .collect();
        if let Some(missing) = named.iter().find(|n| !there.join(n).is_file()) {
            terminal::say(&format!(
                "{}: does not exist, so the next visit has no logo and no signature image; copy them \
                 next to it and name them under `inspector:`",
                there.join(missing).display()
            ));
            return Ok(false);
        }
        if self.output.as_os_str() == "-" {
            return Ok(true);
        }
        for name in named {
            let target = here.join(name);
            if target.exists() {
                continue;
            }
            let parent = folder_of(&target);
            std::fs::create_dir_all(&parent).map_err(|e| CommandError::writing(&parent, &e))?;
            let bytes = bounded_read::read_bytes(&there.join(name))?;
            output::write(&target, &bytes, false)?;
        }
        Ok(true)
    }
}

/// Reads and assesses a visit, from a certificate with an unbroken seal or from a visit file.
///
/// Its photos are no longer needed and are not read.
pub(super) fn last(from: &Path) -> Result<Last, CommandError> {
    let bytes = bounded_read::read_bytes(from)?;
    if bytes.starts_with(b"%PDF-") {
        let refuse = |why: SealedError| {
            CommandError::Refused(format!(
                "{}: {why}\nThe next visit can only be created from a certificate with a valid \
                 signature. Get an undamaged copy, or use the visit file.",
                from.display()
            ))
        };
        return Last::of_certificate(&bytes).map_err(refuse);
    }
    let source = firm::filled(bounded_read::text(bytes, from)?, from)?;
    let visit =
        accepted::read(&source, &from.display().to_string()).map_err(visit_problems::refused)?;
    let rules = input::rules_of(&visit, &source, from)?.into_rules();
    let (_, compared): (Vec<_>, Vec<_>) = nearby::compared(&visit, &source, from, &rules)?
        .into_iter()
        .unzip();
    let assessment = assess::assess(&visit, &rules, &compared);
    Ok(Last {
        visit,
        assessment,
        rules,
        carried: Vec::new(),
    })
}

/// Asks for the facts. An empty answer means the value in brackets.
///
/// What is `known`, the rules and perhaps the inspector, is not asked.
fn ask(
    input: &mut dyn BufRead,
    output: &mut dyn Write,
    known: Option<(String, Option<String>)>,
) -> Result<(String, Option<String>, Facts), CommandError> {
    let mut edition = None;
    let (mut rules, inspector) = match known {
        Some((rules, inspector)) => (rules, inspector),
        None => {
            let mut rules = "us".to_owned();
            answer(input, output, "Rules (us, iec)", &mut rules, |t| {
                built_in(t, None).map(drop).map_err(|why| why.to_string())
            })?;
            let (set, _) = built_in(rules.trim(), None)?;
            if let Some(code) = &set.code {
                let question = format!("Edition of {} ({})", code.name, code.known.join(", "));
                let mut answered = code.edition.clone();
                answer(input, output, &question, &mut answered, |t| {
                    let known = built_in(rules.trim(), Some(t)).map(drop);
                    known.map_err(|why| why.to_string())
                })?;
                edition = Some(answered);
            }
            (rules, None)
        }
    };
    rules = rules.trim().to_owned();
    let (set, starter) = built_in(&rules, edition.as_deref())?;
    let mut facts = Facts::usual(starter);
    for ((name, slot), (question, usable)) in facts.named_mut().into_iter().zip(QUESTIONS) {
        if name == "inspector"
            && let Some(inspector) = &inspector
        {
            slot.clone_from(inspector);
            continue;
        }
        answer(input, output, question, slot, |t| {
            usable(t, starter).map_err(|why| why.to_string())
        })?;
    }
    ask_needed(input, output, &rules, set, starter, &mut facts)?;
    Ok((rules, edition, facts))
}

/// Asks for the keys that the checks of the circuit need, in the order of the rule set. The answers
/// decide which keys are needed next. An empty answer to a question without a value in brackets
/// leaves the key out.
fn ask_needed(
    input: &mut dyn BufRead,
    output: &mut dyn Write,
    rules: &str,
    set: &Rules,
    starter: &Starter,
    facts: &mut Facts,
) -> Result<(), CommandError> {
    let english = Wording::built_in("en").map_err(|e| CommandError::Refused(e.to_string()))?;
    let mut asked = Vec::new();
    loop {
        let circuit = |facts: &Facts| {
            let visit = first_visit::visit(facts, rules, starter, "1", NaiveDate::default());
            let mut visit = visit.map_err(|(what, why)| format!("{what}: {why}"))?;
            visit.circuits.pop().ok_or_else(String::new)
        };
        let so_far = circuit(facts).map_err(CommandError::Usage)?;
        let Some(needed) = needed_keys::next(&so_far, set, &asked) else {
            return Ok(());
        };
        let key = needed.key;
        asked.push(key);
        let words = english.missing(key);
        let question = format!("{words} ({key}: {})", needed_keys::possible(key));
        let mut answered = needed_keys::usual(key, starter, &facts.legs).unwrap_or_default();
        answer(input, output, &question, &mut answered, |t| {
            needed_keys::answer(&mut so_far.clone(), key, t).map_err(|why| why.to_string())
        })?;
        if !answered.is_empty() {
            facts.needed.push((key, answered));
        }
    }
}

/// Asks until an answer is usable. An empty one keeps the value of the slot.
fn answer(
    input: &mut dyn BufRead,
    output: &mut dyn Write,
    question: &str,
    slot: &mut String,
    usable: impl Fn(&str) -> Result<(), String>,
) -> Result<(), CommandError> {
    loop {
        // Standard error may be closed, and answers still arrive.
        let _ = write!(output, "{question} [{slot}]: ");
        let _ = output.flush();
        let mut answer = String::new();
        let read = input
            .read_line(&mut answer)
            .map_err(|e| CommandError::reading(Path::new("standard input"), &e))?;
        if read == 0 {
            return Err(CommandError::Refused(
                "end of input before all questions were answered; nothing was written".to_owned(),
            ));
        }
        let answer = answer.trim();
        if answer.is_empty() {
            return Ok(());
        }
        match usable(answer) {
            Ok(()) => {
                answer.clone_into(slot);
                return Ok(());
            }
            Err(why) => {
                let _ = writeln!(output, "  {why}.");
            }
        }
    }
}

/// A built-in rule set in an edition of its code, and the usual facts under it.
fn built_in(
    id: &str,
    edition: Option<&str>,
) -> Result<(&'static Rules, &'static Starter), CommandError> {
    let set = rules::built_in_edition(id, edition).transpose();
    let set = set.map_err(|why| CommandError::Usage(why.to_string().replace('\n', "; ")))?;
    set.and_then(|r| Some((r, r.starter.as_ref()?)))
        .ok_or_else(|| {
            let known: Vec<&str> = rules::built_in_ids().collect();
            CommandError::Usage(format!(
                "`{id}` is not a built-in rule set; use one of: {}",
                known.join(", ")
            ))
        })
}

/// The relative path from a folder to a file, with `/` as separator as in visit files.
fn relative(from: &Path, to: &Path) -> Result<String, CommandError> {
    let whole = |p: &Path| p.canonicalize().map_err(|e| CommandError::reading(p, &e));
    let (from, to) = (whole(from)?, whole(to)?);
    let common = from
        .components()
        .zip(to.components())
        .take_while(|(a, b)| a == b)
        .count();
    let up = from.components().skip(common).map(|_| "..".to_owned());
    let down = to
        .components()
        .skip(common)
        .map(|c| c.as_os_str().to_string_lossy().into_owned());
    Ok(up.chain(down).collect::<Vec<_>>().join("/"))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn questions_are_asked_again_until_the_answer_can_be_used() {
        let mut said = Vec::new();
        // Rules twice, the edition twice, the eight facts, then what the checks of such a circuit need.
        let answers = "eu\n\n2017\n2020\nAda Ohm\n\nMill Lane\n4\n3\n32 A\n\n8 AWG\n\nwye\n\nnm\nnm-cable\n\nyes\n";
        let (rules, edition, facts) = ask(&mut answers.as_bytes(), &mut said, None).unwrap();
        assert_eq!((rules.as_str(), edition.as_deref()), ("us", Some("2020")));
        assert_eq!(
            facts,
            Facts {
                inspector: "Ada Ohm".into(),
                site: "Mill Lane".into(),
                legs: "3".into(),
                rated: "32 A".into(),
                conductor: "8 AWG".into(),
                needed: vec![
                    (MissingKey::SupplySystem, "wye".into()),
                    (MissingKey::BreakerTerminalRating, "75 °C".into()),
                    (MissingKey::ConductorsWiring, "nm-cable".into()),
                    (MissingKey::Dedicated, "yes".into()),
                ],
                ..Facts::usual(built_in("us", None).unwrap().1)
            }
        );
        let said = String::from_utf8(said).unwrap();
        assert_eq!(said.matches("Legs that carry").count(), 2, "{said}");
        assert!(said.contains("no supply with `4` is usual"), "{said}");
        assert!(
            said.contains("`eu` is not a built-in rule set; use one of: iec, us"),
            "{said}"
        );
        assert!(
            said.contains("no edition `2017` of NFPA 70; write one of: 2020, 2023, 2026"),
            "{said}"
        );
        assert!(said.contains("Rating of the breaker [50 A]: "), "{said}");
        assert!(
            said.contains(
                "the temperature rating of the breaker’s terminals (breaker.terminal_rating: 75 °C) \
                 [75 °C]: "
            ),
            "{said}"
        );
        assert!(
            said.contains("`nm` is not possible here; write one of: nm-cable"),
            "{said}"
        );
    }

    #[test]
    fn the_rule_set_gives_what_is_usual() {
        let mut said = Vec::new();
        let answers = "iec\n\n\n\n1\n\n\n\n\nC\n1\n\na-6ma\n30 mA\n\nyes\n";
        let (rules, edition, facts) = ask(&mut answers.as_bytes(), &mut said, None).unwrap();
        assert_eq!(edition, None);
        assert_eq!(
            (&*rules, &*facts.legs, &*facts.breaker),
            ("iec", "1", "20 A")
        );
        let said = String::from_utf8(said).unwrap();
        assert!(said.contains("material [4 mm² copper]: "), "{said}");
    }

    #[test]
    fn nothing_is_written_when_input_ends_early() {
        let ended = ask(&mut "Ada\n".as_bytes(), &mut Vec::new(), None);
        assert!(matches!(ended, Err(CommandError::Refused(_))));
    }
}
