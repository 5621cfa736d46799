//! How much of the volume hangs on the choice of a diagonal?
//!
//! A square cell of four shots has two diagonals and the ground between the shots may run along either. The surface uses neither (a
//! node at the mean); half the spread between "every cell split one way" and "every cell split the other" is the doubt.

use super::{Overlay, SQUARE, Walker};
use crate::surface::{Region, Surface, Triangle, integrate};

/// Half the spread of the cut over the square cells of both surfaces, each set of cells against the other surface as it is.
/// Cubic job units.
#[must_use]
pub fn diagonal_doubt(before: &Surface, after: &Surface, region: Option<&Region>) -> f64 {
    spread(before, Walker::new(after, region), |o| o.cut) + spread(after, Walker::new(before, region), |o| o.fill)
}

/// The same for the ground under areas, all together: each area its region with the heights of its floor.
#[must_use]
pub fn cell_doubt(ground: &Surface, areas: &[(&Region, &dyn Fn([f64; 2]) -> f64)]) -> f64 {
    let signed = areas.iter().map(|(region, floor)| {
        let floor = region.surface(floor);
        let inside = |first: usize| {
            let mut sum = Overlay::default();
            let mut walker = Walker::new(&floor, Some(region));
            for t in halves(ground, first) {
                let doubled = t.doubled_area() / SQUARE;
                walker.over(&t, |poly| sum.add_piece(&integrate(poly), doubled));
            }
            sum.cut
        };
        inside(0) - inside(1)
    });
    (signed.sum::<f64>() / 2.0).abs()
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

fn spread(own: &Surface, mut over: Walker<'_>, of: impl Fn(&Overlay) -> f64) -> f64 {
    let mut one_way = |first: usize| {
        let mut sum = Overlay::default();
        for t in halves(own, first) {
            let doubled = t.doubled_area() / SQUARE;
            over.over(&t, |poly| sum.add_piece(&integrate(poly), doubled));
        }
        of(&sum)
    };
    (one_way(0) - one_way(1)).abs() / 2.0
}
