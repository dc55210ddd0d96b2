//! `warmlug check`: prints the findings of a visit.

use super::bounded_read::name;
use super::error::CommandError;
use super::explain;
use super::input;
use super::output;
use super::output_format::Format;
use super::terminal::{self, WIDTH};
use super::watch;
use crate::assess::questions;
use crate::certify::Loaded;
use crate::compose::{self, Speaker, Wording};
use crate::visit::{self, Diagnostic, Diagnostics, Grade};
use std::path::PathBuf;
use std::process::ExitCode;

/// Show the findings of a visit
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug check visit.yaml
  warmlug check visit.yaml --format json | jq .outcome
  warmlug check visit.yaml --fail-on watch        exit code 3 for `watch` or worse, or not complete
  warmlug check visit.yaml --explain breaker-L1   how its numbers were computed
  warmlug check visit.yaml --explain bay-1        how the checks of a circuit were computed
  warmlug check visit.yaml --watch                checks again each time you save

Findings are in the language of the visit (`print: { language: es }`). Grades and error messages \
are always in English.")]
pub(super) struct Check {
    /// Visit file; `-` reads standard input, with photos relative to the current folder
    visit: PathBuf,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Exit with code 3 if a finding has this grade or worse, or if the inspection is not complete
    #[arg(long, value_name = "GRADE", value_enum)]
    fail_on: Option<GradeWord>,
    /// Rule set or rules file to use instead of the one named in the visit file (`us`, or a path)
    #[arg(long, value_name = "RULES")]
    rules: Option<String>,
    /// Show how each number of this connection, or each check of this circuit, was computed: inputs,
    /// formula, uncertainty, source
    #[arg(long, value_name = "ID", conflicts_with = "fail_on")]
    explain: Option<String>,
    /// Check again each time the visit file, its rules or its photos are saved
    #[arg(long)]
    watch: bool,
}

/// A grade on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum GradeWord {
    /// In order
    Pass,
    /// Worth knowing
    Note,
    /// Look again
    Watch,
    /// Repair
    Repair,
    /// Stop using
    Stop,
}

impl From<GradeWord> for Grade {
    fn from(word: GradeWord) -> Self {
        match word {
            GradeWord::Pass => Grade::Pass,
            GradeWord::Note => Grade::Note,
            GradeWord::Watch => Grade::Watch,
            GradeWord::Repair => Grade::Repair,
            GradeWord::Stop => Grade::Stop,
        }
    }
}

impl Check {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        if self.watch {
            let files = [self.visit.clone()];
            return watch::again(&files, || self.once());
        }
        self.once()
    }

    fn once(&self) -> Result<ExitCode, CommandError> {
        let loaded = input::load(&self.visit, self.rules.as_deref())?;
        if let Some(connection) = &self.explain {
            output::print(&explain::explained(&loaded, connection, self.format)?)?;
            return Ok(ExitCode::SUCCESS);
        }
        let wording = input::wording(&loaded.visit)?;
        let text = match self.format {
            Format::Json => {
                let json = compose::json(
                    &loaded.assessment,
                    &loaded.visit,
                    loaded.rules.get(),
                    wording,
                );
                format!("{json:#}\n")
            }
            Format::Text => page(&loaded, &name(&self.visit), wording),
        };
        output::print(&text)?;

        let assessment = &loaded.assessment;
        let reached = self.fail_on.map(Grade::from).is_some_and(|limit| {
            // Something that was not measured has no finding, but is not in order for that reason.
            !assessment.complete || assessment.findings.iter().any(|f| f.grade >= limit)
        });
        if reached && !assessment.complete {
            terminal::say(
                "the inspection is not complete; --fail-on exits with code 3 for any grade",
            );
        }
        Ok(if reached {
            ExitCode::from(3)
        } else {
            ExitCode::SUCCESS
        })
    }
}

/// The text output: outcome, findings, what to do, what was not done.
fn page(loaded: &Loaded, file: &str, wording: &Wording) -> String {
    let colour = terminal::colour();
    let visit = &loaded.visit;
    let speaker = Speaker::new(visit, &loaded.assessment, loaded.rules.get(), wording);
    let verdict = speaker.verdict();
    let mut out = format!("{}  {}, {}\n\n", visit.number, visit.site.name, visit.date);
    out.push_str(&verdict.title);
    out.push('\n');
    let mut paragraph = |text: &str| {
        out.push_str(&terminal::wrap(text, WIDTH, 0));
        out.push('\n');
    };
    for sentence in &verdict.text {
        paragraph(sentence);
    }
    paragraph(&speaker.next_due());
    let several = visit.circuits.len() > 1;
    if let Some(charging) = speaker.may_charge_at_all() {
        paragraph(&format!("{} {charging}", speaker.charging_question()));
    } else {
        for (circuit, assessed) in visit.circuits.iter().zip(&loaded.assessment.circuits) {
            let charging = speaker.may_charge(assessed.charging);
            let question = speaker.charging_question();
            paragraph(&format!("{}: {question} {charging}", circuit.title()));
        }
    }
    for (circuit, assessed) in visit.circuits.iter().zip(&loaded.assessment.circuits) {
        if let Some(left) = speaker.left(circuit, assessed.charging) {
            let of = if several { circuit.title() } else { "" };
            let answer = [of, speaker.left_question(), &left].join(" ");
            paragraph(answer.trim());
        }
    }
    if !loaded.assessment.checks.is_empty() {
        out.push('\n');
        findings(&speaker, colour, &mut out);
    }
    section(&mut out, speaker.mended_heading(), &speaker.mended());
    section(
        &mut out,
        speaker.since_repair_heading(),
        &speaker.since_repair(),
    );
    let to_do: Vec<String> = to_do(&speaker);
    let [what_to_do, not_done_head] = speaker.heads();
    section(&mut out, what_to_do, &to_do);
    if let Some((head, steps)) = speaker.heat_steps() {
        let steps: Vec<String> = steps.into_iter().map(str::to_owned).collect();
        section(&mut out, head, &steps);
    }
    let questions = questions(loaded, file, &speaker);
    if !questions.is_empty() {
        out.push_str(&format!("\n{questions}\n"));
    }
    let not_done: Vec<String> = loaded
        .assessment
        .limitations
        .iter()
        .map(|l| {
            let text = speaker.limitation(l);
            match l.completed_by().join("; ") {
                keys if l.incomplete && !keys.is_empty() => format!("{text} [{keys}]"),
                _ => text,
            }
        })
        .collect();
    section(&mut out, not_done_head, &not_done);
    out
}

/// The questions that the visit file has to answer, each with its line.
fn questions(loaded: &Loaded, file: &str, speaker: &Speaker<'_>) -> String {
    let asked = questions::of(&loaded.visit, loaded.rules.get());
    let shown = asked.iter().map(|question| {
        let steps = question.about.steps();
        Diagnostic {
            place: visit::value_place(&loaded.source, &steps),
            message: speaker.limitation(&question.asked),
            help: question.about.answer(),
        }
    });
    let all = Diagnostics {
        file: file.to_owned(),
        shown: shown.collect(),
        more: 0,
    };
    all.to_string()
}

/// One finding per line: grade, name, place, value, limit.
fn findings(speaker: &Speaker<'_>, colour: bool, out: &mut String) {
    struct Line {
        grade: Grade,
        name: String,
        place: String,
        value: String,
        limit: String,
    }
    let lines: Vec<Line> = speaker
        .assessment
        .checks
        .iter()
        .map(|f| {
            let (value, limit) = match (f.value, f.limit) {
                (Some(v), Some(l)) => speaker.numbers.against(v, l, f.unit),
                (Some(v), None) => (speaker.numbers.quantity(v, f.unit), String::new()),
                _ => Default::default(),
            };
            let value = match f.uncertainty {
                Some(u) => format!("{value} ± {}", speaker.numbers.quantity(u, f.unit)),
                None => value,
            };
            let name = speaker.finding(f).name;
            Line {
                grade: f.effective_grade(),
                name: match f.judgement {
                    Some(_) => speaker.own_judgement(&name),
                    None => name,
                },
                place: match circuit_of(speaker, f.circuit.as_deref()) {
                    // The circuit comes first, because the end of a long line may be cut off.
                    Some(circuit) => shorten(
                        &format!("{circuit}: {}", speaker.location_in_circuit(f)),
                        2 * PLACE_WIDTH,
                    ),
                    None => shorten(&speaker.location(f), PLACE_WIDTH),
                },
                value,
                limit: if limit.is_empty() {
                    limit
                } else {
                    speaker.limit_told(&limit)
                },
            }
        })
        .collect();
    let widest = |cell: fn(&Line) -> &String| {
        lines
            .iter()
            .map(|l| cell(l).chars().count())
            .max()
            .unwrap_or(0)
    };
    let (name, place, value) = (
        widest(|l| &l.name),
        widest(|l| &l.place),
        widest(|l| &l.value),
    );
    for line in &lines {
        let row = format!(
            "{}  {:<name$}  {:<place$}  {:>value$}  {}",
            terminal::grade(line.grade, 6, colour),
            line.name,
            line.place,
            line.value,
            line.limit,
        );
        out.push_str(row.trim_end());
        out.push('\n');
    }
}

/// Name of a finding's circuit, if the visit has several.
fn circuit_of<'a>(speaker: &Speaker<'a>, circuit: Option<&str>) -> Option<&'a str> {
    let id = circuit?;
    let circuits = &speaker.visit.circuits;
    (circuits.len() > 1)
        .then(|| circuits.iter().find(|c| c.id == id).map(|c| c.title()))
        .flatten()
}

/// What to do about each finding worse than `pass`, worst first, each action once.
fn to_do(speaker: &Speaker<'_>) -> Vec<String> {
    let mut actions = Vec::new();
    for finding in &speaker.assessment.findings {
        if finding.grade == Grade::Pass {
            continue;
        }
        let sentence = speaker.diagnosis_referring(finding);
        let mut item = format!("{}. {}", speaker.grade(finding.grade), sentence.text);
        let shown = speaker.evidence(finding);
        if !shown.is_empty() {
            item = format!("{item} ({})", shown.join("; "));
        }
        if let Some(why) = speaker.raised(finding) {
            item = format!("{item} {why}");
        }
        if !sentence.action.is_empty() {
            item = format!("{item} {}", sentence.action);
        }
        item = format!("{item} {}.", speaker.deadline(finding));
        if let Some(circuit) = circuit_of(speaker, finding.circuit.as_deref()) {
            item = format!("{circuit}: {item}");
        }
        if !actions.contains(&item) {
            actions.push(item);
        }
    }
    actions
}

/// Maximum length of a place in the table of findings, in characters.
const PLACE_WIDTH: usize = 32;

fn section(out: &mut String, head: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    out.push('\n');
    out.push_str(head);
    out.push('\n');
    for item in items {
        out.push_str("  - ");
        out.push_str(&terminal::wrap(item, WIDTH, 4));
        out.push('\n');
    }
}

fn shorten(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        text.to_owned()
    } else {
        text.chars().take(width - 1).chain(['…']).collect()
    }
}
