//! Several equal circuits: copies of one circuit, one for each charger.

use crate::counted_up::counted_up;
use crate::nearest::or;
use crate::visit::{Circuit, Visit, limits};
use thiserror::Error;

/// Why circuits can't be copied.
#[derive(Debug, Error)]
pub enum CopyError {
    /// The visit has no circuit with this id.
    #[error("the visit has no circuit `{id}`; it has {known}")]
    Unknown {
        /// The id.
        id: String,
        /// The ids that it has.
        known: String,
    },
    /// More circuits than a visit may have.
    #[error("a visit has at most {most} circuits; split it into several files")]
    TooMany {
        /// The limit.
        most: usize,
    },
}

/// Adds circuits like the one with the id `like` (the first one if none is given) until there are
/// `count` of them, including the original. Ids and names are numbered consecutively; the charger's
/// serial number is left out.
///
/// # Errors
/// [`CopyError`].
pub fn add(visit: &mut Visit, like: Option<&str>, count: u16) -> Result<(), CopyError> {
    let known = || or(visit.circuits.iter().map(|c| c.id.as_str()), 8);
    let found = match like {
        Some(id) => visit.circuits.iter().position(|c| c.id == id),
        None => (!visit.circuits.is_empty()).then_some(0),
    };
    let at = found.ok_or_else(|| CopyError::Unknown {
        id: like.unwrap_or_default().to_owned(),
        known: known(),
    })?;
    let wanted = usize::from(count.max(1)) - 1;
    if visit.circuits.len() + wanted > limits::CIRCUITS {
        return Err(CopyError::TooMany {
            most: limits::CIRCUITS,
        });
    }
    let mut last = visit.circuits[at].clone();
    for n in 0..wanted {
        let taken = |circuits: &[Circuit], c: &Circuit| {
            circuits
                .iter()
                .any(|other| other.id == c.id || (c.name.is_some() && other.name == c.name))
        };
        loop {
            last.id = counted_up(&last.id, "-");
            last.name = last.name.map(|name| counted_up(&name, " "));
            if !taken(&visit.circuits, &last) {
                break;
            }
        }
        last.charger.serial = None;
        visit.circuits.insert(at + 1 + n, last.clone());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::accepted::Accepted;
    use crate::visit;

    fn starter() -> Visit {
        let text = crate::next::first_visit::STARTER
            .replace("{number}", "2026-0147")
            .replace("{date}", "2026-10-06");
        visit::read(&text, "visit.yaml", &Accepted)
            .map_err(|e| e.to_string())
            .unwrap()
    }

    fn ids(visit: &Visit) -> Vec<&str> {
        visit.circuits.iter().map(|c| c.id.as_str()).collect()
    }

    #[test]
    fn circuits_are_counted_up_after_the_one_that_they_are_like() {
        let mut visit = starter();
        visit.circuits[0].id = "bay-1".into();
        visit.circuits[0].name = Some("Bay 1".into());
        visit.circuits[0].charger.serial = Some("0001".into());
        let mut other = visit.circuits[0].clone();
        (other.id, other.name) = ("bay-3".into(), Some("Gate".into()));
        visit.circuits.push(other);
        add(&mut visit, Some("bay-1"), 3).unwrap();
        assert_eq!(ids(&visit), ["bay-1", "bay-2", "bay-4", "bay-3"]);
        let names: Vec<_> = visit
            .circuits
            .iter()
            .map(|c| c.name.clone().unwrap())
            .collect();
        assert_eq!(names, ["Bay 1", "Bay 2", "Bay 4", "Gate"]);
        assert_eq!(visit.circuits[0].charger.serial.as_deref(), Some("0001"));
        assert_eq!(visit.circuits[1].charger.serial, None);
        // The written file can be read back.
        let text = visit::write(&visit);
        let again = visit::read(&text, "visit.yaml", &Accepted)
            .map_err(|e| e.to_string())
            .unwrap();
        assert_eq!(ids(&again), ids(&visit));
    }

    #[test]
    fn an_unknown_circuit_and_too_many_are_refused() {
        let mut visit = starter();
        let unknown = add(&mut visit, Some("bay-9"), 2).unwrap_err().to_string();
        assert!(unknown.contains("no circuit `bay-9`; it has "), "{unknown}");
        let most = u16::try_from(limits::CIRCUITS).unwrap();
        assert!(add(&mut visit, None, most + 1).is_err());
        assert_eq!(visit.circuits.len(), 1);
        add(&mut visit, None, most).unwrap();
        assert_eq!(visit.circuits.len(), limits::CIRCUITS);
    }
}
