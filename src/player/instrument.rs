//! The instrument of a reading: known, of the right kind, calibrated, in its range, and fine enough for the band.

use super::Actor;
use super::fact::InstrumentUsed;
use super::refusal::Refusal;
use super::state::State;
use crate::calc::Value;
use crate::procedure::band::Limits;
use crate::procedure::guard_band::{self, TooCoarse};
use crate::procedure::{Instrument, Judged, Reading, ReadingKind};
use crate::quantity::Quantity;
use crate::say;
use crate::words::Words;

/// Where the photographs of calibration certificates stand among the pinned content.
pub const CERTIFICATES: &str = "register/certificates/";

/// The chosen instrument, when it is fit for this reading; none where the reading takes none.
pub(super) fn chosen<'s>(
    state: &'s State,
    reading: &Reading,
    chosen: Option<&str>,
    value: &Value,
    label: &str,
) -> Result<Option<&'s Instrument>, Refusal> {
    let Some(kind) = &reading.with else {
        return Ok(None);
    };
    let words = state.words();
    let sort = state.play().shared.instruments.get(kind);
    let wanted = sort.map_or_else(|| kind.0.clone(), |sort| sort.name.clone());
    let needed = || Refusal::InstrumentNeeded {
        label: label.to_owned(),
        wanted: wanted.clone(),
    };
    let id = chosen.ok_or_else(needed)?;
    let instrument = found(state, id)
        .ok_or_else(|| unfit(id, words.say("it is not in the shop's register").to_owned()))?;
    if instrument.kind != *kind {
        return Err(unfit(
            &instrument.name,
            say!(words, "this reading needs {wanted}", wanted = wanted),
        ));
    }
    in_range(instrument, value, words)?;
    if let Some(limits) = limits(state, reading)
        && let Err(coarse) = fit(state, reading, &limits, instrument)
    {
        return Err(too_coarse(state, reading, &limits, instrument, &coarse));
    }
    Ok(Some(instrument))
}

fn found<'s>(state: &'s State, id: &str) -> Option<&'s Instrument> {
    let mut register = state.play().instruments.iter();
    register.find(|instrument| instrument.id == id)
}

fn unfit(instrument: &str, why: String) -> Refusal {
    Refusal::Instrument {
        instrument: instrument.to_owned(),
        why,
    }
}

/// The instrument as the record names it, with its uncertainty at this value.
pub(super) fn used(state: &State, instrument: &Instrument, value: &Value) -> InstrumentUsed {
    let guarded = state.guarded();
    let uncertainty = value
        .quantity()
        .filter(|_| guarded)
        .and_then(|quantity| instrument.expanded_at(quantity));
    InstrumentUsed {
        id: instrument.id.clone(),
        name: instrument.name.clone(),
        serial: instrument.serial.clone(),
        calibrated: instrument.calibrated,
        due: instrument.due,
        uncertainty,
        stated: guarded.then(|| instrument.uncertainty_said()),
        certificate: certificate(state, instrument).filter(|_| guarded),
    }
}

/// The hash of the photograph that the job pinned.
fn certificate(state: &State, instrument: &Instrument) -> Option<String> {
    let path = format!("{CERTIFICATES}{}", instrument.certificate.as_ref()?);
    let mut pinned = state.opening()?.content.iter();
    pinned
        .find(|(found, _)| *found == path)
        .map(|(_, sha256)| sha256.clone())
}

fn in_range(instrument: &Instrument, value: &Value, words: &Words) -> Result<(), Refusal> {
    let Value::Quantity(quantity) = value else {
        return Ok(());
    };
    let (from, to) = (instrument.from, instrument.to);
    if quantity.dimension() != from.dimension() || quantity.si() < from.si() || quantity.si() > to.si() {
        let why = say!(
            words,
            "really {value}? It reads {from} to {to} and cannot have shown that. Check the entry, or take an instrument that reads so far.",
            from = from,
            to = to,
            value = quantity
        );
        return Err(unfit(&instrument.name, why));
    }
    Ok(())
}

/// The limits of a reading as they stand now; none where no band judges it, or none that is known yet.
fn limits(state: &State, reading: &Reading) -> Option<Limits> {
    let Judged::Band(band) = &reading.judged else {
        return None;
    };
    crate::procedure::band::resolve(band, &|reference| state.value(reference)).ok()
}

/// Whether the instrument is fine enough for the limits; by simple acceptance every one is.
fn fit(state: &State, reading: &Reading, limits: &Limits, instrument: &Instrument) -> Result<(), TooCoarse> {
    let ReadingKind::Number { unit, from, to } = &reading.kind else {
        return Ok(());
    };
    if !state.guarded() || instrument.from.dimension() != from.dimension() {
        return Ok(());
    }
    let fit = guard_band::fit(limits, (*from, *to), instrument);
    fit.map_err(|coarse| coarse.in_unit(*unit))
}

/// Why the instrument is too coarse for the band of a reading, for the list of those that may be chosen.
#[must_use]
pub fn why_too_coarse(state: &State, reading: &Reading, instrument: &Instrument) -> Option<String> {
    let limits = limits(state, reading)?;
    let coarse = fit(state, reading, &limits, instrument).err()?;
    Some(says(&coarse, state.words()))
}

/// The uncertainty that stands against a band, and the one that would do. What is needed is rounded down.
fn says(coarse: &TooCoarse, words: &Words) -> String {
    say!(
        words,
        "±{has} is too coarse for this band, which needs ±{needs} or less",
        has = coarse.has.shown(3),
        needs = rounded_down(coarse.needs).shown(3)
    )
}

/// To three digits, so that an instrument bought for it will do.
fn rounded_down(needs: Quantity) -> Quantity {
    let magnitude = needs.value().abs().log10().floor();
    let step = 10_f64.powf(magnitude - 2.0);
    let down = Quantity::new((needs.value() / step).floor() * step, needs.unit());
    down.unwrap_or(needs)
}

fn too_coarse(
    state: &State,
    reading: &Reading,
    limits: &Limits,
    instrument: &Instrument,
    coarse: &TooCoarse,
) -> Refusal {
    let others = state
        .play()
        .instruments
        .iter()
        .filter(|other| other.kind == instrument.kind && fit(state, reading, limits, other).is_ok());
    let names: Vec<String> = others
        .map(|other| format!("{} ({})", other.name, other.id))
        .collect();
    let words = state.words();
    let instead = match names.as_slice() {
        [] => words
            .say("None in the shop's register will do: have a finer one calibrated and entered.")
            .to_owned(),
        names => say!(
            words,
            "Take {instruments}.",
            instruments = names.join(words.say(" or "))
        ),
    };
    unfit(&instrument.name, format!("{}. {instead}", says(coarse, words)))
}

/// Refuses an instrument whose calibration has lapsed on the day of the reading, by the tablet's own clock
/// and offset.
pub(super) fn calibrated(state: &State, actor: &Actor, chosen: Option<&str>) -> Result<(), Refusal> {
    let Some(instrument) = chosen.and_then(|id| found(state, id)) else {
        return Ok(());
    };
    let words = state.words();
    let today = actor.at.date_naive();
    if instrument.due < today {
        let why = say!(
            words,
            "its calibration lapsed on {day}. Take another one, or have it calibrated.",
            day = instrument.due
        );
        return Err(unfit(&instrument.name, why));
    }
    if instrument.calibrated > today {
        let why = say!(
            words,
            "the register says it will be calibrated on {day}; today is {today}.",
            day = instrument.calibrated,
            today = today
        );
        return Err(unfit(&instrument.name, why));
    }
    Ok(())
}
