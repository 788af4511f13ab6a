//! Meters that speak SCPI, held against a simulated one on a network line and on a serial line.

use crate::simulated::{Answer, Script, Simulated, answer};
use serialport::{SerialPort, TTYPort};
use std::net::TcpListener;
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};
use witnessmark::meter::{Meter, MeterError, Watch};
use witnessmark::procedure::{MeterLine, register};
use witnessmark::quantity::Unit;
use witnessmark::scpi::{Address, ReplyError};

const IDENTITY: &str = "Sample Works,DM-4,VM-0093,1.02";
const SHORT: Duration = Duration::from_millis(200);

/// A meter on a network line.
fn on_network(script: Script) -> Address {
    Simulated::new(script).at.parse().unwrap()
}

/// A meter on a serial line: the other end of a pseudo-terminal.
fn on_serial(script: Script) -> (Address, TTYPort) {
    let (mut ours, theirs) = TTYPort::pair().unwrap();
    let at = format!("serial:{}?baud=9600", theirs.name().unwrap());
    ours.set_timeout(Duration::from_secs(20)).unwrap();
    let reader = ours.try_clone_native().unwrap();
    thread::spawn(move || answer(&|| script, reader, ours));
    (at.parse().unwrap(), theirs)
}

fn line(at: &Address) -> MeterLine {
    let text = format!(
        r#"
register:
  - id: meter-1
    kind: volt-meter
    name: Bench meter
    serial: VM-0093
    range: {{ from: 0 V, to: 60 V }}
    resolution: 1 mV
    calibrated: 2026-03-02
    due: 2027-03-02
    meter: {{ at: "{at}", asks: {{ V: "MEAS:VOLT:DC?", mV: "MEAS:MVOLT?" }} }}
"#
    );
    register(&text).unwrap_or_else(|report| panic!("{report:?}"))[0]
        .meter
        .clone()
        .unwrap()
}

fn volt() -> Unit {
    Unit::find("V").unwrap()
}

const GOOD: Script = &[
    ("*IDN?", Answer::Line(IDENTITY)),
    ("MEAS:VOLT:DC?", Answer::Line("+1.26031000E+01")),
    ("SYST:ERR?", Answer::Line("0,\"No error\"")),
];

#[test]
fn a_value_comes_with_everything_that_the_record_needs() {
    let at = on_network(GOOD);
    let mut meter = Meter::within(&at, "VM-0093", SHORT).unwrap();
    let sample = meter.sample(&line(&at), volt()).unwrap();
    assert_eq!(sample.identity, IDENTITY);
    assert_eq!(sample.asked, "MEAS:VOLT:DC?");
    assert_eq!(sample.reply, "+1.26031000E+01");
    assert_eq!(sample.value.to_string(), "12.6031 V");
    assert_eq!(meter.troubles(), Ok(()));
}

#[test]
fn a_serial_line_does_the_same_and_forgets_what_was_said_before() {
    let (at, _kept) = on_serial(&[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Pieces(&["+1.2", "603E", "+01\n"])),
    ]);
    let mut meter = Meter::within(&at, "VM-0093", Duration::from_secs(2)).unwrap();
    for _ in 0..3 {
        let sample = meter.sample(&line(&at), volt()).unwrap();
        assert_eq!(sample.value.to_string(), "12.603 V");
    }
}

#[test]
fn the_wrong_meter_on_the_line_is_refused() {
    let at = on_network(GOOD);
    let error = Meter::within(&at, "VM-0094", SHORT).err().unwrap();
    assert!(matches!(error, MeterError::Stranger { .. }), "{error}");
    assert!(error.to_string().contains("VM-0093"), "{error}");
    assert!(error.to_string().contains("VM-0094"), "{error}");
}

/// The error of one question after a good identity.
fn error_of(script: Script) -> MeterError {
    let at = on_network(script);
    let mut meter = Meter::within(&at, "VM-0093", SHORT).unwrap();
    meter.sample(&line(&at), volt()).unwrap_err()
}

#[test]
fn whatever_is_no_reading_is_told_and_never_taken() {
    let reply = |error| matches!(error, MeterError::Reply(_));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Line("9.90000000E+37")),
    ];
    assert!(matches!(
        error_of(script),
        MeterError::Reply(ReplyError::Overload { .. })
    ));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Line("12.6 V")),
    ];
    assert!(reply(error_of(script)));
    let script: Script = &[("*IDN?", Answer::Line(IDENTITY))];
    assert!(matches!(error_of(script), MeterError::Silent { .. }));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::HangUp),
    ];
    assert!(matches!(error_of(script), MeterError::Broken { .. }));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Raw(b"1.0\n2.0\n")),
    ];
    assert!(matches!(error_of(script), MeterError::Garbled { .. }));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Raw(b"\xff\xfe\n")),
    ];
    assert!(matches!(error_of(script), MeterError::Garbled { .. }));
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::Raw(&[b'1'; 600])),
    ];
    assert!(matches!(error_of(script), MeterError::Garbled { .. }));
}

#[test]
fn a_meter_that_trickles_is_not_waited_for_longer_than_its_time() {
    let script: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        (
            "MEAS:VOLT:DC?",
            Answer::Pieces(&[
                "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1",
                "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1", "1",
            ]),
        ),
    ];
    let begun = Instant::now();
    assert!(matches!(error_of(script), MeterError::Silent { .. }));
    assert!(begun.elapsed() < Duration::from_secs(5));
}

#[test]
fn a_meter_that_is_away_is_unreachable() {
    let free = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap()
        .port();
    let at: Address = format!("tcp://127.0.0.1:{free}").parse().unwrap();
    let error = Meter::within(&at, "VM-0093", SHORT).err().unwrap();
    assert!(matches!(error, MeterError::Unreachable { .. }), "{error}");
    let at: Address = "serial:/dev/ttyNONE0".parse().unwrap();
    let error = Meter::within(&at, "VM-0093", SHORT).err().unwrap();
    assert!(matches!(error, MeterError::Unreachable { .. }), "{error}");
}

#[test]
fn a_unit_without_a_question_of_its_own_takes_one_of_its_dimension() {
    let at: Address = "tcp://192.0.2.7".parse().unwrap();
    let line = line(&at);
    let millivolt = Unit::find("mV").unwrap();
    assert_eq!(line.question_for(millivolt).unwrap().1.as_str(), "MEAS:MVOLT?");
    let kilovolt = Unit::find("kV");
    if let Some(kilovolt) = kilovolt {
        assert_eq!(line.question_for(kilovolt).unwrap().0, volt());
    }
    assert!(line.question_for(Unit::find("A").unwrap()).is_none());
}

#[test]
fn a_watch_tells_each_value_and_comes_back_after_the_line_broke() {
    const ONCE: Script = &[
        ("*IDN?", Answer::Line(IDENTITY)),
        ("MEAS:VOLT:DC?", Answer::HangUp),
    ];
    // The first line breaks off, the second is good.
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let at: Address = format!("tcp://{}", listener.local_addr().unwrap())
        .parse()
        .unwrap();
    thread::spawn(move || {
        for (stream, script) in listener.incoming().zip([ONCE, GOOD]) {
            let stream = stream.unwrap();
            answer(&|| script, stream.try_clone().unwrap(), stream);
        }
    });
    let (tell, heard) = mpsc::channel();
    let watch = Watch::start(line(&at), "VM-0093".to_owned(), volt(), move |outcome| {
        let _ = tell.send(outcome);
    });
    let patience = Duration::from_secs(20);
    let first = heard.recv_timeout(patience).unwrap();
    assert!(matches!(first, Err(MeterError::Broken { .. })), "{first:?}");
    for _ in 0..3 {
        let next = heard.recv_timeout(patience).unwrap();
        assert_eq!(next.unwrap().value.to_string(), "12.6031 V");
    }
    drop(watch);
    let ended = (0..50).any(|_| heard.recv_timeout(patience).is_err());
    assert!(ended, "a dropped watch goes on asking");
}

#[test]
fn the_register_refuses_what_is_no_meter() {
    for (meter, says) in [
        (r#"{ at: "http://x", asks: { V: "READ?" } }"#, "`tcp://HOST:PORT`"),
        (
            r#"{ at: "tcp://x", asks: { V: "OUTP ON" } }"#,
            "one question to the meter",
        ),
        (r#"{ at: "tcp://x", asks: { A: "READ?" } }"#, "voltage"),
        (
            r#"{ at: "tcp://x", asks: { foo: "READ?" } }"#,
            "the unit in which the meter answers",
        ),
        (
            r#"{ at: "tcp://x", asks: { V: "READ?", mV: " READ? " } }"#,
            "for a second unit",
        ),
        (r#"{ at: "tcp://x", asks: {} }"#, "asked nothing"),
        (r#"{ at: "tcp://x" }"#, "without `asks`"),
        (
            r#"{ at: "tcp://x", asks: { V: "READ?" }, reset: yes }"#,
            "the unknown key `reset`",
        ),
    ] {
        let text = format!(
            "register:\n  - {{ id: m, kind: volt-meter, name: M, serial: S, range: {{ from: 0 V, to: 60 V }}, resolution: 1 mV, calibrated: 2026-03-02, due: 2027-03-02, meter: {meter} }}\n"
        );
        let report = register(&text).unwrap_err().render();
        assert!(report.contains(says), "{meter}: {report}");
    }
}
