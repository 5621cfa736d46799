//! Which tables and keys may a job file have? All of them, each on its line.

use super::form::{Form, Kind, kept, may, must, or};
use crate::units::Measured;
use Kind::{
    Either, Falls, File, Height, Line, Lines, Measure, Name, Names, Number, Offset, Percent, Place, Rings, Scale,
    Slope, Table, Tables, Text, Thickness, Through, Toward, Whole, Word, Yes,
};

const DENSITY: &[&str] = Measured::Density.units();
const AREA: &[&str] = Measured::Area.units();
const VOLUME: &[&str] = Measured::Volume.units();
const WATER: &[&str] = &["gal", "L", "m3", "ft3"];
const MASS: &[&str] = Measured::Mass.units();
const TIME: &[&str] = Measured::Time.units();
const STORM: &[&str] = &["in/h", "mm/h"];
const RATE: &[&str] = Measured::Rate.units();
const DOSE: &[&str] = Measured::Dose.units();
const COMPASS: &[&str] = &["north", "south", "east", "west"];
const RODS: &[&str] = &["tenths", "inches", "metres"];
const CLOSING: &[&str] = &["set-ups", "distance"];
const FABRICS: &[&str] = &["woven", "nonwoven"];
const FIRMNESS: &[&str] = &["firm", "medium", "soft"];
const SPOILS: &[&str] = &["clean", "mixed", "wet"];
const SPOT: Kind = Either(&[Name, Place]);
const MUCH: f64 = 1e9;
const MONEY: Kind = Number(0.0, MUCH);

/// What an area is used as; in the order of [`crate::design::said::Usage::WORDS`].
pub(super) const USES: &[&str] =
    &["patio", "accessible patio", "landing", "ramp", "walk", "accessible walk", "drive", "lawn", "bed", "drain strip"];
/// What is kept off.
pub(super) const GUARDS: &[&str] = &["root circle", "footing", "utility"];

macro_rules! forms {
    ($($form:ident $name:literal [$($key:expr),* $(,)?])*) => {
        $(pub(super) static $form: Form = Form { name: $name, keys: &[$($key),*] };)*
    };
}

forms! {
    ROOT "the job file" [
        must("job", Table(&JOB), "what the job is called and what it is measured in"),
        may("bench", Tables(&BENCH), "the marks every height hangs on"),
        must("survey", Table(&SURVEY), "what was measured, and where the names are"),
        or("set_up", Table(&SET_UP), "no set-up of the level: no rod readings", "where the level stands today"),
        may("ground", Table(&GROUND), "the ground, and how well it is dug"),
        must("section", Tables(&SECTION), "build-ups"),
        may("amendment", Tables(&AMENDMENT), "what is worked into a weak subgrade before it is compacted"),
        must("area", Tables(&AREA_FORM), "the areas, in an order in which each meets only areas above it"),
        may("rules", Table(&RULES), "limits of your own, in place of the usual ones"),
        may("keep_off", Tables(&KEEP_OFF), "where not to dig, or only by hand"),
        may("fixed", Tables(&FIXED), "heights that were there first, and what the finish owes them"),
        may("drain", Tables(&DRAIN), "pipes, each from its head downhill"),
        may("basin", Tables(&BASIN), "where runs of pipe meet"),
        or("outlet", Tables(&OUTLET), "no outlet: the open edge of the survey is the only way out", "where water may go in the end"),
        may("rain", Table(&RAIN), "the storm pipes are sized for and the days a tank lives on"),
        may("tank", Table(&TANK), "the cistern"),
        may("truck", Tables(&TRUCK), "what hauls"),
        may("prices", Table(&PRICES), "your own prices; nothing is costed without them"),
        kept("chance", Table(&CHANCE), "how far each number may be out"),
        may("stakes", Table(&STAKES), "stakes beside the shots"),
        may("sheet", Table(&SHEET), "the drawing"),
    ]
    JOB "[job]" [
        must("name", Name, "what the job is called"),
        may("version", Whole(1, i64::MAX), "the form of this file; 1"),
        must("units", Word(&["ft", "us-ft", "m"]), "the unit of every bare number"),
        may("datum", Text, "what heights count from, in words"),
        may("north", Text, "printed under the north arrow"),
    ]
    BENCH "[[bench]]" [
        must("name", Name, "its name, as in the notes"),
        must("elevation", Either(&[Height, Word(&["from notes"])]), "its height, held; or \"from notes\""),
        may("note", Text, "what it is"),
    ]
    SURVEY "[survey]" [
        may("shots", File, "table of shots: point, northing, easting, elevation, kind"),
        may("level_notes", File, "field book: point, bs, is, fs, note; distance beside foresights"),
        may("grid", Table(&GRID), "where the stakes of a taped grid are"),
        may("places", File, "where names off the grid are: point, northing, easting, kind"),
        may("breaklines", File, "lines the surface may not bridge: line, point; or line, northing, easting, elevation"),
        or("shot_error", Thickness, "one sigma of a shot: 0.02 ft (5 mm)", "one sigma of one ground shot"),
        or("side_shots", Word(&["foresight", "backsight"]), "side shots carry their set-up's foresight correction", "which correction side shots carry"),
        may("rods", Word(RODS), "how the rods of the notes are divided; tenths of a foot where not said, metres in a job in metres"),
        may("closing", Word(CLOSING), "by what a misclosure is judged and shared out; set-ups where not said"),
        may("allowed", Thickness, "misclosure allowed, times the root of the set-ups, or of the miles (kilometres) levelled"),
        or("limit", Rings, "no limit: all ground that was shot counts", "rings that bound the ground that counts"),
    ]
    GRID "survey.grid" [
        must("first", Name, "name of the first stake: a letter and a number"),
        must("origin", Place, "where the first stake is"),
        must("spacing", Number(1e-3, MUCH), "between two stakes, in the job's unit"),
        must("letters", Word(COMPASS), "which way letters go on"),
        must("numbers", Word(COMPASS), "which way numbers go on"),
        may("azimuth", Number(0.0, 360.0), "how far the whole grid is turned clockwise, in degrees; 0 where not said"),
        may("last", Name, "name of the last stake: no name beyond it is on the grid"),
    ]
    SET_UP "[set_up]" [
        may("bench", Name, "the bench the rod stood on"),
        may("rod", Either(&[Height, Thickness]), "what it read there"),
        may("hi", Height, "height of the line of sight, in place of bench and rod"),
    ]
    GROUND "[ground]" [
        or("strip", Thickness, "no topsoil to strip", "depth of topsoil"),
        may("cores", File, "hand tests of soil: core, northing, easting, from, to, thread, ribbon, shake, patty, feel"),
        may("swell", Percent(200.0), "bank to loose, for all soils of the job"),
        may("shrink", Percent(99.0), "bank to compacted"),
        may("weight", Measure(DENSITY), "of a bank volume, moist"),
        may("handling_loss", Percent(99.0), "of topsoil put aside and brought back; none where not said"),
        may("sod", Thickness, "of the strip: grass with its roots, hauled apart"),
        may("wet", Percent(100.0), "by how much earth of a wet area is heavier; 15 % where not said"),
        may("dig_rate", Measure(RATE), "what the machine digs in an hour, bank"),
        may("tolerance", Table(&TOLERANCE), "how far from dig-to the dug ground may be"),
        or("compaction_allowance", Thickness, "no compaction allowance", "dug this much high, to be compacted down"),
        may("soil", Tables(&SOIL), "swell, shrink and weight class by class"),
    ]
    TOLERANCE "ground.tolerance" [
        must("high", Thickness, "above"),
        must("low", Thickness, "below"),
    ]
    SOIL "ground.soil" [
        must("name", Word(crate::soil::Class::WORDS), "the class"),
        must("swell", Percent(200.0), "bank to loose"),
        must("shrink", Percent(99.0), "bank to compacted"),
        must("weight", Measure(DENSITY), "of a bank volume, moist"),
    ]
    SECTION "[[section]]" [
        must("name", Name, "its name"),
        must("layers", Tables(&LAYER), "layers, top down"),
        may("fabric", Table(&FABRIC), "fabric below it"),
        or("topsoil_may_stay", Yes, "topsoil may stay", "whether topsoil may stay under it"),
        may("refill", Name, "layer that fills an undercut; else the bottom one"),
        may("compaction_allowance", Thickness, "in place of the job's own"),
    ]
    LAYER "a layer" [
        must("name", Name, "what it is"),
        must("thick", Thickness, "its thickness as built"),
        may("order", Word(&["area", "ton", "tonne", "yd3", "m3", "bag", "piece", "panel", "roll"]), "how it is ordered"),
        may("weight", Measure(DENSITY), "as placed"),
        may("waste", Percent(100.0), "added to the order"),
        may("covers", Measure(AREA), "what one piece covers"),
        may("gradation", Text, "its gradation"),
        may("past_edge", Yes, "whether it runs over the over-dig"),
        may("from", Word(&["kept topsoil"]), "where it comes from"),
    ]
    FABRIC "section.fabric" [
        must("kind", Word(FABRICS), "how it is made"),
        may("lap", Thickness, "overlap of two rolls"),
        may("firmness", Word(FIRMNESS), "of the ground, for a lap that is not said: 12, 24 or 36 in; medium where not said"),
        must("roll", Thickness, "width of a roll"),
        may("length", Thickness, "length of a roll"),
        may("up_sides", Yes, "whether it goes up the sides of the dig"),
        may("waste", Percent(100.0), "added to the order; 5 % where not said"),
    ]
    AMENDMENT "[[amendment]]" [
        must("area", Name, "where"),
        may("stone", Table(&STONE), "stone driven in"),
        may("lime", Table(&LIME), "lime worked in"),
    ]
    STONE "amendment.stone" [
        must("thick", Thickness, "as spread"),
        may("proud", Thickness, "how much of it stays up and raises the grade"),
        may("weight", Measure(DENSITY), "as placed"),
        may("gradation", Text, "its gradation"),
    ]
    LIME "amendment.lime" [
        must("dose", Measure(DOSE), "weight on an area"),
        must("depth", Thickness, "how deep it is mixed"),
        may("bag", Measure(MASS), "weight of a bag"),
    ]
    AREA_FORM "[[area]]" [
        must("name", Name, "its name"),
        may("code", Name, "short name of its corner stakes; else its name"),
        must("section", Name, "its build-up"),
        may("use", Word(USES), "what it is used as; no rule is held against it where not said"),
        may("by_building", Yes, "the rule for hard surface within 10 ft of a building applies"),
        may("core", Name, "the core its soil is taken from; the nearest where not said"),
        may("spoil", Word(SPOILS), "what is dug below its topsoil; clean where not said"),
        may("outline", Rings, "corners as [northing, easting], or a ring and its holes"),
        may("corners", Names, "corners by the names of stakes or places"),
        must("finish", Table(&FINISH), "its finished grade"),
        or("subgrade", Table(&FALL), "subgrade parallel to finish", "a fall of the subgrade's own"),
        or("over_dig", Either(&[Thickness, Table(&OVER_DIG)]), "no over-dig", "digging past its edges"),
        or("batter", Table(&SIDE), "no batter", "sloped sides of the dig"),
        or("allow_uncovered", Yes, "no ground without survey", "ground without survey is listed, not refused"),
    ]
    FINISH "area.finish" [
        may("through", Through, "a place and its finished height"),
        may("meets", Name, "an area above in the file: shares the heights of the common edge"),
        may("down", Thickness, "so much lower there"),
        may("fall", Slope, "how steep"),
        may("toward", Toward, "downhill"),
        may("falls", Falls, "one or two falls, which add"),
        may("spots", File, "graded spots, one at every corner: point, northing, easting, elevation of finish"),
        may("breaklines", File, "lines between graded spots: line, point; or line, northing, easting, elevation"),
        may("follow", Word(&["existing"]), "keeps the shape of the ground, `down` lower"),
        may("fit", Word(&["existing"]), "the plane nearest to the ground: of this `fall` and way, of this fall any way, or as it lies"),
        may("least", Slope, "a fitted plane is not flatter"),
        may("most", Slope, "a fitted plane is not steeper"),
    ]
    FALL "area.subgrade" [
        must("fall", Slope, "how steep"),
        must("toward", Toward, "downhill"),
    ]
    OVER_DIG "area.over_dig" [
        must("all", Thickness, "how far"),
        may("except", Names, "edges without it, as T.1-T.2"),
    ]
    SIDE "run and rise" [
        must("run", Number(0.0, MUCH), "level"),
        must("rise", Number(1e-6, MUCH), "up"),
    ]
    RULES "[rules]" [
        may("paving", Slope, "least fall of a finished pavement"),
        may("by_building", Slope, "least fall of a hard surface by a building"),
        may("ground_by_building", Slope, "least fall of lawn or bed by a building"),
        may("accessible", Slope, "greatest slope of an accessible surface, any way"),
        may("walk_run", Slope, "greatest slope along an accessible walk"),
        may("ramp_run", Slope, "greatest slope along a ramp"),
        may("ramp_cross", Slope, "greatest slope across a ramp"),
        may("ramp_rise", Thickness, "greatest rise of a ramp between landings"),
        may("landing", Thickness, "least length of a landing"),
        may("drain_strip", Slope, "least fall of a drain strip"),
        may("lawn", Slope, "least fall of a lawn"),
        may("lawn_most", Slope, "greatest slope of a lawn"),
        may("bed", Slope, "least fall of a bed"),
        may("bed_most", Slope, "greatest slope of a bed"),
        may("subgrade", Slope, "least fall of the subgrade under paving"),
    ]
    KEEP_OFF "[[keep_off]]" [
        must("name", Name, "its name"),
        must("what", Word(GUARDS), "what is kept off"),
        may("at", SPOT, "the trunk"),
        may("trunk", Thickness, "diameter of the trunk: the radius is 15 times that"),
        may("radius", Thickness, "radius of the roots, in place of the trunk"),
        may("line", Line(2), "along the footing or the utility"),
        may("bottom", Height, "bottom of the footing"),
        may("slope", Table(&SIDE), "how the line from its bottom falls"),
        may("within", Thickness, "hand dig inside this"),
    ]
    FIXED "[[fixed]]" [
        must("name", Name, "its name"),
        may("at", Name, "a place with a height"),
        may("area", Name, "the area that owes it"),
        may("below", Table(&RANGE), "how far below the finish lies"),
        may("along", Names, "two places with heights: a straight edge"),
        may("within", Thickness, "up or down by no more than this"),
        may("between", Names, "the upper area and the lower one"),
        may("riser", Table(&RANGE), "height of the step"),
    ]
    RANGE "least and most" [
        may("least", Thickness, "at least"),
        may("most", Thickness, "at most"),
    ]
    DRAIN "[[drain]]" [
        must("name", Name, "its name"),
        may("takes", Word(&["subgrade", "surface"]), "which water it takes; subgrade where not said"),
        may("trench", Table(&TRENCH), "what it lies in"),
        must("nodes", Tables(&NODE), "places along it, downhill"),
        must("legs", Tables(&LEG), "between them, one fewer"),
        may("by_others", Yes, "checked and drawn, not dug by us"),
    ]
    TRENCH "drain.trench" [
        must("width", Thickness, "its width"),
        may("under_pipe", Thickness, "bedding under the pipe"),
        may("stone", Text, "its filling"),
        may("stone_to", Word(&["subgrade", "surface"]), "how high the stone goes"),
        may("fabric", Word(FABRICS), "round the stone"),
    ]
    NODE "a node of a drain" [
        may("name", Name, "its name"),
        may("at", SPOT, "where"),
        may("invert", Height, "bottom of the pipe inside; straight between two that are given"),
        may("clean_out", Yes, "a clean-out"),
        may("basin", Name, "the basin it is at"),
        may("tank", Word(&["inlet", "overflow"]), "the side of the tank it is at"),
        may("outlet", Name, "the outlet it is at"),
    ]
    LEG "a leg of a drain" [
        must("kind", Word(&["perforated", "solid"]), "the pipe"),
        must("size", Thickness, "inside diameter"),
        may("wall", Thickness, "thickness of its wall"),
        may("holes", Word(&["down", "up"]), "where its holes point; down if unsaid"),
    ]
    BASIN "[[basin]]" [
        must("name", Name, "its name"),
        must("at", SPOT, "where"),
        may("sump", Thickness, "depth below the lowest pipe"),
        may("by_others", Yes, "its hole is dug by others"),
    ]
    OUTLET "[[outlet]]" [
        may("name", Name, "its name; else that of its place"),
        must("at", SPOT, "where"),
        may("invert", Height, "bottom of the pipe inside"),
        may("note", Text, "what it is"),
    ]
    RAIN "[rain]" [
        may("storm", Measure(STORM), "intensity"),
        may("days", File, "date, rain"),
        may("unit", Word(&["in", "mm"]), "what the rain in `days` is in; where not said in, mm in a job in metres"),
        may("runoff", Table(&RUNOFF), "part of the rain that runs off"),
    ]
    RUNOFF "rain.runoff" [
        may("paving", Number(0.0, 1.0), "of paving"),
        may("roof", Number(0.0, 1.0), "of roofs"),
        may("lawn", Number(0.0, 1.0), "of lawn"),
        may("bed", Number(0.0, 1.0), "of beds"),
        may("stone", Number(0.0, 1.0), "of stone"),
    ]
    TANK "[tank]" [
        may("name", Name, "its name"),
        must("capacity", Measure(WATER), "what it holds"),
        may("start", Measure(WATER), "what is in it at first; nothing where not said"),
        may("inlet", Table(&PORT), "pipe in"),
        may("overflow", Table(&PORT), "pipe out"),
        may("first_flush", Thickness, "lost of every wet day"),
        may("rule", Word(&["after spillage", "before spillage"]), "when use is taken; after spillage where not said"),
        may("most_days_dry", Whole(0, 366), "days of a year on which it may be dry: the owner's wish"),
        may("catchment", Tables(&CATCHMENT), "what drains into it"),
        may("demand", Tables(&DEMAND), "what is taken from it"),
    ]
    PORT "a side of the tank" [
        may("name", Name, "its name"),
        must("at", SPOT, "where"),
        may("invert", Height, "bottom of the pipe inside"),
    ]
    CATCHMENT "[[tank.catchment]]" [
        must("name", Name, "its name"),
        may("area", Measure(AREA), "its size"),
        may("areas", Names, "areas of this file, in place of a size"),
        must("efficiency", Percent(100.0), "part of the rain that arrives"),
    ]
    DEMAND "[[tank.demand]]" [
        must("area", Name, "area that is watered"),
        must("per_week", Table(&MONTHS), "depth of water a week"),
    ]
    MONTHS "tank.demand.per_week" [
        may("jan", Thickness, "a week in January"),
        may("feb", Thickness, "a week in February"),
        may("mar", Thickness, "a week in March"),
        may("apr", Thickness, "a week in April"),
        may("may", Thickness, "a week in May"),
        may("jun", Thickness, "a week in June"),
        may("jul", Thickness, "a week in July"),
        may("aug", Thickness, "a week in August"),
        may("sep", Thickness, "a week in September"),
        may("oct", Thickness, "a week in October"),
        may("nov", Thickness, "a week in November"),
        may("dec", Thickness, "a week in December"),
    ]
    TRUCK "[[truck]]" [
        must("name", Name, "its name"),
        must("volume", Measure(VOLUME), "what the box is counted as"),
        must("payload", Measure(MASS), "what the law lets it carry"),
        may("round_trip", Measure(TIME), "there, tipped and back"),
        may("count", Whole(1, 100), "how many go at once; 1 where not said"),
        may("note", Text, "what to know of it"),
    ]
    PRICES "[prices]" [
        may("haul", Tables(&HAUL), "by truck"),
        may("dig", Table(&DIG), "of the dig"),
        may("material", Tables(&MATERIAL), "by layer, stone, pipe or lime"),
    ]
    HAUL "prices.haul" [
        must("truck", Name, "which"),
        may("per_hour", MONEY, "an hour"),
        may("per_load", MONEY, "a load"),
        may("tip_fee", MONEY, "a load tipped"),
    ]
    DIG "prices.dig" [
        may("per_yd3", MONEY, "a cubic yard, bank"),
        may("per_m3", MONEY, "a cubic metre, bank"),
    ]
    MATERIAL "prices.material" [
        must("name", Name, "a layer, its gradation, or lime"),
        may("per_ton", MONEY, "a short ton"),
        may("per_tonne", MONEY, "a tonne"),
        may("per_yd3", MONEY, "a cubic yard"),
        may("per_m3", MONEY, "a cubic metre"),
        may("per_ft2", MONEY, "a square foot"),
        may("per_m2", MONEY, "a square metre"),
        may("per_bag", MONEY, "a bag"),
        may("per_piece", MONEY, "a piece"),
        may("per_panel", MONEY, "a panel"),
        may("per_roll", MONEY, "a roll"),
        may("per_ft", MONEY, "a foot"),
        may("per_m", MONEY, "a metre"),
    ]
    CHANCE "[chance]" [
        may("seed", Whole(0, i64::MAX), "of the draws"),
        may("draws", Whole(1, 10_000_000), "how many"),
        may("set_up", Thickness, "one sigma of the height of each set-up"),
        may("strip", Thickness, "one sigma of the depth of topsoil"),
        may("dig_bias", Table(&BIAS), "how far off the dig is as a whole"),
        may("swell", Measure(&["points"]), "one sigma of the swell, in points of percent"),
        may("load", Percent(100.0), "one sigma of how full the box is"),
    ]
    BIAS "chance.dig_bias" [
        must("mean", Offset, "below zero: dug deep"),
        must("spread", Thickness, "one sigma"),
    ]
    STAKES "[stakes]" [
        may("extra", File, "stakes without a shot: stake, northing, easting"),
        may("trench_every", Thickness, "between stakes along trenches"),
        may("order", Word(&["walking", "name", "file"]), "how stakes are listed; walking where not said"),
    ]
    SHEET "[sheet]" [
        may("paper", Word(&["letter", "tabloid", "a4", "a3"]), "size of the paper; tabloid, or a3 for metres, where not said"),
        may("scale", Scale, "fit, or a scale as \"1 in = 8 ft\" or \"1:100\""),
        may("depths", Word(&["tape", "tenths"]), "depths at stakes in feet-inches, or in tenths of a foot; tape where not said"),
        may("date", Text, "printed on every sheet; a line to write on where not said"),
        may("revision", Text, "printed on every sheet; a line to write on where not said"),
        or("contours", Thickness, "contour interval chosen to suit", "interval of contours"),
        may("sections", Lines, "lines the ground is cut along for a drawing"),
    ]
}
