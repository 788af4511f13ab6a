//! The content's own circuit, in every switch state of its proof, against ngspice.
use std::collections::BTreeMap;
use std::path::Path;

use witnessmark::calc::Value;
use witnessmark::circuit::{Builder, End, Fault, Netlist, Setting, solve};
use witnessmark::procedure::circuit::{self, Circuit, Part, PartFigure};
use witnessmark::procedure::{self, Call, Condition, Job, Library, Method, Reference};
use witnessmark::quantity::Quantity;
use witnessmark::session::shipped;

/// Computed by ngspice 39.3: tests/vectors/circuit/solenoid_system.py.
const VECTORS: &str = include_str!("../vectors/circuit/solenoid-system.csv");
const CAR: &str = include_str!("../vectors/circuit/solenoid-system.json");
const SLUG: &str = "solenoid-system";

/// Every car that the vectors are for.
pub fn variants() -> Vec<&'static str> {
    let mut names: Vec<&str> = VECTORS
        .lines()
        .filter_map(|line| line.split(',').next())
        .collect();
    names.dedup();
    names
}

/// The content inside the program.
pub fn library() -> Library {
    let (library, report) = procedure::load(shipped::files());
    library.unwrap_or_else(|| panic!("{}", report.render()))
}

/// One job of the content, by its slug.
pub fn job(library: &mut Library, slug: &str) -> Job {
    let at = library.jobs.iter().position(|job| job.id.as_str() == slug);
    library.jobs.remove(at.expect("the job is there"))
}

/// What stands for references and conditions: answers and readings by their paths.
pub struct Known {
    pub card: BTreeMap<String, String>,
    pub read: BTreeMap<String, String>,
}

impl Known {
    pub fn value(&self, reference: &Reference) -> Option<Value> {
        let text = match reference {
            Reference::Card { group, field } => self.card.get(&format!("{group}.{field}"))?,
            Reference::Read { procedure, name } => self.read.get(&format!("{procedure}.{name}"))?,
            _ => return None,
        };
        Some(Value::Quantity(Quantity::parse(text, None).expect("a quantity")))
    }

    pub fn holds(&self, condition: &Condition) -> bool {
        condition.holds(&|group, field| self.card.get(&format!("{group}.{field}")).cloned())
    }
}

/// The parts that are on this car, every given in its middle.
pub fn builder(circuit: &Circuit, known: &Known) -> Builder {
    let value = |reference: &Reference| known.value(reference);
    let middle = |name: &str| {
        let given = circuit.given(name).expect("a given");
        circuit::ends_of(given, &value).expect("a value").middle
    };
    let figure = |part: &Part, name: &str, _: End| {
        let (_, figure) = part.figures.iter().find(|(known, _)| *known == name)?;
        Some(match figure {
            PartFigure::Fixed(quantity) => *quantity,
            PartFigure::Given(given) => middle(given),
        })
    };
    let applies = |part: &Part| known.holds(&part.when);
    circuit::netlist(circuit, &applies, &figure, End::Middle).expect("every figure is known")
}

/// Every question of the job to a circuit, by the name of its work-out.
pub fn calls(job: &Job) -> BTreeMap<String, Call> {
    let steps = job.procedures.iter().flat_map(|(procedure, _)| &procedure.steps);
    let work_outs = steps.flat_map(|step| &step.work_out);
    let calls = work_outs.filter_map(|work_out| match &work_out.method {
        Method::Circuit(call) => Some((work_out.name.clone(), call.clone())),
        Method::Calculator { .. } => None,
    });
    calls.collect()
}

/// The setting of a call on this car; parts that it has not are left out, as the content says.
pub fn setting(netlist: &Netlist, call: &Call) -> Setting {
    let there = |name: &&String| netlist.parts().iter().any(|part| part.name() == *name);
    let closed = call.closed.iter().filter(there);
    let setting = closed.fold(Setting::new(), |setting, name| setting.close(name));
    let out = call.out.iter().filter(there);
    out.fold(setting, |setting, name| setting.fault(Fault::Open(name.clone())))
}

/// The car of the vectors with the answers that a variant's name stands for.
pub fn variant(name: &str) -> Known {
    let mut car: BTreeMap<String, BTreeMap<String, String>> = serde_json::from_str(CAR).expect("JSON");
    let mut card = car.remove("card").expect("answers");
    let read = car.remove("read").expect("readings");
    let words: Vec<&str> = name.split('-').collect();
    let [back, suppression, window, ecu] = words[..] else {
        panic!("{name}")
    };
    let yes = |word: &str, of: &str| if word == of { "yes" } else { "no" }.to_owned();
    card.insert("power.return".into(), back.into());
    card.insert("power.suppression".into(), suppression.into());
    card.insert("interlock.window".into(), yes(window, "window"));
    card.insert("interlock.ecu".into(), yes(ecu, "ecu"));
    Known { card, read }
}

/// The content's own states, and the firing with one switch open.
fn states(job: &Job) -> BTreeMap<String, Call> {
    let mut states = calls(job);
    states.retain(|_, call| call.circuit == SLUG);
    let fire = states["fire"].clone();
    for switch in &fire.closed {
        let mut without = fire.clone();
        without.closed.retain(|name| name != switch);
        states.insert(format!("without-{switch}"), without);
    }
    states
}

#[test]
fn the_content_circuit_stands_where_ngspice_finds_it_in_every_state_of_its_proof() {
    let mut library = library();
    let states = states(&job(&mut library, "wet-nitrous"));
    let circuit = &library.shared.circuits[SLUG];
    let (mut nodes, mut seen, mut worst) = (Vec::new(), 0, 0.0_f64);
    let mut left: Vec<String> = Vec::new();
    for line in VECTORS.lines() {
        let words: Vec<&str> = line.split(',').collect();
        let (name, state, values) = (words[0], words[1], &words[2..]);
        let known = variant(name);
        let netlist = builder(circuit, &known).build().expect("a good netlist");
        if state == "nodes" {
            assert!(left.is_empty(), "not in the vectors: {left:?}");
            nodes = values.to_vec();
            left = states.keys().cloned().collect();
            continue;
        }
        left.retain(|other| other != state);
        let solution = solve(&netlist, &setting(&netlist, &states[state])).expect("it settles");
        for (node, value) in nodes.iter().zip(values) {
            let found = solution.voltage_v(node);
            let expected: Option<f64> = value.parse().ok();
            assert_eq!(
                found.is_some(),
                expected.is_some(),
                "{name} {state}: {node} is {found:?}"
            );
            let off = (found.unwrap_or(0.0) - expected.unwrap_or(0.0)).abs();
            assert!(
                off <= 1e-9 * 12.41,
                "{name} {state}: {node} is {found:?}, ngspice has {value}"
            );
            (worst, seen) = (worst.max(off), seen + 1);
        }
    }
    assert!(left.is_empty(), "not in the vectors: {left:?}");
    assert!(seen > 7000, "{seen}");
    println!("{seen} nodes, worst {worst:e} V");
}

#[test]
fn the_figures_of_the_vectors_are_those_of_the_demonstration() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/demo/card.json");
    let demo: BTreeMap<String, String> =
        serde_json::from_slice(&std::fs::read(root).expect("the demonstration's card")).expect("JSON");
    let known = variant("chassis-diode-window-eculess");
    for (path, answer) in &known.card {
        assert_eq!(demo.get(path), Some(answer), "{path}");
    }
}
