//! From what was typed to a value that a calculator may take.
use super::error::Expected;
use super::{CalcError, InputKind, InputSpec, Range, Spec, Value};
use crate::quantity::{Quantity, QuantityError, Unit};

/// Reads the text typed for the input `name`: any unit of the right dimension, the default unit for a
/// bare number, a legal word in any letter case.
///
/// # Errors
/// An unknown input with the legal names, or what was found and what is allowed, range included.
pub fn bind(spec: &'static Spec, name: &str, text: &str) -> Result<Value, CalcError> {
    let input = spec.input(name).ok_or_else(|| unknown_input(spec, name))?;
    read(input, text).and_then(|value| admit(input, value))
}

pub(super) fn unknown_input(spec: &'static Spec, name: &str) -> CalcError {
    let legal = spec.inputs.iter().map(|input| input.name).collect();
    CalcError::UnknownInput {
        calculator: spec.id,
        found: name.to_string(),
        legal,
    }
}

/// Refuses a value of the wrong kind, of the wrong dimension or outside its range, and brings words into
/// the spelling of the calculator.
pub(super) fn admit(input: &'static InputSpec, value: Value) -> Result<Value, CalcError> {
    match (&value, &input.kind) {
        (Value::Quantity(quantity), InputKind::AnyQuantity) => Ok(Value::Quantity(*quantity)),
        (Value::Quantity(quantity), kind) if !kind.ranges().is_empty() => admit_quantity(input, *quantity),
        (Value::Flag(_), InputKind::Flag) => Ok(value),
        (Value::Text(text), _) => admit_text(input, text),
        _ => Err(not_a_choice(input, &value.to_string())),
    }
}

/// Words that another place already took for a text: a card's choice, or a quantity not yet read.
fn admit_text(input: &'static InputSpec, text: &str) -> Result<Value, CalcError> {
    match read(input, text)? {
        Value::Text(word) => Ok(Value::Text(word)),
        other => admit(input, other),
    }
}

fn admit_quantity(input: &'static InputSpec, quantity: Quantity) -> Result<Value, CalcError> {
    let range = range_for(input, quantity)?;
    if range.holds(quantity) {
        return Ok(Value::Quantity(quantity));
    }
    Err(CalcError::OutOfRange {
        input: input.name,
        found: quantity.to_string(),
        range,
    })
}

/// The range of the quantity's own dimension.
fn range_for(input: &'static InputSpec, quantity: Quantity) -> Result<Range, CalcError> {
    let ranges = input.kind.ranges();
    let same = ranges
        .iter()
        .find(|range| range.unit().dimension() == quantity.dimension());
    same.map(|range| **range).ok_or_else(|| {
        let source = QuantityError::WrongDimension {
            found: quantity.to_string(),
            expected: ranges
                .first()
                .map_or(quantity.dimension(), |range| range.unit().dimension()),
        };
        CalcError::NotAQuantity {
            input: input.name,
            source,
        }
    })
}

fn read(input: &'static InputSpec, text: &str) -> Result<Value, CalcError> {
    let not_a_quantity = |source| CalcError::NotAQuantity {
        input: input.name,
        source,
    };
    match &input.kind {
        InputKind::Number(range) => read_number(range, text).map_err(not_a_quantity),
        InputKind::Either(first, second) => read_either(first, second, text).map_err(not_a_quantity),
        InputKind::NumberOrChoice(range, options) => match matching(options, text) {
            Some(word) => Ok(Value::Text(word.to_string())),
            None => read_number(range, text).map_err(not_a_quantity),
        },
        InputKind::Choice(options) => {
            let word = matching(options, text).ok_or_else(|| not_a_choice(input, text))?;
            Ok(Value::Text(word.to_string()))
        }
        InputKind::Flag => flag(text).ok_or_else(|| not_a_choice(input, text)),
        InputKind::AnyQuantity => Quantity::parse(text, None)
            .map(Value::Quantity)
            .map_err(not_a_quantity),
        InputKind::UnitSymbol => match Unit::find(text) {
            Some(unit) => Ok(Value::Text(unit.symbol().to_string())),
            None => Err(not_a_choice(input, text)),
        },
    }
}

fn read_number(range: &Range, text: &str) -> Result<Value, QuantityError> {
    Quantity::parse(text, Some(range.unit())).map(Value::Quantity)
}

/// Tries the second dimension only where the first refused the unit, so that a plain fault of typing is
/// reported as itself.
fn read_either(first: &Range, second: &Range, text: &str) -> Result<Value, QuantityError> {
    let refused = match read_number(first, text) {
        Err(refused @ QuantityError::WrongDimension { .. }) => refused,
        read => return read,
    };
    let quantity = Quantity::parse(text, None)?;
    if quantity.dimension() == second.unit().dimension() {
        Ok(Value::Quantity(quantity))
    } else {
        Err(refused)
    }
}

fn flag(text: &str) -> Option<Value> {
    match text.trim().to_ascii_lowercase().as_str() {
        "yes" | "true" | "y" => Some(Value::Flag(true)),
        "no" | "false" | "n" => Some(Value::Flag(false)),
        _ => None,
    }
}

/// The option that the text means: letter case, spaces and hyphens are forgiven, and so is the number of
/// the standard in front of a class, as in `SAE J30R9`.
fn matching(options: &'static [&'static str], text: &str) -> Option<&'static str> {
    let found = letters(text);
    let whole = options.iter().find(|option| letters(option) == found);
    let class = ["saej30", "j30", "30"]
        .iter()
        .find_map(|standard| found.strip_prefix(standard));
    let option = whole.or_else(|| {
        options
            .iter()
            .find(|option| Some(letters(option).as_str()) == class)
    });
    option.copied()
}

fn letters(text: &str) -> String {
    let kept = text
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'));
    kept.flat_map(char::to_lowercase).collect()
}

fn not_a_choice(input: &'static InputSpec, found: &str) -> CalcError {
    let ranges = input.kind.ranges();
    let options = input.kind.options();
    let expected = match (&input.kind, options.is_empty()) {
        (InputKind::UnitSymbol, _) => Expected::UnitSymbol,
        (InputKind::AnyQuantity, _) => Expected::AnyQuantity,
        (_, false) => Expected::OneOf(options),
        (_, true) => Expected::Measured(ranges.iter().map(|range| range.unit().dimension()).collect()),
    };
    CalcError::NotAChoice {
        input: input.name,
        found: found.chars().take(64).collect(),
        expected,
    }
}
