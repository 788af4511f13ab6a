//! Faults and notes as SARIF 2.1.0 (OASIS Standard, 2020), for tools that take it.

use super::{Checked, Level};
use crate::diagnostic::Diagnostic;
use serde_json::{Value, json};
use std::collections::BTreeSet;

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// One run over everything that was checked.
pub(super) fn log(all: &[Checked], notes: bool) -> Value {
    let mut results = Vec::new();
    let mut rules = BTreeSet::new();
    for one in all {
        for (found, level) in one.found(notes) {
            rules.insert(found.rule);
            results.push(result(&found, level));
        }
    }
    let rules: Vec<Value> = rules.into_iter().map(|rule| json!({ "id": rule })).collect();
    let driver = json!({
        "name": "witnessmark check", "version": env!("CARGO_PKG_VERSION"), "rules": rules,
    });
    json!({
        "$schema": SCHEMA, "version": "2.1.0",
        // Columns count characters, as the faults do.
        "runs": [{ "tool": { "driver": driver }, "columnKind": "unicodeCodePoints", "results": results }],
    })
}

fn result(found: &Diagnostic, level: Level) -> Value {
    let level = match level {
        Level::Fault => "error",
        Level::Note => "note",
    };
    let mut physical = json!({ "artifactLocation": { "uri": uri(&found.place.path) } });
    if found.place.line > 0 {
        physical["region"] = json!({ "startLine": found.place.line, "startColumn": found.place.column });
    }
    let help = found
        .help
        .as_ref()
        .map_or(String::new(), |help| format!(" ({help})"));
    json!({
        "ruleId": found.rule, "level": level,
        "message": { "text": format!("Found {}, expected {}{help}.", found.found, found.expected) },
        "locations": [{ "physicalLocation": physical }],
    })
}

/// A path as a relative or rooted reference of RFC 3986: what is not plain is written as bytes.
fn uri(path: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/');
    let written = |byte: u8| match plain(byte) {
        true => (byte as char).to_string(),
        false => format!("%{byte:02X}"),
    };
    let relative: String = path.bytes().map(written).collect();
    match path.starts_with('/') {
        true => format!("file://{relative}"),
        false => relative,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Place, Report};
    use std::path::PathBuf;

    #[test]
    fn a_fault_and_a_note_become_results() {
        let place = |line| Place {
            path: "jobs/a b.yaml".to_owned(),
            line,
            column: 3,
        };
        let mut report = Report::default();
        report.push(Diagnostic::new(place(2), "unknown-key", "`tols`", "a key").choose("tols", ["tools"]));
        report.note(Diagnostic::new(place(0), "text-hard", "grade 9", "grade 8"));
        let checked = Checked {
            under: PathBuf::from("my"),
            report,
            clean: String::new(),
            lost: false,
        };
        let log = log(&[checked], true);
        let run = &log["runs"][0];
        assert_eq!(log["version"], "2.1.0");
        assert_eq!(
            run["tool"]["driver"]["rules"],
            json!([{ "id": "text-hard" }, { "id": "unknown-key" }])
        );
        let first = json!({
            "ruleId": "unknown-key", "level": "error",
            "message": { "text": "Found `tols`, expected a key (did you mean `tools`?)." },
            "locations": [{ "physicalLocation": {
                "artifactLocation": { "uri": "my/jobs/a%20b.yaml" },
                "region": { "startLine": 2, "startColumn": 3 },
            } }],
        });
        assert_eq!(run["results"][0], first);
        assert_eq!(run["results"][1]["level"], "note");
        assert!(run["results"][1]["locations"][0]["physicalLocation"]["region"].is_null());
        assert_eq!(uri("/tmp/é"), "file:///tmp/%C3%A9");
    }
}
