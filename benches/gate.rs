//! Has the engine become slower or hungrier? Asked of counts, which other work on the machine cannot move.
//!
//! Instructions are counted by valgrind's cachegrind, bytes by its dhat, on one thread, at 10,000 and 100,000 shots in each
//! survey; what making the sites takes is taken off. Kept in `gate.csv`: ratios to reading and triangulating both tables bare,
//! the growth from the smaller to the larger as a power of the shots, the most bytes held for each shot. Each may move by 3 %,
//! up or down: a gain is kept by writing it down (`cargo bench --bench gate -- --write`).
//!
//! Counts do not see branches guessed wrong, nor misses of a cache: those are what `goals` times.
//! `--waste` does a little work in vain, and must be refused: how the gate is seen to shut.

mod common;

use common::{build, levels, numbers, parsed, pool, read, site, spade_alone, table};
use spadework::par::silent;
use spadework::shots::{Frame, Shots};
use spadework::volume::overlay;
use std::fmt::Write;
use std::hint::black_box;
use std::process::{Command, ExitCode};

/// How far a figure may move.
const MAY_MOVE: f64 = 0.03;
const SIZES: [usize; 2] = [10_000, 100_000];
const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/gate.csv");

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let said = |word: &str| args.iter().any(|a| a == word);
    if let [stage, n] = args.as_slice()
        && let Ok(n) = n.parse()
    {
        pool(1).install(|| run(stage, n));
        return ExitCode::SUCCESS;
    }
    if Command::new("valgrind").arg("--version").output().is_err() {
        println!("gate: left out, valgrind is not installed");
        return ExitCode::SUCCESS;
    }
    let figures = measured(if said("--waste") { "waste" } else { "numbers" });
    if said("--write") {
        let text = figures.iter().fold(String::from("figure,value\n"), |mut text, (what, value)| {
            let _ = writeln!(text, "{what},{value:.4}");
            text
        });
        std::fs::write(FILE, text).expect("the figures can be written");
    }
    let kept = std::fs::read_to_string(FILE).expect("the figures are kept");
    let mut wrong = 0;
    for (what, value) in &figures {
        let was = kept.lines().find_map(|l| l.split_once(',').filter(|(name, _)| name == what)?.1.parse::<f64>().ok());
        let moved = was.map_or(f64::INFINITY, |was| value / was - 1.0);
        let holds = moved.abs() <= MAY_MOVE;
        wrong += usize::from(!holds);
        println!("{what:<40} {value:>10.4} {:>+8.2} %  {}", moved * 100.0, if holds { "holds" } else { "MOVED" });
    }
    if wrong > 0 {
        println!("gate: {wrong} figures moved by more than 3 %; mend the loss, or write a gain down with --write");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

/// One stage and all it needs, as valgrind sees it.
fn run(stage: &str, n: usize) {
    let surveys = [1, 2].map(|seed| site(n, seed));
    let tables = surveys.each_ref().map(table);
    let frame = Frame::of(&[&surveys[0], &surveys[1]]);
    let both = || surveys.each_ref().map(|s: &Shots| build(s, frame));
    match stage {
        "site" => {}
        "parsed" => drop(black_box(tables.each_ref().map(|t| parsed(t)))),
        "bare" => drop(black_box(tables.each_ref().map(|t| spade_alone(parsed(t))))),
        "read" => drop(black_box(tables.each_ref().map(|t| read(t, "t")))),
        "surfaces" => drop(black_box(both())),
        "overlay" => {
            let [before, after] = both();
            black_box(overlay(&before, &after, None, &silent));
        }
        "numbers" => drop(black_box(numbers(&tables))),
        "waste" => {
            black_box(numbers(&tables));
            let [before, _] = both();
            black_box(before.contours(&levels()));
        }
        _ => panic!("no stage `{stage}`"),
    }
}

/// Every figure, in the order of the file. `job` is the stage that stands for the whole job.
fn measured(job: &str) -> Vec<(String, f64)> {
    let mut out = Vec::new();
    let mut whole = Vec::new();
    for n in SIZES {
        let site = instructions("site", n);
        let count = |stage| instructions(stage, n) - site;
        let (parsed, bare, surfaces) = (count("parsed"), count("bare"), count("surfaces"));
        let spade = bare - parsed;
        let numbers = count(job);
        out.push((format!("read / csv crate and parse at {n}"), count("read") / parsed));
        out.push((format!("surfaces / spade at {n}"), surfaces / spade));
        out.push((format!("overlay / spade at {n}"), (count("overlay") - surfaces) / spade));
        out.push((format!("numbers / csv and spade at {n}"), numbers / bare));
        out.push((format!("most bytes per shot at {n}"), bytes(job, n) / (2 * n) as f64));
        whole.push(numbers);
    }
    out.push(("growth of numbers as a power of the shots".to_owned(), (whole[1] / whole[0]).log10()));
    out
}

fn instructions(stage: &str, n: usize) -> f64 {
    number_behind(
        &valgrind(&["--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"], stage, n),
        "refs:",
    )
}

fn bytes(stage: &str, n: usize) -> f64 {
    number_behind(&valgrind(&["--tool=dhat", "--dhat-out-file=/dev/null"], stage, n), "At t-gmax:")
}

/// What valgrind says of this program on one stage.
fn valgrind(tool: &[&str], stage: &str, n: usize) -> String {
    let own = std::env::current_exe().expect("a program knows where it is");
    let done = Command::new("valgrind").args(tool).arg(own).args([stage, &n.to_string()]).output();
    let done = done.expect("valgrind starts");
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(done.status.success(), "{said}");
    said
}

fn number_behind(text: &str, mark: &str) -> f64 {
    let rest = text.split_once(mark).unwrap_or_else(|| panic!("no `{mark}` in: {text}")).1.trim_start();
    let digits: String = rest.chars().take_while(|c| *c == ',' || c.is_ascii_digit()).filter(|c| *c != ',').collect();
    digits.parse().expect("a count")
}
