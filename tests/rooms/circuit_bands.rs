//! The bands that the content's circuit gives: which of them a wire moves, and which faults they find.
use std::collections::{BTreeMap, BTreeSet};

use witnessmark::calc::Value;
use witnessmark::circuit::{Builder, Fault, Kind, Meter, Setting, Solution, solve};
use witnessmark::procedure::band::{Limits, Verdict};
use witnessmark::procedure::{
    Band, Call, Find, Judged, Operand, ProcedureId, Reading, ReadingKind, Reference,
};
use witnessmark::quantity::Quantity;

use crate::own_circuit::{builder, calls, setting};
use crate::worked_car::Car;

/// What rounding leaves of nothing, in V, A or Ω.
const NOTHING: f64 = 1e-12;

/// A car with the questions of its job, answered once more by the solver alone.
struct Bench {
    car: Car,
    /// By the slug of the circuit.
    parts: BTreeMap<String, Builder>,
    calls: BTreeMap<String, Call>,
}

impl Bench {
    fn of(changes: &[(&str, &str)]) -> Bench {
        let car = Car::with(changes);
        let known = car.known();
        let calls = calls(&car.play.job);
        let circuits = &car.play.shared.circuits;
        let asked = calls.values().map(|call| &call.circuit);
        let parts = asked.map(|slug| (slug.clone(), builder(&circuits[slug], &known)));
        let parts = parts.collect();
        Bench { car, parts, calls }
    }

    /// What an instrument shows with every figure in its middle, and the whole circuit under its probes. A fault
    /// of a part that this circuit has not is none.
    fn shown(&self, call: &Call, find: &Find, faults: &[(&str, Fault)]) -> Option<(f64, Solution)> {
        let mut parts = self.parts[&call.circuit].clone();
        if let Find::Volts { red, black } = find {
            let ground = &self.car.play.shared.circuits[&call.circuit].ground;
            let ends = [red, black.as_ref().unwrap_or(ground)].map(String::as_str);
            parts = parts.voltmeter("probes", ends, Meter { input_ohm: 10e6 });
        }
        let netlist = parts.build().expect("a good netlist");
        let part = |name: &str| netlist.parts().iter().find(|part| part.name() == name);
        let here = faults.iter().filter(|(name, _)| part(name).is_some());
        let with = |setting: Setting, (_, fault): &(&str, Fault)| setting.fault(fault.clone());
        let setting = here.fold(setting(&netlist, call), with);
        let solution = solve(&netlist, &setting).expect("it settles");
        let shown = match find {
            Find::Volts { .. } => solution.reading_v("probes"),
            Find::Amps(part) => solution.current_a(part),
            Find::ContactAmps(relay) => solution.contact_a(relay),
            Find::Ohms(source) => match part(source)?.kind() {
                Kind::Source(own) => Some(own.emf_v / solution.current_a(source)? - own.internal_ohm),
                _ => None,
            },
            Find::Pulled(_) => None,
        };
        Some((shown?, solution))
    }

    /// The questions whose answer hangs on a wire: it carries current while they are asked, and some of the
    /// wire more would show.
    fn hang_on(&self, wire: &str) -> BTreeSet<(String, String)> {
        let mut found = BTreeSet::new();
        for (name, call) in &self.calls {
            for (asked, find) in &call.find {
                let Some((plain, solution)) = self.shown(call, find, &[]) else {
                    continue;
                };
                let Some(carried_a) = solution.current_a(wire) else {
                    continue;
                };
                let longer = [(wire, Fault::Added(wire.to_owned(), 0.01))];
                let (longer, _) = self.shown(call, find, &longer).expect("the same question");
                let moves = (longer - plain).abs() > NOTHING;
                assert!(
                    !moves || carried_a.abs() > NOTHING,
                    "{name}.{asked} moves by a dead {wire}"
                );
                if moves {
                    found.insert((name.clone(), asked.clone()));
                }
            }
        }
        found
    }

    /// The readings with a limit that comes from one of these questions, stricter than any other limit.
    fn judged_by(&self, questions: &BTreeSet<(String, String)>) -> BTreeSet<String> {
        let strict = |operands: &[Operand], sign: f64| -> Option<Reference> {
            let limit = |operand: &Operand| {
                let limit = operand.quantity(&|of| self.car.value(of));
                sign * limit.expect("a limit").si()
            };
            let first = operands
                .iter()
                .max_by(|one, other| limit(one).total_cmp(&limit(other)));
            first?.reference().cloned()
        };
        let asked = |reference: Option<Reference>| match reference {
            Some(Reference::Work { name, output, .. }) => {
                let find = output.trim_end_matches("_low").trim_end_matches("_high");
                questions.contains(&(name, find.to_owned()))
            }
            _ => false,
        };
        let judged = |band: &Band| asked(strict(&band.at_least, 1.0)) || asked(strict(&band.at_most, -1.0));
        let bands = self.car.bands.iter();
        bands
            .filter(|(_, (band, _))| judged(band))
            .map(|(name, _)| name.clone())
            .collect()
    }
}

fn moved(one: &Limits, other: &Limits) -> bool {
    let far = |a: Option<Quantity>, b: Option<Quantity>| match (a, b) {
        (Some(a), Some(b)) => (a.si() - b.si()).abs() > NOTHING,
        (a, b) => a.is_some() != b.is_some(),
    };
    far(one.low, other.low) || far(one.high, other.high) || one.one_of != other.one_of
}

/// The answer on the card that gives a wire's length, the same a little longer, and its wires.
const WIRES: [(&str, &str, &[&str]); 5] = [
    ("power.length", "3.1 m", &["feed", "return"]),
    ("arming.to_arming", "1.7 m", &["to-arming"]),
    ("arming.to_trigger", "2.2 m", &["to-trigger"]),
    ("interlock.to_throttle", "3.3 m", &["to-throttle"]),
    ("interlock.to_relay", "2.9 m", &["to-relay"]),
];

/// Cars on which the ways of the current differ.
const CARS: [&[(&str, &str)]; 4] = [
    &[],
    &[("power.return", "wire"), ("arming.switch", "two")],
    &[("interlock.window", "no"), ("kit.purge", "no")],
    &[
        ("interlock.ecu", "yes"),
        ("interlock.ecu_limit", "1 A"),
        ("interlock.ecu_boot", "open"),
        ("power.suppression", "resistor"),
    ],
];

#[test]
fn a_wire_moves_the_bands_of_its_own_circuit_states_and_no_others() {
    let mut counts = BTreeSet::new();
    for changes in CARS {
        let bench = Bench::of(changes);
        for (field, longer, wires) in WIRES {
            let questions = wires.iter().flat_map(|wire| bench.hang_on(wire)).collect();
            let expected = bench.judged_by(&questions);
            let after = Car::with(&[changes, &[(field, longer)]].concat());
            let before = &bench.car.bands;
            assert!(before.keys().eq(after.bands.keys()), "{changes:?}: {field}");
            let both = before.iter().zip(after.bands.values());
            let found: BTreeSet<String> = both
                .filter(|((_, (_, one)), (_, other))| moved(one, other))
                .map(|((name, _), _)| name.clone())
                .collect();
            assert_eq!(found, expected, "{changes:?}: {field}");
            assert!(
                !found.is_empty() && found.len() < before.len() / 4,
                "{changes:?}: {field}: {found:?}"
            );
            counts.insert(found);
        }
    }
    assert!(counts.len() >= 5, "the wires move different bands: {counts:?}");
}

/// The readings that are judged by the circuit, each with its question and what it shows with these faults.
fn readings(bench: &Bench, faults: &[(&str, Fault)]) -> Vec<(String, Value, Limits)> {
    let mut found = Vec::new();
    for (at, _, step) in bench.car.play.steps() {
        for reading in &step.read {
            let name = format!("{at}.{}", reading.name);
            let (Some((_, limits)), Some((work, asked))) = (bench.car.bands.get(&name), question(reading))
            else {
                continue;
            };
            // Petrol stands in the branch by then; that reading has the pump's load in it as well.
            let Some(call) = bench
                .calls
                .get(&work)
                .filter(|_| at.procedure.as_str() != "fuel-proof")
            else {
                continue;
            };
            let (_, find) = call
                .find
                .iter()
                .find(|(name, _)| *name == asked)
                .expect("it is asked");
            if let Some((shown, _)) = bench.shown(call, find, faults) {
                found.push((name, value(reading, shown), limits.clone()));
            }
        }
    }
    found
}

/// The work-out and the question that give the first limit of a reading from a circuit.
fn question(reading: &Reading) -> Option<(String, String)> {
    let Judged::Band(band) = &reading.judged else {
        return None;
    };
    let operands = band.at_most.iter().chain(&band.at_least);
    operands
        .into_iter()
        .find_map(|operand| match operand.reference()? {
            Reference::Work { name, output, .. } => {
                let asked = output.trim_end_matches("_low").trim_end_matches("_high");
                (asked != output).then(|| (name.clone(), asked.to_owned()))
            }
            _ => None,
        })
}

fn value(reading: &Reading, si: f64) -> Value {
    let ReadingKind::Number { unit, .. } = reading.kind else {
        panic!("{} is no number", reading.name)
    };
    Value::Quantity(Quantity::from_si(si, unit).expect("finite"))
}

fn out_of_band(bench: &Bench, faults: &[(&str, Fault)]) -> Vec<String> {
    let readings = readings(bench, faults).into_iter();
    let out = readings.filter(|(_, value, limits)| limits.judge(value) != Verdict::In);
    out.map(|(name, ..)| name).collect()
}

#[test]
fn a_sound_circuit_lies_in_every_band_and_the_demonstration_with_it() {
    for changes in CARS {
        let bench = Bench::of(changes);
        assert_eq!(out_of_band(&bench, &[]), [""; 0], "{changes:?}");
        assert!(readings(&bench, &[]).len() >= 18, "{changes:?}");
    }
    let bench = Bench::of(&[]);
    for (at, _, step) in bench.car.play.steps() {
        for reading in &step.read {
            let Some(found) = bench.car.reading(at.procedure.as_str(), reading) else {
                continue;
            };
            if let Some((_, limits)) = bench.car.bands.get(&format!("{at}.{}", reading.name)) {
                assert_eq!(
                    limits.judge(found),
                    Verdict::In,
                    "{at}.{}: {found} in {limits:?}",
                    reading.name
                );
            }
        }
    }
}

/// Half an ohm in the way of the solenoids' current, wherever it sits.
const POWER: [&str; 9] = [
    "post-joint",
    "main-fuse",
    "isolator",
    "feed",
    "output-joint",
    "fuel-joint",
    "fuel-ground-joint",
    "ground-joint",
    "chassis",
];
/// Five ohms in the way of the coil's current.
const CHAIN: [&str; 13] = [
    "ignition",
    "tap-fuse",
    "to-arming",
    "arming",
    "to-trigger",
    "trigger",
    "to-throttle",
    "throttle",
    "to-relay",
    "window",
    "window-transistor",
    "cut-out",
    "coil-ground",
];

#[test]
fn a_poor_crimp_anywhere_lies_outside_a_band() {
    let bench = Bench::of(&[]);
    let power = POWER.iter().map(|part| (*part, 0.5));
    for (part, ohm) in power.chain(CHAIN.iter().map(|part| (*part, 5.0))) {
        let out = out_of_band(&bench, &[(part, Fault::Added(part.to_owned(), ohm))]);
        assert!(!out.is_empty(), "{ohm} Ω at {part} is not found");
    }
}

#[test]
fn a_missing_solenoid_lies_outside_the_band_of_the_current() {
    let bench = Bench::of(&[]);
    let missing = [
        ("nitrous", ".total_current"),
        ("nitrous", ".load_resistance"),
        ("fuel", ".total_current"),
        ("fuel", ".load_resistance"),
        ("fuel", ".fuel_current"),
        ("purge", ".purge_current"),
    ];
    for (solenoid, reading) in missing {
        let out = out_of_band(&bench, &[(solenoid, Fault::Open(solenoid.to_owned()))]);
        assert!(
            out.iter().any(|name| name.ends_with(reading)),
            "{solenoid}: {out:?}"
        );
    }
}

#[test]
fn a_bypassed_switch_lies_outside_the_band_behind_it() {
    let bench = Bench::of(&[]);
    let behind = [
        ("trigger", "armed_behind_trigger"),
        ("throttle", "trigger_behind_throttle"),
        ("window", "throttle_behind_window"),
        ("cut-out", "no_pressure_86"),
        ("relay", "dead_87"),
        ("isolator", "isolated_30"),
    ];
    for (switch, reading) in behind {
        let out = out_of_band(&bench, &[(switch, Fault::Welded(switch.to_owned()))]);
        assert!(
            out.iter().any(|name| name.ends_with(reading)),
            "{switch}: {out:?}"
        );
    }
}

#[test]
fn an_ohmmeter_shows_what_lies_across_it() {
    let car = Car::with(&[]);
    let shown = |procedure: &str, name: &str, output: &str| {
        let of = Reference::Work {
            procedure: ProcedureId(procedure.into()),
            name: name.into(),
            output: output.into(),
        };
        car.value(&of)
            .and_then(|value| value.quantity())
            .expect("a figure")
            .si()
    };
    // 0.75 mm² of copper at 1.7241e-8 Ω·m, and two or three contacts.
    let metre = 1.7241e-8 / 0.75e-6;
    let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-9, "{found} {expected}");
    near(shown("arming-trigger", "path", "both"), metre * (1.2 + 1.6) + 0.1);
    near(
        shown("interlocks", "chain", "resistance"),
        metre * (1.6 + 2.4) + 0.15,
    );
    near(
        shown("interlocks", "chain", "resistance_low"),
        metre * 0.9 * (1.6 + 2.4) + 0.006,
    );
    near(
        shown("interlocks", "chain", "resistance_high"),
        metre * 1.1 * (1.6 + 2.4) + 0.6,
    );
    let (nitrous, fuel) = (0.91 * 1.05, 4.25 * 1.05 + 2.0 * 0.005);
    near(
        shown("relay-power", "load", "both_high"),
        nitrous * fuel / (nitrous + fuel) + 2.0 * 0.005,
    );
}
