//! Invented outcomes of jobs with areas: a hall courtyard in feet and a side court in metres.
//!
//! Every area is a rectangle with a plane for its finish; the ground is bilinear between grid stakes.

use super::{Node, contours, segments, tint};
use crate::job::*;
use crate::units::{CutFill, Length, LengthUnit};

/// Name, code, section, south, west, north, east, finish at the south-west corner, fall north, fall east, build-up.
type Plot = (&'static str, &'static str, &'static str, [f64; 4], [f64; 3], f64);

const HALL: [Plot; 7] = [
    ("dining terrace", "T", "terrace aggregate", [500.0, 1008.0, 521.0, 1042.0], [103.46, 0.02, 0.0], 0.7812),
    ("stone drain strip", "DS", "drain strip", [521.0, 1008.0, 524.0, 1042.0], [102.54, 0.02, 0.0], 0.5),
    ("upper landing", "W1", "walk panel", [508.0, 1042.0, 513.0, 1055.0], [103.30, 0.02, 0.0], 0.5104),
    ("accessible ramp", "W2", "walk panel", [508.0, 1055.0, 513.0, 1075.0], [103.30, 0.02, 0.0735], 0.5104),
    ("lower landing", "W3", "walk panel", [508.0, 1075.0, 513.0, 1082.0], [101.83, 0.02, -0.005], 0.5104),
    ("planting bed", "P1", "bed", [515.0, 1046.0, 522.0, 1072.0], [102.95, 0.02, 0.045], 1.0),
    ("play lawn", "L", "lawn", [524.0, 1008.0, 552.0, 1062.0], [102.48, 0.02, 0.0], 0.5),
];
const COURT: [Plot; 2] = [
    ("paved court", "P", "block paving", [200.0, 500.5, 206.0, 511.5], [50.03, 0.016_667, 0.0], 0.25),
    ("border bed", "B", "border", [206.4, 500.5, 207.9, 511.5], [49.922, 0.02, 0.0], 0.3),
];
const COURT_STAKES: [(&str, f64, f64, f64); 14] = [
    ("A1", 200.0, 500.0, 50.043),
    ("A2", 200.0, 504.0, 50.017),
    ("A3", 200.0, 508.0, 49.999),
    ("A4", 200.0, 512.0, 49.968),
    ("B1", 204.0, 500.0, 50.009),
    ("B2", 204.0, 504.0, 49.983),
    ("B3", 204.0, 508.0, 49.956),
    ("B4", 204.0, 512.0, 49.937),
    ("C1", 208.0, 500.0, 49.967),
    ("C2", 208.0, 504.0, 49.948),
    ("C3", 208.0, 508.0, 49.920),
    ("C4", 208.0, 512.0, 49.896),
    ("H1", 203.0, 506.5, 50.039),
    ("L1", 206.8, 510.0, 49.874),
];

/// The hall with its drains worked out, water standing on its lawn, and ground behind it whose water reaches nothing.
pub(crate) fn drained() -> Outcome {
    let mut outcome = hall();
    let point = |name: &str, northing, easting, invert, clean_out| DrainPointOut {
        name: name.into(),
        northing,
        easting,
        invert,
        clean_out,
        ..DrainPointOut::default()
    };
    let run = |name: &str, points: Vec<DrainPointOut>| {
        let leg = |(k, pair): (usize, &[DrainPointOut])| {
            let length = (pair[1].northing - pair[0].northing).hypot(pair[1].easting - pair[0].easting);
            DrainLegOut {
                kind: if k == 0 { "perforated" } else { "solid" }.into(),
                length,
                fall: (pair[0].invert - pair[1].invert) / length,
                size: 1.0 / 3.0,
                outside: 0.375,
                holes: (k == 0).then_some("down"),
                ..DrainLegOut::default()
            }
        };
        let legs: Vec<DrainLegOut> = points.windows(2).enumerate().map(leg).collect();
        let length: f64 = legs.iter().map(|l| l.length).sum();
        let over = |k: i32| ProfilePoint {
            distance: length * f64::from(k) / 40.0,
            existing: Some(103.0 - f64::from(k) * 0.03),
            finish: (k < 20).then_some(102.5),
            subgrade: (k < 20).then_some(102.0),
        };
        let drop = points[0].invert - points[points.len() - 1].invert;
        let (fall, bedding) = (drop / length, Some(1.0 / 3.0));
        let profile = (0..=40).map(over).collect();
        DrainRunOut { name: name.into(), points, length, fall, drop, bedding, legs, profile, ..DrainRunOut::default() }
    };
    let basin = |invert| point("SB", 540.0, 1070.0, invert, false);
    let first = |name: &str, northing, easting, invert| point(name, northing, easting, invert, true);
    let drains = vec![
        run("A", vec![first("PA1", 522.5, 1008.0, 101.5), first("PA2", 522.5, 1073.0, 100.05), basin(99.65)]),
        run("B", vec![first("PB1", 513.5, 1042.0, 101.9), first("PB2", 513.5, 1080.0, 100.35), basin(99.4)]),
        run("C", vec![first("PC1", 552.5, 1008.0, 100.85), first("PC2", 552.5, 1062.0, 100.2), basin(99.7)]),
    ];
    let ring = |s: f64, w: f64, n: f64, e: f64| vec![(s, w), (s, e), (n, e), (n, w), (s, w)];
    let pond = PondOut {
        low_at: (534.0, 1025.0),
        depth: 0.24,
        rings: vec![ring(530.0, 1020.0, 538.0, 1030.0)],
        ..PondOut::default()
    };
    outcome.drainage = Some(DrainageOut { ponds: Some(vec![pond]), drains, ..DrainageOut::default() });
    if let Some(plan) = &mut outcome.plan {
        plan.lows = vec![(534.0, 1025.0, 101.4)];
        plan.unreached = vec![ring(545.0, 1040.0, 552.0, 1060.0)];
    }
    outcome
}

/// Feet-inches job with seven areas, seven corners of whose are stakes too.
pub(crate) fn hall() -> Outcome {
    let stakes: Vec<StakeOut> = include_str!("hall.csv").lines().skip(1).map(hall_stake).collect();
    let mut site = Site { plots: &HALL, stakes, unit: LengthUnit::Foot, spacing: 10.0, interval: 0.2 };
    site.corners();
    for (stake, what) in [("T.2", "gas service"), ("W1.2", "gas service"), ("E2", "oak")] {
        site.stakes.iter_mut().filter(|s| s.stake == stake).for_each(|s| s.keep_off.push(what.into()));
    }
    let mut outcome = site.outcome();
    outcome.job = "Hall courtyard".into();
    outcome.command = "spadework run hall/job.toml".into();
    outcome.datum = Some("assumed; hall main floor 103.50".into());
    outcome.survey = Some(SurveyOut { notes: Some(survey()), ..SurveyOut::default() });
    if let Some(volume) = &mut outcome.volume {
        account(volume);
    }
    let Some(plan) = &mut outcome.plan else { return outcome };
    plan.north = Some("hall wall runs due east".into());
    plan.edge = vec![
        vec![(500.0, 1008.0), (500.0, 1042.0), (508.0, 1042.0), (508.0, 1082.0), (513.0, 1082.0), (513.0, 1042.0)]
            .into_iter()
            .chain([(524.0, 1042.0), (524.0, 1062.0), (552.0, 1062.0), (552.0, 1008.0)])
            .collect(),
        vec![(515.0, 1046.0), (515.0, 1072.0), (522.0, 1072.0), (522.0, 1046.0)],
    ];
    let strip = |s: f64, w: f64, n: f64, e: f64| vec![(s, w), (s, e), (n, e), (n, w)];
    plan.over_dig = vec![
        strip(500.0, 1007.5, 521.0, 1008.0),
        strip(500.0, 1042.0, 507.5, 1042.5),
        strip(513.5, 1042.0, 521.0, 1042.5),
        strip(507.5, 1042.0, 508.0, 1082.0),
        strip(513.0, 1042.0, 513.5, 1082.0),
    ];
    let step = |a: &str, b: &str, ends, heights| StepOut { areas: [a.into(), b.into()], ends, heights };
    plan.steps = vec![
        step("dining terrace", "stone drain strip", [(521.0, 1008.0), (521.0, 1042.0)], [0.2188; 2]),
        step("dining terrace", "upper landing", [(508.0, 1042.0), (513.0, 1042.0)], [-0.2708; 2]),
        step("stone drain strip", "play lawn", [(524.0, 1008.0), (524.0, 1042.0)], [0.0; 2]),
    ];
    let keep = |name: &str, what: &str, line, radius| KeepOffOut { name: name.into(), what: what.into(), line, radius };
    plan.keep_offs = vec![
        keep("oak", "root circle", vec![(538.0, 996.0)], 17.5),
        keep("hall footing", "footing", vec![(500.0, 1000.0), (500.0, 1050.0)], 0.0),
        keep("gas service", "utility", vec![(500.0, 1045.0), (506.0, 1045.0), (506.0, 1082.0)], 2.0),
    ];
    let basin = (540.0, 1070.0);
    let pipe = |name: &str, perforated, ends| DrainOut { name: name.into(), perforated, ends };
    plan.drains = vec![
        pipe("A", true, [(522.5, 1008.0), (522.5, 1073.0)]),
        pipe("A", false, [(522.5, 1073.0), basin]),
        pipe("B", true, [(513.5, 1042.0), (513.5, 1080.0)]),
        pipe("B", false, [(513.5, 1080.0), basin]),
        pipe("C", true, [(552.5, 1008.0), (552.5, 1062.0)]),
        pipe("C", false, [(552.5, 1062.0), basin]),
    ];
    plan.benches = vec![("BM1".into(), 499.0, 1051.0, 104.12), ("TBM2".into(), 530.0, 1083.0, 101.38)];
    plan.set_up = Some("Set-up: HI 107.00 (TBM2 101.38 + rod 5.62)".into());
    plan.outlets = vec![("CB".into(), 564.0, 1082.0, None)];
    let inch = 1.0 / 12.0;
    let layer = |name: &str, inches: f64| (name.to_owned(), inches * inch);
    plan.sections = vec![
        ("terrace aggregate".into(), vec![layer("paver", 2.375), layer("bedding sand", 1.0), layer("dense base", 6.0)]),
        (
            "walk panel".into(),
            vec![
                layer("paver", 2.375),
                layer("bedding sand", 1.0),
                layer("base panel", 0.75),
                layer("clean stone", 2.0),
            ],
        ),
        ("drain strip".into(), vec![layer("clean stone", 6.0)]),
        ("lawn".into(), vec![layer("topsoil", 6.0)]),
        ("bed".into(), vec![layer("planting soil", 12.0)]),
    ];
    outcome
}

/// Metric job with two areas.
pub(crate) fn court() -> Outcome {
    let stakes = COURT_STAKES.map(|(name, northing, easting, z)| StakeOut {
        stake: name.into(),
        northing,
        easting,
        existing: Some(z),
        ..StakeOut::default()
    });
    let mut site =
        Site { plots: &COURT, stakes: stakes.to_vec(), unit: LengthUnit::Metre, spacing: 4.0, interval: 0.02 };
    site.design();
    site.corners();
    let mut outcome = site.outcome();
    outcome.job = "Reading room side court".into();
    if let Some(volume) = &mut outcome.volume {
        volume.excavation = Some(ExcavationOut { cut: 21.3, sum: 23.4, over_dig: 0.7, ..ExcavationOut::default() });
    }
    let Some(plan) = &mut outcome.plan else { return outcome };
    plan.edge = COURT.iter().map(|plot| rectangle(plot.3)).collect();
    plan.over_dig =
        vec![vec![(200.0, 500.35), (200.0, 500.5), (206.0, 500.5), (206.0, 511.5), (200.0, 511.5), (200.0, 511.65)]];
    plan.over_dig[0].extend([(206.15, 511.65), (206.15, 500.35)]);
    plan.drains = vec![DrainOut { name: "F".into(), perforated: true, ends: [(206.2, 500.5), (206.2, 511.5)] }];
    plan.outlets = vec![("GU".into(), 206.2, 511.5, Some(49.38))];
    plan.sections = vec![
        (
            "block paving".into(),
            [("block", 0.06), ("laying course", 0.04), ("sub-base", 0.15)].map(|(n, t)| (n.to_owned(), t)).to_vec(),
        ),
        ("border".into(), vec![("topsoil".into(), 0.3)]),
    ];
    outcome
}

fn hall_stake(row: &str) -> StakeOut {
    let cells: Vec<&str> = row.split(',').collect();
    let number = |k: usize| cells[k].parse::<f64>().ok();
    let depth = number(4).zip(number(7)).map(|(z, d)| CutFill::from_difference(Length::in_job_units(z - d)));
    let (drop, layers) = match number(7) {
        Some(d) => (
            vec![("BM1".to_owned(), 104.12 - d), ("TBM2".to_owned(), 101.38 - d)],
            vec![LayerTopOut { name: "topmost".into(), top: number(5).unwrap_or(0.0) }],
        ),
        None => (Vec::new(), Vec::new()),
    };
    StakeOut {
        stake: cells[0].into(),
        northing: number(1).unwrap_or(0.0),
        easting: number(2).unwrap_or(0.0),
        area: Some(cells[3].to_owned()).filter(|area| !area.is_empty()),
        existing: number(4),
        finish: number(5),
        subgrade: number(6),
        dig_to: number(7),
        cut: depth.map(|d| d.cut().job_units()),
        fill: depth.map(|d| d.fill().job_units()),
        cut_text: depth.map(|d| d.lath(LengthUnit::Foot)),
        drop,
        rod: number(8),
        layers,
        notes: cells[9].split("; ").filter(|note| !note.is_empty()).map(str::to_owned).collect(),
        ..StakeOut::default()
    }
}

fn rectangle([s, w, n, e]: [f64; 4]) -> Vec<(f64, f64)> {
    vec![(s, w), (s, e), (n, e), (n, w)]
}

fn survey() -> NotesOut {
    let point = |name: &str, booked, correction, setup| PointOut {
        name: name.into(),
        booked,
        correction,
        adjusted: booked + correction,
        setup,
        standard_error: None,
    };
    NotesOut {
        points: vec![point("A1", 103.31, -0.01, 1), point("TP1", 102.65, -0.01, 1), point("BM1", 104.15, -0.03, 3)],
        setups: 3,
        misclosure: Some(0.03),
        allowed: 0.0346,
        closes: true,
        closing: "set-ups",
        rods: "tenths",
        sum_bs: 13.99,
        sum_fs: 13.96,
        spread: Some(0.03 / 3.0_f64.sqrt()),
        runs: vec![RunOut {
            from: "BM1".into(),
            to: "BM1".into(),
            kind: "loop",
            setups: 3,
            distance: None,
            sum_bs: 13.99,
            sum_fs: 13.96,
            sum_rise: 10.44,
            sum_fall: 10.41,
            rise: 0.03,
            page_check: true,
        }],
        check_shots: vec![("C5".into(), 0.01), ("E6".into(), -0.01)],
        decimals: 2,
        ..NotesOut::default()
    }
}

fn account(volume: &mut VolumeOut) {
    volume.total = TotalOut {
        cut: 66.604,
        fill: 0.664,
        area: 2710.0,
        cut_area: 2524.67,
        fill_area: 185.33,
        mean_cut: 0.6636,
        max_cut: 1.29,
        max_fill: 0.2,
        net: None,
    };
    volume.excavation = Some(ExcavationOut {
        cut: 66.604,
        undercut: 1.163,
        over_dig: 0.873,
        trench: None,
        batter: 0.0,
        strip: 34.136,
        sum: 68.64,
    });
    let mean_and_most =
        [(0.5492, 0.7382), (0.8973, 1.016), (0.0489, 0.1224), (0.4296, 0.7999), (0.6374, 0.7999), (1.0901, 1.29)];
    for (area, (mean, most)) in volume.areas.iter_mut().zip(mean_and_most.into_iter().chain([(0.693, 1.22)])) {
        (area.mean_cut, area.max_cut) = (mean, most);
        area.cut = mean * area.area / 27.0;
        area.layers = vec![LayerOut { name: "clean stone".into(), volume: 1.5 }];
    }
    volume.doubt.diagonal = 0.238;
}

/// Rectangles on a grid of ground.
struct Site {
    plots: &'static [Plot],
    stakes: Vec<StakeOut>,
    unit: LengthUnit,
    spacing: f64,
    interval: f64,
}

impl Site {
    /// Bilinear between the grid's stakes; where one is missing, the nearest stands in.
    fn ground(&self, n: f64, e: f64) -> f64 {
        let (s, w) = ((n / self.spacing).floor() * self.spacing, (e / self.spacing).floor() * self.spacing);
        let at = |n: f64, e: f64| {
            let off = |k: &&StakeOut| (k.northing - n).hypot(k.easting - e);
            self.stakes
                .iter()
                .filter(|k| k.existing.is_some())
                .min_by(|a, b| off(a).total_cmp(&off(b)))
                .and_then(|k| k.existing)
                .unwrap_or(0.0)
        };
        let (y, x) = ((n - s) / self.spacing, (e - w) / self.spacing);
        let north = s + self.spacing;
        let row = |n: f64| at(n, w) * (1.0 - x) + at(n, w + self.spacing) * x;
        row(s) * (1.0 - y) + row(north) * y
    }

    fn finish(plot: &Plot, n: f64, e: f64) -> f64 {
        let ([s, w, ..], [z, north, east]) = (plot.3, plot.4);
        z - north * (n - s) - east * (e - w)
    }

    fn plot(&self, n: f64, e: f64) -> Option<&'static Plot> {
        self.plots.iter().find(|p| n >= p.3[0] && n <= p.3[2] && e >= p.3[1] && e <= p.3[3])
    }

    /// What each stake inside an area is dug to.
    fn design(&mut self) {
        let plots: Vec<_> = self.stakes.iter().map(|s| self.plot(s.northing, s.easting)).collect();
        for (stake, plot) in self.stakes.iter_mut().zip(plots) {
            let (Some(plot), Some(z)) = (plot, stake.existing) else { continue };
            let finish = Self::finish(plot, stake.northing, stake.easting);
            let depth = CutFill::from_difference(Length::in_job_units(z - finish + plot.5));
            stake.area = Some(plot.0.into());
            stake.finish = Some(finish);
            stake.subgrade = Some(finish - plot.5);
            stake.dig_to = stake.subgrade;
            stake.cut_text = Some(depth.lath(self.unit));
            (stake.cut, stake.fill) = (Some(depth.cut().job_units()), Some(depth.fill().job_units()));
        }
    }

    /// Corners of areas that are no stakes yet.
    fn corners(&mut self) {
        let mut corners: Vec<StakeOut> = Vec::new();
        for plot in self.plots {
            for (k, (northing, easting)) in rectangle(plot.3).into_iter().enumerate() {
                let is_near = |s: &StakeOut| (s.northing - northing).hypot(s.easting - easting) < 0.01;
                if self.stakes.iter().chain(&corners).any(is_near) {
                    continue;
                }
                let existing = Some(self.ground(northing, easting));
                corners.push(StakeOut {
                    stake: format!("{}.{}", plot.1, k + 1),
                    northing,
                    easting,
                    existing,
                    ..StakeOut::default()
                });
            }
        }
        let mut of_corners = Self { stakes: corners, ..*self };
        of_corners.design();
        self.stakes.append(&mut of_corners.stakes);
    }

    /// Squares of a fortieth of the grid's spacing and less, halved.
    fn triangles(&self, [s, w, n, e]: [f64; 4], subgrade: impl Fn(f64, f64) -> f64) -> Vec<[Node; 3]> {
        let step = self.spacing / 4.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few dozen")]
        let count = |length: f64| (length / step).ceil() as usize;
        let (rows, columns) = (count(n - s), count(e - w));
        let at = |r: usize, c: usize| {
            let (n, e) = (s + (n - s) * r as f64 / rows as f64, w + (e - w) * c as f64 / columns as f64);
            (n, e, self.ground(n, e), subgrade(n, e))
        };
        (0..rows)
            .flat_map(|r| (0..columns).map(move |c| (r, c)))
            .flat_map(|(r, c)| {
                let (a, b, d, e) = (at(r, c), at(r, c + 1), at(r + 1, c + 1), at(r + 1, c));
                [[a, b, d], [a, d, e]]
            })
            .collect()
    }

    fn outcome(&self) -> Outcome {
        let unit = self.unit;
        let areas = self.plots.iter().map(|p| AreaOut {
            name: p.0.into(),
            section: p.2.into(),
            area: (p.3[2] - p.3[0]) * (p.3[3] - p.3[1]),
            finish_slope: p.4[1].hypot(p.4[2]),
            finish_azimuth: p.4[2].atan2(p.4[1]).to_degrees(),
            mean_cut: 0.21,
            max_cut: 0.309,
            ..AreaOut::default()
        });
        Outcome {
            spadework: "0.1.0".into(),
            units: Units {
                length: unit.code().into(),
                area: unit.area().into(),
                volume: unit.volume().into(),
                mass: unit.mass().into(),
                water: unit.water().into(),
            },
            inputs: vec![Input { file: "job.toml".into(), hash: "8f3a5b0c77d1e249".into() }],
            cautions: vec![CautionOut {
                subject: "root circle \"oak\"".into(),
                text: "the dig of play lawn reaches 5.5 ft into it: hand dig, cut no root over 1 in".into(),
            }],
            stakes: Some(self.stakes.clone()),
            volume: Some(VolumeOut { areas: areas.collect(), ..VolumeOut::default() }),
            plan: Some(self.plan()),
            ..Outcome::default()
        }
    }

    fn plan(&self) -> PlanOut {
        let bound = |f: fn(&StakeOut) -> f64, side: f64| {
            side * self.stakes.iter().map(|s| side * f(s)).fold(f64::MIN, f64::max)
        };
        let all = [
            bound(|s| s.northing, -1.0),
            bound(|s| s.easting, -1.0),
            bound(|s| s.northing, 1.0),
            bound(|s| s.easting, 1.0),
        ];
        let mut plan = PlanOut {
            existing: contours(&self.triangles(all, |_, _| 0.0), self.interval, |p| p.2),
            interval: self.interval,
            ..PlanOut::default()
        };
        for plot in self.plots {
            let triangles = self.triangles(plot.3, |n, e| Self::finish(plot, n, e) - plot.5);
            plan.subgrade.extend(contours(&triangles, self.interval, |p| p.3));
            plan.tint.extend(tint(&triangles, self.interval));
            plan.zero_line.extend(segments(&triangles, 0.0, |p| p.2 - p.3));
            let [s, w, n, e] = plot.3;
            let label = ((s + n) / 2.0, (w + e) / 2.0);
            plan.areas.push(AreaPlanOut {
                name: plot.0.into(),
                code: plot.1.into(),
                section: plot.2.into(),
                rings: vec![rectangle(plot.3)],
                label,
            });
            plan.arrows.push(ArrowOut {
                northing: label.0,
                easting: label.1,
                slope: plot.4[1].hypot(plot.4[2]),
                azimuth: plot.4[2].atan2(plot.4[1]).to_degrees(),
            });
        }
        let middle = (all[1] + all[3]) / 2.0;
        plan.profile = (0..=40)
            .map(|k| {
                let n = all[0] + (all[2] - all[0]) * f64::from(k) / 40.0;
                let plot = self.plot(n, middle);
                let finish = plot.map(|p| Self::finish(p, n, middle));
                let subgrade = finish.zip(plot).map(|(z, p)| z - p.5);
                ProfilePoint { distance: n - all[0], existing: Some(self.ground(n, middle)), finish, subgrade }
            })
            .collect();
        plan
    }
}
