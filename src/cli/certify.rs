//! `warmlug certify`: writes the signed PDF certificate of a visit.

use super::batch::{self, Done};
use super::bounded_read;
use super::error::CommandError;
use super::filing::{self, Names, Place};
use super::find;
use super::firm;
use super::folders::{self, folder_of};
use super::given_numbers::Numbers;
use super::identity::{self, Signer};
use super::input;
use super::output;
use super::signing_time::SigningTime;
use super::target;
use super::terminal;
use super::time_stamps::TimeStamp;
use super::watch;
use crate::certify::Loaded;
use crate::certify::ready::{NotReady, ready};
use crate::certify::unsealed::unsealed;
use crate::certify::visit_images::photo_digests;
use crate::compose;
use crate::disk::DiskError;
use crate::firm::file_name::{Pattern, PatternError};
use crate::photo::Detail;
use crate::record::recompute::Record;
use crate::seal::validation_data::{self, revocation_list};
use crate::seal::{self, SignOptions};
use crate::seal::{Identity, Person};
use chrono::{DateTime, FixedOffset};
use clap::{Args, FromArgMatches};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, Mutex, PoisonError};

/// Write the signed PDF certificate of a visit
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug certify visit.yaml                      writes certificate.pdf next to it
  warmlug certify visit.yaml -o 2026-0147.pdf
  warmlug certify visit.yaml --draft              unsigned, DRAFT on every page
  warmlug certify visit.yaml --draft --watch      again each time you save
  warmlug certify visit.yaml --identity ada.p12 --signed-at 2026-10-06T12:30:00-04:00
  warmlug certify visit.yaml --identity ada.crt --key ada.key
  warmlug certify visits/                         every visit in the folder, in parallel
  find . -name visit.yaml | warmlug certify --list -
  warmlug certify visits/ --name '{site}/{date} {number}.pdf' -o certificates
                                                  a folder for each property
  warmlug certify visit.yaml --full-photos        photos at full resolution
  warmlug certify visit.yaml --timestamp http://stamps.example/tsr

Without --identity, the certificate is signed with the stored identity of the visit's inspector. \
If there is none, it is created and its fingerprint is shown. With several visits, an error in \
one does not stop the others, and an existing certificate with the same content is kept, so that \
an interrupted run can be repeated.

--name makes what a visit says safe in a name: separators, `..`, names that Windows keeps for \
devices, dots and spaces at an end, and names of more than 255 bytes, of which the longest value is \
shortened. Two visits with one name are an error, also with --force.")]
pub(super) struct Certify {
    /// Visit files, or folders that contain them; `-` reads a visit from standard input
    #[arg(required_unless_present = "list", value_name = "VISIT")]
    visits: Vec<PathBuf>,
    /// File with more paths, one per line; `-` reads them from standard input
    #[arg(long, value_name = "FILE")]
    list: Option<PathBuf>,
    /// File to write; `-` means standard output [default: certificate.pdf next to the visit file]; with
    /// --name, the folder to file in [default: the firm's folder of certificates, else the current one]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Name of the certificate, with folders, below one folder: text and {site}, {date}, {year},
    /// {number}, {client}, {circuit}, {outcome}, {reason}, {inspector}, {firm} [default:
    /// `certificate_names` of the firm's file]
    #[arg(long, value_name = "PATTERN", value_parser = pattern, conflicts_with = "draft")]
    name: Option<Pattern>,
    #[command(flatten)]
    signer: Signer,
    #[command(flatten)]
    timestamp: TimeStamp,
    /// Revocation list (CRL, PEM or DER) from the issuer of the identity, embedded so that the
    /// signature can be checked in later years; repeatable
    #[arg(long, value_name = "FILE")]
    crl: Vec<PathBuf>,
    #[command(flatten)]
    signed_at: SigningTime,
    /// Write an unsigned copy marked DRAFT on every page
    #[arg(long, conflicts_with_all = ["identity", "key", "passphrase_file", "timestamp", "crl"])]
    draft: bool,
    /// Rule set or rules file to use instead of the one named in the visit file
    #[arg(long, value_name = "RULES")]
    rules: Option<String>,
    /// Embed photos at full resolution instead of print resolution
    #[arg(long)]
    full_photos: bool,
    /// Replace an existing certificate
    #[arg(long)]
    force: bool,
    /// Write the draft again each time the visit file, its rules or its photos are saved
    #[arg(long, requires = "draft")]
    watch: bool,
    /// Existing certificates (files, folders, JSON lines from `register`); a visit whose number is
    /// already used there by another visit is refused; repeatable
    #[arg(long, value_name = "PATH", conflicts_with = "draft")]
    register: Vec<PathBuf>,
    #[arg(skip)]
    opened: Opened,
    #[arg(skip)]
    numbers: Numbers,
    #[arg(skip)]
    names: Names,
}

fn pattern(text: &str) -> Result<Pattern, PatternError> {
    Pattern::parse(text)
}

/// Identities opened in this run, by the inspector's name. The lock is held while one is opened, so
/// that the passphrase is asked for only once.
type Opened = Mutex<HashMap<String, Arc<Identity>>>;

impl Certify {
    /// The options of a single visit for which none is given.
    pub(super) fn as_usual(visit: &Path) -> Result<Self, CommandError> {
        let usage = |e: clap::Error| CommandError::Usage(e.to_string());
        let command = Certify::augment_args(clap::Command::new("certify"));
        let words = [Path::new("certify"), visit];
        let found = command.try_get_matches_from(words).map_err(usage)?;
        Certify::from_arg_matches(&found).map_err(usage)
    }

    pub(super) fn run(mut self) -> Result<ExitCode, CommandError> {
        self.numbers = Numbers::of(&self.register)?;
        if !self.draft {
            self.signed_at.warn();
        }
        if self.watch {
            // The second draft replaces the first.
            self.force = true;
            return watch::again(&self.visits, || self.once());
        }
        self.once()
    }

    fn once(&self) -> Result<ExitCode, CommandError> {
        if self.list.is_none() && !batch::many(&self.visits) {
            return match self.visits.first() {
                Some(visit) => self.one(visit, false).map(|_| ExitCode::SUCCESS),
                None => Ok(ExitCode::SUCCESS),
            };
        }
        if self.output.is_some() && self.name.is_none() {
            return Err(CommandError::Usage(
                "-o names one file, but there are several visits; without -o, each certificate is \
                 written next to its visit file, and with --name, -o names the folder to file them in"
                    .to_owned(),
            ));
        }
        if let (Some(_), Some(folder)) = (&self.name, &self.output)
            && folder.as_os_str() != "-"
        {
            // Said once, not for each visit.
            filing::existing(folder)?;
        }
        let mut paths = self.visits.clone();
        if let Some(list) = &self.list {
            paths.extend(find::listed(list)?);
        }
        let worst = batch::run(&batch::visits(&paths)?, self.written(), |visit| {
            self.one(visit, true)
        });
        Ok(ExitCode::from(worst))
    }

    const fn written(&self) -> &'static str {
        if self.draft {
            "draft written, not signed"
        } else {
            "signed certificate written"
        }
    }

    /// Certifies one visit. In a run over `many`, an existing certificate of the same visit is kept.
    fn one(&self, path: &Path, many: bool) -> Result<Done, CommandError> {
        self.filed(path, many).map(|(done, _)| done)
    }

    /// The same, with the path of the certificate.
    pub(super) fn filed(&self, path: &Path, many: bool) -> Result<(Done, PathBuf), CommandError> {
        // Reported before the work, where the visit need not be read for it.
        let early = self.early(path)?;
        let mut exists = match &early {
            Some(target) => self.may_write(target, path, many)?,
            None => false,
        };
        let may_keep = many && !self.draft && !self.force;
        let loaded = input::load(path, self.rules.as_deref())?;
        let place = self.place(path, &loaded)?;
        let target = match (&place, early) {
            (Some(place), _) => {
                place.folders(false)?;
                place.reserve(&self.names, path)?;
                place.spare(&loaded.visit)?;
                let target = place.target();
                exists = self.may_write(&target, path, many)?;
                target
            }
            (None, Some(target)) => target,
            (None, None) => self.beside(path),
        };
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, input::files_of(&loaded.visit, path))?;
            target::spare(&target, self.rules.as_deref().map(Path::new))?;
        }
        // Reported before signing, which may create an identity.
        if place.is_none() {
            folders::folder_exists(&target)?;
        }
        if !self.draft {
            let visit = &loaded.visit;
            ready(visit, self.signed_at.get()).map_err(|why| {
                let advice = match &why {
                    NotReady::Placeholder { .. } => ", or use --draft",
                    NotReady::BeforeTheDay { .. } => {
                        ". Correct --signed-at, the date of this computer or the date in the visit file"
                    }
                    NotReady::BeforeTheLastReading { .. } => {
                        ". Correct --signed-at, the clock of this computer or the times in the visit \
                         file"
                    }
                };
                CommandError::Refused(format!("{}: {why}{advice}", path.display()))
            })?;
            self.numbers.take(visit, path, &loaded.source, &target)?;
        }
        if exists {
            return if same_record(&target, &loaded)? {
                Ok((Done::Unchanged, target))
            } else {
                Err(DiskError::Exists { path: target }.into())
            };
        }
        let at = self.signed_at.get();
        let identity = if self.draft {
            None
        } else {
            Some(self.identity_for(&loaded, path, at)?)
        };
        // Another run may have created the identity meanwhile; the signature must not be older.
        let at = self.signed_at.get();
        let inspector = &loaded.visit.inspector.name;
        if let Some(signer) = identity.as_ref().map(|i| i.subject().name)
            && signer != *inspector
        {
            terminal::say(&format!(
                "{}: note: signed by {signer}, but the inspector of this visit is {inspector}",
                path.display()
            ));
        }
        let pdf = self.pdf(&loaded, identity.as_deref(), at)?;
        if to_stdout {
            output::print_file(&pdf)?;
            return Ok((Done::Written, target));
        }
        if let Some(place) = &place {
            place.folders(true)?;
        }
        match output::write(&target, &pdf, self.force) {
            // Another run over the same visits wrote it meanwhile.
            Err(CommandError::Refused(_))
                if may_keep && same_record(&target, &loaded).unwrap_or(false) =>
            {
                return Ok((Done::Unchanged, target));
            }
            done => done?,
        }
        if !many {
            terminal::say(&format!("{}: {}", target.display(), self.written()));
        }
        Ok((Done::Written, target))
    }

    /// Refuses a target that could not be written. Returns whether it exists and may be kept.
    fn may_write(&self, target: &Path, path: &Path, many: bool) -> Result<bool, CommandError> {
        if target.as_os_str() == "-" {
            return Ok(false);
        }
        folders::not_a_folder(target)?;
        let named = self.signer.files().chain(&self.crl);
        target::spare(target, named.map(PathBuf::as_path).chain([path]))?;
        let exists = !self.force && target.symlink_metadata().is_ok();
        if exists && (!many || self.draft) {
            // Writing checks again without a race.
            return Err(DiskError::Exists {
                path: target.to_owned(),
            }
            .into());
        }
        Ok(exists)
    }

    /// The file to write, as far as it is known before the visit is read: not where it is filed by a
    /// pattern.
    fn early(&self, visit: &Path) -> Result<Option<PathBuf>, CommandError> {
        if self.name.is_some() {
            return Ok(None);
        }
        if let Some(output) = &self.output {
            return Ok(Some(output.clone()));
        }
        let own = Some(self.beside(visit));
        if self.draft || visit.as_os_str() == "-" {
            return Ok(own);
        }
        let firm = firm::of_visit(&folder_of(visit), None)?;
        Ok(own.filter(|_| firm.is_none_or(|found| found.firm.certificate_names.is_none())))
    }

    /// The place where a pattern files the certificate of a visit: that on the command line, else the
    /// firm's. `None` if there is no pattern.
    fn place(&self, visit: &Path, loaded: &Loaded) -> Result<Option<Place>, CommandError> {
        if self.draft || (self.name.is_none() && self.output.is_some()) {
            return Ok(None);
        }
        let firm = firm::of_visit(&folder_of(visit), loaded.visit.firm.as_deref())?;
        let own = firm
            .as_ref()
            .and_then(|f| f.firm.certificate_names.as_ref());
        let Some(pattern) = self.name.as_ref().or(own) else {
            return Ok(None);
        };
        if self.name.is_none() && visit.as_os_str() == "-" {
            return Ok(None);
        }
        let folder = match (&self.output, &firm) {
            (Some(folder), _) if folder.as_os_str() == "-" => {
                return Err(CommandError::Usage(
                    "with --name, -o names the folder to file in, so that it cannot be standard output"
                        .to_owned(),
                ));
            }
            (Some(folder), _) => folder.clone(),
            (None, Some(found)) if own.is_some() || found.firm.certificates.is_some() => {
                firm::say_used(found);
                filing::firm_folder(found)?
            }
            _ => PathBuf::from("."),
        };
        Place::of(folder, pattern, loaded).map(Some)
    }

    /// The file next to the visit file.
    fn beside(&self, visit: &Path) -> PathBuf {
        if visit.as_os_str() == "-" {
            return PathBuf::from("-");
        }
        let stem = visit
            .file_stem()
            .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        let draft = if self.draft { "-draft" } else { "" };
        let name = if stem == "visit" || stem.is_empty() {
            format!("certificate{draft}.pdf")
        } else {
            format!("{stem}-certificate{draft}.pdf")
        };
        visit.with_file_name(name)
    }

    fn identity_for(
        &self,
        loaded: &Loaded,
        path: &Path,
        at: DateTime<FixedOffset>,
    ) -> Result<Arc<Identity>, CommandError> {
        let inspector = &loaded.visit.inspector;
        let firm = firm::of_visit(&folder_of(path), loaded.visit.firm.as_deref())?;
        let firm = firm.as_ref().filter(|f| {
            let technician = f.firm.technician(&inspector.name);
            technician.is_some_and(|t| !t.keys.is_empty())
        });
        let mut opened = self.opened.lock().unwrap_or_else(PoisonError::into_inner);
        let identity = match opened.get(&inspector.name) {
            Some(identity) => Arc::clone(identity),
            None => Arc::new(self.signer.open(at, || {
                identity::of_person(
                    &Person {
                        name: inspector.name.clone(),
                        firm: inspector.firm.clone(),
                        licence: inspector.licence.clone(),
                    },
                    self.signer.secret(),
                    firm,
                )
            })?),
        };
        // Checked for a key that is already open too, because the visits of one run may belong to
        // several firms.
        if let Some(firm) = firm {
            firm::say_used(firm);
            firm::signs_for(firm, &identity, &inspector.name, at)?;
        }
        opened.insert(inspector.name.clone(), Arc::clone(&identity));
        Ok(identity)
    }
}

/// Whether the certificate at `target` is valid and was made by this version from the same files as
/// `loaded`, with the same findings.
fn same_record(target: &Path, loaded: &Loaded) -> Result<bool, CommandError> {
    let Ok(there) = Record::sealed(&bounded_read::read_certificate(target)?) else {
        return Ok(false);
    };
    if there.visit != loaded.source
        || there.earlier != loaded.earlier
        || there.rules.as_deref() != loaded.rules.source()
    {
        return Ok(false);
    }
    let Loaded {
        visit, assessment, ..
    } = loaded;
    let now = compose::json(assessment, visit, loaded.rules.get(), loaded.wording()?);
    Ok(there.assessment == now && there.photos == photo_digests(loaded)?)
}

impl Certify {
    /// The bytes of a certificate: signed if there is an identity, otherwise a draft.
    fn pdf(
        &self,
        loaded: &Loaded,
        identity: Option<&Identity>,
        at: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, CommandError> {
        let detail = if self.full_photos {
            Detail::Full
        } else {
            Detail::Print
        };
        let mut unsigned = unsealed(loaded, detail, identity, at)?;
        let Some(identity) = identity else {
            return Ok(unsigned);
        };
        let options = SignOptions::of(identity, at);
        let sealed = self
            .timestamp
            .seal(|authority| seal::sign_taking(&mut unsigned, identity, &options, authority))?;
        if self.crl.is_empty() {
            return Ok(sealed.into_bytes());
        }
        let lists = self.crl.iter().map(|file| revocation_list(file));
        let lists: Vec<Vec<u8>> = lists.collect::<Result<_, _>>()?;
        Ok(validation_data::add(&sealed, identity, &lists)?.into_bytes())
    }
}
