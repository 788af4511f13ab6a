//! The step's page.

use super::desk::Desk;
use super::desk::{Done, Overlay};
use super::place::Around;
use super::sign::Purpose;
use super::wired::Wired;
use super::{App, FigureRow, ReadingRow, StepNext, StepPage, Tokens, gauge, hazard, strip, taken};
use crate::page;
use crate::page::step::{FigureView, ReadingInput, ReadingView, StepPage as Page};
use crate::player::Event;
use crate::say;
use crate::to_say;
use crate::words::Words;
use slint::ComponentHandle;

/// Shows a step.
pub(super) fn show(app: &App, page: &Page, around: &Around<'_>) {
    let words = around.words;
    let view = app.global::<StepPage>();
    view.set_id(page.step.to_string().into());
    show_place(&view, page, words);
    view.set_command(super::said(&page.command));
    view.set_why(super::said(&page.why));
    view.set_right(super::said(&page.right));
    view.set_wrong(super::said(&page.wrong));
    view.set_tools(super::said(&page.tools.join(", ")));
    let night = app.global::<Tokens>().get_night();
    let picture = page
        .picture
        .as_ref()
        .and_then(|shows| around.picture(shows, night));
    view.set_has_picture(picture.is_some());
    view.set_picture(picture.unwrap_or_default());
    view.set_picture_text(told(page, words).into());
    let callouts = super::lines(&page.callouts);
    super::fill(view.get_callouts(), callouts, |rows| view.set_callouts(rows));
    view.set_gate_text(words.say(gate(page)).into());
    view.set_can_differ(true);
    view.set_photos_text(page::photos::called(page.photos, words).into());
    show_readings(&view, page, around);
}

/// The drawing in words: the command, and what its numbers stand for.
fn told(page: &Page, words: &Words) -> String {
    let numbered = page
        .callouts
        .iter()
        .zip(1..)
        .map(|(words, number)| format!(" {number}: {words}."));
    say!(words, "Drawing: {command}", command = page.command) + &numbered.collect::<String>()
}

fn show_place(view: &StepPage<'_>, page: &Page, words: &Words) {
    view.set_procedure(page.procedure_title.as_str().into());
    view.set_place_text(strip::place(&page.strip, words).into());
    view.set_job_done(100.0 * page.strip.done as f32 / page.strip.total.max(1) as f32);
    view.set_strip_text(strip::in_short(&page.strip, words).into());
    let (cells, parts) = (strip::cells(&page.strip), strip::parts(&page.strip));
    super::fill(view.get_cells(), cells, |rows| view.set_cells(rows));
    super::fill(view.get_parts(), parts, |rows| view.set_parts(rows));
    let hazards = hazard::panels(&page.hazards);
    super::fill(view.get_hazards(), hazards, |rows| view.set_hazards(rows));
}

/// The readings and figures, and the one thing to do next.
fn show_readings(view: &StepPage<'_>, page: &Page, around: &Around<'_>) {
    let words = around.words;
    let next = page.readings.iter().find(|reading| reading.wanted);
    let wanted = next.map(|reading| reading.name.as_str());
    let by = taken::Names::of(&page.readings, around.name);
    let row = |reading| by.on(row(reading, wanted, words), reading);
    let readings = super::list(page.readings.iter().map(row));
    super::fill(view.get_readings(), readings, |rows| view.set_readings(rows));
    let lines = super::list(page.readings.iter().filter_map(|reading| by.line(reading, words)));
    super::fill(view.get_taken(), lines, |rows| view.set_taken(rows));
    let figures = super::list(page.figures.iter().map(|row| figure(row, words)));
    super::fill(view.get_figures(), figures, |rows| view.set_figures(rows));
    let (next, text) = match next {
        Some(reading) if reading.kind == ReadingInput::YesNo => (StepNext::ReadYesNo, reading.label.clone()),
        Some(reading) if reading.kind == ReadingInput::Photo => (
            StepNext::Read,
            say!(words, "Add the photo: {label}", label = reading.label),
        ),
        Some(reading) => (
            StepNext::Read,
            say!(words, "Enter: {label}", label = reading.label),
        ),
        None => (StepNext::Mark, say!(words, "Draw the stripe across: done")),
    };
    view.set_next(next);
    view.set_next_text(super::said(&text));
}

fn gate(page: &Page) -> &'static str {
    if page.hold {
        to_say!("Hold point: after this step a supervisor must release the work.")
    } else {
        ""
    }
}

/// What is wanted, in words, where no gauge shows it; nothing where nothing judges.
pub(super) fn must_be(band: &str, gauged: bool, words: &Words) -> String {
    if gauged || band.is_empty() || band.ends_with('.') {
        band.to_owned()
    } else {
        say!(words, "Must be: {band}", band = band)
    }
}

fn row(reading: &ReadingView, wanted: Option<&str>, words: &Words) -> ReadingRow {
    let with = reading
        .instrument_used
        .as_ref()
        .or(reading.instrument_kind.as_ref());
    ReadingRow {
        name: reading.name.as_str().into(),
        label: super::said(&reading.label),
        value: super::said(&reading.shown),
        band: super::said(&must_be(&reading.band, reading.gauge.is_some(), words)),
        verdict: gauge::verdict(reading.verdict),
        verdict_text: words
            .say(gauge::verdict_text(reading.verdict, reading.gauge.is_some()))
            .into(),
        with: with.map_or("", String::as_str).into(),
        gauge: gauge::picture(reading.gauge.as_ref(), reading.verdict, words),
        wanted: wanted == Some(reading.name.as_str()),
        ..ReadingRow::default()
    }
}

/// How many results stand on the step's page; the others are one touch away.
const MOST_RESULTS: usize = 3;

/// Several results in lines of their own.
fn result(figure: &FigureView, words: &Words) -> String {
    let results: Vec<&str> = figure.result.split("; ").collect();
    let mut lines = results
        .iter()
        .take(MOST_RESULTS)
        .copied()
        .collect::<Vec<_>>()
        .join("\n");
    if let Some(more @ 1..) = results.len().checked_sub(MOST_RESULTS) {
        lines.push('\n');
        lines += &say!(words, "and {n} more", n = more);
    }
    lines
}

/// A figure with its way.
pub(super) fn figure(figure: &FigureView, words: &Words) -> FigureRow {
    FigureRow {
        label: super::said(&figure.label),
        value: super::said(&result(figure, words)),
        band: super::said(&figure.band),
        verdict: gauge::verdict(figure.verdict),
        verdict_text: words
            .say(gauge::verdict_text(figure.verdict, figure.gauge.is_some()))
            .into(),
        source: figure.calculator.as_str().into(),
        gauge: gauge::picture(figure.gauge.as_ref(), figure.verdict, words),
        drawn: figure.plot.is_some(),
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<StepPage>();
    view.on_mark(desk.on(Desk::mark));
    view.on_go_on(desk.on(Desk::go_on));
    view.on_differs(desk.on(Desk::differs));
    view.on_show_plan(desk.on(Desk::show_plan));
    view.on_show_hazard(desk.on_with(|desk, index: i32| desk.show_hazard(index)));
    view.on_photos(desk.on(Desk::photos_of_step));
    view.on_show_figure(desk.on_with(Desk::show_figure));
    view.on_say(desk.on_with(Desk::say));
}

impl Desk {
    /// The stripe is drawn across the step.
    pub(super) fn mark(&mut self) -> Done {
        let step = self.step_page()?.step;
        self.act(Event::Done { step })
    }

    /// The large control at the foot: the reading that is wanted next.
    pub(super) fn go_on(&mut self) -> Done {
        let page = self.step_page()?;
        match page.readings.iter().find(|reading| reading.wanted) {
            Some(reading) if reading.kind == ReadingInput::Photo => {
                self.photo_reading(page.step.clone(), reading)
            }
            Some(reading) => self.open_reading(reading),
            None => self.mark(),
        }
    }

    /// A question with yes or no is answered.
    pub(super) fn say(&mut self, yes: bool) -> Done {
        let page = self.step_page()?;
        let Some(reading) = page.readings.iter().find(|reading| reading.wanted) else {
            return Ok(());
        };
        self.act(Event::Read {
            step: page.step.clone(),
            name: reading.name.clone(),
            typed: if yes { "yes" } else { "no" }.to_owned(),
            instrument: None,
            live: None,
        })
    }

    /// The step cannot be done as it is written.
    pub(super) fn differs(&mut self) -> Done {
        let step = self.step_page()?.step;
        self.ask_words(Purpose::NotAsWritten(step))
    }

    /// The photographs of the step.
    pub(super) fn photos_of_step(&mut self) -> Done {
        let step = self.step_page()?.step;
        self.show_photos(step, None)
    }

    /// The hazards of the step are shown again.
    pub(super) fn show_hazard(&mut self, index: i32) -> Done {
        self.over(Overlay::Hazards(index))
    }

    /// The step that comes now.
    pub(super) fn step_page(&self) -> Result<Page, super::desk::Trouble> {
        match self.page()? {
            page::Page::Step(page) => Ok(page),
            _ => Err(super::desk::Trouble::moved_on()),
        }
    }
}
