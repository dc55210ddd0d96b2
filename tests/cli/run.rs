//! Runs the program with a configuration folder of its own.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The examples, in the order of the README.
pub const EXAMPLES: [&str; 4] = [
    "townhouse-first",
    "townhouse-return",
    "receptacle-aluminium",
    "limited-visit",
];

/// A fresh folder to run in.
pub struct Bench {
    folder: tempfile::TempDir,
}

/// What a run did.
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
    pub raw: Vec<u8>,
}

impl Bench {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_warmlug"));
        command
            .args(args)
            .current_dir(self.folder.path())
            .env("XDG_CONFIG_HOME", self.path("config"))
            .env("HOME", self.folder.path())
            .env_remove("WARMLUG_PASSPHRASE")
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, args: &[&str]) -> Ran {
        self.command(args).output().unwrap().into()
    }

    /// Starts the program and leaves it running, its output to be read.
    pub fn start(&self, args: &[&str]) -> std::process::Child {
        self.command(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    pub fn run_with(&self, args: &[&str], stdin: &[u8]) -> Ran {
        let mut child = self
            .command(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // The program may refuse without reading everything.
        let _ = child.stdin.take().unwrap().write_all(stdin);
        child.wait_with_output().unwrap().into()
    }

    /// Certifies an example into the folder and gives the certificate's path.
    pub fn certified(&self, example: &str) -> PathBuf {
        let target = self.path(&format!("{example}.pdf"));
        let ran = self.run(&["certify", &visit(example), "-o", &target.to_string_lossy()]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        target
    }
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
            raw: output.stdout,
        }
    }
}

/// Path of an example's visit file.
pub fn visit(example: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("examples")
        .join(example)
        .join("visit.yaml")
        .to_string_lossy()
        .into_owned()
}

/// An example's visit file that stands alone: without images and earlier visits.
pub fn alone(example: &str) -> String {
    std::fs::read_to_string(visit(example))
        .unwrap()
        .lines()
        .take_while(|l| !l.starts_with("photos:"))
        .filter(|l| {
            !["logo:", "signature:", "earlier:"]
                .iter()
                .any(|k| l.contains(k))
        })
        .map(|l| format!("{l}\n"))
        .collect()
}
