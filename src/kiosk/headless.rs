//! The screen without a screen: a window in memory, drawn by the same renderer, for pictures and tests.

use super::place::{self, Around};
use super::{App, Frame, Tokens};
use crate::page::Page;
use crate::words::Words;
use image::RgbaImage;
use slint::platform::software_renderer::{MinimalSoftwareWindow, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter};
use slint::{ComponentHandle, PhysicalSize};
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use thiserror::Error;

/// Why there is no picture.
#[derive(Debug, Error)]
pub enum PictureError {
    /// The screen's parts could not be set up.
    #[error("the screen cannot be drawn: {0}")]
    Platform(#[from] PlatformError),
    /// The picture could not be made a PNG.
    #[error("the picture cannot be written as PNG: {0}")]
    Png(#[from] image::ImageError),
    /// The drawn pixels are not a whole picture.
    #[error("the screen drew no whole picture")]
    Torn,
}

/// A window in memory with a clock that moves only when told.
struct Memory {
    window: Rc<MinimalSoftwareWindow>,
    clock: Rc<Cell<Duration>>,
}

impl Platform for Memory {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.window.clone())
    }

    fn duration_since_start(&self) -> Duration {
        self.clock.get()
    }
}

/// The kiosk in memory.
pub struct Easel {
    /// The screen; its globals are set as on a real one.
    pub app: App,
    window: Rc<MinimalSoftwareWindow>,
    clock: Rc<Cell<Duration>>,
}

impl Easel {
    /// A screen of this size in pixels. One thread has one easel at the most.
    ///
    /// # Errors
    /// [`PictureError::Platform`] when this thread already has a screen.
    pub fn new(width: u32, height: u32) -> Result<Self, PictureError> {
        super::fonts::make_sure();
        let window = MinimalSoftwareWindow::new(RepaintBufferType::NewBuffer);
        let clock = Rc::new(Cell::new(Duration::from_secs(1)));
        let platform = Memory {
            window: window.clone(),
            clock: clock.clone(),
        };
        slint::platform::set_platform(Box::new(platform))
            .map_err(|error| PlatformError::Other(error.to_string()))?;
        let app = App::new()?;
        super::settings::speak(&Words::english());
        let easel = Self { app, window, clock };
        easel.resize(width, height);
        easel.app.show()?;
        easel.settle();
        Ok(easel)
    }

    /// Makes the screen this large, in pixels.
    pub fn resize(&self, width: u32, height: u32) {
        self.window.set_size(PhysicalSize::new(width, height));
        self.settle();
    }

    /// Lets `time` pass on the screen.
    pub fn pass(&self, time: Duration) {
        self.clock.set(self.clock.get() + time);
        slint::platform::update_timers_and_animations();
    }

    /// Lets every motion end.
    pub fn settle(&self) {
        for _ in 0..12 {
            self.pass(Duration::from_millis(60));
        }
    }

    /// Day or night colours.
    pub fn set_night(&self, night: bool) {
        self.app.global::<Tokens>().set_night(night);
    }

    /// Text of this share of the usual size.
    pub fn set_text(&self, scale: f32) {
        self.app.global::<Tokens>().set_text_scale(scale);
        self.settle();
    }

    /// The language of the texts that stand on the screen itself.
    pub fn speak(&self, words: &Words) {
        super::settings::speak(words);
        self.app
            .global::<Frame>()
            .set_language(words.language().tag().into());
        self.settle();
    }

    /// Shows a page of a job as the kiosk would.
    pub fn show(&self, page: &Page, heading: &Heading, around: &Around<'_>) {
        let frame = self.app.global::<Frame>();
        frame.set_shop(heading.shop.as_str().into());
        frame.set_job(heading.job.as_str().into());
        frame.set_person(heading.person.as_str().into());
        frame.set_role(heading.role.as_str().into());
        frame.set_clock(heading.clock.as_str().into());
        frame.set_practice(heading.practice);
        frame.set_signed_on(!heading.person.is_empty());
        place::show(&self.app, page, around);
        self.settle();
    }

    /// What is on the screen now.
    ///
    /// # Errors
    /// When the renderer fails.
    pub fn picture(&self) -> Result<RgbaImage, PictureError> {
        self.settle();
        let pixels = self.app.window().take_snapshot()?;
        RgbaImage::from_raw(pixels.width(), pixels.height(), pixels.as_bytes().to_vec())
            .ok_or(PictureError::Torn)
    }

    /// What is on the screen now, as the bytes of a PNG file.
    ///
    /// # Errors
    /// When the renderer or the encoder fails.
    pub fn png(&self) -> Result<Vec<u8>, PictureError> {
        let mut bytes = std::io::Cursor::new(Vec::new());
        self.picture()?.write_to(&mut bytes, image::ImageFormat::Png)?;
        Ok(bytes.into_inner())
    }
}

/// What stands in the head of a page that is drawn without a session.
#[derive(Clone, Debug, Default)]
pub struct Heading {
    pub shop: String,
    pub job: String,
    /// Nobody is signed on where this is empty.
    pub person: String,
    pub role: String,
    pub clock: String,
    pub practice: bool,
}
