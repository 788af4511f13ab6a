//! A bundle made of this shop's jobs.

use super::BundleError;
use crate::audit::manifest::{MOST_FILES, of_shop};
use crate::audit::{MANIFEST, Manifest, Report, ShopReport, verify_bundle, verify_jobs};
use crate::disk::{Copying, Folder, Part};
use crate::seal::{Digest, KeyError, SigningKey};
use crate::session::verify::certificate;
use crate::session::{Session, SessionError};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What of a job's folder holds the customer's data.
const PERSONAL: [&str; 2] = ["personal.json", "card-draft.json"];
/// The most bundles of one shop and day in one folder.
const MOST_OF_A_DAY: u32 = 99;

/// What is exported.
#[derive(Clone, Debug, Default)]
pub struct ExportPlan {
    /// The jobs; none for all.
    pub jobs: Vec<String>,
    /// The customers' data as well.
    pub personal: bool,
    /// People's private keys as well, each locked with its passphrase. The tablet's never leaves it.
    pub keys: bool,
    /// Jobs that are not whole are left out, rather than stopping the export.
    pub leave_out_broken: bool,
}

/// Jobs that are not whole, by number, with what is wrong with them.
pub type LeftOut = Vec<(String, Report)>;

/// A bundle that stands in its place, verified there.
#[derive(Clone, Debug)]
pub struct Exported {
    /// The bundle's folder.
    pub place: PathBuf,
    /// The same bundle was there already.
    pub was_there: bool,
    /// The numbers of the jobs in it.
    pub jobs: Vec<String>,
    /// How many files it has besides the manifest.
    pub files: usize,
    /// Jobs that are not in it.
    pub left_out: LeftOut,
    /// Files in jobs' folders whose names no program of ours gave; they are not in the bundle.
    pub passed_over: Vec<String>,
}

impl Session {
    /// Writes jobs of this shop into a bundle in the folder `to`, which must be there: a stick that is not in
    /// its place is then noticed.
    ///
    /// The jobs are verified before anything is written, and the bundle once more as it was read back, before
    /// it gets its place.
    ///
    /// # Errors
    /// A job or the shop is not whole, there is no such job, or a disk fails; then no bundle stands there.
    pub fn export(&self, plan: &ExportPlan, to: &Path) -> Result<Exported, SessionError> {
        let target = Folder::open(to)?;
        let (jobs, left_out) = self.whole_jobs(plan)?;
        let mut passed_over = Vec::new();
        let files = self.files_of(&jobs, plan, &mut passed_over)?;
        let manifest = Manifest::new(files.iter().cloned()).map_err(BundleError::from)?;
        let (name, was_there) = self.bundle_name(&target, &manifest)?;
        let check = |built: &Folder| expect_whole(built, &manifest);
        if was_there {
            check(&Folder::open(&to.join(&name))?)?;
        } else {
            self.copying(&manifest).place(&target, &name, check)??;
        }
        Ok(Exported {
            place: to.join(name),
            was_there,
            jobs,
            files: files.len(),
            left_out,
            passed_over,
        })
    }

    fn whole_jobs(&self, plan: &ExportPlan) -> Result<(Vec<String>, LeftOut), SessionError> {
        let wanted: BTreeSet<String> = plan.jobs.iter().cloned().collect();
        let wanted = Some(&wanted).filter(|wanted| !wanted.is_empty());
        let mut report = verify_jobs(self.folder(), None, Some(&certificate), wanted, &mut |_, _| {});
        if let Some(missing) = wanted.and_then(|wanted| missing(wanted, &report)) {
            return Err(BundleError::NoJob(missing).into());
        }
        let broken = |report: &Report| !report.whole();
        let left_out: LeftOut = report
            .jobs
            .extract_if(.., |(_, job)| plan.leave_out_broken && broken(job))
            .collect();
        if !report.whole() {
            return Err(BundleError::JobsNotWhole(faults(&report)).into());
        }
        if report.jobs.is_empty() {
            return Err(BundleError::Empty.into());
        }
        Ok((
            report.jobs.into_iter().map(|(number, _)| number).collect(),
            left_out,
        ))
    }

    /// Every file of the bundle, by its path, with its hash.
    fn files_of(
        &self,
        jobs: &[String],
        plan: &ExportPlan,
        odd: &mut Vec<String>,
    ) -> Result<Vec<(String, Digest)>, SessionError> {
        let shop = self.folder();
        let mut paths: Vec<String> = shop.names("", MOST_FILES)?;
        paths.retain(|name| of_shop(name));
        for folder in ["approved", "certificates"] {
            let files = shop.walk(folder, MOST_FILES, &mut |name| odd.push(name))?;
            paths.extend(files.into_iter().map(|file| format!("{folder}/{file}")));
        }
        for number in jobs {
            let inside = format!("jobs/{number}");
            let files = shop.walk(&inside, MOST_FILES, &mut |name| odd.push(name))?;
            let wanted = files
                .into_iter()
                .filter(|file| plan.personal || !PERSONAL.contains(&file.as_str()));
            paths.extend(wanted.map(|file| format!("{inside}/{file}")));
        }
        if plan.keys {
            paths.extend(self.locked_keys()?);
        }
        let mut files = Vec::new();
        for path in paths {
            // A file that went away meanwhile is noticed by whoever copies it.
            let digest = shop.digest(&path)?.unwrap_or(Digest::ZERO);
            files.push((path, digest));
        }
        Ok(files)
    }

    /// The key files of people that are on this tablet. One that is not locked stops the export.
    fn locked_keys(&self) -> Result<Vec<String>, SessionError> {
        let mut paths = Vec::new();
        for person in self.roster.people() {
            let Some(text) = self.shop.key(person.id())? else {
                continue;
            };
            match SigningKey::from_openssh(&text, None) {
                Err(KeyError::PassphraseNeeded) => paths.push(format!("keys/{}", person.id())),
                Ok(_) => return Err(BundleError::OpenKey(person.id().to_string()).into()),
                Err(error) => return Err(error.into()),
            }
        }
        Ok(paths)
    }

    fn copying(&self, manifest: &Manifest) -> Copying<'_> {
        let part = |(path, sha256): (&str, Digest)| Part {
            from: path.to_owned(),
            to: path.to_owned(),
            sha256,
            private: path.starts_with("keys/") || is_personal(path),
        };
        Copying {
            source: self.folder(),
            parts: manifest.files().map(part).collect(),
            written: vec![(MANIFEST.to_owned(), manifest.to_text().into_bytes())],
        }
    }

    /// The first name of this shop and day that is free, or under which the same bundle stands.
    fn bundle_name(&self, target: &Folder, manifest: &Manifest) -> Result<(String, bool), SessionError> {
        let first = format!(
            "witnessmark-{}-{}",
            slug(self.shop_name()),
            self.now().format("%Y-%m-%d")
        );
        for ordinal in 1..MOST_OF_A_DAY {
            let name = if ordinal == 1 {
                first.clone()
            } else {
                format!("{first}-{ordinal}")
            };
            if target.names("", usize::MAX)?.contains(&name) {
                let text = manifest.to_text().into_bytes();
                let there = target.bytes(&format!("{name}/{MANIFEST}"), text.len() as u64);
                if there.is_ok_and(|there| there == Some(text)) {
                    return Ok((name, true));
                }
            } else {
                return Ok((name, false));
            }
        }
        // The last name is taken, which the disk tells.
        Ok((first, false))
    }
}

/// Whether a path is that of a customer's data.
pub(super) fn is_personal(path: &str) -> bool {
    PERSONAL.iter().any(|file| path.ends_with(file))
}

/// The bundle is whole as it stands on the other disk, and is the one that was to be made.
fn expect_whole(built: &Folder, manifest: &Manifest) -> Result<(), SessionError> {
    let (found, report) = verify_bundle(built, None, Some(&certificate), &mut |_, _| {});
    if report.whole() && found.as_ref() == Some(manifest) {
        Ok(())
    } else {
        Err(BundleError::NotWhole(faults(&report)).into())
    }
}

fn missing(wanted: &BTreeSet<String>, report: &ShopReport) -> Option<String> {
    let found = |number: &String| report.jobs.iter().any(|(job, _)| job == number);
    wanted.iter().find(|number| !found(number)).cloned()
}

/// The faults of a shop and its jobs, a line each.
pub(super) fn faults(report: &ShopReport) -> String {
    let of_jobs = report
        .jobs
        .iter()
        .flat_map(|(number, job)| job.faults().map(move |fault| format!("  jobs/{number}/{fault}")));
    let of_shop = report.findings.iter().filter(|finding| finding.rule.breaks());
    let lines: Vec<String> = of_shop.map(|fault| format!("  {fault}")).chain(of_jobs).collect();
    lines.join("\n")
}

/// The shop's name as a part of a file's name on any system.
fn slug(name: &str) -> String {
    let plain = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    let plain: String = name.chars().map(plain).collect();
    let words: Vec<&str> = plain.split('-').filter(|word| !word.is_empty()).collect();
    let slug: String = words.join("-").chars().take(48).collect();
    if slug.is_empty() { "shop".to_owned() } else { slug }
}
