//! The order of work: what was done before and after the heat measurement.

use super::entry::Entry;
use super::key_table::Form;
use super::reader::Reader;
use super::written::{Style, time};
use crate::quantity::TimeOfDay;
use crate::yaml::Ix;

/// When work was done, relative to the heat measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum When {
    /// Before it.
    Before,
    /// After it.
    After,
    /// At this time of day on the site's clock.
    At(TimeOfDay),
}

/// The words for [`When::Before`] and [`When::After`].
fn words() -> Vec<&'static str> {
    vec!["before", "after"]
}

/// `before` or `after`, or a time of day.
pub(super) struct BeforeAfterOrTime;

impl Entry for BeforeAfterOrTime {
    type Value = When;
    const FORM: Form = Form::Either(&[Form::Word(words), Form::Time]);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<When> {
        let text = r.scalar(ix, "when it was done")?;
        match text {
            "before" => return Some(When::Before),
            "after" => return Some(When::After),
            _ => {}
        }
        if text.starts_with(char::is_alphabetic) {
            r.problem(
                r.mark(ix),
                format!(
                    "`{}` is neither a time of day nor `before` or `after`",
                    crate::quoted::shorten(text)
                ),
                "write before or after (the heat measurement), or the time, such as \"11:30\"",
            );
            return None;
        }
        r.time(ix).map(When::At)
    }
    fn write(&self, value: &When, _: Style) -> String {
        match value {
            When::Before => "before".to_owned(),
            When::After => "after".to_owned(),
            When::At(at) => time(*at),
        }
    }
}
