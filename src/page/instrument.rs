//! The instruments of a job: what each was trusted with, and by which rule its readings were judged.

use crate::player::State;
use crate::player::fact::{Body, InstrumentUsed, ReadingTaken};
use crate::say;
use crate::to_say;
use crate::words::Words;
use std::collections::BTreeMap;

/// One instrument that readings of the job were taken with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InstrumentLine {
    pub name: String,
    pub serial: String,
    /// From the calibration to the day when it lapses.
    pub calibrated: String,
    /// What the register states of its uncertainty.
    pub uncertainty: String,
    /// The hash of its certificate's photograph, or that there is none.
    pub certificate: String,
    pub readings: usize,
}

/// Every instrument that was used, in the order of their ids.
#[must_use]
pub fn used(state: &State) -> Vec<InstrumentLine> {
    let mut lines: BTreeMap<&str, InstrumentLine> = BTreeMap::new();
    for fact in state.facts().iter() {
        if let Body::Read(ReadingTaken {
            instrument: Some(used),
            ..
        }) = &fact.body
        {
            lines
                .entry(&used.id)
                .or_insert_with(|| line(used, state.words()))
                .readings += 1;
        }
    }
    lines.into_values().collect()
}

fn line(used: &InstrumentUsed, words: &Words) -> InstrumentLine {
    let photograph = |hash: &String| say!(words, "Photographed: SHA-256 {hash}", hash = hash);
    InstrumentLine {
        name: used.name.clone(),
        serial: used.serial.clone(),
        calibrated: say!(words, "{low} to {high}", low = used.calibrated, high = used.due),
        uncertainty: used.stated.clone().unwrap_or_else(|| say!(words, "not recorded")),
        certificate: used.certificate.as_ref().map_or_else(
            || say!(words, "No certificate is kept with this record"),
            photograph,
        ),
        readings: 0,
    }
}

/// The rule by which readings were judged, in words.
#[must_use]
pub fn decision(state: &State) -> String {
    let rule = if state.guarded() {
        to_say!(
            "Guarded acceptance (JCGM 106): a measured value is in its band only where it lies inside each limit by the expanded uncertainty of its instrument (k = 2) or more. Nearer than that it is not decided, and is treated as a deviation."
        )
    } else {
        to_say!(
            "Simple acceptance: measured values were held against their bands without the uncertainty of their instruments."
        )
    };
    state.words().say(rule).to_owned()
}

/// `Fuel gauge, ±0.05 bar`, for a reading that was taken with an instrument; else nothing. Where the instrument
/// itself gave the value, a second line says who it says that it is.
#[must_use]
pub fn taken_with(taken: &ReadingTaken, words: &Words) -> String {
    let Some(used) = &taken.instrument else {
        return String::new();
    };
    let width = used.uncertainty.map(|width| format!(", ±{}", width.shown(2)));
    let mut said = format!("{}{}", used.name, width.unwrap_or_default());
    if let Some(live) = read_itself(taken, words) {
        said = format!("{said}\n{live}");
    }
    said
}

/// That the instrument itself gave the value, and who it says that it is; nothing where a person typed it.
#[must_use]
pub fn read_itself(taken: &ReadingTaken, words: &Words) -> Option<String> {
    let live = taken.live.as_ref()?;
    Some(say!(
        words,
        "read by the instrument itself: {identity}",
        identity = live.identity
    ))
}
