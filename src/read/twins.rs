//! Which rows say the same name or the same place as a row before them?
//!
//! By hashing, in one pass; ties by the order of rows: the first is the one held against.

use crate::shots::Shots;

/// The first row with some key, and a later row with it.
pub(super) type Pair = (usize, usize);

/// Rows that share a name.
pub(super) fn name_twins(shots: &Shots) -> Vec<Pair> {
    twins(
        shots.len(),
        |row| shots.names.get(row).as_bytes().chunks(8).fold(0, |h, part| mix_in(h, word(part))),
        |a, b| shots.names.get(a) == shots.names.get(b),
    )
}

/// Rows that share a place and a kind.
pub(super) fn place_twins(shots: &Shots) -> Vec<Pair> {
    let key = |row: usize| (shots.northing[row], shots.easting[row], shots.kind[row]);
    twins(
        shots.len(),
        |row| mix_in(mix_in(0, shots.northing[row].cast_unsigned()), shots.easting[row].cast_unsigned()),
        |a, b| key(a) == key(b),
    )
}

/// All pairs, in order of the later row.
/// Open addressing with linear probing (Knuth, The Art of Computer Programming 3, 6.4). A slot holds half of the hash beside
/// the row, so that other keys are told apart without a look at them.
fn twins(rows: usize, hash: impl Fn(usize) -> u64, same: impl Fn(usize, usize) -> bool) -> Vec<Pair> {
    const EMPTY: u64 = u64::MAX;
    const ROW: u64 = 0xffff_ffff;
    let size = (rows * 2).next_power_of_two().max(2);
    let mut slots = vec![EMPTY; size];
    let mut pairs = Vec::new();
    for row in 0..rows {
        let key = hash(row);
        #[expect(clippy::cast_possible_truncation, reason = "any bits of the hash will do")]
        let mut at = key as usize & (size - 1);
        loop {
            let slot = slots[at];
            if slot == EMPTY {
                // A source is below 4 GiB, and every row takes more than one byte of it.
                slots[at] = (key & !ROW) | row as u64;
                break;
            }
            let first = (slot & ROW) as usize;
            if slot & !ROW == key & !ROW && same(first, row) {
                pairs.push((first, row));
                break;
            }
            at = (at + 1) & (size - 1);
        }
    }
    pairs
}

/// Mixes a word into a hash: multiplication by an odd constant and a shift, as in Steele, Lea and Flood's SplitMix64 (2014).
fn mix_in(hash: u64, word: u64) -> u64 {
    let h = (hash ^ word).wrapping_add(0x9e37_79b9_7f4a_7c15).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    h ^ (h >> 32)
}

/// Up to eight bytes as one word.
fn word(part: &[u8]) -> u64 {
    part.iter().fold(0, |word, &b| (word << 8) | u64::from(b))
}
