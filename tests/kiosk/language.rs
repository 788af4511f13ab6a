//! The language of the screen: switched live by a touch, remembered by the tablet, and told to the open job.

use crate::hand::Hand;
use crate::walk::Walk;
use crate::workshop::{INES, Workshop};
use slint::ComponentHandle;
use witnessmark::kiosk::{self, Frame, Place, StepPage};
use witnessmark::session::{Content, Session, World};

/// The kiosk of a new workshop.
fn kiosk_at(name: &str) -> (Workshop, Walk) {
    let (shop, session) = Workshop::new(name);
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    (shop, Walk::new(hand))
}

/// Whether this stands on the screen, letter by letter.
fn reads(hand: &Hand, label: &str) -> bool {
    hand.labels().iter().any(|found| found == label)
}

#[test]
fn a_touch_on_a_languages_own_name_says_everything_anew() {
    let (shop, walk) = kiosk_at("language");
    let hand = &walk.hand;
    assert!(reads(hand, "Who works here now?") && reads(hand, "Ines Varga. Apprentice"));
    hand.touch("Deutsch");
    // Texts of the screen itself, and those that the program makes.
    for german in [
        "Wer arbeitet hier jetzt?",
        "Ines Varga. Lehrling",
        "Dieses Tablet",
        "English",
        "Deutsch",
    ] {
        assert!(reads(hand, german), "{german}: {:#?}", hand.labels());
    }
    assert!(!reads(hand, "Who works here now?"));
    hand.keep_picture("sign-on-de");
    walk.sign_on(INES, "Apprentice");
    assert_eq!(hand.place(), Place::Jobs);
    for german in ["Neuen Auftrag beginnen", "Offen 0", "Lehrling"] {
        assert!(reads(hand, german), "{german}: {:#?}", hand.labels());
    }
    hand.touch("About");
    assert!(reads(hand, "Was es nicht ist"), "{:#?}", hand.labels());
    hand.touch("English");
    assert!(reads(hand, "What it is not") && reads(hand, "Apprentice"));
    hand.touch("Deutsch");
    hand.touch("This tablet");
    hand.touch("Night colours");
    hand.touch("Text of 125 percent");
    hand.touch("No motion");
    // The settings lie over what was open before.
    hand.touch("Back");
    assert_eq!(hand.place(), Place::About);
    // What this tablet remembers, as the program finds it when it is started again.
    let (again, session) = Workshop::new("language-again");
    drop(session);
    let kept = |shop: &Workshop| shop.folder.join("settings.json");
    std::fs::copy(kept(&shop), kept(&again)).expect("the settings were kept");
    let session = Session::open(&again.folder, Content::shipped(), World::real()).expect("the shop opens");
    assert_eq!(session.settings().language.tag(), "de");
    assert!(session.settings().night && session.settings().still);
    assert_eq!(session.settings().text.percent(), 125);
    assert!(session.recovered.is_empty(), "{:?}", session.recovered);
}

#[test]
fn settings_that_cannot_be_read_are_told_and_stop_nothing() {
    let (shop, session) = Workshop::new("settings");
    drop(session);
    std::fs::write(
        shop.folder.join("settings.json"),
        r#"{"language":"xx","night":false}"#,
    )
    .expect("written");
    let session = Session::open(&shop.folder, Content::shipped(), World::real()).expect("the shop opens");
    assert_eq!(session.settings().language.tag(), "en");
    let [told] = session.recovered.as_slice() else {
        panic!("{:?}", session.recovered);
    };
    assert!(told.contains("settings.json") && told.contains("`xx`"), "{told}");
}

#[test]
fn an_open_job_goes_on_in_the_language_that_is_chosen() {
    let (_shop, mut walk) = kiosk_at("language-job");
    walk.sign_on(INES, "Apprentice");
    walk.hand.touch("Start a new job");
    walk.hand.touch("Start: Fit a wet nitrous-oxide system");
    walk.on_until("step-yes-no");
    let app = walk.hand.easel.app.clone_strong();
    let command = app.global::<StepPage>().get_command();
    app.global::<StepPage>().invoke_show_plan();
    walk.hand.wait();
    walk.hand.touch("About");
    walk.hand.touch("Deutsch");
    walk.hand.touch("Back");
    assert_eq!(walk.hand.place(), Place::Step);
    assert!(!app.global::<Frame>().get_refused(), "{:?}", walk.refused());
    assert!(app.global::<StepPage>().get_place_text().starts_with("Schritt "));
    assert!(
        reads(&walk.hand, "Ja") && reads(&walk.hand, "Geht nicht")
            || reads(&walk.hand, "Dieser Schritt geht nicht wie geschrieben")
    );
    assert_ne!(
        app.global::<StepPage>().get_command(),
        command,
        "the content is in the other language too"
    );
    walk.hand.keep_picture("step-de");
}
