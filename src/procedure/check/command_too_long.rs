//! A command has at most 25 words, so that it is read at a glance.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;

const MOST_WORDS: usize = 25;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Command(command) = &marked.mark else {
            continue;
        };
        let words = command.split_whitespace().count();
        if words > MOST_WORDS {
            let expected = format!("at most {MOST_WORDS} words");
            let fault = file.found(marked.at, "command-too-long", format!("{words} words"), &expected);
            report.push(fault.help("move the reason to `why`, or make two steps of it"));
        }
    }
}
