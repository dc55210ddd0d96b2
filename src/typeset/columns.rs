//! Blocks next to each other: text that flows through columns, and figures side by side.
//!
//! A row of figures becomes one piece, so that the figures stay side by side on the page. Columns
//! of text become one piece too, but can be divided later, when it is known where a page ends.

use super::flow::{Flow, Head};
use super::ink::{Flowing, Piece, shift};
use super::sheet::{BODY, SMALL, Sheet};
use crate::compose::document::Columns;

/// Gutter between columns.
const BETWEEN: f32 = 16.0;

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
    /// Begins a group: from here on, blocks are laid out in the width of one column.
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

    /// Records that a block begins.
    pub(super) fn block(&mut self, flow: &Flow<'_>) {
        self.blocks.push(flow.pieces.len());
    }

    /// Ends the group: its pieces are joined to one piece for each row of columns.
    pub(super) fn end(self, flow: &mut Flow<'_>) {
        let step = column_width(&self.sheet, self.columns) + BETWEEN;
        let count = usize::from(self.columns.count());
        let pieces = flow.pieces.split_off(self.first);
        let depth = self.sheet.depth();
        flow.sheet = self.sheet;
        flow.text = BODY;
        if let Columns::Flowing(_) = self.columns {
            let flowing = Flowing {
                pieces,
                count,
                step,
            };
            flow.pieces.extend(flowing.into_piece(&flow.heads, depth));
            return;
        }
        let starts: Vec<usize> = self.blocks.iter().map(|b| b - self.first).collect();
        for row in abreast(pieces, &starts, count, depth) {
            flow.pieces.push(beside(row, &flow.heads, step));
        }
    }
}

impl Flowing {
    /// Joins the columns to one piece, with columns of about the same height, at most a page high.
    /// `None` if there are no pieces.
    fn into_piece(self, heads: &[Head], depth: f32) -> Option<Piece> {
        let before = self.pieces.first()?.before;
        let mut piece = Piece::of(self.balanced(heads, depth), before);
        piece.columns = Some(Box::new(self));
        Some(piece)
    }

    /// The least height at which all pieces fit into the columns; at most `depth`.
    fn balanced(&self, heads: &[Head], depth: f32) -> f32 {
        let (mut low, mut high) = (0.0, depth);
        for _ in 0..16 {
            let middle = (low + high) / 2.0;
            if taken(&self.pieces, heads, self.count, middle) == self.pieces.len() {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// Multiplies the spaces by `share`; returns the height.
    pub(super) fn space(&mut self, share: f32, heads: &[Head], depth: f32) -> f32 {
        self.pieces
            .iter_mut()
            .for_each(|piece| piece.before *= share);
        self.balanced(heads, depth)
    }

    /// Whether the columns begin within a table.
    pub(super) fn begins_in_table(&self) -> bool {
        self.pieces
            .first()
            .is_some_and(|piece| piece.head.is_some())
    }

    /// Whether the first pieces that belong together fit into the first column.
    pub(super) fn begins_within(&self, heads: &[Head], depth: f32) -> bool {
        whole(&self.pieces, heads, depth).0.is_some()
    }

    /// Fills columns of at most `depth`; returns the piece and the rest, if any, for the next page.
    pub(super) fn set(mut self, heads: &[Head], depth: f32, page: f32) -> (Piece, Option<Piece>) {
        let height = self.balanced(heads, depth);
        let mut row = Vec::new();
        for _ in 0..self.count {
            let end = fitting(&self.pieces, heads, height);
            row.push(self.pieces.drain(..end).collect());
        }
        let set = beside(row, heads, self.step);
        (set, self.into_piece(heads, page))
    }
}

/// Width of one column.
pub(super) fn column_width(sheet: &Sheet, columns: Columns) -> f32 {
    let count = f32::from(columns.count());
    (sheet.measure() - (count - 1.0) * BETWEEN) / count
}

/// Rows of `count` blocks; a block higher than a page gets rows of its own.
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
                    .map(|cell| cell.drain(..fitting(cell, &[], depth)).collect())
                    .collect(),
            );
        }
    }
    rows
}

/// Number of pieces that fit into `count` columns of a height.
fn taken(pieces: &[Piece], heads: &[Head], count: usize, depth: f32) -> usize {
    (0..count).fold(0, |start, _| {
        let rest = pieces.get(start..).unwrap_or_default();
        start + fitting(rest, heads, depth)
    })
}

/// The head of the table inside which a column begins.
fn head_of<'h>(pieces: &[Piece], heads: &'h [Head]) -> Option<&'h Head> {
    heads.get(pieces.first()?.head?)
}

/// Number of the first pieces that fit into a column: whole chains if one fits, otherwise at least
/// one piece, so that every column makes progress.
fn fitting(pieces: &[Piece], heads: &[Head], depth: f32) -> usize {
    let (whole, fits) = whole(pieces, heads, depth);
    whole.unwrap_or(fits.max(1)).min(pieces.len())
}

/// Number of the first pieces that fit into a column as whole chains, and number that fit at all.
fn whole(pieces: &[Piece], heads: &[Head], depth: f32) -> (Option<usize>, usize) {
    let mut height = head_of(pieces, heads).map_or(0.0, |head| head.height);
    let (mut fits, mut whole) = (0, None);
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
    (whole, fits)
}

/// Joins columns to one piece.
fn beside(columns: Vec<Vec<Piece>>, heads: &[Head], step: f32) -> Piece {
    let mut row = Piece::default();
    for (n, column) in columns.into_iter().enumerate() {
        let x = n as f32 * step;
        let mut y = 0.0;
        if let Some(head) = head_of(&column, heads) {
            let mut marks = head.marks.clone();
            shift(&mut marks, x, 0.0);
            row.marks.append(&mut marks);
            y = head.height;
        }
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

    /// Number of pieces in each column, page by page.
    fn flowing(pieces: Vec<Piece>, count: usize, depths: &[f32]) -> Vec<f32> {
        let flowing = Flowing {
            pieces,
            count,
            step: 100.0,
        };
        let mut rest = flowing.into_piece(&[], 100.0);
        let mut heights = Vec::new();
        for depth in depths {
            let Some(columns) = rest.take().and_then(|piece| piece.columns) else {
                break;
            };
            let (set, more) = columns.set(&[], *depth, 100.0);
            heights.push(set.height);
            rest = more;
        }
        assert!(rest.is_none());
        heights
    }

    #[test]
    fn columns_are_balanced_and_keep_what_belongs_together() {
        // 20 + 5 + 20 + 5 + 20.
        let even = pieces(&[(20.0, false); 6]);
        assert_eq!(flowing(even, 2, &[500.0]), [70.0]);
        let mut held = [(20.0, false); 6];
        held[2].1 = true;
        // The third goes with the fourth: two and four, or four and two.
        assert_eq!(flowing(pieces(&held), 2, &[500.0]), [95.0]);
    }

    #[test]
    fn what_does_not_fit_goes_on_in_columns_of_another_page() {
        let many = || pieces(&[(45.0, false); 9]);
        // 45 + 5 + 45 are 95: two a column of 100.
        assert_eq!(flowing(many(), 2, &[100.0; 3]), [95.0, 95.0, 45.0]);
        // One a column in what is left of a page, then two.
        assert_eq!(
            flowing(many(), 2, &[60.0, 100.0, 100.0]),
            [45.0, 95.0, 95.0]
        );
        let high = pieces(&[(300.0, true), (300.0, false)]);
        assert_eq!(flowing(high, 2, &[100.0]), [300.0]);
    }

    #[test]
    fn a_column_that_begins_within_a_table_repeats_its_head() {
        let heads = [Head {
            height: 10.0,
            marks: Vec::new(),
        }];
        let row = Piece {
            head: Some(0),
            ..Piece::of(20.0, 0.0)
        };
        let mut table = vec![Piece::of(10.0, 0.0)];
        table.extend(vec![row; 4]);
        let flowing = Flowing {
            pieces: table,
            count: 2,
            step: 100.0,
        };
        let piece = flowing.into_piece(&heads, 500.0).unwrap();
        assert!((piece.height - 50.0).abs() < 0.1, "{}", piece.height);
        let (set, rest) = piece.columns.unwrap().set(&heads, 500.0, 500.0);
        // Head and two rows each.
        assert_eq!((set.height, rest), (50.0, None));
    }

    #[test]
    fn figures_go_abreast_in_their_order() {
        let four = pieces(&[(10.0, true), (50.0, false), (60.0, false), (70.0, false)]);
        let rows = abreast(four, &[0, 2, 3], 2, 500.0);
        assert_eq!(shape(&rows), [vec![2, 1], vec![1]]);
        let row = beside(rows.into_iter().next().unwrap(), &[], 100.0);
        assert_eq!((row.height, row.before), (65.0, 5.0));
    }
}
