//! What is kept of a long run, so that it can be broken off and taken up again: which places were tried, and how each
//! ended.
//!
//! `WITNESSMARK_KEPT` names the folder, `WITNESSMARK_MINUTES` says how long to go on, and `WITNESSMARK_PART` (`2/3`)
//! which share of the places is this process's, so that several can work side by side.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use witnessmark::seal::digest;

fn setting(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|text| !text.is_empty())
}

/// The folder of a long run that is to be kept. One of another build of this program is refused, for its places are
/// others.
pub fn folder(long: bool) -> Option<PathBuf> {
    let folder = PathBuf::from(setting("WITNESSMARK_KEPT").filter(|_| long)?);
    fs::create_dir_all(&folder).expect("a folder");
    let program = std::env::current_exe().expect("this program");
    let program = digest(&fs::read(program).expect("this program")).to_string();
    let named = folder.join("program");
    if named.exists() {
        let there = fs::read_to_string(&named).expect("a name");
        let what = "holds the run of another build; name another folder, or remove it";
        assert_eq!(there, program, "{} {what}", folder.display());
    } else {
        fs::write(named, program).expect("a file");
    }
    Some(folder)
}

/// The calls that a process makes, from the run before where they are kept.
pub fn once(
    folder: Option<&Path>,
    name: &str,
    find: impl FnOnce() -> Vec<(String, usize)>,
) -> Vec<(String, usize)> {
    let path = folder.map(|folder| folder.join(name));
    if let Some(text) = path.as_ref().and_then(|path| fs::read_to_string(path).ok()) {
        let calls = text.lines().filter_map(|line| line.split_once(' '));
        return calls
            .map(|(call, which)| (call.to_owned(), which.parse().expect("a number")))
            .collect();
    }
    let found = find();
    if let Some(path) = path {
        let text: String = found
            .iter()
            .map(|(call, which)| format!("{call} {which}\n"))
            .collect();
        let made = path.with_extension("new");
        fs::write(&made, text).expect("a file");
        fs::rename(made, path).expect("kept");
    }
    found
}

/// How many places of one kind there are, how many were tried, and of how many the process was stopped.
#[derive(Default)]
struct Count {
    all: usize,
    tried: usize,
    stopped: usize,
}

/// The places tried so far, in this run and in those before it.
pub struct Tried {
    outcomes: BTreeMap<String, String>,
    counts: BTreeMap<String, Count>,
    wrong: Vec<String>,
    file: Option<File>,
    until: Option<Instant>,
    part: (usize, usize),
    seen: usize,
}

/// A line for each place: kind, place and outcome.
fn read_outcomes(folder: &Path) -> BTreeMap<String, String> {
    let mut outcomes = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ends| ends == "tried") {
            let text = fs::read_to_string(path).expect("text");
            let lines = text.lines().filter_map(|line| line.rsplit_once('\t'));
            outcomes.extend(lines.map(|(place, outcome)| (place.to_owned(), outcome.to_owned())));
        }
    }
    outcomes
}

impl Tried {
    /// What a case has tried; nothing, where nothing is kept.
    pub fn of(case: &str, folder: Option<&Path>) -> Tried {
        let part = setting("WITNESSMARK_PART").unwrap_or_else(|| "1/1".to_owned());
        let (which, of) = part.split_once('/').expect("WITNESSMARK_PART is like 2/3");
        let part = (which.parse().expect("a number"), of.parse().expect("a number"));
        let minutes = setting("WITNESSMARK_MINUTES").map(|text| text.parse::<u64>().expect("minutes"));
        let file = folder.map(|folder| {
            let mut options = OpenOptions::new();
            let path = folder.join(format!("{case}-{}-{}.tried", part.0, part.1));
            options.create(true).append(true).open(path).expect("a file")
        });
        Tried {
            outcomes: folder.map(read_outcomes).unwrap_or_default(),
            counts: BTreeMap::new(),
            wrong: Vec::new(),
            file,
            until: minutes.map(|minutes| Instant::now() + Duration::from_secs(60 * minutes)),
            part,
            seen: 0,
        }
    }

    /// Whether this place is still to be tried by this process now. It is counted either way.
    pub fn wants(&mut self, kind: &str, place: &str) -> bool {
        let count = self.counts.entry(kind.to_owned()).or_default();
        count.all += 1;
        self.seen += 1;
        if let Some(outcome) = self.outcomes.get(&format!("{kind}\t{place}")) {
            count.tried += 1;
            count.stopped += usize::from(outcome == "stopped");
            if outcome != "stopped" && outcome != "went on" {
                self.wrong.push(format!("{kind} {place}: {outcome}"));
            }
            return false;
        }
        self.seen % self.part.1 == self.part.0 % self.part.1
            && self.until.is_none_or(|until| Instant::now() < until)
    }

    /// How a place that was wanted ended: whether the process was stopped there, or what is wrong.
    pub fn ended(&mut self, kind: &str, place: &str, ended: Result<bool, String>) {
        let count = self.counts.entry(kind.to_owned()).or_default();
        count.tried += 1;
        let outcome = match ended {
            Ok(stopped) => {
                count.stopped += usize::from(stopped);
                if stopped {
                    "stopped".to_owned()
                } else {
                    "went on".to_owned()
                }
            }
            Err(what) => {
                self.wrong.push(format!("{kind} {place}: {what}"));
                what.replace(['\t', '\n'], " ")
            }
        };
        if let Some(file) = &mut self.file {
            // One write, so that a line is whole or missing.
            let line = format!("{kind}\t{place}\t{outcome}\n");
            file.write_all(line.as_bytes()).expect("kept");
        }
    }

    /// How many were stopped.
    pub fn stopped(&self) -> usize {
        self.counts.values().map(|count| count.stopped).sum()
    }

    /// What was tried of what there is, by kinds. Fails where anything was wrong.
    pub fn told(&self) -> String {
        let wrong = &self.wrong;
        let first = &wrong[..wrong.len().min(10)];
        assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), first.join("\n"));
        let all = self.counts.values().all(|count| count.tried == count.all);
        let kinds = self.counts.iter().map(|(kind, count)| {
            let Count { all, tried, stopped } = count;
            format!("\n  {kind}: {tried} of {all}, {stopped} of them stopped the job")
        });
        let begun = if all {
            "ok"
        } else {
            "not all were tried, nothing was lost so far"
        };
        format!("{begun}{}", kinds.collect::<String>())
    }
}
