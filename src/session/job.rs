//! The open job and the one loop: event, player, record, disk, and only then the new state.

use super::error::SessionError;
use super::founding::{bare, named};
use super::shop::Session;
use crate::audit::{REGISTER, is_register, stored_name};
use crate::disk::{Draft, JobFolder};
use crate::page;
use crate::people::ledger::JobOpened;
use crate::people::{Label, LedgerEntry};
use crate::player::fact::{DecisionRule, Opening};
use crate::player::instrument::CERTIFICATES;
use crate::player::{self, Event, Fact, Play, Prompt, State};
use crate::procedure::StepRef;
use crate::record::{self, Personal};
use crate::seal::{Digest, Head, Line, Link, Namespace, SignerId, SigningKey, digest};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The longest authored file that is read back from a job's folder, in bytes.
pub(super) const MOST_CONTENT: u64 = 16 * 1024 * 1024;

/// The most bytes that the photographs of calibration certificates take in a job: half of what a verifier reads.
const MOST_PHOTOGRAPHS: usize = 32 * 1024 * 1024;

pub use crate::page::card::TypedCard;

/// A job that is open on the screen.
#[derive(Debug)]
pub struct OpenJob {
    pub(super) number: String,
    pub(super) folder: JobFolder,
    pub(super) state: State,
    pub(super) head: Option<Head>,
    pub(super) typed: TypedCard,
    pub(super) personal: Personal,
}

/// Whether a job's number is that of a practice run.
#[must_use]
pub(super) fn is_practice(number: &str) -> bool {
    number.starts_with('P')
}

impl OpenJob {
    /// The job's number.
    #[must_use]
    pub fn number(&self) -> &str {
        &self.number
    }

    /// Where the job stands.
    #[must_use]
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The card as it was typed so far.
    #[must_use]
    pub fn typed(&self) -> &TypedCard {
        &self.typed
    }

    /// Where the job's folder is.
    #[must_use]
    pub fn path(&self) -> &std::path::Path {
        self.folder.folder().path()
    }

    /// The hash of the last line, which pins the whole record.
    #[must_use]
    pub fn head(&self) -> Option<Head> {
        self.head
    }

    /// The pinned drawing at this path under `media/`.
    #[must_use]
    pub fn picture(&self, path: &str) -> Option<Vec<u8>> {
        let wanted = format!("media/{path}");
        let opening = self.state.opening()?;
        let (name, hash) = opening.content.iter().find(|(name, _)| *name == wanted)?;
        self.folder
            .folder()
            .bytes(&stored_name(name, hash), MOST_CONTENT)
            .ok()?
    }
}

impl Session {
    /// The open job.
    #[must_use]
    pub fn job(&self) -> Option<&OpenJob> {
        self.job.as_ref()
    }

    /// The open job as the tablet shows it: one that is closed speaks the language of the tablet, whatever its
    /// record speaks.
    #[must_use]
    pub fn seen(&self) -> Option<Cow<'_, State>> {
        let state = &self.job.as_ref()?.state;
        if state.closed() && state.language() != self.language() {
            return Some(Cow::Owned(state.in_language(self.language())));
        }
        Some(Cow::Borrowed(state))
    }

    /// The page for what comes now in the open job.
    #[must_use]
    pub fn page(&self) -> Option<page::Page> {
        let job = self.job.as_ref()?;
        Some(page::of(&*self.seen()?, &job.typed))
    }

    /// Opens a new job and shows it.
    ///
    /// # Errors
    /// Nobody is signed on, the content has no such job, or the disk fails.
    pub fn start(&mut self, slug: &str, practice: bool) -> Result<String, SessionError> {
        if self.signed_on.is_none() {
            return Err(SessionError::NobodySignedOn);
        }
        let play = self.play(slug)?;
        let spoken = play.in_language(&self.settings.language);
        let number = self.next_number(practice)?;
        let files = self.pinned_files()?;
        let mut opening = self.opening(&number, practice, &spoken, &files);
        // Whoever practises harms nobody; what counts as proof was signed for by a supervisor.
        let (approval, approvals) = if practice {
            (None, Vec::new())
        } else {
            let (pinned, lines) = self.approval_of(&play.job)?;
            (Some(pinned), lines)
        };
        opening.approval = approval;
        let actor = self.actor(&self.tablet.0);
        let (state, facts) = player::advance(&State::new(play), &actor, Event::Open(opening))?;
        let (id, key) = &self.tablet;
        let (line, head) = sign(&facts, None, &number, practice, id, key)?;
        let draft = Draft {
            record: line.clone(),
            roster: super::shop::read_log(self.shop.roster())?,
            allowed_signers: self.roster.to_allowed_signers().to_string(),
            approvals,
            content: files.into_iter().collect(),
        };
        let folder = self.shop.create_job(&number, &draft)?;
        if !practice {
            self.enter_opening(&number, &state, bare(&line))?;
        }
        let job = OpenJob {
            number: number.clone(),
            folder,
            state,
            head,
            typed: TypedCard::new(),
            personal: Personal::new(),
        };
        self.job = Some(job);
        Ok(number)
    }

    fn next_number(&self, practice: bool) -> Result<String, SessionError> {
        let prefix = format!(
            "{}{}-",
            if practice { "P" } else { "" },
            self.world.now().format("%Y")
        );
        let taken = self.shop.jobs()?;
        let ordinals = taken
            .iter()
            .filter_map(|number| number.strip_prefix(&prefix)?.parse::<u32>().ok());
        Ok(format!("{prefix}{:04}", ordinals.max().unwrap_or(0) + 1))
    }

    fn pinned_files(&self) -> Result<BTreeMap<String, Vec<u8>>, SessionError> {
        let mut files = self.content.library()?.files.clone();
        // The register is the shop's own, never the author's.
        files.retain(|path, _| !is_register(path));
        if let Some(text) = &self.instruments_text {
            files.insert(REGISTER.to_owned(), text.clone().into_bytes());
            files.extend(self.photographs()?);
        }
        Ok(files)
    }

    /// The photographs of calibration certificates that the register names, by the paths at which they are pinned.
    fn photographs(&self) -> Result<BTreeMap<String, Vec<u8>>, SessionError> {
        let mut photographs = BTreeMap::new();
        let mut size = 0;
        for instrument in &self.instruments {
            let Some(name) = &instrument.certificate else {
                continue;
            };
            let missing = || SessionError::Photograph {
                instrument: instrument.name.clone(),
                what: format!("certificates/{name} is not there"),
            };
            let photograph = self.shop.certificate_photograph(name)?.ok_or_else(missing)?;
            size += photograph.len();
            photographs.insert(format!("{CERTIFICATES}{name}"), photograph);
        }
        if size > MOST_PHOTOGRAPHS {
            return Err(SessionError::Photograph {
                instrument: "the register".to_owned(),
                what: format!(
                    "its photographs have {size} bytes together, at most {MOST_PHOTOGRAPHS} fit in a job"
                ),
            });
        }
        Ok(photographs)
    }

    fn opening(
        &self,
        number: &str,
        practice: bool,
        play: &Play,
        files: &BTreeMap<String, Vec<u8>>,
    ) -> Opening {
        let pin = |(path, bytes): (&String, &Vec<u8>)| (path.clone(), digest(bytes).to_string());
        Opening {
            number: number.to_owned(),
            job: play.job.id.to_string(),
            title: play.job.title.clone(),
            revision: play.job.revision,
            practice,
            language: play.words().language().to_string(),
            program: super::PROGRAM.to_owned(),
            shop: self.shop_name().to_owned(),
            roster_head: self
                .roster
                .head()
                .map_or(Digest::ZERO, |head| head.hash)
                .to_string(),
            roster_lines: self.roster.lines(),
            content: files.iter().map(pin).collect(),
            caution: play.job.caution.clone(),
            approval: None,
            decision: Some(DecisionRule::GuardedAcceptance),
        }
    }

    /// Writes the ledger's line for a job whose folder stands.
    pub(super) fn enter_opening(
        &mut self,
        number: &str,
        state: &State,
        first: &[u8],
    ) -> Result<(), SessionError> {
        let title = state.opening().map_or("", |opening| opening.title.as_str());
        let opened = JobOpened {
            title: named::<Label>(title)?,
            first_hash: digest(first),
        };
        self.enter(number, &LedgerEntry::Opened(opened)).map(|_| ())
    }

    /// Appends a line to the ledger; gives its hash.
    pub(super) fn enter(&mut self, number: &str, entry: &LedgerEntry) -> Result<Digest, SessionError> {
        let (id, key) = &self.tablet;
        let text = entry.text(self.ledger.link(), self.world.now(), id, number)?;
        let line = Line::signed(text, id.clone(), key, Namespace::ShopLedger).to_bytes()?;
        let write = || self.shop.ledger().append(&line);
        let written = self.ledger.append(bare(&line), &self.roster, write);
        written.map_err(|findings| super::error::broken("ledger", &findings))??;
        Ok(digest(bare(&line)))
    }

    /// Leaves the job on the screen; everything of it is on the disk.
    pub fn leave_job(&mut self) {
        self.job = None;
    }

    /// An event by the person who is signed on.
    ///
    /// # Errors
    /// A refusal that says what to do next, or a failure of the disk; then nothing changed.
    pub fn act(&mut self, event: Event) -> Result<(), SessionError> {
        let (id, key) = self.signed_on.take().ok_or(SessionError::NobodySignedOn)?;
        let done = self.act_as(&id, &key, event);
        self.signed_on = Some((id, key));
        done
    }

    /// An event by another person beside the one signed on: a supervisor with their own key.
    ///
    /// # Errors
    /// As [`Session::act`]; or the key is not theirs.
    pub fn act_with(&mut self, id: &str, key: &SigningKey, event: Event) -> Result<(), SessionError> {
        let id = self.expect_key(id, key)?;
        self.act_as(&id, key, event)
    }

    fn act_as(&mut self, id: &SignerId, key: &SigningKey, event: Event) -> Result<(), SessionError> {
        let actor = self.actor(id);
        let job = self.job.as_mut().ok_or(SessionError::NoJob)?;
        write(job, &actor, id, key, event)?;
        if matches!(job.state.prompt(), Prompt::Close) {
            self.close_job()?;
        }
        Ok(())
    }

    /// Keeps a photograph with the open job and gives its name, which a text reading then carries: so the record
    /// pins it. It is on the disk when this returns. One that no reading names is no part of the record.
    ///
    /// # Errors
    /// No job is open or it is closed, nobody is signed on, the file is no picture within the bounds of
    /// [`crate::photo`], or the disk fails.
    pub fn attach(&mut self, photo: &[u8]) -> Result<String, SessionError> {
        if self.signed_on.is_none() {
            return Err(SessionError::NobodySignedOn);
        }
        let job = self.job.as_ref().filter(|job| !job.state.closed());
        let job = job.ok_or(SessionError::NoJob)?;
        let kept = crate::photo::kept(photo)?;
        Ok(job.folder.attach(&kept.jpeg, crate::photo::EXTENSION)?)
    }

    /// The step that comes now, if one does.
    #[must_use]
    pub fn current_step(&self) -> Option<StepRef> {
        page::strip::current(&self.job.as_ref()?.state)
    }
}

/// Answers, signs, syncs, and only then moves the state on.
pub(super) fn write(
    job: &mut OpenJob,
    actor: &player::Actor,
    id: &SignerId,
    key: &SigningKey,
    event: Event,
) -> Result<(), SessionError> {
    let (state, facts) = player::advance(&job.state, actor, event)?;
    let practice = state.practice();
    let (lines, head) = sign(&facts, job.head, &job.number, practice, id, key)?;
    if !lines.is_empty() {
        job.folder.record().append(&lines)?;
    }
    job.state = state;
    job.head = head;
    Ok(())
}

fn sign(
    facts: &[Fact],
    head: Option<Head>,
    number: &str,
    practice: bool,
    id: &SignerId,
    key: &SigningKey,
) -> Result<(Vec<u8>, Option<Head>), SessionError> {
    let (mut lines, mut head) = (Vec::new(), head);
    for fact in facts {
        let text = record::write(fact, Link::after(head).prev, number)?;
        let line = Line::signed(text, id.clone(), key, record::namespace(practice)).to_bytes()?;
        head = Some(Head::of(fact.n, &line));
        lines.extend_from_slice(&line);
    }
    Ok((lines, head))
}
