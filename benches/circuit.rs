//! What a circuit costs: twelve nodes once, a hundred of them, which must fit in a frame of a 60 Hz screen, and
//! the corners of one whose figures are uncertain, beside building and solving each corner by itself.
//!
//! `circuit.py` beside this file solves the same circuit with ngspice in the same run, and prints the ratio.
use divan::{Bencher, black_box};
use witnessmark::circuit::{Asked, Builder, Spread, solve};
use witnessmark::circuit::{
    Diode, Fuse, Load, Meter, Netlist, Relay, Setting, Source, Switch, Terminals, Wire,
};

fn main() {
    divan::main();
}

/// A fused feed with two solenoids, a lamp and a meter, ground among its twelve nodes; nothing to follow.
fn plain(emf_v: f64) -> Netlist {
    let wire = |ohm| Wire { ohm };
    let builder = Netlist::grounded_at("0")
        .source(
            "battery",
            ["n1", "0"],
            Source {
                emf_v,
                internal_ohm: 0.01,
            },
        )
        .wire("main", ["n1", "n2"], wire(0.002))
        .fuse(
            "fuse",
            ["n2", "n3"],
            Fuse {
                rating_a: 30.0,
                cold_ohm: 0.0025,
            },
        )
        .switch("isolator", ["n3", "n4"], Switch { contact_ohm: 0.001 })
        .wire("feed", ["n4", "n5"], wire(0.004))
        .wire("run", ["n5", "n6"], wire(0.003))
        .solenoid("nitrous", ["n6", "n7"], Load { ohm: 0.75 })
        .solenoid("fuel", ["n6", "n8"], Load { ohm: 3.1 })
        .wire("ground-1", ["n7", "n9"], wire(0.004))
        .wire("ground-2", ["n8", "n9"], wire(0.006))
        .wire("strap", ["n9", "0"], wire(0.003))
        .lamp("lamp", ["n5", "n10"], Load { ohm: 5.5 })
        .wire("ground-3", ["n10", "0"], wire(0.01))
        .voltmeter("meter", ["n6", "n11"], Meter { input_ohm: 1e7 })
        .wire("probe", ["n11", "n9"], wire(0.2));
    builder.build().expect("a good netlist")
}

/// The same length of circuit with a relay to follow and a diode to decide.
fn relayed(emf_v: f64) -> Netlist {
    let terminals = Terminals {
        t85: Some("n5"),
        t86: Some("n4"),
        t30: Some("n7"),
        t87: Some("n8"),
        t87a: None,
    };
    let relay = Relay {
        coil_ohm: 85.0,
        pull_in_v: 8.0,
        release_v: 1.5,
        contact_ohm: 0.003,
    };
    let wire = |ohm| Wire { ohm };
    let builder = Netlist::grounded_at("0")
        .source(
            "battery",
            ["n1", "0"],
            Source {
                emf_v,
                internal_ohm: 0.01,
            },
        )
        .fuse(
            "control-fuse",
            ["n1", "n2"],
            Fuse {
                rating_a: 5.0,
                cold_ohm: 0.02,
            },
        )
        .switch("isolator", ["n2", "n3"], Switch { contact_ohm: 0.01 })
        .wire("to-coil", ["n3", "n4"], wire(0.04))
        .diode(
            "suppression",
            ["n5", "n4"],
            Diode {
                forward_v: 0.7,
                slope_ohm: 0.05,
            },
        )
        .wire("coil-ground", ["n5", "0"], wire(0.01))
        .fuse(
            "fuse",
            ["n1", "n6"],
            Fuse {
                rating_a: 25.0,
                cold_ohm: 0.003,
            },
        )
        .wire("feed", ["n6", "n7"], wire(0.006))
        .relay("relay", terminals, relay)
        .solenoid("nitrous", ["n8", "n9"], Load { ohm: 0.78 })
        .solenoid("fuel", ["n8", "n10"], Load { ohm: 3.3 })
        .wire("ground-1", ["n9", "n11"], wire(0.004))
        .wire("ground-2", ["n10", "n11"], wire(0.006))
        .wire("strap", ["n11", "0"], wire(0.003));
    builder.build().expect("a good netlist")
}

/// Sixteen nodes: a fused feed through a relay to two solenoids and a lamp, with nine figures uncertain, two of
/// them in series, which at `place` stand at their middle (0), their least (-1) or their most (1).
fn uncertain(place: f64) -> Builder {
    let wide = |middle: f64| middle * 10_f64.powf(0.3 * place);
    let sure = |ohm| Wire { ohm };
    let terminals = Terminals {
        t85: Some("n5"),
        t86: Some("n4"),
        t30: Some("n7"),
        t87: Some("n8"),
        t87a: None,
    };
    let relay = Relay {
        coil_ohm: 85.0 + 8.0 * place,
        pull_in_v: 6.0,
        release_v: 1.5,
        contact_ohm: wide(0.01),
    };
    let (emf_v, internal_ohm) = (12.6 + 0.05 * place, 0.005);
    let (forward_v, slope_ohm) = (0.7, 0.05);
    let (contact_ohm, rating_a, cold_ohm) = (wide(0.01), 25.0, 0.003);
    Netlist::grounded_at("0")
        .source("battery", ["n1", "0"], Source { emf_v, internal_ohm })
        .wire("post", ["n1", "n2"], sure(0.001))
        .switch("isolator", ["n2", "n3"], Switch { contact_ohm })
        .wire("to-coil", ["n3", "n4"], sure(0.04))
        .relay("relay", terminals, relay)
        .diode("suppression", ["n5", "n4"], Diode { forward_v, slope_ohm })
        .wire("coil-ground", ["n5", "n11"], sure(0.01))
        .fuse("fuse", ["n2", "n6"], Fuse { rating_a, cold_ohm })
        .wire("feed", ["n6", "n7"], Wire { ohm: wide(0.006) })
        .wire("run", ["n8", "n12"], sure(0.004))
        .solenoid("nitrous", ["n12", "n9"], Load { ohm: wide(0.78) })
        .solenoid("fuel", ["n12", "n10"], Load { ohm: wide(3.3) })
        .wire("ground-1", ["n9", "n11"], sure(0.004))
        .wire("ground-2", ["n10", "n11"], sure(0.006))
        .lamp("lamp", ["n8", "n13"], Load { ohm: wide(40.0) })
        .wire("ground-3", ["n13", "n14"], sure(0.01))
        .wire("ground-4", ["n14", "n11"], sure(0.01))
        .wire("strap", ["n11", "n15"], Wire { ohm: wide(0.003) })
        .wire("to-minus", ["n15", "0"], sure(0.001))
}

/// All 256 corners of it, asked for one voltage.
#[divan::bench]
fn corners_of_eight_figures(bencher: Bencher) {
    let spread = Spread::of([0.0, -1.0, 1.0].map(uncertain)).expect("a good circuit");
    let meter = [Meter { input_ohm: 1e7 }; 3];
    let spread = spread.probed("meter", ["n12", "n11"], meter).expect("two nodes");
    assert_eq!(spread.corner_figures(&on()), Ok(8));
    assert!(spread.ask(&on(), &[Asked::Reading("meter")]).is_ok());
    bencher.bench(|| black_box(&spread).ask(&on(), &[Asked::Reading("meter")]));
}

/// The same 256 circuits, each built anew and solved.
#[divan::bench]
fn corners_one_by_one(bencher: Bencher) {
    bencher.bench(|| {
        let solved = (0..256).map(|corner: i32| {
            let place = f64::from(corner % 2 * 2 - 1);
            let meter = Meter { input_ohm: 1e7 };
            let netlist = uncertain(black_box(place))
                .voltmeter("meter", ["n12", "n11"], meter)
                .build();
            solve(&netlist.expect("a good netlist"), &on())
        });
        solved.filter(Result::is_ok).count()
    });
}

fn on() -> Setting {
    Setting::new().close("isolator")
}

#[divan::bench]
fn twelve_nodes(bencher: Bencher) {
    let (netlist, setting) = (plain(13.8), on());
    bencher.bench(|| solve(black_box(&netlist), black_box(&setting)));
}

#[divan::bench]
fn twelve_nodes_with_relay_and_diode(bencher: Bencher) {
    let (netlist, setting) = (relayed(13.8), on());
    bencher.bench(|| solve(black_box(&netlist), black_box(&setting)));
}

/// A hundred supplies from 10 V, every one solved anew.
#[divan::bench]
fn hundred_of_them(bencher: Bencher) {
    let netlists: Vec<Netlist> = (0..100)
        .map(|step| relayed(10.0 + 0.05 * f64::from(step)))
        .collect();
    let setting = on();
    bencher.bench(|| {
        netlists
            .iter()
            .filter(|netlist| solve(black_box(netlist), &setting).is_ok())
            .count()
    });
}
