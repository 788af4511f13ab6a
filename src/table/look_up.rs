//! Looking rows up; a row that is not there is an error that says what is.
use super::{Ampacity, Derating, FuseTime, HoseClass, Run, TableError, Tables, Wire};
use crate::quantity::Quantity;

impl Tables {
    /// The wire sold under this size, where the table has it.
    pub fn wire(&self, gauge: Quantity) -> Option<&Wire> {
        self.wires.iter().find(|wire| same_size(wire.gauge, gauge))
    }

    /// The ampacities of one run and one insulation, thinnest wire first.
    ///
    /// # Errors
    /// `NoRow` when there is none.
    pub fn ampacities_for(&self, run: Run, insulation_c: f64) -> Result<Vec<&Ampacity>, TableError> {
        let is_it =
            |row: &&Ampacity| row.run == run && (row.insulation.si() - 273.15 - insulation_c).abs() < 0.01;
        let mut rows: Vec<&Ampacity> = self.ampacities.iter().filter(is_it).collect();
        rows.sort_by(|a, b| a.gauge.si().total_cmp(&b.gauge.si()));
        let wanted = format!("{insulation_c} °C insulation, {run:?}");
        let has = || {
            self.ampacities
                .iter()
                .map(|row| format!("{} {:?}", row.insulation, row.run))
                .collect()
        };
        if rows.is_empty() {
            Err(TableError::NoRow {
                table: "ampacity",
                wanted,
                has: has(),
            })
        } else {
            Ok(rows)
        }
    }

    /// What is left of the ampacity with so many loaded wires together.
    ///
    /// # Errors
    /// `NoRow` when no row holds the number.
    pub fn bundle_factor(&self, wires: f64) -> Result<f64, TableError> {
        let holds = |from: Quantity, to: Option<Quantity>| {
            from.value() <= wires && to.is_none_or(|to| wires <= to.value())
        };
        let row = self.bundles.iter().find(|row| holds(row.from, row.to));
        let missing = || TableError::NoRow {
            table: "bundle",
            wanted: format!("{wires} wires"),
            has: self
                .bundles
                .iter()
                .map(|row| format!("from {}", row.from))
                .collect(),
        };
        row.map(|row| row.factor.si()).ok_or_else(missing)
    }

    /// The times of one fuse body, smallest multiple first.
    ///
    /// # Errors
    /// `NoRow` when there is none.
    pub fn fuse_times_for(&self, body: &str) -> Result<Vec<&FuseTime>, TableError> {
        let mut rows: Vec<&FuseTime> = self.fuse_times.iter().filter(|row| row.body == body).collect();
        rows.sort_by(|a, b| a.multiple.si().total_cmp(&b.multiple.si()));
        let has = || self.fuse_times.iter().map(|row| row.body.clone()).collect();
        let missing = || TableError::NoRow {
            table: "fuse-time",
            wanted: body.to_string(),
            has: has(),
        };
        if rows.is_empty() { Err(missing()) } else { Ok(rows) }
    }

    /// The class of hose of this name.
    ///
    /// # Errors
    /// `NoRow` with the classes there are.
    pub fn hose_class(&self, class: &str) -> Result<&HoseClass, TableError> {
        let row = self.hose_classes.iter().find(|row| row.class == class);
        row.ok_or_else(|| TableError::NoRow {
            table: "hose-class",
            wanted: class.to_string(),
            has: self.hose_classes.iter().map(|row| row.class.clone()).collect(),
        })
    }

    /// What is left of a fuse's rating at a temperature, straight between the rows.
    ///
    /// # Errors
    /// `NoRow` outside the rows: a derating is never extrapolated.
    pub fn fuse_derating(&self, temperature_c: f64) -> Result<f64, TableError> {
        between(&self.fuse_deratings, "fuse-derating", temperature_c)
    }

    /// What is left of a polyamide tube's rating at a temperature, straight between the rows.
    ///
    /// # Errors
    /// `NoRow` outside the rows: a derating is never extrapolated.
    pub fn tube_derating(&self, temperature_c: f64) -> Result<f64, TableError> {
        between(&self.tube_deratings, "tube-derating", temperature_c)
    }
}

/// The same size under the same kind of name, whatever the unit: 12 AWG is no 3.31 mm² wire.
fn same_size(one: Quantity, other: Quantity) -> bool {
    let same_name = one.unit().is_gauge() == other.unit().is_gauge();
    same_name && (one.si() - other.si()).abs() <= 1e-9 * one.si()
}

fn between(rows: &[Derating], table: &'static str, temperature_c: f64) -> Result<f64, TableError> {
    let mut points: Vec<(f64, f64)> = rows
        .iter()
        .map(|row| (row.temperature.si() - 273.15, row.factor.si()))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let inside = points
        .windows(2)
        .find(|pair| (pair[0].0 - 1e-9..=pair[1].0 + 1e-9).contains(&temperature_c));
    let missing = || TableError::NoRow {
        table,
        wanted: format!("{temperature_c} °C"),
        has: points
            .iter()
            .map(|(temperature, _)| format!("{temperature:.0} °C"))
            .collect(),
    };
    let pair = inside.ok_or_else(missing)?;
    let share = (temperature_c - pair[0].0) / (pair[1].0 - pair[0].0);
    Ok(pair[0].1 + share * (pair[1].1 - pair[0].1))
}
