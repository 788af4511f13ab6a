//! A question has at least two answers, and exactly one of them is right.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Question { right, answers } = &marked.mark else {
            continue;
        };
        if *right != 1 || *answers < 2 {
            let found = format!("{right} right of {answers} answers");
            let expected = "exactly one right answer of at least two";
            report.push(file.found(marked.at, "one-right-answer", found, expected));
        }
    }
}
