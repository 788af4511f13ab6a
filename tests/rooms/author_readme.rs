//! The page for authors, `content/README.md`: its procedure of three steps is whole, and every example keeps its form.

use std::collections::BTreeMap;
use witnessmark::diagnostic::Report;
use witnessmark::procedure::{check, load, register, register_for};

const README: &str = include_str!("../../content/README.md");

/// The fenced YAML of a part of the page: what its first line names, and the text.
fn blocks(part: &str) -> Vec<(String, String)> {
    let fenced = part.split("```yaml\n").skip(1);
    let block = |rest: &str| {
        let text = rest.split("```").next().unwrap().to_owned();
        let first = text.lines().next().unwrap();
        let name = first
            .strip_prefix("# ")
            .unwrap_or_else(|| panic!("the first line names no file: {first}"));
        (name.to_owned(), text)
    };
    fenced.map(block).collect()
}

fn parts() -> (&'static str, &'static str) {
    README
        .split_once("## With an editor")
        .expect("the part that follows the first")
}

/// The files of the content; what lies beside it is the shop's.
fn first_content() -> BTreeMap<String, Vec<u8>> {
    let blocks = blocks(parts().0);
    blocks
        .into_iter()
        .filter(|(name, _)| !name.starts_with("../"))
        .map(|(name, text)| (name, text.into_bytes()))
        .collect()
}

#[test]
fn the_first_procedure_is_whole_and_without_a_note() {
    let files = first_content();
    assert_eq!(files.len(), 5);
    let (library, report) = check(files);
    assert!(
        report.is_clean() && report.notes().is_empty(),
        "{}{}",
        report.render(),
        report.render_notes()
    );
    let library = library.expect("content");
    let (procedure, _) = &library.jobs[0].procedures[0];
    assert_eq!(procedure.steps.len(), 3);
    let blocks = blocks(parts().0);
    let beside = blocks
        .iter()
        .filter(|(name, _)| name.starts_with("../"))
        .collect::<Vec<_>>();
    let [(path, text)] = beside.as_slice() else {
        panic!("one file stands beside the content: {beside:?}");
    };
    let instruments = register_for(text.as_bytes(), path, &library.shared).expect("a register");
    assert_eq!(instruments.len(), 1);
    assert_eq!((library.jobs.len(), library.jobs[0].procedures.len()), (1, 1));
}

/// The slip that the page proposes to try, and the line that it shows.
#[test]
fn the_slip_that_the_page_shows_gives_the_line_that_it_shows() {
    let mut files = first_content();
    let lamp = String::from_utf8(files["procedures/lamp.yaml"].clone()).unwrap();
    let slipped = lamp.replacen("    tools: [spanner]", "    tols: [spanner]", 1);
    files.insert("procedures/lamp.yaml".to_owned(), slipped.into_bytes());
    let report = check(files).1;
    let shown = report
        .faults()
        .iter()
        .map(|fault| fault.clone().under("my-content").line("fault"));
    let shown: Vec<String> = shown
        .filter(|line| README.contains(&format!("    {line}\n")))
        .collect();
    assert_eq!(shown.len(), 1, "{}", report.render());
}

/// Rules that a piece of content breaks only because the rest of it is not on the page.
const NEED_THE_REST: [&str; 11] = [
    "guard-unknown-hold",
    "no-job",
    "procedure-missing",
    "unknown-act",
    "unknown-circuit",
    "unknown-hazard",
    "unknown-reference",
    "unknown-tool",
    "unused-circuit",
    "unused-layout",
    "unused-procedure",
];

fn expect_form(name: &str, report: &Report) {
    let mut wrong = report
        .faults()
        .iter()
        .filter(|fault| !NEED_THE_REST.contains(&fault.rule));
    assert!(wrong.next().is_none(), "{name}:\n{}", report.render());
}

#[test]
fn every_other_example_keeps_its_form() {
    let blocks = blocks(parts().1);
    let mut seen = 0;
    for (name, text) in &blocks {
        match name.as_str() {
            "instruments.yaml in the shop's folder" => drop(register(text).expect(name)),
            "work_out of a step" => expect_form(name, &load(with_step("    reopens: [bolt]\n", text)).1),
            "picture and callouts of a step" => {
                let mut files = with_step("    read:\n      lamp_current:\n", text);
                files.extend(drawn_circuit(&blocks));
                expect_form(name, &load(files).1);
            }
            "picture of a step that shows a layout" => {
                let mut files = with_step("    read:\n      lamp_current:\n", text);
                let layout = blocks.iter().find(|(name, _)| name == "layouts/fuel.yaml");
                let (path, layout) = layout.expect("the page's layout").clone();
                files.insert(path, layout.into_bytes());
                expect_form(name, &load(files).1);
            }
            "the end of circuits/feed.yaml" => expect_form(name, &load(drawn_circuit(&blocks)).1),
            _ => expect_form(
                name,
                &load(BTreeMap::from([(name.clone(), text.clone().into_bytes())])).1,
            ),
        }
        seen += 1;
    }
    assert!(seen >= 9, "{seen}");
    assert!(!README.contains("```yml"), "every example is found");
}

/// The page's circuit with the end that says how it is drawn.
fn drawn_circuit(blocks: &[(String, String)]) -> BTreeMap<String, Vec<u8>> {
    let path = "circuits/feed.yaml";
    let text_of = |wanted: &str| {
        let block = blocks.iter().find(|(name, _)| name == wanted);
        block.expect(wanted).1.clone()
    };
    let whole = text_of(path) + &text_of("the end of circuits/feed.yaml");
    BTreeMap::from([(path.to_owned(), whole.into_bytes())])
}

/// The first content with more keys in its second step, before these lines of it.
fn with_step(before: &str, more: &str) -> BTreeMap<String, Vec<u8>> {
    let mut files = first_content();
    let lamp = String::from_utf8(files["procedures/lamp.yaml"].clone()).unwrap();
    let indented: String = more.lines().map(|line| format!("    {line}\n")).collect();
    let with = lamp.replacen(before, &format!("{indented}{before}"), 1);
    assert_ne!(with, lamp, "the step holds {before}");
    files.insert("procedures/lamp.yaml".to_owned(), with.into_bytes());
    files
}
