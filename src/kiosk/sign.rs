//! The sheet on which someone signs or gives a reason.

use super::desk::{Desk, Done, Trouble};
use super::shop::Wanted;
use super::wired::Wired;
use super::{App, Choice, SignSheet};
use crate::player::Event;
use crate::procedure::StepRef;
use crate::to_say;
use slint::{ComponentHandle, SharedString};
use zeroize::Zeroizing;

/// What the sheet is opened for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    NotAsWritten(StepRef),
    MeasureAgain(u64),
    Rework(u64),
    Concede(u64),
    Attend(StepRef),
    Release(StepRef),
    SendBack { step: StepRef, reopen: Vec<StepRef> },
    SignOff,
    ReleaseJob,
    Note(Option<StepRef>),
}

/// Who may put their name to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Signer {
    /// The person at the tablet, whose key is open.
    AtHand,
    /// The person at the tablet, who types their passphrase once more.
    AtHandAgain,
    /// A supervisor.
    Supervisor,
    /// A supervisor who did none of the work.
    OtherSupervisor,
}

impl Purpose {
    pub fn signer(&self) -> Signer {
        match self {
            Self::NotAsWritten(_) | Self::MeasureAgain(_) | Self::Rework(_) | Self::Note(_) => Signer::AtHand,
            Self::SignOff => Signer::AtHandAgain,
            Self::Attend(_) => Signer::Supervisor,
            Self::Concede(_) | Self::Release(_) | Self::SendBack { .. } | Self::ReleaseJob => {
                Signer::OtherSupervisor
            }
        }
    }

    fn title(&self) -> &'static str {
        match self {
            Self::NotAsWritten(_) => to_say!("Not as written"),
            Self::MeasureAgain(_) => to_say!("Measure again"),
            Self::Rework(_) => to_say!("Do the work again"),
            Self::Concede(_) => to_say!("Concession"),
            Self::Attend(_) => to_say!("Witness point"),
            Self::Release(_) => to_say!("Release the hold point"),
            Self::SendBack { .. } => to_say!("Send it back"),
            Self::SignOff => to_say!("Sign the work off"),
            Self::ReleaseJob => to_say!("Release the job"),
            Self::Note(_) => to_say!("A note"),
        }
    }

    fn says(&self) -> &'static str {
        match self {
            Self::NotAsWritten(_) => {
                to_say!("It becomes a deviation that somebody decides on. Nothing is lost.")
            }
            Self::MeasureAgain(_) => to_say!("The first value stays on the record."),
            Self::Rework(_) => to_say!("The steps that this undoes are open again."),
            Self::Concede(_) => to_say!("Your passphrase signs that you accept it as it is."),
            Self::Attend(_) => to_say!("Your passphrase signs that you have seen it."),
            Self::Release(_) => to_say!("Your passphrase signs that the work may go on."),
            Self::SendBack { .. } => to_say!("The chosen steps are open again. Your passphrase signs it."),
            Self::SignOff => to_say!("Your passphrase signs the whole work."),
            Self::ReleaseJob => to_say!("Your passphrase signs that the car may go."),
            Self::Note(_) => to_say!("It stands in the record beside the step that comes now."),
        }
    }

    /// What the words are, where words are wanted.
    fn words(&self) -> Option<&'static str> {
        match self {
            Self::NotAsWritten(_) => Some(to_say!("What cannot be done, or was done otherwise")),
            Self::MeasureAgain(_) | Self::Concede(_) | Self::SendBack { .. } => Some(to_say!("Reason")),
            Self::Rework(_) => Some(to_say!("What you will do again")),
            Self::Note(_) => Some(to_say!("In your own words")),
            Self::Attend(_) | Self::Release(_) | Self::SignOff | Self::ReleaseJob => None,
        }
    }

    /// The request that the player is asked to carry out.
    pub fn event(&self, words: &str) -> Event {
        let words = words.trim().to_owned();
        match self.clone() {
            Self::NotAsWritten(step) => Event::NotAsWritten { step, what: words },
            Self::MeasureAgain(deviation) => Event::MeasureAgain {
                deviation,
                reason: words,
            },
            Self::Rework(deviation) => Event::Rework {
                deviation,
                what: words,
            },
            Self::Concede(deviation) => Event::Concede {
                deviation,
                reason: words,
            },
            Self::Attend(step) => Event::Witness { step, attended: true },
            Self::Release(step) => Event::Release { step },
            Self::SendBack { step, reopen } => Event::SendBack {
                step,
                reason: words,
                reopen,
            },
            Self::SignOff => Event::SignOff,
            Self::ReleaseJob => Event::ReleaseJob,
            Self::Note(step) => Event::Note { step, text: words },
        }
    }
}

/// A sheet that is open.
#[derive(Clone, Debug)]
pub(super) struct Sheet {
    pub purpose: Purpose,
    /// The signer's id, once picked.
    pub signer: Option<String>,
    pub fault: String,
}

impl Desk {
    /// Opens the sheet for words by the person at the tablet.
    pub(super) fn ask_words(&mut self, purpose: Purpose) -> Done {
        let signer = self.person_id().ok_or_else(Trouble::nobody)?;
        self.open_sheet(purpose, Some(signer))
    }

    /// Opens the sheet for somebody's passphrase.
    pub(super) fn ask_signature(&mut self, purpose: Purpose) -> Done {
        let signer = match purpose.signer() {
            Signer::AtHand | Signer::AtHandAgain => self.person_id(),
            Signer::Supervisor | Signer::OtherSupervisor => None,
        };
        self.open_sheet(purpose, signer)
    }

    fn open_sheet(&mut self, purpose: Purpose, signer: Option<String>) -> Done {
        let view = self.app()?;
        let view = view.global::<SignSheet>();
        view.set_text(SharedString::new());
        view.set_secret(SharedString::new());
        self.sheet = Some(Sheet {
            purpose,
            signer,
            fault: String::new(),
        });
        self.refresh()
    }

    /// A name was picked.
    pub(super) fn sign_pick(&mut self, id: &str) -> Done {
        if let Some(sheet) = &mut self.sheet {
            sheet.signer = Some(id.to_owned());
        }
        self.refresh()
    }

    /// The sheet is left without a word.
    pub(super) fn sign_cancel(&mut self) -> Done {
        self.close_sheet()?;
        self.refresh()
    }

    /// Closes the sheet and forgets what was typed on it.
    pub(super) fn close_sheet(&mut self) -> Done {
        self.sheet = None;
        let app = self.app()?;
        let view = app.global::<SignSheet>();
        view.set_secret(SharedString::new());
        view.set_text(SharedString::new());
        Ok(())
    }

    /// The words or the passphrase stand.
    pub(super) fn sign_confirm(&mut self) -> Done {
        let Some(sheet) = self.sheet.clone() else {
            return Ok(());
        };
        let app = self.app()?;
        let view = app.global::<SignSheet>();
        let event = sheet.purpose.event(&view.get_text());
        if sheet.purpose.signer() == Signer::AtHand {
            return self.act_then(event, |desk, result| match result {
                Ok(()) => {
                    desk.close_sheet()?;
                    desk.went_on()
                }
                Err(trouble) => match trouble.refusal(&desk.words) {
                    Some(text) => {
                        desk.sheet_fault(text);
                        desk.refresh()
                    }
                    None => Err(trouble),
                },
            });
        }
        if view.get_wait() > 0 {
            return Ok(());
        }
        let signer = sheet.signer.ok_or_else(Trouble::nobody)?;
        let secret = Zeroizing::new(view.get_secret().to_string());
        view.set_secret(SharedString::new());
        self.open_key(signer, secret, Wanted::Act(Box::new(event)))
    }

    /// A sign-off or release did not come about; the sheet stays open and says why.
    pub(super) fn sheet_fault(&mut self, fault: String) {
        if let Some(sheet) = &mut self.sheet {
            sheet.fault = fault;
        }
    }

    /// Brings the open sheet to the screen.
    pub(super) fn show_sheet(&self, app: &App) {
        let view = app.global::<SignSheet>();
        let shown = self.sheet.is_some() && !self.set_apart();
        if view.get_shown() != shown {
            app.invoke_take_keys();
            view.set_shown(shown);
        }
        super::sign_on::show_wait(app, self);
        let Some(sheet) = &self.sheet else {
            return;
        };
        let purpose = &sheet.purpose;
        view.set_title(self.words.say(purpose.title()).into());
        view.set_says(self.says_before_signing(purpose).into());
        view.set_fault(sheet.fault.as_str().into());
        view.set_wants_person(sheet.signer.is_none());
        super::fill(
            view.get_people(),
            super::list(self.signers(purpose.signer())),
            |rows| view.set_people(rows),
        );
        let name = sheet
            .signer
            .as_deref()
            .map_or_else(String::new, |id| self.name(id));
        view.set_person_name(name.into());
        view.set_wants_text(purpose.words().is_some());
        let label = purpose.words().unwrap_or_default();
        view.set_text_label(self.words.say(label).into());
        view.set_wants_secret(purpose.signer() != Signer::AtHand);
        let confirm = if purpose.signer() == Signer::AtHand {
            to_say!("Write it down")
        } else {
            to_say!("Sign")
        };
        view.set_confirm_text(self.words.say(confirm).into());
    }

    /// What the sheet says, and what may be wrong with the time that will be signed.
    fn says_before_signing(&self, purpose: &Purpose) -> String {
        let says = self.words.say(purpose.says());
        match self.clock_warning() {
            Some(warning) => format!("{warning} {says}"),
            None => says.to_owned(),
        }
    }

    /// The people who may sign, and those who may not with the reason.
    fn signers(&self, signer: Signer) -> Vec<Choice> {
        let people = self.shop.people().into_iter().filter(|person| person.supervisor);
        people
            .map(|person| {
                let barred = signer == Signer::OtherSupervisor && self.did_work(&person.id);
                let note = if barred {
                    to_say!("Did part of the work; somebody else must sign")
                } else {
                    to_say!("Supervisor")
                };
                Choice {
                    key: person.id.as_str().into(),
                    text: person.name.as_str().into(),
                    note: self.words.say(note).into(),
                    enabled: !barred,
                }
            })
            .collect()
    }
}

/// Joins the sheet's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<SignSheet>();
    view.on_pick(desk.on_with(|desk, id: SharedString| desk.sign_pick(&id)));
    view.on_confirm(desk.on(Desk::sign_confirm));
    view.on_cancel(desk.on(Desk::sign_cancel));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_go_into_the_event_without_their_margins() {
        let event = Purpose::Rework(7).event("  new olive  ");
        assert_eq!(
            event,
            Event::Rework {
                deviation: 7,
                what: "new olive".to_owned()
            }
        );
    }

    #[test]
    fn only_other_supervisors_release() {
        let step = StepRef {
            procedure: "a".into(),
            step: "b".into(),
        };
        assert_eq!(Purpose::Release(step.clone()).signer(), Signer::OtherSupervisor);
        assert_eq!(Purpose::Attend(step).signer(), Signer::Supervisor);
        assert_eq!(Purpose::SignOff.signer(), Signer::AtHandAgain);
    }
}
