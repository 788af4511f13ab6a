//! How faults are shown.

use super::*;

fn at(line: u32, column: u32) -> Place {
    Place {
        path: "a.yaml".into(),
        line,
        column,
    }
}

fn finished(source: &str, faults: Vec<Diagnostic>) -> Report {
    let mut report = Report {
        faults,
        ..Report::default()
    };
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
fn a_line_with_many_faults_is_walked_once() {
    let source = "{é, ".repeat(100_000);
    let faults = (0..100_000)
        .map(|n| Diagnostic::new(at(1, n * 4 + 2), "r", "this", "that"))
        .collect();
    let report = finished(&source, faults);
    for fault in report.faults() {
        let frame = fault.frame.as_deref().unwrap();
        let (shown, below) = frame.split_once('\n').unwrap();
        let column = below.chars().position(|c| c == '^').unwrap();
        assert_eq!(shown.chars().nth(column), Some('é'), "{frame}");
    }
}

#[test]
fn a_long_list_is_counted_and_still_gives_the_nearest() {
    let words: Vec<String> = (0..300).map(|n| format!("word-{n}")).collect();
    let fault = Diagnostic::new(at(0, 0), "r", "this", "that").choose("wrod-299", words);
    assert_eq!((fault.choices.len(), fault.more_choices), (64, 236));
    assert_eq!(fault.help.as_deref(), Some("did you mean `word-299`?"));
    assert!(fault.render().ends_with("word-63, and 236 more\n"));
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
        "found": "this", "expected": "that", "help": "h", "choices": ["b"], "more_choices": 0,
    }]);
    assert_eq!(report.to_json(), expected);
}
