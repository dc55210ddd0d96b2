//! Line charts: measured points, fitted curves, limits, the value to which each line settles, and a
//! label at the end of each line instead of a key.
//!
//! A leg is recognised by colour, by dash and by the shape of its points, so that charts can be
//! read in grey.

use super::scale::{Scale, number, rounded, spread};
use crate::compose::document::{Axis, Chart, Series, Text};
use crate::typeset::flow::Flow;
use crate::typeset::ink::{Owner, Piece, Shape, Stroke, at, circle, line, polygon, rectangle};
use crate::typeset::lines::{Line, break_lines};
use crate::typeset::sheet::{
    AIR, Colour, DASHES, HAIR, HAIRLINE, INK, LEGS, PAPER, RED, SMALL, SOFT,
};

/// Height of the plot.
const PLOT: f32 = 158.0;
/// Height of a plot over dates, which has one point per visit.
const PLOT_OF_DATES: f32 = 104.0;
/// Height of a plot in a column, and of one over dates there.
const PLOT_IN_COLUMN: f32 = 86.0;
const PLOT_OF_DATES_IN_COLUMN: f32 = 48.0;
/// A figure narrower than this has a key below the plot instead of labels at the lines' ends.
const NARROW: f32 = 260.0;
/// Space between the names of a key.
const BETWEEN_NAMES: f32 = 8.0;
/// Length of a line's sample in a key.
const SAMPLE: f32 = 14.0;
/// Maximum width of labels at the ends of lines.
const LABEL: f32 = 118.0;
/// How far labels may reach above and below the plot.
const ABOVE: f32 = 8.0;
const BELOW: f32 = 10.0;
/// Distance between two lines of a label.
const LABEL_LEADING: f32 = SMALL.leading - 1.0;
/// Width between settled values, right of the plot.
const SETTLED_STEP: f32 = 9.0;
/// Radius of a point.
const POINT: f32 = 2.3;
/// If a limit is so far off that the measured range would shrink below this share of the plot, it
/// is named as off the scale instead of drawn.
const LEAST_SHARE: f64 = 0.38;

/// A limit's line.
const LIMIT: Stroke = Stroke {
    colour: RED,
    width: 0.9,
    dash: &[9.0, 2.5],
    round: false,
};

struct Label {
    /// Where the line that it names ends.
    from: (f32, f32),
    text: String,
    colour: Colour,
}

/// Lays out a chart.
pub(in crate::typeset) fn lay(flow: &mut Flow<'_>, chart: &Chart) {
    flow.figure_title(&chart.title);
    let node = flow.tags.add_figure(0, &chart.alt);
    let own = Owner::Node(node);
    let measure = flow.sheet.measure();

    let mark = flow.document.decimal_mark;
    let (y_range, y_ticks, out_of_sight) = vertical(chart, mark);
    let (x_range, x_ticks) = horizontal(chart, mark);
    let tick_width = y_ticks
        .iter()
        .map(|(_, t)| flow.faces.width(SMALL.weight, SMALL.size, t))
        .fold(0.0, f32::max);
    let several = chart.series.iter().filter(|s| s.settled.is_some()).count() as f32;
    let settled = if several > 0.0 {
        SETTLED_STEP * (several + 1.0)
    } else {
        0.0
    };
    let names = chart
        .series
        .iter()
        .map(|s| s.label.as_str())
        .chain(chart.limits.iter().map(|l| l.1.as_str()));
    let label_width = names
        .clone()
        .map(|l| flow.faces.width(SMALL.weight, SMALL.size, l))
        .fold(0.0, f32::max)
        .min(LABEL)
        + 12.0;
    let narrow = measure < NARROW;
    let label_width = if narrow { POINT } else { label_width };

    let top = SMALL.leading + 6.0;
    let left = flow.sheet.left + tick_width + 6.0;
    let right = flow.sheet.left + measure - label_width - settled;
    let usual = match (narrow, &chart.x.ticks) {
        (true, None) => PLOT_IN_COLUMN,
        (true, Some(_)) => PLOT_OF_DATES_IN_COLUMN,
        (false, Some(_)) => PLOT_OF_DATES,
        (false, None) => PLOT,
    };
    let heights = names.map(|name| label_height(broken(flow, name).len()));
    let beside = if narrow { 0.0 } else { heights.sum() };
    let bottom = top + plot_height(usual, beside);
    let x = Scale::new(x_range, (left, right));
    let y = Scale::new(y_range, (bottom, top));
    let mut piece = Piece::of(bottom + 2.0 * SMALL.leading + 4.0, 2.0);

    axes(
        flow,
        chart,
        &mut piece,
        own,
        (&x, &x_ticks),
        (&y, &y_ticks),
        (left, right, top, bottom),
    );

    let mut labels = Vec::new();
    let limits = named_limits(chart, &out_of_sight);
    for (value, text) in &limits {
        let from = match value {
            None => (right, top + 2.0),
            Some(value) => {
                let level = y.at(*value);
                piece.draw(
                    own,
                    Shape::Line {
                        knots: vec![at(left, level), at(right, level)],
                        closed: false,
                        stroke: LIMIT,
                    },
                );
                (right, level)
            }
        };
        labels.push(Label {
            from,
            text: text.clone(),
            colour: RED,
        });
    }
    // Settled values are drawn side by side, so that their intervals can be distinguished.
    let mut place = right + settled;
    // The most important line is drawn last, over the others.
    for series in chart.series.iter().rev() {
        draw_series(&mut piece, own, series, &x, &y);
        if series.settled.is_some() {
            place -= SETTLED_STEP;
        }
        let end = settle(&mut piece, own, series, &x, &y, place)
            .or_else(|| last_point(series).map(|p| (x.at(p[0]) + POINT, y.at(p[1]))));
        if let Some(from) = end {
            labels.push(Label {
                from,
                text: series.label.clone(),
                colour: colour(series),
            });
        }
    }
    if narrow {
        draw_key(flow, &mut piece, own, chart, &limits);
    } else {
        draw_labels(
            flow,
            &mut piece,
            own,
            &labels,
            right + settled + 8.0,
            (top - ABOVE, bottom + BELOW),
        );
    }
    piece
        .figures
        .push((node, [flow.sheet.left, 0.0, measure, piece.height]));
    flow.pieces.push(piece);
}

/// The limits with their labels; a limit off the scale has no value.
fn named_limits(chart: &Chart, out_of_sight: &[f64]) -> Vec<(Option<f64>, String)> {
    let named = |(value, text): &(f64, String)| {
        if out_of_sight.contains(value) {
            (None, chart.beyond(text))
        } else {
            (Some(*value), text.clone())
        }
    };
    chart.limits.iter().map(named).collect()
}

/// A label's text in lines.
fn broken(flow: &Flow<'_>, text: &str) -> Vec<Line> {
    break_lines(flow.faces, &Text::plain(text), SMALL, LABEL)
}

/// Height of a label with this number of lines, with the space to the next one.
fn label_height(lines: usize) -> f32 {
    lines as f32 * LABEL_LEADING + 1.0
}

/// Height of a plot next to which labels with this total height fit one below the other.
fn plot_height(usual: f32, labels: f32) -> f32 {
    usual.max(labels - ABOVE - BELOW)
}

/// Range and ticks of the vertical axis, and the limits that are off its scale.
#[allow(clippy::type_complexity)]
fn vertical(chart: &Chart, decimal_mark: char) -> ((f64, f64), Vec<(f64, String)>, Vec<f64>) {
    let mut low = f64::MAX;
    let mut high = f64::MIN;
    let mut see = |v: f64| {
        if v.is_finite() {
            low = low.min(v);
            high = high.max(v);
        }
    };
    for series in &chart.series {
        series.curve.iter().for_each(|p| see(p[1]));
        for (i, point) in series.points.iter().enumerate() {
            let half = series.intervals.get(i).copied().flatten().unwrap_or(0.0);
            see(point[1] - half);
            see(point[1] + half);
        }
        if let Some((value, half)) = series.settled {
            see(value - half);
            see(value + half);
        }
    }
    if low > high {
        (low, high) = (0.0, 1.0);
    }
    let measured = high - low;
    let mut hidden = Vec::new();
    for (value, _) in &chart.limits {
        let span = high.max(*value) - low.min(*value);
        if chart.y.range.is_none() && measured / span < LEAST_SHARE {
            hidden.push(*value);
        } else if chart.y.range.is_none() {
            low = low.min(*value);
            high = high.max(*value);
        }
    }
    let (range, ticks, decimals) = match chart.y.range {
        Some([low, high]) => {
            let (_, ticks, decimals) = rounded(low, high, 6);
            ((low, high), ticks, decimals)
        }
        None => rounded(low, high, 6),
    };
    hidden.extend(
        chart
            .limits
            .iter()
            .map(|l| l.0)
            .filter(|v| *v < range.0 || *v > range.1),
    );
    (
        range,
        labelled(&chart.y, range, ticks, (decimals, decimal_mark)),
        hidden,
    )
}

/// Range and ticks of the horizontal axis.
fn horizontal(chart: &Chart, decimal_mark: char) -> ((f64, f64), Vec<(f64, String)>) {
    let all = chart
        .series
        .iter()
        .flat_map(|s| s.points.iter().chain(&s.curve))
        .map(|p| p[0]);
    let (low, high) = all
        .filter(|v| v.is_finite())
        .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let (low, high) = match chart.x.range {
        Some([low, high]) => (low, high),
        None if low > high => (0.0, 1.0),
        None => (low, high),
    };
    let (_, ticks, decimals) = rounded(low, high, 7);
    let range = if high > low {
        (low, high)
    } else {
        (low - 0.5, high + 0.5)
    };
    (
        range,
        labelled(&chart.x, range, ticks, (decimals, decimal_mark)),
    )
}

fn labelled(
    axis: &Axis,
    range: (f64, f64),
    ticks: Vec<f64>,
    (decimals, decimal_mark): (usize, char),
) -> Vec<(f64, String)> {
    let slack = (range.1 - range.0) * 1e-9;
    let given = match &axis.ticks {
        Some(given) => given.clone(),
        None => ticks
            .into_iter()
            .map(|t| (t, number(t, decimals, decimal_mark)))
            .collect(),
    };
    given
        .into_iter()
        .filter(|t| t.0 >= range.0 - slack && t.0 <= range.1 + slack)
        .collect()
}

fn axes(
    flow: &Flow<'_>,
    chart: &Chart,
    piece: &mut Piece,
    own: Owner,
    (x, x_ticks): (&Scale, &[(f64, String)]),
    (y, y_ticks): (&Scale, &[(f64, String)]),
    (left, right, top, bottom): (f32, f32, f32, f32),
) {
    let soft = SMALL.coloured(SOFT);
    let width = |t: &str| flow.faces.width(SMALL.weight, SMALL.size, t);
    piece.text(
        own,
        flow.sheet.left,
        SMALL.rise() - 2.0,
        soft,
        chart.y.label.clone(),
    );
    for (value, text) in y_ticks {
        let level = y.at(*value);
        piece.draw(
            own,
            Shape::Line {
                knots: vec![at(left, level), at(right, level)],
                closed: false,
                stroke: line(HAIR, HAIRLINE),
            },
        );
        piece.text(
            own,
            left - 5.0 - width(text),
            level + 2.7,
            soft,
            text.clone(),
        );
    }
    piece.draw(
        own,
        Shape::Line {
            knots: vec![at(left, bottom), at(right, bottom)],
            closed: false,
            stroke: line(INK, 0.7),
        },
    );
    let _ = top;
    let mut free = f32::MIN;
    for (value, text) in x_ticks {
        let place = x.at(*value);
        piece.draw(
            own,
            Shape::Line {
                knots: vec![at(place, bottom), at(place, bottom + 3.0)],
                closed: false,
                stroke: line(INK, 0.7),
            },
        );
        let half = width(text) / 2.0;
        // A label at an end stays inside the figure.
        let right_end = flow.sheet.left + flow.sheet.measure() - half;
        let place = place.min(right_end).max(flow.sheet.left + half);
        // Labels that would touch the one before are left out; their tick stays.
        if place - half > free {
            piece.text(
                own,
                place - half,
                bottom + 4.0 + SMALL.rise(),
                soft,
                text.clone(),
            );
            free = place + half + 4.0;
        }
    }
    let label = &chart.x.label;
    // A long name begins at the left edge of a narrow figure and ends beyond the axis.
    piece.text(
        own,
        (right - width(label)).max(flow.sheet.left),
        bottom + 4.0 + SMALL.leading + SMALL.rise(),
        soft,
        label.clone(),
    );
}

fn colour(series: &Series) -> Colour {
    series.leg.map_or(AIR, |leg| LEGS[leg % LEGS.len()])
}

fn stroke(series: &Series) -> Stroke {
    match series.leg {
        Some(leg) => Stroke {
            colour: colour(series),
            width: 1.3,
            dash: DASHES[leg % DASHES.len()],
            round: false,
        },
        None => Stroke {
            colour: AIR,
            width: 0.8,
            dash: &[2.5, 1.5],
            round: false,
        },
    }
}

fn last_point(series: &Series) -> Option<[f64; 2]> {
    let curve = series.curve.last();
    let point = series.points.last();
    match (curve, point) {
        (Some(c), Some(p)) => Some(if c[0] >= p[0] { *c } else { *p }),
        (c, p) => c.or(p).copied(),
    }
}

fn draw_series(piece: &mut Piece, own: Owner, series: &Series, x: &Scale, y: &Scale) {
    let path = if series.curve.len() > 1 {
        &series.curve
    } else {
        &series.points
    };
    if path.len() > 1 {
        let knots = path.iter().map(|p| at(x.at(p[0]), y.at(p[1]))).collect();
        piece.draw(
            own,
            Shape::Line {
                knots,
                closed: false,
                stroke: stroke(series),
            },
        );
    }
    for (i, point) in series.points.iter().enumerate() {
        let (px, py) = (x.at(point[0]), y.at(point[1]));
        if let Some(half) = series.intervals.get(i).copied().flatten() {
            whisker(
                piece,
                own,
                colour(series),
                px,
                y.at(point[1] - half),
                y.at(point[1] + half),
                1.8,
            );
        }
        if series.leg.is_some() {
            marker(piece, own, series, px, py, false);
        } else {
            let shapes = vec![Shape::Fill {
                rings: vec![circle(0.0, 0.0, 1.2)],
                colour: AIR,
            }];
            piece.draw(
                own,
                Shape::Group {
                    x: px,
                    y: py,
                    shapes,
                },
            );
        }
    }
}

/// A vertical interval with caps.
pub(super) fn whisker(
    piece: &mut Piece,
    own: Owner,
    colour: Colour,
    x: f32,
    low: f32,
    high: f32,
    cap: f32,
) {
    let rise = high - low;
    let shapes = [
        vec![at(0.0, 0.0), at(0.0, rise)],
        vec![at(-cap, 0.0), at(cap, 0.0)],
        vec![at(-cap, rise), at(cap, rise)],
    ]
    .map(|knots| Shape::Line {
        knots,
        closed: false,
        stroke: line(colour, 0.6),
    })
    .into();
    piece.draw(own, Shape::Group { x, y: low, shapes });
}

/// A point of a leg, hollow if its value was computed and not measured.
fn marker(piece: &mut Piece, own: Owner, series: &Series, x: f32, y: f32, hollow: bool) {
    let outline = |grow: f32, colour: Colour| -> Shape {
        let r = POINT + grow;
        let ring = match series.leg.unwrap_or(0) % 4 {
            0 => circle(0.0, 0.0, r),
            1 => rectangle(-r * 0.88, -r * 0.88, 1.76 * r, 1.76 * r),
            2 => polygon(0.0, r * 0.15, r * 1.25, 3, 0.0),
            _ => polygon(0.0, 0.0, r * 1.2, 4, 0.0),
        };
        Shape::Fill {
            rings: vec![ring],
            colour,
        }
    };
    let mut shapes = vec![outline(0.8, PAPER), outline(0.0, colour(series))];
    if hollow {
        shapes.push(outline(-0.9, PAPER));
    }
    piece.draw(own, Shape::Group { x, y, shapes });
}

/// Draws the settled value to the right of the plot; returns the point from which its label starts.
fn settle(
    piece: &mut Piece,
    own: Owner,
    series: &Series,
    x: &Scale,
    y: &Scale,
    place: f32,
) -> Option<(f32, f32)> {
    let (value, half) = series.settled?;
    let level = y.at(value);
    if let Some(end) = last_point(series) {
        let stroke = Stroke {
            colour: colour(series),
            width: 0.5,
            dash: &[1.0, 1.6],
            round: false,
        };
        let knots = vec![at(x.at(end[0]), y.at(end[1])), at(place, level)];
        piece.draw(
            own,
            Shape::Line {
                knots,
                closed: false,
                stroke,
            },
        );
    }
    whisker(
        piece,
        own,
        colour(series),
        place,
        y.at(value - half),
        y.at(value + half),
        2.6,
    );
    if series.leg.is_some() {
        marker(piece, own, series, place, level, true);
    }
    Some((place + 3.0, level))
}

/// Draws the labels, moved apart, with a thin leader to each label that was moved.
fn draw_labels(
    flow: &Flow<'_>,
    piece: &mut Piece,
    own: Owner,
    labels: &[Label],
    x: f32,
    bounds: (f32, f32),
) {
    let broken: Vec<_> = labels.iter().map(|l| broken(flow, &l.text)).collect();
    let wanted: Vec<(f32, f32)> = labels
        .iter()
        .zip(&broken)
        .map(|(l, b)| (l.from.1, label_height(b.len())))
        .collect();
    for ((label, lines), (middle, (_, height))) in labels
        .iter()
        .zip(broken)
        .zip(spread(&wanted, bounds).into_iter().zip(&wanted))
    {
        if (middle - label.from.1).abs() > 2.5 || x - label.from.0 > 12.0 {
            let knots = vec![
                at(label.from.0 + 1.0, label.from.1),
                at(x - 6.0, middle),
                at(x - 2.0, middle),
            ];
            piece.draw(
                own,
                Shape::Line {
                    knots,
                    closed: false,
                    stroke: line(label.colour, HAIRLINE),
                },
            );
        }
        let mut base = middle - height / 2.0 + LABEL_LEADING / 2.0 + 3.0;
        for line in lines {
            let style = SMALL.coloured(label.colour);
            crate::typeset::lines::draw(&mut piece.marks, line, x, base, style, &|_| own);
            base += LABEL_LEADING;
        }
    }
}

/// The key at the foot of a narrow figure: a sample of each line and limit with its name, as many
/// side by side as fit.
fn draw_key(
    flow: &Flow<'_>,
    piece: &mut Piece,
    own: Owner,
    chart: &Chart,
    limits: &[(Option<f64>, String)],
) {
    let (outer, measure) = (flow.sheet.left, flow.sheet.measure());
    let before = SAMPLE + 5.0;
    let mut left = outer;
    let lines = chart
        .series
        .iter()
        .map(|s| (stroke(s), s.label.as_str(), Some(s)));
    let limits = limits.iter().map(|l| (LIMIT, l.1.as_str(), None));
    for (stroke, name, series) in lines.chain(limits) {
        let style = SMALL.coloured(stroke.colour);
        let wanted = before + flow.faces.width(SMALL.weight, SMALL.size, name);
        if left > outer && left + wanted > outer + measure {
            piece.height += SMALL.leading;
            left = outer;
        }
        let middle = piece.height + SMALL.leading / 2.0;
        piece.draw(
            own,
            Shape::Line {
                knots: vec![at(left, middle), at(left + SAMPLE, middle)],
                closed: false,
                stroke,
            },
        );
        if let Some(series) = series.filter(|s| s.leg.is_some()) {
            marker(piece, own, series, left + SAMPLE / 2.0, middle, false);
        }
        let broken = break_lines(flow.faces, &Text::plain(name), SMALL, measure - before);
        for (i, line) in broken.into_iter().enumerate() {
            if i > 0 {
                piece.height += SMALL.leading;
            }
            let base = piece.height + SMALL.rise();
            crate::typeset::lines::draw(
                &mut piece.marks,
                line,
                left + before,
                base,
                style,
                &|_| own,
            );
        }
        left += wanted + BETWEEN_NAMES;
    }
    if left > outer {
        piece.height += SMALL.leading;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stay_inside_their_figure_however_many() {
        for lines in 1..4 {
            for labels in 1..60 {
                let height = label_height(lines);
                let plot = plot_height(PLOT, height * labels as f32);
                // All ends in one corner, where labels are pushed the furthest.
                for end in [0.0, plot] {
                    let wanted = vec![(end, height); labels];
                    let placed = spread(&wanted, (-ABOVE, plot + BELOW));
                    for middle in placed {
                        assert!(middle - height / 2.0 > -ABOVE - 0.01, "{labels} of {lines}");
                        assert!(
                            middle + height / 2.0 < plot + BELOW + 0.01,
                            "{labels} of {lines}"
                        );
                    }
                }
            }
        }
        assert_eq!(plot_height(PLOT, label_height(1) * 16.0), PLOT);
    }
}
