//! The calculators' pages.

use super::desk::{Desk, Wired};
use super::{App, CalcInput, CalcRow, CalculatorsPage, Fact};
use crate::page::calculator::{self, CalculatorPage as Page, InputView};
use slint::ComponentHandle;

/// Shows the list of all calculators.
pub(super) fn show_list(app: &App) {
    let view = app.global::<CalculatorsPage>();
    view.set_chosen(-1);
    view.set_rows(super::list(calculator::list().iter().map(|line| CalcRow {
        id: line.id.into(),
        title: line.title.into(),
        field: line.id.into(),
    })));
}

/// Shows a calculator's form with its result.
pub(super) fn show(app: &App, page: &Page, place: i32) {
    let view = app.global::<CalculatorsPage>();
    view.set_chosen(place);
    view.set_title(page.title.into());
    view.set_inputs(super::list(page.inputs.iter().map(input)));
    view.set_outputs(super::list(page.outputs.iter().map(|(name, value)| Fact {
        label: name.replace('_', " ").into(),
        value: value.as_str().into(),
    })));
    view.set_fault(page.fault.as_str().into());
    view.set_equation(page.equation.into());
    view.set_source(page.sources.join("\n").into());
    let assumptions = page.assumptions.iter().map(|line| format!("Assumed: {line}"));
    let notes: Vec<String> = page.notes.iter().cloned().chain(assumptions).collect();
    view.set_notes(super::lines(&notes));
}

fn input(input: &InputView) -> CalcInput {
    let preset = input.typed.is_empty() && !input.default.is_empty();
    let value = if preset { input.default.clone() } else { input.typed.clone() };
    CalcInput {
        name: input.name.into(),
        label: input.about.into(),
        symbol: input.symbol.into(),
        unit: input.units.first().map_or("", |unit| *unit).into(),
        range: range(input).into(),
        value: value.into(),
        fault: input.fault.as_str().into(),
        preset,
        ..CalcInput::default()
    }
}

fn range(input: &InputView) -> String {
    if input.choices.is_empty() { input.range.clone() } else { input.choices.join(", ") }
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<CalculatorsPage>();
    view.on_choose(desk.on_with(|desk, place: i32| desk.choose_calculator(place)));
    view.on_edit(desk.on_with(|desk, place: i32| desk.edit_input(place)));
    view.on_to_list(desk.on(Desk::calculator_list));
}
