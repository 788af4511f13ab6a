//! The rules, one file each. A rule's name is the name of its samples under `tests/content`.
//!
//! Rules of a file look at its marks alone and at the shared files; rules of a job see the job and the
//! procedures that it plays, in their order. Rules about the shape of a file are kept where it is read.

mod act_unguarded;
mod answers;
mod callouts_match;
mod catalogue_of_nothing;
mod circuit_refused;
mod command_too_long;
mod command_two_acts;
mod command_two_sentences;
mod condition_always;
mod condition_never;
mod diagram_place;
mod diagram_shows;
mod duplicate_id;
mod empty_band;
mod example_unfit;
mod forward_reference;
mod guard_before_hold;
mod guard_unknown_hold;
mod hazard_needs;
mod hold_covers_later;
mod instrument_too_coarse;
mod lonely_node;
mod missing_picture;
mod one_right_answer;
mod path_escape;
mod picture_colour;
mod picture_not_svg;
mod plausible_range;
mod procedure_missing;
mod prose;
mod reading_unused;
mod reference_may_not_apply;
mod reopens_itself;
mod restores_nothing;
mod revision;
mod scope;
mod sentence_too_long;
mod slug_file_mismatch;
mod stale_translation;
mod step_undrawn;
mod temporary_not_restored;
mod text_hard;
mod too_many_uncertain;
mod tool_not_before;
mod tool_unused;
mod translated;
mod translation_references;
mod unit_mismatch;
mod unknown_act;
mod unknown_choice;
mod unknown_circuit;
mod unknown_given;
mod unknown_hazard;
mod unknown_instrument;
mod unknown_layout;
mod unknown_node;
mod unknown_part;
mod unknown_reference;
mod unknown_step;
mod unknown_tool;
mod untranslated;
mod unused_circuit;
mod unused_given;
mod unused_layout;
mod unused_procedure;
mod verbs;

use super::draft::{Draft, Marked};
use crate::content::Spot;
use crate::diagnostic::{Diagnostic, Report};
use scope::Scope;
use std::collections::BTreeMap;

/// A file's marks, and what every file shares.
struct File<'a> {
    path: &'a str,
    marks: &'a [Marked],
    draft: &'a Draft,
    files: &'a BTreeMap<String, Vec<u8>>,
}

impl File<'_> {
    fn found(&self, at: Spot, rule: &'static str, found: impl Into<String>, expected: &str) -> Diagnostic {
        Diagnostic::new(at.within(self.path), rule, found, expected)
    }
}

const FILE_RULES: [fn(&File, &mut Report); 25] = [
    callouts_match::check,
    command_too_long::check,
    command_two_sentences::check,
    diagram_shows::check,
    duplicate_id::check,
    empty_band::check,
    missing_picture::check,
    one_right_answer::check,
    path_escape::check,
    picture_colour::check,
    picture_not_svg::check,
    plausible_range::check,
    procedure_missing::check,
    reopens_itself::check,
    revision::check,
    slug_file_mismatch::check,
    too_many_uncertain::asked,
    unknown_circuit::check,
    unknown_given::check,
    unknown_hazard::check,
    unknown_instrument::check,
    unknown_layout::check,
    unknown_node::check,
    unknown_part::check,
    unknown_tool::check,
];

const JOB_RULES: [fn(&Scope, &mut Report); 12] = [
    forward_reference::check,
    guard_before_hold::check,
    guard_unknown_hold::check,
    hold_covers_later::check,
    reference_may_not_apply::check,
    restores_nothing::check,
    temporary_not_restored::check,
    unit_mismatch::check,
    unknown_act::check,
    unknown_choice::check,
    unknown_reference::check,
    unknown_step::check,
];

const DRAFT_RULES: [fn(&Draft, &mut Report); 8] = [
    circuit_refused::check,
    diagram_place::check,
    lonely_node::check,
    too_many_uncertain::check,
    unused_circuit::check,
    unused_given::check,
    unused_layout::check,
    unused_procedure::check,
];

/// Rules of good writing, which [`writing`] holds content against.
const WRITING_FILE_RULES: [fn(&File, &mut Report); 3] = [
    command_two_acts::check,
    instrument_too_coarse::check,
    sentence_too_long::check,
];
const WRITING_JOB_RULES: [fn(&Scope, &mut Report); 1] = [act_unguarded::check];
/// Rules that see all jobs together, since a procedure may be written for several.
const WRITING_JOBS_RULES: [fn(&[Scope], &mut Report); 2] = [condition_always::check, condition_never::check];
const WRITING_DRAFT_RULES: [fn(&Draft, &mut Report); 11] = [
    catalogue_of_nothing::check,
    example_unfit::check,
    hazard_needs::check,
    reading_unused::check,
    stale_translation::check,
    step_undrawn::check,
    text_hard::check,
    tool_not_before::check,
    tool_unused::check,
    translation_references::check,
    untranslated::check,
];

/// Checks a draft against every rule that it must keep to be played.
pub fn all(draft: &Draft, files: &BTreeMap<String, Vec<u8>>, report: &mut Report) {
    for file in all_files(draft, files) {
        FILE_RULES.iter().for_each(|rule| rule(&file, report));
    }
    for job in &draft.jobs {
        let scope = Scope::new(draft, job);
        JOB_RULES.iter().for_each(|rule| rule(&scope, report));
    }
    DRAFT_RULES.iter().for_each(|rule| rule(draft, report));
}

/// Checks a draft against every rule of good writing.
pub fn writing(draft: &Draft, files: &BTreeMap<String, Vec<u8>>, report: &mut Report) {
    for file in all_files(draft, files) {
        WRITING_FILE_RULES.iter().for_each(|rule| rule(&file, report));
    }
    let scopes: Vec<Scope> = draft.jobs.iter().map(|job| Scope::new(draft, job)).collect();
    for scope in &scopes {
        WRITING_JOB_RULES.iter().for_each(|rule| rule(scope, report));
    }
    WRITING_JOBS_RULES.iter().for_each(|rule| rule(&scopes, report));
    WRITING_DRAFT_RULES.iter().for_each(|rule| rule(draft, report));
}

/// Every file with its marks.
fn all_files<'a>(draft: &'a Draft, files: &'a BTreeMap<String, Vec<u8>>) -> impl Iterator<Item = File<'a>> {
    let procedures = draft
        .procedures
        .values()
        .map(|procedure| (procedure.path.as_str(), &procedure.marks[..]));
    let jobs = draft.jobs.iter().map(|job| (job.path.as_str(), &job.marks[..]));
    let circuits = draft
        .circuits
        .values()
        .map(|circuit| (circuit.path.as_str(), &circuit.marks[..]));
    let shared = draft
        .shared_marks
        .iter()
        .map(|(path, mark)| (path.as_str(), std::slice::from_ref(mark)));
    let layouts = draft
        .layouts
        .values()
        .map(|layout| (layout.path.as_str(), &layout.marks[..]));
    let all = procedures
        .chain(jobs)
        .chain(circuits)
        .chain(layouts)
        .chain(shared);
    all.map(move |(path, marks)| File {
        path,
        marks,
        draft,
        files,
    })
}
