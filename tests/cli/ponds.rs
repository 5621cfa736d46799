//! Where water stands, as it is typed.

use super::{Desk, close, number};

/// A pan 10 by 10, its rim at 101 and its bottom at 100, a notch in the rim at 100.6; a mark off the ground.
const PAN: &str = "point,northing,easting,elevation,kind\nA,0,0,101,\nB,0,5,100.6,\nC,0,10,101,\nD,10,10,101,\nE,10,0,101,\n\
                   P,4,4,100,\nQ,4,6,100,\nR,6,6,100,\nS,6,4,100,\nBM,20,20,104,bench\n";

#[test]
fn ponds_by_the_edge_by_an_outlet_and_walled() {
    let desk = Desk::new("ponds");
    desk.put("pan.csv", PAN);
    let open = desk.run(&["ponds", "pan.csv", "--json"]).ends(0).json();
    let pond = &open["drainage"]["ponds"][0];
    close(number(&pond["level"]), 100.6, 1e-12);
    close(number(&pond["depth"]), 0.6, 1e-12);
    assert_eq!(pond["spill_name"], "B");
    close(number(&pond["water"]), number(&pond["volume"]) * 27.0 * 1728.0 / 231.0, 1e-9);
    // Walled, with the drain in the middle of the bottom, nothing stands.
    desk.run(&["ponds", "pan.csv", "--walled", "--outlet", "5,5"])
        .ends(0)
        .says(&["Ponds: none, no water stands on the survey"]);
    desk.run(&["ponds", "pan.csv", "--walled", "--outlet-line", "P,R"]).ends(0).says(&["Ponds: none"]);
    let high = desk.run(&["ponds", "pan.csv", "--walled", "--outlet", "A", "--json"]).ends(0).json();
    let pond = &high["drainage"]["ponds"][0];
    close(number(&pond["level"]), 101.0, 1e-12);
    // All 100 square feet to 101: a frustum with the bottom 2 by 2, less the notch's own ground, more water by it.
    assert!((number(&pond["area"]) - 100.0).abs() < 1e-9);
    desk.run(&["ponds", "pan.csv"]).ends(0).says(&[
        "Ponds on the survey (ft, ft2, yd3)",
        "spills over",
        "B, N 0.00, E 5.00",
        "water also leaves over the edge",
    ]);
}

#[test]
fn what_cannot_be_drained_is_told() {
    let desk = Desk::new("ponds-refused");
    desk.put("pan.csv", PAN);
    desk.refuses(
        1,
        &["ponds", "pan.csv", "--walled"],
        &["walls all round and no outlet", "name an outlet on the survey"],
    );
    desk.refuses(1, &["ponds", "pan.csv", "--outlet", "X"], &["`X`", "a name of the survey, or NORTHING,EASTING"]);
    desk.refuses(1, &["ponds", "pan.csv", "--outlet-line", "A,XY"], &["--outlet-line", "`XY`"]);
    desk.refuses(2, &["ponds", "pan.csv", "--outlet-line", "A"], &["a line runs from one to another"]);
    desk.run(&["ponds", "pan.csv", "--outlet", "BM"]).ends(0).says(&["lies off the survey: no water leaves by it"]);
}
