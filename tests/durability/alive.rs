//! What happens to a session that goes on: its clock is set, its folder is taken away, another wants in.

use std::fs;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use chrono::{Local, TimeDelta};
use witnessmark::audit::verify_shop;
use witnessmark::session::{Session, World};

use crate::job::{Place, Stage, Word, write_tree};
use crate::sweep;

fn expect_whole(session: &Session) -> Vec<String> {
    let report = verify_shop(session.folder(), None, None, &mut |_, _| {});
    assert!(report.whole(), "{}", report.to_text());
    let (_, job) = report.jobs.first().expect("a job");
    job.remarks()
        .map(|remark| remark.rule.as_str().to_owned())
        .collect()
}

/// Times that go back are told, and break nothing; the job comes to its end.
pub fn a_clock_set_back_and_forward(stage: &Stage, _: bool) -> String {
    let place = Place::new();
    write_tree(place.path(), &stage.shop);
    let minutes = Arc::new(AtomicI64::new(600));
    let clock = Arc::clone(&minutes);
    let now = move || Local::now().fixed_offset() + TimeDelta::minutes(clock.load(Ordering::Relaxed));
    let mut session = stage
        .open_at(place.path(), World::with_clock(now, 1))
        .expect("a session");
    let mut closed = false;
    for set in [0, -300, 900, 5, 100_000] {
        minutes.store(600 + set, Ordering::Relaxed);
        closed = stage
            .play(&mut session, if set == 100_000 { 100 } else { 5 }, &mut |_| {})
            .expect("it goes on");
    }
    let remarks = expect_whole(&session);
    let back = remarks.iter().filter(|rule| *rule == "time-backwards").count();
    assert!(closed && back >= 2, "{remarks:?}");
    format!("ok: {back} entries are told to be before their time")
}

/// The folder is elsewhere for a while, as a stick that was pulled out: what needs its place fails with a clear
/// error, and when it is back, the same session goes on.
pub fn a_folder_taken_away_and_back(stage: &Stage, _: bool) -> String {
    let (mut said, mut tried) = (Vec::new(), 0);
    for events in 0..40 {
        let (place, away) = (Place::new(), Place::new());
        write_tree(place.path(), &stage.shop);
        let mut session = stage.open(place.path()).expect("a session");
        let mut kept = Vec::new();
        if stage
            .play(&mut session, events, &mut |word| kept.push(word))
            .expect("it goes on")
        {
            break;
        }
        tried += 1;
        fs::rename(place.path(), away.path()).expect("taken away");
        if let Err(error) = stage.play(&mut session, 3, &mut |word| kept.push(word)) {
            assert!(
                error.to_string().starts_with("could not ") && error.hint().contains("in its place"),
                "{error}"
            );
            said.push(error.to_string());
        }
        // A folder that is made anew in the place would be another one.
        assert!(!place.path().exists(), "after {events} events");
        fs::rename(away.path(), place.path()).expect("back");
        let closed = stage
            .play(&mut session, 100, &mut |word| kept.push(word))
            .expect("it goes on");
        // Where the closing itself was disturbed, showing the job again finishes it.
        let number = session.job().expect("a job").number().to_owned();
        session.resume(&number).expect("shown again");
        expect_whole(&session);
        let record = fs::read(session.job().expect("a job").path().join("record.jsonl")).expect("a record");
        let lines: Vec<String> = record
            .split(|byte| *byte == b'\n')
            .map(|line| witnessmark::seal::digest(line).to_string())
            .collect();
        let there = |word: &Word| lines.get(usize::try_from(word.n).expect("small")) == Some(&word.hash);
        assert!(closed && kept.iter().all(there), "after {events} events");
    }
    assert!(tried > 15 && said.len() > 1, "{tried} times, {said:?}");
    format!("ok: taken away {tried} times, {} of them told", said.len())
}

/// A second program at the same folder is refused, and told which folder it is.
pub fn a_second_instance_is_refused(stage: &Stage, _: bool) -> String {
    let set = sweep::Set::new(stage);
    let first = stage.open(&set.shop()).expect("a session");
    let (code, said) = set.plain();
    let lock = format!("failed: could not lock {}", set.shop().display());
    assert!(
        code == Some(2) && said.contains(&lock) && said.contains("Close it first"),
        "{said}"
    );
    drop(first);
    let (code, said) = set.plain();
    assert_eq!(code, Some(0), "{said}");
    "ok".to_owned()
}
