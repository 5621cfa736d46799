//! Breaklines and limits as they are typed: found, told, refused.

use super::{Desk, close, has_all, number};
use std::fmt::Write as _;

/// A cone of 1 in 10 about (50, 50), its foot at 100, on a grid of 5: contours are closed and nearly round.
fn cone() -> String {
    let mut text = "point,northing,easting,elevation\n".to_owned();
    for (r, c) in (0..21).flat_map(|r| (0..21).map(move |c| (f64::from(r) * 5.0, f64::from(c) * 5.0))) {
        writeln!(text, "P{r}-{c},{r},{c},{}", 110.0 - (r - 50.0).hypot(c - 50.0) / 10.0).expect("a text");
    }
    text
}

#[test]
fn contours_end_at_the_limit_and_stay_closed_inside_it() {
    let desk = Desk::new("lines-contours");
    desk.put("cone.csv", cone()).put("half.csv", "northing,easting\n50,-10\n50,110\n110,110\n110,-10\n");
    desk.put(
        "ring.csv",
        "ring,northing,easting\na,5,5\na,5,95\na,95,95\na,95,5\nhole,47,47\nhole,47,53\nhole,53,53\nhole,53,47\n",
    );
    let of = |limit: &[&str]| {
        let args = [&["contours", "cone.csv", "--levels", "107,109.8", "--json"], limit].concat();
        let json = desk.run(&args).ends(0).json();
        [0, 1].map(|k| {
            let level = &json["contours"][k];
            (number(&level["length"]), number(&level["lines"]), number(&level["closed"]))
        })
    };
    let (whole, half, ring) = (of(&[]), of(&["--limit", "half.csv"]), of(&["--limit", "ring.csv"]));
    assert_eq!([whole[0].1, whole[0].2], [1.0, 1.0]);
    // The cone is the same on both sides of the line through its top.
    close(half[0].0, whole[0].0 / 2.0, 1e-9);
    assert_eq!([half[0].1, half[0].2], [1.0, 0.0]);
    // Inside the ring untouched; 2 from the top it lies in the hole.
    close(ring[0].0, whole[0].0, 1e-9);
    assert_eq!([ring[0].1, ring[0].2, ring[1].1], [1.0, 1.0, 0.0]);
}

#[test]
fn contours_of_a_bank_run_along_its_lines() {
    let desk = Desk::new("lines-bank");
    let mut shots = "point,northing,easting,elevation\n".to_owned();
    for (k, (n, e)) in [(0, 0), (0, 40), (40, 0), (40, 40)].into_iter().enumerate() {
        writeln!(shots, "P{k},{n},{e},{}", if e == 0 { 104 } else { 100 }).expect("a text");
    }
    desk.put("bank.csv", shots);
    desk.put(
        "lines.csv",
        "line,northing,easting,elevation\ntop,0,18,104\ntop,40,18,104\nfoot,0,22,100\nfoot,40,22,100\n",
    );
    let args = ["contours", "bank.csv", "--levels", "103", "--breaklines", "lines.csv", "--csv", "-"];
    let said = desk.run(&args).ends(0).out;
    has_all(&said, &["0.000000,19.000000", "40.000000,19.000000"]);
}

#[test]
fn what_is_wrong_with_lines_is_told_in_their_own_table() {
    let desk = Desk::new("lines-refused");
    desk.put("flat.csv", "point,northing,easting,elevation,kind\nA,0,0,100,\nB,0,40,100,\nC,40,40,100,\nD,40,0,100,\nM,20,20,100,\nBM1,10,10,101,bench\n");
    let cases: [(&str, &[&str]); 8] = [
        (
            "line,northing,easting,elevation\na,5,5,101\na,15,30,101\nb,5,30,102.5\nb,15,5,102.5\n",
            &[
                "lines.csv, line 2",
                "`a` at two heights, 101.000 and 102.500, where it meets `b`, at N 10.000, E 17.500",
                "0.02 ft apart",
            ],
        ),
        (
            "line,northing,easting,elevation\nwall,0,0,104\nwall,0,20,104\n",
            &["100.000 and 104.000, on shot A", "for a vertical face draw two lines"],
        ),
        (
            "line,northing,easting,elevation\nw,5,5,101\nw,5,9,101\nw,5,5,102\n",
            &["`w` at two heights, 101.000 and 102.000, on itself"],
        ),
        ("line,point\ntop,A\ntop,MM\n", &["lines.csv, line 3, column 5", "the nearest name is `M`"]),
        ("line,point\ntop,A\ntop,BM1\n", &["a ground shot, not one of kind `bench`"]),
        ("line,point\ntop,A\n", &["a line of one point, `top`"]),
        (
            "line,point\ntop,A\nfoot,B\nfoot,C\ntop,D\n",
            &["lines.csv, line 5", "each line's points together", "it began here"],
        ),
        ("line,point,northing,easting,elevation\ntop,A,0,0,100\ntop,B,,,\n", &["one of the two", "not both"]),
    ];
    for (lines, said) in cases {
        desk.put("lines.csv", lines);
        desk.refuses(1, &["contours", "flat.csv", "--levels", "100.5", "--breaklines", "lines.csv"], said);
        desk.refuses(1, &["compare", "flat.csv", "flat.csv", "--after-breaklines", "lines.csv"], said);
        desk.refuses(1, &["run", "flat.csv", "flat.csv", "--proposed-breaklines", "lines.csv"], said);
    }
}

#[test]
fn lines_beside_and_through_shots_are_asked_about() {
    let desk = Desk::new("lines-asked");
    desk.put("flat.csv", "point,northing,easting,elevation\nA,0,0,100\nB,0,40,100\nC,40,40,100\nD,40,0,100\nM,20,20,100.4\nQ,10.01,20,100\n");
    desk.put(
        "lines.csv",
        "line,northing,easting,elevation\nthrough,20,5,100\nthrough,20,35,100\nbeside,10,5,100\nbeside,10,35,100\n",
    );
    desk.run(&["compare", "flat.csv", "flat.csv", "--after-breaklines", "lines.csv"]).ends(0).says(&[
        "`through` passes through shot M, 0.400 ft off its height; the shot's own counts",
        "`beside` passes Q nearer than 0.020 ft without taking it in",
    ]);
    desk.put("far.csv", "line,northing,easting,elevation\nslipped,200,5,100\nslipped,10,35,100\n");
    desk.run(&["compare", "flat.csv", "flat.csv", "--after-breaklines", "far.csv"])
        .ends(0)
        .says(&["`slipped` has a point at N 200.00, E 5.00, farther from the shots"]);
}
