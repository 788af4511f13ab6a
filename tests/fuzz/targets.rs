//! What is fed with arbitrary bytes, and what must hold besides not panicking. Shared by libFuzzer's programs
//! beside this file and by the runner in `tests/rooms/fuzz.rs`.

use std::collections::BTreeMap;
use std::sync::OnceLock;
use witnessmark::audit::Manifest;
use witnessmark::camera::{Format, Frame};
use witnessmark::people::{Approvals, Ledger, Roster};
use witnessmark::quantity::{Quantity, Unit};
use witnessmark::scpi::{self, Address, Identity, Query};
use witnessmark::seal::{AllowedSigners, Lines, Opened, PublicKey, SigningKey};
use witnessmark::session::Content;
use witnessmark::words::{Catalogue, Entry};
use witnessmark::{calc, content, photo, procedure, record};

/// A reader of foreign bytes, by name.
pub type Target = (&'static str, fn(&[u8]));

/// Everything that reads what others wrote.
pub const TARGETS: &[Target] = &[
    ("content", read_content),
    ("procedure", load_procedure),
    ("catalogue", read_catalogue),
    ("record", read_record),
    ("ledger", read_ledger),
    ("allowed_signers", read_allowed_signers),
    ("key", read_key),
    ("quantity", read_quantity),
    ("calculator", run_calculator),
    ("manifest", read_manifest),
    ("register", read_register),
    ("meter", read_meter),
    ("camera", read_camera),
    #[cfg(feature = "certificate")]
    ("certificate", read_certificate),
];

/// YAML to a tree.
pub fn read_content(bytes: &[u8]) {
    let _ = content::parse("a.yaml", bytes).faults.render();
}

/// A catalogue that can be read is printed as what reads back to the same texts and translations.
pub fn read_catalogue(bytes: &[u8]) {
    let plain = |catalogue: &Catalogue| -> Vec<Entry> {
        let entries = catalogue.entries().iter();
        entries
            .map(|entry| Entry {
                line: 0,
                ..entry.clone()
            })
            .collect()
    };
    if let Ok(catalogue) = Catalogue::parse(bytes) {
        let again = Catalogue::parse(catalogue.print().as_bytes()).expect("what was printed reads");
        assert_eq!(plain(&again), plain(&catalogue));
    }
}

/// A small content with one file of each kind, which plays.
pub const SMALL: &[(&str, &[u8])] = &[
    ("jobs/valve.yaml", include_bytes!("content/jobs/valve.yaml")),
    (
        "procedures/valve.yaml",
        include_bytes!("content/procedures/valve.yaml"),
    ),
    ("circuits/feed.yaml", include_bytes!("content/circuits/feed.yaml")),
    ("layouts/fuel.yaml", include_bytes!("content/layouts/fuel.yaml")),
    (
        "lang/de/procedures/valve.po",
        include_bytes!("content/lang/de/procedures/valve.po"),
    ),
    ("hazards.yaml", include_bytes!("content/hazards.yaml")),
    ("tools.yaml", include_bytes!("content/tools.yaml")),
    ("instruments.yaml", include_bytes!("content/instruments.yaml")),
    ("glossary.yaml", include_bytes!("content/glossary.yaml")),
    ("tables/fuse.yaml", include_bytes!("content/tables/fuse.yaml")),
    (
        "media/valve/joint.svg",
        include_bytes!("content/media/valve/joint.svg"),
    ),
];

/// One file of a content folder that plays, altered: it plays if and only if no fault is told. The first byte says
/// which file.
pub fn load_procedure(bytes: &[u8]) {
    let (file, bytes) = bytes.split_first().unwrap_or((&0, &[]));
    let mut files: BTreeMap<String, Vec<u8>> = SMALL
        .iter()
        .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec()))
        .collect();
    let (altered, _) = SMALL[usize::from(*file) % SMALL.len()];
    files.insert(altered.to_owned(), bytes.to_vec());
    let (library, report) = procedure::load(files);
    assert_eq!(library.is_some(), report.is_clean());
    let _ = report.render();
}

/// Lines to entries to facts: what is read is written again as it was read. A fact in its usual form is read at once,
/// and as the same, or refused in the same words, as from a tree of values.
pub fn read_record(bytes: &[u8]) {
    for line in Lines::new(bytes).map_while(Result::ok) {
        let opened = Opened::read_line(&line);
        let at_once = record::open(&line).map(|opened| record::said(opened.entry));
        assert_eq!(at_once, opened.clone().map(|opened| record::fact(opened.entry)));
        let (Ok(opened), Ok(Ok(fact))) = (opened, at_once) else {
            continue;
        };
        let (prev, job) = (opened.entry.prev, opened.entry.job.unwrap_or_default());
        let text = record::write(&fact, prev, &job).expect("a fact that was read can be written");
        let (_, again) = record::read(&text).expect("an entry that was written can be read");
        assert_eq!(again, fact);
    }
}

fn roster() -> &'static Roster {
    static ROSTER: OnceLock<Roster> = OnceLock::new();
    ROSTER.get_or_init(|| {
        let lines = include_bytes!("../vectors/record/small/roster.jsonl");
        Roster::replay(lines.as_slice()).expect("a whole roster")
    })
}

/// A ledger, an extract of one, a roster or approvals, as the first byte says: what is taken whole has no finding that
/// breaks it.
pub fn read_ledger(bytes: &[u8]) {
    let (chain, bytes) = bytes.split_first().unwrap_or((&0, &[]));
    match chain % 4 {
        0 => drop(Ledger::read(bytes, roster())),
        1 => drop(Ledger::read_extract(bytes, roster())),
        2 => {
            let (read, findings) = Roster::read(bytes);
            let breaks = findings.iter().any(|finding| finding.rule.breaks());
            assert!(read.is_some() || breaks);
            assert_eq!(Roster::replay(bytes).is_err(), breaks);
        }
        _ => drop(Approvals::read(bytes, roster())),
    }
}

/// Who may sign: what is read is written again and means the same.
pub fn read_allowed_signers(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Ok(signers) = AllowedSigners::parse(text) {
        let again = AllowedSigners::parse(&signers.to_string()).expect("written by ourselves");
        assert_eq!(again.grants(), signers.grants());
    }
}

/// Private and public keys; locked ones are opened with a passphrase that is not theirs only where that is quick.
pub fn read_key(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let _ = SigningKey::from_openssh(text, None);
    let _ = text.parse::<PublicKey>().map(|key| key.fingerprint());
}

/// A number with its unit: what is read is finite, and so is it in the SI unit and on the screen.
pub fn read_quantity(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    for default in [None, Unit::find("bar")] {
        let Ok(quantity) = Quantity::parse(text, default) else {
            continue;
        };
        assert!(
            quantity.value().is_finite() && quantity.si().is_finite(),
            "{text:?}"
        );
        let shown = quantity.shown(6);
        assert!(
            !shown.contains("inf") && !shown.contains("NaN"),
            "{text:?}: {shown}"
        );
        let again = Quantity::parse(&quantity.to_string(), None);
        assert_eq!(again.as_ref(), Ok(&quantity), "{text:?} as {quantity}");
    }
}

fn shipped() -> &'static Content {
    static CONTENT: OnceLock<Content> = OnceLock::new();
    CONTENT.get_or_init(Content::shipped)
}

/// `calculator|input=value; input=value …`: refused, or every figure is finite.
pub fn run_calculator(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let (id, given) = text.split_once('|').unwrap_or((text, ""));
    let Some(calculator) = calc::find(id) else { return };
    let bound = given.split(';').filter_map(|input| input.split_once('='));
    let bound = bound.filter_map(|(name, text)| {
        let name = name.trim();
        Some((
            name.to_owned(),
            calc::bind(calculator.spec, name, text.trim()).ok()?,
        ))
    });
    let tables = &shipped().library().expect("shipped content plays").tables;
    if let Ok(outcome) = calc::run(id, &bound.collect(), tables) {
        let json = calc::outcome_json(&outcome);
        // A figure that is not finite is written as null.
        let outputs = json["outputs"].as_object().expect("outputs");
        assert!(
            outputs.values().all(|output| !output["value"].is_null()),
            "{text:?}: {json}"
        );
    }
}

/// A bundle's manifest: what is read is written again as it was read, and leads out of no folder.
pub fn read_manifest(bytes: &[u8]) {
    let Ok(manifest) = Manifest::parse(bytes) else {
        return;
    };
    assert_eq!(
        Manifest::parse(manifest.to_text().as_bytes()).as_ref(),
        Ok(&manifest)
    );
    for (path, _) in manifest.files() {
        let leads_on = path
            .split('/')
            .all(|part| !part.is_empty() && !part.starts_with('.'));
        assert!(leads_on && !path.contains('\\'), "{path:?}");
    }
    let _ = (manifest.jobs(), manifest.folders());
}

/// The shop's register of instruments.
pub fn read_register(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Err(report) = procedure::register(text) {
        assert!(!report.is_clean());
        let _ = report.render();
    }
}

/// What a meter sends, and how the register writes its address and its questions: a number is finite and no mark for
/// an overload; a question is one; an address reads back.
pub fn read_meter(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let _ = (scpi::trouble(text), Identity::read(text));
    if let Ok(number) = scpi::number(text) {
        let mark = [9.9e37, 9.91e37].contains(&number.abs());
        assert!(number.is_finite() && !mark, "{text:?}");
    }
    if let Ok(query) = text.parse::<Query>() {
        let asks = query.as_str();
        assert!(
            asks.contains('?') && !asks.contains([';', '\n', '\r']),
            "{text:?}"
        );
    }
    if let Ok(address) = text.parse::<Address>() {
        assert_eq!(address.to_string().parse(), Ok(address), "{text:?}");
    }
}

/// What a camera sends: its pixels are as many as were said, and what is taken is a photograph's file. The first three
/// bytes say the format and the size.
pub fn read_camera(bytes: &[u8]) {
    let [kind, width, height, frame @ ..] = bytes else {
        return;
    };
    let format = Format::ALL[usize::from(kind % 2)];
    let size = (u32::from(*width), u32::from(*height));
    let Ok(frame) = Frame::new(format, frame, size, u32::from(*kind)) else {
        return;
    };
    if let Ok(seen) = frame.seen(64) {
        assert_eq!(
            seen.rgb.len() as u64,
            3 * u64::from(seen.width) * u64::from(seen.height)
        );
        assert!(seen.width.max(seen.height) <= 64);
        assert!(photo::kept(&frame.file().expect("a file")).is_ok());
    }
}

/// What stands in a certificate.
#[cfg(feature = "certificate")]
pub fn read_certificate(bytes: &[u8]) {
    if let Ok(attachments) = witnessmark::report::attachments(bytes) {
        assert!(
            attachments
                .iter()
                .all(|(name, _)| !name.contains('/') && !name.starts_with('.'))
        );
    }
}
