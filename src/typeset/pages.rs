//! Puts the pieces on pages.
//!
//! A piece that wants to stay with the next one makes a chain with it, and a chain goes to the
//! next page as a whole when it does not fit here.

use super::flow::Head;
use super::ink::Piece;
use super::sheet::Sheet;

/// Something on a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Item {
    /// A piece, by its number.
    Piece(usize),
    /// The head of a table once more, by its number.
    Head(usize),
}

/// A page: items with their tops, points below the top margin.
pub(super) type Page = Vec<(Item, f32)>;

/// A difference in height below which things count as fitting: sums of heights carry rounding.
const SLACK: f32 = 0.05;

/// The page that is being filled.
struct Filling<'a> {
    pieces: &'a [Piece],
    heads: &'a [Head],
    depth: f32,
    pages: Vec<Page>,
    /// The open page.
    page: Page,
    /// Where the next piece goes.
    y: f32,
}

/// Distributes pieces over pages. Every piece is placed once, in order; an empty flow has one
/// empty page.
pub(super) fn distribute(pieces: &[Piece], heads: &[Head], sheet: &Sheet) -> Vec<Page> {
    let mut filling = Filling {
        pieces,
        heads,
        depth: sheet.depth(),
        pages: Vec::new(),
        page: Page::new(),
        y: 0.0,
    };
    let mut next = 0;
    while let Some(piece) = pieces.get(next) {
        if piece.new_page {
            filling.turn();
            next += 1;
            continue;
        }
        let end = chain(pieces, next);
        if filling.height(next..end, filling.page.is_empty()) > filling.depth - filling.y + SLACK {
            filling.turn();
        }
        // The way out for a chain higher than a page: it starts on a page of its own and breaks
        // where the page ends, whatever wanted to stay together there. At least one piece is
        // placed each time round, so that forty rows that all want the next one end as well. The
        // bad case accepted: such a chain leaves the page before it short, and a heading in its
        // middle may end a page.
        let start = next;
        while next < end && (next == start || filling.fits(next)) {
            filling.place(next);
            next += 1;
        }
    }
    filling.turn();
    if filling.pages.is_empty() {
        filling.pages.push(Page::new());
    }
    filling.pages
}

/// End of the chain that begins with a piece.
fn chain(pieces: &[Piece], start: usize) -> usize {
    let mut end = start;
    while let Some(piece) = pieces.get(end) {
        end += 1;
        if !piece.keep || pieces.get(end).is_some_and(|p| p.new_page) {
            break;
        }
    }
    end
}

impl Filling<'_> {
    /// Height that pieces take here or at the top of a page.
    fn height(&self, range: std::ops::Range<usize>, at_top: bool) -> f32 {
        let head = if at_top {
            self.head_of(range.start)
        } else {
            0.0
        };
        let mut sum = head;
        for (i, piece) in self
            .pieces
            .get(range)
            .unwrap_or_default()
            .iter()
            .enumerate()
        {
            sum += piece.height + if i == 0 && at_top { 0.0 } else { piece.before };
        }
        sum
    }

    fn head_of(&self, piece: usize) -> f32 {
        self.pieces
            .get(piece)
            .and_then(|p| p.head)
            .and_then(|h| self.heads.get(h))
            .map_or(0.0, |h| h.height)
    }

    fn fits(&self, piece: usize) -> bool {
        self.y + self.height(piece..piece + 1, false) <= self.depth + SLACK
    }

    fn place(&mut self, index: usize) {
        let Some(piece) = self.pieces.get(index) else {
            return;
        };
        if self.page.is_empty() {
            if let Some(head) = piece.head {
                self.page.push((Item::Head(head), 0.0));
                self.y = self.head_of(index);
            }
        } else {
            self.y += piece.before;
        }
        self.page.push((Item::Piece(index), self.y));
        self.y += piece.height;
    }

    /// Closes the page, unless it is empty.
    fn turn(&mut self) {
        if !self.page.is_empty() {
            self.pages.push(std::mem::take(&mut self.page));
        }
        self.y = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::visit::Paper;

    fn piece(height: f32, keep: bool) -> Piece {
        Piece {
            keep,
            ..Piece::of(height, 0.0)
        }
    }

    fn placed(pages: &[Page]) -> Vec<Vec<usize>> {
        pages
            .iter()
            .map(|p| {
                p.iter()
                    .filter_map(|(i, _)| {
                        if let Item::Piece(i) = i {
                            Some(*i)
                        } else {
                            None
                        }
                    })
                    .collect()
            })
            .collect()
    }

    fn sheet() -> Sheet {
        Sheet::new(Paper::Letter)
    }

    #[test]
    fn a_heading_goes_with_what_it_heads() {
        let depth = sheet().depth();
        let pieces = [
            piece(depth - 50.0, false),
            piece(20.0, true),
            piece(40.0, false),
        ];
        assert_eq!(
            placed(&distribute(&pieces, &[], &sheet())),
            [vec![0], vec![1, 2]]
        );
    }

    #[test]
    fn a_chain_higher_than_a_page_ends_all_the_same() {
        let pieces: Vec<Piece> = (0..100).map(|_| piece(50.0, true)).collect();
        let pages = placed(&distribute(&pieces, &[], &sheet()));
        assert_eq!(pages.concat(), (0..100).collect::<Vec<_>>());
        assert!(
            pages.iter().all(|p| p.len() == 13 || p.len() == 9),
            "{pages:?}"
        );
    }

    #[test]
    fn a_piece_higher_than_a_page_has_one_of_its_own() {
        let pieces = [piece(10.0, false), piece(5000.0, false), piece(10.0, false)];
        assert_eq!(
            placed(&distribute(&pieces, &[], &sheet())),
            [vec![0], vec![1], vec![2]]
        );
    }

    #[test]
    fn a_page_that_begins_within_a_table_repeats_its_head() {
        let heads = [Head {
            height: 30.0,
            marks: Vec::new(),
        }];
        let row = || Piece {
            head: Some(0),
            ..piece(60.0, false)
        };
        let pieces: Vec<Piece> = std::iter::once(piece(30.0, true))
            .chain((0..30).map(|_| row()))
            .collect();
        let pages = distribute(&pieces, &heads, &sheet());
        assert_eq!(pages.len(), 3);
        assert_eq!(pages[0][0].0, Item::Piece(0));
        for page in &pages[1..] {
            assert_eq!(page[0], (Item::Head(0), 0.0));
            assert_eq!(page[1].1, 30.0);
        }
        let end = |p: &Page| p.last().map(|(_, y)| y + 60.0).unwrap();
        assert!(pages.iter().all(|p| end(p) <= sheet().depth()));
    }

    #[test]
    fn a_wanted_page_begins_once() {
        let new = || Piece {
            new_page: true,
            ..Piece::default()
        };
        let pieces = [
            new(),
            piece(10.0, true),
            new(),
            new(),
            piece(10.0, false),
            new(),
        ];
        assert_eq!(
            placed(&distribute(&pieces, &[], &sheet())),
            [vec![1], vec![4]]
        );
        assert_eq!(distribute(&[], &[], &sheet()).len(), 1);
    }
}
