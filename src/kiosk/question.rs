//! A question of a practice run.

use super::desk::{Desk, Done, Overlay, Trouble};
use super::wired::Wired;
use super::{App, Choice, QuestionPage};
use crate::page;
use crate::page::sign::QuestionPage as Page;
use crate::player::Event;
use slint::ComponentHandle;

/// Shows the question, and once it is answered why the answer is right or not.
pub(super) fn show(app: &App, page: &Page, chosen: Option<usize>) {
    let view = app.global::<QuestionPage>();
    view.set_ask(super::said(&page.ask));
    super::fill(
        view.get_answers(),
        super::list(
            page.answers
                .iter()
                .enumerate()
                .map(|(place, (says, _, _))| Choice {
                    key: place.to_string().into(),
                    text: super::said(says),
                    note: "".into(),
                    enabled: true,
                }),
        ),
        |rows| view.set_answers(rows),
    );
    let answer = chosen.and_then(|place| page.answers.get(place));
    view.set_chosen(chosen.map_or(-1, |place| place as i32));
    view.set_answered(answer.is_some());
    view.set_right(answer.is_some_and(|(_, right, _)| *right));
    view.set_because(answer.map_or("", |(_, _, because)| because.as_str()).into());
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<QuestionPage>();
    view.on_answer(desk.on_with(|desk, place: i32| desk.answer(place)));
    view.on_go_on(desk.on(Desk::back));
}

impl Desk {
    /// The question is answered; why it is right or not stays until the person goes on.
    pub(super) fn answer(&mut self, place: i32) -> Done {
        let page::Page::Question(page) = self.page()? else {
            return Err(Trouble::moved_on());
        };
        let choice = usize::try_from(place).map_err(|_| Trouble::moved_on())?;
        let event = Event::Answer {
            step: page.step.clone(),
            choice,
        };
        self.act_then(event, move |desk, result| {
            result?;
            desk.over(Overlay::Answered(Box::new(page), choice))
        })
    }
}
