//! Grades of pipes: inverts by station, cuts from hubs, rods for batter boards.
//!
//! invert at a station = invert at the one end less fall times distance; cut = ground less invert; the rod on a batter board reads
//! height of instrument less (invert + height of the board over it). Stations run east, so that 9+00 lies at easting 900.

use crate::common::assert_close;
use spadework::design::drains::{Run, runs};
use spadework::design::said::{Drain, Meets, Node, Pipe, Said};
use spadework::level::SetUp;
use spadework::shots::{Frame, Shots, to_micro};
use spadework::units::{Elevation, Length};

fn height(feet: f64) -> Elevation {
    Elevation::in_job_units(feet)
}

fn rod(feet: f64) -> Length {
    Length::in_job_units(feet)
}

/// A run through these stations, its inverts said at the first and the last.
fn run(stations: &[f64], first: f64, last: f64) -> (Vec<f64>, Vec<f64>) {
    let node = |(k, &station): (usize, &f64)| Node {
        name: format!("{station}"),
        place: (0, to_micro(station)),
        invert: match k {
            0 => Some(height(first)),
            k if k + 1 == stations.len() => Some(height(last)),
            _ => None,
        },
        clean_out: false,
        meets: Meets::Nothing,
    };
    let legs = stations.len() - 1;
    let drain = Drain {
        name: "sewer".into(),
        nodes: stations.iter().enumerate().map(node).collect(),
        perforated: vec![false; legs],
        pipes: vec![Pipe::default(); legs],
        trench: None,
        by_others: false,
        takes_surface: false,
    };
    let said = Said { drains: vec![drain], ..Said::default() };
    let frame = Frame::of(&[&Shots::ground(&[("W", 0.0, 0.0, 0.0), ("E", 0.0, 1400.0, 0.0)])]);
    let all = runs(&said, frame);
    let Run { inverts, legs, .. } = &all[0];
    (inverts.clone(), legs.iter().map(|leg| leg.fall()).collect())
}

/// Source: NAVEDTRA 14070, ch. 10, fig. 10-19 (seen, web reprint): 122.87 at 9+00, grade -2.18 %: 121.78 at 8+50. Hubs at 126.94 and
/// 127.33: C 4.07 and C 5.55.
#[test]
fn a_grade_back_to_a_station() {
    let (inverts, falls) = run(&[900.0, 850.0, 800.0], 122.87, 122.87 - 2.18);
    assert_close(inverts[1], 121.78, 0.005);
    falls.iter().for_each(|&fall| assert_close(fall, 0.0218, 0.00005));
    let set_up = SetUp::at(height(130.0));
    for (hub, invert, cut) in [(126.94, inverts[0], 4.07), (127.33, inverts[1], 5.55)] {
        let to_do = set_up.cut_fill(set_up.rod(height(hub)), height(invert));
        assert_close(to_do.cut().job_units(), cut, 0.005);
        assert_close(to_do.fill().job_units(), 0.0, 0.0);
    }
}

/// 0+00 to 5+64.
const STATIONS: [f64; 7] = [0.0, 100.0, 200.0, 300.0, 400.0, 500.0, 564.0];

/// Source: inputs of instructor's solutions to problem 23.11 (seen; Ghilani, Elementary Surveying, 15th ed., from memory): 868.25 at
/// 0+00 to 862.05 at 5+64, BM 873.25, BS 4.06. Results derived: grade -1.09929 %, and the sheet below with boards 8.00 above the invert.
#[test]
fn a_whole_cut_sheet() {
    let (inverts, falls) = run(&STATIONS, 868.25, 862.05);
    let set_up = SetUp::on_bench(height(873.25), rod(4.06));
    assert_close(set_up.height_of_instrument().job_units(), 877.31, 1e-9);
    falls.iter().for_each(|&fall| assert_close(fall * 100.0, 1.09929, 0.000_005));
    for (k, (foresight, ground, invert, cut, board)) in [
        (5.51, 871.80, 868.2500, 3.55, 1.06),
        (5.67, 871.64, 867.1507, 4.49, 2.16),
        (5.03, 872.28, 866.0514, 6.23, 3.26),
        (7.16, 870.15, 864.9521, 5.20, 4.36),
        (7.92, 869.39, 863.8528, 5.54, 5.46),
        (8.80, 868.51, 862.7535, 5.76, 6.56),
        (9.10, 868.21, 862.0500, 6.16, 7.26),
    ]
    .into_iter()
    .enumerate()
    {
        assert_close(set_up.height(rod(foresight)).job_units(), ground, 1e-9);
        assert_close(inverts[k], invert, 0.000_05);
        let to_do = set_up.cut_fill(rod(foresight), height(inverts[k]));
        assert_close(to_do.cut().job_units(), cut, 0.005);
        assert_close(set_up.rod(height(inverts[k]) + rod(8.0)).job_units(), board, 0.005);
    }
    // The shot back on the bench.
    assert_close(set_up.rod(height(873.25)).job_units(), 4.06, 1e-9);
}

/// Source: inputs of a study site's numbers for the same problem (seen); cuts and the grade of -0.20035 % derived.
#[test]
fn the_same_sheet_with_other_numbers() {
    let (inverts, falls) = run(&STATIONS, 160.85, 159.72);
    falls.iter().for_each(|&fall| assert_close(fall * 100.0, 0.20035, 0.000_005));
    let set_up = SetUp::at(height(167.48));
    assert_close(set_up.rod(height(163.42)).job_units(), 4.06, 1e-9);
    let foresights = [5.31, 5.32, 5.35, 5.85, 5.84, 6.73, 6.73];
    for (k, cut) in [1.32, 1.51, 1.68, 1.38, 1.59, 0.90, 1.03].into_iter().enumerate() {
        assert_close(set_up.cut_fill(rod(foresights[k]), height(inverts[k])).cut().job_units(), cut, 0.005);
    }
}

/// Source: inputs of a study site (seen): 326.32 at 10+00, -1 %, to 13+20, every 50 ft. Results derived.
#[test]
fn a_sewer_every_fifty_feet() {
    let stations = [1000.0, 1050.0, 1100.0, 1150.0, 1200.0, 1250.0, 1300.0, 1320.0];
    let (inverts, _) = run(&stations, 326.32, 326.32 - 3.2);
    let printed = [326.32, 325.82, 325.32, 324.82, 324.32, 323.82, 323.32, 323.12];
    for (invert, want) in inverts.into_iter().zip(printed) {
        assert_close(invert, want, 1e-9);
    }
}
