//! What the desk asks of the session, and how it waits for it: whatever signs, writes or opens a key
//! goes on beside the screen, which stays alive and says what is being done.

use super::desk::{Desk, Done, Overlay, Trouble};
use crate::player::{Event, State};
use crate::say;
use crate::session::{Content, JobLine, PersonLine, Session, SessionError, TypedCard};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// What an opened key is wanted for.
#[derive(Clone, Debug)]
pub(super) enum Wanted {
    SignOn,
    Act(Box<Event>),
}

/// What comes back from beside the screen.
struct Back {
    session: Session,
    then: Box<dyn FnOnce(&mut Desk) -> Done + Send>,
}

/// The shop as the desk holds it. The session is away while something is written.
pub(super) struct Shop {
    session: Option<Session>,
    waiting: Option<Receiver<Back>>,
}

impl Shop {
    pub fn new(session: Session) -> Self {
        Self {
            session: Some(session),
            waiting: None,
        }
    }

    /// Whether something is being done beside the screen.
    pub fn busy(&self) -> bool {
        self.waiting.is_some()
    }

    pub fn session(&self) -> Option<&Session> {
        self.session.as_ref()
    }

    pub fn state(&self) -> Option<&State> {
        Some(self.session()?.job()?.state())
    }

    /// The answers of the card as they were typed.
    pub fn typed(&self) -> TypedCard {
        self.session()
            .and_then(Session::job)
            .map(|job| job.typed().clone())
            .unwrap_or_default()
    }

    /// Who is signed on.
    pub fn person(&self) -> Option<PersonLine> {
        let session = self.session()?;
        let (id, name) = session.person()?;
        let known = session.people().into_iter().find(|person| person.id == id);
        Some(known.unwrap_or(PersonLine {
            id,
            name,
            roles: Vec::new(),
            supervisor: false,
        }))
    }

    /// The people who can sign on, who was here last first.
    pub fn people_here(&self) -> Vec<PersonLine> {
        self.session().map(Session::people_here).unwrap_or_default()
    }

    pub fn people(&self) -> Vec<PersonLine> {
        self.session().map(Session::people).unwrap_or_default()
    }

    pub fn name(&self, id: &str) -> String {
        let name = self.session().map(|session| session.name_of(id));
        name.filter(|name| !name.starts_with("tablet"))
            .unwrap_or_else(|| say!(self.session().map(Session::words).unwrap_or_default(), "Tablet"))
    }

    pub fn jobs(&self) -> Vec<JobLine> {
        self.session().map(Session::jobs).unwrap_or_default()
    }

    /// A pinned drawing of the open job.
    pub fn media(&self, path: &str) -> Option<Vec<u8>> {
        self.session()?.job()?.picture(path)
    }

    /// Now, by the session's clock.
    pub fn now(&self) -> Option<chrono::DateTime<chrono::FixedOffset>> {
        self.session().map(Session::now)
    }

    /// Leaves the job; everything of it is on the disk.
    pub fn put_away(&mut self) {
        if let Some(session) = &mut self.session {
            session.leave_job();
        }
    }

    /// Plays what is opened from now on from this content.
    pub fn read_again(&mut self, content: Content) {
        if let Some(session) = &mut self.session {
            session.read_again(content);
        }
    }

    /// Nobody works here any more; the key is wiped.
    pub fn sign_off(&mut self) {
        if let Some(session) = &mut self.session {
            session.leave_job();
            session.sign_off_person();
        }
    }
}

impl Desk {
    pub(super) fn person_id(&self) -> Option<String> {
        Some(self.shop.session()?.person()?.0)
    }

    /// Whether this person did any of the work of the open job.
    pub(super) fn did_work(&self, id: &str) -> bool {
        let Some(state) = self.shop.state() else {
            return false;
        };
        state
            .play()
            .steps()
            .any(|(at, _, _)| state.work_on(&at).any(|(_, by)| by == id))
    }

    pub(super) fn tables(&self) -> crate::table::Tables {
        self.shop
            .session()
            .and_then(|session| session.content().library().ok())
            .map(|library| library.tables.clone())
            .unwrap_or_default()
    }

    /// Does `work` beside the screen, then `then` on it with what came of it.
    pub(super) fn beside<T: Send + 'static>(
        &mut self,
        work: impl FnOnce(&mut Session) -> Result<T, SessionError> + Send + 'static,
        then: impl FnOnce(&mut Desk, Result<T, Trouble>) -> Done + Send + 'static,
    ) -> Done {
        let Some(mut session) = self.shop.session.take() else {
            return Err(Trouble::Writing);
        };
        let (sender, receiver) = channel();
        std::thread::spawn(move || {
            let result = work(&mut session).map_err(Trouble::from);
            let then = Box::new(move |desk: &mut Desk| then(desk, result));
            // Where nobody waits any more the window is gone, and all that was done is on the disk.
            let _ = sender.send(Back { session, then });
        });
        self.shop.waiting = Some(receiver);
        Ok(())
    }

    /// Takes back what was done beside the screen, if it is done.
    pub(super) fn take_back(&mut self) -> Done {
        let Some(receiver) = &self.shop.waiting else {
            return Ok(());
        };
        match receiver.try_recv() {
            Ok(back) => {
                self.shop.waiting = None;
                self.shop.session = Some(back.session);
                (back.then)(self)
            }
            Err(TryRecvError::Empty) => Ok(()),
            Err(TryRecvError::Disconnected) => {
                self.shop.waiting = None;
                Err(Trouble::Lost)
            }
        }
    }

    /// An event by the person at the tablet; then on to what comes now.
    pub(super) fn act(&mut self, event: Event) -> Done {
        self.act_then(event, |desk, result| result.and_then(|()| desk.went_on()))
    }

    /// An event by the person at the tablet, and what to do with what came of it.
    pub(super) fn act_then(
        &mut self,
        event: Event,
        then: impl FnOnce(&mut Desk, Result<(), Trouble>) -> Done + Send + 'static,
    ) -> Done {
        self.beside(move |session| session.act(event), then)
    }

    /// Opens a person's key with their passphrase, and uses it.
    pub(super) fn open_key(
        &mut self,
        id: String,
        secret: zeroize::Zeroizing<String>,
        wanted: Wanted,
    ) -> Done {
        let work = move |session: &mut Session| {
            let key = session.open_key(&id, &secret)?;
            match wanted {
                Wanted::SignOn => {
                    session.sign_on(&id, key)?;
                    session.remember_coming(&id)
                }
                Wanted::Act(event) => session.act_with(&id, &key, *event),
            }
        };
        self.beside(work, |desk, result| match result {
            Ok(()) => {
                desk.welcome = super::sign_on::Welcome::default();
                desk.close_sheet()?;
                desk.went_on()?;
                desk.take_up()
            }
            Err(trouble) => {
                let fault = trouble.says(&desk.words);
                desk.welcome.fault = fault.clone();
                desk.sheet_fault(fault);
                desk.refresh()
            }
        })
    }

    /// Keeps an answer of the card on the disk, then goes on.
    pub(super) fn keep_answer(
        &mut self,
        key: (String, String),
        text: String,
        then: impl FnOnce(&mut Desk) -> Done + Send + 'static,
    ) -> Done {
        let work = move |session: &mut Session| session.type_answer(&key.0, &key.1, &text);
        self.beside(work, |desk, result| result.and_then(|()| then(desk)))
    }

    /// Verifies a job's record from its files and shows it.
    pub(super) fn show_record(&mut self, number: String) -> Done {
        self.beside(
            move |session| super::record::verify(session, &number),
            |desk, record| desk.over(Overlay::Record(Box::new(record?))),
        )
    }

    /// Verifies the record on the screen once more.
    pub(super) fn verify(&mut self) -> Done {
        match &self.overlay {
            Some(Overlay::Record(record)) => self.show_record(record.number.clone()),
            _ => Ok(()),
        }
    }

    /// Makes the certificate of the record on the screen again.
    pub(super) fn certificate_again(&mut self) -> Done {
        let Some(Overlay::Record(record)) = &self.overlay else {
            return Ok(());
        };
        let number = record.number.clone();
        self.beside(
            move |session| session.report(&number),
            |desk, result| {
                result?;
                desk.verify()
            },
        )
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_session_can_work_beside_the_screen() {
        fn sendable<T: Send>() {}
        sendable::<crate::session::Session>();
    }
}
