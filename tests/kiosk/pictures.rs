//! Every page looks as it did when somebody last looked at it: by day and by night, in every language, against
//! pictures kept in `tests/kiosk/pictures`. `WITNESSMARK_BLESS=1` renews them; look at what has changed.

use crate::hand::Hand;
use crate::small::{apart, palette_png, shown_apart, small};
use crate::targets::on_every_page_of;
use image::{Rgba, RgbaImage};
use slint::ComponentHandle;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use witnessmark::kiosk::{Frame, JobsPage, Place};
use witnessmark::words::{self, Words};

/// Where the kept pictures lie.
fn kept() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/kiosk/pictures")
}

/// Where those that differ go.
fn differing() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures")
}

fn blessing() -> bool {
    std::env::var_os("WITNESSMARK_BLESS").is_some()
}

/// Draws every page by day and night in every language, and calls `see` with each.
fn on_every_picture(see: &dyn Fn(&str, &RgbaImage)) {
    let hand = Hand::new(1280, 800);
    for (language, _) in words::languages() {
        hand.easel.speak(&Words::program(&language));
        for (night, theme) in [(false, "day"), (true, "night")] {
            hand.easel.set_night(night);
            on_every_page_of(&hand, &|page: &str, hand: &Hand| {
                let name = format!("{}-{theme}-{language}", page.replace(' ', "-"));
                see(&name, &hand.easel.picture().expect("the page is drawn"));
            });
        }
    }
}

/// Why a page is not as it was, with what shows it; nothing where it is.
fn fault(name: &str, picture: &RgbaImage) -> Option<String> {
    let path = kept().join(format!("{name}.png"));
    let new = small(picture);
    if blessing() {
        std::fs::write(&path, palette_png(&new)).expect("the picture can be kept");
        return None;
    }
    let Ok(old) = image::open(&path) else {
        return Some(format!("{name}: no picture is kept of it"));
    };
    let apart = apart(&old.to_rgb8(), &new);
    if !apart.too_far() {
        return None;
    }
    let shown = differing().join(format!("{name}.png"));
    let saved = shown_apart(&old.to_rgb8(), &new).save(&shown);
    saved.expect("the difference can be written");
    let (x, y, worst) = apart.worst;
    Some(format!(
        "{name}: {:.2} apart as a whole, {worst:.1} at {x} x {y}; kept, new and difference: {}",
        apart.whole,
        shown.display()
    ))
}

#[test]
fn every_page_looks_as_it_did() {
    for folder in [kept(), differing()] {
        std::fs::create_dir_all(folder).expect("the folder can be made");
    }
    let (faults, seen) = (RefCell::new(Vec::new()), RefCell::new(BTreeSet::new()));
    on_every_picture(&|name, picture| {
        seen.borrow_mut().insert(format!("{name}.png"));
        faults.borrow_mut().extend(fault(name, picture));
    });
    let files = std::fs::read_dir(kept())
        .expect("the folder can be read")
        .flatten();
    for file in files.filter(|file| !seen.borrow().contains(&*file.file_name().to_string_lossy())) {
        if blessing() {
            std::fs::remove_file(file.path()).expect("it can be removed");
        } else {
            let text = format!("{}: there is no such page any more", file.path().display());
            faults.borrow_mut().push(text);
        }
    }
    let faults = faults.into_inner();
    assert!(
        faults.is_empty(),
        "{} pages differ. Look at them, and renew the pictures with WITNESSMARK_BLESS=1: {faults:#?}",
        faults.len()
    );
}

/// The page of jobs with the number that stands on one of its plates.
fn jobs(open: i32) -> RgbaImage {
    let hand = Hand::new(1280, 800);
    hand.easel.app.global::<Frame>().set_place(Place::Jobs);
    hand.easel.app.global::<JobsPage>().set_open_count(open);
    hand.easel.settle();
    hand.easel.picture().expect("the page is drawn")
}

fn too_far(one: &RgbaImage, other: &RgbaImage) -> bool {
    apart(&small(one), &small(other)).too_far()
}

#[test]
fn one_figure_in_the_place_of_another_is_seen() {
    let page = jobs(3);
    assert!(!too_far(&page, &page));
    std::thread::scope(|scope| {
        // One thread has one screen at the most.
        let other = scope.spawn(|| jobs(8)).join().expect("it is drawn");
        assert!(too_far(&page, &other));
    });
}

#[test]
fn what_moves_by_six_pixels_or_takes_another_shade_is_seen() {
    let page = jobs(3);
    // The left half of the page is moved as a plate would be.
    let moved = RgbaImage::from_fn(page.width(), page.height(), |x, y| {
        *page.get_pixel(x, if x < 400 && y > 206 { y - 6 } else { y })
    });
    assert!(too_far(&page, &moved));
    let darker = RgbaImage::from_fn(page.width(), page.height(), |x, y| {
        Rgba(page.get_pixel(x, y).0.map(|value| value.saturating_sub(10)))
    });
    assert!(too_far(&page, &darker));
}

#[test]
fn letters_that_are_smoothed_otherwise_are_no_change() {
    let page = jobs(3);
    // Each pixel takes an eighth of the one beside it, as another rule of rounding would do along the edges.
    let smoothed = RgbaImage::from_fn(page.width(), page.height(), |x, y| {
        let (here, left) = (page.get_pixel(x, y), page.get_pixel(x.saturating_sub(1), y));
        Rgba([0, 1, 2, 3].map(|at| ((u16::from(here[at]) * 7 + u16::from(left[at])) / 8) as u8))
    });
    let apart = apart(&small(&page), &small(&smoothed));
    assert!(!apart.too_far(), "{} and {:?}", apart.whole, apart.worst);
}
