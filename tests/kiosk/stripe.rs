//! The stripe is a deliberate drag; a plate and a key do the same.

use crate::hand::Hand;
use slint::ComponentHandle;
use std::cell::Cell;
use std::rc::Rc;
use witnessmark::kiosk::{Frame, Place, StepNext, StepPage};

const TRACK: &str = "Draw the stripe across: done";

/// A step whose readings are all in, and how often it was marked.
fn at_a_step() -> (Hand, Rc<Cell<usize>>) {
    let hand = Hand::new(1280, 800);
    let marked = Rc::new(Cell::new(0));
    let page = hand.easel.app.global::<StepPage>();
    let count = marked.clone();
    page.on_mark(move || count.set(count.get() + 1));
    page.set_next(StepNext::Mark);
    page.set_next_text(TRACK.into());
    hand.easel.app.global::<Frame>().set_place(Place::Step);
    hand.easel.settle();
    (hand, marked)
}

#[test]
fn a_drag_across_most_of_the_track_marks_the_step() {
    let (hand, marked) = at_a_step();
    hand.drag_across(TRACK, 0.7);
    assert_eq!(marked.get(), 1);
}

#[test]
fn a_short_drag_a_tap_and_a_drag_back_mark_nothing() {
    let (hand, marked) = at_a_step();
    hand.drag_across(TRACK, 0.5);
    hand.drag_across(TRACK, 0.0);
    hand.drag_across(TRACK, -0.5);
    hand.touch(TRACK);
    assert_eq!(marked.get(), 0);
}

#[test]
fn the_plate_and_the_keys_are_its_equals() {
    let (hand, marked) = at_a_step();
    hand.touch("Mark done");
    assert_eq!(marked.get(), 1);
    let (hand, marked) = at_a_step_again(hand, marked);
    hand.key(" ");
    hand.key("\n");
    assert_eq!(marked.get(), 3);
}

/// The page comes up anew, so that its main control has the keys.
fn at_a_step_again(hand: Hand, marked: Rc<Cell<usize>>) -> (Hand, Rc<Cell<usize>>) {
    let frame = hand.easel.app.global::<Frame>();
    frame.set_place(Place::About);
    hand.easel.settle();
    frame.set_place(Place::Step);
    hand.easel.settle();
    (hand, marked)
}
