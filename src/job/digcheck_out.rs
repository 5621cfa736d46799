//! What the check of a hole comes to: plain numbers in the outcome's units.

use super::ponds::PondOut;
use super::road::LoadsOut;
use serde::Serialize;

/// The hole against the sheet.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DigCheckOut {
    /// Whether it can be built on as it is: every check holds.
    pub accept: bool,
    /// Above and below dig-to.
    pub tolerance: [f64; 2],
    /// The stakes that were shot, the worst first: by difference times the area each stands for.
    pub stakes: Vec<DugStakeOut>,
    /// Mean of the differences from what was ordered; absent without stakes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    /// Their spread about it, n - 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
    /// How many stakes are out.
    pub out_of_tolerance: usize,
    /// Of them too high.
    pub high: usize,
    /// Of them too low.
    pub low: usize,
    /// By how much all stakes are off together, where that looks like a bench and not like digging.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip: Option<f64>,
    /// Set-ups of the level.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub set_ups: Vec<DugSetUpOut>,
    /// Shots back to benches.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub closings: Vec<ClosingOut>,
    /// Earth above dig-to, bank.
    pub high_volume: f64,
    /// Earth missing below it, past what was ordered.
    pub low_volume: f64,
    /// Of the first, where it is out of tolerance.
    pub high_beyond: f64,
    /// Of the second, where it is out of tolerance.
    pub low_beyond: f64,
    /// Stone for what is low and out of tolerance, by weight, waste in it; what has no weight is in [`Self::fills`] alone.
    pub stone: f64,
    /// What fills it, area by area.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fills: Vec<FillOut>,
    /// Loads that bring the stone, truck by truck.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub deliveries: Vec<LoadsOut>,
    /// Hours one person trims by hand what is high and out, at best and at worst.
    pub trim_hours: [f64; 2],
    /// Plan area of it.
    pub trim_area: f64,
    /// Loads that take it away, truck by truck; absent where swell or weight was not said.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub trim_loads: Vec<LoadsOut>,
    /// Who pays for what is dug below subgrade.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub log: Vec<LogOut>,
    /// Area by area.
    pub areas: Vec<DugAreaOut>,
    /// Closed lows on the ground as dug; nested lows behind theirs.
    pub ponds: Vec<PondOut>,
    /// What was moved, against load tickets.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moved: Option<HauledOut>,
}

/// A stake that was shot.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugStakeOut {
    /// Its name.
    pub stake: String,
    /// Its area; none at a trench.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
    /// What the bucket was to dig to.
    pub dig_to: f64,
    /// What was shot.
    pub as_dug: f64,
    /// As dug less dig-to.
    pub diff: f64,
    /// Undercut ordered there on the day: so much deeper was right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ordered: Option<f64>,
    /// `ok`, `HIGH` or `LOW`.
    pub verdict: &'static str,
    /// `HIGH 0-1 1/8`, `LOW 0.023`; empty where it is in.
    pub text: String,
    /// `trim`, `stone` or nothing.
    #[serde(rename = "do")]
    pub order: &'static str,
    /// The ground nearer to it than to any other stake of its area that was shot.
    pub share: f64,
    /// Number of its set-up, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_up: Option<usize>,
    /// What the rod read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rod: Option<f64>,
    /// Thickness of the layer that takes up the difference, if it is built on as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<f64>,
    /// When it was shot, as noted.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub time: String,
    /// Remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A set-up of the level on dig day.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugSetUpOut {
    /// The bench the rod stood on; `HI` where only the height of the line of sight was written down.
    pub bench: String,
    /// What it read there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rod: Option<f64>,
    /// Height of the line of sight.
    pub instrument: f64,
    /// Stakes shot from it.
    pub stakes: usize,
    /// Mean of their differences.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    /// By how much they are all off together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip: Option<f64>,
}

/// A shot back to a bench.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ClosingOut {
    /// The bench.
    pub bench: String,
    /// Number of the set-up, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_up: Option<usize>,
    /// Found less known.
    pub off: f64,
    /// What is allowed.
    pub allowed: f64,
    /// Whether it is within that.
    pub closes: bool,
}

/// What fills the low ground of an area.
#[derive(Clone, Debug, Default, Serialize)]
pub struct FillOut {
    /// The area.
    pub area: String,
    /// The layer it is filled with.
    pub layer: String,
    /// As placed.
    pub volume: f64,
    /// Its weight with waste, where the layer is ordered by weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
}

/// A line of the log of what was dug below subgrade and is filled again.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LogOut {
    /// `owner` or `sub`.
    pub whose: &'static str,
    /// The area or the stake.
    pub place: String,
    /// As it is filled.
    pub volume: f64,
    /// Why.
    pub why: String,
}

/// An area as dug.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugAreaOut {
    /// Its name.
    pub name: String,
    /// Its plan area.
    pub area: f64,
    /// Stakes of it that were shot.
    pub shot: usize,
    /// Of them out of tolerance.
    pub out: usize,
    /// How its volumes were found: `surface` between the shots; `stakes`, each for the ground nearest to it, where the shots hold less
    /// than half of the area between them; `nothing` without a shot.
    pub by: &'static str,
    /// Ground its volumes are over.
    pub covered: f64,
    /// Earth above dig-to, bank.
    pub high: f64,
    /// Earth missing, past what was ordered.
    pub low: f64,
    /// Of the first, where it is out of tolerance.
    pub high_beyond: f64,
    /// Of the second.
    pub low_beyond: f64,
    /// Plan area that is high and out.
    pub high_area: f64,
    /// Plan area that is low and out.
    pub low_area: f64,
    /// What it would be if it were built on as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_is: Option<AsIsOut>,
    /// How its water runs; absent without a surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<DugFallOut>,
}

/// An area built on as it is dug: one layer takes up the difference.
#[derive(Clone, Debug, Default, Serialize)]
pub struct AsIsOut {
    /// The layer.
    pub layer: String,
    /// As designed.
    pub design: f64,
    /// At its thinnest, at a stake.
    pub thinnest: f64,
    /// Which.
    pub thinnest_at: String,
    /// At its thickest.
    pub thickest: f64,
    /// Which.
    pub thickest_at: String,
    /// Below this it is too thin.
    pub least: f64,
    /// More of it than designed; below 0: less.
    pub more: f64,
}

/// How the water of an area runs on the ground as dug.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugFallOut {
    /// Mean slope.
    pub slope: f64,
    /// Which way, degrees clockwise from north.
    pub azimuth: f64,
    /// The part of it in the direction the design falls.
    pub along: f64,
    /// Mean slope of the design.
    pub design: f64,
    /// Plan area flatter than the rule for subgrade.
    pub flat_area: f64,
    /// Plan area whose water ends in a low or on a flat.
    pub held_area: f64,
    /// Whether it drains.
    pub drains: bool,
}

/// What was moved and what the tickets say.
#[derive(Clone, Debug, Default, Serialize)]
pub struct HauledOut {
    /// Dug as shot: the job's dig, more where low, less where high; bank.
    pub dug: f64,
    /// Of it, what left the site, bank.
    pub left: f64,
    /// The same loose, by the swell of the job; absent where none was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loose: Option<f64>,
    /// Loads on the tickets.
    pub loads: f64,
    /// What they held, loose.
    pub tickets: f64,
    /// Swell that makes the two agree, as a part of bank.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swell: Option<f64>,
}
