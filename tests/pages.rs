//! The pages in `docs/` and README.md show tables and commands: here they are written and run, and what is printed is
//! compared line by line.
//!
//! A table is a `csv` block under a line with its name in backticks. A `console` block holds commands behind `$ `, each
//! followed by what it prints; a line `...` stands for any lines. `$ echo $?` asks for the exit code before it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The fenced blocks of a page: language, text, and the last line before.
fn blocks(page: &str) -> Vec<(String, Vec<String>, String)> {
    let mut found = Vec::new();
    let mut before = String::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        if let Some(language) = line.strip_prefix("```") {
            let text = lines.by_ref().take_while(|l| *l != "```").map(str::to_owned).collect();
            found.push((language.to_owned(), text, before.clone()));
        } else if !line.is_empty() {
            line.clone_into(&mut before);
        }
    }
    found
}

/// Arguments as typed; quotes stand round whole arguments only.
fn arguments(typed: &str) -> Vec<String> {
    let parts = typed.split('"').enumerate();
    let of = |(k, part): (usize, &str)| {
        if k % 2 == 1 { vec![part.to_owned()] } else { part.split_whitespace().map(str::to_owned).collect() }
    };
    parts.flat_map(of).collect()
}

/// Whether the printed lines are the wanted ones, `...` standing for any.
fn agrees(wanted: &[&str], printed: &[&str]) -> bool {
    match wanted.split_first() {
        None => printed.is_empty(),
        Some((&"...", rest)) => (0..=printed.len()).any(|k| agrees(rest, &printed[k..])),
        Some((line, rest)) => printed.first().is_some_and(|p| p.trim_end() == *line) && agrees(rest, &printed[1..]),
    }
}

/// Runs a page in a folder of its own; tells how many commands were compared.
fn run(name: &str) -> usize {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).expect("the page can be read");
    let desk = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("pages").join(name.replace('/', "-"));
    let _ = fs::remove_dir_all(&desk);
    fs::create_dir_all(&desk).expect("there is room to work");
    let blocks = blocks(&page);
    for (language, text, before) in &blocks {
        if language == "csv" {
            let file = before.strip_prefix('`').and_then(|b| b.strip_suffix('`')).expect("a table has a name above it");
            fs::write(desk.join(file), text.join("\n") + "\n").expect("there is room to work");
        }
    }
    let mut compared = 0;
    for (_, text, _) in blocks.iter().filter(|(language, ..)| language == "console") {
        let mut last: Option<Output> = None;
        for part in text.join("\n").split("$ ").filter(|part| !part.is_empty()) {
            let mut lines = part.lines();
            let typed = lines.next().unwrap_or_default();
            let wanted: Vec<&str> = lines.collect();
            let printed = if typed == "echo $?" {
                let code = last.as_ref().and_then(|o| o.status.code()).expect("a command ran before");
                code.to_string()
            } else {
                let typed = typed.strip_prefix("spadework ").unwrap_or_else(|| panic!("{name}: `{typed}` is not ours"));
                let program = env!("CARGO_BIN_EXE_spadework");
                let output = Command::new(program)
                    .current_dir(&desk)
                    .args(arguments(typed))
                    .output()
                    .expect("the program starts");
                let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
                last = Some(output);
                String::from_utf8(text).expect("it prints text")
            };
            let printed: Vec<&str> = printed.trim_end().lines().collect();
            assert!(agrees(&wanted, &printed), "{name}: `{typed}` prints\n{}", printed.join("\n"));
            compared += 1;
        }
    }
    compared
}

#[test]
fn what_the_pages_show_is_what_the_program_prints() {
    assert_eq!(run("docs/tables.md"), 11);
    assert_eq!(run("docs/why.md"), 3);
    assert_eq!(run("docs/job-file.md"), 3);
    assert_eq!(run("docs/levels.md"), 6);
    assert_eq!(run("docs/haul.md"), 2);
    assert_eq!(run("docs/soil.md"), 1);
    assert_eq!(run("docs/dig-check.md"), 3);
    assert_eq!(run("docs/field-page.md"), 3);
}

#[test]
fn a_line_that_differs_is_seen() {
    assert!(agrees(&["a", "...", "d"], &["a", "b", "c", "d"]));
    assert!(agrees(&["..."], &[]));
    assert!(!agrees(&["a", "...", "d"], &["a", "b", "c"]));
    assert!(!agrees(&["a"], &["a", "b"]));
    assert!(!agrees(&["a", "b"], &["a"]));
}

/// A link in a page leads to a file that is there.
#[test]
fn links_lead_somewhere() {
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut tried = 0;
    for name in [
        "README.md",
        "DEVELOPERS.md",
        "docs/dig-check.md",
        "docs/field-page.md",
        "docs/haul.md",
        "docs/job-file.md",
        "docs/levels.md",
        "docs/soil.md",
        "docs/tables.md",
        "docs/methods.md",
        "docs/why.md",
        "docs/performance.md",
        "docs/safety.md",
        "docs/sheets.md",
    ] {
        let page = fs::read_to_string(home.join(name)).expect("the page can be read");
        let folder = home.join(name).parent().map(Path::to_path_buf).unwrap_or_default();
        for link in page.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            assert!(folder.join(link).exists(), "{name} links to {link}");
            tried += 1;
        }
    }
    assert!(tried > 8);
}
