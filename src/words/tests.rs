use super::*;

const HEADER: &str = "msgid \"\"\nmsgstr \"\"\n\"Language: de\\n\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"\n\"Plural-Forms: nplurals=2; plural=(n != 1);\\n\"\n\n";

fn parse(body: &str) -> Catalogue {
    Catalogue::parse(format!("{HEADER}{body}").as_bytes()).unwrap()
}

/// The faults of a catalogue, lines counted behind the header.
fn faults(body: &str) -> Vec<String> {
    let faults = Catalogue::parse(format!("{HEADER}{body}").as_bytes()).unwrap_err();
    let lines = u32::try_from(HEADER.lines().count()).unwrap();
    let told = faults.into_iter().map(|fault| Fault {
        line: fault.line - lines,
        ..fault
    });
    told.map(|fault| fault.to_string()).collect()
}

fn german(body: &str) -> Words {
    Words::of(Language::parse("de").unwrap(), Arc::new(parse(body)))
}

#[test]
fn a_text_is_said_in_its_translation_and_else_in_english() {
    let words = german(
        "msgid \"Done\"\nmsgstr \"Fertig\"\n\n#, fuzzy\nmsgid \"Open\"\nmsgstr \"Auf\"\n\nmsgid \"Shut\"\nmsgstr \"\"\n\n#~ msgid \"Old\"\n#~ msgstr \"Alt\"\n",
    );
    let said = ["Done", "Open", "Shut", "Old", "New"].map(|text| words.say(text));
    assert_eq!(said, ["Fertig", "Open", "Shut", "Old", "New"]);
}

#[test]
fn strings_go_on_over_lines_and_read_their_escapes() {
    let words = german("msgid \"a\"\nmsgstr \"\"\n\"b \\\"c\\\"\\n\"\n\"\\td\\\\\"\n");
    assert_eq!(words.say("a"), "b \"c\"\n\td\\");
}

#[test]
fn a_context_tells_the_same_words_apart() {
    let words =
        german("msgctxt \"tap\"\nmsgid \"Open\"\nmsgstr \"Öffnen\"\n\nmsgid \"Open\"\nmsgstr \"Offen\"\n");
    assert_eq!(
        (words.say("Open"), words.say_in("tap", "Open")),
        ("Offen", "Öffnen")
    );
    assert_eq!(words.say_in("job", "Open"), "Open");
}

#[test]
fn sentences_are_filled_in_any_order_and_by_number() {
    let words = german(
        "msgid \"{a} of {b}\"\nmsgstr \"von {b}: {a}\"\n\nmsgid \"{n} entry\"\nmsgid_plural \"{n} entries\"\nmsgstr[0] \"{n} Eintrag\"\nmsgstr[1] \"{n} Einträge\"\n",
    );
    assert_eq!(crate::say!(words, "{a} of {b}", a = 1, b = "x"), "von x: 1");
    let count = |n: u64| crate::say!(words, "{n} entry" | "{n} entries", n = n);
    assert_eq!(
        [count(1), count(0), count(2)],
        ["1 Eintrag", "0 Einträge", "2 Einträge"]
    );
    let english = Words::english();
    assert_eq!(
        crate::say!(english, "{n} entry" | "{n} entries", n = 2_u64),
        "2 entries"
    );
    assert_eq!(crate::say!(english, "{a {a} {c} {", a = 1), "{a 1 {c} {");
}

#[test]
fn places_are_listed_in_one_order() {
    assert_eq!(places("{b} and {a}, {} {"), ["{a}", "{b}", "{}"]);
    assert!(places("none").is_empty());
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    let cases = [
        (
            "msgid \"a\"\n\nmsgid \"b\"\nmsgstr \"\"\n",
            "line 1: found an entry that breaks off, expected `msgstr`",
        ),
        (
            "msgid \"a\"\nmsgstr \"x\n",
            "line 2: found a string without its end, expected a string in quotation marks",
        ),
        (
            "msgid a\nmsgstr \"x\"\n",
            "line 1: found no string, expected a string in quotation marks",
        ),
        (
            "msgid \"a\" b\nmsgstr \"x\"\n",
            "line 1: found something behind the string, expected the line's end, or `\\\"`",
        ),
        (
            "msgid \"a\\q\"\nmsgstr \"x\"\n",
            "line 1: found `\\q`, expected `\\n`, `\\t`, `\\r`, `\\\"` or `\\\\`",
        ),
        (
            "msgstr \"x\"\n",
            "line 1: found `msgstr`, expected `msgctxt`, `msgid`, a comment or an empty line",
        ),
        (
            "\"x\"\n",
            "line 1: found a string on its own, expected `msgctxt`, `msgid`, a comment or an empty line",
        ),
        (
            "msgid \"a\"\nmsgstr \"x\"\nmsgid \"a\"\nmsgstr \"y\"\n",
            "line 3: found the same `msgid` again, expected one translation of a text; the first stands in line 7",
        ),
        (
            "msgid \"a\"\n# why\nmsgstr \"x\"\n",
            "line 2: found a comment inside an entry, expected comments before the `msgid` of an entry",
        ),
        (
            "msgid \"\"\nmsgstr \"\"\n",
            "line 1: found a second header, expected one header, at the beginning",
        ),
        (
            "msgid \"a\"\nmsgid_plural \"b\"\nmsgstr[0] \"x\"\n",
            "line 1: found an entry that breaks off, expected `msgstr[0]` and `msgstr[1]`",
        ),
    ];
    for (body, expected) in cases {
        assert_eq!(faults(body).first().map(String::as_str), Some(expected), "{body}");
    }
}

#[test]
fn a_file_must_be_small_plain_and_name_its_language() {
    let told = |bytes: &[u8]| Catalogue::parse(bytes).unwrap_err()[0].to_string();
    assert_eq!(
        told(b""),
        "line 1: found no header, expected an entry `msgid \"\"` that names the language"
    );
    assert!(told(b"msgid \"a\"\nmsgstr \"b\"\n").starts_with("line 1: found an entry, expected the header"));
    assert!(told(b"msgid \"\"\nmsgstr \"Language: de\\n\"\n").contains("charset=UTF-8"));
    let utf8 = "Content-Type: text/plain; charset=UTF-8\\n";
    let with = |language: &str| told(format!("msgid \"\"\nmsgstr \"{utf8}{language}\"\n").as_bytes());
    assert!(with("").contains("found no language"));
    assert!(with("Language: German\\n").contains("the language `German`"));
    assert!(with("Language\\n").contains("`Key: value`"));
    assert_eq!(
        told(b"a\n\xff"),
        "line 2: found the byte 0xFF, which is not UTF-8, expected plain UTF-8 text"
    );
    assert!(told("# \u{202e}".as_bytes()).contains("U+202E"));
    assert!(told(&vec![b'\n'; LARGEST_CATALOGUE + 1]).contains("at most 2097152 bytes"));
}

#[test]
fn faults_and_entries_are_bounded() {
    assert_eq!(faults(&"x\n".repeat(5000)).len(), 100);
    let many: String = (0..=MOST_ENTRIES)
        .map(|n| format!("msgid \"{n}\"\nmsgstr \"x\"\n"))
        .collect();
    let told = faults(&many);
    assert!(
        told.last()
            .unwrap()
            .ends_with("found one entry more, expected at most 20000 entries"),
        "{told:?}"
    );
}

#[test]
fn a_printed_catalogue_reads_back_as_itself() {
    let body = "# A remark.\n\n# Another one.\n#, fuzzy, c-format\nmsgctxt \"c\"\nmsgid \"a \\\"b\\\"\\n\"\nmsgstr \"x\\\\y\"\n\nmsgid \"one\"\nmsgid_plural \"many\"\nmsgstr[0] \"x\"\nmsgstr[1] \"y\"\n\n#~ msgid \"old\"\n#~ msgstr \"alt\"\n\n# At the end.\n";
    let plain = |catalogue: &Catalogue| {
        let entries = catalogue.entries().iter();
        entries
            .map(|entry| Entry {
                line: 0,
                ..entry.clone()
            })
            .collect::<Vec<_>>()
    };
    let first = parse(body);
    let again = Catalogue::parse(first.print().as_bytes()).unwrap();
    assert_eq!(plain(&first), plain(&again));
    assert_eq!(first.header, again.header);
    assert_eq!(again.print(), first.print());
    for remark in ["# A remark.\n# Another one.", "# At the end."] {
        assert!(again.print().contains(remark), "{}", again.print());
    }
}

#[test]
fn a_renewed_catalogue_keeps_every_translation() {
    let old = parse(
        "msgid \"a\"\nmsgstr \"x\"\n\nmsgid \"gone\"\nmsgstr \"weg\"\n\nmsgid \"bare\"\nmsgstr \"\"\n\n#~ msgid \"back\"\n#~ msgstr \"da\"\n",
    );
    let renewed = old.renewed(["new", "a", "back", "a"]);
    let entries = renewed.entries().iter();
    let told: Vec<_> = entries
        .map(|entry| (entry.text.as_str(), entry.says[0].as_str(), entry.stale))
        .collect();
    assert_eq!(
        told,
        [
            ("new", "", false),
            ("a", "x", false),
            ("back", "da", false),
            ("gone", "weg", true)
        ]
    );
    assert!(Catalogue::parse(renewed.print().as_bytes()).is_ok());
}

#[test]
fn a_language_is_named_by_its_tag() {
    for tag in ["en", "de", "de-AT", "zh-Hant", "ast"] {
        assert_eq!(Language::parse(tag).unwrap().tag(), tag);
    }
    for tag in ["", "d", "DE", "german", "de_AT", "de-", "de-übung", "../de"] {
        assert_eq!(Language::parse(tag).unwrap_err().found, tag);
    }
    let known: Vec<&str> = languages().into_iter().map(|(_, name)| name).collect();
    assert_eq!(known, ["English", "Deutsch"]);
    let french = Words::program(&Language::parse("fr").unwrap());
    assert_eq!((french.language().tag(), french.say("Done")), ("fr", "Done"));
}
