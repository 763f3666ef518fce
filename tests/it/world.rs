//! A world of its own for each test: a fresh folder, a cleared environment, a fixed day, and an outcome in which any
//! output that no assertion asked about fails the test.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The day on which all tests happen unless they say otherwise.
pub const TODAY: &str = "2026-03-01";

pub struct World {
    folder: tempfile::TempDir,
    today: String,
}

/// What one run of the binary left.
#[must_use]
pub struct Outcome {
    pub command: String,
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

impl World {
    /// A folder without a ledger.
    pub fn empty() -> World {
        World { folder: tempfile::tempdir().expect("a temporary folder"), today: TODAY.to_owned() }
    }

    /// A folder with a fresh ledger.
    pub fn new() -> World {
        let world = World::empty();
        world.run(&["init"]).ok();
        world
    }

    /// A fresh ledger with one house that has a basement, `elm/main`.
    pub fn with_house() -> World {
        let world = World::new();
        world.run(&["property", "add", "elm", "--name", "Elm Street", "--built", "1950"]).ok();
        world.run(&["section", "add", "elm/main", "--foundation", "basement", "--walls", "block"]).ok();
        world
    }

    /// A house with a crack in a wall that holds earth: finding 1.
    pub fn with_crack() -> World {
        let world = World::with_house();
        let crack = ["finding", "open", "elm", "--kind", "crack", "--place", "south wall", "--in", "main"];
        world.run(&[&crack[..], &["--on", "2024-01-05"]].concat()).ok();
        world
    }

    pub fn on(mut self, today: &str) -> World {
        self.today = today.to_owned();
        self
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn ledger(&self) -> PathBuf {
        self.path("houses.stemwall")
    }

    pub fn file(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::write(&path, bytes).expect("a file in the test's folder");
        path.to_str().expect("a path in UTF-8").to_owned()
    }

    /// The binary with a cleared environment, on this world's ledger and day.
    pub fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stemwall"));
        command
            .env_clear()
            .env("HOME", self.folder.path())
            .env("TZ", "UTC")
            .env("NO_COLOR", "1")
            .current_dir(self.folder.path())
            .stdin(Stdio::null())
            .arg("--ledger")
            .arg(self.ledger())
            .args(["--today", &self.today]);
        command
    }

    pub fn run(&self, args: &[&str]) -> Outcome {
        finish(self.command(), args, self.folder.path())
    }

    /// The raw database, for what no command can do.
    pub fn sql(&self, sql: &str) -> Result<(), rusqlite::Error> {
        rusqlite::Connection::open(self.ledger())?.execute_batch(sql)
    }

    /// Everything in the entries, so that "nothing was written" can be shown.
    pub fn entries(&self) -> Vec<(i64, i64, Vec<u8>)> {
        let connection = rusqlite::Connection::open(self.ledger()).expect("the ledger opens");
        let mut statement =
            connection.prepare("SELECT chain, seq, hash FROM entries ORDER BY chain, seq").expect("sql");
        let rows = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).expect("rows");
        rows.map(|r| r.expect("a row")).collect()
    }

    /// Runs a command that must be refused, leaving the entries as they were, and gives what it said.
    pub fn refused(&self, code: i32, args: &[&str]) -> String {
        let before = self.entries();
        let outcome = self.run(args);
        assert_eq!(self.entries(), before, "`{}` wrote something", outcome.command);
        outcome.fails(code)
    }
}

/// A text with days by the clock in it: `DAY` is this one, `DAY-1` the one before, `DAY+2` in two days.
pub fn dated(text: &str) -> String {
    let today = chrono::Utc::now().date_naive();
    let day = |days: i64| (today + chrono::TimeDelta::days(days)).to_string();
    text.replace("DAY-1", &day(-1)).replace("DAY+2", &day(2)).replace("DAY", &day(0))
}

/// Runs `command` with `args`; the test's folder is called `DIR` in what comes back.
pub fn finish(mut command: Command, args: &[&str], folder: &Path) -> Outcome {
    let output = command.args(args).output().expect("the binary runs");
    let text = |bytes: Vec<u8>| {
        let text = String::from_utf8(bytes).expect("output in UTF-8");
        text.replace(folder.to_str().expect("a path in UTF-8"), "DIR")
    };
    Outcome {
        command: args.join(" "),
        code: output.status.code().unwrap_or(-1),
        stdout: text(output.stdout),
        stderr: text(output.stderr),
    }
}

impl Outcome {
    /// It did what it was asked and had nothing else to say; gives what it printed.
    #[track_caller]
    pub fn ok(self) -> String {
        assert_eq!((self.code, self.stderr.as_str()), (0, ""), "`{}` printed {}", self.command, self.stdout);
        self.stdout
    }

    /// It refused and printed no result; gives what it said.
    #[track_caller]
    pub fn fails(self, code: i32) -> String {
        assert_eq!((self.code, self.stdout.as_str()), (code, ""), "`{}` said {}", self.command, self.stderr);
        self.stderr
    }

    /// It refused, whatever it printed first; gives everything it said.
    #[track_caller]
    pub fn fails_saying(self, code: i32) -> String {
        assert_eq!(self.code, code, "`{}` said {}", self.command, self.stderr);
        self.stdout + &self.stderr
    }

    /// It did what it was asked; the result as JSON.
    #[track_caller]
    pub fn json(self) -> serde_json::Value {
        let command = self.command.clone();
        let text = self.ok();
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("`{command}` gave no JSON ({e}): {text}"))
    }
}

/// A Python that has the libraries of `tests/requirements.txt`.
pub fn python() -> PathBuf {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/python");
    let made = Command::new(script).output().expect("bash runs");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    String::from_utf8(made.stdout).unwrap().trim().into()
}
