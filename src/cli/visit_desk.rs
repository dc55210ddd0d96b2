//! Defaults of a new visit: the firm's file and the next free number.

use super::error::CommandError;
use super::firm;
use super::latest;
use super::terminal;
use crate::firm::copied;
use crate::firm::ledger::{self, Purpose};
use crate::firm::lookup::{self, Found};
use crate::rules;
use crate::seal::identity_file;
use crate::seal::key_folder;
use crate::seal::plain::printable;
use crate::visit::Visit;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// The defaults of a new visit in a folder.
pub(super) struct Desk {
    firm: Option<Found>,
    device: Option<String>,
}

impl Desk {
    /// Looks for a firm file, and for the name of this device. A name that is given is remembered.
    pub(super) fn open(folder: &Path, device: Option<&str>) -> Result<Self, CommandError> {
        // The folder of the visit may not exist yet.
        let there = folder.ancestors().find(|dir| dir.exists());
        let start = there.filter(|dir| !dir.as_os_str().is_empty());
        let firm = firm::of_visit(start.unwrap_or(Path::new(".")), None)?;
        if let Some(found) = &firm {
            firm::say_used(found);
        }
        let device = match device {
            Some(name) => {
                // A misspelt name is not remembered.
                if let Some(found) = &firm {
                    ledger::range(&found.firm, Some(name))?;
                }
                lookup::remember_device(name)?;
                Some(name.to_owned())
            }
            None => lookup::device()?,
        };
        Ok(Self { firm, device })
    }

    /// Whether there is a firm file.
    pub(super) const fn has_firm(&self) -> bool {
        self.firm.is_some()
    }

    /// The firm's usual rules, if they are a built-in set.
    pub(super) fn rules(&self) -> Option<String> {
        let defaults = self.firm.as_ref()?.firm.defaults.as_ref()?;
        let rules = defaults.rules.clone()?;
        rules::built_in(&rules).map(|_| rules)
    }

    /// The technician at this computer: the only one, or the only one whose key is here.
    pub(super) fn technician(&self) -> Option<String> {
        let all = &self.firm.as_ref()?.firm.technicians;
        let here = |name: &str| identity_file::default_path(name).is_ok_and(|path| path.exists());
        let mut names = all.iter().map(|t| &t.name);
        let only = match all.len() {
            1 => names.next(),
            _ => {
                let mut with_key = names.filter(|name| here(name));
                with_key.next().filter(|_| with_key.next().is_none())
            }
        };
        only.cloned()
    }

    /// The latest certificate of a site among the firm's; without a firm file, among those below the
    /// current folder.
    pub(super) fn latest(&self, site: &str) -> Result<Option<PathBuf>, CommandError> {
        let folder = match &self.firm {
            Some(found) => {
                let own = super::folders::folder_of(&found.path);
                let named = found.firm.certificates.as_ref();
                named.map_or(own.clone(), |named| own.join(named))
            }
            None => PathBuf::from("."),
        };
        let found = latest::certificate(&folder, site)?;
        match &found {
            Some(latest) => {
                let path = latest.path.display();
                terminal::say(&format!("{path}: the latest certificate"));
                if !latest.elsewhere.is_empty() {
                    let addresses = latest.elsewhere.join("; ").replace('\n', ", ");
                    terminal::say(&format!(
                        "There is a site of this name elsewhere too ({}): if you mean that one, name its \
                         certificate with --from.",
                        printable(&addresses, 200)
                    ));
                }
            }
            None => terminal::say(&format!(
                "{}: no certificate of `{site}` in this folder, so this is a first visit",
                folder.display()
            )),
        }
        Ok(found.map(|latest| latest.path))
    }

    /// The number of a visit: the one that was typed, otherwise the next free one of this device,
    /// otherwise the proposed one or the first free one after it. It is entered in the list of
    /// numbers.
    pub(super) fn number(
        &self,
        typed: Option<&str>,
        proposed: &str,
        date: NaiveDate,
        site: &str,
    ) -> Result<String, CommandError> {
        let purpose = Purpose { date, site };
        let firm = self.firm.as_ref().filter(|f| !f.firm.numbers.is_empty());
        if let Some(found) = firm {
            let list = ledger::path(&found.path);
            return Ok(match typed {
                Some(typed) => {
                    ledger::enter_typed(&list, typed, purpose)?;
                    typed.to_owned()
                }
                None => {
                    let range = ledger::range(&found.firm, self.device.as_deref())?;
                    ledger::give(&list, range, purpose)?
                }
            });
        }
        if let Some(typed) = typed {
            return Ok(typed.to_owned());
        }
        let Ok(folder) = key_folder::folder() else {
            return Ok(proposed.to_owned());
        };
        crate::disk::private_folder(&folder)?;
        Ok(ledger::give_from(
            &folder.join(ledger::NAME),
            proposed,
            purpose,
        )?)
    }

    /// The firm's defaults in a visit: language, units, paper, letterhead and hottest air.
    pub(super) fn usual(&self, visit: &mut Visit) {
        if let Some(found) = &self.firm {
            crate::firm::usual(&found.firm, visit);
        }
    }

    /// The text of a visit in which the firm's technician and instruments are only named, so that
    /// their state on the day of the visit is taken from the firm's file.
    pub(super) fn referring(&self, text: String, visit: &Visit) -> String {
        match &self.firm {
            Some(found) => copied::referring(text, visit, &found.firm),
            None => text,
        }
    }
}
