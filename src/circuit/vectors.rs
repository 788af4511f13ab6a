//! The circuits of tests/vectors/circuit, held against ngspice.
use std::collections::BTreeMap;

use super::*;

const CIRCUITS: &str = include_str!("../../tests/vectors/circuit/circuits.txt");
/// Computed by ngspice 39.3: tests/vectors/circuit/generate.py.
const VECTORS: &str = include_str!("../../tests/vectors/circuit/vectors.csv");

/// A case of circuits.txt: what is set, and the states that must be found.
pub(super) struct Case {
    pub circuit: String,
    pub name: String,
    pub netlist: Netlist,
    pub setting: Setting,
    pub pulled: Vec<String>,
}

fn figure(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text} is not a number"))
}

fn part(builder: Builder, words: &[&str]) -> Builder {
    match *words {
        ["source", name, plus, minus, emf, ohm] => builder.source(
            name,
            [plus, minus],
            Source {
                emf_v: figure(emf),
                internal_ohm: figure(ohm),
            },
        ),
        ["wire", name, from, to, ohm] => builder.wire(name, [from, to], Wire { ohm: figure(ohm) }),
        ["load", name, from, to, ohm] => builder.solenoid(name, [from, to], Load { ohm: figure(ohm) }),
        ["fuse", name, from, to, rating, ohm] => builder.fuse(
            name,
            [from, to],
            Fuse {
                rating_a: figure(rating),
                cold_ohm: figure(ohm),
            },
        ),
        ["switch", name, from, to, ohm] => {
            let contact_ohm = figure(ohm);
            builder.switch(name, [from, to], Switch { contact_ohm })
        }
        ["meter", name, from, to, ohm] => {
            let input_ohm = figure(ohm);
            builder.voltmeter(name, [from, to], Meter { input_ohm })
        }
        ["diode", name, from, to, drop, slope] => builder.diode(
            name,
            [from, to],
            Diode {
                forward_v: figure(drop),
                slope_ohm: figure(slope),
            },
        ),
        ["relay", name, ref at @ .., coil, pull_in, release, contact] => {
            let at: Vec<Option<&str>> = at.iter().map(|node| (*node != "-").then_some(*node)).collect();
            let [t85, t86, t30, t87, t87a] = at[..] else {
                panic!("{words:?}")
            };
            let terminals = Terminals {
                t85,
                t86,
                t30,
                t87,
                t87a,
            };
            let relay = Relay {
                coil_ohm: figure(coil),
                pull_in_v: figure(pull_in),
                release_v: figure(release),
                contact_ohm: figure(contact),
            };
            builder.relay(name, terminals, relay)
        }
        _ => panic!("{words:?}"),
    }
}

fn terminal(text: &str) -> Terminal {
    match text {
        "85" => Terminal::T85,
        "86" => Terminal::T86,
        "30" => Terminal::T30,
        "87" => Terminal::T87,
        "87a" => Terminal::T87a,
        _ => panic!("{text} is no terminal"),
    }
}

fn fault(words: &[&str]) -> Fault {
    let own = |name: &str| name.to_owned();
    match *words {
        ["open", name] => Fault::Open(own(name)),
        ["shorted", name] => Fault::Shorted(own(name)),
        ["blown", name] => Fault::Blown(own(name)),
        ["welded", name] => Fault::Welded(own(name)),
        ["added", name, ohm] => Fault::Added(own(name), figure(ohm)),
        ["swapped", name, one, other] => Fault::Swapped(own(name), terminal(one), terminal(other)),
        _ => panic!("{words:?}"),
    }
}

fn cases() -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    let mut circuit = String::new();
    let mut builder = Netlist::grounded_at("0");
    for line in CIRCUITS.lines().filter(|line| !line.is_empty()) {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words[..] {
            ["circuit", name] => {
                circuit = name.to_owned();
                builder = Netlist::grounded_at("0");
            }
            ["case", name] => cases.push(Case {
                circuit: circuit.clone(),
                name: name.to_owned(),
                netlist: builder.clone().build().expect("a good netlist"),
                setting: Setting::new(),
                pulled: Vec::new(),
            }),
            ["closed" | "pulled" | "conducting" | "fault", ref rest @ ..] => {
                let case = cases.last_mut().expect("a case");
                let setting = std::mem::take(&mut case.setting);
                case.setting = match words[0] {
                    "closed" => rest.iter().fold(setting, |all, name| all.close(name)),
                    "fault" => setting.fault(fault(rest)),
                    _ => setting,
                };
                if words[0] == "pulled" {
                    case.pulled = rest.iter().map(|name| (*name).to_owned()).collect();
                }
            }
            _ => builder = part(builder, &words),
        }
    }
    cases
}

pub(super) fn case(circuit: &str, name: &str) -> Case {
    let found = cases()
        .into_iter()
        .find(|case| case.circuit == circuit && case.name == name);
    found.unwrap_or_else(|| panic!("no {circuit} {name}"))
}

pub(super) fn solved(circuit: &str, name: &str) -> Solution {
    let case = case(circuit, name);
    solve(&case.netlist, &case.setting).unwrap_or_else(|finding| panic!("{circuit} {name}: {finding}"))
}

/// Within 1e-9 of the greatest supply, and of the current that it could drive at most in these circuits.
#[test]
fn every_node_is_where_ngspice_finds_it() {
    let mut expected: BTreeMap<(&str, &str), Vec<(&str, &str)>> = BTreeMap::new();
    for line in VECTORS.lines() {
        let [circuit, case, node, value] = line.split(',').collect::<Vec<_>>()[..] else {
            panic!("{line}")
        };
        expected.entry((circuit, case)).or_default().push((node, value));
    }
    let cases = cases();
    assert!(cases.len() >= 100 && expected.len() == cases.len());
    let mut worst = 0.0_f64;
    for case in cases {
        let name = format!("{} {}", case.circuit, case.name);
        let solution = solve(&case.netlist, &case.setting).unwrap_or_else(|found| panic!("{name}: {found}"));
        assert_eq!(
            solution.relays_pulled().collect::<Vec<_>>(),
            case.pulled,
            "{name}"
        );
        let supply_v = supply_v(&case.netlist);
        for (node, value) in &expected[&(case.circuit.as_str(), case.name.as_str())] {
            if *value == "floating" {
                assert_eq!(solution.voltage_v(node), None, "{name}: {node}");
                continue;
            }
            let found = match node.strip_prefix('@') {
                Some(source) => solution.current_a(source),
                None => solution.voltage_v(node),
            };
            let off = (found.unwrap_or(f64::NAN) - figure(value)).abs();
            let scale = if node.starts_with('@') {
                most_a(&case.netlist)
            } else {
                supply_v
            };
            assert!(
                off <= 1e-9 * scale,
                "{name}: {node} is {found:?}, ngspice has {value}"
            );
            worst = worst.max(off / scale);
        }
        let floats = |finding: &&Finding| matches!(finding, Finding::Floating { .. });
        let told = solution.findings().iter().filter(floats).count();
        assert_eq!(
            told,
            solution.voltages_v().filter(|(_, volt)| volt.is_none()).count(),
            "{name}"
        );
    }
    println!("worst: {worst:e} of the supply");
}

fn sources(netlist: &Netlist) -> Vec<Source> {
    let source = |part: &Part| match part.kind() {
        Kind::Source(source) => Some(source),
        _ => None,
    };
    netlist.parts().iter().filter_map(source).collect()
}

fn supply_v(netlist: &Netlist) -> f64 {
    sources(netlist)
        .iter()
        .map(|source| source.emf_v)
        .fold(0.0, f64::max)
}

fn most_a(netlist: &Netlist) -> f64 {
    let most = |source: &Source| source.emf_v / source.internal_ohm;
    sources(netlist).iter().map(most).fold(0.0, f64::max)
}
