//! What holds for limits: nothing inside them leads outside the answer's, and their corners reach its ends.
use proptest::prelude::*;

use super::*;

/// A resistance that may be so many times larger or smaller, between two of seven nodes.
#[derive(Clone, Debug)]
struct Link {
    ends: (usize, usize),
    ohm: f64,
    times: f64,
}

fn link() -> impl Strategy<Value = Link> {
    let figures = (-2.0..2.0_f64, 1.0..4.0_f64);
    (0..7_usize, 0..7_usize, figures).prop_map(|(from, to, (decade, times))| Link {
        ends: (from, to),
        ohm: 10_f64.powf(decade),
        times,
    })
}

/// From 0, least, to 1, most; a half is the middle.
fn at(link: &Link, place: f64) -> f64 {
    link.ohm * link.times.powf(2.0 * place - 1.0)
}

const COIL: Relay = Relay {
    coil_ohm: 90.0,
    pull_in_v: 6.0,
    release_v: 1.5,
    contact_ohm: 0.01,
};

/// A chain of links to ground with others across it, a battery, a relay and a diode. The first place is the
/// battery's, and each link has its own.
fn builder(links: &[Link], places: &[f64]) -> Builder {
    let source = Source {
        emf_v: 12.0 + places[0],
        internal_ohm: 0.01,
    };
    let terminals = Terminals {
        t86: Some("n4"),
        t85: Some("n0"),
        t30: Some("n2"),
        t87: Some("n6"),
        t87a: Some("n3"),
    };
    let diode = Diode {
        forward_v: 0.7,
        slope_ohm: 0.05,
    };
    let start = Netlist::grounded_at("n0")
        .source("battery", ["n5", "n0"], source)
        .relay("relay", terminals, COIL)
        .diode("diode", ["n0", "n4"], diode);
    let links = links.iter().zip(&places[1..]).enumerate();
    links.fold(start, |builder, (number, (link, place))| {
        let (from, to) = if number < 6 {
            (number, number + 1)
        } else {
            link.ends
        };
        let ends = [format!("n{from}"), format!("n{to}")];
        if from == to {
            return builder;
        }
        let ohm = at(link, *place);
        builder.wire(&format!("link-{number}"), [&ends[0], &ends[1]], Wire { ohm })
    })
}

fn spread(links: &[Link]) -> Spread {
    let all = |place| builder(links, &vec![place; links.len() + 1]);
    Spread::of([all(0.5), all(0.0), all(1.0)]).expect("a good circuit")
}

const METER: Meter = Meter { input_ohm: 1e7 };
const ASKED: [Asked; 4] = [
    Asked::Amps("battery"),
    Asked::Amps("link-3"),
    Asked::ContactAmps("relay"),
    Asked::Reading("meter"),
];

fn probed(links: &[Link]) -> Spread {
    spread(links)
        .probed("meter", ["n3", "n1"], [METER; 3])
        .expect("two nodes")
}

/// The same four answers from the solver itself, and whether the relay is pulled in.
fn solved(links: &[Link], places: &[f64]) -> ([f64; 4], bool) {
    let builder = builder(links, places).voltmeter("meter", ["n3", "n1"], METER);
    let found = solve(&builder.build().expect("a good circuit"), &Setting::new()).expect("a state");
    let answers = [
        found.current_a("battery"),
        found.current_a("link-3"),
        found.contact_a("relay"),
        found.reading_v("meter"),
    ];
    (answers.map(Option::unwrap), found.pulled("relay").unwrap())
}

fn links() -> impl Strategy<Value = Vec<Link>> {
    prop::collection::vec(link(), 6..8)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn nothing_within_the_limits_leads_outside_the_answers(
        links in links(),
        samples in prop::collection::vec(prop::collection::vec(0.0..=1.0_f64, 10), 24)
    ) {
        let asked = probed(&links).ask(&Setting::new(), &ASKED);
        // That a relay or a diode is in doubt is an answer too; its test is below.
        prop_assume!(asked.is_ok());
        let outlook = asked.unwrap();
        let middle = solved(&links, &vec![0.5; links.len() + 1]);
        for (spanned, middle) in outlook.spanned.iter().zip(middle.0) {
            prop_assert!((spanned.middle - middle).abs() <= 1e-9 * middle.abs().max(1e-6));
            prop_assert!(spanned.low <= spanned.middle && spanned.middle <= spanned.high);
        }
        for places in samples {
            let (answers, pulled) = solved(&links, &places[..=links.len()]);
            prop_assert_eq!(Some(pulled), outlook.middle.pulled("relay"));
            for (answer, spanned) in answers.iter().zip(&outlook.spanned) {
                let slack = 1e-9 * answer.abs().max(1e-6);
                prop_assert!(
                    (spanned.low - slack..=spanned.high + slack).contains(answer),
                    "{} is outside {:?}", answer, spanned
                );
            }
        }
    }

    /// Series and idle figures are left out of the corners, so all of them are gone through here.
    #[test]
    fn the_answers_end_where_the_corners_of_all_figures_do(links in links()) {
        let asked = probed(&links).ask(&Setting::new(), &ASKED);
        prop_assume!(asked.is_ok());
        let mut ends = [(f64::INFINITY, f64::NEG_INFINITY); 4];
        for corner in 0..1_u32 << (links.len() + 1) {
            let places: Vec<f64> = (0..=links.len()).map(|bit| f64::from(corner >> bit & 1)).collect();
            for (end, answer) in ends.iter_mut().zip(solved(&links, &places).0) {
                *end = (end.0.min(answer), end.1.max(answer));
            }
        }
        for (spanned, (low, high)) in asked.unwrap().spanned.iter().zip(ends) {
            let slack = 1e-9 * low.abs().max(high.abs()).max(1e-6);
            prop_assert!((spanned.low - low).abs() <= slack, "{spanned:?}, {low}");
            prop_assert!((spanned.high - high).abs() <= slack, "{spanned:?}, {high}");
        }
    }

    /// Where a relay is said to be in doubt, corners disagree or stand within its thresholds.
    #[test]
    fn no_relay_is_in_doubt_that_every_corner_decides_alike(links in links()) {
        let asked = probed(&links).ask(&Setting::new(), &ASKED);
        prop_assume!(matches!(asked, Err(Finding::Unsure { .. })));
        let corner = |corner: u32| {
            let places: Vec<f64> = (0..=links.len()).map(|bit| f64::from(corner >> bit & 1)).collect();
            let builder = builder(&links, &places).voltmeter("meter", ["n3", "n1"], METER);
            solve(&builder.build().unwrap(), &Setting::new()).map(|found| found.pulled("relay"))
        };
        let first = corner(0);
        // A coil that is driven the other way at another corner may pass zero between them.
        let turned = matches!(asked, Err(Finding::Unsure { least_v: 0.0, .. }));
        let differs = (1..1_u32 << (links.len() + 1)).any(|at| corner(at) != first);
        prop_assert!(differs || turned, "{first:?}");
    }
}

/// A coil behind a wire, both uncertain, at a battery.
fn coil_behind(wire_ohm: [f64; 3], pull_in_v: [f64; 3], emf_v: f64) -> Spread {
    let terminals = Terminals {
        t86: Some("coil"),
        t85: Some("ground"),
        t30: Some("plus"),
        t87: Some("out"),
        t87a: None,
    };
    let build = |end: usize| {
        let (ohm, internal_ohm) = (wire_ohm[end], 0.01);
        let relay = Relay {
            coil_ohm: 80.0,
            pull_in_v: pull_in_v[end],
            ..COIL
        };
        Netlist::grounded_at("ground")
            .source("battery", ["plus", "ground"], Source { emf_v, internal_ohm })
            .wire("wire", ["plus", "coil"], Wire { ohm })
            .relay("relay", terminals, relay)
            .lamp("lamp", ["out", "ground"], Load { ohm: 10.0 })
    };
    Spread::of([build(0), build(1), build(2)]).expect("a good circuit")
}

#[test]
fn a_relay_that_tolerances_leave_in_doubt_is_named_with_its_volts() {
    let sure = coil_behind([20.0, 10.0, 40.0], [6.0, 5.0, 7.0], 12.0);
    let asked = [Asked::ContactAmps("relay"), Asked::Amps("relay")];
    let outlook = sure.ask(&Setting::new(), &asked).expect("8 V at least");
    assert_eq!(outlook.middle.pulled("relay"), Some(true));
    // By hand: 12 V less what the source keeps, over wire and coil. The lamp takes 12 V over 10.02 Ω of it.
    let [contact, coil] = [outlook.spanned[0], outlook.spanned[1]];
    assert!((contact.middle - 12.0 / 10.02).abs() < 2e-3, "{contact:?}");
    // The coil is driven from 86 to 85, against the way it is counted.
    let by_hand = |ohm: f64| -(12.0 - 0.01 * (12.0 / 10.02 + 12.0 / (80.0 + ohm))) / (80.0 + ohm);
    assert!((coil.high - by_hand(40.0)).abs() < 1e-5, "{coil:?}");
    assert!((coil.low - by_hand(10.0)).abs() < 1e-5, "{coil:?}");

    // 12 V over the coil and its wire: 80 of 220 Ω, and 80 of 90 Ω.
    let doubt = coil_behind([20.0, 10.0, 140.0], [6.0, 5.0, 7.0], 12.0);
    let said = doubt
        .ask(&Setting::new(), &[])
        .expect_err("4.4 V at least")
        .to_string();
    assert_eq!(
        said,
        "the relay `relay` is in doubt: its coil has 4.36 V to 10.67 V, and it pulls in at 5 V to 7 V"
    );
    let off = coil_behind([20.0, 10.0, 140.0], [13.0, 12.5, 13.5], 12.0);
    let outlook = off.ask(&Setting::new(), &asked).expect("never");
    assert_eq!(
        (outlook.middle.pulled("relay"), outlook.spanned[0].high),
        (Some(false), 0.0)
    );
}

#[test]
fn a_diode_that_turns_within_the_tolerances_is_named() {
    let build = |drop: f64| {
        let diode = Diode {
            forward_v: drop,
            slope_ohm: 0.05,
        };
        let source = Source {
            emf_v: 1.0,
            internal_ohm: 0.01,
        };
        Netlist::grounded_at("ground")
            .source("cell", ["plus", "ground"], source)
            .diode("diode", ["plus", "out"], diode)
            .lamp("lamp", ["out", "ground"], Load { ohm: 10.0 })
    };
    let sure = Spread::of([build(0.7), build(0.6), build(0.8)]).unwrap();
    let amps = sure.ask(&Setting::new(), &[Asked::Amps("lamp")]).unwrap().spanned[0];
    let by_hand = |drop: f64| (1.0 - drop) / 10.06;
    assert!((amps.low - by_hand(0.8)).abs() < 1e-12 && (amps.high - by_hand(0.6)).abs() < 1e-12);
    let turning = Spread::of([build(0.9), build(0.6), build(1.2)]).unwrap();
    let said = turning.ask(&Setting::new(), &[]).unwrap_err();
    assert_eq!(
        said,
        Finding::Turns {
            diodes: vec!["diode".into()]
        }
    );
}

#[test]
fn what_lies_in_series_is_one_figure_and_what_is_idle_is_none() {
    let build = |ohm: f64| {
        let source = Source {
            emf_v: 12.0,
            internal_ohm: 0.01 * ohm,
        };
        let wire = Wire { ohm };
        Netlist::grounded_at("ground")
            .source("battery", ["plus", "ground"], source)
            .wire("one", ["plus", "a"], wire)
            .wire("two", ["a", "b"], wire)
            .wire("beside", ["a", "b"], wire)
            .switch("open", ["b", "c"], Switch { contact_ohm: ohm })
            .wire("dead", ["b", "d"], wire)
            .lamp("lamp", ["b", "ground"], Load { ohm })
    };
    let spread = Spread::of([build(1.0), build(0.5), build(2.0)]).unwrap();
    // The battery, `one` and `lamp` together, and the two side by side.
    assert_eq!(spread.corner_figures(&Setting::new()).unwrap(), 3);
    let probed = spread.probed("meter", ["d", "ground"], [METER; 3]).unwrap();
    // What leads to the meter counts now, and the lamp stands beside it.
    assert_eq!(probed.corner_figures(&Setting::new()).unwrap(), 5);
}

#[test]
fn a_circuit_is_not_asked_what_it_cannot_answer() {
    let spread = coil_behind([20.0, 10.0, 40.0], [6.0, 5.0, 7.0], 12.0);
    for (asked, said) in [
        (
            Asked::Amps("wir"),
            "there is no part `wir`; there are battery, wire, relay, lamp",
        ),
        (
            Asked::ContactAmps("wire"),
            "`wire` cannot be asked for a contact's current; only a relay can",
        ),
        (
            Asked::Reading("lamp"),
            "`lamp` cannot be asked for a voltage; only a voltmeter can",
        ),
    ] {
        assert_eq!(
            spread.ask(&Setting::new(), &[asked]).unwrap_err().to_string(),
            said
        );
    }
    let many = |ohm: f64| {
        let source = Source {
            emf_v: 12.0,
            internal_ohm: 0.01,
        };
        let start = Netlist::grounded_at("ground").source("battery", ["plus", "ground"], source);
        (0..15).fold(start, |builder, at| {
            builder.lamp(&at.to_string(), ["plus", "ground"], Load { ohm })
        })
    };
    let many = Spread::of([many(2.0), many(1.0), many(3.0)]).unwrap();
    let said = many.ask(&Setting::new(), &[]).unwrap_err().to_string();
    assert_eq!(
        said,
        "15 figures are uncertain by themselves, at most 14 can be gone through"
    );
    let same = spread.probed("meter", ["plus", "plus"], [METER; 3]).unwrap_err();
    assert!(matches!(same, Finding::SameEnds { .. }));
}
