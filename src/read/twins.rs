//! Which rows say the same name or the same place as a row before them?
//!
//! By hashing; ties by the order of rows: the first is the one held against. Rows are dealt out by their hashes into parts so
//! small that the table of one part stays in the processor's nearest memory (Shatdal, Kant and Naughton, Cache conscious
//! algorithms for relational query processing, 1994).

use crate::shots::Shots;

/// The first row with some key, and a later row with it.
pub(super) type Pair = (usize, usize);

/// Rows that share a name.
pub(super) fn name_twins(shots: &Shots) -> Vec<Pair> {
    if counted(shots) {
        return Vec::new();
    }
    twins(
        shots.len(),
        |row| shots.names.get(row).as_bytes().chunks(8).fold(0, |h, part| mix_in(h, word(part))),
        |a, b| shots.names.get(a) == shots.names.get(b),
    )
}

/// Whether each name is longer than the one before, or as long and behind it by its bytes, as numbers in their order are: then
/// there are no two alike.
fn counted(shots: &Shots) -> bool {
    let mut before = (0, "");
    (0..shots.len()).all(|row| {
        let name = shots.names.get(row);
        let behind = before < (name.len(), name);
        before = (name.len(), name);
        behind
    })
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

/// Rows of one part, about.
const PART: usize = 1024;
/// The lower half of a slot is the row, the upper one half of its hash.
const ROW: u64 = 0xffff_ffff;

/// All pairs, in order of the later row.
fn twins(rows: usize, hash: impl Fn(usize) -> u64, same: impl Fn(usize, usize) -> bool) -> Vec<Pair> {
    let parts = rows.div_ceil(PART).next_power_of_two();
    // The lowest bits, which the upper half does not hold.
    #[expect(clippy::cast_possible_truncation, reason = "any bits of the hash will do")]
    let part = |key: u64| key as usize & (parts - 1);
    let mut ends = vec![0_u32; parts + 1];
    for row in 0..rows {
        ends[part(hash(row)) + 1] += 1;
    }
    for k in 0..parts {
        ends[k + 1] += ends[k];
    }
    let mut dealt = vec![0_u64; rows];
    for row in 0..rows {
        let key = hash(row);
        let end = &mut ends[part(key)];
        // A source is below 4 GiB, and every row takes more than one byte of it.
        dealt[*end as usize] = (key & !ROW) | row as u64;
        *end += 1;
    }
    let (mut pairs, mut slots, mut begin) = (Vec::new(), Vec::new(), 0);
    for &end in &ends[..parts] {
        let end = end as usize;
        within(&dealt[begin..end], &mut slots, &same, &mut pairs);
        begin = end;
    }
    pairs.sort_unstable_by_key(|&(_, later)| later);
    pairs
}

/// The pairs among some rows. Open addressing with linear probing (Knuth, The Art of Computer Programming 3, 6.4): other keys are
/// told apart by the half of the hash, without a look at them.
fn within(dealt: &[u64], slots: &mut Vec<u64>, same: impl Fn(usize, usize) -> bool, pairs: &mut Vec<Pair>) {
    const EMPTY: u64 = u64::MAX;
    let size = (dealt.len() * 2).next_power_of_two();
    slots.clear();
    slots.resize(size, EMPTY);
    for &mine in dealt {
        let (key, row) = (mine >> 32, (mine & ROW) as usize);
        #[expect(clippy::cast_possible_truncation, reason = "half of the hash")]
        let mut at = key as usize & (size - 1);
        loop {
            let slot = slots[at];
            if slot == EMPTY {
                slots[at] = mine;
                break;
            }
            let first = (slot & ROW) as usize;
            if slot >> 32 == key && same(first, row) {
                pairs.push((first, row));
                break;
            }
            at = (at + 1) & (size - 1);
        }
    }
}

/// Mixes a word into a hash: multiplied by the constant of Steele, Lea and Flood's SplitMix64 (2014), both halves of the product
/// put together, so that every bit of the word reaches every bit of the hash.
#[inline]
fn mix_in(hash: u64, word: u64) -> u64 {
    let product = u128::from((hash ^ word).wrapping_add(0x9e37_79b9_7f4a_7c15)) * 0xbf58_476d_1ce4_e5b9;
    #[expect(clippy::cast_possible_truncation, reason = "the halves")]
    let (low, high) = (product as u64, (product >> 64) as u64);
    low ^ high
}

/// Up to eight bytes as one word; shorter ones by reads that lap over.
fn word(part: &[u8]) -> u64 {
    if let Some(eight) = part.first_chunk() {
        return u64::from_le_bytes(*eight);
    }
    if let (Some(low), Some(high)) = (part.first_chunk(), part.last_chunk()) {
        return u64::from(u32::from_le_bytes(*low)) | u64::from(u32::from_le_bytes(*high)) << 32;
    }
    part.iter().fold(0, |word, &b| (word << 8) | u64::from(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::HashMap;

    /// Every later row of a key with the first one, by a map.
    fn plain(keys: &[u64]) -> Vec<Pair> {
        let mut first = HashMap::new();
        let pair = |(row, key)| Some((*first.entry(key).or_insert(row), row)).filter(|(first, row)| first != row);
        keys.iter().enumerate().filter_map(pair).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
        #[test]
        fn twins_are_those_of_a_map(rows in 0_usize..20_000, keys in 1_u64..40_000, seed: u64) {
            let keys: Vec<u64> = (0..rows as u64).map(|row| mix_in(seed, row) % keys).collect();
            let found = twins(rows, |row| mix_in(0, keys[row]), |a, b| keys[a] == keys[b]);
            prop_assert_eq!(found, plain(&keys));
        }

        #[test]
        fn names_twice_are_found_in_any_order(names in proptest::collection::vec("[ab]{0,2}[0-9]{1,2}", 0..60), sorted: bool) {
            let mut names = names;
            if sorted {
                names.sort_by_key(|name| (name.len(), name.clone()));
            }
            let mut shots = Shots::default();
            names.iter().for_each(|name| shots.push(name, 0, 0, 0.0, crate::shots::Kind::Ground));
            let keys: Vec<u64> = names.iter().map(|name| word(name.as_bytes()) ^ (name.len() as u64) << 60).collect();
            prop_assert_eq!(name_twins(&shots), plain(&keys));
            let digits: Vec<String> = (0..names.len()).map(|k| k.to_string()).collect();
            let mut ordered = Shots::default();
            digits.iter().for_each(|name| ordered.push(name, 0, 0, 0.0, crate::shots::Kind::Ground));
            prop_assert!(counted(&ordered));
        }

        #[test]
        fn alike_hashes_are_no_twins(keys in proptest::collection::vec(0_u64..100, 0..200)) {
            prop_assert_eq!(twins(keys.len(), |_| u64::MAX, |a, b| keys[a] == keys[b]), plain(&keys));
            prop_assert_eq!(twins(keys.len(), |row| keys[row] % 7, |a, b| keys[a] == keys[b]), plain(&keys));
        }
    }
}
