//! An open camera that gives one frame after the other, through the kernel's own calls.

use super::error::CameraError;
use super::frame::{Format, Frame};
use super::size::{Sizes, area, best};
use crate::photo::PhotoError;
use linuxvideo::format::{FrameSizes, PixFormat, PixelFormat};
use linuxvideo::stream::ReadStream;
use linuxvideo::{BufType, CapabilityFlags};
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::io::Errno;
use std::io;
use std::time::Duration;

/// The most formats that a camera may name.
const MOST_FORMATS: usize = 64;

/// What came of waiting for a frame.
pub(super) enum Came {
    /// No frame in this time, or a damaged one.
    Nothing,
    /// One that was not wanted.
    Passed,
    Frame(Result<Frame, PhotoError>),
}

/// An open camera that films.
pub(super) struct Device {
    path: String,
    stream: ReadStream,
    format: Format,
    size: (u32, u32),
    stride: u32,
}

impl Device {
    /// Opens the camera at this path in the best format that can be read, and begins to film.
    pub fn open(path: &str) -> Result<Self, CameraError> {
        let at = |error: io::Error| opening(path, &error);
        let device = linuxvideo::Device::open(path).map_err(at)?;
        let can = device.capabilities().map_err(at)?.device_capabilities();
        if !can.contains(CapabilityFlags::VIDEO_CAPTURE | CapabilityFlags::STREAMING) {
            return Err(CameraError::NoCamera {
                path: path.to_owned(),
            });
        }
        let found = formats(&device).map_err(at)?;
        let no_format = || CameraError::NoFormat {
            path: path.to_owned(),
            found: found
                .iter()
                .map(|format| format.as_fourcc().escape_ascii().to_string())
                .collect(),
        };
        let (format, (width, height)) = chosen(&device, &found).ok_or_else(no_format)?;
        let asked = PixFormat::new(width, height, pixels(format));
        let device = device.video_capture(asked).map_err(at)?;
        // A driver may give something else than it was asked for.
        let given = device.format();
        if given.pixel_format() != pixels(format) {
            return Err(no_format());
        }
        let (size, stride) = ((given.width(), given.height()), given.bytes_per_line());
        let stream = device.into_stream().map_err(at)?;
        Ok(Self {
            path: path.to_owned(),
            stream,
            format,
            size,
            stride,
        })
    }

    /// The next frame, if one comes within this time; only one that is wanted is taken.
    pub fn next(&mut self, within: Duration, wanted: bool) -> Result<Came, CameraError> {
        if !self.ready(within)? {
            return Ok(Came::Nothing);
        }
        let (format, size, stride) = (self.format, self.size, self.stride);
        let came = self.stream.dequeue(|view| {
            Ok(match (view.is_error(), wanted) {
                (true, _) => Came::Nothing,
                (_, false) => Came::Passed,
                (_, true) => Came::Frame(Frame::new(format, &view, size, stride)),
            })
        });
        came.map_err(|error| filming(&self.path, &error))
    }

    fn ready(&self, within: Duration) -> Result<bool, CameraError> {
        let mut one = [PollFd::new(&self.stream, PollFlags::IN)];
        let within = Timespec {
            tv_sec: within.as_secs().try_into().unwrap_or(1),
            tv_nsec: within.subsec_nanos().into(),
        };
        match poll(&mut one, Some(&within)) {
            Ok(count) => Ok(count > 0),
            Err(Errno::INTR) => Ok(false),
            Err(error) => Err(filming(&self.path, &error.into())),
        }
    }
}

fn pixels(format: Format) -> PixelFormat {
    PixelFormat::from_fourcc(*format.letters())
}

/// The formats that a camera names.
fn formats(device: &linuxvideo::Device) -> io::Result<Vec<PixelFormat>> {
    let named = device.formats(BufType::VIDEO_CAPTURE).take(MOST_FORMATS);
    named.map(|format| Ok(format?.pixel_format())).collect()
}

/// The format that gives the most pixels, and its size; of two alike the first.
fn chosen(device: &linuxvideo::Device, found: &[PixelFormat]) -> Option<(Format, (u32, u32))> {
    let given = Format::ALL
        .into_iter()
        .filter(|format| found.contains(&pixels(*format)));
    let sized = given.filter_map(|format| Some((format, best(&sizes(device, format))?)));
    // Of several that are the largest, this finds the last.
    sized.rev().max_by_key(|(_, size)| area(*size))
}

fn sizes(device: &linuxvideo::Device, format: Format) -> Sizes {
    match device.frame_sizes(pixels(format)) {
        Ok(FrameSizes::Discrete(all)) => {
            Sizes::Listed(all.iter().map(|size| (size.width(), size.height())).collect())
        }
        Ok(FrameSizes::Stepwise(all) | FrameSizes::Continuous(all)) => Sizes::Stepped {
            most: (all.max_width(), all.max_height()),
            step: (all.step_width(), all.step_height()),
        },
        // Not every driver can tell.
        Err(_) => Sizes::Unknown,
    }
}

/// What went wrong before the first frame.
fn opening(path: &str, error: &io::Error) -> CameraError {
    let path = path.to_owned();
    match Errno::from_io_error(error) {
        Some(Errno::NOENT | Errno::NODEV | Errno::NXIO | Errno::NOTDIR) => CameraError::NotThere { path },
        Some(Errno::ACCESS | Errno::PERM) => CameraError::Denied { path },
        Some(Errno::BUSY) => CameraError::Busy { path },
        Some(Errno::NOTTY | Errno::INVAL | Errno::ISDIR) => CameraError::NoCamera { path },
        _ => CameraError::Broken {
            path,
            why: error.to_string(),
        },
    }
}

/// What went wrong afterwards.
fn filming(path: &str, error: &io::Error) -> CameraError {
    let path = path.to_owned();
    match Errno::from_io_error(error) {
        Some(Errno::NODEV | Errno::NXIO) => CameraError::Gone { path },
        _ => CameraError::Broken {
            path,
            why: error.to_string(),
        },
    }
}
