//! The account: soils, what is wanted back, what is dug in each place, what leaves in its three states.
//!
//! Places stand in the order fill is taken in; each takes what the ones above it left open. The formulas are those of
//! [`crate::haul::account`]; what they come to is reckoned here in the same steps.

use super::named;
use super::page::{As, Page, range};
use crate::haul::Material;
use crate::job::{DugOut, HaulOut, Outcome, SoilBasisOut};
use rust_xlsxwriter::XlsxError;

/// A cell of the account and what it holds.
#[derive(Clone, Debug, Default)]
pub(super) struct Cell {
    /// With its sheet.
    pub at: String,
    /// None where not known.
    pub value: Option<f64>,
}

/// What other sheets take from this one.
#[derive(Debug, Default)]
pub(super) struct Anchors {
    /// All that is dug, bank.
    pub dug: Cell,
    /// What leaves: bank, loose, mass.
    pub leaves: [Cell; 3],
    /// Topsoil to bring in.
    pub short: Cell,
    /// Fill to bring in, compacted.
    pub fill_short: Cell,
    /// Columns of material, and of bank, loose and mass that leave.
    pub materials: [String; 4],
    /// Material by material in the order of [`Material::WORDS`]: bank, loose, mass.
    pub by_material: Vec<(&'static str, [f64; 3])>,
    /// Whether swell and weight of every soil are known.
    pub known: bool,
}

// Columns of the table.
const PLACE: u16 = 0;
const MATERIAL: u16 = 1;
const SOIL: u16 = 2;
const DUG: u16 = 3;
const HEAVIER: u16 = 4;
const SWELL: u16 = 5;
const SHRINK: u16 = 6;
const WEIGHT: u16 = 7;
const ASIDE: u16 = 8;
const OPEN: u16 = 9;
const TAKEN: u16 = 10;
const LEAVES: u16 = 11;
const LOOSE: u16 = 12;
const COMPACTED: u16 = 13;
const MASS: u16 = 14;

/// Writes the sheet.
pub(super) fn sheet(page: &mut Page<'_>, haul: &HaulOut, outcome: &Outcome) -> Result<Anchors, XlsxError> {
    let (basis, units) = (&haul.basis, &outcome.units);
    page.widths(&[26, 12, 15, 12, 11, 11, 11, 11, 11, 11, 11, 11, 11, 11, 11])?;
    page.title(&format!("Account: {} ({}, {})", named(outcome), units.volume, units.mass))?;
    page.text(0, "Coloured cells may be changed; all others follow.")?;
    page.row += 2;
    let weight = format!("{}/{} bank", units.mass, units.volume);
    page.heads(&["soil", "swell", "shrink", &weight], &[0])?;
    let first = page.row;
    for soil in &basis.soils {
        page.text(0, soil.soil)?;
        page.input(1, soil.swell, As::Percent)?;
        page.input(2, soil.shrink, As::Percent)?;
        page.input(3, soil.weight, As::Fine)?;
        page.down();
    }
    let last = (page.row - 1).max(first);
    let soils = Soils {
        table: format!("{}:{}", start(&range(0, first, last)), end(&range(3, first, last))),
        known: format!("COUNT({},{})={}", range(1, first, last), range(3, first, last), 2 * basis.soils.len()),
        said: &basis.soils,
    };
    page.down();
    let rows = Rows { first: page.row + 9, count: basis.dug.len() };
    let wanted = wanted(page, haul, &rows)?;
    table(page, haul, outcome, (&soils, &wanted, &rows))
}

fn start(range: &str) -> &str {
    range.split(':').next().unwrap_or(range)
}

fn end(range: &str) -> &str {
    range.split(':').next_back().unwrap_or(range)
}

/// The soils above the table.
struct Soils<'a> {
    table: String,
    /// Whether swell and weight of all are there.
    known: String,
    said: &'a [SoilBasisOut],
}

impl Soils<'_> {
    fn of(&self, soil: &str) -> [Option<f64>; 3] {
        let soil = self.said.iter().find(|s| s.soil == soil);
        soil.map_or([None; 3], |s| [s.swell, s.shrink, s.weight])
    }

    fn are_known(&self) -> bool {
        self.said.iter().all(|s| s.swell.is_some() && s.weight.is_some())
    }
}

/// Where the table stands.
struct Rows {
    first: u32,
    count: usize,
}

impl Rows {
    /// A column of it; of an empty table its one empty row.
    fn column(&self, column: u16) -> String {
        let below = u32::try_from(self.count.max(1)).unwrap_or(1) - 1;
        range(column, self.first, self.first + below)
    }
}

/// What is wanted of the ground that is dug.
struct Wanted {
    aside: Cell,
    fill: Cell,
    short: Cell,
}

fn wanted(page: &mut Page<'_>, haul: &HaulOut, rows: &Rows) -> Result<Wanted, XlsxError> {
    let loss = haul.basis.handling_loss;
    let topsoil: f64 = haul.basis.dug.iter().filter(|d| d.material == Material::Topsoil.word()).map(|d| d.bank).sum();
    let kept = (topsoil * (1.0 - loss)).min(haul.needed);
    page.heads(&["wanted back", "amount"], &[0])?;
    page.text(0, "topsoil for layers, as placed")?;
    let needed = page.input(1, Some(haul.needed), As::Hundredths)?;
    page.down();
    page.text(0, "lost of topsoil put aside")?;
    let lost = page.input(1, Some(loss), As::Percent)?;
    page.down();
    page.text(0, "topsoil kept")?;
    let dug = format!("SUMIF({},\"topsoil\",{})", rows.column(MATERIAL), rows.column(DUG));
    let kept_at = page.formula(1, &format!("MIN({dug}*(1-{lost}),{needed})"), Some(kept), As::Hundredths)?;
    page.down();
    page.text(0, "dug for it")?;
    let aside = kept / (1.0 - loss);
    let aside_at = page.formula(1, &format!("{kept_at}/(1-{lost})"), Some(aside), As::Hundredths)?;
    page.down();
    page.text(0, "topsoil to bring in")?;
    let short = haul.needed - kept;
    let short_at = page.formula(1, &format!("{needed}-{kept_at}"), Some(short), As::Hundredths)?;
    page.down();
    page.text(0, "fill, compacted")?;
    let fill = page.input(1, Some(haul.fill), As::Hundredths)?;
    page.row += 2;
    Ok(Wanted {
        aside: Cell { at: aside_at, value: Some(aside) },
        fill: Cell { at: fill, value: Some(haul.fill) },
        short: Cell { at: format!("Account!{short_at}"), value: Some(short) },
    })
}

/// What a row of the table comes to.
#[derive(Clone, Copy)]
struct Row {
    aside: f64,
    open: f64,
    taken: f64,
    leaves: f64,
    shrink: f64,
}

impl Row {
    /// Fill that is still wanted below it.
    fn left(&self) -> f64 {
        (self.open - self.taken * (1.0 - self.shrink)).max(0.0)
    }
}

fn table(
    page: &mut Page<'_>,
    haul: &HaulOut,
    outcome: &Outcome,
    (soils, wanted, rows): (&Soils<'_>, &Wanted, &Rows),
) -> Result<Anchors, XlsxError> {
    let mass = &outcome.units.mass;
    page.heads(
        &[
            "dug",
            "material",
            "soil",
            "bank",
            "heavier by",
            "swell",
            "shrink",
            "weight",
            "put aside",
            "fill open",
            "fill taken",
            "leaves, bank",
            "loose",
            "compacted",
            mass,
        ],
        &[PLACE, MATERIAL, SOIL],
    )?;
    let known = soils.are_known();
    let mut above: Vec<Row> = Vec::new();
    let mut sums = [0.0; 7];
    let mut by_material: Vec<(&'static str, [f64; 3])> = Material::WORDS.map(|(word, _)| (word, [0.0; 3])).to_vec();
    for dug in &haul.basis.dug {
        let row = row(page, dug, &above, (soils, wanted))?;
        let [swell, shrink, weight] = soils.of(dug.soil).map(|v| v.unwrap_or(0.0));
        let states =
            [row.leaves * (1.0 + swell), row.leaves * (1.0 - shrink), row.leaves * (weight * (1.0 + dug.heavier))];
        for (column, factor, value) in [
            (LOOSE, format!("(1+{})", page.cell(SWELL)), states[0]),
            (COMPACTED, format!("(1-{})", page.cell(SHRINK)), states[1]),
            (MASS, page.cell(WEIGHT), states[2]),
        ] {
            let text = format!("IF({},{}*{factor},\"\")", soils.known, page.cell(LEAVES));
            page.formula(column, &text, known.then_some(value), As::Hundredths)?;
        }
        for (sum, value) in
            sums.iter_mut().zip([dug.bank, row.aside, row.taken, row.leaves, states[0], states[1], states[2]])
        {
            *sum += value;
        }
        if let Some((_, of)) = by_material.iter_mut().find(|(word, _)| *word == dug.material) {
            for (sum, value) in of.iter_mut().zip([row.leaves, states[0], states[2]]) {
                *sum += value;
            }
        }
        above.push(row);
        page.down();
    }
    if haul.basis.dug.is_empty() {
        page.down();
    }
    page.text(PLACE, "TOTAL")?;
    let mut at = Vec::new();
    for (column, value) in [DUG, ASIDE, TAKEN, LEAVES, LOOSE, COMPACTED, MASS].into_iter().zip(sums) {
        let sum = format!("SUM({})", rows.column(column));
        let is_known = known || column <= LEAVES;
        let text = if column <= LEAVES { sum } else { format!("IF({},{sum},\"\")", soils.known) };
        let cell = page.sum(column, &text, is_known.then_some(value), As::Hundredths)?;
        at.push(Cell { at: format!("Account!{cell}"), value: is_known.then_some(value) });
    }
    page.row += 2;
    page.text(PLACE, "fill to bring in, compacted")?;
    let (text, value) = match above.last() {
        Some(row) => {
            let of = |column: u16| end(&rows.column(column)).to_owned();
            (format!("MAX(0,{}-{}*(1-{}))", of(OPEN), of(TAKEN), of(SHRINK)), Some(row.left()))
        }
        None => (wanted.fill.at.clone(), wanted.fill.value),
    };
    let fill_short = page.formula(1, &text, value, As::Hundredths)?;
    let of = |k: usize| at.get(k).cloned().unwrap_or_default();
    Ok(Anchors {
        dug: of(0),
        leaves: [of(3), of(4), of(6)],
        short: wanted.short.clone(),
        fill_short: Cell { at: format!("Account!{fill_short}"), value },
        materials: [MATERIAL, LEAVES, LOOSE, MASS].map(|column| format!("Account!{}", rows.column(column))),
        by_material: by_material.into_iter().filter(|(w, _)| haul.basis.dug.iter().any(|d| d.material == *w)).collect(),
        known,
    })
}

/// A row as far as what leaves of it.
fn row(page: &mut Page<'_>, dug: &DugOut, above: &[Row], on: (&Soils<'_>, &Wanted)) -> Result<Row, XlsxError> {
    let (soils, wanted) = on;
    page.text(PLACE, &dug.place)?;
    page.text(MATERIAL, dug.material)?;
    page.text(SOIL, dug.soil)?;
    page.input(DUG, Some(dug.bank), As::Hundredths)?;
    page.input(HEAVIER, Some(dug.heavier), As::Percent)?;
    let [swell, shrink, weight] = soils.of(dug.soil).map(|v| v.unwrap_or(0.0));
    let look = |column: u32| format!("VLOOKUP({},{},{column},FALSE)", page.cell(SOIL), soils.table);
    let (looks, heavier) = ([look(2), look(3), look(4)], page.cell(HEAVIER));
    page.formula(SWELL, &looks[0], Some(swell), As::Percent)?;
    page.formula(SHRINK, &looks[1], Some(shrink), As::Percent)?;
    page.formula(WEIGHT, &format!("{}*(1+{heavier})", looks[2]), Some(weight * (1.0 + dug.heavier)), As::Fine)?;
    let material = page.cell(MATERIAL);
    let is = |word: &str| dug.material == word;
    // The row above, or the head, which counts as nothing.
    let so_far = range(ASIDE, page.row - 1 - u32::try_from(above.len()).unwrap_or(0), page.row - 1);
    let gone: f64 = above.iter().map(|r| r.aside).sum();
    let aside = if is("topsoil") { dug.bank.min(wanted.aside.value.unwrap_or(0.0) - gone) } else { 0.0 };
    let text = format!("IF({material}=\"topsoil\",MIN({},{}-SUM({so_far})),0)", page.cell(DUG), wanted.aside.at);
    page.formula(ASIDE, &text, Some(aside), As::Hundredths)?;
    let (text, open) = match above.last() {
        Some(before) => {
            let of = |column: u16| end(&range(column, page.row - 1, page.row - 1)).to_owned();
            (format!("MAX(0,{}-{}*(1-{}))", of(OPEN), of(TAKEN), of(SHRINK)), before.left())
        }
        None => (wanted.fill.at.clone(), wanted.fill.value.unwrap_or(0.0)),
    };
    page.formula(OPEN, &text, Some(open), As::Hundredths)?;
    let words = Material::FILL.map(Material::word);
    let fills = words.map(|word| format!("{material}=\"{word}\"")).join(",");
    let taken = if words.iter().any(|w| is(w)) { (open / (1.0 - shrink)).min(dug.bank - aside) } else { 0.0 };
    let [dug_at, aside_at, open_at, shrink_at] = [DUG, ASIDE, OPEN, SHRINK].map(|column| page.cell(column));
    let text = format!("IF(OR({fills}),MIN({open_at}/(1-{shrink_at}),{dug_at}-{aside_at}),0)");
    let taken_at = page.formula(TAKEN, &text, Some(taken), As::Hundredths)?;
    let leaves = (dug.bank - aside - taken).max(0.0);
    page.formula(LEAVES, &format!("MAX(0,{dug_at}-{aside_at}-{taken_at})"), Some(leaves), As::Hundredths)?;
    Ok(Row { aside, open, taken, leaves, shrink })
}
