//! A hundred job files that cannot be used: what each is told. Nothing panics, nothing is written, every one says what to do.
//!
//! Changes of the hall's file stand in `hostile_jobs.txt`; whole files that are none stand here.

use super::{Desk, bad_jobs::hall, has_all};

const CASES: &str = include_str!("hostile_jobs.txt");

const FORM: &str = "the form `key = value` under heads";

/// A case of the list: its name, what goes out, what comes in, parts of what is said.
struct Case {
    name: &'static str,
    out: String,
    into: String,
    said: Vec<&'static str>,
}

fn cases() -> Vec<Case> {
    let with = |lines: &[&'static str], sign: &str| -> Vec<&'static str> {
        lines.iter().filter_map(|l| l.strip_prefix(sign)).map(|l| l.strip_prefix(' ').unwrap_or(l)).collect()
    };
    // What comes first is about the list itself.
    let blocks = CASES.split("\n\n").skip(1).map(|block| block.trim_matches('\n').lines().collect::<Vec<_>>());
    let case = |lines: Vec<&'static str>| Case {
        name: lines.first().copied().unwrap_or_default(),
        out: with(&lines, "-").join("\n"),
        into: with(&lines, "+").join("\n"),
        said: with(&lines, ">"),
    };
    blocks.map(case).collect()
}

/// Refused by a command that only looks and by one that would write; nothing is left behind.
#[track_caller]
fn refused(desk: &Desk, what: &str, parts: &[&str]) {
    println!("{what}");
    let said = desk.refuses(1, &["check", "job.toml"], parts);
    has_all(&said, &["error: ", "= help: "]);
    assert!(!said.contains(|c: char| c.is_control() && c != '\n'), "{what}:\n{said}");
    let again = desk.refuses(1, &["run", "job.toml", "--out", "out"], &[]);
    assert_eq!(said, again, "{what}: one reason for every command");
}

#[test]
fn every_change_is_told_what_is_wrong_and_what_to_do() {
    let cases = cases();
    assert!(cases.len() >= 100, "{}", cases.len());
    let desk = hall("hostile-jobs", &[]);
    let good = desk.text("job.toml");
    for Case { name, out, into, said } in cases {
        assert!(!out.is_empty() && !said.is_empty() && good.contains(&out), "{name}: the hall has no `{out}`");
        desk.put("job.toml", good.replacen(&out, &into, 1));
        refused(&desk, name, &said);
    }
    // The same folder is well without a change.
    desk.put("job.toml", &good);
    desk.run(&["check", "job.toml"]).ends(0);
}

#[test]
fn files_that_are_no_job() {
    let desk = hall("hostile-no-jobs", &[]);
    let good = desk.text("job.toml");
    let cases: Vec<(&str, Vec<u8>, &[&str])> = vec![
        ("nothing", b"".to_vec(), &["an empty file", "a job file, plain text", "`spadework new` makes one"]),
        ("only a mark", b"\xef\xbb\xbf".to_vec(), &["an empty file", "a job file, plain text"]),
        ("a remark", b"# nothing\n".to_vec(), &["without `job`", "add `job`"]),
        ("a NUL", b"[job]\nname = \"a\0\"\n".to_vec(), &["a NUL byte in line 2, column 10", "plain text in UTF-8"]),
        ("half of UTF-16", b"\xff\xfea".to_vec(), &["marked as UTF-16", "a job file, plain text"]),
        ("lists in lists", format!("a = {}", "[".repeat(100_000)).into(), &["recursion", FORM]),
        ("tables in tables", format!("a = {}", "{ a = ".repeat(20_000)).into(), &["recursion", FORM]),
        ("a name of twenty thousand parts", format!("[a{}]\n", ".a".repeat(20_000)).into(), &["recursion", FORM]),
        ("a text that does not end", b"[job]\nname = \"x\n".to_vec(), &["job.toml, line 2", FORM]),
        ("a long text that does not end", b"[job]\nname = \"\"\"x\n".to_vec(), &["job.toml, line ", FORM]),
        ("an unknown escape", b"[job]\nname = \"\\q\"\n".to_vec(), &["job.toml, line 2, column 10", FORM]),
        ("a thirteenth month", b"a = 2024-13-45\n".to_vec(), &["month between 01 and 12", FORM]),
        ("a table of shots", b"point,northing\nA,1\n".to_vec(), &["job.toml, line 1", FORM]),
        ("an object", b"{\"job\": {}}".to_vec(), &["job.toml, line 1", FORM]),
        ("a table twice", format!("{good}\n[survey]\nshots = \"points.csv\"\n").into(), &["duplicate key"]),
        (
            "five thousand keys",
            (0..5000).map(|k| format!("k{k} = {k}\n")).collect::<String>().into(),
            &["an unknown key `k0`", "more like these"],
        ),
        ("a key nobody can see", b"\"a\\u0000b\" = 1\n".to_vec(), &["an unknown key `a b`"]),
    ];
    for (what, bytes, parts) in cases {
        desk.put("job.toml", bytes);
        refused(&desk, what, parts);
    }
    // The same words in other writing are the same job.
    let utf16: Vec<u8> = format!("\u{feff}{good}").encode_utf16().flat_map(u16::to_le_bytes).collect();
    for same in [format!("\u{feff}{good}").into_bytes(), good.replace('\n', "\r\n").into_bytes(), utf16] {
        desk.put("job.toml", same);
        desk.run(&["check", "job.toml"]).ends(0);
    }
}

#[test]
fn files_the_job_names_that_cannot_be_read() {
    let long = "x".repeat(5000);
    for (k, (name, parts)) in [
        ("gone.csv", &["gone.csv: found no such file", "check the name"][..]),
        (".", &["found a folder", "name the file in it"]),
        ("..", &["found a folder"]),
        ("../../nowhere/level-notes.csv", &["../../nowhere/level-notes.csv: found no such file"]),
        ("level-notes.csv/more.csv", &["level-notes.csv/more.csv: found "]),
        ("job.toml", &["job.toml, line 1", "in place of a header"]),
        ("rain-daily.csv", &["rain-daily.csv, line 1", "in place of a header"]),
        ("", &["level_notes"]),
        (" ", &["level_notes"]),
        (long.as_str(), &["a file that cannot be read", "check the disk or the name"]),
    ]
    .into_iter()
    .enumerate()
    {
        let change = format!("level_notes = \"{name}\"");
        let desk = hall(&format!("hostile-file-{k}"), &[("level_notes = \"level-notes.csv\"", &change)]);
        refused(&desk, name, parts);
    }
}
