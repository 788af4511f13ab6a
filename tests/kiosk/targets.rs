//! Everything that is touched is large enough for a glove: 22 mm (130 px) for what matters most,
//! 15 mm (90 px) for the rest, on a tablet of ten inches with 1280 x 800 pixels (5.9 px a millimetre).

use crate::hand::{CONTROLS, Hand, is_control};
use i_slint_backend_testing::{ElementHandle, ElementQuery};
use slint::ComponentHandle;
use witnessmark::kiosk::{
    CalculatorsPage, CardPage, EntryKind, Frame, HoldPage, JobsPage, KeypadPage, LivePage, Place, SignOnPage,
    SignSheet, StepNext, StepPage,
};
use witnessmark::page::live::LiveState;
use witnessmark::words::{self, Words};

const LEAST: f32 = 88.5;
const MAIN: f32 = 129.5;

/// The plates that go on with the work, by their labels.
const MAIN_PLATES: [&str; 20] = [
    "Take this value",
    "Take this one",
    "English",
    "Deutsch",
    "Back to the step",
    "Mark done",
    "Enter: Reset pressure",
    "Enter the reading",
    "All of this is so. Show the hazards",
    "Show the rest",
    "I have read it. Next hazard",
    "All of this is so. Close the procedure",
    "Release the job",
    "Go on with this job",
    "Start a new job",
    "Back to the work",
    "Verify it now",
    "Accept the card",
    "Next question",
    "Next",
];

pub fn buttons(hand: &Hand) -> Vec<ElementHandle> {
    let all = CONTROLS.into_iter().flat_map(|role| {
        ElementQuery::from_root(&hand.easel.app)
            .match_accessible_role(role)
            .find_all()
    });
    all.filter(is_control)
        .filter(|button| button.size().width > 0.0 && button.computed_opacity() > 0.0)
        .collect()
}

/// The plates that go on with the work, as the language of the screen calls them.
fn main_plates(hand: &Hand) -> Vec<String> {
    MAIN_PLATES.iter().map(|plate| hand.called(plate)).collect()
}

/// A page with its place and what sets its variant.
type Variant = (&'static str, Place, fn(&Hand));

/// Every page with what sets its variants.
fn pages() -> Vec<Variant> {
    vec![
        ("sign-on", Place::SignOn, |_| {}),
        ("passphrase", Place::SignOn, |hand| {
            hand.easel
                .app
                .global::<SignOnPage>()
                .set_person("ines.varga".into())
        }),
        ("jobs", Place::Jobs, |_| {}),
        ("new job", Place::Jobs, |hand| {
            hand.easel.app.global::<JobsPage>().set_starting(true)
        }),
        ("card", Place::Card, |_| {}),
        ("question of the card", Place::Card, |hand| {
            hand.easel.app.global::<CardPage>().set_asking(true)
        }),
        ("before", Place::Before, |_| {}),
        ("hazards", Place::Hazards, |_| {}),
        ("step", Place::Step, |_| {}),
        ("stripe", Place::Step, |hand| {
            hand.easel.app.global::<StepPage>().set_next(StepNext::Mark)
        }),
        ("figure", Place::Figure, |_| {}),
        ("plan", Place::Plan, |_| {}),
        ("keypad", Place::Keypad, |_| {}),
        ("live value", Place::Keypad, |hand| live(hand, true)),
        ("no live value", Place::Keypad, |hand| live(hand, false)),
        ("yes or no", Place::Keypad, |hand| {
            hand.easel.app.global::<KeypadPage>().set_kind(EntryKind::YesNo)
        }),
        ("question", Place::Question, |_| {}),
        ("deviation", Place::Deviation, |_| {}),
        ("hold", Place::Hold, |_| {}),
        ("sending back", Place::Hold, |hand| {
            hand.easel.app.global::<HoldPage>().set_sending_back(true)
        }),
        ("witness", Place::Witness, |hand| {
            hand.easel.app.global::<HoldPage>().set_witness(true)
        }),
        ("close-out", Place::CloseOut, |_| {}),
        ("closing", Place::Closing, |_| {}),
        ("record", Place::Record, |_| {}),
        ("calculators", Place::Calculators, |_| {}),
        ("calculator", Place::Calculators, |hand| {
            hand.easel.app.global::<CalculatorsPage>().set_chosen(0)
        }),
        ("about", Place::About, |_| {}),
        ("settings", Place::Settings, |_| {}),
        ("recovery", Place::Recovery, |_| {}),
        ("photos", Place::Photos, |_| {}),
        ("photo", Place::Photo, |_| {}),
        ("signing", Place::Step, |hand| {
            hand.easel.app.global::<SignSheet>().set_shown(true)
        }),
    ]
}

/// The keypad with a meter that answers for itself, or with the longest that is said of one that does not.
fn live(hand: &Hand, ready: bool) {
    let app = &hand.easel.app;
    app.global::<KeypadPage>().set_typed("".into());
    let page = app.global::<LivePage>();
    let at = "serial:/dev/serial/by-id/usb-Sample_Works_DM-4-if00?baud=115200".to_owned();
    let silent = LiveState::NoAnswer { at }.say(&hand.words());
    page.set_says(if ready { "Live".into() } else { silent.into() });
    page.set_ready(ready);
    page.set_on(true);
}

/// Calls `check` on every page in every language of the program.
pub fn on_every_page(hand: &Hand, check: impl Fn(&str, &Hand)) {
    for (language, _) in words::languages() {
        hand.easel.speak(&Words::program(&language));
        on_every_page_of(hand, &|name: &str, hand: &Hand| {
            check(&format!("{name} ({language})"), hand)
        });
    }
    hand.easel.speak(&Words::english());
}

pub fn on_every_page_of(hand: &Hand, check: &dyn Fn(&str, &Hand)) {
    for (name, place, set) in pages() {
        set(hand);
        hand.easel.app.global::<Frame>().set_place(place);
        hand.easel.settle();
        check(name, hand);
        let app = &hand.easel.app;
        app.global::<SignOnPage>().set_person("".into());
        app.global::<JobsPage>().set_starting(false);
        app.global::<CardPage>().set_asking(false);
        app.global::<HoldPage>().set_sending_back(false);
        app.global::<HoldPage>().set_witness(false);
        app.global::<KeypadPage>().set_kind(EntryKind::Number);
        app.global::<KeypadPage>().set_typed("39.2".into());
        app.global::<LivePage>().set_on(false);
        app.global::<StepPage>().set_next(StepNext::Read);
        app.global::<CalculatorsPage>().set_chosen(-1);
        app.global::<SignSheet>().set_shown(false);
    }
}

#[test]
fn every_control_is_large_enough_for_a_glove() {
    on_every_page(&Hand::new(1280, 800), |name, hand| {
        let buttons = buttons(hand);
        assert!(!buttons.is_empty(), "{name}: there is nothing to touch");
        for button in buttons {
            let (label, size) = (button.accessible_label().unwrap_or_default(), button.size());
            // A key of the keyboard is as wide as ten in a row allow.
            let key = hand.called("Key {}").replace("{}", "");
            let wide = if label.starts_with(&key) { 60.0 } else { LEAST };
            assert!(
                size.height >= LEAST && size.width >= wide,
                "{name}: “{label}” is {} x {}",
                size.width,
                size.height
            );
            if main_plates(hand).iter().any(|plate| label == plate.as_str()) {
                assert!(
                    size.height >= MAIN,
                    "{name}: “{label}” is only {} high",
                    size.height
                );
            }
        }
    });
}

#[test]
fn the_keypad_has_keys_of_22_mm_with_5_mm_between_them() {
    let hand = Hand::new(1280, 800);
    hand.easel.app.global::<Frame>().set_place(Place::Keypad);
    hand.easel.settle();
    let key = |label: &str| hand.find(label);
    for label in [
        "0",
        "1",
        "2",
        "3",
        "4",
        "5",
        "6",
        "7",
        "8",
        "9",
        "Decimal mark",
        "Rub out",
        "Unit psi",
    ] {
        let size = key(label).size();
        assert!(
            size.width >= MAIN && size.height >= MAIN,
            "{label} is {} x {}",
            size.width,
            size.height
        );
    }
    let across = key("8").absolute_position().x - key("7").absolute_position().x - key("7").size().width;
    let down = key("4").absolute_position().y - key("7").absolute_position().y - key("7").size().height;
    assert!(across >= 29.5 && down >= 29.5, "{across} across, {down} down");
}

#[test]
fn every_control_says_what_it_is() {
    on_every_page(&Hand::new(1280, 800), |name, hand| {
        for button in buttons(hand) {
            let label = button.accessible_label().unwrap_or_default();
            assert!(
                !label.trim().is_empty(),
                "{name}: a button without a name at {:?}",
                button.absolute_position()
            );
        }
    });
}

#[test]
fn nothing_that_is_touched_hangs_over_the_edge() {
    let mut hand = Hand::new(1280, 800);
    for (width, height) in [(1280, 800), (1024, 600), (1920, 1200)] {
        hand.resize(width, height);
        on_every_page(&hand, |name, hand| {
            for button in buttons(hand) {
                let (at, size) = (button.absolute_position(), button.size());
                // What scrolls may lie below the window; nothing may be wider or hang half over its foot.
                let sideways = at.x >= -0.5 && at.x + size.width <= hand.width + 0.5;
                let label = button.accessible_label().unwrap_or_default();
                assert!(
                    sideways,
                    "{name} at {width} x {height}: “{label}” leaves the window sideways"
                );
                if main_plates(hand).iter().any(|plate| label == plate.as_str()) {
                    let foot = at.y + size.height;
                    assert!(
                        foot <= hand.height + 0.5,
                        "{name} at {width} x {height}: “{label}” ends at {foot}"
                    );
                }
            }
        });
    }
}

#[test]
fn targets_grow_and_shrink_with_the_window() {
    let hand = Hand::new(1280, 800);
    hand.easel.app.global::<Frame>().set_place(Place::Keypad);
    let mut heights = Vec::new();
    for (width, height) in [(1024, 600), (1280, 800), (1920, 1200)] {
        hand.easel.resize(width, height);
        heights.push(hand.find("5").size().height);
    }
    assert!(heights[0] < heights[1] && heights[1] < heights[2], "{heights:?}");
    // A ten-inch screen of 1024 x 600 has 4.7 px a millimetre: its keys are still 20 mm.
    assert!(heights[0] / 4.7 >= 20.0, "{heights:?}");
}
