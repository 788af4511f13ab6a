//! What a passphrase must be, so that a stolen key file is of little use.
//!
//! No rule can tell a good passphrase from a bad one; these keep out what is tried first. What guessing costs stands
//! in DEVELOPERS.md.

use zeroize::Zeroizing;

/// The fewest characters.
pub const MIN: usize = 12;

/// The most characters, so that typing it has an end.
pub const MAX: usize = 200;

/// The fewest different characters.
const FEWEST_DIFFERENT: usize = 5;

/// The fewest letters that must be left without the words that others know, once there are such.
const FEWEST_LEFT: usize = 6;

/// Words that are tried first by anyone, in letters alone. The choice is from memory, no list was copied.
const COMMON: &[&str] = &[
    "correcthorsebatterystaple",
    "administrator",
    "witnessmark",
    "apprentice",
    "passphrase",
    "supervisor",
    "qwertzuiop",
    "qwertyuiop",
    "workshop",
    "iloveyou",
    "password",
    "passwort",
    "princess",
    "football",
    "baseball",
    "sunshine",
    "changeme",
    "letmein",
    "nitrous",
    "welcome",
    "hallo",
    "hello",
    "fitter",
    "tablet",
    "garage",
    "summer",
    "winter",
    "sommer",
    "spring",
    "autumn",
    "secret",
    "geheim",
    "dragon",
    "monkey",
    "master",
    "shadow",
    "default",
    "qwerty",
    "qwertz",
    "asdfgh",
    "azerty",
    "login",
    "admin",
    "motor",
    "test",
    "user",
    "abc",
];

/// What is wrong with a passphrase. Its sentence says what to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PassphraseFault {
    /// Fewer than [`MIN`] characters.
    #[error(
        "the passphrase has {found} characters; use at least {MIN}, best four words that have nothing to do with each other"
    )]
    TooShort {
        /// Characters found.
        found: usize,
    },
    /// More than [`MAX`] characters.
    #[error("the passphrase has more than {MAX} characters; use fewer")]
    TooLong,
    /// It begins or ends with a blank, or holds a control character, which is easily typed otherwise next time.
    #[error("the passphrase begins or ends with a blank, or holds a tab or the like; leave that out")]
    Blank,
    /// One of the first that anybody tries.
    #[error("the passphrase is one of the first that anyone would try; use several words of your own")]
    Trivial,
    /// It is little more than the person's id or name.
    #[error(
        "the passphrase is little more than the person's own name; use several words that others do not know"
    )]
    OwnName,
    /// It is little more than the shop's name.
    #[error("the passphrase is little more than the shop's name; use several words that others do not know")]
    ShopName,
    /// It is the one that is to be replaced.
    #[error("the new passphrase is the old one; choose another")]
    Same,
}

/// Checks a new passphrase of the person with this id and name, in this shop.
///
/// # Errors
/// See [`PassphraseFault`].
pub fn check(passphrase: &str, id: &str, name: &str, shop: &str) -> Result<(), PassphraseFault> {
    let found = passphrase.chars().count();
    if found < MIN {
        return Err(PassphraseFault::TooShort { found });
    }
    if found > MAX {
        return Err(PassphraseFault::TooLong);
    }
    if passphrase.trim() != passphrase || passphrase.chars().any(char::is_control) {
        return Err(PassphraseFault::Blank);
    }
    let letters = letters(passphrase);
    if letters.is_empty() || is_run(passphrase) || different(passphrase) < FEWEST_DIFFERENT {
        return Err(PassphraseFault::Trivial);
    }
    let mut known: Vec<String> = COMMON.iter().map(|word| (*word).to_owned()).collect();
    for (own, fault) in [
        (String::new(), PassphraseFault::Trivial),
        (format!("{id} {name}"), PassphraseFault::OwnName),
        (shop.to_owned(), PassphraseFault::ShopName),
    ] {
        known.extend(words(&own));
        let left = without(&letters, &mut known);
        if left < letters.chars().count() && left < FEWEST_LEFT {
            return Err(fault);
        }
    }
    Ok(())
}

/// How many letters are left when the known words are taken out, the longest first.
fn without(letters: &str, known: &mut [String]) -> usize {
    known.sort_by_key(|word| std::cmp::Reverse(word.chars().count()));
    // A gap stays where a word was, so that its neighbours do not make a new one.
    let whole = Zeroizing::new(letters.to_owned());
    let taken = known.iter().fold(whole, |left, word| cut_out(&left, word));
    taken.chars().filter(|c| c.is_alphabetic()).count()
}

/// The text with a blank in the place of a word. It grows no longer, so that nothing of it is left where it grew.
fn cut_out(text: &str, word: &str) -> Zeroizing<String> {
    let mut left = Zeroizing::new(String::with_capacity(text.len()));
    for (at, part) in text.split(word).enumerate() {
        left.push_str(if at == 0 { "" } else { " " });
        left.push_str(part);
    }
    left
}

/// The words of a name, in letters alone; two letters are too few to know a word by.
fn words(text: &str) -> impl Iterator<Item = String> {
    let parts = text.split(|c: char| !c.is_alphabetic());
    let words = parts.map(|part| letters(part).to_string());
    words.filter(|word| word.chars().count() > 2)
}

/// The letters without case, blanks, signs and digits. They are counted first, so that they are written once.
fn letters(text: &str) -> Zeroizing<String> {
    let letters = || {
        let kept = text.chars().filter(|c| c.is_alphabetic());
        kept.flat_map(char::to_lowercase)
    };
    let length = letters().map(char::len_utf8).sum();
    let mut written = Zeroizing::new(String::with_capacity(length));
    letters().for_each(|c| written.push(c));
    written
}

/// One character again and again, or neighbours in a row: `aaaaaaaaaaaa`, `abcdefghijkl`.
fn is_run(text: &str) -> bool {
    let codes = || text.chars().map(|c| i64::from(u32::from(c)));
    [-1, 0, 1].iter().any(|step| {
        codes()
            .zip(codes().skip(1))
            .all(|(one, next)| next - one == *step)
    })
}

fn different(text: &str) -> usize {
    let first = |(at, c): &(usize, char)| !text[..*at].contains(*c);
    text.char_indices().filter(first).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_fault_is_named() {
        for (passphrase, expected) in [
            ("brass ferrule", Ok(())),
            ("gelbe Ölkanne", Ok(())),
            ("bolt 14 mm deep", Ok(())),
            ("copper washer teal", Ok(())),
            // Known words among others do no harm.
            ("winter otter plum gate", Ok(())),
            ("Ines likes pickled herring", Ok(())),
            ("brass olive", Err(PassphraseFault::TooShort { found: 11 })),
            ("Ölkännç", Err(PassphraseFault::TooShort { found: 7 })),
            ("", Err(PassphraseFault::TooShort { found: 0 })),
            (" brass ferrule", Err(PassphraseFault::Blank)),
            ("brass\tferrule", Err(PassphraseFault::Blank)),
            ("Password12345", Err(PassphraseFault::Trivial)),
            ("pass word 123!", Err(PassphraseFault::Trivial)),
            ("winter winter 2026", Err(PassphraseFault::Trivial)),
            ("Correct horse battery staple", Err(PassphraseFault::Trivial)),
            ("194726358103", Err(PassphraseFault::Trivial)),
            ("aaaaaaaaaaaa", Err(PassphraseFault::Trivial)),
            ("abababababab", Err(PassphraseFault::Trivial)),
            ("abcdefghijkl", Err(PassphraseFault::Trivial)),
            ("lkjihgfedcba", Err(PassphraseFault::Trivial)),
            ("Ines Varga 1", Err(PassphraseFault::OwnName)),
            ("ines.varga1999", Err(PassphraseFault::OwnName)),
            ("Varga, password 1", Err(PassphraseFault::Trivial)),
            ("Alder Quay Motor Works", Err(PassphraseFault::ShopName)),
            ("alderquay ines 7!", Err(PassphraseFault::ShopName)),
        ] {
            assert_eq!(
                check(passphrase, "ines.varga", "Ines Varga", "Alder Quay Motor Works"),
                expected,
                "{passphrase:?}"
            );
        }
        assert_eq!(
            check(&"ab ".repeat(70), "a", "b", "c"),
            Err(PassphraseFault::TooLong)
        );
    }
}
