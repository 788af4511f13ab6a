//! The house: which room may import which, held against the sources; and a few things that stand nowhere.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The table of `src/lib.rs`: room, and what it may import.
const ROOMS: &[(&str, &[&str])] = &[
    ("diagnostic", &[]),
    ("photo", &[]),
    ("quantity", &["words"]),
    ("scpi", &[]),
    ("seal", &[]),
    ("words", &[]),
    ("table", &["quantity"]),
    ("calc", &["quantity", "table", "words"]),
    ("circuit", &["quantity", "table", "calc", "words"]),
    ("content", &["diagnostic"]),
    (
        "procedure",
        &[
            "content",
            "diagnostic",
            "words",
            "quantity",
            "scpi",
            "table",
            "calc",
            "circuit",
        ],
    ),
    (
        "player",
        &["procedure", "words", "table", "calc", "quantity", "scpi"],
    ),
    ("people", &["seal"]),
    (
        "record",
        &[
            "seal",
            "people",
            "quantity",
            "words",
            "player",
            "calc",
            "procedure",
        ],
    ),
    (
        "audit",
        &[
            "record",
            "seal",
            "people",
            "player",
            "procedure",
            "words",
            "table",
            "calc",
            "circuit",
            "quantity",
        ],
    ),
    (
        "page",
        &[
            "audit",
            "record",
            "seal",
            "people",
            "player",
            "procedure",
            "words",
            "table",
            "calc",
            "quantity",
        ],
    ),
    ("report", &["page", "record", "words", "quantity"]),
    ("disk", &["record", "seal", "audit"]),
    ("meter", &["procedure", "quantity", "scpi"]),
    ("camera", &["photo", "words"]),
    ("session", ALL_BELOW),
    (
        "kiosk",
        &[
            "session",
            "photo",
            "words",
            "table",
            "page",
            "player",
            "procedure",
            "calc",
            "quantity",
            "seal",
            "people",
            "audit",
            "disk",
            "meter",
        ],
    ),
    (
        "cli",
        &[
            "diagnostic",
            "kiosk",
            "session",
            "photo",
            "words",
            "disk",
            "audit",
            "page",
            "player",
            "procedure",
            "people",
            "calc",
            "content",
            "seal",
            "report",
        ],
    ),
];

const ALL_BELOW: &[&str] = &[
    "diagnostic",
    "words",
    "photo",
    "quantity",
    "seal",
    "table",
    "calc",
    "content",
    "procedure",
    "player",
    "people",
    "record",
    "audit",
    "page",
    "report",
    "disk",
    "meter",
    "camera",
    "scpi",
];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every Rust file below a folder, with its text.
fn sources(folder: &Path) -> BTreeMap<PathBuf, String> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
    {
        if entry.is_dir() {
            files.extend(sources(&entry));
        } else if entry.extension().is_some_and(|extension| extension == "rs") {
            files.insert(entry.clone(), fs::read_to_string(&entry).expect("text"));
        }
    }
    files
}

/// The room that a file belongs to; none for `lib.rs` and `main.rs`.
fn room(path: &Path) -> Option<String> {
    let inside = path.strip_prefix(source()).expect("below src");
    let first = inside
        .components()
        .next()?
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    let room = first.trim_end_matches(".rs").to_owned();
    (!matches!(room.as_str(), "lib" | "main")).then_some(room)
}

/// The rooms that a line names as `crate::room`, those in a braced list among them.
fn named(line: &str) -> Vec<String> {
    let line = line.split("//").next().unwrap_or("");
    let mut found = Vec::new();
    for after in line.split("crate::").skip(1) {
        let word = |text: &str| -> String {
            text.chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect()
        };
        match after.strip_prefix('{') {
            Some(list) => found.extend(list.split(',').map(|part| word(part.trim()))),
            None => found.push(word(after)),
        }
    }
    found
}

#[test]
fn a_room_imports_only_what_the_table_allows() {
    let table: BTreeMap<&str, &[&str]> = ROOMS.iter().copied().collect();
    let mut broken = Vec::new();
    for (path, text) in sources(&source()) {
        let Some(room) = room(&path) else { continue };
        let Some(allowed) = table.get(room.as_str()) else {
            broken.push(format!(
                "{}: the room `{room}` is not in the table",
                path.display()
            ));
            continue;
        };
        for (at, line) in text.lines().enumerate() {
            for other in named(line) {
                let known = table.contains_key(other.as_str());
                if known && other != room && !allowed.contains(&other.as_str()) {
                    let rule = format!("`{room}` may import {allowed:?}");
                    broken.push(format!("{}:{}: `crate::{other}`; {rule}", path.display(), at + 1));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn the_reader_of_imports_sees_them() {
    assert_eq!(named("use crate::seal::{Line, Link};"), ["seal"]);
    assert_eq!(named("use crate::{calc, table::Tables};"), ["calc", "table"]);
    assert_eq!(
        named("    crate::disk::Shop::open(path) // crate::kiosk"),
        ["disk"]
    );
    assert!(named("// use crate::kiosk;").is_empty());
}

#[test]
fn only_the_kiosk_names_slint_and_one_file_names_the_yaml_crate() {
    let mut yaml = Vec::new();
    for (path, text) in sources(&source()) {
        let code = |word: &str| {
            text.lines()
                .any(|line| line.split("//").next().unwrap_or("").contains(word))
        };
        let in_kiosk = room(&path).is_some_and(|room| room == "kiosk");
        assert!(in_kiosk || !code("slint::"), "{} names Slint", path.display());
        if code("serde_yaml::") {
            yaml.push(path);
        }
    }
    assert_eq!(yaml.len(), 1, "{yaml:?}");
}

#[test]
fn files_and_the_main_function_keep_their_sizes() {
    let mut long = Vec::new();
    for (path, text) in sources(&source()) {
        let lines = text.lines().count();
        if lines > 400 {
            long.push(format!("{}: {lines} lines, at most 400", path.display()));
        }
    }
    assert!(long.is_empty(), "{}", long.join("\n"));
    let main = fs::read_to_string(source().join("main.rs")).expect("text");
    assert!(main.lines().count() < 30);
}

#[test]
fn no_unfinished_marks_stand_in_the_sources() {
    let marks = [
        concat!("TO", "DO"),
        concat!("FIX", "ME"),
        concat!("unimplemented", "!("),
        concat!("to", "do!("),
    ];
    for (path, text) in sources(&source()) {
        for mark in marks {
            assert!(!text.contains(mark), "{} holds {mark}", path.display());
        }
    }
}

/// Each line of the screen's files but those of this one, without its comment: where it stands, and what.
fn lines_of_the_screen(but: &str) -> Vec<(String, String)> {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("ui")];
    let mut lines = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder)
            .expect("a folder")
            .flatten()
            .map(|entry| entry.path())
        {
            if entry.is_dir() {
                folders.push(entry);
            } else if entry.extension().is_some_and(|e| e == "slint") && !entry.ends_with(but) {
                let text = fs::read_to_string(&entry).expect("text");
                let place = |at: usize| format!("{}:{}", entry.display(), at + 1);
                let code = |line: &str| line.split("//").next().unwrap_or("").to_owned();
                lines.extend(text.lines().enumerate().map(|(at, line)| (place(at), code(line))));
            }
        }
    }
    assert!(lines.len() > 1_000, "the screen is more than that");
    lines
}

#[test]
fn hex_colours_and_font_sizes_stand_in_the_tokens_alone() {
    for (place, code) in lines_of_the_screen("tokens.slint") {
        let colour = code
            .split('#')
            .skip(1)
            .any(|after| after.chars().take_while(char::is_ascii_hexdigit).count() >= 3);
        let size = code
            .split("font-size:")
            .nth(1)
            .is_some_and(|after| after.trim_start().starts_with(|c: char| c.is_ascii_digit()));
        assert!(!colour && !size, "{place}: {code}");
    }
}

#[test]
fn texts_of_the_screen_are_letters_that_are_drawn_anew() {
    for (place, code) in lines_of_the_screen("letters.slint") {
        let bare = code.trim_start().starts_with("Text {") || code.contains(" Text {");
        assert!(!bare, "{place}: use Letters of letters.slint: {code}");
    }
}
