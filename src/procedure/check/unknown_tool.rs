//! A tool stands in `tools.yaml`.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::ToolId;

pub(super) fn check(file: &File, report: &mut Report) {
    let known = &file.draft.shared.tools;
    for marked in file.marks {
        let Mark::Tool(id) = &marked.mark else { continue };
        let unsaid = file.draft.is_unread("tools.yaml", id);
        if !unsaid && !known.contains_key(&ToolId(id.clone())) {
            let fault = file.found(marked.at, "unknown-tool", quoted(id), "a tool of `tools.yaml`");
            report.push(fault.choose(id, known.keys().map(ToolId::as_str)));
        }
    }
}
