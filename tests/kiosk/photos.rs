//! Photographs at the tablet: from a folder that a camera fills into the record, looked at, made larger and moved.

use crate::hand::Hand;
use crate::walk::Walk;
use crate::workshop::{INES, Workshop, answers};
use slint::{ComponentHandle, Model};
use witnessmark::kiosk::{self, Frame, PhotoPage, PhotosPage, Place};
use witnessmark::player::{Event, Prompt};
use witnessmark::session::Session;

/// A job at its first step, which was reached past the screen.
fn at_a_step(name: &str) -> (Workshop, Walk) {
    let (shop, mut session) = Workshop::new(name);
    at_the_first_step(&mut session);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    assert_eq!(hand.place(), Place::Step);
    (shop, Walk::new(hand))
}

/// Signs on, fills the card and goes past what stands before the first step.
pub fn at_the_first_step(session: &mut Session) {
    session.sign_on_with(INES.0, INES.2).expect("the key opens");
    session.start("wet-nitrous", false).expect("it opens");
    for (path, text) in answers(include_str!("../demo/card.json")) {
        let (group, field) = path.split_once('.').expect("a field");
        session.type_answer(group, field, &text).expect("it is kept");
    }
    session.accept_card().expect("the card fits");
    loop {
        let event = match session.job().expect("a job").state().prompt() {
            Prompt::Before(procedure) => Event::Begin { procedure },
            Prompt::Hazards { step, .. } => Event::Acknowledge { step },
            _ => return,
        };
        session.act(event).expect("it comes now");
    }
}

fn rows(walk: &Walk) -> Vec<(String, bool)> {
    let page = walk.hand.easel.app.global::<PhotosPage>();
    page.get_rows()
        .iter()
        .map(|row| (row.label.to_string(), row.ready && row.fault.is_empty()))
        .collect()
}

pub fn attachments(shop: &Workshop) -> Vec<String> {
    let jobs = shop.folder.join("jobs");
    let job = std::fs::read_dir(jobs)
        .expect("jobs")
        .flatten()
        .next()
        .expect("a job")
        .path();
    let files = std::fs::read_dir(job.join("attachments")).expect("the folder");
    files
        .flatten()
        .map(|file| file.file_name().to_string_lossy().into_owned())
        .collect()
}

#[test]
fn a_photo_that_comes_shows_itself_and_is_taken_into_the_record() {
    let (shop, walk) = at_a_step("photo-new");
    let hand = &walk.hand;
    let page = hand.easel.app.global::<PhotosPage>();
    hand.reach("Photos of this step: Add a photo");
    assert_eq!(hand.place(), Place::Photos);
    hand.until("a folder that is not there is told", |_| {
        page.get_says().contains("inbox")
    });
    hand.keep_picture("photos-none");
    hand.touch("Back");
    shop.snap("one", [200, 40, 40]);
    hand.reach("Photos of this step: Add a photo");
    hand.until("the folder's picture is listed", |_| {
        rows(&walk) == [("one.png".to_owned(), true)]
    });
    assert_eq!(hand.place(), Place::Photos, "it was there before anybody looked");
    shop.snap("two", [40, 200, 40]);
    hand.until("the new one shows itself", |hand| hand.place() == Place::Photo);
    let one = hand.easel.app.global::<PhotoPage>();
    assert_eq!(one.get_title(), "two.png");
    assert!(one.get_fresh() && attachments(&shop).is_empty());
    hand.until("it is read", |_| one.get_can_take());
    hand.keep_picture("photo-fresh");
    hand.touch("Take this one");
    assert_eq!(hand.place(), Place::Photos, "{:?}", walk.refused());
    let kept = attachments(&shop);
    assert_eq!(kept.len(), 1);
    hand.until("it is among those of the step", |_| {
        rows(&walk) == [("Added to the step".to_owned(), true)]
    });
    hand.keep_picture("photos-kept");
    // Who attached it, when, and by which hash it is known, stands beside it.
    let row = page.get_rows().row_data(0).expect("a row");
    assert!(row.note.contains("Ines Varga"), "{}", row.note);
    hand.touch(&format!("{}. {}", row.label, row.note));
    let facts: Vec<String> = one.get_facts().iter().map(Into::into).collect();
    assert!(
        facts.iter().any(|fact| fact.contains(&kept[0][..12])),
        "{facts:?}"
    );
    assert!(!hand.sees("Take this one"));
    hand.touch("Back");
    hand.touch("Back");
    assert_eq!(hand.place(), Place::Step);
    assert!(hand.sees("Photos of this step: 1 photo"), "{:?}", hand.labels());
    assert_eq!(page.get_rows().row_count(), 0, "the pictures are let go");
}

#[test]
fn a_file_that_is_no_picture_is_told_and_not_taken() {
    let (shop, walk) = at_a_step("photo-broken");
    let hand = &walk.hand;
    let inbox = shop.folder.join("inbox");
    std::fs::create_dir_all(&inbox).expect("made");
    std::fs::write(inbox.join("a.jpg"), b"no picture").expect("written");
    hand.reach("Photos of this step: Add a photo");
    hand.until("it is listed", |_| rows(&walk).len() == 1);
    let row = || {
        hand.easel
            .app
            .global::<PhotosPage>()
            .get_rows()
            .row_data(0)
            .expect("a row")
    };
    hand.until("it is told", |_| row().ready);
    assert!(
        row().fault.contains("neither a JPEG nor a PNG"),
        "{}",
        row().fault
    );
    hand.touch(&format!("{}. {}. {}", row().label, row().note, row().fault));
    let one = hand.easel.app.global::<PhotoPage>();
    hand.until("the fault is told", |_| !one.get_fault().is_empty());
    assert!(!one.get_can_take() && attachments(&shop).is_empty());
    hand.keep_picture("photo-broken");
}

#[test]
fn five_hundred_photos_are_read_a_page_at_a_time() {
    let (shop, walk) = at_a_step("photo-many");
    let hand = &walk.hand;
    shop.snap("first", [10, 10, 200]);
    let inbox = shop.folder.join("inbox");
    for at in 1..500 {
        std::fs::copy(inbox.join("first.png"), inbox.join(format!("p{at:03}.png"))).expect("copied");
    }
    hand.reach("Photos of this step: Add a photo");
    let page = hand.easel.app.global::<PhotosPage>();
    hand.until("the list stands", |_| page.get_place_text() == "1 to 8 of 500");
    hand.until("its first page is read", |_| {
        rows(&walk).iter().all(|(_, ready)| *ready)
    });
    assert!(!page.get_can_newer());
    hand.keep_picture("photos-many");
    for _ in 0..70 {
        if page.get_can_older() {
            hand.touch("Older");
            assert!(rows(&walk).len() <= 8);
        }
    }
    assert_eq!(page.get_place_text(), "497 to 500 of 500");
    hand.until("its last page is read", |_| {
        rows(&walk).iter().all(|(_, ready)| *ready)
    });
    hand.touch("Newer");
    assert_eq!(page.get_place_text(), "489 to 496 of 500");
}

#[test]
fn a_photo_is_made_larger_by_the_plates_and_whole_again() {
    let hand = Hand::new(1280, 800);
    hand.easel.app.global::<Frame>().set_place(Place::Photo);
    hand.easel.settle();
    let enabled = |label: &str| hand.find(label).accessible_enabled();
    assert_eq!(enabled("Smaller"), Some(false), "all of it is in sight");
    hand.touch("Larger");
    assert_eq!(enabled("Smaller"), Some(true));
    for _ in 0..5 {
        if enabled("Larger") == Some(true) {
            hand.touch("Larger");
        }
    }
    assert_eq!(enabled("Larger"), Some(false), "there is an end to it");
    hand.touch("All of it");
    assert_eq!(enabled("Smaller"), Some(false));
}
