//! The best instrument of a kind is fit for every band that it is to judge, as far as the band is known.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::band::{self, Limits};
use crate::procedure::draft::{Mark, Site};
use crate::procedure::guard_band::{self, TooCoarse};
use crate::procedure::model::{
    Band, Finest, Instrument, InstrumentKind, Judged, Operand, Reading, ReadingKind, Tolerance,
};
use crate::quantity::{Quantity, Unit};
use chrono::NaiveDate;

pub(super) fn check(file: &File, report: &mut Report) {
    let procedures = file.draft.procedures.values();
    let Some(procedure) = procedures.into_iter().find(|one| one.path == file.path) else {
        return;
    };
    for marked in file.marks {
        let (Mark::Instrument { kind, .. }, Site::Step(step)) = (&marked.mark, marked.site) else {
            continue;
        };
        let sort = file.draft.shared.instruments.get(&InstrumentKind(kind.clone()));
        let Some(finest) = sort.and_then(|sort| sort.finest.as_ref()) else {
            continue;
        };
        let mut readings = procedure
            .model
            .steps
            .get(step)
            .into_iter()
            .flat_map(|step| &step.read);
        // The mark stands inside its reading, so the reading is the last that begins before it.
        let reading = readings
            .rfind(|reading| (reading.place.line, reading.place.column) < (marked.at.line, marked.at.column));
        if let Some((coarse, unit)) = reading.and_then(|reading| too_coarse(reading, kind, finest)) {
            let coarse = coarse.in_unit(unit);
            let found = format!("`{kind}`, at best ± {}", coarse.has.shown(3));
            let expected = format!(
                "an instrument of ± {} or finer for this band",
                coarse.needs.shown(3)
            );
            let fault = file.found(marked.at, "instrument-too-coarse", found, &expected);
            report.push(fault.help(
                "guards of that width must leave half of the band; `instruments.yaml` states the best of a kind",
            ));
        }
    }
}

fn too_coarse(reading: &Reading, kind: &str, finest: &Finest) -> Option<(TooCoarse, Unit)> {
    let (ReadingKind::Number { unit, from, to }, Judged::Band(band)) = (&reading.kind, &reading.judged)
    else {
        return None;
    };
    let limits = known(band, *from, *to)?;
    let instrument = best(kind, finest, *from, *to);
    let coarse = guard_band::fit(&limits, (*from, *to), &instrument).err()?;
    Some((coarse, *unit))
}

/// The limits, where they are known before the job, or where at least their distance is: around a middle that
/// only the job knows, they are laid where the instrument is at its best.
fn known(band: &Band, from: Quantity, to: Quantity) -> Option<Limits> {
    if let Ok(limits) = band::resolve(band, &|_| None) {
        return Some(limits);
    }
    let alone = band.at_least.is_empty() && band.at_most.is_empty();
    let Some((_, Tolerance::Absolute(width))) = band.around.as_ref().filter(|_| alone) else {
        return None;
    };
    let nearest = if from.si() * to.si() <= 0.0 {
        Quantity::new(0.0, from.unit()).ok()?
    } else if from.si().abs() < to.si().abs() {
        from
    } else {
        to
    };
    let around = Band {
        around: Some((
            Operand::Fixed(crate::calc::Value::Quantity(nearest)),
            Tolerance::Absolute(*width),
        )),
        ..Band::default()
    };
    band::resolve(&around, &|_| None).ok()
}

/// The best instrument of a kind, with room enough for every limit.
fn best(kind: &str, finest: &Finest, from: Quantity, to: Quantity) -> Instrument {
    Instrument {
        id: String::new(),
        kind: InstrumentKind(kind.to_owned()),
        name: String::new(),
        serial: String::new(),
        from,
        to,
        resolution: finest.resolution,
        uncertainty: finest.uncertainty.clone(),
        certificate: None,
        meter: None,
        calibrated: NaiveDate::MIN,
        due: NaiveDate::MAX,
    }
}
