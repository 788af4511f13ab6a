//! The open job and the one loop: event, player, record, disk, and only then the new state.

use super::error::SessionError;
use super::founding::{bare, named};
use super::shop::{Session, register};
use crate::disk::{Draft, JobFolder};
use crate::page;
use crate::people::ledger::JobOpened;
use crate::people::{Label, LedgerEntry};
use crate::player::card::Sheet;
use crate::player::fact::Opening;
use crate::player::{self, Event, Fact, Play, Prompt, State, Typed};
use crate::procedure::{self, StepRef};
use crate::record::{self, Personal};
use crate::seal::{Digest, Head, Line, Link, Namespace, Opened, SignerId, SigningKey, digest};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The longest authored file that is read back from a job's folder, in bytes.
const MOST_CONTENT: u64 = 16 * 1024 * 1024;
/// Where the register of instruments stands among the pinned content.
pub(super) const REGISTER: &str = "register/instruments.yaml";

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
            .bytes(&pinned_name(name, hash), MOST_CONTENT)
            .ok()?
    }
}

/// The file that holds pinned content.
fn pinned_name(path: &str, hash: &str) -> String {
    let extension = path.rsplit_once('.').map_or("bin", |(_, extension)| extension);
    format!("content/{hash}.{extension}")
}

impl Session {
    /// The open job.
    #[must_use]
    pub fn job(&self) -> Option<&OpenJob> {
        self.job.as_ref()
    }

    /// The page for what comes now in the open job.
    #[must_use]
    pub fn page(&self) -> Option<page::Page> {
        self.job.as_ref().map(|job| page::of(&job.state, &job.typed))
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
        let number = self.next_number(practice)?;
        let files = self.pinned_files();
        let opening = self.opening(&number, practice, &play, &files);
        let actor = self.actor(&self.tablet.0);
        let (state, facts) = player::advance(&State::new(play), &actor, Event::Open(opening))?;
        let (id, key) = &self.tablet;
        let (line, head) = sign(&facts, None, &number, practice, id, key)?;
        let draft = Draft {
            record: line.clone(),
            roster: super::shop::read_log(self.shop.roster())?,
            allowed_signers: self.roster.to_allowed_signers().to_string(),
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

    fn pinned_files(&self) -> BTreeMap<String, Vec<u8>> {
        let mut files = self.content.library.files.clone();
        if let Some(text) = &self.instruments_text {
            files.insert(REGISTER.to_owned(), text.clone().into_bytes());
        }
        files
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
            language: "en".to_owned(),
            program: format!("witnessmark {}", env!("CARGO_PKG_VERSION")),
            shop: self.shop_name().to_owned(),
            roster_head: self
                .roster
                .head()
                .map_or(Digest::ZERO, |head| head.hash)
                .to_string(),
            roster_lines: self.roster.lines(),
            content: files.iter().map(pin).collect(),
            caution: play.job.caution.clone(),
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
        let next = self.ledger.append(bare(&line), &self.roster);
        let next = next.map_err(|findings| super::error::broken("ledger", &findings))?;
        self.shop.ledger().append(&line)?;
        self.ledger = next;
        Ok(digest(bare(&line)))
    }

    /// Leaves the job on the screen; everything of it is on the disk.
    pub fn leave_job(&mut self) {
        self.job = None;
    }

    /// Opens a job of the shop again, with the content that it pinned, and shows it.
    ///
    /// # Errors
    /// There is no such job, its record or content does not hold, or the disk fails.
    pub fn resume(&mut self, number: &str) -> Result<(), SessionError> {
        let mut job = self.load_job(number)?;
        if job.state.closed() {
            self.job = Some(job);
            return Ok(());
        }
        let (torn, wanted) = untold(&job)?;
        if wanted {
            let actor = self.actor(&self.tablet.0);
            let (id, key) = &self.tablet;
            let sha256 = torn.map(|digest| digest.to_string());
            write(&mut job, &actor, id, key, Event::Resume { torn: sha256 })?;
        }
        self.job = Some(job);
        Ok(())
    }

    /// A job as its folder holds it. Every line is checked before it is believed.
    pub(super) fn load_job(&mut self, number: &str) -> Result<OpenJob, SessionError> {
        let mut folder = self.shop.job(number)?;
        let (facts, head) = self.read_record(&mut folder, number)?;
        let play = self.pinned_play(&folder, &facts)?;
        let state = player::replay(&State::new(play), facts)?;
        let personal = folder.personal()?;
        // What was typed since the card was last accepted stands before what was accepted.
        let draft = folder.card_draft()?;
        let typed = if draft.is_empty() {
            typed_again(&state, &personal)
        } else {
            draft
        };
        Ok(OpenJob {
            number: number.to_owned(),
            folder,
            state,
            head,
            typed,
            personal,
        })
    }

    fn read_record(
        &self,
        folder: &mut JobFolder,
        number: &str,
    ) -> Result<(Vec<Fact>, Option<Head>), SessionError> {
        let namespace = record::namespace(is_practice(number));
        let broken = |what: String| SessionError::Broken {
            file: format!("record of job {number}"),
            what,
        };
        let mut chain = crate::seal::Chain::new();
        let mut facts = Vec::new();
        for line in folder.record().lines()? {
            let line = line.map_err(|error| broken(error.to_string()))?;
            let raw = line.whole()?;
            let opened: Opened = crate::seal::open_line(raw, &self.roster, namespace)
                .map_err(|finding| broken(format!("line {}: {finding}", line.number)))?;
            let findings = chain.step(&opened.entry, opened.hash);
            if let Some(finding) = findings.into_iter().find(|finding| finding.rule.breaks()) {
                return Err(broken(format!("line {}: {finding}", line.number)));
            }
            facts.push(record::fact(&opened.entry)?);
        }
        Ok((facts, chain.head()))
    }

    fn pinned_play(&self, folder: &JobFolder, facts: &[Fact]) -> Result<Arc<Play>, SessionError> {
        let opening = match facts.first().map(|fact| &fact.body) {
            Some(player::Body::Opening(opening)) => opening,
            _ => {
                return Err(SessionError::Broken {
                    file: "record".into(),
                    what: "it has no opening entry".into(),
                });
            }
        };
        let mut files = BTreeMap::new();
        for (path, hash) in &opening.content {
            let bytes = folder.folder().bytes(&pinned_name(path, hash), MOST_CONTENT)?;
            let whole = bytes.filter(|bytes| digest(bytes).to_string() == *hash);
            let whole = whole.ok_or_else(|| SessionError::Broken {
                file: format!("pinned content {path}"),
                what: "it is missing or was altered".into(),
            })?;
            files.insert(path.clone(), whole);
        }
        let text = files
            .remove(REGISTER)
            .map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        let instruments = register(text.as_deref())?;
        let (library, report) = procedure::load(files);
        let library = library.ok_or_else(|| SessionError::Content(report.render()))?;
        let job = library.jobs.iter().find(|job| job.id.as_str() == opening.job);
        let job = job
            .ok_or_else(|| SessionError::NoSuchJob(opening.job.clone()))?
            .clone();
        Ok(Arc::new(Play::new(
            job,
            library.shared,
            library.tables,
            instruments,
        )))
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

    /// Keeps an answer of the card while it is being filled.
    ///
    /// # Errors
    /// No job is open, or the disk fails.
    pub fn type_answer(&mut self, group: &str, field: &str, text: &str) -> Result<(), SessionError> {
        let job = self.job.as_mut().ok_or(SessionError::NoJob)?;
        let key = (group.to_owned(), field.to_owned());
        if text.is_empty() {
            job.typed.remove(&key)
        } else {
            job.typed.insert(key, text.to_owned())
        };
        job.folder.write_card_draft(&job.typed)?;
        Ok(())
    }

    /// Accepts the card as it was typed, by the person who is signed on.
    ///
    /// # Errors
    /// As [`Session::act`].
    pub fn accept_card(&mut self) -> Result<(), SessionError> {
        let salts = self.salts()?;
        let job = self.job.as_mut().ok_or(SessionError::NoJob)?;
        let mut personal = job.personal.clone();
        let mut salts = salts.into_iter();
        let mut sheet = Sheet::new();
        for ((group, field), text) in &job.typed {
            let Some(asked) = job.state.play().field(group, field) else {
                continue;
            };
            let answer = if asked.personal {
                let salt = salts.next().unwrap_or_default();
                Typed::Committed(personal.commit(group, field, text, salt).to_string())
            } else {
                Typed::Open(text.clone())
            };
            sheet.insert((group.clone(), field.clone()), answer);
        }
        // Answers that no longer apply stay typed, but are not part of the card.
        let evaluation = player::card::evaluate(job.state.play(), &sheet);
        let asked = |key: &(String, String)| {
            let field = job.state.play().field(&key.0, &key.1);
            field.is_some_and(|field| player::card::asked(&evaluation, field))
        };
        let answers = sheet
            .into_iter()
            .filter(|(key, _)| asked(key))
            .map(|((g, f), typed)| (g, f, typed))
            .collect();
        job.folder.write_personal(&personal)?;
        job.personal = personal;
        self.act(Event::Card(answers))
    }

    fn salts(&self) -> Result<Vec<[u8; 32]>, SessionError> {
        let job = self.job.as_ref().ok_or(SessionError::NoJob)?;
        let personal = job.state.play().fields().filter(|field| field.personal).count();
        (0..personal).map(|_| self.world.bytes::<32>()).collect()
    }

    /// The step that comes now, if one does.
    #[must_use]
    pub fn current_step(&self) -> Option<StepRef> {
        page::strip::current(&self.job.as_ref()?.state)
    }
}

/// Torn bytes that no entry tells yet, and whether an open job needs a resume entry at all.
fn untold(job: &OpenJob) -> Result<(Option<Digest>, bool), SessionError> {
    let told: Vec<&String> = job
        .state
        .facts()
        .iter()
        .filter_map(|fact| match &fact.body {
            player::Body::Resume { torn } => torn.as_ref(),
            _ => None,
        })
        .collect();
    let torn = job
        .folder
        .torn()?
        .into_iter()
        .map(|torn| torn.sha256)
        .find(|hash| !told.contains(&&hash.to_string()));
    let begun = job.state.facts().len() > 1;
    Ok((torn, begun || torn.is_some()))
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

/// The card as it was last accepted, so that it can be changed.
fn typed_again(state: &State, personal: &Personal) -> TypedCard {
    use crate::player::fact::Answer;
    let typed = state.answers().iter().filter_map(|(key, answer)| {
        let text = match &answer.answer {
            Answer::Open { typed, .. } => typed.clone(),
            Answer::Committed { commitment } => personal.text(commitment)?.to_owned(),
        };
        Some((key.clone(), text))
    });
    typed.collect()
}
