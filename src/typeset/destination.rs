//! Destinations of links and outline entries (ISO 32000-1, 12.3.2).

use super::paint::Place;
use crate::pdf::{Id, Object};

/// A destination, slightly above the target so that nothing there is cut off.
pub(super) fn destination(pages: &[Id], place: Place) -> Object {
    let page = pages
        .get(place.page)
        .map_or(Object::Null, |id| Object::from(*id));
    Object::Array(vec![
        page,
        "XYZ".into(),
        Object::Null,
        (place.y + 8.0).into(),
        Object::Null,
    ])
}
