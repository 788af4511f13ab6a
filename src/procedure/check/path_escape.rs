//! A picture is named by a plain path under `media/`, so that no procedure reads another part of the disk.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Picture(name) = &marked.mark else {
            continue;
        };
        if escapes(name) {
            let expected = "a plain path under `media/`, such as `cut-out/fit.svg`";
            report.push(file.found(marked.at, "path-escape", quoted(name), expected));
        }
    }
}

/// Whether a name could lead out of `media/`, on any system.
pub(super) fn escapes(name: &str) -> bool {
    let plain = |part: &str| {
        !part.is_empty()
            && !part.starts_with('.')
            && part
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'))
    };
    !name.split('/').all(plain)
}
