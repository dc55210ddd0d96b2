//! Blocks set beside one another: text that flows through columns, and figures abreast.
//!
//! The columns of a group become one piece, so that what belongs side by side stays so on the page.

use super::flow::Flow;
use super::ink::{Piece, shift};
use super::sheet::{BODY, SMALL, Sheet};
use crate::compose::document::Columns;

/// Gutter between columns.
const BETWEEN: f32 = 18.0;

/// A group of columns that is being laid out.
pub(super) struct Group {
    /// The page's own grid.
    sheet: Sheet,
    columns: Columns,
    /// Number of the first piece.
    first: usize,
    /// Number of the first piece of each block.
    blocks: Vec<usize>,
}

impl Group {
    /// Begins a group: what is laid out from here on is as narrow as one of its columns.
    pub(super) fn begin(flow: &mut Flow<'_>, columns: Columns) -> Group {
        let sheet = flow.sheet;
        let width = column_width(&sheet, columns);
        flow.sheet = Sheet {
            right: sheet.width - sheet.left - width,
            indent: 0.0,
            ..sheet
        };
        flow.text = SMALL;
        Group {
            sheet,
            columns,
            first: flow.pieces.len(),
            blocks: Vec::new(),
        }
    }

    /// Notes that a block begins.
    pub(super) fn block(&mut self, flow: &Flow<'_>) {
        self.blocks.push(flow.pieces.len());
    }

    /// Ends the group: its pieces become one for each row of columns.
    pub(super) fn end(self, flow: &mut Flow<'_>) {
        let step = column_width(&self.sheet, self.columns) + BETWEEN;
        let count = usize::from(self.columns.count());
        let pieces = flow.pieces.split_off(self.first);
        let depth = self.sheet.depth();
        flow.sheet = self.sheet;
        flow.text = BODY;
        let rows = match self.columns {
            Columns::Abreast(_) => {
                let starts: Vec<usize> = self.blocks.iter().map(|b| b - self.first).collect();
                abreast(pieces, &starts, count, depth)
            }
            _ => flowing(pieces, count, depth),
        };
        for row in rows {
            flow.pieces.push(beside(row, step));
        }
    }
}

/// Width of one column.
pub(super) fn column_width(sheet: &Sheet, columns: Columns) -> f32 {
    let count = f32::from(columns.count());
    (sheet.measure() - (count - 1.0) * BETWEEN) / count
}

/// Rows of so many blocks; a block higher than a page goes on in a row of its own.
fn abreast(pieces: Vec<Piece>, starts: &[usize], count: usize, depth: f32) -> Vec<Vec<Vec<Piece>>> {
    let mut cells: Vec<Vec<Piece>> = Vec::new();
    let mut next = starts.iter().copied().peekable();
    for (i, piece) in pieces.into_iter().enumerate() {
        while next.peek() == Some(&i) {
            next.next();
            cells.push(Vec::new());
        }
        match cells.last_mut() {
            Some(cell) => cell.push(piece),
            None => cells.push(vec![piece]),
        }
    }
    cells.retain(|cell| !cell.is_empty());
    let mut rows = Vec::new();
    while !cells.is_empty() {
        let mut row: Vec<Vec<Piece>> = cells.drain(..count.min(cells.len())).collect();
        while !row.iter().all(Vec::is_empty) {
            rows.push(
                row.iter_mut()
                    .map(|cell| cell.drain(..fitting(cell, depth)).collect())
                    .collect(),
            );
        }
    }
    rows
}

/// Columns of about the same height, as many rows of them as pages are needed.
fn flowing(mut pieces: Vec<Piece>, count: usize, depth: f32) -> Vec<Vec<Vec<Piece>>> {
    let mut rows = Vec::new();
    while !pieces.is_empty() {
        // The least height at which the columns take everything; a page at most.
        let (mut low, mut high) = (0.0, depth);
        for _ in 0..16 {
            let middle = (low + high) / 2.0;
            if taken(&pieces, count, middle) == pieces.len() {
                high = middle;
            } else {
                low = middle;
            }
        }
        let mut row = Vec::new();
        for _ in 0..count {
            let end = fitting(&pieces, high);
            row.push(pieces.drain(..end).collect());
        }
        rows.push(row);
    }
    rows
}

/// How many pieces so many columns of a height take.
fn taken(pieces: &[Piece], count: usize, depth: f32) -> usize {
    (0..count).fold(0, |start, _| {
        let rest = pieces.get(start..).unwrap_or_default();
        start + fitting(rest, depth)
    })
}

/// How many of the first pieces fit into a column: whole chains where one fits, else at least
/// one piece, so that every column gets on.
fn fitting(pieces: &[Piece], depth: f32) -> usize {
    let (mut height, mut fits, mut whole) = (0.0, 0, None);
    for (i, piece) in pieces.iter().enumerate() {
        // Space above the first piece of a column is dropped.
        height += piece.height + if i == 0 { 0.0 } else { piece.before };
        if height > depth {
            break;
        }
        fits = i + 1;
        if fits == pieces.len() || !piece.keep {
            whole = Some(fits);
        }
    }
    whole.unwrap_or(fits.max(1)).min(pieces.len())
}

/// Columns as one piece.
fn beside(columns: Vec<Vec<Piece>>, step: f32) -> Piece {
    let mut row = Piece::default();
    for (n, column) in columns.into_iter().enumerate() {
        let x = n as f32 * step;
        let mut y = 0.0;
        for (i, mut piece) in column.into_iter().enumerate() {
            if i == 0 {
                row.before = row.before.max(piece.before);
            } else {
                y += piece.before;
            }
            shift(&mut piece.marks, x, y);
            row.marks.append(&mut piece.marks);
            for (node, [left, top, width, height]) in piece.figures {
                row.figures.push((node, [left + x, top + y, width, height]));
            }
            row.bookmarks.append(&mut piece.bookmarks);
            row.anchors.append(&mut piece.anchors);
            y += piece.height;
        }
        row.height = row.height.max(y);
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(heights: &[(f32, bool)]) -> Vec<Piece> {
        let piece = |&(height, keep): &(f32, bool)| Piece {
            keep,
            ..Piece::of(height, 5.0)
        };
        heights.iter().map(piece).collect()
    }

    fn shape(rows: &[Vec<Vec<Piece>>]) -> Vec<Vec<usize>> {
        let row = |row: &Vec<Vec<Piece>>| row.iter().map(Vec::len).collect();
        rows.iter().map(row).collect()
    }

    #[test]
    fn columns_are_balanced_and_keep_what_belongs_together() {
        let even = pieces(&[(20.0, false); 6]);
        assert_eq!(shape(&flowing(even, 2, 500.0)), [[3, 3]]);
        let mut held = [(20.0, false); 6];
        held[2].1 = true;
        // The third goes with the fourth: two and four, or four and two.
        let columns = shape(&flowing(pieces(&held), 2, 500.0));
        assert!(columns == [[2, 4]] || columns == [[4, 2]], "{columns:?}");
    }

    #[test]
    fn more_than_a_page_goes_on_in_another_row() {
        let many = pieces(&[(45.0, false); 9]);
        // 45 + 5 + 45 are 95: two a column of 100.
        assert_eq!(shape(&flowing(many, 2, 100.0)), [[2, 2], [2, 2], [1, 0]]);
        let high = pieces(&[(300.0, true), (300.0, false)]);
        assert_eq!(shape(&flowing(high, 2, 100.0)), [[1, 1]]);
    }

    #[test]
    fn figures_go_abreast_in_their_order() {
        let four = pieces(&[(10.0, true), (50.0, false), (60.0, false), (70.0, false)]);
        let rows = abreast(four, &[0, 2, 3], 2, 500.0);
        assert_eq!(shape(&rows), [vec![2, 1], vec![1]]);
        let row = beside(rows.into_iter().next().unwrap(), 100.0);
        assert_eq!((row.height, row.before), (65.0, 5.0));
    }
}
