//! What comes after a certificate: its record read back and computed again, and the next visit.

pub mod accepted;
#[cfg(not(target_family = "wasm"))]
pub mod amendment;
#[cfg(not(target_family = "wasm"))]
pub mod answers;
pub mod blanks;
#[cfg(not(target_family = "wasm"))]
pub mod contents;
pub mod engine;
pub mod fill;
#[cfg(not(target_family = "wasm"))]
pub mod form;
#[cfg(not(target_family = "wasm"))]
pub mod fresh;
#[cfg(not(target_family = "wasm"))]
mod html;
#[cfg(not(target_family = "wasm"))]
pub mod last;
#[cfg(not(target_family = "wasm"))]
pub mod next;
#[cfg(not(target_family = "wasm"))]
pub mod page;
#[cfg(not(target_family = "wasm"))]
pub mod record;
#[cfg(not(target_family = "wasm"))]
pub mod register;
#[cfg(not(target_family = "wasm"))]
pub mod saved;

/// Width of the comments in a visit file, in characters.
#[cfg(not(target_family = "wasm"))]
const COMMENT_WIDTH: usize = 90;

/// Text as lines of at most [`COMMENT_WIDTH`], all but the first indented.
#[cfg(not(target_family = "wasm"))]
fn wrapped(text: &str, indent: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines.last().is_some_and(|l| {
            !l.trim().is_empty() && l.chars().count() + word.chars().count() >= COMMENT_WIDTH
        });
        if full {
            lines.push(" ".repeat(indent));
        }
        if let Some(line) = lines.last_mut() {
            if !line.trim().is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}
