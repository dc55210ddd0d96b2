//! A strip of margins: every connection's value and its distance to its own limit, one below the
//! other, so that the worst is obvious.

use super::scale::{Scale, number, rounded};
use crate::compose::document::{Signal, Strip, Text};
use crate::typeset::flow::{Flow, Head};
use crate::typeset::ink::{Owner, Piece, Shape, Stroke, at, line};
use crate::typeset::lines::{break_lines, natural_width};
use crate::typeset::sheet::{HAIR, HAIRLINE, INK, RED, SMALL, SOFT};
use crate::typeset::signal;

/// Height of a row of one line.
const ROW: f32 = 13.0;
/// Labels are at most this share of the width.
const LABELS: f32 = 0.4;
/// A strip up to this share of the page stays on one page.
const WHOLE: f32 = 0.8;

/// Minimum number of rows that stay together if a strip is split.
const TOGETHER: usize = 4;

/// What all rows share.
struct Rows {
    own: Owner,
    x: Scale,
    /// Ends of the plot.
    ends: (f32, f32),
    label_width: f32,
}

/// Lays out a strip: an axis, then a piece for each item, so that forty fill a page and eighty
/// go on to the next, below the axis once more.
pub(in crate::typeset) fn lay(flow: &mut Flow<'_>, strip: &Strip) {
    flow.figure_title(&strip.title);
    let node = flow.tags.add_figure(0, &strip.alt);
    let own = Owner::Node(node);
    let (left, measure) = (flow.sheet.left, flow.sheet.measure());
    let width = |t: &str| flow.faces.width(SMALL.weight, SMALL.size, t);
    let widest = strip
        .items
        .iter()
        .map(|i| natural_width(flow.faces, &Text::plain(i.0.clone()), SMALL))
        .fold(0.0, f32::max);
    let label_width = widest.min(measure * LABELS);
    let figures: Vec<String> = strip
        .items
        .iter()
        .map(|i| figure(i.1, i.3, flow.document.decimal_mark))
        .collect();
    let figure_width = figures.iter().map(|f| width(f)).fold(0.0, f32::max);

    let all = strip
        .items
        .iter()
        .flat_map(|(_, v, half, limit, _)| [v - half, v + half, *limit]);
    let (low, high) = all
        .filter(|v| v.is_finite())
        .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let (low, high) = if low > high { (0.0, 1.0) } else { (low, high) };
    let (range, ticks, decimals) = rounded(low, high, 6);
    let ends = (
        left + label_width + 12.0,
        left + measure - figure_width - 12.0,
    );
    let rows = Rows {
        own,
        x: Scale::new(range, ends),
        ends,
        label_width,
    };

    let soft = SMALL.coloured(SOFT);
    let mut axis = Piece::of(SMALL.leading * 2.0 + 3.0, 2.0);
    axis.keep = true;
    axis.text(own, ends.0, SMALL.rise(), soft, strip.axis.clone());
    for tick in ticks {
        let text = number(tick, decimals, flow.document.decimal_mark);
        let half = width(&text) / 2.0;
        axis.text(
            own,
            rows.x.at(tick) - half,
            SMALL.leading + SMALL.rise(),
            soft,
            text,
        );
    }
    let bottom = axis.height;
    let knots = vec![at(ends.0, bottom), at(ends.1, bottom)];
    axis.draw(
        own,
        Shape::Line {
            knots,
            closed: false,
            stroke: line(INK, 0.7),
        },
    );
    let mut pieces = vec![axis];
    for (item, figure) in strip.items.iter().zip(figures) {
        pieces.push(row(flow, &rows, item, figure));
    }

    let height: f32 = pieces.iter().map(|p| p.height).sum();
    let whole = height < flow.sheet.depth() * WHOLE;
    let count = pieces.len();
    let again = pieces.first().map(Head::again);
    flow.heads.extend(again);
    let head = flow.heads.len().checked_sub(1);
    for (i, piece) in pieces.iter_mut().enumerate() {
        piece.keep = i + 1 < count && (whole || i < TOGETHER || i + TOGETHER >= count);
        if i > 0 {
            piece.head = head;
        }
    }
    if let Some(axis) = pieces.first_mut().filter(|_| whole) {
        axis.figures.push((node, [left, 0.0, measure, height]));
    }
    flow.pieces.extend(pieces);
}

/// Value and limit, with more decimals for small values.
fn figure(value: f64, limit: f64, decimal_mark: char) -> String {
    let decimals = usize::from(value.abs() < 20.0);
    let [value, limit] = [value, limit].map(|v| number(v, decimals, decimal_mark));
    format!("{value} / {limit}")
}

/// One item: its name, its value with the interval, the way to its limit, both as figures.
fn row(
    flow: &Flow<'_>,
    rows: &Rows,
    (label, value, half, limit, mark): &(String, f64, f64, f64, Signal),
    figure: String,
) -> Piece {
    let Rows {
        own,
        x,
        ends,
        label_width,
    } = rows;
    let (left, measure) = (flow.sheet.left, flow.sheet.measure());
    let lines = break_lines(flow.faces, &Text::plain(label.clone()), SMALL, *label_width);
    let height = ROW.max(lines.len() as f32 * SMALL.leading + 2.0);
    let mut row = Piece::of(height, 0.0);
    let middle = height / 2.0;
    let base = middle - lines.len() as f32 * SMALL.leading / 2.0;
    for (k, text) in lines.into_iter().enumerate() {
        let y = base + k as f32 * SMALL.leading + SMALL.rise();
        crate::typeset::lines::draw(&mut row.marks, text, left, y, SMALL, &|_| *own);
    }
    let place = |v: f64| x.at(v).clamp(ends.0, ends.1);
    let mut draw = |from: (f32, f32), to: (f32, f32), stroke: Stroke| {
        let knots = vec![at(from.0, from.1), at(to.0, to.1)];
        row.draw(
            *own,
            Shape::Line {
                knots,
                closed: false,
                stroke,
            },
        );
    };
    draw((ends.0, middle), (ends.1, middle), line(HAIR, HAIRLINE));
    draw(
        (place(*value), middle),
        (place(*limit), middle),
        line(signal::colour(*mark), 2.4),
    );
    draw(
        (place(*limit), 0.0),
        (place(*limit), height),
        line(RED, 1.2),
    );
    draw(
        (place(value - half), middle),
        (place(value + half), middle),
        line(INK, 0.8),
    );
    for end in [value - half, value + half] {
        draw(
            (place(end), middle - 2.0),
            (place(end), middle + 2.0),
            line(INK, 0.8),
        );
    }
    signal::draw(&mut row.marks, *own, *mark, place(*value), middle, 7.6);
    let width = flow.faces.width(SMALL.weight, SMALL.size, &figure);
    let y = middle - SMALL.leading / 2.0 + SMALL.rise();
    row.text(*own, left + measure - width, y, SMALL, figure);
    row
}
