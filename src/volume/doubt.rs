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
    spread(before, after, region, |o| o.cut) + spread(after, before, region, |o| o.fill)
}

fn spread(own: &Surface, other: &Surface, region: Option<&Region>, of: impl Fn(&Overlay) -> f64) -> f64 {
    let net = own.net();
    let mut walker = Walker::new(other, region);
    let mut sums = [Overlay::default(); 2];
    for cell in 0..net.cells() {
        let ring = net.cell(cell);
        for (first, sum) in sums.iter_mut().enumerate() {
            let corner = |k: usize| ring[(first + k) % ring.len()];
            for k in 1..ring.len() - 1 {
                let corners = [corner(0), corner(k), corner(k + 1)];
                let t = Triangle { place: corners.map(|v| net.place(v)), height: corners.map(|v| own.height(v)) };
                let doubled = t.doubled_area() / SQUARE;
                walker.over(&t, |poly| sum.add_piece(&integrate(poly), doubled));
            }
        }
    }
    (of(&sums[0]) - of(&sums[1])).abs() / 2.0
}
