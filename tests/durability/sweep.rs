//! The process that plays, and strace at each of its calls.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, ExitCode};

use witnessmark::seal::digest;

use crate::checks;
use crate::job::{Place, Plan, Stage, Tree, Word, write_tree};
use crate::trace::{self, CALLS, Op};

/// The other process: plays the job on, and says what it acknowledges.
pub fn play(plan: Plan, shop: &Path, keys: &Path, events: usize) -> ExitCode {
    let stage = Stage::read(plan, keys);
    let mut said = |word: Word| {
        let mut out = std::io::stdout().lock();
        writeln!(out, "{}", word.say())
            .and_then(|()| out.flush())
            .expect("somebody listens");
    };
    let played = stage
        .open(shop)
        .and_then(|mut session| stage.play(&mut session, events, &mut said));
    match played {
        Ok(closed) if closed || events < stage.all() => ExitCode::SUCCESS,
        Ok(_) => ExitCode::from(3),
        Err(error) => {
            eprintln!("failed: {error}; {}", error.hint());
            ExitCode::from(2)
        }
    }
}

/// A shop on the disk with the keys beside it.
pub struct Set {
    place: Place,
    plan: Plan,
    events: usize,
}

impl Set {
    /// The shop as it was founded, and the whole job to be played.
    pub fn new(stage: &Stage) -> Set {
        Set::at(stage, &stage.shop, stage.all())
    }

    /// The shop as it once stood, and so many events to be played.
    pub fn at(stage: &Stage, shop: &Tree, events: usize) -> Set {
        let place = Place::new();
        fs::create_dir(place.path()).expect("a folder");
        write_tree(&place.path().join("shop"), shop);
        stage.write_keys(&place.path().join("keys"));
        Set {
            place,
            plan: stage.plan,
            events,
        }
    }

    pub fn shop(&self) -> std::path::PathBuf {
        self.place.path().join("shop")
    }

    fn command(&self) -> [String; 6] {
        let program = std::env::current_exe()
            .expect("this program")
            .display()
            .to_string();
        let keys = self.place.path().join("keys").display().to_string();
        let (shop, plan) = (self.shop().display().to_string(), format!("{:?}", self.plan));
        [program, "play".into(), plan, shop, keys, self.events.to_string()]
    }

    /// Plays undisturbed. Gives exit code and what was said.
    pub fn plain(&self) -> (Option<i32>, String) {
        let command = self.command();
        let out = Command::new(&command[0])
            .args(&command[1..])
            .output()
            .expect("the other process");
        (
            out.status.code(),
            String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned(),
        )
    }

    /// Plays under strace. Gives exit code, what was said, and what strace saw.
    pub fn play(&self, options: &[&str]) -> (Option<i32>, String, String) {
        let log = self.place.path().join("log");
        let command = self.command();
        let trace = format!("trace={CALLS}");
        let options = [&["-e", &trace], options].concat();
        let out = trace::strace(&options, &log, &command.each_ref().map(String::as_str));
        let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
        (out.status.code(), said, fs::read_to_string(log).expect("a log"))
    }
}

/// What a run did to the disk, with some syncs pretended or not.
pub fn played(stage: &Stage, options: &[&str]) -> Vec<Op> {
    let set = Set::new(stage);
    let (code, said, log) = set.play(options);
    assert_eq!(code, Some(0), "{said}");
    trace::parse(&log, &set.shop())
}

/// What an undisturbed run did to the disk.
pub fn clean(stage: &Stage) -> Vec<Op> {
    played(stage, &[])
}

/// The calls of an undisturbed run that touch the shop: name, and which one of that name it is, from 1.
pub fn calls(set: &Set) -> Vec<(String, usize)> {
    called(set).into_iter().map(|(call, _)| call).collect()
}

/// The calls of an undisturbed run that touch the shop, each with the file or folder that it is about.
pub fn called(set: &Set) -> Vec<((String, usize), String)> {
    let (code, said, log) = set.play(&[]);
    assert_eq!(code, Some(0), "{said}");
    let mut counts = std::collections::BTreeMap::<String, usize>::new();
    let mut found = Vec::new();
    for line in log.lines() {
        let name = line.split_once(' ').map_or("", |(_, line)| line.trim_start());
        let Some((name, _)) = name.split_once('(') else {
            continue;
        };
        let count = counts.entry(name.to_owned()).or_default();
        *count += 1;
        // Reading an existing file is no change, and a failure to read is another matter.
        let reads = name == "openat" && !line.contains("O_CREAT");
        if let (Some((_, path)), false) = (trace::about(line, &set.shop()), reads) {
            found.push(((name.to_owned(), *count), path));
        }
    }
    found
}

/// Disturbs one call, then plays on in a process that is not disturbed.
pub fn disturbed(stage: &Stage, set: &Set, call: &(String, usize), how: &str) -> Result<bool, String> {
    let (name, which) = call;
    let inject = format!("inject={name}:{how}:when={which}");
    let (code, said, _) = set.play(&["-e", &inject]);
    let hurt = code != Some(0);
    if !hurt && how == "signal=KILL" {
        return Err("it was not killed".to_owned());
    }
    if hurt && how.starts_with("error") && !(code == Some(2) && said.contains("failed: could not ")) {
        return Err(format!("exit {code:?}, no clear error: {said}"));
    }
    expect_kept_and_whole(stage, set, &said)?;
    Ok(hurt)
}

/// Opens the shop again, which finishes what was interrupted: every word that was given holds, the job goes on, and the
/// shop is whole then, with all that stood in it before.
fn expect_kept_and_whole(stage: &Stage, set: &Set, said: &str) -> Result<(), String> {
    let opened = stage.open(&set.shop());
    let mut session = opened.map_err(|error| format!("it does not open: {error}"))?;
    let jobs = fs::read_dir(set.shop().join("jobs")).expect("jobs");
    let jobs: Vec<_> = jobs.map(|entry| entry.expect("an entry").path()).collect();
    let words: Vec<Word> = said.lines().filter_map(Word::read).collect();
    if jobs.len() > 1 || jobs.is_empty() && !words.is_empty() {
        return Err(format!("{} jobs", jobs.len()));
    }
    let record = jobs
        .first()
        .map(|job| fs::read(job.join("record.jsonl")).expect("a record"));
    let record = record.unwrap_or_default();
    let hashes: Vec<String> = record
        .split(|byte| *byte == b'\n')
        .map(|line| digest(line).to_string())
        .collect();
    for Word { n, hash, .. } in words {
        if hashes.get(usize::try_from(n).expect("small")) != Some(&hash) {
            return Err(format!("entry {n} was acknowledged and is not there"));
        }
    }
    let closed = stage
        .play(&mut session, set.events, &mut |_| {})
        .map_err(|error| format!("it does not go on: {error}"))?;
    if !closed && set.events >= stage.all() {
        return Err("it comes to no end".to_owned());
    }
    checks::verified(&session)
}

/// Every call in the long run, some in the short one.
pub fn sweep(stage: &Stage, how: &str, long: bool) -> String {
    let calls = calls(&Set::new(stage));
    let tried: Vec<&(String, usize)> = calls.iter().step_by(if long { 1 } else { 41 }).collect();
    let (mut hurt, mut wrong) = (0, Vec::new());
    for call in &tried {
        match disturbed(stage, &Set::new(stage), call, how) {
            Ok(was) => hurt += usize::from(was),
            Err(what) => wrong.push(format!("{} {}: {what}", call.0, call.1)),
        }
    }
    assert!(
        wrong.is_empty(),
        "{how}, {} of {}:\n{}",
        wrong.len(),
        tried.len(),
        wrong.join("\n")
    );
    assert!(
        hurt * 2 > tried.len(),
        "{hurt} of {} calls were disturbed",
        tried.len()
    );
    format!(
        "ok: {} of {} calls, {hurt} of them stopped the job",
        tried.len(),
        calls.len()
    )
}
