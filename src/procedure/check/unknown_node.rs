//! A node that a voltage is asked of is in its circuit, and is not its own reference.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::circuit::Find;
use crate::procedure::draft::Mark;

const RULE: &str = "unknown-node";

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        match &marked.mark {
            Mark::CircuitNode { circuit, node, .. } => {
                let Some(draft) = file.draft.circuits.get(circuit) else {
                    continue;
                };
                let nodes = draft.model.nodes();
                if !nodes.contains(&node.as_str()) {
                    let expected = format!("a node of the circuit `{circuit}`");
                    let fault = file.found(marked.at, RULE, quoted(node), &expected);
                    report.push(fault.choose(node, nodes));
                }
            }
            Mark::Calls(call) => {
                let Some(draft) = file.draft.circuits.get(&call.circuit) else {
                    continue;
                };
                let ground = &draft.model.ground;
                let itself = |find: &Find| matches!(find, Find::Volts { red, black: None } if red == ground);
                for (name, _) in call.find.iter().filter(|(_, find)| itself(find)) {
                    let found = format!("the volts of {} for {}", quoted(ground), quoted(name));
                    let expected =
                        "a node that is not the circuit's ground, which has no volts against itself";
                    report.push(file.found(marked.at, RULE, found, expected));
                }
            }
            _ => {}
        }
    }
}
