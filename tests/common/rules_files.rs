//! Rules files of a firm, made from the built-in sets.

/// A built-in set written out as a firm's complete file, under an id of its own.
pub fn whole_rules(built_in: &str, id: &str) -> String {
    let file = format!("templates/rules/{built_in}.yaml");
    let text = std::fs::read_to_string(file).unwrap();
    let lines = text.lines().filter(|l| !l.trim().starts_with("checked:"));
    let own = lines.map(|line| match line {
        _ if line == format!("id: {built_in}") => format!("id: {id:?}\n"),
        _ if line.starts_with("title: ") => {
            format!("title: This firm's copy of the set {built_in}\n")
        }
        _ => line.replace(", checked: common-practice", "") + "\n",
    });
    own.collect()
}
