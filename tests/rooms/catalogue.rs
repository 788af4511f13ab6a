//! The program's catalogues: every text that people read has its translation, and no translation is left over.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use witnessmark::calc;
use witnessmark::quantity::Unit;
use witnessmark::words::{Catalogue, places};

/// A text with the form for several, and the context that it stands in.
type Text = (Option<String>, String, Option<String>);

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &Path, extension: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path, extension));
        } else if path.extension().is_some_and(|e| e == extension) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The text of a source without comment lines, and without the tests at its end.
fn source(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("text");
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    lines.collect::<Vec<_>>().join("\n")
}

/// The string literal at the beginning of a source, and what stands after it.
fn literal(source: &str) -> Option<(String, &str)> {
    let mut letters = source.trim_start().strip_prefix('"')?.chars();
    let mut text = String::new();
    loop {
        match letters.next()? {
            '"' => return Some((text, letters.as_str().trim_start())),
            '\\' => match letters.next()? {
                'n' => text.push('\n'),
                '\n' => letters = letters.as_str().trim_start().chars(),
                letter => text.push(letter),
            },
            letter => text.push(letter),
        }
    }
}

/// One text, or one and many, at the beginning of a source.
fn text(source: &str) -> Option<Text> {
    let (first, rest) = literal(source)?;
    if let Some(rest) = rest.strip_prefix("=>") {
        let (text, _) = literal(rest)?;
        return Some((Some(first), text, None));
    }
    let many = rest.strip_prefix('|').and_then(literal).map(|(many, _)| many);
    Some((None, first, many))
}

/// What stands after the first argument of a call.
fn second_argument(source: &str) -> Option<&str> {
    let mut depth = 0;
    for (at, letter) in source.char_indices() {
        match letter {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' if depth == 0 => return None,
            ')' | ']' | '}' => depth -= 1,
            ',' if depth == 0 => return Some(&source[at + 1..]),
            _ => {}
        }
    }
    None
}

fn of_rust(source: &str) -> Vec<Text> {
    let after = |call: &str| {
        source
            .match_indices(call)
            .map(|(at, _)| (at, &source[at + call.len()..]))
            .collect::<Vec<_>>()
    };
    // A calculator's notes are sentences that are said when it is known to whom.
    let noted = ["note!(", ".note("].into_iter().flat_map(after);
    let noted = noted.filter_map(|(_, rest)| text(rest));
    let noted_if: Vec<_> = [".note_if(", "given.refuse("]
        .into_iter()
        .flat_map(after)
        .collect();
    let noted_if = noted_if
        .into_iter()
        .filter_map(|(_, rest)| text(second_argument(rest)?));
    let said = after("say!(").into_iter().filter_map(|(at, rest)| {
        let marked = source[..at].ends_with("to_");
        text(if marked { rest } else { second_argument(rest)? })
    });
    let looked_up = after(".say(").into_iter().filter_map(|(_, rest)| text(rest));
    said.chain(looked_up).chain(noted).chain(noted_if).collect()
}

fn of_screen(source: &str) -> Vec<Text> {
    source
        .match_indices("@tr(")
        .map(|(at, call)| text(&source[at + call.len()..]).expect("a literal in @tr"))
        .collect()
}

/// What a calculator is called, what it takes and gives, and what is measured; sizes and classes are the same in every language.
fn of_calculators() -> impl Iterator<Item = Text> {
    let words = calc::all().iter().flat_map(|calculator| {
        let spec = calculator.spec;
        let inputs = spec.inputs.iter().flat_map(|input| [input.label, input.about]);
        let outputs = spec.outputs.iter().map(|output| output.label);
        let options = spec.inputs.iter().flat_map(|input| input.kind.options());
        let answers = spec.outputs.iter().flat_map(|output| output.legal_words());
        let plain = |word: &&&str| {
            word.chars()
                .all(|letter| letter.is_lowercase() || " -".contains(letter))
        };
        let said = options.chain(answers).filter(plain).copied();
        let ranges = spec.inputs.iter().flat_map(|input| input.kind.ranges());
        let ranges = ranges.map(|range| range.range_from);
        [spec.title]
            .into_iter()
            .chain(inputs)
            .chain(outputs)
            .chain(said)
            .chain(ranges)
    });
    let dimensions = Unit::all().map(|unit| unit.dimension().name());
    let words = words.chain(dimensions);
    words.map(|label| (None, label.to_owned(), None))
}

/// Every text of the program, with where it stands first.
fn texts() -> BTreeMap<Text, PathBuf> {
    let mut found = BTreeMap::new();
    for path in files(&root().join("ui"), "slint") {
        for text in of_screen(&source(&path)) {
            found.entry(text).or_insert_with(|| path.clone());
        }
    }
    for path in files(&root().join("src"), "rs") {
        let tests = path.to_string_lossy().contains("tests");
        if tests || path.starts_with(root().join("src/words")) {
            continue;
        }
        for text in of_rust(&source(&path)) {
            found.entry(text).or_insert_with(|| path.clone());
        }
    }
    for text in of_calculators() {
        found.entry(text).or_insert_with(|| root().join("src/calc"));
    }
    found
}

fn catalogues() -> Vec<(String, Catalogue)> {
    let folder = root().join("ui/lang");
    files(&folder, "po")
        .into_iter()
        .map(|path| {
            let bytes = fs::read(&path).expect("bytes");
            let catalogue = Catalogue::parse(&bytes).unwrap_or_else(|faults| {
                let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
                panic!("{}:\n{}", path.display(), faults.join("\n"))
            });
            (path.display().to_string(), catalogue)
        })
        .collect()
}

/// What is wrong with the translation of one text; nothing where it counts.
fn fault(catalogue: &Catalogue, (context, one, many): &Text) -> Option<String> {
    let Some(entry) = catalogue.entry(context.as_deref(), one) else {
        return Some("has no entry".to_owned());
    };
    if !entry.translated() {
        return Some("is not translated, or fuzzy".to_owned());
    }
    if entry.many != *many {
        return Some(format!("has the plural {:?}, not {many:?}", entry.many));
    }
    let differs = entry.says.iter().find(|says| places(says) != places(one));
    differs.map(|says| format!("has other places in its translation {says:?}"))
}

#[test]
fn every_text_of_the_program_is_translated() {
    let texts = texts();
    assert!(texts.len() > 500, "only {} texts were found", texts.len());
    let catalogues = catalogues();
    assert!(!catalogues.is_empty());
    for (path, catalogue) in &catalogues {
        let faults: Vec<String> = texts
            .iter()
            .filter_map(|(text, at)| {
                let fault = fault(catalogue, text)?;
                Some(format!("{}: {:?} {fault}", at.display(), text.1))
            })
            .collect();
        assert!(faults.is_empty(), "{path}:\n{}", faults.join("\n"));
    }
}

#[test]
fn no_translation_is_left_over() {
    let texts = texts();
    let known: BTreeSet<(Option<&str>, &str)> = texts
        .keys()
        .map(|(context, one, _)| (context.as_deref(), one.as_str()))
        .collect();
    for (path, catalogue) in catalogues() {
        let entries = catalogue.entries().iter().filter(|entry| !entry.stale);
        let stale: Vec<String> = entries
            .filter(|entry| !known.contains(&(entry.context.as_deref(), entry.text.as_str())))
            .map(|entry| format!("line {}: {:?}", entry.line, entry.text))
            .collect();
        assert!(stale.is_empty(), "{path}: nothing says\n{}", stale.join("\n"));
    }
}

/// Words on the screen that are the same in every language: the program's name, and the alphabet.
const SAME: [&str; 3] = ["Witnessmark", "Witnessmark ", "abc"];

/// The literals of a page that a person would see or hear untranslated.
fn bare(source: &str) -> Vec<String> {
    const SEEN: [&str; 11] = [
        "text:",
        "label:",
        "accessible-label:",
        "accessible-description:",
        "note:",
        "title:",
        "says:",
        "hint:",
        "name:",
        "action:",
        "description:",
    ];
    let mut found = Vec::new();
    for line in source
        .lines()
        .filter(|line| SEEN.iter().any(|seen| line.contains(seen)))
    {
        for (at, _) in line.match_indices('"').step_by(2) {
            let Some((text, rest)) = literal(&line[at..]) else {
                continue;
            };
            let before = line[..at].trim_end();
            let compared = before.ends_with("==") || before.ends_with("!=");
            let sign = before.ends_with("icon:") || before.ends_with("name:") || line.contains("Icon {");
            let translated = before.ends_with("@tr(") || rest.starts_with("=>") || before.ends_with('|');
            let words = text.chars().filter(|letter| letter.is_alphabetic()).count() > 1;
            if words && !compared && !sign && !translated && !SAME.contains(&text.as_str()) {
                found.push(text);
            }
        }
    }
    found
}

/// Preview data in `ui/adapters` is what a designer looks at, and no interface text: the program sets it all anew.
#[test]
fn nothing_on_the_screen_is_said_past_the_catalogue() {
    for folder in ["ui/components", "ui/pages"] {
        for path in files(&root().join(folder), "slint") {
            let drawn = path.ends_with("icon.slint")
                || path.ends_with("sign.slint") && folder.ends_with("components");
            let found = if drawn { Vec::new() } else { bare(&source(&path)) };
            let shapes: Vec<&String> = found
                .iter()
                .filter(|text| !ICONS.contains(&text.as_str()))
                .collect();
            assert!(shapes.is_empty(), "{}: {shapes:?}", path.display());
        }
    }
}

/// Names of icons that a page chooses among.
const ICONS: [&str; 14] = [
    "up", "down", "tick", "cross", "gauge", "eye", "hold", "plot", "sums", "day", "night", "about",
    "practice", "list",
];

#[test]
fn the_reader_of_texts_finds_them() {
    let plain = |text: &str| (None, text.to_owned(), None);
    assert_eq!(
        of_rust(r#"say!(words.of(a, b), "One {x}", x = 1); a.say("Two"); to_say!("Three")"#),
        [plain("One {x}"), plain("Three"), plain("Two")]
    );
    let many = (None, "{n} step".to_owned(), Some("{n} steps".to_owned()));
    assert_eq!(
        of_rust("say!(\n  w,\n  \"{n} step\" | \"{n} steps\",\n n = 2)"),
        [many]
    );
    assert_eq!(
        of_screen(r#"text: @tr("verb" => "Open");"#),
        [(Some("verb".to_owned()), "Open".to_owned(), None)]
    );
    assert_eq!(
        of_screen(r#"text: a ? @tr("A \"b\"") : @tr("C");"#),
        [plain("A \"b\""), plain("C")]
    );
    assert_eq!(
        bare(r#"text: a == "no" ? @tr("Yes") : "Bare words";"#),
        ["Bare words"]
    );
    assert!(bare(r#"Plate { icon: "up"; text: "+"; }"#).is_empty());
}

#[test]
fn a_text_without_its_translation_is_a_fault() {
    let po = "msgid \"\"\nmsgstr \"\"\n\"Language: de\\n\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"\n\nmsgid \"At {n}\"\nmsgstr \"Bei {m}\"\n";
    let catalogue = Catalogue::parse(po.as_bytes()).expect("a catalogue");
    let text = |text: &str| (None, text.to_owned(), None);
    assert_eq!(fault(&catalogue, &text("Past")), Some("has no entry".to_owned()));
    let places = fault(&catalogue, &text("At {n}")).expect("other places");
    assert!(places.contains("Bei {m}"), "{places}");
}
