//! Compression of streams.

/// Streams shorter than this are not worth the dictionary entry that says they are compressed.
const SHORT: usize = 48;

/// How much time is spent on making a stream short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Packing {
    /// Short, for files that are kept and sent.
    #[default]
    Small,
    /// Quick, for files that are compared and thrown away, and for rows of pixels.
    Quick,
}

/// Streams longer than this are packed quickly: a file of photos would take a second otherwise.
const LONG: usize = 1 << 20;

/// The data in the zlib format; `None` if that does not save at least the length of that entry.
pub(crate) fn packed(data: &[u8], packing: Packing) -> Option<Vec<u8>> {
    let most = data.len().checked_sub(20)?;
    if data.len() < SHORT {
        return None;
    }
    let small = packing == Packing::Small && data.len() <= LONG;
    engine::packed(data, most, small)
}

/// Uses compressors in C that each thread keeps from one document to the next.
#[cfg(not(target_family = "wasm"))]
mod engine {
    use std::cell::RefCell;

    use libdeflater::{CompressionLvl, Compressor};

    /// Compression levels from 1 to 12 for quick and for small streams. Measured over the streams of
    /// `townhouse-return` without its photos, 231 KB: level 5 makes 59.7 KB in less than 5 ms, level 9
    /// 58.3 KB, level 10 56.6 KB in 20 ms, level 12 56.4 KB in 30 ms.
    const QUICK: i32 = 5;
    const SMALL: i32 = 10;
    /// Maximum size of the buffer that is kept for the next stream, in bytes.
    pub(super) const KEPT: usize = 4 << 20;

    #[derive(Default)]
    struct Packer {
        quick: Option<Compressor>,
        small: Option<Compressor>,
        /// The output buffer.
        room: Vec<u8>,
    }

    thread_local! {
        static PACKER: RefCell<Packer> = RefCell::default();
    }

    /// The data in at most `most` bytes.
    pub(super) fn packed(data: &[u8], most: usize, small: bool) -> Option<Vec<u8>> {
        PACKER.with_borrow_mut(
            |Packer {
                 quick,
                 small: best,
                 room,
             }| {
                let (compressor, level) = if small { (best, SMALL) } else { (quick, QUICK) };
                let compressor = compressor.get_or_insert_with(|| {
                    Compressor::new(CompressionLvl::new(level).unwrap_or_default())
                });
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
            },
        )
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
    pub(super) fn packed(data: &[u8], most: usize, small: bool) -> Option<Vec<u8>> {
        let level = if small {
            Compression::best()
        } else {
            Compression::default()
        };
        let mut encoder = ZlibEncoder::new(Vec::new(), level);
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
        for (size, packing) in [KEPT + 1, 1000, 200]
            .into_iter()
            .flat_map(|size| [(size, Packing::Small), (size, Packing::Quick)])
        {
            let data: Vec<u8> = (0..size).map(|i| (i / 40 % 251) as u8).collect();
            let packed = packed(&data, packing).unwrap();
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
        assert_eq!(packed(&noise, Packing::Small), None);
        assert_eq!(packed(b"short", Packing::Small), None);
        // Nothing of the data packed before is visible.
        for packing in [Packing::Small, Packing::Quick] {
            assert_eq!(packed(&[7; 4000], packing), packed(&[7; 4000], packing));
        }
    }
}
