//! A camera at the tablet: its live picture, the frame that is taken, and what goes wrong on the way. The camera is
//! made up below the C library; everything above is the real thing.

use crate::hand::Hand;
use crate::made_up::{Simulated, jpeg};
use crate::photos::{at_the_first_step, attachments};
use crate::workshop::Workshop;
use slint::{ComponentHandle, Model};
use witnessmark::kiosk::{self, PhotoPage, PhotosPage, Place};

const SIZE: (u32, u32) = (640, 480);
const FORMATS: &str = "MJPG 640 480\n";
const RED: [u8; 3] = [200, 40, 40];
const GREEN: [u8; 3] = [40, 200, 40];

/// A job at its first step, at a tablet with this camera.
fn at_a_step(name: &str, camera: &Simulated) -> (Workshop, Hand) {
    camera.is("good");
    camera.gives(FORMATS, &jpeg(SIZE, RED));
    let (shop, mut session) = Workshop::new(name);
    let mut settings = session.settings();
    settings.input.photos.camera = Some(camera.path.clone());
    session.keep_settings(&settings).expect("kept");
    at_the_first_step(&mut session);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    (shop, hand)
}

fn near(rgb: &[u8], colour: [u8; 3]) -> bool {
    rgb.iter()
        .zip(colour)
        .all(|(found, wanted)| found.abs_diff(wanted) < 6)
}

/// Whether this colour stands on the page.
fn shows(hand: &Hand, colour: [u8; 3]) -> bool {
    let picture = hand.easel.app.global::<PhotoPage>().get_picture();
    picture
        .to_rgb8()
        .is_some_and(|pixels| near(&pixels.as_bytes()[..3], colour))
}

fn fault(hand: &Hand) -> String {
    hand.easel.app.global::<PhotoPage>().get_fault().into()
}

/// Whether the page says that its picture is live.
fn lives(hand: &Hand) -> bool {
    let facts = hand.easel.app.global::<PhotoPage>().get_facts();
    facts.iter().any(|fact| fact.starts_with("Live from "))
}

#[test]
fn the_frame_on_the_screen_is_taken_and_the_camera_let_go() {
    let Some(camera) = Simulated::of("camera::the_frame_on_the_screen_is_taken_and_the_camera_let_go") else {
        return;
    };
    let (shop, hand) = at_a_step("camera-take", &camera);
    hand.reach("Photos of this step: Add a photo");
    assert_eq!(hand.place(), Place::Photo);
    hand.until("the camera is seen", |hand| shows(hand, RED));
    camera.gives(FORMATS, &jpeg(SIZE, GREEN));
    hand.until("the picture lives", |hand| shows(hand, GREEN));
    hand.keep_picture("photo-live");
    assert!(attachments(&shop).is_empty());
    hand.touch("Take the photo");
    assert_eq!(hand.place(), Place::Photos, "{:#?}", hand.labels());
    assert!(camera.is_released(), "{:?}", camera.log());
    let kept = attachments(&shop);
    assert_eq!(kept.len(), 1);
    let job = std::fs::read_dir(shop.folder.join("jobs"))
        .expect("jobs")
        .flatten()
        .next();
    let file = job.expect("a job").path().join("attachments").join(&kept[0]);
    let photo = image::open(file).expect("a photograph").to_rgb8();
    assert_eq!(photo.dimensions(), SIZE);
    assert!(
        near(&photo.get_pixel(9, 9).0, GREEN),
        "what was seen is what was taken"
    );
}

#[test]
fn a_camera_that_is_pulled_out_is_told_and_the_folder_is_still_there() {
    let Some(camera) =
        Simulated::of("camera::a_camera_that_is_pulled_out_is_told_and_the_folder_is_still_there")
    else {
        return;
    };
    let (shop, hand) = at_a_step("camera-gone", &camera);
    let page = hand.easel.app.global::<PhotoPage>();
    shop.snap("there-before", RED);
    hand.reach("Photos of this step: Add a photo");
    hand.until("the camera is seen", |hand| shows(hand, RED));
    assert!(lives(&hand));
    camera.is("gone");
    hand.until("it is told", |hand| fault(hand).contains("was pulled out"));
    assert!(!page.get_can_take() && !page.get_shown());
    assert!(!lives(&hand), "nothing is called live that is not");
    hand.keep_picture("photo-live-gone");
    hand.until("it stays away", |hand| {
        fault(hand).contains("There is no camera at")
    });
    hand.touch("Back");
    assert_eq!(hand.place(), Place::Photos);
    assert!(camera.is_released(), "{:?}", camera.log());
    shop.snap("one", RED);
    let list = hand.easel.app.global::<PhotosPage>();
    assert!(list.get_camera() && list.get_choosing());
    hand.until("a photo of the folder shows itself", |hand| {
        hand.place() == Place::Photo
    });
    assert_eq!(page.get_title(), "one.png");
    assert!(hand.sees("Take this one") && !hand.sees("Take the photo"));
    hand.touch("Back");
    hand.keep_picture("photos-camera");
    camera.is("good");
    hand.touch("Camera");
    hand.until("the camera is seen again", |hand| shows(hand, RED));
    assert_eq!(page.get_title(), "Camera");
    // The settings lie on top, and the picture is there again below them.
    hand.touch("This tablet");
    assert_eq!(hand.place(), Place::Settings);
    hand.touch("Back");
    assert_eq!(hand.place(), Place::Photo, "{:#?}", hand.labels());
    hand.until("it still lives", |hand| shows(hand, RED) && page.get_can_take());
    hand.touch("Leave the tablet");
    assert_eq!(hand.place(), Place::SignOn);
    assert!(camera.is_released(), "{:?}", camera.log());
}
