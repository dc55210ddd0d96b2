//! Faces and images in the file, as resources of the content that uses them.

use std::collections::BTreeMap;

use super::face::Weight;
use super::paint::{face_name, image_name};
use crate::pdf::{Dict, Id, Object};

/// The resources of pages.
pub(super) struct Drawn {
    /// The faces.
    pub faces: Vec<(Weight, Id)>,
    /// The images by their number in the document.
    pub images: BTreeMap<usize, Id>,
}

impl Drawn {
    /// Resources of a page: both faces, and the images on it.
    pub(super) fn resources(&self, used: &[usize]) -> Dict {
        let faces = self
            .faces
            .iter()
            .map(|(w, id)| (face_name(*w), Object::from(*id)));
        let mut dict = Dict::from([("Font", Object::from(Dict::from_iter(faces)))]);
        if !used.is_empty() {
            let mut used = used.to_vec();
            used.sort_unstable();
            let named = used
                .iter()
                .filter_map(|i| Some((image_name(*i), Object::from(*self.images.get(i)?))));
            dict.set("XObject", Dict::from_iter(named));
        }
        dict
    }
}
