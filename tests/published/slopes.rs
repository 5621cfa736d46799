//! Slopes: what codes and trades ask, how they are written, and the plane through three points.
//!
//! IRC R401.3 by an inspectors' board and later guides (seen); 2010 ADA Standards 403.3, 405.2, 405.7, 502.4 (from memory), 405.3
//! (code page, seen); a residential design text (seen); the rest as it says. Ways to write a slope are arithmetic.

use crate::common::site::worked_out;
use crate::common::{assert_close, built};
use spadework::drainage::Fall;
use spadework::rules::{Bound, Id, RULES};
use spadework::shots::to_micro;
use spadework::surface::Cells;
use spadework::units::{Length, LengthUnit, feet_inches, fixed, parse_slope};

fn slope(text: &str) -> f64 {
    parse_slope(text).map_or(f64::NAN, |s| s.ratio())
}

fn bound(id: Id) -> Bound {
    RULES.iter().find(|r| r.id == id).map(|r| r.bound).expect("each rule has its line")
}

#[track_caller]
fn least(id: Id, text: &str) {
    let Bound::LeastSlope(held) = bound(id) else { panic!("{id:?} asks no least slope") };
    assert_close(held, slope(text), 1e-15);
}

#[track_caller]
fn most(id: Id, text: &str) {
    let Bound::MostSlope(held) = bound(id) else { panic!("{id:?} asks no greatest slope") };
    assert_close(held, slope(text), 1e-15);
}

/// Source: IRC R401.3 (seen): 6 in within the first 10 ft, 5.00 %, and as much where walls or lot lines prevent it; impervious
/// surfaces and swales within 10 ft, 2 %.
///
/// DIFFERENCE: a page (seen) calls 6 in in 10 ft 6 %; it is 5 %.
#[test]
fn by_a_building() {
    assert_close(slope("6/10 in/ft"), 6.0 / 12.0 / 10.0, 1e-15);
    least(Id::GroundByBuilding, "5 %");
    least(Id::GroundByBuilding, "6/10 in/ft");
    least(Id::ByBuilding, "2 %");
}

/// Source: 2010 ADA Standards: ramps 1:12 along (405.2, from memory) and 1:48 across (405.3, seen); walks 1:20 along and 1:48 across
/// (403.3, from memory); landings and parking 1:48 any way (405.7, 502.4, from memory).
#[test]
fn accessible_ways() {
    most(Id::RampRun, "1:12");
    most(Id::RampCross, "1:48");
    most(Id::WalkRun, "1:20");
    most(Id::AccessibleMost, "1:48");
    assert_close(slope("1:12") * 100.0, 8.333, 0.0005);
    assert_close(slope("1:48") * 100.0, 2.083, 0.0005);
    assert_eq!(slope("1:20").to_bits(), slope("5 %").to_bits());
}

/// Source: lawns 2 % (residential design text, seen), to be mown 25 to 33 %, planted banks 50 % (from memory); smooth paving 1 %
/// (common practice).
///
/// DIFFERENCE: the text asks 1.5 % of rough paving, and makers of pavers 1.5 to 2 % (from memory); our one rule for paving is the 1 %
/// that holds for all of it, and a job says its own.
#[test]
fn lawns_banks_and_paving() {
    least(Id::LawnLeast, "2 %");
    most(Id::LawnMost, "1:3");
    assert!((0.25..=0.334).contains(&slope("1:3")));
    most(Id::BedMost, "1:2");
    most(Id::BedMost, "50 %");
    least(Id::PavingLeast, "1 %");
}

/// Source: derived. 1/4 in/ft is 2.0833 %, 1/8 1.0417 %, 1/16 0.5208 %, 1:48 2.0833 %; 2:1 is 50 % or 26.565 degrees. 12 ft at 2 %
/// fall 0.24 ft, 2 7/8 in.
#[test]
fn ways_to_write_a_slope() {
    for (text, percent) in
        [("1/4 in/ft", 2.0833), ("1/8 in/ft", 1.0417), ("1/16 in/ft", 0.5208), ("1:48", 2.0833), ("2.0833 %", 2.0833)]
    {
        let read = parse_slope(text).unwrap_or_else(|why| panic!("{why:?}"));
        assert_close(read.as_percent(), percent, 0.000_05);
        assert_eq!(fixed(read.as_percent(), 4), format!("{percent}"), "{text}");
    }
    assert_close(slope("1:2").atan().to_degrees(), 26.565, 0.0005);
    let fall = 12.0 * slope("2 %");
    assert_close(fall, 0.24, 1e-15);
    assert_eq!(feet_inches(Length::in_job_units(fall), LengthUnit::Foot), "0-2 7/8");
}

/// Source: derived. At most 1:48: 2.08 % and 1:48 itself pass, 2.09 % does not.
#[test]
fn the_tie_of_a_landing() {
    for (fall, pass) in [("2.08 %", true), ("1:48", true), ("1/4 in/ft", true), ("2.09 %", false)] {
        let area = format!(
            "[[area]]\nname = \"landing\"\nsection = \"base\"\nuse = \"landing\"\n\
             outline = [[50, 50], [50, 60], [60, 60], [60, 50]]\n\
             finish = {{ through = [50, 50, 99], falls = [\"{fall} north\"] }}\n"
        );
        let out = worked_out(&area, |_, _| 100.0, &[]).unwrap_or_else(|e| panic!("{e}"));
        let check = out.checks.iter().find(|c| c.rule == "accessible surface, greatest slope").expect("held");
        assert_eq!(check.pass, pass, "{fall}: {check:?}");
    }
}

/// Source: gradient sqrt(a^2 + b^2) of the plane a x + b y + c (US EPA gradient page, seen); the plane is derived: through (10, 10, 2.5),
/// (20, 10, 1.5), (10, 20, 0.5) a = -0.1, b = -0.2, steepest 22.36 % toward (+1, +2).
///
/// DIFFERENCE: a note (seen) measures from the middle of the high edge to the low corner and prints 21.2 %; that run is 11.18, not its
/// 7.07, so it falls 13.4 %, and that line is not the steepest.
#[test]
fn the_plane_through_three_points() {
    let surface = built(&[[10.0, 10.0, 2.5], [20.0, 10.0, 1.5], [10.0, 20.0, 0.5]], Cells::Nodes);
    let fall = Fall::of(&surface, 0);
    assert_close(fall.slope.as_percent(), 22.36, 0.005);
    assert_close(fall.azimuth, 1.0_f64.atan2(2.0).to_degrees(), 1e-9);
    let at = |x: f64, y: f64| surface.height_at(to_micro(y), to_micro(x)).unwrap_or(f64::NAN);
    let (drop, run) = (at(15.0, 10.0) - at(10.0, 20.0), 5.0_f64.hypot(10.0));
    assert_close(run, 11.18, 0.005);
    assert_close(drop / run * 100.0, 13.4, 0.05);
    assert_close(drop / 7.07 * 100.0, 21.2, 0.05);
}
