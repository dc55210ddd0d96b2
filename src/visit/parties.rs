//! The inspector, the client and the site of a visit, and the certificate that its own replaces.

use super::choices::Role;
use super::entry::{Entry, Line, Lines, NAME, choice, keys};
use super::key_table::Form;
use super::limits;
use super::reader::Reader;
use super::written::{Style, quoted, text};
use crate::quantity::contrast;
use crate::quoted::shorten;
use crate::yaml::Ix;

keys! {
    /// The person who inspected and signs, and the firm.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Inspector, "the inspector" {
        /// Name as it is printed and signed
        must name: String = NAME, "Dana Voss";
        /// Licence number
        may licence: String = NAME, "EL-20417";
        /// Firm
        may firm: String = NAME, "Voss Electric";
        /// The firm's postal address
        may address: String = Lines::<{ limits::NOTE }>, "4 Example Road, Sampleton";
        /// Telephone
        may phone: String = NAME, "555 0100";
        /// E-mail address
        may email: String = NAME, "dana@example.com";
        /// Image of the handwritten signature
        ///
        /// A path inside the visit's folder.
        may signature_image as "signature": String = Image, "signature.png";
        /// The firm's logo
        ///
        /// A path inside the visit's folder.
        may logo: String = Image, "logo.png";
        /// Accent colour of the letterhead, sRGB, with a contrast of 4.5 to 1 on white or more
        may accent: [u8; 3] = Accent, "\"#1F4E79\"";
    }

    /// Who asked for the visit.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Client, "the client" {
        /// Name of the client
        must name: String = NAME, "Lee Park";
        /// Role of the client
        must role: Role = choice("a client's role"), "owner";
        /// Postal address
        may address: String = Lines::<{ limits::NOTE }>, "12 Sample Street, Sampleton";
    }

    /// Where the circuits are.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Site, "the site" {
        /// Name of the site
        must name: String = NAME, "Garage, 12 Sample Street";
        /// Postal address
        may address: String = Lines::<{ limits::NOTE }>, "12 Sample Street, Sampleton";
    }

    /// An earlier certificate that this visit's certificate replaces.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Replaces, "the certificate replaced" {
        /// Number of the certificate replaced
        must number: String = Line::<{ limits::NUMBER }>, "2026-0146";
        /// SHA-256 of the file replaced
        ///
        /// As it was sealed: 64 lower-case hex digits.
        must sha256: String = Sha256, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
    }
}

/// A SHA-256 in hexadecimal digits.
struct Sha256;

impl Entry for Sha256 {
    type Value = String;
    const FORM: Form = Form::Sha256;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        let text = r.scalar(ix, "a SHA-256")?;
        if text.len() == 64 && text.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Some(text.to_ascii_lowercase());
        }
        r.problem(
            r.mark(ix),
            format!("`{}` is not a SHA-256", shorten(text)),
            "write the 64 hexadecimal digits that `warmlug verify` shows for the certificate \
             replaced",
        );
        None
    }
    fn write(&self, value: &String, _: Style) -> String {
        quoted(value)
    }
}

/// An image inside the visit's folder.
struct Image;

impl Entry for Image {
    type Value = String;
    const FORM: Form = Form::Image;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.image(ix)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
}

/// A colour that is readable on white paper.
struct Accent;

impl Accent {
    fn hex([r, g, b]: [u8; 3]) -> String {
        format!("\"#{r:02X}{g:02X}{b:02X}\"")
    }
}

impl Entry for Accent {
    type Value = [u8; 3];
    const FORM: Form = Form::Colour;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<[u8; 3]> {
        let colour = colour(r, ix)?;
        let contrast = contrast::on_white(colour);
        if contrast >= contrast::LEVEL_AA {
            return Some(colour);
        }
        // Rounded down, so that 4.49 is not displayed as the required 4.5.
        let shown = (contrast * 10.0).floor() / 10.0;
        r.problem(
            r.mark(ix),
            format!(
                "{} is too pale for white paper: its contrast is {shown:.1} to 1, and level AA of \
                 WCAG 2.2 asks for {}",
                Accent::hex(colour).trim_matches('"'),
                contrast::LEVEL_AA
            ),
            format!(
                "write {}, the nearest shade of it that can be read, or a darker colour",
                Accent::hex(contrast::readable(colour))
            ),
        );
        None
    }
    fn write(&self, value: &[u8; 3], _: Style) -> String {
        Accent::hex(*value)
    }
}

/// A colour such as `#1F4E79`.
fn colour(r: &mut Reader<'_, '_>, ix: Ix) -> Option<[u8; 3]> {
    let text = r.scalar(ix, "a colour")?;
    let hex = text.strip_prefix('#').unwrap_or(text);
    let part = |i: usize| u8::from_str_radix(hex.get(i..i + 2)?, 16).ok();
    if hex.len() == 6
        && hex.bytes().all(|b| b.is_ascii_hexdigit())
        && let (Some(r), Some(g), Some(b)) = (part(0), part(2), part(4))
    {
        return Some([r, g, b]);
    }
    r.problem(
        r.mark(ix),
        format!("`{}` is not a colour", shorten(text)),
        "write red, green and blue as six hexadecimal digits in quotes, such as \"#1F4E79\"",
    );
    None
}
