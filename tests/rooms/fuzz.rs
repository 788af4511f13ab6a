//! Everything that reads what others wrote, fed with whole inputs that were altered at random, always the same
//! ones. A few thousand of them run with the other tests; as many as are wanted run by hand:
//!
//! ```text
//! WITNESSMARK_FUZZ=1000000 WITNESSMARK_FUZZ_TARGET=record \
//!     cargo test --release --no-default-features --test rooms -- fuzz::as_long --ignored --nocapture
//! ```
//!
//! Every input has a number, and is made from it alone. So a long run can be split: `WITNESSMARK_FUZZ_FROM` is the
//! number of the first, 0 without it.

use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::fuzz_alter::{Dice, alter};

#[path = "../fuzz/targets.rs"]
mod targets;

/// No input of a few kilobytes may keep a reader longer, whatever else the machine does.
const LONGEST: Duration = Duration::from_secs(5);
fn files(folder: &str, ends: &str) -> Vec<Vec<u8>> {
    let mut folders: Vec<PathBuf> = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    let mut paths = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder)
            .expect("a folder")
            .map(|entry| entry.expect("an entry").path())
        {
            if entry.is_dir() {
                folders.push(entry);
            } else if entry.to_string_lossy().ends_with(ends) {
                paths.push(entry);
            }
        }
    }
    // A folder lists its files in no order, and the inputs must be the same in every run.
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("a file")).collect()
}

/// The first lines of a long file, which are its head and its first parts: what a reader does with one part it does with
/// each.
fn begun(mut bytes: Vec<u8>) -> Vec<u8> {
    const MOST: usize = 2 * 1024;
    if bytes.len() > MOST {
        let end = bytes[..MOST].iter().rposition(|byte| *byte == b'\n');
        bytes.truncate(end.map_or(MOST, |end| end + 1));
    }
    bytes
}

/// Whole inputs of a target.
fn seeds(target: &str) -> Vec<Vec<u8>> {
    let texts = |texts: &[&str]| texts.iter().map(|text| text.as_bytes().to_vec()).collect();
    let lines = |bytes: Vec<u8>| {
        bytes
            .split_inclusive(|byte| *byte == b'\n')
            .map(<[u8]>::to_vec)
            .collect::<Vec<_>>()
    };
    match target {
        "content" => ["content", "tests/content", "tests/fuzz/content"]
            .iter()
            .flat_map(|folder| files(folder, ".yaml"))
            .map(begun)
            .collect(),
        "procedure" => {
            let small = targets::SMALL.iter().enumerate();
            small
                .map(|(at, (_, bytes))| [&[at as u8], *bytes].concat())
                .collect()
        }
        "catalogue" => files("tests/vectors/content", ".po")
            .into_iter()
            .chain(texts(&[
                "msgid \"\"\nmsgstr \"Language: de\\nContent-Type: text/plain; charset=UTF-8\\nPlural-Forms: nplurals=2; plural=(n != 1);\\n\"\n\n#, fuzzy\nmsgctxt \"c\"\nmsgid \"a\"\nmsgid_plural \"b\"\nmsgstr[0] \"x\"\nmsgstr[1] \"y\"\n\n#~ msgid \"old\"\n#~ msgstr \"\"\n\"alt\\t\"\n",
            ]))
            .collect(),
        "record" => {
            let run = crate::played_job::Run::through(false);
            let record = crate::played_job::record(&run.facts, false).bytes;
            lines(record)
                .into_iter()
                .chain(files("tests/vectors/record", "record.jsonl"))
                .collect()
        }
        "ledger" => {
            let chains = [
                (0, "ledger-extract.jsonl"),
                (1, "ledger-extract.jsonl"),
                (2, "roster.jsonl"),
                (3, "approvals.jsonl"),
            ];
            let read = |(chain, name): (u8, &str)| [vec![chain], files("tests/vectors/record", name).concat()].concat();
            chains.map(read).to_vec()
        }
        "allowed_signers" => files("tests/vectors/record", "allowed_signers"),
        "key" => {
            let key = crate::shop::key(crate::shop::INES);
            let open = key.to_openssh_unlocked().expect("a key").as_bytes().to_vec();
            vec![open, key.public().to_string().into_bytes()]
        }
        "quantity" => texts(&[
            "52 psi",
            "3,6 bar",
            "11.9",
            "-40 \u{b0}C",
            "1/2 in",
            "0.5 mm2",
            "1e3 Pa",
            "12 000 rpm",
        ]),
        "calculator" => {
            let rows =
                fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/calc/rows.csv"));
            let rows = rows.expect("rows");
            let input = |row: &str| {
                row.splitn(3, '|')
                    .take(2)
                    .collect::<Vec<_>>()
                    .join("|")
                    .into_bytes()
            };
            rows.lines().map(input).collect()
        }
        "manifest" => {
            let hash = witnessmark::seal::digest(b"x");
            let paths = [
                "roster.jsonl",
                "jobs/2026-0001/record.jsonl",
                "jobs/2026-0001/content/a.svg",
                "keys/ines.varga",
            ];
            vec![
                paths
                    .map(|path| format!("{hash}  {path}\n"))
                    .concat()
                    .into_bytes(),
            ]
        }
        "register" => files("tests/vectors/content", "register/instruments.yaml"),
        "meter" => texts(&[
            "+1.26031000E+01",
            "-9.90000000E+37",
            "9.91E37",
            "Sample Works,DM-4,VM-0093,1.02",
            "-113,\"Undefined header\"",
            "MEASure:RESistance? 100,0.001",
            "tcp://192.0.2.7:5025",
            "tcp://[2001:db8::7]:5555",
            "serial:/dev/serial/by-id/usb-x?baud=115200",
        ]),
        "camera" => {
            let picture = image::RgbImage::from_fn(24, 16, |x, y| image::Rgb([x as u8 * 9, y as u8 * 9, 70]));
            let mut jpeg = vec![0, 24, 16];
            let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 80);
            picture.write_with_encoder(encoder).expect("a picture");
            vec![jpeg, [vec![1, 6, 4], [235, 90, 16, 200].repeat(12)].concat()]
        }
        #[cfg(feature = "certificate")]
        "certificate" => {
            use crate::certificate_sample::{closed, files};
            vec![witnessmark::report::certificate(&closed(2), &files()).expect("a certificate")]
        }
        other => panic!("{other} has no seeds"),
    }
}

/// Runs a target on the altered inputs of these numbers; gives the longest time that one took. A fault leaves its
/// input in the system's folder for temporary files.
fn run(name: &str, target: fn(&[u8]), numbers: Range<u64>) -> Duration {
    let seeds = seeds(name);
    assert!(!seeds.is_empty());
    for seed in &seeds {
        target(seed);
    }
    let mut longest = Duration::ZERO;
    for n in numbers {
        let bytes = alter(&seeds, &mut Dice::of(n));
        let begun = Instant::now();
        let ended = std::panic::catch_unwind(|| target(&bytes));
        let mut took = begun.elapsed();
        for _ in 0..2 {
            // A busy machine may let a quick reader wait once, but not every time.
            if ended.is_ok() && took > LONGEST {
                let again = Instant::now();
                target(&bytes);
                took = took.min(again.elapsed());
            }
        }
        if ended.is_err() || took > LONGEST {
            let kept = std::env::temp_dir().join(format!("witnessmark-fuzz-{name}-{n}"));
            fs::write(&kept, &bytes).expect("kept");
            panic!(
                "{name}: input {n} took {took:?} and is kept as {}",
                kept.display()
            );
        }
        longest = longest.max(took);
    }
    longest
}

#[test]
fn altered_inputs_are_read_or_refused() {
    for (name, target) in targets::TARGETS {
        let count = match *name {
            // Each of these takes milliseconds without optimisation.
            "procedure" | "content" => 200,
            "certificate" => 400,
            _ => 4_000,
        };
        run(name, *target, 0..count);
    }
}

fn setting(name: &str) -> Option<String> {
    std::env::var(name).ok()
}

fn number(name: &str) -> Option<u64> {
    setting(name).map(|text| {
        text.parse()
            .unwrap_or_else(|_| panic!("{name} is a number, not `{text}`"))
    })
}

#[test]
#[ignore = "as long as is wanted: WITNESSMARK_FUZZ says how many inputs, WITNESSMARK_FUZZ_TARGET which target"]
fn as_long_as_is_wanted() {
    /// After so many inputs it is told how far it came, for whoever breaks it off.
    const PIECE: u64 = 250_000;
    let (from, count) = (number("WITNESSMARK_FUZZ_FROM"), number("WITNESSMARK_FUZZ"));
    let from = from.unwrap_or(0);
    let end = from + count.unwrap_or(100_000);
    let wanted = setting("WITNESSMARK_FUZZ_TARGET");
    for (name, target) in targets::TARGETS {
        if wanted.as_ref().is_none_or(|wanted| wanted == name) {
            let begun = Instant::now();
            let mut longest = Duration::ZERO;
            for piece in (from..end).step_by(PIECE as usize) {
                let to = end.min(piece + PIECE);
                longest = longest.max(run(name, *target, piece..to));
                println!(
                    "{name}: inputs {from} to {to} in {:.0?}, the longest took {longest:.1?}",
                    begun.elapsed()
                );
            }
        }
    }
}

/// libFuzzer begins from these: `WITNESSMARK_SEEDS=DIR cargo test … fuzz::write_seeds --ignored`.
#[test]
#[ignore = "writes the whole inputs of each target to a folder of its name in WITNESSMARK_SEEDS"]
fn write_seeds() {
    let root = PathBuf::from(setting("WITNESSMARK_SEEDS").expect("WITNESSMARK_SEEDS names a folder"));
    for (name, _) in targets::TARGETS {
        let folder = root.join(name);
        fs::create_dir_all(&folder).expect("a folder");
        for (nth, seed) in seeds(name).into_iter().enumerate() {
            fs::write(folder.join(format!("seed-{nth}")), seed).expect("a file");
        }
    }
}
