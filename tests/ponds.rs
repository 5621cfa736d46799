//! Does water stand as high, as wide and as deep as can be worked out on paper, and as another algorithm says?
//!
//! Closed forms to 1e-12 of the volume; on random surfaces every low and level against rising water with union-find, written here from
//! the definition: a place is drained at the least height at which what lies below it hangs together with a way out.

mod common;

use common::{assert_close, shots};
use proptest::prelude::*;
use spadework::drainage::{Outlet, Pond, WaysOut, ponds};
use spadework::shots::{Frame, MICRO, Shots, to_micro};
use spadework::surface::{Cells, Surface};

fn built(places: &[[f64; 3]]) -> Surface {
    let s = shots(places);
    Surface::build(&s, Frame::of(&[&s]), Cells::Nodes).expect("a fixture can be triangulated")
}

fn local(surface: &Surface, east: f64, north: f64) -> [f64; 2] {
    surface.net().frame().local(to_micro(north), to_micro(east))
}

fn outlet(surface: &Surface, east: f64, north: f64) -> Outlet {
    Outlet { name: String::new(), place: local(surface, east, north) }
}

fn close(got: f64, want: f64) {
    assert_close(got, want, 1e-12 * want.abs().max(1.0));
}

fn rounded(v: f64) -> f64 {
    (v * 1e6).round() / 1e6
}

/// A bowl with n corners at height 0, 20 out, and its bottom at -3; the area of its rim. It does not matter where it stands.
fn bowl(n: u32, at: [f64; 2]) -> (Surface, f64) {
    let ring: Vec<[f64; 2]> = (0..n)
        .map(|k| {
            let turn = f64::from(k) * std::f64::consts::TAU / f64::from(n) + 0.3;
            [rounded(20.0 * turn.cos()), rounded(20.0 * turn.sin())]
        })
        .collect();
    let doubled: f64 =
        (0..ring.len()).map(|k| (ring[k], ring[(k + 1) % ring.len()])).map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum();
    let mut places: Vec<[f64; 3]> = ring.iter().map(|p| [at[0] + p[0], at[1] + p[1], 0.0]).collect();
    places.push([at[0], at[1], -3.0]);
    (built(&places), doubled / 2.0)
}

#[test]
fn a_bowl_is_a_pyramid_and_an_outlet_part_way_up_leaves_a_smaller_one() {
    for at in [[0.0, 0.0], [600_000.0, 4_500_000.0]] {
        for n in [3, 4, 5, 8, 31] {
            let (surface, area) = bowl(n, at);
            let full = ponds(&surface, &WaysOut::default()).expect("the edge is open");
            assert_eq!(full.len(), 1);
            close(full[0].level, 0.0);
            close(full[0].depth, 3.0);
            close(full[0].shape.area, area);
            close(full[0].shape.volume, area * 3.0 / 3.0);
            assert_eq!(full[0].low_at, local(&surface, at[0], at[1]));
            // On a face: a third of the way up the middle of one side.
            let turn: f64 = 0.3 + std::f64::consts::PI / f64::from(n);
            let reach = 20.0 * (std::f64::consts::PI / f64::from(n)).cos() / 3.0;
            let (e, north) = (at[0] + rounded(reach * turn.cos()), at[1] + rounded(reach * turn.sin()));
            let ways = WaysOut { outlets: vec![outlet(&surface, e, north)], ..WaysOut::default() };
            let part = ponds(&surface, &ways).expect("can leave");
            let part_of_height = (part[0].level + 3.0) / 3.0;
            close(part[0].level, surface.height_at(to_micro(north), to_micro(e)).expect("on it"));
            assert_close(part_of_height, 1.0 / 3.0, 1e-6);
            close(part[0].shape.area, area * part_of_height.powi(2));
            close(part[0].shape.volume, area * part_of_height.powi(3));
            assert_eq!(part[0].spill_at, ways.outlets[0].place);
            // At the very bottom nothing stands; with walls and no way out nothing can be said.
            let bottom = WaysOut { outlets: vec![outlet(&surface, at[0], at[1])], walled: true, ..WaysOut::default() };
            assert_eq!(ponds(&surface, &bottom), Some(vec![]));
            assert_eq!(ponds(&surface, &WaysOut { walled: true, ..WaysOut::default() }), None);
        }
    }
}

#[test]
fn an_outlet_on_a_shot_and_one_on_a_side() {
    // A square bowl with a shot half-way down one rib.
    let places =
        [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 20.0, 0.0], [0.0, 20.0, 0.0], [10.0, 10.0, -4.0], [5.0, 5.0, -2.0]];
    let surface = built(&places);
    for (at, level) in [([5.0, 5.0], -2.0), ([15.0, 15.0], -2.0), ([18.0, 2.0], -0.8)] {
        let ways = WaysOut { outlets: vec![outlet(&surface, at[0], at[1])], ..WaysOut::default() };
        let found = ponds(&surface, &ways).expect("can leave");
        assert_eq!(found.len(), 1, "{at:?}");
        close(found[0].level, level);
        let part: f64 = (level + 4.0) / 4.0;
        close(found[0].shape.area, 400.0 * part * part);
        close(found[0].shape.volume, 400.0 * 4.0 / 3.0 * part.powi(3));
    }
}

/// Heights along east, the same at every northing from 0 to 30, walls all round.
fn trough(profile: &[(f64, f64)]) -> Surface {
    let mut places = Vec::new();
    for north in [0.0, 13.0, 30.0] {
        places.extend(profile.iter().map(|&(e, z)| [e, north, z]));
    }
    built(&places)
}

/// Open along the east end only.
fn east_end(surface: &Surface, east: f64) -> WaysOut {
    let line = vec![local(surface, east, 0.0), local(surface, east, 30.0)];
    WaysOut { lines: vec![line], walled: true, ..WaysOut::default() }
}

fn sizes(p: &Pond) -> [f64; 4] {
    [p.level, p.depth, p.shape.area, p.shape.volume]
}

fn all_close(got: [f64; 4], want: [f64; 4]) {
    for (g, w) in got.into_iter().zip(want) {
        close(g, w);
    }
}

#[test]
fn a_flat_pan_two_lows_that_merge_a_cascade_and_a_tie() {
    let pan = trough(&[(0.0, 2.0), (10.0, 0.0), (25.0, 0.0), (35.0, 2.0)]);
    let found = ponds(&pan, &east_end(&pan, 35.0)).expect("can leave");
    assert_eq!(found.len(), 1);
    all_close(sizes(&found[0]), [2.0, 2.0, 35.0 * 30.0, (10.0 + 30.0 + 10.0) * 30.0]);

    let merging = trough(&[(0.0, 5.0), (10.0, 0.0), (20.0, 2.0), (30.0, 1.0), (40.0, 5.0)]);
    let found = ponds(&merging, &east_end(&merging, 40.0)).expect("can leave");
    assert_eq!(found.iter().map(|p| p.inside).collect::<Vec<_>>(), [None, Some(0)]);
    all_close(sizes(&found[0]), [5.0, 5.0, 1200.0, (25.0 + 40.0 + 35.0 + 20.0) * 30.0]);
    all_close(sizes(&found[1]), [2.0, 1.0, 12.5 * 30.0, (5.0 + 1.25) * 30.0]);

    let cascade = trough(&[(0.0, 5.0), (10.0, 3.0), (20.0, 4.0), (30.0, 0.0), (40.0, 2.0)]);
    let mut found = ponds(&cascade, &east_end(&cascade, 40.0)).expect("can leave");
    found.sort_by(|a, b| b.level.total_cmp(&a.level));
    assert!(found.iter().all(|p| p.inside.is_none()) && found.len() == 2);
    all_close(sizes(&found[0]), [4.0, 1.0, 15.0 * 30.0, (2.5 + 5.0) * 30.0]);
    all_close(sizes(&found[1]), [2.0, 2.0, 15.0 * 30.0, (5.0 + 10.0) * 30.0]);

    let tied = trough(&[(0.0, 5.0), (10.0, 0.0), (20.0, 2.0), (30.0, 0.0), (40.0, 5.0)]);
    let found = ponds(&tied, &east_end(&tied, 40.0)).expect("can leave");
    assert_eq!(found.iter().map(|p| p.inside).collect::<Vec<_>>(), [None, Some(0)]);
    all_close(sizes(&found[1]), [2.0, 2.0, 14.0 * 30.0, (10.0 + 4.0) * 30.0]);

    // Water leaves along the whole of a trench that crosses the trough.
    let trench =
        WaysOut { lines: vec![vec![local(&merging, 15.0, -1.0), local(&merging, 15.0, 31.0)]], ..WaysOut::default() };
    let found = ponds(&merging, &WaysOut { walled: true, ..trench }).expect("can leave");
    let mut levels: Vec<f64> = found.iter().map(|p| p.level).collect();
    levels.sort_by(f64::total_cmp);
    assert_eq!(levels, [1.0, 2.0]);
}

#[test]
fn an_outline_is_where_the_water_ends_and_encloses_its_area() {
    let (surface, area) = bowl(7, [100.0, 50.0]);
    let found = ponds(&surface, &WaysOut::default()).expect("the edge is open");
    let [ring] = found[0].shape.rings.as_slice() else { panic!("one ring") };
    assert_eq!(ring.first(), ring.last());
    let doubled: f64 = ring.windows(2).map(|w| w[0][0] * w[1][1] - w[0][1] * w[1][0]).sum();
    assert_close(doubled / 2.0 / (MICRO * MICRO), area, 1e-9 * area);
    // An island: a bowl with a hill in it has two rings.
    let mut places = Vec::new();
    for (r, z) in [(30.0, 5.0), (20.0, 0.0), (8.0, 0.0), (4.0, 9.0)] {
        places.extend((0..12).map(|k| {
            let turn = f64::from(k) * std::f64::consts::TAU / 12.0 + r * 0.01;
            [rounded(r * turn.cos()), rounded(r * turn.sin()), z]
        }));
    }
    places.push([0.0, 0.0, 9.0]);
    let found = ponds(&built(&places), &WaysOut::default()).expect("the edge is open");
    assert_eq!((found.len(), found[0].shape.rings.len()), (1, 2));
}

/// Rising water: vertices and outlets in order of height, joined to what is lower beside them; what is cut off from every way out is
/// drained at the height at which it is first joined to one. Lows with their levels, sorted.
fn rising(surface: &Surface, outlets: &[Outlet], walled: bool) -> Vec<(u64, u64)> {
    let net = surface.net();
    let count = net.vertices();
    let mut height: Vec<f64> = (0..count).map(|v| surface.height(u32::try_from(v).expect("few"))).collect();
    let mut beside: Vec<Vec<usize>> = vec![Vec::new(); count];
    for t in 0..u32::try_from(net.triangles()).expect("few") {
        let c = net.corners(t).map(|v| v as usize);
        for k in 0..3 {
            beside[c[k]].push(c[(k + 1) % 3]);
            beside[c[(k + 1) % 3]].push(c[k]);
        }
    }
    let mut is_way = vec![false; count];
    if !walled {
        net.outline().into_iter().for_each(|v| is_way[v as usize] = true);
    }
    for o in outlets {
        let spadework::surface::Position::In(t) = net.locate(o.place, None) else { continue };
        let own = height.len();
        height.push(surface.height_in(t, o.place));
        is_way.push(true);
        beside.push(net.corners(t).map(|v| v as usize).to_vec());
        for v in net.corners(t) {
            beside[v as usize].push(own);
        }
    }
    let mut order: Vec<usize> = (0..height.len()).collect();
    order.sort_by(|&a, &b| height[a].total_cmp(&height[b]));
    let mut group: Vec<usize> = (0..height.len()).collect();
    let mut level = vec![f64::NAN; height.len()];
    let mut risen = vec![false; height.len()];
    let mut drained = vec![false; height.len()];
    for &v in &order {
        risen[v] = true;
        let mut joined = vec![group[v]];
        joined.extend(beside[v].iter().filter(|&&u| risen[u]).map(|&u| group[u]));
        joined.sort_unstable();
        joined.dedup();
        let members: Vec<usize> = (0..height.len()).filter(|&u| risen[u] && joined.contains(&group[u])).collect();
        let out = members.iter().any(|&u| is_way[u] || drained[u]);
        for &u in &members {
            group[u] = joined[0];
            if out && !drained[u] {
                drained[u] = true;
                level[u] = height[v];
            }
        }
    }
    // Wet vertices that hang together are one pond, told by its lowest vertex.
    let wet = |u: usize| u < count && level[u] - height[u] > 1e-9;
    let mut seen = vec![false; count];
    let mut out = Vec::new();
    for v in (0..count).filter(|&v| wet(v)) {
        if seen[v] {
            continue;
        }
        let mut stack = vec![v];
        seen[v] = true;
        let mut low = height[v];
        while let Some(u) = stack.pop() {
            low = low.min(height[u]);
            for &w in beside[u].iter().filter(|&&w| wet(w)) {
                if !std::mem::replace(&mut seen[w], true) {
                    stack.push(w);
                }
            }
        }
        out.push((low.to_bits(), level[v].to_bits()));
    }
    out.sort_unstable();
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn every_low_and_level_is_that_of_rising_water(
        rows in proptest::collection::btree_map((0_i32..24, 0_i32..24), 0_i32..12, 8..90),
        ways in proptest::collection::vec((10_i32..230, 10_i32..230), 0..4),
        walled in any::<bool>(),
    ) {
        let places: Vec<[f64; 3]> =
            rows.iter().map(|(&(e, n), &z)| [f64::from(e) + f64::from(n % 3) * 0.25, f64::from(n), f64::from(z) / 4.0]).collect();
        let s: Shots = shots(&places);
        let Ok(surface) = Surface::build(&s, Frame::of(&[&s]), Cells::Nodes) else { return Ok(()) };
        let outlets: Vec<Outlet> =
            ways.iter().map(|&(e, n)| outlet(&surface, f64::from(e) / 10.0 + 0.0123, f64::from(n) / 10.0 + 0.0371)).collect();
        let on = outlets.iter().filter(|o| surface.height_local(o.place).is_some()).count();
        prop_assume!(!walled || on > 0);
        let found = ponds(&surface, &WaysOut { outlets: outlets.clone(), lines: vec![], walled }).expect("can leave");
        let mut got: Vec<(u64, u64)> = found
            .iter()
            .filter(|p| p.inside.is_none())
            .map(|p| (surface.height_local(p.low_at).expect("on it").to_bits(), p.level.to_bits()))
            .collect();
        got.sort_unstable();
        prop_assert_eq!(got, rising(&surface, &outlets, walled));
        for p in &found {
            prop_assert!(p.shape.area > 0.0 && p.shape.volume > 0.0 && p.depth > 0.0);
            prop_assert!(p.shape.volume <= p.shape.area * p.depth * (1.0 + 1e-12));
            // A nested low is shallower than what it is nested in, and smaller.
            if let Some(k) = p.inside {
                prop_assert!(p.level <= found[k].level && p.shape.volume <= found[k].shape.volume * (1.0 + 1e-12));
            }
        }
    }
}

/// Pits of a raster filled to their spill, by priority flood over four or eight neighbours: what the net does, on squares.
fn filled(z: &[Vec<f64>], eight: bool) -> Vec<Vec<f64>> {
    let (rows, columns) = (z.len(), z[0].len());
    let mut level = vec![vec![f64::INFINITY; columns]; rows];
    let mut open: Vec<(f64, usize, usize)> = Vec::new();
    for r in 0..rows {
        for c in (0..columns).filter(|&c| r == 0 || c == 0 || r + 1 == rows || c + 1 == columns) {
            level[r][c] = z[r][c];
            open.push((z[r][c], r, c));
        }
    }
    let mut heap: std::collections::BinaryHeap<std::cmp::Reverse<(u64, usize, usize)>> =
        std::collections::BinaryHeap::new();
    // Heights here are not below 0, so their bits are in their order.
    open.iter().for_each(|&(h, r, c)| heap.push(std::cmp::Reverse((h.to_bits(), r, c))));
    while let Some(std::cmp::Reverse((bits, r, c))) = heap.pop() {
        let here = f64::from_bits(bits);
        if here > level[r][c] {
            continue;
        }
        for (dr, dc) in [(0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)]
            .into_iter()
            .take(if eight { 8 } else { 4 })
        {
            let (Some(i), Some(j)) = (r.checked_add_signed(dr), c.checked_add_signed(dc)) else { continue };
            if i < rows && j < columns && here.max(z[i][j]) < level[i][j] {
                level[i][j] = here.max(z[i][j]);
                heap.push(std::cmp::Reverse((level[i][j].to_bits(), i, j)));
            }
        }
    }
    level
}

/// Source: priority flood of Barnes, Lehman and Mulla 2014 (from memory); the two grids and their results are derived. On the raster
/// twin, which is then held against the net.
#[test]
fn two_grids_with_a_pit() {
    let grid = |corner: f64| {
        let rows = [
            [9.0, 9.0, 9.0, 9.0, 9.0],
            [9.0, 4.0, 3.0, 5.0, 9.0],
            [9.0, 3.0, 1.0, 3.0, 9.0],
            [9.0, 5.0, 3.0, 6.0, 9.0],
            [9.0, 9.0, 7.0, 9.0, corner],
        ];
        rows.map(|r| r.to_vec()).to_vec()
    };
    for (corner, eight, level, total) in
        [(9.0, false, 7.0, 30.0), (9.0, true, 7.0, 30.0), (2.0, false, 7.0, 30.0), (2.0, true, 6.0, 21.0)]
    {
        let z = grid(corner);
        let full = filled(&z, eight);
        for (row, own) in full[1..4].iter().zip(&z[1..4]) {
            assert!(row[1..4].iter().all(|&v| v == level), "{full:?} of {own:?}");
        }
        let depth: f64 = full.iter().flatten().zip(z.iter().flatten()).map(|(f, z)| f - z).sum();
        assert_close(depth, total, 1e-12);
        assert_eq!(filled(&full, eight), full, "filling twice changes nothing");
        assert!(full.iter().flatten().zip(z.iter().flatten()).all(|(f, z)| f >= z), "never below the ground");
    }
}

#[test]
fn on_random_surfaces_the_water_is_that_of_a_fine_raster() {
    let mut state = 0x1234_5678_9abc_def1_u64;
    let mut roll = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for _ in 0..6 {
        let mut places: Vec<[f64; 3]> =
            vec![[0.0, 0.0, 9.0], [100.0, 0.0, 8.0], [100.0, 100.0, 9.5], [0.0, 100.0, 8.5]];
        places.extend((0..60).map(|_| [rounded(roll() * 100.0), rounded(roll() * 100.0), 3.0 + 6.0 * roll()]));
        let surface = built(&places);
        let found = ponds(&surface, &WaysOut::default()).expect("the edge is open");
        let exact: f64 = found.iter().filter(|p| p.inside.is_none()).map(|p| p.shape.volume).sum();
        let cells = 500;
        let step = 100.0 / f64::from(cells);
        // At the nodes, the edge of the survey among them: its own height decides what it holds.
        let z: Vec<Vec<f64>> = (0..=cells)
            .map(|r| {
                (0..=cells)
                    .map(|c| surface.height_beside(local(&surface, f64::from(c) * step, f64::from(r) * step)))
                    .collect()
            })
            .collect();
        let full = filled(&z, true);
        let raster: f64 = full.iter().flatten().zip(z.iter().flatten()).map(|(f, z)| (f - z) * step * step).sum();
        assert!(exact > 10.0 && (raster / exact - 1.0).abs() < 0.02, "{raster} against {exact}");
    }
}
