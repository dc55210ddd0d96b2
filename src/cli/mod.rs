//! The command line: one file a command; prints, asks, exits.
//!
//! Results go to standard output, everything else to standard error. Exit codes: 0 done; 1 the
//! input was refused, or does not verify; 2 wrong usage; 3 `--fail-on` reached; 4 the system
//! refused (disk, permission).

mod batch;
mod certify;
mod check;
mod completions;
mod countersign;
mod day;
mod error;
mod explain;
mod extract;
mod fill;
mod find;
mod given_numbers;
mod identity;
mod input;
mod nearby;
mod new;
mod output;
mod parallel;
mod register;
mod rules;
mod schema;
mod signing_time;
mod target;
mod time_stamps;
mod upgrade;
mod verify;
mod verify_text;
mod watch;
mod worksheet;

use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::process::ExitCode;

/// Turns an inspection visit to an EV-charger circuit into findings and a signed certificate.
#[derive(Debug, Parser)]
#[command(name = "warmlug", version, long_version = VERSION, about, max_term_width = 100, after_help = AFTER_HELP)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

/// What `--version` prints: the build is what a certificate names too.
const VERSION: &str = concat!(
    env!("CARGO_PKG_VERSION"),
    " (build ",
    env!("WARMLUG_BUILD"),
    ")"
);

const AFTER_HELP: &str = "\
Exit codes: 0 done; 1 the input was refused, or does not verify; 2 wrong usage;
3 --fail-on reached; 4 the system refused (disk, permission).

Work on electrical equipment can kill. warmlug computes and writes; it does not replace local
codes, the maker's instructions or a licensed electrician.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Write the signed PDF certificate of a visit
    Certify(certify::Certify),
    /// Show the findings of a visit
    Check(check::Check),
    /// Prove who signed a certificate, that nothing changed, and that its findings follow
    Verify(verify::Verify),
    /// Sign a certificate as its client, its landlord or a reviewer
    Countersign(countersign::Countersign),
    /// Take the record out of a certificate
    Extract(extract::Extract),
    /// Write a starter visit file
    New(new::New),
    /// Write a sheet to fill in on site
    Worksheet(worksheet::Worksheet),
    /// Merge a filled-in worksheet into its visit file
    Fill(fill::Fill),
    /// Bring an old visit file to the present keys
    Upgrade(upgrade::Upgrade),
    /// Read certificates into one table: what is due, overdue, out of use
    Register(register::Register),
    /// Make, show or renew the identity that signs
    Identity(identity::Identity),
    /// Print a rule set with its sources
    Rules(rules::Rules),
    /// Print the JSON Schema of the visit file
    Schema(schema::Schema),
    /// Print the completions of a shell
    Completions(completions::Completions),
    /// Write the manual pages
    Man(completions::Man),
}

/// Runs one command line and gives the process's exit code.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(args) {
        Ok(arguments) => arguments,
        Err(refusal) => {
            if refusal.use_stderr() {
                // Standard error may be closed; there is nobody left to tell.
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
        Command::Extract(command) => command.run(),
        Command::New(command) => command.run(),
        Command::Upgrade(command) => command.run(),
        Command::Register(command) => command.run(),
        Command::Worksheet(command) => command.run(),
        Command::Fill(command) => command.run(),
        Command::Identity(command) => command.run(),
        Command::Rules(command) => command.run(),
        Command::Schema(command) => command.run(),
        Command::Completions(command) => command.run(),
        Command::Man(command) => command.run(),
    };
    match done {
        Ok(code) => code,
        Err(failure) => failure.report(),
    }
}
