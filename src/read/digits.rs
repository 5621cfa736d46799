//! Which number is this, where it is written as nearly all are: a sign, digits and a mark?
//!
//! The digits as one whole number, eight bytes at a time; from them the value, exact in millionths or rounded once to the nearest
//! binary fraction. `None` says nothing against a number, only that it is written in another way: `number.rs` has them all.

use super::number::{MICROS, MOST};

/// The usual number: a sign, and up to 17 digits with a mark somewhere among them or none.
#[derive(Clone, Copy)]
pub(super) struct Short {
    negative: bool,
    /// All digits, without the mark.
    digits: u64,
    /// How many of them stand behind the mark.
    broken: usize,
}

impl Short {
    #[inline]
    pub fn of(t: &[u8], comma: bool) -> Option<Self> {
        let (negative, t) = match t.split_first()? {
            (b'-', rest) => (true, rest),
            (b'+', rest) => (false, rest),
            _ => (false, t),
        };
        let (digits, broken) = Self::at_once(t, comma).or_else(|| Self::by_digit(t, comma))?;
        Some(Self { negative, digits, broken })
    }

    /// One to seven digits, a mark, and one to eight digits, four bytes in all or more: eight bytes at a time (Lemire, Number
    /// parsing at a gigabyte per second, 2021), so that no branch depends on how many there are. `None` for all else.
    #[inline]
    fn at_once(t: &[u8], comma: bool) -> Option<(u64, usize)> {
        const ONES: u64 = u64::MAX / 0xff;
        const ZEROS: u64 = ONES * b'0' as u64;
        const TENS: [u64; 9] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];
        // The first eight bytes and the last eight, the first byte of each lowest; a shorter text ends in both.
        let (first, last) = if let (Some(first), Some(last)) = (t.first_chunk(), t.last_chunk()) {
            (u64::from_le_bytes(*first), u64::from_le_bytes(*last))
        } else {
            let (first, last) = (u32::from_le_bytes(*t.first_chunk()?), u32::from_le_bytes(*t.last_chunk()?));
            let word = u64::from(first) | u64::from(last) << (8 * (t.len() - 4));
            (word, word << (8 * (8 - t.len())))
        };
        // The lowest bit set is right, as in a subtraction by hand: it borrows upwards only.
        let find = |mark: u8| {
            let apart = first ^ (ONES * u64::from(mark));
            apart.wrapping_sub(ONES) & !apart & (ONES << 7)
        };
        let mut mark = find(b'.');
        if comma && mark == 0 {
            mark = find(b',');
        }
        let whole = (mark.trailing_zeros() / 8) as usize;
        let broken = t.len() - 1 - whole.min(t.len() - 1);
        if whole == 0 || whole > 7 || broken == 0 || broken > 8 {
            return None;
        }
        let before = (first ^ ZEROS) << (8 * (8 - whole));
        let behind = (last ^ ZEROS) & (u64::MAX << (8 * (8 - broken)));
        let other = |digits: u64| digits | digits.wrapping_add(ONES * (0x80 - 10));
        if (other(before) | other(behind)) & (ONES << 7) != 0 {
            return None;
        }
        Some((eight_digits(before) * TENS[broken] + eight_digits(behind), broken))
    }

    /// Up to 17 bytes, one after the other.
    fn by_digit(t: &[u8], comma: bool) -> Option<(u64, usize)> {
        if t.len() > 17 {
            return None;
        }
        let (mut digits, mut mark) = (0, None);
        for (k, &b) in t.iter().enumerate() {
            let digit = b.wrapping_sub(b'0');
            if digit < 10 {
                digits = digits * 10 + u64::from(digit);
            } else if mark.is_none() && (b == b'.' || comma && b == b',') {
                mark = Some(k);
            } else {
                return None;
            }
        }
        let broken = mark.map_or(0, |k| t.len() - 1 - k);
        (t.len() > usize::from(mark.is_some())).then_some((digits, broken))
    }

    /// In whole millionths, where it has no more than six decimals and is not too large.
    #[inline]
    pub fn micro(self) -> Option<i64> {
        const SCALE: [i64; 7] = [1_000_000, 100_000, 10_000, 1_000, 100, 10, 1];
        let scale = *SCALE.get(self.broken)?;
        let value = i64::try_from(self.digits).ok()?.checked_mul(scale).filter(|v| *v <= MOST * MICROS)?;
        Some(if self.negative { -value } else { value })
    }

    /// The nearest binary fraction: digits and power of ten are whole numbers an f64 holds, so that the one division rounds once
    /// (Clinger, How to read floating point numbers accurately, 1990). `None` beyond such numbers, or where it is too large.
    #[inline]
    pub fn nearest(self) -> Option<f64> {
        const TENS: [f64; 18] =
            [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17];
        if self.digits > 1 << f64::MANTISSA_DIGITS {
            return None;
        }
        let value = self.digits as f64 / TENS.get(self.broken)?;
        // Adding zero makes -0 and 0 the same height.
        (value <= MOST as f64).then_some(if self.negative { -value } else { value } + 0.0)
    }
}

/// Eight digits, the first in the lowest byte, added up by twos, fours and all (the same paper).
#[inline]
fn eight_digits(digits: u64) -> u64 {
    const TWO: u64 = 0x0000_00ff_0000_00ff;
    let twos = digits * 10 + (digits >> 8);
    let high = (twos & TWO).wrapping_mul(100 + (1_000_000 << 32));
    let low = (twos >> 16 & TWO).wrapping_mul(1 + (10_000 << 32));
    high.wrapping_add(low) >> 32
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4000, ..ProptestConfig::default() })]
        #[test]
        fn all_bytes_at_once_say_the_same_as_one_by_one(text in "[0-9]{0,8}[.,][0-9]{0,9}|([0-9]{0,8}[.,/:é]?){1,3}|[ -~]{0,17}", comma: bool) {
            let t = text.as_bytes();
            let at = text.find(['.', ',']).unwrap_or(0);
            let usual = t.len() >= 4 && (1..=7).contains(&at) && (1..=8).contains(&(t.len() - 1 - at));
            let by_digit = Short::by_digit(t, comma).filter(|_| usual);
            prop_assert_eq!(Short::at_once(t, comma), by_digit);
        }
    }
}
