//! Each number in a picture has its words in the step, and the other way round.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;
use crate::procedure::model::Picture;
use std::collections::BTreeSet;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Callouts { picture, count } = &marked.mark else {
            continue;
        };
        let drawn = match picture {
            Picture::File(path) => match file.files.get(&format!("media/{path}")) {
                Some(bytes) => drawn(&String::from_utf8_lossy(bytes)),
                None => continue,
            },
            // Without callouts the labels of the circuit or the layout stand for the numbers.
            Picture::Circuit(_) | Picture::Layout(_) if *count == 0 => continue,
            Picture::Circuit(shown) => numbered(shown.points.len()),
            Picture::Layout(setup) => numbered(setup.points.len()),
        };
        let wanted = numbered(*count);
        if drawn != wanted {
            let numbers: Vec<&str> = drawn.iter().map(String::as_str).collect();
            let found = format!(
                "{count} callouts, while the picture has {}",
                if numbers.is_empty() {
                    "no numbers".to_owned()
                } else {
                    format!("the numbers {}", numbers.join(", "))
                }
            );
            let fault = file.found(
                marked.at,
                "callouts-match",
                found,
                "one callout for each number, from 1",
            );
            report.push(fault.help(match picture {
                Picture::File(_) => "a number in a picture is a group with `id=\"callout-1\"`",
                Picture::Circuit(_) => "a diagram has a number for each of `red`, `black`, `clamp`, `highlight` and `at`, in this order",
                Picture::Layout(_) => "a diagram of a layout has a number for each of `highlight`",
            }));
        }
    }
}

fn numbered(count: usize) -> BTreeSet<String> {
    (1..=count).map(|number| number.to_string()).collect()
}

/// The numbers that the picture's groups are called by.
fn drawn(svg: &str) -> BTreeSet<String> {
    let groups = svg.split("id=\"callout-").skip(1);
    groups
        .filter_map(|rest| rest.split_once('"'))
        .map(|(number, _)| number.to_owned())
        .collect()
}
