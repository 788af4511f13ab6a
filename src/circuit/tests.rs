//! What the room says of bad netlists, settings and states.
use super::vectors::{case, solved};
use super::*;
use crate::quantity::Quantity;
use crate::table::Tables;

/// Closed form in Python; ngspice runs the same netlist.
#[test]
fn the_reference_chain() {
    for (name, total_a, load_v, first_a, second_a) in [
        ("healthy", 13.546487, 13.352966, 7.740850, 5.805637),
        ("bad-crimp", 11.323409, 11.161646, 6.470519, 4.852889),
    ] {
        let found = solved("reference", name);
        let load = found.between_v("n5", "g").unwrap();
        let close =
            |found: f64, expected: f64| assert!((found - expected).abs() < 1e-5, "{found} {expected}");
        close(found.current_a("V1").unwrap(), total_a);
        close(load, load_v);
        close(found.current_a("first").unwrap(), first_a);
        close(found.current_a("second").unwrap(), second_a);
    }
}

#[test]
fn the_relay_pulls_in_with_all_conditions_met_and_not_without_one() {
    for states in 0..32 {
        let name = format!("states-{states:05b}");
        let found = solved("wet-nitrous", &name);
        assert_eq!(found.pulled("relay"), Some(states == 31), "{name}");
        let solenoid_a = found.current_a("nitrous").unwrap();
        assert!(
            if states == 31 {
                solenoid_a > 15.0
            } else {
                solenoid_a.abs() < 1e-5
            },
            "{name}: {solenoid_a} A"
        );
    }
}

#[test]
fn with_a_welded_contact_the_isolator_alone_stops_the_solenoids() {
    let welded = solved("wet-nitrous", "welded-contact");
    assert!(welded.pulled("relay") == Some(false) && welded.contact_a("relay").unwrap() > 15.0);
    let stopped = solved("wet-nitrous", "welded-contact-isolator-open");
    assert!(stopped.contact_a("relay").unwrap().abs() < 1e-5);
    assert_eq!(
        stopped.reading_v("meter").map(|volt| volt.abs() < 1e-9),
        Some(true)
    );
}

#[test]
fn an_exchanged_coil_terminal_blows_the_fuse_and_the_band_says_when() {
    let found = solved("wet-nitrous", "coil-and-resting-contact-swapped");
    let overload = found
        .findings()
        .iter()
        .find(|finding| matches!(finding, Finding::Overload { .. }));
    let overload = overload.expect("an overload");
    assert!(
        overload.to_string().starts_with("`power-fuse` carries 4"),
        "{overload}"
    );
    assert_eq!(overload.opens("blade", &Tables::shipped()), Ok(None));
    // 1.35 times: between 0.75 s and 1800 s, as the calculator `fuse-time` has it.
    let mild = Finding::Overload {
        fuse: "fuse".into(),
        current_a: 27.0,
        rating_a: 20.0,
    };
    let span = mild.opens("blade", &Tables::shipped()).unwrap().expect("a span");
    assert_eq!((span.least_s, span.most_s), (Some(0.75), Some(1800.0)));
}

#[test]
fn a_relay_holds_down_to_its_release_voltage() {
    let case = case("self-holding", "at-rest");
    let at_rest = solve(&case.netlist, &Setting::new()).unwrap();
    let held = solve(&case.netlist, &Setting::new().held("relay")).unwrap();
    assert_eq!(
        (at_rest.pulled("relay"), held.pulled("relay")),
        (Some(false), Some(true))
    );
    let starved = Setting::new()
        .held("relay")
        .fault(Fault::Added("relay".into(), 300.0));
    let starved = solve(&case.netlist, &starved).unwrap();
    assert_eq!(starved.pulled("relay"), Some(true));
    assert!(
        starved.findings()[0]
            .to_string()
            .contains("holds it but does not pull it in")
    );
}

const SOURCE: Source = Source {
    emf_v: 12.0,
    internal_ohm: 0.02,
};
const RELAY: Relay = Relay {
    coil_ohm: 85.0,
    pull_in_v: 8.0,
    release_v: 1.5,
    contact_ohm: 0.002,
};

#[test]
fn a_relay_that_cuts_its_own_coil_chatters() {
    let terminals = Terminals {
        t85: Some("0"),
        t86: Some("coil"),
        t30: Some("plus"),
        t87: None,
        t87a: Some("coil"),
    };
    let netlist = Netlist::grounded_at("0")
        .source("battery", ["plus", "0"], SOURCE)
        .relay("buzzer", terminals, RELAY)
        .build()
        .unwrap();
    let chatter = solve(&netlist, &Setting::new()).unwrap_err();
    assert_eq!(chatter.to_string(), "these relays never come to rest: buzzer");
}

#[test]
fn a_shorted_source_is_told_with_a_current_of_its_own_resistance() {
    let netlist = Netlist::grounded_at("0")
        .source("battery", ["plus", "0"], SOURCE)
        .wire("spanner", ["plus", "0"], Wire { ohm: 0.001 })
        .build()
        .unwrap();
    let found = solve(&netlist, &Setting::new()).unwrap();
    let sentence = "`battery` is shorted: 571.4 A leave 0.57 V at its terminals";
    assert_eq!(found.findings()[0].to_string(), sentence);
    let case = case("series-cells", "as-built");
    let bridged = Setting::new().fault(Fault::Shorted("low".into()));
    let bridged = solve(&case.netlist, &bridged).unwrap();
    assert!(
        matches!(bridged.findings(), [Finding::ShortedSource { source_part, .. }] if source_part == "low")
    );
}

#[test]
fn bad_netlists_are_refused_with_every_fault() {
    let gauge = |text| Quantity::parse(text, None).unwrap();
    let copper = |length| Copper {
        gauge: gauge("12 AWG"),
        length: gauge(length),
        temperature: gauge("20 °C"),
    };
    let terminals = Terminals {
        t85: Some("0"),
        t86: Some("a"),
        ..Terminals::default()
    };
    let found = Netlist::grounded_at("0")
        .wire("a", ["a", "0"], Wire { ohm: f64::NAN })
        .wire("b", ["a", "0"], Wire { ohm: 0.0 })
        .wire("b", ["a", "a"], Wire { ohm: 1.0 })
        .copper("c", ["a", "0"], copper("2 km"))
        .relay(
            "d",
            terminals,
            Relay {
                release_v: 9.0,
                ..RELAY
            },
        )
        .lamp(" ", ["a", "0"], Load { ohm: f64::INFINITY })
        .build()
        .unwrap_err();
    let found: Vec<String> = found.iter().map(Finding::to_string).collect();
    let expected = [
        "`a`: resistance is NaN Ω, valid from 0.000001 Ω to 1000000000 Ω",
        "`b`: resistance is 0 Ω, valid from 0.000001 Ω to 1000000000 Ω",
        "`b` has both ends at `a`",
        "`c`: `length`: found 2 km, valid from 0.001 m to 1000 m",
        "`d`: release voltage 9 V is not below pull-in voltage 8 V",
        "` `: resistance is inf Ω",
        "a part or node has an empty name near ` `",
        "two parts are named `b`",
    ];
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for (found, expected) in found.iter().zip(expected) {
        assert!(found.starts_with(expected), "{found}\n{expected}");
    }
}

#[test]
fn a_netlist_without_ground_or_with_too_many_nodes_is_refused() {
    let adrift = Netlist::grounded_at("chassis").source("battery", ["plus", "minus"], SOURCE);
    let sentence = "no part is joined to ground, `chassis`";
    assert_eq!(adrift.build().unwrap_err()[0].to_string(), sentence);
    let mut long = Netlist::grounded_at("0");
    for at in 0..MOST_NODES {
        long = long.wire(
            &format!("w{at}"),
            [&at.to_string(), &(at + 1).to_string()],
            Wire { ohm: 1.0 },
        );
    }
    let sentence = "there are 65 nodes, at most 64";
    assert_eq!(long.build().unwrap_err()[0].to_string(), sentence);
}

#[test]
fn a_setting_that_does_not_fit_is_refused() {
    let netlist = case("self-holding", "at-rest").netlist;
    let start = || "start".to_owned();
    for (setting, sentence) in [
        (
            Setting::new().close("stop"),
            "there is no part `stop`; there are battery, start, relay, lamp",
        ),
        (
            Setting::new().close("lamp"),
            "`lamp` cannot be closed; only a switch can",
        ),
        (
            Setting::new().held("start"),
            "`start` cannot be pulled in; only a relay can",
        ),
        (
            Setting::new().fault(Fault::Blown(start())),
            "`start` cannot be blown; only a fuse can",
        ),
        (
            Setting::new().fault(Fault::Welded("lamp".into())),
            "`lamp` cannot be welded; only a switch or a relay can",
        ),
        (
            Setting::new().fault(Fault::Swapped(start(), Terminal::T85, Terminal::T87a)),
            "`start` cannot be swapped; only a relay can",
        ),
        (
            Setting::new().fault(Fault::Added(start(), -1.0)),
            "`start`: resistance is -1 Ω, valid from 0.000001 Ω to 1000000000 Ω",
        ),
    ] {
        assert_eq!(solve(&netlist, &setting).unwrap_err().to_string(), sentence);
    }
}

#[test]
fn a_copper_wire_has_the_calculators_resistance() {
    let copper = Copper {
        gauge: Quantity::parse("12 AWG", None).unwrap(),
        length: Quantity::parse("1 km", None).unwrap(),
        temperature: Quantity::parse("20 °C", None).unwrap(),
    };
    let netlist = Netlist::grounded_at("0")
        .copper("run", ["a", "0"], copper)
        .build()
        .unwrap();
    let Kind::Wire(wire) = netlist.parts()[0].kind() else {
        panic!("not a wire")
    };
    // ASTM B258 and IACS copper in Python, Ω/km to four decimals.
    assert!((wire.ohm - 5.2107).abs() < 5e-5, "{}", wire.ohm);
    assert_eq!(netlist.ends("run"), Some(["a", "0"]));
}
