//! The pictures in `docs/` are what the program draws today.

use std::fs;
use std::path::Path;
use std::process::Command;

/// Ends the renewing command of README.md, which is read from there, so that what it says is what is tested.
const RENEW: &str = "--out docs/pictures";

/// What the program is given by the renewing command.
fn arguments(readme: &str) -> Vec<String> {
    let line = readme.lines().find(|line| line.ends_with(RENEW)).expect("README.md tells how to renew the picture");
    let typed = line.strip_prefix("cargo run --release -- ").expect("the command runs the program");
    // Quotes stand round whole arguments only.
    let parts = typed.split('"').enumerate();
    parts
        .flat_map(|(k, part)| {
            let quoted = k % 2 == 1;
            if quoted { vec![part.to_owned()] } else { part.split_whitespace().map(str::to_owned).collect() }
        })
        .collect()
}

#[test]
fn the_plan_in_docs_is_the_plan_of_the_demo() {
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(home.join("README.md")).expect("README.md can be read");
    let arguments = arguments(&readme);
    // The drawing tells the command that made it, so the test gives the very same one, in a folder laid out the same way.
    let desk = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    let _ = fs::remove_dir_all(&desk);
    fs::create_dir_all(desk.join("docs")).expect("there is room to work");
    for job in arguments.iter().filter(|a| a.starts_with("demo-data/")) {
        fs::create_dir_all(desk.join(job)).expect("there is room to work");
        for entry in fs::read_dir(home.join(job)).expect("the demo is there") {
            let name = entry.expect("a file").file_name();
            fs::copy(home.join(job).join(&name), desk.join(job).join(&name)).expect("a file");
        }
    }
    let done = Command::new(env!("CARGO_BIN_EXE_spadework"))
        .current_dir(&desk)
        .args(&arguments)
        .output()
        .expect("the program starts");
    // One check of the demo fails on purpose.
    assert_eq!(done.status.code(), Some(3), "{}", String::from_utf8_lossy(&done.stderr));
    let drawn = fs::read(desk.join("docs/pictures/plan.svg")).expect("a plan was drawn");
    let kept = fs::read(home.join("docs/pictures/plan.svg")).expect("docs has a plan");
    assert!(
        drawn == kept,
        "docs/pictures/plan.svg is not what is drawn today. Look at {}; if it is better, renew the one in docs:\n  cargo run --release -- {}",
        desk.join("docs/pictures/plan.svg").display(),
        readme
            .lines()
            .find(|line| line.ends_with(RENEW))
            .unwrap_or_default()
            .trim_start_matches("cargo run --release -- ")
    );
}
