//! The demonstration's job, some 760 entries long, from one traced run of it.
//!
//! What the run did to the disk is cut into windows, each from one word given to the next. Windows in which the same
//! calls are made of the same files, whatever the bytes, the job's number and the hashes in names, are one pattern. A
//! process that is killed leaves what it did so far; so the folder at each call is built again from the run instead of
//! playing all before it once more, which `rebuilt` shows to be the same for processes that are really killed.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use crate::checks::{Look, look};
use crate::job::{Plan, Stage, Tree, read_tree};
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

fn run() -> Run {
    let stage = Stage::new(Plan::Demo);
    let set = Set::new(&stage);
    let (code, said, log) = set.play(&[]);
    assert_eq!(code, Some(0), "{said}");
    let ops = trace::parse(&log, &set.shop());
    expect_rebuilt(&stage.shop, &ops, &read_tree(&set.shop()));
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

/// What a change does, without its bytes, the job's number and hashes.
fn shape(op: &Op) -> String {
    let plain = |path: &str| {
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
    };
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
fn tried(run: &Run) -> Vec<Range<usize>> {
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

/// The folder at every change, as a kill leaves it, is opened and goes on; around the windows of each pattern also as a
/// power cut leaves it.
pub fn killed_or_without_power(_: &Stage, long: bool) -> String {
    let run = run();
    let windows = tried(&run);
    let all = places(&run, &windows);
    let (places, most) = if long {
        (all, 24)
    } else {
        (all.into_iter().step_by(17).collect(), 3)
    };
    let (mut disk, mut random) = (Disk::new(&run.stage.shop), Random(SEED));
    let (mut kills, mut states, mut wrong) = (0, 0, Vec::new());
    for (at, op) in run.ops.iter().enumerate() {
        disk.take(op);
        let mut seen = |left: &Tree, verified: bool, what: &str| {
            let how = if verified {
                Look::Verified(ACTS)
            } else {
                Look::Opened(ACTS)
            };
            if let Err(found) = look(&run.stage, left, &disk.acknowledged, how) {
                wrong.push(format!("after change {at} ({}), {what}: {found}", shape(op)));
            }
        };
        if places.contains(&at) {
            for share in some_shares(&disk, &mut random, most) {
                seen(
                    &disk.left(&share),
                    states % 8 == 0,
                    &format!("{share:?} of what is pending"),
                );
                states += 1;
            }
        }
        if long || at % (run.ops.len() / 4) == 1 {
            seen(&disk.all(), kills % 64 == 0, "killed");
            kills += 1;
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(10)].join("\n")
    );
    format!(
        "ok: {} changes, {} words given, {} patterns; {kills} kills, {states} states without power at {} places, nothing lost",
        run.ops.len(),
        disk.acknowledged.len(),
        run.patterns.len(),
        places.len()
    )
}

const HOWS: [&str; 5] = [
    "signal=KILL",
    "error=ENOSPC",
    "error=EIO",
    "error=ENODEV",
    "error=EROFS",
];

/// A process that plays on from a window's beginning is killed, or refused a call, at each of its calls. What a killed
/// one left is what its own trace says.
pub fn at_a_disturbed_call(_: &Stage, long: bool) -> String {
    let run = run();
    let mut windows = tried(&run);
    if !long {
        // An act in the middle of the job.
        windows = vec![windows.swap_remove(windows.len() / 2)];
    }
    let (mut disk, mut at) = (Disk::new(&run.stage.shop), 0);
    let (mut count, mut hurt, mut same, mut wrong) = (0, 0, 0, Vec::new());
    for window in &windows {
        run.ops[at..window.start].iter().for_each(|op| disk.take(op));
        at = window.start;
        let shop = disk.all();
        let set = || Set::at(&run.stage, &shop, ACTS);
        let calls = sweep::calls(&set());
        for (nth, call) in calls.iter().enumerate().step_by(if long { 1 } else { 7 }) {
            for how in HOWS
                .iter()
                .skip(if long { 0 } else { nth % 5 })
                .take(if long { 5 } else { 1 })
            {
                match sweep::disturbed(&run.stage, &set(), call, how) {
                    Ok(was) => hurt += usize::from(was),
                    Err(what) => wrong.push(format!(
                        "{how} {} {} from {}: {what}",
                        call.0, call.1, window.start
                    )),
                }
                count += 1;
            }
            if nth % 11 == 0 {
                let set = set();
                let kill = format!("inject={}:signal=KILL:when={}", call.0, call.1);
                let (_, _, log) = set.play(&["-e", &kill]);
                expect_rebuilt(&shop, &trace::parse(&log, &set.shop()), &read_tree(&set.shop()));
                same += 1;
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {count}:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(10)].join("\n")
    );
    assert!(hurt > 0 && same > 0, "{hurt} disturbed, {same} compared");
    format!(
        "ok: {count} disturbances from {} windows, {hurt} of them stopped the job; {same} killed folders are as rebuilt",
        windows.len()
    )
}
