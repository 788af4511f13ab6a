//! What is wrong with a table, or missing from it.

/// Names the table and the column, what was found and what is allowed.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum TableError {
    #[error("there is no table `{found}`; there are {}", legal.join(", "))]
    UnknownTable { found: String, legal: Vec<&'static str> },
    #[error("table `{table}` has no column `{found}`; it has {}", legal.join(", "))]
    UnknownColumn {
        table: &'static str,
        found: String,
        legal: Vec<&'static str>,
    },
    #[error("a row of table `{table}` has no `{column}`")]
    MissingColumn {
        table: &'static str,
        column: &'static str,
    },
    #[error("table `{table}`, column `{column}`: {what}")]
    BadCell {
        table: &'static str,
        column: &'static str,
        what: String,
    },
    #[error("table `{table}` has no row for {wanted}; it has {}", listed(has))]
    NoRow {
        table: &'static str,
        wanted: String,
        has: Vec<String>,
    },
}

fn listed(has: &[String]) -> String {
    if has.is_empty() {
        "no rows".to_string()
    } else {
        has.join(", ")
    }
}
