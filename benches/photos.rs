//! The memory that photographs take: a job to which 500 of them are attached, each as a camera of 8 megapixels gives
//! it; resident before, on the way and at the end, and the most that there ever was. Linux tells it in
//! `/proc/self/status`.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

mod grain;

use grain::{memory, photo};
use std::path::{Path, PathBuf};
use std::time::Instant;

use witnessmark::people::Role;
use witnessmark::session::{Content, PersonPlan, Session, ShopPlan, World, found};

const PHOTOS: u32 = 500;

fn job(folder: &Path) -> Session {
    let content = Content::shipped();
    let root = PersonPlan {
        id: "tomasz.okafor".into(),
        name: "Tomasz Okafor".into(),
        roles: vec![Role::Supervisor],
        passphrase: String::from("quiet harbour crane").into(),
    };
    let plan = ShopPlan {
        shop: "Alder Quay Motor Works".into(),
        root,
        people: Vec::new(),
        instruments: None,
    };
    let world = || World::real().with_rounds(1);
    found(folder, &plan, &content, &world()).expect("a shop");
    let mut session = Session::open(folder, content, world()).expect("a shop");
    session
        .sign_on_with("tomasz.okafor", "quiet harbour crane")
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
