//! The command line: one file per command. Commands print, ask and exit; they compute nothing.
//!
//! Results go to standard output, everything else to standard error. Exit codes: 0 success; 1 the
//! input was refused or does not verify; 2 wrong usage; 3 `--fail-on` reached; 4 a system error
//! (disk, permission); 5 unchanged since it was sealed, but nobody compared the key.

mod batch;
mod bounded_read;
mod certify;
mod check;
mod completions;
mod countersign;
mod day;
mod due;
mod error;
mod explain;
mod extract;
mod filing;
mod fill;
mod fill_all;
mod fill_one;
mod find;
mod firm;
mod folders;
mod given_numbers;
mod identity;
mod input;
mod latest;
mod nearby;
mod new;
mod order;
mod ordinary;
mod output;
mod output_format;
mod register;
mod register_cache;
mod register_index;
mod rules;
mod scan_code;
mod schema;
mod serve;
mod signing_time;
mod stamp;
mod target;
mod terminal;
mod time_stamps;
mod upgrade;
mod verify;
mod verify_text;
mod visit_desk;
mod visit_problems;
mod watch;
mod web;
mod workers;
mod worksheet;

use clap::{CommandFactory, Parser, Subcommand};
use std::ffi::OsString;
use std::process::ExitCode;

/// Turns what was measured on an EV charger's circuit into findings and a signed PDF certificate
#[derive(Debug, Parser)]
#[command(name = "warmlug", version, long_version = VERSION, max_term_width = 100, after_help = AFTER_HELP)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

/// Printed by `--version`, with the build as it is named in certificates.
const VERSION: &str = concat!(
    env!("CARGO_PKG_VERSION"),
    " (build ",
    env!("WARMLUG_BUILD"),
    ")"
);

const AFTER_HELP: &str = "\
Exit codes: 0 success; 1 the input was refused or does not verify; 2 wrong usage; 3 --fail-on \
reached; 4 a system error (disk, permission); 5 a certificate is unchanged, but nobody compared \
its key.

Work on electrical equipment can kill. warmlug calculates and writes; it does not replace local \
codes, the manufacturers' instructions or a licensed electrician.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Write the signed PDF certificate of a visit
    Certify(certify::Certify),
    /// Show the findings of a visit
    Check(check::Check),
    /// Check who signed a certificate, and whether it is unchanged and consistent
    Verify(verify::Verify),
    /// Add a signature to a certificate as client, landlord or reviewer
    Countersign(countersign::Countersign),
    /// Add an authority's time-stamp to a certificate
    Stamp(stamp::Stamp),
    /// Extract the visit file and the findings from a certificate
    Extract(extract::Extract),
    /// Create a visit file
    New(new::New),
    /// Write a worksheet to fill in on site
    Worksheet(worksheet::Worksheet),
    /// Copy a filled-in worksheet into the visit file
    Fill(fill::Fill),
    /// Update an old visit file to the current keys
    Upgrade(upgrade::Upgrade),
    /// Write the browser application: inspect, sign and check without installing
    Web(web::Web),
    /// Show the browser application on this computer, or on the local network for a trial
    Serve(serve::Serve),
    /// List many certificates in one table: what is due, overdue, out of use
    Register(register::Register),
    /// List what comes due by week, and write letters that remind clients
    Due(due::Due),
    /// Write the repair order of a certificate: what has to be done at which connection
    Order(order::Order),
    /// Create, show or renew a signing identity
    Identity(identity::Identity),
    /// Print the thresholds of a rule set, with sources
    Rules(rules::Rules),
    /// Print the JSON Schema of the visit file
    Schema(schema::Schema),
    /// Print shell completions
    Completions(completions::Completions),
    /// Write the manual pages
    Man(completions::Man),
}

/// Runs one command line and returns the process's exit code.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(args) {
        Ok(arguments) => arguments,
        Err(refusal) => {
            if refusal.use_stderr() {
                // If standard error is closed, there is nowhere left to report it.
                let _ = refusal.print();
                return ExitCode::from(2);
            }
            return match refusal.print() {
                Ok(()) => ExitCode::SUCCESS,
                Err(e) => error::CommandError::writing("standard output".as_ref(), &e).report(),
            };
        }
    };
    let done = match arguments.command {
        Command::Certify(command) => command.run(),
        Command::Check(command) => command.run(),
        Command::Verify(command) => command.run(),
        Command::Countersign(command) => command.run(),
        Command::Stamp(command) => command.run(),
        Command::Extract(command) => command.run(),
        Command::New(command) => command.run(),
        Command::Upgrade(command) => command.run(),
        Command::Register(command) => command.run(),
        Command::Due(command) => command.run(),
        Command::Order(command) => command.run(),
        Command::Web(command) => command.run(),
        Command::Serve(command) => command.run(),
        Command::Worksheet(command) => command.run(),
        Command::Fill(command) => command.run(),
        Command::Identity(command) => command.run(),
        Command::Rules(command) => command.run(),
        Command::Schema(command) => command.run(),
        Command::Completions(command) => command.run(Arguments::command()),
        Command::Man(command) => command.run(Arguments::command()),
    };
    match done {
        Ok(code) => code,
        Err(failure) => failure.report(),
    }
}

#[cfg(test)]
mod tests {
    use super::Arguments;
    use clap::{Command, CommandFactory};

    /// Help texts with paragraphs broken by hand, which clap would wrap again in other places.
    fn broken(command: &Command, out: &mut Vec<String>) {
        let text = command.get_after_help().map(ToString::to_string);
        for paragraph in text.unwrap_or_default().split("\n\n") {
            let mut lines = paragraph.lines();
            let first = lines.next().unwrap_or_default();
            let listed = first.ends_with(':') || first.starts_with(' ');
            let flows = |line: &str| !line.starts_with(' ') && !listed;
            if lines.any(flows)
                || paragraph
                    .lines()
                    .any(|l| l.starts_with(' ') && l.len() > 100)
            {
                out.push(format!("{}: {paragraph}", command.get_name()));
            }
        }
        for below in command.get_subcommands() {
            broken(below, out);
        }
    }

    #[test]
    fn paragraphs_of_help_are_broken_by_the_terminal_alone() {
        let mut out = Vec::new();
        broken(&Arguments::command(), &mut out);
        assert!(out.is_empty(), "{}", out.join("\n\n"));
    }
}
