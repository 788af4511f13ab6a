//! From the start of a process to its first frame: the kiosk on a shop, against a bare Slint window with the
//! same renderer. Both are drawn in memory, so that no window system is timed. Whole processes, in pairs.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

mod shop;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::rc::Rc;
use std::time::{Duration, Instant};

use slint::ComponentHandle;
use slint::platform::software_renderer::{MinimalSoftwareWindow, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter};
use witnessmark::kiosk::{Easel, beside, join};
use witnessmark::session::{Content, Session, World};

slint::slint! {
    export component Bare inherits Window {
        Text { text: "Witnessmark"; }
    }
}

const PAIRS: usize = 15;

struct Memory(Rc<MinimalSoftwareWindow>);

impl Platform for Memory {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.0.clone())
    }
}

fn bare() {
    let window = MinimalSoftwareWindow::new(RepaintBufferType::NewBuffer);
    slint::platform::set_platform(Box::new(Memory(window.clone()))).expect("a platform");
    let app = Bare::new().expect("a window");
    window.set_size(slint::PhysicalSize::new(1280, 800));
    app.show().expect("shown");
    assert!(app.window().take_snapshot().expect("a frame").width() == 1280);
}

fn kiosk(shop: &Path) {
    let (session, easel) = beside(
        || Session::open(shop, Content::shipped(), World::real()).expect("a shop"),
        || Easel::new(1280, 800).expect("a screen"),
    );
    join(&easel.app, session);
    assert!(easel.app.window().take_snapshot().expect("a frame").width() == 1280);
}

fn founded() -> PathBuf {
    let folder = std::env::temp_dir().join(format!("witnessmark-first-frame-{}", std::process::id()));
    shop::founded(&folder, &World::real());
    folder
}

fn timed(arguments: &[&str]) -> Duration {
    let start = Instant::now();
    let program = std::env::current_exe().expect("this bench");
    assert!(
        Command::new(program)
            .args(arguments)
            .status()
            .expect("started")
            .success()
    );
    start.elapsed()
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.first().map(String::as_str) {
        Some("bare") => return bare(),
        Some("kiosk") => return kiosk(Path::new(&arguments[1])),
        _ => {}
    }
    let shop = founded();
    let path = shop.to_string_lossy().into_owned();
    let (mut bares, mut kiosks, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for pair in 0..=PAIRS {
        let (bare, kiosk) = (
            timed(&["bare"]).as_secs_f64(),
            timed(&["kiosk", &path]).as_secs_f64(),
        );
        // The first pair fills the caches.
        if pair > 0 {
            bares.push(bare * 1e3);
            kiosks.push(kiosk * 1e3);
            ratios.push(kiosk / bare);
        }
    }
    let (bare, kiosk, ratio) = (median(bares), median(kiosks), median(ratios));
    println!(
        "first frame: bare {bare:.1} ms, kiosk {kiosk:.1} ms, ratio {ratio:.2} (medians of {PAIRS} pairs)"
    );
    let _ = std::fs::remove_dir_all(shop);
}
