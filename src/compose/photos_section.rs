//! Photos with marks that have the numbers of the connections.

use super::connections::Connections;
use super::document::{Block, Columns, PhotoFigure};
use super::keys;
use super::speaker::Speaker;
use crate::photo::{PreparedImage, Taken};
use crate::visit::Photo;

pub(super) fn section(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    prepared: &[PreparedImage],
    body: &mut Vec<Block>,
) {
    if speaker.visit.photos.is_empty() {
        return;
    }
    body.push(Block::Heading {
        level: 2,
        text: speaker.wording.word(&keys::PHOTOS_HEADING).to_owned(),
        anchor: Some("photos".to_owned()),
    });
    body.push(Block::Columns(Columns::PHOTOS));
    for (image, photo) in speaker.visit.photos.iter().enumerate() {
        let mut figure = figure(speaker, connections, image, photo);
        if let Some(taken) = prepared.get(image).and_then(|p| taken(speaker, &p.taken)) {
            figure.caption = format!("{}. {taken}", figure.caption.trim_end_matches('.'));
        }
        body.push(Block::Photo(figure));
    }
    body.push(Block::Columns(Columns::One));
}

/// When and with which camera a photo was taken, with a remark if that was not on the day of the
/// visit.
fn taken(speaker: &Speaker<'_>, taken: &Taken) -> Option<String> {
    let words = speaker.wording;
    let time = taken.at.map(|at| at.format("%Y-%m-%d %H:%M").to_string());
    let mut caption = match (&time, &taken.camera) {
        (Some(time), Some(camera)) => words.say(
            &keys::PHOTO_TAKEN_WITH,
            &[("time", time), ("camera", camera)],
        ),
        (Some(time), None) => words.say(&keys::PHOTO_TAKEN, &[("time", time)]),
        (None, Some(camera)) => words.say(&keys::PHOTO_WITH, &[("camera", camera)]),
        (None, None) => return None,
    };
    if taken.at.is_some_and(|at| at.date() != speaker.visit.date) {
        caption.push(' ');
        caption.push_str(words.word(&keys::PHOTO_OTHER_DAY));
    }
    Some(caption)
}

/// The photos again, over the whole width.
pub(super) fn large(speaker: &Speaker<'_>, connections: &Connections<'_>, body: &mut Vec<Block>) {
    body.push(Block::Columns(Columns::Abreast(1)));
    for (image, photo) in speaker.visit.photos.iter().enumerate() {
        body.push(Block::Photo(figure(speaker, connections, image, photo)));
    }
    body.push(Block::Columns(Columns::One));
}

pub(super) fn figure(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    image: usize,
    photo: &Photo,
) -> PhotoFigure {
    let words = speaker.wording;
    let marks: Vec<(usize, [f64; 2], String)> = photo
        .marks
        .iter()
        .filter_map(|(id, at)| {
            let numbered = connections.find(photo.circuit.as_deref(), id)?;
            Some((numbered.number, *at, id.clone()))
        })
        .collect();
    let named: Vec<String> = marks
        .iter()
        .map(|(number, _, id)| {
            words.say(
                &keys::NUMBERED_CONNECTION,
                &[("number", &number.to_string()), ("id", id)],
            )
        })
        .collect();
    PhotoFigure {
        image,
        caption: photo.caption.clone(),
        alt: if named.is_empty() {
            words.say(&keys::PHOTO_ALT, &[("caption", &photo.caption)])
        } else {
            words.say(
                &keys::PHOTO_ALT_MARKED,
                &[("caption", &photo.caption), ("marks", &words.list(&named))],
            )
        },
        marks,
    }
}
