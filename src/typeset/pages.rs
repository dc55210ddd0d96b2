//! Puts the pieces on pages.
//!
//! A piece that should stay with the next one forms a chain with it. A chain that does not fit on a
//! page goes to the next page as a whole.

use super::flow::Head;
use super::ink::{Flowing, Piece};
use super::sheet::Sheet;

/// Something on a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Item {
    /// A piece, by its number.
    Piece(usize),
    /// The repeated head of a table, by its number.
    Head(usize),
}

/// A page: items with their tops, points below the top margin.
pub(super) type Page = Vec<(Item, f32)>;

/// Slack of comparisons of heights, because sums of heights have rounding errors.
const SLACK: f32 = 0.05;

/// Columns are divided only if at least this much of them goes on the page,
const LEAST_COLUMNS: f32 = 60.0;
/// and if they are higher than this share of it.
const WHOLE_COLUMNS: f32 = 0.33;
/// A table that fits on a page is not divided if this share of a page, or less, stays empty above it.
const GAP: f32 = 0.25;
/// A last page filled to less than the first share of its depth is avoided, and one filled to less
/// than the second share if smaller spaces save it,
const SHORT: [f32; 2] = [1.0 / 3.0, 0.75];
/// by multiplying the spaces with these factors: first smaller spaces, to save the page, then
/// larger ones.
const SPACES: [[f32; 4]; 2] = [[0.9, 0.75, 0.6, 0.45], [1.15, 1.3, 1.45, 1.6]];

/// Arranges pieces on pages so that they are few, that the last one is not nearly empty and that no
/// table is cut without need, and divides columns where pages end.
pub(super) fn arrange(pieces: &mut Vec<Piece>, heads: &[Head], sheet: &Sheet) -> Vec<Page> {
    let original = pieces.clone();
    let usual = distribute(pieces, heads, sheet);
    let Some(first) = usual.pages.get(1).and_then(first_of) else {
        return usual.pages;
    };
    if usual.cuts == 0 && !short(&usual.pages, pieces, sheet, SHORT[1]) {
        return usual.pages;
    }
    // The first page does not change.
    let with = |share: f32| {
        let mut spaced = original.clone();
        let after = spaced.iter_mut().skip(first);
        after.for_each(|piece| {
            piece.before *= share;
            if let Some(columns) = &mut piece.columns {
                piece.height = columns.space(share, heads, sheet.depth());
            }
        });
        let arranged = distribute(&mut spaced, heads, sheet);
        (spaced, arranged)
    };
    // Fewer pages before all else, then a last page that is not nearly empty, then fewer tables cut;
    // of spaces equally good, those that are closest to the usual ones.
    let worth = |pieces: &[Piece], arranged: &Arranged| {
        let empty = short(&arranged.pages, pieces, sheet, SHORT[0]);
        (arranged.pages.len(), empty, arranged.cuts)
    };
    let mut best = worth(pieces, &usual);
    let mut pages = usual.pages;
    for (shares, closer) in SPACES.iter().zip([true, false]) {
        // Wider spaces only fill a last page.
        if !(closer || best.1) {
            break;
        }
        for share in shares {
            let (other, arranged) = with(*share);
            let worth = worth(&other, &arranged);
            if worth < best {
                best = worth;
                pages = arranged.pages;
                *pieces = other;
            }
        }
    }
    pages
}

/// The first piece of a page.
fn first_of(page: &Page) -> Option<usize> {
    page.iter().find_map(|(item, _)| match item {
        Item::Piece(piece) => Some(*piece),
        Item::Head(_) => None,
    })
}

/// Whether the last page of several is filled to less than a share of its depth.
fn short(pages: &[Page], pieces: &[Piece], sheet: &Sheet, share: f32) -> bool {
    let Some((Item::Piece(last), y)) = pages.last().and_then(|page| page.last()) else {
        return false;
    };
    let end = y + pieces.get(*last).map_or(0.0, |piece| piece.height);
    pages.len() > 1 && end < share * sheet.depth()
}

/// Pieces on pages.
struct Arranged {
    pages: Vec<Page>,
    /// Tables that go on from one page to the next.
    cuts: usize,
}

/// The page that is being filled.
struct Filling<'a> {
    pieces: &'a mut Vec<Piece>,
    heads: &'a [Head],
    depth: f32,
    pages: Vec<Page>,
    /// The open page.
    page: Page,
    /// Position of the next piece.
    y: f32,
    /// Tables in columns that go on from one page to the next.
    cuts: usize,
}

/// Distributes pieces over pages. Every piece is placed once, in order; an empty flow has one
/// empty page.
fn distribute(pieces: &mut Vec<Piece>, heads: &[Head], sheet: &Sheet) -> Arranged {
    let mut filling = Filling {
        pieces,
        heads,
        depth: sheet.depth(),
        pages: Vec::new(),
        page: Page::new(),
        y: 0.0,
        cuts: 0,
    };
    let mut next = 0;
    while let Some(piece) = filling.pieces.get(next) {
        if piece.new_page {
            filling.turn();
            next += 1;
            continue;
        }
        let end = chain(filling.pieces, next);
        if !filling.has_room(next..end) || filling.moves_whole(next, end) {
            filling.turn();
        }
        // A chain higher than a page starts on a page of its own and is broken where the page ends,
        // even between pieces that should stay together. Each iteration places at least one piece,
        // so the loop ends even for forty rows that are all kept with the next one. The accepted
        // drawback: such a chain leaves the page before it short, and a heading in its middle may
        // be the last line of a page.
        let start = next;
        while next < end {
            let divided = filling.divide(next);
            if filling.waits(next) {
                filling.turn();
                continue;
            }
            if next > start && !filling.fits(next) {
                break;
            }
            filling.place(next);
            next += 1;
            if divided {
                filling.turn();
                break;
            }
        }
    }
    filling.turn();
    if filling.pages.is_empty() {
        filling.pages.push(Page::new());
    }
    let repeats = |page: &&Page| matches!(page.first(), Some((Item::Head(_), _)));
    let cuts = filling.cuts + filling.pages.iter().filter(repeats).count();
    Arranged {
        pages: filling.pages,
        cuts,
    }
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

    /// Whether a chain fits on this page, or, if it ends with columns, whether the pieces before
    /// them and their beginning fit.
    fn has_room(&self, chain: std::ops::Range<usize>) -> bool {
        let at_top = self.page.is_empty();
        let room = self.depth - self.y;
        if self.height(chain.clone(), at_top) <= room + SLACK {
            return true;
        }
        let Some(last) = chain.clone().last() else {
            return true;
        };
        let above = self.height(chain.start..last, at_top);
        let before = self.pieces.get(last).map_or(0.0, |piece| piece.before);
        self.can_begin(last, room - above - before)
    }

    /// Whether the table that begins in a chain goes to the next page as a whole: it fits there and
    /// not here, and little of this page stays empty.
    fn moves_whole(&self, start: usize, end: usize) -> bool {
        let head = |i: usize| self.pieces.get(i).and_then(|piece| piece.head);
        let Some(table) = (start..end)
            .find_map(head)
            .filter(|_| head(start).is_none())
        else {
            return false;
        };
        let rows = (end..self.pieces.len()).take_while(|i| head(*i) == Some(table));
        let whole = start..end + rows.count();
        let room = self.depth - self.y;
        !self.page.is_empty()
            && room <= GAP * self.depth
            && self.height(whole.clone(), false) > room + SLACK
            && self.height(whole, true) <= self.depth + SLACK
    }

    /// Whether columns that may be divided can begin in this height.
    fn can_begin(&self, piece: usize, room: f32) -> bool {
        let high = |p: &&Piece| p.height > WHOLE_COLUMNS * self.depth;
        let piece = self.pieces.get(piece).filter(high);
        let columns = piece.and_then(|p| p.columns.as_deref());
        room >= LEAST_COLUMNS && columns.is_some_and(|c| c.begins_within(self.heads, room))
    }

    /// Whether columns are still to be placed, because there was no space to begin them here.
    fn waits(&self, piece: usize) -> bool {
        self.pieces.get(piece).is_some_and(|p| p.columns.is_some())
    }

    /// Places the columns of a piece: completely if they fit, otherwise as far as the page has
    /// space, with the rest as the next piece. Returns whether there is a rest.
    fn divide(&mut self, index: usize) -> bool {
        let at_top = self.page.is_empty();
        let Some(piece) = self.pieces.get(index) else {
            return false;
        };
        let above = if at_top { 0.0 } else { piece.before };
        let room = self.depth - self.y - above;
        let fits = piece.height <= room + SLACK;
        // If nothing can begin here, the columns go to the next page.
        if !(fits || at_top || self.can_begin(index, room)) {
            return false;
        }
        let Some(piece) = self.pieces.get_mut(index) else {
            return false;
        };
        let Some(columns) = piece.columns.take() else {
            return false;
        };
        let depth = if fits {
            room.min(piece.height + SLACK)
        } else {
            room
        };
        let (set, rest) = columns.set(self.heads, depth, self.depth);
        let before = piece.before;
        let keep = piece.keep;
        *piece = Piece {
            before,
            keep: keep && rest.is_none(),
            ..set
        };
        let divided = rest.is_some();
        if let Some(rest) = rest {
            let goes_on = rest
                .columns
                .as_deref()
                .is_some_and(Flowing::begins_in_table);
            self.cuts += usize::from(goes_on);
            self.pieces.insert(index + 1, Piece { keep, ..rest });
        }
        divided
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
    use crate::compose::document::Format;
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
        Sheet::new(Format::Sheets(Paper::Letter))
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
            placed(&distribute(&mut pieces.to_vec(), &[], &sheet()).pages),
            [vec![0], vec![1, 2]]
        );
    }

    #[test]
    fn a_chain_higher_than_a_page_ends_all_the_same() {
        let pieces: Vec<Piece> = (0..100).map(|_| piece(50.0, true)).collect();
        let pages = placed(&distribute(&mut pieces.to_vec(), &[], &sheet()).pages);
        let full = (sheet().depth() / 50.0) as usize;
        assert_eq!(pages.concat(), (0..100).collect::<Vec<_>>());
        assert!(
            pages
                .iter()
                .all(|p| p.len() == full || p.len() == 100 % full),
            "{pages:?}"
        );
    }

    #[test]
    fn a_piece_higher_than_a_page_has_one_of_its_own() {
        let pieces = [piece(10.0, false), piece(5000.0, false), piece(10.0, false)];
        assert_eq!(
            placed(&distribute(&mut pieces.to_vec(), &[], &sheet()).pages),
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
        let pages = distribute(&mut pieces.to_vec(), &heads, &sheet()).pages;
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
    fn a_table_is_not_divided_where_little_stays_empty() {
        let heads = [Head {
            height: 30.0,
            marks: Vec::new(),
        }];
        let depth = sheet().depth();
        // A table of 330 points below something that leaves a room.
        let with_room = |room: f32| -> Vec<Vec<usize>> {
            let row = Piece {
                head: Some(0),
                ..piece(60.0, false)
            };
            let above = [piece(depth - room, false), piece(30.0, true)];
            let mut pieces: Vec<Piece> = above.into_iter().chain(vec![row; 5]).collect();
            placed(&distribute(&mut pieces, &heads, &sheet()).pages)
        };
        assert_eq!(with_room(170.0), [vec![0], (1..7).collect()]);
        assert_eq!(with_room(190.0), [vec![0, 1, 2, 3], vec![4, 5, 6]]);
        assert!((170.0..190.0).contains(&(GAP * depth)));
        // What is higher than a page begins where it can.
        let row = Piece {
            head: Some(0),
            ..piece(60.0, false)
        };
        let above = [piece(depth - 170.0, false), piece(30.0, true)];
        let mut pieces: Vec<Piece> = above.into_iter().chain(vec![row; 20]).collect();
        let pages = placed(&distribute(&mut pieces, &heads, &sheet()).pages);
        assert_eq!(pages[0], [0, 1, 2, 3]);
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
            placed(&distribute(&mut pieces.to_vec(), &[], &sheet()).pages),
            [vec![1], vec![4]]
        );
        assert_eq!(distribute(&mut Vec::new(), &[], &sheet()).pages.len(), 1);
    }

    #[test]
    fn a_last_page_is_not_nearly_empty() {
        let depth = sheet().depth();
        let rows = |count: usize, height: f32| -> Vec<Piece> {
            let new = Piece {
                new_page: true,
                ..Piece::default()
            };
            let first = [Piece::of(100.0, 30.0), new];
            let rest = (0..count).map(|_| Piece::of(height, 20.0));
            first.into_iter().chain(rest).collect()
        };
        // 10 x 50 + 9 x 20 fit into it; two more would be on a page of their own.
        assert!((680.0..750.0).contains(&depth));
        let mut pieces = rows(11, 50.0);
        assert_eq!(
            distribute(&mut pieces.clone(), &[], &sheet()).pages.len(),
            3
        );
        assert_eq!(arrange(&mut pieces, &[], &sheet()).len(), 2);
        assert_eq!(pieces[0].before, 30.0, "the first page stays as it is");
        // If that is not possible, more goes on the last page.
        let mut pieces = rows(13, 50.0);
        let last = |pages: &[Page]| pages.last().unwrap().last().unwrap().1 + 50.0;
        assert!(last(&distribute(&mut pieces.clone(), &[], &sheet()).pages) < depth / 3.0);
        let pages = arrange(&mut pieces, &[], &sheet());
        assert_eq!(pages.len(), 3);
        assert!(last(&pages) >= depth / 3.0);
    }
}
