//! How does a table or a job file go wrong? As files do: lines lost, doubled and exchanged, cells moved, numbers mistyped, words
//! of one place in another, bytes damaged.

use crate::bodies::NEXT_FILE;

/// What stands where a number should be.
const NUMBERS: [&str; 26] = [
    "0",
    "-0",
    "1",
    "-1",
    "0.000001",
    "0.0000001",
    "1e3",
    "1e308",
    "-1e-320",
    "1e999",
    "9000000000",
    "9007199254.740993",
    "nan",
    "inf",
    "",
    " ",
    "1,5",
    "5-4",
    "5'4\"",
    "2 3/8 in",
    "1/0",
    "1:0",
    "-2 %",
    "0x10",
    "1_000",
    "٣",
];

/// What gets into a file that was not meant.
const PIECES: [&str; 24] = [
    "\"",
    "\"\"",
    "\r",
    "\n",
    "\r\n",
    "\t",
    ";",
    ",",
    "\u{feff}",
    "\0",
    "é",
    "\u{2028}",
    "#",
    "[",
    "]]",
    "{",
    "}",
    "= ",
    "'",
    "\"\"\"",
    "[job]\n",
    "point,northing,easting,elevation\n",
    "[[area]]\nname = \"x\"\n",
    NEXT_FILE,
];

/// Small numbers from one large one (Steele, Lea and Flood's SplitMix64, 2014).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut v = self.0;
        v = (v ^ (v >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        v = (v ^ (v >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((v ^ (v >> 31)) % sides.max(1) as u64).unwrap_or(0)
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> Option<T> {
        if from.is_empty() { None } else { Some(from[self.roll(from.len())]) }
    }
}

/// Changes a file a little, in a way that only `seed` decides.
pub fn mutate(data: &mut Vec<u8>, seed: u64) {
    let mut dice = Dice(seed);
    match dice.roll(12) {
        0..=2 => number(data, &mut dice),
        3 | 4 => word(data, &mut dice),
        5 => cells(data, &mut dice),
        6..=8 => line(data, &mut dice),
        9 => bytes(data, &mut dice),
        10 => {
            let at = dice.roll(data.len() + 1);
            let piece = dice.pick(&PIECES).unwrap_or("");
            data.splice(at..at, piece.bytes());
        }
        _ => {
            let from = dice.roll(data.len() + 1);
            let to = (from + dice.roll(40)).min(data.len());
            data.drain(from..to);
        }
    }
}

/// Stretches of bytes that are all of one kind.
fn runs(data: &[u8], is_in: impl Fn(u8) -> bool) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (k, _) in data.iter().enumerate().filter(|(_, b)| is_in(**b)) {
        match out.last_mut() {
            Some(last) if last.1 == k => last.1 = k + 1,
            _ => out.push((k, k + 1)),
        }
    }
    out
}

/// A number becomes another, or loses, gains or exchanges a digit.
fn number(data: &mut Vec<u8>, dice: &mut Dice) {
    let all = runs(data, |b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
    let Some((from, to)) = dice.pick(&all) else { return };
    match dice.roll(4) {
        0 => {
            data.splice(from..to, dice.pick(&NUMBERS).unwrap_or("").bytes());
        }
        1 => {
            let at = from + dice.roll(to - from);
            data[at] = b"0123456789.-"[dice.roll(12)];
        }
        2 => {
            data.remove(from + dice.roll(to - from));
        }
        _ => {
            let other = dice.pick(&all).map_or(Vec::new(), |(a, b)| data[a..b].to_vec());
            data.splice(from..to, other);
        }
    }
}

/// A word becomes another word of the file, or loses a letter.
fn word(data: &mut Vec<u8>, dice: &mut Dice) {
    let all = runs(data, |b| b.is_ascii_alphanumeric() || b == b'_' || b >= 0x80);
    let Some((from, to)) = dice.pick(&all) else { return };
    if dice.roll(4) == 0 {
        data.remove(from + dice.roll(to - from));
    } else {
        let other = dice.pick(&all).map_or(Vec::new(), |(a, b)| data[a..b].to_vec());
        data.splice(from..to, other);
    }
}

/// Two cells exchanged, or all of a line's cells one further.
fn cells(data: &mut Vec<u8>, dice: &mut Dice) {
    let all = runs(data, |b| !matches!(b, b',' | b'\n' | b'\r'));
    let (Some(a), Some(b)) = (dice.pick(&all), dice.pick(&all)) else { return };
    let (first, second) = (a.min(b), a.max(b));
    if dice.roll(3) == 0 {
        data.insert(first.0, b',');
    } else if first != second {
        let (x, y) = (data[first.0..first.1].to_vec(), data[second.0..second.1].to_vec());
        data.splice(second.0..second.1, x);
        data.splice(first.0..first.1, y);
    }
}

/// Lines lost, doubled, exchanged, or cut off.
fn line(data: &mut Vec<u8>, dice: &mut Dice) {
    let mut lines: Vec<Vec<u8>> = data.split_inclusive(|&b| b == b'\n').map(<[u8]>::to_vec).collect();
    let (a, b) = (dice.roll(lines.len()), dice.roll(lines.len()));
    if lines.is_empty() {
        return;
    }
    match dice.roll(6) {
        0 | 1 => {
            lines.remove(a);
        }
        2 => {
            let again = lines[a].clone();
            lines.insert(b, again);
        }
        3 | 4 => lines.swap(a, b),
        _ => {
            let keep = dice.roll(lines[a].len() + 1);
            lines[a].truncate(keep);
        }
    }
    *data = lines.concat();
}

fn bytes(data: &mut [u8], dice: &mut Dice) {
    for _ in 0..=dice.roll(3) {
        let at = dice.roll(data.len());
        if let Some(b) = data.get_mut(at) {
            *b ^= 1 << dice.roll(8);
        }
    }
}
