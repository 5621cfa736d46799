//! Which known word did the person mean?

/// The word nearest to what was typed, if one is near: at most a third of its letters differ.
pub fn nearest<'n>(typed: &str, all: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    let best = all.into_iter().map(|name| (distance(name, typed), name)).min_by_key(|&(d, _)| d)?;
    (best.0 <= 1 + typed.chars().count() / 3).then_some(best.1)
}

/// Letters to add, drop or change to make one word of the other (Levenshtein 1966), without regard to case.
fn distance(a: &str, b: &str) -> usize {
    // Longer words are not compared to their ends: a paste of a page is near nothing.
    let letters = |text: &str| text.to_lowercase().chars().take(64).collect::<Vec<char>>();
    let (a, b) = (letters(a), letters(b));
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let up = row[j + 1];
            row[j + 1] = if x == y { diagonal } else { 1 + diagonal.min(up).min(row[j]) };
            diagonal = up;
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        assert_eq!(nearest("over_dug", ["over_dig", "outline"]), Some("over_dig"));
        assert_eq!(nearest("OUT2", ["P1", "OUT1"]), Some("OUT1"));
        assert_eq!(nearest("elephant", ["P1", "OUT1"]), None);
        assert_eq!(nearest("x", []), None);
    }
}
