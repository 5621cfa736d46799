//! Cores held against a job: which core, which layer, how deep, what is said of it.

mod common;

use common::assert_close;
use common::site::worked_out;
use spadework::job::{Outcome, SoilAreaOut};

const CORES: &str = "core,northing,easting,from,to,thread,ribbon,shake,patty,feel,firmness,note\n\
    C1,50,50,0,0.5,none,none,none,low,crumbly,firm,\n\
    C1,50,50,0.5,2,tough,3 in,none,very high,sticky,firm,clay\n\
    C2,150,150,0,0.5,none,none,none,low,crumbly,firm,\n\
    C2,150,150,0.5,2,crumbles,1/2 in,quick,low,silt,firm,silt\n\
    C2,150,150,2,4,,,,,fibrous,soft,peat\n";

/// A job on ground at 100, with these cores and more of the job file.
fn job(cores: &str, more: &str, height: f64) -> Result<Outcome, String> {
    let area = |name: &str, south: u32, west: u32, rest: &str| {
        format!(
            "[[area]]\nname = \"{name}\"\nsection = \"base\"\nfinish = {{ through = [{south}, {west}, {height}], fall = \"0 %\", toward = \"north\" }}\n\
             outline = [[{south}, {west}], [{south}, {e}], [{n}, {e}], [{n}, {west}]]\n{rest}\n",
            e = west + 40,
            n = south + 40
        )
    };
    let areas = [
        area("west", 40, 40, "use = \"patio\""),
        area("east", 140, 140, "use = \"lawn\""),
        area("named", 20, 150, "use = \"patio\"\ncore = \"C2\""),
    ];
    let text = format!("[ground]\ncores = \"cores.csv\"\n{more}\n{}", areas.concat());
    worked_out(&text, |_, _| 100.0, &[("cores.csv", cores)])
}

fn area<'o>(outcome: &'o Outcome, name: &str) -> &'o SoilAreaOut {
    outcome.soil.iter().flat_map(|s| &s.areas).find(|a| a.name == name).unwrap_or_else(|| panic!("{name}"))
}

fn cautions(outcome: &Outcome, subject: &str) -> Vec<String> {
    outcome.cautions.iter().filter(|c| c.subject == subject).map(|c| c.text.clone()).collect()
}

fn has(all: &[String], part: &str) -> bool {
    all.iter().any(|text| text.contains(part))
}

#[test]
fn the_layer_at_subgrade_governs_by_the_named_core_or_the_nearest() {
    // Finish on the ground, 1 ft of build-up: dug to 1.0.
    let outcome = job(CORES, "", 100.0).expect("a job");
    let [west, east, named] = ["west", "east", "named"].map(|name| area(&outcome, name));
    assert_eq!((west.core.as_str(), west.class, west.reaches), ("C1", "clay", true));
    assert_eq!((east.core.as_str(), east.class), ("C2", "silt"));
    assert_eq!((named.core.as_str(), named.class, named.groups.as_slice()), ("C2", "silt", &["ML"][..]));
    assert_close(west.depth, 1.0, 1e-9);
    assert_eq!((west.suitability.as_str(), west.frost.as_deref()), ("fair to poor", Some("moderate, F3")));
    assert_eq!(
        (named.drainage.as_deref(), named.frost.as_deref()),
        (Some("fair to poor"), Some("moderate to very high, F4"))
    );
    let soil = outcome.soil.as_ref().expect("soil");
    assert_eq!((soil.core.as_str(), soil.class), ("C2", "organic"));
    assert!(has(&outcome.defaults, "soil from the nearest core: west, east"), "{:?}", outcome.defaults);
    assert!(
        has(&outcome.defaults, "swell, shrink and weight as usual: topsoil, clay, silt, organic"),
        "{:?}",
        outcome.defaults
    );
    let silt = "silt at C2: lime does little; keep it dry, do not work it wet";
    assert!(has(&cautions(&outcome, "east"), silt));
    assert!(has(&cautions(&outcome, "named"), silt));
    assert!(!has(&cautions(&outcome, "west"), "lime") && !has(&cautions(&outcome, "west"), "core"));
    // Frost is told under paving, not under the lawn.
    assert_eq!(cautions(&outcome, "C2").len(), 1, "{:?}", outcome.cautions);
    assert!(has(&cautions(&outcome, "C2"), "silt under named: frost moderate to very high, F4"));
    assert!(has(&cautions(&outcome, "C1"), "clay under west: frost moderate, F3"));
}

#[test]
fn a_core_that_ends_above_the_dig_is_told() {
    let outcome = job(CORES, "", 98.5).expect("a job");
    let west = area(&outcome, "west");
    assert_eq!((west.reaches, west.class), (false, "clay"));
    assert!(has(
        &cautions(&outcome, "west"),
        "core C1 ends 2.00 ft below the ground, the dig goes to 2.50: what soil lies there is not known; go deeper"
    ));
    // To its very bottom is reached.
    let outcome = job(CORES, "", 99.0).expect("a job");
    assert!(area(&outcome, "west").reaches);
    // C2 goes on into peat: under paving that comes out.
    assert_eq!(area(&outcome, "named").class, "organic");
    assert!(has(
        &cautions(&outcome, "named"),
        "organic at subgrade at C2, down to 4.00 ft below the ground: take it out to firm ground"
    ));
    assert!(!has(&cautions(&outcome, "east"), "take it out"), "a lawn may lie on it");
}

#[test]
fn topsoil_at_subgrade_comes_out_unless_it_is_stripped_or_may_stay() {
    // Dug to 0.25, in the topsoil.
    let outcome = job(CORES, "", 100.75).expect("a job");
    assert_eq!(area(&outcome, "west").class, "topsoil");
    assert!(has(
        &cautions(&outcome, "west"),
        "topsoil at subgrade at C1, down to 0.50 ft below the ground: take it out"
    ));
    assert!(!has(&cautions(&outcome, "east"), "take it out"));
    assert_eq!(area(&outcome, "west").drainage, None);
    // It may stay here, so nothing is dug below subgrade for it.
    let stripped = job(CORES, "strip = \"0.5 ft\"", 100.75).expect("a job");
    assert_eq!(area(&stripped, "west").class, "topsoil");
    // Where it may not, the dig goes to its bottom, and on the clay.
    let text = "[ground]\nstrip = \"0.5 ft\"\ncores = \"cores.csv\"\n[[section]]\nname = \"walk\"\ntopsoil_may_stay = false\n\
                layers = [ { name = \"stone\", thick = \"3 in\" } ]\n[[area]]\nname = \"a\"\nsection = \"walk\"\n\
                finish = { through = [40, 40, 100.0], fall = \"0 %\", toward = \"north\" }\noutline = [[40, 40], [40, 80], [80, 80], [80, 40]]\n";
    let outcome = worked_out(text, |_, _| 100.0, &[("cores.csv", CORES)]).expect("a job");
    assert_eq!(area(&outcome, "a").class, "clay");
    assert_close(area(&outcome, "a").depth, 0.5, 1e-12);
}

#[test]
fn the_worst_layer_between_mean_and_deepest_dig_governs() {
    // Ground 100 at the south edge, rising 1 in 40 to 101 at the north: dug 1.0 to 2.0, 1.5 on the mean.
    let cores = "core,northing,easting,from,to,feel,thread\nH,60,60,0,1.2,organic,\nH,60,60,1.2,1.7,sand,none\nH,60,60,1.7,5,silt,none\n";
    let text = "[ground]\ncores = \"cores.csv\"\n[[area]]\nname = \"a\"\nsection = \"base\"\n\
                finish = { through = [40, 40, 100.0], fall = \"0 %\", toward = \"north\" }\noutline = [[40, 40], [40, 80], [80, 80], [80, 40]]\n";
    let outcome = worked_out(text, |n, _| 100.0 + (n - 40.0) / 40.0, &[("cores.csv", cores)]).expect("a job");
    let a = area(&outcome, "a");
    assert_eq!(a.class, "silt", "sand on the mean, silt at the deepest; organic above the mean is dug through");
    assert_close(a.depth, 2.0, 1e-9);
}

#[test]
fn own_figures_of_a_class_come_before_those_of_the_job_and_those_before_the_usual() {
    let figures = |more: &str, name: &str| {
        let outcome = job(CORES, more, 100.0).expect("a job");
        let a = area(&outcome, name);
        (a.swell, a.shrink, a.weight)
    };
    let near = |got: (f64, f64, f64), want: (f64, f64, f64)| {
        assert_close(got.0, want.0, 1e-12);
        assert_close(got.1, want.1, 1e-12);
        assert_close(got.2, want.2, 1e-9);
    };
    near(figures("", "west"), (0.43, 0.10, 1.45));
    near(figures("", "east"), (0.25, 0.10, 1.35));
    near(figures("swell = \"20 %\"", "west"), (0.20, 0.10, 1.45));
    let own = "swell = \"20 %\"\nsoil = [ { name = \"clay\", swell = \"32 %\", shrink = \"12 %\", weight = \"111.111111 lb/ft3\" } ]";
    near(figures(own, "west"), (0.32, 0.12, 1.5 - 1.5e-9));
    near(figures(own, "east"), (0.20, 0.10, 1.35));
}

#[test]
fn tests_at_odds_are_named_with_their_layer() {
    let cores = CORES.replace("tough,3 in,none,very high,sticky", "tough,3 in,quick,very high,sticky");
    let outcome = job(&cores, "", 100.0).expect("a job");
    assert_eq!(area(&outcome, "west").class, "clay");
    assert!(has(&cautions(&outcome, "C1"), "0.50 to 2.00 ft: CH fits best, but not by shake; make those tests again"));
    let layer = &outcome.soil.as_ref().expect("soil").cores[0].layers[1];
    assert_eq!((layer.disagree.as_slice(), layer.agree.len()), (&["shake"][..], 4));
}

#[test]
fn what_is_wrong_with_the_soil_of_a_job_is_told_with_the_nearest_word() {
    for (more, cores, parts) in [
        ("", CORES.replace("C1", "K1").replace("C2", "K2"), &["`C2`, which is no core", "the nearest is `K2`"][..]),
        (
            "soil = [ { name = \"caly\", swell = \"1 %\", shrink = \"1 %\", weight = \"1 ton/yd3\" } ]",
            CORES.to_owned(),
            &["`caly`", "the nearest word is \"clay\""],
        ),
        (
            "soil = [ { name = \"clay\", swell = \"1 %\", shrink = \"1 %\", weight = \"1 ton/yd3\" }, { name = \"clay\", swell = \"1 %\", shrink = \"1 %\", weight = \"1 ton/yd3\" } ]",
            CORES.to_owned(),
            &["a second soil `clay`"],
        ),
        ("", CORES.replace("sticky", "stikcy"), &["cores.csv, line 3", "the nearest word is `sticky`"]),
    ] {
        let said = job(&cores, more, 100.0).expect_err("is refused");
        for part in parts {
            assert!(said.contains(part), "no `{part}` in\n{said}");
        }
    }
    // Cores that could not be read are complained of once: no name is held against them.
    let said = job(&CORES.replace("sticky", "stikcy"), "", 100.0).expect_err("is refused");
    assert_eq!(said.matches("error").count(), 1, "{said}");
}

/// 1,600 ft3 from under each area, clay in the west, silt under the two others.
#[test]
fn each_area_is_hauled_as_the_soil_of_its_core() {
    let haul = |more: &str| job(CORES, more, 100.0).expect("a job").haul.expect("was asked for");
    let one = 1600.0 / 27.0;
    let cargo = |more: &str| haul(more).cargo.expect("cores say how it behaves");
    let usual = cargo("");
    assert_close(usual.loose, one * (1.43 + 2.0 * 1.25), 1e-9);
    assert_close(usual.compacted, one * 3.0 * 0.90, 1e-9);
    assert_close(usual.mass, one * (1.45 + 2.0 * 1.35), 1e-9);
    assert_close(cargo("swell = \"30 %\"").loose, one * 3.0 * 1.30, 1e-9);
    let silt =
        "swell = \"30 %\"\nsoil = [{ name = \"silt\", swell = \"20 %\", shrink = \"9 %\", weight = \"1.3 ton/yd3\" }]";
    assert_close(cargo(silt).loose, one * (1.30 + 2.0 * 1.20), 1e-9);
    // Topsoil as topsoil, whatever lies below it: 0.5 ft of it over each area.
    let stripped = cargo("strip = \"0.5 ft\"");
    assert_close(stripped.mass, one * (1.2 * 1.5 + (1.45 + 2.0 * 1.35) / 2.0), 1e-9);
}
