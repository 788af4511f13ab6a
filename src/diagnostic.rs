//! A finding about authored content, with its code frame.
//!
//! ```
//! use witnessmark::diagnostic::{Diagnostic, Place};
//!
//! let place = Place { path: "jobs/x.yaml".into(), line: 1, column: 1 };
//! let finding = Diagnostic::new(place, "unknown-key", "the unknown key `titel`", "a key of a job")
//!     .choose("titel", ["job", "title"]);
//! assert_eq!(
//!     finding.headline(),
//!     "jobs/x.yaml:1:1: found the unknown key `titel`, expected a key of a job [unknown-key]"
//! );
//! assert!(finding.render().contains("did you mean `title`?"));
//! ```

use std::collections::BTreeMap;
use std::fmt::Write;

mod frame;
mod nearest;
#[cfg(test)]
mod tests;

use frame::Lines;
pub use nearest::nearest;

/// Where something stands in an authored file.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file's path inside the content folder.
    pub path: String,
    /// Counted from 1; 0 where the place is not known.
    pub line: u32,
    /// In characters, counted from 1.
    pub column: u32,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            0 => f.write_str(&self.path),
            line => write!(f, "{}:{line}:{}", self.path, self.column),
        }
    }
}

/// One fault, with what its author needs to mend it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Diagnostic {
    pub place: Place,
    /// The rule that was broken; the same word names its samples under `tests/content`.
    pub rule: &'static str,
    /// What stands there, to be read after "found".
    pub found: String,
    /// What would be right, to be read after "expected".
    pub expected: String,
    /// What to do about it, or why the rule exists.
    pub help: Option<String>,
    /// What is legal here, where that can be listed; at most 64 of a long list.
    pub choices: Vec<String>,
    /// How many choices there are besides.
    pub more_choices: usize,
    /// The source line around the place and a caret below it, filled in by [`Report::finish`].
    pub frame: Option<String>,
}

/// So many choices are kept; the rest is counted.
const CHOICES_KEPT: usize = 64;
/// Among so many choices the nearest is looked for.
const CHOICES_COMPARED: usize = 400;

impl Diagnostic {
    /// A fault without help or choices.
    pub fn new(
        place: Place,
        rule: &'static str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> Self {
        let (found, expected) = (found.into(), expected.into());
        Self {
            place,
            rule,
            found,
            expected,
            help: None,
            choices: Vec::new(),
            more_choices: 0,
            frame: None,
        }
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds the legal choices, and proposes the one nearest to what was written.
    #[must_use]
    pub fn choose<S: Into<String>>(mut self, written: &str, choices: impl IntoIterator<Item = S>) -> Self {
        let mut choices = choices.into_iter();
        self.choices = choices.by_ref().take(CHOICES_COMPARED).map(Into::into).collect();
        let uncompared = match choices.size_hint() {
            (least, Some(most)) if least == most => most,
            _ => choices.count(),
        };
        self.more_choices = uncompared + self.choices.len().saturating_sub(CHOICES_KEPT);
        let near = nearest(written, self.choices.iter().map(String::as_str)).map(str::to_owned);
        self.choices.truncate(CHOICES_KEPT);
        if let (None, Some(near)) = (&self.help, near) {
            self.help = Some(format!("did you mean `{near}`?"));
        }
        self
    }

    /// `path:line:col: what was found, what was expected [rule-name]`.
    #[must_use]
    pub fn headline(&self) -> String {
        format!(
            "{}: found {}, expected {} [{}]",
            self.place, self.found, self.expected, self.rule
        )
    }

    /// The headline, the source line with a caret, the help and the choices; each line ends in a line feed.
    #[must_use]
    pub fn render(&self) -> String {
        let mut text = self.headline() + "\n";
        text += self.frame.as_deref().unwrap_or_default();
        if let Some(help) = &self.help {
            let _ = writeln!(text, "  help: {help}");
        }
        if !self.choices.is_empty() {
            let _ = writeln!(text, "  choices: {}", self.listed());
        }
        text
    }

    /// The same with its path under a folder; an empty one changes nothing.
    #[must_use]
    pub fn under(mut self, folder: &str) -> Self {
        if !folder.is_empty() {
            self.place.path = format!("{}/{}", folder.trim_end_matches('/'), self.place.path);
        }
        self
    }

    /// One line that an editor can take apart: `path:line:column: level: text [rule]`. A place without a line is
    /// line 1, column 1; the help follows behind a semicolon.
    #[must_use]
    pub fn line(&self, level: &str) -> String {
        let Place { path, line, column } = &self.place;
        let (line, column) = ((*line).max(1), (*column).max(1));
        let help = self
            .help
            .as_ref()
            .map_or(String::new(), |help| format!("; {help}"));
        let text = format!("found {}, expected {}{help}", self.found, self.expected);
        let text: String = text.chars().map(one_cell).collect();
        format!("{path}:{line}:{column}: {level}: {text} [{}]", self.rule)
    }

    fn listed(&self) -> String {
        match self.more_choices {
            0 => self.choices.join(", "),
            more => format!("{}, and {more} more", self.choices.join(", ")),
        }
    }

    fn to_json(&self) -> serde_json::Value {
        serde_json::json!({
            "path": self.place.path,
            "line": self.place.line,
            "column": self.place.column,
            "rule": self.rule,
            "found": self.found,
            "expected": self.expected,
            "help": self.help,
            "choices": self.choices,
            "more_choices": self.more_choices,
        })
    }
}

/// A tab or a control character takes one cell, so that the caret stands below its column.
fn one_cell(c: char) -> char {
    match c {
        '\t' => ' ',
        c if c.is_control() => '\u{fffd}',
        c => c,
    }
}

/// A written word for a message: in backquotes, cut where it is long, without control characters.
#[must_use]
pub fn quoted(written: &str) -> String {
    const LONGEST: usize = 60;
    let mut short: String = written.chars().take(LONGEST).map(one_cell).collect();
    if written.chars().nth(LONGEST).is_some() {
        short.push('…');
    }
    format!("`{short}`")
}

/// All faults of one check, and what it notes besides.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    faults: Vec<Diagnostic>,
    notes: Vec<Diagnostic>,
}

impl Report {
    /// Adds one fault.
    pub fn push(&mut self, fault: Diagnostic) {
        self.faults.push(fault);
    }

    /// Adds something that an author may want to mend and that is no fault.
    pub fn note(&mut self, note: Diagnostic) {
        self.notes.push(note);
    }

    /// Adds the faults and the notes of another report.
    pub fn append(&mut self, mut other: Report) {
        self.faults.append(&mut other.faults);
        self.notes.append(&mut other.notes);
    }

    /// Whether no fault was found; notes do not count.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }

    /// The faults, in the order of their places once the report is finished.
    #[must_use]
    pub fn faults(&self) -> &[Diagnostic] {
        &self.faults
    }

    /// The notes, in the order of their places once the report is finished.
    #[must_use]
    pub fn notes(&self) -> &[Diagnostic] {
        &self.notes
    }

    /// Sorts the faults and the notes by place, drops what was found twice, and adds each source line.
    ///
    /// A procedure that several jobs play is checked in each, and may show the same fault in each.
    pub fn finish(&mut self, files: &BTreeMap<String, Vec<u8>>) {
        for found in [&mut self.faults, &mut self.notes] {
            found.sort();
            found.dedup();
            let mut lines = Lines::default();
            for one in found {
                one.frame = lines.frame(files, &one.place);
            }
        }
    }

    /// Every fault with its frame, a blank line between them; empty when there is none.
    #[must_use]
    pub fn render(&self) -> String {
        self.faults
            .iter()
            .map(Diagnostic::render)
            .collect::<Vec<_>>()
            .join("\n")
    }

    /// Every note as [`Report::render`] shows faults, under the heading `note`.
    #[must_use]
    pub fn render_notes(&self) -> String {
        let rendered = self.notes.iter().map(|note| format!("note: {}", note.render()));
        rendered.collect::<Vec<_>>().join("\n")
    }

    /// Every fault as an object with `path`, `line`, `column`, `rule`, `found`, `expected`, `help`, `choices`
    /// and `more_choices`, the number of choices that are not listed.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        self.faults.iter().map(Diagnostic::to_json).collect()
    }

    /// Every note in the same form.
    #[must_use]
    pub fn notes_to_json(&self) -> serde_json::Value {
        self.notes.iter().map(Diagnostic::to_json).collect()
    }
}
