//! From the tree of a file to a draft: the shape of each kind of file.
//!
//! A reader never stops at a fault. What cannot be read is left out, and everything around it is read.

mod amount;
mod band;
mod calculation;
mod call;
mod card;
mod circuit;
mod condition;
mod job;
mod keys;
mod layout;
mod order;
mod picture;
mod procedure;
mod reading;
mod reference;
mod shared;
mod step;
mod table;
mod text;
mod word;

use super::draft::{Mark, Marked, Site};
use super::model::ProcedureId;
use crate::content::Spot;
use crate::diagnostic::{Diagnostic, Report};

pub use card::type_of;
pub use circuit::circuit;
pub use job::job;
pub(super) use keys::Map;
pub use layout::layout;
pub use procedure::procedure;
pub(super) use shared::{bare_name, dimensions};
pub use shared::{glossary, hazards, instruments, tools};
pub use table::table;
pub(super) use word::Spelling;

/// Reads one file: knows its path, gathers its faults and its marks.
pub struct Reader<'a> {
    path: &'a str,
    report: &'a mut Report,
    pub(super) marks: Vec<Marked>,
    site: Site,
    /// The procedure that a short reference such as `read.trip` means.
    here: Option<ProcedureId>,
}

impl<'a> Reader<'a> {
    /// A reader of the file at `path`.
    pub fn new(path: &'a str, report: &'a mut Report) -> Self {
        Self {
            path,
            report,
            marks: Vec::new(),
            site: Site::Head,
            here: None,
        }
    }

    /// Reports a fault and leaves nothing.
    fn fault<T>(&mut self, fault: Diagnostic) -> Option<T> {
        self.report.push(fault);
        None
    }

    /// Reports a fault.
    pub(super) fn report(&mut self, fault: Diagnostic) {
        self.report.push(fault);
    }

    pub(super) fn found(
        &self,
        at: Spot,
        rule: &'static str,
        found: impl Into<String>,
        expected: &str,
    ) -> Diagnostic {
        Diagnostic::new(at.within(self.path), rule, found, expected)
    }

    fn mark(&mut self, at: Spot, mark: Mark) {
        self.marks.push(Marked {
            at,
            site: self.site,
            mark,
        });
    }
}
