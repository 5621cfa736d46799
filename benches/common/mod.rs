//! What every bench shares: sites out of a seeded generator, and a clock that runs ours and the plain method in turn.
//!
//! Sizes are arguments (`cargo bench --bench volume -- 1000000`); without any, the three a person meets: a yard, a
//! large survey, a very large one.
#![allow(dead_code, reason = "each bench uses its own part of this")]

pub mod outside;

use csv::{ReaderBuilder, StringRecord};
use spade::{DelaunayTriangulation, Point2, Triangulation};
use spadework::par::{self, silent};
use spadework::read::{Complaints, Source, read_shots};
use spadework::sheet::{Colour, Drawing, Group, Paper, PaperPoint, PaperSize, Stroke};
use spadework::shots::{Frame, Kind, Shots, from_micro, to_micro};
use spadework::surface::{Cells, Contour, Surface};
use spadework::units::LengthUnit;
use spadework::volume::{Overlay, overlay};
use spadework::write::{png, svg};
use std::collections::HashSet;
use std::hint::black_box;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// Shots in each of the two surveys.
pub fn sizes() -> Vec<usize> {
    let asked: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    if asked.is_empty() { vec![60, 10_000, 100_000] } else { asked }
}

/// SplitMix64 (Steele, Lea and Flood 2014): the same numbers on every machine.
pub struct Dice(u64);

impl Dice {
    /// Begins at that seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, 0 to below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % end
    }
}

/// A square site of `n` shots about ten units apart, far from the origin: four corners, the rest scattered in whole
/// thousandths, over gentle ground; heights to 0.001. `seed` 1 is the existing ground, 2 the proposed.
pub fn site(n: usize, seed: u64) -> Shots {
    let side = side(n);
    let mut dice = Dice::new(seed);
    let mut seen = HashSet::new();
    let mut shots = Shots::default();
    for corner in [(0, 0), (0, side), (side, 0), (side, side)] {
        seen.insert(corner);
        push(&mut shots, corner, side, seed);
    }
    while shots.len() < n {
        let place = (dice.below(side), dice.below(side));
        if seen.insert(place) {
            push(&mut shots, place, side, seed);
        }
    }
    shots
}

/// Side of the site in thousandths.
pub fn side(n: usize) -> u64 {
    10_000 * (1..).find(|k| k * k >= n as u64).unwrap_or(1)
}

fn push(shots: &mut Shots, (x, y): (u64, u64), side: u64, seed: u64) {
    let (u, v) = (x as f64 / side as f64, y as f64 / side as f64);
    let bumps = (u * 9.0 + seed as f64).sin() + (v * 7.0).cos() * 0.8 + (u * 31.0).sin() * (v * 29.0).cos() * 0.3;
    let z = ((100.0 + bumps - 2.0 * u - seed as f64 * 0.2) * 1000.0).round() / 1000.0;
    let thousandths = |k: u64| i64::try_from(k * 1000).expect("a site on earth");
    let (north, east) = (to_micro(1_750_000.0) + thousandths(y), to_micro(2_500_000.0) + thousandths(x));
    shots.push(&format!("P{}", shots.len() + 1), north, east, z, Kind::Ground);
}

/// The same as a table.
pub fn table(shots: &Shots) -> String {
    let mut text = String::from("point,northing,easting,elevation\n");
    for row in 0..shots.len() {
        let (n, e) = (from_micro(shots.northing[row]), from_micro(shots.easting[row]));
        text += &format!("{},{n},{e},{}\n", shots.names.get(row), shots.elevation[row]);
    }
    text
}

/// Unit of the tables.
pub const UNIT: LengthUnit = LengthUnit::Foot;

/// A table read and checked, as the program does.
pub fn read(text: &str, name: &str) -> Shots {
    let mut complaints = Complaints::default();
    let source = Source::read(name, text.as_bytes().to_vec()).expect("is text");
    read_shots(&source, name, UNIT, &mut complaints).expect("is sound").shots
}

/// A table by the csv crate and `str::parse`, nothing checked: places for the library.
pub fn parsed(text: &str) -> Vec<Point2<f64>> {
    let mut reader = ReaderBuilder::new().from_reader(text.as_bytes());
    let mut record = StringRecord::new();
    let mut places = Vec::new();
    while reader.read_record(&mut record).expect("is a table") {
        let [y, x, _z] = [1, 2, 3].map(|k| record[k].parse::<f64>().expect("is a number"));
        places.push(Point2::new((x - 2_500_000.0) * 1e6, (y - 1_750_000.0) * 1e6));
    }
    places
}

/// The triangulation library alone; the triangles it made.
pub fn spade_alone(places: Vec<Point2<f64>>) -> usize {
    DelaunayTriangulation::<Point2<f64>>::bulk_load(places).expect("a site can be built").num_inner_faces()
}

/// A surface, as the program makes it.
pub fn build(shots: &Shots, frame: Frame) -> Surface {
    Surface::build(shots, frame, Cells::Nodes).expect("a site can be built")
}

/// Fifty levels within the sites of [`site`].
pub fn levels() -> Vec<f64> {
    (0..50).map(|k| 97.0 + f64::from(k) * 0.1).collect()
}

/// The main job: both tables read, both surfaces, exact cut and fill, fifty contours.
pub fn numbers(tables: &[String; 2]) -> (Overlay, usize) {
    let (total, lines, _) = worked_out(tables);
    (total, lines.len())
}

fn worked_out(tables: &[String; 2]) -> (Overlay, Vec<Contour>, f64) {
    let (a, b) = par::both(|| read(&tables[0], "before"), || read(&tables[1], "after"));
    let frame = Frame::of(&[&a, &b]);
    let (before, after) = par::both(|| build(&a, frame), || build(&b, frame));
    let (low, high) = before.net().bounds();
    (overlay(&before, &after, None, &silent), before.contours(&levels()), (high[0] - low[0]).max(high[1] - low[1]))
}

/// The main job with its contours drawn as a PNG of 1200 dots a side, as the libraries' picture is; its bytes.
pub fn with_plan(tables: &[String; 2]) -> (Overlay, usize) {
    let (total, lines, side) = worked_out(tables);
    let mut group = Group::new("lines");
    for line in &lines {
        let on_paper = line.points.iter().map(|p| PaperPoint::new(0.5 + p[0] / side * 7.5, 8.0 - p[1] / side * 7.5));
        group.push(Stroke::new(on_paper.collect(), 0.007, Colour(45, 45, 45)));
    }
    let paper = Paper::portrait(PaperSize::Letter);
    let drawing = Drawing { paper, title: String::new(), groups: vec![group], scale: String::new(), dropped: 0 };
    let png = png::bytes(&svg::text(&drawing).expect("can be written"), 141.2).expect("can be drawn");
    (total, png.len())
}

/// Both surveys as surfaces in one frame.
pub fn surfaces(n: usize) -> (Surface, Surface) {
    let (a, b) = (site(n, 1), site(n, 2));
    let frame = Frame::of(&[&a, &b]);
    let build = |s: &Shots| Surface::build(s, frame, Cells::Nodes).expect("a site can be built");
    (build(&a), build(&b))
}

/// Volume over height 0 and plan area of a net in one pass: area times mean height, triangle by triangle.
pub fn one_pass(surface: &Surface) -> (f64, f64) {
    (0..u32::try_from(surface.net().triangles()).expect("few triangles")).fold((0.0, 0.0), |(volume, area), t| {
        let (a, z) = (surface.net().triangle_area(t), surface.heights(t));
        (volume + a * (z[0] + z[1] + z[2] - 300.0) / 3.0, area + a)
    })
}

/// Runs both in turn for about two seconds, at least three times each, and prints the medians and their ratio.
pub fn against<A, B>(what: &str, n: usize, mut ours: impl FnMut() -> A, plain: &str, mut theirs: impl FnMut() -> B) {
    let (mut a, mut b) = (Vec::new(), Vec::new());
    let begun = Instant::now();
    while a.len() < 3 || (begun.elapsed() < Duration::from_secs(2) && a.len() < 1000) {
        a.push(timed(&mut ours));
        b.push(timed(&mut theirs));
    }
    let (a, b) = (median(a), median(b));
    println!("{what:<10} {n:>8} shots {:>10} | {plain} {:>10} | {:.2} x", shown(a), shown(b), ratio(a, b));
}

/// How long it takes once.
pub fn timed<T>(work: &mut impl FnMut() -> T) -> Duration {
    let begun = Instant::now();
    black_box(work());
    begun.elapsed()
}

/// What the processor spent on this process so far, all threads; where the system does not tell, the clock on the wall.
/// Other work on the machine makes the wall late, not this.
pub fn processor() -> Duration {
    let tasks = std::fs::read_dir("/proc/self/task").ok();
    let spent = tasks.into_iter().flatten().flatten().filter_map(|task| {
        let text = std::fs::read_to_string(task.path().join("schedstat")).ok()?;
        text.split(' ').next()?.parse::<u64>().ok()
    });
    match spent.sum() {
        0 => BEGUN.get_or_init(Instant::now).elapsed(),
        nanos => Duration::from_nanos(nanos),
    }
}

static BEGUN: OnceLock<Instant> = OnceLock::new();

/// A pool of so many threads.
pub fn pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be started")
}

/// Times of some tasks, each run once in every round: wall and processor.
#[derive(Default)]
pub struct Rounds {
    times: Vec<(&'static str, Vec<Duration>, Vec<Duration>)>,
}

impl Rounds {
    /// Runs a task once and keeps its times.
    pub fn time<T>(&mut self, what: &'static str, work: impl FnOnce() -> T) -> T {
        let (wall, spent) = (Instant::now(), processor());
        let out = black_box(work());
        let (wall, spent) = (wall.elapsed(), processor() - spent);
        let at = self.times.iter().position(|t| t.0 == what).unwrap_or_else(|| {
            self.times.push((what, vec![], vec![]));
            self.times.len() - 1
        });
        self.times[at].1.push(wall);
        self.times[at].2.push(spent);
        out
    }

    fn of(&self, what: &str) -> &(&'static str, Vec<Duration>, Vec<Duration>) {
        self.times.iter().find(|t| t.0 == what).expect("it was timed")
    }

    /// Median of the processor's time for it, seconds. What is short beside the ticks that is told in: least time on the wall.
    pub fn spent(&self, what: &str) -> f64 {
        let spent = median(self.of(what).2.clone());
        if spent < Duration::from_millis(40) { self.wall(what) } else { spent.as_secs_f64() }
    }

    /// Least time on the wall, seconds: for what runs on several threads, where other work can only make it later.
    pub fn wall(&self, what: &str) -> f64 {
        self.of(what).1.iter().min().expect("it was timed").as_secs_f64()
    }

    /// Every task with its medians.
    pub fn print(&self) {
        for (what, wall, spent) in &self.times {
            let (wall, spent) = (median(wall.clone()), median(spent.clone()));
            println!("  {what:<34} {:>12} wall {:>12} processor", shown(wall), shown(spent));
        }
    }
}

/// The middle one.
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

/// In milliseconds.
pub fn shown(time: Duration) -> String {
    format!("{:.3} ms", time.as_secs_f64() * 1e3)
}

fn ratio(a: Duration, b: Duration) -> f64 {
    a.as_secs_f64() / b.as_secs_f64()
}

/// Stops the bench where an answer is wrong: a fast wrong number is worth nothing.
#[track_caller]
pub fn assert_near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs().max(1.0), "{got} is not {want} within {relative}");
}
