//! Which number is this, where it is written as nearly all are: a sign, digits and a mark?
//!
//! The digits as one whole number; from them the value, exact in millionths or rounded once to the nearest binary fraction.
//! `None` says nothing against a number, only that it is written in another way: `number.rs` has them all.

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
        (t.len() > usize::from(mark.is_some())).then_some(Self { negative, digits, broken })
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
