//! The whole file: its parts in order of their dependencies, and the keys at its end.

use super::entry::read_map;
use super::keys;
use super::limits;
use super::model::{Circuit, Judgement, Visit};
use super::read_circuit::Known;
use super::reader::{Fields, Need, Reader};
use crate::yaml::Ix;
use std::collections::HashMap;

impl<'a> Reader<'a, '_> {
    /// The visit; `None` after a problem (a visit may also be returned together with a problem, and
    /// must not be used then).
    pub(super) fn file(&mut self) -> Option<Visit> {
        let root = self.tree.root;
        let start = crate::yaml::Span::at(self.mark(root).start as usize);
        let f = self.fields(root, &keys::FILE, Some(start))?;
        // A missing key of `visit:` is reported at that key, whose value is the map.
        let blame = |r: &Self, key: &str| {
            let entry = r
                .tree
                .entries(root)
                .iter()
                .find(|(k, _)| r.peek(*k) == Some(key));
            entry.map_or(start, |(k, _)| r.mark(*k))
        };
        if let Some(v) = f.get("units") {
            self.bare_units(v);
        }
        let at = blame(self, "visit");
        let head = f.get("visit").and_then(|v| self.head(v, at));
        let print = self.print(f.get("print"), head.as_ref().map(|h| h.rules.as_str()));
        let at = blame(self, "inspector");
        let inspector = f.get("inspector").and_then(|v| read_map(self, v, Some(at)));
        let at = blame(self, "client");
        let client = f.get("client").and_then(|v| read_map(self, v, Some(at)));
        let at = blame(self, "site");
        let site = f.get("site").and_then(|v| read_map(self, v, Some(at)));
        let instruments = f
            .get("instruments")
            .map(|v| self.instruments(v))
            .unwrap_or_default();
        let known_instruments = self.known_instruments(f.get("instruments"));
        let (circuits, known) = match f.get("circuits") {
            Some(v) => self.circuits(v, &known_instruments),
            None => (None, Vec::new()),
        };
        let photos = f
            .get("photos")
            .map(|v| self.photos(v, &known))
            .unwrap_or_default();
        let earlier = f
            .get("earlier")
            .map(|v| self.earlier(v))
            .unwrap_or_default();
        let judgement = f
            .get("judgement")
            .map(|v| self.judgements(v, &known))
            .unwrap_or_default();
        let remarks = f
            .get("remarks")
            .and_then(|v| self.lines(v, limits::REMARKS));
        let cut_short = f.get("cut_short").and_then(|v| read_map(self, v, None));
        let head = head?;
        Some(Visit {
            number: head.number,
            date: head.date,
            reason: head.reason,
            rules: head.rules,
            firm: head.firm,
            edition: head.edition,
            zone: head.zone,
            replaces: head.replaces,
            print: print?,
            inspector: inspector?,
            client: client?,
            site: site?,
            instruments,
            circuits: circuits?,
            photos,
            earlier,
            judgement,
            remarks,
            cut_short,
        })
    }

    fn circuits(
        &mut self,
        ix: Ix,
        instruments: &super::read_circuit::KnownInstruments<'a>,
    ) -> (Option<Vec<Circuit>>, Vec<Known<'a>>) {
        let Some(items) = self.list(ix, "circuit", limits::CIRCUITS, Need::Must) else {
            return (None, Vec::new());
        };
        let known: Vec<Known<'a>> = items.iter().map(|item| self.known(*item)).collect();
        let total: usize = known.iter().map(|k| k.connections().count()).sum();
        if total > limits::CONNECTIONS {
            let at = self.mark(ix);
            self.problem(
                at,
                format!(
                    "the circuits have {total} connections; at most {} are allowed",
                    limits::CONNECTIONS
                ),
                "split the visit into several files",
            );
            return (None, known);
        }
        self.names_apart(items);
        let circuits: Vec<Option<Circuit>> = items
            .iter()
            .zip(&known)
            .map(|(item, known)| self.circuit(*item, known, instruments))
            .collect();
        (circuits.into_iter().collect(), known)
    }

    /// Circuits with the same name cannot be distinguished on the page, which does not show ids.
    fn names_apart(&mut self, circuits: &[Ix]) {
        let mut names: HashMap<&str, Ix> = HashMap::new();
        for circuit in circuits {
            let Some(ix) = self.tree.get(*circuit, "name") else {
                continue;
            };
            let Some(name) = self.peek(ix) else { continue };
            let Some(first) = names.insert(name.trim(), ix) else {
                continue;
            };
            let (at, line) = (self.mark(ix), self.line(first));
            self.problem(
                at,
                format!("the circuit in line {line} has the same name"),
                "give each circuit a name that tells the reader which one it is",
            );
        }
    }

    fn earlier(&mut self, ix: Ix) -> Vec<String> {
        let Some(items) = self.list(ix, "earlier certificate", limits::EARLIER, Need::May) else {
            return Vec::new();
        };
        items.iter().filter_map(|item| self.path(*item)).collect()
    }

    fn judgements(&mut self, ix: Ix, circuits: &[Known<'a>]) -> Vec<Judgement> {
        let items = self.list(ix, "judgement", limits::ENTRIES, Need::May);
        items
            .unwrap_or_default()
            .iter()
            .filter_map(|item| self.checked(*item, &mut |r, f| r.subject(f, circuits)))
            .collect()
    }

    /// Checks that what a judgement is about exists.
    fn subject(&mut self, f: &Fields, circuits: &[Known<'a>]) {
        let circuit = f
            .get("circuit")
            .and_then(|v| self.circuit_named(v, circuits));
        let among = match circuit.and_then(|i| circuits.get(i..=i)) {
            Some(one) => one,
            None => circuits,
        };
        if !among.iter().all(Known::complete) {
            return;
        }
        if let Some(v) = f.get("place")
            && let Some(name) = self.peek(v)
            && !among.iter().any(|c| c.has_place(name))
        {
            let all: Vec<&str> = among.iter().flat_map(Known::places).collect();
            self.unknown_name(self.mark(v), "place", name, all.into_iter());
        }
        if let Some(v) = f.get("connection")
            && let Some(name) = self.peek(v)
            && !among.iter().any(|c| c.has_connection(name))
        {
            let all: Vec<&str> = among.iter().flat_map(Known::connections).collect();
            self.unknown_name(self.mark(v), "connection", name, all.into_iter());
        }
    }
}
