//! Where nothing may be written: folders of others, files, links, folders with other things in them.

use super::{Desk, Ran};

const RUN: [&str; 5] = ["run", "existing.csv", "proposed.csv", "--out", "out"];

fn run(desk: &Desk) -> Ran {
    desk.run(&RUN)
}

#[test]
fn a_folder_or_file_that_is_not_ours_is_left_alone() {
    let desk = Desk::new("foreign");
    std::fs::create_dir(desk.path("out")).expect("a folder");
    desk.refuses(1, &RUN, &["out", "did not make"]);
    desk.put("out/diary.txt", "mine");
    desk.refuses(1, &RUN, &["out", "did not make"]);
    let desk = Desk::new("foreign-file");
    desk.put("out", "mine");
    desk.refuses(1, &RUN, &["out", "no folder"]);
}

#[cfg(unix)]
#[test]
fn a_link_even_to_nowhere_is_left_alone() {
    let desk = Desk::new("link");
    std::os::unix::fs::symlink("nowhere", desk.path("out")).expect("a link");
    desk.refuses(1, &RUN, &["out", "no folder"]);
}

#[test]
fn our_own_folder_with_something_of_yours_in_it_is_left_alone() {
    let desk = Desk::new("mixed");
    run(&desk).ends(0);
    desk.put("out/notes.txt", "mine");
    desk.refuses(1, &RUN, &["notes.txt", "did not write"]);
    assert_eq!(desk.text("out/notes.txt"), "mine");
}

#[test]
fn a_folder_that_is_not_there_cannot_be_written_into() {
    let desk = Desk::new("no-parent");
    desk.refuses(1, &["run", "existing.csv", "proposed.csv", "--out", "a/b/out"], &["a/b", "no such folder"]);
}

#[test]
fn a_job_to_fill_in_is_never_replaced() {
    let desk = Desk::new("new-twice");
    desk.run(&["new", "mine"]).ends(0);
    desk.refuses(1, &["new", "mine"], &["mine", "free"]);
    // Nor by a run, for it carries no mark of ours.
    desk.refuses(1, &["run", "mine", "--out", "mine"], &["mine", "did not make"]);
}

#[test]
fn contour_files_are_not_written_over() {
    let desk = Desk::new("contour-files");
    let over = ["contours", "existing.csv", "--interval", "0.2", "--csv", "proposed.csv"];
    desk.refuses(1, &over, &["proposed.csv", "free"]);
    let twice = ["contours", "existing.csv", "--interval", "0.2", "--csv", "a", "--geojson", "a"];
    desk.refuses(2, &twice, &["--csv and --geojson"]);
    // One name is taken: the other is not written either.
    let half = ["contours", "existing.csv", "--interval", "0.2", "--csv", "new.csv", "--geojson", "proposed.csv"];
    desk.refuses(1, &half, &["proposed.csv"]);
    // One cannot be written: the other is not left either.
    let nowhere = ["contours", "existing.csv", "--interval", "0.2", "--csv", "new.csv", "--geojson", "gone/new.json"];
    desk.refuses(1, &nowhere, &["cannot write gone/new.json", "nothing was changed"]);
    let both = ["contours", "existing.csv", "--interval", "0.2", "--csv", "-", "--json"];
    desk.refuses(2, &both, &["--json and `-` both print"]);
    // Names that differ in their ending only.
    desk.run(&["contours", "existing.csv", "--interval", "0.2", "--csv", "c.csv", "--geojson", "c.json"]).ends(0);
    assert!(desk.text("c.csv").starts_with("line,level") && desk.text("c.json").starts_with('{'));
}
