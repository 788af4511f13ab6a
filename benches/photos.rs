//! The memory that photographs take: a job to which 500 of them are attached, each as a camera of 8 megapixels gives
//! it; resident before, on the way and at the end, and the most that there ever was. Linux tells it in
//! `/proc/self/status`.
#![allow(
    clippy::disallowed_methods,
    reason = "a bench keeps time and its shop in files"
)]

use std::path::{Path, PathBuf};
use std::time::Instant;

use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};
use witnessmark::people::Role;
use witnessmark::session::{Content, PersonPlan, Session, ShopPlan, World, found};

const PHOTOS: u32 = 500;

/// A picture with the grain of a camera's, another one for each number.
fn photo(number: u32) -> Vec<u8> {
    let mut noise = number.wrapping_mul(2_654_435_761) | 1;
    let picture = RgbImage::from_fn(3264, 2448, |x, y| {
        noise ^= noise << 13;
        noise ^= noise >> 17;
        noise ^= noise << 5;
        let grain = (noise & 15) as u8;
        Rgb([
            (x / 16 + number) as u8 / 2 + grain,
            (y / 12) as u8 / 2 + grain,
            96 + grain,
        ])
    });
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90)
        .encode_image(&picture)
        .expect("a picture");
    bytes
}

/// Mebibytes, from a line of the process's status.
fn memory(line: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let found = status.lines().find_map(|text| text.strip_prefix(line));
    let kibibytes = found.and_then(|text| text.trim_start_matches(':').split_whitespace().next());
    kibibytes
        .and_then(|number| number.parse::<u64>().ok())
        .expect("a number")
        / 1024
}

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
