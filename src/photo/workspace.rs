//! Memory that a thread reuses from one photo to the next.
//!
//! A decoded photo of 12 megapixels has 48 MB, four bytes per pixel. Getting this memory from the
//! system page by page takes a third of the time of a whole photo, which the next photos save.

use std::cell::RefCell;

use fast_image_resize::Resizer;

/// Maximum size of each kept buffer, one for decoded pixels and one for scaling (64 MiB, a photo of
/// 16 megapixels); our choice. Larger buffers are freed at once.
const MOST: usize = 64 << 20;

thread_local! {
    static PIXELS: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static RESIZER: RefCell<Resizer> = RefCell::new(Resizer::new());
}

/// A zeroed buffer of this size, so that a damaged photo cannot show parts of the one before.
pub(super) fn room(bytes: usize) -> Vec<u8> {
    let mut room = PIXELS.take();
    if room.capacity() < bytes {
        return vec![0; bytes];
    }
    room.clear();
    room.resize(bytes, 0);
    room
}

/// Takes back a buffer that is no longer needed.
pub(super) fn give_back(room: Vec<u8>) {
    if room.capacity() <= MOST {
        PIXELS.set(room);
    }
}

/// Calls a function with this thread's resizer.
pub(super) fn with_resizer<T>(work: impl FnOnce(&mut Resizer) -> T) -> T {
    RESIZER.with_borrow_mut(|resizer| {
        let done = work(resizer);
        if resizer.size_of_internal_buffers() > MOST {
            resizer.reset_internal_buffers();
        }
        done
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_left_of_the_photo_before() {
        give_back(vec![7; 100]);
        assert_eq!(room(60), [0; 60]);
        give_back(vec![7; 100]);
        assert_eq!(room(200), [0; 200]);
        give_back(vec![7; MOST + 1]);
        assert_eq!(PIXELS.take().capacity(), 0);
    }
}
