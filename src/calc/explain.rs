//! A calculator in plain text, for the command line and the help page.
use std::fmt::Write;

use super::{InputKind, InputSpec, Need, OutputKind, OutputSpec, Source, Spec};

/// Title, equation, inputs with their ranges, outputs, assumptions and sources, as text.
pub fn explain(spec: &Spec) -> String {
    let mut text = format!(
        "{} (revision {}): {}\n\n  {}\n",
        spec.id, spec.revision, spec.title, spec.equation
    );
    list(&mut text, "Inputs", spec.inputs.iter().map(input_lines));
    list(&mut text, "Result", spec.outputs.iter().map(output_line));
    list(
        &mut text,
        "Assumptions",
        spec.assumptions.iter().map(|line| (*line).to_string()),
    );
    list(&mut text, "Sources", spec.sources.iter().map(source_line));
    list(&mut text, "Example", [example_line(spec)].into_iter());
    text
}

fn input_lines(input: &InputSpec) -> String {
    let symbol = in_brackets(input.symbol);
    format!(
        "{}: {}{symbol}, {}\n      {}",
        input.name,
        input.label,
        input.about,
        allowed(input)
    )
}

fn output_line(output: &OutputSpec) -> String {
    let kind = match output.kind {
        OutputKind::Quantity("1") => "a plain number".to_string(),
        OutputKind::Quantity(unit) => format!("in {unit}"),
        OutputKind::InWantedUnit => "in the unit wanted".to_string(),
        OutputKind::Flag => "yes or no".to_string(),
        OutputKind::Words(words) => format!("one of: {}", words.join(", ")),
        OutputKind::Text => "text".to_string(),
    };
    let symbol = in_brackets(output.symbol);
    format!(
        "{}: {}{symbol}, {}; {kind}",
        output.name, output.label, output.about
    )
}

/// The letter of the equation, where there is one.
fn in_brackets(symbol: &str) -> String {
    if symbol.is_empty() {
        String::new()
    } else {
        format!(" ({symbol})")
    }
}

fn source_line(source: &Source) -> String {
    format!("{}, {} ({})", source.key, source.locator, source.mark.in_words())
}

fn example_line(spec: &Spec) -> String {
    let inputs: Vec<String> = spec
        .example
        .iter()
        .map(|(name, value)| format!("{name}=\"{value}\""))
        .collect();
    format!("{} {}", spec.id, inputs.join(" "))
}

fn list(text: &mut String, heading: &str, lines: impl Iterator<Item = String>) {
    let _ = writeln!(text, "\n{heading}");
    for line in lines {
        let _ = writeln!(text, "  {line}");
    }
}

fn allowed(input: &InputSpec) -> String {
    let mut parts: Vec<String> = input
        .kind
        .ranges()
        .iter()
        .map(|range| format!("{} ({})", range.in_words(), range.range_from))
        .collect();
    match &input.kind {
        InputKind::AnyQuantity => parts.push("any quantity with its unit".to_string()),
        InputKind::UnitSymbol => parts.push("the symbol of a unit".to_string()),
        kind if !kind.options().is_empty() => parts.push(kind.options().join(", ")),
        _ => {}
    }
    let need = match input.need {
        Need::Required => String::new(),
        Need::Optional => "; may be left out".to_string(),
        Need::Default(text) => format!("; {text} when left out"),
    };
    format!("{}{need}", parts.join(", or "))
}
