//! Sources of limits and figures, numbered for the whole certificate in the order of their first
//! use and listed once. Tables refer to a source by its number.

use super::document::{Block, Text};
use super::keys;
use super::speaker::Speaker;
use crate::assess::Value;
use crate::vocabulary::ValueName;

/// The sources of one certificate.
#[derive(Debug, Default)]
pub(super) struct Sources<'a> {
    all: Vec<&'a str>,
}

impl<'a> Sources<'a> {
    /// Those of the findings, of the circuits' checks, of the torques used and of the heat limits.
    pub fn of(speaker: &Speaker<'a>) -> Self {
        let mut sources = Sources::default();
        let assessment = speaker.assessment;
        for finding in &assessment.findings {
            for check in finding.checks(&assessment.checks) {
                sources.add(&check.source);
            }
            sources.add(finding.combined.as_deref().unwrap_or_default());
        }
        for check in &assessment.checks {
            if let Some(Value::Text(source)) = check.values.get(&ValueName::Fallback) {
                sources.add(source);
            }
        }
        for check in assessment.circuits.iter().flat_map(|c| &c.checks) {
            sources.add(&check.source);
        }
        let thermal = &speaker.rules.thermal;
        for bands in [
            &thermal.rise,
            &thermal.leg_difference,
            &thermal.projected_margin,
            &thermal.worse_than_before,
        ] {
            sources.add(&bands.source);
        }
        sources
    }

    fn add(&mut self, source: &'a str) {
        if !source.is_empty() && !self.all.contains(&source) {
            self.all.push(source);
        }
    }

    /// The mark of a source, “[3]”; nothing if there is none.
    pub fn mark(&self, source: &str) -> Option<String> {
        let place = self.all.iter().position(|s| *s == source)?;
        Some(format!("[{}]", place + 1))
    }

    /// Writes the list.
    pub fn list(&self, speaker: &Speaker<'_>, body: &mut Vec<Block>) {
        if self.all.is_empty() {
            return;
        }
        body.push(Block::Heading {
            level: 2,
            text: speaker.wording.word(&keys::SOURCES_HEADING).to_owned(),
            anchor: Some("sources".to_owned()),
        });
        // In one paragraph, because a list would take twice the space.
        let mut all = Text::default();
        for (i, source) in self.all.iter().enumerate() {
            if i > 0 {
                all = all.then(Text::plain(speaker.wording.word(&keys::BAND_BETWEEN)));
            }
            let number = Text::strong(format!("[{}]\u{A0}", i + 1));
            all = all.then(number).then(speaker.source(source));
        }
        body.push(Block::Paragraph(all));
    }
}
