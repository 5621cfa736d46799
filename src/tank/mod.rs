//! What does a cistern yield, how often is it dry, and what runs over?
//!
//! Inflow of a day = (rain less first flush, not below 0) x area x efficiency, summed over the catchments; use of a day = depth a week
//! / 7 x area, summed over what is watered. The store then takes one step a day, or a month where rain is known by the month.
//! Method: yield after spillage and before spillage, Jenkins et al. 1978; Fewkes and Butler 2000.
//!
//! Units: depths and areas in the job's unit, water in gallons or litres ([`LengthUnit::water`]). No number has a sign.

mod store;

pub use store::{Balance, Rule, Step, Store, Turn, enough};

use crate::units::{Elevation, Length, LengthUnit};

/// A cistern as said.
#[derive(Clone, Debug, Default)]
pub struct Tank {
    /// Its name.
    pub name: String,
    /// What it holds, what is in it at first, and when use is taken.
    pub store: Store,
    /// Lost of every wet day.
    pub first_flush: Length,
    /// The owner's wish: days of a year on which it may be dry.
    pub most_days_dry: Option<usize>,
    /// What drains into it.
    pub catchments: Vec<Catchment>,
    /// What is watered from it.
    pub demands: Vec<Demand>,
    /// The rain it lives on.
    pub rain: Option<Rain>,
    /// Invert of the pipe in.
    pub inlet: Option<Elevation>,
    /// Invert of the pipe out, if it has one, and where that leads, in words.
    pub overflow: Option<Overflow>,
    /// Areas whose water it takes and that are treated with lime, by number.
    pub limed: Vec<usize>,
}

/// The pipe out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overflow {
    /// Invert, if it was said.
    pub invert: Option<Elevation>,
    /// Where it leads, in words; none where nothing was said.
    pub way: Option<String>,
}

/// What drains into it.
#[derive(Clone, Debug, PartialEq)]
pub struct Catchment {
    /// Its name.
    pub name: String,
    /// Its size.
    pub size: Size,
    /// Part of the rain that arrives, 0 to 1.
    pub efficiency: f64,
}

/// How large a catchment is.
#[derive(Clone, Debug, PartialEq)]
pub enum Size {
    /// Square job units.
    Given(f64),
    /// Areas of the job by number.
    Areas(Vec<usize>),
}

/// An area that is watered.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// The area by number.
    pub area: usize,
    /// Depth of water a week, January first.
    pub per_week: [Length; 12],
}

/// Rain by the day or by the month, without gaps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rain {
    /// Whether it is known by the month only.
    pub by_month: bool,
    /// In order of time.
    pub fallen: Vec<Fallen>,
}

/// Rain of one day or one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fallen {
    /// Year.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u32,
    /// Day, from 1; 0 for a month as a whole.
    pub day: u32,
    /// Depth.
    pub depth: Length,
}

impl Fallen {
    /// `2001-05-31`, or `2001-05` for a month.
    #[must_use]
    pub fn date(&self) -> String {
        let month = format!("{:04}-{:02}", self.year, self.month);
        if self.day == 0 { month } else { format!("{month}-{:02}", self.day) }
    }

    /// Days it stands for.
    #[must_use]
    pub fn days(&self) -> u32 {
        if self.day == 0 { days_in(self.year, self.month) } else { 1 }
    }
}

/// Days of a month of the calendar we use (Gregorian).
#[must_use]
pub fn days_in(year: i32, month: u32) -> u32 {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Water of a depth on an area.
#[must_use]
pub fn water(depth: Length, area: f64, unit: LengthUnit) -> f64 {
    depth.job_units() * area * unit.water_per_cubic()
}

impl Catchment {
    /// Its size; `area_of`: square job units of an area of the job by its number.
    pub fn area(&self, area_of: impl Fn(usize) -> f64) -> f64 {
        match &self.size {
            Size::Given(area) => *area,
            Size::Areas(all) => all.iter().map(|&k| area_of(k)).sum(),
        }
    }
}

impl Tank {
    /// What of a rain runs off after the first flush; that cannot be told of a whole month, and nothing is taken off.
    fn running(&self, fallen: &Fallen) -> Length {
        if fallen.day == 0 {
            return fallen.depth;
        }
        Length::in_job_units((fallen.depth - self.first_flush).job_units().max(0.0))
    }

    /// What a catchment brings of all the rain.
    pub fn brings(&self, catchment: &Catchment, unit: LengthUnit, area_of: impl Fn(usize) -> f64) -> f64 {
        let depth = self.rain.iter().flat_map(|r| &r.fallen).fold(Length::ZERO, |sum, f| sum + self.running(f));
        water(depth, catchment.area(area_of), unit) * catchment.efficiency
    }

    /// Water in and water asked for, a day or a month at a time.
    pub fn steps(&self, unit: LengthUnit, area_of: impl Fn(usize) -> f64) -> Vec<Step> {
        let catching: f64 = self.catchments.iter().map(|c| c.area(&area_of) * c.efficiency).sum();
        let asked: Vec<f64> = (0..12)
            .map(|m| self.demands.iter().map(|d| water(d.per_week[m], area_of(d.area), unit) / 7.0).sum())
            .collect();
        let of = |f: &Fallen| Step {
            inflow: water(self.running(f), catching, unit),
            demand: asked[(f.month as usize + 11) % 12] * f64::from(f.days()),
        };
        self.rain.iter().flat_map(|r| &r.fallen).map(of).collect()
    }
}
