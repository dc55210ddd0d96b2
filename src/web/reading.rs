//! A visit from the files that were chosen on the page.

use super::error::WebError;
use crate::assess::{self, Earlier};
use crate::certify::{Loaded, RulesInForce};
use crate::next::last::Last;
use crate::photo::Folder;
use crate::record::accepted::{Accepted, earlier_visit};
use crate::record::recompute::Record;
use crate::rules::{self, Rules};
use crate::seal::{VerifyOptions, verify};
use crate::visit::{self, ImageError, ImageFacts, Surroundings, Visit};
use chrono::NaiveDate;
use std::collections::HashMap;

/// The environment of a visit whose files are in memory.
struct InMemory<'a> {
    folder: &'a Folder,
    today: NaiveDate,
}

impl Surroundings for InMemory<'_> {
    fn today(&self) -> NaiveDate {
        self.today
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.folder.image(path)
    }
    fn prints(&self, c: char) -> bool {
        crate::typeset::prints(c)
    }
}

/// Reads, checks and assesses a visit. The files are named as the visit file names them.
///
/// # Errors
/// The problems in the files, or a file that is missing.
pub(super) fn loaded(
    source: String,
    name: &str,
    files: Vec<(String, Vec<u8>)>,
    today: NaiveDate,
) -> Result<Loaded, WebError> {
    let files = as_named(&source, files)?;
    let (texts, photos): (Vec<_>, Vec<_>) = files
        .into_iter()
        .partition(|(name, _)| is_text_or_certificate(name));
    let texts: HashMap<String, Vec<u8>> = texts.into_iter().collect();
    let folder = Folder::in_memory(photos);
    let around = InMemory {
        folder: &folder,
        today,
    };
    let visit = visit::read(&source, name, &around)?;
    let rules = rules_of(&visit, &texts)?;
    let mut earlier = Vec::with_capacity(visit.earlier.len());
    let mut compared = Vec::with_capacity(visit.earlier.len());
    for named in &visit.earlier {
        let text = earlier_source(named, &texts)?;
        compared.push(earlier_than(&visit, &text, named, rules.get())?);
        earlier.push(text);
    }
    let assessment = assess::assess(&visit, rules.get(), &compared);
    Ok(Loaded {
        source,
        visit,
        folder,
        rules,
        earlier,
        compared,
        assessment,
    })
}

/// The files under the names that the visit file has for them: what is chosen on a phone comes without
/// its folder. A name that fits several files fits none.
pub(super) fn as_named(
    source: &str,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Vec<(String, Vec<u8>)>, WebError> {
    let visit = visit::read(source, "visit.yaml", &Accepted)?;
    let inspector = &visit.inspector;
    let images = visit.photos.iter().map(|p| &p.file);
    let images = images
        .chain(&inspector.logo)
        .chain(&inspector.signature_image);
    let named: Vec<&String> = images.chain(&visit.earlier).chain([&visit.rules]).collect();
    let last = |path: &str| path.rsplit(['/', '\\']).next().unwrap_or(path).to_owned();
    let given: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    let alone = |names: &mut dyn Iterator<Item = &String>, wanted: &str| -> Option<String> {
        let mut fit = names.filter(|name| last(name) == last(wanted));
        fit.next().filter(|_| fit.next().is_none()).cloned()
    };
    Ok(files
        .into_iter()
        .map(|(name, bytes)| {
            if named.contains(&&name) || alone(&mut given.iter(), &name).is_none() {
                return (name, bytes);
            }
            let wanted = alone(&mut named.iter().copied(), &name);
            (wanted.unwrap_or(name), bytes)
        })
        .collect())
}

fn is_text_or_certificate(name: &str) -> bool {
    let kind = name.rsplit('.').next().unwrap_or_default();
    ["yaml", "yml", "pdf"]
        .iter()
        .any(|k| kind.eq_ignore_ascii_case(k))
}

fn rules_of(visit: &Visit, texts: &HashMap<String, Vec<u8>>) -> Result<RulesInForce, WebError> {
    if let Some(rules) = rules::built_in(&visit.rules) {
        return Ok(RulesInForce::BuiltIn(rules));
    }
    let source = text(&visit.rules, texts)?;
    let rules = rules::load(&source, &visit.rules)?;
    Ok(RulesInForce::File {
        rules: Box::new(rules),
        source,
    })
}

fn text(named: &str, texts: &HashMap<String, Vec<u8>>) -> Result<String, WebError> {
    let missing = || WebError::Missing(named.to_owned());
    let bytes = texts.get(named).ok_or_else(missing)?;
    Ok(String::from_utf8_lossy(bytes).into_owned())
}

/// The visit file of an earlier visit: the file itself, or the record inside a certificate with a
/// valid signature.
fn earlier_source(named: &str, texts: &HashMap<String, Vec<u8>>) -> Result<String, WebError> {
    let bytes = texts
        .get(named)
        .ok_or_else(|| WebError::Missing(named.to_owned()))?;
    if !bytes.starts_with(b"%PDF-") {
        return text(named, texts);
    }
    Ok(record(named, bytes)?.visit)
}

/// The record of a certificate with an unbroken seal.
///
/// # Errors
/// [`WebError::Earlier`].
pub(super) fn record(name: &str, pdf: &[u8]) -> Result<Record, WebError> {
    let refused = |why: String| WebError::Earlier {
        file: name.to_owned(),
        why,
    };
    let report = verify(pdf, &VerifyOptions::default());
    let verified = report
        .verified()
        .ok_or_else(|| refused(report.sentence()))?;
    Record::read(&verified).map_err(|why| refused(why.to_string()))
}

/// The newest of the earlier certificates that a visit file names.
///
/// # Errors
/// The visit file has problems, or a certificate can't be relied on.
pub(super) fn newest(source: &str, files: &[(String, Vec<u8>)]) -> Result<Option<Last>, WebError> {
    let visit = visit::read(source, "visit.yaml", &Accepted)?;
    let mut newest: Option<Last> = None;
    for named in &visit.earlier {
        let file = files.iter().find(|(name, _)| name == named);
        let Some((name, bytes)) = file.filter(|(_, bytes)| bytes.starts_with(b"%PDF-")) else {
            continue;
        };
        let last = Last::of_record(record(name, bytes)?).map_err(|why| WebError::Earlier {
            file: name.clone(),
            why: why.to_string(),
        })?;
        if newest
            .as_ref()
            .is_none_or(|newest| newest.visit.date < last.visit.date)
        {
            newest = Some(last);
        }
    }
    Ok(newest)
}

fn earlier_than(
    visit: &Visit,
    text: &str,
    named: &str,
    rules: &Rules,
) -> Result<Earlier, WebError> {
    let earlier = earlier_visit(text, named, rules)?;
    let same = earlier.date == visit.date && earlier.number == visit.number;
    if earlier.date > visit.date || same {
        return Err(WebError::NotEarlier {
            file: named.to_owned(),
        });
    }
    Ok(earlier)
}
