//! A job's folder, a certificate or a whole shop, verified. None of it needs the shop's keys.

use super::bundle::ARCHIVE;
use super::error::SessionError;
use crate::audit::{
    Against, Files, MANIFEST, Report, ShopReport, verify_bundle, verify_job, verify_jobs, verify_shop,
};
#[cfg(feature = "certificate")]
use crate::audit::{Finding, Meaning, Rule};
use crate::disk::Folder;
use crate::people::Ledger;
#[cfg(feature = "certificate")]
use crate::people::Roster;
#[cfg(feature = "certificate")]
use crate::people::ledger::extract;
use std::path::Path;

/// The longest certificate that is read, in bytes.
#[cfg(feature = "certificate")]
const MOST_CERTIFICATE: u64 = 64 * 1024 * 1024;

/// The most shops that an archive holds.
const MOST_ARCHIVES: usize = 10_000;

/// What was verified, with what it came to.
#[derive(Debug)]
pub struct Checked {
    /// The folder or file.
    pub place: String,
    pub report: Report,
}

/// Verifies what stands at a path: a job's folder, a certificate, a bundle, or a shop's folder with all
/// its jobs and what it imported.
///
/// # Errors
/// There is nothing of these at the path, or it cannot be read.
pub fn verify(path: &Path, root: Option<&str>) -> Result<Vec<Checked>, SessionError> {
    if path.is_file() {
        return Ok(vec![certificate_file(path, root)?]);
    }
    let folder = Folder::open(path)?;
    if folder.reader(MANIFEST)?.is_some() {
        let (_, report) = verify_bundle(&folder, root, Some(&certificate), &mut |_, _| {});
        return Ok(checked(&folder, report));
    }
    if folder.reader("ledger.jsonl")?.is_some() {
        let report = verify_shop(&folder, root, Some(&certificate), &mut |_, _| {});
        let mut found = checked(&folder, report);
        found.extend(archive(&folder)?);
        return Ok(found);
    }
    let report = job(&folder, root, None);
    Ok(vec![Checked {
        place: path.display().to_string(),
        report,
    }])
}

/// Verifies a job's folder, wherever its files are.
#[must_use]
pub fn job(folder: &dyn Files, root: Option<&str>, ledger: Option<&Ledger>) -> Report {
    verify_job(
        folder,
        &Against {
            root,
            ledger,
            certificate: Some(&certificate),
            ..Against::default()
        },
    )
    .report
}

/// Imported jobs, each against its own shop's roster and ledger as far as they were imported. Another shop's
/// root is not the one that was given, so they are held against none.
fn archive(shop: &Folder) -> Result<Vec<Checked>, SessionError> {
    let mut found = Vec::new();
    for id in shop.names(ARCHIVE, MOST_ARCHIVES)? {
        if id.starts_with('.') {
            continue;
        }
        let folder = Folder::open(&shop.path().join(ARCHIVE).join(&id))?;
        let report = verify_jobs(&folder, None, Some(&certificate), None, &mut |_, _| {});
        found.extend(checked(&folder, report));
    }
    Ok(found)
}

/// Each job of a folder in a shop's form. What is wrong with the shop itself comes first.
fn checked(folder: &Folder, shop: ShopReport) -> Vec<Checked> {
    let place = |number: &str| folder.path().join("jobs").join(number).display().to_string();
    let jobs = shop.jobs.into_iter().map(|(number, report)| Checked {
        place: place(&number),
        report,
    });
    let itself = Report {
        shop: shop.shop,
        root: shop.root,
        anchored: shop.anchored,
        findings: shop.findings,
        ..Report::default()
    };
    let itself = Checked {
        place: folder.path().display().to_string(),
        report: itself,
    };
    Some(itself)
        .filter(|shop| !shop.report.findings.is_empty())
        .into_iter()
        .chain(jobs)
        .collect()
}

#[cfg(feature = "certificate")]
fn certificate_file(path: &Path, root: Option<&str>) -> Result<Checked, SessionError> {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let pdf = Folder::open(parent)?
        .bytes(&name, MOST_CERTIFICATE)?
        .unwrap_or_default();
    let attached =
        crate::report::attachments(&pdf).map_err(|error| SessionError::Certificate(error.to_string()))?;
    let mut files: std::collections::BTreeMap<String, Vec<u8>> = attached
        .into_iter()
        .map(|(name, bytes)| (stored(name), bytes))
        .collect();
    files.insert("certificate.pdf".to_owned(), pdf);
    let mut report = job(&files, root, None);
    report.findings.iter_mut().for_each(elsewhere);
    Ok(Checked {
        place: path.display().to_string(),
        report,
    })
}

/// A certificate carries no photographs, only their hashes: that they are not there is told and breaks nothing.
#[cfg(feature = "certificate")]
fn elsewhere(finding: &mut Finding) {
    if finding.rule == Rule::Meaning(Meaning::AttachmentMissing) {
        finding.rule = Rule::Meaning(Meaning::AttachmentElsewhere);
        "an entry names it, and a certificate carries no photographs".clone_into(&mut finding.what);
    }
}

#[cfg(not(feature = "certificate"))]
fn certificate_file(path: &Path, _: Option<&str>) -> Result<Checked, SessionError> {
    let why = "this program was built without certificates";
    Err(SessionError::Certificate(format!("{}: {why}", path.display())))
}

/// Where an attachment of a certificate stands in a job's folder.
#[cfg(feature = "certificate")]
fn stored(name: String) -> String {
    let stem = name.split('.').next().unwrap_or_default();
    let by_content = stem.len() == 64 && stem.bytes().all(|byte| byte.is_ascii_hexdigit());
    if by_content {
        format!("content/{name}")
    } else {
        name
    }
}

/// Whether a certificate is the one of these facts: what it carries is what stands in the folder, and the
/// same program makes the same bytes again.
#[cfg(feature = "certificate")]
pub(super) fn certificate(
    folder: &dyn Files,
    facts: &[std::sync::Arc<crate::player::Fact>],
    pdf: &[u8],
) -> Result<(), String> {
    for (name, attached) in crate::report::attachments(pdf).map_err(|error| error.to_string())? {
        let file = stored(name);
        let found =
            crate::audit::files::bytes(folder, &file, MOST_CERTIFICATE).map_err(|error| error.to_string())?;
        if found.as_deref() != Some(&attached) {
            return Err(format!("the attached {file} is not the one in the folder"));
        }
    }
    match facts.first().map(|fact| &fact.body) {
        Some(crate::player::Body::Opening(opening)) if opening.program == super::PROGRAM => {
            again(folder, opening, facts, pdf)
        }
        // Another version draws other pages; what it carries was compared all the same.
        _ => Ok(()),
    }
}

#[cfg(feature = "certificate")]
fn again(
    folder: &dyn Files,
    opening: &crate::player::fact::Opening,
    facts: &[std::sync::Arc<crate::player::Fact>],
    pdf: &[u8],
) -> Result<(), String> {
    use crate::player::{State, replay};
    let words = |error: &dyn std::fmt::Display| error.to_string();
    let bytes = |name: &str| {
        let read =
            crate::audit::files::bytes(folder, name, MOST_CERTIFICATE).map_err(|error| words(&error))?;
        read.ok_or_else(|| format!("{name} is not there"))
    };
    let play = crate::audit::pinned_play(folder, opening).ok_or("its content is not whole")?;
    let state =
        replay(&State::new(std::sync::Arc::new(play)), facts.iter().cloned()).map_err(|e| words(&e))?;
    let roster = Roster::replay(bytes("roster.jsonl")?.as_slice())
        .map_err(|_| "the roster does not hold".to_owned())?;
    let record = bytes("record.jsonl")?;
    let last = record
        .split(|byte| *byte == b'\n')
        .rfind(|line| !line.is_empty())
        .map(crate::seal::digest);
    let lines = if opening.practice {
        Vec::new()
    } else {
        let ledger = bytes("ledger-extract.jsonl")?;
        extract(ledger.as_slice(), &opening.number).map_err(|error| words(&error))?
    };
    let seals = super::certificate::seals(last, &lines, &roster);
    let made = super::certificate::make(&state, seals, folder).map_err(|error| words(&error))?;
    if made == pdf {
        Ok(())
    } else {
        Err("made again from the record, it comes out otherwise".to_owned())
    }
}

#[cfg(not(feature = "certificate"))]
pub(super) fn certificate(
    _: &dyn Files,
    _: &[std::sync::Arc<crate::player::Fact>],
    _: &[u8],
) -> Result<(), String> {
    Ok(())
}
