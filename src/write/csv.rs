//! Tables another program reads: heights and lengths to 0.0001, feet-inches as on the lath.

use crate::job::{LineOut, Outcome};
use crate::units::fixed;

/// One row a stake, in walking order.
///
/// # Errors
/// What the encoder says.
pub fn stakes(outcome: &Outcome) -> Result<String, csv::Error> {
    let stakes = outcome.stakes.as_deref().unwrap_or_default();
    let benches: Vec<&str> =
        stakes.iter().flat_map(|s| s.drop.iter().map(|(name, _)| name.as_str())).fold(Vec::new(), |mut seen, name| {
            if !seen.contains(&name) {
                seen.push(name);
            }
            seen
        });
    let mut out = csv::Writer::from_writer(Vec::new());
    let mut head: Vec<String> =
        ["stake", "northing", "easting", "existing", "finish", "subgrade", "dig_to", "cut", "fill", "cut_text"]
            .map(str::to_owned)
            .to_vec();
    head.extend(benches.iter().map(|b| format!("drop_{b}")));
    head.extend(["rod", "slope", "azimuth", "drains_to", "notes"].map(str::to_owned));
    out.write_record(&head)?;
    for s in stakes {
        let number = |v: Option<f64>, decimals| v.map_or_else(String::new, |v| fixed(v, decimals));
        let mut row = vec![s.stake.clone(), plain(s.northing), plain(s.easting)];
        row.extend([s.existing, s.finish, s.subgrade, s.dig_to, s.cut, s.fill].map(|v| number(v, 4)));
        row.push(s.cut_text.clone().unwrap_or_default());
        row.extend(benches.iter().map(|b| number(s.drop.iter().find(|(n, _)| n == b).map(|&(_, d)| d), 4)));
        row.extend([number(s.rod, 4), number(s.slope, 6), number(s.azimuth, 2)]);
        row.push(s.drains_to.clone().unwrap_or_default());
        row.push(s.notes.join("; "));
        out.write_record(&row)?;
    }
    finished(out)
}

/// One row a bend: `line,level,closed,northing,easting`, places to the millionth.
///
/// # Errors
/// What the encoder says.
pub fn contours(lines: &[LineOut]) -> Result<String, csv::Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(["line", "level", "closed", "northing", "easting"])?;
    for (k, line) in lines.iter().enumerate() {
        for &(n, e) in &line.points {
            let closed = if line.closed { "yes" } else { "no" };
            out.write_record([&(k + 1).to_string(), &plain(line.level), closed, &fixed(n, 6), &fixed(e, 6)])?;
        }
    }
    finished(out)
}

/// A typed number as it was typed: the shortest text that reads back the same.
fn plain(value: f64) -> String {
    format!("{value}")
}

fn finished(out: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = out.into_inner().map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))?;
    String::from_utf8(bytes).map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))
}
