//! Content that was put together before: the jobs of a shop mostly pin the same.

use crate::player::Play;
use crate::player::fact::Opening;
use crate::seal::{Digest, Hasher};
use std::sync::{Arc, Mutex, PoisonError};

/// How many are kept; each is as large as its content.
const MOST_KEPT: usize = 8;

/// The last few plays by the hash of what they are made of. Shared by those who verify side by side.
#[derive(Debug, Default)]
pub struct Plays {
    kept: Mutex<Vec<(Digest, Arc<Play>)>>,
}

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

impl Plays {
    /// The play of this content, if it was kept.
    pub(super) fn find(&self, content: Digest) -> Option<Arc<Play>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.iter().find(|(of, _)| *of == content);
        found.map(|(_, play)| Arc::clone(play))
    }

    /// Keeps a play; the oldest goes when there are too many.
    pub(super) fn keep(&self, content: Digest, play: &Arc<Play>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.iter().all(|(of, _)| *of != content) {
            if kept.len() >= MOST_KEPT {
                kept.remove(0);
            }
            kept.push((content, Arc::clone(play)));
        }
    }
}
