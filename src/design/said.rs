//! What did the designer say of the areas? Names are resolved to places, texts to quantities; nothing is worked out yet.
//!
//! Places are (northing, easting) in whole millionths; heights and lengths in the job's unit.

use crate::shots::Shots;
use crate::surface::Breakline;
use crate::units::{Elevation, Length, Slope};

/// Northing and easting in whole millionths.
pub type Place = (i64, i64);

/// Everything the designer said beside the survey.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// Build-ups.
    pub sections: Vec<Section>,
    /// Areas, in the order of the file.
    pub areas: Vec<Area>,
    /// Depth of topsoil.
    pub strip: Length,
    /// Dug this much high where a plate will take it down, unless the section says otherwise.
    pub compaction_allowance: Length,
    /// Where not to dig, or only by hand.
    pub keep_offs: Vec<KeepOff>,
    /// Heights that were there first.
    pub fixed: Vec<Fixed>,
    /// Pipes.
    pub drains: Vec<Drain>,
    /// Boxes in which runs of pipe meet.
    pub basins: Vec<Basin>,
    /// Distance between stakes along trenches; none: at ends and bends only.
    pub trench_every: Option<Length>,
    /// The cloudburst pipes must carry, job units of depth an hour.
    pub storm: Option<Length>,
    /// Part of the rain that runs off.
    pub runoff: Runoff,
    /// Stakes without a shot.
    pub extra_stakes: Vec<(String, Place)>,
    /// What is worked into a weak subgrade.
    pub amendments: Vec<Amendment>,
}

/// A build-up, top down.
#[derive(Clone, Debug, Default)]
pub struct Section {
    /// Its name.
    pub name: String,
    /// Layers, top down.
    pub layers: Vec<Layer>,
    /// Whether topsoil may stay under it; else what is left is undercut.
    pub topsoil_may_stay: bool,
    /// Dug this much high; the job's own where not said.
    pub compaction_allowance: Option<Length>,
    /// Layer that fills an undercut.
    pub refill: Option<usize>,
    /// Fabric below it, as said.
    pub fabric: Option<Fabric>,
}

/// A layer.
#[derive(Clone, Debug, Default)]
pub struct Layer {
    /// Its name.
    pub name: String,
    /// Its thickness.
    pub thick: Length,
    /// How it is ordered: area, ton, tonne, yd3, m3, bag, piece, panel, roll.
    pub order: Option<&'static str>,
    /// Weight as placed: job's mass in a cubic job unit.
    pub weight: Option<f64>,
    /// Added to an order, as a part of it.
    pub waste: f64,
    /// What one piece covers, square job units.
    pub covers: Option<f64>,
    /// Its gradation.
    pub gradation: Option<String>,
    /// Whether it runs over the over-dig.
    pub past_edge: bool,
    /// Whether it is made of topsoil put aside.
    pub from_kept_topsoil: bool,
}

/// Fabric under a section.
#[derive(Clone, Debug, Default)]
pub struct Fabric {
    /// Woven or nonwoven.
    pub kind: String,
    /// Overlap of two rolls.
    pub lap: Length,
    /// Width of a roll.
    pub roll: Length,
    /// Length of a roll.
    pub length: Option<Length>,
    /// Whether it goes up the sides of the dig.
    pub up_sides: bool,
    /// Added to an order, as a part of it.
    pub waste: f64,
}

/// What is worked into a weak subgrade before it is compacted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Amendment {
    /// Where, by the area's number.
    pub area: usize,
    /// Stone driven in.
    pub stone: Option<DrivenStone>,
    /// Lime worked in.
    pub lime: Option<Lime>,
}

/// Stone driven into the subgrade.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrivenStone {
    /// As spread.
    pub thick: Length,
    /// How much of it stays up and raises the grade.
    pub proud: Length,
    /// Weight as placed: job's mass in a cubic job unit.
    pub weight: Option<f64>,
    /// Its gradation.
    pub gradation: Option<String>,
}

/// Lime worked into the subgrade.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lime {
    /// Job's mass on a square job unit.
    pub dose: f64,
    /// How deep it is mixed.
    pub depth: Length,
    /// What a bag weighs, job's mass.
    pub bag: Option<f64>,
}

/// One area.
#[derive(Clone, Debug)]
pub struct Area {
    /// Its name.
    pub name: String,
    /// Short name of its corner stakes.
    pub code: String,
    /// Its section.
    pub section: usize,
    /// What it is used as.
    pub usage: Option<Usage>,
    /// Whether the rule for hard surface by a building applies.
    pub by_building: bool,
    /// Outer ring first, then holes; not closed, either direction.
    pub rings: Vec<Vec<Place>>,
    /// Names of the outer ring's corners where they were given by name.
    pub corner_names: Vec<String>,
    /// Its finished grade.
    pub finish: Finish,
    /// A fall of the subgrade's own.
    pub subgrade: Option<Fall>,
    /// Digging past its edges.
    pub over_dig: Option<OverDig>,
    /// Sloped sides: run and rise.
    pub batter: Option<(f64, f64)>,
    /// Ground without survey under it is listed, not refused.
    pub allow_uncovered: bool,
    /// How much of driven stone stays up and raises the grade.
    pub proud: Length,
    /// The core its soil is taken from, by number; the nearest where not said.
    pub core: Option<usize>,
    /// What is dug below its topsoil: clean, mixed or wet.
    pub spoil: Spoil,
}

/// What is dug below the topsoil of an area.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Spoil {
    /// Earth without rubbish.
    #[default]
    Clean,
    /// Earth with stones, roots or rubble.
    Mixed,
    /// Earth too wet to stack.
    Wet,
}

/// What an area is used as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the words are the documentation")]
pub enum Usage {
    Patio,
    AccessiblePatio,
    Landing,
    Ramp,
    Walk,
    AccessibleWalk,
    Drive,
    Lawn,
    Bed,
    DrainStrip,
}

impl Usage {
    /// Every use with its word in the job file.
    pub const WORDS: [(&'static str, Self); 10] = [
        ("patio", Self::Patio),
        ("accessible patio", Self::AccessiblePatio),
        ("landing", Self::Landing),
        ("ramp", Self::Ramp),
        ("walk", Self::Walk),
        ("accessible walk", Self::AccessibleWalk),
        ("drive", Self::Drive),
        ("lawn", Self::Lawn),
        ("bed", Self::Bed),
        ("drain strip", Self::DrainStrip),
    ];
}

/// A finished grade.
#[derive(Clone, Debug, PartialEq)]
pub enum Finish {
    /// A plane through a place, with one or two falls (which add).
    Plane {
        /// The place.
        through: Place,
        /// Its finished height.
        height: Elevation,
        /// One or two.
        falls: Vec<Fall>,
    },
    /// A plane that shares the heights of the common edge with an earlier area.
    Meets {
        /// The earlier area.
        area: usize,
        /// So much lower there.
        down: Length,
        /// One or two.
        falls: Vec<Fall>,
    },
    /// Graded spots, one at every corner, triangulated.
    Spots {
        /// The spots; places in whole millionths, heights of finish.
        shots: Shots,
        /// Lines between them that the finish may not bridge.
        lines: Vec<Breakline>,
    },
    /// The shape of the ground.
    Follow {
        /// So much lower.
        down: Length,
    },
    /// The plane nearest to the ground.
    Fit {
        /// Just this fall; else any way that the slopes allow.
        fall: Option<Fall>,
        /// Not flatter than the first and not steeper than the second.
        slopes: [Option<Slope>; 2],
    },
}

/// A fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// How steep.
    pub slope: Slope,
    /// Downhill.
    pub toward: Toward,
}

/// A direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Toward {
    /// Degrees clockwise from north.
    Azimuth(f64),
    /// From the middle of the area to a place.
    Place(Place),
    /// From the middle of the area square to the nearest perforated leg of that drain.
    Drain(usize),
}

/// Digging past the edges.
#[derive(Clone, Debug, PartialEq)]
pub struct OverDig {
    /// How far.
    pub width: Length,
    /// Edges of the outer ring without it, by the number of the corner they begin at, from 0.
    pub except: Vec<usize>,
}

/// Where not to dig.
#[derive(Clone, Debug)]
pub struct KeepOff {
    /// Its name.
    pub name: String,
    /// What it is.
    pub what: Guard,
}

/// What is kept off.
#[derive(Clone, Debug, PartialEq)]
pub enum Guard {
    /// Roots of a tree: nothing dug inside.
    RootCircle {
        /// The trunk.
        at: Place,
        /// Radius.
        radius: Length,
    },
    /// A footing: nothing dug below the line that falls from its bottom.
    Footing {
        /// Along it.
        line: Vec<Place>,
        /// Its bottom.
        bottom: Elevation,
        /// How that line falls: run and rise.
        slope: (f64, f64),
    },
    /// A marked line: by hand inside so much of it.
    Utility {
        /// Along it.
        line: Vec<Place>,
        /// Hand dig inside this.
        within: Length,
    },
}

/// A height that was there first and what the finish owes it.
#[derive(Clone, Debug)]
pub struct Fixed {
    /// Its name.
    pub name: String,
    /// What is owed.
    pub owed: Owed,
}

/// What a finish owes a fixed height.
#[derive(Clone, Debug, PartialEq)]
pub enum Owed {
    /// The finish of an area lies below a place.
    Below {
        /// The place.
        at: Place,
        /// Its height.
        height: Elevation,
        /// The area.
        area: usize,
        /// At least so much.
        least: Option<Length>,
        /// At most so much.
        most: Option<Length>,
    },
    /// The edge of an area meets a straight edge between two places.
    Along {
        /// Ends of it with their heights.
        ends: [(Place, Elevation); 2],
        /// The area.
        area: usize,
        /// Up or down by no more than this.
        within: Length,
    },
    /// Between two areas stands a step.
    Riser {
        /// The upper area and the lower one.
        areas: [usize; 2],
        /// At least so much.
        least: Option<Length>,
        /// At most so much.
        most: Option<Length>,
    },
}

/// A pipe run.
#[derive(Clone, Debug)]
pub struct Drain {
    /// Its name.
    pub name: String,
    /// Its nodes, downhill.
    pub nodes: Vec<Node>,
    /// Whether each leg between two nodes is perforated.
    pub perforated: Vec<bool>,
    /// The pipe of each leg.
    pub pipes: Vec<Pipe>,
    /// Whether surface water enters it too.
    pub takes_surface: bool,
    /// What it lies in; none where others dig it.
    pub trench: Option<Trench>,
    /// Dug by others.
    pub by_others: bool,
}

/// The pipe of a leg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pipe {
    /// Inside diameter.
    pub size: Length,
    /// Thickness of its wall; the outside diameter is the size and two walls.
    pub wall: Length,
}

/// What a run lies in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trench {
    /// Its width.
    pub width: Length,
    /// Bedding under the pipe.
    pub under_pipe: Length,
    /// What it is filled with where the pipe is perforated.
    pub stone: Option<String>,
    /// Whether that goes up to the surface, not only to subgrade.
    pub to_surface: bool,
    /// Fabric round the stone.
    pub fabric: Option<String>,
}

/// A box in which runs of pipe meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Basin {
    /// Its name.
    pub name: String,
    /// Where.
    pub place: Place,
    /// Depth below the lowest pipe.
    pub sump: Length,
    /// Its hole is dug by others.
    pub by_others: bool,
}

/// Part of the rain that runs off, by surface; from 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[expect(missing_docs, reason = "the words are the documentation")]
pub struct Runoff {
    pub paving: Option<f64>,
    pub roof: Option<f64>,
    pub lawn: Option<f64>,
    pub bed: Option<f64>,
    pub stone: Option<f64>,
}

/// A node of a drain.
#[derive(Clone, Debug)]
pub struct Node {
    /// Its name, or that of the basin, tank or outlet.
    pub name: String,
    /// Where.
    pub place: Place,
    /// Invert, if it was said.
    pub invert: Option<Elevation>,
    /// Whether a clean-out stands on it.
    pub clean_out: bool,
    /// What else is at this place.
    pub meets: Meets,
}

/// What a node of a drain meets.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Meets {
    /// Nothing.
    #[default]
    Nothing,
    /// A basin by its number.
    Basin(usize),
    /// Something with an invert of its own, if that was said: an outlet or a side of the tank.
    Invert(Option<Elevation>),
}

impl Section {
    /// From finish to subgrade.
    #[must_use]
    pub fn thickness(&self) -> Length {
        self.layers.iter().fold(Length::ZERO, |sum, layer| sum + layer.thick)
    }
}
