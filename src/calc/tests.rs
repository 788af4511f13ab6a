//! What holds for every calculator: its units exist, its example runs, its ranges end where they say.
use std::collections::BTreeMap;

use super::check::{SHIPPED, run_typed};
use super::{CalcError, InputKind, Outcome, Spec, Value, all, bind, explain, outcome_json, run};
use crate::quantity::{Quantity, Unit};
use crate::table::Tables;

fn example_with(index: usize, name: &str, value: Option<Value>) -> Result<Outcome, CalcError> {
    let spec = all()[index].spec;
    let typed = spec
        .example
        .iter()
        .map(|(name, text)| ((*name).to_string(), bind(spec, name, text).unwrap()));
    let mut inputs: BTreeMap<String, Value> = typed.collect();
    match value {
        Some(value) => inputs.insert(name.to_string(), value),
        None => inputs.remove(name),
    };
    run(spec.id, &inputs, &SHIPPED)
}

#[test]
fn every_spec_is_whole() {
    for calculator in all() {
        let spec = calculator.spec;
        assert_eq!(
            all().iter().filter(|other| other.spec.id == spec.id).count(),
            1,
            "{} twice",
            spec.id
        );
        assert!(
            !spec.sources.is_empty() && !spec.assumptions.is_empty(),
            "{} is bare",
            spec.id
        );
        for range in spec.inputs.iter().flat_map(|input| input.kind.ranges()) {
            assert!(Unit::find(range.unit).is_some(), "{}: {}", spec.id, range.unit);
            assert!(
                !range.range_from.is_empty(),
                "{} has a range from nowhere",
                spec.id
            );
        }
        for input in spec.inputs {
            assert!(
                input
                    .default()
                    .is_none_or(|text| bind(spec, input.name, text).is_ok()),
                "{}",
                input.name
            );
        }
        for output in spec.outputs {
            assert!(
                output.unit().is_none_or(|unit| Unit::find(unit).is_some()),
                "{} {}",
                spec.id,
                output.name
            );
        }
        assert!(explain(spec).contains(spec.equation));
    }
}

#[test]
fn every_example_runs_and_gives_what_its_spec_says() {
    for calculator in all() {
        let spec = calculator.spec;
        let outcome = run_typed(spec.id, &typed(spec)).unwrap_or_else(|error| panic!("{}: {error}", spec.id));
        for (name, value) in &outcome.outputs {
            let output = spec
                .output(name)
                .unwrap_or_else(|| panic!("{} has no output {name}", spec.id));
            let unit = value.quantity().map(|quantity| quantity.unit().symbol());
            let said = output.unit().and_then(Unit::find).map(Unit::symbol);
            assert!(
                unit == said || spec.id == "convert",
                "{} gives {name} in {unit:?}",
                spec.id
            );
        }
    }
}

fn typed(spec: &Spec) -> String {
    spec.example
        .iter()
        .map(|(name, text)| format!("{name}={text}"))
        .collect::<Vec<_>>()
        .join("; ")
}

#[test]
fn what_is_missing_or_of_the_wrong_kind_is_named() {
    for (index, calculator) in all().iter().enumerate() {
        for (name, _) in calculator.spec.example {
            let input = calculator.spec.input(name).unwrap();
            let mistaken = match input.kind {
                InputKind::Choice(_) | InputKind::UnitSymbol => {
                    Value::Quantity(Quantity::parse("3 V", None).unwrap())
                }
                _ => Value::Text("green".to_string()),
            };
            let error = example_with(index, name, Some(mistaken)).unwrap_err().to_string();
            assert!(error.starts_with(&format!("`{name}`: found ")), "{error}");
            if let Err(error) = example_with(index, name, None) {
                assert!(error.to_string().contains(&format!("`{name}`")), "{error}");
            }
        }
    }
}

#[test]
fn an_outcome_is_written_as_json() {
    let outcome = run_typed("convert", "value=1 bar; to=kPa").unwrap();
    let expected = r#"{"calculator":"convert","revision":1,"inputs":{"value":{"value":1.0,"unit":"bar"},"to":{"value":"kPa","unit":null}},"outputs":{"value":{"value":100.0,"unit":"kPa"}},"notes":[]}"#;
    assert_eq!(outcome_json(&outcome).to_string(), expected);
}

#[test]
fn an_unknown_calculator_is_refused_with_the_legal_ones() {
    let error = run("wire-loss", &BTreeMap::new(), &Tables::default()).unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("there is no calculator `wire-loss`; there are wire-resistance, ")
    );
}

/// Rows that `tests/vectors/calc/rows.py` computes by other means, held to a part in a thousand million.
#[test]
fn an_independent_computation_agrees() {
    let rows = super::evidence::COMPUTED;
    for line in rows.lines() {
        let [id, inputs, output, value, unit] = line.split('|').collect::<Vec<_>>()[..] else {
            panic!("not five columns: {line}")
        };
        let outcome = run_typed(id, inputs).unwrap_or_else(|error| panic!("{line}: {error}"));
        let found = outcome.output(output).and_then(Value::quantity).unwrap();
        let expected: f64 = value.parse().unwrap();
        assert_eq!(found.unit().symbol(), unit, "{line}");
        assert!(
            (found.value() - expected).abs() <= 1e-9 * expected.abs(),
            "{line}: found {found}"
        );
    }
    assert!(rows.lines().count() > 50);
}
