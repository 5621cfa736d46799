//! What was found in a hole, layer by layer, and what the job says of its soil?
//!
//! Depths count from the ground at the hole, downward, in the job's unit.

use super::hand::{Firmness, Tests};
use super::identify::{Class, Found, identify};
use super::states::Factors;
use super::usual::usual;
use crate::units::{Length, LengthUnit};

/// A hole and what the hand found in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Core {
    /// Its name.
    pub name: String,
    /// Northing and easting in whole millionths.
    pub place: (i64, i64),
    /// Layers, top down, without gaps.
    pub layers: Vec<Layer>,
}

/// A layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Depth of its top.
    pub from: Length,
    /// Depth of its bottom.
    pub to: Length,
    /// What the hand found.
    pub tests: Tests,
    /// How firm it stands.
    pub firmness: Option<Firmness>,
    /// Remark.
    pub note: String,
}

impl Core {
    /// Depth of its bottom.
    #[must_use]
    pub fn depth(&self) -> Length {
        self.layers.last().map_or(Length::ZERO, |l| l.to)
    }

    /// The worst layer met between two depths, the upper of equals. At a boundary the layer below it is met; past the bottom of the hole
    /// its lowest layer is all that is known.
    #[must_use]
    pub fn worst(&self, from: Length, to: Length) -> Option<(&Layer, Found)> {
        let met = self.layers.iter().filter(|l| l.to > from && (l.from < to || l.from <= from));
        let known = met.chain(self.layers.last().filter(|l| l.to <= from));
        known.map(|l| (l, identify(&l.tests))).reduce(|a, b| if b.1.class > a.1.class { b } else { a })
    }
}

/// What is said of a job's soil.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ground {
    /// Holes.
    pub cores: Vec<Core>,
    /// The user's own figures by class.
    pub own: Vec<(Class, Factors)>,
    /// Swell for every soil of the job without figures of its own.
    pub swell: Option<f64>,
    /// Shrink, likewise.
    pub shrink: Option<f64>,
    /// Mass of a cubic job unit of bank, likewise.
    pub bank_weight: Option<f64>,
}

impl Ground {
    /// Factors of what is dug where that class governs; where nothing was found, the job's own figures, if swell and weight were said.
    /// Without a shrink it compacts to what it was.
    #[must_use]
    pub fn dug(&self, class: Option<Class>, job: LengthUnit) -> Option<Factors> {
        let said =
            || Some(Factors { swell: self.swell?, shrink: self.shrink.unwrap_or(0.0), bank_weight: self.bank_weight? });
        class.map_or_else(said, |class| Some(self.factors(class, job)))
    }

    /// The core that governs the job as a whole: the first with the worst soil below the topsoil. None without cores.
    #[must_use]
    pub fn governs(&self) -> Option<(&Core, Class)> {
        let layers = self.cores.iter().flat_map(|c| c.layers.iter().map(move |l| (c, identify(&l.tests).class)));
        let below = layers.filter(|(_, class)| *class != Class::Topsoil);
        below.reduce(|a, b| if b.1 > a.1 { b } else { a }).or(self.cores.first().map(|c| (c, Class::Topsoil)))
    }

    /// Factors of a class: the user's own of the class, else the job's, else what is usual.
    #[must_use]
    pub fn factors(&self, class: Class, job: LengthUnit) -> Factors {
        if let Some((_, own)) = self.own.iter().find(|(c, _)| *c == class) {
            return *own;
        }
        let usual = usual(class).factors(job);
        Factors {
            swell: self.swell.unwrap_or(usual.swell),
            shrink: self.shrink.unwrap_or(usual.shrink),
            bank_weight: self.bank_weight.unwrap_or(usual.bank_weight),
        }
    }

    /// Whether any of its factors is only what is usual.
    #[must_use]
    pub fn is_usual(&self, class: Class) -> bool {
        let said = [self.swell, self.shrink, self.bank_weight].iter().all(Option::is_some);
        !said && !self.own.iter().any(|(c, _)| *c == class)
    }
}
