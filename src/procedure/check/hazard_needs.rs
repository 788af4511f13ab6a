//! Where a hazard stands, the tools that it needs are at hand: among the step's own or the procedure's.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark, ProcedureDraft, Site};
use crate::procedure::model::{HazardId, ToolId};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for procedure in draft.procedures.values() {
        for marked in &procedure.marks {
            let Mark::Hazard(id) = &marked.mark else { continue };
            // What `before` names is said there alone.
            let before = &procedure.model.before.hazards;
            if marked.site != Site::Before && before.iter().any(|known| known.as_str() == id) {
                continue;
            }
            let Some(hazard) = draft.shared.hazards.get(&HazardId(id.clone())) else {
                continue;
            };
            let known = |tool: &&ToolId| draft.shared.tools.contains_key(tool);
            let needs = hazard.needs.iter().filter(known);
            for tool in needs.filter(|tool| !at_hand(procedure, marked.site, tool)) {
                let found = format!("the hazard {} without `{tool}`", quoted(id));
                let expected = "every tool that the hazard needs";
                let at = marked.at.within(&procedure.path);
                let fault = Diagnostic::new(at, "hazard-needs", found, expected);
                report.push(fault.help(format!("put `{tool}` into `tools` of `before`")));
            }
        }
    }
}

fn at_hand(procedure: &ProcedureDraft, site: Site, tool: &ToolId) -> bool {
    let model = &procedure.model;
    let own = match site {
        Site::Step(step) => model.steps.get(step).map(|step| &step.tools),
        _ => None,
    };
    model
        .before
        .tools
        .iter()
        .chain(own.into_iter().flatten())
        .any(|known| known == tool)
}
