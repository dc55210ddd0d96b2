//! Compression of streams.

/// Streams shorter than this are not worth the dictionary entry that says they are compressed.
const SHORT: usize = 48;

/// The data in the zlib format; `None` if that does not save at least the length of that entry.
pub(crate) fn packed(data: &[u8]) -> Option<Vec<u8>> {
    let most = data.len().checked_sub(20)?;
    if data.len() < SHORT {
        return None;
    }
    engine::packed(data, most)
}

/// Uses a compressor in C that each thread keeps from one document to the next.
#[cfg(not(target_family = "wasm"))]
mod engine {
    use std::cell::RefCell;

    use libdeflater::{CompressionLvl, Compressor};

    /// Compression level from 1 to 12. Measured over the streams of the examples' certificates: level 5
    /// makes them 9 % smaller than level 1 for half as much time again; level 8 makes them another 3 %
    /// smaller and level 12 another 6 %, for six and for ninety times the time of level 1.
    const LEVEL: i32 = 5;
    /// Maximum size of the buffer that is kept for the next stream, in bytes.
    pub(super) const KEPT: usize = 4 << 20;

    struct Packer {
        compressor: Compressor,
        /// The output buffer.
        room: Vec<u8>,
    }

    thread_local! {
        static PACKER: RefCell<Packer> = RefCell::new(Packer {
            compressor: Compressor::new(CompressionLvl::new(LEVEL).unwrap_or_default()),
            room: Vec::new(),
        });
    }

    /// The data in at most `most` bytes.
    pub(super) fn packed(data: &[u8], most: usize) -> Option<Vec<u8>> {
        PACKER.with_borrow_mut(|Packer { compressor, room }| {
            if room.len() < most {
                room.resize(most, 0);
            }
            let length = compressor.zlib_compress(data, room.get_mut(..most)?).ok();
            let packed = length
                .and_then(|length| room.get(..length))
                .map(<[u8]>::to_vec);
            if room.len() > KEPT {
                *room = Vec::new();
            }
            packed
        })
    }

    /// Size of the buffer kept by this thread, in bytes.
    #[cfg(test)]
    pub(super) fn room() -> usize {
        PACKER.with_borrow(|packer| packer.room.len())
    }
}

/// Uses a compressor in Rust, for targets without C.
#[cfg(target_family = "wasm")]
mod engine {
    use flate2::{Compression, write::ZlibEncoder};
    use std::io::Write;

    /// The data in at most `most` bytes.
    pub(super) fn packed(data: &[u8], most: usize) -> Option<Vec<u8>> {
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(data).ok()?;
        encoder.finish().ok().filter(|packed| packed.len() <= most)
    }
}

#[cfg(test)]
mod tests {
    use super::engine::{KEPT, room};
    use super::*;
    use std::io::Read;

    #[test]
    fn what_is_packed_reads_back_and_is_shorter() {
        // First data larger than the kept buffer, then smaller data.
        for size in [KEPT + 1, 1000, 200] {
            let data: Vec<u8> = (0..size).map(|i| (i / 40 % 251) as u8).collect();
            let packed = packed(&data).unwrap();
            assert!(packed.len() < size);
            let mut back = Vec::new();
            flate2::read::ZlibDecoder::new(packed.as_slice())
                .read_to_end(&mut back)
                .unwrap();
            assert!(back == data, "{size}");
        }
        assert!(room() <= KEPT);
    }

    #[test]
    fn what_does_not_get_shorter_is_left() {
        let mut seed = 1_u32;
        let noise: Vec<u8> = (0..400)
            .map(|_| {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (seed >> 24) as u8
            })
            .collect();
        assert_eq!(packed(&noise), None);
        assert_eq!(packed(b"short"), None);
        // Nothing of the data packed before is visible.
        assert_eq!(packed(&[7; 4000]), packed(&[7; 4000]));
    }
}
