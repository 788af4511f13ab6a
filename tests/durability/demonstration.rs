//! The demonstration's job, some 760 entries long, from one traced run of it.
//!
//! What the run did to the disk is cut into windows, each from one word given to the next. Windows in which the same
//! calls are made of the same files, whatever the bytes, the job's number and the hashes in names, are one pattern. A
//! process that is killed leaves what it did so far; so the folder at each call is built again from the run instead of
//! playing all before it once more, which `rebuilt` shows to be the same for processes that are really killed. A sync and
//! a word leave the folder as it is; so a row of them is looked at once, with the last word that was given.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::ops::Range;
use std::path::Path;

use crate::checks::{Look, look};
use crate::job::{Plan, Stage, Tree, read_tree, write_tree};
use crate::kept::{self, Tried};
use crate::model::{Disk, Random};
use crate::sweep::{self, Set};
use crate::trace::{self, Op};

const SEED: u64 = 0x5747_4445_4d4f;
/// Acts that a process plays on from a window's beginning.
const ACTS: usize = 2;

/// One run of the whole job.
struct Run {
    stage: Stage,
    ops: Vec<Op>,
    /// The windows of each pattern, by their places among the changes.
    patterns: BTreeMap<String, Vec<Range<usize>>>,
}

/// The run that is kept, or a new one.
fn run(kept: Option<&Path>) -> Run {
    let kept = kept.map(|folder| folder.join("run"));
    let (stage, ops) = match kept.as_deref() {
        Some(folder) if folder.is_dir() => kept_run(folder),
        folder => new_run(folder),
    };
    let mut patterns = BTreeMap::<String, Vec<Range<usize>>>::new();
    let mut from = 0;
    for at in 0..ops.len() {
        if matches!(ops[at], Op::Acknowledge(..)) || at + 1 == ops.len() {
            let calls: Vec<String> = ops[from..=at].iter().map(shape).collect();
            patterns.entry(calls.join("; ")).or_default().push(from..at + 1);
            from = at + 1;
        }
    }
    Run { stage, ops, patterns }
}

fn new_run(keep: Option<&Path>) -> (Stage, Vec<Op>) {
    let stage = Stage::new(Plan::Demo);
    let set = Set::new(&stage);
    let (code, said, log) = set.play(&[]);
    assert_eq!(code, Some(0), "{said}");
    let ops = trace::parse(&log, &set.shop());
    expect_rebuilt(&stage.shop, &ops, &read_tree(&set.shop()));
    if let Some(folder) = keep {
        let made = folder.with_extension("new");
        fs::create_dir(&made).expect("a folder");
        write_tree(&made.join("shop"), &stage.shop);
        stage.write_keys(&made.join("keys"));
        fs::write(made.join("log"), log).expect("a file");
        fs::write(made.join("root"), set.shop().to_str().expect("UTF-8")).expect("a file");
        fs::rename(made, folder).expect("kept");
    }
    (stage, ops)
}

fn kept_run(folder: &Path) -> (Stage, Vec<Op>) {
    let mut stage = Stage::read(Plan::Demo, &folder.join("keys"));
    stage.shop = read_tree(&folder.join("shop"));
    let text = |name: &str| fs::read_to_string(folder.join(name)).expect("text");
    let ops = trace::parse(&text("log"), Path::new(&text("root")));
    (stage, ops)
}

/// A path without the job's number and hashes.
fn plain(path: &str) -> String {
    let parts = path.split('/').map(|part| {
        let stem = part
            .trim_start_matches(".new-")
            .split('.')
            .next()
            .unwrap_or_default();
        if stem.len() == 64 || stem.starts_with("20") {
            part.replace(stem, "*")
        } else {
            part.to_owned()
        }
    });
    parts.collect::<Vec<_>>().join("/")
}

/// What a change does, without its bytes, the job's number and hashes.
fn shape(op: &Op) -> String {
    match op {
        Op::Create(path) => format!("create {}", plain(path)),
        Op::MakeFolder(path) => format!("folder {}", plain(path)),
        Op::Write(path, _) => format!("write {}", plain(path)),
        Op::Cut(path, _) => format!("cut {}", plain(path)),
        Op::Sync(path) => format!("sync {}", plain(path)),
        Op::Rename(from, to) => format!("rename {} {}", plain(from), plain(to)),
        Op::Remove(path) => format!("remove {}", plain(path)),
        Op::Acknowledge(..) => "word".to_owned(),
    }
}

/// The folder that these changes leave is the one that is there. The lock's file is nobody's bytes.
fn expect_rebuilt(before: &Tree, ops: &[Op], there: &Tree) {
    let mut disk = Disk::new(before);
    ops.iter().for_each(|op| disk.take(op));
    let but_lock = |tree: &Tree| {
        let mut tree = tree.clone();
        tree.remove("shop.lock");
        tree
    };
    let (built, there) = (but_lock(&disk.all()), but_lock(there));
    let differs = |path: &&String| built.get(*path) != there.get(*path);
    let differing: Vec<&String> = built.keys().chain(there.keys()).filter(differs).collect();
    assert!(differing.is_empty(), "rebuilt otherwise: {differing:?}");
}

/// Windows to be tried: of each pattern the first, the last and one between.
fn windows(run: &Run) -> Vec<Range<usize>> {
    let mut windows: Vec<Range<usize>> = Vec::new();
    for of_one in run.patterns.values() {
        let mut places = vec![0, of_one.len() / 2, of_one.len() - 1];
        places.dedup();
        windows.extend(places.into_iter().map(|at| of_one[at].clone()));
    }
    windows.sort_by_key(|window| window.start);
    windows
}

/// Of the changes in some windows, those to be tried: of the ones alike in a window the first, the last and one between.
fn places(run: &Run, windows: &[Range<usize>]) -> BTreeSet<usize> {
    let mut places = BTreeSet::new();
    for window in windows {
        let mut alike = BTreeMap::<String, Vec<usize>>::new();
        for at in window.clone() {
            alike.entry(shape(&run.ops[at])).or_default().push(at);
        }
        for of_one in alike.values() {
            places.extend([of_one[0], of_one[of_one.len() / 2], of_one[of_one.len() - 1]]);
        }
    }
    places
}

/// What a power cut may leave: at most so many of the shares, nothing and everything among them.
fn some_shares(disk: &Disk, random: &mut Random, most: usize) -> Vec<Vec<usize>> {
    let mut shares: Vec<Vec<usize>> = disk.shares(random, 4).into_iter().collect();
    // The first is nothing, the last is everything.
    while shares.len() > most {
        shares.remove(1 + random.below(shares.len() - 2));
    }
    shares
}

/// Whether the change leaves the folder as it was.
fn changes_nothing(op: &Op) -> bool {
    matches!(op, Op::Sync(_) | Op::Acknowledge(..))
}

/// The folder at every change, as a kill leaves it, is opened and goes on; around the windows of each pattern also as a
/// power cut leaves it.
pub fn killed_or_without_power(_: &Stage, long: bool) -> String {
    let kept = kept::folder(long);
    let run = run(kept.as_deref());
    let mut tried = Tried::of("power", kept.as_deref());
    let all = places(&run, &windows(&run));
    let (places, most) = if long {
        (all, 24)
    } else {
        (all.into_iter().step_by(17).collect(), 3)
    };
    let (mut disk, mut random) = (Disk::new(&run.stage.shop), Random(SEED));
    for (at, op) in run.ops.iter().enumerate() {
        disk.take(op);
        let shares = if places.contains(&at) {
            some_shares(&disk, &mut random, most)
        } else {
            Vec::new()
        };
        for (nth, share) in shares.iter().enumerate() {
            let place = format!("{at} {nth}");
            if tried.wants(POWER, &place) {
                let ended = looked(&run, &disk, &disk.left(share), (at + nth) % 8 == 0);
                let what = |found| format!("{} with {share:?} of what is pending: {found}", shape(op));
                tried.ended(POWER, &place, ended.map_err(what));
            }
        }
        let row_goes_on = run.ops.get(at + 1).is_some_and(changes_nothing);
        let killed = if long {
            !row_goes_on
        } else {
            at % (run.ops.len() / 4) == 1
        };
        if killed && tried.wants(KILL, &at.to_string()) {
            let ended = looked(&run, &disk, &disk.all(), at % 64 == 0);
            tried.ended(
                KILL,
                &at.to_string(),
                ended.map_err(|found| format!("{}: {found}", shape(op))),
            );
        }
    }
    format!(
        "{}\n  of {} changes, {} of which leave the folder as it was, {} words given and {} patterns of windows; states without power at {} places",
        tried.told(),
        run.ops.len(),
        run.ops.iter().filter(|op| changes_nothing(op)).count(),
        disk.acknowledged.len(),
        run.patterns.len(),
        places.len()
    )
}

const KILL: &str = "killed, folders";
const POWER: &str = "without power, states";

fn looked(run: &Run, disk: &Disk, left: &Tree, verified: bool) -> Result<bool, String> {
    let how = if verified {
        Look::Verified(ACTS)
    } else {
        Look::Opened(ACTS)
    };
    look(&run.stage, left, &disk.acknowledged, how).map(|()| true)
}

const HOWS: [&str; 5] = [
    "signal=KILL",
    "error=ENOSPC",
    "error=EIO",
    "error=ENODEV",
    "error=EROFS",
];
const REBUILT: &str = "killed, and the folder compared with the rebuilt one";

/// A process that plays on from a window's beginning is killed, or refused a call, at its calls: of those that are alike
/// the first, the last and one between. What a killed one left is what its own trace says.
pub fn at_a_disturbed_call(_: &Stage, long: bool) -> String {
    let kept = kept::folder(long);
    let run = run(kept.as_deref());
    let mut tried = Tried::of("calls", kept.as_deref());
    let mut windows = windows(&run);
    if !long {
        // An act in the middle of the job.
        windows = vec![windows.swap_remove(windows.len() / 2)];
    }
    let (mut disk, mut at) = (Disk::new(&run.stage.shop), 0);
    for window in &windows {
        run.ops[at..window.start].iter().for_each(|op| disk.take(op));
        at = window.start;
        let shop = disk.all();
        let calls = kept::once(kept.as_deref(), &format!("calls-{at}"), || {
            unlike(sweep::called(&Set::at(&run.stage, &shop, ACTS)))
        });
        for (nth, call) in calls.iter().enumerate().step_by(if long { 1 } else { 7 }) {
            let from = format!("{} {} from {at}", call.0, call.1);
            let hows = HOWS.iter().skip(if long { 0 } else { nth % 5 });
            for how in hows.take(if long { 5 } else { 1 }) {
                if tried.wants(how, &from) {
                    let set = Set::at(&run.stage, &shop, ACTS);
                    tried.ended(how, &from, sweep::disturbed(&run.stage, &set, call, how));
                }
            }
            if nth % 11 == 0 && tried.wants(REBUILT, &from) {
                compare_killed(&run, &shop, call);
                tried.ended(REBUILT, &from, Ok(true));
            }
        }
    }
    assert!(tried.stopped() > 0);
    format!("{}\n  from {} windows", tried.told(), windows.len())
}

/// Of the calls of one name about files that are alike but for hashes and numbers, the first, the last and one between.
fn unlike(calls: Vec<((String, usize), String)>) -> Vec<(String, usize)> {
    let mut alike = BTreeMap::<(String, String), Vec<usize>>::new();
    for ((name, which), path) in calls {
        alike.entry((name, plain(&path))).or_default().push(which);
    }
    let mut unlike = BTreeSet::new();
    for ((name, _), of_one) in alike {
        let tried = [of_one[0], of_one[of_one.len() / 2], of_one[of_one.len() - 1]];
        unlike.extend(tried.map(|which| (name.clone(), which)));
    }
    unlike.into_iter().collect()
}

/// What a process that is killed at this call leaves is what its own trace says.
fn compare_killed(run: &Run, shop: &Tree, call: &(String, usize)) {
    let set = Set::at(&run.stage, shop, ACTS);
    let kill = format!("inject={}:signal=KILL:when={}", call.0, call.1);
    let (code, said, log) = set.play(&["-e", &kill]);
    assert_ne!(code, Some(0), "not killed: {said}");
    expect_rebuilt(shop, &trace::parse(&log, &set.shop()), &read_tree(&set.shop()));
}
