//! What figures that no calculator would give make of a plot.

use super::super::*;
use super::held;
use super::setting::set;
use crate::calc::{self, Value};
use crate::quantity::{Quantity, Unit};
use crate::table::Tables;
use proptest::prelude::*;

fn finite(drawing: &Drawing) -> bool {
    let runs = drawing.strokes.iter().flat_map(|stroke| &stroke.runs).flatten();
    runs.copied().all(|(x, y)| x.is_finite() && y.is_finite())
        && drawing
            .words
            .iter()
            .all(|word| word.x.is_finite() && word.y.is_finite())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]
    #[test]
    fn no_figure_makes_a_plot_with_a_hole_in_it(
        which in 0usize..32,
        numbers in prop::collection::vec((prop_oneof![-1e12f64..1e12, -1.0f64..1.0, Just(0.0), Just(1e300), Just(-1e-300)], 0usize..200), 24),
        measured in prop_oneof![-1e12f64..1e12, Just(0.0)],
    ) {
        let all = calc::all();
        let spec = all[which % all.len()].spec;
        let units: Vec<Unit> = Unit::all().collect();
        let mut numbers = numbers.into_iter();
        // Whatever a record may claim: any number in any unit, also such as no calculator would give.
        let mut any = |name: &str, unit: Option<Unit>| {
            let (number, place) = numbers.next().unwrap_or((1.0, 0));
            let unit = unit.filter(|_| place % 3 > 0).unwrap_or(units[place % units.len()]);
            Quantity::new(number, unit).ok().map(|quantity| (name.to_owned(), Value::Quantity(quantity)))
        };
        let inputs: Vec<(String, Value)> = spec.inputs.iter().filter_map(|input| {
            any(input.name, input.kind.ranges().first().map(|range| range.unit()))
        }).collect();
        let outputs: Vec<(String, Value)> = spec.outputs.iter().filter_map(|output| any(output.name, None)).collect();
        let beside = Beside {
            measured: Quantity::new(measured, Unit::find("ml/min").expect("a unit")).ok(),
            fill: Quantity::new(measured, Unit::find("kg/L").expect("a unit")).ok(),
            readings: vec![held("pressure_gauge", Some("1e9 bar"), None, Some("-3 bar"), "bar")],
            ..Beside::default()
        };
        let asked = Asked { calculator: spec.id, inputs: &inputs, outputs: &outputs, judged: None, beside: &beside, tables: &Tables::default(), words: &crate::words::Words::english() };
        if let Some(plot) = of(&asked) {
            prop_assert!(plot.sound());
            prop_assert!(finite(&set(&plot, 700.0, 400.0)));
        }
    }
}
