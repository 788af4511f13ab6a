//! What a wire may carry without end, where it lies.
use super::{CalcError, Given, InputSpec, Mark, Need, Range, Source};
use crate::calc::Note;
use crate::note;
use crate::table::{Ampacity, Run, TableError, Tables};

pub(super) const BOAT: Source = Source::new(
    "33 CFR 183.425",
    "table 5 (federal.elaws.us) and its engine-space factor",
    Mark::Seen,
);
pub(super) const AIRCRAFT: Source =
    Source::new("AC 43.13-1B", "table 11-9, for wires below 18 AWG", Mark::Seen);
pub(super) const BUNDLED: Source = Source::new(
    "US Coast Guard electrical system compliance guideline",
    "correction for bundles, as a marine catalogue reprints it, page 212 (delzer.com)",
    Mark::SecondHand,
);
/// Which of the contradicting tables counts, and why.
pub(super) const CHOICE: &str = "The tables contradict one another: AC 43.13-1B gives a wire in a full aircraft harness in thin air a third of what 33 CFR 183.425 gives it in a boat. From 18 AWG up the boat's table counts with its factors for heat and bundle, since it stands for wires at sea level; thinner wires take the aircraft's. The safe side is taken in doubt: never cooler air than the tables', the lesser of the printed and the computed engine figure, the thinner row.";
pub(super) const INSULATION_RANGE: Range = Range::new(
    "°C",
    60.0,
    250.0,
    "33 CFR 183.425 columns from 60 °C; ISO 19642 classes to 250 °C",
);
pub(super) const BUNDLE_RANGE: Range = Range::new("1", 1.0, 100.0, "wires of a vehicle's harness");
pub(super) const AMBIENT_RANGE: Range =
    Range::new("°C", -40.0, 125.0, "from a winter night to an engine bay");

pub(super) const fn insulation(need: Need) -> InputSpec {
    InputSpec::number(
        "insulation",
        "Insulation temperature",
        "T_i",
        "the temperature that the insulation stands",
        INSULATION_RANGE,
        need,
    )
}

pub(super) const fn bundle(need: Need) -> InputSpec {
    InputSpec::number(
        "bundle",
        "Loaded wires together",
        "n",
        "how many loaded wires lie together, this one counted",
        BUNDLE_RANGE,
        need,
    )
}

pub(super) const fn place(need: Need) -> InputSpec {
    InputSpec::choice(
        "place",
        "Place of the wire",
        "where the hottest part of the wire lies",
        &["engine", "cabin"],
        need,
    )
}

/// Where and how a wire lies.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lay {
    pub insulation_c: f64,
    /// Loaded wires together, this one counted.
    pub bundle: f64,
    pub ambient_c: f64,
    /// An engine space counts as 50 °C at least, a cabin as 30 °C at least.
    pub engine: bool,
}

impl Lay {
    pub(super) fn of(given: &Given) -> Result<Lay, CalcError> {
        let bundle = given.si("bundle")?;
        if bundle.fract() != 0.0 {
            return Err(given.refuse("bundle", "expected a whole number of wires"));
        }
        let lay = Lay {
            insulation_c: given.celsius("insulation")?,
            bundle,
            ambient_c: given.celsius("ambient")?,
            engine: given.is("place", "engine"),
        };
        if lay.air_c() >= lay.column_c() {
            let (air_c, column_c) = (lay.air_c(), lay.column_c());
            return Err(given.refuse(
                "ambient",
                note!(
                    "where the air counts as {air} °C and the insulation as {column} °C, no current is safe",
                    air = air_c,
                    column = column_c
                ),
            ));
        }
        Ok(lay)
    }

    /// The air that the tables stand for, never cooler than they do.
    pub fn air_c(&self) -> f64 {
        self.ambient_c.max(if self.engine { 50.0 } else { 30.0 })
    }

    /// The hottest column of 33 CFR 183.425 that the insulation reaches.
    pub fn column_c(&self) -> f64 {
        let columns = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];
        columns
            .into_iter()
            .rev()
            .find(|column| self.insulation_c >= *column)
            .unwrap_or(60.0)
    }
}

/// The current in A that a wire of `area_m2` may carry without end; none where the tables know no wire so thin.
///
/// I = I_table · √((T_i − T_air) / (T_i − T_table)) · bundle factor
///
/// The root is the heat balance; it gives the printed engine-space factor of 0.85 for 105 °C. A size between
/// two rows counts as the thinner.
///
/// # Errors
/// `NoRow` where the tables lack the column or the bundle.
pub fn ampacity_a(tables: &Tables, area_m2: f64, lay: &Lay) -> Result<Option<f64>, TableError> {
    let column_c = lay.column_c();
    let outside = tables.ampacities_for(Run::Outside, column_c)?;
    let cooler = |air_c: f64, table_c: f64| ((column_c - air_c) / (column_c - table_c)).sqrt();
    let Some(row) = at_most(&outside, area_m2) else {
        return in_harness(tables, area_m2, lay);
    };
    let alone_a = row.current.si() * cooler(lay.air_c(), 30.0);
    let bundled = tables.bundle_factor(lay.bundle)?;
    // The printed engine column is rounded, at times downward: the lesser counts.
    let printed_a = tables
        .ampacities_for(Run::Engine, column_c)
        .ok()
        .and_then(|rows| {
            at_most(&rows, area_m2)
                .filter(|_| lay.engine)
                .map(|row| row.current.si() * cooler(lay.air_c(), 50.0))
        });
    Ok(Some(
        printed_a.map_or(alone_a, |printed_a| printed_a.min(alone_a)) * bundled,
    ))
}

/// Below 18 AWG only the aircraft table knows wires; it stands for a whole harness in 70 °C already.
fn in_harness(tables: &Tables, area_m2: f64, lay: &Lay) -> Result<Option<f64>, TableError> {
    let column_c = [105.0, 150.0, 200.0]
        .into_iter()
        .rev()
        .find(|column| lay.insulation_c >= *column);
    let Some(column_c) = column_c.filter(|column_c| lay.air_c() < *column_c) else {
        return Ok(None);
    };
    let rows = tables.ampacities_for(Run::Harness, column_c)?;
    let hotter = ((column_c - lay.air_c().max(70.0)) / (column_c - 70.0)).sqrt();
    Ok(at_most(&rows, area_m2).map(|row| row.current.si() * hotter))
}

/// The thickest row that is no thicker than the wire.
fn at_most<'a>(rows: &[&'a Ampacity], area_m2: f64) -> Option<&'a Ampacity> {
    rows.iter()
        .rev()
        .find(|row| row.gauge.si() <= area_m2 * (1.0 + 1e-9))
        .copied()
}

/// The wire as it was counted, in a sentence.
pub(super) fn note(lay: &Lay) -> Note {
    note!(
        "The wire is counted as {insulation} °C insulation in air of {air} °C, {bundle} loaded together.",
        insulation = lay.column_c(),
        air = lay.air_c(),
        bundle = lay.bundle
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Quantity;

    #[test]
    fn tables_and_factors_as_printed() {
        // Gauge, insulation, bundle, ambient, engine, amperes, tolerance. The first four and the last two are
        // printed (33 CFR 183.425 table 5, AC 43.13-1B table 11-9); the others are printed values times factors.
        let rows = [
            ("12 AWG", 105.0, 1.0, 20.0, false, 45.0, 1e-9),
            ("12 AWG", 105.0, 1.0, 20.0, true, 38.0, 1e-9),
            ("16 AWG", 80.0, 1.0, 30.0, false, 20.0, 1e-9),
            ("10 AWG", 105.0, 1.0, 50.0, true, 51.0, 1e-9),
            ("12 AWG", 105.0, 4.0, 30.0, false, 45.0 * 0.6, 1e-9),
            ("12 AWG", 105.0, 1.0, 50.0, false, 45.0 * 0.85, 0.3),
            ("2.5 mm2", 105.0, 1.0, 30.0, false, 35.0, 1e-9),
            (
                "14 AWG",
                75.0,
                1.0,
                50.0,
                true,
                20.0 * (25.0_f64 / 45.0).sqrt(),
                1e-9,
            ),
            ("20 AWG", 105.0, 40.0, 70.0, true, 4.0, 1e-9),
            ("22 AWG", 200.0, 1.0, 20.0, false, 6.0, 1e-9),
        ];
        for (gauge, insulation_c, bundle, ambient_c, engine, expected_a, within) in rows {
            let area_m2 = Quantity::parse(gauge, None).unwrap().si();
            let lay = Lay {
                insulation_c,
                bundle,
                ambient_c,
                engine,
            };
            let found_a = ampacity_a(&Tables::shipped(), area_m2, &lay).unwrap().unwrap();
            assert!(
                (found_a - expected_a).abs() <= within,
                "{gauge} {lay:?}: {found_a}, expected {expected_a}"
            );
        }
    }

    #[test]
    fn more_heat_or_company_never_carries_more() {
        let tables = Tables::shipped();
        let area_m2 = Quantity::parse("14 AWG", None).unwrap().si();
        for column_c in [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0] {
            let mut last_a = f64::INFINITY;
            for (bundle, ambient_c) in [
                (1.0, 20.0),
                (1.0, 40.0),
                (1.0, 55.0),
                (2.0, 55.0),
                (7.0, 55.0),
                (30.0, 58.0),
            ] {
                let lay = Lay {
                    insulation_c: column_c,
                    bundle,
                    ambient_c,
                    engine: false,
                };
                let found_a = ampacity_a(&tables, area_m2, &lay).unwrap().unwrap();
                assert!(
                    found_a <= last_a && found_a > 0.0,
                    "{lay:?}: {found_a} after {last_a}"
                );
                last_a = found_a;
            }
        }
    }
}
