//! Diagrams of the shipped layouts: what is drawn is what the layout joins on this car, and pressure stands where
//! open parts lead it.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagram::{crossings_hop, from_geometry, marks_lie_free, nothing_overlaps};
use crate::own_circuit::{self, Known};
use witnessmark::page::diagram::{self, Diagram, Plan};
use witnessmark::procedure::circuit::Sight;
use witnessmark::procedure::picture::{COLOURS, by_night};
use witnessmark::procedure::{Condition, Layout, Library, Picture, Pointed, Setup};

/// Every tap with every hose; a purge, a followed pressure and a blow-down pipe on every second one.
fn cars() -> Vec<(String, Known)> {
    let mut cars = Vec::new();
    for supply in ["flare", "quick", "moulded"] {
        let second = [
            ("rubber", "yes", "manifold-referenced", "cabin"),
            ("polyamide", "no", "fixed", "outside"),
        ];
        for (hose, purge, regulator, place) in second {
            let answers = [
                ("fuel.supply", supply),
                ("hose.kind", hose),
                ("kit.purge", purge),
                ("fuel.regulator", regulator),
                ("bottle.place", place),
                ("fuel.rail", "3 bar"),
                ("hose.tube_bore", "5 mm"),
                ("kit.fuel_jet", "0.9 mm"),
                ("kit.nitrous_jet", "1.3 mm"),
            ];
            let card = answers.map(|(field, answer)| (field.to_owned(), answer.to_owned()));
            let known = Known {
                card: card.into_iter().collect(),
                read: BTreeMap::new(),
            };
            cars.push((format!("{supply}-{hose}"), known));
        }
    }
    cars
}

fn plan(layout: &Layout, setup: &Setup, known: &Known) -> Plan {
    let sight = Sight {
        value: &|reference| known.value(reference),
        holds: &|condition| known.holds(condition),
    };
    diagram::of_layout(layout, setup, &sight)
}

fn setup(layout: &str, view: Option<&str>) -> Setup {
    Setup {
        layout: layout.to_owned(),
        view: view.map(str::to_owned),
        ..Setup::default()
    }
}

/// Which ends each node joins, from the layout.
fn wanted(layout: &Layout, setup: &Setup, known: &Known) -> BTreeSet<BTreeSet<String>> {
    let mut nodes: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for part in setup.parts(layout, &|condition: &Condition| known.holds(condition)) {
        for (index, (end, node)) in part.joins.iter().enumerate() {
            let end = if part.kind.is_line() {
                index.to_string()
            } else {
                (*end).to_owned()
            };
            let name = format!("{}.{end}", part.name);
            nodes.entry(node).or_default().insert(name);
        }
    }
    nodes.into_values().collect()
}

/// Every layout whole and in each of its views, on every car; each drawing that differs once.
fn every(library: &Library) -> Vec<(String, &Layout, Setup, Known)> {
    let (mut all, mut seen) = (Vec::new(), BTreeSet::new());
    for layout in library.shared.layouts.values() {
        let views = layout.views.keys().map(|view| Some(view.as_str()));
        for view in std::iter::once(None).chain(views) {
            for (car, known) in cars() {
                let setup = setup(&layout.id, view);
                if seen.insert(format!("{:?}", plan(layout, &setup, &known))) {
                    let name = format!("{} {} on {car}", layout.id, view.unwrap_or("whole"));
                    all.push((name, layout, setup, known));
                }
            }
        }
    }
    all
}

#[test]
fn what_is_drawn_as_joined_is_what_the_layout_joins_and_nothing_overlaps() {
    let library = own_circuit::library();
    let all = every(&library);
    for (name, layout, setup, known) in &all {
        let plan = plan(layout, setup, known);
        let wanted = wanted(layout, setup, known);
        for diagram in [Diagram::new(plan.clone()), Diagram::ladder(plan)] {
            assert_eq!(from_geometry(&diagram), wanted, "{name}");
            crossings_hop(name, &diagram);
            if diagram.on_the_grid() {
                nothing_overlaps(name, &diagram);
            }
        }
        assert!(
            Diagram::new(self::plan(layout, setup, known)).on_the_grid(),
            "{name}"
        );
    }
    assert!(all.len() > 30, "{}", all.len());
}

#[test]
fn every_part_can_be_pointed_at_and_is_found_in_the_drawing_by_day_and_by_night() {
    let library = own_circuit::library();
    let mut drawn = BTreeSet::new();
    for layout in library.shared.layouts.values() {
        for (car, known) in cars() {
            for part in layout.parts.iter().filter(|part| known.holds(&part.when)) {
                let views = layout.views.keys().map(|view| Some(view.as_str()));
                let holds = |condition: &Condition| known.holds(condition);
                let shown = std::iter::once(None).chain(views).map(|view| Setup {
                    points: vec![Pointed::Part(part.name.clone())],
                    ..setup(&layout.id, view)
                });
                let name = format!("{}.{} on {car}", layout.id, part.name);
                let mut seen = 0;
                for setup in shown.filter(|setup| setup.points_on(layout, &holds).count() > 0) {
                    seen += 1;
                    let plan = plan(layout, &setup, &known);
                    // The same drawing on another car is looked at once.
                    if !drawn.insert(format!("{plan:?}")) {
                        continue;
                    }
                    let kind = if part.kind.is_line() { "line" } else { "part" };
                    let svg = Diagram::new(plan).svg();
                    assert!(svg.contains(&format!("id=\"{kind}-{}\"", part.name)), "{name}");
                    assert!(svg.contains("id=\"callout-1\""), "{name} has no number");
                    assert!(svg.contains("#9fd6cb"), "{name} is not shown as worked on");
                    let night = by_night(&svg);
                    for colour in COLOURS.iter().filter(|colour| colour.day != colour.night) {
                        assert!(!night.contains(colour.day), "{name}: {} by night", colour.day);
                    }
                }
                assert!(seen > 0, "{name} is drawn nowhere");
            }
        }
    }
}

/// Every diagram of a layout that a step of the content shows, on every car.
fn of_steps(library: &Library) -> Vec<(String, Diagram)> {
    let (mut all, mut seen) = (Vec::new(), BTreeSet::new());
    let procedures = library.jobs.iter().flat_map(|job| &job.procedures);
    for (procedure, _) in procedures {
        for step in &procedure.steps {
            let Some(Picture::Layout(setup)) = &step.picture else {
                continue;
            };
            for (car, known) in cars() {
                let plan = plan(&library.shared.layouts[&setup.layout], setup, &known);
                if known.holds(&step.when) && seen.insert(format!("{} {plan:?}", step.id)) {
                    let name = format!("{}.{} on {car}", procedure.id, step.id);
                    all.push((name, Diagram::new(plan)));
                }
            }
        }
    }
    all
}

#[test]
fn numbers_and_texts_of_every_step_lie_on_nothing() {
    let library = own_circuit::library();
    let all = of_steps(&library);
    for (name, diagram) in &all {
        marks_lie_free(name, diagram);
    }
    assert!(all.len() > 30, "{}", all.len());
}

/// The nodes under pressure on one car.
fn under(layout: &str, view: &str, open: &[&str], pressure: &[&str], out: &[&str]) -> BTreeSet<String> {
    let library = own_circuit::library();
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>();
    let setup = Setup {
        open: names(open),
        out: names(out),
        pressure: Some(names(pressure)),
        ..setup(layout, Some(view))
    };
    let (_, known) = cars().into_iter().next().expect("a car");
    plan(&library.shared.layouts[layout], &setup, &known)
        .live
        .into_iter()
        .collect()
}

fn nodes(all: &str) -> BTreeSet<String> {
    all.split(' ').map(str::to_owned).collect()
}

#[test]
fn pressure_stands_where_open_parts_lead_it_and_ends_at_shut_ones() {
    // The pump is behind its check valve, the return and the shut solenoid end the pressure.
    let fuel = "pumped checked filtered tap-in tap-out tap-ports tap-branch rail-in rail-out solenoid-in";
    assert_eq!(under("fuel", "seat", &[], &["pump"], &[]), nodes(fuel));
    // With the key off the check valve holds it on its own side.
    let held = fuel.replace("pumped ", "");
    assert_eq!(under("fuel", "seat", &[], &["rail"], &[]), nodes(&held));
    // An open solenoid leads it to the jet, behind which the can is open.
    let flow = format!("{fuel} solenoid-out line-end");
    assert_eq!(
        under("fuel", "flow", &["fuel-solenoid"], &["pump"], &[]),
        nodes(&flow)
    );
    assert!(under("fuel", "seat", &[], &[], &[]).is_empty());
    // A part that is taken off leads nothing.
    assert_eq!(under("fuel", "seat", &[], &["pump"], &["check"]), nodes("pumped"));
    let opened = "bottle-out line-start filter-in filtered";
    let bottle = |open: &[&str]| under("nitrous", "opening", open, &["bottle"], &[]);
    assert_eq!(bottle(&[]), nodes("bottle-out"));
    assert_eq!(bottle(&["bottle-valve"]), nodes(opened));
    assert_eq!(bottle(&["line-vent"]), nodes("bottle-out"));
    // Behind a jet with a closed end the pressure rises in time: the nitrogen regulator does the same.
    let dry = under("fuel", "dry", &["gas-valve"], &["nitrogen"], &["tap-flare"]);
    assert_eq!(dry, nodes("gas-high gas-low gas-end tap-branch solenoid-in"));
    // What a regulator follows is not what it holds.
    for source in ["pump", "regulator"] {
        let supply = under("supply", "gauged", &[], &[source], &[]);
        assert!(
            supply.contains("rail-out") && !supply.contains("followed"),
            "{supply:?}"
        );
    }
}

/// Writes drawings to the folder that the environment names, to be looked at.
#[test]
#[ignore = "writes drawings to be looked at"]
fn write_drawings() {
    let folder = std::env::var("WITNESSMARK_DRAWINGS").expect("a folder");
    for (name, diagram) in of_steps(&own_circuit::library()) {
        let svg = diagram.svg();
        let name = name.replace(' ', "-");
        std::fs::write(format!("{folder}/{name}.svg"), &svg).expect("written");
        std::fs::write(format!("{folder}/{name}-night.svg"), by_night(&svg)).expect("written");
    }
}
