//! The latest certificate of a site among many.

use super::bounded_read::read_bytes;
use super::error::CommandError;
use super::find;
use crate::lookalike::folded;
use crate::nearest::or;
use crate::record::accepted;
use crate::record::recompute::Record;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A certificate of a site.
struct Of {
    site: String,
    address: String,
    date: NaiveDate,
    number: String,
    path: PathBuf,
}

/// The latest certificate of a site.
pub(super) struct Latest {
    /// Its file.
    pub path: PathBuf,
    /// Other addresses at which there is a site of this name.
    pub elsewhere: Vec<String>,
}

/// The latest certificate below `folder` of the site with this name, or of the site whose name or
/// address contains this text; `None` if there is no such site.
///
/// Only certificates with an unbroken seal count. Hidden folders are not entered.
///
/// # Errors
/// The folder can't be read, or the text matches several sites.
pub(super) fn certificate(folder: &Path, site: &str) -> Result<Option<Latest>, CommandError> {
    let mut files = Vec::new();
    let visible = |path: &Path| {
        let name = path.file_name().map(|n| n.to_string_lossy());
        name.is_some_and(|name| !name.starts_with('.'))
    };
    find::below(
        folder,
        &visible,
        &|path, kind| kind.is_file() && find::is_of_kind(path, &["pdf"]),
        &mut files,
    )?;
    let wanted = folded(site);
    let mut exact = Vec::new();
    let mut partly = Vec::new();
    for path in files {
        let Some((visit_site, address, of)) = read_bytes(&path)
            .ok()
            .and_then(|bytes| Record::sealed(&bytes).ok())
            .and_then(|record| accepted::read(&record.visit, "record").ok())
            .map(|visit| {
                let address = visit.site.address.unwrap_or_default();
                let of = Of {
                    site: visit.site.name.clone(),
                    address: address.clone(),
                    date: visit.date,
                    number: visit.number,
                    path,
                };
                (visit.site.name, address, of)
            })
        else {
            continue;
        };
        if folded(&visit_site) == wanted {
            exact.push(of);
        } else if folded(&visit_site).contains(&wanted) || folded(&address).contains(&wanted) {
            partly.push(of);
        }
    }
    let mut found = if exact.is_empty() { partly } else { exact };
    let sites: BTreeSet<&str> = found.iter().map(|of| of.site.as_str()).collect();
    if sites
        .iter()
        .map(|s| folded(s))
        .collect::<BTreeSet<_>>()
        .len()
        > 1
    {
        return Err(CommandError::Refused(format!(
            "`{site}` matches several sites: {}; write the full name of one of them",
            or(sites.into_iter(), 8).replace(" or ", " and ")
        )));
    }
    found.sort_by(|a, b| (a.date, &a.number).cmp(&(b.date, &b.number)));
    let Some(last) = found.pop() else {
        return Ok(None);
    };
    let mut others: BTreeMap<String, String> = found
        .into_iter()
        .map(|of| (folded(&of.address), of.address))
        .collect();
    others.remove(&folded(&last.address));
    others.remove("");
    Ok(Some(Latest {
        path: last.path,
        elsewhere: others.into_values().collect(),
    }))
}
