//! A picture is a drawing of our own, as SVG.

use super::File;
use super::path_escape::escapes;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Picture(name) = &marked.mark else {
            continue;
        };
        let wrong = match file.files.get(&format!("media/{name}")) {
            _ if escapes(name) => None,
            _ if !name.ends_with(".svg") => Some(quoted(name)),
            Some(bytes) if !is_svg(bytes) => Some(format!("{}, whose content is no SVG", quoted(name))),
            _ => None,
        };
        if let Some(found) = wrong {
            report.push(file.found(marked.at, "picture-not-svg", found, "an SVG drawing, `….svg`"));
        }
    }
}

/// Whether the file begins as an SVG does: perhaps with a declaration and remarks, then the element.
fn is_svg(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 4096;
    let start = String::from_utf8_lossy(&bytes[..bytes.len().min(LOOKED_AT)]);
    start.trim_start().starts_with('<') && start.contains("<svg")
}
