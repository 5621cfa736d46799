//! Does water on dug ground stand where walls, steps and trenches hold it, and nowhere else?
//!
//! Closed forms on level and tilted ground, to 1e-9 of the volume (places are whole millionths of a foot).

mod common;

use common::assert_close;
use common::site::worked_out;
use spadework::job::{Outcome, PondOut};

fn water(job: &str, ground: impl Fn(f64, f64) -> f64) -> (Outcome, Vec<PondOut>) {
    let out = worked_out(job, ground, &[]).unwrap_or_else(|e| panic!("{e}"));
    let ponds = out.drainage.as_ref().and_then(|d| d.ponds.clone()).expect("worked out");
    (out, ponds)
}

fn area(name: &str, outline: &str, height: f64, falls: &str) -> String {
    format!(
        "[[area]]\nname = \"{name}\"\nsection = \"base\"\nuse = \"patio\"\noutline = {outline}\n\
         finish = {{ through = [50, 50, {height}], falls = [{falls}] }}\n"
    )
}

fn close(got: f64, want: f64) {
    assert_close(got, want, 1e-9 * want.abs().max(1.0));
}

const CUBIC_YARD: f64 = 27.0;

#[test]
fn a_pit_in_level_ground_fills_to_its_wall() {
    // Subgrade 2 ft down at its south-west corner and falling: 2 % north, so the wall is as high as the ground all round.
    let (out, ponds) =
        water(&area("court", "[[50, 50], [50, 80], [70, 80], [70, 50]]", 99.0, "\"2 % north\""), |_, _| 100.0);
    assert_eq!(ponds.len(), 1);
    close(ponds[0].level, 100.0);
    close(ponds[0].depth, 2.4);
    close(ponds[0].area, 600.0);
    close(ponds[0].volume * CUBIC_YARD, 600.0 * 2.2);
    assert_eq!(ponds[0].areas, ["court"]);
    let check = out.checks.iter().find(|c| c.rule == "water stands on no subgrade").expect("checked");
    assert!(!check.pass && check.subject == "court" && check.note.contains("2.40 ft deep"), "{check:?}");
}

#[test]
fn the_least_point_of_a_wall_lies_where_the_two_sides_cross() {
    // Ground falls 10 % to the north; the floor falls 10 % to the south and is level with the ground inside the east and west edges,
    // between two shots, so water leaves there: max(floor, ground) along those edges is least where the two cross.
    let floor = "[[50, 50], [50, 80], [70, 80], [70, 50]]";
    let (_, ponds) = water(&area("court", floor, 97.6, "\"10 % south\""), |n, _| 103.0 - n / 10.0);
    // Subgrade 96.6 + (n - 50) / 10, ground 103 - n / 10: equal at 97.3 where n = 57.
    assert_eq!(ponds.len(), 1);
    close(ponds[0].level, 97.3);
    close(ponds[0].spill_at.0, 57.0);
    close(ponds[0].depth, 0.7);
    close(ponds[0].area, 210.0);
    close(ponds[0].volume * CUBIC_YARD, 210.0 * 0.35);
}

#[test]
fn a_step_dams_what_comes_down_to_it_and_is_told_by_its_areas() {
    // The upper court falls north to a walk whose floor stands 0.3 ft above its lower edge; the walk falls away north to open ground.
    let ground = |n: f64, _: f64| if n <= 75.0 { 101.0 } else { 97.0 };
    let upper = area("court", "[[50, 50], [50, 80], [70, 80], [70, 50]]", 100.0, "\"1 % north\"");
    let walk = "[[area]]\nname = \"walk\"\nsection = \"base\"\nuse = \"walk\"\noutline = [[70, 50], [70, 80], [80, 80], [80, 50]]\n\
                finish = { through = [70, 50, 100.1], falls = [\"20 % north\"] }\n";
    let (out, ponds) = water(&(upper + walk), ground);
    assert_eq!(ponds.len(), 1, "{ponds:?}");
    // Court subgrade 98.8 at the step, the walk's 99.1.
    close(ponds[0].level, 99.1);
    close(ponds[0].depth, 0.3);
    // A wedge 20 long would be 0.5 ft up at 1 %: the water reaches over all of the court, 20 by 30, 0.1 to 0.3 deep.
    close(ponds[0].area, 600.0);
    close(ponds[0].volume * CUBIC_YARD, 600.0 * 0.2);
    assert_eq!(ponds[0].dam, Some(["court".to_owned(), "walk".to_owned()]));
    let note = &out.checks.iter().find(|c| c.rule == "water stands on no subgrade").expect("checked").note;
    assert!(note.contains("dammed where court and walk meet"), "{note}");
}

#[test]
fn a_perforated_leg_takes_what_its_trench_touches_and_a_solid_one_nothing() {
    let court = area("court", "[[50, 50], [50, 80], [70, 80], [70, 50]]", 99.0, "\"2 % north\"");
    let drain = |kind: &str, n: f64| {
        format!(
            "[[drain]]\nname = \"A\"\ntrench = {{ width = \"12 in\" }}\nnodes = [ {{ at = [{n}, 45], invert = 96 }}, {{ at = [{n}, 85], invert = 95 }} ]\n\
             legs = [ {{ kind = \"{kind}\", size = \"4 in\" }} ]\n"
        )
    };
    let count = |kind: &str, n: f64| water(&format!("{court}{}", drain(kind, n)), |_, _| 100.0).1.len();
    // Along its lower edge outside, touching it: all of it is drained. A hair farther off nothing is.
    assert_eq!(count("perforated", 70.5), 0);
    assert_eq!(count("perforated", 70.6), 1);
    assert_eq!(count("solid", 70.5), 1);
    // Half-way up, the lower half stands full to the trench's lower edge.
    let (_, ponds) = water(&format!("{court}{}", drain("perforated", 60.0)), |_, _| 100.0);
    assert_eq!(ponds.len(), 1);
    close(ponds[0].level, 98.0 - 0.02 * 10.5);
    close(ponds[0].depth, 0.02 * 9.5);
    close(ponds[0].volume * CUBIC_YARD, 30.0 * 9.5 * 0.02 * 9.5 / 2.0);
}
