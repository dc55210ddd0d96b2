//! Runs the program with a configuration folder of its own.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The examples, in the order of the README.
pub const EXAMPLES: [&str; 6] = [
    "townhouse-first",
    "townhouse-return",
    "receptacle-aluminium",
    "limited-visit",
    "carport-three-phase",
    "landlord-six",
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

/// The program under test: the one that Cargo built for the tests, or that named by `WARMLUG_BIN`, for
/// example one that is handed out.
pub fn program() -> String {
    let built = env!("CARGO_BIN_EXE_warmlug");
    std::env::var("WARMLUG_BIN").map_or_else(
        |_| built.to_owned(),
        |named| {
            let path = Path::new(&named);
            assert!(
                path.is_absolute() && path.is_file(),
                "WARMLUG_BIN is not the absolute path of a program: {named}"
            );
            named
        },
    )
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

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(program());
        command.args(args);
        self.at_home(&mut command);
        command
    }

    fn at_home(&self, command: &mut Command) {
        command
            .current_dir(self.folder.path())
            .env("XDG_CONFIG_HOME", self.path("config"))
            .env("HOME", self.folder.path())
            .env_remove("WARMLUG_PASSPHRASE")
            .stdin(Stdio::null());
    }

    /// Runs with so much address space and so many seconds of processor time; a program that
    /// takes more is ended by the system.
    #[cfg(target_os = "linux")]
    pub fn run_within(&self, mebibytes: u64, seconds: u64, args: &[&str]) -> Ran {
        self.run_after(
            &format!("ulimit -v {} -t {seconds}", mebibytes * 1024),
            args,
        )
    }

    /// Runs after a shell has set something that its children inherit.
    #[cfg(unix)]
    pub fn run_after(&self, setting: &str, args: &[&str]) -> Ran {
        self.shell(setting, args).output().unwrap().into()
    }

    /// The program, about to be started by a shell that has set something first.
    #[cfg(unix)]
    fn shell(&self, setting: &str, args: &[&str]) -> Command {
        let program = program();
        let script = format!("{setting} && exec \"$0\" \"$@\"");
        let through = [&["-c", &script, &program], args].concat();
        self.other("/bin/bash", &through)
    }

    /// Another program in the same surroundings, which is to start ours.
    #[cfg(unix)]
    pub fn other(&self, program: &str, args: &[&str]) -> Command {
        let mut command = Command::new(program);
        command.args(args);
        self.at_home(&mut command);
        command
    }

    /// Starts the program, heard by nobody.
    #[cfg(unix)]
    pub fn spawn(&self, args: &[&str]) -> std::process::Child {
        self.command(args)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
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

/// An example's visit file that needs no other file: without images and earlier visits.
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

/// Copies a folder with all that is in it.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}
