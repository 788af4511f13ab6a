//! A picture of a page made small enough to be kept beside the tests, and how far two of them are apart.

use image::{Rgb, RgbImage, RgbaImage};
use std::collections::HashMap;
use std::io::Cursor;

/// How many colours a kept picture has at the most: flat grounds, and the mixtures along the edges of letters.
const COLOURS: usize = 64;
/// The side of the squares in which pictures are compared, in pixels of the small picture.
const SQUARE: u32 = 8;
/// How far apart the pixels of one square may lie on average, in steps of 255. Letters that are smoothed
/// otherwise stay below; a line that moved by three pixels, or a letter in the place of another, does not.
pub const SQUARE_LIMIT: f64 = 14.0;
/// The same for the whole picture: a ground in another shade shows here first.
pub const WHOLE_LIMIT: f64 = 0.8;

/// Half as wide and half as high, each pixel the mean of four, with the colours that a kept picture has.
pub fn small(picture: &RgbaImage) -> RgbImage {
    let (width, height) = (picture.width() / 2, picture.height() / 2);
    with_few_colours(&RgbImage::from_fn(width, height, |x, y| {
        let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| picture.get_pixel(2 * x + dx, 2 * y + dy));
        Rgb([0, 1, 2].map(|at| (four.iter().map(|pixel| u16::from(pixel[at])).sum::<u16>() / 4) as u8))
    }))
}

/// Rounded to 32 steps a channel; of these colours the most frequent stay, others take the nearest of them.
fn with_few_colours(picture: &RgbImage) -> RgbImage {
    let rounded = |pixel: &Rgb<u8>| pixel.0.map(|value| (value & 0xf8) | (value >> 5));
    let mut counts: HashMap<[u8; 3], usize> = HashMap::new();
    for pixel in picture.pixels() {
        *counts.entry(rounded(pixel)).or_default() += 1;
    }
    let mut ranked: Vec<_> = counts.into_iter().collect();
    ranked.sort_by_key(|&(colour, count)| (std::cmp::Reverse(count), colour));
    let kept: Vec<[u8; 3]> = ranked.iter().take(COLOURS).map(|(colour, _)| *colour).collect();
    let nearest = |colour: [u8; 3]| {
        let near = kept.iter().min_by_key(|one| square_distance(**one, colour));
        *near.expect("a picture has a colour")
    };
    let places: HashMap<_, _> = ranked
        .iter()
        .map(|&(colour, _)| (colour, nearest(colour)))
        .collect();
    let mut few = picture.clone();
    for pixel in few.pixels_mut() {
        *pixel = Rgb(places[&rounded(pixel)]);
    }
    few
}

fn square_distance(one: [u8; 3], other: [u8; 3]) -> u32 {
    let apart = one.iter().zip(other).map(|(a, b)| u32::from(a.abs_diff(b)));
    apart.map(|apart| apart * apart).sum()
}

/// The picture as a PNG with a palette.
pub fn palette_png(picture: &RgbImage) -> Vec<u8> {
    let mut palette: Vec<[u8; 3]> = picture.pixels().map(|pixel| pixel.0).collect();
    palette.sort_unstable();
    palette.dedup();
    let index = |pixel: &Rgb<u8>| palette.binary_search(&pixel.0).expect("it was collected") as u8;
    let indices: Vec<u8> = picture.pixels().map(index).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(Cursor::new(&mut bytes), picture.width(), picture.height());
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(palette.concat());
    encoder.set_compression(png::Compression::High);
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().expect("the head is written");
    writer.write_image_data(&indices).expect("the pixels are written");
    writer.finish().expect("the file is ended");
    bytes
}

/// How far two pictures lie apart.
pub struct Apart {
    /// On average over the whole, in steps of 255.
    pub whole: f64,
    /// The worst square: its left upper corner in the small picture, and its average.
    pub worst: (u32, u32, f64),
}

impl Apart {
    pub fn too_far(&self) -> bool {
        self.whole > WHOLE_LIMIT || self.worst.2 > SQUARE_LIMIT
    }
}

/// Compares pictures of the same size.
pub fn apart(one: &RgbImage, other: &RgbImage) -> Apart {
    assert_eq!(one.dimensions(), other.dimensions());
    let (width, height) = one.dimensions();
    let mut sums: HashMap<(u32, u32), (u64, u64)> = HashMap::new();
    for (x, y, pixel) in one.enumerate_pixels() {
        let sum = sums.entry((x / SQUARE, y / SQUARE)).or_default();
        *sum = (
            sum.0 + u64::from(difference(pixel, other.get_pixel(x, y))),
            sum.1 + 1,
        );
    }
    let mean = |&(sum, count): &(u64, u64)| sum as f64 / count as f64;
    let whole = sums.values().map(|(sum, _)| sum).sum::<u64>() as f64 / f64::from(width * height);
    let worst = sums
        .iter()
        .max_by(|one, other| mean(one.1).total_cmp(&mean(other.1)));
    let ((x, y), worst) = worst.expect("a picture has squares");
    Apart {
        whole,
        worst: (x * SQUARE, y * SQUARE, mean(worst)),
    }
}

/// The largest difference of a channel.
fn difference(one: &Rgb<u8>, other: &Rgb<u8>) -> u8 {
    let channels = one.0.iter().zip(other.0);
    channels.map(|(a, b)| a.abs_diff(b)).max().unwrap_or(0)
}

/// Both one above the other, and under them in black what differs.
pub fn shown_apart(kept: &RgbImage, new: &RgbImage) -> RgbImage {
    let (width, height) = kept.dimensions();
    RgbImage::from_fn(width, 3 * height, |x, y| match y / height {
        0 => *kept.get_pixel(x, y),
        1 => *new.get_pixel(x, y - height),
        _ => {
            let at = y - 2 * height;
            Rgb([255 - difference(kept.get_pixel(x, at), new.get_pixel(x, at)); 3])
        }
    })
}
