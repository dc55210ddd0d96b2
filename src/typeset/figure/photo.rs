//! Photos with numbered marks: in the shape they were taken, the caption and the key beside them
//! in the narrow column.

use crate::compose::document::{PhotoFigure, Text};
use crate::typeset::error::TypesetError;
use crate::typeset::flow::Flow;
use crate::typeset::images::{fitted, photo_room, size};
use crate::typeset::ink::{Owner, Piece, Shape, circle, line};
use crate::typeset::lines::break_lines;
use crate::typeset::sheet::{ABOVE_FIGURE, GUTTER, INDENT, INK, PAPER, SMALL};
use crate::typeset::tags::Role;

/// Radius of a numbered mark.
const MARK: f32 = 7.0;
/// Indent of the key's labels from their numbers.
const HANG: f32 = 16.0;

/// Lays out a photo. Two in a row fit on a page; one alone may be larger.
///
/// # Errors
/// The document has no such image.
pub(in crate::typeset) fn lay(
    flow: &mut Flow<'_>,
    photo: &PhotoFigure,
    alone: bool,
) -> Result<(), TypesetError> {
    let inner = flow.inner();
    let (w, h) = fitted(
        size(flow.document, photo.image)?,
        photo_room(&flow.sheet, alone),
    );

    let figure = flow.tags.add_figure(0, &photo.alt);
    let own = Owner::Node(figure);
    let mut piece = Piece::of(h, ABOVE_FIGURE);
    piece.draw(
        own,
        Shape::Image {
            image: photo.image,
            x: inner,
            y: 0.0,
            width: w,
            height: h,
        },
    );
    for (number, place, _) in &photo.marks {
        let clamp = |v: f64, size: f32| (v as f32 * size).clamp(MARK, (size - MARK).max(MARK));
        let (x, y) = (inner + clamp(place[0], w), clamp(place[1], h));
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
    piece.figures.push((figure, [inner, 0.0, w, h]));

    let caption = flow.tags.add(0, Role::P);
    let left = flow.sheet.left;
    let column = INDENT - GUTTER;
    let mut y = 0.0;
    for text in break_lines(
        flow.faces,
        &Text::plain(photo.caption.clone()),
        SMALL,
        column,
    ) {
        Flow::draw_line(
            &mut piece,
            text,
            left,
            y,
            SMALL,
            &[(Owner::Node(caption), None)],
        );
        y += SMALL.leading;
    }
    if photo.marks.is_empty() {
        piece.height = h.max(y);
        flow.pieces.push(piece);
        return Ok(());
    }
    y += 4.0;
    piece.rule((left, y), (left + 24.0, y), line(INK, 0.5));
    y += 4.0;
    let key = flow.tags.add(0, Role::L);
    // A key longer than its photo goes on below it, as many to a row as the page has columns of
    // that width.
    let bottom = h.max(y + 3.0 * SMALL.leading);
    let per_row = (flow.sheet.measure() / INDENT) as usize;
    let mut below: Vec<Piece> = Vec::new();
    let mut at = per_row;
    for (number, _, label) in &photo.marks {
        let item = flow.tags.add(key, Role::LI);
        let (name, body) = (
            flow.tags.add(item, Role::Lbl),
            flow.tags.add(item, Role::LBody),
        );
        let labels = break_lines(
            flow.faces,
            &Text::plain(label.clone()),
            SMALL,
            column - HANG,
        );
        let height = labels.len() as f32 * SMALL.leading;
        let beside = below.is_empty() && y + height <= bottom;
        let (target, x, top) = if beside {
            y += height;
            (&mut piece, left, y - height)
        } else {
            if at == per_row {
                below.push(Piece::of(0.0, if below.is_empty() { 6.0 } else { 1.0 }));
                at = 0;
            }
            let Some(row) = below.last_mut() else {
                continue;
            };
            row.height = row.height.max(height);
            at += 1;
            (row, left + (at - 1) as f32 * INDENT, 0.0)
        };
        target.text(
            Owner::Node(name),
            x,
            top + SMALL.rise(),
            SMALL.strong(),
            number.to_string(),
        );
        for (k, text) in labels.into_iter().enumerate() {
            let top = top + k as f32 * SMALL.leading;
            Flow::draw_line(
                target,
                text,
                x + HANG,
                top,
                SMALL,
                &[(Owner::Node(body), None)],
            );
        }
    }
    piece.height = h.max(y);
    piece.keep = !below.is_empty();
    flow.pieces.push(piece);
    flow.pieces.extend(below);
    Ok(())
}
