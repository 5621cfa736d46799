//! How long until cut and fill are known? Beside it: one pass over both nets, which gives their difference only.

mod common;

use common::{against, assert_near, one_pass, side, sizes, surfaces};
use spadework::par::silent;
use spadework::volume::overlay;

fn main() {
    for n in sizes() {
        let (before, after) = surfaces(n);
        let ours = || overlay(&before, &after, None, &silent);
        let plain = || one_pass(&before).0 - one_pass(&after).0;
        let total = ours();
        let area = (side(n) as f64 / 1000.0).powi(2);
        assert_near(total.area, area, 1e-12);
        assert_near((total.cut - total.fill) / area, plain() / area, 1e-11);
        assert!(total.cut > 0.0 && total.fill > 0.0 && total.unclosed < 1e-9 * area);
        against("volume", n, ours, "one pass over both", plain);
    }
}
