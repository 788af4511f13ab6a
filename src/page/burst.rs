//! Scanners that type: a code comes as a burst of keys that no hand types so fast, and ends with Enter or Tab.
//!
//! Every key of a keyboard is held back for the length of one gap. If the next one comes within it, both may be a
//! burst; if none comes, it was a hand, and the key goes on its way. So nothing of a code ever reaches the page.

/// The longest time between two keys of a burst, in milliseconds. A scanner needs 1 to 20, and a practised hand
/// seldom less than 60 (common practice, no source).
pub const GAP: u64 = 35;
/// The fewest characters of a code: shorter bursts are two fingers that fell together.
const LEAST: usize = 3;
/// The longest code that is held, in characters; what is longer was no code.
const MOST: usize = 512;

/// What becomes of a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Caught {
    /// It goes on its way at once.
    Through,
    /// It is held until it is known whether a hand typed it: look again after [`GAP`].
    Held,
    /// A code is complete; none of its keys goes anywhere.
    Code(String),
}

/// The keys that are held back.
#[derive(Clone, Debug, Default)]
pub struct Burst {
    held: Vec<String>,
    /// When the last of them came, in milliseconds by the window's clock.
    last: u64,
    /// One of the held keys came too late for a burst, or is none of a code.
    typed: bool,
}

impl Burst {
    /// A key of a keyboard at this time. `text` is what it types; Enter and Tab are `\n` and `\t`.
    pub fn key(&mut self, text: &str, at: u64) -> Caught {
        if is_shift(text) {
            return Caught::Through;
        }
        let late = at.saturating_sub(self.last) > GAP;
        let end = matches!(text, "\n" | "\t");
        if self.held.is_empty() {
            if end || !types(text) {
                return Caught::Through;
            }
            self.typed = false;
        } else {
            self.typed |= late || !(end || types(text)) || self.held.len() >= MOST;
        }
        if end && !self.typed && self.held.len() >= LEAST {
            return Caught::Code(std::mem::take(&mut self.held).concat());
        }
        self.typed |= end;
        self.held.push(text.to_owned());
        self.last = at;
        Caught::Held
    }

    /// The keys that a hand typed, to go on their way in their order; none while a burst may go on.
    pub fn typed(&mut self, at: u64) -> Vec<String> {
        if self.typed || at.saturating_sub(self.last) > GAP {
            std::mem::take(&mut self.held)
        } else {
            Vec::new()
        }
    }

    /// Whether a key is held.
    #[must_use]
    pub fn holds(&self) -> bool {
        !self.held.is_empty()
    }
}

/// What a scanner says without what it puts around every code; none where nothing is left.
#[must_use]
pub fn code<'c>(text: &'c str, prefix: &str, suffix: &str) -> Option<&'c str> {
    let text = text.strip_prefix(prefix).unwrap_or(text);
    let text = text.strip_suffix(suffix).unwrap_or(text).trim();
    (!text.is_empty()).then_some(text)
}

/// Whether a key types a character that a code may have.
fn types(text: &str) -> bool {
    let mut letters = text.chars();
    let letter = letters.next().filter(|_| letters.next().is_none());
    // Keys without a character are control characters, or lie in a private range of the toolkit's.
    letter.is_some_and(|letter| !letter.is_control() && !('\u{F700}'..='\u{F8FF}').contains(&letter))
}

/// Keys that a scanner holds down for a capital letter: they type nothing and end nothing.
#[must_use]
pub fn is_shift(text: &str) -> bool {
    matches!(text.chars().next(), Some('\u{10}'..='\u{18}'))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys with the milliseconds before each.
    fn keys(burst: &mut Burst, keys: &[(&str, u64)]) -> Vec<Caught> {
        let mut at = 10_000;
        keys.iter()
            .map(|(text, after)| {
                at += after;
                burst.key(text, at)
            })
            .collect()
    }

    #[test]
    fn a_burst_with_enter_is_a_code() {
        for end in ["\n", "\t"] {
            let mut burst = Burst::default();
            let shift = "\u{10}";
            let found = keys(
                &mut burst,
                &[
                    (shift, 0),
                    ("A", 2),
                    ("Q", 8),
                    ("-", 20),
                    ("0", GAP),
                    ("1", 1),
                    (end, 12),
                ],
            );
            assert_eq!(found.last(), Some(&Caught::Code("AQ-01".to_owned())));
            assert_eq!(found[0], Caught::Through);
            assert!(found[1..6].iter().all(|caught| *caught == Caught::Held));
            assert!(!burst.holds() && burst.typed(99_999).is_empty());
        }
    }

    #[test]
    fn a_hand_is_no_scanner() {
        // One key too late, however fast the others are.
        let mut burst = Burst::default();
        let found = keys(
            &mut burst,
            &[("a", 0), ("b", 5), ("c", GAP + 1), ("d", 5), ("\n", 5)],
        );
        assert!(found.iter().all(|caught| *caught == Caught::Held), "{found:?}");
        assert_eq!(burst.typed(10_052), ["a", "b", "c", "d", "\n"]);
        // Enter too late.
        let found = keys(&mut burst, &[("a", 0), ("b", 5), ("c", 5), ("\n", GAP + 1)]);
        assert_eq!(found.last(), Some(&Caught::Held));
        assert_eq!(burst.typed(10_047).len(), 4);
        // Two fingers that fell together, then Enter.
        keys(&mut burst, &[("t", 0), ("h", 5), ("\n", 5)]);
        assert_eq!(burst.typed(10_011), ["t", "h", "\n"]);
    }

    #[test]
    fn a_single_key_waits_for_one_gap_and_no_longer() {
        let mut burst = Burst::default();
        assert_eq!(burst.key("x", 100), Caught::Held);
        assert!(burst.typed(100 + GAP).is_empty());
        assert_eq!(burst.typed(101 + GAP), ["x"]);
        assert_eq!(burst.key("\n", 500), Caught::Through);
        assert_eq!(burst.key("\u{8}", 501), Caught::Through);
        assert_eq!(burst.key("\u{F700}", 502), Caught::Through);
    }

    #[test]
    fn keys_that_no_code_has_keep_their_place() {
        let mut burst = Burst::default();
        keys(
            &mut burst,
            &[("a", 0), ("b", 5), ("c", 5), ("\u{8}", 5), ("\n", 5)],
        );
        assert_eq!(burst.typed(10_021), ["a", "b", "c", "\u{8}", "\n"]);
        let long: Vec<(&str, u64)> = std::iter::repeat_n(("7", 1), MOST + 1)
            .chain([("\n", 1)])
            .collect();
        let found = keys(&mut burst, &long);
        assert_eq!(found.last(), Some(&Caught::Held), "no code is so long");
        assert_eq!(burst.typed(99_999).len(), MOST + 2);
    }

    #[test]
    fn what_the_scanner_adds_is_taken_off() {
        assert_eq!(code("]C1AQ-01#", "]C1", "#"), Some("AQ-01"));
        assert_eq!(code("AQ-01", "]C1", "#"), Some("AQ-01"));
        assert_eq!(code(" AQ-01 ", "", ""), Some("AQ-01"));
        assert_eq!(code("]C1#", "]C1", "#"), None);
    }
}
