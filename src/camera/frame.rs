//! One picture as a camera gave it.

use crate::photo::{self, MOST_BYTES, MOST_PIXELS, MOST_SIDE, PhotoError, Seen};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{Rgb, RgbImage};

/// How the pixels of a frame are written (Linux kernel, Userspace API, "Image Formats").
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// A JPEG file, which may lack its Huffman tables.
    Mjpeg,
    /// Four bytes for two pixels beside each other: Y, Cb, Y, Cr.
    Yuyv,
}

impl Format {
    /// Those that can be read; the one that needs fewer bytes on the wire stands first.
    pub const ALL: [Self; 2] = [Self::Mjpeg, Self::Yuyv];

    /// The four letters by which cameras name it.
    #[must_use]
    pub fn letters(self) -> &'static [u8; 4] {
        match self {
            Self::Mjpeg => b"MJPG",
            Self::Yuyv => b"YUYV",
        }
    }
}

/// A frame, as it came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    format: Format,
    bytes: Vec<u8>,
    width: u32,
    height: u32,
    /// Bytes from one line to the next; only YUYV has lines.
    stride: usize,
}

impl Frame {
    /// The frame in these bytes. Those behind its last line are padding.
    ///
    /// # Errors
    /// There are fewer or far more bytes or pixels than can rightly be.
    pub fn new(format: Format, bytes: &[u8], size: (u32, u32), stride: u32) -> Result<Self, PhotoError> {
        let (width, height) = size;
        if u64::from(width) * u64::from(height) > MOST_PIXELS || width.max(height) > MOST_SIDE {
            return Err(PhotoError::TooLarge { width, height });
        }
        let line = 4 * width.div_ceil(2) as usize;
        let stride = (stride as usize).max(line);
        let frame = |bytes: &[u8]| Self {
            format,
            bytes: bytes.to_vec(),
            width,
            height,
            stride,
        };
        match format {
            Format::Mjpeg if bytes.len() > MOST_BYTES => Err(PhotoError::TooLong { found: bytes.len() }),
            Format::Mjpeg => Ok(frame(bytes)),
            Format::Yuyv => {
                let lines = (height as usize).saturating_sub(1);
                let needed = stride.saturating_mul(lines).saturating_add(line);
                if width == 0 || height == 0 || bytes.len() < needed {
                    let found = bytes.len();
                    return Err(PhotoError::Broken(format!("{found} of {needed} bytes came")));
                }
                Ok(frame(&bytes[..needed]))
            }
        }
    }

    /// The frame as a picture's file with all of its pixels: JPEG or PNG.
    ///
    /// # Errors
    /// It cannot be encoded.
    pub fn file(&self) -> Result<Vec<u8>, PhotoError> {
        match self.format {
            Format::Mjpeg => Ok(with_tables(&self.bytes)),
            Format::Yuyv => png(&self.rgb()),
        }
    }

    /// The frame to be looked at, at most `side` pixels long.
    ///
    /// # Errors
    /// It is broken or cut.
    pub fn seen(&self, side: u32) -> Result<Seen, PhotoError> {
        match self.format {
            Format::Mjpeg => photo::seen(&with_tables(&self.bytes), side),
            Format::Yuyv => Ok(photo::shown(self.rgb().into(), side)),
        }
    }

    fn rgb(&self) -> RgbImage {
        RgbImage::from_fn(self.width, self.height, |x, y| {
            let at = y as usize * self.stride + 4 * (x as usize / 2);
            let pair = &self.bytes[at..at + 4];
            rgb(pair[2 * (x as usize % 2)], pair[1], pair[3])
        })
    }
}

/// A pixel from luminance and colour differences as Recommendation ITU-R BT.601-7 has them: weights 0.299, 0.587 and
/// 0.114 (2.5.1), black at 16 and white at 235, colour differences of 224 levels around 128 (2.5.3, 2.5.4). That is
/// also what Linux takes where a camera says nothing else ("Detailed Colorspace Descriptions"). In 65 536ths.
fn rgb(y: u8, cb: u8, cr: u8) -> Rgb<u8> {
    let y = 76_309 * (i32::from(y) - 16) + 32_768;
    let (cb, cr) = (i32::from(cb) - 128, i32::from(cr) - 128);
    let level = |sum: i32| u8::try_from((sum >> 16).clamp(0, 255)).unwrap_or(u8::MAX);
    Rgb([
        level(y + 104_597 * cr),
        level(y - 25_675 * cb - 53_279 * cr),
        level(y + 132_201 * cb),
    ])
}

/// Many cameras leave out the Huffman tables, which are always the same (ITU-T T.81, K.3.3). The decoder knows them,
/// and fills them in where a file bears the mark of motion JPEG.
fn with_tables(jpeg: &[u8]) -> Vec<u8> {
    const BEGIN: [u8; 2] = [0xFF, 0xD8];
    const MARK: [u8; 18] = *b"\xFF\xE0\x00\x10AVI1\0\0\0\0\0\0\0\0\0\0";
    match jpeg.strip_prefix(&BEGIN) {
        Some(rest) => [&BEGIN, &MARK[..], rest].concat(),
        None => jpeg.to_vec(),
    }
}

fn png(picture: &RgbImage) -> Result<Vec<u8>, PhotoError> {
    let mut file = Vec::new();
    // It is read again at once and not kept.
    let encoder = PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Sub);
    picture
        .write_with_encoder(encoder)
        .map_err(|error| PhotoError::Broken(error.to_string()))?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same by the Recommendation's own formulas, in floating point.
    fn by_formula([y, cb, cr]: [u8; 3]) -> [f64; 3] {
        let luma = (f64::from(y) - 16.0) / 219.0;
        let [blue, red] = [cb, cr].map(|level| (f64::from(level) - 128.0) / 224.0);
        // E'Cr = (E'R - E'Y) / 1.402 and E'Cb = (E'B - E'Y) / 1.772 (2.5.2).
        let (red, blue) = (luma + 1.402 * red, luma + 1.772 * blue);
        let green = (luma - 0.299 * red - 0.114 * blue) / 0.587;
        [red, green, blue].map(|part| (255.0 * part).clamp(0.0, 255.0))
    }

    #[test]
    fn colours_are_those_of_the_recommendation() {
        let levels = [0_u8, 1, 16, 17, 64, 100, 127, 128, 129, 180, 235, 240, 255];
        for y in levels {
            for cb in levels {
                for cr in levels {
                    let found = rgb(y, cb, cr).0;
                    let expected = by_formula([y, cb, cr]);
                    for (found, expected) in found.into_iter().zip(expected) {
                        let off = (f64::from(found) - expected).abs();
                        assert!(off < 0.51, "{y} {cb} {cr}: {found} for {expected}");
                    }
                }
            }
        }
        assert_eq!(rgb(16, 128, 128).0, [0, 0, 0]);
        assert_eq!(rgb(235, 128, 128).0, [255, 255, 255]);
    }

    #[test]
    fn a_pair_of_pixels_shares_its_colour_and_padding_is_passed_over() {
        // Two lines of three pixels, each line with four bytes of padding.
        let line = [[235, 128, 16, 128], [235, 128, 99, 128], [1, 2, 3, 4]].concat();
        let bytes = line.repeat(2);
        let frame = Frame::new(Format::Yuyv, &bytes, (3, 2), 12).expect("a frame");
        let seen = frame.seen(64).expect("pixels");
        assert_eq!((seen.width, seen.height), (3, 2));
        let (white, black) = ([255; 3], [0; 3]);
        assert_eq!(seen.rgb, [white, black, white].concat().repeat(2));
        let kept = photo::kept(&frame.file().expect("a file")).expect("a photograph");
        assert_eq!((kept.width, kept.height), (3, 2));
    }

    #[test]
    fn what_is_cut_or_cannot_be_is_refused() {
        let new = |bytes: usize, size| Frame::new(Format::Yuyv, &vec![128; bytes], size, 0);
        assert!(new(8, (2, 2)).is_ok());
        let why = new(7, (2, 2)).expect_err("a byte is missing").to_string();
        assert!(why.contains("7 of 8 bytes"), "{why}");
        assert!(new(0, (0, 5)).is_err());
        assert!(matches!(new(9, (u32::MAX, 2)), Err(PhotoError::TooLarge { .. })));
        let long = vec![0; MOST_BYTES + 1];
        let long = Frame::new(Format::Mjpeg, &long, (2, 2), 0);
        assert!(matches!(long, Err(PhotoError::TooLong { .. })));
        let broken = Frame::new(Format::Mjpeg, b"no picture", (2, 2), 0).expect("bytes");
        assert!(broken.seen(64).is_err());
    }

    /// A JPEG without its tables of Huffman codes.
    fn bare(jpeg: &[u8]) -> Vec<u8> {
        let (mut at, mut rest) = (2, jpeg[..2].to_vec());
        while jpeg[at + 1] != 0xDA {
            let end = at + 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
            if jpeg[at + 1] != 0xC4 {
                rest.extend_from_slice(&jpeg[at..end]);
            }
            at = end;
        }
        rest.extend_from_slice(&jpeg[at..]);
        rest
    }

    #[test]
    fn motion_jpeg_without_its_tables_is_read_like_the_whole_file() {
        let picture = RgbImage::from_fn(48, 32, |x, y| Rgb([x as u8 * 5, y as u8 * 7, 90]));
        let mut jpeg = Vec::new();
        let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 90);
        picture.write_with_encoder(encoder).expect("a picture");
        let bare = bare(&jpeg);
        assert!(
            bare.len() < jpeg.len() && photo::seen(&bare, 64).is_err(),
            "tables are missing"
        );
        let frame = |bytes: &[u8]| Frame::new(Format::Mjpeg, bytes, (48, 32), 0).expect("a frame");
        let whole = photo::seen(&jpeg, 64).expect("a picture");
        assert_eq!(frame(&bare).seen(64), Ok(whole.clone()));
        assert_eq!(frame(&jpeg).seen(64), Ok(whole));
        let kept = photo::kept(&frame(&bare).file().expect("a file")).expect("a photograph");
        assert_eq!(kept, photo::kept(&jpeg).expect("a photograph"));
    }
}
