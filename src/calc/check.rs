//! Check rows as data: inputs as typed, one output, and who says so.
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::{CalcError, Outcome, Spec, Value, bind, find, run};
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
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
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

/// The typed inputs, bound.
pub(super) fn bound(spec: &'static Spec, typed: Typed) -> Result<BTreeMap<String, Value>, CalcError> {
    let pairs = typed.split(';').filter(|pair| !pair.trim().is_empty());
    pairs
        .map(|pair| {
            let (name, text) = pair.split_once('=').unwrap_or_else(|| panic!("no = in {pair}"));
            Ok((name.trim().to_string(), bind(spec, name.trim(), text)?))
        })
        .collect()
}

/// Runs the calculator on the shipped tables.
pub(super) fn run_bound(id: &str, inputs: &BTreeMap<String, Value>) -> Result<Outcome, CalcError> {
    run(id, inputs, &SHIPPED)
}

/// Binds the typed inputs and runs the calculator on the shipped tables.
pub(super) fn run_typed(id: &str, typed: Typed) -> Result<Outcome, CalcError> {
    let spec = find(id).unwrap_or_else(|| panic!("no calculator {id}")).spec;
    run_bound(id, &bound(spec, typed)?)
}

/// A row that was checked, for the tally.
#[derive(Clone, Debug)]
pub(super) struct Checked {
    pub id: String,
    pub inputs: String,
    pub kind: Kind,
    pub source: &'static str,
}

thread_local! {
    /// Every row that this thread has checked: `evidence.rs` runs all rows and counts them.
    pub(super) static TALLY: RefCell<Vec<Checked>> = const { RefCell::new(Vec::new()) };
}

pub(super) fn check(id: &str, rows: &[Row]) {
    for row in rows {
        let (kind, source, inputs) = (row.kind, row.source, row.inputs);
        TALLY.with_borrow_mut(|tally| {
            tally.push(Checked {
                id: id.to_string(),
                inputs: inputs.to_string(),
                kind,
                source,
            })
        });
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
