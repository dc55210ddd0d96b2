//! A square code, drawn as one outline so that no seams show between its modules.

use crate::compose::document::Code;
use crate::typeset::flow::Flow;
use crate::typeset::ink::{Owner, Piece, Shape};
use crate::typeset::sheet::INK;

/// Side of a module in points: half a millimetre, which phones read at arm's length (common
/// practice, no source).
const MODULE: f32 = 1.5;
/// Space kept free around the code: four modules (ISO/IEC 18004, 6.3.8).
pub(in crate::typeset) const QUIET: f32 = 4.0 * MODULE;

/// Side of a code in points.
pub(in crate::typeset) fn side(code: &Code) -> f32 {
    code.side as f32 * MODULE
}

/// Draws a code with its top left corner at a point of a piece.
pub(in crate::typeset) fn lay(
    flow: &mut Flow<'_>,
    piece: &mut Piece,
    code: &Code,
    (x, y): (f32, f32),
) {
    let node = flow.tags.add_figure(0, &code.alt);
    let mut runs = Vec::new();
    for (n, row) in code.dark.chunks(code.side.max(1)).enumerate() {
        let mut column = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run.first() == Some(&true) {
                runs.push([column, n, run.len()]);
            }
            column += run.len();
        }
    }
    let modules = Shape::Modules {
        x,
        y,
        side: MODULE,
        runs,
        colour: INK,
    };
    piece.draw(Owner::Node(node), modules);
    piece.figures.push((node, [x, y, side(code), side(code)]));
}
