//! Diagrams of the shipped circuits: what is drawn is the netlist, and nothing else.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use crate::own_circuit::{self, Known};
use witnessmark::page::diagram::outline::At;
use witnessmark::page::diagram::route::Who;
use witnessmark::page::diagram::{self, Diagram, Plan, Shape};
use witnessmark::procedure::circuit::{Circuit, Sight};
use witnessmark::procedure::picture::{COLOURS, by_night};
use witnessmark::procedure::{Condition, Library, Picture, Pointed, Shown};

fn plan(circuit: &Circuit, shown: &Shown, known: &Known) -> Plan {
    let sight = Sight {
        value: &|reference| known.value(reference),
        holds: &|condition| known.holds(condition),
    };
    diagram::of_circuit(circuit, shown, &sight)
}

/// A diagram with what it was made from.
struct Case {
    name: String,
    grid: Diagram,
    ladder: Diagram,
    wanted: BTreeSet<BTreeSet<String>>,
}

/// Every circuit of the content whole and in each of its views, on every car of the vectors and on some more; each
/// drawing that differs once.
fn every() -> &'static [Case] {
    static ALL: LazyLock<Vec<Case>> = LazyLock::new(|| {
        let library = own_circuit::library();
        let mut all = Vec::new();
        let mut seen = BTreeSet::new();
        for (car, known) in &cars() {
            for circuit in library.shared.circuits.values() {
                let views = circuit.looks.views.keys().cloned().map(Some);
                for view in std::iter::once(None).chain(views) {
                    let shown = Shown {
                        circuit: circuit.id.clone(),
                        view: view.clone(),
                        ..Shown::default()
                    };
                    let plan = plan(circuit, &shown, known);
                    if seen.insert(format!("{plan:?}")) {
                        all.push(Case {
                            name: format!("{car} {} {}", circuit.id, view.unwrap_or_default()),
                            grid: Diagram::new(plan.clone()),
                            ladder: Diagram::ladder(plan),
                            wanted: from_netlist(circuit, &shown, known),
                        });
                    }
                }
            }
        }
        all
    });
    &ALL
}

fn cars() -> Vec<(String, Known)> {
    let variants = own_circuit::variants().into_iter();
    let mut cars: Vec<(String, Known)> = variants
        .map(|name| (name.to_owned(), own_circuit::variant(name)))
        .collect();
    for back in ["chassis", "wire"] {
        let mut known = own_circuit::variant("chassis-diode-window-ecu");
        let other = [
            ("cable.return", back),
            ("arming.switch", "two"),
            ("interlock.window_output", "contact"),
            ("kit.purge", "no"),
        ];
        known
            .card
            .extend(other.map(|(field, answer)| (field.to_owned(), answer.to_owned())));
        cars.push((format!("other-{back}"), known));
    }
    cars
}

/// Which pins and line ends touch, by what is drawn alone: ends that lie on one another, and an end on a line where a
/// dot says so. Lines that pass each other touch nothing.
#[derive(Default)]
struct Touching(BTreeMap<String, String>);

impl Touching {
    fn root(&self, of: &str) -> String {
        let mut at = of.to_owned();
        while let Some(next) = self.0.get(&at).filter(|next| **next != at) {
            at.clone_from(next);
        }
        at
    }

    fn join(&mut self, one: &str, other: &str) {
        let (one, other) = (self.root(one), self.root(other));
        self.0.insert(one, other.clone());
        self.0.entry(other.clone()).or_insert(other);
    }

    /// The groups that hold more than lines' own pieces, by what is joined in each.
    fn groups(&self, all: &BTreeSet<String>) -> BTreeSet<BTreeSet<String>> {
        let mut groups: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for name in all {
            groups.entry(self.root(name)).or_default().insert(name.clone());
        }
        groups.into_values().collect()
    }
}

fn on(at: At, from: At, to: At) -> bool {
    let within = |low: i32, x: i32, high: i32| low.min(high) <= x && x <= low.max(high);
    (from.x == to.x || from.y == to.y) && within(from.x, at.x, to.x) && within(from.y, at.y, to.y)
}

/// The ends of wires and pins that are joined, from the drawing's geometry alone.
pub fn from_geometry(diagram: &Diagram) -> BTreeSet<BTreeSet<String>> {
    let (routed, plan) = (diagram.routed(), diagram.plan());
    let mut touching = Touching::default();
    let mut named = BTreeSet::new();
    // A wire's two ends are told apart; a node's own stretch is one conductor.
    let mut ends: Vec<(At, String)> = Vec::new();
    let mut stretches: Vec<(At, At, String)> = Vec::new();
    for (number, run) in routed.runs.iter().enumerate() {
        let (first, last) = (run.points[0], run.points[run.points.len() - 1]);
        match run.who {
            Who::Line(index) => {
                let name = &plan.lines[index].name;
                ends.push((first, format!("{name}.0")));
                ends.push((last, format!("{name}.1")));
            }
            Who::Node(_) => {
                let name = format!("run {number}");
                ends.extend([(first, name.clone()), (last, name.clone())]);
                stretches.extend(run.points.windows(2).map(|two| (two[0], two[1], name.clone())));
            }
        }
    }
    for body in diagram.placed() {
        for (pin, _) in body.joined() {
            let end = body.body.shape.pins().get(pin).copied().unwrap_or("at");
            if body.body.shape != Shape::Joint {
                ends.push((body.pin(pin), format!("{}.{end}", body.body.name)));
            }
        }
    }
    for (at, name) in &ends {
        if !name.starts_with("run ") {
            named.insert(name.clone());
        }
        for (other_at, other) in &ends {
            if at == other_at {
                touching.join(name, other);
            }
        }
        for (from, to, stretch) in &stretches {
            let at_end = at == from || at == to;
            if on(*at, *from, *to) && (at_end || routed.dots.contains(at)) {
                touching.join(name, stretch);
            }
        }
    }
    touching.groups(&named)
}

/// The same from the netlist: what each node joins.
fn from_netlist(circuit: &Circuit, shown: &Shown, known: &Known) -> BTreeSet<BTreeSet<String>> {
    let mut nodes: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for part in shown.parts(circuit, &|condition: &Condition| known.holds(condition)) {
        for (index, (end, node)) in part.joins.iter().enumerate() {
            let end = if part.is_line(circuit) {
                index.to_string()
            } else {
                (*end).to_owned()
            };
            nodes
                .entry(node)
                .or_default()
                .insert(format!("{}.{end}", part.name));
        }
    }
    nodes.into_values().collect()
}

#[test]
fn what_is_drawn_as_joined_is_what_the_netlist_joins() {
    for case in every() {
        assert_eq!(from_geometry(&case.grid), case.wanted, "{}", case.name);
        assert_eq!(
            from_geometry(&case.ladder),
            case.wanted,
            "{} as a ladder",
            case.name
        );
    }
    assert!(every().len() > 60, "{}", every().len());
}

#[test]
fn lines_meet_only_where_they_end_and_cross_only_where_they_hop() {
    for case in every() {
        for diagram in [&case.grid, &case.ladder] {
            crossings_hop(&case.name, diagram);
        }
    }
}

pub fn crossings_hop(name: &str, diagram: &Diagram) {
    let routed = diagram.routed();
    let mut over: BTreeMap<At, Vec<usize>> = BTreeMap::new();
    for (number, run) in routed.runs.iter().enumerate() {
        for two in run.points.windows(2) {
            for at in inside(two[0], two[1]) {
                over.entry(at).or_default().push(number);
            }
        }
        for bend in run.points.iter().skip(1).rev().skip(1) {
            over.entry(*bend).or_default().push(number);
        }
    }
    for (at, runs) in over.iter().filter(|(_, runs)| runs.len() > 1) {
        assert!(
            routed.hops.contains(at),
            "{name}: {runs:?} at {at:?} without a hop"
        );
        assert_eq!(runs.len(), 2, "{name}: {at:?}");
    }
    for hop in &routed.hops {
        assert!(!routed.dots.contains(hop), "{name}: a dot on a hop at {hop:?}");
        assert_eq!(
            over.get(hop).map_or(0, Vec::len),
            2,
            "{name}: a hop over nothing at {hop:?}"
        );
    }
}

/// The crossings of tracks between two ends.
fn inside(from: At, to: At) -> Vec<At> {
    let (dx, dy) = ((to.x - from.x).signum(), (to.y - from.y).signum());
    let steps = from.far(to);
    (1..steps)
        .map(|step| At {
            x: from.x + dx * step,
            y: from.y + dy * step,
        })
        .collect()
}

#[test]
fn no_part_lies_on_another_or_on_a_line_and_everything_finds_room_on_the_grid() {
    for case in every() {
        nothing_overlaps(&case.name, &case.grid);
    }
}

pub fn nothing_overlaps(name: &str, diagram: &Diagram) {
    assert!(diagram.on_the_grid(), "{name} is drawn as a ladder");
    let bodies: Vec<_> = diagram
        .placed()
        .iter()
        .filter(|body| body.body.shape != Shape::Joint)
        .collect();
    for (index, body) in bodies.iter().enumerate() {
        let (least, most) = body.room();
        let holds = |at: At| (least.x..=most.x).contains(&at.x) && (least.y..=most.y).contains(&at.y);
        for other in &bodies[index + 1..] {
            let (low, high) = other.room();
            let apart = high.x < least.x || most.x < low.x || high.y < least.y || most.y < low.y;
            assert!(apart, "{name}: {} lies on {}", body.body.name, other.body.name);
        }
        for run in &diagram.routed().runs {
            for two in run.points.windows(2) {
                let crossing = inside(two[0], two[1]).into_iter().find(|at| holds(*at));
                assert_eq!(crossing, None, "{name}: a line through {}", body.body.name);
            }
        }
    }
}

#[test]
fn every_part_can_be_pointed_at_and_is_found_in_the_drawing_by_day_and_by_night() {
    let library = own_circuit::library();
    for circuit in library.shared.circuits.values() {
        for car in ["chassis-diode-window-eculess", "wire-diode-windowless-ecu"] {
            let mut known = own_circuit::variant(car);
            known
                .card
                .insert("cable.return".into(), car[..car.find('-').expect("-")].to_owned());
            for part in circuit.parts.iter().filter(|part| known.holds(&part.when)) {
                let shown = Shown {
                    circuit: circuit.id.clone(),
                    points: vec![Pointed::Part(part.name.clone())],
                    ..Shown::default()
                };
                let svg = Diagram::new(plan(circuit, &shown, &known)).svg();
                let kind = if part.is_line(circuit) { "line" } else { "part" };
                let id = format!("id=\"{kind}-{}\"", part.name);
                let name = format!("{}.{} on {car}", circuit.id, part.name);
                assert!(svg.contains(&id), "{name}");
                assert!(svg.contains("id=\"callout-1\""), "{name} has no number");
                let night = by_night(&svg);
                for colour in COLOURS.iter().filter(|colour| colour.day != colour.night) {
                    assert!(!night.contains(colour.day), "{name}: {} by night", colour.day);
                }
            }
        }
    }
}

/// Every diagram that a step of the content shows, on every car that it can be shown on.
#[test]
fn probes_numbers_and_texts_of_every_step_lie_on_nothing() {
    let library = own_circuit::library();
    let mut seen = 0;
    for (name, diagram) in of_steps(&library) {
        seen += 1;
        marks_lie_free(&name, &diagram);
    }
    assert!(seen > 100, "{seen}");
}

pub fn marks_lie_free(name: &str, diagram: &Diagram) {
    let (marks, taken) = diagram.rooms();
    for (index, mark) in marks.iter().enumerate() {
        for other in &marks[index + 1..] {
            assert!(mark.gap(other) > -1.0, "{name}: {mark:?} lies on {other:?}");
        }
        for other in &taken {
            let free = other.gap(mark) > -1.0 || clamps(diagram, mark);
            assert!(free, "{name}: {mark:?} lies on {other:?}");
        }
    }
}

/// Jaws lie round their line.
fn clamps(diagram: &Diagram, mark: &diagram::room::Rod) -> bool {
    let clamped = diagram
        .plan()
        .marks
        .iter()
        .any(|mark| matches!(mark, Pointed::Clamp(_)));
    clamped && mark.radius < 18.0
}

fn of_steps(library: &Library) -> Vec<(String, Diagram)> {
    let mut all = Vec::new();
    let mut seen = BTreeSet::new();
    for job in &library.jobs {
        for (procedure, _) in &job.procedures {
            for step in &procedure.steps {
                let Some(Picture::Circuit(shown)) = &step.picture else {
                    continue;
                };
                let circuit = &library.shared.circuits[&shown.circuit];
                for car in own_circuit::variants() {
                    let mut known = own_circuit::variant(car);
                    known.card.insert("cable.return".into(), "chassis".into());
                    let plan = plan(circuit, shown, &known);
                    if known.holds(&step.when) && seen.insert(format!("{} {plan:?}", step.id)) {
                        let name = format!("{}.{} on {car}", procedure.id, step.id);
                        all.push((name, Diagram::new(plan)));
                    }
                }
            }
        }
    }
    all
}

/// Writes drawings to the folder that the environment names, to be looked at.
#[test]
#[ignore = "writes drawings to be looked at"]
fn write_drawings() {
    let folder = std::env::var("WITNESSMARK_DRAWINGS").expect("a folder");
    let library = own_circuit::library();
    for (name, diagram) in of_steps(&library) {
        let svg = diagram.svg();
        let name = name.replace(' ', "-");
        std::fs::write(format!("{folder}/{name}.svg"), &svg).expect("written");
        std::fs::write(format!("{folder}/{name}-night.svg"), by_night(&svg)).expect("written");
    }
}
