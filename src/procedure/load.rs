//! A content folder to a checked library.

use super::draft::{CatalogueDraft, Draft, Marked};
use super::language::{self, Languages};
use super::model::{Job, Library, Shared};
use super::read;
use crate::content::{self, Node, Spot};
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::words::{Catalogue, Fault, Language};
use std::collections::BTreeMap;

/// Checks a content folder: the files by their paths inside it, with `/` between folders.
///
/// Every fault is reported at once, in the order of its place. The library is there only when there is
/// none. Work grows with the size of the content and, for procedures that several jobs play, with each job.
/// Catalogues are not read: each language is, when it is first asked for.
#[must_use]
pub fn load(files: BTreeMap<String, Vec<u8>>) -> (Option<Library>, Report) {
    let (draft, mut report) = drafted(&files, false);
    report.finish(&files);
    let library = report.is_clean().then(|| draft.library(files));
    (library, report)
}

/// As [`load`], reads every catalogue, and holds the content against the rules of good writing besides
/// ([`super::WRITING_RULES`]).
///
/// The library is there whenever the content can be played. Content that breaks rules of writing alone is played
/// all the same: what an older program took must stay readable, above all beside records that pin it.
#[must_use]
pub fn check(files: BTreeMap<String, Vec<u8>>) -> (Option<Library>, Report) {
    let (mut draft, mut report) = drafted(&files, true);
    let plays = report.is_clean();
    draft.read_catalogues(&files, &mut report);
    super::check::writing(&draft, &files, &mut report);
    report.finish(&files);
    let library = plays.then(|| draft.library(files));
    (library, report)
}

/// Reads every file and holds it against the rules that content must keep to be played; keeps what people see of
/// each, if wanted.
fn drafted(files: &BTreeMap<String, Vec<u8>>, keep_seen: bool) -> (Draft, Report) {
    let mut report = Report::default();
    // Where nothing is translated, nobody asks what could be.
    let translated = || files.keys().any(|path| path.starts_with(LANGUAGES));
    let mut draft = Draft {
        seen: (keep_seen && translated()).then(BTreeMap::new),
        ..Draft::default()
    };
    for (path, bytes) in files {
        draft.file(path, bytes, &|_, _| {}, &mut report);
    }
    super::check::all(&draft, files, &mut report);
    if draft.jobs.is_empty() && !draft.unreadable_job {
        let place = Spot::default().within("jobs");
        report.push(Diagnostic::new(
            place,
            "no-job",
            "no job",
            "at least one file under `jobs/`",
        ));
    }
    (draft, report)
}

/// The jobs and the shared content of files whose words are put into another language as they are read; none
/// where a translation leaves something that cannot be read.
pub(super) fn spoken(files: &BTreeMap<String, Vec<u8>>, words: &Words) -> Option<(Vec<Job>, Shared)> {
    let (mut draft, mut report) = (Draft::default(), Report::default());
    for (path, bytes) in files {
        draft.file(path, bytes, words, &mut report);
    }
    let library = report.is_clean().then(|| draft.library(BTreeMap::new()))?;
    Some((library.jobs, library.shared))
}

/// Puts the words of the file at a path into another language.
type Words<'a> = dyn Fn(&str, &mut Node) + 'a;

/// Where the catalogues stand.
const LANGUAGES: &str = "lang/";

/// Whether people see something of a file.
pub(super) fn is_seen(path: &str) -> bool {
    matches!(
        kind_of(path),
        FileKind::Job(_)
            | FileKind::Procedure(_)
            | FileKind::Shared(_)
            | FileKind::Circuit(_)
            | FileKind::Layout(_)
    )
}

/// Of a catalogue: the language of its folder, and the path of the file whose words it holds.
pub(super) fn catalogue_of(path: &str) -> Option<(Language, String)> {
    let FileKind::Catalogue(tag, of) = kind_of(path) else {
        return None;
    };
    Some((Language::parse(tag).ok()?, format!("{of}.yaml")))
}

/// The catalogue in the language of a folder.
pub(super) fn catalogue(tag: &str, bytes: &[u8]) -> Result<(Language, Catalogue), Vec<Fault>> {
    let language = Language::parse(tag).map_err(|error| {
        let expected = "a tag of two or three lower-case letters, if wanted with subtags after hyphens";
        vec![Fault::new(0, format!("the language `{}`", error.found), expected)]
    })?;
    let catalogue = Catalogue::parse(bytes)?;
    if catalogue.language().as_ref() == Some(&language) {
        return Ok((language, catalogue));
    }
    let found = format!("`Language: {}`", catalogue.header("Language").unwrap_or_default());
    Err(vec![Fault::new(
        1,
        found,
        format!("`Language: {language}`, as the folder says"),
    )])
}

/// What a file is, by its path.
enum FileKind<'a> {
    Job(&'a str),
    Procedure(&'a str),
    Table(&'a str),
    Shared(&'static str),
    Circuit(&'a str),
    Layout(&'a str),
    /// The words of a file, in the language of this tag, by the file's path without its ending.
    Catalogue(&'a str, &'a str),
    /// Not read: pictures, and notes for authors.
    Other,
    Unknown,
}

const SHARED: [&str; 4] = ["hazards.yaml", "tools.yaml", "instruments.yaml", "glossary.yaml"];

fn kind_of(path: &str) -> FileKind<'_> {
    if let Some(shared) = SHARED.iter().find(|shared| **shared == path) {
        return FileKind::Shared(shared);
    }
    if let Some((tag, of)) = path.strip_prefix(LANGUAGES).and_then(|rest| rest.split_once('/')) {
        return match of.strip_suffix(".po") {
            Some(of) => FileKind::Catalogue(tag, of),
            None => FileKind::Unknown,
        };
    }
    let (folder, name) = path.split_once('/').unwrap_or(("", path));
    let slug = name.strip_suffix(".yaml").filter(|slug| !slug.contains('/'));
    match (folder, slug) {
        ("media", _) => FileKind::Other,
        ("", _) if path == "README.md" => FileKind::Other,
        ("jobs", Some(slug)) => FileKind::Job(slug),
        ("procedures", Some(slug)) => FileKind::Procedure(slug),
        ("tables", Some(slug)) => FileKind::Table(slug),
        ("circuits", Some(slug)) => FileKind::Circuit(slug),
        ("layouts", Some(slug)) => FileKind::Layout(slug),
        _ => FileKind::Unknown,
    }
}

impl Draft {
    fn file(&mut self, path: &str, bytes: &[u8], words: &Words, report: &mut Report) {
        let kind = kind_of(path);
        match kind {
            FileKind::Other | FileKind::Catalogue(..) => return,
            FileKind::Unknown => return report.push(unknown_file(path)),
            _ => {}
        }
        let parsed = content::parse(path, bytes);
        let unsaid = !parsed.faults.is_clean();
        report.append(parsed.faults);
        let mut root = match parsed.root {
            Some(root) if !root.is_nothing() => root,
            _ => {
                if !unsaid {
                    let place = Spot::default().within(path);
                    report.push(Diagnostic::new(
                        place,
                        "missing-key",
                        "an empty file",
                        "something in it",
                    ));
                }
                return self.unreadable(&kind);
            }
        };
        if let Some(seen) = self.seen.as_mut().filter(|_| is_seen(path)) {
            seen.insert(path.to_owned(), language::texts(&mut root));
        }
        words(path, &mut root);
        self.root(path, &kind, &root, report);
    }

    /// Reads every catalogue, for the rules that hold them against the texts of their files.
    fn read_catalogues(&mut self, files: &BTreeMap<String, Vec<u8>>, report: &mut Report) {
        for (path, bytes) in files {
            let FileKind::Catalogue(tag, of) = kind_of(path) else {
                continue;
            };
            match catalogue(tag, bytes) {
                Ok((language, catalogue)) => self.catalogues.push(CatalogueDraft {
                    path: path.clone(),
                    of: format!("{of}.yaml"),
                    language,
                    catalogue,
                }),
                Err(faults) => faults.into_iter().for_each(|fault| {
                    let spot = Spot {
                        line: fault.line,
                        column: u32::from(fault.line > 0),
                    };
                    let place = spot.within(path);
                    report.push(Diagnostic::new(
                        place,
                        "catalogue-syntax",
                        fault.found,
                        fault.expected,
                    ));
                }),
            }
        }
    }

    fn root(&mut self, path: &str, kind: &FileKind, root: &Node, report: &mut Report) {
        match kind {
            FileKind::Job(slug) => match read::job(path, slug, root, report) {
                Some(job) => self.jobs.push(job),
                None => self.unreadable(kind),
            },
            FileKind::Procedure(slug) => match read::procedure(path, slug, root, report) {
                Some(procedure) => {
                    self.procedures.insert((*slug).to_owned(), procedure);
                }
                None => self.unreadable(kind),
            },
            FileKind::Table(slug) => {
                let marks = read::table(path, slug, root, &mut self.tables, report);
                self.shared_marks.extend(with_path(path, marks));
            }
            FileKind::Shared(name) => {
                let read = match *name {
                    "hazards.yaml" => read::hazards,
                    "tools.yaml" => read::tools,
                    "instruments.yaml" => read::instruments,
                    _ => read::glossary,
                };
                let left = read(path, root, &mut self.shared, report);
                self.unread_ids
                    .extend(left.unread.into_iter().map(|id| (*name, id)));
                self.shared_marks.extend(with_path(path, left.marks));
            }
            FileKind::Circuit(slug) => match read::circuit(path, slug, root, report) {
                Some(circuit) => {
                    self.circuits.insert((*slug).to_owned(), circuit);
                }
                None => self.unreadable(kind),
            },
            FileKind::Layout(slug) => match read::layout(path, slug, root, report) {
                Some(layout) => {
                    self.layouts.insert((*slug).to_owned(), layout);
                }
                None => self.unreadable(kind),
            },
            FileKind::Catalogue(..) | FileKind::Other | FileKind::Unknown => {}
        }
    }

    fn unreadable(&mut self, kind: &FileKind) {
        match kind {
            FileKind::Job(_) => self.unreadable_job = true,
            FileKind::Procedure(slug) => {
                self.unreadable.insert((*slug).to_owned());
            }
            FileKind::Shared(name) => {
                self.unread_shared.insert(name);
            }
            FileKind::Circuit(slug) => {
                self.unreadable_circuits.insert((*slug).to_owned());
            }
            FileKind::Layout(slug) => {
                self.unreadable_layouts.insert((*slug).to_owned());
            }
            _ => {}
        }
    }

    /// The library, once nothing is wrong with the draft.
    fn library(self, files: BTreeMap<String, Vec<u8>>) -> Library {
        let Draft {
            jobs,
            procedures,
            shared,
            tables,
            circuits,
            layouts,
            ..
        } = self;
        let with_procedures = |job: super::draft::JobDraft| {
            let played = job.order.into_iter().filter_map(|(id, when)| {
                procedures
                    .get(id.as_str())
                    .map(|procedure| (procedure.model.clone(), when))
            });
            Job {
                procedures: played.collect(),
                ..job.model
            }
        };
        let jobs = jobs.into_iter().map(with_procedures).collect();
        let circuits = circuits.into_iter().map(|(slug, draft)| (slug, draft.model));
        let shared = Shared {
            circuits: circuits.collect(),
            layouts: layouts
                .into_iter()
                .map(|(slug, draft)| (slug, draft.model))
                .collect(),
            languages: Languages::new(&files),
            ..shared
        };
        Library {
            jobs,
            shared,
            tables,
            files,
        }
    }
}

fn with_path(path: &str, marks: Vec<Marked>) -> impl Iterator<Item = (String, Marked)> {
    marks.into_iter().map(move |mark| (path.to_owned(), mark))
}

fn unknown_file(path: &str) -> Diagnostic {
    let places = [
        "jobs/<slug>.yaml",
        "procedures/<slug>.yaml",
        "tables/<slug>.yaml",
        "circuits/<slug>.yaml",
        "layouts/<slug>.yaml",
        "media/…",
        "lang/<language>/….po",
    ];
    let fault = Diagnostic::new(
        Spot::default().within(path),
        "unknown-file",
        "this file",
        "a file of the content",
    );
    let folders = ["jobs", "procedures", "tables", "circuits", "layouts", "media"];
    let (folder, name) = path.split_once('/').unwrap_or(("", path));
    let near = match folder {
        "" => nearest(name, SHARED).map(str::to_owned),
        _ => nearest(folder, folders).map(|near| format!("{near}/{name}")),
    };
    let fault = match near.filter(|near| near != path) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault,
    };
    fault.choose("", places.into_iter().chain(SHARED))
}
