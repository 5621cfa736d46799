//! What came out: plain numbers, in the job's unit, every sheet and table a view of them.
//!
//! Lengths, heights and places in the job's unit; volumes in yd3 (feet) or m3; areas in square job units;
//! slopes as rise over run; azimuths in degrees clockwise from north. A part that was not computed is absent.
//! Nothing here is rounded: that is done where it is printed.

use super::digcheck_out::DigCheckOut;
use super::levels::NotesOut;
use super::road::HaulOut;
use super::sections::SectionOut;
use super::soil::SoilOut;
use super::staking::{BenchOut, PlaneOut};
use super::suspects::SurveyOut;
use super::tank::TankOut;
use super::water_out::{DrainageOut, FallsOut};
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
    /// What heights count from, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub datum: Option<String>,
    /// How the level notes closed, and which shots to look at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub survey: Option<SurveyOut>,
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
    /// What the soil is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soil: Option<SoilOut>,
    /// What the cistern yields.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tank: Option<TankOut>,
    /// What leaves and arrives, trips, orders, cost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub haul: Option<HaulOut>,
    /// The hole against the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub digcheck: Option<DigCheckOut>,
    /// Every rule that was held against the design.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub checks: Vec<CheckOut>,
    /// Geometry for the plan; not part of the JSON.
    #[serde(skip)]
    pub plan: Option<PlanOut>,
    /// What the field page is made of; not part of the JSON.
    #[serde(skip)]
    pub field: Option<super::FieldOut>,
}

impl Outcome {
    /// Slopes and paths of one bare subgrade, if they were worked out.
    #[must_use]
    pub fn falls(&self) -> Option<&FallsOut> {
        self.drainage.as_ref()?.falls.as_ref()
    }

    /// How the level notes closed, if there were any.
    #[must_use]
    pub fn notes(&self) -> Option<&NotesOut> {
        self.survey.as_ref()?.notes.as_ref()
    }

    /// The same, to change.
    pub fn notes_mut(&mut self) -> Option<&mut NotesOut> {
        self.survey.as_mut()?.notes.as_mut()
    }

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
    /// Other areas it stands on the edge of, and what is dug to there; their names are in the notes.
    #[serde(skip)]
    pub also: Vec<(String, f64)>,
    /// Its name.
    pub stake: String,
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
    /// The area whose dig is told here; absent outside all areas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
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
    /// Tops of the build-up's layers, top down.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub layers: Vec<LayerTopOut>,
    /// Remarks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// What must be kept off here, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keep_off: Vec<String>,
}

/// Top of a layer at a stake.
#[derive(Clone, Debug, Serialize)]
pub struct LayerTopOut {
    /// The layer.
    pub name: String,
    /// Height of its top.
    pub top: f64,
}

pub(super) fn as_map<S: serde::Serializer>(drop: &[(String, f64)], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(drop.iter().map(|(k, v)| (k, v)))
}

/// Volumes and areas of the whole.
#[derive(Clone, Debug, Default, Serialize)]
pub struct VolumeOut {
    /// Totals.
    pub total: TotalOut,
    /// Everything dug, bank; for a job with areas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub excavation: Option<ExcavationOut>,
    /// Area by area.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub areas: Vec<AreaOut>,
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

/// Everything dug, bank: the parts are disjoint and add up to the sum; strip is of which.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ExcavationOut {
    /// From the ground to subgrade, inside the outlines.
    pub cut: f64,
    /// Topsoil below subgrade that must come out.
    pub undercut: f64,
    /// Past the edges.
    pub over_dig: f64,
    /// For pipes; absent where there are drains whose trenches are not worked out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trench: Option<f64>,
    /// Sloped sides.
    pub batter: f64,
    /// Of all that, within strip depth of the ground.
    pub strip: f64,
    /// All of it.
    pub sum: f64,
}

/// One area.
#[derive(Clone, Debug, Default, Serialize)]
pub struct AreaOut {
    /// Its name.
    pub name: String,
    /// Its section.
    pub section: String,
    /// Plan area of its outline.
    pub area: f64,
    /// Cut inside the outline.
    pub cut: f64,
    /// Fill inside the outline.
    pub fill: f64,
    /// Cut over the whole area.
    pub mean_cut: f64,
    /// Deepest cut.
    pub max_cut: f64,
    /// Highest fill.
    pub max_fill: f64,
    /// Topsoil below subgrade that must come out, its over-dig included.
    pub undercut: f64,
    /// Dug past its edges.
    pub over_dig: f64,
    /// Dug for its battered sides.
    pub batter: f64,
    /// Plan area of that.
    pub ring_area: f64,
    /// How much allowance and proud stone would change the dig: to dig-to less to subgrade.
    pub to_dig_to: f64,
    /// Steepest slope of the finish.
    pub finish_slope: f64,
    /// Which way it falls.
    pub finish_azimuth: f64,
    /// Percent north and percent east of the subgrade, downhill positive: the dials of a slope laser.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dials: Option<[f64; 2]>,
    /// Volume of each layer as placed.
    pub layers: Vec<LayerOut>,
}

/// A layer of an area.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LayerOut {
    /// Its name.
    pub name: String,
    /// Volume as placed, over-dig included where it runs past the edge.
    pub volume: f64,
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

/// A rule held against the design.
#[derive(Clone, Debug, Serialize)]
pub struct CheckOut {
    /// The rule.
    pub rule: String,
    /// Where.
    pub subject: String,
    /// What was found.
    pub found: f64,
    /// The same as a person says it.
    #[serde(skip)]
    pub found_text: String,
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
    /// The highest place of each area's subgrade: northing, easting, height; none where it is level.
    pub highs: Vec<(f64, f64, f64)>,
    /// Lines the existing surface does not bridge.
    pub breaks: Vec<Vec<(f64, f64)>>,
    /// Height of instrument, if a set-up was given, and how it was found.
    pub set_up: Option<String>,
    /// Areas, for a job with areas.
    pub areas: Vec<AreaPlanOut>,
    /// Steps where two areas meet.
    pub steps: Vec<StepOut>,
    /// Limits of the over-dig: rings.
    pub over_dig: Vec<Vec<(f64, f64)>>,
    /// Tops of battered sides: rings.
    pub batter: Vec<Vec<(f64, f64)>>,
    /// What must be kept off.
    pub keep_offs: Vec<KeepOffOut>,
    /// Pipes: name, whether perforated, and both ends.
    pub drains: Vec<DrainOut>,
    /// Rings of ground whose water reaches no drain, outlet or edge.
    pub unreached: Vec<Vec<(f64, f64)>>,
    /// Sections in use: name and layers with thickness, top down.
    pub sections: Vec<(String, Vec<(String, f64)>)>,
    /// What is printed under the north arrow.
    pub north: Option<String>,
    /// The ground cut along lines.
    pub cuts: Vec<SectionOut>,
    /// Marks every height hangs on, whether their place is known or not.
    pub marks: Vec<BenchOut>,
    /// Stakes outside the dig a set-up is checked at: name and ground.
    pub check_stakes: Vec<(String, f64)>,
    /// Areas whose subgrade is one plane: rod and dials.
    pub planes: Vec<PlaneOut>,
    /// Contours of the finish.
    pub finish: Vec<LineOut>,
    /// Slope arrows of the finish.
    pub finish_arrows: Vec<ArrowOut>,
    /// Steps in the finish where two areas meet.
    pub finish_steps: Vec<StepOut>,
    /// Ground from existing to proposed along the way to the outlet or down the overall fall.
    pub profile: Vec<ProfilePoint>,
}

/// An area on the plan.
#[derive(Clone, Debug)]
pub struct AreaPlanOut {
    /// Its name.
    pub name: String,
    /// Its short name.
    pub code: String,
    /// Its section.
    pub section: String,
    /// Outline first, then holes.
    pub rings: Vec<Vec<(f64, f64)>>,
    /// A good place for its name.
    pub label: (f64, f64),
}

/// A step between two areas along one edge.
#[derive(Clone, Debug)]
pub struct StepOut {
    /// The areas.
    pub areas: [String; 2],
    /// Its ends.
    pub ends: [(f64, f64); 2],
    /// First area's height less the second's at each end.
    pub heights: [f64; 2],
}

/// What must be kept off, on the plan.
#[derive(Clone, Debug)]
pub struct KeepOffOut {
    /// Its name.
    pub name: String,
    /// `root circle`, `footing` or `utility`.
    pub what: String,
    /// Along it; one place for a circle.
    pub line: Vec<(f64, f64)>,
    /// Radius of a circle, or the width to each side; 0 for a footing.
    pub radius: f64,
}

/// A pipe on the plan, one leg.
#[derive(Clone, Debug)]
pub struct DrainOut {
    /// The drain's name.
    pub name: String,
    /// Whether this leg takes water.
    pub perforated: bool,
    /// Its ends, uphill first.
    pub ends: [(f64, f64); 2],
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
#[derive(Clone, Copy, Debug, PartialEq)]
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
