//! The same job by general-purpose libraries, as another process (`benches/outside.py`).

use std::path::Path;
use std::process::Command;

/// What it took, in seconds of the processor's time, and what came out.
pub struct Outside {
    stages: Vec<(String, f64)>,
    /// Cut.
    pub cut: f64,
    /// Fill.
    pub fill: f64,
}

impl Outside {
    /// Runs it on two tables; `how` is `exact`, or the number of cells either way.
    pub fn run(tables: &[String; 2], how: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
        let files = ["outside-before.csv", "outside-after.csv"].map(|name| folder.join(name));
        for (file, text) in files.iter().zip(tables) {
            std::fs::write(file, text).expect("a table can be written");
        }
        let python = std::env::var("SPADEWORK_PYTHON").unwrap_or_else(|_| "python3".to_owned());
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/outside.py");
        let done = Command::new(python).arg(script).args(&files).arg(how).output().expect("it can be started");
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        let said = String::from_utf8_lossy(&done.stdout).into_owned();
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let mut out = Self { stages: Vec::new(), cut: f64::NAN, fill: f64::NAN };
        for line in said.lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            match words.as_slice() {
                ["cut", cut, "fill", fill] => (out.cut, out.fill) = (number(cut), number(fill)),
                [stage @ .., seconds, "s"] => out.stages.push((stage.join(" "), number(seconds))),
                _ => {}
            }
        }
        out
    }

    /// Seconds of a stage, or of `all`.
    pub fn seconds(&self, stage: &str) -> f64 {
        self.stages.iter().find(|(name, _)| name == stage).expect("it is a stage").1
    }
}
