//! How much of the volume hangs on the choice of a diagonal?
//!
//! A square cell of four shots has two diagonals and the ground between the shots may run along either. The surface uses neither (a
//! node at the mean); half the spread between "every cell split one way" and "every cell split the other" is the doubt.

use super::{Overlay, SQUARE, Walker};
use crate::surface::{Region, Surface, Triangle};

/// Half the spread of the cut, or of the fill if that is more, over the square cells of both surfaces, each set of cells
/// against the other surface as it is. Cubic job units.
#[must_use]
pub fn diagonal_doubt(before: &Surface, after: &Surface, region: Option<&Region>) -> f64 {
    let [cut, fill] = spread(before, Walker::new(after, region));
    // Swept from below, what lies above the triangle is cut.
    let [fill_too, cut_too] = spread(after, Walker::new(before, region));
    (cut + cut_too).max(fill + fill_too)
}

/// An area and its floor.
pub type Floor<'a> = (&'a Region, Surface);

/// The same for the ground under areas, all cells split one way less all split the other.
#[must_use]
pub fn cell_doubt(ground: &Surface, areas: &[Floor<'_>]) -> f64 {
    let mut sums = [0.0; 2];
    for (region, floor) in areas {
        let [cut, fill] = difference(ground, Walker::new(floor, Some(region)));
        sums = [sums[0] + cut, sums[1] + fill];
    }
    sums[0].abs().max(sums[1].abs()) / 2.0
}

/// The triangles of every square cell of a surface, fanned from its first corner or its second.
fn halves(own: &Surface, first: usize) -> impl Iterator<Item = Triangle> + '_ {
    let net = own.net();
    (0..net.cells()).flat_map(move |cell| {
        let ring = net.cell(cell);
        (1..ring.len() - 1).map(move |k| {
            let corners = [0, k, k + 1].map(|j| ring[(first + j) % ring.len()]);
            Triangle { place: corners.map(|v| net.place(v)), height: corners.map(|v| own.height(v)) }
        })
    })
}

/// Half of how far cut and fill lie apart, cells split one way and the other.
fn spread(own: &Surface, over: Walker<'_>) -> [f64; 2] {
    difference(own, over).map(|d| d.abs() / 2.0)
}

/// Cut and fill with every cell split one way, less the same with every cell split the other.
fn difference(own: &Surface, mut over: Walker<'_>) -> [f64; 2] {
    let mut one_way = |first: usize| {
        let mut sum = Overlay::default();
        for t in halves(own, first) {
            let doubled = t.doubled_area() / SQUARE;
            sum.add_part(&over.sum(&t, None).0, doubled);
        }
        sum
    };
    let (first, second) = (one_way(0), one_way(1));
    [first.cut - second.cut, first.fill - second.fill]
}
