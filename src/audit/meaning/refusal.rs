//! Which rule an entry breaks that the player would have refused.

use crate::audit::Meaning;
use crate::player::{Prompt, Refusal};

/// The rule, and what the player says of it. `now` is what should have come.
pub(super) fn named(refusal: &Refusal, now: &Prompt) -> (Meaning, String) {
    let rule = match refusal {
        Refusal::NotYours { .. } => Meaning::WrongRole,
        Refusal::SamePerson { .. } => Meaning::SamePerson,
        Refusal::Closed => Meaning::LinesAfterClosing,
        Refusal::NotOpen | Refusal::AlreadyOpen => Meaning::BadOpening,
        Refusal::CardIncomplete(_) | Refusal::CardAnswer { .. } | Refusal::CardFails(_) => {
            Meaning::CardDiffers
        }
        Refusal::Figure { .. } => Meaning::OutputDiffers,
        Refusal::OutOfOrder { .. } => out_of_order(now),
        Refusal::ReadingMissing { .. }
        | Refusal::Hazards(_)
        | Refusal::NotBegun(_)
        | Refusal::NotRestored(_) => Meaning::MissingStep,
        Refusal::Reading { .. } | Refusal::Implausible { .. } => Meaning::ValueDiffers,
        Refusal::InstrumentNeeded { .. } | Refusal::Instrument { .. } => Meaning::Instrument,
        Refusal::Reply { .. } => Meaning::ReplyDiffers,
        Refusal::NoConcession(_) => Meaning::NoConcession,
        Refusal::Guarded { .. } => Meaning::UnreleasedHold,
        Refusal::NoStep(_) => Meaning::PlanDiffers,
        Refusal::ReasonMissing => Meaning::EntryDiffers,
        _ => Meaning::OutOfOrder,
    };
    (rule, format!("the player would have refused it: {refusal}"))
}

/// What was passed over.
fn out_of_order(now: &Prompt) -> Meaning {
    match now {
        Prompt::Hold(_) => Meaning::UnreleasedHold,
        Prompt::Before(_)
        | Prompt::Hazards { .. }
        | Prompt::Step { .. }
        | Prompt::Question(_)
        | Prompt::Witness(_)
        | Prompt::CloseOut(_) => Meaning::MissingStep,
        _ => Meaning::OutOfOrder,
    }
}
