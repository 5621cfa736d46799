//! What was measured: shots, places, benches, stakes without a shot.

use super::names::{Desk, Known};
use super::value::{Said, Table};
use crate::job::{Bench, LevelNotes};
use crate::level::{Reduced, Rods, SetUp};
use crate::outline::Place;
use crate::read::{
    Around, Complaint, Levelled, NamedPlace, Reducing, Source, Survey, quoted, read_notes, read_places, read_shots,
};
use crate::shots::{Grid, OffGrid, Shots, Way, from_micro};
use crate::units::{Elevation, Length, fixed};
use std::collections::HashMap;

/// What was measured.
#[derive(Debug, Default)]
pub(super) struct Measured {
    pub shots: Shots,
    pub levels: Option<LevelNotes>,
    /// The table of shots by its name in the job file.
    pub table: Option<(String, Survey)>,
    pub cautions: Vec<crate::finding::Caution>,
}

/// A file the job names: `None` where it was not opened, which whoever opens files complains of.
pub(super) fn file<'f>(t: &Table, key: &str, files: &'f HashMap<String, Source>) -> Option<&'f Source> {
    files.get(t.text(key)?)
}

/// Shots from their table, or heights from the notes with places from the table of places, the shots, or the grid.
pub(super) fn survey(
    desk: &mut Desk<'_>,
    t: &Table,
    benches: &[Table],
    files: &HashMap<String, Source>,
) -> Option<Measured> {
    if !t.has("shots") && !t.has("level_notes") {
        let expected = "one of the two";
        desk.complain(
            t.span.clone(),
            "neither `shots` nor `level_notes`",
            expected,
            "name the table of what was measured",
        );
        return None;
    }
    if t.has("level_notes") && !t.has("shots") && !t.has("grid") && !t.has("places") {
        let expected = "`grid` or `places` beside them";
        desk.complain(
            t.at("level_notes"),
            "level notes without places",
            expected,
            "say where the names of the notes are",
        );
        return None;
    }
    let mut measured = Measured::default();
    let mut grid = match t.table("grid") {
        Some(said) => Some(grid(desk, said)?),
        None => None,
    };
    let mut places = match file(t, "places", files) {
        Some(source) => read_places(source, desk.complaints)?,
        None => Vec::new(),
    };
    if let Some(name) = t.text("shots") {
        let read = read_shots(files.get(name)?, crate::job::EXISTING, desk.unit, desk.complaints)?;
        measured.cautions.extend(read.cautions.iter().cloned());
        measured.shots = read.shots.clone();
        measured.table = Some((name.to_owned(), read));
    }
    if let Some(source) = file(t, "level_notes", files) {
        // Beside notes a table of shots gives places, not heights.
        let shots = std::mem::take(&mut measured.shots);
        for row in 0..shots.len() {
            let name = shots.names.get(row);
            if !places.iter().any(|p| p.name == name) {
                let place = (shots.northing[row], shots.easting[row]);
                places.push(NamedPlace { name: name.to_owned(), place, kind: Some(shots.kind[row]), span: 0..0 });
            }
        }
        let levelled = levelled(desk, t, source, (grid.as_ref(), &places), benches)?;
        measured.cautions.extend(levelled.cautions);
        measured.shots = levelled.shots;
        measured.levels = Some(levelled.levels);
        grid = levelled.grid;
    }
    let shots = &measured.shots;
    for row in 0..shots.len() {
        let known = Known { place: (shots.northing[row], shots.easting[row]), height: Some(shots.elevation[row]) };
        desk.names.all.insert(shots.names.get(row).to_owned(), known);
    }
    for p in &places {
        desk.names.all.entry(p.name.clone()).or_insert(Known { place: p.place, height: None });
    }
    if let (Some(grid), Some(source)) = (&grid, file(t, "places", files)) {
        two_places(desk, grid, &measured.shots, (source, &places));
    }
    desk.names.grid = grid;
    Some(measured)
}

/// Complains of places that bear the name of a stake of the grid, among those that were shot, and stand elsewhere.
fn two_places(desk: &mut Desk<'_>, grid: &Grid, shots: &Shots, (source, places): (&Source, &[NamedPlace])) {
    let on_grid = |r: usize| {
        let name = shots.names.get(r);
        let stands = grid.place(name).ok()? == (shots.northing[r], shots.easting[r]);
        grid.steps(name).ok().filter(|_| stands)
    };
    let steps: Vec<(i64, i64)> = (0..shots.len()).filter_map(on_grid).collect();
    let range = |of: fn(&(i64, i64)) -> i64| Some(steps.iter().map(of).min()?..=steps.iter().map(of).max()?);
    let (Some(letters), Some(numbers)) = (range(|s| s.0), range(|s| s.1)) else { return };
    for p in places.iter().filter(|p| !p.span.is_empty()) {
        let (Ok(at), Ok(step)) = (grid.place(&p.name), grid.steps(&p.name)) else { continue };
        if at != p.place && letters.contains(&step.0) && numbers.contains(&step.1) {
            let say = |(n, e): Place| format!("N {}, E {}", fixed(from_micro(n), 2), fixed(from_micro(e), 2));
            let found = format!("{} at {}, a stake of the grid at {}", quoted(&p.name), say(p.place), say(at));
            let help = "give the place a name that no stake has";
            desk.complaints.push(Complaint::at(source, p.span.clone(), found, "one place for a name", help));
        }
    }
}

/// The taped grid.
fn grid(desk: &mut Desk<'_>, said: &Table) -> Option<Grid> {
    let way = |key: &str| said.word(key).and_then(Way::from_word);
    let made = Grid::new(
        said.text("first")?,
        said.place("origin")?,
        said.number("spacing")?,
        way("letters")?,
        way("numbers")?,
    );
    let grid = match made {
        Ok(grid) => grid.turned(said.number("azimuth").unwrap_or(0.0)),
        Err(OffGrid::NoGrid) => {
            let found = "letters and numbers that run along the same line";
            desk.complain(
                said.at("numbers"),
                found,
                "one north or south, the other east or west",
                "say which way each goes on",
            );
            return None;
        }
        Err(_) => {
            let found = format!("{} as the first stake", quoted(said.text("first").unwrap_or("")));
            desk.complain(
                said.at("first"),
                found,
                "capital letters and a number, such as A1",
                "name the stake at the origin",
            );
            return None;
        }
    };
    let Some(last) = said.text("last") else { return Some(grid) };
    let bounded = grid.up_to(last).ok();
    if bounded.is_none() {
        let found = format!("{} as the last stake", quoted(last));
        let expected = "capital letters and a number, neither before those of the first";
        desk.complain(said.at("last"), found, expected, "name the stake farthest from the origin");
    }
    bounded
}

/// Heights from the notes.
fn levelled(
    desk: &mut Desk<'_>,
    t: &Table,
    source: &Source,
    (grid, places): (Option<&Grid>, &[NamedPlace]),
    benches: &[Table],
) -> Option<Levelled> {
    let benches: Vec<(&str, Option<Elevation>)> = benches
        .iter()
        .filter_map(|b| Some((b.text("name")?, b.number("elevation").map(Elevation::in_job_units))))
        .collect();
    let reducing = Reducing {
        unit: desk.unit,
        rods: t.word("rods").and_then(Rods::from_word).unwrap_or(Rods::of(desk.unit)),
        benches: &benches,
        allowed: t.length("allowed"),
        by_distance: t.word("closing") == Some("distance"),
        sides_with_backsight: t.word("side_shots") == Some("backsight"),
    };
    read_notes(source, &Around { reducing, grid, places }, desk.complaints)
}

/// Marks every height hangs on.
pub(super) fn benches(desk: &mut Desk<'_>, tables: &[Table], levels: Option<&Reduced>) -> Vec<Bench> {
    desk.unique("bench", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    let mut out = Vec::new();
    for t in tables {
        let Some(name) = t.text("name") else { continue };
        let known = desk.names.all.get(name).copied();
        let noted = levels.and_then(|l| l.points.iter().rev().find(|p| p.name == name)).map(|p| p.adjusted);
        let elevation = match t.entries.get("elevation").map(|e| &e.said) {
            Some(Said::Number(up)) => Some(Elevation::in_job_units(*up)),
            Some(Said::Word(_)) => noted.or_else(|| known.and_then(|k| k.height).map(Elevation::in_job_units)),
            _ => continue,
        };
        match elevation {
            Some(elevation) => out.push(Bench {
                name: name.to_owned(),
                elevation,
                note: t.text("note").unwrap_or("").to_owned(),
                place: known.map(|k| k.place),
            }),
            None if desk.names.unknown => {}
            None => {
                let found = format!("a height from the notes for {}, which are silent about it", quoted(name));
                desk.complain(t.at("elevation"), found, "a bench of the survey", "give its height, or shoot it");
            }
        }
    }
    out
}

/// Where the level stands, and how it was said.
pub(super) fn set_up(desk: &mut Desk<'_>, t: &Table, benches: &[Bench]) -> Option<(SetUp, String)> {
    match (t.has("hi"), t.has("bench"), t.has("rod")) {
        (true, false, false) => {
            let hi = t.number("hi")?;
            Some((SetUp::at(Elevation::in_job_units(hi)), format!("HI {}", fixed(hi, 2))))
        }
        (false, true, true) => {
            let names: Vec<&str> = benches.iter().map(|b| b.name.as_str()).collect();
            let at = if desk.names.unknown {
                names.iter().position(|n| Some(*n) == t.text("bench"))
            } else {
                desk.which(t.text("bench")?, t.at("bench"), &names, "bench")
            };
            let rod = t.number("rod").map(Length::in_job_units).or_else(|| t.length("rod"))?;
            let bench = &benches[at?];
            let set_up = SetUp::on_bench(bench.elevation, rod);
            let hi = fixed(set_up.height_of_instrument().job_units(), 2);
            Some((set_up, format!("HI {hi} from rod {} on {}", fixed(rod.job_units(), 2), bench.name)))
        }
        _ => {
            desk.complain(
                t.span.clone(),
                "a set-up that is said in part or twice",
                "`bench` and `rod`, or `hi`",
                "say which bench the rod stood on and what it read",
            );
            None
        }
    }
}
