//! The memory that the kiosk takes with photographs: 500 of 8 megapixels lie in the folder of a camera and are taken
//! into the record one after the other at the screen; then all that the record holds are paged through, and some
//! looked at. Resident on the way, and the most that there ever was. `WITNESSMARK_PHOTOS=50` takes fewer.
//!
//! The screen is drawn in memory. A window has one or two buffers of its size besides, 4 MiB each at 1280 x 800.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

mod grain;
mod shop;

use grain::{memory, photo};
use slint::{ComponentHandle, Model};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
use witnessmark::kiosk::{Easel, Frame, PhotoPage, PhotosPage, Place, StepPage, join};
use witnessmark::player::{Event, Prompt};
use witnessmark::session::{Content, Session, World};

fn count() -> u32 {
    let said = std::env::var("WITNESSMARK_PHOTOS").ok();
    said.map_or(500, |said| said.parse().expect("a number of photographs"))
}

/// A job at its first step.
fn session(folder: &Path) -> Session {
    let world = || World::real().with_rounds(1);
    shop::founded(folder, &world());
    let mut session = Session::open(folder, Content::shipped(), world()).expect("a shop");
    session
        .sign_on_with(shop::ROOT.0, shop::ROOT.1)
        .expect("signed on");
    session.start("wet-nitrous", true).expect("a job");
    let card: std::collections::BTreeMap<String, String> =
        serde_json::from_str(include_str!("../tests/demo/card.json")).expect("a card");
    for (path, text) in card {
        let (group, field) = path.split_once('.').expect("a field");
        session.type_answer(group, field, &text).expect("it is kept");
    }
    session.accept_card().expect("the card fits");
    loop {
        let event = match session.job().expect("a job").state().prompt() {
            Prompt::Before(procedure) => Event::Begin { procedure },
            Prompt::Hazards { step, .. } => Event::Acknowledge { step },
            _ => return session,
        };
        session.act(event).expect("it comes now");
    }
}

/// The kiosk, drawn like a window: whenever something changed.
struct Kiosk(Easel);

impl Kiosk {
    fn until(&self, what: &str, come: impl Fn(&Easel) -> bool) {
        let begun = Instant::now();
        loop {
            self.0.pass(Duration::from_millis(60));
            let busy = self.0.app.global::<Frame>().get_busy();
            if !busy && come(&self.0) {
                self.0.picture().expect("a frame");
                return;
            }
            assert!(
                begun.elapsed() < Duration::from_secs(900),
                "it never came about that {what}"
            );
            std::thread::sleep(Duration::from_millis(4));
        }
    }

    fn list(&self) -> PhotosPage<'_> {
        self.0.app.global::<PhotosPage>()
    }

    fn one(&self) -> PhotoPage<'_> {
        self.0.app.global::<PhotoPage>()
    }

    fn stands(&self, choosing: bool) {
        self.until("the list stands", |easel| {
            let list = easel.app.global::<PhotosPage>();
            let ready = list.get_rows().iter().all(|row| row.ready);
            let there = easel.app.global::<Frame>().get_place() == Place::Photos;
            there && ready && list.get_choosing() == choosing && list.get_rows().row_count() > 0
        });
    }

    fn look_at(&self, name: &str) {
        self.list().invoke_open(name.into());
        self.until("it is read", |easel| easel.app.global::<PhotoPage>().get_shown());
    }

    fn take(&self, name: &str) {
        self.look_at(name);
        self.one().invoke_take();
        self.stands(false);
    }

    fn page_through(&self) -> usize {
        let mut pages = 1;
        while self.list().get_can_older() {
            self.list().invoke_turn(true);
            self.stands(false);
            let first = self.list().get_rows().row_data(0).expect("a row").key;
            if pages % 8 == 0 {
                self.look_at(&first);
                self.0.app.global::<Frame>().invoke_back();
                self.stands(false);
            }
            pages += 1;
        }
        pages
    }
}

fn told(what: &str) {
    println!(
        "{what}: {} MiB resident, {} at most",
        memory("VmRSS"),
        memory("VmHWM")
    );
}

/// Pictures are made in processes of their own: only the kiosk's memory is looked at.
fn fill(inbox: &Path) {
    std::fs::create_dir_all(inbox).expect("a folder");
    let program = std::env::current_exe().expect("this bench");
    let made = Command::new(program).arg("make").arg(inbox).status();
    assert!(made.expect("started").success());
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [make, inbox, ..] = arguments.as_slice()
        && make == "make"
    {
        for number in 0..count() {
            let path = Path::new(inbox).join(format!("p{number:03}.jpg"));
            std::fs::write(path, photo(number)).expect("written");
        }
        return;
    }
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("album-{}", std::process::id()));
    let session = session(&folder);
    fill(&folder.join("inbox"));
    let kiosk = Kiosk(Easel::new(1280, 800).expect("a screen"));
    join(&kiosk.0.app, session);
    kiosk.until("a step stands", |easel| {
        easel.app.global::<Frame>().get_place() == Place::Step
    });
    told("no photo");
    kiosk.0.app.global::<StepPage>().invoke_photos();
    kiosk.stands(true);
    told("the first page of the folder");
    let begun = Instant::now();
    for number in 0..count() {
        if number > 0 {
            kiosk.list().invoke_add();
            kiosk.stands(true);
        }
        kiosk.take(&format!("p{number:03}.jpg"));
        if [1, 10, 50, 100, 250, count()].contains(&(number + 1)) {
            told(&format!("{} taken", number + 1));
        }
    }
    println!(
        "{:.2} s a photo",
        begun.elapsed().as_secs_f64() / f64::from(count())
    );
    let pages = kiosk.page_through();
    told(&format!("{pages} pages of the record looked through"));
    kiosk.0.app.global::<Frame>().invoke_back();
    kiosk.until("the step stands", |easel| {
        easel.app.global::<Frame>().get_place() == Place::Step
    });
    told("back at the step");
    std::fs::remove_dir_all(folder).expect("removed");
}
