//! How long until shots are a surface? Beside it: spade's bulk load of the same places alone.

mod common;

use common::{against, assert_near, side, site, sizes};
use spade::{DelaunayTriangulation, Point2, Triangulation};
use spadework::shots::Frame;
use spadework::surface::{Cells, Surface};

fn main() {
    for n in sizes() {
        let shots = site(n, 1);
        let frame = Frame::of(&[&shots]);
        let ours = || Surface::build(&shots, frame, Cells::Nodes).expect("a site can be built");
        let places: Vec<Point2<f64>> =
            (0..n).map(|r| frame.local(shots.northing[r], shots.easting[r])).map(|[x, y]| Point2::new(x, y)).collect();
        let plain = || DelaunayTriangulation::<Point2<f64>>::bulk_load(places.clone()).expect("a site can be built");
        let surface = ours();
        let net = surface.net();
        // Euler's formula, and the four corners: the net covers the square.
        assert_eq!(net.triangles(), 2 * net.vertices() - 2 - net.outline().len());
        assert_near(net.area(), (side(n) as f64 / 1000.0).powi(2), 1e-12);
        assert_eq!(plain().num_vertices(), n);
        against("build", n, ours, "spade bulk load", plain);
    }
}
