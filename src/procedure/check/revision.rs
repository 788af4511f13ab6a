//! A revision is a whole number from 1: the record names it.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Revision(text) = &marked.mark else {
            continue;
        };
        let plain = text.chars().all(|c| c.is_ascii_digit()) && !text.starts_with('0');
        if !plain || text.parse::<u32>().is_err() {
            report.push(file.found(marked.at, "revision", quoted(text), "a whole number from 1"));
        }
    }
}
