//! Whether one copy goes on from another.

use crate::audit::Manifest;
use crate::disk::{Error, Folder};
use crate::seal::Digest;
use std::collections::BTreeSet;
use std::io::{self, BufRead};

/// How what arrives stands to what is here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Relation {
    Same,
    /// What arrives begins with all that is here, and goes on.
    Longer,
    /// What is here begins with all that arrives, and goes on.
    Older,
    /// Neither.
    Different,
}

impl Relation {
    fn and(self, other: Self) -> Self {
        match (self, other) {
            (one, Self::Same) | (Self::Same, one) => one,
            (one, other) if one == other => one,
            _ => Self::Different,
        }
    }
}

/// How a file of lines that arrives stands to the one here. What is not there counts as empty.
pub(super) fn of_lines(arriving: &Folder, here: &Folder, from: &str, to: &str) -> Result<Relation, Error> {
    let (arriving, here) = (arriving.reader(from)?, here.reader(to)?);
    let (mut arriving, mut here) = match (arriving, here) {
        (None, None) => return Ok(Relation::Same),
        (Some(_), None) => return Ok(Relation::Longer),
        (None, Some(_)) => return Ok(Relation::Older),
        (Some(arriving), Some(here)) => (arriving, here),
    };
    compare(&mut arriving, &mut here).map_err(|error| Error::reading(to, error))
}

fn compare(arriving: &mut impl BufRead, here: &mut impl BufRead) -> io::Result<Relation> {
    loop {
        let (new, old) = (arriving.fill_buf()?, here.fill_buf()?);
        let both = new.len().min(old.len());
        match (new.is_empty(), old.is_empty()) {
            (true, true) => return Ok(Relation::Same),
            (false, true) => return Ok(Relation::Longer),
            (true, false) => return Ok(Relation::Older),
            (false, false) if new[..both] != old[..both] => return Ok(Relation::Different),
            (false, false) => {}
        }
        arriving.consume(both);
        here.consume(both);
    }
}

/// How a job's folder that arrives stands to the one here. Lines must go on from lines; attachments and content
/// bear their hashes as names; what is made from these, such as the certificate, decides nothing.
pub(super) fn of_jobs(
    bundle: &Folder,
    manifest: &Manifest,
    number: &str,
    here: &Folder,
    place: &str,
) -> Result<Relation, Error> {
    let prefix = format!("jobs/{number}");
    let arriving: BTreeSet<String> = manifest.below(&prefix).map(|(path, _)| path.to_owned()).collect();
    let standing: BTreeSet<String> = here.walk(place, usize::MAX, &mut |_| {})?.into_iter().collect();
    let mut relation = Relation::Same;
    for path in arriving.union(&standing) {
        let found = if path.ends_with(".jsonl") {
            of_lines(
                bundle,
                here,
                &format!("{prefix}/{path}"),
                &format!("{place}/{path}"),
            )?
        } else if is_named_by_hash(path) {
            match (arriving.contains(path), standing.contains(path)) {
                (true, false) => Relation::Longer,
                (false, true) => Relation::Older,
                _ => Relation::Same,
            }
        } else {
            Relation::Same
        };
        relation = relation.and(found);
    }
    Ok(relation)
}

fn is_named_by_hash(path: &str) -> bool {
    let stem = path.rsplit('/').next().and_then(|name| name.split('.').next());
    stem.is_some_and(|stem| stem.parse::<Digest>().is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_goes_on_from_another_or_not() {
        for (arriving, here, expected) in [
            ("", "", Relation::Same),
            ("a\n", "a\n", Relation::Same),
            ("a\nb\n", "a\n", Relation::Longer),
            ("a\n", "a\nb\n", Relation::Older),
            ("a\nb\n", "a\nc\n", Relation::Different),
        ] {
            for size in [1, 2, 3, 100] {
                let mut new = io::BufReader::with_capacity(size, arriving.as_bytes());
                let found = compare(&mut new, &mut here.as_bytes()).expect("read");
                assert_eq!(found, expected, "{arriving:?} {here:?} {size}");
            }
        }
        assert_eq!(Relation::Longer.and(Relation::Older), Relation::Different);
        assert_eq!(Relation::Same.and(Relation::Older), Relation::Older);
    }
}
