//! A catalogue to the text of a PO file.

use super::{Catalogue, Entry};
use std::fmt::Write;

impl Catalogue {
    /// The catalogue as a PO file, which reads back as the same catalogue.
    #[must_use]
    pub fn print(&self) -> String {
        let mut text = String::new();
        lines(&mut text, &self.remarks);
        text.push_str("msgid \"\"\nmsgstr \"\"\n");
        for (key, value) in &self.header {
            let _ = writeln!(text, "{}", quoted(&format!("{key}: {value}\n")));
        }
        for entry in &self.entries {
            text.push('\n');
            print(&mut text, entry);
        }
        if !self.end_remarks.is_empty() {
            text.push('\n');
            lines(&mut text, &self.end_remarks);
        }
        text
    }
}

fn lines(text: &mut String, lines: &[String]) {
    for line in lines {
        let _ = writeln!(text, "{line}");
    }
}

fn print(text: &mut String, entry: &Entry) {
    lines(text, &entry.comments);
    if entry.fuzzy {
        text.push_str("#, fuzzy\n");
    }
    let mark = if entry.stale { "#~ " } else { "" };
    let mut line = |key: &str, value: &str| {
        let _ = writeln!(text, "{mark}{key} {}", quoted(value));
    };
    if let Some(context) = &entry.context {
        line("msgctxt", context);
    }
    line("msgid", &entry.text);
    match &entry.many {
        None => line("msgstr", entry.says.first().map_or("", String::as_str)),
        Some(many) => {
            line("msgid_plural", many);
            for (form, says) in entry.says.iter().enumerate() {
                line(&format!("msgstr[{form}]"), says);
            }
        }
    }
}

fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\r' => quoted.push_str("\\r"),
            '\t' => quoted.push_str("\\t"),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
