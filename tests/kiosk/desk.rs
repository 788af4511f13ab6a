//! Coming to the tablet, leaving it, and what it shows of a shop that was tampered with.

use crate::focus::under_the_keys;
use crate::hand::Hand;
use crate::walk::Walk;
use crate::workshop::{INES, TOMASZ, Workshop};
use slint::ComponentHandle;
use std::time::Duration;
use witnessmark::kiosk::{self, CardPage, Frame, KeypadPage, Place, RecordPage, SignOnPage};
use witnessmark::session::{Content, Session, World};

const JOB: &str = "Start: Fit a wet nitrous-oxide system";

/// The kiosk of a new workshop with Ines signed on.
fn ines_at(name: &str) -> (Workshop, Walk) {
    let (shop, session) = Workshop::new(name);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    let walk = Walk::new(hand);
    walk.sign_on(INES, "Apprentice");
    (shop, walk)
}

#[test]
fn signing_on_needs_no_touch() {
    let (_shop, session) = Workshop::new("keys");
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    let picked = |hand: &Hand| hand.labels().iter().any(|label| label == "Passphrase");
    for _ in 0..12 {
        if under_the_keys(&hand).as_deref() == Some("Ines Varga. Apprentice") {
            hand.key("\n");
            hand.wait();
            break;
        }
        hand.tab();
    }
    assert!(picked(&hand), "{:?}", hand.labels());
    hand.keys(INES.2);
    hand.key("\n");
    hand.wait();
    assert_eq!(hand.place(), Place::Jobs);
}

#[test]
fn a_wrong_passphrase_opens_nothing_and_says_so() {
    let (_shop, session) = Workshop::new("wrong");
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    let walk = Walk::new(hand);
    walk.sign_on((INES.0, INES.1, "not this one"), "Apprentice");
    assert_eq!(walk.hand.place(), Place::SignOn);
    assert!(
        walk.hand
            .labels()
            .iter()
            .any(|label| label.contains("passphrase") && label.contains("again")),
        "{:?}",
        walk.hand.labels()
    );
}

#[test]
fn whoever_leaves_the_tablet_is_signed_off_by_it() {
    let (_shop, walk) = ines_at("idle");
    walk.hand.easel.pass(Duration::from_secs(14 * 60));
    assert_eq!(walk.hand.place(), Place::Jobs);
    // A touch begins the time anew.
    walk.hand.touch("Closed 0");
    walk.hand.easel.pass(Duration::from_secs(14 * 60));
    assert_eq!(walk.hand.place(), Place::Jobs);
    walk.hand.easel.pass(Duration::from_secs(2 * 60));
    walk.hand.wait();
    assert_eq!(walk.hand.place(), Place::SignOn);
}

#[test]
fn what_was_typed_on_the_card_is_there_again() {
    let (_shop, walk) = ines_at("again");
    walk.hand.touch("Start a new job");
    walk.hand.touch(JOB);
    walk.hand.touch("Next question");
    walk.hand.keys("1999 Larkfield Pell 1.8");
    walk.hand.touch("Next");
    walk.hand.touch("Leave the tablet");
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Go on with this job");
    assert_eq!(walk.hand.place(), Place::Card);
    let line = "Car: 1999 Larkfield Pell 1.8";
    assert!(walk.hand.sees(line), "{:?}", walk.hand.labels());
}

#[test]
fn what_was_half_typed_is_there_again_for_the_same_person() {
    let (_shop, mut walk) = ines_at("half");
    walk.hand.touch("Start a new job");
    walk.hand.touch(JOB);
    // A question of the card, typed and not entered; then the tablet signs her off by itself.
    walk.hand.touch("Next question");
    walk.hand.keys("1999 Lark");
    walk.hand.easel.pass(Duration::from_secs(15 * 60 + 1));
    walk.hand.wait();
    assert_eq!(walk.hand.place(), Place::SignOn);
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Go on with this job");
    let app = walk.hand.easel.app.clone_strong();
    let card = app.global::<CardPage>();
    assert!(card.get_asking(), "the same question is asked");
    assert_eq!(card.get_typed(), "1999 Lark");
    walk.hand.keys("field Pell 1.8");
    walk.hand.touch("Next");
    // A reading on the keypad, and nobody else sees it.
    walk.on_until("step-picture");
    assert_eq!(walk.hand.place(), Place::Keypad);
    let keypad = app.global::<KeypadPage>();
    keypad.invoke_key("3".into());
    walk.hand.wait();
    walk.hand.touch("Leave the tablet");
    walk.sign_on(TOMASZ, "Supervisor, author");
    walk.hand.touch("Go on with this job");
    assert!(
        walk.refused()
            .is_some_and(|text| text.contains("From here on the record names you"))
    );
    walk.hand.touch("Understood");
    assert_eq!(walk.hand.place(), Place::Step);
    walk.hand.touch("Leave the tablet");
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Go on with this job");
    assert_eq!(walk.hand.place(), Place::Keypad);
    assert_eq!(keypad.get_typed(), "3");
}

/// The kiosk of a shop in which Ines typed six wrong passphrases, the last so many seconds ago.
fn after_six_wrong(name: &str, ago: i64) -> (Workshop, Walk) {
    let (shop, session) = Workshop::new(name);
    let at = (session.now() - chrono::Duration::seconds(ago)).to_rfc3339();
    drop(session);
    let kept =
        format!(r#"{{"people":[{{"id":"ines.varga","wrong":{{"wrong":7,"at":"{at}"}},"came":false}}]}}"#);
    std::fs::write(shop.folder.join("desk.json"), kept).expect("written");
    let session = Session::open(&shop.folder, Content::shipped(), World::real()).expect("the shop opens");
    assert!(session.recovered.is_empty(), "{:?}", session.recovered);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    (shop, Walk::new(hand))
}

fn kept(shop: &Workshop) -> String {
    std::fs::read_to_string(shop.folder.join("desk.json")).expect("it was kept")
}

#[test]
fn a_wrong_passphrase_is_waited_for_also_after_a_restart() {
    let (shop, walk) = after_six_wrong("wait", 0);
    walk.hand.touch("Ines Varga. Apprentice");
    let app = walk.hand.easel.app.clone_strong();
    let page = app.global::<SignOnPage>();
    assert!(page.get_wait() > 10, "{}", page.get_wait());
    // The right passphrase is not even tried, and it stays in its field.
    page.set_passphrase(INES.2.into());
    page.invoke_enter();
    walk.hand.wait();
    assert_eq!(walk.hand.place(), Place::SignOn);
    assert_eq!(page.get_passphrase(), INES.2);
    assert!(kept(&shop).contains(r#""wrong":7"#), "{}", kept(&shop));
    walk.hand.keep_picture("passphrase-wait");
    // Somebody else does not wait.
    page.invoke_pick(TOMASZ.0.into());
    walk.hand.wait();
    assert_eq!(page.get_wait(), 0);
}

#[test]
fn after_the_wait_another_wrong_one_counts_on() {
    let (shop, walk) = after_six_wrong("waited", 120);
    walk.sign_on((INES.0, INES.1, "not this one"), "Apprentice");
    assert!(kept(&shop).contains(r#""wrong":8"#), "{}", kept(&shop));
}

#[test]
fn the_right_passphrase_wipes_the_wrong_ones() {
    let (shop, walk) = after_six_wrong("wiped", 120);
    walk.sign_on(INES, "Apprentice");
    assert_eq!(walk.hand.place(), Place::Jobs);
    assert!(!kept(&shop).contains(r#""wrong":"#), "{}", kept(&shop));
    assert!(kept(&shop).contains(r#""came":true"#), "{}", kept(&shop));
}

#[test]
fn what_was_put_right_has_a_page_of_its_own() {
    let (_shop, mut session) = Workshop::new("recovery");
    session
        .recovered
        .push("Unfinished bytes were moved aside.".to_owned());
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    assert_eq!(hand.place(), Place::Recovery);
    assert!(
        hand.sees("Unfinished bytes were moved aside."),
        "{:?}",
        hand.labels()
    );
    hand.keep_picture("recovery");
    hand.touch("Go on");
    assert_eq!(hand.place(), Place::SignOn);
    hand.touch("This tablet");
    hand.touch("Show what was put right");
    assert_eq!(hand.place(), Place::Recovery);
}

/// Changes one letter of the job's first entry.
fn tamper(shop: &Workshop) {
    let jobs = std::fs::read_dir(shop.folder.join("jobs")).expect("there are jobs");
    let job = jobs
        .flatten()
        .next()
        .expect("there is a job")
        .path()
        .join("record.jsonl");
    let text = std::fs::read_to_string(&job).expect("it can be read");
    let changed = text.replacen("Alder Quay", "Alder Quoy", 1);
    assert_ne!(text, changed);
    std::fs::write(&job, changed).expect("it can be written");
}

#[test]
fn a_record_that_does_not_verify_shows_its_stripe_broken() {
    let (shop, walk) = ines_at("broken");
    walk.hand.touch("Start a new job");
    walk.hand.touch(JOB);
    walk.hand.touch("Back");
    walk.hand.touch("Its record");
    assert!(
        walk.hand.sees("Whole stripe: the record verifies"),
        "{:?}",
        walk.hand.labels()
    );
    tamper(&shop);
    walk.hand.touch("Verify it now");
    assert!(
        walk.hand.sees("Broken stripe: the record does not verify"),
        "{:?}",
        walk.hand.labels()
    );
    let record = walk.hand.easel.app.global::<RecordPage>();
    assert!(!record.get_whole() && record.get_state_text().starts_with("BROKEN"));
    walk.hand.keep_picture("record-broken");
    // Such a job is not played on: the banner says what is wrong and what to do.
    walk.hand.touch("Back");
    walk.hand.touch("Go on with this job");
    let refusal = walk.refused().expect("it is refused");
    assert!(refusal.contains("witnessmark verify"), "{refusal}");
    walk.hand.keep_picture("refused");
    walk.hand.touch("Understood");
    assert!(walk.refused().is_none());
}

#[test]
fn an_answer_that_cannot_stand_is_told_at_the_question() {
    let (_shop, mut walk) = ines_at("fault");
    walk.hand.touch("Start a new job");
    walk.hand.touch(JOB);
    let app = walk.hand.easel.app.clone_strong();
    let page = app.global::<CardPage>();
    while page.get_field().id != "car.base_power" {
        walk.card();
    }
    walk.hand.touch("9");
    walk.hand.touch("Next");
    assert_eq!(
        page.get_field().id,
        "car.base_power",
        "the question stays until its answer can stand"
    );
    assert!(
        page.get_field().fault.contains("outside"),
        "{}",
        page.get_field().fault
    );
    walk.hand.keep_picture("card-fault");
    for _ in 0..2 {
        walk.hand.touch("Rub out");
    }
    for key in ["8", "8"] {
        walk.hand.touch(key);
    }
    walk.hand.touch("Next");
    assert_ne!(page.get_field().id, "car.base_power");
    assert!(!app.global::<Frame>().get_refused());
}
