//! A link that opens the browser application with a visit inside.
//!
//! The visit is in the fragment of the address (after `#`), which browsers do not send to servers.
//! It is JSON, packed with DEFLATE (RFC 1951) and written as Base64url without padding (RFC 4648,
//! section 5).

use base64ct::{Base64UrlUnpadded, Encoding};
use libdeflater::{CompressionLvl, Compressor};
use serde_json::json;

/// Maximum length of a text in a code, in bytes (ISO/IEC 18004, table 7: version 40, level L).
pub const MOST_IN_A_CODE: usize = 2953;

/// Why there is no link.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    /// Not the address of a web page.
    #[error(
        "`{0}` is not an address of the application; it begins with https:// (or with \
         http://localhost for a trial on this computer)"
    )]
    Address(String),
}

/// The link. `address` is where the application is; `files` are the names and contents of the texts
/// that the visit file names.
///
/// # Errors
/// [`LinkError::Address`].
pub fn link(address: &str, visit: &str, files: &[(String, String)]) -> Result<String, LinkError> {
    let page = address.split('#').next().unwrap_or_default();
    let host = page
        .strip_prefix("https://")
        .or_else(|| page.strip_prefix("http://"))
        .and_then(|rest| rest.split('/').next());
    let clear = !page.contains(|c: char| c.is_whitespace() || c.is_control());
    if host.is_none_or(str::is_empty) || !clear {
        return Err(LinkError::Address(address.to_owned()));
    }
    // The address of a folder without its last slash would be redirected, which may lose the
    // fragment.
    let folder = page.rsplit('/').next().unwrap_or_default();
    let slash = if folder.is_empty() || folder.contains('.') && page.matches('/').count() > 2 {
        ""
    } else {
        "/"
    };
    let files: Vec<_> = files
        .iter()
        .map(|(name, text)| json!({ "name": name, "text": text }))
        .collect();
    let inside = json!({ "visit": visit, "files": files }).to_string();
    let mut deflate = Compressor::new(CompressionLvl::best());
    let mut packed = vec![0; deflate.deflate_compress_bound(inside.len())];
    let length = deflate
        .deflate_compress(inside.as_bytes(), &mut packed)
        .unwrap_or_default();
    packed.truncate(length);
    let packed = Base64UrlUnpadded::encode_string(&packed);
    Ok(format!("{page}{slash}#link/{packed}"))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::io::Read;

    fn inside(link: &str) -> serde_json::Value {
        let packed = link.split_once("#link/").unwrap().1;
        let packed = Base64UrlUnpadded::decode_vec(packed).unwrap();
        let mut text = String::new();
        flate2::read::DeflateDecoder::new(packed.as_slice())
            .read_to_string(&mut text)
            .unwrap();
        serde_json::from_str(&text).unwrap()
    }

    #[test]
    fn what_is_behind_the_hash_is_the_visit_with_its_files() {
        let files = [("earlier/1.yaml".to_owned(), "number: \"1\"\n".to_owned())];
        let link = link(
            "https://firm.example/app",
            "number: 2026-0001 # é\n",
            &files,
        )
        .unwrap();
        assert!(link.starts_with("https://firm.example/app/#link/"));
        let read = inside(&link);
        assert_eq!(read["visit"], "number: 2026-0001 # é\n");
        assert_eq!(read["files"][0]["name"], "earlier/1.yaml");
        // It contains no character that must be escaped in an address.
        let packed = link.split_once("#link/").unwrap().1;
        assert!(
            packed
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
        );
    }

    #[test]
    fn the_address_of_a_folder_ends_with_a_slash() {
        for (address, page) in [
            ("https://firm.example", "https://firm.example/#"),
            ("https://firm.example/", "https://firm.example/#"),
            ("https://firm.example/app", "https://firm.example/app/#"),
            (
                "https://firm.example/app/index.html",
                "https://firm.example/app/index.html#",
            ),
            (
                "https://firm.example/app/#check",
                "https://firm.example/app/#",
            ),
            ("http://localhost:8463/", "http://localhost:8463/#"),
        ] {
            let link = link(address, "", &[]).unwrap();
            assert!(link.starts_with(page), "{address}: {link}");
        }
        for address in [
            "",
            "firm.example",
            "https://",
            "https:///a",
            "javascript:1",
            "https://a b/",
        ] {
            assert!(link(address, "", &[]).is_err(), "{address}");
        }
    }
}
