//! What is kept, what is refused, and that nothing exhausts the program.

use super::*;

fn faults(bytes: &[u8]) -> Vec<String> {
    let parsed = parse("a.yaml", bytes);
    let line = |fault: &crate::diagnostic::Diagnostic| {
        format!("{}:{} {}", fault.place.line, fault.place.column, fault.rule)
    };
    parsed.faults.faults().iter().map(line).collect()
}

fn scalars(text: &str) -> Vec<(String, u32, u32)> {
    fn walk(node: &Node, found: &mut Vec<(String, u32, u32)>) {
        match &node.kind {
            Kind::Scalar { text, .. } => found.push((text.clone(), node.spot.line, node.spot.column)),
            Kind::List(items) => items.iter().for_each(|item| walk(item, found)),
            Kind::Map(entries) => {
                for (key, value) in entries {
                    found.push((key.text.clone(), key.spot.line, key.spot.column));
                    walk(value, found);
                }
            }
        }
    }
    let parsed = parse("a.yaml", text.as_bytes());
    assert!(parsed.faults.is_clean(), "{}", parsed.faults.render());
    let mut found = Vec::new();
    walk(&parsed.root.unwrap(), &mut found);
    found
}

#[test]
fn a_scalar_keeps_its_text_and_its_place() {
    for text in [
        "2.5 bar", "0.3", "1e3", "yes", "007", "0x10", "1_000", "14 AWG", "10 %", "60 °C", "true",
    ] {
        assert_eq!(
            scalars(&format!("k: {text}"))[1],
            (text.to_owned(), 1, 4),
            "{text}"
        );
    }
    let text = "a:\n  - {b: 'it''s', ü: \"q\\n\"}\n  - |\n    two\n    lines\n";
    let expected = [
        ("a", 1, 1),
        ("b", 2, 6),
        ("it's", 2, 9),
        ("ü", 2, 18),
        ("q\n", 2, 21),
        ("two\nlines\n", 4, 5),
    ];
    let expected: Vec<_> = expected
        .iter()
        .map(|(text, line, column)| ((*text).to_owned(), *line, *column))
        .collect();
    assert_eq!(scalars(text), expected);
}

#[test]
fn a_quoted_word_is_not_nothing() {
    let nothing = |text: &str| {
        parse("a.yaml", text.as_bytes())
            .root
            .unwrap()
            .get("k")
            .unwrap()
            .is_nothing()
    };
    assert!(nothing("k:") && nothing("k: ~") && nothing("k: null"));
    assert!(!nothing("k: ''") && !nothing("k: 'null'") && !nothing("k: no"));
}

#[test]
fn faults_that_leave_the_tree_whole_are_all_told() {
    let text = "a: &x 1\nb: *x\nc: !!int 2\na: 3\n<<: {d: 4}\ne: *nowhere\n";
    let expected = [
        "1:7 yaml-feature",
        "2:4 yaml-feature",
        "3:4 yaml-feature",
        "4:1 duplicate-key",
        "5:1 yaml-feature",
        "6:4 yaml-feature",
    ];
    assert_eq!(faults(text.as_bytes()), expected);
    assert!(parse("a.yaml", text.as_bytes()).root.is_some());
}

#[test]
fn what_cannot_be_read_is_refused_at_its_place() {
    let rows: [(&[u8], &str); 12] = [
        (b"a: 1\n---\nb: 2\n", "2:1 yaml-feature"),
        (b"? [a, b]\n: c\n", "1:3 yaml-feature"),
        (b"a: [1, 2\n", "1:4 yaml-syntax"),
        (b"a: 'x\n", "1:4 yaml-syntax"),
        (b"a: b: c\n", "1:5 yaml-syntax"),
        (b"a:\n\tb: 1\n", "2:2 yaml-syntax"),
        (b"a: @b\n", "1:4 yaml-syntax"),
        (b"a: 1\nb: \xff\n", "2:4 encoding"),
        (b"a: x\0y\n", "1:5 encoding"),
        (b"\xef\xbb\xbfa: 1\n", "1:1 encoding"),
        ("a: x\u{202e}y\n".as_bytes(), "1:5 encoding"),
        (b"%YAML 1.2\n---\na: 1\n---\nb: 1\n", "4:1 yaml-feature"),
    ];
    for (bytes, expected) in rows {
        assert_eq!(faults(bytes), [expected], "{}", String::from_utf8_lossy(bytes));
        assert!(parse("a.yaml", bytes).root.is_none());
    }
}

#[test]
fn an_empty_file_has_no_tree_or_nothing_in_it() {
    for text in ["", "\n", "# a remark\n"] {
        let parsed = parse("a.yaml", text.as_bytes());
        assert!(parsed.faults.is_clean());
        assert!(parsed.root.is_none_or(|root| root.is_nothing()));
    }
}

#[test]
fn nesting_is_bounded_and_never_exhausts_the_stack() {
    let deep = 100_000;
    let blocks: String = (0..1_000)
        .map(|depth| format!("{}a:\n", " ".repeat(depth)))
        .collect();
    let texts = [
        ("[".repeat(deep), "too-deep"),
        ("{a: ".repeat(deep), "too-deep"),
        ("- ".repeat(deep), "too-deep"),
        ("? ".repeat(deep), "yaml-feature"),
        ("a: [".repeat(deep), "too-deep"),
        (blocks, "too-deep"),
        (format!("{}{}", "[".repeat(deep), "]".repeat(deep)), "too-deep"),
    ];
    for (text, rule) in texts {
        let found = faults(text.as_bytes());
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].ends_with(rule), "{found:?}");
    }
    let edge = format!("{}x{}", "[".repeat(DEEPEST), "]".repeat(DEEPEST));
    assert!(faults(edge.as_bytes()).is_empty());
    let over = format!("{}x{}", "[".repeat(DEEPEST + 1), "]".repeat(DEEPEST + 1));
    assert_eq!(faults(over.as_bytes()).len(), 1);
}

#[test]
fn bombs_and_giants_are_bounded() {
    let mut bomb = "a0: &a0 [x, x]\n".to_owned();
    for level in 1..40 {
        bomb += &format!("a{level}: &a{level} [*a{}, *a{}]\n", level - 1, level - 1);
    }
    assert_eq!(faults(bomb.as_bytes()).len(), 40 + 39 * 2);

    let large = vec![b'a'; LARGEST_FILE + 1];
    assert_eq!(faults(&large), ["0:0 too-large"]);
    let giant = format!("a: {}\n", "x".repeat(LARGEST_FILE - 10));
    assert!(faults(giant.as_bytes()).is_empty());
    let many = format!("[{}]", "1,".repeat(MOST_NODES + 1));
    assert!(faults(many.as_bytes())[0].ends_with("too-large"));
}

#[test]
fn a_file_of_the_largest_size_is_read_to_its_end_or_refused() {
    let fill = |unit: &str| unit.repeat(LARGEST_FILE / unit.len());
    let texts = [
        fill("a"),
        fill("a\n"),
        fill("a: "),
        fill("'"),
        fill("\"\n"),
        fill("*a "),
        fill("&a "),
        fill("!a "),
        fill("#\n"),
        fill("- \n"),
        fill(" \n"),
        fill("{},"),
        fill("? a\n"),
        fill("a: b\n"),
        fill("- - "),
        fill("%a\n"),
        fill("---\n"),
        fill("\r"),
        fill("|\n"),
        fill("[]"),
        fill("a: |\n "),
        fill("é"),
        fill("- a\n"),
        fill("b:\n- a\n"),
    ];
    for text in texts {
        let _ = parse("a.yaml", text.as_bytes());
    }
}

proptest::proptest! {
    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..400)) {
        let _ = parse("a.yaml", &bytes);
    }

    #[test]
    fn no_yaml_like_text_panics(text in "[-a:{}\\[\\], \n'\"&*!|>#%?@~<0.1]{0,80}") {
        let _ = parse("a.yaml", text.as_bytes());
    }
}
