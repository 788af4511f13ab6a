//! The legal word that was probably meant.

/// The choice nearest in spelling to `written`, if one is near enough to be a slip of the hand.
///
/// At most a third of the letters may differ; long words are not compared, so the work is bounded.
#[must_use]
pub fn nearest<'a>(written: &str, choices: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const LONGEST: usize = 64;
    let written: Vec<char> = written.chars().take(LONGEST + 1).collect();
    if written.is_empty() || written.len() > LONGEST {
        return None;
    }
    let near = |choice: &'a str| {
        let letters: Vec<char> = choice.chars().collect();
        let most = written.len().max(letters.len()).div_ceil(3);
        let close = written.len().abs_diff(letters.len()) <= most;
        let distance = if close {
            distance(&written, &letters)
        } else {
            usize::MAX
        };
        (distance <= most).then_some((distance, choice))
    };
    choices
        .into_iter()
        .filter_map(near)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, choice)| choice)
}

/// How many letters must be added, dropped, exchanged or swapped with their neighbour.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut above: Vec<usize> = (0..=b.len()).collect();
    let mut row = vec![0; b.len() + 1];
    for i in 1..=a.len() {
        row[0] = i;
        for j in 1..=b.len() {
            let exchanged = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = exchanged.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        std::mem::swap(&mut before, &mut above);
        std::mem::swap(&mut above, &mut row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let rows = [
            ("hazrads", Some("hazards")),
            ("hazard", Some("hazards")),
            ("wihtin", Some("within")),
            ("at_lest", Some("at_least")),
            ("picture", None),
            ("", None),
        ];
        for (written, expected) in rows {
            assert_eq!(
                nearest(written, ["hazards", "within", "at_least"]),
                expected,
                "{written}"
            );
        }
        assert_eq!(nearest(&"x".repeat(1_000_000), ["hazards"]), None);
    }
}
