//! A list of authored files by their hashes, and the one hash that stands for all of them.

use std::collections::BTreeMap;

use crate::seal::{Digest, digest};

/// Authored files as `sha256sum` lists them: `<hash>  <path>`, one a line, the lines sorted by their bytes.
///
/// The SHA-256 of that text is what a supervisor approves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ContentList {
    text: String,
}

/// How a file differs between two lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// It is in the new one alone.
    Added,
    /// It has other bytes.
    Altered,
    /// It is in the old one alone.
    Removed,
}

impl Change {
    /// The change in a word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Change::Added => "added",
            Change::Altered => "altered",
            Change::Removed => "removed",
        }
    }
}

impl ContentList {
    /// The list of files by path and hash. None when a path could be read as two lines, or stands twice.
    pub fn of<'a>(files: impl IntoIterator<Item = (&'a str, Digest)>) -> Option<ContentList> {
        let mut known = BTreeMap::new();
        for (path, sha256) in files {
            if path.is_empty() || path.chars().any(char::is_control) || known.insert(path, sha256).is_some() {
                return None;
            }
        }
        let mut lines: Vec<String> = known
            .into_iter()
            .map(|(path, sha256)| format!("{sha256}  {path}\n"))
            .collect();
        lines.sort();
        Some(ContentList { text: lines.concat() })
    }

    /// Reads a list that was kept, if it is one.
    pub fn parse(text: &str) -> Option<ContentList> {
        let files: Option<Vec<(&str, Digest)>> = text.lines().map(row).collect();
        ContentList::of(files?).filter(|list| list.text == text)
    }

    /// The text, as `sha256sum` writes it.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The hash that stands for all the files.
    pub fn hash(&self) -> Digest {
        digest(self.text.as_bytes())
    }

    /// How many files there are.
    pub fn len(&self) -> usize {
        self.text.lines().count()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// What differs here from an older list, by path.
    pub fn changes_since(&self, older: &ContentList) -> Vec<(String, Change)> {
        let (new, old) = (self.files(), older.files());
        let mut changes: Vec<(String, Change)> = new
            .iter()
            .filter_map(|(path, sha256)| match old.get(path) {
                None => Some(((*path).to_owned(), Change::Added)),
                Some(before) => (before != sha256).then(|| ((*path).to_owned(), Change::Altered)),
            })
            .collect();
        let gone = old.keys().filter(|path| !new.contains_key(*path));
        changes.extend(gone.map(|path| ((*path).to_owned(), Change::Removed)));
        changes.sort();
        changes
    }

    fn files(&self) -> BTreeMap<&str, Digest> {
        self.text.lines().filter_map(row).collect()
    }
}

fn row(line: &str) -> Option<(&str, Digest)> {
    let (sha256, path) = line.split_once("  ")?;
    Some((path, sha256.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(files: &[(&str, &str)]) -> Option<ContentList> {
        ContentList::of(files.iter().map(|(path, text)| (*path, digest(text.as_bytes()))))
    }

    /// The hashes of `one` and of the list were computed with GNU coreutils' sha256sum 9.1.
    #[test]
    fn it_is_what_sha256sum_and_sort_write() {
        let list = list(&[("b.yaml", "one"), ("a.yaml", "two")]).expect("a list");
        let one = "7692c3ad3540bb803c020b3aee66cd8887123234ea0c6e7143c0add73ff431ed";
        let two = "3fc4ccfe745870e2c0d99f71f30ff0656c8dedd41cc1d7d3d376b0dbe685e2f3";
        assert_eq!(list.text(), format!("{two}  a.yaml\n{one}  b.yaml\n"));
        assert_eq!(list.len(), 2);
        assert_eq!(ContentList::parse(list.text()), Some(list));
    }

    #[test]
    fn what_could_be_read_as_other_files_is_no_list() {
        let two = format!("a\n{}  b", digest(b"two"));
        for bad in [&two[..], "", "a\tb"] {
            assert_eq!(list(&[(bad, "one")]), None, "{bad:?}");
        }
        assert_eq!(list(&[("a", "one"), ("a", "two")]), None);
        for bad in [
            "x  a\n",
            "a",
            &format!("{}  b\n{}  a\n", digest(b"2"), digest(b"1")),
        ] {
            assert_eq!(ContentList::parse(bad), None, "{bad:?}");
        }
    }

    #[test]
    fn every_change_is_told() {
        let old = list(&[("a", "1"), ("b", "2"), ("c", "3")]).expect("a list");
        let new = list(&[("a", "1"), ("b", "4"), ("d", "3")]).expect("a list");
        let expected = [
            ("b".to_owned(), Change::Altered),
            ("c".to_owned(), Change::Removed),
            ("d".to_owned(), Change::Added),
        ];
        assert_eq!(new.changes_since(&old), expected);
        assert_eq!(new.changes_since(&new), []);
    }
}
