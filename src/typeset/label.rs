//! A label: the result, the dates and the check line of one circuit on one small page.
//!
//! The code is at the right of the result, and what has to be read whole is below it over the full
//! width. Where a text is too long for the label, everything on it becomes smaller.

use super::face::Faces;
use super::figure::code;
use super::flow::Flow;
use super::ink::{Owner, Piece, Shape};
use super::lines::{Line, break_lines, shortened};
use super::sheet::{BODY, SECTION, SMALL, SOFT, Style};
use super::signal;
use super::tags::{Numbering, Role};
use crate::compose::document::{Label, Text};

/// Shares of the usual sizes, largest first.
const SCALES: [f32; 10] = [1.0, 0.96, 0.92, 0.88, 0.84, 0.8, 0.76, 0.72, 0.68, 0.64];
/// Side of the mark.
const MARK: f32 = 30.0;
/// Space between the mark and the result.
const BESIDE: f32 = 8.0;
/// Most lines of the result, and of whether charging may go on.
const LINES: usize = 3;
/// Width of the names of facts.
const NAMES: f32 = 74.0;
/// Space between parts.
const GAP: f32 = 3.0;
/// Height of the bar below the firm.
const BAR: f32 = 1.2;

/// Which part of the label a line belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    From,
    Title,
    Charging,
    Name(usize),
    Value(usize),
    Check,
    Note,
}

/// Where everything goes at one scale.
struct Plan {
    lines: Vec<(Part, Line, f32, f32, Style)>,
    bar: f32,
    mark: f32,
    height: f32,
}

/// Lays out one label.
pub(super) fn lay(flow: &mut Flow<'_>, label: &Label) {
    let (left, measure) = (flow.sheet.left, flow.sheet.measure());
    let depth = flow.sheet.depth();
    let plans = SCALES.map(|scale| plan(flow.faces, label, measure, scale));
    let [.., smallest] = &plans;
    let plan = plans.iter().find(|p| p.height <= depth);
    let plan = plan.unwrap_or(smallest);

    let mut piece = Piece::of(plan.height.min(depth), 0.0);
    // The first label is the title of the document, the others are beside one another below it.
    let first = flow.pieces.iter().all(|piece| piece.bookmarks.is_empty());
    let (level, heading) = if first { (1, Role::H1) } else { (2, Role::H2) };
    piece.bookmarks.push((level, label.title.clone()));
    let from = flow.tags.add(0, Role::P);
    let title = flow.tags.add(0, heading);
    let charging = flow.tags.add(0, Role::P);
    let list = flow.tags.add(0, Role::L(Numbering::None));
    let facts: Vec<[usize; 2]> = label
        .facts
        .iter()
        .map(|_| {
            let item = flow.tags.add(list, Role::LI);
            [Role::Lbl, Role::LBody].map(|role| flow.tags.add(item, role))
        })
        .collect();
    let [check, note] = [Role::P, Role::P].map(|role| flow.tags.add(0, role));
    for (part, line, x, y, style) in &plan.lines {
        let node = match part {
            Part::From => from,
            Part::Title => title,
            Part::Charging => charging,
            Part::Name(n) => facts.get(*n).map_or(list, |[name, _]| *name),
            Part::Value(n) => facts.get(*n).map_or(list, |[_, value]| *value),
            Part::Check => check,
            Part::Note => note,
        };
        let owner = [(Owner::Node(node), None)];
        Flow::draw_line(&mut piece, line.clone(), left + x, *y, *style, &owner);
    }
    let beside = code_width(label);
    piece.draw(
        Owner::Artifact,
        Shape::Bar {
            x: left,
            y: plan.bar,
            width: measure - beside,
            height: BAR,
            colour: flow.accent,
        },
    );
    let middle = left + MARK / 2.0;
    signal::draw(
        &mut piece.marks,
        Owner::Artifact,
        label.signal,
        middle,
        plan.mark,
        MARK,
    );
    let corner = (left + measure - code::side(&label.code), 0.0);
    code::lay(flow, &mut piece, &label.code, corner);
    flow.pieces.push(piece);
}

/// Width that the code and the space around it take.
fn code_width(label: &Label) -> f32 {
    code::side(&label.code) + code::QUIET
}

fn plan(faces: &Faces, label: &Label, measure: f32, scale: f32) -> Plan {
    let scaled = |style: Style| Style {
        size: style.size * scale,
        leading: style.leading * scale,
        ..style
    };
    let (small, body) = (scaled(SMALL), scaled(BODY.strong()));
    let title = scaled(SECTION);
    let least = Style {
        size: small.size * 0.82,
        leading: small.leading * 0.82,
        ..small
    };
    let beside = measure - code_width(label);
    let mut lines = Vec::new();
    let mut put = |part, text: &str, (x, y): (f32, f32), width: f32, style: Style, most: usize| {
        let broken = break_lines(faces, &Text::plain(text), style, width);
        let mut bottom = y;
        for line in broken.into_iter().take(most) {
            lines.push((part, line, x, bottom, style));
            bottom += style.leading;
        }
        bottom
    };
    let one_line = |text: &str, style: Style, width: f32| {
        let of = |text: &str| faces.width(style.weight, style.size, text);
        shortened(text, width, &of)
    };

    let from = small.strong();
    let bar = put(
        Part::From,
        &one_line(&label.from, from, beside),
        (0.0, 0.0),
        beside,
        from,
        1,
    ) + 1.0;
    let top = bar + BAR + 5.0;
    let x = MARK + BESIDE;
    let width = beside - x;
    let count = break_lines(faces, &Text::plain(&label.title), title, width).len();
    let high = count.min(LINES) as f32 * title.leading;
    // One line is in the middle of the mark.
    let from = top + ((MARK - high) / 2.0).max(0.0);
    let below = put(Part::Title, &label.title, (x, from), width, title, LINES);
    let below = below.max(top + MARK);
    let below = put(
        Part::Charging,
        &label.charging,
        (0.0, below + GAP),
        beside,
        body,
        LINES,
    );
    let mut y = below.max(code::side(&label.code) + code::QUIET) + GAP;
    for (n, fact) in label.facts.iter().enumerate() {
        let soft = small.coloured(SOFT);
        let names = one_line(&fact.name, soft, NAMES - GAP);
        put(Part::Name(n), &names, (0.0, y), NAMES, soft, 1);
        let width = measure - NAMES;
        let value = small.strong();
        y = match fact.whole {
            true => put(
                Part::Value(n),
                &fact.value,
                (NAMES, y),
                width,
                value,
                usize::MAX,
            ),
            false => {
                let shown = one_line(&fact.value, value, width);
                put(Part::Value(n), &shown, (NAMES, y), width, value, 1)
            }
        };
    }
    let y = put(
        Part::Check,
        &label.check,
        (0.0, y + GAP),
        measure,
        least.strong(),
        usize::MAX,
    );
    let height = put(
        Part::Note,
        &label.note,
        (0.0, y + 1.0),
        measure,
        least.coloured(SOFT),
        usize::MAX,
    );
    Plan {
        lines,
        bar,
        mark: top + MARK / 2.0,
        height,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compose::document::{Block, Code, Format, LabelFact, Signal};
    use crate::typeset::blocks;
    use crate::typeset::render::tests::document;

    fn label(repeat: usize) -> Label {
        let long = |text: &str| text.repeat(repeat);
        let fact = |name: &str, value: String, whole| LabelFact {
            name: name.to_owned(),
            value,
            whole,
        };
        Label {
            from: long("Lind Electric, 555 0142 "),
            signal: Signal::Unknown,
            title: "Inspection not complete, with points to watch".to_owned(),
            charging: "May I charge? No. Leave the circuit switched off until an electrician has \
                       measured the repair at full current."
                .to_owned(),
            facts: vec![
                fact("Circuit", long("Charger in the garage "), false),
                fact("Site", long("12 Elm Street "), false),
                fact("Inspected", "October 6, 2026".to_owned(), true),
                fact(
                    "Next inspection",
                    "Before the circuit is used again".to_owned(),
                    true,
                ),
                fact("Certificate", long("2026-0147 "), true),
            ],
            check: format!(
                "Check {} / 0123 4567 89AB CDEF 0123 4567",
                long("2026-0147 ")
            ),
            note: "This label is not signed and proves nothing. ".repeat(4),
            code: Code {
                side: 45,
                dark: vec![true; 45 * 45],
                alt: "code".to_owned(),
            },
        }
    }

    #[test]
    fn whatever_a_label_says_it_stays_on_one_label() {
        // A number may have 120 characters.
        for repeat in [1, 5, 12] {
            let mut sheet = document(vec![Block::Label(label(repeat))]);
            sheet.format = Format::Labels;
            sheet.letterhead.name = String::new();
            let faces = Faces::new().unwrap();
            let flow = blocks::lay(&sheet, &faces).unwrap();
            let [piece] = &flow.pieces[..] else {
                panic!("{} pieces", flow.pieces.len())
            };
            let depth = flow.sheet.depth();
            assert!(piece.height <= depth, "{repeat}: {}", piece.height);
            let right = flow.sheet.left + flow.sheet.measure();
            let mut said = String::new();
            for mark in &piece.marks {
                if let Shape::Text {
                    x,
                    y,
                    weight,
                    size,
                    text,
                    ..
                } = &mark.shape
                {
                    let end = x + faces.width(*weight, *size, text.trim_end());
                    assert!(
                        end <= right + 0.1 && *y <= depth,
                        "{repeat}: {text} {end} {y}"
                    );
                    said.push_str(text.trim_end());
                    said.push(' ');
                }
            }
            // What tells the certificate is never shortened.
            let number = "2026-0147 ".repeat(repeat);
            assert!(
                said.matches("2026-0147").count() == 2 * repeat,
                "{number}: {said}"
            );
            assert!(said.contains("Before the circuit is used again"), "{said}");
        }
    }

    #[test]
    fn the_first_of_several_labels_is_the_title() {
        let mut sheet = document(vec![
            Block::Label(label(1)),
            Block::NewPage,
            Block::Label(label(1)),
        ]);
        sheet.format = Format::Labels;
        sheet.letterhead.name = String::new();
        let faces = Faces::new().unwrap();
        let flow = blocks::lay(&sheet, &faces).unwrap();
        let levels: Vec<u8> = flow
            .pieces
            .iter()
            .flat_map(|piece| piece.bookmarks.iter().map(|(level, _)| *level))
            .collect();
        assert_eq!(levels, [1, 2]);
        let heads = flow.tags.nodes().iter().map(|node| node.role);
        let heads: Vec<Role> = heads.filter(|r| matches!(r, Role::H1 | Role::H2)).collect();
        assert_eq!(heads, [Role::H1, Role::H2]);
    }
}
