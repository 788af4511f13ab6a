//! A tablet that is turned, a window that takes another size, and a machine that is four times slower: nothing that
//! was typed is lost, nothing is done twice, and whatever is touched stays within the window.

use crate::hand::Hand;
use crate::targets::{buttons, on_every_page};
use crate::walk::Walk;
use crate::workshop::{INES, Workshop};
use slint::platform::{PointerEventButton, WindowEvent};
use slint::{ComponentHandle, LogicalPosition};
use std::time::Duration;
use witnessmark::kiosk::{self, CardPage, Frame, Place, StepNext, StepPage};

/// On its side, upright, and in between. Below 768 pixels of width targets no longer shrink, so a small tablet
/// of 1024 by 600 is not held upright.
const SIZES: [(u32, u32); 4] = [(1280, 800), (800, 1280), (768, 1024), (1024, 600)];
const STRIPE: &str = "Draw the stripe across: done";
/// A frame of a machine that draws a quarter of sixty frames a second.
const SLOW_FRAME: Duration = Duration::from_millis(67);

fn kiosk_at(name: &str) -> (Workshop, Walk) {
    let (shop, session) = Workshop::new(name);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    (shop, Walk::new(hand))
}

/// A job whose first step is answered and waits for its mark.
fn at_a_mark(name: &str) -> (Workshop, Walk) {
    let (shop, mut walk) = kiosk_at(name);
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Start a new job");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.on_until("step-yes-no");
    let page = walk.hand.easel.app.global::<StepPage>();
    assert!(page.get_next() == StepNext::Mark, "{:?}", walk.hand.labels());
    (shop, walk)
}

fn command(walk: &Walk) -> String {
    walk.hand.easel.app.global::<StepPage>().get_command().to_string()
}

#[test]
fn nothing_that_is_touched_leaves_a_window_that_was_turned() {
    let mut hand = Hand::new(1280, 800);
    for (width, height) in SIZES {
        hand.resize(width, height);
        on_every_page(&hand, |name, hand| {
            for button in buttons(hand) {
                let (at, size) = (button.absolute_position(), button.size());
                let label = button.accessible_label().unwrap_or_default();
                assert!(
                    at.x >= -0.5 && at.x + size.width <= hand.width + 0.5,
                    "{name} at {width} x {height}: “{label}” leaves the window sideways"
                );
            }
        });
    }
}

#[test]
fn what_is_half_typed_stays_when_the_tablet_is_turned() {
    let (_shop, mut walk) = kiosk_at("turned");
    walk.hand.touch(&format!("{}. Apprentice", INES.1));
    let (first, rest) = INES.2.split_at(7);
    walk.hand.keys(first);
    walk.hand.resize(800, 1280);
    // The field still has what was typed, and the keys.
    walk.hand.keys(rest);
    walk.hand.touch("Sign on");
    assert_eq!(walk.hand.place(), Place::Jobs, "{:?}", walk.refused());
    walk.hand.touch("Start a new job");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.hand.touch("Next question");
    walk.hand.keys("1999 Larkfield");
    walk.hand.resize(1280, 800);
    walk.hand.keys(" Pell");
    let page = walk.hand.easel.app.global::<CardPage>();
    assert_eq!(page.get_typed(), "1999 Larkfield Pell");
}

#[test]
fn a_figure_stays_beside_its_keys_when_the_tablet_is_turned() {
    let (_shop, mut walk) = kiosk_at("turned-figure");
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Start a new job");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    let app = walk.hand.easel.app.clone_strong();
    let page = app.global::<CardPage>();
    while page.get_field().id != "car.base_power" {
        walk.card();
    }
    walk.hand.touch("4");
    walk.hand.resize(800, 1280);
    assert_eq!(page.get_typed(), "4");
    walk.hand.touch("2");
    assert_eq!(page.get_typed(), "42");
}

#[test]
fn a_drag_that_a_turn_cuts_short_marks_nothing_and_the_next_one_does() {
    let (_shop, mut walk) = at_a_mark("turned-drag");
    let step = command(&walk);
    let (at, size) = {
        let track = walk.hand.find(STRIPE);
        (track.absolute_position(), track.size())
    };
    let point = |share: f32| LogicalPosition::new(at.x + size.width * share, at.y + size.height / 2.0);
    let button = PointerEventButton::Left;
    let send = |walk: &Walk, event| walk.hand.easel.app.window().dispatch_event(event);
    send(
        &walk,
        WindowEvent::PointerPressed {
            position: point(0.05),
            button,
        },
    );
    send(&walk, WindowEvent::PointerMoved { position: point(0.4) });
    walk.hand.resize(800, 1280);
    send(
        &walk,
        WindowEvent::PointerReleased {
            position: point(0.4),
            button,
        },
    );
    walk.hand.wait();
    assert_eq!(
        command(&walk),
        step,
        "a drag across less than half marked the step"
    );
    walk.hand.drag_across(STRIPE, 0.8);
    walk.hand.wait();
    assert_ne!(command(&walk), step, "{:?}", walk.refused());
}

/// Taps as a hurried finger does, while the screen is four times slower than it should be.
fn tap_slowly(walk: &Walk, at: LogicalPosition, times: usize) {
    let button = PointerEventButton::Left;
    let window = walk.hand.easel.app.window();
    for _ in 0..times {
        window.dispatch_event(WindowEvent::PointerMoved { position: at });
        window.dispatch_event(WindowEvent::PointerPressed { position: at, button });
        walk.hand.easel.pass(SLOW_FRAME);
        window.dispatch_event(WindowEvent::PointerReleased { position: at, button });
        walk.hand.easel.pass(SLOW_FRAME);
        // What is signed and written beside the screen goes on meanwhile.
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_hurried_finger_on_a_slow_machine_marks_one_step_once() {
    let (shop, walk) = at_a_mark("slow");
    let plate = walk.hand.find("Mark done");
    let (at, size) = (plate.absolute_position(), plate.size());
    let middle = LogicalPosition::new(at.x + size.width / 2.0, at.y + size.height / 2.0);
    walk.hand.easel.pass(Duration::from_secs(1));
    tap_slowly(&walk, middle, 4);
    walk.hand.wait();
    assert_eq!(marks(&shop), 1);
    assert!(
        !walk.hand.easel.app.global::<Frame>().get_refused(),
        "{:?}",
        walk.refused()
    );
}

#[test]
fn the_stripe_is_drawn_on_a_slow_machine_too() {
    let (shop, walk) = at_a_mark("slow-stripe");
    let track = walk.hand.find(STRIPE);
    let (at, size) = (track.absolute_position(), track.size());
    let point = |share: f32| LogicalPosition::new(at.x + size.width * share, at.y + size.height / 2.0);
    let button = PointerEventButton::Left;
    let window = walk.hand.easel.app.window();
    walk.hand.easel.pass(Duration::from_secs(1));
    window.dispatch_event(WindowEvent::PointerPressed {
        position: point(0.05),
        button,
    });
    // A drag of a third of a second is five frames here.
    for step in 1..=5 {
        walk.hand.easel.pass(SLOW_FRAME);
        window.dispatch_event(WindowEvent::PointerMoved {
            position: point(0.05 + 0.16 * step as f32),
        });
    }
    window.dispatch_event(WindowEvent::PointerReleased {
        position: point(0.85),
        button,
    });
    walk.hand.wait();
    assert_eq!(marks(&shop), 1);
}

#[test]
fn letters_typed_faster_than_a_slow_machine_draws_all_arrive_in_their_order() {
    let hand = Hand::new(1280, 800);
    let (_shop, session) = Workshop::new("slow-keys");
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    hand.touch(&format!("{}. Apprentice", INES.1));
    for letter in INES.2.chars() {
        let text = slint::SharedString::from(letter.to_string());
        let window = hand.easel.app.window();
        window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        window.dispatch_event(WindowEvent::KeyReleased { text });
    }
    hand.easel.pass(SLOW_FRAME);
    hand.touch("Sign on");
    assert_eq!(hand.place(), Place::Jobs, "{:?}", hand.labels());
}

/// How many steps the record on the disk says were marked done.
fn marks(shop: &Workshop) -> usize {
    let jobs = std::fs::read_dir(shop.folder.join("jobs")).expect("there are jobs");
    let records = jobs.flatten().map(|job| job.path().join("record.jsonl"));
    let texts = records.map(|path| std::fs::read_to_string(path).expect("it can be read"));
    texts
        .map(|text| text.matches(r#"\"kind\":\"done\""#).count())
        .sum()
}
