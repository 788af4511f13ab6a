//! A content folder that is looked at again and again while its author writes in it.
//!
//! ```no_run
//! use std::ops::ControlFlow;
//! use witnessmark::session::Reload;
//!
//! Reload::new("my-content".as_ref()).follow(&mut |seen| {
//!     match seen {
//!         Ok(seen) => println!("{}", seen.report.render()),
//!         Err(error) => println!("{error}"),
//!     }
//!     ControlFlow::Continue(())
//! });
//! ```
#![allow(clippy::disallowed_methods)]

use super::{Content, SessionError};
use crate::content::LARGEST_FILE;
use crate::diagnostic::Report;
use crate::disk::{Stamp, content_file, content_stamps};
use crate::procedure;
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// A file changed so shortly before it was read may be written again within the same tick of its time stamp, which
/// on some file systems is two seconds long. Until then it is read again at each look.
const UNSETTLED: Duration = Duration::from_secs(3);

/// The pause between two looks.
const PAUSE: Duration = Duration::from_secs(1);

/// Looks at a content folder by the lengths and times of its files; reads only what may have changed.
#[derive(Debug)]
pub struct Reload {
    root: PathBuf,
    files: BTreeMap<String, Vec<u8>>,
    /// How each file looked when it was read, where it had settled.
    settled: BTreeMap<String, Stamp>,
    /// Whether anything was checked yet.
    begun: bool,
}

/// What a look found that is not as it was at the last one.
#[derive(Debug)]
pub struct Reloaded {
    /// What may be played; nothing where a fault keeps it from being played, so that whoever has content already
    /// goes on with that.
    pub content: Option<Content>,
    /// Every fault and note, also those of content that can be played.
    pub report: Report,
    /// The files that came, went or changed, by their paths inside the folder, in alphabetical order.
    pub changed: Vec<String>,
}

impl Reload {
    /// For the folder at `root`; nothing is read before the first look.
    #[must_use]
    pub fn new(root: &Path) -> Self {
        Self {
            root: root.to_owned(),
            files: BTreeMap::new(),
            settled: BTreeMap::new(),
            begun: false,
        }
    }

    /// Looks once. The first look always gives something; a later one only where a byte or a name changed.
    ///
    /// A look at content that did not change lists the folder and takes a few milliseconds; one that did takes
    /// as long as `witnessmark check`. Call it beside the screen's thread.
    ///
    /// # Errors
    /// The folder or a file cannot be read, as while an editor replaces it. What was seen before is kept, and the
    /// next look finds what this one missed.
    pub fn look(&mut self) -> Result<Option<Reloaded>, SessionError> {
        self.look_at(SystemTime::now())
    }

    /// Looks every second, and hands on what was found until that is enough. A failure that lasts is told once.
    pub fn follow(&mut self, seen: &mut dyn FnMut(Result<Reloaded, SessionError>) -> ControlFlow<()>) {
        let mut failed = None;
        loop {
            let look = self.look();
            let failure = look.as_ref().err().map(ToString::to_string);
            let lasts = failure.is_some() && failure == failed;
            failed = failure;
            if let Some(found) = look.transpose().filter(|_| !lasts)
                && seen(found).is_break()
            {
                return;
            }
            std::thread::sleep(PAUSE);
        }
    }

    pub(super) fn look_at(&mut self, now: SystemTime) -> Result<Option<Reloaded>, SessionError> {
        let stamps = content_stamps(&self.root)?;
        let mut read = BTreeMap::new();
        for (path, stamp) in &stamps {
            if self.settled.get(path) != Some(stamp) {
                read.insert(path.clone(), content_file(&self.root, path, LARGEST_FILE as u64)?);
            }
        }
        // Nothing is taken over before everything could be read.
        self.settled.retain(|path, _| stamps.contains_key(path));
        let mut changed = self.drop_all_but(&stamps);
        for (path, bytes) in read {
            match is_settled(&stamps[&path], now) {
                true => self.settled.insert(path.clone(), stamps[&path]),
                false => self.settled.remove(&path),
            };
            if self.files.get(&path) != Some(&bytes) {
                self.files.insert(path.clone(), bytes);
                changed.push(path);
            }
        }
        if changed.is_empty() && self.begun {
            return Ok(None);
        }
        self.begun = true;
        changed.sort();
        let (library, report) = procedure::check(self.files.clone());
        Ok(Some(Reloaded {
            content: library.map(Content::checked),
            report,
            changed,
        }))
    }

    /// Drops the files that are gone; gives their paths.
    fn drop_all_but(&mut self, stamps: &BTreeMap<String, Stamp>) -> Vec<String> {
        let gone: Vec<String> = self
            .files
            .keys()
            .filter(|path| !stamps.contains_key(*path))
            .cloned()
            .collect();
        for path in &gone {
            self.files.remove(path);
        }
        gone
    }
}

/// Whether a later change must show in the stamp. A file system without times never settles, and neither does a
/// file from the future.
fn is_settled(stamp: &Stamp, now: SystemTime) -> bool {
    let age = stamp
        .modified
        .and_then(|modified| now.duration_since(modified).ok());
    age.is_some_and(|age| age > UNSETTLED)
}

#[cfg(test)]
#[path = "reload_tests.rs"]
mod tests;
