//! A calculator in plain text, for the command line and the help page.
use std::fmt::Write;

use super::{InputKind, InputSpec, Need, Spec};

/// Title, equation, inputs with their ranges, outputs, assumptions and sources, as text.
pub fn explain(spec: &Spec) -> String {
    let mut text = format!(
        "{} (revision {}): {}\n\n  {}\n",
        spec.id, spec.revision, spec.title, spec.equation
    );
    text.push_str("\nInputs\n");
    for input in spec.inputs {
        let _ = writeln!(
            text,
            "  {}: {}\n      {}",
            input.name,
            input.about,
            allowed(input)
        );
    }
    text.push_str("\nResult\n");
    for output in spec.outputs {
        let unit = output
            .unit
            .filter(|unit| *unit != "1")
            .map_or(String::new(), |unit| format!(", in {unit}"));
        let _ = writeln!(text, "  {}: {}{unit}", output.name, output.about);
    }
    list(
        &mut text,
        "Assumptions",
        spec.assumptions.iter().map(|line| (*line).to_string()),
    );
    let sources = spec.sources.iter();
    list(
        &mut text,
        "Sources",
        sources.map(|s| format!("{}, {} ({})", s.key, s.locator, s.mark.in_words())),
    );
    let example: Vec<String> = spec
        .example
        .iter()
        .map(|(name, value)| format!("{name}=\"{value}\""))
        .collect();
    list(
        &mut text,
        "Example",
        [format!("{} {}", spec.id, example.join(" "))].into_iter(),
    );
    text
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
