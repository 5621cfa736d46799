//! What can a hand find out about soil, and in which words is it booked?
//!
//! Five tests on what passes the No. 40 sieve, or by eye without stones: dry strength of a patty, dilatancy (a wet ball is shaken: does
//! water shine on it, and go when it is squeezed?), toughness of a thread rolled to 1/8 in (3 mm), length of a ribbon pressed out
//! between thumb and finger, and the feel. Words of each test go from the least to the most; the first is ours, the others are those the
//! published tables print.
//!
//! A ribbon is read to 1/8 in: one that is half of that short of a limit is on it, so 25 mm is an inch.

use crate::units::{Length, LengthUnit};

/// Words of one scale, from the least to the most (or from the best to the worst).
pub trait Scale: Copy + Ord + 'static {
    /// All of them.
    const SPOKEN: &'static [&'static str];
    /// Its word.
    fn spoken(self) -> &'static str;
    /// The one of a word, ours or a printed one.
    fn of(word: &str) -> Option<Self>;
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident [$($(#[$of:meta])* $variant:ident $word:literal $($alias:literal)*),* $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[$of])* $variant,)*
        }
        impl $name {
            /// Every answer, from the least to the most.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The words of all of them.
            pub const WORDS: &'static [&'static str] = &[$($word),*];

            /// Its word.
            #[must_use]
            pub fn word(self) -> &'static str {
                Self::WORDS[self as usize]
            }

            /// The answer of a word, ours or a printed one.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word {
                    $($word $(| $alias)* => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }
        impl $crate::soil::Scale for $name {
            const SPOKEN: &'static [&'static str] = Self::WORDS;
            fn spoken(self) -> &'static str {
                self.word()
            }
            fn of(word: &str) -> Option<Self> {
                Self::from_word(word)
            }
        }
    };
}
pub(super) use words;

words!(
    /// Toughness: what a thread of 1/8 in does.
    Thread [
        /// None can be rolled.
        None "none",
        /// It crumbles early, weak.
        Crumbles "crumbles" "slight" "low",
        /// It holds and can be rolled again.
        Holds "holds" "medium",
        /// It is stiff and shines.
        Tough "tough" "high",
    ]
);
words!(
    /// Length of a ribbon.
    Ribbon [
        /// None.
        None "none",
        /// Under 1 in.
        Short "under 1 in",
        /// 1 in to 2 in.
        Middling "1 to 2 in",
        /// 2 in to 8 in.
        Long "2 to 8 in",
        /// 8 in or more.
        Longest "8 in or more",
    ]
);
words!(
    /// Dilatancy: how fast water shines on a shaken ball.
    Shake [
        /// Not at all.
        None "none",
        /// Hardly.
        VerySlow "very slow",
        /// Slowly.
        Slow "slow",
        /// At once, and goes when squeezed.
        Quick "quick" "rapid",
        /// At once, and the ball slumps.
        VeryQuick "very quick",
    ]
);
words!(
    /// Dry strength: what a dried patty stands.
    Patty [
        /// Falls apart.
        None "none",
        /// Powders under the finger.
        Low "low" "slight",
        /// Breaks, powders with effort.
        Medium "medium",
        /// Breaks, does not powder.
        High "high",
        /// Does not break between the fingers.
        VeryHigh "very high",
    ]
);
words!(
    /// What the eye and the finger say before any test.
    Feel [
        /// Dark crumbs, roots: topsoil.
        Crumbly "crumbly",
        /// Fibres, spongy: peat.
        Fibrous "fibrous" "spongy",
        /// Dark, smells, otherwise as silt or clay.
        Organic "organic",
        /// Brick, ash, rubbish: ground that was made.
        Fill "fill",
        /// Sticks and stains.
        Sticky "sticky" "clay",
        /// Smooth, dusts off.
        Silt "silt" "floury",
        /// Gritty: more than half of it grains the eye sees.
        Sand "sand" "gritty",
        /// More than half of it stones.
        Gravel "gravel",
    ]
);
words!(
    /// How firm it stands in the hole.
    Firmness [
        /// A heel sinks.
        Soft "soft",
        /// A thumb goes in.
        Medium "medium",
        /// A thumb dents it.
        Firm "firm",
        /// A nail scratches it.
        Hard "hard",
    ]
);

/// Half of what a ribbon is read to, inches.
const READ: f64 = 1.0 / 16.0;

impl Ribbon {
    /// The answer of a length.
    #[must_use]
    pub fn of(length: Length, job: LengthUnit) -> Self {
        let inches = length.job_units() * job.inches() + READ;
        match inches {
            _ if length <= Length::ZERO => Self::None,
            _ if inches < 1.0 => Self::Short,
            _ if inches < 2.0 => Self::Middling,
            _ if inches < 8.0 => Self::Long,
            _ => Self::Longest,
        }
    }
}

/// A test by its name in the table of cores.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Test {
    /// Toughness.
    Thread,
    /// Ribbon.
    Ribbon,
    /// Dilatancy.
    Shake,
    /// Dry strength.
    Patty,
    /// Feel.
    Feel,
}

impl Test {
    /// Every test, as they are booked.
    pub const ALL: [Self; 5] = [Self::Thread, Self::Ribbon, Self::Shake, Self::Patty, Self::Feel];

    /// Its name.
    #[must_use]
    pub fn word(self) -> &'static str {
        ["thread", "ribbon", "shake", "patty", "feel"][self as usize]
    }
}

/// Answers; none where a test was not made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tests {
    /// Toughness.
    pub thread: Option<Thread>,
    /// Ribbon.
    pub ribbon: Option<Ribbon>,
    /// Dilatancy.
    pub shake: Option<Shake>,
    /// Dry strength.
    pub patty: Option<Patty>,
    /// Feel.
    pub feel: Option<Feel>,
}
