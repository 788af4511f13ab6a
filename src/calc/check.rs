//! Check rows as data: inputs as typed, one output, and who says so.
use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::{CalcError, Outcome, Value, bind, find, run};
use crate::quantity::Unit;
use crate::table::Tables;

/// Read once: hundreds of rows would otherwise be parsed for every row that is checked.
pub(super) static SHIPPED: LazyLock<Tables> = LazyLock::new(Tables::shipped);

/// Inputs as typed: `gauge=12AWG; length=4 m`.
pub(super) type Typed<'a> = &'a str;

/// One row. `within` is absolute, in the unit of the expected value.
pub(super) struct Row {
    pub inputs: Typed<'static>,
    pub output: &'static str,
    pub expected: Expected,
    pub within: f64,
    pub kind: Kind,
    pub source: &'static str,
}

pub(super) enum Expected {
    Number(f64, &'static str),
    Text(&'static str),
    Flag(bool),
}

/// What stands behind a row.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// Printed in a source; the tolerance is half its last digit.
    Published,
    /// Computed by another method.
    Independent,
    /// A limit, an inverse or a direction.
    Property,
    /// A fact of the trade, no source.
    Practice,
}

/// A row whose output is a number, within an absolute tolerance in its unit.
pub(super) const fn number(
    inputs: Typed<'static>,
    output: &'static str,
    (value, unit): (f64, &'static str),
    within: f64,
    kind: Kind,
    source: &'static str,
) -> Row {
    Row {
        inputs,
        output,
        expected: Expected::Number(value, unit),
        within,
        kind,
        source,
    }
}

/// A row whose output is a word or a yes or no.
pub(super) const fn exact(
    inputs: Typed<'static>,
    output: &'static str,
    expected: Expected,
    kind: Kind,
    source: &'static str,
) -> Row {
    Row {
        inputs,
        output,
        expected,
        within: 0.0,
        kind,
        source,
    }
}

/// Binds the typed inputs and runs the calculator on the shipped tables.
pub(super) fn run_typed(id: &str, typed: Typed) -> Result<Outcome, CalcError> {
    let spec = find(id).unwrap_or_else(|| panic!("no calculator {id}")).spec;
    let mut inputs: BTreeMap<String, Value> = BTreeMap::new();
    for pair in typed.split(';').filter(|pair| !pair.trim().is_empty()) {
        let (name, text) = pair.split_once('=').unwrap_or_else(|| panic!("no = in {pair}"));
        inputs.insert(name.trim().to_string(), bind(spec, name.trim(), text)?);
    }
    run(id, &inputs, &SHIPPED)
}

pub(super) fn check(id: &str, rows: &[Row]) {
    for row in rows {
        let (kind, source, inputs) = (row.kind, row.source, row.inputs);
        let outcome = run_typed(id, inputs).unwrap_or_else(|error| panic!("{id} {inputs}: {error}"));
        let found = outcome
            .output(row.output)
            .unwrap_or_else(|| panic!("{id} has no output {}", row.output));
        let agrees = match (&row.expected, found) {
            (Expected::Number(value, unit), Value::Quantity(found)) => {
                Some(found.unit()) == Unit::find(unit) && (found.value() - value).abs() <= row.within
            }
            (Expected::Text(text), Value::Text(found)) => text == found,
            (Expected::Flag(flag), Value::Flag(found)) => flag == found,
            _ => false,
        };
        let expected = match row.expected {
            Expected::Number(value, unit) => format!("{value} {unit} within {}", row.within),
            Expected::Text(text) => text.to_string(),
            Expected::Flag(flag) => Value::Flag(flag).to_string(),
        };
        assert!(
            agrees,
            "{id} {inputs}: {} is {found}, expected {expected} ({kind:?}: {source})",
            row.output
        );
    }
}

/// Each row is refused with a sentence that begins so.
pub(super) fn refused(id: &str, rows: &[(Typed, &str)]) {
    for (inputs, sentence) in rows {
        match run_typed(id, inputs) {
            Ok(outcome) => panic!("{id} {inputs} was accepted: {:?}", outcome.outputs),
            Err(error) => {
                assert!(error.to_string().starts_with(sentence), "{id} {inputs}: {error}");
            }
        }
    }
}
