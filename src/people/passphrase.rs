//! What a passphrase must be, so that a stolen key file is of little use.

/// The fewest characters.
pub const MIN: usize = 8;

/// The most characters, so that typing it has an end.
pub const MAX: usize = 200;

/// Passphrases that are tried first by anyone; compared without case, blanks and closing digits.
const TRIVIAL: [&str; 14] = [
    "password",
    "passwort",
    "passphrase",
    "letmein",
    "welcome",
    "qwerty",
    "qwertyui",
    "qwertyuiop",
    "qwertz",
    "iloveyou",
    "witnessmark",
    "workshop",
    "administrator",
    "changeme",
];

/// What is wrong with a passphrase. Its sentence says what to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PassphraseFault {
    /// Fewer than [`MIN`] characters.
    #[error("the passphrase has {found} characters; use at least {MIN}")]
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
    /// It is the person's id or name.
    #[error("the passphrase is the person's own name; use several words that others do not know")]
    OwnName,
}

/// Checks a new passphrase of the person with this id and name.
///
/// # Errors
/// See [`PassphraseFault`].
pub fn check(passphrase: &str, id: &str, name: &str) -> Result<(), PassphraseFault> {
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
    let core = core(passphrase);
    if core.is_empty() || TRIVIAL.contains(&core.as_str()) || is_run(passphrase) {
        return Err(PassphraseFault::Trivial);
    }
    if [id, name].iter().any(|own| core == self::core(own)) {
        Err(PassphraseFault::OwnName)
    } else {
        Ok(())
    }
}

/// The letters that are left without case, blanks, signs and digits.
fn core(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphabetic())
        .flat_map(char::to_lowercase)
        .collect()
}

/// One character again and again, or neighbours in a row: `aaaaaaaa`, `abcdefgh`, `87654321`.
fn is_run(text: &str) -> bool {
    let codes: Vec<i64> = text.chars().map(|c| i64::from(u32::from(c))).collect();
    [-1, 0, 1]
        .iter()
        .any(|step| codes.windows(2).all(|pair| pair[1] - pair[0] == *step))
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
            ("ferrule", Err(PassphraseFault::TooShort { found: 7 })),
            ("Ölkännç", Err(PassphraseFault::TooShort { found: 7 })),
            ("", Err(PassphraseFault::TooShort { found: 0 })),
            (" brass ferrule", Err(PassphraseFault::Blank)),
            ("brass\tferrule", Err(PassphraseFault::Blank)),
            ("Password1", Err(PassphraseFault::Trivial)),
            ("pass word 123!", Err(PassphraseFault::Trivial)),
            ("12345678", Err(PassphraseFault::Trivial)),
            ("19990101", Err(PassphraseFault::Trivial)),
            ("aaaaaaaaaa", Err(PassphraseFault::Trivial)),
            ("abcdefgh", Err(PassphraseFault::Trivial)),
            ("hgfedcba", Err(PassphraseFault::Trivial)),
            ("Ines Varga", Err(PassphraseFault::OwnName)),
            ("ines.varga99", Err(PassphraseFault::OwnName)),
        ] {
            assert_eq!(
                check(passphrase, "ines.varga", "Ines Varga"),
                expected,
                "{passphrase:?}"
            );
        }
        assert_eq!(check(&"ab ".repeat(70), "a", "b"), Err(PassphraseFault::TooLong));
    }
}
