//! A square code (QR, ISO/IEC 18004) for the page to draw.

use super::error::WebError;
use super::message::Message;
use qrcode::{Color, EcLevel, QrCode};
use serde::Deserialize;
use serde_json::json;

/// Asks for the code of a text.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Code {
    text: String,
}

impl Code {
    /// The number of modules on a side and, row by row, `1` for each dark one and `0` for each
    /// light one; level M, which can still be read if 15 % is damaged.
    pub fn answer(self) -> Result<Message, WebError> {
        let code = QrCode::with_error_correction_level(self.text.as_bytes(), EcLevel::M)
            .map_err(|_| WebError::CodeTooLong)?;
        let side = code.width();
        let modules: String = code
            .into_colors()
            .into_iter()
            .map(|color| if color == Color::Dark { '1' } else { '0' })
            .collect();
        Ok(Message::without_files(
            json!({ "side": side, "modules": modules }),
        ))
    }
}
