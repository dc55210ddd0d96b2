//! What the tests of the composed certificate share: the examples as they are assessed, and a
//! document written out as readable text.

#![allow(dead_code)] // Each test uses a part.
#![allow(clippy::unwrap_used, clippy::panic)]

use chrono::{DateTime, FixedOffset, NaiveDate};
use std::fmt::Write;
use std::path::Path;
use warmlug::assess::{self, Assessment, Earlier};
use warmlug::compose::document::{Axis, Block, Document, Signal, Table, Text};
use warmlug::compose::{Images, Inputs, SealFacts, Wording, certificate};
use warmlug::photo::{Kind, PreparedImage};
use warmlug::rules::{self, Rules};
use warmlug::visit::{self, ImageError, ImageFacts, Surroundings, Visit};

pub mod made_up;

/// The examples, by the name of their folder.
pub const EXAMPLES: [&str; 6] = [
    "townhouse-first",
    "townhouse-return",
    "receptacle-aluminium",
    "limited-visit",
    "carport-three-phase",
    "landlord-six",
];

/// A day after all examples, every picture present, the certificate's own font.
struct World;

impl Surroundings for World {
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2030, 1, 1).unwrap()
    }
    fn image(&self, _: &str) -> Result<ImageFacts, ImageError> {
        Ok(ImageFacts {
            width: 1200,
            height: 900,
        })
    }
    fn prints(&self, c: char) -> bool {
        warmlug::typeset::prints(c)
    }
}

/// A visit with everything that a certificate is made from.
pub struct Case {
    pub source: String,
    pub visit: Visit,
    pub assessment: Assessment,
    pub rules: &'static Rules,
    pub built_in: Vec<assess::ByBuiltIn>,
    pub wording: &'static Wording,
}

#[track_caller]
pub fn read(source: &str) -> Visit {
    match visit::read(source, "visit.yaml", &World) {
        Ok(visit) => visit,
        Err(problems) => panic!("{problems}"),
    }
}

impl Case {
    /// Draws from the checks what follows from them, after a test has changed these.
    pub fn conclude(&mut self) {
        assess::conclude(&mut self.assessment, &self.visit, self.rules);
    }

    /// A visit from its text, compared with earlier ones.
    #[track_caller]
    pub fn new(source: &str, earlier: &[Visit]) -> Self {
        Self::judged(source, earlier, None)
    }

    /// A visit from its text, judged by rules other than those that it names.
    #[track_caller]
    fn judged(source: &str, earlier: &[Visit], rules: Option<&'static Rules>) -> Self {
        let visit = read(source);
        let rules = rules.unwrap_or_else(|| rules::built_in(&visit.rules).unwrap());
        let assessed = |rules: &Rules| -> Vec<Earlier> {
            let earlier = earlier.iter();
            earlier
                .map(|v| Earlier::new(v, &assess::assess(v, rules, &[])))
                .collect()
        };
        let assessment = assess::assess(&visit, rules, &assessed(rules));
        let again = |rules: &Rules| Ok::<_, std::convert::Infallible>(assessed(rules));
        Case {
            source: source.to_owned(),
            built_in: assess::by_built_in(&visit, rules, &assessment, again).unwrap(),
            assessment,
            visit,
            rules,
            wording: Wording::built_in("en").unwrap(),
        }
    }

    /// One of the examples, with the visits that it points to.
    #[track_caller]
    pub fn example(name: &str) -> Self {
        let folder = Path::new("examples").join(name);
        let text = |path: &Path| std::fs::read_to_string(path).unwrap();
        let source = text(&folder.join("visit.yaml"));
        let earlier: Vec<Visit> = read(&source)
            .earlier
            .iter()
            .map(|path| read(&text(&folder.join(path))))
            .collect();
        Self::new(&source, &earlier)
    }

    /// One of the examples, printed in SI units in these languages.
    #[track_caller]
    pub fn in_languages(name: &str, languages: &[&str]) -> Self {
        Self::by_rules(name, languages, None)
    }

    /// The same, judged by rules other than those that the visit file names.
    #[track_caller]
    pub fn by_rules(name: &str, languages: &[&str], rules: Option<&'static Rules>) -> Self {
        let folder = Path::new("examples").join(name);
        let text = |path: &Path| std::fs::read_to_string(path).unwrap();
        let source = text(&folder.join("visit.yaml"));
        let print = format!(
            "print: {{ units: si, paper: a4, language: [{}] }}\n",
            languages.join(", ")
        );
        let others = source
            .lines()
            .filter(|line| !line.starts_with("print:"))
            .map(|line| format!("{line}\n"));
        let source: String = std::iter::once(print).chain(others).collect();
        let earlier: Vec<Visit> = read(&source)
            .earlier
            .iter()
            .map(|path| read(&text(&folder.join(path))))
            .collect();
        let mut case = Self::judged(&source, &earlier, rules);
        case.wording = Wording::built_in(languages[0]).unwrap();
        case
    }

    /// The same visit printed in the other units.
    #[track_caller]
    pub fn in_si(mut self) -> Self {
        self.visit.print.units = visit::Units::Si;
        self
    }

    pub fn speaker(&self) -> warmlug::compose::Speaker<'_> {
        warmlug::compose::Speaker::new(&self.visit, &self.assessment, self.rules, self.wording)
    }

    pub fn json(&self) -> serde_json::Value {
        warmlug::compose::json(&self.assessment, &self.visit, self.rules, self.wording)
    }

    /// The signed certificate.
    #[track_caller]
    pub fn certificate(&self) -> Document {
        self.sealed_by(seal())
    }

    /// The certificate that names a key.
    #[track_caller]
    pub fn sealed_by(&self, seal: SealFacts) -> Document {
        certificate(Inputs {
            visit: &self.visit,
            assessment: &self.assessment,
            rules: self.rules,
            built_in: &self.built_in,
            wording: self.wording,
            images: self.images(),
            created: seal.time,
            seal: Some(seal),
            draft: false,
            source: self.source.as_bytes(),
        })
        .unwrap()
    }

    pub fn images(&self) -> Images {
        let picture = |n: u8| PreparedImage {
            bytes: vec![n].into(),
            kind: Kind::Jpeg { untouched: true },
            components: 3,
            palette: None,
            width: 1200,
            height: 900,
            sha256_of_original: [n; 32],
            taken: warmlug::photo::Taken::default(),
        };
        Images {
            photos: (0u8..).map(picture).take(self.visit.photos.len()).collect(),
            logo: self.visit.inspector.logo.as_ref().map(|_| picture(200)),
            signature: self
                .visit
                .inspector
                .signature_image
                .as_ref()
                .map(|_| picture(201)),
        }
    }
}

pub fn time() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-10-06T17:30:00-05:00").unwrap()
}

pub fn seal() -> SealFacts {
    SealFacts {
        signer: "Maren Ody".to_owned(),
        firm: Some("Brindlewick Electric".to_owned()),
        licence: Some("EL-00417".to_owned()),
        time: time(),
        fingerprint: "3F2A 91C0 77DE 15B8".to_owned(),
        self_signed: true,
    }
}

/// A document as text: every block, cell and alternate text, in reading order.
pub fn readable(document: &Document) -> String {
    let mut out = String::new();
    let about = &document.about;
    writeln!(out, "title       {}", about.title).unwrap();
    writeln!(out, "author      {}", about.author).unwrap();
    writeln!(out, "subject     {}", about.subject).unwrap();
    writeln!(out, "language    {}", about.language).unwrap();
    writeln!(
        out,
        "letterhead  {} | {}",
        document.letterhead.name,
        document.letterhead.lines.join(" | ")
    )
    .unwrap();
    writeln!(
        out,
        "foot        {} | {} | {}",
        document.running_left, document.running_middle, document.running_right
    )
    .unwrap();
    if let Some(draft) = &document.draft {
        writeln!(out, "draft       {draft}").unwrap();
    }
    for block in &document.body {
        out.push('\n');
        write_block(&mut out, block);
    }
    out.push('\n');
    for a in &document.attachments {
        writeln!(
            out,
            "[attached {} {} {}: {}]",
            a.name, a.mime, a.relationship, a.description
        )
        .unwrap();
    }
    out
}

/// The body's words without the sources that are cited, which keep the units they were
/// published in.
pub fn words(document: &Document, cited: &[&str]) -> String {
    let mut text = readable(document);
    for source in cited {
        text = text.replace(source, "");
    }
    text
}

const fn mark(signal: Signal) -> &'static str {
    match signal {
        Signal::Good => "(good)",
        Signal::Notice => "(notice)",
        Signal::Caution => "(caution)",
        Signal::Warning => "(warning)",
        Signal::Danger => "(danger)",
        Signal::Unknown => "(unknown)",
    }
}

fn spans(text: &Text) -> String {
    text.0
        .iter()
        .map(|s| {
            let mut out = s.signal.map_or(String::new(), |m| format!("{} ", mark(m)));
            if s.strong {
                write!(out, "*{}*", s.text).unwrap();
            } else {
                out.push_str(&s.text);
            }
            if let Some(link) = &s.link {
                write!(out, " -> {link}").unwrap();
            }
            out
        })
        .collect()
}

fn write_block(out: &mut String, block: &Block) {
    match block {
        Block::Heading {
            level,
            text,
            anchor,
        } => {
            let anchor = anchor.as_ref().map_or(String::new(), |a| format!(" #{a}"));
            writeln!(out, "{} {text}{anchor}", "=".repeat(usize::from(*level))).unwrap();
        }
        Block::Paragraph(text) => writeln!(out, "{}", spans(text)).unwrap(),
        Block::Small(text) => writeln!(out, "[small] {}", spans(text)).unwrap(),
        Block::List { numbered, items } => {
            for (i, item) in items.iter().enumerate() {
                if *numbered {
                    writeln!(out, "{}. {}", i + 1, spans(item)).unwrap();
                } else {
                    writeln!(out, "- {}", spans(item)).unwrap();
                }
            }
        }
        Block::Facts(facts) => {
            for (name, value) in facts {
                writeln!(out, "{name}: {}", spans(value)).unwrap();
            }
        }
        Block::Verdict {
            signal,
            title,
            text,
        } => {
            writeln!(out, "[verdict] {} {title}", mark(*signal)).unwrap();
            for t in text {
                writeln!(out, "  {}", spans(t)).unwrap();
            }
        }
        Block::Caution {
            signal,
            title,
            numbered,
            items,
        } => {
            writeln!(out, "[caution] {} {title}", mark(*signal)).unwrap();
            for (i, t) in items.iter().enumerate() {
                let bullet = if *numbered {
                    format!("{}.", i + 1)
                } else {
                    "-".to_owned()
                };
                writeln!(out, "  {bullet} {}", spans(t)).unwrap();
            }
        }
        Block::Table(table) => write_table(out, table),
        Block::Chart(chart) => {
            writeln!(out, "[chart] {}", chart.title).unwrap();
            writeln!(out, "  alt: {}", chart.alt).unwrap();
            write_axis(out, "x", &chart.x);
            write_axis(out, "y", &chart.y);
            for s in &chart.series {
                let points: Vec<String> = s
                    .points
                    .iter()
                    .zip(&s.intervals)
                    .map(|([x, y], u)| match u {
                        Some(u) => format!("({x:.1}, {y:.1} ± {u:.1})"),
                        None => format!("({x:.1}, {y:.1})"),
                    })
                    .collect();
                write!(out, "  {} leg {:?}: {}", s.label, s.leg, points.join(" ")).unwrap();
                if let (Some(first), Some(last)) = (s.curve.first(), s.curve.last()) {
                    write!(
                        out,
                        " curve ({:.1}, {:.1}) .. ({:.1}, {:.1})",
                        first[0], first[1], last[0], last[1]
                    )
                    .unwrap();
                }
                if let Some((at, u)) = s.settled {
                    write!(out, " settled {at:.1} ± {u:.1}").unwrap();
                }
                out.push('\n');
            }
            for (at, label) in &chart.limits {
                writeln!(out, "  limit {at:.1}: {label}").unwrap();
            }
        }
        Block::Strip(strip) => {
            writeln!(out, "[strip] {}", strip.title).unwrap();
            writeln!(out, "  alt: {}", strip.alt).unwrap();
            writeln!(out, "  axis: {}", strip.axis).unwrap();
            for (label, value, u, limit, signal) in &strip.items {
                writeln!(
                    out,
                    "  {} {label}: {value:.1} ± {u:.1} of {limit:.1}",
                    mark(*signal)
                )
                .unwrap();
            }
        }
        Block::Diagram(diagram) => {
            writeln!(out, "[diagram] {}", diagram.title).unwrap();
            writeln!(out, "  alt: {}", diagram.alt).unwrap();
            for (i, node) in diagram.nodes.iter().enumerate() {
                let connections: Vec<String> = node
                    .connections
                    .iter()
                    .map(|(n, s)| format!("{n}{}", mark(*s)))
                    .collect();
                writeln!(
                    out,
                    "  {} | {} | {}",
                    node.name,
                    node.detail,
                    connections.join(" ")
                )
                .unwrap();
                if let Some(run) = diagram.runs.get(i).filter(|r| !r.is_empty()) {
                    writeln!(out, "  -- {run}").unwrap();
                }
            }
        }
        Block::Photo(photo) => {
            writeln!(out, "[photo {}] {}", photo.image, photo.caption).unwrap();
            writeln!(out, "  alt: {}", photo.alt).unwrap();
            for (n, [x, y], label) in &photo.marks {
                writeln!(out, "  {n} at {x:.2}, {y:.2}: {label}").unwrap();
            }
        }
        Block::Label(label) => {
            writeln!(out, "[label] {} {}", mark(label.signal), label.title).unwrap();
            writeln!(out, "  {}\n  {}", label.from, label.charging).unwrap();
            for fact in &label.facts {
                writeln!(out, "  {}: {}", fact.name, fact.value).unwrap();
            }
            writeln!(out, "  {}\n  {}", label.check, label.note).unwrap();
        }
        Block::Countersignatures(places) => {
            for place in places {
                writeln!(out, "[field {}] {}: {}", place.field, place.who, place.alt).unwrap();
            }
        }
        Block::Seal(seal) => {
            writeln!(out, "[seal] image {:?}", seal.image).unwrap();
            for line in &seal.lines {
                writeln!(out, "  {}", spans(line)).unwrap();
            }
            writeln!(out, "  alt: {}", seal.alt).unwrap();
            if let Some(code) = &seal.code {
                writeln!(out, "  [code of {} modules] {}", code.side, code.alt).unwrap();
            }
        }
        Block::Columns(columns) => writeln!(out, "[{columns:?}]").unwrap(),
        Block::NewPage => writeln!(out, "[new page]").unwrap(),
        Block::Language(language) => writeln!(out, "[in {language}]").unwrap(),
    }
}

fn write_axis(out: &mut String, name: &str, axis: &Axis) {
    writeln!(out, "  {name}: {}", axis.label).unwrap();
}

fn write_table(out: &mut String, table: &Table) {
    writeln!(out, "[table] {}", table.caption).unwrap();
    let heads: Vec<String> = table
        .columns
        .iter()
        .map(|c| match &c.unit {
            Some(unit) => format!("{} [{unit}]", c.head),
            None => c.head.clone(),
        })
        .collect();
    writeln!(out, "  {}", heads.join(" | ")).unwrap();
    for row in &table.rows {
        let cells: Vec<String> = row.cells.iter().map(spans).collect();
        let rule = if row.group { "_" } else { " " };
        writeln!(out, " {rule}{}", cells.join(" | ")).unwrap();
    }
}
