//! The example as a folder of one's own. Kept inside the program, so it needs nothing else.

use super::args::NewArgs;
use super::{Ended, Failure, folder};
use std::io::Write;

const EXISTING: &str = include_str!("../../demo-data/hall-two-tables/existing.csv");
const PROPOSED: &str = include_str!("../../demo-data/hall-two-tables/proposed.csv");

pub(crate) fn new(args: &NewArgs) -> Result<Ended, Failure> {
    let files = [("existing.csv", EXISTING.as_bytes().to_vec()), ("proposed.csv", PROPOSED.as_bytes().to_vec())];
    folder::write(&args.dir, &files)?;
    let dir = args.dir.display();
    let mut out = std::io::stdout().lock();
    writeln!(out, "Made {dir} with existing.csv (the ground as shot) and proposed.csv (finished grades). Next:\n")?;
    writeln!(
        out,
        "  spadework run {dir}/existing.csv {dir}/proposed.csv --build-up \"9 3/8 in\" --outlet OUT1 --out {dir}-out"
    )?;
    Ok(Ended::Well)
}
