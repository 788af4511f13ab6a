//! Why a calculator gives no figure.
use crate::quantity::QuantityError;
use crate::table::TableError;

/// What was found and what is allowed, for an apprentice or an author.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum CalcError {
    #[error("there is no calculator `{found}`; there are {}", legal.join(", "))]
    UnknownCalculator { found: String, legal: Vec<&'static str> },
    #[error("`{calculator}` has no input `{found}`; it has {}", legal.join(", "))]
    UnknownInput {
        calculator: &'static str,
        found: String,
        legal: Vec<&'static str>,
    },
    #[error("`{calculator}` needs `{input}`: {about}{}", and_also(also))]
    MissingInput {
        calculator: &'static str,
        input: &'static str,
        about: &'static str,
        /// The others that are missing too.
        also: Vec<&'static str>,
    },
    #[error("`{input}`: {source}")]
    NotAQuantity {
        input: &'static str,
        source: QuantityError,
    },
    #[error("`{input}`: found {found}, valid {range} ({range_from})")]
    OutOfRange {
        input: &'static str,
        found: String,
        range: String,
        range_from: &'static str,
    },
    #[error("`{input}`: found `{found}`, expected {expected}")]
    NotAChoice {
        input: &'static str,
        found: String,
        expected: String,
    },
    /// Inputs that are each in range, but not with one another.
    #[error("`{input}`: found {found}, {because}")]
    Refused {
        input: &'static str,
        found: String,
        because: String,
    },
    #[error("`{calculator}` gives no finite `{output}` for these inputs")]
    NotFinite {
        calculator: &'static str,
        output: &'static str,
    },
    #[error("{0}")]
    Table(#[from] TableError),
}

fn and_also(also: &[&str]) -> String {
    match also {
        [] => String::new(),
        names => format!("; and `{}`", names.join("`, `")),
    }
}
