//! What a screen or a sheet shows, without drawing it: plain texts, numbers and marks.
//!
//! [`of`] gives the page for what comes now; the others are reached by choice.

mod band;
pub mod burst;
pub mod calculator;
pub mod card;
pub mod certificate;
pub mod circuit;
pub mod deviation;
pub mod diagram;
pub mod figure;
pub mod gauge;
pub mod hazard;
pub mod instrument;
pub mod keyboard;
pub mod live;
pub mod photos;
pub mod plot;
pub mod record;
pub mod sign;
pub mod step;
pub mod strip;
pub mod together;

use crate::player::{Prompt, State};
pub use gauge::Gauge;
pub use plot::Plot;
pub use strip::Strip;

/// The page for what comes now in a job.
#[derive(Clone, Debug)]
pub enum Page {
    Card(card::CardPage),
    Before(sign::BeforePage),
    Step(step::StepPage),
    Deviation(deviation::DeviationPage),
    Question(sign::QuestionPage),
    Witness(sign::PointPage),
    Hold(sign::PointPage),
    CloseOut(sign::LinesPage),
    /// The person's sign-off, the supervisor's release, or the closing by the tablet.
    End(sign::EndPage),
    Closed(sign::EndPage),
}

/// The page for what comes now.
#[must_use]
pub fn of(state: &State, typed: &card::TypedCard) -> Page {
    match state.prompt() {
        Prompt::Open | Prompt::Card => Page::Card(card::page(state, typed)),
        Prompt::Before(procedure) => Page::Before(sign::before(state, &procedure)),
        Prompt::Hazards { step, hazards } => Page::Step(step::page(state, &step, &hazards)),
        Prompt::Step { step, .. } => Page::Step(step::page(state, &step, &[])),
        Prompt::Deviation(n) => Page::Deviation(deviation::page(state, n)),
        Prompt::Question(step) => Page::Question(sign::question(state, &step)),
        Prompt::Witness(step) => Page::Witness(sign::witness(state, &step)),
        Prompt::Hold(step) => Page::Hold(sign::hold(state, &step)),
        Prompt::CloseOut(procedure) => Page::CloseOut(sign::close_out(state, &procedure)),
        Prompt::SignOff | Prompt::JobRelease | Prompt::Close => Page::End(sign::end(state)),
        Prompt::Closed => Page::Closed(sign::end(state)),
    }
}
