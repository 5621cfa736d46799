//! The program as a person meets it: whole commands on tables, what is printed, what is written, how it ends.

mod bad_folders;
mod bad_jobs;
mod bad_options;
mod bad_tables;
mod bare;
mod blunders;
mod demo;
mod dialects;
mod digcheck;
mod findings;
mod haul;
mod hostile_jobs;
mod hostile_tables;
mod lines;
mod ponds;
mod soil;
mod tank;
mod workbook;

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

/// How a command ended.
struct Ran {
    code: Option<i32>,
    out: String,
    err: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        let text = |bytes| String::from_utf8(bytes).expect("prints UTF-8");
        Self { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
    }
}

impl Ran {
    /// Asks for an exit code; shows all that was printed where it is another.
    #[track_caller]
    fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "\n{}\n{}", self.out, self.err);
        self
    }

    #[track_caller]
    fn says(&self, parts: &[&str]) -> &Self {
        has_all(&self.out, parts);
        self
    }

    #[track_caller]
    fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e} in\n{}", self.out))
    }
}

#[track_caller]
fn has_all(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` is missing in\n{text}");
    }
}

/// A folder to run in, empty at first, with the example's two tables.
struct Desk(PathBuf);

impl Desk {
    fn new(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("cli").join(name);
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder to test in");
        let desk = Self(path);
        for table in ["existing.csv", "proposed.csv"] {
            desk.put(table, example(table));
        }
        desk
    }

    fn path(&self, file: &str) -> PathBuf {
        self.0.join(file)
    }

    fn put(&self, file: &str, bytes: impl AsRef<[u8]>) -> &Self {
        fs::write(self.path(file), bytes).expect("a file to test with");
        self
    }

    fn bytes(&self, file: &str) -> Vec<u8> {
        fs::read(self.path(file)).unwrap_or_else(|e| panic!("{file}: {e}"))
    }

    fn text(&self, file: &str) -> String {
        String::from_utf8(self.bytes(file)).expect("is text")
    }

    /// The program, to be run here.
    fn program(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_spadework"));
        command.current_dir(&self.0).args(args);
        command
    }

    fn run(&self, args: &[&str]) -> Ran {
        self.program(args).output().expect("the program starts").into()
    }

    /// Everything that lies here, dot-files and what is in folders included, with a hash of it.
    fn all(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let (mut todo, mut out) = (vec![self.0.clone()], BTreeMap::new());
        while let Some(folder) = todo.pop() {
            for entry in fs::read_dir(folder).expect("can be listed") {
                let path = entry.expect("can be listed").path();
                let about = fs::symlink_metadata(&path).expect("is there");
                if about.is_dir() {
                    todo.push(path.clone());
                }
                out.insert(path.clone(), if about.is_file() { fs::read(&path).expect("can be read") } else { vec![] });
            }
        }
        out
    }

    /// Runs what must be refused: that exit code, nothing printed but the reason, every file here as it was.
    #[track_caller]
    fn refuses(&self, code: i32, args: &[&str], parts: &[&str]) -> String {
        let before = self.all();
        let ran = self.run(args).ends(code);
        assert_eq!(ran.out, "", "a refusal goes to standard error");
        has_all(&ran.err, parts);
        assert!(!ran.err.contains("panicked") && !ran.err.contains("bug in spadework"), "{}", ran.err);
        assert!(before == self.all(), "files were changed or left behind: {:?}", self.all().keys());
        ran.err
    }
}

/// A file of the committed example.
fn example(file: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data/hall-two-tables").join(file);
    fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A key of the example's `expected.toml`.
fn expected(key: &str) -> f64 {
    let text = example("expected.toml");
    let line = text.lines().find_map(|line| line.strip_prefix(key)?.trim_start().strip_prefix('='));
    let value = line.unwrap_or_else(|| panic!("{key} is expected nowhere")).split('#').next().unwrap_or_default();
    value.trim().parse().unwrap_or_else(|e| panic!("{key}: {e}"))
}

/// A table as rows of column name to cell; for tables without quotes.
fn table(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap_or_default().split(',').collect();
    let row = |line: &str| header.iter().map(ToString::to_string).zip(line.split(',').map(str::to_owned)).collect();
    lines.map(row).collect()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    let apart = (got - want).abs();
    assert!(apart <= tolerance, "{got} is not {want} within {tolerance} (apart by {apart})");
}

#[track_caller]
fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

const HEADER: &str = "point,northing,easting,elevation\n";
