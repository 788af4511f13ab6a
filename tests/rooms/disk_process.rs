//! Two processes at one shop's folder: killed at any moment, out of space, or both at once.

use super::scratch::Scratch;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use witnessmark::disk::{Draft, Kind, Shop};

/// Where the other process finds the shop.
const SHOP: &str = "WITNESSMARK_TEST_SHOP";
const NUMBER: &str = "2026-0001";

fn line(n: u64) -> String {
    // Long enough that a page of the disk's cache ends in the middle of one.
    format!("{{\"n\":{n},\"text\":\"{}\"}}\n", "brass ".repeat(150))
}

fn make_job(root: &Path) {
    let (shop, _) = Shop::open(root).expect("a shop");
    let draft = Draft {
        record: line(0).into_bytes(),
        ..Draft::default()
    };
    shop.create_job(NUMBER, &draft).expect("a job");
}

/// Runs one of the ignored tests below in a process of its own.
fn other_process(shell_before: &str, test: &str, root: &Path) -> Child {
    let program = std::env::current_exe().expect("this program");
    let command = format!("{shell_before} exec \"$0\" disk_process::{test} --exact --ignored --nocapture");
    let mut shell = Command::new("sh");
    shell
        .arg("-c")
        .arg(command)
        .arg(program)
        .env(SHOP, root)
        .stdout(Stdio::piped());
    shell.spawn().expect("another process")
}

/// What stands in the record, whole lines only; anything else fails the test.
fn numbers(root: &Path) -> Vec<u64> {
    let (shop, _) = Shop::open(root).expect("a shop");
    let mut job = shop.job(NUMBER).expect("the job");
    let lines = job
        .record()
        .lines()
        .expect("lines")
        .map(|raw| raw.expect("readable"));
    let numbers = lines.enumerate().map(|(n, raw)| {
        assert!(raw.ended);
        assert_eq!(String::from_utf8_lossy(&raw.bytes) + "\n", line(n as u64));
        n as u64
    });
    numbers.collect()
}

#[test]
#[ignore = "run by other tests in a process of its own"]
fn append_until_killed_or_full() {
    let root = std::env::var(SHOP).expect("the shop's place");
    let (shop, _) = Shop::open(Path::new(&root)).expect("a shop");
    let mut job = shop.job(NUMBER).expect("the job");
    for n in 1.. {
        if let Err(error) = job.record().append(line(n).as_bytes()) {
            println!("failed {:?} {error} {}", error.kind, error.hint());
            return;
        }
        println!("acknowledged {n}");
    }
}

#[test]
fn every_acknowledged_line_outlives_a_kill() {
    for round in 0..10 {
        let scratch = Scratch::new();
        let root = scratch.path().join("shop");
        make_job(&root);
        let mut child = other_process("", "append_until_killed_or_full", &root);
        let mut output = BufReader::new(child.stdout.take().expect("a pipe")).lines();
        let mut last = 0;
        for text in output.by_ref().map_while(Result::ok) {
            if let Some(n) = text.strip_prefix("acknowledged ") {
                last = n.parse().expect("a number");
                if last > round * 3 {
                    child.kill().expect("killed");
                    break;
                }
            }
        }
        child.wait().expect("ended");
        let more = output
            .map_while(Result::ok)
            .filter_map(|text| text.strip_prefix("acknowledged ")?.parse().ok());
        last = more.max().unwrap_or(last);
        let found = numbers(&root).len() as u64;
        assert!(
            last > 0 && (last + 1..=last + 2).contains(&found),
            "{last} acknowledged, {found} lines"
        );
    }
}

/// The system refuses bytes in the middle of a line, as a full disk does.
#[test]
fn a_full_disk_loses_nothing_and_says_so() {
    let scratch = Scratch::new();
    let root = scratch.path().join("shop");
    make_job(&root);
    // 20 blocks of 512 bytes; the signal that comes with the limit is ignored, so that the write fails.
    let child = other_process(
        "trap '' XFSZ; ulimit -f 20;",
        "append_until_killed_or_full",
        &root,
    );
    let output = child.wait_with_output().expect("ended");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let acknowledged = text
        .lines()
        .filter(|text| text.starts_with("acknowledged"))
        .count();
    assert!(text.contains("failed Full could not append to"), "{text}");
    assert!(text.contains("Free some space"), "{text}");
    assert!(acknowledged > 3, "{text}");
    let length = std::fs::metadata(root.join("jobs/2026-0001/record.jsonl"))
        .expect("the record")
        .len();
    assert_eq!(
        length,
        (0..=acknowledged as u64)
            .map(|n| line(n).len() as u64)
            .sum::<u64>()
    );
    assert_eq!(numbers(&root).len(), acknowledged + 1);
}

#[test]
#[ignore = "run by other tests in a process of its own"]
fn open_and_say_how() {
    match Shop::open(Path::new(&std::env::var(SHOP).expect("the shop's place"))) {
        Ok(_) => println!("opened"),
        Err(error) => println!("refused {:?} {error}", error.kind),
    }
}

#[test]
fn a_second_instance_is_refused_until_the_first_ends() {
    let scratch = Scratch::new();
    let try_it = || {
        let child = other_process("", "open_and_say_how", scratch.path());
        String::from_utf8(child.wait_with_output().expect("ended").stdout).expect("text")
    };
    let first = Shop::open(scratch.path()).expect("a shop");
    let said = try_it();
    assert!(said.contains("refused Busy could not lock"), "{said}");
    let here = Shop::open(scratch.path()).expect_err("the same process");
    assert_eq!(here.kind, Kind::Busy);
    drop(first);
    // Another test's process, between its fork and its start, may hold the lock a moment longer.
    let opened = (0..50).any(|_| {
        let opened = try_it().contains("opened");
        if !opened {
            std::thread::sleep(std::time::Duration::from_millis(100));
        }
        opened
    });
    assert!(opened, "{}", try_it());
}
