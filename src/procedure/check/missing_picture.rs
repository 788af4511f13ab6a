//! A picture that is named is there.

use super::File;
use super::path_escape::escapes;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Picture(name) = &marked.mark else {
            continue;
        };
        if !escapes(name) && !file.files.contains_key(&format!("media/{name}")) {
            let fault = file.found(
                marked.at,
                "missing-picture",
                quoted(name),
                "a picture under `media/`",
            );
            let folder = name
                .rsplit_once('/')
                .map_or("media/".to_owned(), |(folder, _)| format!("media/{folder}/"));
            let there = file.files.range(folder.clone()..).map(|(path, _)| path.as_str());
            let there = there
                .take_while(|path| path.starts_with(&folder))
                .filter_map(|path| path.strip_prefix("media/"));
            report.push(fault.choose(name, there.map(str::to_owned)));
        }
    }
}
