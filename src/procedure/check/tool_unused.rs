//! A tool that `before` asks for is used: by a step, against a hazard, or throughout.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark, ProcedureDraft, Site};
use crate::procedure::model::ToolId;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for procedure in draft.procedures.values() {
        for marked in &procedure.marks {
            if let (Mark::Tool(id), Site::Before) = (&marked.mark, marked.site)
                && !is_used(draft, procedure, &ToolId(id.clone()))
            {
                let found = format!("the tool {}, which no step uses", quoted(id));
                let expected = "a tool of a step, of a hazard, or one that is at hand throughout";
                let at = marked.at.within(&procedure.path);
                let fault = Diagnostic::new(at, "tool-unused", found, expected);
                report.push(fault.help("name it at the step that needs it, or leave it out"));
            }
        }
    }
}

fn is_used(draft: &Draft, procedure: &ProcedureDraft, tool: &ToolId) -> bool {
    let (model, shared) = (&procedure.model, &draft.shared);
    // Of a tool that is not known something else is said.
    let throughout = shared.tools.get(tool).is_none_or(|known| known.throughout);
    let of_steps = model.steps.iter().any(|step| step.tools.contains(tool));
    let hazards = model.steps.iter().flat_map(|step| &step.hazards);
    let mut hazards = hazards.chain(&model.before.hazards);
    throughout
        || of_steps
        || hazards.any(|id| {
            let hazard = shared.hazards.get(id);
            hazard.is_some_and(|hazard| hazard.needs.contains(tool))
        })
}
