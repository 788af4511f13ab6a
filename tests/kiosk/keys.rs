//! The keys on the screen, the keyboard on the table, and a scanner that types like one.

use crate::hand::Hand;
use crate::workshop::{INES, Workshop};
use slint::ComponentHandle;
use witnessmark::kiosk::{self, CardPage, Frame, Keys, Place};

/// The first question of a new job's card, which is a text.
fn at_a_text(name: &str) -> (Workshop, Hand) {
    let (shop, mut session) = Workshop::new(name);
    session.sign_on_with(INES.0, INES.2).expect("the key opens");
    session.start("wet-nitrous", false).expect("it opens");
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    hand.touch("Next question");
    (shop, hand)
}

fn typed(hand: &Hand) -> String {
    hand.easel.app.global::<CardPage>().get_typed().to_string()
}

#[test]
fn a_held_key_shows_its_forms_and_other_layouts_are_a_touch_away() {
    let (_shop, hand) = at_a_text("keys");
    hand.touch_keys("ga");
    hand.hold_and_slide("Key o", "Key ö");
    assert_eq!(typed(&hand), "gaö");
    hand.keep_picture("keys");
    // A key that is held and let go where it is leaves its forms to be touched; a touch beside them types nothing.
    hand.hold_and_slide("Key e", "Key e");
    assert!(hand.sees("Key é"), "the forms stay");
    hand.keep_picture("keys-forms");
    hand.touch("Key é");
    assert_eq!(typed(&hand), "gaöé");
    assert!(!hand.sees("Key é"));
    hand.touch("Keys as in English. Other keys");
    assert!(hand.sees("Key ü") && hand.sees("Key ß"));
    hand.touch_keys("ß");
    assert_eq!(typed(&hand), "gaöéß", "what was typed stays");
    for layout in ["Deutsch", "Français", "Español", "Dansk, norsk"] {
        hand.touch(&format!("Keys as in {layout}. Other keys"));
    }
    assert!(hand.sees("Keys as in Svenska, suomi. Other keys") && hand.sees("Key å"));
    hand.keep_picture("keys-swedish");
}

#[test]
fn the_keys_make_room_for_a_keyboard_and_come_back() {
    let (_shop, hand) = at_a_text("keys-hide");
    let top = hand.find("Next").absolute_position();
    assert!(hand.sees("Key q"));
    hand.keys("ab");
    assert_eq!(typed(&hand), "ab");
    assert!(!hand.sees("Key q") && !hand.easel.app.global::<Keys>().get_shown());
    assert_eq!(
        hand.find("Next").absolute_position().y,
        top.y,
        "nothing moves under a finger"
    );
    hand.keep_picture("keys-hidden");
    hand.touch("Show the keys");
    hand.touch("Key q");
    assert_eq!(typed(&hand), "abq");
}

#[test]
fn a_scan_fills_a_field_and_presses_nothing_elsewhere() {
    let (_shop, hand) = at_a_text("scan");
    hand.keys("old");
    hand.scan("AQ-0101");
    assert_eq!(
        typed(&hand),
        "AQ-0101",
        "the code takes the place of what was there"
    );
    assert_eq!(hand.place(), Place::Card);
    assert!(
        hand.easel.app.global::<CardPage>().get_asking(),
        "its Enter went nowhere"
    );
    // The same keys by hand are typed, and Enter goes on.
    hand.keys("x\n");
    hand.wait();
    assert_ne!(typed(&hand), "AQ-0101x");
    hand.touch("Back");
    hand.touch("Back");
    assert_eq!(hand.place(), Place::Jobs);
    hand.key("\t");
    hand.scan("AQ-0101");
    let frame = hand.easel.app.global::<Frame>();
    assert_eq!(hand.place(), Place::Jobs);
    assert!(frame.get_refused() && frame.get_refusal_title().contains("AQ-0101"));
}
