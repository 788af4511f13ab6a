//! A bundle: jobs of one shop that travel together, with what verifies them and a manifest over all of it.

use super::manifest::{MANIFEST, MOST_FILE, MOST_FILES, MOST_MANIFEST, Manifest};
use super::{Certificate, Files, Finding, MOST_FINDINGS, Meaning, ShopReport, files, verify_jobs};
use crate::seal::Digest;
use std::collections::BTreeSet;
use std::io::Read;

/// Verifies a bundle: every file against the manifest, no file besides, then every job against the shop's own
/// lines. Names that begin with a dot are passed over: no path of ours has one, and other systems leave such
/// files on sticks. Where files differ from the manifest, their meaning is not looked at.
#[must_use]
pub fn verify_bundle(
    bundle: &dyn Files,
    root: Option<&str>,
    certificate: Option<&Certificate>,
    each: &mut dyn FnMut(usize, usize),
) -> (Option<Manifest>, ShopReport) {
    let broken = |findings: Vec<Finding>| ShopReport {
        findings,
        ..ShopReport::default()
    };
    let manifest = match manifest(bundle) {
        Ok(manifest) => manifest,
        Err(finding) => return (None, broken(vec![finding])),
    };
    let mut findings = altered(bundle, &manifest);
    findings.extend(besides(bundle, &manifest));
    if findings.is_empty() {
        let report = verify_jobs(bundle, root, certificate, None, each);
        (Some(manifest), report)
    } else {
        findings.truncate(MOST_FINDINGS);
        (Some(manifest), broken(findings))
    }
}

fn manifest(bundle: &dyn Files) -> Result<Manifest, Finding> {
    let wrong = |what: String| Finding::new(Meaning::BundleManifest, MANIFEST, what);
    let bytes = files::bytes(bundle, MANIFEST, MOST_MANIFEST).map_err(|error| wrong(error.to_string()))?;
    let bytes = bytes.ok_or_else(|| wrong("it is not there".into()))?;
    Manifest::parse(&bytes).map_err(|error| wrong(error.to_string()))
}

/// Files that are not there or not what the manifest says.
fn altered(bundle: &dyn Files, manifest: &Manifest) -> Vec<Finding> {
    let told = manifest.files().filter_map(|(path, says)| {
        let what = match digest(bundle, path) {
            Ok(Some(found)) if found == says => return None,
            Ok(Some(_)) => "its hash is not the one in the manifest".to_owned(),
            Ok(None) => "it is not there".to_owned(),
            Err(error) => error.to_string(),
        };
        Some(Finding::new(Meaning::BundleFile, path, what))
    });
    told.take(MOST_FINDINGS).collect()
}

fn digest(bundle: &dyn Files, path: &str) -> std::io::Result<Option<Digest>> {
    let Some(reader) = bundle.reader(path)? else {
        return Ok(None);
    };
    // A longer one is cut, so that its hash cannot be right.
    files::digest_of(&mut std::io::BufReader::new(reader.take(MOST_FILE))).map(Some)
}

/// Files and folders that the manifest does not name.
fn besides(bundle: &dyn Files, manifest: &Manifest) -> Vec<Finding> {
    let folders = manifest.folders();
    let mut findings = Vec::new();
    for folder in &folders {
        let names = match bundle.names(folder, MOST_FILES) {
            Ok(names) => names,
            Err(error) => {
                findings.push(Finding::new(
                    Meaning::Unreadable,
                    folder.as_str(),
                    error.to_string(),
                ));
                continue;
            }
        };
        let paths = names
            .into_iter()
            .filter(|name| !name.starts_with('.'))
            .map(|name| {
                if folder.is_empty() {
                    name
                } else {
                    format!("{folder}/{name}")
                }
            });
        let unknown = paths.filter(|path| !is_known(path, manifest, &folders));
        findings.extend(
            unknown.map(|path| Finding::new(Meaning::BundleFile, path, "the manifest does not name it")),
        );
        if findings.len() > MOST_FINDINGS {
            break;
        }
    }
    findings
}

fn is_known(path: &str, manifest: &Manifest, folders: &BTreeSet<String>) -> bool {
    path == MANIFEST || folders.contains(path) || manifest.get(path).is_some()
}
