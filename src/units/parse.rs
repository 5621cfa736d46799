//! What did the person type? Strict: anything left over is refused, nothing is guessed.
//!
//! Lengths: `2 3/8 in`, `9 3/8"`, `0.51 ft`, `60 mm`, `5-4` and `5'4"` (feet-inches), `1' 4-3/8"`, `4⅜ in`.
//! Slopes: `2 %`, `1:48` (one in 48), `1/4 in/ft`.

use super::{Length, LengthUnit, Slope};
use std::fmt;

/// Why a text is not what was wanted. Reads as a sentence with a way out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    /// What was found, as typed.
    pub found: String,
    /// What was expected.
    pub expected: String,
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "found `{}`; expected {}", self.found, self.expected)
    }
}

/// A plain decimal number: optional sign, digits, optional point and exponent. `nan`, `inf` and what overflows are refused.
///
/// # Errors
/// Anything else, with what was expected.
pub fn parse_number(text: &str) -> Result<f64, Misread> {
    let bad = |expected: &str| Misread { found: text.to_owned(), expected: expected.to_owned() };
    let t = text.trim();
    let plain = !t.is_empty() && t.chars().all(|c| matches!(c, '0'..='9' | '+' | '-' | '.' | 'e' | 'E'));
    match t.parse::<f64>() {
        Ok(v) if plain && v.is_finite() => Ok(v),
        Ok(v) if plain && v.is_infinite() => Err(bad("a number that fits (this one is too large)")),
        Ok(_) => Err(bad("a finite number")),
        Err(_) => Err(bad("a number such as 101.25")),
    }
}

const WANTED: &str = "a length with its unit, such as `2 3/8 in`, `0.51 ft`, `60 mm`, `5-4` or `5'4\"`";

/// A length with its unit (a bare number is refused), in the job's unit.
///
/// # Errors
/// A bare number, an unknown unit, or anything left over.
pub fn parse_length(text: &str, job: LengthUnit) -> Result<Length, Misread> {
    let bad = |expected: &str| Misread { found: text.to_owned(), expected: expected.to_owned() };
    let clean = plain_marks(text);
    let t = clean.trim();
    let (negative, t) = match t.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, t.strip_prefix('+').map_or(t, str::trim_start)),
    };
    let sign = if negative { -1.0 } else { 1.0 };
    if t.is_empty() {
        return Err(bad(WANTED));
    }
    // Feet and inches with marks: 5'4", 5' 4 3/8", 1' 4-3/8", 5'.
    if let Some((feet, rest)) = t.split_once('\'') {
        let feet = whole(feet.trim()).or_else(|| decimal_if_alone(feet.trim(), rest.trim()));
        let rest = rest.trim().trim_start_matches('-').trim();
        let inches = if rest.is_empty() { Some(0.0) } else { rest.strip_suffix('"').and_then(|r| mixed(r.trim())) };
        return match (feet, inches) {
            (Some(f), Some(i)) if i < 12.0 => Ok(Length::inches(sign * (f * 12.0 + i), job)),
            (Some(_), Some(_)) => Err(bad("inches below 12 after the feet")),
            _ => Err(bad(WANTED)),
        };
    }
    let split = t.find(|c: char| c.is_alphabetic() || c == '"').unwrap_or(t.len());
    let (number, unit) = (t[..split].trim(), t[split..].trim());
    // Feet-inches with a hyphen: 5-4, 0-8 3/8. Only without a unit.
    if unit.is_empty() {
        return match number.split_once('-') {
            Some((f, i)) => match (whole(f.trim()), mixed(i.trim())) {
                (Some(f), Some(i)) if i < 12.0 => Ok(Length::inches(sign * (f * 12.0 + i), job)),
                (Some(_), Some(_)) => Err(bad("inches below 12 after the feet")),
                _ => Err(bad(WANTED)),
            },
            None => Err(bad(WANTED)),
        };
    }
    let Some(value) = mixed(number) else {
        return Err(bad(WANTED));
    };
    let value = sign * value;
    match unit {
        "in" | "inch" | "inches" | "\"" => Ok(Length::inches(value, job)),
        "ft" | "foot" | "feet" if job != LengthUnit::UsSurveyFoot => Ok(Length::of(value, LengthUnit::Foot, job)),
        "ft" | "foot" | "feet" | "us-ft" => Ok(Length::of(value, LengthUnit::UsSurveyFoot, job)),
        "m" => Ok(Length::of(value, LengthUnit::Metre, job)),
        "cm" => Ok(Length::of(value / 100.0, LengthUnit::Metre, job)),
        "mm" => Ok(Length::of(value / 1000.0, LengthUnit::Metre, job)),
        _ => Err(bad("one of the units in, ft, us-ft, m, cm, mm")),
    }
}

/// A slope: `2 %`, `1:48`, `1/4 in/ft`.
///
/// # Errors
/// A bare number, zero run, or anything else.
pub fn parse_slope(text: &str) -> Result<Slope, Misread> {
    let bad = || Misread {
        found: text.to_owned(),
        expected: "a slope such as `2 %`, `1:48` (one in 48) or `1/4 in/ft`".to_owned(),
    };
    let clean = plain_marks(text);
    let t = clean.trim();
    if let Some(number) = t.strip_suffix('%') {
        return mixed(number.trim()).map(Slope::percent).ok_or_else(bad);
    }
    if let Some(number) = t.strip_suffix("in/ft") {
        return mixed(number.trim()).map(|i| Slope::rise_over_run(i / 12.0)).ok_or_else(bad);
    }
    if let Some((one, run)) = t.split_once(':') {
        return match (mixed(one.trim()), mixed(run.trim())) {
            (Some(1.0), Some(run)) if run > 0.0 => Ok(Slope::run_per_rise(run)),
            _ => Err(bad()),
        };
    }
    Err(bad())
}

/// How many times smaller the ground is drawn: 96 for `1 in = 8 ft`, `1/8 in = 1 ft` or `1:96`.
///
/// # Errors
/// Anything else, or a scale beyond 1:1 and 1:100,000.
pub fn parse_scale(text: &str) -> Result<f64, Misread> {
    let bad = || Misread {
        found: text.to_owned(),
        expected: "a scale from 1:1 to 1:100000, such as `1 in = 8 ft`, `1/8 in = 1 ft` or `1:100`".to_owned(),
    };
    let clean = plain_marks(text);
    let metres = |t: &str| parse_length(t, LengthUnit::Metre).map(Length::job_units).map_err(|_| bad());
    let ratio = match (clean.split_once('='), clean.split_once(':')) {
        (Some((paper, ground)), _) => metres(ground)? / metres(paper)?,
        (None, Some((one, many))) if one.trim() == "1" => mixed(many.trim()).ok_or_else(bad)?,
        _ => return Err(bad()),
    };
    if (1.0 - 1e-9..=1e5).contains(&ratio) { Ok(ratio) } else { Err(bad()) }
}

/// Typographic primes and quotes to ' and "; vulgar fractions to `n/d` behind a space.
fn plain_marks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{2032}' | '\u{2019}' | '\u{2018}' => out.push('\''),
            '\u{2033}' | '\u{201d}' | '\u{201c}' => out.push('"'),
            '\u{2013}' | '\u{2011}' => out.push('-'),
            '\u{a0}' | '\u{202f}' | '\u{2009}' => out.push(' '),
            _ => match vulgar(c) {
                Some(f) => {
                    out.push(' ');
                    out.push_str(f);
                }
                None => out.push(c),
            },
        }
    }
    out
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '⅛' => "1/8",
        '¼' => "1/4",
        '⅜' => "3/8",
        '½' => "1/2",
        '⅝' => "5/8",
        '¾' => "3/4",
        '⅞' => "7/8",
        _ => return None,
    })
}

/// A whole number without sign.
fn whole(t: &str) -> Option<f64> {
    (!t.is_empty() && t.len() <= 9 && t.bytes().all(|b| b.is_ascii_digit())).then(|| t.parse().ok())?
}

/// `5.25'` is decimal feet only where no inches follow.
fn decimal_if_alone(t: &str, rest: &str) -> Option<f64> {
    if rest.is_empty() { decimal(t) } else { None }
}

/// A decimal without sign or exponent.
fn decimal(t: &str) -> Option<f64> {
    let ok = !t.is_empty() && t != "." && t.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if !ok {
        return None;
    }
    t.parse::<f64>().ok().filter(|v| v.is_finite())
}

/// `2`, `2.5`, `3/8`, `2 3/8`, `2-3/8`.
fn mixed(t: &str) -> Option<f64> {
    if let Some((top, bottom)) = t.split_once('/') {
        let (whole_part, top) = match top.rsplit_once([' ', '-']) {
            Some((w, n)) => (whole(w.trim())?, n),
            None => (0.0, top),
        };
        let (top, bottom) = (whole(top.trim())?, whole(bottom.trim())?);
        return (bottom > 0.0 && (top < bottom || whole_part == 0.0)).then(|| whole_part + top / bottom);
    }
    decimal(t)
}
