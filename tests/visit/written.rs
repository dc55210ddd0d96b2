//! A written visit reads back to the same visit.

use crate::any::any_visit;
use crate::good::{DESIGN, FULL};
use crate::world::{SMALL, read, sound};
use proptest::prelude::*;
use warmlug::visit;

#[test]
fn the_files_of_this_folder_come_back() {
    for text in [SMALL, DESIGN, FULL] {
        let visit = sound(text);
        assert_eq!(sound(&visit::write(&visit)), visit);
    }
}

#[test]
fn the_written_file_is_one_that_a_person_would_write() {
    insta::assert_snapshot!("written-design", visit::write(&sound(DESIGN)));
    insta::assert_snapshot!("written-full", visit::write(&sound(FULL)));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_visit_comes_back(visit in any_visit()) {
        let text = visit::write(&visit);
        match read(&text) {
            Ok(again) => prop_assert_eq!(again, visit, "{}", text),
            Err(problems) => prop_assert!(false, "{}\n{}", problems, text),
        }
    }
}
