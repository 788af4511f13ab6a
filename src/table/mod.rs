//! Typed rows of wire, fuse, clamp, hose and fitting tables.
//!
//! The rows stand in `content/tables/`, each with its source. Whoever reads them hands each one over as
//! text cells:
//!
//! ```
//! use std::collections::BTreeMap;
//! use witnessmark::table::Tables;
//!
//! let cells = [("rating", "10 A"), ("colour", "red"), ("source", "a colour chart"), ("mark", "seen")];
//! let row = BTreeMap::from(cells.map(|(key, text)| (key.to_string(), text.to_string())));
//! let mut tables = Tables::default();
//! tables.push("fuse", &row).unwrap();
//! assert_eq!(tables.fuses[0].rating.to_string(), "10 A");
//! ```
mod cell;
mod error;
mod look_up;
mod mark;
mod name;
mod row;
#[cfg(test)]
mod shipped;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

pub use cell::Origin;
pub use error::TableError;
pub use mark::Mark;
pub use name::Table;
pub use row::{Ampacity, Bundle, Clamp, ClampKind, Derating, Filling, Flare, Fuse, FuseTime, HoseClass};
pub use row::{PipeThread, Run, Wire};

use cell::Cells;

/// Every table, its rows in the order they came.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Tables {
    pub wires: Vec<Wire>,
    pub ampacities: Vec<Ampacity>,
    pub bundles: Vec<Bundle>,
    pub fuses: Vec<Fuse>,
    pub fuse_times: Vec<FuseTime>,
    pub fuse_deratings: Vec<Derating>,
    pub clamps: Vec<Clamp>,
    pub hose_classes: Vec<HoseClass>,
    pub tube_deratings: Vec<Derating>,
    pub flares: Vec<Flare>,
    pub pipe_threads: Vec<PipeThread>,
    pub fillings: Vec<Filling>,
}

impl Tables {
    /// Adds a row, its cells as text, to the table named `table`.
    ///
    /// # Errors
    /// An unknown table or column with the legal ones, a missing column, or a cell with what was found and
    /// what is allowed.
    pub fn push(&mut self, table: &str, row: &BTreeMap<String, String>) -> Result<(), TableError> {
        let table = Table::find(table)?;
        let cells = Cells::of(table, row)?;
        match table {
            Table::Wire => self.wires.push(Wire::of(&cells)?),
            Table::Ampacity => self.ampacities.push(Ampacity::of(&cells)?),
            Table::Bundle => self.bundles.push(Bundle::of(&cells)?),
            Table::Fuse => self.fuses.push(Fuse::of(&cells)?),
            Table::FuseTime => self.fuse_times.push(FuseTime::of(&cells)?),
            Table::FuseDerating => self.fuse_deratings.push(Derating::of(&cells)?),
            Table::Clamp => self.clamps.push(Clamp::of(&cells)?),
            Table::HoseClass => self.hose_classes.push(HoseClass::of(&cells)?),
            Table::TubeDerating => self.tube_deratings.push(Derating::of(&cells)?),
            Table::Flare => self.flares.push(Flare::of(&cells)?),
            Table::PipeThread => self.pipe_threads.push(PipeThread::of(&cells)?),
            Table::Filling => self.fillings.push(Filling::of(&cells)?),
        }
        Ok(())
    }

    /// Tables of all these rows, each with the name of its table.
    ///
    /// # Errors
    /// As [`Tables::push`], at the first bad row.
    pub fn from_rows<'a>(
        rows: impl IntoIterator<Item = (&'a str, BTreeMap<String, String>)>,
    ) -> Result<Tables, TableError> {
        let mut tables = Tables::default();
        for (table, row) in rows {
            tables.push(table, &row)?;
        }
        Ok(tables)
    }
}
