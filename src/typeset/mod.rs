//! From the document tree to a PDF. This is the only folder with coordinates on a page.
//!
//! The steps (`render`): `blocks`, `table` and `figure` lay it out as pieces of a page (`flow`
//! collects them, `lines` breaks their text, `ink` says what a piece is), `pages` puts them on
//! pages, `paint` writes their content streams, `finish` puts the file together (`fonts`, `drawn`,
//! `annotations`, `outline`, `destination`, `structure`). `sheet` holds the grid, the type scale
//! and the colours; `tags` the structure; `archive` what ISO 19005-3 and ISO 14289-1 require.
//!
//! The file is unsigned. If the document has a block for the seal, the file contains an empty
//! signature field named `Seal` whose appearance is already drawn, so that sealing adds a signature
//! without changing anything visible. No clock and no random numbers are used: the same document
//! gives the same bytes.

mod annotations;
mod archive;
mod blocks;
mod columns;
mod destination;
mod drawn;
mod error;
mod face;
mod figure;
mod finish;
mod flow;
mod fonts;
mod hyphens;
mod images;
mod ink;
mod label;
mod lines;
mod outline;
mod pages;
mod paint;
mod render;
mod repertoire;
mod sheet;
mod signal;
mod structure;
mod table;
mod tags;

pub use error::TypesetError;
pub use face::{prints, regular};
pub use finish::Options;
pub use images::{Printed, printed_width_mm};
pub use render::{render, render_with};
