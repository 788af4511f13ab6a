//! How far content is translated.

use super::super::Stop;
use crate::procedure::Languages;
use crate::words::Language;
use std::fmt::Write;

pub(super) fn wanted(tag: &str) -> Result<Language, Stop> {
    Language::parse(tag).map_err(|error| Stop::unusable(error.to_string(), "Give a tag such as `de`."))
}

/// Lines on how far each language goes, and of the one that is wanted on what is missing; and whether of that one
/// something is missing. Each line begins with a line feed.
pub(super) fn translated(languages: &Languages, wanted: Option<&Language>) -> (String, bool) {
    let mut lines = String::new();
    for language in languages.known() {
        let coverage = languages.coverage(language);
        let texts: usize = coverage.values().map(|file| file.texts).sum();
        let missing: usize = coverage.values().map(|file| file.missing.len()).sum();
        let _ = write!(
            lines,
            "\n  {language}: {} of {texts} texts translated",
            texts - missing
        );
    }
    let Some(wanted) = wanted else {
        return (lines, false);
    };
    if !languages.known().any(|language| language == wanted) {
        let _ = write!(
            lines,
            "\n  {wanted}: no catalogue; `witnessmark words {wanted} FOLDER` writes them"
        );
        return (lines, true);
    }
    let coverage = languages.coverage(wanted);
    for (path, file) in &coverage {
        for text in &file.missing {
            let text = crate::diagnostic::quoted(text);
            let _ = write!(lines, "\n  {path}: not translated to {wanted}: {text}");
        }
    }
    let lost = coverage.values().any(|file| !file.missing.is_empty());
    (lines, lost)
}
