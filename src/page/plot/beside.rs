//! What a job knows beside a figure: readings that are held against it, the bottle's filling, a measured flow.

use super::asked::{Asked, Beside, Held};
use super::{Plot, of};
use crate::calc::Value;
use crate::player::State;
use crate::player::fact::WorkedOut;
use crate::procedure::{Judged, Method, ProcedureId, Reading, ReadingKind, Reference};
use crate::quantity::Quantity;

/// The plot of a figure of this job.
#[must_use]
pub fn figure(state: &State, worked: &WorkedOut) -> Option<Plot> {
    let (tables, words) = (&state.play().tables, state.words());
    if let Some((jet, measured)) = held_against(state, worked) {
        let beside = Beside {
            measured: Some(measured),
            ..Beside::default()
        };
        let judged = worked.judged.as_ref();
        return of(&Asked {
            judged,
            ..Asked::worked(&jet, &beside, tables, words)
        });
    }
    let beside = beside(state, worked);
    of(&Asked::worked(worked, &beside, tables, words))
}

fn beside(state: &State, worked: &WorkedOut) -> Beside {
    let labels = state.play().answer_labels(worked);
    let names = labels.cloned().unwrap_or_default();
    let Some(at) = &worked.step else {
        return Beside {
            names,
            ..Beside::default()
        };
    };
    let procedure = state
        .play()
        .procedure(&at.procedure)
        .map(|(procedure, _)| procedure);
    let steps = procedure.iter().flat_map(|procedure| &procedure.steps);
    let readings = steps
        .filter(|step| state.holds(&step.when))
        .flat_map(|step| &step.read);
    Beside {
        readings: readings
            .filter_map(|reading| held(state, &at.procedure, &worked.name, reading))
            .collect(),
        fill: fill(state, &at.procedure),
        names,
        measured: None,
    }
}

/// The reading, if its band rests on the figure.
fn held(state: &State, procedure: &ProcedureId, figure: &str, reading: &Reading) -> Option<Held> {
    let (ReadingKind::Number { unit, .. }, Judged::Band(band)) = (&reading.kind, &reading.judged) else {
        return None;
    };
    let around = band.around.as_ref().map(|(middle, _)| middle);
    let operands = band.at_least.iter().chain(&band.at_most).chain(around);
    let output =
        operands
            .filter_map(|operand| operand.reference())
            .find_map(|reference| match reference {
                Reference::Work {
                    procedure: of,
                    name,
                    output,
                } if of == procedure && name == figure => Some(output),
                _ => None,
            })?;
    let taken = state.reading(procedure, &reading.name).map(|(_, taken)| taken);
    let limits = taken.and_then(|taken| taken.limits.clone()).or_else(|| {
        state
            .limits(band)
            .ok()
            .map(|limits| limits.for_kind(&reading.kind))
    });
    Some(Held {
        label: state.render(&reading.label),
        output: output.clone(),
        unit: *unit,
        value: taken.and_then(|taken| taken.value.quantity()),
        limits,
        fails: taken.is_some_and(|taken| taken.verdict.fails()),
    })
}

/// How the bottle is filled, by the latest figure that says so: of this procedure, else of the job card.
fn fill(state: &State, id: &ProcedureId) -> Option<Quantity> {
    let procedure = state.play().procedure(id).map(|(procedure, _)| procedure);
    let work = procedure
        .iter()
        .flat_map(|p| &p.steps)
        .flat_map(|step| &step.work_out);
    let worked = work.filter_map(|work| Some(state.worked(id, &work.name)?.1));
    let mut all = state.figures().values().chain(worked);
    let found = all.rfind(|figure| figure.calculator == "bottle-fill")?;
    output(found, "fill")
}

/// For a flow that was caught and held against a jet: the jet's own figure, and the flow.
fn held_against(state: &State, worked: &WorkedOut) -> Option<(WorkedOut, Quantity)> {
    let at = worked
        .step
        .as_ref()
        .filter(|_| worked.calculator == "flow-check")?;
    let step = state.play().step(at)?;
    let work = step.work_out.iter().find(|work| work.name == worked.name)?;
    let Method::Calculator { with, .. } = &work.method else {
        return None;
    };
    let (_, expected) = with.iter().find(|(input, _)| input == "expected")?;
    let jet = match expected.reference()? {
        Reference::Work {
            procedure,
            name,
            output,
        } if output == "volume_flow" => state.worked(procedure, name)?.1,
        Reference::Figure { name, output } if output == "volume_flow" => state.figures().get(name)?,
        _ => return None,
    };
    let jet = Some(jet).filter(|jet| jet.calculator == "jet-flow")?;
    Some((jet.clone(), output(worked, "flow")?))
}

fn output(worked: &WorkedOut, name: &str) -> Option<Quantity> {
    let (_, value) = worked.outputs.iter().find(|(output, _)| output == name)?;
    Value::quantity(value)
}
