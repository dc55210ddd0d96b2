//! Paths, images and photos.
//!
//! A path comes from whoever wrote the file. It is rejected by its spelling if it could point
//! outside the visit's folder on any operating system, not only on this one. The caller checks
//! whether a link leads outside ([`Surroundings::image`](super::Surroundings::image)).

use super::keys;
use super::limits;
use super::model::Photo;
use super::read_circuit::Known;
use super::reader::{Ids, Need, Reader};
use crate::quoted::{is_invisible, shorten};
use crate::yaml::Ix;

impl<'a> Reader<'a, '_> {
    /// A path of any kind, without control characters.
    pub(super) fn path(&mut self, ix: Ix) -> Option<String> {
        let text = self.scalar(ix, "a path")?;
        let at = self.mark(ix);
        if text.is_empty() {
            self.problem(at, "this path is empty", "write it");
            return None;
        }
        if text.len() > limits::PATH {
            self.problem(
                at,
                format!(
                    "this path has {} bytes; at most {} are allowed",
                    text.len(),
                    limits::PATH
                ),
                "move the file to a folder nearer to the visit",
            );
            return None;
        }
        if text.chars().any(|c| c.is_control() || is_invisible(c)) {
            self.problem(
                at,
                "this path contains an invisible control character",
                "type the path again",
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// The path of an image inside the visit's folder, and the image's properties.
    pub(super) fn image(&mut self, ix: Ix) -> Option<String> {
        let path = self.path(ix)?;
        let at = self.mark(ix);
        let shown = shorten(&path);
        const INSIDE: &str = "put the picture into the visit's folder and write its path from \
                              there, such as photos/panel.jpg";
        if path.contains('\\') {
            self.problem(
                at,
                format!("`{shown}` has a backslash"),
                "write `/` between folders and file, such as photos/panel.jpg",
            );
            return None;
        }
        if path.contains("://") {
            self.problem(
                at,
                format!("`{shown}` is an address on the network"),
                INSIDE,
            );
            return None;
        }
        let drive = path.as_bytes().get(1) == Some(&b':') || path.contains(':');
        if path.starts_with('/') || path.starts_with('~') || drive {
            self.problem(
                at,
                format!("`{shown}` does not begin in the visit's folder"),
                INSIDE,
            );
            return None;
        }
        if path.split('/').any(|part| part == "..") {
            self.problem(
                at,
                format!("`{shown}` leads out of the visit's folder"),
                INSIDE,
            );
            return None;
        }
        if path.split('/').any(|part| part.is_empty() || part == ".") {
            self.problem(
                at,
                format!("`{shown}` is not the path of a file"),
                "write folder and file once each, such as photos/panel.jpg",
            );
            return None;
        }
        match self.around.image(&path) {
            Ok(_) => Some(path),
            Err(problem) => {
                let help = match &problem {
                    super::surroundings::ImageError::Missing => {
                        "copy the picture there, or correct the path; letter case counts"
                    }
                    super::surroundings::ImageError::Outside => INSIDE,
                    super::surroundings::ImageError::Unreadable(_) => {
                        "name a regular file that you have permission to read"
                    }
                    super::surroundings::ImageError::UnknownFormat => {
                        "save the picture as a JPEG or PNG; changing the name's ending is not enough"
                    }
                    super::surroundings::ImageError::Unsupported(_) => {
                        "save it as an ordinary JPEG or PNG"
                    }
                    super::surroundings::ImageError::Changed => {
                        "make sure that no other program writes to it"
                    }
                    super::surroundings::ImageError::Damaged(_) => "copy it from the camera again",
                    super::surroundings::ImageError::TooManyPixels { .. }
                    | super::surroundings::ImageError::TooManyBytes { .. } => {
                        "save the picture smaller"
                    }
                };
                self.problem(at, format!("`{shown}` {problem}"), help);
                None
            }
        }
    }

    pub(super) fn photos(&mut self, ix: Ix, circuits: &[Known<'a>]) -> Vec<Photo> {
        let Some(items) = self.list(ix, "photo", limits::PHOTOS, Need::May) else {
            return Vec::new();
        };
        items
            .iter()
            .filter_map(|item| self.photo(*item, circuits))
            .collect()
    }

    fn photo(&mut self, ix: Ix, circuits: &[Known<'a>]) -> Option<Photo> {
        let f = self.fields(ix, &keys::PHOTO, None)?;
        let id = f.get("id").and_then(|v| self.unique(v, Ids::Photo));
        let file = f.get("file").and_then(|v| self.image(v));
        let caption = f.get("caption").and_then(|v| self.lines(v, limits::NOTE));
        let circuit = f
            .get("circuit")
            .and_then(|v| self.circuit_named(v, circuits));
        let marks = f.get("marks").map(|v| self.marks(v, circuit, circuits));
        let (circuit, marks) = match marks {
            Some((circuit, marks)) => (circuit, marks),
            None => (circuit, Vec::new()),
        };
        let circuit = circuit.and_then(|i| circuits.get(i)?.id).map(str::to_owned);
        let keep_place = f.get("keep_place").map(|v| self.flag(v));
        Some(Photo {
            id: id?,
            file: file?,
            caption: caption?,
            circuit,
            marks,
            keep_place: keep_place.is_some_and(|kept| kept == Some(true)),
        })
    }

    /// The index of the circuit with this id.
    pub(super) fn circuit_named(&mut self, ix: Ix, circuits: &[Known<'a>]) -> Option<usize> {
        let name = self.scalar(ix, "the id of a circuit")?;
        let found = circuits.iter().position(|c| c.id == Some(name));
        if found.is_none() && circuits.iter().all(|c| c.id.is_some()) {
            let at = self.mark(ix);
            self.unknown_name(at, "circuit", name, circuits.iter().filter_map(|c| c.id));
        }
        found
    }

    /// Marks and the circuit they belong to: the named one, otherwise the only one that has the
    /// first mark's connection.
    fn marks(
        &mut self,
        ix: Ix,
        named: Option<usize>,
        circuits: &[Known<'a>],
    ) -> (Option<usize>, Vec<(String, [f64; 2])>) {
        let Some(entries) = self.named(ix, "mark", Need::May) else {
            return (named, Vec::new());
        };
        if let Some((_, key, _)) = entries.get(limits::MARKS) {
            let at = self.mark(*key);
            self.problem(
                at,
                format!(
                    "this is mark {} of {}; at most {} are allowed",
                    limits::MARKS + 1,
                    entries.len(),
                    limits::MARKS
                ),
                "spread them over several photos",
            );
            return (named, Vec::new());
        }
        let mut circuit = named;
        let mut out = Vec::with_capacity(entries.len());
        for (name, key, value) in entries {
            let at = self.mark(key);
            let known = match circuit {
                Some(i) => circuits.get(i).is_none_or(|c| c.has_connection(name)),
                None => {
                    let mut having = circuits
                        .iter()
                        .enumerate()
                        .filter(|(_, c)| c.has_connection(name));
                    match (having.next(), having.next()) {
                        (Some((i, _)), None) => {
                            circuit = Some(i);
                            true
                        }
                        (Some(_), Some(_)) => {
                            self.problem(
                                at,
                                format!("several circuits have a connection `{}`", shorten(name)),
                                "say which circuit the photo shows: add `circuit: <id>` to it",
                            );
                            return (None, Vec::new());
                        }
                        (None, _) => false,
                    }
                }
            };
            if !known && circuits.iter().all(Known::complete) {
                let all: Vec<&str> = match circuit.and_then(|i| circuits.get(i)) {
                    Some(c) => c.connections().collect(),
                    None => circuits.iter().flat_map(Known::connections).collect(),
                };
                self.unknown_name(at, "connection", name, all.iter().copied());
                continue;
            }
            if let Some(position) = self.position(value) {
                out.push((name.to_owned(), position));
            }
        }
        (circuit, out)
    }

    /// Two numbers from 0 to 1.
    fn position(&mut self, ix: Ix) -> Option<[f64; 2]> {
        const HELP: &str = "write how far to the right and how far down, each from 0 to 1, such \
                            as [0.42, 0.31]";
        let [x, y] = self.tree.items(ix) else {
            let at = self.mark(ix);
            match self.tree.items(ix).len() {
                4 => self.problem(
                    at,
                    "there are four numbers here; a mark has two",
                    "write decimal points instead of commas, such as [0.42, 0.31]",
                ),
                _ => self.problem(at, "a mark is a list of two numbers", HELP),
            }
            return None;
        };
        let mut number = |v: Ix| -> Option<f64> {
            let text = self.scalar(v, "a number")?;
            let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            let value = text
                .parse::<f64>()
                .ok()
                .filter(|n| plain && (0.0..=1.0).contains(n));
            if value.is_none() {
                let at = self.mark(v);
                self.problem(
                    at,
                    format!("`{}` is not a number from 0 to 1", shorten(text)),
                    HELP,
                );
            }
            value
        };
        let (x, y) = (number(*x), number(*y));
        Some([x?, y?])
    }
}
