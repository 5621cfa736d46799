//! Which soil do these hand tests speak of, and which of them disagree?
//!
//! Eye first, then hand, as in D2488: the feel says which rows of the table come into question; every test made speaks for the rows its answer fits.
//! The groups with the most tests for them are found; where several are left, all are named, for a single test never fixes a group.
//! A test agrees where it speaks for every group found, else it disagrees.
//!
//! ```text
//!   feel      rows asked                      feel      rows asked
//!   sand      SW SP SM SC                     crumbly   topsoil, else ML MH CL CH
//!   gravel    GW GP GM GC                     organic   OL OH
//!   silt      ML MH CL, else CH               fibrous   Pt
//!   sticky    CL CH, else ML MH               fill      fill
//!   not said  ML MH CL CH OL OH               else: asked, but the feel speaks against them
//! ```
//! Sources: dry strength, dilatancy, toughness of fine soils: Casagrande's field tests as a soil mechanics textbook prints them, seen, and
//! ASTM D2488, from memory; an answer fits a group where either table has it. Sand and gravel with fines: their fines are ML or MH (M), CL or CH (C);
//! D2487, D2488, from memory. Ribbon: under 1 in loam, to 2 in clay loam, more clay (Thien 1979, from memory); 3 to 8 in CL, 8 to 10 in CH (US Air Force
//! AFH 10-222 volume 14, 2008, table A3.7, seen). Peat has no strength tests. Topsoil and made ground: common practice.
//!
//! Ties: W and P are told by sieves, never by hand, so both are named.
//! Known right by: every printed row, and every combination of answers against a count by hand (`tests/published/soils.rs`).

use super::hand::{Feel, Patty, Ribbon, Shake, Test, Tests, Thread, words};

words!(
    /// A group of the unified classification, or what stands outside it.
    Group [
        /// Clean gravel, well graded.
        GW "GW",
        /// Clean gravel, poorly graded.
        GP "GP",
        /// Silty gravel.
        GM "GM",
        /// Clayey gravel.
        GC "GC",
        /// Clean sand, well graded.
        SW "SW",
        /// Clean sand, poorly graded.
        SP "SP",
        /// Silty sand.
        SM "SM",
        /// Clayey sand.
        SC "SC",
        /// Silt.
        ML "ML",
        /// Lean clay.
        CL "CL",
        /// Organic silt.
        OL "OL",
        /// Elastic silt.
        MH "MH",
        /// Fat clay.
        CH "CH",
        /// Organic clay.
        OH "OH",
        /// Peat.
        Pt "Pt",
        /// Topsoil.
        Topsoil "topsoil",
        /// Ground that was made: brick, ash, rubbish.
        Fill "fill",
    ]
);

words!(
    /// A soil as it is called on site, from the best subgrade to the worst.
    Class [
        /// Blasted rock; no hand test finds it.
        Rock "rock",
        /// Gravel.
        Gravel "gravel",
        /// Sand, clean or silty.
        Sand "sand",
        /// Sand or gravel with clay, or tests that fit soils of several kinds: common earth.
        Mixed "mixed" "loam" "earth",
        /// Clay.
        Clay "clay",
        /// Clay with silt: the tests fit both.
        ClaySilt "clay with silt",
        /// Silt.
        Silt "silt",
        /// Made ground.
        Fill "fill",
        /// Topsoil.
        Topsoil "topsoil",
        /// Organic silt or clay, peat.
        Organic "organic",
    ]
);

impl Class {
    /// Whether it has to come out from under whatever shall not settle.
    #[must_use]
    pub fn comes_out(self) -> bool {
        self >= Self::Fill
    }

    /// The class of groups that all fit.
    #[must_use]
    pub fn of(groups: &[Group]) -> Self {
        // Organic soil is told by its look: where the feel was not said, others come first.
        let firm = groups.iter().copied().map(Group::class).filter(|c| *c != Self::Organic);
        let mut kinds: Vec<Self> = firm.collect();
        kinds.sort_unstable();
        kinds.dedup();
        match kinds.as_slice() {
            [] => Self::Organic,
            [one] => *one,
            [Self::Clay, Self::Silt] => Self::ClaySilt,
            _ => Self::Mixed,
        }
    }
}

impl Group {
    /// Its class.
    #[must_use]
    pub fn class(self) -> Class {
        match self {
            Self::GW | Self::GP | Self::GM => Class::Gravel,
            Self::SW | Self::SP | Self::SM => Class::Sand,
            Self::GC | Self::SC => Class::Mixed,
            Self::ML | Self::MH => Class::Silt,
            Self::CL | Self::CH => Class::Clay,
            Self::OL | Self::OH | Self::Pt => Class::Organic,
            Self::Topsoil => Class::Topsoil,
            Self::Fill => Class::Fill,
        }
    }
}

/// What the tests of a layer say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Groups that fit best, in the order of the table.
    pub groups: Vec<Group>,
    /// What it is called.
    pub class: Class,
    /// Tests that speak for all of them.
    pub agree: Vec<Test>,
    /// Tests that do not.
    pub disagree: Vec<Test>,
}

/// A row of the table: the least and the most of each answer.
struct Row {
    group: Group,
    patty: (Patty, Patty),
    shake: (Shake, Shake),
    thread: (Thread, Thread),
    ribbon: (Ribbon, Ribbon),
}

const fn row(
    group: Group,
    patty: (Patty, Patty),
    shake: (Shake, Shake),
    thread: (Thread, Thread),
    ribbon: (Ribbon, Ribbon),
) -> Row {
    Row { group, patty, shake, thread, ribbon }
}

/// A row any answer fits.
const fn any(group: Group) -> Row {
    let (thread, ribbon) = ((Thread::None, Thread::Tough), (Ribbon::None, Ribbon::Longest));
    row(group, (Patty::None, Patty::VeryHigh), (Shake::None, Shake::VeryQuick), thread, ribbon)
}

#[rustfmt::skip]
static TABLE: [Row; 17] = {
    use Patty as P;
    use Ribbon as R;
    use Shake as S;
    use Thread as T;
    [
        row(Group::GW, (P::None, P::None), (S::None, S::VeryQuick), (T::None, T::None), (R::None, R::None)),
        row(Group::GP, (P::None, P::None), (S::None, S::VeryQuick), (T::None, T::None), (R::None, R::None)),
        row(Group::GM, (P::None, P::Medium), (S::None, S::VeryQuick), (T::None, T::Holds), (R::None, R::Short)),
        row(Group::GC, (P::Medium, P::VeryHigh), (S::None, S::Slow), (T::Holds, T::Tough), (R::Short, R::Middling)),
        row(Group::SW, (P::None, P::None), (S::Quick, S::VeryQuick), (T::None, T::None), (R::None, R::None)),
        row(Group::SP, (P::None, P::None), (S::Quick, S::VeryQuick), (T::None, T::None), (R::None, R::None)),
        row(Group::SM, (P::None, P::Medium), (S::None, S::VeryQuick), (T::None, T::Holds), (R::None, R::Short)),
        row(Group::SC, (P::Medium, P::VeryHigh), (S::None, S::Slow), (T::Holds, T::Tough), (R::Short, R::Middling)),
        row(Group::ML, (P::None, P::Low), (S::Slow, S::Quick), (T::None, T::Crumbles), (R::None, R::Short)),
        row(Group::CL, (P::Medium, P::High), (S::None, S::Slow), (T::Holds, T::Holds), (R::Middling, R::Long)),
        row(Group::OL, (P::Low, P::Medium), (S::Slow, S::Slow), (T::Crumbles, T::Crumbles), (R::None, R::Middling)),
        row(Group::MH, (P::Low, P::Medium), (S::None, S::Slow), (T::Crumbles, T::Holds), (R::None, R::Middling)),
        row(Group::CH, (P::High, P::VeryHigh), (S::None, S::None), (T::Tough, T::Tough), (R::Long, R::Longest)),
        row(Group::OH, (P::Medium, P::High), (S::None, S::VerySlow), (T::Crumbles, T::Holds), (R::Middling, R::Long)),
        any(Group::Pt),
        row(Group::Topsoil, (P::None, P::Medium), (S::None, S::Slow), (T::None, T::Crumbles), (R::None, R::Short)),
        any(Group::Fill),
    ]
};

fn fits<T: PartialOrd>(answer: Option<T>, (least, most): &(T, T)) -> Option<bool> {
    answer.map(|a| *least <= a && a <= *most)
}

impl Row {
    /// Whether the feel lets it come into question, by the table above.
    fn is_seen(&self, feel: Option<Feel>) -> bool {
        use Group::{CH, CL, Fill, GC, GM, GP, GW, MH, ML, OH, OL, Pt, SC, SM, SP, SW, Topsoil};
        match feel {
            None => matches!(self.group, ML | MH | CL | CH | OL | OH),
            Some(Feel::Crumbly) => matches!(self.group, Topsoil | ML | MH | CL | CH),
            Some(Feel::Fibrous) => self.group == Pt,
            Some(Feel::Organic) => matches!(self.group, OL | OH),
            Some(Feel::Fill) => self.group == Fill,
            Some(Feel::Sticky | Feel::Silt) => matches!(self.group, ML | MH | CL | CH),
            Some(Feel::Sand) => matches!(self.group, SW | SP | SM | SC),
            Some(Feel::Gravel) => matches!(self.group, GW | GP | GM | GC),
        }
    }

    /// Whether a test speaks for it; none where it was not made.
    fn is_for(&self, test: Test, tests: &Tests) -> Option<bool> {
        use Group::{CH, CL, MH, ML, Topsoil};
        match test {
            Test::Thread => fits(tests.thread, &self.thread),
            Test::Ribbon => fits(tests.ribbon, &self.ribbon),
            Test::Shake => fits(tests.shake, &self.shake),
            Test::Patty => fits(tests.patty, &self.patty),
            Test::Feel => tests.feel.map(|feel| match feel {
                Feel::Crumbly => self.group == Topsoil,
                Feel::Sticky => matches!(self.group, CL | CH),
                Feel::Silt => matches!(self.group, ML | MH | CL),
                // Those that alone come into question.
                _ => true,
            }),
        }
    }
}

/// What the tests say.
#[must_use]
pub fn identify(tests: &Tests) -> Found {
    let seen: Vec<&Row> = TABLE.iter().filter(|row| row.is_seen(tests.feel)).collect();
    let votes = |row: &Row| Test::ALL.iter().filter(|t| row.is_for(**t, tests) == Some(true)).count();
    let most = seen.iter().map(|row| votes(row)).max().unwrap_or(0);
    let found: Vec<&Row> = seen.into_iter().filter(|row| votes(row) == most).collect();
    let groups: Vec<Group> = found.iter().map(|row| row.group).collect();
    let made = Test::ALL.into_iter().filter(|t| found.first().is_some_and(|row| row.is_for(*t, tests).is_some()));
    let (agree, disagree) = made.partition(|t| found.iter().all(|row| row.is_for(*t, tests) == Some(true)));
    Found { class: Class::of(&groups), groups, agree, disagree }
}

impl Found {
    /// `CH`, `CL or MH`.
    #[must_use]
    pub fn spoken(&self) -> String {
        let words: Vec<&str> = self.groups.iter().map(|g| g.word()).collect();
        match words.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            _ => words.concat(),
        }
    }
}
