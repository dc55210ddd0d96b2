//! `warmlug identity`: creates, shows and renews signing identities. Also opens the identity for the
//! commands that sign.

use super::bounded_read;
use super::error::CommandError;
use super::folders;
use super::output;
use super::terminal;
use crate::disk::{DiskError, lock};
use crate::firm::lookup::Found;
use crate::lookalike::is_blank;
use crate::seal::Person;
use crate::seal::identity::{Identity as Key, Lifetime};
use crate::seal::identity_file;
use crate::seal::key_folder;
use crate::seal::known::KnownSigners;
use crate::seal::known_file;
use crate::seal::{Passphrase, SealError};
use chrono::{DateTime, FixedOffset, Utc};
use std::fmt::Write as _;
use std::io::{ErrorKind, IsTerminal};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Create, show or renew a signing identity
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug identity new --name 'Ada Ohm' --licence EC-0001 --firm 'Ohm & Daughters'
  warmlug identity show
  warmlug identity renew --name 'Ada Ohm'      the old key vouches for the new one
  warmlug identity passphrase --name 'Ada Ohm'   sets a new passphrase for the same key

The passphrase is read from a prompt, from WARMLUG_PASSPHRASE or from a file, but never from an \
argument, which other users of the computer could read.")]
pub(super) struct Identity {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, clap::Subcommand)]
enum Action {
    /// Create a key with a self-signed certificate for signing documents, valid for five years
    New {
        /// Name of the inspector, as in the visit file
        #[arg(long)]
        name: String,
        /// Licence number
        #[arg(long)]
        licence: Option<String>,
        /// Firm
        #[arg(long)]
        firm: Option<String>,
        /// PKCS#12 file to write [default: the inspector's file in the configuration folder]
        #[arg(short, long)]
        output: Option<PathBuf>,
        #[command(flatten)]
        secret: Secret,
    },
    /// Create the next key; the old one vouches for it
    Renew {
        /// PKCS#12 file of the old key
        #[arg(requires = "output", conflicts_with = "name")]
        file: Option<PathBuf>,
        /// Name of the inspector whose stored identity is renewed; the old file is kept next to it
        #[arg(long, required_unless_present = "file")]
        name: Option<String>,
        /// New licence number
        #[arg(long)]
        licence: Option<String>,
        /// New firm
        #[arg(long)]
        firm: Option<String>,
        /// File to write
        #[arg(short, long, conflicts_with = "name")]
        output: Option<PathBuf>,
        #[command(flatten)]
        secret: Secret,
    },
    /// Set or change the passphrase of a key; the key stays the same
    Passphrase {
        /// PKCS#12 file of the key
        #[arg(conflicts_with = "name")]
        file: Option<PathBuf>,
        /// Name of the inspector whose stored identity is changed
        #[arg(long, required_unless_present = "file")]
        name: Option<String>,
        /// File whose first line is the new passphrase, readable only by you [default: read
        /// WARMLUG_NEW_PASSPHRASE, or ask]
        #[arg(long, value_name = "FILE")]
        new_passphrase_file: Option<PathBuf>,
        #[command(flatten)]
        secret: Secret,
    },
    /// Show the stored identities, or the one in a file
    Show {
        /// PKCS#12 file [default: every identity in the configuration folder]
        file: Option<PathBuf>,
        #[command(flatten)]
        secret: Secret,
    },
}

/// Source of a passphrase.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct Secret {
    /// File whose first line is the passphrase, readable only by you
    #[arg(long, value_name = "FILE")]
    passphrase_file: Option<PathBuf>,
}

impl Secret {
    /// The passphrase from a file or the environment, if any.
    fn given(&self) -> Result<Option<Passphrase>, CommandError> {
        match &self.passphrase_file {
            Some(path) => Ok(Some(from_file(path)?)),
            None => Ok(Passphrase::from_environment()),
        }
    }

    /// A passphrase for a new identity: from a file or the environment, else asked for twice on a
    /// terminal, else none.
    fn choose(&self) -> Result<Passphrase, CommandError> {
        if let Some(given) = self.given()? {
            return Ok(given);
        }
        if !std::io::stdin().is_terminal() {
            return Ok(Passphrase::empty());
        }
        ask_twice("Passphrase for the new identity (empty for none): ")
    }

    /// Opens an identity: with the given passphrase, else with none, else asks.
    pub(super) fn open(&self, path: &Path) -> Result<Key, CommandError> {
        self.open_file_by(path, |passphrase| Key::load(path, passphrase))
    }

    /// Opens a file. If the given passphrase is wrong, tries none: the passphrase may be meant for a
    /// new file.
    fn open_file_by(
        &self,
        path: &Path,
        load: impl Fn(&Passphrase) -> Result<Key, SealError>,
    ) -> Result<Key, CommandError> {
        self.open_by(path, |passphrase| match load(passphrase) {
            Err(wrong @ SealError::WrongPassphrase { .. }) if !passphrase.is_empty() => {
                load(&Passphrase::empty()).map_err(|_| wrong)
            }
            other => other,
        })
    }

    /// Opens an identity that is protected by the passphrase of the file at `path`.
    fn open_by(
        &self,
        path: &Path,
        load: impl Fn(&Passphrase) -> Result<Key, SealError>,
    ) -> Result<Key, CommandError> {
        if let Some(given) = self.given()? {
            return Ok(load(&given)?);
        }
        match load(&Passphrase::empty()) {
            Err(SealError::WrongPassphrase { .. }) if std::io::stdin().is_terminal() => {
                let typed = ask(&format!("Passphrase for {}: ", path.display()))?;
                Ok(load(&Passphrase::new(typed))?)
            }
            other => Ok(other?),
        }
    }
}

/// Which identity to sign with.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct Signer {
    /// Sign with this file: PKCS#12, or PEM with the certificate and its key (or the key in --key)
    #[arg(long, value_name = "FILE")]
    identity: Option<PathBuf>,
    /// Private key (PEM) of the certificate in --identity
    #[arg(long, value_name = "FILE", requires = "identity")]
    key: Option<PathBuf>,
    /// Sign with a key on a token or card, using this PKCS#11 module; the passphrase is its PIN
    #[cfg(feature = "pkcs11")]
    #[arg(long, value_name = "MODULE", conflicts_with = "identity")]
    token: Option<PathBuf>,
    /// Label of the key on the token
    #[cfg(feature = "pkcs11")]
    #[arg(long, value_name = "LABEL", requires = "token")]
    token_label: Option<String>,
    #[command(flatten)]
    secret: Secret,
}

impl Signer {
    /// The files named on the command line.
    pub(super) fn files(&self) -> impl Iterator<Item = &PathBuf> {
        let files = self.identity.iter().chain(&self.key);
        files.chain(&self.secret.passphrase_file)
    }

    /// Source of a passphrase.
    pub(super) const fn secret(&self) -> &Secret {
        &self.secret
    }

    /// Opens the identity named on the command line, or else the one that `kept` returns. Prints a
    /// notice if it expires soon.
    pub(super) fn open(
        &self,
        at: DateTime<FixedOffset>,
        kept: impl FnOnce() -> Result<Key, CommandError>,
    ) -> Result<Key, CommandError> {
        #[cfg(feature = "pkcs11")]
        let kept = || match &self.token {
            Some(module) => self.secret.open_by(module, |pin| {
                Key::load_token(module, self.token_label.as_deref(), pin)
            }),
            None => kept(),
        };
        let key = match (&self.identity, &self.key) {
            (Some(certificate), Some(key)) => self.secret.open_file_by(key, |passphrase| {
                Key::load_pair(certificate, key, passphrase)
            }),
            (Some(file), None) => self.secret.open(file),
            (None, _) => kept(),
        }?;
        // Receivers refuse such a key unless they trust its certificate, and nobody can see whose
        // key it is.
        if is_blank(&key.subject().name) {
            return Err(CommandError::Refused(
                "the certificate of this identity names neither a person nor a firm, so nobody could \
                 tell who signed; use one with a common name, or create one with: warmlug identity \
                 new --name \"YOUR NAME\""
                    .to_owned(),
            ));
        }
        key.require_chain(at.to_utc())?;
        if let Lifetime::Expiring { days } = key.lifetime(at.to_utc()) {
            let name = key.subject().name;
            let when = in_days(days);
            terminal::say(&if key.is_self_signed() {
                format!(
                    "The identity of {name} expires {when}. Renew it while the old key can still \
                     vouch for the new one: warmlug identity renew --name {}",
                    quoted(&name)
                )
            } else {
                format!("The identity of {name} expires {when}; ask its issuer for a new one.")
            });
        }
        Ok(key)
    }
}

/// When something expires that is valid for this many more whole days.
fn in_days(days: i64) -> String {
    match days {
        0 => "within a day".to_owned(),
        1 => "in one day".to_owned(),
        n => format!("in {n} days"),
    }
}

/// A word quoted for a shell.
fn quoted(word: &str) -> String {
    format!("'{}'", word.replace('\'', r"'\''"))
}

/// Reads the passphrase in a file; an empty one is an error.
fn from_file(path: &Path) -> Result<Passphrase, CommandError> {
    let passphrase = Passphrase::from_file(path)?;
    if passphrase.is_empty() {
        return Err(CommandError::Refused(format!(
            "{}: the first line, which should be the passphrase, is empty; write it there, or omit \
             the option",
            path.display()
        )));
    }
    Ok(passphrase)
}

/// How a new file is protected, and how to protect it better.
fn protection(path: &Path, passphrase: &Passphrase) -> String {
    let sentence = Key::protection(path, passphrase);
    if !passphrase.is_empty() {
        return sentence;
    }
    format!(
        "{sentence} To set a passphrase: warmlug identity passphrase {}",
        quoted(&path.to_string_lossy())
    )
}

fn ask_twice(prompt: &str) -> Result<Passphrase, CommandError> {
    let first = ask(prompt)?;
    if first != ask("Once more: ")? {
        return Err(CommandError::Refused(
            "the two passphrases differ; nothing was changed".to_owned(),
        ));
    }
    Ok(Passphrase::new(first))
}

fn ask(prompt: &str) -> Result<String, CommandError> {
    rpassword::prompt_password(prompt)
        .map_err(|e| CommandError::System(format!("the passphrase could not be read: {e}")))
}

impl From<SealError> for CommandError {
    fn from(error: SealError) -> Self {
        let text = error.to_string();
        match error {
            SealError::Read { path, source } => CommandError::reading(&path, &source),
            SealError::Disk(error) => error.into(),
            SealError::NoFolder | SealError::Clock { .. } | SealError::Random(_) => {
                CommandError::System(text)
            }
            _ => CommandError::Refused(text),
        }
    }
}

impl Identity {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        match self.action {
            Action::New {
                name,
                licence,
                firm,
                output,
                secret,
            } => {
                let person = Person {
                    name,
                    firm,
                    licence,
                };
                let chosen = output.is_some();
                let path = match output {
                    Some(path) => path,
                    None => identity_file::default_path(&person.name)?,
                };
                folders::not_a_folder(&path)?;
                let now = Utc::now();
                let _lock = lock(&path);
                // Reported before asking for a passphrase; writing checks again without a race.
                let there = path.symlink_metadata().is_ok();
                if there && (chosen || !is_over(&path, &secret, now)) {
                    return Err(taken(DiskError::Exists { path }.into()));
                }
                let passphrase = secret.choose()?;
                let key = if there {
                    let key = Key::create(&person, now)?;
                    let aside = aside(&path, now);
                    key.succeed(&path, &aside, &passphrase).map_err(kept)?;
                    terminal::say(&format!(
                        "The old key, which can no longer sign, is kept in {}. It cannot vouch for \
                         the new one: give clients the new fingerprint.",
                        aside.display()
                    ));
                    key
                } else {
                    make(&person, &path, &passphrase)?
                };
                output::print(&text(&key, &path, now))?;
                terminal::say(&protection(&path, &passphrase));
            }
            Action::Renew {
                file,
                name,
                licence,
                firm,
                output,
                secret,
            } => renew(file, name.as_deref(), (licence, firm), output, &secret)?,
            Action::Passphrase {
                file,
                name,
                new_passphrase_file,
                secret,
            } => {
                let path = kept_or(file, name.as_deref())?;
                give_passphrase(&path, new_passphrase_file.as_deref(), &secret)?;
            }
            Action::Show {
                file: Some(path),
                secret,
            } => {
                output::print(&text(&secret.open(&path)?, &path, Utc::now()))?;
            }
            Action::Show { file: None, secret } => show_all(&secret)?,
        }
        Ok(ExitCode::SUCCESS)
    }
}

/// Creates an identity and stores it in a file.
fn make(person: &Person, path: &Path, passphrase: &Passphrase) -> Result<Key, CommandError> {
    let key = Key::create(person, Utc::now())?;
    key.save(path, passphrase).map_err(taken)?;
    Ok(key)
}

/// Whether the identity at `path` has expired, or is not valid yet because it was created with a
/// wrong clock. False if it cannot be opened.
fn is_over(path: &Path, secret: &Secret, now: DateTime<Utc>) -> bool {
    secret
        .open(path)
        .is_ok_and(|key| matches!(key.lifetime(now), Lifetime::Expired | Lifetime::NotYetValid))
}

/// Where a replaced identity is kept.
fn aside(path: &Path, now: DateTime<Utc>) -> PathBuf {
    let stem = path
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().into());
    path.with_file_name(format!("{stem}-until-{}.p12", now.format("%Y-%m-%d")))
}

/// The error for an identity replaced twice in a day: the first file must not be lost.
fn kept(error: SealError) -> CommandError {
    match error {
        SealError::Disk(DiskError::Exists { path }) => CommandError::Refused(format!(
            "{} already exists from a renewal today, so nothing was renewed. Renew on another day, \
             or move that file elsewhere first.",
            path.display()
        )),
        other => other.into(),
    }
}

/// The error for an existing identity file, which no option replaces.
fn taken(error: SealError) -> CommandError {
    match error {
        SealError::Disk(DiskError::Exists { path }) => CommandError::Refused(format!(
            "{} already contains a key, which is not replaced: without it, nothing could vouch for \
             the earlier certificates that it signed.\nCreate the next key with `warmlug identity \
             renew`, so that this one vouches for it, or choose another file with -o FILE.",
            path.display()
        )),
        other => other.into(),
    }
}

/// The named file, or else the stored identity of this name.
fn kept_or(file: Option<PathBuf>, name: Option<&str>) -> Result<PathBuf, CommandError> {
    let name = name.unwrap_or_default();
    let (path, of) = match file {
        Some(file) => (file, "'YOUR NAME'".to_owned()),
        None => (identity_file::default_path(name)?, quoted(name)),
    };
    if !path.exists() {
        return Err(CommandError::Refused(format!(
            "{}: there is no such identity; create one with: warmlug identity new --name {of}",
            path.display()
        )));
    }
    Ok(path)
}

/// The environment variable with the new passphrase of a key.
const NEW_PASSPHRASE: &str = "WARMLUG_NEW_PASSPHRASE";

/// Stores the same key under another passphrase. The old file is kept until the new one has been
/// opened, and then deleted, because it still opens with the old passphrase.
fn give_passphrase(path: &Path, file: Option<&Path>, secret: &Secret) -> Result<(), CommandError> {
    let _lock = lock(path);
    let key = secret.open(path)?;
    if bounded_read::beginning(path)?.starts_with(b"-----BEGIN") {
        return Err(CommandError::Refused(format!(
            "{} is a PEM file; this command changes the passphrase of PKCS#12 files only. Use the \
             program that wrote the file, for example openssl",
            path.display()
        )));
    }
    let new_passphrase = match (file, std::env::var(NEW_PASSPHRASE)) {
        (Some(file), _) => from_file(file)?,
        (None, Ok(text)) => Passphrase::new(text),
        (None, Err(_)) if std::io::stdin().is_terminal() => ask_twice("New passphrase: ")?,
        (None, Err(_)) => {
            return Err(CommandError::Refused(format!(
                "cannot ask for the new passphrase, because there is no terminal; set \
                 {NEW_PASSPHRASE}, or name a file with --new-passphrase-file"
            )));
        }
    };
    if new_passphrase.is_empty() {
        return Err(CommandError::Refused(
            "the new passphrase is empty and would protect nothing; nothing was changed".to_owned(),
        ));
    }
    let mut before = path.as_os_str().to_owned();
    before.push(".before");
    let before = PathBuf::from(before);
    key.succeed(path, &before, &new_passphrase)
        .map_err(left_over)?;
    let opened = Key::load(path, &new_passphrase)?;
    if opened.fingerprint() != key.fingerprint() {
        return Err(CommandError::System(format!(
            "{} does not contain the key that was written; the original key is in {}",
            path.display(),
            before.display()
        )));
    }
    std::fs::remove_file(&before).map_err(|e| CommandError::writing(&before, &e))?;
    terminal::say(&protection(path, &new_passphrase));
    Ok(())
}

/// The error for a file left by an interrupted run; the key in it may still be needed.
fn left_over(error: SealError) -> CommandError {
    match error {
        SealError::Disk(DiskError::Exists { path }) => CommandError::Refused(format!(
            "{} was left by an interrupted run and contains the key under an earlier passphrase. \
             Check that the identity opens (warmlug identity show), then delete this file and \
             run the command again",
            path.display()
        )),
        other => other.into(),
    }
}

/// Creates the next identity. A stored one replaces the old file, which is kept under the date of
/// the renewal: its certificates do not need it, but its owner may.
fn renew(
    file: Option<PathBuf>,
    name: Option<&str>,
    (licence, firm): (Option<String>, Option<String>),
    target: Option<PathBuf>,
    secret: &Secret,
) -> Result<(), CommandError> {
    let path = kept_or(file, name)?;
    if let Some(target) = &target {
        folders::not_a_folder(target)?;
    }
    let now = Utc::now();
    let _lock = lock(&path);
    let old = secret.open(&path)?;
    let was = old.subject();
    let person = Person {
        licence: licence.or(was.licence),
        firm: firm.or(was.firm),
        name: was.name,
    };
    let new = old.renew(&person, now)?;
    let passphrase = secret.choose()?;
    let kept = match target {
        Some(target) => {
            new.save(&target, &passphrase).map_err(taken)?;
            target
        }
        None => {
            let aside = aside(&path, now);
            new.succeed(&path, &aside, &passphrase).map_err(kept)?;
            terminal::say(&format!("The old key is kept in {}.", aside.display()));
            path
        }
    };
    output::print(&text(&new, &kept, now))?;
    terminal::say(&format!(
        "The old key vouches for the new one: clients who know {} need not compare the new \
         fingerprint.\n{}",
        old.fingerprint(),
        protection(&kept, &passphrase)
    ));
    Ok(())
}

/// The stored identity of a person; if there is none, creates it and prints a notice. None is created
/// where another key signs for this person: one in the firm's file, or one met before.
pub(super) fn of_person(
    person: &Person,
    secret: &Secret,
    firm: Option<&Found>,
) -> Result<Key, CommandError> {
    let path = identity_file::default_path(&person.name)?;
    if path.exists() {
        return secret.open(&path);
    }
    elsewhere(person, &path, firm)?;
    let passphrase = secret.given()?.unwrap_or_else(Passphrase::empty);
    match make(person, &path, &passphrase) {
        Ok(key) => {
            terminal::say(&format!(
                "Created a self-signed identity for {}. It shows that two certificates were signed \
                 with the same key, but not whose key it is. Give clients its fingerprint:\n  {}\n{}",
                person.name,
                key.fingerprint(),
                protection(&path, &passphrase),
            ));
            Ok(key)
        }
        // Another run created it in the meantime.
        Err(_) if path.exists() => secret.open(&path),
        Err(CommandError::System(why)) => Err(CommandError::System(format!(
            "Could not create an identity for {}: {why}.\nAlternatively, create one with \
             `warmlug identity new -o FILE` and use it with --identity FILE.",
            person.name
        ))),
        Err(failure) => Err(failure),
    }
}

/// Refuses to create a key if one was made on another computer, because a second one would look
/// like an impostor's.
fn elsewhere(person: &Person, path: &Path, firm: Option<&Found>) -> Result<(), CommandError> {
    let name = &person.name;
    let in_firm = firm.and_then(|found| {
        let technician = found.firm.technician(name)?;
        let key = technician.keys.iter().find(|k| k.revoked.is_none())?;
        Some((key.fingerprint, found.path.display().to_string()))
    });
    let known = || {
        let list = known_file::default_path().ok()?;
        let met = KnownSigners::read(&list).ok()?;
        let met = met.named(person)?.fingerprint;
        Some((met, list.display().to_string()))
    };
    let Some((print, listed)) = in_firm.or_else(known) else {
        return Ok(());
    };
    Err(CommandError::Refused(format!(
        "the key of {name} is not on this computer: {listed} has {print}, and {} does not exist. Copy \
         that file from the computer on which the key was made, or sign with --identity FILE. To make a \
         second key on purpose: warmlug identity new --name {}; then give its fingerprint to the firm \
         and to clients.",
        path.display(),
        quoted(name)
    )))
}

/// The folder of stored identities, and the files in it by name.
fn all_stored() -> Result<(PathBuf, Vec<PathBuf>), CommandError> {
    let folder = key_folder::folder()?.join("identities");
    let mut paths: Vec<PathBuf> = match std::fs::read_dir(&folder) {
        Ok(entries) => entries
            .filter_map(Result::ok)
            .map(|e| e.path())
            .filter(|p| p.extension().is_some_and(|e| e == "p12" || e == "pfx"))
            .collect(),
        Err(e) if e.kind() == ErrorKind::NotFound => Vec::new(),
        Err(e) => return Err(CommandError::reading(&folder, &e)),
    };
    paths.sort();
    Ok((folder, paths))
}

/// The stored identity of this person, or the only one that is stored. None is created.
///
/// # Errors
/// There is none, or there are several and nobody is named.
pub(super) fn stored(name: Option<&str>, secret: &Secret) -> Result<Key, CommandError> {
    let (folder, paths) = all_stored()?;
    if let Some(name) = name {
        let path = identity_file::default_path(name)?;
        if path.exists() {
            return secret.open(&path);
        }
        return Err(CommandError::Refused(format!(
            "no identity of {name} is stored in {}; `warmlug identity show` lists those that are",
            folder.display()
        )));
    }
    match &paths[..] {
        [only] => secret.open(only),
        [] => Err(CommandError::Refused(format!(
            "there is no identity in {} to seal with; name a file with --identity, or create one: \
             warmlug identity new --name 'YOUR NAME'",
            folder.display()
        ))),
        several => Err(CommandError::Refused(format!(
            "there are {} identities in {}; say whose seals with --sealed-by NAME, or name a file with \
             --identity",
            several.len(),
            folder.display()
        ))),
    }
}

fn show_all(secret: &Secret) -> Result<(), CommandError> {
    let (folder, paths) = all_stored()?;
    if paths.is_empty() {
        terminal::say(&format!(
            "There is no identity in {} yet; `warmlug certify` creates one, or use: warmlug identity \
             new --name 'YOUR NAME'",
            folder.display()
        ));
    }
    for path in paths {
        output::print(&text(&secret.open(&path)?, &path, Utc::now()))?;
    }
    Ok(())
}

fn text(key: &Key, path: &Path, now: DateTime<Utc>) -> String {
    let person = key.subject();
    let mut out = String::new();
    let mut line = |name: &str, value: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{name:<12}{value}");
    };
    line("name", &person.name);
    if let Some(firm) = &person.firm {
        line("firm", firm);
    }
    if let Some(licence) = &person.licence {
        line("licence", licence);
    }
    line("fingerprint", &key.fingerprint().to_string());
    let until = key.valid_until().format("%Y-%m-%d");
    let valid = match key.lifetime(now) {
        Lifetime::Valid => format!("until {until}"),
        Lifetime::Expiring { days } => {
            format!("until {until}, expires {}; renew it soon", in_days(days))
        }
        Lifetime::Expired => format!("expired {until}; it can no longer sign"),
        Lifetime::NotYetValid => {
            format!(
                "from {}; not valid yet",
                key.valid_from().format("%Y-%m-%d")
            )
        }
    };
    line("valid", &valid);
    line(
        "issuer",
        if key.is_self_signed() {
            "itself (self-signed)"
        } else {
            "a certification authority"
        },
    );
    line("file", &path.display().to_string());
    out
}
