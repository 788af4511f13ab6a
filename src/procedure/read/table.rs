//! Tables: their rows are handed over cell by cell, as text.

use super::Reader;
use crate::content::Node;
use crate::diagnostic::Report;
use crate::procedure::draft::Marked;
use crate::procedure::form::shared::TABLE;
use crate::table::Tables;
use std::collections::BTreeMap;

/// Reads a table from its file's tree into `tables`; `slug` is the file's name without its ending.
pub fn table(path: &str, slug: &str, root: &Node, tables: &mut Tables, report: &mut Report) -> Vec<Marked> {
    let mut reader = Reader::new(path, report);
    let Some(map) = reader.map(root, &TABLE) else {
        return reader.marks;
    };
    reader.slug(&map, "table");
    let columns = map
        .get("columns")
        .and_then(|node| reader.entries(node, "columns, each with its meaning"));
    let columns: Vec<&str> = columns
        .unwrap_or_default()
        .iter()
        .map(|(key, _)| key.text.as_str())
        .collect();
    let rows = map
        .get("rows")
        .map(|node| reader.items(node, "rows"))
        .unwrap_or_default();
    for row in rows {
        reader.row(row, slug, &columns, tables);
    }
    reader.marks
}

impl Reader<'_> {
    fn row(&mut self, node: &Node, table: &str, columns: &[&str], tables: &mut Tables) {
        let mut cells = BTreeMap::new();
        for (key, value) in self.entries(node, "a row").unwrap_or_default() {
            if !columns.contains(&key.text.as_str()) {
                let found = format!("the column {}", crate::diagnostic::quoted(&key.text));
                let fault = self.found(key.spot, "unknown-key", found, "a column of this table");
                self.report.push(fault.choose(&key.text, columns.iter().copied()));
            } else if let Some(cell) = self.scalar(value, "a cell") {
                cells.insert(key.text.clone(), cell.to_owned());
            }
        }
        if node.map().is_some()
            && let Err(error) = tables.push(table, &cells)
        {
            let fault = self.found(
                node.spot,
                "table-row",
                "a row that does not fit",
                "a row of this table",
            );
            self.report.push(fault.help(error.to_string()));
        }
    }
}
