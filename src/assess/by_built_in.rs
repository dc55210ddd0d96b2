//! What the built-in rule sets find in a visit that a firm's own rules judge.

use crate::assess::assessment::{Assessment, CheckResult};
use crate::assess::earlier::Earlier;
use crate::assess::engine::assess;
use crate::rules::{self, Rules};
use crate::visit::{Grade, Visit};
use chrono::NaiveDate;

/// What a built-in set finds in the visit.
#[derive(Debug, Clone, PartialEq)]
pub struct ByBuiltIn {
    /// The set.
    pub rules: &'static Rules,
    /// What it finds.
    pub assessment: Assessment,
    /// The results that the set grades worse than the firm's rules do, in the set's order.
    pub stricter: Vec<Stricter>,
}

impl ByBuiltIn {
    /// Whether the inspection is incomplete by the set, but complete by the firm's rules.
    pub fn incomplete(&self, found: &Assessment) -> bool {
        found.complete && !self.assessment.complete
    }

    /// The next date by the set, if it is before that of the firm's rules.
    pub fn sooner(&self, found: &Assessment) -> Option<NaiveDate> {
        let date = self.assessment.next_due.date?;
        found
            .next_due
            .date
            .is_some_and(|d| date < d)
            .then_some(date)
    }
}

/// A result that a built-in set grades worse.
#[derive(Debug, Clone, PartialEq)]
pub struct Stricter {
    /// The result by the built-in set.
    pub check: CheckResult,
    /// The worst grade by the firm's rules for the same cause or check; `pass` if they find
    /// nothing.
    pub here: Grade,
}

/// Judges a visit again by the built-in set that a firm's rules extend, or by all built-in sets if
/// they extend none. `found` is the assessment by the firm's rules; `earlier` returns the earlier
/// visits assessed by a given set. Returns nothing if the rules are a built-in set themselves.
///
/// # Errors
/// Those of `earlier`.
pub fn by_built_in<E>(
    visit: &Visit,
    rules: &Rules,
    found: &Assessment,
    earlier: impl Fn(&Rules) -> Result<Vec<Earlier>, E>,
) -> Result<Vec<ByBuiltIn>, E> {
    // A rules file cannot have the id of a built-in set.
    if rules::built_in(&rules.id).is_some() {
        return Ok(Vec::new());
    }
    rules::built_in_ids()
        .filter(|id| rules.extends.as_ref().is_none_or(|extends| extends == id))
        .filter_map(|id| {
            // A set without this edition is used as it is.
            let chosen = rules::built_in_edition(id, visit.edition.as_deref())?;
            chosen.ok().or_else(|| rules::built_in(id))
        })
        .map(|base| {
            let assessment = assess(visit, base, &earlier(base)?);
            let stricter = assessment.checks.iter().filter_map(|check| {
                let here = found.checks.iter().filter(|f| same(f, check));
                let here = here.map(CheckResult::effective_grade).max();
                let here = here.unwrap_or(Grade::Pass);
                (check.effective_grade() > here).then(|| Stricter {
                    check: check.clone(),
                    here,
                })
            });
            let stricter = stricter.collect();
            Ok(ByBuiltIn {
                rules: base,
                assessment,
                stricter,
            })
        })
        .collect()
}

/// Whether two results are about the same check and connections.
fn same(a: &CheckResult, b: &CheckResult) -> bool {
    (a.id, &a.circuit, &a.place, &a.connections) == (b.id, &b.circuit, &b.place, &b.connections)
}
