//! Plots of figures: ticks, places of readings, knees, curves, and what hostile figures do.

use super::*;
use crate::calc::{self, Value};
use crate::player::fact::LimitsShown;
use crate::quantity::{Quantity, Unit};
use crate::table::Tables;
use crate::words::Words;
use std::collections::BTreeMap;

mod hostile;
mod setting;

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text, None).expect("a quantity")
}

/// A calculator's result from inputs as they would be typed; none where it refuses.
fn worked(id: &str, typed: &[(&str, &str)], tables: &Tables) -> Option<calc::Outcome> {
    let spec = calc::find(id).expect("a calculator").spec;
    let bound = |(name, text): &(&str, &str)| {
        let value =
            calc::bind(spec, name, text).unwrap_or_else(|error| panic!("{id} {name} {text}: {error}"));
        ((*name).to_owned(), value)
    };
    calc::run(id, &typed.iter().map(bound).collect::<BTreeMap<_, _>>(), tables).ok()
}

fn drawn(outcome: &calc::Outcome, beside: &Beside, tables: &Tables) -> Option<Plot> {
    of(&Asked {
        calculator: &outcome.calculator,
        inputs: &outcome.inputs,
        outputs: &outcome.outputs,
        judged: None,
        beside,
        tables,
        words: &Words::english(),
    })
}

fn plot(id: &str, typed: &[(&str, &str)], beside: &Beside) -> Plot {
    let outcome = worked(id, typed, &Tables::default()).expect("it works out");
    drawn(&outcome, beside, &Tables::default()).expect("it has a plot")
}

fn held(output: &str, value: Option<&str>, low: Option<&str>, high: Option<&str>, unit: &str) -> Held {
    Held {
        label: "Reading".to_owned(),
        output: output.to_owned(),
        unit: Unit::find(unit).expect("a unit"),
        value: value.map(quantity),
        limits: Some(LimitsShown {
            low: low.map(quantity),
            high: high.map(quantity),
            one_of: None,
            origin: String::new(),
            because: None,
            no_concession: None,
        }),
        fails: false,
    }
}

fn mark(plot: &Plot, sign: Sign) -> &Mark {
    let found = plot.marks.iter().find(|mark| mark.sign == sign);
    found.unwrap_or_else(|| panic!("no {sign:?} in {:?}", plot.marks))
}

fn line<'a>(plot: &'a Plot, name: &str) -> &'a Line {
    let found = plot.lines.iter().find(|line| line.name.starts_with(name));
    found.unwrap_or_else(|| panic!("no {name} in {:?}", plot.lines))
}

#[test]
fn ticks_are_1_2_or_5_times_a_power_of_ten_and_hold_both_ends() {
    for (low, high) in [
        (0.0, 8.3),
        (13.2, 13.9),
        (-20.0, 60.0),
        (0.0, 2e-4),
        (9990.0, 10010.0),
        (0.0, 0.0),
    ] {
        let axis = Axis::even("", "V", low, high);
        assert!(axis.from <= low + 1e-12 && axis.to >= high - 1e-12, "{axis:?}");
        assert!((2..=14).contains(&axis.ticks.len()), "{axis:?}");
        let step = axis.ticks[1].at - axis.ticks[0].at;
        let leading = step / 10f64.powf(step.log10().floor() + 1e-9);
        assert!(
            [1.0, 2.0, 5.0, 10.0].iter().any(|m| (leading - m).abs() < 1e-3),
            "{step}"
        );
        let texts: std::collections::BTreeSet<&str> =
            axis.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(
            texts.len(),
            axis.ticks.len(),
            "each tick reads differently: {axis:?}"
        );
    }
    let axis = Axis::even("", "V", 0.0, 0.6);
    assert_eq!(
        axis.ticks
            .iter()
            .map(|tick| tick.text.as_str())
            .collect::<Vec<_>>(),
        ["0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6"]
    );
}

#[test]
fn powers_have_their_ticks_in_equal_distances() {
    let axis = Axis::powers("", "s", 0.02, 700.0);
    assert_eq!((axis.from, axis.to), (0.01, 1000.0));
    assert!((axis.place(1.0) - 0.4).abs() < 1e-12);
    assert_eq!(axis.ticks.len(), 6);
    let long = Axis::powers("", "s", 0.01, 1e6);
    assert_eq!(
        long.ticks.iter().map(|tick| tick.at).collect::<Vec<_>>(),
        [0.01, 1.0, 100.0, 1e4, 1e6]
    );
}

#[test]
fn a_bottle_shows_its_own_line_its_knee_and_the_reading_where_it_was_taken() {
    let beside = Beside {
        readings: vec![held(
            "pressure_gauge",
            Some("51 bar"),
            Some("46.5 bar"),
            Some("52.5 bar"),
            "bar",
        )],
        ..Beside::default()
    };
    let plot = plot(
        "bottle-state",
        &[("temperature", "20 °C"), ("fill", "0.68 kg/L")],
        &beside,
    );
    // 30.598 °C is where the saturated liquid has 680 kg/m³, by CoolProp 8.0.0 HEOS at constant density.
    let knee = mark(&plot, Sign::Knee);
    assert!((knee.at.0 - 30.598).abs() < 1e-3, "{knee:?}");
    assert_eq!(mark(&plot, Sign::Reading).at, (20.0, 51.0));
    assert_eq!(
        (plot.y.unit, plot.bands[0].low, plot.bands[0].high),
        ("bar", Some(46.5), Some(52.5))
    );
    let own = &line(&plot, "This bottle").points;
    assert!(own.contains(&knee.at), "the knee is a point of the line");
    // Below the knee the line is that of saturation, above it is far steeper.
    let saturation = &line(&plot, "Liquid and vapour").points;
    let at = |points: &[Point], x: f64| {
        points
            .iter()
            .min_by(|a, b| (a.0 - x).abs().total_cmp(&(b.0 - x).abs()))
            .expect("points")
            .1
    };
    assert!((at(own, 10.0) - at(saturation, 10.0)).abs() < 0.8);
    assert!(at(own, 35.0) > at(saturation, 35.0) + 5.0);
    let end = mark(&plot, Sign::End).at;
    assert!(
        (end.0 - 36.37).abs() < 0.01 && saturation.last() == Some(&end),
        "{end:?}"
    );
    assert!(
        plot.says.contains("30.6 °C") && plot.says.contains("51 bar was read"),
        "{}",
        plot.says
    );
}

#[test]
fn curves_of_a_bottle_rise_and_end_where_the_equation_or_the_plot_does() {
    for fill in [
        "0.05 kg/L",
        "0.4 kg/L",
        "0.68 kg/L",
        "0.75 kg/L",
        "0.9 kg/L",
        "1.15 kg/L",
    ] {
        for warmth in ["-60 °C", "0 °C", "20 °C", "35 °C"] {
            let Some(outcome) = worked(
                "bottle-state",
                &[("temperature", warmth), ("fill", fill)],
                &Tables::default(),
            ) else {
                continue;
            };
            let plot = drawn(&outcome, &Beside::default(), &Tables::default()).expect("a plot");
            for line in &plot.lines {
                assert!(line.points.len() > 2, "{fill} {warmth} {}", line.name);
                let rises = line
                    .points
                    .windows(2)
                    .all(|two| two[0].0 <= two[1].0 && two[0].1 <= two[1].1 + 1e-9);
                assert!(rises, "{fill} {warmth} {}", line.name);
            }
        }
    }
}

#[test]
fn a_reading_on_saturation_stands_in_the_unit_of_its_step() {
    let beside = Beside {
        readings: vec![held(
            "pressure_gauge",
            Some("7.5 bar"),
            Some("680 psi"),
            None,
            "psi",
        )],
        fill: Some(quantity("0.66 kg/L")),
        ..Beside::default()
    };
    let plot = plot("nitrous-saturation", &[("temperature", "68 °F")], &beside);
    assert_eq!((plot.x.unit, plot.y.unit), ("°F", "psi"));
    let at = mark(&plot, Sign::Reading).at;
    assert!(
        (at.0 - 68.0).abs() < 1e-9 && (at.1 - 108.778).abs() < 1e-3,
        "{at:?}"
    );
    assert_eq!(plot.bands[0].high, None);
    assert!(line(&plot, "This bottle").style == Style::Strong);
}

#[test]
fn the_wire_leads_from_the_supply_down_to_what_is_left() {
    let typed = [
        ("current", "20 A"),
        ("length", "4 m"),
        ("gauge", "12 AWG"),
        ("return", "wire"),
        ("temperature", "60 °C"),
        ("supply", "13.8 V"),
    ];
    let beside = Beside {
        readings: vec![held("drop", Some("0.61 V"), None, Some("0.9 V"), "V")],
        ..Beside::default()
    };
    let plot = plot("wire-drop", &typed, &beside);
    let points = &plot.lines[0].points;
    let drop = 13.8 - points[2].1;
    assert!((points[0].1 - 13.8).abs() < 1e-12 && (13.8 - points[1].1 - drop / 2.0).abs() < 1e-9);
    assert_eq!(mark(&plot, Sign::Reading).at, (1.0, 13.8 - 0.61));
    assert_eq!((plot.bands[0].beside, plot.bands[0].low), (1.0, Some(13.8 - 0.9)));
    assert_eq!((plot.spans[0].from, plot.spans[0].to), (points[2].1, 13.8));
}

#[test]
fn a_decay_parts_the_leak_from_the_cooling() {
    let typed = [
        ("volume", "250 cm3"),
        ("start_pressure", "400 kPa"),
        ("start_temperature", "20 °C"),
        ("end_pressure", "398 kPa"),
        ("end_temperature", "19 °C"),
        ("time", "10 min"),
        ("reference", "absolute"),
    ];
    let plot = plot("leak-decay", &typed, &Beside::default());
    assert_eq!(line(&plot, "As read").points[1], (10.0, 398.0));
    // p2·T1/T2 = 398 · 293.15 / 292.15, from the ideal gas.
    assert!((line(&plot, "Temperature").points[1].1 - 398.0 * 293.15 / 292.15).abs() < 1e-9);
}

#[test]
fn the_cut_out_stands_among_its_pressures_with_its_margin() {
    let typed = [
        ("rail_pressure", "3.0 bar"),
        ("flowing_pressure", "2.8 bar"),
        ("trip", "30 psi"),
        ("reset", "33 psi"),
        ("tolerance", "1 psi"),
    ];
    let plot = plot("cut-out-margin", &typed, &Beside::default());
    assert_eq!(plot.levels.len(), 4);
    let span = &plot.spans[0];
    let counted = quantity("34 psi")
        .to(Unit::find("bar").expect("a unit"))
        .expect("it fits")
        .value();
    assert!(
        (span.from - counted).abs() < 1e-12 && (span.to - 2.8).abs() < 1e-12,
        "{span:?}"
    );
}

#[test]
fn a_jet_follows_the_root_of_its_drop_and_shows_what_was_caught() {
    let typed = [
        ("diameter", "1.0 mm"),
        ("coefficient", "0.80"),
        ("drop", "3 bar"),
        ("density", "745 kg/m3"),
    ];
    let beside = Beside {
        measured: Some(quantity("60 l/h")),
        ..Beside::default()
    };
    let plot = plot("jet-flow", &typed, &beside);
    assert_eq!(mark(&plot, Sign::Reading).at, (3.0, 1000.0));
    let points = &plot.lines[0].points;
    let named = mark(&plot, Sign::Knee).at;
    assert!(
        points
            .iter()
            .all(|(drop, flow)| (flow - named.1 * (drop / 3.0).sqrt()).abs() < 1e-6)
    );
}

#[test]
fn a_circuit_is_a_list_of_points_with_their_spans() {
    let volts = |name: &str, number: f64| {
        (
            name.to_owned(),
            Value::Quantity(Quantity::new(number, Unit::find("V").expect("a unit")).expect("finite")),
        )
    };
    let outputs = [
        volts("at_fuse", 12.3),
        volts("at_fuse_low", 12.1),
        volts("at_fuse_high", 12.5),
        volts("trigger", 11.8),
        volts("ground", 0.02),
        ("pulled".to_owned(), Value::Flag(true)),
    ];
    let beside = Beside {
        readings: vec![held("at_fuse_low", Some("12.2 V"), Some("12.1 V"), None, "V")],
        names: BTreeMap::from([("at_fuse".to_owned(), "ahead of the fuse".to_owned())]),
        ..Beside::default()
    };
    let plot = of(&Asked {
        calculator: "circuit.solenoid-system",
        inputs: &[],
        outputs: &outputs,
        judged: None,
        beside: &beside,
        tables: &Tables::default(),
        words: &Words::english(),
    })
    .expect("a plot");
    assert_eq!(
        plot.y
            .ticks
            .iter()
            .map(|tick| tick.text.as_str())
            .collect::<Vec<_>>(),
        ["ahead of the fuse", "trigger", "ground"]
    );
    assert_eq!(
        (plot.bands.len(), plot.bands[0].low, plot.bands[0].high),
        (1, Some(12.1), Some(12.5))
    );
    assert_eq!(mark(&plot, Sign::Reading).at, (12.2, 2.5));
}
