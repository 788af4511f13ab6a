//! What was read before: the jobs of a shop mostly carry the same roster, approvals and content.
//!
//! Every file of every job is read and hashed all the same. Only what is made of the very same bytes is taken again.

use super::Files;
use crate::people::{Approvals, PeopleFinding, Roster};
use crate::player::Play;
use crate::player::fact::Opening;
use crate::seal::{Digest, Hasher, digest};
use std::io::{self, BufRead, Read};
use std::sync::{Arc, Mutex, PoisonError};

/// How many of a sort are kept.
const MOST_KEPT: usize = 8;
/// The longest roster or approvals that are kept, in bytes; longer ones are read again for each job.
const MOST_BYTES: u64 = 1024 * 1024;

/// What was read for the last few jobs. Shared by those who verify side by side.
#[derive(Debug, Default)]
pub struct Known {
    plays: Kept<Play>,
    rosters: Kept<RosterRead>,
    approvals: Kept<ApprovalsRead>,
}

/// A roster as it was read, with what follows from it.
#[derive(Debug)]
pub(super) struct RosterRead {
    pub roster: Option<Arc<Roster>>,
    /// The shop, and the fingerprint of its root key.
    pub named: Option<[Arc<str>; 2]>,
    pub findings: Vec<PeopleFinding>,
    /// The file that says the same to stock tools.
    pub allowed_signers: Vec<u8>,
    /// The hash of its bytes; none when there were too many to be kept.
    bytes: Option<Digest>,
}

/// Approvals as they were read against one roster.
pub(super) type ApprovalsRead = (Approvals, Vec<PeopleFinding>);

/// What a play is made of: the job and every pinned file, whose bytes have been held against these hashes.
pub(super) fn pinned(opening: &Opening) -> Digest {
    let mut hasher = Hasher::new();
    // A line feed cannot be taken for one inside a text, since lengths stand before the texts.
    let mut take = |text: &str| hasher.update(format!("{} {text}\n", text.len()).as_bytes());
    take(&opening.job);
    for (path, sha256) in &opening.content {
        take(path);
        take(sha256);
    }
    hasher.finish()
}

impl Known {
    /// The play of this content, if it was kept.
    pub(super) fn play(&self, content: Digest) -> Option<Arc<Play>> {
        self.plays.find(content)
    }

    /// Keeps a play.
    pub(super) fn keep_play(&self, content: Digest, play: &Arc<Play>) {
        self.plays.keep(content, play);
    }

    /// The roster of a folder; none when it is not there.
    pub(super) fn roster(&self, folder: &dyn Files, file: &str) -> io::Result<Option<Arc<RosterRead>>> {
        let Some(begun) = Begun::read(folder, file)? else {
            return Ok(None);
        };
        if let Some(known) = begun.hash.and_then(|hash| self.rosters.find(hash)) {
            return Ok(Some(known));
        }
        let hash = begun.hash;
        let read = Arc::new(RosterRead::of(begun));
        if let Some(hash) = hash {
            self.rosters.keep(hash, &read);
        }
        Ok(Some(read))
    }

    /// The approvals of a folder that has this roster; none when they are not there.
    pub(super) fn approvals(
        &self,
        folder: &dyn Files,
        file: &str,
        roster: &RosterRead,
    ) -> io::Result<Option<Arc<ApprovalsRead>>> {
        let (Some(begun), Some(people)) = (Begun::read(folder, file)?, &roster.roster) else {
            return Ok(None);
        };
        let both = begun.hash.zip(roster.bytes);
        let both = both.map(|(own, roster)| digest(&[*own.as_bytes(), *roster.as_bytes()].concat()));
        if let Some(known) = both.and_then(|both| self.approvals.find(both)) {
            return Ok(Some(known));
        }
        let read = Arc::new(Approvals::read(begun.reader(), people));
        if let Some(both) = both {
            self.approvals.keep(both, &read);
        }
        Ok(Some(read))
    }
}

impl RosterRead {
    fn of(begun: Begun) -> RosterRead {
        let bytes = begun.hash;
        let (roster, findings) = Roster::read(begun.reader());
        let signers = roster.as_ref().map(Roster::to_allowed_signers);
        let named = |roster: &Roster| [roster.shop().into(), roster.root_fingerprint().into()];
        RosterRead {
            named: roster.as_ref().map(named),
            roster: roster.map(Arc::new),
            findings,
            allowed_signers: signers.map_or_else(Vec::new, |signers| signers.to_string().into_bytes()),
            bytes,
        }
    }
}

/// A file of which all bytes are at hand, unless it is too long to be kept.
struct Begun<'a> {
    bytes: Vec<u8>,
    /// What comes behind them.
    rest: Box<dyn BufRead + 'a>,
    /// The hash of all bytes, if all are at hand.
    hash: Option<Digest>,
}

impl<'a> Begun<'a> {
    fn read(folder: &'a dyn Files, file: &str) -> io::Result<Option<Begun<'a>>> {
        let mut bytes = Vec::new();
        match folder.read(file, MOST_BYTES, &mut bytes) {
            Ok(false) => Ok(None),
            Ok(true) => Ok(Some(Begun {
                hash: Some(digest(&bytes)),
                bytes,
                rest: Box::new(io::empty()),
            })),
            Err(error) if error.kind() == io::ErrorKind::FileTooLarge => {
                let reader = folder.reader(file)?;
                Ok(reader.map(|rest| Begun {
                    bytes: Vec::new(),
                    rest,
                    hash: None,
                }))
            }
            Err(error) => Err(error),
        }
    }

    fn reader(self) -> impl BufRead + 'a {
        io::Cursor::new(self.bytes).chain(self.rest)
    }
}

/// The last few of a sort by the hash of what they are made of.
#[derive(Debug)]
struct Kept<T>(Mutex<Vec<(Digest, Arc<T>)>>);

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<T> Kept<T> {
    fn find(&self, of: Digest) -> Option<Arc<T>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.iter().find(|(other, _)| *other == of);
        found.map(|(_, made)| Arc::clone(made))
    }

    /// Keeps what was made; the oldest goes when there are too many.
    fn keep(&self, of: Digest, made: &Arc<T>) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.iter().all(|(other, _)| *other != of) {
            if kept.len() >= MOST_KEPT {
                kept.remove(0);
            }
            kept.push((of, Arc::clone(made)));
        }
    }
}
