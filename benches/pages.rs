//! What a touch costs until its frame is drawn: a page in the place of another, a figure typed on the keypad, and a step
//! marked until its line is on the disk and the next page stands. Drawn in memory by the software renderer at 1280 x 800,
//! only where something changed, as in the window. Medians and 99th percentiles; none of it is a test.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::{Duration, Instant};

use slint::platform::software_renderer::{MinimalSoftwareWindow, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter, WindowEvent};
use slint::{ComponentHandle, Rgb8Pixel};
use witnessmark::kiosk::{App, Frame, KeypadPage, Place, StepNext, StepPage, join};
use witnessmark::people::Role;
use witnessmark::player::Event;
use witnessmark::procedure::StepRef;
use witnessmark::session::{Content, PersonPlan, Session, ShopPlan, World, found};

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;
const ROUNDS: usize = 300;
const INES: (&str, &str) = ("ines.varga", "copper washer teal");

struct Memory(Rc<MinimalSoftwareWindow>);

impl Platform for Memory {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.0.clone())
    }
}

/// The kiosk with the pixels that it is drawn into.
struct Screen {
    app: App,
    window: Rc<MinimalSoftwareWindow>,
    pixels: Vec<Rgb8Pixel>,
}

impl Screen {
    fn new(session: Session) -> Self {
        let window = MinimalSoftwareWindow::new(RepaintBufferType::ReusedBuffer);
        slint::platform::set_platform(Box::new(Memory(window.clone()))).expect("a platform");
        let app = App::new().expect("a screen");
        window.set_size(slint::PhysicalSize::new(WIDTH, HEIGHT));
        join(&app, session);
        app.show().expect("shown");
        let pixels = vec![Rgb8Pixel::default(); (WIDTH * HEIGHT) as usize];
        let mut screen = Self { app, window, pixels };
        screen.rest();
        screen
    }

    /// One turn of the event loop; whether something was drawn.
    fn turn(&mut self) -> bool {
        slint::platform::update_timers_and_animations();
        let pixels = &mut self.pixels;
        self.window.draw_if_needed(|renderer| {
            renderer.render(pixels, WIDTH as usize);
        })
    }

    /// Until nothing is written, nothing moves, and a page is awake again.
    fn rest(&mut self) {
        let end = Instant::now() + Duration::from_millis(700);
        while Instant::now() < end || self.app.global::<Frame>().get_busy() {
            self.turn();
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// From a touch to the end of the first frame that shows what it did, in milliseconds.
    fn timed(&mut self, touch: impl FnOnce(&App)) -> f64 {
        let begin = Instant::now();
        touch(&self.app);
        while !self.turn() || self.app.global::<Frame>().get_busy() {
            std::thread::sleep(Duration::from_micros(200));
        }
        begin.elapsed().as_secs_f64() * 1e3
    }

    fn key(&mut self, text: &str) -> f64 {
        let time = self.timed(|app| {
            let press = WindowEvent::KeyPressed { text: text.into() };
            app.window().dispatch_event(press);
        });
        self.app
            .window()
            .dispatch_event(WindowEvent::KeyReleased { text: text.into() });
        self.turn();
        time
    }
}

fn answers(text: &str) -> BTreeMap<String, String> {
    serde_json::from_str(text).expect("a table of texts")
}

/// A shop with a job of the demonstration, its card accepted and its first procedure begun.
fn job(folder: &Path) -> Session {
    let content = Content::shipped();
    let person = |(id, passphrase): (&str, &str), name: &str, role| PersonPlan {
        id: id.into(),
        name: name.into(),
        roles: vec![role],
        passphrase: String::from(passphrase).into(),
    };
    let today = World::real().now().date_naive();
    let day = |offset| (today + chrono::Duration::days(offset)).to_string();
    let register = include_str!("../src/cli/demo/instruments.yaml");
    let plan = ShopPlan {
        shop: "Alder Quay Motor Works".into(),
        root: person(
            ("tomasz.okafor", "quiet harbour crane"),
            "Tomasz Okafor",
            Role::Supervisor,
        ),
        people: vec![person(INES, "Ines Varga", Role::Apprentice)],
        instruments: Some(
            register
                .replace("CALIBRATED", &day(-60))
                .replace("DUE", &day(305)),
        ),
    };
    let world = || World::real().with_rounds(1);
    found(folder, &plan, &content, &world()).expect("a shop");
    let mut session = Session::open(folder, content, world()).expect("a shop");
    session.sign_on_with(INES.0, INES.1).expect("signed on");
    session.start("wet-nitrous", false).expect("a job");
    for (path, text) in answers(include_str!("../tests/demo/card.json")) {
        let (group, field) = path.split_once('.').expect("a group and a field");
        session.type_answer(group, field, &text).expect("an answer");
    }
    session.accept_card().expect("a card");
    let procedure = "make-safe".into();
    session.act(Event::Begin { procedure }).expect("begun");
    session
}

/// Goes on by the demonstration's readings to a step that wants a figure.
fn go_on_to_a_figure(session: &mut Session) {
    let readings = answers(include_str!("../tests/demo/readings.json"));
    while let Some(step) = session.current_step() {
        let step_id = StepRef::clone(&step);
        let (acknowledge, done) = (step.clone(), step.clone());
        let _ = session.act(Event::Acknowledge { step: acknowledge });
        let own = format!("{step_id}.");
        for (id, typed) in readings.iter().filter(|(id, _)| id.starts_with(&own)) {
            if typed.contains('°') {
                return;
            }
            let name = id[own.len()..].to_owned();
            let read = Event::Read {
                step: step.clone(),
                name,
                typed: typed.clone(),
                instrument: None,
                live: None,
            };
            session.act(read).expect("a reading");
        }
        session.act(Event::Done { step: done }).expect("done");
    }
}

fn told(name: &str, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
    println!(
        "{name}: median {:.1} ms, 99th percentile {:.1} ms, worst {:.1} ms ({} times)",
        at(0.5),
        at(0.99),
        at(1.0),
        times.len()
    );
}

/// There and back between the step, the keypad and the list of steps.
fn pages(screen: &mut Screen) {
    let (mut keypad, mut step, mut plan) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        screen.app.global::<StepPage>().set_next(StepNext::Read);
        keypad.push(screen.timed(|app| app.global::<StepPage>().invoke_go_on()));
        assert!(screen.app.global::<Frame>().get_place() == Place::Keypad);
        step.push(screen.timed(|app| app.global::<Frame>().invoke_back()));
        plan.push(screen.timed(|app| app.global::<StepPage>().invoke_show_plan()));
        assert!(screen.app.global::<Frame>().get_place() == Place::Plan);
        step.push(screen.timed(|app| app.global::<Frame>().invoke_back()));
        assert!(screen.app.global::<Frame>().get_place() == Place::Step);
    }
    told("page change, step to keypad", keypad);
    told("page change, step to list of steps", plan);
    told("page change, back to the step with its drawing", step);
}

/// Digits on the keypad, each with its gauge and words, rubbed out again.
fn presses(screen: &mut Screen) {
    screen.app.global::<StepPage>().invoke_go_on();
    screen.rest();
    let mut presses = Vec::new();
    for _ in 0..ROUNDS / 2 {
        for key in ["2", "1", ".", "5", "\u{8}", "\u{8}", "\u{8}", "\u{8}"] {
            presses.push(screen.key(key));
        }
    }
    assert!(screen.app.global::<KeypadPage>().get_typed().is_empty());
    told("keypad press", presses);
    screen.app.global::<Frame>().invoke_back();
    screen.rest();
}

fn main() {
    let folder: PathBuf =
        PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("pages-{}", std::process::id()));
    let mut session = job(&folder);
    go_on_to_a_figure(&mut session);
    let mut screen = Screen::new(session);
    assert!(screen.app.global::<StepPage>().get_next() == StepNext::Read);
    pages(&mut screen);
    presses(&mut screen);
    std::fs::remove_dir_all(folder).expect("removed");
}
