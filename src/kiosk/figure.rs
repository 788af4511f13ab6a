//! How a figure was worked out.

use super::desk::{Desk, Done, Overlay, Trouble};
use super::wired::Wired;
use super::{App, Fact, FigurePage, gauge, plot, step};
use crate::page::step::FigureView;
use crate::words::Words;
use slint::{ComponentHandle, ModelRc};

/// The plot's box in units of the layout: beside the way in words, above the plate at the foot.
const BOX: (f32, f32) = (700.0, 424.0);

/// Shows a figure's plot and its way.
pub(super) fn show(app: &App, figure: &FigureView, words: &Words) {
    let view = app.global::<FigurePage>();
    view.set_label(super::said(&figure.label));
    // Several results stand in their own list.
    let one = figure.verdict.is_some() || figure.outputs.len() < 2;
    view.set_value(super::said(if one { &figure.result } else { "" }));
    view.set_band(super::said(&step::must_be(&figure.band, false, words)));
    view.set_verdict(gauge::verdict(figure.verdict));
    let verdict = gauge::verdict_text(figure.verdict, figure.gauge.is_some());
    view.set_verdict_text(words.say(verdict).into());
    view.set_title(figure.calculator.as_str().into());
    view.set_plot(plot::picture(figure.plot.as_ref(), BOX.0, BOX.1));
    super::fill(view.get_inputs(), facts(&figure.inputs), |rows| {
        view.set_inputs(rows)
    });
    super::fill(view.get_outputs(), facts(&figure.outputs), |rows| {
        view.set_outputs(rows)
    });
    view.set_equation(figure.equation.as_str().into());
    view.set_source(figure.sources.join("\n").into());
    super::fill(view.get_notes(), super::lines(&figure.notes), |rows| {
        view.set_notes(rows)
    });
}

/// Names and values as the screen lists them.
pub(super) fn facts(values: &[(String, String)]) -> ModelRc<Fact> {
    super::list(values.iter().map(|(name, value)| Fact {
        label: super::said(name),
        value: super::said(value),
    }))
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    app.global::<FigurePage>().on_closed(desk.on(Desk::back));
}

impl Desk {
    /// A figure of the step is touched.
    pub(super) fn show_figure(&mut self, place: i32) -> Done {
        let place = usize::try_from(place).map_err(|_| Trouble::moved_on())?;
        self.over(Overlay::Figure(place))
    }

    /// The figure on the screen.
    pub(super) fn figure(&self, place: usize) -> Result<FigureView, Trouble> {
        let mut figures = self.step_page()?.figures;
        if place < figures.len() {
            Ok(figures.swap_remove(place))
        } else {
            Err(Trouble::moved_on())
        }
    }
}
