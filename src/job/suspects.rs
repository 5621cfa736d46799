//! Which shots should be looked at before anything is dug by them?

use super::{LevelNotes, NotesOut, StakeOut};
use crate::finding::{Caution, Subject};
use crate::shots::Shots;
use crate::surface::{Surface, same_place};
use crate::survey::{Likely, Moved, Reading, SetUpOff, Suspect, Suspects, moved, suspects};
use crate::units::{CutFill, Length, LengthUnit, TIE, fixed};
use serde::Serialize;

/// The survey: its notes, and what to look at.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SurveyOut {
    /// How the level notes closed, if there were any.
    #[serde(flatten)]
    pub notes: Option<NotesOut>,
    /// Shots and set-ups that do not fit.
    pub suspects: Vec<SuspectOut>,
    /// Spread of a shot about what its neighbours make of it; absent where shots are too few or a scan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub roughness: Option<f64>,
    /// Stakes of two surveys beside each other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moved: Option<MovedOut>,
}

/// A shot or a set-up that does not fit. Nothing is corrected.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SuspectOut {
    /// The stake; `set-up 3` for a whole set-up; the point of a check shot.
    pub stake: String,
    /// How far it is off: shot less what its neighbours make of it.
    pub residual: f64,
    /// `look`: does not fit; `slip`: a common slip explains it.
    pub kind: &'static str,
    /// Why, in words.
    pub why: String,
    /// The height it would have without the slip.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_if: Option<f64>,
    /// The cut as it is listed, below zero a fill.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut: Option<f64>,
    /// The cut it would be: without the slip, or with the height its neighbours make of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut_if: Option<f64>,
}

/// Two surveys of one site.
#[derive(Clone, Debug, Default, Serialize)]
pub struct MovedOut {
    /// Ground stakes in both, by name.
    pub common: usize,
    /// Middle of after less before.
    pub shift: f64,
    /// Whether all stand higher or lower together, more than the error of shots explains.
    pub shifted: bool,
    /// Beyond this about the middle a stake moved.
    pub limit: f64,
    /// Those.
    pub stakes: Vec<MovedStakeOut>,
}

/// A stake that moved.
#[derive(Clone, Debug, Default, Serialize)]
pub struct MovedStakeOut {
    /// Its name.
    pub stake: String,
    /// Height before.
    pub before: f64,
    /// Height after.
    pub after: f64,
    /// After less before.
    pub rise: f64,
    /// How far in plan.
    pub away: f64,
}

/// One sigma of one ground shot where it is not said: 0.02 ft, 5 mm (common practice, no source).
#[must_use]
pub fn usual_shot_error(unit: LengthUnit) -> Length {
    Length::in_job_units(if unit == LengthUnit::Metre { 0.005 } else { 0.02 })
}

/// What a person calls readings on the rod: hundredths, thousandths for metres.
pub(super) fn places(unit: LengthUnit) -> usize {
    if unit == LengthUnit::Metre { 3 } else { 2 }
}

/// What the rod read at each row of the survey, from the notes.
fn readings(notes: &LevelNotes, shots: &Shots) -> Vec<Option<Reading>> {
    let by_name = shots.by_name();
    let mut out = vec![None; shots.len()];
    for p in &notes.reduced.points {
        let Some(&row) = by_name.get(p.name.as_str()) else { continue };
        // The line of sight in force: the last one set up in an earlier row.
        let sight = notes.reduced.sights.iter().rev().find(|(at, _)| *at < p.row);
        if let Some((_, line)) = sight {
            let typed =
                notes.book.get(p.row).map(|b| if b.side.is_empty() { b.fore.as_str() } else { b.side.as_str() });
            let in_inches = typed.is_some_and(|t| t.contains(['-', '\'', '"', ' ']));
            let rod = line.job_units() - p.booked.job_units();
            out[row] = Some(Reading { set_up: p.set_up, rod, in_inches });
        }
    }
    out
}

/// Looks through a survey; a caution for whatever has a likely slip, one for all that only do not fit.
pub(super) fn look(
    surface: &Surface,
    shots: &Shots,
    notes: Option<&LevelNotes>,
    error: Length,
    unit: LengthUnit,
    cautions: &mut Vec<Caution>,
) -> (Vec<SuspectOut>, Option<f64>) {
    let readings = notes.map(|n| readings(n, shots)).unwrap_or_default();
    let mut out: Vec<SuspectOut> = notes.map(exchanged).unwrap_or_default();
    // Notes that do not close for a known reason leave every height wrong: what else does not fit says nothing.
    let found =
        if out.is_empty() { suspects(surface, shots, &readings, error.job_units(), unit) } else { Suspects::default() };
    let checks = notes.filter(|_| out.is_empty()).map_or(&[][..], |n| &n.reduced.checks);
    // Two sights of one point differ by root 2 of one's error; three of those are explained.
    let limit = 3.0 * std::f64::consts::SQRT_2 * error.job_units();
    let off: Vec<&(String, Length)> = checks.iter().filter(|(_, d)| d.job_units().abs() > limit).collect();
    out.extend(found.set_ups.iter().map(|s| set_up(s, &off, unit)));
    out.extend(off.iter().filter(|_| found.set_ups.is_empty()).map(|(name, d)| check(name, d.job_units(), unit)));
    out.extend(found.shots.iter().map(|s| shot(s, shots, unit)));
    for s in out.iter().filter(|s| s.kind == "slip") {
        cautions.push(Caution::new(Subject::Stake(s.stake.clone()), format!("{}; nothing was changed", s.why)));
    }
    let looks: Vec<&str> = out.iter().filter(|s| s.kind == "look").map(|s| s.stake.as_str()).collect();
    if !looks.is_empty() {
        let text = format!(
            "{} {} not fit the shots around: look again, or shoot again, before digging there",
            looks.join(", "),
            if looks.len() == 1 { "does" } else { "do" }
        );
        cautions.push(Caution::new(Subject::Table("existing".to_owned()), text));
    }
    (out, (found.spread > 0.0).then_some(found.spread))
}

/// Turning points whose two sights, exchanged, would make a run close that does not.
fn exchanged(notes: &LevelNotes) -> Vec<SuspectOut> {
    let open = notes.reduced.closures.iter().filter(|c| !c.holds());
    let number = |text: &str| text.parse::<f64>().ok();
    let mut out = Vec::new();
    for c in open {
        let rows = notes.book.iter().take(c.row + 1).filter_map(|b| Some((b, number(&b.back)?, number(&b.fore)?)));
        for (b, back, fore) in rows {
            let left = c.misclosure.job_units() - 2.0 * (back - fore);
            if left.abs() <= c.allowed.job_units() + TIE {
                out.push(SuspectOut {
                    stake: b.point.clone(),
                    residual: c.misclosure.job_units(),
                    kind: "slip",
                    why: format!(
                        "{} to {} misses by {}; with backsight and foresight of {} exchanged it would miss by {}",
                        c.from,
                        c.to,
                        fixed(c.misclosure.job_units(), 3),
                        b.point,
                        fixed(left, 3)
                    ),
                    ..SuspectOut::default()
                });
            }
        }
    }
    out
}

fn set_up(s: &SetUpOff, checks: &[&(String, Length)], unit: LengthUnit) -> SuspectOut {
    let off = format!("{} {}", fixed(s.off.abs(), places(unit)), unit.length());
    let side = if s.off < 0.0 { "low" } else { "high" };
    let agreeing: Vec<&str> = checks
        .iter()
        .filter(|(_, d)| (d.job_units() - s.off).abs() <= 0.1 * s.off.abs())
        .map(|(name, _)| name.as_str())
        .collect();
    let by_check = if agreeing.is_empty() {
        String::new()
    } else {
        format!(", and so does its check shot on {}", agreeing.join(", "))
    };
    let whole = s.off.abs().round();
    let foot = if whole >= 1.0 && (s.off.abs() - whole).abs() <= 0.1 {
        let what = if unit == LengthUnit::Metre { "a whole metre" } else { "a whole foot" };
        format!("; {what} was misread on the rod, or in the backsight")
    } else {
        String::new()
    };
    SuspectOut {
        stake: format!("set-up {}", s.set_up),
        residual: s.off,
        kind: "slip",
        why: format!(
            "all of its shots stand {off} {side} against those beside them ({} compared){by_check}{foot}; if so, every cut from it is {off} {}",
            s.shots,
            if s.off < 0.0 { "deeper" } else { "shallower" }
        ),
        ..SuspectOut::default()
    }
}

fn check(name: &str, d: f64, unit: LengthUnit) -> SuspectOut {
    let side = if d < 0.0 { "lower" } else { "higher" };
    SuspectOut {
        stake: name.to_owned(),
        residual: d,
        kind: "slip",
        why: format!(
            "its check shot came out {} {} {side} than the first: one of the two is misread, or a set-up between them is off",
            fixed(d.abs(), places(unit)),
            unit.length()
        ),
        ..SuspectOut::default()
    }
}

fn shot(s: &Suspect, shots: &Shots, unit: LengthUnit) -> SuspectOut {
    let say = |v: f64| fixed(v, places(unit));
    let side = if s.off < 0.0 { "below" } else { "above" };
    let fits = format!("{} {} {side} what the shots around make of it", say(s.off.abs()), unit.length());
    let (kind, why) = match &s.slip {
        None => ("look", fits),
        Some((Likely::Swapped(booked, meant), _)) => {
            ("slip", format!("{fits}; two digits swapped explain it: {} for {}", say(*booked), say(*meant)))
        }
        Some((Likely::Misread(booked, meant), _)) => {
            ("slip", format!("{fits}; {} for {} explains it", say(*booked), say(*meant)))
        }
        Some((Likely::Inches(booked, meant), _)) => {
            ("slip", format!("{fits}; inches booked as tenths explain it: {} for {}", say(*booked), say(*meant)))
        }
    };
    SuspectOut {
        stake: shots.names.get(s.row).to_owned(),
        residual: s.off,
        kind,
        why,
        height_if: s.slip.as_ref().map(|(_, z)| *z),
        ..SuspectOut::default()
    }
}

/// What the cuts of suspects are, and would be.
pub(super) fn cuts(suspects: &mut [SuspectOut], stakes: &[StakeOut]) {
    for s in suspects {
        let Some(stake) = stakes.iter().find(|stake| stake.stake == s.stake) else { continue };
        let (Some(existing), Some(dig_to)) = (stake.existing, stake.dig_to) else { continue };
        s.cut = Some(existing - dig_to);
        s.cut_if = Some(s.height_if.unwrap_or(existing - s.residual) - dig_to);
    }
}

/// A cut, below zero a fill, as it is written on a lath.
#[must_use]
pub fn lath(cut: f64, unit: LengthUnit) -> String {
    CutFill::from_difference(Length::in_job_units(cut)).lath(unit)
}

/// Two surveys beside each other; nothing where they share fewer than three stakes.
pub(super) fn beside(before: &Shots, after: &Shots, error: Length, unit: LengthUnit) -> Option<MovedOut> {
    let near = f64::from(same_place(unit)) / crate::shots::MICRO;
    let Moved { common, shift, is_shifted, limit, stakes } = moved(before, after, error.job_units(), near);
    let stakes = stakes.into_iter().map(|s| MovedStakeOut {
        stake: after.names.get(s.rows[1]).to_owned(),
        before: before.elevation[s.rows[0]],
        after: after.elevation[s.rows[1]],
        rise: s.rise,
        away: s.away,
    });
    (common >= 3).then(|| MovedOut { common, shift, shifted: is_shifted, limit, stakes: stakes.collect() })
}
