//! Pits with sloped sides, as a pair of surfaces.
//!
//! V = L W d + (L + W) z d^2 + 4/3 z^2 d^3 for a bottom L by W, depth d, sides that run z for each rise of one; the
//! prismoidal rule gives exactly that.

use crate::common::{assert_close, given_pair, volumes};
use spadework::units::{BankVolume, LengthUnit};
use spadework::volume::Overlay;

/// Level ground at 100 over the rim, and the pit in it: bottom two triangles, each side two.
fn pit(length: f64, width: f64, depth: f64, z: f64) -> Overlay {
    let run = z * depth;
    let (l, w) = (length + run, width + run);
    let rim = [[-run, -run, 100.0], [l, -run, 100.0], [l, w, 100.0], [-run, w, 100.0]];
    let low = 100.0 - depth;
    let bottom = [[0.0, 0.0, low], [length, 0.0, low], [length, width, low], [0.0, width, low]];
    let corners: Vec<[f64; 3]> = rim.into_iter().chain(bottom).collect();
    let mut triangles = vec![[4, 5, 6], [4, 6, 7]];
    for k in 0..4 {
        let next = (k + 1) % 4;
        triangles.extend([[k, next, next + 4], [k, next + 4, k + 4]]);
    }
    let (before, after) = given_pair((&rim, &[[0, 1, 2], [0, 2, 3]]), (&corners, &triangles));
    let v = volumes(&before, &after);
    assert_close(v.fill, 0.0, 0.0);
    assert_close(v.area, (length + 2.0 * run) * (width + 2.0 * run), 1e-9);
    v
}

/// Source: derived. Cubic feet, cubic yards, and what the usual shortcuts would give: end areas (too much), a frustum
/// of similar ends (too little unless the bottom is square), walls taken as upright (far too little).
#[test]
fn three_pits() {
    for (l, w, d, z, cubic_feet, yards, end_area, frustum, upright) in [
        (16.0, 12.0, 1.0, 1.0, 221.333, 8.1975, 222.0, 221.321, 192.0),
        (20.0, 10.0, 2.0, 1.5, 604.000, 22.3704, 616.0, 602.963, 400.0),
        (10.0, 10.0, 3.0, 1.0, 516.000, 19.1111, 534.0, 516.000, 300.0),
    ] {
        let cut = pit(l, w, d, z).cut;
        assert_close(cut, cubic_feet, 0.0005);
        assert_close(BankVolume::cubic_job_units(cut).spoken(LengthUnit::Foot), yards, 0.00005);
        assert_close(cut, l * w * d + (l + w) * z * d * d + 4.0 / 3.0 * z * z * d * d * d, 1e-9);
        assert!(upright < cut && cut < end_area && cut > frustum - 0.0005, "{cut} against the shortcuts");
    }
}

/// Source: USDA NRCS, Agriculture Handbook 590, Ponds, section on excavated ponds (from memory: the title page was
/// seen, the example was not): depth 12, bottom 40 by 100, sides 2 to 1: 48,768 / 6 x 12 = 97,536 ft3 = 3,612.4 yd3.
#[test]
fn excavated_pond() {
    let cut = pit(100.0, 40.0, 12.0, 2.0).cut;
    assert_close(cut, 97_536.0, 0.5);
    assert_close(BankVolume::cubic_job_units(cut).spoken(LengthUnit::Foot), 3612.4, 0.05);
}
