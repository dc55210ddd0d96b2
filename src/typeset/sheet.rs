//! The page grid, the type scale and the colours: every measure of the design is here.
//!
//! The page has two columns of unequal width. Headings, tables and figures begin at the outer edge;
//! running text, and the values of named facts, begin at the inner edge, so that the names hang in
//! the narrow column and lines of text stay short enough to read. Running text has two sizes and
//! two weights. All measures are points (1/72 in).

use super::face::Weight;
use crate::compose::document::{Format, LABEL_MM};
use crate::quantity::contrast;
use crate::visit::Paper;

/// A colour, sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Colour(pub u8, pub u8, pub u8);

/// Text, and anything that must be read.
pub(super) const INK: Colour = Colour(0x1B, 0x1F, 0x23);
/// Names of facts, units, captions: 7.0 to 1 on white.
pub(super) const SOFT: Colour = Colour(0x55, 0x5B, 0x61);
/// Hair rules between rows, grids of charts.
pub(super) const HAIR: Colour = Colour(0xC4, 0xC9, 0xCE);
/// The word across a draft; light enough to read text printed over it.
pub(super) const GHOST: Colour = Colour(0xE6, 0xE8, 0xEA);
/// Paper.
pub(super) const PAPER: Colour = Colour(0xFF, 0xFF, 0xFF);
/// The rule of the letterhead if the firm gives no colour.
pub(super) const ACCENT: Colour = Colour(0x1B, 0x3A, 0x57);

/// Safety red, RAL 3001 (ISO 3864-4).
pub(super) const RED: Colour = Colour(0x9B, 0x24, 0x23);
/// Safety orange, RAL 2010 (ISO 3864-4, ANSI Z535.1).
pub(super) const ORANGE: Colour = Colour(0xD0, 0x5D, 0x29);
/// Safety yellow, RAL 1003 (ISO 3864-4).
pub(super) const YELLOW: Colour = Colour(0xF9, 0xA8, 0x00);
/// Safety blue, RAL 5005 (ISO 3864-4).
pub(super) const BLUE: Colour = Colour(0x00, 0x53, 0x87);
/// Safety green, RAL 6032 (ISO 3864-4).
pub(super) const GREEN: Colour = Colour(0x23, 0x7F, 0x52);
/// Not known.
pub(super) const GREY: Colour = Colour(0x6B, 0x71, 0x77);

/// Lines of charts, one per leg: distinguishable in grey and for colour-blind readers, and
/// different from the safety colours, which have a meaning.
pub(super) const LEGS: [Colour; 4] = [
    Colour(0x00, 0x4B, 0x87),
    Colour(0xB3, 0x56, 0x0E),
    Colour(0x6A, 0x3D, 0x9A),
    Colour(0x1F, 0x6F, 0x6F),
];
/// Dashes of the same lines; empty is unbroken.
pub(super) const DASHES: [&[f32]; 4] = [&[], &[5.0, 2.0], &[1.5, 1.8], &[6.0, 1.8, 1.5, 1.8]];
/// Air in charts.
pub(super) const AIR: Colour = GREY;

/// A text style.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    /// Size.
    pub size: f32,
    /// Distance of base lines.
    pub leading: f32,
    /// Weight of spans that are not strong.
    pub weight: Weight,
    /// Colour.
    pub colour: Colour,
}

/// Running text.
pub(super) const BODY: Style = Style {
    size: 9.5,
    leading: 13.0,
    weight: Weight::Regular,
    colour: INK,
};
/// Tables, captions, small print, feet.
pub(super) const SMALL: Style = Style {
    size: 8.0,
    leading: 9.2,
    weight: Weight::Regular,
    colour: INK,
};
/// Title of the document, and the result.
pub(super) const TITLE: Style = Style {
    size: 20.0,
    leading: 24.0,
    weight: Weight::Strong,
    colour: INK,
};
/// Headings of the second level.
pub(super) const SECTION: Style = Style {
    size: 13.0,
    leading: 17.0,
    weight: Weight::Strong,
    colour: INK,
};
/// Headings of the third level: the running size, heavy.
pub(super) const PART: Style = Style {
    size: 9.5,
    leading: 13.0,
    weight: Weight::Strong,
    colour: INK,
};

impl Style {
    /// The same, in another colour.
    pub(super) const fn coloured(self, colour: Colour) -> Style {
        Style { colour, ..self }
    }
    /// The same, heavy.
    pub(super) const fn strong(self) -> Style {
        Style {
            weight: Weight::Strong,
            ..self
        }
    }
    /// From the top of a line to its base line: the leading shared above and below so that
    /// capitals are in the middle.
    pub(super) fn rise(self) -> f32 {
        (self.leading + super::face::CAP_HEIGHT * self.size) / 2.0
    }
}

/// A millimetre.
const MM: f32 = 72.0 / 25.4;
/// Margin of a label on every side: label printers leave up to 3 mm blank (common practice, no
/// source).
const LABEL_EDGE: f32 = 4.0 * MM;
/// Width of the narrow column with its gutter: from the outer to the inner edge.
pub(super) const INDENT: f32 = 112.0;
/// Gutter between the two columns.
pub(super) const GUTTER: f32 = 14.0;
/// Space above a heading of the second level.
pub(super) const ABOVE_SECTION: f32 = 16.0;
/// Space above a heading of the third level.
pub(super) const ABOVE_PART: f32 = 12.0;
/// Space above a table or a figure.
pub(super) const ABOVE_FIGURE: f32 = 10.0;
/// Space between paragraphs and after headings.
pub(super) const BETWEEN: f32 = 6.0;
/// Space above named facts.
pub(super) const ABOVE_FACTS: f32 = 9.0;
/// Space between items of a list and between facts.
pub(super) const BETWEEN_ITEMS: f32 = 3.0;
/// Space between columns of a table.
pub(super) const TABLE_GUTTER: f32 = 10.0;
/// Space above and below the text of a table's row.
pub(super) const ROW_PAD: f32 = 1.7;
/// Width of a hair rule.
pub(super) const HAIRLINE: f32 = 0.4;
/// Width of the rules that open and close a table.
pub(super) const RULE: f32 = 0.8;

/// The page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sheet {
    /// Width of the paper.
    pub width: f32,
    /// Height of the paper.
    pub height: f32,
    /// Left margin: the outer edge.
    pub left: f32,
    /// Right margin.
    pub right: f32,
    /// Top margin.
    pub top: f32,
    /// Bottom margin; the running foot is in it.
    pub bottom: f32,
    /// From the outer to the inner edge, where running text begins.
    pub indent: f32,
}

impl Sheet {
    /// The grid on a paper or a label.
    pub(super) fn new(format: Format) -> Sheet {
        let (width, height) = match format {
            Format::Sheets(Paper::Letter) => (612.0, 792.0),
            Format::Sheets(Paper::A4) => (595.28, 841.89),
            Format::Labels => {
                let [width, height] = LABEL_MM.map(|side| f32::from(side) * MM);
                let edge = LABEL_EDGE;
                return Sheet {
                    width,
                    height,
                    left: edge,
                    right: edge,
                    top: edge,
                    bottom: edge,
                    indent: 0.0,
                };
            }
        };
        Sheet {
            width,
            height,
            left: 44.0,
            right: 44.0,
            top: 40.0,
            bottom: 48.0,
            indent: INDENT,
        }
    }
    /// Width from margin to margin.
    pub(super) fn measure(&self) -> f32 {
        self.width - self.left - self.right
    }
    /// Height from margin to margin.
    pub(super) fn depth(&self) -> f32 {
        self.height - self.top - self.bottom
    }
}

/// The firm's colour, darkened as far as level AA asks on white where a document brings a paler
/// one; a visit file with one is refused.
pub(super) fn accent(wanted: Option<[u8; 3]>) -> Colour {
    wanted.map_or(ACCENT, |colour| {
        let [r, g, b] = contrast::readable(colour);
        Colour(r, g, b)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_colours_reach_the_contrast_of_level_aa() {
        for colour in [
            INK, SOFT, RED, BLUE, GREEN, GREY, AIR, ACCENT, LEGS[0], LEGS[1], LEGS[2], LEGS[3],
        ] {
            let contrast = contrast::on_white([colour.0, colour.1, colour.2]);
            assert!(contrast >= contrast::LEVEL_AA, "{colour:?} {contrast}");
        }
    }

    #[test]
    fn a_firm_s_colour_is_kept_where_it_can_be_read() {
        assert_eq!(accent(Some([0x10, 0x20, 0x80])), Colour(0x10, 0x20, 0x80));
        assert_eq!(accent(Some([255, 255, 255])), Colour(0x76, 0x76, 0x76));
    }
}
