//! Whole jobs and practice runs at the tablet.

use crate::hand::Hand;
use crate::walk::Walk;
use crate::workshop::{INES, Workshop};
use slint::{ComponentHandle, Model};
use witnessmark::kiosk::{self, Place, RecordPage};

#[test]
fn a_whole_job_is_done_by_touch() {
    let (shop, session) = Workshop::new("walk");
    shop.snap("joints", [120, 130, 140]);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.easel.settle();
    let mut walk = Walk::new(hand);
    walk.picture("sign-on");
    walk.sign_on(INES, "Apprentice");
    assert_eq!(walk.hand.place(), Place::Jobs);
    walk.picture("jobs-empty");
    walk.hand.touch("Start a new job");
    walk.picture("jobs-new");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.on_until("the end");
    assert!(walk.deviated && walk.sent_back && walk.marked > 100 && walk.witnessed > 0);
    let (steps, scrolled) = (walk.steps.len(), walk.scrolled.len());
    println!(
        "{scrolled} of {steps} steps have a part out of sight: {:?}",
        walk.scrolled
    );
    assert!(
        scrolled * 20 <= steps,
        "more than 5 in 100 steps have to be scrolled"
    );
    walk.hand.touch("Back");
    walk.hand.touch("Closed 1");
    walk.picture("jobs-closed");
    walk.hand.touch("Look at this job");
    walk.hand.touch("Its record");
    walk.picture("record");
    let record = walk.hand.easel.app.global::<RecordPage>();
    let faults: Vec<String> = record.get_faults().iter().map(Into::into).collect();
    assert!(record.get_whole(), "{} {faults:#?}", record.get_state_text());
    assert!(record.get_certificate().ends_with("certificate.pdf"));
    assert!(shop.folder.join("jobs").is_dir());
}

#[test]
fn a_practice_run_asks_and_says_that_it_proves_nothing() {
    let (_shop, session) = Workshop::new("practice");
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    let mut walk = Walk::new(hand);
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Start a new job");
    walk.hand
        .touch("A practice run. With questions; never counts as proof");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.on_until("question-answered");
    assert!(
        walk.hand.sees("Practice run. This is no proof."),
        "{:?}",
        walk.hand.labels()
    );
    // Back at the list, the run is there, and no job is.
    walk.hand.touch("Back");
    while walk.hand.place() != Place::Jobs {
        walk.hand.touch("Back");
    }
    assert!(
        walk.hand.sees("Practice 1") && walk.hand.sees("Open 0"),
        "{:?}",
        walk.hand.labels()
    );
}

#[test]
fn a_note_and_the_card_are_reached_from_the_list_of_steps() {
    let (_shop, session) = Workshop::new("note");
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    let mut walk = Walk::new(hand);
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Start a new job");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.on_until("step-yes-no");
    let standing = walk
        .hand
        .labels()
        .into_iter()
        .find(|label| label.ends_with("Show all steps"))
        .expect("the strip opens the list");
    walk.hand.touch(&standing);
    assert_eq!(walk.hand.place(), Place::Plan);
    walk.picture("plan");
    walk.hand.touch("The procedure after");
    walk.picture("plan-after");
    walk.hand.touch("Write a note");
    walk.hand.touch_keys("wheel lock is in the boot");
    walk.hand.touch("Write it down");
    assert_eq!(walk.hand.place(), Place::Step);
    walk.hand.touch(&standing);
    walk.hand.touch("The job card");
    assert_eq!(walk.hand.place(), Place::Card);
    walk.picture("card-again");
    walk.hand.touch("Accept the changed card");
    assert_eq!(walk.hand.place(), Place::Step, "{:?}", walk.refused());
}
