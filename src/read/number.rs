//! Which number did the person type, to the last digit?
//!
//! Places become whole millionths straight from their digits, never over binary fractions: what was typed is what
//! is kept. A seventh decimal is rounded (half away from zero) and said. Decimal commas are taken where the table's
//! columns are not parted by commas. Thousands marks, `nan` and `inf` are refused, never guessed at; so are feet and
//! inches, but for heights of shots, where they say what they are. What a sheet made of a number is named.

use super::digits::Short;
use crate::units::{LengthUnit, parse_length, parse_number};

/// Values beyond this many units are refused: in millionths they stay exact in every later whole-number test.
pub(super) const MOST: i64 = 9_000_000_000;
pub(super) const MICROS: i64 = 1_000_000;

/// Why a cell is no number: what was expected, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct BadNumber {
    pub expected: &'static str,
    pub help: &'static str,
}

/// A coordinate in whole millionths, and whether it had to be rounded to that.
#[inline]
pub(super) fn micro(text: &str, comma: bool) -> Result<(i64, bool), BadNumber> {
    match Short::of(text.as_bytes(), comma).and_then(Short::micro) {
        Some(value) => Ok((value, false)),
        None => long(text.trim(), comma).unwrap_or_else(|| Err(why(text.trim(), comma))),
    }
}

/// A height in the job's unit.
#[inline]
pub(super) fn height(text: &str, comma: bool) -> Result<f64, BadNumber> {
    match Short::of(text.as_bytes(), comma).and_then(Short::nearest) {
        Some(value) => Ok(value),
        None => parsed(text.trim(), comma),
    }
}

/// A height by `str::parse`.
fn parsed(t: &str, comma: bool) -> Result<f64, BadNumber> {
    let read = if comma && t.contains(',') {
        if t.contains('.') {
            return Err(why(t, comma));
        }
        parse_number(&t.replacen(',', ".", 1))
    } else {
        parse_number(t)
    };
    match read {
        Ok(v) if v.abs() <= MOST as f64 => Ok(v + 0.0),
        Ok(_) => Err(TOO_LARGE),
        Err(_) => Err(why(t, comma)),
    }
}

/// A height that may be in feet and inches (`101-4 1/2`, `101'4"`), and whether it is.
#[inline]
pub(super) fn height_or_feet(text: &str, comma: bool, unit: LengthUnit) -> Result<(f64, bool), BadNumber> {
    match height(text, comma) {
        Ok(up) => Ok((up, false)),
        Err(refused) => feet_inches(text.trim(), unit, refused),
    }
}

/// What is no decimal may be feet and inches.
fn feet_inches(t: &str, unit: LengthUnit, refused: BadNumber) -> Result<(f64, bool), BadNumber> {
    // Inches alone are no height, and neither is a fraction.
    let feet = t.contains(['\'', '\u{2032}', '\u{2019}']) || t.trim_start_matches('-').contains('-');
    if !like_feet_inches(t) || !feet {
        return Err(refused);
    }
    match parse_length(t, unit) {
        Ok(up) => Ok((up.job_units(), true)),
        Err(_) if is_date(t) => Err(refused),
        Err(_) => Err(BadNumber {
            expected: "a decimal number such as 5.333, or feet and inches below 12 such as 5-4",
            help: "write it in decimals of the job's unit, or as feet-inches, 5-4 being 5.3333 ft",
        }),
    }
}

/// Signs for feet and inches beside the plain ones, and for their fractions.
const PRIMES: [char; 4] = ['\u{2032}', '\u{2033}', '\u{2019}', '\u{201d}'];

/// Whether a cell has the marks of feet and inches.
fn like_feet_inches(t: &str) -> bool {
    t.starts_with(|c: char| c.is_ascii_digit() || c == '-')
        && (t.contains(['\'', '"', '/'])
            || t.contains(PRIMES)
            || t.trim_start_matches('-').contains('-') && t.chars().all(|c| c.is_ascii_digit() || "- .".contains(c)))
}

/// Whether a cell is a date, as sheets make of `5-4` or `1/2` what was typed: a month's name, or three parts.
fn is_date(t: &str) -> bool {
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let parts: Vec<&str> = t.split(if t.contains('-') { '-' } else { '/' }).collect();
    let is_month = |p: &&str| p.get(..3).is_some_and(|m| MONTHS.contains(&m.to_lowercase().as_str()));
    let whole = |p: &&str| !p.is_empty() && p.bytes().all(|b| b.is_ascii_digit());
    let months = parts.iter().filter(|p| is_month(p)).count();
    let digits = parts.iter().filter(|p| whole(p)).count();
    (2..=3).contains(&parts.len())
        && months <= 1
        && months + digits == parts.len()
        && digits > 0
        && months + digits / 3 > 0
}

/// Any decimal with or without exponent; `None` where it is not one.
fn long(t: &str, comma: bool) -> Option<Result<(i64, bool), BadNumber>> {
    let (negative, t) = match t.as_bytes().first()? {
        b'-' => (true, &t[1..]),
        b'+' => (false, &t[1..]),
        _ => (false, t),
    };
    let (mantissa, exponent) = t.split_once(['e', 'E']).unwrap_or((t, "0"));
    let (whole, broken) = mantissa.split_once(|c| c == '.' || (comma && c == ',')).unwrap_or((mantissa, ""));
    let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    let unsigned = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
    if !all_digits(whole) || !all_digits(broken) || whole.len() + broken.len() == 0 {
        return None;
    }
    if unsigned.is_empty() || !all_digits(unsigned) {
        return None;
    }
    // An exponent of more than nine digits is as good as endless, either way.
    let limit = if exponent.starts_with('-') { -1_000_000_000 } else { 1_000_000_000 };
    let exponent: i64 = exponent.parse().unwrap_or(limit).clamp(-1_000_000_000, 1_000_000_000);
    // Digits, and how many of them stand before the mark once counted in millionths.
    let digits = whole.bytes().chain(broken.bytes()).skip_while(|&b| b == b'0');
    let leading = whole.bytes().chain(broken.bytes()).take_while(|&b| b == b'0').count();
    let count = whole.len() + broken.len() - leading;
    if count == 0 {
        return Some(Ok((0, false)));
    }
    let before = i64::try_from(whole.len()).ok()? - i64::try_from(leading).ok()? + exponent + 6;
    if before > 16 {
        return Some(Err(TOO_LARGE));
    }
    let (mut value, mut half_up, mut rounded, mut taken) = (0_i64, false, false, 0_i64);
    for b in digits {
        if taken < before {
            value = value * 10 + i64::from(b - b'0');
        } else {
            half_up |= taken == before && b >= b'5';
            rounded |= b != b'0';
        }
        taken += 1;
    }
    for _ in taken..before {
        value *= 10;
    }
    value += i64::from(half_up);
    if value > MOST * MICROS {
        return Some(Err(TOO_LARGE));
    }
    Some(Ok((if negative { -value } else { value }, rounded)))
}

const TOO_LARGE: BadNumber = BadNumber {
    expected: "a number that fits, at most 9,000,000,000 either way",
    help: "look for a slipped decimal mark or exponent",
};

/// What to say of a cell that is no number.
fn why(t: &str, comma: bool) -> BadNumber {
    let lower = t.to_lowercase();
    let bare = lower.trim_start_matches(['+', '-']);
    let numeric = |extra: &str| t.chars().all(|c| c.is_ascii_digit() || extra.contains(c));
    let (expected, help) = if t.is_empty() {
        ("a number such as 101.25", "fill in the cell, or leave the row out")
    } else if ["nan", "inf", "infinity"].contains(&bare) {
        ("a finite number", "shoot or compute the value again, or leave the row out")
    } else if t.starts_with(['#', '=']) {
        ("a number, no formula and no error of one", "mend the formula in the sheet, and export its values")
    } else if is_date(t) {
        (
            "a number such as 101.25",
            "this looks like a date a sheet made of it: format the column as text, and type it anew",
        )
    } else if t.contains('\u{b0}') {
        ("a length, not degrees", "give northing and easting on a plane grid")
    } else if t.contains(|c: char| !c.is_ascii() && c != '\u{a0}') && !t.contains(PRIMES) {
        (
            "a number such as 101.25",
            "one of its signs is not on a plain keyboard, though it may look so or not be seen: type the number anew",
        )
    } else if like_feet_inches(t) {
        (
            "a decimal number such as 5.333",
            "this looks like feet and inches: write it in decimal feet, 5-4 being 5.3333",
        )
    } else if numeric(",.+- ") && t.contains(',') {
        if comma {
            ("one decimal mark", "leave out the thousands mark")
        } else {
            (
                "a number such as 1234.5",
                "leave out the thousands mark; decimal commas need columns parted by semicolons or tabs",
            )
        }
    } else if parse_number(t).is_err_and(|m| m.expected.contains("too large")) {
        return TOO_LARGE;
    } else {
        ("a number such as 101.25", "write digits and one decimal mark only, without a unit")
    };
    BadNumber { expected, help }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn places_are_exact_to_the_last_digit() {
        for (text, want) in [
            ("500.25", (500_250_000, false)),
            ("-0.5", (-500_000, false)),
            ("-0.04", (-40_000, false)),
            ("+7", (7_000_000, false)),
            (".5", (500_000, false)),
            ("5.", (5_000_000, false)),
            ("4500123.456789", (4_500_123_456_789, false)),
            ("9000000000", (9_000_000_000_000_000, false)),
            ("0.1234565", (123_457, true)),
            ("-0.1234565", (-123_457, true)),
            ("0.12345649999", (123_456, true)),
            ("0.9999999", (1_000_000, true)),
            ("0.0000004", (0, true)),
            ("0.5000000000000000000000000000000000000", (500_000, false)),
            ("000000000000000000000001.5", (1_500_000, false)),
            ("1e3", (1_000_000_000, false)),
            ("1.5E-2", (15_000, false)),
            ("12345e-10", (1, true)),
            ("0e999999999999", (0, false)),
            ("1e-999999999999", (0, true)),
            (" 12 ", (12_000_000, false)),
        ] {
            assert_eq!(micro(text, false), Ok(want), "{text}");
        }
        assert_eq!(micro("500,25", true), Ok((500_250_000, false)));
        assert_eq!(micro("5,1e2", true), Ok((510_000_000, false)));
        assert_eq!(height("101,25", true), Ok(101.25));
        assert_eq!(height("-0", false).map(f64::to_bits), Ok(0));
    }

    #[test]
    fn what_is_no_number_is_named() {
        let said = |t: &str, comma| (micro(t, comma).err(), height(t, comma).err());
        for (text, comma, part) in [
            ("nan", false, "shoot or compute"),
            ("-Infinity", false, "shoot or compute"),
            ("inf", true, "shoot or compute"),
            ("", false, "fill in"),
            ("5-4", false, "feet and inches"),
            ("5'4\"", false, "feet and inches"),
            ("100 3/8", false, "feet and inches"),
            ("1,234.5", false, "semicolons"),
            ("1.234,5", true, "leave out the thousands mark"),
            ("1e999", false, "slipped"),
            ("9000000000.1", false, "slipped"),
            ("1e99999999999999999999", false, "slipped"),
            ("12 ft", false, "without a unit"),
            ("5-Apr", false, "looks like a date"),
            ("2024-01-05", false, "looks like a date"),
            ("1/2/2024", false, "looks like a date"),
            ("Apr-24", true, "looks like a date"),
            ("5-4-", false, "feet and inches"),
            ("#REF!", false, "mend the formula"),
            ("=A1+1", false, "mend the formula"),
            ("41\u{b0}24'12\"", false, "plane grid"),
            ("\u{2212}5", false, "plain keyboard"),
            ("110\u{200b}", false, "plain keyboard"),
            ("\u{661}\u{660}", false, "plain keyboard"),
            ("1e", false, "without a unit"),
            ("-", false, "without a unit"),
            (".", false, "without a unit"),
            ("0x10", false, "without a unit"),
            ("1_000", false, "without a unit"),
        ] {
            let (place, up) = said(text, comma);
            for got in [place, up] {
                assert!(got.as_ref().is_some_and(|b| b.help.contains(part)), "{text}: {got:?}");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4000, ..ProptestConfig::default() })]
        #[test]
        fn heights_are_those_of_str_parse_to_the_bit(text in "[+-]?[0-9]{0,17}[.,]?[0-9]{0,17}", comma: bool) {
            prop_assert_eq!(height(&text, comma).map(f64::to_bits), parsed(&text, comma).map(f64::to_bits));
        }

        #[test]
        fn heights_of_few_digits_are_those_of_str_parse_to_the_bit(digits in 0_u64..=1 << 54, behind in 0_usize..18, minus: bool) {
            let mut text = format!("{digits:018}");
            text.insert(18 - behind, '.');
            let text = [if minus { "-" } else { "" }, text.trim_start_matches('0')].concat();
            prop_assert_eq!(height(&text, false).map(f64::to_bits), parsed(&text, false).map(f64::to_bits));
        }

        #[test]
        fn places_read_at_once_are_those_read_digit_by_digit(text in "[+-]?[0-9]{0,11}[.,]?[0-9]{0,9}", comma: bool) {
            prop_assert_eq!(micro(&text, comma), long(&text, comma).unwrap_or_else(|| Err(why(&text, comma))));
        }
    }

    proptest! {
        #[test]
        fn typed_millionths_come_back(value in -9_000_000_000_000_000_i64..=9_000_000_000_000_000, comma: bool) {
            let mark = if comma { ',' } else { '.' };
            let (sign, size) = (if value < 0 { "-" } else { "" }, value.unsigned_abs());
            let text = format!("{sign}{}{mark}{:06}", size / 1_000_000, size % 1_000_000);
            prop_assert_eq!(micro(&text, comma), Ok((value, false)));
            prop_assert_eq!(long(&text, comma), Some(Ok((value, false))));
        }

        #[test]
        fn places_and_heights_agree_to_half_a_millionth(text in "[+-]?[0-9]{1,8}(\\.[0-9]{0,9})?(e-?[0-3])?") {
            match (micro(&text, false), height(&text, false)) {
                (Ok((value, _)), Ok(want)) => {
                    prop_assert!((value as f64 - want * 1e6).abs() <= 0.5 + want.abs() * 1e-9, "{value} {want}");
                }
                (place, up) => prop_assert_eq!(place.err(), up.err()),
            }
        }
    }
}
