//! Everything that reads what others wrote, fed with whole inputs that were altered at random, always the same
//! ones. A few thousand of them run with the other tests; as many as are wanted run by hand:
//!
//! ```text
//! WITNESSMARK_FUZZ=1000000 WITNESSMARK_FUZZ_TARGET=record \
//!     cargo test --release --no-default-features --test rooms -- fuzz::as_long --ignored --nocapture
//! ```

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

#[path = "../fuzz/targets.rs"]
mod targets;

/// No input of a few kilobytes may keep a reader longer, whatever else the machine does.
const LONGEST: Duration = Duration::from_secs(5);
/// How much longer than its seed an input is made.
const MOST_MORE: usize = 64 * 1024;
/// How far from an input's end every third change is made: there stands what a certificate's reader begins with.
const TAIL: usize = 4 * 1024;

/// Pseudo-random numbers (xorshift64*, from memory): the same ones in every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let rolled = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 16;
        (rolled % sides.max(1) as u64) as usize
    }
}

/// Texts that mean something to one reader or another.
const WORDS: &[&str] = &[
    "",
    "0",
    "-1",
    "1e999",
    "1e-400",
    "9007199254740993",
    "18446744073709551616",
    "-0",
    ".5",
    "NaN",
    "inf",
    "\u{a0}",
    "\u{2212}",
    "\0",
    "\n",
    "\r\n",
    "\t",
    "\"",
    "\\",
    "\\u0000",
    "\\ud800",
    "{",
    "}",
    "[",
    "]",
    "[[[[[[[[",
    "{\"a\":",
    ",",
    ":",
    ": ",
    "- ",
    "&a ",
    "*a",
    "<<: ",
    "!!str ",
    "---\n",
    "|",
    ">",
    "#",
    "'",
    " bar",
    " psi",
    " \u{b0}C",
    " V",
    "%",
    "/",
    "//",
    "../",
    "..",
    "jobs/",
    "null",
    "true",
    "false",
    "\u{feff}",
    "=",
    ";",
    "\u{1f600}",
    "e",
    "E+",
    "1/0",
    "_",
    "obj",
    "endobj",
    "stream",
    "<<",
    ">>",
    " 0 R",
    "xref",
    "trailer",
    "startxref",
    "/Length 99999999999",
    "/Prev 0",
    "namespaces=\"*\"",
    "valid-after=\"",
    "99991231235959Z",
    "cert-authority",
    "ssh-ed25519 ",
    "AAAA",
];

/// A whole input, altered.
fn alter(seeds: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = seeds[dice.roll(seeds.len())].clone();
    let most = bytes.len() + MOST_MORE;
    for _ in 0..=dice.roll(6) {
        let from = if dice.roll(3) == 0 {
            bytes.len().saturating_sub(TAIL)
        } else {
            0
        };
        let at = from + dice.roll(bytes.len() - from + 1);
        let end = (at + 1 + dice.roll(24)).min(bytes.len());
        match dice.roll(9) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.roll(8),
            1 if at < bytes.len() => bytes[at] = dice.roll(256) as u8,
            2 if at < end => drop(bytes.drain(at..end)),
            3 if at < end => {
                // A piece that comes again and again shows who looks back over all of it each time.
                let times = [1, 1, 1, 2, 40, 400][dice.roll(6)];
                let piece = bytes[at..end].repeat(times);
                drop(bytes.splice(at..at, piece));
            }
            4 => bytes.truncate(at),
            5 => {
                let other = &seeds[dice.roll(seeds.len())];
                let from = dice.roll(other.len() + 1);
                let to = (from + dice.roll(200)).min(other.len());
                drop(bytes.splice(at..at, other[from..to].iter().copied()));
            }
            6 if at < end => {
                let word = WORDS[dice.roll(WORDS.len())].bytes();
                drop(bytes.splice(at..end, word));
            }
            7 => {
                let digits = bytes.iter_mut().skip(at).filter(|byte| byte.is_ascii_digit());
                digits
                    .take(3)
                    .for_each(|digit| *digit = b'0' + dice.roll(10) as u8);
            }
            _ => drop(bytes.splice(at..at, WORDS[dice.roll(WORDS.len())].bytes())),
        }
    }
    bytes.truncate(most);
    bytes
}

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
        "content" => files("content", ".yaml")
            .into_iter()
            .chain(files("tests/content/bad", ".yaml"))
            .collect(),
        "procedure" => {
            let base = targets::BASE.iter().enumerate();
            base.map(|(at, (_, bytes))| [&[at as u8], *bytes].concat())
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
        "ledger" => files("tests/vectors/record", ".jsonl"),
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
        #[cfg(feature = "certificate")]
        "certificate" => {
            use crate::certificate_sample::{closed, files};
            vec![witnessmark::report::certificate(&closed(2), &files()).expect("a certificate")]
        }
        other => panic!("{other} has no seeds"),
    }
}

/// Runs a target on so many altered inputs; gives the longest time that one took. A fault leaves its input in
/// the system's folder for temporary files.
fn run(name: &str, target: fn(&[u8]), count: u64) -> Duration {
    let seeds = seeds(name);
    assert!(!seeds.is_empty());
    for seed in &seeds {
        target(seed);
    }
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut longest = Duration::ZERO;
    for n in 0..count {
        let bytes = alter(&seeds, &mut dice);
        let begun = Instant::now();
        let ended = std::panic::catch_unwind(|| target(&bytes));
        let took = begun.elapsed();
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
            "procedure" | "content" | "ledger" => 200,
            "certificate" => 400,
            _ => 4_000,
        };
        run(name, *target, count);
    }
}

#[test]
#[ignore = "as long as is wanted: WITNESSMARK_FUZZ says how many inputs, WITNESSMARK_FUZZ_TARGET which target"]
fn as_long_as_is_wanted() {
    let setting = |name: &str| std::env::var(name).ok();
    let count = setting("WITNESSMARK_FUZZ")
        .and_then(|count| count.parse().ok())
        .unwrap_or(100_000);
    let wanted = setting("WITNESSMARK_FUZZ_TARGET");
    for (name, target) in targets::TARGETS {
        if wanted.as_ref().is_none_or(|wanted| wanted == name) {
            let begun = Instant::now();
            let longest = run(name, *target, count);
            println!(
                "{name}: {count} inputs in {:.0?}, the longest took {longest:.1?}",
                begun.elapsed()
            );
        }
    }
}
