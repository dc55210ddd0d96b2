//! The circuit on one line, from the supply to the charger, each place with the connections that
//! were opened there, numbered as in the tables.

use crate::compose::document::{Diagram, DiagramNode, Signal, Text};
use crate::typeset::flow::Flow;
use crate::typeset::ink::{Owner, Piece, Shape, Stroke, at, circle, polygon};
use crate::typeset::lines::break_lines;
use crate::typeset::sheet::{INK, PAPER, SMALL, SOFT, Style};
use crate::typeset::signal;

/// Maximum number of places in one row; a longer circuit continues in the next row.
const PER_ROW: usize = 6;
/// Radius of a place on the line.
const RADIUS: f32 = 5.0;
/// Width that a numbered connection takes.
const CONNECTION: f32 = 25.0;

/// Lays out a diagram.
pub(in crate::typeset) fn lay(flow: &mut Flow<'_>, diagram: &Diagram) {
    flow.figure_title(&diagram.title);
    let node = flow.tags.add_figure(0, &diagram.alt);
    let own = Owner::Node(node);
    let count = diagram.nodes.len();
    let rows = count.div_ceil(PER_ROW).max(1);
    let per_row = count.div_ceil(rows).max(1);
    let slot = flow.sheet.measure() / per_row as f32;
    for (row, nodes) in diagram.nodes.chunks(per_row).enumerate() {
        let mut piece = Piece::of(0.0, if row == 0 { 6.0 } else { 10.0 });
        let names: Vec<_> = nodes
            .iter()
            .map(|n| words(flow, &n.name, slot, SMALL.strong()))
            .collect();
        let top = names
            .iter()
            .map(|n| n.len() as f32 * SMALL.leading)
            .fold(0.0, f32::max);
        let level = top + 5.0 + RADIUS;
        let mut deepest = level + RADIUS;
        for (i, name) in names.into_iter().enumerate() {
            let left = flow.sheet.left + i as f32 * slot;
            let x = left + RADIUS;
            let index = row * per_row + i;
            // The run to the next place, over the gap between rows too.
            if index + 1 < count {
                let to = left + slot;
                let stroke = Stroke {
                    colour: INK,
                    width: 1.6,
                    dash: &[],
                    round: false,
                };
                piece.draw(
                    own,
                    Shape::Line {
                        knots: vec![
                            at(x, level),
                            at(
                                if i + 1 == nodes.len() {
                                    to - 2.0
                                } else {
                                    to + 2.0
                                },
                                level,
                            ),
                        ],
                        closed: false,
                        stroke,
                    },
                );
                if i + 1 == nodes.len() {
                    // The circuit goes on in the next row.
                    let tip = polygon(to - 2.0, level, 4.5, 3, 90.0);
                    piece.draw(
                        own,
                        Shape::Fill {
                            rings: vec![tip],
                            colour: INK,
                        },
                    );
                }
                if let Some(run) = diagram.runs.get(index).filter(|r| !r.is_empty()) {
                    let text = words(flow, run, slot - 2.0 * RADIUS, SMALL.coloured(SOFT));
                    let mut y = level + 4.0;
                    for line in text {
                        crate::typeset::lines::draw(
                            &mut piece.marks,
                            line,
                            x + RADIUS + 8.0,
                            y + SMALL.rise(),
                            SMALL.coloured(SOFT),
                            &|_| own,
                        );
                        y += SMALL.leading;
                    }
                    deepest = deepest.max(y);
                }
            }
            piece.draw(
                own,
                Shape::Fill {
                    rings: vec![circle(x, level, RADIUS)],
                    colour: INK,
                },
            );
            piece.draw(
                own,
                Shape::Fill {
                    rings: vec![circle(x, level, RADIUS - 1.5)],
                    colour: PAPER,
                },
            );
            let mut y = top - name.len() as f32 * SMALL.leading;
            for line in name {
                crate::typeset::lines::draw(
                    &mut piece.marks,
                    line,
                    left,
                    y + SMALL.rise(),
                    SMALL.strong(),
                    &|_| own,
                );
                y += SMALL.leading;
            }
        }
        // Details and connections begin below the deepest run label, all on one level.
        let under = deepest + 6.0;
        let mut bottom = under;
        for (i, place) in nodes.iter().enumerate() {
            let left = flow.sheet.left + i as f32 * slot;
            bottom = bottom.max(details(
                flow,
                &mut piece,
                own,
                place,
                left,
                under,
                slot - 10.0,
            ));
        }
        piece.height = bottom + 2.0;
        piece.keep = (row + 1) * per_row < count;
        if rows == 1 {
            piece.figures.push((
                node,
                [flow.sheet.left, 0.0, flow.sheet.measure(), piece.height],
            ));
        }
        flow.pieces.push(piece);
    }
}

fn words(
    flow: &Flow<'_>,
    text: &str,
    width: f32,
    style: Style,
) -> Vec<crate::typeset::lines::Line> {
    break_lines(
        flow.faces,
        &Text::plain(text),
        style,
        (width - 10.0).max(30.0),
    )
}

/// Draws the line below a place's name, and its connections; returns where they end.
fn details(
    flow: &Flow<'_>,
    piece: &mut Piece,
    own: Owner,
    place: &DiagramNode,
    left: f32,
    top: f32,
    width: f32,
) -> f32 {
    let mut y = top;
    if !place.detail.is_empty() {
        for line in words(flow, &place.detail, width + 10.0, SMALL) {
            crate::typeset::lines::draw(
                &mut piece.marks,
                line,
                left,
                y + SMALL.rise(),
                SMALL,
                &|_| own,
            );
            y += SMALL.leading;
        }
        y += 3.0;
    }
    let per_line = ((width / CONNECTION).floor() as usize).max(1);
    for line in place.connections.chunks(per_line) {
        for (i, (number, mark)) in line.iter().enumerate() {
            let x = left + i as f32 * CONNECTION;
            connection(piece, own, *number, *mark, x, y);
        }
        y += SMALL.leading + 2.0;
    }
    y
}

/// A connection: its mark and its number.
fn connection(piece: &mut Piece, own: Owner, number: usize, mark: Signal, x: f32, top: f32) {
    let base = top + SMALL.rise();
    signal::draw(&mut piece.marks, own, mark, x + 4.0, base - 2.7, 7.6);
    piece.text(own, x + 10.0, base, SMALL, number.to_string());
}
