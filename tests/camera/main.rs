//! Cameras, from the kernel's own calls up to a photograph, with a made-up camera below them.
#![cfg(target_os = "linux")]
#![allow(clippy::disallowed_methods)]

mod simulated;

use simulated::{Simulated, jpeg};
use std::time::{Duration, Instant};
use witnessmark::camera::{CameraError, PATIENCE, Picture, Watch};
use witnessmark::photo;

/// The next thing that is seen for which this holds.
fn until<T>(watch: &mut Watch, what: &str, holds: impl Fn(Result<Picture, CameraError>) -> Option<T>) -> T {
    let begun = Instant::now();
    while begun.elapsed() < PATIENCE + Duration::from_secs(30) {
        if let Some(found) = watch.look().and_then(&holds) {
            return found;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("it never came about that {what}");
}

fn until_seen(watch: &mut Watch, colour: [u8; 3]) -> Picture {
    let near = |rgb: &[u8]| {
        rgb.iter()
            .zip(colour)
            .all(|(found, wanted)| found.abs_diff(wanted) < 4)
    };
    until(watch, "the picture has its colour", |saw| {
        saw.ok().filter(|saw| near(&saw.seen.rgb))
    })
}

fn until_told(watch: &mut Watch, error: &CameraError) {
    until(watch, &error.to_string(), |saw| {
        (saw.err().as_ref() == Some(error)).then_some(())
    });
}

#[test]
fn the_largest_motion_jpeg_is_taken_and_the_camera_released() {
    let Some(camera) = Simulated::of("the_largest_motion_jpeg_is_taken_and_the_camera_released") else {
        return;
    };
    camera.is("good");
    let formats = "YUYV 640 480\nMJPG 640 480\nMJPG 1600 1200\nMJPG 4000 3000\n";
    camera.gives(formats, &jpeg((1600, 1200), [200, 40, 40]));
    let mut watch = Watch::start(&camera.path, 400);
    let picture = until_seen(&mut watch, [200, 40, 40]);
    assert_eq!((picture.seen.width, picture.seen.height), (400, 300));
    let kept = photo::kept(&picture.frame.file().expect("a file")).expect("a photograph");
    assert_eq!((kept.width, kept.height), (1600, 1200));
    // What the camera sees now, and not what waited in its buffers.
    camera.gives(formats, &jpeg((1600, 1200), [40, 200, 40]));
    until_seen(&mut watch, [40, 200, 40]);
    drop(watch);
    assert!(camera.is_released(), "{:?}", camera.log());
    let log = camera.log();
    assert_eq!(log, ["open", "format MJPG 1600 1200", "on", "off", "close"]);
}

#[test]
fn a_camera_without_motion_jpeg_gives_its_pairs_of_pixels() {
    let Some(camera) = Simulated::of("a_camera_without_motion_jpeg_gives_its_pairs_of_pixels") else {
        return;
    };
    camera.is("good");
    // White and black in turn.
    camera.gives(
        "H264 1920 1080\nYUYV 64 48\n",
        &[235, 128, 16, 128].repeat(32 * 48),
    );
    let mut watch = Watch::start(&camera.path, 400);
    let picture = until(&mut watch, "a picture is seen", Result::ok);
    assert_eq!(picture.seen.rgb[..6], [255, 255, 255, 0, 0, 0]);
    let kept = photo::kept(&picture.frame.file().expect("a file")).expect("a photograph");
    assert_eq!((kept.width, kept.height), (64, 48));
}

#[test]
fn each_way_of_failing_is_told_and_what_is_mended_is_seen_again() {
    let Some(camera) = Simulated::of("each_way_of_failing_is_told_and_what_is_mended_is_seen_again") else {
        return;
    };
    let path = || camera.path.clone();
    let (formats, red) = ("MJPG 320 240\n", [200, 40, 40]);
    camera.gives(formats, &jpeg((320, 240), red));
    camera.is("absent");
    let mut watch = Watch::start(&camera.path, 400);
    until_told(&mut watch, &CameraError::NotThere { path: path() });
    camera.is("denied");
    until_told(&mut watch, &CameraError::Denied { path: path() });
    camera.is("busy");
    until_told(&mut watch, &CameraError::Busy { path: path() });
    for state in ["deaf", "other"] {
        camera.is(state);
        until_told(&mut watch, &CameraError::NoCamera { path: path() });
    }
    camera.is("good");
    camera.gives("H264 640 480\nNV12 640 480\n", b"");
    let found = vec!["H264".to_owned(), "NV12".to_owned()];
    until_told(&mut watch, &CameraError::NoFormat { path: path(), found });
    camera.gives(formats, &jpeg((320, 240), red));
    until_seen(&mut watch, red);
    camera.is("gone");
    until_told(&mut watch, &CameraError::Gone { path: path() });
    until_told(&mut watch, &CameraError::NotThere { path: path() });
    camera.is("good");
    until_seen(&mut watch, red);
    for state in ["silent", "damaged"] {
        camera.is(state);
        until_told(
            &mut watch,
            &CameraError::Silent {
                path: path(),
                waited: PATIENCE,
            },
        );
    }
    camera.is("good");
    camera.gives(formats, b"no picture");
    let garbled = |saw: Result<Picture, CameraError>| match saw {
        Err(CameraError::Garbled { why, .. }) => Some(why),
        _ => None,
    };
    let why = until(&mut watch, "its pictures cannot be read", garbled);
    assert!(why.contains("neither a JPEG"), "{why}");
    camera.gives(formats, &jpeg((320, 240), red));
    until_seen(&mut watch, red);
    drop(watch);
    assert!(camera.is_released(), "{:?}", camera.log());
}

#[test]
fn a_camera_that_is_left_and_looked_through_again_is_never_busy() {
    let Some(camera) = Simulated::of("a_camera_that_is_left_and_looked_through_again_is_never_busy") else {
        return;
    };
    camera.is("good");
    camera.gives("MJPG 320 240\n", &jpeg((320, 240), [200, 40, 40]));
    for _ in 0..5 {
        let mut watch = Watch::start(&camera.path, 400);
        until(&mut watch, "a picture is seen", |saw| {
            Some(saw.expect("a picture"))
        });
    }
    assert!(camera.is_released(), "{:?}", camera.log());
}
