//! Which ground counts, and what lies outside it?
//!
//! Ground counts where both surveys cover it, inside the limit if there is one. The rest of either survey, and the
//! part of a limit under which nothing was shot, is said with its square units and not counted.

use super::UncoveredOut;
use crate::finding::{Caution, Refusal, Subject};
use crate::surface::{Region, Surface};
use crate::units::{LengthUnit, fixed};
use crate::volume::area_inside;

/// Less than this part of the ground that counts is rounding, not ground.
const NOTHING: f64 = 1e-6;

/// Ground of each survey outside the other, and of the limit outside both; `shared` is the area that counts.
pub(super) fn uncovered(
    surveys: [(&str, &Surface); 2],
    region: Option<&Region>,
    shared: f64,
    unit: LengthUnit,
    cautions: &mut Vec<Caution>,
) -> Vec<UncoveredOut> {
    let [one, other] = surveys;
    let mut out = Vec::new();
    let mut say = |name: &str, area: f64, why: &str| {
        if area > NOTHING * shared {
            let text = format!("{} {} {why} and are not counted", fixed(area, 1), unit.area());
            cautions.push(Caution::new(Subject::Table(name.to_owned()), text));
            out.push(UncoveredOut { name: name.to_owned(), area });
        }
    };
    for ((name, surface), (beside, _)) in [(one, other), (other, one)] {
        say(name, area_inside(surface, region) - shared, &format!("lie outside the {beside} shots"));
    }
    if let Some(region) = region {
        say("limit", region.area() - shared, "inside the limit lie outside the ground that both surveys cover");
    }
    out
}

/// Why there is nothing to work on.
pub(super) fn nothing_shared(limited: bool, last: &str) -> Refusal {
    let (subject, found, expected, help) = if limited {
        (
            "limit",
            "a limit with no ground inside it that both surveys cover",
            "a limit round some of that ground",
            "check the unit of the limit, and that northing and easting are not exchanged in it",
        )
    } else {
        (
            last,
            "no ground that both surveys cover",
            "two surveys of one site, in the same unit and the same coordinates",
            "check the units, and that northing and easting are not exchanged in one of them",
        )
    };
    Refusal {
        subject: Subject::Table(subject.to_owned()),
        found: found.to_owned(),
        expected: expected.to_owned(),
        help: help.to_owned(),
    }
}
