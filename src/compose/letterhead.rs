//! The sender of a document: its author, and the letterhead of its first page.

use super::document::Letterhead;
use super::keys;
use super::speaker::Speaker;
use crate::visit::Visit;

/// The inspector, with the firm if there is one.
pub(super) fn author(visit: &Visit) -> String {
    match &visit.inspector.firm {
        Some(firm) => format!("{}, {firm}", visit.inspector.name),
        None => visit.inspector.name.clone(),
    }
}

/// The firm's name, address and logo (an index among the images).
pub(super) fn letterhead(speaker: &Speaker<'_>, logo: Option<usize>) -> Letterhead {
    let inspector = &speaker.visit.inspector;
    let name = inspector.firm.as_ref().unwrap_or(&inspector.name);
    let licence = inspector
        .licence
        .as_ref()
        .map(|l| speaker.wording.say(&keys::LICENSE, &[("license", l)]));
    Letterhead {
        name: name.clone(),
        lines: [
            &inspector.address,
            &licence,
            &inspector.phone,
            &inspector.email,
        ]
        .into_iter()
        .flatten()
        .cloned()
        .collect(),
        logo: logo.map(|i| (i, speaker.wording.say(&keys::LOGO_ALT, &[("firm", name)]))),
        accent: inspector.accent,
    }
}
