//! A meter that answers for itself at the keypad: its value is seen, taken by a touch, and stands on the record with
//! the raw reply; and whoever types goes on typing.

use crate::hand::Hand;
use crate::simulated::{Answer, Script, Simulated};
use crate::workshop::{INES, Workshop};
use slint::ComponentHandle;
use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};
use witnessmark::kiosk::{self, KeypadPage, Place};
use witnessmark::player::Event;
use witnessmark::procedure::StepRef;
use witnessmark::session::{Content, Session};

const IDENTITY: (&str, Answer) = ("*IDN?", Answer::Line("Sample Works,PM-2,AQ-0335,1.02"));
const GOOD: Script = &[IDENTITY, ("MEAS:PRES?", Answer::Line("+3.17000000E+01"))];
/// Above what the content below holds possible, and within the gauge.
const FAR: Script = &[IDENTITY, ("MEAS:PRES?", Answer::Line("+9.50000000E+01"))];
const OVERLOAD: Script = &[IDENTITY, ("MEAS:PRES?", Answer::Line("+9.90000000E+37"))];
const SILENT: Script = &[IDENTITY];
const STRANGER: Script = &[("*IDN?", Answer::Line("Sample Works,PM-2,AQ-0999,1.02"))];

/// The short job that the tests of records play.
pub fn content() -> Content {
    content_with(|text| text)
}

/// The same, in which more than 40 psi cannot be; its gauge reads to 100 psi.
fn narrow() -> Content {
    content_with(|text| text.replacen("{ from: 0 psi, to: 150 psi }", "{ from: 0 psi, to: 40 psi }", 1))
}

fn content_with(change: impl Fn(String) -> String) -> Content {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/content/cut-out");
    let names = [
        "hazards.yaml",
        "tools.yaml",
        "instruments.yaml",
        "jobs/cut-out.yaml",
        "procedures/cut-out.yaml",
        "procedures/box.yaml",
        "procedures/bottle.yaml",
    ];
    let read = |name: &str| std::fs::read_to_string(root.join(name)).expect("content");
    let file = |name: &str| (name.to_owned(), change(read(name)).into_bytes());
    let files: BTreeMap<String, Vec<u8>> = names.into_iter().map(file).collect();
    Content::load(files).expect("the content plays")
}

/// A gauge that answers at this address, calibrated for today.
pub fn register(at: &str, today: chrono::NaiveDate) -> String {
    let day = |offset: i64| today + chrono::Duration::days(offset);
    format!(
        "register:\n  - {{ id: pg-5, kind: pressure-gauge, name: Fine gauge, serial: AQ-0335, \
         range: {{ from: 0 psi, to: 100 psi }}, resolution: 0.1 psi, uncertainty: 0.13 psi, calibrated: {}, due: {}, \
         meter: {{ at: \"{at}\", asks: {{ psi: \"MEAS:PRES?\" }} }} }}\n",
        day(-60),
        day(305)
    )
}

fn step(step: &str) -> StepRef {
    StepRef {
        procedure: "cut-out".into(),
        step: step.into(),
    }
}

/// This person at the step of the short job that wants the trip pressure, all before it done.
pub fn up_to_the_trip(session: &mut Session, (id, _, passphrase): (&str, &str, &str)) {
    session.sign_on_with(id, passphrase).expect("the passphrase");
    session.start("cut-out", false).expect("the job opens");
    for (group, field, text) in [
        ("car", "name", "1999 Larkfield Pell 1.8"),
        ("car", "owner", "Ada Brandt"),
        ("fuel", "trip", "30 psi"),
        ("fuel", "reset", "33 psi"),
        ("fuel", "boxed", "yes"),
    ] {
        session.type_answer(group, field, text).expect("an answer");
    }
    session.accept_card().expect("the card holds");
    for event in [
        Event::Begin {
            procedure: "cut-out".into(),
        },
        Event::Done { step: step("fit") },
        Event::Acknowledge { step: step("trip") },
    ] {
        session.act(event).expect("it may be done now");
    }
}

/// Ines at the keypad for the trip pressure, with this meter on the gauge's line.
fn at_the_keypad(name: &str, meter: &Simulated) -> (Workshop, Hand) {
    at_the_keypad_of(name, content, meter)
}

fn at_the_keypad_of(name: &str, content: fn() -> Content, meter: &Simulated) -> (Workshop, Hand) {
    let (shop, mut session) = Workshop::with(name, content, |today| register(&meter.at, today));
    up_to_the_trip(&mut session, INES);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    hand.touch("Enter: Trip pressure");
    assert_eq!(hand.place(), Place::Keypad);
    (shop, hand)
}

/// Lets time pass on the screen and beside it until this holds.
fn until(hand: &Hand, what: &str, holds: impl Fn() -> bool) {
    let begun = Instant::now();
    while !holds() {
        assert!(
            begun.elapsed() < Duration::from_secs(30),
            "{what}: {:#?}",
            hand.labels()
        );
        hand.easel.pass(Duration::from_millis(100));
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn until_seen(hand: &Hand, begins: &str) {
    until(hand, begins, || {
        hand.labels().iter().any(|label| label.starts_with(begins))
    });
}

/// The lines of the one job's record.
fn record(shop: &Workshop) -> Vec<String> {
    let mut jobs = std::fs::read_dir(shop.folder.join("jobs")).expect("jobs");
    let job = jobs.next().expect("a job").expect("a job").path();
    let text = std::fs::read_to_string(job.join("record.jsonl")).expect("a record");
    text.lines().map(ToOwned::to_owned).collect()
}

#[test]
fn the_value_that_stands_there_is_taken_with_the_raw_reply() {
    let meter = Simulated::new(GOOD);
    let (shop, hand) = at_the_keypad("live", &meter);
    let hand = &hand;
    until_seen(hand, "Live: 31.7 psi");
    hand.keep_picture("keypad-live");
    let entries = record(&shop).len();
    hand.touch("Take this value");
    assert_eq!(hand.place(), Place::Step, "{:#?}", hand.labels());
    let record = record(&shop);
    let reading = record[entries..]
        .iter()
        .find(|line| line.contains("cut-out.trip"));
    let reading = reading.expect("a reading").replace('\\', "");
    for kept in [
        r#""kind":"reading""#,
        r#""typed":"31.7 psi""#,
        r#""live":{"identity":"Sample Works,PM-2,AQ-0335,1.02","asked":"MEAS:PRES?","reply":"+3.17000000E+01"}"#,
    ] {
        assert!(reading.contains(kept), "{kept}: {reading}");
    }
    until(hand, "the line is let go of", || meter.lines() == 0);
}

#[test]
fn what_is_no_value_is_said_and_cannot_be_taken() {
    let meter = Simulated::new(OVERLOAD);
    let (_shop, hand) = at_the_keypad("overload", &meter);
    let hand = &hand;
    let refused = |hand: &Hand| hand.find("Take this value").accessible_enabled() == Some(false);
    until_seen(hand, "Overload: ");
    assert!(refused(hand));
    meter.says(GOOD);
    until_seen(hand, "Live: 31.7 psi");
    assert!(!refused(hand));
    meter.says(SILENT);
    until_seen(hand, "Silent since ");
    assert!(refused(hand));
    hand.keep_picture("keypad-live-silent");
    meter.says(STRANGER);
    until_seen(
        hand,
        "Wrong meter: found serial number AQ-0999, the register says AQ-0335",
    );
    assert!(refused(hand));
    meter.says(GOOD);
    until_seen(hand, "Live: 31.7 psi");
}

#[test]
fn a_value_that_can_hardly_be_is_confirmed_as_the_instrument_gave_it() {
    let meter = Simulated::new(FAR);
    let (shop, hand) = at_the_keypad_of("doubted", narrow, &meter);
    let hand = &hand;
    until_seen(hand, "Live: 95 psi");
    let entries = record(&shop).len();
    hand.touch("Take this value");
    assert_eq!(hand.place(), Place::Keypad);
    assert_eq!(
        record(&shop).len(),
        entries,
        "nothing is written before the answer"
    );
    // Another value comes meanwhile; what was asked about is what is confirmed.
    meter.says(GOOD);
    until_seen(hand, "Live: 31.7 psi");
    let so =
        "It is so: 95 psi. It is judged as the instrument gave it, and the record says that you were asked.";
    hand.keep_picture("keypad-live-doubted");
    hand.touch(so);
    assert_eq!(hand.place(), Place::Deviation, "{:#?}", hand.labels());
    let record = record(&shop);
    let reading = record[entries..].iter().find(|line| line.contains("95 psi"));
    let reading = reading.expect("a reading").replace('\\', "");
    for kept in [
        r#""typed":"95 psi""#,
        r#""reply":"+9.50000000E+01""#,
        r#""confirmed":true"#,
    ] {
        assert!(reading.contains(kept), "{kept}: {reading}");
    }
}

#[test]
fn whoever_types_goes_on_typing_and_is_recorded_as_such() {
    let meter = Simulated::new(GOOD);
    let (shop, hand) = at_the_keypad("typed", &meter);
    let hand = &hand;
    until_seen(hand, "Live: 31.7 psi");
    hand.touch("3");
    assert!(hand.sees("Enter the reading") && !hand.sees("Take this value"));
    hand.touch("Rub out");
    until_seen(hand, "Live: 31.7 psi");
    for key in ["3", "1", "Decimal mark", "2"] {
        hand.touch(key);
    }
    // The meter goes on answering and writes over nothing.
    for _ in 0..8 {
        std::thread::sleep(Duration::from_millis(100));
        hand.easel.pass(Duration::from_millis(100));
    }
    let typed = hand.easel.app.global::<KeypadPage>();
    assert_eq!(typed.get_typed().as_str(), "31.2");
    assert_eq!(typed.get_gauge().value_text.as_str(), "31.2 psi");
    hand.touch("Enter the reading");
    assert_eq!(hand.place(), Place::Step, "{:#?}", hand.labels());
    let record = record(&shop);
    let reading = record
        .iter()
        .find(|line| line.contains("31.2 psi"))
        .expect("a reading");
    assert!(!reading.contains("MEAS:PRES?"), "{reading}");
}

#[test]
fn the_line_is_let_go_of_when_the_page_is_left_and_when_nobody_is_there() {
    let meter = Simulated::new(GOOD);
    let (_shop, hand) = at_the_keypad("left", &meter);
    let hand = &hand;
    until_seen(hand, "Live: 31.7 psi");
    assert_eq!(meter.lines(), 1);
    hand.touch("Back");
    assert_eq!(hand.place(), Place::Step);
    until(hand, "the page is left", || meter.lines() == 0);
    let again = hand
        .labels()
        .into_iter()
        .find(|label| label.starts_with("Enter: "));
    hand.touch(&again.expect("the reading is wanted still"));
    until_seen(hand, "Live: 31.7 psi");
    // Looking at the meter is no sign of a person.
    for _ in 0..16 * 6 {
        hand.easel.pass(Duration::from_secs(10));
    }
    hand.wait();
    assert_eq!(hand.place(), Place::SignOn);
    until(hand, "nobody is there", || meter.lines() == 0);
}
