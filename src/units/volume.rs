//! Bank, loose and compacted yards are three numbers: a volume carries its state in its type.
//!
//! Held in cubic units of the job's length; spoken in yd3 or m3 by [`Volume::spoken`].

use super::LengthUnit;
use std::marker::PhantomData;
use std::ops::{Add, AddAssign, Sub};

mod sealed {
    pub trait Sealed {}
}

/// A state earth can be in. Sealed: there are three.
pub trait State: sealed::Sealed {}

macro_rules! state {
    ($(#[$doc:meta])* $name:ident, $alias:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub enum $name {}
        impl sealed::Sealed for $name {}
        impl State for $name {}
        #[doc = concat!("A volume of state [`", stringify!($name), "`].")]
        pub type $alias = Volume<$name>;
    };
}
state!(
    /// As it lies in the ground.
    Bank, BankVolume);
state!(
    /// As it lies in the truck.
    Loose, LooseVolume);
state!(
    /// As it lies when placed and compacted.
    Compacted, CompactedVolume);

/// A volume in one state. Sums only within a state:
/// ```
/// use spadework::units::{BankVolume, LooseVolume};
/// let all = BankVolume::cubic_job_units(27.0) + BankVolume::cubic_job_units(54.0);
/// ```
/// ```compile_fail,E0308
/// use spadework::units::{BankVolume, LooseVolume};
/// let all = BankVolume::cubic_job_units(27.0) + LooseVolume::cubic_job_units(54.0);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Volume<S: State> {
    cubic: f64,
    state: PhantomData<S>,
}

impl<S: State> Volume<S> {
    /// Nothing.
    pub const ZERO: Self = Self { cubic: 0.0, state: PhantomData };

    /// From cubic units of the job's length.
    #[must_use]
    pub fn cubic_job_units(cubic: f64) -> Self {
        Self { cubic, state: PhantomData }
    }
    /// In cubic units of the job's length.
    #[must_use]
    pub fn cubic(self) -> f64 {
        self.cubic
    }
    /// In the unit people say: yd3 for feet, m3 for metres.
    #[must_use]
    pub fn spoken(self, unit: LengthUnit) -> f64 {
        self.cubic / unit.cubic_per_volume()
    }
}

impl<S: State> Add for Volume<S> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::cubic_job_units(self.cubic + other.cubic)
    }
}
impl<S: State> AddAssign for Volume<S> {
    fn add_assign(&mut self, other: Self) {
        self.cubic += other.cubic;
    }
}
impl<S: State> Sub for Volume<S> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::cubic_job_units(self.cubic - other.cubic)
    }
}
