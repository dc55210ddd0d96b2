//! Memory that a thread keeps from one photo to the next.
//!
//! A photo of 12 megapixels is 48 MB decoded, four bytes a pixel. The system hands out such memory
//! page by page, which takes a third of the time of a whole photo; the second photo finds it
//! ready.

use std::cell::RefCell;

use fast_image_resize::Resizer;

/// Most bytes that are kept, each of decoded pixels and of what scaling needs (64 MiB, a photo of
/// 16 megapixels); our choice. What was larger is given back at once.
const MOST: usize = 64 << 20;

thread_local! {
    static PIXELS: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static RESIZER: RefCell<Resizer> = RefCell::new(Resizer::new());
}

/// Cleared room for so many bytes: a damaged photo must not show parts of the one before.
pub(super) fn room(bytes: usize) -> Vec<u8> {
    let mut room = PIXELS.take();
    if room.capacity() < bytes {
        return vec![0; bytes];
    }
    room.clear();
    room.resize(bytes, 0);
    room
}

/// Takes back what is not needed any more.
pub(super) fn give_back(room: Vec<u8>) {
    if room.capacity() <= MOST {
        PIXELS.set(room);
    }
}

/// Does something with this thread's resizer.
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
