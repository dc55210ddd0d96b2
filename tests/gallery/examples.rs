//! The example visits, all the way from their files.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset, NaiveDate};
use warmlug::assess::{Earlier, assess};
use warmlug::compose::document::Columns;
use warmlug::compose::{Images, Inputs, SealFacts, Wording, certificate};
use warmlug::photo::{Detail, Folder, Placement, Subject};
use warmlug::typeset::{Printed, printed_width_mm};
use warmlug::visit::Visit;
use warmlug::visit::surroundings::{ImageError, ImageFacts, Surroundings};

struct World(Folder);

impl Surroundings for World {
    fn today(&self) -> NaiveDate {
        NaiveDate::MAX
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.0.image(path)
    }
    fn prints(&self, c: char) -> bool {
        warmlug::typeset::prints(c)
    }
}

/// Time of signing.
pub fn signed_at() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-10-06T11:30:00-04:00").unwrap()
}

/// Names of the example visits.
pub fn names() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(root())
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.join("visit.yaml").exists())
        .map(|p| p.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

/// A visit with its source and the images beside it.
fn read(file: &Path) -> (Visit, String, World) {
    let source = std::fs::read_to_string(file).unwrap();
    let world = World(Folder::new(file.parent().unwrap()).unwrap());
    let visit = warmlug::visit::read(&source, "visit.yaml", &world)
        .unwrap_or_else(|e| panic!("{}: {e:?}", file.display()));
    (visit, source, world)
}

/// The visit of the gallery in one language, its result page repeated in the others.
pub fn in_language(language: &str) -> warmlug::compose::Document {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/gallery/languages");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let mut source = text("visit.yaml");
    for line in text(&format!("{language}.yaml")).lines() {
        let (name, words) = line.split_once(": ").unwrap();
        source = source.replace(&format!("{{{name}}}"), words);
    }
    let second = if language == "en" { "de" } else { "en" };
    source = source.replace("{languages}", &format!("[{language}, {second}]"));
    let world = World(Folder::new(&folder).unwrap());
    let visit = warmlug::visit::read(&source, language, &world).unwrap_or_else(|e| panic!("{e}"));
    of(&folder, visit, &source, &world)
}

/// The certificate of an example.
pub fn document(name: &str) -> warmlug::compose::Document {
    let folder = root().join(name);
    let (visit, source, world) = read(&folder.join("visit.yaml"));
    of(&folder, visit, &source, &world)
}

fn of(folder: &Path, visit: Visit, source: &str, world: &World) -> warmlug::compose::Document {
    let rules = warmlug::rules::built_in(&visit.rules).unwrap();
    let earlier: Vec<Earlier> = visit
        .earlier
        .iter()
        .map(|file| {
            let (before, ..) = read(&folder.join(file));
            Earlier::new(&before, &assess(&before, rules, &[]))
        })
        .collect();
    let assessment = assess(&visit, rules, &earlier);
    let prepare = |path: &str, printed: Printed, subject: Subject| {
        let facts = world.0.image(path).unwrap();
        let width_mm = printed_width_mm(printed, visit.print.paper, facts.width, facts.height);
        let detail = Detail::Print;
        world
            .0
            .prepare(
                path,
                Placement {
                    width_mm,
                    detail,
                    subject,
                },
            )
            .unwrap()
    };
    let abreast = Columns::of_largest_photos(visit.print.appendix);
    let images = Images {
        photos: visit
            .photos
            .iter()
            .map(|p| prepare(&p.file, Printed::Photo { abreast }, Subject::Photo))
            .collect(),
        logo: visit
            .inspector
            .logo
            .as_ref()
            .map(|p| prepare(p, Printed::Logo, Subject::LineArt)),
        signature: visit
            .inspector
            .signature_image
            .as_ref()
            .map(|p| prepare(p, Printed::Signature, Subject::LineArt)),
    };
    certificate(Inputs {
        visit: &visit,
        assessment: &assessment,
        rules,
        built_in: &[],
        wording: Wording::built_in(visit.print.main_language()).unwrap(),
        images,
        seal: Some(seal(&visit)),
        draft: false,
        created: signed_at(),
        source: source.as_bytes(),
    })
    .unwrap()
}

fn seal(visit: &Visit) -> SealFacts {
    SealFacts {
        signer: visit.inspector.name.clone(),
        firm: visit.inspector.firm.clone(),
        licence: visit.inspector.licence.clone(),
        time: signed_at(),
        fingerprint:
            "3f9a 11c4 702e b85d 90aa 176c 24e1 05f3 7d42 c0de 8812 66ab 09f7 5e13 b1a0 44d9".into(),
        self_signed: true,
    }
}
