//! A sentence has at most 25 words: it is read at the car, at arm's length, once.

use super::{File, prose};
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;

const MOST: usize = 25;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Says(text) = &marked.mark else { continue };
        // Of a command the same is said as `command-too-long`.
        let command = |other: &Mark| matches!(other, Mark::Command(_));
        if file
            .marks
            .iter()
            .any(|other| other.at == marked.at && command(&other.mark))
        {
            continue;
        }
        let longest = prose::sentences(text).max_by_key(|sentence| prose::words(sentence).count());
        let count = longest.map_or(0, |sentence| prose::words(sentence).count());
        if count > MOST {
            let expected = format!("at most {MOST} words in a sentence");
            let found = format!("a sentence of {count} words");
            let fault = file.found(marked.at, "sentence-too-long", found, &expected);
            report.push(fault.help("make two sentences of it"));
        }
    }
}
