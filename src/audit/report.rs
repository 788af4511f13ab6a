//! What verifying a job's folder came to.

use super::Finding;
use crate::seal::Digest;
use serde_json::{Map, Value, json};
use std::fmt::Write as _;
use std::sync::Arc;

/// How far the job has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Standing {
    /// Its record has no closing yet, and is whole only as far as it goes.
    #[default]
    Open,
    /// Its record is closed.
    Closed,
    /// A practice run, closed or not: it never counts as proof.
    Practice,
}

impl Standing {
    /// The word in reports.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Closed => "closed",
            Self::Practice => "practice",
        }
    }
}

/// What verifying one folder came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// The job's number, as its opening says.
    pub job: Option<String>,
    /// The job's title, as its opening says.
    pub title: Option<String>,
    /// The shop, as its roster says.
    pub shop: Option<Arc<str>>,
    /// The fingerprint of the shop's root key: it must be known by another way as well.
    pub root: Option<Arc<str>>,
    /// Whether that fingerprint was held against one that is trusted.
    pub anchored: bool,
    /// How far the job has come.
    pub standing: Standing,
    /// How many lines the record has.
    pub entries: u64,
    /// SHA-256 of the record's last line.
    pub final_hash: Option<Digest>,
    /// Everything that was found, in the order of the folder.
    pub findings: Vec<Finding>,
}

impl Report {
    /// Whether nothing that was found breaks the record.
    #[must_use]
    pub fn whole(&self) -> bool {
        self.faults().next().is_none()
    }

    /// The findings that break the record.
    pub fn faults(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| finding.rule.breaks())
    }

    /// The findings that are only told, such as a clock that ran backwards.
    pub fn remarks(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| !finding.rule.breaks())
    }

    /// `{"whole", "state", …, "faults": [{"rule", "where", "what", "do"}], "remarks": […]}`.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let list = |findings: &mut dyn Iterator<Item = &Finding>| -> Value {
            findings.map(Finding::to_json).collect::<Vec<_>>().into()
        };
        let mut json = Map::new();
        json.insert("whole".into(), self.whole().into());
        json.insert("state".into(), self.standing.as_str().into());
        json.insert("job".into(), json!(self.job));
        json.insert("title".into(), json!(self.title));
        json.insert("shop".into(), json!(self.shop.as_deref()));
        json.insert("root".into(), json!(self.root.as_deref()));
        json.insert("anchored".into(), self.anchored.into());
        json.insert("entries".into(), self.entries.into());
        json.insert("final_hash".into(), json!(self.final_hash));
        json.insert("faults".into(), list(&mut self.faults()));
        json.insert("remarks".into(), list(&mut self.remarks()));
        Value::Object(json)
    }

    /// The same in words, for a person.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        // Writing to a String cannot fail.
        let _ = match &self.job {
            Some(job) => writeln!(text, "Job {job}{}: {}", self.titled(), self.verdict()),
            None => writeln!(text, "Apart from any job: {}", self.verdict()),
        };
        if let Some(hash) = self.final_hash {
            let _ = writeln!(text, "  entries {}, last line {hash}", self.entries);
        }
        let [shop, root] = [&self.shop, &self.root].map(|said| said.as_deref().unwrap_or("unknown"));
        let _ = writeln!(text, "  shop {shop}, root key {root}");
        if !self.anchored {
            text.push_str(
                "  The root key was held against nothing: compare its fingerprint with one that you\n",
            );
            text.push_str(
                "  have from the shop by another way. Without that, anyone could have signed all this.\n",
            );
        }
        for finding in &self.findings {
            let weight = if finding.rule.breaks() { "fault" } else { "remark" };
            let _ = writeln!(text, "{weight}: {finding}\n  {}", finding.rule.advice());
        }
        text
    }

    fn titled(&self) -> String {
        self.title
            .as_ref()
            .map_or(String::new(), |title| format!(", {title}"))
    }

    fn verdict(&self) -> &'static str {
        match (self.whole(), self.standing) {
            (false, _) => "NOT WHOLE",
            (true, Standing::Closed) => "whole and closed",
            (true, Standing::Open) => "whole as far as it goes; the job is still open",
            (true, Standing::Practice) => "whole; a practice run, which proves no work on a car",
        }
    }
}
