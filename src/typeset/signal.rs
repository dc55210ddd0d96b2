//! Marks of grades and states. Each has its own colour and its own outline, so that they can be
//! distinguished in grey: square, disc, triangle, diamond, octagon, ring. The outlines follow the
//! geometric shapes of ISO 3864-1 where it has one for the meaning (square: safe condition, disc:
//! information to act on, triangle: warning).

use super::ink::{Knot, Mark, Owner, Shape, at, circle, line, polygon, rectangle};
use super::sheet::{BLUE, Colour, GREEN, GREY, INK, ORANGE, PAPER, RED, YELLOW};
use crate::compose::document::Signal;

/// Colour of a mark.
pub(super) fn colour(signal: Signal) -> Colour {
    match signal {
        Signal::Good => GREEN,
        Signal::Notice => BLUE,
        Signal::Caution => YELLOW,
        Signal::Warning => ORANGE,
        Signal::Danger => RED,
        Signal::Unknown => GREY,
    }
}

/// Draws a mark of a size with its middle at a point.
pub(super) fn draw(marks: &mut Vec<Mark>, owner: Owner, signal: Signal, x: f32, y: f32, size: f32) {
    let shapes = outlines(signal, size);
    let shape = Shape::Group { x, y, shapes };
    marks.push(Mark { owner, shape });
}

/// The outlines of a mark around its middle, the outer one first.
fn outlines(signal: Signal, size: f32) -> Vec<Shape> {
    let (x, y) = (0.0, 0.0);
    let r = size / 2.0;
    let mut shapes = Vec::new();
    let mut draw = |shape: Shape| shapes.push(shape);
    let filled = |outline: Vec<Knot>, colour: Colour| Shape::Fill {
        rings: vec![outline],
        colour,
    };
    let bang = |colour: Colour, y: f32, h: f32| {
        // A stem that narrows downwards, and a dot.
        let w = size * 0.075;
        (
            vec![
                at(x - w, y - h),
                at(x + w, y - h),
                at(x + w * 0.6, y + h * 0.35),
                at(x - w * 0.6, y + h * 0.35),
            ],
            circle(x, y + h * 0.78, w * 1.05),
            colour,
        )
    };
    match signal {
        Signal::Good => {
            let s = r * 0.92;
            draw(filled(rectangle(x - s, y - s, 2.0 * s, 2.0 * s), GREEN));
            let tick = vec![
                at(x - s * 0.52, y + s * 0.02),
                at(x - s * 0.12, y + s * 0.44),
                at(x + s * 0.56, y - s * 0.44),
            ];
            draw(Shape::Line {
                knots: tick,
                closed: false,
                stroke: line(PAPER, size * 0.13),
            });
        }
        Signal::Notice => {
            draw(filled(circle(x, y, r), BLUE));
            let w = size * 0.075;
            draw(filled(circle(x, y - r * 0.45, w * 1.15), PAPER));
            draw(filled(
                rectangle(x - w, y - r * 0.14, 2.0 * w, r * 0.68),
                PAPER,
            ));
        }
        Signal::Caution => {
            let outer = [
                at(x, y - r * 0.98),
                at(x + r * 1.06, y + r * 0.86),
                at(x - r * 1.06, y + r * 0.86),
            ];
            draw(filled(outer.to_vec(), INK));
            let inner = [
                at(x, y - r * 0.70),
                at(x + r * 0.81, y + r * 0.71),
                at(x - r * 0.81, y + r * 0.71),
            ];
            draw(filled(inner.to_vec(), YELLOW));
            let (stem, dot, ink) = bang(INK, y + r * 0.20, r * 0.44);
            draw(filled(stem, ink));
            draw(filled(dot, ink));
        }
        Signal::Warning => {
            draw(filled(polygon(x, y, r * 1.08, 4, 0.0), ORANGE));
            let (stem, dot, ink) = bang(PAPER, y - r * 0.04, r * 0.52);
            draw(filled(stem, ink));
            draw(filled(dot, ink));
        }
        Signal::Danger => {
            draw(filled(polygon(x, y, r * 1.04, 8, 22.5), RED));
            draw(filled(
                rectangle(x - r * 0.58, y - r * 0.17, r * 1.16, r * 0.34),
                PAPER,
            ));
        }
        Signal::Unknown => {
            draw(Shape::Line {
                knots: circle(x, y, r * 0.86),
                closed: true,
                stroke: line(GREY, size * 0.12),
            });
            draw(filled(
                rectangle(x - r * 0.36, y - r * 0.1, r * 0.72, r * 0.2),
                GREY,
            ));
        }
    }
    shapes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::typeset::sheet::{DASHES, LEGS};

    /// The outlines of a mark without their colours.
    fn colourless(signal: Signal) -> Vec<Shape> {
        outlines(signal, 10.0)
            .into_iter()
            .map(|shape| match shape {
                Shape::Fill { rings, .. } => Shape::Fill { rings, colour: INK },
                Shape::Line {
                    knots,
                    closed,
                    stroke,
                } => Shape::Line {
                    knots,
                    closed,
                    stroke: line(INK, stroke.width),
                },
                shape => shape,
            })
            .collect()
    }

    #[test]
    fn marks_differ_by_their_outlines_alone() {
        let signals = [
            Signal::Good,
            Signal::Notice,
            Signal::Caution,
            Signal::Warning,
            Signal::Danger,
            Signal::Unknown,
        ];
        for (i, a) in signals.iter().enumerate() {
            for b in &signals[i + 1..] {
                // The outer outline comes first.
                assert_ne!(
                    colourless(*a).first(),
                    colourless(*b).first(),
                    "{a:?} {b:?}"
                );
            }
        }
    }

    #[test]
    fn legs_differ_by_their_dashes_alone() {
        assert_eq!(LEGS.len(), DASHES.len());
        for (i, a) in DASHES.iter().enumerate() {
            assert!(DASHES[i + 1..].iter().all(|b| a != b), "{a:?}");
        }
    }
}
