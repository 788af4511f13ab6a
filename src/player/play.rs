//! What is played: one job with the shared content, the tables and the shop's instruments.

use super::fact::WorkedOut;
use crate::calc::{self, Outcome};
use crate::procedure::circuit::{self, Sight};
use crate::procedure::{
    Condition, Field, Guard, Instrument, Job, Method, Operand, Procedure, Reference, Shared, Step, StepRef,
    Text,
};
use crate::say;
use crate::table::Tables;
use crate::words::{Language, Words, languages};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

/// Everything that a job's states refer to and never change.
#[derive(Clone, Debug)]
pub struct Play {
    pub job: Job,
    pub shared: Shared,
    pub tables: Tables,
    pub instruments: Vec<Instrument>,
    index: BTreeMap<StepRef, (usize, usize)>,
    words: Words,
    /// The same in the other languages of the content and of the program, each made when it is first asked for.
    spoken: BTreeMap<Language, OnceLock<Arc<Play>>>,
}

impl Play {
    /// A job ready to be played.
    #[must_use]
    pub fn new(job: Job, shared: Shared, tables: Tables, instruments: Vec<Instrument>) -> Self {
        let own = languages().into_iter().map(|(language, _)| language);
        let known = own.chain(shared.languages.known().cloned());
        let others = known.filter(|language| !language.is_english());
        let spoken = others.map(|language| (language, OnceLock::new())).collect();
        Self {
            spoken,
            ..Self::said(job, shared, tables, instruments, Words::english())
        }
    }

    fn said(job: Job, shared: Shared, tables: Tables, instruments: Vec<Instrument>, words: Words) -> Self {
        let mut index = BTreeMap::new();
        for (at, (procedure, _)) in job.procedures.iter().enumerate() {
            for (place, step) in procedure.steps.iter().enumerate() {
                index.insert(step_ref(procedure, step), (at, place));
            }
        }
        Self {
            job,
            shared,
            tables,
            instruments,
            index,
            words,
            spoken: BTreeMap::new(),
        }
    }

    /// The program's words in the language of this play.
    #[must_use]
    pub fn words(&self) -> &Words {
        &self.words
    }

    /// The languages in which this can be played, English first.
    pub fn languages(&self) -> impl Iterator<Item = Language> {
        std::iter::once(Language::english()).chain(self.spoken.keys().cloned())
    }

    /// The same in another language: what the content does not say in it stays in English. In a language that
    /// neither the content nor the program knows, the play itself.
    #[must_use]
    pub fn in_language(self: &Arc<Self>, language: &Language) -> Arc<Self> {
        let Some(spoken) = self.spoken.get(language) else {
            return Arc::clone(self);
        };
        let make = || {
            let known = self.shared.languages.job(language, &self.job.id);
            let (job, shared) = known.unwrap_or_else(|| (self.job.clone(), self.shared.clone()));
            let (tables, instruments) = (self.tables.clone(), self.instruments.clone());
            Arc::new(Self::said(
                job,
                shared,
                tables,
                instruments,
                Words::program(language),
            ))
        };
        Arc::clone(spoken.get_or_init(make))
    }

    /// The step of that name.
    #[must_use]
    pub fn step(&self, step: &StepRef) -> Option<&Step> {
        let &(procedure, place) = self.index.get(step)?;
        Some(&self.job.procedures[procedure].0.steps[place])
    }

    /// The procedure of that name, with its condition.
    #[must_use]
    pub fn procedure(&self, id: &crate::procedure::ProcedureId) -> Option<&(Procedure, Condition)> {
        self.job
            .procedures
            .iter()
            .find(|(procedure, _)| procedure.id == *id)
    }

    /// The step's place in the order of work.
    #[must_use]
    pub fn order(&self, step: &StepRef) -> Option<(usize, usize)> {
        self.index.get(step).copied()
    }

    /// All steps in the order of work.
    pub fn steps(&self) -> impl Iterator<Item = (StepRef, &Procedure, &Step)> {
        self.job.procedures.iter().flat_map(|(procedure, _)| {
            procedure
                .steps
                .iter()
                .map(move |step| (step_ref(procedure, step), procedure, step))
        })
    }

    /// The guards on what this step does.
    pub fn guards<'a>(&'a self, step: &'a Step) -> impl Iterator<Item = &'a Guard> {
        self.job
            .guards
            .iter()
            .filter(|guard| step.acts.contains(&guard.act))
    }

    /// The fields of the card, in order.
    pub fn fields(&self) -> impl Iterator<Item = &Field> {
        self.job.card.iter().flat_map(|group| group.ask.iter())
    }

    /// The field at `group.field`.
    #[must_use]
    pub fn field(&self, group: &str, id: &str) -> Option<&Field> {
        self.fields().find(|field| field.group == group && field.id == id)
    }

    /// What the choice is called on the screen; other values as they are.
    #[must_use]
    pub fn choice_label(&self, group: &str, field: &str, key: &str) -> String {
        match self.field(group, field).map(|field| &field.kind) {
            Some(crate::procedure::FieldKind::Choice(options)) => options
                .iter()
                .find(|(id, _)| id == key)
                .map_or_else(|| key.to_owned(), |(_, label)| label.clone()),
            _ => key.to_owned(),
        }
    }

    /// What people call the value that a reference stands for.
    #[must_use]
    pub fn name_of(&self, reference: &Reference, text: &dyn Fn(&Text) -> String) -> String {
        let named = match reference {
            Reference::Card { group, field } => self.field(group, field).map(|field| {
                say!(
                    self.words,
                    "“{label}” on the job card",
                    label = text(&field.label)
                )
            }),
            Reference::Read { procedure, name } => {
                let read = self.steps_of(procedure).flat_map(|step| &step.read);
                read.into_iter()
                    .find(|read| read.name == *name)
                    .map(|read| say!(self.words, "“{label}” as read", label = text(&read.label)))
            }
            Reference::Work {
                procedure,
                name,
                output,
            } => {
                let work = self.steps_of(procedure).flat_map(|step| &step.work_out);
                work.into_iter()
                    .find(|work| work.name == *name)
                    .map(|work| self.worked(&text(&work.label), &work.method, output))
            }
            Reference::Figure { name, output } => {
                let figure = self.job.figures.iter().find(|figure| figure.name == *name);
                figure.map(|figure| self.worked(&text(&figure.label), &figure.method, output))
            }
        };
        named.unwrap_or_else(|| reference.to_string())
    }

    /// What people call an output of a figure.
    fn worked(&self, label: &str, method: &Method, output: &str) -> String {
        let words = &self.words;
        let name = |output: &str| self.output_name(method, output);
        if let Some(output) = output.strip_suffix("_low") {
            say!(
                words,
                "“{label}” ({output}, least)",
                label = label,
                output = name(output)
            )
        } else if let Some(output) = output.strip_suffix("_high") {
            say!(
                words,
                "“{label}” ({output}, greatest)",
                label = label,
                output = name(output)
            )
        } else {
            say!(
                words,
                "“{label}” ({output})",
                label = label,
                output = name(output)
            )
        }
    }

    /// An output by its author's label, or in another language by that of its calculator; else by its name.
    fn output_name(&self, method: &Method, output: &str) -> String {
        let label = match method {
            Method::Circuit(call) => call.labels.get(output).cloned(),
            Method::Calculator { calc, .. } if !self.words.language().is_english() => {
                let output = calc::find(calc).and_then(|calculator| calculator.spec.output(output));
                output.map(|output| self.words.say(output.label).to_owned())
            }
            Method::Calculator { .. } => None,
        };
        label.unwrap_or_else(|| self.words.say(&output.replace('_', " ")).to_owned())
    }

    /// What the answers of a circuit's figure are called, by their names, where their author says so.
    #[must_use]
    pub fn answer_labels(&self, worked: &WorkedOut) -> Option<&BTreeMap<String, String>> {
        let method = match &worked.step {
            Some(at) => {
                let works = self.steps_of(&at.procedure).flat_map(|step| &step.work_out);
                let mut works = works.map(|work| (&work.name, &work.method));
                works.find(|(name, _)| **name == worked.name)?.1
            }
            None => {
                let mut figures = self.job.figures.iter();
                &figures.find(|figure| figure.name == worked.name)?.method
            }
        };
        match method {
            Method::Circuit(call) => Some(&call.labels),
            Method::Calculator { .. } => None,
        }
    }

    fn steps_of(&self, procedure: &crate::procedure::ProcedureId) -> impl Iterator<Item = &Step> {
        self.procedure(procedure)
            .into_iter()
            .flat_map(|(procedure, _)| &procedure.steps)
    }

    /// Runs a calculator on its operands, or asks a circuit.
    ///
    /// # Errors
    /// What is missing or what was refused, in words.
    pub fn work_out(&self, method: &Method, sight: &Sight) -> Result<Outcome, String> {
        let (calc, with) = match method {
            Method::Calculator { calc, with } => (calc, with),
            Method::Circuit(call) => {
                let none = || {
                    say!(
                        self.words,
                        "there is no circuit `{circuit}`",
                        circuit = call.circuit
                    )
                };
                let circuit = self.shared.circuits.get(&call.circuit).ok_or_else(none)?;
                return circuit::run(circuit, call, sight).map_err(|refused| refused.say(&self.words));
            }
        };
        let mut inputs = BTreeMap::new();
        for (name, operand) in with {
            let value = operand
                .value(sight.value)
                .map_err(|error| error.say(&self.words))?;
            inputs.insert(name.clone(), value);
        }
        calc::run(calc, &inputs, &self.tables).map_err(|error| error.say(&self.words))
    }

    /// What a figure is worked out from, each under its condition: the inputs of a calculator, the givens of a
    /// circuit.
    #[must_use]
    pub fn operands<'a>(&'a self, method: &'a Method) -> Vec<(&'a Operand, &'a Condition)> {
        static ALWAYS: Condition = Condition::Always;
        match method {
            Method::Calculator { with, .. } => with.iter().map(|(_, operand)| (operand, &ALWAYS)).collect(),
            Method::Circuit(call) => {
                let circuit = self.shared.circuits.get(&call.circuit).into_iter();
                let given = circuit.flat_map(|circuit| &circuit.given);
                given.map(|given| (&given.is, &given.when)).collect()
            }
        }
    }

    /// Whether everything that a figure is worked out from is there.
    #[must_use]
    pub fn has_operands(&self, method: &Method, sight: &Sight) -> bool {
        let operands = self.operands(method).into_iter();
        let mut needed = operands.filter(|(_, when)| (sight.holds)(when));
        needed.all(|(operand, _)| operand.reference().is_none_or(|of| (sight.value)(of).is_some()))
    }

    /// Everything that a figure rests on, the card answers that say which parts a circuit has among them.
    #[must_use]
    pub fn rests_on(&self, method: &Method) -> BTreeSet<Reference> {
        let mut found = BTreeSet::new();
        for (operand, when) in self.operands(method) {
            found.extend(operand.reference().cloned());
            when.references(&mut found);
        }
        if let Method::Circuit(call) = method
            && let Some(circuit) = self.shared.circuits.get(&call.circuit)
        {
            circuit
                .parts
                .iter()
                .for_each(|part| part.when.references(&mut found));
        }
        found
    }

    /// The card fields that a figure of the job rests on, figures below it included.
    #[must_use]
    pub fn figure_fields(&self, name: &str) -> BTreeSet<(String, String)> {
        let mut fields = BTreeSet::new();
        let Some(figure) = self.job.figures.iter().find(|figure| figure.name == name) else {
            return fields;
        };
        for reference in self.rests_on(&figure.method) {
            match reference {
                Reference::Card { group, field } => {
                    fields.insert((group, field));
                }
                Reference::Figure { name: below, .. } if below != name => {
                    fields.extend(self.figure_fields(&below));
                }
                _ => {}
            }
        }
        fields
    }
}

/// The full name of a step.
#[must_use]
pub fn step_ref(procedure: &Procedure, step: &Step) -> StepRef {
    StepRef {
        procedure: procedure.id.clone(),
        step: step.id.clone(),
    }
}
