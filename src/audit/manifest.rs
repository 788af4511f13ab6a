//! What stands in a bundle: each file's path and hash, as `sha256sum -c` reads them.

use crate::people::entry::TABLET_PREFIX;
use crate::seal::{Digest, SignerId, envelope::is_job};
use std::collections::{BTreeMap, BTreeSet};

/// The manifest's own name in its bundle.
pub const MANIFEST: &str = "bundle.sha256";
/// The longest manifest that is read, in bytes.
pub const MOST_MANIFEST: u64 = 64 * 1024 * 1024;
/// The most files of a bundle.
pub const MOST_FILES: usize = 200_000;
/// The longest file of a bundle, in bytes: what FAT, which most sticks have, can hold.
pub const MOST_FILE: u64 = u32::MAX as u64;
/// The most parts of a path: `jobs/2026-0001/attachments/<hash>.jpg`.
const MOST_PARTS: usize = 4;

/// The files of a bundle by their paths, each with its hash. No two paths differ by capital letters alone, and
/// none leads out of the bundle.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Manifest {
    files: BTreeMap<String, Digest>,
}

/// Why a manifest cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ManifestError {
    /// A line is not of the form of `sha256sum`, or its path has no place in a bundle.
    #[error("line {line}: {what}")]
    Line {
        /// The line, from 1.
        line: usize,
        /// What was found and what is allowed.
        what: String,
    },
    /// It is longer than a bundle's can be.
    #[error("it lists more than {MOST_FILES} files")]
    TooMany,
}

impl Manifest {
    /// The manifest of these files.
    ///
    /// # Errors
    /// A path has no place in a bundle, stands twice, or differs from another by capital letters alone.
    pub fn new(files: impl IntoIterator<Item = (String, Digest)>) -> Result<Self, ManifestError> {
        let mut building = Building::default();
        for (at, (path, digest)) in files.into_iter().enumerate() {
            building.add(at + 1, &path, digest)?;
        }
        Ok(building.manifest)
    }

    /// Reads a manifest: `<64 hex digits>  <path>` a line, each ending in LF.
    ///
    /// # Errors
    /// As [`Manifest::new`], or a line is of another form.
    pub fn parse(bytes: &[u8]) -> Result<Self, ManifestError> {
        let mut building = Building::default();
        for (at, line) in bytes.split_inclusive(|byte| *byte == b'\n').enumerate() {
            let wrong = |what: &str| ManifestError::Line {
                line: at + 1,
                what: what.to_owned(),
            };
            let line = line
                .strip_suffix(b"\n")
                .ok_or_else(|| wrong("it is torn: its end is missing"))?;
            let line = std::str::from_utf8(line).map_err(|_| wrong("it is no UTF-8"))?;
            let (hash, path) = line
                .split_once("  ")
                .ok_or_else(|| wrong("a hash, two spaces and a path are expected"))?;
            let digest = hash
                .parse()
                .map_err(|_| wrong("it does not begin with 64 digits 0-9 a-f"))?;
            building.add(at + 1, path, digest)?;
        }
        Ok(building.manifest)
    }

    /// The text that [`Manifest::parse`] reads and `sha256sum -c` checks.
    #[must_use]
    pub fn to_text(&self) -> String {
        self.files
            .iter()
            .map(|(path, digest)| format!("{digest}  {path}\n"))
            .collect()
    }

    /// Every path with its hash, by path.
    pub fn files(&self) -> impl Iterator<Item = (&str, Digest)> {
        self.files.iter().map(|(path, digest)| (path.as_str(), *digest))
    }

    /// The hash of a file.
    #[must_use]
    pub fn get(&self, path: &str) -> Option<Digest> {
        self.files.get(path).copied()
    }

    /// The files below a folder, by their paths inside it.
    pub fn below<'a>(&'a self, folder: &str) -> impl Iterator<Item = (&'a str, Digest)> {
        let prefix = format!("{folder}/");
        let from = self.files.range(prefix.clone()..);
        from.map_while(move |(path, digest)| Some((path.strip_prefix(&prefix)?, *digest)))
    }

    /// The numbers of its jobs.
    #[must_use]
    pub fn jobs(&self) -> BTreeSet<String> {
        let inside = self.below("jobs").filter_map(|(path, _)| path.split('/').next());
        inside.map(str::to_owned).collect()
    }

    /// Every folder that its paths go through; the bundle itself is the empty one.
    #[must_use]
    pub fn folders(&self) -> BTreeSet<String> {
        let above = |path: &String| {
            let ends = path.match_indices('/').map(|(at, _)| path[..at].to_owned());
            ends.collect::<Vec<_>>()
        };
        let mut folders: BTreeSet<String> = self.files.keys().flat_map(above).collect();
        folders.insert(String::new());
        folders
    }
}

/// A manifest as far as it was read.
#[derive(Default)]
struct Building {
    manifest: Manifest,
    /// Every path and every folder on the way to one, in small letters, with how it was written and whether it
    /// is a file.
    seen: BTreeMap<String, (String, bool)>,
}

impl Building {
    fn add(&mut self, line: usize, path: &str, digest: Digest) -> Result<(), ManifestError> {
        if self.manifest.files.len() == MOST_FILES {
            return Err(ManifestError::TooMany);
        }
        let wrong = |what: String| ManifestError::Line { line, what };
        if !has_place(path) {
            let shown: String = path.chars().take(80).collect();
            return Err(wrong(format!(
                "“{}” has no place in a bundle",
                shown.escape_debug()
            )));
        }
        let ends = path
            .match_indices('/')
            .map(|(at, _)| (at, false))
            .chain([(path.len(), true)]);
        for (end, is_file) in ends {
            let way = &path[..end];
            let found = self
                .seen
                .entry(way.to_ascii_lowercase())
                .or_insert_with(|| (way.to_owned(), is_file));
            if found.0 != way {
                let what = format!("“{way}” and “{}” differ by capital letters alone", found.0);
                return Err(wrong(what));
            }
            if found.1 != is_file {
                return Err(wrong(format!("“{way}” is a file and a folder")));
            }
        }
        if self.manifest.files.insert(path.to_owned(), digest).is_some() {
            return Err(wrong(format!("“{path}” stands twice")));
        }
        Ok(())
    }
}

/// Whether a name can be one part of a path in a folder of ours: it cannot lead anywhere else.
#[must_use]
pub fn is_plain(part: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
    (1..=128).contains(&part.len()) && !part.starts_with('.') && part.bytes().all(allowed)
}

/// Whether a file of this path may stand in a bundle: lines, registers and approved lists of the shop, photographs
/// that its register names, keys of people, and whatever a job's folder holds.
fn has_place(path: &str) -> bool {
    let parts: Vec<&str> = path.split('/').take(MOST_PARTS + 1).collect();
    if !parts.iter().all(|part| is_plain(part)) {
        return false;
    }
    match parts.as_slice() {
        [file] => of_shop(file),
        ["keys", id] => id.parse::<SignerId>().is_ok() && !id.starts_with(TABLET_PREFIX),
        // Lists of what a supervisor approved, each named by its hash.
        ["approved", file] => file.ends_with(".sha256"),
        ["certificates", _] => true,
        ["jobs", number, _] | ["jobs", number, _, _] => is_job(number),
        _ => false,
    }
}

/// Whether a file of this name, in the shop's own folder, belongs into a bundle: signed lines and registers.
#[must_use]
pub fn of_shop(file: &str) -> bool {
    is_plain(file) && (file.ends_with(".jsonl") || file.ends_with(".yaml"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::digest;

    const HASH: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn what_is_written_is_read_again() {
        let paths = [
            "roster.jsonl",
            "jobs/2026-0001/record.jsonl",
            "jobs/2026-0001/content/a.svg",
        ];
        let files = paths.map(|path| (path.to_owned(), digest(b"abc")));
        let manifest = Manifest::new(files).expect("a manifest");
        assert!(
            manifest
                .to_text()
                .starts_with(&format!("{HASH}  jobs/2026-0001/content/a.svg\n"))
        );
        assert_eq!(
            Manifest::parse(manifest.to_text().as_bytes()),
            Ok(manifest.clone())
        );
        assert_eq!(manifest.jobs(), ["2026-0001".to_owned()].into());
        let folders: Vec<String> = manifest.folders().into_iter().collect();
        assert_eq!(folders, ["", "jobs", "jobs/2026-0001", "jobs/2026-0001/content"]);
        assert_eq!(manifest.below("jobs/2026-0001").count(), 2);
        assert_eq!(manifest.below("jobs/2026").count(), 0);
    }

    #[test]
    fn whatever_could_lead_elsewhere_is_refused() {
        let long = "x".repeat(129);
        for path in [
            "",
            "/etc/passwd.yaml",
            "../roster.jsonl",
            "jobs/../roster.jsonl",
            "jobs//record.jsonl",
            "jobs/1/",
            "jobs/.new-1/record.jsonl",
            "jobs/1/.hidden",
            "jobs/1/a/b/c",
            "jobs/1",
            "jobs",
            "keys/tablet-1a",
            "keys/Ines",
            "keys/a/b",
            "certificates",
            "certificates/a/b",
            "shop.lock",
            "bundle.sha256",
            "a\\b.yaml",
            "C:x.yaml",
            "r\u{f6}ster.jsonl",
            "jobs/1/re cord",
            "jobs/1/con\0",
            "archive/x/roster.jsonl",
            &format!("jobs/1/{long}"),
        ] {
            let found = Manifest::parse(format!("{HASH}  {path}\n").as_bytes());
            assert!(
                matches!(found, Err(ManifestError::Line { line: 1, .. })),
                "{path:?}: {found:?}"
            );
        }
    }

    #[test]
    fn what_another_file_system_would_mix_up_is_refused() {
        for (first, second, says) in [
            ("jobs/1/a", "jobs/1/A", "capital letters"),
            ("jobs/a1/x", "jobs/A1/y", "capital letters"),
            ("jobs/1/a", "jobs/1/a", "stands twice"),
            ("jobs/1/a", "jobs/1/a/b", "a file and a folder"),
            ("jobs/1/a/b", "jobs/1/a", "a file and a folder"),
        ] {
            let text = format!("{HASH}  {first}\n{HASH}  {second}\n");
            let error = Manifest::parse(text.as_bytes()).expect_err("refused").to_string();
            assert!(
                error.starts_with("line 2: ") && error.contains(says),
                "{first} {second}: {error}"
            );
        }
    }

    #[test]
    fn another_form_is_told_with_its_line() {
        for bad in [
            "x\n",
            "\n",
            &format!("{HASH} *a.yaml\n"),
            &format!("{HASH}  a.yaml"),
            &format!("\\{HASH}  a.yaml\n"),
        ] {
            let text = format!("{HASH}  roster.jsonl\n{bad}");
            let error = Manifest::parse(text.as_bytes()).expect_err("refused").to_string();
            assert!(error.starts_with("line 2: "), "{bad:?}: {error}");
        }
        assert!(Manifest::parse(b"\xff  a.yaml\n").is_err());
    }
}
