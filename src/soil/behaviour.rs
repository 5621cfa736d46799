//! How does a soil behave as subgrade: what does it carry, does it drain, does it heave?
//!
//! Words by group as printed. As subgrade where no frost comes, and drainage: US Army WES TM 3-357, appendix B, table B-1, from
//! memory. Frost action: US Army correspondence course EN5341 (soils), seen, silty gravel and peat from the former table, from memory; "medium" there is
//! "moderate" here. Frost group: US Army TM 5-822-5 and UFC 3-250-01, from memory: not susceptible, then F1 to F4 with rising risk; clay is F3 where its
//! plasticity index is above 12, else F4, which no hand test tells. Topsoil and made ground are no soils of these tables: not suitable.
//!
//! Where several groups fit, and where a table gives two words, all lie between the best and the worst word; the worst counts.

use super::hand::{Scale, words};
use super::identify::Group;
use std::fmt;

words!(
    /// As subgrade where no frost comes.
    Suitability [
        /// Excellent.
        Excellent "excellent",
        /// Good.
        Good "good",
        /// Fair.
        Fair "fair",
        /// Poor.
        Poor "poor",
        /// Very poor.
        VeryPoor "very poor",
        /// Not suitable: take it out.
        Not "not suitable",
    ]
);
words!(
    /// How it lets water through.
    Drainage [
        /// Excellent.
        Excellent "excellent",
        /// Fair.
        Fair "fair",
        /// Poor.
        Poor "poor",
        /// Practically impervious.
        Impervious "practically impervious",
    ]
);
words!(
    /// How much frost lifts it.
    Frost [
        /// Not.
        None "none",
        /// Hardly.
        VerySlight "very slight",
        /// Slightly.
        Slight "slight",
        /// Moderately.
        Moderate "moderate",
        /// Highly.
        High "high",
        /// Very highly.
        VeryHigh "very high",
    ]
);
words!(
    /// Group of frost design.
    FrostGroup [
        /// Not susceptible.
        Free "not susceptible",
        /// Least.
        F1 "F1",
        /// Low.
        F2 "F2",
        /// High.
        F3 "F3",
        /// Highest.
        F4 "F4",
    ]
);

/// From the best to the worst word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span<T> {
    /// The best that may be.
    pub best: T,
    /// The worst.
    pub worst: T,
}

impl<T: Scale> Span<T> {
    /// Over all that fit; none where nothing is known of any.
    pub fn over(all: impl IntoIterator<Item = Self>) -> Option<Self> {
        all.into_iter().reduce(|a, b| Self { best: a.best.min(b.best), worst: a.worst.max(b.worst) })
    }
}

impl<T: Scale> fmt::Display for Span<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.best.spoken())?;
        if self.best == self.worst { Ok(()) } else { write!(f, " to {}", self.worst.spoken()) }
    }
}

const fn span<T: Copy>(best: T, worst: T) -> Span<T> {
    Span { best, worst }
}

impl Group {
    /// As subgrade where no frost comes.
    #[must_use]
    pub fn suitability(self) -> Span<Suitability> {
        use Suitability::{Excellent, Fair, Good, Not, Poor, VeryPoor};
        match self {
            Self::GW => span(Excellent, Excellent),
            Self::GP => span(Excellent, Good),
            Self::GM | Self::GC | Self::SW => span(Good, Good),
            Self::SP | Self::SM => span(Good, Fair),
            Self::SC | Self::ML | Self::CL | Self::CH => span(Fair, Poor),
            Self::OL | Self::MH => span(Poor, Poor),
            Self::OH => span(Poor, VeryPoor),
            Self::Pt | Self::Topsoil | Self::Fill => span(Not, Not),
        }
    }

    /// How it lets water through; none where no table says.
    #[must_use]
    pub fn drainage(self) -> Option<Span<Drainage>> {
        use Drainage::{Excellent, Fair, Impervious, Poor};
        Some(match self {
            Self::GW | Self::GP | Self::SW | Self::SP => span(Excellent, Excellent),
            // Of silty gravel and sand there are two kinds, the one fair to poor, the other poor to impervious: hands do not tell them apart.
            Self::GM | Self::SM => span(Fair, Impervious),
            Self::GC | Self::SC => span(Poor, Impervious),
            Self::ML | Self::MH | Self::Pt => span(Fair, Poor),
            Self::OL => span(Poor, Poor),
            Self::CL | Self::CH | Self::OH => span(Impervious, Impervious),
            Self::Topsoil | Self::Fill => return None,
        })
    }

    /// How much frost lifts it; none where no table says.
    #[must_use]
    pub fn frost(self) -> Option<Span<Frost>> {
        use Frost::{High, Moderate, None as No, Slight, VeryHigh, VerySlight};
        Some(match self {
            Self::GW | Self::GP | Self::SW | Self::SP => span(No, VerySlight),
            Self::GM | Self::GC => span(Slight, Moderate),
            Self::SM | Self::SC => span(Slight, High),
            Self::ML | Self::MH => span(Moderate, VeryHigh),
            Self::CL | Self::OL => span(Moderate, High),
            Self::CH | Self::OH => span(Moderate, Moderate),
            Self::Pt => span(Slight, Slight),
            Self::Topsoil | Self::Fill => return None,
        })
    }

    /// Its group of frost design; none of what is taken out.
    #[must_use]
    pub fn frost_group(self) -> Option<Span<FrostGroup>> {
        use FrostGroup::{F1, F2, F3, F4, Free};
        Some(match self {
            Self::GW | Self::GP => span(Free, Free),
            Self::SW | Self::SP => span(Free, F2),
            Self::GM => span(F1, F3),
            Self::SM => span(F2, F4),
            Self::GC | Self::SC | Self::CH => span(F3, F3),
            Self::CL => span(F3, F4),
            Self::ML | Self::MH => span(F4, F4),
            Self::OL | Self::OH | Self::Pt | Self::Topsoil | Self::Fill => return None,
        })
    }
}
