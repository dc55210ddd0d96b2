//! Why a document cannot be typeset.

/// Why a document cannot be typeset.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TypesetError {
    /// A character that the embedded faces lack; the visit's check should have met it first.
    #[error(
        "the certificate's typeface has no character “{character}” (U+{:04X}), which is in “{text}”; write it another way",
        u32::from(*.character)
    )]
    Character {
        /// The character.
        character: char,
        /// The text around it.
        text: String,
    },
    /// A row has more or fewer cells than its table has columns.
    #[error(
        "the table “{table}” has {columns} columns but a row of {cells} cells; this is a bug in \
         warmlug; please report it"
    )]
    Cells {
        /// Caption of the table.
        table: String,
        /// Columns of the table.
        columns: usize,
        /// Cells of the row.
        cells: usize,
    },
    /// A block names an image that the document does not hold.
    #[error("the certificate has no image number {0}; this is a bug in warmlug; please report it")]
    Image(usize),
    /// A link leads to an anchor that no heading has.
    #[error(
        "a link leads to “#{0}”, which is nowhere in the certificate; this is a bug in warmlug; \
         please report it"
    )]
    Anchor(String),
    /// An embedded face cannot be read.
    #[error(
        "the embedded typeface cannot be read ({0}); this is a bug in warmlug; please report it"
    )]
    Face(String),
}
