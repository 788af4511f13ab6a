//! A picture keeps to the colours of the drawing language, so that the night theme can turn each of them.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::picture::COLOURS;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Picture(name) = &marked.mark else {
            continue;
        };
        let Some(bytes) = file.files.get(&format!("media/{name}")) else {
            continue;
        };
        let svg = String::from_utf8_lossy(bytes);
        let other = colours(&svg).find(|colour| !COLOURS.iter().any(|known| known.day == *colour));
        if let Some(other) = other {
            let found = format!("{} with the colour {}", quoted(name), quoted(other));
            let fault = file.found(
                marked.at,
                "picture-colour",
                found,
                "a colour of the drawing language",
            );
            report.push(fault.choose(other, COLOURS.iter().map(|known| known.day)));
        }
    }
}

/// What stands after each `fill` and `stroke`, but for `none`.
fn colours(svg: &str) -> impl Iterator<Item = &str> {
    let after = |key: &'static str| svg.split(key).skip(1).filter_map(|rest| rest.split('"').next());
    after(" fill=\"")
        .chain(after(" stroke=\""))
        .filter(|colour| *colour != "none")
}
