//! Full disks, closed folders, runs that are killed, two runs at once: never half a file, never
//! an earlier one lost, always a sentence and the exit code that goes with it.

use crate::run::{Bench, Ran, alone};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::Duration;

/// Names in a folder.
fn names(folder: &Path) -> BTreeSet<String> {
    std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect()
}

fn certify_args() -> [&'static str; 4] {
    ["certify", "visit.yaml", "-o", "out.pdf"]
}

/// A folder with a visit file, an identity and a certificate of it.
fn ready() -> (Bench, Vec<u8>) {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("limited-visit"));
    let ran = bench.run(&certify_args());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let bytes = std::fs::read(bench.path("out.pdf")).unwrap();
    (bench, bytes)
}

fn whole(bench: &Bench, pdf: &str) {
    let ran = bench.run(&["verify", "--no-known", pdf]);
    assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
}

/// SplitMix64 (Steele and others, OOPSLA 2014): one number from the last.
fn roll(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *seed;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[test]
fn a_full_disk_is_told_and_loses_nothing() {
    let (bench, before) = ready();
    // Files may grow to 16 KiB; bash's `ulimit -f` counts in KiB.
    let full = "trap '' XFSZ && ulimit -f 16";
    for (args, there) in [
        (&["certify", "visit.yaml", "-o", "new.pdf"][..], false),
        (&["certify", "visit.yaml", "-o", "out.pdf", "--force"], true),
        (&["worksheet", "visit.yaml", "-o", "new.pdf"], false),
    ] {
        let ran = bench.run_after(full, args);
        assert_eq!(ran.code, 4, "{args:?}: {}", ran.err);
        assert!(ran.err.contains("can't be written"), "{}", ran.err);
        assert!(!bench.path("new.pdf").exists());
        assert!(!there || std::fs::read(bench.path("out.pdf")).unwrap() == before);
    }
    assert_eq!(
        names(&bench.path(".")),
        ["config", "out.pdf", "visit.yaml"]
            .map(str::to_owned)
            .into()
    );
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_nobody_can_take_are_told() {
    let (bench, _) = ready();
    for args in [
        &["check", "visit.yaml"][..],
        &["verify", "--no-known", "--allow-uncompared", "out.pdf"],
        &["certify", "visit.yaml", "-o", "-"],
        &["extract", "out.pdf", "--only", "visit.yaml"],
        #[cfg(feature = "parquet")]
        &[
            "register",
            "out.pdf",
            "--allow-uncompared",
            "--format",
            "parquet",
        ],
        &[
            "register",
            "out.pdf",
            "--allow-uncompared",
            "--format",
            "jsonl",
        ],
        &["new", "-o", "-"],
        &["rules"],
        &["schema"],
        &["man"],
        &["completions", "bash"],
        &["identity", "show"],
        &["--help"],
    ] {
        let ran = bench.run_after("exec >/dev/full", args);
        assert_eq!(ran.code, 4, "{args:?}: {}", ran.err);
        assert!(
            ran.err.contains("the disk is full"),
            "{args:?}: {}",
            ran.err
        );
        let ran = bench.run_after("exec 2>/dev/full", args);
        assert_eq!(ran.code, 0, "{args:?}: nobody hears, the work is done");
    }
}

#[test]
fn a_file_that_nobody_takes_whole_is_a_fault() {
    let (bench, _) = ready();
    for (args, code) in [
        (&["certify", "visit.yaml", "-o", "-"][..], 4),
        (&["worksheet", "visit.yaml", "-o", "-"], 4),
        (&["new", "-o", "-"], 4),
        (&["check", "visit.yaml"], 0),
        (&["rules"], 0),
    ] {
        let mut command = bench.command(args);
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let ran: Ran = command.stdout(writer).output().unwrap().into();
        assert_eq!(ran.code, code, "{args:?}: {}", ran.err);
        assert_eq!(ran.err.contains("standard output was closed"), code == 4);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn devices_are_written_into_and_never_replaced() {
    use std::os::unix::fs::FileTypeExt;
    let (bench, bytes) = ready();
    let ran = bench.run(&["certify", "visit.yaml", "-o", "/dev/full", "--force"]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    assert!(ran.err.contains("the disk is full"), "{}", ran.err);
    let ran = bench.run(&["certify", "visit.yaml", "-o", "/dev/null", "--force"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for device in ["/dev/full", "/dev/null"] {
        let kind = std::fs::metadata(device).unwrap().file_type();
        assert!(kind.is_char_device(), "{device}");
    }
    let args = ["certify", "visit.yaml", "-o", "/dev/stdout", "--force"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.raw.starts_with(b"%PDF-") && ran.raw.len().abs_diff(bytes.len()) < 100);
}

#[test]
fn links_stay_and_permissions_too() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (bench, _) = ready();
    std::fs::create_dir(bench.path("archive")).unwrap();
    std::fs::rename(bench.path("out.pdf"), bench.path("archive/out.pdf")).unwrap();
    symlink("archive/out.pdf", bench.path("out.pdf")).unwrap();
    let mode = std::fs::Permissions::from_mode(0o640);
    std::fs::set_permissions(bench.path("archive/out.pdf"), mode).unwrap();
    let ran = bench.run(&certify_args());
    assert_eq!(ran.code, 1, "{}", ran.err);
    let before = std::fs::metadata(bench.path("archive/out.pdf")).unwrap();
    let args = [&certify_args()[..], &["--force"]].concat();
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(bench.path("out.pdf").is_symlink());
    let after = std::fs::metadata(bench.path("archive/out.pdf")).unwrap();
    assert_eq!(after.permissions().mode() & 0o777, 0o640);
    use std::os::unix::fs::MetadataExt;
    assert_ne!(before.ino(), after.ino(), "a new file in one step");
    whole(&bench, "out.pdf");
}

/// Runs as a user who is bound by permissions, also where the tests run as root.
fn as_somebody(bench: &Bench, args: &[&str]) -> Ran {
    let root = std::fs::metadata("/proc/self").is_ok_and(|m| {
        use std::os::unix::fs::MetadataExt;
        m.uid() == 0
    });
    if !root {
        return bench.run(args);
    }
    let program = crate::run::program();
    // Without the right to pass over permissions; its files stay its own.
    let mut drop = vec![
        "--bounding-set",
        "-dac_override,-dac_read_search",
        "--",
        &program,
    ];
    drop.extend(args);
    bench.other("setpriv", &drop).output().unwrap().into()
}

#[test]
fn a_closed_folder_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let (bench, before) = ready();
    std::fs::create_dir(bench.path("closed")).unwrap();
    let close = |path: &str, mode| {
        std::fs::set_permissions(bench.path(path), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    std::fs::write(bench.path("closed/out.pdf"), &before).unwrap();
    close("closed", 0o555);
    for args in [
        &["certify", "visit.yaml", "-o", "closed/new.pdf"][..],
        &["certify", "visit.yaml", "-o", "closed/out.pdf", "--force"],
        &[
            "countersign",
            "out.pdf",
            "--as",
            "client",
            "--name",
            "A. B.",
            "-o",
            "closed/new.pdf",
        ],
        &["identity", "new", "--name", "C. D.", "-o", "closed/new.p12"],
        &["new", "-o", "closed/new.yaml"],
        &["extract", "out.pdf", "-o", "closed/new"],
    ] {
        let ran = as_somebody(&bench, args);
        assert_eq!(ran.code, 4, "{args:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains("permission"), "{args:?}: {}", ran.err);
        if args[0] == "certify" {
            assert!(ran.err.contains("another folder with -o"), "{}", ran.err);
        }
    }
    assert_eq!(names(&bench.path("closed")), ["out.pdf".to_owned()].into());
    assert_eq!(std::fs::read(bench.path("closed/out.pdf")).unwrap(), before);
    // A configuration folder that can't be written: verify still answers.
    close("config/warmlug", 0o555);
    let ran = as_somebody(&bench, &["verify", "out.pdf"]);
    assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
    assert!(
        ran.err.contains("The key could not be stored"),
        "{}",
        ran.err
    );
    // What is said helps in the command that was given.
    assert!(ran.err.contains("--known FILE"), "{}", ran.err);
    assert!(!ran.err.contains(" -o"), "{}", ran.err);
    let without = Bench::new();
    without.write("visit.yaml", &alone("limited-visit"));
    std::fs::create_dir_all(without.path("config/warmlug")).unwrap();
    let closed = std::fs::Permissions::from_mode(0o555);
    std::fs::set_permissions(without.path("config/warmlug"), closed).unwrap();
    let ran = as_somebody(&without, &certify_args());
    assert_eq!(ran.code, 4, "{}", ran.err);
    assert!(ran.err.contains("--identity FILE"), "{}", ran.err);
    assert!(!ran.err.contains("another folder with -o"), "{}", ran.err);
    // A folder that may be written but not looked into gets its file.
    std::fs::create_dir(bench.path("drop")).unwrap();
    close("drop", 0o333);
    let ran = as_somebody(&bench, &["certify", "visit.yaml", "-o", "drop/new.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    whole(&bench, "drop/new.pdf");
    for path in ["closed", "drop", "config/warmlug"] {
        close(path, 0o755);
    }
}

/// Starts a run and kills it at a moment between its start and its usual end.
fn kill_at(mut child: Child, micros: u64) {
    std::thread::sleep(Duration::from_micros(micros));
    // It may have ended already.
    let _ = child.kill();
    child.wait().unwrap();
}

/// Kills a run 200 times in a row at random moments; `sound` looks at what each has left.
fn killed_200_times(bench: &Bench, args: &[&str], prepare: impl Fn(u64), sound: impl Fn(u64)) {
    prepare(u64::MAX);
    let start = std::time::Instant::now();
    let ran = bench.run(args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let usual = u64::try_from(start.elapsed().as_micros()).unwrap();
    let mut seed = 5713;
    for n in 0..200 {
        prepare(n);
        let child = bench.spawn(args);
        // A little past the end too, so that the last steps are met whatever else runs.
        kill_at(child, roll(&mut seed) % (usual + usual / 4));
        sound(n);
    }
}

#[test]
fn a_certificate_is_whole_or_absent_when_killed() {
    let (bench, _) = ready();
    let target = bench.path("out.pdf");
    let before = names(&bench.path("."));
    let gone: BTreeSet<String> = before.iter().filter(|n| *n != "out.pdf").cloned().collect();
    killed_200_times(
        &bench,
        &certify_args(),
        |_| drop(std::fs::remove_file(&target)),
        |n| {
            let there = names(&bench.path("."));
            // Not even a half file under another name.
            assert!(there == before || there == gone, "{n}: {there:?}");
            if target.exists() {
                whole(&bench, "out.pdf");
            }
        },
    );
}

/// What a killed run may leave beside a file that it was replacing: the whole new one.
fn beside(folder: &Path) -> Vec<Vec<u8>> {
    names(folder)
        .iter()
        .filter(|n| n.starts_with(".warmlug-") && n.ends_with(".part"))
        .map(|n| std::fs::read(folder.join(n)).unwrap())
        .collect()
}

#[test]
fn the_earlier_certificate_stays_until_the_new_one_is_whole() {
    let (bench, _) = ready();
    let args = [
        &certify_args()[..],
        &["--force", "--signed-at", "2027-11-20T12:00:00Z"],
    ]
    .concat();
    let earlier = std::fs::read(bench.path("out.pdf")).unwrap();
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let new = std::fs::read(bench.path("out.pdf")).unwrap();
    assert_ne!(earlier, new);
    killed_200_times(
        &bench,
        &args,
        |_| std::fs::write(bench.path("out.pdf"), &earlier).unwrap(),
        |n| {
            let now = std::fs::read(bench.path("out.pdf")).unwrap();
            assert!(now == earlier || now == new, "{n}");
            assert!(beside(&bench.path(".")).iter().all(|b| *b == new), "{n}");
        },
    );
}

#[test]
fn an_identity_is_never_lost_when_killed() {
    let bench = Bench::new();
    let folder = bench.path("config/warmlug/identities");
    let name = ["--name", "Maren Ody"];
    let new = [&["identity", "new"][..], &name].concat();
    let clear = |_| {
        let _ = std::fs::remove_dir_all(&folder);
    };
    killed_200_times(&bench, &new, clear, |n| {
        let ran = bench.run(&["identity", "show"]);
        assert_eq!(ran.code, 0, "{n}: {}", ran.err);
        assert!(folder.exists() || ran.out.is_empty());
        if let Ok(entries) = std::fs::read_dir(&folder) {
            assert!(entries.count() <= 1, "{n}: nothing but the identity");
        }
    });
    let renew = [&["identity", "renew"][..], &name].concat();
    let old = {
        clear(0);
        assert_eq!(bench.run(&new).code, 0);
        std::fs::read(folder.join("maren-ody.p12")).unwrap()
    };
    killed_200_times(
        &bench,
        &renew,
        |_| {
            clear(0);
            std::fs::create_dir_all(&folder).unwrap();
            let path = folder.join("maren-ody.p12");
            std::fs::write(&path, &old).unwrap();
            use std::os::unix::fs::PermissionsExt;
            std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600)).unwrap();
        },
        |n| {
            // At every moment there is a key under the inspector's name, and the old one is kept.
            let kept = std::fs::read(folder.join("maren-ody.p12")).unwrap();
            let aside: Vec<String> = names(&folder)
                .into_iter()
                .filter(|n| n.starts_with("maren-ody-until-"))
                .collect();
            let shown = bench.run(&["identity", "show"]);
            assert_eq!(shown.code, 0, "{n}: {}", shown.err);
            assert!(!shown.out.is_empty(), "{n}");
            if kept != old {
                assert_eq!(std::fs::read(folder.join(&aside[0])).unwrap(), old, "{n}");
            } else {
                // A renewal that was cut off can be run again.
                let ran = bench.run(&renew);
                assert_eq!(ran.code, 0, "{n}: {}", ran.err);
            }
        },
    );
}

#[test]
fn the_list_of_known_signers_is_never_lost_when_killed() {
    let (bench, _) = ready();
    let list = bench.path("known");
    let line = format!("{} 2026-01-02 Somebody Else\n", "ab".repeat(32));
    killed_200_times(
        &bench,
        &[
            "verify",
            "out.pdf",
            "--known",
            "known",
            "--allow-uncompared",
        ],
        |_| std::fs::write(&list, &line).unwrap(),
        |n| {
            let text = std::fs::read_to_string(&list).unwrap();
            assert!(text.contains(&line), "{n}: {text}");
            let signers = text.lines().filter(|l| !l.starts_with('#')).count();
            assert!(signers == 1 || text.contains("Maren Ody"), "{n}: {text}");
        },
    );
}

#[test]
fn a_countersignature_is_whole_or_absent_when_killed() {
    let (bench, sealed) = ready();
    let args = [
        "countersign",
        "out.pdf",
        "--as",
        "client",
        "--name",
        "Maren Ody",
    ];
    let target = bench.path("out-client.pdf");
    killed_200_times(
        &bench,
        &args,
        |_| drop(std::fs::remove_file(&target)),
        |_| {
            assert_eq!(std::fs::read(bench.path("out.pdf")).unwrap(), sealed);
            assert!(beside(&bench.path(".")).is_empty());
            if target.exists() {
                whole(&bench, "out-client.pdf");
            }
        },
    );
}

#[test]
fn a_visit_that_is_filled_in_is_the_old_or_the_new_when_killed() {
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let plain = zip::write::SimpleFileOptions::default();
    zip.start_file("worksheet.json", plain).unwrap();
    let values = r#"{"values":{"unit-12/torque/panel-L1/found":"held","unit-12/torque/panel-L1/left":"5 N·m"}}"#;
    std::io::Write::write_all(&mut zip, values.as_bytes()).unwrap();
    std::fs::write(bench.path("v.zip"), zip.finish().unwrap().into_inner()).unwrap();
    let args = ["fill", "visit.yaml", "--with", "v.zip", "--replace"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let after = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    assert_ne!(before, after);
    killed_200_times(
        &bench,
        &args,
        |_| bench.write("visit.yaml", &before),
        |n| {
            let now = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
            assert!(now == before || now == after, "{n}");
        },
    );
}

/// Several runs started at once; how each ended.
fn at_once(bench: &Bench, runs: &[Vec<&str>]) -> Vec<Ran> {
    let children: Vec<Child> = runs
        .iter()
        .map(|args| {
            bench
                .command(args)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    children
        .into_iter()
        .map(|c| c.wait_with_output().unwrap().into())
        .collect()
}

#[test]
fn two_runs_on_one_output_leave_one_whole_file() {
    let (bench, _) = ready();
    for round in 0..10 {
        let _ = std::fs::remove_file(bench.path("out.pdf"));
        let ran = at_once(&bench, &[certify_args().to_vec(), certify_args().to_vec()]);
        let mut codes = [ran[0].code, ran[1].code];
        codes.sort_unstable();
        assert_eq!(codes, [0, 1], "{round}: {}{}", ran[0].err, ran[1].err);
        let loser = ran.iter().find(|r| r.code == 1).unwrap();
        assert!(
            loser.err.contains("already exists and was not changed"),
            "{}",
            loser.err
        );
        whole(&bench, "out.pdf");
        let force = [&certify_args()[..], &["--force"]].concat();
        let ran = at_once(&bench, &[force.clone(), force]);
        assert!(
            ran.iter().all(|r| r.code == 0),
            "{}{}",
            ran[0].err,
            ran[1].err
        );
        whole(&bench, "out.pdf");
        assert_eq!(
            names(&bench.path(".")),
            ["config", "out.pdf", "visit.yaml"]
                .map(str::to_owned)
                .into()
        );
    }
}

#[test]
fn runs_at_once_make_one_identity_and_know_every_signer() {
    let bench = Bench::new();
    let people = ["Ada Ohm", "Bo Volt", "Cy Henry", "Di Farad"];
    for (i, name) in people.iter().enumerate() {
        let text = alone("limited-visit").replace("name: Maren Ody", &format!("name: {name}"));
        bench.write(&format!("{i}.yaml"), &text);
    }
    // Every inspector twice at once: one key each.
    let outputs: Vec<(String, String)> = (0..8)
        .map(|n| (format!("{}.yaml", n / 2), format!("{n}.pdf")))
        .collect();
    let runs: Vec<Vec<&str>> = outputs
        .iter()
        .map(|(visit, pdf)| vec!["certify", visit, "-o", pdf])
        .collect();
    for ran in at_once(&bench, &runs) {
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    assert_eq!(
        names(&bench.path("config/warmlug/identities")).len(),
        people.len()
    );
    let runs: Vec<Vec<&str>> = outputs.iter().map(|(_, pdf)| vec!["verify", pdf]).collect();
    for ran in at_once(&bench, &runs) {
        assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
    }
    let list = std::fs::read_to_string(bench.path("config/warmlug/known-signers")).unwrap();
    for name in people {
        assert_eq!(list.matches(name).count(), 1, "{list}");
    }
}

#[test]
fn two_renewals_at_once_renew_once() {
    let bench = Bench::new();
    let name = ["--name", "Maren Ody"];
    let new = [&["identity", "new"][..], &name].concat();
    assert_eq!(bench.run(&new).code, 0);
    let renew = [&["identity", "renew"][..], &name].concat();
    let ran = at_once(&bench, &[renew.clone(), renew]);
    let mut codes = [ran[0].code, ran[1].code];
    codes.sort_unstable();
    assert_eq!(codes, [0, 1], "{}{}", ran[0].err, ran[1].err);
    let done = ran.iter().find(|r| r.code == 0).unwrap();
    let print = done.out.lines().find(|l| l.contains("ingerprint")).unwrap();
    let shown = bench.run(&["identity", "show"]).out;
    assert!(
        shown.contains(print),
        "the key that was told is the key that is kept: {shown}"
    );
}

/// An identity made while the clock showed another year, kept as the inspector's.
fn identity_of(bench: &Bench, year: u32) {
    use warmlug::seal::{Identity, Passphrase, Person};
    let person = Person {
        name: "Maren Ody".to_owned(),
        ..Person::default()
    };
    let from = format!("{year}-03-01T00:00:00Z").parse().unwrap();
    let identity = Identity::create(&person, from).unwrap();
    let path = bench.path("config/warmlug/identities/maren-ody.p12");
    identity.save(&path, &Passphrase::empty()).unwrap();
}

#[test]
fn an_identity_of_a_wrong_clock_can_be_replaced() {
    for (year, words) in [
        (2001, "was valid until 2006-03-01"),
        (2090, "is not valid until 2090-03-01"),
    ] {
        let bench = Bench::new();
        bench.write("visit.yaml", &alone("limited-visit"));
        identity_of(&bench, year);
        let path = bench.path("config/warmlug/identities/maren-ody.p12");
        let old = std::fs::read(&path).unwrap();
        let ran = bench.run(&certify_args());
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains(words), "{}", ran.err);
        assert!(ran.err.contains("warmlug identity new"), "{}", ran.err);
        let new = ["identity", "new", "--name", "Maren Ody"];
        let ran = bench.run(&new);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.err.contains("give clients the new fingerprint"),
            "{}",
            ran.err
        );
        let kept = names(path.parent().unwrap());
        let aside = kept.iter().find(|n| n.contains("-until-")).unwrap();
        assert_eq!(std::fs::read(path.with_file_name(aside)).unwrap(), old);
        assert_eq!(bench.run(&certify_args()).code, 0);
        // One that is good is left as it is.
        assert_eq!(bench.run(&new).code, 1);
    }
}

#[test]
fn a_day_that_no_certificate_can_hold_is_told() {
    use warmlug::seal::{Identity, Person};
    let person = Person {
        name: "Maren Ody".to_owned(),
        ..Person::default()
    };
    assert!(Identity::create(&person, "9994-12-31T00:00:00Z".parse().unwrap()).is_ok());
    let error = Identity::create(&person, "9995-01-01T00:00:00Z".parse().unwrap())
        .err()
        .unwrap();
    assert_eq!(
        error.to_string(),
        "the date of this computer is 9995-01-01, which can't be right; set the clock and run the \
         command again"
    );
}

#[test]
fn a_signature_from_the_future_is_told() {
    let (bench, _) = ready();
    let years = chrono::Local::now() + chrono::TimeDelta::days(700);
    let at = years.format("%Y-%m-%dT12:00:00+00:00").to_string();
    let args = [
        "certify",
        "visit.yaml",
        "-o",
        "later.pdf",
        "--signed-at",
        &at,
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let warned = format!("warning: --signed-at {at}");
    let warned = warned.replace("+00:00", "+00:00 is in the future");
    assert!(ran.err.contains(&warned), "{}", ran.err);
    let ran = bench.run(&["verify", "later.pdf"]);
    assert_eq!(ran.code, 5, "{}", ran.err);
    // Directly after the result.
    let head = ran.out.split("\n\n").next().unwrap();
    assert!(
        head.contains("\nWARNING: the signing time, "),
        "{}",
        ran.out
    );
    let ran = bench.run(&["verify", "later.pdf", "--format", "json"]);
    let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert!(told["signed_in_future"].is_string(), "{}", ran.out);
    let ran = bench.run(&["verify", "out.pdf"]);
    assert!(!ran.out.contains("future"), "{}", ran.out);
    // A draft is not signed, and a time that is past needs no warning.
    let args = ["certify", "visit.yaml", "--draft", "--signed-at", &at];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!ran.err.contains("future"), "{}", ran.err);
}

#[test]
fn a_time_that_can_not_be_read_is_told_with_what_to_write() {
    let (bench, _) = ready();
    for args in [
        ["certify", "visit.yaml", "--signed-at", "2026-11-27"],
        ["countersign", "out.pdf", "--signed-at", "27 Nov"],
        ["worksheet", "visit.yaml", "--made-at", "noon"],
    ] {
        let ran = bench.run(&args);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains("2026-10-06T12:30:00-04:00"), "{}", ran.err);
    }
}

#[test]
fn a_photo_that_changes_while_its_certificate_is_made_never_passes_unseen() {
    use crate::run::visit;
    use sha2::{Digest, Sha256};
    let bench = Bench::new();
    let source = Path::new(&visit("townhouse-first"))
        .parent()
        .unwrap()
        .to_owned();
    std::fs::create_dir(bench.path("photos")).unwrap();
    for entry in std::fs::read_dir(source.join("photos")).unwrap() {
        let path = entry.unwrap().path();
        let target = bench.path("photos").join(path.file_name().unwrap());
        std::fs::copy(&path, target).unwrap();
    }
    let text = std::fs::read_to_string(visit("townhouse-first")).unwrap();
    let kept = text.lines().filter(|l| {
        !["logo:", "signature:", "earlier:"]
            .iter()
            .any(|k| l.contains(k))
    });
    bench.write(
        "visit.yaml",
        &kept.map(|l| format!("{l}\n")).collect::<String>(),
    );
    let photo = bench.path("photos/panel.jpg");
    let other = bench.path("photos/charger.jpg");
    let pictures = [
        std::fs::read(&photo).unwrap(),
        std::fs::read(&other).unwrap(),
    ];
    let digests: Vec<String> = pictures
        .iter()
        .map(|p| base16ct::lower::encode_string(&Sha256::digest(p)))
        .collect();
    let mut seed = 20;
    let mut done = 0;
    for round in 0..20 {
        std::fs::write(&photo, &pictures[round % 2]).unwrap();
        let child = bench.spawn(&["certify", "visit.yaml", "-o", "out.pdf", "--force"]);
        std::thread::sleep(Duration::from_micros(roll(&mut seed) % 60_000));
        // Written over in place: a reader may meet half of either.
        std::fs::write(&photo, &pictures[1 - round % 2]).unwrap();
        let status = child.wait_with_output().unwrap().status;
        if !status.success() {
            assert_eq!(status.code(), Some(1), "refused as damaged");
            continue;
        }
        done += 1;
        whole(&bench, "out.pdf");
        let listed = bench
            .run(&["extract", "out.pdf", "--only", "photos.sha256"])
            .out;
        let line = listed.lines().find(|l| l.ends_with("panel.jpg"));
        let line = line.unwrap_or_else(|| panic!("{listed}"));
        assert!(digests.iter().any(|d| line.contains(d)), "{line}");
    }
    assert!(done > 0);
}
