//! Photographs from cameras, careless programs and people of ill will. The pictures are drawn here.

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage, Rgba, RgbaImage};
use std::io::Cursor;
use std::time::{Duration, Instant};
use witnessmark::photo::{self, KEPT_SIDE, MOST_BYTES, PhotoError, kept};

const RED: [u8; 3] = [250, 10, 10];
const BLUE: [u8; 3] = [10, 10, 250];

/// A grey picture whose first row begins red and ends blue.
fn marked(width: u32, height: u32) -> RgbImage {
    let block = width.min(height) / 3;
    RgbImage::from_fn(width, height, |x, y| {
        match (x < block, x >= width - block, y < block) {
            (true, _, true) => Rgb(RED),
            (_, true, true) => Rgb(BLUE),
            _ => Rgb([128, 128, 128]),
        }
    })
}

fn jpeg(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    picture
        .write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, 95))
        .expect("a JPEG");
    bytes
}

fn png(picture: &DynamicImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).expect("a PNG");
    bytes.into_inner()
}

/// A JPEG with a segment of EXIF behind its first mark.
fn with_exif(jpeg: &[u8], tiff: &[u8]) -> Vec<u8> {
    let body = [b"Exif\0\0", tiff].concat();
    let length = u16::try_from(body.len() + 2).expect("short").to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &body, &jpeg[2..]].concat()
}

/// The TIFF of an EXIF segment with an orientation and a place (tags 0x0112 and 0x8825 of EXIF 2.32, section 4.6).
fn tiff(orientation: u16) -> Vec<u8> {
    let mut bytes = b"II\x2a\0\x08\0\0\0\x02\0".to_vec();
    bytes.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0]);
    bytes.extend(u32::from(orientation).to_le_bytes());
    bytes.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    bytes.extend([0, 0, 0, 0]);
    bytes.extend([1, 0, 1, 0, 2, 0, 2, 0, 0, 0, b'N', 0, 0, 0, 0, 0, 0, 0]);
    bytes.extend(b"52 deg 31 min, secret yard");
    bytes
}

fn near(found: &Rgb<u8>, wanted: [u8; 3]) -> bool {
    found
        .0
        .iter()
        .zip(wanted)
        .all(|(found, wanted)| found.abs_diff(wanted) < 40)
}

/// Which corner has a colour: `(right, bottom)`.
fn corner(picture: &RgbImage, wanted: [u8; 3]) -> (bool, bool) {
    let (right, bottom) = (picture.width() - 4, picture.height() - 4);
    let corners = [(false, false), (true, false), (false, true), (true, true)];
    let at = |(x, y): (bool, bool)| picture.get_pixel(if x { right } else { 3 }, if y { bottom } else { 3 });
    let found: Vec<(bool, bool)> = corners
        .into_iter()
        .filter(|corner| near(at(*corner), wanted))
        .collect();
    assert_eq!(found.len(), 1, "{wanted:?} is at {found:?}");
    found[0]
}

fn read(photo: &photo::Photo) -> RgbImage {
    let picture = image::load_from_memory_with_format(&photo.jpeg, ImageFormat::Jpeg)
        .expect("a JPEG")
        .to_rgb8();
    assert_eq!(picture.dimensions(), (photo.width, photo.height));
    picture
}

/// Where row 0 and column 0 are seen, by EXIF 2.32, section 4.6.4, tag Orientation: the stored picture's first
/// corner, the end of its first row, and whether its sides change places.
#[test]
fn every_orientation_is_turned_upright() {
    let (left, right, top, bottom) = (false, true, false, true);
    for (orientation, red, blue, turned) in [
        (1, (left, top), (right, top), false),
        (2, (right, top), (left, top), false),
        (3, (right, bottom), (left, bottom), false),
        (4, (left, bottom), (right, bottom), false),
        (5, (left, top), (left, bottom), true),
        (6, (right, top), (right, bottom), true),
        (7, (right, bottom), (right, top), true),
        (8, (left, bottom), (left, top), true),
    ] {
        let photo = kept(&with_exif(&jpeg(&marked(90, 60)), &tiff(orientation))).expect("a photograph");
        let size = if turned { (60, 90) } else { (90, 60) };
        assert_eq!((photo.width, photo.height), size, "orientation {orientation}");
        let picture = read(&photo);
        assert_eq!(
            (corner(&picture, RED), corner(&picture, BLUE)),
            (red, blue),
            "orientation {orientation}"
        );
    }
}

#[test]
fn nothing_but_the_pixels_is_kept() {
    let before = with_exif(&jpeg(&marked(90, 60)), &tiff(1));
    let holds = |bytes: &[u8], text: &[u8]| bytes.windows(text.len()).any(|piece| piece == text);
    assert!(holds(&before, b"Exif") && holds(&before, b"secret yard"));
    let photo = kept(&before).expect("a photograph");
    assert!(!holds(&photo.jpeg, b"Exif") && !holds(&photo.jpeg, b"secret yard"));
    assert_eq!(
        kept(&before).expect("again"),
        photo,
        "the same bytes give the same file"
    );
    // Bytes behind the picture's end are no part of it.
    let hidden = [before, b"secret letter".to_vec()].concat();
    assert_eq!(kept(&hidden).expect("a photograph"), photo);
}

#[test]
fn a_large_picture_is_made_smaller_and_a_small_one_is_left() {
    for (width, height, expected) in [
        (90, 60, (90, 60)),
        (KEPT_SIDE, 30, (KEPT_SIDE, 30)),
        (4_096, 2_048, (KEPT_SIDE, 1_024)),
        (1_000, 4_096, (500, KEPT_SIDE)),
        (16_384, 3, (KEPT_SIDE, 1)),
    ] {
        let picture = RgbImage::from_pixel(width, height, Rgb([90, 90, 90]));
        let photo = kept(&jpeg(&picture)).expect("a photograph");
        assert_eq!((photo.width, photo.height), expected, "{width} by {height}");
    }
}

#[test]
fn what_is_transparent_becomes_white() {
    let picture = RgbaImage::from_fn(40, 40, |x, _| Rgba([200, 0, 0, if x < 20 { 0 } else { 255 }]));
    let picture = read(&kept(&png(&DynamicImage::ImageRgba8(picture))).expect("a photograph"));
    assert!(near(picture.get_pixel(5, 20), [255; 3]) && near(picture.get_pixel(35, 20), [200, 0, 0]));
    let grey = DynamicImage::ImageLuma16(image::ImageBuffer::from_pixel(8, 8, image::Luma([0x8000_u16])));
    let picture = read(&kept(&png(&grey)).expect("a photograph"));
    assert!(near(picture.get_pixel(4, 4), [128; 3]));
}

#[test]
fn a_bomb_is_refused_before_it_goes_off() {
    let begun = Instant::now();
    let small = png(&DynamicImage::ImageRgb8(marked(9, 9)));
    for (width, height) in [
        (100_000_u32, 100_000_u32),
        (16_385, 1),
        (16_384, 16_384),
        (u32::MAX >> 1, 1),
    ] {
        let mut bomb = small.clone();
        bomb[16..20].copy_from_slice(&width.to_be_bytes());
        bomb[20..24].copy_from_slice(&height.to_be_bytes());
        let sum = crc(&bomb[12..29]).to_be_bytes();
        bomb[29..33].copy_from_slice(&sum);
        let found = kept(&bomb);
        let refused = matches!(found, Err(PhotoError::TooLarge { .. } | PhotoError::Broken(_)));
        assert!(refused, "{width} by {height}: {found:?}");
    }
    let mut frame = jpeg(&marked(90, 60));
    let at = frame
        .windows(2)
        .position(|pair| pair == [0xFF, 0xC0])
        .expect("a frame");
    frame[at + 5..at + 9].copy_from_slice(&[0xFF, 0xFF, 0xFF, 0xFF]);
    assert_eq!(
        kept(&frame),
        Err(PhotoError::TooLarge {
            width: 65_535,
            height: 65_535
        })
    );
    let mut passes = jpeg(&marked(90, 60));
    passes.extend([0xFF, 0xDA].repeat(100));
    assert_eq!(kept(&passes), Err(PhotoError::TooManyPasses));
    assert_eq!(
        kept(&vec![0xFF; MOST_BYTES + 1]),
        Err(PhotoError::TooLong {
            found: MOST_BYTES + 1
        })
    );
    assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
}

/// CRC-32 of PNG chunks (W3C PNG, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            if sum & 1 == 1 {
                0xEDB8_8320 ^ (sum >> 1)
            } else {
                sum >> 1
            }
        })
    })
}

#[test]
fn other_formats_are_refused() {
    for bytes in [
        &b""[..],
        b"x",
        b"GIF89a\x01\0\x01\0",
        b"<svg xmlns=''/>",
        b"RIFF\0\0\0\0WEBPVP8 ",
        b"BM\0\0\0\0\0\0",
        b"%PDF-1.7",
    ] {
        assert_eq!(kept(bytes), Err(PhotoError::OtherFormat), "{bytes:?}");
    }
}

#[test]
fn a_cut_picture_is_refused_or_read_and_never_panics() {
    for whole in [
        jpeg(&marked(60, 40)),
        png(&DynamicImage::ImageRgb8(marked(60, 40))),
    ] {
        for end in 0..whole.len() {
            let found = std::panic::catch_unwind(|| kept(&whole[..end])).expect("no panic");
            assert!(end > 30 || found.is_err(), "{end} bytes");
        }
    }
}

#[test]
fn hostile_exif_turns_nothing_and_stops_nothing() {
    let picture = jpeg(&marked(90, 60));
    let upright = kept(&picture).expect("a photograph");
    let mut hostile = vec![
        Vec::new(),
        b"II".to_vec(),
        vec![0xFF; 4_000],
        tiff(0),
        tiff(9),
        tiff(u16::MAX),
    ];
    // The first directory stands beyond the end, in itself, or has 65,535 entries.
    hostile.push(b"II\x2a\0\xff\xff\xff\xff".to_vec());
    hostile.push(b"II\x2a\0\0\0\0\0".to_vec());
    hostile.push([&b"MM\0\x2a\0\0\0\x08\xff\xff"[..], &[0x01, 0x12].repeat(6_000)].concat());
    for exif in hostile {
        assert_eq!(
            kept(&with_exif(&picture, &exif)).as_ref(),
            Ok(&upright),
            "{:?}",
            &exif[..exif.len().min(12)]
        );
    }
}

#[test]
fn a_picture_to_be_looked_at_is_upright_and_small() {
    let picture = marked(400, 300);
    let turned = with_exif(&jpeg(&picture), &tiff(6));
    let seen = photo::seen(&turned, 100).expect("it is a picture");
    assert_eq!(
        (seen.width, seen.height),
        (75, 100),
        "a quarter turn to the right"
    );
    let upright = RgbImage::from_raw(seen.width, seen.height, seen.rgb).expect("all its pixels");
    assert_eq!(corner(&upright, RED), (true, false));
    assert_eq!(corner(&upright, BLUE), (true, true));
    let large = photo::seen(&jpeg(&picture), 1000).expect("it is a picture");
    assert_eq!((large.width, large.height), (400, 300), "none is made larger");
    assert_eq!(photo::seen(b"no picture", 100), Err(PhotoError::OtherFormat));
}
