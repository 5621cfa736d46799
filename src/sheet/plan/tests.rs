use super::*;
use crate::job::StakeOut;
use crate::sheet::labels::Box2;
use crate::sheet::sample::{Yard, site};
use crate::sheet::{Item, Text};

fn drawn(yard: Yard, paper: Paper) -> Drawing {
    plan(&yard.outcome(), &PlanOptions { paper, ..PlanOptions::default() })
}

fn samples() -> Vec<(Yard, Paper)> {
    let metric = Yard { step: 3.0, unit: LengthUnit::Metre, interval: 0.025, ..Yard::grid(6, 5) };
    let mut all = Vec::new();
    for yard in [Yard::small(), Yard::grid(9, 7), Yard::grid(20, 20), Yard::grid(2, 30), metric] {
        for size in [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3] {
            all.extend([(yard, Paper::landscape(size)), (yard, Paper::portrait(size))]);
        }
    }
    all
}

const SIZES: [PaperSize; 4] = [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3];

/// Sheets of jobs with areas, on all papers.
fn site_sheets() -> Vec<Drawing> {
    let papers = || SIZES.into_iter().flat_map(|size| [Paper::landscape(size), Paper::portrait(size)]);
    let of =
        |outcome: Outcome| papers().map(move |paper| plan(&outcome, &PlanOptions { paper, ..PlanOptions::default() }));
    of(site::hall()).chain(of(site::court())).chain(of(site::drained())).collect()
}

#[test]
fn no_words_stand_over_other_words_nor_leave_the_paper_nor_are_too_small() {
    let yards = samples().into_iter().map(|(yard, paper)| drawn(yard, paper));
    for drawing in yards.chain(site_sheets()) {
        let paper = drawing.paper;
        let (w, h) = paper.inches();
        let sheet = Rect::new(0.0, 0.0, w, h).inset(MARGIN - 1e-9);
        let boxes: Vec<(Box2, &Text)> = drawing.texts().map(|text| (Box2::of_words(text), text)).collect();
        for (i, (a, text)) in boxes.iter().enumerate() {
            assert!(text.em >= font::SMALLEST, "{paper:?}: {text:?} is smaller than 2.5 mm");
            assert!(a.corners().into_iter().all(|c| sheet.holds(c)), "{paper:?}: {text:?} leaves the sheet");
            for (b, other) in &boxes[..i] {
                let reach = a.half_w + a.half_h + b.half_w + b.half_h;
                if a.centre.distance(b.centre) > reach {
                    continue;
                }
                assert!(!a.overlaps(b), "{paper:?}: \"{}\" over \"{}\"", text.words, other.words);
            }
        }
    }
}

#[test]
fn twenty_feet_of_edge_measure_five_inches_at_one_inch_to_four_feet() {
    let drawing = drawn(Yard::small(), Paper::landscape(PaperSize::Tabloid));
    assert_eq!(drawing.scale, "1 in = 4 ft");
    let Some(Item::Stroke(edge)) = drawing.group("dig-edge").and_then(|group| group.items.first()) else {
        unreachable!("an edge is drawn")
    };
    assert!((edge.points[0].distance(edge.points[1]) - 5.0).abs() < 1e-6);
    assert!((edge.points[1].distance(edge.points[2]) - 5.0).abs() < 1e-6);
    assert!(edge.points[0].y > edge.points[2].y, "north is up");
}

#[test]
fn every_cut_of_a_yard_is_on_the_sheet_once_and_bold() {
    let yard = Yard::grid(9, 7);
    let drawing = drawn(yard, Paper::landscape(PaperSize::Tabloid));
    let mut said: Vec<&str> = drawing.texts().filter(|t| t.role == "cut").map(|t| t.words.as_str()).collect();
    let outcome = yard.outcome();
    let mut asked: Vec<&str> = outcome.stakes.iter().flatten().filter_map(|s| s.cut_text.as_deref()).collect();
    said.sort_unstable();
    asked.sort_unstable();
    assert_eq!(said, asked);
    let largest_other =
        drawing.texts().filter(|t| !matches!(t.role, "cut" | "title" | "north" | "scale")).map(|t| t.em);
    let cut = drawing.texts().find(|t| t.role == "cut").map_or(0.0, |t| t.em);
    assert!(largest_other.fold(0.0, f64::max) < cut, "the cut is the big thing");
    assert!(drawing.texts().filter(|t| t.role == "cut").all(|t| t.weight == font::Weight::Bold));
}

#[test]
fn what_finds_no_room_is_counted_and_said() {
    let drawing = drawn(Yard::grid(20, 20), Paper::landscape(PaperSize::Letter));
    let cuts = drawing.texts().filter(|t| t.role == "cut").count();
    assert!(cuts < 401 && drawing.dropped > 0);
    let said = format!("{} stakes stand WITHOUT", 401 - cuts);
    assert!(drawing.texts().any(|t| t.words.contains(&said)), "{said}");
}

#[test]
fn fill_is_hatched_and_a_site_all_in_cut_is_not() {
    let yard = Yard::small();
    let drawing = drawn(yard, Paper::landscape(PaperSize::Letter));
    let hatch = |drawing: &Drawing| drawing.group("fill-hatch").map_or(0, |group| group.items.len());
    assert!(hatch(&drawing) > 10);
    assert!(drawing.texts().any(|t| t.words.contains("HATCHED")));
    let mut outcome = yard.outcome();
    if let Some(plan) = &mut outcome.plan {
        plan.tint.retain(|piece| piece.depth > 0.0);
    }
    let dry = plan(&outcome, &PlanOptions::default());
    assert_eq!(hatch(&dry), 0);
    assert!(!dry.texts().any(|t| t.words.contains("HATCHED")), "the legend explains only what is used");
}

#[test]
fn failed_checks_stand_first_and_standing_cautions_always_stand() {
    for (_, paper) in samples().into_iter().take(8) {
        let mut outcome = Yard::small().outcome();
        for k in 0..60 {
            outcome.cautions.push(crate::job::CautionOut {
                subject: format!("existing shots, row {k}"),
                text: "a remark long enough to take two lines of the box wherever it may stand on the sheet".into(),
            });
        }
        let drawing = plan(&outcome, &PlanOptions { paper, ..PlanOptions::default() });
        let words: Vec<&str> =
            drawing.texts().filter(|t| t.role == "caution" && t.words != "•").map(|t| t.words.as_str()).collect();
        assert!(words[0].starts_with("FAILS") || words[0].contains("read them in the "), "{words:?}");
        let all = words.join(" ");
        for standing in ["utility locates", "Not a boundary survey", "local code", "more of this job"] {
            assert!(all.contains(standing), "{paper:?}: {standing} missing in {all}");
        }
    }
}

#[test]
fn what_fails_is_said_on_every_wide_paper() {
    for size in [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3] {
        let mut outcome = site::hall();
        let mut fails = Yard::small().outcome().checks.swap_remove(0);
        fails.rule = "keep off: root circle".into();
        fails.pass = false;
        fails.note = "a note that goes on for so long that no small sheet has the room to print it whole ".repeat(6);
        outcome.checks = vec![fails.clone(), fails];
        let drawing = plan(&outcome, &PlanOptions { paper: Paper::landscape(size), ..PlanOptions::default() });
        let words: Vec<&str> = drawing.texts().filter(|t| t.role == "caution").map(|t| t.words.as_str()).collect();
        assert!(words.iter().any(|w| w.starts_with("FAILS keep off")), "{size:?}: {words:?}");
    }
}

#[test]
fn an_outcome_with_nothing_in_it_is_still_a_sheet() {
    for size in [PaperSize::Letter, PaperSize::A3] {
        let drawing =
            plan(&Outcome::default(), &PlanOptions { paper: Paper::landscape(size), ..PlanOptions::default() });
        assert!(drawing.texts().any(|t| t.words == "Unnamed job"));
        let finite = |p: &PaperPoint| p.x.is_finite() && p.y.is_finite();
        for item in drawing.items() {
            assert!(match item {
                Item::Stroke(stroke) => stroke.points.iter().all(finite),
                Item::Area(area) => area.rings.iter().flatten().all(finite),
                Item::Text(text) => finite(&text.at),
            });
        }
    }
}

#[test]
fn long_names_and_commands_keep_to_their_boxes() {
    let mut outcome = Yard::small().outcome();
    outcome.job = "The long garden behind the old hall ".repeat(8);
    outcome.command = "spadework run a-very-long-path/existing.csv ".repeat(20);
    for input in &mut outcome.inputs {
        input.file = "x".repeat(200);
    }
    let drawing = plan(&outcome, &PlanOptions { paper: Paper::landscape(PaperSize::Letter), ..PlanOptions::default() });
    let right = 11.0 - MARGIN;
    assert!(drawing.texts().all(|t| Box2::of_words(t).corners().iter().all(|c| c.x <= right && c.y <= 8.5 - MARGIN)));
}

#[test]
fn contours_of_a_survey_wider_than_the_dig_end_at_the_frame() {
    let mut outcome = Yard::small().outcome();
    if let Some(plan) = &mut outcome.plan {
        for line in plan.existing.iter_mut().chain(&mut plan.subgrade) {
            line.points.insert(0, (-5000.0, 200.0));
            line.points.push((100.0, 90_000.0));
        }
    }
    let drawing = plan(&outcome, &PlanOptions::default());
    let frame = layout(drawing.paper, true, false, None).plan;
    for id in ["existing-contours", "subgrade-contours"] {
        let group = drawing.group(id).map_or(&[][..], |group| &group.items);
        assert!(!group.is_empty());
        for item in group {
            let Item::Stroke(stroke) = item else { unreachable!("contours are lines") };
            assert!(stroke.points.iter().all(|&p| frame.holds(p)), "{id}");
        }
    }
}

#[test]
fn frames_of_the_boxes_stand_apart() {
    for drawing in site_sheets() {
        let frames: Vec<Box2> = drawing
            .items()
            .filter_map(|item| if let Item::Stroke(s) = item { Some(s) } else { None })
            .filter(|s| s.colour == FRAME && s.closed)
            .map(|s| {
                Box2::upright(Rect::new(
                    s.points[0].x,
                    s.points[0].y,
                    s.points[2].x - s.points[0].x,
                    s.points[2].y - s.points[0].y,
                ))
            })
            .collect();
        assert!(frames.len() >= 5);
        for (i, a) in frames.iter().enumerate() {
            assert!(frames[..i].iter().all(|b| !a.overlaps(b)), "{:?}", drawing.paper);
        }
    }
}

#[test]
fn every_dug_stake_of_a_courtyard_has_its_cut_and_the_rest_is_grey() {
    let outcome = site::hall();
    let drawing = plan(&outcome, &PlanOptions::default());
    let sorted = |mut words: Vec<String>| {
        words.sort_unstable();
        words
    };
    let said = drawing.texts().filter(|t| t.role == "cut").map(|t| t.words.clone()).collect();
    let asked = outcome.stakes.iter().flatten().filter_map(|s| s.cut_text.clone()).collect();
    assert_eq!(sorted(said), sorted(asked));
    let largest = drawing.texts().filter(|t| t.role == "cut").map(|t| t.em).fold(0.0, f64::max);
    assert!(largest >= 0.14, "{largest}");
    let ground: Vec<_> = drawing.texts().filter(|t| t.role == "ground").collect();
    assert!(ground.len() > 15);
    assert!(ground.iter().all(|t| t.colour == GREY && t.weight == font::Weight::Regular && t.em < largest));
    for code in ["T", "DS", "W1", "W2", "W3", "P1", "L"] {
        assert!(drawing.texts().any(|t| t.role == "area" && t.words.split(' ').next() == Some(code)), "{code}");
    }
}

#[test]
fn areas_keep_offs_and_layers_are_true_to_scale() {
    let drawing = plan(&site::hall(), &PlanOptions::default());
    assert_eq!(drawing.scale, "1 in = 10 ft");
    let strokes = |id: &str| -> Vec<&Stroke> {
        let items = drawing.group(id).map_or(&[][..], |group| &group.items);
        items.iter().filter_map(|item| if let Item::Stroke(s) = item { Some(s) } else { None }).collect()
    };
    let terrace = strokes("areas")[0];
    assert!((terrace.points[0].distance(terrace.points[1]) - 3.4).abs() < 1e-9, "34 ft");
    let keep = strokes("keep-offs");
    let circle = || keep.iter().filter(|s| s.colour == keep::ROOT && !s.closed).flat_map(|s| &s.points).map(|p| p.y);
    let spread = circle().fold(f64::MIN, f64::max) - circle().fold(f64::MAX, f64::min);
    assert!((spread - 3.5).abs() < 0.01, "35 ft across: {spread}");
    // 2 3/8, 1 and 6 in at 3/4 in to the foot.
    let layers: Vec<f64> = strokes("sections")
        .into_iter()
        .filter(|s| s.closed && s.fill.is_some())
        .map(|s| s.points[2].y - s.points[0].y)
        .collect();
    for (found, inches) in layers.iter().zip([2.375, 1.0, 6.0, 2.375, 1.0, 0.75, 2.0, 6.0, 6.0, 12.0]) {
        assert!((found - inches / 16.0).abs() < 1e-9, "{layers:?}");
    }
    assert_eq!(layers.len(), 10);
}

#[test]
fn what_is_not_there_is_not_explained() {
    let words = |outcome: &Outcome| {
        let drawing = plan(outcome, &PlanOptions::default());
        drawing.texts().map(|t| t.words.as_str()).collect::<Vec<_>>().join(" ")
    };
    let all = ["over-dig", "step in the subgrade", "root circle", "footing", "gas service", "perforated", "Build-up"];
    let all = all.into_iter().chain(["outside all areas", "stone comes back", "HAND DIG at", "Trenches not in yet"]);
    let (hall, yard) = (words(&site::hall()), words(&Yard::small().outcome()));
    for what in all {
        assert!(hall.contains(what), "{what} is not explained");
        assert!(!yard.contains(what), "{what} is explained and not drawn");
    }
    for said in ["Datum: assumed; hall main floor 103.50.", "North: hall wall runs due east", "step 0-2 5/8"] {
        assert!(hall.contains(said), "{said}");
    }
}

#[test]
fn drains_say_their_inverts_falls_and_clean_outs() {
    let drawing = plan(&site::drained(), &PlanOptions::default());
    let words: Vec<&str> = drawing.texts().map(|t| t.words.as_str()).collect();
    for said in
        ["PA1 inv 101.50, CO", "PB2 inv 100.35, CO", "SB inv", "A 99.65, B 99.40", "C 99.70", "drain A, 2.23 % →"]
    {
        assert!(words.contains(&said), "{said}: {words:?}");
    }
    // From PA2 up and to the left, so read backward.
    let fall = words.iter().find(|w| w.contains("2.25 %")).expect("the second leg says its fall");
    assert_eq!(*fall, "← 2.25 %");
    assert!(words.contains(&"LOW 101.40, water 0.24 ft deep"), "{words:?}");
    let legend = words.join(" ");
    assert!(legend.contains("node of a drain; CO: with a clean-out; inv: bottom of the pipe inside"));
    // Dots stand where the nodes are: from PA1 to PA2 65 ft at 1 in to 10 ft.
    let dots: Vec<PaperPoint> = drawing
        .groups
        .iter()
        .filter(|g| g.id == "symbols")
        .flat_map(|g| &g.items)
        .filter_map(|item| match item {
            Item::Stroke(s) if s.fill == Some(stakes::WATER) && s.points.len() == 32 => {
                let (x, y) = s.points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.x / 32.0, y + p.y / 32.0));
                Some(PaperPoint::new(x, y))
            }
            _ => None,
        })
        .collect();
    assert_eq!(dots.len(), 7, "six nodes and the basin once");
    assert!((dots[0].distance(dots[1]) - 6.5).abs() < 1e-6, "{dots:?}");
}

#[test]
fn standing_water_and_ground_without_a_way_out_are_drawn_and_explained_where_they_are() {
    let of = |outcome: &Outcome| {
        let drawing = plan(outcome, &PlanOptions::default());
        let strokes = |id: &str| drawing.groups.iter().find(|g| g.id == id).map_or(0, |g| g.items.len());
        let counts = [strokes("ponds"), strokes("no-outlet")];
        let said = |what: &str| drawing.texts().any(|t| t.words == what);
        (counts, ["water stands: its edge", "water reaches no outlet"].map(said))
    };
    let (counts, said) = of(&site::drained());
    assert!(counts[0] == 1 && counts[1] > 5 && said == [true; 2], "{counts:?} {said:?}");
    assert_eq!(of(&site::hall()), ([0, 0], [false; 2]));
}

#[test]
fn stakes_of_trenches_give_way_to_cuts_and_are_counted() {
    let mut outcome = site::drained();
    let own = outcome.stakes.as_ref().map_or(0, Vec::len);
    let along = |k: i32| StakeOut {
        stake: format!("drain A.{k}"),
        northing: 522.5,
        easting: 1008.0 + f64::from(k),
        cut_text: Some("C 2-0 1/8".into()),
        ..StakeOut::default()
    };
    outcome.stakes.as_mut().expect("a hall has stakes").extend((0..60).map(along));
    let drawing = plan(&outcome, &PlanOptions::default());
    let small = drawing.texts().filter(|t| t.words == "C 2-0 1/8").count();
    let left = drawing.texts().find(|t| t.words.contains("of trenches are left to the stake table")).expect("said");
    let number: usize = left.words.split(' ').next().and_then(|n| n.parse().ok()).expect("a number");
    assert_eq!(small + number, 60, "{own}");
    assert!(small > 0 && number > 0);
}

#[test]
fn utilities_have_the_colours_locators_mark_them_in() {
    let colour = |name| keep::utility_colour(name);
    assert_eq!(colour("Gas service"), colour("steam line"));
    assert_ne!(colour("reclaimed water"), colour("water main"));
    assert_eq!(colour("irrigation main"), colour("reclaimed water"));
    assert_eq!(colour("storm drain"), colour("sewer"));
    assert_eq!(colour("telephone"), colour("data line"));
    assert_eq!(colour("street light"), colour("electric"));
    assert_eq!(colour("old pipe"), None);
    assert_eq!(colour("gasoline? vegas road"), colour("gas"), "words count by their beginning");
}
