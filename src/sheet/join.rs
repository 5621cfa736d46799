//! Which loose pieces of line make one line?
//!
//! Pieces that share an end, to a millionth of a unit, are strung together in the order they come, so that dashes run
//! on and the same pieces always give the same lines. Where three or more meet, the earlier goes on.

use std::collections::BTreeMap;

type Place = (f64, f64);

fn key((a, b): Place) -> (i64, i64) {
    #[expect(clippy::cast_possible_truncation, reason = "saturates; places of a site are far below 2^43 units")]
    let whole = |v: f64| (v * 1e6).round() as i64;
    (whole(a), whole(b))
}

/// Pieces as lines; a closed line has its first point again at its end.
#[must_use]
pub fn join(pieces: &[[Place; 2]]) -> Vec<Vec<Place>> {
    let mut at: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        for &end in piece {
            at.entry(key(end)).or_default().push(i);
        }
    }
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    for start in 0..pieces.len() {
        if std::mem::replace(&mut used[start], true) {
            continue;
        }
        let mut line = pieces[start].to_vec();
        // Onward from its end, then, turned round, from its start.
        for _ in 0..2 {
            loop {
                let end = key(line[line.len() - 1]);
                let Some(&next) = at.get(&end).into_iter().flatten().find(|&&i| !used[i]) else { break };
                used[next] = true;
                let [a, b] = pieces[next];
                line.push(if key(a) == end { b } else { a });
            }
            line.reverse();
        }
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_in_any_order_and_direction_make_one_line() {
        let pieces =
            [[(1.0, 0.0), (2.0, 0.0)], [(4.0, 0.0), (3.0, 0.0)], [(1.0, 0.0), (0.0, 0.0)], [(2.0, 0.0), (3.0, 0.0)]];
        let lines = join(&pieces);
        assert_eq!(lines, [[0.0, 1.0, 2.0, 3.0, 4.0].map(|n| (n, 0.0)).to_vec()]);
    }

    #[test]
    fn a_ring_closes_and_pieces_apart_stay_apart() {
        let ring =
            [[(0.0, 0.0), (1.0, 0.0)], [(1.0, 0.0), (0.0, 1.0)], [(0.0, 1.0), (0.0, 0.0)], [(5.0, 5.0), (6.0, 5.0)]];
        let lines = join(&ring);
        assert_eq!(lines.iter().map(Vec::len).collect::<Vec<_>>(), [4, 2]);
        assert_eq!(lines[0].first(), lines[0].last());
    }
}
