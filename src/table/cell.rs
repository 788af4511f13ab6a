//! One row of text cells, read cell by cell.
use std::collections::BTreeMap;

use super::{Mark, Table, TableError};
use crate::quantity::{Quantity, Unit};

/// A row whose columns are known to be legal.
pub(super) struct Cells<'a> {
    table: Table,
    cells: &'a BTreeMap<String, String>,
}

impl<'a> Cells<'a> {
    pub(super) fn of(table: Table, cells: &'a BTreeMap<String, String>) -> Result<Cells<'a>, TableError> {
        let legal: Vec<&'static str> = table.columns().iter().map(|(column, _)| *column).collect();
        match cells.keys().find(|key| !legal.contains(&key.as_str())) {
            Some(found) => Err(TableError::UnknownColumn {
                table: table.name(),
                found: found.clone(),
                legal,
            }),
            None => Ok(Cells { table, cells }),
        }
    }

    fn bad(&self, column: &'static str, what: String) -> TableError {
        TableError::BadCell {
            table: self.table.name(),
            column,
            what,
        }
    }

    /// The text of a column; an empty cell counts as none.
    pub(super) fn optional(&self, column: &'static str) -> Option<&'a str> {
        self.cells
            .get(column)
            .map(|text| text.trim())
            .filter(|text| !text.is_empty())
    }

    pub(super) fn text(&self, column: &'static str) -> Result<&'a str, TableError> {
        let missing = || TableError::MissingColumn {
            table: self.table.name(),
            column,
        };
        self.optional(column).ok_or_else(missing)
    }

    /// A quantity of the dimension of `unit`, written with its unit; a plain number has none.
    pub(super) fn quantity(&self, column: &'static str, unit: &str) -> Result<Quantity, TableError> {
        self.read(column, unit, self.text(column)?)
    }

    /// As [`Cells::quantity`], none where the cell is empty.
    pub(super) fn optional_quantity(
        &self,
        column: &'static str,
        unit: &str,
    ) -> Result<Option<Quantity>, TableError> {
        self.optional(column)
            .map(|text| self.read(column, unit, text))
            .transpose()
    }

    fn read(&self, column: &'static str, unit: &str, text: &str) -> Result<Quantity, TableError> {
        let quantity = Quantity::parse(text, None).map_err(|error| self.bad(column, error.to_string()))?;
        let dimension = Unit::find(unit).map(Unit::dimension);
        let Some(dimension) = dimension else {
            return Ok(quantity);
        };
        quantity
            .expect_dimension(dimension)
            .map_err(|error| self.bad(column, error.to_string()))
    }

    /// The meaning of a word, out of those that are legal.
    pub(super) fn word<T: Copy>(
        &self,
        column: &'static str,
        legal: &[(&'static str, T)],
    ) -> Result<T, TableError> {
        let found = self.text(column)?;
        let meaning = legal
            .iter()
            .find(|(word, _)| *word == found)
            .map(|(_, meaning)| *meaning);
        meaning.ok_or_else(|| {
            let words: Vec<&str> = legal.iter().map(|(word, _)| *word).collect();
            self.bad(
                column,
                format!("found `{found}`, expected one of {}", words.join(", ")),
            )
        })
    }

    /// A least and a most, in this order.
    pub(super) fn span(
        &self,
        (low, high): (&'static str, &'static str),
        unit: &str,
    ) -> Result<(Quantity, Quantity), TableError> {
        let (least, most) = (self.quantity(low, unit)?, self.quantity(high, unit)?);
        if least.si() > most.si() {
            return Err(self.bad(
                high,
                format!("found {most}, expected no less than `{low}`, {least}"),
            ));
        }
        Ok((least, most))
    }

    pub(super) fn origin(&self) -> Result<Origin, TableError> {
        Ok(Origin {
            source: self.text("source")?.to_string(),
            mark: self.word("mark", Mark::WORDS)?,
        })
    }
}

/// Where a row comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Origin {
    pub source: String,
    pub mark: Mark,
}

impl Origin {
    /// The source and how well it is known; a source that names its weak parts itself is not marked again, since
    /// the row's mark is that of its weakest part.
    pub fn parts(&self) -> Vec<String> {
        let told = ["from memory", "second-hand", "no source"];
        if told.iter().any(|words| self.source.contains(words)) {
            vec![self.source.clone()]
        } else {
            [self.source.as_str(), "; ", self.mark.in_words()]
                .map(str::to_owned)
                .into()
        }
    }

    /// The source and how well it is known, in one text.
    pub fn in_words(&self) -> String {
        self.parts().concat()
    }
}
