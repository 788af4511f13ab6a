//! A job opened again from its folder: every line checked before it is believed, and the content that it pinned.

use super::error::SessionError;
use super::job::{MOST_CONTENT, OpenJob, TypedCard, is_practice, write};
use super::shop::{Session, register};
use crate::audit::{REGISTER, is_register, stored_name};
use crate::disk::JobFolder;
use crate::player::{self, Event, Fact, Play, State};
use crate::procedure::{self, Library};
use crate::record::{self, Personal};
use crate::seal::{Digest, Head, Opened, digest};
use std::collections::BTreeMap;
use std::sync::Arc;

impl Session {
    /// Opens a job of the shop again, with the content that it pinned, and shows it.
    ///
    /// # Errors
    /// There is no such job, its record or content does not hold, or the disk fails.
    pub fn resume(&mut self, number: &str) -> Result<(), SessionError> {
        let mut job = self.load_job(number)?;
        if job.state.closed() {
            // The disk may have failed between the closing entry and what is made of it.
            if !self.is_settled(number)? {
                self.finish_closing(&mut job)?;
            }
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
        self.tell_language(&mut job)?;
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
            facts.push(record::fact(opened.entry)?);
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
            let bytes = folder.folder().bytes(&stored_name(path, hash), MOST_CONTENT)?;
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
        files.retain(|path, _| !is_register(path));
        let library = self.library_of(files)?;
        let job = library.jobs.iter().find(|job| job.id.as_str() == opening.job);
        let job = job
            .ok_or_else(|| SessionError::NoSuchJob(opening.job.clone()))?
            .clone();
        let (shared, tables) = (library.shared.clone(), library.tables.clone());
        Ok(Arc::new(Play::new(job, shared, tables, instruments)))
    }

    /// What these files hold. Where they are byte for byte those that new jobs are played from, they were read before.
    fn library_of(&self, files: BTreeMap<String, Vec<u8>>) -> Result<Arc<Library>, SessionError> {
        match self.content.library() {
            Ok(own) if own.files == files => Ok(Arc::clone(own)),
            _ => {
                let (library, report) = procedure::load(files);
                let library = library.ok_or_else(|| SessionError::Content(report.render()))?;
                Ok(Arc::new(library))
            }
        }
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
