//! A strip of margins: every connection's value as a share of its own limit, one below the
//! other, so that the worst is seen at once.

use super::scale::{Scale, number, rounded};
use crate::compose::tree::{Strip, Text};
use crate::typeset::blocks::Flow;
use crate::typeset::ink::{Owner, Piece, Shape, Stroke, at, line};
use crate::typeset::lines::{break_lines, natural_width};
use crate::typeset::sheet::{HAIR, HAIRLINE, INK, RED, SMALL, SOFT};
use crate::typeset::signal;

/// Height of a row of one line.
const ROW: f32 = 13.0;
/// Labels are at most this share of the width.
const LABELS: f32 = 0.4;
/// Width of the figures at the right.
const FIGURES: f32 = 34.0;

/// Lays out a strip: an axis, then a piece for each item, so that forty fill a page and eighty
/// go on to the next.
pub(in crate::typeset) fn lay(flow: &mut Flow<'_>, strip: &Strip) {
    flow.figure_title(&strip.title);
    let node = flow.tags.add_figure(0, &strip.alt);
    let own = Owner::Node(node);
    let (left, measure) = (flow.sheet.left, flow.sheet.measure());
    let widest = strip
        .items
        .iter()
        .map(|i| natural_width(flow.faces, &Text::plain(i.0.clone()), SMALL))
        .fold(0.0, f32::max);
    let label_width = widest.min(measure * LABELS);
    let start = left + label_width + 12.0;
    let end = left + measure - FIGURES;

    let shares: Vec<(f64, f64)> = strip
        .items
        .iter()
        .map(|(_, value, half, limit, _)| {
            if limit.abs() > 0.0 {
                (value / limit, (half / limit).abs())
            } else {
                (0.0, 0.0)
            }
        })
        .collect();
    let highest = shares
        .iter()
        .map(|(v, h)| v + h)
        .fold(1.0, f64::max)
        .min(3.0);
    let lowest = shares
        .iter()
        .map(|(v, h)| v - h)
        .fold(0.0, f64::min)
        .max(-1.0);
    let ((_, top), ticks, _) = rounded(lowest * 100.0, highest * 100.0, 6);
    let x = Scale::new((lowest * 100.0, top), (start, end));

    let soft = SMALL.coloured(SOFT);
    let mut axis = Piece::of(SMALL.leading * 2.0 + 3.0, 2.0);
    axis.keep = true;
    axis.text(own, start, SMALL.rise(), soft, strip.axis.clone());
    for tick in ticks.iter().filter(|t| **t >= lowest * 100.0 && **t <= top) {
        let text = format!("{}\u{202F}%", number(*tick, 0));
        let half = flow.faces.width(SMALL.weight, SMALL.size, &text) / 2.0;
        let style = if (*tick - 100.0).abs() < 1e-6 {
            SMALL.strong().coloured(RED)
        } else {
            soft
        };
        axis.text(
            own,
            x.at(*tick) - half,
            SMALL.leading + SMALL.rise(),
            style,
            text,
        );
    }
    let bottom = axis.height;
    axis.draw(
        own,
        Shape::Line {
            knots: vec![at(start, bottom), at(end, bottom)],
            closed: false,
            stroke: line(INK, 0.7),
        },
    );
    let single = strip.items.len() as f32 * ROW < flow.sheet.depth() * 0.8;
    if single {
        axis.figure = Some((
            node,
            [
                left,
                0.0,
                measure,
                axis.height + strip.items.len() as f32 * ROW,
            ],
        ));
    }
    flow.pieces.push(axis);

    let count = strip.items.len();
    for (i, ((label, _, _, _, mark), (share, half))) in strip.items.iter().zip(shares).enumerate() {
        let lines = break_lines(flow.faces, &Text::plain(label.clone()), SMALL, label_width);
        let height = ROW.max(lines.len() as f32 * SMALL.leading + 2.0);
        let mut row = Piece::of(height, 0.0);
        row.keep = i + 1 < count && (single || i == 0 || i + 2 == count);
        let middle = height / 2.0;
        let base = middle - lines.len() as f32 * SMALL.leading / 2.0;
        for (k, text) in lines.into_iter().enumerate() {
            let y = base + k as f32 * SMALL.leading + SMALL.rise();
            crate::typeset::lines::draw(&mut row.marks, text, left, y, SMALL, &|_| own);
        }
        let clip = |v: f64| x.at((v * 100.0).clamp(lowest * 100.0, top));
        let mut draw = |from: f32, to: f32, y: f32, stroke: Stroke| {
            row.draw(
                own,
                Shape::Line {
                    knots: vec![at(from, y), at(to, y)],
                    closed: false,
                    stroke,
                },
            );
        };
        draw(start, end, middle, line(HAIR, HAIRLINE));
        draw(
            x.at(0.0),
            clip(share),
            middle,
            line(signal::colour(*mark), 2.2),
        );
        draw(
            clip(share - half),
            clip(share + half),
            middle,
            line(INK, 0.8),
        );
        row.draw(
            own,
            Shape::Line {
                knots: vec![at(x.at(100.0), 0.0), at(x.at(100.0), height)],
                closed: false,
                stroke: line(RED, 0.9),
            },
        );
        signal::draw(&mut row.marks, own, *mark, clip(share), middle, 7.6);
        let text = format!("{}\u{202F}%", number(share * 100.0, 0));
        let width = flow.faces.width(SMALL.weight, SMALL.size, &text);
        row.text(
            own,
            left + measure - width,
            middle - SMALL.leading / 2.0 + SMALL.rise(),
            SMALL,
            text,
        );
        flow.pieces.push(row);
    }
}
