//! The step: hazards first, one command, its picture, why, right and wrong, the tools, the readings.

use super::band;
use super::diagram::{self, Diagram};
pub use super::figure::{FigureView, figure_drawn, figure_view, source_line};
use super::gauge::Gauge;
use super::hazard::{self, HazardPanel};
use super::strip::{self, Strip};
use crate::player::fact::{ReadingTaken, Verdict};
use crate::player::pictured::{self, Pictured};
use crate::player::{self, State, wording};
use crate::procedure::circuit::Sight;
use crate::procedure::{HazardId, Picture, Reading, ReadingKind, Step, StepRef};
use crate::quantity::Unit;
use crate::say;
use crate::words::Words;

/// One step as it is shown.
#[derive(Clone, Debug)]
pub struct StepPage {
    pub step: StepRef,
    pub procedure_title: String,
    /// The step's place in its procedure, from 1, among those that apply.
    pub number: usize,
    pub of: usize,
    pub hazards: Vec<HazardPanel>,
    /// These must be acknowledged before the command is shown.
    pub to_acknowledge: Vec<HazardPanel>,
    pub command: String,
    pub why: String,
    pub right: String,
    pub wrong: String,
    pub tools: Vec<String>,
    pub picture: Option<Shows>,
    /// What the numbers in the picture stand for, from 1.
    pub callouts: Vec<String>,
    pub readings: Vec<ReadingView>,
    pub figures: Vec<FigureView>,
    /// How many photographs the record holds of this step.
    pub photos: usize,
    /// Whether the stripe may be drawn.
    pub ready: bool,
    pub hold: bool,
    pub strip: Strip,
}

/// The step's picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shows {
    /// A path under `media/`.
    File(String),
    /// A drawing that was made for this job, as SVG by day.
    Drawn(String),
}

/// A reading of the step, taken or wanted.
#[derive(Clone, Debug)]
pub struct ReadingView {
    pub name: String,
    pub label: String,
    pub kind: ReadingInput,
    pub wanted: bool,
    /// As it was taken; empty while it is wanted.
    pub shown: String,
    pub verdict: Option<Verdict>,
    pub gauge: Option<Gauge>,
    /// The band in words with where it comes from, or the reason why there is none.
    pub band: String,
    pub origin: String,
    /// The kind of instrument by its name, and those of the register that may be chosen.
    pub instrument_kind: Option<String>,
    pub instruments: Vec<InstrumentView>,
    /// The instrument of a reading that was taken.
    pub instrument_used: Option<String>,
    /// Who took it, by their id, and when; nothing while it is wanted.
    pub taken: Option<Taken>,
    /// Why a reading in its band is not accepted, and what to do; empty for every other.
    pub undecided: String,
}

/// By whom a reading that stands was taken, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    pub by: String,
    /// As the record says it: `2026-03-02 09:14`.
    pub at: String,
    /// The entry that holds it.
    pub entry: u64,
}

/// How a reading is entered.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingInput {
    /// The author's unit first, then others of its dimension that make sense at the keypad.
    Number {
        units: Vec<&'static str>,
    },
    YesNo,
    Choice(Vec<(String, String)>),
    Text {
        most: usize,
    },
    /// A photograph is chosen or taken.
    Photo,
}

/// An instrument of the register.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InstrumentView {
    pub id: String,
    pub name: String,
    pub serial: String,
    pub due: String,
    pub range: String,
    /// What the register says of its uncertainty.
    pub uncertainty: String,
    /// Why it may not judge this reading, however well it is calibrated; nothing where it may.
    pub too_coarse: Option<String>,
}

/// The page of this step; `to_acknowledge` are the hazards that come before its command.
#[must_use]
pub fn page(state: &State, at: &StepRef, to_acknowledge: &[HazardId]) -> StepPage {
    let play = state.play().clone();
    let procedure = play.procedure(&at.procedure).map(|(procedure, _)| procedure);
    let Some(step) = play.step(at) else {
        return missing(state, at);
    };
    let applying: Vec<&Step> = procedure
        .iter()
        .flat_map(|p| &p.steps)
        .filter(|step| state.holds(&step.when))
        .collect();
    // A band or a text may rest on a figure of this very step.
    let ahead = player::foreseen(state, at);
    let words = wording::of(&ahead, step);
    StepPage {
        step: at.clone(),
        procedure_title: procedure.map_or_else(String::new, |procedure| procedure.title.clone()),
        number: applying
            .iter()
            .position(|other| other.id == step.id)
            .map_or(0, |place| place + 1),
        of: applying.len(),
        hazards: hazard::panels(state, &step.hazards),
        to_acknowledge: hazard::panels(state, to_acknowledge),
        command: words.command,
        why: words.why,
        right: words.right,
        wrong: words.wrong,
        tools: words.tools,
        picture: shows(&ahead, step),
        callouts: words.callouts,
        readings: step
            .read
            .iter()
            .map(|reading| reading_view(&ahead, at, reading))
            .collect(),
        figures: figures(state, at, step),
        photos: player::photo::of_step(state, at).count(),
        ready: to_acknowledge.is_empty()
            && state.wanted(at, step).is_empty()
            && state.open_deviation(at).is_none(),
        hold: step.hold.is_some(),
        strip: strip::strip(state),
    }
}

/// The file, or the circuit or the layout as it is on this car.
fn shows(state: &State, step: &Step) -> Option<Shows> {
    if let Picture::File(path) = step.picture.as_ref()? {
        return Some(Shows::File(path.clone()));
    }
    let sight = Sight {
        value: &|reference| state.value(reference),
        holds: &|condition| state.holds(condition),
    };
    let plan = match pictured::diagram(state, step)? {
        Pictured::Circuit(shown, circuit) => diagram::of_circuit(circuit, shown, &sight),
        Pictured::Layout(setup, layout) => diagram::of_layout(layout, setup, &sight),
    };
    Some(Shows::Drawn(Diagram::new(plan).svg()))
}

fn missing(state: &State, at: &StepRef) -> StepPage {
    StepPage {
        step: at.clone(),
        procedure_title: String::new(),
        number: 0,
        of: 0,
        hazards: Vec::new(),
        to_acknowledge: Vec::new(),
        command: say!(state.words(), "There is no step {step} in this job.", step = at),
        why: String::new(),
        right: String::new(),
        wrong: String::new(),
        tools: Vec::new(),
        picture: None,
        callouts: Vec::new(),
        readings: Vec::new(),
        figures: Vec::new(),
        photos: 0,
        ready: false,
        hold: false,
        strip: strip::strip(state),
    }
}

/// A reading with its band as it stands now.
#[must_use]
pub fn reading_view(state: &State, at: &StepRef, reading: &Reading) -> ReadingView {
    let standing = state.reading(&at.procedure, &reading.name);
    let taken = standing.map(|(_, taken)| taken);
    let limits = band::limits(state, reading, taken);
    ReadingView {
        name: reading.name.clone(),
        label: state.render(&reading.label),
        kind: input(&reading.kind),
        wanted: taken.is_none(),
        shown: taken.map_or_else(String::new, |taken| taken.shown.clone()),
        verdict: taken.map(|taken| taken.verdict),
        gauge: limits
            .as_ref()
            .and_then(|limits| band::gauge(limits, reading, taken, state.words())),
        band: band::in_words(reading, limits.as_ref(), state.words()),
        origin: limits.map_or_else(String::new, |limits| band::origin(state, reading, limits)),
        instrument_kind: kind_name(state, reading),
        instruments: instruments(state, reading),
        instrument_used: taken.and_then(|taken| Some(taken.instrument.as_ref()?.name.clone())),
        taken: standing.and_then(|(entry, _)| taken_by(state, entry)),
        undecided: taken.map_or_else(String::new, |taken| undecided(taken, state.words())),
    }
}

fn taken_by(state: &State, entry: u64) -> Option<Taken> {
    let fact = state.facts().get(usize::try_from(entry).ok()?)?;
    Some(Taken {
        by: fact.by.clone(),
        at: fact.at.format("%Y-%m-%d %H:%M").to_string(),
        entry,
    })
}

/// `Too near the limit for this instrument (±0.05 bar): take a finer one.`
#[must_use]
pub fn undecided(taken: &ReadingTaken, words: &Words) -> String {
    match (taken.verdict, &taken.guard_band) {
        (Verdict::Undecided, Some(guard_band)) => say!(
            words,
            "Too near the limit for this instrument (±{width}): take a finer one.",
            width = guard_band.width.shown(2)
        ),
        _ => String::new(),
    }
}

fn input(kind: &ReadingKind) -> ReadingInput {
    match kind {
        ReadingKind::Number { unit, .. } => ReadingInput::Number { units: units(*unit) },
        ReadingKind::YesNo => ReadingInput::YesNo,
        ReadingKind::Choice(options) => ReadingInput::Choice(options.clone()),
        ReadingKind::Text { most } => ReadingInput::Text { most: *most },
        ReadingKind::Photo => ReadingInput::Photo,
    }
}

/// The unit keys: the author's unit, then up to three others of the same dimension.
#[must_use]
pub fn units(unit: Unit) -> Vec<&'static str> {
    let near = [
        "psi", "bar", "kPa", "mm", "cm", "in", "°C", "°F", "V", "mV", "A", "mA", "Ω", "mΩ", "ml/min", "l/h",
        "s", "min",
    ];
    let same = |symbol: &&str| {
        *symbol != unit.symbol() && Unit::find(symbol).is_some_and(|u| u.dimension() == unit.dimension())
    };
    std::iter::once(unit.symbol())
        .chain(near.into_iter().filter(same).take(3))
        .collect()
}

fn kind_name(state: &State, reading: &Reading) -> Option<String> {
    let kind = reading.with.as_ref()?;
    state
        .play()
        .shared
        .instruments
        .get(kind)
        .map(|sort| sort.name.clone())
}

fn instruments(state: &State, reading: &Reading) -> Vec<InstrumentView> {
    let Some(kind) = &reading.with else {
        return Vec::new();
    };
    let fit = state
        .play()
        .instruments
        .iter()
        .filter(|instrument| instrument.kind == *kind);
    fit.map(|instrument| InstrumentView {
        id: instrument.id.clone(),
        name: instrument.name.clone(),
        serial: instrument.serial.clone(),
        due: instrument.due.to_string(),
        range: say!(
            state.words(),
            "{low} to {high}",
            low = instrument.from,
            high = instrument.to
        ),
        uncertainty: instrument.uncertainty_said(),
        too_coarse: player::instrument::why_too_coarse(state, reading, instrument),
    })
    .collect()
}

fn figures(state: &State, at: &StepRef, step: &Step) -> Vec<FigureView> {
    let foreseen = player::foresee(state, at);
    let figures = step.work_out.iter().zip(foreseen).filter_map(|(work, foreseen)| {
        let recorded = state
            .worked(&at.procedure, &work.name)
            .map(|(_, worked)| worked.clone());
        recorded.or(foreseen.ok())
    });
    figures.map(|worked| figure_drawn(state, &worked)).collect()
}
