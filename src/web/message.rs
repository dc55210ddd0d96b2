//! Format of requests and answers: a line of JSON, followed by the files that it lists, one after
//! the other. Files inside the JSON would be a third longer.

use super::error::WebError;
use serde_json::{Value, json};

/// A request or an answer.
#[derive(Debug)]
pub struct Message {
    /// The line of JSON, without its list of files.
    pub head: Value,
    /// Names and bytes of the files.
    pub files: Vec<(String, Vec<u8>)>,
}

impl Message {
    /// An answer without files.
    pub fn without_files(head: Value) -> Self {
        Self {
            head,
            files: Vec::new(),
        }
    }

    /// Reads a message: in its JSON, `files` lists the `name` and the `size` in bytes of each file.
    ///
    /// # Errors
    /// The line is not JSON, or the files do not have the listed lengths.
    pub fn read(bytes: &[u8]) -> Result<Self, WebError> {
        let end = memchr::memchr(b'\n', bytes).unwrap_or(bytes.len());
        let (line, rest) = bytes.split_at(end);
        let mut head: Value = serde_json::from_slice(line).map_err(WebError::Request)?;
        let listed = head.as_object_mut().and_then(|head| head.remove("files"));
        let mut rest = rest.get(1..).unwrap_or_default();
        let mut files = Vec::new();
        for file in listed
            .as_ref()
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            let name = file.get("name").and_then(Value::as_str);
            let size = file.get("size").and_then(Value::as_u64);
            let (Some(name), Some(size)) = (name, size) else {
                return Err(WebError::Files);
            };
            let size = usize::try_from(size).map_err(|_| WebError::Files)?;
            let (bytes, after) = rest.split_at_checked(size).ok_or(WebError::Files)?;
            files.push((name.to_owned(), bytes.to_vec()));
            rest = after;
        }
        if rest.is_empty() {
            Ok(Self { head, files })
        } else {
            Err(WebError::Files)
        }
    }

    /// The bytes of the message.
    pub fn bytes(mut self) -> Vec<u8> {
        if let Some(head) = self.head.as_object_mut() {
            let listed = self.files.iter();
            let listed = listed.map(|(name, bytes)| json!({ "name": name, "size": bytes.len() }));
            head.insert("files".to_owned(), listed.collect());
        }
        let mut out = self.head.to_string().into_bytes();
        out.push(b'\n');
        for (_, bytes) in &self.files {
            out.extend_from_slice(bytes);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn files_arrive_as_they_were_sent() {
        let sent = Message {
            head: json!({ "do": "certify" }),
            files: vec![
                ("a\nb".to_owned(), vec![0, 10, 255]),
                ("empty".to_owned(), Vec::new()),
            ],
        };
        let files = sent.files.clone();
        let read = Message::read(&sent.bytes()).unwrap();
        assert_eq!(read.head, json!({ "do": "certify" }));
        assert_eq!(read.files, files);
    }

    #[test]
    fn files_that_are_missing_or_left_over_are_refused() {
        for (size, bytes) in [(3, "ab"), (1, "ab"), (usize::MAX, "")] {
            let line = json!({ "files": [{ "name": "a", "size": size }] }).to_string();
            let message = [line.as_bytes(), b"\n", bytes.as_bytes()].concat();
            assert!(
                matches!(Message::read(&message), Err(WebError::Files)),
                "{size}"
            );
        }
        assert!(matches!(Message::read(b"{"), Err(WebError::Request(_))));
    }
}
