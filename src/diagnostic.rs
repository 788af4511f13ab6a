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

mod nearest;
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
    /// Everything that is legal here, where that can be listed.
    pub choices: Vec<String>,
    /// The source line of the place, filled in by [`Report::finish`].
    pub source: Option<String>,
}

/// So many choices are printed; the rest is counted.
const CHOICES_SHOWN: usize = 40;
/// So many characters of a source line are printed around the caret.
const LINE_SHOWN: usize = 100;

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
            source: None,
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
        self.choices = choices.into_iter().map(Into::into).collect();
        let near = nearest(written, self.choices.iter().map(String::as_str));
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
        if let Some(source) = &self.source {
            text += &frame(source, self.place.line, self.place.column);
        }
        if let Some(help) = &self.help {
            let _ = writeln!(text, "  help: {help}");
        }
        if !self.choices.is_empty() {
            let _ = writeln!(text, "  choices: {}", listed(&self.choices));
        }
        text
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
        })
    }
}

fn listed(choices: &[String]) -> String {
    let shown = choices
        .iter()
        .take(CHOICES_SHOWN)
        .map(String::as_str)
        .collect::<Vec<_>>()
        .join(", ");
    match choices.len().saturating_sub(CHOICES_SHOWN) {
        0 => shown,
        more => format!("{shown}, and {more} more"),
    }
}

/// The source line under its number, and a caret below the column.
fn frame(source: &str, line: u32, column: u32) -> String {
    let at = column.saturating_sub(1) as usize;
    let start = at.saturating_sub(LINE_SHOWN * 2 / 3);
    let mut shown: String = source
        .chars()
        .skip(start)
        .take(LINE_SHOWN)
        .map(one_cell)
        .collect();
    if source.chars().count() > start + LINE_SHOWN {
        shown.push('…');
    }
    let before = if start > 0 { "…" } else { "" };
    let indent = " ".repeat(at - start + before.chars().count());
    let number = line.to_string();
    let margin = " ".repeat(number.len());
    format!(
        "  {number} | {before}{}\n  {margin} | {indent}^\n",
        shown.trim_end()
    )
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

/// All faults of one check.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    faults: Vec<Diagnostic>,
}

impl Report {
    /// Adds one fault.
    pub fn push(&mut self, fault: Diagnostic) {
        self.faults.push(fault);
    }

    /// Adds the faults of another report.
    pub fn append(&mut self, mut other: Report) {
        self.faults.append(&mut other.faults);
    }

    /// Whether nothing was found.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }

    /// The faults, in the order of their places once the report is finished.
    #[must_use]
    pub fn faults(&self) -> &[Diagnostic] {
        &self.faults
    }

    /// Sorts the faults by place, drops what was found twice, and adds each source line.
    ///
    /// A procedure that several jobs play is checked in each, and may show the same fault in each.
    pub fn finish(&mut self, files: &BTreeMap<String, Vec<u8>>) {
        self.faults.sort();
        self.faults.dedup();
        let mut lines = Lines::default();
        for fault in &mut self.faults {
            fault.source = lines.of(files, &fault.place);
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

    /// Every fault as an object with `path`, `line`, `column`, `rule`, `found`, `expected`, `help`, `choices`.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        self.faults.iter().map(Diagnostic::to_json).collect()
    }
}

/// The lines of the file last asked for, since sorted faults ask for one file after the other.
#[derive(Default)]
struct Lines {
    path: String,
    lines: Vec<String>,
}

impl Lines {
    fn of(&mut self, files: &BTreeMap<String, Vec<u8>>, place: &Place) -> Option<String> {
        let index = place.line.checked_sub(1)? as usize;
        if self.path != place.path || self.lines.is_empty() {
            let text = String::from_utf8_lossy(files.get(&place.path)?);
            self.lines = text.lines().map(str::to_owned).collect();
            self.path.clone_from(&place.path);
        }
        self.lines.get(index).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(line: u32, column: u32) -> Place {
        Place {
            path: "a.yaml".into(),
            line,
            column,
        }
    }

    fn finished(source: &str, faults: Vec<Diagnostic>) -> Report {
        let mut report = Report { faults };
        report.finish(&BTreeMap::from([(
            "a.yaml".to_owned(),
            source.as_bytes().to_vec(),
        )]));
        report
    }

    #[test]
    fn a_frame_shows_the_line_and_a_caret() {
        let fault = Diagnostic::new(
            at(2, 3),
            "unknown-key",
            "the unknown key `hazrds`",
            "a key of a step",
        )
        .choose("hazrds", ["id", "hazards", "do"]);
        let expected = "\
a.yaml:2:3: found the unknown key `hazrds`, expected a key of a step [unknown-key]
  2 |   hazrds: [x]
    |   ^
  help: did you mean `hazards`?
  choices: id, hazards, do
";
        assert_eq!(
            finished("- id: a\n  hazrds: [x]\r\n", vec![fault]).render(),
            expected
        );
    }

    #[test]
    fn faults_are_sorted_by_place_and_said_once() {
        let fault = |line| Diagnostic::new(at(line, 1), "r", "this", "that");
        let report = finished("x\ny\nz\n", vec![fault(10), fault(2), fault(10)]);
        let lines: Vec<u32> = report.faults().iter().map(|fault| fault.place.line).collect();
        assert_eq!(lines, [2, 10]);
    }

    #[test]
    fn a_long_line_is_cut_around_the_caret() {
        let source = format!("{}!{}", "a".repeat(500), "b".repeat(500_000));
        let text = finished(&source, vec![Diagnostic::new(at(1, 501), "r", "this", "that")]).render();
        let lines: Vec<&str> = text.lines().collect();
        let column = lines[2].chars().position(|c| c == '^').unwrap();
        assert_eq!(lines[1].chars().nth(column), Some('!'), "{text}");
        assert!(text.len() < 500);
    }

    #[test]
    fn a_place_without_a_line_shows_no_frame() {
        let fault = Diagnostic::new(at(0, 0), "too-large", "2 bytes", "1 byte");
        let text = finished("x", vec![fault]).render();
        assert_eq!(text, "a.yaml: found 2 bytes, expected 1 byte [too-large]\n");
    }

    #[test]
    fn json_names_every_part() {
        let report = finished(
            "x",
            vec![
                Diagnostic::new(at(1, 1), "r", "this", "that")
                    .choose("a", ["b"])
                    .help("h"),
            ],
        );
        let expected = serde_json::json!([{
            "path": "a.yaml", "line": 1, "column": 1, "rule": "r",
            "found": "this", "expected": "that", "help": "h", "choices": ["b"],
        }]);
        assert_eq!(report.to_json(), expected);
    }
}
