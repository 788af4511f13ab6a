//! A step's diagram names a view of its circuit or layout, and points at nothing that the view leaves out.

use super::File;
use crate::content::Spot;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::drawing::{Pointed, View};
use std::collections::BTreeMap;

const RULE: &str = "diagram-shows";

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        match &marked.mark {
            Mark::Draws(shown) => {
                let Some(circuit) = file.draft.circuits.get(&shown.circuit).map(|draft| &draft.model) else {
                    continue;
                };
                let asks = Asks {
                    at: marked.at,
                    of: format!("the circuit `{}`", shown.circuit),
                    view: shown.view.as_deref(),
                    views: &circuit.looks.views,
                    points: &shown.points,
                };
                let drawn = shown.points_on(circuit, &|_| true).map(|(place, _)| place);
                let known = |name: &str| circuit.part(name).is_some() || circuit.nodes().contains(&name);
                asks.check(file, &drawn.collect::<Vec<_>>(), &known, report);
            }
            Mark::Lays(setup) => {
                let Some(layout) = file.draft.layouts.get(&setup.layout).map(|draft| &draft.model) else {
                    continue;
                };
                let asks = Asks {
                    at: marked.at,
                    of: format!("the layout `{}`", setup.layout),
                    view: setup.view.as_deref(),
                    views: &layout.views,
                    points: &setup.points,
                };
                let drawn = setup.points_on(layout, &|_| true).map(|(place, _)| place);
                let known = |name: &str| layout.part(name).is_some();
                asks.check(file, &drawn.collect::<Vec<_>>(), &known, report);
            }
            _ => {}
        }
    }
}

/// What a step asks of a circuit or a layout.
struct Asks<'a> {
    at: Spot,
    of: String,
    view: Option<&'a str>,
    views: &'a BTreeMap<String, View>,
    points: &'a [Pointed],
}

impl Asks<'_> {
    /// `drawn` are the places of what is pointed at and drawn. What is not known is told where it is named.
    fn check(&self, file: &File, drawn: &[usize], known: &dyn Fn(&str) -> bool, report: &mut Report) {
        if let Some(view) = self.view.filter(|view| !self.views.contains_key(*view)) {
            let expected = format!("a view of {}", self.of);
            let fault = file.found(self.at, RULE, quoted(view), &expected);
            report.push(fault.choose(view, self.views.keys().map(String::as_str)));
            return;
        }
        let points = self.points.iter().enumerate();
        let left_out = points.filter(|(place, _)| !drawn.contains(place));
        for (_, pointed) in left_out.filter(|(_, pointed)| known(pointed.name())) {
            let found = format!("`{}`, which this view does not draw", pointed.name());
            let expected = "what the view draws, or another view";
            report.push(file.found(self.at, RULE, found, expected));
        }
    }
}
