//! Photos with numbered marks: in the shape they were taken, the caption and the key below them.

use crate::compose::document::{PhotoFigure, Text};
use crate::typeset::error::TypesetError;
use crate::typeset::flow::Flow;
use crate::typeset::images::{fitted, photo_room, size};
use crate::typeset::ink::{Owner, Piece, Shape, circle};
use crate::typeset::lines::break_lines;
use crate::typeset::sheet::{ABOVE_FIGURE, INK, PAPER, SMALL};
use crate::typeset::tags::{Numbering, Role};

/// Radius of a numbered mark.
const MARK: f32 = 7.0;
/// Space above the caption, and above the key.
const ABOVE_CAPTION: f32 = 3.0;

/// Lays out a photo, its caption and the key of its marks below.
///
/// # Errors
/// The document has no such image.
pub(in crate::typeset) fn lay(
    flow: &mut Flow<'_>,
    photo: &PhotoFigure,
) -> Result<(), TypesetError> {
    let left = flow.inner();
    let width = flow.text_width();
    let (w, h) = fitted(size(flow.document, photo.image)?, photo_room(width));

    let figure = flow.tags.add_figure(0, &photo.alt);
    let own = Owner::Node(figure);
    let mut piece = Piece::of(h, ABOVE_FIGURE);
    piece.draw(
        own,
        Shape::Image {
            image: photo.image,
            x: left,
            y: 0.0,
            width: w,
            height: h,
        },
    );
    for (number, place, _) in &photo.marks {
        let clamp = |v: f64, size: f32| (v as f32 * size).clamp(MARK, (size - MARK).max(MARK));
        let (x, y) = (left + clamp(place[0], w), clamp(place[1], h));
        piece.draw(
            own,
            Shape::Fill {
                rings: vec![circle(x, y, MARK + 1.2)],
                colour: PAPER,
            },
        );
        piece.draw(
            own,
            Shape::Fill {
                rings: vec![circle(x, y, MARK)],
                colour: INK,
            },
        );
        let text = number.to_string();
        let style = SMALL.strong().coloured(PAPER);
        let half = flow.faces.width(style.weight, style.size, &text) / 2.0;
        piece.text(own, x - half, y + 2.65, style, text);
    }
    piece.figures.push((figure, [left, 0.0, w, h]));
    piece.keep = true;
    flow.pieces.push(piece);

    let caption = flow.tags.add(0, Role::P);
    let text = Text::plain(photo.caption.clone());
    flow.text_block(caption, &text, left, width, SMALL, ABOVE_CAPTION);
    if photo.marks.is_empty() {
        return Ok(());
    }
    flow.keep_last();
    // One after the other: each number in the heavy weight, then its label.
    let key = flow.tags.add(0, Role::L(Numbering::Decimal));
    let mut text = Text::default();
    let mut owners = Vec::new();
    for (i, (number, _, label)) in photo.marks.iter().enumerate() {
        let item = flow.tags.add(key, Role::LI);
        let (name, body) = (
            flow.tags.add(item, Role::Lbl),
            flow.tags.add(item, Role::LBody),
        );
        let between = if i + 1 < photo.marks.len() { "  " } else { "" };
        text = text
            .then(Text::strong(format!("{number}\u{A0}")))
            .then(Text::plain(format!("{label}{between}")));
        owners.extend([name, body].map(|node| (Owner::Node(node), None)));
    }
    let lines = break_lines(flow.faces, &text, SMALL, width);
    let count = lines.len();
    for (i, line) in lines.into_iter().enumerate() {
        let mut piece = Piece::of(SMALL.leading, if i == 0 { ABOVE_CAPTION } else { 0.0 });
        piece.keep = i + 1 < count;
        Flow::draw_line(&mut piece, line, left, 0.0, SMALL, &owners);
        flow.pieces.push(piece);
    }
    Ok(())
}
