//! The pages of every example in every language on both papers, read back from the file: how many they
//! are, where tables and headings are on them, and how full the last one is.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::compose_common::{Case, EXAMPLES, read};
use crate::pdf_common::Pdf;
use warmlug::compose::Wording;
use warmlug::pdf::{Id, Object};
use warmlug::photo::Folder;
use warmlug::typeset;
use warmlug::visit::{LANGUAGES, Paper};

/// A table lower than this share of a page is on one page, its columns counted below each other.
const WHOLE_TABLE: f32 = 0.25;
/// The first part of a table that is cut has at least this share of a page: with less, the table
/// could as well begin on the next page.
const LEAST_PART: f32 = 0.1;
/// Maximum size of a certificate of one circuit without its photos and its seal, so that growth is
/// noticed. The aim is 50,000 bytes, which only `limited-visit` reaches.
const MOST_BYTES: usize = 64_000;
/// The last page is filled to this share of its height at least.
const LAST_PAGE: f32 = 1.0 / 3.0;

/// An example printed in a language on a paper, in the units of its file.
fn example(name: &str, languages: &[&str], paper: Paper) -> Case {
    let folder = Path::new("examples").join(name);
    let text = |path: &Path| std::fs::read_to_string(path).unwrap();
    let source = text(&folder.join("visit.yaml"));
    let visit = read(&source);
    let earlier: Vec<_> = visit
        .earlier
        .iter()
        .map(|path| read(&text(&folder.join(path))))
        .collect();
    let mut case = Case::new(&source, &earlier);
    case.visit.print.paper = paper;
    case.visit.print.language = languages.iter().map(|l| (*l).to_owned()).collect();
    case.wording = Wording::built_in(languages[0]).unwrap();
    case
}

/// Where a text begins: the page, and points from its left edge and above its foot.
#[derive(Debug, Clone, Copy)]
struct Spot {
    page: usize,
    x: f32,
    y: f32,
}

/// A node of the structure with what is below it.
struct Node {
    role: String,
    kids: Vec<Node>,
    /// Where its own text begins.
    spots: Vec<Spot>,
}

impl Node {
    fn read(pdf: &Pdf, id: Id, spots: &BTreeMap<(Id, i64), Vec<Spot>>) -> Node {
        let dict = pdf.dict(id);
        let page = dict.get(b"Pg").and_then(Object::as_reference);
        let mut node = Node {
            role: String::from_utf8_lossy(dict.name(b"S").unwrap()).into_owned(),
            kids: Vec::new(),
            spots: Vec::new(),
        };
        let kids = match dict.get(b"K") {
            Some(Object::Array(kids)) => kids.clone(),
            Some(kid) => vec![kid.clone()],
            None => Vec::new(),
        };
        let mut own = |page: Id, mcid: i64| {
            node.spots
                .extend(spots.get(&(page, mcid)).into_iter().flatten());
        };
        for kid in kids {
            match kid {
                Object::Integer(mcid) => own(page.unwrap(), mcid),
                Object::Reference(kid) => node.kids.push(Node::read(pdf, kid, spots)),
                Object::Dictionary(dict) => {
                    if let Some(mcid) = dict.get(b"MCID").and_then(Object::as_integer) {
                        own(dict.get(b"Pg").unwrap().as_reference().unwrap(), mcid);
                    }
                }
                other => panic!("{other:?}"),
            }
        }
        node
    }

    /// Where all text of it begins.
    fn all(&self) -> Vec<Spot> {
        let mut all = self.spots.clone();
        all.extend(self.kids.iter().flat_map(Node::all));
        all
    }

    fn pages(&self) -> BTreeSet<usize> {
        self.all().iter().map(|spot| spot.page).collect()
    }

    /// The nodes of a role below it.
    fn below<'n>(&'n self, role: &str, found: &mut Vec<&'n Node>) {
        for kid in &self.kids {
            if kid.role == role {
                found.push(kid);
            }
            kid.below(role, found);
        }
    }
}

/// The pages of a file as far as the tests ask.
struct Pages {
    count: usize,
    bytes: usize,
    /// Height of the paper.
    height: f32,
    root: Node,
    /// The lowest marked text of the last page.
    lowest: f32,
}

fn number(object: &Object) -> f32 {
    match object {
        Object::Integer(i) => *i as f32,
        Object::Real(digits) => std::str::from_utf8(digits).unwrap().parse().unwrap(),
        other => panic!("{other:?} is not a number"),
    }
}

impl Pages {
    fn of(name: &str, case: &Case) -> Pages {
        let mut document = case.certificate();
        // The pictures stand in for the photos, so they get their shapes.
        let folder = Folder::new(&Path::new("examples").join(name)).unwrap();
        for (image, photo) in document.images.iter_mut().zip(&case.visit.photos) {
            let facts = folder.image(&photo.file).unwrap();
            (image.width, image.height) = (facts.width, facts.height);
        }
        let rendered = typeset::render(&document).unwrap();
        let pdf = Pdf::load(&rendered);
        let pages = pdf.pages();
        let mut spots: BTreeMap<(Id, i64), Vec<Spot>> = BTreeMap::new();
        for (number_of, page) in pages.iter().enumerate() {
            let (mut x, mut y) = (0.0, 0.0);
            let mut mark = None;
            for (operands, operator) in pdf.operations(*page) {
                match operator.as_str() {
                    "BT" => (x, y) = (0.0, 0.0),
                    "Td" => {
                        x += number(&operands[0]);
                        y += number(&operands[1]);
                    }
                    "BDC" => {
                        let properties = operands.get(1).and_then(Object::as_dictionary);
                        mark = properties.and_then(|d| d.integer(b"MCID"));
                    }
                    "BMC" | "EMC" => mark = None,
                    "Tj" => {
                        if let Some(mcid) = mark {
                            let spot = Spot {
                                page: number_of,
                                x,
                                y,
                            };
                            spots.entry((*page, mcid)).or_default().push(spot);
                        }
                    }
                    _ => {}
                }
            }
        }
        let root = pdf.follow(pdf.catalog().get(b"StructTreeRoot").unwrap());
        let root = root.as_dictionary().unwrap().get(b"K").unwrap();
        let root = Node::read(&pdf, root.as_reference().unwrap(), &spots);
        let last = root.all().into_iter().filter(|s| s.page + 1 == pages.len());
        Pages {
            count: pages.len(),
            bytes: rendered.len(),
            height: match case.visit.print.paper {
                Paper::Letter => 792.0,
                Paper::A4 => 842.0,
            },
            lowest: last.map(|spot| spot.y).fold(f32::MAX, f32::min),
            root,
        }
    }

    /// Tables that are cut although they are low, or with a single row on a page.
    fn cut(&self) -> Vec<String> {
        let mut tables = Vec::new();
        self.root.below("Table", &mut tables);
        let mut faults = Vec::new();
        for table in tables {
            let mut rows = Vec::new();
            table.below("TR", &mut rows);
            let places: Vec<(usize, f32, f32)> = rows
                .iter()
                .map(|row| {
                    let all = row.all();
                    let left = all.iter().map(|s| s.x).fold(f32::MAX, f32::min);
                    let top = all.iter().map(|s| s.y).fold(0.0, f32::max);
                    (all[0].page, left, top)
                })
                .collect();
            let pages = table.pages();
            if pages.len() == 1 {
                continue;
            }
            // Rows follow one another, below or in another column.
            let line = 12.0;
            let height = |places: &[(usize, f32, f32)]| -> f32 {
                let steps = places.windows(2).map(|pair| match (pair[0], pair[1]) {
                    ((p, _, above), (q, _, below)) if p == q && below < above => above - below,
                    _ => line,
                });
                (steps.sum::<f32>() + line) / self.height
            };
            let share = height(&places);
            let begins = places.partition_point(|place| place.0 == places[0].0);
            let part = height(&places[..begins]);
            let on = |page: &usize| places.iter().filter(|(p, ..)| p == page).count();
            let early = share < 0.8 && part < LEAST_PART;
            if share < WHOLE_TABLE || early || pages.iter().any(|page| on(page) < 2) {
                let rows: Vec<usize> = pages.iter().map(on).collect();
                faults.push(format!(
                    "rows {rows:?} on pages {pages:?}, {share:.2} of a page, {part:.2} on the first"
                ));
            }
        }
        faults
    }

    /// Headings after which the page ends.
    fn left_behind(&self) -> Vec<String> {
        let mut faults = Vec::new();
        let kids: Vec<&Node> = self.root.kids.iter().collect();
        for (i, heading) in kids.iter().enumerate() {
            if !matches!(heading.role.as_str(), "H1" | "H2" | "H3") {
                continue;
            }
            let next = kids[i + 1..].iter().find(|node| !node.all().is_empty());
            let (Some(end), Some(next)) = (heading.pages().pop_last(), next) else {
                continue;
            };
            if next.pages().first() != Some(&end) {
                faults.push(format!("{} number {i} ends page {}", heading.role, end + 1));
            }
        }
        faults
    }

    /// How full the last page is, of its height between the margins.
    fn last(&self) -> f32 {
        (self.height - 40.0 - self.lowest) / (self.height - 88.0)
    }
}

/// What is wrong with the pages of a case.
fn faults(name: &str, case: &Case, most: usize) -> Vec<String> {
    let pages = Pages::of(name, case);
    let print = &case.visit.print;
    let mut faults = pages.cut();
    faults.extend(pages.left_behind());
    if pages.count > most {
        faults.push(format!("{} pages", pages.count));
    }
    let one = case.visit.circuits.len() == 1 && print.language.len() == 1;
    if one && pages.bytes > MOST_BYTES {
        faults.push(format!("{} bytes", pages.bytes));
    }
    if pages.count > 1 && pages.last() < LAST_PAGE {
        faults.push(format!("the last page is filled to {:.2}", pages.last()));
    }
    let of = format!("{name}, {:?}, {:?}", print.language, print.paper);
    faults
        .iter()
        .map(|fault| format!("{of}: {fault}"))
        .collect()
}

/// Pages at most: the aim of the layout, with no source outside the project.
fn most(name: &str) -> usize {
    if name == "landlord-six" { 9 } else { 5 }
}

#[test]
fn every_example_has_few_pages_that_end_well_in_every_language() {
    let mut all = Vec::new();
    for name in EXAMPLES {
        for language in LANGUAGES {
            for paper in [Paper::Letter, Paper::A4] {
                let case = example(name, &[language], paper);
                all.extend(faults(name, &case, most(name)));
            }
        }
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn a_second_language_adds_its_own_result_page_alone() {
    let mut all = Vec::new();
    for name in EXAMPLES {
        for (i, language) in LANGUAGES.iter().enumerate() {
            let second = LANGUAGES[(i + 1) % LANGUAGES.len()];
            let case = example(name, &[language, second], Paper::Letter);
            all.extend(faults(name, &case, most(name) + 1));
        }
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}
