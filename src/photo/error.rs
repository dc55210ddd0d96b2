//! Every reason for which the bytes of an image are damaged or of an unsupported kind.
//!
//! Messages complete "photos/panel.jpg is damaged or cut short: …" and "photos/panel.jpg cannot
//! be used: …".

use super::image_limits::{MAX_DECODED_BYTES, MAX_PROGRESSIVE_BYTES};
use crate::visit::surroundings::ImageError;

/// What is wrong inside an image file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum PhotoError {
    #[error("the file is empty")]
    Empty,
    #[error("the file ends after {0} bytes, before the picture does")]
    CutShort(usize),
    #[error("byte {0} should begin a JPEG segment and does not")]
    NoMarker(usize),
    #[error("the JPEG segment at byte {0} has an impossible length")]
    SegmentLength(usize),
    #[error("the JPEG picture has no size before its data begin")]
    NoFrame,
    #[error("the JPEG file states its size twice")]
    TwoFrames,
    #[error("the JPEG header at byte {0} contradicts itself")]
    Frame(usize),
    #[error("the JPEG picture data at byte {0} belong to no colour channel")]
    ScanOfNothing(usize),
    #[error("the JPEG picture data at byte {0} need a table that the file lacks")]
    MissingTable(usize),
    #[error("the JPEG file lacks the data of a colour channel")]
    MissingChannel,
    #[error("{width} × {height} pixels cannot come from {bytes} bytes of picture data")]
    TooLittleData { width: u32, height: u32, bytes: u64 },
    #[error("the PNG part at byte {0} has been altered (its check sum is wrong)")]
    Checksum(usize),
    #[error("the PNG part at byte {0} is not what the format allows there")]
    Chunk(usize),
    #[error("the PNG header contradicts itself")]
    PngHeader,
    #[error("its header gives it no pixels; export it as an ordinary JPEG")]
    NoPixels,
    #[error("its picture data cannot be decoded ({0})")]
    Decode(String),
    #[error(
        "it is {0} photo, which cannot be read here; export it as a JPEG or send it to yourself as \
         one (for the next ones, set the phone's camera to JPEG, often called \"most compatible\")"
    )]
    Phone(&'static str),
    #[error("it is a video or another kind of media file; export a photo as a JPEG")]
    Media,
    #[error("it is an animation; save the picture that you need as a JPEG")]
    Animated,
    #[error(
        "its first picture is a preview, as in a camera's raw file; export the photo as a JPEG"
    )]
    Preview,
    #[error(
        "its pixels are measured values, not a picture; export it from the camera's program as a \
         JPEG or PNG ({0} of 32 bits a channel)"
    )]
    Measurements(&'static str),
    #[error("it is a rare kind of {format} ({why}); save it as an ordinary JPEG or PNG")]
    Rare { format: &'static str, why: String },
    #[error(
        "decoding it would take {} MB of memory; the limit is {} MB. Save a smaller copy, or save \
         it as an ordinary JPEG, or as a PNG without interlacing",
        .0 / 1_000_000, MAX_DECODED_BYTES / 1_000_000
    )]
    Memory(u64),
    #[error(
        "it is a progressive JPEG that would take {} MB of memory to decode; the limit is {} MB. \
         Save a smaller copy, or save it as an ordinary JPEG (not progressive)",
        .0 / 1_000_000, MAX_PROGRESSIVE_BYTES / 1_000_000
    )]
    Progressive(u64),
    #[error("it is a CMYK picture for a printing press; save it as an RGB JPEG")]
    Cmyk,
    #[error("it has {0} colour channels; save it as an RGB or grey JPEG")]
    Channels(u8),
    #[error("it has {0} bits a colour channel; save it as an ordinary 8-bit JPEG")]
    Precision(u8),
    #[error("it uses a rare kind of JPEG coding (frame {0:02X}); save it as an ordinary JPEG")]
    Coding(u8),
    #[error("its picture data come in {0} passes; save it as an ordinary JPEG")]
    Scans(usize),
    #[error(
        "it is too long or too wide to be encoded again as a JPEG; crop it or save a smaller copy"
    )]
    Proportions,
}

impl From<PhotoError> for ImageError {
    fn from(fault: PhotoError) -> Self {
        match fault {
            PhotoError::Phone(_)
            | PhotoError::Media
            | PhotoError::Animated
            | PhotoError::Preview
            | PhotoError::Measurements(_)
            | PhotoError::Rare { .. }
            | PhotoError::Memory(_)
            | PhotoError::Progressive(_)
            | PhotoError::Cmyk
            | PhotoError::Channels(_)
            | PhotoError::Precision(_)
            | PhotoError::Coding(_)
            | PhotoError::Scans(_)
            | PhotoError::Proportions => ImageError::Unsupported(fault.to_string()),
            _ => ImageError::Damaged(fault.to_string()),
        }
    }
}
