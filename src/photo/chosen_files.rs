//! Files that a person selected one by one. Files selected on a phone come without their folder.

use std::collections::HashMap;

/// Files in memory, each under the name with which it was selected.
#[derive(Debug, Default)]
pub struct ChosenFiles(HashMap<String, Vec<u8>>);

impl ChosenFiles {
    /// The file that a visit names: the one with this name, otherwise the only one with the same name
    /// without folders.
    pub fn get(&self, named: &str) -> Option<&[u8]> {
        if let Some(bytes) = self.0.get(named) {
            return Some(bytes);
        }
        let mut fit = self.0.iter().filter(|(name, _)| last(name) == last(named));
        let (_, bytes) = fit.next()?;
        fit.next().is_none().then_some(bytes)
    }

    /// The first of these names for which [`Self::get`] only guesses the file, because another of
    /// the names may mean it too.
    pub fn ambiguous<'a>(
        &self,
        names: impl Iterator<Item = &'a String> + Clone,
    ) -> Option<&'a str> {
        let mut unknown = names.clone().filter(|name| !self.0.contains_key(*name));
        unknown
            .find(|name| {
                let mut others = names.clone().filter(|other| other != name);
                self.get(name).is_some() && others.any(|other| last(other) == last(name))
            })
            .map(String::as_str)
    }
}

impl FromIterator<(String, Vec<u8>)> for ChosenFiles {
    fn from_iter<I: IntoIterator<Item = (String, Vec<u8>)>>(files: I) -> Self {
        Self(files.into_iter().collect())
    }
}

/// A name without its folders.
fn last(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::ChosenFiles;

    fn chosen(names: &[&str]) -> ChosenFiles {
        let files = names
            .iter()
            .map(|n| ((*n).to_owned(), n.as_bytes().to_vec()));
        files.collect()
    }

    #[test]
    fn a_file_is_found_with_and_without_its_folder() {
        let files = chosen(&["panel.jpg", "photos/charger.jpg", "a/x.jpg", "b/x.jpg"]);
        let found = |named| files.get(named).map(String::from_utf8_lossy);
        assert_eq!(found("photos/panel.jpg").as_deref(), Some("panel.jpg"));
        assert_eq!(found("a/x.jpg").as_deref(), Some("a/x.jpg"));
        assert_eq!(found("c/x.jpg"), None);
        assert_eq!(found("other.jpg"), None);
    }

    #[test]
    fn a_file_that_two_names_may_mean_is_not_guessed() {
        let files = chosen(&["x.jpg", "y.jpg"]);
        let ambiguous = |names: &[&str]| {
            let names: Vec<String> = names.iter().map(|n| (*n).to_owned()).collect();
            files.ambiguous(names.iter()).map(str::to_owned)
        };
        assert_eq!(
            ambiguous(&["a/x.jpg", "b/x.jpg"]).as_deref(),
            Some("a/x.jpg")
        );
        assert_eq!(ambiguous(&["x.jpg", "b/x.jpg"]).as_deref(), Some("b/x.jpg"));
        // One photo may be named twice.
        assert_eq!(ambiguous(&["a/x.jpg", "a/x.jpg", "b/y.jpg"]), None);
    }
}
