//! The memory that photographs take: a job to which 500 of them are attached, each as a camera of 8 megapixels gives
//! it; resident before, on the way and at the end, and the most that there ever was. Linux tells it in
//! `/proc/self/status`.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

mod grain;
mod shop;

use grain::{memory, photo};
use std::path::{Path, PathBuf};
use std::time::Instant;

use witnessmark::session::{Content, Session, World};

const PHOTOS: u32 = 500;

fn job(folder: &Path) -> Session {
    let world = || World::real().with_rounds(1);
    shop::founded(folder, &world());
    let mut session = Session::open(folder, Content::shipped(), world()).expect("a shop");
    session
        .sign_on_with(shop::ROOT.0, shop::ROOT.1)
        .expect("signed on");
    session.start("wet-nitrous", false).expect("a job");
    session
}

fn main() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("photos-{}", std::process::id()));
    let mut session = job(&folder);
    println!("no photo: {} MiB resident", memory("VmRSS"));
    let begin = Instant::now();
    for number in 0..PHOTOS {
        session.attach(&photo(number)).expect("attached");
        if [1, 10, 100, 250, PHOTOS].contains(&(number + 1)) {
            println!("{} photos: {} MiB resident", number + 1, memory("VmRSS"));
        }
    }
    println!(
        "at most {} MiB; {:.0} ms a photo with the making of it",
        memory("VmHWM"),
        begin.elapsed().as_secs_f64() * 1e3 / f64::from(PHOTOS)
    );
    std::fs::remove_dir_all(folder).expect("removed");
}
