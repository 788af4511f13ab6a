//! A number fits what it is given to: limits fit what they judge, operands fit the inputs of calculators.

use super::scope::{Met, Scope};
use crate::calc::{self, InputKind, InputSpec, Value};
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::{Mark, Target, Type};
use crate::procedure::model::{Operand, Reference, Shift, Tolerance};
use crate::procedure::operand::is_step_of;
use crate::quantity::Dimension;

const RULE: &str = "unit-mismatch";

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        let fault = match &met.marked.mark {
            Mark::Amount { operand, target } => amount(scope, &met, operand, target),
            Mark::Tolerance { middle, within } => tolerance(scope, &met, middle, within),
            _ => None,
        };
        if let Some(fault) = fault {
            report.push(fault);
        }
    }
}

fn amount(scope: &Scope, met: &Met, operand: &Operand, target: &Target) -> Option<Diagnostic> {
    let given = type_of(scope, operand);
    if let Some(fault) = shift(met, operand, &given) {
        return Some(fault);
    }
    if let Target::Input { calc, input } = target {
        let spec = calc::find(calc)?.spec.input(input)?;
        return fits_input(scope, met, operand, &given, spec);
    }
    match (&given, scope.type_of_target(target)) {
        (_, Type::Any) | (Type::Any, _) => None,
        (Type::Number(given), Type::Number(wanted)) if *given == wanted => None,
        (Type::Number(given), Type::Number(wanted)) => Some(mismatch(met, operand, *given, wanted)),
        (_, Type::Number(wanted)) => {
            let found = format!("`{operand}`, which is no number");
            Some(met.found(RULE, found, wanted.name()).help(wanted.with_units()))
        }
        (_, Type::Among(_) | Type::Words) => {
            let found = format!("the limit `{operand}`");
            Some(met.found(
                "band-kind",
                found,
                "`equals` or `one_of`, since no number is judged here",
            ))
        }
    }
}

fn type_of(scope: &Scope, operand: &Operand) -> Type {
    match operand {
        Operand::Fixed(Value::Quantity(quantity)) => Type::Number(quantity.dimension()),
        Operand::Fixed(_) => Type::Any,
        Operand::Refer(of) | Operand::Shifted { of, .. } => scope.type_of(of),
    }
}

fn mismatch(met: &Met, operand: &Operand, given: Dimension, wanted: Dimension) -> Diagnostic {
    let found = format!("`{operand}`, {}", given.name());
    met.found(RULE, found, wanted.name()).help(wanted.with_units())
}

/// A shift fits what it shifts. A temperature has no natural zero, so it is not multiplied.
fn shift(met: &Met, operand: &Operand, given: &Type) -> Option<Diagnostic> {
    let Operand::Shifted { of, by } = operand else {
        return None;
    };
    let dimension = match given {
        Type::Number(dimension) => *dimension,
        Type::Any => return None,
        Type::Among(_) | Type::Words => {
            return Some(met.found(RULE, format!("`{of}`, which is no number"), "a number to shift"));
        }
    };
    match by {
        Shift::Plus(step) | Shift::Minus(step) if !is_step_of(step.dimension(), dimension) => {
            let found = format!("{step}, {}", step.dimension().name());
            Some(
                met.found(RULE, found, dimension.name())
                    .help(dimension.with_units()),
            )
        }
        Shift::Times(_) if dimension == Dimension::Temperature => {
            let fault = met.found(RULE, "a temperature times a number", "`plus` or `minus`");
            Some(fault.help("twice 20 °C is not 40 °C"))
        }
        _ => None,
    }
}

fn tolerance(scope: &Scope, met: &Met, middle: &Operand, within: &Tolerance) -> Option<Diagnostic> {
    let Type::Number(dimension) = type_of(scope, middle) else {
        return None;
    };
    match within {
        Tolerance::Absolute(width) if !is_step_of(width.dimension(), dimension) => {
            let found = format!("{width}, {}", width.dimension().name());
            Some(
                met.found(RULE, found, dimension.name())
                    .help(dimension.with_units()),
            )
        }
        Tolerance::Share(_) if dimension == Dimension::Temperature => {
            Some(met.found(RULE, "a percentage of a temperature", "a tolerance in K or °C"))
        }
        _ => None,
    }
}

fn fits_input(
    scope: &Scope,
    met: &Met,
    operand: &Operand,
    given: &Type,
    input: &'static InputSpec,
) -> Option<Diagnostic> {
    match given {
        Type::Any => None,
        Type::Number(_) if matches!(input.kind, InputKind::AnyQuantity) => None,
        Type::Number(given) => number_fits(met, operand, *given, input),
        Type::Among(words) => {
            let refused = operand
                .reference()
                .map(|of| refused(scope, of))
                .unwrap_or_default();
            let wrong = words
                .iter()
                .find(|word| !refused.contains(word) && !takes(input, word))?;
            let found = format!("`{operand}`, which may be `{wrong}`");
            let expected = format!("what `{}` takes", input.name);
            let fault = met.found("unknown-choice", found, &expected);
            Some(fault.choose(wrong, input.kind.options().iter().copied()))
        }
        Type::Words => {
            let found = format!("`{operand}`, which is free text");
            Some(met.found(RULE, found, &format!("what `{}` takes", input.name)))
        }
    }
}

fn number_fits(met: &Met, operand: &Operand, given: Dimension, input: &InputSpec) -> Option<Diagnostic> {
    let ranges = input.kind.ranges();
    if ranges.iter().any(|range| range.unit().dimension() == given) {
        return None;
    }
    Some(match ranges.first() {
        Some(range) => mismatch(met, operand, given, range.unit().dimension()),
        None => {
            let found = format!("`{operand}`, {}", given.name());
            let fault = met.found(RULE, found, &format!("a choice of `{}`", input.name));
            fault.choose("", input.kind.options().iter().copied())
        }
    })
}

/// Whether a calculator takes this word, in its own forgiving way of reading words.
fn takes(input: &InputSpec, word: &str) -> bool {
    let letters = |text: &str| {
        let kept = text
            .chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'));
        kept.flat_map(char::to_lowercase).collect::<String>()
    };
    input
        .kind
        .options()
        .iter()
        .any(|option| letters(option) == letters(word))
}

/// The choices that the card refuses anyway.
fn refused<'a>(scope: &Scope<'a>, reference: &Reference) -> Vec<&'a String> {
    match reference {
        Reference::Card { group, field } => scope
            .field(group, field)
            .map(|field| field.refuse.keys().collect()),
        _ => None,
    }
    .unwrap_or_default()
}
