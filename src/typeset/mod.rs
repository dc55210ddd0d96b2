//! From the document tree to a PDF: the only folder that knows points on a page.
//!
//! The way of a document (`render`): `blocks`, `table` and `figure` lay it out as pieces of a page
//! (`flow` collects them, `lines` breaks their text, `ink` says what a piece is), `pages` puts them
//! on pages, `paint` writes their content streams, `finish` puts the file together (`fonts`, `drawn`,
//! `annotations`, `outline`, `destination`, `structure`). `sheet` holds the grid, the type scale and
//! the colours; `tags` the structure; `archive` what ISO 19005-3 and ISO 14289-1 require.
//!
//! The file is unsigned. Where the document has a place for the seal, it holds an empty signature
//! field named `Seal` with its looks already drawn, so that sealing adds a signature and changes
//! nothing that is seen. Nothing here reads a clock or draws a random number: the same document
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
mod images;
mod ink;
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
