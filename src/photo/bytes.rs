//! The bytes of a prepared image: newly encoded, or parts of an original, which are not copied.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

/// Bytes in one or more pieces, which are written one after another.
#[derive(Debug, Clone)]
pub struct Bytes(Kept);

#[derive(Debug, Clone)]
enum Kept {
    Made(Vec<u8>),
    Passed {
        head: Vec<u8>,
        original: Arc<Vec<u8>>,
        picture: Vec<Range<usize>>,
        end: &'static [u8],
    },
}

impl Bytes {
    /// Ranges of an original, between a new head and a new end.
    pub(super) fn passed(
        head: Vec<u8>,
        original: &Arc<Vec<u8>>,
        picture: &[Range<usize>],
        end: &'static [u8],
    ) -> Self {
        Self(Kept::Passed {
            head,
            original: Arc::clone(original),
            picture: picture.to_vec(),
            end,
        })
    }

    /// The pieces, in order.
    pub fn pieces(&self) -> Vec<&[u8]> {
        match &self.0 {
            Kept::Made(bytes) => vec![bytes],
            Kept::Passed {
                head,
                original,
                picture,
                end,
            } => {
                let ranges = picture.iter().map(|range| &original[range.clone()]);
                std::iter::once(head.as_slice())
                    .chain(ranges)
                    .chain([*end])
                    .collect()
            }
        }
    }

    /// All bytes together; copied if there are several pieces.
    pub fn whole(&self) -> Cow<'_, [u8]> {
        match &self.0 {
            Kept::Made(bytes) => Cow::Borrowed(bytes),
            Kept::Passed { .. } => Cow::Owned(self.pieces().concat()),
        }
    }
}

impl From<Vec<u8>> for Bytes {
    fn from(bytes: Vec<u8>) -> Self {
        Self(Kept::Made(bytes))
    }
}

impl PartialEq for Bytes {
    fn eq(&self, other: &Self) -> bool {
        self.whole() == other.whole()
    }
}

impl Eq for Bytes {}
