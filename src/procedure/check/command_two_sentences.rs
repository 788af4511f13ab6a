//! A command orders one thing, in one sentence.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Command(command) = &marked.mark else {
            continue;
        };
        if let Some(second) = second_sentence(command) {
            let found = format!("a second sentence, {}", quoted(second));
            let fault = file.found(marked.at, "command-two-sentences", found, "one sentence");
            report.push(fault.help("make two steps of it, or say the rest in `right` or `why`"));
        }
    }
}

/// What follows the end of the first sentence: a full stop, a space, and a capital letter or a value.
fn second_sentence(command: &str) -> Option<&str> {
    let ends = command
        .match_indices(['.', '!', '?'])
        .map(|(at, end)| &command[at + end.len()..]);
    ends.filter(|rest| rest.starts_with(' '))
        .map(str::trim_start)
        .find(|rest| rest.chars().next().is_some_and(|c| c.is_uppercase() || c == '{'))
}
