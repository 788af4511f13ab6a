//! A bundle's jobs, kept in this shop's archive.

use super::export::faults;
use super::relation::{Relation, of_jobs, of_lines};
use super::{ARCHIVE, BundleError};
use crate::audit::{Manifest, ShopReport, verify_bundle, verify_jobs};
use crate::disk::{Copying, Folder, Part};
use crate::seal::{Lines, digest};
use crate::session::verify::certificate;
use crate::session::{Session, SessionError};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// How a bundle is taken in.
#[derive(Clone, Debug, Default)]
pub struct ImportPlan {
    /// The fingerprint of the bundle's root key, known by another way.
    pub root: Option<String>,
}

/// What became of a job of the bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrival {
    /// It stands in the archive now.
    New,
    /// It stood there already, the same in every line.
    Here,
    /// What stood there already begins with all of it, and goes on.
    HereLonger,
    /// It stands among this shop's own jobs, as far as the bundle has it.
    Own,
    /// It took the place of its own beginning, which was moved to `older/` in the archive.
    TookLonger,
}

impl Arrival {
    /// The word in reports.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Here => "here",
            Self::HereLonger => "here-longer",
            Self::Own => "own",
            Self::TookLonger => "took-longer",
        }
    }
}

/// What importing came to.
#[derive(Clone, Debug)]
pub struct Imported {
    /// Where the bundle's jobs stand now.
    pub archive: PathBuf,
    /// The shop that they come from.
    pub shop: String,
    /// The fingerprint of its root key.
    pub root: String,
    /// Whether that fingerprint was held against one that is trusted.
    pub anchored: bool,
    /// Each job of the bundle.
    pub jobs: Vec<(String, Arrival)>,
    /// Jobs that the bundle's ledger names and the bundle does not hold.
    pub absent: Vec<String>,
    /// Files of the bundle that are not for an archive: keys and registers.
    pub not_taken: Vec<String>,
}

/// A verified bundle, and where its jobs belong.
struct Arriving {
    folder: Folder,
    manifest: Manifest,
    report: ShopReport,
    /// The archive's folder below `archive`.
    id: String,
    /// Whether this shop's own ledger is the one that the bundle's ledger is a copy of.
    own: bool,
}

impl Session {
    /// Takes a bundle's jobs into this shop's archive. The bundle is verified before anything is written, and
    /// each job once more as it was read back, before it gets its place. Taking it in twice changes nothing.
    ///
    /// # Errors
    /// The bundle is not whole; a job, roster or ledger of the same name and other bytes is here; or a disk
    /// fails, and then the same can be tried again.
    pub fn import(&mut self, bundle: &Path, plan: &ImportPlan) -> Result<Imported, SessionError> {
        let arriving = self.arriving(bundle, plan)?;
        let shop_lines = self.shop_lines(&arriving)?;
        let jobs = self.arrivals(&arriving)?;
        let longer = |(_, arrival): &&(String, Arrival)| *arrival == Arrival::TookLonger;
        // A record that the ledger knows to be longer would not be whole: it goes aside before the ledger comes.
        for (number, _) in jobs.iter().filter(longer) {
            move_aside(
                &self.folder().need(&format!("{ARCHIVE}/{}", arriving.id))?,
                number,
            )?;
        }
        let archive = self.archive(&arriving, &shop_lines)?;
        for (number, arrival) in &jobs {
            if matches!(arrival, Arrival::New | Arrival::TookLonger) {
                place(&arriving, number, &archive, plan)?;
            }
        }
        archive.clear_copies("jobs", &BTreeSet::new())?;
        Ok(arriving.imported(archive.path().to_owned(), jobs))
    }

    fn arriving(&self, bundle: &Path, plan: &ImportPlan) -> Result<Arriving, SessionError> {
        let folder = Folder::open(bundle)?;
        let root = plan.root.as_deref();
        let (manifest, report) = verify_bundle(&folder, root, Some(&certificate), &mut |_, _| {});
        let not_whole = || BundleError::NotWhole(faults(&report));
        let manifest = manifest.filter(|_| report.whole()).ok_or_else(not_whole)?;
        let root = report.root.clone().ok_or_else(not_whole)?;
        let (theirs, ours) = (first_hash(&folder)?, first_hash(self.folder())?);
        let own = *root == *self.root_fingerprint() && theirs == ours && theirs.is_some();
        let id = archive_id(&root, theirs.as_deref());
        Ok(Arriving {
            folder,
            manifest,
            report,
            id,
            own,
        })
    }

    /// The bundle's files of lines about the whole shop, and how they stand to the archive's.
    fn shop_lines(&self, arriving: &Arriving) -> Result<Vec<(String, Relation)>, SessionError> {
        let shop = self.folder();
        let mut found = Vec::new();
        let mut differs = Vec::new();
        let lines = |(path, _): (&str, _)| path.to_owned();
        let files = arriving.manifest.files().map(lines).filter(|path| is_lines(path));
        for file in files {
            let here = format!("{ARCHIVE}/{}/{file}", arriving.id);
            let relation = of_lines(&arriving.folder, shop, &file, &here)?;
            let with_own = if arriving.own {
                of_lines(&arriving.folder, shop, &file, &file)?
            } else {
                Relation::Same
            };
            if relation == Relation::Different || with_own == Relation::Different {
                differs.push(file.clone());
            }
            found.push((file, relation));
        }
        if differs.is_empty() {
            // The roster comes first: everything else is verified with it.
            found.sort_by_key(|(file, _)| (file != "roster.jsonl", file.clone()));
            Ok(found)
        } else {
            Err(BundleError::Differs {
                what: differs.join(", "),
            }
            .into())
        }
    }

    fn arrivals(&self, arriving: &Arriving) -> Result<Vec<(String, Arrival)>, SessionError> {
        let (mut jobs, mut differs) = (Vec::new(), Vec::new());
        for number in arriving.manifest.jobs() {
            match self.arrival(arriving, &number)? {
                Some(arrival) => jobs.push((number, arrival)),
                None => differs.push(format!("job {number}")),
            }
        }
        if differs.is_empty() {
            Ok(jobs)
        } else {
            Err(BundleError::Differs {
                what: differs.join(", "),
            }
            .into())
        }
    }

    /// What is to become of a job; none where another job of its number is here.
    fn arrival(&self, arriving: &Arriving, number: &str) -> Result<Option<Arrival>, SessionError> {
        let relation = |place: &str| -> Result<Option<Relation>, SessionError> {
            let shop = self.folder();
            if shop.reader(&format!("{place}/record.jsonl"))?.is_none() {
                return Ok(None);
            }
            Ok(Some(of_jobs(
                &arriving.folder,
                &arriving.manifest,
                number,
                shop,
                place,
            )?))
        };
        if arriving.own {
            match relation(&format!("jobs/{number}"))? {
                Some(Relation::Same | Relation::Older) => return Ok(Some(Arrival::Own)),
                Some(Relation::Different) => return Ok(None),
                // This shop's own jobs are never changed: what is longer is kept in the archive.
                Some(Relation::Longer) | None => {}
            }
        }
        Ok(
            match relation(&format!("{ARCHIVE}/{}/jobs/{number}", arriving.id))? {
                None => Some(Arrival::New),
                Some(Relation::Same) => Some(Arrival::Here),
                Some(Relation::Older) => Some(Arrival::HereLonger),
                Some(Relation::Longer) => Some(Arrival::TookLonger),
                Some(Relation::Different) => None,
            },
        )
    }

    /// The archive of the bundle's shop, with roster and ledger as long as either of the two has them.
    fn archive(&self, arriving: &Arriving, lines: &[(String, Relation)]) -> Result<Folder, SessionError> {
        let all = self.folder().need(ARCHIVE)?;
        all.clear_copies("", &BTreeSet::from([arriving.id.clone()]))?;
        if all.reader(&format!("{}/roster.jsonl", arriving.id))?.is_none() {
            let parts = lines
                .iter()
                .filter_map(|(file, _)| part(&arriving.manifest, file, file));
            let copying = Copying {
                source: &arriving.folder,
                parts: parts.collect(),
                written: Vec::new(),
            };
            copying.place(&all, &arriving.id, |_| Ok::<(), SessionError>(()))??;
        }
        let archive = all.need(&arriving.id)?;
        archive.clear_copies("", &BTreeSet::new())?;
        for (file, relation) in lines {
            let here = archive.digest(file)?;
            match arriving.manifest.get(file) {
                Some(sha256) if *relation == Relation::Longer && here != Some(sha256) => {
                    archive.take(&arriving.folder, file, sha256)?;
                }
                _ => {}
            }
        }
        let jobs = archive.need("jobs")?;
        jobs.clear_copies("", &arriving.manifest.jobs())?;
        Ok(archive)
    }
}

impl Arriving {
    fn imported(self, archive: PathBuf, jobs: Vec<(String, Arrival)>) -> Imported {
        let files = self.manifest.files().map(|(path, _)| path);
        let not_taken = files.filter(|path| !path.starts_with("jobs/") && !is_lines(path));
        Imported {
            archive,
            shop: self.report.shop.as_deref().unwrap_or_default().to_owned(),
            root: self.report.root.as_deref().unwrap_or_default().to_owned(),
            anchored: self.report.anchored,
            jobs,
            not_taken: not_taken.map(str::to_owned).collect(),
            absent: self.report.absent,
        }
    }
}

/// Copies a job into its place; it is verified there against the archive's own roster and ledger.
fn place(arriving: &Arriving, number: &str, archive: &Folder, plan: &ImportPlan) -> Result<(), SessionError> {
    let from = format!("jobs/{number}");
    let parts = arriving
        .manifest
        .below(&from)
        .filter_map(|(file, _)| part(&arriving.manifest, &format!("{from}/{file}"), file));
    let copying = Copying {
        source: &arriving.folder,
        parts: parts.collect(),
        written: Vec::new(),
    };
    let root = plan.root.as_deref();
    let check = |built: &Folder| {
        let as_shop = Placed {
            archive,
            number,
            built,
        };
        let report = verify_jobs(&as_shop, root, Some(&certificate), None, &mut |_, _| {});
        if report.whole() {
            Ok(())
        } else {
            Err(SessionError::from(BundleError::NotWhole(faults(&report))))
        }
    };
    copying.place(&archive.need("jobs")?, number, check)?
}

/// The archive as it will be when a job that was built beside its place has it.
struct Placed<'a> {
    archive: &'a Folder,
    number: &'a str,
    built: &'a Folder,
}

impl crate::audit::Files for Placed<'_> {
    fn reader(&self, name: &str) -> std::io::Result<Option<Box<dyn std::io::BufRead + '_>>> {
        match name.strip_prefix(&format!("jobs/{}/", self.number)) {
            Some(inside) => crate::audit::Files::reader(self.built, inside),
            None => crate::audit::Files::reader(self.archive, name),
        }
    }

    fn names(&self, folder: &str, most: usize) -> std::io::Result<Vec<String>> {
        if folder == "jobs" {
            return Ok(vec![self.number.to_owned()]);
        }
        match folder.strip_prefix(&format!("jobs/{}/", self.number)) {
            Some(inside) => crate::audit::Files::names(self.built, inside, most),
            None => crate::audit::Files::names(self.archive, folder, most),
        }
    }
}

/// Moves a job's beginning beside the archive's jobs, under a name that its record gives.
fn move_aside(archive: &Folder, number: &str) -> Result<(), SessionError> {
    let record = archive.digest(&format!("jobs/{number}/record.jsonl"))?;
    let record = record.map(|digest| digest.to_string()).unwrap_or_default();
    archive.need("older")?;
    archive.set_aside(
        &format!("jobs/{number}"),
        &format!("older/{number}-{}", beginning(&record, 12)),
    )?;
    Ok(())
}

fn part(manifest: &Manifest, from: &str, to: &str) -> Option<Part> {
    Some(Part {
        from: from.to_owned(),
        to: to.to_owned(),
        sha256: manifest.get(from)?,
        private: to.ends_with(".json"),
    })
}

/// Signed lines about the whole shop.
fn is_lines(path: &str) -> bool {
    !path.contains('/') && path.ends_with(".jsonl")
}

/// The hash of the ledger's first line; none while there is none.
fn first_hash(shop: &Folder) -> Result<Option<String>, SessionError> {
    let Some(ledger) = shop.reader("ledger.jsonl")? else {
        return Ok(None);
    };
    let first = Lines::new(ledger).next().and_then(Result::ok);
    Ok(first.and_then(|line| Some(digest(line.whole().ok()?).to_string())))
}

/// The archive's name: the beginning of the root's fingerprint with the two signs of base64 that no file's
/// name should have replaced, and the beginning of the hash of the ledger's first line.
fn archive_id(root: &str, ledger: Option<&str>) -> String {
    let plain = root
        .trim_start_matches("SHA256:")
        .replace('/', "_")
        .replace('+', "-");
    format!(
        "{}.{}",
        beginning(&plain, 12),
        beginning(ledger.unwrap_or("none"), 8)
    )
}

fn beginning(text: &str, most: usize) -> String {
    text.chars().take(most).collect()
}
