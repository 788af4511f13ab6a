//! Kills, refused calls and power cuts at every place where a job touches the disk.
//!
//! The short job is played by a process of its own, which prints a line for each entry that it acknowledges. `strace`
//! kills it at a system call, lets the call fail, or writes down what was done; from that, the disk is built again as
//! a power cut could have left it. Each time the shop is opened again: every acknowledged entry must be there, the
//! shop must be whole, and the job must go on.
//!
//! The short run goes with the other tests. `cargo test --no-default-features --test durability -- --long` tries
//! every place and says how many; `kept.rs` says how to break it off and take it up again. That the harness sees a loss is shown first, by syncs that are left out.
#![allow(clippy::disallowed_methods, reason = "a test of files")]

mod alive;
mod checks;
mod demo;
mod demonstration;
mod job;
mod kept;
mod model;
mod sweep;
mod trace;
#[path = "../cut_out/worker.rs"]
mod worker;

use std::path::Path;
use std::process::ExitCode;

use job::{Plan, Stage};

/// A case with its name; it gives a line of numbers.
type Case = (&'static str, fn(&Stage, bool) -> String);

const CASES: &[Case] = &[
    ("a_sync_left_out_is_seen", checks::a_sync_left_out_is_seen),
    ("a_pretended_sync_is_seen", checks::a_pretended_sync_is_seen),
    (
        "a_word_given_too_early_is_seen",
        checks::a_word_given_too_early_is_seen,
    ),
    ("a_power_cut_anywhere", checks::a_power_cut_anywhere),
    ("a_kill_at_any_call", |stage, long| {
        sweep::sweep(stage, "signal=KILL", long)
    }),
    ("no_space_at_any_call", |stage, long| {
        sweep::sweep(stage, "error=ENOSPC", long)
    }),
    ("an_error_at_any_call", |stage, long| {
        sweep::sweep(stage, "error=EIO", long)
    }),
    ("a_pulled_stick_at_any_call", |stage, long| {
        sweep::sweep(stage, "error=ENODEV", long)
    }),
    (
        "a_clock_set_back_and_forward",
        alive::a_clock_set_back_and_forward,
    ),
    (
        "a_folder_taken_away_and_back",
        alive::a_folder_taken_away_and_back,
    ),
    (
        "a_second_instance_is_refused",
        alive::a_second_instance_is_refused,
    ),
    (
        "the_demonstration_is_killed_or_without_power",
        demonstration::killed_or_without_power,
    ),
    (
        "the_demonstration_at_a_disturbed_call",
        demonstration::at_a_disturbed_call,
    ),
    ("a_locked_disk_at_any_call", |stage, long| {
        sweep::sweep(stage, "error=EROFS", long)
    }),
];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [mode, plan, shop, keys, events] = &arguments[..]
        && mode == "play"
    {
        let plan = if plan == "Demo" { Plan::Demo } else { Plan::CutOut };
        let events = events.parse().expect("a number");
        return sweep::play(plan, Path::new(shop), Path::new(keys), events);
    }
    let long = arguments.iter().any(|argument| argument == "--long");
    let named: Vec<&String> = arguments
        .iter()
        .filter(|argument| !argument.starts_with('-'))
        .collect();
    let wanted = CASES
        .iter()
        .filter(|(name, _)| named.iter().all(|part| name.contains(part.as_str())));
    let mut stage = None;
    for (name, case) in wanted {
        let stage = stage.get_or_insert_with(|| Stage::new(Plan::CutOut));
        println!("test {name} ... {}", case(stage, long));
    }
    ExitCode::SUCCESS
}
