//! The instruments of a record, put together from its readings.
//!
//! The shop's register changes with every calibration and does not stand in the folder; each reading says
//! which instrument it was and which calibration it had. What a record cannot show is the instrument's range.

use crate::calc::Value;
use crate::player::Play;
use crate::player::fact::{Body, Fact, InstrumentUsed, ReadingTaken};
use crate::procedure::{Instrument, InstrumentKind};
use crate::quantity::{Dimension, Quantity, Unit};
use std::collections::BTreeMap;

/// Wider than any instrument, and finite in SI in every unit.
const WIDEST: f64 = 1e290;

/// Every instrument as it stood at a reading, under an id of its own.
pub(super) struct Register {
    instruments: Vec<Instrument>,
    /// The instrument's place, by the number of the reading's entry.
    readings: BTreeMap<u64, usize>,
    /// The id that the record gives, by place.
    ids: Vec<String>,
}

impl Register {
    /// The instruments that the readings name.
    pub fn of(play: &Play, facts: &[Fact]) -> Self {
        let mut register = Self {
            instruments: Vec::new(),
            readings: BTreeMap::new(),
            ids: Vec::new(),
        };
        for fact in facts {
            if let Body::Read(taken) = &fact.body {
                let made = made(play, taken, &register);
                if let Some((used, instrument)) = made {
                    register.readings.insert(fact.n, register.ids.len());
                    register.ids.push(used.id.clone());
                    register.instruments.push(instrument);
                }
            }
        }
        register
    }

    /// All of them, for the player.
    pub fn instruments(&self) -> Vec<Instrument> {
        self.instruments.clone()
    }

    /// The id under which the player finds the instrument of the reading in entry `n`.
    pub fn id_of(&self, n: u64) -> Option<&str> {
        self.readings
            .get(&n)
            .map(|place| self.instruments[*place].id.as_str())
    }

    /// Gives an instrument in a fact of the player the id that the record gives it.
    pub fn rename(&self, body: &mut Body) {
        if let Body::Read(ReadingTaken {
            instrument: Some(used),
            ..
        }) = body
            && let Some(place) = used
                .id
                .parse::<usize>()
                .ok()
                .filter(|place| *place < self.ids.len())
        {
            used.id.clone_from(&self.ids[place]);
        }
    }
}

/// The instrument of a reading, when both the record and the content have one. Its id is its place.
fn made<'a>(
    play: &Play,
    taken: &'a ReadingTaken,
    register: &Register,
) -> Option<(&'a InstrumentUsed, Instrument)> {
    let used = taken.instrument.as_ref()?;
    let kind = kind(play, taken)?;
    let dimension = match &taken.value {
        Value::Quantity(quantity) => quantity.dimension(),
        _ => Dimension::Number,
    };
    // A wire gauge has few sizes and no wide range; its dimension has other units.
    let unit: Unit = dimension.units().find(|unit| !unit.is_gauge())?;
    let (from, to) = (
        Quantity::new(-WIDEST, unit).ok()?,
        Quantity::new(WIDEST, unit).ok()?,
    );
    let instrument = Instrument {
        id: register.ids.len().to_string(),
        kind,
        name: used.name.clone(),
        serial: used.serial.clone(),
        from,
        to,
        resolution: to,
        calibrated: used.calibrated,
        due: used.due,
    };
    Some((used, instrument))
}

fn kind(play: &Play, taken: &ReadingTaken) -> Option<InstrumentKind> {
    let step = play.step(&taken.step)?;
    step.read
        .iter()
        .find(|reading| reading.name == taken.name)?
        .with
        .clone()
}
