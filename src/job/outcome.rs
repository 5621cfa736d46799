//! What came out: plain numbers, in the job's unit, every sheet and table a view of them.
//!
//! Lengths, heights and places in the job's unit; volumes in yd3 (feet) or m3; areas in square job units;
//! slopes as rise over run; azimuths in degrees clockwise from north. A part that was not computed is absent.
//! Nothing here is rounded: that is done where it is printed.

use serde::Serialize;

/// The whole result. Serialized, this is the `--json` envelope and `outcome.json`.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Outcome {
    /// Version of the program.
    pub spadework: String,
    /// What was asked, as typed.
    pub command: String,
    /// The files read.
    pub inputs: Vec<Input>,
    /// The job's name.
    pub job: String,
    /// What the numbers are in.
    pub units: Units,
    /// Everything that was not said and therefore assumed.
    pub defaults: Vec<String>,
    /// What the person should know; changes no number.
    pub cautions: Vec<CautionOut>,
    /// Cut at every stake, in walking order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stakes: Option<Vec<StakeOut>>,
    /// Volumes and areas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume: Option<VolumeOut>,
    /// Contour summary by level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contours: Option<Vec<ContourOut>>,
    /// Slopes and where the water goes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drainage: Option<DrainageOut>,
    /// Every rule that was held against the design.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub checks: Vec<CheckOut>,
    /// Geometry for the plan; not part of the JSON.
    #[serde(skip)]
    pub plan: Option<PlanOut>,
}

impl Outcome {
    /// Adds what reading gave cause to say, before what the work did.
    pub fn add_cautions<'a>(&mut self, cautions: impl IntoIterator<Item = &'a crate::finding::Caution>) {
        let read = cautions.into_iter().map(super::caution_out);
        self.cautions.splice(0..0, read);
    }
}

/// A file that was read.
#[derive(Clone, Debug, Serialize)]
pub struct Input {
    /// As named on the command line.
    pub file: String,
    /// FNV-1a of its bytes, 16 hexadecimal digits.
    pub hash: String,
}

/// What the numbers are in, said once.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Units {
    /// `ft`, `us-ft` or `m`.
    pub length: String,
    /// `ft2` or `m2`.
    pub area: String,
    /// `yd3` or `m3`.
    pub volume: String,
    /// `ton` or `tonne`.
    pub mass: String,
    /// `gal` or `L`.
    pub water: String,
}

/// A caution.
#[derive(Clone, Debug, Serialize)]
pub struct CautionOut {
    /// Where.
    pub subject: String,
    /// What.
    pub text: String,
}

/// One stake.
#[derive(Clone, Debug, Default, Serialize)]
pub struct StakeOut {
    /// Its name.
    pub stake: String,
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
    /// The ground; absent where no ground was surveyed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing: Option<f64>,
    /// Finished grade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<f64>,
    /// Top of firm ground under the build-up.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub subgrade: Option<f64>,
    /// What the bucket digs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dig_to: Option<f64>,
    /// Existing above dig-to, else 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut: Option<f64>,
    /// Dig-to above existing, else 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill: Option<f64>,
    /// Cut or fill as on a lath, feet-inches to 1/8.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut_text: Option<String>,
    /// Dig-to below each bench (positive: lower than the bench).
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "as_map")]
    pub drop: Vec<(String, f64)>,
    /// Rod reading at dig-to for the set-up (negative: above the line of sight).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rod: Option<f64>,
    /// Steepest slope of the subgrade at the stake.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<f64>,
    /// Which way it falls, degrees clockwise from north.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub azimuth: Option<f64>,
    /// Where water from here goes, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drains_to: Option<String>,
    /// Remarks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

fn as_map<S: serde::Serializer>(drop: &[(String, f64)], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(drop.iter().map(|(k, v)| (k, v)))
}

/// Volumes and areas of the whole.
#[derive(Clone, Debug, Default, Serialize)]
pub struct VolumeOut {
    /// Totals.
    pub total: TotalOut,
    /// Ground that only one of the two surveys covers: square units each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub uncovered: Vec<UncoveredOut>,
    /// How far the numbers may be out.
    pub doubt: DoubtOut,
}

/// Totals.
#[derive(Clone, Debug, Default, Serialize)]
pub struct TotalOut {
    /// Dug, bank.
    pub cut: f64,
    /// Filled, compacted.
    pub fill: f64,
    /// Cut less fill; only for bare surfaces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub net: Option<f64>,
    /// Plan area both surfaces cover, inside the limit.
    pub area: f64,
    /// Of it, where there is cut.
    pub cut_area: f64,
    /// Of it, where there is fill.
    pub fill_area: f64,
    /// Cut over the whole area.
    pub mean_cut: f64,
    /// Deepest cut.
    pub max_cut: f64,
    /// Highest fill.
    pub max_fill: f64,
}

/// Ground under only one survey.
#[derive(Clone, Debug, Serialize)]
pub struct UncoveredOut {
    /// Which survey covers it.
    pub name: String,
    /// Square units.
    pub area: f64,
}

/// How far the numbers may be out.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DoubtOut {
    /// Half the spread of the cut between the two ways to split every square cell.
    pub diagonal: f64,
}

/// One contour level.
#[derive(Clone, Debug, Serialize)]
pub struct ContourOut {
    /// Height.
    pub level: f64,
    /// Length of all its lines in plan.
    pub length: f64,
    /// How many lines.
    pub lines: usize,
    /// How many of them close on themselves.
    pub closed: usize,
}

/// Slopes and paths.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DrainageOut {
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
    /// `outlet`, `edge`, `low` or `flat`.
    pub end: String,
    /// The outlet's name, if it ends at one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet: Option<String>,
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

/// A rule held against the design.
#[derive(Clone, Debug, Serialize)]
pub struct CheckOut {
    /// The rule.
    pub rule: String,
    /// Where.
    pub subject: String,
    /// What was found.
    pub found: f64,
    /// What is asked, in words.
    pub limit: String,
    /// Whether it holds.
    pub pass: bool,
    /// Where the rule comes from.
    pub source: String,
    /// What to do about it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Geometry of the plan: everything in northing and easting, job units.
#[derive(Clone, Debug, Default)]
pub struct PlanOut {
    /// Existing contours.
    pub existing: Vec<LineOut>,
    /// Subgrade contours.
    pub subgrade: Vec<LineOut>,
    /// Interval between contours.
    pub interval: f64,
    /// Pieces of ground by depth, for the tint. Each is convex.
    pub tint: Vec<TintOut>,
    /// Where cut turns to fill: pieces of line.
    pub zero_line: Vec<[(f64, f64); 2]>,
    /// The edge of the dig: rings of the ground both surveys cover, inside the limit.
    pub edge: Vec<Vec<(f64, f64)>>,
    /// Slope arrows: place, rise over run, azimuth.
    pub arrows: Vec<ArrowOut>,
    /// Outlets: name, northing, easting, height of the subgrade there.
    pub outlets: Vec<(String, f64, f64, Option<f64>)>,
    /// Benches: name, northing, easting, height.
    pub benches: Vec<(String, f64, f64, f64)>,
    /// Lows where water stays: northing, easting, height.
    pub lows: Vec<(f64, f64, f64)>,
    /// Height of instrument, if a set-up was given, and how it was found.
    pub set_up: Option<String>,
    /// Ground from existing to proposed along the way to the outlet or down the overall fall.
    pub profile: Vec<ProfilePoint>,
}

/// One contour line.
#[derive(Clone, Debug)]
pub struct LineOut {
    /// Its height.
    pub level: f64,
    /// Northing and easting; the first point again at the end where closed.
    pub points: Vec<(f64, f64)>,
    /// Whether it closes on itself.
    pub closed: bool,
}

/// A piece of tint.
#[derive(Clone, Debug)]
pub struct TintOut {
    /// Middle depth of the band, positive cut, negative fill.
    pub depth: f64,
    /// Corners.
    pub ring: Vec<(f64, f64)>,
}

/// A slope arrow.
#[derive(Clone, Copy, Debug)]
pub struct ArrowOut {
    /// Northing of its middle.
    pub northing: f64,
    /// Easting of its middle.
    pub easting: f64,
    /// Rise over run.
    pub slope: f64,
    /// Degrees clockwise from north, downhill.
    pub azimuth: f64,
}

/// One place along the profile.
#[derive(Clone, Copy, Debug)]
pub struct ProfilePoint {
    /// Plan distance from its start.
    pub distance: f64,
    /// Ground.
    pub existing: Option<f64>,
    /// Finish.
    pub finish: Option<f64>,
    /// Subgrade.
    pub subgrade: Option<f64>,
}
