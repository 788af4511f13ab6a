//! A file's own slug is its name, so that a slug in a record finds its file.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    let name = file.path.rsplit('/').next().unwrap_or_default();
    let stem = name.strip_suffix(".yaml").unwrap_or(name);
    for marked in file.marks {
        let Mark::Slug(slug) = &marked.mark else { continue };
        if slug != stem {
            let expected = format!("{}, the file's name", quoted(stem));
            report.push(file.found(marked.at, "slug-file-mismatch", quoted(slug), &expected));
        }
    }
}
