//! What may be typed. Only here does the argument parser's own language appear.

use clap::{Args, Parser, Subcommand, ValueEnum};
use spadework::design::ProposedIs;
use spadework::sheet::PaperSize;
use spadework::units::{self, LengthUnit, Slope};
use std::path::PathBuf;

/// From the level notebook to the excavator: subgrade, cut at every stake, exact volumes, where the water goes.
#[derive(Parser, Debug)]
#[command(
    version,
    after_help = "Exit: 0 all checks hold, 3 done but a check of the design fails, 1 input refused and nothing written, 2 usage.\nA grading aid on an assumed datum: no boundary survey, no structural or geotechnical design."
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Threads to work on [default: all]; results are the same for any number.
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) threads: Option<u16>,
}

#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// The whole job: stakes, volumes, slopes, plan; everything into one folder
    Run(RunArgs),
    /// Existing, finish, subgrade and cut at every stake, in walking order
    Stakes(StakeArgs),
    /// Cut, fill and areas
    Volume(JobArgs),
    /// Pipes: falls, inverts, cover, trenches, what they carry
    Drain(JobArgs),
    /// Soil by hand tests on cores: what it is, what it carries, how it drains, freezes, swells
    Soil(SoilArgs),
    /// The cistern: yield, spill, days dry, and what another size would do
    Tank(TankArgs),
    /// What leaves and arrives: trips, orders, cost; of a job, or of a dig said in one line
    Haul(HaulArgs),
    /// The hole, shot again, against the sheet: high and low, stone, hand work, whose it is; a sheet to sign
    Digcheck(DigcheckArgs),
    /// The sheets: plan of the dig and all that goes with it, as PDF, SVG and PNG
    Plan(PlanArgs),
    /// Exact cut and fill between two bare surveys
    Compare(CompareArgs),
    /// Where water stands on one survey: level, depth, area, volume, and what it spills over
    Ponds(PondArgs),
    /// Contour lines of one survey
    Contours(ContourArgs),
    /// Heights from the level notes of a field book: page check, misclosure, adjusted
    Level(LevelArgs),
    /// Reads a job and everything it names, says what is wrong with it, works nothing out
    Check(CheckArgs),
    /// The form of a job file as a JSON schema, for an editor
    Schema,
    /// A job folder to fill in, or the demo
    New(NewArgs),
}

#[derive(Args, Debug)]
pub(crate) struct CheckArgs {
    /// A job file or job folder
    pub(crate) job: PathBuf,
}

#[derive(Args, Debug)]
pub(crate) struct TankArgs {
    /// A job file or job folder, with [tank] and the days of [rain]
    pub(crate) job: PathBuf,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct HaulArgs {
    /// A job file or job folder
    #[arg(required_unless_present = "bank", conflicts_with = "bank")]
    pub(crate) job: Option<PathBuf>,
    /// What is dug, as it lies, in place of a job: 60.3, "60.3 yd3" or "46 m3"
    #[arg(long, value_name = "VOLUME")]
    pub(crate) bank: Option<String>,
    /// What it is, for the usual swell, shrink and weight: rock, gravel, sand, mixed, clay, "clay with silt", silt, fill, topsoil or organic
    #[arg(long, requires = "bank")]
    pub(crate) soil: Option<String>,
    /// Bank to loose ("25 %"), in place of the usual
    #[arg(long, value_name = "PERCENT", requires = "bank")]
    pub(crate) swell: Option<String>,
    /// Bank to compacted ("12 %"), in place of the usual
    #[arg(long, value_name = "PERCENT", requires = "bank")]
    pub(crate) shrink: Option<String>,
    /// Of a bank volume, moist ("1.5 ton/yd3"), in place of the usual
    #[arg(long, value_name = "DENSITY", requires = "bank")]
    pub(crate) weight: Option<String>,
    /// What hauls: "tandem = 10 yd3, 14 ton", with a round trip if you like, ", 60 min"; may be given again
    #[arg(long, value_name = "NAME = VOLUME, PAYLOAD", requires = "bank")]
    pub(crate) truck: Vec<String>,
    /// What the machine digs in an hour, bank ("12 yd3/h")
    #[arg(long, value_name = "RATE", requires = "bank")]
    pub(crate) dig_rate: Option<String>,
    /// Load tickets of the one truck: the swell they show
    #[arg(long, value_name = "N", requires = "bank", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(crate) tickets: Option<u32>,
    /// How full its box went ("90 %") [default: 100 %]
    #[arg(long, value_name = "PERCENT", requires = "tickets")]
    pub(crate) full: Option<String>,
    /// Tell it for feet (yd3, ton) or for metres (m3, tonne) [default: ft]
    #[arg(long, value_enum, requires = "bank")]
    pub(crate) units: Option<Unit>,
    /// Write the estimate as a workbook with live formulas (.xlsx), a new file
    #[arg(long, value_name = "FILE")]
    pub(crate) workbook: Option<PathBuf>,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct DigcheckArgs {
    /// A job file or job folder
    pub(crate) job: PathBuf,
    /// What was shot in the hole: a table `stake,elevation` or `stake,rod,note`, rods with a row of the bench they hang on
    #[arg(long, value_name = "FILE")]
    pub(crate) shots: PathBuf,
    /// How far from dig-to is in ("1/2 in"), or above and below ("1/2 in, 3/4 in"), in place of the job's own
    #[arg(long, value_name = "LENGTH", value_parser = tolerance_text)]
    pub(crate) tolerance: Option<String>,
    /// Load tickets: a table `date,truck,loads`, or `date,truck,loose`
    #[arg(long, value_name = "FILE")]
    pub(crate) tickets: Option<PathBuf>,
    /// Folder to write the sheet and the tables into; without one they are printed
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Paper of the sheet [default: letter, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperName>,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct SoilArgs {
    /// A job file or job folder with `cores` in [ground]; or a table of cores
    #[arg(value_name = "JOB|CORES")]
    pub(crate) cores: PathBuf,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

/// A job from tables.
#[derive(Args, Debug)]
pub(crate) struct JobArgs {
    /// A job file or job folder; or EXISTING.csv PROPOSED.csv; or one table with columns `existing` and `proposed`
    #[arg(required = true, num_args = 1..=2, value_name = "JOB|TABLE")]
    pub(crate) tables: Vec<PathBuf>,
    /// Thickness of everything between subgrade and finish, with its unit ("9 3/8 in", "240 mm") [default: none]
    #[arg(long, value_name = "THICKNESS", value_parser = length_text, allow_hyphen_values = true)]
    pub(crate) build_up: Option<String>,
    /// What the proposed heights are [default: finish]
    #[arg(long, value_enum)]
    pub(crate) proposed_is: Option<Proposed>,
    /// Where water may go: a name of either table, or NORTHING,EASTING; may be given again
    #[arg(long, value_name = "NAME|N,E", allow_hyphen_values = true)]
    pub(crate) outlet: Vec<String>,
    /// The flattest the subgrade may be ("1 %", "1:80", "1/8 in/ft") [default: 1 %]
    #[arg(long, value_name = "SLOPE", value_parser = slope)]
    pub(crate) min_fall: Option<Slope>,
    /// Ground that counts: a table `ring,northing,easting`, the first ring outside, the rest holes
    #[arg(long, value_name = "RINGS")]
    pub(crate) limit: Option<PathBuf>,
    /// Lines the existing surface may not bridge: a table `line,point` or `line,northing,easting,elevation`
    #[arg(long, value_name = "LINES")]
    pub(crate) breaklines: Option<PathBuf>,
    /// The same for the proposed surface
    #[arg(long, value_name = "LINES")]
    pub(crate) proposed_breaklines: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// Height of instrument, for rod readings
    #[arg(long, value_name = "HEIGHT", conflicts_with_all = ["bench", "rod"], allow_hyphen_values = true, value_parser = number)]
    pub(crate) hi: Option<f64>,
    /// Bench the rod stood on (with --rod): a name of the existing table
    #[arg(long, value_name = "NAME", requires = "rod")]
    pub(crate) bench: Option<String>,
    /// What the rod read on it: in the job's unit (5.62), or with a unit (5-7 1/2)
    #[arg(long, value_name = "READING", requires = "bench", value_parser = rod_text, allow_hyphen_values = true)]
    pub(crate) rod: Option<String>,
    /// Interval of the contours, in the job's unit [default: to suit]
    #[arg(long, value_name = "HEIGHT", value_parser = positive)]
    pub(crate) interval: Option<f64>,
    /// What the job is called [default: the name of the existing table]
    #[arg(long)]
    pub(crate) name: Option<String>,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct StakeArgs {
    #[command(flatten)]
    pub(crate) job: JobArgs,
    /// Write the field page for a phone (.html), a new file
    #[arg(long, value_name = "FILE")]
    pub(crate) field: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub(crate) struct UnitArgs {
    /// The unit of every length, height and coordinate [default: ft]
    #[arg(long, value_enum)]
    pub(crate) units: Option<Unit>,
}

impl UnitArgs {
    pub(crate) fn unit(&self) -> LengthUnit {
        self.units.unwrap_or(Unit::Ft).into()
    }
}

#[derive(Args, Debug)]
pub(crate) struct OutArgs {
    /// Folder to write; one that this program made before is replaced as a whole, any other is left alone
    #[arg(long, value_name = "DIR", default_value = "spadework-out")]
    pub(crate) out: PathBuf,
    #[command(flatten)]
    pub(crate) sheets: SheetArgs,
}

/// How the sheets are wanted; before what the job file says of it.
#[derive(Args, Debug)]
pub(crate) struct SheetArgs {
    /// Paper of the sheets [default: as in the job file; else tabloid, a3 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperName>,
    /// Scale of the plan: fit, or "1 in = 8 ft", "1:100"; what does not fit one sheet goes on several [default: as in the job file; else fit]
    #[arg(long, value_name = "SCALE", value_parser = scale)]
    pub(crate) scale: Option<String>,
    /// Which sheets [default: all]
    #[arg(long, value_enum, value_name = "SHEET,...", value_delimiter = ',')]
    pub(crate) pages: Vec<PageName>,
    /// In which forms [default: all]; the PDF has all sheets
    #[arg(long = "as", value_enum, value_name = "FORM,...", value_delimiter = ',')]
    pub(crate) forms: Vec<FormName>,
    /// How depths at stakes are written [default: as in the job file; else tape]
    #[arg(long, value_enum)]
    pub(crate) depths: Option<DepthsName>,
    /// Date printed on every sheet [default: as in the job file; else a line to write on]
    #[arg(long, value_name = "TEXT")]
    pub(crate) date: Option<String>,
    /// Revision printed on every sheet [default: as in the job file; else a line to write on]
    #[arg(long, value_name = "TEXT")]
    pub(crate) revision: Option<String>,
}

#[derive(ValueEnum, Clone, Copy, Debug, PartialEq)]
pub(crate) enum PageName {
    /// The plan of the dig
    Plan,
    /// Every stake in walking order
    Schedule,
    /// Sections through the areas
    Sections,
    /// Drains from the side
    Drains,
    /// Volumes, trips, orders, build-ups, checks, cautions
    Account,
    /// The plan for the crew that builds on the dig
    Finish,
}

#[derive(ValueEnum, Clone, Copy, Debug, PartialEq)]
pub(crate) enum FormName {
    /// One file with all sheets
    Pdf,
    /// A file for each sheet
    Svg,
    /// A picture of each sheet
    Png,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum DepthsName {
    /// Feet-inches to the eighth of an inch; metres
    Tape,
    /// Tenths and hundredths of a foot
    Tenths,
}

#[derive(Args, Debug)]
pub(crate) struct RunArgs {
    #[command(flatten)]
    pub(crate) job: JobArgs,
    #[command(flatten)]
    pub(crate) out: OutArgs,
}

#[derive(Args, Debug)]
pub(crate) struct PlanArgs {
    #[command(flatten)]
    pub(crate) job: JobArgs,
    #[command(flatten)]
    pub(crate) out: OutArgs,
}

#[derive(Args, Debug)]
pub(crate) struct CompareArgs {
    /// The survey before
    pub(crate) before: PathBuf,
    /// The survey after; cut is where before lies above it
    pub(crate) after: PathBuf,
    /// Ground that counts: a table `ring,northing,easting`, the first ring outside, the rest holes
    #[arg(long, value_name = "RINGS")]
    pub(crate) limit: Option<PathBuf>,
    /// Lines the surface before may not bridge: a table `line,point` or `line,northing,easting,elevation`
    #[arg(long, value_name = "LINES")]
    pub(crate) before_breaklines: Option<PathBuf>,
    /// The same for the surface after
    #[arg(long, value_name = "LINES")]
    pub(crate) after_breaklines: Option<PathBuf>,
    /// One sigma of one shot, for stakes in both surveys that moved ("0.02 ft", "5 mm") [default: 0.02 ft, 5 mm]
    #[arg(long, value_name = "LENGTH", value_parser = length_text)]
    pub(crate) shot_error: Option<String>,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// Print the JSON envelope instead of a table
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct PondArgs {
    /// The survey
    pub(crate) survey: PathBuf,
    /// Where water may go: a name of the survey, or NORTHING,EASTING; may be given again
    #[arg(long, value_name = "NAME|N,E", allow_hyphen_values = true)]
    pub(crate) outlet: Vec<String>,
    /// A line water may leave by anywhere along it, as a trench: names of the survey; may be given again
    #[arg(long, value_name = "NAME,NAME...")]
    pub(crate) outlet_line: Vec<String>,
    /// Water does not leave over the edge of the survey
    #[arg(long)]
    pub(crate) walled: bool,
    /// Lines the surface may not bridge: a table `line,point` or `line,northing,easting,elevation`
    #[arg(long, value_name = "LINES")]
    pub(crate) breaklines: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// Print the JSON envelope instead of a table
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct ContourArgs {
    /// The survey
    pub(crate) survey: PathBuf,
    /// A line at every whole multiple of this height
    #[arg(long, value_name = "HEIGHT", value_parser = positive, required_unless_present = "levels", conflicts_with = "levels")]
    pub(crate) interval: Option<f64>,
    /// Lines at just these heights
    #[arg(long, value_name = "HEIGHT,...", value_delimiter = ',', value_parser = number, allow_hyphen_values = true)]
    pub(crate) levels: Vec<f64>,
    /// Lines the surface may not bridge: a table `line,point` or `line,northing,easting,elevation`
    #[arg(long, value_name = "LINES")]
    pub(crate) breaklines: Option<PathBuf>,
    /// Ground that counts: a table `ring,northing,easting`, the first ring outside, the rest holes
    #[arg(long, value_name = "RINGS")]
    pub(crate) limit: Option<PathBuf>,
    /// Write the lines as a table; `-` prints it
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Write the lines as GeoJSON in site coordinates; `-` prints it
    #[arg(long, value_name = "FILE")]
    pub(crate) geojson: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// Print the JSON envelope instead of a table
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct LevelArgs {
    /// The field book: a table `point,bs,is,fs,note` in its order; or a job file or folder that names one
    #[arg(value_name = "NOTES|JOB")]
    pub(crate) notes: Option<PathBuf>,
    /// A bench and its height, held; may be given again
    #[arg(long, value_name = "NAME=ELEVATION", value_parser = bench)]
    pub(crate) bench: Vec<String>,
    #[command(flatten)]
    pub(crate) unit: UnitArgs,
    /// How the rods are divided [default: tenths of a foot, metres in metres]
    #[arg(long, value_enum)]
    pub(crate) rods: Option<RodsWord>,
    /// By what a misclosure is judged and shared out [default: set-ups]
    #[arg(long, value_enum)]
    pub(crate) closing: Option<ClosingWord>,
    /// Misclosure allowed, with its unit: times the root of the set-ups [default: 0.02 ft, 5 mm], or of the miles (kilometres) [default: 0.05 ft, 12 mm]
    #[arg(long, value_name = "LENGTH", value_parser = length_text)]
    pub(crate) allowed: Option<String>,
    /// Whose correction side shots carry [default: foresight]
    #[arg(long, value_enum)]
    pub(crate) side_shots: Option<SideWord>,
    /// Draw the notes as a page, .svg or .png; several pages are numbered
    #[arg(long, value_name = "FILE")]
    pub(crate) page: Option<PathBuf>,
    /// Draw an empty page for the field, .svg or .png; needs no notes
    #[arg(long, value_name = "FILE")]
    pub(crate) blank: Option<PathBuf>,
    /// Paper of the pages [default: letter, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperName>,
    /// Print the JSON envelope instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum RodsWord {
    /// Feet and decimals, 5.54
    Tenths,
    /// Feet and inches, 5-6 1/2
    Inches,
    /// Metres and decimals, 1.689
    Metres,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum ClosingWord {
    /// By the number of set-ups
    SetUps,
    /// By the distance levelled: a column `distance` beside the foresights
    Distance,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum SideWord {
    /// That of their set-up's foresight
    Foresight,
    /// That of its backsight
    Backsight,
}

#[derive(Args, Debug)]
pub(crate) struct NewArgs {
    /// The example, ready to run, instead of a job to fill in
    #[arg(long)]
    pub(crate) demo: bool,
    /// Folder to make
    #[arg(default_value = "spadework-job")]
    pub(crate) dir: PathBuf,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum Unit {
    /// International foot
    Ft,
    /// US survey foot
    UsFt,
    /// Metre
    M,
}

impl From<Unit> for LengthUnit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Ft => Self::Foot,
            Unit::UsFt => Self::UsSurveyFoot,
            Unit::M => Self::Metre,
        }
    }
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum Proposed {
    /// Finished grade: the build-up is taken off
    Finish,
    /// Subgrade: the build-up lies on top
    Subgrade,
}

impl From<Proposed> for ProposedIs {
    fn from(p: Proposed) -> Self {
        match p {
            Proposed::Finish => Self::Finish,
            Proposed::Subgrade => Self::Subgrade,
        }
    }
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum PaperName {
    Letter,
    Tabloid,
    A4,
    A3,
}

impl From<PaperName> for PaperSize {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::Letter => Self::Letter,
            PaperName::Tabloid => Self::Tabloid,
            PaperName::A4 => Self::A4,
            PaperName::A3 => Self::A3,
        }
    }
}

/// Checks a thickness now, so that a slip is a usage error; its unit is known only later.
fn length_text(text: &str) -> Result<String, String> {
    let length = units::parse_length(text, LengthUnit::Foot).map_err(|e| e.to_string())?;
    if length.job_units() < 0.0 {
        Err(format!("found `{text}`; expected a thickness of 0 or more"))
    } else {
        Ok(text.to_owned())
    }
}

/// One tolerance, or one above and one below.
fn tolerance_text(text: &str) -> Result<String, String> {
    let parts: Vec<&str> = text.split(',').collect();
    if parts.len() > 2 {
        return Err(format!("found `{text}`; expected one length, or one above and one below"));
    }
    parts.into_iter().try_for_each(|part| length_text(part.trim()).map(|_| ()))?;
    Ok(text.to_owned())
}

fn bench(text: &str) -> Result<String, String> {
    let Some((name, height)) = text.rsplit_once('=') else {
        return Err(format!("found `{text}`; expected a name and its height, as BM1=100.00"));
    };
    if name.trim().is_empty() {
        return Err(format!("found `{text}`; expected the name of a bench before ="));
    }
    number(height).map(|_| text.to_owned())
}

fn rod_text(text: &str) -> Result<String, String> {
    if units::parse_number(text).is_ok() {
        return Ok(text.to_owned());
    }
    units::parse_length(text, LengthUnit::Foot).map(|_| text.to_owned()).map_err(|e| e.to_string())
}

fn slope(text: &str) -> Result<Slope, String> {
    units::parse_slope(text).map_err(|e| e.to_string())
}

fn scale(text: &str) -> Result<String, String> {
    if text.trim() == "fit" {
        return Ok(text.to_owned());
    }
    units::parse_scale(text).map(|_| text.to_owned()).map_err(|e| e.to_string())
}

fn number(text: &str) -> Result<f64, String> {
    units::parse_number(text).map_err(|e| e.to_string())
}

fn positive(text: &str) -> Result<f64, String> {
    number(text).and_then(|v| if v > 0.0 { Ok(v) } else { Err(format!("found `{text}`; expected a number above 0")) })
}
