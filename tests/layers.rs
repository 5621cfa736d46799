//! Does every room lean only on rooms below it, and does the core stay blind to files, formats, colours and clocks?
//!
//! Reads `src/` as text: comments are left out, strings are not. The table below is the rule; a room that is not in it
//! fails, and so does a use of a room of the same or a higher rank. Each rule is first shown a breach it must see.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Rank of every room of the library, those still to be built included. Rank 0 to 9 is the core.
const RANKS: [(&str, u8); 26] = [
    ("units", 0),
    ("finding", 0),
    ("par", 0),
    ("rules", 1),
    ("soil", 1),
    ("level", 1),
    ("shots", 1),
    ("outline", 1),
    ("surface", 2),
    ("design", 3),
    ("survey", 3),
    ("volume", 4),
    ("drainage", 5),
    ("stakes", 6),
    ("haul", 6),
    ("tank", 6),
    ("digcheck", 7),
    ("chance", 7),
    ("job", 8),
    ("whatif", 9),
    ("read", 10),
    ("sheet", 10),
    ("write", 11),
    // The program: reaches the library only through its public face.
    ("cli", 12),
    // Crate roots: they name rooms and hold nothing.
    ("lib", 13),
    ("main", 13),
];

/// Highest rank of the core.
const CORE: u8 = 9;
/// A source file longer than this hides near-copies.
const LONGEST: usize = 600;
/// The library's front page.
const LIB_LONGEST: usize = 130;

/// What the core never says: files, paths, the environment, printing, clocks ...
const OUTSIDE: [&str; 13] = [
    "std::fs",
    "std::path",
    "std::env",
    "std::io",
    "PathBuf",
    "env!",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "SystemTime",
    "Instant",
];
/// ... formats and colours, as words of their own or as parts of names.
const FORMATS: [&str; 12] =
    ["csv", "json", "geojson", "svg", "png", "pdf", "toml", "xlsx", "html", "colour", "color", "rgb"];

fn rank(room: &str) -> Option<u8> {
    RANKS.iter().find(|(name, _)| *name == room).map(|&(_, rank)| rank)
}

/// A line without its comment. Quotes are counted, so that `//` inside a string stays.
fn code(line: &str) -> &str {
    let cut = line.match_indices("//").map(|(at, _)| at).find(|&at| line[..at].matches('"').count().is_multiple_of(2));
    &line[..cut.unwrap_or(line.len())]
}

/// All code of a file, line ends as spaces.
fn code_of(text: &str) -> String {
    text.lines().map(code).collect::<Vec<_>>().join(" ")
}

fn word(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    &text[..end]
}

/// The names that stand behind `path`: one, or each of a group in braces.
fn named_behind<'a>(code: &'a str, path: &str) -> Vec<&'a str> {
    let mut out = Vec::new();
    for (at, _) in code.match_indices(path) {
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '$') {
            continue;
        }
        let rest = &code[at + path.len()..];
        let Some(group) = rest.strip_prefix('{') else {
            out.push(word(rest));
            continue;
        };
        let (mut depth, mut begun) = (0, true);
        for (k, c) in group.char_indices() {
            match c {
                '}' if depth == 0 => break,
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 0 => begun = true,
                c if begun && !c.is_whitespace() => {
                    out.push(word(&group[k..]));
                    begun = false;
                }
                _ => {}
            }
        }
    }
    out
}

/// Rooms a file of `room` leans on against the rule. `inside`: modules of its own, which may share a room's name.
fn uphill<'a>(room: &str, inside: &BTreeSet<String>, code: &'a str) -> Vec<&'a str> {
    let own = rank(room).unwrap_or(0);
    let mut bad: Vec<&str> = named_behind(code, "crate::")
        .into_iter()
        .filter(|&name| name != room && rank(name).is_none_or(|other| other >= own || room == "cli"))
        .collect();
    // The way round: up to the root and down again.
    bad.extend(
        named_behind(code, "super::")
            .into_iter()
            .filter(|&name| name != room && !inside.contains(name) && rank(name).is_some_and(|other| other >= own)),
    );
    if room != "cli" && code.contains("spadework::") {
        bad.push("spadework");
    }
    bad
}

/// Words of the outside world in a piece of the core.
fn worldly(code: &str) -> Vec<&'static str> {
    let parts: BTreeSet<String> = code
        .split(|c: char| !c.is_alphanumeric())
        .flat_map(|w| w.split_inclusive(|c: char| c.is_lowercase()).map(str::to_owned).chain([w.to_lowercase()]))
        .collect();
    let outside = OUTSIDE.into_iter().filter(|word| {
        code.match_indices(word).any(|(at, _)| !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
    });
    outside.chain(FORMATS.into_iter().filter(|word| parts.contains(*word))).collect()
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every file under `src`, with the room it belongs to.
fn files() -> Vec<(String, PathBuf, String)> {
    let mut todo = vec![src()];
    let mut out = Vec::new();
    while let Some(folder) = todo.pop() {
        for entry in fs::read_dir(folder).expect("src can be listed") {
            let path = entry.expect("src can be listed").path();
            if path.is_dir() {
                todo.push(path);
                continue;
            }
            let inside = path.strip_prefix(src()).expect("lies under src");
            let first = inside.components().next().expect("has a name").as_os_str().to_string_lossy();
            let room = first.trim_end_matches(".rs").to_owned();
            let text = fs::read_to_string(&path).expect("a source file is text");
            out.push((room, inside.to_path_buf(), text));
        }
    }
    out.sort();
    out
}

/// Names of the modules a room is made of.
fn modules(room: &str, files: &[(String, PathBuf, String)]) -> BTreeSet<String> {
    let parts = files.iter().filter(|(of, ..)| of == room).flat_map(|(_, path, _)| path.components());
    parts.map(|c| c.as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned()).collect()
}

fn none(what: &str, found: &[String]) {
    assert!(found.is_empty(), "{what}:\n  {}", found.join("\n  "));
}

#[test]
fn every_room_has_a_rank() {
    let files = files();
    let rooms: BTreeSet<&str> = files.iter().map(|(room, ..)| room.as_str()).collect();
    assert!(rooms.len() > 10, "src was not read: {rooms:?}");
    let strange: Vec<String> = rooms.iter().filter(|room| rank(room).is_none()).map(ToString::to_string).collect();
    none("rooms without a rank in the table above", &strange);
    assert_eq!(RANKS.iter().map(|(name, _)| name).collect::<BTreeSet<_>>().len(), RANKS.len(), "a room stands twice");
}

#[test]
fn rooms_lean_only_on_rooms_below() {
    let nothing = BTreeSet::new();
    for (room, breach, seen) in [
        ("surface", "use crate::volume::Overlay;", vec!["volume"]),
        ("surface", "use crate::{units::Length, design, shots::{Frame, Shots}, nowhere};", vec!["design", "nowhere"]),
        ("read", "let x = crate::sheet::Paper::landscape();", vec!["sheet"]),
        ("units", "use super::job;", vec!["job"]),
        ("job", "use spadework::units;", vec!["spadework"]),
        ("cli", "use crate::job::Outcome; use spadework::job;", vec!["job"]),
        ("job", "use crate::units; use super::outcome; pub(crate) fn f() {} // crate::write", vec![]),
    ] {
        assert_eq!(uphill(room, &nothing, &code_of(breach)), seen, "{room}: {breach}");
    }
    let files = files();
    let mut found = Vec::new();
    for (room, path, text) in files.iter().filter(|(room, ..)| rank(room).is_some_and(|r| r < 13)) {
        let inside = modules(room, &files);
        found.extend(
            uphill(room, &inside, &code_of(text)).iter().map(|bad| format!("{} leans on {bad}", path.display())),
        );
    }
    none("a room may use only rooms of strictly lower rank", &found);
}

#[test]
fn the_core_knows_no_file_no_format_no_colour_and_no_clock() {
    for (breach, seen) in [
        ("let t = std::fs::read(x);", "std::fs"),
        ("println!(\"x\")", "println!"),
        ("fn to_json() {}", "json"),
        ("let colour = 3;", "colour"),
        ("\"plan.svg\"", "svg"),
    ] {
        assert_eq!(worldly(breach), [seen], "{breach}");
    }
    assert!(worldly(&code_of("struct Path; // csv\nlet (printer, colourless) = (1, 2);")).is_empty());
    let mut found = Vec::new();
    for (room, path, text) in files() {
        if rank(&room).is_some_and(|r| r <= CORE) {
            found.extend(worldly(&code_of(&text)).iter().map(|word| format!("{} names {word}", path.display())));
        }
    }
    none("the core speaks of the world outside", &found);
}

#[test]
fn the_core_is_locked_in_the_front_page_too() {
    let lib = fs::read_to_string(src().join("lib.rs")).expect("lib.rs is there");
    let lines: Vec<&str> = lib.lines().collect();
    assert!(lines.len() < LIB_LONGEST, "lib.rs has {} lines", lines.len());
    let lock = "#[deny(clippy::disallowed_types, clippy::disallowed_methods)]";
    let mut rooms = 0;
    for (k, line) in lines.iter().enumerate() {
        let Some(room) = line.strip_prefix("pub mod ").and_then(|l| l.strip_suffix(';')) else { continue };
        rooms += 1;
        let locked = k > 0 && lines[k - 1] == lock;
        let core = rank(room).is_some_and(|r| r <= CORE);
        assert_eq!(locked, core, "`pub mod {room};` and the lock {lock}");
    }
    assert!(rooms > 10, "lib.rs names only {rooms} rooms");
}

#[test]
fn no_source_file_is_too_long() {
    let long: Vec<String> = files()
        .iter()
        .filter(|(.., text)| text.lines().count() > LONGEST)
        .map(|(_, path, text)| format!("{}: {} lines", path.display(), text.lines().count()))
        .collect();
    none(&format!("longer than {LONGEST} lines"), &long);
}
