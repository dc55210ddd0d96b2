//! From the blocks of the tree to pieces of a page.
//!
//! Each kind of block is laid out in a width, without knowing where on a page it will be. Larger
//! kinds have files of their own; this file lays out text.

use super::columns::Group;
use super::error::TypesetError;
use super::face::Faces;
use super::figure::{chart, code, diagram, photo, strip};
use super::flow::{FieldKind, Flow, FormField};
use super::images;
use super::ink::{Area, Owner, Piece, Shape, line, shift};
use super::label;
use super::lines::break_lines;
use super::sheet::{
    ABOVE_FACTS, ABOVE_FIGURE, ABOVE_PART, ABOVE_SECTION, BETWEEN, BETWEEN_ITEMS, BODY, Colour,
    GUTTER, HAIR, INDENT, PART, RULE, SECTION, SMALL, SOFT, Sheet, Style, TABLE_GUTTER, TITLE,
    accent,
};
use super::signal;
use super::table;
use super::tags::{Numbering, Role, Tags};
use crate::compose::document::{
    Block, Columns, Countersignature, Document, Letterhead, SealBlock, Signal, Span, Text,
};

/// Indent of a list's text from its bullet or number, and from a bullet in a column.
const HANG: f32 = 16.0;
const HANG_IN_COLUMN: f32 = 9.0;
/// Spaces on the first page are reduced at most to this share.
const LEAST_SPACE: f32 = 0.6;
/// Height of the box for a countersignature, enough for a pen.
const COUNTERSIGNED: f32 = 34.0;
/// Named facts up to this share of the page's height stay on one page.
const WHOLE: f32 = 0.25;

/// Lays out a whole document.
pub(super) fn lay<'a>(document: &'a Document, faces: &'a Faces) -> Result<Flow<'a>, TypesetError> {
    let mut flow = Flow {
        document,
        sheet: Sheet::new(document.format),
        faces,
        text: BODY,
        ran_over: false,
        accent: accent(document.letterhead.accent),
        tags: Tags::new(),
        pieces: Vec::new(),
        heads: Vec::new(),
        links: Vec::new(),
        fields: Vec::new(),
    };
    faces.set_language(&document.about.language);
    flow.letterhead(&document.letterhead)?;
    let mut blocks = document.body.as_slice();
    let mut after_paragraph = false;
    let mut group: Option<Group> = None;
    while let Some((block, rest)) = blocks.split_first() {
        blocks = rest;
        if let Some(group) = &mut group {
            group.block(&flow);
        }
        match block {
            Block::Heading {
                level,
                text,
                anchor,
            } => flow.heading(*level, text, anchor.as_deref()),
            Block::Paragraph(text) => {
                let style = flow.text;
                flow.paragraph(text, style);
                if matches!(rest.first(), Some(Block::Facts(_))) {
                    flow.keep_last();
                }
            }
            Block::Small(text) => {
                flow.paragraph(text, SMALL);
                if matches!(rest.first(), Some(Block::Countersignatures(_))) {
                    flow.keep_last();
                }
            }
            Block::List { numbered, items } => flow.list(*numbered, items),
            Block::Facts(facts) => {
                let first = flow.pieces.len();
                flow.facts(facts);
                if after_paragraph {
                    flow.keep_whole(first);
                }
            }
            Block::Verdict {
                signal,
                title,
                text,
            } => flow.verdict(*signal, title, text),
            Block::Caution {
                signal,
                title,
                numbered,
                items,
            } => flow.caution(*signal, title, *numbered, items),
            Block::Table(t) => {
                table::lay(&mut flow, t)?;
                // A note on a table stays with its last rows.
                if matches!(rest.first(), Some(Block::Small(_))) {
                    flow.keep_last();
                }
            }
            Block::Chart(c) => chart::lay(&mut flow, c),
            Block::Strip(s) => strip::lay(&mut flow, s),
            Block::Diagram(d) => diagram::lay(&mut flow, d),
            Block::Photo(p) => photo::lay(&mut flow, p)?,
            Block::Seal(s) => {
                let first = flow.pieces.len();
                flow.seal(s)?;
                flow.close_up();
                flow.seal_on_first_page(first);
            }
            Block::Countersignatures(places) => flow.countersignatures(places),
            Block::Label(l) => label::lay(&mut flow, l),
            Block::Language(language) => {
                faces.set_language(language);
                let other = Some(language.as_str()).filter(|l| *l != document.about.language);
                flow.tags.set_language(other);
            }
            Block::Columns(columns) => {
                if let Some(group) = group.take() {
                    group.end(&mut flow);
                }
                if *columns != Columns::One {
                    group = Some(Group::begin(&mut flow, *columns));
                }
            }
            // If the first page ran over, the next one has begun already.
            Block::NewPage if std::mem::take(&mut flow.ran_over) => {}
            Block::NewPage => {
                let mut piece = Piece::of(0.0, 0.0);
                piece.new_page = true;
                flow.pieces.push(piece);
            }
        }
        after_paragraph = matches!(block, Block::Paragraph(_));
    }
    if let Some(group) = group {
        group.end(&mut flow);
    }
    flow.faces.finish()?;
    Ok(flow)
}

impl Flow<'_> {
    /// Reduces the spaces between the pieces so far if that makes all of them fit on the first
    /// page, because the signature belongs with the result.
    fn close_up(&mut self) {
        let height: f32 = self.pieces.iter().map(|p| p.height).sum();
        // Space above the first piece of a page is dropped.
        let spaces: f32 = self.pieces.iter().skip(1).map(|p| p.before).sum();
        let share = (self.sheet.depth() - height) / spaces;
        if (LEAST_SPACE..1.0).contains(&share) {
            self.pieces.iter_mut().for_each(|p| p.before *= share);
        }
    }

    /// Moves the seal, which begins with the piece `seal`, to the foot of the first page if there
    /// is no space after the pieces before it; the rest of these follow on the next page.
    fn seal_on_first_page(&mut self, seal: usize) {
        if let Some(place) = place_of_seal(&self.pieces, seal, self.sheet.depth()) {
            let own = self.pieces.split_off(seal);
            let rest = self.pieces.split_off(place);
            self.pieces.extend(own);
            self.pieces.extend(rest);
            self.ran_over = true;
        }
    }

    /// Keeps the pieces from index `first` on together on one page, unless they are so high that
    /// the gap before them would be too large.
    fn keep_whole(&mut self, first: usize) {
        let pieces = self.pieces.get_mut(first..).unwrap_or_default();
        let height: f32 = pieces.iter().map(|p| p.before + p.height).sum();
        if height < self.sheet.depth() * WHOLE
            && let Some((_, others)) = pieces.split_last_mut()
        {
            others.iter_mut().for_each(|p| p.keep = true);
        }
    }

    fn letterhead(&mut self, letterhead: &Letterhead) -> Result<(), TypesetError> {
        if letterhead.name.is_empty() {
            return Ok(());
        }
        let node = self.tags.add(0, Role::P);
        let left = self.sheet.left;
        let measure = self.sheet.measure();
        let mut piece = Piece::default();
        let half = measure * 0.56;
        let mut x = left;
        let mut height = 0.0_f32;
        if let Some((image, alt)) = &letterhead.logo {
            let (w, h) = images::logo(self.document, *image)?;
            let figure = self.tags.add_figure(0, alt);
            piece.draw(
                Owner::Node(figure),
                Shape::Image {
                    image: *image,
                    x,
                    y: 0.0,
                    width: w,
                    height: h,
                },
            );
            piece.figures.push((figure, [x, 0.0, w, h]));
            x += w + GUTTER;
            height = h;
        }
        let name = Text::strong(letterhead.name.clone());
        let mut y = 0.0;
        for line in break_lines(self.faces, &name, SECTION, (left + half - x).max(120.0)) {
            Flow::draw_line(
                &mut piece,
                line,
                x,
                y,
                SECTION,
                &[(Owner::Node(node), None)],
            );
            y += SECTION.leading;
        }
        height = height.max(y);
        let x = left + half + GUTTER;
        let mut y = 2.0;
        for text in &letterhead.lines {
            let node = self.tags.add(0, Role::P);
            let text = with_address(text);
            let owners = self.owners(node, &text);
            for line in break_lines(self.faces, &text, SMALL, measure - half - GUTTER) {
                Flow::draw_line(&mut piece, line, x, y, SMALL.coloured(SOFT), &owners);
                y += SMALL.leading;
            }
        }
        height = height.max(y) + 7.0;
        piece.draw(
            Owner::Artifact,
            Shape::Bar {
                x: left,
                y: height,
                width: measure,
                height: 2.0,
                colour: self.accent,
            },
        );
        piece.height = height + 2.0;
        self.pieces.push(piece);
        Ok(())
    }

    fn heading(&mut self, level: u8, text: &str, anchor: Option<&str>) {
        let (role, style, above) = match level {
            1 => (Role::H1, TITLE, ABOVE_SECTION),
            // Small text in columns has smaller headings.
            2 if self.sheet.indent == 0.0 => (Role::H2, PART, ABOVE_PART),
            2 => (Role::H2, SECTION, ABOVE_SECTION),
            _ => (Role::H3, PART, ABOVE_PART),
        };
        let node = self.tags.add(0, role);
        let lines = break_lines(self.faces, &Text::plain(text), style, self.sheet.measure());
        for (i, line) in lines.into_iter().enumerate() {
            let mut piece = Piece::of(style.leading, if i == 0 { above } else { 0.0 });
            piece.keep = true;
            if i == 0 {
                piece.bookmarks.push((level, text.to_owned()));
                piece.anchors.extend(anchor.map(ToOwned::to_owned));
            }
            Flow::draw_line(
                &mut piece,
                line,
                self.sheet.left,
                0.0,
                style,
                &[(Owner::Node(node), None)],
            );
            self.pieces.push(piece);
        }
    }

    fn paragraph(&mut self, text: &Text, style: Style) {
        let node = self.tags.add(0, Role::P);
        self.text_block(node, text, self.inner(), self.text_width(), style, BETWEEN);
    }

    fn list(&mut self, numbered: bool, items: &[Text]) {
        let list = self.tags.add(0, Role::L(numbering(numbered)));
        self.list_items(list, numbered, items, BETWEEN);
    }

    fn list_items(&mut self, list: usize, numbered: bool, items: &[Text], above: f32) {
        let style = self.text;
        let hang = if self.sheet.indent == 0.0 && !numbered {
            HANG_IN_COLUMN
        } else {
            HANG
        };
        for (i, item) in items.iter().enumerate() {
            let li = self.tags.add(list, Role::LI);
            let label = self.tags.add(li, Role::Lbl);
            let body = self.tags.add(li, Role::LBody);
            let first = self.pieces.len();
            let above = if i == 0 { above } else { BETWEEN_ITEMS };
            self.text_block(
                body,
                item,
                self.inner() + hang,
                self.text_width() - hang,
                style,
                above,
            );
            let x = self.inner();
            if let Some(piece) = self.pieces.get_mut(first) {
                let mut marks = std::mem::take(&mut piece.marks);
                let text = if numbered {
                    format!("{}.", i + 1)
                } else {
                    "•".to_owned()
                };
                piece.text(Owner::Node(label), x, style.rise(), style, text);
                piece.marks.append(&mut marks);
            }
            self.keep_ends(i, items.len());
        }
    }

    /// Keeps the item just laid out with the next one, so that neither the first item nor the last
    /// is alone on a page.
    fn keep_ends(&mut self, item: usize, count: usize) {
        if item + 1 < count && (item == 0 || item + 2 == count) {
            self.keep_last();
        }
    }

    fn facts(&mut self, facts: &[(String, Text)]) {
        let list = self.tags.add(0, Role::L(Numbering::None));
        let style = self.text;
        // In a column, the names take a third of the width.
        let inner = match self.sheet.indent {
            0.0 => (self.sheet.measure() / 3.0).min(INDENT),
            indent => indent,
        };
        for (i, (name, value)) in facts.iter().enumerate() {
            let li = self.tags.add(list, Role::LI);
            let label = self.tags.add(li, Role::Lbl);
            let body = self.tags.add(li, Role::LBody);
            let names = break_lines(
                self.faces,
                &Text::plain(name.clone()),
                style,
                inner - GUTTER,
            );
            let owners = self.owners(body, value);
            let values = break_lines(self.faces, value, style, self.sheet.measure() - inner);
            // The name and as many lines of the value as the name has form one piece, so that the
            // name comes before the value in the file. The other lines of the value follow.
            let above = if i == 0 { ABOVE_FACTS } else { BETWEEN_ITEMS };
            let beside = names.len();
            let count = values.len();
            let mut piece = Piece::of(beside as f32 * style.leading, above);
            for (n, line) in names.into_iter().enumerate() {
                let (top, style) = (n as f32 * style.leading, style.coloured(SOFT));
                let owner = [(Owner::Node(label), None)];
                Flow::draw_line(&mut piece, line, self.sheet.left, top, style, &owner);
            }
            for (n, line) in values.into_iter().enumerate() {
                let top = if n < beside {
                    n as f32 * style.leading
                } else {
                    piece.keep = n == beside || n + 1 == count;
                    let next = Piece::of(style.leading, 0.0);
                    self.pieces.push(std::mem::replace(&mut piece, next));
                    0.0
                };
                Flow::draw_line(
                    &mut piece,
                    line,
                    self.sheet.left + inner,
                    top,
                    style,
                    &owners,
                );
            }
            self.pieces.push(piece);
            self.keep_ends(i, facts.len());
        }
    }

    fn verdict(&mut self, mark: Signal, title: &str, text: &[Text]) {
        let size = 44.0;
        let first = self.pieces.len();
        self.rule_in(signal::colour(mark), 3.0, ABOVE_SECTION);
        let node = self.tags.add(0, Role::P);
        self.text_block(
            node,
            &Text::plain(title),
            self.inner(),
            self.text_width(),
            TITLE,
            10.0,
        );
        self.mark_in(first + 1, mark, size, size / 2.0 + 1.0);
        for paragraph in text {
            self.keep_last();
            self.paragraph(paragraph, BODY);
        }
        self.rule_out(10.0);
        // The result stays on one page.
        let last = self.pieces.len().saturating_sub(1);
        for piece in self.pieces.iter_mut().take(last).skip(first) {
            piece.keep = true;
        }
    }

    fn caution(&mut self, mark: Signal, title: &str, numbered: bool, items: &[Text]) {
        let style = self.text;
        // Within a column, there is no narrow column for the mark beside the text, and less space
        // below it.
        let (size, beside) = if self.sheet.indent == 0.0 {
            (14.0, 20.0)
        } else {
            (18.0, 0.0)
        };
        let first = self.pieces.len();
        self.rule_in(signal::colour(mark), 2.0, ABOVE_PART);
        let node = self.tags.add(0, Role::P);
        self.text_block(
            node,
            &Text::strong(title),
            self.inner() + beside,
            self.text_width() - beside,
            style,
            6.0,
        );
        self.mark_in(first + 1, mark, size, style.leading / 2.0 + 1.0);
        self.keep_last();
        let list = self.tags.add(0, Role::L(numbering(numbered)));
        // The mark reaches below the small title of a column.
        let above = if beside > 0.0 { BETWEEN } else { BETWEEN_ITEMS };
        self.list_items(list, numbered, items, above);
        self.rule_out(7.0);
    }

    /// A mark at the left edge of a piece, its centre at `y`.
    fn mark_in(&mut self, piece: usize, mark: Signal, size: f32, y: f32) {
        let x = self.sheet.left + size / 2.0;
        if let Some(piece) = self.pieces.get_mut(piece) {
            signal::draw(&mut piece.marks, Owner::Artifact, mark, x, y, size);
        }
    }

    /// A rule in a colour that opens a block.
    fn rule_in(&mut self, colour: Colour, width: f32, above: f32) {
        let mut piece = Piece::of(width, above);
        piece.keep = true;
        piece.draw(
            Owner::Artifact,
            Shape::Bar {
                x: self.sheet.left,
                y: 0.0,
                width: self.sheet.measure(),
                height: width,
                colour,
            },
        );
        self.pieces.push(piece);
    }

    /// A rule that closes a block.
    fn rule_out(&mut self, above: f32) {
        self.keep_last();
        let mut piece = Piece::of(RULE, above);
        let (left, right) = (self.sheet.left, self.sheet.left + self.sheet.measure());
        piece.rule((left, RULE / 2.0), (right, RULE / 2.0), line(HAIR, RULE));
        self.pieces.push(piece);
    }

    fn seal(&mut self, block: &SealBlock) -> Result<(), TypesetError> {
        let width = self.sheet.measure();
        let mut piece = Piece::default();
        let draft = self.document.draft.is_some();
        let node = if draft {
            self.tags.add(0, Role::P)
        } else {
            self.tags.add_form(0, &block.alt)
        };
        let owner = if draft {
            Owner::Node(node)
        } else {
            Owner::Artifact
        };
        let mut y = 8.0;
        let mut y_of_image = 0.0;
        let left = self.sheet.left;
        let mut place = Piece::default();
        place.rule(
            (left, RULE / 2.0),
            (left + width, RULE / 2.0),
            line(self.accent, RULE),
        );
        // The code is at the right edge, beside the field and not inside it.
        let mut y_of_code = 0.0;
        let mut width = width;
        if let Some(code) = &block.code {
            let side = code::side(code);
            code::lay(self, &mut place, code, (left + width - side, y - 1.0));
            y_of_code = y - 1.0 + side;
            width -= side + code::QUIET;
        }
        if let Some(image) = block.image {
            let (w, h) = images::signature(self.document, image)?;
            y_of_image = y + h;
            piece.draw(
                owner,
                Shape::Image {
                    image,
                    x: 0.0,
                    y,
                    width: w,
                    height: h,
                },
            );
        }
        for (i, text) in block.lines.iter().enumerate() {
            let style = if i == 0 { BODY } else { SMALL };
            let owners: Vec<_> = text.0.iter().map(|_: &Span| (owner, None)).collect();
            for line in break_lines(self.faces, text, style, width - INDENT) {
                Flow::draw_line(&mut piece, line, INDENT, y, style, &owners);
                y += style.leading;
            }
        }
        let height = y.max(y_of_image).max(y_of_code) + 6.0;
        place.height = height;
        place.before = ABOVE_FIGURE;
        if draft {
            shift(&mut piece.marks, left, 0.0);
            place.marks.extend(piece.marks);
        } else {
            let shape = Shape::Area {
                area: Area::Field(self.fields.len()),
                x: left,
                y: 0.0,
                width,
                height,
            };
            place.draw(Owner::Artifact, shape);
            self.fields.push(FormField {
                name: "Seal".to_owned(),
                tip: block.alt.clone(),
                node,
                kind: FieldKind::Signature {
                    size: (width, height),
                    marks: piece.marks,
                },
            });
        }
        self.pieces.push(place);
        Ok(())
    }
}

impl Flow<'_> {
    /// Boxes for further signatures: empty fields with a frame and the role of the signer.
    fn countersignatures(&mut self, places: &[Countersignature]) {
        let count = places.len().max(1) as f32;
        let width = (self.sheet.measure() - (count - 1.0) * TABLE_GUTTER) / count;
        let size = (width, COUNTERSIGNED);
        let mut piece = Piece::of(COUNTERSIGNED, ABOVE_FIGURE);
        for (i, place) in places.iter().enumerate() {
            let node = self.tags.add_form(0, &place.alt);
            let mut looks = Piece::default();
            let (right, foot) = (width - RULE / 2.0, COUNTERSIGNED - RULE / 2.0);
            let corners = [
                (RULE / 2.0, RULE / 2.0),
                (right, RULE / 2.0),
                (right, foot),
                (RULE / 2.0, foot),
                (RULE / 2.0, RULE / 2.0),
            ];
            for side in corners.windows(2) {
                if let [from, to] = side {
                    looks.rule(*from, *to, line(HAIR, RULE));
                }
            }
            let who = Text::plain(place.who.clone());
            let style = SMALL.coloured(SOFT);
            let words = break_lines(self.faces, &who, style, width - GUTTER);
            for (n, words) in words.into_iter().enumerate() {
                let top = 4.0 + n as f32 * style.leading;
                let owner = [(Owner::Artifact, None)];
                Flow::draw_line(&mut looks, words, GUTTER / 2.0, top, style, &owner);
            }
            let shape = Shape::Area {
                area: Area::Field(self.fields.len()),
                x: self.sheet.left + i as f32 * (width + TABLE_GUTTER),
                y: 0.0,
                width,
                height: COUNTERSIGNED,
            };
            piece.draw(Owner::Artifact, shape);
            self.fields.push(FormField {
                name: place.field.clone(),
                tip: place.alt.clone(),
                node,
                kind: FieldKind::Signature {
                    size,
                    marks: looks.marks,
                },
            });
        }
        self.pieces.push(piece);
    }
}

/// A line of the letterhead; an e-mail or web address becomes a link.
fn with_address(line: &str) -> Text {
    let link = match line.split_once('@') {
        _ if line.contains(char::is_whitespace) => None,
        Some((name, host)) if !name.is_empty() && host.contains('.') => {
            Some(format!("mailto:{line}"))
        }
        _ if line.starts_with("https://") || line.starts_with("http://") => Some(line.to_owned()),
        _ => None,
    };
    Text(vec![Span {
        text: line.to_owned(),
        link,
        ..Span::default()
    }])
}

const fn numbering(numbered: bool) -> Numbering {
    if numbered {
        Numbering::Decimal
    } else {
        Numbering::Disc
    }
}

/// The position of the seal (the pieces from `seal` on) that puts it on the first page, if it is
/// not there already: before the first piece that does not fit on the page with it.
fn place_of_seal(pieces: &[Piece], seal: usize, depth: f32) -> Option<usize> {
    let height = |pieces: &[Piece]| -> f32 { pieces.iter().map(|p| p.before + p.height).sum() };
    let (before, own) = pieces.split_at_checked(seal)?;
    // Space above the first piece of a page is dropped.
    let room = depth + before.first().map_or(0.0, |p| p.before) - height(own);
    // Reduced spaces fit except for rounding errors.
    if height(before) <= room + 0.5 || before.iter().any(|p| p.new_page) {
        return None;
    }
    (1..=before.len())
        .take_while(|n| before.get(..*n).is_some_and(|p| height(p) <= room))
        .filter(|n| before.get(n - 1).is_some_and(|p| !p.keep))
        .last()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_in_a_letterhead_lead_there() {
        for (line, link) in [
            ("ada@lind.example", Some("mailto:ada@lind.example")),
            ("https://lind.example/ev", Some("https://lind.example/ev")),
            ("4 Mill Lane, Dover", None),
            ("work @ home", None),
            ("@lind", None),
        ] {
            assert_eq!(with_address(line).0[0].link.as_deref(), link, "{line}");
        }
    }

    #[test]
    fn the_seal_is_on_the_first_page_whatever_comes_before_it() {
        let mut pieces: Vec<Piece> = (0..20).map(|_| Piece::of(30.0, 5.0)).collect();
        pieces.push(Piece::of(100.0, 10.0));
        // 20 x 30 + 19 x 5 + 10 + 100 = 805.
        assert_eq!(place_of_seal(&pieces, 20, 805.0), None);
        // A point less, and the last paragraph follows the seal.
        assert_eq!(place_of_seal(&pieces, 20, 804.0), Some(19));
        // A piece that is kept with it follows it.
        pieces[18].keep = true;
        assert_eq!(place_of_seal(&pieces, 20, 804.0), Some(18));
        // Half a page: 110 for the seal, 30 + n x 35 for the rest.
        assert_eq!(place_of_seal(&pieces, 20, 400.0), Some(8));
    }
}
