//! Tables: widths of columns, numbers with their decimal marks below each other, rows that keep
//! together, heads that are repeated on each page.

use super::error::TypesetError;
use super::face::{Faces, Weight};
use super::flow::{Flow, Head};
use super::ink::{Owner, Piece, line, shift};
use super::lines::{Line, RunKind, break_lines, least_width, natural_width};
use super::sheet::{ABOVE_FIGURE, HAIR, HAIRLINE, INK, ROW_PAD, RULE, SMALL, SOFT, TABLE_GUTTER};
use super::tags::{Role, Scope};
use crate::compose::document::{Align, Column, Row, Table, Text};

/// A row higher than this share of the page may split between its lines.
const TALL: f32 = 0.3;
/// A table lower than this share of the page is not divided between pages.
const SHORT: f32 = 0.3;
/// Gutters of a table narrower than the page widen up to this.
const WIDEST_GUTTER: f32 = 24.0;
/// Gutters widen up to this where the table then fills the page: an edge that nearly meets the
/// margin looks like a mistake.
const FILLING_GUTTER: f32 = 34.0;
/// A head up to this width should fit on one line.
const HEAD: f32 = 48.0;
/// Characters that separate groups of digits in some language.
const GROUPING: [char; 3] = ['.', ',', '\u{202F}'];
/// Minimum width of a column.
const NARROWEST: f32 = 10.0;

/// A column with its position.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Place {
    x: f32,
    width: f32,
    /// Width of the widest part before the decimal mark, and of the widest from it on.
    parts: (f32, f32),
}

/// The widths that the cells of a column need.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Wish {
    /// Width in which no cell breaks.
    natural: f32,
    /// Width in which no word breaks.
    least: f32,
    parts: (f32, f32),
}

/// Lays out a table.
///
/// # Errors
/// A row has more or fewer cells than the table has columns.
pub(super) fn lay(flow: &mut Flow<'_>, table: &Table) -> Result<(), TypesetError> {
    if let Some(row) = table
        .rows
        .iter()
        .find(|r| r.cells.len() != table.columns.len() && !spans(table, r))
    {
        return Err(TypesetError::Cells {
            table: table.caption.clone(),
            columns: table.columns.len(),
            cells: row.cells.len(),
        });
    }
    let node = flow.tags.add(0, Role::Table);
    let mut above = ABOVE_FIGURE;
    if !table.caption.is_empty() {
        let caption = flow.tags.add(node, Role::Caption);
        flow.text_block(
            caption,
            &Text::plain(table.caption.clone()),
            flow.sheet.left,
            flow.sheet.measure(),
            SMALL.strong(),
            above,
        );
        flow.keep_last();
        above = 2.0;
    }
    let places = place(
        flow.faces,
        flow.document.decimal_mark,
        table,
        flow.sheet.measure(),
    );
    let width = places.last().map_or(0.0, |p| p.x + p.width);
    // Spanning cells widen a narrow table, up to the width of the page.
    let across = table.rows.iter().filter(|row| spans(table, row));
    let across = across.filter_map(|row| {
        let text = row.cells.first()?;
        Some(beginning(row, &places) + natural_width(flow.faces, text, SMALL))
    });
    let width = across.fold(width, f32::max).min(flow.sheet.measure());

    // The first column heads its rows where there are rows to distinguish; a name and its value,
    // or a single row, are identified by their columns alone.
    let rows = table.rows.iter().filter(|row| !spans(table, row)).count();
    let columns = table.columns.len();
    let row_heads = table.row_heads && rows * columns.saturating_sub(1) >= rows + columns;
    let heads_node = flow.tags.add(node, Role::TR);
    let mut head = head(flow, table, &places, heads_node, width);
    shift(&mut head.marks, flow.sheet.left, 0.0);
    flow.heads.push(Head::again(&head));
    let repeated = flow.heads.len() - 1;
    head.before = above;
    head.keep = !table.rows.is_empty();
    flow.pieces.push(head);

    let first = flow.pieces.len();
    let count = table.rows.len();
    for (i, row) in table.rows.iter().enumerate() {
        let mut slices = slices(flow, table, row, &places, (node, row_heads), width, i == 0);
        let height: f32 = slices.iter().map(|p| p.height).sum();
        let tall = height > TALL * flow.sheet.depth();
        let lines = slices.len();
        let next = table.rows.get(i + 1);
        // A spanning cell stays with its row, or with the rows below its heading.
        let together = next.is_some_and(|next| spans(table, next) && !next.group)
            || next.is_some() && spans(table, row) && row.group;
        for (k, slice) in slices.iter_mut().enumerate() {
            shift(&mut slice.marks, flow.sheet.left, 0.0);
            slice.head = Some(repeated);
            let last = k + 1 == lines;
            slice.keep = if last {
                // Neither the first row nor the last is alone on a page.
                together || (i == 0 || i + 2 == count) && i + 1 < count && !tall
            } else {
                !tall || k == 0 || k + 2 == lines
            };
            if last && i + 1 == count {
                let y = slice.height;
                slice.rule(
                    (flow.sheet.left, y),
                    (flow.sheet.left + width, y),
                    line(INK, RULE),
                );
            }
        }
        flow.pieces.extend(slices);
    }
    // A short table is not divided between pages.
    let rows = flow.pieces.get_mut(first..).unwrap_or_default();
    let height: f32 = rows.iter().map(|piece| piece.height).sum();
    if height < SHORT * flow.sheet.depth()
        && let Some((_, others)) = rows.split_last_mut()
    {
        others.iter_mut().for_each(|piece| piece.keep = true);
    }
    Ok(())
}

/// The head: names above units, aligned at the foot.
fn head(flow: &mut Flow<'_>, table: &Table, places: &[Place], row: usize, width: f32) -> Piece {
    let style = SMALL.strong();
    let units = table.columns.iter().any(|c| c.unit.is_some());
    let broken: Vec<Vec<Line>> = table
        .columns
        .iter()
        .zip(places)
        .map(|(c, p)| break_lines(flow.faces, &Text::plain(c.head.clone()), style, p.width))
        .collect();
    let deepest = broken.iter().map(Vec::len).max().unwrap_or(1);
    let mut piece = Piece::default();
    let leading = style.leading;
    let names = deepest as f32 * leading;
    for ((column, place), lines) in table.columns.iter().zip(places).zip(broken) {
        let node = flow.tags.add(row, Role::TH(Scope::Column));
        let owner = [(Owner::Node(node), None)];
        let mut y = names - lines.len() as f32 * leading;
        let mut end = place.x;
        for line in lines {
            let x = place.x + aligned(column.align, place.width, line.width);
            end = x + line.width;
            Flow::draw_line(&mut piece, line, x, y, style, &owner);
            y += leading;
        }
        if let Some(unit) = &column.unit {
            // Extracted text must have name and unit as two words.
            let base = names - leading + style.rise();
            piece.text(Owner::Node(node), end, base, style, " ");
            let unit_style = SMALL.coloured(SOFT);
            for line in break_lines(
                flow.faces,
                &Text::plain(unit.clone()),
                unit_style,
                place.width,
            )
            .into_iter()
            .take(1)
            {
                let x = place.x + aligned(column.align, place.width, line.width);
                Flow::draw_line(&mut piece, line, x, names, unit_style, &owner);
            }
        }
    }
    piece.height = names + if units { leading } else { 0.0 } + ROW_PAD;
    let y = piece.height - RULE / 2.0;
    piece.rule((0.0, y), (width, y), line(INK, RULE));
    piece
}

/// A row: one piece, or one for each line of a tall one.
fn slices(
    flow: &mut Flow<'_>,
    table: &Table,
    row: &Row,
    places: &[Place],
    (parent, row_heads): (usize, bool),
    width: f32,
    first: bool,
) -> Vec<Piece> {
    let spans = spans(table, row);
    let x = beginning(row, places);
    let whole = Place {
        x,
        width: width - x,
        parts: (0.0, 0.0),
    };
    let places: Vec<(Align, Place)> = if spans {
        vec![(Align::Left, whole)]
    } else {
        let aligns = table.columns.iter().map(|c| c.align);
        aligns.zip(places.iter().copied()).collect()
    };
    let cells: Vec<Vec<Line>> = row
        .cells
        .iter()
        .zip(&places)
        .map(|(text, (_, place))| break_lines(flow.faces, text, SMALL, place.width))
        .collect();
    let count = cells.iter().map(Vec::len).max().unwrap_or(1);
    let height = count as f32 * SMALL.leading + 2.0 * ROW_PAD;
    // A usual row is one piece, with its cells in reading order. A tall row is one piece per line;
    // the structure tree still assigns each line to its cell.
    let tall = height > TALL * flow.sheet.depth();
    let mut slices: Vec<Piece> = if tall {
        (0..count).map(|_| Piece::of(SMALL.leading, 0.0)).collect()
    } else {
        vec![Piece::of(height - 2.0 * ROW_PAD, 0.0)]
    };
    if !(first || spans && !row.group)
        && let Some(slice) = slices.first_mut()
    {
        let stroke = if row.group {
            line(INK, RULE)
        } else {
            line(HAIR, HAIRLINE)
        };
        slice.rule((0.0, 0.0), (width, 0.0), stroke);
    }
    let tr = flow.tags.add(parent, Role::TR);
    for (c, ((align, place), (text, lines))) in
        places.iter().zip(row.cells.iter().zip(cells)).enumerate()
    {
        let role = if spans {
            Role::Across(table.columns.len())
        } else if row_heads && c == 0 {
            Role::TH(Scope::Row)
        } else {
            Role::TD
        };
        let node = flow.tags.add(tr, role);
        let owners = flow.owners(node, text);
        for (k, line) in lines.into_iter().enumerate() {
            let x = place.x + within(flow, *align, place, &line);
            let (slice, top) = match (tall, k) {
                (false, _) => (0, ROW_PAD + k as f32 * SMALL.leading),
                (true, 0) => (0, ROW_PAD),
                (true, _) => (k, 0.0),
            };
            if let Some(slice) = slices.get_mut(slice) {
                Flow::draw_line(slice, line, x, top, SMALL, &owners);
            }
        }
    }
    if let Some(slice) = slices.first_mut() {
        slice.height += ROW_PAD;
    }
    if let Some(slice) = slices.last_mut() {
        slice.height += ROW_PAD;
    }
    slices
}

/// Position in its column of a head with this width.
fn aligned(align: Align, column: f32, width: f32) -> f32 {
    match align {
        Align::Left => 0.0,
        Align::Decimal => (column - width).max(0.0),
        Align::Centre => ((column - width) / 2.0).max(0.0),
    }
}

/// Position of a line of a cell in its column.
fn within(flow: &Flow<'_>, align: Align, place: &Place, line: &Line) -> f32 {
    if align != Align::Decimal {
        return aligned(align, place.width, line.width);
    }
    // The numbers as a whole are at the right end of the column, below the head.
    let axis = place.width - place.parts.1;
    match parts(flow.faces, flow.document.decimal_mark, line) {
        Some((before, _)) => (axis - before).max(0.0),
        // A dash or a word is aligned with the integer digits if it fits, otherwise at the right
        // end.
        None if line.width <= place.parts.0 => axis - line.width,
        None => (place.width - line.width).max(0.0),
    }
}

/// Widths of a line before the decimal mark of its first number and from the mark on; `None` if
/// there is no number. A number without a mark counts as if the mark followed it; separators
/// between groups of digits belong to the integer part.
fn parts(faces: &Faces, decimal_mark: char, line: &Line) -> Option<(f32, f32)> {
    let mut x = 0.0;
    let mut seen_digit = false;
    for run in &line.runs {
        let RunKind::Text(weight, text) = &run.kind else {
            continue;
        };
        x = run.x;
        for (i, c) in text.char_indices() {
            let next_is_digit = text[i + c.len_utf8()..].starts_with(|c: char| c.is_ascii_digit());
            if c.is_ascii_digit() {
                seen_digit = true;
            } else if seen_digit && !(c != decimal_mark && GROUPING.contains(&c) && next_is_digit) {
                return Some((x, line.width - x));
            }
            x += faces.advance(*weight, c, text) * SMALL.size;
        }
    }
    seen_digit.then_some((x, line.width - x))
}

/// The cells of a column.
fn cells(table: &Table, index: usize) -> impl Iterator<Item = &Text> {
    let rows = table.rows.iter().filter(|row| !spans(table, row));
    rows.filter_map(move |r| r.cells.get(index))
}

/// Position of a spanning cell: next to the first column, unless it is the heading of a group.
fn beginning(row: &Row, places: &[Place]) -> f32 {
    let second = places.get(1).map_or(0.0, |second| second.x);
    if row.group { 0.0 } else { second }
}

/// Whether a row is one cell over all columns of several.
fn spans(table: &Table, row: &Row) -> bool {
    row.cells.len() == 1 && table.columns.len() > 1
}

/// The width that a column needs; [`least`] determines how narrow it may become.
fn wish(faces: &Faces, decimal_mark: char, table: &Table, index: usize, column: &Column) -> Wish {
    let name = Text::plain(column.head.clone());
    let head = least_head(faces, column);
    // A short head stays on one line where there is room; a long one never widens its column.
    let mut natural = match natural_width(faces, &name, SMALL.strong()) {
        width if width <= HEAD => head.max(width),
        _ => head,
    };
    let mut before = 0.0_f32;
    let mut after = 0.0_f32;
    if column.align == Align::Decimal {
        for cell in cells(table, index) {
            for line in break_lines(faces, cell, SMALL, f32::MAX) {
                match parts(faces, decimal_mark, &line) {
                    Some((b, a)) => {
                        before = before.max(b);
                        after = after.max(a);
                    }
                    None => natural = natural.max(line.width),
                }
            }
        }
        natural = natural.max(before + after);
    } else {
        for cell in cells(table, index) {
            natural = natural.max(natural_width(faces, cell, SMALL));
        }
    }
    Wish {
        natural,
        least: natural,
        parts: (before, after),
    }
}

/// Width in which no word of a column's head and no unit breaks.
fn least_head(faces: &Faces, column: &Column) -> f32 {
    let name = Text::plain(column.head.clone());
    let unit = column.unit.as_deref().unwrap_or_default();
    least_width(faces, &name, SMALL.strong()).max(faces.width(Weight::Regular, SMALL.size, unit))
}

/// Width in which no word of a column breaks. Numbers are not broken as long as other columns can
/// become narrower.
fn least(faces: &Faces, table: &Table, index: usize, column: &Column, wish: &Wish) -> f32 {
    let head = least_head(faces, column);
    if column.align == Align::Decimal {
        return head.max(wish.parts.0 + wish.parts.1);
    }
    let words = cells(table, index).map(|cell| least_width(faces, cell, SMALL));
    words.fold(head, f32::max)
}

/// Widths and places of the columns in a measure.
fn place(faces: &Faces, decimal_mark: char, table: &Table, measure: f32) -> Vec<Place> {
    let columns = table.columns.iter().enumerate();
    let mut wishes: Vec<Wish> = columns
        .clone()
        .map(|(i, column)| wish(faces, decimal_mark, table, i, column))
        .collect();
    let shares: Vec<f32> = table.columns.iter().map(|c| c.share.max(0.0)).collect();
    let gutters = wishes.len().saturating_sub(1) as f32;
    let room = measure - gutters * TABLE_GUTTER;
    // Finding the words takes most of the time, so it is done only for the columns that share the
    // free width, and for the others if they must become narrower.
    for flexible in [true, false] {
        if !flexible && fits(&wishes, &shares, room) {
            break;
        }
        for (i, column) in columns
            .clone()
            .filter(|(i, _)| (shares[*i] > 0.0) == flexible)
        {
            // Both are sums of the same widths, but they round differently.
            let least = least(faces, table, i, column, &wishes[i]);
            wishes[i].least = least.min(wishes[i].natural);
        }
    }
    let widths = divide(&wishes, &shares, room);
    let spare = (room - widths.iter().sum::<f32>()).max(0.0);
    let filling = TABLE_GUTTER + spare / gutters.max(1.0);
    let gutter = if filling <= FILLING_GUTTER {
        filling
    } else {
        WIDEST_GUTTER
    };
    let mut x = 0.0;
    wishes
        .iter()
        .zip(widths)
        .map(|(wish, width)| {
            let place = Place {
                x,
                width,
                parts: wish.parts,
            };
            x += width + gutter;
            place
        })
        .collect()
}

/// Whether the columns fit, with the narrowest widths for those with a share.
fn fits(wishes: &[Wish], shares: &[f32], room: f32) -> bool {
    let widths = wishes.iter().zip(shares);
    room >= widths
        .map(|(w, share)| if *share > 0.0 { w.least } else { w.natural })
        .sum()
}

/// Divides the width among the columns: each gets what it needs, and those with a share divide the
/// rest.
fn divide(wishes: &[Wish], shares: &[f32], room: f32) -> Vec<f32> {
    if fits(wishes, shares, room) {
        let mut widths: Vec<f32> = wishes.iter().map(|w| w.natural).collect();
        let fixed: f32 = widths
            .iter()
            .zip(shares)
            .filter(|(_, s)| **s <= 0.0)
            .map(|(w, _)| w)
            .sum();
        fill(&mut widths, wishes, shares, room - fixed);
        return widths;
    }
    // Too wide: every column shrinks towards the width in which no word breaks.
    let least: f32 = wishes.iter().map(|w| w.least).sum();
    if least <= room {
        let slack: f32 = wishes.iter().map(|w| w.natural - w.least).sum();
        return wishes
            .iter()
            .map(|w| w.least + (room - least) * (w.natural - w.least) / slack.max(0.01))
            .collect();
    }
    // Words must break: numbers keep their width, and wide columns of words shrink most.
    let numbers: f32 = wishes.iter().map(|w| w.parts.0 + w.parts.1).sum();
    let words: f32 = wishes
        .iter()
        .filter(|w| w.parts.0 + w.parts.1 == 0.0)
        .map(|w| w.least)
        .sum();
    let factor = if words > 0.0 {
        ((room - numbers) / words).clamp(0.05, 1.0)
    } else {
        1.0
    };
    wishes
        .iter()
        .map(|w| {
            let number = w.parts.0 + w.parts.1;
            if number > 0.0 {
                number
            } else {
                (w.least * factor).max(NARROWEST)
            }
        })
        .collect()
}

/// Divides the width among the columns with a share, in proportion to the shares, but none gets
/// less than its words need or more than its text needs. Unneeded width stays free, because rows
/// are easier to follow in a table that is not wider than its text.
fn fill(widths: &mut [f32], wishes: &[Wish], shares: &[f32], mut room: f32) {
    let mut open: Vec<usize> = (0..wishes.len()).filter(|&i| shares[i] > 0.0).collect();
    // Each iteration fixes at least one column at one of its bounds, or all of them, so the loop
    // ends.
    while !open.is_empty() {
        let total: f32 = open.iter().map(|&i| shares[i]).sum();
        let portion = |i: usize| room * shares[i] / total;
        let held = |i: usize| portion(i).clamp(wishes[i].least, wishes[i].natural);
        let bent: f32 = open.iter().map(|&i| held(i) - portion(i)).sum();
        // If the sum is too small, the columns that need more than their part are fixed first,
        // otherwise those that need less, because only these certainly stay at their bound.
        let sure = |i: usize| {
            if bent > 0.0 {
                held(i) > portion(i)
            } else {
                held(i) < portion(i)
            }
        };
        let settled: Vec<usize> = open
            .iter()
            .copied()
            .filter(|&i| bent != 0.0 && sure(i))
            .collect();
        let done = if settled.is_empty() {
            open.clone()
        } else {
            settled
        };
        let held: Vec<(usize, f32)> = done.iter().map(|&i| (i, held(i))).collect();
        for (i, width) in held {
            widths[i] = width;
            room -= width;
        }
        open.retain(|i| !done.contains(i));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compose::document::{Block, Document, Signal};
    use crate::typeset::blocks;
    use crate::typeset::ink::Shape;
    use crate::typeset::render::tests::document;

    fn column(head: &str, align: Align, share: f32) -> Column {
        Column {
            head: head.into(),
            unit: None,
            align,
            share,
        }
    }

    fn row(cells: &[&str]) -> Row {
        Row {
            cells: cells.iter().map(|c| Text::plain(*c)).collect(),
            group: false,
        }
    }

    fn with(table: Table) -> Document {
        document(vec![Block::Table(table)])
    }

    /// The width of a word is a sum over its letters, or over its syllables, which round differently.
    #[test]
    fn a_column_of_one_word_is_laid_out_whatever_the_sums_of_its_widths_round_to() {
        let wordings = [
            include_str!("../../templates/wording/en.yaml"),
            include_str!("../../templates/wording/de.yaml"),
        ];
        let faces = Faces::new().unwrap();
        for word in wordings.iter().flat_map(|all| all.split_whitespace()) {
            let mut cells = row(&["1", word]);
            cells.cells[1] = Text::marked(Signal::Notice, word);
            let table = Table {
                columns: vec![column("", Align::Left, 0.0), column("", Align::Left, 1.0)],
                rows: vec![cells],
                caption: String::new(),
                row_heads: false,
            };
            let places = place(&faces, '.', &table, 400.0);
            assert_eq!(places.len(), 2, "{word}");
        }
    }

    fn texts(flow: &Flow<'_>) -> Vec<(String, f32, f32)> {
        let mut found = Vec::new();
        for piece in &flow.pieces {
            for mark in &piece.marks {
                if let Shape::Text {
                    x,
                    weight,
                    size,
                    text,
                    ..
                } = &mark.shape
                {
                    found.push((text.clone(), *x, flow.faces.width(*weight, *size, text)));
                }
            }
        }
        found
    }

    #[test]
    fn decimal_marks_stand_below_each_other() {
        let faces = Faces::new().unwrap();
        let cells = ["9.5", "102.25", "−0.75", "7", "≤ 4.0", "1,250"];
        let document = with(Table {
            caption: "Readings".into(),
            columns: vec![column("Temperature", Align::Decimal, 0.0)],
            rows: cells.iter().map(|c| row(&[c])).collect(),
            row_heads: false,
        });
        let flow = blocks::lay(&document, &faces).unwrap();
        let marks: Vec<f32> = texts(&flow)
            .iter()
            .filter(|(t, _, _)| cells.contains(&t.as_str()))
            .map(|(t, x, _)| {
                x + faces.width(Weight::Regular, SMALL.size, t.split('.').next().unwrap())
            })
            .collect();
        assert_eq!(marks.len(), cells.len());
        for mark in &marks {
            assert!((mark - marks[0]).abs() < 0.01, "{marks:?}");
        }
    }

    #[test]
    fn a_dash_ends_where_whole_figures_end() {
        let faces = Faces::new().unwrap();
        let document = with(Table {
            caption: String::new(),
            columns: vec![column("°F", Align::Decimal, 0.0)],
            rows: vec![row(&["102.5"]), row(&["–"])],
            row_heads: false,
        });
        let flow = blocks::lay(&document, &faces).unwrap();
        let found = texts(&flow);
        let end = |t: &str| found.iter().find(|f| f.0 == t).map(|f| f.1 + f.2).unwrap();
        let whole = end("102.5") - faces.width(Weight::Regular, SMALL.size, ".5");
        assert!((end("–") - whole).abs() < 0.01);
    }

    #[test]
    fn columns_never_pass_the_measure_and_fill_it_when_text_asks_for_it() {
        let faces = Faces::new().unwrap();
        let long = "Receptaculum-ultra-longum-sine-spatio-".repeat(6);
        for cells in [
            ["a", "b", "1.0"],
            [&long, "b", "1.0"],
            [&long, &long, "12345.67"],
        ] {
            let document = with(Table {
                caption: String::new(),
                columns: vec![
                    column("Place", Align::Left, 1.0),
                    column("Connection", Align::Left, 0.0),
                    column("Rise", Align::Decimal, 0.0),
                ],
                rows: vec![row(&cells)],
                row_heads: true,
            });
            let places = match &document.body[0] {
                Block::Table(t) => place(&faces, '.', t, 480.0),
                _ => unreachable!(),
            };
            let end = places.last().map(|p| p.x + p.width).unwrap();
            assert!(end < 480.5, "{places:?}");
            assert!(cells[0] == "a" || end > 479.5, "{places:?}");
        }
    }

    #[test]
    fn a_column_takes_no_more_than_its_text_while_another_breaks_lines() {
        let wish = |least: f32, natural: f32| Wish {
            natural,
            least,
            parts: (0.0, 0.0),
        };
        let mut widths = vec![0.0; 2];
        fill(
            &mut widths,
            &[wish(20.0, 300.0), wish(20.0, 100.0)],
            &[1.0, 2.0],
            300.0,
        );
        assert_eq!(widths, [200.0, 100.0]);
        // Words that need more than the part get it.
        fill(
            &mut widths,
            &[wish(150.0, 300.0), wish(20.0, 400.0)],
            &[1.0, 2.0],
            300.0,
        );
        assert_eq!(widths, [150.0, 150.0]);
        // Plenty for all.
        fill(
            &mut widths,
            &[wish(10.0, 50.0), wish(10.0, 100.0)],
            &[1.0, 1.0],
            300.0,
        );
        assert_eq!(widths, [50.0, 100.0]);
        // In between, by the shares.
        fill(
            &mut widths,
            &[wish(10.0, 500.0), wish(10.0, 500.0)],
            &[1.0, 2.0],
            300.0,
        );
        assert_eq!(widths, [100.0, 200.0]);
    }

    #[test]
    fn a_name_and_its_unit_in_a_head_are_two_words() {
        let faces = Faces::new().unwrap();
        let document = with(Table {
            caption: String::new(),
            columns: vec![Column {
                unit: Some("°F".into()),
                ..column("Air", Align::Decimal, 0.0)
            }],
            rows: vec![row(&["61"])],
            row_heads: false,
        });
        let flow = blocks::lay(&document, &faces).unwrap();
        let words: String = flow
            .pieces
            .iter()
            .flat_map(|piece| &piece.marks)
            .filter_map(|mark| match &mark.shape {
                Shape::Text { text, .. } => Some(text.as_str()),
                _ => None,
            })
            .collect();
        assert!(words.contains("Air °F"), "{words}");
    }

    #[test]
    fn a_cell_over_all_columns_stays_with_its_row_or_with_the_rows_that_it_heads() {
        let faces = Faces::new().unwrap();
        // A table that is not short.
        let more = vec![row(&["11", "12"]); 20];
        let rows = |group| {
            let begin = vec![
                row(&["1", "2"]),
                row(&["3", "4"]),
                Row {
                    group,
                    ..row(&["all of them"])
                },
                row(&["5", "6"]),
                row(&["7", "8"]),
                row(&["9", "10"]),
            ];
            [begin, more.clone()].concat()
        };
        for (group, kept) in [(false, [true, true, false]), (true, [true, false, true])] {
            let document = with(Table {
                caption: String::new(),
                columns: ["a", "b"].map(|head| column(head, Align::Left, 0.0)).into(),
                rows: rows(group),
                row_heads: false,
            });
            let flow = blocks::lay(&document, &faces).unwrap();
            // After the letterhead and the table's head.
            let keep: Vec<bool> = flow.pieces[2..5].iter().map(|p| p.keep).collect();
            assert_eq!(keep, kept, "{group}");
            let across = flow
                .tags
                .nodes()
                .iter()
                .filter(|n| n.role == Role::Across(2));
            assert_eq!(across.count(), 1);
            // It may be wider than its column: the other cells stay where they were.
            let found = texts(&flow);
            let x = |t: &str| found.iter().find(|f| f.0 == t).unwrap().1;
            assert!(x("2") - x("1") < 60.0, "{found:?}");
            assert_eq!(x("all of them"), if group { x("1") } else { x("2") });
        }
    }

    #[test]
    fn a_row_of_too_few_cells_is_told() {
        let faces = Faces::new().unwrap();
        let document = with(Table {
            caption: "Torque".into(),
            columns: ["a", "b", "c"]
                .map(|head| column(head, Align::Left, 0.0))
                .into(),
            rows: vec![row(&["x", "y"])],
            row_heads: false,
        });
        let error = blocks::lay(&document, &faces).map(|_| ()).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the table “Torque” has 3 columns but a row of 2 cells; this is a bug in warmlug; \
             please report it"
        );
    }
}
