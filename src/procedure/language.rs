//! Content in other languages: what of a file people see, and the same content with their words in it.

use super::load;
use super::model::{Job, JobId, Shared};
use crate::content::{self, Kind, Node, Spot};
use crate::words::{Catalogue, Language, places};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

/// Keys whose text, or list of texts, people see.
const SEEN: [&str; 25] = [
    "title",
    "about",
    "caution",
    "conditions",
    "people",
    "close_out",
    "do",
    "why",
    "right",
    "wrong",
    "callouts",
    "label",
    "help",
    "because",
    "unjudged",
    "no_concession",
    "says",
    "fits",
    "ask",
    "what",
    "happens",
    "avoid",
    "name",
    "choice",
    "refuse",
];
/// Keys under which every text is seen, whatever its key there.
const ALL_SEEN: [&str; 2] = ["choice", "refuse"];
/// Keys under which nothing is seen: operands and conditions, whose own keys are free names.
const UNSEEN: [&str; 2] = ["with", "when"];

/// Every text of a file that people see, in its order, spaces folded as the reader folds them.
pub(super) fn texts(root: &mut Node) -> Vec<(Spot, String)> {
    let mut found = Vec::new();
    visit(root, &mut |spot, text| {
        found.push((spot, folded(text)));
        None
    });
    found
}

/// Puts a file's texts into another language; what has no translation stays as it is.
fn translate(root: &mut Node, catalogue: &Catalogue) {
    visit(root, &mut |_, text| {
        says(catalogue, &folded(text)).map(str::to_owned)
    });
}

/// The translation of a text. One that shows other values than its text counts as none, since nobody saw what it
/// would show here.
fn says<'c>(catalogue: &'c Catalogue, text: &str) -> Option<&'c str> {
    let says = catalogue.get(text)?;
    same_values(text, says).then_some(says)
}

/// Whether a translation shows the values of its text, and no brace besides.
pub(super) fn same_values(text: &str, says: &str) -> bool {
    let there = places(says);
    places(text) == there && says.matches(['{', '}']).count() == 2 * there.len()
}

fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What is done with a text: seen, and replaced where something is given.
type Take<'a> = dyn FnMut(Spot, &str) -> Option<String> + 'a;

fn visit(node: &mut Node, take: &mut Take) {
    match &mut node.kind {
        Kind::Scalar { .. } => {}
        Kind::List(items) => items.iter_mut().for_each(|item| visit(item, take)),
        Kind::Map(entries) => {
            // Of an offered answer it is no text whether it is right.
            let answer = entries.iter().any(|(key, _)| key.text == "says");
            for (key, value) in entries {
                match key.text.as_str() {
                    "right" if answer => {}
                    key if UNSEEN.contains(&key) => {}
                    "terms" => terms(value, take),
                    key if SEEN.contains(&key) => seen(value, ALL_SEEN.contains(&key), take),
                    _ => visit(value, take),
                }
            }
        }
    }
}

/// What stands at a key that people see: a text, a list of texts, or deeper structure.
fn seen(node: &mut Node, all: bool, take: &mut Take) {
    match &mut node.kind {
        Kind::Scalar { text, plain } => {
            if let Some(says) = take(node.spot, text) {
                // Without quotes some words mean nothing at all in YAML, such as the German for zero.
                (*text, *plain) = (says, false);
            }
        }
        Kind::List(items) => items.iter_mut().for_each(|item| seen(item, all, take)),
        Kind::Map(entries) if all => {
            let values = entries.iter_mut().map(|(_, value)| value);
            values.for_each(|value| seen(value, all, take));
        }
        Kind::Map(_) => visit(node, take),
    }
}

/// The glossary, in which the keys are words as well.
fn terms(node: &mut Node, take: &mut Take) {
    let Kind::Map(entries) = &mut node.kind else {
        return;
    };
    for (key, value) in entries {
        if let Some(says) = take(key.spot, &key.text) {
            key.text = says;
        }
        seen(value, false, take);
    }
}

/// The languages of some content besides English. Cheap to clone; a language is read when it is first asked for.
#[derive(Clone, Debug, Default)]
pub struct Languages {
    spoken: BTreeMap<Language, Arc<Spoken>>,
}

#[derive(Debug)]
struct Spoken {
    language: Language,
    /// The files in which people see something.
    sources: Arc<BTreeMap<String, Vec<u8>>>,
    /// By the path of the file whose words they hold, as they were written.
    written: BTreeMap<String, Vec<u8>>,
    /// Those that can be read. What is said in another one is said in English.
    catalogues: OnceLock<BTreeMap<String, Catalogue>>,
    read: OnceLock<Option<(Vec<Job>, Shared)>>,
}

/// How far the texts of content are translated.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Coverage {
    /// How many texts people see, each counted once in its file.
    pub texts: usize,
    /// Those without a translation.
    pub missing: Vec<String>,
}

impl Languages {
    pub(super) fn new(files: &BTreeMap<String, Vec<u8>>) -> Self {
        let mut by_language: BTreeMap<Language, BTreeMap<String, Vec<u8>>> = BTreeMap::new();
        for (path, bytes) in files {
            if let Some((language, of)) = load::catalogue_of(path) {
                let written = by_language.entry(language).or_default();
                written.insert(of, bytes.clone());
            }
        }
        if by_language.is_empty() {
            return Self::default();
        }
        let sources = files.iter().filter(|(path, _)| load::is_seen(path));
        let sources: BTreeMap<_, _> = sources
            .map(|(path, bytes)| (path.clone(), bytes.clone()))
            .collect();
        let sources = Arc::new(sources);
        let spoken = |(language, written): (Language, _)| {
            let spoken = Spoken {
                language: Language::clone(&language),
                sources: Arc::clone(&sources),
                written,
                catalogues: OnceLock::new(),
                read: OnceLock::new(),
            };
            (language, Arc::new(spoken))
        };
        Self {
            spoken: by_language.into_iter().map(spoken).collect(),
        }
    }

    /// The languages, without English.
    pub fn known(&self) -> impl Iterator<Item = &Language> {
        self.spoken.keys()
    }

    /// A job with the shared content in a language; nothing where there is none, or where a translation leaves
    /// something that cannot be read. What has no translation that counts is said in English.
    #[must_use]
    pub fn job(&self, language: &Language, id: &JobId) -> Option<(Job, Shared)> {
        let (jobs, shared) = self.spoken.get(language)?.read()?;
        let job = jobs.iter().find(|job| job.id == *id)?;
        Some((job.clone(), shared.clone()))
    }

    /// How far each file is translated, by its path; every file in which people see something is named.
    #[must_use]
    pub fn coverage(&self, language: &Language) -> BTreeMap<String, Coverage> {
        let Some(spoken) = self.spoken.get(language) else {
            return BTreeMap::new();
        };
        let files = spoken.sources.iter();
        files
            .map(|(path, bytes)| (path.clone(), spoken.covered(path, bytes)))
            .filter(|(_, coverage)| coverage.texts > 0)
            .collect()
    }
}

impl Spoken {
    fn catalogues(&self) -> &BTreeMap<String, Catalogue> {
        let readable = |(of, bytes): (&String, &Vec<u8>)| {
            let (_, catalogue) = load::catalogue(self.language.tag(), bytes).ok()?;
            Some((of.clone(), catalogue))
        };
        let read = || self.written.iter().filter_map(readable).collect();
        self.catalogues.get_or_init(read)
    }

    fn read(&self) -> Option<&(Vec<Job>, Shared)> {
        let read = || {
            let catalogues = self.catalogues();
            let with_words = |path: &str, root: &mut Node| {
                if let Some(catalogue) = catalogues.get(path) {
                    translate(root, catalogue);
                }
            };
            load::spoken(&self.sources, &with_words)
        };
        self.read.get_or_init(read).as_ref()
    }

    fn covered(&self, path: &str, bytes: &[u8]) -> Coverage {
        let catalogue = self.catalogues().get(path);
        let has = |text: &str| catalogue.is_some_and(|catalogue| says(catalogue, text).is_some());
        let mut missing = seen_in(path, bytes);
        let texts = missing.len();
        missing.retain(|text| !has(text));
        Coverage { texts, missing }
    }
}

/// The texts of a content file that people see, each once, in its order; none for a file that cannot be read or
/// in which nothing is to be seen.
#[must_use]
pub fn seen_in(path: &str, bytes: &[u8]) -> Vec<String> {
    let root = load::is_seen(path)
        .then(|| content::parse(path, bytes).root)
        .flatten();
    let mut known = BTreeSet::new();
    let found = root
        .map(|mut root| texts(&mut root))
        .unwrap_or_default()
        .into_iter();
    found
        .map(|(_, text)| text)
        .filter(|text| known.insert(text.clone()))
        .collect()
}

/// Where the catalogue of a content file stands: `lang/de/jobs/a.po` for `jobs/a.yaml`.
#[must_use]
pub fn catalogue_path(language: &Language, of: &str) -> String {
    format!("lang/{language}/{}.po", of.strip_suffix(".yaml").unwrap_or(of))
}
