//! What holds for every circuit: Kirchhoff's laws, linearity, indifference to order, and no panic.
use proptest::prelude::*;

use super::*;

/// A resistance over six decades, between two of twelve nodes.
type Link = (usize, usize, f64);

fn link() -> impl Strategy<Value = Link> {
    (0..12_usize, 0..12_usize, -3.0..3.0_f64).prop_map(|(from, to, decade)| (from, to, 10_f64.powf(decade)))
}

fn node(at: usize) -> String {
    at.to_string()
}

/// A tree to ground, so that no node floats, with cross links, two sources and a diode.
fn builder(tree: &[(usize, f64)], cross: &[Link], emf_v: f64) -> Builder {
    let internal_ohm = 0.05;
    let source = |emf_v| Source { emf_v, internal_ohm };
    let mut builder = Netlist::grounded_at("0")
        .source("one", ["5", "0"], source(emf_v))
        .source("two", ["7", "3"], source(emf_v / 2.0));
    for (at, (below, decade)) in tree.iter().enumerate() {
        let (name, ends) = (format!("tree-{at}"), [node(at + 1), node(below % (at + 1))]);
        let ohm = 10_f64.powf(*decade);
        builder = builder.wire(&name, [&ends[0], &ends[1]], Wire { ohm });
    }
    for (at, (from, to, ohm)) in cross.iter().enumerate().filter(|(_, (from, to, _))| from != to) {
        builder = builder.lamp(
            &format!("cross-{at}"),
            [&node(*from), &node(*to)],
            Load { ohm: *ohm },
        );
    }
    builder
}

fn circuit(tree: &[(usize, f64)], cross: &[Link], emf_v: f64) -> Netlist {
    builder(tree, cross, emf_v).build().expect("a good netlist")
}

fn trees() -> impl Strategy<Value = Vec<(usize, f64)>> {
    prop::collection::vec((0..100_usize, -3.0..3.0_f64), 11)
}

/// What flows out of each node through all parts with two ends, in A.
fn leaving(netlist: &Netlist, found: &Solution) -> Vec<f64> {
    let mut sums = vec![0.0; netlist.nodes().len()];
    let place = |node: &str| netlist.nodes().iter().position(|name| name == node).unwrap();
    for part in netlist.parts() {
        let Some([from, to]) = netlist.ends(part.name()) else {
            continue;
        };
        let current_a = found.current_a(part.name()).unwrap();
        let out_of_from = if matches!(part.kind(), Kind::Source(_)) {
            -current_a
        } else {
            current_a
        };
        sums[place(from)] += out_of_from;
        sums[place(to)] -= out_of_from;
    }
    sums
}

fn close(one: f64, other: f64, within: f64) -> bool {
    (one - other).abs() <= within
}

proptest! {
    #[test]
    fn what_flows_into_a_node_flows_out(tree in trees(), cross in prop::collection::vec(link(), 0..20)) {
        let netlist = circuit(&tree, &cross, 12.0);
        let found = solve(&netlist, &Setting::new()).unwrap();
        for (node, sum_a) in netlist.nodes().iter().zip(leaving(&netlist, &found)) {
            // Rounding of 12 V over 1 mΩ is some 1e-11 A a part.
            prop_assert!(sum_a.abs() < 1e-9, "{node}: {sum_a}");
        }
    }

    #[test]
    fn twice_the_source_is_twice_the_voltage(tree in trees(), cross in prop::collection::vec(link(), 0..20)) {
        let [once, twice] = [6.0, 12.0].map(|emf_v| {
            solve(&circuit(&tree, &cross, emf_v), &Setting::new()).unwrap()
        });
        for ((node, one), (_, two)) in once.voltages_v().zip(twice.voltages_v()) {
            prop_assert!(close(2.0 * one.unwrap(), two.unwrap(), 1e-12), "{node}");
        }
    }

    #[test]
    fn parts_in_series_may_change_places(one in -3.0..3.0_f64, other in -3.0..3.0_f64, load in -1.0..3.0_f64) {
        let [one, other, load] = [one, other, load].map(|decade| 10_f64.powf(decade));
        let chain = |first: f64, second: f64| {
            let netlist = Netlist::grounded_at("0")
                .source("battery", ["a", "0"], Source { emf_v: 13.8, internal_ohm: 0.01 })
                .wire("first", ["a", "b"], Wire { ohm: first })
                .fuse("second", ["b", "c"], Fuse { rating_a: 20.0, cold_ohm: second })
                .lamp("load", ["c", "0"], Load { ohm: load })
                .build()
                .unwrap();
            solve(&netlist, &Setting::new()).unwrap()
        };
        let [there, back] = [chain(one, other), chain(other, one)];
        for node in ["a", "c"] {
            prop_assert!(close(there.voltage_v(node).unwrap(), back.voltage_v(node).unwrap(), 1e-12 * 13.8));
        }
    }

    /// A state is always found for the diodes, and in it each either conducts forwards or blocks below its drop.
    #[test]
    fn diodes_conduct_forwards_or_block(
        tree in trees(),
        diodes in prop::collection::vec((0..12_usize, 0..12_usize, 0.2..1.0_f64), 1..10),
    ) {
        let place = |(from, to, forward_v): &(usize, usize, f64)| {
            ([node(*from), node(if from == to { (to + 1) % 12 } else { *to })], *forward_v)
        };
        let placed: Vec<_> = diodes.iter().map(place).collect();
        let mut builder = builder(&tree, &[], 12.0);
        for (at, ([from, to], forward_v)) in placed.iter().enumerate() {
            let diode = Diode { forward_v: *forward_v, slope_ohm: 0.02 };
            builder = builder.diode(&format!("d{at}"), [from, to], diode);
        }
        let found = solve(&builder.build().unwrap(), &Setting::new());
        let found = found.map_err(|finding| TestCaseError::fail(finding.to_string()))?;
        for (at, ([from, to], forward_v)) in placed.iter().enumerate() {
            let current_a = found.current_a(&format!("d{at}")).unwrap();
            let across_v = found.voltage_v(from).unwrap() - found.voltage_v(to).unwrap();
            let most_v = forward_v + 0.02 * current_a;
            prop_assert!(current_a >= 0.0 && across_v <= most_v + 1e-8, "d{at}: {current_a} A, {across_v} V");
        }
    }

    /// Whatever is joined how, with whatever figures: an answer without NaN or infinity, or a sentence.
    #[test]
    fn nothing_panics_and_nothing_is_infinite(
        parts in prop::collection::vec((0..9_u8, 0..6_usize, 0..6_usize, any::<f64>(), -9.0..9.0_f64), 0..14),
        faults in prop::collection::vec((0..6_u8, 0..14_usize), 0..4),
        wild in 0..20_u8,
    ) {
        let mut builder = Netlist::grounded_at("0");
        for (at, (kind, from, to, any, decade)) in parts.iter().enumerate() {
            // Most netlists keep to what is allowed, so that they are solved.
            let size = if wild == 0 { *any } else { 10_f64.powf(decade.clamp(-6.0, 9.0)) };
            let to = if wild != 0 && from == to { (to + 1) % 6 } else { *to };
            builder = add(builder, *kind, &format!("p{at}"), [&node(*from), &node(to)], size);
        }
        let Ok(netlist) = builder.build() else { return Ok(()) };
        let mut setting = Setting::new();
        for (kind, at) in faults {
            let name = format!("p{at}");
            setting = match kind {
                0 => setting.close(&name),
                1 => setting.fault(Fault::Open(name)),
                2 => setting.fault(Fault::Shorted(name)),
                3 => setting.fault(Fault::Welded(name)),
                4 => setting.fault(Fault::Swapped(name, Terminal::T85, Terminal::T87a)),
                _ => setting.fault(Fault::Added(name, 0.2)),
            };
        }
        match solve(&netlist, &setting) {
            Err(finding) => prop_assert!(!finding.to_string().is_empty()),
            Ok(found) => {
                prop_assert!(found.voltages_v().all(|(_, volt)| volt.is_none_or(f64::is_finite)));
                let currents = netlist.parts().iter().map(|part| found.current_a(part.name()).unwrap());
                prop_assert!(currents.into_iter().all(f64::is_finite));
            }
        }
    }
}

fn add(builder: Builder, kind: u8, name: &str, ends: [&str; 2], size: f64) -> Builder {
    let few = size.abs().sqrt().clamp(1.0, 24.0);
    match kind {
        0 => builder.wire(name, ends, Wire { ohm: size }),
        1 => builder.lamp(name, ends, Load { ohm: size }),
        2 => builder.switch(name, ends, Switch { contact_ohm: size }),
        3 => builder.voltmeter(name, ends, Meter { input_ohm: size }),
        4 => builder.source(
            name,
            ends,
            Source {
                emf_v: few,
                internal_ohm: size,
            },
        ),
        5 => builder.fuse(
            name,
            ends,
            Fuse {
                rating_a: few,
                cold_ohm: size,
            },
        ),
        6 | 7 => builder.diode(
            name,
            ends,
            Diode {
                forward_v: few / 10.0,
                slope_ohm: size.max(1e-4),
            },
        ),
        _ => {
            let terminals = Terminals {
                t85: Some("0"),
                t86: Some(ends[0]),
                t30: Some(ends[1]),
                t87: Some("4"),
                t87a: Some("5"),
            };
            let relay = Relay {
                coil_ohm: size,
                pull_in_v: 8.0,
                release_v: 1.5,
                contact_ohm: size,
            };
            builder.relay(name, terminals, relay)
        }
    }
}
