//! How long until a table is read and held against itself? Beside it: the csv crate and `str::parse`, nothing checked.

mod common;

use common::{against, site, sizes, table};
use csv::{ReaderBuilder, StringRecord};
use spadework::read::{Complaints, Source, Survey, read_shots};

fn ours(bytes: &[u8]) -> Survey {
    let mut complaints = Complaints::default();
    let source = Source::read("bench.csv", bytes.to_vec()).expect("is text");
    read_shots(&source, "existing", spadework::units::LengthUnit::Foot, &mut complaints).expect("is sound")
}

fn plain(bytes: &[u8]) -> Vec<[f64; 3]> {
    let mut reader = ReaderBuilder::new().from_reader(bytes);
    let mut record = StringRecord::new();
    let mut rows = Vec::new();
    while reader.read_record(&mut record).expect("is a table") {
        rows.push([1, 2, 3].map(|k| record[k].parse().expect("is a number")));
    }
    rows
}

fn main() {
    for n in sizes() {
        let shots = site(n, 1);
        let text = table(&shots);
        let (read, rows) = (ours(text.as_bytes()).shots, plain(text.as_bytes()));
        assert_eq!((read.len(), rows.len()), (n, n));
        assert_eq!(
            (&read.northing, &read.easting, &read.elevation),
            (&shots.northing, &shots.easting, &shots.elevation)
        );
        against("read", n, || ours(text.as_bytes()), "csv crate and parse", || plain(text.as_bytes()));
    }
}
