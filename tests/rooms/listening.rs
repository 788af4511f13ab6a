//! A meter listened to beside the screen: what it says at this moment, and the value that is taken.

use crate::simulated::{Answer, Script, Simulated};
use std::time::{Duration, Instant};
use witnessmark::page::live::{LiveState, nothing_to_take};
use witnessmark::procedure::{Instrument, register};
use witnessmark::quantity::Unit;
use witnessmark::session::Live;
use witnessmark::words::Words;

const GOOD: Script = &[
    ("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02")),
    ("MEAS:VOLT:DC?", Answer::Line("+1.26031000E+01")),
];
const OTHER: Script = &[
    ("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02")),
    ("MEAS:VOLT:DC?", Answer::Line("+1.10000000E+01")),
];
const OVERLOAD: Script = &[
    ("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02")),
    ("MEAS:VOLT:DC?", Answer::Line("+9.90000000E+37")),
];
const SILENT: Script = &[("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02"))];

fn instrument(meter: &str) -> Instrument {
    let text = format!(
        "register:\n  - {{ id: m, kind: volt-meter, name: Bench meter, serial: VM-0093, range: {{ from: 0 V, to: 60 V }}, \
         resolution: 1 mV, calibrated: 2026-03-02, due: 2027-03-02{meter} }}\n"
    );
    register(&text)
        .unwrap_or_else(|report| panic!("{}", report.render()))
        .remove(0)
}

fn listened(at: &str, unit: &str) -> Live {
    let meter = format!(r#", meter: {{ at: "{at}", asks: {{ V: "MEAS:VOLT:DC?" }} }}"#);
    Live::to(&instrument(&meter), Unit::find(unit).unwrap()).expect("the register has a line")
}

fn clock() -> chrono::DateTime<chrono::FixedOffset> {
    chrono::DateTime::parse_from_rfc3339("2026-03-02T14:03:30+01:00").unwrap()
}

/// Looks until the state is wanted.
fn until(live: &mut Live, wanted: impl Fn(&LiveState) -> bool) -> LiveState {
    let begun = Instant::now();
    loop {
        live.look();
        let state = live.state(clock());
        if wanted(&state) {
            return state;
        }
        assert!(begun.elapsed() < Duration::from_secs(20), "it stays {state:?}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn is_value(state: &LiveState) -> bool {
    state.value().is_some()
}

#[test]
fn what_was_shown_is_taken_and_nothing_that_came_after_it() {
    let meter = Simulated::new(GOOD);
    let mut live = listened(&meter.at, "V");
    let first = live.state(clock());
    assert_eq!(first, LiveState::Connecting { at: meter.at.clone() });
    let refused = live.take(clock()).unwrap_err();
    assert!(nothing_to_take(&refused, &Words::english()).contains("Connecting"));
    until(&mut live, is_value);
    // The next values are other ones, but nobody has looked at them yet.
    meter.says(OTHER);
    std::thread::sleep(Duration::from_millis(700));
    let taken = live.take(clock()).expect("a value stands there");
    assert_eq!(taken.typed, "12.6031 V");
    assert_eq!(taken.said.identity, "Sample Works,DM-4,VM-0093,1.02");
    assert_eq!(
        (taken.said.asked.as_str(), taken.said.reply.as_str()),
        ("MEAS:VOLT:DC?", "+1.26031000E+01")
    );
    until(&mut live, |state| {
        state.value().is_some_and(|value| value.value() < 12.0)
    });
    assert_eq!(live.take(clock()).expect("a value").typed, "11 V");
}

#[test]
fn an_overload_and_a_silence_cannot_be_taken_and_a_value_can_again() {
    let meter = Simulated::new(OVERLOAD);
    let mut live = listened(&meter.at, "V");
    until(&mut live, |state| *state == LiveState::Overload);
    assert_eq!(live.take(clock()), Err(LiveState::Overload));
    meter.says(GOOD);
    until(&mut live, is_value);
    meter.says(SILENT);
    let silent = until(&mut live, |state| matches!(state, LiveState::Silent { .. }));
    let LiveState::Silent { since } = &silent else {
        unreachable!()
    };
    assert!(("14:03:25"..="14:03:30").contains(&since.as_str()), "{since}");
    assert_eq!(live.take(clock()).unwrap_err(), silent);
    meter.says(GOOD);
    until(&mut live, is_value);
}

#[test]
fn a_wrong_meter_and_a_wrong_unit_are_named() {
    const STRANGER: Script = &[("*IDN?", Answer::Line("Sample Works,DM-4,VM-0094,1.02"))];
    const NAMELESS: Script = &[("*IDN?", Answer::Line("DM-4"))];
    const WORDS: Script = &[
        ("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02")),
        ("MEAS:VOLT:DC?", Answer::Line("12.6 V")),
    ];
    const GARBLED: Script = &[
        ("*IDN?", Answer::Line("Sample Works,DM-4,VM-0093,1.02")),
        ("MEAS:VOLT:DC?", Answer::Raw(b"\xff\n")),
    ];
    let text = |text: &str| text.to_owned();
    for (script, unit, expected) in [
        (
            STRANGER,
            "V",
            LiveState::Stranger {
                found: text("VM-0094"),
                expected: text("VM-0093"),
            },
        ),
        (NAMELESS, "V", LiveState::Nameless { found: text("DM-4") }),
        (
            WORDS,
            "V",
            LiveState::NoReading {
                reply: text("12.6 V"),
            },
        ),
        (GARBLED, "V", LiveState::Garbled),
        (
            GOOD,
            "A",
            LiveState::Misfit {
                unit: "A",
                has: text("V"),
            },
        ),
    ] {
        let mut live = listened(&Simulated::new(script).at, unit);
        until(&mut live, |state| *state == expected);
        assert_eq!(live.take(clock()), Err(expected));
    }
}

#[test]
fn a_meter_that_is_away_does_not_answer() {
    let free = std::net::TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let at = format!("tcp://{free}");
    let mut live = listened(&at, "V");
    until(&mut live, |state| {
        *state == LiveState::NoAnswer { at: at.clone() }
    });
}

#[test]
fn the_line_is_let_go_of_when_nobody_listens_any_more() {
    let meter = Simulated::new(GOOD);
    let mut live = listened(&meter.at, "V");
    until(&mut live, is_value);
    assert_eq!(meter.lines(), 1);
    drop(live);
    let begun = Instant::now();
    while meter.lines() > 0 {
        assert!(begun.elapsed() < Duration::from_secs(5), "the line stays open");
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn an_instrument_without_a_line_is_not_listened_to() {
    assert!(Live::to(&instrument(""), Unit::find("V").unwrap()).is_none());
}
