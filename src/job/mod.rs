//! The job and what comes out of it.
//!
//! [`Job`] is everything that was said; [`evaluate`] turns it into one [`Outcome`] of plain numbers. Every sheet, table and file
//! is a view of that, so two outputs can never disagree.

mod bare;
mod basis;
mod cover;
mod digcheck;
mod digcheck_benches;
mod digcheck_out;
mod digcheck_totals;
mod digcheck_water;
mod drain_profile;
mod drains;
mod evaluate;
mod field;
mod haul;
mod levels;
mod orders;
mod outcome;
mod picture;
mod ponds;
mod road;
mod sections;
mod site;
mod site_catchments;
mod site_checks;
mod site_picture;
mod site_rules;
mod site_water;
mod soil;
mod staking;
mod survey;
mod suspects;
mod tank;
mod water_out;

pub use bare::{Levels, bare_contours, compare};
pub use basis::{BasisOut, DugOut, SoilBasisOut, TruckBasisOut};
pub use digcheck::DigCheck;
pub use digcheck_out::*;
pub use drains::{DrainLegOut, DrainPointOut, DrainRunOut};
pub use evaluate::evaluate;
pub use field::{FieldOut, FloorOut, GradeOut, NetOut};
pub use levels::{BookLine, BookRow, ClosureOut, LevelNotes, NotesOut, PointOut, ResidualOut, RunOut, level_notes};
pub use orders::{BROUGHT_IN, MadeOut, OrderOut, OrderPartOut};
pub use outcome::*;
pub use ponds::{PondOut, bare_ponds};
pub use road::{
    CargoOut, CostLineOut, CostOut, HaulOut, LoadsOut, MaterialOut, OptionOut, QuickHaul, TripsOut, quick_haul,
};
pub use sections::{PipeCutOut, SectionOut, SpanOut};
pub use site::evaluate_site;
pub use soil::{CoreOut, FactorsOut, SoilAreaOut, SoilLayerOut, SoilOut, bare_soil};
pub use staking::{BenchOut, PlaneOut};
pub use suspects::{MovedOut, MovedStakeOut, SurveyOut, SuspectOut, lath, usual_shot_error};
pub use tank::{CatchmentOut, OverflowOut, SizeOut, TankOut};
pub use water_out::*;

use crate::design::ProposedIs;
use crate::finding::{Caution, Check, Limit, Measure, Refusal, Subject};
use crate::level::SetUp;
use crate::shots::{Frame, Shots};
use crate::surface::{Breakline, Region};
use crate::units::{Elevation, Length, LengthUnit, Slope, fixed};

/// A job from two tables.
#[derive(Clone, Debug)]
pub struct Job {
    /// What it is called.
    pub name: String,
    /// The unit of every number in it.
    pub unit: LengthUnit,
    /// The ground as shot.
    pub existing: Shots,
    /// Lines the existing surface may not bridge.
    pub existing_lines: Vec<Breakline>,
    /// What it is to become.
    pub proposed: Shots,
    /// Lines the proposed surface may not bridge.
    pub proposed_lines: Vec<Breakline>,
    /// What the proposed table says.
    pub proposed_is: ProposedIs,
    /// Thickness of everything between subgrade and finish.
    pub build_up: Length,
    /// One sigma of one ground shot.
    pub shot_error: Length,
    /// Rings of (northing, easting) in whole millionths that bound the ground that counts.
    pub limit: Option<Vec<Vec<(i64, i64)>>>,
    /// Where water may go: a name for the reader and a place in whole millionths.
    pub outlets: Vec<(String, i64, i64)>,
    /// The flattest a subgrade may be.
    pub min_fall: Slope,
    /// Whether the least fall was said or is the default.
    pub min_fall_said: bool,
    /// Where the level stands, if that was said, and how it was said.
    pub set_up: Option<(SetUp, String)>,
    /// Interval of contours; chosen to suit where not said.
    pub interval: Option<Length>,
    /// What was assumed because nothing was said.
    pub defaults: Vec<String>,
    /// What reading the input gave cause to say.
    pub cautions: Vec<Caution>,
}

/// How the sheets of a job are wanted; nothing is worked out from it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetWish {
    /// Size of the paper: `letter`, `tabloid`, `a4`, `a3`.
    pub paper: Option<String>,
    /// A scale as it was said, and how many times smaller than the ground that is.
    pub scale: Option<(String, f64)>,
    /// Whether depths at stakes are in tenths of a foot.
    pub in_tenths: bool,
    /// Date, printed on every sheet.
    pub date: Option<String>,
    /// Revision, printed on every sheet.
    pub revision: Option<String>,
}

/// A job with areas, from a job file.
#[derive(Clone, Debug)]
pub struct SiteJob {
    /// What it is called.
    pub name: String,
    /// The unit of every number in it.
    pub unit: LengthUnit,
    /// What heights count from, in words.
    pub datum: Option<String>,
    /// What is printed under the north arrow.
    pub north: Option<String>,
    /// Everything shot, adjusted.
    pub existing: Shots,
    /// Lines its surface may not bridge.
    pub lines: Vec<Breakline>,
    /// One sigma of one ground shot.
    pub shot_error: Length,
    /// How the level notes closed, if there were notes.
    pub levels: Option<LevelNotes>,
    /// Marks with their heights, adjusted where they come from the notes; the place where one is known.
    pub benches: Vec<Bench>,
    /// Where the level stands, if that was said, and how it was said.
    pub set_up: Option<(SetUp, String)>,
    /// Rings that bound the ground that counts.
    pub limit: Option<Vec<Vec<(i64, i64)>>>,
    /// What slopes are held against.
    pub rules: crate::rules::Rules,
    /// What the designer said.
    pub said: crate::design::said::Said,
    /// What is known of its soil.
    pub soil: crate::soil::Ground,
    /// The cistern.
    pub tank: Option<crate::tank::Tank>,
    /// What the ground becomes when it is dug, what hauls, and prices.
    pub haul: crate::haul::Haul,
    /// Where water may go in the end: a name and a place.
    pub outlets: Vec<(String, i64, i64)>,
    /// Interval of contours; chosen to suit where not said.
    pub interval: Option<Length>,
    /// Lines the ground is cut along for a drawing: both ends of each.
    pub cuts: Vec<[(i64, i64); 2]>,
    /// How the sheets are wanted.
    pub sheet: SheetWish,
    /// How far from dig-to the dug ground may be; the usual where not said.
    pub tolerance: Option<crate::digcheck::Tolerance>,
    /// How stakes are listed.
    pub order: StakeOrder,
    /// Parts that were read and checked but are not worked out yet, by the name of their table.
    pub kept: Vec<String>,
    /// What was assumed because nothing was said.
    pub defaults: Vec<String>,
    /// What reading the input gave cause to say.
    pub cautions: Vec<Caution>,
}

/// A mark every height hangs on.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// Its name.
    pub name: String,
    /// Its height.
    pub elevation: Elevation,
    /// What it is.
    pub note: String,
    /// Where it is, if known.
    pub place: Option<(i64, i64)>,
}

/// How stakes are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum StakeOrder {
    /// As a person walks.
    #[default]
    Walking,
    /// By name.
    Name,
    /// As in the file.
    File,
}

/// Which parts of the outcome to work out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Parts {
    /// Cut at every stake.
    pub stakes: bool,
    /// Cut, fill, areas, doubt.
    pub volume: bool,
    /// Slopes and paths.
    pub drainage: bool,
    /// Geometry for the plan, and contours.
    pub plan: bool,
    /// What the cistern yields.
    pub tank: bool,
    /// What leaves and arrives, trips, orders, cost.
    pub haul: bool,
    /// What the soil is, core by core and area by area.
    pub soil: bool,
}

impl Parts {
    /// Everything.
    pub const ALL: Self =
        Self { stakes: true, volume: true, drainage: true, plan: true, tank: true, haul: true, soil: true };
    /// Nothing but checks and cautions.
    pub const NONE: Self =
        Self { stakes: false, volume: false, drainage: false, plan: false, tank: false, haul: false, soil: false };
}

/// Names of the surveys in findings.
pub const EXISTING: &str = "existing";
/// See [`EXISTING`].
pub const PROPOSED: &str = "proposed";

/// The region of a limit, or why it is none.
fn region(limit: Option<&[Vec<(i64, i64)>]>, frame: Frame) -> Result<Option<Region>, Refusal> {
    limit.map(|rings| Region::new(rings, frame)).transpose().map_err(|why| Refusal {
        subject: Subject::Table("limit".to_owned()),
        found: why.to_string(),
        expected: "rings that do not cross themselves or each other".to_owned(),
        help: "list the corners of each ring in order round it".to_owned(),
    })
}

/// Cuts deeper than this are asked about, with what a trench or a wall asks for.
const DEEP_FEET: f64 = 6.0;

/// Asks about a cut so deep that it is a slip or a danger.
fn deep(subject: Subject, deepest: f64, unit: LengthUnit) -> Option<Caution> {
    let limit = Length::of(DEEP_FEET, LengthUnit::Foot, unit).job_units();
    let text = format!(
        "cut {} {} deep: is that meant? Sides this deep need protection and a competent person, a wall or bank left standing a licensed designer; local codes decide",
        fixed(deepest, 2),
        unit.length()
    );
    (deepest > limit + crate::units::TIE).then(|| Caution::new(subject, text))
}

fn units_out(unit: LengthUnit) -> Units {
    Units {
        length: unit.code().to_owned(),
        area: unit.area().to_owned(),
        volume: unit.volume().to_owned(),
        mass: unit.mass().to_owned(),
        water: unit.water().to_owned(),
    }
}

fn caution_out(caution: &Caution) -> CautionOut {
    CautionOut { subject: caution.subject.to_string(), text: caution.text.clone() }
}

fn check_out(check: &Check, unit: LengthUnit) -> CheckOut {
    let say = |v: f64| match check.measure {
        Measure::Slope => format!("{} %", trimmed(v * 100.0)),
        Measure::Length => format!("{} {}", trimmed(v), unit.length()),
        Measure::Area => format!("{} {}", trimmed(v), unit.area()),
        Measure::Count => trimmed(v),
    };
    let limit = match check.limit {
        Limit::Least(v) => format!("least {}", say(v)),
        Limit::Most(v) => format!("most {}", say(v)),
        Limit::Between(a, b) => format!("{} to {}", say(a), say(b)),
        Limit::Must => "must".to_owned(),
    };
    CheckOut {
        rule: check.rule.to_owned(),
        subject: check.subject.to_string(),
        found: check.found,
        found_text: say(check.found),
        limit,
        pass: check.pass,
        source: check.source.clone(),
        note: check.note.clone(),
    }
}

/// A number without needless zeros: 1, 1.5, 2.08.
fn trimmed(value: f64) -> String {
    let text = fixed(value, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
