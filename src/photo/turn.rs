//! Which way up a photo is: the EXIF orientation (CIPA DC-008, tag 0x0112), and turning pixels
//! accordingly.

/// How stored pixels must be turned to be upright. The names say what is done to the stored
/// picture; the numbers are those of the EXIF tag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    /// 1: nothing.
    Upright,
    /// 2: mirrored left to right.
    Mirror,
    /// 3: by half a turn.
    Half,
    /// 4: mirrored top to bottom.
    Flip,
    /// 5: rows become columns.
    Transpose,
    /// 6: a quarter turn clockwise.
    Right,
    /// 7: mirrored about the other diagonal.
    Transverse,
    /// 8: a quarter turn counterclockwise.
    Left,
}

impl Turn {
    /// From the value of the EXIF tag. Values outside 1 to 8 are ignored.
    pub fn from_exif_value(value: u32) -> Self {
        match value {
            2 => Turn::Mirror,
            3 => Turn::Half,
            4 => Turn::Flip,
            5 => Turn::Transpose,
            6 => Turn::Right,
            7 => Turn::Transverse,
            8 => Turn::Left,
            _ => Turn::Upright,
        }
    }

    /// From the TIFF block of a file's EXIF part. If the block is partly unreadable, the readable
    /// part is used, so that a photo is not refused because of a broken maker's note.
    pub fn from_tiff(block: &[u8]) -> Self {
        let mut reader = exif::Reader::new();
        reader.continue_on_error(true);
        let fields = reader.read_raw(block.to_vec());
        let fields = fields.or_else(|e| e.distill_partial_result(|_| {}));
        fields.map_or(Turn::Upright, |fields| Self::from_fields(&fields))
    }

    /// From the fields of a TIFF block.
    pub fn from_fields(fields: &exif::Exif) -> Self {
        fields
            .get_field(exif::Tag::Orientation, exif::In::PRIMARY)
            .and_then(|field| field.value.get_uint(0))
            .map_or(Turn::Upright, Turn::from_exif_value)
    }

    /// Whether width and height are swapped.
    pub fn swaps(self) -> bool {
        matches!(
            self,
            Turn::Transpose | Turn::Right | Turn::Transverse | Turn::Left
        )
    }

    /// Turns pixels of `N` bytes, stored in rows of `width` pixels.
    pub fn apply<const N: usize>(self, pixels: Vec<u8>, width: usize) -> Vec<u8> {
        if self == Turn::Upright || width == 0 {
            return pixels;
        }
        let (stored, _) = pixels.as_chunks::<N>();
        let height = stored.len() / width;
        let mut out = Vec::with_capacity(stored.len() * N);
        // (x, y) is the upright position; each arm finds the stored pixel for it.
        let (out_w, out_h) = if self.swaps() {
            (height, width)
        } else {
            (width, height)
        };
        for y in 0..out_h {
            for x in 0..out_w {
                let (sx, sy) = match self {
                    Turn::Upright => (x, y),
                    Turn::Mirror => (width - 1 - x, y),
                    Turn::Half => (width - 1 - x, height - 1 - y),
                    Turn::Flip => (x, height - 1 - y),
                    Turn::Transpose => (y, x),
                    Turn::Right => (y, height - 1 - x),
                    Turn::Transverse => (width - 1 - y, height - 1 - x),
                    Turn::Left => (width - 1 - y, x),
                };
                out.extend_from_slice(&stored[sy * width + sx]);
            }
        }
        out
    }
}
