//! The tag of a language.

/// A language by its tag (BCP 47), e.g. `en` or `de`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Language(String);

/// So many characters has the longest tag that is taken.
const LONGEST: usize = 35;

impl Language {
    /// The language in which the program and its content are written.
    #[must_use]
    pub fn english() -> Self {
        Self("en".to_owned())
    }

    /// A language by its tag: two or three lower-case letters, then if wanted subtags of at most eight letters
    /// or digits, each after a hyphen (`de`, `de-AT`, `zh-Hant`).
    ///
    /// # Errors
    /// What was found and what is allowed.
    pub fn parse(tag: &str) -> Result<Self, LanguageError> {
        let mut parts = tag.split('-');
        let first = parts.next().unwrap_or_default();
        let primary = matches!(first.len(), 2 | 3) && first.bytes().all(|b| b.is_ascii_lowercase());
        let further = parts.all(|part| {
            (1..=8).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_alphanumeric())
        });
        if primary && further && tag.len() <= LONGEST {
            return Ok(Self(tag.to_owned()));
        }
        let found = tag.chars().take(LONGEST).collect();
        Err(LanguageError { found })
    }

    /// The tag.
    #[must_use]
    pub fn tag(&self) -> &str {
        &self.0
    }

    /// Whether nothing needs to be translated.
    #[must_use]
    pub fn is_english(&self) -> bool {
        self.0 == "en"
    }
}

impl Default for Language {
    fn default() -> Self {
        Self::english()
    }
}

impl std::fmt::Display for Language {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// What is no language's tag.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "found the language `{found}`, expected a tag of two or three lower-case letters, if wanted with subtags after hyphens, e.g. `de` or `de-AT`"
)]
pub struct LanguageError {
    pub found: String,
}
