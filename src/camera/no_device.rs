//! The place of an open camera in a program that was built without cameras.

use super::error::CameraError;
use super::frame::Frame;
use crate::photo::PhotoError;
use std::time::Duration;

/// What came of waiting for a frame.
#[expect(dead_code, reason = "nothing comes where there is no camera")]
pub(super) enum Came {
    Nothing,
    Passed,
    Frame(Result<Frame, PhotoError>),
}

/// There is none.
pub(super) enum Device {}

impl Device {
    pub fn open(_path: &str) -> Result<Self, CameraError> {
        Err(CameraError::NotBuilt)
    }

    pub fn next(&mut self, _within: Duration, _wanted: bool) -> Result<Came, CameraError> {
        match *self {}
    }
}
