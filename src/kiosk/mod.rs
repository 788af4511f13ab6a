//! The Slint screen: one file per adapter, each of which brings a page model to the screen and
//! the screen's touches to the desk.
//!
//! | file | noun |
//! | --- | --- |
//! | `desk` | what the kiosk holds between two touches |
//! | `wired` | the desk as callbacks hold it |
//! | `finger` | where the person is on the job card |
//! | `shop` | what the desk asks of the session |
//! | `settings` | how the tablet looks and speaks |
//! | `trouble` | why a touch did not do what it should |
//! | `place` | the page of what comes now |
//! | `album` | the pictures that are looked at |
//! | `viewfinder` | a camera at the tablet, looked through and released |
//! | `draft` | what is being typed at the keypad |
//! | `darkroom` | photographs found and decoded beside the screen |
//! | `keys` | the keys on the screen, the keyboard on the table, and a scanner |
//! | `plot` | a plot as paths and words |
//! | `headless` | the screen in memory, for pictures and tests |
//! | `tour` | pictures of the places that are reached by choice |
//! | `alive` | the word to the system's supervisor that the screen answers |
//! | `awake` | the screen kept lit while a job is open |
//! | `screen_saver` | the desktop's screen saver, held off over its bus |
//! | `bus` | a message bus, asked one thing at a time |
//! | `timekeeper` | whether a time server keeps the clock right |
//! | `power` | how full the battery is |
//! | `left` | what somebody left half done |
//! | `reload` | an author's content folder beside the screen |
//! | `fonts` | faces where none are installed |
//! | `heap` | memory given back to the system |
//! | the others | the adapter of that name in `ui/adapters` |

/// What the compiler of the screen makes of `ui/`.
mod drawn {
    #![allow(unsafe_code, missing_docs, clippy::all, clippy::pedantic)]
    slint::include_modules!();
}

mod about;
mod album;
mod alive;
mod awake;
mod before;
#[cfg(target_os = "linux")]
mod bus;
mod calculators;
mod card;
mod closing;
mod darkroom;
mod desk;
mod deviation;
mod draft;
mod figure;
mod finger;
mod fonts;
mod frame;
mod gauge;
mod hazard;
mod headless;
mod heap;
mod hold;
mod jobs;
mod keypad;
mod keys;
mod left;
mod live;
mod photos;
mod place;
mod plot;
mod power;
mod question;
mod record;
mod recovery;
mod reload;
#[cfg(target_os = "linux")]
mod screen_saver;
mod settings;
mod shop;
mod sign;
mod sign_on;
mod step;
mod strip;
mod taken;
mod timekeeper;
mod tour;
mod trouble;
mod viewfinder;
mod wired;

pub use drawn::*;
pub use headless::{Easel, Heading, PictureError};
pub use place::Around;
pub use tour::tour;

use crate::page::together::{together, without_noughts};
use crate::session::Session;
use desk::Desk;
use shop::Shop;
use slint::{Model, ModelRc, PlatformError, SharedString, Timer, VecModel};
use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;
use wired::Wired;

/// By then the first page is drawn; nobody is at a step so soon.
const FIRST_PAGE: Duration = Duration::from_millis(200);

/// Opens the kiosk on the whole screen and stays until its window is closed. An author's content folder, where
/// one is given, is read again whenever something in it is saved.
///
/// # Errors
/// Outside, why the shop could not be opened; inside, that there is no screen to open a window on.
pub fn run<E: Send>(
    shop: impl FnOnce() -> Result<Session, E> + Send,
    folder: Option<PathBuf>,
) -> Result<Result<(), String>, E> {
    heap::give_back();
    let (session, app) = beside(shop, || {
        fonts::make_sure();
        App::new()
    });
    let session = session?;
    Ok(app
        .and_then(|app| show(&app, session, folder))
        .map_err(|error| error.to_string()))
}

/// Opens a shop on a thread beside the making of its screen: the one waits for the disk, the other for nothing.
pub fn beside<S: Send, A>(shop: impl FnOnce() -> S + Send, screen: impl FnOnce() -> A) -> (S, A) {
    std::thread::scope(|threads| {
        let shop = threads.spawn(shop);
        let screen = screen();
        let shop = shop
            .join()
            .unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        (shop, screen)
    })
}

fn show(app: &App, session: Session, folder: Option<PathBuf>) -> Result<(), PlatformError> {
    let content = session.content().clone();
    let desk = joined(app, session);
    // A thread beside the first page would take much of its speed.
    Timer::single_shot(FIRST_PAGE, move || content.ahead());
    desk.run(Desk::keep_awake);
    desk.run(Desk::ask_after_clock);
    keys::look_for_a_keyboard(app);
    app.window().set_fullscreen(true);
    let _telling = alive::tell();
    let _looking = folder.map(|folder| reload::watch(&desk, folder));
    app.run()
}

/// Joins a screen to a shop: from now on its touches act on the session.
pub fn join(app: &App, session: Session) {
    joined(app, session);
}

fn joined(app: &App, session: Session) -> Wired {
    heap::give_back();
    settings::show(app, &session);
    let desk = Wired::new(Desk::new(app, Shop::new(session)));
    for wire in [
        before::wire,
        calculators::wire,
        card::wire,
        closing::wire,
        deviation::wire,
        figure::wire,
        frame::wire,
        hold::wire,
        jobs::wire,
        keypad::wire,
        live::wire,
        keys::wire,
        photos::wire,
        question::wire,
        record::wire,
        recovery::wire,
        settings::wire,
        sign::wire,
        sign_on::wire,
        step::wire,
        strip::wire,
    ] {
        wire(app, &desk);
    }
    about::show(app);
    desk.wind();
    desk.run(Desk::refresh);
    desk
}

/// A list as the screen takes it.
fn list<T: Clone + 'static>(items: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::from(Rc::new(VecModel::from_iter(items)))
}

/// Puts new rows in the place of those on the screen. Where there are as many, the elements stay and only
/// their contents change: a plate under a finger keeps the finger, and one with the focus keeps the focus.
fn fill<T: Clone + PartialEq + 'static>(shown: ModelRc<T>, rows: ModelRc<T>, set: impl FnOnce(ModelRc<T>)) {
    if shown.row_count() != rows.row_count() || shown.as_any().downcast_ref::<VecModel<T>>().is_none() {
        return set(rows);
    }
    for (place, row) in rows.iter().enumerate() {
        if shown.row_data(place).as_ref() != Some(&row) {
            shown.set_row_data(place, row);
        }
    }
}

/// Text as the screen takes it: no figure parted from its unit, none with a row of noughts.
fn said(text: &str) -> SharedString {
    together(&without_noughts(text)).into()
}

/// Lines of text as the screen takes them.
fn lines(lines: &[String]) -> ModelRc<SharedString> {
    list(lines.iter().map(|line| said(line)))
}
