//! The calculators' pages.

use super::desk::{Desk, Done, Overlay};
use super::draft::Draft;
use super::keypad::Target;
use super::wired::Wired;
use super::{App, CalcInput, CalcRow, CalculatorsPage, Fact, plot};
use crate::page::calculator::{self, CalculatorPage as Page, InputView};
use crate::say;
use crate::words::Words;
use slint::ComponentHandle;

/// A plot's box in units of the layout, in the column of the results.
const BOX: (f32, f32) = (504.0, 330.0);

/// Shows the list of all calculators.
pub(super) fn show_list(app: &App, words: &Words) {
    let view = app.global::<CalculatorsPage>();
    view.set_chosen(-1);
    super::fill(
        view.get_rows(),
        super::list(calculator::list().iter().map(|line| CalcRow {
            id: line.id.into(),
            title: words.say(line.title).into(),
            field: line.id.into(),
        })),
        |rows| view.set_rows(rows),
    );
}

/// Shows a calculator's form with its result.
pub(super) fn show(app: &App, page: &Page, place: i32, words: &Words) {
    let view = app.global::<CalculatorsPage>();
    view.set_chosen(place);
    view.set_title(words.say(page.title).into());
    super::fill(
        view.get_inputs(),
        super::list(page.inputs.iter().map(|row| input(row, words))),
        |rows| view.set_inputs(rows),
    );
    super::fill(
        view.get_outputs(),
        super::list(page.outputs.iter().map(|(name, value)| Fact {
            label: name.as_str().into(),
            value: super::said(value),
        })),
        |rows| view.set_outputs(rows),
    );
    view.set_plot(plot::picture(page.plot.as_ref(), BOX.0, BOX.1));
    view.set_fault(super::said(&page.fault));
    view.set_equation(page.equation.into());
    view.set_source(page.sources.join("\n").into());
    let assumptions = page
        .assumptions
        .iter()
        .map(|line| say!(words, "Assumed: {what}", what = words.say(line)));
    let notes: Vec<String> = page.notes.iter().cloned().chain(assumptions).collect();
    super::fill(view.get_notes(), super::lines(&notes), |rows| {
        view.set_notes(rows)
    });
}

fn input(input: &InputView, words: &Words) -> CalcInput {
    let preset = input.typed.is_empty() && !input.default.is_empty();
    let value = if preset {
        input.default.clone()
    } else {
        words.say(&input.typed).to_owned()
    };
    CalcInput {
        name: input.name.into(),
        label: words.say(input.label).into(),
        symbol: input.symbol.into(),
        unit: input.units.first().map_or("", |unit| *unit).into(),
        range: super::said(&range(input, words)),
        value: value.into(),
        fault: super::said(&input.fault),
        preset,
        ..CalcInput::default()
    }
}

fn range(input: &InputView, words: &Words) -> String {
    if input.choices.is_empty() {
        input.range.clone()
    } else {
        let choices: Vec<&str> = input.choices.iter().map(|choice| words.say(choice)).collect();
        choices.join(", ")
    }
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<CalculatorsPage>();
    view.on_choose(desk.on_with(|desk, place: i32| desk.choose_calculator(place)));
    view.on_edit(desk.on_with(|desk, place: i32| desk.edit_input(place)));
    view.on_to_list(desk.on(Desk::calculator_list));
}

/// The calculator on the screen with what was typed into it.
#[derive(Clone, Debug, Default)]
pub(super) struct Sums {
    pub id: Option<&'static str>,
    pub place: i32,
    pub typed: std::collections::BTreeMap<String, String>,
}

impl Desk {
    /// A calculator of the list.
    pub(super) fn choose_calculator(&mut self, place: i32) -> Done {
        let list = calculator::list();
        let chosen = usize::try_from(place).ok().and_then(|at| list.get(at));
        self.sums = Sums {
            id: chosen.map(|line| line.id),
            place,
            ..Sums::default()
        };
        self.refresh()
    }

    /// Back to the list.
    pub(super) fn calculator_list(&mut self) -> Done {
        self.sums = Sums::default();
        self.refresh()
    }

    /// The form on the screen.
    pub(super) fn form(&self) -> Option<Page> {
        calculator::page(self.sums.id?, &self.sums.typed, &self.tables(), &self.words)
    }

    /// An input is to be typed.
    pub(super) fn edit_input(&mut self, place: i32) -> Done {
        let form = self.form();
        let input = form
            .as_ref()
            .and_then(|form| form.inputs.get(usize::try_from(place).ok()?));
        let Some(input) = input else {
            return Ok(());
        };
        let unit = input.units.first().map_or("", |unit| *unit);
        self.draft = Draft {
            unit: unit.to_owned(),
            ..Draft::default()
        };
        self.over(Overlay::Keypad(Target::Input(input.name.to_owned())))
    }

    /// An input was typed; an empty one takes its preset again.
    pub(super) fn enter_input(&mut self, name: String, typed: String) -> Done {
        self.sums.typed.insert(name, typed);
        self.over(Overlay::Calculators)
    }
}
