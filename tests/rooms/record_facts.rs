//! Facts to entries and back: nothing is lost, and nothing else is accepted.

use super::any_fact;
use crate::played_job::{self, Run};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use serde_json::Value;
use witnessmark::record::{self, Kind, Said};
use witnessmark::seal::{Digest, Lines, Opened, RawLine, digest};

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_fact_comes_back_as_it_was(fact in any_fact::fact()) {
        let prev = digest(b"the line before");
        let text = record::write(&fact, prev, "2026-0001").expect("an entry");
        let (entry, back) = record::read(&text).expect("a fact");
        prop_assert_eq!(&back, &fact);
        prop_assert_eq!(back.at.offset(), fact.at.offset());
        prop_assert_eq!((entry.n, entry.prev), (fact.n, prev));
        expect_both_agree(&text);
        prop_assert_eq!(record::write(&back, prev, "2026-0001").expect("an entry"), text);
    }

    #[test]
    fn a_key_more_or_less_is_refused(fact in any_fact::fact(), pick in any::<prop::sample::Index>()) {
        let text = record::write(&fact, Digest::ZERO, "2026-0001").expect("an entry");
        let whole: serde_json::Map<String, Value> = serde_json::from_str(&text).expect("an object");
        let mut more = whole.clone();
        more.insert("extra".into(), Value::Bool(true));
        prop_assert!(record::read(&Value::Object(more).to_string()).is_err());
        let needed: Vec<&String> = whole.keys().filter(|key| !OPTIONAL.contains(&key.as_str())).collect();
        let mut less = whole.clone();
        let left_out = needed[pick.index(needed.len())];
        less.shift_remove(left_out);
        let optional_here = OPTIONAL_IN.contains(&(fact_kind(&whole), left_out.as_str()));
        prop_assert_eq!(record::read(&Value::Object(less).to_string()).is_ok(), optional_here);
    }
}

/// Keys that stand only where there is something to say.
const OPTIONAL: &[&str] = &[
    "instrument",
    "live",
    "band",
    "guard_band",
    "decision",
    "unjudged",
    "concerns",
    "torn",
    "judged",
    "approval",
    "confirmed",
];
/// The same, where another kind needs a key of that name.
const OPTIONAL_IN: &[(&str, &str)] = &[
    ("note", "step"),
    ("work-out", "step"),
    ("photograph", "step"),
    ("photograph", "deviation"),
];

fn fact_kind(entry: &serde_json::Map<String, Value>) -> &str {
    entry["kind"].as_str().expect("a kind")
}

const HEAD: &str = concat!(
    r#"{"v":1,"n":4,"prev":"0000000000000000000000000000000000000000000000000000000000000000","#,
    r#""at":"2026-03-14T09:26:53+01:00","by":"ines.varga","kind":"#
);

/// One row: the kind, its body with the job, and a part of the refusal.
fn check(kind: &str, rest: &str, refusal: &str) {
    let error = record::read(&format!("{HEAD}\"{kind}\",{rest}}}"))
        .expect_err(rest)
        .to_string();
    assert!(error.contains(refusal), "{rest}: {error}");
}

#[test]
fn a_refusal_names_what_was_found() {
    let reading = |is: &str, verdict: &str| {
        format!(
            r#""job":"2026-0001","step":"cut-out.trip","name":"trip","label":"Trip","typed":"40","is":{is},"shown":"40 psi","verdict":"{verdict}""#
        )
    };
    let psi = |si: &str| format!(r#"{{"value":40.0,"unit":"psi","si":{si}}}"#);
    check(
        "remark",
        r#""job":"2026-0001","text":"x""#,
        "`remark` is no kind of entry",
    );
    check("note", r#""text":"x""#, "`job` is missing");
    check("note", r#""job":"2026-0001","text":null"#, "`text` holds a null");
    check(
        "note",
        r#""job":"2026-0001","text":"x","step":"cut-out""#,
        "`cut-out` is not a step",
    );
    check(
        "note",
        r#""job":"2026-0001","text":"x","step":"Cut.out""#,
        "`Cut` is not an id",
    );
    check(
        "note",
        r#""job":"2026-0001","text":"x","text":"y""#,
        "stands twice",
    );
    check(
        "closing",
        r#""job":"2026-0001","entries":-1"#,
        "body of `closing`",
    );
    check(
        "reading",
        &reading(&psi("275790.0"), "in"),
        "in SI, but `si` says 275790",
    );
    check(
        "reading",
        &reading(r#"{"value":40.0,"unit":"PSI","si":275790.3}"#, "in"),
        "`PSI` is not the symbol",
    );
    check(
        "reading",
        &reading(r#"{"text":"40","flag":true}"#, "in"),
        "or flag alone",
    );
    check(
        "reading",
        &reading(r#"{"flag":true}"#, "good"),
        "unknown variant `good`",
    );
}

#[test]
fn names_and_kinds_belong_together() {
    for kind in Kind::ALL {
        assert_eq!(Kind::find(kind.as_str()), Some(*kind));
    }
    assert_eq!(Kind::ALL.len(), 25);
}

#[test]
fn an_opening_stands_in_its_own_job_only() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let fact = std::iter::repeat_with(|| any_fact::fact().new_tree(&mut runner).expect("a fact").current())
        .find(|fact| matches!(fact.body, witnessmark::player::fact::Body::Opening(_)))
        .expect("an opening");
    let text = record::write(&fact, Digest::ZERO, "2026-0001").expect("an entry");
    let moved = text.replace(r#""job":"2026-0001""#, r#""job":"2026-0002""#);
    assert_ne!(moved, text);
    assert!(
        record::read(&moved)
            .expect_err("moved")
            .to_string()
            .contains("`2026-0002`")
    );
    assert!(record::write(&fact, Digest::ZERO, "2026-0002").is_err());
}

#[test]
fn what_would_not_read_back_is_not_written() {
    use witnessmark::player::fact::{Body, Fact};
    let at = "2026-03-14T09:26:53+01:00".parse().expect("a time");
    let note = Fact {
        n: 1,
        at,
        by: "ines.varga".into(),
        body: Body::Note {
            step: None,
            text: "x".into(),
        },
    };
    let write = |fact: &Fact| record::write(fact, Digest::ZERO, "2026-0001");
    assert!(write(&note).is_ok());
    let half = Fact {
        at: "2026-03-14T09:26:53.5+01:00".parse().expect("a time"),
        ..note.clone()
    };
    assert!(
        write(&half)
            .expect_err("a fraction")
            .to_string()
            .contains("whole seconds")
    );
    assert!(
        write(&Fact {
            by: "Ines Varga".into(),
            ..note.clone()
        })
        .is_err()
    );
    assert!(write(&Fact { n: 1 << 53, ..note }).is_err());
}

/// `printf %s%s` of 64 letters a and `Ada` through coreutils 9.1 sha256sum.
#[test]
fn a_commitment_is_what_stock_tools_say() {
    let mut personal = record::Personal::new();
    let made = personal.commit("car", "owner", "Ada", [0xaa; 32]).to_string();
    assert_eq!(
        made,
        "23bf002e5ed1a1173c15f1d14eba416425ff76c9d02f86dc605c2ff2f837a9a0"
    );
    assert_eq!(personal.text(&made), Some("Ada"));
    assert_eq!(personal.text(&"0".repeat(64)), None);
    let text = serde_json::to_string(&personal).expect("JSON");
    assert_eq!(
        serde_json::from_str::<record::Personal>(&text).expect("the same"),
        personal
    );
}

/// A line with this entry, as it comes from a file; nobody signed it.
fn line(entry: &str) -> RawLine {
    let line = serde_json::json!({"entry": entry, "signer": "ines.varga", "sig": ""});
    let bytes = format!("{line}\n").into_bytes();
    Lines::new(bytes.as_slice())
        .next()
        .expect("a line")
        .expect("no I/O")
}

/// Read at once or by a tree of values: the same fact, or the same refusal. Gives whether it was read at once.
fn expect_both_agree(entry: &str) -> bool {
    let line = line(entry);
    let (at_once, by_tree) = (record::open(&line), Opened::read_line(&line));
    let short = matches!(&at_once, Ok(opened) if matches!(opened.entry.body, Said::Fact(_)));
    let at_once = at_once.map(|opened| record::said(opened.entry));
    let by_tree = by_tree.map(|opened| record::fact(opened.entry));
    assert_eq!(at_once, by_tree, "{entry}");
    short
}

#[test]
fn a_fact_read_at_once_is_the_one_read_by_a_tree() {
    for fact in &Run::through(false).facts {
        let text = record::write(fact, Digest::ZERO, played_job::JOB).expect("an entry");
        assert!(expect_both_agree(&text), "not read at once: {text}");
        for at in (0..text.len()).filter(|at| text.is_char_boundary(*at)).step_by(5) {
            let rest = text[at..].chars().next().map_or(0, char::len_utf8);
            for with in ["", "0", "\"", ",", "n", "-", " ", "\\u0041"] {
                expect_both_agree(&format!("{}{with}{}", &text[..at], &text[at + rest..]));
            }
        }
    }
}

#[test]
fn what_is_not_in_the_usual_form_is_read_by_a_tree() {
    let usual = r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"x"}"#;
    let head = HEAD.split_once("\"by\"").expect("a head").0;
    assert!(expect_both_agree(&format!("{head}{usual}")));
    for other in [
        r#""kind":"note","by":"ines.varga","job":"2026-0001","text":"x"}"#,
        r#""by":"ines.varga","kind":"note","text":"x","job":"2026-0001"}"#,
        r#""by":"ines.varga","kind":"note","text":"x"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"\u0078"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"null"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","step":null,"text":"x"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"x","text":"y"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"x","n":4}"#,
        r#""by":"ines.varga","kind":"remark","job":"2026-0001","text":"x"}"#,
        r#""by":"ines.varga","kind":"note","job":"2026-0001","text":"x","more":1}"#,
    ] {
        assert!(!expect_both_agree(&format!("{head}{other}")), "{other}");
    }
}
