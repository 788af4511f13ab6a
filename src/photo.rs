//! A photograph as the record keeps it: upright, of a stated size, and of nothing but pixels.
//!
//! What a camera gives is decoded within bounds, turned as its EXIF orientation says, made smaller where it is
//! large, and encoded anew. So where and with which device it was taken does not reach the record, nor anything
//! else that stood in the file beside the picture.

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use std::io::Cursor;

/// The longest file that is read, in bytes.
pub const MOST_BYTES: usize = 32 * 1024 * 1024;
/// The longest side of a picture that is decoded, in pixels.
pub const MOST_SIDE: u32 = 16_384;
/// The most pixels of a picture that is decoded; in memory each takes up to 8 bytes.
pub const MOST_PIXELS: u64 = 50_000_000;
/// The longest side of a picture that is kept, in pixels.
pub const KEPT_SIDE: u32 = 2_048;
/// The quality of the kept JPEG, of 100.
const QUALITY: u8 = 85;
/// The most passes of a JPEG: a progressive one has about ten, and each goes over all pixels.
const MOST_PASSES: usize = 64;
/// What decoding may take besides the pixels, in bytes.
const WORK_BYTES: u64 = 64 * 1024 * 1024;
/// The extension of a kept photograph.
pub const EXTENSION: &str = "jpg";

/// A photograph as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The file: a baseline JPEG without metadata.
    pub jpeg: Vec<u8>,
    /// Pixels from left to right, as it is looked at.
    pub width: u32,
    /// Pixels from top to bottom, as it is looked at.
    pub height: u32,
}

/// Why a file is not kept as a photograph.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    #[error("the file has {found} bytes; at most {MOST_BYTES} are allowed")]
    TooLong {
        /// Its length.
        found: usize,
    },
    #[error("the file is neither a JPEG nor a PNG picture")]
    OtherFormat,
    #[error(
        "the picture has {width} by {height} pixels; at most {MOST_PIXELS} in all and {MOST_SIDE} a side are allowed"
    )]
    TooLarge {
        /// Pixels from left to right, as stored.
        width: u32,
        /// Pixels from top to bottom, as stored.
        height: u32,
    },
    #[error("the picture is drawn in more than {MOST_PASSES} passes")]
    TooManyPasses,
    #[error("the picture cannot be read: {0}")]
    Broken(String),
}

/// The photograph in these bytes, as the record keeps it. The same bytes give the same file.
///
/// # Errors
/// The file is no JPEG or PNG, is larger than allowed, or is broken or cut.
pub fn kept(bytes: &[u8]) -> Result<Photo, PhotoError> {
    if bytes.len() > MOST_BYTES {
        return Err(PhotoError::TooLong { found: bytes.len() });
    }
    let (picture, orientation) = decoded(bytes)?;
    let mut picture = within(picture, KEPT_SIDE);
    picture.apply_orientation(orientation);
    encoded(&on_white(&picture))
}

/// A picture as it is looked at on a screen: upright, at most `side` pixels long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Three bytes a pixel: red, green, blue; line after line from the top.
    pub rgb: Vec<u8>,
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
}

/// The picture in these bytes to be looked at, and nothing that is kept.
///
/// # Errors
/// As [`kept`].
pub fn seen(bytes: &[u8], side: u32) -> Result<Seen, PhotoError> {
    if bytes.len() > MOST_BYTES {
        return Err(PhotoError::TooLong { found: bytes.len() });
    }
    let (picture, orientation) = decoded(bytes)?;
    let mut picture = within(picture, side.max(1));
    picture.apply_orientation(orientation);
    Ok(shown(picture, side))
}

/// A picture that was decoded elsewhere, to be looked at.
#[must_use]
pub fn shown(picture: DynamicImage, side: u32) -> Seen {
    let rgb = on_white(&within(picture, side.max(1)));
    let (width, height) = rgb.dimensions();
    Seen {
        rgb: rgb.into_raw(),
        width,
        height,
    }
}

fn decoded(bytes: &[u8]) -> Result<(DynamicImage, Orientation), PhotoError> {
    let format = image::guess_format(bytes).map_err(|_| PhotoError::OtherFormat)?;
    match format {
        ImageFormat::Png => {}
        ImageFormat::Jpeg if passes(bytes) <= MOST_PASSES => {}
        ImageFormat::Jpeg => return Err(PhotoError::TooManyPasses),
        _ => return Err(PhotoError::OtherFormat),
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_PIXELS * 8 + WORK_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(broken)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if width.max(height) > MOST_SIDE || pixels > MOST_PIXELS {
        return Err(PhotoError::TooLarge { width, height });
    }
    // An orientation that cannot be read turns nothing: the pixels are still what was photographed.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    Ok((picture, orientation))
}

#[expect(clippy::needless_pass_by_value, reason = "it maps errors")]
fn broken(error: image::ImageError) -> PhotoError {
    PhotoError::Broken(error.to_string())
}

/// How often a JPEG begins a pass. In the pixels' own bytes the mark cannot stand.
fn passes(jpeg: &[u8]) -> usize {
    jpeg.windows(2).filter(|pair| *pair == [0xFF, 0xDA]).count()
}

fn within(picture: DynamicImage, side: u32) -> DynamicImage {
    if picture.width().max(picture.height()) > side {
        picture.thumbnail(side, side)
    } else {
        picture
    }
}

/// What shines through a picture is white, and nothing that was hidden there is kept.
fn on_white(picture: &DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.to_rgb8();
    }
    let seen = picture.to_rgba8();
    RgbImage::from_fn(seen.width(), seen.height(), |x, y| {
        let [red, green, blue, alpha] = seen.get_pixel(x, y).0;
        let over = |colour: u8| {
            let mixed = u32::from(colour) * u32::from(alpha) + 255 * (255 - u32::from(alpha));
            u8::try_from(mixed / 255).unwrap_or(u8::MAX)
        };
        image::Rgb([over(red), over(green), over(blue)])
    })
}

fn encoded(picture: &RgbImage) -> Result<Photo, PhotoError> {
    let mut jpeg = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut jpeg, QUALITY);
    picture.write_with_encoder(encoder).map_err(broken)?;
    let (width, height) = picture.dimensions();
    Ok(Photo { jpeg, width, height })
}
