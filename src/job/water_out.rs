//! What comes out about water: slopes, ways, ponds and drains, as plain numbers in job units.

use super::drains::DrainRunOut;
use super::ponds::PondOut;
use crate::units::fixed;
use serde::Serialize;

/// Where the water goes. A part that was not worked out is absent.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DrainageOut {
    /// Slopes and paths of one bare subgrade.
    #[serde(flatten)]
    pub falls: Option<FallsOut>,
    /// Slopes of every area of a job and where its subgrade drains to.
    #[serde(flatten)]
    pub dug: Option<DugWaterOut>,
    /// Where water stands; nested lows behind the pond they are in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ponds: Option<Vec<PondOut>>,
    /// Every run of pipe.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub drains: Vec<DrainRunOut>,
}

/// Slopes of one bare subgrade, and where a drop from each stake goes.
#[derive(Clone, Debug, Default, Serialize)]
pub struct FallsOut {
    /// Overall fall of the subgrade: slope of the plane that fits it best.
    pub overall_slope: f64,
    /// Which way that plane falls, degrees clockwise from north.
    pub overall_azimuth: f64,
    /// Flattest triangle.
    pub least_slope: f64,
    /// Steepest triangle.
    pub greatest_slope: f64,
    /// Every triangle flatter than the least fall.
    pub flat: Vec<FlatOut>,
    /// Each stake's steepest path.
    pub paths: Vec<PathOut>,
    /// Names of stakes whose water reaches neither an outlet nor the open edge.
    pub unreached: Vec<String>,
}

/// Where the water of a job with areas goes, on its subgrade.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugWaterOut {
    /// Area by area.
    pub areas: Vec<AreaWaterOut>,
    /// Each stake's steepest path.
    pub paths: Vec<PathOut>,
    /// Names of stakes whose water reaches no drain, no outlet and not the open edge.
    pub unreached: Vec<String>,
    /// Where water would stand on the finished work; nested lows behind the pond they are in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish_ponds: Option<Vec<PondOut>>,
    /// Rings of subgrade whose water reaches nothing; for the plan only.
    #[serde(skip)]
    pub unreached_rings: Vec<Vec<(f64, f64)>>,
}

/// Slopes of an area and where its subgrade drains to.
#[derive(Clone, Debug, Default, Serialize)]
pub struct AreaWaterOut {
    /// Its name.
    pub name: String,
    /// Slopes of its finish.
    pub finish: SlopeOut,
    /// Slopes of its subgrade.
    pub subgrade: SlopeOut,
    /// Every end of its water, the greatest first.
    pub drains_to: Vec<DrainsToOut>,
    /// Longest way of its water to a drain, an outlet or the edge, of those that begin at stakes.
    pub longest: f64,
    /// Least slope on those ways.
    pub least_on_the_way: f64,
}

/// Slopes of a grade.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SlopeOut {
    /// Of its flattest part, rise over run.
    pub least: f64,
    /// Of its steepest part.
    pub greatest: f64,
    /// Which way it falls on the whole, degrees clockwise from north.
    pub azimuth: f64,
}

/// How much of an area drains to one end.
#[derive(Clone, Debug, Serialize)]
pub struct DrainsToOut {
    /// `drain`, `outlet`, `edge`, `pond` (a low in which water stands), `low` or `flat`.
    pub end: String,
    /// Name of the drain or outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Plan area inside the outline.
    pub area: f64,
}

/// A triangle that is too flat.
#[derive(Clone, Debug, Serialize)]
pub struct FlatOut {
    /// Northing of its middle.
    pub northing: f64,
    /// Easting of its middle.
    pub easting: f64,
    /// Its slope.
    pub slope: f64,
    /// Its plan area.
    pub area: f64,
    /// Which patch of touching flat triangles it belongs to, from 1.
    pub patch: usize,
}

/// A stake's path.
#[derive(Clone, Debug, Serialize)]
pub struct PathOut {
    /// Where it begins.
    pub stake: String,
    /// `drain`, `outlet`, `edge`, `low` or `flat`.
    pub end: String,
    /// Name of the drain or outlet it ends at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Northing of its end.
    pub northing: f64,
    /// Easting of its end.
    pub easting: f64,
    /// Length in plan.
    pub length: f64,
    /// Height lost.
    pub fall: f64,
    /// Least slope on the way.
    pub least_slope: f64,
    /// The way, northing and easting; for the plan only.
    #[serde(skip)]
    pub line: Vec<(f64, f64)>,
}

impl PathOut {
    /// Where it ends, in words.
    #[must_use]
    pub fn way(&self) -> String {
        match (self.end.as_str(), &self.to) {
            ("outlet", Some(name)) => format!("outlet {name}"),
            (_, Some(name)) => name.clone(),
            ("edge", _) => "open edge".to_owned(),
            (end, _) => format!("{end} at N {}, E {}", fixed(self.northing, 2), fixed(self.easting, 2)),
        }
    }
}
