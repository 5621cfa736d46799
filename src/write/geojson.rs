//! Contours as GeoJSON (RFC 7946), in site coordinates: the standard's own are longitude and latitude, so the file says what it has.

use crate::job::LineOut;
use crate::units::LengthUnit;
use serde_json::{Value, json};

/// One feature a line; positions are easting, northing (x, y), height in the properties.
#[must_use]
pub fn contours(lines: &[LineOut], unit: LengthUnit) -> String {
    let feature = |line: &LineOut| {
        let places: Vec<Value> = line.points.iter().map(|&(n, e)| json!([millionths(e), millionths(n)])).collect();
        json!({
            "type": "Feature",
            "properties": { "level": line.level, "closed": line.closed },
            "geometry": { "type": "LineString", "coordinates": places },
        })
    };
    let note = format!(
        "Positions are easting, northing on the site's own grid in {}, not the longitude and latitude that RFC 7946 section 4 asks for.",
        unit.code()
    );
    let mut text = json!({
        "type": "FeatureCollection",
        "note": note,
        "features": lines.iter().map(feature).collect::<Vec<_>>(),
    })
    .to_string();
    text.push('\n');
    text
}

fn millionths(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
