//! The rule sets compiled into the program load, and say where every value comes from.

use warmlug::rules;

#[test]
fn every_built_in_set_loads() {
    for id in rules::built_in_ids() {
        let set = rules::built_in(id).unwrap_or_else(|| panic!("{id} does not load"));
        assert_eq!(set.id, id);
        assert!(set.changes.is_empty());
        assert_eq!(set.extends, None);
    }
    assert!(rules::built_in("elsewhere").is_none());
}
