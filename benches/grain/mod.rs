//! What the benches of photographs share: pictures with the grain of a camera's, and the memory that is taken.

use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};

/// A picture of 8 megapixels, another one for each number.
pub fn photo(number: u32) -> Vec<u8> {
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

/// Mebibytes, from a line of the process's status, which Linux gives.
pub fn memory(line: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let found = status.lines().find_map(|text| text.strip_prefix(line));
    let kibibytes = found.and_then(|text| text.trim_start_matches(':').split_whitespace().next());
    kibibytes
        .and_then(|number| number.parse::<u64>().ok())
        .expect("a number")
        / 1024
}
