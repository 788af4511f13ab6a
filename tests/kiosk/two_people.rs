//! Two people on one step: one takes a reading and leaves, the other takes the second one and finishes the step. The
//! screen and the record say who did what, and neither of them may release what both worked on.

use crate::hand::Hand;
use crate::live::{content, register, up_to_the_trip};
use crate::walk::Walk;
use crate::workshop::{INES, OLENA, RUTH, TOMASZ, Workshop};
use slint::{ComponentHandle, Model};
use witnessmark::kiosk::{self, Frame, HoldPage, Place, RecordPage, StepNext, StepPage};
use witnessmark::session::Session;

type Person = (&'static str, &'static str, &'static str);

const BARRED: &str = "Did part of the work; somebody else must sign";
/// The short job has fewer pages than this.
const MOST_PAGES: usize = 60;

/// The kiosk of the shop as it stands.
fn kiosk_of(session: Session) -> Walk {
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    Walk::new(hand)
}

fn figure(hand: &Hand, entry: &str, digits: &str) {
    hand.touch(entry);
    for digit in digits.chars() {
        match digit {
            '.' => hand.touch("Decimal mark"),
            digit => hand.touch(&digit.to_string()),
        }
    }
    hand.touch("Enter the reading");
}

/// Whoever comes to the tablet goes on with the open job; who is told that the work is taken over from.
fn goes_on(walk: &Walk, who: Person, role: &str) -> Option<String> {
    walk.sign_on(who, role);
    walk.hand.touch("Go on with this job");
    let frame = walk.hand.easel.app.global::<Frame>();
    let told = frame.get_refused().then(|| frame.get_refusal_title().to_string());
    if told.is_some() {
        walk.hand.touch("Understood");
    }
    told
}

/// The row of a reading on the step's page ends with who read it.
fn read_by(walk: &Walk, reading: &str, who: Person) {
    let labels = walk.hand.labels();
    let row = labels.iter().find(|label| label.starts_with(reading));
    let row = row.unwrap_or_else(|| panic!("“{reading}” does not stand: {labels:#?}"));
    assert!(row.ends_with(&format!("Read by {}", who.1)), "{row}");
}

/// On the sheet for a release this person is told why somebody else must sign, and a touch on the name does nothing.
fn barred(walk: &Walk, who: Person) {
    let plate = walk.hand.find(&format!("{}. {BARRED}", who.1));
    assert_eq!(plate.accessible_enabled(), Some(false));
    let (at, size) = (plate.absolute_position(), plate.size());
    let middle = slint::LogicalPosition::new(at.x + size.width / 2.0, at.y + size.height / 2.0);
    walk.hand.touch_at(middle);
    walk.hand.wait();
    assert!(!walk.hand.sees("Passphrase"), "{:#?}", walk.hand.labels());
}

fn signs(walk: &Walk, who: Person) {
    walk.hand.touch(&format!("{}. Supervisor", who.1));
    walk.hand.touch_keys(who.2);
    walk.hand.touch("Sign");
}

/// Each entry of the job as `by kind name`.
fn entries(shop: &Workshop) -> Vec<String> {
    let jobs = std::fs::read_dir(shop.folder.join("jobs")).expect("there are jobs");
    let job = jobs.flatten().next().expect("there is one").path();
    let text = std::fs::read_to_string(job.join("record.jsonl")).expect("its record");
    let entry = |line: &str| {
        let line: serde_json::Value = serde_json::from_str(line).expect("a line");
        let entry: serde_json::Value = serde_json::from_str(line["entry"].as_str()?).ok()?;
        let said = |key: &str| entry[key].as_str().unwrap_or_default().to_owned();
        Some(
            format!("{} {} {}", said("by"), said("kind"), said("name"))
                .trim()
                .to_owned(),
        )
    };
    text.lines().filter_map(entry).collect()
}

/// The rest of the short job by whoever is at the tablet; no witness comes.
fn to_the_end(walk: &Walk, worker: Person) {
    let app = walk.hand.easel.app.clone_strong();
    for _ in 0..MOST_PAGES {
        assert_eq!(walk.refused(), None);
        match walk.hand.place() {
            Place::Before => walk.hand.touch("All of this is so. Begin"),
            Place::Step if app.global::<StepPage>().get_next() == StepNext::Read => {
                walk.hand.touch("Enter: What was heard");
                walk.hand.keys("Nothing.\n");
                walk.hand.wait();
            }
            Place::Step => walk.hand.touch("Mark done"),
            Place::Witness => {
                walk.hand
                    .touch("Called, nobody could come. The work may go on; the record says so");
            }
            Place::CloseOut => walk.hand.touch("All of this is so. Close the procedure"),
            Place::Closing if walk.hand.sees("Sign the work off") => {
                walk.hand.touch("Sign the work off");
                walk.hand.touch_keys(worker.2);
                walk.hand.touch("Sign");
            }
            Place::Closing if walk.hand.sees("Release the job") => {
                walk.hand.touch("Release the job");
                barred(walk, OLENA);
                barred(walk, RUTH);
                signs(walk, TOMASZ);
            }
            Place::Closing => return,
            other => panic!("the job led to {other:?}"),
        }
    }
    panic!("the job has no end");
}

#[test]
fn two_people_work_on_one_step_and_neither_of_them_releases_it() {
    // No meter answers there, so that the readings are typed.
    let gauge = |today| register("serial:/dev/ttyS99?baud=9600", today);
    let (shop, mut session) = Workshop::of("two-people", content, gauge, &[OLENA, RUTH]);
    // All before the step that wants two readings is done by Olena.
    up_to_the_trip(&mut session, OLENA);
    let walk = kiosk_of(session);
    // Olena takes the first reading and leaves in the midst of the step.
    figure(&walk.hand, "Enter: Trip pressure", "30.5");
    read_by(&walk, "Trip pressure: 30.5 psi", OLENA);
    walk.hand.touch("Leave the tablet");
    // Ruth is told so, takes the second one and finishes the step.
    let told = goes_on(&walk, RUTH, "Supervisor");
    assert_eq!(told.as_deref(), Some("You take over from Olena Marsh"));
    read_by(&walk, "Trip pressure: 30.5 psi", OLENA);
    walk.hand.touch("Yes");
    read_by(&walk, "Trip pressure: 30.5 psi", OLENA);
    read_by(&walk, "Opens once, cleanly: yes", RUTH);
    walk.hand.touch("Mark done");
    figure(&walk.hand, "Enter: Rail pressure at idle", "3.4");
    walk.hand.touch("Mark done");
    // What both did is released by neither.
    assert_eq!(walk.hand.place(), Place::Hold);
    let hold = walk.hand.easel.app.global::<HoldPage>();
    assert_eq!(
        hold.get_done_by(),
        "Work done by Olena Marsh and Ruth Hale. Somebody else must release it."
    );
    let by: Vec<String> = hold
        .get_covered()
        .iter()
        .map(|step| step.by.to_string())
        .collect();
    assert_eq!(by, ["Olena Marsh", "Olena Marsh, Ruth Hale", "Ruth Hale"]);
    walk.hand
        .touch("Release it. Supervisor: sign with your passphrase");
    barred(&walk, OLENA);
    barred(&walk, RUTH);
    signs(&walk, TOMASZ);
    assert_eq!(walk.hand.place(), Place::CloseOut, "{:?}", walk.refused());
    // A thread has one screen; after the power cut there is another.
    let (shop, session) = shop.after_a_power_cut(content());
    std::thread::spawn(move || ines_finishes(&shop, session))
        .join()
        .expect("the job is finished");
}

/// Whoever comes after the power cut takes over from who worked last, and not from who was called to sign.
fn ines_finishes(shop: &Workshop, session: Session) {
    let walk = kiosk_of(session);
    if walk.hand.place() == Place::Recovery {
        walk.hand.touch("Go on");
    }
    let told = goes_on(&walk, INES, "Apprentice");
    assert_eq!(told.as_deref(), Some("You take over from Ruth Hale"));
    to_the_end(&walk, INES);
    let entries = entries(shop);
    for entry in [
        "olena.marsh reading trip",
        "ruth.hale reading clean",
        "tomasz.okafor release",
        "ines.varga sign-off",
        "tomasz.okafor job-release",
    ] {
        let count = entries.iter().filter(|found| *found == entry).count();
        assert_eq!(count, 1, "{entry}: {entries:#?}");
    }
    let done: Vec<&String> = entries.iter().filter(|entry| entry.ends_with(" done")).collect();
    let (olena, ruth, ines) = ("olena.marsh done", "ruth.hale done", "ines.varga done");
    assert_eq!(done, [olena, ruth, ruth, ines, ines]);
    walk.hand.touch("Back");
    walk.hand.touch("Closed 1");
    walk.hand.touch("Its record");
    walk.hand.touch("Verify it now");
    assert!(walk.hand.easel.app.global::<RecordPage>().get_whole());
}
