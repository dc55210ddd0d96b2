//! When to inspect again.

use super::assessment::NextDue;
use crate::rules::Rules;
use crate::visit::{Grade, Reason};
use chrono::{Months, NaiveDate};

/// The next date: the interval for the worst grade, shortened for an incomplete visit and by a
/// trend that reaches its next grade sooner.
pub(super) fn next(
    visit: NaiveDate,
    reason: Reason,
    worst: Grade,
    complete: bool,
    trend: Option<NaiveDate>,
    rules: &Rules,
) -> NextDue {
    let r = &rules.next_due;
    let (basis, rule) = match worst {
        Grade::Stop => {
            return NextDue {
                date: None,
                basis: "stop",
                source: r.repair.source.clone(),
            };
        }
        Grade::Repair => ("repair", &r.repair),
        Grade::Watch => ("watch", &r.watch),
        Grade::Note | Grade::Pass if reason == Reason::First => ("first", &r.first),
        Grade::Note | Grade::Pass => ("clean", &r.clean),
    };
    let mut due = NextDue {
        date: visit.checked_add_months(Months::new(rule.value)),
        basis,
        source: rule.source.clone(),
    };
    let mut sooner = |date: Option<NaiveDate>, basis, source: &str| {
        if date.is_some_and(|d| due.date.is_none_or(|have| d < have)) {
            due = NextDue {
                date,
                basis,
                source: source.to_owned(),
            };
        }
    };
    if !complete {
        let date = visit.checked_add_months(Months::new(r.incomplete.value));
        sooner(date, "incomplete", &r.incomplete.source);
    }
    // A trend may already have crossed the limit: the earliest sensible return is the day after.
    let trend = trend.map(|d| d.max(visit.succ_opt().unwrap_or(visit)));
    sooner(trend, "trend", &rules.thermal.worse_than_before.source);
    due
}
