//! The example visits' own images: usable, of the promised size, upright, and silent about where
//! they were taken.

use std::fs;
use std::path::{Path, PathBuf};
use warmlug::photo::{Detail, Folder, Kind, Placement, PreparedImage, Subject};
use warmlug::visit::ImageFacts;

const VISITS: [&str; 5] = [
    "townhouse-first",
    "townhouse-return",
    "receptacle-aluminium",
    "limited-visit",
    "carport-three-phase",
];

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

/// Every image of a visit's folder, as a path inside it.
fn images(visit: &str) -> Vec<String> {
    let root = examples().join(visit);
    let mut found = Vec::new();
    for folder in ["", "photos"] {
        for entry in fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "jpg" || e == "png") {
                found.push(
                    path.strip_prefix(&root)
                        .unwrap()
                        .to_str()
                        .unwrap()
                        .to_owned(),
                );
            }
        }
    }
    found.sort();
    found
}

fn prepared(visit: &str, path: &str, detail: Detail) -> PreparedImage {
    let subject = if path.ends_with(".png") {
        Subject::LineArt
    } else {
        Subject::Photo
    };
    let folder = Folder::new(&examples().join(visit)).unwrap();
    folder
        .prepare(
            path,
            Placement {
                width_mm: 80.0,
                detail,
                subject,
            },
        )
        .unwrap()
}

fn holds(haystack: &[u8], needle: &[u8]) -> bool {
    memchr::memmem::find(haystack, needle).is_some()
}

#[test]
fn every_visit_has_two_photos_of_moderate_size() {
    for visit in VISITS {
        let photos: Vec<String> = images(visit)
            .into_iter()
            .filter(|p| p.ends_with(".jpg"))
            .collect();
        assert!(photos.len() >= 2, "{visit}");
        for photo in photos {
            let size = fs::metadata(examples().join(visit).join(&photo))
                .unwrap()
                .len();
            assert!(size <= 150_000, "{visit}/{photo}: {size} bytes");
        }
    }
}

#[test]
fn every_image_is_usable_and_comes_out_without_metadata() {
    for visit in VISITS {
        for path in images(visit) {
            let image = prepared(visit, &path, Detail::Full);
            for needle in [&b"Exif"[..], b"II*\0", b"MM\0*", b"Example Phones"] {
                assert!(!holds(&image.bytes.whole(), needle), "{visit}/{path}");
            }
        }
    }
}

#[test]
fn a_position_in_the_photo_does_not_pass() {
    // 48°52'31.75" as EXIF writes it: three fractions, each of two 32-bit numbers.
    let path = "photos/panel.jpg";
    let file = fs::read(examples().join("townhouse-first").join(path)).unwrap();
    let latitude: Vec<u8> = [48_u32, 1, 52, 1, 127, 4]
        .iter()
        .flat_map(|n| n.to_be_bytes())
        .collect();
    assert!(
        holds(&file, &latitude),
        "the file does not hold what is to be removed"
    );
    for (detail, untouched) in [(Detail::Full, true), (Detail::Print, false)] {
        let image = prepared("townhouse-first", path, detail);
        assert_eq!(image.kind, Kind::Jpeg { untouched });
        assert!(!holds(&image.bytes.whole(), &latitude));
    }
}

#[test]
fn a_photo_stored_sideways_is_upright() {
    let folder = Folder::new(&examples().join("townhouse-first")).unwrap();
    let upright = ImageFacts {
        width: 1200,
        height: 1600,
    };
    assert_eq!(folder.image("photos/charger.jpg"), Ok(upright));
    let image = prepared("townhouse-first", "photos/charger.jpg", Detail::Full);
    assert_eq!((image.width, image.height), (1200, 1600));
    assert_eq!(image.kind, Kind::Jpeg { untouched: false });
}

#[test]
fn time_and_camera_of_a_photo_are_known_and_its_place_is_not() {
    let photo = prepared("townhouse-first", "photos/panel.jpg", Detail::Print);
    let at = photo.taken.at.map(|at| at.to_string());
    assert_eq!(at.as_deref(), Some("2024-11-13 09:36:12"));
    assert_eq!(
        photo.taken.camera.as_deref(),
        Some("Example Phones Example 1")
    );
    // The file says where it was taken, too.
    let json = serde_json::to_string(&photo.taken).unwrap();
    assert_eq!(
        json,
        r#"{"at":"2024-11-13T09:36:12","camera":"Example Phones Example 1"}"#
    );
    // Asked for by itself, it is told in the notation of ISO 6709 (48°52.5′ S 123°23.6′ W).
    let folder = Folder::new(Path::new("examples/townhouse-first")).unwrap();
    let place = |path| folder.original(path).unwrap().place();
    assert_eq!(
        place("photos/panel.jpg").as_deref(),
        Some("-48.87549-123.39252/")
    );
    assert_eq!(place("photos/charger.jpg"), None);
    let without = prepared("townhouse-first", "photos/charger.jpg", Detail::Print);
    assert!(without.taken.is_unknown());
}
