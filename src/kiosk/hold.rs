//! Hold and witness points.

use super::desk::{Desk, Done, Trouble};
use super::sign::Purpose;
use super::wired::Wired;
use super::{App, CoveredStep, HoldPage, ReadingRow, gauge, step};
use crate::page;
use crate::page::sign::{CoveredLine, CoveredValue, PointPage};
use crate::page::together;
use crate::player::Event;
use crate::say;
use crate::to_say;
use crate::words::Words;
use slint::ComponentHandle;

/// Shows a point; `again` says which covered steps are chosen to be done again.
pub(super) fn show(
    app: &App,
    page: &PointPage,
    witness: bool,
    again: Option<&[bool]>,
    names: &dyn Fn(&str) -> String,
    words: &Words,
) {
    let view = app.global::<HoldPage>();
    view.set_witness(witness);
    view.set_sending_back(again.is_some());
    let again = again.unwrap_or_default();
    let kind = if witness {
        to_say!("Witness point")
    } else {
        to_say!("Hold point")
    };
    view.set_title(format!("{}: {}", words.say(kind), page.procedure_title).into());
    view.set_says(super::said(&page.says));
    view.set_counted(counted(page, words).into());
    view.set_done_by(done_by(page, witness, names, words).into());
    let deviating = page.covered.iter().take_while(|line| !line.deviations.is_empty());
    let (first, others) = page.covered.split_at(deviating.count());
    let rows = |lines: &[CoveredLine], before: usize| {
        let rows = lines.iter().enumerate();
        super::list(rows.map(|(place, line)| covered(before + place, line, names, words)))
    };
    super::fill(view.get_deviated(), rows(first, 0), |rows| {
        view.set_deviated(rows)
    });
    super::fill(view.get_covered(), rows(others, first.len()), |rows| {
        view.set_covered(rows)
    });
    let again: Vec<bool> = (0..page.covered.len())
        .map(|place| again.get(place) == Some(&true))
        .collect();
    view.set_can_send(again.contains(&true));
    super::fill(view.get_again(), super::list(again), |rows| view.set_again(rows));
}

/// `47 steps, 31 readings and figures, 1 deviation`.
fn counted(page: &PointPage, words: &Words) -> String {
    let steps = page.covered.len() as u64;
    let values = page
        .covered
        .iter()
        .map(|line| line.values.len() as u64)
        .sum::<u64>();
    let deviations = page
        .covered
        .iter()
        .map(|line| line.deviations.len() as u64)
        .sum::<u64>();
    [
        say!(words, "{n} step" | "{n} steps", n = steps),
        say!(
            words,
            "{n} reading or figure" | "{n} readings and figures",
            n = values
        ),
        match deviations {
            0 => words.say(to_say!("no deviation")).to_owned(),
            n => say!(words, "{n} deviation" | "{n} deviations", n = n),
        },
    ]
    .join(", ")
}

fn done_by(page: &PointPage, witness: bool, names: &dyn Fn(&str) -> String, words: &Words) -> String {
    let workers: Vec<String> = page.workers.iter().map(|id| names(id)).collect();
    let workers = workers.join(&format!(" {} ", words.say("and")));
    let who = say!(words, "Work done by {who}.", who = workers);
    if witness {
        who
    } else {
        format!("{who} {}", words.say("Somebody else must release it."))
    }
}

fn covered(place: usize, line: &CoveredLine, names: &dyn Fn(&str) -> String, words: &Words) -> CoveredStep {
    CoveredStep {
        title: (place + 1).to_string().into(),
        command: super::said(&line.command),
        by: line
            .by
            .iter()
            .map(|id| names(id))
            .collect::<Vec<_>>()
            .join(", ")
            .into(),
        readings: super::list(line.values.iter().map(|row| value(row, words))),
        deviation: super::said(&deviations(line, names, words)),
    }
}

/// What deviated, a line each.
fn deviations(line: &CoveredLine, names: &dyn Fn(&str) -> String, words: &Words) -> String {
    let said = line.deviations.iter();
    let said = said.map(|deviation| deviation.say(names, words));
    said.collect::<Vec<_>>().join("\n")
}

fn value(value: &CoveredValue, words: &Words) -> ReadingRow {
    let measured = value
        .shown
        .starts_with(|letter: char| letter.is_ascii_digit() || letter == '-');
    ReadingRow {
        label: super::said(&together::named(&value.label, &value.shown)),
        band: super::said(&step::must_be(&value.band, false, words)),
        with: value.with.as_str().into(),
        verdict: gauge::verdict(value.verdict),
        verdict_text: words.say(gauge::verdict_text(value.verdict, measured)).into(),
        ..ReadingRow::default()
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<HoldPage>();
    view.on_release(desk.on(Desk::release));
    view.on_begin_back(desk.on(Desk::begin_back));
    view.on_leave_back(desk.on(Desk::leave_back));
    view.on_send_back(desk.on(Desk::send_back));
    view.on_toggle(desk.on_with(|desk, place: i32| desk.toggle_again(place)));
    view.on_attended(desk.on(Desk::attended));
    view.on_not_attended(desk.on(Desk::not_attended));
}

impl Desk {
    /// A supervisor releases the hold point.
    pub(super) fn release(&mut self) -> Done {
        let step = self.point()?.step;
        self.ask_signature(Purpose::Release(step))
    }

    /// The supervisor chooses what is to be done again.
    pub(super) fn begin_back(&mut self) -> Done {
        self.again = Some(Vec::new());
        self.refresh()
    }

    /// Nothing is sent back after all.
    pub(super) fn leave_back(&mut self) -> Done {
        self.again = None;
        self.refresh()
    }

    /// A supervisor sends the chosen steps back.
    pub(super) fn send_back(&mut self) -> Done {
        let page = self.point()?;
        let chosen = page
            .covered
            .iter()
            .zip(self.again.iter().flatten())
            .filter(|(_, again)| **again);
        let reopen = chosen.map(|(line, _)| line.step.clone()).collect();
        self.ask_signature(Purpose::SendBack {
            step: page.step,
            reopen,
        })
    }

    /// One covered step is to be done again, or not after all.
    pub(super) fn toggle_again(&mut self, place: i32) -> Done {
        let page = self.point()?;
        let again = self.again.get_or_insert_default();
        again.resize(page.covered.len(), false);
        if let Some(again) = usize::try_from(place).ok().and_then(|place| again.get_mut(place)) {
            *again = !*again;
        }
        self.refresh()
    }

    /// The supervisor came to the witness point and signs.
    pub(super) fn attended(&mut self) -> Done {
        let step = self.point()?.step;
        self.ask_signature(Purpose::Attend(step))
    }

    /// The supervisor was called and nobody could come.
    pub(super) fn not_attended(&mut self) -> Done {
        let step = self.point()?.step;
        self.act(Event::Witness {
            step,
            attended: false,
        })
    }

    fn point(&self) -> Result<PointPage, Trouble> {
        match self.page()? {
            page::Page::Hold(page) | page::Page::Witness(page) => Ok(page),
            _ => Err(Trouble::moved_on()),
        }
    }
}
