//! A step's tool stands in `before` too, so that everything is at hand before the work begins.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark, Site};
use crate::procedure::model::ToolId;
use std::collections::HashSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for procedure in draft.procedures.values() {
        let before = &procedure.model.before.tools;
        let mut said: HashSet<&str> = before.iter().map(|tool| tool.as_str()).collect();
        for marked in &procedure.marks {
            if let (Mark::Tool(id), Site::Step(_)) = (&marked.mark, marked.site)
                && said.insert(id)
                // Of a tool that is not known that is said, and no more.
                && draft.shared.tools.contains_key(&ToolId(id.clone()))
            {
                let found = format!("the tool {}, which `before` does not name", quoted(id));
                let expected = "a tool of `tools` in `before`";
                let at = marked.at.within(&procedure.path);
                let fault = Diagnostic::new(at, "tool-not-before", found, expected);
                report.push(fault.help("what a step needs is fetched before the work begins"));
            }
        }
    }
}
