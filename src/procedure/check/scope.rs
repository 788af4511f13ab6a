//! A job with the procedures that it plays: what is made where, under which condition, and of which type.

use crate::diagnostic::Diagnostic;
use crate::procedure::draft::{Draft, JobDraft, Makes, Mark, Marked, ProcedureDraft, Site, Target, Type};
use crate::procedure::implies::Known;
use crate::procedure::model::{Circuit, Condition, Field, Method, Reference, Step, StepRef};
use crate::procedure::read::type_of;
use std::collections::{HashMap, HashSet};

/// Before the procedures, or at a place within them; later is greater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    Card,
    /// The procedure's place in the job, and the step counted from 1; 0 is before the steps.
    Work(usize, usize),
}

/// A procedure as this job plays it.
pub struct Played<'a> {
    pub draft: &'a ProcedureDraft,
    pub when: &'a Condition,
}

impl<'a> Played<'a> {
    pub fn steps(&self) -> &'a [Step] {
        &self.draft.model.steps
    }
}

/// Where a reading or a work-out is made.
#[derive(Clone, Copy)]
struct Made<'a> {
    at: When,
    makes: &'a Makes,
}

/// A mark as this job meets it.
pub struct Met<'a> {
    pub path: &'a str,
    pub marked: &'a Marked,
    pub at: When,
    /// The part of the job or of a procedure that it is met in, also where it stands in a circuit.
    pub site: Site,
    /// The conditions that had to hold to come here: the procedure's, the part's own, and of a circuit's mark
    /// the given's or the circuit part's.
    pub under: [&'a Condition; 3],
    /// The circuit that the mark stands in, if it does.
    pub circuit: Option<&'a Circuit>,
    /// What the mark stands in and what asks or shows it, where it stands in a circuit or a layout.
    pub asked_by: Option<String>,
}

static ALWAYS: Condition = Condition::Always;

/// A mark of a circuit or a layout, met where that is asked or shown.
fn inside<'a>(met: &Met<'a>, path: &'a str, marked: &'a Marked, when: &'a Condition, by: &str) -> Met<'a> {
    Met {
        path,
        marked,
        at: met.at,
        site: met.site,
        under: [met.under[0], met.under[1], when],
        circuit: None,
        asked_by: Some(by.to_owned()),
    }
}

impl Met<'_> {
    pub fn found(&self, rule: &'static str, found: impl Into<String>, expected: &str) -> Diagnostic {
        let found = match &self.asked_by {
            Some(by) => format!("{} (in {by})", found.into()),
            None => found.into(),
        };
        Diagnostic::new(self.marked.at.within(self.path), rule, found, expected)
    }
}

pub struct Scope<'a> {
    pub draft: &'a Draft,
    pub job: &'a JobDraft,
    pub played: Vec<Played<'a>>,
    fields: HashMap<(&'a str, &'a str), &'a Field>,
    figures: HashMap<&'a str, usize>,
    made: HashMap<(&'a str, bool, &'a str), Made<'a>>,
    steps: HashMap<(&'a str, &'a str), (usize, usize)>,
    /// Card fields, `group.field`, whose kind could not be read.
    unread: HashSet<&'a str>,
    /// The card fields through all groups, as marks count them.
    in_order: Vec<&'a Field>,
}

impl<'a> Scope<'a> {
    pub fn new(draft: &'a Draft, job: &'a JobDraft) -> Self {
        let fields = job.model.card.iter().flat_map(|group| &group.ask);
        let mut scope = Self {
            draft,
            job,
            played: Vec::new(),
            fields: fields
                .map(|field| ((field.group.as_str(), field.id.as_str()), field))
                .collect(),
            figures: HashMap::new(),
            made: HashMap::new(),
            steps: HashMap::new(),
            unread: HashSet::new(),
            in_order: job.model.card.iter().flat_map(|group| &group.ask).collect(),
        };
        for (index, figure) in job.model.figures.iter().enumerate() {
            scope.figures.entry(&figure.name).or_insert(index);
        }
        scope
            .unread
            .extend(job.marks.iter().filter_map(|marked| match &marked.mark {
                Mark::Unread(field) => Some(field.as_str()),
                _ => None,
            }));
        for (id, when) in &job.order {
            if let Some(procedure) = draft.procedures.get(id.as_str()) {
                scope.play(procedure, when);
            }
        }
        scope
    }

    fn play(&mut self, draft: &'a ProcedureDraft, when: &'a Condition) {
        let place = self.played.len();
        let id = draft.model.id.as_str();
        for (index, step) in draft.model.steps.iter().enumerate() {
            self.steps.entry((id, step.id.as_str())).or_insert((place, index));
        }
        for marked in &draft.marks {
            if let (Mark::Makes { name, kind }, Site::Step(step)) = (&marked.mark, marked.site) {
                let reading = matches!(kind, Makes::Reading(_));
                let made = Made {
                    at: When::Work(place, step + 1),
                    makes: kind,
                };
                self.made.entry((id, reading, name)).or_insert(made);
            }
        }
        self.played.push(Played { draft, when });
    }

    /// Every mark of the job and of its procedures, in the order of work, and behind each question to a circuit
    /// and each drawing of a layout the marks of that, met where the question is asked or the drawing shown.
    pub fn marks(&self) -> impl Iterator<Item = Met<'a>> {
        self.own_marks().flat_map(|met| {
            let asked = self.asked(&met);
            std::iter::once(met).chain(asked)
        })
    }

    fn asked(&self, met: &Met<'a>) -> Vec<Met<'a>> {
        match &met.marked.mark {
            Mark::Calls(call) => {
                let Some(circuit) = self.draft.circuits.get(&call.circuit) else {
                    return Vec::new();
                };
                let by = format!("a circuit that {} asks", self.said(met));
                let inside = circuit.marks.iter().map(|marked| Met {
                    circuit: Some(&circuit.model),
                    ..inside(met, &circuit.path, marked, circuit.when(marked.site), &by)
                });
                inside.collect()
            }
            Mark::Lays(setup) => {
                let Some(layout) = self.draft.layouts.get(&setup.layout) else {
                    return Vec::new();
                };
                let by = format!("a layout that {} shows", self.said(met));
                let marks = layout.marks.iter();
                marks
                    .map(|marked| inside(met, &layout.path, marked, layout.when(marked.site), &by))
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// The step or the figure that a mark belongs to, in words.
    fn said(&self, met: &Met) -> String {
        let figure = |at: usize| self.job.model.figures.get(at).map(|figure| &figure.name);
        match (met.at, met.marked.site) {
            (When::Work(place, _), Site::Step(step)) => {
                let model = &self.played[place].draft.model;
                let id = model.steps.get(step).map_or("", |step| step.id.as_str());
                format!("the step `{}.{id}`", model.id)
            }
            (_, Site::Figure(at)) => format!("the figure `{}`", figure(at).map_or("", String::as_str)),
            _ => "the job".to_owned(),
        }
    }

    fn own_marks(&self) -> impl Iterator<Item = Met<'a>> {
        let card = self.job.marks.iter().map(|marked| Met {
            path: &self.job.path,
            marked,
            at: When::Card,
            site: marked.site,
            under: [self.under_on_card(marked.site), &ALWAYS, &ALWAYS],
            circuit: None,
            asked_by: None,
        });
        let work = self.played.iter().enumerate().flat_map(|(place, played)| {
            played.draft.marks.iter().map(move |marked| {
                let (step, own) = match marked.site {
                    Site::Step(step) => (step + 1, played.steps().get(step).map(|step| &step.when)),
                    Site::CloseOut => (usize::MAX, None),
                    _ => (0, None),
                };
                let under = [played.when, own.unwrap_or(&ALWAYS), &ALWAYS];
                Met {
                    path: &played.draft.path,
                    marked,
                    at: When::Work(place, step),
                    site: marked.site,
                    under,
                    circuit: None,
                    asked_by: None,
                }
            })
        });
        card.chain(work)
    }

    fn under_on_card(&self, site: Site) -> &'a Condition {
        let job = &self.job.model;
        let own = match site {
            Site::Field(index) => self.in_order.get(index).map(|field| &field.when),
            Site::Figure(index) => job.figures.get(index).map(|figure| &figure.when),
            Site::Check(index) => job.checks.get(index).map(|check| &check.when),
            _ => None,
        };
        own.unwrap_or(&ALWAYS)
    }

    /// Whether a condition holds wherever a mark is met.
    pub fn implies(&self, met: &Met, needed: &Condition) -> bool {
        if *needed == Condition::Always {
            return true;
        }
        let asked = |group: &str, field: &str| self.field(group, field).map(|field| &field.when);
        Known::from(met.under, &asked).implies(needed, &|group, field| self.possible(group, field))
    }

    /// Every answer that a field may have on an accepted card, if the field is always asked.
    fn possible(&self, group: &str, field: &str) -> Option<Vec<String>> {
        let field = self
            .field(group, field)
            .filter(|field| field.when == Condition::Always)?;
        match type_of(&field.kind) {
            Type::Among(words) => Some(
                words
                    .into_iter()
                    .filter(|word| !field.refuse.contains_key(word))
                    .collect(),
            ),
            _ => None,
        }
    }

    pub fn field(&self, group: &str, field: &str) -> Option<&'a Field> {
        self.fields.get(&(group, field)).copied()
    }

    pub fn figure(&self, name: &str) -> Option<usize> {
        self.figures.get(name).copied()
    }

    /// A step's procedure and its own place, both in the order of work.
    pub fn step(&self, step: &StepRef) -> Option<(usize, usize)> {
        self.steps
            .get(&(step.procedure.as_str(), step.step.as_str()))
            .copied()
    }

    /// The step at a place.
    pub fn step_at(&self, (place, step): (usize, usize)) -> &'a Step {
        &self.played[place].steps()[step]
    }

    /// When a reading or a work-out is made.
    pub fn made_at(&self, reference: &Reference) -> Option<When> {
        self.made(reference).map(|made| made.at)
    }

    fn made(&self, reference: &Reference) -> Option<Made<'a>> {
        let made = match reference {
            Reference::Read { procedure, name } => self.made.get(&(procedure.as_str(), true, name.as_str())),
            Reference::Work { procedure, name, .. } => {
                self.made.get(&(procedure.as_str(), false, name.as_str()))
            }
            _ => None,
        };
        made.copied()
    }

    /// The conditions under which what is referred to is there.
    pub fn there_when(&self, reference: &Reference) -> Vec<&'a Condition> {
        match reference {
            Reference::Card { group, field } => self.field(group, field).map(|field| vec![&field.when]),
            Reference::Figure { name, .. } => {
                self.figure(name).map(|at| vec![&self.job.model.figures[at].when])
            }
            _ => self.made(reference).and_then(|made| match made.at {
                When::Work(place, step) => {
                    let played = &self.played[place];
                    Some(vec![played.when, &played.steps()[step.checked_sub(1)?].when])
                }
                When::Card => None,
            }),
        }
        .unwrap_or_default()
    }

    /// The names of the readings, or of the work-outs, of a procedure.
    pub fn names_in(&self, procedure: &str, reading: bool) -> Vec<&'a str> {
        let mut names: Vec<&str> = self
            .made
            .keys()
            .filter(|(of, is_reading, _)| *of == procedure && *is_reading == reading)
            .map(|(_, _, name)| *name)
            .collect();
        names.sort_unstable();
        names
    }

    /// What works a work-out or a figure out.
    pub fn method(&self, reference: &Reference) -> Option<&'a Method> {
        match reference {
            Reference::Figure { name, .. } => self.figure(name).map(|at| &self.job.model.figures[at].method),
            _ => match self.made(reference)?.makes {
                Makes::Work(method) => Some(method),
                Makes::Reading(_) => None,
            },
        }
    }

    /// What a reference may give; anything where it cannot be known.
    pub fn type_of(&self, reference: &Reference) -> Type {
        let known = match reference {
            Reference::Card { group, field } => self.field_type(group, field),
            Reference::Read { .. } => self.made(reference).and_then(|made| match made.makes {
                Makes::Reading(kind) => kind.clone(),
                Makes::Work(_) => None,
            }),
            Reference::Work { output, .. } | Reference::Figure { output, .. } => {
                self.method(reference).map(|method| method.type_of(output))
            }
        };
        known.unwrap_or(Type::Any)
    }

    fn field_type(&self, group: &str, field: &str) -> Option<Type> {
        let unread = self.unread.contains(format!("{group}.{field}").as_str());
        self.field(group, field)
            .filter(|_| !unread)
            .map(|field| type_of(&field.kind))
    }

    /// What a target may be; inputs of calculators are looked at by themselves.
    pub fn type_of_target(&self, target: &Target) -> Type {
        match target {
            Target::Typed(of) => of.clone(),
            Target::Output { of, output } => of.type_of(output),
            Target::Value(reference) => self.type_of(reference),
            Target::Input { .. } => Type::Any,
        }
    }

    /// Whether every procedure of the job is there, so that what is nowhere is missing.
    pub fn is_complete(&self) -> bool {
        self.job
            .order
            .iter()
            .all(|(id, _)| self.draft.procedures.contains_key(id.as_str()))
    }

    /// Whether nothing can be said about what is in this procedure.
    pub fn is_unreadable(&self, procedure: &str) -> bool {
        self.draft.unreadable.contains(procedure)
    }
}
