//! Power cuts, from what a clean run did to the disk.

use std::collections::BTreeMap;

use witnessmark::audit::verify_shop;
use witnessmark::player::fact::Answer;
use witnessmark::seal::digest;
use witnessmark::session::Session;

use crate::job::{Place, Stage, Tree, Word, write_tree};
use crate::model::{Disk, Random};
use crate::sweep;
use crate::trace::Op;

/// Where numbers begin, in every run.
const SEED: u64 = 0x5747_4e45_5353;

/// How closely a shop is looked at, and for how many events it is to go on.
#[derive(Clone, Copy)]
pub enum Look {
    /// Every line of the job is checked as it is opened; the shop is not verified besides.
    Opened(usize),
    Verified(usize),
}

/// Opens the shop as it was left: what was acknowledged is there, the shop is whole, and the job goes on for so many
/// events. Otherwise, what is wrong.
pub fn look(stage: &Stage, left: &Tree, acknowledged: &[Word], how: Look) -> Result<(), String> {
    let (Look::Opened(events) | Look::Verified(events)) = how;
    let place = Place::new();
    write_tree(place.path(), left);
    let mut session = stage
        .open(place.path())
        .map_err(|error| format!("it does not open: {error}"))?;
    if let Some(Word { n, hash, typed }) = acknowledged.last() {
        let job = session.job().ok_or("the job is gone")?;
        let record = std::fs::read(job.path().join("record.jsonl")).expect("a record");
        let line = record
            .split(|byte| *byte == b'\n')
            .nth(usize::try_from(*n).expect("small"));
        if line.map(|line| digest(line).to_string()).as_ref() != Some(hash) {
            return Err(format!("entry {n} was acknowledged and is not there"));
        }
        let found = job.typed().len();
        if found < *typed {
            return Err(format!("{typed} answers were typed, {found} are there"));
        }
    }
    expect_personal(&session)?;
    let whole = |when: &str, session: &Session| {
        if matches!(how, Look::Opened(_)) {
            return Ok(());
        }
        verified(session).map_err(|found| format!("{when}: {found}"))
    };
    whole("opened", &session)?;
    let closed = stage
        .play(&mut session, events, &mut |_| {})
        .map_err(|error| format!("it does not go on: {error}"))?;
    whole("gone on", &session)?;
    if closed || events < stage.all() {
        Ok(())
    } else {
        Err("it comes to no end".into())
    }
}

/// Each personal answer that the record commits to has its text: it is written before the entry.
fn expect_personal(session: &Session) -> Result<(), String> {
    let Some(job) = session.job() else { return Ok(()) };
    let answers = job.state().answers().values();
    let committed = answers
        .filter(|answer| matches!(answer.answer, Answer::Committed { .. }))
        .count();
    let text = std::fs::read_to_string(job.path().join("personal.json")).unwrap_or_default();
    if committed > text.matches("\"salt\"").count() {
        return Err("the record commits to a personal answer whose text is gone".into());
    }
    Ok(())
}

/// Cuts the power after every `step`th change. Gives how many states were looked at, and what is wrong with any.
fn cuts(stage: &Stage, ops: &[Op], step: usize, some: usize) -> (usize, Vec<String>) {
    let (mut disk, mut random, mut states, mut wrong) = (Disk::new(&stage.shop), Random(SEED), 0, Vec::new());
    for (at, op) in ops.iter().enumerate() {
        disk.take(op);
        if at % step != 0 {
            continue;
        }
        for share in disk.shares(&mut random, some) {
            // The whole rest of the job takes long, so only some states see it.
            let events = if states % 16 == 0 { 100 } else { 2 };
            if let Err(what) = look(
                stage,
                &disk.left(&share),
                &disk.acknowledged,
                Look::Verified(events),
            ) {
                wrong.push(format!(
                    "after change {at} ({}), of {} pending {share:?}: {what}",
                    name(op),
                    disk.pending()
                ));
            }
            states += 1;
        }
    }
    (states, wrong)
}

fn name(op: &Op) -> String {
    format!("{op:?}").chars().take(90).collect()
}

/// Fewer places in the short run.
const fn step(long: bool) -> usize {
    if long { 1 } else { 11 }
}

pub fn a_power_cut_anywhere(stage: &Stage, long: bool) -> String {
    let ops = sweep::clean(stage);
    let (states, wrong) = cuts(stage, &ops, step(long), if long { 8 } else { 2 });
    assert!(
        wrong.is_empty(),
        "{} of {states} states:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(10)].join("\n")
    );
    let syncs = ops.iter().filter(|op| matches!(op, Op::Sync(_))).count();
    let said = ops.iter().filter(|op| matches!(op, Op::Acknowledge(..))).count();
    assert!(syncs > 50 && said > 20, "{syncs} syncs, {said} acknowledged");
    format!(
        "ok: {states} states of {} changes, {syncs} syncs and {said} words given",
        ops.len()
    )
}

/// Whether a loss is seen in some state around a place.
fn is_seen(stage: &Stage, ops: &[Op], around: usize) -> bool {
    let (mut disk, mut random) = (Disk::new(&stage.shop), Random(SEED));
    for (at, op) in ops.iter().enumerate() {
        disk.take(op);
        // A loss shows once something relies on what was not synced; what pends at the end is never synced again.
        let near = at >= around && (at < around + 8 || at + 1 == ops.len());
        if near
            && disk
                .shares(&mut random, 0)
                .iter()
                .any(|share| look(stage, &disk.left(share), &disk.acknowledged, Look::Verified(1)).is_err())
        {
            return true;
        }
    }
    false
}

/// Why a sync that is left out loses nothing; none where it must be seen.
fn made_up(stage: &Stage, ops: &[Op], at: usize) -> Option<&'static str> {
    let Op::Sync(path) = &ops[at] else { return None };
    let (mut before, mut after) = (Disk::new(&stage.shop), Disk::new(&stage.shop));
    ops[..at].iter().for_each(|op| before.take(op));
    ops[..=at].iter().for_each(|op| after.take(op));
    if before.pending() == after.pending() {
        return Some("nothing is pending: it is for what an earlier run wrote and did not sync");
    }
    let to_word = ops[at + 1..]
        .iter()
        .take_while(|op| !matches!(op, Op::Acknowledge(..)));
    let again = to_word
        .filter(|op| matches!(op, Op::Sync(other) if other == path))
        .count();
    let extract = matches!(&ops[at - 1], Op::Rename(_, to) if to.ends_with("/ledger-extract.jsonl"));
    match path.as_str() {
        _ if again > 0 => Some("synced again before a word is given"),
        "ledger.jsonl" => Some("start-up writes the line again; kept, for a bundle may hold the first one"),
        _ if extract => Some("start-up makes the extract again from the ledger"),
        _ => None,
    }
}

/// Each sync is taken out in turn: the harness sees the loss, or it is told why nothing is lost.
pub fn a_sync_left_out_is_seen(stage: &Stage, long: bool) -> String {
    let ops = sweep::clean(stage);
    let syncs = ops.iter().enumerate().filter(|(_, op)| matches!(op, Op::Sync(_)));
    let (mut seen, mut table, mut missed) = (0, BTreeMap::<(&str, String), usize>::new(), Vec::new());
    for (at, sync) in syncs.step_by(if long { 1 } else { 7 }) {
        let mut less = ops.clone();
        less.remove(at);
        let Op::Sync(path) = sync else { continue };
        let why = made_up(stage, &ops, at);
        if is_seen(stage, &less, at) {
            seen += 1;
        } else if let Some(why) = why {
            let file = path.rsplit('/').next().unwrap_or_default().to_owned();
            *table.entry((why, file)).or_default() += 1;
        } else {
            missed.push(format!("{at} {path}"));
        }
    }
    assert!(
        missed.is_empty() && seen > 2,
        "{seen} seen, lost unseen: {missed:?}"
    );
    let rows = table
        .iter()
        .map(|((why, file), count)| format!("\n  {count} of {file}: {why}"));
    format!(
        "ok: {seen} syncs left out are seen; nothing is lost without{}",
        rows.collect::<String>()
    )
}

/// The same in the process itself: strace answers a sync without making it.
pub fn a_pretended_sync_is_seen(stage: &Stage, _: bool) -> String {
    let ops = sweep::played(stage, &["-e", "inject=fdatasync:retval=0"]);
    let (states, wrong) = cuts(stage, &ops, 40, 0);
    assert!(
        wrong
            .iter()
            .any(|what| what.contains("was acknowledged and is not there")),
        "{wrong:?}"
    );
    format!("ok: {} of {states} states lose something", wrong.len())
}

/// A word that is given before its sync: two changes in the wrong order.
pub fn a_word_given_too_early_is_seen(stage: &Stage, long: bool) -> String {
    let ops = sweep::clean(stage);
    let pairs = ops.windows(2).enumerate().filter(
        |(_, pair)| matches!(pair, [Op::Sync(path), Op::Acknowledge(..)] if path.ends_with("/record.jsonl")),
    );
    let places: Vec<usize> = pairs
        .map(|(at, _)| at)
        .step_by(if long { 1 } else { 9 })
        .collect();
    for at in &places {
        let mut early = ops.clone();
        early.swap(*at, *at + 1);
        assert!(is_seen(stage, &early, *at), "not seen at {at}");
    }
    // And a file that is put in its place before its bytes are synced.
    let rename = ops.windows(3).position(|three| {
        matches!(three, [Op::Sync(from), Op::Rename(moved, _), Op::Sync(_)] if from == moved && from.ends_with("roster.jsonl"))
    });
    let at = rename.expect("a file that is replaced");
    let mut early = ops.clone();
    let [Op::Sync(_), Op::Rename(_, to)] = &ops[at..at + 2] else {
        unreachable!()
    };
    (early[at], early[at + 1]) = (ops[at + 1].clone(), Op::Sync(to.clone()));
    early.remove(at + 1);
    assert!(is_seen(stage, &early, at), "a rename before its sync is not seen");
    format!(
        "ok: {} words given too early are seen, and a rename before its sync",
        places.len()
    )
}

/// The whole shop, verified as `witnessmark verify` does.
pub fn verified(session: &Session) -> Result<(), String> {
    let report = verify_shop(session.folder(), None, None, &mut |_, _| {});
    if report.whole() {
        Ok(())
    } else {
        Err(report.to_text())
    }
}
