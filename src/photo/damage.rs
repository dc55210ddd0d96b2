//! Every way in which the bytes of an image can be wrong or of a kind that cannot be used.
//!
//! Messages complete "photos/panel.jpg is damaged or cut short: …" and "photos/panel.jpg cannot
//! be used: …".

use crate::visit::surroundings::ImageError;

/// What is wrong inside an image file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum Fault {
    #[error("the file is empty")]
    Empty,
    #[error("the file ends after {0} bytes, before the picture does")]
    CutShort(usize),
    #[error("byte {0} should begin a JPEG segment and does not")]
    NoMarker(usize),
    #[error("the JPEG segment at byte {0} has a length that cannot be")]
    SegmentLength(usize),
    #[error("the JPEG picture has no size before its data begin")]
    NoFrame,
    #[error("the JPEG file says its size twice")]
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
    #[error("its picture data cannot be decoded ({0})")]
    Decode(String),
    #[error(
        "it is a HEIC photo; save or send it as a JPEG (most phones can be set to take JPEG photos)"
    )]
    Heic,
    #[error("it is a CMYK picture for a printing press; save it as an RGB JPEG")]
    Cmyk,
    #[error("it has {0} colour channels; save it as an RGB or grey JPEG")]
    Channels(u8),
    #[error("it has {0} bits a colour channel; save it as an ordinary 8-bit JPEG")]
    Precision(u8),
    #[error("it is coded in a rare kind of JPEG (frame {0:02X}); save it as an ordinary JPEG")]
    Coding(u8),
    #[error("its picture data come in {0} passes; save it as an ordinary JPEG")]
    Scans(usize),
    #[error("it is too long or too wide to be encoded again as a JPEG; cut it smaller")]
    Proportions,
}

impl From<Fault> for ImageError {
    fn from(fault: Fault) -> Self {
        match fault {
            Fault::Heic
            | Fault::Cmyk
            | Fault::Channels(_)
            | Fault::Precision(_)
            | Fault::Coding(_)
            | Fault::Scans(_)
            | Fault::Proportions => ImageError::Unsupported(fault.to_string()),
            _ => ImageError::Damaged(fault.to_string()),
        }
    }
}
